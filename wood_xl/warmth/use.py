"""What the wood's heat stands in for, and heat and wood that the next winter needs, by every way the notes allow."""

from __future__ import annotations

from collections.abc import Iterator

from wood_xl.air.method import season_grid
from wood_xl.draws.figure import Figure, Row
from wood_xl.draws.normal import Array
from wood_xl.hours.sessions import needs, waiting
from wood_xl.ids import Amount, NeedBasis, Way
from wood_xl.reasons import Basis, Reason, Said, Word, said
from wood_xl.records import FuelUnit, NextSeason, OtherHeating, Season
from wood_xl.warmth import other_heating
from wood_xl.warmth.cord import HeatStudy
from wood_xl.warmth.doubt import SURE, Unsure, not_known, ranged
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


WINTER_ITEMS = ("degree_days_next", "degree_days_last", "degree_day_base")


def heat_need_rows(season: Season, study: HeatStudy) -> Iterator[Row]:
    """One row for each way by which the need can be told."""
    following = season.next_season
    a_cord = study.from_a_cord()
    if following.volume_wanted_m3 is not None:
        wanted = Unsure(Figure(cords(following.volume_wanted_m3)), SURE)
        loss = not_known(said(Reason.NOT_BY_THIS_WAY))
        yield _row(Way.WANTED, times(a_cord, wanted), wanted, loss, NeedBasis.AS_WRITTEN)
    wood, fuel = _wood_burned(following), _fuel_heat(season)
    burned = None if wood is None else times(a_cord, wood)
    if wood is not None and burned is not None:
        yield _from_last_winter(Way.LAST_WOOD, burned, following, a_cord, wood)
    if fuel is not None:
        yield _from_last_winter(Way.LAST_FUEL, fuel, following, a_cord)
    if burned is not None and fuel is not None:
        yield _from_last_winter(Way.LAST_BOTH, _sum(burned, fuel), following, a_cord)
    if following.winter.heat_loss_w_per_k is not None or "heat_loss" in following.broken:
        yield _by_loss(following, a_cord)


def _row(way: Way, heat: Unsure, amount: Unsure, loss: Unsure, basis: Word | None = None) -> Row:
    shown = heat.shown()
    return Row(way=way, heat=shown, heat_kwh=shown, cords=amount.shown(), heat_loss=loss.shown(), words=basis)


def _wood_burned(following: NextSeason) -> Unsure | None:
    """Cords that last winter burned; None if none are written."""
    if "last_winter_volume" in following.broken:
        return not_known(needs(following.broken["last_winter_volume"]))
    if following.winter.last_winter_volume_m3 is None:
        return None
    return Unsure(Figure(cords(following.winter.last_winter_volume_m3)), SURE)


def _fuel_heat(season: Season) -> Unsure | None:
    """Heat that last winter's fuel gave to the house [MJ]; None if none is written."""
    following, heating = season.next_season, season.heating.other
    if "last_winter_fuel" in following.broken:
        return not_known(needs(following.broken["last_winter_fuel"]))
    amount, unit = following.winter.last_winter_fuel, following.winter.last_winter_fuel_unit
    if amount is None or unit is None:
        return None
    efficiency = other_efficiency(season)
    if efficiency.figure.value is None or heating is None:
        return efficiency
    heat = amount * fuel_heat_mj(heating=heating, unit=unit) * efficiency.figure.value
    return Unsure(Figure(heat, efficiency.figure.basis), efficiency.relative * content_draws(heating, unit))


def _sum(one: Unsure, other: Unsure) -> Unsure:
    first, second = one.figure.value, other.figure.value
    if first is None or second is None:
        return one if first is None else other
    both = first + second
    return Unsure(Figure(both), (first * one.relative + second * other.relative) / both if both else SURE)


def _from_last_winter(
    way: Way, last: Unsure, following: NextSeason, a_cord: Unsure, wood: Unsure | None = None
) -> Row:
    """A need as last winter's heat was; that of wood in cords by the cords burned, which ask for no stove."""
    wait = waiting(following.broken, *WINTER_ITEMS)
    if wait is not None:
        why = not_known(wait)
        return _row(way, why, why, why)
    before, after = following.winter.degree_days_last_k, following.winter.degree_days_next_k
    heat = _to_next(last, following)
    amount = _cords(heat, a_cord) if wood is None else _to_next(wood, following)
    basis = NeedBasis.BY_DEGREE_DAYS if before and after else NeedBasis.AS_LAST_WINTER
    loss = not_known(said(Reason.NO_DEGREE_DAYS_OF_LAST_WINTER))
    if last.figure.value is None:
        loss = last
    elif before is not None:
        gains, basis_of_gains, draws = _gains(following)
        implied = heat_loss_w_per_k(delivered_mj=last.figure.value, degree_days_k=before, gains_frac=gains)
        loss = Unsure(Figure(implied, basis_of_gains), last.relative / draws)
    return _row(way, heat, amount, loss, basis)


def _to_next(last: Unsure, following: NextSeason) -> Unsure:
    """What last winter took, taken to a usual winter."""
    if last.figure.value is None:
        return last
    before, after = following.winter.degree_days_last_k, following.winter.degree_days_next_k
    need = to_next_winter(last.figure.value, degree_days_last_k=before, degree_days_next_k=after)
    return Unsure(Figure(need, last.figure.basis), last.relative)


def _by_loss(following: NextSeason, a_cord: Unsure) -> Row:
    loss, degree_days, way = (following.winter.heat_loss_w_per_k, following.winter.degree_days_next_k, Way.HEAT_LOSS)
    if loss is None or degree_days is None:
        wait = waiting(following.broken, *WINTER_ITEMS, "heat_loss")
        why = not_known(wait or said(Reason.NO_DEGREE_DAYS_OF_USUAL_WINTER))
        return _row(way, why, why, why)
    gains, basis, draws = _gains(following)
    need = need_by_degree_days_mj(heat_loss_w_per_k=loss, degree_days_k=degree_days, gains_frac=gains)
    heat = Unsure(Figure(need, basis), draws)
    return _row(way, heat, _cords(heat, a_cord), Unsure(Figure(loss, said(Basis.AS_WRITTEN)), SURE))


def _gains(following: NextSeason) -> tuple[float, Said, Array]:
    """Share of the loss that heating gives, its basis and its draws: in doubt on the conventional base alone."""
    share = internal_gains_frac(base_c=following.winter.degree_day_base_c)
    if share < 1:
        return share, said(Basis.PART_OF_LOSS, share=share), ranged("heat_need.internal_gains")
    return share, said(Basis.WHOLE_LOSS), SURE


def _cords(heat: Unsure, a_cord: Unsure) -> Unsure:
    need, per_cord = heat.figure.value, a_cord.figure.value
    if need is None or per_cord is None:
        return heat if need is None else a_cord
    if per_cord <= 0:
        return not_known(said(Reason.NO_HEAT))
    amount = cords_for_heat(need_mj=need, delivered_mj_per_cord=per_cord)
    return Unsure(Figure(amount), heat.relative / a_cord.relative)
