"""Moisture of wood: the two bases, mass with water, density, shrinkage, and how dry wood gets in the open air.

On the wet basis moisture is water over total mass (fuel standards); on the dry basis it is water over oven-dry mass
(wood science, pin meters). 25 % on the dry basis is 20 % on the wet basis.
"""

from __future__ import annotations

import numpy as np

from wood_xl.arguments import require_fraction, require_not_negative, require_positive
from wood_xl.data.load import Drying, value
from wood_xl.draws.ensemble import Number

WATER_KG_PER_M3 = 1000.0


def wet_from_dry_frac(*, moisture_dry_frac: float) -> float:
    """Moisture on the wet basis from moisture on the dry basis.

        M = u / (1 + u)

    Source: wood_and_heat_defaults, definitions of moisture.

    >>> wet_from_dry_frac(moisture_dry_frac=0.25)
    0.2
    """
    require_not_negative(moisture_dry_frac=moisture_dry_frac)
    return moisture_dry_frac / (1 + moisture_dry_frac)


def dry_from_wet_frac(*, moisture_wet_frac: Number) -> Number:
    """Moisture on the dry basis from moisture on the wet basis.

        u = M / (1 - M)

    Source: wood_and_heat_defaults, definitions of moisture.

    >>> dry_from_wet_frac(moisture_wet_frac=0.5)
    1.0
    """
    require_wet_moisture(moisture_wet_frac)
    return moisture_wet_frac / (1 - moisture_wet_frac)


def require_wet_moisture(moisture_wet_frac: Number) -> None:
    """Refuse a moisture on the wet basis that leaves no wood.

    Source: wood_xl_definitions, range of every argument.

    >>> require_wet_moisture(0.2)
    """
    if not np.all((np.asarray(moisture_wet_frac) >= 0.0) & (np.asarray(moisture_wet_frac) < 1.0)):
        raise ValueError(f"moisture_wet_frac is {moisture_wet_frac}, not a number from 0 to below 1")


def moist_mass_kg(*, oven_dry_kg: Number, moisture_wet_frac: Number) -> Number:
    """Mass of wood with its water.

        m = oven-dry mass / (1 - M)

    Source: wood_and_heat_defaults, definitions of moisture.

    >>> moist_mass_kg(oven_dry_kg=800.0, moisture_wet_frac=0.2)
    1000.0
    """
    require_not_negative(oven_dry_kg=oven_dry_kg)
    require_wet_moisture(moisture_wet_frac)
    return oven_dry_kg / (1 - moisture_wet_frac)


def specific_gravity_at(*, basic_specific_gravity: float, moisture_dry_frac: float) -> float:
    """Specific gravity of wood that has dried and shrunk: oven-dry mass over present volume.

        G_u = G_b / (1 - 0.265 a G_b),   a = (0.30 - u) / 0.30 below 0.30, else 0

    basic_specific_gravity: oven-dry mass over green volume, relative to water. At most 1.5.

    Over 52 trees the formula is 0.004 too low, with a standard deviation of 0.015. It is worst for woods rich in
    extractives, such as black locust, which shrink less.

    Source: simpson_1993, shrinkage and fiber saturation (constants ``wood.shrinkage``, ``wood.fibre_saturation``).

    >>> round(specific_gravity_at(basic_specific_gravity=0.56, moisture_dry_frac=0.12), 4)
    0.6147
    """
    require_positive(basic_specific_gravity=basic_specific_gravity)
    require_not_negative(moisture_dry_frac=moisture_dry_frac)
    if basic_specific_gravity > 1.5:
        raise ValueError(f"basic_specific_gravity is {basic_specific_gravity}, more than 1.5")
    saturation_frac = value("wood.fibre_saturation") / 100
    dried = max(0.0, (saturation_frac - moisture_dry_frac) / saturation_frac)
    return basic_specific_gravity / (1 - value("wood.shrinkage") * dried * basic_specific_gravity)


def shrinkage_frac(*, basic_specific_gravity: float, specific_gravity: float) -> float:
    """Share of its green volume that wood has lost by shrinking.

        S = 1 - G_b / G_u

    basic_specific_gravity: oven-dry mass over green volume, relative to water.
    specific_gravity: oven-dry mass over present volume; not below the basic one.

    Source: wood_handbook_2021, definition of specific gravity.

    >>> round(shrinkage_frac(basic_specific_gravity=0.56, specific_gravity=0.64), 3)
    0.125
    """
    require_positive(basic_specific_gravity=basic_specific_gravity, specific_gravity=specific_gravity)
    if specific_gravity < basic_specific_gravity:
        raise ValueError(f"specific_gravity is {specific_gravity}, below that of green wood")
    return 1 - basic_specific_gravity / specific_gravity


def equilibrium_moisture_dry_frac(*, air_temperature_c: float, humidity_frac: float) -> float:
    """Moisture at which wood settles in air of one temperature and humidity.

        EMC = 18 / W [K h / (1 - K h) + (K1 K h + 2 K1 K2 K^2 h^2) / (1 + K1 K h + K1 K2 K^2 h^2)]

    W, K, K1 and K2 are quadratic in the temperature.

    Source: wood_handbook_2021, equation 4-5 (constant ``equilibrium.scale``).

    >>> round(equilibrium_moisture_dry_frac(air_temperature_c=21.1, humidity_frac=0.65), 4)
    0.1196
    """
    if not -20.0 <= air_temperature_c <= 60.0:
        raise ValueError(f"air_temperature_c is {air_temperature_c}, not a number from -20 to 60")
    require_fraction(humidity_frac=humidity_frac)
    if humidity_frac == 1.0:
        raise ValueError("humidity_frac is 1.0, at which wood takes up water without end")
    w, k, k1, k2 = (_polynomial(name, air_temperature_c) for name in ("w", "k", "k1", "k2"))
    kh = k * humidity_frac
    bound = (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2)
    return value("equilibrium.scale") / 100 / w * (kh / (1 - kh) + bound)


def seasoning_months(drying: Drying) -> float:
    """Months that split and stacked wood should dry before it is burned.

    drying: ``fast`` for softwood, poplar and willow, ``usual`` for other hardwood, ``slow`` for oak and hickory.

    Source: epa_four_steps, least times; chimney_trade_page, rule for oak and hickory (constant ``seasoning.slow``).

    >>> [seasoning_months(drying) for drying in ("fast", "usual", "slow")]
    [6.0, 12.0, 24.0]
    """
    return value(f"seasoning.{drying}")


def _polynomial(name: str, temperature_c: float) -> float:
    a, b, c = (value(f"equilibrium.{name}_{power}") for power in range(3))
    return a + b * temperature_c + c * temperature_c**2
