"""Areas, volumes and solid fractions: the branches and what is refused."""

from __future__ import annotations

import math
from typing import Any

import pytest
from few import together

from wood_xl import arguments
from wood_xl.records import Cut, Stack
from wood_xl.wood import geometry


def test_one_diameter_is_a_circle() -> None:
    # pi/4 x 0.2^2
    assert geometry.area_of_cut_m2(Cut(diameter_m=0.2)) == pytest.approx(0.0314159265358979, rel=1e-14)


def test_cut_with_second_diameter_and_tally() -> None:
    # 3 x pi/4 x 0.30 x 0.20
    cut = Cut(diameter_m=0.30, second_diameter_m=0.20, cuts_n=3)
    assert geometry.sawn_area_m2([cut]) == pytest.approx(3 * math.pi / 4 * 0.06, rel=1e-14)


def test_no_cuts_are_no_area() -> None:
    assert geometry.sawn_area_m2([]) == 0.0


def test_depth_of_the_stack_comes_before_stick_length() -> None:
    # 1 x 2 x 0.5 x 3 rows
    stack = Stack(height_m=1.0, length_m=2.0, depth_m=0.5, rows_n=3)
    assert geometry.stack_bulk_volume_m3(stack, stick_length_m=0.4) == pytest.approx(3.0)


def test_sloping_ends_take_the_mean_length() -> None:
    # 1.5 x (4 + 3)/2 x 0.4
    stack = Stack(height_m=1.5, length_m=4.0, top_length_m=3.0)
    assert geometry.stack_bulk_volume_m3(stack, stick_length_m=0.4) == pytest.approx(2.1)


@together(
    ("call", "words"),
    [
        (lambda: geometry.area_of_cut_m2(Cut(diameter_m=0.0)), "diameter_m is 0.0"),
        (lambda: geometry.area_of_cut_m2(Cut(diameter_m=0.2, second_diameter_m=-0.1)), "second_diameter_m is -0.1"),
        (lambda: geometry.area_of_cut_m2(Cut(diameter_m=math.nan)), "diameter_m is nan"),
        (lambda: geometry.sawn_area_m2([Cut(diameter_m=0.2, cuts_n=0)]), "cuts_n is 0"),
        (lambda: geometry.stack_bulk_volume_m3(Stack(math.inf, 1.0), stick_length_m=0.4), "height_m is inf"),
        (lambda: geometry.stack_bulk_volume_m3(Stack(1.0, 1.0, rows_n=0), stick_length_m=0.4), "rows_n is 0"),
        (lambda: geometry.cords(-1.0), "stacked_m3 is -1.0"),
        (lambda: geometry.sticks_solid_volume_m3(sawn_area_m2=1.0, stick_length_m=0.0), "stick_length_m is 0.0"),
        (lambda: geometry.measured_solid_fraction(solid_m3=0.0, ranked_equivalent_m3=1.0), "solid_m3 is 0.0"),
        (lambda: geometry.solid_volume_m3(stacked_m3=1.0, solid_fraction=1.1), "solid_fraction is 1.1"),
        (lambda: geometry.stacked_volume_m3(solid_m3=1.0, solid_fraction=0.0), "solid_fraction is 0.0"),
        (lambda: geometry.sawn_area_of_solid_m2(solid_m3=-1.0, stick_length_m=0.4), "solid_m3 is -1.0"),
        (lambda: arguments.require_fraction(delay_frac=math.nan), "delay_frac is nan"),
    ],
)
def test_impossible_number_is_named(call: Any, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        call()


def test_solid_fraction_of_every_form() -> None:
    forms = ("ranked split", "ranked round", "crossed", "loose")
    assert [geometry.solid_fraction_of(form) for form in forms] == [0.64, 0.62, 0.45, 0.41]


def test_the_reference_form_leaves_the_volume_unchanged() -> None:
    assert geometry.ranked_equivalent_m3(bulk_m3=7.0, form="crossed", reference_form="crossed") == pytest.approx(7.0)


@together(
    ("fraction", "standing"),
    [
        (0.39, "refused"),
        (0.40, "unusual"),
        (0.44, "unusual"),
        (0.45, "usual"),
        (0.85, "usual"),
        (0.86, "unusual"),
        (0.94, "unusual"),
        (0.95, "impossible"),
        (math.nan, "refused"),
    ],
)
def test_standing_of_a_measured_fraction(fraction: float, standing: str) -> None:
    assert geometry.solid_fraction_standing(fraction) == standing
