"""Rules on the cells that are typed into, what the template tells of each, and the hidden sheet of drop-down lists.

A rule must never refuse what the checks would take: the unit may be changed, a time may be typed as h:mm (which a
workbook stores as a part of a day), a number may have its unit beside it or be several, and the sheets may be filled
in any order. The lists stand on a sheet: written into the rules themselves they do not survive every way of saving.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import Any

from openpyxl.utils import get_column_letter, quote_sheetname
from openpyxl.worksheet.datavalidation import DataValidation

from wood_xl.data.load import constant, species_names
from wood_xl.errors import DefinitionFault
from wood_xl.io import limits, looks, measure
from wood_xl.io.looks import AS_DATE, AS_TEXT, GENERAL, OPTIONAL_HEADER, Look, varied
from wood_xl.io.page import TEXT_INDENT, Paper, cell_look, set_up_page, set_widths, text_cell, write_over
from wood_xl.notes.limits import as_written, in_unit, usual_ends
from wood_xl.notes.problem import number_text
from wood_xl.pages import Entry, InTemplate
from wood_xl.schema.layout import CHOICES_TITLE, HEADER_ROW, UNIT_HEADER
from wood_xl.schema.model import Column, System, season_definition
from wood_xl.schema.words import after_number, phrase, words

BOUND_DIGITS = 3


def _ends(column: Column, unit: str) -> tuple[float, float]:
    """Limits of a number's column in one of its units."""
    lowest = column.exclusive_minimum if column.minimum is None else column.minimum
    if lowest is None or column.maximum is None:
        raise DefinitionFault(f"{column.ref}: a number needs a lowest and a highest value")
    return in_unit(lowest, column, unit), in_unit(column.maximum, column, unit)


@dataclass(frozen=True)
class Told:
    """What the template tells of a column in one of its units; a text is empty where there is nothing to tell."""

    column: Column
    unit: str
    currency: str

    @property
    def label(self) -> str:
        """The unit as it stands after a number."""
        return after_number(self.column.label(self.unit, self.currency))

    @property
    def must(self) -> str:
        """Whether it must be filled in, or it or another."""
        sheet = season_definition().sheet(self.column.sheet)
        if sheet.has_in_one_of(self.column):
            titles = (tuple(sheet.column(name).title for name in one) for one in sheet.one_of)
            sets = tuple(phrase(Entry.BOTH, titles=both) for both in titles)
            return phrase(Entry.ONE_OF, sets=sets)
        return words(Entry.COMPULSORY if self.column.required else Entry.OPTIONAL)

    @property
    def possible(self) -> str:
        """The range of a number."""
        if not self.column.is_number:
            return ""
        low, high = (number_text(end, BOUND_DIGITS) for end in _ends(self.column, self.unit))
        limits_text = phrase(Entry.OVER if self.column.minimum is None else Entry.RANGE, low=low, high=high)
        return phrase(Entry.POSSIBLE, range=limits_text, unit=self.label)

    @property
    def usual(self) -> str:
        """What is usual."""
        if self.column.plausible is None:
            return ""
        low, high = map(number_text, usual_ends(self.column, self.unit))
        return phrase(Entry.USUAL, low=low, high=high, unit=self.label)

    @property
    def example(self) -> str:
        """An example of what to type."""
        column, given = self.column, self.column.example
        if given is None or (column.unit_kept and self.unit != column.metric):
            return ""
        if column.us_example is not None and self.unit == column.us:
            return phrase(Entry.EXAMPLE, example=number_text(column.us_example))
        shown = given if isinstance(given, str) else number_text(as_written(given, column, self.unit))
        return phrase(Entry.EXAMPLE, example=shown)

    @property
    def default(self) -> str:
        """What is taken if it is left empty."""
        column, given = self.column, self.column.default
        if column.default_from:
            stands_in = constant(column.default_from)
            if stands_in.unit != column.unit:
                raise DefinitionFault(f"{column.ref}: its default {column.default_from} is in {stands_in.unit!r}")
            return phrase(Entry.IF_EMPTY, default=f"{number_text(stands_in.value)}{after_number(column.unit)}")
        if given is None:
            return ""
        return phrase(Entry.IF_EMPTY, default=given if isinstance(given, str) else number_text(given))

    @property
    def units(self) -> str:
        """The units that the header may name instead."""
        labels = unit_labels(self.column, self.currency)
        return phrase(Entry.UNITS, units=labels) if len(labels) > 1 else ""


def within(limit: int, *parts: str) -> str:
    """The parts that fit one after the other into so many characters; never a part of one."""
    text = ""
    for part in parts:
        longer = f"{text} {part}" if text and part else text or part
        if len(longer) <= limit:
            text = longer
    return text


WIDTH = 20.0
MOST_NAMED = 3  # columns named over a list that serves several
SUGGESTIONS = {"species": species_names}  # by the word in the definition


@dataclass(frozen=True)
class Kit:
    """What a template is made for: units, currency and paper, and whether all its columns are in view."""

    system: System
    currency: str
    paper: Paper
    unfolded: bool = False

    @cached_property
    def choices(self) -> Choices:
        """Its drop-down lists."""
        return Choices(self.currency)

    def told(self, column: Column) -> Told:
        """What it tells of a column."""
        return Told(column, column.unit_in(self.system), self.currency)


class Choices:
    """Every list once, with the range in which it stands."""

    def __init__(self, currency: str) -> None:
        self._used_by: dict[tuple[str, ...], list[str]] = {}
        columns = [column for sheet in season_definition().sheets for column in sheet.asked]
        titles = {sheet.id: sheet.title for sheet in season_definition().sheets}
        for column in columns:
            if words := _words_of(column):
                self._used_by.setdefault(words, []).append(f"{titles[column.sheet]}: {column.title}")
        for column in columns:
            if len(column.units) > 1:
                self._used_by.setdefault(unit_labels(column, currency), []).append(column.title)

    def range_of(self, words: tuple[str, ...]) -> str:
        """Absolute range that holds these words."""
        letter = get_column_letter(list(self._used_by).index(words) + 1)
        first = HEADER_ROW + 1
        return f"{quote_sheetname(CHOICES_TITLE)}!${letter}${first}:${letter}${HEADER_ROW + len(words)}"

    def write(self, sheet: Any, paper: Paper) -> None:
        """Put every list onto the sheet, one in each column."""
        widths, lines = [], 1
        for number, shown in enumerate(self._used_by, start=1):
            head = self._head(shown)
            least = max(WIDTH, measure.column_width(measure.longest_word(head, bold=True)))
            widths.append(max(least, *(measure.text_width(word) + 2 for word in shown)))
            lines = max(lines, measure.line_count(head, widths[-1]))
            text_cell(sheet, HEADER_ROW, number, head, OPTIONAL_HEADER, boxed=True)
            for row, word in enumerate(shown, start=HEADER_ROW + 1):
                text_cell(sheet, row, number, word)
        set_widths(sheet, [round(width, 1) for width in widths])
        sheet.row_dimensions[HEADER_ROW].height = measure.row_height(lines)
        write_over(sheet, 1, CHOICES_TITLE, looks.SHEET_TITLE)
        write_over(sheet, 2, phrase(InTemplate.CHOICES_HELP), looks.HELP)
        set_up_page(sheet, paper, widths, header_row=HEADER_ROW, grid=True)
        sheet.sheet_properties.pageSetUpPr.fitToPage = False  # it would be too small to read

    def _head(self, words: tuple[str, ...]) -> str:
        used_by = list(dict.fromkeys(self._used_by[words]))
        if len(used_by) <= MOST_NAMED:
            return ", ".join(used_by)
        return phrase(InTemplate.AND_OTHERS, titles=tuple(used_by[:MOST_NAMED]))


def _words_of(column: Column) -> tuple[str, ...]:
    """What the drop-down of a column shows; empty if it has none of its own."""
    if column.choices:
        return column.choices
    return tuple(SUGGESTIONS[column.suggests]()) if column.suggests else ()


def _list_range(column: Column, kit: Kit) -> str:
    """Range with the drop-down list of a column: its own words, or the names typed on another sheet."""
    if column.refers_to:
        target = season_definition().column(column.refers_to)
        sheet = season_definition().sheet(target.sheet)
        letter, first = get_column_letter(sheet.number_of(target.id, kit.system)), HEADER_ROW + 1
        return f"{quote_sheetname(sheet.title)}!${letter}${first}:${letter}${HEADER_ROW + sheet.capacity}"
    choices_of = _words_of(column)
    return kit.choices.range_of(choices_of) if choices_of else ""


def unit_labels(column: Column, currency: str) -> tuple[str, ...]:
    """Its permitted units as the person sees them."""
    return tuple(column.label(unit, currency) for unit in column.units)


def is_text(column: Column) -> bool:
    """Whether what is typed there is text to the workbook."""
    return not (column.is_number or column.is_date or column.is_clock)


def entry_look(column: Column, look: Look = looks.ENTRY, *, boxed: bool = False) -> Look:
    """The look of what is typed there.

    Numbers have no alignment of their own: where a program sets one to the left, it took it for text.
    """
    if is_text(column):
        return cell_look(look, AS_TEXT, boxed=boxed, indent=TEXT_INDENT)
    # A fixed format would turn a date or a clock time into a bare number.
    number_format = AS_DATE if column.is_date else GENERAL
    return cell_look(varied(look, horizontal=""), number_format, boxed=boxed)


DAY_ZERO = date(1899, 12, 30)  # dates are counted from here in a workbook
HAIR = 1e-6  # rules have no "more than"; nothing is measured as finely as this
YEARS = "season.price_year"  # the span of years that the definition permits


def add_entry_rule(page: Any, cells: str, column: Column, kit: Kit, *, unit_beside: bool = False) -> None:
    """Put the rule of a column, or of an item's value, on its cells, with its drop-down list.

    With ``unit_beside`` the unit is chosen in a cell of its own, so that any of them may hold.
    """
    told, source = kit.told(column), _list_range(column, kit)
    if column.is_number:
        rule = _number_rule(told, unit_beside=unit_beside)
    elif column.is_date:
        rule = _date_rule(column)
    elif column.is_clock:
        rule = _between("time", "0", "1", refuses=False)  # 905 is read
    elif source:
        rule = DataValidation(type="list", formula1=source, showErrorMessage=bool(column.choices))
        rule.error = words(Entry.CHOOSE_WORD) if column.choices else None
    else:
        most = column.max_length or limits.CELL_TEXT
        rule = DataValidation("textLength", operator="lessThanOrEqual", formula1=str(most), showErrorMessage=True)
        rule.error = phrase(Entry.AT_MOST, n=most)
    rule.allow_blank = True
    rule.showInputMessage = True
    rule.promptTitle = limits.short_title(column.title)
    texts = (column.help, told.must, told.usual or told.possible, told.example, told.default)
    rule.prompt = within(limits.PROMPT_TEXT, *texts)
    if rule.showErrorMessage:
        rule.errorTitle = limits.short_title(column.title)
    rule.add(cells)
    page.add_data_validation(rule)


def add_unit_rule(page: Any, cell: str, column: Column, kit: Kit) -> None:
    """Put the rule on a cell in which a unit is chosen."""
    source = kit.choices.range_of(unit_labels(column, kit.currency))
    rule = DataValidation(type="list", formula1=source, allow_blank=False, showErrorMessage=True)
    rule.errorTitle, rule.error = UNIT_HEADER, words(Entry.CHOOSE_UNIT)
    rule.add(cell)
    page.add_data_validation(rule)


def _between(kind: Any, low: str, high: str, *, refuses: bool) -> DataValidation:
    return DataValidation(type=kind, operator="between", formula1=low, formula2=high, showErrorMessage=refuses)


def _number_rule(told: Told, *, unit_beside: bool) -> DataValidation:
    column = told.column
    lows, highs = zip(*(_ends(column, one) for one in (unit_beside and column.units) or (told.unit,)), strict=True)
    low = min(lows) + (HAIR if column.minimum is None else 0.0)
    ends = _plain(0.0 if column.is_time else low), _plain(max(highs))
    rule = _between("whole" if column.type == "integer" else "decimal", *ends, refuses=not column.joins)
    if column.joins:
        return rule
    advice = column.mend or words(Entry.WHOLE_NUMBER if column.type == "integer" else Entry.NUMBER)
    rule.error = within(limits.REFUSAL_TEXT, told.possible, advice)
    rule.errorStyle = "warning"  # a fraction, and a number with its unit, are texts and read too
    if len(column.units) > 1 and not unit_beside:
        rule.error = within(limits.REFUSAL_TEXT, rule.error, words(Entry.OTHER_UNIT))
    return rule


def _date_rule(column: Column) -> DataValidation:
    years = season_definition().column(YEARS)
    first, last = int(years.minimum or 1900), int(years.maximum or 9999)
    ends = (str((day - DAY_ZERO).days) for day in (date(first, 1, 1), date(last, 12, 31)))
    rule = _between("date", *ends, refuses=True)
    rule.error = column.mend
    return rule


def _plain(number: float) -> str:
    """A number as it stands in a rule: without an exponent, which not every program reads there."""
    return format(Decimal(f"{number:.12g}"), "f")
