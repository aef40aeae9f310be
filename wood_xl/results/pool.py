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
from wood_xl.errors import DefinitionFault, UnreadableWorkbook, shown
from wood_xl.faults import guarded
from wood_xl.ids import Pooled
from wood_xl.io.guard import open_package
from wood_xl.io.package import Package
from wood_xl.io.reader import book_of
from wood_xl.notes.convert import season_records
from wood_xl.notes.echo import results_items
from wood_xl.notes.problem import Level, Problem, problem
from wood_xl.notes.season import CheckedSeason, check_season, is_results
from wood_xl.pages import InPool
from wood_xl.pipeline import computed_tables
from wood_xl.records import Season
from wood_xl.results.document import MONEY, document_row, factor_edition, worded_row
from wood_xl.results.of_bodies import is_shared
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
from wood_xl.results.share import shared_sha256
from wood_xl.results.verify import notes_in_results, require_this_layout, told_apart, verified, written_again
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
    """One workbook as it is pooled, and its row of the table of seasons, which holds the hash of its notes.

    notes_sha256: hash of what can be shared of its notes, which a copy without body data has as well.
    doubt: why results are not as they should be, where they are pooled all the same.
    """

    season: SeasonOfPool
    row: Row
    system: System
    has_bodies: bool
    notes_sha256: str
    doubt: Problem | None


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


def pool_files(
    paths: Sequence[Path],
    *,
    system: System | None,
    one_household: bool,
    with_unverified: bool = False,
    each: Each = map,
) -> PoolOutcome:
    """Pool workbooks; results that do not hold are left out unless ``with_unverified``."""
    faults: list[Fault] = []
    read: list[tuple[Path, Reading]] = []
    for path, (reading, fault) in zip(paths, each(partial(_guarded_read, with_unverified), list(paths)), strict=True):
        read += [] if reading is None else [(path, reading)]
        doubt = fault if reading is None else reading.doubt
        faults += [] if doubt is None else [(path, doubt)]
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
            (one[0], problem("pool-same-notes", None, file=shown(one[0].name), other=shown(chosen[0])))
            for one in group
            if one is not chosen
        ]
    return kept, doubles


def _guarded_read(with_unverified: bool, path: Path) -> tuple[Reading | None, Problem | None]:
    """One workbook, or the problem with it; it can be done in another process or on another machine."""
    return guarded(path, partial(_read, path, with_unverified=with_unverified), is_limited=True)


def _read(path: Path, *, with_unverified: bool) -> Reading:
    package = open_package(path)
    book = book_of(package, {})
    checked, is_copy = _checked(book, package.file)
    doubt = _doubt(package, book) if is_results(book) else None
    if doubt is not None and not with_unverified:
        raise UnreadableWorkbook("pool-not-verified", file=package.file, found=doubt)
    tables, _ = computed_tables(checked)
    if tables is None:
        raise UnreadableWorkbook("pool-cannot-be-computed", file=package.file)
    season, _ = season_records(checked)
    figures = [one for one in FIGURES if not (is_copy and one in BODY_FIGURES)]
    given = figures_of_season(tables.rates, figures)
    year = _year(season)
    row = {
        "season": "",
        "year": "" if year is None else str(year),
        "currency": season.currency,
        "sessions_n": tables.items["sessions_counted"],
        "invented": tables.items["invented"],
        "state": (Pooled.WITHOUT_EFFORT if is_copy else Pooled.YES) if given else Pooled.NOTHING,
        "season_sha256": checked.document.sha256(),
    }
    return Reading(
        SeasonOfPool("", year, season.currency, season.price_year or year, given),
        row,
        checked.document.system,
        not is_copy,
        shared_sha256(checked.document.data),
        None if doubt is None else problem("pool-unverified", file=package.file, found=doubt),
    )


def _doubt(package: Package, book: RawBook) -> str | None:
    """The first thing in results that is not as it comes out; None if there is none."""
    with told_apart(package.file):
        found = verified(package, book, written_again(book)).problems()
    return next((one.text for one in found if one.level is Level.FIX), None)


def _checked(book: RawBook, file: str) -> tuple[CheckedSeason, bool]:
    """The notes of a workbook of either kind, and whether body data were left out of them."""
    titles = {sheet.title for sheet in book.sheets}
    for definition, kind in ((summary_definition(), InPool.SUMMARY), (pool_definition(), InPool.POOLED_STUDY)):
        if titles >= {sheet.result_sheet for sheet in definition.sheets}:
            raise UnreadableWorkbook("pool-no-season", file=file, found=words(kind))
    if not is_results(book):
        return check_season(book), False
    with told_apart(file):
        require_this_layout(book)
        return notes_in_results(book), is_shared(results_items(book, "provenance"))


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
