"""Verdicts of each task: by flips, by draws, and by who may do what."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import combinations
from typing import Any

import numpy as np
import pytest
from builders import Data, at, demo, only_methods, records, season_rates, text_cell
from builders import checked as checked_season
from few import examples, few, together
from hypothesis import given, settings
from hypothesis import strategies as st

from wood_xl.choice.advised import advices
from wood_xl.choice.edge import Edge, Step, Values, Way
from wood_xl.choice.winners import WHOLE_JOB, Judged, conflict, whole_job, winners_of
from wood_xl.draws.ensemble import WORLDS
from wood_xl.draws.figure import Figure, drawn
from wood_xl.hours.comparisons import comparison_rows
from wood_xl.hours.methods import MethodTotals
from wood_xl.money.break_even import price_of_saved
from wood_xl.notes.convert import season_records
from wood_xl.notes.raw import Cells
from wood_xl.reasons import Reason, Word, is_said, said
from wood_xl.records import Method, Season
from wood_xl.results.document import for_unit_of_wood
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import words
from wood_xl.season import season_tables
from wood_xl.verdicts import Kind, NotPlanned, Surety

HILL, CABIN = "hill_farm_us", "lake_cabin_metric"
BOW, CHAIN, MAUL, SPLITTER = "bow saw bucking", "chain saw bucking", "maul splitting", "electric splitting"
SPREAD = WORLDS.scores("spread of these tests")
SPREAD_HOURS = 2.0 * np.exp(0.3 * SPREAD)
GRID = np.linspace(0.0, 200.0, 801)
AMOUNTS = st.tuples(
    st.floats(0.5, 30.0), st.floats(0.0, 400.0), st.floats(100.0, 5000.0), st.floats(0.0, 60.0)
)  # hours, cash, kcal, kg of CO2e


def notes(name: str = HILL, hour: float | None = None, **season: Any) -> Data:
    data = demo(name)
    data["season"].pop("value_of_time", None)
    data["season"].update(season)
    if hour is not None:
        data["season"]["value_of_time"] = hour
    return data


def tables_of(season: Season) -> dict[str, list[dict[str, Any]]]:
    found = season_tables(season).tables
    return {
        name: [
            {key: cell.key if isinstance(cell, Word) else cell for key, cell in row.items()} for row in found[name]
        ]
        for name in ("verdicts", "winners", "exchange")
    }


@cache
def demo_tables(name: str, hour: float | None) -> dict[str, list[dict[str, Any]]]:
    return tables_of(records(notes(name, hour)))


def verdict(rows: dict[str, list[dict[str, Any]]], task: str) -> dict[str, Any]:
    return next(row for row in rows["verdicts"] if row["task"] == task)


def sentence(row: dict[str, Any]) -> str:
    return words(for_unit_of_wood(row["sentence"], "us")).replace("\N{NO-BREAK SPACE}", " ")


def way(name: str, hours: Any, cash: Any, kcal: Any = 1.0, co2e: Any = 1.0) -> Way:
    """A way with given figures, as numbers or members, at every volume."""
    found = {"worker_hours": hours, "cash": cash, "kcal_net": kcal, "co2e": co2e}
    totals = MethodTotals(Method(name, "buck"), (), ())
    return Way(totals, {(key, 1.0): drawn(np.asarray(one, dtype=np.float64)) for key, one in found.items()})


@settings(max_examples=examples(60), deadline=None)
@given(
    amounts=st.lists(AMOUNTS, min_size=2, max_size=5),
    kcal=st.none() | st.floats(-20.0, 20.0),
    tonne=st.none() | st.floats(0.0, 1000.0),
)
def test_the_way_with_the_least_sum_at_each_value_of_an_hour_is_what_the_flips_say(
    amounts: list[tuple[float, float, float, float]], kcal: float | None, tonne: float | None
) -> None:
    ways = [way(f"way {number}", *one) for number, one in enumerate(amounts)]
    edge = Edge(ways, Values(kcal_1000=kcal, co2e_tonne=tonne))
    table = np.array([c + (kcal or 0) * e / 1000 + (tonne or 0) * g / 1000 + GRID * h for h, c, e, g in amounts])
    flips = [step.flip.value for step in edge.steps]
    assert flips == sorted(flips)
    for place, hour in enumerate(GRID):
        by_flips = edge.least[sum(flip < hour for flip in flips)]
        sums = table[:, place]
        assert sums[ways.index(by_flips)] <= sums.min() + 1e-9 * (1 + abs(sums.min()))


@pytest.mark.parametrize(
    ("hour", "buck", "split"),
    few(
        [
            (1, ("too_dear", BOW), ("too_dear", MAUL)),
            (18, ("pays", CHAIN), ("keep", MAUL)),
            (60, ("pays", CHAIN), ("pays", SPLITTER)),
            (None, ("depends", ""), ("depends", "")),
        ],
        (18, ("pays", CHAIN), ("keep", MAUL)),
    ),
)
def test_what_an_hour_is_worth_decides(hour: float | None, buck: tuple[str, str], split: tuple[str, str]) -> None:
    rows = demo_tables(HILL, hour)
    assert [(one["kind"], one["choice"]) for one in rows["verdicts"]] == [buck, split, ("only_way", "hand stacking")]


@pytest.mark.slow
def test_the_sentences_of_the_demo_say_what_decides() -> None:
    keeps, pays = verdict(demo_tables(HILL, 18), "split"), verdict(demo_tables(HILL, 90), "split")
    assert words(keeps["head"]) == "Splitting: keep maul for now"
    assert "At $18 an hour electric splitting may pay." in sentence(keeps)
    assert "You value an hour at $90, so it pays. Settled." in sentence(pays)
    assert sentence(pays).endswith("To buy what electric splitting needs takes $690; your cash limit is $500.")
    assert "more than your $1. Settled." in sentence(verdict(demo_tables(HILL, 1), "buck"))
    assert "If less, take maul splitting." in sentence(verdict(demo_tables(HILL, None), "split"))


@pytest.mark.slow
@together(
    ("kcal", "tonne", "kind", "choice"),
    few(
        [
            (None, 0, "pays", CHAIN),
            (None, 1_000, "pays", CHAIN),
            (None, 100_000, "too_dear", BOW),
            (-5, None, "pays", CHAIN),
            (-20, None, "either_owned", ""),
            (-80, None, "too_dear", BOW),
            (20, None, "dominates", CHAIN),
        ],
        (None, 100_000, "too_dear", BOW),
        (-20, None, "either_owned", ""),
    ),
)
def test_effort_and_co2e_count_at_what_they_are_worth(
    kcal: float | None, tonne: float | None, kind: str, choice: str
) -> None:
    """At 18 an hour; 1,000 kcal below 0 are wanted exercise."""
    season = replace(records(notes(HILL, 18)), value_of_effort_per_1000_kcal=kcal, carbon_price_per_t=tonne)
    found = verdict(tables_of(season), "buck")
    assert (found["kind"], found["choice"]) == (kind, choice)
    assert "as far as you gave them a value" in sentence(found)


@pytest.mark.slow
def test_less_time_and_less_cash_leave_nothing_to_weigh() -> None:
    data = notes(HILL)
    next(row for row in data["tools"] if row["tool"] == "splitting maul").update(price=4000, life_years=5)
    found = verdict(tables_of(records(data)), "split")
    assert (found["kind"], found["choice"], found["surety"]) == ("dominates", SPLITTER, "settled")
    assert "There is nothing to weigh." in sentence(found)
    assert found["flip"].value < 0
    doubtful = replace(records(notes(HILL)), value_of_effort_per_1000_kcal=10.0)
    open_one = verdict(tables_of(doubtful), "buck")
    assert (open_one["kind"], open_one["surety"]) == ("dominates", "open")
    assert "nothing to weigh" not in sentence(open_one)


@pytest.mark.slow
def test_co2e_for_nothing_moves_no_flip() -> None:
    season = replace(records(notes(HILL, 18)), carbon_price_per_t=0.0)
    free, plain = tables_of(season)["exchange"], demo_tables(HILL, 18)["exchange"]
    for key in ("flip", "flip_half", "flip_twice"):
        assert [(one[key].value, one[key].low, one[key].high) for one in free] == [
            (one[key].value, one[key].low, one[key].high) for one in plain
        ]


@pytest.mark.slow
def test_at_other_volumes_the_making_of_tools_weighs_more_or_less() -> None:
    """The extra kg of the splitter are those of making it, spread over a life by age."""
    season = replace(records(notes(HILL, 18)), carbon_price_per_t=1_000.0)
    weighed, plain = tables_of(season)["exchange"][1], demo_tables(HILL, 18)["exchange"][1]
    dearer = {key: weighed[key].value - plain[key].value for key in ("flip_half", "flip", "flip_twice")}
    assert dearer["flip_half"] > 1.5 * dearer["flip"] > 2 * dearer["flip_twice"] > 0


@pytest.mark.slow
@pytest.mark.parametrize("change", [{"price": 30_000}, {"mass": 900}])
def test_another_method_moves_nothing_between_two_others(change: dict[str, float]) -> None:
    """The splitter is no saw, and the battery saw none of the two that are compared."""
    for name, tool, kept in ((HILL, "electric splitter", "buck"), (CABIN, "battery chain saw", "buck")):
        data = notes(name, 150 if name == CABIN else 18)
        next(row for row in data["tools"] if row["tool"] == tool).update(change)
        changed, plain = tables_of(records(data)), demo_tables(name, data["season"]["value_of_time"])
        one, other = (next(row for row in rows["exchange"] if row["task"] == kept) for rows in (changed, plain))
        assert (one["method"], one["instead_of"]) == (other["method"], other["instead_of"])
        for key in ("hours_saved", "cash_more", "co2e_more", "hour", "flip"):
            assert np.array_equal(one[key].members, other[key].members)
        assert verdict(changed, kept)["choice"] == verdict(plain, kept)["choice"]


def test_a_range_that_has_no_upper_end_says_so() -> None:
    step = Step(way("slow", 5.0 + SPREAD, 10.0), way("quick", 4.0, 30.0 + SPREAD / 10), Values(hour=12.0))
    flip = step.flip
    assert flip.value == pytest.approx(20.0)
    assert flip.high is None
    assert 0 < (flip.low or 0) < 20
    assert is_said(flip.reason, Reason.MAY_SAVE_NO_HOUR)
    assert words(flip.reason) == "may save no hour"
    assert step.holds(1e9)
    assert not step.holds((flip.low or 0) - 1e-6)
    surely = Step(way("slow", 5.0 + SPREAD / 10, 10.0), way("quick", 4.0, 30.0), Values())
    assert surely.flip.high is not None
    assert surely.flip.reason is None


def test_what_saves_nothing_has_no_price() -> None:
    reasons = {"none": Reason.SAVES_NO_EFFORT, "maybe": Reason.MAY_SAVE_NO_EFFORT}
    assert price_of_saved(Figure(3.0), drawn(-9.0 + SPREAD), **reasons).reason == said(Reason.SAVES_NO_EFFORT)
    told = price_of_saved(Figure(3.0), drawn(-2.0 + SPREAD), **reasons).reason
    assert words(told) == "spares no effort (as things stand, and in 98 of 100 cases)"
    assert is_said(price_of_saved(Figure(3.0), drawn(1.0 + SPREAD), **reasons).reason, Reason.MAY_SAVE_NO_EFFORT)


@pytest.mark.slow
def test_an_open_range_is_worded_as_one() -> None:
    data = notes(HILL)
    for row in data["sessions"]:
        if row["method"] == SPLITTER:  # about as quick as the maul
            row["elapsed_time"] *= 1.75
    found = verdict(tables_of(records(data)), "split")
    assert found["kind"] == "time_open"
    assert found["choice"] == ""
    assert words(found["head"]) == "Splitting: not settled"
    assert sentence(found).startswith("It is not settled that ")
    assert found["flip"].value is None or found["flip"].high is None


def test_the_only_way_timed() -> None:
    rows = tables_of(records(only_methods(notes(HILL, 18), CHAIN, MAUL, "hand stacking")))
    assert {(one["kind"], one["surety"]) for one in rows["verdicts"]} == {("only_way", "only_one")}
    assert sentence(verdict(rows, "buck")).startswith("The only way you timed: ")
    assert rows["exchange"] == []
    assert {one["surety"] for one in rows["winners"]} == {"only_one"}
    assert {one["conflict"] for one in rows["verdicts"]} == {None}


def test_without_prices_time_alone_is_compared() -> None:
    data = notes(HILL, 18)
    for tool in data["tools"]:
        del tool["price"], tool["resale"]
    rows = tables_of(records(data))
    found = verdict(rows, "buck")
    assert (found["kind"], found["choice"], found["surety"]) == ("price_missing", CHAIN, "settled")
    assert words(found["head"]) == "Bucking: quickest is chain saw"
    assert "Bow saw bucking: no cash known (needs the price of bow saw)." in sentence(found)
    money = [one for one in rows["winners"] if one["measure"] == "money" and one["task"] != "stack"]
    assert {(one["method"], one["surety"]) for one in money} == {((), "not_known")}
    assert rows["exchange"] == []


@pytest.mark.slow
def test_three_saws() -> None:
    """The third saw is least at no value of an hour, and yet not told apart from the quickest."""
    found = verdict(demo_tables(CABIN, 150), "buck")
    assert (found["kind"], found["choice"], found["surety"]) == ("pays", "petrol saw bucking", "open")
    assert "Against bow saw bucking, petrol saw bucking saves" in sentence(found)
    assert sentence(found).endswith("Petrol saw bucking rather than battery saw bucking: cannot tell yet.")
    assert words(found["conflict"]) == "Bow saw bucking wins on money and air."  # in hours two saws are alike


def test_a_third_way_without_a_price_changes_nothing_between_two_others() -> None:
    saws = ("bow saw bucking", "petrol saw bucking", "battery saw bucking")
    data = only_methods(notes(CABIN, 150), *saws)
    priced = tables_of(records(data))
    del next(row for row in data["tools"] if row["tool"] == "battery chain saw")["price"]
    unpriced = tables_of(records(data))
    assert verdict(unpriced, "buck")["kind"] == "price_missing"
    (one,), (other,) = unpriced["exchange"], priced["exchange"]
    assert {one["method"], one["instead_of"]} == {"bow saw bucking", "petrol saw bucking"}
    for key in ("hours_saved", "cash_more", "co2e_more", "hour", "flip", "flip_half", "flip_twice"):
        assert np.array_equal(one[key].members, other[key].members)
    assert np.array_equal(verdict(unpriced, "buck")["flip"].members, one["flip"].members)


@pytest.mark.slow
def test_a_value_that_waits_for_a_mend_leaves_no_flip_anywhere() -> None:
    data = notes(HILL, 18)
    data["season"]["price_of_carbon"] = -5
    rows = tables_of(season_records(checked_season(data))[0])
    assert verdict(rows, "buck")["kind"] == "waits"
    assert rows["exchange"] == []


@pytest.mark.slow
def test_a_quicker_way_that_costs_the_same_costs_no_more() -> None:
    """Two ways of stacking with bare hands: neither costs anything."""
    data = notes(HILL)
    for row in data["methods"]:
        if row["method"] == "hand stacking":
            del row["tool_1"]
    for row in (*data["sessions"], *data["helpers"]):
        row.pop("stacking_time", None)  # it would be under neither of the two
        if row["person"] == "Eli":
            row["person"] = "Jon"
    data["methods"].append({"method": "slow stacking", "task": "stack"})
    for number, session in enumerate([s for s in data["sessions"] if s["method"] == "hand stacking"]):
        if number % 2:
            session.update(method="slow stacking", elapsed_time=3 * session["elapsed_time"])
    found = verdict(tables_of(records(data)), "stack")
    assert (found["kind"], found["choice"]) == ("dominates", "hand stacking")
    assert "It costs no more in all" in sentence(found)
    assert found["surety"] in ("settled", "likely")


def test_what_is_not_settled_wins_on_nothing() -> None:
    ways = [way("one", SPREAD_HOURS, 10.0), way("other", 2.0, 10.0)]
    judged = {key: winners_of(ways, key, {}, 0.1) for key in ("worker_hours", "cash", "kcal_net", "co2e")}
    assert judged["worker_hours"].surety is Surety.OPEN
    assert conflict(judged, {}) is None


def test_three_ways_that_tie_share_each_draw() -> None:
    ways = [way(name, SPREAD_HOURS, 10.0) for name in ("one", "other", "third")]
    assert winners_of(ways, "worker_hours", {}, 0.1).is_least == pytest.approx(1 / 3)


@pytest.mark.slow
def test_between_two_that_are_still_to_buy_the_smaller_outlay_comes_first() -> None:
    data = notes(HILL, 18)
    next(row for row in data["tools"] if row["tool"] == "splitting maul")["held"] = "to buy"
    found = verdict(tables_of(records(data)), "split")
    assert (found["kind"], found["choice"]) == ("keep", MAUL)
    assert "You own neither, and maul splitting costs less to buy." in sentence(found)
    assert "To buy what maul splitting needs takes $62" in sentence(found)


@pytest.mark.slow
def test_within_the_margin_it_is_either() -> None:
    found = verdict(tables_of(records(notes(HILL, 9, practical_margin=90))), "split")
    assert (found["kind"], found["choice"], found["surety"]) == ("same", "", "same")
    assert "less than the 90% that you said would not matter" in sentence(found)


def test_what_nobody_may_be_planned_for_is_never_advised() -> None:
    data = notes(HILL, 60)
    for person in data["people"]:
        person["may_use"] = "electric splitter"
    found = verdict(tables_of(records(data)), "buck")
    assert (found["kind"], found["choice"], found["surety"]) == ("nobody_may", BOW, "only_one")
    assert sentence(found).startswith("Quickest is chain saw bucking, but a plan would have nobody for it: ")
    assert "not listed as trained" in sentence(found)
    assert not any(person["person"] in sentence(found) for person in data["people"])


@pytest.mark.slow
@pytest.mark.parametrize("hour", few([None, 1, 40, 150, 4000], 40))
def test_nothing_that_is_barred_is_ever_advised(hour: float | None) -> None:
    rates = season_rates(notes(CABIN, hour))
    compared = comparison_rows(rates.study.totals, rates)
    saws = ("bow saw bucking", "petrol saw bucking", "battery saw bucking")
    told = set()
    for n in range(4):
        for barred in combinations(saws, n):
            why = dict.fromkeys(barred, said(NotPlanned.NOT_TRAINED))
            found = next(row for row in advices(rates, compared, why).verdicts if row["task"] == "buck")
            assert found["choice"] not in barred
            told.add((n, found["kind"].key))
            if n >= 2:
                assert found["kind"] is Kind.NOBODY_MAY
                assert found["choice"] == "".join(saw for saw in saws if saw not in barred)
    assert (0, "nobody_may") not in told
    assert (1, "nobody_may") in told


def test_a_session_that_waits_holds_its_task_back_alone() -> None:
    data = notes(HILL, 18)
    place = next(i for i, row in enumerate(data["sessions"]) if row["method"] == CHAIN)
    cell, sessions = at("sessions.elapsed_time", 4 + place), season_definition().sheet("sessions")
    column = 1 + [one.id for one in sessions.columns].index("elapsed_time")

    def spoil(sheets: dict[str, Cells]) -> None:
        sheets["sessions"][4 + place, column] = text_cell("about an hour")

    rows = tables_of(season_records(checked_season(data, edit=spoil))[0])
    found = verdict(rows, "buck")
    assert (found["kind"], found["choice"], found["surety"]) == ("waits", "", "not_known")
    won = {(one["task"], one["measure"]): one["surety"] for one in rows["winners"]}
    assert won["buck", "time"] == won[WHOLE_JOB, "time"] == "not_known"
    assert won["split", "time"] == "settled"
    assert sentence(found) == f"One session waits for {cell}. Mend it and score again."
    assert verdict(rows, "split")["kind"] == "keep"


def shared(share: float, surety: Surety, shift: int = 0) -> Judged:
    least = np.zeros(WORLDS.shape[0] - 1)
    least[: round(share * least.size)] = 1.0
    return Judged(way("one", 1.0, 1.0), surety, 2, np.roll(least, shift))


@pytest.mark.slow
def test_the_whole_job_is_never_surer_than_its_least_sure_task() -> None:
    likely, settled = shared(0.96, Surety.LIKELY), shared(0.999, Surety.SETTLED)
    assert whole_job([likely, settled]) is Surety.LIKELY
    assert whole_job([likely, shared(0.96, Surety.LIKELY, shift=2000)]) is Surety.LEANS
    alone, same = Judged(None, Surety.ONLY_ONE, 1), Judged(None, Surety.SAME, 2)
    assert whole_job([settled, alone, same]) is Surety.SETTLED
    assert whole_job([alone, alone]) is Surety.ONLY_ONE
    assert whole_job([alone, same]) is Surety.SAME
    assert whole_job([settled, Judged(None, Surety.NOT_KNOWN, 2)]) is Surety.NOT_KNOWN
    order = [one.key for one in (Surety.NOT_KNOWN, Surety.OPEN, Surety.LEANS, Surety.LIKELY, Surety.SETTLED)]
    for name, hour in ((HILL, 18), (CABIN, 150)):
        rows = demo_tables(name, hour)["winners"]
        for whole in (one for one in rows if one["task"] == WHOLE_JOB):
            others = [one["surety"] for one in rows if one["measure"] == whole["measure"] and one is not whole]
            assert order.index(whole["surety"]) <= min(order.index(one) for one in others if one in order)


def test_winners_of_the_demo_and_the_line_about_them() -> None:
    rows = demo_tables(HILL, 18)
    won = {(one["measure"], one["task"]): one["method"] for one in rows["winners"]}
    assert won["time", WHOLE_JOB] == (CHAIN, SPLITTER, "hand stacking")
    assert won["money", WHOLE_JOB] == won["air", WHOLE_JOB] == (BOW, MAUL, "hand stacking")
    assert words(verdict(rows, "buck")["conflict"]).startswith("Power saves time and effort; ")


def test_where_only_time_is_known_nobody_is_sent_to_the_quicker_way_that_is_barred() -> None:
    data = notes(HILL, 18)
    for tool in data["tools"]:
        tool.pop("price", None)
    rates = season_rates(data)
    compared = comparison_rows(rates.study.totals, rates)
    barred = {CHAIN: said(NotPlanned.NOT_TRAINED)}
    found = next(row for row in advices(rates, compared, barred).verdicts if row["task"] == "buck")
    assert (found["kind"], found["choice"]) == (Kind.PRICE_MISSING, BOW)
