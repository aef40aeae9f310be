"""Pools every workbook of a folder, as the command does: ``python pool_folder.py FOLDER OUT CORES|cluster``.

With ``cluster`` the workbooks are read by two workers of a cluster on this machine. Prints one line of JSON: seconds
by the clock, processor time, and what this process and its largest other hold (MiB) when so many workbooks are read,
with the peaks of both.
"""

from __future__ import annotations

import json
import resource
import sys
import time
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from score_folder import MARKS, PEAK_PER_MIB, mib, others

from wood_xl import batch, commands
from wood_xl.pipeline import input_files
from wood_xl.progress import Each
from wood_xl.scoring import Places

HELD: dict[int, tuple[int, int]] = {}


def watched(each: Each) -> Each:
    """The same way to work on many files, which looks at the memory at some of them."""

    def told(work: Any, given: list[Path]) -> Iterator[Any]:
        made: Iterable[Any] = each(work, given)
        for number, found in enumerate(made, start=1):
            if number in MARKS or number == len(given):
                HELD[number] = mib("self"), max(map(mib, others()), default=0)
            yield found

    return told


def main(folder: str, out: str, where: str) -> None:
    begun, address = time.perf_counter(), None
    if where == "cluster":
        from distributed import LocalCluster

        cluster = LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None)
        address = cluster.scheduler_address
    else:
        batch.core_count = lambda: int(where)
    commands.counted = watched
    places = Places(Path(out), may_replace=True)
    asked = {"system": None, "one_household": False, "both": False, "with_unverified": False}
    sys.stdout = sys.stderr
    code = commands.write_study(input_files([Path(folder)], with_results=True), places, address, asked)
    if address is not None:
        cluster.close()
    own, workers = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    found = {
        "code": code,
        "wall": time.perf_counter() - begun,
        "cpu_main": own.ru_utime + own.ru_stime,
        "cpu_others": workers.ru_utime + workers.ru_stime,
        "held": HELD,
        "peak_main": own.ru_maxrss / PEAK_PER_MIB,
        "peak_others": workers.ru_maxrss / PEAK_PER_MIB,
        "bytes": Path(out).stat().st_size,
    }
    sys.__stdout__.write(json.dumps(found) + "\n")


if __name__ == "__main__":
    main(*sys.argv[1:])
