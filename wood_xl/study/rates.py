"""Time and effort of a method for one measure of wood, with the interval that its own sessions leave."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from wood_xl.calc.figure import Figure, not_given
from wood_xl.calc.rates import Rate, rate_of_sessions, ratio_of_totals
from wood_xl.study.methods import NO_SESSION, MethodTotals, effort_basis
from wood_xl.study.quantity import SessionQuantity
from wood_xl.study.sessions import SessionFigures, SessionTime, effort_totals

Amount = Callable[[SessionFigures], float | str]
Per = Callable[[SessionQuantity], float]

NOTHING_SPENT = "a session took none of it"
EFFORTS = ("kcal_net", "kcal_gross")


def _hours(part: Callable[[SessionTime], float]) -> Amount:
    return lambda session: NO_SESSION if session.time is None else part(session.time)


def _kcal(place: int) -> Amount:
    def amount(session: SessionFigures) -> float | str:
        both = effort_totals(session)
        return both if isinstance(both, str) else both[place]

    return amount


AMOUNTS: Mapping[str, Amount] = {
    "clock_hours": _hours(lambda t: t.clock_h),
    "worker_hours": _hours(lambda t: t.worker_h),
    "delay_free_worker_hours": _hours(lambda t: t.delay_free_worker_h),
    "kcal_net": _kcal(1),
    "kcal_gross": _kcal(0),
}


def amounts_of(totals: MethodTotals, figure_id: str) -> list[float] | str:
    """What each counted session took, or why that cannot be given for one of them.

    References
    ----------
    wood_xl_definitions, a figure of a method needs all its sessions.
    """
    found = []
    for session in totals.counted:
        amount = AMOUNTS[figure_id](session)
        if isinstance(amount, str):
            return amount
        found.append(amount)
    return found or NO_SESSION


def quantities_of(totals: MethodTotals, per: Per) -> list[float]:
    """Wood of each counted session."""
    return [per(session.quantity) for session in totals.counted if session.quantity is not None]


def rates_by_session(totals: MethodTotals, figure_id: str) -> list[float]:
    """Rate per cord of each counted session, in their order; empty if it cannot be given for all."""
    amounts = amounts_of(totals, figure_id)
    if isinstance(amounts, str) or min(amounts) <= 0:
        return []
    return [a / q for a, q in zip(amounts, quantities_of(totals, lambda q: q.cords), strict=True)]


def session_rate(totals: MethodTotals, figure_id: str, per: Per) -> Rate | str:
    """A figure of a method with its scatter, or why there is none."""
    amounts = amounts_of(totals, figure_id)
    if isinstance(amounts, str):
        return amounts
    if min(amounts) <= 0:
        return NOTHING_SPENT
    return rate_of_sessions(amounts=amounts, quantities=quantities_of(totals, per))


def rate_figure(totals: MethodTotals, figure_id: str, per: Per) -> Figure:
    """A figure of a method: sum over sum, not a mean of rates, with its interval."""
    amounts = amounts_of(totals, figure_id)
    if isinstance(amounts, str):
        return not_given(amounts)
    basis = effort_basis(totals.counted) if figure_id in EFFORTS else ""
    rate = session_rate(totals, figure_id, per)
    if isinstance(rate, str):
        value = ratio_of_totals(amounts=amounts, quantities=quantities_of(totals, per))
        return Figure(value, basis, reason=rate)
    low, high = rate.interval
    return Figure(rate.value, basis, low, high, "")
