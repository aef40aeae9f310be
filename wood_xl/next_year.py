"""Notes that next year starts with: what lasts, tools with their hours so far, and the stacks still standing."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from wood_xl.draws.figure import not_given
from wood_xl.hours.sessions import needs
from wood_xl.notes.convert import season_records
from wood_xl.notes.document import SeasonDocument
from wood_xl.notes.names import plain
from wood_xl.notes.problem import Place, Problem, amount_text, problem, quoted
from wood_xl.notes.relations import TOOL_COLUMNS
from wood_xl.notes.season import CheckedSeason
from wood_xl.reasons import Said
from wood_xl.records import Season
from wood_xl.schema.model import System, season_definition
from wood_xl.schema.words import words
from wood_xl.season import season_tables
from wood_xl.shed.dates import winter_of
from wood_xl.shed.stacks import Standing
from wood_xl.shed.stock import Stock
from wood_xl.shed.years import hours_after
from wood_xl.units import convert

CARRIED = ("methods", "people", "tools", "upkeep")
LASTING = {  # facts of the house, and decisions; no prices of a year, and no worth that may have changed
    "trial": ("work_days", "longest_session"),
    "season": (
        *("currency", "stick_length", "practical_margin", "two_stroke_mix", "place", "stack_form", "solid_fraction"),
        *("yearly_volume", "horizon_years", "real_interest_rate", "appliance", "appliance_efficiency"),
        *("appliance_efficiency_basis", "displaced_fuel", "displaced_efficiency", "ethanol_share"),
        *("emission_factor_set", "gwp_set", "food_counted", "food_fossil_ratio"),
    ),
    "next_season": ("heat_loss", "degree_days_next", "degree_day_base"),
}
OF_THE_DAY = {  # true only on the day it was written
    "people": ("doctor_word", "rate_limiting_medicine"),
    "tools": ("worth_today", "years_left"),
}
GO_ALONG = ("still to ask", "yes")  # carried all the same: they keep somebody from work
DIGITS = 6  # of amounts carried over
LEFT_M3 = 1e-4  # less than a stick counts as nothing

Row = dict[str, Any]


def next_year_notes(checked: CheckedSeason, system: System) -> tuple[Row, list[Problem]]:
    """A season document for the next year, and a problem for whatever could not be carried over."""
    season, _ = season_records(checked)
    stock, document, definition = season_tables(season).stock, checked.document, season_definition()
    tools, without_hours = _tools(checked, season)
    lost = [
        *_lost(checked),
        *_burned(stock, system, document),
        *_of_the_day(checked),
        problem("next-year-prices", Place(definition.sheet("season").title)),
        *without_hours,
        *_lost_stacks(stock, document),
    ]
    unit = definition.column("woodshed.volume").unit_in(system)
    standing = [one for one in stock.stacks if one.why is None and one.left_m3 > LEFT_M3]
    typed_units = document.data["units"]
    units = {sheet_id: typed_units[sheet_id] for sheet_id in (*CARRIED, *LASTING) if sheet_id in typed_units}
    units["tools"] = {**units.get("tools", {}), "hours_so_far": "h"}
    items = {
        sheet_id: {id_: value for id_, value in document.data.get(sheet_id, {}).items() if id_ in ids}
        for sheet_id, ids in LASTING.items()
    }
    return {
        "version": definition.version,
        "units": {**units, "woodshed": {"volume": unit, "moisture": "%"}},
        **{sheet_id: lasting for sheet_id, lasting in items.items() if lasting},
        "methods": document.rows("methods"),
        "people": [
            {key: value for key, value in row.items() if key not in OF_THE_DAY["people"] or value in GO_ALONG}
            for row in document.rows("people")
        ],
        "tools": tools,
        "upkeep": document.rows("upkeep"),
        "woodshed": [row for one in standing for row in _stack_rows(one, unit)],
    }, lost


def _tools(checked: CheckedSeason, season: Season) -> tuple[list[Row], list[Problem]]:
    """The tools with their hours so far, and a problem for each whose hours are not known."""
    document = checked.document
    hours = {plain(tool.name): hours_after(tool, season) for tool in season.tools}
    cells = checked.cell_problems.items()
    unread = [cell for (sheet_id, _, column_id), cell in cells if sheet_id == "methods" and column_id in TOOL_COLUMNS]
    if unread:  # any tool may have been used there
        hours = dict.fromkeys(hours, not_given(needs(unread[0])))
    tools, lost = [], []
    for index, row in enumerate(document.rows("tools")):
        after = hours.get(plain(str(row.get("tool", ""))))
        kept = {key: value for key, value in row.items() if key not in ("hours_so_far", *OF_THE_DAY["tools"])}
        if after is not None and after.value is not None:
            kept["hours_so_far"] = _rounded(after.value)
        elif after is not None:
            place = document.place("tools", index, "hours_so_far")
            lost.append(problem("next-year-no-hours", place, found=quoted(str(row["tool"])), what=words(after.why)))
        tools.append(kept)
    return tools, lost


def _lost_stacks(stock: Stock, document: SeasonDocument) -> Iterator[Problem]:
    """Problems of stacks without a name, and of those whose remaining wood is not known."""
    nameless_n = sum(not row.get("stack") for row in document.rows("stacks"))
    if nameless_n:
        facts = {"found": str(nameless_n), "expected": str(len(document.rows("stacks")))}
        yield problem("next-year-nameless", document.place("stacks", None, "stack"), **facts)
    for one in stock.stacks:
        if one.why is not None:
            facts = {"found": quoted(one.stack.name), "what": words(one.why)}
            yield problem("next-year-no-stack", document.place("woodshed"), **facts)


def _burned(stock: Stock, system: System, document: SeasonDocument) -> Iterator[Problem]:
    """Problem of wood burned in the current or last winter, which the next workbook would not count."""
    winter = winter_of(stock.now) if stock.now else ""
    burned_m3 = math.fsum(part for one in stock.stacks for day, part in one.burned if day >= winter)
    if burned_m3:
        unit = season_definition().column("next_season.last_winter_volume").unit_in(system)
        found = amount_text(_rounded(convert(burned_m3, "stacked m3", unit)), unit)
        place = document.place("next_season", None, "last_winter_volume")
        yield problem("next-year-fires", place, found=found, value=winter)


def _lost(checked: CheckedSeason) -> Iterator[Problem]:
    document = checked.document
    for sheet_id, index, column_id in sorted(checked.broken, key=str):
        if index is None:
            written, is_carried = document.data.get(sheet_id, {}), column_id in LASTING.get(sheet_id, ())
        else:
            written, is_carried = document.rows(sheet_id)[index], sheet_id in CARRIED
        if is_carried and column_id not in written:
            yield problem("next-year-no-cell", document.place(sheet_id, index, column_id))


def _of_the_day(checked: CheckedSeason) -> Iterator[Problem]:
    """Problems of columns that were true on the day of writing, and are asked again."""
    for sheet_id, columns in OF_THE_DAY.items():
        for column_id in columns:
            if any(row.get(column_id, GO_ALONG[0]) not in GO_ALONG for row in checked.document.rows(sheet_id)):
                yield problem("next-year-asked-anew", checked.document.place(sheet_id, None, column_id))


def _stack_rows(one: Standing, unit: str) -> Iterator[Row]:
    """Rows of a stack that still stands: its first reading beside it, each further one in its own row."""
    kind = one.stack.kind or ("" if isinstance(one.kind, Said) else one.kind.name)
    first: Row = {"stack": one.stack.name, "stacked_on": one.stacked_on}
    first |= {"kind": kind} if kind else {}
    first |= {"volume": _rounded(convert(one.left_m3, "stacked m3", unit))}
    readings = [
        {"reading_date": r.day, "moisture": _rounded(100 * r.moisture_wet_frac), "moisture_basis": "wet"}
        for r in one.stack.readings
    ]
    yield {**first, **(readings[0] if readings else {})}
    yield from ({"stack": one.stack.name, **reading} for reading in readings[1:])


def _rounded(number: float) -> float:
    return float(f"{number:.{DIGITS}g}")
