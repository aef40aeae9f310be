"""What all charts share: their letters, and axes in even steps from zero."""

from __future__ import annotations

import math

FONT = "Arial"
TICKS = 6
LEAST_DRAWN = 1e-8  # an axis has no more decimals; what is less is drawn as nothing


def axis_end(largest: float) -> tuple[float, float]:
    """End and step of an axis from zero that holds the largest value, in steps of 1, 2 or 5 times a power of ten.

    >>> axis_end(7.58)
    (8.0, 2.0)
    """
    if largest < LEAST_DRAWN:
        return 1.0, 0.2
    power = 10.0 ** math.floor(math.log10(largest / TICKS))
    step = next(s * power for s in (1, 2, 5, 10) if s * power * TICKS >= largest)
    count = math.ceil(largest / step * (1 - 1e-12))
    return round(count * step, 10), round(step, 10)
