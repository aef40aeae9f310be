"""The one place where an id becomes English: ``words.json`` has a sentence for each, with slots for its facts."""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from string import Formatter
from typing import Any

from wood_xl.reasons import Named, Said, Word, said

AND, OR = "and", "or"  # as a slot's format: parts of a list in a sentence
SHORT = "short"  # three digits, or all before the point if there are more
THOUSAND = 1000


@cache
def sentences() -> dict[str, dict[str, str]]:
    """Sentence of each id, by the name of its enum and its own key."""
    text = files("wood_xl.schema").joinpath("words.json").read_text(encoding="utf-8")
    texts: dict[str, dict[str, str]] = json.loads(text)
    return texts


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
        if value is None or isinstance(value, Said | Word | str):
            return words(value)
        if format_spec == SHORT:
            return format(value, ",.3g" if abs(value) < THOUSAND else ",.0f")
        return format(value, format_spec)


_FILLED = _Filled()
