"""Digits of a figure and its range in sentences and cells of the pages.

Figure and ends are each rounded to nearest, to 2 significant digits, to 3 where the high end is less than 1.25 times
the low one; money below 10 shows cents, from 10 whole units. Zeros at the end count.
"""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal

from wood_xl.reasons import Ranged

FEW_DIGITS, MORE_DIGITS = 2, 3
NARROW = 1.25  # times the low end, below which a third digit tells more
CENTS_BELOW = 10
SIGNS = {"USD": "$", "EUR": "\u20ac", "GBP": "\u00a3", "JPY": "\u00a5", "INR": "\u20b9"}
NO_BREAK = "\N{NO-BREAK SPACE}"


def currency_sign(code: str) -> str:
    r"""What stands before an amount of money: the sign of the currency, or its code and a space.

    >>> currency_sign("USD"), currency_sign("SEK")
    ('$', 'SEK\xa0')
    """
    return SIGNS.get(code) or (f"{code}{NO_BREAK}" if code else "")


def digits_of(ranged: Ranged) -> int:
    """Significant digits of a number and of both its ends."""
    low, high = ranged.low, ranged.high
    is_narrow = low is not None and high is not None and low * high > 0 and _times(low, high) < NARROW
    return MORE_DIGITS if is_narrow else FEW_DIGITS


def number_text(number: float, digits: int = FEW_DIGITS) -> str:
    """A number to so many significant digits.

    >>> number_text(3.96), number_text(1234.0), number_text(0.0)
    ('4.0', '1,200', '0')
    """
    exact = Decimal(repr(float(number)))
    if not exact:
        return "0"
    return f"{_to_digits(exact, digits):,f}"


def money_text(number: float, digits: int = FEW_DIGITS) -> str:
    """An amount of money to so many significant digits: with cents below 10, in whole units from there on.

    >>> money_text(5.4), money_text(9.97), money_text(431.0), money_text(-0.8)
    ('5.40', '10', '430', '-0.80')
    """
    rounded = _to_digits(Decimal(repr(float(number))), digits) if number else Decimal(0)
    if abs(rounded) < CENTS_BELOW:
        return f"{rounded.quantize(Decimal('0.01'), rounding=ROUND_HALF_EVEN):,f}"
    return f"{rounded.quantize(Decimal(1), rounding=ROUND_HALF_EVEN):,f}"


def _times(low: float, high: float) -> float:
    return max(abs(low), abs(high)) / min(abs(low), abs(high))


def _to_digits(exact: Decimal, digits: int) -> Decimal:
    rounded = exact.quantize(Decimal(1).scaleb(exact.adjusted() - digits + 1), rounding=ROUND_HALF_EVEN)
    if rounded.adjusted() > exact.adjusted():
        rounded = rounded.quantize(Decimal(1).scaleb(rounded.adjusted() - digits + 1))
    return rounded.quantize(Decimal(1)) if rounded.as_tuple().exponent > 0 else rounded  # type: ignore[operator]
