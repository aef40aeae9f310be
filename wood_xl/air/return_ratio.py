"""Heat got for the energy that was put in."""

from __future__ import annotations

from wood_xl.arguments import require_not_negative, require_positive


def energy_return(*, heat_mj: float, energy_in_mj: float) -> float:
    """Heat got for each unit of energy put in.

        return = heat / energy put in

    Published ratios differ mainly by their boundary: whether tools, haulage, labour and the stove are in it.

    Errors: ValueError if an argument is out of its range.
    Source: wood_heat_example, ratio of energy got to energy put in.

    >>> round(energy_return(heat_mj=24.0, energy_in_mj=0.943), 2)
    25.45
    """
    require_not_negative(heat_mj=heat_mj)
    require_positive(energy_in_mj=energy_in_mj)
    return heat_mj / energy_in_mj
