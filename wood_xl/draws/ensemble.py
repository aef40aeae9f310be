"""Arrays of what is unsure: member 0 is the nominal value, then evenly spread draws in an order that the key gives.

Nothing here is random: the same key has the same draws wherever it stands, and one more key changes no other.
"""

from __future__ import annotations

import hashlib
import math
from functools import cache
from statistics import NormalDist

import numpy as np
import numpy.typing as npt

from wood_xl.data.load import value
from wood_xl.draws.normal import Array

Numbers = npt.NDArray[np.intp]
SEED = "0"


@cache
def order(key: str) -> Numbers:
    """Stratum of each draw: its place among the words of one digest of the key.

        place of word i when the unsigned 64-bit big-endian words of SHAKE-256("0|key") are sorted

    Source: how_sure_defaults, model of the sessions, joint draws.

    >>> print(order("tools.3.price")[:4])
    [2073 1398 1930 1682]
    """
    draws_n = int(value("model.draws"))
    digest = hashlib.shake_256(f"{SEED}|{key}".encode()).digest(8 * draws_n)
    places = np.empty(draws_n, dtype=np.intp)
    places[np.argsort(np.frombuffer(digest, dtype=">u8"), kind="stable")] = np.arange(draws_n)
    places.flags.writeable = False  # all who ask get the same
    return places


@cache
def middles() -> Array:
    """Normal scores of the middles of all strata, from low to high."""
    draws_n = int(value("model.draws"))
    scores = np.array([NormalDist().inv_cdf((i + 0.5) / draws_n) for i in range(draws_n)])
    scores.flags.writeable = False  # all who ask get the same
    return scores


def scores(key: str) -> Array:
    """Draws of a standard normal distribution for a key."""
    return middles()[order(key)]


def percentile(members: Array, share: float) -> float:
    """Value below which a share of the draws lies; the nominal member is left out.

        h = p n - 1/2    y[floor h] + (h - floor h) (y[floor h + 1] - y[floor h])

    Source: how_sure_defaults, model of the sessions, joint draws.

    >>> print(percentile(np.array([9.0, 4.0, 1.0, 3.0, 2.0]), 0.25))
    1.5
    """
    ordered = np.sort(members[1:])
    place = min(max(share * ordered.size - 0.5, 0.0), ordered.size - 1.0)
    low = math.floor(place)
    high = min(low + 1, ordered.size - 1)
    # Two equal ends are given as they are: nothing is interpolated towards infinity.
    if place == low or ordered[low] == ordered[high]:
        return float(ordered[low])
    return float(ordered[low] + (place - low) * (ordered[high] - ordered[low]))
