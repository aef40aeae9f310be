"""Makes the workbooks that are measured: ``python make.py OUT demo|typical|cuts|trace [ROWS]``."""

from __future__ import annotations

import itertools
import sys
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

from trace_workbook import write_trace_workbook

from wood_xl.demo import demo_data
from wood_xl.io.fill import filled_workbook
from wood_xl.io.pack import packed

DEMO = "hill_farm_us"
SESSIONS = 60
TYPICAL_CUTS = 2000
BY_SESSION = ("helpers", "tally", "cuts", "stacks", "heart_trace")


def repeated_season(cuts_n: int) -> dict[str, Any]:
    """The demo season gone through again and again, to 60 sessions, with so many cuts."""
    data, notes = demo_data(DEMO), demo_data(DEMO)
    for sheet in ("sessions", *BY_SESSION):
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
    data["cuts"] = list(itertools.islice(itertools.cycle(data["cuts"]), cuts_n))
    return data


def _of_round(row: dict[str, Any], round_: int) -> dict[str, Any]:
    """A row of notes with the names of its session and its wood made those of that round."""
    return {**row, **{key: f"{row[key]}-{round_}" for key in ("session", "lot") if key in row}}


def main(out: str, kind: str, rows: str = "0") -> None:
    if kind == "trace":
        write_trace_workbook(Path(out), int(rows))
        return
    data = demo_data(DEMO) if kind == "demo" else repeated_season(int(rows) if kind == "cuts" else TYPICAL_CUTS)
    workbook = filled_workbook(data, system="us", currency=data["season"]["currency"], paper="letter")
    Path(out).write_bytes(packed(workbook))


if __name__ == "__main__":
    main(*sys.argv[1:])
