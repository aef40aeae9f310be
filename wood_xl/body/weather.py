"""Heat index, wind chill and the published bands of both, each only where its formula holds."""

from __future__ import annotations

import math

from wood_xl.data.load import value
from wood_xl.ids import ColdBand, HeatBand, Weather
from wood_xl.reasons import Said, said

F_PER_C = 9 / 5
F_AT_0_C = 32.0

# Bands go from the mildest to the worst; each begins beyond its constant.


def heat_index_f(*, temperature_f: float, humidity_frac: float) -> float:
    """Heat index in degrees Fahrenheit by all steps of the method.

        s = (T + 61 + 1.2 (T - 68) + 0.094 R) / 2,   h = (s + T) / 2,   h where it is below 80
        else the regression of T and R, less a dry adjustment, plus a damp adjustment

    For shade and light wind. ``heat_index_c`` limits it to the range where it means something.

    Source: nws_heat_index, all steps.

    >>> round(heat_index_f(temperature_f=90, humidity_frac=0.60), 2)
    99.68
    """
    humidity_pct = 100 * humidity_frac
    rise = value("heat_index.simple.slope") * (temperature_f - value("heat_index.simple.pivot"))
    damp = value("heat_index.simple.humidity") * humidity_pct
    simple = (temperature_f + value("heat_index.simple.offset") + rise + damp) / 2
    first = (simple + temperature_f) / 2
    if first < value("heat_index.regression_from"):
        return first
    regression = math.fsum(
        value(f"heat_index.t{t}r{r}") * temperature_f**t * humidity_pct**r for t in range(3) for r in range(3)
    )
    return regression - _dry_f(temperature_f, humidity_pct) + _damp_f(temperature_f, humidity_pct)


def heat_index_c(*, temperature_c: float, humidity_frac: float) -> float | None:
    """Heat index in degrees Celsius, where the method holds.

    Returns None below 27 degrees Celsius and above 112 degrees Fahrenheit. The upper end is the highest temperature
    that the method names, in its dry adjustment; beyond it the regression climbs out of all proportion.

    Source: nws_heat_index, all steps.

    >>> round(heat_index_c(temperature_c=29, humidity_frac=0.5), 1)
    29.7
    """
    temperature_f = F_AT_0_C + F_PER_C * temperature_c
    if temperature_c < value("heat_index.lowest") or temperature_f > value("heat_index.dry.highest"):
        return None
    return (heat_index_f(temperature_f=temperature_f, humidity_frac=humidity_frac) - F_AT_0_C) / F_PER_C


def wind_chill_c(*, temperature_c: float, wind_km_per_h: float) -> float | None:
    """Wind chill temperature, where the formula holds.

        13.12 + 0.6215 t - 11.37 v^0.16 + 0.3965 t v^0.16

    Returns None above 10 degrees Celsius and at 4.8 km/h or less. A hand-held meter at head height reads less than
    the wind at 10 m and makes the result too warm.

    Source: iso_11079, wind chill temperature.

    >>> round(wind_chill_c(temperature_c=-10, wind_km_per_h=20), 2)
    -17.86
    """
    if temperature_c > value("wind_chill.highest_temperature") or wind_km_per_h <= value("wind_chill.lowest_wind"):
        return None
    wind = wind_km_per_h ** value("wind_chill.exponent")
    return math.fsum(
        (
            value("wind_chill.intercept"),
            value("wind_chill.temperature") * temperature_c,
            value("wind_chill.wind") * wind,
            value("wind_chill.both") * temperature_c * wind,
        )
    )


def heat_band(*, heat_index_c: float) -> HeatBand | None:
    """Band of a heat index; None below the first. A value on a line belongs to the band that ends there.

    Source: nws_heat_index, bands of its chart.

    >>> heat_band(heat_index_c=35.0)
    <HeatBand.EXTREME_CAUTION: 2>
    """
    return next((band for band in reversed(HeatBand) if heat_index_c > value(f"heat_index.{band.key}")), None)


def cold_band(*, wind_chill_c: float) -> ColdBand | None:
    """Band of a wind chill; None above the first that names a harm.

    The table uses whole degrees, so the wind chill is rounded first, a half to the colder side.

    Source: wind_chill_bands, table.

    >>> cold_band(wind_chill_c=-29.1)
    <ColdBand.SKIN_10_TO_30_MIN: 2>
    """
    whole = math.ceil(wind_chill_c - 0.5)
    return next((band for band in reversed(ColdBand) if whole <= value(f"wind_chill.{band.key}")), None)


def harsh_weather(*, temperature_c: float, humidity_frac: float | None, wind_km_per_h: float | None) -> Said | None:
    """Heat or cold beyond a published line; None if there is neither.

    humidity_frac: relative humidity; without it only heat beyond the range of the heat index is reported.
    wind_km_per_h: wind at 10 m above the ground; None means still air.

    Source: nws_heat_index, highest temperature; wind_chill_bands, table.

    >>> harsh_weather(temperature_c=35, humidity_frac=0.5, wind_km_per_h=None)["band"]
    <HeatBand.EXTREME_CAUTION: 2>
    """
    if F_AT_0_C + F_PER_C * temperature_c > value("heat_index.dry.highest"):
        return said(Weather.BEYOND_HEAT_INDEX)
    if humidity_frac is not None:
        index = heat_index_c(temperature_c=temperature_c, humidity_frac=humidity_frac)
        heat = None if index is None else heat_band(heat_index_c=index)
        if heat is not None:
            return said(Weather.HEAT, band=heat)
    chill = None
    if wind_km_per_h is not None:
        chill = wind_chill_c(temperature_c=temperature_c, wind_km_per_h=wind_km_per_h)
    cold = cold_band(wind_chill_c=temperature_c if chill is None else chill)
    return None if cold is None else said(Weather.COLD, band=cold)


def _dry_f(temperature_f: float, humidity_pct: float) -> float:
    short_of = value("heat_index.dry.humidity") - humidity_pct
    if short_of <= 0 or not (value("heat_index.regression_from") <= temperature_f <= value("heat_index.dry.highest")):
        return 0.0
    half_width = value("heat_index.dry.half_width")
    off_middle = abs(temperature_f - value("heat_index.dry.middle"))
    return short_of / value("heat_index.dry.divisor") * math.sqrt((half_width - off_middle) / half_width)


def _damp_f(temperature_f: float, humidity_pct: float) -> float:
    """Adjustment for damp air at the lower end of the regression."""
    excess = humidity_pct - value("heat_index.damp.humidity")
    if excess <= 0 or not (value("heat_index.regression_from") <= temperature_f <= value("heat_index.damp.highest")):
        return 0.0
    below = value("heat_index.damp.highest") - temperature_f
    return excess / value("heat_index.damp.humidity_divisor") * below / value("heat_index.damp.divisor")
