"""More than three methods: settings of their spreads, chosen evenly by weight instead of all combinations."""

from __future__ import annotations

import numpy as np

from wood_xl.data.load import value
from wood_xl.draws.normal import Array
from wood_xl.draws.sessions import Design, Numbers, Points, log_likelihood, log_sum, scaled


def settings(design: Design) -> Points:
    """Grid points by weight, with a spread for each method that follows from the place among them.

    Around the best combination of the methods' spreads each one is changed alone. Points and spreads are taken evenly
    by weight as if these changes added up; how far they do not then becomes the weight of each setting.

    After how_sure_defaults, model of the sessions, more than three methods.
    """
    s, day_share, person_sd = _points_of(design)
    best, at_best, changes = _best(design, s, day_share, person_sd)
    single = changes + design.grid.k_prior
    grid = design.grid
    prior = grid.s_prior[s] + grid.day_share_prior[day_share] + grid.person_sd_prior[person_sd]
    log_proposal = prior + at_best + log_sum(single, axis=2).sum(axis=1)
    point, k = _taken(log_proposal, single)
    methods = np.arange(best.shape[1])
    assumed = at_best[point] + changes[point[:, None], methods, k].sum(axis=1)
    # Settings that were taken more than once are solved once; the rows come out sorted by point, then spreads.
    taken, first, taken_n = np.unique(np.column_stack([point, k]), axis=0, return_index=True, return_counts=True)
    point, k = taken[:, 0], taken[:, 1:]
    exact = log_likelihood(design, s[point], day_share[point], person_sd[point], k)
    return Points(s[point], day_share[point], person_sd[point], k, np.log(taken_n) + exact - assumed[first])


def _points_of(design: Design) -> tuple[Numbers, Numbers, Numbers]:
    grid = design.grid
    axes = np.indices((grid.s.size, grid.day_share.size, grid.person_sd.size)).reshape(3, -1)
    return axes[0], axes[1], axes[2]


def _best(design: Design, s: Numbers, day_share: Numbers, person_sd: Numbers) -> tuple[Numbers, Array, Array]:
    """Likeliest spreads of the methods at each point, their log likelihood, and what each change alone adds to it."""
    points_n, many, k_n = s.size, len(design.methods), design.grid.k.size
    best = np.ones((points_n, many), dtype=np.intp)
    at_best = log_likelihood(design, s, day_share, person_sd, best)
    changes = np.zeros((points_n, many, k_n))
    moving = np.arange(points_n)
    for turn in range(3 * many + 1):
        for shift in (1, 2):
            others = np.repeat(best[moving, None, :], many, axis=1)
            methods = np.arange(many)
            others[:, methods, methods] = (others[:, methods, methods] + shift) % k_n
            again = np.repeat(moving, many)
            logs = log_likelihood(design, s[again], day_share[again], person_sd[again], others.reshape(-1, many))
            changed = others[:, methods, methods]
            changes[moving[:, None], methods, changed] = logs.reshape(-1, many) - at_best[moving, None]
        changes[moving[:, None], np.arange(many), best[moving]] = 0.0
        prior = design.grid.k_prior
        gain = changes[moving] + prior - prior[best[moving]][:, :, None]
        flat = gain.reshape(moving.size, -1)
        winner = flat.argmax(axis=1)
        up = flat[np.arange(moving.size), winner] > 1e-9
        if turn == 3 * many or not up.any():
            break
        moving, (method, k) = moving[up], np.divmod(winner[up], k_n)
        at_best[moving] += changes[moving, method, k]
        best[moving, method] = k
    return best, at_best, changes


def _taken(log_proposal: Array, single: Array) -> tuple[Numbers, Numbers]:
    """Point and spreads of each setting: places evenly by weight, and by the roots of primes for each method."""
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
    found: list[int] = []
    number = 2
    while len(found) < n:
        if all(number % prime for prime in found):
            found.append(number)
        number += 1
    return np.array(found, dtype=float)
