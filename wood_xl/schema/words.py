"""The one place where an id becomes English: ``words.json`` has a sentence for each, with slots for its facts."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from functools import cache
from importlib.resources import files
from string import Formatter
from typing import Any

from wood_xl.reasons import Ends, Named, OfDraws, Ranged, Said, Word, said
from wood_xl.schema.digits import NO_BREAK, currency_sign, digits_of, money_text, number_text

AND, OR = "and", "or"  # as a slot's format: parts of a list in a sentence
SHORT = "short"  # three digits, or all before the point if there are more
CAPITAL = "capital"  # as a sentence begins
MONEY, ENDS, ENDS_OF_MONEY = "money", "ends", "ends_of_money"  # a number with its range, and the range behind it
SIGN = "sign"  # a currency by its code, as it stands before an amount
TYPED = "typed"  # money as somebody wrote it: with cents if it has some
DRAWS = "draws"  # a percentage as a share of the draws, which is all or none of them only if it is so
THOUSAND = 1000


@cache
def sentences() -> dict[str, dict[str, str]]:
    """Sentence of each id, by the name of its enum and its own key."""
    text = files("wood_xl.schema").joinpath("words.json").read_text(encoding="utf-8")
    texts: dict[str, dict[str, str]] = json.loads(text)
    return texts


def texts(name: str, module: str) -> Any:
    """The ids of texts that only pages have, as an enum: all that ``words.json`` has under its name, in that order.

    module: where the enum stands, by which other processes find it.
    """
    enum: Callable[..., Any] = Word
    return enum(name, [key.upper() for key in sentences()[name]], module=module)


def words(what: Said | Word | str | None) -> str:
    """What is said, in words: nothing for None, and a text as it was typed.

    >>> from wood_xl.reasons import Reason, said
    >>> words(said(Reason.NEEDS, cell="Tools!B5")), words(None), words("as typed")
    ('needs Tools!B5', '', 'as typed')
    """
    if what is None or isinstance(what, str):
        return what or ""
    word, facts = (what.id, dict(what.facts)) if isinstance(what, Said) else (what, {})
    return _FILLED.vformat(sentences()[type(word).__name__][word.key], (), facts)


def phrase(word: Word, **facts: Any) -> str:
    """The words of an id with its facts, where they are written at once.

    >>> from wood_xl.reasons import Reason
    >>> phrase(Reason.NO_PRICE_OF, what=("gasoline", "bar oil"))
    'no price of gasoline and bar oil'
    """
    return words(said(word, **facts))


def key_words(ids: str, key: str) -> str:
    """The words of an id that a document holds by its key; a key that is none stays as it is.

    >>> key_words("Surety", "likely")
    'likely, not settled'
    """
    return sentences()[ids].get(key, key)


def joined(parts: Sequence[str], last: str = AND) -> str:
    """Parts of a list in a sentence.

    >>> joined(["time 5", "money 5", "effort 3"])
    'time 5, money 5 and effort 3'
    """
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} {last} {parts[-1]}"


def capital(text: str) -> str:
    """The text as a sentence begins."""
    return text[:1].upper() + text[1:]


class _Filled(Formatter):
    """Fills slots: a list is joined by what the slot names as its format, a number shown by it."""

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
    """The range in brackets behind a number, which no line breaks; nothing where there is none."""
    text = money_text if format_spec == ENDS_OF_MONEY else number_text
    digits = digits_of(number)
    low, high = (None if end is None else text(end, digits) for end in (number.low, number.high))
    if low is None and high is None:
        return ""
    told = Ends.OR_LESS if low is None else Ends.OR_MORE if high is None else Ends.BOTH
    found = phrase(told, low=low, high=high)
    return found[:1] + found[1:].replace(" ", NO_BREAK)


_FILLED = _Filled()
