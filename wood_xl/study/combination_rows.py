"""Combinations and the choice among them as tables of the results."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np

from wood_xl.calc import choice
from wood_xl.calc.compare import surety_word
from wood_xl.calc.figure import Figure, not_given
from wood_xl.calc.strata import limits_of_draws
from wood_xl.data.load import value
from wood_xl.study.combination_surety import CombinationSurety
from wood_xl.study.combinations import (
    BY_WEIGHTS,
    CRITERIA,
    FIGURES,
    NONE_LEFT_OUT,
    WEIGHT_WRITTEN,
    CombinationStudy,
    Criterion,
    letter,
)

ALIKE, NOT_DRAWN, ALL_WEIGHTS = "all alike", "no interval is known", "all weights together"
ALL_FIGURES, NO_OTHER = "every figure that weighs", "no other combination"
NOT_WRITTEN = "none is written: all count alike"
NOT_COMPARED = "not compared by the weights"
NOTHING_WEIGHED = "no combination has a figure that weighs"
NOT_ALL_HAVE_IT = "not all combinations that are compared have its figure"

Row = dict[str, Any]


def combination_rows(study: CombinationStudy, surety: CombinationSurety) -> list[Row]:
    """One row for each combination."""
    standing = _standing(study)
    rows = []
    for at, combination in enumerate(study.combinations):
        points, share = _points_and_share(study, surety, at)
        rows.append(
            {
                "combination": letter(at),
                "methods": " + ".join(combination.methods),
                **{key: surety.sum_figure(dict.fromkeys(combination.methods, 1.0), key) for key in FIGURES},
                "points": points,
                "best_share": share,
                "standing": "; ".join([*_leads(study, at), standing[at]]),
            }
        )
    return rows


def _points_and_share(study: CombinationStudy, surety: CombinationSurety, at: int) -> tuple[Figure, Figure]:
    if at >= study.compared_n:
        return not_given(_lack(study, at)[0]), not_given(NOT_COMPARED)
    alone = _alone(study)
    return Figure(study.points[at]), not_given(alone) if alone else _shown(surety.best[at])


def _lack(study: CombinationStudy, at: int) -> tuple[str, str]:
    """What a combination lacks of what weighs, in short and with the reason."""
    return study.lacks(study.combinations[at].per_cord) or (NOTHING_WEIGHED, NOTHING_WEIGHED)


def _alone(study: CombinationStudy) -> str:
    """Why there is nothing to choose between by the weights; empty if there is."""
    if study.compared_n != 1:
        return ""
    return NO_OTHER if len(study.combinations) == 1 else f"no other combination has {ALL_FIGURES}"


def _shown(share: float) -> Figure:
    """A probability in per cent, never shown as certain."""
    end = value("compare.shown_end")
    return Figure(100 * min(max(share, 1 - end), end))


def _leads(study: CombinationStudy, at: int) -> list[str]:
    """What a combination is the best in, among all that have the figure, if some are worse."""
    found = []
    for criterion in CRITERIA:
        known = study.known_at(criterion.figure)
        if at not in known:
            continue
        winners = [known[row] for row in choice.best_rows(figures=_figures(study, criterion.figure, known))]
        if at in winners and len(winners) < len(known):
            found.append(criterion.least)
    return found


def _figures(study: CombinationStudy, figure: str, known: Sequence[int]) -> list[float]:
    return [float(study.combinations[at].per_cord[figure]) for at in known]


def _standing(study: CombinationStudy) -> list[str]:
    """Where each combination stands by the weights."""
    rows, words = study.rows, []
    beaten, can = (choice.beaten_by(rows=rows), choice.can_be_best(rows=rows)) if rows else ([], [])
    for at in range(len(study.combinations)):
        if at >= study.compared_n:
            words.append(NOT_COMPARED)
        elif at == 0:
            is_alone = study.compared_n == 1 < len(study.combinations)
            words.append(f"the only one that has {ALL_FIGURES}" if is_alone else "best by the weights")
        elif (by := beaten[at]) is not None:
            words.append(f"never best: {letter(by)} is nowhere worse")
        else:
            words.append(
                "best at some weights"
                if can[at]
                else "never best: whatever the weights, another combination is better"
            )
    return words


def choice_rows(study: CombinationStudy, surety: CombinationSurety) -> list[Row]:
    """One row for each question, asked of all combinations that have its figure, and one for the weights of all."""
    spans = _weight_spans(study)
    return [*(_question_row(study, surety, c, spans.get(c)) for c in CRITERIA), _overall_row(study, surety)]


def _weight_spans(study: CombinationStudy) -> dict[Criterion, choice.WeightRange]:
    """How far each weight can move; empty if there is nothing to choose between."""
    if study.compared_n in (0, 1):
        return {}
    heaviest = value("choice.heaviest_weight")
    ranges = choice.weight_ranges(rows=study.rows, weights=study.weights, best=0, heaviest=heaviest)
    return dict(zip(study.criteria, ranges, strict=True))


def _question_row(
    study: CombinationStudy, surety: CombinationSurety, criterion: Criterion, span: choice.WeightRange | None
) -> Row:
    known = study.known_at(criterion.figure)
    contest = Contest(
        figures=_figures(study, criterion.figure, known),
        shares=surety.best_by.get(criterion.figure, []),
        is_drawn=criterion.figure in surety.drawn,
        needed="its figure",
    )
    why = not_given(_alone(study) or NOT_ALL_HAVE_IT)
    why_that_weight = WEIGHT_WRITTEN if study.is_weighted else NOT_WRITTEN
    return {
        "question": criterion.question,
        **_verdict(study, known, contest),
        "weight": Figure(study.asked[criterion.weight], reason=why_that_weight),
        "stays_from": why if span is None else Figure(span.low),
        "stays_to": why if span is None else Figure(span.high),
        "change": "" if span is None else _change_words(span),
        "left_out": _left_out_words(study, study.without(criterion.figure)),
    }


def _overall_row(study: CombinationStudy, surety: CombinationSurety) -> Row:
    contest = Contest(
        figures=study.points,
        shares=surety.best,
        is_drawn=surety.is_drawn,
        needed=ALL_FIGURES,
    )
    left_out: dict[str, list[int]] = {}
    for at in range(study.compared_n, len(study.combinations)):
        left_out.setdefault(_lack(study, at)[1], []).append(at)
    return {
        "question": BY_WEIGHTS,
        **_verdict(study, range(study.compared_n), contest),
        **dict.fromkeys(("weight", "stays_from", "stays_to"), not_given(ALL_WEIGHTS)),
        "change": "",
        "left_out": _left_out_words(study, left_out),
    }


class Contest(NamedTuple):
    """What combinations are judged by: the figure of each that has it, and how often it is the least in the draws."""

    figures: Sequence[float]
    shares: Sequence[float]
    is_drawn: bool
    needed: str


def _verdict(study: CombinationStudy, places: Sequence[int], contest: Contest) -> Row:
    """The best of some combinations, by how much, and how sure that is."""
    if not places:
        none = not_given(f"no combination has {contest.needed}")
        return {"best": "not known", "lead": none, "sure": none, "surety": ""}
    winners = choice.best_rows(figures=contest.figures)
    names = "; ".join(study.name(places[row]) for row in winners)
    if len(places) == 1:
        is_only = len(study.combinations) == 1
        none = not_given(NO_OTHER if is_only else f"no other combination has {contest.needed}")
        best = names if is_only else f"{names}, the only one that has {contest.needed}"
        return {"best": best, "lead": none, "sure": none, "surety": ""}
    share = math.fsum(contest.shares[row] for row in winners)
    return {
        "best": ALIKE if len(winners) == len(places) else names,
        "lead": _lead(contest.figures, winners),
        "sure": _shown(share) if contest.is_drawn else not_given(NOT_DRAWN),
        "surety": surety_word(probability_frac=share) if contest.is_drawn else "",
    }


def _lead(figures: Sequence[float], winners: Sequence[int]) -> Figure:
    """By how many per cent the next best combination is worse."""
    others = [figure for row, figure in enumerate(figures) if row not in winners]
    if not others:
        return not_given(ALIKE)
    least = figures[winners[0]]
    if least <= 0:
        return not_given("the best one has none")
    return Figure(100 * (min(others) / least - 1))


def _left_out_words(study: CombinationStudy, reasons: Mapping[str, Sequence[int]]) -> str:
    """Combinations that are left out, with what they lack.

    Never nothing: the cell must stand in its place in a copy without body data too, where none may be left out.
    """
    parts = []
    for why, places in reasons.items():
        are_all = len(places) == len(study.combinations)
        parts.append(f"{'all combinations' if are_all else ', '.join(letter(at) for at in places)} ({why})")
    return "; ".join(parts) or NONE_LEFT_OUT


def _change_words(span: choice.WeightRange) -> str:
    parts = []
    if span.low_combination is not None:
        parts.append(f"below {span.low:.1f} combination {letter(span.low_combination)} is best")
    if span.high_combination is not None:
        parts.append(f"above {span.high:.1f} combination {letter(span.high_combination)} is best")
    return "; ".join(parts) or "no weight of this one changes the best combination"


def hour_price_rows(study: CombinationStudy, surety: CombinationSurety, value_of_time: float | None) -> list[Row]:
    """One row for each step on the frontier of hours and cash."""
    in_cash = study.known_at("cash")
    places = [at for at in study.known_at("worker_hours") if at in in_cash]
    if not places:
        return []
    hours, cash = (_figures(study, key, places) for key in ("worker_hours", "cash"))
    found = choice.hour_prices(hours=hours, cash=cash)
    prices = [price._replace(slow=places[price.slow], fast=places[price.fast]) for price in found]
    return [
        {
            "slow": letter(price.slow),
            "fast": study.name(price.fast),
            **_price_figures(price, study, surety),
            "words": _worth(price.per_hour, value_of_time),
        }
        for price in prices
    ]


def _price_figures(price: choice.HourPrice, study: CombinationStudy, surety: CombinationSurety) -> Row:
    """What a step saves and costs, with the ends that the methods leave which only one of the two has."""
    slow, fast = (study.combinations[at].methods for at in (price.slow, price.fast))
    saved = {name: 1.0 for name in slow if name not in fast} | {name: -1.0 for name in fast if name not in slow}
    hours = surety.sum_figure(saved, "worker_hours")
    cash = surety.sum_figure({name: -sign for name, sign in saved.items()}, "cash")
    return {"hours_saved": hours, "cash_more": cash, "per_hour": _per_hour(price, hours, saved, surety)}


def _per_hour(
    price: choice.HourPrice, hours: Figure, saved: Mapping[str, float], surety: CombinationSurety
) -> Figure:
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
