"""What money and emissions start from: the season, its methods' totals, and the amounts that sessions recorded."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.sessions import needs
from wood_xl.reasons import Basis, Said, said
from wood_xl.records import Season, Session, Tool


@dataclass(frozen=True)
class CostStudy:
    """What all methods' costs share.

    yearly_cords: cords a year that ownership is spread over.
    """

    season: Season
    totals: Sequence[MethodTotals]
    yearly_cords: float | None

    @property
    def tools(self) -> dict[str, Tool]:
        """Tools by name."""
        return {tool.name: tool for tool in self.season.tools}


def recorded(
    totals: MethodTotals, amount: Callable[[Session], float | None], topic: str = "money"
) -> tuple[float, float, int] | Said:
    """Amount, cords and number of the sessions that recorded an amount; or the cell that waits for a mend."""
    amounts, cords = [], []
    for figures in totals.counted:
        if topic in figures.session.broken:
            return needs(figures.session.broken[topic])
        used = amount(figures.session)
        if used is not None and figures.quantity is not None:
            amounts.append(used)
            cords.append(figures.quantity.cords)
    return math.fsum(amounts), math.fsum(cords), len(amounts)


def from_sessions(sessions_n: int, all_n: int) -> Said | None:
    """Which sessions recorded an amount; None if all did."""
    return None if sessions_n == all_n else said(Basis.FROM_SESSIONS, n=sessions_n, all_n=all_n)
