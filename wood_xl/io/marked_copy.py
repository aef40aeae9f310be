"""A copy of a filled workbook with the cells that need a look coloured and commented; the original is only read."""

from __future__ import annotations

import warnings
from collections.abc import Iterable
from pathlib import Path

from openpyxl import load_workbook
from openpyxl.comments import Comment
from openpyxl.styles import PatternFill
from openpyxl.worksheet.worksheet import Worksheet

from wood_xl.checks.problem import Level, Problem
from wood_xl.errors import UnreadableWorkbook
from wood_xl.io.pack import packed

AUTHOR = "wood_xl"
MARK = PatternFill("solid", fgColor="FFD9D9D9")
COMMENT_WIDTH, COMMENT_HEIGHT = 320, 140
MOST_CELLS = 2000  # beyond this a marked copy helps nobody


def marked_copy(path: Path, problems: Iterable[Problem]) -> bytes:
    """The workbook with a grey fill and a comment at every cell with a FIX or LOOK.

    Parameters
    ----------
    path : Path
        Filled workbook; opened for reading only. Macros are not copied.
    problems : iterable of Problem
        As ``check`` gives them.

    Returns
    -------
    bytes
        An .xlsx file.

    Raises
    ------
    UnreadableWorkbook
        If the workbook cannot be copied whole.
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            workbook = load_workbook(path)
    except (ValueError, KeyError, TypeError, AttributeError, IndexError) as fault:
        raise UnreadableWorkbook("file-not-copied", name=path.name) from fault
    for (title, row, column), words in _words_by_cell(problems).items():
        if title in workbook.sheetnames and isinstance(workbook[title], Worksheet):
            cell = workbook[title].cell(row, column)
            cell.fill = MARK
            cell.comment = Comment("\n".join(words), AUTHOR, height=COMMENT_HEIGHT, width=COMMENT_WIDTH)
    return packed(workbook)


def _words_by_cell(problems: Iterable[Problem]) -> dict[tuple[str, int, int], list[str]]:
    words: dict[tuple[str, int, int], list[str]] = {}
    for found in problems:
        row, column = found.place.row, found.place.column
        if found.level not in (Level.FIX, Level.LOOK) or not found.place.sheet or row is None:
            continue
        for at in range(row, (found.last_row or row) + 1):
            if len(words) < MOST_CELLS:
                key = (found.place.sheet, at, column or 1)
                words.setdefault(key, []).append(f"{found.level.name}: {found.text} {found.mend}")
    return words
