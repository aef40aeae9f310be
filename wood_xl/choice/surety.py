"""Intervals of combinations and plans, and how likely each is the best, by draws that all of them share."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from wood_xl.choice.combinations import CRITERIA, FIGURES, CombinationStudy
from wood_xl.draws.ensemble import Number, total
from wood_xl.draws.figure import Figure, is_of_unknown_doubt, sum_of
from wood_xl.draws.shared_factors import least_shares
from wood_xl.hours.season_rates import RateRow
from wood_xl.reasons import Reason, Said, said


@dataclass(frozen=True)
class DrawnFigures:
    """Figures per cord of each method, with members that all of them share.

    figures: of each method by their ids.
    """

    figures: Mapping[str, Mapping[str, Figure]]

    def along(self, by_method: Mapping[str, float], key: str) -> Number:
        """Sum of a figure over methods, each times its cords."""
        return total(cords * self.figures[name][key].number for name, cords in by_method.items())

    def sum_figure(self, by_method: Mapping[str, float], key: str) -> Figure:
        """Sum of a figure over methods, each times its cords, with the ends that the methods' own leave.

        Cords below 0 take a method off: so the difference of two combinations is in no doubt by what they share.
        """
        return sum_of({name: self.figures[name][key] for name in by_method}, by_method, _of_method)


def _of_method(name: str, figure: Figure) -> Said:
    return said(Reason.OF_METHOD, method=name, why=figure.reason)


@dataclass(frozen=True)
class CombinationSurety:
    """What the draws tell.

    draws: of the figures per cord of each method.
    best_by: of a figure: share of the draws in which each combination that has it has the least.
    best: the same for the points by the weights; empty if no combination can be compared.
    drawn: figures with intervals among those that are asked for; the others are taken as they stand.
    is_drawn: whether one of those that the points are made of is among them, and of none the doubt is unknown.
    """

    draws: DrawnFigures
    best_by: dict[str, list[float]]
    best: list[float]
    drawn: tuple[str, ...]
    is_drawn: bool

    def sum_figure(self, by_method: Mapping[str, float], key: str) -> Figure:
        """Sum of a figure over methods, each times its cords, with the interval that the methods' own leave."""
        return self.draws.sum_figure(by_method, key)


def combination_surety(study: CombinationStudy, rates: Sequence[RateRow]) -> CombinationSurety:
    """Follow the members of every figure of every method through the combinations."""
    draws = DrawnFigures({row.method: {key: row.figure_of(key) for key in FIGURES} for row in rates})
    sums = {
        key: {at: draws.along(dict.fromkeys(study.combinations[at].methods, 1.0), key) for at in places}
        for key in (criterion.figure for criterion in CRITERIA)
        if (places := study.known_at(key))
    }
    keys = [criterion.figure for criterion in study.criteria]
    weighing = [key for key, weight in zip(keys, study.weights, strict=True) if weight]
    points = [points_by(study, [sums[key][at] for key in keys]) for at in range(study.compared_n)]
    unknown = [key for key in sums if any(is_of_unknown_doubt(draws.figures[name][key]) for name in study.methods)]
    unsure = [
        key
        for key in sums
        if key not in unknown and any(draws.figures[name][key].members is not None for name in study.methods)
    ]
    return CombinationSurety(
        draws=draws,
        best_by={key: least_shares(list(by_combination.values())) for key, by_combination in sums.items()},
        best=least_shares(points) if points else [],
        drawn=tuple(unsure),
        is_drawn=any(key in unsure for key in weighing) and not any(key in unknown for key in weighing),
    )


def points_by(study: CombinationStudy, figures: Sequence[Number]) -> Number:
    """Points by the weights, as ``points.weighted_points`` has them, for all members at once."""
    telling = [(w, mean, one) for w, mean, one in zip(study.weights, study.means, figures, strict=True) if mean]
    all_weights = sum(w for w, _, _ in telling) or 1.0
    return total(100 * w / mean / all_weights * one for w, mean, one in telling)
