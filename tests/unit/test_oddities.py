"""Odd sessions and cuts are pointed out, and still count."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from builders import Data, at, checked, remarks, small_season, tables

from wood_xl.pipeline import computed_tables

HAND, SAW = "By bow saw", "By chain saw"
CUTS = [{"diameter": 20.0, "cuts": 10}]


def season(by_method: dict[str, Sequence[float]], cuts: dict[str, list[Data]] | None = None) -> Data:
    """Sessions with their minutes, each on a day of its own; ten cuts of 20 cm unless a session has others."""
    data = small_season() | {"helpers": [], "stacks": [], "sessions": [], "cuts": []}
    data["methods"] = [method for method in data["methods"] if method["method"] in by_method]
    data["units"]["cuts"]["cut_time"] = "s"
    for method, minutes in by_method.items():
        for i, time in enumerate(minutes):
            name = f"{method[3]}{i}"
            day = f"2026-0{3 + (method == SAW)}-{i + 1:02}"
            row = {"session": name, "method": method, "elapsed_time": time, "date": day, "fuel_used": 0.5}
            data["sessions"].append(row if method == SAW else {k: v for k, v in row.items() if k != "fuel_used"})
            data["cuts"] += [{"session": name} | cut for cut in (cuts or {}).get(name, CUTS)]
    return data


@pytest.mark.parametrize("minutes", [[61, 58, 63, 59, 62, 180], [610, 58, 63], [61, 58, 6, 63, 60]])
def test_a_session_far_off_is_told_and_counts(minutes: list[float]) -> None:
    data = season({HAND: minutes})
    place = max(range(len(minutes)), key=lambda i: abs(minutes[i] - 60))
    (facts,) = remarks(data, "season-session-far-off")
    assert (facts["session"], facts["found"]) == (f"b{place}", HAND)
    assert float(facts["value"]) == pytest.approx(minutes[place] / 60, rel=0.1)
    assert tables(data).tables["methods"][0]["sessions_n"] == len(minutes)


def test_a_session_far_off_is_told_at_the_cells_of_its_time() -> None:
    data = season({HAND: [61, 58, 63, 59, 62, 180]})
    where = [one.where for one in computed_tables(checked(data))[1] if one.code == "season-session-far-off"]
    assert where == [at("sessions.elapsed_time", 9)]
    data["sessions"][5] |= {"start": "9:00", "stop": "12:00"}
    for written in ("with the minutes", "by the clock alone"):
        where = [one.where for one in computed_tables(checked(data))[1] if one.code == "season-session-far-off"]
        assert where == [at("sessions.start", 9)], written
        data["sessions"][5].pop("elapsed_time", None)


def test_equal_sessions_are_not_far_off() -> None:
    assert remarks(season({HAND: [61, 58, 63, 59, 62, 66], SAW: [21, 24, 19]}), "season-session-far-off") == []


def test_of_two_sessions_neither_is_far_off() -> None:
    assert remarks(season({HAND: [60, 600], SAW: [21, 24, 19]}), "season-session-far-off") == []


def test_a_session_of_much_thinner_logs_is_not_far_off() -> None:
    """Each took twice as long for its sawn area as the others: sticks of 7 cm need many cuts."""
    cuts = {f"b{i}": [{"diameter": d, "cuts": 10}] for i, d in enumerate((20.5, 19.8, 20.2, 20.0))}
    thin, thick = {"b4": [{"diameter": 7.0, "cuts": 45}]}, {"b4": [{"diameter": 20.4, "cuts": 5}]}
    minutes = {HAND: [61, 58, 63, 59, 60]}
    assert remarks(season(minutes, cuts | thin), "season-session-far-off") == []
    (facts,) = remarks(season(minutes, cuts | thick), "season-session-far-off")
    assert facts["session"] == "b4"


def test_of_a_day_with_two_sessions_the_one_far_off_is_named() -> None:
    for two in ((300, 600), (12, 6)):
        data = season({HAND: [61, 58, 63, *two, 62, 60]})
        data["sessions"][4]["date"] = data["sessions"][3]["date"]
        assert [facts["session"] for facts in remarks(data, "season-session-far-off")] == ["b4"]


def test_a_cut_far_off_is_told() -> None:
    """Ten times as long as others of its size, and four times as long as those of the thicker log."""
    times = {("b0", 20.0): [30, 31, 29, 30, 32, 300], ("b1", 30.0): [64, 71, 68, 66, 69, 70]}
    cuts = {name: [{"diameter": d, "cut_time": time} for time in own] for (name, d), own in times.items()}
    (facts,) = remarks(season({HAND: [30, 31]}, cuts), "season-cut-far-off")
    assert (facts["session"], facts["found"]) == ("b0", "300")


def test_a_session_that_outweighs_the_others_is_told() -> None:
    cuts = {"b0": [{"diameter": 20.0, "cuts": 5}], "b1": [{"diameter": 20.0, "cuts": 5}]}
    data = season({HAND: [30, 31, 400]}, cuts | {"b2": [{"diameter": 20.0, "cuts": 70}]})
    assert remarks(data, "season-session-dominates") == [{"session": "b2", "found": HAND}]


def test_times_rounded_to_five_minutes_are_told() -> None:
    assert remarks(season({HAND: [60, 45, 90, 75, 30, 62]}), "season-times-rounded") == [{"found": "5", "value": "6"}]
    assert remarks(season({HAND: [61, 47, 90, 73, 38, 62]}), "season-times-rounded") == []
