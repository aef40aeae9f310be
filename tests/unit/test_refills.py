"""Fuel and electricity by full tanks or battery charges."""

from __future__ import annotations

from typing import Any

import pytest
from builders import Data, at, checked, records, small_season
from few import together

B, CHAIN_SAW = 1, 1  # session B works by the chain saw, the second tool
REFILLS = at("sessions.refills", 5)


def season(*, kind: str = "gasoline two-stroke", size: Data | None = None, **session: Any) -> Data:
    """The small season whose chain saw has a tank of 500 mL or another size, and no fuel written."""
    data = small_season()
    data["units"]["tools"] |= {"tank": "mL", "battery": "Wh"}
    data["units"]["sessions"] |= {"electricity_used": "kWh"}
    data["tools"][CHAIN_SAW] |= {"kind": kind} | ({"tank": 500} if size is None else size)
    del data["sessions"][B]["fuel_used"]
    data["sessions"][B] |= session
    return data


def codes(data: Data) -> dict[str, Any]:
    return {one.code: one for one in checked(data).problems if "refills" in one.code or "charges" in one.code}


def used(data: Data) -> tuple[float | None, float | None]:
    session = records(data).sessions[B]
    return session.fuel_l, session.electricity_kwh


@together(
    ("data", "fuel_l", "kwh"),
    [
        (season(refills=1.5), 0.75, None),
        (season(refills=0), 0, None),
        (season(refills=1.5, fuel_used=0.7), 0.7, None),
        (season(kind="battery", size={"battery": 180}, refills=4), None, 4 * 0.18 / 0.85),
        (season(kind="battery", size={"battery": 180}, refills=4, electricity_used=0.9), None, 0.9),
        (season(kind="battery", size={"tank": 500}, refills=4), None, None),
        (season(size={}, refills=2), None, None),
    ],
)
def test_amount_counts_else_tanks_or_charges(data: Data, fuel_l: float | None, kwh: float | None) -> None:
    assert used(data) == (pytest.approx(fuel_l), pytest.approx(kwh))


def test_tanks_need_the_size_of_one_tool() -> None:
    none = codes(season(size={}, refills=2))["row-refills-not-counted"]
    assert none.where == REFILLS
    two = season(refills=2)
    two["tools"].append({"tool": "Winch", "kind": "battery", "battery": 100})
    two["methods"][1]["tool_2"] = "Winch"
    assert codes(two)["row-refills-not-counted"].where == REFILLS
    assert codes(season(refills=2)) == {}
    for data in (season(size={}, refills=2), two):
        assert "table-fuel-not-recorded" not in [one.code for one in checked(data).problems]


def test_tanks_are_not_told_as_uncounted_where_their_tool_waits() -> None:
    """It was said that of the tools of "" none has a size."""
    for sheet, row, column in (("sessions", B, "method"), ("methods", 1, "tool_1"), ("tools", CHAIN_SAW, "kind")):
        data = season(refills=2)
        data[sheet][row][column] = "what?"
        assert codes(data) == {}
    del data["sessions"][B]["method"]
    assert codes(data) == {}


@together(("fuel", "is_told"), [(0.5, True), (0.61, False), (0.99, False), (1.01, True), (0, True)])
def test_tanks_far_from_what_was_measured_are_told(fuel: float, is_told: bool) -> None:
    data = season(refills=1.5, fuel_used=fuel)  # 0.75 L by its tanks
    found = codes(data)
    assert list(found) == (["row-refills-against-amount"] if is_told else [])
    assert all(one.where == REFILLS for one in found.values())


def test_the_charging_efficiency_is_told_as_a_default_once() -> None:
    data = season(kind="battery", size={"battery": 180}, refills=4)
    data["sessions"].append({**data["sessions"][B], "session": "D"})
    found = codes(data)["row-charges-by-default"]
    assert (found.where, found.count) == (REFILLS, 2)
    assert all(figure in found.text for figure in ("0.85", "0.75 to 0.95", "assumption"))
    assert codes(season(kind="battery", size={"battery": 180}, refills=4, electricity_used=0.85)) == {}


def test_a_broken_tank_size_withholds_figures_of_its_fuel() -> None:
    data = season(size={"tank": -5}, refills=2)
    assert codes(data) == {}
    (tool,) = [one for one in records(data).tools if one.name == "Chain saw"]
    assert tool.broken["money"] == tool.broken["emissions"] == at("tools.tank", 5)


def test_more_tanks_than_any_engine_drinks_are_told_at_their_cell() -> None:
    told = [one for one in checked(season(refills=12)).problems if one.code == "table-fuel-over-engine"]
    assert [one.where for one in told] == [REFILLS]
