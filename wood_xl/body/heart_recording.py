"""The rows that a monitor wrote, before they are cleaned: how often it recorded, where it began anew, what is odd."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import islice, pairwise
from operator import sub
from statistics import median
from typing import NamedTuple

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

    cadence_s: as ``median_step_s`` gives it, in seconds; None if it is not known.

    Source: wood_xl_definitions, gaps of a heart trace (constants ``heart_trace.longest_step``,
    ``heart_trace.gap_cadences``).

    >>> gap_limit_s(cadence_s=1.0), gap_limit_s(cadence_s=15.0), gap_limit_s(cadence_s=None)
    (10.0, 45.0, 10.0)
    """
    return max(float(value("heart_trace.longest_step")), value("heart_trace.gap_cadences") * (cadence_s or 0.0))


def not_heart_rates(heart_rate_bpm: Sequence[float]) -> OddReadings | None:
    """Readings above 0 that can be the heart rate of nobody at work.

    Returns none if there is none.

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
