"""Workbooks in memory for tests: a season document laid out as raw cells, without any file."""

from __future__ import annotations

import copy
import json
import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any
from unittest.mock import patch

from openpyxl import Workbook

from wood_xl import season as season_module
from wood_xl.demo import demo_data
from wood_xl.draws.figure import Figure
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.ids import Recorded
from wood_xl.io.fill import columns_for, filled_workbook
from wood_xl.io.pack import packed
from wood_xl.io.result_book import ResultBook, SheetRowLog
from wood_xl.notes.convert import season_records
from wood_xl.notes.notes import version_2
from wood_xl.notes.problem import column_letters
from wood_xl.notes.raw import Cells, Kind, RawBook, RawCell, RawSheet
from wood_xl.notes.season import CheckedSeason, check_season
from wood_xl.notes.tally import flat
from wood_xl.notes.typed import minutes_of_clock
from wood_xl.pipeline import computed_again, score_file
from wood_xl.reasons import Said, Word
from wood_xl.records import Season
from wood_xl.report.book import PAGES, pages_by_title, write_season
from wood_xl.report.charts import ChartData
from wood_xl.report.layout import Page
from wood_xl.report.study_book import PAGES as STUDY_PAGES
from wood_xl.report.study_view import StudyView
from wood_xl.report.view import View
from wood_xl.results.document import for_unit_of_wood
from wood_xl.results.share import shared
from wood_xl.schema.layout import HEADER_ROW, ITEM_HEADER, UNIT_HEADER, VALUE_HEADER
from wood_xl.schema.model import Column, Sheet, System, results_definition, season_definition
from wood_xl.schema.words import words
from wood_xl.season import SeasonTables, season_tables

Data = dict[str, Any]
DEMOS = Path(__file__).parents[1] / "demo"
OF_NO_FILE = {"input_sha256": "0" * 64, "template_version": "2.0"}


def text_cell(value: str) -> RawCell:
    return RawCell(Kind.TEXT, value)


def raw_cell(value: Any, column: Column) -> RawCell:
    if column.is_date:
        return RawCell(Kind.DATE, value, as_shown=value)
    if isinstance(value, str):
        return text_cell(value)
    return RawCell(Kind.NUMBER, float(value))


def system_of(data: Data) -> System:
    """Whether a season's stick is written in inches."""
    return "us" if data["units"].get("season", {}).get("stick_length") == "in" else "metric"


def raw_sheet(sheet: Sheet, data: Data, *, column_order: Sequence[str] = ()) -> RawSheet:
    """One sheet of a season document as it would be read from a template."""
    units = data["units"].get(sheet.id, {})
    currency = data["season"].get("currency", "USD")
    cells = Cells()
    content = data.get(sheet.id, [])
    columns = list(columns_for(sheet, content if isinstance(content, list) else [], system_of(data)))
    columns += [column for column in sheet.columns if column.retired and column.id in data.get(sheet.id, {})]
    if column_order:
        columns.sort(key=lambda column: column_order.index(column.id))
    if sheet.kind == "items":
        for number, word in enumerate((ITEM_HEADER, VALUE_HEADER, UNIT_HEADER), start=1):
            cells[HEADER_ROW, number] = text_cell(word)
        for row, column in enumerate(columns, start=HEADER_ROW + 1):
            cells[row, 1] = text_cell(column.title)
            unit = column.label(units.get(column.id, column.metric), currency)
            if unit:
                cells[row, 3] = text_cell(unit)
            if column.id in data.get(sheet.id, {}):
                cells[row, 2] = raw_cell(data[sheet.id][column.id], column)
        return RawSheet(sheet.title, cells)
    for number, column in enumerate(columns, start=1):
        header = column.header(units.get(column.id, column.metric), currency)
        cells[HEADER_ROW, number] = text_cell(header)
        for row, values in enumerate(map(flat, data.get(sheet.id, [])), start=HEADER_ROW + 1):
            if column.id in values:
                cells[row, number] = raw_cell(values[column.id], column)
    return RawSheet(sheet.title, cells)


def raw_book(data: Data, *, edit: Callable[[dict[str, Cells]], None] | None = None) -> RawBook:
    """A season document as a raw workbook; ``edit`` may change the cells of sheets by id."""
    now = version_2(data)
    sheets = {sheet.id: raw_sheet(sheet, now) for sheet in season_definition().sheets}
    if edit is not None:
        edit({sheet_id: sheet.cells for sheet_id, sheet in sheets.items()})
    return RawBook(tuple(sheets.values()), sha256="0" * 64, template_version=season_definition().version)


def at(ref: str, row: int = 0) -> str:
    """The cell of a column, which goes by ``sheet.column``, in a row of a raw book; that of an item."""
    column = season_definition().column(ref)
    sheet = season_definition().sheet(column.sheet)
    if sheet.kind == "items":
        return f"{sheet.title}!B{item_row(ref)}"
    return f"{sheet.title}!{column_letters(sheet.columns.index(column) + 1)}{row}"


def item_row(ref: str) -> int:
    """Where a raw book has an item."""
    column = season_definition().column(ref)
    return HEADER_ROW + 1 + season_definition().sheet(column.sheet).asked.index(column)


def checked(data: Data, *, edit: Callable[[dict[str, Cells]], None] | None = None) -> CheckedSeason:
    return check_season(raw_book(data, edit=edit))


def records(data: Data) -> Season:
    return _kept(_records, data)


def tables(data: Data) -> SeasonTables:
    """Tables of a season with the words of their texts; figures stay as they were computed."""
    return _kept(_tables, data)


def row(data: Data, table: str, **keys: str) -> Data:
    """The first row of a table of a season that has these texts."""
    return next(one for one in tables(data).tables[table] if keys.items() <= one.items())


def value(figure: Figure) -> float:
    """The value of a figure that must have one."""
    assert figure.value is not None, words(figure.reason)
    return figure.value


def steady(data: Data) -> Data:
    """The same sessions on four days each: few of them leave hours as good as unknown."""
    for sheet_id in ("sessions", "helpers", "cuts", "stacks"):
        copies = [{**one, "session": f"{one['session']} {n}"} for one in data[sheet_id] for n in range(4)]
        if sheet_id == "sessions":
            copies = [{**one, "date": f"2026-03-{day + 1:02}"} for day, one in enumerate(copies)]
        data[sheet_id] = copies
    return data


def remarks(data: Data, code: str) -> list[dict[str, Any]]:
    """Facts of each remark with that code."""
    return [facts for found, _, facts in tables(data).remarks if found == code]


def results_of(data: Data, system: System = "metric") -> Data:
    """Results of a season in memory, which a test may change."""
    found: Data = copy.deepcopy(_kept(_results_us if system == "us" else _results_metric, data))
    return found


def reading_pages(document: Data) -> tuple[dict[str, Page], ChartData]:
    """The reading sheets of a season by their titles, and the rows that their charts are drawn from."""
    view = View(document)
    return pages_by_title(PAGES, view), view.chart_data


def study_pages(document: Data) -> tuple[dict[str, Page], ChartData]:
    """The same of a study."""
    view = StudyView(document)
    return pages_by_title(STUDY_PAGES, view), view.chart_data


def log_rows(results: Data, log: SheetRowLog) -> None:
    """Tell every row that the workbook of these results holds, but for its seal."""
    book = ResultBook("a4", log)
    try:
        write_season(book, results)
    finally:
        book.close()


def _kept(make: Callable[[Data], Any], data: Data) -> Any:
    """What is made of a season; of the last few seasons it is kept, since tests look at one from many sides."""
    key = make.__name__, json.dumps(data, default=repr)
    if key not in _KEPT:
        if len(_KEPT) >= MOST_KEPT:
            del _KEPT[next(iter(_KEPT))]
        _KEPT[key] = make(data)
    return _KEPT[key]


_KEPT: dict[tuple[str, str], Any] = {}
MOST_KEPT = 40


def _records(data: Data) -> Season:
    return season_records(checked(data))[0]


def _results_us(data: Data) -> Data | None:
    return computed_again(checked(data), {"display_units": "us", **OF_NO_FILE})


def _results_metric(data: Data) -> Data | None:
    return computed_again(checked(data), {"display_units": "metric", **OF_NO_FILE})


def _tables(data: Data) -> SeasonTables:
    computed = season_tables(records(data))
    return replace(
        computed,
        make=lambda: {sheet_id: told(sheet_id, rows) for sheet_id, rows in computed.tables.items()},
        items=told("season", [computed.items])[0],
        plan=told("plan", [computed.plan])[0],
        remarks=[
            (code, about, {key: words(fact) if isinstance(fact, Said) else fact for key, fact in facts.items()})
            for code, about, facts in computed.remarks
        ],
    )


def season_rates(data: Data) -> SeasonRates:
    """Figures of all methods as the tables of a season read them."""
    made: list[SeasonRates] = []

    def catching(*args: Any) -> SeasonRates:
        made.append(SeasonRates(*args))
        return made[-1]

    with patch.object(season_module, "SeasonRates", catching):
        season_tables(records(data))
    return made[0]


def sessions_half(data: Data, method: str, what: Recorded) -> float:
    """Half the width, by its log, that the sessions alone leave of an amount of a method."""
    equal = season_rates(data).study.equal
    (totals,) = (t for t in equal.totals if t.method.name == method)
    rate = equal.rates(totals.method.task, what)[equal.number(totals)]
    assert rate.ends is not None
    return math.log(rate.ends[1] / rate.ends[0]) / 2


def season_cells(season: Season) -> dict[str, list[Data]]:
    """Tables of a season as they were computed, ids and all, by column."""
    return {sheet_id: [dict(row) for row in rows] for sheet_id, rows in season_tables(season).tables.items()}


def told(sheet_id: str, rows: Sequence[Data]) -> list[Data]:
    """Rows of a table with words in place of ids and lists."""
    columns = {column.id: column for column in results_definition().sheet(sheet_id).columns}

    def text(key: str, cell: Any) -> Any:
        if isinstance(cell, tuple):
            return columns[key].joined_by.join(cell)
        if isinstance(cell, Word) and columns[key].words_of:
            return cell.key
        return words(for_unit_of_wood(cell, "us")) if cell is None or isinstance(cell, Said | Word) else cell

    return [{key: text(key, cell) for key, cell in row.items()} for row in rows]


def demo(name: str) -> Data:
    """A demo season as it is read, with minutes in place of clock times: notes that a test may change."""
    data = copy.deepcopy(_read_demo(name)) | {"units": demo_data(name)["units"]}
    for session in data["sessions"]:
        start, stop = session.pop("start"), session.pop("stop")
        session["elapsed_time"] = minutes_of_clock(stop) - minutes_of_clock(start)
    return data


def only_methods(data: Data, *kept: str) -> Data:
    """A season of some of its methods alone; its piles are torn apart by that, and have no names any more."""
    for sheet in ("methods", "sessions"):
        data[sheet] = [row for row in data[sheet] if row["method"] in kept]
    for session in data["sessions"]:
        session.pop("lot", None)
        session.pop("stacking_time", None)
    names = {row["session"] for row in data["sessions"]}
    for sheet in ("cuts", "tally", "stacks", "helpers", "heart_trace"):
        data[sheet] = [row for row in data.get(sheet, []) if row["session"] in names]
    return data


def metric_workbook(data: Data) -> bytes:
    """A metric template with these notes filled in."""
    found: bytes = _kept(_metric_workbook, data)
    return found


def _metric_workbook(data: Data) -> bytes:
    return packed(filled_workbook(data, system="metric", currency="NOK", paper="a4"))


def scored(data: Data, folder: Path) -> Data:
    """Results of a metric workbook with these notes."""
    path = folder / "season.xlsx"
    path.write_bytes(metric_workbook(data))
    results = score_file(path, None).results
    assert results is not None
    return results


@cache
def demo_results(name: str) -> Data:
    """Results of a demo season, scored once by each process that runs tests; no test changes them."""
    results = score_file(DEMOS / f"{name}.xlsx", None).results
    assert results is not None
    return results


@cache
def demo_shared(name: str) -> Data:
    """The same as they are shared."""
    return shared(demo_results(name))


@cache
def _read_demo(name: str) -> Data:
    return checked(demo_data(name)).document.data


def small_season() -> Data:
    """The least that gives every kind of figure: two methods, three sessions, in metric units."""
    return {
        "version": "1.0",
        "units": {
            "season": {"stick_length": "cm", "yearly_volume": "stacked m3", "gasoline_price": "per L",
                       "two_stroke_oil_price": "per L"},
            "people": {"age": "years", "mass": "kg", "height": "cm", "resting_heart_rate": "beats/min"},
            "tools": {"price": "money", "life_years": "years"},
            "upkeep": {"price": "money"},
            "sessions": {"elapsed_time": "min", "delay_time": "min", "service_time": "min",
                         "mean_heart_rate": "beats/min", "fuel_used": "L"},
            "helpers": {"time": "min"},
            "cuts": {"diameter": "cm"},
            "stacks": {"height": "m", "length": "m", "top_length": "m"},
        },
        "season": {"season_name": "Trial", "currency": "NOK", "stick_length": 40, "yearly_volume": 10,
                   "gasoline_price": 20, "two_stroke_oil_price": 100},
        "wood": [],
        "people": [{"person": "Ada", "age": 40, "equation_sex": "female", "mass": 70, "height": 170,
                    "resting_heart_rate": 60}],
        "tools": [{"tool": "Bow saw", "kind": "hand", "price": 400, "life_years": 10},
                  {"tool": "Chain saw", "kind": "gasoline two-stroke", "price": 4000}],
        "upkeep": [{"tool": "Chain saw", "item": "Chain", "price": 300, "every": 30, "per": "hours"}],
        "methods": [{"method": "By bow saw", "task": "buck", "tool_1": "Bow saw"},
                    {"method": "By chain saw", "task": "buck", "tool_1": "Chain saw"}],
        "sessions": [
            {"session": "A", "date": "2026-03-01", "method": "By bow saw", "person": "Ada", "elapsed_time": 90,
             "delay_time": 10, "mean_heart_rate": 120, "lot": "North"},
            {"session": "B", "date": "2026-03-02", "method": "By chain saw", "person": "Ada", "elapsed_time": 60,
             "service_time": 10, "fuel_used": 0.5},
            {"session": "C", "date": "2026-03-03", "method": "By bow saw", "elapsed_time": 45, "lot": "North"},
        ],
        "helpers": [{"session": "B", "person": "Bo", "time": 30}],
        "cuts": [{"session": "A", "diameter": 20, "cuts": 10}, {"session": "A", "diameter": 25.5},
                 {"session": "B", "diameter": 30, "cuts": 20}],
        "stacks": [{"session": "C", "height": 0.5, "length": 1.0}],
        "heart_trace": [],
        "next_season": {},
    }  # fmt: skip


def trial_season() -> Data:
    """Two persons who both try both saws on two piles, one of which is stacked; all that has a price has one."""
    data = small_season()
    units = {
        "season": {"bar_oil_price": "per L", "practical_margin": "%", "value_of_time": "per h",
                   "electricity_price": "per kWh", "real_interest_rate": "%", "horizon_years": "years"},
        "next_season": {"volume_wanted": "stacked m3", "hours_per_week": "h", "cash_limit": "money"},
        "sessions": {"bar_oil_used": "L", "running_time": "min"},
        "wood": {"moisture": "%"},
    }  # fmt: skip
    for sheet, own in units.items():
        data["units"].setdefault(sheet, {}).update(own)
    data["season"] |= {"bar_oil_price": 50, "practical_margin": 12, "value_of_time": 200, "electricity_price": 2,
                       "horizon_years": 12, "real_interest_rate": 4, "solid_fraction": 0.6}  # fmt: skip
    data["next_season"] = {"volume_wanted": 8, "hours_per_week": 10, "start_date": "2026-09-01", "cash_limit": 5000}
    data["wood"] = [{"species": "ash, white", "moisture": 20, "moisture_basis": "dry"}]
    data["people"][0]["may_use"] = "Chain saw"
    data["people"].append({"person": "Bo", "age": 30, "mass": 80, "height": 180, "equation_sex": "male"})
    data["methods"].append({"method": "Stacking", "task": "stack"})
    saw, chain = ({"method": name} for name in ("By bow saw", "By chain saw"))
    drunk = {"fuel_used": 0.5, "bar_oil_used": 0.2}
    data["sessions"] = [
        saw | {"session": "Bow 1", "date": "2026-03-08", "person": "Ada", "elapsed_time": 90, "delay_time": 10,
               "mean_heart_rate": 120, "lot": "North"},
        chain | drunk | {"session": "Saw 1", "date": "2026-03-08", "person": "Bo", "elapsed_time": 60,
                         "service_time": 10, "running_time": 30, "lot": "North"},
        saw | {"session": "Bow 2", "date": "2026-03-09", "person": "Bo", "elapsed_time": 85, "lot": "South"},
        chain | drunk | {"session": "Saw 2", "date": "2026-03-09", "person": "Ada", "elapsed_time": 55,
                         "lot": "South"},
        {"session": "Stack 1", "date": "2026-03-10", "method": "Stacking", "person": "Ada", "elapsed_time": 45,
         "lot": "North"},
    ]  # fmt: skip
    data["helpers"] = [{"session": "Stack 1", "person": "Bo", "time": 30}]
    data["cuts"] = [
        {"session": name, "diameter": 20 + at, "cuts": 12}
        for at, name in enumerate(("Bow 1", "Saw 1", "Bow 2", "Saw 2"))
    ]
    data["stacks"] = [{"session": "Stack 1", "height": 1.0, "length": 1.5}]
    return data


def clock_season() -> Data:
    """The trial as a person types it into today's template: by the clock, on Tally, with sums and readings in a cell.

    Almost every column and item holds something.
    """
    data = trial_season()
    del data["version"]
    units: dict[str, Data] = {
        "people": {"max_heart_rate": "beats/min", "vo2max": "mL/kg/min"},
        "tools": {"life_hours": "h", "share": "%", "rent": "money", "tank": "mL", "resale": "money",
                  "worth_today": "money", "years_left": "years", "mass": "kg", "rated_power": "kW",
                  "vibration": "m/s2", "sound_level": "dB(A)"},
        "sessions": {"monitor_energy": "kcal", "stacking_time": "min", "air_temperature": "degC", "humidity": "%",
                     "wind_speed": "km/h"},
        "helpers": {"mean_heart_rate": "beats/min", "monitor_energy": "kcal"},
        "cuts": {"second_diameter": "cm", "cut_time": "s"},
        "stacks": {"height": "cm", "length": "cm", "top_length": "cm", "depth": "cm"},
        "season": {"value_of_effort": "money", "price_of_carbon": "money", "ethanol_share": "%",
                   "appliance_efficiency": "%"},
        "trial": {"longest_session": "min"},
    }  # fmt: skip
    for sheet, own in units.items():
        data["units"].setdefault(sheet, {}).update(own)
    data["trial"] = {"first_day": "2026-04-04", "days": 4, "work_days": "Sat Sun", "longest_session": 90}
    data["season"] |= {"value_of_effort": 20, "price_of_carbon": 1000, "ethanol_share": 5,
                       "stack_form": "ranked split", "appliance": "certified stove", "appliance_efficiency": 70,
                       "appliance_efficiency_basis": "net",
                       "food_counted": "net of rest", "food_fossil_ratio": 5, "gwp_set": "AR5"}  # fmt: skip
    data["people"][0] |= {"max_heart_rate": 182, "vo2max": 38, "heart_rate_device": "chest strap",
                          "doctor_word": "given", "rate_limiting_medicine": "no"}  # fmt: skip
    data["people"][1] |= {"resting_heart_rate": 58, "may_use": "Chain saw", "leaves": "Stacking"}
    data["tools"][0] |= {"held": "own", "worth_today": 300, "years_left": 8, "resale": 40}
    data["tools"][1] |= {"held": "shared", "share": 50, "life_hours": 800, "tank": 500, "mass": 6, "rated_power": 2.5,
                         "vibration": 4, "sound_level": 112}  # fmt: skip
    data["tools"] += [
        {"tool": "Maul", "kind": "hand", "held": "borrowed"},
        {"tool": "Splitter", "kind": "mains", "held": "rented", "rent": 300, "rent_per": "day"},
    ]
    data["methods"] += [
        {"method": "By maul", "task": "split", "tool_1": "Maul", "crew": 1},
        {"method": "By splitter", "task": "split", "tool_1": "Splitter"},
    ]
    bow_1, saw_1, bow_2, saw_2, _ = data["sessions"]
    for session, start, stop in ((bow_1, "9:05", "10:35"), (saw_1, "11:00", "12:01"), (bow_2, "13:00", "14:25"),
                                 (saw_2, "15:02", "15:57")):  # fmt: skip
        session |= {"start": start, "stop": stop}
        del session["elapsed_time"]
    bow_1 |= {"delay_time": "5+5", "monitor_energy": 500, "air_temperature": 8, "humidity": 60, "wind_speed": 10}
    del saw_1["fuel_used"]
    saw_1 |= {"refills": 1, "bar_oil_used": "0.1+0.1"}
    for at, (name, method, person) in enumerate(
        (
            ("Maul 1", "By maul", "Ada"),
            ("Split 1", "By splitter", "Bo"),
            ("Maul 2", "By maul", "Bo"),
            ("Split 2", "By splitter", "Ada"),
        )
    ):
        data["sessions"].append(
            {"session": name, "date": f"2026-03-{14 + at // 2}", "method": method, "person": person,
             "start": f"{9 + 2 * (at % 2)}:00", "stop": f"{10 + 2 * (at % 2)}:10", "lot": "East"}
            | ({"electricity_used": 1.5} if at % 2 else {"stacking_time": 30})
        )  # fmt: skip
        data["stacks"].append(
            {"session": name, "height": "80; 82; 81", "length": 150 + 5 * at, "form": "ranked split"}
        )
    data["units"]["sessions"] |= {"electricity_used": "kWh"}
    data["stacks"][0] |= {"height": 100, "length": 150, "top_length": 148, "rows": 1, "depth": 40}
    data["helpers"][0] |= {"time": "20+10", "mean_heart_rate": 110, "monitor_energy": 150}
    data["tally"] = [
        {"session": "Bow 1", "total": 12, "classes": [{"class": "18 cm", "cuts": 4}, {"class": "20 cm", "cuts": 8}]},
        {"session": "Saw 1", "total": 12, "classes": [{"class": "20 cm", "cuts": 3}, {"class": "22 cm", "cuts": 9}]},
    ]
    data["cuts"] = [one | {"second_diameter": one["diameter"] + 1} for one in data["cuts"][2:]]
    data["cuts"] += [{"session": "Saw 2", "diameter": 21, "cut_time": 14}]
    data["heart_trace"] = [{"clock": f"9:{5 + at:02}", "session": "Bow 1", "person": "Ada", "heart_rate": 118 + at}
                           for at in range(4)]  # fmt: skip
    data["next_season"] |= {"ready_by_date": "2027-10-01", "people_available": 2, "longest_session": 90,
                            "carbon_limit": 500}  # fmt: skip
    return data


def season_workbook() -> Workbook:
    """The small season in a workbook without looks."""
    workbook = Workbook()
    workbook.remove(workbook.active)
    for sheet in raw_book(small_season()).sheets:
        page = workbook.create_sheet(sheet.title)
        for (row, column), cell in sheet.cells.items():
            page.cell(row, column, cell.value)
    return workbook
