"""What a plan wears off: whole pieces to have at hand."""

from __future__ import annotations

import math

from wood_xl.arguments import require_not_negative

TINY = 1e-9  # of a piece: as good as none


def pieces_to_have(*, worn: float) -> int:
    """Whole pieces to have at hand for a wear of so many.

    Source: wood_xl_definitions, shopping list.

    >>> pieces_to_have(worn=0.3), pieces_to_have(worn=2.0), pieces_to_have(worn=0.0)
    (1, 2, 0)
    """
    require_not_negative(worn=worn)
    return math.ceil(worn - TINY)
