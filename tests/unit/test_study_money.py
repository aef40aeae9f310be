"""Money of a season: clocks, what is missing, other ways of counting, break-even, payback and what moves it."""

from __future__ import annotations

import copy
import math
from typing import Any

import numpy as np
import pytest
from builders import Data, at, row, season_rates, small_season, steady, tables, value
from few import few, together
from test_study import annuity

from wood_xl.draws.ensemble import OneByOne, nominal
from wood_xl.ids import Input, Recorded
from wood_xl.reasons import Said
from wood_xl.schema.words import words

CORD_M3 = 128 * 0.3048**3
YEAR_CORDS = 10 / CORD_M3
CORDS_CHAIN = math.pi / 4 * 20 * 0.30**2 * 0.40 / 0.64 / CORD_M3
SAW, CHAIN = 0, 1
NEW_UNITS = {"life_hours": "h", "resale": "money", "worth_today": "money", "years_left": "years"}


def with_tool(index: int, data: Data | None = None, **values: Any) -> Data:
    data = small_season() if data is None else data
    data["tools"][index].update(values)
    for key, unit in NEW_UNITS.items():
        data["units"]["tools"].setdefault(key, unit)
    return data


def with_value_of_time(data: Data, worth: float = 100) -> Data:
    data["season"]["value_of_time"] = worth
    data["units"]["season"]["value_of_time"] = "per h"
    return data


def with_running(session: int, minutes: float) -> Data:
    data = small_season()
    data["sessions"][session]["running_time"] = minutes
    data["units"]["sessions"]["running_time"] = "min"
    return data


def test_an_engine_ages_by_the_hours_it_runs_and_a_hand_tool_by_those_at_work() -> None:
    data = with_tool(CHAIN, with_running(1, 30), life_hours=20)
    data["tools"].append({"tool": "Trousers", "kind": "hand", "price": 900, "life_hours": 400})
    data["methods"][CHAIN]["tool_2"] = "Trousers"
    engine, worn = row(data, "tool_costs", tool="Chain saw"), row(data, "tool_costs", tool="Trousers")
    assert value(engine["hours_per_year"]) == pytest.approx(YEAR_CORDS * 0.5 / CORDS_CHAIN)
    assert value(engine["life_years"]) == pytest.approx(20 / value(engine["hours_per_year"]))
    assert value(worn["hours_per_year"]) == pytest.approx(YEAR_CORDS * (50 / 60) / CORDS_CHAIN)
    upkeep = row(data, "money_per_cord", method="By chain saw")["upkeep"]
    assert value(upkeep) == pytest.approx(300 / 30 * 0.5 / CORDS_CHAIN)


def test_without_a_running_time_the_hours_at_work_are_an_upper_bound() -> None:
    assert "an upper bound" in words(row(small_season(), "tool_costs", tool="Chain saw")["hours_per_year"].basis)
    assert words(row(small_season(), "tool_costs", tool="Bow saw")["hours_per_year"].basis) == ""


def test_running_time_of_the_sessions_that_have_one() -> None:
    data = with_running(1, 30)
    data["sessions"].append({"session": "B2", "method": "By chain saw", "elapsed_time": 60})
    data["cuts"].append({"session": "B2", "diameter": 30, "cuts": 20})
    hours = row(data, "tool_costs", tool="Chain saw")["hours_per_year"]
    assert value(hours) == pytest.approx(YEAR_CORDS * 0.5 / CORDS_CHAIN)
    assert words(hours.basis) == "from 1 of 2 sessions, which recorded it"


def without_tool(task: str) -> Data:
    """The second method names no tool and does that task; an hour is worth 100."""
    data = with_value_of_time(small_season())
    del data["methods"][CHAIN]["tool_1"], data["sessions"][1]["fuel_used"]
    data["methods"][CHAIN]["task"] = task
    return data


@pytest.mark.parametrize("task", few(["fell", "limb", "buck", "split"], "buck"))
def test_money_and_co2e_of_a_task_that_needs_a_tool_are_not_known_without_one(task: str) -> None:
    """The worker hours stay: 60 minutes and a helper's 30."""
    data, method = without_tool(task), {"method": "By chain saw"}
    money, views = row(data, "money_per_cord", **method), row(data, "money_views", **method)
    for column in ("ownership", "upkeep", "fuel", "bar_oil", "electricity", "cash"):
        assert words(money[column].reason) == "no tool is named"
    assert value(row(data, "rates_per_cord", **method)["own_time"]) == pytest.approx(100 * 1.5 / CORDS_CHAIN)
    withheld = [
        row(data, "money_totals", **method)[key] for key in ("cash_and_time", "cash_per_year", "present_value")
    ]
    withheld += [views[key] for key in ("avoidable", "machine_rate", "over_horizon", "half_volume", "double_volume")]
    withheld += [
        row(data, "emissions_per_cord", **method)[key] for key in ("direct_co2", "electricity", "tools", "co2e")
    ]
    withheld += [row(data, "session_emissions", **method)["co2e"], row(data, "bought_energy", **method)["bought"]]
    withheld += [row(data, "carriers", **method)[key] for key in ("gasoline", "bar_oil", "electricity", "ch4")]
    assert {(figure.value, words(figure.reason)) for figure in withheld} == {(None, "no tool is named")}
    assert tables(data).tables["flip_moves"] == []


@pytest.mark.parametrize("task", ["haul", "stack"])
def test_bare_hands_cost_no_cash_and_emit_nothing_where_they_are_enough(task: str) -> None:
    data, method = without_tool(task), {"method": "By chain saw"}
    money, emitted = row(data, "money_per_cord", **method), row(data, "emissions_per_cord", **method)
    assert (value(money["cash"]), value(emitted["co2e"])) == (0, 0)
    assert (words(money["ownership"].basis), words(emitted["tools"].basis)) == ("bare hands", "bare hands")
    assert value(row(data, "rates_per_cord", **method)["own_time"]) == pytest.approx(100 * 1.5 / CORDS_CHAIN)


def test_a_tool_that_waits_for_a_mend_is_named_before_one_that_is_not_there() -> None:
    data = small_season()
    data["methods"][0]["tool_1"] = "Bow sow"
    assert words(row(data, "money_per_cord", method="By bow saw")["cash"].reason) == "needs Methods!C4"


def test_cash_per_hour_of_either_clock_leads_to_the_same_cord() -> None:
    totals = row(small_season(), "money_totals", method="By chain saw")
    cash = value(totals["cash"])
    assert value(totals["cash_per_workplace_hour"]) * 1.0 / CORDS_CHAIN == pytest.approx(cash)
    assert value(totals["cash_per_working_hour"]) * (50 / 60) / CORDS_CHAIN == pytest.approx(cash)
    assert value(totals["cash_per_year"]) == pytest.approx(cash * YEAR_CORDS)


def test_without_working_time_there_is_no_cash_per_working_hour() -> None:
    data = small_season()
    data["sessions"][1].update(delay_time=50)
    totals = row(data, "money_totals", method="By chain saw")
    assert words(totals["cash_per_working_hour"].reason) == "needs Sessions!H5"


def test_repairs_stand_in_where_no_upkeep_is_written() -> None:
    data = small_season()
    data["upkeep"].clear()
    upkeep = row(data, "money_per_cord", method="By chain saw")["upkeep"]
    assert value(upkeep) == pytest.approx((4000 - 400) / 10 / YEAR_CORDS)  # all of the straight-line depreciation
    assert words(upkeep.basis) == "no item is written for Chain saw: repairs of 100% of its depreciation stand in"
    assert row(data, "money_per_cord", method="By bow saw")["upkeep"].value == 0
    titles = [facts["title"] for code, _, facts in tables(data).remarks if code == "season-default-used"]
    assert titles[0] == "Upkeep of Chain saw"
    assert [title for title in titles if title.startswith("Upkeep")] == titles[:1]


def test_avoidable_cash_leaves_out_what_was_paid_and_keeps_what_is_given_up() -> None:
    data = with_tool(CHAIN, held="own", worth_today=1500, years_left=3)
    tool = row(data, "tool_costs", tool="Chain saw")
    assert value(tool["avoidable"]) == pytest.approx(annuity(1500, 400, 3))
    assert value(tool["yearly_cost"]) == pytest.approx(annuity(4000, 400, 10))
    views = row(data, "money_views", method="By chain saw")
    less = (value(tool["yearly_cost"]) - value(tool["avoidable"])) / YEAR_CORDS
    assert value(views["avoidable"]) == pytest.approx(value(views["cash"]) - less)
    assert words(row(data, "money_views", method="By bow saw")["avoidable"].basis) == "no tool was bought already"


def test_without_a_worth_today_the_resale_at_the_end_is_what_is_given_up() -> None:
    data = with_tool(CHAIN, held="own")
    assert value(row(data, "tool_costs", tool="Chain saw")["avoidable"]) == pytest.approx(400 * 0.03)
    basis = words(row(data, "money_views", method="By chain saw")["avoidable"].basis)
    assert basis == "no worth today is written for Chain saw: the resale at the end stands in"


def test_machine_rate_stands_beside_the_annuity() -> None:
    tool = row(small_season(), "tool_costs", tool="Chain saw")
    by_hand = 3600 / 10 + 0.03 * (3600 * 11 / 20 + 400)
    assert value(tool["machine_rate"]) == pytest.approx(by_hand)
    views = row(small_season(), "money_views", method="By chain saw")
    less = (value(tool["yearly_cost"]) - by_hand) / YEAR_CORDS
    assert value(views["machine_rate"]) == pytest.approx(value(views["cash"]) - less)


@pytest.mark.parametrize(("column", "volume"), [("half_volume", 5), ("double_volume", 20)])
def test_another_volume_gives_another_life(column: str, volume: float) -> None:
    views = row(with_tool(CHAIN, life_hours=60), "money_views", method="By chain saw")
    other = with_tool(CHAIN, life_hours=60)
    other["season"]["yearly_volume"] = volume
    assert value(views[column]) == pytest.approx(value(row(other, "money_views", method="By chain saw")["cash"]))


def test_a_horizon_of_one_life_spreads_to_the_long_run_cash() -> None:
    data = small_season()
    data["season"]["horizon_years"] = 10
    views = row(data, "money_views", method="By chain saw")
    assert value(views["over_horizon"]) == pytest.approx(value(views["cash"]))
    totals = row(data, "money_totals", method="By chain saw")
    factor = (1 - 1.03**-10) / 0.03
    assert value(totals["present_value"]) == pytest.approx(value(totals["cash_per_year"]) * factor)


def test_a_horizon_counts_every_replacement() -> None:
    """A tool of 300 that lasts 4 years, over 10 (cost_reference)."""
    data = with_tool(SAW, price=300, life_years=4)
    data["season"]["horizon_years"] = 10
    totals = row(data, "money_totals", method="By bow saw")
    assert value(totals["present_value"]) == pytest.approx(691.7548, abs=5e-5)


def test_methods_of_a_task_and_of_a_group_stand_together() -> None:
    data = small_season()
    for method, group in zip(data["methods"], ("hand", "power"), strict=True):
        method["cost_group"] = group
    data["methods"].insert(1, {"method": "Stacking", "task": "stack"})
    data["methods"].append({"method": "By frame saw", "task": "buck", "tool_1": "Bow saw", "cost_group": "hand"})
    rows = tables(data).tables["money_per_cord"]
    assert [(r["method"], r["cost_group"]) for r in rows] == [
        ("By bow saw", "hand"), ("By frame saw", "hand"), ("By chain saw", "power"), ("Stacking", ""),
    ]  # fmt: skip


def test_what_an_hour_saved_costs() -> None:
    data = small_season()
    found = row(data, "break_even", quicker="By chain saw")
    totals = {r["method"]: r for r in tables(data).tables["money_totals"]}
    hours = value(totals["By bow saw"]["worker_hours"]) - value(totals["By chain saw"]["worker_hours"])
    extra = value(totals["By chain saw"]["cash"]) - value(totals["By bow saw"]["cash"])
    assert found["slower"] == "By bow saw"
    assert value(found["hours_saved"]) == pytest.approx(hours)
    assert value(found["hour_saved_cost"]) == pytest.approx(extra / hours)
    assert words(found["volume_cash"].reason) == "never pays"
    assert words(found["volume_time"].reason) == "no value of an hour is given"
    assert found["verdict"] == "costs more cash at any volume; pays if the hours are worth it"


def test_at_the_break_even_volume_both_cost_the_same() -> None:
    data = with_value_of_time(small_season())
    found = row(data, "break_even", quicker="By chain saw")
    assert words(found["volume_time"].basis) == "pays above it"
    data["season"]["yearly_volume"] = value(found["volume_time"])
    slow, quick = (value(r["cash_and_time"]) for r in tables(data).tables["money_totals"])
    assert slow == pytest.approx(quick, rel=1e-9)


def test_a_quicker_method_that_costs_less_is_better_by_both() -> None:
    data = with_tool(CHAIN, price=0)
    data["upkeep"].clear()
    data["season"].update(gasoline_price=0, two_stroke_oil_price=0)
    found = row(data, "break_even", quicker="By chain saw")
    assert value(found["hour_saved_cost"]) < 0
    assert words(found["volume_cash"].reason) == "pays at any volume"
    flat = "saves hours and costs no more cash at this volume"
    assert row(steady(data), "break_even", quicker="By chain saw")["verdict"] == flat


def test_better_by_both_says_in_how_many_draws_where_the_hours_are_in_doubt() -> None:
    data = with_tool(CHAIN, price=0)
    data["upkeep"].clear()
    data["season"].update(gasoline_price=0, two_stroke_oil_price=0)
    known = season_rates(data)
    slow, quick = (known.number(known.costs[name].totals, "worker_hours") for name in ("By bow saw", "By chain saw"))
    share = 100 * float(np.mean((slow > quick)[1:]))
    assert 1 < share < 99
    verdict = row(data, "break_even", quicker="By chain saw")["verdict"]
    assert verdict.endswith(f"no more cash at this volume (as things stand, and in {share:.0f} of 100 cases)")


def test_a_tool_that_spares_upkeep_pays_above_a_volume() -> None:
    data = small_season()
    data["upkeep"].append({"tool": "Bow saw", "item": "Blade", "price": 400, "every": 1, "per": "cords"})
    found = row(data, "break_even", quicker="By chain saw")
    assert words(found["volume_cash"].basis) == "pays above it"
    volume = value(found["volume_cash"])
    assert (value(found["extra_cash"]) > 0) == (volume > 10)
    data["season"]["yearly_volume"] = volume / 2
    found = row(data, "break_even", quicker="By chain saw")
    assert value(found["volume_cash"]) == pytest.approx(volume)
    assert found["verdict"] == "costs more cash at this volume; pays above the break-even volume"


def test_what_is_not_known_of_one_is_not_known_of_the_pair() -> None:
    data = small_season()
    del data["tools"][CHAIN]["price"]
    found, paid = (row(data, table, quicker="By chain saw") for table in ("break_even", "payback"))
    assert found["hours_saved"].value is not None
    reasons = {words(found[key].reason) for key in ("extra_cash", "hour_saved_cost", "volume_cash")}
    assert reasons == {"needs the price of Chain saw"}
    assert found["verdict"] == "not known"
    assert words(paid["outlay"].reason) == "needs the price of Chain saw"


def test_equal_hours_save_none() -> None:
    data = small_season()
    data["methods"].append({"method": "Twin", "task": "buck", "tool_1": "Chain saw"})
    data["sessions"].append({**data["sessions"][1], "session": "T", "method": "Twin"})
    data["helpers"].append({**data["helpers"][0], "session": "T"})
    data["cuts"].append({**data["cuts"][2], "session": "T"})
    found = row(data, "break_even", quicker="By chain saw", slower="Twin")
    hours = row(data, "break_even", quicker="By chain saw", slower="Twin")["hours_saved"]
    share = f"(as things stand, and in {100 * np.mean(hours.number[1:] <= 0):.0f} of 100 cases)"
    assert words(found["hour_saved_cost"].reason) == f"saves no hour {share}"
    assert found["verdict"] == f"no hour is saved {share}"
    # They burn the same nominally, but hardly in any draw.
    assert words(found["volume_cash"].reason) == "costs the same at any volume (as things stand, and in no case)"


def test_payback_of_the_tools_to_buy() -> None:
    data = with_value_of_time(with_tool(SAW, held="own"), 500)
    paid = row(data, "payback", quicker="By chain saw")
    money = row(data, "money_per_cord", method="By chain saw")
    saved = -math.fsum(value(money[part]) for part in ("upkeep", "fuel", "bar_oil")) * YEAR_CORDS
    hours = value(paid["hours_saved_per_year"])
    assert value(paid["outlay"]) == 4000
    assert value(paid["cash_saved_per_year"]) == pytest.approx(saved)
    assert words(paid["cash_simple"].reason) == "never"
    simple = value(paid["time_simple"])
    assert simple == pytest.approx(4000 / (saved + 500 * hours))
    assert value(paid["time_discounted"]) == pytest.approx(-math.log(1 - simple * 0.03) / math.log(1.03))


def test_a_tool_that_is_worn_out_first_is_not_paid_back() -> None:
    data = with_value_of_time(with_tool(CHAIN, life_years=1, price=40_000), 100)
    late = "not within its 1-year life"
    told = words(row(data, "payback", quicker="By chain saw")["time_simple"].reason)
    assert told == f"{late} (as things stand, and in more than 99 of 100 cases)"
    assert words(row(steady(data), "payback", quicker="By chain saw")["time_simple"].reason) == late


@pytest.mark.parametrize(("price", "blade", "told"), [(300, 75, "never"), (4000, 180, "not within its 10-year life")])
def test_what_is_not_paid_back_says_in_how_many_draws(price: float, blade: float, told: str) -> None:
    data = with_tool(CHAIN, with_tool(SAW, held="own"), price=price)
    data["upkeep"].append({"tool": "Bow saw", "item": "Blade", "price": blade, "every": 1, "per": "cords"})
    paid = row(data, "payback", quicker="By chain saw")
    outlay, saved = (paid[key].number[1:] for key in ("outlay", "cash_saved_per_year"))
    late = 100 * np.mean((saved <= 0) | (outlay > 10 * saved))
    assert 50 < late < 99
    assert words(paid["cash_simple"].reason) == f"{told} (as things stand, and in {late:.0f} of 100 cases)"


def test_what_is_paid_back_in_no_draw_is_never_paid_back() -> None:
    assert words(row(small_season(), "payback", quicker="By chain saw")["cash_simple"].reason) == "never"


def test_a_tool_that_is_owned_or_used_by_both_is_no_outlay() -> None:
    data = with_tool(CHAIN, held="own")
    assert words(row(data, "payback", quicker="By chain saw")["cash_simple"].reason) == "nothing more to buy"
    shared = small_season()
    shared["methods"][SAW]["tool_2"] = "Chain saw"
    shared["sessions"][0]["fuel_used"] = shared["sessions"][2]["fuel_used"] = 0
    assert value(row(shared, "payback", quicker="By chain saw")["outlay"]) == -400


def test_a_tool_not_said_to_be_bought_counts_as_still_to_buy_everywhere() -> None:
    data, told = small_season(), with_tool(SAW, with_tool(CHAIN, held="to buy"), held="to buy")
    wanted = {"volume_wanted": 20, "cash_limit": 3000, "people_available": 2}
    for notes in (data, told):
        notes["people"][0]["may_use"] = "Chain saw"
        notes["people"].append({"person": "Bo", "age": 50})  # somebody has to stand in sight of the chain saw
        notes["next_season"] = wanted
        notes["units"]["next_season"] = {"volume_wanted": "stacked m3", "cash_limit": "money"}
    unsaid, said = "not said whether bought; counted as still to buy", "not bought yet"
    for notes, why in ((data, unsaid), (told, said)):
        found = tables(notes)
        owning = {r["tool"]: r["avoidable"] for r in found.tables["tool_costs"]}
        assert words(owning["Bow saw"].basis) == f"{why}: all of it"
        goods = {r["item"]: r for r in found.tables["shopping"] if r["purpose"] == "tool"}
        assert goods["Bow saw"]["words"] == why
        assert value(goods["Bow saw"]["cost"]) == 400
        outlay = found.tables["payback"][0]["outlay"]
        assert words(outlay.basis) == (f"{unsaid}: Chain saw, Bow saw" if why is unsaid else "")
        assert value(outlay) == 4000 - 400
        assert "plan-tool-over-limit" in [code for code, _, _ in found.remarks]
    notes = [facts["title"] for code, _, facts in tables(data).remarks if code == "season-default-used"]
    assert "How you have it of Bow saw, Chain saw" in notes
    assert not [facts for _, _, facts in tables(told).remarks if str(facts.get("title")).startswith("How you have")]


def moves(data: Data) -> dict[str, dict[str, Any]]:
    return {words(found["input"]): found for found in tables(data).tables["flip_moves"]}


def flip(data: Data) -> float:
    return value(row(data, "exchange", method="By chain saw")["flip"])


def test_every_input_is_moved_alone_for_both_methods_and_the_widest_swing_comes_first() -> None:
    data = steady(with_value_of_time(small_season()))
    rows = moves(data)
    swings = [value(r["swing"]) for r in rows.values()]
    assert swings == sorted(swings, reverse=True)
    assert {"yearly volume", "price of Chain saw", "life of Chain saw"} < set(rows)
    assert "value of an hour" not in rows  # the flip does not depend on it
    price = rows["price of Chain saw"]
    assert price["range"] == "3,000 to 5,000 NOK"
    for end, amount in (("at_low", 3000), ("at_high", 5000)):
        other = steady(with_value_of_time(with_tool(CHAIN, price=amount)))
        assert value(price[end]) == pytest.approx(flip(other))
    assert {words(r["flip"].reason) for r in rows.values()} == {words(row(data, "exchange")["flip"].reason)}


def test_a_price_that_both_methods_pay_moves_both_at_once() -> None:
    shared = with_value_of_time(small_season())
    shared["tools"].append({"tool": "Trousers", "kind": "hand", "price": 40_000, "life_years": 10})
    for method in shared["methods"]:
        method["tool_2"] = "Trousers"
    alone = copy.deepcopy(shared)
    alone["methods"][0].pop("tool_2")
    assert "price of Trousers" in moves(alone)
    # Both wear them alike, so their price moves no difference.
    assert not [name for name in moves(shared) if "Trousers" in name]


@pytest.mark.parametrize(("hour", "turns"), few([(15, "yes: then {} costs less"), (1, "no"), (200, "no")]))
def test_what_moves_the_flip_past_the_value_of_an_hour_turns_it(hour: float, turns: str) -> None:
    data = with_value_of_time(small_season(), hour)
    price = moves(data)["price of Chain saw"]
    low, high = value(price["at_low"]), value(price["at_high"])
    assert (low < hour < high) == ("yes" in turns)
    other = "By chain saw" if hour < flip(data) else "By bow saw"
    assert words(price["turns"]) == turns.format(other)
    assert words(moves(small_season())["price of Chain saw"]["turns"]) == "you gave no value of an hour"


def test_an_end_at_which_no_hour_is_saved_is_open_and_comes_first() -> None:
    rows = moves(with_value_of_time(small_season()))
    first = rows["hours of work, By chain saw"]
    assert first is next(iter(rows.values()))
    assert words(first["at_high"].reason) == "saves no hour there"
    assert (first["swing"].value, words(first["swing"].reason)) == (None, "may save no hour")
    assert words(first["turns"]) == "yes: then By bow saw costs less"
    assert 0 < value(first["at_low"]) < flip(with_value_of_time(small_season()))


def test_an_end_at_which_the_quicker_costs_less_cash_too_says_so() -> None:
    data = with_tool(SAW, with_value_of_time(small_season()), price=4_900, life_years=10)
    rows = moves(data)
    assert flip(data) > 0
    cheaper = rows["price of Chain saw"]["at_low"]
    assert value(cheaper) < 0
    assert words(cheaper.basis) == "below 0: it saves both hours and cash"
    assert rows["price of Chain saw"]["at_high"].basis is None


def test_sessions_and_tape_give_the_range_of_hours_and_of_fuel() -> None:
    data = small_season()
    data["sessions"].append({"session": "B2", "method": "By chain saw", "elapsed_time": 70, "fuel_used": 0.9})
    data["cuts"].append({"session": "B2", "diameter": 30, "cuts": 20})
    rows = moves(data)
    pace, hours = rows["hours of work, By chain saw"], row(data, "rates_per_cord", method="By chain saw")
    told = hours["worker_hours"]
    assert ends_of(pace["range"]) == tuple(float(f"{end:.3g}") for end in (told.low, told.high))
    assert pace["range_from"] == "your sessions and the tape"
    assert value(pace["at_low"]) < value(pace["at_high"])
    equal = season_rates(data).study.equal
    saw = next(one for one in equal.totals if one.method.name == "By chain saw")
    rate = equal.rates(saw.method.task, Recorded.FUEL)[equal.number(saw)]
    assert rate.ends is not None
    mean = (0.5 + 0.9) / 2 / equal.ordered[-1].quantity.stacked_m3
    less, more = (end / mean for end in rate.ends)
    low, high = ends_of(rows["fuel used, By chain saw"]["range"])
    assert 0.95 * less < low < less  # the tape widens it a little
    assert more < high < 1.05 * more


def ends_of(told: str) -> tuple[float, float]:
    low, high = told.split(" to ")
    return float(low), float(high.split(" ")[0])


def test_another_pace_moves_all_hours() -> None:
    data = with_value_of_time(with_running(1, 30))
    data["sessions"][1].pop("service_time")
    data["sessions"][1]["delay_time"] = 20  # of 60 minutes; the helper was there for 30
    known = season_rates(data)
    totals = known.costs["By chain saw"].totals
    asking = OneByOne()
    known.by(asking).number(totals, "cash_and_time")
    (pace,) = (key for key in asking.asked if isinstance(key, Said) and key.id is Input.WORKING_HOURS)
    moved = OneByOne([pace])
    money = known.by(moved).money("By chain saw")
    assert money is not None
    plain, saw = money.inputs, money.inputs.tools[0]
    for hours in (plain.clock_h_per_cord, plain.working_h_per_cord, plain.worker_h_per_cord, saw.hours_per_cord):
        low, high = moved.at_ends(hours, pace)
        assert low < nominal(hours) < high


def test_published_lives_are_the_range_of_an_engine() -> None:
    life = moves(with_tool(CHAIN, life_hours=30))["running life of Chain saw"]
    assert (life["range"], life["range_from"]) == ("30 to 1,000 h", "verified")
    hand = with_tool(SAW, life_hours=100)
    del hand["tools"][SAW]["life_years"]
    assert "working life of Bow saw" in moves(hand)


def test_a_tool_that_does_not_last_a_year_is_told_and_counted() -> None:
    data = with_tool(CHAIN, life_hours=2)
    found = [facts["found"] for code, _, facts in tables(data).remarks if code == "season-tool-worn-out"]
    assert found == ["Chain saw"]
    tool = row(data, "tool_costs", tool="Chain saw")
    years = value(tool["life_years"])
    assert years < 1
    assert value(tool["yearly_cost"]) == pytest.approx(annuity(4000, 400, years))


def test_a_free_tool_needs_no_life() -> None:
    data = with_tool(SAW, price=0)
    del data["tools"][SAW]["life_years"]
    money = row(data, "money_per_cord", method="By bow saw")
    assert (money["ownership"].value, money["cash"].value) == (0.0, 0.0)
    assert words(row(data, "tool_costs", tool="Bow saw")["life_years"].reason) == "none needed"


def test_time_lost_at_the_workplace_moves_own_time_and_no_cash() -> None:
    found = []
    for lost in (0, 50):
        data = with_value_of_time(small_season())
        session = {"session": "B2", "method": "By chain saw", "elapsed_time": 50 + lost, "delay_time": lost}
        data["sessions"].append(session)
        data["cuts"].append({"session": "B2", "diameter": 30, "cuts": 20})
        found.append(row(data, "money_totals", method="By chain saw"))
    quick, slow = found
    assert value(slow["cash"]) == pytest.approx(value(quick["cash"]))
    assert value(slow["own_time"]) - value(quick["own_time"]) == pytest.approx(100 * (50 / 60) / (2 * CORDS_CHAIN))


@together(
    ("sheet_id", "index", "values", "cell"),
    [
        ("sessions", 0, {"fuel_used": 0.3}, at("sessions.fuel_used", 4)),
        ("sessions", 0, {"electricity_used": 2}, at("sessions.electricity_used", 4)),
        ("upkeep", 0, {"every": 0}, at("upkeep.every", 4)),
        ("tools", 1, {"resale": 5000}, at("tools.resale", 5)),
        ("tools", 1, {"life_years": 0}, at("tools.life_years", 5)),
    ],
)
def test_a_bad_cell_keeps_back_the_money_of_its_method_alone(
    sheet_id: str, index: int, values: dict[str, float], cell: str
) -> None:
    data = with_tool(SAW)
    data[sheet_id][index].update(values)
    data["units"]["sessions"]["electricity_used"] = "kWh"
    by_saw, by_chain = tables(data).tables["money_totals"]
    waits, stands = (by_saw, by_chain) if sheet_id == "sessions" else (by_chain, by_saw)
    assert words(waits["cash"].reason) == f"needs {cell}"
    assert value(stands["cash"]) > 0
    found = row(data, "break_even", quicker="By chain saw")
    assert words(found["extra_cash"].reason) == f"needs {cell}"
