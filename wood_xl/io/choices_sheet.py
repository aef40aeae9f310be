"""The sheet of lists that the drop-downs show: permitted words, names of trees, units.

It is hidden, though one of the common programs shows hidden sheets anyway: lists written into the rules themselves do
not survive every way of saving.
"""

from __future__ import annotations

from typing import Any

from openpyxl.utils import get_column_letter, quote_sheetname

from wood_xl.data.load import species_names
from wood_xl.io import looks, measure
from wood_xl.io.looks import OPTIONAL_HEADER
from wood_xl.io.page import Paper, set_up_page
from wood_xl.io.template_style import text_cell, write_over
from wood_xl.schema.layout import CHOICES_TITLE, HEADER_ROW
from wood_xl.schema.model import Column, Definition, System, season_definition
from wood_xl.schema.words import phrase
from wood_xl.template_texts import InTemplate

WIDTH = 20.0
MOST_NAMED = 3  # columns named over a list that serves several
SUGGESTIONS = {"species": species_names}  # by the word in the definition


class Choices:
    """Every list once, with the range in which it stands."""

    def __init__(self, definition: Definition, currency: str) -> None:
        self._used_by: dict[tuple[str, ...], list[str]] = {}
        columns = [column for sheet in definition.sheets for column in sheet.asked]
        titles = {sheet.id: sheet.title for sheet in definition.sheets}
        for column in columns:
            if words := words_of(column):
                self._used_by.setdefault(words, []).append(f"{titles[column.sheet]}: {column.title}")
        for column in columns:
            if len(column.units) > 1:
                self._used_by.setdefault(unit_labels(column, currency), []).append(column.title)
        self._numbers = {words: number for number, words in enumerate(self._used_by, start=1)}

    def range_of(self, words: tuple[str, ...]) -> str:
        """Absolute range that holds these words."""
        letter = get_column_letter(self._numbers[words])
        first = HEADER_ROW + 1
        return f"{quote_sheetname(CHOICES_TITLE)}!${letter}${first}:${letter}${HEADER_ROW + len(words)}"

    def write(self, sheet: Any, paper: Paper) -> None:
        """Put every list onto the sheet, one in each column."""
        widths = []
        for words, number in self._numbers.items():
            head = measure.column_width(measure.longest_word(self._head(words), bold=True))
            width = max([WIDTH, *(measure.text_width(word) + 2 for word in words), head])
            sheet.column_dimensions[get_column_letter(number)].width = round(width, 1)
            widths.append(width)
            text_cell(sheet, HEADER_ROW, number, self._head(words), OPTIONAL_HEADER, boxed=True)
            for row, word in enumerate(words, start=HEADER_ROW + 1):
                text_cell(sheet, row, number, word)
        lines = max(measure.line_count(self._head(w), widths[n - 1]) for w, n in self._numbers.items())
        sheet.row_dimensions[HEADER_ROW].height = measure.row_height(lines)
        write_over(sheet, 1, CHOICES_TITLE, looks.SHEET_TITLE)
        write_over(sheet, 2, phrase(InTemplate.CHOICES_HELP), looks.HELP)
        sheet.freeze_panes = f"A{HEADER_ROW + 1}"
        set_up_page(sheet, paper, width=sum(widths), header_row=HEADER_ROW)
        sheet.sheet_properties.pageSetUpPr.fitToPage = False  # it would be too small to read

    def _head(self, words: tuple[str, ...]) -> str:
        used_by = list(dict.fromkeys(self._used_by[words]))
        if len(used_by) <= MOST_NAMED:
            return ", ".join(used_by)
        return phrase(InTemplate.AND_OTHERS, titles=tuple(used_by[:MOST_NAMED]))


def words_of(column: Column) -> tuple[str, ...]:
    """What the drop-down of a column shows; empty if it has none of its own."""
    if column.choices:
        return column.choices
    return tuple(SUGGESTIONS[column.suggests]()) if column.suggests else ()


def list_range(column: Column, choices: Choices, system: System) -> str:
    """Range with the drop-down list of a column: its own words, or the names typed on another sheet."""
    if column.refers_to:
        target = season_definition().column(column.refers_to)
        sheet = season_definition().sheet(target.sheet)
        number = [one.id for one in sheet.columns_in(system)].index(target.id) + 1
        letter, first = get_column_letter(number), HEADER_ROW + 1
        return f"{quote_sheetname(sheet.title)}!${letter}${first}:${letter}${HEADER_ROW + sheet.capacity}"
    choices_of = words_of(column)
    return choices.range_of(choices_of) if choices_of else ""


def unit_labels(column: Column, currency: str) -> tuple[str, ...]:
    """Its permitted units as the person sees them."""
    return tuple(column.label(unit, currency) for unit in column.units)
