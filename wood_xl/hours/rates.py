"""Time and effort of a cord as measured and on equal terms, and each recorded amount by all members."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from wood_xl.draws.ensemble import WORLDS, Design, Number, OneByOne, ends, kept
from wood_xl.draws.figure import Figure, not_given
from wood_xl.draws.normal import Array
from wood_xl.hours.common import drawn_wood, quantities_of, wood_of
from wood_xl.hours.equal_terms import EqualSeason, recording
from wood_xl.hours.methods import NO_SESSION, MethodTotals, effort_basis
from wood_xl.hours.sessions import SessionFigures, SessionTime, effort_totals
from wood_xl.ids import Input, Recorded
from wood_xl.reasons import Basis, Key, Reason, Said, said, several
from wood_xl.records import Season

Amount = Callable[[SessionFigures], float | Said]

EFFORTS = ("kcal_net", "kcal_gross")
RECORDED = {
    "clock_hours": Recorded.CLOCK_HOURS,
    "worker_hours": Recorded.WORKER_HOURS,
    "delay_free_worker_hours": Recorded.WORKER_HOURS,
    "kcal_net": Recorded.KCAL,
    "kcal_gross": Recorded.KCAL,
}
OWN_INPUTS = {
    Recorded.FUEL: Input.FUEL_OF_A_CORD,
    Recorded.BAR_OIL: Input.BAR_OIL_OF_A_CORD,
    Recorded.ELECTRICITY: Input.ELECTRICITY_OF_A_CORD,
    Recorded.KCAL: Input.EFFORT_OF_A_CORD,
}


def _hours(part: Callable[[SessionTime], float]) -> Amount:
    return lambda session: NO_SESSION if session.time is None else part(session.time)


def _kcal(place: int) -> Amount:
    def amount(session: SessionFigures) -> float | Said:
        both = effort_totals(session)
        return both if isinstance(both, Said) else both[place]

    return amount


AMOUNTS: Mapping[str, Amount] = {
    "clock_hours": _hours(lambda t: t.clock_h),
    "worker_hours": _hours(lambda t: t.worker_h),
    "delay_free_worker_hours": _hours(lambda t: t.delay_free_worker_h),
    "kcal_net": _kcal(1),
    "kcal_gross": _kcal(0),
}


def measured_rate(totals: MethodTotals, figure_id: str) -> Figure:
    """A figure of a method as measured: sum over sum, not a mean of rates."""
    amounts = []
    for session in totals.counted:
        amount = AMOUNTS[figure_id](session)
        if isinstance(amount, Said):
            return not_given(amount)
        amounts.append(amount)
    if not amounts:
        return not_given(totals.why_none)
    basis = effort_basis(totals.counted) if figure_id in EFFORTS else None
    return Figure(math.fsum(amounts) / math.fsum(wood_of(totals.counted)), basis)


def plain_rate(totals: MethodTotals, figure_id: str, equal: EqualSeason) -> Figure:
    """A figure of a method on equal terms, without its interval."""
    measured = measured_rate(totals, figure_id)
    if measured.value is None:
        return measured
    terms = equal.terms(totals, RECORDED[figure_id])
    bases = [one for one in (measured.basis, said(Basis.BY_MODEL) if terms and terms.is_by_model else None) if one]
    value = measured.value * equal.factor(totals, RECORDED[figure_id])
    return replace(measured, value=value, basis=several(bases))


@dataclass(frozen=True, eq=False)
class Taken:
    """A number by all members, or its nominal value with the reason why its doubt is unknown."""

    number: Number
    why: Said | None = None


@dataclass(frozen=True)
class TakenAmounts:
    """Amounts of a cord by each method on equal terms over their values, each drawn once."""

    season: Season
    equal: EqualSeason
    design: Design = WORLDS

    @kept
    def relative(self, totals: MethodTotals, what: Recorded) -> Taken:
        """An amount for a cord over its value: doubt from the sessions and from the measured wood."""
        own = self.by_sessions(totals, what)
        return own if own.why else Taken(self.wood(totals) * own.number)

    def wood(self, totals: MethodTotals) -> Array:
        """A measured cord over a true one, by doubt of the tape and the usual solid fraction."""
        return drawn_wood(quantities_of([totals]), self.season, "cords", power=-1.0, design=self.design)

    def by_sessions(self, totals: MethodTotals, what: Recorded) -> Taken:
        """Doubt of an amount from the sessions, as members around 1.

        Moved one by one, it goes to the printed ends of the amount, and all hours of a method move together.
        """
        if not recording(totals, what):
            return Taken(1.0, said(Reason.TOOK_NO, what=what))
        odd = self.equal.odd_session(totals, what)
        if odd is not None:
            return Taken(1.0, said(Reason.SESSIONS_UNLIKE, session=odd))
        if not self.design.has_sessions:
            return Taken(1.0)
        members = self.equal.members(totals, what)
        if not isinstance(self.design, OneByOne) or np.ndim(members) == 0:
            return Taken(members)
        scores = self.design.scores(said(OWN_INPUTS.get(what, Input.WORKING_HOURS), method=totals.method.named))
        low, high = ends(np.asarray(members) * TakenAmounts(self.season, self.equal).wood(totals))
        return Taken(np.where(scores < 0, min(low, 1.0), np.where(scores > 0, max(high, 1.0), 1.0)))


def is_own(key: Key) -> bool:
    """Whether a key is of doubt from a method's own sessions."""
    return isinstance(key, Said) and key.id in (Input.WORKING_HOURS, *OWN_INPUTS.values())
