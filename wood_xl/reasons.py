"""Sentences as ids with facts, which stand beside a figure or in place of one until results are written.

An id is a member of an enum of ids; ``schema/words.json`` has its sentence. Ids are never shown themselves, and no
text is ever searched to find out what it means.
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
    """Sentence of each id, by the name of its enum and its key."""
    text = (Path(__file__).parent / "schema" / "words.json").read_text(encoding="utf-8")
    texts: dict[str, dict[str, str]] = json.loads(text)
    return texts


class _Members(EnumMeta):
    """Gives an enum its members: the ids under its name in ``words.json``, in that order."""

    @classmethod
    def __prepare__(metacls, cls: str, bases: tuple[type, ...], **kwds: Any) -> Any:  # type: ignore[override]  # noqa: N804
        namespace = super().__prepare__(cls, bases, **kwds)
        for number, key in enumerate(sentences().get(cls, ()), 1):
            namespace[key.upper()] = number
        return namespace

    if TYPE_CHECKING:  # tests/unit/test_words.py checks the ids

        def __getattr__(cls: type[_Id], name: str) -> _Id: ...


class Word(Enum, metaclass=_Members):
    """An id with a sentence. Its subclasses are enums of ids, made by ``texts`` unless annotations need a class."""

    @property
    def key(self) -> str:
        """Its name in lower case, as files have it."""
        return self.name.lower()

    def __format__(self, spec: str) -> str:
        raise TypeError(f"{self!r} has no words before it is written")


def texts(name: str, module: str) -> Any:
    """An enum of ids that no annotation needs.

    module: the module of the enum, for pickling.
    """
    enum: Callable[..., Any] = Word
    return enum(name, (), module=module)


@dataclass(frozen=True, slots=True)
class Said:
    """An id with the facts that fill its sentence."""

    id: Word
    # slots of the sentence with their values: a typed name, a number, another id or ``Said``, or a tuple of these
    facts: tuple[tuple[str, Any], ...] = ()
    _hash: int = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_hash", hash((self.id, self.facts)))  # cached: it is the key of many look-ups

    def __hash__(self) -> int:
        return self._hash

    def __getitem__(self, slot: str) -> Any:
        return dict(self.facts)[slot]

    @property
    def key(self) -> str:
        """Its id and the numbers of what it names, so that renaming something does not change the key."""
        return " ".join([self.id.key, *(_place(fact) for _, fact in self.facts)])

    def __format__(self, spec: str) -> str:
        raise TypeError(f"{self!r} has no words before it is written")


@dataclass(frozen=True, slots=True)
class Ranged:
    """A number with the ends of its range, if it has one; a single missing end means no limit."""

    value: float
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Named:
    """A typed name, identified by its place, such as ``tools.2``."""

    place: str
    name: str = field(compare=False)


Key = Said | str  # key of draws: an id with numbers, or the id of a constant


class Refused(ValueError):
    """A formula has no result for these inputs; carries the reason."""

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
    """A number that must be given.

    Errors: ValueError if it is a reason instead.
    """
    if isinstance(figure, Said):
        raise ValueError(f"not given: {figure.id.key}")
    return figure


def is_said(sentence: object, *ids: Word) -> bool:
    """Whether a sentence has one of these ids, whatever its facts."""
    return isinstance(sentence, Said) and sentence.id in ids


def several(parts: Sequence[Said]) -> Said | None:
    """Sentences joined, each once; a single one as it is, and None if there is none."""
    distinct = tuple(dict.fromkeys(parts))
    return said(Listing.SEMICOLONS, parts=distinct) if len(distinct) > 1 else next(iter(distinct), None)


Basis = texts("Basis", __name__)  # how a figure was obtained
Listing = texts("Listing", __name__)  # several sentences joined
Ends = texts("Ends", __name__)  # how a range is written after a number
OfDraws = texts("OfDraws", __name__)  # a share of the draws


class Reason(Word):
    """Why a figure, or its range, is not given."""


@dataclass(frozen=True, slots=True)
class RowCell:
    """A cell of a table, by column ``sheet.column`` and name of its row (the first, if several have it)."""

    column: str
    name: str


Facts = Mapping[str, str | float | Said]
# Code of a problem, its place and its facts. The place is an item ``sheet.item`` (of the sheet Season without the
# sheet), a cell of a table, or empty. A number among the facts is an amount of that item, in its unit.
Remark = tuple[str, str | RowCell, Facts]

Slip = texts("Slip", __name__)  # slips that a message of a gross error names, such as a wrong unit
Stocked = texts("Stocked", __name__)  # sentences on wood in the woodshed
Trial = texts("Trial", __name__)  # sentences on a half-filled season
