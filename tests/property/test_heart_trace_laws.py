"""Laws of a heart trace that hold for all rows."""

from __future__ import annotations

import math
import random
from itertools import pairwise
from unittest.mock import patch

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wood_xl.body import heart_cleaning
from wood_xl.body.heart_cleaning import CleanTrace, Segment, clean_recordings, clean_trace, gap_limit_s, recordings
from wood_xl.body.heart_trace import TraceSummary, trace_kcal, trace_summary
from wood_xl.data.load import value

# Steps that are often short and sometimes gaps, in tenths of a second, so that times often meet.
TIME = st.integers(0, 3000).map(lambda tenths: tenths / 10)
BEAT = st.integers(40, 220) | st.floats(30, 230)
ROWS = st.lists(st.tuples(TIME, st.just(0) | BEAT), max_size=80)
BEATING = st.lists(st.tuples(TIME, st.floats(40, 220)), min_size=2, max_size=80, unique_by=lambda row: row[0])
LEVELS = st.lists(st.floats(0, 230), max_size=4)
LINE = st.tuples(st.floats(-20, 20), st.floats(-1, 1))
MAX_BPM = 180.0


def cleaned(rows: list[tuple[float, float]]) -> CleanTrace:
    return clean_trace([time for time, _ in rows], [rate for _, rate in rows])


def is_heart_rate(rate: float) -> bool:
    return value("heart_trace.lowest") <= rate <= value("heart_trace.highest")


def summed(rows: list[tuple[float, float]], levels: list[float]) -> TraceSummary:
    return trace_summary(cleaned(rows), thresholds_bpm=levels, max_bpm=MAX_BPM)


def steps(trace: CleanTrace) -> list[tuple[float, float]]:
    """Length of each step, and the lower heart rate of its ends."""
    pairs = (pairwise(zip(*segment, strict=True)) for segment in trace.segments)
    return [(after[0] - before[0], min(before[1], after[1])) for pair in pairs for before, after in pair]


def square(rate: float) -> float:
    return rate * rate / 1000


@given(ROWS)
def test_every_row_is_accounted_for(rows: list[tuple[float, float]]) -> None:
    trace = cleaned(rows)
    dropped_n = trace.dropped_zero_n + trace.dropped_odd_n + trace.dropped_duplicate_n
    assert trace.readings_n + dropped_n == len(rows)
    assert trace.dropped_zero_n == sum(rate == 0 for _, rate in rows)
    times = [time for segment in trace.segments for time in segment.elapsed_s]
    assert times == sorted({time for time, rate in rows if is_heart_rate(rate)})
    if times:
        assert trace.used_s + trace.gap_s == pytest.approx(times[-1] - times[0], abs=1e-9)


@given(ROWS)
def test_segments_end_just_where_the_gaps_are(rows: list[tuple[float, float]]) -> None:
    trace = cleaned(rows)
    limit = gap_limit_s(cadence_s=trace.cadence_s) * (1 + 1e-9)
    for segment in trace.segments:
        assert all(0 < after - before <= limit for before, after in pairwise(segment.elapsed_s))
    for before, after in pairwise(trace.segments):
        assert after.elapsed_s[0] - before.elapsed_s[-1] > limit


@given(ROWS, st.randoms(use_true_random=False), LEVELS)
def test_order_of_the_rows_does_not_matter(
    rows: list[tuple[float, float]], shuffler: random.Random, levels: list[float]
) -> None:
    mixed = list(rows)
    shuffler.shuffle(mixed)
    first, second = cleaned(sorted(rows)), cleaned(mixed)
    assert (first.segments, first.dropped_zero_n) == (second.segments, second.dropped_zero_n)
    assert (first.dropped_duplicate_n, first.out_of_order_n) == (second.dropped_duplicate_n, 0)
    assert summed(sorted(rows), levels).times_above_s == summed(mixed, levels).times_above_s
    assert trace_kcal(first, square) == trace_kcal(second, square)


@given(ROWS)
def test_cleaning_twice_changes_nothing(rows: list[tuple[float, float]]) -> None:
    once = cleaned(rows)
    kept = [row for segment in once.segments for row in zip(*segment, strict=True)]
    assert cleaned(kept) == CleanTrace(once.segments, 0, 0, 0, cadence_s=once.cadence_s)


@given(BEATING, st.data(), LEVELS)
def test_parts_add_up_when_cut_at_a_reading(
    rows: list[tuple[float, float]], data: st.DataObject, levels: list[float]
) -> None:
    rows = sorted(rows)
    where = data.draw(st.integers(0, len(rows) - 1))
    with patch.object(heart_cleaning, "gap_limit_s", return_value=10.0):  # a part may have a cadence of its own
        parts = [cleaned(part) for part in (rows, rows[: where + 1], rows[where:])]
    whole, one, other = parts
    assert one.readings_n + other.readings_n == whole.readings_n + 1
    assert one.gaps_n + other.gaps_n == whole.gaps_n
    assert one.used_s + other.used_s == pytest.approx(whole.used_s, abs=1e-9)
    assert one.gap_s + other.gap_s == pytest.approx(whole.gap_s, abs=1e-9)
    summaries = [trace_summary(part, thresholds_bpm=levels, max_bpm=MAX_BPM) for part in parts]
    above = [summary.times_above_s for summary in summaries]
    sums = [first + second for first, second in zip(*above[1:], strict=True)]
    assert sums == pytest.approx(above[0], rel=1e-9, abs=1e-9)
    energies = [trace_kcal(part, square).kcal for part in parts]
    assert energies[1] + energies[2] == pytest.approx(energies[0], rel=1e-12)
    spells = [summary.longest_high_spell_s or 0 for summary in summaries]
    assert max(spells[1:]) - 1e-9 <= spells[0] <= sum(spells[1:]) + 1e-9


@given(ROWS, LINE)
def test_linear_equation_needs_the_mean_only(rows: list[tuple[float, float]], line: tuple[float, float]) -> None:
    trace, (level, slope) = cleaned(rows), line
    found = trace_kcal(trace, lambda rate: level + slope * rate)
    assert found.used_s == trace.used_s
    mean = summed(rows, []).mean_bpm or 0
    assert found.kcal == pytest.approx(trace.used_s / 60 * (level + slope * mean), rel=1e-9, abs=1e-9)


@given(ROWS, st.floats(90, 140))
def test_time_without_energy_is_not_used_and_not_a_gap(rows: list[tuple[float, float]], lowest: float) -> None:
    trace = cleaned(rows)
    found = trace_kcal(trace, lambda rate: square(rate) if rate >= lowest else None)
    rated_s = math.fsum(step_s for step_s, rate in steps(trace) if rate >= lowest)
    assert found.used_s == pytest.approx(rated_s, abs=1e-9)
    assert found.kcal <= trace_kcal(trace, square).kcal * (1 + 1e-12)


@given(ROWS, LEVELS)
def test_figures_stay_within_the_range_of_the_trace(rows: list[tuple[float, float]], levels: list[float]) -> None:
    levels = [*sorted(levels), value("heart_trace.high_fraction_of_max") * MAX_BPM]
    summary, trace = summed(rows, levels), cleaned(rows)
    above = summary.times_above_s
    assert above[:-1] == pytest.approx(sorted(above[:-1], reverse=True), abs=1e-9)
    assert all(0 <= time <= trace.used_s + 1e-9 for time in above)
    assert 0 <= (summary.longest_high_spell_s or 0) <= above[-1] + 1e-9
    if summary.mean_bpm is not None:
        rates = [rate for segment in trace.segments for rate in segment.heart_rate_bpm]
        assert min(rates) - 1e-9 <= summary.mean_bpm <= (trace.highest_bpm or 0) + 1e-9


@given(BEATING, st.sampled_from((0.25, 0.5, 2.0, 4.0)), st.floats(30, 230))
def test_time_above_does_not_depend_on_the_scale_of_the_rates(
    rows: list[tuple[float, float]], k: float, level: float
) -> None:
    # Powers of 2 scale without rounding, so that the same readings lie above.
    trace = cleaned(rows)
    scaled = CleanTrace(
        tuple(Segment(times, tuple(rate * k for rate in rates)) for times, rates in trace.segments), 0, 0, 0
    )
    found, expected = trace_summary(scaled, thresholds_bpm=[level * k]), trace_summary(trace, thresholds_bpm=[level])
    assert found.times_above_s == expected.times_above_s


@given(st.lists(BEATING, min_size=1, max_size=4))
def test_recordings_add_up(pasted: list[list[tuple[float, float]]]) -> None:
    rows = [row for recording in pasted for row in sorted(recording)]
    times, rates = [time for time, _ in rows], [rate for _, rate in rows]
    found = recordings(times, rates)
    assert sorted(place for part in found.rows for place in part) == list(range(len(rows)))
    whole = clean_recordings(times, rates)
    parts = [cleaned([rows[place] for place in part]) for part in found.rows]
    assert whole.recordings_n == len(parts)
    assert whole.readings_n == sum(part.readings_n for part in parts)
    assert whole.gaps_n == sum(part.gaps_n for part in parts)
    assert whole.used_s == pytest.approx(sum(part.used_s for part in parts), abs=1e-9)
    assert whole.gap_s == pytest.approx(sum(part.gap_s for part in parts), abs=1e-9)
