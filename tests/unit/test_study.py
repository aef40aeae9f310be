"""A small season worked out by hand, step by step, against what the program gives."""

from __future__ import annotations

import copy
import math

import pytest
from builders import Data, at, checked, small_season, tables
from few import together

from wood_xl.draws.figure import Figure
from wood_xl.pipeline import computed_tables
from wood_xl.schema.words import words

CORD_M3 = 128 * 0.3048**3
AREA_A = math.pi / 4 * (10 * 0.20**2 + 0.255**2)
AREA_B = math.pi / 4 * 20 * 0.30**2
SOLID_A, SOLID_B = AREA_A * 0.40, AREA_B * 0.40
TAPE_C = 0.5 * 1.0 * 0.40
PHI_LOT = SOLID_A / TAPE_C  # lot North: cut in A, stacked in C, both by the same method
CORDS_SAW = (SOLID_A / PHI_LOT + TAPE_C) / CORD_M3
CORDS_CHAIN = SOLID_B / 0.64 / CORD_M3
YEAR_CORDS = 10 / CORD_M3


def figure(data: Data, table: str, row: int, column: str) -> Figure:
    value = tables(data).tables[table][row][column]
    assert isinstance(value, Figure)
    return value


def annuity(price: float, resale: float, years: float, rate: float = 0.03) -> float:
    return (price - resale) * rate / (1 - (1 + rate) ** -years) + resale * rate


@together(
    ("table", "row", "column", "by_hand"),
    [
        ("sessions", 0, "sawn_area", AREA_A),
        ("sessions", 0, "solid_volume", SOLID_A),
        ("sessions", 0, "stacked_volume", TAPE_C),
        ("sessions", 1, "stacked_volume", SOLID_B / 0.64),
        ("sessions", 2, "solid_volume", SOLID_A),
        ("sessions", 2, "sawn_area", AREA_A),
        ("lots", 0, "solid_fraction", PHI_LOT),
        ("methods", 0, "cords", CORDS_SAW),
        ("methods", 0, "clock_hours", 135 / 60),
        ("methods", 1, "worker_hours", 90 / 60),
        ("methods", 0, "delay_share", 100 * 10 / 135),
        ("methods", 1, "service_share", 100 * 10 / 60),
        ("rates_per_cord", 0, "worker_hours", 135 / 60 / CORDS_SAW),
        ("rates_per_cord", 1, "clock_hours", 1.0 / CORDS_CHAIN),
        ("rates_per_cord", 1, "worker_hours", 1.5 / CORDS_CHAIN),
        ("rates_per_cord", 0, "delay_free_worker_hours", (80 + 45) / 60 / CORDS_SAW),
        # A: half of the reserve, VO2max 43 - 0.35 x 15 for a woman of 40 years, 70 kg; gross over 90 min
        ("efforts", 0, "kcal_gross", (3.5 + 0.5 * (37.75 - 3.5)) * 0.070 * 4.88 * 90),
        # rest by the rounded equation: 10 x 70 + 6.25 x 170 - 5 x 40 - 161 kcal a day
        ("efforts", 0, "kcal_net",
         ((3.5 + 0.5 * (37.75 - 3.5)) * 0.070 * 4.88 - (700 + 1062.5 - 200 - 161) / 1440) * 90),
        ("tool_costs", 0, "yearly_cost", annuity(400, 0, 10)),
        ("tool_costs", 1, "resale", 400),
        ("tool_costs", 1, "hours_per_year", YEAR_CORDS * (50 / 60) / CORDS_CHAIN),
        ("money_per_cord", 0, "ownership", annuity(400, 0, 10) / YEAR_CORDS),
        ("money_per_cord", 1, "ownership", annuity(4000, 400, 10) / YEAR_CORDS),
        ("money_per_cord", 1, "upkeep", 300 / 30 * (50 / 60) / CORDS_CHAIN),
        ("money_per_cord", 1, "fuel", 0.5 * (50 * 20 + 100) / 51 / CORDS_CHAIN),
        # 0.5 L of mix: 50/51 gasoline, of which 90 % fossil, and 1/51 oil; kg per US gallon
        ("emissions_per_cord", 1, "direct_co2",
         0.5 * (50 / 51 * 0.9 * 8.78 + 1 / 51 * 10.69) / 3.785411784 / CORDS_CHAIN),
    ],
)  # fmt: skip
def test_figure_by_hand(table: str, row: int, column: str, by_hand: float) -> None:
    assert figure(small_season(), table, row, column).value == pytest.approx(by_hand, rel=1e-9)


def test_cash_and_time_need_the_value_of_an_hour() -> None:
    data = small_season()
    assert words(figure(data, "rates_per_cord", 0, "own_time").reason) == "no value of an hour is given"
    data["season"]["value_of_time"] = 100
    data["units"]["season"]["value_of_time"] = "per h"
    hours = figure(data, "rates_per_cord", 0, "worker_hours").value
    cash = figure(data, "rates_per_cord", 0, "cash").value
    assert hours is not None
    assert cash is not None
    assert figure(data, "rates_per_cord", 0, "cash_and_time").value == pytest.approx(cash + 100 * hours)


def shared() -> Data:
    """The chain saw fells too: half an hour of felling for the wood of session B."""
    data = small_season()
    data["methods"].append({"method": "Felling", "task": "fell", "tool_1": "Chain saw"})
    data["sessions"].append({"session": "F", "method": "Felling", "elapsed_time": 30, "fuel_used": 0.1})
    data["cuts"].append({"session": "F", "diameter": 30, "cuts": 20})
    return data


def test_a_tool_of_two_tasks_is_shared_by_hours() -> None:
    data = shared()
    row = next(r for r in tables(data).tables["tool_costs"] if r["method"] == "By chain saw")
    assert row["share"].value == pytest.approx(100 * 50 / 80)
    assert row["hours_per_year"].value == pytest.approx(YEAR_CORDS * (80 / 60) / CORDS_CHAIN)
    both = [r for r in tables(data).tables["money_per_cord"] if r["method"] in ("By chain saw", "Felling")]
    ownership = math.fsum(r["ownership"].value for r in both)
    assert ownership == pytest.approx(annuity(4000, 400, 10) / YEAR_CORDS)


def test_heavy_use_shortens_the_life_in_years() -> None:
    data = small_season()
    data["tools"][1]["life_hours"] = 20
    data["units"]["tools"]["life_hours"] = "h"
    hours = figure(data, "tool_costs", 1, "hours_per_year").value
    assert hours is not None
    assert hours > 2
    assert figure(data, "tool_costs", 1, "life_years").value == pytest.approx(20 / hours)


@pytest.mark.parametrize("form", ["crossed", "loose"])
def test_loose_and_crossed_wood_counts_as_the_ranked_wood_it_would_be(form: str) -> None:
    data = small_season()
    data["stacks"][0] |= {"form": form, "length": 2.0}
    fraction = {"crossed": 0.45, "loose": 0.41}[form]
    assert figure(data, "sessions", 2, "stacked_volume").value == pytest.approx(2 * TAPE_C * fraction / 0.64)


def test_solid_fraction_by_lot_before_written_before_form() -> None:
    data = small_season()
    data["season"]["solid_fraction"] = 0.60
    assert figure(data, "sessions", 1, "stacked_volume").value == pytest.approx(SOLID_B / 0.60)
    assert figure(data, "sessions", 0, "stacked_volume").value == pytest.approx(TAPE_C)


def test_the_sessions_of_a_lot_with_an_impossible_solid_fraction_wait() -> None:
    data = small_season()
    data["stacks"][0]["height"] = 0.2
    lot = tables(data).tables["lots"][0]
    assert words(lot["solid_fraction"].reason) == "needs Sessions row 4"
    assert lot["used"].startswith("no")
    assert [figure(data, "sessions", index, "stacked_volume").value is None for index in range(3)] == [
        True,
        False,
        True,
    ]


def test_fuel_of_the_sessions_that_recorded_it() -> None:
    data = small_season()
    data["sessions"].append({"session": "B2", "method": "By chain saw", "elapsed_time": 60})
    data["cuts"].append({"session": "B2", "diameter": 30, "cuts": 40})
    fuel = figure(data, "money_per_cord", 1, "fuel")
    assert fuel.value == pytest.approx(0.5 * (50 * 20 + 100) / 51 / CORDS_CHAIN)
    assert words(fuel.basis) == "from 1 of 2 sessions, which recorded it"


@pytest.mark.parametrize(
    ("without", "column", "reason"),
    [
        (("tools", 1, "price"), "ownership", "needs the price of Chain saw"),
        (("tools", 0, "life_years"), "ownership", "needs the life of Bow saw"),
        (("sessions", 1, "fuel_used"), "fuel", "no session records its fuel"),
    ],
)
def test_what_is_missing_is_said_and_takes_the_sum_with_it(
    without: tuple[str, int, str], column: str, reason: str
) -> None:
    data = small_season()
    sheet_id, index, column_id = without
    del data[sheet_id][index][column_id]
    row = 0 if reason.endswith("Bow saw") else 1
    for shown in (column, "cash"):
        given = figure(data, "money_per_cord", row, shown)
        assert given.value is None
        assert words(given.reason) == reason


def test_own_volume_stands_in_for_the_yearly_one() -> None:
    data = small_season()
    del data["season"]["yearly_volume"]
    computed = tables(data)
    assert computed.items["yearly_volume"].value == pytest.approx((CORDS_SAW + CORDS_CHAIN) * CORD_M3)
    volume = computed.items["yearly_volume"].value
    assert ("season-own-yearly-volume", "yearly_volume", {"value": volume}) in computed.remarks


def test_own_volume_is_told_in_the_units_of_the_notes_and_only_noted_where_no_tool_has_a_price() -> None:
    data = small_season()
    del data["season"]["yearly_volume"], data["units"]["season"]["yearly_volume"]
    metric, us = copy.deepcopy(data), copy.deepcopy(data)
    us["units"]["season"]["stick_length"], us["season"]["stick_length"] = "in", 40 / 2.54
    for notes, volume in ((metric, f"{(CORDS_SAW + CORDS_CHAIN) * CORD_M3:.2g} stacked m3"), (us, "0.35 cord")):
        (told,) = [one for one in computed_tables(checked(notes))[1] if one.code == "season-own-yearly-volume"]
        assert told.where == at("season.yearly_volume")
        assert volume in told.text
    for tool in data["tools"]:
        del tool["price"]
    notes = {one.where: one.text for one in computed_tables(checked(data))[1] if one.code == "season-default-used"}
    assert "Wood made in a usual year" in notes[at("season.yearly_volume")]


def test_electric_tool() -> None:
    data = small_season()
    data["tools"].append({"tool": "Battery saw", "kind": "battery", "price": 3000})
    data["methods"].append({"method": "By battery", "task": "buck", "tool_1": "Battery saw"})
    data["sessions"].append({"session": "E", "method": "By battery", "elapsed_time": 60, "electricity_used": 0.5})
    data["cuts"].append({"session": "E", "diameter": 30, "cuts": 20})
    assert words(figure(data, "money_per_cord", 2, "electricity").reason) == "needs the price of electricity"
    data["season"]["electricity_price"] = 1.5
    data["units"]["season"]["electricity_price"] = "per kWh"
    data["units"]["sessions"]["electricity_used"] = "kWh"
    assert figure(data, "money_per_cord", 2, "electricity").value == pytest.approx(0.75 / CORDS_CHAIN)
    assert figure(data, "emissions_per_cord", 2, "direct_co2").value == 0
    assert figure(data, "emissions_per_cord", 2, "electricity").value == pytest.approx(
        0.5 / CORDS_CHAIN * 0.365776, rel=1e-6
    )


@pytest.mark.parametrize(
    ("name", "is_marked"),
    [("Reinvented woodshed 2026", False), ("Invented example: hill farm", True), ("My invented example", False)],
)
def test_only_a_demo_season_is_marked_as_invented(name: str, is_marked: bool) -> None:
    data = small_season()
    data["season"]["season_name"] = name
    assert bool(tables(data).items["invented"]) is is_marked


def test_a_session_that_is_left_out_adds_nothing_to_its_pile() -> None:
    data = small_season()
    data["sessions"].append(
        {"session": "D", "method": "By bow saw", "elapsed_time": 20, "lot": "North", "leave_out": "rain"}
    )
    data["stacks"].append({"session": "D", "height": 0.5, "length": 1.0})
    assert figure(data, "lots", 0, "solid_fraction").value == pytest.approx(PHI_LOT)


def test_wood_of_a_pile_that_went_through_two_tasks_is_that_of_the_fuller() -> None:
    data = small_season()
    data["tools"].append({"tool": "Axe", "kind": "hand"})
    data["methods"].append({"method": "By axe", "task": "split", "tool_1": "Axe"})
    data["sessions"].append({"session": "E", "method": "By axe", "elapsed_time": 20, "lot": "North"})
    data["stacks"].append({"session": "E", "height": 0.5, "length": 1.25})  # 0.25 m3, after 0.20 at the bucking
    assert figure(data, "lots", 0, "solid_fraction").value == pytest.approx(SOLID_A / 0.25)


def test_upkeep_by_the_year_is_shared_by_hours() -> None:
    data = shared()
    data["upkeep"].append({"tool": "Chain saw", "item": "Filter", "price": 120, "every": 2, "per": "years"})
    rows = {row["method"]: row["upkeep"].value for row in tables(data).tables["money_per_cord"]}
    # 60 a year, of which 50 of 80 minutes are the bucking's; a chain lasts 30 h
    assert rows["By chain saw"] == pytest.approx(10 * (50 / 60) / CORDS_CHAIN + 37.5 / YEAR_CORDS)
    assert rows["Felling"] == pytest.approx(10 * (30 / 60) / CORDS_CHAIN + 22.5 / YEAR_CORDS)
