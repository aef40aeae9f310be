"""Reads the raw cells of an OpenDocument spreadsheet (.ods) in one pass, with the standard library alone.

We tried the usual libraries on files from two spreadsheet programs. One crashes on any duration of 24 hours or more,
the other on every file from one of the programs, and both read an error cell as empty.

The format states whether a number is a date, a time or a percentage, so number formats are not needed. Where a
program writes less than the format asks for, the text that the cell shows decides. A cell or row can be repeated,
millions of times where it is blank. Blank repeats are skipped; filled ones count toward the limits before they are
expanded.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from wood_xl.errors import UnreadableWorkbook, shown
from wood_xl.io import limits
from wood_xl.io.cell_kinds import (
    FOUND_LENGTH,
    MINUTES_PER_DAY,
    NOT_SHOWN,
    FormatKind,
    NumberFormat,
    boolean_cell,
    clock_cell,
    dated_cell,
    number_cell,
)
from wood_xl.io.guard import CONTENT_PART
from wood_xl.io.package import Attributes, Package, PartHandler, number_in, whole
from wood_xl.io.sheet_part import Budget, SheetCells
from wood_xl.notes.raw import Kind, RawCell, RawSheet
from wood_xl.page_texts import InFile
from wood_xl.schema.words import words

MACRO_FOLDERS = ("basic/", "scripts/")
OFFICE = "urn:oasis:names:tc:opendocument:xmlns:office:1.0 "
TABLE = "urn:oasis:names:tc:opendocument:xmlns:table:1.0 "
CALC_EXTENSION = "urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0 "

VALUE_TYPE = OFFICE + "value-type"
VALUE = OFFICE + "value"
STRING_VALUE = OFFICE + "string-value"
FORMULA = TABLE + "formula"
DAY_ZERO = ("1899-12-30", "1899-12-31")  # the date of a clock time in a cell with a date format

_DURATION = re.compile(
    r"(-?)P(?:(\d{1,9})D)?(?:T(?:(\d{1,9})H)?(?:(\d{1,9})M)?(?:(\d{1,9}(?:[.,]\d{1,12})?)S)?)?", re.ASCII
)
_ERROR_TEXT = re.compile(r"#[A-Z][A-Z0-9/_]*[!?]?|#(?:DIV/0|REF|NAME|NUM|VALUE|NULL)[!?]|Err:\d{1,4}")
_SHOWN_NUMBER = re.compile(r"-?\d{1,15}(?:\.\d{1,10})?")
_FORMULA_PREFIX = re.compile(r"[A-Za-z][\w.-]*:(?==)", re.ASCII)
PERCENTAGE = NumberFormat(FormatKind.PERCENT)
_CONSTANTS = {"=TRUE()": True, "=FALSE()": False}
STYLE = "urn:oasis:names:tc:opendocument:xmlns:style:1.0 "
TEXT = "urn:oasis:names:tc:opendocument:xmlns:text:1.0 "

CELLS = frozenset({TABLE + "table-cell", TABLE + "covered-table-cell"})
PARAGRAPH = TEXT + "p"
TYPED_BLANKS = {TEXT + "s": "\x00", TEXT + "tab": "\x01", TEXT + "line-break": "\x02"}
# Not cells: tracked changes, copies of other files' cells, drawings, buttons.
ASIDE = frozenset({TABLE + "tracked-changes", TABLE + "dde-links", TABLE + "shapes", OFFICE + "forms"})
ASIDE_IN_TEXT = frozenset({TEXT + "ruby-text", TEXT + "note", OFFICE + "annotation"})  # not the cell's own text
OUTSIDE_DATA = frozenset({TABLE + "table-source", TABLE + "cell-range-source", TABLE + "dde-links"})
HIDDEN = frozenset({"collapse", "filter"})

_BLANKS = re.compile(r"[ \t\r\n]+")


def read_content(package: Package, row_limits: Mapping[str, int]) -> tuple[ContentPart, list[str]]:
    """The sheets and names of a package, and notes for the user; ``row_limits`` as for ``reader.read_workbook``."""
    content = ContentPart(package, row_limits)
    package.parse(CONTENT_PART, content)
    if not content.is_spreadsheet:
        raise UnreadableWorkbook("file-wrong-kind", file=package.file, found="an OpenDocument file without a sheet")
    if not content.sheets:
        raise UnreadableWorkbook("file-no-sheets", file=package.file)
    for name in package.unread():
        package.inspect(name)
    notes = [words(InFile.MACROS)] if any(name.startswith(MACRO_FOLDERS) for name in package.names()) else []
    if content.links_outside:
        notes.append(words(InFile.OUTSIDE))
    return content, notes


class ContentPart(PartHandler):
    """Reads ``content.xml``: the sheets in order, and the defined names, in ``casefold`` form, with their meaning."""

    def __init__(self, package: Package, row_limits: Mapping[str, int]) -> None:
        self.sheets: list[RawSheet] = []
        self.is_spreadsheet = False
        self.links_outside = False
        self.names: dict[str, str] = {}
        self._package = package
        self._row_limits = row_limits
        self._budget = Budget(package)
        self._hidden_styles: set[str] = set()
        self._table_style = ""
        self._skip_depth = 0  # of tags in an element that is not read
        self._paragraph_depth = 0  # of tags in a paragraph of a cell
        self._cell: Attributes | None = None
        self._shown: str | None = None
        self._text = ""
        self._texts: dict[str, RawCell] = {}
        self._starts: Mapping[str, Callable[[Attributes], None]] = {
            OFFICE + "spreadsheet": self._start_spreadsheet,
            STYLE + "style": self._start_style,
            STYLE + "table-properties": self._read_table_style,
            TABLE + "table": self._start_table,
            TABLE + "table-column": self._read_columns,
            TABLE + "table-row": self._start_row,
            TABLE + "named-range": self._read_name,
            TABLE + "named-expression": self._read_name,
        }
        self._ends: Mapping[str, Callable[[], None]] = {
            TABLE + "table": self._end_table,
            TABLE + "table-row": self._end_row,
        }
        self._begin_table("", row_limit=0)

    def start(self, name: str, attributes: Attributes) -> None:
        """Read an opening tag."""
        if self._skip_depth:
            self._skip_depth += 1
            self._budget.count_other_tag()
        elif self._paragraph_depth:
            self._budget.count_other_tag()
            self._start_in_text(name, attributes)
        elif self._cell is not None:
            if name == PARAGRAPH:
                self._paragraph_depth, self._text = 1, ""
            else:
                self._skip_depth = 1
        elif name in CELLS:
            if not self._in_row:
                raise self._package.damaged(f'sheet "{self._sheet.title}" has a cell outside any row')
            self._cell, self._shown = attributes, None
        else:
            handle = self._starts.get(name)
            if handle is not None:
                handle(attributes)
                return
            if name in OUTSIDE_DATA:
                self.links_outside = True
            if name in ASIDE:
                self._skip_depth = 1
            else:
                self._budget.count_other_tag()

    def text(self, data: str) -> None:
        """Collect a paragraph's text."""
        if self._paragraph_depth and not self._skip_depth:
            self._text += data
            self._require_storable(len(self._text))

    def end(self, name: str) -> None:
        """Read a closing tag."""
        if self._skip_depth:
            self._skip_depth -= 1
        elif self._paragraph_depth:
            self._paragraph_depth -= 1
            if not self._paragraph_depth:
                self._end_paragraph()
        elif self._cell is not None:
            self._end_cell(self._cell)
            self._cell = None
        else:
            handle = self._ends.get(name)
            if handle is not None:
                handle()

    def _start_in_text(self, name: str, attributes: Attributes) -> None:
        if name in ASIDE_IN_TEXT:
            self._skip_depth = 1
            return
        self._paragraph_depth += 1
        # Typed blanks are elements. Characters that no XML text can hold stand in for them until the paragraph ends,
        # so that they survive when runs of blanks in the XML itself become one.
        if name in TYPED_BLANKS:
            count = self._count(attributes, TEXT + "c") if name == TEXT + "s" else 1
            self._require_storable(len(self._text) + count)
            self._text += TYPED_BLANKS[name] * count

    def _end_paragraph(self) -> None:
        text = _BLANKS.sub(" ", self._text).removeprefix(" ")
        text = text.replace("\x00", " ").replace("\x01", "\t").replace("\x02", "\n")
        self._shown = text if self._shown is None else f"{self._shown}\n{text}"
        self._require_storable(len(self._shown))

    def _require_storable(self, length: int) -> None:
        if length > limits.MAX_TEXT_LENGTH:
            raise self._package.damaged(f'a text on sheet "{self._sheet.title}" is longer than a cell can hold')

    def _start_spreadsheet(self, _attributes: Attributes) -> None:
        self.is_spreadsheet = True

    def _start_style(self, attributes: Attributes) -> None:
        self._table_style = attributes.get(STYLE + "name", "") if attributes.get(STYLE + "family") == "table" else ""

    def _read_table_style(self, attributes: Attributes) -> None:
        if attributes.get(TABLE + "display") == "false" and self._table_style:
            self._hidden_styles.add(self._table_style)

    def _start_table(self, attributes: Attributes) -> None:
        title = attributes.get(TABLE + "name", "")
        self._package.require_at_most(limits.MAX_SHEETS, len(self.sheets) + 1, "it has {} sheets")
        self._begin_table(title, row_limit=limits.row_limit(title, self._row_limits))
        self._hidden = attributes.get(TABLE + "style-name", "") in self._hidden_styles

    def _begin_table(self, title: str, *, row_limit: int) -> None:
        self._sheet = SheetCells(title, row_limit)
        self._hidden = False
        self._row = self._columns = 0
        self._start_row({})
        self._in_row = False

    def _end_table(self) -> None:
        self.sheets.append(self._sheet.sheet(hidden=self._hidden))
        self._begin_table("", row_limit=0)

    def _read_columns(self, attributes: Attributes) -> None:
        first = self._columns + 1
        repeats = self._count(attributes, TABLE + "number-columns-repeated")
        self._columns = min(self._columns + repeats, limits.MAX_COLUMN)
        if attributes.get(TABLE + "visibility") in HIDDEN:
            self._sheet.hidden_columns.update(range(first, self._columns + 1))

    def _read_name(self, attributes: Attributes) -> None:
        meaning = attributes.get(TABLE + "cell-range-address") or attributes.get(TABLE + "expression", "")
        self._package.require_at_most(limits.MAX_NAMES, len(self.names) + 1, "it has {} names")
        self.names.setdefault(attributes.get(TABLE + "name", "").casefold(), meaning)

    def _start_row(self, attributes: Attributes) -> None:
        self._row_repeats, self._row_hidden = 1, False
        if attributes:  # bare rows skip this: a small file can hold a million
            self._row_repeats = self._count(attributes, TABLE + "number-rows-repeated")
            self._row_hidden = attributes.get(TABLE + "visibility") in HIDDEN
        self._row_cells: list[tuple[int, int, RawCell]] = []  # first column, how many, cell
        self._column = self._row_filled = 0
        self._in_row = True
        self._budget.rows += 1

    def _end_cell(self, attributes: Attributes) -> None:
        column = self._column + 1
        repeats = self._count(attributes, TABLE + "number-columns-repeated")
        self._column = min(self._column + repeats, limits.MAX_COLUMN + 1)
        if TABLE + "number-columns-spanned" in attributes or TABLE + "number-rows-spanned" in attributes:
            self._read_merged(column, repeats, attributes)
        cell = _cell(attributes, self._shown)
        if cell is None:
            self._budget.blank += 1
            return
        if self._column > limits.MAX_COLUMN:
            raise self._package.damaged(f'sheet "{self._sheet.title}" has a filled cell beyond its last column')
        self._row_filled += repeats
        self._row_cells.append((column, repeats, self._shared(cell)))

    def _shared(self, cell: RawCell) -> RawCell:
        """One object for equal text cells; the length of each new text counts toward the limit."""
        if not isinstance(cell.value, str):
            return cell
        shared = self._texts.get(cell.value)
        if shared == cell:
            return shared
        self._budget.count_text(len(cell.value))
        if shared is None and len(self._texts) < limits.KEPT_VALUES:  # a cell of another kind may have the same text
            self._texts[cell.value] = cell
        return cell

    def _read_merged(self, column: int, repeats: int, attributes: Attributes) -> None:
        wide = self._count(attributes, TABLE + "number-columns-spanned")
        high = self._count(attributes, TABLE + "number-rows-spanned")
        if wide == high == 1:
            return
        top = self._row + 1
        times = repeats * self._row_repeats
        area = (top, column, top + high * times - 1, column + wide - 1)  # as large as all of the repeats together
        self._budget.count_range(area, f'sheet "{self._sheet.title}" has merged cells of {high} x {wide}')
        self._sheet.merged += [
            (row, left, row + high - 1, left + wide - 1)
            for row in range(top, top + self._row_repeats)
            for left in range(column, column + repeats)
        ]

    def _end_row(self) -> None:
        self._in_row = False
        top = self._row + 1
        self._row = min(self._row + self._row_repeats, limits.MAX_ROW + 1)
        self._budget.filled += self._row_filled * self._row_repeats
        self._budget.require_few_cells(self._sheet.title)
        if not self._row_cells:
            return
        if self._row > limits.MAX_ROW:
            raise self._package.damaged(f'sheet "{self._sheet.title}" has filled cells below its last row')
        sheet = self._sheet
        kept = range(top, top + max(0, min(self._row_repeats, sheet.row_limit - sheet.filled_rows)))
        for first, count, cell in self._row_cells if kept else ():
            for column in range(first, first + count):
                sheet.cells.columns.setdefault(column, {}).update(dict.fromkeys(kept, cell))
        if self._row_hidden:
            sheet.hidden_rows.update(kept)
        sheet.filled_rows += self._row_repeats

    def _count(self, attributes: Attributes, name: str) -> int:
        if name not in attributes:
            return 1
        count = whole(attributes[name].strip())
        if count < 1:
            found = shown(attributes[name][:FOUND_LENGTH])
            raise self._package.damaged(f'sheet "{self._sheet.title}" has "{found}" where a number from 1 up belongs')
        return count


def _cell(attributes: Attributes, shown: str | None) -> RawCell | None:
    """The raw cell for one cell element; None if it holds nothing."""
    kind = attributes.get(VALUE_TYPE, "")
    if FORMULA in attributes:
        formula_cell = _formula_cell(attributes, kind, shown)
        if formula_cell is not None:
            return formula_cell
    if kind in _KINDS:
        return _KINDS[kind](attributes, shown or "")
    text = attributes.get(STRING_VALUE, shown)
    return RawCell(Kind.TEXT, text) if text else None


def _formula_cell(attributes: Attributes, kind: str, shown: str | None) -> RawCell | None:
    """The cell for what only a formula can give: an error, a value that was never computed, TRUE or FALSE."""
    text = shown or ""
    if attributes.get(CALC_EXTENSION + "value-type") == "error" or _ERROR_TEXT.fullmatch(text):
        return RawCell(Kind.ERROR, text[:FOUND_LENGTH] or NOT_SHOWN)
    formula = _FORMULA_PREFIX.sub("", attributes[FORMULA], count=1)
    # A computed formula has a kind, or an empty paragraph if its result is an empty text.
    if not kind and shown is None:
        return RawCell(Kind.NO_VALUE, formula[:FOUND_LENGTH])
    if formula in _CONSTANTS:  # programs that convert from another format write TRUE and FALSE so
        return RawCell(Kind.BOOLEAN, _CONSTANTS[formula])
    return None


def _number(attributes: Attributes, shown: str) -> RawCell:
    cell = number_cell(attributes.get(VALUE, shown))
    if shown.endswith("%") and isinstance(cell.value, float) and _is_percent(cell.value, shown):
        return RawCell(Kind.NUMBER, cell.value, percent=True)
    if isinstance(cell.value, float) and _is_rounded(cell.value, shown):
        return RawCell(Kind.NUMBER, cell.value, rounded=shown.strip())
    return cell


def _is_rounded(value: float, shown: str) -> bool:
    """Whether the cell shows fewer decimals than it holds, as 12.4 shown as 12, with a point or a comma."""
    plain = shown.strip().replace(",", ".")
    if not _SHOWN_NUMBER.fullmatch(plain):
        return False
    decimals_n = len(plain.partition(".")[2])
    return float(plain) != value and float(plain) == round(value, decimals_n)


def _money(attributes: Attributes, shown: str) -> RawCell:
    currency = attributes.get(OFFICE + "currency", "").strip()
    return number_cell(attributes.get(VALUE, shown), NumberFormat(currency=currency))


def _is_percent(value: float, shown: str) -> bool:
    """Whether 0.03 is shown as 3 %: some programs declare such a cell a plain number."""
    shown_number = number_in(shown.rstrip("% \u00a0").replace(",", "."))
    return shown_number is not None and abs(shown_number - 100 * value) < abs(shown_number - value)


def _date(attributes: Attributes, shown: str) -> RawCell:
    text = attributes.get(OFFICE + "date-value", "")
    cell = dated_cell(text)
    if cell.kind is Kind.ERROR:
        return RawCell(Kind.ERROR, (text or shown)[:FOUND_LENGTH] or NOT_SHOWN)
    if cell.kind is Kind.DATE and str(cell.value).startswith(DAY_ZERO):
        return dated_cell(str(cell.value)[11:] or "00:00")
    return cell


def _time(attributes: Attributes, shown: str) -> RawCell:
    text = attributes.get(OFFICE + "time-value", "").strip()
    match = _DURATION.fullmatch(text)
    if not match or not any(match.groups()[1:]):
        return RawCell(Kind.ERROR, (text or shown)[:FOUND_LENGTH] or NOT_SHOWN)
    days, hours, minutes = (int(part or 0) for part in match.groups()[1:4])
    seconds = float((match[5] or "0").replace(",", "."))
    in_days = days + (hours * 60 + minutes + seconds / 60) / MINUTES_PER_DAY
    return clock_cell(-in_days if match[1] else in_days, elapsed=True)


_KINDS: dict[str, Callable[[Attributes, str], RawCell]] = {
    "float": _number,
    "currency": _money,
    "percentage": lambda attributes, shown: number_cell(attributes.get(VALUE, shown), PERCENTAGE),
    "date": _date,
    "time": _time,
    "boolean": lambda attributes, shown: boolean_cell(attributes.get(OFFICE + "boolean-value", shown)),
}
