"""Fatigue within a session: later cuts against earlier ones, of like logs."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass, replace

from wood_xl.data.load import value
from wood_xl.draws.normal import student_quantile
from wood_xl.wood.log_slope import usual_times


@dataclass(frozen=True, slots=True)
class LogEstimate:
    """An estimate by its log, such as a rate or a ratio."""

    log_value: float
    variance: float
    df: int

    @property
    def value(self) -> float:
        """The estimate itself."""
        return math.exp(self.log_value)

    def interval(self) -> tuple[float, float]:
        """Interval of equal ratio on both sides, never reaching 0: value * exp(-/+ t * se)."""
        level = value("interval.level") / 100
        factor = math.exp(student_quantile((1 + level) / 2, self.df) * math.sqrt(self.variance))
        return self.value / factor, self.value * factor


def mean_of_logs(*, values: Sequence[float]) -> LogEstimate:
    """Mean of the logs of several ratios.

    Source: how_sure_defaults, learning and fatigue.

    >>> hand, saw = (58.0, 52.0, 63.0, 49.0, 60.0), (16.1, 13.9, 18.3, 13.0, 15.6)
    >>> days = mean_of_logs(values=[h / s for h, s in zip(hand, saw)])
    >>> round(days.value, 5), [round(end, 4) for end in days.interval()]
    (3.67749, [3.4826, 3.8833])
    """
    logs = [math.log(one) for one in values]
    return LogEstimate(statistics.fmean(logs), statistics.variance(logs) / len(logs), len(logs) - 1)


@dataclass(frozen=True, slots=True)
class TimedSession:
    """Areas and times of the single cuts of a session, in order."""

    areas_m2: tuple[float, ...]
    times_s: tuple[float, ...]


def second_half_factor(sessions: Sequence[TimedSession]) -> LogEstimate:
    """Time of the later half of a session over that of the earlier for cuts of equal area: above 1 with fatigue.

        r = ln(time / usual time of its area)        u = ln(usual time)
        factor of a session = exp(mean r later - mean r earlier - b (mean u later - mean u earlier))

    The slope b is that within halves, so that sawing thick logs first neither looks like fatigue nor hides it. Its
    prior mean is 0, and its error counts. Each session counts once: successive cuts of one stem are alike.

    sessions: of one method, at least two, each with at least two cuts.

    Source: how_sure_defaults, learning and fatigue.

    >>> alike = TimedSession((0.02, 0.02, 0.02, 0.02), (20.0, 20.0, 24.0, 26.0))
    >>> print(f"{second_half_factor([alike, alike]).value:.4f}")
    1.2490
    """
    areas = [area for one in sessions for area in one.areas_m2]
    times = [time for one in sessions for time in one.times_s]
    usual = usual_times(areas_m2=areas, times_s=times)
    u = [math.log(one) for one in usual]
    r = [math.log(time / one) for time, one in zip(times, usual, strict=True)]
    halves, start = [], 0
    for one in sessions:
        middle, end = start + len(one.areas_m2) // 2, start + len(one.areas_m2)
        halves += [slice(start, middle), slice(middle, end)]
        start = end
    slope, slope_variance = _slope_within([(u[half], r[half]) for half in halves])
    steps = [
        [statistics.fmean(values[later]) - statistics.fmean(values[earlier]) for values in (u, r)]
        for earlier, later in zip(halves[::2], halves[1::2], strict=True)
    ]
    factor = mean_of_logs(values=[math.exp(r_step - slope * u_step) for u_step, r_step in steps])
    mean_u_step = statistics.fmean(u_step for u_step, _ in steps)
    return replace(factor, variance=factor.variance + mean_u_step**2 * slope_variance)


def _slope_within(groups: Sequence[tuple[list[float], list[float]]]) -> tuple[float, float]:
    """Common slope of all groups, each about its own mean, shrunk toward 0; and its variance."""
    u, r = ([x - statistics.fmean(own) for own in part for x in own] for part in zip(*groups, strict=True))
    squares, products = math.fsum(x * x for x in u), math.fsum(x * y for x, y in zip(u, r, strict=True))
    freedom = len(u) - len(groups) - 1
    left = math.fsum(y * y for y in r) - (products**2 / squares if squares else 0.0)
    variance = max(left, 0.0) / freedom if freedom > 0 else 0.0
    precision = squares + variance / value("fatigue.slope_sd") ** 2
    return (products / precision, variance / precision) if precision else (0.0, 0.0)
