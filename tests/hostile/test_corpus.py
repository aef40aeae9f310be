"""A corpus of clumsy workbooks: what must be said at which cell, and that the mend which is advised mends it.

Every workbook is a small trial with one slip. The mend, applied to its cell, leaves no fault that the sound trial has
not, and gives no fewer figures than the slip did.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import pytest
from builders import Cells, at, checked, trial_season
from few import few

from wood_xl.draws.figure import Figure
from wood_xl.notes.problem import Level, Problem, column_number
from wood_xl.notes.raw import Kind, RawCell
from wood_xl.pipeline import computed_tables
from wood_xl.schema.layout import HEADER_ROW, HELP_HEADER
from wood_xl.schema.model import season_definition

SAME = object()
Entries = Mapping[str, Any]  # cells by name with what is typed into them; None clears


@dataclass(frozen=True)
class Slip:
    """One slip.

    typed: what is wrong in which cells.
    code, where: what must be told, and at which cell.
    mend: what the message advises, by cell; None where it asks for a look alone.
    words: part of the mend that must be told, where it names a number or a name.
    """

    typed: Entries
    code: str
    where: str
    mend: Entries | None = None
    words: str = ""
    extra: Callable[[dict[str, Cells]], None] | None = field(default=None, repr=False)


def raw(value: Any) -> RawCell:
    if isinstance(value, RawCell):
        return value
    return RawCell(Kind.TEXT, value) if isinstance(value, str) else RawCell(Kind.NUMBER, float(value))


def date(text: str) -> RawCell:
    return RawCell(Kind.DATE, text, as_shown=text)


def cell(ref: str, row: int = 1) -> str:
    """A cell of a table by its row below the header."""
    return at(ref, HEADER_ROW + row)


def item(ref: str, column: str = "B") -> str:
    """The Value cell of an item, or another one of its row."""
    found = season_definition().column(ref)
    sheet = season_definition().sheet(found.sheet)
    return f"{sheet.title}!{column}{HEADER_ROW + 1 + sheet.columns.index(found)}"


DIAMETER, SECOND, LAST_CUTS = cell("cuts.diameter"), cell("cuts.diameter", 2), cell("cuts.session", 5)
MINUTES, DELAY, DAY = cell("sessions.elapsed_time"), cell("sessions.delay_time"), cell("sessions.date", 3)
METHOD, PERSON, LEAVE = cell("sessions.method"), cell("sessions.person"), cell("sessions.leave_out")
FUEL, RUNNING, LOT = cell("sessions.fuel_used", 2), cell("sessions.running_time", 2), cell("sessions.lot")
HEART, HEIGHT, LENGTH = cell("sessions.mean_heart_rate"), cell("stacks.height"), cell("stacks.length")
PRICE, STICK, MARGIN = cell("tools.price"), item("season.stick_length"), item("season.practical_margin")
POWER, CURRENCY = item("season.electricity_price"), item("season.currency")


def typed(place: str, value: Any, code: str, mended: Any = SAME, words: str = "", **more: Any) -> Slip:
    """A slip in one cell, told there, and what is typed in its place."""
    return Slip({place: value}, code, place, None if mended is SAME else {place: mended}, words, **more)


CORPUS: dict[str, Slip] = {
    # numbers that stayed text, or are none
    "comma": typed(DIAMETER, "20,5", "cell-decimal-comma", 20.5, "20.5"),
    "number kept as text": typed(DIAMETER, "20", "cell-number-read", 20, "20"),
    "other unit in the cell": typed(DIAMETER, "8 in", "cell-not-a-number", 20.32, "20.32"),
    "range": typed(DIAMETER, "19-21", "cell-not-a-number", 20, "middle"),
    "about": typed(DIAMETER, "~20", "cell-not-a-number", 20, "number alone"),
    "question mark": typed(HEART, "?", "cell-not-a-number", None, "empty"),
    "question mark where a number is needed": typed(DIAMETER, "?", "cell-not-a-number", 20, "Write the diameter"),
    "words": typed(DIAMETER, "thick", "cell-not-a-number", 20, "plain number"),
    "thousands apart": typed(PRICE, "1 500", "cell-not-a-number", 1500, "1500"),
    "currency sign": typed(PRICE, "$400", "cell-money-with-sign", 400, "400"),
    "true": typed(DIAMETER, RawCell(Kind.BOOLEAN, True), "cell-true-false", 20),
    "fraction turned into a date": typed(DIAMETER, date("2026-01-02"), "cell-date-for-number", 20),
    "broken formula": typed(DIAMETER, RawCell(Kind.ERROR, "#REF!"), "cell-error-value", 20),
    "formula without a result": typed(DIAMETER, RawCell(Kind.NO_VALUE, "=A1"), "cell-formula-without-value", 20),
    "half a cut": typed(cell("cuts.cuts"), 2.5, "cell-not-whole", 12),
    "no cut": typed(cell("cuts.cuts"), 0, "cell-out-of-range", 12),
    # what cannot be, and what is unusual
    "nothing across": typed(DIAMETER, 0, "cell-out-of-range", 20),
    "less than nothing": typed(DIAMETER, -20, "cell-out-of-range", 20),
    "millimeters": typed(DIAMETER, 240, "cell-out-of-range", 24, "type 24"),
    "hours for minutes": typed(MINUTES, 1.5, "cell-unusual", 90, "type 90"),
    "far too long": typed(MINUTES, 1000, "cell-out-of-range", 90),
    "age": typed(cell("people.age"), 170, "cell-out-of-range", 40),
    "meters of height": typed(cell("people.height"), 1.7, "cell-out-of-range", 170, "type 170"),
    "resting heart": typed(cell("people.resting_heart_rate"), 200, "cell-out-of-range", 60),
    "stick in meters": typed(STICK, 0.4, "cell-unusual", 40, "type 40"),
    "share of one": typed(MARGIN, 0.1, "cell-share-of-one", 10, "10"),
    # gross errors that pass every limit
    "inches under centimeters": typed(DIAMETER, 7.87, "table-diameters-unlike", 19.99, "7.87 in is 20"),
    "centimeters under millimeters' third": typed(SECOND, 60, "table-diameters-unlike"),
    "fuel far too little": typed(FUEL, 0.02, "table-fuel-unlike"),
    "fuel far too much": typed(FUEL, 4.8, "table-fuel-unlike"),
    "running time too short": Slip({RUNNING: 3}, "table-fuel-unlike", FUEL),
    "cents for a kWh": typed(POWER, 200, "item-price-unusual", 2, "type 2"),
    "cents for a tool": typed(cell("tools.price", 2), 400000, "item-price-unusual", 4000, "type 4000"),
    "cents for bar oil": typed(item("season.bar_oil_price"), 5000, "item-price-unusual", 50, "type 50"),
    "a blade dearer than two saws": Slip({cell("upkeep.tool"): "Bow saw", cell("upkeep.price"): 1300,
                                          cell("upkeep.per"): "years"}, "row-upkeep-over-tool", cell("upkeep.price"),
                                         {cell("upkeep.price"): 130}),
    "kilojoules of a monitor": typed(cell("sessions.monitor_energy", 2), 1674, "row-monitor-unlike", 400.1,
                                     "type 400.1"),
    "used above new": typed(cell("tools.worth_today"), 4000, "row-worth-over-price", 200),
    "left above a whole life": typed(cell("tools.years_left"), 15, "row-left-over-life", 5),
    "a saw as heavy as a man": typed(cell("tools.mass", 2), 59, "cell-unusual", 5.9),
    "mostly pauses": typed(DELAY, 75, "row-mostly-pauses", 7.5),
    "a usual year ten times": typed(item("season.yearly_volume"), 100, "item-yearly-unlike-wanted", 10),
    "stack in feet": Slip({HEIGHT: 3.28, LENGTH: 4.92}, "season-lot-fraction-unusual", LOT,
                          {HEIGHT: 1.0, LENGTH: 1.5}, "(ft, not m)"),
    "stack half forgotten": Slip({LENGTH: 0.75}, "season-lot-fraction-impossible", LOT, {LENGTH: 1.5},
                                 "all its stacks"),
    "not left out": typed(LEAVE, "no", "row-not-left-out", None, "Clear"),
    "not left out, zero": typed(LEAVE, 0, "row-not-left-out", None, "Clear"),
    "left out, no reason": typed(LEAVE, "x", "row-left-out-no-reason", None, "clear the cell"),
    "day and month swapped": typed(DAY, date("2026-09-03"), "season-date-swapped", date("2026-03-09"), "2026-03-09"),
    "next year": typed(DAY, date("2027-03-09"), "season-date-far-off", date("2026-03-09")),
    "ten years ago": typed(DAY, date("2016-03-09"), "season-date-far-off", date("2026-03-09")),
    "out of order": typed(DAY, date("2026-04-20"), "season-date-out-of-order", date("2026-03-09")),
    "three times the time": typed(cell("sessions.elapsed_time", 4), 250, "season-session-unlike", 55),
    "a clock that is a fraction": typed(MINUTES, 71 / 1440, "cell-fraction-of-day", 71, "71"),
    "row above the header": Slip({"Cuts!A2": "Bow 1", "Cuts!B2": 21}, "row-above-header", "Cuts!A2",
                                 {"Cuts!A2": None, "Cuts!B2": None, LAST_CUTS: "Bow 1",
                                  cell("cuts.diameter", 5): 21}),
    # rows that do not hold together
    "no time": typed(MINUTES, None, "row-no-time", 90),
    "no method": typed(METHOD, None, "row-missing-value", "By bow saw"),
    "no session beside a cut": typed(cell("cuts.session"), None, "row-missing-value", "Bow 1"),
    "no height": typed(HEIGHT, None, "row-missing-value", 1.0),
    "pauses longer than the work": Slip({DELAY: 95}, "row-parts-over-whole", DELAY, {DELAY: 10}),
    "ran longer than it took": typed(RUNNING, 90, "row-running-over-whole", 30),
    "resale above the price": typed(cell("tools.resale"), 900, "row-resale-over-price", 90),
    "top longer than the bottom": typed(cell("stacks.top_length"), 2.5, "row-top-over-bottom", 1.4),
    "no price": typed(PRICE, None, "row-no-price", 400),
    "for nothing": typed(PRICE, 0, "row-price-zero", 400),
    "rent for one's own": typed(cell("tools.rent"), 50, "row-rent-not-rented", None, "leave the rent empty"),
    "share for one's own": typed(cell("tools.share"), 50, "row-share-not-shared", None, "leave the share empty"),
    # names
    "method misspelt": typed(METHOD, "By bow sow", "table-unknown-reference", "By bow saw", '"By bow saw"'),
    "person misspelt": typed(PERSON, "Adaa", "table-unknown-reference", "Ada", ""),
    "tool misspelt": typed(cell("methods.tool_1"), "Bow sow", "table-unknown-reference", "Bow saw", ""),
    "session of a cut misspelt": typed(cell("cuts.session"), "Bow1", "table-unknown-reference", "Bow 1", ""),
    "session of a stack misspelt": typed(cell("stacks.session"), "Stak 1", "table-unknown-reference", "Stack 1", ""),
    "two sessions of one name": typed(cell("sessions.session", 3), "Bow 1", "table-duplicate-key", "Bow 2"),
    "two tools of one name": Slip({cell("tools.tool", 2): "Bow saw"}, "table-duplicate-key", cell("tools.tool"),
                                  {cell("tools.tool", 2): "Chain saw"}),
    "trained at a tool that is on no list": typed(cell("people.may_use"), "Chane", "row-unknown-tools", "Chain saw"),
    "kind that is none": typed(cell("tools.kind", 2), "gas", "cell-not-in-list", "gasoline two-stroke", ""),
    "task that is none": typed(cell("methods.task"), "cutting", "cell-not-in-list", "buck", ""),
    "tree that is none": typed(cell("wood.species"), "Ashh wite", "table-unknown-tree", "ash, white", ""),
    "moisture without its basis": Slip({cell("wood.moisture_basis"): None}, "row-moisture-without-basis",
                                       cell("wood.moisture"), {cell("wood.moisture_basis"): "dry"}),
    "currency in words": typed(CURRENCY, "kroner", "cell-currency", "NOK"),
    # helpers, hearts, fuel
    "helper is the main person": typed(cell("helpers.person"), "Ada", "table-helper-is-main", "Bo"),
    "helper longer than the session": typed(cell("helpers.time"), 100, "table-helper-too-long", 30),
    "heart below rest": typed(HEART, 55, "table-heart-rate-below-rest", 120),
    "fuel without an engine": typed(cell("sessions.fuel_used"), 0.3, "table-fuel-without-engine", None, "clear"),
    "electricity without a motor": typed(cell("sessions.electricity_used", 2), 1,
                                         "table-electricity-without-motor", None, "clear"),
    # dates
    "date in words": typed(DAY, "9 March 2026", "cell-day-read", date("2026-03-09")),
    "day number": typed(DAY, 46090, "cell-day-number", date("2026-03-09"), "date"),
    # what is not read
    "sums below the cuts": Slip({LAST_CUTS: "Average", cell("cuts.diameter", 5): 21}, "row-summary", LAST_CUTS,
                                {LAST_CUTS: None, cell("cuts.diameter", 5): None}),
    "number under Help": Slip({STICK: None, item("season.stick_length", "D"): 40}, "item-in-other-column",
                              item("season.stick_length", "D"), {STICK: 40, item("season.stick_length", "D"): None}),
    "number under Unit": Slip({STICK: None, item("season.stick_length", "C"): 40}, "item-in-other-column",
                              item("season.stick_length", "C"), {STICK: 40, item("season.stick_length", "C"): "cm"}),
    "number beside a value": typed(item("season.stick_length", "D"), 33, "item-number-beside", None, "Clear"),
    "label gone": Slip({item("season.stick_length", "A"): None}, "item-label-gone", STICK,
                       {item("season.stick_length", "A"): "Stick length"}, "Stick length"),
    "value under the items": typed("Season!B60", 7, "item-stray-value", None, "clear it"),
    # headers
    "unit that is none": typed("Cuts!B3", "Diameter [ell]", "header-unknown-unit", "Diameter [cm]"),
    "header without its unit": typed("Cuts!B3", "Diameter", "header-missing-unit", "Diameter [cm]"),
    "header misspelt": typed("Cuts!B3", "Diametre [cm]", "header-near-column", "Diameter [cm]", "Diameter"),
    "entry under no header": typed("Cuts!H5", "wet", "header-no-title", None, "Clear it"),
}  # fmt: skip


def problems(*edits: Entries) -> tuple[list[Problem], int]:
    """What is told of the trial after some edits, and how many figures are given."""
    ids = {sheet.title: sheet.id for sheet in season_definition().sheets}

    def edit(cells: dict[str, Cells]) -> None:
        cells["season"][HEADER_ROW, 4] = RawCell(Kind.TEXT, HELP_HEADER)
        for name, value in (entry for entries in edits for entry in entries.items()):
            title, _, address = name.partition("!")
            letters = address.rstrip("0123456789")
            place = int(address[len(letters) :]), column_number(letters)
            if value is None:
                cells[ids[title]].pop(place, None)
            else:
                cells[ids[title]][place] = raw(value)

    season = checked(trial_season(), edit=edit)
    tables, found = computed_tables(season)
    rows = [] if tables is None else [row for sheet in tables.tables.values() for row in sheet]
    given = [one for row in rows for one in row.values() if isinstance(one, Figure) and one.value is not None]
    return [*season.problems, *found], len(given)


@cache
def told_of_the_sound_trial() -> frozenset[tuple[str, str]]:
    return frozenset((one.code, one.where) for one in problems()[0])


def test_the_sound_trial_has_nothing_to_mend() -> None:
    assert [one.code for one in problems()[0] if one.level <= Level.FIX] == []
    assert len(CORPUS) >= 60


@pytest.mark.parametrize("name", few(CORPUS, *list(CORPUS)[::20]))
def test_a_slip_is_told_at_its_cell_and_its_mend_mends_it(name: str) -> None:
    slip = CORPUS[name]
    found, given_n = problems(slip.typed)
    told = [one for one in found if (one.code, one.where.partition(":")[0]) == (slip.code, slip.where)]
    assert len(told) == 1, [(one.code, one.where) for one in found]
    assert slip.words in told[0].mend or slip.words in told[0].text
    if slip.mend is None:
        return
    after, given_after_n = problems(slip.typed, slip.mend)
    assert {(one.code, one.where) for one in after} - told_of_the_sound_trial() == set()
    assert given_after_n >= given_n
