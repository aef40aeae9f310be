"""Costs of tools that are owned, to buy, shared, rented or borrowed."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from builders import Data, checked, records, row, season_rates, small_season, tables, value
from few import together

from wood_xl.draws.ensemble import Number, ends, nominal
from wood_xl.draws.normal import Array
from wood_xl.money.break_even import break_even_volumes, first_volumes
from wood_xl.money.inputs import spells
from wood_xl.money.method import MethodInputs, RentInputs, ToolInputs, method_money, present_value
from wood_xl.money.owning import present_value_factor
from wood_xl.notes.problem import Level, Problem
from wood_xl.notes.relations import Notes
from wood_xl.notes.season_rules import season_problems
from wood_xl.reasons import Reason, is_said
from wood_xl.schema.words import words
from wood_xl.verdicts import Kind, Surety

CORD_M3 = 128 * 0.3048**3
YEAR_CORDS = 10 / CORD_M3
CHAIN_CORDS = math.pi / 4 * 20 * 0.30**2 * 0.40 / 0.64 / CORD_M3  # in one session of 60 min on one day
CHAIN = "By chain saw"
UNITS = {"share": "%", "rent": "money", "life_hours": "h", "resale": "money", "worth_today": "money"}


def held(saw: int = 1, **values: Any) -> Data:
    """The small season with other cells for a saw; None empties a cell."""
    data = small_season()
    for key, cell in values.items():
        if cell is None:
            data["tools"][saw].pop(key, None)
        else:
            data["tools"][saw][key] = cell
    data["units"]["tools"] |= UNITS
    return data


def rented(rent: float = 600, per: str = "day", **values: Any) -> Data:
    return held(held="rented", price=None, rent=rent, rent_per=per, **values)


def inputs(tool: ToolInputs, cords: Number, rate: float = 0.0) -> MethodInputs:
    return MethodInputs((tool,), cords, rate, clock_h_per_cord=2.0, working_h_per_cord=1.0, worker_h_per_cord=2.0)


@pytest.mark.parametrize(
    ("cords", "units", "rent_a_year"),
    [
        (6.0, 5, 300.0),  # 6 cords x 0.8 days = 4.8, so 5 days at 60
        (5.0, 4, 240.0),  # 4.0 days are no more than 4
        (5.02, 4, 240.0),  # no fifth day is rented for 8 minutes
        (0.1, 1, 60.0),  # any use costs a whole day
    ],
)
def test_units_of_rent_that_are_begun_count_whole(cords: float, units: int, rent_a_year: float) -> None:
    tool = ToolInputs("splitter", 0.0, 0.0, hours_per_cord=1.5, rent=RentInputs(60.0, 0.8))
    money = method_money(inputs(tool, cords))
    assert money.tools[0].rented_units == units
    assert money.rent * cords == pytest.approx(rent_a_year)
    assert money.cash == money.running == money.rent
    assert (money.ownership, money.avoidable_ownership, money.machine_rate_ownership) == (0.0, 0.0, 0.0)


def test_a_rented_tool_of_two_tasks_is_begun_once_and_shared_by_hours() -> None:
    # 10 cords x (0.33 + 0.5) = 8.3, so 9 days for both; this task has 1 of 4 hours
    tool = ToolInputs("saw", 0.0, 0.0, hours_per_cord=1.0, other_hours_per_cord=3.0, rent=RentInputs(40.0, 0.33, 0.5))
    assert method_money(inputs(tool, 10.0)).rent == pytest.approx(9 * 40 * 0.25 / 10)


def test_each_draw_begins_its_own_units() -> None:
    days = np.array([0.8, 0.75, 0.9])  # of 6 cords: 4.8, 4.5 and 5.4
    tool = ToolInputs("splitter", 0.0, 0.0, hours_per_cord=np.array([1.5, 1.4, 1.7]), rent=RentInputs(60.0, days))
    assert list(np.asarray(method_money(inputs(tool, 6.0)).rent) * 6) == pytest.approx([300, 300, 360])


def test_renting_pays_below_the_volume_at_which_one_more_day_is_begun() -> None:
    # 60 a day against 100 a year: one day is cheaper, two are not; a second day is begun at 1.05 / 0.8 cords
    rented_one = ToolInputs("splitter", 0.0, 0.0, hours_per_cord=1.5, rent=RentInputs(60.0, 0.8))
    own = ToolInputs("splitter", 1000.0, 0.0, hours_per_cord=1.5, age_limit_years=10.0)

    def dearer(cords: Number) -> Array:
        return np.asarray(method_money(inputs(rented_one, cords)).cash - method_money(inputs(own, cords)).cash)

    assert break_even_volumes(dearer, least=0.01, most=1000) == [pytest.approx(1.3125, rel=1e-6)]


@pytest.mark.parametrize("after", [1e-3, 1.0, 1e4])
def test_a_step_from_cheaper_to_dearer_is_found_in_every_draw(after: float) -> None:
    steps = np.array([1.25, 1.3, 7.0, 640.0])
    found = first_volumes(lambda cords: np.where(cords < steps, -40.0, after), least=0.01, most=1000.0)
    assert found == pytest.approx(steps, rel=1e-6)


def test_rent_over_the_horizon_is_paid_each_year() -> None:
    tool = ToolInputs("splitter", 0.0, 0.0, hours_per_cord=1.5, rent=RentInputs(60.0, 0.8))
    factor = present_value_factor(rate_frac=0.03, years=10)
    assert present_value(inputs(tool, 6.0, 0.03), horizon_years=10) == pytest.approx(300 * factor)


def test_a_shared_tool_costs_its_part_and_wears_by_everybody() -> None:
    # a half of 900 over 12 years; 10 h of one's own are 20 h of all: 200 h last 10 years
    tool = ToolInputs("splitter", 900.0, 0.1, hours_per_cord=1.0, age_limit_years=12.0, part_frac=0.5)
    assert method_money(inputs(tool, 10.0)).ownership * 10 == pytest.approx((450 - 45) / 12)
    worn = ToolInputs("splitter", 900.0, 0.1, 1.0, life_h=200.0, age_limit_years=12.0, part_frac=0.5)
    money = method_money(inputs(worn, 10.0))
    assert money.tools[0].life_years == pytest.approx(10)
    assert money.ownership * 10 == pytest.approx((450 - 45) / 10)


@together(
    ("dates", "days", "weeks"),
    [
        (["2026-03-02"], 1, 1),
        (["2026-03-02", "2026-03-02"], 1, 1),
        (["2026-03-02", "2026-03-08"], 2, 1),
        (["2026-03-09", "2026-03-02"], 2, 2),  # the eighth day begins another week
        (["2026-03-02", "2026-03-09", "2026-03-15", "2026-03-16"], 4, 3),
    ],
)
def test_days_and_weeks_of_rent_are_told_by_the_dates(dates: list[str], days: int, weeks: int) -> None:
    assert (spells(dates, 1), spells(dates, 7)) == (days, weeks)


@pytest.mark.parametrize(
    ("per", "units_a_year"),
    [
        ("day", YEAR_CORDS / CHAIN_CORDS),  # one day made CHAIN_CORDS
        ("week", YEAR_CORDS / CHAIN_CORDS),
        ("hour", YEAR_CORDS / CHAIN_CORDS),  # 60 min by the clock, service in it
    ],
)
def test_a_rented_saw_costs_its_rent_and_its_upkeep(per: str, units_a_year: float) -> None:
    data = rented(per=per)
    money = row(data, "money_per_cord", method=CHAIN)
    units = math.ceil(units_a_year)
    assert value(money["ownership"]) == pytest.approx(units * 600 / YEAR_CORDS)
    assert value(money["upkeep"]) == pytest.approx(300 / 30 * (50 / 60) / CHAIN_CORDS)
    parts = ("ownership", "upkeep", "fuel", "bar_oil", "electricity")
    assert value(money["cash"]) == pytest.approx(sum(value(money[part]) for part in parts))
    assert words(money["ownership"].basis).startswith(f"Chain saw: rented, each {per} that is begun counts whole")
    tool = row(data, "tool_costs", tool="Chain saw")
    assert value(tool["yearly_cost"]) == value(tool["avoidable"]) == pytest.approx(units * 600)
    assert words(tool["yearly_cost"].basis) == f"{units} times the rent of a {per}"
    assert words(tool["price"].reason) == "not yours to pay"


def test_an_hour_of_rent_is_one_by_the_clock_whether_the_saw_runs_or_not() -> None:
    costs = []
    for minutes in (50, 5):
        data = rented(per="hour")
        data["sessions"][1]["running_time"] = minutes
        data["units"]["sessions"]["running_time"] = "min"
        costs.append(value(row(data, "tool_costs", tool="Chain saw")["yearly_cost"]))
    assert costs == [600 * math.ceil(YEAR_CORDS / CHAIN_CORDS)] * 2


@pytest.mark.parametrize(("second", "weeks"), [("2026-03-08", 1), ("2026-03-09", 2)])
def test_a_week_of_rent_holds_seven_days(second: str, weeks: int) -> None:
    data = rented(per="week")
    data["sessions"].append({**data["sessions"][1], "session": "D", "date": second})
    data["cuts"].append({**data["cuts"][2], "session": "D"})
    data["helpers"].append({**data["helpers"][0], "session": "D"})
    units = math.ceil(weeks / (2 * CHAIN_CORDS) * YEAR_CORDS)  # both sessions make the same wood
    assert value(row(data, "tool_costs", tool="Chain saw")["yearly_cost"]) == pytest.approx(units * 600)


@pytest.mark.parametrize("per", ["hour", "day"])
def test_two_tasks_of_a_rented_saw_begin_their_units_together(per: str) -> None:
    data = rented(per=per)
    data["methods"].append({"method": "Split", "task": "split", "tool_1": "Chain saw"})
    split = {"session": "S", "date": "2026-03-05", "method": "Split", "elapsed_time": 90, "fuel_used": 0.2}
    data["sessions"].append(split)
    data["stacks"].append({"session": "S", "height": 1.0, "length": 5.0})  # sticks of 40 cm: 2 stacked m3
    buck_units, split_units = (1, 1) if per == "day" else (1, 1.5)
    needed = YEAR_CORDS * (buck_units / CHAIN_CORDS + split_units / (2 / CORD_M3))
    bucked = YEAR_CORDS / CHAIN_CORDS * 50 / 60
    share = bucked / (bucked + YEAR_CORDS * 1.5 / (2 / CORD_M3))
    rents = [value(row(data, "money_per_cord", method=name)["ownership"]) * YEAR_CORDS for name in (CHAIN, "Split")]
    assert rents == pytest.approx([600 * math.ceil(needed) * part for part in (share, 1 - share)])


@together(
    ("per", "date", "bucked", "split"),
    [
        ("day", "2026-03-02", 1 / 2.5, 1.5 / 2.5),  # one day, of whose 2.5 hours one is bucked
        ("day", "2026-03-03", 1, 1),
        ("week", "2026-03-08", 1 / 2.5, 1.5 / 2.5),
        ("week", "2026-03-09", 1, 1),
    ],
)
@pytest.mark.parametrize("task", ["split", "buck"])
def test_what_two_methods_do_in_one_day_or_week_of_rent_pays_it_once(
    task: str, per: str, date: str, bucked: float, split: float
) -> None:
    data = rented(per=per)
    data["sessions"][1]["date"] = "2026-03-02"
    data["methods"].append({"method": "Other", "task": task, "tool_1": "Chain saw"})
    data["sessions"].append({"session": "S", "date": date, "method": "Other", "elapsed_time": 90, "fuel_used": 0.2})
    data["stacks"].append({"session": "S", "height": 1.0, "length": 5.0})  # sticks of 40 cm: 2 stacked m3
    totals = season_rates(data).costs
    rents = [totals[name].inputs.tools[0].rent for name in (CHAIN, "Other")]
    assert None not in rents
    clock = [totals[name].inputs.clock_h_per_cord for name in (CHAIN, "Other")]
    assert [one.units_per_cord for one in rents] == pytest.approx([clock[0] * bucked, clock[1] * split / 1.5])


def splitting(rent: float, longest_min: float) -> Data:
    """A rented splitter that takes half the time of a maul, tried for an hour on each of three days."""
    data = held()
    data["units"]["season"] |= {"value_of_time": "per h", "electricity_price": "per kWh"}
    data["units"]["sessions"]["electricity_used"] = "kWh"
    data["units"]["next_season"] = {"longest_session": "min"}
    data["season"] |= {"value_of_time": 60, "yearly_volume": 18, "electricity_price": 0.2}
    data["next_season"] = {"longest_session": longest_min}
    data["people"][0]["may_use"] = "Splitter"
    data["tools"] = [
        {"tool": "Maul", "kind": "hand", "price": 0, "held": "own"},
        {"tool": "Splitter", "kind": "mains", "held": "rented", "rent": rent, "rent_per": "day"},
    ]
    data["methods"] = [
        {"method": f"By {tool}", "task": "split", "tool_1": tool.capitalize()} for tool in ("maul", "splitter")
    ]
    data["upkeep"], data["cuts"], data["helpers"], data["sessions"], data["stacks"] = [], [], [], [], []
    for day in range(3):
        for tool, length in (("maul", 1.0), ("splitter", 2.0)):
            name = f"{tool} {day}"
            session = {"session": name, "date": f"2026-03-{2 + day:02}", "method": f"By {tool}", "person": "Ada"}
            data["sessions"].append(
                {**session, "elapsed_time": 60, **({"electricity_used": 1} if length > 1 else {})}
            )
            data["stacks"].append({"session": name, "height": 1.0, "length": length * (1 + 0.02 * day)})
    return data


@together(
    ("rent", "longest_min", "surety", "is_told"),
    [
        (100, 60, Surety.SETTLED, False),  # the days of the sessions are as long as those of a plan
        (100, 240, Surety.OPEN, True),  # 6 days in place of 23 would make an hour cheaper than it is worth
        (1000, 240, Surety.SETTLED, True),  # here they would not
    ],
)
def test_no_verdict_is_settled_against_a_rent_by_short_days(
    rent: float, longest_min: float, surety: Surety, is_told: bool
) -> None:
    (verdict,) = tables(splitting(rent, longest_min)).tables["verdicts"]
    assert (verdict["kind"], verdict["choice"], verdict["surety"]) == (Kind.TOO_DEAR.key, "By maul", surety.key)
    told = "Rent for By splitter counts days as short as in the sessions: longer days make it cheaper."
    assert (told in words(verdict["sentence"])) is is_told


def test_draws_of_a_rent_hold_whole_days_of_a_price_in_doubt() -> None:
    rates = season_rates(rented())
    money = rates.money(CHAIN)
    assert money is not None
    tool = money.money.tools[0]
    units = np.asarray(tool.rented_units)
    assert np.array_equal(units, np.round(units))
    assert len(set(units)) > 1  # hours are in doubt, so some years take a day more
    rent = tool.tool.rent
    assert rent is not None
    assert ends(np.asarray(rent.price)) == pytest.approx((450, 750), rel=0.01)  # a price, give or take a quarter
    cash = row(rented(), "money_per_cord", method=CHAIN)["ownership"]
    assert cash.low < nominal(cash.number) < cash.high


def test_nothing_is_paid_back_by_renting() -> None:
    paid = row(rented(), "payback", quicker=CHAIN)
    assert value(paid["outlay"]) == -400  # the bow saw alone is still to buy
    running = [value(row(rented(), "money_per_cord", method=CHAIN)[part]) for part in ("ownership", "upkeep", "fuel")]
    assert value(paid["cash_saved_per_year"]) == pytest.approx(-sum(running) * YEAR_CORDS)


def test_a_borrowed_saw_costs_its_upkeep_alone() -> None:
    data = held(held="borrowed", price=None)
    money = row(data, "money_per_cord", method=CHAIN)
    assert value(money["ownership"]) == 0
    assert words(money["ownership"].basis).startswith("Chain saw: borrowed, costs nothing to own")
    assert value(money["upkeep"]) == pytest.approx(300 / 30 * (50 / 60) / CHAIN_CORDS)
    assert value(row(data, "payback", quicker=CHAIN)["outlay"]) == -400


def test_a_shared_saw_is_paid_by_its_part() -> None:
    whole, half = held(held="to buy", resale=400), held(held="shared", share=50, resale=400)
    cost = [value(row(data, "tool_costs", tool="Chain saw")["yearly_cost"]) for data in (whole, half)]
    # its life by age ends it in either case
    assert cost[1] == pytest.approx(cost[0] / 2)
    assert value(row(half, "payback", quicker=CHAIN)["outlay"]) == 2000 - 400
    basis = words(row(half, "payback", quicker=CHAIN)["outlay"].basis)
    assert "shared: your 50% counts as still to pay: Chain saw" in basis
    owning = words(row(half, "money_per_cord", method=CHAIN)["ownership"].basis)
    assert owning.startswith("Chain saw: your share is 50%, and the others wear it by theirs")


def plan_of_a_saw(**way: Any) -> Data:
    """A season with the saw alone, which is planned."""
    data = held(**way)
    data["next_season"] = {"volume_wanted": 20, "people_available": 2}
    data["units"]["next_season"] = {"volume_wanted": "stacked m3"}
    data["people"][0]["may_use"] = "Chain saw"
    data["people"].append({"person": "Bo", "age": 50})
    data["methods"].pop(0)
    data["sessions"] = [one for one in data["sessions"] if one["method"] == CHAIN]
    return data


def test_a_shared_saw_is_an_outlay_by_its_part_in_the_plan() -> None:
    goods = {}
    for way in ({"held": "shared", "share": 25}, {"held": "rented", "rent": 600, "price": None}):
        found = tables(plan_of_a_saw(**way)).tables["shopping"]
        goods[way["held"]] = {r["item"]: r for r in found if r["purpose"] == "tool"}
    assert value(goods["shared"]["Chain saw"]["cost"]) == 1000
    assert "Chain saw" not in goods["rented"]


def test_what_a_shared_saw_needs_each_year_is_paid_by_its_part() -> None:
    paid, listed = [], []
    for way in ({"held": "own"}, {"held": "shared", "share": 25}):
        data = plan_of_a_saw(**way)
        data["upkeep"] = [
            {"tool": "Chain saw", "item": "service", "price": 300, "every": 1, "per": "years"},
            {"tool": "Chain saw", "item": "chain", "price": 300, "every": 30, "per": "hours"},
        ]
        paid.append(value(row(data, "money_per_cord", method=CHAIN)["upkeep"]) * YEAR_CORDS)
        goods = {r["item"]: r for r in tables(data).tables["shopping"]}
        listed.append([(value(goods[item]["pieces"]), value(goods[item]["cost"])) for item in ("service", "chain")])
    assert paid[0] - paid[1] == pytest.approx(300 - 75)  # its chain wears by one's own hours in either case
    chain = listed[0][1]
    assert listed == [[(1, 300), chain], [(1, 75), chain]]
    assert words(goods["service"]["words"]) == "the plan wears 1.00; shared: your 25% counts as still to pay"


@pytest.mark.parametrize(
    "way",
    [
        {"held": "rented", "rent": 600, "price": None},
        {"held": "borrowed", "price": None},
        {"held": "shared", "share": 50},
    ],
)
def test_making_of_a_tool_that_others_use_too_is_worn_by_its_hours(way: dict[str, Any]) -> None:
    worn = row(held(life_hours=300, **way), "worn_tools", tool="Chain saw")
    # 50 min of 300 h for one session's wood
    assert value(worn["cords"]) == pytest.approx(300 / (50 / 60) * CHAIN_CORDS)
    assert worn["per_cord"].low < worn["per_cord"].value < worn["per_cord"].high


def test_a_shared_hand_tool_without_a_life_in_hours_counts_by_its_part() -> None:
    whole, half = (held(0, held=way, share=share) for way, share in (("own", None), ("shared", 50)))
    cords = [value(row(data, "worn_tools", tool="Bow saw")["cords"]) for data in (whole, half)]
    assert cords[1] == pytest.approx(2 * cords[0])


def test_without_a_rent_or_a_date_no_cash_is_given() -> None:
    cash = row(rented(rent=None), "money_per_cord", method=CHAIN)["cash"]  # type: ignore[arg-type]
    assert words(cash.reason) == "needs the rent of Chain saw"
    data = rented()
    del data["sessions"][1]["date"]
    why = words(row(data, "money_per_cord", method=CHAIN)["cash"].reason)
    assert why == "no session of By chain saw has a date: the days that Chain saw was rented are not known"


def codes(data: Data) -> list[str]:
    return [one.code for one in checked(data).problems if one.level < Level.NOTE]


@together(
    ("faulty", "code", "mended"),
    [
        (lambda: held(rent=50), "row-rent-not-rented", held),
        (lambda: held(rent=50), "row-rent-not-rented", lambda: held(rent=50, held="rented", price=None)),
        (lambda: held(held="rented", price=None), "row-no-rent", lambda: rented(0)),
        (lambda: held(share=50), "row-share-not-shared", held),
        (lambda: held(share=50), "row-share-not-shared", lambda: held(share=50, held="shared")),
        (lambda: held(held="shared"), "row-no-share", lambda: held(held="shared", share=30)),
        (lambda: held(held="shared", share=130), "cell-out-of-range", lambda: held(held="shared", share=100)),
        (lambda: held(held="shared", share=0), "cell-out-of-range", lambda: held(held="shared", share=100)),
        (lambda: held(held="shared", share=0.5), "cell-share-of-one", lambda: held(held="shared", share=50)),
        (lambda: held(held="rented", rent=9), "row-price-not-counted", lambda: rented(9)),
        (lambda: held(held="borrowed"), "row-price-not-counted", lambda: held(held="borrowed", price=None)),
        (lambda: held(held="borrowed"), "row-price-not-counted", lambda: held(held="own")),
        (lambda: held(held="lended"), "cell-not-in-list", lambda: held(held="borrowed", price=None)),
    ],
)
def test_what_does_not_go_together_is_told_and_its_mend_leaves_nothing(
    faulty: Callable[[], Data], code: str, mended: Callable[[], Data]
) -> None:
    usual = codes(small_season())
    assert [one for one in codes(faulty()) if one not in usual] == [code]
    assert [one for one in codes(mended()) if one not in usual] == []


@pytest.mark.parametrize(
    ("typed", "read"), [("yes", "own"), ("no", "to buy"), ("hired", "rented"), ("on loan", "borrowed")]
)
def test_words_of_an_older_workbook_are_read(typed: str, read: str) -> None:
    season = checked(held(held=typed))
    assert season.document.rows("tools")[1]["held"] == read
    assert [one.level for one in season.problems if one.code == "cell-word-read"] == [Level.NOTE]


def test_values_of_the_season_are_read_in_their_units() -> None:
    data = small_season()
    data["season"] |= {"value_of_effort": -2, "price_of_carbon": 80, "bought_cord_price": 260}
    data["units"]["season"] |= {
        "value_of_effort": "money",
        "price_of_carbon": "money",
        "bought_cord_price": "per cord",
    }
    season = records(data)
    assert (season.value_of_effort_per_1000_kcal, season.carbon_price_per_t) == (-2, 80)
    assert season.bought_cord_price_per_cord == 260
    data["units"]["season"]["bought_cord_price"] = "per stacked m3"
    assert records(data).bought_cord_price_per_cord == pytest.approx(260 * CORD_M3)


def retired(data: Data) -> list[Problem]:
    season = checked(data)
    found = season_problems(Notes(season.document, season.broken, frozenset()))
    return [one for one in found if one.code == "plan-weights-retired"]


def test_weights_of_an_older_workbook_are_told_once() -> None:
    data = small_season()
    assert retired(data) == []
    data["next_season"] = {"weight_money": 5, "weight_carbon": 0}
    (told,) = retired(data)
    assert told.level is Level.NOTE
    assert told.place.about == "next_season.weight_money"


def test_two_ways_with_one_rented_tool_have_a_volume_without_ends() -> None:
    """Of little wood each takes one begun hour, so that cash is the same; in nearly all draws one always pays."""
    data = held(0, held="rented", price=None, rent=20, rent_per="hour")
    data["methods"][1]["tool_1"] = data["methods"][0]["tool_1"]
    data["sessions"][1].pop("fuel_used")
    volume = tables(data).tables["break_even"][0]["volume_cash"]
    assert is_said(volume.reason, Reason.MAY_PAY_AT_ANY_VOLUME)
    assert volume.value > 0
    assert (volume.low, volume.high) == (None, None)
