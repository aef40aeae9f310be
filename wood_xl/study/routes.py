"""The routes of a season, the choice among them, and what an hour saved costs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from wood_xl.calc import choice
from wood_xl.calc.figure import Figure
from wood_xl.calc.routes import MethodRates, Route, routes, task_order
from wood_xl.data.load import value
from wood_xl.study.methods import MethodTotals

Row = dict[str, Any]


class Criterion(NamedTuple):
    """One question of the choice: the weight it has, the figure that answers it, and its words."""

    weight: str
    figure: str
    question: str
    least: str


CRITERIA = (
    Criterion("time", "worker_hours", "Time", "least time"),
    Criterion("money", "cash", "Money", "least cash"),
    Criterion("effort", "kcal_net", "Effort", "least effort"),
    Criterion("carbon", "co2", "Carbon", "least CO2"),
)
BY_WEIGHTS = "By the weights of all"
FIGURES = ("clock_hours", "worker_hours", "kcal_net", "cash", "cash_and_time", "co2")
NOT_COMPARED = "not compared: a figure is missing"


@dataclass(frozen=True)
class RouteStudy:
    """Routes, the best by the weights first.

    Attributes
    ----------
    tasks : tuple of str
        In order.
    methods : dict
        Figures per cord of each method that was tried.
    routes : list of Route
        Those that can be compared first, by their points.
    compared_n : int
        How many can be compared.
    criteria : tuple of Criterion
        Questions that the compared routes have figures for.
    weights, means : tuple of float
        Of each of those questions: its weight, and the mean of its figure over the compared routes.
    points : list of float
        Of the compared routes.
    left_out_n : int
        Further routes that are not listed.
    """

    tasks: tuple[str, ...]
    methods: dict[str, MethodRates]
    routes: list[Route]
    compared_n: int
    criteria: tuple[Criterion, ...]
    weights: tuple[float, ...]
    means: tuple[float, ...]
    points: list[float]
    left_out_n: int

    @property
    def rows(self) -> list[tuple[float, ...]]:
        """Figures of the compared routes by criterion."""
        return [_numbers(route, self.criteria) for route in self.routes[: self.compared_n]]

    def name(self, at: int) -> str:
        """Letter of a route and its methods."""
        return f"{letter(at)}: {' + '.join(self.routes[at].methods)}"

    def points_of(self, method: str) -> float | None:
        """Points per cord of a method; a route's points are the sum of those of its methods. None if unknown."""
        numbers = [self.methods[method].per_cord[criterion.figure] for criterion in self.criteria]
        known = tuple(number for number in numbers if not isinstance(number, str))
        if len(known) < len(numbers):
            return None
        return choice.weighted_points(rows=[known], weights=self.weights, means=self.means)[0]


def letter(at: int) -> str:
    """Name of a route: A to Z, then AA and so on.

    Examples
    --------
    >>> letter(0), letter(25), letter(26)
    ('A', 'Z', 'AA')
    """
    before, own = divmod(at, 26)
    return (letter(before - 1) if before else "") + chr(ord("A") + own)


def route_study(
    rates: Sequence[Row], totals: Sequence[MethodTotals], weights: Mapping[str, float]
) -> RouteStudy | None:
    """Routes of a season; None if no method has a session that counts.

    Parameters
    ----------
    rates : sequence of dict
        Figures of each method per cord.
    totals : sequence of MethodTotals
        The same methods.
    weights : mapping
        Weight of each criterion by its name; empty or all zero for even weights.
    """
    tried = [t for t in totals if t.counted]
    if not tried:
        return None
    names = {t.method.name for t in tried}
    methods = [
        MethodRates(row["method"], row["task"], {key: _number_or_why(row[key]) for key in FIGURES})
        for row in rates
        if row["method"] in names
    ]
    tasks = task_order(_first_days(tried))
    judged = [criterion.figure for criterion in CRITERIA]
    most = int(value("choice.most_routes"))
    found = routes(methods=methods, tasks=tasks, figures=FIGURES, judged=judged, most=most)
    criteria = _criteria(found.routes)
    compared = [route for route in found.routes if _is_known(route, criteria)]
    others = [route for route in found.routes if not _is_known(route, criteria)]
    rows = [_numbers(route, criteria) for route in compared]
    shares = weights_or_even(weights)
    used = tuple(shares.get(criterion.weight, 0.0) for criterion in criteria)
    if not any(used):
        used = tuple(1.0 for _ in criteria)
    means = choice.criterion_means(rows=rows)
    points = choice.weighted_points(rows=rows, weights=used, means=means) if criteria else [0.0] * len(rows)
    order = sorted(range(len(rows)), key=lambda at: (points[at], at))
    return RouteStudy(
        tasks=tasks,
        methods={method.name: method for method in methods},
        routes=[*(compared[at] for at in order), *others],
        compared_n=len(compared),
        criteria=criteria,
        weights=used,
        means=means,
        points=[points[at] for at in order],
        left_out_n=found.left_out_n,
    )


def weights_or_even(weights: Mapping[str, float]) -> dict[str, float]:
    """Weights as written; even ones if none weighs anything."""
    if any(weights.values()):
        return {criterion.weight: weights.get(criterion.weight, 0.0) for criterion in CRITERIA}
    return dict.fromkeys((criterion.weight for criterion in CRITERIA), value("choice.even_weight"))


def _first_days(tried: Sequence[MethodTotals]) -> dict[str, str | None]:
    days: dict[str, str | None] = {}
    for t in tried:
        dates = [s.session.date for s in t.counted if s.session.date]
        first = min(dates, default=None)
        before = days.get(t.method.task)
        days[t.method.task] = min((day for day in (first, before) if day), default=None)
    return days


def _number_or_why(figure: Figure) -> float | str:
    return figure.reason if figure.value is None else figure.value


def _is_known(route: Route, criteria: Sequence[Criterion]) -> bool:
    return not any(isinstance(route.per_cord[criterion.figure], str) for criterion in criteria)


def _numbers(route: Route, criteria: Sequence[Criterion]) -> tuple[float, ...]:
    return tuple(float(route.per_cord[criterion.figure]) for criterion in criteria)


def _criteria(found: Sequence[Route]) -> tuple[Criterion, ...]:
    """Questions that some routes have all figures for, the earlier ones first."""
    used: list[Criterion] = []
    for criterion in CRITERIA:
        if any(_is_known(route, [*used, criterion]) for route in found):
            used.append(criterion)
    return tuple(used)
