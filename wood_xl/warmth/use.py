"""What the wood's heat stands in for, and heat and wood that the next winter needs, by every way the notes allow."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from operator import add, mul

from wood_xl.air.method import season_grid
from wood_xl.draws.ensemble import Number
from wood_xl.draws.figure import Figure, Row, not_given
from wood_xl.draws.normal import Array
from wood_xl.hours.sessions import needs, waiting
from wood_xl.ids import Amount, NeedBasis, Way
from wood_xl.reasons import Basis, Reason, Said, Word, said
from wood_xl.records import FuelUnit, NextSeason, OtherHeating, Season
from wood_xl.warmth import other_heating
from wood_xl.warmth.cord import HeatStudy
from wood_xl.warmth.doubt import SURE, ranged, shown, worked_out
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
    """What a cord and the season's wood bring to the house, and what they stand in for."""
    if isinstance(study.kinds, Said) and not season.wood:
        return
    a_cord = study.from_a_cord
    yield _use_row(season, Amount.ONE_CORD, Figure(1.0, reason=said(Reason.EXACT)), a_cord)
    yield _use_row(season, Amount.SEASON, study.cords, times(a_cord, study.cords))


def times(per_cord: Figure, amount: Figure) -> Figure:
    """A figure per cord for an amount of cords; what is in both with opposite powers cancels."""
    return worked_out(mul, per_cord, amount, basis=per_cord.basis)


def _use_row(season: Season, what: Amount, amount: Figure, delivered: Figure) -> Row:
    efficiency = _other_efficiency(season)

    def replaced(share: Number, to_house: Number) -> Number:
        return other_heating.replaced_heat_mj(delivered_mj=to_house, efficiency_frac=share)

    heat_in = worked_out(replaced, efficiency, delivered, basis=efficiency.basis)
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
        return shown(frac, said(Basis.HEATING_WRITTEN, heating=heating, percent=100 * frac))
    usual = other_heating.heating_efficiency_frac(heating)
    basis = said(Basis.HEATING_USUAL, heating=heating, percent=100 * usual)
    return shown(usual * ranged(f"heating.efficiency.{heating.replace(' ', '_')}"), basis)


def _content_draws(heating: OtherHeating, unit: FuelUnit) -> Array:
    """Heat in a unit of a fuel, relative: in doubt where it is sold by volume, exact where it is sold by heat."""
    is_by_volume = unit in ("gal", "L")
    return ranged(f"heating.heat_content.{heating.replace(' ', '_')}") if is_by_volume else SURE


def _units(
    heat_in: Figure, heating: OtherHeating, unit: FuelUnit, *, each: float = 1.0, basis: Said | None
) -> Figure:
    """Units of a fuel that hold a heat, times what each of them is."""

    def units(heat_mj: Number) -> Number:
        found = other_heating.fuel_units(heat_mj=heat_mj, heating=heating, unit=unit)
        return each * found / _content_draws(heating, unit)

    return worked_out(units, heat_in, basis=basis)


def _fuel(season: Season, heat_in: Figure, unit: FuelUnit) -> Figure:
    heating = season.heating.other
    if heat_in.value is None or heating is None:
        return heat_in
    if unit == "L" and heating not in other_heating.LIQUIDS:
        return not_given(said(Reason.NOT_A_LIQUID))
    if unit == "therm" and heating != "natural gas":
        return not_given(said(Reason.FOR_GAS_ONLY))
    if season.heating.fuel_price is not None and season.heating.fuel_price_unit == "kWh":
        return not_given(said(Reason.PRICED_BY_KWH))  # what a bill goes by is the fuel's energy
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
        burnt = partial(other_heating.burnt_co2_kg, heating=heating)
        return shown(burnt(heat_mj=heat_in.number), said(Basis.AT_CHIMNEY))
    grid = season_grid(season)
    if grid.value is None:
        return grid
    kg = other_heating.electricity_co2e_kg(heat_mj=heat_in.number, grid_kg_per_kwh=grid.value)
    return shown(kg, said(Basis.ELECTRICITY_AT, kg=grid.value, basis=grid.basis))


WINTER_ITEMS = ("degree_days_next", "degree_days_last", "degree_day_base")


def heat_need_rows(season: Season, study: HeatStudy) -> Iterator[Row]:
    """One row for each way by which the need can be told."""
    following = season.next_season
    a_cord = study.from_a_cord
    if following.volume_wanted_m3 is not None:
        wanted = shown(cords(following.volume_wanted_m3))
        loss = not_given(said(Reason.NOT_BY_THIS_WAY))
        yield _row(Way.WANTED, times(a_cord, wanted), wanted, loss, NeedBasis.AS_WRITTEN)
    wood, fuel = _wood_burned(following), _fuel_heat(season)
    burned = None if wood is None else times(a_cord, wood)
    if wood is not None and burned is not None:
        yield _from_last_winter(Way.LAST_WOOD, burned, following, a_cord, wood)
    if fuel is not None:
        yield _from_last_winter(Way.LAST_FUEL, fuel, following, a_cord)
    if burned is not None and fuel is not None:
        yield _from_last_winter(Way.LAST_BOTH, worked_out(add, burned, fuel), following, a_cord)
    if following.winter.heat_loss_w_per_k is not None or "heat_loss" in following.broken:
        yield _by_loss(following, a_cord)


def _row(way: Way, heat: Figure, amount: Figure, loss: Figure, basis: Word | None = None) -> Row:
    return Row(way=way, heat=heat, heat_kwh=heat, cords=amount, heat_loss=loss, words=basis)


def _wood_burned(following: NextSeason) -> Figure | None:
    """Cords that last winter burned; None if none are written."""
    if "last_winter_volume" in following.broken:
        return not_given(needs(following.broken["last_winter_volume"]))
    burned_m3 = following.winter.last_winter_volume_m3
    return None if burned_m3 is None else shown(cords(burned_m3))


def _fuel_heat(season: Season) -> Figure | None:
    """Heat that last winter's fuel gave to the house [MJ]; None if none is written."""
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
    return shown(heat_mj * efficiency.number, efficiency.basis)


def _from_last_winter(
    way: Way, last: Figure, following: NextSeason, a_cord: Figure, wood: Figure | None = None
) -> Row:
    """A need as last winter's heat was; that of wood in cords by the cords burned, which ask for no stove."""
    wait = waiting(following.broken, *WINTER_ITEMS)
    if wait is not None:
        why = not_given(wait)
        return _row(way, why, why, why)
    before, after = following.winter.degree_days_last_k, following.winter.degree_days_next_k
    to_next = partial(to_next_winter, degree_days_last_k=before, degree_days_next_k=after)
    heat = worked_out(to_next, last, basis=last.basis)
    amount = _cords(heat, a_cord) if wood is None else worked_out(to_next, wood)
    basis = NeedBasis.BY_DEGREE_DAYS if before and after else NeedBasis.AS_LAST_WINTER
    loss = not_given(said(Reason.NO_DEGREE_DAYS_OF_LAST_WINTER))
    if last.value is None:
        loss = last
    elif before is not None:
        gains, of_gains = _gains(following)
        implied = heat_loss_w_per_k(delivered_mj=last.number, degree_days_k=before, gains_frac=gains)
        loss = shown(implied, of_gains)
    return _row(way, heat, amount, loss, basis)


def _by_loss(following: NextSeason, a_cord: Figure) -> Row:
    loss, degree_days, way = (following.winter.heat_loss_w_per_k, following.winter.degree_days_next_k, Way.HEAT_LOSS)
    if loss is None or degree_days is None:
        wait = waiting(following.broken, *WINTER_ITEMS, "heat_loss")
        why = not_given(wait or said(Reason.NO_DEGREE_DAYS_OF_USUAL_WINTER))
        return _row(way, why, why, why)
    gains, basis = _gains(following)
    need = need_by_degree_days_mj(heat_loss_w_per_k=loss, degree_days_k=degree_days, gains_frac=gains)
    heat = shown(need, basis)
    return _row(way, heat, _cords(heat, a_cord), shown(loss, said(Basis.AS_WRITTEN)))


def _gains(following: NextSeason) -> tuple[Number, Said]:
    """Share of the loss that heating gives, and its basis: in doubt on the conventional base alone."""
    share = internal_gains_frac(base_c=following.winter.degree_day_base_c)
    if share < 1:
        return share * ranged("heat_need.internal_gains"), said(Basis.PART_OF_LOSS, share=share)
    return share, said(Basis.WHOLE_LOSS)


def _cords(heat: Figure, a_cord: Figure) -> Figure:
    return worked_out(lambda need, one: cords_for_heat(need_mj=need, delivered_mj_per_cord=one), heat, a_cord)
