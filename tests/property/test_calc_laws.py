"""Laws that the formulas keep for all inputs."""

from __future__ import annotations

import math

import numpy_financial
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wood_xl.body import effort_equations
from wood_xl.body.effort import worker_effort
from wood_xl.hours.fuel import split_mix_l
from wood_xl.hours.sessions import session_time
from wood_xl.money import owning as cost
from wood_xl.money import spending as running_cost
from wood_xl.records import Cut, Person, Session, Stack, Worker
from wood_xl.schema.words import words
from wood_xl.wood import geometry


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_subnormal=False)


LENGTH, SCALE = between(0.05, 5), between(0.1, 10)
BELOW_0 = between(-0.3, -1e-4)  # real rates have been there
RATE, YEARS, MONEY = between(0, 1), between(0.1, 60), between(0, 1e5)
FORM = st.sampled_from(("ranked split", "ranked round", "crossed", "loose"))
TASK = st.sampled_from(("fell", "limb", "haul", "buck", "split", "stack"))
CUT = st.builds(
    Cut,
    diameter_m=LENGTH,
    second_diameter_m=st.none() | LENGTH,
    cuts_n=st.integers(1, 60),
    cut_time_s=st.none(),
    class_width_m=st.just(0.0),
)
STACK = st.builds(
    Stack,
    height_m=LENGTH,
    length_m=LENGTH,
    top_length_m=st.none() | LENGTH,
    depth_m=LENGTH,
    rows_n=st.integers(1, 8),
    form=st.none(),
    name=st.none(),
)
PERSON = st.builds(
    Person,
    name=st.just("A"),
    age_years=st.none() | between(10, 100),
    equation_sex=st.sampled_from((None, "female", "male")),
    mass_kg=st.none() | between(30, 250),
    height_cm=st.none() | between(100, 230),
    resting_bpm=st.none() | between(30, 110),
    max_bpm=st.none() | between(90, 230),
    heart_rate_limited=st.booleans(),
)
WORKER = st.builds(
    Worker,
    person=st.just("A"),
    time_min=between(0, 960),
    mean_heart_rate_bpm=st.none() | between(30, 230),
    monitor_kcal=st.none() | between(0, 10000),
)


def scaled_cut(cut: Cut, k: float) -> Cut:
    second = None if cut.second_diameter_m is None else cut.second_diameter_m * k
    return Cut(diameter_m=cut.diameter_m * k, second_diameter_m=second, cuts_n=cut.cuts_n)


@given(st.lists(CUT, min_size=1, max_size=20), SCALE)
def test_sawn_area_goes_with_the_square_of_lengths(cuts: list[Cut], k: float) -> None:
    scaled = geometry.sawn_area_m2(scaled_cut(cut, k) for cut in cuts)
    assert scaled == pytest.approx(geometry.sawn_area_m2(cuts) * k**2, rel=1e-12)


@given(STACK, SCALE)
def test_stack_goes_with_the_cube_of_lengths(stack: Stack, k: float) -> None:
    top = None if stack.top_length_m is None else stack.top_length_m * k
    scaled = Stack(stack.height_m * k, stack.length_m * k, top, (stack.depth_m or 0) * k, stack.rows_n)
    volume = geometry.stack_bulk_volume_m3(stack, stick_length_m=1)
    assert geometry.stack_bulk_volume_m3(scaled, stick_length_m=1) == pytest.approx(volume * k**3, rel=1e-12)
    assert geometry.cords(volume * k**3) == pytest.approx(geometry.cords(volume) * k**3, rel=1e-12)


@given(st.lists(CUT, max_size=20), st.integers(0, 20))
def test_sawn_area_is_the_sum_of_its_parts_in_any_order(cuts: list[Cut], where: int) -> None:
    whole = geometry.sawn_area_m2(cuts)
    parts = geometry.sawn_area_m2(cuts[:where]) + geometry.sawn_area_m2(cuts[where:])
    assert parts == pytest.approx(whole, rel=1e-12)
    assert geometry.sawn_area_m2(reversed(cuts)) == whole


@given(CUT)
def test_tally_is_the_same_cut_again_and_again(cut: Cut) -> None:
    one = Cut(cut.diameter_m, cut.second_diameter_m)
    assert geometry.sawn_area_m2([cut]) == pytest.approx(geometry.sawn_area_m2([one] * cut.cuts_n), rel=1e-12)


@given(LENGTH, LENGTH)
def test_ellipse_lies_under_the_circle_of_the_mean_diameter(first: float, second: float) -> None:
    ellipse = geometry.area_of_cut_m2(Cut(first, second))
    assert ellipse <= geometry.area_of_cut_m2(Cut((first + second) / 2)) * (1 + 1e-12)
    assert ellipse == geometry.area_of_cut_m2(Cut(second, first))


@given(between(0.001, 1000), between(0.2, 0.95), LENGTH)
def test_quantity_returns_the_way_it_went(solid: float, fraction: float, stick: float) -> None:
    stacked = geometry.stacked_volume_m3(solid_m3=solid, solid_fraction=fraction)
    assert geometry.solid_volume_m3(stacked_m3=stacked, solid_fraction=fraction) == pytest.approx(solid)
    assert geometry.measured_solid_fraction(solid_m3=solid, ranked_equivalent_m3=stacked) == pytest.approx(fraction)
    area = geometry.sawn_area_of_solid_m2(solid_m3=solid, stick_length_m=stick)
    assert geometry.sticks_solid_volume_m3(sawn_area_m2=area, stick_length_m=stick) == pytest.approx(solid)


@given(between(0, 1000), FORM, FORM)
def test_form_changes_the_space_and_not_the_wood(bulk: float, form: str, other: str) -> None:
    there = geometry.ranked_equivalent_m3(bulk_m3=bulk, form=form, reference_form=other)  # type: ignore[arg-type]
    back = geometry.ranked_equivalent_m3(bulk_m3=there, form=other, reference_form=form)  # type: ignore[arg-type]
    assert back == pytest.approx(bulk)


@given(between(1, 960), between(0, 1), between(0, 1), st.lists(between(0, 960), max_size=5))
def test_time_is_the_sum_of_its_parts(elapsed: float, delay_share: float, rest: float, helpers: list[float]) -> None:
    delay = elapsed * delay_share
    service = (elapsed - delay) * rest
    workers = tuple(Worker("A", time_min, is_helper=True) for time_min in helpers)
    session = Session("1", "m", elapsed_min=elapsed, delay_min=delay, service_min=service, workers=workers)
    time = session_time(session)
    assert time is not None
    assert time.machine_h + time.delay_h + time.service_h == pytest.approx(time.clock_h)
    assert time.worker_h == pytest.approx((elapsed + sum(helpers)) / 60)
    assert 0 <= time.delay_free_worker_h <= time.worker_h
    assert time.delay_free_worker_h / time.worker_h == pytest.approx(1 - delay_share, abs=1e-9)


@given(RATE | BELOW_0, YEARS)
def test_factor_agrees_with_another_library(rate: float, years: float) -> None:
    # The other library loses digits at small rates, where 1 - (1 + i)^-n cancels; this one does not.
    rate = rate if rate <= 0 else max(rate, 1e-4)
    ours = cost.capital_recovery_factor(rate_frac=rate, years=years)
    assert ours == pytest.approx(-float(numpy_financial.pmt(rate, years, 1)), rel=1e-9)
    assert cost.present_value_factor(rate_frac=rate, years=years) == pytest.approx(1 / ours)


@given(MONEY, MONEY, between(1e-4, 1) | BELOW_0, YEARS)
def test_annuity_agrees_with_another_library(price: float, resale: float, rate: float, years: float) -> None:
    ours = cost.annual_capital_cost(price=price, resale=resale, rate_frac=rate, years=years)
    other = -float(numpy_financial.pmt(rate, years, price, -resale))
    assert ours == pytest.approx(other, rel=1e-8, abs=1e-8 * (price + resale + 1) * (1 + 1 / years))


@given(RATE | BELOW_0, st.integers(1, 40))
def test_payments_of_the_factor_are_worth_what_was_lent(rate: float, years: int) -> None:
    factor = cost.capital_recovery_factor(rate_frac=rate, years=years)
    assert math.fsum(factor / (1 + rate) ** year for year in range(1, years + 1)) == pytest.approx(1, rel=1e-9)


def test_a_life_without_end_at_a_rate_below_0_costs_nothing() -> None:
    assert cost.capital_recovery_factor(rate_frac=-0.1, years=1e9) == 0.0


@given(RATE | BELOW_0, YEARS, between(1.001, 3))
def test_factor_falls_with_years_and_rises_with_the_rate(rate: float, years: float, more: float) -> None:
    factor = cost.capital_recovery_factor(rate_frac=rate, years=years)
    assert cost.capital_recovery_factor(rate_frac=rate, years=years * more) <= factor
    assert cost.capital_recovery_factor(rate_frac=rate + 0.001 * more, years=years) > factor
    assert factor >= max(rate, (1 - 1e-12) / years if rate >= 0 else 0.0)


@given(YEARS)
def test_factor_has_no_step_at_rate_zero(years: float) -> None:
    for rate in (1e-300, 1e-17, 1e-12, -1e-300, -1e-17, -1e-12):
        assert cost.capital_recovery_factor(rate_frac=rate, years=years) == pytest.approx(1 / years, rel=1e-10)


@given(MONEY, between(0, 1), RATE, YEARS, between(1, 1000))
def test_dearer_tool_never_costs_less(price: float, share: float, rate: float, years: float, more: float) -> None:
    resale = price * share
    cheap = cost.annual_capital_cost(price=price, resale=resale, rate_frac=rate, years=years)
    assert cost.annual_capital_cost(price=price + more, resale=resale, rate_frac=rate, years=years) > cheap


@given(MONEY, MONEY, YEARS.filter(lambda years: years >= 1))
def test_average_investment_lies_between_resale_and_price(price: float, resale: float, years: float) -> None:
    average = cost.average_yearly_investment(price=price, resale=resale, years=years)
    low, high = sorted((price, resale))
    assert low - 1e-6 <= average <= high + 1e-6


@given(between(0.01, 1e4), between(0, 1000), between(0.1, 50))
def test_life_is_never_longer_than_a_limit(life_h: float, hours: float, age: float) -> None:
    life = cost.life_years(life_h=life_h, hours_per_year=hours, age_limit_years=age)
    assert life is not None
    assert 0 < life <= age
    assert life * hours <= life_h * (1 + 1e-12)


@given(MONEY, MONEY, between(10, 200))
def test_price_of_mix_lies_between_its_parts(gasoline: float, oil: float, ratio: float) -> None:
    mix = running_cost.premix_price_per_l(gasoline_price_per_l=gasoline, oil_price_per_l=oil, mix_ratio=ratio)
    low, high = sorted((gasoline, oil))
    assert low * (1 - 1e-12) <= mix <= high * (1 + 1e-12)


@given(between(0, 200), between(10, 200))
def test_mix_is_the_sum_of_its_parts(mix: float, ratio: float) -> None:
    gasoline, oil = split_mix_l(mix_l=mix, mix_ratio=ratio)
    assert gasoline + oil == pytest.approx(mix, rel=1e-12)
    assert gasoline == pytest.approx(oil * ratio)


@given(st.lists(st.tuples(between(1, 200), between(100, 200)), min_size=1, max_size=8))
def test_mean_heart_rate_gives_the_total_of_its_stretches(stretches: list[tuple[float, float]]) -> None:
    body = {"mass_kg": 80.0, "age_years": 45.0}
    total = math.fsum(
        minutes * effort_equations.keytel_kcal_per_min(heart_rate_bpm=rate, sex="male", **body)
        for minutes, rate in stretches
    )
    minutes = math.fsum(minutes for minutes, _ in stretches)
    mean = math.fsum(minutes * rate for minutes, rate in stretches) / minutes
    per_min = effort_equations.keytel_kcal_per_min(heart_rate_bpm=mean, sex="male", **body)
    assert per_min * minutes == pytest.approx(total, rel=1e-9)


@given(between(30, 109), between(0, 1), between(90, 230))
def test_energy_never_falls_when_the_heart_beats_faster(resting: float, step: float, highest: float) -> None:
    rates = [30 + 200 * step * i / 20 for i in range(1, 21)]
    energies = [
        effort_equations.heart_rate_kcal_per_min(
            heart_rate_bpm=rate,
            resting_bpm=resting,
            max_bpm=highest,
            mass_kg=80,
            age_years=45,
            sex="male",
            resting_kcal_per_min=1.2,
        )
        for rate in rates
    ]
    assert all(energy is not None and energy >= 1.2 for energy in energies)
    assert energies == sorted(energies, key=lambda energy: energy or 0)


@given(WORKER, PERSON, TASK, st.booleans(), between(0, 1))
def test_every_worker_has_an_effort(worker: Worker, person: Person, task: str, powered: bool, delay: float) -> None:
    effort = worker_effort(worker, person, task=task, powered=powered, delay_frac=delay)  # type: ignore[arg-type]
    assert math.isfinite(effort.kcal_gross)
    assert 0 <= effort.kcal_net <= effort.kcal_gross * (1 + 1e-12)
    assert effort.kcal_gross == effort.kcal_by[effort.method].value
    assert words(effort.basis)
    if person.heart_rate_limited:
        assert effort.method == "table"
        assert [basis for basis, kcal in effort.kcal_by.items() if kcal.value is not None] == ["table"]


@given(WORKER, PERSON, between(0.01, 0.99))
def test_cutting_a_session_in_two_leaves_the_effort(worker: Worker, person: Person, share: float) -> None:
    def gross(minutes: float, part: float) -> float:
        piece = Worker("A", minutes, worker.is_helper, worker.mean_heart_rate_bpm, None)
        return worker_effort(piece, person, task="buck", powered=True, delay_frac=part).kcal_gross

    whole = gross(worker.time_min, 0.2)
    halves = gross(worker.time_min * share, 0.2) + gross(worker.time_min * (1 - share), 0.2)
    assert halves == pytest.approx(whole, rel=1e-9, abs=1e-9)
