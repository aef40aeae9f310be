"""Losses of the gross heat of wet wood in a fire: to water, hydrogen, flue gas and the rest.

Terms and constants are those of textbooks. They show what drier wood gains and never rate a stove.
"""

from __future__ import annotations

from typing import NamedTuple

from wood_xl.arguments import require_fraction, require_not_negative, require_positive
from wood_xl.data.load import value
from wood_xl.wood.moisture import require_wet_moisture

LB_BTU_TO_MJ_PER_KG = 0.002326  # exact: a Btu (IT) to the pound
F_PER_C = 1.8
BOILING_C = 100.0
OXYGEN_PER_HYDROGEN = 8.0  # masses that make water
WATER_PER_HYDROGEN = 9.0


class Fire(NamedTuple):
    """Conditions of a fire."""

    room_c: float  # temperature of the air drawn in
    flue_c: float  # temperature of the flue gas
    excess_air_frac: float  # air beyond what the wood needs, over what it needs
    other_losses_frac: float


class FireLosses(NamedTuple):
    """Gross heat of a kilogram of wet wood and its losses."""

    gross_mj_per_kg: float
    water_mj_per_kg: float  # to warm and evaporate the wood's water
    hydrogen_mj_per_kg: float  # the same for the water that its hydrogen burns to
    flue_gas_mj_per_kg: float  # in the dry flue gas
    other_mj_per_kg: float

    @property
    def recovered_mj_per_kg(self) -> float:
        """Gross heat minus all losses [MJ/kg]."""
        losses = self.water_mj_per_kg + self.hydrogen_mj_per_kg + self.flue_gas_mj_per_kg + self.other_mj_per_kg
        return self.gross_mj_per_kg - losses

    @property
    def recovered_frac(self) -> float:
        """Recovered over gross heat."""
        return self.recovered_mj_per_kg / self.gross_mj_per_kg


def fire_losses(*, moisture_wet_frac: float, gross_heat_mj_per_kg: float, fire: Fire) -> FireLosses:
    """Losses of a kilogram of wet wood, water included, in a fire.

        b = warming of water to 212 degF + 970.3 + 0.46 (flue - 212)            Btu/lb of water, degF
        water = M b;  hydrogen = 9 H (1 - M) b
        air needed a = 11.5 C + 34.3 (H - O/8)
        flue gas = (1 - M) (1 - 9 H + a + excess a) 0.24 (flue - room)
        other = share of gross heat

    fire: the flue at 100 degC or more, the room below.

    Source: wood_and_heat_defaults, combustion by its terms (constants ``fire.boiling_heat``, ``fire.water_heat``,
    ``fire.steam_heat``, ``fire.flue_gas_heat``, ``fire.hydrogen``, ``fire.oxygen``, ``fire.air_for_carbon``,
    ``fire.air_for_hydrogen``); carbon_balance_2024, carbon in dry wood (constant ``wood.carbon_share``).

    >>> stove = Fire(room_c=21.0, flue_c=177.0, excess_air_frac=1.0, other_losses_frac=0.05)
    >>> dry = fire_losses(moisture_wet_frac=0.20, gross_heat_mj_per_kg=19.85, fire=stove)
    >>> green = fire_losses(moisture_wet_frac=0.50, gross_heat_mj_per_kg=19.85, fire=stove)
    >>> round(dry.recovered_frac, 3), round(green.recovered_frac, 3)
    (0.743, 0.64)
    """
    require_wet_moisture(moisture_wet_frac)
    require_positive(gross_heat_mj_per_kg=gross_heat_mj_per_kg)
    require_not_negative(excess_air_frac=fire.excess_air_frac)
    require_fraction(other_losses_frac=fire.other_losses_frac)
    if not fire.room_c < BOILING_C <= fire.flue_c:
        raise ValueError(f"flue_c is {fire.flue_c} and room_c {fire.room_c}: 100 must lie between")
    dry_frac, hydrogen = 1 - moisture_wet_frac, value("fire.hydrogen")
    steam_btu_per_lb = (
        value("fire.water_heat") * (BOILING_C - fire.room_c) * F_PER_C
        + value("fire.boiling_heat")
        + value("fire.steam_heat") * (fire.flue_c - BOILING_C) * F_PER_C
    )
    air_needed = value("fire.air_for_carbon") * value("wood.carbon_share") + value("fire.air_for_hydrogen") * (
        hydrogen - value("fire.oxygen") / OXYGEN_PER_HYDROGEN
    )
    flue_gas_per_dry = 1 - WATER_PER_HYDROGEN * hydrogen + air_needed * (1 + fire.excess_air_frac)
    flue_btu_per_lb = value("fire.flue_gas_heat") * (fire.flue_c - fire.room_c) * F_PER_C
    return FireLosses(
        gross_mj_per_kg=gross_heat_mj_per_kg * dry_frac,
        water_mj_per_kg=moisture_wet_frac * steam_btu_per_lb * LB_BTU_TO_MJ_PER_KG,
        hydrogen_mj_per_kg=WATER_PER_HYDROGEN * hydrogen * dry_frac * steam_btu_per_lb * LB_BTU_TO_MJ_PER_KG,
        flue_gas_mj_per_kg=dry_frac * flue_gas_per_dry * flue_btu_per_lb * LB_BTU_TO_MJ_PER_KG,
        other_mj_per_kg=fire.other_losses_frac * gross_heat_mj_per_kg * dry_frac,
    )
