"""Emissions of electricity from the socket."""

from __future__ import annotations

from wood_xl.air.factor_sets import Factor, co2e_kg
from wood_xl.data.load import value
from wood_xl.draws.ensemble import Number

KWH_PER_MWH = 1000
G_PER_KG = 1000


def grid_kg_per_kwh(gwp_set: str, factor: Factor = value) -> Number:
    """CO2e of a kWh at the socket where the season gives none: the mean of the United States.

        (CO2 + CH4 and N2O by their potentials) / (1 - loss in the grid)

    gwp_set: potentials.
    factor: where factors are looked up by the id of their constant.

    A mean over a year and a country: charging a battery at night or in another country has another figure.

    Source: egrid_2023, total output (constants ``grid.co2.us``, ``grid.ch4.us``, ``grid.n2o.us``); epa_hub_2026, grid
    gross loss (constant ``grid.loss``); unit_definitions, pound (constant ``unit.pound``).

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
