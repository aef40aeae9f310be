"""The template's first sheet, with how to fill it in and the gravest cautions, and the sheet with all of them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from openpyxl import Workbook
from openpyxl.utils import absolute_coordinate, quote_sheetname
from openpyxl.workbook.defined_name import DefinedName

from wood_xl.data.cautions import CLOSING, NO_FIGURE, Caution, cautions
from wood_xl.data.load import sources
from wood_xl.io import looks, measure
from wood_xl.io.looks import CAUTION, FRAME_HEADER, ITEM_CELL, NEEDED_ITEM, PLAIN, SOURCE
from wood_xl.io.page import Paper, set_up_page
from wood_xl.io.template_style import text_cell, write_wrapped
from wood_xl.schema.layout import (
    CAUTIONS_TITLE,
    CHOICES_TITLE,
    HEADER_ROW,
    START_TITLE,
    TALLY_TITLE,
    UNIT_HEADER,
    VALUE_HEADER,
    VERSION_NAME,
)
from wood_xl.schema.model import Definition

WIDTHS = [15.0, 59.5, 1.5, 36.0]  # the third keeps texts apart
HEADING = "Notes of a firewood season"
SUBTITLE = "What was worked, with what, for how long, and how much wood it made."
STEPS_TITLE, COLOURS_TITLE, FIRST_TITLE = "How to fill it in", "What the fill means", "Before you start"
ALL_OF_THEM = f"The sheet {CAUTIONS_TITLE} has all of them, each with its source. {NO_FIGURE}"
VERSION_LABEL = "Template version"
CAUTION_HEADS = ("About", "Caution", "", "Source, or that there is none")
NO_SOURCE_SHOWN = "Common practice, no source"


def write_start(workbook: Workbook, page: Any, definition: Definition, paper: Paper) -> None:
    """Fill the first sheet, and name the cell that holds the template's version."""
    _set_widths(page)
    write_wrapped(page, 1, HEADING, looks.SHEET_TITLE, widths=WIDTHS)
    write_wrapped(page, 2, SUBTITLE, looks.HELP, widths=WIDTHS)
    text_cell(page, 3, 1, VERSION_LABEL, looks.HELP)
    version = text_cell(page, 3, 2, definition.version, looks.HELP)
    place = f"{quote_sheetname(START_TITLE)}!{absolute_coordinate(version.coordinate)}"
    workbook.defined_names[VERSION_NAME] = DefinedName(VERSION_NAME, attr_text=place)
    row = _write_steps(page, 5, definition)
    row = _write_colours(page, row + 1)
    write_wrapped(page, row + 1, FIRST_TITLE, looks.TITLE, widths=WIDTHS)
    row = _write_rows(page, row + 2, [(c, _source_words(c)) for c in cautions() if c.on_start])
    write_wrapped(page, row, f"{ALL_OF_THEM} {CLOSING}", looks.HELP, widths=WIDTHS)
    page.sheet_view.showGridLines = False
    set_up_page(page, paper, width=sum(WIDTHS))


def write_cautions(page: Any, paper: Paper) -> None:
    """Fill the sheet with every caution, gear included, each with its source."""
    _set_widths(page)
    write_wrapped(page, 1, CAUTIONS_TITLE, looks.SHEET_TITLE, widths=WIDTHS)
    write_wrapped(page, 2, f"{NO_FIGURE} {CLOSING}", looks.HELP, widths=WIDTHS)
    for number, text in enumerate(CAUTION_HEADS, start=1):
        text_cell(page, HEADER_ROW, number, text, FRAME_HEADER)
    _write_rows(page, HEADER_ROW + 1, [(c, _source_words(c, f": {c.where}")) for c in cautions()])
    page.sheet_view.showGridLines = False
    page.freeze_panes = f"A{HEADER_ROW + 1}"
    set_up_page(page, paper, width=sum(WIDTHS), header_row=HEADER_ROW)


def _set_widths(page: Any) -> None:
    for letter, width in zip("ABCD", WIDTHS, strict=True):
        page.column_dimensions[letter].width = width


def how_to_fill(definition: Definition) -> list[str]:
    """The steps, in the words of the definition's sheets and columns."""
    title = {sheet.id: sheet.title for sheet in definition.sheets}
    column = {name: definition.column(name).title for name in ("sessions.lot", "sessions.leave_out", "cuts.cuts")}
    return [
        f"Outdoors, write on the page {TALLY_TITLE}: one sheet of paper for each session. Copy it here at a table.",
        f"Begin with {title['season']}: type in the column {VALUE_HEADER}. Only the marked items are compulsory.",
        (
            f"Write each way of working once on {title['methods']}. {title['people']}, {title['tools']} and "
            f"{title['upkeep']} add effort and money; the more you fill, the more can be computed."
        ),
        f"One row on {title['sessions']} for each stretch of one method by one person on one day.",
        (
            f"What it made: the sawn ends on {title['cuts']}, the finished stacks on {title['stacks']}; or both. "
            f"Cuts of one size can share a row, with their number under {column['cuts.cuts']}."
        ),
        (
            f"Whoever else worked goes on {title['helpers']}. A heart monitor's record can be pasted into "
            f"{title['heart_trace']}. {title['wood']} and {title['next_season']} are for heat and for planning."
        ),
        (
            f"The unit stands in the header's brackets, or in the column {UNIT_HEADER}. Write another there if yours "
            f"differs; the sheet {CHOICES_TITLE} lists those that can be read."
        ),
        "Click a cell, or point at a header, to see what belongs there. Leave empty what you do not know; 0 is none.",
        "Times are minutes, for example 95, or 1:35. Dates are year-month-day, for example 2026-10-04.",
        (
            f"Names must be the same on every sheet. The same {column['sessions.lot']} on two sessions says that "
            f"the wood was the same. To leave a session out, give the reason under {column['sessions.leave_out']}."
        ),
        "You may add columns and sheets of your own, and move columns or rows. Save as .xlsx or .ods.",
    ]


def _write_steps(page: Any, row: int, definition: Definition) -> int:
    write_wrapped(page, row, STEPS_TITLE, looks.TITLE, widths=WIDTHS)
    for number, step in enumerate(how_to_fill(definition), start=1):
        write_wrapped(page, row + number, f"{number}. {step}", PLAIN, widths=WIDTHS)
    return row + len(how_to_fill(definition)) + 1


def _write_colours(page: Any, row: int) -> int:
    write_wrapped(page, row, COLOURS_TITLE, looks.TITLE, widths=WIDTHS)
    text_cell(page, row + 1, 1, "Bold, filled", NEEDED_ITEM, boxed=True)
    text_cell(page, row + 1, 2, "Compulsory: in every row that you use.", ITEM_CELL)
    text_cell(page, row + 2, 1, "Plain", ITEM_CELL, boxed=True)
    text_cell(page, row + 2, 2, "Fill it in if you have it.", ITEM_CELL)
    return row + 3


def _write_rows(page: Any, row: int, rows: Iterable[tuple[Caution, str]]) -> int:
    """Cautions, each with the words for its source; returns the row below them."""
    for caution, source in rows:
        cells = (caution.title, caution.text, "", source)
        look_of = (CAUTION, CAUTION, CAUTION, SOURCE)
        for number, (text, look) in enumerate(zip(cells, look_of, strict=True), start=1):
            text_cell(page, row, number, text, look)
        lines = [
            measure.row_height(measure.line_count(text, width, look.size), look.size)
            for text, width, look in zip(cells, WIDTHS, look_of, strict=True)
        ]
        page.row_dimensions[row].height = max(lines)
        row += 1
    return row


def _source_words(caution: Caution, where: str = "") -> str:
    if not caution.source:
        return NO_SOURCE_SHOWN
    source = sources()[caution.source]
    year = f" {source.year}" if source.year else ""
    return f"{source.authors}{year}, {source.title}{where} ({caution.known})"
