"""What the wood's heat stands in for: the other heating's fuel, its price and its carbon dioxide."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from wood_xl.calc.figure import Figure, not_given
from wood_xl.calc.other_heating import (
    ELECTRIC,
    LIQUIDS,
    burnt_co2_kg,
    electricity_co2e_kg,
    fuel_units,
    heating_efficiency_frac,
    replaced_heat_mj,
)
from wood_xl.records import Season
from wood_xl.study.emissions import season_grid
from wood_xl.study.heat import HeatStudy
from wood_xl.study.methods import NO_SESSION
from wood_xl.study.sessions import needs

NO_OTHER = "no other heating is named"

Row = dict[str, Any]


def heat_use_rows(season: Season, study: HeatStudy) -> Iterator[Row]:
    """What a cord and the season's wood bring to the house, and what they stand in for."""
    if isinstance(study.kinds, str) and not season.wood:
        return
    a_cord = study.delivered(study.cord())
    yield _use_row(season, "One cord", Figure(1.0), a_cord)
    made = not_given(NO_SESSION) if study.cords is None else Figure(study.cords)
    yield _use_row(season, "The season's wood", made, times(a_cord, made))


def times(per_cord: Figure, amount: Figure) -> Figure:
    """A figure per cord for an amount of cords."""
    if per_cord.value is None:
        return per_cord
    return amount if amount.value is None else Figure(per_cord.value * amount.value, per_cord.basis)


def _use_row(season: Season, what: str, amount: Figure, delivered: Figure) -> Row:
    heat_in = _heat_in(season, delivered)
    return {
        "what": what,
        "cords": amount,
        "delivered_heat": delivered,
        "delivered_kwh": delivered,
        "instead_of": season.heating.other or "",
        "fuel_volume": _fuel(season, heat_in, "L"),
        "fuel_therms": _fuel(season, heat_in, "therm"),
        "fuel_energy": heat_in,
        "fuel_cost": _cost(season, heat_in),
        "fuel_co2": _co2(season, heat_in),
    }


def other_efficiency(season: Season) -> Figure:
    """Efficiency of the other heating, or why it is not known."""
    for item in ("displaced_fuel", "displaced_efficiency"):
        if item in season.broken:
            return not_given(needs(season.broken[item]))
    if season.heating.other is None:
        return not_given(NO_OTHER)
    if season.heating.other_efficiency_frac is not None:
        own = season.heating.other_efficiency_frac
        return Figure(own, f"{season.heating.other} at {100 * own:g} %, as written")
    usual = heating_efficiency_frac(season.heating.other)
    return Figure(usual, f"{season.heating.other} at {100 * usual:g} %, a usual figure")


def _heat_in(season: Season, delivered: Figure) -> Figure:
    """Gross heat or electricity that the other heating would have taken [MJ]."""
    efficiency = other_efficiency(season)
    if efficiency.value is None:
        return efficiency
    if delivered.value is None:
        return delivered
    heat = replaced_heat_mj(delivered_mj=delivered.value, efficiency_frac=efficiency.value)
    return Figure(heat, efficiency.basis)


def _fuel(season: Season, heat_in: Figure, unit: Any) -> Figure:
    heating = season.heating.other
    if heat_in.value is None or heating is None:
        return heat_in
    if unit == "L" and heating not in LIQUIDS:
        return not_given("not a liquid")
    if unit == "therm" and heating != "natural gas":
        return not_given("for gas only")
    return Figure(fuel_units(heat_mj=heat_in.value, heating=heating, unit=unit), heat_in.basis)


def _cost(season: Season, heat_in: Figure) -> Figure:
    if "displaced_fuel_price" in season.broken:
        return not_given(needs(season.broken["displaced_fuel_price"]))
    heating, price, unit = season.heating.other, season.heating.fuel_price, season.heating.fuel_price_unit
    if heat_in.value is None or heating is None:
        return heat_in
    if price is None or unit is None:
        return not_given("no price of that fuel")
    return Figure(
        price * fuel_units(heat_mj=heat_in.value, heating=heating, unit=unit),
        f"at {price:g} {season.currency} per {unit}",
    )


def _co2(season: Season, heat_in: Figure) -> Figure:
    heating = season.heating.other
    if heat_in.value is None or heating is None:
        return heat_in
    if heating in ELECTRIC:
        grid = season_grid(season)
        if grid.value is None:
            return grid
        kg = electricity_co2e_kg(heat_mj=heat_in.value, grid_kg_per_kwh=grid.value)
        return Figure(kg, f"electricity at {grid.value:.3g} kg CO2e/kWh, {grid.basis}")
    return Figure(burnt_co2_kg(heat_mj=heat_in.value, heating=heating), "at the chimney, nothing upstream")
