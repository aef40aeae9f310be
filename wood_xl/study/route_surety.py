"""Intervals of routes and plans, and how likely each route is the best, by draws that all of them share."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from wood_xl.calc.figure import Figure, not_given
from wood_xl.calc.route_draws import best_share_frac, figure_draws
from wood_xl.calc.strata import Draws, limits_of_draws
from wood_xl.data.load import value
from wood_xl.study.routes import RouteStudy

WORK = ("worker_hours", "clock_hours", "kcal_net")  # scatter together: all of them come with the time of a session
NO_INTERVAL = "no interval is known"

Row = dict[str, Any]


@dataclass(frozen=True)
class RouteSurety:
    """What the draws tell.

    Attributes
    ----------
    figures : mapping
        Row of each method with its figures per cord.
    best_by : dict
        Of a figure: share of the draws in which each compared route has the least.
    best : list of float
        The same for the points by the weights; empty if no route can be compared.
    drawn : tuple of str
        Figures of the choice that have intervals; the others are taken as they stand.
    """

    figures: Mapping[str, Row]
    best_by: dict[str, list[float]]
    best: list[float]
    drawn: tuple[str, ...]

    def sum_figure(self, by_method: Mapping[str, float], key: str) -> Figure:
        """Sum of a figure over methods, each times its cords, with the interval that the methods' own leave."""
        parts = {name: self.figures[name][key] for name in by_method}
        for name, part in parts.items():
            if part.value is None:
                return not_given(f"{name}: {part.reason}")
        total = math.fsum(part.value * by_method[name] for name, part in parts.items())
        if not any(part.low is not None for part in parts.values()):
            return Figure(total, reason=NO_INTERVAL if total else "")
        low, high = limits_of_draws(draws=_along(by_method, key, self.figures), level_frac=_level())
        return Figure(total, "", low, high, "")


def route_surety(study: RouteStudy, rates: Sequence[Row]) -> RouteSurety:
    """Draw every figure of every method once and follow the draws along the routes.

    Parameters
    ----------
    study : RouteStudy
        Of the season.
    rates : sequence of dict
        Figures of each method per cord, with their intervals.
    """
    figures = {row["method"]: row for row in rates}
    keys = [criterion.figure for criterion in study.criteria]
    compared = study.routes[: study.compared_n]
    drawn = {key: [_along(dict.fromkeys(r.methods, 1.0), key, figures) for r in compared] for key in keys}
    points = [_points(study, [drawn[key][at] for key in keys]) for at in range(len(compared))]
    uncertain = [key for key in keys if any(figures[name][key].low is not None for name in study.methods)]
    return RouteSurety(
        figures=figures,
        best_by={key: best_share_frac(draws=rows) for key, rows in drawn.items()},
        best=best_share_frac(draws=points) if points and keys else [],
        drawn=tuple(uncertain),
    )


def _level() -> float:
    return value("interval.level") / 100


def _along(by_method: Mapping[str, float], key: str, figures: Mapping[str, Row]) -> Draws:
    total: Draws = np.sum(
        [cords * _draws(name, key, figures[name][key]) for name, cords in by_method.items()], axis=0
    )
    return total


def _draws(method: str, key: str, figure: Figure) -> Draws:
    source = "work" if key in WORK else key
    return figure_draws(figure=figure.value or 0.0, low=figure.low, high=figure.high, key=f"{method}|{source}")


def _points(study: RouteStudy, drawn: Sequence[Draws]) -> Draws:
    """Points by the weights, as ``choice.weighted_points`` has them, for all draws at once."""
    telling = [(w, mean, d) for w, mean, d in zip(study.weights, study.means, drawn, strict=True) if mean]
    total = math.fsum(w for w, _, _ in telling) or 1.0
    points: Draws = sum((100 * w / mean / total * d for w, mean, d in telling), start=np.zeros(drawn[0].size))
    return points
