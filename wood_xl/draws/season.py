"""The tasks of a season solved together: each borrows the day-to-day spread of the others.

With more than three methods, settings of their spreads are chosen evenly by weight instead of all combinations.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from wood_xl.data.load import value
from wood_xl.draws.normal import Array
from wood_xl.draws.rows import Observed, Row
from wood_xl.draws.sessions import (
    Design,
    Numbers,
    Points,
    Spreads,
    design,
    enumeration,
    grid_of,
    log_likelihood,
    log_sum,
    posterior_matrix,
    scaled,
)


@dataclass(frozen=True, eq=False, slots=True)
class Fit:
    """One amount of one task, solved at each grid point that has weight.

    weight: of each point; they sum to 1.
    s, day_share, precision, k: spreads at each point; that of persons as prior precision of the columns, and one
        ``k`` for each method.
    beta, covariance: mean and covariance of the columns' coefficients at each point.
    half_variance: log of the long run less that of a median day, points by methods.
    gain: what the other tasks add to the log prior of each day-to-day spread.
    odd_row: row farthest from its method's mean, if sessions differ more than they should; else None.
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
    gain: Array
    odd_row: Row | None

    def log_medians(self, targets: Array) -> Array:
        """Log of a median day for each target: targets by points."""
        return targets @ self.beta.T + self.design.mean_y

    @property
    def long_run_means(self) -> Array:
        """Mean log rate of each method on equal terms in the long run: methods by points."""
        return self.log_medians(self.design.targets) + self.half_variance.T

    def variances(self, targets: Array) -> Array:
        """Variance of each target: targets by points."""
        variances: Array = ((targets @ self.covariance) * targets).sum(axis=2).T
        return variances

    def covariances(self, targets: Array) -> Array:
        """Covariance of the targets: points by targets by targets."""
        return targets @ self.covariance @ targets.T

    def expected(self, target: Array) -> float:
        """Mean of one weighted sum of coefficients over all points."""
        return float(self.weight @ (self.beta @ target))


def fit_season(tasks: Sequence[Observed]) -> tuple[Fit, ...]:
    """One amount in all tasks of a season, each solved with the spread it borrows from the others.

    Source: how_sure_defaults, model of the sessions.
    """
    designs = [design(one) for one in tasks]
    all_points = [enumeration(one) if _is_enumerated(one) else settings(one) for one in designs]
    gains = _gains([_log_likelihood_of_spread(*pair) for pair in zip(designs, all_points, strict=True)])
    return tuple(solved(*one) for one in zip(designs, all_points, gains, strict=True))


def without_row(fit: Fit, place: int) -> Fit:
    """The task solved again without one of its rows; what other tasks lend does not depend on that row.

    The search for the methods' spreads starts where the fit has most weight, as one row seldom moves it far.

    place: of the row; its method must have others.
    """
    observed = fit.design.observed
    others = design(replace(observed, rows=observed.rows[:place] + observed.rows[place + 1 :]))
    if _is_enumerated(others):
        return solved(others, enumeration(others), fit.gain)
    likeliest = np.searchsorted(others.grid.k, fit.k[fit.weight.argmax()])
    return solved(others, settings(others, likeliest), fit.gain)


def _is_enumerated(design: Design) -> bool:
    return design.grid.k.size == 1 or len(design.methods) <= value("model.enumerated")


def _log_likelihood_of_spread(design: Design, points: Points) -> Array:
    """Log likelihood of the task at each value of s, summed over the rest of the grid; less a constant."""
    own = np.exp(points.log_weight - points.log_weight.max())
    with np.errstate(divide="ignore"):  # the likelihood of a spread that no setting has is 0
        return np.log(np.bincount(points.spreads.s, own, design.grid.s.size)) - design.grid.s_prior


def _gains(likelihoods: Sequence[Array]) -> list[Array]:
    """What the other tasks add to the log prior of each task's spread; 0 if there are none."""
    if len(likelihoods) < 2:
        return [np.zeros(own.size) for own in likelihoods]
    grid = grid_of(1, 0, False)
    s = np.log(grid.s)
    own_sd = value("model.spread.task_log_sd")
    season_sd = math.sqrt(value("model.spread.log_sd") ** 2 - own_sd**2)
    season = scaled(-(((s - math.log(value("model.spread.median"))) / season_sd) ** 2) / 2)
    kernel = -(((s[None, :] - s[:, None]) / own_sd) ** 2) / 2
    kernel = kernel - log_sum(kernel, axis=1)[:, None]
    by_season = [log_sum(kernel + own, axis=1) for own in likelihoods]
    gains = []
    for i in range(len(by_season)):
        others = season + np.sum([own for j, own in enumerate(by_season) if j != i], axis=0)
        gains.append(scaled(log_sum(others[:, None] + kernel, axis=0)) - grid.s_prior)
    return gains


def solved(design: Design, points: Points, gain: Array) -> Fit:
    """Model solved at each point with weight; ``gain`` is what other tasks add to the log prior of each spread."""
    grid = design.grid
    logs = points.log_weight + gain[points.spreads.s]
    weight = np.exp(scaled(logs))
    top = float(weight[points.spreads.s == grid.s.size - 1].sum())
    kept = weight >= value("model.weight.dropped")
    spreads = points.spreads.at(kept)
    s, rho, k = grid.s[spreads.s], grid.day_share[spreads.day_share], grid.k[spreads.k]
    half_variance: Array = (s**2)[:, None] * (rho[:, None] + (1 - rho)[:, None] * k**2) / 2
    matrix = posterior_matrix(design, spreads)
    covariance = np.asarray(np.linalg.inv(matrix[:, :-1, :-1]), dtype=np.float64)
    beta = design.beta_0 + (covariance @ matrix[:, :-1, -1:])[:, :, 0]
    return Fit(
        design=design,
        weight=weight[kept] / weight[kept].sum(),
        s=s,
        day_share=rho,
        precision=design.precision[spreads.person_sd],
        k=k,
        beta=beta,
        covariance=covariance,
        half_variance=half_variance,
        gain=gain,
        odd_row=_farthest(design) if top > value("model.spread.outside") else None,
    )


def _farthest(design: Design) -> Row:
    means = np.array([design.y[design.method_of == m].mean() for m in range(len(design.methods))])
    return design.observed.rows[int(np.abs(design.y - means[design.method_of]).argmax())]


def settings(design: Design, likeliest: Numbers | int = 1) -> Points:
    """Grid points sampled evenly by weight, each with a spread for each method.

    Around the best combination of the methods' spreads, each spread is changed alone. Points and spreads are sampled
    as if these changes added up; the weight of each setting then corrects for what does not.

    likeliest: place of each method's spread in the grid, where the search for the best combination starts.

    After how_sure_defaults, model of the sessions, more than three methods.
    """
    best, at_best, changes = _best(design, likeliest)
    single = changes + design.grid.k_prior
    log_proposal = best.log_prior(design.grid) + at_best + log_sum(single, axis=2).sum(axis=1)
    point, k = _sampled(log_proposal, single)
    methods = np.arange(k.shape[1])
    assumed = at_best[point] + changes[point[:, None], methods, k].sum(axis=1)
    # A setting sampled more than once is solved once. Rows come out sorted by point, then spreads.
    sampled, first, times = np.unique(np.column_stack([point, k]), axis=0, return_index=True, return_counts=True)
    spreads = best.at(sampled[:, 0])._replace(k=sampled[:, 1:])
    return Points(spreads, np.log(times) + log_likelihood(design, spreads) - assumed[first])


def _best(design: Design, start: Numbers | int) -> tuple[Spreads, Array, Array]:
    """Points with the best spreads of the methods, their log likelihood, and what each single change adds to it."""
    grid = design.grid
    s, day_share, person_sd = np.indices((grid.s.size, grid.day_share.size, grid.person_sd.size)).reshape(3, -1)
    points_n, many, k_n = s.size, len(design.methods), grid.k.size
    best = Spreads(s, day_share, person_sd, np.full((points_n, many), start, dtype=np.intp))
    at_best = log_likelihood(design, best)
    changes = np.zeros((points_n, many, k_n))
    moving = np.arange(points_n)
    for turn in range(3 * many + 1):
        for shift in (1, 2):
            others = np.repeat(best.k[moving, None, :], many, axis=1)
            methods = np.arange(many)
            others[:, methods, methods] = (others[:, methods, methods] + shift) % k_n
            changed_points = best.at(np.repeat(moving, many))._replace(k=others.reshape(-1, many))
            logs = log_likelihood(design, changed_points)
            changed = others[:, methods, methods]
            changes[moving[:, None], methods, changed] = logs.reshape(-1, many) - at_best[moving, None]
        changes[moving[:, None], np.arange(many), best.k[moving]] = 0.0
        prior = grid.k_prior
        gain = changes[moving] + prior - prior[best.k[moving]][:, :, None]
        flat = gain.reshape(moving.size, -1)
        winner = flat.argmax(axis=1)
        up = flat[np.arange(moving.size), winner] > 1e-9
        if turn == 3 * many or not up.any():
            break
        moving, (method, k) = moving[up], np.divmod(winner[up], k_n)
        at_best[moving] += changes[moving, method, k]
        best.k[moving, method] = k
    return best, at_best, changes


def _sampled(log_proposal: Array, single: Array) -> tuple[Numbers, Numbers]:
    """Point and spreads of each setting: points evenly by weight, spreads by the root of a prime for each method."""
    settings_n = int(value("model.settings"))
    number = np.arange(settings_n)
    cumulated = np.cumsum(np.exp(scaled(log_proposal)))
    middle = (number + 0.5) / settings_n * cumulated[-1]
    point: Numbers = np.minimum(np.searchsorted(cumulated, middle, side="right"), cumulated.size - 1)
    place = np.mod(number[:, None] * np.sqrt(_primes(single.shape[1])) + 0.5, 1.0)
    weights = np.exp(single - log_sum(single, axis=2)[:, :, None])
    k: Numbers = (place[:, :, None] >= np.cumsum(weights, axis=2)[point][:, :, :-1]).sum(axis=2)
    return point, k


def _primes(n: int) -> Array:
    primes: list[int] = []
    number = 2
    while len(primes) < n:
        if all(number % prime for prime in primes):
            primes.append(number)
        number += 1
    return np.array(primes, dtype=float)
