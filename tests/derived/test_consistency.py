"""Published figures against each other: what one source says must follow from what it, or another, says elsewhere."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest
from few import together

from wood_xl.body.exposure import NoiseRule, time_allowed_h
from wood_xl.body.weather import wind_chill_c
from wood_xl.data.load import constants, value


@together(
    ("fuel", "heat", "per_heat", "per_gallon"),
    [
        ("gasoline", "0.125", "70.22", "8.78"),
        ("diesel", "0.138", "73.96", "10.21"),
        ("propane", "0.091", "62.87", "5.72"),
        ("lubricant", "0.144", "74.27", "10.69"),
        ("ethanol", "0.084", "68.44", "5.75"),
    ],
)
def test_factor_is_heat_content_times_factor_per_heat(fuel: str, heat: str, per_heat: str, per_gallon: str) -> None:
    """EPA hub 2021, Tables 1 and 2: the same fuel stands there in two ways."""
    assert value(f"heat_content.{fuel}") == float(heat)
    assert value(f"co2_per_heat.{fuel}") == float(per_heat)
    assert value(f"co2.{fuel}") == float(per_gallon)
    assert value(f"heat_content.{fuel}") * value(f"co2_per_heat.{fuel}") == pytest.approx(
        float(per_gallon), abs=0.005
    )


def test_carbon_balance_of_a_gallon_of_gasoline() -> None:
    """fueleconomy.gov: 6.3 lb a gallon, 87 % carbon, make about 20 lb of CO2; other sets run from 8.60 to 9.12 kg."""
    pounds = value("carbon_balance.gasoline_mass") * value("carbon_balance.gasoline_carbon") * value("co2.per_carbon")
    assert pounds == pytest.approx(20.10, abs=0.005)
    kg_per_lb = 0.45359237
    assert 8.60 <= value("co2.gasoline") <= pounds * kg_per_lb
    assert 8.60 <= value("co2.gasoline.epa_vehicles") <= pounds * kg_per_lb


def test_energy_of_oxygen_follows_from_its_formula() -> None:
    """weir_1949: 3.941 kcal per litre of oxygen and 1.106 per litre of carbon dioxide, of which there are 0.85."""
    assert value("oxygen.kcal_per_l") == pytest.approx(3.941 + 1.106 * 0.85, abs=0.005)


def test_rest_at_the_tables_convention_is_rest_in_oxygen_within_their_known_gap() -> None:
    """1 kcal per kg and hour, 3.5 mL per kg and minute: the same only if a litre yields 4.762 kcal."""
    per_l = value("effort.resting_kcal_per_kg_h") / 60 / (value("oxygen.resting_uptake") / 1000)
    assert per_l == pytest.approx(4.762, abs=0.0005)
    assert per_l < value("oxygen.kcal_per_l")


@together(("hours", "rule", "percent"), [(8, "osha", 5.9), (8, "niosh", 2.8), (1, "osha", 0.7), (1, "niosh", 0.4)])
def test_dose_of_a_level_below_each_threshold(hours: float, rule: NoiseRule, percent: float) -> None:
    """pmc8169711, Table 3: the doses of 69.6 dB(A) by both rules, with every level counted."""
    assert 100 * hours / time_allowed_h(level_dba=69.6, rule=rule) == pytest.approx(percent, abs=0.051)


@pytest.mark.parametrize(("hours", "percent"), [("8", "34.67"), ("4", "44.38")])
def test_limits_of_uptake_agree_with_an_older_curve(hours: str, percent: str) -> None:
    """Bink 1962, from memory: share of capacity for t minutes = (log 5700 - log t)/3.1."""
    share_pct = 100 * (math.log10(5700) - math.log10(float(hours) * 60)) / 3.1
    assert share_pct == pytest.approx(float(percent), abs=0.005)
    assert 100 * value(f"acceptable_work.uptake.{hours}_h") == pytest.approx(share_pct, abs=1.0)


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


def test_parts_of_the_model_that_formulas_cite_have_constants() -> None:
    """Our own pages are the places of our constants: a part that no constant names cannot be looked up."""
    sources = [path.read_text(encoding="utf-8") for path in (Path(__file__).parents[2] / "wood_xl").rglob("*.py")]
    cited = set(re.findall(r"how_sure_defaults, (model of the sessions, [a-z ]+)\.", "".join(sources)))
    assert len(cited) > 5
    assert cited <= {one.where for one in constants().values() if one.source == "how_sure_defaults"}
