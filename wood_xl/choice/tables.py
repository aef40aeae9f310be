"""Combinations and the choice among them as tables of the results."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar, NamedTuple

from wood_xl.choice import points as choice
from wood_xl.choice.combinations import CRITERIA, FIGURES, CombinationStudy, Criterion, letter
from wood_xl.choice.surety import CombinationSurety
from wood_xl.data.load import value
from wood_xl.draws.figure import Figure, TableRow, not_given
from wood_xl.draws.verdicts import surety as surety_word
from wood_xl.money.break_even import price_of_saved
from wood_xl.reasons import Reason, Said, given, said, several
from wood_xl.verdicts import Best, Change, HourWorth, LeftOut, Question, Standing, Surety


@dataclass(frozen=True, eq=False)
class CombinationRow(TableRow):
    """One combination, for a cord."""

    table: ClassVar[str] = "combinations"
    combination: str
    methods: tuple[str, ...]
    worker_hours: Figure
    cash: Figure
    co2e: Figure
    points: Figure
    best_share: Figure
    standing: Said | None
    clock_hours: Figure
    kcal_net: Figure
    cash_and_time: Figure


@dataclass(frozen=True, eq=False)
class ChoiceRow(TableRow):
    """The best combination by one question, or by the weights of all."""

    table: ClassVar[str] = "choice"
    question: Question
    best: Said
    lead: Figure
    sure: Figure
    surety: Surety | None
    weight: Figure
    stays_from: Figure
    stays_to: Figure
    change: Said | None
    left_out: Said


@dataclass(frozen=True, eq=False)
class HourPriceRow(TableRow):
    """One step on the frontier of hours and cash."""

    table: ClassVar[str] = "hour_prices"
    slow: str
    fast: Said
    hours_saved: Figure
    cash_more: Figure
    per_hour: Figure
    words: HourWorth


def combination_rows(study: CombinationStudy, surety: CombinationSurety) -> list[CombinationRow]:
    """One row for each combination."""
    standing = _standing(study)
    rows = []
    for at, combination in enumerate(study.combinations):
        points, share = _points_and_share(study, surety, at)
        rows.append(
            CombinationRow(
                combination=letter(at),
                methods=combination.methods,
                **{key: surety.sum_figure(dict.fromkeys(combination.methods, 1.0), key) for key in FIGURES},
                points=points,
                best_share=share,
                standing=several([*_leads(study, at), standing[at]]),
            )
        )
    return rows


def _points_and_share(study: CombinationStudy, surety: CombinationSurety, at: int) -> tuple[Figure, Figure]:
    if at >= study.compared_n:
        return not_given(_lack(study, at)[0]), not_given(said(Reason.NOT_COMPARED))
    alone = _alone(study)
    why = alone or (None if surety.is_drawn else said(Reason.NO_INTERVAL))
    return Figure(study.points[at]), _shown(surety.best[at]) if why is None else not_given(why)


def _lack(study: CombinationStudy, at: int) -> tuple[Said, Said]:
    """What a combination lacks of what weighs, in short and with the reason."""
    nothing = said(Reason.NOTHING_WEIGHED)
    return study.lacks(study.combinations[at].per_cord) or (nothing, nothing)


def _alone(study: CombinationStudy) -> Said | None:
    """Why there is nothing to choose between by the weights; None if there is."""
    if study.compared_n != 1:
        return None
    return said(Reason.NO_OTHER if len(study.combinations) == 1 else Reason.NO_OTHER_HAS_ALL)


def _shown(share: float) -> Figure:
    """A probability in per cent, never shown as certain."""
    end = value("compare.shown_end")
    return Figure(100 * min(max(share, 1 - end), end))


def _leads(study: CombinationStudy, at: int) -> list[Said]:
    """What a combination is the best in, among all that have the figure, if some are worse."""
    leads = []
    for criterion in CRITERIA:
        places = study.known_at(criterion.figure)
        if at not in places:
            continue
        winners = [places[row] for row in choice.best_rows(figures=_figures(study, criterion.figure, places))]
        if at in winners and len(winners) < len(places):
            leads.append(said(criterion.least))
    return leads


def _figures(study: CombinationStudy, figure: str, places: Sequence[int]) -> list[float]:
    return [given(study.combinations[at].per_cord[figure]) for at in places]


def _standing(study: CombinationStudy) -> list[Said]:
    """Where each combination stands by the weights."""
    rows, standing = study.rows, []
    beaten, can = (choice.beaten_by(rows=rows), choice.can_be_best(rows=rows)) if rows else ([], [])
    for at in range(len(study.combinations)):
        if at >= study.compared_n:
            standing.append(said(Standing.NOT_COMPARED))
        elif at == 0:
            is_alone = study.compared_n == 1 < len(study.combinations)
            standing.append(said(Standing.ONLY_ONE if is_alone else Standing.BEST))
        elif (by := beaten[at]) is not None:
            standing.append(said(Standing.BEATEN, by=letter(by)))
        else:
            standing.append(said(Standing.AT_SOME_WEIGHTS if can[at] else Standing.AT_NO_WEIGHTS))
    return standing


def choice_rows(study: CombinationStudy, surety: CombinationSurety) -> list[ChoiceRow]:
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
) -> ChoiceRow:
    places = study.known_at(criterion.figure)
    contest = Contest(
        figures=_figures(study, criterion.figure, places),
        shares=surety.best_by.get(criterion.figure, []),
        is_drawn=criterion.figure in surety.drawn,
        is_overall=False,
    )
    why = not_given(_alone(study) or said(Reason.NOT_ALL_HAVE_IT))
    why_that_weight = said(Reason.WEIGHT_WRITTEN if study.is_weighted else Reason.WEIGHTS_NOT_WRITTEN)
    judged = _verdict(study, places, contest)
    return ChoiceRow(
        question=criterion.question,
        best=judged.best,
        lead=judged.lead,
        sure=judged.sure,
        surety=judged.surety,
        weight=Figure(study.asked[criterion.weight], reason=why_that_weight),
        stays_from=why if span is None else Figure(span.low),
        stays_to=why if span is None else Figure(span.high),
        change=None if span is None else _change(span),
        left_out=_left_out(study, study.without(criterion.figure)),
    )


def _overall_row(study: CombinationStudy, surety: CombinationSurety) -> ChoiceRow:
    contest = Contest(
        figures=study.points,
        shares=surety.best,
        is_drawn=surety.is_drawn,
        is_overall=True,
    )
    left_out: dict[Said, list[int]] = {}
    for at in range(study.compared_n, len(study.combinations)):
        left_out.setdefault(_lack(study, at)[1], []).append(at)
    judged, all_weights = _verdict(study, range(study.compared_n), contest), not_given(said(Reason.ALL_WEIGHTS))
    return ChoiceRow(
        question=Question.BY_WEIGHTS,
        best=judged.best,
        lead=judged.lead,
        sure=judged.sure,
        surety=judged.surety,
        weight=all_weights,
        stays_from=all_weights,
        stays_to=all_weights,
        change=None,
        left_out=_left_out(study, left_out),
    )


class Contest(NamedTuple):
    """What combinations are judged by: the figure of each that has it, and how often it is the least in the draws."""

    figures: Sequence[float]
    shares: Sequence[float]
    is_drawn: bool
    is_overall: bool


class Judged(NamedTuple):
    """The best of some combinations, by how much, and how sure that is."""

    best: Said
    lead: Figure
    sure: Figure
    surety: Surety | None


def _verdict(study: CombinationStudy, places: Sequence[int], contest: Contest) -> Judged:
    """The best of some combinations, by how much, and how sure that is."""
    if not places:
        none = not_given(said(Reason.NO_COMBINATION_HAS_ALL if contest.is_overall else Reason.NO_COMBINATION_HAS_IT))
        return Judged(said(Best.NOT_KNOWN), none, none, None)
    winners = choice.best_rows(figures=contest.figures)
    names = tuple(study.name(places[row]) for row in winners)
    if len(places) == 1:
        best, why = Best.COMBINATIONS, Reason.NO_OTHER
        if len(study.combinations) > 1:
            best = Best.ONLY_WITH_ALL if contest.is_overall else Best.ONLY_WITH_IT
            why = Reason.NO_OTHER_HAS_ALL if contest.is_overall else Reason.NO_OTHER_HAS_IT
        none = not_given(said(why))
        return Judged(said(best, combinations=names), none, none, None)
    share = math.fsum(contest.shares[row] for row in winners)
    return Judged(
        best=said(Best.ALIKE) if len(winners) == len(places) else said(Best.COMBINATIONS, combinations=names),
        lead=_lead(contest.figures, winners),
        sure=_shown(share) if contest.is_drawn else not_given(said(Reason.NO_INTERVAL)),
        surety=surety_word(share, 0.0, len(contest.shares)) if contest.is_drawn else None,
    )


def _lead(figures: Sequence[float], winners: Sequence[int]) -> Figure:
    """By how many per cent the next best combination is worse."""
    others = [figure for row, figure in enumerate(figures) if row not in winners]
    if not others:
        return not_given(said(Reason.ALIKE))
    least = figures[winners[0]]
    if least <= 0:
        return not_given(said(Reason.BEST_HAS_NONE))
    return Figure(100 * (min(others) / least - 1))


def _left_out(study: CombinationStudy, reasons: Mapping[Said, Sequence[int]]) -> Said:
    """Combinations that are left out, with what they lack.

    Never nothing: the cell must stand in its place in a copy without body data too, where none may be left out.
    """
    parts = []
    for why, places in reasons.items():
        if len(places) == len(study.combinations):
            parts.append(said(LeftOut.ALL, why=why))
        else:
            parts.append(said(LeftOut.COMBINATIONS, combinations=tuple(letter(at) for at in places), why=why))
    return several(parts) or said(LeftOut.NONE)


def _change(span: choice.WeightRange) -> Said:
    parts = []
    if span.low_combination is not None:
        parts.append(said(Change.BELOW, weight=span.low, combination=letter(span.low_combination)))
    if span.high_combination is not None:
        parts.append(said(Change.ABOVE, weight=span.high, combination=letter(span.high_combination)))
    return several(parts) or said(Change.BY_NO_WEIGHT)


def hour_price_rows(
    study: CombinationStudy, surety: CombinationSurety, value_of_time: float | None
) -> list[HourPriceRow]:
    """One row for each step on the frontier of hours and cash."""
    in_cash = study.known_at("cash")
    places = [at for at in study.known_at("worker_hours") if at in in_cash]
    if not places:
        return []
    hours, cash = (_figures(study, key, places) for key in ("worker_hours", "cash"))
    steps = choice.hour_prices(hours=hours, cash=cash)
    prices = [price._replace(slow=places[price.slow], fast=places[price.fast]) for price in steps]
    return [_price_row(price, study, surety, value_of_time) for price in prices]


def _price_row(
    price: choice.HourPrice, study: CombinationStudy, surety: CombinationSurety, value_of_time: float | None
) -> HourPriceRow:
    """What a step saves and costs, with the ends that the methods leave which only one of the two has."""
    slow, fast = (study.combinations[at].methods for at in (price.slow, price.fast))
    saved = {name: 1.0 for name in slow if name not in fast} | {name: -1.0 for name in fast if name not in slow}
    hours = surety.sum_figure(saved, "worker_hours")
    cash = surety.sum_figure({name: -sign for name, sign in saved.items()}, "cash")
    return HourPriceRow(
        slow=letter(price.slow),
        fast=study.name(price.fast),
        hours_saved=hours,
        cash_more=cash,
        per_hour=price_of_saved(cash, hours, none=Reason.SAVES_NO_HOUR, maybe=Reason.MAY_SAVE_NO_HOUR),
        words=_worth(price.per_hour, value_of_time),
    )


def _worth(per_hour: float, value_of_time: float | None) -> HourWorth:
    if value_of_time is None:
        return HourWorth.IF_WORTH_MORE
    return HourWorth.PAYS if per_hour < value_of_time else HourWorth.DOES_NOT_PAY
