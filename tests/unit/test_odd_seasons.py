"""Seasons at the edge of what a person may fill in go all the way to a results workbook."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from builders import Data, small_season
from figures import without_word

from wood_xl.io.fill import filled_workbook
from wood_xl.io.pack import packed
from wood_xl.io.results import results_bytes
from wood_xl.pipeline import score_file
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


CHANGES: dict[str, tuple[Callable[[Data], object], bool]] = {
    "the least that can be filled in": (least, True),
    "service from start to finish": (lambda data: data["sessions"][1].update(service_time=60), True),
    "delay from start to finish": (lambda data: data["sessions"][0].update(delay_time=90), True),
    "every session left out": (all_left_out, False),
    "no stick length": (lambda data: data["season"].pop("stick_length"), False),
    "a session without its time": (lambda data: data["sessions"][0].pop("elapsed_time"), True),
    "heart rate at the highest": (lambda data: data["people"][0].update(max_heart_rate=120), True),
    "a very low VO2max": (lambda data: data["people"][0].update(vo2max=10, mass=40), True),
    "a trace without a beat": (silent_trace, True),
    "a tool of no known kind": (lambda data: data["tools"][1].update(kind="petrol"), True),
    "an engine without vibration that never ran": (silent_saw, True),
    "no currency": (lambda data: data["season"].pop("currency"), True),
    "a tool for nothing": (lambda data: data["tools"][0].update(price=0), True),
}


@pytest.mark.parametrize("name", CHANGES)
def test_odd_season_is_scored_and_written(name: str, tmp_path: Path) -> None:
    change, counts = CHANGES[name]
    data = small_season()
    change(data)
    path = tmp_path / "season.xlsx"
    path.write_bytes(packed(filled_workbook(data, system="metric", currency="NOK", paper="a4")))
    results = score_file(path, None).results
    assert results is not None
    given = [row["worker_hours"]["value"] is not None for row in results["rates_per_cord"]]
    assert all(given) if counts else not any(given)
    assert without_word(results) == []
    for document in (results, shared(results)):
        assert results_bytes(document, paper="a4").startswith(b"PK")
