"""Routes and the choice among them as tables of the results."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from wood_xl.calc import choice
from wood_xl.calc.compare import surety_word
from wood_xl.calc.figure import Figure, exact, not_given
from wood_xl.calc.strata import limits_of_draws
from wood_xl.data.load import value
from wood_xl.study.route_surety import RouteSurety
from wood_xl.study.routes import BY_WEIGHTS, CRITERIA, FIGURES, NOT_COMPARED, RouteStudy, letter

ALIKE, MISSING, NOT_DRAWN = "all alike", "a figure is missing", "no interval is known"

Row = dict[str, Any]


def route_rows(study: RouteStudy, surety: RouteSurety) -> list[Row]:
    """One row for each route."""
    standing = _standing(study)
    return [
        {
            "route": letter(at),
            "methods": " + ".join(route.methods),
            **{key: surety.sum_figure(dict.fromkeys(route.methods, 1.0), key) for key in FIGURES},
            "points": exact(study.points[at]) if at < study.compared_n else not_given(MISSING),
            "best_share": _shown(surety.best[at]) if at < len(surety.best) else not_given(MISSING),
            "standing": standing[at] if at < study.compared_n else NOT_COMPARED,
        }
        for at, route in enumerate(study.routes)
    ]


def _shown(share: float) -> Figure:
    """A probability in per cent, never shown as certain."""
    end = value("compare.shown_end")
    return exact(100 * min(max(share, 1 - end), end))


def _standing(study: RouteStudy) -> list[str]:
    rows = study.rows
    if not study.criteria:
        return [NOT_COMPARED] * len(rows)
    best: list[list[str]] = [[] for _ in rows]
    for at, criterion in enumerate(study.criteria):
        winners = choice.best_rows(figures=[row[at] for row in rows])
        for row in winners if len(winners) < len(rows) else ():
            best[row].append(criterion.least)
    beaten, can = choice.beaten_by(rows=rows), choice.can_be_best(rows=rows)
    words = []
    for at in range(len(rows)):
        by = beaten[at]
        if by is not None:
            standing = f"never best: {letter(by)} is nowhere worse"
        elif not can[at]:
            standing = "never best: whatever the weights, another route is better"
        else:
            standing = "best at some weights"
        if not at:
            standing = "best by the weights"
        words.append("; ".join([*best[at], standing]))
    return words


def choice_rows(study: RouteStudy, surety: RouteSurety) -> list[Row]:
    """One row for each question, and one for the weights of all."""
    rows = study.rows
    ranges = (
        choice.weight_ranges(rows=rows, weights=study.weights, best=0, heaviest=value("choice.heaviest_weight"))
        if study.criteria
        else []
    )
    found = []
    for criterion in CRITERIA:
        if criterion not in study.criteria:
            why = not_given("no route has all its figures")
            found.append(_choice_row(criterion.question, "not known", why, why, why, why, why, ""))
            continue
        at = study.criteria.index(criterion)
        figures = [row[at] for row in rows]
        winners = choice.best_rows(figures=figures)
        span = ranges[at]
        found.append(
            _choice_row(
                criterion.question,
                ALIKE if len(winners) == len(rows) > 1 else "; ".join(study.name(row) for row in winners),
                _lead(figures, winners),
                _sure(surety.best_by[criterion.figure], winners, is_drawn=criterion.figure in surety.drawn),
                exact(study.weights[at]),
                exact(span.low),
                exact(span.high),
                _change_words(span),
            )
        )
    if study.criteria:
        no_weight = not_given("all weights together")
        winners = choice.best_rows(figures=study.points)
        best = "; ".join(study.name(row) for row in winners)
        lead = _lead(study.points, winners)
        sure = _sure(surety.best, winners, is_drawn=bool(surety.drawn))
        found.append(_choice_row(BY_WEIGHTS, best, lead, sure, no_weight, no_weight, no_weight, ""))
    return found


def _choice_row(
    question: str, best: str, lead: Figure, sure: Figure, weight: Figure, low: Figure, high: Figure, change: str
) -> Row:
    return {
        "question": question,
        "best": best,
        "lead": lead,
        "sure": sure,
        "surety": "" if sure.value is None else surety_word(probability_frac=sure.value / 100),
        "weight": weight,
        "stays_from": low,
        "stays_to": high,
        "change": change,
    }


def _sure(shares: Sequence[float], winners: Sequence[int], *, is_drawn: bool) -> Figure:
    """Probability that the best is the best indeed."""
    if len(shares) == 1:
        return not_given("no other route")
    if not is_drawn:
        return not_given(NOT_DRAWN)
    return _shown(sum(shares[row] for row in winners))


def _lead(figures: Sequence[float], winners: Sequence[int]) -> Figure:
    """By how many per cent the next best route is worse."""
    others = [figure for row, figure in enumerate(figures) if row not in winners]
    if not others:
        return not_given("no other route" if len(figures) == 1 else "all alike")
    least = figures[winners[0]]
    if least <= 0:
        return not_given("the best one has none")
    return exact(100 * (min(others) / least - 1))


def _change_words(span: choice.WeightRange) -> str:
    parts = []
    if span.low_route is not None:
        parts.append(f"below {span.low:.1f} route {letter(span.low_route)} is best")
    if span.high_route is not None:
        parts.append(f"above {span.high:.1f} route {letter(span.high_route)} is best")
    return "; ".join(parts) or "no weight of this one changes the best route"


def hour_price_rows(study: RouteStudy, surety: RouteSurety, value_of_time: float | None) -> list[Row]:
    """One row for each step on the frontier of hours and cash."""
    keys = [criterion.figure for criterion in study.criteria]
    if "worker_hours" not in keys or "cash" not in keys:
        return []
    hours = [row[keys.index("worker_hours")] for row in study.rows]
    cash = [row[keys.index("cash")] for row in study.rows]
    return [
        {
            "slow": letter(price.slow),
            "fast": study.name(price.fast),
            **_price_figures(price, study, surety),
            "words": _worth(price.per_hour, value_of_time),
        }
        for price in choice.hour_prices(hours=hours, cash=cash)
    ]


def _price_figures(price: choice.HourPrice, study: RouteStudy, surety: RouteSurety) -> Row:
    """What a step saves and costs, with the ends that the methods leave which only one of the two routes has."""
    slow, fast = (study.routes[at].methods for at in (price.slow, price.fast))
    saved = {name: 1.0 for name in slow if name not in fast} | {name: -1.0 for name in fast if name not in slow}
    hours = surety.sum_figure(saved, "worker_hours")
    cash = surety.sum_figure({name: -sign for name, sign in saved.items()}, "cash")
    return {"hours_saved": hours, "cash_more": cash, "per_hour": _per_hour(price, hours, saved, surety)}


def _per_hour(price: choice.HourPrice, hours: Figure, saved: Mapping[str, float], surety: RouteSurety) -> Figure:
    if hours.low is None:
        return Figure(price.per_hour, reason=hours.reason)
    high = math.inf
    if hours.low > 0:
        drawn, more = surety.draws.along(saved, "worker_hours"), -surety.draws.along(saved, "cash")
        # The few draws that save no hour make a price without end.
        prices = np.where(drawn > 0, more, math.inf) / np.where(drawn > 0, drawn, 1.0)
        low, high = limits_of_draws(draws=prices, level_frac=value("interval.level") / 100)
    if not math.isfinite(high):
        return Figure(price.per_hour, reason="may save no hour")
    return Figure(price.per_hour, "", low, high)


def _worth(per_hour: float, value_of_time: float | None) -> str:
    if value_of_time is None:
        return "pays if an hour is worth more than that to you"
    return "pays at your value of an hour" if per_hour < value_of_time else "does not pay at your value of an hour"
