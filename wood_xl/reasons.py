"""What can be said beside a figure, or in place of one, as ids and facts: the words for them are put in when writing.

An id is a member of one of the enums below; ``schema/words.json`` has its sentence. Nothing here is ever shown as it
stands, and no text is searched to find out what something is. A remark is what is said of a cell of the notes.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum, EnumMeta
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

_Id = TypeVar("_Id")


@cache
def sentences() -> dict[str, dict[str, str]]:
    """Sentence of each id, by the name of its enum and its own key."""
    text = (Path(__file__).parent / "schema" / "words.json").read_text(encoding="utf-8")
    texts: dict[str, dict[str, str]] = json.loads(text)
    return texts


class _Members(EnumMeta):
    """Gives an enum of ids its members: all that ``words.json`` has under its name, in that order."""

    @classmethod
    def __prepare__(metacls, cls: str, bases: tuple[type, ...], **kwds: Any) -> Any:  # type: ignore[override]  # noqa: N804
        namespace = super().__prepare__(cls, bases, **kwds)
        for number, key in enumerate(sentences().get(cls, ()), 1):
            namespace[key.upper()] = number
        return namespace

    if TYPE_CHECKING:  # which ids there are is held by tests/unit/test_words.py

        def __getattr__(cls: type[_Id], name: str) -> _Id: ...


class Word(Enum, metaclass=_Members):
    """An id with a sentence of its own; ``key`` is what it goes by in files.

    An enum of ids is a class with nothing but its name where types name it, else made by ``texts``.
    """

    @property
    def key(self) -> str:
        """Its name in small letters."""
        return self.name.lower()

    def __format__(self, spec: str) -> str:
        raise TypeError(f"{self!r} has no words before it is written")


def texts(name: str, module: str) -> Any:
    """An enum of ids that no type names.

    module: where the enum stands, by which other processes find it.
    """
    enum: Callable[..., Any] = Word
    return enum(name, (), module=module)


@dataclass(frozen=True, slots=True)
class Said:
    """An id with the facts that fill its sentence."""

    id: Word  # which sentence
    # each slot of the sentence with a name as it was typed, a number, another id or ``Said``, or a tuple of them
    facts: tuple[tuple[str, Any], ...] = ()
    _hash: int = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_hash", hash((self.id, self.facts)))  # once: it is the key of many look-ups

    def __hash__(self) -> int:
        return self._hash

    def __getitem__(self, slot: str) -> Any:
        return dict(self.facts)[slot]

    @property
    def key(self) -> str:
        """What it goes by: its id and the numbers of what it names, so that another name is no other key."""
        return " ".join([self.id.key, *(_place(fact) for _, fact in self.facts)])

    def __format__(self, spec: str) -> str:
        raise TypeError(f"{self!r} has no words before it is written")


@dataclass(frozen=True, slots=True)
class Ranged:
    """A number with the ends of its range, where it has them; one end alone is missing where there is no limit."""

    value: float
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Named:
    """A name as it was typed, told apart by its number, as ``tools.2``: with another name it is the same."""

    place: str
    name: str = field(compare=False)


Key = Said | str  # what draws go by: an id with numbers, or the id of a constant


class Refused(ValueError):
    """A formula that gives no number of these inputs, with the reason that stands in place of it."""

    def __init__(self, why: Said) -> None:
        super().__init__(why.id.key)
        self.why = why


def _place(fact: Any) -> str:
    return fact.place if isinstance(fact, Named) else fact.key if isinstance(fact, Word) else str(fact)


def said(word: Word, **facts: Any) -> Said:
    """A sentence with its facts.

    >>> said(Reason.NEEDS, cell="Tools!B5")["cell"]
    'Tools!B5'
    """
    return Said(word, tuple(facts.items()))


def given(figure: float | Said) -> float:
    """A number that is known to be given.

    Errors: ValueError if a reason stands in its place.
    """
    if isinstance(figure, Said):
        raise ValueError(f"not given: {figure.id.key}")
    return figure


def is_said(told: object, *words: Word) -> bool:
    """Whether one of these is what is said, whatever its facts."""
    return isinstance(told, Said) and told.id in words


def several(parts: Sequence[Said]) -> Said | None:
    """All of some sentences, each once: None if there is none, the sentence itself if there is but one."""
    distinct = tuple(dict.fromkeys(parts))
    return said(Listing.SEMICOLONS, parts=distinct) if len(distinct) > 1 else next(iter(distinct), None)


Basis = texts("Basis", __name__)  # how a figure was come by
Listing = texts("Listing", __name__)  # several things said one after the other
Ends = texts("Ends", __name__)  # how the range of a number is written behind it
OfDraws = texts("OfDraws", __name__)  # a share of the draws


class Reason(Word):
    """Why a figure, or its ends, are not given."""


@dataclass(frozen=True, slots=True)
class RowCell:
    """A cell of a table: its column as ``sheet.column``, and the name that its row goes by.

    Where several rows have that name it is the first.
    """

    column: str
    name: str


Facts = Mapping[str, str | float | Said]
Remark = tuple[str, str | RowCell, Facts]

Slip = texts("Slip", __name__)  # what fills a message of a gross error, where one thing was taken for another
Stocked = texts("Stocked", __name__)  # what is said of wood in the woodshed
Trial = texts("Trial", __name__)  # what is said of a season that is half filled in
