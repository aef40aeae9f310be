"""Reads one sheet of an .xlsx workbook in one pass: cells, formulas, merged ranges, hidden rows and columns.

The parser calls a method for each tag, and there may be millions of cells. So the state is kept in plain attributes,
and tags are compared by their full names.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial

from wood_xl.errors import UnreadableWorkbook, shown
from wood_xl.io import limits
from wood_xl.io.cell_kinds import FOUND_LENGTH, TRUE_WORDS, NumberFormat, boolean_cell, dated_cell, number_cell
from wood_xl.io.package import Attributes, Package, PartHandler, local_name, whole
from wood_xl.io.package_parts import plain_text
from wood_xl.notes.problem import column_number
from wood_xl.notes.raw import Cells, Kind, RawCell, RawSheet

FORMULA_LENGTH = 200  # kept of a shared formula, which is only shown in messages
EMPTY_TEXT_KINDS = ("str", "s")
NO_HEIGHT = frozenset({"0", "0.0"})
Area = tuple[int, int, int, int]  # first row, first column, last row, last column
_RANGE = re.compile(r"\$?([A-Z]{1,3})\$?([1-9][0-9]{0,6})(?::\$?([A-Z]{1,3})\$?([1-9][0-9]{0,6}))?")


@dataclass
class Budget:
    """How much of its limits a whole workbook has used."""

    package: Package
    filled: int = 0
    blank: int = 0
    rows: int = 0
    range_cells: int = 0
    text: int = 0
    other_tags: int = 0
    hidden_columns: int = 0

    def count_other_tag(self) -> None:
        """Count a tag other than row, cell or value; honest sheets have few."""
        self.other_tags += 1
        if self.other_tags > limits.MAX_OTHER_TAGS:  # without another call for each of millions of tags
            raise self.package.damaged(f"it holds more than {limits.MAX_OTHER_TAGS:,} tags that are not cells")

    def count_text(self, length: int) -> None:
        """Count the characters of a text that is kept."""
        self.text += length
        self.package.require_at_most(limits.MAX_TEXT_KEPT, self.text, "it holds {} characters of text")

    def count_range(self, area: Area, found: str) -> None:
        """Count a range's cells."""
        top, left, bottom, right = area
        self.range_cells += (bottom - top + 1) * (right - left + 1)
        if self.range_cells > limits.MAX_RANGE_CELLS:
            expected = f"{limits.MAX_RANGE_CELLS:,}"
            raise UnreadableWorkbook("file-range-too-large", file=self.package.file, found=found, expected=expected)

    def require_few_cells(self, sheet: str) -> None:
        """Refuse more cells or rows than any honest workbook holds."""
        is_within = self.filled <= limits.MAX_FILLED_CELLS and self.blank <= limits.MAX_BLANK_CELLS
        if not is_within or self.rows > limits.MAX_ROW_RECORDS:
            most, blank = f"{limits.MAX_FILLED_CELLS:,}", f"{limits.MAX_BLANK_CELLS:,}"
            file = self.package.file
            raise UnreadableWorkbook("file-too-many-cells", file=file, sheet=sheet, expected=most, blank=blank)


@dataclass
class SheetCells:
    """What has been read of one sheet so far, in either format."""

    title: str
    row_limit: int
    cells: Cells = field(default_factory=Cells)
    merged: list[Area] = field(default_factory=list)
    hidden_rows: set[int] = field(default_factory=set)
    hidden_columns: set[int] = field(default_factory=set)
    filled_rows: int = 0

    def sheet(self, *, hidden: bool) -> RawSheet:
        """The sheet, once all of it has been read."""
        return RawSheet(
            title=self.title,
            cells=self.cells,
            merged=tuple(self.merged),
            hidden_rows=frozenset(self.hidden_rows),
            hidden_columns=frozenset(self.hidden_columns),
            hidden=hidden,
            rows_beyond_limit=max(0, self.filled_rows - self.row_limit),
        )


@dataclass
class CellContext:
    """What the cells refer to: shared texts, number formats by style number, the epoch of dates."""

    budget: Budget
    shared: Sequence[str]
    formats: Sequence[NumberFormat]
    from_1904: bool
    _texts: dict[str, RawCell] = field(default_factory=dict)
    _numbers: dict[str, dict[str, RawCell]] = field(default_factory=lambda: defaultdict(dict))  # by style and text

    def number(self, text: str, style: str) -> RawCell:
        """The cell for a number as stored; equal numbers in one style share one object."""
        of_style = self._numbers[style]
        cell = of_style.get(text)
        if cell is None:
            index = whole(style)
            shown_as = self.formats[index] if 0 <= index < len(self.formats) else NumberFormat()
            cell = number_cell(text, shown_as, from_1904=self.from_1904)
            if len(of_style) < limits.KEPT_VALUES:
                of_style[text] = cell
        return cell

    def text(self, text: str) -> RawCell:
        """The cell for a stored text; equal texts share one object."""
        cell = self._texts.get(text)
        if cell is None:
            self.budget.count_text(len(text))
            cell = RawCell(Kind.TEXT, plain_text(text))
            if len(self._texts) < limits.KEPT_VALUES:
                self._texts[text] = cell
        return cell


def cell_range(text: str) -> Area | None:
    """The area of ``A1`` or ``A1:B2``; None if the text names none."""
    match = _RANGE.fullmatch(text)
    if not match:
        return None
    left, top = column_number(match[1]), int(match[2])
    right, bottom = (column_number(match[3]), int(match[4])) if match[3] else (left, top)
    if max(left, right) > limits.MAX_COLUMN or max(top, bottom) > limits.MAX_ROW:
        return None
    return min(top, bottom), min(left, right), max(top, bottom), max(left, right)


_OTHER_KINDS: dict[str, Callable[[str], RawCell]] = {
    "b": boolean_cell,
    "e": lambda value: RawCell(Kind.ERROR, plain_text(value)[:FOUND_LENGTH]),
    "d": dated_cell,
}


class SheetPart(PartHandler):
    """Reads one sheet's part."""

    def __init__(self, sheet: SheetCells, context: CellContext) -> None:
        self._package = context.budget.package
        self._sheet = sheet
        self._context = context
        self._cell_tag = self._value_tag = ""
        self._starts: dict[str, Callable[[Attributes], object]] = {}
        self._ends: dict[str, Callable[[], None]] = {}
        self._columns: dict[str, int] = {}
        self._hidden_n = 0
        self._shared_formulas: dict[str, str] = {}
        self._row, self._row_text, self._row_hidden = 0, "0", False
        self._row_filled, self._row_kept = 0, True
        self._row_cells = 0
        self._column, self._type, self._style = 0, "n", "0"
        self._value: str | None = None
        self._formula: str | None = None
        self._formula_group = ""
        self._aside, self._text = False, ""

    def start(self, name: str, attributes: Attributes) -> None:
        """Read an opening tag; the first gives the namespace."""
        self._text = ""
        if name == self._cell_tag:
            address = attributes.get("r")
            if address is None:
                self._column += 1
            else:
                letters = address.removesuffix(self._row_text)
                self._column = self._columns.get(letters) or self._learn_column(letters, address)
            self._type = attributes.get("t", "n")
            self._style = attributes.get("s", "0")
            self._value = self._formula = None
            self._row_cells += 1
        elif name != self._value_tag:
            if not self._starts:
                self._learn_names(name)
            handle = self._starts.get(name)
            if handle is not None:
                handle(attributes)
            else:
                self._context.budget.count_other_tag()

    def text(self, data: str) -> None:
        """Collect text: a value, a formula or a string."""
        if not self._text:
            self._text = data  # at most one piece of the part, so its length needs no check
            return
        self._text += data
        if len(self._text) > limits.MAX_TEXT_LENGTH:
            raise self._package.damaged(f"the text {self._where()} is longer than a cell can hold")

    def end(self, name: str) -> None:
        """Read a closing tag."""
        if name == self._value_tag:
            self._value = self._text
        elif name != self._cell_tag:
            handle = self._ends.get(name)
            if handle is not None:
                handle()
        elif self._value or self._formula is not None:
            self._end_cell()

    def _learn_names(self, root: str) -> None:
        prefix = root[: len(root) - len(local_name(root))]
        self._cell_tag, self._value_tag = prefix + "c", prefix + "v"
        starts: dict[str, Callable[[Attributes], object]] = {
            "row": self._start_row,
            "f": self._start_formula,
            "rPh": self._start_aside,
            "col": self._read_columns,
            "mergeCell": self._read_merged,
            "hyperlink": partial(self._counted_area, "a link"),
        }
        ends = {"row": self._end_row, "f": self._end_formula, "t": self._end_text, "rPh": self._end_aside}
        self._starts = {prefix + tag: handle for tag, handle in starts.items()}
        self._ends = {prefix + tag: handle for tag, handle in ends.items()}

    def _start_row(self, attributes: Attributes) -> None:
        text = attributes.get("r")
        row = self._row + 1 if text is None else whole(text.strip())
        if not 1 <= row <= limits.MAX_ROW:
            raise self._package.damaged(f'sheet "{self._sheet.title}" has a row numbered {row}')
        self._row, self._row_text = row, str(row)
        self._row_hidden = attributes.get("hidden", "0").lower() in TRUE_WORDS or attributes.get("ht") in NO_HEIGHT
        self._row_filled = 0
        self._row_kept = self._sheet.filled_rows < self._sheet.row_limit
        self._column = self._row_cells = 0
        self._context.budget.rows += 1

    def _learn_column(self, letters: str, address: str) -> int:
        column = column_number(letters)
        if not 0 < column <= limits.MAX_COLUMN or self._row == 0:
            found = shown(address[:FOUND_LENGTH])
            raise self._package.damaged(f'sheet "{self._sheet.title}" has a cell named "{found}" in row {self._row}')
        self._columns[letters] = column
        return column

    def _start_formula(self, attributes: Attributes) -> None:
        self._formula_group = attributes.get("si", "") if attributes.get("t") == "shared" else ""

    def _end_formula(self) -> None:
        self._formula = self._text
        if self._formula_group:
            first = self._shared_formulas.setdefault(self._formula_group, self._text[:FORMULA_LENGTH])
            self._formula = self._text or first

    def _end_text(self) -> None:
        if not self._aside:
            self._value = (self._value or "") + self._text

    def _start_aside(self, _attributes: Attributes) -> None:
        self._aside = True

    def _end_aside(self) -> None:
        self._aside = False

    def _end_cell(self) -> None:
        if not self._row_kept:
            self._row_filled += bool(self._value) or self._type not in EMPTY_TEXT_KINDS
            return
        cell = self._cell()
        if cell is None:
            return
        self._row_filled += 1
        column = self._sheet.cells.columns.setdefault(self._column, {})
        if self._column > limits.MAX_COLUMN or self._row in column:
            raise self._package.damaged(f"the cell {self._where()} is there twice or lies outside the sheet")
        column[self._row] = cell

    def _end_row(self) -> None:
        budget = self._context.budget
        budget.filled += self._row_filled
        budget.blank += self._row_cells - self._row_filled
        budget.require_few_cells(self._sheet.title)
        if self._row_filled:
            self._sheet.filled_rows += 1
            if self._row_hidden and self._row_kept:
                self._sheet.hidden_rows.add(self._row)

    def _cell(self) -> RawCell | None:
        value, kind = self._value, self._type
        if not value:
            # A formula with an empty text as result has that kind; any other without a value was never computed.
            if kind in EMPTY_TEXT_KINDS:
                return None
            return RawCell(Kind.NO_VALUE, "=" + plain_text(self._formula or "")[:FORMULA_LENGTH])
        if kind == "n":
            return self._context.number(value, self._style)
        if kind == "s":
            return self._shared(value)
        if kind in ("inlineStr", "str"):
            return self._context.text(value)
        make = _OTHER_KINDS.get(kind)
        if make is None:
            raise self._package.damaged(f"the cell {self._where()} is of a kind that does not exist")
        return make(value)

    def _shared(self, value: str) -> RawCell | None:
        number = whole(value.strip())
        if not 0 <= number < len(self._context.shared):
            raise self._package.damaged(f"the text of the cell {self._where()} is missing")
        text = self._context.shared[number]
        return self._context.text(text) if text else None

    def _read_columns(self, attributes: Attributes) -> None:
        hidden = attributes.get("hidden", "0").lower() in TRUE_WORDS or attributes.get("width") in NO_HEIGHT
        first = whole(attributes.get("min", "").strip())
        last = min(whole(attributes.get("max", "").strip()), limits.MAX_COLUMN)
        if hidden and 1 <= first <= last:
            self._hidden_n += last + 1 - first
            if self._hidden_n > limits.MAX_COLUMN:
                raise self._package.damaged(f'sheet "{self._sheet.title}" hides more columns than there are')
            self._context.budget.hidden_columns += last + 1 - first
            hidden_n = self._context.budget.hidden_columns
            self._package.require_at_most(limits.MAX_HIDDEN_COLUMNS, hidden_n, "it hides {} columns")
            self._sheet.hidden_columns.update(range(first, last + 1))

    def _read_merged(self, attributes: Attributes) -> None:
        area = self._counted_area("merged cells", attributes)
        if area[:2] != area[2:]:
            self._sheet.merged.append(area)

    def _counted_area(self, kind: str, attributes: Attributes) -> Area:
        """The area of merged cells or a link, once its cells are counted."""
        reference = attributes.get("ref", "")
        area = cell_range(reference)
        if area is None:
            raise self._package.damaged(f'sheet "{self._sheet.title}" has {kind} over a range that does not exist')
        self._context.budget.count_range(area, f'sheet "{self._sheet.title}" has {kind} over {reference}')
        return area

    def _where(self) -> str:
        return f'in row {self._row}, column {self._column} of sheet "{self._sheet.title}"'
