"""Heat and wood that the next winter needs, by every way that the notes allow."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from wood_xl.calc.figure import Figure, not_given
from wood_xl.calc.geometry import cords
from wood_xl.calc.heat_need import (
    cords_for_heat,
    heat_loss_w_per_k,
    internal_gains_frac,
    need_by_degree_days_mj,
    to_next_winter,
)
from wood_xl.calc.other_heating import fuel_heat_mj
from wood_xl.records import NextSeason, Season
from wood_xl.study.heat import HeatStudy
from wood_xl.study.heat_use import other_efficiency, times
from wood_xl.study.sessions import needs

WINTER_ITEMS = ("degree_days_next", "degree_days_last", "degree_day_base")

Row = dict[str, Any]


def heat_need_rows(season: Season, study: HeatStudy) -> Iterator[Row]:
    """One row for each way by which the need can be told."""
    following = season.next_season
    a_cord = study.delivered(study.cord())
    if following.volume_wanted_m3 is not None:
        wanted = Figure(cords(following.volume_wanted_m3))
        yield _row("Wood wanted", times(a_cord, wanted), wanted, not_given("not by this way"), "as written")
    burned, fuel = _wood_heat(following, a_cord), _fuel_heat(season)
    if burned is not None:
        yield _from_last_winter("Last winter's wood", burned, following, a_cord)
    if fuel is not None:
        yield _from_last_winter("Last winter's fuel", fuel, following, a_cord)
    if burned is not None and fuel is not None:
        yield _from_last_winter("Wood and fuel of last winter", _sum(burned, fuel), following, a_cord)
    if following.winter.heat_loss_w_per_k is not None or "heat_loss" in following.broken:
        yield _by_loss(following, a_cord)


def _row(way: str, heat: Figure, amount: Figure, loss: Figure, words: str) -> Row:
    return {"way": way, "heat": heat, "heat_kwh": heat, "cords": amount, "heat_loss": loss, "words": words}


def _wood_heat(following: NextSeason, a_cord: Figure) -> Figure | None:
    """Heat that last winter's wood gave, as this season's wood would give it [MJ]; None if none is written."""
    if "last_winter_volume" in following.broken:
        return not_given(needs(following.broken["last_winter_volume"]))
    if following.winter.last_winter_volume_m3 is None:
        return None
    return times(a_cord, Figure(cords(following.winter.last_winter_volume_m3)))


def _fuel_heat(season: Season) -> Figure | None:
    """Heat that last winter's fuel gave to the house [MJ]; None if none is written."""
    following, heating = season.next_season, season.heating.other
    if "last_winter_fuel" in following.broken:
        return not_given(needs(following.broken["last_winter_fuel"]))
    if following.winter.last_winter_fuel is None or following.winter.last_winter_fuel_unit is None:
        return None
    efficiency = other_efficiency(season)
    if efficiency.value is None or heating is None:
        return efficiency
    content = fuel_heat_mj(heating=heating, unit=following.winter.last_winter_fuel_unit)
    return Figure(following.winter.last_winter_fuel * content * efficiency.value, efficiency.basis)


def _sum(one: Figure, other: Figure) -> Figure:
    if one.value is None or other.value is None:
        return one if one.value is None else other
    return Figure(one.value + other.value)


def _broken_winter(following: NextSeason) -> Figure | None:
    return next((not_given(needs(following.broken[i])) for i in WINTER_ITEMS if i in following.broken), None)


def _from_last_winter(way: str, last: Figure, following: NextSeason, a_cord: Figure) -> Row:
    broken = _broken_winter(following)
    before, after = following.winter.degree_days_last_k, following.winter.degree_days_next_k
    if broken is not None or last.value is None:
        why = last if broken is None else broken
        return _row(way, why, why, why, "")
    heat = Figure(to_next_winter(last.value, degree_days_last_k=before, degree_days_next_k=after), last.basis)
    words = "taken to a usual winter by degree days" if before and after else "as last winter: no degree days of both"
    loss = not_given("no degree days of last winter")
    if before is not None:
        gains = internal_gains_frac(base_c=following.winter.degree_day_base_c)
        implied = heat_loss_w_per_k(delivered_mj=last.value, degree_days_k=before, gains_frac=gains)
        loss = Figure(implied, _gains_words(following))
    return _row(way, heat, _cords(heat, a_cord), loss, words)


def _by_loss(following: NextSeason, a_cord: Figure) -> Row:
    loss, degree_days, way = (
        following.winter.heat_loss_w_per_k,
        following.winter.degree_days_next_k,
        "Heat loss and degree days",
    )
    if loss is None or degree_days is None:
        why = not_given("no degree days of a usual winter")
        if "heat_loss" in following.broken:
            why = not_given(needs(following.broken["heat_loss"]))
        why = _broken_winter(following) or why
        return _row(way, why, why, why, "")
    gains = internal_gains_frac(base_c=following.winter.degree_day_base_c)
    heat = Figure(
        need_by_degree_days_mj(heat_loss_w_per_k=loss, degree_days_k=degree_days, gains_frac=gains),
        _gains_words(following),
    )
    return _row(way, heat, _cords(heat, a_cord), Figure(loss, "as written"), "")


def _gains_words(following: NextSeason) -> str:
    gains = internal_gains_frac(base_c=following.winter.degree_day_base_c)
    if gains < 1:
        return (
            f"{gains:g} of the loss by degree days on the conventional base, the rest from sun, people and appliances"
        )
    return "the whole loss by degree days, on a base of the house's own"


def _cords(heat: Figure, a_cord: Figure) -> Figure:
    if heat.value is None:
        return heat
    if a_cord.value is None:
        return a_cord
    if a_cord.value <= 0:
        return not_given("that wood gives no heat")
    return Figure(cords_for_heat(need_mj=heat.value, delivered_mj_per_cord=a_cord.value))
