"""What burning the wood emits, apart from the work: gases of the stove, plants' carbon dioxide and smoke."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from wood_xl.air.stove_gases import biogenic_co2_kg, smoke_kg, stove_gases
from wood_xl.data.load import value
from wood_xl.draws.ensemble import Number, nominal
from wood_xl.draws.figure import Figure, Row, not_given
from wood_xl.draws.inputs import by_doubt, spread_of_sd
from wood_xl.draws.normal import Array
from wood_xl.hours.sessions import waiting
from wood_xl.ids import Amount
from wood_xl.reasons import Basis, Reason, Said, said
from wood_xl.records import Season
from wood_xl.warmth.cord import HeatStudy
from wood_xl.warmth.doubt import SURE, Unsure, not_known, ranged, unsure
from wood_xl.warmth.heat import WoodHeat
from wood_xl.warmth.use import times

EMITTED = ("ch4", "n2o", "co2e", "biogenic", "smoke")


def burning_rows(season: Season, heat: HeatStudy, yearly_cords: float | None) -> Iterator[Row]:
    """Emissions of burning a cord, the season's wood and a usual year's."""
    emitted = _of_a_cord(season, heat)
    made = Unsure(heat.cords, heat.amount)
    chosen = Reason.VOLUME_AS_WRITTEN if season.yearly_volume_m3 is not None else Reason.OWN_VOLUME
    yearly = not_given(said(Reason.NO_YEARLY_VOLUME)) if yearly_cords is None else Figure(yearly_cords)
    for what, amount, why in (
        (Amount.ONE_CORD, Unsure(Figure(1.0), SURE), Reason.EXACT),
        (Amount.SEASON, made, Reason.AS_MEASURED),
        (Amount.USUAL_YEAR, Unsure(yearly, SURE), chosen),
    ):
        yield Row(
            what=what,
            cords=amount.shown(said(why)),
            **{key: times(one, amount).shown() for key, one in emitted.items()},
        )


def _of_a_cord(season: Season, heat: HeatStudy) -> dict[str, Unsure]:
    """What a cord emits [kg]: its mass and heat are in doubt as on the table of heat, and so are the factors."""
    cord = heat.cord()
    if isinstance(cord, Said):
        return dict.fromkeys(EMITTED, not_known(cord))
    drawn, carbon = heat.drawn(), value("wood.carbon_share")
    biogenic = biogenic_co2_kg(dry_kg=drawn.oven_dry_kg, carbon_frac=carbon * ranged("wood.carbon_share"))
    gases = stove_gases(net_heat_mj=drawn.net_mj, gwp_set=season.gwp_set, factor=_stove_factor)
    wait, basis = waiting(season.broken, "gwp_set"), said(Basis.POTENTIALS, report=season.gwp_set)
    both = unsure(gases.co2e_kg, basis) if wait is None else not_known(wait)
    smoke = drawn.oven_dry_kg / cord.oven_dry_kg * _by_kind("doubt.smoke", "doubt.smoke")
    return {
        "ch4": unsure(gases.ch4_kg),
        "n2o": unsure(gases.n2o_kg),
        "co2e": both,
        "biogenic": unsure(biogenic, said(Basis.CARBON_SHARE, share=carbon)),
        "smoke": Unsure(_smoke(cord, season), np.atleast_1d(smoke)),
    }


def _stove_factor(constant_id: str) -> Number:
    """Factors of the stove by all members; the others as published."""
    if constant_id == "stove.ch4":
        return value(constant_id) * ranged(constant_id)
    if constant_id == "stove.n2o":
        return value(constant_id) * _by_kind(constant_id, "doubt.n2o")
    return value(constant_id)


def _by_kind(key: str, doubt: str) -> Array:
    """Draws of a factor without a published range, relative, by the doubt of its kind."""
    return by_doubt(key, spread_of_sd(math.log(value(doubt))))


def _smoke(cord: WoodHeat, season: Season) -> Figure:
    wait, appliance = waiting(season.broken, "appliance"), season.heating.appliance
    if wait is not None or appliance is None:
        return not_given(wait or said(Reason.NO_STOVE))
    particles = smoke_kg(dry_kg=cord.oven_dry_kg, appliance=appliance)
    if particles is None:
        return not_given(said(Reason.NO_FIGURE_OF_STOVE, stove=appliance))
    return Figure(nominal(particles), said(Basis.STOVE, stove=appliance))
