"""Laws that the emission accounts keep for all inputs."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wood_xl.air.accounts import EmissionAccounts, EmissionChoices, ToolPart, WorkAmounts, emission_accounts
from wood_xl.air.energy import food_fossil_mj
from wood_xl.air.gases import biogenic_co2_kg, direct_co2, stove_gases
from wood_xl.data.load import value
from wood_xl.data.trade import factor_sets, tool_kinds, warming_potentials
from wood_xl.hours.fuel import FuelParts, fuel_parts
from wood_xl.warmth.heat import net_heat_as_received_mj_per_kg

GALLON = 3.785411784


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False)


POTENTIALS = st.sampled_from(list(warming_potentials()))
KINDS = st.sampled_from([kind.id for kind in tool_kinds().values() if kind.burns])
CHOICES = st.builds(
    EmissionChoices,
    factor_set=st.sampled_from(list(factor_sets())),
    gwp_set=POTENTIALS,
    grid_kg_per_kwh=st.none() | between(0, 2),
)


@st.composite
def work(draw: st.DrawFn) -> WorkAmounts:
    kind = draw(KINDS)
    parts = fuel_parts(
        kind=kind,
        fuel_l=draw(between(0, 100)),
        mix_ratio=draw(between(10, 200)),
        ethanol_frac=draw(between(0, 1)),
    )
    tool = ToolPart(kind, draw(between(0.5, 500)), draw(st.none() | between(0, 5000)), draw(between(0, 1)))
    return WorkAmounts(kind, parts, draw(between(0, 50)), (tool,))


def values(accounts: EmissionAccounts) -> list[float]:
    return [
        accounts.direct.fossil_kg,
        accounts.direct.biogenic_kg,
        accounts.gases.ch4_g,
        accounts.gases.n2o_g,
        accounts.upstream_kg,
        accounts.electricity_kg,
        accounts.tools_kg,
        accounts.fuel_mj,
        accounts.electricity_mj,
        accounts.tools_mj,
    ]


@given(KINDS, between(0, 200), between(10, 200), between(0, 1))
def test_fuel_is_the_sum_of_its_parts(kind: str, fuel: float, ratio: float, ethanol: float) -> None:
    parts = fuel_parts(kind=kind, fuel_l=fuel, mix_ratio=ratio, ethanol_frac=ethanol)
    assert math.fsum(parts.litres.values()) == pytest.approx(fuel, rel=1e-12)
    assert parts.engine_fuel_l + parts.oil_l == pytest.approx(fuel, rel=1e-12)


@given(KINDS, between(0, 200), between(10, 200), between(0, 1))
def test_carbon_in_is_carbon_out(kind: str, fuel: float, ratio: float, ethanol: float) -> None:
    """The carbon of all parts leaves as CO2, fossil or biogenic: none is lost and none is counted twice."""
    parts = fuel_parts(kind=kind, fuel_l=fuel, mix_ratio=ratio, ethanol_frac=ethanol)
    co2 = direct_co2(parts, factor_set="EPA hub")
    per_carbon = value("co2.per_carbon")
    carbon_in = math.fsum(
        litres * value(f"co2.{fuel}") / per_carbon / GALLON for fuel, litres in parts.litres.items()
    )
    carbon_out = (co2.fossil_kg + co2.biogenic_kg) / per_carbon
    assert carbon_out == pytest.approx(carbon_in, rel=1e-12)


@given(work(), CHOICES)
def test_totals_are_sums_of_accounts_and_hold_no_memo(amounts: WorkAmounts, choices: EmissionChoices) -> None:
    accounts = emission_accounts(amounts, choices)
    running = math.fsum(
        (accounts.direct.fossil_kg, accounts.gases.beyond_kg, accounts.upstream_kg, accounts.electricity_kg)
    )
    assert accounts.running_kg == pytest.approx(running)
    assert accounts.work_kg == pytest.approx(running + accounts.tools_kg)
    assert min(values(accounts)) >= 0


@given(work(), CHOICES, between(0, 1))
def test_biogenic_carbon_changes_no_total(amounts: WorkAmounts, choices: EmissionChoices, ethanol_l: float) -> None:
    """Ethanol adds to the memo; of the totals it moves only the engine's methane and nitrous oxide."""
    litres = amounts.fuel.litres
    more = FuelParts({**litres, "ethanol": litres.get("ethanol", 0.0) + ethanol_l})
    before = emission_accounts(amounts, choices)
    after = emission_accounts(WorkAmounts(amounts.engine, more, amounts.electricity_kwh, amounts.tools), choices)
    assert after.direct.fossil_kg == before.direct.fossil_kg
    assert after.upstream_kg == before.upstream_kg
    assert after.fuel_mj == before.fuel_mj
    assert after.direct.biogenic_kg >= before.direct.biogenic_kg


@given(work(), CHOICES)
def test_twice_the_amounts_are_twice_the_accounts(amounts: WorkAmounts, choices: EmissionChoices) -> None:
    def twice(parts: FuelParts) -> FuelParts:
        return FuelParts({fuel: 2 * litres for fuel, litres in parts.litres.items()})

    tools = tuple(ToolPart(t.kind, t.mass_kg, t.price_usd, 2 * t.share) for t in amounts.tools)
    doubled = WorkAmounts(amounts.engine, twice(amounts.fuel), 2 * amounts.electricity_kwh, tools)
    once, double = emission_accounts(amounts, choices), emission_accounts(doubled, choices)
    assert values(double) == pytest.approx([2 * number for number in values(once)], rel=1e-9)
    assert double.work_kg == pytest.approx(2 * once.work_kg)


@given(KINDS, between(0.01, 50), POTENTIALS)
def test_choice_of_potentials_moves_engines_little(kind: str, fuel: float, gwp_set: str) -> None:
    parts = fuel_parts(kind=kind, fuel_l=fuel, mix_ratio=50, ethanol_frac=0.0)
    amounts = WorkAmounts(kind, parts, 0.0, ())
    usual = emission_accounts(amounts, EmissionChoices("EPA hub", "AR5", None)).work_kg
    assert emission_accounts(amounts, EmissionChoices("EPA hub", gwp_set, None)).work_kg == pytest.approx(
        usual, rel=0.01
    )


@given(between(0, 20_000), between(0, 30))
def test_food_energy_grows_with_effort_and_ratio(kcal: float, ratio: float) -> None:
    assert food_fossil_mj(effort_kcal=kcal, ratio=ratio) == pytest.approx(kcal * ratio * 0.004184)


@given(between(1, 10_000), between(0, 0.6), POTENTIALS)
def test_biogenic_carbon_of_the_wood_is_no_part_of_the_stoves_gases(kg: float, moisture: float, gwp_set: str) -> None:
    net = net_heat_as_received_mj_per_kg(net_heat_mj_per_kg=18.5, moisture_wet_frac=moisture)
    stove = stove_gases(net_heat_mj=kg * net, gwp_set=gwp_set).co2e_kg
    biogenic = biogenic_co2_kg(dry_kg=kg * (1 - moisture), carbon_frac=0.5)
    assert stove < 0.1 * biogenic  # so it is not within them
