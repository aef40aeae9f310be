"""Gear and the usual cautions of this work, by kind of tool and task."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from functools import cache
from types import MappingProxyType
from typing import NamedTuple

from wood_xl.data.load import Known, json_entries
from wood_xl.data.trade import BY_HAND, tasks, tool_kinds
from wood_xl.page_texts import OfCautions
from wood_xl.schema.words import phrase

PARTS = ("head", "eyes", "ears", "hands", "legs", "feet")
ANY = "any"


class Caution(NamedTuple):
    """One row of the table."""

    id: str
    title: str
    wear: Mapping[str, str]  # gear by part of the body, one of ``PARTS``
    said: str  # the caution without the gear
    # kinds, tasks: kinds of tools and tasks that it is for; no task where it is about stove or wood
    kinds: tuple[str, ...]
    tasks: tuple[str, ...]
    gravity: int | None  # rank on the first page of results, 1 is the gravest; None if it is not on that page
    on_start: bool  # whether it is on the template's first sheet, which has room for the gravest
    # source, where: source id, and the place in it; empty if it has no source
    source: str
    where: str
    known: Known
    # short form for a message that comes with the whole; empty if the caution is not on the first page
    short: str = ""

    @property
    def text(self) -> str:
        """The caution, gear first."""
        if not self.wear:
            return self.said
        *first, last = self.wear.values()
        return phrase(OfCautions.WEAR, first=tuple(first), last=last, caution=self.said)

    @property
    def is_for_all(self) -> bool:
        """Whether it holds whatever the tool and the task."""
        return self.kinds == tuple(tool_kinds()) and self.tasks == tuple(tasks())

    @property
    def is_first(self) -> bool:
        """Whether it comes first where its work is proposed; cautions for all work come below."""
        return self.gravity is not None and not self.is_for_all

    def is_for(self, kinds: Iterable[str], task: str) -> bool:
        """Whether it holds for a task done with tools of these kinds."""
        return task in self.tasks and any(kind in self.kinds for kind in kinds)


class Gear(NamedTuple):
    """What to wear on one part of the body, and the caution that asks for it."""

    part: str
    text: str
    caution: Caution


@cache
def cautions() -> tuple[Caution, ...]:
    """Every caution, in the order in which they are printed."""
    powered = tuple(kind.id for kind in tool_kinds().values() if kind.is_powered)
    engines = tuple(kind.id for kind in tool_kinds().values() if kind.burns)
    groups = {"powered": powered, "engine": engines}
    entries = []
    for key, entry in json_entries("cautions.json").items():
        entry |= {
            "id": key,
            "said": entry.pop("text"),
            "wear": MappingProxyType(entry["wear"]),
            "kinds": _of_groups(entry["kinds"], {ANY: tuple(tool_kinds()), **groups}),
            "tasks": _of_groups(entry["tasks"], {ANY: tuple(tasks())}),
        }
        entries.append(Caution(**entry))
    return tuple(entries)


def cautions_for(kinds: Iterable[str | None], task: str) -> tuple[Caution, ...]:
    """Cautions for a task done with tools of these kinds, in the order of the table."""
    named = tuple(kinds) or ((None,) if tasks()[task].needs_tool else (BY_HAND,))
    kind_ids = [kind for kind in named if kind is not None]
    meant = kind_ids if len(kind_ids) == len(named) else list(tool_kinds())
    return tuple(caution for caution in cautions() if caution.is_for(meant, task))


def without_gear(done: Collection[str]) -> list[Caution]:
    """Cautions for some tasks that come first and have no gear, so that a list of gear leaves them out."""
    return [c for c in cautions() if c.is_first and not c.wear and not set(done).isdisjoint(c.tasks)]


def gear_for(kinds: Iterable[str | None], task: str) -> tuple[Gear, ...]:
    """Gear for a task done with tools of these kinds, from head to feet; of two rows the first counts.

    >>> [gear.text for gear in gear_for(["hand"], "buck")]
    ['eye protection', 'gloves', 'long sturdy pants', 'sturdy boots']
    """
    rows = cautions_for(kinds, task)
    worn = ((part, next((row for row in rows if part in row.wear), None)) for part in PARTS)
    return tuple(Gear(part, row.wear[part], row) for part, row in worn if row is not None)


def _of_groups(named: Iterable[str], groups: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    """Ids of kinds or tasks that are named one by one, as a group, or as all of them."""
    return tuple(item for name in named for item in groups.get(name, (name,)))
