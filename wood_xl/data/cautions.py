"""The usual cautions of this work, in own words, each with its source or the remark that it has none."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from wood_xl.data.load import Known, json_entries, known_status, require_source
from wood_xl.errors import DefinitionFault

NO_SOURCE: Known = "common practice, no source"
CLOSING = (
    "General cautions, not training, law or medical advice. Follow your tool's manual, your local codes, and trained "
    "or licensed people."
)


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution.

    Attributes
    ----------
    title, text : str
        What it is about, and the caution.
    on_start : bool
        Whether it is among those on the template's first sheet, which has room for the gravest.
    source, where : str
        Source id, and what is found there; empty if it has no source.
    known : str
        As for a constant.
    """

    id: str
    title: str
    text: str
    on_start: bool
    source: str
    where: str
    known: Known


@cache
def cautions() -> tuple[Caution, ...]:
    """Every caution, in the order in which they are printed.

    Raises
    ------
    DefinitionFault
        If an entry names an unknown source or status, or has neither a source nor the remark that there is none.
    """
    found = []
    for key, entry in json_entries("cautions.json").items():
        caution = Caution(id=key, **{**entry, "known": known_status(f"caution {key}", entry["known"])})
        if (caution.known == NO_SOURCE) != (caution.source == ""):
            raise DefinitionFault(f"caution {key}: a source and {NO_SOURCE!r} exclude each other")
        if caution.source:
            require_source(f"caution {key}", caution.source)
        found.append(caution)
    return tuple(found)
