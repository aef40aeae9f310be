"""What money and emissions start from: the season, its methods' totals, and the amounts that sessions recorded."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from wood_xl.hours.common import wood_of
from wood_xl.hours.equal_terms import AMOUNTS, EqualSeason, recording
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.sessions import needs
from wood_xl.ids import Recorded
from wood_xl.reasons import Basis, Said, said
from wood_xl.records import Season, Tool


@dataclass(frozen=True)
class CostStudy:
    """What all methods' costs share; ownership is spread over ``yearly_cords``."""

    season: Season
    totals: Sequence[MethodTotals]
    yearly_cords: float | None
    _recorded: dict[tuple[str, Recorded, str], tuple[float, int] | Said] = field(default_factory=dict)

    @cached_property
    def equal(self) -> EqualSeason:
        """What the methods take on equal terms."""
        return EqualSeason(self.totals)

    def at(self, times: float) -> CostStudy:
        """The same for another yearly volume, which moves nothing that a cord takes of hours or fuel."""
        other = replace(self, yearly_cords=None if self.yearly_cords is None else times * self.yearly_cords)
        vars(other)["equal"] = self.equal
        return other

    def with_totals(self, totals: Sequence[MethodTotals]) -> CostStudy:
        """The same season with other sessions counted."""
        return CostStudy(self.season, totals, self.yearly_cords)

    @property
    def tools(self) -> dict[str, Tool]:
        """Tools by name."""
        return {tool.name: tool for tool in self.season.tools}


def recorded(
    totals: MethodTotals, what: Recorded, study: CostStudy, topic: str = "money"
) -> tuple[float, int] | Said:
    """An amount for a cord on equal terms, and how many sessions recorded it; or the cell that waits for a mend."""
    key, known = (totals.method.name, what, topic), study._recorded
    if key not in known:
        known[key] = _sum_of_recorded(totals, what, study, topic)
    return known[key]


def _sum_of_recorded(totals: MethodTotals, what: Recorded, study: CostStudy, topic: str) -> tuple[float, int] | Said:
    broken = [s.session.broken[topic] for s in totals.counted if topic in s.session.broken]
    if broken:
        return needs(broken[0])
    sessions = recording(totals, what)
    if not sessions:
        return 0.0, 0
    amount = math.fsum(AMOUNTS[what](s) or 0.0 for s in sessions)
    return amount / math.fsum(wood_of(sessions)) * study.equal.factor(totals, what), len(sessions)


def from_sessions(sessions_n: int, all_n: int) -> Said | None:
    """Which sessions recorded an amount; None if all did."""
    return None if sessions_n == all_n else said(Basis.FROM_SESSIONS, n=sessions_n, all_n=all_n)
