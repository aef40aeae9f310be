"""Table of each kind of wood green, as it is, and dry."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from wood_xl.data.load import GREEN, constant, value
from wood_xl.draws.ensemble import nominal
from wood_xl.draws.figure import Figure, Row, not_given
from wood_xl.ids import Ready
from wood_xl.reasons import Basis, Reason, Said, said
from wood_xl.warmth.cord import HeatStudy, KindHeat
from wood_xl.warmth.doubt import NO_RANGE, figure_of
from wood_xl.warmth.fire_losses import F_PER_C, Fire, fire_losses
from wood_xl.warmth.heat import WoodFactors
from wood_xl.wood import moisture


def drying_rows(study: HeatStudy) -> Iterator[Row]:
    """Each kind of wood green, as it is, and dry."""
    if isinstance(study.kinds, Said):
        return
    target, driest = value("seasoning.target") / 100, moisture.wet_from_dry_frac(moisture_dry_frac=driest_dry_frac())
    temperature, humidity = value("seasoning.air_temperature"), value("seasoning.air_humidity")
    climate = said(Basis.AIR_OF, temperature_c=temperature, humidity_percent=humidity)
    for kind in study.kinds:
        yield Row(
            species=kind.name,
            ready=_ready(kind),
            **_green(kind),
            mass_ready=figure_of(kind.cord(target).mass_kg),
            recovered=Figure(100 * _recovered(kind.factors), reason=NO_RANGE),
            shrinkage=Figure(100 * _shrinkage(kind), reason=NO_RANGE),
            seasoning=_seasoning(kind),
            driest=Figure(100 * driest, climate, reason=NO_RANGE),
        )


def _green(kind: KindHeat) -> dict[str, Figure]:
    green_pct = None if kind.tree is None else kind.tree.as_read(GREEN).green_moisture_dry_pct
    if green_pct is None:
        why = not_given(said(Reason.NOT_PUBLISHED))
        return dict.fromkeys(("green_moisture", "green_mass", "green_net_heat", "green_recovered", "water"), why)
    wet = moisture.wet_from_dry_frac(moisture_dry_frac=green_pct / 100)
    green, ready = kind.cord(wet), kind.cord(value("seasoning.target") / 100)
    return {
        "green_moisture": Figure(100 * wet, reason=NO_RANGE),
        "green_mass": figure_of(green.mass_kg),
        "green_net_heat": figure_of(green.net_mj),
        "green_recovered": Figure(100 * _recovered(replace(kind.factors, moisture_wet_frac=wet)), reason=NO_RANGE),
        "water": figure_of(np.maximum(0.0, green.mass_kg - ready.mass_kg)),
    }


def _recovered(factors: WoodFactors) -> float:
    """Share of the gross heat recovered in a usual stove: a warm room, hot flue gas, twice the air needed."""
    stove = Fire(
        room_c=(value("fire.room") - 32) / F_PER_C,
        flue_c=(value("fire.flue") - 32) / F_PER_C,
        excess_air_frac=value("fire.excess_air"),
        other_losses_frac=value("fire.other_losses"),
    )
    wet, gross = nominal(factors.moisture_wet_frac), nominal(factors.gross_heat_mj_per_kg)
    return fire_losses(moisture_wet_frac=wet, gross_heat_mj_per_kg=gross, fire=stove).recovered_frac


def _shrinkage(kind: KindHeat) -> float:
    basic = nominal(kind.factors.basic_density_kg_per_m3) / moisture.WATER_KG_PER_M3
    dry = nominal(moisture.dry_from_wet_frac(moisture_wet_frac=kind.factors.moisture_wet_frac))
    now = moisture.specific_gravity_at(basic_specific_gravity=basic, moisture_dry_frac=dry)
    return moisture.shrinkage_frac(basic_specific_gravity=basic, specific_gravity=now)


def _seasoning(kind: KindHeat) -> Figure:
    if kind.tree is None:
        return not_given(said(Reason.NOT_ON_THE_LIST))
    published = constant(f"seasoning.{kind.tree.drying}")
    return Figure(
        moisture.seasoning_months(kind.tree.drying), said(Basis.WHAT_TEXTS_SAY), published.low, published.high
    )


def _ready(kind: KindHeat) -> Ready:
    target = value("seasoning.target")
    if not kind.is_measured:
        return Ready.NOT_MEASURED
    if 100 * nominal(kind.factors.moisture_wet_frac) <= target * (1 + 1e-9):
        return Ready.YES
    return Ready.NOT_YET


def driest_dry_frac() -> float:
    """Moisture that wood settles at in the open air of a usual climate, on the dry basis."""
    return moisture.equilibrium_moisture_dry_frac(
        air_temperature_c=value("seasoning.air_temperature"), humidity_frac=value("seasoning.air_humidity") / 100
    )
