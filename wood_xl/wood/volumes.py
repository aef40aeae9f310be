"""Sawn area, solid volume and stacked volume: from one to the others."""

from __future__ import annotations

from typing import Literal

from wood_xl.arguments import require_fraction, require_not_negative, require_positive
from wood_xl.data.load import value
from wood_xl.records import StackForm

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

    Splitting changes neither the sawn area nor, if nothing is lost, the solid volume.

    Source: wood_and_heat_defaults, measured solid fraction.

    >>> round(measured_solid_fraction(solid_m3=1.3, ranked_equivalent_m3=2.0), 6)
    0.65
    """
    require_positive(solid_m3=solid_m3, ranked_equivalent_m3=ranked_equivalent_m3)
    return solid_m3 / ranked_equivalent_m3


def solid_fraction_standing(solid_fraction: float) -> Standing:
    """Whether a measured solid fraction can be right.

    Returns ``impossible`` where no stack holds so much wood, ``refused`` where a cut or a stack must be missing,
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
    """Space that a stack would fill if it lay in another form.

        volume = bulk volume * solid fraction of its form / solid fraction of the other form

    A loose heap of split sticks comes to 0.64 of its space when ranked; measured and legal values run from 0.62 to
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
    """Sawn area behind a solid volume of sticks.

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
