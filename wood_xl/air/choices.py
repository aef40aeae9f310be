"""Which published figures stand behind the emissions of a season, with their editions: one row for each choice."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from wood_xl.air.electricity import grid_kg_per_kwh
from wood_xl.data.load import constant, sources, value
from wood_xl.data.trade import factor_sets, fuels, warming_potentials
from wood_xl.draws.figure import TableRow
from wood_xl.hours.sessions import needs
from wood_xl.ids import FactorChoice, Used
from wood_xl.reasons import Said, said
from wood_xl.records import Season


@dataclass(frozen=True, eq=False)
class EmissionChoicesRow(TableRow):
    """A choice of the season, and the published figures that stand behind it."""

    table: ClassVar[str] = "emission_choices"
    choice: FactorChoice
    used: Said


def choice_rows(season: Season) -> Iterator[EmissionChoicesRow]:
    """Factor sets, potentials, electricity, heat basis and the rest, each with its edition."""
    chosen, potentials = factor_sets()[season.emission_factor_set], warming_potentials()[season.gwp_set]
    fuel = said(Used.FUEL, chosen=chosen.id, words=chosen.words)
    yield _row(season, FactorChoice.FUEL, fuel, chosen.source, "emission_factor_set")
    gases = said(Used.ENGINE_GASES, words=chosen.gases_words), chosen.gases_source
    yield _row(season, FactorChoice.ENGINE_GASES, *gases, "emission_factor_set")
    fossil, wood, n2o = (value(gas) for gas in (potentials.ch4_fossil, potentials.ch4_wood, potentials.n2o))
    yield _row(
        season,
        FactorChoice.POTENTIALS,
        said(Used.POTENTIALS, report=potentials.id, fossil=fossil, wood=wood, n2o=n2o),
        constant(potentials.ch4_fossil).source,
        "gwp_set",
    )
    yield _row(season, FactorChoice.MAKING_FUEL, _making_fuel(), "uk_factors_2011")
    if season.grid_kg_per_kwh is None:
        grid = grid_kg_per_kwh(season.gwp_set)
        yield _row(
            season,
            FactorChoice.ELECTRICITY,
            said(Used.US_GRID, kg=grid, loss=value("grid.loss")),
            "egrid_2023",
            "grid_intensity",
        )
    else:
        yield _row(season, FactorChoice.ELECTRICITY, said(Used.GRID, kg=season.grid_kg_per_kwh), "", "grid_intensity")
    yield _row(season, FactorChoice.TOOLS_BY_MASS, said(Used.TOOLS_BY_MASS), "ice_v2")
    yield _row(season, FactorChoice.TOOLS_BY_PRICE, said(Used.TOOLS_BY_PRICE), "epa_supply_chain_v1_3")
    yield _row(season, FactorChoice.FUEL_ENERGY, said(Used.GROSS_HEAT), "epa_hub_2021")
    yield _row(season, FactorChoice.AIR_POLLUTANTS, said(Used.NEW_ENGINES), "epa_nonroad_2008")


def _making_fuel() -> Said:
    upstream = {fuel.name: value(fuel.upstream) for fuel in fuels().values() if fuel.upstream is not None}
    shares = tuple(said(Used.UPSTREAM_OF, share=share, fuel=name) for name, share in upstream.items())
    without = tuple(fuel.name for fuel in fuels().values() if fuel.upstream is None)
    return said(Used.UPSTREAM, shares=shares, without=without)


def _row(season: Season, what: FactorChoice, used: Said, source_id: str, item: str = "") -> EmissionChoicesRow:
    if item in season.broken:
        used = said(Used.NOT_KNOWN, why=needs(season.broken[item]))
    source = sources().get(source_id)
    if source is None:
        return EmissionChoicesRow(choice=what, used=said(Used.AS_WRITTEN, used=used))
    edition = tuple(part for part in (source.title, source.edition) if part)
    return EmissionChoicesRow(choice=what, used=said(Used.BY_SOURCE, used=used, edition=edition))
