"""Words that people write instead of those of a drop-down list.

``choice_words.json`` and the tables of the trade have for a choice the words that mean it and nothing else in the
list, and those that perhaps mean it. The first are read, with a note; the others are offered.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import cache
from importlib.resources import files

from wood_xl.data.trade import factor_sets, tasks, tool_kinds
from wood_xl.notes.names import nearest, plain

Words = dict[str, dict[str, list[str]]]


@cache
def choice_words() -> Words:
    """For each choice the words that mean it (``means``) and those that may (``perhaps``)."""
    text = files("wood_xl.notes").joinpath("choice_words.json").read_text(encoding="utf-8")
    words: Words = json.loads(text)
    for table in (tool_kinds(), tasks(), factor_sets()):
        words |= {row.id: {"means": list(row.means), "perhaps": list(row.perhaps)} for row in table.values()}
    return words


def loose(text: str) -> str:
    """Text as words of a list are compared: like names, and a hyphen is a space.

    >>> loose("Gasoline  Two-Stroke.")
    'gasoline two stroke'
    """
    return " ".join(plain(text).rstrip(".").replace("-", " ").split())


def meant_choice(text: str, choices: Sequence[str]) -> str | None:
    """The choice that a text is, or that it means and no other of the list; None if there is none.

    >>> tasks = ("buck", "split", "stack")
    >>> meant_choice("SPLIT", tasks), meant_choice("bucking", tasks), meant_choice("cutting", tasks)
    ('split', 'buck', None)
    """
    typed = loose(text)
    by_words = {loose(choice): choice for choice in choices}
    return by_words.get(typed) or next((choice for choice in choices if typed in _words(choice, "means")), None)


def offered_choices(text: str, choices: Sequence[str]) -> list[str]:
    """Choices that a text may mean, by its words or by its spelling.

    >>> offered_choices("gas", ("hand", "gasoline two-stroke", "gasoline four-stroke", "battery"))
    ['gasoline two-stroke', 'gasoline four-stroke']
    """
    typed = loose(text)
    offered = [
        word for choice in choices for word in (loose(choice), *_words(choice, "means"), *_words(choice, "perhaps"))
    ]
    near = typed if typed in offered else nearest(typed, offered)
    if near is None:
        return []
    meant = meant_choice(near, choices)
    return [meant] if meant else [choice for choice in choices if near in _words(choice, "perhaps")]


def _words(choice: str, kind: str) -> list[str]:
    return choice_words().get(choice, {}).get(kind, [])
