"""Checks of the numbers that formulas are given. What a person typed was checked before, with its cell.

A number may be an array of members: then each of them is checked.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

Given = float | npt.NDArray[np.float64]


def require_positive(**arguments: Given) -> None:
    """Refuse what is not a finite number above 0.

    arguments: values by argument name.

    Errors: ValueError if one of them is not above 0; the message names it and its value.
    Source: wood_xl_definitions, range of every argument.

    >>> require_positive(diameter_m=0.3)
    """
    for name, number in arguments.items():
        low, high = _ends(number)
        if not (low > 0.0 and high < math.inf):
            raise ValueError(f"{name} is {number}, not a finite number above 0")


def require_not_negative(**arguments: Given) -> None:
    """Refuse what is not a finite number of 0 or more.

    arguments: values by argument name.

    Errors: ValueError if one of them is below 0 or not finite; the message names it and its value.
    Source: wood_xl_definitions, range of every argument.

    >>> require_not_negative(delay_min=0.0)
    """
    for name, number in arguments.items():
        low, high = _ends(number)
        if not (low >= 0.0 and high < math.inf):
            raise ValueError(f"{name} is {number}, not a finite number of 0 or more")


def require_finite(**arguments: Given) -> None:
    """Refuse what is not a finite number.

    arguments: values by argument name.

    Errors: ValueError if one of them is not finite; the message names it and its value.
    Source: wood_xl_definitions, range of every argument.

    >>> require_finite(cash=-3.0)
    """
    for name, number in arguments.items():
        low, high = _ends(number)
        if not (math.isfinite(low) and math.isfinite(high)):
            raise ValueError(f"{name} is {number}, not a finite number")


def require_rate(**arguments: Given) -> None:
    """Refuse what is no rate of growth: at -100 % a year nothing is left.

    arguments: rates by argument name, as fractions.

    Errors: ValueError if one of them is not finite and above -1; the message names it and its value.
    Source: wood_xl_definitions, range of every argument.

    >>> require_rate(rate_frac=-0.01)
    """
    for name, number in arguments.items():
        low, high = _ends(number)
        if not (low > -1.0 and high < math.inf):
            raise ValueError(f"{name} is {number}, not a finite number above -1")


def require_fraction(**arguments: Given) -> None:
    """Refuse what does not lie from 0 to 1.

    arguments: values by argument name.

    Errors: ValueError if one of them is outside; the message names it and its value.
    Source: wood_xl_definitions, range of every argument.

    >>> require_fraction(ethanol_frac=0.1)
    """
    for name, number in arguments.items():
        low, high = _ends(number)
        if not (low >= 0.0 and high <= 1.0):
            raise ValueError(f"{name} is {number}, not a number from 0 to 1")


def _ends(number: Given) -> tuple[float, float]:
    """Least and greatest member."""
    if isinstance(number, np.ndarray):
        return float(number.min()), float(number.max())
    return number, number
