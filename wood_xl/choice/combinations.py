"""The combinations of a season, the choice among them, and what an hour saved costs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from wood_xl.choice import points as choice
from wood_xl.choice.combining import Combination, MethodRates, combinations, task_order
from wood_xl.data.load import value
from wood_xl.draws.figure import Figure
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.season_rates import RateRow
from wood_xl.reasons import Reason, Said, given, said
from wood_xl.verdicts import Best, Question, Standing


class Criterion(NamedTuple):
    """One question of the choice: the weight it has, the figure that answers it, and what is said of its answer."""

    weight: str
    figure: str
    question: Question
    least: Standing
    missing: Reason


CRITERIA = (
    Criterion("time", "worker_hours", Question.TIME, Standing.LEAST_TIME, Reason.NO_HOURS),
    Criterion("money", "cash", Question.MONEY, Standing.LEAST_CASH, Reason.NO_CASH),
    Criterion("effort", "kcal_net", Question.EFFORT, Standing.LEAST_EFFORT, Reason.NO_EFFORT),
    Criterion("carbon", "co2e", Question.CARBON, Standing.LEAST_CO2E, Reason.NO_CO2E),
)
FIGURES = ("clock_hours", "worker_hours", "kcal_net", "cash", "cash_and_time", "co2e")


@dataclass(frozen=True)
class CombinationStudy:
    """Combinations, the best by the weights first.

    By the weights those are compared that have every figure that weighs something; each single question is
    asked of all combinations that have its figure.

    tasks: in order.
    methods: figures per cord of each method that was tried.
    combinations: those that can be compared by the weights first, by their points.
    compared_n: how many can be compared.
    asked: weight of each question, as written or even.
    is_weighted: whether weights are written.
    weighed: questions with a weight that some combination has a figure for: what the comparison needs.
    criteria: questions that all compared combinations have figures for.
    weights, means: of each of those questions: its weight, and the mean of its figure over the compared combinations.
    points: of the compared combinations.
    left_out_n: further combinations that are not listed.
    """

    tasks: tuple[str, ...]
    methods: dict[str, MethodRates]
    combinations: list[Combination]
    compared_n: int
    asked: dict[str, float]
    is_weighted: bool
    weighed: tuple[Criterion, ...]
    criteria: tuple[Criterion, ...]
    weights: tuple[float, ...]
    means: tuple[float, ...]
    points: list[float]
    left_out_n: int

    @property
    def rows(self) -> list[tuple[float, ...]]:
        """Figures of the compared combinations by criterion."""
        return [_numbers(combination, self.criteria) for combination in self.combinations[: self.compared_n]]

    def name(self, at: int) -> Said:
        """Letter of a combination and its methods."""
        return said(Best.COMBINATION, combination=letter(at), methods=self.combinations[at].methods)

    def known_at(self, figure: str) -> list[int]:
        """Places of the combinations that have a figure."""
        return [
            at
            for at, combination in enumerate(self.combinations)
            if not isinstance(combination.per_cord[figure], Said)
        ]

    def without(self, figure: str) -> dict[Said, list[int]]:
        """Why combinations lack a figure, with the places of those that lack it for that."""
        lacking: dict[Said, list[int]] = {}
        for at, combination in enumerate(self.combinations):
            why = combination.per_cord[figure]
            if isinstance(why, Said):
                lacking.setdefault(why, []).append(at)
        return lacking

    def lacks(self, per_cord: Mapping[str, float | Said]) -> tuple[Said, Said] | None:
        """Which figure of the comparison a combination or a method lacks, alone and with the reason; None if none."""
        for criterion in (*self.weighed, *self.criteria):
            why = per_cord[criterion.figure]
            if isinstance(why, Said):
                return said(criterion.missing), said(Reason.LACKS, lack=criterion.missing, why=why)
        return None

    def points_of(self, method: str) -> float | None:
        """Points per cord of a method; those of a combination are the sum of its methods'. None if unknown."""
        per_cord = self.methods[method].per_cord
        if not self.criteria or self.lacks(per_cord):
            return None
        row = tuple(given(per_cord[criterion.figure]) for criterion in self.criteria)
        return choice.weighted_points(rows=[row], weights=self.weights, means=self.means)[0]


def letter(at: int) -> str:
    """Name of a combination: A to Z, then AA and so on.

    >>> letter(0), letter(25), letter(26)
    ('A', 'Z', 'AA')
    """
    before, last = divmod(at, 26)
    return (letter(before - 1) if before else "") + chr(ord("A") + last)


def combination_study(
    rates: Sequence[RateRow], totals: Sequence[MethodTotals], weights: Mapping[str, float]
) -> CombinationStudy | None:
    """Combinations of a season; None if no method has a session that counts."""
    tried = [t for t in totals if t.counted]
    if not tried:
        return None
    names = {t.method.name for t in tried}
    methods = [
        MethodRates(row.method, row.task, {key: _number_or_why(row.figure_of(key)) for key in FIGURES})
        for row in rates
        if row.method in names
    ]
    tasks = task_order(first_days(tried))
    judged = [criterion.figure for criterion in CRITERIA]
    most = int(value("choice.most_combinations"))
    possible = combinations(methods=methods, tasks=tasks, figures=FIGURES, judged=judged, most=most)
    asked = weights_or_even(weights)
    weighed = tuple(
        c
        for c in CRITERIA
        if asked[c.weight] and any(_is_known(combination, [c]) for combination in possible.combinations)
    )
    compared = [combination for combination in possible.combinations if weighed and _is_known(combination, weighed)]
    others = [combination for combination in possible.combinations if combination not in compared]
    criteria = tuple(c for c in CRITERIA if compared and all(_is_known(combination, [c]) for combination in compared))
    rows = [_numbers(combination, criteria) for combination in compared]
    used = tuple(asked[criterion.weight] for criterion in criteria)
    means = choice.criterion_means(rows=rows)
    points = choice.weighted_points(rows=rows, weights=used, means=means) if rows else []
    order = sorted(range(len(rows)), key=lambda at: (points[at], at))
    return CombinationStudy(
        tasks=tasks,
        methods={method.name: method for method in methods},
        combinations=[*(compared[at] for at in order), *others],
        compared_n=len(compared),
        asked=asked,
        is_weighted=any(weights.values()),
        weighed=weighed,
        criteria=criteria,
        weights=used,
        means=means,
        points=[points[at] for at in order],
        left_out_n=possible.left_out_n,
    )


def weights_or_even(weights: Mapping[str, float]) -> dict[str, float]:
    """Weights as written; even ones if none weighs anything."""
    if any(weights.values()):
        return {criterion.weight: weights.get(criterion.weight, 0.0) for criterion in CRITERIA}
    return dict.fromkeys((criterion.weight for criterion in CRITERIA), value("choice.even_weight"))


def first_days(tried: Sequence[MethodTotals]) -> dict[str, str | None]:
    """First day of each task, of those that have one."""
    days: dict[str, str | None] = {}
    for t in tried:
        dates = [s.session.date for s in t.counted if s.session.date]
        first = min(dates, default=None)
        before = days.get(t.method.task)
        days[t.method.task] = min((day for day in (first, before) if day), default=None)
    return days


def _number_or_why(figure: Figure) -> float | Said:
    return figure.why if figure.value is None else figure.value


def _is_known(combination: Combination, criteria: Sequence[Criterion]) -> bool:
    return not any(isinstance(combination.per_cord[criterion.figure], Said) for criterion in criteria)


def _numbers(combination: Combination, criteria: Sequence[Criterion]) -> tuple[float, ...]:
    return tuple(given(combination.per_cord[criterion.figure]) for criterion in criteria)
