"""The calendar file of a plan: read by an independent parser, and by the letter of the standard."""

from __future__ import annotations

import copy
import datetime as dt
import re
from typing import Any

import icalendar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wood_xl.results.calendar_file import calendar_text

PLANNED = {
    "season": {"season_name": "Hill farm"},
    "sessions": [{"date": "2025-03-08"}, {"date": ""}, {"date": "2025-05-03"}],
    "plan": {
        "sessions": [
            {
                "date": date,
                "person": person,
                "task": "buck",
                "method": method,
                "minutes": 75.0,
                "in_sight": "Jon" if method == "chain saw" else "",
                "mind": "",
                "wear": ["helmet", "gloves; long"],
            }
            for date, person, method in (
                ("2026-02-14", "Mara", "chain saw"),
                ("2026-02-28", "Mara", "maul"),
                ("2026-12-31", "Jon", "maul"),
            )
        ]
    },
}
CONTENT_LINE = re.compile(r"[A-Z-]+(;[A-Z-]+=[^\x00-\x1f\x7f\";:,]+)*:[^\x00-\x08\x0a-\x1f\x7f]*")  # section 3.1


def events(text: str) -> list[Any]:
    calendar = icalendar.Calendar.from_ical(text.encode())
    assert not calendar.errors
    assert all(not event.errors for event in calendar.events)
    return list(calendar.events)


def with_first(**changed: Any) -> dict[str, Any]:
    results = copy.deepcopy(PLANNED)
    results["plan"]["sessions"][0].update(changed)
    return results


def test_felling_carries_its_caution_in_full() -> None:
    felling, other, _ = events(calendar_text(with_first(task="fell")))
    assert str(felling["DESCRIPTION"]).startswith("Felling: Leave standing")
    assert "makes felling fit for you. In sight: Jon" in str(felling["DESCRIPTION"])
    assert "Felling" not in str(other["DESCRIPTION"])


def test_what_to_mind_goes_into_the_calendar_too() -> None:
    minded, other, _ = events(calendar_text(with_first(mind="somebody within call; an adult near")))
    assert "Mind: somebody within call; an adult near. Wear:" in str(minded["DESCRIPTION"])
    assert "Mind:" not in str(other["DESCRIPTION"])


def test_a_parser_finds_each_session_on_its_day() -> None:
    found = events(calendar_text(PLANNED))
    assert [(one.start, one.end, str(one["SUMMARY"])) for one in found] == [
        (dt.date(2026, 2, 14), dt.date(2026, 2, 15), "Mara: chain saw, 75 min"),
        (dt.date(2026, 2, 28), dt.date(2026, 3, 1), "Mara: maul, 75 min"),
        (dt.date(2026, 12, 31), dt.date(2027, 1, 1), "Jon: maul, 75 min"),
    ]
    assert str(found[0]["DESCRIPTION"]).startswith(
        "In sight: Jon, does nothing else meanwhile. Wear: helmet, gloves; long."
    )
    assert {one["DTSTAMP"].dt for one in found} == {dt.datetime(2025, 5, 3, tzinfo=dt.UTC)}


def test_the_same_plan_gives_the_same_bytes_and_a_session_that_stays_keeps_its_id() -> None:
    assert calendar_text(PLANNED) == calendar_text(copy.deepcopy(PLANNED))
    before, after = (events(calendar_text(one)) for one in (PLANNED, with_first(date="2026-02-16", minutes=60.0)))
    ids, others = ([str(one["UID"]) for one in some] for some in (before, after))
    assert len(set(ids)) == 3
    assert ids[1:] == others[1:]
    assert ids[0] != others[0]


def test_two_sessions_of_one_person_day_and_method_have_their_own_ids() -> None:
    results = copy.deepcopy(PLANNED)
    results["plan"]["sessions"].append(copy.deepcopy(PLANNED["plan"]["sessions"][0]))
    assert len({str(one["UID"]) for one in events(calendar_text(results))}) == 4


NAMES = st.text(st.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=120)


@given(NAMES, NAMES)
def test_any_name_comes_back_and_no_line_is_longer_than_the_standard_has_it(person: str, method: str) -> None:
    text = calendar_text(with_first(person=person, method=method))
    lines = text.split("\r\n")
    assert lines.pop() == ""
    assert all(len(line.encode()) <= 75 for line in lines)
    assert not re.search(r"(?<!\r)\n|\r(?!\n)", text)
    unfolded = re.sub(r"\r\n ", "", text).split("\r\n")
    assert all(CONTENT_LINE.fullmatch(line) for line in unfolded[:-1])
    first = events(text)[0]
    assert str(first["SUMMARY"]) == f"{person}: {method}, 75 min"


@pytest.mark.parametrize("name", ["a\nb", "tab\there", "bell\x07", "back\\slash; and, more"])
def test_marks_are_escaped_and_control_letters_left_out(name: str) -> None:
    found = events(calendar_text(with_first(person=name)))[0]
    expected = "".join(letter for letter in name if letter == "\n" or letter >= " ")
    assert str(found["SUMMARY"]) == f"{expected}: chain saw, 75 min"
