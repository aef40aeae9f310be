"""Gear and the usual cautions of this work, by kind of tool and task."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import cache
from types import MappingProxyType
from typing import Any, NamedTuple

from wood_xl.data.load import Known, json_entries, known_status, require_source
from wood_xl.data.trade import BY_HAND, tasks, tool_kinds
from wood_xl.errors import DefinitionFault
from wood_xl.page_texts import OfCautions
from wood_xl.schema.words import phrase

NO_SOURCE: Known = "common practice, no source"
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
    entries = tuple(_caution(key, entry) for key, entry in json_entries("cautions.json").items())
    for kind in tool_kinds():
        for task in tasks():
            rows = [caution for caution in entries if caution.is_for((kind,), task)]
            if not any(caution.wear for caution in rows) or not any(caution.gravity for caution in rows):
                raise DefinitionFault(f"cautions.json has no gear or no caution for {kind!r} at {task!r}")
    return entries


def cautions_for(kinds: Iterable[str | None], task: str) -> tuple[Caution, ...]:
    """Cautions for a task done with tools of these kinds, in the order of the table."""
    named = tuple(kinds)
    strangers = [kind for kind in named if kind is not None and kind not in tool_kinds()]
    if strangers or task not in tasks():
        raise DefinitionFault(f"no cautions for {strangers or task!r}")
    if not named:
        named = (None,) if tasks()[task].needs_tool else (BY_HAND,)
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


def _caution(key: str, entry: dict[str, Any]) -> Caution:
    powered = [kind.id for kind in tool_kinds().values() if kind.is_powered]
    engines = [kind.id for kind in tool_kinds().values() if kind.burns]
    parts = {
        "wear": MappingProxyType(entry["wear"]),
        "said": entry["text"],
        "kinds": _of_groups(key, entry["kinds"], tool_kinds(), {"powered": powered, "engine": engines}),
        "tasks": _of_groups(key, entry["tasks"], tasks(), {}),
        "known": known_status(f"caution {key}", entry["known"]),
    }
    caution = Caution(id=key, **{**{name: value for name, value in entry.items() if name != "text"}, **parts})
    if [part for part in PARTS if part in caution.wear] != list(caution.wear):
        raise DefinitionFault(f"caution {key}: gear is not from head to feet: {list(caution.wear)}")
    if (caution.gravity is None) != (caution.short == ""):
        raise DefinitionFault(f"caution {key}: with a place on the first page it has a short form, else none")
    if (caution.known == NO_SOURCE) != (caution.source == ""):
        raise DefinitionFault(f"caution {key}: a source and {NO_SOURCE!r} exclude each other")
    if caution.source:
        require_source(f"caution {key}", caution.source)
    return caution


def _of_groups(
    key: str, named: Sequence[str], every: Iterable[str], groups: Mapping[str, Sequence[str]]
) -> tuple[str, ...]:
    """Ids of kinds or tasks that are named one by one, as a group, or as all of them."""
    known = {ANY: tuple(every), **groups, **{item: (item,) for item in every}}
    for group in named:
        if group not in known:
            raise DefinitionFault(f"caution {key}: {group!r} is no kind of tool or task")
    return tuple(item for group in named for item in known[group])
