"""Published figures against each other, and answers in print that are wrong."""

from __future__ import annotations

import math

import pytest

from wood_xl.calc.cost import annual_capital_cost, present_value_factor
from wood_xl.calc.exposure import vibration_points
from wood_xl.calc.weather import wind_chill_c
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
    pounds = value("carbon_balance.gasoline_mass") * value("carbon_balance.gasoline_carbon") * value("co2.per_carbon")
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


def test_energy_of_oxygen_follows_from_its_formula() -> None:
    """weir_1949: 3.941 kcal per litre of oxygen and 1.106 per litre of carbon dioxide, of which there are 0.85."""
    assert value("oxygen.kcal_per_l") == pytest.approx(3.941 + 1.106 * 0.85, abs=0.005)


def test_rest_at_the_tables_convention_is_rest_in_oxygen_within_their_known_gap() -> None:
    """1 kcal per kg and hour, 3.5 mL per kg and minute: the same only if a litre yields 4.762 kcal."""
    per_l = value("effort.resting_kcal_per_kg_h") / 60 / (value("oxygen.resting_uptake") / 1000)
    assert per_l == pytest.approx(4.762, abs=0.0005)
    assert per_l < value("oxygen.kcal_per_l")


@pytest.mark.parametrize(("hours", "printed"), [("8", "34.67"), ("4", "44.38")])
def test_limits_of_uptake_agree_with_an_older_curve(hours: str, printed: str) -> None:
    """Bink 1962, from memory: share of capacity for t minutes = (log 5700 - log t)/3.1."""
    share_pct = 100 * (math.log10(5700) - math.log10(float(hours) * 60)) / 3.1
    assert share_pct == pytest.approx(float(printed), abs=0.005)
    assert 100 * value(f"acceptable_work.uptake.{hours}_h") == pytest.approx(share_pct, abs=1.0)


# Points as the chart prints them, each cell rounded (hse_vibration_points, cells from memory).
CHART_HOURS = (0.25, 0.5, 1, 2, 3, 4, 5, 6, 8)
CHART = {
    2.5: (5, 5, 15, 25, 40, 50, 65, 75, 100),
    3: (5, 10, 20, 35, 55, 70, 90, 110, 145),
    4: (10, 15, 30, 65, 95, 130, 160, 190, 255),
    5: (15, 25, 50, 100, 150, 200, 250, 300, 400),
    6: (20, 35, 70, 145, 215, 290, 360, 430, 575),
    7: (25, 50, 100, 195, 295, 390, 490, 590, 785),
    10: (50, 100, 200, 400, 600, 800, 1000, 1200, 1600),
}


@pytest.mark.parametrize("vibration", CHART)
def test_points_are_those_of_the_chart_before_its_rounding(vibration: float) -> None:
    for hours, printed in zip(CHART_HOURS, CHART[vibration], strict=True):
        points = vibration_points(vibration_m_s2_and_hours=[(vibration, hours)])
        assert abs(points - printed) <= 2.5, hours


@pytest.mark.parametrize(
    ("temperature_f", "wind_mph", "expected_f"),
    [(-10, 5, "-22.26"), (-15, 5, "-28.13"), (40, 10, None), (0, 30, None)],
)
def test_wind_chill_in_degrees_fahrenheit(temperature_f: float, wind_mph: float, expected_f: str | None) -> None:
    """The formula of the United States and the metric one, printed apart with their own rounded coefficients."""
    wind = wind_mph**0.16
    in_f = 35.74 + 0.6215 * temperature_f - 35.75 * wind + 0.4275 * temperature_f * wind
    if expected_f is not None:
        assert in_f == pytest.approx(float(expected_f), abs=0.005)
    chill = wind_chill_c(temperature_c=(temperature_f - 32) / 1.8, wind_km_per_h=wind_mph * 1.609344)
    assert chill is not None
    assert 32 + 1.8 * chill == pytest.approx(in_f, abs=0.1)
