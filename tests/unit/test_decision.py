"""What the first sheet says of seasons of several kinds: verdicts, what is least, and what cannot be told."""

from __future__ import annotations

import copy
import re
from collections.abc import Callable
from functools import cache
from typing import Any

import pytest
from builders import Data, demo, only_methods, reading_pages, results_of
from few import few, together

from wood_xl.choice.winners import FROM_LEAST_SURE, WHOLE_JOB
from wood_xl.page_texts import OnAnswer, OnPages
from wood_xl.reasons import Reason, said
from wood_xl.schema.words import words
from wood_xl.verdicts import BestFor, Kind, Surety

Row = dict[str, Any]
HILL, CABIN = "hill_farm_us", "lake_cabin_metric"
BOW, CHAIN, MAUL, SPLITTER = "bow saw bucking", "chain saw bucking", "maul splitting", "electric splitting"


def hill(**season: Any) -> Data:
    data = demo(HILL)
    data["season"].update(season)
    return data


def unpriced() -> Data:
    data = hill()
    for tool in data["tools"]:
        tool.pop("price", None)
    return data


def one_method() -> Data:
    return only_methods(hill(), CHAIN)


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
    """Each saw and each way of splitting with a different person."""
    data = hill()
    data["helpers"] = []
    for row in data["sessions"]:
        row["person"] = "Jon" if row["method"] in (CHAIN, SPLITTER) else "Mara"
    return data


SEASONS: dict[str, Callable[[], Data]] = {
    "hill farm": hill,
    "three saws": lambda: demo(CABIN),
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
    return results_of(data, "us")


def page_of(results: Row) -> str:
    """Texts of the first sheet."""
    page = reading_pages(results)[0][words(OnPages.ANSWER)]
    cells = (cell for lines in page.pages() for line in lines for _, cell in page.placed(line.cells))
    return "\n".join(cell.text for cell in cells).replace("\N{NO-BREAK SPACE}", " ")


@pytest.mark.parametrize("name", few(SEASONS, "hill farm", "one method"))
def test_the_page_says_of_every_task_what_its_verdict_says(name: str) -> None:
    results = scored(name)
    page = page_of(results)
    told = [row for row in results["verdicts"] if name == "one method" or row["kind"] != Kind.ONLY_WAY.key]
    assert told
    for row in told:
        assert f"{row['head']}\n{row['sentence']}".replace("\N{NO-BREAK SPACE}", " ") in page


@pytest.mark.slow
@together("name", few(SEASONS, "hill farm", "one method"))
def test_no_sentence_speaks_of_letters_weights_or_points(name: str) -> None:
    page = page_of(scored(name)).lower()
    assert [word for word in ("combination", "weight", " point", "{", "}", "none.", "  ") if word in page] == []


@together("name", few(SEASONS, "hill farm", "one method"))
def test_what_is_least_for_the_whole_job_is_never_surer_than_for_any_task(name: str) -> None:
    winners = scored(name)["winners"]
    order = {surety.key: place for place, surety in enumerate(FROM_LEAST_SURE)}
    for whole in (row for row in winners if row["task"] == WHOLE_JOB):
        of_tasks = [
            row["surety"] for row in winners if row["measure"] == whole["measure"] and row["task"] != WHOLE_JOB
        ]
        unsure = [order[surety] for surety in of_tasks if surety in order]
        if whole["surety"] in order:
            assert order[whole["surety"]] <= min(unsure)


def test_a_season_without_prices_tells_the_quickest_and_asks_for_the_price() -> None:
    results = scored("no prices")
    assert [(row["kind"], row["choice"]) for row in results["verdicts"]][:2] == [
        (Kind.PRICE_MISSING.key, CHAIN),
        (Kind.PRICE_MISSING.key, SPLITTER),
    ]
    assert "What is your hour worth" not in page_of(results)
    (money,) = (row for row in results["combinations"] if row["best_for"] == BestFor.MONEY.key)
    assert (money["methods"], money["cash"]["value"]) == ("", None)
    assert money["cash"]["reason"].startswith(BOW)


def test_one_method_has_no_prices_and_no_winners() -> None:
    results = scored("one method")
    page = page_of(results)
    assert words(OnAnswer.WINNERS) not in page
    assert "Each saved hour" not in page
    assert [(row["best_for"], row["methods"]) for row in results["combinations"]] == [(BestFor.ONLY.key, CHAIN)]


@pytest.mark.slow
def test_with_three_saws_each_pair_on_the_edge_is_told_and_the_surety_is_that_of_all() -> None:
    (verdict,) = (row for row in scored("three saws")["verdicts"] if row["task"] == "buck")
    assert verdict["surety"] == Surety.OPEN.key
    assert words(Surety.OPEN) in verdict["sentence"]
    assert all(saw in verdict["sentence"] for saw in ("bow saw", "battery saw", "etrol saw"))


def test_without_a_session_that_counts_the_page_says_so_and_proposes_nothing() -> None:
    results = results_of(left_out(), "us")
    assert (results["verdicts"], results["combinations"], results["combinations_year"]) == ([], [], [])
    assert words(OnAnswer.NOTHING_COUNTS) in page_of(results)


def test_where_all_sessions_wait_the_page_names_the_cells_and_nothing_is_advised() -> None:
    results = scored("all waiting")
    assert {row["kind"] for row in results["verdicts"]} == {Kind.WAITS.key}
    assert all("Sessions!" in row["sentence"] for row in results["verdicts"])
    assert words(OnAnswer.SUGGESTED) not in page_of(results)


@pytest.mark.slow
def test_persons_that_go_with_methods_are_told_below_the_verdicts_without_a_name() -> None:
    page = page_of(scored("persons go with methods"))
    assert "cannot be told apart" in page
    assert not [person for person in ("Jon", "Mara") if person in page]


def test_without_a_value_of_an_hour_no_way_of_the_whole_job_is_advised_yet() -> None:
    results = scored("no value of an hour")
    assert results["combinations"][0]["methods"] == ""
    why = words(said(Reason.NOT_ADVISED, tasks=("bucking", "splitting")))
    assert results["combinations"][0]["cash"]["reason"] == why
    page = page_of(results)
    assert words(OnAnswer.SUGGESTED) not in page
    assert "hours" in page[page.index("Metric ton CO2e avoided") :]  # the price of a metric ton


def test_a_volume_that_decides_is_of_the_two_ways_that_the_verdict_lies_between() -> None:
    data = demo(CABIN)
    data["season"]["value_of_time"] = 80
    data["methods"].sort(key=lambda method: method["method"] != "battery saw bucking")
    page = page_of(results_of(data))
    assert "Petrol saw bucking pays at your SEK 80 an hour above" in page
    assert "Battery saw bucking pays" not in page


def test_a_verdict_between_a_way_and_its_quicker_neighbor_has_the_flip_of_these_two() -> None:
    """It had the flip of the way and its slower neighbor, and Answer named the volume from which that way pays."""
    data = demo(CABIN)
    data["season"]["value_of_time"] = 133
    next(row for row in data["tools"] if row["tool"] == "battery chain saw")["price"] = 1500
    for row in data["sessions"]:
        if row["method"] == "petrol saw bucking":
            row["elapsed_time"] /= 1.7
    results = results_of(data)
    flips = {row["method"]: row["flip"] for row in results["exchange"] if row["task"] == "buck"}
    assert list(flips) == ["battery saw bucking", "petrol saw bucking"]
    verdict = next(row for row in results["verdicts"] if row["task"] == "buck")
    assert verdict["sentence"].startswith("Against battery saw bucking, petrol saw bucking saves")
    assert verdict["flip"] == flips["petrol saw bucking"]
    assert "Battery saw bucking pays" not in page_of(results)


def test_two_ways_with_the_flip_of_others_are_not_taken_for_them() -> None:
    results = copy.deepcopy(results_of(hill(), "us"))
    split = next(row for row in results["exchange"] if row["task"] == "split")
    results["exchange"].insert(0, {**split, "method": MAUL, "instead_of": SPLITTER})
    assert "Electric splitting pays at your $18 an hour above" in page_of(results)


def test_a_volume_from_which_a_way_pays_stands_on_the_sheet_that_answer_names() -> None:
    pages, _ = reading_pages(results_of(hill(), "us"))
    told = {title: " ".join(text for _, cells in page.rows() for _, text in cells) for title, page in pages.items()}
    line = re.search(r"Electric splitting pays at .*? a year \([^)]*\)", told["Answer"])
    assert line is not None
    assert told["Answer"][line.end() :].startswith(" (sheet Money).")
    assert line[0] in told["Money"]


def test_no_volume_decides_by_hours_alone_where_the_verdict_weighs_more() -> None:
    """Each saved hour costs more than the hour is worth: a volume below the year's would say that it pays."""
    assert "Electric splitting pays at your $18 an hour above" in page_of(results_of(hill(), "us"))
    found = results_of(hill(value_of_effort=-8), "us")
    assert {row["task"]: row["kind"] for row in found["verdicts"]}["split"] == Kind.KEEP.key
    assert "pays at your" not in page_of(found)
