"""The page to be written on outdoors: one sheet of paper for one session.

Everything on it is text, so that whatever is typed into it by mistake can be told from what is printed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from openpyxl.utils import get_column_letter

from wood_xl.io import looks, measure
from wood_xl.io.page import Paper, set_up_page
from wood_xl.io.template_style import join, text_cell, write_wrapped
from wood_xl.pages import InTemplate
from wood_xl.schema.layout import TALLY_TITLE
from wood_xl.schema.model import Definition, System
from wood_xl.schema.words import phrase

COLUMNS = 12
COLUMN_WIDTH = 7.8
SESSION_BOXES: tuple[tuple[str | InTemplate, ...], ...] = (
    ("session", "date", "method", "person"),
    (InTemplate.START_TIME, InTemplate.STOP_TIME, "delay_time", "service_time"),
    ("running_time", "mean_heart_rate", "monitor_energy", "air_temperature"),
    ("fuel_used", "bar_oil_used", "electricity_used", "lot"),
)
BOXES_IN_ROW = 4
SPAN = COLUMNS // BOXES_IN_ROW
DIAMETERS = {"us": tuple(range(2, 25)), "metric": tuple(range(4, 50, 2))}  # in; cm
TALLY_BLOCKS = 3
STACK_SPANS = {"height": 4, "length": 2, "top_length": 2, "depth": 2, "rows": 2}
STACK_ROWS = 3
READINGS = 4
NOTE_ROWS = {"letter": 4, "a4": 6}
BOX_POINTS, TALLY_POINTS, STACK_POINTS, TITLE_POINTS = 24.0, 23.0, 24.0, 24.0


@dataclass(frozen=True)
class _Words:
    definition: Definition
    system: System
    currency: str

    def header(self, ref: str) -> str:
        column = self.definition.column(ref)
        return column.header(column.unit_in(self.system), self.currency)


def write_tally(page: Any, definition: Definition, system: System, currency: str, paper: Paper) -> None:
    """Draw the page, with the units of a system and its steps of diameters."""
    words = _Words(definition, system, currency)
    for number in range(1, COLUMNS + 1):
        page.column_dimensions[get_column_letter(number)].width = COLUMN_WIDTH
    _line(page, 1, TALLY_TITLE, looks.SHEET_TITLE)
    _line(page, 2, phrase(InTemplate.TALLY_HELP), looks.HELP)
    row = _session_boxes(page, 3, words)
    row = _tally_grid(page, row, words, DIAMETERS[system])
    row = _stack_boxes(page, row, words)
    _note_boxes(page, row, NOTE_ROWS[paper])
    page.sheet_view.showGridLines = False
    page.print_options.horizontalCentered = True
    set_up_page(page, paper, width=COLUMNS * COLUMN_WIDTH, one_page=True)


def _session_boxes(page: Any, row: int, words: _Words) -> int:
    for names in SESSION_BOXES:
        for index, name in enumerate(names):
            label = words.header(f"sessions.{name}") if isinstance(name, str) else phrase(name)
            _label(page, row, 1 + index * SPAN, SPAN, label)
            _box(page, row + 1, 1 + index * SPAN, SPAN)
        page.row_dimensions[row + 1].height = BOX_POINTS
        row += 2
    _label(page, row, 1, COLUMNS, phrase(InTemplate.TALLY_HELPERS, helpers=words.definition.sheet("helpers").title))
    _box(page, row + 1, 1, COLUMNS)
    page.row_dimensions[row + 1].height = BOX_POINTS
    return row + 2


def _tally_grid(page: Any, row: int, words: _Words, diameters: tuple[int, ...]) -> int:
    _title(page, row, phrase(InTemplate.TALLY_CUTS, diameter=words.header("cuts.diameter")))
    labels = [*map(str, diameters), phrase(InTemplate.LARGER)]
    in_block = -(-len(labels) // TALLY_BLOCKS)
    for index, label in enumerate(labels):
        block, step = divmod(index, in_block)
        at, first = row + 1 + step, 1 + block * (COLUMNS // TALLY_BLOCKS)
        text_cell(
            page, at, first, label, looks.DIAMETER if index < len(diameters) else looks.LARGER_DIAMETER, boxed=True
        )
        _box(page, at, first + 1, COLUMNS // TALLY_BLOCKS - 1)
        page.row_dimensions[at].height = TALLY_POINTS
    return row + 1 + in_block


def _stack_boxes(page: Any, row: int, words: _Words) -> int:
    sheet = words.definition.sheet("stacks")
    _title(page, row, phrase(InTemplate.TALLY_STACKS, stacks=sheet.title, n=READINGS))
    first = 1
    for name, span in STACK_SPANS.items():
        _label(page, row + 1, first, span, words.header(f"stacks.{name}"))
        for step in range(STACK_ROWS):
            parts = READINGS if name == "height" else 1
            for part in range(parts):
                _box(page, row + 2 + step, first + part * (span // parts), span // parts)
            page.row_dimensions[row + 2 + step].height = STACK_POINTS
        first += span
    return row + 2 + STACK_ROWS


def _note_boxes(page: Any, row: int, rows: int) -> None:
    _title(page, row, phrase(InTemplate.UNUSUAL))
    for step in range(1, rows + 1):
        _box(page, row + step, 1, COLUMNS)
        page.row_dimensions[row + step].height = BOX_POINTS


def _line(page: Any, row: int, text: str, look: looks.Look) -> None:
    write_wrapped(page, row, text, look, widths=[COLUMN_WIDTH] * COLUMNS)


def _title(page: Any, row: int, text: str) -> None:
    _line(page, row, text, looks.SECTION)
    page.row_dimensions[row].height = TITLE_POINTS


def _label(page: Any, row: int, first: int, span: int, text: str) -> None:
    text_cell(page, row, first, text, looks.SMALL)
    join(page, row, first, span)
    page.row_dimensions[row].height = measure.row_height(1, looks.SMALL.size)


def _box(page: Any, row: int, first: int, span: int) -> None:
    for number in range(first, first + span):
        looks.dress(page.cell(row, number), looks.HAND)
    join(page, row, first, span)
