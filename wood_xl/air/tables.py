"""Tables of the emissions: by account and session, carriers, energy; those of further files join them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, ClassVar

from wood_xl.air.accounts import (
    ACCOUNTS,
    BOUGHT_ENERGY,
    DIRECT_CO2,
    ELECTRIC_ENERGY,
    ELECTRICITY_CO2E,
    ENGINE_GASES,
    ETHANOL,
    FUEL_ENERGY,
    METHANE,
    NITROUS_OXIDE,
    TOOL_ENERGY,
    TOOLS,
    UPSTREAM,
    WORK,
    Account,
)
from wood_xl.air.bought_energy import gasoline_equivalent_l
from wood_xl.air.choices import choice_rows
from wood_xl.air.electricity import grid_kg_per_kwh
from wood_xl.air.food import food_rows
from wood_xl.air.method import MethodEmissions, session_amounts
from wood_xl.air.pollutants import pollutant_rows
from wood_xl.air.stove import burning_rows
from wood_xl.air.worn_tools import worn_tool_rows
from wood_xl.data.load import value
from wood_xl.data.trade import fuels
from wood_xl.draws.ensemble import nominal
from wood_xl.draws.figure import Figure, TableRow, drawn, not_given, with_draws
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.ids import AccountName, InTotal, Recorded, Told
from wood_xl.money.cost_study import CostStudy, from_sessions, recorded
from wood_xl.reasons import Basis, Reason, Said, said
from wood_xl.remark import Facts
from wood_xl.warmth.cord import HeatStudy
from wood_xl.warmth.use import heat_use_rows

J_PER_MJ = 1e6

Remark = tuple[str, str, Facts]


def emission_tables(rates: SeasonRates, heat: HeatStudy) -> dict[str, Sequence[Any]]:
    """Every table of the emissions, and what the heat stands in for, by its id."""
    study = rates.study
    burning = list(burning_rows(study.season, heat, study.yearly_cords))
    replaced = list(heat_use_rows(study.season, heat))
    stove, fuel = burning[0].co2e, replaced[0].fuel_co2 if replaced else not_given(said(Reason.NO_KIND_OF_WOOD))
    return {
        "emissions_per_cord": list(per_cord_rows(rates, stove, fuel)),
        "emission_choices": list(choice_rows(study.season)),
        "emissions": list(account_rows(rates)),
        "carriers": list(carrier_rows(rates)),
        "air_pollutants": list(pollutant_rows(rates)),
        "bought_energy": list(energy_rows(rates)),
        "food": list(food_rows(rates)),
        "worn_tools": list(worn_tool_rows(rates)),
        "wood_burning": burning,
        "heat_use": replaced,
        "session_emissions": list(session_rows(rates)),
    }


@dataclass(frozen=True, eq=False)
class EmissionsPerCordRow(TableRow):
    """Accounts of a method for a cord."""

    table: ClassVar[str] = "emissions_per_cord"
    method: str
    task: str
    direct_co2: Figure
    engine_gases: Figure
    upstream: Figure
    electricity: Figure
    tools: Figure
    co2e: Figure
    of_stove: Figure
    of_replaced: Figure


def per_cord_rows(rates: SeasonRates, stove: Figure, fuel: Figure) -> Iterator[EmissionsPerCordRow]:
    """Accounts of each method beside each other, for a cord."""
    for totals in rates.study.totals:
        work = rates.figure(totals, WORK.id)
        yield EmissionsPerCordRow(
            method=totals.method.name,
            task=totals.method.task,
            direct_co2=rates.figure(totals, DIRECT_CO2.id),
            engine_gases=rates.figure(totals, ENGINE_GASES.id),
            upstream=rates.figure(totals, UPSTREAM.id),
            electricity=rates.figure(totals, ELECTRICITY_CO2E.id),
            tools=rates.figure(totals, TOOLS.id),
            co2e=work,
            of_stove=_share(work, stove),
            of_replaced=_share(work, fuel),
        )


def _share(work: Figure, whole: Figure) -> Figure:
    """The work in per cent of something else that a cord emits, or would."""
    if work.value is None or whole.value is None:
        return work if work.value is None else whole
    return Figure(100 * work.value / whole.value) if whole.value else not_given(said(Reason.EMITS_NOTHING))


@dataclass(frozen=True, eq=False)
class EmissionsRow(TableRow):
    """One account of a method for a cord, for the trial and for a usual year."""

    table: ClassVar[str] = "emissions"
    method: str
    account: AccountName
    counted: InTotal
    per_cord: Figure
    trial: Figure
    year: Figure


def account_rows(rates: SeasonRates) -> Iterator[EmissionsRow]:
    """One row for each account of each method: for a cord, for the trial and for a usual year."""
    for of_method in rates.emitted.values():
        rows = [(account, InTotal.PART) for account in ACCOUNTS if of_method.has(account)]
        memo = [(ETHANOL, InTotal.MEMO)] if of_method.has(ETHANOL) else []
        for account, counted in (*rows, (WORK, InTotal.TOTAL), *memo):
            yield _account_row(of_method.totals, account, counted, rates)


def _account_row(totals: MethodTotals, account: Account, counted: InTotal, rates: SeasonRates) -> EmissionsRow:
    yearly, per_cord = rates.study.yearly_cords, rates.figure(totals, account.id)
    return EmissionsRow(
        method=totals.method.name,
        account=account.title,
        counted=counted,
        per_cord=per_cord,
        trial=_of_the_trial(per_cord, totals, account, rates),
        year=not_given(said(Reason.NO_YEARLY_VOLUME)) if yearly is None else per_cord.times(yearly),
    )


def _of_the_trial(per_cord: Figure, totals: MethodTotals, account: Account, rates: SeasonRates) -> Figure:
    """What the sessions recorded is in no doubt; what some of them did not is as unsure as for a cord."""
    if per_cord.value is None:
        return per_cord
    emissions = rates.emissions(totals.method.name)
    number, why = account.amount(emissions.of_trial), emissions.why(account.needs)
    return with_draws(Figure(nominal(number), per_cord.basis, reason=why), number)


@dataclass(frozen=True, eq=False)
class SessionEmissionsRow(TableRow):
    """Accounts of a counted session."""

    table: ClassVar[str] = "session_emissions"
    session: str
    method: str
    direct_co2: Figure
    engine_gases: Figure
    upstream: Figure
    electricity: Figure
    tools: Figure
    co2e: Figure


def session_rows(rates: SeasonRates) -> Iterator[SessionEmissionsRow]:
    """Accounts of each counted session."""
    for of_method in rates.emitted.values():
        for index in range(len(of_method.totals.counted)):
            yield _session_row(of_method, index, rates)


def _session_row(of_method: MethodEmissions, index: int, rates: SeasonRates) -> SessionEmissionsRow:
    amounts, missing = session_amounts(of_method, index, rates.study.season)
    figures = of_method.totals.counted[index]
    cords = 0.0 if figures.quantity is None else figures.quantity.cords
    accounts = rates.emissions(of_method.totals.method.name).of_session(amounts, cords)

    def emitted(account: Account) -> Figure:
        why = next((missing[part] for part in account.needs if part in missing), None)
        return not_given(why) if why is not None else drawn(account.amount(accounts)).let_go()

    return SessionEmissionsRow(
        session=figures.session.name,
        method=of_method.totals.method.name,
        direct_co2=emitted(DIRECT_CO2),
        engine_gases=emitted(ENGINE_GASES),
        upstream=emitted(UPSTREAM),
        electricity=emitted(ELECTRICITY_CO2E),
        tools=emitted(TOOLS),
        co2e=emitted(WORK),
    )


@dataclass(frozen=True, eq=False)
class CarriersRow(TableRow):
    """What a method burns, loses and draws for a cord: a column for each fuel, named as its carrier."""

    table: ClassVar[str] = "carriers"
    method: str
    task: str
    gasoline: Figure
    ethanol: Figure
    two_stroke_oil: Figure
    diesel: Figure
    bar_oil: Figure
    electricity: Figure
    ch4: Figure
    n2o: Figure


def carrier_rows(rates: SeasonRates) -> Iterator[CarriersRow]:
    """What is burnt, lost and drawn for a cord, and the grams of methane and nitrous oxide."""
    for emitted in rates.emitted.values():
        totals, fuel = emitted.totals, emitted.amounts.fuel
        litres = {row.carrier: fuel.litres.get(row.id, 0.0) for row in fuels().values()}
        kwh = emitted.of(("electricity",), emitted.amounts.electricity_kwh)
        yield CarriersRow(
            method=totals.method.name,
            task=totals.method.task,
            bar_oil=_taken(bar_oil(totals, rates.study), Recorded.BAR_OIL, totals, rates),
            electricity=_taken(kwh, Recorded.ELECTRICITY, totals, rates),
            ch4=rates.figure(totals, METHANE.id),
            n2o=rates.figure(totals, NITROUS_OXIDE.id),
            **{key: _taken(emitted.of(("fuel",), one), Recorded.FUEL, totals, rates) for key, one in litres.items()},
        )


def _taken(plain: Figure, what: Recorded, totals: MethodTotals, rates: SeasonRates) -> Figure:
    """An amount that goes with what the sessions recorded, and with no factor."""
    if not plain.value:
        return plain if plain.value is None else with_draws(plain, plain.value)
    relative = rates.taken.relative(totals, what)
    if relative.why is not None:
        return replace(plain, reason=relative.why)
    return with_draws(plain, plain.value * relative.number)


def bar_oil(totals: MethodTotals, study: CostStudy) -> Figure:
    """Bar oil left in the wood and on the ground for a cord [L]."""
    sums = recorded(totals, Recorded.BAR_OIL, study, "emissions")
    if isinstance(sums, Said):
        return not_given(sums)
    litres, sessions_n = sums
    if not sessions_n and totals.method.lacks_tool:
        return not_given(said(Reason.NO_TOOL))
    if not sessions_n:
        return Figure(0.0, said(Basis.NONE_WRITTEN)) if totals.counted else not_given(totals.why_none)
    return Figure(litres, from_sessions(sessions_n, len(totals.counted)))


@dataclass(frozen=True, eq=False)
class BoughtEnergyRow(TableRow):
    """Energy that a method takes for a cord, and how much gasoline holds as much."""

    table: ClassVar[str] = "bought_energy"
    method: str
    task: str
    fuel: Figure
    electricity: Figure
    tools: Figure
    bought: Figure
    bought_kcal: Figure
    as_gasoline: Figure


def energy_rows(rates: SeasonRates) -> Iterator[BoughtEnergyRow]:
    """Energy of fuel, electricity and tools for a cord."""
    for totals in rates.study.totals:
        bought = rates.figure(totals, BOUGHT_ENERGY.id)
        yield BoughtEnergyRow(
            method=totals.method.name,
            task=totals.method.task,
            fuel=rates.figure(totals, FUEL_ENERGY.id),
            electricity=rates.figure(totals, ELECTRIC_ENERGY.id),
            tools=rates.figure(totals, TOOL_ENERGY.id),
            bought=bought,
            bought_kcal=bought.times(J_PER_MJ / value("unit.kcal")),
            as_gasoline=bought.times(nominal(gasoline_equivalent_l(energy_mj=1.0))),
        )


def emission_remarks(all_found: Iterable[MethodEmissions], study: CostStudy) -> list[Remark]:
    """Electricity without a figure of its own."""
    remarks: list[Remark] = []
    season = study.season
    draws = any(of_method.amounts.electricity_kwh for of_method in all_found)
    if draws and season.grid_kg_per_kwh is None and "grid_intensity" not in season.broken:
        mean = nominal(grid_kg_per_kwh(season.gwp_set))
        facts = {
            "title": said(Told.EMISSIONS_OF_ELECTRICITY),
            "value": said(Told.KG_PER_KWH, kg=mean),
            "source": said(Told.US_GRID),
        }
        remarks.append(("season-default-used", "grid_intensity", facts))
    return remarks
