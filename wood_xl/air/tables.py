"""Tables of emissions by account, session and tool, of fuel and energy, and of the factors used."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Any

from wood_xl.air import accounts
from wood_xl.air.accounts import Account, EmissionAccounts
from wood_xl.air.drawn import of_session, of_trial, price_usd
from wood_xl.air.energy import J_PER_MJ, energy_return, gasoline_equivalent_l
from wood_xl.air.factor_sets import grid_kg_per_kwh
from wood_xl.air.memo_items import burning_rows, food_rows, pollutant_rows
from wood_xl.air.method import MethodEmissions, WornTool, session_amounts
from wood_xl.data.load import constant, sources, value
from wood_xl.data.trade import factor_sets, fuels, warming_potentials
from wood_xl.draws.ensemble import nominal, total
from wood_xl.draws.figure import TAKES_NONE, Figure, Row, drawn, not_given, with_draws
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.hours.sessions import needs
from wood_xl.ids import FactorChoice, InTotal, Recorded, Told, Used
from wood_xl.money.cost_study import CostStudy
from wood_xl.reasons import Basis, Reason, Remark, Said, Word, said
from wood_xl.records import Season
from wood_xl.warmth.cord import HeatStudy
from wood_xl.warmth.doubt import AS_WRITTEN
from wood_xl.warmth.use import heat_use_rows

OF_WORK = {  # column to account
    "direct_co2": accounts.DIRECT_CO2,
    "engine_gases": accounts.ENGINE_GASES,
    "upstream": accounts.UPSTREAM,
    "electricity": accounts.ELECTRICITY_CO2E,
    "tools": accounts.TOOLS,
    "co2e": accounts.WORK,
}
OF_ENERGY = {
    "fuel": accounts.FUEL_ENERGY,
    "electricity": accounts.ELECTRIC_ENERGY,
    "tools": accounts.TOOL_ENERGY,
    "bought": accounts.BOUGHT_ENERGY,
}


def emission_tables(rates: SeasonRates, heat: HeatStudy) -> dict[str, Sequence[Any]]:
    """Every table of emissions, and that of the heating that wood replaces, by table id."""
    study = rates.study
    burning = list(burning_rows(study.season, heat, study.yearly_cords))
    replaced = list(heat_use_rows(study.season, heat))
    stove, fuel = burning[0]["co2e"], replaced[0]["fuel_co2"] if replaced else not_given(said(Reason.NO_KIND_OF_WOOD))
    return {
        "emissions_per_cord": list(per_cord_rows(rates, stove, fuel)),
        "emission_choices": list(choice_rows(study.season)),
        "emissions": list(account_rows(rates)),
        "carriers": list(carrier_rows(rates)),
        "air_pollutants": list(pollutant_rows(rates)),
        "bought_energy": list(energy_rows(rates)),
        "food": list(food_rows(rates)),
        "worn_tools": [
            _worn_row(tool, emitted, rates) for emitted in rates.emitted.values() for tool in emitted.tools
        ],
        "wood_burning": burning,
        "heat_use": replaced,
        "session_emissions": [
            _session_row(method, index, rates)
            for method in rates.emitted.values()
            for index in range(len(method.totals.counted))
        ],
    }


def per_cord_rows(rates: SeasonRates, stove: Figure, fuel: Figure) -> Iterator[Row]:
    """Accounts of each method for a cord, side by side."""
    for totals in rates.study.totals:
        work = rates.figure(totals, accounts.WORK.id)
        yield Row(
            method=totals.method.name,
            task=totals.method.task,
            **{column: rates.figure(totals, account.id) for column, account in OF_WORK.items()},
            of_stove=_percent(work, stove),
            of_replaced=_percent(work, fuel),
        )


def _percent(work: Figure, whole: Figure) -> Figure:
    """Emissions of the work in percent of others."""
    if work.value is None or whole.value is None:
        return work if work.value is None else whole
    return Figure(100 * work.value / whole.value) if whole.value else not_given(said(Reason.EMITS_NOTHING))


def account_rows(rates: SeasonRates) -> Iterator[Row]:
    """One row for each account of each method: for a cord, for the trial and for a usual year."""
    yearly = rates.study.yearly_cords
    for name, of_method in rates.emitted.items():
        rows = [(account, InTotal.PART) for account in accounts.ACCOUNTS if of_method.has(account)]
        rows.append((accounts.WORK, InTotal.TOTAL))
        if of_method.has(accounts.ETHANOL):
            rows.append((accounts.ETHANOL, InTotal.MEMO))
        trial: EmissionAccounts | None = None  # made only if an account is given
        for account, counted in rows:
            per_cord = rates.figure(of_method.totals, account.id)
            of_the_trial = per_cord
            if per_cord.value is not None:
                trial = trial or of_trial(of_method, rates.emissions(name), rates.study, rates.taken)
                number, why = account.amount(trial), rates.emissions(name).why_unsure(account.needs)
                of_the_trial = with_draws(Figure(nominal(number), per_cord.basis, reason=why), number)
            yield Row(
                method=name,
                account=account.title,
                counted=counted,
                per_cord=per_cord,
                trial=of_the_trial,
                year=not_given(said(Reason.NO_YEARLY_VOLUME)) if yearly is None else per_cord.times(yearly),
            )


def _session_row(of_method: MethodEmissions, index: int, rates: SeasonRates) -> Row:
    """Accounts of a counted session."""
    amounts, missing = session_amounts(of_method, index, rates.study.season)
    figures = of_method.totals.counted[index]
    cords = 0.0 if figures.quantity is None else figures.quantity.cords
    own = of_session(rates.emissions(of_method.totals.method.name), amounts, cords)

    def emitted(account: Account) -> Figure:
        why = next((missing[part] for part in account.needs if part in missing), None)
        return not_given(why) if why is not None else drawn(account.amount(own)).let_go()

    return Row(
        session=figures.session.name,
        method=of_method.totals.method.name,
        **{column: emitted(account) for column, account in OF_WORK.items()},
    )


def carrier_rows(rates: SeasonRates) -> Iterator[Row]:
    """Fuel burned, oil lost and electricity used for a cord, and grams of methane and nitrous oxide."""
    for emitted in rates.emitted.values():
        totals, fuel = emitted.totals, emitted.amounts.fuel
        litres = {
            row.carrier: emitted.figure_from(("fuel",), fuel.litres.get(row.id, 0.0)) for row in fuels().values()
        }
        kwh = emitted.figure_from(("electricity",), emitted.amounts.electricity_kwh)
        yield Row(
            method=totals.method.name,
            task=totals.method.task,
            bar_oil=_taken(bar_oil(totals, rates.study), Recorded.BAR_OIL, totals, rates),
            electricity=_taken(kwh, Recorded.ELECTRICITY, totals, rates),
            ch4=rates.figure(totals, accounts.METHANE.id),
            n2o=rates.figure(totals, accounts.NITROUS_OXIDE.id),
            **{key: _taken(figure, Recorded.FUEL, totals, rates) for key, figure in litres.items()},
        )


def _taken(plain: Figure, what: Recorded, totals: MethodTotals, rates: SeasonRates) -> Figure:
    if not plain.value:
        return with_draws(plain, 0.0)
    relative = rates.taken.relative(totals, what)
    return with_draws(replace(plain, reason=relative.why), plain.value * relative.number)


def bar_oil(totals: MethodTotals, study: CostStudy) -> Figure:
    """Bar oil lost into wood and ground for a cord [L]."""
    litres = study.equal.recorded(totals, Recorded.BAR_OIL, "emissions")
    if litres is None and totals.method.lacks_tool:
        return not_given(said(Reason.NO_TOOL))
    if litres is None:
        return Figure(0.0, said(Basis.NONE_WRITTEN)) if totals.counted else not_given(totals.why_none)
    return litres


def energy_rows(rates: SeasonRates) -> Iterator[Row]:
    """Energy of fuel, electricity and tools for a cord."""
    for totals in rates.study.totals:
        bought = rates.figure(totals, accounts.BOUGHT_ENERGY.id)
        yield Row(
            method=totals.method.name,
            task=totals.method.task,
            **{column: rates.figure(totals, account.id) for column, account in OF_ENERGY.items()},
            bought_kcal=bought.times(J_PER_MJ / value("unit.kcal")),
            as_gasoline=bought.times(nominal(gasoline_equivalent_l(energy_mj=1.0))),
        )


def emission_remarks(methods: Iterable[MethodEmissions], study: CostStudy) -> list[Remark]:
    """A remark if the mean of the United States stands in for the season's electricity."""
    season = study.season
    uses_electricity = any(of_method.amounts.electricity_kwh for of_method in methods)
    if not uses_electricity or season.grid_kg_per_kwh is not None or "grid_intensity" in season.broken:
        return []
    facts = {
        "title": said(Told.EMISSIONS_OF_ELECTRICITY),
        "value": said(Told.KG_PER_KWH, kg=nominal(grid_kg_per_kwh(season.gwp_set))),
        "source": said(Told.US_GRID),
    }
    return [("season-default-used", "grid_intensity", facts)]


def choice_rows(season: Season) -> Iterator[Row]:
    """Factors used for fuel, gases, warming, electricity, tools and energy, each with its edition."""
    chosen, potentials = factor_sets()[season.emission_factor_set], warming_potentials()[season.gwp_set]
    fuel = said(Used.FUEL, chosen=chosen.id, words=chosen.words)
    yield _row(season, FactorChoice.FUEL, fuel, chosen.source, "emission_factor_set")
    gases = said(Used.ENGINE_GASES, words=chosen.gases_words), chosen.gases_source
    yield _row(season, FactorChoice.ENGINE_GASES, *gases, "emission_factor_set")
    fossil, wood, n2o = (value(gas) for gas in (potentials.ch4_fossil, potentials.ch4_wood, potentials.n2o))
    warming = said(Used.POTENTIALS, report=potentials.id, fossil=fossil, wood=wood, n2o=n2o)
    yield _row(season, FactorChoice.POTENTIALS, warming, constant(potentials.ch4_fossil).source, "gwp_set")
    yield _row(season, FactorChoice.MAKING_FUEL, _making_fuel(), "uk_factors_2011")
    if season.grid_kg_per_kwh is None:
        grid = grid_kg_per_kwh(season.gwp_set)
        used, source = said(Used.US_GRID, kg=grid, loss=value("grid.loss")), "egrid_2023"
    else:
        used, source = said(Used.GRID, kg=season.grid_kg_per_kwh), ""
    yield _row(season, FactorChoice.ELECTRICITY, used, source, "grid_intensity")
    yield _row(season, FactorChoice.TOOLS_BY_MASS, said(Used.TOOLS_BY_MASS), "ice_v2")
    yield _row(season, FactorChoice.TOOLS_BY_PRICE, said(Used.TOOLS_BY_PRICE), "epa_supply_chain_v1_3")
    yield _row(season, FactorChoice.FUEL_ENERGY, said(Used.GROSS_HEAT), "epa_hub_2021")
    yield _row(season, FactorChoice.AIR_POLLUTANTS, said(Used.NEW_ENGINES), "epa_nonroad_2008")


def _making_fuel() -> Said:
    upstream = {fuel.name: value(fuel.upstream) for fuel in fuels().values() if fuel.upstream is not None}
    shares = tuple(said(Used.UPSTREAM_OF, share=share, fuel=name) for name, share in upstream.items())
    without = tuple(fuel.name for fuel in fuels().values() if fuel.upstream is None)
    return said(Used.UPSTREAM, shares=shares, without=without)


def _row(season: Season, what: Word, used: Said, source_id: str, item: str = "") -> Row:
    if item in season.broken:
        used = said(Used.NOT_KNOWN, why=needs(season.broken[item]))
    source = sources().get(source_id)
    if source is None:
        return Row(choice=what, used=said(Used.AS_WRITTEN, used=used))
    edition = tuple(part for part in (source.title, source.edition) if part)
    return Row(choice=what, used=said(Used.BY_SOURCE, used=used, edition=edition))


def energy_return_rows(rates: SeasonRates, heat: HeatStudy) -> Iterator[Row]:
    """Energy bought for a cord by each method, and the cord's heat per unit of it."""
    for totals in rates.study.totals:
        yield Row(
            method=totals.method.name,
            task=totals.method.task,
            delivered_heat=heat.from_a_cord,
            running=rates.figure(totals, accounts.RUNNING_ENERGY.id),
            bought=rates.figure(totals, accounts.BOUGHT_ENERGY.id),
            return_running=heat_for_energy(heat.from_a_cord, [totals], accounts.RUNNING_ENERGY, rates),
            return_bought=heat_for_energy(heat.from_a_cord, [totals], accounts.BOUGHT_ENERGY, rates),
        )


def heat_for_energy(
    delivered: Figure, methods: Sequence[MethodTotals], account: Account, rates: SeasonRates
) -> Figure:
    """Heat over the energy put in by some methods; doubt that both share cancels."""
    if delivered.value is None:
        return delivered
    energies = [rates.figure(totals, account.id) for totals in methods]
    missing = next((energy for energy in energies if energy.value is None), None)
    if missing is not None:
        return missing
    taken = [energy for energy in energies if energy.value]
    if not taken:
        return not_given(said(Reason.NO_ENERGY_BOUGHT))
    energy_mj = total(energy.number for energy in taken)
    plain = Figure(energy_return(heat_mj=delivered.value, energy_in_mj=nominal(energy_mj)))
    unsure = next((energy.reason for energy in taken if energy.members is None and energy.reason), None)
    if unsure is not None:
        return replace(plain, reason=unsure)
    return with_draws(plain, delivered.number / energy_mj)


def _worn_row(tool: WornTool, of_method: MethodEmissions, rates: SeasonRates) -> Row:
    """Carbon of making a tool, and the share of it that a cord wears off."""
    emissions = rates.emissions(of_method.totals.method.name)
    part = emissions.amounts.tools[of_method.tools.index(tool)]
    by_mass = accounts.tool_made(replace(part, price_usd=None), emissions.factor).co2e_kg
    by_price = tool.by_price
    if by_price.value is not None:
        priced = replace(part, price_usd=price_usd(tool, rates.design))
        by_price = with_draws(by_price, accounts.tool_made(priced, emissions.factor).co2e_kg)
    cords = per_cord = not_given(tool.why)
    if tool.why is None and not tool.part.share:  # it never ran here; another task wears it
        cords, per_cord = not_given(TAKES_NONE), Figure(0.0, reason=TAKES_NONE)
    elif tool.why is None:
        unsure = emissions.why_unsure(("tools",))
        cords, per_cord = (
            drawn(number) if unsure is None else Figure(nominal(number), reason=unsure)
            for number in (1 / part.share, part.share * accounts.tool_made(part, emissions.factor).co2e_kg)
        )
    mass = replace(tool.mass, reason=AS_WRITTEN) if tool.tool.mass_kg is not None else tool.mass
    return Row(
        tool=tool.tool.name,
        method=of_method.totals.method.name,
        mass=with_draws(mass, part.mass_kg),
        by_mass=with_draws(tool.by_mass, by_mass),
        by_price=by_price,
        used=tool.used,
        cords=cords,
        per_cord=per_cord,
    )
