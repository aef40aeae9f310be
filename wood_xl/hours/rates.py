"""Time and effort of a method for a cord, with the interval that its sessions and common doubt leave."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from wood_xl.draws.compare import LogEstimate, steadied
from wood_xl.draws.ensemble import WORLDS, Design
from wood_xl.draws.figure import Figure, not_given, with_draws
from wood_xl.draws.moderated import Rate, rate_of_sessions, ratio_of_totals
from wood_xl.draws.normal import Array
from wood_xl.draws.shared_factors import log_variance, widened
from wood_xl.hours.common import Common, effort_in_common, time_in_common, wood_of
from wood_xl.hours.methods import NO_SESSION, MethodTotals, effort_basis
from wood_xl.hours.sessions import SessionFigures, SessionTime, effort_totals
from wood_xl.hours.taken import sessions_factor, sessions_key
from wood_xl.ids import Input
from wood_xl.reasons import Reason, Refused, Said, said
from wood_xl.records import Season

Amount = Callable[[SessionFigures], float | Said]

NOTHING_SPENT = said(Reason.NOTHING_SPENT)
EFFORTS = ("kcal_net", "kcal_gross")


@dataclass(frozen=True)
class MethodRate:
    """One figure of a method with all that makes it unsure.

    amounts, quantities: what each of its sessions took, and its wood.
    rate: with the scatter of the sessions.
    common: what it shares with figures of other methods.
    common_variance: variance of its log by that.
    estimate: with both.
    """

    totals: MethodTotals
    figure_id: str
    amounts: list[float]
    quantities: list[float]
    rate: Rate
    common: Common
    common_variance: float
    estimate: LogEstimate

    @property
    def name(self) -> str:
        """Of the method."""
        return self.totals.method.name

    def members(self, design: Design = WORLDS) -> Array:
        """By draws of its common factors and of the method's sessions, which all figures of the method share."""
        own = Input.EFFORT_OF_A_CORD if self.figure_id in EFFORTS else Input.WORKING_HOURS
        return self.common.members(design) * sessions_factor(self.totals, self.rate, own, design)

    @property
    def sessions_key(self) -> Said:
        """Key of the scatter of the method's sessions."""
        return sessions_key(self.totals)

    @property
    def by_session(self) -> list[float]:
        """Rate of each session."""
        return [a / q for a, q in zip(self.amounts, self.quantities, strict=True)]


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


def method_rate(totals: MethodTotals, figure_id: str, season: Season) -> MethodRate | Said:
    """A figure of a method with its doubt, or why there is none."""
    amounts = _amounts(totals, figure_id)
    if isinstance(amounts, Said):
        return amounts
    if min(amounts) <= 0:
        return NOTHING_SPENT
    quantities = wood_of(totals.counted)
    rate = rate_of_sessions(amounts=amounts, quantities=quantities)
    if figure_id in EFFORTS:
        common = effort_in_common(totals, season, is_net=figure_id == "kcal_net")
    else:
        common = time_in_common(totals, season, rate.value)
    try:
        variance = log_variance(draws=common.draws)
    except Refused as refused:
        return refused.why
    estimate = widened(estimate=steadied(rate=rate), common_variance=variance)
    return MethodRate(totals, figure_id, amounts, quantities, rate, common, variance, estimate)


def rate_figure(totals: MethodTotals, figure_id: str, season: Season) -> Figure:
    """A figure of a method: sum over sum, not a mean of rates, with its interval."""
    plain = plain_rate(totals, figure_id)
    return plain if plain.value is None else with_ends(plain, method_rate(totals, figure_id, season))


def plain_rate(totals: MethodTotals, figure_id: str) -> Figure:
    """The same without its interval."""
    amounts = _amounts(totals, figure_id)
    if isinstance(amounts, Said):
        return not_given(amounts)
    basis = effort_basis(totals.counted) if figure_id in EFFORTS else None
    return Figure(ratio_of_totals(amounts=amounts, quantities=wood_of(totals.counted)), basis)


def with_ends(plain: Figure, found: MethodRate | Said) -> Figure:
    """A figure with its interval, or with the reason why there is none; its value stands also then."""
    return replace(plain, reason=found) if isinstance(found, Said) else with_draws(plain, found.members())


def _amounts(totals: MethodTotals, figure_id: str) -> list[float] | Said:
    """What each counted session took, or why that cannot be given for one of them."""
    found = []
    for session in totals.counted:
        amount = AMOUNTS[figure_id](session)
        if isinstance(amount, Said):
            return amount
        found.append(amount)
    return found or NO_SESSION
