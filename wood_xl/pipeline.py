"""The way of one workbook: raw cells, season document, checks, records, figures, results document.

It also chooses input files and names outputs. Nothing here prints, sets exit codes, or knows a formula or a cell.
"""

from __future__ import annotations

import os
import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from wood_xl.page_texts import InMessage, RunStep
from wood_xl.progress import step
from wood_xl.reasons import Said
from wood_xl.schema.layout import INPUTS_TITLE, MARKS_TITLE, OPEN_STARTS
from wood_xl.schema.words import phrase, words

if TYPE_CHECKING:
    from wood_xl.notes.problem import Place, Problem
    from wood_xl.notes.raw import RawBook
    from wood_xl.notes.relations import Notes
    from wood_xl.notes.season import CheckedSeason
    from wood_xl.reasons import Remark, RowCell
    from wood_xl.schema.model import System
    from wood_xl.season import SeasonTables

WORKBOOK_SUFFIX, DRAFT_SUFFIX = ".xlsx", ".eml"
INPUT_SUFFIXES = (WORKBOOK_SUFFIX, ".xlsm", ".ods")
RESULTS_ENDING, SHARED_ENDING = "-results", "-shared"
SUMMARY_STEM = f"all{RESULTS_ENDING}"  # of many workbooks; its ending keeps it from being read as an input
MARKED_ENDING = "-marked"
TRIAL_ENDING, FORMS_ENDING = "-trial", "-trial-forms"


@dataclass(frozen=True)
class Checked:
    """A checked workbook, without its raw cells: those of a long heart trace need much memory."""

    sha256: str
    template_version: str | None
    remarks: tuple[str, ...]
    season: CheckedSeason
    problems: list[Problem]  # in report order


class Scored(NamedTuple):
    """A computed workbook."""

    problems: list[Problem]
    results: dict[str, Any] | None  # results document; None if it cannot be computed


def input_files(paths: Iterable[Path], *, with_results: bool = False) -> list[Path]:
    """Files to read: given files, and the workbooks of given folders by name, without this program's own outputs.

    A file that is given alone is always read.

    with_results: include results whose workbook is not beside them, such as those that somebody shared.
    """
    paths, inputs = [*paths], list[Path]()
    named = {path for path in paths if not path.is_dir()}
    for path in paths:
        if path in named:
            is_read = len(named) == 1 or not _is_output(path, named, with_results=with_results)
            inputs += [path] if is_read else []
            continue
        entries = {
            entry
            for entry in path.iterdir()
            if entry.suffix.lower() in INPUT_SUFFIXES
            and not entry.is_dir()
            and not entry.name.startswith(".")  # macOS puts ._a.xlsx beside a.xlsx on USB sticks
        }
        found = (
            entry
            for entry in entries
            if not _is_named_as_output(entry, entries, with_results=with_results)
            and not _is_output(entry, entries, with_results=with_results)
        )
        inputs += sorted(found, key=_name_order)
    return list(dict.fromkeys(inputs))


def _name_order(path: Path) -> tuple[str, str]:
    """Sort key that is the same on every system."""
    return path.name.casefold(), path.name


def _is_named_as_output(path: Path, beside: Collection[Path], *, with_results: bool) -> bool:
    """Whether a file in a folder is called as this program calls its outputs; other programs may have saved it."""
    if path.stem.endswith((MARKED_ENDING, FORMS_ENDING)):
        return True
    is_results = path.stem.endswith((RESULTS_ENDING, SHARED_ENDING))
    return is_results and (not with_results or path.stem == SUMMARY_STEM or _has_workbook(path, beside))


def _has_workbook(results: Path, beside: Collection[Path]) -> bool:
    """Whether the workbook of results is among the files beside them."""
    stem = results.stem.removesuffix(RESULTS_ENDING).removesuffix(SHARED_ENDING)
    return any(one.stem == stem != results.stem and one.parent == results.parent for one in beside)


def _is_output(path: Path, beside: Collection[Path], *, with_results: bool) -> bool:
    """Whether a file is a lock file of an open workbook, or as this program wrote it and no notes."""
    if path.name.startswith(OPEN_STARTS):
        return True
    from wood_xl.io.pack import sheets_as_written
    from wood_xl.schema.model import season_definition

    sheets = sheets_as_written(path) or set()
    if with_results and INPUTS_TITLE in sheets:
        return _has_workbook(path, beside)
    is_filled_in = {season_definition().sheet(sheet_id).title for sheet_id in ("methods", "sessions")} <= sheets
    return bool(sheets) and (not is_filled_in or MARKS_TITLE in sheets)


def lock_files(path: Path) -> list[Path]:
    """Lock files that spreadsheet programs put beside a workbook they have open."""
    names = (f"{OPEN_STARTS[0]}{path.name}", f"{OPEN_STARTS[1]}{path.name}#")
    return [lock for lock in (path.parent / name for name in names) if os.path.lexists(lock)]


def passed_over(paths: Sequence[Path], *, with_results: bool = False) -> list[tuple[Path, bool]]:
    """Paths that are not read, and whether each is a folder; without this program's outputs in folders."""
    read = {*input_files(paths, with_results=with_results)}
    skipped = [(path, False) for path in paths if path not in read and not path.is_dir()]
    for path in (path for path in paths if path.is_dir()):
        for entry in sorted(path.iterdir(), key=_name_order):
            is_of_another_kind = entry.suffix.lower() not in INPUT_SUFFIXES and entry.suffix.lower() != DRAFT_SUFFIX
            if not entry.name.startswith((".", "~$")) and (entry.is_dir() or is_of_another_kind):
                skipped.append((entry, entry.is_dir()))
    return skipped


def with_ending(path: Path, ending: str) -> Path:
    """An output path with an ending that other programs know; any other ending stays, except on a workbook."""
    has_one = path.suffix.lower() == ending or (path.suffix and ending != WORKBOOK_SUFFIX)
    return path if has_one or path.name in ("", "..") else path.with_name(path.name + ending)


def marked_path(path: Path, suffix: str = "") -> Path:
    """Path of the marked copy of a workbook; without a suffix, it is guessed by the name."""
    suffix = suffix or (".ods" if path.suffix.lower() == ".ods" else ".xlsx")
    return path.with_name(f"{path.stem}{MARKED_ENDING}{suffix}")


def trial_paths(path: Path, out: Path | None, forms: Path | None) -> tuple[Path, Path]:
    """Paths of the copy and the forms of a trial: beside the workbook, unless they are given.

    The rest of a trial is planned from its filled copy. It is not replaced: the next copy gets a number.
    """
    last = re.fullmatch(rf"(.*{TRIAL_ENDING})(?:-([0-9]{{1,3}}))?", path.stem, re.DOTALL)
    stem = f"{path.stem}{TRIAL_ENDING}" if last is None else f"{last[1]}-{int(last[2] or 1) + 1}"
    copy = out or path.parent / f"{stem}.xlsx"
    return copy, forms or copy.parent / f"{copy.stem.removesuffix(TRIAL_ENDING)}{FORMS_ENDING}.xlsx"


def check_file(path: Path) -> Checked:
    """Read and check one workbook, and list the defaults that were used.

    Errors: UnreadableWorkbook if the file cannot be read as a workbook.
    """
    checked = _read_and_check(path)
    tables, found = computed_tables(checked.season)
    half_filled = [] if tables is None else _problems_of(tables.half_filled(), checked.season)
    return replace(checked, problems=_in_order(checked, [*found, *half_filled]))


def score_file(path: Path, system: System | None) -> Scored:
    """Read, check and compute one workbook.

    Errors: UnreadableWorkbook if the file cannot be read as a workbook.
    """
    from wood_xl.results.document import results_document

    checked = _read_and_check(path)
    tables, found = computed_tables(checked.season)
    problems = _in_order(checked, found)
    if tables is None:
        return Scored(problems, None)
    results = results_document(
        tables,
        checked.season,
        problems,
        system=system or checked.season.document.system,
        input_sha256=checked.sha256,
        template_version=checked.template_version,
    )
    return Scored(problems, results)


def read_filled(path: Path) -> RawBook:
    """Raw cells of a filled workbook, up to the row limit of each sheet.

    Errors: UnreadableWorkbook if the file cannot be read as a workbook.
    """
    from wood_xl.io.reader import read_workbook
    from wood_xl.schema.model import season_definition

    limits = {title.casefold(): sheet.row_limit for sheet in season_definition().sheets for title in sheet.titles}
    return read_workbook(path, row_limits={title: limit for title, limit in limits.items() if limit})


def _read_and_check(path: Path) -> Checked:
    from wood_xl.notes.season import check_season

    with step(RunStep.READING, file=path.name):
        book = read_filled(path)
    with step(RunStep.CHECKING):
        season = check_season(book)
    return Checked(book.sha256, book.template_version, book.notes, season, season.problems)


def computed_tables(season: CheckedSeason) -> tuple[SeasonTables | None, list[Problem]]:
    """Tables of a checked season, with the problems found while computing; None if it cannot be computed."""
    from wood_xl.data.load import reading
    from wood_xl.notes.convert import season_records
    from wood_xl.season import season_tables

    if not season.can_be_computed:
        return None, []
    with step(RunStep.COMPUTING), reading() as read:
        records, defaults = season_records(season)
        tables = replace(season_tables(records), read_before=frozenset(read))
    return tables, [*defaults, *_problems_of(tables.remarks, season)]


def _problems_of(remarks: Iterable[Remark], season: CheckedSeason) -> list[Problem]:
    """Remarks as problems, each at its cell."""
    from wood_xl.notes.problem import problem

    return [
        problem(
            code, _place(season.notes, about), **{key: _fact_text(fact, about, season) for key, fact in facts.items()}
        )
        for code, about, facts in remarks
    ]


def _place(notes: Notes, about: str | RowCell) -> Place:
    """The cell of the workbook that a remark is about."""
    from wood_xl.notes.names import plain
    from wood_xl.notes.problem import Place
    from wood_xl.reasons import RowCell

    if isinstance(about, RowCell):
        sheet_id, _, column_id = about.column.partition(".")
        row = notes.named(sheet_id, plain(about.name))
        if row is None and sheet_id == "sessions":  # stacking within a splitting session
            names = {plain(phrase(InMessage.STACKING_OF, session=name)): name for name in notes.by_name(sheet_id)}
            row, column_id = notes.named(sheet_id, names.get(plain(about.name))), "stacking_time"
            about = RowCell(f"sessions.{column_id}", about.name)
        if row is None:
            return Place(about=about.column)
        if about.column == "sessions.elapsed_time" and not any(map(row.is_empty, ("start", "stop"))):
            column_id = "start"  # clock times take precedence over elapsed time
        return row.place(column_id)
    sheet_id, _, column_id = about.rpartition(".")
    return notes.document.place(sheet_id or "season", None, column_id)._replace(header="") if about else Place()


def _fact_text(fact: str | float | Said, about: str | RowCell, season: CheckedSeason) -> str:
    """A fact in words. A number is an amount of an item of the Season sheet, in the unit of its cell."""
    if isinstance(fact, str | Said):
        return words(fact)
    from wood_xl.schema.model import season_definition
    from wood_xl.units import convert

    column = season_definition().column(f"season.{about}")
    shown = season.document.unit("season", column.id) or column.unit_in(season.document.system)
    return f"{convert(fact, column.unit, shown):.2g} {shown}"


def computed_again(
    season: CheckedSeason, provenance: Mapping[str, Any], tables: SeasonTables | None = None
) -> dict[str, Any] | None:
    """Results computed again from notes in results, with their provenance; None if nothing can be computed.

    tables: of these notes, if they were computed already.
    """
    from wood_xl.results.document import results_document

    tables = tables or computed_tables(season)[0]
    if tables is None:
        return None
    return results_document(
        tables,
        season,
        season.problems,
        system="us" if provenance["display_units"] == "us" else "metric",
        input_sha256=str(provenance["input_sha256"]),
        template_version=str(provenance["template_version"]),
    )


def _in_order(checked: Checked, further: list[Problem]) -> list[Problem]:
    from wood_xl.notes.problem import in_report_order, problem

    remarks = [problem("file-remark", found=note) for note in checked.remarks]
    places = checked.season.document.places.values()
    order = dict.fromkeys(title for one in places for title in one.titles)
    return in_report_order([*remarks, *checked.season.problems, *further], list(order))


def results_path(path: Path, out: Path | None, *, several: bool, is_shared: bool = False) -> Path:
    """Path of the results: beside the workbook, the given file, or in the given folder, which is made if missing.

    Shared results have their own ending, so that neither replaces the other or is mailed by mistake.
    """
    name = f"{path.stem}{SHARED_ENDING if is_shared else RESULTS_ENDING}.xlsx"
    if out is None:
        return path.with_name(name)
    if several or out.is_dir() or not out.suffix:
        out.mkdir(parents=True, exist_ok=True)
        return out / name
    return with_ending(out, WORKBOOK_SUFFIX)
