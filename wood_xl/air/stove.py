"""What burning the wood emits, apart from the work: gases of the stove, plants' carbon dioxide and smoke."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from wood_xl.air.factor_sets import co2e_kg
from wood_xl.air.stove_gases import G_PER_KG, biogenic_co2_kg, smoke_kg, stove_gases
from wood_xl.data.load import value
from wood_xl.draws.figure import Figure, TableRow, not_given
from wood_xl.draws.shared_factors import Term, common_draws
from wood_xl.draws.strata import Draws
from wood_xl.hours.figure_parts import spread_of_sd
from wood_xl.hours.methods import NO_SESSION
from wood_xl.hours.sessions import needs
from wood_xl.ids import Amount
from wood_xl.reasons import Basis, Reason, Said, said
from wood_xl.records import Season
from wood_xl.warmth.cord import HeatStudy
from wood_xl.warmth.doubt import SURE, DrawnHeat, Unsure, ranged
from wood_xl.warmth.heat import WoodHeat
from wood_xl.warmth.use import times

EMITTED = ("ch4", "n2o", "co2e", "biogenic", "smoke")


@dataclass(frozen=True, eq=False)
class WoodBurningRow(TableRow):
    """What burning an amount of wood emits."""

    table: ClassVar[str] = "wood_burning"
    what: Amount
    cords: Figure
    ch4: Figure
    n2o: Figure
    co2e: Figure
    biogenic: Figure
    smoke: Figure


def burning_rows(season: Season, heat: HeatStudy, yearly_cords: float | None) -> Iterator[WoodBurningRow]:
    """Emissions of burning a cord, the season's wood and a usual year's."""
    emitted = _of_a_cord(season, heat)
    made = Unsure(not_given(NO_SESSION) if heat.cords is None else Figure(heat.cords), heat.amount)
    chosen = Reason.VOLUME_AS_WRITTEN if season.yearly_volume_m3 is not None else Reason.OWN_VOLUME
    yearly = not_given(said(Reason.NO_YEARLY_VOLUME)) if yearly_cords is None else Figure(yearly_cords)
    for what, amount, why in (
        (Amount.ONE_CORD, Unsure(Figure(1.0), SURE), Reason.EXACT),
        (Amount.SEASON, made, Reason.AS_MEASURED),
        (Amount.USUAL_YEAR, Unsure(yearly, SURE), chosen),
    ):
        yield WoodBurningRow(
            what=what,
            cords=amount.shown(said(why)),
            **{key: times(one, amount).shown() for key, one in emitted.items()},
        )


def _of_a_cord(season: Season, heat: HeatStudy) -> dict[str, Unsure]:
    """What a cord emits [kg]: its mass and heat are in doubt as on the table of heat, and so are the factors."""
    cord = heat.cord()
    if isinstance(cord, Said):
        return dict.fromkeys(EMITTED, Unsure(not_given(cord), SURE))
    drawn = heat.drawn()
    dry = drawn.oven_dry_kg / cord.oven_dry_kg
    carbon = value("wood.carbon_share")
    biogenic = Figure(
        biogenic_co2_kg(dry_kg=cord.oven_dry_kg, carbon_frac=carbon), said(Basis.CARBON_SHARE, share=carbon)
    )
    return {
        **_gases(cord, drawn, season),
        "biogenic": Unsure(biogenic, dry * ranged("wood.carbon_share")),
        "smoke": Unsure(_smoke(cord, season), dry * _by_kind("doubt.smoke", "doubt.smoke")),
    }


def _gases(cord: WoodHeat, drawn: DrawnHeat, season: Season) -> dict[str, Unsure]:
    """Methane, nitrous oxide and both as CO2e, by the net heat of the wood as it is burned."""
    heat = drawn.net_mj / cord.net_mj
    gases = stove_gases(net_heat_mj=cord.net_mj, gwp_set=season.gwp_set)
    ch4, n2o = heat * ranged("stove.ch4"), heat * _by_kind("stove.n2o", "doubt.n2o")
    both = Unsure(not_given(needs(season.broken["gwp_set"])), SURE) if "gwp_set" in season.broken else None
    if both is None:
        by_ch4 = co2e_kg(ch4_g=G_PER_KG * gases.ch4_kg, n2o_g=0.0, gwp_set=season.gwp_set, origin="wood")
        share = by_ch4 / gases.co2e_kg
        both = Unsure(
            Figure(gases.co2e_kg, said(Basis.POTENTIALS, report=season.gwp_set)), share * ch4 + (1 - share) * n2o
        )
    return {"ch4": Unsure(Figure(gases.ch4_kg), ch4), "n2o": Unsure(Figure(gases.n2o_kg), n2o), "co2e": both}


def _by_kind(key: str, doubt: str) -> Draws:
    """Draws of a factor without a published range, relative, by the doubt of its kind."""
    return common_draws(terms=[Term(1.0, {key: 1.0})], spreads={key: spread_of_sd(math.log(value(doubt)))})


def _smoke(cord: WoodHeat, season: Season) -> Figure:
    if "appliance" in season.broken:
        return not_given(needs(season.broken["appliance"]))
    appliance = season.heating.appliance
    if appliance is None:
        return not_given(said(Reason.NO_STOVE))
    particles = smoke_kg(dry_kg=cord.oven_dry_kg, appliance=appliance)
    if particles is None:
        return not_given(said(Reason.NO_FIGURE_OF_STOVE, stove=appliance))
    return Figure(particles, said(Basis.STOVE, stove=appliance))
