"""The size of the logs taken out of a comparison: a thick log takes fewer cuts for the same sawn area."""

from __future__ import annotations

import math
import statistics
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from wood_xl.data.load import value
from wood_xl.draws.compare import LogEstimate
from wood_xl.draws.least_squares import Fit, condition_of_two, least_squares, nested_test
from wood_xl.reasons import Reason, Refused, said


@dataclass(frozen=True, slots=True)
class CutTime:
    """Time of sawing as so much for each cut and so much for its area.

    per_cut, per_m2: handling of one cut, and sawing of one square metre.
    fit: behind the two, in this order.
    """

    per_cut: float
    per_m2: float
    fit: Fit


@dataclass(frozen=True, slots=True)
class AdjustedRatio:
    """Ratio of two methods at the same mean diameter.

    ratio: first over second.
    slope: change of the log rate with the log of the diameter, taken as common to both.
    parallel_frac: probability by chance of slopes as different as those found; None if it cannot be told.
    """

    ratio: LogEstimate
    slope: float
    parallel_frac: float | None


def quadratic_mean_diameter_m(*, diameters_m: Sequence[float], counts_n: Sequence[int]) -> float:
    """Diameter of the cut of mean area.

        D = sqrt(sum n d^2 / sum n)

    Source: how_sure_defaults, log size.

    >>> round(quadratic_mean_diameter_m(diameters_m=[0.1, 0.2], counts_n=[1, 1]), 4)
    0.1581
    """
    squares = math.fsum(n * d * d for d, n in zip(diameters_m, counts_n, strict=True))
    return math.sqrt(squares / sum(counts_n))


def time_of_single_cuts(*, areas_m2: Sequence[float], times_s: Sequence[float]) -> CutTime:
    """Handling and sawing told apart by timed single cuts.

        time of a cut = a + b * area

    Returns a and b.

    Errors: Refused if the cuts are too few or too much of one size.
    Source: how_sure_defaults, ``log_size.cuts``, ``log_size.diameter_range``.

    >>> d = (12, 15, 18, 20, 22, 25, 28, 30, 33, 35)
    >>> t = (14.0, 19.0, 25.0, 30.0, 33.0, 44.0, 52.0, 61.0, 71.0, 80.0)
    >>> cut = time_of_single_cuts(areas_m2=[math.pi * (x / 200) ** 2 for x in d], times_s=t)
    >>> round(cut.per_cut, 6), round(cut.per_m2, 4)
    (5.11211, 776.0167)
    """
    if len(areas_m2) < value("log_size.cuts"):
        raise Refused(said(Reason.CUTS_TOO_FEW, n=len(areas_m2), least=value("log_size.cuts")))
    if max(areas_m2) < value("log_size.diameter_range") ** 2 * min(areas_m2):
        raise Refused(said(Reason.CUTS_ALIKE, times=value("log_size.diameter_range")))
    fit = least_squares(columns=([1.0] * len(areas_m2), areas_m2), values=times_s)
    per_cut, per_m2 = fit.coefficients
    return CutTime(per_cut, per_m2, fit)


def time_of_session_totals(
    *, cuts_n: Sequence[float], areas_m2: Sequence[float], times_s: Sequence[float]
) -> CutTime:
    """Handling and sawing told apart by the totals of sessions on logs of different size.

        time of a session = a * cuts + b * area

    Returns a and b.

    Errors: Refused if the sessions are too few or their logs too much alike, or a part of the time comes out below 0.
    Source: how_sure_defaults, ``log_size.sessions``, ``log_size.condition``.

    >>> cut = time_of_session_totals(
    ...     cuts_n=[30, 45, 24, 50, 36],
    ...     areas_m2=[1.10, 1.95, 0.70, 2.30, 1.35],
    ...     times_s=[60 * t for t in (52.0, 84.0, 37.0, 98.0, 62.0)],
    ... )
    >>> round(cut.per_cut / 60, 6), round(cut.per_m2 / 60, 5)
    (0.80642, 24.82334)
    """
    if len(cuts_n) < value("log_size.sessions"):
        raise Refused(said(Reason.SESSIONS_TOO_FEW, n=len(cuts_n), least=value("log_size.sessions")))
    if condition_of_two(first=cuts_n, second=areas_m2) > value("log_size.condition"):
        raise Refused(said(Reason.LOGS_ALIKE))
    fit = least_squares(columns=(cuts_n, areas_m2), values=times_s)
    per_cut, per_m2 = fit.coefficients
    if min(per_cut, per_m2) < 0:
        raise Refused(said(Reason.TIME_BELOW_ZERO))
    return CutTime(per_cut, per_m2, fit)


def to_common_logs(
    *, cut: CutTime, own_cuts_n: float, own_area_m2: float, common_cuts_n: float, common_area_m2: float
) -> LogEstimate:
    """Factor that takes a method's rate from its own logs to a log list common to all methods.

        factor = ((a K + b A) / A) on the common list / the same on the method's own logs

    cut: of the method.

    Returns log of the factor, with the error of the fit.

    Errors: Refused if the fit gives no time above 0 for one of the lists.
    Source: how_sure_defaults, direct standardisation.

    Twenty seconds a cut and 2600 s a square metre, from logs of 12 cm to a list of thicker ones:

    >>> d = (0.10, 0.12, 0.15, 0.20, 0.25, 0.30)
    >>> area = [math.pi * x * x / 4 for x in d]
    >>> hand = time_of_single_cuts(areas_m2=area, times_s=[20 + 2600 * a for a in area])
    >>> factor = to_common_logs(
    ...     cut=hand, own_cuts_n=1, own_area_m2=area[1], common_cuts_n=6, common_area_m2=sum(area)
    ... )
    >>> round(factor.value, 3)
    0.741
    """
    fitted = []
    for cuts_n, area_m2 in ((common_cuts_n, common_area_m2), (own_cuts_n, own_area_m2)):
        total, _ = cut.fit.combined((cuts_n / area_m2, 1.0))
        if total <= 0:
            raise Refused(said(Reason.TIMES_DO_NOT_GROW))
        fitted.append(total)
    # d ln(factor) = (dT common / T common) - (dT own / T own), both on the same a and b
    weights = tuple(
        common / fitted[0] - of_method / fitted[1]
        for common, of_method in ((common_cuts_n / common_area_m2, own_cuts_n / own_area_m2), (1.0, 1.0))
    )
    _, error = cut.fit.combined(weights)
    return LogEstimate(math.log(fitted[0] / fitted[1]), error**2, max(cut.fit.df, 1))


def ratio_at_one_diameter(
    *, rates: Mapping[str, Sequence[float]], diameters_m: Mapping[str, Sequence[float]]
) -> AdjustedRatio:
    """Ratio of two methods adjusted for the mean diameter of their sessions, by covariance.

        ln rate = method + slope * (ln D - mean ln D)        ratio = exp(first - second)

    The slope is taken as common; with few sessions nothing can show that it is not.

    rates: rate of each session of each of two methods, in order. Above 0.

    Returns first over second.

    Errors: Refused if there are too few sessions, or the diameters of the two do not overlap: that would be
    extrapolation.

    Source: how_sure_defaults, ``log_size.adjusted_df``, analysis of covariance.

    >>> adjusted = ratio_at_one_diameter(
    ...     rates={"hand": [61.0, 55.0, 50.0, 47.0], "saw": [15.5, 13.8, 12.9, 12.1]},
    ...     diameters_m={"hand": [0.14, 0.18, 0.22, 0.26], "saw": [0.20, 0.24, 0.28, 0.33]},
    ... )
    >>> round(adjusted.ratio.value, 5), round(adjusted.slope, 6), round(adjusted.parallel_frac, 4)
    (3.45256, -0.451964, 0.1938)
    """
    first, second = rates
    (low_1, high_1), (low_2, high_2) = ((min(diameters_m[m]), max(diameters_m[m])) for m in (first, second))
    if max(low_1, low_2) > min(high_1, high_2):
        raise Refused(said(Reason.NO_OVERLAP))
    logs = [math.log(r) for m in rates for r in rates[m]]
    sizes = [math.log(d) for m in rates for d in diameters_m[m]]
    if len(logs) - 3 < value("log_size.adjusted_df"):
        raise Refused(said(Reason.TOO_FEW_FOR_LOG_SIZE))
    middle = statistics.fmean(sizes)
    centred = [size - middle for size in sizes]
    is_first = [1.0] * len(rates[first]) + [0.0] * len(rates[second])
    is_second = [1.0 - one for one in is_first]
    common = least_squares(columns=(is_first, is_second, centred), values=logs)
    difference, error = common.combined((1.0, -1.0, 0.0))
    parallel = None
    if common.df > 1 and min(len(rates[first]), len(rates[second])) > 1:
        split = [size * one for size, one in zip(centred, is_first, strict=True)]
        two_slopes = least_squares(columns=(is_first, is_second, centred, split), values=logs)
        parallel = nested_test(smaller=common, larger=two_slopes)[1] if two_slopes.residual_ss > 0 else None
    return AdjustedRatio(LogEstimate(difference, error**2, common.df), common.coefficients[2], parallel)
