"""Scores every workbook of a folder into another, as the command does: ``python score_folder.py FOLDER OUT CORES``.

Prints one line of JSON: seconds by the clock, processor time of this process and of its others, the largest peak, and
what this process and its largest other hold (MiB) when so many workbooks are done.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import resource
import sys
import time
from pathlib import Path

from wood_xl.commands import score_all
from wood_xl.pipeline import input_files, results_path
from wood_xl.scoring import Order, Places

PEAK_PER_MIB = 2**20 if sys.platform == "darwin" else 2**10
MARKS = (10, 100, 200, 500, 1000)


class Counted(io.StringIO):
    """Takes what is told, counts workbooks that were written, and looks at the memory at some of them."""

    def __init__(self) -> None:
        super().__init__()
        self.written = 0
        self.held: dict[int, tuple[int, int]] = {}

    def write(self, text: str) -> int:
        self.written += text.startswith("Wrote ")
        if self.written in MARKS and self.written not in self.held:
            self.held[self.written] = mib("self"), max(map(mib, others()), default=0)
        return len(text)


def others() -> list[str]:
    """Processes that any thread of this one started, where the system tells of them."""
    paths = Path("/proc/self/task").glob("*/children")
    return [name for path in paths if path.is_file() for name in path.read_text(encoding="ascii").split()]


def mib(process: str) -> int:
    path = Path(f"/proc/{process}/status")
    lines = path.read_text(encoding="ascii").splitlines() if path.is_file() else []
    return next((round(int(line.split()[1]) / 2**10) for line in lines if line.startswith("VmRSS")), 0)


def main(folder: str, out: str, cores: str) -> None:
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, sorted(os.sched_getaffinity(0))[: int(cores)])
    target, given = Path(out), [Path(folder)]
    target.mkdir()
    orders = [Order(path, Places(results_path(path, target, several=True))) for path in input_files(given)]
    begun, told = time.perf_counter(), Counted()
    with contextlib.redirect_stdout(told):
        score_all(orders, given, target)
    wall = time.perf_counter() - begun
    own, workers = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    found = {
        "wall": wall,
        "cpu_main": own.ru_utime + own.ru_stime,
        "cpu_others": workers.ru_utime + workers.ru_stime,
        "mib": max(own.ru_maxrss, workers.ru_maxrss) / PEAK_PER_MIB,
        "mib_main": own.ru_maxrss / PEAK_PER_MIB,
        "written": told.written - 1,  # the last is the summary
        "held": told.held,
    }
    sys.stdout.write(json.dumps(found))


if __name__ == "__main__":
    main(*sys.argv[1:])
