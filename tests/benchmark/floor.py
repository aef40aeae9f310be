"""What no program can do without: ``python floor.py LIBRARIES [IN] [LIKE OUT]``.

Imports the libraries (a comma between them), reads every cell of a workbook, and writes one with as many cells in as
many rows and sheets as another, every second a text and every second a number.
"""

from __future__ import annotations

import importlib
import json
import sys
from pathlib import Path

from openpyxl import Workbook, load_workbook


def read(path: str) -> None:
    for sheet in load_workbook(path, read_only=True):
        for _ in sheet.iter_rows(values_only=True):
            pass


def write(shapes: list[list[int]], out: str) -> None:
    workbook = Workbook(write_only=True)
    for rows_n, cells_n in shapes:
        sheet = workbook.create_sheet()
        for row in range(rows_n):
            width = cells_n * (row + 1) // rows_n - cells_n * row // rows_n
            sheet.append(["some text" if column % 2 else row + 0.25 for column in range(width)])
    workbook.save(out)


def main(libraries: str, source: str = "", like: str = "", out: str = "") -> None:
    for library in filter(None, libraries.split(",")):
        importlib.import_module(library)
    if source:
        read(source)
    if out:
        write(json.loads(Path(like).read_text(encoding="utf-8")), out)


if __name__ == "__main__":
    main(*sys.argv[1:])
