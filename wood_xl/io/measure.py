"""How wide and how high a text is in a cell: Arial, in the digit widths that column widths are given in.

No spreadsheet program tells a writer how it will break a line, so these measures lean to the wide side.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache

PADDING = 0.8  # of a column's width, taken by the cell's own margins
INDENT = 1.4  # taken by an indent of one step
SPARE = 0.93  # share of what is left that is counted on: other programs have other letters
# Of a column on paper, for each digit of its width: some programs take whole dots of a screen for a digit, 7 of 96 to
# the inch, and others the font's own measure (measured on pages as printed).
POINTS_PER_WIDTH = (5.25, 5.6)
LINE_POINTS_PER_POINT = 1.25  # height of a line over the size of its letters
ROW_MARGIN_POINTS = 2.5
DEFAULT_SIZE = 10
DEFAULT_WIDTH = 13.0
WIDEST_HEADER = 15.0  # of a column; one that is wider for what stands in it stays so
BOLD = 1.08
HIGHEST_ROW = 409.0  # points; no program shows a higher row
DIGIT = 556
# Advance widths of the letters in thousandths of their size, as the font's own table gives them.
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
_FULL_WIDTH, _FURTHER_CAPITAL, _FURTHER = 2.0, 1.66, 1.2  # letters of other scripts, on the wide side


class _Letters(dict[str, float]):
    """Width of each letter, in widths of a digit; those of other scripts are told when they are met."""

    def __missing__(self, letter: str) -> float:
        if unicodedata.combining(letter):
            return 0.0
        if unicodedata.east_asian_width(letter) in "WF":
            return _FULL_WIDTH
        return _FURTHER_CAPITAL if letter.isupper() else _FURTHER


_OF_LETTER = _Letters.fromkeys(map(chr, range(128)), 1.0)
_OF_LETTER |= {letter: width / DIGIT for width, letters in _WIDTHS.items() for letter in letters}


@lru_cache(maxsize=65536)
def text_width(text: str, size: float = DEFAULT_SIZE, bold: bool = False) -> float:
    """Width of a text on one line, in widths of a digit of the default size."""
    return sum(map(_OF_LETTER.__getitem__, text)) * size / DEFAULT_SIZE * (BOLD if bold else 1.0)


def longest_word(text: str, bold: bool = False) -> float:
    """Width of the widest word, in widths of a digit."""
    return max((text_width(word, bold=bold) for word in text.split()), default=0.0)


def room(width: float) -> float:
    """Digits that can be counted on in a column of that width."""
    return max(1.0, (width - PADDING) * SPARE)


def column_width(digits: float) -> float:
    """Width of a column that has room for so many digits."""
    return round(digits / SPARE + PADDING + 0.1, 1)


def header_width(text: str, *, least: float, most_lines: int, inset: float = 0.0) -> float:
    """Width of a column in which a header breaks no word and takes few lines; ``inset`` is kept free of it."""
    width = max(least, column_width(longest_word(text, bold=True)) + inset)
    while width < WIDEST_HEADER and line_count(text, width - inset, bold=True) > most_lines:
        width += 0.5
    return width


def line_count(text: str, width: float, size: float = DEFAULT_SIZE, bold: bool = False) -> int:
    """Lines that a text takes when it is wrapped in a column of that width."""
    return lines_within(text, room(width), size, bold)


@lru_cache(maxsize=8192)  # names and reasons stand in many cells
def lines_within(text: str, limit: float, size: float = DEFAULT_SIZE, bold: bool = False) -> int:
    """Lines that a text takes where a line has room for so many digits of the default size."""
    if "\n" not in text and text_width(text, size, bold) <= limit:
        return 1
    return sum(_paragraph_lines(paragraph, limit, size, bold) for paragraph in text.split("\n"))


def row_height(lines: int, size: float = DEFAULT_SIZE) -> float:
    """Height of a row of so many lines, in points."""
    return min(HIGHEST_ROW, round(lines * size * LINE_POINTS_PER_POINT + ROW_MARGIN_POINTS, 1))


def _paragraph_lines(paragraph: str, limit: float, size: float, bold: bool) -> int:
    lines, used, space = 1, 0.0, text_width(" ", size, bold)
    for word in paragraph.split(" "):
        width = text_width(word, size, bold)
        if used and used + space + width > limit:
            lines, used = lines + 1, 0.0
        if width > limit:  # broken wherever the line ends
            further = int((used + width) / limit)
            lines, used = lines + further, (used + width) - further * limit
        else:
            used += (space if used else 0.0) + width
    return lines
