"""Verifies a study: computes it again from the notes repeated in it, and compares every cell.

Figures that rest on bodies are taken from the file, and so are all figures of a household without repeated notes. The
pooled figures are computed again from these.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from wood_xl.errors import UnreadableWorkbook
from wood_xl.io.guard import open_package
from wood_xl.io.package import Package
from wood_xl.io.reader import book_of
from wood_xl.notes.echo import NoResults, checked_again, has_sheet, notes_on, results_items, results_table
from wood_xl.notes.problem import problem_from_json
from wood_xl.notes.raw import RawBook
from wood_xl.notes.season import is_results
from wood_xl.page_texts import Absent, Counting, Pooled, Repeated, SeasonsOf, Studied
from wood_xl.pipeline import computed_tables
from wood_xl.reasons import said
from wood_xl.report.study_book import notes_title, study_bytes
from wood_xl.results.figures import grouped
from wood_xl.results.parts import NotGiven, Part
from wood_xl.results.pooling import VARIANCES
from wood_xl.results.readings import Reading, reading_of
from wood_xl.results.study import member, study_document
from wood_xl.results.verify import Verification, compared, naming_file, seal_and_version, verified
from wood_xl.schema.model import System, study_definition
from wood_xl.schema.words import words
from wood_xl.scoring import PAPERS

Row = dict[str, Any]
NUMBERS = ("value", "low", "high", *VARIANCES)
CHECKS = ("problems", "waiting")
STUDIED = {words(one): one for one in Studied}
STATES = {words(one): one.key for one in Pooled}
READ = ("households", "methods", "contributions", "left_out", *CHECKS)


def is_study(book: RawBook) -> bool:
    """Whether a workbook has the sheets of a study."""
    titles = {sheet.title for sheet in book.sheets}
    return titles >= {sheet.result_sheet for sheet in study_definition().sheets} and not is_results(book)


def verify_file(path: Path) -> Verification:
    """Compute the results, or the study, in a file again, write it again, and compare the two workbooks.

    Errors: UnreadableWorkbook if the file is no workbook, or holds neither in this version's layout.
    """
    package = open_package(path)
    book = book_of(package, {})
    with naming_file(package.file):
        if is_study(book):
            return verified_study(package, book)
        return verified(package, book)[0]


def verified_study(package: Package, book: RawBook) -> Verification:
    """The differences between a study and what the notes in it give.

    Errors: UnreadableWorkbook if it has the layout of another version; NoResults, LookupError or ValueError if its
    cells are not those of a study.
    """
    provenance = results_items(book, "provenance", study_definition())
    if provenance["study_version"] != study_definition().version:
        found = str(provenance["study_version"])
        raise UnreadableWorkbook("verify-other-layout", found=found, expected=study_definition().version)
    document, taken_n = _again(book, provenance)
    written = study_bytes(document, paper=PAPERS[document["provenance"]["display_units"]])
    return compared(package, seal_and_version(book, study_definition()), book.filled_n, written, taken_n)


def _again(book: RawBook, provenance: Mapping[str, Any]) -> tuple[Row, int]:
    tables = {sheet.id: _rows(book, sheet.id) for sheet in study_definition().sheets if sheet.id in READ}
    system: System = "us" if provenance["display_units"] == "us" else "metric"
    of = {table: grouped(rows, lambda one: one.get("household", one.get("who"))) for table, rows in tables.items()}
    members, taken_n = [], 0
    for row in tables["households"]:
        own = {table: rows.get(row["household"], []) for table, rows in of.items()}
        is_repeated = row["notes"] == words(Repeated.YES) and has_sheet(book, notes_title(row["household"]))
        member, of_file = _reading_again(book, row, own, system) if is_repeated else _reading_from_file(row, own)
        members.append(member)
        taken_n += of_file
    of_files = [one for one in tables["left_out"] if not one["measure"]]
    of_one = provenance["seasons_of"] == words(SeasonsOf.ONE_HOUSEHOLD)
    is_both = provenance["counting"] == words(Counting.BOTH)
    return study_document(members, of_files, system=system, one_household=of_one, both=is_both), taken_n


def _rows(book: RawBook, table: str) -> list[Row]:
    """Rows of a table with the types that the document has: texts and whole numbers."""
    definition = study_definition()
    types = {"integer": int, "string": str}
    of_column = {column.id: types[column.type] for column in definition.sheet(table).columns if column.type in types}
    return [
        {key: of_column[key](cell) if key in of_column else cell for key, cell in row.items()}
        for row in results_table(book, table, definition)
    ]


def _reading_again(book: RawBook, row: Row, own: Mapping[str, list[Row]], system: System) -> tuple[Reading, int]:
    """A household computed again from its notes, and how many figures on bodies came from its contributions."""
    name = row["household"]
    notes = notes_on(book, [notes_title(name)], row["template_version"])
    checks = {table: _without_name(own[table]) for table in CHECKS}
    checked = checked_again(notes, list(map(problem_from_json, checks["problems"])), checks["waiting"])
    tables, _ = computed_tables(checked)
    if tables is None:
        raise NoResults(name)
    rows = {sheet_id: list(places.rows) for sheet_id, places in notes.places.items() if places.rows}
    repeated = {"inputs": notes.data, "input_rows": rows, **checks}
    again = reading_of(checked, tables, repeated, has_bodies=False, version=row["template_version"])
    lacking = [one for one in again.not_given if one.why == said(Absent.NO_BODIES)]
    of_bodies, ways = {one.measure for one in lacking}, {one.place[:2] for one in lacking}
    taken = [
        part for part in map(_part, own["contributions"]) if part.measure in of_bodies and part.place[:2] in ways
    ]
    not_given = (
        *(one for one in again.not_given if one.measure not in of_bodies),
        *(one for one in map(_not_given, own["left_out"]) if one.measure in of_bodies),
    )
    kept = {"state": STATES[row["state"]], "season_sha256": row["season_sha256"]}
    computed = member(again, name, system)
    parts = (*computed.parts, *taken)
    return replace(computed, parts=parts, not_given=not_given, row=again.row | kept), len(taken)


def _reading_from_file(row: Row, own: Mapping[str, list[Row]]) -> tuple[Reading, int]:
    """A household without notes, with all figures from its contributions, and how many these are."""
    parts = tuple(map(_part, own["contributions"]))
    kept = {key: text for key, text in row.items() if key not in ("household", "notes")}
    reading = Reading(
        row=kept | {"state": STATES[row["state"]]},
        year=int(row["year"]) if row["year"] else None,
        price_year=int(row["price_year"]) if row["price_year"] else None,
        parts=parts,
        not_given=tuple(map(_not_given, own["left_out"])),
        methods=tuple(_without_name(own["methods"])),
        notes={table: _without_name(own[table]) for table in CHECKS},
        name=row["household"],
    )
    return reading, len(parts)


def _part(row: Row) -> Part:
    value, low, high, sessions, household, everybody = (float(row[key]) for key in NUMBERS)
    place = row["task"], row["kind"], row["other"], STUDIED[row["measure"]]
    return Part(*place, row["sessions_n"], value, low, high, sessions, household, everybody)


def _not_given(row: Row) -> NotGiven:
    return NotGiven(row["task"], row["kind"], row["other"], STUDIED[row["measure"]], row["reason"])


def _without_name(rows: list[Row]) -> list[Row]:
    return [{key: text for key, text in row.items() if key != "household"} for row in rows]
