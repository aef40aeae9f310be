"""Rows and filled cells of each sheet of a workbook, as JSON: ``python shapes.py WORKBOOK OUT``."""

from __future__ import annotations

import json
import sys
from collections import Counter
from pathlib import Path

from wood_xl.io.reader import read_workbook


def main(path: str, out: str) -> None:
    shapes = []
    for sheet in read_workbook(Path(path)).sheets:
        rows = Counter(row for (row, _), _ in sheet.cells.items())
        shapes.append((len(rows), rows.total()))
    Path(out).write_text(json.dumps(shapes), encoding="utf-8")


if __name__ == "__main__":
    main(*sys.argv[1:])
