"""Estimates the width and height of a text in a cell, in Arial and in digit widths, the unit of column widths.

Spreadsheet programs break lines in their own ways, so the estimates err on the wide side.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache

PADDING = 0.8  # digit widths of a column that the cell's margins take
INDENT = 1.4  # digit widths of one step of indent
SPARE = 0.93  # usable share of the rest: other programs have wider letters
# Points on paper for each digit of a column's width, measured on printed pages. Some programs round a digit to 7 dots
# of 96 to the inch, others use the font's own width.
POINTS_PER_WIDTH = (5.25, 5.6)
LINE_POINTS_PER_POINT = 1.25  # line height over letter size
ROW_MARGIN_POINTS = 2.5
DEFAULT_SIZE = 10
DEFAULT_WIDTH = 13.0
WIDEST_HEADER = 15.0  # up to here a column is widened for its header
BOLD = 1.08
HIGHEST_ROW = 409.0  # points; programs show no higher row
DIGIT = 556
# Advance widths in thousandths of the letter size, from the font's own table.
_WIDTHS = {
    191: "'",
    222: "ijl",
    278: " \N{NO-BREAK SPACE}!,./:;I[\\]ft|",
    334: "()-`r{}\N{SUPERSCRIPT TWO}\N{SUPERSCRIPT THREE}",
    389: '*"',
    500: "Jcksvxyz^",
    584: "+<=>~",
    611: "FTZ",
    667: "&ABEKPSVXY",
    722: "CDHNRUw",
    778: "GOQ",
    833: "Mm",
    889: "%",
    944: "W",
    1015: "@",
}
_FULL_WIDTH, _OTHER_CAPITAL, _OTHER = 2.0, 1.66, 1.2  # letters of other scripts, on the wide side


class _LetterWidths(dict[str, float]):
    """Width of each letter, in digit widths."""

    def __missing__(self, letter: str) -> float:
        if unicodedata.combining(letter):
            return 0.0
        if unicodedata.east_asian_width(letter) in "WF":
            return _FULL_WIDTH
        return _OTHER_CAPITAL if letter.isupper() else _OTHER


_LETTER_WIDTHS = _LetterWidths.fromkeys(map(chr, range(128)), 1.0)
_LETTER_WIDTHS |= {letter: width / DIGIT for width, letters in _WIDTHS.items() for letter in letters}


@lru_cache(maxsize=65536)
def text_width(text: str, size: float = DEFAULT_SIZE, bold: bool = False) -> float:
    """Width of a text on one line, in widths of a digit of the default size."""
    return sum(map(_LETTER_WIDTHS.__getitem__, text)) * size / DEFAULT_SIZE * (BOLD if bold else 1.0)


def longest_word(text: str, bold: bool = False) -> float:
    """Width of the widest word, in digit widths."""
    return max((text_width(word, bold=bold) for word in text.split()), default=0.0)


def room(width: float) -> float:
    """How many digits fit in a column of that width in every program."""
    return max(1.0, (width - PADDING) * SPARE)


def column_width(digits: float) -> float:
    """Width of a column that holds so many digits."""
    return round(digits / SPARE + PADDING + 0.1, 1)


def header_width(text: str, *, least: float, most_lines: int, inset: float = 0.0) -> float:
    """Width of a column whose header breaks no word and takes few lines, with ``inset`` kept free beside it."""
    width = max(least, column_width(longest_word(text, bold=True)) + inset)
    while width < WIDEST_HEADER and line_count(text, width - inset, bold=True) > most_lines:
        width += 0.5
    return width


def line_count(text: str, width: float, size: float = DEFAULT_SIZE, bold: bool = False) -> int:
    """Number of lines of a text that is wrapped in a column of that width."""
    return lines_within(text, room(width), size, bold)


@lru_cache(maxsize=8192)  # names and reasons stand in many cells
def lines_within(text: str, limit: float, size: float = DEFAULT_SIZE, bold: bool = False) -> int:
    """Number of lines of a text where a line holds so many digits of the default size."""
    if "\n" not in text and text_width(text, size, bold) <= limit:
        return 1
    return sum(_paragraph_lines(paragraph, limit, size, bold) for paragraph in text.split("\n"))


def row_height(lines: int, size: float = DEFAULT_SIZE) -> float:
    """Height in points of a row of so many lines."""
    return min(HIGHEST_ROW, round(lines * size * LINE_POINTS_PER_POINT + ROW_MARGIN_POINTS, 1))


def _paragraph_lines(paragraph: str, limit: float, size: float, bold: bool) -> int:
    lines, used, space = 1, 0.0, text_width(" ", size, bold)
    for word in paragraph.split(" "):
        width = text_width(word, size, bold)
        if used and used + space + width > limit:
            lines, used = lines + 1, 0.0
        if width > limit:  # programs break such a word wherever the line ends
            further = int((used + width) / limit)
            lines, used = lines + further, (used + width) - further * limit
        else:
            used += (space if used else 0.0) + width
    return lines
