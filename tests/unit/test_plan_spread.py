"""The calendar of a plan: beside the best of all calendars on small cases, and by days, wishes and rented tools."""

from __future__ import annotations

import datetime as dt
import itertools
import math
import random
from collections import defaultdict
from collections.abc import Mapping
from typing import Any, NamedTuple

import pytest
from builders import Data, checked, tables, value
from few import few
from test_plan import CORD_M3, farm, rows

from wood_xl.money.inputs import spells
from wood_xl.notes.typed import days_of_text
from wood_xl.pipeline import computed_tables
from wood_xl.plan import next_season
from wood_xl.plan.calendar import Block, Crew, Rules, Visit
from wood_xl.plan.inputs import PlanInputs, Rent
from wood_xl.plan.plan import CASH, Plan, _with_calendar, plan
from wood_xl.plan.spread import sessions
from wood_xl.plan.trials import plan_with_trials
from wood_xl.reasons import given
from wood_xl.results.document import left_out_rows
from wood_xl.schema.words import words
from wood_xl.season import SeasonTables

STEP = 30  # minutes of a unit of work in the small cases
LONG_AGO = -9


class Small(NamedTuple):
    """A season small enough to try all calendars: units of work of each task, who can do it, whether it is hard."""

    units: tuple[int, ...]
    crews: tuple[tuple[str, ...], ...]
    hard: tuple[bool, ...]
    people_n: int
    weekdays: tuple[int, ...]
    weeks_n: int
    week_units: int
    longest: int

    @property
    def days(self) -> list[int]:
        return [day for day in range(5, 5 + 7 * self.weeks_n) if day % 7 in self.weekdays]


def small(rng: random.Random) -> Small:
    people = ("A", "B")[: rng.randint(1, 2)]
    tasks_n = rng.randint(1, 2)
    return Small(
        units=(rng.randint(1, 6),) * tasks_n,
        crews=tuple(tuple(sorted(rng.sample(people, rng.randint(1, len(people))))) for _ in range(tasks_n)),
        hard=tuple(rng.random() < 0.7 for _ in range(tasks_n)),
        people_n=rng.randint(1, 2),
        weekdays=rng.choice([(5, 6), (5, 2), (5,), (5, 2, 0), (5, 6, 0)]),
        weeks_n=rng.randint(1, 3),
        week_units=rng.randint(1, 6),
        longest=rng.randint(1, 2),
    )


def can_be(case: Small, most: int) -> bool:
    """Whether any calendar at all does the whole work with so many units in a week: all of them are tried."""
    people = sorted({person for crew in case.crews for person in crew})
    tried = set()

    def from_day(at: int, done: tuple[int, ...], hard_on: tuple[int, ...], used: int) -> bool:
        if done == case.units:
            return True
        if at == len(case.days):
            return False
        day = case.days[at]
        if at and (day - 5) // 7 != (case.days[at - 1] - 5) // 7:
            used = 0
        if (at, done, hard_on, used) in tried:
            return False
        tried.add((at, done, hard_on, used))
        choices = [
            [(0, 0)]
            + [
                (task, units)
                for task, crew in enumerate(case.crews)
                if person in crew and not (case.hard[task] and hard_on[who] == day - 1)
                for units in range(1, case.longest + 1)
            ]
            for who, person in enumerate(people)
        ]
        for chosen in itertools.product(*choices):
            made = tuple(n + sum(u for t, u in chosen if t == task) for task, n in enumerate(done))
            today = used + sum(units for _, units in chosen)
            is_ready = all(made[task] <= done[task - 1] for task in range(1, len(made)) if made[task] > done[task])
            fits = today <= most and sum(u > 0 for _, u in chosen) <= case.people_n
            if not fits or not is_ready or any(n > all_ for n, all_ in zip(made, case.units, strict=True)):
                continue
            hard = tuple(day if u and case.hard[t] else hard_on[who] for who, (t, u) in enumerate(chosen))
            if from_day(at + 1, made, hard, today):
                return True
        return False

    return from_day(0, (0,) * len(case.units), (LONG_AGO,) * len(people), 0)


def planned(case: Small) -> list[Visit]:
    blocks = [
        Block(
            task, f"task {task}", float(units), STEP / 60, tuple(crew_of(case, task, one) for one in case.crews[task])
        )
        for task, units in enumerate(case.units)
    ]
    rules = Rules(case.week_units * STEP, case.people_n, case.weekdays, STEP, STEP)
    return sessions(blocks=blocks, first_day=5, last_day=4 + 7 * case.weeks_n, rules=rules)


def crew_of(case: Small, task: int, person: str) -> Crew:
    return Crew((person,), case.longest * STEP, hard=frozenset({person}) if case.hard[task] else frozenset())


def test_the_calendar_is_as_even_as_the_best_of_all_calendars() -> None:
    """All the work is placed wherever it can be; the fullest week is the best one's, or a shortest session more."""
    rng, evenest, whole_n = random.Random(7), 0, 0  # noqa: S311
    for _ in range(250):
        case = small(rng)
        visits = planned(case)
        weeks: dict[int, float] = defaultdict(float)
        for visit in visits:
            weeks[(visit.day - 5) // 7] += visit.minutes / STEP
        is_whole = sum(v.cords for v in visits) == pytest.approx(sum(case.units))
        assert is_whole == can_be(case, case.week_units), case
        if is_whole:
            whole_n += 1
            fullest = round(max(weeks.values()))
            assert not can_be(case, fullest - 2), case
            evenest += not can_be(case, fullest - 1)
    assert whole_n > 80
    assert evenest > 0.8 * whole_n


def dated(found: SeasonTables) -> dict[str, set[dt.date]]:
    days: dict[str, set[dt.date]] = defaultdict(set)
    for row in rows(found, "plan_sessions"):
        for person in row["who"].split(" and "):
            days[person].add(dt.date.fromisoformat(row["date"]))
    return days


def minutes_of_weeks(found: SeasonTables) -> list[float]:
    weeks: dict[int, float] = defaultdict(float)
    for row in rows(found, "plan_sessions"):
        week = (dt.date.fromisoformat(row["date"]) - dt.date(2026, 2, 14)).days // 7
        weeks[week] += value(row["minutes"]) * len(row["who"].split(" and "))
    return [weeks[week] for week in range(max(weeks) + 1)]


def test_the_work_of_a_season_is_spread_to_the_ready_by_day() -> None:
    found = tables(farm(hours_per_week=20))
    weeks = minutes_of_weeks(found)
    assert len(weeks) == 16
    assert max(weeks) <= sum(weeks) / 16 + 15
    assert min(weeks[:-1]) >= sum(weeks) / 16 - 15


@pytest.mark.parametrize(
    ("typed", "weekdays"), few([("Sat Sun", {5, 6}), ("tue, Thursday", {1, 3}), ("any day", set(range(7)))])
)
def test_work_is_on_workdays_and_nobody_works_hard_two_days_running(typed: str, weekdays: set[int]) -> None:
    data = farm(hours_per_week=12, ready_by_date="2026-04-30")
    data["trial"] = {"work_days": typed}
    days = dated(tables(data))
    assert {"Mara", "Jon"} <= days.keys()
    for own in days.values():
        assert {day.weekday() for day in own} <= weekdays
        assert not own & {day + dt.timedelta(1) for day in own}


def test_days_that_cannot_be_read_keep_the_plan_back() -> None:
    data = farm()
    data["trial"] = {"work_days": "Satday Xun"}
    assert tables(data).plan["limits"].startswith("needs Start!")


def left_out(data: Data) -> dict[tuple[str, str], str]:
    found = left_out_rows(tables(data).plan["left_out"])
    return {(row["person"], row["method"]): f"{words(row['why'])} ({row['change']})" for row in found}


@pytest.mark.slow
def test_nobody_is_planned_for_a_method_they_leave_to_others() -> None:
    data = farm()
    mara = next(person for person in data["people"] if person["person"] == "Mara")
    mara["leaves"] = "maul splitting"
    found = tables(data)
    assert {r["who"] for r in rows(found, "plan_sessions") if r["method"] == "maul splitting"} == {"Jon"}
    assert left_out(data)["Mara", "maul splitting"] == "leaves it to others (People, Leaves to others of Mara)"


@pytest.mark.slow
def test_a_method_for_two_is_done_by_two() -> None:
    data = farm()
    for method in data["methods"]:
        if method["method"] in ("hand stacking", "maul splitting"):
            method["crew"] = 2
    assert left_out(data)["", "maul splitting"] == (
        "it takes more people than have done it together here, or than can be there"
        " (Methods, People it takes of maul splitting)"
    )
    data["next_season"]["cash_limit"] = 5000  # for the splitter, which one person can use
    found = tables(data)
    by_two = {r["who"] for r in rows(found, "plan_sessions") if r["method"] == "hand stacking"}
    assert by_two == {"Mara and Jon", "Mara and Eli"}  # as they did it in the trial


@pytest.mark.slow
def test_everybody_works_or_is_named_with_the_reason() -> None:
    data = farm(volume_wanted=0.1)
    data["people"] = [*data["people"], {"person": "Nora", "age": 30}]
    jon = next(person for person in data["people"] if person["person"] == "Jon")
    jon["leaves"] = "chain saw bucking; bow saw bucking; maul splitting"
    named, busy = left_out(data), dated(tables(data)).keys()
    assert busy == {"Mara", "Eli"}
    assert named["Nora", ""] == "did none of what is planned, or only as a helper ()"
    assert named["Jon", ""] == "not needed: the others do all of it within the limits ()"  # he stacked with Mara


def only_electric(held: str) -> Data:
    """Nobody splits with the maul, so that all is split with the electric splitter, which one has in that way."""
    data = farm(hours_per_week=8, cash_limit=5000)
    splitter = next(one for one in data["tools"] if one["tool"] == "electric splitter")
    splitter.update({"held": held} | ({"rent": 60, "rent_per": "day"} if held == "rented" else {}))
    for person in data["people"]:
        person["leaves"] = "maul splitting"
    return data


@pytest.mark.slow
def test_a_rented_tool_is_used_on_the_fewest_days() -> None:
    hours, days = list[float](), list[int]()
    for held in ("rented", "own"):
        found = tables(only_electric(held))
        split = [row for row in rows(found, "plan_sessions") if row["method"] == "electric splitting"]
        hours.append(sum(value(row["minutes"]) / 60 * len(row["who"].split(" and ")) for row in split))
        days.append(len({row["date"] for row in split}))
        assert value(found.plan["shortfall"]) == 0
        assert minutes_of_weeks(found)
        assert max(minutes_of_weeks(found)) <= 8 * 60
    assert hours[0] == pytest.approx(hours[1], rel=0.05)
    most_of_a_day = 2 * 150 / 60  # two people, each in one session no longer than the longest
    assert days[0] == -(-hours[0] // most_of_a_day)
    assert days[1] > 2 * days[0]


def rented_for(rent: float, *, per: str = "day", hour: float = 90, **wish: Any) -> Data:
    """The electric splitter is rented, and an hour worth so much that it splits as far as the cash allows."""
    data = farm(**{"hours_per_week": 8, **wish})
    data["season"]["value_of_time"] = hour
    splitter = next(one for one in data["tools"] if one["tool"] == "electric splitter")
    splitter.pop("price")
    splitter.update(held="rented", rent=rent, rent_per=per)
    return data


def days_of_rent(found: SeasonTables) -> set[str]:
    return {row["date"] for row in rows(found, "plan_sessions") if row["method"] == "electric splitting"}


def rented_days(found: SeasonTables) -> int:
    return len(days_of_rent(found))


@pytest.mark.parametrize(
    ("hours", "cords", "ready_by", "most"), few([(20, 8, "2026-05-31", 1), (8, 8, "2026-03-29", 3)])
)
def test_a_tool_rented_by_the_week_is_used_in_the_fewest_weeks(
    hours: float, cords: float, ready_by: str, most: int
) -> None:
    """Its weeks are filled once its wood is gathered; where time is short it may cost less not to wait for all."""
    wish = {"volume_wanted": cords, "hours_per_week": hours, "cash_limit": None, "carbon_limit": None}
    data = rented_for(160, per="week", ready_by_date=ready_by, **wish)
    for person in data["people"]:
        person["leaves"] = "maul splitting"
    found = tables(data)
    assert value(found.plan["shortfall"]) == 0
    assert 1 <= spells(days_of_rent(found), 7) <= most


def test_the_cash_of_a_plan_includes_the_rent_of_its_own_days() -> None:
    cheap, dear = (tables(rented_for(rent)) for rent in (40, 41))
    assert rented_days(cheap) == rented_days(dear) > 0
    assert value(dear.plan["cash"]) - value(cheap.plan["cash"]) == pytest.approx(rented_days(cheap))


def test_the_rent_of_its_days_keeps_a_plan_within_the_limit_on_cash() -> None:
    free, limited, tight = (tables(rented_for(40, volume_wanted=10, cash_limit=limit)) for limit in (1000, 200, 150))
    assert value(free.plan["cash"]) > 280
    assert 190 < value(limited.plan["cash"]) <= 200 * (1 + 1e-5)
    assert value(tight.plan["cash"]) <= 150 * (1 + 1e-5)
    assert [value(found.plan["shortfall"]) for found in (free, limited, tight)] == [0, 0, 0]
    assert rented_days(limited) > rented_days(tight) == 0
    assert "the rent of their days goes beyond the limit on cash" in words(tight.plan["trials"])


def test_a_rent_above_the_limit_on_cash_leaves_the_splitting_to_the_maul() -> None:
    """The limit has no room for a single week of it, but for all that is done by other tools."""
    data = rented_for(160, per="week", hour=900, cash_limit=150, carbon_limit=None)
    for person in data["people"]:
        person["leaves"] = "bow saw bucking"
    found = tables(data)
    assert value(found.plan["shortfall"]) == 0
    assert rented_days(found) == 0
    assert 100 < value(found.plan["cash"]) <= 150
    assert {row["method"] for row in rows(found, "plan_mix")} >= {"maul splitting", "chain saw bucking"}
    assert "The limit on cash of the year makes it so." in found.plan["departures"]


@pytest.mark.parametrize(
    ("rent", "per", "limit"), few([(160, "week", 500), (160, "week", 270), (40, "week", 250), (40, "day", 300)])
)
def test_a_limit_on_cash_that_is_kept_does_not_bind(rent: float, per: str, limit: float) -> None:
    """By the rates of the short sessions splitting it all would go beyond the limit; by full days it does not."""
    hour = 900 if rent == 160 else 300
    wish = {"hour": hour, "hours_per_week": 20, "carbon_limit": None}
    limited, free = (tables(rented_for(rent, per=per, cash_limit=most, **wish)) for most in (limit, None))
    assert value(limited.plan["cash"]) == pytest.approx(value(free.plan["cash"]))
    assert value(limited.plan["cash"]) <= limit
    assert limited.plan["departures"] == free.plan["departures"] == "It follows the verdict of every task."


@pytest.mark.parametrize("limit", few([None, 250]))
def test_the_rent_of_its_days_is_in_the_cash_of_every_table(limit: float | None) -> None:
    found = tables(rented_for(160, per="week", hour=900, hours_per_week=20, cash_limit=limit, carbon_limit=None))
    cash = value(found.plan["cash"])
    assert cash > 160 * spells(days_of_rent(found), 7)
    assert math.fsum(value(row["cash"]) for row in rows(found, "plan_mix")) == pytest.approx(cash)
    (as_wanted,) = (row for row in rows(found, "plan_volumes") if words(row["what"]) == "as wanted")
    assert value(as_wanted["cash"]) == pytest.approx(cash)


def two_rented(per: str, rents: tuple[float, float], **wish: Any) -> Data:
    """Chain saw and splitter are both rented; an hour is worth so much that the verdicts ask for the saw."""
    data = rented_for(rents[1], per=per, **{"carbon_limit": None, **wish})
    saw = next(one for one in data["tools"] if one["tool"] == "chain saw")
    for name in ("price", "worth_today", "resale"):
        saw.pop(name, None)
    saw.update(held="rented", rent=rents[0], rent_per=per)
    return data


TWO_RENTED = [
    ("day", (50, 60), 8, 150),
    ("day", (50, 60), 4, 150),
    ("week", (150, 180), 8, 250),
    ("day", (50, 60), 3, 150),
]


@pytest.mark.parametrize(("per", "rents", "hours", "limit"), few(TWO_RENTED))
def test_no_mix_of_a_grid_with_its_own_calendar_is_nearer_to_the_verdicts_within_the_cash(
    per: str, rents: tuple[float, float], hours: float, limit: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun = list[PlanInputs]()
    monkeypatch.setattr(
        next_season, "plan_with_trials", lambda inputs, _: begun.append(inputs) or plan_with_trials(inputs, [])
    )
    computed_tables(checked(two_rented(per, rents, hours_per_week=hours, cash_limit=limit)))
    (inputs,) = begun

    def more(mix: Mapping[str, float]) -> float:
        return math.fsum(inputs.aims[inputs.task_of(name)].costs[name] * made for name, made in mix.items())

    found, parts = plan(inputs), [n / 12 for n in range(13)]
    assert found.cords == pytest.approx(inputs.cords)
    assert found.used[CASH] <= limit * (1 + 1e-5)
    tried = []
    for by_saw, by_splitter in itertools.product(parts, parts):
        shares = {
            "bow saw bucking": 1 - by_saw,
            "chain saw bucking": by_saw,
            "maul splitting": 1 - by_splitter,
            "electric splitting": by_splitter,
            "hand stacking": 1.0,
        }
        mix = {name: share * inputs.cords for name, share in shares.items() if share}
        cash = {CASH: math.fsum(given(inputs.rate(name, "cash")) * made for name, made in mix.items())}
        if more(mix) < more(found.by_method):
            placed = _with_calendar(inputs, Plan(inputs.cords, inputs.cords, mix, cash, None))
            tried += [mix] if placed.is_whole and not placed.is_over_cash(inputs) else []
    assert not tried


def test_a_tool_for_rent_never_reduces_the_wood() -> None:
    data, without = (two_rented("day", (50, 60), hours_per_week=3, cash_limit=80) for _ in range(2))
    for person in without["people"]:
        person["leaves"] = "chain saw bucking; electric splitting"
    made = [value(tables(one).plan["volume_planned"]) for one in (data, without)]
    assert made[0] >= made[1] * 0.995 > 0


def test_two_rented_tools_are_each_used_on_the_fewest_days() -> None:
    wish = {"hour": 300, "hours_per_week": 20, "cash_limit": None, "ready_by_date": "2026-03-29"}
    found = tables(two_rented("day", (60, 40), people_available=3, **wish))
    for method in ("chain saw bucking", "electric splitting"):
        hours = defaultdict[str, float](float)
        for row in rows(found, "plan_sessions"):
            if row["method"] == method:
                hours[row["date"]] += value(row["minutes"]) / 60 * len(row["who"].split(" and "))
        assert len(hours) == math.ceil(sum(hours.values()) / max(hours.values()))


def test_without_dates_rent_counts_whole_weeks() -> None:
    wish = {"volume_wanted": 8, "start_date": None, "ready_by_date": None, "carbon_limit": None, "cash_limit": None}
    dear, cheap = (value(tables(rented_for(n, per="week", hour=900, **wish)).plan["cash"]) for n in (100, 90))
    weeks = (dear - cheap) / 10
    assert weeks == pytest.approx(round(weeks), abs=1e-6)


def test_without_dates_rent_counts_at_least_one_period() -> None:
    wish = {"volume_wanted": 0.5, "start_date": None, "ready_by_date": None, "carbon_limit": None}
    dear, cheap, tight = (
        tables(rented_for(rent, per="week", hour=900, cash_limit=limit, **wish))
        for rent, limit in ((100, None), (90, None), (100, 99))
    )
    cash = {
        rent: [value(row["cash"]) for row in (*rows(found, "plan_mix"), *rows(found, "plan_volumes")[:2])]
        for rent, found in ((100, dear), (90, cheap))
    }
    more = [one - other for one, other in zip(cash[100], cash[90], strict=True)]
    assert sorted(more)[-3:] == pytest.approx([10, 10, 10])  # of the splitter, for half of it and for all
    assert value(dear.plan["cash"]) - value(cheap.plan["cash"]) == pytest.approx(10)
    assert "electric splitting" not in {row["method"] for row in rows(tight, "plan_mix")}
    assert value(tight.plan["shortfall"]) == 0


def test_methods_share_the_rent_of_a_tool_by_use() -> None:
    """Both on one day, which is paid once: a third as much for the one as for the other."""
    shared = Rent(100.0, 1, {"one": 10.0, "other": 30.0})
    day = {"one": {8}, "other": {8}}
    assert shared.more({"one": 1.0, "other": 1.0, "hand": 1.0}, day) == {"one": 15.0, "other": 45.0}


def test_if_only_a_rented_tool_splits_the_cash_limit_ends_the_wood() -> None:
    data = rented_for(90, cash_limit=200)
    for person in data["people"]:
        person["leaves"] = "maul splitting"
    found = tables(data)
    assert 0 < value(found.plan["volume_planned"]) < value(found.plan["volume_wanted"])
    assert 90 * rented_days(found) < value(found.plan["cash"]) <= 200 * (1 + 1e-5)
    assert words(found.plan["limits"]).endswith("What runs out: cash of the year")


SHORT: list[tuple[dict[str, Any], str]] = [
    ({"hours_per_week": 1.5}, "hours of work a week, not 1.5"),
    ({"hours_per_week": 1.5}, "weeks later"),
    ({"cash_limit": 20}, ", not 20"),
    ({"carbon_limit": 5}, "a limit on CO2e that is "),
]


@pytest.mark.parametrize(("wish", "told"), few(SHORT))
def test_each_way_out_has_its_number(wish: dict[str, Any], told: str) -> None:
    plan = tables(farm(**wish)).plan
    assert value(plan["shortfall"]) > 0
    assert told in plan["ways"]
    assert f"ask for {value(plan['volume_planned']) / CORD_M3:.3g} cords, not 5." in plan["ways"]


@pytest.mark.slow
def test_the_suggested_cash_limit_is_the_least_that_is_enough() -> None:
    ways = tables(farm(cash_limit=20)).plan["ways"]
    limit = float(ways.split("a cash limit of $")[1].split(", not")[0])
    short = [value(tables(farm(cash_limit=limit * part)).plan["shortfall"]) for part in (1, 0.97)]
    assert short[0] == 0
    assert short[1] > 0


@pytest.mark.slow
def test_a_later_day_more_workdays_and_one_more_person_are_the_least_ways_out() -> None:
    data = farm(hours_per_week=20, ready_by_date="2026-03-17", people_available=2)
    data["trial"] = {"work_days": "Sat"}

    def whole(days: str = "Sat", **wish: Any) -> bool:
        other = farm(**{"hours_per_week": 20, "ready_by_date": "2026-03-17", "people_available": 2, **wish})
        other["trial"] = {"work_days": days}
        return value(tables(other).plan["shortfall"]) == 0

    ways = tables(data).plan["ways"]
    assert not whole()
    told, weeks = ways.split("stacked by ")[1].split(" weeks later")[0].rsplit(", ", 1)
    last = dt.date.fromisoformat(*days_of_text(told))
    before = last - dt.timedelta(7)
    assert (before - dt.date(2026, 3, 17)).days == 7 * (int(weeks) - 1)
    assert whole(ready_by_date=last.isoformat())
    assert not whole(ready_by_date=before.isoformat())
    added = ways.split("work on ")[1].split(" as well")[0].replace(" and ", ", ").split(", ")
    assert whole(days=" ".join(["Sat", *added]))
    assert not whole(days=" ".join(["Sat", *added[:-1]]))


@pytest.mark.slow
def test_wood_not_dry_for_the_next_winter_has_a_warning() -> None:
    oak = tables(farm()).plan["late"]
    assert oak == "The wood should be dry about May 2028. Burn it from October 2028, not before."
    early = farm(start_date="2026-01-10", ready_by_date="2026-04-20", hours_per_week=6)
    early["wood"] = [{"species": "spruce, Norway", "share": 100}]
    assert tables(early).plan["late"] == ""


@pytest.mark.parametrize(("cords", "week_min"), [(1.0, 240.0), (2.0, 120.0)])
def test_two_people_share_the_minutes_of_their_work_and_the_hours_of_a_week(cords: float, week_min: float) -> None:
    # 2 h of work a cord are 60 minutes for two; a week of 120 minutes of work has no more than 60 for both
    block = Block(0, "by two", cords, 2.0, (Crew(("A", "B"), 300.0),))
    (visit,) = sessions(
        blocks=[block], first_day=5, last_day=11, rules=Rules(week_min, 2, (5,), STEP, STEP, week_min)
    )
    assert (visit.minutes, visit.cords) == (60.0, pytest.approx(1.0))
