"""How sure mass and heat are: draws of what was not measured, alike wherever they enter, so that they cancel there.

What is written is taken as it stands: no source here says how far a moisture meter or a plate on a stove is off.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from wood_xl.data.load import Group, constant, value
from wood_xl.draws.figure import Figure
from wood_xl.draws.shared_factors import Term, common_draws
from wood_xl.draws.strata import Draws, limits_of_draws, range_draws
from wood_xl.hours.common import TAPE, TAPE_POWERS, power_of_fraction, quantities_of, usual_fraction
from wood_xl.hours.methods import MethodTotals
from wood_xl.ids import Input
from wood_xl.reasons import Reason, Said, said
from wood_xl.records import Season
from wood_xl.warmth.heat import WoodFactors, net_heat_mj
from wood_xl.wood.moisture import WATER_KG_PER_M3, dry_from_wet_frac

SURE: Draws = np.ones(1)  # what is in no doubt, relative to its value
CANCELLED = 1e-9  # between draws that differ by rounding alone
AS_WRITTEN, NO_RANGE = said(Reason.NO_DOUBT_ADDED), said(Reason.NO_RANGE)


@dataclass(frozen=True)
class DrawnHeat:
    """Mass and heat of some wood for each draw, as ``calc.heat.WoodHeat`` has them for the values themselves."""

    oven_dry_kg: Draws
    water_kg: Draws
    gross_mj: Draws
    net_mj: Draws

    @property
    def mass_kg(self) -> Draws:
        """With its water."""
        return self.oven_dry_kg + self.water_kg

    @property
    def moisture_wet_frac(self) -> Draws:
        """Water over total mass."""
        return self.water_kg / self.mass_kg

    @property
    def moisture_dry_frac(self) -> Draws:
        """Water over mass without water."""
        return self.water_kg / self.oven_dry_kg


@dataclass(frozen=True)
class Unsure:
    """A figure with its draws, relative to its value."""

    figure: Figure
    relative: Draws

    def shown(self, why: Said = AS_WRITTEN) -> Figure:
        """The figure with its ends, or why it has none."""
        return with_ends(self.figure, self.relative, why)


def with_ends(figure: Figure, relative: Draws, why: Said = AS_WRITTEN) -> Figure:
    """A figure with the limits of its draws."""
    if figure.value is None:
        return figure
    if float(np.ptp(relative)) < CANCELLED:
        return replace(figure, reason=why)
    ends = limits_of_draws(draws=figure.value * relative, level_frac=value("interval.level") / 100)
    return replace(figure, low=ends[0], high=ends[1], reason=None)


def ranged(constant_id: str) -> Draws:
    """Draws of a constant over the range that its source or an assumption gives it, relative to its value."""
    published = constant(constant_id)
    if published.low is None or published.high is None:
        return SURE
    return (
        range_draws(key=constant_id, middle=published.value, low=published.low, high=published.high) / published.value
    )


def fraction_draws(season: Season, made: Iterable[MethodTotals]) -> Draws:
    """Solid over stacked wood of the season, relative: in doubt so far as the usual fraction stands in it."""
    wood = quantities_of(made)
    power = power_of_fraction(wood, "solid_m3") - power_of_fraction(wood, "stacked_m3") if wood else 1.0
    return _by_fraction(season, power)


def amount_draws(season: Season, made: Iterable[MethodTotals]) -> Draws:
    """Cords of the season, relative: all measured with one tape, some taken from solid wood by the usual fraction."""
    tape = common_draws(terms=[Term(1.0, {TAPE: TAPE_POWERS["cords"]})], spreads={TAPE: value("tape.scale_u") / 100})
    return tape * _by_fraction(season, power_of_fraction(quantities_of(made), "cords"))


def _by_fraction(season: Season, power: float) -> Draws:
    usual = usual_fraction(season)
    if not power or usual is None:
        return SURE
    key, spread = usual
    return common_draws(terms=[Term(1.0, {key: power})], spreads={key: spread})


def density_draws(*, species: str, density_kg_per_m3: float) -> Draws:
    """Density of a tree taken from the list, relative: trees of one kind differ."""
    key = said(Input.DENSITY, species=species)
    spread = value("wood.density_sd") * WATER_KG_PER_M3 / density_kg_per_m3
    return common_draws(terms=[Term(1.0, {key: 1.0})], spreads={key: spread})


def unmeasured_moisture_draws() -> Draws:
    """Water over mass without water, of wood whose moisture is the usual one."""
    wet = ranged("wood.moisture") * value("wood.moisture") / 100
    return wet / (1 - wet)


def drawn_cord(
    factors: WoodFactors, *, group: Group, density: Draws, fraction: Draws, water_per_dry: Draws | None
) -> DrawnHeat:
    """Mass and heat of a cord of one kind of wood for each draw."""
    solid_m3 = value("cord.volume_m3") * factors.solid_fraction * fraction
    oven_dry_kg = solid_m3 * factors.basic_density_kg_per_m3 * density
    net_dry = factors.net_heat_mj_per_kg * ranged(f"wood.net_heat.{group}")
    water = water_per_dry
    if water is None:
        water = dry_from_wet_frac(moisture_wet_frac=factors.moisture_wet_frac) * SURE
    return DrawnHeat(
        oven_dry_kg=oven_dry_kg,
        water_kg=oven_dry_kg * water,
        gross_mj=oven_dry_kg * (net_dry + factors.gross_heat_mj_per_kg - factors.net_heat_mj_per_kg),
        net_mj=net_heat_mj(oven_dry_kg=oven_dry_kg, net_heat_mj_per_kg=net_dry, water_per_dry=water),
    )


def mixed(parts: Iterable[tuple[float, DrawnHeat]]) -> DrawnHeat:
    """A cord of several kinds by their shares, which sum to 1."""
    found = [
        (share * one.oven_dry_kg, share * one.water_kg, share * one.gross_mj, share * one.net_mj)
        for share, one in parts
    ]
    dry, water, gross, net = (_sum(column) for column in zip(*found, strict=True))
    return DrawnHeat(dry, water, gross, net)


def _sum(parts: Iterable[Draws]) -> Draws:
    total: Draws = np.zeros(1)
    for part in parts:
        total = total + part
    return total
