"""The published figures that a season's figures were computed with: those that were read, each with its source."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from wood_xl.data.load import activities, constants, json_entries, sources
from wood_xl.data.small_engines import small_engines
from wood_xl.ids import Gas
from wood_xl.pages import InResults
from wood_xl.schema.words import capital, phrase, words

SIGNIFICANT_DIGITS = 10  # platforms agree on so many
OF_BODIES = ("constants_effort.json", "constants_strain_and_exposure.json")
COLUMNS = ("id", "title", "value", "unit", "source", "where", "known")
ENGINE_SOURCE = "epa_nonroad_2008"
ENGINE_FIGURES = {  # of an engine's row: what it is of, and its unit
    "fuel_lb_per_hp_h": (InResults.FUEL, "lb/hp-h"),
    "thc_g_per_hp_h": (Gas.HYDROCARBONS, "g/hp-h"),
    "co_g_per_hp_h": (Gas.CARBON_MONOXIDE, "g/hp-h"),
    "nox_g_per_hp_h": (InResults.NITROGEN_OXIDES, "g/hp-h"),
    "pm_g_per_hp_h": (Gas.PARTICLES, "g/hp-h"),
}

Row = dict[str, Any]


def factor_rows(read: Collection[str]) -> list[Row]:
    """Published figures and assumptions by their ids, each with its source and how it is known."""
    rows = [(c.id, c.title, c.value, c.unit, c.source, c.where, c.known) for c in constants().values()]
    for one in activities().values():
        where = phrase(InResults.CODE, code=one.code)
        rows.append((_activity_id(one.code), one.label, one.met, "MET", one.source, where, one.known))
    for engine in small_engines().values():
        where = phrase(InResults.TECHNOLOGY, code=engine.code)
        for column, (name, unit) in ENGINE_FIGURES.items() if engine.used != "no" else ():
            title, number = f"{capital(words(name))}: {engine.title}", getattr(engine, column)
            rows.append((engine.figure_id(column), title, number, unit, ENGINE_SOURCE, where, engine.known))
    return [
        dict(zip(COLUMNS, (key, title, rounded(number), unit, source_text(source), *rest), strict=True))
        for key, title, number, unit, source, *rest in rows
        if key in read
    ]


def read_of_bodies(read: Collection[str]) -> set[str]:
    """What was read, with all figures for effort and strain: which of those were read tells of somebody's body."""
    return {*read, *(key for name in OF_BODIES for key in json_entries(name)), *map(_activity_id, activities())}


def _activity_id(code: str) -> str:
    return f"activity.{code}"


def rounded(value: float, digits: int = SIGNIFICANT_DIGITS) -> float:
    """The number to so many significant digits, without a negative zero."""
    return float(f"{value:.{digits}g}") + 0.0


def source_text(source_id: str) -> str:
    """A publication in one line."""
    source = sources()[source_id]
    year = f" ({source.year})" if source.year else ""
    return f"{source.authors}: {source.title}{year}"
