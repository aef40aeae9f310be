"""Which published figures stand behind the emissions of a season, with their editions: one row for each choice."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from wood_xl.calc.electricity import grid_kg_per_kwh
from wood_xl.data.load import constant, sources, value
from wood_xl.data.trade import factor_sets, fuels, warming_potentials
from wood_xl.records import Season
from wood_xl.study.sessions import needs

Row = dict[str, Any]


def choice_rows(season: Season) -> Iterator[Row]:
    """Factor sets, potentials, electricity, heat basis and the rest, each with its edition."""
    chosen, potentials = factor_sets()[season.emission_factor_set], warming_potentials()[season.gwp_set]
    yield _row(season, "Fuel", f"{chosen.id}: {chosen.words}", chosen.source, "emission_factor_set")
    gases = chosen.gases_words, chosen.gases_source
    yield _row(season, "Methane and nitrous oxide of engines", *gases, "emission_factor_set")
    fossil, wood, n2o = (value(gas) for gas in (potentials.ch4_fossil, potentials.ch4_wood, potentials.n2o))
    yield _row(
        season,
        "Warming potentials",
        f"{potentials.id}, 100 years: methane {fossil:g} from fuel and {wood:g} from wood, nitrous oxide {n2o:g}",
        constant(potentials.ch4_fossil).source,
        "gwp_set",
    )
    yield _row(season, "Making the fuel", _making_fuel(), "uk_factors_2011")
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


def _making_fuel() -> str:
    known = {fuel.name: value(fuel.upstream) for fuel in fuels().values() if fuel.upstream is not None}
    without = [fuel.name for fuel in fuels().values() if fuel.upstream is None]
    shares = ", ".join(f"{share:.0%} of the CO2 of {name}" for name, share in known.items())
    return f"{shares}; none for {' and '.join(without)}"


def _row(season: Season, what: str, used: str, source_id: str, item: str = "") -> Row:
    if item in season.broken:
        used = f"not known: {needs(season.broken[item])}"
    source = sources().get(source_id)
    edition = "as written in the season"
    if source is not None:
        edition = "; ".join(part for part in (source.title, source.edition) if part)
    return {"choice": what, "used": f"{used} ({edition})"}
