"""Mixtures of normal distributions: shares below a value, ends and tables of quantiles."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from statistics import NormalDist

import numpy as np
import numpy.typing as npt

from wood_xl.data.load import value

Array = npt.NDArray[np.float64]
REACH = 10  # less than 1e-23 lies beyond
TINY = 1e-300
SHARES = (1e-23, 1 - 2.0**-53)  # the least and the greatest with a normal score within reach
STEPS = 1024  # table points for each standard deviation
CDF_ERROR = 3e-15  # of three terms of the Taylor series between table points
PIECE_NUMBERS = 8192  # computed at once: an array outside the processor's cache takes three times as long


@cache
def _table() -> tuple[Array, Array]:
    z = np.arange(-REACH * STEPS, REACH * STEPS + 1) / STEPS
    below = np.array([math.erfc(-x / math.sqrt(2)) / 2 for x in z])
    return below, np.exp(-z * z / 2) / math.sqrt(2 * math.pi)


def agreed(number: float) -> float:
    """A number of the model to 8 decimals: machines differ beyond them, as they add in another order.

    >>> agreed(0.123456789012)
    0.12345679
    """
    return round(number, 8)


def normal_cdf(z: Array) -> Array:
    """Share of the standard normal distribution below each value.

        cdf(x + d) = cdf(x) + f(x) (d - x d^2 / 2 + (x^2 - 1) d^3 / 6) about the nearest x of a table

    Source: wood_xl_definitions, Taylor series of the normal distribution.

    >>> print(f"{normal_cdf(np.array([1.96]))[0]:.4f}")
    0.9750
    """
    return _cdf_and_density(z)[0]


def _cdf_and_density(z: Array) -> tuple[Array, Array]:
    below, density = _table()
    z = np.clip(z, -REACH, REACH)
    place = np.rint(z * STEPS)
    x = place / STEPS
    d = z - x
    at = (place + REACH * STEPS).astype(np.intp)
    f = density[at]
    return below[at] + f * d * (1 - d * (x / 2 - d * (x * x - 1) / 6)), f * (1 - d * (x - d * (x * x - 1) / 2))


def _normal_scores(shares: Array) -> Array:
    score = NormalDist().inv_cdf
    return np.array([score(share) for share in np.clip(shares, *SHARES).tolist()])


@cache
def student_quantile(share: float, df: int) -> float:
    """Quantile of Student's t in its upper half, for whole degrees of freedom, at least one.

        t = sqrt(df) tan(a)    share below = (1 + A) / 2
        df even: A = sin(a) (1 + 1/2 cos^2(a) + 1 3 / (2 4) cos^4(a) + ...)
        df odd: A = 2/pi (a + sin(a) (cos(a) + 2/3 cos^3(a) + ...))

    Source: wood_xl_definitions, finite series of Student's t.

    >>> print(f"{student_quantile(0.975, 3):.4f} {student_quantile(0.975, 10):.4f}")
    3.1824 2.2281
    """
    if df < 1:
        raise ValueError(f"{df} degrees of freedom tell of no scatter")
    low, high = 0.0, math.pi / 2
    for _ in range(60):
        middle = (low + high) / 2
        if _student_share(middle, df) < share:
            low = middle
        else:
            high = middle
    return math.sqrt(df) * math.tan((low + high) / 2)


def _student_share(angle: float, df: int) -> float:
    odd = df % 2
    cosine = math.cos(angle)
    term, total = (cosine if odd else 1.0), 0.0
    for power in range(odd, df - 1, 2):
        total += term
        term *= (power + 1) / (power + 2) * cosine**2
    inner = math.sin(angle) * total
    return (1 + (2 / math.pi * (angle + inner) if odd else inner)) / 2


@dataclass(frozen=True, eq=False, slots=True)
class Mixture:
    """Normal distributions, weighted; one row of ``mean`` and ``sd`` for each quantity, all with the same weights."""

    mean: Array
    sd: Array
    weight: Array

    def share_below(self, x: float) -> Array:
        """Probability of each quantity to lie below a value."""
        return normal_cdf((x - self.mean) / self.sd) @ self.weight

    def share_above(self, x: float) -> Array:
        """Probability of each quantity to lie above a value; 1 less the share below would lose digits."""
        return normal_cdf((self.mean - x) / self.sd) @ self.weight

    def variance(self) -> Array:
        """Variance of each quantity."""
        middle = self.mean @ self.weight
        return (self.sd**2 + (self.mean - middle[:, None]) ** 2) @ self.weight

    def quantile(self, *shares: float) -> list[Array]:
        """Quantiles of each quantity, by share.

        Newton's method on the normal score, which is nearly linear, within brackets; a step that leaves them is
        replaced by halving.
        """
        asked = np.repeat(shares, len(self.mean))
        mean, sd = (np.tile(one, (len(shares), 1)) for one in (self.mean, self.sd))
        low, high = (mean - 9 * sd).min(axis=1), (mean + 9 * sd).max(axis=1)
        scores = _normal_scores(asked)
        x = mean @ self.weight + scores * np.sqrt(np.tile(self.variance(), len(shares)))
        per_sd = 1 / sd
        for _ in range(100):
            reached, slope = _reached(x, mean, per_sd, self.weight)
            low, high = np.where(reached < asked, x, low), np.where(reached < asked, high, x)
            z = _normal_scores(reached)
            step = (z - scores) * np.exp(-z * z / 2) / math.sqrt(2 * math.pi) / slope
            is_last = np.abs(step) <= 1e-11 * (1 + np.abs(x))  # convergence is quadratic
            is_within = (reached > SHARES[0]) & (reached < SHARES[1])  # beyond the table's reach slopes are wrong
            is_newton = is_within & (is_last | ((x - step > low) & (x - step < high)))
            is_there = np.abs(reached - asked) <= CDF_ERROR  # a further step would follow rounding alone
            x = np.where(is_there, x, np.where(is_newton, x - step, (low + high) / 2))
            if (is_there | (is_newton & is_last)).all():
                break
        return np.split(x, len(shares))

    def ends(self) -> tuple[Array, Array]:
        """Ends of the interval given with every figure."""
        beyond = (1 - value("interval.level") / 100) / 2
        low, high = self.quantile(beyond, 1 - beyond)
        return low, high

    def quantiles(self, scores: Array) -> list[Array]:
        """Quantiles of each quantity at many normal scores, from low to high, read from a table."""
        lowest, highest = self.quantile(*(NormalDist().cdf(scores[place]) for place in (0, -1)))
        return [
            _read(
                _table_of(mean, sd, self.weight, np.linspace(start, stop, int(value("model.table"))), scores), scores
            )
            for mean, sd, start, stop in zip(self.mean, self.sd, lowest, highest, strict=True)
        ]


def _reached(x: Array, mean: Array, per_sd: Array, weight: Array) -> tuple[Array, Array]:
    """Share below each value and its slope there, each value with its own row of means and standard deviations."""
    share, rise = np.empty(x.size), np.empty(x.size)
    step = max(1, PIECE_NUMBERS // weight.size)
    for rows in (slice(at, at + step) for at in range(0, x.size, step)):
        below, density = _cdf_and_density((x[rows, None] - mean[rows]) * per_sd[rows])
        share[rows], rise[rows] = below @ weight, (density * per_sd[rows]) @ weight
    return share, rise


def _table_of(mean: Array, sd: Array, weight: Array, x: Array, scores: Array) -> Array:
    """Points of the distribution function: value, normal score, and change of the value with the score.

    Even steps of the value miss a narrow core with long tails. So after a first round, two more take points that are
    even in the score, by what is known so far.
    """
    even_scores = np.linspace(scores[0], scores[-1], x.size)
    means, per_sd = (np.broadcast_to(one, (x.size, weight.size)) for one in (mean, 1 / sd))
    points = np.empty((3, 0))
    for _ in range(3):
        below, rise = _reached(x, means, per_sd, weight)
        z = _normal_scores(below)
        # Between far apart humps the share does not rise and the value jumps: ``_read`` limits the slope.
        steepness = np.exp(-(z**2) / 2) / math.sqrt(2 * math.pi) / np.maximum(rise, TINY)
        points = np.hstack([points, [x, z, steepness]])
        points = points[:, np.argsort(points[0], kind="stable")]
        points = points[:, np.diff(points[1], prepend=-np.inf) > 1e-7]  # without duplicates
        x = np.interp(even_scores, points[1], points[0])
    return points


def _read(points: Array, scores: Array) -> Array:
    """Cubic interpolation between the points of a table, with slopes limited so that it rises everywhere."""
    x, z, slope = points
    width = np.diff(z)
    secant = np.diff(x) / width
    slope = np.minimum(slope, 3 * np.minimum(np.append(secant, secant[-1]), np.insert(secant, 0, secant[0])))
    i = np.clip(np.searchsorted(z, scores, side="right") - 1, 0, width.size - 1)
    t = np.clip((scores - z[i]) / width[i], 0.0, 1.0)
    bend = (1 - t) * (slope[i] - secant[i]) - t * (slope[i + 1] - secant[i])
    read: Array = x[i] + t * width[i] * (secant[i] + (1 - t) * bend)
    return read
