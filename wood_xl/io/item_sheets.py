"""The template's sheets of items, and its texts: the instructions on Start, and the cautions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from openpyxl import Workbook
from openpyxl.utils import absolute_coordinate, get_column_letter, quote_sheetname
from openpyxl.workbook.defined_name import DefinedName

from wood_xl.data.cautions import Caution, cautions
from wood_xl.data.load import sources
from wood_xl.io import looks, measure
from wood_xl.io.entry_rules import Kit, add_entry_rule, add_unit_rule, entry_look
from wood_xl.io.looks import Look
from wood_xl.io.page import (
    INDENT_WIDTH,
    TEXT_INDENT,
    Paper,
    caution_text,
    set_up_page,
    set_widths,
    text_cell,
    write_over,
    write_row,
    write_wrapped,
)
from wood_xl.page_texts import InTemplate, OfCautions, OtherSheet, Step
from wood_xl.schema import layout
from wood_xl.schema.model import Column, Sheet, season_definition
from wood_xl.schema.words import phrase, words

ITEM_COLUMNS = {
    layout.ITEM_HEADER: 29.7,
    layout.VALUE_HEADER: 16.5,
    layout.UNIT_HEADER: 14.3,
    layout.HELP_HEADER: 44.0,
}
WIDTHS = [*ITEM_COLUMNS.values()]  # together hardly wider than a page at full size
ITEM, VALUE, UNIT, HELP = range(1, len(ITEM_COLUMNS) + 1)
CURRENCY = "season.currency"
START_HEADER_ROW = layout.HEADER_ROW + 1  # the title of a section stands above it
TRIAL_ROWS = 2  # on Start, a title and a line of help between the items of the season and those of a trial
LEAST_POINTS = 16.0  # of a row, with room for handwriting


@cache
def item_places() -> dict[str, tuple[str, int]]:
    """Title of the sheet and row of each item of a template, by ``sheet.column``."""
    definition = season_definition()
    of_trial = definition.sheet(layout.START_ID).asked[0].ref
    places: dict[str, tuple[str, int]] = {}
    for sheet in definition.sheets:
        if sheet.kind != "items":
            continue
        row = START_HEADER_ROW if sheet.id == layout.START_ID else layout.HEADER_ROW
        for column in definition.items_on(sheet.id):
            row += 1 + (TRIAL_ROWS if column.ref == of_trial else bool(column.heading))
            places[column.ref] = (sheet.title, row)
    return places


def write_item_sheet(page: Any, sheet: Sheet, kit: Kit) -> None:
    """Write a sheet of items that prints on one page."""
    write_over(page, 1, sheet.title, looks.SHEET_TITLE)
    write_over(page, 2, sheet.help, looks.HELP)
    _write_items(page, sheet, kit, layout.HEADER_ROW)
    last, header = page.max_row, layout.HEADER_ROW
    set_up_page(page, kit.paper, WIDTHS, down_to=last, header_row=header, one_page=True, upright=True, grid=True)


def _write_items(page: Any, sheet: Sheet, kit: Kit, header_row: int) -> None:
    set_widths(page, WIDTHS)
    for number, header in enumerate(ITEM_COLUMNS, start=1):
        text_cell(page, header_row, number, header, looks.FRAME_HEADER, boxed=True, indent=TEXT_INDENT)
    page.row_dimensions[header_row].height = LEAST_POINTS
    places = item_places()
    for column in season_definition().items_on(sheet.id):
        row = places[column.ref][1]
        if column.heading:
            text_cell(page, row - 1, ITEM, column.heading, looks.varied(looks.SECTION, wraps=False))
            page.row_dimensions[row - 1].height = measure.row_height(1, looks.SECTION.size) + 4
        _write_item(page, row, column, kit)


def _write_item(page: Any, row: int, column: Column, kit: Kit) -> None:
    entry_help = kit.help_on(column)
    look = looks.NEEDED_ITEM if column.required else looks.ITEM_CELL
    text_cell(page, row, ITEM, column.title, look, boxed=True, indent=TEXT_INDENT)
    unit = column.label(entry_help.unit, kit.currency)
    text_cell(page, row, UNIT, unit, looks.ITEM_CELL, boxed=True, indent=TEXT_INDENT)
    texts = (column.help, entry_help.default or entry_help.example)  # the rest shows where the value is typed
    help_text = " ".join(text if text.endswith(".") else f"{text}." for text in texts if text)
    text_cell(page, row, HELP, help_text, looks.ITEM_HELP, boxed=True, indent=TEXT_INDENT)
    value = text_cell(page, row, VALUE, kit.currency if column.ref == CURRENCY else "", boxed=True)
    looks.dress(value, entry_look(column, looks.ITEM_CELL, boxed=True))
    add_entry_rule(page, f"{get_column_letter(VALUE)}{row}", column, kit, unit_beside=True)
    if len(column.units) > 1:
        add_unit_rule(page, f"{get_column_letter(UNIT)}{row}", column, kit)
    shown = [(column.title, ITEM, look), (unit, UNIT, looks.ITEM_CELL), (help_text, HELP, looks.ITEM_HELP)]
    shown += [(choice, VALUE, looks.ITEM_CELL) for choice in column.choices]
    heights = (
        measure.row_height(measure.line_count(text, WIDTHS[at - 1] - INDENT_WIDTH, of.size, of.bold), of.size)
        for text, at, of in shown
    )
    page.row_dimensions[row].height = max(LEAST_POINTS, *heights)


CAUTION_WIDTHS = [19.0, 81.0, 1.5, 96.0]  # the third keeps texts apart
CAUTIONS_ON_PAPER = 2  # columns that are printed; without the sources the cautions print at full size
CAUTION_HEADS: tuple[InTemplate | str, ...] = (InTemplate.ABOUT, InTemplate.CAUTION, "", InTemplate.SOURCE_OR_NONE)
SECTION_POINTS = 22.0
BESIDE = UNIT  # a text in the value column would make the text to its left an item
LEGEND = {  # names and meanings by look
    looks.NEEDED_ITEM: (InTemplate.BOLD_FILLED, InTemplate.COMPULSORY),
    looks.ONE_OF_ITEM: (InTemplate.BOLD, InTemplate.ONE_OF),
    looks.ITEM_CELL: (InTemplate.PLAIN, InTemplate.OPTIONAL),
}
SECTION = looks.varied(looks.TITLE, vertical="bottom")
Line = tuple[str, Look, tuple[str, Look] | None]  # text and look, and those of a text beside it


def write_start(workbook: Workbook, page: Any, kit: Kit) -> None:
    """Write the first sheet, and name the cell that holds the template's version."""
    definition = season_definition()
    sheet = definition.sheet(layout.START_ID)
    write_wrapped(page, 1, words(InTemplate.HEADING), looks.SHEET_TITLE, widths=WIDTHS)
    write_wrapped(page, 2, sheet.help, looks.HELP, widths=WIDTHS)
    _section(page, START_HEADER_ROW - 1, words(InTemplate.THIS_SEASON))
    _write_items(page, sheet, kit, START_HEADER_ROW)
    trial = item_places()[sheet.asked[0].ref][1] - TRIAL_ROWS
    _section(page, trial, words(InTemplate.A_TRIAL))
    titles = {sheet.id: sheet.title for sheet in definition.sheets}
    titles |= {name: definition.column(f"people.{name}").title for name in ("may_use", "doctor_word")}
    titles |= {"cautions": layout.CAUTIONS_TITLE, "unit": layout.UNIT_HEADER}
    titles["lot"] = definition.column("sessions.lot").title
    write_wrapped(page, trial + 1, phrase(InTemplate.TRIAL_HELP, **titles), looks.HELP, widths=WIDTHS)
    _write_lines(page, _instructions(titles))
    printed = page.max_row
    _write_lines(page, _on_the_screen(titles))
    version = page.cell(page.max_row, BESIDE)
    place = f"{quote_sheetname(sheet.title)}!{absolute_coordinate(version.coordinate)}"
    workbook.defined_names[layout.VERSION_NAME] = DefinedName(layout.VERSION_NAME, attr_text=place)
    set_up_page(page, kit.paper, WIDTHS, down_to=printed, one_page=True, upright=True)


def _write_lines(page: Any, lines: Iterator[Line]) -> None:
    """Add lines below, each across all columns or with a text beside it."""
    for row, (text, look, beside) in enumerate(lines, start=page.max_row + 1):
        if look is SECTION:
            _section(page, row, text)
        elif beside is None:
            write_wrapped(page, row, text, look, widths=WIDTHS)
        else:
            page.row_dimensions[row].height = measure.row_height(1, look.size)
            text_cell(page, row, ITEM, text, look, boxed=look in LEGEND)
            text_cell(page, row, BESIDE, *beside)


def _section(page: Any, row: int, title: str) -> None:
    write_wrapped(page, row, title, SECTION, widths=WIDTHS)
    page.row_dimensions[row].height = SECTION_POINTS


def _instructions(titles: Mapping[str, str]) -> Iterator[Line]:
    """The steps and the gravest cautions."""
    yield words(InTemplate.HOW_TO_FILL), SECTION, None
    steps = [phrase(step, **titles) for step in Step]
    yield from ((f"{number}. {step}", looks.PLAIN, None) for number, step in enumerate(steps, start=1))
    yield words(InTemplate.BEFORE_START), SECTION, None
    for caution in cautions():
        if caution.on_start:
            yield caution_text(caution), looks.CAUTION, None
    yield phrase(InTemplate.ALL_CAUTIONS, sheet=layout.CAUTIONS_TITLE, general=_general()), looks.HELP, None


def _on_the_screen(titles: Mapping[str, str]) -> Iterator[Line]:
    """What explains the other sheets. It is not printed, so that Start fits a page."""
    yield words(InTemplate.WHAT_FILL_MEANS), SECTION, None
    for look, (name, meaning) in LEGEND.items():
        yield words(name), look, (words(meaning), looks.varied(looks.ITEM_CELL, wraps=False))
    yield words(InTemplate.TABS), looks.PLAIN, None
    yield words(InTemplate.OTHER_SHEETS), SECTION, None
    for other in OtherSheet:
        title = titles[other.name.lower()]
        yield title, looks.varied(looks.PLAIN, indent=1), (words(other), looks.varied(looks.HELP, wraps=False))
    yield words(InTemplate.VERSION), looks.HELP, (season_definition().version, looks.HELP)


def write_cautions(page: Any, paper: Paper) -> None:
    """Write every caution with its source."""
    set_widths(page, CAUTION_WIDTHS)
    write_wrapped(page, 1, layout.CAUTIONS_TITLE, looks.SHEET_TITLE, widths=CAUTION_WIDTHS)
    write_wrapped(page, 2, _general(), looks.HELP, widths=CAUTION_WIDTHS[:CAUTIONS_ON_PAPER])
    for number, text in enumerate(CAUTION_HEADS, start=1):
        text_cell(page, layout.HEADER_ROW, number, words(text), looks.FRAME_HEADER)
    for row, caution in enumerate(cautions(), start=layout.HEADER_ROW + 1):
        texts = [(text, looks.CAUTION) for text in (caution.title, caution.text, "")]
        write_row(page, row, [*texts, (_source_words(caution), looks.SOURCE)], CAUTION_WIDTHS)
    printed, header = CAUTION_WIDTHS[:CAUTIONS_ON_PAPER], layout.HEADER_ROW
    set_up_page(page, paper, printed, down_to=page.max_row, header_row=header, upright=True)


def _general() -> str:
    return phrase(OfCautions.CLOSING, no_figure=OfCautions.NO_FIGURE, general=OfCautions.GENERAL)


def _source_words(caution: Caution) -> str:
    if not caution.source:
        return words(InTemplate.NO_SOURCE)
    source = sources()[caution.source]
    year = f" {source.year}" if source.year else ""
    return f"{source.authors}{year}, {source.title}: {caution.where} ({caution.known})"
