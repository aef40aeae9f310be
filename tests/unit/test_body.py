"""Strain, traces, exposure and weather of a season, worked out by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest
from builders import Data, checked, demo, reading_pages, records, results_of, row, small_season, tables, text_cell
from few import few
from test_who_may import document

from wood_xl.ids import Strain
from wood_xl.schema.layout import HEADER_ROW
from wood_xl.schema.words import words

BELOW_LEVELS, HIGH, NOT_KNOWN, VERY_HIGH = (
    words(one) for one in (Strain.BELOW_LEVELS, Strain.HIGH, Strain.NOT_KNOWN, Strain.VERY_HIGH)
)


def season() -> Data:
    """The small season with a noisy saw, a trace of session A and some weather."""
    data = small_season()
    data["tools"][1].update(vibration=5.0, sound_level=103)
    data["sessions"][0].update(air_temperature=32, humidity=70)
    data["sessions"][1].update(running_time=30, air_temperature=-10, wind_speed=20)
    data["heart_trace"] = [{"session": "A", "elapsed": 10 * i, "heart_rate": 100 + i % 2 * 40} for i in range(541)]
    data["units"]["tools"] |= {"vibration": "m/s2", "sound_level": "dB(A)"}
    data["units"]["sessions"] |= {
        "running_time": "min", "air_temperature": "degC", "humidity": "%", "wind_speed": "km/h",
    }  # fmt: skip
    data["units"]["heart_trace"] = {"elapsed": "s", "heart_rate": "beats/min"}
    return data


def test_a_body_that_waits_for_a_mend_is_not_said_to_be_below_a_limit_or_without_a_heart_rate() -> None:
    """It said that the daily noise limit was passed on no day, of a saw that passes it within the hour."""

    def told(edit: Any = None) -> str:
        body = reading_pages(document(checked(season(), edit=edit)))[0]["Body"]
        return "\n".join(text for _, cells in body.rows() for _, text in cells)

    def renamed(cells: dict[str, Any]) -> None:
        cells["helpers"][HEADER_ROW, 1] = text_cell("Day's work")

    assert "1 of 1 days it ran" in told()
    assert "0 of 1 days it ran, 1 not known" in told(renamed)
    assert "No heart rate is noted" not in told(renamed)


def test_strain_by_the_heart_rate_reserve() -> None:
    data = small_season()
    found = row(data, "strain", session="A")
    highest = 208 - 0.7 * 40
    assert found["reserve_share"].value == pytest.approx(100 * (120 - 60) / (highest - 60))
    assert found["ratio_to_rest"].value == pytest.approx(2.0)
    assert found["fifty_percent_level"].value == pytest.approx(120 / (60 + (highest - 60) / 2))
    assert found["modeled_time"].value == pytest.approx(60 * 26.12 * math.exp(-4.81 * 0.5))
    assert found["strain"] == "high"
    assert found["strain_basis"] == "share of reserve above 40%; highest rate predicted from age"


def test_uncertainty_of_the_share_of_reserve() -> None:
    # no device is stated: 8 beats/min; 3 at rest; 10 for a highest rate by age; half of a reserve of 120
    found = row(small_season(), "strain", session="A")
    assert found["reserve_u"].value == pytest.approx(100 * math.hypot(8, 1.5, 5) / 120)
    data = small_season()
    data["people"][0] |= {"max_heart_rate": 180, "heart_rate_device": "chest strap"}
    assert row(data, "strain", session="A")["reserve_u"].value == pytest.approx(100 * math.hypot(2, 1.5, 1) / 120)


def test_modeled_time_by_oxygen_where_vo2max_is_known() -> None:
    data = small_season()
    assert words(row(data, "strain", session="A")["modeled_time_uptake"].reason) == "no VO2max"
    data["people"][0]["vo2max"] = 35
    data["sessions"][0]["mean_heart_rate"] = 105
    # 45/120 of the reserve: (3.5 + 0.375 x 31.5)/35 = 43.75 % of VO2max
    found = row(data, "strain", session="A")
    assert found["modeled_time_uptake"].value == pytest.approx(60 * 8 * 0.5 ** ((43.75 - 34) / 9.5))
    assert found["modeled_time"].value == pytest.approx(60 * 26.12 * math.exp(-4.81 * 0.375))


@pytest.mark.parametrize(
    ("sex", "words"), [("female", "very heavy"), ("male", "heavy to very heavy"), (None, "heavy to very heavy")]
)
def test_workload_is_named_by_its_class(sex: str | None, words: str) -> None:
    data = small_season()
    # 0.55 of the reserve: 22.3 and 28.6 mL/kg/min, of 70 kg 7.6 and 9.8 kcal/min; by the equation without VO2max
    # 7.2 and 11.1 kcal/min
    data["sessions"][0]["mean_heart_rate"] = 126
    if sex is None:
        del data["people"][0]["equation_sex"]
    else:
        data["people"][0]["equation_sex"] = sex
    assert row(data, "strain", session="A")["workload"] == words


def test_a_headline_that_reads_low_takes_no_warning_away() -> None:
    data = small_season()
    data["people"][0]["equation_sex"] = "male"
    # 0.375 of the reserve: 20.6 mL/kg/min, of 70 kg 7.0 kcal/min; by the equation without VO2max 7.9, which is heavy
    data["sessions"][0]["mean_heart_rate"] = 105
    found = row(data, "strain", session="A")
    assert found["workload"] == "moderate to heavy"
    assert (found["strain"], words(found["strain_basis"]).split(";")[0]) == ("high", "work called heavy or worse")


@pytest.mark.parametrize(("rate", "strain"), [(170, VERY_HIGH), (140, NOT_KNOWN)])
def test_a_rate_near_the_highest_counts_despite_a_medicine(rate: int, strain: str) -> None:
    """It slows the heart: what is 0.85 of the highest even so is told, what is below tells nothing."""
    data = season()
    data["people"][0]["rate_limiting_medicine"] = "yes"
    for reading in data["heart_trace"][5:]:  # one alone would be a spike
        reading["heart_rate"] = rate
    assert row(data, "strain", session="A")["strain"] == strain
    data["heart_trace"], data["sessions"][0]["mean_heart_rate"] = [], rate
    assert row(data, "strain", session="A")["strain"] == strain


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"rate_limiting_medicine": "yes"}, "a medicine limits the heart rate"),
        ({"resting_heart_rate": None}, "no resting rate"),
        ({"age": None}, "no age and no highest rate"),
    ],
)
def test_strain_is_withheld_with_its_reason(change: dict[str, Any], why: str) -> None:
    data = small_season()
    data["people"][0] = {k: v for k, v in (data["people"][0] | change).items() if v is not None}
    found = row(data, "strain", session="A")
    assert words(found["reserve_share"].reason) == why
    assert found["strain"] == NOT_KNOWN
    assert words(found["strain_basis"]).split("; ")[0] == why
    assert (found["modeled_time"].value, words(found["modeled_time"].reason)) == (None, why)


@pytest.mark.parametrize("rate", [180, 181, 215])
def test_a_rate_at_or_above_the_highest_is_very_high(rate: int) -> None:
    data = small_season()  # 40 years: a highest rate of 180 predicted
    data["sessions"][0] |= {"mean_heart_rate": rate, "elapsed_time": 11}
    found = row(data, "strain", session="A")
    assert found["strain"] == VERY_HIGH
    assert found["strain_basis"].endswith("highest rate predicted from age")
    assert words(found["reserve_share"].reason) == "the heart rate is at or above the highest"


def test_a_highest_rate_that_is_written_is_not_called_predicted() -> None:
    data = small_season()
    data["people"][0]["max_heart_rate"] = 150
    data["units"]["people"]["max_heart_rate"] = "beats/min"
    assert row(data, "strain", session="A")["strain_basis"] == "share of reserve above 60%"


def test_heavy_work_never_stands_beside_the_lowest_word() -> None:
    data = small_season()
    data["people"][0] |= {"equation_sex": "male", "mass": 110, "age": 20}
    data["sessions"][0]["mean_heart_rate"] = 110  # 37 % of the reserve
    found = row(data, "strain", session="A")
    assert found["reserve_share"].value < 40
    assert "heavy" in found["workload"]
    assert (found["strain"], found["strain_basis"].split("; ")[0]) == (HIGH, "work called heavy or worse")
    data["sessions"][0]["mean_heart_rate"] = 75
    light = row(data, "strain", session="A")
    assert "heavy" not in light["workload"]
    assert (light["strain"], light["strain_basis"].split("; ")[0]) == (BELOW_LEVELS, "share of reserve up to 40%")


@pytest.mark.parametrize("rate", [125, 150, 170])
def test_modeled_time_is_extrapolated_beyond_its_range(rate: int) -> None:
    data = small_season()
    data["sessions"][0]["mean_heart_rate"] = rate
    found = row(data, "strain", session="A")
    share = (rate - 60) / 120
    assert found["modeled_time"].value == pytest.approx(60 * 26.12 * math.exp(-4.81 * share))
    assert found["modeled_time"].low < found["modeled_time"].value < found["modeled_time"].high
    assert ("extrapolated" in words(found["modeled_time"].basis)) == (share > 0.6)
    assert "memory" in words(found["modeled_time"].basis)


def farm(who: str, **changes: Any) -> Data:
    """The invented hill farm with one of its people changed; None takes a cell away."""
    data = demo("hill_farm_us")
    (person,) = (one for one in data["people"] if one["person"] == who)
    person |= changes
    for key in [key for key, cell in person.items() if cell is None]:
        del person[key]
    return data


def sessions_of(data: Data, who: str) -> int:
    """How many sessions somebody worked in, stacking within apart."""
    return sum(any(worker.person == who for worker in session.workers) for session in records(data).sessions)


def strain_of(results: dict[str, Any], who: str) -> list[dict[str, Any]]:
    return [one for one in results["strain"] if one["person"] == who]


def summaries(results: dict[str, Any]) -> dict[str, str]:
    """Strain of each method as the combinations tell it."""
    texts = [one["strain"] for one in results["combinations_year"]]
    return dict(part.split(": ") for text in texts for part in filter(None, text.split("; ")))


@pytest.mark.slow
def test_a_woman_of_70_at_149_beats_is_very_high_in_every_session() -> None:
    data = farm("Mara", age=70, max_heart_rate=None)
    for worked in (*data["sessions"], *data["helpers"]):
        if worked["person"] == "Mara":
            worked["mean_heart_rate"] = 149
    results = results_of(data, "us")
    found = strain_of(results, "Mara")
    assert len(found) == sessions_of(data, "Mara")
    at_60_min = 60 * 26.12 * math.exp(-4.81 * 0.6)
    for one in found:
        assert one["strain"] == VERY_HIGH
        assert one["strain_basis"] == "heart rate at 94% of the highest; highest rate predicted from age"
        assert one["reserve_share"]["value"] == pytest.approx(100 * (149 - 61) / (208 - 49 - 61))
        time = one["modeled_time"]
        assert 0 < time["value"] < at_60_min / 4
        assert "extrapolated" in time["basis"]
        assert 0 < one["modeled_time_uptake"]["value"] < at_60_min
    assert len(summaries(results)) == 5
    assert all(VERY_HIGH in words for words in summaries(results).values())


@pytest.mark.slow
def test_strain_not_known_for_one_worker_shows_for_the_method() -> None:
    known = demo("hill_farm_us")
    for session in known["sessions"]:
        session.setdefault("mean_heart_rate", 100)
        session["person"] = "Mara"
    known["helpers"] = []
    assert NOT_KNOWN not in set(summaries(results_of(known, "us")).values())
    known["sessions"][0]["person"] = "Eli"  # no resting rate is written of him
    results = results_of(known, "us")
    assert summaries(results)["chain saw bucking"] == NOT_KNOWN
    assert [one["strain"] for one in strain_of(results, "Eli")] == [NOT_KNOWN]


@pytest.mark.slow
def test_a_medicine_that_slows_the_heart_leaves_strain_unknown_and_no_time() -> None:
    data = farm("Mara", rate_limiting_medicine="yes")
    results = results_of(data, "us")
    found = strain_of(results, "Mara")
    assert len(found) == sessions_of(data, "Mara")
    for one in found:
        assert (one["strain"], one["strain_basis"]) == (NOT_KNOWN, "a medicine limits the heart rate")
        for key in ("reserve_share", "modeled_time", "modeled_time_uptake"):
            assert (one[key]["value"], one[key]["low"], one[key]["high"]) == (None, None, None)
            assert one[key]["reason"] == "a medicine limits the heart rate"
    assert all(words.startswith(NOT_KNOWN) for words in summaries(results).values())


def test_the_rest_rule_applies_to_days_that_come_near_a_shift() -> None:
    data = small_season()
    assert tables(data).tables["shift_rest"] == []
    assert not {"rest_in_hour", "rest_per_work_hour"} & set(row(data, "strain", session="A"))
    day = {"date": "2026-03-01", "method": "By bow saw", "person": "Ada", "mean_heart_rate": 120}
    data["sessions"].append(day | {"session": "D", "elapsed_time": 150})
    data["sessions"].append(day | {"session": "E", "elapsed_time": 119, "leave_out": "rain"})
    data["sessions"].append(day | {"session": "F", "elapsed_time": 300, "date": "2026-03-07"})
    data["sessions"].append(day | {"session": "G", "elapsed_time": 300, "person": "Bo"})
    assert tables(data).tables["shift_rest"] == []  # 359, 300 and 300 min
    data["sessions"][4]["elapsed_time"] = 120
    found = row(data, "shift_rest", person="Ada", day="2026-03-01")
    assert found["hours"].value == 6
    per_min = row(data, "efforts", session="A")["kcal_gross"].value / 90  # as hard in all three
    assert found["rest_in_hour"].value == pytest.approx(60 * (per_min - 4.0) / (per_min - 1.5))
    assert words(found["rest_in_hour"].basis) == "standard for women"
    for session in data["sessions"]:  # standing about, by the activity table
        session.pop("mean_heart_rate", None)
        session |= {"delay_time": session["elapsed_time"] - 1, "service_time": 0}
    light = row(data, "shift_rest", person="Ada", day="2026-03-01")["rest_in_hour"]
    assert (light.value, words(light.reason)) == (None, "the energy of the day is below the standard of the rule")


def test_the_rest_rule_is_shown_on_body_alone() -> None:
    data = small_season()
    told = "Days near a whole shift: Ada, up to 6.5 hours, "
    assert told not in page_texts(data)["Body"]
    day = {"date": "2026-03-01", "method": "By bow saw", "person": "Ada", "mean_heart_rate": 120}
    data["sessions"].append(day | {"session": "D", "elapsed_time": 300, "leave_out": "rain"})
    assert {title for title, texts in page_texts(data).items() if "near a whole shift" in texts} == {"Body"}
    assert told in page_texts(data)["Body"]


def page_texts(data: Data) -> dict[str, str]:
    pages, _ = reading_pages(results_of(data))
    return {
        title: "\n".join(str(text) for _, cells in page.rows() for _, text in cells) for title, page in pages.items()
    }


def test_the_rest_rule_changes_no_hours() -> None:
    data = small_season()
    data["sessions"][0]["elapsed_time"] = 400
    with_rest = tables(data).tables
    assert with_rest["shift_rest"][0]["rest_in_hour"].value > 0
    assert row(data, "rates_per_cord", method="By bow saw")["clock_hours"].value == pytest.approx(
        (400 + 45) / 60 / row(data, "methods", method="By bow saw")["cords"].value
    )


def disagreements(data: Data) -> int:
    return [code for code, _, _ in tables(data).remarks].count("season-trace-mean-differs")


def test_a_trace_that_covers_the_session_is_used_and_a_different_mean_reported() -> None:
    data = season()
    found = row(data, "traces", session="A")
    assert found["covered"].value == pytest.approx(90)
    assert found["mean"].value == pytest.approx(120)
    assert found["highest"].value == 140
    assert "over a heart trace of 90 of 90 min" in row(data, "efforts", session="A")["basis"]
    # above 57 % of the highest rate the equation is linear, so that the trace gives what its mean gives; the readings
    # of 100 lie below 102.6 and run on the bridge to rest
    over_trace = row(data, "efforts", session="A")["kcal_heart_rate"].value
    at_mean = row(small_season(), "efforts", session="A")["kcal_heart_rate"].value
    assert over_trace == pytest.approx(at_mean, rel=0.02)
    assert disagreements(data) == 0
    for reading in data["heart_trace"]:
        reading["heart_rate"] += 10
    assert disagreements(data) == 1


def test_a_short_trace_does_not_replace_the_written_mean() -> None:
    data = season()
    data["heart_trace"] = data["heart_trace"][:60]
    assert "trace" not in row(data, "efforts", session="A")["basis"]
    del data["sessions"][0]["mean_heart_rate"]
    assert "over a heart trace of 10 of 90 min" in row(data, "efforts", session="A")["basis"]


def test_zeros_and_doubles_of_a_trace_are_counted() -> None:
    data = season()
    data["heart_trace"][5]["heart_rate"] = 0
    data["heart_trace"].append({**data["heart_trace"][7]})
    found = row(data, "traces", session="A")
    assert found["set_right"] == "1 without a beat, 1 of the same time, 1 out of order"


def test_time_above_half_of_the_reserve_and_above_the_high_rate() -> None:
    data = season()
    data["people"][0]["max_heart_rate"] = 160
    found = row(data, "traces", session="A")
    # 540 steps of 10 s between 100 and 140: half of the reserve of 60 to 160 is 110, a high rate begins at 136
    assert found["above_half"].value == pytest.approx(90 * 30 / 40)
    assert found["above_high"].value == pytest.approx(90 * 4 / 40)
    assert found["high_spell"].value == pytest.approx(2 * 10 / 60 * 4 / 40)
    assert found["cadence"].value == 10


@pytest.mark.parametrize(
    ("change", "half", "high"),
    [
        ({"rate_limiting_medicine": "yes"}, "a medicine limits the heart rate", "a medicine limits the heart rate"),
        ({"resting_heart_rate": None}, "no resting rate", ""),
        ({"age": None}, "no age and no highest rate", "no age and no highest rate"),
    ],
)
def test_times_above_are_withheld_with_their_reason(change: dict[str, Any], half: str, high: str) -> None:
    data = season()
    data["people"][0] = {k: v for k, v in (data["people"][0] | change).items() if v is not None}
    found = row(data, "traces", session="A")
    assert (found["above_half"].value, words(found["above_half"].reason)) == (None, half)
    if high:
        assert {words(found["above_high"].reason), words(found["high_spell"].reason)} == {high}
    else:
        assert None not in (found["above_high"].value, found["high_spell"].value)


def test_a_monitor_that_records_each_minute_gives_the_same_as_one_that_records_each_second() -> None:
    """Closed form: a straight line from 110 to 140 in the 90 minutes of the session, through the whole season."""
    slow, quick = season(), season()
    for data, step in ((slow, 60), (quick, 1)):
        del data["sessions"][0]["mean_heart_rate"]
        data["heart_trace"] = [
            {"session": "A", "elapsed": second, "heart_rate": 110 + second / 180} for second in range(0, 5401, step)
        ]
    at_mean = season()
    at_mean["sessions"][0]["mean_heart_rate"] = 125
    at_mean["heart_trace"] = []
    expected = row(at_mean, "efforts", session="A")["kcal_heart_rate"].value
    for data, cadence in ((slow, 60), (quick, 1)):
        found = row(data, "traces", session="A")
        assert (found["cadence"].value, found["covered"].value, found["gaps"].value) == (cadence, 90, 0)
        assert found["mean"].value == pytest.approx(125, rel=1e-12)
        assert row(data, "efforts", session="A")["kcal_heart_rate"].value == pytest.approx(expected, rel=1e-12)


def test_two_recordings_of_a_session_are_both_used() -> None:
    data = season()
    data["heart_trace"] = [
        {"session": "A", "elapsed": second, "heart_rate": rate} for rate in (110, 130) for second in range(0, 2401, 5)
    ]
    found = row(data, "traces", session="A")
    assert (found["covered"].value, found["gaps"].value) == (80, 0)
    assert found["mean"].value == pytest.approx(120)
    assert found["set_right"] == "2 recordings put one after the other"


def test_minutes_for_which_the_equation_does_not_hold_are_not_counted_twice() -> None:
    """Without a resting rate the equation says nothing of a low heart rate."""
    data = season()
    del data["people"][0]["resting_heart_rate"], data["sessions"][0]["mean_heart_rate"]
    data["heart_trace"] = [
        {"session": "A", "elapsed": second, "heart_rate": 80 if second < 600 else 120} for second in range(5401)
    ]
    steady = season()
    del steady["people"][0]["resting_heart_rate"]
    steady["heart_trace"] = []
    expected = row(steady, "efforts", session="A")["kcal_heart_rate"].value
    assert row(data, "efforts", session="A")["kcal_heart_rate"].value == pytest.approx(expected, rel=1e-9)


def test_exposure_of_a_day() -> None:
    found = row(season(), "exposures", person="Ada", day="2026-03-02")
    assert found["vibration"].value == pytest.approx(5.0 * math.sqrt(0.5 / 8))
    assert found["points"].value == pytest.approx((5 / 2.5) ** 2 * 0.5 / 8 * 100)
    assert found["noise_dose"].value == pytest.approx(100 * 0.5 / (8 / 2 ** ((103 - 85) / 3)))
    assert found["noise_dose_us"].value == pytest.approx(100 * 0.5 / (8 / 2 ** ((103 - 90) / 5)))
    assert found["noise_level"].value == pytest.approx(103 + 10 * math.log10(0.5 / 8))
    assert words(found["vibration"].basis) == ""
    assert found["noise_words"] == "at or above the recommended daily limit"


def test_a_saw_that_never_ran_has_no_level() -> None:
    data = season()
    data["sessions"][1]["running_time"] = 0
    found = row(data, "exposures", person="Ada", day="2026-03-02")
    assert (found["noise_level"].value, words(found["noise_level"].reason)) == (None, "no running time")
    assert (found["noise_dose"].value, found["vibration"].value) == (0, 0)


def test_without_running_time_the_exposure_is_an_upper_bound() -> None:
    data = season()
    del data["sessions"][1]["running_time"]
    found = row(data, "exposures", person="Ada", day="2026-03-02")
    assert found["vibration"].value == pytest.approx(5.0 * math.sqrt(50 / 60 / 8))
    assert "upper bound" in words(found["vibration"].basis)


def test_unknown_exposure_is_not_assessed_and_never_zero() -> None:
    data = season()
    del data["tools"][1]["vibration"]
    found = row(data, "exposures", person="Ada", day="2026-03-02")
    assert found["vibration"].value is None
    assert words(found["vibration"].reason) == "not assessed"
    assert words(found["noise_dose"].basis) == ""
    by_hand = row(data, "exposures", person="Ada", day="2026-03-01")
    assert by_hand["noise_words"] == "not assessed"


@pytest.mark.parametrize("change", few([{"leave_out": "rain"}, {"session": "C2"}]))
def test_a_session_that_does_not_count_still_adds_exposure_and_strain(change: Data) -> None:
    """Left out, or without wood: two hours of the saw are in the day, its strain and its combinations too."""
    data = season()
    data["sessions"].append({
        "session": "D", "date": "2026-03-02", "method": "By chain saw", "person": "Ada", "elapsed_time": 150,
        "running_time": 120, "mean_heart_rate": 130,
    } | change)  # fmt: skip
    if "leave_out" in change:
        data["cuts"].append({"session": "D", "diameter": 30, "cuts": 20})
    name = data["sessions"][-1]["session"]
    alone = row(season(), "exposures", person="Ada", day="2026-03-02")
    found = row(data, "exposures", person="Ada", day="2026-03-02")
    assert found["vibration"].value == pytest.approx(5.0 * math.sqrt(2.5 / 8))
    assert (alone["vibration_words"], found["vibration_words"]) == (
        "below the action value",
        "at or above the action value",
    )
    told = f"with session {name}, not counted in rates"
    assert words(found["vibration"].basis) == words(found["noise_dose"].basis) == told
    assert row(data, "strain", session=name)["strain"] == VERY_HIGH
    summary = "By chain saw: not known, and very high where it is known"  # no heart rate is written of session B
    assert summary in [words(r["strain"]) for r in tables(data).tables["combinations_year"]]
    assert [r["session"] for r in tables(data).tables["efforts"] if r["session"] == name] == []
    plain, more = (tables(d).tables["rates_per_cord"] for d in (season(), data))
    assert plain == more


def test_a_session_without_a_time_marks_its_day_as_incomplete() -> None:
    data = season()
    odd = {"session": "D", "date": "2026-03-02", "method": "By chain saw", "person": "Ada", "fuel_used": 0.3}
    data["sessions"].append(odd)
    found = row(data, "exposures", person="Ada", day="2026-03-02")
    assert words(found["vibration"].basis) == "without session D"
    assert found["vibration_words"] == "below the action value, so far as known"


def test_two_tools_that_share_a_running_time_give_an_upper_bound() -> None:
    data = season()
    data["tools"].append({"tool": "Winch", "kind": "gasoline two-stroke", "price": 100, "vibration": 3.0})
    data["methods"][1]["tool_2"] = "Winch"
    found = row(data, "exposures", person="Ada", day="2026-03-02")
    assert found["vibration"].value == pytest.approx(math.sqrt((5.0**2 + 3.0**2) * 0.5 / 8))
    assert words(found["vibration"].basis) == "upper bound: the whole time counts for each tool of a method"
    assert words(found["noise_dose"].basis) == "without Winch"
    assert found["noise_words"].endswith(", so far as known")


def test_a_helper_hears_the_saw_and_does_not_hold_it() -> None:
    found = row(season(), "exposures", person="Bo")
    assert words(found["vibration"].reason) == "not assessed"
    assert found["noise_dose"].value == pytest.approx(100 * 0.5 / (8 / 2 ** ((103 - 85) / 3)))


def test_hours_until_a_tool_reaches_a_limit() -> None:
    found = row(season(), "exposure_limits", tool="Chain saw")
    assert found["to_action_value"].value == pytest.approx(8 * (2.5 / 5) ** 2)
    assert found["to_limit_value"].value == pytest.approx(8)
    assert found["noise_hours"].value == pytest.approx(8 / 2**6)
    quiet = season()
    quiet["tools"][1]["sound_level"] = 75
    assert words(row(quiet, "exposure_limits", tool="Chain saw")["noise_hours"].reason) == "not reached in 24 h"


def test_heat_and_cold_beyond_a_line_are_in_the_row_of_the_session() -> None:
    told = {one["session"]: one["weather"] for one in tables(season()).tables["sessions"]}
    # 32 degC at 70 % is a heat index near 40; -10 degC at 20 km/h a wind chill of -17.9
    assert told == {
        "A": "heat: extreme caution",
        "B": "cold: the body can cool too far in a long stay outdoors",
        "C": "",
    }
    mild = season()
    mild["sessions"][0].update(air_temperature=20)
    mild["sessions"][1].update(air_temperature=-2, wind_speed=5)
    assert {one["weather"] for one in tables(mild).tables["sessions"]} == {""}
