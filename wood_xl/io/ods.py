"""From an OpenDocument spreadsheet (.ods) to raw cells, with the standard library alone, in one pass.

The known libraries were tried on files of two spreadsheet programs: one ends with a fault on any duration of 24 hours
or more, the other on every file of one of the programs, and both give an error cell as an empty one.

The format says outright whether a number is a date, a time or a per cent, so that number formats need not be read.
Where programs write less than the format asks for, the text that the cell shows decides. A cell or a row can say that
it is repeated, often millions of times for what is blank. Repeats of blank cells are only counted past; repeats of
filled ones are weighed before they are written out.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import date

from wood_xl.errors import UnreadableWorkbook
from wood_xl.io import limits
from wood_xl.io.cell_kinds import (
    FOUND_LENGTH,
    MINUTES_PER_DAY,
    NOT_SHOWN,
    Look,
    boolean_cell,
    clock_cell,
    dated_cell,
    number_cell,
)
from wood_xl.io.guard import CONTENT_PART
from wood_xl.io.package import Attributes, Package, PartHandler, number_in, whole
from wood_xl.io.sheet_part import Budget, SheetCells
from wood_xl.notes.raw import Kind, RawCell, RawSheet
from wood_xl.pages import InFile
from wood_xl.schema.words import words

MACRO_FOLDERS = ("basic/", "scripts/")
OFFICE = "urn:oasis:names:tc:opendocument:xmlns:office:1.0 "
TABLE = "urn:oasis:names:tc:opendocument:xmlns:table:1.0 "
CALC_EXTENSION = "urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0 "

VALUE_TYPE = OFFICE + "value-type"
VALUE = OFFICE + "value"
STRING_VALUE = OFFICE + "string-value"
FORMULA = TABLE + "formula"
FIRST_DAYS = (date(1899, 12, 30), date(1899, 12, 31))  # day 0: a clock time in a cell that is formatted as a date

_DURATION = re.compile(
    r"(-?)P(?:(\d{1,9})D)?(?:T(?:(\d{1,9})H)?(?:(\d{1,9})M)?(?:(\d{1,9}(?:[.,]\d{1,12})?)S)?)?", re.ASCII
)
_ERROR_TEXT = re.compile(r"#[A-Z][A-Z0-9/_]*[!?]?|#(?:DIV/0|REF|NAME|NUM|VALUE|NULL)[!?]|Err:\d{1,4}")
_SHOWN_NUMBER = re.compile(r"-?\d{1,15}(?:\.\d{1,10})?")
_FORMULA_PREFIX = re.compile(r"[A-Za-z][\w.-]*:(?==)", re.ASCII)
_CONSTANTS = {"=TRUE()": True, "=FALSE()": False}
STYLE = "urn:oasis:names:tc:opendocument:xmlns:style:1.0 "
TEXT = "urn:oasis:names:tc:opendocument:xmlns:text:1.0 "

CELLS = frozenset({TABLE + "table-cell", TABLE + "covered-table-cell"})
PARAGRAPH = TEXT + "p"
TYPED_BLANKS = {TEXT + "s": "\x00", TEXT + "tab": "\x01", TEXT + "line-break": "\x02"}
# Beside the sheets: what was changed before, copies of other files' cells, drawings, buttons.
ASIDE = frozenset({TABLE + "tracked-changes", TABLE + "dde-links", TABLE + "shapes", OFFICE + "forms"})
ASIDE_IN_TEXT = frozenset({TEXT + "ruby-text", TEXT + "note", OFFICE + "annotation"})  # no part of what was typed
OUTSIDE_DATA = frozenset({TABLE + "table-source", TABLE + "cell-range-source", TABLE + "dde-links"})
HIDDEN = frozenset({"collapse", "filter"})

_BLANKS = re.compile(r"[ \t\r\n]+")


def read_content(package: Package, row_limits: Mapping[str, int]) -> tuple[ContentPart, list[str]]:
    """What the package holds, and what must be said of it; see ``reader.read_workbook``."""
    content = ContentPart(package, lambda title: limits.kept_rows(title, row_limits))
    package.parse(CONTENT_PART, content)
    if not content.is_spreadsheet:
        raise UnreadableWorkbook("file-wrong-kind", file=package.file, found="an OpenDocument file without a sheet")
    if not content.sheets:
        raise UnreadableWorkbook("file-no-sheets", file=package.file)
    for name in package.unread():
        package.look_through(name)
    notes = [words(InFile.MACROS)] if any(name.startswith(MACRO_FOLDERS) for name in package.names()) else []
    if content.links_outside:
        notes.append(words(InFile.OUTSIDE))
    return content, notes


class ContentPart(PartHandler):
    """Reads the part ``content.xml``: sheets in order, and what defined names, in ``casefold`` form, stand for."""

    def __init__(self, package: Package, kept_rows: Callable[[str], int]) -> None:
        self.sheets: list[RawSheet] = []
        self.is_spreadsheet = False
        self.links_outside = False
        self.names: dict[str, str] = {}
        self._package = package
        self._kept_rows = kept_rows
        self._budget = Budget(package)
        self._hidden_styles: set[str] = set()
        self._table_style = ""
        self._skipped = 0  # how deep in something that is not read
        self._in_paragraph = 0  # how deep in a paragraph of a cell
        self._cell: Attributes | None = None
        self._shown: str | None = None
        self._text = ""
        self._texts: dict[str, RawCell] = {}
        self._starts: Mapping[str, Callable[[Attributes], None]] = {
            OFFICE + "spreadsheet": self._start_spreadsheet,
            STYLE + "style": self._start_style,
            STYLE + "table-properties": self._take_table_look,
            TABLE + "table": self._start_table,
            TABLE + "table-column": self._take_columns,
            TABLE + "table-row": self._start_row,
            TABLE + "named-range": self._take_name,
            TABLE + "named-expression": self._take_name,
        }
        self._ends: Mapping[str, Callable[[], None]] = {
            TABLE + "table": self._end_table,
            TABLE + "table-row": self._end_row,
        }
        self._begin_table("", kept=0)

    def start(self, name: str, attributes: Attributes) -> None:
        """Take an opening tag."""
        if self._skipped:
            self._skipped += 1
            self._budget.count_other_tag()
        elif self._in_paragraph:
            self._budget.count_other_tag()
            self._start_in_text(name, attributes)
        elif self._cell is not None:
            if name == PARAGRAPH:
                self._in_paragraph, self._text = 1, ""
            else:
                self._skipped = 1
        elif name in CELLS:
            if not self._in_row:
                raise self._package.damaged(f'sheet "{self._found.title}" has a cell outside any row')
            self._cell, self._shown = attributes, None
        else:
            handle = self._starts.get(name)
            if handle is not None:
                handle(attributes)
                return
            if name in OUTSIDE_DATA:
                self.links_outside = True
            if name in ASIDE:
                self._skipped = 1
            else:
                self._budget.count_other_tag()

    def text(self, data: str) -> None:
        """Collect a paragraph's text."""
        if self._in_paragraph and not self._skipped:
            self._text += data
            self._require_length(len(self._text))

    def end(self, name: str) -> None:
        """Take a closing tag."""
        if self._skipped:
            self._skipped -= 1
        elif self._in_paragraph:
            self._in_paragraph -= 1
            if not self._in_paragraph:
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
            self._skipped = 1
            return
        self._in_paragraph += 1
        # Typed blanks come as elements of their own. They are kept apart from those of the XML's layout, of which
        # any number is one blank, by characters that no XML text can hold.
        if name in TYPED_BLANKS:
            count = self._count(attributes, TEXT + "c") if name == TEXT + "s" else 1
            self._require_length(len(self._text) + count)
            self._text += TYPED_BLANKS[name] * count

    def _end_paragraph(self) -> None:
        text = _BLANKS.sub(" ", self._text).removeprefix(" ")
        text = text.replace("\x00", " ").replace("\x01", "\t").replace("\x02", "\n")
        self._shown = text if self._shown is None else f"{self._shown}\n{text}"
        self._require_length(len(self._shown))

    def _require_length(self, length: int) -> None:
        if length > limits.MAX_TEXT_LENGTH:
            raise self._package.damaged(f'a text on sheet "{self._found.title}" is longer than any cell holds')

    def _start_spreadsheet(self, _attributes: Attributes) -> None:
        self.is_spreadsheet = True

    def _start_style(self, attributes: Attributes) -> None:
        self._table_style = attributes.get(STYLE + "name", "") if attributes.get(STYLE + "family") == "table" else ""

    def _take_table_look(self, attributes: Attributes) -> None:
        if attributes.get(TABLE + "display") == "false" and self._table_style:
            self._hidden_styles.add(self._table_style)

    def _start_table(self, attributes: Attributes) -> None:
        title = attributes.get(TABLE + "name", "")
        if len(self.sheets) >= limits.MAX_SHEETS:
            raise self._package.damaged(f"it has more than {limits.MAX_SHEETS:,} sheets")
        self._begin_table(title, kept=self._kept_rows(title))
        self._hidden = attributes.get(TABLE + "style-name", "") in self._hidden_styles

    def _begin_table(self, title: str, *, kept: int) -> None:
        self._found = SheetCells(title, kept)
        self._hidden = False
        self._row = self._columns = 0
        self._start_row({})
        self._in_row = False

    def _end_table(self) -> None:
        self.sheets.append(self._found.sheet(hidden=self._hidden))
        self._begin_table("", kept=0)

    def _take_columns(self, attributes: Attributes) -> None:
        first = self._columns + 1
        self._columns = min(
            self._columns + self._count(attributes, TABLE + "number-columns-repeated"), limits.MAX_COLUMN
        )
        if attributes.get(TABLE + "visibility") in HIDDEN:
            self._found.hidden_columns.update(range(first, self._columns + 1))

    def _take_name(self, attributes: Attributes) -> None:
        meaning = attributes.get(TABLE + "cell-range-address") or attributes.get(TABLE + "expression", "")
        if len(self.names) >= limits.MAX_NAMES:
            raise self._package.damaged(f"it has more than {limits.MAX_NAMES:,} names")
        self.names.setdefault(attributes.get(TABLE + "name", "").casefold(), meaning)

    def _start_row(self, attributes: Attributes) -> None:
        self._row_repeats, self._row_hidden = 1, False
        if attributes:  # a file of a million bare rows is small
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
            self._take_merged(column, repeats, attributes)
        cell = open_document_cell(attributes, self._shown)
        if cell is None:
            self._budget.blank += 1
            return
        if self._column > limits.MAX_COLUMN:
            raise self._package.damaged(f'sheet "{self._found.title}" has a filled cell beyond its last column')
        self._row_filled += repeats
        self._row_cells.append((column, repeats, self._shared(cell)))

    def _shared(self, cell: RawCell) -> RawCell:
        """Equal texts share one cell; their length is weighed."""
        if not isinstance(cell.value, str):
            return cell
        shared = self._texts.get(cell.value)
        if shared == cell:
            return shared
        self._budget.weigh_text(len(cell.value))
        if shared is None and len(self._texts) < limits.KEPT_VALUES:  # else another kind of cell has that text
            self._texts[cell.value] = cell
        return cell

    def _take_merged(self, column: int, repeats: int, attributes: Attributes) -> None:
        wide = self._count(attributes, TABLE + "number-columns-spanned")
        high = self._count(attributes, TABLE + "number-rows-spanned")
        if wide == high == 1:
            return
        top = self._row + 1
        times = repeats * self._row_repeats
        area = (top, column, top + high * times - 1, column + wide - 1)  # for its size; each is counted
        self._budget.weigh_range(area, f'sheet "{self._found.title}" has merged cells of {high} x {wide}')
        self._found.merged += [
            (row, left, row + high - 1, left + wide - 1)
            for row in range(top, top + self._row_repeats)
            for left in range(column, column + repeats)
        ]

    def _end_row(self) -> None:
        self._in_row = False
        top = self._row + 1
        self._row = min(self._row + self._row_repeats, limits.MAX_ROW + 1)
        self._budget.filled += self._row_filled * self._row_repeats
        self._budget.require_few_cells(self._found.title)
        if not self._row_cells:
            return
        if self._row > limits.MAX_ROW:
            raise self._package.damaged(f'sheet "{self._found.title}" has filled cells below its last row')
        found = self._found
        kept = range(top, top + max(0, min(self._row_repeats, found.row_limit - found.filled_rows)))
        for first, count, cell in self._row_cells if kept else ():
            for column in range(first, first + count):
                found.cells.columns.setdefault(column, {}).update(dict.fromkeys(kept, cell))
        if self._row_hidden:
            found.hidden_rows.update(kept)
        found.filled_rows += self._row_repeats

    def _count(self, attributes: Attributes, name: str) -> int:
        if name not in attributes:
            return 1
        count = whole(attributes[name].strip())
        if count < 1:
            raise self._package.damaged(f'sheet "{self._found.title}" repeats something as often as no number says')
        return count


def open_document_cell(attributes: Attributes, shown: str | None) -> RawCell | None:
    """The raw cell for one cell element; None if it holds nothing."""
    formula = attributes.get(FORMULA)
    kind = attributes.get(VALUE_TYPE, "")
    if formula is not None:
        of_formula = _of_formula(formula, kind, attributes, shown)
        if of_formula is not None:
            return of_formula
    make = _KINDS.get(kind)
    if make is not None:
        return make(attributes, shown or "")
    text = attributes.get(STRING_VALUE, shown)
    return RawCell(Kind.TEXT, text) if text else None


def _of_formula(formula: str, kind: str, attributes: Attributes, shown: str | None) -> RawCell | None:
    """What only cells with a formula can be: an error, a value that was never computed, TRUE or FALSE."""
    text = shown or ""
    if attributes.get(CALC_EXTENSION + "value-type") == "error" or _ERROR_TEXT.fullmatch(text):
        return RawCell(Kind.ERROR, text[:FOUND_LENGTH] or NOT_SHOWN)
    plain = _FORMULA_PREFIX.sub("", formula, count=1)
    # A formula that was computed and gives an empty text has a kind or an empty paragraph.
    if not kind and shown is None:
        return RawCell(Kind.NO_VALUE, plain[:FOUND_LENGTH])
    if plain in _CONSTANTS:  # so written by programs that opened a workbook of another format
        return RawCell(Kind.BOOLEAN, _CONSTANTS[plain])
    return None


def _number(attributes: Attributes, shown: str) -> RawCell:
    cell = number_cell(attributes.get(VALUE, shown), Look.PLAIN, from_1904=False)
    if shown.endswith("%") and isinstance(cell.value, float) and _is_percent(cell.value, shown):
        return RawCell(Kind.NUMBER, cell.value, percent=True)
    if isinstance(cell.value, float) and _is_rounded(cell.value, shown):
        return RawCell(Kind.NUMBER, cell.value, rounded=shown.strip())
    return cell


def _is_rounded(value: float, shown: str) -> bool:
    """Whether 12.4 is shown as 12, with whatever decimal sign."""
    plain = shown.strip().replace(",", ".")
    if not _SHOWN_NUMBER.fullmatch(plain):
        return False
    seen, decimals_n = float(plain), len(plain.partition(".")[2])
    return seen != value and seen == round(value, decimals_n)


def _money(attributes: Attributes, shown: str) -> RawCell:
    currency = attributes.get(OFFICE + "currency", "").strip()
    return number_cell(attributes.get(VALUE, shown), Look.PLAIN, from_1904=False, currency=currency)


def _is_percent(value: float, shown: str) -> bool:
    """Whether 0.03 is shown as 3 %; a program may call such a cell a plain number."""
    seen = number_in(shown.rstrip("% \u00a0").replace(",", "."))
    return seen is not None and abs(seen - 100 * value) < abs(seen - value)


def _date(attributes: Attributes, shown: str) -> RawCell:
    text = attributes.get(OFFICE + "date-value", "")
    cell = dated_cell(text)
    if cell.kind is Kind.ERROR:
        return RawCell(Kind.ERROR, (text or shown)[:FOUND_LENGTH] or NOT_SHOWN)
    if cell.kind is Kind.DATE and str(cell.value)[:10] in map(str, FIRST_DAYS):
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
    "percentage": lambda attributes, shown: number_cell(attributes.get(VALUE, shown), Look.PERCENT, from_1904=False),
    "date": _date,
    "time": _time,
    "boolean": lambda attributes, shown: boolean_cell(attributes.get(OFFICE + "boolean-value", shown)),
}
