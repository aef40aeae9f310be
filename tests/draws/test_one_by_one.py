"""Inputs that move a figure: each at its end by plain floats, and those that two figures share."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from builders import Data, records, small_season
from season_draws import DEMOS, computed, rates_of, tried

from wood_xl.air.accounts import RUNNING
from wood_xl.air.drawn import GRID
from wood_xl.draws.ensemble import WORLDS, OneByOne, ends, nominal
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.ids import Input, Recorded
from wood_xl.money.inputs import MethodNumbers, ToolNumbers
from wood_xl.money.method import MethodInputs, RentInputs, method_money
from wood_xl.money.ranges import Ranged, method_ranges, tool_ranges
from wood_xl.reasons import Key, Said, is_said, said
from wood_xl.verdicts import Tried, TurnsTo

SAME = 1e-12


def by_ranges(known: SeasonRates, found: MethodNumbers) -> Iterator[tuple[Said, MethodInputs, MethodInputs]]:
    """A method's inputs with one of them at the ends of its range."""
    for ranged in method_ranges(found, known.study.season):
        yield ranged.name, ranged.put(found.inputs, ranged.low), ranged.put(found.inputs, ranged.high)
    for at, tool in enumerate(found.tools):
        for ranged in tool_ranges(tool):
            low, high = (
                replace(found.inputs, tools=(*found.inputs.tools[:at], moved, *found.inputs.tools[at + 1 :]))
                for moved in (ranged.put(tool.inputs, ranged.low), ranged.put(tool.inputs, ranged.high))
            )
            yield ranged.name, low, high


def clock_of(tool: ToolNumbers) -> Recorded:
    """Key of a tool's hours."""
    is_at_work = not tool.tool.kind_row.is_powered or tool.is_upper_bound
    return Recorded.AT_WORK if is_at_work else Recorded.RUNNING_HOURS


def with_days(rent: RentInputs, times: float) -> RentInputs:
    """Rent for a day or a week, which follows the clock hours."""
    return replace(rent, units_per_cord=times * rent.units_per_cord)


def with_hours(found: MethodNumbers, known: SeasonRates, end: int) -> MethodInputs:
    """A method's inputs with all of its hours at one end of their doubt by sessions and tape."""
    wood = known.taken.wood(found.totals)

    def times(what: Recorded) -> float:
        return ends(known.study.equal.members(found.totals, what) * wood)[end]

    inputs = found.inputs
    tools = tuple(
        replace(
            tool.inputs,
            hours_per_cord=times(clock_of(tool)) * tool.inputs.hours_per_cord,
            rent=None if tool.inputs.rent is None else with_days(tool.inputs.rent, times(Recorded.CLOCK_HOURS)),
        )
        for tool in found.tools
    )
    return replace(
        inputs,
        tools=tools,
        working_h_per_cord=times(Recorded.AT_WORK) * inputs.working_h_per_cord,
        clock_h_per_cord=times(Recorded.CLOCK_HOURS) * inputs.clock_h_per_cord,
        worker_h_per_cord=times(Recorded.WORKER_HOURS) * inputs.worker_h_per_cord,
    )


def moved_inputs(found: MethodNumbers, known: SeasonRates) -> dict[Key, tuple[MethodInputs, MethodInputs]]:
    """A method's inputs with one of them at its two ends, by the name of that input."""
    method = found.totals.method
    hours = said(Tried.INPUT_OF, what=said(Input.WORKING_HOURS, method=method.named), method=method.named)
    at_ends: dict[Key, tuple[MethodInputs, MethodInputs]] = {
        hours: (with_hours(found, known, 0), with_hours(found, known, 1))
    }
    return at_ends | {name: (low, high) for name, low, high in by_ranges(known, found)}


@pytest.mark.parametrize("name", DEMOS)
def test_moves_of_a_flip_agree_with_plain_floats_at_the_ends_of_each_input(name: str) -> None:
    drawn, met, shared_n = computed(name), 0, 0
    hour = drawn.known.study.season.value_of_time_per_h
    for row in drawn.tables.tables["flip_moves"]:
        if row["input"] == said(Input.TAPE):
            continue  # the tape moves the wood of all sessions and is no input of money
        quick, cheap = (drawn.known.costs[method].numbers for method in (row["method"], row["instead_of"]))
        tried_of = [moved_inputs(found, drawn.known) for found in (quick, cheap)]
        assert any(row["input"] in inputs for inputs in tried_of)
        shared_n += all(row["input"] in inputs for inputs in tried_of)
        leads = []
        for end, figure in enumerate((row["at_low"], row["at_high"])):
            q, c = (
                inputs[row["input"]][end] if row["input"] in inputs else found.inputs
                for inputs, found in zip(tried_of, (quick, cheap), strict=True)
            )
            more, saved = method_money(q).cash - method_money(c).cash, c.worker_h_per_cord - q.worker_h_per_cord
            assert math.isclose(figure.value, more / saved, rel_tol=1e-10), (row["method"], row["input"])
            leads.append(hour * saved - more)
        assert row["swing"].value == abs(row["at_high"].value - row["at_low"].value)
        assert is_said(row["turns"], TurnsTo.YES) == any((lead > 0) != (row["flip"].value < hour) for lead in leads)
        met += 1
    assert met > 10
    assert shared_n  # both methods share the yearly volume and interest


@pytest.mark.parametrize("name", DEMOS)
def test_the_flip_and_its_moves_are_those_of_the_other_tables(name: str) -> None:
    """Bit for bit: one quantity has one value and one interval wherever it stands."""
    tables = computed(name).tables.tables
    flips = {(row["method"], row["instead_of"]): row for row in tables["exchange"]}
    hours = {row["method"]: row["worker_hours"] for row in tables["rates_per_cord"]}
    pairs = [(row["method"], row["instead_of"]) for row in tables["flip_moves"]]
    assert set(pairs) == {pair for pair, row in flips.items() if row["flip"].value is not None}
    for pair, row in zip(pairs, tables["flip_moves"], strict=True):
        told = flips[pair]
        assert row["flip"] == told["flip"]
        if row["input"] == said(Input.YEARLY_VOLUME):
            assert (row["at_low"].value, row["at_high"].value) == (told["flip_half"].value, told["flip_twice"].value)
        if is_said(row["input"], Tried.INPUT_OF) and is_said(row["input"]["what"], Input.WORKING_HOURS):
            figure = hours[row["input"]["method"].name]
            assert [row["range"][part] for part in ("low", "high")] == [figure.low, figure.high]
            assert is_said(row["range"], Tried.RANGE_FOR_ONE)
    for pair in set(pairs):
        swings = [row["swing"].value for row in tables["flip_moves"] if (row["method"], row["instead_of"]) == pair]
        assert swings == sorted(swings, reverse=True)
        assert len(swings) <= 8
        assert min(swings) > 0.05 * max(swings)


@pytest.mark.parametrize("name", DEMOS)
def test_the_nominal_flip_is_the_same_in_both_designs_bit_for_bit(name: str) -> None:
    drawn = computed(name)
    known = drawn.known.by(OneByOne([said(Input.INTEREST)]))
    totals = {t.method.name: t for t in drawn.known.study.totals}
    for row in drawn.tables.tables["exchange"]:
        both = [totals[row["method"]], totals[row["instead_of"]]]
        cash, hours = ([known.number(t, key) for t in both] for key in ("cash", "worker_hours"))
        assert nominal((cash[0] - cash[1]) / (hours[1] - hours[0])) == row["flip"].value


def swing(known: SeasonRates, key: Key, *asked: tuple[MethodTotals, str]) -> list[float]:
    """Swing of each figure of some methods, and of the difference of the first two, by one input."""
    moved = OneByOne([key])
    numbers = [known.by(moved).number(totals, figure_id) for totals, figure_id in asked]
    both = [moved.at_ends(number, key) for number in (*numbers, numbers[0] - numbers[1])]
    return [abs(high - low) for low, high in both]


def two_saws() -> Data:
    """Two methods with the same chain saw, one slower, so that the saw lasts fewer years."""
    data = small_season()
    data["methods"][0] = {"method": "By one", "task": "buck", "tool_1": "Chain saw"}
    for session in data["sessions"]:
        if session["method"] == "By bow saw":
            session.update(method="By one", fuel_used=0.3, elapsed_time=session["elapsed_time"] / 3)
    data["tools"][1]["life_hours"] = 100
    data["units"]["tools"]["life_hours"] = "h"
    return data


def two_motors() -> Data:
    """Two methods with electric saws of their own."""
    data = small_season()
    for tool in data["tools"]:
        tool.update(kind="mains", life_years=10)
    for session in data["sessions"]:
        session.pop("fuel_used", None)
        session["electricity_used"] = 0.8 if session["method"] == "By bow saw" else 1.9
    data["units"]["sessions"]["electricity_used"] = "kWh"
    return data


def test_price_of_a_saw_moves_both_methods_and_their_difference_less_than_either() -> None:
    known = rates_of(records(two_saws()))
    one, other = tried(known)
    saw = known.study.tools["Chain saw"].named
    for own in (Input.PRICE_OF_TOOL, Input.UPKEEP):
        first, second, between = swing(known, said(own, tool=saw), (one, "cash"), (other, "cash"))
        assert 0 < between < min(first, second)
    for members in (known.figure(one, "cash"), known.figure(other, "cash")):
        assert members.members is not None


def test_difference_of_two_methods_with_one_saw_is_surer_than_with_two_of_the_same_price() -> None:
    apart = two_saws()
    apart["tools"].append({**apart["tools"][1], "tool": "Other saw"})
    apart["upkeep"].append({**apart["upkeep"][0], "tool": "Other saw"})
    apart["methods"][0]["tool_1"] = "Other saw"
    widths = []
    for data in (two_saws(), apart):
        known = rates_of(records(data))
        cash = [known.figure(totals, "cash") for totals in tried(known)]
        low, high = ends(cash[0].number - cash[1].number)
        widths.append(high - low)
    assert widths[0] < 0.95 * widths[1]


def test_the_grid_cancels_in_the_ratio_of_two_electric_methods() -> None:
    known = rates_of(records(two_motors()))
    one, other = tried(known)
    moved = OneByOne([GRID])
    first, second = (known.by(moved).number(totals, RUNNING.id) for totals in (one, other))
    for number in (first, second):
        low, high = moved.at_ends(number, GRID)
        assert high > 1.05 * low
    np.testing.assert_allclose(first / second, nominal(first) / nominal(second), rtol=SAME)
    ratio = known.figure(one, RUNNING.id).number / known.figure(other, RUNNING.id).number
    taken = [known.taken.relative(totals, Recorded.ELECTRICITY).number for totals in (one, other)]
    np.testing.assert_allclose(ratio, nominal(ratio) * taken[0] / taken[1], rtol=SAME)


def test_the_tape_cancels_in_the_ratio_of_the_hours_of_two_methods() -> None:
    known = rates_of(records(two_motors()))
    key = said(Input.TAPE)
    moved = OneByOne([key])
    first, second = (known.by(moved).number(totals, "worker_hours") for totals in tried(known))
    low, high = moved.at_ends(first, key)
    assert low != high
    np.testing.assert_allclose(first / second, nominal(first) / nominal(second), rtol=SAME)


def test_a_choice_is_in_no_doubt_and_moves_alone() -> None:
    name = said(Input.TAPE)
    chosen = Ranged(name, "", 3.0, 1.0, 5.0, "", lambda inputs, _: inputs, is_choice=True)
    assert chosen.members(WORLDS) == 3.0
    assert np.asarray(chosen.members(OneByOne([name]))).tolist() == [3.0, 1.0, 5.0]
