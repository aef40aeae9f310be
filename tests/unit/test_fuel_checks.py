"""What the checks say of fuel, bar oil and electricity, in the units that were typed."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from builders import Cells, Data, at, checked, season_cells, small_season, tables, text_cell

from wood_xl.notes.convert import season_records
from wood_xl.notes.problem import Problem
from wood_xl.schema.layout import HEADER_ROW
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import words
from wood_xl.units import convert

Change = Callable[[Data], None]
FIRST = HEADER_ROW + 1
CHAIN = 1  # row of the method and of the session with the chain saw


def told(change: Change, *codes: str) -> list[Problem]:
    data = small_season()
    change(data)
    return [one for one in checked(data).problems if one.code in codes]


def session(**values: object) -> Change:
    return lambda data: data["sessions"][CHAIN].update(values)


def without_prices(*items: str) -> Change:
    def change(data: Data) -> None:
        for item in items:
            data["season"].pop(item, None)

    return change


def test_millilitres_under_a_header_of_fluid_ounces_are_told_without_a_power() -> None:
    def change(data: Data) -> None:
        data["units"]["sessions"]["fuel_used"] = "fl oz"
        data["sessions"][CHAIN]["fuel_used"] = 400

    (found,) = told(change, "table-fuel-over-engine")
    # the strongest two-stroke of the table has 6 hp, the thirstiest takes 1.365 lb/hp-h, a gallon weighs 6.237 lb
    most = 6 * 1.365 / 6.237 * 128
    assert found.where == at("sessions.fuel_used", 5)
    facts = (
        "400 fl oz",
        "60 min",
        "the strongest gasoline two-stroke engine of the tables (6 hp)",
        "170 fl oz",
        "mL",
    )
    assert [fact for fact in facts if fact not in found.text] == []
    assert most == pytest.approx(170, abs=5)


def test_a_written_power_stands_for_the_strongest_engine() -> None:
    def change(data: Data) -> None:
        data["units"]["tools"]["rated_power"] = "hp"
        data["tools"][1]["rated_power"] = 2
        data["sessions"][CHAIN]["fuel_used"] = 2

    (found,) = told(change, "table-fuel-over-engine")
    assert "an engine of 2 hp" in found.text
    assert "1.7 L" in found.text
    assert convert(2 * 1.365 / 6.237, "gal", "L") == pytest.approx(1.657, abs=0.001)


def test_an_engine_that_ran_on_nothing_in_all_sessions_is_told() -> None:
    """Its fuel cost nothing and emitted nothing, without a word."""
    (found,) = told(session(fuel_used=0), "table-fuel-unlike")
    assert found.where == at("sessions.fuel_used", 5)
    assert "leave the cell empty" in found.mend
    assert told(session(bar_oil_used=0), "table-fuel-unlike") == []  # a saw need not have a chain


@pytest.mark.parametrize("used", [0.5, 4.9, 26])  # beyond 3 L for an hour of running it is told as unusual
def test_possible_fuel_and_fuel_reported_already_have_no_line(used: float) -> None:
    assert told(session(fuel_used=used), "table-fuel-over-engine") == []
    assert len(told(session(fuel_used=used), "cell-unusual", "table-fuel-unlike")) == (used > 3 / 2)


def test_a_diesel_has_no_row_in_the_table_of_engines() -> None:
    def change(data: Data) -> None:
        data["tools"][1]["kind"] = "diesel"
        data["sessions"][CHAIN]["fuel_used"] = 20

    assert told(change, "table-fuel-over-engine") == []


def test_fuel_of_some_sessions_is_one_line_with_its_count() -> None:
    def change(data: Data) -> None:
        for name in ("D", "E", "F"):
            data["sessions"].append({"session": name, "method": "By chain saw", "elapsed_time": 30})
        data["sessions"][-2]["fuel_used"] = 0.2
        data["sessions"][-1]["leave_out"] = "saw broke down"

    (found,) = told(change, "table-fuel-partly-recorded", "table-fuel-not-recorded")
    assert (found.code, found.where) == ("table-fuel-partly-recorded", at("sessions.fuel_used", 7))
    assert "1 of 3 sessions" in found.text


def test_bar_oil_is_asked_for_only_where_some_is_written() -> None:
    second: Change = lambda data: data["sessions"].append(  # noqa: E731
        {"session": "D", "method": "By chain saw", "elapsed_time": 30, "fuel_used": 0.2}
    )

    def with_oil(data: Data) -> None:
        second(data)
        data["units"]["sessions"]["bar_oil_used"] = "mL"
        data["sessions"][CHAIN]["bar_oil_used"] = 90

    assert told(second, "table-fuel-partly-recorded") == []
    (found,) = told(with_oil, "table-fuel-partly-recorded")
    assert found.where == at("sessions.bar_oil_used", 7)
    assert "1 of 2 sessions" in found.text
    (price,) = told(with_oil, "item-no-price")
    assert "Price of bar and chain oil" in price.text
    assert '"By chain saw"' in price.text


def test_bar_oil_that_nobody_noted_is_reported_and_counts_as_none() -> None:
    (found,) = told(session(fuel_used=0.5), "table-bar-oil-not-recorded")
    assert found.where == at("sessions.bar_oil_used", 5)
    assert "29 to 51%" in found.text
    assert told(session(bar_oil_used=0), "table-bar-oil-not-recorded", "item-no-price") == []
    assert told(lambda data: data["methods"][CHAIN].update(task="split"), "table-bar-oil-not-recorded") == []


@pytest.mark.parametrize(
    ("items", "reason"),
    [
        (("two_stroke_oil_price",), "needs the price of two-stroke oil"),
        (("gasoline_price",), "needs the price of gasoline"),
        (("gasoline_price", "two_stroke_oil_price"), "needs the price of gasoline and two-stroke oil"),
    ],
)
def test_a_missing_price_is_named_by_check_and_by_the_figure(items: tuple[str, ...], reason: str) -> None:
    change = without_prices(*items)
    data = small_season()
    change(data)
    season = season_definition().sheet("season")
    rows = [FIRST + [column.id for column in season.columns].index(item) for item in items]
    assert [one.where for one in told(change, "item-no-price")] == [f"Season!B{row}" for row in rows]
    assert all(one.withholds for one in told(change, "item-no-price"))
    fuel = tables(data).tables["money_per_cord"][CHAIN]["fuel"]
    assert (fuel.value, words(fuel.reason)) == (None, reason)


def test_no_price_is_asked_for_that_nothing_needs() -> None:
    every = without_prices("gasoline_price", "two_stroke_oil_price", "diesel_price")
    for change in (session(fuel_used=0), session(leave_out="saw broke down")):

        def both(data: Data, change: Change = change) -> None:
            every(data)
            change(data)

        assert told(both, "item-no-price") == []
    assert told(session(fuel_used=0.5), "item-no-price") == []


def test_a_price_that_waits_for_a_mend_is_not_called_empty() -> None:
    def edit(cells: dict[str, Cells]) -> None:
        items = [column.id for column in season_definition().sheet("season").columns]
        cells["season"][FIRST + items.index("two_stroke_oil_price"), 2] = text_cell("ten")

    codes = [one.code for one in checked(small_season(), edit=edit).problems]
    assert "cell-not-a-number" in codes
    assert "item-no-price" not in codes


def test_a_mend_of_the_diesel_price_does_not_keep_back_a_chain_saw() -> None:
    def edit(cells: dict[str, Cells]) -> None:
        items = [column.id for column in season_definition().sheet("season").columns]
        cells["season"][FIRST + items.index("diesel_price"), 2] = text_cell("dear")

    season = checked(small_season(), edit=edit)
    assert "cell-not-a-number" in [one.code for one in season.problems]
    fuel = season_cells(season_records(season)[0])["money_per_cord"][CHAIN]["fuel"]
    assert fuel.value is not None


def test_a_tool_that_is_not_known_may_burn_anything() -> None:
    """The name on the Methods sheet is a FIX of its own; its fuel and power cannot be judged."""

    def change(data: Data) -> None:
        data["methods"][CHAIN]["tool_1"] = "Chainsaw with long bar"

    codes = [
        one.code for one in told(change, "table-unknown-reference", "table-fuel-without-engine", "item-no-price")
    ]
    assert codes == ["table-unknown-reference"]


def test_a_method_with_a_two_stroke_and_a_diesel_cannot_say_which_its_fuel_is() -> None:
    def second(kind: str) -> Change:
        def change(data: Data) -> None:
            data["tools"].append(data["tools"][CHAIN] | {"tool": "winch", "kind": kind})
            data["methods"][CHAIN]["tool_2"] = "winch"

        return change

    (found,) = told(second("diesel"), "table-two-fuels")
    assert found.where == at("methods.tool_2", FIRST + CHAIN)
    assert told(second("gasoline two-stroke"), "table-two-fuels") == []
