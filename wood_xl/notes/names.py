"""How names typed by hand are compared with known ones."""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Container, Iterable
from functools import lru_cache

NEAR = 0.75  # similarity from which another spelling is offered
NEAR_WORD = 0.5  # of each word of a name
LONGEST_NAME = 200
LONG_NAME, SHORT_NAME = 16, 2  # letters: longer names may be cut; so short a word is no name
_JOINED = re.compile(r"[;,+&/\n]|\band\b", re.IGNORECASE)
NONE = {"?", "??", "-", "--", "\u2013", "\u2014", "n/a", "na", "none", "nil", "unknown", "."}  # none, or not known
DITTO = {"ditto", "do.", "same", "idem"}  # the name above
DITTO_MARKS = {'"', "'", "\u201c", "\u201d", "\u201e", "\u2032", ",", "\u3003"}
MOST_COMPARED = 200_000  # pairs of known and unknown names; with more, somebody wrote another list


@lru_cache(maxsize=4096)  # a heart trace repeats two names hundreds of thousands of times
def plain(text: str) -> str:
    """Text for comparison: compatibility forms of letters, one case, single spaces, none at the ends."""
    return " ".join(unicodedata.normalize("NFKC", text).replace("\u200b", "").casefold().split())


def nearest(text: str, known: Iterable[str]) -> str | None:
    """The known name that a text most likely stands for; None if none is near, or if a whole word differs.

    >>> nearest("Sesions", ["Seasons", "Sessions", "Stacks"])
    'Sessions'
    >>> nearest("bow saw bucking", ["petrol saw bucking"]) is None
    True
    """
    if len(text) > LONGEST_NAME:
        return None
    by_plain = {plain(name): name for name in known}
    near = difflib.get_close_matches(plain(text), list(by_plain), cutoff=NEAR)
    return next((by_plain[name] for name in near if _is_word_by_word(plain(text), name)), None)


def _is_word_by_word(text: str, name: str) -> bool:
    """Whether each word is like that of the name, where both have as many words."""
    pairs = list(zip(text.split(), name.split(), strict=False))
    is_as_long = len(text.split()) == len(name.split())
    return not is_as_long or all(difflib.SequenceMatcher(None, *pair).ratio() >= NEAR_WORD for pair in pairs)


def is_ditto(text: str) -> bool:
    """Whether a text begins with a mark or word for the name above it.

    >>> is_ditto('-"-'), is_ditto("same as above"), is_ditto('12" oak')
    (True, True, False)
    """
    first = text.partition(" ")[0]
    return first in DITTO or (bool(first.strip("-")) and DITTO_MARKS.issuperset(first.strip("-")))


def called(name: str, everybody: Iterable[str]) -> str:
    """A name for narrow columns: of a long one the first words, unless somebody else's name begins with them.

    >>> called("Maximiliana Featherstone", ["Maximiliana Featherstone", "Max Featherstone"])
    'Maximiliana'
    """
    parts = name.split()
    for n in range(1, len(parts) if len(name) > LONG_NAME else 0):
        first = " ".join(parts[:n])
        last = parts[n - 1]  # which may belong to a title, or, like "van", to the next word
        is_part = len(last) <= SHORT_NAME or last.endswith(".") or (last.islower() and not name.islower())
        if not is_part and not any(one != name and one.startswith(first) for one in everybody):
            return first
    return name


class Nearest:
    """Finds the known name that each of many texts most likely stands for, until that takes too long."""

    def __init__(self, known: Iterable[str]) -> None:
        self._known = list(known)
        self._found: dict[str, str | None] = {}

    def __call__(self, text: str) -> str | None:
        """As ``nearest``; None after too many comparisons."""
        if text not in self._found and len(self._found) * len(self._known) < MOST_COMPARED:
            self._found[text] = nearest(text, self._known)
        return self._found.get(text)


def names_in(text: str, known: Container[str]) -> list[str]:
    """Names joined by semicolons, or in another way if each part is a known name.

    known: names as ``plain`` makes them.

    >>> names_in("chain saw; axe and wedge;", {"chain saw", "axe and wedge"})
    ['chain saw', 'axe and wedge']
    >>> names_in("chain saw, maul and bow saw", {"chain saw", "maul", "bow saw"})
    ['chain saw', 'maul', 'bow saw']
    """
    found: list[str] = []
    for name in filter(None, map(str.strip, text.split(";"))):
        parts = parts_of(name)
        is_split = plain(name) not in known and all(plain(part) in known for part in parts)
        found += parts if is_split else [name]
    return found


def parts_of(text: str) -> list[str]:
    """Parts of a text between the signs and words by which people join names.

    >>> parts_of("Ada & Ben, and Cy")
    ['Ada', 'Ben', 'Cy']
    """
    return [*filter(None, map(str.strip, _JOINED.split(text)))]
