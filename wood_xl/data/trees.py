"""Trees by the names that people write."""

from __future__ import annotations

import difflib
import re
import unicodedata
from functools import cache

from wood_xl.data.load import Species, species

NEAR = 0.6  # likeness from which another name is offered
NEAR_WORD = 0.75  # the same for a single word of a name
MOST_OFFERED = 3


def species_named(name: str) -> Species | None:
    """The tree of a trade or botanical name, its words in any order; None if there is none.

    >>> species_named("Sugar maple").name
    'maple, sugar'
    """
    return _by_words().get(_words(name))


def near_species(name: str) -> list[str]:
    """Names that a person may have meant: those that share its words first, then those spelled alike.

    >>> near_species("red oak")
    ['oak, northern red', 'oak, southern red']
    """
    name_words = set(_words(name))
    sharing = [tree.name for tree in species() if name_words and name_words <= set(_words(tree.name))]
    if sharing:
        return sharing[:MOST_OFFERED]
    by_text = {" ".join(_words(tree.name)): tree.name for tree in species()}
    close = difflib.get_close_matches(" ".join(_words(name)), by_text, n=MOST_OFFERED, cutoff=NEAR)
    if close:
        return [by_text[text] for text in close]
    typed = name.casefold()
    like = [tree.name for tree in species() if difflib.get_close_matches(typed, _words(tree.name), cutoff=NEAR_WORD)]
    return like[:MOST_OFFERED]


def _words(name: str) -> tuple[str, ...]:
    return tuple(sorted(re.findall(r"\w+", unicodedata.normalize("NFKC", name).casefold())))


@cache
def _by_words() -> dict[tuple[str, ...], Species]:
    by_botanical = {_words(tree.botanical): tree for tree in reversed(species())}  # the first of those that share one
    return by_botanical | {_words(tree.name): tree for tree in species()}
