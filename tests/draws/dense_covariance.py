"""The model by another route: covariance of rows and targets, conditioned directly without normal equations.

Everything is written out from the sessions of one task: no rows are put together, so that each session must be alone
with its method, crew and day.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import product

import numpy as np

from wood_xl.draws.rows import TaskSessions
from wood_xl.ids import Recorded

S = np.exp(np.linspace(math.log(0.03), math.log(1.5), 14))
K = [(math.exp(-0.6 * math.sqrt(3)), 1 / 6), (1.0, 2 / 3), (math.exp(0.6 * math.sqrt(3)), 1 / 6)]
DAY_SHARE = [(0.0, 0.1), (0.3, 0.3), (0.6, 0.3), (0.9, 0.3)]
PERSON_SD = [(0.08, 0.25), (0.2, 0.5), (0.5, 0.25)]


@dataclass
class Dense:
    """Mixture of the log rates of all methods, and log likelihood of each grid point."""

    mean: np.ndarray
    covariance: np.ndarray
    weight: np.ndarray
    log_likelihood: np.ndarray
    points: list[tuple[float, float, float, tuple[float, ...]]]

    def value(self, a: int) -> float:
        return math.exp(self.weight @ (self.mean[:, a] - self.covariance[:, a, a] / 2))

    def quantile(self, contrast: np.ndarray, share: float) -> float:
        from scipy.stats import norm

        mean, sd = self.mean @ contrast, np.sqrt(np.einsum("i,bij,j->b", contrast, self.covariance, contrast))
        low, high = (mean - 9 * sd).min(), (mean + 9 * sd).max()
        for _ in range(70):
            middle = (low + high) / 2
            if self.weight @ norm.cdf((middle - mean) / sd) < share:
                low = middle
            else:
                high = middle
        return math.exp((low + high) / 2)

    def share_below(self, contrast: np.ndarray, x: float) -> float:
        from scipy.stats import norm

        mean, sd = self.mean @ contrast, np.sqrt(np.einsum("i,bij,j->b", contrast, self.covariance, contrast))
        return float(self.weight @ norm.cdf((x - mean) / sd))


def dense(
    task: TaskSessions,
    amount: Recorded,
    slope: tuple[float, float],
    cuts: dict[int, tuple[float, float]] | None = None,
) -> Dense:
    """``slope`` is the prior mean and SD of b; ``cuts`` are the observed slope and its error by method."""
    from scipy.stats import multivariate_normal

    sessions = task.sessions
    n = len(sessions)
    methods = sorted({one.method for one in sessions})
    wood = np.array([one.wood_m3 for one in sessions])
    y = np.log([one.amounts[amount] for one in sessions]) - np.log(wood)
    mean_y = y.mean()
    c = np.minimum(3, (1 + wood.mean() / wood) / 2)
    has_logs = all(one.diameter_m for one in sessions)
    x = np.log([one.diameter_m or 1.0 for one in sessions])
    common = math.log(np.sum(wood * np.exp(2 * x)) / wood.sum()) / 2
    persons = sorted({person for one in sessions for person in one.hands or {}})
    shares = np.array(
        [
            [(one.hands or {}).get(p, 0) / max(sum((one.hands or {}).values()), 1e-9) for p in persons]
            for one in sessions
        ]
    ).reshape(n, len(persons))
    average = wood @ shares / wood.sum()
    same_day = np.array([[a is b or (a.day is not None and a.day == b.day) for b in sessions] for a in sessions])
    shared = bool(same_day.sum() > n)

    # Rows, timed cuts and targets as one list of jointly normal variables.
    cuts = cuts if cuts and has_logs else {}
    method = [one.method for one in sessions] + list(cuts) + methods
    kind = ["row"] * n + ["cut"] * len(cuts) + ["target"] * len(methods)
    at = np.concatenate([x - common, np.ones(len(cuts)), np.zeros(len(methods))]) * has_logs
    level = np.array([0.0 if k == "cut" else 1.0 for k in kind])
    who = np.vstack([shares, np.zeros((len(cuts), len(persons))), np.tile(average, (len(methods), 1))])
    same = np.equal.outer(method, method).astype(float)
    seen = np.concatenate([y - mean_y, [value for value, _ in cuts.values()]])
    m = seen.size
    mean = slope[0] * at

    results = []
    axes = product(S, DAY_SHARE if shared else [(0.0, 1.0)], PERSON_SD if len(persons) > 1 else [(0.0, 1.0)])
    choices = K if len(methods) > 1 else [(1.0, 1.0)]
    for (s, (rho, p_rho), (sd, p_sd)), ks in product(list(axes), product(choices, repeat=len(methods))):
        k = dict(zip(methods, (one for one, _ in ks), strict=True))
        prior = p_rho * p_sd * math.prod(p for _, p in ks) * math.exp(-((math.log(s / 0.32) / 0.7) ** 2) / 2)
        joint = 9 * np.outer(level, level) + np.outer(level, level) * same
        joint += np.outer(at, at) * (slope[1] ** 2 + 0.15**2 * same) + sd**2 * who @ who.T
        joint[:n, :n] += rho * s**2 * same_day
        joint[range(n), range(n)] += (1 - rho) * s**2 * np.array([k[one.method] for one in sessions]) ** 2 * c
        joint[range(n, m), range(n, m)] += np.array([se for _, se in cuts.values()]) ** 2
        gain = np.linalg.solve(joint[:m, :m], joint[:m, m:]).T
        half = np.array([s**2 * (rho + (1 - rho) * k[one] ** 2) / 2 for one in methods])
        results.append(
            (
                mean[m:] + gain @ (seen - mean[:m]) + mean_y + half,
                joint[m:, m:] - gain @ joint[:m, m:],
                math.log(prior),
                multivariate_normal(mean[:m], joint[:m, :m]).logpdf(seen),
                (s, rho, sd, tuple(k.values())),
            )
        )
    means, covariances, logs, likelihoods, points = (list(column) for column in zip(*results, strict=True))
    weight = np.array(logs) + np.array(likelihoods)
    weight = np.exp(weight - weight.max())
    return Dense(np.array(means), np.array(covariances), weight / weight.sum(), np.array(likelihoods), points)
