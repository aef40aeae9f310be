"""What people type wrong or in their own way at the table, and what they are told."""

from __future__ import annotations

from typing import Any

import pytest
from builders import Data, checked, small_season, text_cell
from test_kitchen_table import ADA, BO, saws
from test_who_may import document

from wood_xl.io.entry_rules import EntryHelp
from wood_xl.pipeline import computed_tables
from wood_xl.schema.layout import HEADER_ROW
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import words


def typed_in_stacks(text: str) -> str:
    """The lines of the check where the length of a stack is a text."""
    data = saws(ADA)
    data["units"]["stacks"] = {"height": "in", "length": "in"}
    data["stacks"] = [{"session": "c1", "height": 40, "length": 150}]

    def typed(cells: dict[str, Any]) -> None:
        cells["stacks"][HEADER_ROW + 1, 3] = text_cell(text)

    return "\n".join(one.line() for one in checked(data, edit=typed).problems)


def test_feet_alone_are_read_like_feet_with_inches() -> None:
    for text in ("14'", "14 ft"):
        assert f'"{text}" was read as 168 in.' in typed_in_stacks(text)


def test_a_weight_is_not_asked_to_be_turned_into_a_length() -> None:
    assert "cannot be turned into it" in typed_in_stacks("412 kg")
    assert "Convert it" not in typed_in_stacks("412 kg")


def test_sessions_wait_for_the_task_of_their_method() -> None:
    data = saws(ADA)
    next(one for one in data["methods"] if one["method"] == "By chain saw")["task"] = "sawing"
    states = {words(row["state"]) for row in document(checked(data))["sessions"] if row["method"] == "By chain saw"}
    assert states == {
        f"needs Methods!B{HEADER_ROW + 1 + [one['method'] for one in data['methods']].index('By chain saw')}"
    }


def told_of(data: Data, code: str) -> list[str]:
    return [one.line() for one in checked(data).problems if one.code == code]


def test_a_session_that_was_copied_with_its_wood_is_told() -> None:
    data = saws(ADA, BO)
    assert told_of(data, "table-session-copied") == []
    data["sessions"].append({**data["sessions"][0], "session": "copy"})
    assert told_of(data, "table-session-copied") == []  # it has no wood, which is told already
    data["cuts"].append({**data["cuts"][0], "session": "copy"})
    (line,) = told_of(data, "table-session-copied")
    assert 'Session "copy" has the day' in line
    data["cuts"][-1]["cuts"] = 19
    assert told_of(data, "table-session-copied") == []
    data["sessions"][-1] = data["sessions"][0]
    data["cuts"].pop()
    assert told_of(data, "table-session-copied") == []  # it said that both count; their common name withholds both


def test_a_stack_that_was_pasted_twice_is_told() -> None:
    """The wood of a first session counted twice, without a word."""
    data = saws(ADA)
    stack = {"session": "c1", "height": 1, "length": 2}
    data["stacks"] = [stack, {**stack, "length": 2.1}, {**stack, "session": "c2"}]
    assert told_of(data, "table-stack-twice") == []
    data["stacks"].append(stack)
    (line,) = told_of(data, "table-stack-twice")
    assert f"in row {HEADER_ROW + 1} too" in line


def test_a_second_row_for_a_second_person_is_sent_to_helpers() -> None:
    data = saws(ADA, BO)
    other = {"Ada": "Bo", "Bo": "Ada"}[data["sessions"][0]["person"]]
    data["sessions"].append(data["sessions"][0] | {"person": other})
    lines = told_of(data, "table-duplicate-key")
    assert ["Write the other person on Helpers." in line for line in lines] == [True] * 2
    data["sessions"][-1] = data["sessions"][0]
    assert ["Helpers" in line for line in told_of(data, "table-duplicate-key")] == [False] * 2


@pytest.mark.parametrize("column", ["date", "person"])
def test_a_blank_below_a_name_or_a_day_is_told_not_to_repeat_it(column: str) -> None:
    """On paper a blank stands for the line above: the work went to nobody, or to no day, without a word."""
    data = saws(ADA, BO)
    assert told_of(data, "row-blank-beside-others") == []
    for at in (1, 4):
        del data["sessions"][at][column]
    lines = told_of(data, "row-blank-beside-others")
    assert len(lines) == 2
    assert all("not as the one above" in line for line in lines)
    data["sessions"][1]["leave_out"] = "broke down"
    assert len(told_of(data, "row-blank-beside-others")) == 1
    for session in data["sessions"]:
        session.pop(column, None)
    n = len(told_of(data, "row-blank-beside-others"))
    assert n == (7 if column == "person" else 0)  # a plan said that no age is written of those on People
    data["people"] = []
    assert told_of(data, "row-blank-beside-others") == []


def test_minutes_with_an_m_are_not_asked_to_leave_the_session_out() -> None:
    def typed(cells: dict[str, Any]) -> None:
        elapsed = [column.id for column in season_definition().sheet("sessions").columns].index("elapsed_time") + 1
        cells["sessions"][HEADER_ROW + 1, elapsed] = text_cell("70m")

    (found,) = [one for one in checked(small_season(), edit=typed).problems if one.code == "cell-not-a-number"]
    assert "Type 70 alone" in found.mend


def test_a_method_that_was_renamed_on_its_own_sheet_is_named_where_the_old_name_stands() -> None:
    data = saws(ADA, BO)
    old = data["methods"][1]["method"]
    data["methods"][1]["method"] = "Stihl"
    (line, *_) = told_of(data, "table-unknown-reference")
    assert 'It may be called "Stihl" now, which nothing else uses.' in line
    data["sessions"][0]["method"] = "A"  # which of the two has the new name?
    assert {"Stihl" in line for line in told_of(data, "table-unknown-reference")} == {False}
    data["sessions"][0]["method"] = old
    for name in ("B", "C"):
        data["methods"].append({**data["methods"][0], "method": name})
    assert {"Stihl" in line for line in told_of(data, "table-unknown-reference")} == {False}


def test_only_the_unknown_of_several_tools_is_told() -> None:
    data = saws({**ADA, "may_use": "Chain saw, Bo saw"})
    (line,) = told_of(data, "row-unknown-tools")
    assert '"Bo saw" is not on' in line
    data["people"][0]["may_use"] = "Ax, maul"
    (line,) = told_of(data, "row-unknown-tools")
    assert '"Ax, maul" is not on' in line


@pytest.mark.parametrize("own", ["mean_heart_rate", "fuel_used", "helpers"])
def test_two_sessions_as_long_with_as_much_wood_are_two_by_what_was_measured_or_who_helped(own: str) -> None:
    data = small_season()
    data["sessions"].append({**data["sessions"][1], "session": "D"})
    data["helpers"].append({**data["helpers"][0], "session": "D"})
    data["cuts"].append({**data["cuts"][2], "session": "D"})
    assert len(told_of(data, "table-session-copied")) == 1
    if own == "helpers":
        data["helpers"][-1]["time"] = 20
    else:
        data["sessions"][-1][own] = {"mean_heart_rate": 131, "fuel_used": 0.6}[own]
    assert told_of(data, "table-session-copied") == []


@pytest.mark.parametrize(("start", "is_told"), [("1927-03-06", True), ("2026-09-05", False)])
def test_a_plan_that_begins_in_another_century_is_told(start: str, is_told: bool) -> None:
    data = saws(ADA, BO, start_date=start)
    codes = {one.code for one in computed_tables(checked(data))[1]}
    assert ("plan-start-long-past" in codes) == is_told


def in_no_crowns() -> Data:
    """Without what has a price in crowns."""
    data = saws(ADA, BO)
    for item in ("two_stroke_oil_price", "bar_oil_price"):
        del data["season"][item]
    return data | {"tools": [], "upkeep": []}


@pytest.mark.parametrize(
    ("price", "told"), [(3.5, ""), (1.1, ""), (350, "If the price is in cents, type 3.5."), (0.35, "Check")]
)
def test_a_price_of_gasoline_in_cents_is_told(price: float, told: str) -> None:
    data = in_no_crowns()
    data["season"] |= {"currency": "USD", "gasoline_price": price}
    data["units"]["season"]["gasoline_price"] = "per gal"
    lines = told_of(data, "item-price-unusual")
    assert [told in line for line in lines] == ([True] if told else [])
    data["season"]["currency"] = "JPY"
    assert told_of(data, "item-price-unusual") == []


def test_prices_of_gasoline_and_electricity_that_are_both_in_cents_are_both_told() -> None:
    """One was held against the other, and looked right beside it."""
    data = in_no_crowns()
    data["season"] |= {"currency": "USD", "gasoline_price": 150, "electricity_price": 30}
    data["units"]["season"] |= {"gasoline_price": "per L", "electricity_price": "per kWh"}
    assert [line.split(" is ")[0].split(": ")[-1] for line in told_of(data, "item-price-unusual")] == [
        "Price of gasoline",
        "Price of electricity",
    ]


def test_usual_values_are_the_same_in_the_help_and_in_the_check() -> None:
    data = saws(ADA, BO, volume_wanted=0.14)
    data["units"]["next_season"]["volume_wanted"] = "cord"
    (line,) = [line for line in told_of(data, "cell-unusual") if "Next season" in line]
    wanted = season_definition().column("next_season.volume_wanted")
    assert EntryHelp(wanted, "cord", "").usual == "Usual: 0.15 to 25 cord."
    assert "Usual is 0.15 to 25 cord." in line
