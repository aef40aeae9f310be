"""The first page in words: question, limits, verdicts, the whole job, prices, how sure, and what comes next."""

from __future__ import annotations

import copy
from collections.abc import Callable
from functools import cache
from io import BytesIO
from typing import Any

import pytest
from builders import Data, checked
from openpyxl import load_workbook
from sample_results import BUCK_CHAIN, BUCK_SAW, LONG_METHOD, SPLIT_ENGINE, results_with_ids

from wood_xl.choice.values import Values
from wood_xl.choice.winners import FROM_LEAST_SURE, WHOLE_JOB
from wood_xl.demo import demo_data
from wood_xl.ids import Part
from wood_xl.io.page import Paper, page_points
from wood_xl.io.results import results_bytes
from wood_xl.notes.problem import Place, problem
from wood_xl.pages import Decision
from wood_xl.pipeline import computed_again
from wood_xl.reasons import Reason, said
from wood_xl.results.first_page import decision, proposed_methods
from wood_xl.schema.words import words
from wood_xl.verdicts import BestFor, Kind, Measure, Source, Surety

Row = dict[str, Any]
HILL, CABIN = "hill_farm_us", "lake_cabin_metric"
BOW, CHAIN, MAUL, SPLITTER = "bow saw bucking", "chain saw bucking", "maul splitting", "electric splitting"
TOLD = {"display_units": "us", "input_sha256": "0" * 64, "template_version": "1"}


@pytest.fixture
def document() -> Row:
    return results_with_ids("us")


def told(document: Row, problems: Any = (), values: Values = Values(hour=18.0)) -> dict[str, str]:  # noqa: B008
    rows = decision(document, document["plan"], document["season"], list(problems), values)
    return {words(row["part"]): row["text"].replace("\N{NO-BREAK SPACE}", " ") for row in rows}


def part(page: dict[str, str], one: Part) -> str:
    return page[words(one)]


# by a document that is made up


def test_each_part_stands_in_its_place(document: Row) -> None:
    heads = [row["head"] for row in document["verdicts"]]
    after = [Part.WHOLE_JOB, Part.PRICE, Part.HOW_SURE, Part.NEXT_SEASON, Part.NEXT_STEPS]
    assert list(told(document)) == [words(Part.QUESTION), *heads, *map(words, after)]
    document["limits"][0] |= {"source": Source.PERSONS}
    assert list(told(document))[:3] == [words(Part.QUESTION), words(Part.FAIRNESS), heads[0]]


def test_each_task_is_told_by_the_very_words_of_its_verdict(document: Row) -> None:
    page = told(document)
    for row in document["verdicts"]:
        assert page[row["head"]] == row["sentence"]


def test_what_limits_a_comparison_is_told_of_its_pair(document: Row) -> None:
    (limit,) = document["limits"]
    assert words(Part.FAIRNESS) not in told(document)  # most doubt comes from the sessions
    for source in (Source.PERSONS, Source.LOGS, Source.DAYS):
        limit["source"] = source
        fair = part(told(document), Part.FAIRNESS)
        assert BUCK_SAW in fair
        assert BUCK_CHAIN in fair
    limit["share"]["value"] = 20.0  # less than a third of the doubt
    assert words(Part.FAIRNESS) not in told(document)


def test_the_whole_job_is_told_as_advised_with_its_figures(document: Row) -> None:
    whole = part(told(document), Part.WHOLE_JOB)
    assert whole.startswith("As advised, a cord takes 3.9 hours of work (2.9 to 5.3), 1,400 kcal beyond rest (900 to")
    assert "78 USD (56 to 100)" in whole


def test_a_figure_that_is_missing_is_not_made_up(document: Row) -> None:
    job = document["combinations"][0]
    job["cash"] |= {"value": None, "reason": "no price"}
    job["co2e"] |= {"value": None, "reason": "no price"}
    job["kcal_net"] |= {"value": None, "reason": "no weight"}
    whole = part(told(document), Part.WHOLE_JOB)
    assert (
        "a cord takes 3.9 hours of work (2.9 to 5.3). Not known: effort (no weight); cash and CO2e (no price)."
        in whole
    )


def test_a_job_that_is_not_advised_yet_says_why(document: Row) -> None:
    job, why = document["combinations"][0], said(Reason.NOT_ADVISED, tasks=("bucking",))
    job |= {"methods": (), "worker_hours": {**job["worker_hours"], "value": None, "reason": why}}
    assert words(why) in part(told(document), Part.WHOLE_JOB)
    assert "As advised" not in part(told(document), Part.WHOLE_JOB)


def test_the_least_of_each_measure_is_told_with_its_surety(document: Row) -> None:
    whole = part(told(document), Part.WHOLE_JOB)
    likely, settled = words(Surety.LIKELY), words(Surety.SETTLED)
    assert f"Least time and effort: as advised ({likely})." in whole
    assert f"Least money and CO2e: {BUCK_SAW} and {LONG_METHOD} ({settled})." in whole
    of_time = next(r for r in document["winners"] if (r["measure"], r["task"]) == (Measure.TIME, WHOLE_JOB))
    of_time |= {"method": (), "surety": Surety.NOT_KNOWN}
    whole = part(told(document), Part.WHOLE_JOB)
    assert "Least time: not known." in whole
    assert f"Least effort: as advised ({likely})." in whole


def test_which_way_wins_on_what_is_told_once_where_all_tasks_are_alike(document: Row) -> None:
    one = words(document["verdicts"][0]["conflict"])
    assert part(told(document), Part.WHOLE_JOB).count(one) == 1
    document["verdicts"][1]["conflict"] = said(Decision.NO_HOUR)
    assert f"Bucking: {one} Splitting: {words(Decision.NO_HOUR)}" in part(told(document), Part.WHOLE_JOB)


def test_a_price_is_told_where_something_costs_more(document: Row) -> None:
    (row,) = document["exchange"]
    price = part(told(document), Part.PRICE)
    assert "9.20 USD" in price
    assert "1,800 hours more" in price  # no value of an hour is written: a ton is told in hours
    row["co2e_tonne"] |= {"value": 900.0, "low": -50.0, "high": 2000.0}
    price = part(told(document), Part.PRICE)
    assert "900 USD (0.00 to 2,000)" in price
    assert "hours more" not in price
    row["kcal_1000"]["value"], row["co2e_tonne"]["value"], document["bought_wood"] = -3.0, -1.0, []
    assert part(told(document), Part.PRICE) == words(Decision.NO_PRICES)


def test_a_bought_cord_stands_beside_the_way_that_is_advised(document: Row) -> None:
    (row,) = document["bought_wood"]
    assert "280 USD (210 to 350)" in part(told(document), Part.PRICE)
    assert words(BestFor.SUGGESTED) in part(told(document), Part.PRICE)
    cheaper = copy.deepcopy(row) | {"best_for": BestFor.MONEY}
    row["per_hour"] |= {"value": None, "reason": "no price"}
    document["bought_wood"].append(cheaper)
    assert words(BestFor.MONEY) in part(told(document), Part.PRICE)


def test_surety_is_told_in_its_words_and_the_margin_with_it(document: Row) -> None:
    sure = part(told(document), Part.HOW_SURE)
    assert f"Bucking: {words(Surety.LIKELY)}. Splitting: {words(Surety.LEANS)}." in sure
    assert "10 %" in sure
    for row in document["verdicts"]:
        row["surety"] = Surety.SETTLED
    assert f"Bucking and splitting: {words(Surety.SETTLED)}." in part(told(document), Part.HOW_SURE)
    document["season"]["practical_margin"] |= {"value": None, "reason": "needs Season!B9"}
    assert " % " not in part(told(document), Part.HOW_SURE)


def test_stated_values_stand_in_the_question(document: Row) -> None:
    values = Values(hour=18.0, kcal_1000=-2.5, co2e_tonne=100.0)
    asked = part(told(document, values=values), Part.QUESTION)
    assert [amount for amount in ("18 USD", "-2.50 USD", "100 USD") if amount in asked] == [
        "18 USD",
        "-2.50 USD",
        "100 USD",
    ]
    assert part(told(document, values=Values()), Part.QUESTION).endswith(words(Decision.NO_HOUR))
    assert "no value" not in part(told(document, values=Values(waits="Season!B7")), Part.QUESTION)


def tasks(document: Row, **tried: int) -> None:
    """Leave one method for each of these tasks, with so many sessions; a task of none waits."""
    rate, verdict = document["rates_per_cord"][0], document["verdicts"][0]
    document["rates_per_cord"] = [
        {**rate, "method": f"{task} {n}", "task": task, "sessions_n": 1}
        for task, ways_n in tried.items()
        for n in range(ways_n)
    ]
    document["exchange"] = []
    document["verdicts"] = [{**verdict, "task": task, "head": f"{task}: it"} for task in tried]


@pytest.mark.parametrize(
    ("tried", "question", "absent"),
    [
        ({"buck": 2, "split": 1, "stack": 1}, "Which way suits you for each task, from log to stack?", ""),
        ({"fell": 1, "buck": 2, "split": 1, "stack": 1}, "from tree to stack?", ""),
        ({"buck": 2, "split": 0}, "Which way of bucking and splitting suits you?", "splitting and stacking"),
        ({"split": 2, "haul": 1, "stack": 1}, "splitting, hauling and stacking suits you?", "bucking"),
        ({"buck": 1, "split": 1, "stack": 1}, "What does a cord take, from log to stack?", ""),
        ({"buck": 1}, "What does bucking a cord take?", "splitting and stacking"),
    ],
)
def test_the_question_has_the_tasks_that_were_tried(
    document: Row, tried: dict[str, int], question: str, absent: str
) -> None:
    tasks(document, **tried)
    page = told(document)
    assert question in part(page, Part.QUESTION)
    assert ("Without" in part(page, Part.WHOLE_JOB)) == bool(absent)
    assert absent in part(page, Part.WHOLE_JOB)


def test_without_a_verdict_there_is_no_first_page(document: Row) -> None:
    document["verdicts"] = []
    assert decision(document, document["plan"], document["season"], [], Values()) == []


def test_there_are_never_more_than_three_steps_and_mends_come_first(document: Row) -> None:
    fix = problem("season-no-sessions", Place("Sessions"))
    assert part(told(document, [fix]), Part.NEXT_STEPS).count("Mend") == (fix.level.name == "FIX")
    document["verdicts"][0]["kind"] = Kind.PRICE_MISSING
    steps = part(told(document), Part.NEXT_STEPS)
    assert [number for number in "12345" if f"{number}. " in steps] == ["1", "2", "3"]
    assert steps.startswith("1. Write what is missing to compare the cost: sheet Problems. 2. Try first: 2026-02-14")
    document["verdicts"][0]["kind"] = Kind.PAYS
    assert part(told(document), Part.NEXT_STEPS).startswith("1. Try first: 2026-02-14")


def test_without_trials_the_first_day_comes_first(document: Row) -> None:
    document["trials"] = []
    assert part(told(document), Part.NEXT_STEPS).startswith("1. Begin on Saturday 2026-02-14: Ada 120 min of ")


def test_a_plan_that_begins_with_a_trial_day_tells_of_it_once(document: Row) -> None:
    assert "Begin on" not in part(told(document), Part.NEXT_STEPS)
    document["trials"] = document["trials"][1:]
    assert "Begin on Saturday 2026-02-14" in part(told(document), Part.NEXT_STEPS)


def test_an_open_end_says_what_is_missing_and_the_ways_out(document: Row) -> None:
    document["trials"] = []
    document["plan"]["ways"] = "raise hours in all by 23 %"
    document["plan"]["shortfall"]["value"] = 1.25
    page = told(document)
    assert "all limits are kept. Missing: 1.25 cords." in part(page, Part.NEXT_SEASON)
    assert part(page, Part.NEXT_STEPS).startswith("1. Choose: raise hours in all by 23 %.")


@pytest.mark.parametrize(("why", "is_asked"), [(Reason.NOTHING_WANTED, True), (Reason.NO_SESSION, False)])
def test_the_sheet_is_asked_for_only_where_it_is_empty(document: Row, why: Reason, is_asked: bool) -> None:
    document["plan"]["volume_planned"] |= {"value": None, "reason": said(why)}
    for table in ("trials", "plan_sessions", "plan_mix", "plan_left_out", "shopping"):
        document[table] = []
    page = told(document)
    assert part(page, Part.NEXT_SEASON) == f"No plan: {words(why)}."
    assert (words(Decision.FILL_IN_PLAN) in part(page, Part.NEXT_STEPS)) == is_asked


def test_a_plan_by_other_ways_than_the_advised_ones_says_so(document: Row) -> None:
    document["plan_left_out"] = []
    mixed = part(told(document), Part.NEXT_SEASON)
    assert mixed.endswith(f"Otherwise than advised: splitting with {LONG_METHOD}.")
    third = copy.deepcopy(document["plan_mix"][1]) | {"method": SPLIT_ENGINE}
    third["volume"]["value"] *= 3
    document["plan_mix"].append(third)
    assert f"splitting 25 % with {LONG_METHOD} and 75 % with {SPLIT_ENGINE}." in part(
        told(document), Part.NEXT_SEASON
    )
    del document["plan_mix"][1]
    assert "advised" not in part(told(document), Part.NEXT_SEASON)
    document["plan_mix"][0]["method"] = BUCK_SAW
    document["verdicts"][0]["choice"] = ""  # what is not advised is not gone against
    assert "advised" not in part(told(document), Part.NEXT_SEASON)


def test_what_the_plan_is_without_is_said_in_its_sentence(document: Row) -> None:
    why = "what it has to buy costs more than the cash limit"
    method = next(row["method"] for row in document["plan_left_out"] if not row["person"])
    document["plan"]["sessions_n"] = 1
    page = part(told(document), Part.NEXT_SEASON)
    assert f" Not planned: {method} ({why}). " in page
    assert page.endswith('Who is not planned for what stands on the sheet Next season, "Not planned, and why".')
    assert "Cy" not in page
    assert "; 1 session from 2026-02-14 to" in page


def test_open_looks_are_counted_where_surety_is_told(document: Row) -> None:
    assert "LOOK" not in part(told(document), Part.HOW_SURE)
    trend = problem("season-trend-shown", found="bow saw", what="9 % less from session to session")
    cell = problem("row-top-over-bottom", Place("Stacks", 5, 2), found="99 in", expected="90 in")
    held = problem("row-no-price", Place("Tools", 4, 3))
    plan = problem("plan-task-without-method", found="stacking")
    page = part(told(document, [trend, cell, held, plan]), Part.HOW_SURE)
    assert page.endswith("2 lines marked LOOK on the sheet Problems may move these figures (Stacks!B5 and others).")
    assert part(told(document, [cell]), Part.HOW_SURE).endswith(
        "1 line marked LOOK on the sheet Problems may move these figures (Stacks!B5)."
    )
    assert part(told(document, [trend]), Part.HOW_SURE).endswith("may move these figures.")
    assert "LOOK" not in part(told(document, [held, plan]), Part.HOW_SURE)


def test_what_is_proposed_is_advised_least_in_something_or_planned(document: Row) -> None:
    assert proposed_methods(document) == {BUCK_CHAIN, BUCK_SAW, SPLIT_ENGINE, LONG_METHOD}
    document["winners"], document["trials"], document["plan_mix"] = [], [], []
    assert proposed_methods(document) == {BUCK_CHAIN, SPLIT_ENGINE}


# by seasons that are scored


def hill(**season: Any) -> Data:
    data = copy.deepcopy(demo_data(HILL))
    data["season"].update(season)
    return data


def unpriced() -> Data:
    data = hill()
    for tool in data["tools"]:
        tool.pop("price", None)
    return data


def one_method() -> Data:
    data = hill()
    data["sessions"] = [row for row in data["sessions"] if row["method"] == CHAIN]
    data["methods"] = [row for row in data["methods"] if row["method"] == CHAIN]
    kept = {row["session"] for row in data["sessions"]}
    for sheet in ("cuts", "stacks", "helpers", "heart_trace"):
        data[sheet] = [row for row in data[sheet] if row["session"] in kept]
    return data


def left_out() -> Data:
    data = hill()
    for row in data["sessions"]:
        row["leave_out"] = "rain"
    return data


def waiting() -> Data:
    data = hill()
    for row in data["sessions"]:
        row["elapsed_time"] = 99999
    return data


def by_persons() -> Data:
    """Each saw and each way of splitting by a person of its own."""
    data = hill()
    data["helpers"] = []
    for row in data["sessions"]:
        row["person"] = "Jon" if row["method"] in (CHAIN, SPLITTER) else "Mara"
    return data


SEASONS: dict[str, Callable[[], Data]] = {
    "hill farm": hill,
    "three saws": lambda: copy.deepcopy(demo_data(CABIN)),
    "no prices": unpriced,
    "one method": one_method,
    "all waiting": waiting,
    "persons go with methods": by_persons,
    "no value of an hour": lambda: hill(value_of_time=None),
}


@cache
def scored(name: str) -> Row:
    data = SEASONS[name]()
    data["season"] = {key: value for key, value in data["season"].items() if value is not None}
    results = computed_again(checked(data), TOLD)
    assert results is not None
    return results


def page_of(results: Row) -> dict[str, str]:
    return {row["part"]: row["text"].replace("\N{NO-BREAK SPACE}", " ") for row in results["decision"]}


@pytest.mark.parametrize("name", SEASONS)
def test_the_page_says_of_every_task_what_its_verdict_says(name: str) -> None:
    results = scored(name)
    heads = [row["head"] for row in results["verdicts"]]
    rows = [row for row in results["decision"] if row["part"] in heads]
    assert [(row["part"], row["text"]) for row in rows] == [
        (row["head"], row["sentence"]) for row in results["verdicts"]
    ]
    assert heads


@pytest.mark.parametrize(("name", "paper"), [("hill farm", "letter"), ("three saws", "a4")])
def test_the_first_page_fits_a_page(name: str, paper: Paper) -> None:
    sheet = load_workbook(BytesIO(results_bytes(scored(name), paper=paper)))["Answer"]
    last = sheet.row_breaks.brk[0].id
    high = sum(sheet.row_dimensions[row].height or 0.0 for row in range(1, last + 1))
    assert high < min(page_points(sheet, paper, [one.width for one in sheet.column_dimensions.values()]))


@pytest.mark.parametrize("name", SEASONS)
def test_no_sentence_speaks_of_letters_weights_or_points(name: str) -> None:
    results = scored(name)
    page = " ".join(f"{row['part']} {row['text']}" for row in results["decision"]).lower()
    assert [word for word in ("combination", "weight", "point", "{", "}", "none.", "  ") if word in page] == []


@pytest.mark.parametrize("name", SEASONS)
def test_what_is_least_for_the_whole_job_is_never_surer_than_for_any_task(name: str) -> None:
    winners = scored(name)["winners"]
    order = {surety.key: place for place, surety in enumerate(FROM_LEAST_SURE)}
    page = page_of(scored(name)).get(words(Part.WHOLE_JOB), "")
    for whole in (row for row in winners if row["task"] == WHOLE_JOB):
        of_tasks = [
            row["surety"] for row in winners if row["measure"] == whole["measure"] and row["task"] != WHOLE_JOB
        ]
        unsure = [order[surety] for surety in of_tasks if surety in order]
        if whole["surety"] in order:
            assert order[whole["surety"]] <= min(unsure)
            assert words(Surety[whole["surety"].upper()]) in page


def test_a_season_without_prices_tells_the_quickest_and_asks_for_the_price() -> None:
    results = scored("no prices")
    assert [(row["kind"], row["choice"]) for row in results["verdicts"]][:2] == [
        (Kind.PRICE_MISSING.key, CHAIN),
        (Kind.PRICE_MISSING.key, SPLITTER),
    ]
    page = page_of(results)
    assert "cash (" in page[words(Part.WHOLE_JOB)]
    assert "Least money: not known." in page[words(Part.WHOLE_JOB)]
    assert page[words(Part.PRICE)] == words(Decision.NO_PRICES)
    assert page[words(Part.NEXT_STEPS)].startswith("1. Write what is missing")
    (money,) = (row for row in results["combinations"] if row["best_for"] == BestFor.MONEY.key)
    assert (money["methods"], money["cash"]["value"]) == ("", None)
    assert money["cash"]["reason"].startswith(BOW)


def test_one_method_is_asked_what_it_takes_and_has_no_prices_and_no_winners() -> None:
    results = scored("one method")
    page = page_of(results)
    assert page[words(Part.QUESTION)] == "What does bucking a cord take?"
    assert words(Part.PRICE) not in page
    assert "Least" not in page[words(Part.WHOLE_JOB)]
    assert page[words(Part.WHOLE_JOB)].startswith("A cord takes ")
    assert [(row["best_for"], row["methods"]) for row in results["combinations"]] == [(BestFor.ONLY.key, CHAIN)]


def test_with_three_saws_each_pair_on_the_edge_is_told_and_the_surety_is_that_of_all() -> None:
    results = scored("three saws")
    page = page_of(results)
    (verdict,) = (row for row in results["verdicts"] if row["task"] == "buck")
    assert verdict["surety"] == Surety.OPEN.key
    assert f"Bucking: {words(Surety.OPEN)}." in page[words(Part.HOW_SURE)]
    assert all(saw in page[verdict["head"]] for saw in ("bow saw", "battery saw", "etrol saw"))


def test_without_a_session_that_counts_there_is_no_first_page_and_the_plain_words_say_so_first() -> None:
    results = computed_again(checked(left_out()), TOLD)
    assert results is not None
    assert (results["decision"], results["combinations"], results["combinations_year"]) == ([], [], [])
    assert results["answers"][0]["answer"].startswith("No session could be counted")


def test_where_all_sessions_wait_the_page_names_the_cells_and_nothing_is_advised() -> None:
    results = scored("all waiting")
    page = page_of(results)
    assert {row["kind"] for row in results["verdicts"]} == {Kind.WAITS.key}
    assert all("Sessions!" in page[row["head"]] for row in results["verdicts"])
    assert words(Part.WHOLE_JOB) not in page
    assert page[words(Part.NEXT_STEPS)].startswith("1. Mend ")
    assert words(Decision.FILL_IN_PLAN) not in page[words(Part.NEXT_STEPS)]


def test_persons_that_go_with_methods_are_told_before_any_verdict() -> None:
    rows = [row["part"] for row in scored("persons go with methods")["decision"]]
    assert rows[:2] == [words(Part.QUESTION), words(Part.FAIRNESS)]
    fair = page_of(scored("persons go with methods"))[words(Part.FAIRNESS)]
    assert not [person for person in ("Jon", "Mara") if person in fair]


def test_without_a_value_of_an_hour_no_way_of_the_whole_job_is_advised_yet() -> None:
    results = scored("no value of an hour")
    assert results["combinations"][0]["methods"] == ""
    why = words(said(Reason.NOT_ADVISED, tasks=("bucking", "splitting")))
    assert results["combinations"][0]["cash"]["reason"] == why
    page = page_of(results)
    assert why in page[words(Part.WHOLE_JOB)]
    assert page[words(Part.QUESTION)].endswith(words(Decision.NO_HOUR))
    assert "hours more" in page[words(Part.PRICE)]  # the price of a metric ton
