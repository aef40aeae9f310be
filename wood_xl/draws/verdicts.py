"""Rates of methods, how two of them compare, how many more days would tell them apart, and joint draws of them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations
from statistics import NormalDist
from types import MappingProxyType

import numpy as np

from wood_xl.data.load import value
from wood_xl.draws.ensemble import Numbers, middles, order, scores
from wood_xl.draws.normal import Array, Mixture, normal_cdf, student_quantile
from wood_xl.draws.season import Fit
from wood_xl.draws.sessions import grid_of, prior_nodes
from wood_xl.ids import Recorded
from wood_xl.verdicts import Surety

Ends = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Rate:
    """Amount for a unit of wood by a method in the long run; no ends where sessions differ more than they should."""

    value: float
    ends: Ends | None


@dataclass(frozen=True, slots=True)
class Order:
    """Probabilities of which of two methods takes less, and whether by more than the margin."""

    less: float
    more: float
    less_by_margin: float
    more_by_margin: float
    within: float
    surety: Surety


@dataclass(frozen=True, slots=True)
class Ratio:
    """Amount of the first method over that of the second; ends and order are missing where those of a rate are."""

    value: float
    ends: Ends | None
    order: Order | None
    log_variance: float


@dataclass(frozen=True, slots=True)
class Further:
    """Chance of a verdict after 1, 2, ... more days with both, and the fewest days with a good chance."""

    chances: tuple[float, ...]
    days: int | None


def rates(fit: Fit) -> dict[int, Rate]:
    """Rate of each method on equal terms.

    value = exp(sum of weight x (mean - variance / 2)), ends of the mixture
    """
    ends = _ends(fit, long_run(fit))
    return {
        method: Rate(math.exp(log), end)
        for method, log, end in zip(fit.design.methods, log_values(fit), ends, strict=True)
    }


def long_run(fit: Fit) -> Mixture:
    """Log rate of each method on equal terms, in the long run."""
    return Mixture(fit.long_run_means, np.sqrt(fit.variances(fit.design.targets)), fit.weight)


def next_day(fit: Fit, method: int) -> Ends | None:
    """Ends of what one more day takes by a method, on the common logs by the average hands."""
    i = fit.design.methods.index(method)
    target = fit.design.targets[i : i + 1]
    variance = fit.variances(target) + 2 * fit.half_variance.T[i : i + 1]
    return _ends(fit, Mixture(fit.log_medians(target), np.sqrt(variance), fit.weight))[0]


def log_values(fit: Fit) -> Array:
    """Log of the value of each method: mean less half the variance at each point, weighted."""
    values: Array = (fit.long_run_means - fit.variances(fit.design.targets) / 2) @ fit.weight
    return values


def _ends(fit: Fit, mixture: Mixture) -> list[Ends | None]:
    if fit.odd_row is not None:
        return [None] * len(mixture.mean)
    low, high = mixture.ends()
    return [(math.exp(one), math.exp(other)) for one, other in zip(low, high, strict=True)]


def ratios(
    fit: Fit, margin_frac: float, common_variance: Mapping[tuple[int, int], float] = MappingProxyType({})
) -> dict[tuple[int, int], Ratio]:
    """Ratio of each pair of methods, the earlier over the later.

    common_variance: of the log of each ratio, by doubt that the sessions do not show; it is added once.
    """
    methods, targets = fit.design.methods, fit.design.targets
    pairs = list(combinations(range(len(methods)), 2))
    if not pairs:
        return {}
    means, values = fit.long_run_means, log_values(fit)
    contrasts = np.array([targets[a] - targets[b] for a, b in pairs])
    mean = np.array([means[a] - means[b] for a, b in pairs])
    more_variance = np.array([[common_variance.get((methods[a], methods[b]), 0.0)] for a, b in pairs])
    mixture = Mixture(mean, np.sqrt(fit.variances(contrasts) + more_variance), fit.weight)
    ends = _ends(fit, mixture)
    margin = math.log(1 + margin_frac)
    less, more = mixture.share_below(0.0), mixture.share_above(0.0)
    less_by, more_by = mixture.share_below(-margin), mixture.share_above(margin)
    # The difference of two shares near 1 would lose its digits, so it is taken in the lower tail.
    far = -np.abs(mean) / mixture.sd
    within = (normal_cdf(far + margin / mixture.sd) - normal_cdf(far - margin / mixture.sd)) @ fit.weight
    return {
        (methods[a], methods[b]): Ratio(
            math.exp(values[a] - values[b]),
            ends[i],
            None if fit.odd_row else _order(less[i], more[i], less_by[i], more_by[i], within[i], len(methods)),
            float(variance),
        )
        for i, ((a, b), variance) in enumerate(zip(pairs, mixture.variance(), strict=True))
    }


def _order(less: float, more: float, less_by: float, more_by: float, within: float, methods_n: int) -> Order:
    sure = surety(max(less, more), within, methods_n)
    return Order(float(less), float(more), float(less_by), float(more_by), float(within), sure)


def surety(surer: float, within: float, methods_n: int) -> Surety:
    """Surety by the probability of the likelier order; that of lying within the margin goes first.

    Source: how_sure_defaults, model of the sessions, verdict.

    >>> print(*(surety(*known).key for known in ((0.996, 0.0, 2), (0.996, 0.0, 3), (0.99, 0.85, 2))))
    settled likely same
    """
    if within >= value("model.same"):
        return Surety.SAME
    if surer >= settled_share(methods_n):
        return Surety.SETTLED
    if surer >= value("model.likely"):
        return Surety.LIKELY
    return Surety.LEANS if surer >= value("model.leans") else Surety.OPEN


def settled_share(methods_n: int) -> float:
    """Least probability of a settled order; more methods give more chances to be wrong."""
    return 1 - value("model.settled") / max(methods_n, 2)


def further(fit: Fit, first: int, second: int, margin_frac: float, common_variance: float = 0.0) -> Further:
    """Chance that further days of both methods by the same hands on common logs give a verdict.

        v_k = variance of the difference after k days      new mean ~ N(mean, v_0 - v_k)
        settled if |new mean| >= t sqrt(v_k + c), the same if it leaves enough within the margin

    common_variance: c, of the log of their ratio, by doubt that no session shows and no day reduces.

    Source: how_sure_defaults, model of the sessions, further days.
    """
    design = fit.design
    places = [design.methods.index(first), design.methods.index(second)]
    days = np.arange(1.0, value("model.further_days") + 1)
    scores = _least_scores(len(design.methods), design.y.size + 2 * days - len(design.methods))
    margin = math.log(1 + margin_frac)
    one, other = (design.targets[place] for place in places)
    covariances = fit.covariances(np.array([one, other]))
    mean = fit.beta @ (one - other) + fit.half_variance[:, places[0]] - fit.half_variance[:, places[1]]
    chances = np.zeros(days.size)
    for day_share, weight in _day_shares(fit):
        learned, left = _after(covariances, _variance_of_day(fit, places, day_share), days)
        of_days = _chances(mean[:, None], np.sqrt(learned), left + common_variance, scores, margin)
        chances += np.einsum("b,bk->k", weight, of_days)
    enough = [int(k) for k, chance in zip(days, chances, strict=True) if chance >= value("model.further_chance")]
    return Further(tuple(float(chance) for chance in chances), min(enough, default=None))


def before_any(methods_n: int, difference_frac: float, pairs_n: int) -> tuple[float, ...]:
    """Chance before any session that 1, 2, ... pairs settle which method takes less, if one takes so much more.

        d = log of the ratio in the long run, h = half the difference of the variances, w = variance of one pair
        v_0 = variance of the difference by the prior, v_k = 1 / (1/v_0 + k/w)
        new mean ~ N(d - (d - h) v_k / v_0, (1 - v_k / v_0)^2 w / k)      settled if |new mean| >= t sqrt(v_k)

    A pair is one day of both by one person, so effects of day and person cancel. Spreads follow their priors. Only
    the differences of pairs tell of the spread: t has 3 + k - 2 degrees of freedom.

    Source: how_sure_defaults, model of the sessions, further days.
    """
    grid = grid_of(methods_n, 0, shared_days=True)
    sizes = (grid.s.size, grid.day_share.size, grid.k.size, grid.k.size)
    s, rho, one, other = np.indices(sizes).reshape(len(sizes), -1)
    weight = np.exp(grid.s_prior[s] + grid.day_share_prior[rho] + grid.k_prior[one] + grid.k_prior[other])
    own = grid.s[s] ** 2 * (1 - grid.day_share[rho])
    half, of_pair = own * (grid.k[one] ** 2 - grid.k[other] ** 2) / 2, own * (grid.k[one] ** 2 + grid.k[other] ** 2)
    pairs, prior = np.arange(1.0, pairs_n + 1), 2 * value("model.method_sd") ** 2
    left = 1 / (1 / prior + pairs / of_pair[:, None])
    kept, difference = left / prior, math.log(1 + difference_frac)
    mean = difference - kept * (difference - half[:, None])
    spread = (1 - kept) * np.sqrt(of_pair[:, None] / pairs)
    scores = _least_scores(methods_n, pairs - 2)
    chances = np.einsum("b,bk->k", weight, _chances(mean, spread, left, scores, 0.0))
    return tuple(float(chance) for chance in chances)


def _day_shares(fit: Fit) -> list[tuple[Array, Array]]:
    """Share of the day in the variance of new days, with weights; by the prior if no day has two rows yet."""
    if fit.design.shared_days:
        return [(fit.day_share, fit.weight)]
    nodes, logs = prior_nodes("model.day_share", 4)
    return [
        (np.full(fit.weight.size, node), fit.weight * math.exp(log)) for node, log in zip(nodes, logs, strict=True)
    ]


def _variance_of_day(fit: Fit, places: list[int], day_share: Array) -> Array:
    own = (1 - day_share)[:, None] * fit.k[:, places] ** 2
    return fit.s[:, None, None] ** 2 * (day_share[:, None, None] + own[:, :, None] * np.eye(2))


def _after(covariances: Array, of_day: Array, days: Array) -> tuple[Array, Array]:
    """Variance of the difference that k days take away and that they leave: points by days."""
    toward = covariances[:, :, 0] - covariances[:, :, 1]
    together = covariances[:, None] + of_day[:, None] / days[:, None, None]
    a, b, d = together[..., 0, 0], together[..., 0, 1], together[..., 1, 1]
    g, h = toward[:, :1], toward[:, 1:]
    learned = (d * g**2 - 2 * b * g * h + a * h**2) / (a * d - b**2)
    return learned, (g - h) - learned


def _least_scores(methods_n: int, left_over: Array) -> Array:
    """Student's quantile of a settled order; degrees of freedom come from the rows left over and from the prior."""
    share = settled_share(methods_n)
    return np.array([student_quantile(share, int(one)) for one in value("model.further_df") + left_over])


def _chances(middle: Array, spread: Array, left: Array, least_scores: Array, margin: float) -> Array:
    """Probability of either verdict, points by days; with a margin of 0, of a settled one alone."""
    sd = np.sqrt(left)
    far, near = least_scores * sd, _widest_same(sd, margin)
    settled = normal_cdf((-far - middle) / spread) + normal_cdf((middle - far) / spread)
    same = normal_cdf((near - middle) / spread) - normal_cdf((-near - middle) / spread)
    return np.where(near >= far, 1.0, settled + np.where(near > 0, same, 0.0))


def _widest_same(sd: Array, margin: float) -> Array:
    """Largest mean that still leaves enough within the margin; 0 where none does.

    Newton's method: the share falls ever faster with the mean, so steps from above never pass the solution.
    """
    share = value("model.same")
    x = np.maximum(margin - NormalDist().inv_cdf(share) * sd, 0.0)
    for _ in range(60):
        up, down = (margin - x) / sd, (-margin - x) / sd
        over = normal_cdf(up) - normal_cdf(down) - share
        slope = (np.exp(-(up**2) / 2) - np.exp(-(down**2) / 2)) / (sd * math.sqrt(2 * math.pi))
        step = np.where((over < 0) & (x > 0), over / np.where(slope > 0, slope, 1.0), 0.0)
        moved = np.maximum(x + step, 0.0)
        done = np.abs(moved - x).max() <= 1e-13
        x = moved
        if done:
            break
    return x


def joint_draws(fit: Fit, hours: Fit | None, nominal: Mapping[int, float]) -> dict[int, Array | float]:
    """Members of one amount of a task by method, the nominal one first; an amount of 0 stays the number 0.

    One column picks the spreads for all amounts, so days that differ do so in each of them. Then the draws of a
    method get the quantiles of its mixture in their own order, so printed ends and draws agree.

    hours: fit of the task's worker hours, with which other amounts correlate.

    After how_sure_defaults, model of the sessions, joint draws.
    """
    observed = fit.design.observed
    arrays: dict[int, Array | float] = dict.fromkeys(observed.zero, 0.0)
    logs = _at_picked_points(
        fit, _picks(fit, order(f"spread|{observed.task}")), _normals(fit, correlation(hours, fit))
    )
    quantiles = long_run(fit).quantiles(middles())
    for i, method in enumerate(fit.design.methods):
        members = np.empty(1 + quantiles[i].size)
        members[0] = nominal[method]
        members[1 + np.argsort(logs[:, i], kind="stable")] = np.exp(quantiles[i])
        arrays[method] = members
    return arrays


def correlation(hours: Fit | None, fit: Fit) -> float:
    """Correlation of an amount with worker hours, shrunk toward the assumed one.

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
    deviations = np.array([[by_key[row.key], row.log_rate] for row in both])
    for method in methods:
        deviations[method_of == method] -= deviations[method_of == method].mean(axis=0)
    squares = (deviations**2).sum(axis=0)
    # Equal rates leave only rounding, whose correlation would be noise.
    if squares.min() <= 1e-24 * len(both):
        return assumed
    observed = float(deviations[:, 0] @ deviations[:, 1] / math.sqrt(squares.prod()))
    prior = value("model.shared.prior")
    return (prior * assumed + df * observed) / (prior + df)


def _picks(fit: Fit, strata: Numbers) -> Numbers:
    """Grid point of each draw, by cumulated weight of the points, which are sorted by their spreads."""
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
    root = np.linalg.cholesky(fit.covariances(fit.design.targets))
    return fit.long_run_means.T[picks] + (root[picks] @ normals[:, :, None])[:, :, 0]
