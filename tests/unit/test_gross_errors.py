"""Gross errors that lie within every limit: each is told at its cell, and what lies just inside is not."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from builders import (
    Data,
    at,
    checked,
    metric_workbook,
    raw_book,
    records,
    season_cells,
    small_season,
    tables,
    trial_season,
)
from few import few, together

from wood_xl.data.load import constants
from wood_xl.notes.problem import Problem
from wood_xl.notes.season import check_season
from wood_xl.pipeline import computed_tables, score_file
from wood_xl.reasons import Slip
from wood_xl.report.book import results_bytes
from wood_xl.results.verify_study import verify_file
from wood_xl.schema.words import phrase

Change = Callable[[Data], None]
SESSIONS = ("A", "B", "C", "D", "E")


def season() -> Data:
    """Five sessions of bucking with the chain saw, of like logs, one day after the other; fuel in L, cuts in cm."""
    data = small_season() | {"helpers": [], "stacks": []}
    data["sessions"] = [
        {"session": name, "date": f"2026-03-0{at + 1}", "method": "By chain saw", "person": "Ada",
         "elapsed_time": 60 + 2 * at, "fuel_used": 0.5, "lot": "North" if at < 3 else "South"}
        for at, name in enumerate(SESSIONS)
    ]  # fmt: skip
    data["methods"] = data["methods"][1:]
    data["cuts"] = [{"session": name, "diameter": 20 + at, "cuts": 8} for name in SESSIONS for at in range(3)]
    return data


def told(change: Change, code: str) -> list[Problem]:
    data = season()
    change(data)
    found = checked(data)
    return [one for one in [*found.problems, *computed_tables(found)[1]] if one.code == code]


def cuts(session: str, times: float, unit: str = "cm") -> Change:
    """The diameters of one session so many times as large, in a column of that unit."""

    def change(data: Data) -> None:
        data["units"]["cuts"]["diameter"] = unit
        for row in data["cuts"]:
            row["diameter"] = (
                row["diameter"] / (2.54 if unit == "in" else 1) * (times if row["session"] == session else 1)
            )

    return change


@pytest.mark.parametrize(
    ("times", "unit", "mend"),
    [
        (2.54, "in", "the session in cm,"),
        (1 / 2.54, "cm", "the session in in,"),
        (2.0, "in", "Check the number"),
        (0.5, "cm", "Check the number"),
    ],
)
def test_diameters_of_one_session_unlike_the_others(times: float, unit: str, mend: str) -> None:
    (found,) = told(cuts("B", times, unit), "table-diameters-unlike")
    assert (found.where, found.count) == (at("cuts.diameter", 7), 3)
    assert mend in found.mend


@pytest.mark.parametrize(("times", "unit"), [(0.6, "cm"), (1.7, "cm"), (1.0, "in")])
def test_thicker_and_thinner_logs_are_no_slip(times: float, unit: str) -> None:
    assert told(cuts("B", times, unit), "table-diameters-unlike") == []


def test_a_pile_of_thicker_logs_is_compared_with_itself() -> None:
    def change(data: Data) -> None:
        for row in data["cuts"]:
            row["diameter"] *= 2.5 if row["session"] in ("D", "E") else 1

    assert told(change, "table-diameters-unlike") == []


def stacked(unit: str, *lengths: float) -> Change:
    """Stacks of those lengths, of sticks of 33 cm."""

    def change(data: Data) -> None:
        data["season"] |= {"stick_length": 33}
        data["units"]["season"]["stick_length"] = "cm"
        data["units"]["stacks"] = {"height": "cm", "length": unit}
        data["stacks"] = [{"session": "A", "height": 120, "length": length} for length in lengths]

    return change


@pytest.mark.parametrize(
    ("unit", "lengths", "row", "count", "mend"),
    [
        ("in", (11, 12), 4, 2, '11 to 12 ft, write "Length [ft]"'),
        ("cm", (3.1,), 4, 1, "3.1 m, type 310"),
        ("in", (144, 12), 5, 1, "12 ft, type 144"),
        ("cm", (31,), 4, 1, "Check the number"),
    ],
)
def test_a_stack_that_is_shorter_than_a_stick(
    unit: str, lengths: tuple[float, ...], row: int, count: int, mend: str
) -> None:
    (found,) = told(stacked(unit, *lengths), "row-stack-short")
    assert (found.where, found.count) == (at("stacks.length", row), count)
    assert mend in found.mend


@pytest.mark.parametrize(("unit", "length"), [("cm", 33), ("in", 13), ("m", 0.33)])
def test_a_stack_as_long_as_a_stick_is_no_slip(unit: str, length: float) -> None:
    assert told(stacked(unit, length), "row-stack-short") == []


def fuel(session: int, amount: float, unit: str = "L") -> Change:
    """That much fuel in one session, in a column of that unit; the others have half a liter in it."""

    def change(data: Data) -> None:
        data["units"]["sessions"]["fuel_used"] = unit
        for at_row, row in enumerate(data["sessions"]):
            row["fuel_used"] = amount if at_row == session else {"L": 0.5, "mL": 500, "fl oz": 17, "gal": 0.13}[unit]

    return change


@pytest.mark.parametrize(
    ("amount", "unit", "mend"),
    [
        (0.12, "fl oz", "0.12 gal, type 15.36"),
        (0.5, "mL", "0.5 L, type 500"),
        (0.02, "L", "Check the number"),
    ],
)
def test_fuel_in_another_unit(amount: float, unit: str, mend: str) -> None:
    (found,) = told(fuel(2, amount, unit), "table-fuel-unlike")
    assert found.where == at("sessions.fuel_used", 6)
    assert mend in found.mend


@pytest.mark.parametrize(("amount", "unit"), [(0.15, "L"), (1.5, "L"), (0, "L"), (17, "fl oz")])
def test_fuel_that_is_no_slip(amount: float, unit: str) -> None:
    assert told(fuel(2, amount, unit), "table-fuel-unlike") == []


def test_a_running_time_that_is_written_is_what_the_fuel_is_for() -> None:
    def change(data: Data) -> None:
        data["sessions"][2] |= {"running_time": 3}
        data["units"]["sessions"]["running_time"] = "min"

    (found,) = told(change, "table-fuel-unlike")
    assert "3 min of running" in found.text


def test_pauses_are_no_time_that_the_fuel_is_for() -> None:
    def change(data: Data) -> None:
        data["units"]["sessions"]["delay_time"] = "min"
        data["sessions"][2] |= {"delay_time": 34, "fuel_used": 2}

    (found,) = told(change, "table-fuel-unlike")
    assert "30 min of work" in found.text  # of 64


@pytest.mark.parametrize(("amount", "is_told"), [(5.0, True), (0.02, True), (0.6, False), (0.0, False)])
def test_bar_oil_far_from_that_of_the_other_sessions(amount: float, is_told: bool) -> None:
    def change(data: Data) -> None:
        data["units"]["sessions"]["bar_oil_used"] = "L"
        for row in data["sessions"]:
            row["bar_oil_used"] = amount if row["session"] == "C" else 0.2

    assert [one.where for one in told(change, "table-fuel-unlike")] == [at("sessions.bar_oil_used", 6)] * is_told


def meter(*kwh: float, power_kw: float | None = None) -> Change:
    """The sessions with an electric saw, so much electricity in each."""

    def change(data: Data) -> None:
        data["units"]["sessions"]["electricity_used"] = "kWh"
        data["units"]["tools"]["rated_power"] = "kW"
        data["tools"][1] |= {"kind": "mains"} | ({} if power_kw is None else {"rated_power": power_kw})
        for row, used in zip(data["sessions"], kwh, strict=True):
            del row["fuel_used"]
            row["electricity_used"] = used

    return change


def test_a_meter_that_goes_on_counting_is_told_by_the_other_sessions() -> None:
    (found,) = told(meter(0.8, 0.9, 0.7, 25.3, 0.8), "table-fuel-unlike")
    assert found.where == at("sessions.electricity_used", 7)
    assert phrase(Slip.METER_GOES_ON) in found.mend


def test_a_meter_that_goes_on_counting_is_told_by_the_power_of_the_motor() -> None:
    counted = (21.1, 22.0, 22.9, 23.7, 24.5)
    found = told(meter(*counted, power_kw=1.8), "table-fuel-unlike")
    assert [one.where for one in found] == [at("sessions.electricity_used", row) for row in range(4, 9)]
    assert len(told(meter(*counted), "table-fuel-unlike")) == 5  # no motor at home takes so much
    assert told(meter(1.7, 1.8, 1.7, 1.6, 1.9, power_kw=1.8), "table-fuel-unlike") == []


@pytest.mark.parametrize(("others_kw", "n"), [((), 5), ((None,), 0), ((0.7,), 0)])
def test_of_two_motors_the_power_of_one_says_nothing(others_kw: tuple[float | None, ...], n: int) -> None:
    def change(data: Data) -> None:
        meter(2.1, 2.0, 2.1, 2.2, 2.0, power_kw=0.8)(data)
        for power_kw in others_kw:
            data["tools"][0] |= {"kind": "mains"} | ({} if power_kw is None else {"rated_power": power_kw})
            data["methods"][0]["tool_2"] = "Bow saw"

    assert len(told(change, "table-fuel-unlike")) == n


def test_a_motor_that_is_named_twice_draws_its_power_once() -> None:
    def change(data: Data) -> None:
        meter(2.1, 2.0, 2.1, 2.2, 2.0, power_kw=0.8)(data)
        data["methods"][0]["tool_2"] = data["methods"][0]["tool_1"]

    assert len(told(change, "table-fuel-unlike")) == 5


def test_too_little_electricity_comes_of_no_meter_that_goes_on_counting() -> None:
    (found,) = told(meter(0.8, 0.9, 0.7, 0.02, 0.8), "table-fuel-unlike")
    assert phrase(Slip.METER_GOES_ON) not in found.mend


@pytest.mark.parametrize(("oil", "mend"), [(2.0, "Check the number"), (0.001, "Check the number")])
def test_bar_oil_that_is_odd_in_every_session_is_told_by_what_chains_take(oil: float, mend: str) -> None:
    def change(data: Data) -> None:
        data["units"]["sessions"]["bar_oil_used"] = "L"
        for row in data["sessions"]:
            row["bar_oil_used"] = oil

    found = told(change, "table-fuel-unlike")
    assert [one.where for one in found] == [at("sessions.bar_oil_used", row) for row in range(4, 9)]
    assert {"Chains take about 0.01 to 3 L an hour." in one.text for one in found} == {True}
    assert {mend in one.mend for one in found} == {True}


@pytest.mark.parametrize(
    ("kwh", "power_kw", "n"),
    [(9.0, None, 5), (0.008, None, 5), (0.02, 1.8, 5), (2.4, None, 0), (0.06, None, 0), (0.05, 1.8, 0)],
)
def test_electricity_that_is_odd_in_every_session(kwh: float, power_kw: float | None, n: int) -> None:
    found = told(meter(*[kwh] * 5, power_kw=power_kw), "table-fuel-unlike")
    assert len(found) == n
    assert {phrase(Slip.METER_GOES_ON) in one.mend for one in found} == ({kwh > 1} if n else set())


def test_charges_that_are_odd_are_told_at_their_number() -> None:
    def change(data: Data) -> None:
        data["units"]["tools"]["battery"] = "Wh"
        data["tools"][1] |= {"kind": "battery", "battery": 2000}
        for row in data["sessions"]:
            del row["fuel_used"]
            row["refills"] = 20 if row["session"] == "C" else 0.5

    (found,) = told(change, "table-fuel-unlike")
    assert found.where == at("sessions.refills", 6)
    assert "the size of one" in found.mend


def electricity(price: float, gasoline: float | None, currency: str) -> Change:
    def change(data: Data) -> None:
        data["tools"] = data["upkeep"] = []  # their prices are in crowns
        data["season"].pop("two_stroke_oil_price")
        data["season"] |= {"electricity_price": price, "currency": currency}
        data["units"]["season"]["electricity_price"] = "per kWh"
        data["season"].pop("gasoline_price")
        if gasoline is not None:
            data["season"]["gasoline_price"] = gasoline

    return change


@pytest.mark.parametrize(
    ("price", "gasoline", "currency", "mend"),
    [
        (18, 0.9, "USD", "If the price is in cents, type 0.18."),
        (18, None, "USD", "If the price is in cents, type 0.18."),
        (0.01, None, "EUR", "Check the number"),
        (200, 20, "NOK", "If the price is in cents, type 2."),
    ],
)
def test_a_price_of_electricity_in_cents(price: float, gasoline: float | None, currency: str, mend: str) -> None:
    (found,) = told(electricity(price, gasoline, currency), "item-price-unusual")
    assert found.where == at("season.electricity_price")
    assert mend in found.mend


@pytest.mark.parametrize(
    ("price", "gasoline", "currency"), [(0.18, 0.9, "USD"), (0.18, None, "USD"), (18, None, "NOK"), (2, 20, "NOK")]
)
def test_a_price_of_electricity_that_can_be(price: float, gasoline: float | None, currency: str) -> None:
    assert told(electricity(price, gasoline, currency), "item-price-unusual") == []


@together("typed", ["no", "OK", "0", "None", "-", "FALSE", "n/a", "N", "?", "\u2014"])
def test_leave_out_that_says_no_leaves_nothing_out(typed: str) -> None:
    def change(data: Data) -> None:
        data["sessions"][1]["leave_out"] = typed

    (found,) = told(change, "row-not-left-out")
    assert found.where == at("sessions.leave_out", 5)
    data = season()
    change(data)
    assert records(data).sessions[1].leave_out is None


@pytest.mark.parametrize("typed", few(["yes", "X", "1"]))
def test_leave_out_without_a_reason(typed: str) -> None:
    def change(data: Data) -> None:
        data["sessions"][1]["leave_out"] = typed

    (found,) = told(change, "row-left-out-no-reason")
    assert found.where == at("sessions.leave_out", 5)
    data = season()
    change(data)
    assert records(data).sessions[1].leave_out == "no reason"
    assert {row["why"] for row in tables(data).tables["left_out"]} == {"no reason"}


def dates(*days: str) -> Change:
    def change(data: Data) -> None:
        for row, day in zip(data["sessions"], days, strict=True):
            row["date"] = day

    return change


@pytest.mark.parametrize(
    ("days", "code", "row"),
    [
        (("2026-03-08", "2026-03-09", "2026-10-03", "2026-03-11", "2026-03-12"), "season-date-swapped", 6),
        (("2026-03-08", "2026-03-09", "2026-03-10", "2026-03-11", "2027-03-14"), "season-date-far-off", 8),
        (("2024-03-14", "2026-03-09", "2026-03-10", "2026-03-11", "2026-03-12"), "season-date-far-off", 4),
        (("2026-03-08", "2026-03-09", "2026-04-21", "2026-03-11", "2026-03-12"), "season-date-out-of-order", 6),
    ],
)
def test_a_date_that_cannot_be_right(days: tuple[str, ...], code: str, row: int) -> None:
    (found,) = told(dates(*days), code)
    assert found.where == at("sessions.date", row)


def test_a_swapped_date_is_offered_turned_round() -> None:
    (found,) = told(
        dates("2026-03-08", "2026-03-09", "2026-10-03", "2026-03-11", "2026-03-12"), "season-date-swapped"
    )
    assert "type 2026-03-10" in found.mend


@pytest.mark.parametrize(
    "days",
    [
        ("2026-03-08", "2026-04-09", "2026-06-10", "2026-07-11", "2026-09-12"),
        ("2026-03-08", "2026-04-09", "2026-05-10", "2026-03-09", "2026-04-10"),
        ("2025-11-08", "2025-12-09", "2026-02-03", "2026-02-11", "2026-03-12"),
    ],
)
def test_dates_of_a_long_season_and_of_one_method_after_the_other(days: tuple[str, ...]) -> None:
    for code in ("season-date-swapped", "season-date-far-off", "season-date-out-of-order"):
        assert told(dates(*days), code) == []


@pytest.mark.parametrize(("saved", "rows"), [("2026-03-04", [8]), ("2026-03-05", []), ("2026-02-01", []), (None, [])])
def test_a_date_after_the_file_was_saved(saved: str | None, rows: list[int]) -> None:
    """Of a file that was saved before all of them nothing is told: its clock is wrong."""
    found = check_season(replace(raw_book(season()), saved=saved)).problems
    told_at = [one.where for one in found if one.code == "season-date-to-come"]
    assert told_at == [at("sessions.date", row) for row in rows]


def test_planned_rows_have_dates_to_come() -> None:
    def change(data: Data) -> None:
        data["sessions"].append({"session": "F", "date": "2027-09-01", "method": "By chain saw"})

    assert told(change, "season-date-far-off") == []


@pytest.mark.parametrize(("minutes", "is_told"), [(24, True), (40, False), (110, False), (170, True)])
def test_a_session_that_took_far_more_or_less_time(minutes: float, is_told: bool) -> None:
    def change(data: Data) -> None:
        data["sessions"][2]["elapsed_time"] = minutes

    found = [*told(change, "season-session-unlike"), *told(change, "season-session-far-off")]
    assert [one.where for one in found] == [at("sessions.elapsed_time", 6)] * is_told


@pytest.mark.parametrize(("minutes", "told_n"), [(170, 0), (200, 2)])
def test_two_sessions_far_apart_are_both_reported(minutes: float, told_n: int) -> None:
    def change(data: Data) -> None:
        data["sessions"] = data["sessions"][:2]
        data["sessions"][1]["elapsed_time"] = minutes
        data["cuts"] = data["cuts"][:6]

    assert len(told(change, "season-session-unlike")) == told_n


def test_how_many_times_as_long_has_no_exponent() -> None:
    def change(data: Data) -> None:
        data["sessions"], data["cuts"] = data["sessions"][:2], data["cuts"][:6]
        data["sessions"][0]["elapsed_time"], data["sessions"][1]["elapsed_time"] = 1, 600

    texts = [one.text for one in told(change, "season-session-unlike")]
    assert any("0 times as long" in text for text in texts)
    assert not any("e+" in text for text in texts)


def pile(height: float, length: float) -> Change:
    """A stack of the pile that sessions A to C cut, in meters."""

    def change(data: Data) -> None:
        data["methods"].append({"method": "Stacking", "task": "stack"})
        data["sessions"].append({"session": "S", "method": "Stacking", "elapsed_time": 40, "lot": "North"})
        data["stacks"] = [{"session": "S", "height": height, "length": length}]

    return change


FITTING = (1.0, 3.8)  # with 1.0 m3 of wood in sticks of 40 cm


@pytest.mark.parametrize(
    ("stack", "unit", "code", "mend"),
    [
        ((1.0, 2.0), "m", "season-lot-fraction-impossible", "Check that all"),
        ((1.0, 3.8), "ft", "season-lot-fraction-impossible", "(m, not ft), it would be 0.6"),
        ((3.2808, 12.467), "m", "season-lot-fraction-unusual", "(ft, not m), it would be 0.6"),
        ((39.37, 149.6), "cm", "season-lot-fraction-impossible", "(in, not cm), it would be 0.6"),
        ((1.0, 2.8), "m", "season-lot-fraction-unusual", "Check that all"),
    ],
)
def test_a_pile_whose_cuts_and_stacks_do_not_fit(stack: tuple[float, float], unit: str, code: str, mend: str) -> None:
    def change(data: Data) -> None:
        pile(*stack)(data)
        data["units"]["stacks"] = {"height": unit, "length": unit}

    (found,) = told(change, code)
    assert found.where == at("sessions.lot", 4)
    assert mend in found.mend


def test_a_pile_that_fits_is_not_told() -> None:
    codes = ("season-lot-fraction-impossible", "season-lot-fraction-unusual")
    assert [told(pile(*FITTING), code) for code in codes] == [[], []]


def test_sessions_of_an_impossible_pile_wait_for_its_cell() -> None:
    data = season()
    pile(1.0, 2.0)(data)
    waits = "needs Sessions row 4"
    states = [row["state"] for row in tables(data).tables["sessions"]]
    assert states == [waits, waits, waits, "yes", "yes", waits]
    (lot, _) = season_cells(records(data))["lots"]
    assert lot["solid_fraction"].value is None


@pytest.mark.slow
def test_results_of_an_impossible_pile_are_found_again(tmp_path: Path) -> None:
    data = trial_season()
    data["stacks"][0]["length"] = 0.75
    notes, results = tmp_path / "season.xlsx", tmp_path / "results.xlsx"
    notes.write_bytes(metric_workbook(data))
    computed = score_file(notes, None).results
    assert computed is not None
    results.write_bytes(results_bytes(computed, paper="a4"))
    assert verify_file(results).problems() == []


def money(sheet_id: str, row: int, currency: str = "USD", **cells: object) -> Change:
    """The season in dollars, or with crowns under another name, and some cells of a row changed."""

    def change(data: Data) -> None:
        data["units"]["tools"] |= {"mass": "kg", "worth_today": "money", "years_left": "years", "rent": "money"}
        if currency == "USD":
            data["season"] |= {"gasoline_price": 0.9, "two_stroke_oil_price": 12}
            for one in (*data["tools"], *data["upkeep"]):
                one["price"] /= 10
        data["season"]["currency"] = currency
        data[sheet_id][row] |= cells

    return change


ODD_PRICES: list[tuple[Change, str, str, str]] = [
    (money("tools", 1, price=4300), at("tools.price", 5), "4300 USD. Usual is 15 to 2500.", "check the number"),
    (money("tools", 1, price=40000), at("tools.price", 5), "", "If the price is in cents, type 400."),
    (money("tools", 1, price=4), at("tools.price", 5), "4 USD", "Check"),
    (money("tools", 1, "SEK", price=52000), at("tools.price", 5), "Your price of gasoline suggests 300 to", ""),
    (money("tools", 1, price=1800, mass=3.9), at("tools.price", 5), "1800 USD for 3.9 kg. Usual is 3 to 400", "mass"),
    (
        money("tools", 1, price=80, mass=39),
        at("tools.price", 5),
        "80 USD for 39 kg",
        "Check the price and the mass",
    ),
    (money("tools", 0, price=340, mass=0.7), at("tools.price", 4), "340 USD for 0.7 kg", ""),
    (money("tools", 1, held="rented", rent=800), at("tools.rent", 5), 'rent of "Chain saw" is 800 USD', ""),
    (money("upkeep", 0, price=90, every=3, per="cords"), at("upkeep.price", 4), "90 USD every 3 cords", "beside it"),
    (money("upkeep", 0, price=30, every=0.3, per="cords"), at("upkeep.price", 4), "18 for each cord", ""),
]


@pytest.mark.parametrize(("change", "where", "text", "mend"), ODD_PRICES)
def test_a_price_far_from_what_such_a_thing_costs(change: Change, where: str, text: str, mend: str) -> None:
    (found,) = told(change, "item-price-unusual")
    assert found.where == where
    assert text in found.text
    assert mend in found.mend


TRUE_PRICES = [
    money("tools", 1, price=30, mass=6),  # what a used saw cost
    money("tools", 1, kind="diesel", price=1500, mass=2000),  # an old tractor
    money("tools", 1, held="borrowed", price=40000),
    money("tools", 0, price=5, mass=0.7),
    money("tools", 0, price=250, mass=2.3),  # clothing
    money("tools", 1, price=1900, mass=6.9),
    money("tools", 1, kind="diesel", price=60000, mass=2500),  # a tractor
    money("tools", 1, kind="mains", price=110, mass=4.5),
    money("tools", 1, "SEK", price=5200),
    money("tools", 1, "JPY", price=52000, held="own"),
    money("tools", 1, held="rented", rent=75),
    money("upkeep", 0, price=12, every=1, per="cords"),
    money("upkeep", 0, price=4, every=12, per="hours"),
    money("upkeep", 0, price=1, every=100, per="years"),
]


@pytest.mark.parametrize("change", TRUE_PRICES)
def test_a_price_that_can_be_is_not_told(change: Change) -> None:
    def in_yen(data: Data) -> None:
        change(data)
        if data["season"]["currency"] == "JPY":
            data["season"] |= {"gasoline_price": 170, "two_stroke_oil_price": 1500}
            data["tools"][0]["price"], data["upkeep"][0]["price"] = 4000, 3000

    assert told(in_yen, "item-price-unusual") == []


@pytest.mark.parametrize(
    ("currency", "gasoline", "where", "text"),
    [
        ("USD", 0.9, at("season.currency"), "5 of 6 prices look odd in USD, such as Season!"),
        ("JPY", 2, at("season.gasoline_price"), "5 of 5 prices look odd next to this price of gas"),
    ],
)
def test_where_most_prices_are_odd_the_currency_or_gasoline_is(
    currency: str, gasoline: float, where: str, text: str
) -> None:
    """Whoever leaves the currency of the template as it is, and whose gasoline alone is in another unit."""

    def change(data: Data) -> None:
        money("tools", 0, "XYZ")(data)
        data["season"] |= {"currency": currency, "gasoline_price": gasoline, "two_stroke_oil_price": 1600}
        data["season"] |= {"value_of_time": 1800}
        data["units"]["season"]["value_of_time"] = "per h"
        for row in (*data["tools"], *data["upkeep"]):
            row["price"] *= 100
        data["upkeep"][0]["price"] = 1000

    (found,) = told(change, "item-most-prices-unusual")
    assert found.where == where
    assert text in found.text
    assert told(change, "item-price-unusual") == []


def test_a_currency_without_a_constant_is_judged_by_the_price_of_gasoline(monkeypatch: pytest.MonkeyPatch) -> None:
    known = {key: constant for key, constant in constants().items() if key != "gross.liter.usd"}
    (found,) = told(money("tools", 1, price=4300), "item-price-unusual")
    monkeypatch.setattr("wood_xl.notes.prices.constants", lambda: known)
    (by_gasoline,) = told(money("tools", 1, price=4300), "item-price-unusual")
    assert "Usual is 15 to 2500." in found.text
    assert "Your price of gasoline suggests 14 to 2200." in by_gasoline.text


@pytest.mark.parametrize(("price", "n"), [(340, 1), (230, 0)])
def test_the_price_of_a_pound_is_held_against_that_of_a_pound(price: float, n: int) -> None:
    def change(data: Data) -> None:
        money("tools", 0, price=price, mass=2.5)(data)
        data["units"]["tools"]["mass"] = "lb"

    assert len(told(change, "item-price-unusual")) == n


def test_where_nobody_knows_what_money_is_worth_no_price_is_odd_but_beside_others() -> None:
    def change(data: Data) -> None:
        money("tools", 0, "XYZ", price=40000)(data)
        data["season"].pop("gasoline_price")

    assert told(change, "item-price-unusual") == []
    (found,) = told(change, "season-price-odd")
    assert found.where == at("tools.price", 4)
    assert "costs 10 times" in found.text
    assert told(money("tools", 0), "season-price-odd") == []


@pytest.mark.parametrize(("price", "n"), [(1210, 1), (1100, 0)])
def test_upkeep_that_costs_more_than_its_tool(price: float, n: int) -> None:
    """Whoever writes what a used saw cost may need a part that costs as much."""

    def change(data: Data) -> None:
        money("upkeep", 0, "XYZ", price=price, every=10, per="years")(data)
        data["tools"][1]["price"] = 400
        data["season"].pop("gasoline_price")

    assert [one.where for one in told(change, "row-upkeep-over-tool")] == [at("upkeep.price", 4)] * n


@pytest.mark.parametrize(
    ("cells", "column", "expected"),
    [
        ({"mass": 59}, "mass", "0.8 to 40 kg"),
        ({"mass": 0.59}, "mass", "0.8 to 40 kg"),
        ({"life_years": 1}, "life_years", "2 to 50 years"),
    ],
)
def test_mass_and_life_that_are_odd_for_the_kind_of_tool(
    cells: dict[str, object], column: str, expected: str
) -> None:
    (found,) = told(money("tools", 1, "XYZ", **cells), "cell-unusual")
    assert found.where == at(f"tools.{column}", 5)
    assert expected in found.text


@pytest.mark.parametrize("cells", [{"mass": 1.3}, {"mass": 15}, {"life_years": 2}, {"kind": "diesel", "mass": 1400}])
def test_mass_and_life_that_a_tool_of_its_kind_can_have(cells: dict[str, object]) -> None:
    assert told(money("tools", 1, "XYZ", **cells), "cell-unusual") == []


def monitor(kcal: float, unit: str = "kcal", minutes: float = 60) -> Change:
    """The monitor of one session: by the table an hour with a power saw takes a body of 70 kg 350 kcal."""

    def change(data: Data) -> None:
        data["units"]["sessions"]["monitor_energy"] = unit
        data["sessions"][2] |= {"monitor_energy": kcal, "elapsed_time": minutes}

    return change


@pytest.mark.parametrize(
    ("change", "mend"),
    [
        (monitor(1340), "If you mean 1340 kJ, type 320.3 (the unit here is kcal)."),
        (monitor(320, "kJ"), "If you mean 320 kcal, type 1339 (the unit here is kJ)."),
        (monitor(5000), "Check the number"),
        (monitor(32), "Check the number"),
    ],
)
def test_a_monitor_far_from_what_such_work_takes(change: Change, mend: str) -> None:
    (found,) = told(change, "row-monitor-unlike")
    assert found.where == at("sessions.monitor_energy", 6)
    assert mend in found.mend


@pytest.mark.parametrize("change", [monitor(150), monitor(800), monitor(1340, "kJ"), monitor(750, minutes=110)])
def test_a_very_fit_worker_and_a_monitor_of_the_wrist_are_no_slip(change: Change) -> None:
    assert told(change, "row-monitor-unlike") == []


def test_the_monitor_of_a_helper_is_held_against_the_helpers_own_time() -> None:
    def change(data: Data) -> None:
        data["units"]["helpers"] |= {"monitor_energy": "kcal"}
        data["helpers"] = [
            {"session": "C", "person": "Bo", "time": 15, "monitor_energy": 370},
            {"session": "C", "person": "Cy", "monitor_energy": 370},
        ]

    assert [one.where for one in told(change, "row-monitor-unlike")] == [at("helpers.monitor_energy", 4)]


def all_cuts(times: float) -> Change:
    def change(data: Data) -> None:
        for row in data["cuts"]:
            row["diameter"] *= times

    return change


def by_hand(data: Data) -> None:
    data["tools"][1]["kind"] = "hand"
    for row in data["sessions"]:
        del row["fuel_used"]


@pytest.mark.parametrize(("times", "n"), [(2.54, 1), (1.9, 0)])
def test_all_diameters_in_centimeters_under_inches_are_told_by_the_work_of_an_hour(times: float, n: int) -> None:
    """20 cuts of 20 cm and more in an hour by hand are the work of somebody very fit."""

    def change(data: Data) -> None:
        by_hand(data)
        all_cuts(times)(data)

    found = told(change, "season-work-too-quick")
    assert [one.where for one in found] == [at("sessions.elapsed_time", 4)] * n
    assert all('"By chain saw": its sessions made 1.3 times' in one.text for one in found)


@pytest.mark.parametrize(
    ("times", "fuel_l", "n"),
    [(2.54, (0.15,) * 5, 1), (1.9, (0.15,) * 5, 0), (1.0, (0.0, 0.3, 0.0, 0.0, 0.3), 0), (2.54, (0.0,) * 5, 0)],
)
def test_diameters_in_centimeters_under_inches_are_told_by_the_fuel_of_the_saw(
    times: float, fuel_l: tuple[float, ...], n: int
) -> None:
    """One saw is filled up every second time; cuts of 20 cm and more take a quarter of a liter a session."""

    def change(data: Data) -> None:
        all_cuts(times)(data)
        for row, burned in zip(data["sessions"], fuel_l, strict=True):
            row["fuel_used"] = burned

    found = told(change, "season-fuel-too-little")
    assert [one.where for one in found] == [at("sessions.fuel_used", 4)] * n
    assert told(change, "season-work-too-quick") == []


def stacks(task: str, height: float, length: float, minutes: float = 60, kind: str = "hand") -> Change:
    """Nothing is sawn: every session splits or stacks one stack, in a column of inches, of sticks of 16 in."""

    def change(data: Data) -> None:
        by_hand(data)
        data["season"]["stick_length"] = 16
        data["units"]["season"]["stick_length"] = "in"
        data["units"]["stacks"] = {"height": "in", "length": "in"}
        data["cuts"], data["tools"][1]["kind"] = [], kind
        data["methods"][0]["task"] = task
        data["stacks"] = [{"session": name, "height": height, "length": length} for name in SESSIONS]
        for row in data["sessions"]:
            row["elapsed_time"] = minutes

    return change


@pytest.mark.parametrize(
    ("change", "n"),
    [
        (stacks("split", 100, 280), 1),  # 100 and 280 cm
        (stacks("split", 36, 90), 0),
        (stacks("split", 40, 140), 0),  # a cord in 70 minutes
        (stacks("split", 48, 300, kind="mains"), 0),
        (stacks("split", 90, 400, kind="mains"), 0),
        (stacks("split", 120, 800, kind="mains"), 1),
        (stacks("stack", 91, 600), 1),
        (stacks("stack", 36, 200), 0),
        (stacks("stack", 20, 30, minutes=3), 0),  # a tiny stack
        (stacks("stack", 60, 500, minutes=10, kind="diesel"), 0),  # tipped from a trailer
        (stacks("haul", 90, 500), 0),  # a tractor may haul any amount
    ],
)
def test_all_stacks_in_centimeters_under_inches_are_told_by_the_work_of_an_hour(change: Change, n: int) -> None:
    assert len(told(change, "season-work-too-quick")) == n


def test_where_one_session_is_told_already_the_method_is_not() -> None:
    def change(data: Data) -> None:
        by_hand(data)
        for row in data["cuts"][:3]:
            row["cuts"] = 400

    assert len(told(change, "season-session-unlike")) + len(told(change, "season-session-far-off")) == 1
    assert told(change, "season-work-too-quick") == []


@pytest.mark.parametrize(("kind", "n"), [("diesel", 0), ("gasoline two-stroke", 1)])
def test_a_machine_saws_what_it_is_built_for(kind: str, n: int) -> None:
    def change(data: Data) -> None:
        data["tools"][1]["kind"] = kind
        for row in data["cuts"]:
            row["cuts"] = 400

    assert len(told(change, "season-work-too-quick")) == n


@pytest.mark.parametrize(("sheet", "row", "column"), [("tools", 1, "kind"), ("methods", 0, "tool_1")])
def test_a_tool_that_waits_is_not_held_against_what_hands_can_do(sheet: str, row: int, column: str) -> None:
    """A saw whose kind was misspelt was taken for a saw by hand, and its work for too quick."""

    def quick(data: Data) -> None:
        for cut in data["cuts"]:
            cut["cuts"] = 100

    def change(data: Data) -> None:
        quick(data)
        data[sheet][row][column] = "sew"

    assert told(quick, "season-work-too-quick") == told(change, "season-work-too-quick") == []


def test_giant_logs_are_sawn_by_a_saw_that_hardly_rests() -> None:
    def change(data: Data) -> None:
        data["cuts"] = [{"session": name, "diameter": 110, "cuts": 20} for name in SESSIONS]
        for row in data["sessions"]:
            row["fuel_used"] = 1.5

    codes = ("season-work-too-quick", "season-fuel-too-little", "table-fuel-unlike")
    assert [told(change, code) for code in codes] == [[], [], []]


@pytest.mark.parametrize(("kwh", "n"), [(0.02, 1), (0.1, 0)])
def test_cuts_that_take_more_electricity_than_was_written(kwh: float, n: int) -> None:
    assert len(told(meter(*[kwh] * 5), "season-fuel-too-little")) == n


@pytest.mark.parametrize(
    ("cells", "code", "column"),
    [
        ({"worth_today": 4100}, "row-worth-over-price", "worth_today"),
        ({"years_left": 12, "life_years": 10}, "row-left-over-life", "years_left"),
    ],
)
def test_a_used_tool_is_no_more_than_a_new_one(cells: dict[str, object], code: str, column: str) -> None:
    (found,) = told(money("tools", 1, "XYZ", **cells), code)
    assert found.where == at(f"tools.{column}", 5)
    assert told(money("tools", 1, "XYZ", worth_today=4000, years_left=10, life_years=10), code) == []


@pytest.mark.parametrize(
    ("pauses", "leave_out", "n"),
    [(50, None, 1), (39, None, 0), (50, "the chain came off", 0)],
)
def test_a_session_that_was_mostly_pauses(pauses: float, leave_out: str | None, n: int) -> None:
    def change(data: Data) -> None:
        data["units"]["sessions"]["delay_time"] = "min"
        data["sessions"][1] |= {"delay_time": pauses} | ({} if leave_out is None else {"leave_out": leave_out})

    assert [one.where for one in told(change, "row-mostly-pauses")] == [at("sessions.delay_time", 5)] * n


@pytest.mark.parametrize(("mass", "n"), [(32, 1), (154, 1), (48, 0), (140, 0)])
def test_a_mass_that_is_odd_for_the_height(mass: float, n: int) -> None:
    """70 kg and 70 lb; somebody of 170 cm who is very light, and who is very heavy."""

    def change(data: Data) -> None:
        data["people"][0]["mass"] = mass

    found = [one for one in told(change, "cell-unusual") if "for a height of 170 cm" in one.text]
    assert [one.where for one in found] == [at("people.mass", 4)] * n


@pytest.mark.parametrize(
    ("yearly", "others", "text"),
    [
        (100, {"volume_wanted": 9}, "9 stacked m3 wanted next season"),
        (1, {"volume_wanted": 9}, "9 stacked m3 wanted next season"),
        (36, {"volume_wanted": 9}, None),
        (3, {"volume_wanted": 9}, None),
        (90, {"last_winter_volume": 9}, "9 stacked m3 burned last winter"),
        (0.9, {"last_winter_volume": 9}, "9 stacked m3 burned last winter"),
        (36, {"last_winter_volume": 9}, None),
        (36, {"volume_wanted": 9, "last_winter_volume": 2}, None),
    ],
)
def test_the_wood_of_a_usual_year_far_from_what_is_wanted_or_was_burned(
    yearly: float, others: dict[str, float], text: str | None
) -> None:
    def change(data: Data) -> None:
        data["season"]["yearly_volume"] = yearly
        data["units"]["next_season"] = dict.fromkeys(others, "stacked m3")
        data["next_season"] = others

    found = told(change, "item-yearly-unlike-wanted")
    assert [one.where for one in found] == ([at("season.yearly_volume")] if text else [])
    assert all(text and text in one.text for one in found)


@pytest.mark.parametrize(("yearly", "times"), [(0.5, ["5.2"]), (0.6, []), (100, [])])
def test_a_season_that_made_far_more_wood_than_a_usual_year(yearly: float, times: list[str]) -> None:
    """A trial makes far less, and that is no slip."""

    def change(data: Data) -> None:
        data["season"]["yearly_volume"] = yearly

    found = told(change, "season-made-over-yearly")
    assert [one.where for one in found] == [at("season.yearly_volume")] * len(times)
    assert [one.text.split(", ")[1].split()[0] for one in found] == times
