"""Seasons with few notes, long names or many people: what pages say is true of them, once, and within the page."""

from __future__ import annotations

import re
from copy import deepcopy
from itertools import pairwise
from typing import Any

import pytest
from builders import Data, checked, demo, only_methods, reading_pages, trial_season
from few import together
from test_kitchen_table import ADA, BO, answer, plan, saws, texts
from test_who_may import document

from wood_xl.notes.names import called
from wood_xl.report import styles
from wood_xl.report.air import air_page
from wood_xl.report.body import MOST_MARKED, body_page, mark_of, people_with_marks
from wood_xl.report.charts import ChartData, Scatter, offset
from wood_xl.report.compare import compare_page
from wood_xl.report.figure_text import figure_text
from wood_xl.report.how_we_know import how_page
from wood_xl.report.layout import PAGE_POINTS, Page
from wood_xl.report.money import money_page
from wood_xl.report.plan import plan_page
from wood_xl.report.view import View
from wood_xl.schema.words import MINUS

LONG = "Maximiliana Featherstonehaugh-Vandenberg"
CASH = {"value": -2.399, "low": -5.1, "high": -0.97, "unit": "money/cord", "reason": ""}


def results(data: Data) -> dict[str, Any]:
    return document(checked(data))


def with_splitters() -> Data:
    """Two ways of splitting are asked about, and none was timed."""
    data = saws(ADA, BO)
    data["tools"] += [{"tool": "Maul", "kind": "hand"}, {"tool": "Splitter", "kind": "mains"}]
    data["methods"] += [{"method": f"By {one}", "task": "split", "tool_1": one} for one in ("Maul", "Splitter")]
    return data


def test_a_minus_precedes_the_currency() -> None:
    assert figure_text(CASH, "USD") == f"{MINUS}$2.40 ({MINUS}5.10 to {MINUS}0.97)"


def test_a_way_that_was_not_timed_is_asked_for_and_has_no_row_of_blanks() -> None:
    found = results(with_splitters())
    assert "1. Not timed yet: By Maul and By Splitter. " in answer(found)
    assert "\nSplitter: Wear " in answer(found)
    assert "\nSplitting ax or maul: Wear " in answer(found)
    pages, _ = reading_pages(found)
    for title, page in pages.items():
        assert title in ("Answer", "Plan", "How we know") or "By Maul" not in texts(page), title
    assert "the bucking of firewood on" in texts(pages["How we know"])
    assert "Not timed yet" not in answer(results(saws(ADA, BO)))
    data = with_splitters()
    data["season"]["value_of_time"], data["units"]["season"]["value_of_time"] = 200, "per h"
    told = answer(results(data))  # a saw is advised, and the splitters are asked for all the same
    assert "Bucking: By chain saw" in told
    assert "\nSplitter: Wear " in told
    data = saws(ADA, BO)
    data["season"]["value_of_time"], data["units"]["season"]["value_of_time"] = 200, "per h"
    assert "\nHand saw: Wear " not in answer(results(data))
    data["methods"].append({"method": "By another saw", "task": "buck", "tool_1": "Bow saw"})
    assert "\nHand saw: Wear " in answer(results(data))


def test_a_way_that_was_not_timed_has_its_caution_beside_the_only_way_that_was() -> None:
    data = saws(ADA, BO)
    by_saw = {row["session"] for row in data["sessions"] if row["method"] == "By chain saw"}
    for sheet in ("sessions", "stacks"):
        data[sheet] = [row for row in data[sheet] if row["session"] not in by_saw]
    told = answer(results(data))
    assert "Not timed yet: By chain saw" in told
    assert "\nPowered saw: Wear " in told


def test_what_is_to_be_timed_again_has_its_caution_and_without_advice_all_have() -> None:
    found = results(saws(ADA, BO))
    assert "\nPowered saw: Wear " in answer(found)
    found["plan_sessions"], found["plan_mix"] = [], []
    (verdict,) = found["verdicts"]
    for surety, is_open in (("settled", False), ("cannot_tell", True)):
        verdict |= {"choice": "By bow saw", "surety": surety, "kind": "quickest"}
        found["season"]["suggested"] = "By bow saw"
        (row,) = [one for one in found["comparisons"] if one["figure"].startswith("Worker")]
        row["surety"] = "cannot tell yet"
        assert ("\nPowered saw: Wear " in answer(found)) is is_open


def test_amounts_of_wood_at_other_volumes_have_two_digits() -> None:
    data = saws(ADA, BO)
    del data["season"]["yearly_volume"]
    for method, name in (("life_years", "Bow saw"), ("price", "Bow saw")):
        next(row for row in data["tools"] if row["tool"] == name)[method] = 10
    told = re.findall(r"at ([0-9.,]+) (?:stacked m³|cords) a year", texts(money_page(View(results(data)))))
    assert len(told) > 2
    assert all(len(one.replace(".", "").lstrip("0")) <= 2 for one in told)


def test_years_until_a_tool_is_paid_back_are_called_years() -> None:
    data = saws(ADA, BO)
    data["tools"][1]["held"] = "to buy"
    data["units"]["season"]["value_of_time"] = "per h"
    data["season"]["value_of_time"] = 900
    found = results(data)
    (row,) = [one for one in found["payback"] if one["outlay"]["value"]]
    assert row["time_simple"]["value"] is not None
    row["time_discounted"] |= {"value": None, "reason": "never"}
    assert re.search(r"it is paid back in [\d.]+ years.*; with interest: never\.", texts(money_page(View(found))))


@pytest.mark.parametrize("worth", [{}, {"value_of_effort": 5}, {"price_of_carbon": 50}])
def test_payback_says_that_it_leaves_out_what_effort_and_co2e_are_worth(worth: dict[str, float]) -> None:
    data = saws(ADA, BO)
    data["tools"][1]["held"] = "to buy"
    data["units"]["season"] |= dict.fromkeys(worth, "money")
    data["season"] |= worth
    found = results(data)
    assert any(row["outlay"]["value"] for row in found["payback"])
    assert ("not counted in this" in texts(money_page(View(found)))) is bool(worth)


def test_a_comparison_without_figures_is_not_drawn_and_has_no_row() -> None:
    data = saws(ADA, BO)
    for tool in data["tools"]:
        tool.pop("price", None)
        tool.pop("life_years", None)
    page = compare_page(View(results(data)))
    assert page is not None
    titles = [
        placed.text.partition(" for one ")[0] for lines in page.pages() for line in lines for placed in line.charts
    ]
    assert "Cash, NOK" not in titles
    assert "Hours of work" in titles
    assert "\nCash\n" not in texts(page).split("On equal terms: how many")[1]


def test_what_is_the_same_within_the_margin_is_not_among_what_is_not_settled() -> None:
    found = results(saws(ADA, BO))
    (row,) = [one for one in found["comparisons"] if one["figure"].startswith("Worker")]
    for surety, is_told in (("likely, not settled", True), ("the same for you", False)):
        row["surety"] = surety
        told = texts(compare_page(View(found))).partition("What is not settled")[2]
        assert ("Hours of work, bucking: " in told) is is_told


def test_one_persons_sessions_of_a_week_share_a_line_and_each_reason_stands_once() -> None:
    data = saws(ADA, volume_wanted=10)
    data["next_season"]["hours_per_week"] = 9
    page = plan_page(View(results(data)))
    assert page is not None
    assert re.search(r"☐\sSat .*\smin\s{3}☐\sWed ", texts(page))
    assert texts(page).count("no adult is there to stand in sight") == 1
    assert "$0" not in texts(page)
    assert "0.00" not in texts(page)


def test_a_plan_names_amounts_as_they_were_wanted_else_by_two_digits() -> None:
    for wanted, told in ((9.06, "2.5"), (95.7, r"\d\d")):  # 2.5 cords, and more than there is time for
        found = results(saws(ADA, BO, volume_wanted=wanted))
        assert re.match(rf"Plan: {told} cords by", plan(found))
        assert re.search(rf"Follow the plan: {told} (of the 26 cords wanted|cords), ", answer(found))


@together("n", range(1, MOST_MARKED + 1))
def test_no_two_people_have_the_same_mark(n: int) -> None:
    people = [f"Person {number}" for number in range(n)]
    assert len({mark_of(people_with_marks(people), one) for one in people}) == n


def test_more_people_than_marks_have_one_mark_that_is_called_so() -> None:
    people = [f"P{number}" for number in range(MOST_MARKED + 1)]
    assert {mark_of(people_with_marks(people), one) for one in people} == {
        ("circle", styles.HAND)
    } or not people_with_marks(people)
    many = [{"person": name, "age": 40} for name in people]
    data = saws(*many)
    for number, session in enumerate(data["sessions"]):
        session["person"] = people[number % len(people)]
    data["helpers"] = [{"session": "c1", "person": "P6"}]
    pages, _ = reading_pages(results(data))
    names = {
        label
        for lines in pages["Sessions"].pages()
        for line in lines
        for one in line.charts
        for label in _series(one)
    }
    assert "one person" in names
    assert not names & set(people)


def _series(placed: Any) -> set[str]:
    return {one.tx.strRef.strCache.pt[0].v for one in placed.chart.series}


def test_a_long_name_is_cut_where_the_beginning_is_nobody_elses() -> None:
    assert called(LONG, [LONG, "Max"]) == "Maximiliana"
    assert called(LONG, [LONG, "Maximiliana Smith"]) == LONG
    assert called("Mrs. Katherine Featherstone", []) == "Mrs. Katherine"
    assert called("Maria da Silva Santos", ["Maria Lopez"]) == "Maria da Silva"
    assert called("van der Berghe Willem", []) == "van der Berghe"
    assert called("Person 1", ["Person 1", "Person 2"]) == "Person 1"


def test_where_nobody_wears_a_monitor_no_column_says_so_in_each_row() -> None:
    data = saws(ADA, BO)
    told = texts(body_page(View(results(data))))
    assert "Heart rate noted" not in told
    assert "Strain not known: Bo and Ada at everything. Wear a monitor." in told
    assert "If no mass is noted: 143 lb." in told


def test_a_quiet_tool_is_not_said_to_have_no_noise_noted() -> None:
    data = saws(ADA, BO)
    assert "Neither noise nor vibration of Chain saw is noted." in texts(body_page(View(results(data))))
    data["units"]["tools"]["sound_level"] = "dB(A)"
    data["tools"][1]["sound_level"] = 78  # a limit that no day reaches
    told = texts(body_page(View(results(data))))
    assert "is noted. The manual" not in told
    assert "not reached in 24 h" in told


def test_whoever_helped_nobody_by_name_helped_somebody() -> None:
    data = saws(ADA, BO)
    first = data["sessions"][0]
    helper = first.pop("person")
    data["helpers"] = [{"session": first["session"], "person": helper}]
    pages, _ = reading_pages(results(data))
    assert f"(not named) and {helper}" in texts(pages["Sessions"])


def test_how_we_know_tells_of_the_sheet_money_and_of_free_choice_where_there_is_either() -> None:
    data = saws(ADA, BO)
    told = texts(how_page(View(results(data))))
    assert "(see Money)" in told
    assert "People picked their own days" in told
    data["trial"] = {"first_day": "2026-03-01", "days": 4}
    for tool in data["tools"]:
        tool.pop("price", None)
    told = texts(how_page(View(results(data))))
    assert "see Money" not in told
    assert "People picked" not in told


def test_sessions_that_all_wait_for_their_methods_have_pages_all_the_same() -> None:
    """A column left blank is told of each cell; How we know asked which tasks were done, and broke off."""
    data = saws(ADA, BO)
    for row in data["sessions"]:
        del row["method"]
    pages, _ = reading_pages(results(data))
    assert "2 people did the making of firewood" in texts(pages["How we know"])


def test_a_session_that_says_neither_its_name_nor_who_worked_leaves_the_others_their_pages() -> None:
    data = saws(ADA, BO)
    for key in ("session", "person"):
        del data["sessions"][1][key]
    pages, _ = reading_pages(results(data))
    assert data["sessions"][0]["session"] in texts(pages["Sessions"])


def test_a_rented_tool_without_a_name_leaves_the_others_their_pages() -> None:
    data = trial_season()
    data["units"]["tools"]["rent"] = "money"
    data["tools"] += [{"kind": "mains", "held": "rented", "rent": 300}]
    pages, _ = reading_pages(results(data))
    assert "By chain saw" in texts(pages["Money"])


def test_where_most_of_a_doubt_comes_from_has_the_whole_name_of_a_tool() -> None:
    """It ended at the percent sign and semicolon of the name."""
    data = trial_season()
    data["tools"][0]["tool"] = data["methods"][0]["tool_1"] = "Saw 5%; old"
    pages, _ = reading_pages(results(data))
    assert "life of Saw 5%; old" in texts(pages["Compare"])


def test_where_a_second_way_waits_nobody_is_asked_to_try_one() -> None:
    data = saws(ADA, BO)
    asked = "Time a second way of bucking"
    for session in data["sessions"]:
        if session["method"] == "By bow saw":
            session["elapsed_time"] = -1
    assert asked not in answer(results(data))
    for leave_out, is_asked in (("no", False), ("rain", True)):
        left = deepcopy(data)
        for session in left["sessions"]:
            session.update({"leave_out": leave_out} if session["method"] == "By bow saw" else {})
        assert (asked in answer(results(left))) is is_asked
    assert "What one cord takes with By chain saw" in answer(results(data))
    data["methods"] = [one for one in data["methods"] if one["method"] == "By chain saw"]
    data["sessions"] = [one for one in data["sessions"] if one["method"] == "By chain saw"]
    data["cuts"] = [one for one in data["cuts"] if one["session"].startswith("c")]
    assert asked in answer(results(data))
    data["methods"].append({"method": "By hand", "task": "stack"})
    data["sessions"].append(
        {"session": "W", "date": "2026-03-06", "method": "By hand", "person": "Ada", "elapsed_time": -1}
    )
    assert asked in answer(results(data))  # what waits is of another task


def test_a_range_is_broken_in_no_table_and_stays_as_it_is_where_it_fits() -> None:
    told = "5.4 (4.2 to 7.2)"
    page = Page((200, 82, 50), {})
    page.table([], [[told, told, told]])
    (_, ((_, wide), (_, narrow), (_, narrowest))) = next(page.rows())
    assert wide == narrowest == told
    assert narrow.split(" ") == ["5.4", "(4.2\N{NO-BREAK SPACE}to\N{NO-BREAK SPACE}7.2)"]


def test_no_heading_ends_a_page() -> None:
    for lines in range(40, 60):
        page = Page((300, 300), {})
        for _ in range(lines):
            page.text("line")
        page.section("Heading")
        for _ in range(99):
            page.text("what is below it")
        for one, _ in pairwise(page.pages()):
            assert one[-1].cells[0].text != "Heading"
            assert sum(line.height for line in one) <= PAGE_POINTS


def test_numbers_of_an_axis_have_room_side_by_side() -> None:
    narrow = Scatter(ChartData("Data"), "", "", 1, 30000.0, 5000.0, width_px=338)
    assert narrow.placed().chart.x_axis.majorUnit == 10000.0
    wide = Scatter(ChartData("Data"), "", "", 1, 30000.0, 5000.0)
    assert wide.placed().chart.x_axis.majorUnit == 5000.0


@together("count", (1, 4, 9))
def test_no_two_sessions_of_a_row_stand_at_one_height_and_none_in_another_row(count: int) -> None:
    heights = [offset(number, count) for number in range(count)]
    assert len({round(one, 6) for one in heights}) == count
    assert max(map(abs, heights)) < 0.5


def test_a_class_of_six_has_tables_of_three_each() -> None:
    six = [{"person": name, "age": 40} for name in ("Ava", "Ben", "Cal", "Dee", "Eli", "Flo")]
    data = saws(*six)
    for number, session in enumerate(data["sessions"]):
        session["person"] = six[number % len(six)]["person"]
    data["sessions"][0]["mean_heart_rate"] = 120
    data["people"][0] |= {"resting_heart_rate": 60, "max_heart_rate": 180}
    page = body_page(View(results(data)))
    heads = [[cell.text for cell in line.cells] for lines in page.pages() for line in lines if line.is_head]
    assert [len(head) - 1 for head in heads if "Ava" in head or "Flo" in head] == [3, 3]


def test_why_no_part_of_a_cost_is_known_is_said_once() -> None:
    data = saws(ADA, BO)
    del data["methods"][1]["tool_1"]
    page = air_page(View(results(data)))
    rows = [[cell.text for cell in line.cells] for lines in page.pages() for line in lines if line.cells]
    assert [row[1:] for row in rows if row[0] == data["methods"][1]["method"]] == [["no tool is named"]]


def test_where_nothing_is_to_choose_no_word_of_sureness_is_explained() -> None:
    data = saws(ADA, BO)
    assert "Settled: at most 1 chance in 200" in answer(results(data))
    data["methods"] = data["methods"][:1]
    data["sessions"] = [one for one in data["sessions"] if one["method"] == data["methods"][0]["method"]]
    data["cuts"] = [one for one in data["cuts"] if one["session"] in {row["session"] for row in data["sessions"]}]
    told = answer(results(data))
    assert "19 times in 20" in told
    assert "Settled:" not in told


def test_a_long_name_in_the_key_of_a_chart_has_the_room_that_short_ones_leave() -> None:
    people = ["Jo", "Al", "Maximiliana-Theodora"]
    data = saws(*({"person": name, "age": 40} for name in people))
    pages, _ = reading_pages(results(data))
    (placed,) = [one for lines in pages["Sessions"].pages() for line in lines for one in line.charts]
    assert people[-1] in _series(placed)


def test_what_takes_none_is_known_by_no_price_and_surer_by_none() -> None:
    data = only_methods(demo("hill_farm_us"), "hand stacking")
    data["methods"] = [{"method": "hand stacking", "task": "stack"}]
    page = reading_pages(results(data))[0]["Answer"]
    rows = [[text for _, text in cells] for _, cells in page.rows()]
    for name in ("Cash", "CO2e of the work, lb"):
        (told,) = [row[1:] for row in rows if row[:1] == [name]]
        assert {text for text in told if text} == {"none"}
