"""Effort of a worker: which basis is the headline, what is said about it, and what is refused."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from few import together

from wood_xl.body import effort_equations
from wood_xl.body.effort import Headline, Method, WorkerEffort, worker_effort
from wood_xl.body.effort_equations import vo2max_by_age
from wood_xl.draws.ensemble import WORLDS
from wood_xl.draws.normal import Array
from wood_xl.hours.common import energy_in_common
from wood_xl.hours.methods import basis_of_parts
from wood_xl.records import Person, Worker
from wood_xl.schema.words import words

MAN = Person(name="A", age_years=40, equation_sex="male", mass_kg=80, height_cm=178, resting_bpm=60, max_bpm=180)
WORKER = Worker(person="A", time_min=60, mean_heart_rate_bpm=120, monitor_kcal=500)


def effort(worker: Worker = WORKER, person: Person | None = MAN, **changes: Any) -> WorkerEffort:
    return worker_effort(worker, person, **{"task": "split", "powered": False, "delay_frac": 0.0} | changes)


def test_the_reserve_with_vo2max_by_age_comes_before_the_equation_without_vo2max() -> None:
    found = effort()
    # 54.4 - 0.35 x 15 = 49.15 mL/kg/min; at half the reserve 3.5 + 0.5 x 45.65 = 26.325; 80 kg, 4.88 kcal/L, 60 min
    assert found.kcal_gross == found.kcal_by["reserve"].value == pytest.approx(616.6368)
    # rest: (800 + 1112.5 - 200 + 5)/1440 = 1.192708 kcal/min
    assert found.kcal_net == pytest.approx(found.kcal_gross - 60 * 1717.5 / 1440)
    # -55.0969 + 75.708 + 15.904 + 8.068 = 44.5831 kJ/min
    assert found.kcal_by["heart rate"].value == pytest.approx(60 * 44.5831 / 4.184)
    assert found.kcal_by["monitor"].value == 500
    assert found.kcal_by["table"].value == pytest.approx(6.5 * 80)
    assert found.kcal_by["heart rate and VO2max"].value is None
    assert found.method == "reserve"
    assert found.spread_frac == pytest.approx((60 * 44.5831 / 4.184 - 500) / 616.6368)
    assert words(found.basis) == (
        "heart-rate reserve; VO2max by age, 49 mL/kg/min, of fit people: whoever is less fit spends less; "
        "rest from mass, height and age"
    )


def test_a_written_vo2max_makes_the_equation_the_headline() -> None:
    fit = replace(MAN, vo2max_ml_kg_min=35, heart_rate_device="chest strap")
    found = effort(person=fit)
    # -95.7735 + 0.634 x 120 + 0.404 x 35 + 0.394 x 80 + 0.271 x 40 = 36.8065 kJ/min, 527.8178 kcal
    assert found.kcal_gross == found.kcal_by["heart rate and VO2max"].value == pytest.approx(60 * 36.8065 / 4.184)
    # half of the reserve: (3.5 + 0.5 x 31.5) mL/kg/min x 80 kg x 4.88 kcal/L, 450.912 kcal
    assert found.kcal_by["reserve"].value == pytest.approx(60 * 19.25 * 80 / 1000 * 4.88)
    assert found.kcal_by["heart rate"].value == effort().kcal_by["heart rate"].value
    assert found.method == "heart rate and VO2max"
    assert found.u_basis_frac == pytest.approx(math.hypot(0.18, 0.634 * 2 / 36.8065))
    # The reserve lies farther off than the table: ln(450.912 / 527.8179) = -0.157479. The equation without VO2max,
    # 639 kcal, lies farther still, and does not count.
    assert found.u_disagreement_frac == pytest.approx(0.577 * 0.157479, rel=1e-5)
    assert words(found.basis) == "heart-rate equation with VO2max; rest from mass, height and age"


STRAPPED = replace(MAN, max_bpm=None, heart_rate_device="chest strap")
NO_RATE = replace(WORKER, mean_heart_rate_bpm=None, monitor_kcal=None)


@together(
    ("changes", "worker", "method", "kcal", "u_basis", "u_disagreement"),
    [
        # highest rate 208 - 21 = 187, share of reserve 60/127 = 0.472441; table 6.5 x 80 = 520 kcal in all
        # -95.7735 + 76.08 + 18.18 + 31.52 + 8.13 = 38.1365 kJ/min; reserve 541.24 kcal; 0.577 x |ln(520 / 546.8905)|
        pytest.param(
            {"age_years": 30, "vo2max_ml_kg_min": 45}, WORKER, "heart rate and VO2max", 546.8905,
            math.hypot(0.18, 0.634 * 2 / 38.1365), 0.577 * 0.050419, id="30, with VO2max",
        ),
        # VO2max 54.4 - 1.75 = 52.65, uptake 3.5 + 0.472441 x 49.15 = 26.72047; equation 610.41; ln(520 / 625.9003)
        pytest.param(
            {"age_years": 30}, WORKER, "reserve", 625.9003,
            math.hypot(0.18, 0.472441 * 8 / 26.72047, 2 * 49.15 / 127 / 26.72047), 0.577 * 0.185371,
            id="30, without VO2max",
        ),
        # highest rate 208 - 42 = 166, share 60/106 = 0.566038; VO2max 54.4 - 12.25 = 42.15, uptake 25.37736
        # equation 697.185 kcal lies farther off than the table: ln(697.185 / 594.4392) = 0.159432
        pytest.param(
            {"age_years": 60}, WORKER, "reserve", 594.4392,
            math.hypot(0.18, 0.566038 * 8 / 25.37736, 2 * 38.65 / 106 / 25.37736), 0.577 * 0.159432,
            id="60, without VO2max",
        ),
        # -95.7735 + 76.08 + 14.14 + 31.52 + 16.26 = 42.2265 kJ/min; reserve 499.6383 kcal: ln(499.6383 / 605.5426)
        pytest.param(
            {"age_years": 60, "vo2max_ml_kg_min": 35}, WORKER, "heart rate and VO2max", 605.5426,
            math.hypot(0.18, 0.634 * 2 / 42.2265), 0.577 * 0.192248, id="60, with VO2max",
        ),
        # -55.0969 + 75.708 + 15.904 + 12.102 = 48.6171 kJ/min; ln(520 / 697.1859) = -0.293229
        pytest.param(
            {"age_years": 60, "resting_bpm": None}, WORKER, "heart rate", 697.1859,
            math.hypot(0.25, 0.6309 * 2 / 48.6171), 0.577 * 0.293229, id="60, without a resting rate",
        ),
        pytest.param({"heart_rate_limited": True}, WORKER, "table", 520, 0.30, 0, id="medicine"),
        pytest.param({}, NO_RATE, "table", 520, 0.30, 0, id="no heart rate"),
    ],
)  # fmt: skip
def test_headline_and_doubt_of_each_kind_of_person(
    changes: dict[str, Any], worker: Worker, method: str, kcal: float, u_basis: float, u_disagreement: float
) -> None:
    found = effort(worker, replace(STRAPPED, **changes))
    assert found.method == method
    assert found.kcal_gross == pytest.approx(kcal, rel=1e-6)
    assert found.u_basis_frac == pytest.approx(u_basis, rel=1e-5)
    assert found.u_disagreement_frac == pytest.approx(u_disagreement, rel=1e-4)
    assert found.u_frac == pytest.approx(math.hypot(u_basis, u_disagreement), rel=1e-4)


TRAINED, OUTSIDE = "it assumes a trained person, and reads high for others", "age outside 18 to 45 years"
FIT = "of fit people: whoever is less fit spends less"


@together(
    ("changes", "method", "warned"),
    [
        ({"age_years": 30, "vo2max_ml_kg_min": 45}, "heart rate and VO2max", set()),
        ({"age_years": 30}, "reserve", {FIT}),
        ({"age_years": 60}, "reserve", {FIT}),
        ({"age_years": 60, "vo2max_ml_kg_min": 35}, "heart rate and VO2max", {OUTSIDE}),
        ({"age_years": 30, "resting_bpm": None}, "heart rate", {TRAINED, "no resting heart rate given"}),
        ({"age_years": 60, "resting_bpm": None}, "heart rate", {TRAINED, OUTSIDE, "no resting heart rate given"}),
        # nobody under 20 or over 90 stands behind VO2max by age
        ({"age_years": 19}, "heart rate", {TRAINED}),
        ({"age_years": 17}, "heart rate", {TRAINED, OUTSIDE}),
        ({"age_years": 91}, "heart rate", {TRAINED, OUTSIDE}),
        ({"age_years": 20}, "reserve", {FIT}),
        ({"age_years": 90}, "reserve", {FIT}),
        ({"heart_rate_limited": True}, "table", {"heart rate not used: a medicine limits it"}),
        ({"resting_bpm": 120}, "heart rate", {TRAINED, "the rate is not between rest and highest"}),
    ],
)
def test_each_headline_states_its_assumptions(changes: dict[str, Any], method: str, warned: set[str]) -> None:
    found = effort(person=replace(STRAPPED, **changes))
    told = words(found.basis)
    all_warnings = {TRAINED, OUTSIDE, FIT, "no resting heart rate given", "a medicine", "the rate is not between"}
    assert found.method == method
    assert all(one in told for one in warned)
    assert not [one for one in all_warnings if one in told and not any(one in sentence for sentence in warned)]


def test_vo2max_by_age_is_level_below_the_youngest_group() -> None:
    assert vo2max_by_age(age_years=20, sex="female") == vo2max_by_age(age_years=25, sex="female") == (43.0, 8.0)
    # 43 - 0.35 x 65
    assert vo2max_by_age(age_years=90, sex="female") == (pytest.approx(20.25), 8.0)


def test_reserve_without_a_stated_sex_takes_the_mean_of_both_and_is_less_sure() -> None:
    found = effort(person=replace(STRAPPED, equation_sex=None))
    # (54.4 + 43)/2 - 0.35 x 15 = 43.45; (54.4 - 43)/2/sqrt(3) = 3.290897 beside 8; at half the reserve
    uptake = 3.5 + 0.5 * (43.45 - 3.5)
    assert found.kcal_gross == pytest.approx(uptake * 80 * 4.88 * 60 / 1000)
    u_of_vo2max = 0.5 * math.hypot(8, 3.290897) / uptake
    assert found.u_basis_frac == pytest.approx(math.hypot(0.18, u_of_vo2max, 2 * 39.95 / 120 / uptake), rel=1e-6)
    assert "mean of the figures for women and men" in words(found.basis)


def test_energy_by_reserve_is_never_below_rest() -> None:
    # 40 kg and 200 cm: rest is (400 + 1250 - 125 + 5)/1440 kcal/min, more than the oxygen of so small a body
    light = replace(MAN, mass_kg=40, height_cm=200, age_years=25)
    found = effort(replace(WORKER, mean_heart_rate_bpm=62), light)
    assert (found.method, found.kcal_net) == ("reserve", 0)
    assert found.kcal_gross == pytest.approx(60 * 1530 / 1440)


def test_highest_energy_is_among_bases_by_the_same_heart_rate() -> None:
    # the equation without VO2max, 639.3 kcal, lies above the reserve; a higher activity table would not count: it
    # knows nothing of this heart
    assert effort().kcal_highest == effort().kcal_by["heart rate"].value > effort().kcal_gross
    slow = effort(replace(WORKER, mean_heart_rate_bpm=90))
    assert slow.kcal_by["heart rate"].value <= slow.kcal_highest < slow.kcal_by["table"].value
    # with VO2max the equation without it is not held against it
    fit = effort(person=replace(MAN, vo2max_ml_kg_min=35))
    assert fit.kcal_highest == fit.kcal_gross < fit.kcal_by["heart rate"].value
    assert effort(NO_RATE).kcal_highest == 520


def test_no_work_has_no_disagreement() -> None:
    found = effort(replace(WORKER, time_min=0))
    assert (found.kcal_gross, found.u_disagreement_frac) == (0, 0)


@together(("device", "u_bpm"), [("chest strap", 2), ("arm band", 4), ("wrist", 8), ("finger count", 2.3), (None, 8)])
def test_the_device_sets_the_uncertainty_of_the_heart_rate(device: str | None, u_bpm: float) -> None:
    found = effort(person=replace(MAN, heart_rate_device=device))
    # one beat is 45.65/120 mL/kg/min of 26.325
    assert found.u_basis_frac == pytest.approx(math.hypot(0.18, 0.5 * 8 / 26.325, u_bpm * 45.65 / 120 / 26.325))
    assert ("reads low" in words(found.basis)) == (device == "finger count")


@pytest.mark.parametrize("changes", [{"resting_bpm": None}, {"vo2max_ml_kg_min": 3.5}, {"resting_bpm": 120}])
def test_basis_by_reserve_needs_a_rate_and_a_vo2max_above_rest(changes: dict[str, float | None]) -> None:
    assert effort(person=replace(MAN, **{"vo2max_ml_kg_min": 35, **changes})).kcal_by["reserve"].value is None


def test_a_monitor_figure_changes_no_other_figure() -> None:
    found = effort(replace(WORKER, mean_heart_rate_bpm=None))
    assert (found.method, found.kcal_gross, found.kcal_by["monitor"].value) == ("table", 520, 500)
    with_note, without = (effort(replace(WORKER, monitor_kcal=kcal)) for kcal in (2000, None))
    assert (with_note.kcal_gross, with_note.u_frac) == (without.kcal_gross, without.u_frac)


@together(
    ("worker", "person", "basis", "reason"),
    [
        (WORKER, replace(MAN, mass_kg=None), "heart rate", "no body mass"),
        (replace(WORKER, mean_heart_rate_bpm=None), MAN, "heart rate", "no heart rate"),
        (WORKER, MAN, "heart rate and VO2max", "no VO2max"),
        (WORKER, replace(MAN, age_years=19), "reserve", "no VO2max"),
        (WORKER, replace(MAN, vo2max_ml_kg_min=35, resting_bpm=None), "reserve", "no resting rate"),
        (WORKER, replace(MAN, vo2max_ml_kg_min=35, max_bpm=120), "reserve", "rate not between rest and highest"),
        (WORKER, replace(MAN, vo2max_ml_kg_min=3.5), "reserve", "VO2max not above rest"),
        (WORKER, replace(MAN, age_years=None), "heart rate", "no age"),
        (replace(WORKER, mean_heart_rate_bpm=90), replace(MAN, resting_bpm=None), "heart rate", "heart rate too low"),
        (replace(WORKER, monitor_kcal=None), MAN, "monitor", "none written"),
        (replace(WORKER, monitor_kcal=71), MAN, "monitor", "written, but below energy at rest"),
    ],
)
def test_each_missing_basis_has_its_reason(worker: Worker, person: Person, basis: Method, reason: str) -> None:
    found = effort(worker, person).kcal_by[basis]
    assert (found.value, words(found.reason)) == (None, reason)


def test_medicine_leaves_no_basis_but_the_table() -> None:
    known = replace(MAN, vo2max_ml_kg_min=35, heart_rate_limited=True)
    found = effort(person=known)
    reasons = {basis: words(kcal.reason) for basis, kcal in found.kcal_by.items() if kcal.value is None}
    assert set(reasons) == {"heart rate and VO2max", "reserve", "heart rate", "monitor"}
    assert set(reasons.values()) == {"a medicine limits the heart rate"}
    assert found.spread_frac is None


def test_without_a_heart_rate_the_activity_table_is_used() -> None:
    found = effort(replace(WORKER, mean_heart_rate_bpm=None, monitor_kcal=None), delay_frac=0.25)
    # 80 kg x (6.5 x 45 + 1.3 x 15)/60; net with 1 taken off each
    assert found.kcal_gross == found.kcal_by["table"].value == pytest.approx(416.0)
    assert found.kcal_net == pytest.approx(336.0)
    assert (found.method, found.u_frac, found.activity.code) == ("table", 0.30, "08020")
    assert words(found.basis) == (
        "activity table, 08020 split wood with an axe or maul, vigorous; no heart rate given"
    )


def test_worker_without_a_name_is_the_reference_worker() -> None:
    found = effort(replace(WORKER, mean_heart_rate_bpm=None, monitor_kcal=None), None)
    assert found.kcal_gross == pytest.approx(6.5 * 65)
    assert "no body mass given, reference worker of 65 kg" in words(found.basis)


def test_a_substitute_activity_code_is_named() -> None:
    found = effort(Worker(person="A", time_min=30), powered=True)
    assert found.activity.code == "11615"
    assert "no code exists for a mechanical splitter" in words(found.basis)


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"mass_kg": None}, "no body mass given"),
        ({"age_years": None}, "no age given"),
        ({"mass_kg": None, "age_years": None}, "no body mass and age given"),
    ],
)
def test_missing_body_data_fall_back_to_the_table(changes: dict[str, None], why: str) -> None:
    found = effort(person=replace(MAN, **changes))
    assert found.method == "table"
    assert f"heart rate not used: {why}" in words(found.basis)


def test_low_heart_rate_needs_a_resting_rate() -> None:
    low = replace(WORKER, mean_heart_rate_bpm=90)
    bridged = effort(low, replace(MAN, vo2max_ml_kg_min=35))
    assert bridged.method == "heart rate and VO2max"
    assert "low heart rate, taken on a straight line to rest" in words(bridged.basis)
    without = effort(low, replace(MAN, resting_bpm=None))
    assert without.method == "table"
    assert "below 57% of the highest rate, and no resting rate is given" in words(without.basis)


@together(
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
        (WORKER, replace(MAN, equation_sex=None), "mean of the figures for women and men"),
    ],
)
def test_use_beyond_the_trials_is_named(worker: Worker, person: Person, why: str) -> None:
    found = effort(worker, replace(person, resting_bpm=None))
    assert found.method == "heart rate"
    assert why in words(found.basis)


@pytest.mark.parametrize("changes", [{"age_years": 18}, {"age_years": 45}, {"mass_kg": 47}, {"mass_kg": 120}])
def test_the_limits_of_the_trials_belong_to_them(changes: dict[str, float]) -> None:
    assert "outside" not in words(effort(person=replace(MAN, resting_bpm=None, **changes)).basis)


def test_sex_not_stated_takes_the_mean_and_widens_the_uncertainty() -> None:
    man = replace(MAN, resting_bpm=None)
    both = effort(person=replace(man, equation_sex=None))
    male, female = effort(person=man), effort(person=replace(man, equation_sex="female"))
    assert both.kcal_gross == pytest.approx((male.kcal_gross + female.kcal_gross) / 2)
    u_of_sex = (male.kcal_gross - female.kcal_gross) / 2 / 3**0.5 / both.kcal_gross
    slope = (0.6309 + 0.4472) / 2 / 4.184 * 60 / both.kcal_gross
    assert both.u_basis_frac == pytest.approx(math.hypot(0.25, u_of_sex, 8 * slope))
    # rest: mean of + 5 and - 161 is - 78
    assert both.kcal_net == pytest.approx(both.kcal_gross - 60 * (800 + 1112.5 - 200 - 78) / 1440)


def test_monitor_figure_below_rest_is_not_used() -> None:
    # rest is 71.6 kcal in that hour
    found = effort(replace(WORKER, monitor_kcal=71))
    assert found.kcal_by["monitor"].value is None
    assert effort(replace(WORKER, monitor_kcal=72)).kcal_by["monitor"].value == 72
    # without a body mass rest is that of the reference worker, 65 kcal
    assert [effort(replace(WORKER, monitor_kcal=kcal), None).kcal_by["monitor"].value for kcal in (64, 65)] == [
        None,
        65,
    ]


def test_energy_by_equation_is_never_below_rest() -> None:
    # A woman of 250 kg: the equation's negative mass term would take her below zero at 57 % of the highest rate.
    heavy = {"max_bpm": 176.5, "mass_kg": 250, "age_years": 45, "sex": "female", "resting_kcal_per_min": 1.8}
    given = effort_equations.heart_rate_kcal_per_min(heart_rate_bpm=101, resting_bpm=60, **heavy)
    assert given == 1.8


def test_a_resting_rate_above_the_bridge_needs_no_bridge() -> None:
    body = {"max_bpm": 150, "mass_kg": 80, "age_years": 83, "sex": "male", "resting_kcal_per_min": 1.0}
    at_rest = effort_equations.heart_rate_kcal_per_min(heart_rate_bpm=88, resting_bpm=90, **body)
    above = effort_equations.heart_rate_kcal_per_min(heart_rate_bpm=91, resting_bpm=90, **body)
    assert at_rest == 1.0
    assert above == pytest.approx(
        effort_equations.keytel_kcal_per_min(heart_rate_bpm=91, mass_kg=80, age_years=83, sex="male")
    )


def test_a_resting_equation_at_or_below_0_is_not_used() -> None:
    # 10 x 30 + 6.25 x 100 - 5 x 160 - 161 is below 0
    rest = effort_equations.resting_kcal_per_min(mass_kg=30, height_cm=100, age_years=160, sex="female")
    assert (rest.kcal_per_min, words(rest.basis)) == (0.5, "rest taken as 1 kcal per kg and hour")


JON, ANN = Worker(person="Jon", time_min=60, number=1), Worker(person="Ann", time_min=60, number=2)


def part(method: Headline, kcal: float, u_basis: float, u_disagreement: float = 0.0) -> WorkerEffort:
    return replace(
        effort(), method=method, kcal_gross=kcal, kcal_net=0.8 * kcal,
        u_basis_frac=u_basis, u_disagreement_frac=u_disagreement,
    )  # fmt: skip


def log_sd(members: Array) -> float:
    return float(np.log(members[1:]).std())


BY_RESERVE, BY_EQUATION = part("reserve", 600, 0.020, 0.010), part("heart rate", 400, 0.025, 0.005)
BY_TABLE = part("table", 500, 0.030)


def test_parts_by_several_bases_add_up_and_share_the_error_of_one_heart_rate() -> None:
    common = energy_in_common([(JON, BY_RESERVE), (JON, BY_EQUATION), (ANN, BY_TABLE)], is_net=False)
    assert {words(key): spread for key, spread in common.spreads.items()} == {
        "energy by heart rate for Jon": pytest.approx(0.022),  # (600 x 0.020 + 400 x 0.025)/1000
        "heart-rate reserve against other bases for Jon": 0.010,
        "heart-rate equation against other bases for Jon": 0.005,
        "activity table for split wood with an axe or maul, vigorous": 0.030,
    }
    assert [term.value for term in common.terms] == [600, 400, 500]
    assert common.members(WORLDS)[0] == pytest.approx(1500)
    # u = root of (1000 x 0.022)^2 + (600 x 0.010)^2 + (400 x 0.005)^2 + (500 x 0.030)^2 is 27.368 kcal of 1500;
    # taken for independent, the two bases of one heart rate would have 22.561 kcal
    assert float(common.members(WORLDS)[1:].std()) == pytest.approx(27.368, rel=0.02)


def test_rest_is_subtracted_without_doubt() -> None:
    gross, net = (energy_in_common([(JON, BY_RESERVE)], is_net=is_net).members(WORLDS) for is_net in (False, True))
    assert gross - net == pytest.approx(120)


def test_errors_of_two_people_are_independent() -> None:
    ann = energy_in_common([(ANN, BY_RESERVE)], is_net=False).members(WORLDS)
    jon = energy_in_common([(JON, BY_RESERVE)], is_net=False).members(WORLDS)
    assert abs(float(np.corrcoef(ann[1:], jon[1:])[0, 1])) < 0.05


def test_errors_of_one_person_cancel_between_methods_except_the_choice_of_equation() -> None:
    by = {
        basis.method: energy_in_common([(JON, basis)], is_net=False).members(WORLDS)
        for basis in (BY_RESERVE, replace(BY_EQUATION, u_basis_frac=0.020))
    }
    assert log_sd(by["reserve"]) == pytest.approx(math.hypot(0.020, 0.010), rel=0.02)
    # the heart rate is in both alike: what is left is root of 0.010^2 + 0.005^2, and nothing for the same basis
    assert log_sd(by["reserve"] / by["heart rate"]) == pytest.approx(0.01118, rel=0.02)


def test_method_of_several_bases_says_that_it_is_one_amount() -> None:
    assert words(basis_of_parts([BY_RESERVE, BY_TABLE, BY_RESERVE])) == (
        "heart-rate reserve (2), activity table (1): one amount, each part with its own doubt"
    )
    assert words(basis_of_parts([BY_RESERVE, BY_RESERVE])) == "heart-rate reserve"
    assert basis_of_parts([]) is None
