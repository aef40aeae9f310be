"""Areas and volumes from tape and caliper, and conversions between sawn area, solid volume and stacked volume."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Literal

from wood_xl.arguments import require_fraction, require_not_negative, require_positive
from wood_xl.data.load import value
from wood_xl.records import Cut, Stack, StackForm


def area_of_cut_m2(cut: Cut) -> float:
    """Area of one sawn end of a row, which may count several.

    A circle, or an ellipse if there are two diameters at right angles:

        area = pi/4 * diameter * second diameter

    For ends counted in a size class, the mean over diameters spread evenly across the class:

        area = pi/4 * (diameter^2 + width^2 / 12)

    Source: wood_and_heat_defaults, cross-section from two diameters: the ellipse, integrated over a class.

    >>> round(area_of_cut_m2(Cut(diameter_m=0.3)), 6)
    0.070686
    """
    second_m = cut.diameter_m if cut.second_diameter_m is None else cut.second_diameter_m
    require_positive(diameter_m=cut.diameter_m, second_diameter_m=second_m)
    require_not_negative(class_width_m=cut.class_width_m)
    return math.pi / 4 * (cut.diameter_m * second_m + cut.class_width_m**2 / 12)


def sawn_area_m2(cuts: Iterable[Cut]) -> float:
    """Sawn area of many cuts: each section times the number of cuts like it.

    Source: wood_and_heat_defaults, sawn area: sum of the sections.

    >>> round(sawn_area_m2([Cut(diameter_m=0.3, cuts_n=3), Cut(diameter_m=0.2)]), 6)
    0.243473
    """
    tally = tuple(cuts)
    for cut in tally:
        require_positive(cuts_n=cut.cuts_n)
    return math.fsum(cut.cuts_n * area_of_cut_m2(cut) for cut in tally)


def sticks_solid_volume_m3(*, sawn_area_m2: float, stick_length_m: float) -> float:
    """Solid volume of the sticks that the cuts freed, one stick per cut.

        volume = sawn area * stick length

    Huber's rule with the cut as the middle section. Always measuring the large end gives too much, always the small
    end too little. Trim cuts free no stick and stay out of the tally.

    Source: wood_and_heat_defaults, solid volume from sawn ends.

    >>> round(sticks_solid_volume_m3(sawn_area_m2=2.5, stick_length_m=0.40), 6)
    1.0
    """
    require_not_negative(sawn_area_m2=sawn_area_m2)
    require_positive(stick_length_m=stick_length_m)
    return sawn_area_m2 * stick_length_m


def stack_bulk_volume_m3(stack: Stack, *, stick_length_m: float) -> float:
    """Space that one part of a stack fills, air included; its face is a trapezoid if the ends slope.

        volume = height * (bottom length + top length) / 2 * depth of one row * rows

    Source: nist_hb130, section 2.4.1 (space of ranked wood); wood_and_heat_defaults, stack shapes.

    A row of 16-inch sticks, 4 ft high and 8 ft long:

    >>> round(stack_bulk_volume_m3(Stack(height_m=1.2192, length_m=2.4384), stick_length_m=0.4064), 6)
    1.208185
    """
    depth_m = stick_length_m if stack.depth_m is None else stack.depth_m
    top_m = stack.length_m if stack.top_length_m is None else stack.top_length_m
    require_positive(
        height_m=stack.height_m, length_m=stack.length_m, top_length_m=top_m, depth_m=depth_m, rows_n=stack.rows_n
    )
    return stack.height_m * (stack.length_m + top_m) / 2 * depth_m * stack.rows_n


def cords(stacked_m3: float) -> float:
    """Full cords in a stacked volume.

        cords = stacked volume / cord

    For wood ranked and well stowed. Convert crossed and loose wood by ``ranked_equivalent_m3`` first.

    Source: nist_hb130, section 2.4.1 (constants ``cord.volume`` and ``cord.volume_m3``).

    >>> round(cords(7.249112727552), 9)
    2.0
    """
    require_not_negative(stacked_m3=stacked_m3)
    return stacked_m3 / value("cord.volume_m3")


Standing = Literal["usual", "unusual", "refused", "impossible"]


def solid_fraction_of(form: StackForm) -> float:
    """Share of a stack's space that is wood and bark, by the form of the stack.

    Source: wood_and_heat_defaults, chosen between published trials.

    >>> solid_fraction_of("ranked split")
    0.64
    """
    return value(f"solid_fraction.{form.replace(' ', '_')}")


def measured_solid_fraction(*, solid_m3: float, ranked_equivalent_m3: float) -> float:
    """Solid fraction of a lot that was both cut and stacked.

        fraction = solid volume from the sawn ends / ranked volume from the tape

    Splitting changes neither the sawn area nor, apart from losses, the solid volume.

    Source: wood_and_heat_defaults, measured solid fraction.

    >>> round(measured_solid_fraction(solid_m3=1.3, ranked_equivalent_m3=2.0), 6)
    0.65
    """
    require_positive(solid_m3=solid_m3, ranked_equivalent_m3=ranked_equivalent_m3)
    return solid_m3 / ranked_equivalent_m3


def solid_fraction_standing(solid_fraction: float) -> Standing:
    """Whether a measured solid fraction can be right.

    Returns ``impossible`` if no stack can hold so much wood, ``refused`` if a cut or a stack must be missing,
    ``unusual`` outside the limits of the default, else ``usual``.

    Source: wood_and_heat_defaults, limits (constants ``solid_fraction.refused_below``,
    ``solid_fraction.impossible``, ``solid_fraction.usual_lowest``, ``solid_fraction.usual_highest``).

    >>> [solid_fraction_standing(share) for share in (0.3, 0.44, 0.65, 0.95)]
    ['refused', 'unusual', 'usual', 'impossible']
    """
    if solid_fraction >= value("solid_fraction.impossible"):
        return "impossible"
    if not solid_fraction >= value("solid_fraction.refused_below"):
        return "refused"
    if not value("solid_fraction.usual_lowest") <= solid_fraction <= value("solid_fraction.usual_highest"):
        return "unusual"
    return "usual"


def ranked_equivalent_m3(*, bulk_m3: float, form: StackForm, reference_form: StackForm) -> float:
    """Space that a stack would fill in another form.

        volume = bulk volume * solid fraction of its form / solid fraction of the other form

    A loose heap of split sticks shrinks to 0.64 of its space when ranked; measured and legal values run from 0.62 to
    0.71.

    Source: wood_and_heat_defaults, solid fractions by form; maine_loose_cord, range of loose wood when stacked.

    >>> round(ranked_equivalent_m3(bulk_m3=10.0, form="loose", reference_form="ranked split"), 4)
    6.4062
    """
    require_not_negative(bulk_m3=bulk_m3)
    return bulk_m3 * solid_fraction_of(form) / solid_fraction_of(reference_form)


def solid_volume_m3(*, stacked_m3: float, solid_fraction: float) -> float:
    """Wood and bark in a stacked volume.

        solid = stacked * solid fraction

    Source: wood_and_heat_defaults, definition of the solid fraction.

    >>> round(solid_volume_m3(stacked_m3=10.0, solid_fraction=0.64), 6)
    6.4
    """
    require_not_negative(stacked_m3=stacked_m3)
    _require_solid_fraction(solid_fraction)
    return stacked_m3 * solid_fraction


def stacked_volume_m3(*, solid_m3: float, solid_fraction: float) -> float:
    """Space that a solid volume fills when stacked.

        stacked = solid / solid fraction

    Source: wood_and_heat_defaults, definition of the solid fraction.

    >>> round(stacked_volume_m3(solid_m3=6.4, solid_fraction=0.64), 6)
    10.0
    """
    require_not_negative(solid_m3=solid_m3)
    _require_solid_fraction(solid_fraction)
    return solid_m3 / solid_fraction


def sawn_area_of_solid_m2(*, solid_m3: float, stick_length_m: float) -> float:
    """Sawn area of a solid volume of sticks.

        area = solid volume / stick length

    Source: wood_and_heat_defaults, sawn area per stacked cord.

    >>> round(sawn_area_of_solid_m2(solid_m3=1.0, stick_length_m=0.40), 6)
    2.5
    """
    require_not_negative(solid_m3=solid_m3)
    require_positive(stick_length_m=stick_length_m)
    return solid_m3 / stick_length_m


def _require_solid_fraction(solid_fraction: float) -> None:
    require_positive(solid_fraction=solid_fraction)
    require_fraction(solid_fraction=solid_fraction)
