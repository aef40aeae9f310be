"""Numbers and units as people type them, and the labels of the definition that a unit stands for."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

from wood_xl.notes.names import plain
from wood_xl.units import convert

_LABELS = {
    "mm": ("millimeter", "millimeters", "millimetre", "millimetres"),
    "cm": ("centimeter", "centimeters", "centimetre", "centimetres"),
    "m": ("meter", "meters", "metre", "metres"),
    "in": ('"', "''", "\u2033", "\u201d", "inch", "inches"),
    "ft": ("'", "\u2032", "\u2019", "foot", "feet"),
    "mL": ("milliliter", "milliliters", "millilitre", "millilitres"),
    "L": ("liter", "liters", "litre", "litres"),
    "gal": ("gallon", "gallons", "gals"),
    "qt": ("quart", "quarts"),
    "fl oz": ("oz", "ounce", "ounces", "floz"),
    "kg": ("kilo", "kilos", "kgs", "kilogram", "kilograms"),
    "lb": ("lbs", "pound", "pounds"),
    "s": ("sec", "secs", "second", "seconds"),
    "min": ("mins", "minute", "minutes"),
    "h": ("hr", "hrs", "hour", "hours"),
    "cord": ("cords",),
    "stacked m3": ("stere", "steres", "st\u00e8re", "st\u00e8res", "rm"),
    "years": ("year", "yr", "yrs", "y"),
    "%": ("percent", "per cent"),
    "degC": ("\u00b0c", "c"),
    "degF": ("\u00b0f", "f"),
    "beats/min": ("bpm",),
}
_LABEL_OF_WORD = {word: label for label, words in _LABELS.items() for word in words}
_SIGNS = "\u00bc-\u00be\u2150-\u215e"  # fractions that are one letter
_PLAIN = r"(?P<plain>[+-]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+))"
_WHOLE = r"(?:(?P<whole>[0-9]+)[\s-]?)?"
_OVER = r"(?<![0-9])(?P<over>[0-9]{1,2})[/\u2044](?P<under>[0-9]{1,2})"
_WORD = rf"(?P<word>[^\d\s.,+/{_SIGNS}-][^\d{_SIGNS}]{{0,20}}[23]?)?"
_NUMBER_AND_WORD = re.compile(rf"(?:{_PLAIN}|{_WHOLE}(?:(?P<sign>[{_SIGNS}])|{_OVER}))\s*{_WORD}")
_FEET_AND_INCHES = re.compile(
    r"(?P<feet>[0-9]{1,3})\s*(?:ft\.?|feet|foot|['\u2032\u2019])\s*-?\s*(?P<inches>[^'\u2032\u2019a-z]+?)"
    r"\s*(?:in\.?|inch|inches|[\"\u2033\u201d]|''|\u2019\u2019)?",
    re.IGNORECASE,
)
_UNDERS = (2, 3, 4, 8, 16, 32)  # what an inch or a tape is parted into
INCHES_IN_FOOT = 12
_TWO_WAYS = re.compile(r"([1-9][0-9]{0,2})[.,]([0-9]{3})\s*([^\d\s.,+/-][^\d]{0,20}[23]?)?")
_AMOUNT = re.compile(r"([+-]?\d+(?:\.\d+|,\d{1,2})?)\s*([^\d\s.,+-][^\d]{0,20}[23]?)")


def typed_unit(word: str, permitted: Sequence[str]) -> str | None:
    """The permitted unit that a word stands for, or None.

    >>> typed_unit("Inches", ["cm", "in"]), typed_unit("CM", ["cm", "in"]), typed_unit("ells", ["cm", "in"])
    ('in', 'cm', None)
    """
    unit_text = plain(word).rstrip(".")
    by_plain = {plain(label): label for label in permitted}
    return by_plain.get(unit_text) or by_plain.get(plain(_LABEL_OF_WORD.get(unit_text, "")))


@dataclass(frozen=True)
class Amount:
    """A number in the unit of its column, and how it was typed.

    word: unit that stood beside it; empty if none did.
    """

    value: float
    word: str = ""


def typed_amount(text: str, units: Sequence[str], unit: str) -> Amount | None:
    r"""A number with a fraction or with the unit it is in anyway, or feet and inches; None if it is something else.

    >>> typed_amount("45 min", ["min", "h"], "min"), typed_amount("1.5 h", ["min", "h"], "min")
    (Amount(value=45.0, word='min'), None)
    >>> typed_amount("7\u00bd", ["in"], "in"), typed_amount("8'3\"", ["ft", "in"], "ft")
    (Amount(value=7.5, word=''), Amount(value=8.25, word="'"))
    """
    if (feet := feet_and_inches(text)) is not None:
        return Amount(convert(feet, "ft", unit), "'") if unit in ("ft", "in") else None
    match = _NUMBER_AND_WORD.fullmatch(text.strip())
    if match is None:
        return None
    value = _value_of(match)
    word = (match["word"] or "").strip()
    if value is None or (word and (not unit or unit == "money" or typed_unit(word, units) != unit)):
        return None
    return Amount(value, plain(word))


def feet_and_inches(text: str) -> float | None:
    r"""Feet of a length in feet and inches; None if it is something else.

    >>> feet_and_inches("20' 3\""), feet_and_inches("8 ft 7 1/2 in"), feet_and_inches("8'")
    (20.25, 8.625, None)
    """
    match = _FEET_AND_INCHES.fullmatch(text.strip())
    inches = _NUMBER_AND_WORD.fullmatch(match["inches"].strip()) if match else None
    value = _value_of(inches) if inches is not None and not inches["word"] else None
    if match is None or value is None or value >= INCHES_IN_FOOT:
        return None
    return int(match["feet"]) + value / INCHES_IN_FOOT


def _value_of(match: re.Match[str]) -> float | None:
    if match["plain"]:
        return float(match["plain"])
    whole = int(match["whole"] or 0)
    if match["sign"]:
        return whole + unicodedata.numeric(match["sign"])
    over, under = int(match["over"]), int(match["under"])
    return whole + over / under if under in _UNDERS and 0 < over < under else None


def amount_and_unit(text: str) -> tuple[str, str] | None:
    """Number and what is typed behind it, or None if the text is something else.

    A comma before one or two digits is taken as the decimal sign; before three it may stand between thousands.

    >>> amount_and_unit("12,5 cm"), amount_and_unit('10 1/2"'), amount_and_unit("1,500 kg"), amount_and_unit("big")
    (('12.5', 'cm'), ('10.5', '"'), None, None)
    """
    if match := _AMOUNT.fullmatch(text.strip()):
        return match[1].replace(",", "."), match[2]
    mixed = _NUMBER_AND_WORD.fullmatch(text.strip())
    if mixed is None or not mixed["word"] or (value := _value_of(mixed)) is None:
        return None
    return f"{value:.6g}", mixed["word"].strip()


def two_readings(text: str) -> tuple[str, str, str] | None:
    """Both numbers that a mark before three digits may make of a text, and what is typed behind; None if it is one.

    >>> two_readings("1,500"), two_readings("1.500 mL"), two_readings("0.125"), two_readings("12,5")
    (('1500', '1.5', ''), ('1500', '1.5', 'mL'), None, None)
    """
    match = _TWO_WAYS.fullmatch(text.strip())
    if match is None:
        return None
    return match[1] + match[2], f"{float(f'{match[1]}.{match[2]}'):.6g}", (match[3] or "").strip()
