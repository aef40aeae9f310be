"""No file, however much it asks for, keeps the machine busy for long or fills its memory.

Each is read, checked and copied with marks in a process of its own, as ``wood-xl check --marked-copy`` does.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import build_bad
import build_heavy
import measure_attacks
import pytest
from builders import small_season
from few import few

from wood_xl.notes.problem import catalogue

SECONDS = 8.0  # of processor time up to 1 MB: 5 on a quiet machine, where others work beside it half as long again
TIMES_A_SMALL_ONE = 9.0  # in which 0.7 s go by on a quiet machine
SECONDS_PER_MB = 0.5  # beyond the first: a large file may take longer, in proportion to its size
MEBIBYTES = 300  # above a process that has checked a small workbook
SCRIPT = Path(__file__).with_name("measure_checking.py")
COPY_REFUSED = ("file-too-large-to-copy", "file-not-copied")  # read and checked, and only then refused
CASES = build_heavy.CASES | {f"{name}.xlsx": case for name, case in build_bad.CASES.items()}

Measure = Callable[[Path], tuple[str, float, float]]


@pytest.fixture(scope="module")
def measure(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Measure]:
    """Outcome, seconds and MiB of checking a file."""
    sound = tmp_path_factory.mktemp("sound") / "season.xlsx"
    sound.write_bytes(build_bad.packed(build_bad.sound_parts()))
    with subprocess.Popen(
        [sys.executable, str(SCRIPT), str(sound)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        asked, told = process.stdin, process.stdout

        def measured(path: Path) -> tuple[str, float, float]:
            asked.write(f"{path}\n")
            asked.flush()
            outcome, seconds, kibibytes = json.loads(told.readline())
            return outcome, seconds, kibibytes / 1024

        yield measured
        asked.close()


def cost(*arguments: str | Path) -> tuple[float, float]:
    """Seconds and MiB of a command, run from a small process, since the peak of the parent counts too."""
    script = "import json, sys, measure_attacks; print(json.dumps(measure_attacks.run(*sys.argv[1:])))"
    command = [sys.executable, "-c", script, *map(str, arguments)]
    paths = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    told = subprocess.run(command, check=True, capture_output=True, text=True, env=paths)
    seconds, mebibytes = json.loads(told.stdout)
    return seconds, mebibytes


def test_results_of_many_people_are_written_and_verified_as_soon(tmp_path: Path) -> None:
    notes, results = tmp_path / "season.xlsx", tmp_path / "season-results.xlsx"
    small = tmp_path / "small.xlsx"
    small.write_bytes(measure_attacks.written(small_season()))
    size = notes.write_bytes(measure_attacks.written(measure_attacks.strange_helpers()))
    assert size < 1e6
    runs = [("score", notes), ("verify", results), ("pool", "--out", tmp_path / "study.xlsx", results)]
    most = TIMES_A_SMALL_ONE * cost("score", small)[0]  # beside as many others
    costs = {str(arguments[0]): cost(*arguments) for arguments in runs}
    assert results.stat().st_size < 1e6
    assert (tmp_path / "study.xlsx").is_file()
    assert [name for name, (seconds, mebibytes) in costs.items() if seconds > most or mebibytes > MEBIBYTES] == []


@pytest.mark.parametrize("name", few(CASES))
def test_time_and_memory_hold(name: str, measure: Measure, tmp_path: Path) -> None:
    expected, build = CASES[name]
    path = tmp_path / f"season{Path(name).suffix}"
    size = path.write_bytes(build())
    outcome, seconds, mebibytes = measure(path)
    assert outcome == expected or (expected == build_heavy.READ and outcome in COPY_REFUSED)
    assert outcome == build_heavy.READ or outcome in catalogue()
    assert seconds < SECONDS + SECONDS_PER_MB * max(0, size / 1e6 - 1), f"{seconds:.1f} s for {size / 1e6:.1f} MB"
    assert mebibytes < MEBIBYTES
