"""Read-only access to the published figures, and to trees by the names that people write.

Constants, in a file for each topic, and tables name their sources by id; ``sources.json`` lists every publication
once. Each file is read at first use and kept. ``tests/unit/test_data.py`` holds that none contradicts itself.
"""

from __future__ import annotations

import csv
import difflib
import json
import re
import unicodedata
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any, Literal, NamedTuple

from wood_xl.errors import DefinitionFault

Known = Literal["verified", "verified (secondary)", "memory", "common practice, no source", "assumption", "exact"]
SourceKind = Literal["standard", "official text", "publication", "open data", "page", "this project"]
Group = Literal["hardwood", "softwood"]
Drying = Literal["fast", "usual", "slow"]


@dataclass(frozen=True, slots=True)
class Source:
    """One publication. ``year`` is None where the copy shows none; ``address`` is where a copy was read.

    Exercises, lectures, trade pages and the like are of kind ``page``: their figures are never ``verified``.
    """

    id: str
    kind: SourceKind
    authors: str
    title: str
    year: int | None
    edition: str
    address: str

    @property
    def text(self) -> str:
        """The publication in one line."""
        return f"{self.authors}: {self.title}" + (f" ({self.year})" if self.year else "")


class Constant(NamedTuple):
    """One published figure, in the unit of its publication."""

    id: str
    title: str
    value: float
    unit: str
    # low, high: range to try; None where no range is known
    low: float | None
    high: float | None
    # source, where: source id, and the page, table or section
    source: str
    where: str
    # ``verified`` (read in the publication or an official copy), ``verified (secondary)`` (read in a text that quotes
    # it, or on a page), ``memory``, ``common practice, no source``, ``assumption`` (chosen by this project) or
    # ``exact`` (a definition)
    known: Known
    note: str
    # id of the constant for how far one of its kind may be off; None where none is counted
    doubt: str | None = None


ENDS = ("lowest", "highest")  # of a pair of limits

GREEN = "green_moisture_dry_pct"


class Species(NamedTuple):
    """One tree species; None where the source gives no value."""

    name: str
    botanical: str
    basic_specific_gravity: float  # oven-dry mass over green volume, relative to water
    green_moisture_dry_pct: float | None  # moisture of green wood, % of oven-dry mass
    bark_pct: float | None  # bark volume, % of wood volume
    bark_specific_gravity: float | None
    group: Group
    drying: Drying  # how long it takes to season when split: ``fast``, ``usual`` or ``slow``
    source: str
    known: Known

    def figure_id(self, column: str) -> str:
        """Id of one of its figures."""
        return f"species.{'_'.join(re.findall('[a-z]+', self.name.casefold()))}.{column}"

    def as_read(self, *columns: str) -> Species:
        """The same tree; notes that some of its figures were read."""
        for column in columns:
            was_read(self.figure_id(column))
        return self


class Activity(NamedTuple):
    """Energy of one activity as a multiple of rest (MET), gross."""

    code: str
    label: str
    met_2011: float
    met_2024: float | None
    known_2011: Known
    known_2024: Known | None
    note: str = ""  # why it stands in for a task without a code of its own; else empty

    @property
    def met(self) -> float:
        """The 2024 value, or the 2011 value where the 2024 edition was not seen."""
        return self.met_2011 if self.met_2024 is None else self.met_2024

    @property
    def source(self) -> str:
        """Source id of ``met``."""
        return "compendium_2011" if self.met_2024 is None else "compendium_2024"

    @property
    def known(self) -> Known:
        """How ``met`` is known."""
        return self.known_2011 if self.known_2024 is None else self.known_2024


@cache
def sources() -> Mapping[str, Source]:
    """Every publication by id."""
    return MappingProxyType({key: Source(id=key, **entry) for key, entry in json_entries("sources.json").items()})


@cache
def constants() -> Mapping[str, Constant]:
    """Every constant by id."""
    entries = (pair for name in constant_files() for pair in json_entries(name).items())
    return MappingProxyType({one.id: one for key, entry in entries for one in _constants_of(key, entry)})


def constant_files() -> list[str]:
    """Names of the files of constants, in alphabetical order."""
    names = (entry.name for entry in files("wood_xl.data").iterdir())
    return sorted(name for name in names if name.startswith("constants_") and name.endswith(".json"))


def published_files() -> list[str]:
    """Names of all files with published figures, and of those that name their sources."""
    return ["sources.json", "tables.json", *json_entries("tables.json"), *constant_files()]


_readers: list[set[str]] = []


def constant(constant_id: str) -> Constant:
    """The constant of that id."""
    entry = constants().get(constant_id)
    if entry is None:
        raise DefinitionFault(f"no constant is called {constant_id!r}")
    for found in _readers:  # not by ``was_read``: a season asks more than twenty thousand times
        found.add(constant_id)
    return entry


@contextmanager
def reading() -> Iterator[set[str]]:
    """Ids of the published figures that are read meanwhile. What is cached across seasons must read none."""
    found: set[str] = set()
    _readers.append(found)
    try:
        yield found
    finally:
        _readers.pop()  # the innermost; one that has read the same is equal to it


def was_read(figure_id: str) -> None:
    """Note that a published figure was read."""
    for found in _readers:
        found.add(figure_id)


def value(constant_id: str) -> float:
    """Value of a constant, in the unit of its publication."""
    return constant(constant_id).value


def limits_of(limits_id: str) -> tuple[float, float]:
    """Lowest and highest of a pair of limits."""
    lowest, highest = (value(f"{limits_id}_{end}") for end in ENDS)
    return lowest, highest


def is_outside(number: float, limits_id: str) -> bool:
    """Whether a number lies beyond a pair of limits."""
    lowest, highest = limits_of(limits_id)
    return not lowest <= number <= highest


@cache
def species() -> tuple[Species, ...]:
    """Every species, in alphabetical order of the trade names."""
    return tuple(_species(row) for row in table_rows("species.csv"))


def species_names() -> list[str]:
    """Trade names, in alphabetical order."""
    return [row.name for row in species()]


@cache
def activities() -> Mapping[str, Activity]:
    """Every activity by code. Codes are text: ``08020`` keeps its zero."""
    return MappingProxyType({row["code"]: _activity(row) for row in table_rows("activities.csv")})


def as_read(activity: Activity) -> Activity:
    """The same activity; notes that it was read."""
    was_read(f"activity.{activity.code}")
    return activity


def json_entries(name: str) -> dict[str, dict[str, Any]]:
    """Entries of a data file by id."""
    document: dict[str, dict[str, Any]] = json.loads(_text(name))
    return document


def table_rows(name: str) -> list[dict[str, str]]:
    """Rows of a table; ``tables.json`` describes its columns."""
    return list(csv.DictReader(_text(name).splitlines()))


def _text(name: str) -> str:
    return files("wood_xl.data").joinpath(name).read_text(encoding="utf-8")


def _constants_of(key: str, entry: dict[str, Any]) -> list[Constant]:
    """The constant of an entry; of a pair of limits one for each end, which has no range of its own."""
    if not entry.keys() >= {*ENDS}:
        return [_constant(key, entry)]
    shared = {name: part for name, part in entry.items() if name not in ENDS} | {"low": None, "high": None}
    return [
        _constant(f"{key}_{end}", {**shared, "title": f"{entry['title']}, {end}", "value": entry[end]})
        for end in ENDS
    ]


def _constant(key: str, entry: dict[str, Any]) -> Constant:
    return Constant(id=key, **{**entry, "value": float(entry["value"])})


def _species(row: dict[str, str]) -> Species:
    measured = ("green_moisture_dry_pct", "bark_pct", "bark_specific_gravity")
    numbers = {column: _number_or_none(row[column]) for column in ("basic_specific_gravity", *measured)}
    return Species(**row | numbers)  # type: ignore[arg-type]


def _activity(row: dict[str, str]) -> Activity:
    mets: dict[str, Any] = {"met_2011": float(row["met_2011"]), "met_2024": _number_or_none(row["met_2024"])}
    return Activity(**{**row, "known_2024": row["known_2024"] or None, **mets})


def _number_or_none(text: str) -> float | None:
    return float(text) if text else None


NEAR = 0.6  # likeness from which another name is offered
NEAR_WORD = 0.75  # the same for a single word of a name
MOST_OFFERED = 3


def species_named(name: str) -> Species | None:
    """The tree of a trade or botanical name, its words in any order; None if there is none.

    >>> species_named("Sugar maple").name
    'maple, sugar'
    """
    return _by_words().get(_words(name))


def spoken_tree(name: str) -> str:
    """The name of a tree as people say it; any other text unchanged.

    >>> spoken_tree("maple, sugar"), spoken_tree("birch, sweet (black)"), spoken_tree("apple, pear")
    ('sugar maple', 'sweet birch (black)', 'apple, pear')
    """
    return re.sub(r"^([^,]+), ([^(,]+?)( \(.*\))?$", r"\2 \1\3", name) if species_named(name) else name


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


ENDING = "_per_hp_h"
PER_HP_H = ("fuel_lb_per_hp_h", "thc_g_per_hp_h", "co_g_per_hp_h", "nox_g_per_hp_h", "pm_g_per_hp_h")


@dataclass(frozen=True, slots=True)
class SmallEngine:
    """Fuel and pollutants of one kind of engine per horsepower-hour, new."""

    code: str
    engine: str
    made: str
    power_from_hp: float
    power_to_hp: float
    used: str  # ``by power``, ``default`` where no power is written, or ``no``: kept for comparison
    fuel_lb_per_hp_h: float
    thc_g_per_hp_h: float
    co_g_per_hp_h: float
    nox_g_per_hp_h: float
    pm_g_per_hp_h: float
    known: Known

    def figure_id(self, column: str) -> str:
        """Id of one of its figures."""
        return f"small_engine.{self.code.lower()}.{column.removesuffix(ENDING)}"

    @property
    def title(self) -> str:
        """Kind, age and power in words."""
        return f"{self.engine}, {self.made}, {self.power_from_hp:g} to {self.power_to_hp:g} hp"


@cache
def small_engines() -> Mapping[str, SmallEngine]:
    """Every engine by its code."""
    return MappingProxyType({row["code"]: _engine(row) for row in table_rows("small_engines.csv")})


def engine_for(engine: str | None, power_hp: float | None) -> SmallEngine | None:
    """The row that stands for an engine; None if the source has none."""
    rows = sorted((row for row in small_engines_of(engine) if row.used != "no"), key=lambda row: row.power_to_hp)
    if power_hp is None:
        found = next((row for row in rows if row.used == "default"), None)
    else:
        found = next((row for row in rows if power_hp <= row.power_to_hp), rows[-1] if rows else None)
    if found is not None:
        for column in PER_HP_H:
            was_read(found.figure_id(column))
    return found


def small_engines_of(engine: str | None) -> list[SmallEngine]:
    """Every row of an engine, old ones too; none for an engine that the source does not have, such as diesel."""
    return [row for row in small_engines().values() if row.engine == engine]


def _engine(row: dict[str, str]) -> SmallEngine:
    numbers = {key: float(text) for key, text in row.items() if key.endswith(("_hp", "_hp_h"))}
    return SmallEngine(**{**row, **numbers})  # type: ignore[arg-type]
