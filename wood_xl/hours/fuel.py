"""Parts of the fuel in a tank, with what is blended and mixed into it, by the ids of ``fuels.csv``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from wood_xl.data.trade import fuels, tool_kinds
from wood_xl.draws.ensemble import Number, total


@dataclass(frozen=True, slots=True)
class FuelParts:
    """Litres of each part of a fuel by its id, such as gasoline without its ethanol, ethanol and oil."""

    litres: Mapping[str, Number] = field(default_factory=dict)

    def times(self, number: Number) -> FuelParts:
        """Each part times a number; a part of 0 stays 0."""
        return FuelParts({fuel: litres * number if np.any(litres) else 0.0 for fuel, litres in self.litres.items()})

    @property
    def engine_fuel_l(self) -> Number:
        """Fuel without oil, by which engine factors are counted [L]."""
        return total(litres for fuel, litres in self.litres.items() if not fuels()[fuel].is_oil)

    @property
    def oil_l(self) -> Number:
        """Oil burned with the fuel [L]."""
        return total(litres for fuel, litres in self.litres.items() if fuels()[fuel].is_oil)


def split_mix_l(*, mix_l: float, mix_ratio: float) -> tuple[float, float]:
    """Gasoline and oil in two-stroke mix.

        gasoline = mix * R / (R + 1),   oil = mix / (R + 1)

    Source: wood_xl_definitions, mix by volume.

    >>> [round(part, 6) for part in split_mix_l(mix_l=5.1, mix_ratio=50)]
    [5.0, 0.1]
    """
    return mix_l * mix_ratio / (mix_ratio + 1), mix_l / (mix_ratio + 1)


def fuel_parts(*, kind: str, fuel_l: float, mix_ratio: float, ethanol_frac: float) -> FuelParts:
    """Parts of a fuel.

        two-stroke: mix into gasoline and oil;   gasoline: ethanol = x, the rest fossil

    Source: wood_xl_definitions, fuel by volume.

    >>> fuel_parts(kind="gasoline four-stroke", fuel_l=10.0, mix_ratio=50, ethanol_frac=0.1)
    FuelParts(litres={'gasoline': 9.0, 'ethanol': 1.0})
    """
    row = tool_kinds()[kind]
    tank, litres = row.tank, {row.tank.id: fuel_l}
    if row.oil is not None:
        litres[tank.id], litres[row.oil.id] = split_mix_l(mix_l=fuel_l, mix_ratio=mix_ratio)
    if tank.blended_with is not None:
        blend_l = litres[tank.id]
        litres |= {tank.id: blend_l * (1 - ethanol_frac), tank.blended_with: blend_l * ethanol_frac}
    return FuelParts(litres)
