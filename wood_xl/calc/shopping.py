"""What a plan uses up: pieces that wear, and the parts of a two-stroke mix."""

from __future__ import annotations

import math
from typing import NamedTuple

from wood_xl.calc.arguments import require_not_negative, require_positive

TINY = 1e-9  # of a piece: as good as none


class MixParts(NamedTuple):
    """Litres of gasoline and of oil in a two-stroke mix."""

    gasoline_l: float
    oil_l: float


def mix_parts(*, mix_l: float, mix_ratio: float) -> MixParts:
    """Gasoline and oil to buy for an amount of two-stroke mix.

        oil = mix / (R + 1),   gasoline = mix - oil

    Parameters
    ----------
    mix_l : float
        Mix. [L] 0 or more.
    mix_ratio : float
        Parts of gasoline to one part of oil, R. Above 0.

    Returns
    -------
    MixParts
        Both in litres.

    Raises
    ------
    ValueError
        If an argument is out of its range.

    References
    ----------
    cost_reference, price of premix.

    Examples
    --------
    >>> mix_parts(mix_l=25.5, mix_ratio=50)
    MixParts(gasoline_l=25.0, oil_l=0.5)
    """
    require_not_negative(mix_l=mix_l)
    require_positive(mix_ratio=mix_ratio)
    oil_l = mix_l / (mix_ratio + 1)
    return MixParts(mix_l - oil_l, oil_l)


def pieces_to_have(*, worn: float) -> int:
    """Whole pieces to have at hand for a wear of so many.

    Parameters
    ----------
    worn : float
        Pieces worn, parts of one counted. 0 or more.

    Returns
    -------
    int
        The next whole number.

    Raises
    ------
    ValueError
        If the number is below zero.

    References
    ----------
    wood_xl_definitions, shopping list.

    Examples
    --------
    >>> pieces_to_have(worn=0.3), pieces_to_have(worn=2.0), pieces_to_have(worn=0.0)
    (1, 2, 0)
    """
    require_not_negative(worn=worn)
    return math.ceil(worn - TINY)
