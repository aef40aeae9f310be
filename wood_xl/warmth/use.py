"""Tables of the heating that wood replaces, and of the heat and wood that the next winter needs."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from operator import add, mul

from wood_xl.air.method import season_grid
from wood_xl.data.load import value
from wood_xl.draws.ensemble import Number
from wood_xl.draws.figure import Figure, Row, not_given
from wood_xl.draws.normal import Array
from wood_xl.hours.sessions import needs, waiting
from wood_xl.ids import Amount, NeedBasis, Way
from wood_xl.reasons import Basis, Reason, Said, Word, said
from wood_xl.records import FuelUnit, NextSeason, OtherHeating, Season
from wood_xl.warmth import other_heating
from wood_xl.warmth.cord import HeatStudy
from wood_xl.warmth.doubt import SURE, combined, figure_of, range_draws
from wood_xl.warmth.heat import (
    cords_for_heat,
    heat_loss_w_per_k,
    internal_gains_frac,
    need_by_degree_days_mj,
    to_next_winter,
)
from wood_xl.warmth.other_heating import fuel_heat_mj
from wood_xl.wood.geometry import cords


def heat_use_rows(season: Season, study: HeatStudy) -> Iterator[Row]:
    """Heat delivered by a cord and by the season's wood, and the fuel that it replaces."""
    if isinstance(study.kinds, Said) and not season.wood:
        return
    a_cord = study.from_a_cord
    yield _use_row(season, Amount.ONE_CORD, Figure(1.0, reason=said(Reason.EXACT)), a_cord)
    yield _use_row(season, Amount.SEASON, study.cords, for_cords(a_cord, study.cords))


def for_cords(per_cord: Figure, amount: Figure) -> Figure:
    """A figure per cord, for a number of cords; doubt that enters both with opposite powers cancels."""
    return combined(mul, per_cord, amount, basis=per_cord.basis)


def _use_row(season: Season, what: Amount, amount: Figure, delivered: Figure) -> Row:
    efficiency = _other_efficiency(season)

    def replaced_mj(efficiency_frac: Number, delivered_mj: Number) -> Number:
        return other_heating.replaced_heat_mj(delivered_mj=delivered_mj, efficiency_frac=efficiency_frac)

    heat_in = combined(replaced_mj, efficiency, delivered, basis=efficiency.basis)
    return Row(
        what=what,
        cords=amount,
        delivered_heat=delivered,
        delivered_kwh=delivered,
        instead_of=season.heating.other or "",
        fuel_volume=_fuel(season, heat_in, "L"),
        fuel_therms=_fuel(season, heat_in, "therm"),
        fuel_energy=heat_in,
        fuel_cost=_cost(season, heat_in),
        fuel_co2=_co2(season, heat_in),
    )


def _other_efficiency(season: Season) -> Figure:
    """Efficiency of the other heating, or why it is not known."""
    wait, heating = waiting(season.broken, "displaced_fuel", "displaced_efficiency"), season.heating.other
    if wait is not None or heating is None:
        return not_given(wait or said(Reason.NO_OTHER_HEATING))
    frac = season.heating.other_efficiency_frac
    if frac is not None:
        return figure_of(frac, said(Basis.HEATING_WRITTEN, heating=heating, percent=100 * frac))
    usual = f"heating.efficiency.{heating.replace(' ', '_')}"
    frac = value(usual) / 100
    basis = said(Basis.HEATING_USUAL, heating=heating, percent=100 * frac)
    return figure_of(frac * range_draws(usual), basis)


def _content_draws(heating: OtherHeating, unit: FuelUnit) -> Array:
    """Heat in a unit of a fuel, relative: in doubt if sold by volume, exact if sold by heat."""
    is_by_volume = unit in ("gal", "L")
    return range_draws(f"heating.heat_content.{heating.replace(' ', '_')}") if is_by_volume else SURE


def _units(
    heat_in: Figure, heating: OtherHeating, unit: FuelUnit, *, each: float = 1.0, basis: Said | None
) -> Figure:
    """Units of a fuel that contain an amount of heat, each multiplied by ``each``."""

    def units(heat_mj: Number) -> Number:
        units_n = other_heating.fuel_units(heat_mj=heat_mj, heating=heating, unit=unit)
        return each * units_n / _content_draws(heating, unit)

    return combined(units, heat_in, basis=basis)


def _fuel(season: Season, heat_in: Figure, unit: FuelUnit) -> Figure:
    heating = season.heating.other
    if heat_in.value is None or heating is None:
        return heat_in
    if unit == "L" and heating not in other_heating.LIQUIDS:
        return not_given(said(Reason.NOT_A_LIQUID))
    if unit == "therm" and heating != "natural gas":
        return not_given(said(Reason.FOR_GAS_ONLY))
    if season.heating.fuel_price is not None and season.heating.fuel_price_unit == "kWh":
        return not_given(said(Reason.PRICED_BY_KWH))  # the table has the fuel in kWh beside it
    return _units(heat_in, heating, unit, basis=heat_in.basis)


def _cost(season: Season, heat_in: Figure) -> Figure:
    wait = waiting(season.broken, "displaced_fuel_price")
    if wait is not None:
        return not_given(wait)
    heating, price, unit = season.heating.other, season.heating.fuel_price, season.heating.fuel_price_unit
    if heat_in.value is None or heating is None:
        return heat_in
    if price is None or unit is None:
        return not_given(said(Reason.NO_PRICE_OF_THAT_FUEL))
    basis = said(Basis.FUEL_PRICE, price=price, currency=season.currency, unit=unit)
    return _units(heat_in, heating, unit, each=price, basis=basis)


def _co2(season: Season, heat_in: Figure) -> Figure:
    heating = season.heating.other
    if heat_in.value is None or heating is None:
        return heat_in
    if heating not in other_heating.ELECTRIC:
        burned = partial(other_heating.burned_co2_kg, heating=heating)
        return figure_of(burned(heat_mj=heat_in.number), said(Basis.AT_CHIMNEY))
    grid = season_grid(season)
    if grid.value is None:
        return grid
    kg = other_heating.electricity_co2e_kg(heat_mj=heat_in.number, grid_kg_per_kwh=grid.value)
    return figure_of(kg, said(Basis.ELECTRICITY_AT, kg=grid.value, basis=grid.basis))


WINTER_ITEMS = ("degree_days_next", "degree_days_last", "degree_day_base")


def heat_need_rows(season: Season, study: HeatStudy) -> Iterator[Row]:
    """One row for each way to estimate the need."""
    following = season.next_season
    a_cord = study.from_a_cord
    if following.volume_wanted_m3 is not None:
        wanted = figure_of(cords(following.volume_wanted_m3))
        loss = not_given(said(Reason.NOT_BY_THIS_WAY))
        yield _row(Way.WANTED, for_cords(a_cord, wanted), wanted, loss, NeedBasis.AS_WRITTEN)
    wood, fuel = _wood_burned(following), _fuel_heat(season)
    burned = None if wood is None else for_cords(a_cord, wood)
    if wood is not None and burned is not None:
        yield _from_last_winter(Way.LAST_WOOD, burned, following, a_cord, wood)
    if fuel is not None:
        yield _from_last_winter(Way.LAST_FUEL, fuel, following, a_cord)
    if burned is not None and fuel is not None:
        yield _from_last_winter(Way.LAST_BOTH, combined(add, burned, fuel), following, a_cord)
    if following.winter.heat_loss_w_per_k is not None or "heat_loss" in following.broken:
        yield _by_loss(following, a_cord)


def _row(way: Way, heat: Figure, amount: Figure, loss: Figure, basis: Word | None = None) -> Row:
    return Row(way=way, heat=heat, heat_kwh=heat, cords=amount, heat_loss=loss, words=basis)


def _wood_burned(following: NextSeason) -> Figure | None:
    """Cords burned last winter; None if they are not written."""
    if "last_winter_volume" in following.broken:
        return not_given(needs(following.broken["last_winter_volume"]))
    burned_m3 = following.winter.last_winter_volume_m3
    return None if burned_m3 is None else figure_of(cords(burned_m3))


def _fuel_heat(season: Season) -> Figure | None:
    """Heat delivered by last winter's fuel [MJ]; None if no fuel is written."""
    following, heating = season.next_season, season.heating.other
    if "last_winter_fuel" in following.broken:
        return not_given(needs(following.broken["last_winter_fuel"]))
    amount, unit = following.winter.last_winter_fuel, following.winter.last_winter_fuel_unit
    if amount is None or unit is None:
        return None
    efficiency = _other_efficiency(season)
    if efficiency.value is None or heating is None:
        return efficiency
    heat_mj = amount * fuel_heat_mj(heating=heating, unit=unit) * _content_draws(heating, unit)
    return figure_of(heat_mj * efficiency.number, efficiency.basis)


def _from_last_winter(
    way: Way, last: Figure, following: NextSeason, a_cord: Figure, wood: Figure | None = None
) -> Row:
    """Need from last winter's heat.

    wood: cords burned, if the heat is that of wood alone: the need in cords then takes no stove.
    """
    wait = waiting(following.broken, *WINTER_ITEMS)
    if wait is not None:
        why = not_given(wait)
        return _row(way, why, why, why)
    before, after = following.winter.degree_days_last_k, following.winter.degree_days_next_k
    to_next = partial(to_next_winter, degree_days_last_k=before, degree_days_next_k=after)
    heat = combined(to_next, last, basis=last.basis)
    amount = _cords(heat, a_cord) if wood is None else combined(to_next, wood)
    basis = NeedBasis.BY_DEGREE_DAYS if before and after else NeedBasis.AS_LAST_WINTER
    loss = not_given(said(Reason.NO_DEGREE_DAYS_OF_LAST_WINTER))
    if last.value is None:
        loss = last
    elif before is not None:
        gains, of_gains = _gains(following)
        implied = heat_loss_w_per_k(delivered_mj=last.number, degree_days_k=before, gains_frac=gains)
        loss = figure_of(implied, of_gains)
    return _row(way, heat, amount, loss, basis)


def _by_loss(following: NextSeason, a_cord: Figure) -> Row:
    loss, degree_days, way = following.winter.heat_loss_w_per_k, following.winter.degree_days_next_k, Way.HEAT_LOSS
    if loss is None or degree_days is None:
        wait = waiting(following.broken, *WINTER_ITEMS, "heat_loss")
        why = not_given(wait or said(Reason.NO_DEGREE_DAYS_OF_USUAL_WINTER))
        return _row(way, why, why, why)
    gains, basis = _gains(following)
    need = need_by_degree_days_mj(heat_loss_w_per_k=loss, degree_days_k=degree_days, gains_frac=gains)
    heat = figure_of(need, basis)
    return _row(way, heat, _cords(heat, a_cord), figure_of(loss, said(Basis.AS_WRITTEN)))


def _gains(following: NextSeason) -> tuple[Number, Said]:
    """Share of the loss that heating covers, and its basis; in doubt only for the conventional base."""
    share = internal_gains_frac(base_c=following.winter.degree_day_base_c)
    if share < 1:
        return share * range_draws("heat_need.internal_gains"), said(Basis.PART_OF_LOSS, share=share)
    return share, said(Basis.WHOLE_LOSS)


def _cords(heat: Figure, a_cord: Figure) -> Figure:
    return combined(lambda need, one: cords_for_heat(need_mj=need, delivered_mj_per_cord=one), heat, a_cord)
