"""Joint draws of what a unit of wood takes: all methods and amounts of a task, as arrays for all that follows."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from wood_xl.data.load import value
from wood_xl.draws.ensemble import Numbers, middles, order, scores
from wood_xl.draws.normal import Array, Mixture
from wood_xl.draws.season import Fit
from wood_xl.draws.verdicts import variances_of
from wood_xl.ids import Recorded


def joint_draws(fit: Fit, hours: Fit | None, nominal: Mapping[int, float]) -> dict[int, Array | float]:
    """Arrays of one amount of a task by method, nominal values first; what takes nothing stays the number 0.

    One column picks the spreads for every amount, so that unlike days are unlike in all of them. A method's draws
    then take the quantiles of its mixture in their own order: printed ends and draws agree.

    hours: the task's worker hours, which the other amounts go with.

    After how_sure_defaults, model of the sessions, joint draws.
    """
    observed, targets = fit.design.observed, fit.design.targets
    arrays: dict[int, Array | float] = dict.fromkeys(observed.zero, 0.0)
    logs = _at_picked_points(
        fit, _picks(fit, order(f"spread|{observed.task}")), _normals(fit, correlation(hours, fit))
    )
    mean = fit.middles(targets) + fit.half_variance.T
    mixture = Mixture(mean, np.sqrt(variances_of(fit, targets)), fit.weight)
    quantiles = mixture.quantiles(middles())
    for i, method in enumerate(fit.design.methods):
        ranks = np.argsort(np.argsort(logs[:, i], kind="stable"), kind="stable")
        arrays[method] = np.append(nominal[method], np.exp(quantiles[i][ranks]))
    return arrays


def correlation(hours: Fit | None, fit: Fit) -> float:
    """Correlation of an amount with worker hours, drawn towards what is assumed of it.

        r = (4 r_0 + df r_seen) / (4 + df)    r_seen of deviations from method means, df = rows - methods

    After how_sure_defaults, model of the sessions, joint draws.
    """
    amount = fit.design.observed.amount
    if amount is Recorded.WORKER_HOURS:
        return 1.0
    assumed = value(f"model.shared.{amount.key}")
    by_key = {row.key: row.log_rate for row in hours.design.observed.rows} if hours else {}
    both = [row for row in fit.design.observed.rows if row.key in by_key]
    methods = sorted({row.method for row in both})
    df = len(both) - len(methods)
    if df <= 0:
        return assumed
    method_of = np.array([row.method for row in both])
    seen = np.array([[by_key[row.key], row.log_rate] for row in both])
    for method in methods:
        seen[method_of == method] -= seen[method_of == method].mean(axis=0)
    squares = (seen**2).sum(axis=0)
    # Equal rates leave rounding behind, whose correlation would be noise.
    if squares.min() <= 1e-24 * len(both):
        return assumed
    found = float(seen[:, 0] @ seen[:, 1] / math.sqrt(squares.prod()))
    prior = value("model.shared.prior")
    return (prior * assumed + df * found) / (prior + df)


def _picks(fit: Fit, strata: Numbers) -> Numbers:
    """Grid point of each draw, by cumulated weight; the points stand sorted by their spreads."""
    cumulated = np.cumsum(fit.weight)
    places = (strata + 0.5) / strata.size * cumulated[-1]
    picked: Numbers = np.minimum(np.searchsorted(cumulated, places, side="right"), cumulated.size - 1)
    return picked


def _normals(fit: Fit, shared: float) -> Array:
    task, amount = fit.design.observed.task, fit.design.observed.amount
    columns = []
    for method in fit.design.methods:
        hours = scores(f"{task}|{Recorded.WORKER_HOURS.key}|{method}")
        own = hours if amount is Recorded.WORKER_HOURS else scores(f"{task}|{amount.key}|{method}")
        columns.append(shared * hours + math.sqrt(max(1 - shared**2, 0.0)) * own)
    return np.column_stack(columns)


def _at_picked_points(fit: Fit, picks: Numbers, normals: Array) -> Array:
    targets = fit.design.targets
    mean = (fit.middles(targets) + fit.half_variance.T).T
    root = np.linalg.cholesky(fit.covariances(targets))
    return mean[picks] + (root[picks] @ normals[:, :, None])[:, :, 0]
