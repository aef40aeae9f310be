"""What money and emissions start from: the season, totals of its methods, and what its sessions recorded and when."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from wood_xl.hours.equal_terms import AMOUNTS, EqualSeason
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.sessions import waiting
from wood_xl.ids import Recorded
from wood_xl.reasons import Said
from wood_xl.records import Season, Tool


@dataclass(frozen=True)
class CostStudy:
    """What the costs of all methods share; ownership is spread over ``yearly_cords``."""

    season: Season
    equal: EqualSeason
    yearly_cords: float | None

    @property
    def totals(self) -> Sequence[MethodTotals]:
        """Totals of all methods."""
        return self.equal.totals

    def at(self, times: float) -> CostStudy:
        """The study at another yearly volume, which changes no hours or fuel of a cord."""
        return replace(self, yearly_cords=None if self.yearly_cords is None else times * self.yearly_cords)

    @property
    def margin_frac(self) -> float | Said:
        """Smallest difference that matters, or the cell that waits for a mend."""
        return waiting(self.season.broken, "practical_margin") or self.season.practical_margin_frac

    @property
    def tools(self) -> dict[str, Tool]:
        """Tools by name."""
        return {tool.name: tool for tool in self.season.tools}


def dated_hours(totals: MethodTotals) -> list[tuple[str, float]]:
    """Date and clock hours of each counted session with a date."""
    return [(s.session.date, AMOUNTS[Recorded.CLOCK_HOURS](s) or 0.0) for s in totals.counted if s.session.date]


def hours_a_day(tool: Tool, study: CostStudy) -> float:
    """Mean clock hours of the days on which a tool was used; 0 without a date."""
    dated = [one for t in study.totals if tool.name in t.method.tools for one in dated_hours(t)]
    return math.fsum(hours for _, hours in dated) / max(1, len({date for date, _ in dated}))


def spells_begun(dates: Iterable[str], days_n: int) -> dict[str, str]:
    """First day of the spell of so many days that holds each date; a new spell begins when one is needed.

    >>> spells_begun(["2026-03-09", "2026-03-02", "2026-03-08"], 7)
    {'2026-03-02': '2026-03-02', '2026-03-08': '2026-03-02', '2026-03-09': '2026-03-09'}
    """
    first: dict[str, str] = {}
    begun = ""
    for date in sorted(set(dates)):
        if not begun or (dt.date.fromisoformat(date) - dt.date.fromisoformat(begun)).days >= days_n:
            begun = date
        first[date] = begun
    return first


def shared_spells(own: Sequence[tuple[str, float]], others: Sequence[tuple[str, float]], days_n: int) -> float:
    """How many spells of so many days some work takes; a spell with other work too counts by hours.

    own, others: dates and hours.

    >>> shared_spells([("2026-03-02", 2.0), ("2026-03-08", 1.0), ("2026-03-09", 1.0)], [("2026-03-09", 3.0)], 7)
    1.25
    """
    begun = spells_begun((date for date, _ in (*own, *others)), days_n)
    own_h, all_h = (dict.fromkeys(begun.values(), 0.0) for _ in range(2))
    for spell_h, work in ((own_h, own), (all_h, (*own, *others))):
        for date, hours in work:
            spell_h[begun[date]] += hours
    return math.fsum(hours / all_h[first] for first, hours in own_h.items() if hours)
