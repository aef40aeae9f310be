"""Which published figures stand behind the emissions of a season, with their editions: one row for each choice."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from wood_xl.calc.electricity import grid_kg_per_kwh
from wood_xl.data.load import constant, sources, value
from wood_xl.records import FactorSet, Season
from wood_xl.study.sessions import needs

SET_SOURCE: dict[FactorSet, str] = {
    "EPA hub": "epa_hub_2021",
    "EPA vehicles": "epa_vehicles_2011",
    "IPCC 2006": "ipcc_2006_off_road",
    "UK 2024": "uk_factors_2024",
}

Row = dict[str, Any]


def choice_rows(season: Season) -> Iterator[Row]:
    """Factor sets, potentials, electricity, heat basis and the rest, each with its edition."""
    chosen = season.emission_factor_set
    set_words = {
        "EPA hub": "gasoline, diesel, oil, ethanol",
        "EPA vehicles": "gasoline and diesel; oil and ethanol by the EPA hub",
        "IPCC 2006": "gasoline and diesel by net heat; oil and ethanol by the EPA hub",
        "UK 2024": "petrol, diesel, oil, as CO2e; ethanol by the EPA hub",
    }[chosen]
    yield _row(season, "Fuel", f"{chosen}: {set_words}", SET_SOURCE[chosen], "emission_factor_set")
    gases = {
        "IPCC 2006": ("IPCC 2006, household engines and off-road diesel", "ipcc_2006_off_road"),
        "UK 2024": ("EPA hub, beyond what the United Kingdom's factor of petrol holds already", "epa_hub_2021"),
    }.get(chosen, ("EPA hub, engines of lawn and garden; farm equipment for diesel", "epa_hub_2021"))
    yield _row(season, "Methane and nitrous oxide of engines", *gases, "emission_factor_set")
    report = season.gwp_set.lower()
    fossil, wood, n2o = (value(f"gwp.{gas}.{report}") for gas in ("ch4_fossil", "ch4_wood", "n2o"))
    yield _row(
        season,
        "Warming potentials",
        f"{season.gwp_set}, 100 years: methane {fossil:g} from fuel and {wood:g} from wood, nitrous oxide {n2o:g}",
        constant(f"gwp.ch4_fossil.{report}").source,
        "gwp_set",
    )
    gasoline, diesel = value("upstream.gasoline"), value("upstream.diesel")
    yield _row(
        season,
        "Making the fuel",
        f"{gasoline:.0%} of the CO2 of gasoline, {diesel:.0%} of diesel; none for oil and ethanol",
        "uk_factors_2011",
    )
    if season.grid_kg_per_kwh is None:
        grid = grid_kg_per_kwh(season.gwp_set)
        yield _row(
            season,
            "Electricity",
            f"{grid:.3f} kg CO2e/kWh: mean of the United States with {value('grid.loss'):g} % lost in the grid",
            "egrid_2023",
            "grid_intensity",
        )
    else:
        yield _row(season, "Electricity", f"{season.grid_kg_per_kwh:.3g} kg CO2e/kWh", "", "grid_intensity")
    tools = "by mass where it is written, else by a price in USD, else by a usual mass"
    yield _row(season, "Making the tools, by mass", tools, "ice_v2")
    yield _row(season, "Making the tools, by price", "kg CO2e per dollar of 2022", "epa_supply_chain_v1_3")
    yield _row(season, "Energy of fuel", "by gross (higher) heat", "epa_hub_2021")
    yield _row(season, "Air pollutants", "new engines, by their fuel", "epa_nonroad_2008")


def _row(season: Season, what: str, used: str, source_id: str, item: str = "") -> Row:
    if item in season.broken:
        used = f"not known: {needs(season.broken[item])}"
    source = sources().get(source_id)
    edition = "as written in the season"
    if source is not None:
        edition = "; ".join(part for part in (source.title, source.edition) if part)
    return {"choice": what, "used": f"{used} ({edition})"}
