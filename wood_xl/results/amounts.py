"""Figures of the results as parts of sentences."""

from __future__ import annotations

from typing import Any

from wood_xl.pages import Answer
from wood_xl.results.doubt_words import rounded_texts
from wood_xl.schema.words import phrase

PLURALS = {"cord": "cords"}

Row = dict[str, Any]


def in_doubt(figure: Row, *, unit: str, decimals: int, sessions_n: int) -> str:
    """An amount that is known, with its unit and the digits that its interval leaves.

    >>> in_doubt({"value": 5.58, "low": 2.9, "high": 11.2}, unit="h", decimals=1, sessions_n=3)
    'about 5.6 h (2.9 to 12)'
    """
    if figure["low"] is None:
        return f"{figure['value']:,.{decimals}f} {unit}"
    middle, low, high = rounded_texts(
        middle=figure["value"], low=figure["low"], high=figure["high"], sessions_n=sessions_n
    )
    amount = Answer.BETWEEN if sessions_n == 1 else Answer.ABOUT
    return phrase(amount, middle=middle, low=low, high=high, unit=unit)


def counted(figure: Row, *, decimals: int = 2) -> str:
    """An amount as it was written or planned, with its unit: no zeros at its end, and more than one are many.

    >>> counted({"value": 4.0, "unit": "cord"}), counted({"value": 1.0, "unit": "cord"})
    ('4 cords', '1 cord')
    """
    number = f"{figure['value']:,.{decimals}f}".rstrip("0").rstrip(".")
    unit = figure["unit"]
    return f"{number} {unit if number == '1' else PLURALS.get(unit, unit)}"
