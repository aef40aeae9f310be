"""From tape and calliper to areas and volumes."""

from __future__ import annotations

import math
from collections.abc import Iterable

from wood_xl.arguments import require_not_negative, require_positive
from wood_xl.data.load import value
from wood_xl.records import Cut, Stack


def section_area_m2(
    *, diameter_m: float, second_diameter_m: float | None = None, class_width_m: float = 0.0
) -> float:
    """Area of one sawn end.

    A circle, or with two diameters at right angles an ellipse, which is exact for an oval end:

        area = pi/4 * diameter * second diameter

    Of ends counted in a size class, the mean over diameters spread evenly across its width:

        area = pi/4 * (diameter^2 + width^2 / 12)

    Source: wood_and_heat_defaults, cross-section from two diameters: the ellipse, integrated over a class.

    >>> round(section_area_m2(diameter_m=0.3), 6)
    0.070686
    """
    second_m = diameter_m if second_diameter_m is None else second_diameter_m
    require_positive(diameter_m=diameter_m, second_diameter_m=second_m)
    require_not_negative(class_width_m=class_width_m)
    return math.pi / 4 * (diameter_m * second_m + class_width_m**2 / 12)


def sawn_area_m2(cuts: Iterable[Cut]) -> float:
    """Sawn area of many cuts: the sum of every section times how many were alike.

    Source: wood_and_heat_defaults, sawn area: sum of the sections.

    >>> round(sawn_area_m2([Cut(diameter_m=0.3, cuts_n=3), Cut(diameter_m=0.2)]), 6)
    0.243473
    """
    return math.fsum(_area_of_tally_m2(cut) for cut in cuts)


def _area_of_tally_m2(cut: Cut) -> float:
    require_positive(cuts_n=cut.cuts_n)
    return cut.cuts_n * area_of_cut_m2(cut)


def area_of_cut_m2(cut: Cut) -> float:
    """Sawn area of one cut of a row, however many are alike.

    Source: wood_and_heat_defaults, cross-section from two diameters.

    >>> round(area_of_cut_m2(Cut(diameter_m=0.3, cuts_n=3)), 6)
    0.070686
    """
    return section_area_m2(
        diameter_m=cut.diameter_m, second_diameter_m=cut.second_diameter_m, class_width_m=cut.class_width_m
    )


def sticks_solid_volume_m3(*, sawn_area_m2: float, stick_length_m: float) -> float:
    """Solid volume of the sticks that the cuts freed, one stick a cut.

        volume = sawn area * stick length

    Huber's rule with the cut taken as the middle section. Measuring always the large end of each stick gives too
    much, always the small end too little. Trim cuts free no stick and are left out of the tally.

    Source: wood_and_heat_defaults, solid volume from sawn ends.

    >>> round(sticks_solid_volume_m3(sawn_area_m2=2.5, stick_length_m=0.40), 6)
    1.0
    """
    require_not_negative(sawn_area_m2=sawn_area_m2)
    require_positive(stick_length_m=stick_length_m)
    return sawn_area_m2 * stick_length_m


def face_area_m2(*, height_m: float, length_m: float, top_length_m: float | None = None) -> float:
    """Face of one row: a rectangle, or a trapezoid where the ends slope.

        area = height * (bottom length + top length) / 2

    Source: wood_and_heat_defaults, stack shapes.

    >>> face_area_m2(height_m=1.0, length_m=4.0, top_length_m=3.0)
    3.5
    """
    top_m = length_m if top_length_m is None else top_length_m
    require_positive(height_m=height_m, length_m=length_m, top_length_m=top_m)
    return height_m * (length_m + top_m) / 2


def stack_bulk_volume_m3(stack: Stack, *, stick_length_m: float) -> float:
    """Space that one piece of a stack fills, air included.

        volume = face * depth of one row * rows

    Source: nist_hb130, section 2.4.1 (the space that ranked wood fills); wood_and_heat_defaults, stack shapes.

    A row of 16-inch sticks, 4 ft high and 8 ft long:

    >>> round(stack_bulk_volume_m3(Stack(height_m=1.2192, length_m=2.4384), stick_length_m=0.4064), 6)
    1.208185
    """
    depth_m = stick_length_m if stack.depth_m is None else stack.depth_m
    require_positive(depth_m=depth_m, rows_n=stack.rows_n)
    face_m2 = face_area_m2(height_m=stack.height_m, length_m=stack.length_m, top_length_m=stack.top_length_m)
    return face_m2 * depth_m * stack.rows_n


def cords(stacked_m3: float) -> float:
    """Full cords in a stacked volume.

        cords = stacked volume / cord

    Holds for wood ranked and well stowed. Crossed and loose wood is first taken to the ranked volume that it would
    fill: see ``quantity.ranked_equivalent_m3``.

    Source: nist_hb130, section 2.4.1 (constants ``cord.volume`` and ``cord.volume_m3``).

    >>> round(cords(7.249112727552), 9)
    2.0
    """
    require_not_negative(stacked_m3=stacked_m3)
    return stacked_m3 / value("cord.volume_m3")
