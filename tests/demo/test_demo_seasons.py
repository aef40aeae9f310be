"""The two invented seasons: made by their recipe, within the definitions, whole, and true to the wood they cut."""

from __future__ import annotations

import importlib
import json
import math
import statistics
from collections import Counter
from importlib.resources import files
from itertools import pairwise
from pathlib import Path
from types import ModuleType
from typing import Any

import jsonschema
import pytest
from builders import demo, records

from wood_xl.body import effort_equations
from wood_xl.data.load import species_names
from wood_xl.demo import demo_names
from wood_xl.notes.tally import size_m
from wood_xl.notes.typed import minutes_of_clock
from wood_xl.records import Session
from wood_xl.schema.model import Column, season_definition
from wood_xl.units import convert
from wood_xl.wood import geometry
from wood_xl.wood.amounts import cut_solid_m3, tape_stacked_m3

RECIPE = Path(__file__).parents[2] / "demo"
NAMES = ("hill_farm_us", "lake_cabin_metric")
Data = dict[str, Any]
DEFINITION = season_definition()


def typed(name: str) -> Data:
    """A demo as its people typed it."""
    data: Data = json.loads(files("wood_xl.data").joinpath("demo", f"{name}.json").read_text(encoding="utf-8"))
    return data


@pytest.fixture(params=NAMES)
def name(request: pytest.FixtureRequest) -> str:
    found: str = request.param
    return found


@pytest.fixture
def data(name: str) -> Data:
    """A demo as it is read."""
    return demo(name)


def rows_of(data: Data, sheet_id: str) -> list[Data]:
    content = data[sheet_id]
    return content if isinstance(content, list) else [content]


def in_definition_unit(data: Data, column: Column, value: Any) -> Any:
    """A typed number in the unit that the bounds of its column are in."""
    typed = data["units"].get(column.sheet, {}).get(column.id, "")
    return convert(value, typed, column.unit) if column.is_number and column.unit else value


def scaled(data: Data) -> Data:
    document: Data = {"version": data["version"], "units": data["units"]}
    for sheet in DEFINITION.sheets:
        rows = [
            {key: in_definition_unit(data, sheet.column(key), value) for key, value in row.items()}
            for row in rows_of(data, sheet.id)
        ]
        document[sheet.id] = rows if sheet.kind == "table" else rows[0]
    return document


def stick_m(data: Data) -> float:
    return convert(data["season"]["stick_length"], data["units"]["season"]["stick_length"], "m")


def sessions_of(data: Data) -> list[Session]:
    """Sessions with their cuts and stacks, stacking within apart."""
    return list(records(data).sessions)


def solid_m3(data: Data, session: Session) -> float:
    return cut_solid_m3(session, stick_length_m=stick_m(data)) or 0.0


def ranked_m3(data: Data, session: Session) -> float:
    return tape_stacked_m3(session, records(data), stick_length_m=stick_m(data)) or 0.0


def tasks(data: Data) -> dict[str, str]:
    return {row["method"]: row["task"] for row in data["methods"]}


def volumes_by_lot(data: Data) -> dict[str, dict[str, tuple[float, float]]]:
    """Lot, then task, to solid volume from the cuts and ranked volume from the tape."""
    lots: dict[str, dict[str, tuple[float, float]]] = {}
    task_of = tasks(data)
    for session in sessions_of(data):
        by_task, task = lots.setdefault(session.lot or "", {}), task_of.get(session.method, "stack")
        solid, ranked = by_task.get(task, (0.0, 0.0))
        by_task[task] = (solid + solid_m3(data, session), ranked + ranked_m3(data, session))
    return lots


def stacked_lots(data: Data) -> dict[str, dict[str, tuple[float, float]]]:
    return {
        lot: by_task
        for lot, by_task in volumes_by_lot(data).items()
        if any(ranked for _, ranked in by_task.values()) and "buck" in by_task
    }


@pytest.fixture
def recipe(monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    monkeypatch.syspath_prepend(str(RECIPE))
    return importlib.import_module("invent")


def test_recipe_writes_the_kept_files(recipe: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kept = {path.name: path.read_bytes() for path in recipe.FOLDER.iterdir()}
    monkeypatch.setattr(recipe, "FOLDER", tmp_path / "demo")
    recipe.main()
    assert {path.name: path.read_bytes() for path in (tmp_path / "demo").iterdir()} == kept


def test_one_row_stands_in_each_line(name: str) -> None:
    lines = files("wood_xl.data").joinpath("demo", f"{name}.json").read_text(encoding="utf-8").splitlines()
    rows = sum(len(content) for content in typed(name).values() if isinstance(content, list))
    assert sum(line.startswith("{") and len(line) > 1 for line in lines) == rows


def test_season_fits_the_schema(data: Data) -> None:
    validator = jsonschema.Draft202012Validator(DEFINITION.schema, format_checker=jsonschema.FormatChecker())
    assert [error.message for error in validator.iter_errors(scaled(data))] == []


def test_schema_check_sees_a_number_beyond_its_bounds() -> None:
    data = demo(NAMES[0])
    data["cuts"][0]["diameter"] = 80  # in: above 200 cm
    validator = jsonschema.Draft202012Validator(DEFINITION.schema)
    assert [list(error.path) for error in validator.iter_errors(scaled(data))] == [["cuts", 0, "diameter"]]


def test_every_number_is_usual(data: Data) -> None:
    document = scaled(data)
    unusual = [
        (sheet.id, column.id, row[column.id])
        for sheet in DEFINITION.sheets
        for column in sheet.columns
        if column.plausible
        for row in rows_of(document, sheet.id)
        if column.id in row and not column.plausible[0] <= row[column.id] <= column.plausible[1]
    ]
    assert unusual == []


def test_units_are_those_of_the_blank_workbook(name: str) -> None:
    data = typed(name)
    system = "us" if data["season"]["currency"] == "USD" else "metric"
    expected = {
        sheet.id: {column.id: column.unit_in(system) for column in sheet.asked if column.units}
        for sheet in DEFINITION.sheets
    }
    assert data["units"] == {sheet_id: units for sheet_id, units in expected.items() if units}


def test_whole_numbers_are_written_without_a_point(name: str) -> None:
    data = typed(name)
    values = [value for sheet in DEFINITION.sheets for row in rows_of(data, sheet.id) for value in row.values()]
    assert [value for value in values if isinstance(value, float) and value.is_integer()] == []


def test_references_resolve(data: Data) -> None:
    lost = []
    for sheet in DEFINITION.sheets:
        for column in sheet.columns:
            if column.refers_to:
                there, key = column.refers_to.split(".")
                known = {row[key] for row in data[there]}
                lost += [
                    (column.ref, row[column.id])
                    for row in data[sheet.id]
                    if row.get(column.id, "") not in known | {""}
                ]
    assert lost == []


def test_names_are_unique(data: Data) -> None:
    for sheet in DEFINITION.sheets:
        if sheet.key:
            keys = Counter(tuple(row[key] for key in sheet.key) for row in data[sheet.id])
            assert max(keys.values()) == 1, sheet.id


def test_season_says_that_it_is_invented(data: Data) -> None:
    assert data["season"]["season_name"].startswith("Invented example: ")
    assert "invented" in data["season"]["place"]


def test_currencies_differ() -> None:
    us, metric = (typed(name)["season"]["currency"] for name in NAMES)
    assert us == "USD"
    assert metric not in ("USD", "EUR")


def test_methods_compare_hand_and_machine(data: Data) -> None:
    powered = {row["tool"] for row in data["tools"] if row["kind"] != "hand"}
    compared = {
        (row["task"], bool(powered & {row.get("tool_1"), row.get("tool_2")}))
        for row in data["methods"]
        if row["task"] in ("buck", "split")
    }
    assert compared == {("buck", True), ("buck", False), ("split", True), ("split", False)}


def test_every_method_was_tried_at_least_three_times(data: Data) -> None:
    counted = Counter(row["method"] for row in data["sessions"] if "leave_out" not in row)
    assert set(counted) == set(tasks(data))
    assert min(counted.values()) >= 3


def test_stacking_and_hauling_stand_alone_in_one_season_each() -> None:
    us, metric = (set(tasks(typed(name)).values()) for name in NAMES)
    assert us == {"buck", "split", "stack"}
    assert metric == {"buck", "split", "haul"}


def test_sessions_and_cuts_are_many(data: Data) -> None:
    assert 18 <= len(data["sessions"]) <= 22
    assert len({row["date"] for row in data["sessions"]}) >= 8
    bucking = {row["session"] for row in data["sessions"] if tasks(data)[row["method"]] == "buck"}
    assert {row["session"] for row in (*data["tally"], *data["cuts"])} >= bucking
    tallied = [one["cuts"] for row in data["tally"] if row["session"] in bucking for one in row["classes"]]
    assert sum(tallied) + sum(row.get("cuts", 1) for row in data["cuts"]) >= 250
    assert any("second_diameter" in row for row in data["cuts"])
    assert any(row.get("cuts", 1) > 1 for row in data["cuts"])
    assert {row["session"] for row in data["cuts"]}.isdisjoint(row["session"] for row in data["tally"])


def test_totals_on_paper_are_those_of_the_strokes(data: Data) -> None:
    totals = [(row["total"], row["classes"]) for row in data["tally"] if "total" in row]
    assert totals
    assert [total for total, classes in totals if total != sum(one["cuts"] for one in classes)] == []


def test_sizes_of_the_tally_are_those_of_the_blank_workbook(name: str) -> None:
    data = typed(name)
    unit, step = ("in", 1) if data["season"]["currency"] == "USD" else ("cm", 2)
    sizes = {one["class"] for row in data["tally"] for one in row["classes"]}
    assert sizes <= {f"{number} {unit}" for number in range(2 * step, 60, step)}
    assert len(sizes) >= 5
    assert max(map(size_m, sizes)) < 0.5


def test_times_are_by_the_clock_and_nobody_is_at_two_places(name: str) -> None:
    data = typed(name)
    assert not any("elapsed_time" in row for row in data["sessions"])
    busy: dict[tuple[str, str], list[tuple[float, float]]] = {}
    for row in data["sessions"]:
        start, stop = (minutes_of_clock(row[key]) for key in ("start", "stop"))
        assert 8 * 60 <= start < stop <= 19 * 60, row["session"]
        helpers = [helper["person"] for helper in data["helpers"] if helper["session"] == row["session"]]
        for person in (row["person"], *helpers):
            busy.setdefault((person, row["date"]), []).append((start, stop))
    for times in busy.values():
        times.sort()
        assert all(stop <= start for (_, stop), (start, _) in pairwise(times))


def test_several_numbers_stand_in_one_cell_here_and_there(name: str) -> None:
    data = typed(name)
    for column in ("delay_time", "service_time", "fuel_used"):
        assert any("+" in str(row.get(column, "")) for row in data["sessions"]), column
    assert any("; " in str(row["height"]) for row in data["stacks"])
    assert any("refills" in row for row in data["sessions"])


def test_somebody_stacked_within_a_splitting_session() -> None:
    assert any("stacking_time" in row for name in demo_names() for row in typed(name)["sessions"])


def test_cells_of_the_us_season_were_never_metric() -> None:
    feet = [row["length"] for row in typed(NAMES[0])["stacks"] if "'" in str(row["length"])]
    assert feet
    assert demo(NAMES[0])["season"]["stick_length"] == 16


def test_every_session_has_an_output(data: Data) -> None:
    for session in sessions_of(data):
        assert solid_m3(data, session) + ranked_m3(data, session) > 0, session.name


def test_stacks_have_several_shapes(data: Data) -> None:
    ranked = [row for row in data["stacks"] if "form" not in row]
    assert any("top_length" in row for row in ranked)
    assert any("top_length" not in row for row in ranked)
    assert any(row.get("rows", 1) > 1 for row in ranked)
    assert {row["form"] for row in data["stacks"] if "form" in row} <= {"crossed", "loose"}
    assert len(ranked) < len(data["stacks"])


def test_one_tool_runs_on_electricity(data: Data) -> None:
    electric = {row["tool"] for row in data["tools"] if row["kind"] in ("battery", "mains")}
    motor = {row["method"] for row in data["methods"] if electric & {row.get("tool_1"), row.get("tool_2")}}
    used = {row["method"] for row in data["sessions"] if row.get("electricity_used", 0) > 0}
    assert not used & {row["method"] for row in data["sessions"] if row.get("fuel_used", 0) > 0}
    assert used == motor != set()


def test_only_engines_burn_fuel(data: Data) -> None:
    engines = {row["tool"] for row in data["tools"] if row["kind"].startswith("gasoline")}
    engine = {row["method"] for row in data["methods"] if engines & {row.get("tool_1"), row.get("tool_2")}}
    used = {row["method"] for row in data["sessions"] if row.get("fuel_used", 0) > 0}
    assert used == engine != set()


def test_some_heart_rates_are_missing(data: Data) -> None:
    missing = [row for row in data["sessions"] if "mean_heart_rate" not in row]
    assert 0 < len(missing) < len(data["sessions"]) / 2
    assert any("monitor_energy" in row for row in data["sessions"])


def test_one_session_is_left_out_with_its_reason(data: Data) -> None:
    assert [len(row["leave_out"]) > 10 for row in data["sessions"] if "leave_out" in row] == [True]


def test_one_person_has_no_heart_data_and_one_no_height(data: Data) -> None:
    assert sum("height" not in row for row in data["people"]) == 1
    without = [row["person"] for row in data["people"] if "resting_heart_rate" not in row]
    assert len(without) == 1
    for sheet_id in ("sessions", "helpers"):
        assert all("mean_heart_rate" not in row for row in data[sheet_id] if row["person"] in without)


def test_a_heart_trace_stands_in_one_season() -> None:
    us, metric = (typed(name) for name in NAMES)
    assert metric["heart_trace"] == []
    assert len({row["session"] for row in us["heart_trace"]}) == 1
    seconds = [row["elapsed"] for row in us["heart_trace"]]
    assert seconds == sorted(set(seconds))
    assert 120 <= seconds[-1] <= 600


def test_wood_upkeep_and_next_season_are_filled(data: Data) -> None:
    assert len(data["wood"]) == 2
    assert {row["species"] for row in data["wood"]} <= set(species_names())
    assert sum(row["share"] for row in data["wood"]) == 100
    assert all("moisture" in row and "moisture_basis" in row for row in data["wood"])
    assert {row["per"] for row in data["upkeep"]} >= {"hours", "years"}
    assert {"start_date", "ready_by_date", "hours_per_week", "cash_limit"} <= data["next_season"].keys()
    assert data["next_season"].keys() & {"volume_wanted", "last_winter_volume"}
    assert data["next_season"]["start_date"] < data["next_season"]["ready_by_date"]


def test_times_fit_into_their_sessions(data: Data) -> None:
    elapsed = {row["session"]: row["elapsed_time"] for row in data["sessions"]}
    for row in data["sessions"]:
        working = row["elapsed_time"] - row["delay_time"] - row.get("service_time", 0)
        assert row.get("running_time", 0) + row.get("stacking_time", 0) <= working
        assert row["elapsed_time"] <= data["trial"]["longest_session"], row["session"]
    for row in data["helpers"]:
        assert row.get("time", 0) <= elapsed[row["session"]]


def test_helpers_are_not_the_main_person(data: Data) -> None:
    assert len(data["helpers"]) >= 3
    main = {row["session"]: row["person"] for row in data["sessions"]}
    assert [row for row in data["helpers"] if main[row["session"]] == row["person"]] == []


def test_heart_rates_lie_between_rest_and_highest(data: Data) -> None:
    people = {row["person"]: row for row in data["people"]}
    for row in [*data["sessions"], *data["helpers"]]:
        if "mean_heart_rate" in row:
            person = people[row["person"]]
            assert 95 <= row["mean_heart_rate"] <= 140
            highest = person.get("max_heart_rate", effort_equations.max_heart_rate_bpm(person["age"]))
            assert person["resting_heart_rate"] < row["mean_heart_rate"] < highest


def test_resale_is_not_above_price(data: Data) -> None:
    assert [row["tool"] for row in data["tools"] if row.get("resale", 0) > row.get("price", 0)] == []


def test_lots_that_were_cut_and_stacked_give_a_usual_solid_fraction(data: Data) -> None:
    lots = stacked_lots(data)
    assert len(lots) >= 2
    for lot, by_task in lots.items():
        solid = max(solid for solid, _ in by_task.values())
        ranked = max(ranked for _, ranked in by_task.values())
        fraction = geometry.measured_solid_fraction(solid_m3=solid, ranked_equivalent_m3=ranked)
        assert 0.62 <= fraction <= 0.66, lot


def test_each_task_goes_through_the_whole_lot(data: Data) -> None:
    for by_task in stacked_lots(data).values():
        expected, _ = by_task["buck"]
        for solid, ranked in by_task.values():
            dealt_with = solid + ranked * geometry.solid_fraction_of("ranked split")  # either is of other sticks
            assert dealt_with == pytest.approx(expected, rel=0.05)


# Worker hours for a cord, pauses and service included: wide enough for anybody's real notes.
HOURS_PER_CORD = {
    ("buck", False): (4, 9),
    ("buck", True): (1.2, 2.5),
    ("split", False): (2.5, 5),
    ("split", True): (0.9, 3.5),
    ("stack", False): (0.5, 1.8),
    ("haul", False): (0.5, 2),
}


def powered_methods(data: Data) -> set[str]:
    powered = {row["tool"] for row in data["tools"] if row["kind"] != "hand"}
    return {row["method"] for row in data["methods"] if powered & {row.get("tool_1"), row.get("tool_2")}}


def cords(data: Data, session: Session) -> float:
    return geometry.cords(
        ranked_m3(data, session)
        or geometry.stacked_volume_m3(
            solid_m3=solid_m3(data, session), solid_fraction=geometry.solid_fraction_of("ranked split")
        )
    )


def test_hours_for_a_cord_are_believable(data: Data) -> None:
    task_of = tasks(data)
    for session in sessions_of(data):
        if not session.leave_out:
            worked = (session.elapsed_min or 0.0) + sum(worker.time_min for worker in session.workers[1:])
            way = task_of.get(session.method, "stack"), session.method in powered_methods(data)
            low, high = HOURS_PER_CORD[way]
            assert low <= worked / 60 / cords(data, session) <= high, session.name


def test_fuel_for_a_cord_is_believable(data: Data) -> None:
    burned = [session for session in sessions_of(data) if session.fuel_l]
    assert burned
    for session in burned:
        assert 0.4 <= (session.fuel_l or 0.0) / cords(data, session) <= 1.2, session.name


def hours_per_cord(data: Data) -> dict[str, dict[str, list[float]]]:
    """Method, then day, to the hours for a cord of its sessions that count."""
    found: dict[str, dict[str, list[float]]] = {}
    for session in sessions_of(data):
        if not session.leave_out and session.method in tasks(data):
            hours = sum(worker.time_min for worker in session.workers) / 60
            by_day = found.setdefault(session.method, {})
            by_day.setdefault(session.date or "", []).append(hours / cords(data, session))
    return found


@pytest.mark.slow
def test_days_differ_as_real_ones_do(data: Data) -> None:
    """By about a fifth, around the middle of their method."""
    left: list[float] = []
    for by_day in hours_per_cord(data).values():
        logs = [statistics.fmean(map(math.log, hours)) for hours in by_day.values()]
        left += [log - statistics.fmean(logs) for log in logs]
    methods_n = len(hours_per_cord(data))
    assert 0.12 <= math.sqrt(math.fsum(log**2 for log in left) / (len(left) - methods_n)) <= 0.3


def test_grown_persons_try_every_way_of_a_task_that_has_several(data: Data) -> None:
    tried: dict[str, set[str]] = {}
    for row in data["sessions"]:
        if "leave_out" not in row:
            tried.setdefault(row["method"], set()).add(row["person"])
    ways = Counter(tasks(data).values())
    compared = [method for method, task in tasks(data).items() if ways[task] > 1]
    assert len(compared) >= 4
    assert {len(tried[method]) for method in compared} == {2}
    assert len({frozenset(tried[method]) for method in compared}) == 1


def test_a_tool_is_still_to_buy_and_one_is_rented() -> None:
    held = {name: {row["held"] for row in typed(name)["tools"]} for name in NAMES}
    assert all("to buy" in ways for ways in held.values())
    assert "rented" in held[NAMES[1]]
    (rented,) = (row for row in typed(NAMES[1])["tools"] if row["held"] == "rented")
    assert "price" not in rented
    method = next(row["method"] for row in typed(NAMES[1])["methods"] if row["tool_1"] == rented["tool"])
    assert len({row["date"] for row in typed(NAMES[1])["sessions"] if row["method"] == method}) == 2


def test_the_one_under_18_stacks_and_does_nothing_else() -> None:
    data = demo(NAMES[0])
    (child,) = (row for row in data["people"] if row["age"] < 18)
    assert "may_use" not in child
    main = [row["method"] for row in data["sessions"] if row["person"] == child["person"]]
    helped = {row["session"] for row in data["helpers"] if row["person"] == child["person"]}
    main += [row["method"] for row in data["sessions"] if row["session"] in helped]
    assert len(main) >= 3
    assert {tasks(data)[method] for method in main} == {"stack"}


def test_whoever_used_a_powered_tool_may_use_it(data: Data) -> None:
    powered = {row["tool"] for row in data["tools"] if row["kind"] != "hand"}
    may = {row["person"]: {*row.get("may_use", "").split("; ")} for row in data["people"]}
    for row in data["sessions"]:
        method = next(one for one in data["methods"] if one["method"] == row["method"])
        used = powered & {method.get("tool_1"), method.get("tool_2")}
        assert used <= may[row["person"]], row["session"]
