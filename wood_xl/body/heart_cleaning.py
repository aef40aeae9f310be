"""Cleaning the rows of a heart-rate monitor: its cadence, separate recordings, and rows that are no readings."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import chain, groupby, islice, pairwise
from operator import itemgetter, lt, sub
from statistics import median
from typing import NamedTuple

from wood_xl.data.load import value


class OddReadings(NamedTuple):
    """Readings that stand out: the row of the first one, and how many there are."""

    first: int
    readings_n: int


class Recordings(NamedTuple):
    """Rows of one session, split into recordings."""

    rows: tuple[Sequence[int], ...]  # row numbers of each recording
    falls: tuple[int, ...]  # rows where the time falls back, whether or not a new recording begins there


def median_step_s(elapsed_s: Sequence[float]) -> float | None:
    """Cadence of a monitor: the median step between its readings; None if there are too few to tell.

    Source: wood_xl_definitions, cadence of a heart trace.

    >>> median_step_s([0, 15, 30, 45, 90, 105])
    15.0
    """
    if len(elapsed_s) <= value("heart_trace.least_steps"):
        return None
    return float(median(map(sub, islice(elapsed_s, 1, None), elapsed_s)))


def gap_limit_s(*, cadence_s: float | None) -> float:
    """Longest step between two readings that does not count as a gap.

        max(10 s, 3 * cadence)

    Source: wood_xl_definitions, gaps of a heart trace.

    >>> gap_limit_s(cadence_s=1.0), gap_limit_s(cadence_s=15.0), gap_limit_s(cadence_s=None)
    (10.0, 45.0, 10.0)
    """
    return max(float(value("heart_trace.longest_step")), value("heart_trace.gap_cadences") * (cadence_s or 0.0))


def not_heart_rates(heart_rate_bpm: Sequence[float]) -> OddReadings | None:
    """Readings above 0 that cannot be the heart rate of a person at work.

    Source: wood_xl_definitions, readings that are no heart rate.

    >>> not_heart_rates([0, 40, 12, 220, 221])
    OddReadings(first=2, readings_n=2)
    """
    lowest, highest = value("heart_trace.lowest"), value("heart_trace.highest")
    return _odd(index for index, rate in enumerate(heart_rate_bpm) if rate > highest or 0 < rate < lowest)


def recordings(elapsed_s: Sequence[float], heart_rate_bpm: Sequence[float]) -> Recordings:
    """Split the rows of one person and session into recordings.

    A new recording begins where the time falls back and the rows after it cover times of the recording so far with
    other readings. Repeated rows, and rows of other times that are only out of order, belong to the same recording.

    Rows in no order at all, in short stretches on average, are a single recording.

    Source: wood_xl_definitions, recordings of a heart trace.

    >>> times = [*range(0, 600, 10), *range(0, 300, 10)]
    >>> split = recordings(times, [100] * 60 + [120] * 30)
    >>> [len(rows) for rows in split.rows], split.falls
    ([60, 30], (60,))
    """
    least_s = value("heart_trace.falls_back")
    falls = tuple(
        index for index, (before, after) in enumerate(pairwise(elapsed_s), start=1) if before - after > least_s
    )
    all_rows = range(len(elapsed_s))
    if not falls or len(elapsed_s) < value("heart_trace.least_rows") * (len(falls) + 1):
        return Recordings((all_rows,) if all_rows else (), falls)
    split: list[list[int]] = []
    readings: set[tuple[float, float]] = set()  # of the last recording, which runs from first_s to last_s
    first_s, last_s = math.inf, -math.inf
    for start, end in pairwise((0, *falls, len(elapsed_s))):
        times = elapsed_s[start:end]
        stretch = set(zip(times, heart_rate_bpm[start:end], strict=True))
        overlap = {row for row in stretch if first_s <= row[0] <= last_s}
        if split and overlap <= readings:
            split[-1] += all_rows[start:end]
            readings |= stretch
            first_s, last_s = min(first_s, *times), max(last_s, *times)
        else:
            split.append(list(all_rows[start:end]))
            readings, first_s, last_s = stretch, min(times), max(times)
    return Recordings(tuple(split), falls)


def spikes(elapsed_s: Sequence[float], heart_rate_bpm: Sequence[float]) -> OddReadings | None:
    """Single readings so far above or below both neighbors that no heart could follow; None if there are none.

    Only neighbors that are close in time and have a heart rate count.

    Source: wood_xl_definitions, spikes of a heart trace.

    >>> spikes([0, 1, 2, 3, 4], [100, 101, 165, 102, 101])
    OddReadings(first=2, readings_n=1)
    """
    leap, near_s = value("heart_trace.spike"), value("heart_trace.spike_step")
    lowest, highest = value("heart_trace.lowest"), value("heart_trace.highest")
    threes = zip(heart_rate_bpm, islice(heart_rate_bpm, 1, None), islice(heart_rate_bpm, 2, None), strict=False)
    return _odd(
        index
        for index, (before, rate, after) in enumerate(threes, start=1)
        if (rate - before > leap < rate - after or before - rate > leap < after - rate)
        and lowest <= min(before, rate, after)
        and max(before, rate, after) <= highest
        and 0 < elapsed_s[index] - elapsed_s[index - 1] <= near_s
        and 0 < elapsed_s[index + 1] - elapsed_s[index] <= near_s
    )


def _odd(rows: Iterable[int]) -> OddReadings | None:
    odd = list(rows)
    return OddReadings(odd[0], len(odd)) if odd else None


class Segment(NamedTuple):
    """Readings in order of time without a gap, each with a heart rate above 0."""

    elapsed_s: tuple[float, ...]
    heart_rate_bpm: tuple[float, ...]


class CleanTrace(NamedTuple):
    """A trace in order of time, with counts of what was corrected."""

    segments: tuple[Segment, ...]  # readings between gaps
    dropped_zero_n: int  # rows with heart rate 0, which a monitor writes when it finds no beat
    dropped_duplicate_n: int  # rows with the time of another row, beyond the one reading kept for that time
    out_of_order_n: int  # rows with an earlier time than the row before
    dropped_odd_n: int = 0  # rows with a rate that nobody at work can have
    cadence_s: float | None = None  # None if there are too few readings to tell
    recordings_n: int = 1  # recordings, put end to end: a segment ends at the end of each, without a gap

    @property
    def readings_n(self) -> int:
        """Number of readings kept."""
        return sum(len(segment.elapsed_s) for segment in self.segments)

    @property
    def used_s(self) -> float:
        """Time covered by readings, without gaps."""
        return math.fsum(segment.elapsed_s[-1] - segment.elapsed_s[0] for segment in self.segments)

    @property
    def highest_bpm(self) -> float | None:
        """Highest reading; None if there is none."""
        return max((max(segment.heart_rate_bpm) for segment in self.segments), default=None)

    @property
    def highest_held_bpm(self) -> float | None:
        """Highest rate held from one reading to the next; None if no two readings are without a gap."""
        held = (min(rates) for segment in self.segments for rates in pairwise(segment.heart_rate_bpm))
        return max(held, default=None)

    @property
    def gaps_n(self) -> int:
        """Number of gaps between the first reading and the last."""
        return max(len(self.segments) - self.recordings_n, 0)

    @property
    def last_s(self) -> float:
        """Time of the last reading; 0 if there is none."""
        return self.segments[-1].elapsed_s[-1] if self.segments else 0.0

    @property
    def gap_s(self) -> float:
        """Total time of the gaps."""
        return math.fsum(after.elapsed_s[0] - before.elapsed_s[-1] for before, after in pairwise(self.segments))


def clean_trace(elapsed_s: Sequence[float], heart_rate_bpm: Sequence[float]) -> CleanTrace:
    """Put a trace in order of time, drop rows that are no readings, and split it at gaps.

    First, rows are dropped whose heart rate is 0 or one that nobody at work can have. Rows of the same time become
    one reading, the mean of their distinct heart rates. A step between readings above the limit is then a gap. So a
    few lost beats are bridged, and many make a gap.

    Source: wood_xl_definitions, cleaning of a heart trace.

    >>> trace = clean_trace([0, 5, 10, 10, 40, 45, 50], [90, 95, 0, 100, 110, 110, 115])
    >>> [segment.heart_rate_bpm for segment in trace.segments]
    [(90, 95, 100), (110, 110, 115)]
    """
    lowest, highest = value("heart_trace.lowest"), value("heart_trace.highest")
    rows = [
        (time_s, rate) for time_s, rate in zip(elapsed_s, heart_rate_bpm, strict=True) if lowest <= rate <= highest
    ]
    rows.sort(key=itemgetter(0))
    readings = _one_reading_for_each_time(rows)
    times = tuple(readings.keys())
    cadence_s = median_step_s(times)
    zeros_n = sum(rate == 0.0 for rate in heart_rate_bpm)
    return CleanTrace(
        segments=_segments(times, tuple(readings.values()), gap_limit_s(cadence_s=cadence_s)),
        dropped_zero_n=zeros_n,
        dropped_duplicate_n=len(rows) - len(readings),
        out_of_order_n=sum(map(lt, elapsed_s[1:], elapsed_s)),
        dropped_odd_n=len(elapsed_s) - len(rows) - zeros_n,
        cadence_s=cadence_s,
    )


def clean_recordings(elapsed_s: Sequence[float], heart_rate_bpm: Sequence[float]) -> CleanTrace:
    """Clean the rows of one person and session, which may hold more than one recording.

    Each recording is cleaned by itself and begins when the one before ends: the time between them is not known and
    does not count. The cadence is that of the slowest recording.

    Source: wood_xl_definitions, recordings of a heart trace.

    >>> times = [*range(0, 600, 10), *range(0, 300, 10)]
    >>> trace = clean_recordings(times, [100] * 60 + [120] * 30)
    >>> trace.recordings_n, trace.gaps_n, trace.used_s, trace.last_s
    (2, 0, 880.0, 880.0)
    """
    split = recordings(elapsed_s, heart_rate_bpm).rows
    if len(split) < 2:
        return clean_trace(elapsed_s, heart_rate_bpm)
    parts = [clean_trace([elapsed_s[row] for row in rows], [heart_rate_bpm[row] for row in rows]) for rows in split]
    segments: list[Segment] = []
    for part in parts:
        if not part.segments:
            continue
        shift_s = segments[-1].elapsed_s[-1] - part.segments[0].elapsed_s[0] if segments else 0.0
        segments += [Segment(tuple(time_s + shift_s for time_s in times), rates) for times, rates in part.segments]
    return CleanTrace(
        segments=tuple(segments),
        dropped_zero_n=sum(part.dropped_zero_n for part in parts),
        dropped_duplicate_n=sum(part.dropped_duplicate_n for part in parts),
        out_of_order_n=sum(part.out_of_order_n for part in parts),
        dropped_odd_n=sum(part.dropped_odd_n for part in parts),
        cadence_s=max((part.cadence_s for part in parts if part.cadence_s is not None), default=None),
        recordings_n=sum(bool(part.segments) for part in parts),
    )


# A trace may have half a million rows. The functions below hand whole columns to built-in functions, since a Python
# step per row took most of the time.


def _one_reading_for_each_time(rows: Sequence[tuple[float, float]]) -> dict[float, float]:
    """Heart rate by time, from rows in order of time; a repeated row weighs no more than once."""
    readings = dict(rows)
    if len(readings) < len(rows):
        for time_s, together in groupby(rows, key=itemgetter(0)):
            distinct = {rate for _, rate in together}
            if len(distinct) > 1:
                readings[time_s] = math.fsum(distinct) / len(distinct)
    return readings


def _segments(times: tuple[float, ...], rates: tuple[float, ...], limit_s: float) -> tuple[Segment, ...]:
    # Times converted from minutes or clock times are off in their last digits; that must not make a gap.
    after_gaps = (
        index
        for index, step_s in enumerate(map(sub, times[1:], times), start=1)
        if step_s > limit_s and not math.isclose(step_s, limit_s)
    )
    bounds = pairwise(chain((0,), after_gaps, (len(times),)))
    return tuple(Segment(times[start:end], rates[start:end]) for start, end in bounds if start < end)
