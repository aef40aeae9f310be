"""One figure pooled from several households; each value of their unknown spread counts by its likelihood."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from wood_xl.data.load import value
from wood_xl.draws.normal import Array, Mixture
from wood_xl.draws.sessions import log_sum
from wood_xl.draws.verdicts import surety
from wood_xl.verdicts import Agreement, Surety

Ends = tuple[float, float]


class Household(NamedTuple):
    """One household's figure: log of its printed value, its own variance, and the spread that all of them share."""

    log_value: float
    log_variance: float
    shared_sd: float


@dataclass(frozen=True, slots=True)
class Households:
    """The pooled figure.

    ends, next_ends: of the log, for the average household and for one more.
    shares: weight of each household in the log.
    spread: posterior mean of the standard deviation of the log between households.
    surety: how sure it is on which side of 0 the average household's log lies.
    beyond: probability that one more household would lie farther out than the further one.
    """

    log_value: float
    ends: Ends
    next_ends: Ends
    shares: tuple[float, ...]
    spread: float
    agreement: Agreement
    surety: Surety
    beyond: float = 1.0


def pooled(households: Sequence[Household], further: Household | None = None) -> Households:
    """Pool one figure; the doubt that all households share is added once.

    further: another household, to be compared with these.

        W = 1 / (V + g^2)    share = W / sum W    mean = sum share y    variance = 1 / sum W + (sum share c)^2
        weight of g = prior exp(-sum W (y - mean)^2 / 2) sqrt(prod W / sum W)    one more household: variance + g^2

    Source: how_sure_defaults, model of the sessions, several households.

    >>> three = [Household(0.10, 0.02, 0.1), Household(0.35, 0.03, 0.1), Household(0.20, 0.015, 0.1)]
    >>> print(f"{pooled(three).log_value:.6f}")
    0.207110
    """
    # Sorted, so that sums do not depend on the order of the files.
    order = sorted(range(len(households)), key=lambda i: households[i])
    y, v, c = np.array([households[i] for i in order]).T
    g = np.array([value(f"model.household_sd.{i}") for i in range(1, 9)])
    w = 1 / (v + g[:, None] ** 2)
    shares = w / w.sum(axis=1)[:, None]
    mean = shares @ y
    left = (w * (y - mean[:, None]) ** 2).sum(axis=1)
    logs = _log_prior(g) - left / 2 + (np.log(w).sum(axis=1) - np.log(w.sum(axis=1))) / 2
    weight = np.exp(logs - log_sum(logs))
    variance = 1 / w.sum(axis=1) + (shares @ c) ** 2
    average = Mixture(mean[None, :], np.sqrt(variance)[None, :], weight)
    margin = math.log(1 + value("compare.margin") / 100)
    below, above = float(average.share_below(0.0)[0]), float(average.share_above(0.0)[0])
    within = float(average.share_below(margin)[0] - average.share_below(-margin)[0])
    of_each = np.empty(y.size)
    of_each[order] = weight @ shares
    return Households(
        log_value=float(weight @ mean),
        ends=_ends(average),
        next_ends=_ends(Mixture(mean[None, :], np.sqrt(variance + g**2)[None, :], weight)),
        shares=tuple(float(share) for share in of_each),
        spread=float(weight @ g),
        agreement=agreement(len(households), float(weight[g > value("compare.margin") / 100].sum())),
        surety=surety(max(below, above), within, 2),
        beyond=1.0 if further is None else _beyond(mean, 1 / w.sum(axis=1) + g**2, weight, further),
    )


def agreement(households_n: int, differing: float) -> Agreement:
    """Whether households differ, by the probability that their spread is above the practical margin.

    Source: how_sure_defaults, several households.

    >>> print(*(agreement(3, known).key for known in (0.96, 0.9, 0.1)))
    differ open alike
    """
    if households_n < 2:
        return Agreement.ONE_SEASON
    if differing >= value("model.likely"):
        return Agreement.DIFFER
    return Agreement.ALIKE if 1 - differing >= value("model.same") else Agreement.OPEN


def _ends(mixture: Mixture) -> Ends:
    low, high = mixture.ends()
    return float(low[0]), float(high[0])


def _beyond(mean: Array, variance: Array, weight: Array, further: Household) -> float:
    """Probability of both tails; the doubt that all households share cancels."""
    mixture = Mixture(mean[None, :], np.sqrt(variance + further.log_variance)[None, :], weight)
    below, above = mixture.share_below(further.log_value)[0], mixture.share_above(further.log_value)[0]
    return 2 * float(min(below, above))


def _log_prior(g: Array) -> Array:
    """Half-normal density times node spacing: half the gap between the neighbors, a whole gap at the ends."""
    gaps = np.diff(g)
    spacing = np.concatenate([gaps[:1], (gaps[1:] + gaps[:-1]) / 2, gaps[-1:]])
    log_prior: Array = np.log(spacing) - (g / value("model.household_sd.scale")) ** 2 / 2
    return log_prior
