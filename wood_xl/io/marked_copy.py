"""A copy of a filled workbook with the cells that need a look coloured and commented; the original is only read.

The copy is of the original's format. It is read again before it is handed out: nothing that was typed may be lost.
"""

from __future__ import annotations

import math
import re
import warnings
from collections.abc import Iterable, Mapping
from io import BytesIO
from operator import itemgetter
from pathlib import Path
from typing import Any, NamedTuple
from xml.etree import ElementTree as ET

from openpyxl import load_workbook
from openpyxl.cell import MergedCell
from openpyxl.comments import Comment
from openpyxl.styles import PatternFill
from openpyxl.worksheet.worksheet import Worksheet

from wood_xl.errors import UnreadableWorkbook
from wood_xl.io.guard import CONTENT_PART, MANIFEST_PART, file_bytes, is_open_document, package_of, shown_name
from wood_xl.io.ods import MACRO_FOLDERS
from wood_xl.io.ods_marks import marked_content
from wood_xl.io.pack import STYLES_PART, archived, packed
from wood_xl.io.package import ANY_FAULT, Package
from wood_xl.io.read_limits import MAX_COPIED_BYTES, MAX_COPIED_TAGS
from wood_xl.io.reader import book_of
from wood_xl.notes.problem import Level, Problem
from wood_xl.notes.raw import Kind, RawBook, RawCell

AUTHOR = "wood_xl"
MARK = PatternFill("solid", fgColor="FFD9D9D9")
COMMENT_WIDTH, COMMENT_HEIGHT = 320, 140
MOST_CELLS = 2000  # beyond this a marked copy helps nobody
SIGNATURES = "meta-inf/documentsignatures.xml"
MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"

_MACRO_ENTRY = re.compile(rb"<[^<>]*file-entry[^<>]*full-path=[\"'](?:Basic|Scripts)/[^<>]*/>", re.IGNORECASE)

Words = Mapping[tuple[str, int, int], list[str]]


class MarkedCopy(NamedTuple):
    """The copy's bytes and the ending of its name."""

    data: bytes
    suffix: str


def marked_copy(path: Path, problems: Iterable[Problem]) -> MarkedCopy:
    """The workbook with a grey fill and a comment at every cell with a FIX or LOOK.

    Raises UnreadableWorkbook (``file-not-copied``, ``file-too-large-to-copy``) rather than lose a cell.
    """
    name = shown_name(path)
    data = file_bytes(path)
    package = package_of(data, name)
    suffix = ".ods" if is_open_document(package.names()) else ".xlsx"
    too_large = UnreadableWorkbook("file-too-large-to-copy", file=name)
    if package.declared_bytes() > MAX_COPIED_BYTES[suffix]:
        raise too_large
    original = book_of(package, {})
    if package.tags > MAX_COPIED_TAGS[suffix]:
        raise too_large
    comments = _words_by_cell(problems)
    try:
        marked = _open_document(package, comments) if suffix == ".ods" else _xlsx(package, comments)
        read_again = book_of(package_of(marked, name), {})
    except ANY_FAULT as fault:  # on foreign files no list of exceptions has proved complete
        raise UnreadableWorkbook("file-not-copied", name=name) from fault
    if not _holds_all(read_again, original):
        raise UnreadableWorkbook("file-not-copied", name=name)
    return MarkedCopy(marked, suffix)


def _open_document(package: Package, words: Words) -> bytes:
    parts = {
        name: content
        for name, content in package.unpacked().items()
        if not name.lower().startswith(MACRO_FOLDERS) and name.lower() != SIGNATURES  # a signature no longer holds
    }
    if MANIFEST_PART in parts:
        parts[MANIFEST_PART] = _MACRO_ENTRY.sub(b"", parts[MANIFEST_PART])
    return archived(parts | {CONTENT_PART: marked_content(parts[CONTENT_PART], words, AUTHOR)})


def _xlsx(package: Package, words: Words) -> bytes:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        workbook = load_workbook(BytesIO(_with_styles_in_order(package)))
    for (title, row, column), lines in words.items():
        page = workbook[title] if title in workbook.sheetnames else None
        if isinstance(page, Worksheet):
            cell = _markable(page, row, column)
            kept = [] if cell.comment is None else ["", cell.comment.text]
            text = "\n".join([*lines, *kept])
            cell.fill = MARK
            cell.comment = Comment(text, AUTHOR, height=COMMENT_HEIGHT, width=COMMENT_WIDTH)
    return packed(workbook, is_own=False)


def _with_styles_in_order(package: Package) -> bytes:
    """The file with its named styles numbered without gaps.

    Programs number them with gaps. The library drops what no name stands for and counts the rest anew, but leaves the
    numbers in the cells' looks as they were: they would then name another style, or one that is not there.
    """
    parts = package.unpacked()
    for name in parts:
        if name.lower() == STYLES_PART:
            parts[name] = _renumbered(parts[name])
    return archived(parts)


def _renumbered(styles: bytes) -> bytes:
    root = ET.fromstring(styles)  # noqa: S314 - the guard has refused document types in every part
    named = [(_number(one), one.get("name")) for one in root.iterfind(f"{MAIN}cellStyles/{MAIN}cellStyle")]
    names: dict[int, str | None] = {}
    for number, name in sorted(named, key=itemgetter(0)):  # of one name or one number the first counts
        if name not in names.values():
            names.setdefault(number, name)
    places = {number: str(place) for place, number in enumerate(names)}
    for look in root.iterfind(f"{MAIN}cellXfs/{MAIN}xf"):
        look.set("xfId", places.get(_number(look), "0"))
    return ET.tostring(root)


def _number(element: ET.Element) -> int:
    return int(element.get("xfId", "0"))


def _markable(page: Worksheet, row: int, column: int) -> Any:
    """The cell, or the first of the merged cells that it is one of."""
    cell = page.cell(row, column)
    if not isinstance(cell, MergedCell):
        return cell
    area = next(area for area in page.merged_cells.ranges if cell.coordinate in area)
    return page.cell(area.min_row, area.min_col)


def _holds_all(copied: RawBook, original: RawBook) -> bool:
    """Whether every cell is there with its value; a formula may have lost the value that was stored beside it."""
    sheets = {sheet.title: sheet.cells for sheet in copied.sheets}
    return all(
        sheet.title in sheets and _is_same(cell, sheets[sheet.title].get(place))
        for sheet in original.sheets
        for place, cell in sheet.cells.items()
    )


def _is_same(cell: RawCell, other: RawCell | None) -> bool:
    if other is None or other.kind is Kind.NO_VALUE:
        return other is not None
    if isinstance(cell.value, float) and isinstance(other.value, float):
        return math.isclose(cell.value, other.value, rel_tol=1e-14)
    return cell.kind is other.kind and cell.value == other.value


def _words_by_cell(problems: Iterable[Problem]) -> dict[tuple[str, int, int], list[str]]:
    comments: dict[tuple[str, int, int], list[str]] = {}
    for fault in problems:
        row, column = fault.place.row, fault.place.column
        if fault.level not in (Level.FIX, Level.LOOK) or not fault.place.sheet or row is None:
            continue
        for at in range(row, (fault.last_row or row) + 1):
            if len(comments) < MOST_CELLS:
                key = (fault.place.sheet, at, column or 1)
                comments.setdefault(key, []).append(f"{fault.level.name}: {fault.text} {fault.mend}")
    return comments
