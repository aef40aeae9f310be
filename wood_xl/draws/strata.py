"""What is uncertain and common to several figures, drawn once for each, and alike in every run.

Nothing here is random. A distribution is cut into strata of equal probability; each factor takes all their middles,
in an order of its own that follows from its key alone. So the same key has the same draws in every figure and cancels
where it should, and another factor or another session leaves them as they are.
"""

from __future__ import annotations

import hashlib
import math
from functools import cache
from statistics import NormalDist

import numpy as np
import numpy.typing as npt

from wood_xl.data.load import value
from wood_xl.reasons import Key

Draws = npt.NDArray[np.float64]
Numbers = npt.NDArray[np.int64]
SEED = "0"


def strata_order(*, key: str, strata_n: int) -> tuple[int, ...]:
    """Order in which a factor takes the strata.

        i = 0 ... n - 1 sorted by SHA-256 of "0|key|i"

    key: identity of the factor.

    Returns each stratum once.

    Source: how_sure_defaults, deterministic draws.

    >>> strata_order(key="diameter_tape_scale", strata_n=8)
    (4, 2, 1, 7, 6, 3, 5, 0)
    """
    return tuple(_sorted_numbers(key, strata_n).tolist())


def _sorted_numbers(key: str, strata_n: int) -> Numbers:
    begun = hashlib.sha256(f"{SEED}|{key}|".encode())  # what all begin with is hashed once
    digests = bytearray()
    for number in _numbers(strata_n):
        one = begun.copy()
        one.update(number)
        digests += one.digest()
    words = np.frombuffer(digests, dtype=">u8").reshape(strata_n, -1).astype(np.uint64)
    order = np.argsort(words[:, 0], kind="stable")
    is_tied = bool((np.diff(words[order, 0]) == 0).any())  # hardly ever; the other words are then needed too
    return np.lexsort(words.T[::-1]) if is_tied else order


def normal_strata(*, strata_n: int) -> tuple[float, ...]:
    """Middles of strata of the standard normal distribution, by probability.

        z(i) = inverse of the normal distribution at (i + 1/2) / n

    Returns in rising order.

    Source: wichura_1988, algorithm AS 241.

    >>> [round(z, 4) for z in normal_strata(strata_n=4)]
    [-1.1503, -0.3186, 0.3186, 1.1503]
    """
    normal = NormalDist()
    return tuple(normal.inv_cdf((i + 0.5) / strata_n) for i in range(strata_n))


def normal_draws(*, key: Key) -> Draws:
    """Draws of a factor with a standard normal distribution.

    key: identity of the factor.

    Returns one draw for each stratum; the same for the same key.

    Source: how_sure_defaults, ``draws.strata``.

    >>> draws = normal_draws(key="price")
    >>> bool(abs(draws.mean()) < 1e-12), round(float(draws.std()), 3)
    (True, 1.0)
    """
    return _normal_draws(_text(key))


def normal_scores(*, draws: Draws) -> Draws:
    """Draws in the same order as others, from a standard normal distribution.

        z at the rank of each draw

    draws: of anything; one for each stratum.

    Returns the same order from low to high; draws that tie keep the order in which they stand.

    Source: how_sure_defaults, ``draws.strata``.

    >>> draws = normal_draws(key="price")
    >>> bool((normal_scores(draws=np.exp(3 * draws)) == draws).all())
    True
    """
    ranks = np.argsort(np.argsort(draws, kind="stable"), kind="stable")
    return _normal_table()[ranks]


def t_draws(*, key: Key, df: float) -> Draws:
    """Draws from Student's t: the scatter of a method's own sessions.

    key: identity of the method.
    df: degrees of freedom. Above 0.

    Returns one draw for each stratum.

    Source: how_sure_defaults, ``draws.strata``.

    >>> draws = t_draws(key="hand saw", df=3)
    >>> [round(limit, 2) for limit in limits_of_draws(draws=draws, level_frac=0.95)]
    [-3.18, 3.18]
    """
    return _t_table(df)[_order(_text(key))]


def range_draws(*, key: Key, middle: float, low: float, high: float) -> Draws:
    """Draws of a factor of which a range is known: as often below its value as above it, evenly on either side.

        low + 2 p (middle - low) below p = 1/2, else middle + (2 p - 1) (high - middle)

    key: identity of the factor.
    middle: its value.
    low: lower end of its range, at most the value.
    high: upper end, at least the value.

    Returns one draw for each stratum; the same for the same key.

    Errors: ValueError if the value lies outside its range.
    Source: jcgm_100, rectangular distribution; how_sure_defaults, deterministic draws.

    >>> draws = range_draws(key="stove", middle=70.0, low=62.0, high=78.0)
    >>> bool(draws.min() > 62), bool(draws.max() < 78), round(float(draws.std()), 2), round(8 / 3**0.5, 2)
    (True, True, 4.62, 4.62)
    """
    if not low <= middle <= high:
        raise ValueError(f"{middle} lies outside its range from {low} to {high}")
    order = _order(_text(key))
    place = (2 * order + 1) / order.size - 1  # from -1 to 1
    return middle + np.where(place < 0, place * (middle - low), place * (high - middle))


def limits_of_draws(*, draws: Draws, level_frac: float) -> tuple[float, float]:
    """Limits between which a share of the draws lies, with as many beyond one as beyond the other.

        h = p n - 1/2,  limit = y[floor h] + (h - floor h) (y[floor h + 1] - y[floor h])

    draws: one for each stratum.

    Returns lower and upper limit.

    Source: jcgm_101, probabilistically symmetric coverage interval.

    >>> limits_of_draws(draws=np.array([4.0, 1.0, 3.0, 2.0]), level_frac=0.5)
    (1.5, 3.5)
    """
    ordered = np.sort(draws)

    def at(probability: float) -> float:
        place = min(max(probability * ordered.size - 0.5, 0.0), ordered.size - 1.0)
        below = min(math.floor(place), ordered.size - 2)
        return float(ordered[below] + (place - below) * (ordered[below + 1] - ordered[below]))

    return at((1 - level_frac) / 2), at((1 + level_frac) / 2)


def _text(key: Key) -> str:
    return key if isinstance(key, str) else key.key


@cache
def _numbers(strata_n: int) -> tuple[bytes, ...]:
    return tuple(str(i).encode() for i in range(strata_n))


@cache
def _normal_table() -> Draws:
    return np.array(normal_strata(strata_n=int(value("draws.strata"))))


@cache
def _normal_draws(key: str) -> Draws:
    draws = _normal_table()[_order(key)]
    draws.flags.writeable = False  # all who ask get the same
    return draws


@cache
def _t_table(df: float) -> Draws:
    from scipy.special import stdtrit

    strata_n = int(value("draws.strata"))
    quantiles: Draws = stdtrit(df, (np.arange(strata_n) + 0.5) / strata_n)
    return quantiles


@cache
def _order(key: str) -> Numbers:
    return _sorted_numbers(key, int(value("draws.strata")))
