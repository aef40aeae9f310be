"""The first page in words: question, answer, how sure, next season, next steps."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from sample_results import NONE_LEFT_OUT, left_out, results_with_ids

from wood_xl.notes.problem import Place, problem
from wood_xl.reasons import Reason, said
from wood_xl.results.answers import answers
from wood_xl.results.first_page import decision
from wood_xl.schema.words import words
from wood_xl.verdicts import Best, Question

Row = dict[str, Any]


@pytest.fixture
def document() -> Row:
    return results_with_ids("us")


def told(document: Row, problems: Any = ()) -> dict[str, str]:
    rows = decision(document, document["plan"], document["season"], list(problems))
    return {words(row["part"]): row["text"] for row in rows}


def test_each_part_says_its_figures(document: Row) -> None:
    page = told(document)
    assert list(page) == ["Question", "Answer", "How sure", "Next season", "Next steps"]
    assert page["Question"].startswith("Which way of bucking and splitting a cord suits you best?")
    assert page["Question"].endswith("The weight is time 6 alone.")
    best = document["combinations"][0]
    assert page["Answer"].startswith(
        f"Combination A: {' + '.join(best['methods'])}. A cord takes about 3.9 worker hours (2.9 to 5.3), "
    )
    leans = "Leans this way, not settled: the best"
    assert page["How sure"].startswith(f"{leans} of those compared in 91 % of what the intervals allow.")
    document["choice"][-1]["left_out"] = NONE_LEFT_OUT
    assert told(document)["How sure"].startswith(f"{leans} in 91 % of what the intervals allow.")
    assert "weight of time: below 1.4 combination B is best" in page["How sure"]
    assert "3 sessions from 2026-02-14 to 2026-04-04; all limits are kept." in page["Next season"]


def test_there_are_never_more_than_three_steps_and_mends_come_first(document: Row) -> None:
    fix = problem("season-no-sessions", Place("Sessions"))
    assert told(document, [fix])["Next steps"].count("Mend") == (fix.level.name == "FIX")
    steps = told(document)["Next steps"]
    assert [number for number in "12345" if f"{number}. " in steps] == ["1", "2", "3"]
    assert steps.startswith(
        "1. Write what is missing to compare all combinations: sheet Problems. 2. Try first: 2026-02-14"
    )
    document["choice"][-1]["left_out"] = NONE_LEFT_OUT
    assert told(document)["Next steps"].startswith("1. Try first: 2026-02-14")


def test_without_trials_the_first_day_comes_first(document: Row) -> None:
    document["trials"], document["choice"][-1]["left_out"] = [], NONE_LEFT_OUT
    assert told(document)["Next steps"].startswith("1. Begin on Saturday 2026-02-14: Ada 120 min of ")


def test_a_plan_that_begins_with_a_trial_day_tells_of_it_once(document: Row) -> None:
    assert "Begin on" not in told(document)["Next steps"]
    document["trials"] = document["trials"][1:]
    assert "Begin on Saturday 2026-02-14" in told(document)["Next steps"]


def test_an_open_end_says_what_is_missing_and_the_ways_out(document: Row) -> None:
    document["trials"], document["choice"][-1]["left_out"] = [], NONE_LEFT_OUT
    document["plan"]["ways"] = "raise hours in all by 23 %"
    document["plan"]["shortfall"]["value"] = 1.25
    page = told(document)
    assert "all limits are kept. Missing: 1.25 cords." in page["Next season"]
    assert page["Next steps"].startswith("1. Choose: raise hours in all by 23 %.")


def test_without_a_plan_the_sheet_is_asked_for(document: Row) -> None:
    document["plan"]["volume_planned"] |= {"value": None, "reason": "the sheet Next season is empty"}
    for table in ("trials", "plan_sessions", "plan_mix", "plan_left_out", "shopping"):
        document[table] = []
    page = told(document)
    assert page["Next season"] == "No plan: the sheet Next season is empty."
    assert "Fill in the sheet Next season for a plan." in page["Next steps"]


def test_a_figure_that_is_missing_is_not_made_up(document: Row) -> None:
    combination = document["combinations"][0]
    hours = "A cord takes about 3.9 worker hours (2.9 to 5.3)"
    combination["cash"] |= {"value": None, "reason": "no price"}
    answer = told(document)["Answer"]
    assert f"{hours}, about 1,400 kcal beyond rest (900 to 2,200) and about 6.4 lb of CO2e (" in answer
    assert "). Not known: cash (no price)." in answer
    combination["co2e"] |= {"value": None, "reason": "no price"}
    combination["kcal_net"] |= {"value": None, "reason": "no weight"}
    answer = told(document)["Answer"]
    assert f"{hours}. Not known: effort (no weight); cash and CO2e (no price)." in answer
    document["choice"][-1]["sure"] |= {"value": None, "reason": "no interval is known"}
    assert told(document)["How sure"].startswith("Not told: no interval is known.")


def test_without_a_combination_there_is_no_first_page(document: Row) -> None:
    document["combinations"] = []
    assert decision(document, document["plan"], document["season"], []) == []


def tasks(document: Row, **tried: int) -> None:
    """Leave one method for each of these tasks, with so many sessions; those with any are in every combination."""
    row = document["rates_per_cord"][0]
    document["rates_per_cord"] = [
        {**row, "method": f"{task} by hand", "task": task, "sessions_n": n} for task, n in tried.items()
    ]
    for combination in document["combinations"]:
        combination["methods"] = tuple(f"{task} by hand" for task, n in tried.items() if n)


@pytest.mark.parametrize(
    ("tried", "question", "absent"),
    [
        ({"buck": 2, "split": 1, "stack": 3}, "making a cord, from log to stack, suits", ""),
        ({"fell": 1, "buck": 2, "split": 1, "stack": 3}, "making a cord, from tree to stack, suits", ""),
        ({"buck": 2, "split": 0}, "bucking a cord suits", "Without splitting and stacking: no session"),
        ({"split": 2, "haul": 1, "stack": 1}, "splitting, hauling and stacking a cord suits", "Without bucking: no"),
    ],
)
def test_the_question_has_the_tasks_that_were_tried(
    document: Row, tried: dict[str, int], question: str, absent: str
) -> None:
    tasks(document, **tried)
    document["plan"]["volume_planned"] |= {"value": None, "reason": "no wood wanted is written"}
    page = told(document)
    assert question in page["Question"]
    assert ("Without" in page["Answer"]) == bool(absent)
    assert absent in page["Answer"]


def test_all_weights_are_named_or_that_none_is_written(document: Row) -> None:
    first = document["choice"][0]
    for question, weight in ((Question.MONEY, 5.0), (Question.EFFORT, 3.0), (Question.CARBON, 0.0)):
        row = copy.deepcopy(first) | {"question": question, "best": said(Best.NOT_KNOWN)}
        row["weight"]["value"] = weight
        document["choice"].insert(-1, row)
    assert told(document)["Question"].endswith("The weights are time 6, money 5 and effort 3.")
    for row in document["choice"][:-1]:
        row["weight"]["reason"] = said(Reason.WEIGHTS_NOT_WRITTEN)
    page = told(document)["Question"]
    assert page.endswith("No weights are written: time, money, effort and carbon count alike.")


def test_one_combination_is_no_choice(document: Row) -> None:
    document["combinations"] = document["combinations"][:1]
    page = told(document)
    assert page["Question"] == "What does bucking and splitting a cord take?"
    methods = " + ".join(document["combinations"][0]["methods"])
    assert page["Answer"].startswith(f"Only {methods} has sessions that count. By it a cord takes about 3.9")
    assert page["How sure"] == "There is no other combination to compare with."
    tasks(document, buck=1, split=1, stack=1)
    assert told(document)["Question"] == "What does a cord take, from log to stack?"


def test_one_combination_with_all_figures_is_not_called_the_best(document: Row) -> None:
    document["combinations"][1]["points"] |= {"value": None, "reason": "no cash"}
    document["choice"][-1]["sure"] |= {"value": None, "reason": "no other combination has every figure that weighs"}
    page = told(document)
    assert page["Answer"].startswith(
        f"It cannot be told: only combination A, {' + '.join(document['combinations'][0]['methods'])}, has every"
    )
    assert page["How sure"] == "Not told: no other combination has every figure that weighs."


def test_without_a_combination_that_has_all_figures_the_quickest_is_told_still(document: Row) -> None:
    for combination in document["combinations"]:
        combination["points"] |= {"value": None, "reason": "no cash"}
    document["choice"][0]["left_out"] = left_out("B", "no time")
    answer = told(document)["Answer"]
    assert answer.startswith("It cannot be told: no way has every figure that weighs. Quickest: ")
    assert "Not compared in time: B (no time)." in answer


def test_the_quickest_is_told_with_what_is_known_of_it(document: Row) -> None:
    other = document["combinations"][1]
    methods = " + ".join(other["methods"])
    document["choice"][0]["best"] = said(
        Best.COMBINATIONS, combinations=(said(Best.COMBINATION, combination="B", methods=other["methods"]),)
    )
    assert f"Quickest: {methods}, 12.9 worker hours and 13.30 USD." in told(document)["Answer"]
    other["cash"] |= {"value": None, "reason": "no price"}
    assert f"Quickest: {methods}, 12.9 worker hours." in told(document)["Answer"]


def test_combinations_that_lack_what_weighs_are_named_with_their_reason(document: Row) -> None:
    why = left_out("C", "no price of the splitter")
    row = copy.deepcopy(document["choice"][0]) | {"question": Question.MONEY, "left_out": why}
    document["choice"].insert(-1, row)
    assert "Not compared in money: C (no price of the splitter)." in told(document)["Answer"]
    row["weight"]["value"] = 0.0
    assert "Not compared" not in told(document)["Answer"]


def test_a_plan_by_other_ways_than_the_best_combination_says_so(document: Row) -> None:
    document["plan_left_out"] = []
    mixed = told(document)["Next season"]
    method = document["plan_mix"][1]["method"]
    assert mixed.endswith(f"It is not all by combination A: splitting with {method}.")
    best = document["combinations"][0]["methods"][1]
    third = copy.deepcopy(document["plan_mix"][1]) | {"method": best}
    third["volume"]["value"] *= 3
    document["plan_mix"].append(third)
    assert f"splitting 25 % with {method} and 75 % with {best}." in told(document)["Next season"]
    del document["plan_mix"][1]
    assert "combination A" not in told(document)["Next season"]


def test_what_the_plan_is_without_is_said_in_its_sentence(document: Row) -> None:
    why = "what it has to buy costs more than the cash limit"
    method = next(row["method"] for row in document["plan_left_out"] if not row["person"])
    document["plan"]["sessions_n"] = 1
    page = told(document)["Next season"]
    assert f" Not planned: {method} ({why}). " in page
    assert page.endswith('Who is not planned for what stands on the sheet Next season, "Not planned, and why".')
    assert "Cy" not in page
    assert "; 1 session from 2026-02-14 to" in page


def test_open_looks_are_counted_where_the_answer_stands(document: Row) -> None:
    assert "LOOK" not in told(document)["Answer"]
    trend = problem("season-trend-shown", found="bow saw", what="9 % less from session to session")
    cell = problem("row-top-over-bottom", Place("Stacks", 5, 2), found="99 in", expected="90 in")
    held = problem("row-no-price", Place("Tools", 4, 3))
    plan = problem("plan-task-without-method", found="stacking")
    page = told(document, [trend, cell, held, plan])["Answer"]
    assert page.endswith("2 lines marked LOOK on the sheet Problems may move these figures (Stacks!B5 and others).")
    assert told(document, [cell])["Answer"].endswith(
        "1 line marked LOOK on the sheet Problems may move these figures (Stacks!B5)."
    )
    assert told(document, [trend])["Answer"].endswith("may move these figures.")
    assert "LOOK" not in told(document, [held, plan])["Answer"]


def test_an_answer_has_the_words_of_its_methods(document: Row) -> None:
    combination = document["combinations"][0]
    combination["worker_hours"] |= {"low": 2.2, "high": 7.1}
    names = combination["methods"]
    rows = [row for row in document["rates_per_cord"] if row["method"] in names]
    assert len(rows) == len(names)
    for row, n in zip(rows, (1, 3), strict=True):
        row["sessions_n"] = n
    assert "A cord takes about 3.9 worker hours (2.2 to 7.1)" in told(document)["Answer"]
    for row in rows:
        row["sessions_n"] = 1
    assert "A cord takes between 2.2 and 7.1 worker hours" in told(document)["Answer"]


@pytest.mark.parametrize("sessions_n", [1, 2, 5])
def test_a_combination_of_one_method_is_told_as_the_method_is(document: Row, sessions_n: int) -> None:
    rate, combination = document["rates_per_cord"][0], document["combinations"][0]
    rate["sessions_n"] = sessions_n
    rate["worker_hours"] |= {"value": 12.37, "low": 5.58, "high": 27.41}
    document["combinations"], combination["methods"] = [combination], (rate["method"],)
    combination["worker_hours"] = rate["worker_hours"]
    takes = "between 5.5 and 28 worker hours" if sessions_n == 1 else "about 12 worker hours (5.5 to 28)"
    assert f"a cord takes {takes}" in told(document)["Answer"]
    assert f"{takes} with {rate['method']}" in answers(document, document["season"], [], system="us")[0]
