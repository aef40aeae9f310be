"""The heating that wood replaces: fuel not burned, its cost and its carbon dioxide.

All on gross heat, as fuels are sold and factors are given. The result depends on what would have been done without
wood, so it is shown by itself and never subtracted from anything.
"""

from __future__ import annotations

from wood_xl.arguments import require_not_negative, require_positive
from wood_xl.data.load import value
from wood_xl.draws.ensemble import Number
from wood_xl.records import FuelUnit, OtherHeating

LIQUIDS: tuple[OtherHeating, ...] = ("heating oil", "propane")
ELECTRIC: tuple[OtherHeating, ...] = ("electric heating", "heat pump")
MJ_PER_KWH = 3.6
THERMS_PER_MMBTU = 10.0
BTU_PER_MMBTU = 1e6


def unit_fits(heating: OtherHeating, unit: FuelUnit) -> bool:
    """Whether a fuel may be billed in a unit.

    Source: wood_xl_definitions, units that a fuel may be billed in.

    >>> unit_fits("natural gas", "gal"), unit_fits("propane", "gal"), unit_fits("heat pump", "therm")
    (False, True, False)
    """
    if unit in ("gal", "L"):
        return heating in LIQUIDS
    return unit == "kWh" or heating not in ELECTRIC


def fuel_heat_mj(*, heating: OtherHeating, unit: FuelUnit) -> float:
    """Gross heat, or electricity, in one unit of a fuel.

    Source: eia_btu, heat contents; unit_definitions, Btu and gallon (constants ``unit.mmbtu``, ``unit.us_gallon``).

    >>> round(fuel_heat_mj(heating="heating oil", unit="L"), 2)
    38.6
    """
    if not unit_fits(heating, unit):
        raise ValueError(f"unit is {unit}, by which {heating} is not sold")
    if unit == "kWh":
        return MJ_PER_KWH
    if unit == "therm":
        return value("unit.mmbtu") / THERMS_PER_MMBTU
    gallon_mj = value(f"heating.heat_content.{heating.replace(' ', '_')}") * value("unit.mmbtu") / BTU_PER_MMBTU
    return gallon_mj if unit == "gal" else gallon_mj / value("unit.us_gallon")


def replaced_heat_mj(*, delivered_mj: Number, efficiency_frac: Number) -> Number:
    """Gross heat, or electricity, that the other heating would need to deliver the same heat.

        heat in = delivered / efficiency

    Source: wood_and_heat_defaults, fuel replaced by wood.

    >>> replaced_heat_mj(delivered_mj=8000.0, efficiency_frac=0.8)
    10000.0
    """
    require_not_negative(delivered_mj=delivered_mj)
    require_positive(efficiency_frac=efficiency_frac)
    return delivered_mj / efficiency_frac


def fuel_units(*, heat_mj: Number, heating: OtherHeating, unit: FuelUnit) -> Number:
    """Units of a fuel that contain an amount of gross heat.

        units = heat / heat content of a unit

    Source: eia_btu, heat contents.

    >>> round(fuel_units(heat_mj=3600.0, heating="electric heating", unit="kWh"))
    1000
    """
    require_not_negative(heat_mj=heat_mj)
    return heat_mj / fuel_heat_mj(heating=heating, unit=unit)


def burned_co2_kg(*, heat_mj: Number, heating: OtherHeating) -> Number:
    """Carbon dioxide of burning a fuel, at the chimney only.

        CO2 = gross heat * factor

    Without the emissions of making and delivering the fuel, as in the direct CO2 of the tools.

    Source: epa_hub_2021, Table 1 (constants ``co2_per_heat.diesel``, which heating oil shares,
    ``co2_per_heat.propane``, ``heating.co2.natural_gas``); unit_definitions, Btu (constant ``unit.mmbtu``).

    >>> round(burned_co2_kg(heat_mj=1055.056, heating="natural gas"), 2)
    53.06
    """
    require_not_negative(heat_mj=heat_mj)
    factors = {
        "heating oil": "co2_per_heat.diesel",
        "propane": "co2_per_heat.propane",
        "natural gas": "heating.co2.natural_gas",
    }
    if heating not in factors:
        raise ValueError(f"heating is {heating}, which burns nothing on the spot")
    return value(factors[heating]) * heat_mj / value("unit.mmbtu")


def electricity_co2e_kg(*, heat_mj: Number, grid_kg_per_kwh: float) -> Number:
    """CO2e of the electricity that another heating would take.

        CO2e = electricity * CO2e of a kWh

    By the mean of the grid. Electricity saved in a cold winter often comes from plants that emit more than the mean.

    Source: wood_and_heat_defaults, fuel replaced by wood.

    >>> electricity_co2e_kg(heat_mj=3600.0, grid_kg_per_kwh=0.5)
    500.0
    """
    require_not_negative(heat_mj=heat_mj, grid_kg_per_kwh=grid_kg_per_kwh)
    return heat_mj / MJ_PER_KWH * grid_kg_per_kwh
