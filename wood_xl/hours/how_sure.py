"""How sure each figure of a method is: by its own sessions alone, and with all that is assumed or common."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

from wood_xl.data.load import value
from wood_xl.draws.compare import steadied
from wood_xl.draws.figure import Figure, TableRow, not_given
from wood_xl.draws.further_sessions import Trial, further_sessions
from wood_xl.draws.moderated import Rate, dominating_session, quality
from wood_xl.draws.shared_factors import probability_of_least
from wood_xl.hours.methods import MethodTotals, by_task
from wood_xl.hours.rates import MethodRate
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.reasons import Reason, Said, said
from wood_xl.verdicts import Further, Quality

FIGURES = ("worker_hours", "clock_hours", "kcal_net")
FOLLOWING = ("cash", "co2e")  # follow from what sessions recorded, so that no day has one of its own
ONE_SESSION = said(Reason.ONE_SESSION)


@dataclass(frozen=True, eq=False)
class HowSureRow(TableRow):
    """How sure one figure of a method is; its unit is that of the figure, and put in where it is shown."""

    table: ClassVar[str] = "how_sure"
    method: str
    task: str
    figure: str
    sessions_n: int
    quality: Quality
    rate: Figure
    data_only: Figure
    next_session: Figure
    standard_error: Figure
    spread: Figure
    common_doubt: Figure
    common_factors: Said | None
    least: Figure
    sessions_effective: Figure
    dominated_by: str
    further: Said
    unit: str = ""


def how_sure_rows(totals: Sequence[MethodTotals], rates: SeasonRates) -> list[HowSureRow]:
    """One row for each method and figure, per cord."""
    tried = [t for t in totals if t.counted]
    least: dict[tuple[str, str], Figure] = {}
    for methods in by_task(totals):
        for figure_id in (*FIGURES, *FOLLOWING):
            found = {t.method.name: rates.rate(t, figure_id) for t in methods}
            least |= {(name, figure_id): figure for name, figure in _least(found).items()}
    return [
        _row(t, figure_id, rates, least[t.method.name, figure_id])
        for t in tried
        for figure_id in (*FIGURES, *FOLLOWING)
    ]


def _least(rates: dict[str, MethodRate | Said]) -> dict[str, Figure]:
    """Probability that each method of a task takes least; what is common to two of them cancels."""
    known = [rate for rate in rates.values() if isinstance(rate, MethodRate)]
    if len(rates) == 1:
        return dict.fromkeys(rates, not_given(said(Reason.ONLY_METHOD)))
    if len(known) < len(rates):
        name, why = next((name, rate) for name, rate in rates.items() if isinstance(rate, Said))
        return dict.fromkeys(rates, not_given(said(Reason.OF_METHOD, method=name, why=why)))
    shares = probability_of_least(
        keys=[rate.sessions_key for rate in known],
        sessions=[steadied(rate=rate.rate) for rate in known],
        common=[rate.common.draws for rate in known],
    )
    end = value("compare.shown_end")
    shown = [min(max(share, 1 - end), end) for share in shares]
    return {rate.name: Figure(100 * share) for rate, share in zip(known, shown, strict=True)}


def _row(totals: MethodTotals, figure_id: str, rates: SeasonRates, least: Figure) -> HowSureRow:
    found = rates.rate(totals, figure_id)
    n = len(totals.counted) if isinstance(found, Said) else found.rate.n
    nothing = not_given(found if isinstance(found, Said) else said(Reason.NOT_BY_SESSIONS))
    row = HowSureRow(
        method=totals.method.name,
        task=totals.method.task,
        figure=figure_id,
        sessions_n=n,
        quality=quality(sessions_n=n),
        rate=replace(rates.figure(totals, figure_id), basis=None),
        data_only=nothing,
        next_session=nothing,
        standard_error=nothing,
        spread=nothing,
        common_doubt=nothing,
        common_factors=None,
        least=least,
        sessions_effective=nothing,
        dominated_by="",
        further=found if isinstance(found, Said) else said(Further.NONE),
    )
    return row if isinstance(found, Said) else _with_doubt(row, found)


def _with_doubt(row: HowSureRow, found: MethodRate) -> HowSureRow:
    common = replace(row, common_doubt=Figure(100 * found.common_variance**0.5), common_factors=found.common.told)
    rate, largest = found.rate, dominating_session(quantities=found.quantities)
    if not rate.spread:  # as the cash of a tool that wears by age
        return replace(common, quality=Quality.NOT_BY_SESSIONS)
    data, error = rate.data_interval, rate.linear_se_frac
    return replace(
        common,
        data_only=not_given(ONE_SESSION) if data is None else Figure(rate.value, None, *data),
        next_session=Figure(rate.value, None, *rate.next_session),
        standard_error=not_given(ONE_SESSION) if error is None else Figure(100 * error),
        spread=Figure(100 * rate.spread),
        sessions_effective=Figure(rate.n_eff),
        dominated_by="" if largest is None else found.sessions[largest].session.name,
        further=further((trial_of(rate), None)),
    )


def trial_of(rate: Rate) -> Trial:
    """Where a method stands, to see how many sessions are still needed."""
    return Trial(n=rate.n, spread=rate.spread, df=rate.df)


def further(first: tuple[Trial, Said | None], second: tuple[Trial, Said | None] | None = None) -> Said:
    """Sessions still needed, and the larger number if days differ more than they seem to."""
    sides = [side for side in (first, second) if side is not None]
    trials = [trial for trial, _ in sides]
    factor = value("plan.half_width")
    likely = _sessions(trials, factor)
    if likely is None:
        return said(Further.OUT_OF_REACH, most=value("plan.most_sessions"))
    if not sum(likely):
        return said(Further.NONE)
    careful = _sessions([trial.pessimistic for trial in trials], factor)
    needed = tuple(
        said(Further.SO_MANY, n=n) if what is None else said(Further.SO_MANY_OF, n=n, what=what)
        for n, (_, what) in zip(likely, sides, strict=False)
        if n
    )
    if careful is None:
        return said(Further.MAYBE_OUT_OF_REACH, needed=needed)
    return said(Further.NEEDED, needed=needed, unlucky=sum(careful))


def _sessions(trials: Sequence[Trial], factor: float) -> tuple[int, int] | None:
    return further_sessions(first=trials[0], second=trials[1] if len(trials) > 1 else None, factor=factor)
