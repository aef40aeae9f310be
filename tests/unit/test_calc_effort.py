"""Effort of a worker: which basis is the headline, what is said about it, and what is refused."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from wood_xl.body import effort_equations
from wood_xl.body.effort import Method, WorkerEffort, worker_effort
from wood_xl.records import Person, Worker
from wood_xl.schema.words import words

MAN = Person(name="A", age_years=40, equation_sex="male", mass_kg=80, height_cm=178, resting_bpm=60, max_bpm=180)
WORKER = Worker(person="A", time_min=60, mean_heart_rate_bpm=120, monitor_kcal=500)


def effort(worker: Worker = WORKER, person: Person | None = MAN, **changes: Any) -> WorkerEffort:
    return worker_effort(worker, person, **{"task": "split", "powered": False, "delay_frac": 0.0} | changes)


def test_heart_rate_comes_first_and_all_bases_stand_beside_it() -> None:
    found = effort()
    # -55.0969 + 75.708 + 15.904 + 8.068 = 44.5831 kJ/min
    assert found.kcal_gross == found.kcal_by["heart rate"].value == pytest.approx(60 * 44.5831 / 4.184)
    # rest: (800 + 1112.5 - 200 + 5)/1440 = 1.192708 kcal/min
    assert found.kcal_net == pytest.approx(found.kcal_gross - 60 * 1717.5 / 1440)
    assert found.kcal_by["monitor"].value == 500
    assert found.kcal_by["table"].value == pytest.approx(6.5 * 80)
    assert (found.method, found.minutes) == ("heart rate", 60)
    # no device is stated, so that it counts as one on the wrist: 8 beats/min on a slope of 0.6309 kJ/min
    assert found.u_frac == pytest.approx(math.hypot(0.25, 0.6309 * 8 / 44.5831))
    assert (found.kcal_by["heart rate and VO2max"].value, found.kcal_by["reserve"].value) == (None, None)
    assert found.spread_frac == pytest.approx((found.kcal_gross - 500) / found.kcal_gross)
    assert words(found.basis) == "heart-rate equation; rest from mass, height and age"


def test_vo2max_comes_before_all_and_the_reserve_stands_beside_it() -> None:
    fit = replace(MAN, vo2max_ml_kg_min=35, heart_rate_device="chest strap")
    found = effort(person=fit)
    # -95.7735 + 0.634 x 120 + 0.404 x 35 + 0.394 x 80 + 0.271 x 40 = 36.8065 kJ/min
    assert found.kcal_gross == found.kcal_by["heart rate and VO2max"].value == pytest.approx(60 * 36.8065 / 4.184)
    # half of the reserve: (3.5 + 0.5 x 31.5) mL/kg/min x 80 kg x 4.88 kcal/L
    assert found.kcal_by["reserve"].value == pytest.approx(60 * 19.25 * 80 / 1000 * 4.88)
    assert found.kcal_by["heart rate"].value == effort().kcal_gross
    assert found.method == "heart rate and VO2max"
    assert found.u_frac == pytest.approx(math.hypot(0.18, 0.634 * 2 / 36.8065))
    assert words(found.basis) == "heart-rate equation with VO2max; rest from mass, height and age"


@pytest.mark.parametrize(
    ("device", "u_bpm"), [("chest strap", 2), ("arm band", 4), ("wrist", 8), ("finger count", 2.3), (None, 8)]
)
def test_device_widens_the_uncertainty(device: str | None, u_bpm: float) -> None:
    found = effort(person=replace(MAN, heart_rate_device=device))
    assert found.u_frac == pytest.approx(math.hypot(0.25, 0.6309 * u_bpm / 44.5831))
    assert ("reads low" in words(found.basis)) == (device == "finger count")


@pytest.mark.parametrize("changes", [{"resting_bpm": None}, {"vo2max_ml_kg_min": 3.5}, {"resting_bpm": 120}])
def test_reserve_needs_a_reserve(changes: dict[str, float | None]) -> None:
    assert effort(person=replace(MAN, **{"vo2max_ml_kg_min": 35, **changes})).kcal_by["reserve"].value is None


def test_monitor_stands_in_without_a_heart_rate() -> None:
    found = effort(replace(WORKER, mean_heart_rate_bpm=None))
    assert (found.method, found.kcal_gross, found.kcal_by["heart rate"].value, found.u_frac) == (
        "monitor",
        500,
        None,
        0.30,
    )
    assert found.kcal_net == pytest.approx(500 - 60 * 1717.5 / 1440)
    assert words(found.basis) == "figure shown by the monitor; rest from mass, height and age; no heart rate given"


@pytest.mark.parametrize(
    ("worker", "person", "basis", "reason"),
    [
        (WORKER, replace(MAN, mass_kg=None), "heart rate", "no body mass"),
        (replace(WORKER, mean_heart_rate_bpm=None), MAN, "heart rate", "no heart rate"),
        (WORKER, MAN, "heart rate and VO2max", "no VO2max"),
        (WORKER, MAN, "reserve", "no VO2max"),
        (WORKER, replace(MAN, vo2max_ml_kg_min=35, resting_bpm=None), "reserve", "no resting rate"),
        (WORKER, replace(MAN, vo2max_ml_kg_min=35, max_bpm=120), "reserve", "rate not between rest and highest"),
        (WORKER, replace(MAN, vo2max_ml_kg_min=3.5), "reserve", "VO2max not above rest"),
        (WORKER, replace(MAN, age_years=None), "heart rate", "no age"),
        (replace(WORKER, mean_heart_rate_bpm=90), replace(MAN, resting_bpm=None), "heart rate", "heart rate too low"),
        (replace(WORKER, monitor_kcal=None), MAN, "monitor", "none written"),
        (replace(WORKER, monitor_kcal=71), MAN, "monitor", "written, but below energy at rest"),
    ],
)
def test_each_basis_that_is_missing_says_why(worker: Worker, person: Person, basis: Method, reason: str) -> None:
    found = effort(worker, person).kcal_by[basis]
    assert (found.value, words(found.reason)) == (None, reason)


def test_medicine_leaves_no_basis_but_the_table() -> None:
    known = replace(MAN, vo2max_ml_kg_min=35, heart_rate_limited=True)
    found = effort(person=known)
    reasons = {basis: words(kcal.reason) for basis, kcal in found.kcal_by.items() if kcal.value is None}
    assert set(reasons) == {"heart rate and VO2max", "reserve", "heart rate", "monitor"}
    assert set(reasons.values()) == {"a medicine limits the heart rate"}
    assert found.spread_frac is None


def test_table_stands_in_without_any_monitor() -> None:
    found = effort(replace(WORKER, mean_heart_rate_bpm=None, monitor_kcal=None), delay_frac=0.25)
    # 80 kg x (6.5 x 45 + 1.3 x 15)/60; net with 1 taken off each
    assert found.kcal_gross == found.kcal_by["table"].value == pytest.approx(416.0)
    assert found.kcal_net == pytest.approx(336.0)
    assert (found.method, found.u_frac, found.activity.code) == ("table", 0.30, "08020")
    assert words(found.basis) == (
        "activity table, 08020 split wood with an axe or maul, vigorous; no heart rate given; no monitor figure given"
    )


def test_worker_without_a_name_is_the_reference_worker() -> None:
    found = effort(replace(WORKER, mean_heart_rate_bpm=None, monitor_kcal=None), None)
    assert found.kcal_gross == pytest.approx(6.5 * 65)
    assert "no body mass given, reference worker of 65 kg" in words(found.basis)


def test_neighbour_code_is_said() -> None:
    found = effort(Worker(person="A", time_min=30), powered=True)
    assert found.activity.code == "11615"
    assert "no code exists for a mechanical splitter" in words(found.basis)


def test_medicine_rules_out_heart_rate_and_monitor() -> None:
    found = effort(person=replace(MAN, heart_rate_limited=True))
    assert (found.method, found.kcal_by["heart rate"].value, found.kcal_by["monitor"].value) == ("table", None, None)
    assert "heart rate not used: a medicine limits it" in words(found.basis)
    assert "monitor figure not used: it rests on the heart rate, which a medicine limits" in words(found.basis)


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"mass_kg": None}, "no body mass given"),
        ({"age_years": None}, "no age given"),
        ({"mass_kg": None, "age_years": None}, "no body mass and age given"),
    ],
)
def test_missing_body_data_fall_back_to_the_monitor(changes: dict[str, None], why: str) -> None:
    found = effort(person=replace(MAN, **changes))
    assert found.method == "monitor"
    assert f"heart rate not used: {why}" in words(found.basis)


def test_low_heart_rate_needs_a_resting_rate() -> None:
    low = replace(WORKER, mean_heart_rate_bpm=90)
    bridged = effort(low)
    assert bridged.method == "heart rate"
    assert "low heart rate, taken on a straight line to rest" in words(bridged.basis)
    without = effort(low, replace(MAN, resting_bpm=None))
    assert without.method == "monitor"
    assert "below 57 % of the highest rate, and no resting rate is given" in words(without.basis)


def test_highest_rate_by_age_where_none_was_measured() -> None:
    # 208 - 0.7 x 40 = 180, as measured
    assert effort(person=replace(MAN, max_bpm=None)).kcal_gross == pytest.approx(effort().kcal_gross)


@pytest.mark.parametrize(
    ("worker", "person", "why"),
    [
        (WORKER, replace(MAN, age_years=62), "age outside 18 to 45 years, for which the equation was made"),
        (WORKER, replace(MAN, mass_kg=130), "mass outside 47 to 120 kg, for which the equation was made"),
        (
            replace(WORKER, mean_heart_rate_bpm=170),
            MAN,
            "heart rate above those for which the equation was made",
        ),
        (WORKER, replace(MAN, height_cm=None), "rest taken as 1 kcal per kg and hour"),
        (WORKER, replace(MAN, equation_sex=None), "mean of the equations for women and men"),
    ],
)
def test_what_stretches_the_equation_is_said(worker: Worker, person: Person, why: str) -> None:
    found = effort(worker, person)
    assert found.method == "heart rate"
    assert why in words(found.basis)


@pytest.mark.parametrize("changes", [{"age_years": 18}, {"age_years": 45}, {"mass_kg": 47}, {"mass_kg": 120}])
def test_ends_of_the_trials_are_inside(changes: dict[str, float]) -> None:
    assert "outside" not in words(effort(person=replace(MAN, **changes)).basis)


def test_sex_not_stated_takes_the_mean_and_widens_the_uncertainty() -> None:
    both = effort(person=replace(MAN, equation_sex=None))
    male, female = effort(), effort(person=replace(MAN, equation_sex="female"))
    assert both.kcal_gross == pytest.approx((male.kcal_gross + female.kcal_gross) / 2)
    u_of_sex = (male.kcal_gross - female.kcal_gross) / 2 / 3**0.5 / both.kcal_gross
    slope = (0.6309 + 0.4472) / 2 / 4.184 * 60 / both.kcal_gross
    assert both.u_frac == pytest.approx(math.hypot(0.25, u_of_sex, 8 * slope))
    # rest: mean of + 5 and - 161 is - 78
    assert both.kcal_net == pytest.approx(both.kcal_gross - 60 * (800 + 1112.5 - 200 - 78) / 1440)


def test_monitor_figure_below_rest_is_not_used() -> None:
    # rest is 71.6 kcal in that hour
    found = effort(replace(WORKER, mean_heart_rate_bpm=None, monitor_kcal=71))
    assert (found.method, found.kcal_by["monitor"].value) == ("table", None)
    assert effort(replace(WORKER, mean_heart_rate_bpm=None, monitor_kcal=72)).method == "monitor"
    assert "it is below energy at rest" in words(found.basis)


def test_monitor_without_body_mass_rests_as_the_reference_worker() -> None:
    found = effort(replace(WORKER, mean_heart_rate_bpm=None), None)
    assert found.kcal_net == pytest.approx(500 - 65)
    assert "reference worker of 65 kg" in words(found.basis)


def test_equation_is_not_let_below_rest() -> None:
    # A woman of 250 kg: the equation's negative mass term would take her below zero at 57 % of the highest rate.
    heavy = {"max_bpm": 176.5, "mass_kg": 250, "age_years": 45, "sex": "female", "resting_kcal_per_min": 1.8}
    given = effort_equations.heart_rate_kcal_per_min(heart_rate_bpm=101, resting_bpm=60, **heavy)
    assert given == 1.8


def test_resting_rate_above_the_bridge_leaves_no_gap() -> None:
    body = {"max_bpm": 150, "mass_kg": 80, "age_years": 83, "sex": "male", "resting_kcal_per_min": 1.0}
    at_rest = effort_equations.heart_rate_kcal_per_min(heart_rate_bpm=88, resting_bpm=90, **body)
    above = effort_equations.heart_rate_kcal_per_min(heart_rate_bpm=91, resting_bpm=90, **body)
    assert at_rest == 1.0
    assert above == pytest.approx(
        effort_equations.keytel_kcal_per_min(heart_rate_bpm=91, mass_kg=80, age_years=83, sex="male")
    )


def test_resting_equation_that_gives_nothing_is_not_used() -> None:
    # 10 x 30 + 6.25 x 100 - 5 x 160 - 161 is below 0
    rest = effort_equations.resting_kcal_per_min(mass_kg=30, height_cm=100, age_years=160, sex="female")
    assert (rest.kcal_per_min, words(rest.basis)) == (0.5, "rest taken as 1 kcal per kg and hour")


@pytest.mark.parametrize(
    ("call", "match"),
    [
        (lambda: effort(delay_frac=1.5), "delay_frac is 1.5"),
        (lambda: effort(replace(WORKER, time_min=-1)), "time_min is -1"),
        (lambda: effort_equations.max_heart_rate_bpm(0), "age_years is 0"),
        (
            lambda: effort_equations.keytel_kcal_per_min(heart_rate_bpm=0, mass_kg=1, age_years=1, sex=None),
            "heart_rate_bpm is 0",
        ),
        (
            lambda: effort_equations.activity_kcal(met=5, mass_kg=80, active_min=-1, delay_min=0, standing_met=1.3),
            "active_min is -1",
        ),
    ],
)
def test_impossible_number_is_named(call: Any, match: str) -> None:
    with pytest.raises(ValueError, match=match):
        call()
