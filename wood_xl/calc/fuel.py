"""What is in the tank: gasoline, its ethanol, two-stroke oil, diesel."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from wood_xl.calc.arguments import require_fraction, require_not_negative, require_positive

BurningKind = Literal["gasoline two-stroke", "gasoline four-stroke", "diesel"]


@dataclass(frozen=True, slots=True)
class FuelParts:
    """Parts of a fuel by volume.

    Attributes
    ----------
    gasoline_l, ethanol_l, oil_l, diesel_l : float
        Litres of gasoline without its ethanol, of the ethanol, of two-stroke oil and of diesel.
    """

    gasoline_l: float = 0.0
    ethanol_l: float = 0.0
    oil_l: float = 0.0
    diesel_l: float = 0.0

    @property
    def engine_fuel_l(self) -> float:
        """What engines' factors are counted by: gasoline with its ethanol, or diesel, without oil [L]."""
        return self.gasoline_l + self.ethanol_l + self.diesel_l


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


def fuel_parts(*, kind: BurningKind, fuel_l: float, mix_ratio: float, ethanol_frac: float) -> FuelParts:
    """Parts of the fuel that was poured in.

        two-stroke: mix into gasoline and oil;   gasoline: ethanol = x, the rest fossil

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

    Returns
    -------
    FuelParts
        Litres of each part; they sum to the fuel.

    Raises
    ------
    ValueError
        If an argument is out of its range.

    References
    ----------
    wood_xl_definitions, fuel by volume.

    Examples
    --------
    >>> fuel_parts(kind="gasoline four-stroke", fuel_l=10.0, mix_ratio=50, ethanol_frac=0.1)
    FuelParts(gasoline_l=9.0, ethanol_l=1.0, oil_l=0.0, diesel_l=0.0)
    """
    require_not_negative(fuel_l=fuel_l)
    require_fraction(ethanol_frac=ethanol_frac)
    if kind == "diesel":
        return FuelParts(diesel_l=fuel_l)
    blend_l, oil_l = fuel_l, 0.0
    if kind == "gasoline two-stroke":
        blend_l, oil_l = split_mix_l(mix_l=fuel_l, mix_ratio=mix_ratio)
    return FuelParts(gasoline_l=blend_l * (1 - ethanol_frac), ethanol_l=blend_l * ethanol_frac, oil_l=oil_l)
