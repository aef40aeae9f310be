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
from wood_xl.hours.methods import MethodTotals, effort_basis
from wood_xl.hours.sessions import SessionTime, effort_totals
from wood_xl.ids import Input, Recorded
from wood_xl.reasons import Basis, Key, Reason, Said, said, several
from wood_xl.records import Season

HOURS: Mapping[str, Callable[[SessionTime], float]] = {
    "clock_hours": lambda t: t.clock_h,
    "worker_hours": lambda t: t.worker_h,
    "delay_free_worker_hours": lambda t: t.delay_free_worker_h,
}
EFFORTS = {"kcal_net": 1, "kcal_gross": 0}  # place among the efforts of a session
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


def measured_rate(totals: MethodTotals, figure_id: str) -> Figure:
    """A figure of a method as measured: sum over sum, not a mean of rates."""
    if not totals.counted:
        return not_given(totals.why_none)
    cords = math.fsum(wood_of(totals.counted))
    if figure_id in HOURS:
        return Figure(totals.time(HOURS[figure_id]) / cords)
    kcal = []
    for session in totals.counted:
        efforts = effort_totals(session)
        if isinstance(efforts, Said):
            return not_given(efforts)
        kcal.append(efforts[EFFORTS[figure_id]])
    return Figure(math.fsum(kcal) / cords, effort_basis(totals.counted))


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
