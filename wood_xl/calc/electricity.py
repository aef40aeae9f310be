"""Emissions of electricity from the socket."""

from __future__ import annotations

from wood_xl.calc.arguments import require_not_negative, require_positive
from wood_xl.calc.factor_sets import Factor, co2e_kg
from wood_xl.data.load import value

KWH_PER_MWH = 1000
DAYS_PER_YEAR = 365
G_PER_KG = 1000


def grid_kg_per_kwh(gwp_set: str, factor: Factor = value) -> float:
    """CO2e of a kWh at the socket where the season gives none: the mean of the United States.

        (CO2 + CH4 and N2O by their potentials) / (1 - loss in the grid)

    Parameters
    ----------
    gwp_set : str
        Potentials.
    factor : Factor
        Where factors are looked up by the id of their constant.

    Returns
    -------
    float
        kg CO2e per kWh.

    Notes
    -----
    A mean over a year and a country: charging a battery at night or in another country has another figure.

    References
    ----------
    egrid_2023, total output (constants ``grid.co2.us``, ``grid.ch4.us``, ``grid.n2o.us``);
    epa_hub_2026_copy, grid gross loss (constant ``grid.loss``);
    unit_definitions, pound (constant ``unit.pound``).

    Examples
    --------
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


def home_days(*, emitted_kg: float, grid_kg_per_kwh: float, factor: Factor = value) -> float:
    """Days of an average home's electricity whose emissions are as large.

        emissions / (kWh of a home in a year / 365 * emissions of a kWh)

    Parameters
    ----------
    emitted_kg : float
        CO2e to compare. [kg] 0 or more.
    grid_kg_per_kwh : float
        CO2e of a kWh. Above 0.
    factor : Factor
        Where factors are looked up by the id of their constant.

    Returns
    -------
    float
        Days.

    Raises
    ------
    ValueError
        If an argument is out of its range.

    References
    ----------
    eia_faq_97, residential customer (constant ``home.electricity``).

    Examples
    --------
    >>> round(home_days(emitted_kg=10.814, grid_kg_per_kwh=0.365776), 2)
    1.0
    """
    require_not_negative(emitted_kg=emitted_kg)
    require_positive(grid_kg_per_kwh=grid_kg_per_kwh)
    return emitted_kg / (factor("home.electricity") / DAYS_PER_YEAR * grid_kg_per_kwh)
