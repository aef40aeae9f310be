"""Fuel, its parts, and the carbon dioxide of burning it in the tool."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from wood_xl.calc.arguments import require_fraction, require_not_negative, require_positive
from wood_xl.data.load import value

BurningKind = Literal["gasoline two-stroke", "gasoline four-stroke", "diesel"]
FactorSet = Literal["EPA hub", "EPA vehicles"]

# The vehicle set has no factors of its own for oil and ethanol.
_GASOLINE_FACTOR = {"EPA hub": "co2.gasoline", "EPA vehicles": "co2.gasoline.epa_vehicles"}
_DIESEL_FACTOR = {"EPA hub": "co2.diesel", "EPA vehicles": "co2.diesel.epa_vehicles"}


@dataclass(frozen=True, slots=True)
class DirectCo2:
    """Parts of a fuel and the CO2 of burning each.

    Attributes
    ----------
    gasoline_l, oil_l, diesel_l : float
        Litres of fossil gasoline, two-stroke oil and diesel.
    ethanol_l : float
        Litres of ethanol in the gasoline.
    gasoline_kg, oil_kg, diesel_kg : float
        Fossil CO2 of each. [kg]
    ethanol_kg : float
        Biogenic CO2: a memo, not in ``fossil_kg``. [kg]
    """

    gasoline_l: float = 0.0
    oil_l: float = 0.0
    diesel_l: float = 0.0
    ethanol_l: float = 0.0
    gasoline_kg: float = 0.0
    oil_kg: float = 0.0
    diesel_kg: float = 0.0
    ethanol_kg: float = 0.0

    @property
    def fossil_kg(self) -> float:
        """Fossil CO2 of all parts [kg]."""
        return math.fsum((self.gasoline_kg, self.oil_kg, self.diesel_kg))


def split_mix_l(*, mix_l: float, mix_ratio: float) -> tuple[float, float]:
    """Gasoline and oil in two-stroke mix.

        gasoline = mix * R / (R + 1),   oil = mix / (R + 1)

    Parameters
    ----------
    mix_l : float
        Volume of mix. [L] 0 or more.
    mix_ratio : float
        Parts of gasoline to one part of oil, R. Above 0.

    Returns
    -------
    tuple of float
        Gasoline and oil. [L]

    Raises
    ------
    ValueError
        If an argument is out of its range.

    References
    ----------
    wood_xl_definitions, mix by volume (constant ``fuel.two_stroke_mix`` where no ratio is given).

    Examples
    --------
    >>> [round(part, 6) for part in split_mix_l(mix_l=5.1, mix_ratio=50)]
    [5.0, 0.1]
    """
    require_not_negative(mix_l=mix_l)
    require_positive(mix_ratio=mix_ratio)
    return mix_l * mix_ratio / (mix_ratio + 1), mix_l / (mix_ratio + 1)


def direct_co2(
    *,
    kind: BurningKind,
    fuel_l: float,
    mix_ratio: float,
    ethanol_frac: float,
    factor_set: FactorSet = "EPA hub",
) -> DirectCo2:
    """Carbon dioxide of burning a tool's fuel.

        fossil CO2 = gasoline * (1 - x) * factor + oil * factor,   biogenic CO2 = gasoline * x * factor
        for diesel: fossil CO2 = diesel * factor

    Parameters
    ----------
    kind : BurningKind
        What drives the tool; a two-stroke burns mix.
    fuel_l : float
        Fuel poured in. [L] 0 or more.
    mix_ratio : float
        Parts of gasoline to one part of oil, used for a two-stroke. Above 0.
    ethanol_frac : float
        Share of ethanol in the gasoline by volume, x. [-] 0 to 1.
    factor_set : FactorSet
        Edition of the factors for gasoline and diesel.

    Returns
    -------
    DirectCo2
        Litres and kg of each part.

    Raises
    ------
    ValueError
        If an argument is out of its range.

    Notes
    -----
    All carbon is counted as CO2, also what leaves as carbon monoxide and hydrocarbons. Oil in the mix is burnt;
    bar oil is not. Methane, nitrous oxide and the making of the fuel are left out.

    References
    ----------
    epa_hub_2021, Tables 1 and 2 (constants ``co2.gasoline``, ``co2.diesel``, ``co2.lubricant``, ``co2.ethanol``);
    epa_vehicles_2011, gasoline and diesel (constants ``co2.gasoline.epa_vehicles``, ``co2.diesel.epa_vehicles``);
    unit_definitions, gallon (constant ``unit.us_gallon``).

    Examples
    --------
    >>> co2 = direct_co2(kind="gasoline four-stroke", fuel_l=3.785411784, mix_ratio=50, ethanol_frac=0.10)
    >>> round(co2.fossil_kg, 3), round(co2.ethanol_kg, 3)
    (7.902, 0.575)
    """
    require_not_negative(fuel_l=fuel_l)
    require_fraction(ethanol_frac=ethanol_frac)
    if kind == "diesel":
        return DirectCo2(diesel_l=fuel_l, diesel_kg=fuel_l * _kg_per_l(_DIESEL_FACTOR[factor_set]))
    blend_l, oil_l = (
        split_mix_l(mix_l=fuel_l, mix_ratio=mix_ratio) if kind == "gasoline two-stroke" else (fuel_l, 0.0)
    )
    gasoline_l, ethanol_l = blend_l * (1 - ethanol_frac), blend_l * ethanol_frac
    return DirectCo2(
        gasoline_l=gasoline_l,
        oil_l=oil_l,
        ethanol_l=ethanol_l,
        gasoline_kg=gasoline_l * _kg_per_l(_GASOLINE_FACTOR[factor_set]),
        oil_kg=oil_l * _kg_per_l("co2.lubricant"),
        ethanol_kg=ethanol_l * _kg_per_l("co2.ethanol"),
    )


def _kg_per_l(constant_id: str) -> float:
    """A factor published in kg per US gallon."""
    return value(constant_id) / value("unit.us_gallon")
