"""What burning the wood emits, apart from the work: gases of the stove, plants' carbon dioxide and smoke."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from wood_xl.calc.figure import Figure, not_given
from wood_xl.calc.heat import WoodHeat
from wood_xl.calc.wood_burning import StoveGases, biogenic_co2_kg, smoke_kg, stove_gases
from wood_xl.data.load import value
from wood_xl.records import Season
from wood_xl.study.heat import HeatStudy
from wood_xl.study.methods import NO_SESSION
from wood_xl.study.sessions import needs

Row = dict[str, Any]


def burning_rows(season: Season, heat: HeatStudy, yearly_cords: float | None) -> Iterator[Row]:
    """Emissions of burning a cord, the season's wood and a usual year's."""
    cord = heat.cord()
    for what, cords, why in (
        ("One cord", 1.0, ""),
        ("The season's wood", heat.cords, NO_SESSION),
        ("A usual year", yearly_cords, "no yearly volume"),
    ):
        yield {"what": what, "cords": not_given(why) if cords is None else Figure(cords)} | {
            key: _of_cords(cord, cords, why, kg) for key, kg in _emitted(season).items()
        }


def _of_cords(cord: WoodHeat | str, cords: float | None, why: str, kg: Callable[[WoodHeat], Figure]) -> Figure:
    if isinstance(cord, str):
        return not_given(cord)
    if cords is None:
        return not_given(why)
    one = kg(cord)
    return one if one.value is None else Figure(one.value * cords, one.basis)


def _emitted(season: Season) -> dict[str, Callable[[WoodHeat], Figure]]:
    """Each column as a function of a cord's mass."""

    def gases(cord: WoodHeat) -> StoveGases:
        return stove_gases(as_fired_kg=cord.mass_kg, gwp_set=season.gwp_set)

    def both(cord: WoodHeat) -> Figure:
        broken = season.broken.get("gwp_set")
        return not_given(needs(broken)) if broken else Figure(gases(cord).co2e_kg, season.gwp_set)

    return {
        "ch4": lambda cord: Figure(gases(cord).ch4_kg),
        "n2o": lambda cord: Figure(gases(cord).n2o_kg),
        "co2e": both,
        "biogenic": _biogenic,
        "smoke": lambda cord: _smoke(cord, season),
    }


def _biogenic(cord: WoodHeat) -> Figure:
    carbon = value("wood.carbon_share")
    return Figure(biogenic_co2_kg(dry_kg=cord.oven_dry_kg, carbon_frac=carbon), f"{carbon:.0%} carbon")


def _smoke(cord: WoodHeat, season: Season) -> Figure:
    if "appliance" in season.broken:
        return not_given(needs(season.broken["appliance"]))
    appliance = season.heating.appliance
    if appliance is None:
        return not_given("no stove is named")
    particles = smoke_kg(dry_kg=cord.oven_dry_kg, appliance=appliance)
    return not_given(f"no figure of a {appliance}") if particles is None else Figure(particles, appliance)
