"""Turns a stored number and its number format into what the cell shows: a number, percentage, date or time."""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta
from enum import Enum
from functools import lru_cache
from typing import NamedTuple

from wood_xl.io.package import number_in
from wood_xl.notes.raw import Kind, RawCell

MINUTES_PER_DAY = 1440
SECONDS_PER_DAY = 86_400
MILLISECONDS_PER_DAY = 86_400_000
PHANTOM_DAY = 60  # February 29, 1900, which never was; smaller numbers count from one day later
NOT_SHOWN = "#####"  # as spreadsheet programs show a date that they cannot show
FOUND_LENGTH = 40
TRUE_WORDS = frozenset({"1", "true"})


class FormatKind(Enum):
    """What a number format makes of a number."""

    PLAIN = "plain"
    PERCENT = "percent"
    DATE = "date"
    CLOCK = "clock"  # starts again at midnight
    ELAPSED = "elapsed"  # hours go on past 24


class NumberFormat(NamedTuple):
    """How a cell shows a number: the currency beside it, and its decimals if they are fixed."""

    kind: FormatKind = FormatKind.PLAIN
    currency: str = ""
    decimals: int | None = None


PLAIN_NUMBER = NumberFormat()

# Formats that workbooks name by number alone (ISO/IEC 29500-1, 18.8.30).
BUILT_IN_FORMATS = {
    0: "General", 1: "0", 2: "0.00", 3: "#,##0", 4: "#,##0.00", 9: "0%", 10: "0.00%",
    14: "mm-dd-yy", 15: "d-mmm-yy", 16: "d-mmm", 17: "mmm-yy", 22: "m/d/yy h:mm",
    18: "h:mm AM/PM", 19: "h:mm:ss AM/PM", 20: "h:mm", 21: "h:mm:ss", 45: "mm:ss", 46: "[h]:mm:ss", 47: "mmss.0",
    37: "#,##0;(#,##0)", 38: "#,##0;[Red](#,##0)", 39: "#,##0.00;(#,##0.00)", 40: "#,##0.00;[Red](#,##0.00)",
    49: "@",
}  # fmt: skip

_LITERALS = re.compile(r'"[^"]*"|\\.|_.|\*.|\[(?!(?:h+|m+|s+)\])[^\]]*\]|general|am/pm|a/p|s[.,]0+', re.IGNORECASE)
_SIGNS = "[$\u00a3\u00a5\u20a0-\u20cf]"
_CURRENCY = re.compile(rf'\[\$([^\]\-]*)(?:-[^\]]*)?\]|"({_SIGNS})"|({_SIGNS})')
_DIGITS = re.compile(r"[#0,]*0(?:\.([0#]*))?")
_ELAPSED = re.compile(r"\[(?:h+|m+|s+)\]")


@lru_cache(maxsize=1024)
def number_format(format_id: int, code: str | None) -> NumberFormat:
    """The number format for a code from the file, or for a built-in id if there is no code."""
    code = BUILT_IN_FORMATS.get(format_id, "General") if code is None else code
    return NumberFormat(_kind(code), _currency(code), _decimals(code))


def _kind(code: str) -> FormatKind:
    """The kind of a format code as stored in the file, which is always in English letters."""
    section = _LITERALS.sub(lambda match: "s" if match[0][0] in "sS" else "", code).split(";")[0].lower()
    if _ELAPSED.search(section):
        return FormatKind.ELAPSED
    if any(c in section for c in "0#?"):  # digits: letters beside them are a unit or a currency
        return FormatKind.PERCENT if "%" in section else FormatKind.PLAIN
    if any(c in section for c in "yd"):
        return FormatKind.DATE
    if any(c in section for c in "hs"):
        return FormatKind.CLOCK
    return FormatKind.DATE if "m" in section else FormatKind.PLAIN


def _decimals(code: str) -> int | None:
    """How many decimals a format code rounds to; None if it does not round, or shows more than a plain number."""
    section = _LITERALS.sub("", code).split(";")[0].strip()
    match = _DIGITS.fullmatch(section)
    return len(match[1] or "") if match else None


def _currency(code: str) -> str:
    """The currency sign or code beside the number, if any.

    Programs write it in brackets with a language, in quotes, or as the sign alone.
    """
    signs = _CURRENCY.finditer(code.split(";", maxsplit=1)[0])
    return next((text for match in signs for text in match.groups() if text), "")


def number_cell(text: str, shown: NumberFormat = PLAIN_NUMBER, *, from_1904: bool = False) -> RawCell:
    """The cell for a number as written in the file; an error cell if it is no number or no date."""
    value = number_in(text)
    if value is None:
        return RawCell(Kind.ERROR, text.strip()[:FOUND_LENGTH])
    kind, currency, decimals = shown
    if kind is FormatKind.PLAIN:
        is_rounded = decimals is not None and round(value, decimals) != value
        return RawCell(Kind.NUMBER, value, as_shown=currency, rounded=f"{value:.{decimals}f}" if is_rounded else "")
    if kind is FormatKind.PERCENT:
        return RawCell(Kind.NUMBER, value, percent=True)
    if kind is FormatKind.DATE and (from_1904 or not 0 <= value < 1):
        return date_cell(value, from_1904=from_1904)
    return clock_cell(value, elapsed=kind is FormatKind.ELAPSED)


def boolean_cell(text: str) -> RawCell:
    """The cell for TRUE or FALSE as written in the file."""
    return RawCell(Kind.BOOLEAN, text.strip().lower() in TRUE_WORDS)


def date_cell(days: float, *, from_1904: bool) -> RawCell:
    """The cell for a number shown as a date; an error cell if it is no day up to the year 9999."""
    if from_1904:
        day_0 = date(1904, 1, 1)
    elif days >= PHANTOM_DAY:
        day_0 = date(1899, 12, 30)
    else:
        day_0 = date(1899, 12, 31)
    if not 0 <= days < (date.max - day_0).days + 1:
        return RawCell(Kind.ERROR, NOT_SHOWN)
    if not from_1904 and int(days) == PHANTOM_DAY:
        return RawCell(Kind.ERROR, "1900-02-29")
    whole, milliseconds = divmod(round(days * MILLISECONDS_PER_DAY), MILLISECONDS_PER_DAY)
    try:
        moment = datetime(day_0.year, day_0.month, day_0.day) + timedelta(days=whole, milliseconds=milliseconds)  # noqa: DTZ001 - workbooks know no zone
    except OverflowError:  # a millisecond before the year 10000
        return RawCell(Kind.ERROR, NOT_SHOWN)
    return moment_cell(moment)


def moment_cell(moment: datetime) -> RawCell:
    """The cell for a date, with its time of day unless that is midnight."""
    if moment.time() == datetime.min.time():
        text = moment.date().isoformat()
        return RawCell(Kind.DATE, text, as_shown=text)
    text = moment.isoformat(timespec="milliseconds" if moment.microsecond else "seconds")
    return RawCell(Kind.DATE, text, as_shown=moment.strftime("%Y-%m-%d %H:%M"))


def clock_cell(days: float, *, elapsed: bool) -> RawCell:
    """The cell for a number shown as a time of day, or as elapsed hours and minutes."""
    if abs(days) > (date.max - date.min).days:
        return RawCell(Kind.ERROR, NOT_SHOWN)
    seconds = round(abs(days) * SECONDS_PER_DAY)
    if not elapsed:
        seconds %= SECONDS_PER_DAY
    minutes, second = divmod(seconds, 60)
    shown = f"{minutes // 60}:{minutes % 60:02d}" + (f":{second:02d}" if second else "")
    sign = "-" if days < 0 else ""
    return RawCell(Kind.DURATION, round(days * MINUTES_PER_DAY, 9), as_shown=sign + shown)


def dated_cell(text: str) -> RawCell:
    """The cell for a date, a time of day or both, stored as ISO text; an error cell for anything else."""
    plain = text.strip().removesuffix("Z")
    try:
        if "-" not in plain:
            moment = datetime.fromisoformat(f"1900-01-01T{plain}")
            return clock_cell((moment - datetime(1900, 1, 1)) / timedelta(days=1), elapsed=False)  # noqa: DTZ001
        moment = datetime.fromisoformat(plain).replace(tzinfo=None) + timedelta(microseconds=500)
        return moment_cell(moment.replace(microsecond=moment.microsecond // 1000 * 1000))
    except (ValueError, TypeError, OverflowError):
        return RawCell(Kind.ERROR, plain[:FOUND_LENGTH])
