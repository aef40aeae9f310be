"""Emission formulas at their corners: what is a memo, what is bounded, which factors are asked for."""

from __future__ import annotations

import pytest
from few import together

from wood_xl.air import energy, gases
from wood_xl.air.accounts import EmissionChoices, ToolPart, WorkAmounts, emission_accounts
from wood_xl.air.gases import DirectCo2, direct_co2, engine_gases, upstream_kg
from wood_xl.air.method import worn_by_a_cord
from wood_xl.data.load import constant, engine_for, small_engines, small_engines_of, value
from wood_xl.data.trade import tool_kinds
from wood_xl.hours.fuel import FuelParts, fuel_parts
from wood_xl.money.method import ToolInputs
from wood_xl.records import Tool

GALLON = 3.785411784
HUB = EmissionChoices("EPA hub", "AR5", None)


def test_diesel_burns_no_oil_and_no_ethanol() -> None:
    parts = fuel_parts(kind="diesel", fuel_l=2.0, mix_ratio=50, ethanol_frac=0.1)
    assert parts == FuelParts({"diesel": 2.0})
    assert direct_co2(parts, factor_set="EPA hub").kg == {"diesel": 2.0 * (10.21 / GALLON)}


def test_ethanol_of_the_mix_is_a_memo() -> None:
    # 5.1 L at 50:1 are 5.0 L of blend, of which 0.5 L ethanol, and 0.1 L of oil
    parts = fuel_parts(kind="gasoline two-stroke", fuel_l=5.1, mix_ratio=50, ethanol_frac=0.1)
    assert parts.litres == pytest.approx({"gasoline": 4.5, "ethanol": 0.5, "lubricant": 0.1})
    assert parts.oil_l == pytest.approx(0.1)
    assert parts.engine_fuel_l == pytest.approx(5.0)
    co2 = direct_co2(parts, factor_set="EPA hub")
    assert co2.biogenic_kg == pytest.approx(0.5 * 5.75 / GALLON)
    assert co2.fossil_kg == pytest.approx((4.5 * 8.78 + 0.1 * 10.69) / GALLON)


def test_vehicle_factors_leave_oil_and_ethanol() -> None:
    parts = FuelParts({"gasoline": 4.5, "ethanol": 0.5, "lubricant": 0.1})
    hub, vehicles = (direct_co2(parts, factor_set=chosen).kg for chosen in ("EPA hub", "EPA vehicles"))
    assert vehicles["gasoline"] / hub["gasoline"] == pytest.approx(8.887 / 8.78)
    assert [vehicles[fuel] for fuel in ("lubricant", "ethanol")] == [hub[fuel] for fuel in ("lubricant", "ethanol")]


def test_making_fuel_follows_gasoline_and_diesel_only() -> None:
    direct = DirectCo2({"gasoline": 10.0, "lubricant": 5.0, "diesel": 20.0, "ethanol": 7.0})
    assert upstream_kg(direct) == pytest.approx(10 * 0.18 + 20 * 0.19)


def test_methane_of_a_two_stroke_is_more_than_twice_that_of_a_four_stroke() -> None:
    two, four = (
        engine_gases(kind=kind, engine_fuel_l=1.0, factor_set="EPA hub", gwp_set="AR5")
        for kind in ("gasoline two-stroke", "gasoline four-stroke")
    )
    assert two.ch4_g / four.ch4_g == pytest.approx(15.57 / 5.84)
    assert two.n2o_g < four.n2o_g


def test_own_grid_figure_stands_as_it_is_written() -> None:
    amounts = WorkAmounts(None, FuelParts(), 12.0, ())
    assert emission_accounts(amounts, EmissionChoices("EPA hub", "AR4", 0.365776)).electricity_kg == pytest.approx(
        4.3893, abs=0.00005
    )
    assert emission_accounts(amounts, HUB).electricity_kg == pytest.approx(4.3893, abs=0.00005)


def test_share_of_a_tool_is_by_price_only_where_a_price_is_given() -> None:
    by_mass = ToolPart("gasoline two-stroke", 5.5, None, 0.1)
    by_price = ToolPart("gasoline two-stroke", 5.5, 400.0, 0.1)
    amounts = WorkAmounts(None, FuelParts(), 0.0, (by_mass, by_price))
    accounts = emission_accounts(amounts, HUB)
    assert accounts.tools_kg == pytest.approx(3.448 + 5.44, abs=0.0005)
    assert accounts.tools_mj == pytest.approx(2 * 500.7475 / 10)  # energy has no factor by price
    assert accounts.running_kg == 0
    assert accounts.work_kg == accounts.tools_kg


def test_heavy_power_tools_are_steel_and_hand_tools_always() -> None:
    steel = value("embodied.co2e.steel")
    assert energy.made_by_mass(kind="mains", mass_kg=108).co2e_kg == pytest.approx(108 * steel)
    assert energy.made_by_mass(kind="hand", mass_kg=2).co2e_kg == pytest.approx(2 * steel)
    assert energy.made_by_mass(kind="mains", mass_kg=5).co2e_kg > 2 * 5 * steel


def test_carbon_of_packs_covers_the_published_range_of_a_kwh() -> None:
    def two_packs_kg(end: str) -> float:
        def factor(name: str) -> float:
            return getattr(constant(name), end if name == "embodied.battery.co2e" else "value")

        return energy.packs_made_kg(kind="battery", with_first=True, factor=factor)

    assert [two_packs_kg(end) for end in ("low", "value", "high")] == pytest.approx([36.6, 50.1, 63.6])


def test_a_battery_tool_has_its_packs_by_mass_and_those_after_the_first_by_price() -> None:
    by_mass = energy.made_by_mass(kind="battery", mass_kg=5.5)
    assert by_mass.co2e_kg == pytest.approx(34.4795 + 2 * 25.05, abs=0.001)
    assert by_mass.energy_mj == pytest.approx(500.7475)
    assert energy.made_by_price_kg(kind="battery", price_usd=400.0) == pytest.approx(54.4 + 25.05)


def test_a_corded_tool_has_no_pack() -> None:
    assert energy.made_by_mass(kind="mains", mass_kg=5.5).co2e_kg == pytest.approx(34.4795, abs=0.001)
    assert energy.made_by_price_kg(kind="mains", price_usd=400.0) == pytest.approx(54.4)


def test_make_up_of_hand_held_tools_is_whole() -> None:
    assert sum(value(f"embodied.handheld.{material}") for material in energy.MATERIALS) == 100


def test_factors_that_are_multiplied_carry_through_the_chain() -> None:
    """Doubt about a factor is carried by exchanging its value: the account that uses it moves in proportion."""
    amounts = WorkAmounts("gasoline four-stroke", FuelParts({"gasoline": 1.0}), 2.0, ())
    usual = emission_accounts(amounts, HUB)
    wider = emission_accounts(
        amounts, HUB, factor=lambda key: value(key) * (1.5 if key == "ch4.epa_hub.four_stroke" else 1)
    )
    assert wider.direct.kg == usual.direct.kg
    assert wider.gases.ch4_g == pytest.approx(1.5 * usual.gases.ch4_g)
    assert wider.work_kg - usual.work_kg == pytest.approx(0.5 * usual.gases.ch4_g * 28 / 1000)


@together(
    ("kind", "power_hp", "code"),
    [
        ("gasoline two-stroke", None, "G2H52"),
        ("gasoline two-stroke", 2.9, "G2H42"),
        ("gasoline two-stroke", 3.0, "G2H42"),
        ("gasoline two-stroke", 3.1, "G2H52"),
        ("gasoline two-stroke", 60.0, "G2H52"),
        ("gasoline four-stroke", None, "G4N1O3"),
        ("gasoline four-stroke", 5.5, "G4N1O3"),
        ("gasoline four-stroke", 13.0, "G4N23a"),
    ],
)
def test_engine_by_power(kind: str, power_hp: float | None, code: str) -> None:
    found = engine_for(kind, power_hp)
    assert found is not None
    assert found.code == code


def test_kinds_without_an_engine_in_the_table() -> None:
    assert tool_kinds()["diesel"].small_engine is None
    assert engine_for(None, 40.0) is None
    assert small_engines_of(None) == []
    assert max(row.fuel_lb_per_hp_h for row in small_engines_of("gasoline two-stroke")) == 1.365


def test_particles_have_no_bound_without_oil() -> None:
    engine = small_engines()["G2H52"]
    free, bound = (gases.air_pollutants(fuel_l=1.0, oil_l=oil_l, engine=engine) for oil_l in (0.0, 0.02))
    assert not free.is_pm_capped
    assert bound.is_pm_capped
    assert bound.pm_g == pytest.approx(0.02 * 870)
    assert bound.pm_g < free.pm_g


def test_smoke_of_an_appliance_without_a_figure_is_not_guessed() -> None:
    assert gases.smoke_kg(dry_kg=1000, appliance="masonry heater") is None


@pytest.mark.parametrize(("life_h", "share"), [(None, 0.005), (80.0, 0.025)])
def test_a_tool_of_two_tasks_is_worn_by_each_for_its_hours(life_h: float | None, share: float) -> None:
    # 2 of 8 h a cord, 5 cords a year: 10 years by age are 50 cords, 80 h are 10 cords
    inputs = ToolInputs("saw", 0.0, 0.0, 2.0, other_hours_per_cord=6.0, life_h=life_h, age_limit_years=10.0)
    assert worn_by_a_cord(Tool("saw", "battery"), inputs, 5.0) == pytest.approx(share)
