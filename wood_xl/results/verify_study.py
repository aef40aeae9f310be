"""Verifies a study: computes it again from the notes repeated in it, and compares every cell.

Figures that rest on bodies are taken from the file, and so are all figures of a household without repeated notes. The
pooled figures are computed again from these.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from wood_xl.errors import UnreadableWorkbook
from wood_xl.io.guard import open_package
from wood_xl.io.package import Package
from wood_xl.io.page import PAPERS
from wood_xl.io.reader import book_of
from wood_xl.notes.echo import NoResults, checked_again, has_sheet, notes_on, results_items, results_table
from wood_xl.notes.problem import problem_from_json
from wood_xl.notes.raw import RawBook
from wood_xl.notes.season import is_results
from wood_xl.page_texts import Absent, Counting, Repeated, SeasonsOf
from wood_xl.pipeline import computed_tables
from wood_xl.reasons import sentences
from wood_xl.report.study_book import notes_title, study_bytes
from wood_xl.results.figures import grouped
from wood_xl.results.parts import NotGiven, Part
from wood_xl.results.pooling import VARIANCES
from wood_xl.results.readings import Reading, reading_of
from wood_xl.results.study import member, study_document
from wood_xl.results.verify import Verification, compared, naming_file, seal_and_version, verified
from wood_xl.schema.model import System, study_definition
from wood_xl.schema.words import words

Row = dict[str, Any]
CHECKS = ("problems", "waiting")
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
        one, of_file = _member(book, row, own, system)
        members.append(one)
        taken_n += of_file
    of_files = [NotGiven(**one) for one in tables["left_out"] if not one["measure"]]
    of_one = provenance["seasons_of"] == words(SeasonsOf.ONE_HOUSEHOLD)
    is_both = provenance["counting"] == words(Counting.BOTH)
    return study_document(members, of_files, system=system, one_household=of_one, both=is_both), taken_n


def _rows(book: RawBook, table: str) -> list[Row]:
    """Rows of a table with the types and ids that the document has."""
    definition = study_definition()
    types = {"integer": int, "string": str}
    read: dict[str, Callable[[Any], Any]] = {}
    for column in definition.sheet(table).columns:
        if column.words_of:
            keys = {text: key for key, text in sentences()[column.words_of].items()}
            read[column.id] = {"": "", **keys}.__getitem__
        elif column.type in types:
            read[column.id] = types[column.type]
    return [
        {key: read[key](cell) if key in read else cell for key, cell in row.items()}
        for row in results_table(book, table, definition)
    ]


def _member(book: RawBook, row: Row, own: Mapping[str, list[Row]], system: System) -> tuple[Reading, int]:
    """A household computed again from its notes, if they are there, and how many figures came from the file."""
    parts, not_given = list(map(_part, own["contributions"])), [NotGiven(**one) for one in own["left_out"]]
    checks = {table: list(map(_without_name, own[table])) for table in CHECKS}
    if row["notes"] == Repeated.YES.key and has_sheet(book, notes_title(row["household"])):
        reading = _reading_again(book, row, checks)
        lacking = [one for one in reading.not_given if one.reason == words(Absent.NO_BODIES)]
        of_bodies, ways = {one.measure for one in lacking}, {one[:2] for one in lacking}
        parts = [part for part in parts if part.measure in of_bodies and part[:2] in ways]
        not_given = [one for one in not_given if one.measure in of_bodies]
        not_given += [one for one in reading.not_given if one.measure not in of_bodies]
    else:
        methods = tuple(map(_without_name, own["methods"]))
        reading = Reading(_without_name(row), parts=(), not_given=(), methods=methods, notes=checks)
    computed = member(reading, row["household"], system)
    return replace(computed, parts=(*computed.parts, *parts), not_given=tuple(not_given)), len(parts)


def _reading_again(book: RawBook, row: Row, checks: Mapping[str, list[Row]]) -> Reading:
    notes = notes_on(book, [notes_title(row["household"])], row["template_version"])
    checked = checked_again(notes, list(map(problem_from_json, checks["problems"])), checks["waiting"])
    tables, _ = computed_tables(checked)
    if tables is None:
        raise NoResults(row["household"])
    rows = {sheet_id: list(places.rows) for sheet_id, places in notes.places.items() if places.rows}
    repeated = {"inputs": notes.data, "input_rows": rows, **checks}
    again = reading_of(checked, tables, repeated, has_bodies=False, version=row["template_version"])
    return replace(again, row=again.row | {key: row[key] for key in ("state", "season_sha256")})


def _part(row: Row) -> Part:
    numbers: Row = {key: float(row[key]) for key in ("value", "low", "high", *VARIANCES)}
    return Part(**{key: row[key] for key in ("task", "kind", "other", "measure", "sessions_n")}, **numbers)


def _without_name(row: Row) -> Row:
    return {key: text for key, text in row.items() if key != "household"}
