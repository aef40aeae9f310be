"""Simulated trials with spreads from the model's priors, and how often their verdicts are settled."""

from __future__ import annotations

import math

import numpy as np

from wood_xl.draws.rows import Session, TaskSessions, observed
from wood_xl.draws.season import fit_season
from wood_xl.draws.sessions import grid_of
from wood_xl.draws.verdicts import ratios
from wood_xl.ids import Recorded
from wood_xl.verdicts import Surety

HOURS = Recorded.WORKER_HOURS
PERSON_SD, WOOD_CV, MARGIN = 0.2, 0.4, 0.1


def log_rates(
    chance: np.random.Generator, difference: float, days_n: int, persons_n: int, methods_n: int
) -> np.ndarray:
    """Log of hours for a unit of wood, methods by days by persons; the first method takes so much more."""
    grid = grid_of(methods_n, 0, shared_days=True)
    s = chance.choice(grid.s, p=np.exp(grid.s_prior))
    rho = chance.choice(grid.day_share, p=np.exp(grid.day_share_prior))
    k = chance.choice(grid.k, p=np.exp(grid.k_prior), size=methods_n)
    of_day = chance.normal(size=(1, days_n, 1)) * s * math.sqrt(rho)
    of_person = chance.normal(size=(1, 1, persons_n)) * PERSON_SD
    own = chance.normal(size=(methods_n, days_n, persons_n)) * s * math.sqrt(1 - rho) * k[:, None, None]
    middles = -(s**2) * (1 - rho) * k**2 / 2
    middles[0] += math.log(1 + difference)
    return middles[:, None, None] + of_day + of_person + own


def is_settled(
    chance: np.random.Generator, difference: float, days_n: int, persons_n: int, methods_n: int = 2
) -> bool:
    """Whether the model settles which of the first two methods takes less, and is right."""
    logs = log_rates(chance, difference, days_n, persons_n, methods_n)
    wood = np.exp(chance.normal(size=logs.shape) * math.sqrt(math.log(1 + WOOD_CV**2)))
    sessions = tuple(
        Session(at, m, wood[m, d, p], {HOURS: wood[m, d, p] * math.exp(logs[m, d, p])}, d, {p: 1.0})
        for at, (m, d, p) in enumerate(np.ndindex(*logs.shape))
    )
    (fit,) = fit_season([observed(TaskSessions(0, False, sessions), HOURS)])
    order = ratios(fit, MARGIN)[0, 1].order
    return order is not None and order.surety is Surety.SETTLED and order.more > order.less


def share_settled(seed: int, runs: int, difference: float, days_n: int, persons_n: int, methods_n: int = 2) -> float:
    chance = np.random.default_rng(seed)
    return sum(is_settled(chance, difference, days_n, persons_n, methods_n) for _ in range(runs)) / runs
