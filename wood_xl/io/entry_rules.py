"""Rules and help for the cells that are typed into, and the hidden sheet of drop-down lists.

A rule must not refuse what the checks accept: another unit, a time as h:mm (stored as a fraction of a day), several
numbers or a number with its unit in one cell, and sheets filled in any order. The lists stand on a sheet because some
programs lose those that are written into a rule.
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
from wood_xl.page_texts import Entry, InTemplate
from wood_xl.schema.layout import CHOICES_TITLE, HEADER_ROW, UNIT_HEADER
from wood_xl.schema.model import Column, System, season_definition
from wood_xl.schema.words import after_number, phrase, words

LIMIT_DIGITS = 3


def _limits(column: Column, unit: str) -> tuple[float, float]:
    """Lowest and highest possible number of a column, in one of its units."""
    lowest = column.exclusive_minimum if column.minimum is None else column.minimum
    if lowest is None or column.maximum is None:
        raise DefinitionFault(f"{column.ref}: a number needs a lowest and a highest value")
    return in_unit(lowest, column, unit), in_unit(column.maximum, column, unit)


@dataclass(frozen=True)
class EntryHelp:
    """The help on a column in one of its units; a text is empty if it does not apply."""

    column: Column
    unit: str
    currency: str

    @property
    def label(self) -> str:
        """The unit as written after a number."""
        return after_number(self.column.label(self.unit, self.currency))

    @property
    def must(self) -> str:
        """Whether an entry is compulsory, optional, or one of several."""
        sheet = season_definition().sheet(self.column.sheet)
        if sheet.has_in_one_of(self.column):
            titles = (tuple(sheet.column(name).title for name in names) for names in sheet.one_of)
            return phrase(Entry.ONE_OF, sets=tuple(phrase(Entry.BOTH, titles=both) for both in titles))
        return words(Entry.COMPULSORY if self.column.required else Entry.OPTIONAL)

    @property
    def possible(self) -> str:
        """The range of possible numbers."""
        if not self.column.is_number:
            return ""
        low, high = (number_text(limit, LIMIT_DIGITS) for limit in _limits(self.column, self.unit))
        possible = phrase(Entry.OVER if self.column.minimum is None else Entry.RANGE, low=low, high=high)
        return phrase(Entry.POSSIBLE, range=possible, unit=self.label)

    @property
    def usual(self) -> str:
        """The range of usual numbers."""
        if self.column.plausible is None:
            return ""
        low, high = map(number_text, usual_ends(self.column, self.unit))
        return phrase(Entry.USUAL, low=low, high=high, unit=self.label)

    @property
    def example(self) -> str:
        """An example of an entry."""
        column, example = self.column, self.column.example
        if example is None or (column.unit_kept and self.unit != column.metric):
            return ""
        if column.us_example is not None and self.unit == column.us:
            return phrase(Entry.EXAMPLE, example=number_text(column.us_example))
        text = example if isinstance(example, str) else number_text(as_written(example, column, self.unit))
        return phrase(Entry.EXAMPLE, example=text)

    @property
    def default(self) -> str:
        """What is used if the cell stays empty."""
        column, default = self.column, self.column.default
        if column.default_from:
            stands_in = constant(column.default_from)
            if stands_in.unit != column.unit:
                raise DefinitionFault(f"{column.ref}: its default {column.default_from} is in {stands_in.unit!r}")
            return phrase(Entry.IF_EMPTY, default=f"{number_text(stands_in.value)}{after_number(column.unit)}")
        if default is None:
            return ""
        return phrase(Entry.IF_EMPTY, default=default if isinstance(default, str) else number_text(default))

    @property
    def units(self) -> str:
        """The units that the header may name, if there is a choice."""
        labels = unit_labels(self.column, self.currency)
        return phrase(Entry.UNITS, units=labels) if len(labels) > 1 else ""


def within(limit: int, *parts: str) -> str:
    """The parts that fit into a number of characters, in their order and each whole."""
    text = ""
    for part in parts:
        longer = f"{text} {part}".strip()
        if len(longer) <= limit:
            text = longer
    return text


LIST_WIDTH = 20.0
MOST_NAMED = 3  # columns named above a list that several of them use
SUGGESTIONS = {"species": species_names}  # by the word in the definition


@dataclass(frozen=True)
class Kit:
    """The choices for one template: units, currency, paper, and whether all its columns are in view."""

    system: System
    currency: str
    paper: Paper
    unfolded: bool = False

    @cached_property
    def choices(self) -> Choices:
        """The drop-down lists."""
        return Choices(self.currency)

    def help_on(self, column: Column) -> EntryHelp:
        """The help on a column, in the template's units."""
        return EntryHelp(column, column.unit_in(self.system), self.currency)


class Choices:
    """The drop-down lists, each once, and the range of cells that holds it."""

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
        """The absolute range that holds a list."""
        letter = get_column_letter(list(self._used_by).index(words) + 1)
        first = HEADER_ROW + 1
        return f"{quote_sheetname(CHOICES_TITLE)}!${letter}${first}:${letter}${HEADER_ROW + len(words)}"

    def write(self, sheet: Any, paper: Paper) -> None:
        """Write the lists onto their sheet, a column for each."""
        widths, lines = [], 1
        for number, listed in enumerate(self._used_by, start=1):
            header = self._header(listed)
            least = max(LIST_WIDTH, measure.column_width(measure.longest_word(header, bold=True)))
            widths.append(max(least, *(measure.text_width(word) + 2 for word in listed)))
            lines = max(lines, measure.line_count(header, widths[-1]))
            text_cell(sheet, HEADER_ROW, number, header, OPTIONAL_HEADER, boxed=True)
            for row, word in enumerate(listed, start=HEADER_ROW + 1):
                text_cell(sheet, row, number, word)
        set_widths(sheet, [round(width, 1) for width in widths])
        sheet.row_dimensions[HEADER_ROW].height = measure.row_height(lines)
        write_over(sheet, 1, CHOICES_TITLE, looks.SHEET_TITLE)
        write_over(sheet, 2, phrase(InTemplate.CHOICES_HELP), looks.HELP)
        set_up_page(sheet, paper, widths, header_row=HEADER_ROW, grid=True)
        sheet.sheet_properties.pageSetUpPr.fitToPage = False  # it would be too small to read

    def _header(self, words: tuple[str, ...]) -> str:
        used_by = list(dict.fromkeys(self._used_by[words]))
        if len(used_by) <= MOST_NAMED:
            return ", ".join(used_by)
        return phrase(InTemplate.AND_OTHERS, titles=tuple(used_by[:MOST_NAMED]))


def _words_of(column: Column) -> tuple[str, ...]:
    """The words of a column's own drop-down list; none if it has no such list."""
    if column.choices:
        return column.choices
    return tuple(SUGGESTIONS[column.suggests]()) if column.suggests else ()


def _list_range(column: Column, kit: Kit) -> str:
    """The range of a column's drop-down list: its own words, or the names typed on another sheet."""
    if column.refers_to:
        target = season_definition().column(column.refers_to)
        sheet = season_definition().sheet(target.sheet)
        letter, first = get_column_letter(sheet.number_of(target.id, kit.system)), HEADER_ROW + 1
        return f"{quote_sheetname(sheet.title)}!${letter}${first}:${letter}${HEADER_ROW + sheet.capacity}"
    choices_of = _words_of(column)
    return kit.choices.range_of(choices_of) if choices_of else ""


def unit_labels(column: Column, currency: str) -> tuple[str, ...]:
    """The permitted units as people see them."""
    return tuple(column.label(unit, currency) for unit in column.units)


def is_text(column: Column) -> bool:
    """Whether the cells of a column hold text."""
    return not (column.is_number or column.is_date or column.is_clock)


def entry_look(column: Column, look: Look = looks.ENTRY, *, boxed: bool = False) -> Look:
    """The look of a column's entries.

    Numbers get no alignment: one that a program shows at the left was taken for text.
    """
    if is_text(column):
        return cell_look(look, AS_TEXT, boxed=boxed, indent=TEXT_INDENT)
    # A fixed format would turn a date or a clock time into a bare number.
    number_format = AS_DATE if column.is_date else GENERAL
    return cell_look(varied(look, horizontal=""), number_format, boxed=boxed)


DAY_ZERO = date(1899, 12, 30)  # dates are counted from here in a workbook
HAIR = 1e-6  # stands in for "more than", which rules do not have; nothing is measured as finely
YEARS = "season.price_year"  # has the permitted span of years


def add_entry_rule(page: Any, cells: str, column: Column, kit: Kit, *, unit_beside: bool = False) -> None:
    """Add the rule and the help for the entries of a column or an item.

    ``unit_beside``: the unit is chosen in another cell, so a number may be in any of the permitted units.
    """
    entry_help, source = kit.help_on(column), _list_range(column, kit)
    if column.is_number:
        rule = _number_rule(entry_help, unit_beside=unit_beside)
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
    range_help = entry_help.usual or entry_help.possible
    texts = (column.help, entry_help.must, range_help, entry_help.example, entry_help.default)
    rule.prompt = within(limits.PROMPT_TEXT, *texts)
    if rule.showErrorMessage:
        rule.errorTitle = limits.short_title(column.title)
    rule.add(cells)
    page.add_data_validation(rule)


def add_unit_rule(page: Any, cell: str, column: Column, kit: Kit) -> None:
    """Add the rule for a cell in which a unit is chosen."""
    source = kit.choices.range_of(unit_labels(column, kit.currency))
    rule = DataValidation(type="list", formula1=source, allow_blank=False, showErrorMessage=True)
    rule.errorTitle, rule.error = UNIT_HEADER, words(Entry.CHOOSE_UNIT)
    rule.add(cell)
    page.add_data_validation(rule)


def _between(kind: Any, low: str, high: str, *, refuses: bool) -> DataValidation:
    return DataValidation(type=kind, operator="between", formula1=low, formula2=high, showErrorMessage=refuses)


def _number_rule(entry_help: EntryHelp, *, unit_beside: bool) -> DataValidation:
    column = entry_help.column
    units = (unit_beside and column.units) or (entry_help.unit,)
    lows, highs = zip(*(_limits(column, unit) for unit in units), strict=True)
    low = min(lows) + (HAIR if column.minimum is None else 0.0)
    ends = _plain(0.0 if column.is_time else low), _plain(max(highs))
    rule = _between("whole" if column.type == "integer" else "decimal", *ends, refuses=not column.joins)
    if column.joins:
        return rule
    advice = column.mend or words(Entry.WHOLE_NUMBER if column.type == "integer" else Entry.NUMBER)
    rule.error = within(limits.REFUSAL_TEXT, entry_help.possible, advice)
    rule.errorStyle = "warning"  # a fraction or a number with its unit is text, and is read too
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
    """A number as written in a rule: without an exponent, which some programs do not read there."""
    return format(Decimal(f"{number:.12g}"), "f")
