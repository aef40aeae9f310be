"""Air pollutants of small engines by their fuel, and how much fuel an engine can burn at all."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from wood_xl.arguments import require_not_negative, require_positive
from wood_xl.data.load import value

G_PER_KG = 1000
KW_PER_HP = 0.7456998715822702


@dataclass(frozen=True, slots=True)
class AirPollutants:
    """Grams of each pollutant; no part of any CO2e.

    thc_g, co_g, nox_g, pm_g: hydrocarbons, carbon monoxide, nitrogen oxides, particles.
    oil_g: oil in the fuel; 0 for a four-stroke. Nearly all particles of a two-stroke are of it.
    is_pm_capped: whether the oil in the mix bounds the particles.
    """

    thc_g: float
    co_g: float
    nox_g: float
    pm_g: float
    oil_g: float
    is_pm_capped: bool


def air_pollutants(
    *,
    fuel_l: float,
    oil_l: float,
    fuel_lb_per_hp_h: float,
    thc_g_per_hp_h: float,
    co_g_per_hp_h: float,
    nox_g_per_hp_h: float,
    pm_g_per_hp_h: float,
    factor: Callable[[str], float] = value,
) -> AirPollutants:
    """Air pollutants of a small engine by the fuel it burnt.

        fuel * mass of a gallon / gallon / (fuel per horsepower-hour) * (pollutant per horsepower-hour)
        particles of a two-stroke: no more than the oil in its mix

    Returns of a new engine; a worn one leaves more.

    The model gives every two-stroke the same particles while their fuel fell, so that the newer ones would leave more
    particles than there is oil in the mix. In use: half or twice for particles, 50 % either way for hydrocarbons.

    Source: epa_nonroad_2008, emission files and SOURCE/clcems.f (constant ``nonroad.gasoline_mass``);
    wood_xl_definitions, bound by the oil (constant ``fuel.two_stroke_oil_density``); unit_definitions, gallon
    (constant ``unit.us_gallon``).

    A litre of 50:1 mix in a saw of 3 horsepower or more:

    >>> grams = air_pollutants(
    ...     fuel_l=1.0, oil_l=1 / 51, fuel_lb_per_hp_h=0.608, thc_g_per_hp_h=47.98, co_g_per_hp_h=283.4,
    ...     nox_g_per_hp_h=0.910, pm_g_per_hp_h=7.70,
    ... )
    >>> round(grams.thc_g), round(grams.co_g), round(grams.nox_g, 2), round(grams.pm_g, 2), grams.is_pm_capped
    (130, 768, 2.47, 17.06, True)
    """
    require_not_negative(fuel_l=fuel_l, oil_l=oil_l, pm_g_per_hp_h=pm_g_per_hp_h)
    require_positive(fuel_lb_per_hp_h=fuel_lb_per_hp_h)
    horsepower_hours = fuel_l * factor("nonroad.gasoline_mass") / factor("unit.us_gallon") / fuel_lb_per_hp_h
    oil_g = G_PER_KG * oil_l * factor("fuel.two_stroke_oil_density")
    pm_g = horsepower_hours * pm_g_per_hp_h
    is_capped = oil_l > 0 and pm_g > oil_g
    return AirPollutants(
        thc_g=horsepower_hours * thc_g_per_hp_h,
        co_g=horsepower_hours * co_g_per_hp_h,
        nox_g=horsepower_hours * nox_g_per_hp_h,
        pm_g=oil_g if is_capped else pm_g,
        oil_g=oil_g,
        is_pm_capped=is_capped,
    )


def engine_fuel_l_per_h(
    *, power_kw: float, load_frac: float, fuel_lb_per_hp_h: float, factor: Callable[[str], float] = value
) -> float:
    """Fuel that an engine burns in an hour at a share of its rated power.

        power * load * fuel per horsepower-hour / mass of a gallon

    Source: epa_nonroad_2008, SOURCE/clcems.f (constant ``nonroad.gasoline_mass``); unit_definitions, gallon (constant
    ``unit.us_gallon``).

    >>> power_kw = 3.916 * 0.7456998715822702
    >>> round(engine_fuel_l_per_h(power_kw=power_kw, load_frac=0.70, fuel_lb_per_hp_h=0.608), 4)
    1.0115
    """
    require_positive(power_kw=power_kw, fuel_lb_per_hp_h=fuel_lb_per_hp_h)
    require_not_negative(load_frac=load_frac)
    gallons = power_kw / KW_PER_HP * load_frac * fuel_lb_per_hp_h / factor("nonroad.gasoline_mass")
    return gallons * factor("unit.us_gallon")
