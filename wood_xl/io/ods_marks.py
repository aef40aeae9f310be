"""Puts a grey fill and a comment on cells of an OpenDocument spreadsheet and leaves every other byte as it is.

The content is not parsed into a tree and written out again: that loses what a library does not know. The places of
the rows and cells in question are looked up, and only their bytes are changed. A repeated row or cell is divided
where one of its repeats is marked.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from xml.parsers import expat
from xml.sax.saxutils import escape

from wood_xl.io.ods import ASIDE, CELLS, OFFICE, STYLE, TABLE, TEXT
from wood_xl.io.package import Attributes

FORMAT = "urn:oasis:names:tc:opendocument:xmlns:xsl-fo-compatible:1.0 "
DRAWING = "urn:oasis:names:tc:opendocument:xmlns:svg-compatible:1.0 "
DUBLIN_CORE = "http://purl.org/dc/elements/1.1/ "
GREY = "#d9d9d9"
COMMENT_SIZE = (("width", "8.5cm"), ("height", "3.7cm"))
STYLE_NAME = "wood_xl_mark"
MOST_BYTES = 300_000_000  # a row that is repeated and marked often is written out often

_TAG = re.compile(rb"<[^\s/>]+(?:\s+[^\s=/>]+\s*=\s*(?:\"[^\"]*\"|'[^']*'))*\s*/?>")

Marks = Mapping[tuple[str, int, int], Iterable[str]]


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
    closing: int = 0  # where the closing tag starts; the element's start if it has none
    inside: list[_Element] = field(
        default_factory=list
    )  # of a row its cells, of a cell its comment, of that its lines


@dataclass
class _Row(_Element):
    marks: dict[int, dict[int, Iterable[str]]] = field(default_factory=dict)  # by row, then by column
    columns: list[_Element] = field(default_factory=list)


class _Places:
    """Finds the places in one pass."""

    def __init__(self, data: bytes, marks: Marks) -> None:
        self.rows: list[_Row] = []
        self.cell_styles: dict[str, _Element] = {}
        self.automatic_styles: _Element | None = None
        self.body = 0
        self.prefixes: dict[str, str] = {}  # by namespace, as declared at the root
        self._data = data
        self._marks: dict[str, dict[int, dict[int, Iterable[str]]]] = {}
        for (title, row, column), words in marks.items():
            self._marks.setdefault(title, {}).setdefault(row, {})[column] = words
        self._wanted: dict[int, dict[int, Iterable[str]]] = {}
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
        """The element if its place will be needed."""
        element: _Element | None = None
        at = self._parser.CurrentByteIndex
        if name in CELLS and isinstance(above, _Row):
            element = self._repeated(at, attributes, "columns", above.inside, TABLE + "style-name")
        elif (name == OFFICE + "annotation" and above is not None and parent in CELLS) or (
            name == TEXT + "p" and above is not None and parent == OFFICE + "annotation"
        ):
            element = _Element(at)
            above.inside.append(element)
        elif name == TABLE + "table-row":
            element = self._start_row(at, attributes)
        elif name == TABLE + "table-column":
            self._repeated(at, attributes, "columns", self._columns, TABLE + "default-cell-style-name")
        elif name == TABLE + "table" and parent == OFFICE + "spreadsheet":
            self._wanted = self._marks.get(attributes.get(TABLE + "name", ""), {})
            self._columns, self._row = [], 0
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
            tag = _tag_at(self._data, element.start)
            if tag.group().endswith(b"/>"):
                element.closing, element.end = element.start, tag.end()
            else:
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
        row = _Row(at, first, self._row, style, marks=marks, columns=self._columns)
        self.rows.append(row)
        return row

    @staticmethod
    def _repeated(at: int, attributes: Attributes, what: str, after: list[_Element], style: str) -> _Element:
        first = after[-1].last + 1 if after else 1
        last = first + int(attributes.get(f"{TABLE}number-{what}-repeated", "1")) - 1
        element = _Element(at, first, last, attributes.get(style, ""))
        after.append(element)
        return element


class _Writer:
    """Writes the marked rows and the styles they need."""

    def __init__(self, data: bytes, places: _Places, author: str) -> None:
        self.styles: dict[str, bytes] = {}  # by the style that a cell had
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
        raw = self._data[row.start : row.end]
        pieces = []
        at = row.first
        for number in sorted(row.marks):
            if number > at:
                pieces.append(self._repeated(raw, "rows", number - at))
            pieces.append(self._marked_row(row, row.marks[number]))
            at = number + 1
        if at <= row.last:
            pieces.append(self._repeated(raw, "rows", row.last - at + 1))
        return b"".join(pieces)

    def _marked_row(self, row: _Row, marks: dict[int, Iterable[str]]) -> bytes:
        opening, body_start, closing = self._opened(row)
        pieces = [self._with(opening, TABLE + "number-rows-repeated", None)]
        done, at = 0, body_start
        for cell in row.inside:
            pieces.append(self._data[at : cell.start])
            within = {column: words for column, words in marks.items() if cell.first <= column <= cell.last}
            pieces.append(self._cell(cell, within, row) if within else self._data[cell.start : cell.end])
            done, at = cell.last, cell.end
        for column in sorted(column for column in marks if column > done):
            tag = f"<{self.name(TABLE + 'table-cell')}/>".encode()
            if column - done > 1:
                pieces.append(self._repeated(tag, "columns", column - done - 1))
            pieces.append(self._marked_cell(tag, b"", self._style("", row, column), marks[column]))
            done = column
        pieces += [self._data[at : row.closing] if row.closing > at else b"", closing]
        return b"".join(pieces)

    def _cell(self, cell: _Element, marks: dict[int, Iterable[str]], row: _Row) -> bytes:
        raw = self._data[cell.start : cell.end]
        pieces = []
        at = cell.first
        for column in sorted(marks):
            if column > at:
                pieces.append(self._repeated(raw, "columns", column - at))
            pieces.append(self._noted(cell, self._style(cell.style, row, column), marks[column]))
            at = column + 1
        if at <= cell.last:
            pieces.append(self._repeated(raw, "columns", cell.last - at + 1))
        return b"".join(pieces)

    def _noted(self, cell: _Element, style: str, words: Iterable[str]) -> bytes:
        """One cell with its mark; a comment that is there stays, below ours."""
        opening, body_start, _ = self._opened(cell)
        body = self._data[body_start : cell.closing] if cell.closing > cell.start else b""
        if not cell.inside:
            return self._marked_cell(opening, body, style, words)
        comment = cell.inside[0]
        comment_opening, comment_start, comment_closing = self._opened(comment)
        kept_end = max(comment.closing, comment_start)
        lines_start = comment.inside[0].start if comment.inside else kept_end
        body = (
            self._data[body_start : comment.start]
            + comment_opening
            + self._data[comment_start:lines_start]
            + self._paragraphs(words)
            + self._data[lines_start:kept_end]
            + comment_closing
            + self._data[comment.end : cell.closing]
        )
        return self._styled(opening, style) + body + self._close(opening)

    def _marked_cell(self, opening: bytes, body: bytes, style: str, words: Iterable[str]) -> bytes:
        tag = self._styled(opening.replace(b"/>", b">") if opening.endswith(b"/>") else opening, style)
        comment = self.name(OFFICE + "annotation")
        size = "".join(f' {self.name(DRAWING + side)}="{length}"' for side, length in COMMENT_SIZE)
        creator = self.name(DUBLIN_CORE + "creator")
        head = f"<{comment}{size}><{creator}>{escape(self._author)}</{creator}>".encode()
        return tag + head + self._paragraphs(words) + f"</{comment}>".encode() + body + self._close(opening)

    def _paragraphs(self, words: Iterable[str]) -> bytes:
        tag = self.name(TEXT + "p")
        return "".join(f"<{tag}>{escape(line)}</{tag}>" for line in words).encode()

    def _styled(self, opening: bytes, style: str) -> bytes:
        tag = self._with(opening, TABLE + "number-columns-repeated", None)
        return self._with(tag, TABLE + "style-name", style)

    def _style(self, own_style: str, row: _Row, column: int) -> str:
        """Name of the grey style that is otherwise as the cell's own."""
        default = next((one.style for one in row.columns if one.first <= column <= one.last), "")
        base = own_style or row.style or default
        name = f"{STYLE_NAME}_{len(self.styles) + 1}"
        if base not in self.styles:
            self.styles[base] = self._grey(base, name)
            return name
        return f"{STYLE_NAME}_{list(self.styles).index(base) + 1}"

    def _grey(self, base: str, name: str) -> bytes:
        properties = self.name(STYLE + "table-cell-properties")
        fill = f'<{properties} {self.name(FORMAT + "background-color")}="{GREY}"/>'.encode()
        place = self._places.cell_styles.get(base)
        style = self.name(STYLE + "style")
        if place is None:
            parent = f' {self.name(STYLE + "parent-style-name")}="{escape(base)}"' if base else ""
            family = f'{self.name(STYLE + "name")}="{name}" {self.name(STYLE + "family")}="table-cell"{parent}'
            return f"<{style} {family}>".encode() + fill + f"</{style}>".encode()
        opening, body_start, closing = self._opened(place)
        body = self._data[body_start : place.closing] if place.closing > place.start else b""
        match = re.search(rb"<" + re.escape(properties.encode()) + rb"(?=[\s/>])", body)
        if match is None:
            body = fill + body
        else:
            tag = _tag_at(body, match.start())
            grey = self._with(tag.group(), FORMAT + "background-color", GREY)
            body = body[: tag.start()] + grey + body[tag.end() :]
        return self._with(opening, STYLE + "name", name) + body + closing

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
        tag = _tag_at(raw, 0)
        value = str(count) if count > 1 else None
        return self._with(tag.group(), f"{TABLE}number-{what}-repeated", value) + raw[tag.end() :]

    def _with(self, tag: bytes, name: str, value: str | None) -> bytes:
        """A tag with an attribute set, or taken out."""
        written = self.name(name).encode()
        bare = re.sub(rb"\s+" + re.escape(written) + rb"\s*=\s*(?:\"[^\"]*\"|'[^']*')", b"", tag)
        if value is None:
            return bare
        end = -2 if bare.endswith(b"/>") else -1
        return bare[:end] + b" " + written + b'="' + escape(value, {'"': "&quot;"}).encode() + b'"' + bare[end:]


def marked_content(data: bytes, marks: Marks, author: str) -> bytes:
    """The content part, which has been read before, with its marks: the lines of a comment by sheet, row and column.

    Raises NotMarked if it is in another encoding than UTF-8, or declares namespaces elsewhere than at the root.
    """
    places = _Places(data, marks)
    writer = _Writer(data, places, author)
    edits = [(row.start, row.end, writer.row(row)) for row in places.rows]
    if sum(len(new) for _, _, new in edits) > MOST_BYTES:
        raise NotMarked
    styles = b"".join(writer.styles.values())
    if styles:
        edits.append(_style_edit(places, writer, styles))
    return b"".join(_applied(data, sorted(edits)))


def _style_edit(places: _Places, writer: _Writer, styles: bytes) -> tuple[int, int, bytes]:
    place = places.automatic_styles
    tag = writer.name(OFFICE + "automatic-styles").encode()
    whole = b"<" + tag + b">" + styles + b"</" + tag + b">"
    if place is None:
        return places.body, places.body, whole
    if place.closing == place.start:
        return place.start, place.end, whole
    return place.closing, place.closing, styles


def _applied(data: bytes, edits: list[tuple[int, int, bytes]]) -> Iterator[bytes]:
    at = 0
    for start, end, new in edits:
        yield data[at:start]
        yield new
        at = end
    yield data[at:]


def _tag_at(data: bytes, at: int) -> re.Match[bytes]:
    match = _TAG.match(data, at)
    if match is None:
        raise NotMarked
    return match
