"""Which input moves a result most: one input at a time, all others held."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Generic, TypeVar

from wood_xl.reasons import Key, Said

Inputs = TypeVar("Inputs")


@dataclass(frozen=True, slots=True)
class Trial(Generic[Inputs]):
    """One input with the range to try.

    name: what it is.
    unit, source: of its numbers, and where the range is from.
    base, low, high: its value, and the ends of the range.
    put: gives the inputs with another value of this one, all that hangs on it recomputed.
    """

    name: Key
    unit: Said | str
    base: float
    low: float
    high: float
    source: Said | str
    put: Callable[[Inputs, float], Inputs]


@dataclass(frozen=True, slots=True)
class Swing(Generic[Inputs]):
    """A trial with the result at both ends: the low end of an input may give the high result."""

    trial: Trial[Inputs]
    at_low: float
    at_high: float

    @property
    def size(self) -> float:
        """How far apart the two results are."""
        return abs(self.at_high - self.at_low)

    @property
    def order(self) -> float:
        """Key by which the widest comes first; to 9 digits, so that machines agree on what is equal."""
        return -float(f"{self.size:.9g}")


def swings(inputs: Inputs, trials: Iterable[Trial[Inputs]], result: Callable[[Inputs], float]) -> list[Swing[Inputs]]:
    """Result at the ends of each input's range, the widest swing first.

    inputs: all inputs at their base values.
    trials: inputs to move, one at a time.
    result: gives the result of inputs.

    Returns in falling order of size; equal ones in the order given.

    What works together (a sharper chain cuts faster and burns less) is not seen this way.

    Source: cost_reference, one input at a time over its own range.

    >>> price = Trial("price", "", 10.0, 8.0, 12.0, "", lambda old, new: (new, old[1]))
    >>> speed = Trial("speed", "", 2.0, 1.0, 4.0, "", lambda old, new: (old[0], new))
    >>> [(s.trial.name, s.at_low, s.at_high) for s in swings((10.0, 2.0), [price, speed], lambda x: x[0] / x[1])]
    [('speed', 10.0, 2.5), ('price', 4.0, 6.0)]
    """
    found = [
        Swing(trial, result(trial.put(inputs, trial.low)), result(trial.put(inputs, trial.high))) for trial in trials
    ]
    return sorted(found, key=lambda swing: swing.order)


def ends_together(*, base: float, swings: Iterable[tuple[float, float]]) -> tuple[float, float]:
    """Ends of a result when several inputs are in doubt at once, each by itself.

        down^2 = sum of (base - lesser result)^2,  up^2 = sum of (greater result - base)^2

    base: result of all inputs at their base values.
    swings: results at both ends of each input, in either order.

    Returns lower and upper end.

    Source: jcgm_100, law of propagation for inputs that do not hang together, with the ends in place of the slopes.

    >>> ends_together(base=10.0, swings=[(7.0, 13.0), (14.0, 6.0), (10.0, 10.0)])
    (5.0, 15.0)
    """
    pairs = [(min(swing), max(swing)) for swing in swings]
    down = math.hypot(*(max(0.0, base - low) for low, _ in pairs))
    up = math.hypot(*(max(0.0, high - base) for _, high in pairs))
    return base - down, base + up
