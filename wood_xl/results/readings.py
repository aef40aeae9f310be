"""Reads one workbook, filled or scored, for a study, or notes that a study repeats.

A results workbook serves as well as a filled one, since it holds the notes; without body data it gives no effort.
"""

from __future__ import annotations

import statistics
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wood_xl.error_handling import guarded
from wood_xl.errors import UnreadableWorkbook
from wood_xl.io.guard import open_package, shown_name
from wood_xl.io.reader import book_of
from wood_xl.notes.convert import season_records
from wood_xl.notes.echo import results_items, waiting_rows
from wood_xl.notes.problem import Level, Problem, in_report_order, problem
from wood_xl.notes.season import CheckedSeason, check_season, is_results, not_filled_in
from wood_xl.page_texts import InResults, Pooled
from wood_xl.pipeline import computed_tables
from wood_xl.results.of_bodies import is_shared
from wood_xl.results.parts import NotGiven, Part, parts_of_season
from wood_xl.results.same_season import Candidate, Session
from wood_xl.results.share import notes_to_share, shared_sha256
from wood_xl.results.verify import naming_file, verified
from wood_xl.results.without_names import shared_names
from wood_xl.schema.model import System
from wood_xl.schema.words import phrase, words
from wood_xl.shed.years import HouseholdYear, household_year

if TYPE_CHECKING:
    from wood_xl.season import SeasonTables

UNKNOWN_DAY = "1980-01-01"  # in every workbook that this program writes
Row = dict[str, Any]


@dataclass(frozen=True)
class Reading:
    """What a study takes from one workbook."""

    row: Row  # its row of the table of households, with the hash of its notes; its number once it is in the study
    parts: tuple[Part, ...]
    not_given: tuple[NotGiven, ...]
    methods: tuple[Row, ...]  # for each kind of tools the household's names of its methods, without people's names
    # notes that can be shared, with problems and cells that wait; without inputs where workbooks are too many
    notes: Row
    system: System = "us"
    candidate: Candidate = field(default_factory=Candidate)
    doubt: Problem | None = None  # why results do not verify, where they are taken all the same
    # wood made, burned and standing, and hours of tools; None without notes
    household_year: HouseholdYear | None = None
    tools: Mapping[str, str] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """Its name in the study."""
        return str(self.row["household"])

    @property
    def is_repeated(self) -> bool:
        """Whether its notes stand in the study."""
        return "inputs" in self.notes


def guarded_reading(with_unverified: bool, with_notes: bool, path: Path) -> tuple[Reading | None, Problem | None]:
    """One workbook, or the problem with it; made to run in another process or on another machine."""
    work = partial(_read, path, with_unverified=with_unverified, with_notes=with_notes)
    return guarded(path, work, is_limited=True)


def _read(path: Path, *, with_unverified: bool, with_notes: bool) -> Reading:
    file, (checked, tables, doubt, about) = shown_name(path), _season(path)
    if doubt is not None and not with_unverified:
        raise UnreadableWorkbook("pool-not-verified", file=file, found=doubt)
    problems = checked.problems
    if tables is None:
        tables, further = computed_tables(checked)
        places = checked.document.places.values()
        titles = list(dict.fromkeys(title for place in places for title in place.titles))
        problems = in_report_order([*problems, *further], titles)
    if tables is None:
        raise UnreadableWorkbook("pool-cannot-be-computed", file=file)
    return reading_of(
        checked,
        tables,
        notes_to_share(checked.document, [found.as_json() for found in problems], waiting_rows(checked)),
        **about,
        doubt=None if doubt is None else problem("pool-unverified", file=file, found=doubt),
        with_notes=with_notes,
    )


def _season(path: Path) -> tuple[CheckedSeason, SeasonTables | None, str | None, Row]:
    """Notes of a workbook, without its cells; of results also their tables, a first difference, and what they are."""
    package = open_package(path)
    book = book_of(package, {})
    saved = book.saved or "" if (book.saved_day or "") > UNKNOWN_DAY else ""
    if is_results(book):
        with naming_file(package.file):
            verification, checked, tables = verified(package, book)
            provenance = results_items(book, "provenance")
        doubt = next((found.text for found in verification.problems() if found.level is Level.FIX), None)
        about = {"has_bodies": not is_shared(provenance), "version": str(provenance["template_version"])}
        return checked, tables, doubt, {**about, "saved": saved}
    fault = not_filled_in(book)
    if fault is not None:
        raise fault
    checked = check_season(book)
    version = book.template_version or phrase(InResults.NO_VERSION, version=checked.document.data["version"])
    return checked, None, None, {"has_bodies": True, "version": version, "saved": saved}


def reading_of(
    checked: CheckedSeason,
    tables: SeasonTables,
    notes: Row,
    *,
    has_bodies: bool,
    version: str,
    saved: str = "",
    doubt: Problem | None = None,
    with_notes: bool = True,
) -> Reading:
    """What a study takes from a checked season."""
    season, _ = season_records(checked)
    given = parts_of_season(tables.rates, has_bodies=has_bodies)
    years = sorted(int(session.date[:4]) for session in season.sessions if session.date)
    year = statistics.mode(years) if years else season.price_year
    price_year = season.price_year or year
    state = Pooled.YES if has_bodies else Pooled.WITHOUT_EFFORT
    state = Pooled.UNVERIFIED if doubt is not None else state if given.parts else Pooled.NOTHING
    # Without notes for the record: a thousand workbooks would have ten thousand lines of them.
    grave = [row for row in notes["problems"] if row["level"] != Level.NOTE.name]
    methods = shared_names(checked.document.data, "methods.method")
    tools = shared_names(checked.document.data, "tools.tool")
    return Reading(
        row={
            "year": str(year or ""),
            "currency": season.currency,
            "price_year": str(price_year or ""),
            "sessions_n": tables.items["sessions_counted"],
            "not_counted_n": tables.items["sessions_not_counted"],
            "fix_n": _count(notes["problems"], Level.FIX),
            "look_n": _count(notes["problems"], Level.LOOK),
            "invented": words(tables.items["invented"]),
            "state": state.key,
            "template_version": version,
            "season_sha256": checked.document.sha256(),
        },
        parts=given.parts,
        not_given=given.not_given,
        methods=tuple(
            {**way._asdict(), "methods": ", ".join(methods.get(name, name) for name in way.methods)}
            for way in given.matched
        ),
        notes=notes if with_notes else {"problems": grave, "waiting": notes["waiting"]},
        system=checked.document.system,
        candidate=Candidate(shared_sha256(checked.document.data), _sessions(tables), saved, has_bodies),
        household_year=household_year(season, tables.rates.study.totals, tables.tables, tables.stock)
        if with_notes
        else None,
        tools=tools,
        doubt=doubt,
    )


def _sessions(tables: SeasonTables) -> tuple[Session, ...]:
    return tuple(
        (s.session.date, s.session.elapsed_min, s.quantity.stacked_m3)
        for t in tables.rates.study.totals
        for s in t.every
        if s.session.date and s.session.elapsed_min is not None and s.quantity is not None
    )


def _count(problems: Sequence[Mapping[str, Any]], level: Level) -> int:
    return sum(int(row["count"]) for row in problems if row["level"] == level.name)
