"""Computes a results workbook again from the notes echoed in it, and compares every cell.

What can be computed again is: every table, the plain sentences, the factors, the cautions, and the notes' own hash.
What cannot is taken from the file and covered by its seal alone: the list of problems, which file was read, and the
rows of it that the notes stood in. In a copy without body data so are numbers and texts that rest on bodies; the
reading sheets made of them are written again and compared all the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, NamedTuple

from wood_xl import __version__
from wood_xl.errors import UnreadableWorkbook
from wood_xl.io.guard import package_of
from wood_xl.io.package import Package
from wood_xl.io.seal import seal_of, stored_seal
from wood_xl.notes.echo import NoResults, checked_again, echoed_notes, results_items, results_table, results_version
from wood_xl.notes.problem import Place, Problem, problem, problem_from_json, quoted
from wood_xl.notes.raw import RawBook
from wood_xl.notes.season import CheckedSeason
from wood_xl.pages import InResults
from wood_xl.pipeline import computed_again, computed_tables
from wood_xl.reading_words import OnPages
from wood_xl.report.book import results_bytes
from wood_xl.results.document import factor_edition, factor_rows
from wood_xl.results.figures import FIGURES
from wood_xl.results.of_bodies import TEXTS, is_shared, with_parts_of_bodies
from wood_xl.results.share import shared
from wood_xl.results.unlike import Comparison, Difference, Value
from wood_xl.results.worked import worked_numbers
from wood_xl.schema.model import Definition, results_definition
from wood_xl.schema.words import NO_BREAK, phrase, words
from wood_xl.scoring import PAPERS
from wood_xl.season import SeasonTables

Row = dict[str, Any]


FACTORS = "factors"
BEFORE_PART = 12  # characters of long texts that are told before the place where they part
CUT = "..."


class Verification(NamedTuple):
    """What came of computing results again."""

    differences: tuple[Difference, ...]
    compared_n: int
    taken_n: int  # numbers and texts of a copy without body data that rest on bodies, and were taken from it
    other_choices: tuple[Difference, ...]  # sentences of such a copy that advise something else than its notes alone
    seal_holds: bool
    # what the file says of the program and factors that wrote it, if they are not these; else empty
    other_version: str

    def problems(self) -> list[Problem]:
        """What must be said of it, as lines for the person."""
        lines = []
        if not self.seal_holds:
            lines.append(problem("verify-seal-broken"))
        told = [
            (one, "verify-cell-differs" if one.what is None else "verify-part-differs") for one in self.differences
        ]
        for one, code in (*told, *((one, "verify-other-choice") for one in self.other_choices)):
            facts = dict(zip(("found", "expected"), _shown(one.found, one.expected), strict=True))
            facts |= {} if one.what is None else {"what": words(one.what)}
            lines.append(problem(code, one.place, **facts))
        if self.other_version:
            lines.append(problem("verify-other-version", found=self.other_version))
        if self.taken_n:
            lines.append(problem("verify-not-compared", found=f"{self.taken_n:,}"))
        return lines


@contextmanager
def told_apart(file: str) -> Iterator[None]:
    """Name a file whose cells turn out to be no results."""
    try:
        yield
    except (NoResults, LookupError, ValueError) as fault:
        raise UnreadableWorkbook("verify-no-results", file=file, found=str(fault)) from fault


def verified(package: Package, book: RawBook) -> tuple[Verification, CheckedSeason, SeasonTables | None]:
    """What differs between a file and its results as they are written again, the notes in it, and what they give.

    A heart trace is taken out of the cells on the way, since nothing further on needs them.

    Errors: UnreadableWorkbook if the results have the layout of another version; NoResults, LookupError, ValueError
    if its cells are not those of results.
    """
    require_this_layout(book)
    told, filled_n, notes = told_of_itself(book), book.filled_n, notes_in_results(book)
    tables, _ = computed_tables(notes)
    results, taken_n, choices = results_again(book, notes, tables)
    again = results_bytes(results, paper=PAPERS[results["provenance"]["display_units"]])
    return compared(package, told, filled_n, again, taken_n, choices), notes, tables


def told_of_itself(book: RawBook, definition: Definition | None = None) -> tuple[bool, str]:
    """Whether the seal of results is that of their cells, and which other version they say wrote them; else nothing.

    definition: of what they are; of a season if none is given.
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
    told: tuple[bool, str],
    filled_n: int,
    again: bytes,
    taken_n: int = 0,
    choices: tuple[Difference, ...] = (),
) -> Verification:
    """What differs between a file, of whose cells so many are filled, and results written again.

    taken_n, choices: what was taken from the file and advises something else, as ``results_again`` has it.
    """
    package.tags = package.expanded = 0  # read a second time: each time is held to what a file may have
    comparison = Comparison(package, package_of(again, package.file), filled_n)
    return Verification(tuple(comparison.differences), comparison.compared_n, taken_n, choices, *told)


def results_again(
    book: RawBook, notes: CheckedSeason, tables: SeasonTables | None = None
) -> tuple[Row, int, tuple[Difference, ...]]:
    """The results in a workbook, computed again; what was taken from it, and sentences that advise something else.

    notes: those in the workbook, whose cells may be left out of it by now.
    tables: what they give, where that was computed already.

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
    given, taken_n = with_parts_of_bodies(results, results_table(book, FIGURES), results_table(book, TEXTS))
    # Which were read hangs on bodies; what each is does not.
    given["factors"] = factor_rows({str(row["id"]) for row in results_table(book, FACTORS)})
    given["worked"] = worked_numbers(given)
    choices = tuple(
        Difference(Place(words(OnPages.ANSWER)), told["sentence"], alone["sentence"])
        for told, alone in zip(given["verdicts"], results["verdicts"], strict=True)
        if told["choice"] != alone["choice"]
    )
    return given, taken_n, choices


def require_this_layout(book: RawBook) -> None:
    """Stop at results that another version wrote.

    Errors: UnreadableWorkbook if they have another layout; NoResults if they do not say which they have.
    """
    found, here = results_version(book), results_definition().version
    if found != here:
        raise UnreadableWorkbook("verify-other-layout", found=found, expected=here)


def notes_in_results(book: RawBook) -> CheckedSeason:
    """The notes that results were computed from, with the problems that were found in them.

    Errors: NoResults, LookupError, ValueError if its cells are not those of results.
    """
    problems = [problem_from_json({**row, "count": int(row["count"])}) for row in results_table(book, "problems")]
    return checked_again(echoed_notes(book), problems, results_table(book, "waiting"))


def _shown(found: Value | None, expected: Value | None) -> tuple[str, str]:
    """Two values as a line tells them: long texts from shortly before the place where they part."""
    if isinstance(found, str) and isinstance(expected, str):
        spaced = found.replace(NO_BREAK, " "), expected.replace(NO_BREAK, " ")
        found, expected = (found, expected) if spaced[0] == spaced[1] else spaced
        shorter = min(len(found), len(expected))  # where one goes on as the other ends
        alike = next((n for n in range(shorter) if found[n] != expected[n]), shorter)
        start = found.rfind(" ", 0, max(0, alike - BEFORE_PART)) + 1
        if start:
            found, expected = f"{CUT}{found[start:]}", f"{CUT}{expected[start:]}"
    return _told(found), _told(expected)


def _told(value: Value | None) -> str:
    if value is None or value == "":
        return words(InResults.NOTHING)
    return quoted(value) if isinstance(value, str) else repr(value).removesuffix(".0")
