"""One raw cell becomes one value of the season document, or a problem that says why not.

Text that looks like a number is never turned into one: a comma may be a decimal sign or a thousands separator, and
only its writer knows.
"""

from __future__ import annotations

import datetime as dt
import math
import re
from dataclasses import dataclass

from wood_xl.notes.choice_words import loose, meant_choice, offered_choices
from wood_xl.notes.currency import amount_with_sign
from wood_xl.notes.document import kept_number
from wood_xl.notes.names import list_text
from wood_xl.notes.problem import number_text, quoted
from wood_xl.notes.raw import Kind, RawCell
from wood_xl.notes.typed_units import amount_and_unit, typed_unit
from wood_xl.pages import HowToMend, InMessage
from wood_xl.schema.model import Column
from wood_xl.schema.words import phrase
from wood_xl.units import convert

MINUTES_PER_DAY = 1440.0
LONGEST_NUMBER = 100  # characters; a longer text is not looked through for a number
DAY_NUMBERS = (20000, 80000)  # days since 1900 that fall in 1954 to 2119
YES_NO = {"yes", "no"}

_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?", re.IGNORECASE)
_COMMA_NUMBER = re.compile(r"[+-]?\d*,\d+")
_CLOCK = re.compile(r"(\d{1,3}):([0-5]\d)(?::[0-5]\d)?")
_FRACTION = re.compile(r"(?:(\d+)[ -])?(\d+)/(\d+)\s*[a-z\"']*", re.IGNORECASE)
_FEET = re.compile(r"(\d+)\s*(?:ft|feet|')\s*(\d+(?:\.\d+)?)\s*(?:in|inch|inches|\"|'')?", re.IGNORECASE)
_RANGE = re.compile(r"\d+(?:\.\d+)?\s*(?:-|to|\u2013)\s*\d+(?:\.\d+)?\s*\w*", re.IGNORECASE)
_THOUSANDS_APART = re.compile(r"[+-]?\d{1,3}(?:[ \u00a0\u202f]\d{3})+(?:[.,]\d+)?")
_ABOUT = re.compile(r"(?:~|ca\.?|about|approx\.?|circa)\s*\d+(?:\.\d+)?|\d+(?:\.\d+)?\s*\?+", re.IGNORECASE)
_NOTHING = {"?", "??", "-", "--", "\u2013", "n/a", "na", "none", "no", "nil", "unknown", "x", "."}
_ISO_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")


@dataclass(frozen=True, slots=True)
class Decoded:
    """Value of a cell, or why there is none.

    value: as the document keeps it, in the unit typed; None for a blank cell or one with a FIX.
    code: code of a problem, or of a note on how the value was read; else empty.
    facts: its facts.
    """

    value: float | int | str | None = None
    code: str = ""
    facts: dict[str, str] | None = None


BLANK = Decoded()


def decode(cell: RawCell, column: Column, unit: str) -> Decoded:
    """What a cell says in its column."""
    if cell.kind is Kind.ERROR:
        return _fix("cell-error-value", found=str(cell.value))
    if cell.kind is Kind.NO_VALUE:
        return _fix("cell-formula-without-value", found=quoted(str(cell.value)))
    if cell.kind is Kind.TEXT and not str(cell.value).strip(" \t\r\n\u00a0\u200b"):
        return BLANK
    if column.is_number:
        return _number(cell, column, unit)
    if column.is_date:
        return _date(cell)
    return _text(cell, column)


def _fix(code: str, **facts: str) -> Decoded:
    return Decoded(code=code, facts=facts)


def _unit_words(unit: str) -> str:
    if unit.startswith("per "):
        return phrase(InMessage.PRICE_PER, unit=unit)
    return phrase(InMessage.OF_UNIT, unit=unit) if unit and unit != "money" else ""


def _number(cell: RawCell, column: Column, unit: str) -> Decoded:
    if cell.kind is Kind.NUMBER and isinstance(cell.value, float):
        return _plain_number(cell.value, cell.percent, column, unit)
    if cell.kind is Kind.DURATION and isinstance(cell.value, float):
        return _duration(cell.value, cell.as_shown, column, unit)
    if cell.kind is Kind.DATE:
        return _fix("cell-date-for-number", found=cell.as_shown or str(cell.value), unit=_unit_words(unit))
    if cell.kind is Kind.BOOLEAN:
        expected = phrase(InMessage.NUMBER, unit=_unit_words(unit))
        return _fix("cell-true-false", found=_true_false(cell), expected=expected)
    return _number_from_text(str(cell.value).strip(), column, unit)


def _plain_number(value: float, percent: bool, column: Column, unit: str) -> Decoded:
    if percent and unit == "%":
        value = float(f"{value * 100:.12g}")
    # A column that may be in seconds holds parts of a minute as a matter of course.
    takes_clock = column.is_time and unit == "min" and "s" not in column.units
    if takes_clock and 0 < value < 1 and _is_whole(value * MINUTES_PER_DAY):
        minutes = round(value * MINUTES_PER_DAY)
        clock = _clock_text(minutes)
        return _fix("cell-fraction-of-day", found=number_text(value), clock=clock, minutes=str(minutes))
    if column.type == "integer":
        if value != int(value):
            advice = column.mend or phrase(HowToMend.WHOLE_NUMBER)
            return _fix("cell-not-whole", found=number_text(value), advice=advice)
        return Decoded(int(value))
    return Decoded(kept_number(value))


def _is_whole(value: float) -> bool:
    return math.isclose(value, round(value), rel_tol=0, abs_tol=1e-6) and round(value) > 0


def _clock_text(minutes: int) -> str:
    return f"{minutes // 60}:{minutes % 60:02d}"


def _duration(minutes: float, as_shown: str, column: Column, unit: str) -> Decoded:
    if not column.is_time:
        return _fix("cell-clock-time", found=as_shown, unit=_unit_words(unit), advice=_advice(column))
    days = minutes / MINUTES_PER_DAY
    if days >= 1 and _is_whole(days):
        hours_minutes = _clock_text(round(days))
        return _fix("cell-clock-whole-days", found=as_shown, days=str(round(days)), example=hours_minutes)
    value = float(f"{convert(minutes, 'min', unit):.12g}")
    facts = {"found": as_shown, "value": f"{number_text(value)} {unit}"}
    return Decoded(kept_number(value), "cell-clock-read", facts)


def _advice(column: Column) -> str:
    return column.mend or phrase(HowToMend.PLAIN_NUMBER if column.required else HowToMend.PLAIN_NUMBER_OR_NONE)


def _number_from_text(text: str, column: Column, unit: str) -> Decoded:
    unit_words = _unit_words(unit)
    if len(text) > LONGEST_NUMBER:
        return _fix("cell-not-a-number", found=quoted(text), unit=unit_words, advice=_advice(column))
    if _NUMBER.fullmatch(text):
        return _fix("cell-number-as-text", found=quoted(text), unit=unit_words, value=text)
    if _COMMA_NUMBER.fullmatch(text):
        value = text.replace(",", ".")
        return _fix("cell-decimal-comma", found=quoted(text), unit=unit_words, value=value)
    if column.is_money and not _ABOUT.fullmatch(text) and (amount := amount_with_sign(text)):
        return _fix("cell-money-with-sign", found=quoted(text), value=amount)
    return _fix("cell-not-a-number", found=quoted(text), unit=unit_words, advice=_text_advice(text, column, unit))


def _text_advice(text: str, column: Column, unit: str) -> str:
    if text.casefold() in _NOTHING:
        return phrase(HowToMend.EMPTY_IF_NOT_KNOWN)
    if column.is_time and (match := _CLOCK.fullmatch(text)):
        return _clock_advice(int(match[1]), int(match[2]), column, unit)
    return _one_number_advice(text) or _unit_advice(text, column, unit) or _advice(column)


def _one_number_advice(text: str) -> str:
    if _THOUSANDS_APART.fullmatch(text):
        return phrase(HowToMend.WITHOUT_GAP, number="".join(text.split()).replace(",", "."))
    if _RANGE.fullmatch(text):
        return phrase(HowToMend.MIDDLE_OF_RANGE)
    if _ABOUT.fullmatch(text):
        return phrase(HowToMend.DOUBT_IN_NOTE)
    return _fraction_advice(text)


def _clock_advice(first: int, second: int, column: Column, unit: str) -> str:
    # A column that may be in seconds is about single cuts: nobody means hours there.
    large, small = ("min", "s") if "s" in column.units else ("h", "min")
    value = number_text(float(f"{convert(60 * first + second, small, unit):.6g}"))
    meant = f"{first} {large} {second} {small}"
    return phrase(HowToMend.IF_CLOCK_MEANS, number=value, meant=meant, unit=unit)


def _unit_advice(text: str, column: Column, unit: str) -> str:
    if not (typed := amount_and_unit(text)):
        return ""
    number, word = typed
    label = typed_unit(word, column.units)
    if label is None and unit and unit != "money":
        return phrase(HowToMend.TURNED_INTO, unit=unit)
    if label is None or label == unit or column.unit_kept:
        return phrase(HowToMend.WITHOUT_UNIT, number=number)
    value = number_text(float(f"{convert(float(number), label, unit):.4g}"))
    return phrase(HowToMend.IN_UNIT_HERE, number=value, unit=unit, typed=f"{number} {label}")


def _fraction_advice(text: str) -> str:
    if (match := _FRACTION.fullmatch(text)) and int(match[3]):
        value = int(match[1] or 0) + int(match[2]) / int(match[3])
        return phrase(HowToMend.AS_DECIMAL, number=number_text(value))
    if match := _FEET.fullmatch(text):
        feet = int(match[1]) + float(match[2]) / 12
        return phrase(HowToMend.FEET_OR_INCHES, feet=number_text(feet), inches=number_text(12 * feet))
    return ""


def _date(cell: RawCell) -> Decoded:
    text = str(cell.value).strip()
    if cell.kind is Kind.DATE:
        return Decoded(text[:10])
    if cell.kind is Kind.TEXT:
        if _ISO_DATE.fullmatch(text) and _is_real_date(text):
            return Decoded(text)
        return _fix("cell-not-a-date", found=quoted(text))
    if cell.kind is Kind.NUMBER and isinstance(cell.value, float):
        if DAY_NUMBERS[0] <= cell.value <= DAY_NUMBERS[1]:
            return _fix("cell-day-number", found=number_text(cell.value), date=_date_of_day_number(cell.value))
        return _fix("cell-not-a-date-value", found=number_text(cell.value))
    return _fix("cell-not-a-date-value", found=cell.as_shown or _true_false(cell))


def _is_real_date(text: str) -> bool:
    try:
        dt.date.fromisoformat(text)
    except ValueError:
        return False
    return True


def _date_of_day_number(value: float) -> str:
    return (dt.date(1899, 12, 30) + dt.timedelta(days=int(value))).isoformat()


def _text(cell: RawCell, column: Column) -> Decoded:
    is_free = not (column.choices or column.refers_to or column.pattern or column.max_length in range(1, 61))
    if cell.kind is Kind.TEXT:
        text = str(cell.value)
    elif cell.kind is Kind.NUMBER and isinstance(cell.value, float):
        text = number_text(cell.value)
    elif cell.kind is Kind.BOOLEAN:
        if set(column.choices) == YES_NO:
            return Decoded("yes" if cell.value else "no")
        text = _true_false(cell)
    elif is_free:
        text = cell.as_shown or str(cell.value)
    else:
        return _fix("cell-date-for-text", found=cell.as_shown or str(cell.value))
    if column.choices:
        return _choice(text, column)
    if column.pattern:
        text = text.strip().upper()
        if not re.fullmatch(column.pattern, text):
            return _fix("cell-currency", found=quoted(str(cell.value)))
        return Decoded(text)
    return Decoded(text if is_free else " ".join(text.split()))


def _choice(text: str, column: Column) -> Decoded:
    meant = meant_choice(text, column.choices)
    if meant is not None:
        is_its_word = loose(meant) == loose(text)
        facts = {"found": quoted(text.strip()), "value": quoted(meant)}
        return Decoded(meant) if is_its_word else Decoded(meant, "cell-word-read", facts)
    offered = tuple(quoted(choice) for choice in offered_choices(text, column.choices))
    hint = phrase(InMessage.MAY_MEAN, choices=offered) if offered else ""
    return _fix("cell-not-in-list", found=quoted(text.strip()), expected=list_text(column.choices), near=hint)


def _true_false(cell: RawCell) -> str:
    return "TRUE" if cell.value else "FALSE"
