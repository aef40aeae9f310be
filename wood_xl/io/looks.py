"""Defines how cells look, by role: each role is one named style, and cells get their look only here.

Results use two fills, for headers and for the mark of an invented example, which differ in lightness on a gray print.
The template has one, for what must be typed. Filled cells are bold as well, so that gray prints and color-blind
readers lose nothing. The paper forms have a lighter fill under the sizes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from openpyxl.cell import Cell
from openpyxl.styles import Alignment, Border, Font, NamedStyle, PatternFill, Side

from wood_xl.io.limits import storable_text

FONT = "Arial"
INK = "1F1F1F"
GREY_INK = "595959"
RESULT_FILL = "DCE6EE"
EXAMPLE_FILL = "F2D98C"
INPUT_FILL = "B4D0A6"
PAPER_FILL = "E7EEE3"
GENERAL, AS_TEXT, AS_DATE, AS_DATE_AND_TIME = "General", "@", "yyyy-mm-dd", "yyyy-mm-dd hh:mm:ss"
AFTER_NUMBER = "_)"
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "'")

OPAQUE = "FF"  # before the color of a line: without it some programs draw none

BORDERS = {
    "rule": "b thin BFBFBF",
    "lines": "lrtb thin BFBFBF",  # of rows to fill in on paper
    "heavy": "lrtb medium 404040",
    "box": "lrtb thin 8C8C8C",
}


@dataclass(frozen=True, slots=True, eq=False)  # hashed by identity, for speed: every cell looks its look up
class Look:
    """Font (size in points), fill, border and alignment of the cells of one role.

    ``border`` is a key of ``BORDERS``, or lists sides as in ``_edges``. An empty ``horizontal`` leaves the alignment
    to the kind of value; ``indent`` counts steps.
    """

    role: str
    size: float = 10.0
    bold: bool = False
    italic: bool = False
    ink: str = INK
    fill: str = ""
    horizontal: str = "left"
    vertical: str = "top"
    border: str = ""
    indent: int = 0
    wraps: bool = True
    number_format: str = GENERAL


SHEET_TITLE = Look("sheet title", size=15.0, bold=True, vertical="center")
TITLE = Look("table title", size=12.0, bold=True, vertical="center")
HELP = Look("help", size=9.0, ink=GREY_INK)
NOTE = Look("table note", size=8.5, ink=GREY_INK)

EXAMPLE = Look("invented example", size=11.0, bold=True, fill=EXAMPLE_FILL, vertical="center")
# Indents keep the columns apart. Numbers have a blank as wide as a bracket in their format instead, since programs do
# not draw a number's indent in every row.
TEXT_HEADER = Look("text header", bold=True, fill=RESULT_FILL, vertical="bottom", border="rule", indent=1)
NUMBER_HEADER = replace(TEXT_HEADER, role="number header", horizontal="right")
TEXT = Look("text", vertical="center", border="rule", indent=1)
EDGE_TEXT_HEADER = replace(TEXT_HEADER, role="edge header", indent=0)  # under the title
EDGE_TEXT = replace(TEXT, role="edge text", indent=0)
NUMBER = Look("number", horizontal="right", vertical="center", border="rule", wraps=False)
NUMBER_AMONG_TEXTS = replace(TEXT, role="number among texts", wraps=False)
REASON_AMONG_TEXTS = replace(TEXT, role="reason among texts", size=8.0, italic=True, ink=GREY_INK)
REASON = replace(REASON_AMONG_TEXTS, role="reason", horizontal="right")

PLAIN = Look("plain")
ENTRY = Look("entry", vertical="center", border="lines")
HAND = Look("by hand", ink="", horizontal="", vertical="", border="box", wraps=False)
HAND_FIRST = replace(HAND, role="by hand, of every session", border="heavy")
NEEDED_HEADER = Look("compulsory header", bold=True, fill=INPUT_FILL, vertical="bottom")
ONE_OF_HEADER = Look("one-of header", bold=True, vertical="bottom")
OPTIONAL_HEADER = Look("header", vertical="bottom")
FRAME_HEADER = Look("frame header", bold=True, vertical="bottom")
NEEDED_ITEM = replace(NEEDED_HEADER, role="compulsory item", vertical="center")
ONE_OF_ITEM = replace(ONE_OF_HEADER, role="one-of item", vertical="center")
ITEM_CELL = Look("item", vertical="center")
ITEM_HELP = replace(HELP, role="item help", vertical="center")
SMALL = Look("small", size=8.0, ink=GREY_INK, vertical="bottom")
CAUTION = Look("caution", size=9.0)
SOURCE = replace(NOTE, role="source", size=8.0)
SECTION = replace(TITLE, role="section", size=11.0, vertical="bottom")
# The paper forms are read and filled in at arm's length.
PAPER_TITLE = replace(SHEET_TITLE, role="paper title", size=26.0, wraps=False)
PAPER_SECTION = Look("paper section", size=16.0, bold=True, vertical="center", wraps=False)
LABEL = Look("paper label", size=14.0, vertical="center", wraps=False)
LABEL_RIGHT = replace(LABEL, role="paper label at the right", horizontal="right", indent=1)
LABEL_WRAPPED = replace(LABEL, role="wrapped paper label", wraps=True)
FILLED_IN = Look("filled in on paper", size=16.0, bold=True, vertical="center", border="heavy", indent=1, wraps=False)
READING = replace(LABEL, role="reading on paper", ink=GREY_INK, vertical="top", border="heavy")
SIZE = Look(
    "size on paper", size=18.0, bold=True, fill=PAPER_FILL, horizontal="center", vertical="center", border="box"
)
SIZE_WORD = replace(SIZE, role="word for a size", size=14.0)
SIZE_NUMBER = replace(SIZE, role="number on paper", fill="", border="", horizontal="left")
SAFETY = Look("caution on paper", size=12.0, bold=True)


@cache
def varied(look: Look, **changes: Any) -> Look:
    """A variant of a look, whose role names what differs."""
    changed = [f"{part.replace('_', ' ')} {value}" for part, value in changes.items() if value != getattr(look, part)]
    return replace(look, role=", ".join([look.role, *changed]), **changes)


def dress(cell: Any, look: Look) -> None:
    """Give a cell the style of its role, which is added to the workbook on first use."""
    workbook = cell.parent.parent
    name = f"wood_xl {look.role}"  # the prefix keeps it apart from the styles of programs
    if name not in workbook.named_styles:
        workbook.add_named_style(NamedStyle(name, **_parts(look)))
    cell.style = name


def dress_column(dimension: Any, look: Look) -> None:
    """Give the empty cells of a column a look; a column cannot have a named style."""
    for part, value in _parts(look).items():
        setattr(dimension, part, value)


def set_text(cell: Cell, text: str) -> None:
    """Store a text in a cell, whatever its first character."""
    stored = storable_text(text)
    cell.value = stored or None
    if stored:
        cell.data_type = "s"  # after the value, which makes "=1" a formula and "#N/A" an error
    if stored.startswith(FORMULA_STARTS):
        cell.quotePrefix = True  # it stays text when somebody edits the cell


def _edges(border: str) -> Border:
    """A border by its name, or with its sides listed, as ``tb thin 4A3524, l medium 8C1C13``."""
    sides: dict[str, Side] = {}
    for part in filter(None, BORDERS.get(border, border).split(", ")):
        letters, weight, color = part.split()
        sides |= {letter: Side(style=weight, color=OPAQUE + color) for letter in letters}  # type: ignore[arg-type]
    return Border(left=sides.get("l"), right=sides.get("r"), top=sides.get("t"), bottom=sides.get("b"))


@cache
def _parts(look: Look) -> dict[str, Any]:
    return {
        "font": Font(name=FONT, size=look.size, bold=look.bold, italic=look.italic, color=look.ink or None, family=2),
        "fill": PatternFill("solid", fgColor=look.fill) if look.fill else PatternFill(),
        "border": _edges(look.border),
        "alignment": Alignment(
            horizontal=look.horizontal or None,
            vertical=look.vertical or None,
            indent=look.indent,
            wrap_text=look.wraps,
        ),
        "number_format": look.number_format,
    }
