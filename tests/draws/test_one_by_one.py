"""What moves a figure: each input at its end by plain floats, and what two figures share."""

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
from wood_xl.draws.ensemble import OneByOne, ends, nominal
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.hours.taken import OWN_INPUTS
from wood_xl.ids import Input, Recorded
from wood_xl.money.drawn import tool_clock
from wood_xl.money.inputs import Gathered
from wood_xl.money.method import MethodInputs, method_money
from wood_xl.money.ranges import method_ranges, tool_ranges
from wood_xl.money.sensitivity import SensitivityRow
from wood_xl.reasons import Key, Said, said
from wood_xl.verdicts import Tried

SAME = 1e-12
AMOUNTS = {
    Recorded.FUEL: "fuel_l_per_cord",
    Recorded.BAR_OIL: "bar_oil_l_per_cord",
    Recorded.ELECTRICITY: "electricity_kwh_per_cord",
}


def by_ranges(known: SeasonRates, found: Gathered) -> Iterator[tuple[Said, MethodInputs, MethodInputs]]:
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


def with_hours(found: Gathered, known: SeasonRates, end: int) -> MethodInputs:
    """A method's inputs with all of its hours at one end of what the sessions leave open of them."""

    def times(what: Recorded) -> float:
        return ends(np.asarray(known.study.equal.members(found.totals, what)))[end]

    inputs = found.inputs
    tools = tuple(
        replace(tool.inputs, hours_per_cord=times(tool_clock(tool)) * tool.inputs.hours_per_cord)
        for tool in found.tools
    )
    return replace(
        inputs,
        tools=tools,
        working_h_per_cord=times(Recorded.AT_WORK) * inputs.working_h_per_cord,
        clock_h_per_cord=times(Recorded.CLOCK_HOURS) * inputs.clock_h_per_cord,
        worker_h_per_cord=times(Recorded.WORKER_HOURS) * inputs.worker_h_per_cord,
    )


def by_sessions(
    found: Gathered, rows: dict[Key, SensitivityRow], known: SeasonRates
) -> Iterator[tuple[Said, MethodInputs, MethodInputs]]:
    """The same by what the sessions leave open; the row says the ends."""
    method, inputs = found.totals.method.named, found.inputs
    for what, own in {Recorded.AT_WORK: Input.WORKING_HOURS, **OWN_INPUTS}.items():
        name = said(own, method=method)
        if name not in rows:
            continue
        told = rows[name].range
        times = [told[end] / told["base"] for end in ("low", "high")]
        if what is Recorded.AT_WORK:
            yield name, with_hours(found, known, 0), with_hours(found, known, 1)
        else:
            field = AMOUNTS[what]
            low, high = (replace(inputs, **{field: end * getattr(inputs, field)}) for end in times)
            yield name, low, high


@pytest.mark.parametrize("name", DEMOS)
def test_every_row_of_what_moves_cash_is_that_input_alone_at_its_ends_by_plain_floats(name: str) -> None:
    drawn, met = computed(name), set()
    for method, cost in drawn.known.costs.items():
        found, rows = cost.gathered, {}
        for row in drawn.tables.tables["sensitivity"]:
            if row.input["method"] == method:
                rows[row.input["what"]] = row
        if found is None:
            continue
        for key, *both in (*by_ranges(drawn.known, found), *by_sessions(found, rows, drawn.known)):
            if key not in rows:
                continue
            row = rows[key]
            for inputs, figure in zip(both, (row.at_low, row.at_high), strict=True):
                money = method_money(inputs)
                result = money.cash_and_time if row.total is Tried.CASH_AND_TIME else money.cash
                assert math.isclose(figure.value, result, rel_tol=SAME), (method, key)
            assert row.swing.value == abs(row.at_high.value - row.at_low.value)
            met.add((method, key))
        assert {key for of, key in met if of == method} == set(rows)  # no row was left unasked
    assert len(met) > 20


def swing(known: SeasonRates, key: Key, *asked: tuple[MethodTotals, str]) -> list[float]:
    """How far one input moves each figure of some methods, and the difference of the first two."""
    moved = OneByOne([key])
    numbers = [known.by(moved).number(totals, figure_id) for totals, figure_id in asked]
    both = [moved.at_ends(number, key) for number in (*numbers, numbers[0] - numbers[1])]
    return [abs(high - low) for low, high in both]


def two_saws() -> Data:
    """Two methods with the same chain saw, one of them slower, so that it lasts fewer years in it."""
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
    assert widths[0] < 0.9 * widths[1]


def test_grid_is_no_doubt_of_the_ratio_of_two_electric_methods() -> None:
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


def test_tape_is_no_doubt_of_the_ratio_of_the_hours_of_two_methods() -> None:
    known = rates_of(records(two_motors()))
    key = said(Input.TAPE)
    moved = OneByOne([key])
    first, second = (known.by(moved).number(totals, "worker_hours") for totals in tried(known))
    low, high = moved.at_ends(first, key)
    assert low != high
    np.testing.assert_allclose(first / second, nominal(first) / nominal(second), rtol=SAME)
