"""More doubt widens figures, and a change elsewhere moves no draw of a method."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from few import few
from season_draws import DEMOS, computed, method_figures, other_constants, rates_of, tried

from wood_xl.air.accounts import RUNNING, WORK
from wood_xl.air.drawn import price_usd
from wood_xl.draws.ensemble import OneByOne
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.records import Season, Session, UpkeepItem

# What only adds a little to a larger doubt moves the end of a finite number of draws by chance, either way: from one
# choice of draws to another the ends of a figure scatter by up to 1.6 % of its width.
BY_CHANCE = 0.02
HOURS = ("clock_hours", "worker_hours", "delay_free_worker_hours")
MOVED = ("cash", "cash_and_time", WORK.id, RUNNING.id, "worker_hours", "kcal_net")

WIDER: Mapping[str, Mapping[str, float]] = {
    "cost.try.price": {"low": 0.6, "high": 1.6},
    "cost.try.life": {"low": 0.3, "high": 3.0},
    "tape.scale_u": {"value": 2.0},
    "doubt.embodied_mass": {"value": 1.6},
}
Widths = dict[tuple[str, str], float]


def wider(constant_id: str) -> Any:
    """One range or doubt wider than it is."""
    return other_constants(**{constant_id: WIDER[constant_id]})


def again(known: SeasonRates) -> SeasonRates:
    """The season with nothing drawn yet."""
    return SeasonRates(known.study, known.costs, known.emitted)


def widths(known: SeasonRates) -> Widths:
    """Width of each figure that has both ends."""
    return {
        (method, figure_id): figure.high - figure.low
        for method, figure_id, figure in method_figures(known)
        if figure.low is not None and figure.high is not None
    }


@cache
def widths_now(name: str) -> Widths:
    return widths(again(computed(name).known))


def swings(known: SeasonRates) -> dict[tuple[str, str, str], float]:
    """Swing of some figures of each method by each input alone."""
    found = {}
    for totals in tried(known):
        given = [figure_id for figure_id in MOVED if known.figure(totals, figure_id).members is not None]
        asking = OneByOne()
        for figure_id in given:
            known.by(asking).number(totals, figure_id)
        moved = OneByOne(asking.asked)
        for figure_id in given:
            number = known.by(moved).number(totals, figure_id)
            for key in moved.moves:
                low, high = moved.at_ends(number, key)
                found[totals.method.name, figure_id, str(key)] = abs(high - low)
    return found


@pytest.mark.slow
@pytest.mark.parametrize("constant_id", few(WIDER))
def test_more_doubt_never_narrows_a_figure_beyond_sampling_error(constant_id: str) -> None:
    wider_n = 0
    for name in DEMOS:
        before = widths_now(name)
        with wider(constant_id):
            after = widths(again(computed(name).known))
        assert set(after) == set(before)
        for place, width in before.items():
            assert after[place] >= (1 - BY_CHANCE) * width, place
            wider_n += after[place] > (1 + BY_CHANCE) * width
    assert wider_n >= 2


@pytest.mark.parametrize("constant_id", few(WIDER))
def test_more_doubt_of_one_input_alone_never_moves_a_figure_less(constant_id: str) -> None:
    name, wider_n = DEMOS[-1], 0
    before = swings(again(computed(name).known))
    with wider(constant_id):
        after = swings(again(computed(name).known))
    assert set(after) == set(before)
    for place, width in before.items():
        assert after[place] >= width * (1 - 1e-12), place
        wider_n += after[place] > width * (1 + 1e-9)
    assert wider_n


def season_of(name: str) -> Season:
    return computed(name).known.study.season


def arrays_that_differ(there: SeasonRates, here: SeasonRates) -> set[str]:
    """Methods with a figure of another value or another array."""
    figures = {(method, figure_id): figure for method, figure_id, figure in method_figures(there)}
    found = set()
    for method, figure_id, figure in method_figures(here):
        one = figures[method, figure_id]
        if one.value is None or figure.value is None:
            is_same = one.value is figure.value
        else:
            is_same = np.array_equal(one.number, figure.number)
        if not is_same:
            found.add(method)
    return found


@pytest.mark.parametrize("name", few(DEMOS))
def test_another_key_changes_the_arrays_of_no_method_without_it(name: str) -> None:
    season = season_of(name)
    tool = next(tool for tool in season.tools if tool.price)
    users = {method.name for method in season.methods if tool.name in method.tools}
    assert 0 < len(users) < len(season.methods)
    there = again(computed(name).known)
    more_upkeep = replace(season, upkeep=(*season.upkeep, UpkeepItem(tool.name, "Handle", 9.0, 3.0, "cords")))
    dearer = replace(tool, price=1.5 * tool.price)
    other_price = replace(season, tools=tuple(dearer if one is tool else one for one in season.tools))
    one_more = replace(tool, name="One more", number=99)
    another_tool = replace(
        season,
        tools=(one_more, *season.tools),
        methods=tuple(
            replace(method, tools=(*method.tools, "One more")) if method.name in users else method
            for method in season.methods
        ),
    )
    for changed in (more_upkeep, other_price, another_tool):
        assert arrays_that_differ(there, rates_of(changed)) == users


def without_names(season: Season) -> Season:
    """The same season with a number for the name of every tool, method and person."""
    tools = {tool.name: f"Tool {at}" for at, tool in enumerate(season.tools)}
    methods = {method.name: f"Method {at}" for at, method in enumerate(season.methods)}
    people = {person.name: f"Person {at}" for at, person in enumerate(season.people)}

    def unnamed(session: Session) -> Session:
        workers = tuple(replace(one, person=people.get(one.person, one.person)) for one in session.workers)
        return replace(session, method=methods[session.method], workers=workers)

    return replace(
        season,
        tools=tuple(replace(tool, name=tools[tool.name]) for tool in season.tools),
        upkeep=tuple(item._replace(tool=tools[item.tool]) for item in season.upkeep),
        methods=tuple(
            replace(method, name=methods[method.name], tools=tuple(tools[tool] for tool in method.tools))
            for method in season.methods
        ),
        people=tuple(replace(person, name=people[person.name]) for person in season.people),
        sessions=tuple(unnamed(session) for session in season.sessions),
    )


@pytest.mark.parametrize("name", few(DEMOS))
def test_trap_14_names_change_no_draw(name: str) -> None:
    """Keys are places in the notes: a copy without names has the same figures."""
    there = list(method_figures(again(computed(name).known)))
    here = list(method_figures(rates_of(without_names(season_of(name)))))
    assert len(there) == len(here)
    for (method, figure_id, one), (other_name, _, other) in zip(there, here, strict=True):
        assert other_name.startswith("Method ")
        assert one.value == other.value, (method, figure_id)
        if one.value is not None:
            assert np.array_equal(one.number, other.number), (method, figure_id)


def test_a_price_has_the_same_draws_everywhere() -> None:
    known, asked = computed("hill_farm_us").known, 0
    for totals in tried(known):
        money, emitted = known.money(totals.method.name), known.emissions(totals.method.name)
        by_name = {tool.name: tool.price for tool in money.inputs.tools}
        for worn in emitted.tools:
            if worn.tool.price:
                price = price_usd(worn, known.design)
                np.testing.assert_allclose(price, by_name[worn.tool.name], rtol=1e-12)
                assert np.ptp(price) > 0
                asked += 1
    assert asked > 3


def hours_of(known: SeasonRates) -> dict[tuple[str, str], np.ndarray]:
    return {
        (totals.method.name, figure_id): np.asarray(known.figure(totals, figure_id).number)
        for totals in tried(known)
        for figure_id in HOURS
    }


@pytest.mark.parametrize("name", few(DEMOS))
def test_hours_do_not_depend_on_the_order_of_the_methods(name: str) -> None:
    season = season_of(name)
    there, turned = (hours_of(rates_of(one)) for one in (season, replace(season, methods=season.methods[::-1])))
    assert turned.keys() == there.keys()
    for place, hours in turned.items():
        assert np.array_equal(hours, there[place]), place
