"""Heat index and wind chill: where they hold, how the steps join, and the words for them."""

from __future__ import annotations

import math
import re

import pytest
from few import together

from wood_xl.body import weather
from wood_xl.body.weather import cold_band, heat_band, heat_index_f, wind_chill_c
from wood_xl.data.load import value
from wood_xl.ids import ColdBand, HeatBand
from wood_xl.schema.words import words


def test_dry_air_takes_off_and_damp_air_adds() -> None:
    # at 95 degF the adjustment is (13 - R)/4, so 0.1 % of humidity makes 0.025 degF beside the regression's slope;
    # 12.75 degF above and below it is half of that
    for t, taken in ((95, 0.025), (82.25, 0.0125), (107.75, 0.0125)):
        damper, edge, dryer = (heat_index_f(temperature_f=t, humidity_frac=part) for part in (0.131, 0.13, 0.129))
        assert (edge - dryer) - (damper - edge) == pytest.approx(taken, abs=1e-3)
    damp = heat_index_f(temperature_f=82, humidity_frac=0.86) - heat_index_f(temperature_f=82, humidity_frac=0.85)
    slope = heat_index_f(temperature_f=82, humidity_frac=0.85) - heat_index_f(temperature_f=82, humidity_frac=0.84)
    assert damp - slope == pytest.approx(0.1, abs=1e-2)


@pytest.mark.parametrize(("temperature", "humidity"), [(112, 0.12), (87, 0.95)])
def test_adjustments_end_without_a_step(temperature: float, humidity: float) -> None:
    below = heat_index_f(temperature_f=temperature - 1e-6, humidity_frac=humidity)
    beyond = heat_index_f(temperature_f=temperature + 1e-6, humidity_frac=humidity)
    assert beyond == pytest.approx(below, abs=1e-3)


def test_heat_index_is_given_within_its_range_only() -> None:
    def given(temperature: float) -> bool:
        return weather.heat_index_c(temperature_c=temperature, humidity_frac=0.3) is not None

    assert [given(t) for t in (-5, 26.9, 27, 35, 44.4, 44.5, 50)] == [False, False, True, True, True, False, False]


def test_wind_chill_is_given_within_its_range_only() -> None:
    assert wind_chill_c(temperature_c=10, wind_km_per_h=20) is not None
    assert wind_chill_c(temperature_c=10.1, wind_km_per_h=20) is None
    assert wind_chill_c(temperature_c=0, wind_km_per_h=4.8) is None
    assert wind_chill_c(temperature_c=0, wind_km_per_h=0) is None
    assert wind_chill_c(temperature_c=0, wind_km_per_h=4.9) is not None


@pytest.mark.parametrize(("temperature_f", "wind_mph", "us_f"), [(-10, 5, -22.26), (-15, 5, -28.13)])
def test_wind_chill_agrees_with_the_formula_in_us_units(temperature_f: float, wind_mph: float, us_f: float) -> None:
    found = wind_chill_c(temperature_c=(temperature_f - 32) / 1.8, wind_km_per_h=wind_mph * 1.609344)
    assert found is not None
    assert 32 + 1.8 * found == pytest.approx(us_f, abs=0.1)


def test_more_wind_feels_colder() -> None:
    felt = [wind_chill_c(temperature_c=-5, wind_km_per_h=wind) for wind in (5, 10, 20, 40, 80)]
    assert felt == sorted(felt, key=lambda c: -math.inf if c is None else -c)
    assert felt[0] is not None
    assert felt[0] < -5


@together(
    ("index", "band"),
    [
        (20.0, None),
        (27.0, None),
        (27.1, HeatBand.CAUTION),
        (32.0, HeatBand.CAUTION),
        (32.1, HeatBand.EXTREME_CAUTION),
        (41.0, HeatBand.EXTREME_CAUTION),
        (41.1, HeatBand.DANGER),
        (54.0, HeatBand.DANGER),
        (54.1, HeatBand.EXTREME_DANGER),
    ],
)
def test_heat_bands(index: float, band: HeatBand | None) -> None:
    assert heat_band(heat_index_c=index) is band


@together(
    ("whole", "band"),
    [
        (1, None),
        (-9, None),
        (-10, ColdBand.LONG_OUTSIDE),
        (-27, ColdBand.LONG_OUTSIDE),
        (-28, ColdBand.SKIN_10_TO_30_MIN),
        (-39, ColdBand.SKIN_10_TO_30_MIN),
        (-40, ColdBand.SKIN_5_TO_10_MIN),
        (-47, ColdBand.SKIN_5_TO_10_MIN),
        (-48, ColdBand.SKIN_2_TO_5_MIN),
        (-54, ColdBand.SKIN_2_TO_5_MIN),
        (-55, ColdBand.SKIN_UNDER_2_MIN),
        (-70, ColdBand.SKIN_UNDER_2_MIN),
    ],
)
def test_cold_bands_go_by_whole_degrees_and_a_half_is_colder(whole: int, band: ColdBand | None) -> None:
    for wind_chill in (whole + 0.49, whole, whole - 0.49, whole + 0.5):
        assert cold_band(wind_chill_c=wind_chill) is band


def test_bands_go_from_the_mildest_to_the_worst() -> None:
    heat = [value(f"heat_index.{band.key}") for band in HeatBand]
    cold = [value(f"wind_chill.{band.key}") for band in ColdBand]
    assert (heat, cold) == (sorted(heat), sorted(cold, reverse=True))


def test_no_band_promises_anything() -> None:
    told = " ".join(words(band) for band in (*HeatBand, *ColdBand))
    assert not re.search(r"safe|\blow\b|below|above|not so", told)


@together(
    ("temperature", "humidity", "wind", "told"),
    [
        (35, 0.5, None, "heat: extreme caution"),
        (46, 0.2, 10, "heat: beyond the range of the heat index"),
        (46, None, None, "heat: beyond the range of the heat index"),
        (40, None, None, ""),
        (25, 0.9, 30, ""),
        (5, 0.9, 60, ""),
        (-12, None, None, "cold: the body can cool too far in a long stay outdoors"),
        (-12, 0.8, 2, "cold: the body can cool too far in a long stay outdoors"),
        (-20, None, 40, "cold: bare skin can freeze in 10 to 30 min"),
    ],
)
def test_words_stand_beyond_a_line_only(
    temperature: float, humidity: float | None, wind: float | None, told: str
) -> None:
    found = weather.harsh_weather(temperature_c=temperature, humidity_frac=humidity, wind_km_per_h=wind)
    assert words(found) == told
