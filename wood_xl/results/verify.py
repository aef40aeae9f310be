"""Computes a results workbook again from the notes echoed in it, and compares every cell.

What can be computed again is: every table, the plain sentences, the factors, the cautions, and the notes' own hash.
What cannot is taken from the file and covered by its seal alone: the list of problems, which file was read, and the
rows of it that the notes stood in. In a copy without body data, figures that rest on bodies cannot be computed again
either.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from wood_xl import __version__
from wood_xl.errors import UnreadableWorkbook
from wood_xl.ids import Part
from wood_xl.io.guard import open_package, package_of
from wood_xl.io.package import Package
from wood_xl.io.reader import book_of
from wood_xl.io.results import log_rows, results_bytes
from wood_xl.io.seal import seal_of, seal_place, stored_seal
from wood_xl.notes.echo import NoResults, echoed_notes, results_items, results_table
from wood_xl.notes.problem import Problem, problem, problem_from_json, quoted
from wood_xl.notes.raw import RawBook
from wood_xl.notes.season import CheckedSeason
from wood_xl.notes.waiting import checked_again
from wood_xl.pages import InResults
from wood_xl.pipeline import computed_again
from wood_xl.results.document import factor_edition
from wood_xl.results.share import OTHER_NUMBERS, is_shared, shared, with_body_figures_changed
from wood_xl.results.unlike import Comparison, Difference, Rests, words_of
from wood_xl.results.unlike_charts import CellPlace, Value
from wood_xl.schema.model import results_definition
from wood_xl.schema.words import phrase, sentences, words
from wood_xl.scoring import PAPERS


@dataclass(frozen=True)
class Verification:
    """What came of computing results again.

    differences: in the order of the sheets and rows.
    compared_n: cells that were computed again and compared.
    not_compared_n: cells of a copy without body data that rest on bodies.
    other_choices: sentences of such a copy that say another thing than its notes alone.
    seal_holds: whether the seal is that of the cells.
    other_version: what the file says of the program and factors that wrote it, if they are not these; else empty.
    """

    differences: tuple[Difference, ...]
    compared_n: int
    not_compared_n: int
    other_choices: tuple[Difference, ...]
    seal_holds: bool
    other_version: str

    def problems(self) -> list[Problem]:
        """What must be said of it, as lines for the person."""
        lines = []
        if not self.seal_holds:
            lines.append(problem("verify-seal-broken"))
        for one in self.differences:
            facts = {"found": _shown(one.found), "expected": _shown(one.expected)}
            if one.what is None:
                lines.append(problem("verify-cell-differs", one.place, **facts))
            else:
                lines.append(problem("verify-part-differs", one.place, what=words(one.what), **facts))
        for one in self.other_choices:
            facts = {"found": _shown(one.found), "expected": _shown(one.expected)}
            lines.append(problem("verify-other-choice", one.place, **facts))
        if self.other_version:
            lines.append(problem("verify-other-version", found=self.other_version))
        if self.not_compared_n:
            lines.append(problem("verify-not-compared", found=f"{self.not_compared_n:,}"))
        return lines


def verify_file(path: Path) -> Verification:
    """Compute the results in a file again, write them again, and compare the two workbooks.

    Errors: UnreadableWorkbook if the file is no workbook, or none of this version's results.
    """
    package = open_package(path)
    book = book_of(package, {})
    with told_apart(package.file):
        again = written_again(book)
    return verified(package, book, again)


@contextmanager
def told_apart(file: str) -> Iterator[None]:
    """Name a file whose cells turn out to be no results."""
    try:
        yield
    except (NoResults, LookupError, ValueError) as fault:
        raise UnreadableWorkbook("verify-no-results", file=file, found=str(fault)) from fault


def verified(package: Package, book: RawBook, again: WrittenAgain) -> Verification:
    """What differs between a file and its results as they are written again."""
    written = package_of(again.data, package.file)
    comparison = Comparison(package, written, again.skipped, again.known_words, seal_place(book))
    return Verification(
        tuple(comparison.differences),
        comparison.compared_n,
        comparison.skipped_n,
        tuple(comparison.other_choices),
        stored_seal(book) == seal_of(book),
        other_version(results_items(book, "provenance")),
    )


@dataclass(frozen=True)
class WrittenAgain:
    """Results computed again as a file's bytes.

    skipped: cells that rest on what the notes in them leave out.
    known_words: words that sentences in such cells may have.
    """

    data: bytes
    skipped: Mapping[CellPlace, Rests]
    known_words: frozenset[str]


def written_again(book: RawBook) -> WrittenAgain:
    """The results in a workbook that was read, computed again and written by the one writer of results.

    Errors: UnreadableWorkbook if the results have the layout of another version; NoResults, LookupError, ValueError
    if its cells are not those of results.
    """
    provenance = results_items(book, "provenance")
    version = results_definition().version
    if provenance["results_version"] != version:
        raise UnreadableWorkbook("verify-other-layout", found=str(provenance["results_version"]), expected=version)
    results = _computed_again(book, provenance)
    skipped: Mapping[CellPlace, Rests] = {}
    known_words: frozenset[str] = frozenset()
    if is_shared(provenance):
        results = shared(results)
        results["provenance"] |= {key: provenance[key] for key in ("season_sha256", "figures_sha256")}
        skipped, known_words = _cells_that_change(results)
    return WrittenAgain(
        results_bytes(results, paper=PAPERS[results["provenance"]["display_units"]]), skipped, known_words
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


def _cells_that_change(results: dict[str, Any]) -> tuple[dict[CellPlace, Rests], frozenset[str]]:
    """Cells that change with the figures that rest on bodies or speak of them, and the words that these may have."""
    # Where effort has a value of its own, every number of a verdict may be another one.
    of_verdicts = Rests.SENTENCE if "value_of_effort" in results["inputs"]["season"] else Rests.CLAUSES
    how_sure = words(Part.HOW_SURE)
    told = {row["answer"]: Rests.SENTENCE for row in results["answers"]}
    told |= {row["text"]: Rests.SENTENCE if row["part"] == how_sure else of_verdicts for row in results["decision"]}
    once: dict[CellPlace, Value] = {}
    changed: set[CellPlace] = set()

    def keep(title: str, row: int, values: Iterable[tuple[int, Value]]) -> None:
        once.update({(title, row, column): value for column, value in values})

    def look(title: str, row: int, values: Iterable[tuple[int, Value]]) -> None:
        changed.update((title, row, c) for c, value in values if once.get((title, row, c)) != value)

    log_rows(results, keep)
    for other in OTHER_NUMBERS:
        log_rows(with_body_figures_changed(results, other), look)
    found = {}
    for place in changed:
        text = str(once.get(place, ""))
        found[place] = next((rests for one, rests in told.items() if one and text.endswith(one)), Rests.CELL)
    own = (text for enum in sentences().values() for text in enum.values())
    known = (word for text in (*own, *map(str, once.values())) for word in words_of(text))
    return found, frozenset(known)


def _shown(value: Value | None) -> str:
    if value is None or value == "":
        return words(InResults.NOTHING)
    return quoted(value) if isinstance(value, str) else repr(value).removesuffix(".0")


def other_version(provenance: Mapping[str, Value]) -> str:
    """What results say of the program and factors that wrote them, if they are not these; else nothing."""
    here = {"tool": f"wood_xl {__version__}", "factor_edition": factor_edition()}
    provenance_sheet = results_definition().sheet("provenance")
    return "; ".join(
        phrase(InResults.OTHER_HERE, title=provenance_sheet.column(key).title, there=provenance[key], here=value)
        for key, value in here.items()
        if provenance[key] != value
    )
