"""Reads texts as people type them: units, numbers, headers, money, times of day, days and choices.

For each choice ``typed_words.json`` and the tables of the trade have words that mean it and no other choice of the
list, which are read with a note, and words that perhaps mean it, which are only offered.
"""

from __future__ import annotations

import datetime as dt
import json
import math
import re
import unicodedata
from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from typing import Any, NamedTuple

from wood_xl.data.trade import factor_sets, tasks, tool_kinds
from wood_xl.notes.names import nearest, plain
from wood_xl.page_texts import HowToMend, Month
from wood_xl.schema.model import Column
from wood_xl.schema.words import phrase
from wood_xl.units import convert

MINUTES_PER_DAY = 1440.0
MIN_PER_H, S_PER_MIN, S_PER_DAY = 60, 60, 86_400
NOON_H = 12
LEAST_WHOLE = 100  # a smaller whole number may be an hour or minutes after midnight

_TIME = re.compile(r"([0-9]{1,2})(?::([0-9]{2})(?::([0-9]{2}))?)?\s*(?:([ap])\.?\s?m\.?)?", re.IGNORECASE)
_OTHER_MARK = re.compile(r"([0-9]{1,2})\s*[.,h\-\s]\s*([0-9]{2})\s*(?:h|([ap])\.?m\.?)?", re.IGNORECASE)


def clock_text(minutes: float) -> str:
    """Minutes since midnight as a time of day.

    >>> clock_text(545), clock_text(825.5)
    ('9:05', '13:45:30')
    """
    whole, seconds = divmod(min(round(minutes * S_PER_MIN), S_PER_DAY - 1), S_PER_MIN)
    text = f"{whole // MIN_PER_H}:{whole % MIN_PER_H:02d}"
    return f"{text}:{seconds:02d}" if seconds else text


def minutes_of_clock(text: str) -> float:
    """Minutes since midnight of a time of day in the document.

    >>> minutes_of_clock("9:05"), minutes_of_clock("13:45:30")
    (545.0, 825.5)
    """
    hours, minutes, seconds = (*map(int, text.split(":")), 0)[:3]
    return float(MIN_PER_H * hours + minutes + seconds / S_PER_MIN)


def clock_of_text(text: str) -> str | None:
    """Time of day of a text; None if it has none, or one that can be misread.

    >>> clock_of_text("09:05"), clock_of_text("1:15 p.m."), clock_of_text("9 AM"), clock_of_text("9.05")
    ('9:05', '13:15', '9:00', None)
    """
    match = _TIME.fullmatch(text.strip())
    if match is None or not (match[2] or match[4]):
        return None
    return _clock(int(match[1]), int(match[2] or 0), int(match[3] or 0), (match[4] or "").lower())


def clock_of_digits(text: str) -> str | None:
    """Time of day of digits without a mark between hours and minutes; None if they are none.

    >>> clock_of_digits("905"), clock_of_digits("1315"), clock_of_digits("975"), clock_of_digits("9")
    ('9:05', '13:15', None, None)
    """
    if not (text.isascii() and text.isdecimal() and len(text) <= len("2359")):
        return None
    number = int(text)
    return _clock(*divmod(number, 100), 0, "") if number >= LEAST_WHOLE else "0:00" if number == 0 else None


def meant_clock(text: str) -> str | None:
    """Time of day that may be meant by hours alone, or by a mark other than a colon; None if there is none.

    >>> meant_clock("9.05"), meant_clock("9h05"), meant_clock("9"), meant_clock("9.5")
    ('9:05', '9:05', '9:00', None)
    """
    if text.isdecimal() and text.isascii() and len(text) <= len("23"):
        return _clock(int(text), 0, 0, "")
    match = _OTHER_MARK.fullmatch(text.strip())
    return _clock(int(match[1]), int(match[2]), 0, (match[3] or "").lower()) if match else None


def _clock(hours: int, minutes: int, seconds: int, half: str) -> str | None:
    if minutes >= MIN_PER_H or seconds >= S_PER_MIN:
        return None
    if half and (hours > NOON_H or hours == 0):
        return None
    if half:
        hours = hours % NOON_H + (NOON_H if half == "p" else 0)
    total = MIN_PER_H * hours + minutes + seconds / S_PER_MIN
    return clock_text(total) if total < MINUTES_PER_DAY else None


_YEAR_FIRST = re.compile(r"([0-9]{4})(?:([-./ ])([0-9]{1,2})\2([0-9]{1,2})|([0-9]{2})([0-9]{2}))\.?")
_YEAR_LAST = re.compile(r"([0-9]{1,2})([-./ ])([0-9]{1,2})\2([0-9]{4})")
_DAY_FIRST = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th)?[\s.-]*([a-z]{3,9})[\s.,-]+([0-9]{4})", re.IGNORECASE)
_MONTH_FIRST = re.compile(r"([a-z]{3,9})[\s.]*([0-9]{1,2})(?:st|nd|rd|th)?[\s.,]+([0-9]{4})", re.IGNORECASE)


def days_of_text(text: str) -> list[str]:
    """Days that a text with a whole year may mean, as ISO dates.

    >>> days_of_text("Mar 6, 2027"), days_of_text("2027/3/6"), days_of_text("6 spruce 2027")
    (['2027-03-06'], ['2027-03-06'], [])
    >>> days_of_text("3/6/2027"), days_of_text("13.3.2027")
    (['2027-03-06', '2027-06-03'], ['2027-03-13'])
    """
    text = text.strip()
    if match := _YEAR_FIRST.fullmatch(text):
        parts = [(match[1], match[3] or match[5], match[4] or match[6])]
    elif match := _YEAR_LAST.fullmatch(text):
        parts = [(match[4], match[1], match[3]), (match[4], match[3], match[1])]
    elif match := _DAY_FIRST.fullmatch(text):
        parts = [(match[3], _month(match[2]), match[1])]
    elif match := _MONTH_FIRST.fullmatch(text):
        parts = [(match[3], _month(match[1]), match[2])]
    else:
        return []
    return list(dict.fromkeys(day for year, month, of_month in parts if (day := _day(year, month, of_month))))


def _month(name: str) -> str:
    """Number of the month whose English name begins with a text; 0 if there is none."""
    return str(next((number for number, month in enumerate(Month, 1) if month.key.startswith(name.lower())), 0))


def _day(year: str, month: str, day: str) -> str:
    try:
        return dt.date(int(year), int(month), int(day)).isoformat()
    except ValueError:
        return ""


DOLLAR = "$"


@cache
def _typed_words() -> dict[str, Any]:
    """Words that people type for units and choices, and the ISO 4217 codes of each currency sign.

    Other signs are not judged. Pesos share the sign of the dollars, whose codes end in D.
    """
    text = files("wood_xl.notes").joinpath("typed_words.json").read_text(encoding="utf-8")
    words: dict[str, Any] = json.loads(text)
    return words


_SIGN = r"[A-Za-z\u0142\u010d$\u00a3\u00a5\u20a0-\u20cf]{1,3}\.?"
_PLAIN_AMOUNT = r"\d+(?:\.\d+)?"
_CENTS = re.compile(rf"({_PLAIN_AMOUNT})\s*(?:cts?|cents?|\u00a2)\.?", re.IGNORECASE)
_WITH_SIGN = re.compile(rf"(?:{_SIGN})\s*({_PLAIN_AMOUNT})|({_PLAIN_AMOUNT})\s*(?:{_SIGN})")


def amount_with_sign(text: str) -> str | None:
    """Number of an amount that is typed with a currency sign or code, or in cents; None for any other text.

    >>> [amount_with_sign(text) for text in ("USD 30", "12.50 kr", "32 ct", "about 30")]
    ['30', '12.50', '0.32', None]
    """
    if cents := _CENTS.fullmatch(text):
        return f"{float(cents[1]) / 100:.10g}"
    match = _WITH_SIGN.fullmatch(text)
    return match and (match[1] or match[2])


def is_other_currency(shown: str, code: str) -> bool:
    """Whether the sign or code that a cell shows cannot stand for a currency.

    >>> is_other_currency("$", "CAD"), is_other_currency("$", "EUR"), is_other_currency("NOK", "SEK")
    (False, True, True)
    """
    if shown == DOLLAR:
        return not (code.endswith("D") or code in _typed_words()["pesos"])
    if shown in _typed_words()["codes_of_sign"]:
        return code not in _typed_words()["codes_of_sign"][shown]
    return len(shown) == len(code) and shown.isascii() and shown.isalpha() and shown.isupper() and shown != code


Words = dict[str, dict[str, list[str]]]


@cache
def choice_words() -> Words:
    """Words that mean each choice (``means``) and words that may mean it (``perhaps``)."""
    rows = [row for table in (tool_kinds(), tasks(), factor_sets()) for row in table.values()]
    of_trade = {row.id: {"means": list(row.means), "perhaps": list(row.perhaps)} for row in rows}
    return {**_typed_words()["choices"], **of_trade}


def choice_key(text: str) -> str:
    """Text as choices are compared: like names, with hyphens as spaces.

    >>> choice_key("Gasoline  Two-Stroke.")
    'gasoline two stroke'
    """
    return " ".join(plain(text).rstrip(".").replace("-", " ").split())


def meant_choice(text: str, choices: Sequence[str]) -> str | None:
    """The choice that a text names or surely means; None if there is none.

    >>> tasks = ("buck", "split", "stack")
    >>> meant_choice("SPLIT", tasks), meant_choice("bucking", tasks), meant_choice("cutting", tasks)
    ('split', 'buck', None)
    """
    typed = choice_key(text)
    by_words = {choice_key(choice): choice for choice in choices}
    return by_words.get(typed) or next((choice for choice in choices if typed in _words(choice, "means")), None)


def offered_choices(text: str, choices: Sequence[str]) -> list[str]:
    """Choices that a text may mean by its words or its spelling.

    >>> offered_choices("gas", ("hand", "gasoline two-stroke", "gasoline four-stroke", "battery"))
    ['gasoline two-stroke', 'gasoline four-stroke']
    """
    typed = choice_key(text)
    offered = [*map(choice_key, choices)]
    offered += (word for choice in choices for kind in ("means", "perhaps") for word in _words(choice, kind))
    near = typed if typed in offered else nearest(typed, offered)
    if near is None:
        return []
    meant = meant_choice(near, choices)
    return [meant] if meant else [choice for choice in choices if near in _words(choice, "perhaps")]


def _words(choice: str, kind: str) -> list[str]:
    return choice_words().get(choice, {}).get(kind, [])


_SIGNS = "\u00bc-\u00be\u2150-\u215e"  # fractions that are one letter
_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?", re.IGNORECASE)
_PLAIN = r"(?P<plain>[+-]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+))"
_WHOLE = r"(?:(?P<whole>[0-9]+)[\s-]?)?"
_OVER = r"(?<![0-9])(?P<over>[0-9]{1,2})[/\u2044](?P<under>[0-9]{1,2})"
_WORD = rf"(?P<word>[^\d\s.,+/{_SIGNS}-][^\d{_SIGNS}]{{0,20}}[23]?)?"
_NUMBER_AND_WORD = re.compile(rf"(?:{_PLAIN}|{_WHOLE}(?:(?P<sign>[{_SIGNS}])|{_OVER}))\s*{_WORD}")
_FEET_AND_INCHES = re.compile(
    r"(?P<feet>[0-9]{1,3})\s*(?:ft\.?|feet|foot|['\u2032\u2019])(?:\s*-?\s*(?P<inches>[^'\u2032\u2019a-z]+?)"
    r"\s*(?:in\.?|inch|inches|[\"\u2033\u201d]|''|\u2019\u2019)?)?",
    re.IGNORECASE,
)
_HOURS_AND_MINUTES = re.compile(
    r"(?P<hours>[0-9]{1,2})\s*(?:h|hrs?|hours?)\.?\s*(?:and\s*)?(?P<minutes>[0-5]?[0-9])\s*(?:m|min|mins|minutes?)?\.?"
    r"|(?P<clock_hours>[0-9]{1,2}):(?P<clock_minutes>[0-5][0-9])\s*(?:h|hrs?|hours?)\.?",
    re.IGNORECASE,
)
_UNDERS = (2, 3, 4, 8, 16, 32)  # fractions on a tape measure
INCHES_IN_FOOT = 12
_TWO_WAYS = re.compile(r"([1-9][0-9]{0,2})[.,]([0-9]{3})\s*([^\d\s.,+/-][^\d]{0,20}[23]?)?")
_AMOUNT = re.compile(r"([+-]?\d+(?:\.\d+|,\d{1,2})?)\s*([^\d\s.,+-][^\d]{0,20}[23]?)")


@cache
def _label_of_word() -> dict[str, str]:
    return {word: label for label, words in _typed_words()["units"].items() for word in words}


def typed_unit(word: str, permitted: Sequence[str]) -> str | None:
    """Permitted unit that a word stands for; None if there is none.

    >>> typed_unit("Inches", ["cm", "in"]), typed_unit("CM", ["cm", "in"]), typed_unit("ells", ["cm", "in"])
    ('in', 'cm', None)
    """
    unit_text = plain(word).rstrip(".")
    by_plain = {plain(label): label for label in permitted}
    return by_plain.get(unit_text) or by_plain.get(plain(_label_of_word().get(unit_text, "")))


class Amount(NamedTuple):
    """A number in the unit of its column, and the unit that was typed with it."""

    value: float
    word: str = ""  # unit as typed; empty if there was none


def typed_amount(text: str, units: Sequence[str], unit: str) -> Amount | None:
    r"""A number, with a fraction or its column's unit, feet and inches, or hours and minutes; None for other texts.

    >>> typed_amount("45 min", ["min", "h"], "min"), typed_amount("1.5 h", ["min", "h"], "min")
    (Amount(value=45.0, word='min'), None)
    >>> typed_amount("7\u00bd", ["in"], "in"), typed_amount("8'3\"", ["ft", "in"], "ft")
    (Amount(value=7.5, word=''), Amount(value=8.25, word="'"))
    >>> typed_amount("10'", ["min", "h"], "min")
    Amount(value=10.0, word="'")
    """
    if _NUMBER.fullmatch(text):
        return Amount(float(text)) if math.isfinite(float(text)) else None
    if (feet := feet_and_inches(text)) is not None:
        is_length, is_time = unit in ("ft", "in"), unit == "min" and feet == int(feet)
        return Amount(convert(feet, "ft", unit) if is_length else feet, "'") if is_length or is_time else None
    if (minutes := hours_and_minutes(text)) is not None:
        return Amount(convert(minutes, "min", unit), "h") if unit in ("min", "h") else None
    amount = number_and_word(text)
    if amount is None or (amount.word and (unit in ("", "money") or typed_unit(amount.word, units) != unit)):
        return None
    return amount._replace(word=plain(amount.word))


def feet_and_inches(text: str) -> float | None:
    r"""Feet of a length in feet, or in feet and inches; None for any other text.

    >>> feet_and_inches("20' 3\""), feet_and_inches("8 ft 7 1/2 in"), feet_and_inches("8'")
    (20.25, 8.625, 8.0)
    """
    match = _FEET_AND_INCHES.fullmatch(text.strip())
    if match and match["inches"] is None:
        return float(match["feet"])
    inches = number_and_word(match["inches"]) if match else None
    if match is None or inches is None or inches.word or inches.value >= INCHES_IN_FOOT:
        return None
    return int(match["feet"]) + inches.value / INCHES_IN_FOOT


def hours_and_minutes(text: str) -> float | None:
    """Minutes of a time in hours and minutes; None for any other text.

    >>> hours_and_minutes("1h30"), hours_and_minutes("1 hr 5 mins"), hours_and_minutes("1:30 h")
    (90.0, 65.0, 90.0)
    """
    match = _HOURS_AND_MINUTES.fullmatch(text.strip())
    if match is None:
        return None
    hours, minutes = match["hours"] or match["clock_hours"], match["minutes"] or match["clock_minutes"]
    return float(MIN_PER_H * int(hours) + int(minutes))


def number_and_word(text: str) -> Amount | None:
    """A number, perhaps with a fraction, and the word behind it as typed; None for any other text.

    >>> number_and_word("10 1/2 in."), number_and_word("1,5 in")
    (Amount(value=10.5, word='in.'), None)
    """
    match = _NUMBER_AND_WORD.fullmatch(text.strip())
    if match is None:
        return None
    word, whole = (match["word"] or "").strip(), int(match["whole"] or 0)
    if match["plain"]:
        return Amount(float(match["plain"]), word)
    if match["sign"]:
        return Amount(whole + unicodedata.numeric(match["sign"]), word)
    over, under = int(match["over"]), int(match["under"])
    return Amount(whole + over / under, word) if under in _UNDERS and 0 < over < under else None


def amount_and_unit(text: str) -> tuple[str, str] | None:
    """Number and the word behind it; None for any other text.

    A comma before one or two digits is a decimal sign; before three digits it may separate thousands.

    >>> amount_and_unit("12,5 cm"), amount_and_unit('10 1/2"'), amount_and_unit("1,500 kg"), amount_and_unit("big")
    (('12.5', 'cm'), ('10.5', '"'), None, None)
    """
    if match := _AMOUNT.fullmatch(text.strip()):
        return match[1].replace(",", "."), match[2]
    mixed = number_and_word(text)
    return (f"{mixed.value:.6g}", mixed.word) if mixed and mixed.word else None


def two_readings(text: str) -> tuple[str, str, str] | None:
    """Both numbers that a text with a mark before three digits may mean, and the word behind; None for other texts.

    >>> two_readings("1,500"), two_readings("1.500 mL"), two_readings("0.125"), two_readings("12,5")
    (('1500', '1.5', ''), ('1500', '1.5', 'mL'), None, None)
    """
    match = _TWO_WAYS.fullmatch(text.strip())
    if match is None:
        return None
    return match[1] + match[2], f"{float(f'{match[1]}.{match[2]}'):.6g}", (match[3] or "").strip()


LONGEST_HEADER = 300  # characters; a longer text is somebody's note
_UNIT_AT_END = re.compile(r"(?:\[([^\[\]]*)\]|\(([^()]*)\))$")
_CURRENCY_FIRST = re.compile(r"^([a-z]{3})(?: (.*))?$")
_UNIT_SIGNS = str.maketrans({"²": "2", "³": "3", "°": "deg", "µ": "u", "\u2033": "in", "\u2032": "ft"})


def split_header(text: str) -> tuple[str, str | None]:
    """Title and unit of a header.

    >>> split_header("Diameter [in]")
    ('Diameter', 'in')
    """
    if len(text) > LONGEST_HEADER:
        return text, None
    header = " ".join(text.split())
    if header.endswith(("*", ":")):
        header = header[:-1].rstrip()
    match = _UNIT_AT_END.search(header)
    if match is None:
        return header, None
    return header[: match.start()].rstrip(), match[1] if match[2] is None else match[2]


def unit_of(column: Column, typed: str | None) -> tuple[str | None, str]:
    """Permitted unit that a typed one stands for, and the currency code before it."""
    unit_text = plain((typed or "").translate(_UNIT_SIGNS))
    if not column.units:
        return "", ""
    if not unit_text:
        return (column.units[0] if len(column.units) == 1 else None), ""
    by_text = {plain(unit): unit for unit in column.units}
    if unit_text in by_text and not (column.is_money and unit_text == "money"):
        return by_text[unit_text], ""
    if column.is_money and (match := _CURRENCY_FIRST.match(unit_text)):
        rest = match[2] or "money"
        if rest in by_text:
            return by_text[rest], match[1].upper()
    return typed_unit(unit_text, column.units), ""


def header_to_write(column: Column, typed: str | None) -> str:
    """Header that a column should have, in quotes, with the unit typed.

    >>> from wood_xl.schema.model import season_definition
    >>> header_to_write(season_definition().column("cuts.diameter"), "cm")
    '"Diameter [cm]"'
    """
    unit, _ = unit_of(column, typed)
    if unit is None:
        return phrase(HowToMend.HEADER_WITH_YOUR_UNIT, title=column.title, units=column.units)
    return f'"{column.title} [{typed}]"' if unit and typed else f'"{column.title}"'
