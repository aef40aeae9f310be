"""Verifies a results workbook: computes it again from the notes echoed in it, and compares every cell.

Every table, the sentences, the factors, the cautions and the hash of the notes are computed again. The list of
problems, what is said of the file that was read, and the rows of the notes in it cannot be: they are taken from the
workbook and rest on its seal alone. In a copy without body data, so do the numbers and texts about bodies; the
reading sheets made from them are written again and compared all the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, NamedTuple

from wood_xl import __version__
from wood_xl.errors import UnreadableWorkbook
from wood_xl.io.guard import package_of
from wood_xl.io.package import Package
from wood_xl.io.page import PAPERS
from wood_xl.io.seal import seal_of, stored_seal
from wood_xl.notes.echo import NoResults, checked_again, echoed_notes, results_items, results_table, results_version
from wood_xl.notes.problem import Place, Problem, problem, problem_from_json, quoted
from wood_xl.notes.raw import RawBook
from wood_xl.notes.season import CheckedSeason
from wood_xl.page_texts import InResults, OnPages
from wood_xl.pipeline import computed_again, computed_tables
from wood_xl.report.book import results_bytes
from wood_xl.results.document import factor_edition, factor_rows
from wood_xl.results.figures import FIGURES
from wood_xl.results.of_bodies import TEXTS, is_shared, with_parts_of_bodies
from wood_xl.results.share import shared
from wood_xl.results.unlike import Comparison, Difference, Value
from wood_xl.results.worked import worked_numbers
from wood_xl.schema.model import Definition, results_definition
from wood_xl.schema.words import NO_BREAK, phrase, words
from wood_xl.season import SeasonTables

Row = dict[str, Any]


FACTORS = "factors"
BEFORE_DIFFERENCE = 12  # characters of long texts that are quoted before the first difference
CUT = "..."


class Verification(NamedTuple):
    """The outcome of a verification."""

    differences: tuple[Difference, ...]
    compared_n: int
    taken_n: int  # numbers and texts about bodies that were taken from a copy without body data
    other_choices: tuple[Difference, ...]  # sentences of such a copy that advise something else than its notes alone
    seal_holds: bool
    other_version: str  # another program version or other factors that the file names; empty if they are these

    def problems(self) -> list[Problem]:
        """The outcome as problems to print."""
        lines = []
        if not self.seal_holds:
            lines.append(problem("verify-seal-broken"))
        coded = [(one, "verify-part-differs" if one.what else "verify-cell-differs") for one in self.differences]
        coded += [(one, "verify-other-choice") for one in self.other_choices]
        for difference, code in coded:
            found, expected = _shown(difference.found, difference.expected)
            facts = {"what": words(difference.what)} if difference.what else {}
            lines.append(problem(code, difference.place, found=found, expected=expected, **facts))
        if self.other_version:
            lines.append(problem("verify-other-version", found=self.other_version))
        if self.taken_n:
            lines.append(problem("verify-not-compared", found=f"{self.taken_n:,}"))
        return lines


@contextmanager
def naming_file(file: str) -> Iterator[None]:
    """Turn the errors of cells that are no results into one that names the file."""
    try:
        yield
    except (NoResults, LookupError, ValueError) as fault:
        raise UnreadableWorkbook("verify-no-results", file=file, found=str(fault)) from fault


def verified(package: Package, book: RawBook) -> tuple[Verification, CheckedSeason, SeasonTables | None]:
    """The outcome of comparing a file with its results written again, the notes in it, and the tables they give.

    The cells of a heart trace are dropped on the way, since nothing later needs them.

    Errors: UnreadableWorkbook if the results have the layout of another version; NoResults, LookupError, ValueError
    if its cells are not those of results.
    """
    require_this_layout(book)
    origin, filled_n, notes = seal_and_version(book), book.filled_n, notes_in_results(book)
    tables, _ = computed_tables(notes)
    results, taken_n, choices = results_again(book, notes, tables)
    again = results_bytes(results, paper=PAPERS[results["provenance"]["display_units"]])
    return compared(package, origin, filled_n, again, taken_n, choices), notes, tables


def seal_and_version(book: RawBook, definition: Definition | None = None) -> tuple[bool, str]:
    """Whether the seal of results fits their cells, and which other version they name; empty if it is this one.

    definition: of a season's results if none is given.
    """
    definition = definition or results_definition()
    provenance, sheet = results_items(book, "provenance", definition), definition.sheet("provenance")
    here = {"tool": f"wood_xl {__version__}", "factor_edition": factor_edition()}
    others = (
        phrase(InResults.OTHER_HERE, title=sheet.column(key).title, there=provenance[key], here=value)
        for key, value in here.items()
        if provenance[key] != value
    )
    return stored_seal(book) == seal_of(book), "; ".join(others)


def compared(
    package: Package,
    origin: tuple[bool, str],
    filled_n: int,
    again: bytes,
    taken_n: int = 0,
    choices: tuple[Difference, ...] = (),
) -> Verification:
    """The outcome of comparing a file with its results written again.

    origin: whether its seal holds, and its other version.
    filled_n: number of its filled cells.
    taken_n, choices: from ``results_again``.
    """
    package.tags = package.expanded = 0  # the limits on a file count anew for each time that it is read
    comparison = Comparison(package, package_of(again, package.file), filled_n)
    return Verification(tuple(comparison.differences), comparison.compared_n, taken_n, choices, *origin)


def results_again(
    book: RawBook, notes: CheckedSeason, tables: SeasonTables | None = None
) -> tuple[Row, int, tuple[Difference, ...]]:
    """The results in a workbook computed again, how much was taken from it, and sentences that advise otherwise.

    notes: those in the workbook, whose cells may have been dropped from it.
    tables: those of these notes, where they were computed already.

    Errors: NoResults, LookupError, ValueError if its cells are not those of results.
    """
    provenance = results_items(book, "provenance")
    results = computed_again(notes, provenance, tables)
    if results is None:
        raise NoResults("its notes cannot be computed")
    if not is_shared(provenance):
        return results, 0, ()
    results = shared(results)
    results["provenance"] |= {key: provenance[key] for key in ("season_sha256", "figures_sha256")}
    completed, taken_n = with_parts_of_bodies(results, results_table(book, FIGURES), results_table(book, TEXTS))
    # Which factors were read depends on bodies; their values do not.
    completed["factors"] = factor_rows({str(row["id"]) for row in results_table(book, FACTORS)})
    completed["worked"] = worked_numbers(completed)
    choices = tuple(
        Difference(Place(words(OnPages.ANSWER)), in_file["sentence"], by_notes["sentence"])
        for in_file, by_notes in zip(completed["verdicts"], results["verdicts"], strict=True)
        if in_file["choice"] != by_notes["choice"]
    )
    return completed, taken_n, choices


def require_this_layout(book: RawBook) -> None:
    """Refuse results that another version wrote.

    Errors: UnreadableWorkbook if they have another layout; NoResults if they name none.
    """
    found, here = results_version(book), results_definition().version
    if found != here:
        raise UnreadableWorkbook("verify-other-layout", found=found, expected=here)


def notes_in_results(book: RawBook) -> CheckedSeason:
    """The notes from which results were computed, with the problems found in them.

    Errors: NoResults, LookupError, ValueError if its cells are not those of results.
    """
    problems = [problem_from_json({**row, "count": int(row["count"])}) for row in results_table(book, "problems")]
    return checked_again(echoed_notes(book), problems, results_table(book, "waiting"))


def _shown(found: Value | None, expected: Value | None) -> tuple[str, str]:
    """Two values to print; long texts begin shortly before their first difference."""
    if isinstance(found, str) and isinstance(expected, str):
        spaced = found.replace(NO_BREAK, " "), expected.replace(NO_BREAK, " ")
        found, expected = (found, expected) if spaced[0] == spaced[1] else spaced
        shorter = min(len(found), len(expected))  # one may begin with the other
        alike_n = next((n for n in range(shorter) if found[n] != expected[n]), shorter)
        start = found.rfind(" ", 0, max(0, alike_n - BEFORE_DIFFERENCE)) + 1
        if start:
            found, expected = f"{CUT}{found[start:]}", f"{CUT}{expected[start:]}"
    return _value_text(found), _value_text(expected)


def _value_text(value: Value | None) -> str:
    if value is None or value == "":
        return words(InResults.NOTHING)
    return quoted(value) if isinstance(value, str) else repr(value).removesuffix(".0")
