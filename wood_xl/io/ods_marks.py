"""Puts marks and comments on cells of an OpenDocument spreadsheet, and a list of them before its first sheet.

Every other byte stays as it is.

The content is not parsed into a tree and written out again: that loses what a library does not know. The places of
the rows and cells in question are looked up, and only their bytes are changed. A repeated row or cell is divided
where one of its repeats is marked.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import count
from typing import NamedTuple
from xml.parsers import expat
from xml.sax.saxutils import escape

from wood_xl.io.mend_list import FORMAT, FORMER_COLUMN, MARK_STARTS, At, Listed, Mark, OdsList
from wood_xl.io.ods import ASIDE, CELLS, OFFICE, STYLE, TABLE, TEXT
from wood_xl.io.package import Attributes
from wood_xl.notes.raw import RawBook
from wood_xl.schema.layout import MARKS_TITLE

DRAWING = "urn:oasis:names:tc:opendocument:xmlns:svg-compatible:1.0 "
DUBLIN_CORE = "http://purl.org/dc/elements/1.1/ "
FIX_FILL, LOOK_FILL = "#e8a090", "#fff2b3"
EDGES = {True: "2.5pt solid #1f1f1f", False: "1.5pt dashed #404040"}  # by whether it must be mended
COMMENT_SIZE = (("width", "8.5cm"), ("height", "3.7cm"))
PAPER_OF = "Sessions"  # the list is printed as this sheet is: it is as wide
MOST_BYTES = 300_000_000  # a row that is repeated and marked often is written out often

_TAG = re.compile(rb"<[^\s/>]+(?:\s+[^\s=/>]+\s*=\s*(?:\"[^\"]*\"|'[^']*'))*\s*/?>")


class _Change(NamedTuple):
    """What becomes of a cell: its mark, and the style that it had before an earlier mark; ``None`` is none."""

    mark: Mark | None
    former_style: str | None = None


class NotMarked(Exception):
    """The content is written in a way that this module does not change."""


@dataclass
class _Element:
    """Where an element stands in the bytes, and which rows or columns it stands for."""

    start: int
    first: int = 0
    last: int = 0
    style: str = ""  # of a cell; of a row or column the one for cells that name none
    end: int = 0
    closing: int = 0  # where the closing tag starts; the element's end if it has none
    # Of a row its cells, of a cell its comment, of that its lines.
    inside: list[_Element] = field(default_factory=list)


@dataclass
class _Row(_Element):
    title: str = ""
    marks: dict[int, dict[int, _Change]] = field(default_factory=dict)  # by row, then by column
    columns: list[_Element] = field(default_factory=list)


class _Places:
    def __init__(self, data: bytes, marks: Mapping[At, _Change]) -> None:
        self.rows: list[_Row] = []
        self.tables: dict[str, _Element] = {}  # sheets by title, in their order
        self.cell_styles: dict[str, _Element] = {}
        self.automatic_styles: _Element | None = None
        self.body = 0
        self.prefixes: dict[str, str] = {}  # by namespace, as declared at the root
        self._data = data
        self._marks: dict[str, dict[int, dict[int, _Change]]] = {}
        for (title, row, column), change in marks.items():
            self._marks.setdefault(title, {}).setdefault(row, {})[column] = change
        self._title = ""
        self._wanted: dict[int, dict[int, _Change]] = {}
        self._columns: list[_Element] = []
        self._row = 0
        self._stack: list[tuple[str, _Element | None]] = []
        self._skipped = 0  # how deep in something that is not looked at
        self._parser = expat.ParserCreate(None, " ")
        self._parser.StartNamespaceDeclHandler = self._declare
        self._parser.StartElementHandler = self._start
        self._parser.EndElementHandler = self._end
        self._parser.XmlDeclHandler = self._declared
        self._parser.Parse(data, True)

    def _declared(self, _version: str, encoding: str | None, _standalone: int) -> None:
        if (encoding or "utf-8").lower() not in ("utf-8", "us-ascii"):
            raise NotMarked

    def _declare(self, prefix: str | None, uri: str) -> None:
        if not self._stack and prefix:
            self.prefixes.setdefault(f"{uri} ", prefix)

    def _start(self, name: str, attributes: Attributes) -> None:
        parent, above = self._stack[-1] if self._stack else ("", None)
        if self._skipped or name in ASIDE or (parent in CELLS and name != OFFICE + "annotation"):
            self._skipped += 1
        else:
            self._stack.append((name, self._element(name, attributes, parent, above)))

    def _element(self, name: str, attributes: Attributes, parent: str, above: _Element | None) -> _Element | None:
        element: _Element | None = None
        at = self._parser.CurrentByteIndex
        if name in CELLS and isinstance(above, _Row):
            element = self._columns_at(at, attributes, above.inside, TABLE + "style-name")
        elif (name == OFFICE + "annotation" and above is not None and parent in CELLS) or (
            name == TEXT + "p" and above is not None and parent == OFFICE + "annotation"
        ):
            element = _Element(at)
            above.inside.append(element)
        elif name == TABLE + "table-row":
            element = self._start_row(at, attributes)
        elif name == TABLE + "table-column":
            self._columns_at(at, attributes, self._columns, TABLE + "default-cell-style-name")
        elif name == TABLE + "table" and parent == OFFICE + "spreadsheet":
            self._title = attributes.get(TABLE + "name", "")
            self._wanted = self._marks.get(self._title, {})
            self._columns, self._row = [], 0
            element = _Element(at, style=attributes.get(TABLE + "style-name", ""))
            self.tables.setdefault(self._title, element)
        elif name == STYLE + "style" and parent == OFFICE + "automatic-styles":
            if attributes.get(STYLE + "family") == "table-cell":
                element = self.cell_styles[attributes.get(STYLE + "name", "")] = _Element(at)
        elif name == OFFICE + "automatic-styles":
            element = self.automatic_styles = _Element(at)
        elif name == OFFICE + "body":
            self.body = at
        return element

    def _end(self, name: str) -> None:
        if self._skipped:
            self._skipped -= 1
            return
        _, element = self._stack.pop()
        if element is not None:
            element.closing = element.end = _tag_at(self._data, element.start).end()
            if not self._data.endswith(b"/>", element.start, element.end):
                element.closing = self._parser.CurrentByteIndex
                element.end = self._data.index(b">", element.closing) + 1
        if name == TABLE + "table" and self._stack and self._stack[-1][0] == OFFICE + "spreadsheet":
            self._wanted = {}

    def _start_row(self, at: int, attributes: Attributes) -> _Row | None:
        first, self._row = self._row + 1, self._row + int(attributes.get(TABLE + "number-rows-repeated", "1"))
        marks = {row: columns for row, columns in self._wanted.items() if first <= row <= self._row}
        if not marks:
            return None
        style = attributes.get(TABLE + "default-cell-style-name", "")
        row = _Row(at, first, self._row, style, title=self._title, marks=marks, columns=self._columns)
        self.rows.append(row)
        return row

    @staticmethod
    def _columns_at(at: int, attributes: Attributes, after: list[_Element], style: str) -> _Element:
        first = after[-1].last + 1 if after else 1
        last = first + int(attributes.get(TABLE + "number-columns-repeated", "1")) - 1
        element = _Element(at, first, last, attributes.get(style, ""))
        after.append(element)
        return element


class _Writer:
    def __init__(self, data: bytes, places: _Places, author: str) -> None:
        # Names and elements by the style that a cell had, and whether it must be mended.
        self.styles: dict[tuple[str, bool], tuple[str, bytes]] = {}
        self.bases: dict[At, str] = {}  # styles of the marked cells without the mark
        used = (number for number in count(1) if f"wood_xl_{number}_".encode() not in data)
        self.own = f"wood_xl_{next(used)}"  # starts the names of styles
        self._data = data
        self._places = places
        self._author = author

    def name(self, name: str) -> str:
        """A name with the prefix that the file gives its namespace."""
        namespace, space, local = name.rpartition(" ")
        prefix = self._places.prefixes.get(namespace + space)
        if prefix is None:
            raise NotMarked
        return f"{prefix}:{local}"

    def row(self, row: _Row) -> bytes:
        """A row with its marks, divided if it is repeated."""
        return self._divided(row, "rows", row.marks, lambda number: self._marked_row(row, number))

    def _divided(self, element: _Element, what: str, marked: Iterable[int], write: Callable[[int], bytes]) -> bytes:
        """A row or cell, as ``write`` has it where it is marked, and else repeated as it is."""
        raw, at, pieces = self._data[element.start : element.end], element.first, []
        for number in sorted(marked):
            pieces += [self._repeated(raw, what, number - at), write(number)]
            at = number + 1
        return b"".join([*pieces, self._repeated(raw, what, element.last - at + 1)])

    def _marked_row(self, row: _Row, number: int) -> bytes:
        marks = row.marks[number]
        opening, body_start, closing = self._opened(row)
        pieces = [self._with(opening, TABLE + "number-rows-repeated", None)]
        done, at = 0, body_start
        for cell in row.inside:
            pieces.append(self._data[at : cell.start])
            within = [column for column in marks if cell.first <= column <= cell.last]
            noted = partial(self._noted, cell, row, number)
            raw = self._data[cell.start : cell.end]
            pieces.append(self._divided(cell, "columns", within, noted) if within else raw)
            done, at = cell.last, cell.end
        no_cell = f"<{self.name(TABLE + 'table-cell')}/>".encode()
        for column in sorted(column for column in marks if column > done):
            pieces.append(self._repeated(no_cell, "columns", column - done - 1))
            pieces.append(self._noted(None, row, number, column))
            done = column
        return b"".join([*pieces, self._data[at : row.closing], closing])

    def _noted(self, cell: _Element | None, row: _Row, number: int, column: int) -> bytes:
        """One cell with its mark, or without one; a comment that is there stays, below ours."""
        opening, start = f"<{self.name(TABLE + 'table-cell')}>".encode(), 0
        if cell is not None:
            opening, start, _ = self._opened(cell)
        tag, closing = self._with(opening, TABLE + "number-columns-repeated", None), self._close(opening)
        tag = self._with(tag, TABLE + "style-name", self._style(cell, row, number, column) or None)
        mark = row.marks[number][column].mark
        lines = self._paragraphs(mark.lines if mark else ())
        if cell is None or not cell.inside:
            body = b"" if cell is None else self._data[start : cell.closing]
            return tag + (self._comment(lines) if lines else b"") + body + closing
        comment = cell.inside[0]
        kept = [line for line in comment.inside if not self._text_of(line).startswith(MARK_STARTS)]
        comment_opening, comment_start, comment_closing = self._opened(comment)
        lines_start = comment.inside[0].start if comment.inside else comment.closing
        kept_start = kept[0].start if kept else comment.closing
        head, rest = self._data[comment_start:lines_start], self._data[kept_start : comment.closing]
        written = comment_opening + head + lines + rest + comment_closing if lines or kept else b""
        before = self._data[start : comment.start]
        return tag + before + written + self._data[comment.end : cell.closing] + closing

    def _text_of(self, line: _Element) -> str:
        return re.sub(rb"<[^<>]*>", b"", self._data[line.start : line.end]).decode().lstrip()

    def _comment(self, lines: bytes) -> bytes:
        comment = self.name(OFFICE + "annotation")
        size = "".join(f' {self.name(DRAWING + side)}="{length}"' for side, length in COMMENT_SIZE)
        creator = self.name(DUBLIN_CORE + "creator")
        head = f"<{comment}{size}><{creator}>{escape(self._author)}</{creator}>".encode()
        return head + lines + f"</{comment}>".encode()

    def _paragraphs(self, lines: Iterable[str]) -> bytes:
        tag = self.name(TEXT + "p")
        return "".join(f"<{tag}>{escape(line)}</{tag}>" for line in lines).encode()

    def _style(self, cell: _Element | None, row: _Row, number: int, column: int) -> str:
        """Name of the style that is otherwise as the cell's own; of the cell's own where no mark is wanted."""
        mark, former_style = row.marks[number][column]
        own = former_style if former_style is not None else cell.style if cell else ""
        default = next((one.style for one in row.columns if one.first <= column <= one.last), "")
        base = own or row.style or default
        self.bases[row.title, number, column] = base
        if mark is None:
            return own
        key = (base, mark.is_fix)
        if key not in self.styles:
            name = f"{self.own}_mark_{len(self.styles) + 1}"
            self.styles[key] = name, self._marked_style(base, name, is_fix=mark.is_fix)
        return self.styles[key][0]

    def _marked_style(self, base: str, name: str, *, is_fix: bool) -> bytes:
        place = self._places.cell_styles.get(base)
        style = self.name(STYLE + "style")
        if place is None:
            parent = f' {self.name(STYLE + "parent-style-name")}="{escape(base)}"' if base else ""
            family = f'{self.name(STYLE + "name")}="{name}" {self.name(STYLE + "family")}="table-cell"{parent}'
            opening, body, closing = f"<{style} {family}>".encode(), b"", f"</{style}>".encode()
        else:
            own, start, closing = self._opened(place)
            opening, body = self._with(own, STYLE + "name", name), self._data[start : place.closing]
        fill = {FORMAT + "background-color": FIX_FILL if is_fix else LOOK_FILL}
        sides = dict.fromkeys(f"{FORMAT}border-{side}" for side in ("left", "right", "top", "bottom"))
        looks = {STYLE + "table-cell-properties": fill | sides | {FORMAT + "border": EDGES[is_fix]}}
        if is_fix:
            looks[STYLE + "text-properties"] = {FORMAT + "font-weight": "bold"}
        for properties, attributes in looks.items():
            body = self._with_properties(body, properties, attributes)
        return opening + body + closing

    def _with_properties(self, body: bytes, properties: str, attributes: Mapping[str, str | None]) -> bytes:
        tag = self.name(properties).encode()
        match = re.search(rb"<" + re.escape(tag) + rb"(?=[\s/>])", body)
        found = b"<" + tag + b"/>" if match is None else _tag_at(body, match.start()).group()
        start = (0 if properties.endswith("cell-properties") else len(body)) if match is None else match.start()
        end = start if match is None else start + len(found)
        for name, value in attributes.items():
            found = self._with(found, name, value)
        return body[:start] + found + body[end:]

    def _opened(self, element: _Element) -> tuple[bytes, int, bytes]:
        """Opening tag, where the inside starts, closing tag; also of an element that is one tag for both."""
        tag = _tag_at(self._data, element.start)
        opening = tag.group()
        if opening.endswith(b"/>"):
            return opening[:-2] + b">", element.end, self._close(opening)
        return opening, tag.end(), self._data[element.closing : element.end]

    @staticmethod
    def _close(opening: bytes) -> bytes:
        return b"</" + re.split(rb"[\s/>]", opening[1:], maxsplit=1)[0] + b">"

    def _repeated(self, raw: bytes, what: str, count: int) -> bytes:
        """So many of a row or cell; nothing for none."""
        if count < 1:
            return b""
        tag, value = _tag_at(raw, 0), str(count) if count > 1 else None
        return self._with(tag.group(), f"{TABLE}number-{what}-repeated", value) + raw[tag.end() :]

    def _with(self, tag: bytes, name: str, value: str | None) -> bytes:
        written = self.name(name).encode()
        bare = re.sub(rb"\s+" + re.escape(written) + rb"\s*=\s*(?:\"[^\"]*\"|'[^']*')", b"", tag)
        if value is None:
            return bare
        end = -2 if bare.endswith(b"/>") else -1
        return bare[:end] + b" " + written + b'="' + escape(value, {'"': "&quot;"}).encode() + b'"' + bare[end:]


def marked_content(
    data: bytes,
    marks: Mapping[At, Mark],
    rows: Sequence[Listed],
    former: Mapping[At, int],
    author: str,
    book: RawBook,
) -> bytes:
    """The content part, which has been read before as ``book``, with its marks and their list before its first sheet.

    former: cells that are marked already, with the row of the list that is there.

    Raises NotMarked if it is in another encoding than UTF-8, or declares namespaces elsewhere than at the root.
    """
    former_styles = _former_styles(data, former)
    changes = {place: _Change(marks.get(place), former_styles.get(place)) for place in (*marks, *former)}
    places = _Places(data, changes)
    writer = _Writer(data, places, author)
    edits = [(row.start, row.end, writer.row(row)) for row in places.rows]
    if sum(len(new) for _, _, new in edits) > MOST_BYTES:
        raise NotMarked
    styles = b"".join(element for _, element in writer.styles.values())
    earlier = places.tables.get(MARKS_TITLE)
    if former and earlier is not None:
        edits.append((earlier.start, earlier.end, b""))
    if rows:
        listing = OdsList(writer.name, writer.own)
        pages = [table.style for title, table in places.tables.items() if title == PAPER_OF]
        cells = {sheet.title: sheet.cells for sheet in book.sheets}
        values = {at: cell for at in marks if at[0] in cells and (cell := cells[at[0]].get(at[1:]))}
        table = listing.table(rows, "".join(pages), writer.bases, values)
        first = min(table.start for table in places.tables.values())
        edits.append((first, first, table))
        styles += listing.styles()
    if styles:
        edits.append(_style_edit(places, writer, styles))
    pieces, at = [], 0
    for start, end, new in sorted(edits):
        pieces += [data[at:start], new]
        at = end
    return b"".join([*pieces, data[at:]])


def _former_styles(data: bytes, former: Mapping[At, int]) -> dict[At, str]:
    """Styles of cells before they were marked, which the list of then has."""
    wanted = {(MARKS_TITLE, row, FORMER_COLUMN): _Change(None) for row in former.values()}
    styles = {
        number: next((cell.style for cell in row.inside if cell.first <= FORMER_COLUMN <= cell.last), "")
        for row in _Places(data, wanted).rows
        for number in row.marks
    }
    return {place: styles.get(row, "") for place, row in former.items()}


def _style_edit(places: _Places, writer: _Writer, styles: bytes) -> tuple[int, int, bytes]:
    place = places.automatic_styles
    tag = writer.name(OFFICE + "automatic-styles").encode()
    whole = b"<" + tag + b">" + styles + b"</" + tag + b">"
    if place is None:
        return places.body, places.body, whole
    if place.closing == place.end:
        return place.start, place.end, whole
    return place.closing, place.closing, styles


def _tag_at(data: bytes, at: int) -> re.Match[bytes]:
    match = _TAG.match(data, at)
    if match is None:
        raise NotMarked
    return match
