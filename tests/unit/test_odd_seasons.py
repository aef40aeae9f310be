"""Seasons at the edge of what a person may fill in go all the way to a results workbook."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from builders import Data, scored, small_season
from few import few
from figures import without_word

from wood_xl.report.book import results_bytes
from wood_xl.results.share import shared


def least(data: Data) -> None:
    data.update(
        season={"season_name": "x", "currency": "NOK", "stick_length": 33},
        methods=[{"method": "m", "task": "buck"}],
        sessions=[{"session": "1", "method": "m", "elapsed_time": 30}],
        cuts=[{"session": "1", "diameter": 20}],
        **{sheet: [] for sheet in ("people", "tools", "upkeep", "helpers", "stacks")},
    )


def all_left_out(data: Data) -> None:
    for session in data["sessions"]:
        session["leave_out"] = "rain"


def silent_trace(data: Data) -> None:
    data["heart_trace"] = [{"session": "A", "elapsed": 0, "heart_rate": 0}]
    data["units"]["heart_trace"] = {"elapsed": "s", "heart_rate": "beats/min"}


def silent_saw(data: Data) -> None:
    data["tools"][1].update(vibration=0, sound_level=100)
    data["sessions"][1]["running_time"] = 0
    data["units"]["tools"] |= {"vibration": "m/s2", "sound_level": "dB(A)"}
    data["units"]["sessions"]["running_time"] = "min"


def by_the_clock(data: Data) -> None:
    """Sessions by Start and Stop, a trace by its stamps, fuel by tanks, and stacking within a splitting session."""
    for session, start, stop in zip(
        data["sessions"], ("9:05", "10:40", "13:00"), ("10:35", "11:40", "13:45"), strict=True
    ):
        del session["elapsed_time"]
        session |= {"start": start, "stop": stop}
    del data["helpers"][0]["time"], data["sessions"][1]["fuel_used"]
    data["sessions"][1]["refills"] = 1.5
    data["tools"][1]["tank"] = 400
    data["methods"] += [{"method": "By maul", "task": "split"}, {"method": "By bare hands", "task": "stack"}]
    data["sessions"].append(
        {"session": "D", "date": "2026-03-04", "method": "By maul", "start": "9:00", "stop": "10:00",
         "stacking_time": 15}
    )  # fmt: skip
    data["stacks"].append({"session": "D", "height": 1, "length": 1})
    data["units"] |= {"heart_trace": {"heart_rate": "beats/min"}}
    data["units"]["tools"] |= {"tank": "mL"}
    data["heart_trace"] = [
        {"clock": f"2026-03-01 9:{minute:02d}:{second:02d}", "heart_rate": 120}
        for minute in range(10, 60)
        for second in range(0, 60, 10)
    ]


CHANGES: dict[str, tuple[Callable[[Data], object], int]] = {
    "the least that can be filled in": (least, 1),
    "service nearly from start to finish": (lambda data: data["sessions"][1].update(service_time=50), 2),
    "pauses nearly from start to finish": (lambda data: data["sessions"][0].update(delay_time=75), 2),
    "every session left out": (all_left_out, 0),
    "no stick length": (lambda data: data["season"].pop("stick_length"), 0),
    "a session without its time": (lambda data: data["sessions"][0].pop("elapsed_time"), 1),
    "heart rate at the highest": (lambda data: data["people"][0].update(max_heart_rate=120), 2),
    "a very low VO2max": (lambda data: data["people"][0].update(vo2max=10, mass=40), 2),
    "a trace without a beat": (silent_trace, 2),
    "a tool of no known kind": (lambda data: data["tools"][1].update(kind="petrol"), 2),
    "an engine without vibration that never ran": (silent_saw, 2),
    "everything by the clock": (by_the_clock, 4),
    "a session that is only planned": (
        lambda data: data["sessions"].append({"session": "P", "method": "By bow saw", "person": "Ada"}),
        2,
    ),
    "no currency": (lambda data: data["season"].pop("currency"), 2),
    "a tool for nothing": (lambda data: data["tools"][0].update(price=0), 2),
}


@pytest.mark.parametrize("name", few(CHANGES, "the least that can be filled in", "everything by the clock"))
def test_odd_season_is_scored_and_written(name: str, tmp_path: Path) -> None:
    change, methods_n = CHANGES[name]
    data = small_season()
    change(data)
    results = scored(data, tmp_path)
    given = [row["worker_hours"]["value"] is not None for row in results["rates_per_cord"]]
    assert sum(given) == methods_n
    assert without_word(results) == []
    for document in (results, shared(results)):
        assert results_bytes(document, paper="a4").startswith(b"PK")
