"""Reads what a person sees of one sheet: its rows one by one, and whatever hides, covers or adds to them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from typing import NamedTuple

from wood_xl.io.may_change import FOOTER_REMAINS, SHEET_TAGS, VIEW_DEFAULTS, VIEW_SETTINGS
from wood_xl.io.package import Attributes, Package, number_in
from wood_xl.io.package_parts import MAIN, OFFICE, SharedTexts, Tree, is_on, plain_text
from wood_xl.notes.problem import column_number

FOOTERS = frozenset({"oddHeader", "oddFooter", "evenHeader", "evenFooter", "firstHeader", "firstFooter"})
CELL, VALUE, WORD = (f"{MAIN} {tag}" for tag in "cvt")
WORDS = frozenset({WORD, f"{MAIN} is", f"{MAIN} r"})
PLAIN_CELL = frozenset({"r", "s", "t"})
_column = cache(column_number)
MAX_WIDTHS = 1_000  # columns whose width is kept
USUAL_WIDTH = 8.43
FIRST_CELLS = frozenset({"", "A1"})
_FONT = re.compile(r'&"(?:Arial|Sans),[^"]*"|&K000000|&(?:[6-9]|[1-9][0-9]) ?')
_NAME = re.compile("[A-Z]{1,3}")

Value = str | float


class SeenCell(NamedTuple):
    """One cell: its value (an empty text if none), its style number, and anything else in it."""

    value: Value
    style: str
    odd: tuple[str, ...] = ()


@dataclass
class SeenRow:
    """One row: its height in points (None: automatic, 0: hidden), and its cells by column."""

    number: int
    height: float | None
    cells: dict[int, SeenCell] = field(default_factory=dict)


@dataclass
class SeenFrame:
    """Everything on a sheet but its cells."""

    widths: dict[int, float] = field(default_factory=dict)
    width: float = USUAL_WIDTH
    height: float = 15.0
    scale: float = 100.0  # in print, in percent
    styles: set[str] = field(default_factory=set)  # of whole rows and columns
    merged: set[str] = field(default_factory=set)
    footers: dict[str, str] = field(default_factory=dict)
    filters: list[str] = field(default_factory=list)
    panes: list[str] = field(default_factory=list)
    corner: str = ""
    drawings: list[str] = field(default_factory=list)
    odd: set[str] = field(default_factory=set)  # tags that results do not have, settings that change what is shown


class SeenSheet(Tree):
    """Reads one sheet's part; ``rows`` holds the rows that are complete."""

    spaces = frozenset({MAIN})

    def __init__(self, package: Package, title: str, shared: SharedTexts) -> None:
        super().__init__()
        self.frame = SeenFrame()
        self.rows: list[SeenRow] = []
        self._package = package
        self._title = title
        self._shared = shared
        self._sections: set[str] = set()
        self._row = SeenRow(0, None)
        self._column = 0
        self._kind, self._style = "n", "0"
        self._value: str | None = None
        self._odd: list[str] = []
        self._in_row, self._depth = False, 0

    def stream(self, part: str) -> Iterator[SeenRow]:
        """The rows, in order."""
        for _ in self._package.parse_steps(part, self):
            yield from self.rows
            self.rows.clear()
        if self.frame.panes and self.frame.corner not in FIRST_CELLS:  # nobody can scroll to the cells above it
            self.frame.odd.add("topLeftCell")

    def start(self, name: str, attributes: Attributes) -> None:
        """Read an opening tag; most are of cells, and skip the path."""
        if not self._in_row:
            super().start(name, attributes)
            return
        self._text = ""
        self._depth += 1
        if self._depth == 1 and name == CELL:
            self._open_cell(attributes)
        elif self._depth == 1:
            self.frame.odd.add(name.removeprefix(f"{MAIN} "))
        elif (name != VALUE and name not in WORDS) or (name in WORDS) is not (self._kind == "inlineStr"):
            self._odd.append(name.removeprefix(f"{MAIN} "))

    def end(self, name: str) -> None:
        """Keep a value, a cell or a row."""
        if not self._in_row:
            super().end(name)
        elif self._depth == 0:
            self._in_row = False
            self.rows.append(self._row)
            super().end(name)
        else:
            self._depth -= 1
            if self._depth == 0:
                self._close_cell()
            elif name == VALUE:
                self._odd += [] if self._value is None else [VALUE]
                self._value = self._text
            elif name == WORD:
                self._value = (self._value or "") + self._text

    def opened(self, tag: str, attributes: Attributes) -> None:
        """Read a row, or a tag outside the cells."""
        depth = len(self.path)
        if depth == 2 and tag == "row" and self.path[1] == "sheetData":
            self._open_row(attributes)
        elif depth == 1:
            if tag in self._sections:
                self.frame.odd.add(tag)
            self._sections.add(tag)
            self._open_section(tag, attributes)
        elif depth > 1:
            self._open_in_section(self.path[1], tag, attributes)

    def closed(self, tag: str, text: str) -> None:
        """Keep a header or footer, without its fonts."""
        if len(self.path) == 2 and tag in FOOTERS:
            self.frame.odd |= {tag} & self.frame.footers.keys()
            self.frame.footers[tag] = "".join(_FONT.sub("", text).replace(FOOTER_REMAINS, "").split())

    def _open_row(self, attributes: Attributes) -> None:
        number = int(number_in(attributes.get("r", "")) or self._row.number + 1)
        if number <= self._row.number:
            raise self._package.damaged(f'the rows of sheet "{self._title}" are not in order')
        height = 0.0 if is_on(attributes, "hidden") else _size(attributes, "ht")
        self.frame.styles.add(attributes.get("s", "0"))
        self._row = SeenRow(number, height)
        self._column = 0
        self._in_row, self._depth = True, 0

    def _open_cell(self, attributes: Attributes) -> None:
        match = _NAME.match(attributes.get("r", ""))
        self._column = _column(match.group()) if match else self._column + 1
        self._kind, self._style = attributes.get("t", "n"), attributes.get("s", "0")
        self._value = None
        self._odd = [] if attributes.keys() <= PLAIN_CELL else sorted(attributes.keys() - PLAIN_CELL)

    def _close_cell(self) -> None:
        value: Value = self._value or ""
        if self._value is None:
            pass
        elif self._kind == "n":
            number = number_in(self._value)
            value = value if number is None else number
        elif self._kind == "s":
            index = int(number_in(self._value) or 0)
            value = plain_text(self._shared.texts[index]) if 0 <= index < len(self._shared.texts) else ""
            if index in self._shared.mixed:
                self._odd.append("rPr")
        elif self._kind in ("inlineStr", "str"):
            value = plain_text(str(value))
        elif value:
            self._odd.append(self._kind)
        self._row.cells[self._column] = SeenCell(value, self._style, tuple(self._odd))

    def _open_section(self, tag: str, attributes: Attributes) -> None:
        frame = self.frame
        if tag == "sheetFormatPr":
            width = _size(attributes, "defaultColWidth")
            frame.width = USUAL_WIDTH if width is None else width
            frame.height = 0.0 if is_on(attributes, "zeroHeight") else _size(attributes, "defaultRowHeight") or 0.0
        elif tag == "headerFooter":
            frame.odd |= {key for key in ("differentFirst", "differentOddEven") if is_on(attributes, key)}
        elif tag == "pageSetup":
            frame.scale = _size(attributes, "scale") or frame.scale
        elif tag == "autoFilter":
            frame.filters.append(attributes.get("ref", ""))
        elif tag == "drawing":
            frame.drawings += [attributes[key] for key in attributes if key == f"{OFFICE} id"]
        elif tag == "sheetProtection":
            if is_on(attributes, "sheet"):
                frame.odd.add(tag)
        elif tag not in SHEET_TAGS | {"sheetViews", "cols", "sheetData", "mergeCells"}:
            frame.odd.add(tag)

    def _open_in_section(self, section: str, tag: str, attributes: Attributes) -> None:
        if section == "cols" and tag == "col":
            self._read_columns(attributes)
        elif section == "mergeCells" and tag == "mergeCell":
            self.frame.merged.add(attributes.get("ref", "").replace("$", ""))
        elif section == "sheetViews":
            self._read_view(tag, attributes)
        elif tag == "hyperlink":  # in full, since it may lead elsewhere than its cell says
            target = attributes.get("location", "").replace("$", "").replace("'", "").removeprefix("#")
            outside = [f"{key} {value}" for key, value in attributes.items() if key.startswith(OFFICE)]
            texts = (tag, attributes.get("ref", ""), target, attributes.get("tooltip", ""), *outside)
            self.frame.odd.add(" ".join(texts))
        elif section == "headerFooter" and tag in FOOTERS:
            pass
        elif section not in SHEET_TAGS and section not in self.frame.odd:
            self.frame.odd.add(tag)

    def _read_columns(self, attributes: Attributes) -> None:
        if "col" in self.frame.odd:  # columns that overlap are named; a file may have millions of them
            return
        first = int(number_in(attributes.get("min", "")) or 1)
        last = min(int(number_in(attributes.get("max", "")) or first), MAX_WIDTHS)
        width = 0.0 if is_on(attributes, "hidden") else _size(attributes, "width")
        widths = dict.fromkeys(range(max(1, first), last + 1), USUAL_WIDTH if width is None else width)
        if self.frame.widths.keys() & widths.keys():
            self.frame.odd.add("col")
        self.frame.widths.update(widths)
        self.frame.styles.add(attributes.get("style", "0"))

    def _read_view(self, tag: str, attributes: Attributes) -> None:
        frame = self.frame
        if tag == "sheetView":
            if "sheetView" in self._sections:
                frame.odd.add(tag)
            self._sections.add(tag)
            for key, value in attributes.items():
                shown = {"true": "1", "false": "0"}.get(value, value)
                if key == "topLeftCell":
                    frame.corner = value
                elif key not in VIEW_SETTINGS and VIEW_DEFAULTS.get(key) != shown:
                    frame.odd.add(key)
        elif tag == "pane":
            frame.panes.append(" ".join(f"{key}={attributes.get(key, '0')}" for key in ("xSplit", "ySplit", "state")))
        elif tag != "selection":
            frame.odd.add(tag)


def _size(attributes: Attributes, key: str) -> float | None:
    """A width or height; None if it is not given, 0 if it is no number, which programs read in different ways."""
    return (number_in(attributes[key]) or 0.0) if key in attributes else None
