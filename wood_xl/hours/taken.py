"""What a cord takes of each amount that sessions record, by all draws: for all that is worked out from it.

Until the sessions have one model, a method's own draws are those of its rate, and all its amounts share them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from wood_xl.draws.compare import steadied
from wood_xl.draws.ensemble import WORLDS, Design, Number, OneByOne
from wood_xl.draws.inputs import by_sessions
from wood_xl.draws.moderated import Rate, rate_of_sessions
from wood_xl.draws.normal import Array
from wood_xl.draws.shared_factors import Term, common_draws
from wood_xl.hours.common import wood_in_common, wood_of
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.sessions import SessionFigures
from wood_xl.ids import Input, Recorded
from wood_xl.reasons import Key, Reason, Said, said
from wood_xl.records import Season

AMOUNTS: Mapping[Recorded, Callable[[SessionFigures], float | None]] = {
    Recorded.WORKER_HOURS: lambda s: None if s.time is None else s.time.worker_h,
    Recorded.CLOCK_HOURS: lambda s: None if s.time is None else s.time.clock_h,
    Recorded.AT_WORK: lambda s: None if s.time is None else s.time.machine_h,
    Recorded.RUNNING_HOURS: lambda s: s.session.running_min,
    Recorded.FUEL: lambda s: s.session.fuel_l,
    Recorded.BAR_OIL: lambda s: s.session.bar_oil_l,
    Recorded.ELECTRICITY: lambda s: s.session.electricity_kwh,
}
OWN_INPUTS = {
    Recorded.FUEL: Input.FUEL_OF_A_CORD,
    Recorded.BAR_OIL: Input.BAR_OIL_OF_A_CORD,
    Recorded.ELECTRICITY: Input.ELECTRICITY_OF_A_CORD,
}
OWN = (Input.SESSIONS, Input.WORKING_HOURS, Input.EFFORT_OF_A_CORD, *OWN_INPUTS.values())


@dataclass(frozen=True, eq=False)
class Taken:
    """A number by all draws, or as it stands with the reason why nothing is known of its doubt."""

    number: Number
    why: Said | None = None


@dataclass(frozen=True)
class TakenAmounts:
    """What a cord takes by each method, relative to its value, each drawn once."""

    season: Season
    design: Design = WORLDS
    _found: dict[tuple[str, Recorded], Taken] = field(default_factory=dict)

    def relative(self, totals: MethodTotals, what: Recorded) -> Taken:
        """An amount for a cord over its value, by the sessions that recorded it."""
        key = totals.method.name, what
        if key not in self._found:
            self._found[key] = self._drawn(totals, what)
        return self._found[key]

    def wood(self, totals: MethodTotals) -> Array:
        """A cord as it was measured over a cord as it is: the tape and the usual solid fraction."""
        powers, spreads = wood_in_common(totals, self.season)
        return common_draws(terms=[Term(1.0, powers)], spreads=spreads, design=self.design)

    def _drawn(self, totals: MethodTotals, what: Recorded) -> Taken:
        # Hours are moved by those at work alone; pauses and service are held.
        is_paced = isinstance(self.design, OneByOne) and what not in OWN_INPUTS
        what_drawn = Recorded.AT_WORK if is_paced else what
        rate = recorded_rate(totals, what_drawn)
        if isinstance(rate, Said):  # a session of delays alone leaves hours, and none at work
            what_drawn, rate = what, recorded_rate(totals, what)
        if isinstance(rate, Said):
            return Taken(1.0, rate)
        own = sessions_factor(totals, rate, OWN_INPUTS.get(what, Input.WORKING_HOURS), self.design)
        if what_drawn is not what and what is not Recorded.RUNNING_HOURS:
            own = 1 + (own - 1) * totals.time(lambda t: t.machine_h) / totals.time(lambda t: t.clock_h)
        return Taken(self.wood(totals) * own)


def sessions_factor(totals: MethodTotals, rate: Rate, own: Input, design: Design) -> Array | float:
    """What the scatter of a method's sessions leaves open of a rate, about 1."""
    if not design.has_sessions:
        return 1.0
    estimate = steadied(rate=rate)
    key = sessions_key(totals)
    if isinstance(design, OneByOne):
        key = said(own, method=totals.method.named)
    return by_sessions(key, math.sqrt(estimate.variance), estimate.df, design)


def sessions_key(totals: MethodTotals) -> Said:
    """Key of the scatter of a method's sessions."""
    return said(Input.SESSIONS, method=totals.method.named)


def is_own(key: Key) -> bool:
    """Whether a key is of what the sessions of a method alone leave open."""
    return isinstance(key, Said) and key.id in OWN


def recording(totals: MethodTotals, what: Recorded) -> list[SessionFigures]:
    """Counted sessions that recorded an amount."""
    return [s for s in totals.counted if s.quantity is not None and AMOUNTS[what](s) is not None]


def recorded_rate(totals: MethodTotals, what: Recorded) -> Rate | Said:
    """Rate of an amount for a cord over the sessions that recorded it; or why it has no interval."""
    sessions = recording(totals, what)
    amounts = [AMOUNTS[what](s) or 0.0 for s in sessions]
    if not amounts or min(amounts) <= 0:
        return said(Reason.TOOK_NO, what=what)
    return rate_of_sessions(amounts=amounts, quantities=wood_of(sessions))
