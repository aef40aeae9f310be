"""Every number on a reading sheet is a figure of the sheet Figures, rounded as the rule says, or was typed."""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest
from builders import checked, reading_pages, small_season, trial_season
from few import few

from wood_xl.data.load import value
from wood_xl.demo import demo_data, demo_names
from wood_xl.page_texts import OnPages
from wood_xl.pipeline import computed_again
from wood_xl.reasons import Ranged, sentences
from wood_xl.report.view import View
from wood_xl.results.share import shared
from wood_xl.schema.words import digits_of, money_text, number_text, words
from wood_xl.units import convert

Document = dict[str, Any]
NUMBER = re.compile(r"\d+(?:,\d{3})*(?:\.\d+)?")
SLOT = re.compile(r"\{[^}]*\}")
FACTORS = re.compile(r"(?:logs|hands|days) (\d\.\d\d)")  # of a pair: the quotient of two factors of Figures
CELL = re.compile(r"[A-Z][a-z ]+![A-Z]+\d+")
MONTH = re.compile(r"\b20\d\d-\d\d\b")  # when the wood is dry
TITLE_OF_PLAN = re.compile(r"Plan: [\d.,]+")  # wood that is planned, as typed where it is all that was wanted
SEASONS = (*demo_names(), "small", "trial")


@cache
def results(name: str) -> Document:
    data = {"small": small_season, "trial": trial_season}.get(name, lambda: demo_data(name))()
    system = "us" if name == demo_names()[0] else "metric"
    found = computed_again(
        checked(data), {"display_units": system, "input_sha256": "0" * 64, "template_version": "1"}
    )
    assert found is not None
    return found


def of_figures(document: Document) -> set[str]:
    """Each figure and its ends with the digits that its range leaves, for the unit of wood of the pages."""
    cord_m3 = convert(1.0, "cord", "stacked m3")
    shares = [1.0, 1 / cord_m3, cord_m3] if View(document).is_metric else [1.0]
    found = set()
    for row in document["figures"]:
        if row["value"] is None:
            continue
        ends = row["value"], row["low"], row["high"]
        ways = [[None if one is None else one * share for one in ends] for share in shares]
        if row["measure"] == "ratio" and all(ends):
            ways.append([1 / row["value"], 1 / row["high"], 1 / row["low"]])
        for middle, low, high in ways:
            digits = digits_of(Ranged(middle or 0.0, low, high))
            for one in (middle, low, high):
                found |= set() if one is None else {text(abs(one), digits) for text in (number_text, money_text)}
            found.add(number_text(abs(middle or 0.0)))  # where it stands without its range
    return found


def typed(part: Any) -> Iterator[str]:
    """Numbers of the notes, as they are told."""
    if isinstance(part, dict | list):
        for one in part.values() if isinstance(part, dict) else part:
            yield from typed(one)
    elif isinstance(part, str):
        yield from NUMBER.findall(part)
    elif isinstance(part, int | float):
        yield f"{part:,.10f}".rstrip("0").rstrip(".")
        yield f"{part:,.2f}"


def of_words() -> set[str]:
    """Numbers that the sentences have themselves, as 19 times in 20."""
    return {
        one for texts in sentences().values() for text in texts.values() for one in NUMBER.findall(SLOT.sub("", text))
    }


def of_constants() -> set[str]:
    """The limits that the sheet Body names, and the mass of whoever wrote none."""
    names = ("noise.niosh.criterion", "noise.reference_time", "noise.niosh.exchange", "vibration.action_value")
    reference_kg = value("effort.reference_mass_kg")
    masses = {f"{convert(reference_kg, 'kg', unit):.0f}" for unit in ("kg", "lb")}
    return {f"{value(name):g}" for name in names} | masses


def days(document: Document) -> set[str]:
    """Days of the month of the sessions."""
    return {f"{int(row['date'][-2:])}" for row in document["sessions"] if row["date"]}


def counts(document: Document) -> set[str]:
    """Whole numbers of sessions, days and rows, none of them higher than there are sessions and people."""
    return {f"{n}" for n in range(1 + len(document["sessions"]) + len(document["inputs"].get("people", ())))}


def strange(document: Document) -> list[tuple[str, str, str]]:
    """Sheet, number and text of each number that is none of these."""
    worked = {
        str(text).replace("stacked m3", "stacked m³")  # as pages write it
        for one in document["worked"]
        for step in one["steps"]
        for text in step.values()
    }
    known = of_figures(document) | set(typed(document["inputs"])) | of_words() | counts(document)
    known |= of_constants() | days(document)
    known |= {one for row in document["plan_sessions"] for one in NUMBER.findall(json.dumps(row))}
    known |= set(NUMBER.findall(document["plan"]["late"] + document["plan"]["departures"]))
    known |= {row["winter"][:4] for row in document["stock_winters"]}
    known |= {one for row in document["comparisons"] for one in NUMBER.findall(row["further"])}
    hours = (row["clock_hours"]["value"] for row in document["sessions"])
    known |= {f"{60 * one:,.0f}" for one in hours if one is not None}  # Sessions has minutes
    both = ((row["kcal_net"]["value"], row["worker_hours"]["value"]) for row in document["rates_per_cord"])
    known |= {number_text(kcal / hours) for kcal, hours in both if kcal and hours}  # Body has kcal an hour
    known |= {one for row in document["cautions"] for one in NUMBER.findall(row["text"])}
    found = []
    for title, page in reading_pages(document)[0].items():
        for lines in page.pages():
            for line in lines:
                for _, cell in page.placed(line.cells):
                    is_told = cell.text in worked or re.fullmatch(
                        r"[\w ]+![A-Z]+\d+", cell.text
                    )  # or where it stands
                    if title == words(OnPages.HOW_WE_KNOW) and is_told:
                        continue  # each line can be redone with its own digits: another test does
                    if CELL.fullmatch(cell.text):
                        continue  # the place of a number, with a link to it
                    text = MONTH.sub("", TITLE_OF_PLAN.sub("", FACTORS.sub("", cell.text)))
                    found += [(title, one, cell.text) for one in NUMBER.findall(text) if one not in known]
    return found


@pytest.mark.parametrize("name", few(SEASONS, "trial"))
def test_every_number_on_a_reading_sheet_is_a_figure_or_was_typed(name: str) -> None:
    for document in (results(name), shared(results(name))):
        assert len(of_figures(document)) > 100
        assert strange(document) == []


@pytest.mark.parametrize("column", ["worker_hours", "cash", "kcal_net", "co2e"])
def test_a_number_on_a_page_that_is_no_figure_is_noticed(column: str) -> None:
    """A page that is made of anything else would be noticed."""
    document = copy.deepcopy(results(demo_names()[0]))
    document["rates_per_cord"][1][column] |= {"value": 765_432.1, "low": 654_321.0, "high": 987_654.3}
    assert {(title, one) for title, one, _ in strange(document)} >= {("Compare", "990,000")}


@pytest.mark.parametrize(
    ("low", "high", "digits"),
    [(90.0, 110.0, 3), (80.0, 100.0, 2), (50.0, 200.0, 2), (None, None, 2), (84.0, 95.0, 2), (94.6, 95.0, 3)],
)
def test_only_a_narrow_range_gets_a_third_digit(low: float | None, high: float | None, digits: int) -> None:
    assert digits_of(Ranged(95.0, low, high)) == digits


def test_only_money_below_ten_has_cents() -> None:
    assert [money_text(amount, 3) for amount in (9.54, 10.4, 43.2)] == ["9.54", "10", "43"]


def test_a_yearly_volume_taken_from_the_trials_has_two_digits() -> None:
    document = copy.deepcopy(results("small"))
    document["season"]["yearly_volume"]["value"] = 0.3273838723
    document["inputs"]["season"].pop("yearly_volume", None)
    assert View(document).volume == "0.33"
    document["season"]["yearly_volume"]["value"] = document["inputs"]["season"]["yearly_volume"] = 4.25
    assert View(document).volume == "4.25"
