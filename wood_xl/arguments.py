"""Checks of arguments of formulas, each a number or an array. Typed values were checked before, with their cell."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

import numpy as np
import numpy.typing as npt

Given = float | npt.NDArray[np.float64]
PLAIN = (float, int)  # fast path: half a million plain numbers are checked


def require_positive(**arguments: Given) -> None:
    """Require finite numbers above 0.

    Errors: ValueError that names the argument and its value.
    Source: wood_xl_definitions, range of every argument.

    >>> require_positive(diameter_m=0.3)
    """
    for number in arguments.values():
        if type(number) not in PLAIN or not 0.0 < number < math.inf:
            _require(arguments, lambda low, high: low > 0.0 and high < math.inf, "finite number above 0")
            return


def require_not_negative(**arguments: Given) -> None:
    """Require finite numbers of 0 or more.

    Errors: ValueError that names the argument and its value.
    Source: wood_xl_definitions, range of every argument.

    >>> require_not_negative(delay_min=0.0)
    """
    for number in arguments.values():
        if type(number) not in PLAIN or not 0.0 <= number < math.inf:
            _require(arguments, lambda low, high: low >= 0.0 and high < math.inf, "finite number of 0 or more")
            return


def require_finite(**arguments: Given) -> None:
    """Require finite numbers.

    Errors: ValueError that names the argument and its value.
    Source: wood_xl_definitions, range of every argument.

    >>> require_finite(cash=-3.0)
    """
    _require(arguments, lambda low, high: math.isfinite(low) and math.isfinite(high), "finite number")


def require_rate(**arguments: Given) -> None:
    """Require rates of growth above -100 % a year, at which nothing would be left.

    Errors: ValueError that names the argument and its value.
    Source: wood_xl_definitions, range of every argument.

    >>> require_rate(rate_frac=-0.01)
    """
    _require(arguments, lambda low, high: low > -1.0 and high < math.inf, "finite number above -1")


def require_fraction(**arguments: Given) -> None:
    """Require numbers from 0 to 1.

    Errors: ValueError that names the argument and its value.
    Source: wood_xl_definitions, range of every argument.

    >>> require_fraction(ethanol_frac=0.1)
    """
    _require(arguments, lambda low, high: low >= 0.0 and high <= 1.0, "number from 0 to 1")


def _require(arguments: Mapping[str, Given], holds: Callable[[float, float], bool], what: str) -> None:
    for name, number in arguments.items():
        ends = (float(number.min()), float(number.max())) if isinstance(number, np.ndarray) else (number, number)
        if not holds(*ends):
            raise ValueError(f"{name} is {number}, not a {what}")
