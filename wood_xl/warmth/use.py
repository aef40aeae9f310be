"""What the wood's heat stands in for: the other heating's fuel, its price and its carbon dioxide."""

from __future__ import annotations

from collections.abc import Iterator

from wood_xl.air.method import season_grid
from wood_xl.draws.figure import Figure, Row
from wood_xl.draws.normal import Array
from wood_xl.hours.sessions import waiting
from wood_xl.ids import Amount
from wood_xl.reasons import Basis, Reason, Said, said
from wood_xl.records import FuelUnit, OtherHeating, Season
from wood_xl.warmth import other_heating
from wood_xl.warmth.cord import HeatStudy
from wood_xl.warmth.doubt import SURE, Unsure, not_known, ranged


def heat_use_rows(season: Season, study: HeatStudy) -> Iterator[Row]:
    """What a cord and the season's wood bring to the house, and what they stand in for."""
    if isinstance(study.kinds, Said) and not season.wood:
        return
    a_cord = study.from_a_cord()
    yield _use_row(season, Amount.ONE_CORD, Figure(1.0, reason=said(Reason.EXACT)), a_cord)
    amount = Unsure(study.cords, study.amount)
    yield _use_row(season, Amount.SEASON, amount.shown(), times(a_cord, amount))


def times(per_cord: Unsure, amount: Unsure) -> Unsure:
    """A figure per cord for an amount of cords; what is in both with opposite powers cancels."""
    one, cords = per_cord.figure, amount.figure
    if one.value is None or cords.value is None:
        return per_cord if one.value is None else amount
    return Unsure(Figure(one.value * cords.value, one.basis), per_cord.relative * amount.relative)


def _use_row(season: Season, what: Amount, amount: Figure, delivered: Unsure) -> Row:
    heat_in = _heat_in(season, delivered)
    return Row(
        what=what,
        cords=amount,
        delivered_heat=delivered.shown(),
        delivered_kwh=delivered.shown(),
        instead_of=season.heating.other or "",
        fuel_volume=_fuel(season, heat_in, "L").shown(),
        fuel_therms=_fuel(season, heat_in, "therm").shown(),
        fuel_energy=heat_in.shown(),
        fuel_cost=_cost(season, heat_in).shown(),
        fuel_co2=_co2(season, heat_in).shown(),
    )


def other_efficiency(season: Season) -> Unsure:
    """Efficiency of the other heating, or why it is not known."""
    wait = waiting(season.broken, "displaced_fuel", "displaced_efficiency")
    if wait is not None or season.heating.other is None:
        return not_known(wait or said(Reason.NO_OTHER_HEATING))
    if season.heating.other_efficiency_frac is not None:
        frac = season.heating.other_efficiency_frac
        basis = said(Basis.HEATING_WRITTEN, heating=season.heating.other, percent=100 * frac)
        return Unsure(Figure(frac, basis), SURE)
    usual = other_heating.heating_efficiency_frac(season.heating.other)
    basis = said(Basis.HEATING_USUAL, heating=season.heating.other, percent=100 * usual)
    return Unsure(Figure(usual, basis), ranged(f"heating.efficiency.{season.heating.other.replace(' ', '_')}"))


def content_draws(heating: OtherHeating, unit: FuelUnit) -> Array:
    """Heat in a unit of a fuel, relative: in doubt where it is sold by volume, exact where it is sold by heat."""
    is_by_volume = unit in ("gal", "L")
    return ranged(f"heating.heat_content.{heating.replace(' ', '_')}") if is_by_volume else SURE


def _heat_in(season: Season, delivered: Unsure) -> Unsure:
    efficiency = other_efficiency(season)
    share, to_house = efficiency.figure, delivered.figure
    if share.value is None or to_house.value is None:
        return efficiency if share.value is None else delivered
    heat = other_heating.replaced_heat_mj(delivered_mj=to_house.value, efficiency_frac=share.value)
    return Unsure(Figure(heat, share.basis), delivered.relative / efficiency.relative)


def _fuel(season: Season, heat_in: Unsure, unit: FuelUnit) -> Unsure:
    heating, heat = season.heating.other, heat_in.figure
    if heat.value is None or heating is None:
        return heat_in
    if unit == "L" and heating not in other_heating.LIQUIDS:
        return not_known(said(Reason.NOT_A_LIQUID))
    if unit == "therm" and heating != "natural gas":
        return not_known(said(Reason.FOR_GAS_ONLY))
    if season.heating.fuel_price is not None and season.heating.fuel_price_unit == "kWh":
        return not_known(said(Reason.PRICED_BY_KWH))  # what a bill goes by is the fuel's energy
    amount = Figure(other_heating.fuel_units(heat_mj=heat.value, heating=heating, unit=unit), heat.basis)
    return Unsure(amount, heat_in.relative / content_draws(heating, unit))


def _cost(season: Season, heat_in: Unsure) -> Unsure:
    wait = waiting(season.broken, "displaced_fuel_price")
    if wait is not None:
        return not_known(wait)
    heating, price, unit = season.heating.other, season.heating.fuel_price, season.heating.fuel_price_unit
    heat = heat_in.figure
    if heat.value is None or heating is None:
        return heat_in
    if price is None or unit is None:
        return not_known(said(Reason.NO_PRICE_OF_THAT_FUEL))
    cost = price * other_heating.fuel_units(heat_mj=heat.value, heating=heating, unit=unit)
    basis = said(Basis.FUEL_PRICE, price=price, currency=season.currency, unit=unit)
    return Unsure(Figure(cost, basis), heat_in.relative / content_draws(heating, unit))


def _co2(season: Season, heat_in: Unsure) -> Unsure:
    heating, heat = season.heating.other, heat_in.figure
    if heat.value is None or heating is None:
        return heat_in
    if heating in other_heating.ELECTRIC:
        grid = season_grid(season)
        if grid.value is None:
            return Unsure(grid, SURE)
        kg = other_heating.electricity_co2e_kg(heat_mj=heat.value, grid_kg_per_kwh=grid.value)
        figure = Figure(kg, said(Basis.ELECTRICITY_AT, kg=grid.value, basis=grid.basis))
    else:
        figure = Figure(other_heating.burnt_co2_kg(heat_mj=heat.value, heating=heating), said(Basis.AT_CHIMNEY))
    return Unsure(figure, heat_in.relative)
