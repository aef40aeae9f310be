"""Time and effort of a method for a cord, as measured and on equal terms."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace

from wood_xl.draws.figure import Figure, not_given
from wood_xl.hours.common import wood_of
from wood_xl.hours.equal_terms import EqualSeason
from wood_xl.hours.methods import NO_SESSION, MethodTotals, effort_basis
from wood_xl.hours.sessions import SessionFigures, SessionTime, effort_totals
from wood_xl.ids import Recorded
from wood_xl.reasons import Basis, Said, said, several

Amount = Callable[[SessionFigures], float | Said]

EFFORTS = ("kcal_net", "kcal_gross")
RECORDED = {
    "clock_hours": Recorded.CLOCK_HOURS,
    "worker_hours": Recorded.WORKER_HOURS,
    "delay_free_worker_hours": Recorded.WORKER_HOURS,
    "kcal_net": Recorded.KCAL,
    "kcal_gross": Recorded.KCAL,
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
    """The same on equal terms, without its interval."""
    measured = measured_rate(totals, figure_id)
    if measured.value is None:
        return measured
    terms = equal.terms(totals, RECORDED[figure_id])
    told = [one for one in (measured.basis, said(Basis.BY_MODEL) if terms and terms.is_by_model else None) if one]
    value = measured.value * equal.factor(totals, RECORDED[figure_id])
    return replace(measured, value=value, basis=several(told))
