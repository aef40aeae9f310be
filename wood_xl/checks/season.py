"""All checks of a filled workbook in one go."""

from __future__ import annotations

from dataclasses import dataclass

from wood_xl.checks.header import compulsory_sheets, find_sheets
from wood_xl.checks.heart_trace import trace_problems
from wood_xl.checks.limits import Cell, schema_problems, unusual_problems
from wood_xl.checks.names import plain
from wood_xl.checks.notes import Gathered, gather
from wood_xl.checks.problem import Level, Problem, problem
from wood_xl.checks.relations import Notes, relation_problems
from wood_xl.checks.season_rules import season_problems
from wood_xl.document import SeasonDocument, empty_data
from wood_xl.raw import RawBook
from wood_xl.schema.model import Definition, results_definition, season_definition


@dataclass(frozen=True)
class CheckedSeason:
    """A season document with everything that was found in it.

    Attributes
    ----------
    document : SeasonDocument
        The notes as typed.
    problems : list of Problem
        In the order in which they were found.
    broken : frozenset
        (sheet id, row index or None, column id) of cells that must not be used.
    unread : dict
        (sheet id, column id) of columns and items that could not be read, with the cell to mend.
    cell_problems : dict
        For each broken cell the name of the cell to mend.
    """

    document: SeasonDocument
    problems: list[Problem]
    broken: frozenset[Cell]
    unread: dict[tuple[str, str], str]
    cell_problems: dict[Cell, str]

    @property
    def can_be_computed(self) -> bool:
        """Whether nothing stops the computation."""
        return all(found.level is not Level.STOP for found in self.problems)


def check_season(book: RawBook) -> CheckedSeason:
    """Every check, on a workbook as it was read.

    Parameters
    ----------
    book : RawBook
        Cells of the workbook.

    Returns
    -------
    CheckedSeason
        With all problems at once.
    """
    definition = season_definition()
    if _is_results(book, definition):
        return CheckedSeason(
            SeasonDocument(empty_data(definition), {}), [problem("header-results-workbook")], frozenset(), {}, {}
        )
    version_problems = _version_problems(book, definition)
    sheets, problems = find_sheets(book, definition)
    gathered = gather(sheets, definition)
    problems = [*version_problems, *problems, *gathered.problems]
    schema_found, out_of_schema = schema_problems(gathered, definition)
    broken = frozenset(gathered.unreadable | out_of_schema)
    problems += schema_found
    problems += unusual_problems(gathered.document, definition, set(broken))
    if not any(found.level is Level.STOP for found in problems):
        notes = Notes(gathered.document, broken)
        problems += relation_problems(notes, definition)
        problems += trace_problems(notes)
        problems += season_problems(notes, definition)
    cells = _cells_to_mend(gathered, problems, definition)
    unread = {column: why.where for column, why in gathered.unread.items()}
    return CheckedSeason(gathered.document, problems, broken | cells.keys(), unread, cells)


def _is_results(book: RawBook, definition: Definition) -> bool:
    """Whether the sheets are those of a results workbook: people mix the two files up."""
    titles = {plain(sheet.title) for sheet in book.sheets}
    compulsory = {plain(definition.sheet(sheet_id).title) for sheet_id in compulsory_sheets(definition)}
    results = {plain(sheet.result_sheet) for sheet in results_definition().sheets}
    return not compulsory <= titles and results <= titles


def _version_problems(book: RawBook, definition: Definition) -> list[Problem]:
    version = book.template_version
    if version is None or version == definition.version:
        return []
    code = "header-newer-template" if _parts(version) > _parts(definition.version) else "header-older-template"
    return [problem(code, found=version, expected=definition.version)]


def _parts(version: str) -> tuple[int, ...]:
    return tuple(int(part) for part in version.split(".") if part.isdecimal())


def _cells_to_mend(gathered: Gathered, problems: list[Problem], definition: Definition) -> dict[Cell, str]:
    """Cells of the document that a FIX stands at, with the cell's name."""
    cells: dict[Cell, str] = {}
    by_title = {}
    for sheet in definition.sheets:
        places = gathered.document.places.get(sheet.id)
        if places is not None:
            rows = {row: index for index, row in enumerate(places.rows)}
            numbers = {number: column_id for column_id, number in places.columns.items()}
            items = {row: item for item, row in places.item_rows.items()}
            by_title[places.title] = (sheet.id, rows, numbers, items)
    for found in problems:
        if found.level is not Level.FIX or found.place.sheet not in by_title or found.place.row is None:
            continue
        sheet_id, rows, numbers, items = by_title[found.place.sheet]
        if found.place.row in items:
            cells[sheet_id, None, items[found.place.row]] = found.where
        elif found.place.row in rows and found.place.column in numbers:
            cells[sheet_id, rows[found.place.row], numbers[found.place.column]] = found.where
    for sheet_id, index, column_id in gathered.unreadable:
        place = gathered.document.place(sheet_id, index, column_id)
        cells.setdefault((sheet_id, index, column_id), problem("cell-merged", place, found="").where)
    return cells
