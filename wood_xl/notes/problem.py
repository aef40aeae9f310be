"""Problems: each is one line for the person who has the sheet open.

``catalogue.json`` has for each code its level, its title, a template for what was found and expected, and how to mend
it. Words that fill its slots stand in ``words.json``, as ``InMessage`` and ``HowToMend``.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import IntEnum
from functools import cache
from importlib.resources import files
from itertools import groupby
from typing import Any, NamedTuple

from wood_xl.page_texts import InFile, InMessage
from wood_xl.schema.words import after_number, phrase, words

FOUND_LENGTH = 40  # longer texts are cut in a message, never in the results
MOST_EQUAL = 10  # more equal lines in one column become one that names the rows
ROWS_NAMED = 10
MOST_LINES = 100  # lines of one kind in one column: a pasted column can have half a million


class Level(IntEnum):
    """How much a problem matters; lower comes first."""

    STOP = 0  # the file cannot be used
    FIX = 1  # must be mended; results that need it are withheld
    LOOK = 2  # unusual; used as it stands
    NOTE = 3  # how the notes were read


class Place(NamedTuple):
    """Where in the workbook: sheet title, cell, and the header over it. Row and column count from 1."""

    sheet: str = ""
    row: int | None = None
    column: int | None = None
    header: str = ""
    about: str = ""  # id of the template's sheet, or ``sheet.column``; empty for a place that is in no template
    last_row: int | None = None  # of cells below each other

    @property
    def cell(self) -> str:
        """``C14``, ``C14:C20``, ``row 14`` for a whole row; empty for a sheet or file."""
        if self.column is None:
            return "" if self.row is None else f"row {self.row}"
        letters = column_letters(self.column)
        if self.row is None:
            return letters
        return f"{letters}{self.row}" + (
            f":{letters}{self.last_row}" if self.last_row not in (None, self.row) else ""
        )

    @property
    def where(self) -> str:
        """``Sessions!C14``, ``Sessions!C14:C20``, ``Sessions row 14``, ``Sessions`` or nothing."""
        if not self.sheet or not self.cell:
            return self.sheet
        return f"{self.sheet} {self.cell}" if self.column is None else f"{self.sheet}!{self.cell}"


@dataclass(frozen=True)
class Problem:
    """One line of the report; ``also_rows`` are further rows that share it."""

    code: str
    level: Level
    place: Place
    text: str
    mend: str
    count: int = 1
    also_rows: tuple[int, ...] = ()

    @property
    def rows(self) -> Iterator[int]:
        """Its rows."""
        if self.place.row is not None:
            yield from range(self.place.row, (self.place.last_row or self.place.row) + 1)
            yield from self.also_rows

    @property
    def where(self) -> str:
        """The place with all its cells."""
        return self.place.where

    @property
    def withholds(self) -> bool:
        """Whether a figure is withheld because of it, though nothing is wrong."""
        return "withholds" in catalogue()[self.code]

    def line(self) -> str:
        """The whole problem as one line: place, what was found, what is expected, how to mend it."""
        start = " ".join(part for part in (self.where, self.place.header) if part)
        rows = [str(row) for row in self.rows] if self.also_rows and self.code not in NAMES_ITS_ROWS else []
        if len(rows) == self.count > 1:  # of very many cells not all rows are kept
            more = ["..."] if len(rows) > ROWS_NAMED else []
            start += phrase(InMessage.CELLS_IN_ROWS, n=self.count, rows=(*rows[:ROWS_NAMED], *more))
        elif self.count > 1:
            start += phrase(InMessage.CELLS, n=self.count)
        text = f"{self.text} {self.mend}"
        return (f"{start}: {text}" if start else text).strip()

    def as_json(self) -> dict[str, Any]:
        """The problem for ``--json`` and for the results document."""
        return {
            "code": self.code,
            "level": self.level.name,
            "sheet": self.place.sheet,
            "cell": self.place.cell,
            "column": self.place.header,
            "count": self.count,
            "text": self.text,
            "mend": self.mend,
            "about": self.place.about,
        }


_INVISIBLE = {
    "\n": InFile.LINE_BREAK,
    "\t": InFile.TAB,
    "\u00a0": InFile.FIXED_SPACE,
    "\u200b": InFile.ZERO_WIDTH_SPACE,
}
_CELL = re.compile(r"(?:row (?P<whole>\d+)|(?P<letters>[A-Z]+)(?P<row>\d+)?(?::[A-Z]+(?P<last>\d+))?)?")


def problem_from_json(entry: Mapping[str, Any]) -> Problem:
    """The problem of which ``Problem.as_json`` made an entry."""
    match = _CELL.fullmatch(entry["cell"])
    if match is None or entry["level"] not in Level.__members__:
        raise ValueError(f"{entry['level']} {entry['cell']}")
    row, last = (int(text) if text else None for text in (match["whole"] or match["row"], match["last"]))
    column = column_number(match["letters"]) if match["letters"] else None
    return Problem(
        code=entry["code"],
        level=Level[entry["level"]],
        place=Place(entry["sheet"], row, column, entry["column"], entry["about"], last),
        text=entry["text"],
        mend=entry["mend"],
        count=entry["count"],
    )


@cache
def catalogue() -> dict[str, dict[str, str]]:
    """Every problem code with ``level``, ``title``, ``template``, ``mend``.

    Some have ``withholds``, where figures are withheld, or ``about``: ``plan`` or ``remark``. Shared results have
    neither of those.
    """
    text = files("wood_xl.notes").joinpath("catalogue.json").read_text(encoding="utf-8")
    entries: dict[str, dict[str, str]] = json.loads(text)
    return entries


def problem(code: str, place: Place | None = None, cells_n: int = 1, /, **facts: str) -> Problem:
    """The problem of a code at a place; ``cells_n``: how many like cells it is for."""
    entry = catalogue()[code]
    return Problem(
        code=code,
        level=Level[entry["level"]],
        place=place or Place(),
        text=entry["template"].format(**facts),
        mend=entry["mend"].format(**facts),
        count=cells_n,
    )


def quoted(text: str) -> str:
    """Text in a message: in quotes, cut, with invisible characters named."""
    shown = "".join(c if c.isprintable() else _named(c) for c in text)
    inner = shown.strip(" ")
    if inner != shown:
        space = words(InFile.SPACE)
        before, after = (space if end == " " else "" for end in (shown[0], shown[-1]))
        shown = f"{before}{inner}{after}" if inner else space * len(shown)
    if len(shown) > FOUND_LENGTH:
        shown = shown[: FOUND_LENGTH - 3] + "..."
    return f'"{shown}"'


def _named(character: str) -> str:
    return phrase(_INVISIBLE.get(character, InFile.CHARACTER), number=ord(character))


def number_text(value: float, digits: int | None = None) -> str:
    """A number as a person would write it: up to six significant digits, no exponent in the usual range.

    digits: significant digits to round to first.
    """
    value = value if digits is None else float(f"{value:.{digits}g}")
    if value == int(value) and abs(value) < 1e15:
        return str(int(value))
    text = f"{value:.6g}"
    return text if "e" in text else text.rstrip("0").rstrip(".") if "." in text else text


def with_unit(number: str, unit: str) -> str:
    """A number with its unit; money has none of its own."""
    return number if unit in ("", "money") else f"{number}{after_number(unit)}"


def amount_text(value: float, unit: str, digits: int | None = None) -> str:
    """A number as ``number_text`` writes it, with its unit."""
    return with_unit(number_text(value, digits), unit)


def column_letters(column: int) -> str:
    """Letters of a column that counts from 1: 1 is A, 27 is AA."""
    letters = ""
    while column > 0:
        column, rest = divmod(column - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def column_number(letters: str) -> int:
    """Column that capital letters stand for, from 1; 0 if they name none. The inverse of ``column_letters``.

    >>> column_number("AA")
    27
    """
    number = 0
    for letter in letters:
        if not "A" <= letter <= "Z":
            return 0
        number = 26 * number + ord(letter) - 64
    return number


def runs(rows: Iterable[int]) -> list[list[int]]:
    """Rows grouped into runs of consecutive ones.

    >>> runs([4, 5, 7])
    [[4, 5], [7]]
    """
    grouped = groupby(enumerate(rows), key=lambda numbered: numbered[1] - numbered[0])
    return [[row for _, row in run] for _, run in grouped]


def in_report_order(problems: Iterable[Problem], sheet_order: list[str]) -> list[Problem]:
    """Problems by level, sheet, row and column, with like ones merged by ``ProblemLines``.

    Problems of a whole sheet come first in their level: they may cause others.
    """
    rank = {title: i for i, title in enumerate(sheet_order)}

    def key(p: Problem) -> tuple[object, ...]:
        is_of_a_part = not (p.place.sheet and p.place.row is None and p.place.column is None)
        place = (rank.get(p.place.sheet, len(rank)), p.place.sheet, p.place.row or 0, p.place.column or 0)
        return (p.level, is_of_a_part, *place, p.code)  # without the words: like ones stay in the order found

    lines = ProblemLines(MOST_LINES)
    for line in sorted(problems, key=key):
        lines.add(line)
    return sorted(lines.merged(), key=key)


NAMES_ITS_ROWS = frozenset({"table-unknown-reference"})  # codes whose text has the rows
Key = tuple[str, str, int | None]  # code, sheet and column
Run = tuple[int, int, int]  # first and last row, and number of cells


class ProblemLines:
    """Merges problems while they are found: a long heart trace may have one for each of its rows.

    Equal problems of consecutive rows become one line. If ``most`` is given, many of the same words become one that
    keeps all rows, for marked copies, and too many lines of one code in one column their first with the count of all.
    """

    def __init__(self, most: int | None = None) -> None:
        self._most = most
        self._by_words: dict[Key, dict[tuple[str, str, str], tuple[Problem, list[Run]]]] = {}
        self._beyond: Counter[Key] = Counter()  # number of cells without a line

    def add(self, item: Problem) -> None:
        """Add a problem; those of one column must come in the order of their rows."""
        place, words = item.place, (item.text, item.mend, item.place.about)  # items have their names
        key, is_cell = (item.code, place.sheet, place.column), place.row is not None and place.column is not None
        by_words = self._by_words.setdefault(key, {})
        if is_cell and self._most is not None and len(by_words) > self._most and words not in by_words:
            self._beyond[key] += item.count
            return
        _, runs = by_words.setdefault(words, (item, []))
        row, more = place.row or 0, item.also_rows
        for first, last, n in ((row, place.last_row or row, item.count - len(more)), *((at, at, 1) for at in more)):
            if is_cell and runs and first == runs[-1][1] + 1:
                runs[-1] = runs[-1][0], last, runs[-1][2] + n
            else:
                runs.append((first, last, n))

    def merged(self) -> list[Problem]:
        """Lines, by code and column in the order in which these were first added."""
        merged: list[Problem] = []
        for key, by_words in self._by_words.items():
            lines = [line for item, runs in by_words.values() for line in self._of_words(item, runs)]
            if self._most is not None and key[2] is not None and (len(lines) > self._most or self._beyond[key]):
                count = sum(line.count for line in lines) + self._beyond[key]
                lines = [replace(lines[0], place=lines[0].place._replace(last_row=None), count=count)]
            merged += lines
        return merged

    def _of_words(self, item: Problem, runs: Sequence[Run]) -> Iterator[Problem]:
        most = 1 if item.code in NAMES_ITS_ROWS else MOST_EQUAL
        if self._most is not None and item.place.row is not None and len(runs) > most:
            first, *others = (row for first, last, _ in runs for row in range(first, last + 1))
            place, count = item.place._replace(row=first, last_row=None), sum(n for *_, n in runs)
            yield replace(item, place=place, count=count, also_rows=tuple(others))
            return
        for first, last, n in runs:
            place = item.place._replace(row=first or None, last_row=last if last > first else None)
            yield replace(item, place=place, count=n, also_rows=())
