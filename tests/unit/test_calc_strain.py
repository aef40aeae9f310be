"""Strain and rest: the edges of ranges and thresholds, the words, and what is refused."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from few import together

from wood_xl.body import strain
from wood_xl.body.strain import judged_strain, workload_class
from wood_xl.ids import Phrase, Strain, Workload
from wood_xl.reasons import Reason, said
from wood_xl.records import Sex
from wood_xl.schema.words import words

STATUS = "status of the formula's source: memory"


@pytest.mark.parametrize(("reserve", "hours"), [(0.15, 12.6957), (0.60, 1.4574)])
def test_ends_of_the_range_of_reserve_have_a_time(reserve: float, hours: float) -> None:
    # 26.12 exp(-4.81 x 0.15) and 26.12 exp(-4.81 x 0.60)
    found = strain.acceptable_work_min(reserve_frac=reserve)
    assert found.minutes == pytest.approx(hours * 60, rel=1e-4)
    assert words(found.basis) == STATUS


@pytest.mark.parametrize("reserve", [0.0, 0.149])
def test_below_the_range_of_reserve_no_time_is_modeled(reserve: float) -> None:
    found = strain.acceptable_work_min(reserve_frac=reserve)
    assert (found.minutes, words(found.basis)) == (None, "no time is modeled below a share of 15%")


@pytest.mark.parametrize(("reserve", "minutes"), [(0.601, 87.03), (0.9, 20.66), (1.0, 12.77)])
def test_above_the_range_of_reserve_the_time_goes_on_down(reserve: float, minutes: float) -> None:
    # 1567.2 exp(-4.81 x share)
    found = strain.acceptable_work_min(reserve_frac=reserve)
    assert found.minutes == pytest.approx(minutes, abs=0.01)
    assert words(found.basis) == f"{STATUS}, extrapolated above a share of 60%"


@together(("uptake", "hours"), [(0.285, 11.95), (0.31, 9.96), (0.34, 8.0), (0.435, 4.0), (0.50, 2.49)])
def test_time_by_uptake(uptake: float, hours: float) -> None:
    # 8 x 2 ** ((34 - share) / 9.5)
    found = strain.acceptable_work_by_uptake_min(uptake_frac=uptake)
    assert found.minutes == pytest.approx(hours * 60, abs=0.3)
    assert words(found.basis) == STATUS


def test_outside_the_range_of_uptake() -> None:
    below, above = (strain.acceptable_work_by_uptake_min(uptake_frac=share) for share in (0.284, 0.82))
    assert (below.minutes, words(below.basis)) == (None, "no time is modeled below a share of 28.5%")
    assert above.minutes == pytest.approx(14.5, abs=0.1)  # 480 x 2 ** ((34 - 82) / 9.5)
    assert words(above.basis) == f"{STATUS}, extrapolated above a share of 50%"


@together(
    ("reserve", "session_min", "highest", "expected"),
    [
        (0.40, 600, 0.849, Strain.BELOW_LEVELS),
        (0.40, 600, 0.85, Strain.VERY_HIGH),
        (0.41, 1, None, Strain.HIGH),
        (0.50, 241, None, Strain.HIGH),
        (0.51, 120, None, Strain.HIGH),
        (0.51, 121, None, Strain.VERY_HIGH),
        (0.60, 1, None, Strain.HIGH),
        (0.61, 1, None, Strain.VERY_HIGH),
        (0.10, 5, 0.85, Strain.VERY_HIGH),
        (0.10, 5, 1.02, Strain.VERY_HIGH),
        (Reason.NO_RESTING_RATE, 5, 0.85, Strain.VERY_HIGH),
        (Reason.NO_RESTING_RATE, 600, 0.849, Strain.NOT_KNOWN),
        (Reason.NO_RESTING_RATE, 600, None, Strain.NOT_KNOWN),
        (0.0, 0, None, Strain.BELOW_LEVELS),
    ],
)
def test_every_session_is_judged_by_its_levels(
    reserve: float | Reason, session_min: float, highest: float | None, expected: Strain
) -> None:
    judged = judged_strain(reserve_frac=reserve, session_min=session_min, highest_of_max_frac=highest)
    assert judged.strain is expected
    assert (judged.basis == said(Reason.NO_RESTING_RATE)) == (expected is Strain.NOT_KNOWN)


@together("workload", Workload)
def test_the_lowest_word_never_stands_beside_heavy_work(workload: Workload) -> None:
    classes = [Workload.LIGHT, workload]
    judged = judged_strain(reserve_frac=0.2, session_min=5, highest_of_max_frac=None, workload=classes)
    assert (judged.strain is Strain.HIGH) == ("heavy" in words(workload))
    unknown = judged_strain(
        reserve_frac=Reason.NO_HEART_RATE, session_min=5, highest_of_max_frac=None, workload=[workload]
    )
    assert unknown.strain is Strain.NOT_KNOWN


@pytest.mark.parametrize(
    ("sex", "starts"),
    [("male", (2.0, 5.0, 7.5, 10.0, 12.5)), ("female", (1.5, 3.5, 5.5, 7.5, 9.5))],
)
def test_each_class_begins_at_its_line(sex: Sex, starts: tuple[float, ...]) -> None:
    classes = list(Workload)
    for start, below, name in zip(starts, classes, classes[1:], strict=False):
        assert workload_class(kcal_per_min=start, sex=sex) == name
        assert workload_class(kcal_per_min=start - 0.01, sex=sex) == below


@together(
    ("seen", "worst"),
    [
        ([], Strain.NOT_KNOWN),
        ([Strain.NOT_KNOWN, Strain.BELOW_LEVELS], Strain.NOT_KNOWN),
        ([Strain.NOT_KNOWN, Strain.HIGH], Strain.NOT_KNOWN),
        ([Strain.VERY_HIGH, Strain.NOT_KNOWN, Strain.HIGH], Phrase.VERY_HIGH_WHERE_KNOWN),
        ([Strain.HIGH, Strain.VERY_HIGH, Strain.BELOW_LEVELS], Strain.VERY_HIGH),
        ([Strain.BELOW_LEVELS, Strain.HIGH], Strain.HIGH),
        ([Strain.BELOW_LEVELS], Strain.BELOW_LEVELS),
    ],
)
def test_not_known_is_the_worst_and_never_dropped(seen: list[Strain], worst: Strain | Phrase) -> None:
    assert strain.worst_strain(seen) is worst


def test_no_word_says_that_work_does_no_harm() -> None:
    told = [*Strain, Phrase.VERY_HIGH_WHERE_KNOWN, strain.acceptable_work_min(reserve_frac=0.3).basis]
    assert not re.search("safe|allow|accept|not flagged|no risk|more than", " ".join(words(one) for one in told))


@pytest.mark.parametrize(("sex", "standard"), [("male", 5), ("female", 4), (None, 4)])
def test_standard_that_is_not_known_is_the_lower_one(sex: Sex | None, standard: float) -> None:
    assert strain.rest_standard_kcal_per_min(sex=sex) == standard


def test_no_rest_up_to_the_standard() -> None:
    for work in (1.0, 1.5, 4.9, 5.0):
        given = {"work_kcal_per_min": work, "standard_kcal_per_min": 5}
        assert strain.rest_in_total_min(total_min=60, **given) == 0


def test_rest_with_another_energy_in_the_pauses() -> None:
    given = {"work_kcal_per_min": 8, "standard_kcal_per_min": 5, "resting_kcal_per_min": 2}
    assert strain.rest_in_total_min(total_min=60, **given) == pytest.approx(30)


RATES = {"heart_rate_bpm": 110.0, "resting_bpm": 60.0, "max_bpm": 180.0}
ENERGY = {"work_kcal_per_min": 8.0, "standard_kcal_per_min": 5.0}


@together(
    ("call", "message"),
    [
        (lambda: strain.heart_rate_reserve_frac(**RATES | {"resting_bpm": 110}), "heart_rate_above_rest_bpm is 0"),
        (lambda: strain.heart_rate_reserve_frac(**RATES | {"max_bpm": 105}), "max_above_heart_rate_bpm is -5"),
        (lambda: strain.heart_rate_reserve_frac(**RATES | {"resting_bpm": 0}), "resting_bpm is 0"),
    ],
)
def test_impossible_number_is_named(call: Callable[[], object], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        call()
