"""Rules on the cells that are typed into: drop-down lists, ranges, and the message that shows beside the cell.

A rule must never refuse what the checks would take: the unit may be changed, a time may be typed as h:mm (which a
workbook stores as a part of a day), a number may have its unit beside it or be several, and the sheets may be filled
in any order.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from openpyxl.worksheet.datavalidation import DataValidation

from wood_xl.io import entry_words, limits
from wood_xl.pages import Entry
from wood_xl.schema.layout import UNIT_HEADER
from wood_xl.schema.model import Column, season_definition
from wood_xl.schema.words import phrase, words

DAY_ZERO = date(1899, 12, 30)  # dates are counted from here in a workbook
HAIR = 1e-6  # rules have no "more than"; nothing is measured as finely as this
YEARS = "season.price_year"  # the span of years that the definition permits


def entry_rule(
    column: Column, unit: str, currency: str, *, source: str = "", unit_beside: bool = False
) -> DataValidation:
    """The rule for one column or one item's value, with ``source`` as its drop-down list.

    With ``unit_beside`` the unit is chosen in a cell of its own, so that any of them may hold.
    """
    if column.is_number:
        rule = _number_rule(column, unit, currency, unit_beside=unit_beside)
    elif column.is_date:
        rule = _date_rule(column)
    elif column.is_clock:
        rule = DataValidation(
            type="time", operator="between", formula1="0", formula2="1"
        )  # never refused: 905 is read
    elif source:
        rule = _list_rule(column, source)
    else:
        rule = _text_rule(column)
    rule.allow_blank = True
    rule.showInputMessage = True
    rule.promptTitle = limits.short_title(column.title)
    rule.prompt = _prompt(column, unit, currency)
    if rule.showErrorMessage:
        rule.errorTitle = limits.short_title(column.title)
    return rule


def unit_rule(source: str) -> DataValidation:
    """The rule for a cell in which a unit is chosen."""
    rule = DataValidation(type="list", formula1=source, allow_blank=False, showErrorMessage=True)
    rule.errorTitle = UNIT_HEADER
    rule.error = words(Entry.CHOOSE_UNIT)
    return rule


def _number_rule(column: Column, unit: str, currency: str, *, unit_beside: bool) -> DataValidation:
    each = [entry_words.bounds(column, one) for one in (column.units if unit_beside and column.units else (unit,))]
    low = min(one.low for one in each) + (HAIR if column.minimum is None else 0.0)
    rule = DataValidation(
        type="whole" if column.type == "integer" else "decimal",
        operator="between",
        formula1=_plain(0.0 if column.is_time else low),
        formula2=_plain(max(one.high for one in each)),
        showErrorMessage=not column.joins,
    )
    if column.joins:
        return rule
    advice = column.mend or words(Entry.WHOLE_NUMBER if column.type == "integer" else Entry.NUMBER)
    possible = entry_words.range_text(column, unit, currency)
    rule.error = entry_words.within(limits.REFUSAL_TEXT, possible, advice)
    rule.errorStyle = "warning"  # a fraction, and a number with its unit, are texts and read too
    if len(column.units) > 1 and not unit_beside:
        rule.error = entry_words.within(limits.REFUSAL_TEXT, rule.error, words(Entry.OTHER_UNIT))
    return rule


def _date_rule(column: Column) -> DataValidation:
    years = season_definition().column(YEARS)
    first, last = int(years.minimum or 1900), int(years.maximum or 9999)
    rule = DataValidation(
        type="date",
        operator="between",
        formula1=str((date(first, 1, 1) - DAY_ZERO).days),
        formula2=str((date(last, 12, 31) - DAY_ZERO).days),
        showErrorMessage=True,
    )
    rule.error = column.mend
    return rule


def _list_rule(column: Column, source: str) -> DataValidation:
    closed = bool(column.choices)
    rule = DataValidation(type="list", formula1=source, showErrorMessage=closed)
    if closed:
        rule.error = words(Entry.CHOOSE_WORD)
    return rule


def _text_rule(column: Column) -> DataValidation:
    most = column.max_length or limits.CELL_TEXT
    rule = DataValidation(type="textLength", operator="lessThanOrEqual", formula1=str(most), showErrorMessage=True)
    rule.error = phrase(Entry.AT_MOST, n=most)
    return rule


def _plain(number: float) -> str:
    """A number as it stands in a rule: without an exponent, which not every program reads there."""
    return format(Decimal(f"{number:.12g}"), "f")


def _prompt(column: Column, unit: str, currency: str) -> str:
    return entry_words.within(
        limits.PROMPT_TEXT,
        column.help,
        entry_words.must_text(column),
        entry_words.usual_text(column, unit, currency) or entry_words.range_text(column, unit, currency),
        entry_words.example_text(column, unit),
        entry_words.default_text(column),
    )
