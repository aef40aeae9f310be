"""Reads a workbook file into raw cells; nothing is judged here.

The .xlsx family is read with the standard library alone, in one pass over each sheet. An untrusted file needs that
pass anyway, to enforce the limits. It also sees what openpyxl's read-only mode leaves out (hidden rows, merged cells,
formulas beside their values), in about half the time. Macros, links and embedded objects are never touched.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from wood_xl.errors import UnreadableWorkbook
from wood_xl.io.guard import is_open_document, open_package
from wood_xl.io.limits import row_limit
from wood_xl.io.package import Attributes, Package, PartHandler, local_name
from wood_xl.io.package_parts import Relation, SharedTexts, WorkbookPart, number_formats, relations_of
from wood_xl.io.sheet_part import Budget, CellContext, SheetCells, SheetPart, cell_range
from wood_xl.notes.raw import Kind, RawBook, RawSheet
from wood_xl.page_texts import InFile
from wood_xl.schema.layout import VERSION_NAME
from wood_xl.schema.words import phrase, words

# How each format writes a name that stands for one cell: quoted title, plain title, cell.
_ONE_ODS_CELL = re.compile(r"\$?(?:'((?:[^']|'')+)'|([^'.\[\]]+))\.(\$?[A-Z]{1,3}\$?[0-9]{1,7})")
_ONE_CELL = re.compile(r"(?:'((?:[^']|'')+)'|([^'!\[\]]+))!(\$?[A-Z]{1,3}\$?[0-9]{1,7})")
_SAVED = {
    "docprops/core.xml": re.compile(rb"modified\b[^>]*>\s*(\d{4}-\d{2}-\d{2}T[\d:]*)"),
    "meta.xml": re.compile(rb"<dc:date>\s*(\d{4}-\d{2}-\d{2}T[\d:]*)"),
}


def read_workbook(path: Path, *, row_limits: Mapping[str, int] | None = None) -> RawBook:
    """Read a filled workbook: .xlsx, .xlsm or .ods, by its bytes, not by its name.

    row_limits: filled rows below the header to read, by sheet title in ``casefold`` form; see ``row_limit``.

    Hidden rows are listed only if they hold something.
    """
    return book_of(open_package(path), row_limits or {})


def book_of(package: Package, row_limits: Mapping[str, int]) -> RawBook:
    """The workbook in a package that passed the guard; see ``read_workbook``."""
    if is_open_document(package.names()):
        from wood_xl.io.ods import read_content

        content, notes = read_content(package, row_limits)
        version = _template_version(content.names, _ONE_ODS_CELL, content.sheets)
        return RawBook(tuple(content.sheets), package.sha256, version, tuple(notes), _saved(package))
    main_part = _linked(relations_of(package, ""), "officeDocument")
    if not main_part:
        raise package.damaged("it does not say which of its parts is the workbook")
    workbook, shared = WorkbookPart(package), SharedTexts(package)
    package.parse(main_part, workbook)
    relations = relations_of(package, main_part)
    by_id = {relation.id: relation for relation in relations}
    if (texts_part := _linked(relations, "sharedStrings")) is not None:
        package.parse(texts_part, shared)
    styles_part = _linked(relations, "styles")
    formats = [] if styles_part is None else number_formats(package, styles_part)
    context = CellContext(Budget(package), shared.texts, formats, workbook.from_1904)
    sheets: list[RawSheet] = []
    notes = _notes_on_parts(package)
    for entry in workbook.sheets:
        relation = by_id.get(entry.relation)
        if relation is None or not relation.part:
            raise package.damaged(f'the part of sheet "{entry.title}" is missing')
        if relation.kind != "worksheet":
            notes.append(phrase(InFile.NO_CELLS, title=entry.title))
            continue
        cells = SheetCells(entry.title, row_limit(entry.title, row_limits))
        package.parse(relation.part, SheetPart(cells, context))
        sheets.append(cells.sheet(hidden=entry.hidden))
    if not sheets:
        raise UnreadableWorkbook("file-no-sheets", file=package.file)
    _inspect_unread(context.budget)
    version = _template_version(workbook.names, _ONE_CELL, sheets)
    return RawBook(tuple(sheets), package.sha256, version, tuple(notes), _saved(package))


def _saved(package: Package) -> str | None:
    """When the workbook was last saved, as it says itself."""
    for part, saved in _SAVED.items():
        if package.has(part):
            match = saved.search(next(package.pieces(part), b""))
            return match[1].decode("ascii") if match else None
    return None


def _linked(relations: Iterable[Relation], kind: str) -> str | None:
    """The part that the first relation of a kind points to; None if there is none."""
    return next((relation.part for relation in relations if relation.kind == kind), None)


def _notes_on_parts(package: Package) -> list[str]:
    names = package.names()
    noted = (
        (InFile.MACROS, any(name.endswith("vbaproject.bin") for name in names)),
        (InFile.LINKS, any(name.startswith("xl/externallinks/") for name in names)),
        (InFile.CONNECTIONS, "xl/connections.xml" in names),
        (InFile.EMBEDDED, any(name.startswith(("xl/embeddings/", "xl/activex/")) for name in names)),
    )
    return [words(note) for note, holds in noted if holds]


class _Comments(PartHandler):
    """Counts the cells of comments: other readers make an object for each."""

    def __init__(self, budget: Budget) -> None:
        self._budget = budget

    def start(self, name: str, attributes: Attributes) -> None:
        if local_name(name) == "comment":
            area = cell_range(attributes.get("ref", ""))
            if area is None:
                raise self._budget.package.damaged("it has a comment on a cell that does not exist")
            self._budget.count_range(area, f"it has a comment over {attributes['ref']}")


def _inspect_unread(budget: Budget) -> None:
    package = budget.package
    for name in package.unread():
        if name.startswith("xl/") and "comments" in name and name.endswith(".xml") and "threaded" not in name:
            package.parse(name, _Comments(budget))
        else:
            package.inspect(name)


def _template_version(names: Mapping[str, str], one_cell: re.Pattern[str], sheets: Sequence[RawSheet]) -> str | None:
    """The template's version; None if the workbook does not say. ``names`` are in ``casefold`` form."""
    meaning = names.get(VERSION_NAME.casefold())
    if not meaning:
        return None
    match = one_cell.fullmatch(meaning)
    if not match:
        return meaning.removeprefix("of:").removeprefix("=").strip('"') or None
    title = (match[1] or "").replace("''", "'") or match[2]
    area = cell_range(match[3])
    cell = None
    for sheet in sheets:
        if area and sheet.title.casefold() == title.casefold():
            cell = sheet.cells.get(area[:2])
    if cell is None or cell.kind not in (Kind.TEXT, Kind.NUMBER):
        return None
    return f"{cell.value:g}" if isinstance(cell.value, float) else str(cell.value).strip() or None
