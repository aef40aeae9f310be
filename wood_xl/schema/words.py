"""Turns ids into English, by the sentences of ``words.json`` with slots for facts.

A figure and its ends are rounded to nearest, to 2 significant digits, or to 3 if the high end is less than 1.25
times the low one. Money below 10 shows cents, from 10 on whole units. Trailing zeros are significant.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_HALF_EVEN, Decimal
from string import Formatter
from typing import Any

from wood_xl.reasons import Ends, Named, OfDraws, Ranged, Said, Word, said, sentences

# Formats of slots.
AND, OR = "and", "or"  # a list in a sentence
SHORT = "short"  # three digits, or all before the point if there are more
WOOD = "wood"  # an amount of a plan: as typed, if it has at most two decimals; else as a figure
CAPITAL = "capital"  # as at the start of a sentence
MONEY, ENDS, ENDS_OF_MONEY = "money", "ends", "ends_of_money"  # amount of a range; the range after it
SIGN = "sign"  # currency code as the sign before an amount
TYPED = "typed"  # money as typed: with cents if it has any
DRAWS = "draws"  # a percentage as a share of the draws: all or none only if exactly so
THOUSAND = 1000


def words(what: Said | Word | str | None) -> str:
    """A sentence in words; empty for None, and a text as it was typed.

    >>> from wood_xl.reasons import Reason, said
    >>> words(said(Reason.NEEDS, cell="Tools!B5")), words(None), words("as typed")
    ('needs Tools!B5', '', 'as typed')
    """
    if what is None or isinstance(what, str):
        return what or ""
    word, facts = (what.id, dict(what.facts)) if isinstance(what, Said) else (what, {})
    return _FILLED.vformat(sentences()[type(word).__name__][word.key], (), facts)


def phrase(word: Word, **facts: Any) -> str:
    """The words of an id with its facts, without a ``Said`` in between.

    >>> from wood_xl.reasons import Reason
    >>> phrase(Reason.NO_PRICE_OF, what=("gasoline", "bar oil"))
    'needs the price of gasoline and bar oil'
    """
    return words(said(word, **facts))


def key_words(ids: str, key: str) -> str:
    """The words of an id in a document, by its key; an unknown key stays as it is.

    >>> key_words("Surety", "likely")
    'likely, not settled'
    """
    return sentences()[ids].get(key, key)


def joined(parts: Sequence[str], last: str = AND) -> str:
    """A list in a sentence.

    >>> joined(["time 5", "money 5", "effort 3"])
    'time 5, money 5 and effort 3'
    """
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} {last} {parts[-1]}"


def capital(text: str) -> str:
    """The text with its first letter capitalized."""
    return text[:1].upper() + text[1:]


class _Filled(Formatter):
    """Fills slots: the format of a slot joins a list or formats a number."""

    def format_field(self, value: Any, format_spec: str) -> str:
        if isinstance(value, tuple):
            parts = [self.format_field(part, "") for part in value]
            return joined(parts, format_spec) if format_spec in (AND, OR) else format_spec.join(parts)
        if isinstance(value, Named):
            return value.name
        if format_spec == SIGN:
            return currency_sign(value)
        if isinstance(value, Ranged):
            return _range(value, format_spec) if format_spec in (ENDS, ENDS_OF_MONEY) else _middle(value, format_spec)
        if value is None or isinstance(value, Said | Word | str):
            return capital(words(value)) if format_spec == CAPITAL else words(value)
        return _number(value, format_spec)


def _number(number: float, format_spec: str) -> str:
    if format_spec == DRAWS:
        return _of_draws(number)
    if format_spec == TYPED:
        return f"{number:,.2f}".removesuffix(".00")
    if format_spec == WOOD:
        return f"{round(number, 2):,.10g}" if round(number, 2) == round(number, 6) else number_text(number)
    if format_spec == SHORT:
        return format(number, ",.3g" if abs(number) < THOUSAND else ",.0f")
    return format(number, format_spec)


def _of_draws(percent: float) -> str:
    if percent in (0, 100):
        return words(OfDraws.ALL if percent else OfDraws.NONE)
    if not 1 <= percent <= 99:
        return words(OfDraws.FEWEST if percent < 1 else OfDraws.MOST)
    return phrase(OfDraws.SOME, n=round(percent))


def _middle(number: Ranged, format_spec: str) -> str:
    text = money_text if format_spec == MONEY else number_text
    return text(number.value, digits_of(number))


def _range(number: Ranged, format_spec: str) -> str:
    """The range in brackets after a number, without line breaks; empty if there is none."""
    text = money_text if format_spec == ENDS_OF_MONEY else number_text
    digits = digits_of(number)
    low, high = (None if end is None else text(end, digits) for end in (number.low, number.high))
    if low is None and high is None:
        return ""
    ends = Ends.OR_LESS if low is None else Ends.OR_MORE if high is None else Ends.BOTH
    text_of_ends = phrase(ends, low=low, high=high)
    return text_of_ends[:1] + text_of_ends[1:].replace(" ", NO_BREAK)


_FILLED = _Filled()


FEW_DIGITS, MORE_DIGITS = 2, 3
NARROW = 1.25  # ratio of the ends below which a third digit is shown
CENTS_BELOW = 10
SIGNS = {"USD": "$", "EUR": "\u20ac", "GBP": "\u00a3", "JPY": "\u00a5", "INR": "\u20b9"}
NO_BREAK, MINUS, PERCENT = "\N{NO-BREAK SPACE}", "\N{MINUS SIGN}", "%"


def currency_sign(code: str) -> str:
    r"""Prefix of an amount of money: the sign of the currency, or its code and a space.

    >>> currency_sign("USD"), currency_sign("SEK")
    ('$', 'SEK\xa0')
    """
    return SIGNS.get(code) or (f"{code}{NO_BREAK}" if code else "")


def after_number(unit: str) -> str:
    """Suffix of a number: a space and the unit, or a percent sign without a space.

    >>> after_number("lb"), after_number("%"), after_number("")
    (' lb', '%', '')
    """
    return unit if unit == PERCENT else f" {unit}" if unit else ""


def digits_of(ranged: Ranged) -> int:
    """Significant digits of a number and its ends: more if the range is narrow.

    A number that is itself an end gets no more, if two digits tell the ends apart.
    """
    low, high = ranged.low, ranged.high
    if low is None or high is None or low * high <= 0:
        return FEW_DIGITS
    less, more = sorted((abs(low), abs(high)))
    if not more / less < NARROW:
        return FEW_DIGITS
    is_end = ranged.value in (low, high) and number_text(low) != number_text(high)
    return FEW_DIGITS if is_end else MORE_DIGITS


def number_text(number: float, digits: int = FEW_DIGITS) -> str:
    """A number rounded to significant digits.

    >>> number_text(3.96), number_text(1234.0), number_text(0.0)
    ('4.0', '1,200', '0')
    """
    exact = Decimal(repr(float(number)))
    if not exact:
        return "0"
    return _minus(f"{_to_digits(exact, digits):,f}")


def money_text(number: float, digits: int = FEW_DIGITS) -> str:
    """An amount of money rounded to significant digits: with cents below 10, else in whole units.

    >>> money_text(5.4), money_text(9.97), money_text(431.0), money_text(-0.8)
    ('5.40', '10', '430', '\N{MINUS SIGN}0.80')
    """
    rounded = _to_digits(Decimal(repr(float(number))), digits) if number else Decimal(0)
    if abs(rounded) < CENTS_BELOW:
        return _minus(f"{rounded.quantize(Decimal('0.01'), rounding=ROUND_HALF_EVEN):,f}")
    return _minus(f"{rounded.quantize(Decimal(1), rounding=ROUND_HALF_EVEN):,f}")


def _minus(text: str) -> str:
    """A number with a minus sign instead of a hyphen, after which a line may break. A shown 0 has no sign.

    >>> _minus("-0.80"), _minus("-0.00")
    ('\N{MINUS SIGN}0.80', '0.00')
    """
    return text.replace("-", MINUS if text.strip("-0.,") else "")


def _to_digits(exact: Decimal, digits: int) -> Decimal:
    rounded = exact.quantize(Decimal(1).scaleb(exact.adjusted() - digits + 1), rounding=ROUND_HALF_EVEN)
    if rounded.adjusted() > exact.adjusted():
        rounded = rounded.quantize(Decimal(1).scaleb(rounded.adjusted() - digits + 1))
    return rounded.quantize(Decimal(1)) if rounded.as_tuple().exponent > 0 else rounded  # type: ignore[operator]
