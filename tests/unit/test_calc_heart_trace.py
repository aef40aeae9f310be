"""Heart trace: what is left out, where it is parted, and closed forms of its sums."""

from __future__ import annotations

import random
import tracemalloc
from functools import partial
from itertools import pairwise

import pytest
from few import together

from wood_xl.body.effort_equations import heart_rate_kcal_per_min, keytel_kcal_per_min
from wood_xl.body.heart_cleaning import CleanTrace, Segment, clean_recordings, clean_trace, recordings, spikes
from wood_xl.body.heart_trace import trace_kcal, trace_summary

MAN = partial(keytel_kcal_per_min, mass_kg=80, age_years=45, sex="male")


def equation(heart_rate_bpm: float) -> float:
    return MAN(heart_rate_bpm=heart_rate_bpm)


def test_rows_are_put_in_order() -> None:
    trace = clean_trace([10, 0, 5, 20, 15], [102, 100, 101, 104, 103])
    assert trace.segments == (Segment((0, 5, 10, 15, 20), (100, 101, 102, 103, 104)),)
    assert trace.out_of_order_n == 2
    assert (trace.readings_n, trace.used_s, trace.gaps_n, trace.gap_s) == (5, 20, 0, 0)


def test_zero_readings_go_and_a_short_loss_is_bridged() -> None:
    trace = clean_trace([0, 1, 2, 3, 4], [100, 0, 0, 0, 104])
    assert trace == CleanTrace((Segment((0, 4), (100, 104)),), 3, 0, 0)
    assert trace_summary(trace).mean_bpm == 102


def test_a_long_loss_is_a_gap() -> None:
    seconds = list(range(31))
    trace = clean_trace(seconds, [0 if 5 < second < 25 else 100 for second in seconds])
    assert (trace.dropped_zero_n, trace.gaps_n, trace.gap_s, trace.used_s) == (19, 1, 20, 10)
    assert [segment.elapsed_s for segment in trace.segments] == [(0, 1, 2, 3, 4, 5), (25, 26, 27, 28, 29, 30)]


def test_rows_of_one_time_become_the_mean_of_their_different_rates() -> None:
    trace = clean_trace([0, 5, 5, 5, 10], [100, 120, 110, 110, 100])
    assert trace == CleanTrace((Segment((0, 5, 10), (100, 115, 100)),), 0, 2, 0)


def test_a_zero_is_not_averaged_with_readings_of_the_same_time() -> None:
    trace = clean_trace([0, 5, 5], [100, 0, 120])
    assert trace == CleanTrace((Segment((0, 5), (100, 120)),), 1, 0, 0)


def test_same_rows_pasted_twice_change_nothing_but_the_counts() -> None:
    times, rates = [0, 5, 10, 40, 45], [100, 105, 103, 120, 118]
    once, twice = clean_trace(times, rates), clean_trace(times * 2, rates * 2)
    assert twice.segments == once.segments
    assert (twice.dropped_duplicate_n, twice.out_of_order_n) == (5, 1)


@pytest.mark.parametrize(("step", "gaps"), [(9.99, 0), (10, 0), (10.001, 1), (60, 1)])
def test_only_a_step_over_the_limit_is_a_gap(step: float, gaps: int) -> None:
    assert clean_trace([0, step], [100, 100]).gaps_n == gaps


def test_rounding_of_times_makes_no_gap() -> None:
    from_minutes = [60 * (tens / 6) for tens in range(5000)]
    assert max(after - before for before, after in pairwise(from_minutes)) > 10
    assert clean_trace(from_minutes, [100] * 5000).gaps_n == 0


@pytest.mark.parametrize("rates", [[], [0, 0, 0]])
def test_nothing_left_gives_nothing(rates: list[float]) -> None:
    trace = clean_trace(range(len(rates)), rates)
    summary = trace_summary(trace, thresholds_bpm=[100], max_bpm=180)
    assert (trace.segments, trace.dropped_zero_n, trace.readings_n) == ((), len(rates), 0)
    assert (summary.mean_bpm, trace.highest_bpm) == (None, None)
    assert (trace.used_s, trace.gaps_n, trace.gap_s, summary.longest_high_spell_s) == (0, 0, 0, 0)
    assert summary.times_above_s == (0,)
    assert trace_kcal(trace, equation) == (0, 0)


@together(
    ("cadence", "step", "gaps"),
    [(1, 10, 0), (1, 11, 1), (5, 15, 0), (5, 16, 1), (15, 45, 0), (15, 46, 1), (60, 180, 0), (60, 181, 1)],
)
def test_a_slow_monitor_has_longer_steps(cadence: int, step: int, gaps: int) -> None:
    before = [cadence * i for i in range(10)]
    times = [*before, *(before[-1] + step + cadence * i for i in range(10))]
    trace = clean_trace(times, [120] * 20)
    assert (trace.cadence_s, trace.gaps_n, trace.gap_s) == (cadence, gaps, step * gaps)
    assert trace_kcal(trace, equation).kcal == pytest.approx(trace.used_s / 60 * equation(120), rel=1e-12)


def test_irregular_steps_give_the_closed_form() -> None:
    """90 to 150 beats/min on a straight line, read at steps of 1 to 8 s: through the effort equation as well."""
    scatter = random.Random(2)  # noqa: S311  # the trace must be the same each time, not secret
    times = [0.0]
    while times[-1] < 600:
        times.append(min(600.0, times[-1] + scatter.uniform(1, 8)))
    trace = clean_trace(times, [90 + 0.1 * time for time in times])
    summary = trace_summary(trace, thresholds_bpm=[90, 102.25, 150], max_bpm=160)
    assert summary.mean_bpm == pytest.approx(120, rel=1e-12)
    assert summary.times_above_s == pytest.approx([600, 477.5, 0], rel=1e-12)
    assert summary.longest_high_spell_s == pytest.approx((150 - 136) / 0.1, rel=1e-12)
    assert trace_kcal(trace, equation).kcal == pytest.approx(10 * equation(120), rel=1e-12)


def test_impossible_heart_rates_are_dropped_like_lost_beats() -> None:
    trace = clean_trace(range(8), [100, 39, 40, 240, 220, 221, 0, 100])
    assert trace.segments == (Segment((0, 2, 4, 7), (100, 40, 220, 100)),)
    assert (trace.dropped_odd_n, trace.dropped_zero_n) == (3, 1)


def test_two_recordings_follow_each_other() -> None:
    times = [*range(1800), *range(900)]
    rates = [100] * 1800 + [130] * 900
    trace = clean_recordings(times, rates)
    summary = trace_summary(trace)
    assert (trace.recordings_n, trace.gaps_n, trace.gap_s, trace.readings_n) == (2, 0, 0, 2700)
    assert (trace.used_s, trace.last_s) == (1799 + 899, 1799 + 899)
    assert summary.mean_bpm == pytest.approx((1799 * 100 + 899 * 130) / 2698, rel=1e-12)
    assert trace_kcal(trace, equation).kcal == pytest.approx(
        (1799 * equation(100) + 899 * equation(130)) / 60, rel=1e-12
    )


@together(
    ("times", "recordings_n", "doubles_n"),
    [
        ([*range(600), *range(600)], 1, 600),  # pasted twice
        ([*range(600, 1200), *range(600)], 1, 0),  # pasted in another order
        ([*range(600, 0, -1)], 1, 0),  # newest first
        ([*range(600), *range(560, 700)], 1, 40),  # a few rows again
        ([*range(600), *range(500, 700)], 1, 100),
    ],
)
def test_same_rows_or_other_times_are_one_recording(times: list[int], recordings_n: int, doubles_n: int) -> None:
    trace = clean_recordings(times, [90 + time % 37 for time in times])
    assert (trace.recordings_n, trace.dropped_duplicate_n, trace.gaps_n) == (recordings_n, doubles_n, 0)


@pytest.mark.parametrize("anew", [range(0, 290, 10), range(700, 900, 10)])
def test_a_recording_pasted_in_parts_is_covered_in_full(anew: range) -> None:
    times = [*range(300, 700, 10), *range(0, 500, 10), *range(400, 900, 10), *anew]
    trace = clean_recordings(times, [100 if at < 140 else 120 for at in range(len(times))])
    assert (trace.recordings_n, trace.readings_n) == (2, 90 + len(anew))


def test_rows_in_no_order_are_put_in_order() -> None:
    scatter = random.Random(3)  # noqa: S311
    times = list(range(0, 2000, 2))
    scatter.shuffle(times)
    found = recordings(times, [100 + time % 50 for time in times])
    assert len(found.falls) > 100
    assert len(found.rows) == 1


def test_splitting_takes_a_single_pass() -> None:
    """Many stretches of other times, newest first: each row is looked at once, not once for each stretch."""
    times = [time for start in range(400_000, 0, -100) for time in range(start, start + 100, 5)]
    found = recordings(times, [100.0] * len(times))
    assert (len(found.rows), len(found.falls)) == (1, 3999)


@together(
    ("times", "rates", "found"),
    [
        ([0, 1, 2, 3, 4], [100, 100, 140, 100, 100], (2, 1)),
        ([0, 1, 2, 3, 4], [100, 100, 60, 100, 100], (2, 1)),
        ([0, 1, 2, 3, 4], [100, 100, 130, 100, 100], None),
        ([0, 1, 2, 3, 4], [100, 100, 140, 140, 100], None),
        ([0, 1, 2, 3, 4], [100, 0, 140, 0, 100], None),
        ([0, 5, 10, 15, 20], [100, 100, 140, 100, 100], (2, 1)),
        ([0, 6, 12, 18, 24], [100, 100, 140, 100, 100], None),
        ([0, 1, 2, 3, 4, 5, 6], [100, 140, 100, 100, 100, 50, 100], (1, 2)),
    ],
)
def test_spikes(times: list[int], rates: list[int], found: tuple[int, int] | None) -> None:
    assert spikes(times, rates) == found


def test_readings_that_stand_alone_have_no_time() -> None:
    trace = clean_trace([0, 60, 120], [100, 170, 100])
    summary = trace_summary(trace)
    assert (trace.readings_n, trace.gaps_n, trace.gap_s, trace.used_s) == (3, 2, 120, 0)
    assert (summary.mean_bpm, trace.highest_bpm, summary.longest_high_spell_s) == (None, 170, None)


def test_constant_trace() -> None:
    trace = clean_trace(range(0, 3605, 5), [120] * 721)
    summary = trace_summary(trace, thresholds_bpm=[119, 120, 121], max_bpm=140)
    assert (trace.readings_n, trace.used_s, summary.mean_bpm, trace.highest_bpm) == (721, 3600, 120, 120)
    assert summary.times_above_s == (3600, 0, 0)
    assert summary.longest_high_spell_s == 3600
    # One hour at 120 beats/min: 653.80 kcal, as the equation gives for a mean heart rate.
    assert trace_kcal(trace, equation).kcal == pytest.approx(653.80, abs=0.005)


def test_uneven_steps_weigh_by_their_time() -> None:
    trace = clean_trace([0, 1, 10], [100, 100, 140])
    # (1 x 100 + 9 x 120)/10
    assert trace_summary(trace).mean_bpm == 118


def test_square_law_by_the_trapezoidal_rule() -> None:
    # Steps of h over t^2 from 0 to n h: n^3 h^3/3 + n h^3/6, the known excess of the rule.
    trace = clean_trace([0, 2, 4, 6], [101, 103, 105, 107])
    found = trace_kcal(trace, lambda rate: (rate - 101) ** 2)
    assert found.kcal == pytest.approx((6**3 / 3 + 6 * 2**2 / 6) / 60, rel=1e-12)


def test_gaps_are_left_out_of_the_energy_and_reported() -> None:
    trace = clean_trace([0, 10, 100, 110, 120], [120, 120, 180, 120, 120])
    found = trace_kcal(trace, equation)
    assert (found.used_s, trace.used_s, trace.gaps_n, trace.gap_s) == (30, 30, 1, 90)
    assert found.kcal == pytest.approx((20 * equation(120) + 10 * equation(150)) / 60, rel=1e-12)


def test_readings_without_energy_are_left_out_and_reported() -> None:
    bridged = partial(
        heart_rate_kcal_per_min,
        resting_bpm=None,
        max_bpm=176.5,
        mass_kg=80,
        age_years=45,
        sex="male",
        resting_kcal_per_min=1.1753,
    )
    trace = clean_trace([0, 10, 20, 30], [120, 120, 80, 120])
    found = trace_kcal(trace, lambda rate: bridged(heart_rate_bpm=rate))
    assert (found.used_s, trace.used_s) == (10, 30)
    assert found.kcal == pytest.approx(10 / 60 * equation(120), rel=1e-12)


def test_spell_ends_at_a_gap_and_at_a_reading_that_is_not_above() -> None:
    # 85 % of 200 is 170
    def spell(times: list[float], rates: list[float]) -> float | None:
        return trace_summary(clean_trace(times, rates), max_bpm=200).longest_high_spell_s

    assert spell([0, 10, 20, 30], [180, 180, 180, 180]) == 30
    assert spell([0, 10, 30, 40, 50], [180, 180, 180, 180, 180]) == 20
    assert spell([0, 10, 20, 30, 40, 50], [180, 180, 170, 180, 180, 180]) == 30
    assert spell([0, 10, 20], [160, 180, 160]) == 10
    assert spell([0, 10, 20], [170, 170, 160]) == 0


def test_equation_is_asked_once_for_each_different_rate() -> None:
    asked: list[float] = []

    def counted(rate: float) -> float:
        asked.append(rate)
        return equation(rate)

    trace_kcal(clean_trace(range(10000), [100 + second % 60 for second in range(10000)]), counted)
    assert sorted(asked) == list(range(100, 160))


def test_memory_grows_with_the_rows_and_stays_small() -> None:
    def peak_bytes(rows_n: int) -> int:
        scatter = random.Random(1)  # noqa: S311  # the trace must be the same each time, not secret
        times = [float(second) for second in range(rows_n)]
        rates = [scatter.uniform(90, 160) for _ in times]
        scatter.shuffle(times)
        tracemalloc.start()
        trace = clean_trace(times, rates)
        trace_summary(trace, thresholds_bpm=[100, 120], max_bpm=180)
        trace_kcal(trace, lambda rate: 0.1 * rate)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return peak

    few, many = peak_bytes(5000), peak_bytes(20000)
    assert many < 6 * few
    assert many / 20000 < 400  # 500,000 rows in less than 200 MiB


def test_a_gap_takes_no_part_in_the_mean() -> None:
    # 10 s at 100 and 10 s at 120, with 80 s between them of which nothing is known
    assert trace_summary(clean_trace([0, 5, 10, 90, 95, 100], [100, 100, 100, 120, 120, 120])).mean_bpm == 110
