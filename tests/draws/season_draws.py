"""Seasons with all members of their figures, each computed once, to check the laws of the draws."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import cache
from typing import Any
from unittest import mock

import numpy as np
from builders import Data, checked, small_season
from test_odd_seasons import CHANGES

from wood_xl import season as season_module
from wood_xl.data import load
from wood_xl.demo import demo_data, demo_names
from wood_xl.draws.figure import Figure
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.rates import RECORDED
from wood_xl.hours.season_rates import EMISSIONS, SeasonRates
from wood_xl.money.cost import MONEY_FIGURES
from wood_xl.notes.convert import season_records
from wood_xl.records import Season
from wood_xl.results.document import results_document
from wood_xl.season import SeasonTables, season_tables

DEMOS = tuple(demo_names())
SEASONS = (*DEMOS, *CHANGES)
PER_HOUR = {"cash_per_workplace_hour": "clock_h_per_cord", "cash_per_working_hour": "working_h_per_cord"}


@dataclass(frozen=True, eq=False)
class Drawn:
    """A computed season: its figures by all members, its tables, and its results document."""

    known: SeasonRates
    tables: SeasonTables
    results: Mapping[str, Any]


class _Stop(Exception):
    def __init__(self, known: SeasonRates) -> None:
        self.known = known


def season_data(name: str) -> Data:
    """Notes of a demo or of an odd season."""
    if name in DEMOS:
        return demo_data(name)
    data = small_season()
    CHANGES[name][0](data)
    return data


@cache
def computed(name: str) -> Drawn:
    """A demo or an odd season."""
    notes, kept = checked(season_data(name)), []

    def keep(*given: Any) -> SeasonRates:
        kept.append(SeasonRates(*given))
        return kept[0]

    with mock.patch.object(season_module, "SeasonRates", keep):
        tables = season_tables(season_records(notes)[0])
    results = results_document(
        tables,
        notes,
        notes.problems,
        system=notes.document.system,
        input_sha256="0" * 64,
        template_version="1",
    )
    return Drawn(kept[0], tables, results)


def rates_of(season: Season) -> SeasonRates:
    """The figures of a season without its tables."""

    def stop(*given: Any) -> SeasonRates:
        raise _Stop(SeasonRates(*given))

    with mock.patch.object(season_module, "SeasonRates", stop):
        try:
            season_tables(season)
        except _Stop as stopped:
            return stopped.known
    raise AssertionError("a season without figures")


def tried(known: SeasonRates) -> list[MethodTotals]:
    """Methods with a session that counts."""
    return [totals for totals in known.study.totals if totals.counted]


def money_figures(known: SeasonRates, totals: MethodTotals) -> list[str]:
    """Figures of a method's money, without cash for hours that it does not have."""
    found = known.costs[totals.method.name].numbers
    unasked = {figure_id for figure_id, hours in PER_HOUR.items() if getattr(found.inputs, hours) == 0}
    return [figure_id for figure_id in MONEY_FIGURES if figure_id not in unasked]


def method_figures(known: SeasonRates) -> Iterator[tuple[str, str, Figure]]:
    """Every figure of every method."""
    for totals in known.study.totals:
        for figure_id in (*RECORDED, *money_figures(known, totals), *EMISSIONS):
            yield totals.method.name, figure_id, known.figure(totals, figure_id)


def table_figures(tables: SeasonTables) -> Iterator[tuple[str, Figure]]:
    """Each figure of each table with its place."""
    for table, rows in tables.tables.items():
        for index, row in enumerate(rows):
            for column, cell in row.items():
                if isinstance(cell, Figure):
                    yield f"{table} {index} {column}", cell


def member(thing: Any, k: int) -> Any:
    """One member of a record of arrays, as plain floats."""
    if isinstance(thing, np.ndarray):
        return float(thing[k])
    if is_dataclass(thing):
        return replace(thing, **{part.name: member(getattr(thing, part.name), k) for part in fields(thing)})
    if isinstance(thing, tuple):
        return tuple(member(one, k) for one in thing)
    if isinstance(thing, dict):
        return {key: member(one, k) for key, one in thing.items()}
    return thing


def other_constants(**changed: Mapping[str, float]) -> Any:
    """The constants with some of them changed, as a context manager."""
    known = dict(load.constants())
    for constant_id, numbers in changed.items():
        known[constant_id] = known[constant_id]._replace(**numbers)
    return mock.patch.object(load, "constants", return_value=known)
