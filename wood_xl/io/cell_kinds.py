"""From a stored number and its number format to what a person sees in the cell: number, per cent, date or time."""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta
from enum import Enum
from functools import cache

from wood_xl.io.package import number_in
from wood_xl.notes.raw import Kind, RawCell

MINUTES_PER_DAY = 1440
SECONDS_PER_DAY = 86_400
MILLISECONDS_PER_DAY = 86_400_000
PHANTOM_DAY = 60  # 29 February 1900, a day that never was; stored numbers below it count from one day later
NOT_SHOWN = "#####"  # what a spreadsheet program shows for a date it cannot show
FOUND_LENGTH = 40
TRUE_WORDS = frozenset({"1", "true"})


class Look(Enum):
    """How a number format makes a number look."""

    PLAIN = "plain"
    PERCENT = "percent"
    DATE = "date"
    CLOCK = "clock"  # starts again at midnight
    ELAPSED = "elapsed"  # hours go on past 24


NumberLook = tuple[Look, str, int | None]  # with the currency beside the number, and its decimals if they are fixed

# Number formats that the file format knows by number alone (ISO/IEC 29500-1, 18.8.30); all others are plain.
BUILT_IN_LOOKS = {
    9: Look.PERCENT,
    10: Look.PERCENT,
    **dict.fromkeys(range(14, 18), Look.DATE),
    **dict.fromkeys(range(18, 22), Look.CLOCK),
    22: Look.DATE,
    45: Look.CLOCK,
    46: Look.ELAPSED,
    47: Look.CLOCK,
}

BUILT_IN_DECIMALS = {1: 0, 2: 2, 3: 0, 4: 2, 37: 0, 38: 0, 39: 2, 40: 2}

_LITERALS = re.compile(r'"[^"]*"|\\.|_.|\*.|\[(?!(?:h+|m+|s+)\])[^\]]*\]|general|am/pm|a/p|s[.,]0+', re.IGNORECASE)
_SIGNS = "[$\u00a3\u00a5\u20a0-\u20cf]"
_CURRENCY = re.compile(rf'\[\$([^\]\-]*)(?:-[^\]]*)?\]|"({_SIGNS})"|({_SIGNS})')
_DIGITS = re.compile(r"[#0,]*0(?:\.([0#]*))?")
_ELAPSED = re.compile(r"\[(?:h+|m+|s+)\]")


@cache
def look_of(number_format: str) -> Look:
    """How a number looks under a number format as it is stored in the file (always with the English letters)."""
    section = _LITERALS.sub(lambda match: "s" if match[0][0] in "sS" else "", number_format).split(";")[0].lower()
    if _ELAPSED.search(section):
        return Look.ELAPSED
    if any(c in section for c in "0#?"):  # digits asked for: letters beside them are a unit or a currency
        return Look.PERCENT if "%" in section else Look.PLAIN
    if any(c in section for c in "yd"):
        return Look.DATE
    if any(c in section for c in "hs"):
        return Look.CLOCK
    return Look.DATE if "m" in section else Look.PLAIN


@cache
def decimals_of(number_format: str) -> int | None:
    """To how many decimals a number format rounds; None if it does not, or shows more than a plain number."""
    section = _LITERALS.sub("", number_format).split(";")[0].strip()
    match = _DIGITS.fullmatch(section)
    return len(match[1] or "") if match else None


@cache
def currency_of(number_format: str) -> str:
    """Currency sign or code that a number format puts beside the number; empty if there is none.

    Programs write it in brackets with the language it belongs to, in quotes, or as the sign alone.
    """
    signs = _CURRENCY.finditer(number_format.split(";", maxsplit=1)[0])
    return next((text for match in signs for text in match.groups() if text), "")


def number_look(number: int, code: str | None) -> NumberLook:
    """How a number looks under a number format of the file, or under one that is known by its number alone."""
    if code is None:
        return BUILT_IN_LOOKS.get(number, Look.PLAIN), "", BUILT_IN_DECIMALS.get(number)
    return look_of(code), currency_of(code), decimals_of(code)


def number_cell(
    text: str, look: Look, *, from_1904: bool, currency: str = "", decimals: int | None = None
) -> RawCell:
    """The cell for a number as it is written in the file; an error cell if it is none, or stands for no date."""
    value = number_in(text)
    if value is None:
        return RawCell(Kind.ERROR, text.strip()[:FOUND_LENGTH])
    if look is Look.PLAIN:
        is_rounded = decimals is not None and round(value, decimals) != value
        return RawCell(Kind.NUMBER, value, as_shown=currency, rounded=f"{value:.{decimals}f}" if is_rounded else "")
    if look is Look.PERCENT:
        return RawCell(Kind.NUMBER, value, percent=True)
    if look is Look.DATE and (from_1904 or not 0 <= value < 1):
        return date_cell(value, from_1904=from_1904)
    return clock_cell(value, elapsed=look is Look.ELAPSED)


def boolean_cell(text: str) -> RawCell:
    """The cell for TRUE or FALSE as it is written in the file."""
    return RawCell(Kind.BOOLEAN, text.strip().lower() in TRUE_WORDS)


def date_cell(days: float, *, from_1904: bool) -> RawCell:
    """The cell for a number that is shown as a date; an error cell if it stands for no day up to year 9999."""
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
    """The cell for a number that is shown as a clock time or as hours and minutes gone by."""
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
    """The cell for a date, date and time or time of day that is stored as ISO text; an error cell if it is none."""
    plain = text.strip().removesuffix("Z")
    try:
        if "-" not in plain:
            moment = datetime.fromisoformat(f"1900-01-01T{plain}")
            return clock_cell((moment - datetime(1900, 1, 1)) / timedelta(days=1), elapsed=False)  # noqa: DTZ001
        moment = datetime.fromisoformat(plain).replace(tzinfo=None) + timedelta(microseconds=500)
        return moment_cell(moment.replace(microsecond=moment.microsecond // 1000 * 1000))
    except (ValueError, TypeError, OverflowError):
        return RawCell(Kind.ERROR, plain[:FOUND_LENGTH])
