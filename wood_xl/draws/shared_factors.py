"""Unsure factors that several figures share, such as a tape, a solid fraction or a heart-rate equation.

Errors that change from session to session are already in the scatter of the sessions. A factor common to all sessions
is not: it is drawn once for each key, so it widens each figure and cancels in ratios.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from wood_xl.draws.ensemble import WORLDS, Design, Number, ends
from wood_xl.draws.inputs import log_of_doubt
from wood_xl.draws.normal import Array
from wood_xl.reasons import Key

ONE_SD_FRAC = 0.682689492137086  # of a normal distribution, within one standard deviation of its middle


@dataclass(frozen=True, slots=True)
class Term:
    """One part of a figure, and the powers of its shared factors.

    value: nominal; negative for a part that is taken off.
    powers: exponent of each shared factor, by key.
    """

    value: float
    powers: Mapping[Key, float]


def common_draws(*, terms: Iterable[Term], spreads: Mapping[Key, float], design: Design = WORLDS) -> Array:
    """A figure by all members of its shared factors.

        sum of value * product of factor^power,  factor = exp(s z),  s^2 = ln(1 + u^2)

    spreads: relative standard uncertainty u of each shared factor.

    Source: jcgm_101, propagation of distributions; how_sure_defaults, shared factors.

    >>> parts = [Term(100.0, {"equation": 1.0}), Term(-20.0, {})]
    >>> round(float(np.std(common_draws(terms=parts, spreads={"equation": 0.1}))), 1)
    10.0
    """
    logs = {key: log_of_doubt(key, spread, design) for key, spread in spreads.items()}
    total: Array = np.zeros(1)
    for term in terms:
        moved: Array = np.zeros(1)
        for key, power in term.powers.items():
            moved = moved + power * logs[key]
        total = total + term.value * np.exp(moved)
    return total


def log_variance(number: Number) -> float | None:
    """Variance of the log of a figure, by the middle two thirds of its draws; None if they reach 0.

        (ln upper - ln lower)^2 / 4, with 68.27 % of the draws between them

    Source: how_sure_defaults, shared factors.

    >>> parts = [Term(5.0, {"tape": -3.0})]
    >>> round(log_variance(common_draws(terms=parts, spreads={"tape": 0.005})) ** 0.5, 4)
    0.015
    """
    if np.size(number) == 1:
        return 0.0
    lower, upper = ends(np.asarray(number), ONE_SD_FRAC)
    return math.log(upper / lower) ** 2 / 4 if lower > 0 else None


def table_of_draws(numbers: Sequence[Number]) -> Array:
    """A row of draws for each of several numbers, without the nominal member unless there is no other."""
    table: Array = np.vstack(np.broadcast_arrays(*numbers)).astype(np.float64)
    return table[:, 1:] if table.shape[1] > 1 else table


def is_least(table: Array) -> Array:
    """1 where a row has the least of its column, divided among those that tie."""
    least = table.min(axis=0)
    ties = table <= least + 1e-12 * np.abs(least)
    shares: Array = ties / ties.sum(axis=0)
    return shares


def least_shares(numbers: Sequence[Number]) -> list[float]:
    """Share of the draws in which each of several has the least; a draw that ties is divided among those that tie.

    Source: how_sure_defaults, shared factors.

    >>> print(least_shares([np.array([0.0, 1.0, 4.0]), np.array([0.0, 2.0, 3.0]), np.array([0.0, 2.0, 3.0])]))
    [0.5, 0.25, 0.25]
    """
    shares = is_least(table_of_draws(numbers))
    return [math.fsum(row.tolist()) / row.size for row in shares]
