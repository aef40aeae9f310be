"""Mass and heat of stacked wood, the heat delivered to the house, and the heat that a winter needs.

oven-dry mass = density x solid fraction x stacked volume
net heat      = oven-dry mass x (net heat of dry wood - heat to evaporate its water)
gross heat    = oven-dry mass x gross heat of dry wood, whatever the water
delivered     = efficiency x the heat that the efficiency is a share of
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wood_xl.arguments import require_fraction, require_not_negative, require_positive
from wood_xl.data.load import value
from wood_xl.draws.ensemble import Number, nominal, total
from wood_xl.records import HeatBasis
from wood_xl.wood.moisture import WATER_KG_PER_M3, moist_mass_kg, require_wet_moisture

S_PER_DAY = 86400.0
J_PER_MJ = 1e6


@dataclass(frozen=True, eq=False, slots=True)
class WoodFactors:
    """Factors of the heat of one kind of wood in a stack, plain or by all members."""

    solid_fraction: Number  # wood and bark over the space of the stack
    basic_density_kg_per_m3: Number  # oven-dry mass over green volume, bark included
    moisture_wet_frac: Number  # water over total mass
    # net_heat_mj_per_kg, gross_heat_mj_per_kg: heat of dry wood, over its oven-dry mass
    net_heat_mj_per_kg: Number
    gross_heat_mj_per_kg: Number


@dataclass(frozen=True, eq=False, slots=True)
class Appliance:
    """Efficiency of a stove, and the heat that it is a share of."""

    efficiency_frac: Number
    basis: HeatBasis  # European ratings are on net heat, US ratings on gross heat


@dataclass(frozen=True, eq=False, slots=True)
class WoodHeat:
    """Mass of some wood without and with its water, and its gross (higher) and net (lower) heat."""

    oven_dry_kg: Number
    mass_kg: Number
    gross_mj: Number
    net_mj: Number

    @property
    def moisture_wet_frac(self) -> Number:
        """Water over total mass."""
        return 1 - self.oven_dry_kg / self.mass_kg

    @property
    def moisture_dry_frac(self) -> Number:
        """Water over mass without water."""
        return self.mass_kg / self.oven_dry_kg - 1


def gross_heat_dry_mj_per_kg(*, net_heat_mj_per_kg: Number) -> Number:
    """Gross heat of dry wood: its net heat plus that of the steam from its hydrogen.

        q_gross = q_net + 1.35

    Source: wood_and_heat_defaults, hydrogen and oxygen of wood (constant ``wood.hydrogen_heat``).

    >>> round(gross_heat_dry_mj_per_kg(net_heat_mj_per_kg=18.5), 2)
    19.85
    """
    require_positive(net_heat_mj_per_kg=net_heat_mj_per_kg)
    return net_heat_mj_per_kg + value("wood.hydrogen_heat")


def net_heat_as_received_mj_per_kg(*, net_heat_mj_per_kg: Number, moisture_wet_frac: Number) -> Number:
    """Net heat of wood over its mass with water.

        q = q_net (1 - M) - 2.443 M

    Source: iso_18125, conversion from dry basis to as received (constant ``wood.evaporation_heat``).

    >>> round(net_heat_as_received_mj_per_kg(net_heat_mj_per_kg=18.5, moisture_wet_frac=0.20), 4)
    14.3114
    """
    require_positive(net_heat_mj_per_kg=net_heat_mj_per_kg)
    require_wet_moisture(moisture_wet_frac)
    return net_heat_mj_per_kg * (1 - moisture_wet_frac) - value("wood.evaporation_heat") * moisture_wet_frac


def density_with_bark_kg_per_m3(
    *, wood_specific_gravity: float, bark_specific_gravity: float, bark_frac: float
) -> float:
    """Oven-dry mass over green volume of wood with its bark.

        rho = 1000 (G_wood + b G_bark) / (1 + b),   b = bark volume / wood volume

    Source: fia_ref_species, stored ratios of green to dry mass.

    >>> round(density_with_bark_kg_per_m3(wood_specific_gravity=0.60, bark_specific_gravity=0.56, bark_frac=0.16), 2)
    594.48
    """
    require_positive(wood_specific_gravity=wood_specific_gravity, bark_specific_gravity=bark_specific_gravity)
    require_not_negative(bark_frac=bark_frac)
    return WATER_KG_PER_M3 * (wood_specific_gravity + bark_frac * bark_specific_gravity) / (1 + bark_frac)


def stack_heat(factors: WoodFactors, *, stacked_m3: float) -> WoodHeat:
    """Mass and heat of a stack of one kind of wood.

    The density is per green volume. A stack measured dry holds up to 12 % more, see ``moisture.shrinkage_frac``.

    Source: wood_and_heat_defaults, chain from stack to heat; iso_18125, net heat (constant
    ``wood.evaporation_heat``).

    >>> maple = WoodFactors(0.64, 560.0, 0.20, 18.5, 19.85)
    >>> heat = stack_heat(maple, stacked_m3=3.624556363776)
    >>> round(heat.oven_dry_kg, 2), round(heat.net_mj), round(heat.gross_mj)
    (1299.04, 23239, 25786)
    """
    require_not_negative(stacked_m3=stacked_m3)
    require_fraction(solid_fraction=factors.solid_fraction)
    require_positive(
        solid_fraction=factors.solid_fraction,
        basic_density_kg_per_m3=factors.basic_density_kg_per_m3,
        net_heat_mj_per_kg=factors.net_heat_mj_per_kg,
        gross_heat_mj_per_kg=factors.gross_heat_mj_per_kg,
    )
    oven_dry_kg = factors.basic_density_kg_per_m3 * factors.solid_fraction * stacked_m3
    mass_kg = moist_mass_kg(oven_dry_kg=oven_dry_kg, moisture_wet_frac=factors.moisture_wet_frac)
    net_mj_per_kg = net_heat_as_received_mj_per_kg(
        net_heat_mj_per_kg=factors.net_heat_mj_per_kg, moisture_wet_frac=factors.moisture_wet_frac
    )
    return WoodHeat(
        oven_dry_kg=oven_dry_kg,
        mass_kg=mass_kg,
        gross_mj=oven_dry_kg * factors.gross_heat_mj_per_kg,
        net_mj=mass_kg * net_mj_per_kg,
    )


def cord_heat(parts: Sequence[tuple[float, WoodFactors]]) -> WoodHeat:
    """Mass and heat of one cord of mixed wood, 128 cubic feet of ranked wood.

    Source: nist_hb130, section 2.4.1 (constant ``cord.volume_m3``); wood_and_heat_defaults, chain from stack to heat.

    >>> maple = WoodFactors(0.64, 560.0, 0.20, 18.5, 19.85)
    >>> pine = WoodFactors(0.64, 340.0, 0.20, 19.0, 20.35)
    >>> round(cord_heat([(60, maple), (40, pine)]).net_mj)
    19745
    """
    for share, _ in parts:
        require_not_negative(share=share)
    whole = sum(share for share, _ in parts)
    require_positive(sum_of_shares=whole)
    cord_m3 = value("cord.volume_m3")
    heats = [stack_heat(factors, stacked_m3=cord_m3 * share / whole) for share, factors in parts]
    return WoodHeat(
        oven_dry_kg=total(heat.oven_dry_kg for heat in heats),
        mass_kg=total(heat.mass_kg for heat in heats),
        gross_mj=total(heat.gross_mj for heat in heats),
        net_mj=total(heat.net_mj for heat in heats),
    )


def delivered_mj(heat: WoodHeat, appliance: Appliance) -> Number:
    """Heat that an appliance delivers to the house.

        delivered = efficiency * net or gross heat, by the basis of the efficiency

    Source: wood_and_heat_defaults, chain from stack to heat.

    >>> heat = WoodHeat(oven_dry_kg=800.0, mass_kg=1000.0, gross_mj=15880.0, net_mj=14311.4)
    >>> round(delivered_mj(heat, Appliance(0.70, "net"))), round(delivered_mj(heat, Appliance(0.70, "gross")))
    (10018, 11116)
    """
    require_fraction(efficiency_frac=appliance.efficiency_frac)
    delivered = appliance.efficiency_frac * (heat.net_mj if appliance.basis == "net" else heat.gross_mj)
    if nominal(delivered) > max(nominal(heat.net_mj), 0.0) * (1 + 1e-12):
        raise ValueError(
            f"efficiency_frac is {appliance.efficiency_frac} of the {appliance.basis} heat: over the net"
        )
    return delivered


def internal_gains_frac(*, base_c: float | None) -> float:
    """Share of the loss by degree days that heating has to cover.

    base_c: base of the degree days [degC]; None if it is not known, which counts as the conventional one.

    Source: ashrae_fundamentals, modified degree-day method (constants ``heat_need.internal_gains``,
    ``heat_need.conventional_base``, ``heat_need.base_slack``).

    >>> internal_gains_frac(base_c=18.0), internal_gains_frac(base_c=15.5)
    (0.7, 1.0)
    """
    slack = value("heat_need.base_slack")
    if base_c is None or abs(base_c - value("heat_need.conventional_base")) <= slack:
        return value("heat_need.internal_gains")
    return 1.0


def need_by_degree_days_mj(*, heat_loss_w_per_k: float, degree_days_k: float, gains_frac: Number) -> Number:
    """Heat that a house needs, by its heat loss and the winter's degree days.

        Q = 24 h * loss * degree days * share

    Source: ashrae_fundamentals, degree-day method.

    >>> round(need_by_degree_days_mj(heat_loss_w_per_k=263.764, degree_days_k=3611.11, gains_frac=1.0))
    82294
    """
    require_positive(heat_loss_w_per_k=heat_loss_w_per_k)
    require_not_negative(degree_days_k=degree_days_k)
    require_fraction(gains_frac=gains_frac)
    return heat_loss_w_per_k * degree_days_k * gains_frac * S_PER_DAY / J_PER_MJ


def to_next_winter(amount: Number, *, degree_days_last_k: float | None, degree_days_next_k: float | None) -> Number:
    """Amount that a past winter took, scaled to another winter by degree days.

        next = last * degree days next / degree days last

    Holds if stove, wood and habits stay the same. Unscaled if degree days are not known.

    Source: wood_and_heat_defaults, calibration from a past season.

    >>> to_next_winter(12.0, degree_days_last_k=4000.0, degree_days_next_k=4200.0)
    12.6
    """
    require_not_negative(amount=amount)
    if degree_days_last_k is None or degree_days_next_k is None:
        return amount
    require_positive(degree_days_last_k=degree_days_last_k, degree_days_next_k=degree_days_next_k)
    return amount * degree_days_next_k / degree_days_last_k


def heat_loss_w_per_k(*, delivered_mj: Number, degree_days_k: float, gains_frac: Number) -> Number:
    """Heat loss of a house implied by a winter's heat and degree days.

        loss = Q / (24 h * degree days * share)

    Source: wood_and_heat_defaults, calibration from a past season.

    >>> round(heat_loss_w_per_k(delivered_mj=82294.0, degree_days_k=3611.11, gains_frac=1.0), 1)
    263.8
    """
    require_not_negative(delivered_mj=delivered_mj)
    require_positive(degree_days_k=degree_days_k, gains_frac=gains_frac)
    require_fraction(gains_frac=gains_frac)
    return delivered_mj * J_PER_MJ / (S_PER_DAY * degree_days_k * gains_frac)


def cords_for_heat(*, need_mj: Number, delivered_mj_per_cord: Number) -> Number:
    """Cords that deliver an amount of heat.

        cords = heat needed / heat delivered by a cord

    Source: ashrae_fundamentals, degree-day method.

    >>> cords_for_heat(need_mj=82000.0, delivered_mj_per_cord=16400.0)
    5.0
    """
    require_not_negative(need_mj=need_mj)
    require_positive(delivered_mj_per_cord=delivered_mj_per_cord)
    return need_mj / delivered_mj_per_cord
