"""How sure a combination's figures are, and how likely each is the best: by draws that all of them share.

Two combinations with a method in common share its draws, so what is uncertain about that method cancels between them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from wood_xl.arguments import require_positive
from wood_xl.data.load import value
from wood_xl.draws.strata import Draws, limits_of_draws, normal_scores


def figure_draws(*, figure: float, low: float | None, high: float | None, doubt: Draws) -> Draws:
    """Draws of a figure from its interval: a normal distribution of its log, with a width of its own on either side.

    They go up and down with the draws of what makes the figure unsure, and have the very ends that are shown for it.

        draw = figure * (high / figure)^(z / z95) above the figure, figure * (figure / low)^(z / z95) below it

    figure: value, 0 or more.
    low: lower end; None for a figure without an interval, which is drawn as it is.
    high: upper end.
    doubt: the figure by draws of its sessions and of what it shares with others, by which it is ordered.

    Returns one draw for each stratum.

    Errors: ValueError if the ends do not lie on either side of the value, above zero.
    Source: how_sure_defaults, deterministic draws (constant ``interval.level``).

    >>> from wood_xl.draws.strata import normal_draws
    >>> draws = figure_draws(figure=4.0, low=2.0, high=8.0, doubt=normal_draws(key="saw"))
    >>> round(float(np.median(draws)), 2), round(float(np.quantile(draws, 0.975)), 1)
    (4.0, 8.0)
    """
    if low is None or high is None or figure == 0:
        constant: Draws = np.full(doubt.size, figure)
        return constant
    require_positive(low=low, above_low=figure / low - 1 + 1e-12, below_high=high / figure - 1 + 1e-12)
    z = normal_scores(draws=doubt)
    z_end = limits_of_draws(draws=z, level_frac=value("interval.level") / 100)[1]
    power = np.where(z > 0, math.log(high / figure), math.log(figure / low)) * z / z_end
    drawn: Draws = figure * np.exp(power)
    return drawn


def best_share_frac(*, draws: Sequence[Draws]) -> list[float]:
    """In which share of the draws each combination has the least; draws that tie are divided among those that tie.

    draws: one array for each combination.

    Returns for each combination. They add up to 1.

    Source: how_sure_defaults, probability of being the best.

    >>> best_share_frac(draws=[np.array([1.0, 4.0]), np.array([2.0, 3.0]), np.array([2.0, 3.0])])
    [0.5, 0.25, 0.25]
    """
    table = np.vstack(draws)
    least = table.min(axis=0)
    is_least = table <= least + 1e-12 * np.abs(least)
    shares = is_least / is_least.sum(axis=0)
    return [math.fsum(row.tolist()) / table.shape[1] for row in shares]
