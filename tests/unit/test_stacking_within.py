"""Stacking within a splitting session becomes a session of its own, and nothing of it is counted twice."""

from __future__ import annotations

from typing import Any

import pytest
from builders import Data, at, checked, records, season_cells, small_season, tables

from wood_xl.ids import Strain
from wood_xl.notes.convert import season_records
from wood_xl.pipeline import computed_again
from wood_xl.records import Season
from wood_xl.report.sessions import sessions_page
from wood_xl.report.view import View, noted_session
from wood_xl.schema.words import words

TOLD = {"display_units": "metric", "input_sha256": "0" * 64, "template_version": "1"}


def splitting(*others: str, **values: Any) -> Data:
    """The small season with a splitting session S of 100 min, 20 of them stacking, and further stacking methods."""
    data = small_season()
    data["tools"].append({"tool": "Maul", "kind": "hand", "price": 300, "life_years": 10})
    data["methods"].append({"method": "By maul", "task": "split", "tool_1": "Maul"})
    data["methods"] += [{"method": name, "task": "stack"} for name in others]
    data["sessions"].append(
        {"session": "S", "date": "2026-03-04", "method": "By maul", "person": "Ada", "elapsed_time": 100,
         "delay_time": 10, "stacking_time": 20, "monitor_energy": 500, "lot": "North"} | values
    )  # fmt: skip
    data["helpers"].append({"session": "S", "person": "Bo", "time": 50})
    data["stacks"].append({"session": "S", "height": 1, "length": 2})
    return data


def parts(season: Season) -> dict[str, Any]:
    return {one.method: one for one in season.sessions if one.name.startswith("S")}


@pytest.mark.parametrize(
    ("others", "method"),
    [((), "stacked while splitting"), (("By hand",), "By hand"), (("By hand", "By two"), "stacked while splitting")],
)
def test_stacking_goes_to_the_only_method_that_stacks(others: tuple[str, ...], method: str) -> None:
    season = records(splitting(*others))
    split, stack = parts(season)["By maul"], parts(season)[method]
    assert (split.elapsed_min, split.delay_min, stack.elapsed_min, stack.delay_min) == (80, 10, 20, 0)
    assert [worker.time_min for worker in split.workers] == [80, 40]
    assert [worker.time_min for worker in stack.workers] == [20, 10]
    assert split.workers[0].monitor_kcal + stack.workers[0].monitor_kcal == 500
    assert stack.stacks == split.stacks
    assert [one.task for one in season.methods if one.name == method] == ["stack"]
    assert len({one.number for one in season.methods}) == len(season.methods)


def test_a_note_says_where_the_stacking_went() -> None:
    told = [one for one in season_records(checked(splitting()))[1] if one.code == "row-stacking-apart"]
    assert [(one.where, one.count) for one in told] == [(at("sessions.stacking_time", 7), 1)]


def test_a_pile_is_not_larger_for_the_stacking_that_is_counted_apart() -> None:
    apart, whole = (season_cells(records(data)) for data in (splitting(), splitting(stacking_time=0)))
    assert apart["lots"] == whole["lots"]
    hours = [
        sum(row["clock_hours"].value for row in cells["sessions"] if row["session"].startswith("S"))
        for cells in (apart, whole)
    ]
    assert hours[0] == pytest.approx(hours[1])


def test_stacking_within_another_task_is_reported_and_not_split_off() -> None:
    data = splitting(method="By bow saw")
    (found,) = [one for one in checked(data).problems if one.code == "row-stacking-not-split"]
    assert found.where == at("sessions.stacking_time", 7)
    assert [one.elapsed_min for one in records(data).sessions if one.name.startswith("S")] == [100]


def test_stacking_that_waits_for_its_mend_withholds_the_times_of_both() -> None:
    split, stack = parts(records(splitting("By hand", stacking_time=95))).values()
    assert (split.elapsed_min, stack.method) == (100, "By hand")
    assert split.broken["time"] == stack.broken["time"] == at("sessions.stacking_time", 7)


def test_stacking_of_an_unknown_method_waits_where_it_would_count() -> None:
    data = splitting("By hand")
    data["methods"][2]["task"] = "cleaving wood"
    found = parts(records(data))
    assert {method: "time" in one.broken for method, one in found.items()} == {"By maul": True, "By hand": True}


def test_pages_count_the_session_of_the_notes_once_and_name_its_people_beside_both_parts() -> None:
    results = computed_again(checked(splitting("By hand")), TOLD)
    assert results is not None
    view = View(results)
    assert [row["part_of"] for row in results["sessions"] if row["method"] == "By hand"] == ["S"]
    assert len(view.noted_sessions) == len(results["inputs"]["sessions"]) == len(results["sessions"]) - 1
    workers = view.workers
    told = [row for row in results["sessions"] if noted_session(row) == "s"]
    assert [workers[noted_session(row)] for row in told] == [["Ada", "Bo"]] * 2
    lines = [[span.text for span in line.cells] for page in sessions_page(view).pages() for line in page]
    assert [cells[3] for cells in lines if cells and cells[0] in {row["session"] for row in told}] == [
        "Ada and Bo"
    ] * 2


def loud(**values: Any) -> Data:
    """The session S at a machine of 95 dB(A), whose daily noise limit is reached in 47.6 min, and 8 m/s2."""
    data = splitting("By hand", delay_time=0, **values)
    data["tools"][2] |= {"kind": "mains", "sound_level": 95, "vibration": 8}
    data["units"]["tools"] |= {"sound_level": "dB(A)", "vibration": "m/s2"}
    data["units"]["sessions"] |= {"running_time": "min", "stacking_time": "min"}
    return data


@pytest.mark.parametrize(
    ("running_min", "person", "exposed_min"),
    [(90, "Ada", 90), (90, "Bo", 50), (30, "Ada", 30), (None, "Ada", 100), (None, "Bo", 50)],
)
def test_stacking_makes_no_day_less_noisy(running_min: int | None, person: str, exposed_min: int) -> None:
    written = {} if running_min is None else {"running_time": running_min}
    found = tables(loud(**written)).tables["exposures"]
    (day,) = [row for row in found if (row["day"], row["person"]) == ("2026-03-04", person)]
    assert day["noise_dose"].value == pytest.approx(100 * exposed_min / (480 / 2 ** (10 / 3)))
    if person == "Ada":
        assert day["vibration"].value == pytest.approx(8 * (exposed_min / 480) ** 0.5)
    assert ("upper bound" in words(day["noise_dose"].basis)) == (running_min is None)


@pytest.mark.parametrize(("elapsed_min", "strain"), [(120, Strain.HIGH), (134, Strain.VERY_HIGH)])
def test_stacking_makes_no_session_shorter_for_the_heart(elapsed_min: int, strain: Strain) -> None:
    """The mean heart rate is of the whole session, and so are the two hours at more than half of the reserve."""
    data = splitting("By hand", elapsed_time=elapsed_min, stacking_time=26, mean_heart_rate=126)
    rows = tables(data).tables["strain"]
    assert [row["strain"] for row in rows if (row["session"], row["person"]) == ("S", "Ada")] == [words(strain)]
