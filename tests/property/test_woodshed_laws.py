"""Laws of the woodshed: nothing is lost, nothing burns twice, and more need never asks for less to be made."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import numpy as np
from builders import records, small_season
from few import examples
from hypothesis import given, settings
from hypothesis import strategies as st

from wood_xl.draws.ensemble import nominal, total
from wood_xl.records import Burned, Season, ShedStack
from wood_xl.season import season_tables
from wood_xl.shed.dates import day_number
from wood_xl.shed.stacks import Standing, standing_stacks
from wood_xl.shed.stock import Stock, months_ahead, outlook
from wood_xl.warmth.cord import heat_study

DAYS = st.dates(dt.date(2020, 1, 1), dt.date(2026, 3, 1))
NEAR = 1e-9


def maple_season() -> Season:
    return records({**small_season(), "wood": [{"species": "maple, sugar"}]})


SEASON = maple_season()
HEAT = heat_study(SEASON, season_tables(SEASON).rates.study.totals)[0]


@st.composite
def shed_stacks(draw: st.DrawFn) -> ShedStack:
    volume = draw(st.floats(0.1, 20))
    stacked_on = draw(DAYS).isoformat()
    parts = draw(st.lists(st.floats(0.0, 1.0), max_size=4))
    whole = sum(parts) or 1.0
    burned = tuple(Burned(f"2026-0{month}-01", volume * part / whole) for month, part in enumerate(parts, start=1))
    if draw(st.booleans()):
        burned = (*burned[:-1], Burned("2026-03-01"))
    kind = draw(st.sampled_from(["maple, sugar", "oak, white", "softwood"]))
    return ShedStack(f"{draw(st.integers(0, 10**6))}", stacked_on, kind, volume, burned=burned)


def standing(stacks: list[ShedStack]) -> list[Standing]:
    return standing_stacks(replace(SEASON, woodshed=tuple(stacks)), HEAT)


def named_apart(stacks: list[ShedStack]) -> list[ShedStack]:
    return [replace(one, name=f"{at}") for at, one in enumerate(stacks)]


@settings(max_examples=examples(60), deadline=None)
@given(st.lists(shed_stacks(), min_size=1, max_size=5))
def test_every_stack_is_what_was_burned_plus_what_is_left(stacks: list[ShedStack]) -> None:
    for one in standing(named_apart(stacks)):
        assert one.why is None
        assert abs(one.made_m3 - one.burned_m3 - one.left_m3) <= NEAR * one.made_m3
        assert one.burned_m3 >= 0
        assert one.left_m3 >= 0


@settings(max_examples=examples(40), deadline=None)
@given(st.lists(shed_stacks(), min_size=1, max_size=5), st.floats(0.1, 60))
def test_each_month_burns_what_it_needs_and_no_more(stacks: list[ShedStack], need: float) -> None:
    stock = Stock(tuple(standing(named_apart(stacks))), "2026-03-03")
    before = None
    for month in months_ahead(stock, need):
        now = total(month.left_m3)
        if before is not None:
            assert np.all(np.abs(before - now) <= NEAR * need)
        assert np.all(month.lacking_m3 >= 0)
        assert np.all(month.lacking_m3 <= month.need_m3 + NEAR)
        assert np.all(month.dry_m3 >= month.need_m3 - month.lacking_m3 - NEAR * need)
        before = now - (month.need_m3 - month.lacking_m3)


@settings(max_examples=examples(40), deadline=None)
@given(st.lists(shed_stacks(), min_size=1, max_size=5), st.floats(0.1, 30), st.floats(0, 30))
def test_more_need_never_lowers_what_has_to_be_made(stacks: list[ShedStack], need: float, more: float) -> None:
    stock = Stock(tuple(standing(named_apart(stacks))), "2026-03-03")
    small, large = (outlook(stock, SEASON, HEAT, one).winters for one in (need, need + more))
    assert [one.first_day for one in small] == [one.first_day for one in large]
    for one, other in zip(small, large, strict=True):
        assert np.all(one.lacking_m3 <= other.lacking_m3 + NEAR * (need + more))
        assert np.all(one.dry_m3 >= other.dry_m3 - NEAR * (need + more))


@settings(max_examples=examples(40), deadline=None)
@given(shed_stacks(), st.integers(1, 40))
def test_a_stack_that_is_made_later_is_not_dry_earlier(stack: ShedStack, months: int) -> None:
    assert stack.stacked_on is not None
    later = dt.date.fromisoformat(stack.stacked_on) + dt.timedelta(30 * months)
    whole = replace(stack, burned=())
    first, second = standing([whole, replace(whole, name="later", stacked_on=later.isoformat())])
    assert nominal(first.dry_on) <= nominal(second.dry_on)
    assert np.all(np.asarray(first.dry_on) >= day_number(first.stacked_on))


@settings(max_examples=examples(30), deadline=None)
@given(st.lists(shed_stacks(), min_size=1, max_size=4), shed_stacks(), st.floats(0.1, 30))
def test_one_more_stack_never_raises_what_has_to_be_made(
    stacks: list[ShedStack], further: ShedStack, need: float
) -> None:
    def lacking(all_stacks: list[ShedStack]) -> float:
        stock = Stock(tuple(standing(named_apart(all_stacks))), "2026-03-03")
        return nominal(outlook(stock, SEASON, HEAT, need).winters[-1].lacking_m3)

    assert lacking([*stacks, further]) <= lacking(stacks) + NEAR * need
