"""The first page in words: question, answer, how sure, next season, next steps."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from sample_results import sample_results

from wood_xl.checks.problem import Place, problem
from wood_xl.decision import decision

Row = dict[str, Any]


@pytest.fixture
def document() -> Row:
    return copy.deepcopy(sample_results("us"))


def told(document: Row, problems: Any = ()) -> dict[str, str]:
    rows = decision(document, document["plan"], document["season"], list(problems))
    return {row["part"]: row["text"] for row in rows}


def test_each_part_says_its_figures(document: Row) -> None:
    words = told(document)
    assert list(words) == ["Question", "Answer", "How sure", "Next season", "Next steps"]
    assert "The weights are time 6." in words["Question"]
    best = document["routes"][0]
    assert words["Answer"].startswith(
        f"Route A: {best['methods']}. A cord takes about 3.9 worker hours (2.9 to 5.3), "
    )
    assert words["How sure"].startswith("Probably: the best in 91 % of what the intervals allow.")
    assert "weight of time: below 1.4 route B is best" in words["How sure"]
    assert "2 sessions from 2026-02-14 to 2026-04-04; all limits are kept." in words["Next season"]


def test_there_are_never_more_than_three_steps_and_mends_come_first(document: Row) -> None:
    fix = problem("season-no-sessions", Place("Sessions"))
    assert told(document, [fix])["Next steps"].count("Mend") == (fix.level.name == "FIX")
    steps = told(document)["Next steps"]
    assert [number for number in "12345" if f"{number}. " in steps] == ["1", "2", "3"]
    assert steps.startswith("1. Try first: 2026-02-14")


def test_without_trials_the_first_day_comes_first(document: Row) -> None:
    document["trials"] = []
    assert told(document)["Next steps"].startswith("1. Begin on Saturday 2026-02-14: Ada 120 min of ")


def test_an_open_end_says_what_is_missing_and_the_ways_out(document: Row) -> None:
    document["trials"] = []
    document["plan"]["ways"] = "raise hours in all by 23 %"
    document["plan"]["shortfall"]["value"] = 1.25
    words = told(document)
    assert words["Next season"].endswith("1.25 cord are missing.")
    assert words["Next steps"].startswith("1. Choose: raise hours in all by 23 %.")


def test_without_a_plan_the_sheet_is_asked_for(document: Row) -> None:
    document["plan"]["volume_planned"] |= {"value": None, "reason": "the sheet Next season is empty"}
    for table in ("trials", "plan_sessions", "plan_mix", "shopping"):
        document[table] = []
    words = told(document)
    assert words["Next season"] == "No plan: the sheet Next season is empty."
    assert "Fill in the sheet Next season for a plan." in words["Next steps"]


def test_a_figure_that_is_missing_is_not_made_up(document: Row) -> None:
    document["routes"][0]["cash"] |= {"value": None, "reason": "no price"}
    assert "USD not known" in told(document)["Answer"]
    document["choice"][-1]["sure"] |= {"value": None, "reason": "no interval is known"}
    assert told(document)["How sure"].startswith("Not told: no interval is known.")


def test_without_a_route_there_is_no_first_page(document: Row) -> None:
    document["routes"] = []
    assert decision(document, document["plan"], document["season"], []) == []
