"""The sheet Plan: one page to pin on the wall, a box to tick for each session, and everybody on it."""

from __future__ import annotations

import copy
import datetime as dt
from functools import cache
from typing import Any

import pytest
from builders import Data, checked, demo_results
from few import few
from test_plan import farm
from test_plan_spread import only_electric
from test_who_may import document

from wood_xl.demo import demo_data
from wood_xl.report.answer import answer_page
from wood_xl.report.layout import Page
from wood_xl.report.plan import plan_page
from wood_xl.report.view import View

BOX = "\N{BALLOT BOX}"
SMALLEST = 9.0


def three_people() -> Data:
    """Sixteen full weeks of three people: one who bucked and split as one of them does the same now."""
    data = farm(volume_wanted=12, hours_per_week=12, people_available=3, carbon_limit=None)
    next(person for person in data["people"] if person["person"] == "Eli")["may_use"] = "chain saw; electric splitter"
    own = [
        s
        for s in data["sessions"]
        if s["method"] in ("chain saw bucking", "maul splitting") and s["person"] == "Mara"
    ]
    for session in own[:3]:
        session["person"] = "Eli"
    return data


SEASONS = {
    "hill farm": lambda: demo_data("hill_farm_us"),
    "lake cabin": lambda: demo_data("lake_cabin_metric"),
    "three people": three_people,
    "one person": lambda: farm(people_available=1, volume_wanted=2),
}


@cache
def found(name: str) -> dict[str, Any]:
    return document(checked(copy.deepcopy(SEASONS[name]())))


def page_of(results: dict[str, Any]) -> Page:
    page = plan_page(View(results))
    assert page is not None
    return page


@pytest.mark.slow
def test_a_plan_with_felling_has_its_caution_in_full() -> None:
    data = farm()
    for method in data["methods"]:
        if method["method"] == "bow saw bucking":
            method["task"] = "fell"
    results = document(checked(data))
    assert {row["method"] for row in results["plan"]["sessions"]} >= {"bow saw bucking"}
    (caution,) = (text for _, cells in page_of(results).rows() for _, text in cells if "hung-up" in text)
    assert caution.startswith("Felling: Leave standing")
    assert caution.endswith("makes felling fit for you.")
    assert "hung-up" not in texts(page_of(found("hill farm")))


def texts(page: Page) -> str:
    return "\n".join(text for _, cells in page.rows() for _, text in cells)


@pytest.mark.slow
@pytest.mark.parametrize("name", few(SEASONS))
def test_up_to_sixteen_weeks_fit_on_one_page_in_readable_letters(name: str) -> None:
    page = page_of(found(name))
    assert len(page.pages()) == 1
    assert min(cell.look.size for lines in page.pages() for line in lines for cell in line.cells) >= SMALLEST


@pytest.mark.parametrize("name", few(SEASONS))
def test_each_session_and_each_thing_to_buy_has_its_box(name: str) -> None:
    results = found(name)
    assert texts(page_of(results)).count(BOX) == len(results["plan"]["sessions"]) + len(results["shopping"])


@pytest.mark.parametrize(("volume", "is_told"), [(14, True), (2, False)])
def test_the_star_is_explained_only_where_there_is_one(volume: float, is_told: bool) -> None:
    """In short lines the head has a star; in long ones it says so itself."""
    data = farm(hours_per_week=6, volume_wanted=volume)
    data["heart_trace"] = []
    for session in data["sessions"]:
        session.pop("mean_heart_rate", None)
        session.pop("monitor_energy", None)
    lines = texts(page_of(document(checked(data)))).split("\n")
    assert any(line.endswith(" *") for line in lines) is is_told
    assert any("strain is not known (*)" in line or "* Strain not known." in line for line in lines) is is_told
    assert any("counts as hard where strain is not known" in line for line in lines) is not is_told


def test_three_people_have_a_column_each_for_all_sixteen_weeks() -> None:
    results = found("three people")
    rows = [[text for _, text in cells] for _, cells in page_of(results).rows()]
    head = next(row for row in rows if row and row[0] == "Week of")
    assert head[1:4] == ["Jon", "Mara", "Eli *"]
    weeks = rows[rows.index(head) + 1 :][:16]
    for column, person in enumerate(("Jon", "Mara", "Eli"), start=1):
        own = [row["minutes"] for row in results["plan"]["sessions"] if row["person"] == person]
        lines = [line for row in weeks for line in row[column].split("\n") if line]
        assert [float(line.split(";")[0].rstrip(" *").split()[-1]) for line in lines] == own


def test_a_plan_of_more_weeks_has_short_words_for_its_work_where_that_saves_a_page() -> None:
    results = copy.deepcopy(found("hill farm"))
    sessions = results["plan"]["sessions"]
    start, last = (dt.date.fromisoformat(row["date"]) for row in (sessions[0], sessions[-1]))
    for row in [row for row in sessions if (dt.date.fromisoformat(row["date"]) - start).days < 3 * 7]:
        date = dt.date.fromisoformat(row["date"]) + dt.timedelta(days=(last - start).days // 7 * 7 + 7)
        sessions.append({**row, "date": date.isoformat()})  # 19 weeks in all
    page = page_of(results)
    assert len(page.pages()) == 1
    assert "Numbers are minutes" in texts(page)


def test_two_who_need_one_saw_on_a_day_take_turns_whatever_they_do_with_it() -> None:
    results = copy.deepcopy(found("lake cabin"))
    sessions, method = results["plan"]["sessions"], "petrol saw bucking"
    first, other = (next(row for row in sessions if row["person"] == who) for who in ("Ingrid", "Mats"))
    first |= {"method": method, "date": other["date"]}
    other |= {"method": method}
    sessions[:] = [first, other]
    assert texts(page_of(results)).count("in turns") == 2
    notes = next(row for row in results["inputs"]["methods"] if row["method"] == "battery saw bucking")
    notes |= {"tool_1": "Petrol chain saw"}
    other["method"] = "battery saw bucking"
    assert texts(page_of(results)).count("in turns") == 2
    notes |= {"tool_1": "battery chain saw"}  # both wear the protective clothing
    assert texts(page_of(results)).count("in turns") == 0


@pytest.mark.slow
def test_whoever_is_not_planned_has_a_reason_and_the_cell_that_would_change_it() -> None:
    page = texts(page_of(found("lake cabin")))
    assert "Olle" in page
    assert "ask your doctor first (People, Doctor's word of Olle)" in page
    assert "battery saw bucking: it needs tools that cost more than the cash limit (Next season, Cash limit)" in page


def test_rented_tools_are_named_with_their_number_of_days() -> None:
    results = document(checked(only_electric("rented")))
    days = {row["date"] for row in results["plan"]["sessions"] if row["method"] == "electric splitting"}
    assert days
    assert f"Days with what is rented: electric splitter {len(days)}." in texts(page_of(results))
    assert "The rent counts the days of the plan." in texts(page_of(results))


def test_only_whoever_swings_a_tool_is_told_of_the_swing() -> None:
    for results, method, is_told in ((document(checked(only_electric("rented"))), "electric splitting", False),
                                     (found("hill farm"), "maul splitting", True)):  # fmt: skip
        minds = [row["mind"] for row in results["plan"]["sessions"] if row["method"] == method]
        assert {"in line with the swing" in mind for mind in minds} == {is_told}


def test_the_plan_of_a_farm_breaks_no_line() -> None:
    page = texts(page_of(found("hill farm")))
    assert "chain saw bucking, 120\N{NO-BREAK SPACE}min; in sight: Mara" in page
    assert "The minutes are a limit. Stop before you are tired." in page


def test_answer_and_plan_say_that_wood_will_not_be_dry_for_the_next_winter() -> None:
    results = found("hill farm")
    winter = "from October 2028, not before."
    assert winter in results["plan"]["late"]
    for page in (page_of(results), answer_page(View(results))):
        assert texts(page).count(winter) == texts(page).count("May 2028") == 1
    assert len(answer_page(View(results)).pages()) == 1


def test_a_plan_for_part_of_the_wood_says_how_to_get_the_rest() -> None:
    results = document(checked(farm(cash_limit=1)))
    assert results["plan"]["shortfall"]["value"] > 0
    assert results["plan"]["ways"] in texts(page_of(results))
    assert "This alone would bring all of it: a cash limit of " in results["plan"]["ways"]


def test_the_title_has_the_digits_of_the_sentences_below_it() -> None:
    assert "Plan: 13 stacked m³ by " in texts(page_of(demo_results("lake_cabin_metric")))  # and not 12.69


def test_trial_days_say_what_comes_first_and_which_way_that_leans() -> None:
    """In a pair of saws the powered one comes first, always: the page on the wall says so, as the calendar does."""
    data = demo_data("hill_farm_us")
    data["season"]["value_of_time"] = 5
    results = document(checked(data))
    days = {row["date"] for row in results["plan"]["sessions"] if "trial day: this first" in row["mind"]}
    assert days
    page = texts(page_of(results))
    assert page.count("trial day: this first") == page.count("trial day: then this") == len(days)
    assert "the order is not balanced: chain saw bucking comes first, rested, every day" in page
