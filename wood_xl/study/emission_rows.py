"""Tables of the emissions: by account and session, energy, air pollutants, tools, and food as a memo."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from wood_xl.calc.air_pollutants import KW_PER_HP, air_pollutants, engine_fuel_l_per_h
from wood_xl.calc.bought_energy import gasoline_equivalent_l
from wood_xl.calc.electricity import grid_kg_per_kwh, home_days
from wood_xl.calc.figure import Figure, not_given
from wood_xl.calc.food import food_fossil_mj, food_kgco2e
from wood_xl.data.load import value
from wood_xl.data.small_engines import engine_for, thirstiest_lb_per_hp_h
from wood_xl.records import Season
from wood_xl.study.cost import CostStudy, recorded, sessions_words
from wood_xl.study.emission_choices import choice_rows
from wood_xl.study.emissions import (
    ACCOUNTS,
    ETHANOL,
    PARTS,
    WORK,
    Account,
    MethodEmissions,
    season_grid,
    session_accounts,
)
from wood_xl.study.heat import HeatStudy
from wood_xl.study.methods import MethodTotals
from wood_xl.study.rates import rate_figure
from wood_xl.study.sessions import BURNING, needs
from wood_xl.study.wood_emissions import burning_rows

IN_TOTAL, TOTAL, MEMO = "in total", "total", "memo"
FOOD_ITEMS = ("food_counted", "food_fossil_ratio")
J_PER_MJ = 1e6

Row = dict[str, Any]
Remark = tuple[str, str, dict[str, str]]


def emission_tables(all_found: Sequence[MethodEmissions], study: CostStudy, heat: HeatStudy) -> dict[str, list[Row]]:
    """Every table of the emissions by its id."""
    season = study.season
    return {
        "emissions_per_cord": list(per_cord_rows(all_found, season)),
        "emission_choices": list(choice_rows(season)),
        "emissions": list(account_rows(all_found, study)),
        "carriers": list(carrier_rows(all_found)),
        "air_pollutants": list(pollutant_rows(all_found, study)),
        "bought_energy": list(energy_rows(all_found)),
        "food": list(food_rows(study.totals, season)),
        "worn_tools": list(worn_tool_rows(all_found)),
        "wood_burning": list(burning_rows(season, heat, study.yearly_cords)),
        "session_emissions": list(session_rows(all_found, season)),
    }


def account_columns(found: MethodEmissions) -> Row:
    """Every account and the work total for a cord."""
    return {account.id: found.figure(account) for account in (*ACCOUNTS, WORK)}


def per_cord_rows(all_found: Iterable[MethodEmissions], season: Season) -> Iterator[Row]:
    """Accounts of each method beside each other, for a cord."""
    for found in all_found:
        yield {
            "method": found.totals.method.name,
            "task": found.totals.method.task,
            **account_columns(found),
            "home_days": _home_days(found.figure(WORK), season),
        }


def _home_days(work: Figure, season: Season) -> Figure:
    grid = season_grid(season)
    if grid.value is None:
        return grid
    if work.value is None:
        return work
    if grid.value == 0:
        return not_given("the electricity has no emissions")
    return Figure(home_days(emitted_kg=work.value, grid_kg_per_kwh=grid.value))


def account_rows(all_found: Iterable[MethodEmissions], study: CostStudy) -> Iterator[Row]:
    """One row for each account of each method: for a cord, for the trial and for a usual year."""
    for found in all_found:
        rows = [(account, IN_TOTAL) for account in ACCOUNTS if found.has(account)]
        memo = [(ETHANOL, MEMO)] if found.has(ETHANOL) else []
        for account, counted in (*rows, (WORK, TOTAL), *memo):
            yield _account_row(found.totals, account.title, counted, found.figure(account), study)


def _account_row(totals: MethodTotals, title: str, counted: str, per_cord: Figure, study: CostStudy) -> Row:
    yearly = None if study.yearly_cords is None else Figure(study.yearly_cords)
    return {
        "method": totals.method.name,
        "account": title,
        "counted": counted,
        "per_cord": per_cord,
        "trial": _times(per_cord, totals.cords),
        "year": not_given("no yearly volume") if yearly is None else _times(per_cord, yearly.value or 0.0),
    }


def _times(figure: Figure, number: float) -> Figure:
    return figure if figure.value is None else Figure(figure.value * number, figure.basis)


def session_rows(all_found: Iterable[MethodEmissions], season: Season) -> Iterator[Row]:
    """Accounts of each counted session."""
    for found in all_found:
        for index, figures in enumerate(found.totals.counted):
            accounts, missing = session_accounts(found, index, season)

            def shown(account: Account, accounts: Any = accounts, missing: Any = missing) -> Figure:
                why = next((missing[part] for part in account.needs if part in missing), None)
                return Figure(account.kg(accounts)) if why is None else not_given(why)

            yield {
                "session": figures.session.name,
                "method": found.totals.method.name,
                **{account.id: shown(account) for account in (*ACCOUNTS, WORK)},
            }


def carrier_rows(all_found: Iterable[MethodEmissions]) -> Iterator[Row]:
    """What is burnt, lost and drawn for a cord, and the grams of methane and nitrous oxide."""
    for found in all_found:
        fuel, gases = found.amounts.fuel, found.accounts.gases
        yield {
            "method": found.totals.method.name,
            "task": found.totals.method.task,
            "gasoline": found.of(("fuel",), fuel.gasoline_l),
            "ethanol": found.of(("fuel",), fuel.ethanol_l),
            "two_stroke_oil": found.of(("fuel",), fuel.oil_l),
            "diesel": found.of(("fuel",), fuel.diesel_l),
            "bar_oil": bar_oil(found.totals),
            "electricity": found.of(("electricity",), found.amounts.electricity_kwh),
            "ch4": found.of(("fuel",), gases.ch4_g),
            "n2o": found.of(("fuel",), gases.n2o_g),
        }


def bar_oil(totals: MethodTotals) -> Figure:
    """Bar oil left in the wood and on the ground for a cord [L]."""
    found = recorded(totals, lambda s: s.bar_oil_l, "emissions")
    if isinstance(found, str):
        return not_given(found)
    litres, cords, sessions_n = found
    if not sessions_n:
        return Figure(0.0, "none is written") if totals.counted else not_given("no session counts")
    return Figure(litres / cords, sessions_words(sessions_n, len(totals.counted)))


def pollutant_rows(all_found: Iterable[MethodEmissions], study: CostStudy) -> Iterator[Row]:
    """Air pollutants of each method with an engine, for a cord."""
    for found in all_found:
        if found.engine is None:
            continue
        engine = engine_for(found.engine, _power_hp(found, study))
        row: Row = {"method": found.totals.method.name}
        if engine is None:
            why = not_given(f"no factors of a {found.engine} engine")
            yield {**row, "engine": "", **dict.fromkeys(("thc", "co", "nox", "pm"), why)}
            continue
        fuel = found.amounts.fuel
        emitted = air_pollutants(
            fuel_l=fuel.engine_fuel_l + fuel.oil_l,
            oil_l=fuel.oil_l,
            fuel_lb_per_hp_h=engine.fuel_lb_per_hp_h,
            thc_g_per_hp_h=engine.thc_g_per_hp_h,
            co_g_per_hp_h=engine.co_g_per_hp_h,
            nox_g_per_hp_h=engine.nox_g_per_hp_h,
            pm_g_per_hp_h=engine.pm_g_per_hp_h,
        )
        pm = found.of(("fuel",), emitted.pm_g)
        if emitted.is_pm_capped and pm.value is not None:
            pm = Figure(pm.value, "bounded by the oil in the mix")
        power = "" if engine.used == "by power" else " or power not written"
        yield {
            **row,
            "engine": f"{engine.title}{power} ({engine.code})",
            "thc": found.of(("fuel",), emitted.thc_g),
            "co": found.of(("fuel",), emitted.co_g),
            "nox": found.of(("fuel",), emitted.nox_g),
            "pm": pm,
        }


def _power_hp(found: MethodEmissions, study: CostStudy) -> float | None:
    """Rated power of the tool that burns the method's fuel; None if it is not written, or nothing is burnt."""
    if found.engine is None:  # or the kind of one of its tools is not known
        return None
    tools = (study.tools[name] for name in found.totals.method.tools)
    powers = [tool.rated_power_kw for tool in tools if tool.kind in BURNING and tool.rated_power_kw is not None]
    return max(powers) / KW_PER_HP if powers else None


def energy_rows(all_found: Iterable[MethodEmissions]) -> Iterator[Row]:
    """Energy of fuel, electricity and tools for a cord."""
    for found in all_found:
        accounts = found.accounts
        total = found.of(PARTS, accounts.bought_mj)
        yield {
            "method": found.totals.method.name,
            "task": found.totals.method.task,
            "fuel": found.of(("fuel",), accounts.fuel_mj),
            "electricity": found.of(("electricity",), accounts.electricity_mj),
            "tools": found.of(("tools",), accounts.tools_mj),
            "bought": total,
            "bought_kcal": _times(total, J_PER_MJ / value("unit.kcal")),
            "as_gasoline": total
            if total.value is None
            else Figure(gasoline_equivalent_l(energy_mj=total.value), total.basis),
        }


def _food_effort(totals: MethodTotals, season: Season) -> Figure:
    broken = [season.broken[item] for item in FOOD_ITEMS if item in season.broken]
    if broken:
        return not_given(needs(broken[0]))
    return rate_figure(totals, "kcal_net" if season.food_counted == "net of rest" else "kcal_gross", season)


def food_of(totals: MethodTotals, season: Season) -> Figure | None:
    """CO2e behind the food of a cord [kg]; None if the season does not ask for it."""
    if season.food_counted == "off" and "food_counted" not in season.broken:
        return None
    effort = _food_effort(totals, season)
    if effort.value is None:
        return effort
    grams = value("food.co2e_per_kcal")
    return Figure(food_kgco2e(effort_kcal=effort.value, g_per_kcal=grams), f"effort {season.food_counted}")


def food_rows(all_totals: Iterable[MethodTotals], season: Season) -> Iterator[Row]:
    """Food behind the work of each method, by the chosen ratio and by two others beside it."""
    for totals in all_totals:
        food = food_of(totals, season)
        if food is None:
            return
        effort = _food_effort(totals, season)

        def fossil(ratio: float, effort: Figure = effort) -> Figure:
            if effort.value is None:
                return effort
            return Figure(food_fossil_mj(effort_kcal=effort.value, ratio=ratio), f"{ratio:g} to 1")

        yield {
            "method": totals.method.name,
            "counted": season.food_counted,
            "effort": effort,
            "chosen": fossil(season.food_fossil_ratio),
            "production": fossil(value("food.ratio.production")),
            "chain": fossil(value("food.ratio.chain")),
            "co2e": food,
        }


def worn_tool_rows(all_found: Iterable[MethodEmissions]) -> Iterator[Row]:
    """Making of each tool by mass and by price, and what a cord takes of it."""
    for found in all_found:
        for tool in found.tools:
            kg = tool.by_price if tool.part.price_usd is not None else tool.by_mass
            yield {
                "tool": tool.tool.name,
                "method": found.totals.method.name,
                "mass": tool.mass,
                "by_mass": tool.by_mass,
                "by_price": tool.by_price,
                "used": tool.used,
                "cords": not_given(tool.why) if tool.why else Figure(1 / tool.part.share),
                "per_cord": not_given(tool.why) if tool.why else _times(kg, tool.part.share),
            }


def emission_remarks(all_found: Iterable[MethodEmissions], study: CostStudy) -> list[Remark]:
    """Electricity without a figure of its own, and fuel beyond what an engine can burn."""
    remarks: list[Remark] = []
    season = study.season
    all_found = list(all_found)
    draws = any(found.amounts.electricity_kwh for found in all_found)
    if draws and season.grid_kg_per_kwh is None and "grid_intensity" not in season.broken:
        mean = grid_kg_per_kwh(season.gwp_set)
        facts = {
            "title": "Emissions of the electricity",
            "value": f"{mean:.3f} kg/kWh",
            "source": ", the mean of the United States, eGRID 2023 with its loss in the grid",
        }
        remarks.append(("season-default-used", "grid_intensity", facts))
    for found in all_found:
        remarks += _over_engine(found, study)
    return remarks


def _over_engine(found: MethodEmissions, study: CostStudy) -> list[Remark]:
    """Sessions that burn more than the thirstiest engine of that kind and power at full throttle all the time."""
    power_hp = _power_hp(found, study)
    thirst = None if found.engine is None else thirstiest_lb_per_hp_h(found.engine)
    if power_hp is None or thirst is None:
        return []
    most = engine_fuel_l_per_h(power_kw=power_hp * KW_PER_HP, load_frac=1.0, fuel_lb_per_hp_h=thirst)
    remarks: list[Remark] = []
    for figures in found.totals.counted:
        hours = 0.0 if figures.time is None else figures.time.clock_h
        litres = figures.session.fuel_l or 0.0
        if hours and litres / hours > most:
            facts = {"found": f"{litres / hours:.1f} L/h", "expected": f"{most:.1f} L/h"}
            remarks.append(("season-fuel-over-engine", "", {**facts, "session": figures.session.name}))
    return remarks
