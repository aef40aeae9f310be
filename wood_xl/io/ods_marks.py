"""Adds marks, comments and the list of problems to an OpenDocument spreadsheet; every other byte stays.

Parsing the content into a tree and writing it again would lose whatever a library does not know. Instead we look up
where the rows and cells stand in the bytes and edit only those. A repeated row or cell is split where one of its
repeats gets a mark.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Set
from dataclasses import dataclass, field
from functools import partial
from itertools import count
from xml.parsers import expat
from xml.sax.saxutils import escape

from wood_xl.io.mend_list import FORMAT, FORMER_COLUMN, MARK_PREFIXES, At, MarkPlan, OdsList
from wood_xl.io.ods import ASIDE, CELLS, OFFICE, STYLE, TABLE, TEXT
from wood_xl.io.package import Attributes
from wood_xl.notes.raw import RawBook
from wood_xl.schema.layout import MARKS_TITLE

DRAWING = "urn:oasis:names:tc:opendocument:xmlns:svg-compatible:1.0 "
DUBLIN_CORE = "http://purl.org/dc/elements/1.1/ "
FIX_FILL, LOOK_FILL = "#e8a090", "#fff2b3"
EDGES = {True: "2.5pt solid #1f1f1f", False: "1.5pt dashed #404040"}  # FIX, LOOK
COMMENT_SIZE = (("width", "8.5cm"), ("height", "3.7cm"))
PAPER_SHEET = "Sessions"  # the list prints with the page style of this sheet, which is as wide
MAX_ROW_BYTES = 300_000_000  # a repeated row is written out once for each mark in it

_TAG = re.compile(rb"<[^\s/>]+(?:\s+[^\s=/>]+\s*=\s*(?:\"[^\"]*\"|'[^']*'))*\s*/?>")


class NotMarked(Exception):
    """The content is written in a way that this module cannot edit."""


@dataclass
class _Element:
    """Where an element stands in the bytes, and which rows or columns it covers."""

    start: int
    first: int = 0
    last: int = 0
    style: str = ""  # of a cell; of a row or column, the style of cells that name none
    end: int = 0
    closing: int = 0  # where the closing tag starts; the element's end if it has none
    children: list[_Element] = field(default_factory=list)  # cells of a row, comment of a cell, lines of a comment


@dataclass
class _Row(_Element):
    title: str = ""
    wanted: dict[int, set[int]] = field(default_factory=dict)  # columns by row
    columns: list[_Element] = field(default_factory=list)


class _Places:
    """Finds the rows that hold the wanted cells, and what else has to be edited."""

    def __init__(self, data: bytes, wanted: Set[At]) -> None:
        self.rows: list[_Row] = []
        self.tables: dict[str, _Element] = {}  # sheets by title, in order
        self.cell_styles: dict[str, _Element] = {}
        self.automatic_styles: _Element | None = None
        self.body = 0
        self.prefixes: dict[str, str] = {}  # by namespace, as declared at the root
        self._data = data
        self._wanted: dict[str, dict[int, set[int]]] = {}
        for title, row, column in wanted:
            self._wanted.setdefault(title, {}).setdefault(row, set()).add(column)
        self._title = ""
        self._rows_wanted: dict[int, set[int]] = {}  # of the sheet that is being read
        self._columns: list[_Element] = []
        self._row = 0
        self._stack: list[tuple[str, _Element | None]] = []
        self._skip_depth = 0  # of tags in an element that is not read
        self._parser = expat.ParserCreate(None, " ")
        self._parser.StartNamespaceDeclHandler = self._add_prefix
        self._parser.StartElementHandler = self._start
        self._parser.EndElementHandler = self._end
        self._parser.XmlDeclHandler = self._check_encoding
        self._parser.Parse(data, True)

    def _check_encoding(self, _version: str, encoding: str | None, _standalone: int) -> None:
        if (encoding or "utf-8").lower() not in ("utf-8", "us-ascii"):
            raise NotMarked

    def _add_prefix(self, prefix: str | None, uri: str) -> None:
        if not self._stack and prefix:
            self.prefixes.setdefault(f"{uri} ", prefix)

    def _start(self, name: str, attributes: Attributes) -> None:
        parent, above = self._stack[-1] if self._stack else ("", None)
        if self._skip_depth or name in ASIDE or (parent in CELLS and name != OFFICE + "annotation"):
            self._skip_depth += 1
        else:
            self._stack.append((name, self._element(name, attributes, parent, above)))

    def _element(self, name: str, attributes: Attributes, parent: str, above: _Element | None) -> _Element | None:
        """The element if it is one that may be edited."""
        element: _Element | None = None
        at = self._parser.CurrentByteIndex
        if name in CELLS and isinstance(above, _Row):
            element = self._add_columns(at, attributes, above.children, TABLE + "style-name")
        elif (name == OFFICE + "annotation" and above is not None and parent in CELLS) or (
            name == TEXT + "p" and above is not None and parent == OFFICE + "annotation"
        ):
            element = _Element(at)
            above.children.append(element)
        elif name == TABLE + "table-row":
            element = self._start_row(at, attributes)
        elif name == TABLE + "table-column":
            self._add_columns(at, attributes, self._columns, TABLE + "default-cell-style-name")
        elif name == TABLE + "table" and parent == OFFICE + "spreadsheet":
            self._title = attributes.get(TABLE + "name", "")
            self._rows_wanted = self._wanted.get(self._title, {})
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
        if self._skip_depth:
            self._skip_depth -= 1
            return
        _, element = self._stack.pop()
        if element is not None:
            element.closing = element.end = _tag_at(self._data, element.start).end()
            if not self._data.endswith(b"/>", element.start, element.end):
                element.closing = self._parser.CurrentByteIndex
                element.end = self._data.index(b">", element.closing) + 1
        if name == TABLE + "table" and self._stack and self._stack[-1][0] == OFFICE + "spreadsheet":
            self._rows_wanted = {}

    def _start_row(self, at: int, attributes: Attributes) -> _Row | None:
        first, self._row = self._row + 1, self._row + int(attributes.get(TABLE + "number-rows-repeated", "1"))
        wanted = {row: columns for row, columns in self._rows_wanted.items() if first <= row <= self._row}
        if not wanted:
            return None
        style = attributes.get(TABLE + "default-cell-style-name", "")
        row = _Row(at, first, self._row, style, title=self._title, wanted=wanted, columns=self._columns)
        self.rows.append(row)
        return row

    @staticmethod
    def _add_columns(at: int, attributes: Attributes, before: list[_Element], style: str) -> _Element:
        """Append a cell, or a column, to those before it."""
        first = before[-1].last + 1 if before else 1
        last = first + int(attributes.get(TABLE + "number-columns-repeated", "1")) - 1
        element = _Element(at, first, last, attributes.get(style, ""))
        before.append(element)
        return element


class _Writer:
    """Writes the rows with their marks, and collects the styles that they need."""

    def __init__(
        self, data: bytes, places: _Places, plan: MarkPlan, former_styles: Mapping[At, str], author: str
    ) -> None:
        self.styles: dict[tuple[str, bool], tuple[str, bytes]] = {}  # name and element, by former style and FIX
        self.unmarked_styles: dict[At, str] = {}  # of the marked cells
        used = (number for number in count(1) if f"wood_xl_{number}_".encode() not in data)
        self.style_prefix = f"wood_xl_{next(used)}"
        self._data = data
        self._places = places
        self._marks = plan.marks
        self._former_styles = former_styles
        self._author = author

    def name(self, name: str) -> str:
        """A name with the prefix that the file gives its namespace."""
        namespace, space, local = name.rpartition(" ")
        prefix = self._places.prefixes.get(namespace + space)
        if prefix is None:
            raise NotMarked
        return f"{prefix}:{local}"

    def row(self, row: _Row) -> bytes:
        """A row with its marks, split if it is repeated."""
        return self._split(row, "rows", row.wanted, partial(self._marked_row, row))

    def _split(self, element: _Element, unit: str, marked: Iterable[int], write: Callable[[int], bytes]) -> bytes:
        """A repeated row or cell, written by ``write`` where it is marked and left as it is elsewhere."""
        raw, at, pieces = self._data[element.start : element.end], element.first, []
        for number in sorted(marked):
            pieces += [self._repeated(raw, unit, number - at), write(number)]
            at = number + 1
        return b"".join([*pieces, self._repeated(raw, unit, element.last - at + 1)])

    def _marked_row(self, row: _Row, number: int) -> bytes:
        columns = row.wanted[number]
        opening, body_start, closing = self._opened(row)
        pieces = [self._with(opening, TABLE + "number-rows-repeated", None)]
        done, at = 0, body_start
        for cell in row.children:
            pieces.append(self._data[at : cell.start])
            marked = [column for column in columns if cell.first <= column <= cell.last]
            raw = self._data[cell.start : cell.end]
            write = partial(self._marked_cell, cell, row, number)
            pieces.append(self._split(cell, "columns", marked, write) if marked else raw)
            done, at = cell.last, cell.end
        no_cell = f"<{self.name(TABLE + 'table-cell')}/>".encode()
        for column in sorted(column for column in columns if column > done):
            pieces.append(self._repeated(no_cell, "columns", column - done - 1))
            pieces.append(self._marked_cell(None, row, number, column))
            done = column
        return b"".join([*pieces, self._data[at : row.closing], closing])

    def _marked_cell(self, cell: _Element | None, row: _Row, number: int, column: int) -> bytes:
        """One cell with its new mark, or with the former mark removed; the user's comment stays, below ours."""
        opening, start = f"<{self.name(TABLE + 'table-cell')}>".encode(), 0
        if cell is not None:
            opening, start, _ = self._opened(cell)
        tag, closing = self._with(opening, TABLE + "number-columns-repeated", None), self._close(opening)
        tag = self._with(tag, TABLE + "style-name", self._style(cell, row, number, column) or None)
        mark = self._marks.get((row.title, number, column))
        lines = self._paragraphs(mark.lines if mark else ())
        if cell is None or not cell.children:
            body = b"" if cell is None else self._data[start : cell.closing]
            return tag + (self._comment(lines) if lines else b"") + body + closing
        comment = cell.children[0]
        kept = [line for line in comment.children if not self._text_of(line).startswith(MARK_PREFIXES)]
        comment_opening, comment_start, comment_closing = self._opened(comment)
        lines_start = comment.children[0].start if comment.children else comment.closing
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
        """Name of the marked style that is otherwise like the cell's own; of its own style if it gets no mark."""
        at = row.title, number, column
        mark = self._marks.get(at)
        own = self._former_styles.get(at, cell.style if cell else "")
        base = own or row.style or _style_at(row.columns, column)
        self.unmarked_styles[at] = base
        if mark is None:
            return own
        key = (base, mark.is_fix)
        if key not in self.styles:
            name = f"{self.style_prefix}_mark_{len(self.styles) + 1}"
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
        """Opening tag, start of the content and closing tag, also of an element without content."""
        tag = _tag_at(self._data, element.start)
        opening = tag.group()
        if opening.endswith(b"/>"):
            return opening[:-2] + b">", element.end, self._close(opening)
        return opening, tag.end(), self._data[element.closing : element.end]

    @staticmethod
    def _close(opening: bytes) -> bytes:
        return b"</" + re.split(rb"[\s/>]", opening[1:], maxsplit=1)[0] + b">"

    def _repeated(self, raw: bytes, unit: str, count: int) -> bytes:
        """A row or cell, repeated that often."""
        if count < 1:
            return b""
        tag, value = _tag_at(raw, 0), str(count) if count > 1 else None
        return self._with(tag.group(), f"{TABLE}number-{unit}-repeated", value) + raw[tag.end() :]

    def _with(self, tag: bytes, name: str, value: str | None) -> bytes:
        """A tag with one attribute set, or removed."""
        written = self.name(name).encode()
        bare = re.sub(rb"\s+" + re.escape(written) + rb"\s*=\s*(?:\"[^\"]*\"|'[^']*')", b"", tag)
        if value is None:
            return bare
        end = -2 if bare.endswith(b"/>") else -1
        return bare[:end] + b" " + written + b'="' + escape(value, {'"': "&quot;"}).encode() + b'"' + bare[end:]


def marked_content(data: bytes, plan: MarkPlan, author: str, book: RawBook) -> bytes:
    """The content part with its marks, and their list before its first sheet; ``book`` is what was read from it.

    Raises NotMarked if it is in another encoding than UTF-8, or declares namespaces elsewhere than at the root.
    """
    list_cells = {(MARKS_TITLE, row, FORMER_COLUMN) for row in plan.former.values()}
    places = _Places(data, {*plan.marks, *plan.former, *list_cells})
    writer = _Writer(data, places, plan, _former_styles(places, plan.former), author)
    edits = [
        (row.start, row.end, writer.row(row)) for row in places.rows if not plan.former or row.title != MARKS_TITLE
    ]
    if sum(len(new) for _, _, new in edits) > MAX_ROW_BYTES:
        raise NotMarked
    styles = b"".join(element for _, element in writer.styles.values())
    earlier = places.tables.get(MARKS_TITLE)
    if plan.former and earlier is not None:
        edits.append((earlier.start, earlier.end, b""))
    if plan.rows:
        listing = OdsList(writer.name, writer.style_prefix)
        page_style = places.tables[PAPER_SHEET].style if PAPER_SHEET in places.tables else ""
        cells = {sheet.title: sheet.cells for sheet in book.sheets}
        values = {at: cell for at in plan.marks if at[0] in cells and (cell := cells[at[0]].get(at[1:]))}
        table = listing.table(plan.rows, page_style, writer.unmarked_styles, values)
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


def _former_styles(places: _Places, former: Mapping[At, int]) -> dict[At, str]:
    """Styles of marked cells before they were marked, as the earlier list kept them."""
    list_rows = [row for row in places.rows if row.title == MARKS_TITLE]
    styles = {number: _style_at(row.children, FORMER_COLUMN) for row in list_rows for number in row.wanted}
    return {place: styles.get(row, "") for place, row in former.items()}


def _style_at(elements: Iterable[_Element], column: int) -> str:
    return next((element.style for element in elements if element.first <= column <= element.last), "")


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
