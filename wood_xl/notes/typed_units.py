"""Units as people type them, beside a number or in a header, and the labels of the definition they stand for."""

from __future__ import annotations

import re
from collections.abc import Sequence

from wood_xl.notes.names import plain

_LABELS = {
    "mm": ("millimeter", "millimeters", "millimetre", "millimetres"),
    "cm": ("centimeter", "centimeters", "centimetre", "centimetres"),
    "m": ("meter", "meters", "metre", "metres"),
    "in": ('"', "''", "\u2033", "inch", "inches"),
    "ft": ("'", "\u2032", "foot", "feet"),
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
_AMOUNT = re.compile(r"([+-]?\d+(?:\.\d+|,\d{1,2})?)\s*([^\d\s.,+-][^\d]{0,20}[23]?)")


def typed_unit(word: str, permitted: Sequence[str]) -> str | None:
    """The permitted unit that a word stands for, or None.

    >>> typed_unit("Inches", ["cm", "in"]), typed_unit("CM", ["cm", "in"]), typed_unit("ells", ["cm", "in"])
    ('in', 'cm', None)
    """
    unit_text = plain(word).rstrip(".")
    by_plain = {plain(label): label for label in permitted}
    return by_plain.get(unit_text) or by_plain.get(plain(_LABEL_OF_WORD.get(unit_text, "")))


def amount_and_unit(text: str) -> tuple[str, str] | None:
    """Number and what is typed behind it, or None if the text is something else.

    A comma before one or two digits is taken as the decimal sign; before three it may stand between thousands.

    >>> amount_and_unit("12,5 cm"), amount_and_unit('10"'), amount_and_unit("1,500 kg"), amount_and_unit("big")
    (('12.5', 'cm'), ('10', '"'), None, None)
    """
    match = _AMOUNT.fullmatch(text.strip())
    return (match[1].replace(",", "."), match[2]) if match else None
