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
from wood_xl.checks.echo import NoResults, results_items
from wood_xl.checks.problem import Problem
from wood_xl.checks.season import CheckedSeason, check_season, is_results
from wood_xl.convert import season_records
from wood_xl.errors import DefinitionFault, UnreadableWorkbook
from wood_xl.faults import guarded
from wood_xl.io.reader import read_workbook
from wood_xl.pipeline import computed_tables
from wood_xl.records import Method, Season
from wood_xl.results import display_system, document_row, factor_edition
from wood_xl.schema.model import System, pool_definition
from wood_xl.share import LEFT_OUT
from wood_xl.study.pooling import (
    FIGURES,
    MethodOfSeason,
    SeasonOfPool,
    contribution_rows,
    pooled_figures,
    pooled_rows,
    trend_rows,
    without_rows,
)
from wood_xl.verify import notes_in_results

if TYPE_CHECKING:
    from wood_xl.raw import RawBook

MODEL = "random effects: DerSimonian and Laird 1986, interval by Hartung and Knapp 2001"
BODY_FIGURES = ("kcal_net",)
POOLED, NOTHING = "pooled", "no method of it has a figure with an interval"
NO_EFFORT = "pooled without effort: a copy without body data"

Row = dict[str, Any]
Reading = tuple[SeasonOfPool, Row, System]
Each = Callable[[Callable[[Path], Any], list[Path]], Iterable[Any]]


@dataclass(frozen=True)
class PoolOutcome:
    """What came of pooling.

    Attributes
    ----------
    document : dict or None
        As ``pool.schema.json`` describes it; None if no season could be read.
    faults : list
        (file, problem) of what could not be read.
    names : list
        (number in the pool, file) of each season, for the person alone.
    """

    document: Row | None
    faults: list[tuple[Path, Problem]]
    names: list[tuple[str, Path]]


def pool_files(paths: Sequence[Path], *, system: System | None, one_household: bool, each: Each = map) -> PoolOutcome:
    """Pool workbooks.

    Parameters
    ----------
    paths : sequence of Path
        Filled workbooks or results workbooks; they are only read.
    system : {'us', 'metric'} or None
        Units to show; None for those of the first season.
    one_household : bool
        Whether a trend from year to year may be drawn through them.
    each : function
        Applies a function to each path, in their order, as ``map`` does.
    """
    seasons: list[SeasonOfPool] = []
    rows: list[Row] = []
    faults: list[tuple[Path, Problem]] = []
    names: list[tuple[str, Path]] = []
    shown: System | None = system
    for path, (found, fault) in zip(paths, each(_guarded_read, list(paths)), strict=True):
        if found is None:
            faults += [] if fault is None else [(path, fault)]
            continue
        name = f"season {len(seasons) + 1}"
        season, row, own_system = found
        shown = shown or own_system
        seasons.append(replace(season, name=name))
        rows.append({**row, "season": name})
        names.append((name, path))
    if not seasons or shown is None:
        return PoolOutcome(None, faults, names)
    return PoolOutcome(_document(seasons, rows, shown, one_household=one_household), faults, names)


def _guarded_read(path: Path) -> tuple[Reading | None, Problem | None]:
    """One workbook, or the problem with it; it can be done in another process or on another machine."""
    return guarded(path, partial(_read, path))


def _read(path: Path) -> Reading:
    book = read_workbook(path)
    checked, has_bodies = _checked(book, path)
    tables, _ = computed_tables(checked)
    if tables is None:
        raise UnreadableWorkbook("pool-cannot-be-computed", file=path.name)
    season, _ = season_records(checked)
    figures = [figure for figure in FIGURES if has_bodies or figure not in BODY_FIGURES]
    kinds = {method.name: _kind(method, season) for method in season.methods}
    methods = tuple(
        MethodOfSeason(row["task"], kinds[row["method"]], row["sessions_n"], {key: row[key] for key in figures})
        for row in tables.tables["rates_per_cord"]
        if row["sessions_n"]
    )
    year = _year(season)
    row = {
        "season": "",
        "year": "" if year is None else str(year),
        "currency": season.currency,
        "sessions_n": tables.items["sessions_counted"],
        "state": (POOLED if has_bodies else NO_EFFORT) if methods else NOTHING,
        "season_sha256": checked.document.sha256(),
    }
    return SeasonOfPool("", year, season.currency, methods), row, display_system(checked.document)


def _checked(book: RawBook, path: Path) -> tuple[CheckedSeason, bool]:
    """The notes of a workbook of either kind, and whether body data are in them."""
    if not is_results(book):
        return check_season(book), True
    try:
        return notes_in_results(book), results_items(book, "provenance")["left_out"] != LEFT_OUT
    except (NoResults, LookupError, ValueError) as fault:
        raise UnreadableWorkbook("verify-no-results", file=path.name, found=str(fault)) from fault


def _kind(method: Method, season: Season) -> str:
    """Kinds of the powered tools of a method; by hand if it has none."""
    kinds = {tool.name: tool.kind for tool in season.tools}
    powered = sorted({kinds[tool] for tool in method.tools if kinds.get(tool, "hand") != "hand"})
    return " and ".join(powered) or "hand"


def _year(season: Season) -> int | None:
    years = [int(session.date[:4]) for session in season.sessions if session.date]
    return statistics.mode(sorted(years)) if years else season.price_year


def _document(seasons: list[SeasonOfPool], rows: list[Row], system: System, *, one_household: bool) -> Row:
    definition, currency = pool_definition(), seasons[0].currency
    figures = pooled_figures(seasons, currency)
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
            "currency": currency,
            "model": MODEL,
            "factor_edition": factor_edition(),
        },
        **{key: [document_row(definition.sheet(key), row, system) for row in table] for key, table in tables.items()},
    }
    error = next(iter(Draft202012Validator(definition.schema).iter_errors(document)), None)
    if error is not None:
        raise DefinitionFault(f"pool: {'/'.join(map(str, error.absolute_path))}: {error.message[:200]}")
    return document
