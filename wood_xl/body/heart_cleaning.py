"""The rows that a monitor wrote: how often it recorded, where it began anew, and what is left out as no reading."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import chain, groupby, islice, pairwise
from operator import itemgetter, lt, sub
from statistics import median
from typing import NamedTuple

from wood_xl.arguments import require_not_negative
from wood_xl.data.load import value


class OddReadings(NamedTuple):
    """Readings that stand out: how many, and the first one's place among the rows."""

    first: int
    readings_n: int


class Recordings(NamedTuple):
    """Rows of one session parted into recordings.

    ``rows`` holds the places of the rows of each recording; ``falls`` the places of rows where the time falls back,
    whether or not a new recording begins there.
    """

    rows: tuple[Sequence[int], ...]
    falls: tuple[int, ...]


def median_step_s(elapsed_s: Sequence[float]) -> float | None:
    """How often a monitor recorded (its cadence): the median step between its readings.

    Returns seconds; None if there are too few steps to tell.

    Source: wood_xl_definitions, cadence of a heart trace (constant ``heart_trace.least_steps``).

    >>> median_step_s([0, 15, 30, 45, 90, 105])
    15.0
    """
    if len(elapsed_s) <= value("heart_trace.least_steps"):
        return None
    return float(median(map(sub, islice(elapsed_s, 1, None), elapsed_s)))


def gap_limit_s(*, cadence_s: float | None) -> float:
    """Longest step between two readings that is not a gap.

        max(10 s, 3 * cadence)

    Source: wood_xl_definitions, gaps of a heart trace (constants ``heart_trace.longest_step``,
    ``heart_trace.gap_cadences``).

    >>> gap_limit_s(cadence_s=1.0), gap_limit_s(cadence_s=15.0), gap_limit_s(cadence_s=None)
    (10.0, 45.0, 10.0)
    """
    return max(float(value("heart_trace.longest_step")), value("heart_trace.gap_cadences") * (cadence_s or 0.0))


def not_heart_rates(heart_rate_bpm: Sequence[float]) -> OddReadings | None:
    """Readings above 0 that can be the heart rate of nobody at work.

    Source: wood_xl_definitions, readings that are no heart rate (constants ``heart_trace.lowest``,
    ``heart_trace.highest``).

    >>> not_heart_rates([0, 40, 12, 220, 221])
    OddReadings(first=2, readings_n=2)
    """
    lowest, highest = value("heart_trace.lowest"), value("heart_trace.highest")
    return _odd(index for index, rate in enumerate(heart_rate_bpm) if rate > highest or 0 < rate < lowest)


def recordings(elapsed_s: Sequence[float], heart_rate_bpm: Sequence[float]) -> Recordings:
    """Part the rows of one person and session where the monitor began anew.

    A new recording begins where the time falls back and its rows then cover times that the recording before has
    covered, with other readings. Rows that are the same as before belong to it, and so do rows of other times, which
    only stand in another order.

    Returns at least one, unless there are no rows. One alone if the rows are in no order at all: stretches of fewer
    rows than ``heart_trace.least_rows`` on average.

    Source: wood_xl_definitions, recordings of a heart trace (constants ``heart_trace.falls_back``,
    ``heart_trace.least_rows``).

    >>> times = [*range(0, 600, 10), *range(0, 300, 10)]
    >>> found = recordings(times, [100] * 60 + [120] * 30)
    >>> [len(rows) for rows in found.rows], found.falls
    ([60, 30], (60,))
    """
    least_s = value("heart_trace.falls_back")
    falls = tuple(
        index for index, (before, after) in enumerate(pairwise(elapsed_s), start=1) if before - after > least_s
    )
    everything = range(len(elapsed_s))
    if not falls or len(elapsed_s) < value("heart_trace.least_rows") * (len(falls) + 1):
        return Recordings((everything,) if everything else (), falls)
    parted: list[list[int]] = []
    readings: set[tuple[float, float]] = set()
    ends_s = (math.inf, -math.inf)
    for start, end in pairwise((0, *falls, len(elapsed_s))):
        times = elapsed_s[start:end]
        first_s, last_s = min(times), max(times)
        stretch = set(zip(times, heart_rate_bpm[start:end], strict=True))
        again = {row for row in stretch if ends_s[0] <= row[0] <= ends_s[1]}
        if parted and again <= readings:
            parted[-1] += everything[start:end]
            readings |= stretch
            ends_s = min(ends_s[0], first_s), max(ends_s[1], last_s)
        else:
            parted.append(list(everything[start:end]))
            readings, ends_s = stretch, (first_s, last_s)
    return Recordings(tuple(parted), falls)


def spikes(elapsed_s: Sequence[float], heart_rate_bpm: Sequence[float]) -> OddReadings | None:
    """Single readings far above or far below both their neighbours, which no heart follows.

    Returns none if there is none. Only neighbours that are near in time and have a heart rate count.

    Source: wood_xl_definitions, spikes of a heart trace (constants ``heart_trace.spike``, ``heart_trace.spike_step``,
    ``heart_trace.lowest``, ``heart_trace.highest``).

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


def _odd(places: Iterable[int]) -> OddReadings | None:
    found = list(places)
    return OddReadings(found[0], len(found)) if found else None


class Segment(NamedTuple):
    """Readings with no gap between them, by time; the two are equally long and every heart rate is above 0."""

    elapsed_s: tuple[float, ...]
    heart_rate_bpm: tuple[float, ...]


class CleanTrace(NamedTuple):
    """A trace in order of time, with what was set right."""

    segments: tuple[Segment, ...]  # readings between gaps, by time
    dropped_zero_n: int  # rows with heart rate 0, which a monitor writes when it finds no beat
    # rows that share their time with another one, less the one reading that was kept for each such time
    dropped_duplicate_n: int
    out_of_order_n: int  # rows with an earlier time than the row before
    dropped_odd_n: int = 0  # rows with a reading that is no heart rate of anybody at work
    cadence_s: float | None = None  # how often the monitor recorded; None if there are too few readings to tell
    # recordings, each of which follows the one before at once. Where one ends a segment ends, without a gap.
    recordings_n: int = 1

    @property
    def readings_n(self) -> int:
        """Readings that were kept."""
        return sum(len(segment.elapsed_s) for segment in self.segments)

    @property
    def used_s(self) -> float:
        """Time between readings, gaps left out."""
        return math.fsum(segment.elapsed_s[-1] - segment.elapsed_s[0] for segment in self.segments)

    @property
    def highest_bpm(self) -> float | None:
        """Highest reading; None if there is none."""
        return max((max(segment.heart_rate_bpm) for segment in self.segments), default=None)

    @property
    def highest_held_bpm(self) -> float | None:
        """Highest rate that was held from one reading to the next; None if there are no two without a gap."""
        held = (min(rates) for segment in self.segments for rates in pairwise(segment.heart_rate_bpm))
        return max(held, default=None)

    @property
    def gaps_n(self) -> int:
        """Gaps between the first reading and the last one."""
        return max(len(self.segments) - self.recordings_n, 0)

    @property
    def last_s(self) -> float:
        """Time of the last reading; 0 if there is none."""
        return self.segments[-1].elapsed_s[-1] if self.segments else 0.0

    @property
    def gap_s(self) -> float:
        """Time of all gaps."""
        return math.fsum(after.elapsed_s[0] - before.elapsed_s[-1] for before, after in pairwise(self.segments))


def clean_trace(elapsed_s: Sequence[float], heart_rate_bpm: Sequence[float]) -> CleanTrace:
    """Put a trace in order of time, leave out what is no reading, and part it where it has gaps.

    Rows with heart rate 0 go first, and with them readings that are no heart rate of anybody at work. Rows of the
    same time become one reading, the mean of their different heart rates. Then a step between two readings that is
    longer than the limit is a gap.

    Returns segments and counts. It is the same for any order of the rows but for ``out_of_order_n``.

    A few lost beats make a step longer and are bridged; many make a gap. A step may pass the limit by the rounding of
    its two times.

    Source: wood_xl_definitions, cleaning of a heart trace (constants ``heart_trace.longest_step``,
    ``heart_trace.gap_cadences``, ``heart_trace.lowest``, ``heart_trace.highest``).

    >>> trace = clean_trace([0, 5, 10, 10, 40, 45, 50], [90, 95, 0, 100, 110, 110, 115])
    >>> [segment.heart_rate_bpm for segment in trace.segments]
    [(90, 95, 100), (110, 110, 115)]
    """
    if len(elapsed_s) != len(heart_rate_bpm):
        raise ValueError(f"{len(elapsed_s)} times and {len(heart_rate_bpm)} heart rates, not as many of each")
    _require_each_not_negative("elapsed_s", elapsed_s)
    _require_each_not_negative("heart_rate_bpm", heart_rate_bpm)
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

    Each recording is cleaned by itself and begins when the one before ends: the time between them is not known, and
    counts for nothing.

    Returns the cadence is that of the slowest recording.

    Source: wood_xl_definitions, recordings of a heart trace.

    >>> times = [*range(0, 600, 10), *range(0, 300, 10)]
    >>> trace = clean_recordings(times, [100] * 60 + [120] * 30)
    >>> trace.recordings_n, trace.gaps_n, trace.used_s, trace.last_s
    (2, 0, 880.0, 880.0)
    """
    found = recordings(elapsed_s, heart_rate_bpm)
    if len(found.rows) < 2:
        return clean_trace(elapsed_s, heart_rate_bpm)
    parts = [
        clean_trace([elapsed_s[row] for row in rows], [heart_rate_bpm[row] for row in rows]) for rows in found.rows
    ]
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


# A trace may have half a million rows. Where a step in Python for each of them took most of the time, the functions
# below hand whole columns to the interpreter instead.


def _require_each_not_negative(name: str, numbers: Sequence[float]) -> None:
    if all(map(math.isfinite, numbers)) and min(numbers, default=0.0) >= 0.0:
        return
    for index, number in enumerate(numbers):
        require_not_negative(**{f"{name}[{index}]": number})


def _one_reading_for_each_time(rows: Sequence[tuple[float, float]]) -> dict[float, float]:
    """Heart rate by time from rows in order of time; a row that stands there twice weighs no more than once."""
    readings = dict(rows)
    if len(readings) < len(rows):
        for time_s, together in groupby(rows, key=itemgetter(0)):
            different = {rate for _, rate in together}
            if len(different) > 1:
                readings[time_s] = math.fsum(different) / len(different)
    return readings


def _segments(times: tuple[float, ...], rates: tuple[float, ...], limit_s: float) -> tuple[Segment, ...]:
    # Times that were converted from minutes or clock times are off in their last digits; that makes no gap.
    after_gaps = (
        index
        for index, step_s in enumerate(map(sub, times[1:], times), start=1)
        if step_s > limit_s and not math.isclose(step_s, limit_s)
    )
    bounds = pairwise(chain((0,), after_gaps, (len(times),)))
    return tuple(Segment(times[start:end], rates[start:end]) for start, end in bounds if start < end)
