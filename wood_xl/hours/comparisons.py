"""Every pair of methods of a task side by side, on all the grounds that the notes allow."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import ClassVar

import numpy as np

from wood_xl.data.load import value
from wood_xl.draws.compare import (
    DrawnRatio,
    LogEstimate,
    Outcome,
    Ratio,
    mean_of_logs,
    probability_above,
    probability_within,
    ratio_of_rates,
    steadied,
    surety,
    verdict,
)
from wood_xl.draws.ensemble import WORLDS
from wood_xl.draws.figure import EXACT, Figure, TableRow, drawn, not_given
from wood_xl.draws.further_sessions import Trial
from wood_xl.draws.moderated import ratio_of_totals
from wood_xl.draws.shared_factors import log_variance, widened
from wood_xl.hours.how_sure import FIGURES, FOLLOWING, further, trial_of
from wood_xl.hours.log_sizes import LogSize
from wood_xl.hours.methods import MethodTotals, by_task
from wood_xl.hours.rates import MethodRate
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.hours.sessions import needs
from wood_xl.reasons import Basis, Reason, Refused, Said, said, several
from wood_xl.verdicts import Counts, Further, Ground, Surety, Verdict
from wood_xl.wood.amounts import lot_key
from wood_xl.wood.log_slope import ratio_at_one_diameter

HOURS = ("worker_hours", "clock_hours")
SINGLE = said(Reason.SINGLE)


@dataclass(frozen=True)
class Pair:
    """Two methods of one task and one figure of them.

    more, less: the one that takes more over all sessions, and the other.
    pairs_n: pairs of methods of the task that are judged at once.
    """

    figure: str
    more: MethodRate
    less: MethodRate
    pairs_n: int


@dataclass(frozen=True)
class Compared:
    """One ground to compare a pair on.

    ratio, data_only: more over less, as it is judged and from the notes alone; or why there is none.
    further: sessions still needed.
    basis: what must be said beside the ratio.
    """

    ground: Ground
    ratio: LogEstimate | Said
    data_only: LogEstimate | Said
    further: Said
    basis: Said | None = None


@dataclass(frozen=True, eq=False)
class ComparisonRow(TableRow):
    """Two methods of a task by one figure, on one ground."""

    table: ClassVar[str] = "comparisons"
    task: str
    figure: str
    more: str
    less: str
    ground: Ground
    counts: Counts
    ratio: Figure
    data_only: Figure
    takes_less: Figure
    beyond_margin: Figure
    within_margin: Figure
    surety: Surety
    verdict: Said
    further: Said


def comparison_rows(
    totals: Sequence[MethodTotals], rates: SeasonRates, sizes: Mapping[str, LogSize]
) -> list[ComparisonRow]:
    """One row for each pair, figure and ground; the ground that counts stands first."""
    rows, season = [], rates.study.season
    margin: float | Said = 1 + season.practical_margin_frac
    if "practical_margin" in season.broken:
        margin = needs(season.broken["practical_margin"])
    for methods in by_task(totals):
        pairs = list(combinations(methods, 2))
        for figure_id in (*FIGURES, *FOLLOWING):
            for both in pairs:
                rows += _pair_rows(figure_id, both, len(pairs), margin, sizes, rates)
    return rows


def _pair_rows(
    figure_id: str,
    both: tuple[MethodTotals, MethodTotals],
    pairs_n: int,
    margin: float | Said,
    sizes: Mapping[str, LogSize],
    rates: SeasonRates,
) -> list[ComparisonRow]:
    if figure_id in FOLLOWING:
        return [_following_row(figure_id, both, pairs_n, margin, rates)]
    one, other = (rates.rate(t, figure_id) for t in both)
    if isinstance(one, Said) or isinstance(other, Said):
        why = next(found for found in (one, other) if isinstance(found, Said))
        grounds = enumerate(_grounds_without(both))
        return [_missing_row(figure_id, both, ground, why, counts=not i) for i, ground in grounds]
    more, less = (other, one) if other.rate.value > one.rate.value else (one, other)
    pair = Pair(figure_id, more, less, pairs_n)
    return [_row(pair, ground, margin, rates, counts=not i) for i, ground in enumerate(_grounds(pair, sizes))]


def _following_row(
    figure_id: str,
    both: tuple[MethodTotals, MethodTotals],
    pairs_n: int,
    margin: float | Said,
    rates: SeasonRates,
) -> ComparisonRow:
    """Two methods by a figure that no session writes down: their draws, member by member."""
    figures = [rates.figure(t, figure_id) for t in both]
    for figure in figures:
        if figure.value is None or (figure.members is None and figure.reason not in EXACT):
            return _missing_row(figure_id, both, Ground.ALL_SESSIONS, figure.why, counts=True)
    if not all(figure.value or figure.members is not None for figure in figures):
        none = [not figure.value for figure in figures]
        return _none_row(figure_id, both[::-1] if none[0] else both, alike=all(none), margin=margin)
    if (figures[1].value or 0.0) > (figures[0].value or 0.0):
        both, figures = both[::-1], figures[::-1]
    row = _missing_row(figure_id, both, Ground.ALL_SESSIONS, said(Reason.NOT_BY_SESSIONS), counts=True)
    return _judged_by_draws(row, figures, pairs_n, margin, said(Reason.NOT_BY_SESSIONS))


def _judged_by_draws(
    row: ComparisonRow, figures: Sequence[Figure], pairs_n: int, margin: float | Said, further: Said
) -> ComparisonRow:
    """The ratio of two figures as they are shown, draw by draw; none where one of them may well be 0 or less."""
    more, less = figures
    if not less.value or any(one.low is not None and one.low <= 0 for one in figures):
        too_unsure = said(Reason.TOO_UNSURE)
        return replace(row, ratio=not_given(too_unsure), further=too_unsure)
    above, below = np.asarray(more.number), np.asarray(less.number)
    # Of the few draws in which one costs nothing or brings something in, it is the one that takes less.
    ratio = np.where(below > 0, np.maximum(above, 0.0) / np.where(below > 0, below, 1.0), np.inf)
    judged = DrawnRatio(np.broadcast_to(ratio, WORLDS.shape))
    return _judged(row, judged, pairs_n, margin, further)


def _with_common(pair: Pair, ratio: LogEstimate) -> LogEstimate | Said:
    """A ratio by sessions with what the two methods do not share, or why it has none; what they share cancels."""
    draws = pair.more.common.draws / pair.less.common.draws
    try:
        variance = log_variance(draws=draws)
    except Refused as refused:
        return refused.why
    return widened(estimate=ratio, common_variance=variance)


def _grounds(pair: Pair, sizes: Mapping[str, LogSize]) -> list[Compared]:
    """The same day and lot tells best; then the same logs, if the logs differ; then all sessions as they are."""
    by_day, days_n = _same_day(pair)
    by_logs = _same_logs(pair, sizes) if pair.figure in HOURS else []
    enough = days_n >= value("compare.paired_days")
    best = by_day if enough else [ground for ground in by_logs if not isinstance(ground.ratio, Said)][:1]
    return [*best, _all_sessions(pair), *(ground for ground in (*by_day, *by_logs) if ground not in best)]


def _all_sessions(pair: Pair) -> Compared:
    rates = (pair.more.rate, pair.less.rate)
    ratio = _with_common(pair, ratio_of_rates(first=steadied(rate=rates[0]), second=steadied(rate=rates[1])))
    alone = [
        LogEstimate(math.log(rate.value), rate.data_se_log**2, rate.n - 1)
        for rate in rates
        if rate.data_se_log is not None
    ]
    data_only = ratio_of_rates(first=alone[0], second=alone[1]) if len(alone) == 2 else SINGLE
    trials = [(trial_of(side.rate), said(Further.OF_METHOD, method=side.name)) for side in (pair.more, pair.less)]
    return Compared(Ground.ALL_SESSIONS, ratio, data_only, further(*trials))


def _same_day(pair: Pair) -> tuple[list[Compared], int]:
    """Days on which both were tried on the same lot, if there are enough to show, and how many there are."""
    first, second = _by_day(pair.more), _by_day(pair.less)
    days = [day for day in first if day in second]
    if len(days) < value("compare.shown_days"):
        return [], len(days)
    ratio = mean_of_logs(values=[first[day] / second[day] for day in days])
    daily = Trial(n=len(days), spread=math.sqrt(ratio.variance * len(days)), df=ratio.df)
    whole = _with_common(pair, ratio)
    return [Compared(Ground.SAME_DAY, whole, ratio, further((daily, said(Further.DAYS))))], len(days)


def _days(totals: MethodTotals) -> set[tuple[str, str]]:
    """Days and lots of its sessions, where both are written."""
    sessions = [s.session for s in totals.counted]
    return {(s.date, lot_key(s.lot)) for s in sessions if s.date and s.lot}


def _by_day(side: MethodRate) -> dict[tuple[str, str], float]:
    """Rate of each day and lot, where both are written."""
    sums: dict[tuple[str, str], list[tuple[float, float]]] = {}
    for session, amount, quantity in zip(side.totals.counted, side.amounts, side.quantities, strict=True):
        date, lot = session.session.date, session.session.lot
        if date and lot:
            sums.setdefault((date, lot_key(lot)), []).append((amount, quantity))
    return {
        day: ratio_of_totals(amounts=[a for a, _ in parts], quantities=[q for _, q in parts])
        for day, parts in sums.items()
    }


def _same_logs(pair: Pair, sizes: Mapping[str, LogSize]) -> list[Compared]:
    """Comparisons on logs of one size, if those of the two differ enough to matter."""
    first, second = (sizes.get(side.name) for side in (pair.more, pair.less))
    if first is None or second is None:
        return []
    diameters = sorted((first.mean_diameter_m, second.mean_diameter_m))
    if diameters[1] <= diameters[0] * (1 + value("log_size.differs") / 100):
        return []
    plain = _all_sessions(pair)
    return [_one_log_list(plain, first, second), _one_diameter(pair, first, second, plain.further)]


def _one_log_list(plain: Compared, first: LogSize, second: LogSize) -> Compared:
    """Each rate taken from the method's own logs to those of all methods of the task."""
    if isinstance(first.to_common, Said) or isinstance(second.to_common, Said):
        why = next(found for found in (first.to_common, second.to_common) if isinstance(found, Said))
        return Compared(Ground.ONE_LOG_LIST, why, why, plain.further)
    back = ratio_of_rates(first=second.to_common, second=first.to_common)
    ratio, data_only = (
        part if isinstance(part, Said) else ratio_of_rates(first=part, second=back)
        for part in (plain.ratio, plain.data_only)
    )
    return Compared(Ground.ONE_LOG_LIST, ratio, data_only, plain.further)


def _one_diameter(pair: Pair, first: LogSize, second: LogSize, needed: Said) -> Compared:
    sides = (pair.more, pair.less)
    try:
        adjusted = ratio_at_one_diameter(
            rates={side.name: side.by_session for side in sides},
            diameters_m={size.method: size.session_diameters_m for size in (first, second)},
        )
    except Refused as refused:
        return Compared(Ground.ONE_DIAMETER, refused.why, refused.why, needed)
    basis = [said(Basis.ONE_POWER, power=adjusted.slope)]
    if adjusted.parallel_frac is not None:
        basis.append(said(Basis.UNLIKE_BY_CHANCE, percent=100 * adjusted.parallel_frac))
    return Compared(Ground.ONE_DIAMETER, adjusted.ratio, adjusted.ratio, needed, several(basis))


def _row(pair: Pair, found: Compared, margin: float | Said, rates: SeasonRates, *, counts: bool) -> ComparisonRow:
    both, ratio = (pair.more.totals, pair.less.totals), found.ratio
    why = ratio if isinstance(ratio, Said) else SINGLE
    row = replace(
        _missing_row(pair.figure, both, found.ground, why, counts=counts), data_only=_ratio_figure(found.data_only)
    )
    if isinstance(ratio, Said):
        return row
    if found.ground is Ground.ALL_SESSIONS:
        figures = [rates.figure(t, pair.figure) for t in both]
        return _judged_by_draws(row, figures, pair.pairs_n, margin, found.further)
    return _judged(row, ratio, pair.pairs_n, margin, found.further, found.basis)


def _judged(
    row: ComparisonRow, ratio: Ratio, pairs_n: int, margin: float | Said, further: Said, basis: Said | None = None
) -> ComparisonRow:
    """With what the ratio tells, and with what hangs on the margin that would not change a choice."""
    above = probability_above(ratio=ratio, factor=1.0)
    sure = surety(probability_frac=max(above, 1 - above))
    known = replace(
        row, ratio=_ratio_figure(ratio, basis), takes_less=Figure(100 * above), surety=sure, further=further
    )
    if isinstance(margin, Said):
        none = not_given(margin)
        return replace(known, beyond_margin=none, within_margin=none, verdict=margin)
    beyond = probability_above(ratio=ratio, factor=margin)
    found = verdict(ratio=ratio, margin_factor=margin, pairs_n=pairs_n)
    if found is Outcome.OPEN and sure is Surety.CLEARLY:
        sure = Surety.PROBABLY  # a verdict asks for both sides, and for every pair of the task at once
    is_settled = found is Outcome.ALIKE or beyond >= value("compare.clearly")
    return replace(
        known,
        beyond_margin=Figure(100 * beyond),
        within_margin=Figure(100 * probability_within(ratio=ratio, factor=margin)),
        surety=sure,
        verdict=_verdict(found, row.more, row.less),
        further=said(Further.NONE_FOR_CHOICE) if is_settled else further,
    )


def _grounds_without(both: tuple[MethodTotals, MethodTotals]) -> list[Ground]:
    """Grounds that there would be, were the figure given: how many rows there are does not hang on it."""
    days_n = len(_days(both[0]) & _days(both[1]))
    if days_n < value("compare.shown_days"):
        return [Ground.ALL_SESSIONS]
    grounds = [Ground.SAME_DAY, Ground.ALL_SESSIONS]
    return grounds if days_n >= value("compare.paired_days") else grounds[::-1]


def _none_row(
    figure_id: str, both: tuple[MethodTotals, MethodTotals], *, alike: bool, margin: float | Said
) -> ComparisonRow:
    """The second takes none, as no fuel by hand: no ratio, and the whole of the first is the difference."""
    less = both[1].method.name
    why = said(Reason.BOTH_TAKE_NONE) if alike else said(Reason.OTHER_TAKES_NONE, method=less)
    row = replace(
        _missing_row(figure_id, both, Ground.ALL_SESSIONS, why, counts=True),
        surety=Surety.CLEARLY,
        further=said(Further.NONE_FOR_CHOICE),
    )
    if alike:
        return replace(row, verdict=said(Verdict.ALIKE))
    sure = 100 * value("compare.shown_end")
    if isinstance(margin, Said):
        none = not_given(margin)
        return replace(row, takes_less=Figure(sure), beyond_margin=none, within_margin=none, verdict=margin)
    return replace(
        row,
        takes_less=Figure(sure),
        beyond_margin=Figure(sure),
        within_margin=Figure(100 - sure),
        verdict=said(Verdict.TAKES_LESS, method=less),
    )


def _missing_row(
    figure_id: str, both: tuple[MethodTotals, MethodTotals], ground: Ground, why: Said, *, counts: bool
) -> ComparisonRow:
    first, second = both
    nothing = not_given(why)
    return ComparisonRow(
        task=first.method.task,
        figure=figure_id,
        more=first.method.name,
        less=second.method.name,
        ground=ground,
        counts=Counts.YES if counts else Counts.BESIDE_IT,
        ratio=nothing,
        data_only=nothing,
        takes_less=nothing,
        beyond_margin=nothing,
        within_margin=nothing,
        surety=Surety.CANNOT_TELL,
        verdict=said(Verdict.OPEN),
        further=why,
    )


def _ratio_figure(ratio: Ratio | Said, basis: Said | None = None) -> Figure:
    if isinstance(ratio, Said):
        return not_given(ratio)
    if isinstance(ratio, DrawnRatio):
        return drawn(ratio.members, basis)
    return Figure(ratio.value, basis, *ratio.interval())


def _verdict(found: Outcome, more: str, less: str) -> Said:
    if found in (Outcome.FIRST_LOWER, Outcome.SECOND_LOWER):
        return said(Verdict.TAKES_LESS, method=less if found is Outcome.SECOND_LOWER else more)
    return said(Verdict.OPEN if found is Outcome.OPEN else Verdict.ALIKE)
