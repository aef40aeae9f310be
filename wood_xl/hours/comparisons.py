"""Pairs of methods of a task on equal terms: which takes less, how sure that is, and what would settle it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import NamedTuple

import numpy as np

from wood_xl.data.load import value
from wood_xl.draws.ensemble import COMMON_ALONE, WORLDS
from wood_xl.draws.figure import EXACT, Figure, Row, drawn, not_given
from wood_xl.draws.normal import Array, agreed
from wood_xl.draws.season import Fit
from wood_xl.draws.shared_factors import log_variance
from wood_xl.draws.verdicts import Ratio, further, ratios, surety
from wood_xl.hours.how_sure import FIGURES, FOLLOWING, doubt_shares
from wood_xl.hours.methods import MethodTotals, by_task
from wood_xl.hours.rates import RECORDED
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.reasons import Reason, Said, said
from wood_xl.verdicts import Further, Source, Surety, Verdict


@dataclass(frozen=True)
class Pair:
    """Two methods of one task by one figure; ``more`` takes more."""

    figure: str
    more: MethodTotals
    less: MethodTotals
    methods_n: int


ByModel = dict[tuple[int, int], tuple[Ratio, float]]  # ratio of two methods, and its variance by shared doubt


class Chances(NamedTuple):
    """Probabilities that ``less`` takes less, that it does by more than the margin, and that both are within it."""

    less: float
    by_margin: float
    within: float


def comparison_rows(
    totals: Sequence[MethodTotals], rates: SeasonRates, figures: Sequence[str] = (*FIGURES, *FOLLOWING)
) -> list[Row]:
    """A row for each pair of methods and each figure."""
    common = rates.by(COMMON_ALONE)
    return [
        row
        for methods in by_task(totals)
        for figure_id in figures
        for row in _rows(figure_id, methods, rates, common)
    ]


def _rows(figure_id: str, methods: Sequence[MethodTotals], rates: SeasonRates, common: SeasonRates) -> Iterator[Row]:
    """All pairs of a task by one figure; in ``common`` only shared factors are drawn."""
    both = [_pair(figure_id, one, other, len(methods), rates) for one, other in combinations(methods, 2)]
    judged = [pair for pair in both if isinstance(pair, Pair)]
    by_model = {} if figure_id in FOLLOWING else _by_model(judged, rates, common)
    for pair in both:
        if isinstance(pair, Row):
            yield pair
        elif figure_id in FOLLOWING:
            yield _by_draws(pair, rates)
        else:
            yield _judged_by_model(pair, by_model, rates)


def _pair(figure_id: str, one: MethodTotals, other: MethodTotals, methods_n: int, rates: SeasonRates) -> Pair | Row:
    """Two methods, the one that takes more first; or their row if there is nothing to judge."""
    figures = [rates.figure(t, figure_id) for t in (one, other)]
    for figure in figures:
        if figure.value is None or (figure.members is None and figure.reason not in EXACT):
            return _missing_row(Pair(figure_id, one, other, methods_n), figure.why)
    none = [not figure.value and figure.members is None for figure in figures]
    is_second_more = none[0] if any(none) else (figures[1].value or 0.0) > (figures[0].value or 0.0)
    pair = Pair(figure_id, *((other, one) if is_second_more else (one, other)), methods_n)
    return _none_row(pair, rates, alike=all(none)) if any(none) else pair


def _by_model(pairs: Sequence[Pair], rates: SeasonRates, common: SeasonRates) -> ByModel:
    """Ratios of the pairs of a task by its model, with the variance of shared doubt that does not cancel."""
    if not pairs:
        return {}
    fit = _fit(pairs[0], rates)
    variances = {}
    for pair in pairs:
        more, less = (common.number(t, pair.figure) for t in (pair.more, pair.less))
        variance = log_variance(more / less)
        if variance is not None:
            variances[_numbers(pair, rates)] = variance
    margin = rates.study.margin_frac
    of_pairs = ratios(fit, 0.0 if isinstance(margin, Said) else margin, variances)
    return {numbers: (of_pairs[numbers], variance) for numbers, variance in variances.items()}


def _fit(pair: Pair, rates: SeasonRates) -> Fit:
    fit = rates.study.equal.fit(pair.more.method.task, RECORDED[pair.figure])
    if fit is None:
        raise ValueError(f"{pair.figure} of {pair.more.method.name} is given without a session")
    return fit


def _numbers(pair: Pair, rates: SeasonRates) -> tuple[int, int]:
    first, second = sorted(map(rates.study.equal.number, (pair.more, pair.less)))
    return first, second


def _judged_by_model(pair: Pair, by_model: ByModel, rates: SeasonRates) -> Row:
    """A pair by time or effort, with the model's own probabilities."""
    fit, numbers, margin = _fit(pair, rates), _numbers(pair, rates), rates.study.margin_frac
    ratio, common_variance = by_model.get(numbers, (None, 0.0))
    if ratio is None or ratio.ends is None or ratio.order is None:
        return _missing_row(pair, said(Reason.TOO_UNSURE))
    value_of = [rates.figure(t, pair.figure).value or 0.0 for t in (pair.more, pair.less)]
    nominal, (low, high), order = value_of[0] / value_of[1], ratio.ends, ratio.order
    chances = Chances(order.less, order.less_by_margin, order.within)
    if rates.study.equal.number(pair.more) == numbers[0]:
        chances = Chances(order.more, order.more_by_margin, order.within)
    else:
        low, high = 1 / high, 1 / low
    row = Row(
        _missing_row(pair, said(Reason.NOT_BY_SESSIONS)),
        ratio=Figure(nominal, None, min(low, nominal), max(high, nominal)),
    )
    if common_variance <= ratio.log_variance / 2:  # else most of the doubt is from none of the sources
        row = Row(row, **doubt_shares(fit, *numbers))
    return _judged(row, chances, pair, margin, lambda frac: _further(fit, numbers, frac, common_variance))


def _further(fit: Fit, numbers: tuple[int, int], margin_frac: float, common_variance: float) -> Said:
    reach = further(fit, *numbers, margin_frac, common_variance)
    if reach.days is None:
        by_days = further(fit, *numbers, margin_frac).days is not None
        return said(Further.SAME_EVERY_DAY if by_days else Further.OUT_OF_REACH, most=value("model.further_days"))
    tenths = math.floor(10 * reach.chances[reach.days - 1])
    return said(Further.DAYS, n=reach.days, tenths=tenths) if reach.days > 1 else said(Further.ONE_DAY, tenths=tenths)


def _by_draws(pair: Pair, rates: SeasonRates) -> Row:
    """A pair by a figure that no session records, by their draws."""
    more, less = (rates.figure(t, pair.figure) for t in (pair.more, pair.less))
    if not less.value or any(one.low is not None and one.low <= 0 for one in (more, less)):
        return _missing_row(pair, said(Reason.TOO_UNSURE))
    above, below = np.asarray(more.number), np.asarray(less.number)
    # In the few draws in which a method costs nothing or earns something, it is the one that takes less.
    ratio = np.where(below > 0, np.maximum(above, 0.0) / np.where(below > 0, below, 1.0), np.inf)
    ratio, margin = np.broadcast_to(ratio, WORLDS.shape), rates.study.margin_frac
    factor = 1.0 if isinstance(margin, Said) else 1 + margin
    draws = ratio[1:]
    within = ((draws <= factor) & (draws * factor >= 1)).mean()
    chances = Chances(_share_above(draws, 1.0), _share_above(draws, factor), float(within))
    not_by_sessions = said(Reason.NOT_BY_SESSIONS)
    row = Row(_missing_row(pair, not_by_sessions), ratio=drawn(ratio))
    return _judged(row, chances, pair, margin, lambda _: not_by_sessions)


def _share_above(draws: Array, factor: float) -> float:
    """Share of the draws above a factor, with half of those that tie with it."""
    return float((draws > factor).mean() + (draws == factor).mean() / 2)


def _judged(row: Row, chances: Chances, pair: Pair, margin: float | Said, to_settle: Callable[[float], Said]) -> Row:
    """A row with its probabilities, surety and verdict, and what would settle an open one.

    Which method takes less goes by the nominal values. If one long session dominates them, the model may find the
    other order likelier; such odds make no order surer.
    """
    end = value("compare.shown_end")
    less, by_margin, within = (Figure(100 * min(max(agreed(chance), 1 - end), end)) for chance in chances)
    if isinstance(margin, Said):
        none, sure = not_given(margin), surety(chances.less, 0.0, pair.methods_n)
        judged = Row(row, takes_less=less, beyond_margin=none, within_margin=none, surety=sure)
        return Row(judged, verdict=margin, further=margin)
    sure = surety(chances.less, chances.within, pair.methods_n)
    verdicts = {Surety.SAME: said(Verdict.ALIKE), Surety.SETTLED: said(Verdict.TAKES_LESS, method=row["less"])}
    return Row(
        row,
        takes_less=less,
        beyond_margin=by_margin,
        within_margin=within,
        surety=sure,
        verdict=verdicts.get(sure, said(Verdict.OPEN)),
        further=said(Further.NONE) if sure in verdicts else to_settle(margin),
    )


def _none_row(pair: Pair, rates: SeasonRates, *, alike: bool) -> Row:
    """Row of a pair of which the second takes none, as no fuel by hand: there is no ratio."""
    less = pair.less.method.name
    why = said(Reason.BOTH_TAKE_NONE) if alike else said(Reason.OTHER_TAKES_NONE, method=less)
    row, none = _missing_row(pair, why), said(Further.NONE)
    if alike:
        return Row(row, surety=Surety.SAME, verdict=said(Verdict.ALIKE), further=none)
    margin = rates.study.margin_frac
    return Row(_judged(row, Chances(1.0, 1.0, 0.0), pair, margin, lambda _: none), further=none)


def _missing_row(pair: Pair, why: Said) -> Row:
    nothing = not_given(why)
    return Row(
        task=pair.more.method.task,
        figure=pair.figure,
        more=pair.more.method.name,
        less=pair.less.method.name,
        **dict.fromkeys(("ratio", "takes_less", "beyond_margin", "within_margin"), nothing),
        surety=Surety.NOT_KNOWN,
        verdict=said(Verdict.OPEN),
        further=why,
        **dict.fromkeys((source.key for source in Source), nothing),
    )
