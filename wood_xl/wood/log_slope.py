"""Sawing time split into handling and sawing, to compare logs of different size fairly.

A thick log takes fewer cuts for the same sawn area.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from wood_xl.data.load import value
from wood_xl.draws.least_squares import Fit, condition_of_two, least_squares
from wood_xl.reasons import Reason, Refused, said


class CutTime(NamedTuple):
    """Sawing time for each cut and for its area."""

    per_cut: float  # handling of one cut
    per_m2: float  # sawing of one square meter
    fit: Fit


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
    """Handling and sawing time, fitted to timed single cuts.

        time of a cut = a + b * area

    Errors: Refused if there are too few cuts or their sizes are too much alike.
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


def usual_times(*, areas_m2: Sequence[float], times_s: Sequence[float]) -> list[float]:
    """Usual time for the area of each cut: by a fit to the cuts, or by area alone if no fit is possible.

        usual = a + b * area        or area * sum of times / sum of areas

    Source: how_sure_defaults, log size.

    >>> usual_times(areas_m2=[0.02, 0.03], times_s=[20.0, 40.0])
    [24.0, 36.0]
    """
    try:
        cut = time_of_single_cuts(areas_m2=areas_m2, times_s=times_s)
    except Refused:
        pass
    else:
        fitted = [cut.per_cut + cut.per_m2 * area for area in areas_m2]
        if min(fitted) > 0:
            return fitted
    per_area = math.fsum(times_s) / math.fsum(areas_m2)
    return [per_area * area for area in areas_m2]


def time_of_session_totals(
    *, cuts_n: Sequence[float], areas_m2: Sequence[float], times_s: Sequence[float]
) -> CutTime:
    """Handling and sawing time, fitted to totals of sessions on logs of different size.

        time of a session = a * cuts + b * area

    Errors: Refused if there are too few sessions, their logs are too much alike, or a part comes out below 0.
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
