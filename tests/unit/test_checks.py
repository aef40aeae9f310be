"""Every problem of the catalogue that a filled workbook can hold, with the cell it is told for."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from builders import Cells, Data, at, checked, item_row, raw_book, season_cells, small_season, tables, text_cell
from few import few, together

import wood_xl
from wood_xl.notes.convert import season_records
from wood_xl.notes.problem import Level, Place, Problem, catalogue, in_report_order, problem, quoted
from wood_xl.notes.raw import Kind, RawBook, RawCell
from wood_xl.notes.season import check_season
from wood_xl.page_texts import HowToMend, InMessage
from wood_xl.pipeline import computed_tables
from wood_xl.schema.layout import HEADER_ROW
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import phrase, words

Change = Callable[[Data], None]
Edit = Callable[[dict[str, Cells]], None]
FIRST = HEADER_ROW + 1
GRID = at("season.grid_intensity")
PRICE = [column.id for column in season_definition().sheet("tools").columns].index("price") + 1


def found(change: Change) -> list[tuple[str, str]]:
    """(code, cell) of everything that checks and computation find in the small season after a change."""
    data = small_season()
    change(data)
    season = checked(data)
    problems = list(season.problems)
    problems += computed_tables(season)[1]
    return [(one.code, one.where) for one in problems]


def set_in(sheet_id: str, index: int, **values: object) -> Change:
    def change(data: Data) -> None:
        data[sheet_id][index].update(values)

    return change


def set_item(**values: object) -> Change:
    def change(data: Data) -> None:
        data["season"].update(values)
        data["units"]["season"]["real_interest_rate"] = "%"

    return change


def in_unit(change: Change, sheet_id: str, column_id: str, unit: str) -> Change:
    """The change, typed in that unit."""

    def changed(data: Data) -> None:
        change(data)
        data["units"][sheet_id][column_id] = unit

    return changed


def drop(sheet_id: str, index: int, column_id: str) -> Change:
    def change(data: Data) -> None:
        del data[sheet_id][index][column_id]

    return change


def add(sheet_id: str, **row: object) -> Change:
    def change(data: Data) -> None:
        data.setdefault(sheet_id, []).append(row)

    return change


def unchanged(data: Data) -> None:
    assert data["sessions"]


def wood(*rows: dict[str, object]) -> Change:
    """These kinds of wood on the Wood sheet; shares and moisture in per cent."""

    def change(data: Data) -> None:
        data["wood"].extend(rows)
        data["units"]["wood"] = {"share": "%", "moisture": "%", "basic_density": "kg/m3"}

    return change


def heating(unit: str = "per kWh", **items: object) -> Change:
    """Items of the Season sheet on the stove and the other heating; the price in that unit."""

    def change(data: Data) -> None:
        data["season"].update(items)
        data["units"]["season"].update(displaced_fuel_price=unit, displaced_efficiency="%", appliance_efficiency="%")

    return change


def last_fuel(unit: str, **items: object) -> Change:
    """Fuel of last winter in that unit, with items of the Season sheet."""

    def change(data: Data) -> None:
        data["season"].update(items)
        data["next_season"]["last_winter_fuel"] = 900
        data["units"]["next_season"] = {"last_winter_fuel": unit}

    return change


DRY_ASH: dict[str, object] = {"species": "ash, white", "moisture": 25, "moisture_basis": "dry"}

CASES: list[tuple[Change, str, str]] = [
    (lambda data: data["season"].pop("currency"), "item-missing", at("season.currency")),
    (set_item(stick_length=0), "cell-out-of-range", at("season.stick_length")),
    (set_item(stick_length=5e-324), "cell-out-of-range", at("season.stick_length")),
    (set_item(stick_length=1e308), "cell-out-of-range", at("season.stick_length")),
    (set_item(real_interest_rate=55), "cell-out-of-range", at("season.real_interest_rate")),
    (set_item(stick_length=150), "cell-unusual", at("season.stick_length")),
    (set_item(real_interest_rate=0.03), "cell-share-of-one", at("season.real_interest_rate")),
    (wood({"species": "softwood", "moisture": 0.2, "moisture_basis": "dry"}),
     "cell-share-of-one", at("wood.moisture", 4)),
    (drop("methods", 0, "tool_1"), "row-no-tool", at("methods.tool_1", 4)),
    (add("tools", tool="Maul", kind="hand", price=60, life_years=9),
     "season-tool-without-method", at("tools.tool", 6)),
    (set_in("cuts", 0, diameter=250), "cell-out-of-range", at("cuts.diameter", 4)),
    (set_in("cuts", 1, diameter=95), "cell-unusual", at("cuts.diameter", 5)),
    (set_in("sessions", 0, session="x" * 41), "cell-too-long", at("sessions.session", 4)),
    (drop("sessions", 0, "elapsed_time"), "row-no-time", at("sessions.elapsed_time", 4)),
    (set_in("sessions", 0, delay_time=60, service_time=50), "row-parts-over-whole", at("sessions.delay_time", 4)),
    (set_in("sessions", 0, running_time=100), "row-running-over-whole", at("sessions.running_time", 4)),
    (set_in("tools", 0, resale=500), "row-resale-over-price", at("tools.resale", 4)),
    (set_in("stacks", 0, top_length=2.0), "row-top-over-bottom", at("stacks.top_length", 4)),
    (drop("tools", 0, "life_years"), "row-no-life", at("tools.life_years", 4)),
    (drop("tools", 1, "price"), "row-no-price", at("tools.price", 5)),
    (set_in("tools", 0, price=0), "row-price-zero", at("tools.price", 4)),
    (set_in("upkeep", 0, every=0), "cell-out-of-range", at("upkeep.every", 4)),
    (set_in("tools", 0, life_years=0.1), "season-tool-worn-out", at("tools.life_years", 4)),
    (set_in("tools", 0, life_hours=2), "season-tool-worn-out", at("tools.life_hours", 4)),
    (set_in("people", 0, max_heart_rate=105, resting_heart_rate=106),
     "row-rest-over-max", at("people.resting_heart_rate", 4)),
    (add("tools", tool="bow SAW", kind="hand"), "table-duplicate-key", at("tools.tool", 6)),
    (add("sessions", session="A", method="By bow saw", elapsed_time=30),
     "table-duplicate-key", at("sessions.session", 4)),
    (add("cuts", session="Q", diameter=20), "table-unknown-reference", at("cuts.session", 7)),
    (set_in("sessions", 0, method="By bow sow"), "table-unknown-reference", at("sessions.method", 4)),
    (set_in("sessions", 0, person="Adda"), "table-unknown-reference", at("sessions.person", 4)),
    (set_in("helpers", 0, person="Ada"), "table-helper-is-main", at("helpers.person", 4)),
    (set_in("helpers", 0, time=61), "table-helper-too-long", at("helpers.time", 4)),
    (set_in("sessions", 0, mean_heart_rate=60), "table-heart-rate-below-rest", at("sessions.mean_heart_rate", 4)),
    (set_in("sessions", 0, mean_heart_rate=183), "table-heart-rate-above-usual", at("sessions.mean_heart_rate", 4)),
    (set_in("people", 0, max_heart_rate=118), "table-heart-rate-above-max", at("sessions.mean_heart_rate", 4)),
    (set_in("people", 0, age=46), "row-outside-equation", at("people.age", 4)),
    (set_in("people", 0, age=17), "row-outside-equation", at("people.age", 4)),
    (set_in("people", 0, mass=121), "row-outside-equation", at("people.mass", 4)),
    (set_in("people", 0, mass=46), "row-outside-equation", at("people.mass", 4)),
    *((set_in("people", 0, age=age), "cell-unusual", at("people.age", 4)) for age in (15, 91)),
    *((set_in("people", 0, mass=mass), "cell-unusual", at("people.mass", 4)) for mass in (39, 201)),
    *((set_in("people", 0, resting_heart_rate=rate),
     "cell-unusual", at("people.resting_heart_rate", 4)) for rate in (34, 110)),
    (set_in("people", 0, resting_heart_rate=111), "cell-out-of-range", at("people.resting_heart_rate", 4)),
    (set_in("sessions", 0, mean_heart_rate=221), "cell-unusual", at("sessions.mean_heart_rate", 4)),
    (set_in("sessions", 2, mean_heart_rate=39), "cell-unusual", at("sessions.mean_heart_rate", 6)),
    (set_in("people", 0, resting_heart_rate=95, max_heart_rate=95),
     "row-rest-over-max", at("people.resting_heart_rate", 4)),
    (set_in("sessions", 0, mean_heart_rate=59), "table-heart-rate-below-rest", at("sessions.mean_heart_rate", 4)),
    (set_in("tools", 1, vibration=0), "cell-out-of-range", at("tools.vibration", 5)),
    (set_in("tools", 1, vibration=50), "cell-unusual", at("tools.vibration", 5)),
    (set_in("tools", 1, vibration=51), "cell-out-of-range", at("tools.vibration", 5)),
    (set_in("tools", 1, sound_level=125), "cell-unusual", at("tools.sound_level", 5)),
    (set_in("tools", 1, sound_level=141), "cell-out-of-range", at("tools.sound_level", 5)),
    (set_in("sessions", 0, fuel_used=0.3), "table-fuel-without-engine", at("sessions.fuel_used", 4)),
    (set_in("sessions", 0, electricity_used=2),
     "table-electricity-without-motor", at("sessions.electricity_used", 4)),
    (set_in("sessions", 1, electricity_used=2),
     "table-electricity-without-motor", at("sessions.electricity_used", 5)),
    (lambda d: (add("tools", tool="Tractor", kind="diesel", price=9)(d), set_in("methods", 1, tool_2="Tractor")(d)),
     "table-two-fuels", at("methods.tool_2", 5)),
    (lambda data: data["sessions"].clear(), "season-no-sessions", "Sessions"),
    (lambda data: data.update(helpers=[{"session": "A", "person": f"P{i}", "time": 5} for i in range(60)]),
     "season-too-many-people", "Sessions"),
    (lambda data: data["stacks"].clear(), "season-session-without-output", at("sessions.session", 6)),
    (set_in("sessions", 2, date="2027-03-03"), "season-date-far-off", at("sessions.date", 6)),
    (add("methods", method="By axe", task="split"), "season-method-without-session", at("methods.method", 6)),
    (set_in("stacks", 0, height=0.42), "season-lot-fraction-unusual", at("sessions.lot", 4)),
    (set_in("stacks", 0, height=0.32), "season-lot-fraction-impossible", at("sessions.lot", 4)),
    (set_item(emission_factor_set="UK 2024", gwp_set="AR6"), "season-mixed-potentials", at("season.gwp_set")),
    (set_item(food_fossil_ratio=3), "season-food-not-counted", at("season.food_fossil_ratio")),
    (set_item(food_fossil_ratio=40), "cell-out-of-range", at("season.food_fossil_ratio")),
    (in_unit(set_item(grid_intensity=780), "season", "grid_intensity", "kg/kWh"), "cell-out-of-range", GRID),
    (in_unit(set_item(grid_intensity=0.35), "season", "grid_intensity", "lb/MWh"), "cell-unusual", GRID),
    (in_unit(set_item(grid_intensity=-1), "season", "grid_intensity", "kg/kWh"), "cell-out-of-range", GRID),
    (set_item(ethanol_share=110), "cell-out-of-range", at("season.ethanol_share")),
    (set_item(ethanol_share=85), "cell-unusual", at("season.ethanol_share")),
    (set_item(two_stroke_mix=5), "cell-out-of-range", at("season.two_stroke_mix")),
    (set_item(two_stroke_mix=150), "cell-unusual", at("season.two_stroke_mix")),
    (set_item(emission_factor_set="EPA"), "cell-not-in-list", at("season.emission_factor_set")),
    (in_unit(set_in("tools", 1, mass=6000), "tools", "mass", "kg"), "cell-out-of-range", at("tools.mass", 5)),
    (in_unit(set_in("tools", 1, rated_power=0.05), "tools", "rated_power", "kW"), "table-fuel-over-engine",
     at("sessions.fuel_used", 5)),
    (set_in("sessions", 1, fuel_used=6), "table-fuel-over-engine", at("sessions.fuel_used", 5)),
    (drop("sessions", 1, "fuel_used"), "table-fuel-not-recorded", at("sessions.fuel_used", 5)),
    (add("sessions", session="D", method="By chain saw", elapsed_time=20), "table-fuel-partly-recorded",
     at("sessions.fuel_used", 7)),
    (lambda data: data["season"].pop("two_stroke_oil_price"), "item-no-price", "{Season.two_stroke_oil_price}"),
    (wood({"species": "white ahs"}), "table-unknown-tree", at("wood.species", 4)),
    (wood({"species": "eucalyptus", "basic_density": 600}), "table-tree-by-density", at("wood.species", 4)),
    (wood({**DRY_ASH, "share": 60}, {"species": "softwood"}), "row-share-missing", at("wood.share", 5)),
    (wood({**DRY_ASH, "share": 60}, {"species": "softwood", "share": 30}),
     "table-shares-not-100", at("wood.share", 5)),
    (wood({**DRY_ASH, "share": 60}), "table-shares-not-100", at("wood.share", 4)),
    (wood({"species": "ash, white", "moisture": 25}), "row-moisture-without-basis", at("wood.moisture", 4)),
    (wood({"species": "ash, white", "moisture": 61}), "row-moisture-needs-basis", at("wood.moisture", 4)),
    (wood({"species": "ash, white", "moisture": 65, "moisture_basis": "wet"}),
     "row-moisture-maybe-dry", at("wood.moisture", 4)),
    (wood({"species": "ash, white", "moisture": 80, "moisture_basis": "wet"}),
     "row-moisture-impossible", at("wood.moisture", 4)),
    (wood({"species": "ash, white", "moisture": 260, "moisture_basis": "dry"}),
     "cell-out-of-range", at("wood.moisture", 4)),
    (wood({"species": "ash, white", "moisture": 20, "moisture_basis": "damp"}),
     "cell-not-in-list", at("wood.moisture_basis", 4)),
    (heating(appliance_efficiency=170), "cell-out-of-range", "{Season.appliance_efficiency}"),
    (heating(displaced_fuel="natural gas", displaced_fuel_price=3, unit="per gal"), "item-fuel-unit",
     "{Season.displaced_fuel_price}"),
    (heating(displaced_fuel="heating oil", displaced_efficiency=140), "item-efficiency-over-100",
     "{Season.displaced_efficiency}"),
    (last_fuel("therm", displaced_fuel="heat pump"), "item-fuel-unit", "{Next season.last_winter_fuel}"),
    (last_fuel("gal"), "item-fuel-not-named", "{Next season.last_winter_fuel}"),
    (lambda d: (wood(DRY_ASH)(d), heating(appliance_efficiency=93, appliance_efficiency_basis="gross")(d)),
     "season-efficiency-over-whole", "{Season.appliance_efficiency_basis}"),
    (unchanged, "season-default-used", at("season.real_interest_rate")),
    (lambda d: d["season"].pop("yearly_volume"), "season-own-yearly-volume", at("season.yearly_volume")),
    (unchanged, "table-person-without-data", at("helpers.person", 4)),
    (set_in("helpers", 0, person="Ben and Cy"), "table-person-several", at("helpers.person", 4)),
    (set_in("stacks", 0, session="A & B"), "table-several-names", at("stacks.session", 4)),
    (set_in("methods", 0, tool_1="chain saw, Bow saw"), "table-several-names", at("methods.tool_1", 4)),
]  # fmt: skip


@together(("change", "code", "where"), few(CASES, *CASES[::12]))
def test_problem_is_told_for_its_cell(change: Change, code: str, where: str) -> None:
    assert (code, cell_named(where)) in found(change)


@pytest.mark.parametrize(("sheet", "index"), [("sessions", 0), ("helpers", 0)])
def test_hours_wait_where_two_people_stand_in_the_cell_of_one(sheet: str, index: int) -> None:
    data = small_season()
    data["people"].append({"person": "Bo", "age": 30})
    data[sheet][index]["person"] = "Ada & Bo"
    cell = at(f"{sheet}.person", 4)
    assert ("table-several-names", cell) in found(lambda d: d.update(data))
    method = data["sessions"][0 if sheet == "sessions" else 1]["method"]
    (row,) = [row for row in tables(data).tables["rates_per_cord"] if row["method"] == method]
    assert row["worker_hours"].value is None
    assert cell in words(row["worker_hours"].reason)


def cell_named(where: str) -> str:
    """The cell of an item that is named as ``{Sheet.item}``; any other name as it is."""
    if not where.startswith("{"):
        return where
    title, item = where.strip("{}").split(".")
    sheet = next(sheet for sheet in season_definition().sheets if sheet.title == title)
    return f"{title}!B{FIRST + [column.id for column in sheet.columns].index(item)}"


def lines_of(change: Change) -> list[str]:
    data = small_season()
    change(data)
    return [one.line() for one in checked(data).problems]


def test_a_tree_that_is_not_known_has_its_nearest_names() -> None:
    (line,) = [line for line in lines_of(wood({"species": "red oak"})) if "red oak" in line]
    assert '"oak, northern red", "oak, southern red"' in line
    (line,) = [line for line in lines_of(wood({"species": "beach"})) if "beach" in line]
    assert '"beech, American", "beech, European"' in line
    for name in ("white ash", "Ash, White", "fraxinus americana", "hardwood"):
        assert [code for code, _ in found(wood({"species": name})) if code == "table-unknown-tree"] == []


@together(("rate", "percent"), [(0.03, "3"), (0.1, "10"), (0.5, ""), (0, ""), (1, "")])
def test_a_rate_below_one_per_cent_is_told_if_a_hundred_times_as_much_is_usual(rate: float, percent: str) -> None:
    data = small_season()
    set_item(real_interest_rate=rate)(data)
    mends = [one.mend for one in checked(data).problems if one.code == "cell-share-of-one"]
    assert [set(re.findall(r"\d+", mend)) for mend in mends] == ([{percent}] if percent else [])


def test_a_share_of_one_has_one_line_only() -> None:
    """Moisture of 0.2 % is unusual, and an efficiency of 0.7 % a FIX whose mend says the same."""
    moist = wood({"species": "softwood", "moisture": 0.2, "moisture_basis": "dry"})
    assert [code for code, where in found(moist) if where == at("wood.moisture", 4)] == ["cell-share-of-one"]
    stove = found(heating(appliance_efficiency=0.7))
    assert [code for code, where in stove if where == cell_named("{Season.appliance_efficiency}")] == [
        "cell-out-of-range"
    ]


def test_shares_of_one_are_told_as_per_cent() -> None:
    def mend(*shares: float) -> str:
        data = small_season()
        wood(
            *({"species": tree, "share": share} for tree, share in zip(("hardwood", "softwood"), shares, strict=True))
        )(data)
        (one,) = [one for one in checked(data).problems if one.code == "table-shares-not-100"]
        return one.mend

    assert "70, 30" in mend(0.7, 0.3)
    assert "67, 33" in mend(0.67, 0.33)
    assert mend(70, 20) == words(HowToMend.MEND_SHARES)


@together(
    ("change", "is_told"),
    [
        (set_in("methods", 0, task="haul"), False),
        (set_in("methods", 0, task="stack"), False),
        (set_in("methods", 0, task="limb"), True),
        (set_in("methods", 0, tool_3="Bow saw"), False),
        (set_in("methods", 0, tool_1="Bow sow"), False),  # a name to mend is no empty cell
    ],
)
def test_a_method_without_tool_is_told_if_its_task_needs_one(change: Change, is_told: bool) -> None:
    def without(data: Data) -> None:
        del data["methods"][0]["tool_1"]
        change(data)

    assert (("row-no-tool", at("methods.tool_1", 4)) in found(without)) == is_told


def test_a_method_without_tool_that_was_not_tried_is_left_alone() -> None:
    added = found(add("methods", method="By axe", task="split"))
    assert "row-no-tool" not in [code for code, _ in added]


def test_a_tool_is_not_called_unused_while_a_name_waits_for_a_mend() -> None:
    codes = [code for code, _ in found(set_in("methods", 0, tool_1="Bow sow"))]
    assert "table-unknown-reference" in codes
    assert "season-tool-without-method" not in codes


def test_thirds_may_be_written_as_33() -> None:
    thirds = wood(*({"species": name, "share": 33} for name in ("hardwood", "softwood", "tamarack")))
    assert "table-shares-not-100" not in {code for code, _ in found(thirds)}


def test_a_reading_without_basis_is_shown_on_the_other() -> None:
    data = small_season()
    wood({"species": "hardwood", "moisture": 25})(data)
    (told,) = (one for one in checked(data).problems if one.code == "row-moisture-without-basis")
    assert "25% there is 20% here" in told.text


def test_body_outside_the_equation_names_the_figures_that_are_carried_beyond_it() -> None:
    data = small_season()
    data["units"]["people"]["mass"] = "lb"
    data["people"][0] |= {"age": 50, "mass": 300}
    age, mass = (one for one in checked(data).problems if one.code == "row-outside-equation")
    assert age.where == "People!B4"
    assert all(fact in age.text for fact in ("50 years", "18 to 45 years", words(InMessage.AS_IS_MODELED_TIME)))
    assert all(fact in mass.text for fact in ("300 lb", "104 to 265 lb"))
    assert words(InMessage.AS_IS_MODELED_TIME) not in mass.text


def without_rate(data: Data) -> None:
    del data["sessions"][0]["mean_heart_rate"]


def with_trace(data: Data) -> None:
    without_rate(data)
    data["heart_trace"] = [{"session": "A", "elapsed": 0, "heart_rate": 110}]


def with_trace_of_a_helper(data: Data) -> None:
    with_trace(data)
    data["heart_trace"][0] |= {"session": "B", "person": "ada"}


@together(
    ("change", "is_told"),
    [
        (unchanged, True),
        (without_rate, False),
        (with_trace, True),
        (with_trace_of_a_helper, True),
        (set_in("people", 0, rate_limiting_medicine="yes"), False),
    ],
)
def test_body_outside_the_equation_matters_only_with_a_heart_rate(change: Change, is_told: bool) -> None:
    def older(data: Data) -> None:
        change(data)
        data["people"][0]["age"] = 60

    assert ("row-outside-equation" in [code for code, _ in found(older)]) == is_told


def test_an_unused_heart_rate_is_reported_at_the_cell_that_it_lacks() -> None:
    def told(change: Change) -> list[str]:
        data = small_season()
        change(data)
        return [one.where for one in checked(data).problems if one.code == "row-heart-rate-not-used"]

    def no_body(data: Data) -> None:
        del data["people"][0]["mass"], data["people"][0]["age"]

    def no_rate(data: Data) -> None:
        no_body(data)
        without_rate(data)

    assert (told(unchanged), told(no_body), told(no_rate)) == ([], ["People!B4", "People!C4"], [])


@pytest.mark.parametrize(("column", "is_told"), [("vo2max", True), ("mass", True), ("resting_heart_rate", False)])
def test_rough_figures_by_heart_rate_are_reported_only_where_they_are_given(column: str, is_told: bool) -> None:
    """With a resting rate the modeled time is still given; each case is without the columns up to its own."""

    def older(data: Data) -> None:
        columns = ["vo2max", "mass", "resting_heart_rate"]
        for one in columns[: columns.index(column) + 1]:
            data["people"][0].pop(one, None)
        data["people"][0]["age"] = 60

    assert ("row-outside-equation" in [code for code, _ in found(older)]) == is_told


@pytest.mark.parametrize("typed", ["32 ct", "32 Cents", "32\u00a2"])
def test_cents_are_offered_as_a_hundredth(typed: str) -> None:
    (told,) = edited_problems(put("tools", FIRST, PRICE, text_cell(typed)))
    assert "type 0.32." in told.mend


def test_a_season_without_faults_has_none() -> None:
    assert {catalogue()[code]["level"] for code, _ in found(unchanged)} <= {"NOTE", "LOOK"}


def edited(edit: Edit) -> list[tuple[str, str]]:
    return [(one.code, one.where) for one in checked(small_season(), edit=edit).problems]


def edited_problems(edit: Edit) -> list[Problem]:
    """What must be mended at the first price."""
    return [one for one in checked(small_season(), edit=edit).problems if one.where == at("tools.price", FIRST)]


def put(sheet_id: str, row: int, column: int, cell: RawCell) -> Edit:
    def edit(cells: dict[str, Cells]) -> None:
        cells[sheet_id][row, column] = cell

    return edit


@together(
    ("edit", "code", "where"),
    [
        (put("season", 40, 1, text_cell("Weather")), "nothing", ""),
        (put("cuts", FIRST, 2, text_cell("12,5")), "cell-decimal-comma", at("cuts.diameter", 4)),
        (put("cuts", FIRST, 2, RawCell(Kind.ERROR, "#REF!")), "cell-error-value", at("cuts.diameter", 4)),
        (put("tools", FIRST, PRICE, text_cell("\u20ac 400")), "cell-money-with-sign", at("tools.price", 4)),
        (put("tools", FIRST, PRICE, text_cell("400 kr")), "cell-money-with-sign", at("tools.price", 4)),
        (put("tools", FIRST, PRICE, text_cell("~400")), "cell-not-a-number", at("tools.price", 4)),
        (
            put("tools", FIRST, PRICE, RawCell(Kind.NUMBER, 400.0, as_shown="\u20ac")),
            "cell-other-currency",
            at("tools.price", 4),
        ),
        (
            put("upkeep", FIRST, 3, RawCell(Kind.NUMBER, 9.0, as_shown="USD")),
            "cell-other-currency",
            at("upkeep.price", 4),
        ),
    ],
)
def test_edited_cells(edit: Edit, code: str, where: str) -> None:
    codes = edited(edit)
    assert ((code, where) in codes) == (code != "nothing")


def test_words_that_were_read_have_one_note_for_each_word_and_column() -> None:
    def edit(cells: dict[str, Cells]) -> None:
        cells["methods"][FIRST, 2] = text_cell("bucking")
        cells["methods"][FIRST + 1, 2] = text_cell("bucking")
        cells["tools"][FIRST, 2] = text_cell("handsaw")
        cells["tools"][FIRST + 1, 2] = text_cell("2-stroke")
        cells["season"][item_row("season.stack_form"), 2] = text_cell("thrown")

    season = checked(small_season(), edit=edit)
    told = [one for one in season.problems if one.code == "cell-word-read"]
    assert [(one.where, one.count, *re.findall(r'"([^"]*)"', one.text)) for one in told] == [
        ("Methods!B4", 2, "bucking", "buck"),
        ("Tools!B4", 1, "handsaw", "hand"),
        ("Tools!B5", 1, "2-stroke", "gasoline two-stroke"),
        (at("season.stack_form"), 1, "thrown", "loose"),
    ]
    assert [row["task"] for row in season.document.rows("methods")] == ["buck", "buck"]


def test_items_out_of_place() -> None:
    def edit(cells: dict[str, Cells]) -> None:
        cells["season"][50, 1] = text_cell("Weather")
        cells["season"][50, 2] = text_cell("fair")
        cells["season"][51, 1] = text_cell("Currency")
        cells["season"][51, 2] = text_cell("SEK")
        del cells["season"][FIRST, 1]
        cells["season"][FIRST, 1] = text_cell("Seasons name")

    codes = edited(edit)
    assert ("item-unknown", "Season!A50") in codes
    assert ("item-double", "Season!B51") in codes
    assert ("item-near", "Season!A4") in codes


def with_sheet(title: str, **changes: object) -> RawBook:
    book = raw_book(small_season())
    return RawBook(
        tuple(replace(sheet, **changes) if sheet.title == title else sheet for sheet in book.sheets),  # type: ignore[arg-type]
        sha256="",
        template_version="1.0",
    )


@together(
    ("title", "changes", "code"),
    [
        ("Cuts", {"merged": ((FIRST, 1, FIRST + 1, 1),)}, "cell-merged"),
        ("Cuts", {"hidden_rows": frozenset({FIRST})}, "sheet-hidden-rows"),
        ("Cuts", {"hidden_columns": frozenset({2})}, "sheet-hidden-column"),
        ("Cuts", {"hidden": True}, "sheet-hidden"),
        ("Cuts", {"rows_beyond_limit": 7}, "sheet-too-many-rows"),
        ("Cuts", {"cells": Cells({(1, 1): text_cell("nothing here")})}, "header-missing-row-optional"),
        ("Sessions", {"cells": Cells({(1, 1): text_cell("nothing here")})}, "header-missing-row"),
    ],
)
def test_faults_of_a_sheet(title: str, changes: dict[str, object], code: str) -> None:
    assert code in [one.code for one in check_season(with_sheet(title, **changes)).problems]


def test_a_broken_cell_keeps_back_only_the_figures_that_need_it() -> None:
    season = checked(small_season(), edit=put("cuts", FIRST + 2, 2, text_cell("30 spans")))
    computed = season_cells(season_records(season)[0])
    by_saw, by_chain = computed["rates_per_cord"]
    assert by_saw["worker_hours"].value is not None
    assert by_chain["worker_hours"].value is None
    assert words(computed["sessions"][1]["state"]) == "needs Cuts!B6"
    assert computed["sessions"][1]["clock_hours"].value == 1.0


def test_a_price_shown_in_a_sign_that_may_be_the_currency_is_read() -> None:
    """The season is in NOK, which kr may stand for; a length has no currency whatever it is dressed in."""
    for edit in (put("tools", FIRST, PRICE, RawCell(Kind.NUMBER, 400.0, as_shown="kr")),
                 put("cuts", FIRST, 2, RawCell(Kind.NUMBER, 20.0, as_shown="$"))):  # fmt: skip
        assert [code for code, _ in edited(edit) if code == "cell-other-currency"] == []


def test_a_price_in_another_currency_keeps_back_only_what_it_feeds() -> None:
    euros = RawCell(Kind.NUMBER, 4000.0, as_shown="\u20ac")
    season = checked(small_season(), edit=put("tools", FIRST + 1, PRICE, euros))
    by_saw, by_chain = season_cells(season_records(season)[0])["money_per_cord"]
    assert by_saw["cash"].value is not None
    assert (words(by_chain["cash"].reason), by_chain["fuel"].value is not None) == (
        f"needs {at('tools.price', 5)}",
        True,
    )


def test_a_column_that_cannot_be_read_keeps_back_what_it_feeds() -> None:
    season = checked(small_season(), edit=put("cuts", HEADER_ROW, 2, text_cell("Diameter")))
    computed = season_cells(season_records(season)[0])
    assert [words(row["state"]) for row in computed["sessions"]] == ["needs Cuts!B3"] * 3  # the stack by its pile


def only(change: Change) -> list[Problem]:
    """What a change brings."""
    data = small_season()
    change(data)
    before = {one.line() for one in checked(small_season()).problems}
    return [one for one in checked(data).problems if one.line() not in before]


def in_header(sheet_id: str, column_id: str, unit: str, *values: float) -> Change:
    """Values down a column, under a header with that unit."""

    def change(data: Data) -> None:
        for row, number in zip(data[sheet_id], values, strict=True):
            row[column_id] = number
        data["units"][sheet_id][column_id] = unit

    return change


@together(
    ("change", "code", "where", "facts"),
    [
        (in_header("cuts", "diameter", "in", 200, 260, 300), "cell-out-of-range", "Cuts!B4:B6",
         ("200 to 300 in", "78.7 in", "200 to 300 mm", '"Diameter [mm]"')),
        (in_header("cuts", "diameter", "in", 9, 254, 12), "cell-out-of-range", "Cuts!B5", ("254 in", "78.7 in")),
        (in_header("sessions", "elapsed_time", "h", 90, 90, 90), "cell-out-of-range", "Sessions!G4:G6",
         ("90 h", "16 h", "90 min", "type 1.5 ", '"Elapsed time [min]"')),
        (in_header("sessions", "elapsed_time", "h", 1, 1000, 2), "cell-out-of-range", "Sessions!G5",
         ("1000 h", "16 h")),
        (in_header("cuts", "diameter", "cm", 20, -5, 300), "cell-out-of-range", "Cuts!B5", ("-5 cm", "200 cm")),
        (set_item(stick_length=1.5), "cell-unusual", at("season.stick_length"),
         ("1.5 cm", "15 to 110 cm", "1.5 ft", "type 45.72 ")),
        (set_in("stacks", 0, height=48), "cell-out-of-range", "Stacks!B4", ("48 m", "6 m")),
        (set_in("sessions", 2, elapsed_time=1.25), "cell-unusual", "Sessions!G6",
         ("1.25 min", "5 to 480 min", words(InMessage.USED), "1.25 h", "type 75 ")),
        (set_in("sessions", 1, elapsed_time=1.25), "cell-unusual", "Sessions!G5",
         ("1.25 min", "5 to 480 min", "1.25 h", "type 75 ")),
        (lambda data: data["cuts"].extend({"session": "A", "diameter": size} for size in (95, 96, 97, 98, 99)),
         "cell-unusual", "Cuts!B7", ("5 values", "95 to 99 cm", "4 to 90 cm")),
        (lambda data: data["cuts"].extend({"session": "A", "diameter": 95} for _ in range(5)),
         "cell-unusual", "Cuts!B7", ("95 cm in each of 5 cells", "4 to 90 cm")),
    ],
)  # fmt: skip
def test_a_number_in_another_unit_is_mended_by_what_its_line_says(
    change: Change, code: str, where: str, facts: tuple[str, ...]
) -> None:
    (told,) = (one for one in only(change) if (one.code, one.where) == (code, where))
    assert [fact for fact in facts if fact not in told.line()] == []


@pytest.mark.parametrize(
    ("change", "mended"),
    [
        (in_header("cuts", "diameter", "in", 200, 260, 300), in_header("cuts", "diameter", "mm", 200, 260, 300)),
        (in_header("cuts", "diameter", "in", 9, 254, 12), in_header("cuts", "diameter", "in", 9, 10, 12)),
        (
            in_header("sessions", "elapsed_time", "h", 90, 45, 75),
            in_header("sessions", "elapsed_time", "min", 90, 45, 75),
        ),
    ],
)
def test_a_unit_is_mended_at_the_first_try(change: Change, mended: Change) -> None:
    assert [code for code, _ in found(change) if code == "cell-out-of-range"] != []
    assert [code for code, _ in found(mended) if code in ("cell-out-of-range", "cell-unusual")] == []


def misspelt_stack(data: Data) -> None:
    """A session whose only stack names it a little otherwise."""
    set_in("sessions", 2, session="Day 3")(data)
    set_in("stacks", 0, session="Day 3.")(data)


@together(
    ("change", "code", "where"),
    [
        (set_in("sessions", 0, mean_heart_rate=205), "cell-unusual", "Sessions!J4"),
        (set_in("sessions", 0, mean_heart_rate=55), "table-heart-rate-below-rest", "Sessions!J4"),
        (add("sessions", session="second weekend, rained"), "row-missing-value", "Sessions!C7"),
        (lambda data: data["cuts"].extend([{"session": "B"}, {"session": "B"}]), "row-missing-value", "Cuts!B7:B8"),
        (misspelt_stack, "table-unknown-reference", "Stacks!A4"),
    ],
)
def test_each_fault_has_one_line(change: Change, code: str, where: str) -> None:
    assert [(one.code, one.where) for one in only(change)] == [(code, where)]


def test_empty_cells_of_one_line_wait_each_by_itself() -> None:
    data = small_season()
    add("stacks", session="C", form="crossed")(data)
    assert checked(data).broken >= {("stacks", 1, "height"), ("stacks", 1, "length")}


def test_fuel_of_a_tool_that_waits_for_its_mend_is_no_problem_of_its_own() -> None:
    told = [code for code, _ in found(set_in("methods", 1, tool_1="Big saw"))]
    assert "table-unknown-reference" in told
    assert "table-fuel-without-engine" not in told


def test_no_method_is_called_untried_while_a_session_waits_for_its_method() -> None:
    def misspelt(data: Data) -> None:
        add("methods", method="Split by maul", task="split")(data)
        data["sessions"][2]["method"] = "Split with maul"

    told = [code for code, _ in found(misspelt)]
    assert "table-unknown-reference" in told
    assert "season-method-without-session" not in told


def test_same_problem_in_neighbouring_cells_is_one_line() -> None:
    rows = [problem("cell-error-value", Place("Cuts", row, 2, "Diameter"), found="#N/A") for row in (4, 5, 6, 9)]
    lines = [one.line() for one in in_report_order(rows, ["Cuts"])]
    assert len(lines) == 2
    assert lines[0].startswith("Cuts!B4:B6 Diameter (3 cells): ")


def test_same_problem_of_items_below_each_other_is_a_line_of_each() -> None:
    items = [(14, "Price of gasoline", "gasoline_price"), (15, "Price of two-stroke oil", "two_stroke_oil_price")]
    places = [Place("Season", row, 1, title, f"season.{item}") for row, title, item in items]
    found = [problem("header-missing-unit", place, expected="per gal", advice="") for place in places]
    starts = [one.line().partition(":")[0] for one in in_report_order(found, ["Season"])]
    assert starts == ["Season!A14 Price of gasoline", "Season!A15 Price of two-stroke oil"]


def test_levels_come_first_in_the_report() -> None:
    season = check_season(raw_book(small_season()))
    levels = [one.level for one in in_report_order(season.problems, [])]
    assert levels == sorted(levels)


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("a\u00a0b", '"a[fixed space]b"'),
        (" a", '"[space]a"'),
        ("x" * 60, '"' + "x" * 37 + '..."'),
        ("a\x07", '"a[character 7]"'),
    ],
)
def test_texts_are_shown_with_what_cannot_be_seen(text: str, shown: str) -> None:
    assert quoted(text) == shown


FORBIDDEN = ("please", "invalid", "illegal", "!", "error in")


@together("code", catalogue())
def test_wording_of_the_catalogue(code: str) -> None:
    entry = catalogue()[code]
    assert entry["level"] in Level.__members__
    assert entry.keys() - {"withholds", "about", "quotes"} == {"level", "title", "template", "mend"}
    words = " ".join((entry["title"], entry["template"], entry["mend"])).lower()
    assert not [word for word in FORBIDDEN if word in words.replace("#div/0!", "")]
    assert entry["mend"].endswith((".", "}"))


@pytest.mark.slow
def test_every_problem_of_the_catalogue_is_found_by_some_rule() -> None:
    trees = (ast.parse(path.read_text(encoding="utf-8")) for path in Path(wood_xl.__file__).parent.rglob("*.py"))
    texts = {node.value for tree in trees for node in ast.walk(tree) if isinstance(node, ast.Constant)}
    assert [code for code in catalogue() if code not in texts] == []


def test_every_problem_of_the_catalogue_is_named_by_some_test() -> None:
    """A code that no test names may stand at the wrong cell, or nowhere, and nobody would notice."""
    texts = (path.read_text(encoding="utf-8") for path in Path(__file__).parents[1].rglob("*.py"))
    named = {word for text in texts for word in re.findall(r"[a-z0-9]+(?:-[a-z0-9]+)+", text)}
    assert [code for code in catalogue() if code not in named] == []


def test_a_renamed_method_is_told_once_with_all_its_rows() -> None:
    data = small_season()
    for number in (0, 2):
        data["sessions"][number]["method"] = "One-man frame"
    season = checked(data)
    lines = in_report_order(season.problems, [])
    (told,) = [one for one in lines if one.code == "table-unknown-reference"]
    assert (told.where, told.count) == (at("sessions.method", FIRST), 2)
    assert f"rows {FIRST}, {FIRST + 2}." in told.text
    assert season.broken >= {("sessions", 0, "method"), ("sessions", 2, "method")}


def test_a_person_where_the_method_belongs_is_told_at_both_cells() -> None:
    told = checked_after(set_in("sessions", 0, method="Ada", person="By bow saw"))
    assert [one.where for one in told] == [at("sessions.method", FIRST), at("sessions.person", FIRST)]
    assert ["name on the sheet People" in told[0].text, "name on the sheet Methods" in told[1].text] == [True, True]


def checked_after(change: Change) -> list[Problem]:
    data = small_season()
    change(data)
    return [one for one in checked(data).problems if one.code == "table-unknown-reference"]


@pytest.mark.parametrize(
    ("age", "tool", "is_told"), [(12, "Chain saw", True), (12, "Bow saw", False), (40, "Chain saw", False)]
)
def test_a_powered_tool_for_somebody_under_age_is_pointed_out(age: int, tool: str, is_told: bool) -> None:
    codes = [code for code, _ in found(set_in("people", 0, age=age, may_use=tool))]
    assert ("row-may-use-under-age" in codes) is is_told


@pytest.mark.parametrize(("name", "is_told"), [("Adá", True), ("Aida", False)])
def test_an_accent_alone_is_pointed_out(name: str, is_told: bool) -> None:
    data = small_season()
    data["people"].append({"person": name})
    assert ("row-accent-alone" in [one.code for one in checked(data).problems]) is is_told


@together(
    ("change", "where", "advice"),
    [
        (set_in("sessions", 1, lot='"'), at("sessions.lot", 5), HowToMend.NAME_ITSELF),
        (set_in("sessions", 1, lot="Same as  above"), at("sessions.lot", 5), HowToMend.NAME_ITSELF),
        (set_in("sessions", 1, lot='-"-'), at("sessions.lot", 5), HowToMend.NAME_ITSELF),
        (set_in("sessions", 1, lot='""'), at("sessions.lot", 5), HowToMend.NAME_ITSELF),
        (set_in("sessions", 1, lot="=I4"), at("sessions.lot", 5), HowToMend.NAME_ITSELF),
        (set_in("sessions", 1, lot="n/a"), at("sessions.lot", 5), HowToMend.EMPTY_IF_NONE),
        (set_in("sessions", 1, lot="NA"), at("sessions.lot", 5), HowToMend.EMPTY_IF_NONE),
        (set_in("sessions", 1, person="ditto"), at("sessions.person", 5), HowToMend.NAME_ITSELF),
        (set_in("sessions", 1, method="-"), at("sessions.method", 5), HowToMend.NAME_ITSELF),
        (set_in("methods", 0, tool_2="none"), at("methods.tool_2", 4), HowToMend.EMPTY_IF_NONE),
        (
            add("woodshed", stack='"', reading_date="2026-03-09", moisture=30),
            at("woodshed.stack", 4),
            HowToMend.NAME_ITSELF,
        ),
    ],
)
def test_a_mark_where_a_name_belongs_is_no_name(change: Change, where: str, advice: HowToMend) -> None:
    """All that have the same mark would be of one pile, or of one person whom nobody knows."""
    data = small_season()
    change(data)
    told = [one for one in checked(data).problems if one.where == where]
    assert [(one.code, one.mend) for one in told if one.level is Level.FIX] == [("cell-no-name", phrase(advice))]


def test_a_person_may_be_called_as_a_mark() -> None:
    data = small_season()
    data["people"].append({"person": "None"})
    data["sessions"][1]["person"] = "none"
    data["sessions"][2]["person"] = "Na"
    assert "cell-no-name" not in [one.code for one in checked(data).problems]
