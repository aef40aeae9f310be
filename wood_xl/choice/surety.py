"""Intervals of combinations and plans, and how likely each is the best, by draws that all of them share."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from wood_xl.choice.combinations import CRITERIA, FIGURES, CombinationStudy
from wood_xl.choice.draws import best_share_frac, figure_draws
from wood_xl.data.load import value
from wood_xl.draws.figure import Figure, not_given
from wood_xl.draws.strata import Draws, limits_of_draws
from wood_xl.hours.part_rates import TAKES_NONE
from wood_xl.hours.season_rates import RateRow
from wood_xl.reasons import Reason, said

Doubt = Callable[[str, str], Draws]  # of a method and a figure: its draws, with what it shares by the same keys


@dataclass(frozen=True)
class DrawnFigures:
    """Figures per cord of each method by draws that all of them share, each drawn once.

    figures: of each method by their ids.
    doubt: draws of a figure of a method.
    """

    figures: Mapping[str, Mapping[str, Figure]]
    doubt: Doubt
    _drawn: dict[tuple[str, str], Draws] = field(default_factory=dict)

    def along(self, by_method: Mapping[str, float], key: str) -> Draws:
        """Sum of a figure over methods, each times its cords."""
        total: Draws = np.sum([cords * self._of(name, key) for name, cords in by_method.items()], axis=0)
        return total

    def sum_figure(self, by_method: Mapping[str, float], key: str) -> Figure:
        """Sum of a figure over methods, each times its cords, with the interval that the methods' own leave.

        Cords below 0 take a method off: so the difference of two combinations is in no doubt by what they share.
        """
        parts = {name: self.figures[name][key] for name in by_method}
        for name, part in parts.items():
            if part.value is None:
                return not_given(said(Reason.OF_METHOD, method=name, why=part.reason))
        total = math.fsum((part.value or 0.0) * by_method[name] for name, part in parts.items())
        if not any(part.low is not None for part in parts.values()):
            return Figure(total, reason=said(Reason.NO_INTERVAL) if total else TAKES_NONE)
        low, high = limits_of_draws(draws=self.along(by_method, key), level_frac=_level())
        return Figure(total, None, low, high)

    def _of(self, method: str, key: str) -> Draws:
        if (method, key) not in self._drawn:
            figure = self.figures[method][key]
            value_of = figure.value or 0.0
            self._drawn[method, key] = (
                np.full(int(value("draws.strata")), value_of)
                if figure.low is None
                else figure_draws(figure=value_of, low=figure.low, high=figure.high, doubt=self.doubt(method, key))
            )
        return self._drawn[method, key]


@dataclass(frozen=True)
class CombinationSurety:
    """What the draws tell.

    draws: of the figures per cord of each method.
    best_by: of a figure: share of the draws in which each combination that has it has the least.
    best: the same for the points by the weights; empty if no combination can be compared.
    drawn: figures with intervals among those that are asked for; the others are taken as they stand.
    is_drawn: whether one of those that the points are made of is among them.
    """

    draws: DrawnFigures
    best_by: dict[str, list[float]]
    best: list[float]
    drawn: tuple[str, ...]
    is_drawn: bool

    def sum_figure(self, by_method: Mapping[str, float], key: str) -> Figure:
        """Sum of a figure over methods, each times its cords, with the interval that the methods' own leave."""
        return self.draws.sum_figure(by_method, key)


def combination_surety(study: CombinationStudy, rates: Sequence[RateRow], doubt: Doubt) -> CombinationSurety:
    """Draw every figure of every method once and follow the draws through the combinations."""
    figures = {row.method: {key: row.figure_of(key) for key in FIGURES} for row in rates}
    draws = DrawnFigures(figures, doubt)
    drawn = {
        key: {at: draws.along(dict.fromkeys(study.combinations[at].methods, 1.0), key) for at in known}
        for key in (criterion.figure for criterion in CRITERIA)
        if (known := study.known_at(key))
    }
    keys = [criterion.figure for criterion in study.criteria]
    points = [_points(study, [drawn[key][at] for key in keys]) for at in range(study.compared_n)]
    uncertain = [key for key in drawn if any(figures[name][key].low is not None for name in study.methods)]
    return CombinationSurety(
        draws=draws,
        best_by={key: best_share_frac(draws=list(by_combination.values())) for key, by_combination in drawn.items()},
        best=best_share_frac(draws=points) if points else [],
        drawn=tuple(uncertain),
        is_drawn=any(key in uncertain for key in keys),
    )


def _level() -> float:
    return value("interval.level") / 100


def _points(study: CombinationStudy, drawn: Sequence[Draws]) -> Draws:
    """Points by the weights, as ``choice.weighted_points`` has them, for all draws at once."""
    telling = [(w, mean, d) for w, mean, d in zip(study.weights, study.means, drawn, strict=True) if mean]
    total = math.fsum(w for w, _, _ in telling) or 1.0
    points: Draws = sum((100 * w / mean / total * d for w, mean, d in telling), start=np.zeros(drawn[0].size))
    return points
