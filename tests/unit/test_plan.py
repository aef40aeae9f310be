"""Next season, from notes to tables: verdicts, limits, dates, trials, and what is said if something lacks."""

from __future__ import annotations

import copy
import datetime as dt
import math
import re
from collections import defaultdict
from collections.abc import Callable
from typing import Any

import pytest
from builders import Data, at, checked, demo, only_methods, small_season, tables, trial_season, value
from few import few, together
from test_who_may import document

from wood_xl.data import load
from wood_xl.pipeline import computed_tables
from wood_xl.plan.crews import MethodCrew, method_crews
from wood_xl.reasons import Reason
from wood_xl.report.plan import plan_page
from wood_xl.report.view import View
from wood_xl.schema.words import words
from wood_xl.season import SeasonTables

SECOND = "trial day: then"
CORD_M3 = 128 * 0.3048**3
WANTED = {
    "volume_wanted": 5,
    "start_date": "2026-02-14",
    "ready_by_date": "2026-05-31",
    "hours_per_week": 3,
    "longest_session": 150,
    "people_available": 2,
    "cash_limit": 500,
    "carbon_limit": 220,
}


def farm(**changes: Any) -> Data:
    """The invented hill farm with its next season changed; None takes an item away."""
    data = demo("hill_farm_us")
    wanted = {**WANTED, **changes}
    del data["trial"], data["units"]["trial"]  # the longest session is among what is changed, as in older workbooks
    data["next_season"] = {key: value for key, value in wanted.items() if value is not None}
    return data


def undecided(**changes: Any) -> Data:
    """The same, where an hour is worth what one costs that the chain saw saves: its verdict is open."""
    data = farm(**changes)
    data["season"]["value_of_time"] = 5
    return data


def codes(data: Data) -> dict[str, str]:
    return {one.code: one.where for one in computed_tables(checked(data))[1]}


def rows(found: SeasonTables, table: str) -> list[dict[str, Any]]:
    return found.tables[table]


@pytest.fixture(scope="module")
def planned() -> SeasonTables:
    return tables(farm())


def crews_of(data: Data, method: str) -> list[MethodCrew]:
    """Crews that a method may be planned with."""
    found = tables(data)
    own = next(one for one in found.rates.study.totals if one.method.name == method)
    return method_crews(own, found.household)[0]


def test_the_plan_makes_the_wood_within_its_limits(planned: SeasonTables) -> None:
    plan = planned.plan
    assert value(plan["volume_planned"]) == pytest.approx(5 * CORD_M3)
    assert value(plan["shortfall"]) == 0
    assert value(plan["cash"]) <= 500
    assert value(plan["co2e"]) <= 220 * 0.45359237
    by_task: dict[str, float] = defaultdict(float)
    for row in rows(planned, "plan_mix"):
        by_task[row["task"]] += value(row["volume"])
    assert set(by_task) == {"bucking", "splitting", "stacking"}
    for volume in by_task.values():
        assert volume == pytest.approx(5 * CORD_M3, rel=1e-5)
    assert all(value(row["used"]) <= 100.001 for row in rows(planned, "plan_limits"))


def test_the_sessions_keep_to_days_hours_and_people(planned: SeasonTables) -> None:
    start, end = dt.date(2026, 2, 14), dt.date(2026, 5, 31)
    weeks: dict[int, float] = defaultdict(float)
    people: dict[dt.date, list[str]] = defaultdict(list)
    so_far: dict[str, float] = defaultdict(float)
    for row in rows(planned, "plan_sessions"):
        day = dt.date.fromisoformat(row["date"])
        who = row["who"].split(" and ")
        assert start <= day <= end
        assert row["weekday"] == day.strftime("%A") != "Sunday"
        assert value(row["minutes"]) <= 150
        weeks[(day - start).days // 7] += value(row["minutes"]) * len(who)
        people[day] += [] if row["mind"].startswith(SECOND) else who
        so_far[row["task"]] += value(row["volume"])
        assert value(row["task_volume"]) == pytest.approx(so_far[row["task"]])
        assert so_far["splitting"] <= so_far["bucking"] * 1.00001
        assert so_far["stacking"] <= so_far["splitting"] * 1.00001
    assert max(weeks.values()) <= 180  # trial days are in it
    assert all(len(set(names)) == len(names) <= 2 for names in people.values())
    assert planned.plan["last_session"] == rows(planned, "plan_sessions")[-1]["date"]


WISHES = [
    {},
    {"hours_per_week": 2, "cash_limit": 5000},
    {"hours_per_week": 6, "people_available": 1},
    {"hours_per_week": 1},
    {"hours_per_week": 20, "ready_by_date": "2026-03-10"},
    {"volume_wanted": 2, "longest_session": 60, "hours_per_week": 4},
]


@pytest.mark.parametrize("wish", few(WISHES), ids=[str(n) for n in range(len(WISHES))])
def test_trial_days_are_part_of_the_plan_and_come_before_their_tasks_wood_is_used_up(wish: dict[str, Any]) -> None:
    found = tables(undecided(**wish))
    start = dt.date(2026, 2, 14)
    end = dt.date.fromisoformat(wish.get("ready_by_date", "2026-05-31"))
    weeks: dict[int, float] = defaultdict(float)
    for row in rows(found, "plan_sessions"):
        day = dt.date.fromisoformat(row["date"])
        assert start <= day <= end
        weeks[(day - start).days // 7] += value(row["minutes"]) * len(row["who"].split(" and "))
        assert value(row["volume"]) > 1e-5
    assert max(weeks.values()) <= 60 * wish.get("hours_per_week", 3)
    held = [row for row in rows(found, "plan_sessions") if row["mind"].startswith("trial day")]
    assert [(row["date"], row["method"], row["who"]) for row in held] == [
        (row["day"], method, row["who"]) for row in rows(found, "trials") for method in (row["first"], row["then"])
    ]
    assert bool(held) == ("begins with trial days" in found.plan["trials"])
    assert held or "open" not in found.plan["trials"] or "trials first" in found.plan["trials"]
    for task in {row["task"] for row in held}:
        others = [r["date"] for r in rows(found, "plan_sessions") if r["task"] == task and r not in held]
        assert max(row["date"] for row in held if row["task"] == task) < min(others)
        made = [value(row["volume"]) for row in rows(found, "plan_sessions") if row["task"] == task]
        tried = math.fsum(value(row["volume"]) for row in held if row["task"] == task)
        assert tried <= math.fsum(made) / 2
        of_task = math.fsum(value(row["volume"]) for row in rows(found, "plan_mix") if row["task"] == task)
        assert math.fsum(made) == pytest.approx(of_task)


def test_a_margin_that_waits_counts_no_trial_days() -> None:
    data = undecided()
    data["season"]["practical_margin"] = "about ten"
    assert (
        len(rows(tables(undecided()), "trials")) < len(rows(tables(data), "trials")) == load.value("trials.most_days")
    )


@pytest.mark.slow
def test_a_trial_of_one_person_takes_at_most_half_of_the_days_limit_for_each_method() -> None:
    found = tables(undecided(longest_session=60))
    assert {(row["first"], row["then"]) for row in rows(found, "trials")} == {
        ("chain saw bucking", "bow saw bucking")
    }
    assert {row["who"] for row in rows(found, "trials")} <= {"Jon", "Mara"}
    assert {value(row["minutes"]) for row in rows(found, "trials")} == {30}


NO_TRIALS = [
    ({"hours_per_week": 0.4}, "no trials first: there is time or wood for less than 15 min of each method"),
    ({"hours_per_week": 0}, "no trials first: there is time or wood for less than 15 min of each method"),
    ({"volume_wanted": 0.2}, "no trials first: there is time or wood for less than 15 min of each method"),
    ({"hours_per_week": 0.6}, "no time for trials first: with them the plan makes "),
    ({"carbon_limit": 0}, "no trials first: no wood is planned"),
]


@pytest.mark.slow
@pytest.mark.parametrize(("wish", "words"), few(NO_TRIALS), ids=[str(wish) for wish, _ in NO_TRIALS])
def test_a_plan_without_trials_says_why(wish: dict[str, Any], words: str) -> None:
    found = tables(undecided(**wish))
    assert f"; {words}" in found.plan["trials"]
    assert found.tables["trials"] == []


@pytest.mark.slow
def test_trials_may_cost_a_little_wood_if_not_all_can_be_made_anyway() -> None:
    whole, short = (tables(undecided(hours_per_week=hours)) for hours in (3, 1.5))
    assert value(whole.plan["shortfall"]) == 0
    assert whole.plan["trials"].endswith("the plan begins with trial days: score again then")
    assert value(short.plan["shortfall"]) > 0
    assert "trial days and makes " in short.plan["trials"]
    assert len(short.tables["trials"]) == 2


@pytest.mark.slow
def test_a_method_above_the_cash_limit_is_not_tried() -> None:
    data = undecided(cash_limit=420)
    chain_saw = next(tool for tool in data["tools"] if tool["tool"] == "chain saw")
    chain_saw["held"] = "to buy"
    assert "; no trials first: the plan leaves out chain saw bucking" in tables(data).plan["trials"]


@pytest.mark.slow
def test_little_wood_makes_trials_shorter() -> None:
    found = tables(undecided(volume_wanted=1))
    (minutes,) = {value(row["minutes"]) for row in rows(found, "trials")}
    assert 15 <= minutes < 60
    tried = [value(row["volume"]) for row in rows(found, "plan_sessions") if row["mind"].startswith("trial day")]
    assert math.fsum(tried) <= CORD_M3 / 2


def test_without_days_trials_are_counted_and_not_dated() -> None:
    found = tables(undecided(hours_per_week=None))
    assert [row["day"] for row in rows(found, "trials")] == ["day 1", "day 2"]
    tried = 2 * value(rows(found, "trials")[0]["minutes"]) / 60
    hours = {row["method"]: value(row["worker_hours"]) for row in rows(found, "plan_mix")}
    assert min(hours["bow saw bucking"], hours["chain saw bucking"]) >= tried * 0.999999


@pytest.mark.slow
def test_a_tool_for_trial_days_alone_is_borrowed() -> None:
    data = undecided(hours_per_week=None, cash_limit=5000)
    for tool in data["tools"]:
        tool["held"] = "to buy"
    found = tables(data)
    goods = {row["item"]: row for row in rows(found, "shopping") if row["purpose"] == "tool"}
    alone, mixed = goods["chain saw"], goods["bow saw"]
    assert alone["words"] == "not bought yet; only for trial days: borrow it, or add the rent if you hire it"
    assert (value(alone["cost"]), words(alone["cost"].reason)) == (0, "if it is borrowed")
    assert mixed["words"] == "not bought yet"
    assert value(mixed["cost"]) > 0


def test_rest_breaks_are_in_no_column_and_no_total(planned: SeasonTables) -> None:
    keys = {*planned.plan, *(key for row in rows(planned, "plan_sessions") for key in row)}
    assert not [key for key in keys if "pause" in key or "rest" in key]
    assert planned.plan["limits"] == "all limits are kept"
    minutes = [value(row["minutes"]) * len(row["who"].split(" and ")) for row in rows(planned, "plan_sessions")]
    assert value(planned.plan["worker_hours"]) == pytest.approx(math.fsum(minutes) / 60, rel=0.01)


def test_nobody_is_planned_for_what_they_did_not_try(planned: SeasonTables) -> None:
    tried = defaultdict(set)
    data = farm()
    for row in (*data["sessions"], *data["helpers"]):
        session = next(s for s in data["sessions"] if s["session"] == row["session"])
        tried[session["method"]].add(row.get("person", "somebody"))
    for row in rows(planned, "plan_sessions"):
        assert set(row["who"].split(" and ")) <= tried[row["method"]]


@pytest.mark.slow
def test_heavy_work_is_no_longer_than_the_heart_and_vibration_allow() -> None:
    data = farm(longest_session=240, hours_per_week=9)
    data["season"]["value_of_time"] = 1
    beats = [0.0]
    for row in data["sessions"]:
        if row["method"] == "bow saw bucking":
            if row["person"] == "Jon":
                row.pop("mean_heart_rate", None)
            beats.append(row.get("mean_heart_rate", 0.0))
    # Mara with the bow saw at her hardest; at rest her heart beats 61 times, at most 181
    minutes = 60 * 26.12 * math.exp(-4.81 * (max(beats) - 61) / (181 - 61))
    assert 60 < minutes < 240
    found = rows(tables(data), "plan_mix")
    words = {row["method"]: row["who"] for row in found}
    assert f"Mara: {minutes:.0f} min (modeled time, by the heart)" in words["bow saw bucking"]
    # nobody's time is lent to Jon
    assert "Jon: 240 min (longest session; strain not known)" in words["bow saw bucking"]


def test_shopping_follows_from_what_was_recorded() -> None:
    data = farm(cash_limit=5000, hours_per_week=2)
    found = tables(data)
    mix = {row["method"]: value(row["volume"]) / CORD_M3 for row in rows(found, "plan_mix")}
    goods = {(row["item"], row["purpose"]): row for row in rows(found, "shopping")}
    chain = mix["chain saw bucking"]
    assert goods["new chain", "chain saw"]["words"] == f"the plan wears {chain / 9:.2f}"
    assert value(goods["new chain", "chain saw"]["cost"]) == 28 * math.ceil(chain / 9)
    gasoline = goods["gasoline, for the mix", "chain saw bucking"]
    oil = goods["two-stroke oil", "chain saw bucking"]
    assert value(gasoline["liquid"]) == pytest.approx(50 * value(oil["liquid"]))
    assert value(gasoline["cost"]) == pytest.approx(value(gasoline["liquid"]) * 3.4 / 3.785411784)
    total = math.fsum(value(row["cost"]) for row in rows(found, "shopping"))
    assert value(found.plan["to_buy"]) == pytest.approx(total)


def test_a_part_wears_by_the_hours_that_its_cost_goes_by() -> None:
    data = farm(cash_limit=5000, hours_per_week=2)
    data["upkeep"] = [row for row in data["upkeep"] if row["item"] == "round file"]
    (file,) = data["upkeep"]
    file |= {"every": 0.25, "per": "hours"}
    found = tables(data)
    chain = next(row for row in rows(found, "plan_mix") if row["method"] == "chain saw bucking")
    money = next(row for row in rows(found, "money_per_cord") if row["method"] == "chain saw bucking")
    (listed,) = (row for row in rows(found, "shopping") if row["item"] == "round file")
    worn = value(money["upkeep"]) / file["price"] * value(chain["volume"]) / CORD_M3
    assert listed["words"] == f"the plan wears {worn:.2f}"
    assert value(listed["pieces"]) == math.ceil(worn)


def test_no_wear_is_given_while_the_hours_of_a_tool_wait_for_a_cell() -> None:
    data = only_methods(farm(), "chain saw bucking", "maul splitting", "hand stacking")
    next(row for row in data["sessions"] if row["method"] == "chain saw bucking")["running_time"] = "long"
    listed = {row["item"]: row for row in rows(tables(data), "shopping")}
    for column in ("pieces", "cost"):
        assert listed["round file"][column].value is None
        assert listed["new chain"][column].value is not None


def test_goods_used_up_are_as_uncertain_as_the_sessions() -> None:
    found = tables(farm(cash_limit=5000, hours_per_week=2))
    bought = {(row["item"], row["purpose"]): row for row in rows(found, "shopping")}
    gasoline, oil = (bought[item, "chain saw bucking"] for item in ("gasoline, for the mix", "two-stroke oil"))
    for good in (gasoline, oil):
        for figure in (good["liquid"], good["cost"]):
            assert figure.low < figure.value < figure.high
        # the price adds its own doubt to that of the volume: three quarters to five quarters of it hold 95 %
        amount, cost = (math.log(good[key].high / good[key].value) for key in ("liquid", "cost"))
        assert cost == pytest.approx(math.hypot(amount, math.log(1.25)), rel=0.04)  # read from 4096 draws
        amount, cost = (math.log(good[key].value / good[key].low) for key in ("liquid", "cost"))
        assert cost == pytest.approx(math.hypot(amount, math.log(1 / 0.75)), rel=0.04)
    relative = [good["liquid"].high / good["liquid"].value for good in (gasoline, oil)]
    assert relative[0] == pytest.approx(relative[1])  # one mix
    chain = bought["new chain", "chain saw"]["cost"]
    assert (chain.low, words(chain.reason)) == (None, "at the price written")
    whole, parts = found.plan["to_buy"], [row["cost"] for row in rows(found, "shopping")]
    assert math.fsum(p.low or p.value for p in parts) < whole.low < whole.value
    assert whole.value < whole.high < math.fsum(p.high or p.value for p in parts)


def test_a_list_of_pieces_alone_has_no_ends() -> None:
    found = tables(only_methods(farm(cash_limit=5000), "bow saw bucking", "maul splitting"))
    assert {row["purpose"] for row in rows(found, "shopping")} <= {"bow saw", "sawbuck", "splitting maul"}
    assert words(found.plan["to_buy"].reason) == "at the price written"


@pytest.mark.slow
def test_a_tool_above_the_cash_limit_is_not_planned() -> None:
    (told,) = [one for one in computed_tables(checked(farm()))[1] if one.code == "plan-tool-over-limit"]
    assert re.findall(r"\d+ USD", told.text) == [f"{price} USD" for price in (690, 500)]
    assert "electric splitting" not in {row["method"] for row in rows(tables(farm()), "plan_mix")}
    rich = farm(cash_limit=5000, hours_per_week=2)
    assert "electric splitting" in {row["method"] for row in rows(tables(rich), "plan_mix")}
    assert "plan-tool-over-limit" not in codes(rich)


@together(("limit", "is_told"), [(None, False), (400, False), (399, True)])
def test_a_shopping_list_above_the_cash_limit_has_a_message_at_the_limit(limit: float | None, is_told: bool) -> None:
    """The plan keeps the limit by yearly cost; on the list the bow saw costs its whole price, 400 NOK."""
    data = trial_season()
    data["next_season"].pop("cash_limit")
    data["next_season"] |= {} if limit is None else {"cash_limit": limit}
    data["methods"], data["sessions"] = (
        [r for r in data[s] if r["method"] != "By chain saw"] for s in ("methods", "sessions")
    )
    told = [one for one in computed_tables(checked(data))[1] if one.code == "plan-outlay-over-limit"]
    assert [one.where for one in told] == [at("next_season.cash_limit")] * is_told
    assert [re.findall(r"\d+ NOK", one.text) for one in told] == [["400 NOK", "399 NOK"]] * is_told


def test_each_limit_has_its_use_or_the_reason_why_not() -> None:
    def used(data: Data, key: str = "used") -> dict[str, Any]:
        limits = rows(tables(data), "plan_limits")
        return {row["limit"]: getattr(row[key].reason, "id", None) or value(row[key]) for row in limits}

    data = trial_season()
    data["next_season"]["ready_by_date"] = "2026-11-30"  # 13 weeks of 10 hours from September 1
    assert used(data)["hours in all"] == pytest.approx(100 * value(tables(data).plan["worker_hours"]) / 130)
    assert set(used(data, "raise_alone").values()) == {Reason.NOT_NEEDED}
    data["next_season"] |= {"hours_per_week": 0, "cash_limit": 0}
    assert used(data)["cash of the year"] is Reason.LIMIT_IS_ZERO
    assert set(used(data, "raise_alone").values()) == {Reason.LIMIT_IS_ZERO, Reason.NOT_ENOUGH_ALONE}
    assert {row["made"].reason.id for row in rows(tables(data), "plan_volumes")} == {Reason.NO_LIMIT_ALLOWS}
    for tool in data["tools"]:
        del tool["price"]
    assert used(data)["cash of the year"] is Reason.CASH_NOT_CHECKED


@pytest.mark.slow
def test_a_shortfall_is_given_with_the_ways_out() -> None:
    found = tables(farm(hours_per_week=1))
    assert 0 < value(found.plan["volume_planned"]) < 5 * CORD_M3
    assert value(found.plan["shortfall"]) > 0
    assert "hours in all" in found.plan["limits"]
    hours = next(row for row in rows(found, "plan_limits") if row["limit"] == "hours in all")
    raised = 1 + value(hours["raise_alone"]) / 100
    assert f"{raised:g} hours of work a week, not 1" in found.plan["ways"]
    enough, short = (tables(farm(hours_per_week=n)) for n in (raised, raised - 0.5))
    assert value(enough.plan["shortfall"]) == 0 < value(short.plan["shortfall"])
    planned = [value(tables(farm(hours_per_week=h)).plan["volume_planned"]) for h in (0.5, 1, 2, 4, 8)]
    assert planned == sorted(planned)


@pytest.mark.slow
def test_half_the_wood_needs_half_if_nothing_is_scarce() -> None:
    half, whole, double = rows(tables(farm(hours_per_week=40)), "plan_volumes")
    for key in ("volume", "made", "worker_hours", "cash", "kcal_net", "co2e"):
        assert value(half[key]) == pytest.approx(value(whole[key]) / 2, rel=1e-6, abs=1e-9)
        assert value(double[key]) == pytest.approx(value(whole[key]) * 2, rel=1e-6, abs=1e-9)


BAD: list[tuple[dict[str, Any], str, str, Callable[[SeasonTables], bool]]] = [
    (
        {"hours_per_week": 0},
        "plan-zero-hours",
        "Next season",
        lambda t: t.plan["worker_hours"].value > 0 and t.plan["last_session"] == "0 hours a week",
    ),
    (
        {"hours_per_week": None},
        "plan-no-hours",
        "Next season",
        lambda t: t.plan["worker_hours"].value > 0 and t.plan["sessions_n"] == 0,
    ),
    (
        {"ready_by_date": "2026-01-31"},
        "plan-dates-reversed",
        "Next season",
        lambda t: words(t.plan["last_session"]) == "Stacked by is before Start" and t.tables["plan_sessions"] == [],
    ),
    (
        {"start_date": "2025-01-03", "ready_by_date": "2025-01-31"},
        "plan-dates-past",
        "Next season",
        lambda t: t.plan["cash"].value > 0 and t.tables["plan_sessions"] != [],
    ),
    (
        {"start_date": None},
        "plan-no-dates",
        "Next season",
        lambda t: t.plan["cash"].value > 0 and t.tables["plan_sessions"] == [],
    ),
    (
        {"volume_wanted": None, "heat_loss": 200},
        "plan-no-volume",
        "Next season",
        lambda t: words(t.plan["last_session"]) == "no degree days of a usual winter",
    ),
    (
        {"volume_wanted": None},
        "plan-no-volume",
        "Next season",
        lambda t: words(t.plan["cash"].reason) == "no wood wanted is written" and t.tables["plan_mix"] == [],
    ),
]


@pytest.mark.slow
@pytest.mark.parametrize(("changes", "code", "sheet", "still"), few(BAD, BAD[-1]), ids=[case[1] for case in BAD])
def test_a_missing_figure_is_named_and_the_rest_still_given(
    changes: dict[str, Any], code: str, sheet: str, still: Callable[[SeasonTables], bool]
) -> None:
    data = farm(**changes)
    assert codes(data)[code].split("!")[0] == sheet
    assert "!" in codes(data)[code]
    assert still(tables(data))


def test_a_broken_item_keeps_the_plan_back_and_names_its_cell() -> None:
    found = tables(farm(hours_per_week=9999))
    assert words(found.plan["volume_planned"].reason).startswith("needs Next season!")


@pytest.mark.slow
def test_a_task_without_a_session_is_named() -> None:
    data = only_methods(farm(), "bow saw bucking", "chain saw bucking", "maul splitting", "electric splitting")
    assert "plan-task-without-method" in codes(data)
    found = tables(data)
    assert found.plan["sessions_n"] > 0


@pytest.mark.slow
def test_a_task_whose_sessions_wait_for_a_cell_does_not_count_as_untried() -> None:
    data = farm()
    for session in data["sessions"]:
        if session["method"] == "hand stacking":
            session["elapsed_time"] = 9999
    assert tables(data).plan["sessions_n"] > 0
    assert "plan-task-without-method" not in codes(data)


def left_out(found: SeasonTables) -> list[tuple[str, str, str]]:
    """Methods that are left out for everybody, with the reason and what it is about."""
    return [(one.method, one.reason.key, words(one.detail)) for one in found.plan["left_out"] if not one.person]


def without_price(*tools: int, **changes: Any) -> Data:
    """The farm with the price of some tools not written: 0 is the bow saw, 2 the chain saw, 3 the maul."""
    data = farm(**changes)
    for number in tools:
        del data["tools"][number]["price"]
    return data


@pytest.mark.slow
def test_the_plan_names_the_methods_it_leaves_out_and_why() -> None:
    data = without_price(2)
    found = tables(data)
    assert "chain saw bucking" not in {row["method"] for row in rows(found, "plan_mix")}
    assert left_out(found) == [
        ("chain saw bucking", "no_figure", "no cash to compare with its limit: needs the price of chain saw"),
        ("electric splitting", "over_cash_limit", ""),
    ]
    assert "plan-method-left-out" in codes(data)
    assert "plan-method-left-out" not in codes(farm())
    assert value(found.plan["cash"]) <= 500


def without_tools(*methods: str) -> Data:
    """The farm with methods that name no tool and record no electricity."""
    data = farm(cash_limit=5000)
    for method in data["methods"]:
        if method["method"] in methods:
            del method["tool_1"]
    for session in data["sessions"]:
        if session["method"] in methods:
            session.pop("electricity_used", None)
    return data


def test_a_method_without_its_tool_is_not_compared_in_money_and_carbon() -> None:
    """Each hour is worth 18. Nobody splits with bare hands, but many stack so."""
    found = tables(without_tools("maul splitting", "hand stacking"))
    maul, stacking = (
        next(row for row in rows(found, "rates_per_cord") if row["method"] == name)
        for name in ("maul splitting", "hand stacking")
    )
    assert value(maul["own_time"]) == pytest.approx(18 * value(maul["worker_hours"]))
    assert (maul["cash"].value, words(maul["cash"].reason)) == (None, "no tool is named")
    assert (value(stacking["cash"]), value(stacking["co2e"])) == (0, 0)
    (left,) = [row for row in found.plan["left_out"] if row.method == "maul splitting"]
    assert words(left.detail) == "no cash to compare with its limit: no tool is named"
    assert {row["method"] for row in rows(found, "plan_mix") if row["task"] == "splitting"} == {"electric splitting"}
    assert found.plan["limits"] == "all limits are kept"


@pytest.mark.slow
def test_a_plan_whose_limits_cannot_be_checked_does_not_say_that_they_are_kept() -> None:
    found = tables(without_tools("maul splitting", "electric splitting"))
    assert words(found.plan["cash"].reason).endswith("splitting: no tool is named")
    assert found.plan["limits"] == "all limits that can be checked are kept; not checked: cash of the year and CO2"
    wanted = next(row for row in rows(found, "plan_volumes") if row["what"] == "as wanted")
    assert wanted["limits"] == "within all limits that can be checked"
    within = next(row for row in rows(tables(farm(cash_limit=5000)), "plan_volumes") if row["what"] == "as wanted")
    assert within["limits"] == "within all limits"


@pytest.mark.parametrize("dates", few([{}, {"start_date": None}]))
def test_wood_below_the_tolerance_of_the_solver_is_planned_like_any_other(dates: Data) -> None:
    found = tables(farm(volume_wanted=3e-9, **dates))
    mix = rows(found, "plan_mix")
    made = math.fsum(value(row["volume"]) for row in mix)
    assert made == pytest.approx(3e-9 * CORD_M3 * len({row["task"] for row in mix}), rel=1e-5)
    assert {row["task"] for row in mix} == {"bucking", "splitting", "stacking"}


def test_an_empty_sheet_asks_for_no_plan() -> None:
    data = small_season()
    assert not [code for code in codes(data) if code.startswith("plan-")]
    found = tables(data)
    assert words(found.plan["cash"].reason) == "the sheet Next season is empty"
    assert len(found.tables["combinations"]) == 5


@pytest.mark.slow
def test_decisions_do_not_depend_on_the_units_typed() -> None:
    data = farm()
    metric = copy.deepcopy(data)
    metric["units"]["next_season"]["volume_wanted"] = "stacked m3"
    metric["next_season"]["volume_wanted"] = 5 * CORD_M3
    metric["units"]["next_season"]["carbon_limit"] = "kg"
    metric["next_season"]["carbon_limit"] = 220 * 0.45359237
    metric["units"]["next_season"]["longest_session"] = "h"
    metric["next_season"]["longest_session"] = 2.5
    metric["units"]["cuts"]["diameter"] = "cm"
    metric["units"]["season"]["stick_length"] = "cm"
    metric["season"]["stick_length"] = 16 * 2.54
    for cut in metric["cuts"]:
        cut["diameter"] *= 2.54
        if "second_diameter" in cut:
            cut["second_diameter"] *= 2.54
    metric["units"]["cuts"]["second_diameter"] = "cm"
    one, other = tables(data), tables(metric)
    for table, keys in (
        ("verdicts", ("task", "kind", "choice", "surety")),
        ("combinations", ("best_for", "methods")),
        ("plan_sessions", ("date", "who", "method")),
        ("plan_mix", ("method", "who")),
    ):
        left = [[row[key] for key in keys] for row in one.tables[table]]
        assert left == [[row[key] for key in keys] for row in other.tables[table]]
        assert left


def cabin(**changes: Any) -> Data:
    """The invented lake cabin, its woodshed empty; it states its need by last winter's wood."""
    data = demo("lake_cabin_metric") | {"woodshed": []}
    data["next_season"] |= changes
    return data


@pytest.mark.slow
def test_the_need_of_the_winter_replaces_a_volume_that_is_not_written() -> None:
    found = tables(cabin())
    # 12 stacked m3 burned in a winter of 4020 degree days, the next of 4250
    assert value(found.plan["volume_wanted"]) == pytest.approx(12 * 4250 / 4020)
    assert words(found.plan["volume_wanted"].basis) == "Last winter's wood"
    assert found.plan["sessions_n"] > 0


@pytest.mark.slow
@pytest.mark.parametrize(
    ("volume", "is_told"), few([(12, False), (7, False), (6, True), (26, True), (24, False)], (7, False))
)
def test_wood_wanted_and_heat_needed_may_not_differ_by_a_factor_of_two(volume: float, is_told: bool) -> None:
    assert ("plan-need-disagrees" in codes(cabin(volume_wanted=volume))) is is_told
    assert value(tables(cabin(volume_wanted=volume)).plan["volume_wanted"]) == pytest.approx(volume)


@pytest.mark.slow
def test_a_plan_says_when_its_wood_is_dry_enough(planned: SeasonTables) -> None:
    # the last session in May 2026, and red oak seasons for 24 months
    assert planned.plan["last_session"].startswith("2026-05")
    assert planned.plan["seasoned"].startswith("about May 2028, split and covered over a summer (")
    assert "; northern red oak 24 months" in planned.plan["seasoned"]
    undated = tables(farm(start_date=None)).plan["seasoned"]
    assert undated.startswith("after the last session: ")
    data = farm()
    data["wood"] = []
    assert tables(data).plan["seasoned"].startswith("at a time that is not known")


def test_vibration_counts_only_while_the_tool_runs() -> None:
    data = farm(longest_session=240, hours_per_week=9)
    data["season"]["value_of_time"] = 400
    for tool in data["tools"]:
        if tool["tool"] == "chain saw":
            tool["vibration"] = 10  # the action value is reached in half an hour of running
    for row in data["sessions"]:
        if row["method"] == "chain saw bucking":
            for column in ("start", "stop", "delay_time"):
                row.pop(column, None)
            row |= {"elapsed_time": 60, "running_time": 30}
    words = {row["method"]: row["who"] for row in rows(tables(data), "plan_mix")}
    assert "60 min" in words["chain saw bucking"]
    assert "vibration" in words["chain saw bucking"]


@pytest.mark.parametrize("task", ["fell", "limb"])
@pytest.mark.parametrize(
    ("adults", "crew_n", "crews"),
    [
        ((), 1, []),
        (("Cy",), 1, [(("Ada",), ("Cy",))]),
        (("Bo",), 2, []),
        (("Bo", "Cy"), 2, [(("Ada", "Bo"), ("Cy",))]),
    ],
)
def test_nobody_fells_or_limbs_by_hand_out_of_sight(
    task: str, adults: tuple[str, ...], crew_n: int, crews: list[Any]
) -> None:
    data = small_season()
    data["methods"][0] |= {"task": task, "crew": crew_n}
    data["people"] += [{"person": name, "age": 30} for name in adults]
    data["helpers"].append({"session": "A", "person": "Bo", "time": 90})
    data["next_season"] = {"people_available": 3}
    assert [(one.crew.people, one.crew.in_sight) for one in crews_of(data, "By bow saw")] == crews


def test_a_day_of_felling_is_watched_at_both_saws_and_begins_with_the_powered_one() -> None:
    data = undecided()
    for method in data["methods"]:
        method["task"] = "fell" if method["task"] == "buck" else method["task"]
    (first, *_) = rows(tables(data), "trials")
    assert (first["first"], first["then"]) == ("chain saw bucking", "bow saw bucking")
    assert first["in_sight"] == "Mara at chain saw bucking; Mara at bow saw bucking"


def test_no_session_is_planned_so_long_that_its_strain_would_be_very_high() -> None:
    """Above 50 % of the reserve two hours are the line, though the modeled time is 136 min."""
    data = small_season()
    data["people"][0]["max_heart_rate"] = 180
    data["units"]["people"]["max_heart_rate"] = "beats/min"
    data["sessions"][0]["mean_heart_rate"] = 121
    data["next_season"] = {"longest_session": 240}
    data["units"]["next_season"] = {"longest_session": "min"}
    (ada,) = (one for one in crews_of(data, "By bow saw") if one.crew.people == ("Ada",))
    assert (ada.crew.longest_min, words(ada.limited_by)) == (120, "longer would count as very high strain")
    data["sessions"][0] |= {"elapsed_time": ada.crew.longest_min, "date": "2026-03-09"}
    (row,) = (row for row in rows(tables(data), "strain") if row["session"] == "A")
    assert row["strain"] == "high"


def test_vibration_of_a_splitter_counts_while_it_runs_during_stacking() -> None:
    data = farm()
    for tool in data["tools"]:
        if tool["tool"] == "electric splitter":
            tool["vibration"] = 10  # the action value is reached in half an hour of running
    for row in data["sessions"]:
        if row["method"] == "electric splitting":
            for column in ("start", "stop", "delay_time", "service_time"):
                row.pop(column, None)
            row |= {"elapsed_time": 60, "running_time": 50, "stacking_time": 20}
    (minutes,) = {one.crew.longest_min for one in crews_of(data, "electric splitting")}
    assert minutes == pytest.approx(30 * 40 / 50)


def test_nothing_is_bought_for_a_millionth_of_the_wood() -> None:
    """Where the limit ends a plan, its rounding leaves room for dust of the method that the verdict prefers."""
    data = farm(cash_limit=300)
    for tool in ("bow saw", "splitting maul", "chain saw"):
        data["upkeep"].append({"tool": tool, "item": "much", "price": 100, "every": 1, "per": "cords"})
    found = tables(data)
    made = [value(row["volume"]) for row in rows(found, "plan_mix")]
    assert min(made) > 1e-3 * max(made)
    assert {row["purpose"] for row in rows(found, "shopping")}.isdisjoint({"chain saw", "chain saw bucking"})


def test_a_very_long_list_names_the_first_and_sums_up_the_others() -> None:
    data = farm()
    for number_of in range(60):
        data["upkeep"].append(
            {"tool": "bow saw", "item": f"Part {number_of}", "price": 2, "every": 1, "per": "years"}
        )
    data["season"]["value_of_time"] = 0.01
    page = plan_page(View(document(checked(data))))
    assert page is not None
    told = "\n".join(text for _, cells in page.rows() for _, text in cells).replace("\N{NO-BREAK SPACE}", " ")
    assert "Part 18" in told
    assert "Part 19" not in told
    assert "and 41 more, $82 (sheet Figures)" in told
