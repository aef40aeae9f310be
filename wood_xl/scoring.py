"""Scores one filled workbook into a results workbook, and reports the outcome as plain data.

An outcome can pass between processes and be kept between runs.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, cast

from wood_xl import pipeline
from wood_xl.error_handling import guarded
from wood_xl.errors import shown
from wood_xl.page_texts import InCalendar, InResults, RunStep
from wood_xl.progress import step
from wood_xl.schema.words import phrase

if TYPE_CHECKING:
    from wood_xl.notes.problem import Problem
    from wood_xl.schema.model import System

WRITTEN, TO_MEND, NOTHING_WRITTEN = 0, 1, 3

RATES = "rates_per_cord"
SEASON_ITEMS = ("season_name", "currency", "sessions_counted", "sessions_not_counted")

Row = dict[str, Any]


class Places(NamedTuple):
    """Where results or a study are written."""

    target: Path  # workbook
    json_out: Path | None = None
    csv_out: Path | None = None  # folder of CSV tables
    may_replace: bool = False
    calendar_out: Path | None = None  # calendar file of the planned sessions

    def files(self, *, of_study: bool = False) -> list[Path]:
        """All files to write."""
        tables: list[Path] = []
        if self.csv_out is not None:
            from wood_xl.results.csv_package import file_names

            tables = [self.csv_out / name for name in file_names(of_study=of_study)]
        return [place for place in (self.target, self.json_out, *tables, self.calendar_out) if place is not None]

    def write(
        self,
        document: Row,
        book: Callable[[], bytes],
        inputs: Sequence[Path],
        tell: Callable[[str], None],
        *,
        of_study: bool = False,
        is_again: bool = False,
    ) -> None:
        """Write a document, the workbook first, and report each file or folder written.

        is_again: whether the workbook may be replaced, even if other files may not.
        """
        from wood_xl.io.pack import write_atomically
        from wood_xl.results.document import json_file

        with step(RunStep.WRITING, file=self.target.name):
            write_atomically(self.target, book(), replace=self.may_replace or is_again, inputs=inputs)
        tell(f"Wrote {shown(self.target)}")
        if self.json_out is not None:
            write_atomically(self.json_out, json_file(document), replace=self.may_replace, inputs=inputs)
            tell(f"Wrote {shown(self.json_out)}")
        if self.csv_out is not None:
            from wood_xl.results.csv_package import csv_package, study_package

            self.csv_out.mkdir(parents=True, exist_ok=True)
            for name, data in (study_package if of_study else csv_package)(document).items():
                write_atomically(self.csv_out / name, data, replace=self.may_replace, inputs=inputs)
            tell(f"Wrote tables to {shown(self.csv_out)}")


@dataclass(frozen=True)
class Order:
    """One workbook to score."""

    path: Path  # filled workbook
    places: Places
    system: System | None = None  # units of the results; None for those of the notes
    is_shared: bool = False  # leave out names, place, remarks and body data

    @property
    def target(self) -> Path:
        """Results workbook."""
        return self.places.target


@dataclass(frozen=True)
class Outcome:
    """Outcome of one order."""

    path: str  # filled workbook
    code: int  # exit code
    report: tuple[str, ...] = ()  # lines on what was found and written
    errors: tuple[str, ...] = ()  # lines on what ended the work
    # Problems to mend and to look at, and the first of them with its cell; of shared results, without private ones.
    fix_n: int = 0
    look_n: int = 0
    first: str = ""
    season: Row = field(default_factory=dict)  # ``SEASON_ITEMS``; empty without results
    rates: tuple[tuple[str | float, ...], ...] = ()  # rows of rates per cord, in the units of the schema

    def without_lines(self) -> Outcome:
        """The outcome as it is kept once its lines are printed."""
        return replace(self, report=(), errors=())


def outcome_from_json(entry: Row) -> Outcome:
    """An outcome from the result of ``dataclasses.asdict``, read from JSON.

    Errors: LookupError, TypeError or AttributeError if it is none.
    """
    from wood_xl.schema.model import results_definition

    lists = {"report": (), "errors": (), "rates": tuple(tuple(row) for row in entry["rates"])}
    outcome = Outcome(**{**entry, **lists})
    columns_n = len(results_definition().sheet(RATES).columns)
    cells = [cell for row in (*outcome.rates, outcome.season.values()) for cell in row]
    is_one = all(len(row) == columns_n for row in outcome.rates) and outcome.season.keys() <= set(SEASON_ITEMS)
    if not is_one or not all(isinstance(cell, str | int | float) for cell in cells):
        raise TypeError(f"not an outcome: {entry.keys()}")
    return outcome


def score_order(order: Order) -> Outcome:
    """Score one workbook; a fault becomes part of the outcome."""
    outcome, fault = guarded(order.path, lambda: _scored(order), is_limited=True)
    return cast("Outcome", outcome) if fault is None else refused(order, fault)


def refused(order: Order, fault: Problem) -> Outcome:
    """Outcome of an order for which nothing was written."""
    errors = (fault_line(order.path, fault),)
    return Outcome(str(order.path), NOTHING_WRITTEN, errors=errors, **_problem_counts([fault.as_json()]))


def fault_line(path: Path, fault: Problem) -> str:
    """Level and line of the fault that ended the work on a file, with the file's name.

    For a missing file, also the current folder and a workbook with a similar name.
    """
    line = fault.line()
    if fault.code == "file-missing":
        line += guarded(path, lambda: _nearby(path))[0] or ""
    return f"{fault.level.name}  {line if shown(path.name) in line else f'{shown(path)}: {line}'}"


def _nearby(path: Path) -> str:
    from wood_xl.notes.names import nearest

    there = sorted(path.parent.iterdir()) if path.parent.is_dir() else []
    stems = {one.stem: one.name for one in there if one.suffix.lower() in pipeline.INPUT_SUFFIXES}
    near = nearest(path.stem, stems)
    folder = "" if path.is_absolute() else f" You are in {shown(Path.cwd())}."
    return folder if near is None else f"{folder} Near it: {shown(stems[near])}."


def _scored(order: Order) -> Outcome:
    from wood_xl.io.pack import require_outputs

    places = order.places
    before = None if places.may_replace else _earlier_results(places.target)
    again = None if before is None else places.target
    require_outputs(places.files(), [order.path], replace=places.may_replace, tables=places.csv_out, again=again)
    scored = pipeline.score_file(order.path, order.system)
    outcome = Outcome(
        str(order.path),
        code_of(scored.problems),
        tuple(report_lines(order.path, scored.problems, notes=False)),
        **_problem_counts([problem.as_json() for problem in scored.problems]),
    )
    if scored.results is None:
        return replace(outcome, code=NOTHING_WRITTEN)
    results = scored.results
    if order.is_shared:
        from wood_xl.results.share import shared

        results = shared(results)
    written: list[str] = []
    is_again = before is not None and before.are_still_of(results, places.target)
    _, fault = guarded(places.target, lambda: _write(order, results, written, is_again=is_again))
    if fault is not None:
        errors = (fault_line(order.path, fault),)
        outcome = replace(outcome, errors=errors, code=max(outcome.code, TO_MEND) if written else NOTHING_WRITTEN)
    elif places.calendar_out is not None and not results["plan"]["sessions"]:
        line = phrase(InCalendar.NONE, why=results["plan"]["last_session"])
        outcome = replace(outcome, errors=(line,), code=max(outcome.code, TO_MEND))
    if order.is_shared and written:
        written.append(f"Left out: {results['provenance']['left_out']}. {phrase(InResults.NAMES_STAY)}")
    return replace(
        outcome,
        report=(*outcome.report, *written),
        **_problem_counts(results["problems"]),  # the summary shows these
        season={key: results["season"][key] for key in SEASON_ITEMS},
        rates=tuple(_plain_rates(row, results["provenance"]["display_units"]) for row in results[RATES]),
    )


def _problem_counts(problems: Sequence[Row]) -> Row:
    """Number of problems to mend and to look at, and the first of them."""
    grave = [one for one in problems if one["level"] != "NOTE"]
    look_n = sum(int(one["count"]) for one in grave if one["level"] == "LOOK")
    first = (
        " ".join(part for part in (grave[0]["sheet"], grave[0]["cell"], grave[0]["text"]) if part) if grave else ""
    )
    return {"fix_n": sum(int(one["count"]) for one in grave) - look_n, "look_n": look_n, "first": first}


def _plain_rates(row: Row, system: System) -> tuple[str | float, ...]:
    """A row of rates as texts and numbers in the units of the schema; the reason where there is no number."""
    from wood_xl.schema.model import results_definition
    from wood_xl.units import convert

    plain: list[str | float] = []
    for column in results_definition().sheet(RATES).columns:
        cell = row[column.id]
        if column.type == "figure":
            number = cell["value"]
            if number is not None and column.units:
                number = convert(number, column.unit_in(system), column.unit)
            cell = cell["reason"] if number is None else number
        plain.append(cell)
    return tuple(plain)


class _EarlierResults(NamedTuple):
    """Results of an earlier run at the path of new ones."""

    season_name: str
    left_out: str
    sessions: frozenset[tuple[str, str]]  # name and day of each
    state: tuple[int, ...]  # of the file

    def are_still_of(self, results: Row, path: Path) -> bool:
        """Whether they are of the same season as new results, with as much left out, and not changed meanwhile.

        Seasons often share a name, so one of the sessions has to be the same.
        """
        theirs = results["season"]["season_name"], results["provenance"]["left_out"]
        is_alike = theirs == (self.season_name, self.left_out) and self.state == _state(path)
        return is_alike and not self.sessions.isdisjoint(_sessions_in(results["inputs"]))


def _sessions_in(notes: Row) -> frozenset[tuple[str, str]]:
    return frozenset((str(row.get("session")), str(row.get("date"))) for row in notes["sessions"])


def _state(path: Path) -> tuple[int, ...]:
    try:
        status = path.stat()
    except OSError:
        return ()
    return status.st_ino, status.st_size, status.st_mtime_ns


def _earlier_results(path: Path) -> _EarlierResults | None:
    """Results at a path, whole and as this program wrote them; None if there are none."""
    from wood_xl.errors import UnreadableWorkbook
    from wood_xl.io.pack import is_as_written
    from wood_xl.io.reader import read_workbook
    from wood_xl.io.seal import seal_of, stored_seal
    from wood_xl.notes.echo import NoResults, notes_on, results_items
    from wood_xl.schema.layout import INPUTS_TITLE

    if not is_as_written(path):
        return None
    try:
        state, book = _state(path), read_workbook(path)
        name, origin = results_items(book, "season")["season_name"], results_items(book, "provenance")
        notes = notes_on(book, [INPUTS_TITLE], str(origin["template_version"])).data
        is_whole = stored_seal(book) == seal_of(book)
    except (NoResults, UnreadableWorkbook, LookupError, ValueError):
        return None
    return _EarlierResults(str(name), str(origin["left_out"]), _sessions_in(notes), state) if is_whole else None


def _write(order: Order, results: Row, lines: list[str], *, is_again: bool) -> None:
    """Write all files of an order and add a line for each.

    is_again: whether results of the same season may be replaced.
    """
    from wood_xl.io.page import PAPERS
    from wood_xl.report.book import results_bytes

    paper, places = PAPERS[results["provenance"]["display_units"]], order.places
    places.write(results, lambda: results_bytes(results, paper=paper), [order.path], lines.append, is_again=is_again)
    if places.calendar_out is not None and results["plan"]["sessions"]:
        from wood_xl.io.pack import write_atomically
        from wood_xl.results.calendar_file import calendar_text

        data = calendar_text(results).encode("utf-8")
        write_atomically(places.calendar_out, data, replace=places.may_replace, inputs=[order.path])
        lines.append(f"Wrote {shown(places.calendar_out)}")


def report_lines(path: Path, problems: Sequence[Problem], *, notes: bool) -> list[str]:
    """Lines on one file: a count by level, then each problem; notes only if asked."""
    from wood_xl.notes.problem import Level

    counts = {level: sum(p.count for p in problems if p.level is level) for level in Level}
    words = {Level.STOP: "to stop", Level.FIX: "to mend", Level.LOOK: "to look at", Level.NOTE: "for the record"}
    summary = ", ".join(f"{counts[level]} {words[level]}" for level in Level if counts[level])
    listed = [found for found in problems if notes or found.level is not Level.NOTE]
    return [
        f"{shown(path)}: {summary or 'nothing to mend'}",
        *(f"  {found.level.name:4}  {found.line()}" for found in listed),
    ]


def code_of(problems: Sequence[Problem]) -> int:
    """Exit code for problems."""
    from wood_xl.notes.problem import Level

    if any(found.level is Level.STOP for found in problems):
        return NOTHING_WRITTEN
    return TO_MEND if any(found.level is Level.FIX or found.withholds for found in problems) else WRITTEN
