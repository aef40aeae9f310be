"""Summary of a recorded heart rate, and energy over it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import chain, groupby
from operator import add, mul, sub
from typing import NamedTuple

from wood_xl.body.heart_cleaning import CleanTrace, Segment
from wood_xl.data.load import value

S_PER_MIN = 60.0


class TraceEnergy(NamedTuple):
    """Energy over a trace, and the time that it covers."""

    kcal: float
    used_s: float


class TraceSummary(NamedTuple):
    """Summary of a trace."""

    mean_bpm: float | None  # over the used time; None if there is none
    times_above_s: tuple[float, ...]  # time above each threshold
    longest_high_spell_s: float | None  # longest time above the high rate without a gap; None if that is not known


def fifty_percent_level_bpm(*, resting_bpm: float, max_bpm: float) -> float:
    """Heart rate halfway between rest and the highest.

        level = rest + (highest - rest) / 2

    From memory; it agrees with printed means of pruners. Meant for short heavy work, not for a whole day.

    Source: kirk_sullman_2001, 50 % level.

    >>> fifty_percent_level_bpm(resting_bpm=65, max_bpm=176.5)
    120.75
    """
    return resting_bpm + (max_bpm - resting_bpm) / 2


def high_heart_rate_bpm(*, max_bpm: float) -> float:
    """Heart rate above which a rate counts as high.

        share * highest

    Source: wood_xl_definitions, sums of a heart trace.

    >>> high_heart_rate_bpm(max_bpm=180)
    153.0
    """
    return value("heart_trace.high_fraction_of_max") * max_bpm


def trace_summary(
    trace: CleanTrace, *, thresholds_bpm: Sequence[float] = (), max_bpm: float | None = None
) -> TraceSummary:
    """Summary of a trace, with the heart rate interpolated linearly between readings.

        mean = sum over steps of (step * mean of its two readings) / sum of steps

    Where the line crosses a threshold within a step, only the part of the step above it counts. A reading at the
    threshold is not above it, so it ends a spell. Gaps do not count.

    Source: wood_xl_definitions, sums of a heart trace.

    >>> from wood_xl.body.heart_cleaning import clean_trace
    >>> trace = clean_trace([0, 10, 20, 30], [100, 160, 160, 140])
    >>> summary = trace_summary(trace, thresholds_bpm=[130, 150], max_bpm=180)
    >>> summary.mean_bpm, round(summary.longest_high_spell_s, 4)
    (146.66666666666666, 14.6667)
    """
    used_s = trace.used_s
    segments = _with_steps(trace.segments)
    return TraceSummary(
        mean_bpm=_area(segments) / used_s if used_s > 0.0 else None,
        times_above_s=tuple(_time_above_s(segments, level_bpm) for level_bpm in thresholds_bpm),
        longest_high_spell_s=None
        if max_bpm is None
        else _longest_spell_s(segments, high_heart_rate_bpm(max_bpm=max_bpm)),
    )


def trace_kcal(trace: CleanTrace, kcal_per_min: Callable[[float], float | None]) -> TraceEnergy:
    """Energy over a trace by the trapezoidal rule.

        kcal = sum over steps of step / 60 * (kcal/min at its first reading + kcal/min at its last one) / 2

    kcal_per_min: energy by heart rate in beats/min; None where there is none. Called once for each distinct rate.

    Gaps, and steps with a reading for which there is no energy, add neither energy nor time.

    Source: wood_xl_definitions, energy over a heart trace.

    >>> from wood_xl.body.heart_cleaning import clean_trace
    >>> trace = clean_trace([0, 10, 20, 60, 70], [100, 110, 120, 120, 120])
    >>> trace_kcal(trace, lambda heart_rate_bpm: 0.1 * heart_rate_bpm - 5)
    TraceEnergy(kcal=3.1666666666666665, used_s=30.0)
    """
    distinct_bpm = set(chain.from_iterable(segment.heart_rate_bpm for segment in trace.segments))
    energies = {rate_bpm: kcal_per_min(rate_bpm) for rate_bpm in distinct_bpm}
    rated = {rate_bpm: energy for rate_bpm, energy in energies.items() if energy is not None}
    parts = _with_steps(trace.segments if len(rated) == len(energies) else _rated_parts(trace.segments, rated))
    return TraceEnergy(
        kcal=_area((times, tuple(map(rated.__getitem__, rates))) for times, rates in parts) / S_PER_MIN,
        used_s=math.fsum(times[-1] - times[0] for times, _ in parts),
    )


# A trace may have half a million rows. The functions below hand whole columns to built-in functions, since a Python
# step per row took most of the time.


def _with_steps(segments: Iterable[Segment]) -> tuple[Segment, ...]:
    return tuple(segment for segment in segments if len(segment.elapsed_s) > 1)


def _area(parts: Iterable[tuple[Sequence[float], Sequence[float]]]) -> float:
    """Area under heights over times by the trapezoidal rule, summed over all parts."""
    doubled = (map(mul, map(sub, times[1:], times), map(add, heights, heights[1:])) for times, heights in parts)
    return math.fsum(chain.from_iterable(doubled)) / 2


def _rated_parts(segments: Iterable[Segment], rated: dict[float, float]) -> Iterator[Segment]:
    """Runs of readings for which there is energy."""
    for segment in segments:
        readings = zip(*segment, strict=True)
        for is_rated, together in groupby(readings, key=lambda reading: reading[1] in rated):
            if is_rated:
                times, rates = zip(*together, strict=True)
                yield Segment(times, rates)


def _steps(segment: Segment) -> Iterable[tuple[float, float, float]]:
    times, rates = segment
    return zip(map(sub, times[1:], times), rates[:-1], rates[1:], strict=True)


def _part_above_s(step_s: float, one_bpm: float, other_bpm: float, threshold_bpm: float) -> float:
    return step_s * (max(one_bpm, other_bpm) - threshold_bpm) / abs(one_bpm - other_bpm)


def _time_above_s(segments: Iterable[Segment], threshold_bpm: float) -> float:
    return math.fsum(
        step_s
        if first > threshold_bpm and last > threshold_bpm
        else _part_above_s(step_s, first, last, threshold_bpm)
        for segment in segments
        for step_s, first, last in _steps(segment)
        if first > threshold_bpm or last > threshold_bpm
    )


def _longest_spell_s(segments: Iterable[Segment], threshold_bpm: float) -> float:
    longest_s = 0.0
    for segment in segments:
        spell_s = 0.0
        for step_s, first, last in _steps(segment):
            if first > threshold_bpm and last > threshold_bpm:
                spell_s += step_s
            elif first > threshold_bpm:
                spell_s += _part_above_s(step_s, first, last, threshold_bpm)
            elif last > threshold_bpm:
                spell_s = _part_above_s(step_s, first, last, threshold_bpm)
            longest_s = max(longest_s, spell_s)
    return longest_s
