"""The woodshed: what is wrong with it by cell, when its wood is dry, what it means for the winter and the plan."""

from __future__ import annotations

import datetime as dt
import json
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from builders import Data, at, checked, demo_results, raw_book, reading_pages, records, small_season, tables
from few import few, together

from wood_xl.data.load import Drying
from wood_xl.draws.ensemble import ends, nominal
from wood_xl.notes.convert import season_records
from wood_xl.notes.problem import Level
from wood_xl.notes.raw import Cells, Kind, RawCell
from wood_xl.notes.season import check_season
from wood_xl.records import Reading, ShedStack
from wood_xl.report.view import View
from wood_xl.report.woodshed import lacking
from wood_xl.results.document import results_document
from wood_xl.results.share import shared
from wood_xl.schema.layout import HEADER_ROW
from wood_xl.schema.words import words
from wood_xl.season import season_tables
from wood_xl.shed.dates import day_number, dry_on_by_usual_time, month_of, winter_after
from wood_xl.shed.stacks import Standing, standing_stacks
from wood_xl.shed.stock import Stock
from wood_xl.shed.years import household_year
from wood_xl.warmth.cord import heat_study
from wood_xl.warmth.drying import driest_dry_frac
from wood_xl.wood.moisture import seasoning_months

CORD_M3 = 3.6245563637760
STACK = {"stack": "North wall", "stacked_on": "2024-04-20", "kind": "maple, sugar", "volume": 6}
FIRST_ROW = 4


def season(*rows: Data, **next_season: Any) -> Data:
    """The small season, of maple alone, with a woodshed."""
    data = small_season()
    data["version"] = "2.0"
    data["units"] |= {
        "woodshed": {"volume": "stacked m3", "burned": "stacked m3", "moisture": "%"},
        "wood": {},
        "next_season": {"last_winter_volume": "stacked m3", "volume_wanted": "stacked m3"},
    }
    data["season"]["appliance"] = "certified stove"
    data["wood"] = [{"species": "maple, sugar"}]
    data["woodshed"] = [*rows]
    data["next_season"] = next_season
    return data


def to_march(data: Data) -> Data:
    """The notes go on to the last day of March, so that whole months of winter follow."""
    data["sessions"][2]["date"] = "2026-03-31"
    return data


def faults(data: Data) -> list[tuple[str, str]]:
    """Code and cell of whatever must be mended on the sheet."""
    found = checked(data).problems
    return [(one.code, one.where) for one in found if one.level is Level.FIX and one.place.sheet == "Woodshed"]


def stack_row(data: Data, name: str) -> Data:
    return next(row for row in tables(data).tables["stock"] if row["stack"] == name)


def standing(stack: ShedStack) -> Any:
    """What is made of one stack of a season of maple."""
    own = season_tables(records(season(STACK)))
    heat, _ = heat_study(own.rates.study.season, own.rates.study.totals)
    return standing_stacks(replace(records(season()), woodshed=(stack,)), heat)[0]


@pytest.mark.parametrize(
    ("rows", "code", "column", "row"),
    few([
        ([STACK, {"stack": "North wall", "reading_date": "2025-06-01", "moisture": 130, "moisture_basis": "dry"}],
         "row-stack-too-wet", "moisture", 1),
        ([STACK, {"stack": "north WALL", "reading_date": "2024-04-19", "moisture": 60, "moisture_basis": "dry"}],
         "row-stack-before", "reading_date", 1),
        ([{**STACK, "burned_up_on": "2024-04-01"}], "row-stack-before", "burned_up_on", 0),
        ([{**STACK, "burned_up_on": "2026-01-10"}, {"stack": "North wall", "burned_up_on": "2026-02-01"}],
         "row-stack-burned-twice", "burned_up_on", 1),
        ([{**STACK, "burned_up_on": "2026-01-10", "burned": 4},
          {"stack": "North wall", "burned_up_on": "2026-02-01", "burned": 3}],
         "row-stack-burned-over", "burned", 1),
        ([{**STACK, "kind": "maple, blue"}], "row-stack-unknown-kind", "kind", 0),
        ([{**STACK, "moisture": 30, "moisture_basis": "dry"}], "row-stack-half", "reading_date", 0),
        ([{**STACK, "burned": 1}], "row-stack-half", "burned_up_on", 0),
        ([STACK, {"stack": "North wall", "volume": 5}], "row-stack-again", "volume", 1),
        ([{key: STACK[key] for key in ("stack", "kind", "volume")}], "row-stack-lacks", "stacked_on", 0),
        ([{key: STACK[key] for key in ("stack", "kind", "stacked_on")}], "row-stack-lacks", "volume", 0),
        ([{**STACK, "reading_date": "2025-06-01", "moisture": 90, "moisture_basis": "wet"}],
         "row-moisture-impossible", "moisture", 0),
    ]),
)  # fmt: skip
def test_a_fault_withholds_its_stack_alone(rows: list[Data], code: str, column: str, row: int) -> None:
    sound = {"stack": "South wall", "stacked_on": "2024-05-01", "volume": 2}
    data = season(*rows, sound, last_winter_volume=8)
    cell = at(f"woodshed.{column}", FIRST_ROW + row)
    assert (code, cell) in faults(data)
    found = tables(data)
    bad, good = (stack_row(data, name) for name in ("North wall", "South wall"))
    assert bad["standing"].value is None
    assert bad["standing"].reason is not None
    assert cell in str(bad["standing"].reason)
    assert good["standing"].value == 2
    now = found.tables["stock_by_dryness"][0]
    assert now["dry"].value == 2
    assert "North wall" in str(now["dry"].basis)
    assert found.tables["rates_per_cord"] != []


@pytest.mark.parametrize("day", few(["9999-12-31", "0001-01-01", "9998-05-01"]))
def test_impossible_dates_withhold_only_their_stack(day: str) -> None:
    for column in ("stacked_on", "reading_date", "burned_up_on"):
        more = {"moisture": 40, "moisture_basis": "dry"} if column == "reading_date" else {}
        data = season({**STACK, column: day, **more}, last_winter_volume=8)
        assert ("row-stack-far-off", at(f"woodshed.{column}", FIRST_ROW)) in faults(data)
        assert stack_row(data, "North wall")["standing"].value is None
    data = season(STACK, last_winter_volume=8, ready_by_date=day)
    data["sessions"][2]["date"] = day
    data["stacks"] = [{"session": "C", "height": 0.5, "length": 1.0, "stack": "Made"}]
    assert stack_row(data, "Made")["standing"].value is None
    assert stack_row(data, "North wall")["standing"].value == 6


@pytest.mark.parametrize(("saved", "told"), [("2026-05-01", ["stacked_on"]), ("2028-04-20", []), (None, [])])
def test_a_date_of_a_stack_after_the_file_was_saved_is_reported(saved: str | None, told: list[str]) -> None:
    """One year that is mistyped makes it the last day of the notes, and moves every winter ahead."""
    book = replace(raw_book(season({**STACK, "stacked_on": "2028-04-20"})), saved=saved)
    found = [one.where for one in check_season(book).problems if one.code == "season-date-to-come"]
    assert found == [at(f"woodshed.{column}", FIRST_ROW) for column in told]


def test_with_several_kinds_a_stack_must_name_its_own() -> None:
    data = season({key: STACK[key] for key in ("stack", "stacked_on", "volume")})
    assert faults(data) == []
    data["wood"] = [{"species": "maple, sugar", "share": 50}, {"species": "ash, white", "share": 50}]
    assert ("row-stack-without-kind", at("woodshed.kind", FIRST_ROW)) in faults(data)


def test_a_row_with_an_unreadable_stack_is_listed_by_its_cell() -> None:
    notes = checked(season(STACK, {**STACK, "stack": "B"}), edit=lambda sheets: spoil(sheets["woodshed"]))
    found = season_tables(season_records(notes)[0]).tables
    told = {row["stack"]: row["standing"].value for row in found["stock"]}
    assert told == {at("woodshed.stack", FIRST_ROW): None, "B": 6}
    assert found["stock_by_dryness"][0]["dry"].basis is not None


def spoil(cells: Cells) -> None:
    cells[FIRST_ROW, 1] = RawCell(Kind.ERROR, "#REF!")


def test_an_empty_woodshed_has_empty_tables() -> None:
    found = tables(season(last_winter_volume=8))
    assert [found.tables[one] for one in ("stock", "stock_by_dryness", "stock_months", "stock_winters")] == [[]] * 4
    bare = season(last_winter_volume=8)
    del bare["woodshed"]
    assert tables(bare).plan == found.plan


def test_a_stack_of_the_season_is_found_in_the_woodshed_by_name() -> None:
    data = season({"stack": "north  wall", "reading_date": "2026-03-20", "moisture": 60, "moisture_basis": "dry"})
    data["stacks"] = [{"session": "C", "height": 0.5, "length": 1.0, "stack": "North wall"}]
    assert faults(data) == []
    (row,) = tables(data).tables["stock"]
    assert row["made"].value == pytest.approx(0.5 * 1.0 * 0.4)
    assert (row["stacked_on"], row["species"]) == ("2026-03-03", "maple, sugar")


def test_a_stack_measured_after_two_tasks_counts_once() -> None:
    data = season()
    data["methods"].append({"method": "By hand", "task": "stack"})
    data["sessions"].append({"session": "D", "date": "2026-03-04", "method": "By hand", "elapsed_time": 20})
    data["stacks"] = [{"session": one, "height": 0.5, "length": 1.0, "stack": "North wall"} for one in ("C", "D")]
    (row,) = tables(data).tables["stock"]
    assert row["made"].value == pytest.approx(0.2)
    assert row["stacked_on"] == "2026-03-04"


def test_burning_more_of_a_stack_than_it_held_is_reported() -> None:
    data = season({"stack": "North wall", "burned_up_on": "2026-03-20", "burned": 1})
    data["stacks"] = [{"session": "C", "height": 0.5, "length": 1.0, "stack": "North wall"}]
    found = season_tables(records(data))
    assert [code for code, _, _ in found.remarks if code == "stack-burned-over"] == ["stack-burned-over"]
    assert found.tables["stock"][0]["standing"].value is None


@pytest.mark.parametrize(
    ("drying", "stacked_on", "dry_from"),
    [  # softwood at least 6 months, hardwood at least 12, oak and hickory two years; through a summer
        ("fast", "2025-01-15", "2025-10"),
        ("fast", "2025-06-15", "2026-10"),
        ("usual", "2025-03-15", "2026-03"),
        ("usual", "2025-09-15", "2026-10"),
        ("slow", "2025-03-15", "2027-03"),
    ],
)
def test_wood_dries_in_the_published_times(drying: Drying, stacked_on: str, dry_from: str) -> None:
    assert month_of(dry_on_by_usual_time(stacked_on, months=seasoning_months(drying))) == dry_from


def test_the_usual_time_lies_in_its_range() -> None:
    one = standing(ShedStack("A", "2025-01-01", "maple, sugar", 5.0))
    low, high = ends(one.dry_on)
    assert month_of(low) == "2025-10"  # 6 months, and through the summer
    assert month_of(high) == "2026-06"  # as long beyond its 12 months
    assert month_of(one.dry_on) == "2026-01"


def test_a_green_reading_dries_in_the_usual_time_of_its_kind() -> None:
    green = 0.57 / 1.57  # as the list has it
    one = standing(ShedStack("A", "2025-04-01", "maple, sugar", 5.0, readings=(Reading("2025-04-01", green),)))
    assert nominal(one.dry_on) - day_number("2025-04-01") == pytest.approx(365.25)


def test_a_dry_reading_overrides_the_usual_time() -> None:
    dry = ShedStack("A", "2025-04-01", "oak, white", 5.0, readings=(Reading("2025-12-01", 0.19),))
    assert nominal(standing(dry).dry_on) == day_number("2025-12-01")


def test_a_wet_reading_overrides_the_usual_time() -> None:
    """It stands halfway by the log of what is above the driest, so the rest takes as long as it has stood."""
    driest = driest_dry_frac()
    halfway = driest + math.sqrt((0.57 - driest) * (0.25 - driest))
    wet = ShedStack(
        "A", "2023-04-01", "maple, sugar", 5.0, readings=(Reading("2026-03-01", halfway / (1 + halfway)),)
    )
    stood = day_number("2026-03-01") - day_number("2023-04-01")
    assert nominal(standing(wet).dry_on) == pytest.approx(day_number("2026-03-01") + stood)
    assert not standing(wet).is_dry_on(day_number("2026-03-01")).any()


def test_drying_follows_the_pace_of_the_readings() -> None:
    def dry_on(second: float) -> float:
        readings = (Reading("2025-06-01", 0.40), Reading("2025-09-01", second))
        return nominal(standing(ShedStack("A", "2025-04-01", "softwood", 5.0, readings=readings)).dry_on)

    assert dry_on(0.24) < dry_on(0.28) < dry_on(0.35)


def test_the_pace_depends_on_the_first_reading() -> None:
    def dry_on(first: float, day: str = "2025-06-01") -> float:
        readings = (Reading(day, first), Reading("2025-09-01", 0.29))
        return nominal(standing(ShedStack("A", "2025-04-01", "oak, white", 5.0, readings=readings)).dry_on)

    assert dry_on(0.38) < dry_on(0.33) < dry_on(0.30)
    # Three days before the last one, and one that shows no fall: the stack's pace goes from green wood.
    assert dry_on(0.30, "2025-08-29") == dry_on(0.38, "2025-08-29") == dry_on(0.28)


def test_a_wet_reading_cancels_an_earlier_dry_one() -> None:
    readings = (Reading("2025-08-01", 0.19), Reading("2026-01-10", 0.26), Reading("2026-06-20", 0.195))
    found = standing(ShedStack("A", "2024-04-01", "maple, sugar", 5.0, readings=readings))
    assert nominal(found.dry_on) == day_number("2026-06-20")


def test_the_usual_time_may_be_exceeded() -> None:
    found = standing(ShedStack("A", "2025-04-01", "oak, white", 5.0)).dry_on
    low, high = ends(np.asarray(found) - nominal(found))
    assert low < 0 < high


def test_one_reading_of_a_kind_without_green_moisture_gives_no_day() -> None:
    one = standing(ShedStack("A", "2025-04-01", "beech, European", 5.0, readings=(Reading("2025-09-01", 0.35),)))
    assert one.dry_on.id.key == "no_pace"
    assert "a drier reading, at least 30 days after the first," in words(one.dry_on)


def test_wood_is_burned_first_in_first_out() -> None:
    old = {"stack": "Old", "stacked_on": "2023-04-01", "volume": 3}
    newer = {"stack": "Newer", "stacked_on": "2024-04-01", "volume": 3}
    data = to_march(season(newer, old, last_winter_volume=8))
    assert [row["stack"] for row in tables(data).tables["stock"]] == ["Old", "Newer"]
    months = {row["month"]: row for row in tables(data).tables["stock_months"]}
    assert months["2026-04"]["dry"].value == 6
    assert months["2026-06"]["dry"].value == pytest.approx(4)  # a cubic meter in each month of heating
    assert months["2026-10"]["need"].value == pytest.approx(1)
    assert months["2027-01"]["dry"].value == pytest.approx(1)
    assert months["2027-02"]["lacking"].value == pytest.approx(1)
    following = tables(data).tables["stock_winters"][2]
    assert following["winter"] == "2026-10-01"
    assert following["covered"].value == pytest.approx(50)
    assert following["met_until"] == "2027-01"


def test_the_rest_of_the_present_winter_is_shown() -> None:
    data = season({**STACK, "volume": 3}, last_winter_volume=8)
    for session, day in zip(data["sessions"], ("2025-10-10", "2025-10-11", "2025-10-12"), strict=True):
        session["date"] = day
    rows = tables(data).tables["stock_winters"]
    assert [row["winter"] for row in rows[:3]] == ["2024-10-01", "2025-10-01", "2026-10-01"]
    assert rows[1]["need"].value == pytest.approx(7 + 19 / 31)  # November to May, and the rest of October
    assert rows[1]["covered"].value == pytest.approx(100 * 3 / (7 + 19 / 31))
    assert rows[1]["met_until"] == "2025-12"
    data["sessions"][2]["date"] = "2025-10-31"
    assert tables(data).tables["stock_winters"][1]["need"].value == pytest.approx(7)
    data["sessions"][2]["date"] = "2025-10-12"
    data["woodshed"].append({"stack": "Oak", "stacked_on": "2025-09-01", "kind": "oak, white", "volume": 5})
    line = lacking(View(results(data)))
    assert line.startswith("Not dry on October 12, 2025: white oak.")
    assert "Then 3.0 stacked m³ are dry, and 5.0 are not. Dry wood covers 39% of the 7.6 stacked m³" in line
    assert line.endswith("It lasts to the end of December 2025.")


def test_names_of_stacks_change_no_figure() -> None:
    """Two stacks of one day burn in the order of the notes."""
    ash = {**STACK, "kind": "ash, white", "volume": 3}

    def heat(first: str, second: str) -> float:
        data = season({**ash, "stack": first}, {**STACK, "stack": second, "volume": 3}, last_winter_volume=8)
        return float(tables(data).tables["stock_by_dryness"][1]["all_heat"].value)

    assert heat("A", "B") == heat("B", "A")


def test_last_winters_wood_is_what_was_burned() -> None:
    data = season({**STACK, "burned_up_on": "2026-01-10", "burned": 5}, {**STACK, "stack": "B", "volume": 1})
    data["sessions"][2]["date"] = "2026-04-03"
    by_wood = [row for row in tables(data).tables["heat_need"] if row["way"] == "Last winter's wood"]
    assert by_wood[0]["cords"].value == pytest.approx(5 / CORD_M3)
    written = {**data, "next_season": {"last_winter_volume": 9}}
    assert tables(written).tables["heat_need"][0]["cords"].value == pytest.approx(9 / CORD_M3)


def test_a_plan_makes_what_the_woodshed_lacks() -> None:
    bare = tables(season(last_winter_volume=8)).plan["volume_wanted"]
    oak = {**STACK, "kind": "oak, white", "stacked_on": "2025-06-01"}  # dry in June 2027, as new maple is
    some = tables(season({**oak, "volume": 3}, last_winter_volume=8)).plan["volume_wanted"]
    assert bare.value == pytest.approx(8)
    assert some.value == pytest.approx(5)
    enough = tables(season({**oak, "volume": 60}, last_winter_volume=8)).plan
    assert enough["volume_wanted"].value == 0
    assert "is enough for the winter" in str(enough["last_session"])


def test_wood_burned_in_earlier_winters_is_not_left_for_the_new_one() -> None:
    """New maple is dry for the winter after the next one: what the next one burns first is gone."""
    data = to_march(season({**STACK, "volume": 9}, last_winter_volume=8, ready_by_date="2026-05-31"))
    rows = tables(data).tables["stock_winters"]
    assert [row["winter"] for row in rows] == [f"{year}-10-01" for year in (2024, 2025, 2026, 2027)]
    assert rows[1]["lacking"].value == 0
    assert rows[2]["lacking"].value == pytest.approx(1)  # 2 burned in April and May, 7 in the winter
    assert rows[-1]["lacking"].value == pytest.approx(8)
    assert [row["in_time"] for row in rows[1:]] == ["", "", "maple, sugar"]
    (page,) = [one for one in woodshed_lines(data) if "lasts to the end" in one]
    assert "New wood stacked on May 31, 2026, of whatever kind on Wood, is not dry in time for that winter." in page


def woodshed_lines(data: Data) -> list[str]:
    page = reading_pages(results(data))[0]["Air and warmth"]
    return [cell.text for lines in page.pages() for line in lines for _, cell in page.placed(line.cells)]


def results(data: Data) -> Data:
    notes = checked(data)
    computed = season_tables(records(data))
    return results_document(
        computed, notes, notes.problems, system="metric", input_sha256="0" * 64, template_version="2.0"
    )


def test_a_stack_in_no_sum_is_named_before_the_sums() -> None:
    waiting = {**STACK, "stack": "Barn", "burned": 1}  # no day of burning: what stands is not told
    (line,) = [one for one in woodshed_lines(season(STACK, waiting)) if "all that stood was dry" in one]
    assert line.startswith("Counted neither below nor as dry wood: Barn.")
    assert not [one for one in woodshed_lines(season(STACK)) if "Counted neither" in one]


@together("spoilt", [{"height": -1}, {"length": "long"}, {"session": "Z"}, {"height": 1.0}])
def test_a_new_stack_that_cannot_be_measured_waits_and_is_in_no_sum(spoilt: Data) -> None:
    """The woodshed was told without it, as if it did not stand."""
    data = season(STACK)
    data["stacks"] = [{"session": "C", "height": 1.0, "length": 2.0, "stack": "New"} | spoilt]
    waits = [row["stack"] for row in tables(data).tables["stock"] if row["standing"].value is None]
    (column,) = spoilt
    assert waits == ([] if spoilt == {"height": 1.0} else [at(f"stacks.{column}", HEADER_ROW + 1)])
    del data["stacks"][0]["stack"]  # stacked, but not in the woodshed
    assert [row["stack"] for row in tables(data).tables["stock"]] == ["North wall"]


def test_a_stack_whose_stick_length_cannot_be_read_says_what_it_needs() -> None:
    data = season(STACK)
    data["stacks"] = [{"session": "C", "height": 1.0, "length": 2.0, "stack": "New"}]
    data["season"]["stick_length"] = "long"
    (row,) = [row for row in tables(data).tables["stock"] if row["stack"] == "New"]
    assert words(row["standing"].reason) == f"needs {at('season.stick_length')}"


def test_a_year_has_no_standing_wood_while_a_stack_waits() -> None:
    def stands(*rows: Data) -> Any:
        one = records(season(*rows))
        computed = season_tables(one)
        return household_year(one, computed.rates.study.totals, computed.tables, computed.stock).standing

    assert stands(STACK).value == 6
    waits = stands(STACK, {**STACK, "stack": "Barn", "burned": 1})
    assert waits.value is None
    assert "Woodshed!" in str(waits.why)


def test_the_answer_has_a_line_where_it_matters() -> None:
    oak = {"stack": "Oak", "stacked_on": "2025-09-01", "kind": "oak, white", "volume": 5}
    line = lacking(View(results(season(STACK, oak, last_winter_volume=16))))
    assert "white oak" in line
    assert "maple" not in line
    assert "October 1, 2026" in line
    assert lacking(View(results(season(STACK, oak, last_winter_volume=3)))) == ""
    met = View(results(to_march(season(STACK, last_winter_volume=16))))  # 6 stand, all dry; 4 burn in April and May
    assert lacking(met).startswith("Dry wood covers 12% of the 16 stacked m³ that the next winter needs")
    assert lacking(met).endswith("It lasts to the end of October 2026.")


def test_dry_wood_is_not_shown_as_part_of_a_total_below_its_range() -> None:
    """What dries later than thought is not burned before: 2.0 of the 2.0 (2.0 to 3.4) can be read in two ways."""
    told = "\n".join(woodshed_lines(to_march(season(STACK, last_winter_volume=16))))
    assert "On October 1, 2026, all that stands then will be dry: 2.0 stacked m³" in told
    oak = {"stack": "Oak", "stacked_on": "2025-09-01", "kind": "oak, white", "volume": 5}
    told = "\n".join(woodshed_lines(to_march(season(STACK, oak, last_winter_volume=16))))
    told = told.replace("\N{NO-BREAK SPACE}", " ")
    assert "2.0 stacked m³ will be dry (2.0 to 7.0), and 5.0 that stand then will not be (0 to 5.0)." in told
    assert "none of it will be left" in "\n".join(woodshed_lines(season(STACK, last_winter_volume=60)))
    assert any(
        "stacked\N{NO-BREAK SPACE}m³" in line for line in woodshed_lines(season(STACK))
    )  # the first line of the head would end at the next head


def test_a_stack_of_unknown_kind_is_called_by_its_name() -> None:
    data = season(STACK, last_winter_volume=16)
    data["wood"] = [{"species": "maple, sugar", "share": 50}, {"species": "ash, white", "share": 50}]
    data["stacks"] = [{"session": "C", "height": 0.5, "length": 1.0, "stack": "By the barn"}]
    assert "Not dry on October 1, 2026: By the barn." in lacking(View(results(data)))
    assert stack_row(data, "By the barn")["heat"].why.id.key == "no_kind_of_stack"


def test_the_plan_and_the_woodshed_agree_on_the_winter_for_which_new_wood_is_dry() -> None:
    """Wood of October's last day is dry in October, twelve months later: for the winter that begins in it."""
    cabin = demo_results("lake_cabin_metric")
    assert cabin["plan"]["last_session"] == "2026-10-31"
    assert cabin["stock_winters"][-1]["winter"] == "2027-10-01"
    assert "Burn it from October 2027" in cabin["plan"]["late"]


def test_a_shared_copy_names_no_person_in_the_name_of_a_stack() -> None:
    data = season({**STACK, "stack": "Ada's wall"}, last_winter_volume=8)
    data["stacks"] = [{"session": "C", "height": 0.5, "length": 1.0, "stack": "Made by Ada"}]
    copied = shared(results(data))
    assert [row["stack"] for row in copied["stock"]] == ["Person 1's wall", "Made by Person 1"]
    assert [row["stack"] for row in copied["inputs"]["woodshed"]] == ["Person 1's wall"]
    assert "Ada" not in json.dumps(copied)


def test_the_next_winter_begins_after_the_last_day_of_the_notes() -> None:
    for day in ("2026-09-30", "2026-10-01", "2026-12-31"):
        assert winter_after(day) > day
        assert dt.date.fromisoformat(winter_after(day)).day == 1
    assert Stock((), "2026-09-30").winter == "2026-10-01"


def test_burned_wood_is_not_left() -> None:
    fires = (("2026-01-10", 1.5), ("2026-02-10", 2.0))
    stack = Standing(ShedStack("By the barn"), made_m3=5.0, burned=fires)
    assert (stack.burned_m3, stack.left_m3) == (3.5, 1.5)


def test_last_winter_excludes_earlier_fires_and_those_of_this_winter() -> None:
    fires = (("2025-03-01", 1.0), ("2025-12-01", 2.0), ("2026-01-10", 0.5), ("2026-11-01", 4.0))
    stack = Standing(ShedStack("By the barn"), made_m3=9.0, burned=fires)
    assert Stock((stack,), "2026-12-31").burned_last_winter_m3() == 2.5


def test_the_page_says_which_need_the_plan_and_the_woodshed_go_by() -> None:
    both = season(STACK, volume_wanted=10, last_winter_volume=12)
    assert "The plan makes the wood wanted. The woodshed goes by: Last winter's wood." in woodshed_lines(both)
