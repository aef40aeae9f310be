"""Burning the wood: methane and nitrous oxide of the stove, biogenic carbon dioxide, smoke."""

from __future__ import annotations

from dataclasses import dataclass

from wood_xl.air.factor_sets import KG_PER_TJ_TO_KG_PER_MJ, Factor, co2e_kg
from wood_xl.arguments import require_fraction, require_not_negative
from wood_xl.data.load import value
from wood_xl.draws.ensemble import Number

G_PER_KG = 1000
_SMOKE = {
    "open fireplace": "smoke.open_fireplace",
    "older stove": "smoke.older_stove",
    "certified stove": "smoke.certified_stove",
    "catalytic or hybrid stove": "smoke.catalytic_stove",
}


@dataclass(frozen=True, eq=False, slots=True)
class StoveGases:
    """Methane and nitrous oxide of a stove, and the CO2e of both."""

    ch4_kg: Number
    n2o_kg: Number
    co2e_kg: Number


def stove_gases(*, net_heat_mj: Number, gwp_set: str, factor: Factor = value) -> StoveGases:
    """Methane and nitrous oxide of burning wood in a stove.

        net heat of the wood burned * factor by net heat

    net_heat_mj: by the wood's own density and moisture; wet wood has less of it.
    gwp_set: potentials; methane of wood has its own in AR6.

    Returns a default for all stoves: a factor of three either way for methane, by stove and moisture.

    Factors for boilers of industry are 40 times lower and are not for a stove.

    Source: ipcc_2006_stationary, residential wood (constants ``stove.ch4``, ``stove.n2o``).

    >>> gases = stove_gases(net_heat_mj=23400, gwp_set="AR5")
    >>> round(gases.ch4_kg, 3), round(gases.n2o_kg, 4), round(gases.co2e_kg, 2)
    (7.02, 0.0936, 221.36)
    """
    require_not_negative(net_heat_mj=net_heat_mj)
    ch4_kg, n2o_kg = (net_heat_mj * factor(f"stove.{gas}") * KG_PER_TJ_TO_KG_PER_MJ for gas in ("ch4", "n2o"))
    both = co2e_kg(ch4_g=G_PER_KG * ch4_kg, n2o_g=G_PER_KG * n2o_kg, gwp_set=gwp_set, origin="wood", factor=factor)
    return StoveGases(ch4_kg, n2o_kg, both)


def biogenic_co2_kg(*, dry_kg: Number, carbon_frac: Number, factor: Factor = value) -> Number:
    """Carbon dioxide of burning wood: a memo, added to no total and never called neutral.

        dry mass * carbon * 44/12

    Source: carbon_balance_2024, carbon in dry wood (constants ``wood.carbon_share``, ``co2.per_carbon``).

    >>> round(biogenic_co2_kg(dry_kg=1500, carbon_frac=0.50))
    2750
    """
    require_not_negative(dry_kg=dry_kg)
    require_fraction(carbon_frac=carbon_frac)
    return dry_kg * carbon_frac * factor("co2.per_carbon")


def smoke_kg(*, dry_kg: Number, appliance: str, factor: Factor = value) -> Number | None:
    """Particles in the smoke by the kind of appliance.

        dry mass * factor

    Returns particles; None for an appliance that the source does not have.

    From memory, and by class: in the field one stove leaves a small part or several times as much of another.

    Source: ap42_1_10, Table 1.10-1; ap42_1_9, open fireplaces (constant ``smoke.open_fireplace``).

    >>> smoke_kg(dry_kg=1000, appliance="certified stove")
    9.8
    """
    require_not_negative(dry_kg=dry_kg)
    if appliance not in _SMOKE:
        return None
    return dry_kg * factor(_SMOKE[appliance]) / G_PER_KG
