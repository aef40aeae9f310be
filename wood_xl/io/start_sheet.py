"""The template's first sheet, with how to fill it in and the gravest cautions, and the sheet with all of them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from openpyxl import Workbook
from openpyxl.utils import absolute_coordinate, quote_sheetname
from openpyxl.workbook.defined_name import DefinedName

from wood_xl.data.cautions import Caution, cautions
from wood_xl.data.load import sources
from wood_xl.io import looks, measure
from wood_xl.io.looks import CAUTION, FRAME_HEADER, ITEM_CELL, NEEDED_ITEM, PLAIN, SOURCE
from wood_xl.io.page import Paper, set_up_page
from wood_xl.io.template_style import text_cell, write_wrapped
from wood_xl.pages import InTemplate, OfCautions, Step
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
from wood_xl.schema.words import phrase, words

WIDTHS = [15.0, 59.5, 1.5, 36.0]  # the third keeps texts apart
CAUTION_HEADS: tuple[InTemplate | str, ...] = (InTemplate.ABOUT, InTemplate.CAUTION, "", InTemplate.SOURCE_OR_NONE)
LEGEND = (
    (InTemplate.BOLD_FILLED, NEEDED_ITEM, InTemplate.COMPULSORY),
    (InTemplate.PLAIN, ITEM_CELL, InTemplate.OPTIONAL),
)


def write_start(workbook: Workbook, page: Any, definition: Definition, paper: Paper) -> None:
    """Fill the first sheet, and name the cell that holds the template's version."""
    _set_widths(page)
    write_wrapped(page, 1, words(InTemplate.HEADING), looks.SHEET_TITLE, widths=WIDTHS)
    write_wrapped(page, 2, words(InTemplate.SUBTITLE), looks.HELP, widths=WIDTHS)
    text_cell(page, 3, 1, words(InTemplate.VERSION), looks.HELP)
    version = text_cell(page, 3, 2, definition.version, looks.HELP)
    place = f"{quote_sheetname(START_TITLE)}!{absolute_coordinate(version.coordinate)}"
    workbook.defined_names[VERSION_NAME] = DefinedName(VERSION_NAME, attr_text=place)
    row = _write_steps(page, 5, definition)
    row = _write_colours(page, row + 1)
    write_wrapped(page, row + 1, words(InTemplate.BEFORE_START), looks.TITLE, widths=WIDTHS)
    row = _write_rows(page, row + 2, [(c, _source_words(c)) for c in cautions() if c.on_start])
    all_of_them = phrase(InTemplate.ALL_CAUTIONS, sheet=CAUTIONS_TITLE, general=_general())
    write_wrapped(page, row, all_of_them, looks.HELP, widths=WIDTHS)
    page.sheet_view.showGridLines = False
    set_up_page(page, paper, width=sum(WIDTHS))


def write_cautions(page: Any, paper: Paper) -> None:
    """Fill the sheet with every caution, gear included, each with its source."""
    _set_widths(page)
    write_wrapped(page, 1, CAUTIONS_TITLE, looks.SHEET_TITLE, widths=WIDTHS)
    write_wrapped(page, 2, _general(), looks.HELP, widths=WIDTHS)
    for number, text in enumerate(CAUTION_HEADS, start=1):
        text_cell(page, HEADER_ROW, number, words(text), FRAME_HEADER)
    _write_rows(page, HEADER_ROW + 1, [(c, _source_words(c, f": {c.where}")) for c in cautions()])
    page.sheet_view.showGridLines = False
    page.freeze_panes = f"A{HEADER_ROW + 1}"
    set_up_page(page, paper, width=sum(WIDTHS), header_row=HEADER_ROW)


def _general() -> str:
    return phrase(OfCautions.CLOSING, no_figure=OfCautions.NO_FIGURE, general=OfCautions.GENERAL)


def _set_widths(page: Any) -> None:
    for letter, width in zip("ABCD", WIDTHS, strict=True):
        page.column_dimensions[letter].width = width


def how_to_fill(definition: Definition) -> list[str]:
    """The steps, in the words of the definition's sheets and columns."""
    titles = {sheet.id: sheet.title for sheet in definition.sheets}
    titles |= {name: definition.column(f"sessions.{name}").title for name in ("lot", "leave_out")}
    titles |= {"cuts_n": definition.column("cuts.cuts").title, "tally": TALLY_TITLE, "choices": CHOICES_TITLE}
    return [phrase(step, **titles, value=VALUE_HEADER, unit=UNIT_HEADER) for step in Step]


def _write_steps(page: Any, row: int, definition: Definition) -> int:
    write_wrapped(page, row, words(InTemplate.HOW_TO_FILL), looks.TITLE, widths=WIDTHS)
    for number, step in enumerate(how_to_fill(definition), start=1):
        write_wrapped(page, row + number, f"{number}. {step}", PLAIN, widths=WIDTHS)
    return row + len(how_to_fill(definition)) + 1


def _write_colours(page: Any, row: int) -> int:
    write_wrapped(page, row, words(InTemplate.WHAT_FILL_MEANS), looks.TITLE, widths=WIDTHS)
    for at, (name, look, meaning) in enumerate(LEGEND, start=row + 1):
        text_cell(page, at, 1, words(name), look, boxed=True)
        text_cell(page, at, 2, words(meaning), ITEM_CELL)
    return row + len(LEGEND) + 1


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
        return words(InTemplate.NO_SOURCE)
    source = sources()[caution.source]
    year = f" {source.year}" if source.year else ""
    return f"{source.authors}{year}, {source.title}{where} ({caution.known})"
