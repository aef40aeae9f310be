"""Makes a copy of a filled workbook, in its own format, that lists the problems and marks their cells.

The copy is read back before it is returned: nothing that was typed may be lost.
"""

from __future__ import annotations

import math
import re
import warnings
from collections.abc import Iterable
from copy import copy
from io import BytesIO
from operator import itemgetter
from pathlib import Path
from typing import Any, NamedTuple
from xml.etree import ElementTree as ET

from openpyxl import Workbook, load_workbook
from openpyxl.cell import MergedCell
from openpyxl.comments import Comment
from openpyxl.styles import Border, PatternFill, Side
from openpyxl.worksheet.cell_range import CellRange
from openpyxl.worksheet.worksheet import Worksheet

from wood_xl.errors import UnreadableWorkbook
from wood_xl.io import mend_list
from wood_xl.io.guard import CONTENT_PART, MANIFEST_PART, is_open_document, open_package, package_of
from wood_xl.io.limits import MAX_COPIED_BYTES, MAX_COPIED_TAGS
from wood_xl.io.looks import OPAQUE
from wood_xl.io.ods import MACRO_FOLDERS
from wood_xl.io.ods_marks import FIX_FILL, LOOK_FILL, marked_content
from wood_xl.io.pack import STYLES_PART, archived, packed
from wood_xl.io.package import ANY_FAULT, Package
from wood_xl.io.reader import book_of
from wood_xl.notes.problem import Problem
from wood_xl.notes.raw import Kind, RawBook, RawCell
from wood_xl.schema.layout import MARKS_TITLE

AUTHOR = "wood_xl"
# FIX and LOOK differ in weight, edge and lightness, so that a gray print shows which is which.
FILLS = {is_fix: PatternFill("solid", fgColor=fill[1:]) for is_fix, fill in ((True, FIX_FILL), (False, LOOK_FILL))}
EDGES = {
    is_fix: Border(left=side, right=side, top=side, bottom=side)
    for is_fix, side in ((True, Side("thick", f"{OPAQUE}1F1F1F")), (False, Side("mediumDashed", f"{OPAQUE}404040")))
}
COMMENT_WIDTH, COMMENT_HEIGHT = 320, 140
SETTINGS_PART = "settings.xml"
SIGNATURES = "meta-inf/documentsignatures.xml"
MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"

_SHOWN_SHEET = re.compile(rb"(<[^<>]*config:name=\"ActiveTable\"[^<>]*>)[^<]*")
_MACRO_ENTRY = re.compile(rb"<[^<>]*file-entry[^<>]*full-path=[\"'](?:Basic|Scripts)/[^<>]*/>", re.IGNORECASE)


class MarkedCopy(NamedTuple):
    """The copy's bytes, and the suffix for its file name."""

    data: bytes
    suffix: str


def marked_copy(path: Path, problems: Iterable[Problem]) -> MarkedCopy:
    """The workbook with a list of its problems first, and a mark and a comment on every cell with a FIX or LOOK.

    Marks from an earlier marked copy are removed first.

    Raises UnreadableWorkbook (``file-not-copied``, ``file-too-large-to-copy``) rather than lose a cell.
    """
    package = open_package(path)
    name = package.file
    suffix = ".ods" if is_open_document(package.names()) else ".xlsx"
    too_large = UnreadableWorkbook("file-too-large-to-copy", file=name)
    if package.declared_bytes() > MAX_COPIED_BYTES[suffix]:
        raise too_large
    original = book_of(package, {})
    if package.tags > MAX_COPIED_TAGS[suffix]:
        raise too_large
    plan = mend_list.mark_plan(list(problems), original)
    try:
        marked = _open_document(package, plan, original) if suffix == ".ods" else _xlsx(package, plan, original)
        read_back = book_of(package_of(marked, name), {})
    except ANY_FAULT as fault:  # no list of exceptions has proved complete for other programs' files
        raise UnreadableWorkbook("file-not-copied", name=name) from fault
    if not _holds_all(read_back, original):
        raise UnreadableWorkbook("file-not-copied", name=name)
    return MarkedCopy(marked, suffix)


def _open_document(package: Package, plan: mend_list.MarkPlan, book: RawBook) -> bytes:
    parts = {
        name: content
        for name, content in package.unpacked().items()
        if not name.lower().startswith(MACRO_FOLDERS) and name.lower() != SIGNATURES  # no longer valid
    }
    if MANIFEST_PART in parts:
        parts[MANIFEST_PART] = _MACRO_ENTRY.sub(b"", parts[MANIFEST_PART])
    if plan.rows and SETTINGS_PART in parts:
        parts[SETTINGS_PART] = _SHOWN_SHEET.sub(rb"\g<1>" + MARKS_TITLE.encode(), parts[SETTINGS_PART])
    return archived(parts | {CONTENT_PART: marked_content(parts[CONTENT_PART], plan, AUTHOR, book)})


def _xlsx(package: Package, plan: mend_list.MarkPlan, book: RawBook) -> bytes:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        data = _with_styles_in_order(package)
        workbook = load_workbook(BytesIO(data))
        _restore_covered(workbook, data, book)
    for place, list_row in plan.former.items():
        if (cell := _markable(workbook, place)) is not None:
            _remove_mark(cell, workbook[MARKS_TITLE].cell(list_row, mend_list.FORMER_COLUMN))
    if plan.former:
        del workbook[MARKS_TITLE]
    cells = {place: cell for place in plan.marks if (cell := _markable(workbook, place)) is not None}
    if plan.rows:
        mend_list.write_list(workbook, plan.rows)
    for place, cell in cells.items():
        _add_mark(cell, plan.marks[place])
    return packed(workbook, is_own=False)


def _restore_covered(workbook: Workbook, data: bytes, book: RawBook) -> None:
    """Restore the values that merged cells cover: some programs store them, and the library drops them."""
    for sheet in book.sheets:
        areas = [CellRange(None, left, top, right, bottom) for top, left, bottom, right in sheet.merged]
        covered = {area: [at for at in [*area.cells][1:] if at in sheet.cells] for area in areas}
        places = {place for cells in covered.values() for place in cells}
        if not places:
            continue
        page = workbook[sheet.title]
        for area in (area for area, cells in covered.items() if cells):
            page.unmerge_cells(area.coord)  # turns the covered cells into ordinary ones
            page.merged_cells.add(area.coord)
        first, last = min(places)[0], max(places)[0]
        for row in load_workbook(BytesIO(data), read_only=True)[sheet.title].iter_rows(first, last):
            for stored in row:
                if stored.value is not None and (stored.row, stored.column) in places:
                    cell = page.cell(stored.row, stored.column, stored.value)
                    cell.data_type, cell.number_format = stored.data_type, stored.number_format


def _add_mark(cell: Any, mark: mend_list.Mark) -> None:
    kept = [] if cell.comment is None else ["", cell.comment.text]
    cell.comment = Comment("\n".join([*mark.lines, *kept]), AUTHOR, height=COMMENT_HEIGHT, width=COMMENT_WIDTH)
    cell.fill, cell.border = FILLS[mark.is_fix], EDGES[mark.is_fix]
    if mark.is_fix:
        letters = copy(cell.font)
        letters.b = True
        cell.font = letters


def _remove_mark(cell: Any, former: Any) -> None:
    if cell.comment is None or not cell.comment.text.startswith(mend_list.MARK_PREFIXES):
        return
    kept = cell.comment.text.partition("\n\n")[2]  # what stood there before the mark
    cell.comment = Comment(kept, cell.comment.author) if kept else None
    mend_list.copy_look(former, cell)


def _with_styles_in_order(package: Package) -> bytes:
    """The file with its named styles renumbered without gaps.

    Programs leave gaps. The library drops unnamed styles and renumbers the rest, but not the references to them in
    ``cellXfs``, which would then point to another style or to none.
    """
    parts = package.unpacked()
    styles = {name: _renumbered(part) for name, part in parts.items() if name.lower() == STYLES_PART}
    return archived(parts | styles)


def _renumbered(styles: bytes) -> bytes:
    root = ET.fromstring(styles)  # noqa: S314 - the guard has refused document types in every part
    named = [(_number(style), style.get("name")) for style in root.iterfind(f"{MAIN}cellStyles/{MAIN}cellStyle")]
    names: dict[int, str | None] = {}
    for number, name in sorted(named, key=itemgetter(0)):  # the first of equal names or numbers counts
        if name not in names.values():
            names.setdefault(number, name)
    new_numbers = {number: str(place) for place, number in enumerate(names)}
    for style in root.iterfind(f"{MAIN}cellXfs/{MAIN}xf"):
        style.set("xfId", new_numbers.get(_number(style), "0"))
    return ET.tostring(root)


def _number(element: ET.Element) -> int:
    return int(element.get("xfId", "0"))


def _markable(workbook: Workbook, place: mend_list.At) -> Any:
    """The cell, or the first cell of the merged area it belongs to; None if there is no such sheet.

    A cell without a style gets its column's, so that what is typed there later is still formatted.
    """
    title, row, column = place
    page = workbook[title] if title in workbook.sheetnames else None
    if not isinstance(page, Worksheet):
        return None
    cell = page.cell(row, column)
    if isinstance(cell, MergedCell):
        area = next(area for area in page.merged_cells.ranges if cell.coordinate in area)
        return page.cell(area.min_row, area.min_col)
    if not cell.has_style:
        for columns in page.column_dimensions.values():
            if (columns.min or 0) <= column <= (columns.max or 0):
                mend_list.copy_look(columns, cell)
    return cell


def _holds_all(copied: RawBook, original: RawBook) -> bool:
    """Whether every cell kept its value; a formula may lose its stored result."""
    sheets = {sheet.title: sheet.cells for sheet in copied.sheets}
    return all(
        sheet.title in sheets and _is_same(cell, sheets[sheet.title].get(place))
        for sheet in original.sheets
        if sheet.title != MARKS_TITLE
        for place, cell in sheet.cells.items()
    )


def _is_same(cell: RawCell, other: RawCell | None) -> bool:
    if other is None or other.kind is Kind.NO_VALUE:
        return other is not None
    if isinstance(cell.value, float) and isinstance(other.value, float):
        return math.isclose(cell.value, other.value, rel_tol=1e-14)
    return cell.kind is other.kind and cell.value == other.value
