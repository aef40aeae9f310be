"""The model against a dense covariance of rows and targets, and against a mixed model fitted by another program."""

from __future__ import annotations

import math
import warnings
from dataclasses import replace

import numpy as np
import pytest
from dense_covariance import Dense, dense
from few import together
from worked_cases import CASES, MARGIN, fit_of, nothing_dropped, task_of

from wood_xl.draws.doubt import doubt
from wood_xl.draws.rows import Session, TaskSessions, TimedCuts, cut_slope, observed
from wood_xl.draws.season import Fit, fit_season, solved
from wood_xl.draws.sessions import Grid, design, enumeration
from wood_xl.draws.verdicts import rates, ratios
from wood_xl.ids import Recorded
from wood_xl.verdicts import Source

HOURS = Recorded.WORKER_HOURS
AREAS = (0.010, 0.015, 0.022, 0.031, 0.040, 0.052, 0.061)
TIMES = (31.0, 38.0, 52.0, 60.0, 79.0, 90.0, 110.0)


def crowded() -> TaskSessions:
    """Two methods, two persons who also work together, shared days, logs, wood of all sizes, and timed cuts."""
    rows = [
        (0, 61.0, 1.10, 1, {0: 1.0}, 0.14),
        (0, 50.0, 0.80, 2, {1: 1.0}, 0.18),
        (0, 70.0, 1.50, 3, {0: 2.0, 1: 1.0}, 0.22),
        (0, 47.0, 0.95, None, {0: 1.0}, 0.26),
        (1, 15.5, 1.30, 1, {1: 1.0}, 0.20),
        (1, 13.8, 0.40, 2, {0: 1.0}, 0.24),
        (1, 12.9, 1.00, 3, {0: 1.0}, 0.28),
    ]
    sessions = tuple(Session(i, m, q, {HOURS: t}, day, hands, d) for i, (m, t, q, day, hands, d) in enumerate(rows))
    return TaskSessions(0, True, sessions, (TimedCuts(0, AREAS, TIMES),))


def require_same(fit: Fit, other: Dense) -> None:
    many = len(fit.design.methods)
    eye = np.eye(many)
    for i, rate in enumerate(rates(fit).values()):
        assert rate.ends
        assert rate.value == pytest.approx(other.value(i), rel=1e-10)
        assert rate.ends == pytest.approx([other.quantile(eye[i], p) for p in (0.025, 0.975)], rel=1e-10)
    margin = math.log(1 + MARGIN)
    for (a, b), ratio in ratios(fit, MARGIN).items():
        contrast = eye[fit.design.methods.index(a)] - eye[fit.design.methods.index(b)]
        assert ratio.ends
        assert ratio.order
        assert ratio.ends == pytest.approx([other.quantile(contrast, p) for p in (0.025, 0.975)], rel=1e-10)
        assert ratio.order.less == pytest.approx(other.share_below(contrast, 0.0), abs=1e-10)
        assert ratio.order.less_by_margin == pytest.approx(other.share_below(contrast, -margin), abs=1e-10)
        within = other.share_below(contrast, margin) - other.share_below(contrast, -margin)
        assert ratio.order.within == pytest.approx(within, abs=1e-10)


@together("name", [name for name in CASES if name not in {"10", "12", "15"}])
def test_worked_cases(name: str) -> None:
    require_same(fit_of(name), dense(task_of(name), HOURS, (-0.7, 0.3)))


@pytest.mark.parametrize(
    ("sawn", "amount", "slope"),
    [(True, Recorded.KCAL, (-0.7, 0.3)), (True, Recorded.FUEL, (-0.4, 0.4)), (False, Recorded.FUEL, (0.0, 0.5))],
)
def test_slopes_of_other_amounts(sawn: bool, amount: Recorded, slope: tuple[float, float]) -> None:
    task = replace(task_of("8b", amount=amount), sawn=sawn)
    with nothing_dropped():
        fit = fit_season([observed(task, amount)])[0]
    require_same(fit, dense(task, amount, slope))


def test_everything_at_once_with_timed_cuts() -> None:
    task = crowded()
    seen = observed(task, HOURS)
    common = seen.common.log_diameter
    assert common is not None
    area = math.pi * math.exp(2 * common) / 4
    line = np.polyfit(AREAS, TIMES, 1, cov=True)
    (q, p), covariance = line
    gradient = np.array([2 * p * area, -2 * q * area]) / (p + q * area) ** 2
    expected = -2 * p / (p + q * area), math.sqrt(gradient @ covariance @ gradient)
    found = cut_slope(task.cuts[0], area)
    assert found
    assert (found.slope, found.se) == pytest.approx(expected, rel=1e-9)
    other = dense(task, HOURS, (-0.7, 0.3), {0: (found.slope, found.se)})
    with nothing_dropped():
        fit = fit_season([seen])[0]
    require_same(fit, other)
    points = enumeration(design(seen))
    grid = fit.design.grid
    logs = points.log_weight - points.spreads.log_prior(grid) - grid.k_prior[points.spreads.k].sum(axis=1)
    constant = (len(task.sessions) + 1) * math.log(2 * math.pi) / 2
    assert logs - constant == pytest.approx(other.log_likelihood, rel=1e-8)
    assert math.fsum(doubt(fit, 0, 1).values()) == pytest.approx(1, abs=1e-12)
    without = fit_season([replace(seen, slopes=())])[0]
    assert doubt(without, 0, 1)[Source.LOGS] > doubt(fit, 0, 1)[Source.LOGS]


def test_fixed_spreads_against_a_fitted_mixed_model() -> None:
    import pandas as pd
    import statsmodels.formula.api as smf

    days = np.arange(8)
    own_day = np.array([0.21, -0.34, 0.05, 0.4, -0.18, -0.02, 0.27, -0.39])
    hand = 4.0 + own_day + np.array([0.08, -0.12, 0.15, -0.03, 0.02, 0.11, -0.16, -0.05])
    power = 3.55 + own_day + np.array([-0.07, 0.1, 0.03, -0.14, 0.12, -0.05, 0.09, -0.11])
    frame = pd.DataFrame({"y": np.r_[hand, power], "method": np.repeat([0, 1], 8), "day": np.r_[days, days]})
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of the other program alone
        fitted = smf.mixedlm("y ~ method", frame, groups=frame["day"]).fit(reml=True)
    of_day, of_row = float(fitted.cov_re.iloc[0, 0]), float(fitted.scale)
    assert of_day > of_row > 0
    sessions = tuple(
        Session(i, int(row.method), 1.0, {HOURS: math.exp(row.y)}, int(row.day))
        for i, row in enumerate(frame.itertuples())
    )
    one = design(observed(TaskSessions(0, True, sessions), HOURS))
    nothing = np.zeros(1)
    s, share = np.array([math.sqrt(of_day + of_row)]), np.array([of_day / (of_day + of_row)])
    fixed = replace(
        one,
        grid=Grid(s, nothing, share, nothing, np.ones(1), nothing, np.ones(1), nothing),
        precision=np.full((1, 3), 1000.0**-2),
    )
    fit = solved(fixed, enumeration(fixed), np.zeros(1))
    contrast = fit.design.targets[1] - fit.design.targets[0]
    assert float(fit.beta[0] @ contrast) == pytest.approx(fitted.params["method"], rel=1e-7)
    assert math.sqrt(contrast @ fit.covariance[0] @ contrast) == pytest.approx(fitted.bse["method"], rel=1e-6)
