"""Makes the workbooks that are measured: ``python make.py OUT demo|typical|cuts|trace|many [ROWS]``.

Of ``many``, OUT is a folder, and ROWS says how many small seasons of invented households it gets, all different.
"""

from __future__ import annotations

import itertools
import math
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

import numpy as np
from households import household
from trace_workbook import write_trace_workbook

from wood_xl.demo import demo_data
from wood_xl.io.fill import filled_workbook
from wood_xl.io.pack import packed

DEMO = "hill_farm_us"
SESSIONS = 60
TYPICAL_CUTS = 2000
BY_SESSION = ("helpers", "cuts", "stacks", "heart_trace")


def repeated_season(cuts_n: int) -> dict[str, Any]:
    """The demo season gone through again and again, to 60 sessions, with so many cuts that hold as much wood."""
    data, notes = demo_data(DEMO), demo_data(DEMO)
    notes["cuts"] = [stick for row in (*notes["cuts"], *_tallied(notes["tally"])) for stick in _sticks(row)]
    for sheet in ("sessions", "tally", *BY_SESSION):
        data[sheet] = []
    for round_ in itertools.count():
        for session in notes["sessions"][: SESSIONS - len(data["sessions"])]:
            data["sessions"].append(_of_round(session, round_))
            for sheet in BY_SESSION:
                data[sheet] += [
                    _of_round(row, round_) for row in notes[sheet] if row["session"] == session["session"]
                ]
        if len(data["sessions"]) == SESSIONS:
            break
    thinner = math.sqrt(len(data["cuts"]) / cuts_n)
    chosen = [data["cuts"][at * len(data["cuts"]) // cuts_n] for at in range(cuts_n)]
    data["cuts"] = [{**one, "diameter": round(one["diameter"] * thinner, 2)} for one in chosen]
    return data


def _tallied(sheets: list[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    """Rows of cuts in place of a tally by size classes."""
    for sheet in sheets:
        for one in sheet["classes"]:
            yield {"session": sheet["session"], "diameter": float(one["class"].split()[0]), "cuts": one["cuts"]}


def _sticks(row: dict[str, Any]) -> list[dict[str, Any]]:
    return [{"session": row["session"], "diameter": float(row["diameter"])}] * row.get("cuts", 1)


def _of_round(row: dict[str, Any], round_: int) -> dict[str, Any]:
    """A row of notes with the names of its session and its wood made those of that round."""
    return {**row, **{key: f"{row[key]}-{round_}" for key in ("session", "lot") if key in row}}


def write_many(folder: Path, seasons_n: int) -> None:
    """Small seasons, each of a household of its own."""
    folder.mkdir()
    for number in range(seasons_n):
        data = household(number, np.random.default_rng([1000, number]))
        workbook = filled_workbook(data, system="metric", currency=data["season"]["currency"], paper="a4")
        (folder / f"season-{number:04}.xlsx").write_bytes(packed(workbook))


def main(out: str, kind: str, rows: str = "0") -> None:
    if kind == "many":
        write_many(Path(out), int(rows))
        return
    if kind == "trace":
        write_trace_workbook(Path(out), int(rows))
        return
    data = demo_data(DEMO) if kind == "demo" else repeated_season(int(rows) if kind == "cuts" else TYPICAL_CUTS)
    workbook = filled_workbook(data, system="us", currency=data["season"]["currency"], paper="letter")
    Path(out).write_bytes(packed(workbook))


if __name__ == "__main__":
    main(*sys.argv[1:])
