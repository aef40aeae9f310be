"""Computes a results workbook again from the notes echoed in it, and compares every cell.

What can be computed again is: every table, the plain sentences, the factors, the cautions, and the notes' own hash.
What cannot is taken from the file and covered by its seal alone: the list of problems, which file was read, and the
rows of it that the notes stood in. In a copy without body data, figures that rest on bodies cannot be computed again
either.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from wood_xl import __version__
from wood_xl.errors import UnreadableWorkbook
from wood_xl.io.reader import read_workbook
from wood_xl.io.results import log_rows
from wood_xl.io.seal import canonical, seal_of, seal_row, stored_seal
from wood_xl.notes.echo import NoResults, echoed_notes, results_items, results_table
from wood_xl.notes.problem import Place, Problem, problem, problem_from_json, quoted
from wood_xl.notes.raw import RawBook, RawCell
from wood_xl.notes.season import CheckedSeason
from wood_xl.notes.waiting import checked_again
from wood_xl.pages import InResults
from wood_xl.pipeline import computed_again
from wood_xl.results.document import factor_edition
from wood_xl.results.share import OTHER_NUMBERS, is_shared, shared, with_body_figures_changed
from wood_xl.schema.model import results_definition
from wood_xl.schema.words import phrase, words

Value = str | float


@dataclass(frozen=True)
class Difference:
    """One cell that is not what it should be; None stands for an empty cell."""

    place: Place
    found: Value | None
    expected: Value | None


@dataclass(frozen=True)
class Verification:
    """What came of computing results again.

    differences: in the order of the sheets and rows.
    compared_n: cells that were computed again and compared.
    not_compared_n: cells of a copy without body data that rest on bodies.
    seal_holds: whether the seal is that of the cells.
    other_version: what the file says of the program and factors that wrote it, if they are not these; else empty.
    """

    differences: tuple[Difference, ...]
    compared_n: int
    not_compared_n: int
    seal_holds: bool
    other_version: str

    def problems(self) -> list[Problem]:
        """What must be said of it, as lines for the person."""
        lines = []
        if not self.seal_holds:
            lines.append(problem("verify-seal-broken"))
        for one in self.differences:
            facts = {"found": _shown(one.found), "expected": _shown(one.expected)}
            lines.append(problem("verify-cell-differs", one.place, **facts))
        if self.other_version:
            lines.append(problem("verify-other-version", found=self.other_version))
        if self.not_compared_n:
            lines.append(problem("verify-not-compared", found=f"{self.not_compared_n:,}"))
        return lines


def verify_file(path: Path) -> Verification:
    """Compute the results in a file again.

    Errors: UnreadableWorkbook if the file is no workbook, or none of this version's results.
    """
    try:
        return verify_book(read_workbook(path))
    except (NoResults, LookupError, ValueError) as fault:
        raise UnreadableWorkbook("verify-no-results", file=path.name, found=str(fault)) from fault


def verify_book(book: RawBook) -> Verification:
    """Compute the results in a workbook that was read again.

    Errors: UnreadableWorkbook if the results have the layout of another version; NoResults, LookupError, ValueError
    if its cells are not those of results.
    """
    provenance = results_items(book, "provenance")
    version = results_definition().version
    if provenance["results_version"] != version:
        raise UnreadableWorkbook("verify-other-layout", found=str(provenance["results_version"]), expected=version)
    results = _computed_again(book, provenance)
    comparison = _Comparison(book)
    if is_shared(provenance):
        results = shared(results)
        results["provenance"] |= {key: provenance[key] for key in ("season_sha256", "figures_sha256")}
        comparison.skipped = _cells_that_change(results)
    log_rows(results, comparison.row)
    differences = comparison.differences()
    return Verification(
        differences,
        comparison.compared_n,
        comparison.skipped_n,
        stored_seal(book) == seal_of(book),
        _other(provenance),
    )


def _computed_again(book: RawBook, provenance: dict[str, Value]) -> dict[str, Any]:
    results = computed_again(notes_in_results(book), provenance)
    if results is None:
        raise NoResults("its notes cannot be computed")
    return results


def notes_in_results(book: RawBook) -> CheckedSeason:
    """The notes that results were computed from, with the problems that were found in them.

    Errors: NoResults, LookupError, ValueError if its cells are not those of results.
    """
    problems = [problem_from_json({**row, "count": int(row["count"])}) for row in results_table(book, "problems")]
    return checked_again(echoed_notes(book), problems, results_table(book, "waiting"))


def _cells_that_change(results: dict[str, Any]) -> set[tuple[str, int, int]]:
    """Cells that change with the figures that rest on bodies, and the plain sentences, which speak of them."""
    once: dict[tuple[str, int, int], Value] = {}
    changed: set[tuple[str, int, int]] = set()

    def keep(title: str, row: int, values: Iterable[tuple[int, Value]]) -> None:
        once.update({(title, row, column): value for column, value in values})

    def look(title: str, row: int, values: Iterable[tuple[int, Value]]) -> None:
        changed.update((title, row, c) for c, value in values if once.get((title, row, c)) != value)

    log_rows(results, keep)
    for other in OTHER_NUMBERS:
        log_rows(with_body_figures_changed(results, other), look)
    return changed


class _Comparison:
    """Takes the rows that should be there one by one, and strikes them off those that are."""

    def __init__(self, book: RawBook) -> None:
        self.skipped: set[tuple[str, int, int]] = set()
        self.compared_n = 0
        self.skipped_n = 0
        ends = {sheet.title: seal_row(sheet) or math.inf for sheet in book.sheets}
        self._left = {
            sheet.title: {
                column: {row: cell for row, cell in cells.items() if row < ends[sheet.title]}
                for column, cells in sheet.cells.columns.items()
            }
            for sheet in book.sheets
        }
        self._order = {sheet.title: number for number, sheet in enumerate(book.sheets)}
        self._found: list[Difference] = []

    def row(self, title: str, row: int, values: Iterable[tuple[int, Value]]) -> None:
        """One row as it should be."""
        for column, expected in values:
            if (title, row, column) in self.skipped:
                self._struck_off(title, row, column)
                self.skipped_n += 1
                continue
            if expected == "":
                continue
            cell = self._struck_off(title, row, column)
            self.compared_n += 1
            there = None if cell is None else _value(cell)
            if there is None or not _same(there, expected):
                self._found.append(Difference(Place(title, row, column), there, expected))

    def _struck_off(self, title: str, row: int, column: int) -> RawCell | None:
        return self._left.get(title, {}).get(column, {}).pop(row, None)

    def differences(self) -> tuple[Difference, ...]:
        """All of them, with the cells that should be empty."""
        more = [
            Difference(Place(title, row, column), _value(cell), None)
            for title, columns in self._left.items()
            for column, cells in columns.items()
            for row, cell in cells.items()
        ]
        last = len(self._order)
        return tuple(
            sorted(
                self._found + more,
                key=lambda d: (self._order.get(d.place.sheet, last), d.place.row or 0, d.place.column or 0),
            )
        )


def _value(cell: RawCell) -> Value:
    return cell.value if isinstance(cell.value, str | float) else str(cell.value)


def _shown(value: Value | None) -> str:
    if value is None:
        return words(InResults.NOTHING)
    return quoted(value) if isinstance(value, str) else repr(value).removesuffix(".0")


def _same(there: Value, expected: Value) -> bool:
    return isinstance(there, str) is isinstance(expected, str) and canonical(there) == canonical(expected)


def _other(provenance: dict[str, Value]) -> str:
    here = {"tool": f"wood_xl {__version__}", "factor_edition": factor_edition()}
    provenance_sheet = results_definition().sheet("provenance")
    return "; ".join(
        phrase(InResults.OTHER_HERE, title=provenance_sheet.column(key).title, there=provenance[key], here=value)
        for key, value in here.items()
        if provenance[key] != value
    )
