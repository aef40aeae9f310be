"""How sure each figure of a method is: by its own sessions, and with all that is assumed or shared."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from wood_xl.data.load import value
from wood_xl.draws.doubt import doubt
from wood_xl.draws.ensemble import COMMON_ALONE, Number, OneByOne, last_score, nominal
from wood_xl.draws.figure import EXACT, Figure, Row, not_given, of_method
from wood_xl.draws.inputs import is_choice
from wood_xl.draws.normal import agreed
from wood_xl.draws.season import Fit
from wood_xl.draws.shared_factors import least_shares, log_variance
from wood_xl.draws.verdicts import next_day
from wood_xl.hours.common import NAMED, input_named
from wood_xl.hours.equal_terms import EqualSeason
from wood_xl.hours.methods import MethodTotals, by_task
from wood_xl.hours.rates import RECORDED, is_own
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.ids import Recorded
from wood_xl.reasons import Key, Reason, Said, said
from wood_xl.verdicts import Quality, Source, Tried

FIGURES = ("worker_hours", "kcal_net")
FOLLOWING = ("cash", "co2e")  # follow from several recorded amounts, so no single day has one
QUALITIES = (
    (Quality.SOLID, "sessions.solid"),
    (Quality.GOOD, "sessions.good"),
    (Quality.FAIR, "sessions.fair"),
    (Quality.HINT, "sessions.hint"),
)


def how_sure_rows(totals: Sequence[MethodTotals], rates: SeasonRates) -> list[Row]:
    """A row for each method and figure of a cord."""
    tried = [t for t in totals if t.counted]
    figures = (*FIGURES, *FOLLOWING)
    least: dict[tuple[str, str], Figure] = {}
    for methods in by_task(totals):
        for figure_id in figures:
            of_methods = {t.method.name: rates.figure(t, figure_id) for t in methods}
            least |= {(name, figure_id): figure for name, figure in _least(of_methods).items()}
    common = rates.by(COMMON_ALONE)
    factors = {t.method.name: _factors(t, figures, rates) for t in tried}
    return [
        _row(t, figure_id, rates, common, factors[t.method.name].get(figure_id), least[t.method.name, figure_id])
        for t in tried
        for figure_id in figures
    ]


def _least(figures: Mapping[str, Figure]) -> dict[str, Figure]:
    """Share of the draws in which each method of a task takes least; shared doubt cancels."""
    if len(figures) == 1:
        return dict.fromkeys(figures, not_given(said(Reason.ONLY_METHOD)))
    for name, figure in figures.items():
        if figure.members is None and figure.reason not in EXACT:
            return dict.fromkeys(figures, not_given(of_method(name, figure)))
    shares = least_shares([figure.number for figure in figures.values()])
    end = value("compare.shown_end")
    return {name: Figure(100 * min(max(share, 1 - end), end)) for name, share in zip(figures, shares, strict=True)}


def _factors(totals: MethodTotals, figures: Sequence[str], rates: SeasonRates) -> dict[str, Said]:
    """Inputs beside its sessions that move each figure of a method most, with the swing for one standard error."""
    given = [
        figure_id
        for figure_id in figures
        if (figure := rates.figure(totals, figure_id)).members is not None and figure.value
    ]

    def numbers(design: OneByOne) -> list[Number]:
        in_design = rates.by(design)
        return [in_design.number(totals, figure_id) for figure_id in given]

    moved, factors = OneByOne.of(numbers), {}
    for figure_id, number in zip(given, numbers(moved), strict=True):
        swings = {key: _swing(moved, number, key) for key in moved.moves if not is_own(key) and not is_choice(key)}
        widest = sorted((key for key, swing in swings.items() if swing), key=lambda key: -swings[key])
        parts = tuple(said(Tried.DOUBT, what=input_named(key), percent=100 * swings[key]) for key in widest[:NAMED])
        more_n = len(widest) - NAMED
        if parts:
            factors[figure_id] = (
                said(Tried.DOUBTS_AND_MORE, parts=parts, n=more_n) if more_n > 0 else said(Tried.DOUBTS, parts=parts)
            )
    return factors


def _swing(moved: OneByOne, number: Number, key: Key) -> float:
    """Share by which one standard error of an input moves a figure; machines agree on 9 digits."""
    low, high = moved.at_ends(number, key)
    # By the log, as the shared doubt beside it; a figure that may be 0 has no log.
    moves = math.log(high / low) if min(low, high) > 0 else (high - low) / nominal(number)
    return float(f"{abs(moves) / (2 * last_score()):.9g}")


def _row(
    totals: MethodTotals, figure_id: str, rates: SeasonRates, common: SeasonRates, factors: Said | None, least: Figure
) -> Row:
    figure, n = rates.figure(totals, figure_id), len(totals.counted)
    model = rates.study.equal.fit(totals.method.task, Recorded.WORKER_HOURS)
    rows = () if model is None else model.design.observed.rows
    is_drawn = figure.members is not None
    why = figure.why if not is_drawn else said(Reason.NOT_BY_SESSIONS)
    nothing = not_given(why)
    row = Row(
        method=totals.method.name,
        task=totals.method.task,
        figure=figure_id,
        sessions_n=n,
        quality=quality(sessions_n=sum(row.method == rates.study.equal.number(totals) for row in rows)),
        rate=replace(figure, basis=None),
        **dict.fromkeys(("next_day", "spread", "common_doubt", *(source.key for source in Source)), nothing),
        common_factors=factors,
        least=least,
    )
    if not is_drawn:
        return row
    row = Row(row, common_doubt=_common_doubt(common.number(totals, figure_id)))
    if figure_id in FOLLOWING:
        variances = [log_variance(number) for number in (figure.number, common.number(totals, figure_id))]
        is_by_sessions = None in variances or (variances[0] or 0.0) > (variances[1] or 0.0) * (1 + 1e-6)
        return row if is_by_sessions else Row(row, quality=Quality.NOT_BY_SESSIONS)
    return _with_sessions(row, totals, rates.study.equal)


def _common_doubt(number: Number) -> Figure:
    variance = log_variance(number)
    return not_given(said(Reason.TOO_UNSURE)) if variance is None else Figure(100 * math.sqrt(variance))


def _with_sessions(row: Row, totals: MethodTotals, equal: EqualSeason) -> Row:
    what = RECORDED[row["figure"]]
    fit, number = equal.fit(row["task"], what), equal.number(totals)
    day = None if fit is None else next_day(fit, number)
    if fit is None or day is None:
        return row
    a_cord = value("cord.volume_m3")
    half_variance = fit.half_variance[:, fit.design.methods.index(number)]
    low, high = (a_cord * end for end in day)
    return Row(
        row,
        next_day=Figure(row["rate"].value, None, low, high),
        spread=Figure(100 * agreed(math.sqrt(2 * float(fit.weight @ half_variance)))),
        **doubt_shares(fit, number),
    )


def doubt_shares(fit: Fit, first: int, second: int | None = None) -> dict[str, Any]:
    """Columns with the share of each source in the doubt of a method, or of the ratio of two, in percent."""
    return {source.key: Figure(100 * agreed(share)) for source, share in doubt(fit, first, second).items()}


def quality(*, sessions_n: int) -> Quality:
    """Quality of a figure by its number of sessions; those of one crew on one day count as one.

    Source: how_sure_defaults, number of sessions.

    >>> [quality(sessions_n=n).name for n in (1, 2, 4, 5, 8)]
    ['SINGLE_TRY', 'HINT', 'FAIR', 'GOOD', 'SOLID']
    """
    return next((one for one, least in QUALITIES if sessions_n >= value(least)), Quality.SINGLE_TRY)
