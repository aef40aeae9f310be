"""A figure of a method as a sum of parts, each with what it goes with: recorded amounts and common factors.

Cash and CO2e are no amounts that a session writes down: they follow from hours, fuel and electricity, which have the
scatter of the sessions that recorded them, and from prices, lives and factors, which all sessions share.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import NormalDist

from wood_xl.data.load import value
from wood_xl.draws.moderated import Rate, effective_sessions, rate_of_parts, rate_of_sessions
from wood_xl.draws.shared_factors import Term
from wood_xl.hours.common import Common, wood_in_common, wood_of
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.sessions import SessionFigures
from wood_xl.ids import Recorded
from wood_xl.reasons import Key, Reason, Said, said
from wood_xl.records import Season

WOOD = Recorded.WOOD
WORKER_HOURS, CLOCK_HOURS = Recorded.WORKER_HOURS, Recorded.CLOCK_HOURS
AT_WORK, RUNNING_HOURS = Recorded.AT_WORK, Recorded.RUNNING_HOURS
FUEL, BAR_OIL, ELECTRICITY = Recorded.FUEL, Recorded.BAR_OIL, Recorded.ELECTRICITY

RECORDED: Mapping[Recorded, Callable[[SessionFigures], float | None]] = {
    WOOD: lambda s: None if s.quantity is None else s.quantity.cords,
    WORKER_HOURS: lambda s: None if s.time is None else s.time.worker_h,
    CLOCK_HOURS: lambda s: None if s.time is None else s.time.clock_h,
    AT_WORK: lambda s: None if s.time is None else s.time.machine_h,
    RUNNING_HOURS: lambda s: s.session.running_min,
    FUEL: lambda s: s.session.fuel_l,
    BAR_OIL: lambda s: s.session.bar_oil_l,
    ELECTRICITY: lambda s: s.session.electricity_kwh,
}


@dataclass(frozen=True, slots=True)
class FigurePart:
    """One part of a figure, for a cord.

    value: nominal, above 0.
    recorded: what sessions recorded to the power that the part goes with it.
    common: key of a common factor to its power.
    """

    value: float
    recorded: Mapping[Recorded, float]
    common: Mapping[Key, float]


@dataclass(frozen=True, slots=True)
class FigureParts:
    """All parts of a figure of a method, and the doubt of each common factor in them.

    parts: for a cord.
    unit: what sessions recorded that the figure is for one unit of: wood, or hours. For an hour, what a part takes
        from its sessions is what they took in an hour, and a part that goes with none of it the hours of a cord.
    """

    parts: tuple[FigurePart, ...]
    spreads: Mapping[Key, float]
    unit: Recorded = WOOD

    @property
    def factors(self) -> list[Term]:
        """The parts by what all sessions share alone, as of an amount that was recorded and is in no doubt itself."""
        return [Term(part.value, part.common) for part in self.parts]

    def is_recorded(self, totals: MethodTotals) -> bool:
        """Whether every counted session recorded all that they go with, so that a trial's sum is no estimate."""
        recorded = {what for part in self.parts for what in part.recorded}
        return all(len(recording(totals, what)) == len(totals.counted) for what in recorded)

    def with_factor(self, key: Key, power: float, spread: float) -> FigureParts:
        """The same where all of it goes with one more common factor, or with another power of it."""
        parts = []
        for part in self.parts:
            common = {**part.common, key: part.common.get(key, 0.0) + power}
            parts.append(replace(part, common={name: own for name, own in common.items() if own}))
        return FigureParts(tuple(parts), {**self.spreads, key: spread})

    @property
    def powers(self) -> dict[Recorded, float]:
        """What sessions recorded to the power that the whole figure goes with it.

        Powers are those at the nominal point: of a tool's part, its mean over one standard error either way.
        """
        powers = dict.fromkeys((WORKER_HOURS,), 0.0)
        whole = math.fsum(part.value for part in self.parts)
        for part in self.parts:
            by_unit = 1 - math.fsum(part.recorded.values())
            for what, power in (*part.recorded.items(), (WOOD, by_unit)):
                if what != self.unit:
                    powers[what] = powers.get(what, 0.0) + power * part.value / whole
        return powers

    def rate(self, totals: MethodTotals, figure: float) -> Rate | Said:
        """The figure with the scatter of the sessions that recorded what it goes with; or why there is none."""
        found = []
        for what, power in self.powers.items():
            rate = recorded_rate(totals, what, self.unit)
            if isinstance(rate, Said):
                return rate
            found.append((power, rate))
        return rate_of_parts(figure=figure, parts=found)

    def sessions(self, totals: MethodTotals) -> list[SessionFigures]:
        """Sessions that recorded what tells least of all that the figure goes with."""
        return min((recording(totals, what) for what in self.powers), key=_tell)

    def in_common(self, totals: MethodTotals, season: Season) -> Common:
        """What the figure shares with others, for a cord, or for an hour.

        Recorded amounts were divided by measured wood; a part that goes with none of them, as the ownership of a tool
        that dies by age, does so only as far as a unit differs from the cord that the yearly volume counts.
        """
        a_cord, wood_spreads = wood_in_common(totals, season)
        if self.unit == WOOD:
            a_unit, units = a_cord, totals.cords
        else:
            a_unit = {}
            units = math.fsum(RECORDED[self.unit](session) or 0.0 for session in totals.counted)
        scale = totals.cords / units
        terms = []
        for part in self.parts:
            by_wood = math.fsum(part.recorded.values())
            wood = {key: a_unit.get(key, 0.0) + (by_wood - 1) * a_cord.get(key, 0.0) for key in a_cord}
            powers = {key: power for key, power in {**wood, **part.common}.items() if power}
            terms.append(Term(part.value * scale, powers))
        spreads = {**wood_spreads, **self.spreads}
        return Common(terms, {key: spreads[key] for key in dict.fromkeys(k for term in terms for k in term.powers)})


def recording(totals: MethodTotals, what: Recorded) -> list[SessionFigures]:
    """Counted sessions that recorded an amount."""
    return [s for s in totals.counted if s.quantity is not None and RECORDED[what](s) is not None]


def _tell(sessions: Sequence[SessionFigures]) -> float:
    return effective_sessions(quantities=wood_of(sessions))


def recorded_rate(totals: MethodTotals, what: Recorded, unit: Recorded = WOOD) -> Rate | Said:
    """Rate of an amount, for a cord or an hour, over the sessions that recorded it; or why it has no interval."""
    sessions = recording(totals, what)
    amounts, units = ([RECORDED[name](s) or 0.0 for s in sessions] for name in (what, unit))
    for name, found in ((what, amounts), (unit, units)):
        if not found or min(found) <= 0:
            return said(Reason.TOOK_NO, what=name)
    return rate_of_sessions(amounts=amounts, quantities=units)


def range_spread(width_log: float) -> float:
    """Relative standard uncertainty of a factor whose range, as wide as this by its log, holds 95 %."""
    return spread_of_sd(width_log / (2 * NormalDist().inv_cdf((1 + value("interval.level") / 100) / 2)))


def spread_of_sd(sd_log: float) -> float:
    """Relative standard uncertainty of a factor by the standard deviation of its log."""
    return math.sqrt(math.expm1(sd_log**2))


def figure_parts(parts: Iterable[FigurePart], spreads: Mapping[Key, float]) -> FigureParts:
    """Parts that are more than 0, with the doubt of their factors."""
    return FigureParts(tuple(part for part in parts if part.value > 0), spreads)


def parts_of_amount(worth: float, what: Recorded) -> FigureParts:
    """Of an amount that sessions recorded, by itself."""
    return figure_parts([FigurePart(worth, {what: 1.0}, {})], {})
