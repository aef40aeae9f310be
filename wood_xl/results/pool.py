"""From several workbooks, filled or scored, to one study of them: document and workbook.

A results workbook is as good as a filled one, since it holds the notes; one without body data gives no effort.
"""

from __future__ import annotations

import statistics
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from jsonschema import Draft202012Validator

from wood_xl import __version__
from wood_xl.errors import DefinitionFault, UnreadableWorkbook
from wood_xl.faults import guarded
from wood_xl.ids import Pooled
from wood_xl.io.reader import read_workbook
from wood_xl.notes.convert import season_records
from wood_xl.notes.echo import NoResults, results_items
from wood_xl.notes.problem import Problem, problem
from wood_xl.notes.season import CheckedSeason, check_season, is_results
from wood_xl.pages import InPool
from wood_xl.pipeline import computed_tables
from wood_xl.records import Season
from wood_xl.results.document import MONEY, document_row, factor_edition, worded_row
from wood_xl.results.pooling import (
    FIGURES,
    SeasonOfPool,
    contribution_rows,
    figures_of_season,
    pooled_figures,
    pooled_rows,
    trend_rows,
    without_rows,
)
from wood_xl.results.share import is_shared
from wood_xl.results.verify import notes_in_results
from wood_xl.schema.model import Sheet, System, pool_definition, summary_definition
from wood_xl.schema.words import phrase, words

if TYPE_CHECKING:
    from wood_xl.notes.raw import RawBook

BODY_FIGURES = ("kcal_net",)

Row = dict[str, Any]
Fault = tuple[Path, Problem]
Each = Callable[[Callable[[Path], Any], list[Path]], Iterable[Any]]


@dataclass(frozen=True)
class Reading:
    """One workbook as it is pooled, and its row of the table of seasons, which holds the hash of its notes."""

    season: SeasonOfPool
    row: Row
    system: System
    has_bodies: bool

    @property
    def notes_sha256(self) -> str:
        """Hash of the notes; of a copy without body data, that of the whole notes, as the copy says."""
        return str(self.row["season_sha256"])


@dataclass(frozen=True)
class PoolOutcome:
    """What came of pooling.

    document: as ``pool.schema.json`` describes it; None if no season could be read.
    faults: (file, problem) of what could not be read, or holds the notes of another file.
    names: (number in the pool, file) of each season, for the person alone.
    """

    document: Row | None
    faults: list[Fault]
    names: list[tuple[str, Path]]


def pool_files(paths: Sequence[Path], *, system: System | None, one_household: bool, each: Each = map) -> PoolOutcome:
    """Pool workbooks."""
    faults: list[Fault] = []
    read: list[tuple[Path, Reading]] = []
    for path, (reading, fault) in zip(paths, each(_guarded_read, list(paths)), strict=True):
        read += [] if reading is None else [(path, reading)]
        faults += [] if fault is None else [(path, fault)]
    kept, doubles = _distinct(read)
    faults += doubles
    if not kept:
        return PoolOutcome(None, faults, [])
    names = [(phrase(InPool.SEASON, number=number), path) for number, (path, _) in enumerate(kept, start=1)]
    seasons = [replace(one.season, name=name) for (name, _), (_, one) in zip(names, kept, strict=True)]
    rows = [{**one.row, "season": name} for (name, _), (_, one) in zip(names, kept, strict=True)]
    shown = system or kept[0][1].system
    return PoolOutcome(_document(seasons, rows, shown, one_household=one_household), faults, names)


def _distinct(read: Sequence[tuple[Path, Reading]]) -> tuple[list[tuple[Path, Reading]], list[Fault]]:
    """One workbook for each season's notes, one with body data if there is any, and a line for each other one.

    A filled workbook, its marked copy, its results and what was shared of them are one season.
    """
    same: dict[str, list[tuple[Path, Reading]]] = {}
    for one in read:
        same.setdefault(one[1].notes_sha256, []).append(one)
    kept, doubles = [], []
    for group in same.values():
        chosen = next((one for one in group if one[1].has_bodies), group[0])
        kept.append(chosen)
        doubles += [
            (one[0], problem("pool-same-notes", None, file=one[0].name, other=str(chosen[0])))
            for one in group
            if one is not chosen
        ]
    return kept, doubles


def _guarded_read(path: Path) -> tuple[Reading | None, Problem | None]:
    """One workbook, or the problem with it; it can be done in another process or on another machine."""
    return guarded(path, partial(_read, path))


def _read(path: Path) -> Reading:
    book = read_workbook(path)
    checked, left_out_of = _checked(book, path)
    tables, _ = computed_tables(checked)
    if tables is None:
        raise UnreadableWorkbook("pool-cannot-be-computed", file=path.name)
    season, _ = season_records(checked)
    has_bodies = left_out_of is None
    figures = [one for one in FIGURES if has_bodies or one not in BODY_FIGURES]
    given = figures_of_season(tables.rates, figures)
    year = _year(season)
    row = {
        "season": "",
        "year": "" if year is None else str(year),
        "currency": season.currency,
        "sessions_n": tables.items["sessions_counted"],
        "invented": tables.items["invented"],
        "state": (Pooled.YES if has_bodies else Pooled.WITHOUT_EFFORT) if given else Pooled.NOTHING,
        "season_sha256": left_out_of or checked.document.sha256(),
    }
    season_of_pool = SeasonOfPool("", year, season.currency, season.price_year or year, given)
    return Reading(season_of_pool, row, checked.document.system, has_bodies)


def _checked(book: RawBook, path: Path) -> tuple[CheckedSeason, str | None]:
    """The notes of a workbook of either kind, and the hash of the whole notes if body data were left out of them."""
    titles = {sheet.title for sheet in book.sheets}
    for definition, kind in ((summary_definition(), InPool.SUMMARY), (pool_definition(), InPool.POOLED_STUDY)):
        if titles >= {sheet.result_sheet for sheet in definition.sheets}:
            raise UnreadableWorkbook("pool-no-season", file=path.name, found=words(kind))
    if not is_results(book):
        return check_season(book), None
    try:
        provenance = results_items(book, "provenance")
        return notes_in_results(book), str(provenance["season_sha256"]) if is_shared(provenance) else None
    except (NoResults, LookupError, ValueError) as fault:
        raise UnreadableWorkbook("verify-no-results", file=path.name, found=str(fault)) from fault


def _year(season: Season) -> int | None:
    years = [int(session.date[:4]) for session in season.sessions if session.date]
    return statistics.mode(sorted(years)) if years else season.price_year


def _document(seasons: list[SeasonOfPool], rows: list[Row], system: System, *, one_household: bool) -> Row:
    definition = pool_definition()
    figures = pooled_figures(seasons, one_household=one_household)
    tables: dict[str, list[Row]] = {
        "pooled": list(pooled_rows(figures)),
        "contributions": list(contribution_rows(figures)),
        "without": list(without_rows(figures)),
        "trends": list(trend_rows(figures)) if one_household else [],
        "seasons": rows,
    }
    document = {
        "version": definition.version,
        "provenance": {
            "tool": f"wood_xl {__version__}",
            "pool_version": definition.version,
            "display_units": system,
            "model": words(InPool.MODEL),
            "invented": _invented(rows),
            "factor_edition": factor_edition(),
        },
        **{key: [_row(definition.sheet(key), row, system) for row in table] for key, table in tables.items()},
    }
    error = next(iter(Draft202012Validator(definition.schema).iter_errors(document)), None)
    if error is not None:
        raise DefinitionFault(f"pool: {'/'.join(map(str, error.absolute_path))}: {error.message[:200]}")
    return document


def _invented(rows: Sequence[Row]) -> str:
    """Which seasons are invented examples; nothing if none is."""
    seasons = tuple(row["season"] for row in rows if row["invented"])
    return phrase(InPool.INVENTED, seasons=seasons) if seasons else ""


def _row(sheet: Sheet, row: Row, system: System) -> Row:
    """A row of the document; one that is about money names its currency."""
    money = row.get("money")
    return worded_row(sheet, document_row(sheet, row, system, MONEY if money is None else money["currency"]))
