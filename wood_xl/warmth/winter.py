"""Heat and wood that the next winter needs, by every way that the notes allow."""

from __future__ import annotations

from collections.abc import Iterator

from wood_xl.draws.figure import Figure, Row
from wood_xl.draws.normal import Array
from wood_xl.hours.sessions import needs, waiting
from wood_xl.ids import NeedBasis, Way
from wood_xl.reasons import Basis, Reason, Said, said
from wood_xl.records import NextSeason, Season
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
from wood_xl.warmth.use import content_draws, other_efficiency, times
from wood_xl.wood.geometry import cords

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


def _row(way: Way, heat: Unsure, amount: Unsure, loss: Unsure, basis: NeedBasis | None = None) -> Row:
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
