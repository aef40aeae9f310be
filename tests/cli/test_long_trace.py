"""A heart trace of days, one reading each second: memory and time of the whole program."""

from __future__ import annotations

import cProfile
import json
import pstats
import subprocess
import sys
from pathlib import Path

import pytest
from trace_workbook import write_trace_workbook

from wood_xl.pipeline import score_file
from wood_xl.report.book import results_bytes

pytestmark = pytest.mark.slow
pytest.importorskip("resource", reason="this system does not tell what a process has used")

ROWS = 500_000
MOST_MEBIBYTES = 400
MOST_SECONDS = 120  # of a processor; a quick one needs a tenth of it
# A process begins with the peak of the one that starts it, so a small one stands between the tests and the program.
USAGE = """
import json, resource, subprocess, sys
done = subprocess.run([sys.executable, "-m", "wood_xl", *sys.argv[1:]], stdout=subprocess.DEVNULL)
used = resource.getrusage(resource.RUSAGE_CHILDREN)
print(json.dumps([done.returncode, used.ru_maxrss, used.ru_utime + used.ru_stime]))
"""


def usage(command: str, path: Path) -> tuple[float, float]:
    """Peak memory [MiB] and processor time [s] of the program in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-c", USAGE, command, str(path)], check=True, capture_output=True, text=True
    )
    code, peak, seconds = json.loads(done.stdout)
    assert code == 0
    return peak / (2**20 if sys.platform == "darwin" else 2**10), seconds


def test_half_a_million_rows(tmp_path: Path) -> None:
    path = tmp_path / "long.xlsx"
    write_trace_workbook(path, ROWS)
    for command in ("check", "score"):
        mebibytes, seconds = usage(command, path)
        assert mebibytes < MOST_MEBIBYTES, command
        assert seconds < MOST_SECONDS, command
    assert (tmp_path / "long-results.xlsx").stat().st_size > ROWS


def test_work_grows_with_the_rows(tmp_path: Path) -> None:
    """Calls are counted instead of seconds: no load of the machine can change them."""

    def calls(rows_n: int) -> int:
        path = tmp_path / f"{rows_n}.xlsx"
        write_trace_workbook(path, rows_n)
        with cProfile.Profile() as profile:
            results = score_file(path, None).results
            assert results is not None
            results_bytes(results, paper="a4")
        return int(pstats.Stats(profile).total_calls)  # type: ignore[attr-defined]

    calls(1000)  # what is looked up once for all
    start = calls(1000)
    assert calls(21_000) - start < 11 * (calls(3000) - start)
