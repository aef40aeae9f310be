"""Scores every workbook of a folder into another: ``python score_folder.py FOLDER OUT CORES``.

Prints one line of JSON: seconds by the clock, processor time of this process and of its others, and the largest peak.
"""

from __future__ import annotations

import json
import resource
import sys
import time
from pathlib import Path

from wood_xl.many import RECORD_NAME, Record, score_many
from wood_xl.pipeline import input_files
from wood_xl.scoring import TO_MEND, WRITTEN, Order

PEAK_PER_MIB = 2**20 if sys.platform == "darwin" else 2**10


def main(folder: str, out: str, cores: str) -> None:
    target = Path(out)
    target.mkdir()
    orders = [Order(path, target / f"{path.stem}-results.xlsx") for path in input_files([Path(folder)])]
    begun = time.perf_counter()
    codes = [outcome.code for outcome, _ in score_many(orders, Record(target / RECORD_NAME), cores=int(cores))]
    wall = time.perf_counter() - begun
    own, others = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    told = {
        "wall": wall,
        "cpu_main": own.ru_utime + own.ru_stime,
        "cpu_others": others.ru_utime + others.ru_stime,
        "mib": max(own.ru_maxrss, others.ru_maxrss) / PEAK_PER_MIB,
        "written": sum(code in (WRITTEN, TO_MEND) for code in codes),
    }
    sys.stdout.write(json.dumps(told))


if __name__ == "__main__":
    main(*sys.argv[1:])
