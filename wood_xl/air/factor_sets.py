"""Published emission factors by factor set: of fuels, gases, warming potentials and electricity at the socket.

Every emission formula gets its factors by the id of a constant, from a function that can be swapped. That is how
doubt is carried through: with other values for some ids the whole chain gives another result.
"""

from __future__ import annotations

from collections.abc import Callable

from wood_xl.data.load import value
from wood_xl.data.trade import Origin, factor_sets, fuels, warming_potentials
from wood_xl.draws.ensemble import Number

Factor = Callable[[str], Number]

KG_PER_TJ_TO_KG_PER_MJ = 1e-6
KWH_PER_MWH = 1000
G_PER_KG = 1000


def fuel_factor_kg_per_l(fuel: str, factor_set: str, factor: Factor = value) -> Number:
    """Factor of burning a fuel: CO2 or, in the United Kingdom's set, CO2e.

        per gallon: factor / gallon;   by net heat: factor * net heat * density

    factor_set: whose factor; for a fuel that the set lacks, that of the set named in its row.

    Source: epa_hub_2021, Tables 1 and 2; epa_vehicles_2011, gasoline and diesel; ipcc_2006_off_road, Table 3.3.1;
    ipcc_2006_stationary, net heat; uk_factors_2024, fuels.

    >>> round(fuel_factor_kg_per_l("gasoline", "EPA hub"), 4), round(fuel_factor_kg_per_l("gasoline", "IPCC 2006"), 4)
    (2.3194, 2.2718)
    """
    chosen = factor_sets()[factor_set].set_of(fuel)
    published = factor(chosen.of_fuel(fuel))
    if chosen.fuel_per == "gal":
        return published / factor("unit.us_gallon")
    if chosen.fuel_per == "TJ":
        return published * net_heat_mj_per_l(fuel, factor) * KG_PER_TJ_TO_KG_PER_MJ
    return published


def net_heat_mj_per_l(fuel: str, factor: Factor = value) -> Number:
    """Net heat of gasoline or diesel, for factors per unit of net heat only.

        net heat (TJ/Gg = MJ/kg) * density

    Source: ipcc_2006_stationary, net heat.

    >>> round(net_heat_mj_per_l("gasoline"), 3), round(net_heat_mj_per_l("diesel"), 2)
    (32.782, 36.12)
    """
    row = fuels()[fuel]
    return factor(row.needed("net_heat")) * factor(row.needed("density")) / 1000


def co2e_kg(
    *,
    ch4_g: Number,
    n2o_g: Number,
    gwp_set: str,
    co2_kg: Number = 0.0,
    origin: Origin = "fossil",
    factor: Factor = value,
) -> Number:
    """Carbon dioxide equivalent of gases, by their warming over 100 years.

        CO2e = CO2 + CH4 * its potential + N2O * its potential

    The sixth assessment report gives methane of wood a lower potential.

    Source: ipcc_potentials, data file; epa_hub_2021, potentials of AR4; epa_hub_2026, potentials of AR6.

    A gallon of gasoline in a two-stroke garden tool:

    >>> round(co2e_kg(co2_kg=8.78, ch4_g=15.57, n2o_g=0.06, gwp_set="AR5"), 4)
    9.2319
    """
    row = warming_potentials()[gwp_set]
    warming_g = ch4_g * factor(row.ch4(origin)) + n2o_g * factor(row.n2o)
    return co2_kg + warming_g / 1000


def grid_kg_per_kwh(gwp_set: str, factor: Factor = value) -> Number:
    """CO2e of a kWh at the socket, mean of the United States, for a season that gives none.

        (CO2 + CH4 and N2O by their potentials) / (1 - loss in the grid)

    A mean over a year and a country; charging at night or elsewhere has another figure.

    Source: egrid_2023, total output.

    >>> round(grid_kg_per_kwh("AR5"), 6)
    0.365776
    """
    pounds = co2e_kg(
        co2_kg=factor("grid.co2.us"),
        ch4_g=G_PER_KG * factor("grid.ch4.us"),
        n2o_g=G_PER_KG * factor("grid.n2o.us"),
        gwp_set=gwp_set,
        factor=factor,
    )
    return pounds * factor("unit.pound") / KWH_PER_MWH / (1 - factor("grid.loss") / 100)
