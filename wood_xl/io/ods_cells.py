"""One cell of an OpenDocument spreadsheet: from its attributes and shown text to a raw cell.

The format says outright whether a number is a date, a time or a per cent, so that number formats need not be read.
Where programs write less than the format asks for, the text that the cell shows decides.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date

from wood_xl.io.cell_kinds import FOUND_LENGTH, MINUTES_PER_DAY, NOT_SHOWN, Look, clock_cell, dated_cell, number_cell
from wood_xl.io.package import Attributes
from wood_xl.raw import Kind, RawCell

OFFICE = "urn:oasis:names:tc:opendocument:xmlns:office:1.0 "
TABLE = "urn:oasis:names:tc:opendocument:xmlns:table:1.0 "
CALC_EXTENSION = "urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0 "

VALUE_TYPE = OFFICE + "value-type"
VALUE = OFFICE + "value"
STRING_VALUE = OFFICE + "string-value"
FORMULA = TABLE + "formula"
FIRST_DAYS = (date(1899, 12, 30), date(1899, 12, 31))  # day 0: a clock time in a cell that is formatted as a date

_DURATION = re.compile(
    r"(-?)P(?:(\d{1,9})D)?(?:T(?:(\d{1,9})H)?(?:(\d{1,9})M)?(?:(\d{1,9}(?:[.,]\d{1,12})?)S)?)?", re.ASCII
)
_ERROR_TEXT = re.compile(r"#[A-Z][A-Z0-9/_]*[!?]?|#(?:DIV/0|REF|NAME|NUM|VALUE|NULL)[!?]|Err:\d{1,4}")
_FORMULA_PREFIX = re.compile(r"[A-Za-z][\w.-]*:(?==)", re.ASCII)
_CONSTANTS = {"=TRUE()": True, "=FALSE()": False}


def open_document_cell(attributes: Attributes, shown: str | None) -> RawCell | None:
    """The raw cell for one cell element; None if it holds nothing.

    Parameters
    ----------
    attributes : dict
        Of the cell element, names as ``namespace local``.
    shown : str or None
        Text that the cell shows, paragraphs joined by line ends; None if it has no paragraph.
    """
    formula = attributes.get(FORMULA)
    kind = attributes.get(VALUE_TYPE, "")
    if formula is not None:
        found = _of_formula(formula, kind, attributes, shown)
        if found is not None:
            return found
    make = _KINDS.get(kind)
    if make is not None:
        return make(attributes, shown or "")
    text = attributes.get(STRING_VALUE, shown)
    return RawCell(Kind.TEXT, text) if text else None


def _of_formula(formula: str, kind: str, attributes: Attributes, shown: str | None) -> RawCell | None:
    """What only cells with a formula can be: an error, a value that was never computed, TRUE or FALSE."""
    text = shown or ""
    if attributes.get(CALC_EXTENSION + "value-type") == "error" or _ERROR_TEXT.fullmatch(text):
        return RawCell(Kind.ERROR, text[:FOUND_LENGTH] or NOT_SHOWN)
    plain = _FORMULA_PREFIX.sub("", formula, count=1)
    # A formula that was computed and gives an empty text has a kind or an empty paragraph.
    if not kind and shown is None:
        return RawCell(Kind.NO_VALUE, plain[:FOUND_LENGTH])
    if plain in _CONSTANTS:  # so written by programs that opened a workbook of another format
        return RawCell(Kind.BOOLEAN, _CONSTANTS[plain])
    return None


def _number(attributes: Attributes, shown: str) -> RawCell:
    cell = number_cell(attributes.get(VALUE, shown), Look.PLAIN, from_1904=False)
    if shown.endswith("%") and isinstance(cell.value, float) and _is_percent(cell.value, shown):
        return RawCell(Kind.NUMBER, cell.value, percent=True)
    return cell


def _money(attributes: Attributes, shown: str) -> RawCell:
    currency = attributes.get(OFFICE + "currency", "").strip()
    return number_cell(attributes.get(VALUE, shown), Look.PLAIN, from_1904=False, currency=currency)


def _is_percent(value: float, shown: str) -> bool:
    """Whether 0.03 is shown as 3 %; a program may call such a cell a plain number."""
    try:
        seen = float(shown.rstrip("% \u00a0").replace(",", "."))
    except ValueError:
        return False
    return abs(seen - 100 * value) < abs(seen - value)


def _percentage(attributes: Attributes, shown: str) -> RawCell:
    return number_cell(attributes.get(VALUE, shown), Look.PERCENT, from_1904=False)


def _date(attributes: Attributes, shown: str) -> RawCell:
    text = attributes.get(OFFICE + "date-value", "")
    cell = dated_cell(text)
    if cell.kind is Kind.ERROR:
        return RawCell(Kind.ERROR, (text or shown)[:FOUND_LENGTH] or NOT_SHOWN)
    if cell.kind is Kind.DATE and str(cell.value)[:10] in map(str, FIRST_DAYS):
        return dated_cell(str(cell.value)[11:] or "00:00")
    return cell


def _time(attributes: Attributes, shown: str) -> RawCell:
    text = attributes.get(OFFICE + "time-value", "").strip()
    found = _DURATION.fullmatch(text)
    if not found or not any(found.groups()[1:]):
        return RawCell(Kind.ERROR, (text or shown)[:FOUND_LENGTH] or NOT_SHOWN)
    days, hours, minutes = (int(part or 0) for part in found.groups()[1:4])
    seconds = float((found[5] or "0").replace(",", "."))
    in_days = days + (hours * 60 + minutes + seconds / 60) / MINUTES_PER_DAY
    return clock_cell(-in_days if found[1] else in_days, elapsed=True)


def _boolean(attributes: Attributes, shown: str) -> RawCell:
    value = attributes.get(OFFICE + "boolean-value", shown).strip().lower()
    return RawCell(Kind.BOOLEAN, value in ("true", "1"))


_KINDS: dict[str, Callable[[Attributes, str], RawCell]] = {
    "float": _number,
    "currency": _money,
    "percentage": _percentage,
    "date": _date,
    "time": _time,
    "boolean": _boolean,
}
