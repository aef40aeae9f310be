"""The list of a marked copy as a table of an OpenDocument spreadsheet."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from xml.sax.saxutils import escape, quoteattr

from wood_xl.io import looks
from wood_xl.io.mend_list import CELL_COLUMN, HEADERS, WIDTHS, At, Listed
from wood_xl.io.ods import OFFICE, STYLE, TABLE, TEXT
from wood_xl.notes.problem import Level
from wood_xl.notes.raw import Kind, RawCell
from wood_xl.pages import InMarked
from wood_xl.schema.layout import MARKS_TITLE
from wood_xl.schema.words import words

FORMAT = "urn:oasis:names:tc:opendocument:xmlns:xsl-fo-compatible:1.0 "
LINKS = "http://www.w3.org/1999/xlink"
CM_PER_WIDTH = 0.2

Naming = Callable[[str], str]


class OdsList:
    """Writes the table and its styles. ``name`` gives a name the file's own prefix, ``own`` starts style names."""

    def __init__(self, name: Naming, own: str) -> None:
        self._name = name
        self._own = own

    def styles(self) -> bytes:
        """The table's styles: its columns, its rows, and the cells of each role."""
        fill = f"#{looks.RESULT_FILL}"
        cells = {
            "text": self._cell_look({}),
            "bold": self._cell_look({FORMAT + "font-weight": "bold"}),
            "head": self._cell_look({FORMAT + "font-weight": "bold"}, {FORMAT + "background-color": fill}),
            "title": self._cell_look({FORMAT + "font-weight": "bold", FORMAT + "font-size": "15pt"}),
        }
        found = [self._style(role, "table-cell", inside) for role, inside in cells.items()]
        for number, width in enumerate(WIDTHS):
            sized = {STYLE + "column-width": f"{width * CM_PER_WIDTH:.2f}cm"}
            properties = self._empty(STYLE + "table-column-properties", sized)
            found.append(self._style(f"column_{number}", "table-column", properties))
        optimal = self._empty(STYLE + "table-row-properties", {STYLE + "use-optimal-row-height": "true"})
        return "".join([*found, self._style("row", "table-row", optimal)]).encode()

    def table(
        self, rows: Sequence[Listed], page: str, looks_before: Mapping[At, str], values: Mapping[At, RawCell]
    ) -> bytes:
        """The table. ``page`` is the style of a sheet whose paper it takes, if there is one."""
        style = {TABLE + "style-name": page} if page else {}
        columns = "".join(
            self._empty(TABLE + "table-column", {TABLE + "style-name": self._named(f"column_{number}")})
            for number in range(len(WIDTHS))
        )
        head = self._row("".join(self._text(words(part), "head") for part in HEADERS))
        body = "".join(self._listed(row, looks_before, values) for row in rows)
        table = self._name(TABLE + "table")
        headers = self._name(TABLE + "table-header-rows")
        return (
            f"{self._tag(TABLE + 'table', {TABLE + 'name': MARKS_TITLE, **style})}{columns}"
            f"{self._wide(MARKS_TITLE, 'title')}{self._wide(words(InMarked.HELP), 'text')}"
            f"<{headers}>{head}</{headers}>{body}</{table}>"
        ).encode()

    def _listed(self, row: Listed, looks_before: Mapping[At, str], values: Mapping[At, RawCell]) -> str:
        level = row.texts[0]
        cells = [self._text(level, "text" if level == Level.LOOK.name else "bold")]
        cells += [
            self._text(text, "text", row if column == CELL_COLUMN else None)
            for column, text in enumerate(row.texts[1:], start=2)
        ]
        if row.at is not None:
            cells.append(self._before(looks_before.get(row.at, ""), values.get(row.at)))
        return self._row("".join(cells))

    def _before(self, style: str, value: RawCell | None) -> str:
        look = {TABLE + "style-name": style} if style else {}
        if value is None or value.kind is Kind.NO_VALUE:
            return self._empty(TABLE + "table-cell", look)
        shown = value.as_shown or str(value.value)
        kind = {OFFICE + "value-type": "string"}
        if value.kind is Kind.NUMBER:
            kind = {OFFICE + "value-type": "float", OFFICE + "value": repr(value.value)}
        return self._cell(look | kind, escape(shown))

    def _wide(self, text: str, role: str) -> str:
        over = {TABLE + "number-columns-spanned": str(len(WIDTHS)), TABLE + "number-rows-spanned": "1"}
        covered = {TABLE + "number-columns-repeated": str(len(WIDTHS) - 1)}
        cell = self._cell(self._of_role(role) | over, escape(text))
        return self._row(cell + self._empty(TABLE + "covered-table-cell", covered))

    def _text(self, text: str, role: str, link: Listed | None = None) -> str:
        inside = escape(text)
        if link is not None and link.at is not None:
            title, cell = link.target
            anchor = self._name(TEXT + "a")
            target = quoteattr(f"#${_quoted(title)}.{cell}")
            inside = f'<{anchor} xmlns:xlink="{LINKS}" xlink:type="simple" xlink:href={target}>{inside}</{anchor}>'
        return self._cell(self._of_role(role), inside)

    def _of_role(self, role: str) -> dict[str, str]:
        return {OFFICE + "value-type": "string", TABLE + "style-name": self._named(role)}

    def _cell(self, attributes: Mapping[str, str], inside: str) -> str:
        paragraph = self._name(TEXT + "p")
        cell = self._name(TABLE + "table-cell")
        return f"{self._tag(TABLE + 'table-cell', attributes)}<{paragraph}>{inside}</{paragraph}></{cell}>"

    def _row(self, cells: str) -> str:
        row = self._name(TABLE + "table-row")
        return f"{self._tag(TABLE + 'table-row', {TABLE + 'style-name': self._named('row')})}{cells}</{row}>"

    def _cell_look(self, letters: Mapping[str, str], more: Mapping[str, str] | None = None) -> str:
        wraps = {FORMAT + "wrap-option": "wrap", STYLE + "vertical-align": "top", **(more or {})}
        return self._empty(STYLE + "table-cell-properties", wraps) + self._empty(STYLE + "text-properties", letters)

    def _style(self, role: str, family: str, inside: str) -> str:
        attributes = {STYLE + "name": self._named(role), STYLE + "family": family}
        return f"{self._tag(STYLE + 'style', attributes)}{inside}</{self._name(STYLE + 'style')}>"

    def _named(self, role: str) -> str:
        return f"{self._own}_{role}"

    def _tag(self, name: str, attributes: Mapping[str, str], *, end: str = ">") -> str:
        told = "".join(f" {self._name(key)}={quoteattr(value)}" for key, value in attributes.items())
        return f"<{self._name(name)}{told}{end}"

    def _empty(self, name: str, attributes: Mapping[str, str]) -> str:
        return self._tag(name, attributes, end="/>")


def _quoted(title: str) -> str:
    return title if title.isalnum() else "'" + title.replace("'", "''") + "'"
