"""Small seasons as a household writes them: what is said is so, and two pages say the same."""

from __future__ import annotations

import re
from typing import Any

import pytest
from builders import Data, checked, results_of, small_season
from test_who_may import document

from wood_xl.report.answer import answer_page
from wood_xl.report.book import reading_pages
from wood_xl.report.charts import ChartData
from wood_xl.report.layout import Page
from wood_xl.report.plan import plan_page
from wood_xl.report.view import View


def texts(page: Page | None) -> str:
    assert page is not None
    return "\n".join(text for _, cells in page.rows() for _, text in cells)


def answer(results: dict[str, Any]) -> str:
    return texts(answer_page(View(results), ChartData("data")))


def plan(results: dict[str, Any]) -> str:
    return texts(plan_page(View(results), ChartData("data")))


def saws(*people: Data, **wanted: Any) -> Data:
    """Each person with either saw on four days; all of them may use the chain saw, and doctors said yes."""
    data = small_season()
    data["units"]["next_season"] = {"volume_wanted": "stacked m3", "hours_per_week": "h", "cash_limit": "money"}
    data["units"]["sessions"]["bar_oil_used"] = "L"
    data["units"]["season"]["bar_oil_price"] = "per L"
    data["season"]["bar_oil_price"] = 50
    asked = {"doctor_word": "given", "may_use": "Chain saw"}
    data["people"] = [{**asked, **one} for one in people]
    data["tools"][0]["held"] = data["tools"][1]["held"] = "own"
    data["sessions"], data["cuts"], data["stacks"], data["helpers"] = [], [], [], []
    for day in range(1, 5):
        for at, (method, minutes) in enumerate((("By chain saw", 30), ("By bow saw", 80))):
            session, powered = f"{method[3]}{day}", method == "By chain saw"
            data["sessions"].append(
                {"session": session, "date": f"2026-03-0{day}", "method": method, "elapsed_time": minutes + 3 * day,
                 "person": people[(day + at) % len(people)]["person"],
                 **({"fuel_used": 0.3, "bar_oil_used": 0.1} if powered else {})}
            )  # fmt: skip
            data["cuts"].append({"session": session, "diameter": 20, "cuts": 20})
    data["next_season"] = {"volume_wanted": 5, "start_date": "2026-09-05", "ready_by_date": "2026-12-20",
                           "hours_per_week": 5, **wanted}  # fmt: skip
    return data


ADA, BO = {"person": "Ada", "age": 40}, {"person": "Bo", "age": 44}


def test_where_no_cash_may_be_spent_the_limit_is_told_and_nobody_is_said_not_to_have_tried() -> None:
    data = saws(ADA, BO, cash_limit=0)
    data["methods"] = [one for one in data["methods"] if one["method"] == "By chain saw"]
    data["sessions"] = [one for one in data["sessions"] if one["method"] == "By chain saw"]
    data["cuts"] = [one for one in data["cuts"] if one["session"].startswith("c")]
    results = document(checked(data))
    assert "Limits: not all of it can be made. What runs out: cash of the year. " in plan(results)
    assert "did not try" not in plan(results)


def test_whoever_is_planned_alone_or_under_age_is_told_who_must_be_near() -> None:
    alone = plan(document(checked(saws(ADA))))
    assert "Never work alone: somebody who can help stays in sight or within call." in alone
    assert "under 18 works" not in alone
    young = plan(document(checked(saws({**ADA, "age": 15, "may_use": ""}, {**BO, "age": 16, "may_use": ""}))))
    assert "Whoever is under 18 works with an adult near, well away from every swing." in young


def with_helper(*, alone: str) -> Data:
    """Ada always, and Bo with her but at one of the saws."""
    data = saws(ADA, BO)
    for session in data["sessions"]:
        session["person"] = "Ada"
    helped = [one["session"] for one in data["sessions"] if one["method"] != alone]
    data["helpers"] = [{"session": one, "person": "Bo"} for one in helped]
    return data


def test_who_helps_at_a_way_has_used_it() -> None:
    data = with_helper(alone="By chain saw")
    for session in data["sessions"]:
        if session["method"] == "By chain saw":
            session["person"] = "Bo"
    page = answer(document(checked(data)))
    assert "nobody used both ways" not in page
    assert "One person did most of By chain saw." in page


def test_what_two_did_together_is_not_told_as_the_work_of_one() -> None:
    page = answer(document(checked(with_helper(alone="By chain saw"))))
    assert "One person did most of By chain saw. That widens" in page


def test_an_amount_that_was_typed_in_another_unit_keeps_few_digits() -> None:
    data = saws(ADA, BO)
    data["season"]["value_of_time"] = 200
    data["units"]["season"]["value_of_time"] = "per h"
    results = results_of(data, "us")
    pages, _ = reading_pages(results)
    assert "A year is 2.76 cords." in texts(pages["Answer"])
    told = {title: re.findall(r"\d\.\d{6,}", texts(page)) for title, page in pages.items()}
    assert {title: numbers for title, numbers in told.items() if numbers} == {}


def test_wood_burned_last_winter_tells_how_much_is_wanted_without_its_kind() -> None:
    data = saws(ADA, BO, last_winter_volume=4, volume_wanted=None)
    del data["next_season"]["volume_wanted"]
    data["units"]["next_season"]["last_winter_volume"] = "stacked m3"
    results = results_of(data)
    assert results["plan"]["volume_wanted"]["value"] == pytest.approx(4)
    assert "plan-no-volume" not in {row["code"] for row in results["problems"]}
