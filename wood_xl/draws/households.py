"""One figure from several households: how far they differ is not known, so each spread counts as it explains them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wood_xl.data.load import value
from wood_xl.draws.normal import Array, Mixture
from wood_xl.draws.sessions import log_sum

Ends = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Household:
    """One household's figure: log of its printed value, and variance of that log without what all of them share."""

    log_value: float
    log_variance: float


@dataclass(frozen=True, slots=True)
class Households:
    """Log of the pooled figure; ends for the average household, without the common doubt, and for the next one."""

    log_value: float
    ends: Ends
    ends_without_common: Ends
    next_ends: Ends


def pooled(households: Sequence[Household], common_sd: float) -> Households:
    """Pool one figure; the doubt that all households share is added once.

        W = 1 / (V + g^2)    weight of g = prior exp(-sum W (y - mean)^2 / 2) sqrt(prod W / sum W)

    Source: how_sure_defaults, model of the sessions, several households.

    >>> seen = [Household(0.10, 0.02), Household(0.35, 0.03), Household(0.20, 0.015)]
    >>> print(f"{pooled(seen, 0.10).log_value:.6f}")
    0.207110
    """
    y = np.array([one.log_value for one in households])
    g = np.array([value(f"model.household_sd.{i}") for i in range(1, 9)])
    w = 1 / (np.array([one.log_variance for one in households]) + g[:, None] ** 2)
    mean = w @ y / w.sum(axis=1)
    left = (w * (y - mean[:, None]) ** 2).sum(axis=1)
    logs = _log_prior(g) - left / 2 + (np.log(w).sum(axis=1) - np.log(w.sum(axis=1))) / 2
    weight = np.exp(logs - log_sum(logs))
    variance = 1 / w.sum(axis=1)

    def ends(more: Array | float) -> Ends:
        low, high = Mixture(mean[None, :], np.sqrt(variance + more)[None, :], weight).ends()
        return float(low[0]), float(high[0])

    return Households(float(weight @ mean), ends(common_sd**2), ends(0.0), ends(common_sd**2 + g**2))


def _log_prior(g: Array) -> Array:
    """Half-normal density times the room of each value: half the gap between its neighbors, all of it at the ends."""
    gaps = np.diff(g)
    room = np.concatenate([gaps[:1], (gaps[1:] + gaps[:-1]) / 2, gaps[-1:]])
    log_prior: Array = np.log(room) - (g / value("model.household_sd.scale")) ** 2 / 2
    return log_prior
