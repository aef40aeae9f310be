"""The tasks of a season solved together: the spread of each day is borrowed from the other tasks."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wood_xl.data.load import value
from wood_xl.draws.normal import Array
from wood_xl.draws.rows import Observed, Row
from wood_xl.draws.sessions import (
    Design,
    Points,
    design,
    enumeration,
    grid_of,
    log_sum,
    posterior_matrix,
    scaled,
)
from wood_xl.draws.settings import settings


@dataclass(frozen=True, eq=False, slots=True)
class Fit:
    """One amount of one task, solved at each grid point that has weight.

    weight: of each point; their sum is 1.
    s, day_share, precision, k: spreads at each point; those of persons as prior precision of the columns, one ``k``
        for each method.
    beta, covariance: mean and covariance of the columns' coefficients at each point.
    half_variance: what turns the log of a median day into that of the long run, for each point and method.
    odd_row: set where the sessions differ more than sessions do: the row farthest from its method's mean.
    """

    design: Design
    weight: Array
    s: Array
    day_share: Array
    precision: Array
    k: Array
    beta: Array
    covariance: Array
    half_variance: Array
    odd_row: Row | None

    def middles(self, targets: Array) -> Array:
        """Mean of each target at each point, without the long run's half variance: targets by points."""
        return targets @ self.beta.T + self.design.mean_y

    def covariances(self, targets: Array) -> Array:
        """Covariance of the targets at each point: points by targets by targets."""
        return targets @ self.covariance @ targets.T

    def expected(self, target: Array) -> float:
        """Mean over all points of one sum of coefficients."""
        return float(self.weight @ (self.beta @ target))


def fit_season(tasks: Sequence[Observed]) -> tuple[Fit, ...]:
    """One amount in all tasks of a season, each solved with the spread that the others lend it.

    Source: how_sure_defaults, model of the sessions.
    """
    designs = [design(one) for one in tasks]
    all_points = [enumeration(one) if _is_enumerated(one) else settings(one) for one in designs]
    gains = _lent([_log_likelihood_of_spread(*pair) for pair in zip(designs, all_points, strict=True)])
    return tuple(solved(*one) for one in zip(designs, all_points, gains, strict=True))


def _is_enumerated(design: Design) -> bool:
    return design.grid.k.size == 1 or len(design.methods) <= value("model.enumerated")


def _log_likelihood_of_spread(design: Design, points: Points) -> Array:
    """Log likelihood of the task at each value of s, the rest of the grid summed over; less a constant."""
    own = np.exp(points.log_weight - points.log_weight.max())
    with np.errstate(divide="ignore"):  # a spread that no setting has is as unlikely as can be
        return np.log(np.bincount(points.s, own, design.grid.s.size)) - design.grid.s_prior


def _lent(likelihoods: Sequence[Array]) -> list[Array]:
    """What the other tasks add to the log prior of each task's spread; nothing where a task is alone."""
    if len(likelihoods) < 2:
        return [np.zeros(own.size) for own in likelihoods]
    grid = grid_of(1, 0, False)
    s = np.log(grid.s)
    own_sd = value("model.spread.task_log_sd")
    season_sd = math.sqrt(value("model.spread.log_sd") ** 2 - own_sd**2)
    season = scaled(-(((s - math.log(value("model.spread.median"))) / season_sd) ** 2) / 2)
    kernel = -(((s[None, :] - s[:, None]) / own_sd) ** 2) / 2
    kernel = kernel - log_sum(kernel, axis=1)[:, None]
    seen = [log_sum(kernel + own, axis=1) for own in likelihoods]
    gains = []
    for i in range(len(seen)):
        others = season + np.sum([own for j, own in enumerate(seen) if j != i], axis=0)
        gains.append(scaled(log_sum(others[:, None] + kernel, axis=0)) - grid.s_prior)
    return gains


def solved(design: Design, points: Points, gain: Array) -> Fit:
    """The model at each point with weight; ``gain`` is what other tasks add to the log prior of each spread."""
    logs = points.log_weight + gain[points.s]
    weight = np.exp(scaled(logs))
    top = float(weight[points.s == design.grid.s.size - 1].sum())
    kept = weight >= value("model.weight.dropped")
    s, day_share, person_sd = (axis[kept] for axis in (points.s, points.day_share, points.person_sd))
    variance: Array = design.grid.s[s] ** 2
    rho, k = design.grid.day_share[day_share], design.grid.k[points.k[kept]]
    half_variance: Array = variance[:, None] * (rho[:, None] + (1 - rho)[:, None] * k**2) / 2
    matrix, _ = posterior_matrix(design, s, day_share, person_sd, points.k[kept])
    covariance = np.asarray(np.linalg.inv(matrix[:, :-1, :-1]), dtype=np.float64)
    beta = design.beta_0 + (covariance @ matrix[:, :-1, -1:])[:, :, 0]
    return Fit(
        design=design,
        weight=weight[kept] / weight[kept].sum(),
        s=design.grid.s[s],
        day_share=rho,
        precision=design.precision[person_sd],
        k=k,
        beta=beta,
        covariance=covariance,
        half_variance=half_variance,
        odd_row=_farthest(design) if top > value("model.spread.outside") else None,
    )


def _farthest(design: Design) -> Row:
    means = np.array([design.y[design.method_of == m].mean() for m in range(len(design.methods))])
    return design.observed.rows[int(np.abs(design.y - means[design.method_of]).argmax())]
