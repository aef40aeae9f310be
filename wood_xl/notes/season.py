"""All checks of a filled workbook in one go."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Set
from dataclasses import dataclass
from functools import cached_property
from itertools import chain, repeat

from wood_xl.errors import UnreadableWorkbook
from wood_xl.notes.document import Cell, SeasonDocument, empty_data, notes_version
from wood_xl.notes.fuel import fuel_problems
from wood_xl.notes.heart_trace import trace_problems
from wood_xl.notes.limits import schema_problems, unusual_problems
from wood_xl.notes.names import plain
from wood_xl.notes.notes import TypedNotes, typed_notes
from wood_xl.notes.of_session import stacking_problems
from wood_xl.notes.problem import Level, Problem, problem, runs
from wood_xl.notes.raw import RawBook
from wood_xl.notes.relations import Notes, relation_problems
from wood_xl.notes.season_rules import season_problems, slip_problems
from wood_xl.notes.session_time import date_problems, time_problems
from wood_xl.notes.sheets import compulsory_sheets, sheets_and_faults, without_unread_cells
from wood_xl.notes.tally import tally_problems
from wood_xl.notes.wood import wood_problems, woodshed_problems
from wood_xl.page_texts import InPool
from wood_xl.schema.layout import FORMER_RESULTS
from wood_xl.schema.model import (
    results_definition,
    season_definition,
    study_definition,
    summary_definition,
    version_parts,
)
from wood_xl.schema.words import words

RULES: tuple[Callable[[Notes], Iterable[Problem]], ...] = (
    *(relation_problems, time_problems, stacking_problems, tally_problems, fuel_problems, trace_problems),
    *(wood_problems, woodshed_problems, season_problems),
)


@dataclass(frozen=True)
class CheckedSeason:
    """A season document with its problems."""

    document: SeasonDocument  # the notes as typed
    problems: list[Problem]  # in the order in which they were found
    # (sheet id, column id) of columns and items that could not be read, with the name of the cell to mend
    unread: dict[tuple[str, str], str]
    # (sheet id, row index or None, column id) of cells that must not be used, with the name of the cell to mend
    cell_problems: dict[Cell, str]

    @property
    def broken(self) -> Set[Cell]:
        """Cells that must not be used."""
        return self.cell_problems.keys()

    @property
    def names_not_read(self) -> dict[str, str]:
        """Cell to mend for each column, by ``sheet.column``, that refers to names that could not be read."""
        unread = {".".join(ids): where for ids, where in self.unread.items()}
        columns = (column for sheet in season_definition().sheets for column in sheet.columns)
        return {column.ref: unread[column.refers_to] for column in columns if column.refers_to in unread}

    @cached_property
    def notes(self) -> Notes:
        """The document read by name, without what must not be used."""
        return Notes(self.document, self.broken, self.unread.keys())

    @property
    def can_be_computed(self) -> bool:
        """Whether no problem is a STOP."""
        return all(fault.level is not Level.STOP for fault in self.problems)


def check_season(book: RawBook) -> CheckedSeason:
    """The season document of a workbook, with every check."""
    definition = season_definition()
    fault = not_filled_in(book)
    if fault is not None:
        found = [problem(fault.code, None, **fault.facts)]
        return CheckedSeason(SeasonDocument(empty_data(), {}), found, {}, {})
    version_problems = _version_problems(book)
    sheets, problems = sheets_and_faults(book, definition)
    sheets, not_read = without_unread_cells(sheets)
    problems += not_read
    typed = typed_notes(sheets, definition)
    version = book.template_version or _version_by_columns(typed)
    typed.document.data["version"] = notes_version(version)
    problems = [*version_problems, *problems, *typed.problems]
    schema_found, out_of_schema = schema_problems(typed)
    broken = typed.unreadable | out_of_schema
    problems += schema_found
    slips: list[Problem] = []
    if not any(fault.level is Level.STOP for fault in problems):
        notes = Notes(typed.document, broken, typed.unread.keys())
        problems += (fault for rule in RULES for fault in rule(notes))
        problems += date_problems(notes, book.saved_day)
        slips = slip_problems(notes, {fault.where for fault in problems})
        problems += slips
    cells = _cells_to_mend(typed.document, problems, broken)
    problems += unusual_problems(typed.document, broken, cells.keys(), {slip.where for slip in slips})
    unread = {column: why.where for column, why in typed.unread.items()}
    return CheckedSeason(typed.document, problems, unread, cells)


def _is_filled_in(book: RawBook) -> bool:
    """Whether a workbook has the compulsory sheets, which no workbook of this program's results has."""
    definition = season_definition()
    titles = {plain(sheet.title) for sheet in book.sheets}
    return titles >= {plain(definition.sheet(sheet_id).title) for sheet_id in compulsory_sheets(definition)}


def is_results(book: RawBook) -> bool:
    """Whether a workbook holds results: people mix up the two files."""
    titles = {plain(sheet.title) for sheet in book.sheets}
    results = {plain(sheet.result_sheet) for sheet in results_definition().sheets if sheet.result_sheet}
    is_written = results <= titles or {plain(title) for title in FORMER_RESULTS} <= titles
    return is_written and not _is_filled_in(book)


def not_filled_in(book: RawBook) -> UnreadableWorkbook | None:
    """The fault of a workbook of results, of a study or of a summary; None for one that was filled in."""
    if _is_filled_in(book):
        return None
    titles = {sheet.title for sheet in book.sheets}
    for definition, kind in ((summary_definition(), InPool.SUMMARY), (study_definition(), InPool.STUDY)):
        if titles >= {sheet.result_sheet for sheet in definition.sheets}:
            return UnreadableWorkbook("header-of-many", found=words(kind))
    return UnreadableWorkbook("header-results-workbook") if is_results(book) else None


def _version_by_columns(typed: TypedNotes) -> str:
    """Version of a workbook that states none, by its newest column; "none" if all are as old as the first."""
    columns = (column for sheet in season_definition().sheets for column in sheet.columns if column.since)
    places = typed.document.places
    return max((c.since for c in columns if c.sheet in places and c.id in places[c.sheet].cells), default="none")


def _version_problems(book: RawBook) -> list[Problem]:
    version, definition = book.template_version, season_definition()
    if version is None or version in definition.schema["properties"]["version"]["enum"]:
        return []
    is_newer = version_parts(version) > version_parts(definition.version)
    code = "header-newer-template" if is_newer else "header-older-template"
    return [problem(code, found=version, expected=definition.version)]


def _cells_to_mend(document: SeasonDocument, problems: list[Problem], broken: Set[Cell]) -> dict[Cell, str]:
    """Cells without a value or with a FIX, each with the name of the run of cells to mend."""
    cells: dict[Cell, str] = {}
    marked: dict[tuple[str, str], set[int]] = defaultdict(set)
    for (sheet_id, index, column_id), where in chain(zip(broken, repeat("")), _cells_at(document, problems)):
        if index is None:
            cells[sheet_id, None, column_id] = where or document.place(sheet_id, None, column_id).where
        else:
            marked[sheet_id, column_id].add(index)
    for (sheet_id, column_id), indexes in sorted(marked.items()):
        index_at = {document.places[sheet_id].rows[index]: index for index in sorted(indexes)}
        for run in runs(index_at):
            where = document.place(sheet_id, index_at[run[0]], column_id)._replace(last_row=run[-1]).where
            cells |= dict.fromkeys(((sheet_id, index_at[row], column_id) for row in run), where)
    return cells


def _cells_at(document: SeasonDocument, problems: list[Problem]) -> Iterator[tuple[Cell, str]]:
    """Cells with a FIX, each with the place of that."""
    index_of: dict[str, dict[int, int]] = {}
    for fault in problems:
        sheet_id, _, column_id = fault.place.about.partition(".")
        places = document.places.get(sheet_id)
        cell = places.cells.get(column_id) if places else None
        if fault.level is not Level.FIX or fault.place.row is None or places is None or cell is None:
            continue
        if cell.row is not None:  # of an item
            if (cell.sheet, cell.row) == (fault.place.sheet, fault.place.row):
                yield (sheet_id, None, column_id), fault.where
        elif cell.column == fault.place.column:
            if sheet_id not in index_of:
                index_of[sheet_id] = {row: index for index, row in enumerate(places.rows)}
            rows = index_of[sheet_id]
            yield from (((sheet_id, rows[row], column_id), fault.where) for row in fault.rows if row in rows)
