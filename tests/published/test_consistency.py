"""Published figures against each other, and answers in print that are wrong."""

from __future__ import annotations

import pytest

from wood_xl.calc.cost import annual_capital_cost, present_value_factor
from wood_xl.data.load import value


@pytest.mark.parametrize(
    ("fuel", "heat", "per_heat", "printed"),
    [
        ("gasoline", "0.125", "70.22", "8.78"),
        ("diesel", "0.138", "73.96", "10.21"),
        ("propane", "0.091", "62.87", "5.72"),
        ("lubricant", "0.144", "74.27", "10.69"),
        ("ethanol", "0.084", "68.44", "5.75"),
    ],
)
def test_factor_is_heat_content_times_factor_per_heat(fuel: str, heat: str, per_heat: str, printed: str) -> None:
    """EPA hub 2021, Tables 1 and 2: the same fuel stands there in two ways."""
    assert value(f"heat_content.{fuel}") == float(heat)
    assert value(f"co2_per_heat.{fuel}") == float(per_heat)
    assert value(f"co2.{fuel}") == float(printed)
    assert value(f"heat_content.{fuel}") * value(f"co2_per_heat.{fuel}") == pytest.approx(float(printed), abs=0.005)


def test_carbon_balance_of_a_gallon_of_gasoline() -> None:
    """fueleconomy.gov: 6.3 lb a gallon, 87 % carbon, make about 20 lb of CO2; other sets run from 8.60 to 9.12 kg."""
    pounds = (
        value("carbon_balance.gasoline_mass")
        * value("carbon_balance.gasoline_carbon")
        * value("carbon_balance.co2_per_carbon")
    )
    assert pounds == pytest.approx(20.10, abs=0.005)
    kg_per_lb = 0.45359237
    assert 8.60 <= value("co2.gasoline") <= pounds * kg_per_lb
    assert 8.60 <= value("co2.gasoline.epa_vehicles") <= pounds * kg_per_lb


# Answers in print that do not follow from their own figures (equivalent_annual_cost_answers): rounded factors, flows
# not discounted. The right ones come only from factors with all their digits.


def test_equivalent_annual_cost_with_full_digits() -> None:
    yearly = annual_capital_cost(price=10_000, resale=0, rate_frac=0.10, years=5) + 20_000
    assert yearly == pytest.approx(22_637.97, abs=0.005)
    assert abs(yearly - 20_819.02) > 1_000  # printed


def test_annual_cost_with_full_digits() -> None:
    yearly = annual_capital_cost(price=870_000, resale=0, rate_frac=0.09, years=3) + 11_000
    assert yearly == pytest.approx(354_697.64, abs=0.005)
    assert abs(yearly - 354_738.94) > 40  # printed, with a factor of three decimals


def test_present_value_of_a_series_that_grows_at_the_interest_rate() -> None:
    """29,000 now, 13,000 a year for 4 years, then 10 % more every year to year 10, at 10 %."""
    four_years = present_value_factor(rate_frac=0.10, years=4)
    fourth_year = four_years - present_value_factor(rate_frac=0.10, years=3)
    operating = 13_000 * four_years + 6 * 13_000 * fourth_year
    assert operating == pytest.approx(94_483.30, abs=0.005)
    assert 29_000 + operating == pytest.approx(123_483.30, abs=0.005)
    assert abs(29_000 + operating - 108_433.15) > 15_000  # printed
