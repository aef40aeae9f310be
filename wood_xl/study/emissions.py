"""Fuel and direct CO2 of each method: what is in the total, and what is only told beside it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from wood_xl.calc.direct_emissions import DirectCo2, direct_co2
from wood_xl.calc.figure import Figure, not_given
from wood_xl.calc.fuel import BurningKind, FuelParts, fuel_parts
from wood_xl.records import Season
from wood_xl.study.cost import CostStudy, recorded, sessions_words
from wood_xl.study.methods import NO_SESSION, MethodTotals
from wood_xl.study.sessions import burning_kind, needs

IN_TOTAL, MEMO = "in the total", "memo"
MIX_ITEMS = ("two_stroke_mix", "ethanol_share")
NO_FUEL = "no fuel burnt"

Row = dict[str, Any]

_PARTS: tuple[tuple[str, str, str, str], ...] = (
    ("Gasoline without its ethanol", IN_TOTAL, "gasoline_l", "gasoline_kg"),
    ("Two-stroke oil", IN_TOTAL, "oil_l", "oil_kg"),
    ("Diesel", IN_TOTAL, "diesel_l", "diesel_kg"),
    ("Ethanol in the gasoline, from plants", MEMO, "ethanol_l", "ethanol_kg"),
)


def co2_per_cord(totals: MethodTotals, study: CostStudy) -> tuple[FuelParts, DirectCo2, str] | str:
    """Fuel and CO2 of a method for one cord with the sessions behind it, or why there is none.

    The fuel of the sessions that recorded it over the cords of the same sessions.
    """
    if not totals.counted:
        return NO_SESSION
    kind = burning_kind(totals.method, study.tools)
    broken = [study.season.broken[item] for item in MIX_ITEMS if kind and item in study.season.broken]
    if "emissions" in totals.method.broken or broken:
        return needs(totals.method.broken.get("emissions") or broken[0])
    if kind is None:
        return FuelParts(), DirectCo2(), NO_FUEL
    found = recorded(totals, lambda s: s.fuel_l, "emissions")
    if isinstance(found, str):
        return found
    litres, cords, sessions_n = found
    if not sessions_n:
        return "no session records its fuel"
    parts = _parts(kind, litres / cords, study.season)
    return parts, direct_co2(parts), sessions_words(sessions_n, len(totals.counted))


def _parts(kind: BurningKind, fuel_l: float, season: Season) -> FuelParts:
    return fuel_parts(
        kind=kind, fuel_l=fuel_l, mix_ratio=season.two_stroke_mix_ratio, ethanol_frac=season.ethanol_frac
    )


def co2_figure(totals: MethodTotals, study: CostStudy) -> Figure:
    """Direct fossil CO2 of a method per cord [kg]."""
    found = co2_per_cord(totals, study)
    return not_given(found) if isinstance(found, str) else Figure(found[1].fossil_kg, found[2])


def emission_rows(totals: MethodTotals, study: CostStudy) -> Iterable[Row]:
    """Rows of the emissions table for one method."""
    found = co2_per_cord(totals, study)
    if isinstance(found, str):
        why = not_given(found)
        yield _row(totals, "Fuel", IN_TOTAL, why, why, why)
    elif found[2] == NO_FUEL:
        yield _row(totals, "No fuel burnt", IN_TOTAL, *(Figure(0.0) for _ in range(3)))
    else:
        parts, burnt, words = found
        for account, counted, litres_of, kg_of in _PARTS:
            litres, kg = getattr(parts, litres_of), getattr(burnt, kg_of)
            if litres:
                season_kg = Figure(kg * totals.cords, words)
                yield _row(totals, account, counted, Figure(litres, words), Figure(kg, words), season_kg)
    yield from _bar_oil(totals)


def _bar_oil(totals: MethodTotals) -> Iterable[Row]:
    found = recorded(totals, lambda s: s.bar_oil_l, "emissions")
    if isinstance(found, str) or not found[2]:
        return
    litres, cords, sessions_n = found
    words = sessions_words(sessions_n, len(totals.counted))
    why = not_given("left in the wood, not burnt in the engine")
    yield _row(totals, "Bar oil left in the wood", MEMO, Figure(litres / cords, words), why, why)


def _row(totals: MethodTotals, account: str, counted: str, litres: Figure, kg: Figure, season_kg: Figure) -> Row:
    return {
        "method": totals.method.name,
        "account": account,
        "counted": counted,
        "quantity_per_cord": litres,
        "co2_per_cord": kg,
        "co2_season": season_kg,
    }
