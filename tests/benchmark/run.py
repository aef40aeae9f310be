"""Time and memory of whole programs, each beside what no program can do without: ``python tests/benchmark/run.py``.

A measured program and its floor take turns, so that other work on the machine slows both. Processor time (user and
system) is what to compare; time by the clock stands beside it. Figures are medians, or with fewer than three runs the
least. This program imports nothing large: a process begins with the peak memory of the one that starts it.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).parent
PEAK_PER_MIB = 2**20 if sys.platform == "darwin" else 2**10
LIBRARIES = ("click", "jsonschema", "numpy", "openpyxl", "pandas", "highspy")
WOOD_XL = [sys.executable, "-m", "wood_xl"]
FLOOR = [sys.executable, str(HERE / "floor.py")]
SEASONS = {"demo": "demo season", "typical": "60 sessions, 2,000 cuts"}
LARGE = {"cuts": (100_000, "100,000 cuts"), "trace": (500_000, "500,000 trace rows")}
GROUPS = ("start", *SEASONS, *LARGE, "folder")
COPIES, FEW_COPIES = 40, 10
FEW_ROWS = 300  # so few that what grows with rows is nothing, and so many that all is computed


@dataclass(frozen=True)
class Used:
    """What one run of a program, or the median of several, has used."""

    cpu: float
    wall: float
    mib: float


def run(command: Sequence[str]) -> Used:
    """Run a program to its end, with its own time and memory."""
    begun = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    wall = time.perf_counter() - begun
    if process.returncode not in (0, 1):  # 1: written, with something to mend
        raise SystemExit(f"{' '.join(command)} ended with {process.returncode}")
    return Used(used.ru_utime + used.ru_stime, wall, used.ru_maxrss / PEAK_PER_MIB)


def medians(commands: Sequence[Sequence[str]], runs_n: int) -> list[Used]:
    """The programs in turn, so many times."""
    middle = statistics.median if runs_n > 2 else min
    found = [[run(command) for command in commands] for _ in range(runs_n)]
    return [
        Used(*(middle(getattr(one, name) for one in column) for name in ("cpu", "wall", "mib")))
        for column in zip(*found, strict=True)
    ]


def make(*arguments: str | Path) -> None:
    """Run one of the programs that make something to be measured, outside of this process."""
    subprocess.run([sys.executable, *map(str, arguments)], check=True)


def libraries(command: Sequence[str]) -> str:
    """Which of the libraries a program imports."""
    told = subprocess.run([sys.executable, "-X", "importtime", *command[1:]], capture_output=True, text=True)  # noqa: PLW1510
    names = set(re.findall(r"^import time:.*\| +(\S+)$", told.stderr, re.MULTILINE))
    return ",".join(name for name in LIBRARIES if name in names)


def line(*cells: object) -> None:
    """One row of a Markdown table, at once."""
    sys.stdout.write(f"| {' | '.join(map(str, cells))} |\n")
    sys.stdout.flush()


def compare(title: str, command: Sequence[str], floor: Sequence[str], runs_n: int) -> Used:
    """Print a program beside its floor."""
    own, least = medians((command, floor), runs_n)
    line(
        title,
        f"{own.cpu:.2f} s",
        f"{least.cpu:.2f} s",
        f"{own.cpu / least.cpu:.2f}",
        f"{own.wall / least.wall:.2f}",
        f"{own.mib:.0f} MiB",
        runs_n,
    )
    return own


def measure_start(folder: Path, runs_n: int) -> None:
    told, pandas = [*WOOD_XL, "--help"], [sys.executable, "-c", "import pandas"]
    run(told)
    run(pandas)
    compare("`--help` (floor: import pandas)", told, pandas, runs_n)
    blank, shapes = folder / "blank.xlsx", folder / "blank.json"
    command = [*WOOD_XL, "template", str(blank), "--replace"]
    run(command)
    make(HERE / "shapes.py", blank, shapes)
    floor = [*FLOOR, libraries(command), "", str(shapes), str(folder / "floor.xlsx")]
    compare("`template`", command, floor, runs_n)


def measure_season(path: Path, title: str, runs_n: int) -> tuple[Used, Used]:
    """Check and score of one workbook."""
    results, shapes = path.with_name(f"{path.stem}-results.xlsx"), path.with_suffix(".json")
    check, score = [*WOOD_XL, "check", str(path)], [*WOOD_XL, "score", str(path), "--replace"]
    checked = compare(f"`check`, {title}", check, [*FLOOR, libraries(check), str(path)], runs_n)
    run(score)
    make(HERE / "shapes.py", results, shapes)
    floor = [*FLOOR, libraries(score), str(path), str(shapes), str(path.with_name("floor.xlsx"))]
    return checked, compare(f"`score`, {title}", score, floor, runs_n)


def measure_programs(path: Path, title: str, runs_n: int) -> None:
    """What spreadsheet programs take to load, recalculate and save the same workbook, beside its score, in turn."""
    score = [*WOOD_XL, "score", str(path), "--replace"]
    own = f"-env:UserInstallation={(path.parent / 'office').as_uri()}"
    out = path.parent / "saved"
    commands = {
        "ssconvert": ["--recalc", str(path), str(path.with_name("saved.xlsx"))],
        "soffice": [own, "--headless", "--convert-to", "xlsx", "--outdir", str(out), str(path)],
    }
    for program, arguments in commands.items():
        if shutil.which(program):
            run([program, *arguments])  # the first run sets it up
            told = f"`score`, {title} (floor: `{program}` loads, recalculates, saves)"
            compare(told, score, [program, *arguments], runs_n)


def measure_large(folder: Path, kind: str, runs_n: int) -> None:
    """A long season, a tenth of it, and next to nothing of it: how the work grows with the rows."""
    rows_n, title = LARGE[kind]
    paths = {n: folder / f"{kind}-{n}.xlsx" for n in (rows_n, rows_n // 10, FEW_ROWS)}
    for n, path in paths.items():
        make(HERE / "make.py", path, kind, str(n))
    whole = measure_season(paths[rows_n], title, runs_n)
    for command, used in zip(("check", "score"), whole, strict=True):
        end = ["--replace"] if command == "score" else []
        others = [[*WOOD_XL, command, str(paths[n]), *end] for n in (rows_n // 10, FEW_ROWS)]
        tenth, start = medians(others, max(runs_n, 3))
        growth = (used.cpu - start.cpu) / (tenth.cpu - start.cpu)
        line(f"`{command}`, {title}: growth from a tenth of the rows", f"{growth:.1f} times", "", "", "", "", runs_n)


def measure_folder(folder: Path, runs_n: int) -> None:
    """Many workbooks on one core and on two; the copies have names of their own and are each computed."""
    make(HERE / "make.py", folder / "typical.xlsx", "typical")
    content = (folder / "typical.xlsx").read_bytes()
    found: dict[tuple[int, int], list[dict[str, float]]] = {}
    for copies_n in (FEW_COPIES, COPIES):
        (folder / str(copies_n)).mkdir()
        for number in range(copies_n):
            (folder / str(copies_n) / f"season-{number}.xlsx").write_bytes(content)
    for run_number in range(runs_n):
        for copies_n, cores in ((COPIES, 1), (COPIES, 2), (FEW_COPIES, 2)):
            out = folder / f"out-{copies_n}-{cores}-{run_number}"
            command = [sys.executable, HERE / "score_folder.py", folder / str(copies_n), out, str(cores)]
            told = json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
            if told["written"] != copies_n:
                raise SystemExit(f"{copies_n - told['written']} workbooks of the folder were not scored")
            found.setdefault((copies_n, cores), []).append(told)

    def middle(key: tuple[int, int], name: str) -> float:
        return statistics.median(one[name] for one in found[key])

    one, two, few = (COPIES, 1), (COPIES, 2), (FEW_COPIES, 2)
    by_processor = middle(one, "cpu_main") / (middle(two, "cpu_main") + middle(two, "cpu_others") / 2)
    by_clock = middle(one, "wall") / middle(two, "wall")
    load = os.getloadavg()[0]
    sys.stdout.write(
        f"\nA folder of {COPIES} workbooks, two cores against one: {by_clock:.2f} times as fast by the clock (load "
        f"of the machine {load:.1f}), {by_processor:.2f} by processor time, if the cores are free. Peak of one "
        f"process {middle(two, 'mib'):.0f} MiB, with {FEW_COPIES} workbooks {middle(few, 'mib'):.0f} MiB. "
        f"Runs: {runs_n}.\n"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("only", nargs="*", help=f"What to measure, of {', '.join(GROUPS)}; else all of it.")
    parser.add_argument("--runs", type=int, default=7, help="Runs of each program.")
    parser.add_argument("--large-runs", type=int, default=3, help="Runs of the large ones, and of the folder.")
    asked = parser.parse_args()
    groups = asked.only or GROUPS
    if unknown := set(groups) - set(GROUPS):
        parser.error(f"nothing is called {', '.join(sorted(unknown))}")
    line("program", "processor time", "floor", "ratio", "ratio by the clock", "peak memory", "runs")
    line(*["---"] * 7)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        # Modules are compiled once, as in an installed program, by a run of each program that is not measured.
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        os.environ["PYTHONPYCACHEPREFIX"] = str(folder / "compiled")
        if "start" in groups:
            measure_start(folder, asked.runs)
        for kind, title in SEASONS.items():
            if kind in groups:
                make(HERE / "make.py", folder / f"{kind}.xlsx", kind)
                measure_season(folder / f"{kind}.xlsx", title, asked.runs)
                measure_programs(folder / f"{kind}.xlsx", title, asked.runs)
        for kind in LARGE:
            if kind in groups:
                measure_large(folder, kind, asked.large_runs)
        if "folder" in groups:
            measure_folder(folder, asked.large_runs)


if __name__ == "__main__":
    main()
