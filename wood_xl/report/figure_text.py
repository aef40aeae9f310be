"""Figures of a document as texts: a number with its range behind it, amounts of money, numbers as typed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from wood_xl.page_texts import OnPages
from wood_xl.reasons import Ends, Ranged
from wood_xl.schema.words import MINUS, PERCENT, currency_sign, digits_of, money_text, number_text, phrase, words

MONEY = "money"  # what the unit of an amount begins with
CENT_DECIMALS = 2
TYPED_DIGITS, CONVERTED_DIGITS = 6, 3  # the most that people type; enough for what was typed in another unit

Cell = Mapping[str, Any]


def is_money(cell: Cell) -> bool:
    """Whether a figure is an amount of money, or a price per unit."""
    return str(cell["unit"]).startswith(MONEY)


def ranged(cell: Cell, *, at_least_zero: bool = False) -> Ranged:
    """The number of a known figure with its ends; below 0 they are shown as 0 where the page says so."""
    low = cell["low"]
    if not at_least_zero:
        return Ranged(cell["value"], low, cell["high"])
    return Ranged(max(cell["value"], 0.0), None if low is None else max(low, 0.0), cell["high"])


def inverse(ratio: Ranged) -> Ranged:
    """The ratio of the second to the first."""
    low, high = (None if end is None else 1 / end for end in (ratio.high, ratio.low))
    return Ranged(1 / ratio.value, low, high)


def figure_text(cell: Cell, currency: str = "", *, at_least_zero: bool = False) -> str:
    """A rounded figure with its range in brackets; ``none`` for zero; the reason where it is not known.

    >>> figure_text({"value": 6.368, "low": 5.305, "high": 7.645, "unit": "h/cord", "reason": ""})
    '6.4 (5.3 to 7.6)'
    >>> figure_text({"value": -2.0, "low": -9.0, "high": 31.0, "unit": "money/h", "reason": ""}, at_least_zero=True)
    'nothing (0 to 31)'
    """
    if cell["value"] is None:
        return str(cell["reason"]) or words(OnPages.NOT_KNOWN)
    if at_least_zero and (cell["high"] if cell["high"] is not None else cell["value"]) <= 0:
        return words(OnPages.NOTHING)
    number = ranged(cell, at_least_zero=at_least_zero)
    if not number.value and not number.low and not number.high:
        return words(OnPages.NONE)
    if is_money(cell):
        zero = words(OnPages.NOTHING) if at_least_zero else ""
        return ranged_text(number, currency_sign(currency), is_money=True, zero=zero)
    after = PERCENT if cell["unit"] == PERCENT else ""
    return ranged_text(number, after=after)


def ranged_text(number: Ranged, before: str = "", *, is_money: bool = False, after: str = "", zero: str = "") -> str:
    """A number with its range as text; ``zero`` replaces a number of 0.

    >>> ranged_text(Ranged(16.2, 5.5, None), "$", is_money=True)
    '$16 (5.50 or more)'
    """
    digits, text = digits_of(number), money_text if is_money else number_text
    low, high = (None if end is None else text(end, digits) if end else "0" for end in (number.low, number.high))
    shown = f"{signed(before, text(number.value, digits))}{after}" if number.value or not zero else zero
    if low is None and high is None:
        return shown
    if low == high == text(number.value, digits):  # too narrow to show at these digits
        return shown
    ends = Ends.OR_LESS if low is None else Ends.OR_MORE if high is None else Ends.BOTH
    return f"{shown}{phrase(ends, low=low, high=high)}"


def signed(before: str, text: str) -> str:
    """A number with a prefix such as a currency sign; a minus comes first.

    >>> signed("$", "\N{MINUS SIGN}2.40")
    '\N{MINUS SIGN}$2.40'
    """
    return f"{MINUS}{before}{text.removeprefix(MINUS)}" if text.startswith(MINUS) else f"{before}{text}"


def typed_text(number: float) -> str:
    """A number as typed, with commas between thousands; with more digits than people type it was converted.

    >>> typed_text(2026.0), typed_text(4.25), typed_text(0.5), typed_text(2.758958338)
    ('2,026', '4.25', '0.5', '2.76')
    """
    text = f"{number:,.10f}".rstrip("0").rstrip(".")
    if sum(map(str.isdigit, text.lstrip("-0."))) > TYPED_DIGITS:
        text = f"{float(f'{number:.{CONVERTED_DIGITS}g}'):,.10f}".rstrip("0").rstrip(".")
    return text


def typed_money(amount: float, currency: str) -> str:
    """An amount of money as typed: with cents if it has any.

    >>> typed_money(690.0, "USD"), typed_money(3.4, "USD")
    ('$690', '$3.40')
    """
    return f"{currency_sign(currency)}{amount:,.{CENT_DECIMALS}f}".removesuffix(".00")
