"""Ends of what was measured and of what follows from it at once, worked out by hand."""

from __future__ import annotations

import math

import pytest
from builders import row, small_season

from wood_xl.data.load import value
from wood_xl.draws.figure import Figure
from wood_xl.schema.words import words

Z = 1.959963984540054  # normal distribution, 97.5 %


def by_log(u_frac: float) -> float:
    """Half width of an interval by the log."""
    return Z * math.sqrt(math.log1p(u_frac**2))


def half_width(figure: Figure, *, even: float = 1e-6) -> float:
    """By the log, of what is as wide by ratio on both sides; a sum or a product of several draws only nearly."""
    assert None not in (figure.value, figure.low, figure.high)
    assert figure.low < figure.value < figure.high
    assert figure.low * figure.high == pytest.approx(figure.value**2, rel=even)
    return math.log(figure.high / figure.low) / 2


def test_wood_stacked_is_as_sure_as_the_tape_cubed() -> None:
    tape = 3 * by_log(value("tape.scale_u") / 100)
    assert half_width(row(small_season(), "sessions", session="C")["stacked_volume"]) == pytest.approx(tape, rel=1e-3)
    assert half_width(row(small_season(), "sessions", session="C")["cords"]) == pytest.approx(tape, rel=1e-3)


def test_sawn_area_goes_with_the_square_of_the_tape() -> None:
    tape = 2 * by_log(value("tape.scale_u") / 100)
    assert half_width(row(small_season(), "sessions", session="B")["sawn_area"]) == pytest.approx(tape, rel=1e-3)


def test_a_usual_solid_fraction_makes_stacks_of_sticks_less_sure_and_not_the_sticks() -> None:
    data = small_season() | {"stacks": []}
    tape = 3 * by_log(value("tape.scale_u") / 100)
    fraction = by_log(value("solid_fraction.sd") / value("solid_fraction.ranked_split"))
    found = row(data, "sessions", session="B")
    assert half_width(found["solid_volume"]) == pytest.approx(tape, rel=1e-3)
    assert half_width(found["stacked_volume"], even=0.02) == pytest.approx(math.hypot(tape, fraction), rel=0.02)
    data["season"]["solid_fraction"] = 0.64
    assert half_width(row(data, "sessions", session="B")["stacked_volume"]) == pytest.approx(tape, rel=1e-3)


def test_hours_are_as_noted_and_their_rate_is_as_sure_as_the_wood() -> None:
    found = row(small_season(), "sessions", session="C")
    assert found["worker_hours"].low is None
    assert half_width(found["worker_hours_per_cord"]) == pytest.approx(half_width(found["cords"]))


def test_an_effort_is_as_sure_as_its_basis() -> None:
    found = row(small_season(), "efforts", session="A", role="main")
    u = found["u_share"].value / 100
    # two factors, each a log-normal of its own, and the draws of the two are not quite independent
    assert half_width(found["kcal_gross"], even=0.1) == pytest.approx(by_log(u), rel=0.04)
    # the headline lies farther off from the activity table than its own basis tells
    assert half_width(found["kcal_gross"], even=0.1) > half_width(found["kcal_reserve"])
    gross, net = found["kcal_gross"], found["kcal_net"]
    rest = gross.value - net.value  # is taken off, and what is left is as many kcal unsure
    assert (net.low, net.high) == pytest.approx((gross.low - rest, gross.high - rest))


def test_one_equation_is_as_unsure_over_two_sessions_as_over_one() -> None:
    data = small_season()
    data["sessions"][1]["mean_heart_rate"] = 120
    data["sessions"][1]["elapsed_time"] = 90
    both = row(data, "people", person="Ada")
    one, other = (row(data, "efforts", session=name, person="Ada")["u_share"].value / 100 for name in "AB")
    assert both["sessions_n"] == 2
    assert half_width(both["kcal_gross"], even=0.1) == pytest.approx(by_log((one + other) / 2), rel=0.04)


def test_two_bases_are_surer_together_than_each() -> None:
    found = row(small_season(), "people", person="Ada")  # B has no heart rate: the activity table
    parts = [row(small_season(), "efforts", session=name, person="Ada") for name in "AB"]
    absolute = [part["u_share"].value / 100 * part["kcal_gross"].value for part in parts]
    u = math.hypot(*absolute) / found["kcal_gross"].value
    assert half_width(found["kcal_gross"], even=0.1) == pytest.approx(by_log(u), rel=0.04)
    assert u < max(part["u_share"].value for part in parts) / 100


def test_a_method_of_several_bases_has_one_amount_and_says_so() -> None:
    data = small_season()
    data["sessions"][1]["mean_heart_rate"] = 120  # Ada by her heart rate, Bo, who helps, by the activity table
    method = row(data, "rates_per_cord", method="By chain saw")
    ada, bo = (row(data, "efforts", session="B", person=name) for name in ("Ada", "Bo"))
    cords = row(data, "methods", method="By chain saw")["cords"].value
    assert method["kcal_gross"].value == pytest.approx((ada["kcal_gross"].value + bo["kcal_gross"].value) / cords)
    assert words(method["kcal_gross"].basis) == (
        "heart-rate reserve (1), activity table (1): one amount, each part with its own doubt"
    )
    factors = row(data, "how_sure", method="By chain saw", figure="kcal_net")["common_factors"]
    assert "energy by heart rate for Ada" in factors


def test_the_modeled_time_goes_down_as_the_share_of_reserve_goes_up() -> None:
    data = small_season()
    data["sessions"][0]["mean_heart_rate"] = 100
    data["people"][0]["heart_rate_device"] = "chest strap"
    found = row(data, "strain", session="A")
    share, time = found["reserve_share"], found["modeled_time"]
    half = Z * found["reserve_u"].value
    assert (share.low, share.high) == pytest.approx((share.value - half, share.value + half))
    assert time.low == pytest.approx(60 * 26.12 * math.exp(-0.0481 * share.high))
    assert time.high == pytest.approx(60 * 26.12 * math.exp(-0.0481 * share.low))


def test_where_the_model_of_work_ends_the_time_has_no_upper_end() -> None:
    data = small_season()
    data["sessions"][0]["mean_heart_rate"] = 84  # a fifth of the reserve
    found = row(data, "strain", session="A")
    share, time = found["reserve_share"], found["modeled_time"]
    assert share.low < 15
    assert (time.low, time.high) == (pytest.approx(60 * 26.12 * math.exp(-0.0481 * share.high)), None)
    assert words(time.reason) == "at the lower end of the share: no time is modeled below a share of 15%"


def test_rest_follows_the_ends_of_the_energy() -> None:
    data = small_season()
    data["sessions"][0]["elapsed_time"] = 400
    energy = row(data, "efforts", session="A", person="Ada")
    rest = row(data, "shift_rest", person="Ada")["rest_in_hour"]
    standard = value("rest.standard.female")
    for end, minutes in ((energy["kcal_gross"].low, rest.low), (energy["kcal_gross"].high, rest.high)):
        per_min = end / 400
        expected = 60 * (per_min - standard) / (per_min - value("rest.resting")) if per_min > standard else 0.0
        assert minutes == pytest.approx(expected, rel=1e-3)
