"""Decodes one raw cell as a value of the season document, or says why it has none.

A number in a text is read where it can mean only one thing: with its column's unit, with a fraction, as feet and
inches, or joined with others where several may stand. A comma may be a decimal sign or separate thousands, and only
its writer knows which.
"""

from __future__ import annotations

import datetime as dt
import math
import re
from collections.abc import Sequence
from typing import NamedTuple

from wood_xl.notes import typed
from wood_xl.notes.document import kept_number
from wood_xl.notes.names import NONE
from wood_xl.notes.problem import number_text, quoted
from wood_xl.notes.raw import Kind, RawCell
from wood_xl.page_texts import HowToMend, InMessage
from wood_xl.schema.model import Column, season_definition
from wood_xl.schema.words import phrase
from wood_xl.units import convert, measures

LONGEST_NUMBER = 100  # characters; a longer text is not searched for a number
TYPED_DECIMALS = 4
DAY_NUMBERS = (20000, 80000)  # days since 1900 that fall in 1954 to 2119
YES_NO = {"yes", "no"}

_COMMA_NUMBER = re.compile(r"[+-]?\d*,\d+")
_COMMA_BETWEEN = re.compile(r"(?<=\d),(?=\d)")
_PAIR = re.compile(r"(\d+),(\d+)")
_CLOCK = re.compile(r"(\d{1,3}):([0-5]\d)(?::[0-5]\d)?")
_FRACTION = re.compile(r"(?:(\d+)[ -])?(\d+)/(\d+)")
_JOINED = re.compile(r"\s*(?:[+;]|, )\s*")
_NOT_JOINED = re.compile(r"\d+(?:\.\d+)?(?:\s*[/&]\s*\d+(?:\.\d+)?|\s+\d+(?:\.\d+)?)+")
_RANGE = re.compile(r"\d+(?:\.\d+)?\s*(?:-|to|\u2013)\s*\d+(?:\.\d+)?\s*\w*", re.IGNORECASE)
_THOUSANDS_APART = re.compile(r"[+-]?\d{1,3}(?:[ \u00a0\u202f]\d{3})+(?:[.,]\d+)?")
_THOUSANDS_MARKED = re.compile(
    r"\d{1,3}(?:(?:,\d{3}){2,}(?:\.\d+)?|(?:\.\d{3}){2,}(?:,\d+)?|,\d{3}\.\d+|\.\d{3},\d+)"
)
_ABOUT = re.compile(r"(?:~|ca\.?|about|approx\.?|circa)\s*\d+(?:\.\d+)?|\d+(?:\.\d+)?\s*\?+", re.IGNORECASE)
_PARTS_OF_SECOND = re.compile(r"(?<=:\d\d)\.\d+$")
_ISO_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")


class Decoded(NamedTuple):
    """Value of a cell, or why there is none."""

    # as the document keeps it, in the unit typed; None for a blank cell or one with a FIX
    value: float | int | str | None = None
    code: str = ""  # code of a problem or of a note on how the value was read; else empty
    facts: dict[str, str] | None = None  # facts of that code
    alike: str = ""  # cells with the same text here share one note


BLANK = Decoded()


def decode(cell: RawCell, column: Column, unit: str) -> Decoded:
    """Value of a cell in its column."""
    if cell.kind is Kind.ERROR:
        return _fix("cell-error-value", found=str(cell.value))
    if cell.kind is Kind.NO_VALUE:
        return _fix("cell-formula-without-value", found=quoted(str(cell.value)))
    if cell.kind is Kind.TEXT and not str(cell.value).strip(" \t\r\n\u00a0\u200b"):
        return BLANK
    if column.is_number:
        return _number(cell, column, unit)
    if column.is_clock:
        return _clock(cell, column)
    return _date(cell) if column.is_date else _text(cell, column)


def _fix(code: str, **facts: str) -> Decoded:
    return Decoded(code=code, facts=facts)


def _unit_words(unit: str) -> str:
    if unit.startswith("per "):
        return phrase(InMessage.PRICE_PER, unit=unit)
    return phrase(InMessage.OF_UNIT, unit=unit) if unit and unit != "money" else ""


def _number(cell: RawCell, column: Column, unit: str) -> Decoded:
    if cell.kind is Kind.NUMBER:
        return _plain_number(float(cell.value), cell.percent, column, unit)
    if cell.kind is Kind.DURATION:
        return _duration(float(cell.value), cell.as_shown, column, unit)
    if cell.kind is Kind.DATE:
        found = cell.as_shown or str(cell.value)
        if column.joins:
            return _fix("cell-date-for-list", found=found, advice=_join_advice(column, ("3", "4")))
        return _fix("cell-date-for-number", found=found, unit=_unit_words(unit))
    if cell.kind is Kind.BOOLEAN:
        expected = phrase(InMessage.NUMBER, unit=_unit_words(unit))
        return _fix("cell-true-false", found=_true_false(cell), expected=expected)
    return _number_from_text(str(cell.value).strip(), column, unit)


def _plain_number(value: float, percent: bool, column: Column, unit: str) -> Decoded:
    if percent and unit == "%":
        value = float(f"{value * 100:.12g}")
    # A column that may be in seconds normally holds parts of a minute.
    takes_clock = column.is_time and unit == "min" and "s" not in column.units
    # 0.7 and 0.35 are whole minutes of a day too; numbers that were typed hardly ever have more than four decimals.
    is_long = round(value, TYPED_DECIMALS) != value
    if takes_clock and 0 < value < 1 and is_long and _is_whole(value * typed.MINUTES_PER_DAY):
        minutes = round(value * typed.MINUTES_PER_DAY)
        clock = typed.clock_text(minutes)
        return _fix("cell-fraction-of-day", found=number_text(value), clock=clock, minutes=str(minutes))
    return _not_whole(value, column) or Decoded(kept_number(value))


def _not_whole(value: float, column: Column) -> Decoded | None:
    if column.type != "integer" or value == int(value):
        return None
    return _fix("cell-not-whole", found=number_text(value), advice=column.mend or phrase(HowToMend.WHOLE_NUMBER))


def _is_whole(value: float) -> bool:
    return math.isclose(value, round(value), rel_tol=0, abs_tol=1e-6) and round(value) > 0


def _duration(minutes: float, as_shown: str, column: Column, unit: str) -> Decoded:
    if not column.is_time:
        return _fix("cell-clock-time", found=as_shown, unit=_unit_words(unit), advice=_advice(column))
    days = minutes / typed.MINUTES_PER_DAY
    if days >= 1 and _is_whole(days):
        facts = {"days": str(round(days)), "example": typed.clock_text(round(days))}
        return _fix("cell-clock-whole-days", found=as_shown, **facts)
    value = float(f"{convert(minutes, 'min', unit):.12g}")
    facts = {"found": as_shown, "value": f"{number_text(value)} {unit}"}
    return Decoded(kept_number(value), "cell-clock-read", facts)


def _advice(column: Column) -> str:
    return column.mend or phrase(HowToMend.PLAIN_NUMBER if _is_needed(column) else HowToMend.PLAIN_NUMBER_OR_NONE)


def _is_needed(column: Column) -> bool:
    """Whether a row needs the column, or the column or another one."""
    return column.required or season_definition().sheet(column.sheet).has_in_one_of(column)


def _number_from_text(text: str, column: Column, unit: str) -> Decoded:
    if len(text) > LONGEST_NUMBER:
        return _fix("cell-not-a-number", found=quoted(text), unit=_unit_words(unit), advice=_advice(column))
    return _several(text, column, unit) or _one(text, column, unit) or _not_read(text, column, unit)


def _not_read(text: str, column: Column, unit: str) -> Decoded:
    found, unit_words = quoted(text), _unit_words(unit)
    if two := _two_meanings(text, column, unit):
        return _fix("cell-two-readings", found=found, one=two[0], other=two[1])
    if _COMMA_NUMBER.fullmatch(text):
        return _fix("cell-decimal-comma", found=found, unit=unit_words, value=text.replace(",", "."))
    if column.is_money and not _ABOUT.fullmatch(text) and (amount := typed.amount_with_sign(text)):
        return _fix("cell-money-with-sign", found=found, value=amount)
    return _fix("cell-not-a-number", found=found, unit=unit_words, advice=_text_advice(text, column, unit))


def _one(text: str, column: Column, unit: str) -> Decoded | None:
    """A single number, with a fraction or with its column's unit."""
    if typed.two_readings(text) or (column.joins and (match := _FRACTION.fullmatch(text)) and not match[1]):
        return None  # 3/4 in a cell for several numbers is most likely two numbers
    amount = typed.typed_amount(text, column.units, unit)
    if amount is None:
        return None
    return _not_whole(amount.value, column) or _read("cell-number-read", text, amount.value, unit, amount.word)


def _several(text: str, column: Column, unit: str) -> Decoded | None:
    """Several numbers in one cell: their sum, or the mean of readings."""
    parts = [part for part in _JOINED.split(text.rstrip("; ")) if part] if column.joins else []
    if len(parts) < 2 or (column.joins == "mean" and "+" in text) or any(map(typed.two_readings, parts)):
        return None
    amounts = [typed.typed_amount(part, column.units, unit) for part in parts]
    values = [amount.value for amount in amounts if amount is not None and amount.value >= 0]
    if len(values) < len(parts) or not math.isfinite(sum(values)):
        return None
    if column.joins == "sum":
        return _read("cell-sum-read", text, sum(values), unit, "")
    return _read("cell-mean-read", text, sum(values) / len(values), unit, "", count=str(len(values)))


def _read(code: str, text: str, value: float, unit: str, alike: str, **facts: str) -> Decoded:
    value = kept_number(float(f"{value:.12g}"))
    shown = f"{number_text(value)} {'' if unit == 'money' else unit}".rstrip()
    return Decoded(value, code, {"found": quoted(text), "value": shown, **facts}, alike)


def _two_meanings(text: str, column: Column, unit: str) -> tuple[str, str] | None:
    """Both readings of a comma or point, as they would be typed in the unit of the column."""
    if column.joins == "sum" and (pair := _PAIR.fullmatch(text)):
        return f"{pair[1]}.{pair[2]}", f"{pair[1]}+{pair[2]}"
    found = typed.two_readings(text)
    if found is None:
        return None
    *numbers, word = found
    label = typed.typed_unit(word, column.units) if word else unit
    if label is None or (label != unit and column.unit_kept):
        return None
    one, other = (number_text(convert(float(n), label, unit), 6) if word else n for n in numbers)
    return one, other


def _text_advice(text: str, column: Column, unit: str) -> str:
    if text.casefold() in {*NONE, "no", "x"}:
        return _advice(column) if _is_needed(column) else phrase(HowToMend.EMPTY_IF_NOT_KNOWN)
    if column.is_time and (match := _CLOCK.fullmatch(text)):
        return _clock_advice(int(match[1]), int(match[2]), column, unit)
    if _THOUSANDS_APART.fullmatch(text):
        return phrase(HowToMend.WITHOUT_GAP, number="".join(text.split()).replace(",", "."))
    if column.joins and _NOT_JOINED.fullmatch(text):
        return _join_advice(column, re.findall(r"\d+(?:\.\d+)?", text))
    with_points = _COMMA_BETWEEN.sub(".", text)
    if with_points != text and _several(with_points, column, unit):
        return phrase(HowToMend.WITH_POINTS, numbers=with_points)
    return _one_number_advice(text) or _unit_advice(text, column, unit) or _advice(column)


def _one_number_advice(text: str) -> str:
    if _THOUSANDS_MARKED.fullmatch(text):
        decimal = max(text.rfind(","), text.rfind(".")) if len(set(text) & {",", "."}) > 1 else len(text)
        whole = text[:decimal].replace(",", "").replace(".", "")
        return phrase(HowToMend.WITHOUT_MARKS, number=f"{whole}.{text[decimal + 1 :]}".rstrip("."))
    if _RANGE.fullmatch(text):
        return phrase(HowToMend.MIDDLE_OF_RANGE)
    if _ABOUT.fullmatch(text):
        return phrase(HowToMend.DOUBT_IN_NOTE)
    if (match := _FRACTION.fullmatch(text)) and int(match[3]):
        value = int(match[1] or 0) + int(match[2]) / int(match[3])
        return phrase(HowToMend.AS_DECIMAL, number=number_text(value))
    return ""


def _join_advice(column: Column, numbers: Sequence[str]) -> str:
    sign = {"sum": "+", "mean": "; "}[column.joins]
    return phrase(HowToMend.JOIN, sign=sign.strip(), example=sign.join(numbers))


def _clock_advice(first: int, second: int, column: Column, unit: str) -> str:
    # A column that may be in seconds is about single cuts: nobody means hours there.
    large, small = ("min", "s") if "s" in column.units else ("h", "min")
    value = number_text(convert(60 * first + second, small, unit), 6)
    meant = f"{first} {large} {second} {small}"
    return phrase(HowToMend.IF_CLOCK_MEANS, number=value, meant=meant, unit=unit)


def _unit_advice(text: str, column: Column, unit: str) -> str:
    feet = typed.feet_and_inches(text)
    amount = typed.amount_and_unit(text) if feet is None else (number_text(feet), "ft")
    if amount is None:
        return ""
    number, word = amount
    label = typed.typed_unit("min" if column.is_time and word == "m" else word, column.units)
    if label is None and unit and unit != "money":
        other = typed.typed_unit(word, [*measures()])
        cannot = other is not None and measures()[other] != measures().get(unit)
        return phrase(HowToMend.CANNOT_BE_TURNED if cannot else HowToMend.TURNED_INTO, unit=unit)
    if label is None or label == unit or column.unit_kept:
        return phrase(HowToMend.WITHOUT_UNIT, number=number)
    value = number_text(convert(float(number), label, unit), 4)
    return phrase(HowToMend.IN_UNIT_HERE, number=value, unit=unit, typed=f"{number} {label}")


def _date(cell: RawCell) -> Decoded:
    text = str(cell.value).strip()
    if cell.kind is Kind.DATE:
        return Decoded(text[:10])
    if cell.kind is Kind.TEXT:
        return Decoded(text) if _is_date(text) else _date_of_text(text)
    if cell.kind is Kind.NUMBER:
        number = float(cell.value)
        if not DAY_NUMBERS[0] <= number <= DAY_NUMBERS[1]:
            return _fix("cell-not-a-date-value", found=number_text(number))
        date = _date_of_day_number(number)  # some programs drop the format of a date cell
        return Decoded(date, "cell-day-number", {"found": number_text(number), "value": date})
    return _fix("cell-not-a-date-value", found=cell.as_shown or _true_false(cell))


def _date_of_text(text: str) -> Decoded:
    days, found = typed.days_of_text(text), quoted(text)
    if len(days) > 1:
        return _fix("cell-two-days", found=found, one=days[0], other=days[1])
    if not days:
        return _fix("cell-not-a-date", found=found)
    return Decoded(days[0], "cell-day-read", {"found": found, "value": days[0]})


def _clock(cell: RawCell, column: Column) -> Decoded:
    """A time of day, with a note where the cell held it in another way."""
    if column.has_date and (stamp := _stamp(cell)):
        return Decoded(stamp)
    if cell.kind is Kind.TEXT:
        text = str(cell.value).strip()
        clock = typed.clock_of_text(text)
        return Decoded(clock) if clock else _number_as_clock(text, quoted(text), column)
    if cell.kind in (Kind.DURATION, Kind.NUMBER):
        return _clock_of_cell(float(cell.value), column, is_clock=cell.kind is Kind.DURATION)
    _, _, time = str(cell.value).partition("T") if cell.kind is Kind.DATE else ("", "", "")
    if time:
        return _clock_read(typed.clock_of_text(time[:8]), cell.as_shown)
    return _fix("cell-not-a-clock", found=cell.as_shown or _true_false(cell), advice=column.mend)


def _stamp(cell: RawCell) -> str | None:
    """Date and time of day together; None if the cell has no date, or one that can be misread."""
    text = str(cell.value).strip().replace("T", " ")
    if cell.kind is Kind.NUMBER and DAY_NUMBERS[0] <= (days := float(cell.value)) <= DAY_NUMBERS[1]:
        text = f"{_date_of_day_number(days)} {typed.clock_text(days % 1 * typed.MINUTES_PER_DAY)}"
    if cell.kind is Kind.DATE and " " not in text:
        text = f"{text} 0:00"
    day, _, time = text.partition(" ")
    clock = typed.clock_of_text(_PARTS_OF_SECOND.sub("", time))
    return f"{day} {clock}" if clock and _is_date(day) else None


def _clock_of_cell(value: float, column: Column, *, is_clock: bool) -> Decoded:
    """Time of day of a clock cell, with or without its format, or of a number typed into one."""
    days = value / typed.MINUTES_PER_DAY if is_clock else value
    if is_clock and 0 <= days < 1:
        return Decoded(typed.clock_text(value))
    if 0 < days < 1:
        return _clock_read(typed.clock_text(days * typed.MINUTES_PER_DAY), number_text(days))
    # Two decimals are minutes typed with a point; 9.5 may be half past nine or ten to.
    digits = number_text(days)
    return _number_as_clock(digits, digits, column)


def _number_as_clock(digits: str, found: str, column: Column) -> Decoded:
    if clock := typed.clock_of_digits(digits):
        return _clock_read(clock, found)
    meant = typed.meant_clock(digits)
    advice = phrase(HowToMend.CLOCK_WITH_COLON, clock=meant) if meant else column.mend
    return _fix("cell-not-a-clock", found=found, advice=advice)


def _clock_read(clock: str | None, found: str) -> Decoded:
    return Decoded(clock, "cell-clock-of-day", {"found": found, "value": clock or ""})


def _is_date(text: str) -> bool:
    try:
        return bool(_ISO_DATE.fullmatch(text) and dt.date.fromisoformat(text))
    except ValueError:
        return False


def _date_of_day_number(value: float) -> str:
    return (dt.date(1899, 12, 30) + dt.timedelta(days=int(value))).isoformat()


def _text(cell: RawCell, column: Column) -> Decoded:
    is_free = not (column.choices or column.refers_to or column.pattern or column.max_length in range(1, 61))
    if cell.kind is Kind.TEXT:
        text = str(cell.value)
    elif cell.kind is Kind.NUMBER:
        text = number_text(float(cell.value))
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
    meant = typed.meant_choice(text, column.choices)
    if meant is not None:
        is_its_word = typed.choice_key(meant) == typed.choice_key(text)
        facts = {"found": quoted(text.strip()), "value": quoted(meant)}
        return Decoded(meant) if is_its_word else Decoded(meant, "cell-word-read", facts, facts["found"])
    offered = tuple(quoted(choice) for choice in typed.offered_choices(text, column.choices))
    hint = phrase(InMessage.MAY_MEAN, choices=offered) if offered else ""
    return _fix("cell-not-in-list", found=quoted(text.strip()), expected=", ".join(column.choices), near=hint)


def _true_false(cell: RawCell) -> str:
    return "TRUE" if cell.value else "FALSE"
