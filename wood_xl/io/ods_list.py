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
        """The table's styles: the cells of each role, its columns and its rows."""
        bold, fill = {FORMAT + "font-weight": "bold"}, {FORMAT + "background-color": f"#{looks.RESULT_FILL}"}
        title = bold | {FORMAT + "font-size": "15pt"}
        found = []
        for role, letters in {"text": {}, "bold": bold, "head": bold, "title": title}.items():
            wraps = {FORMAT + "wrap-option": "wrap", STYLE + "vertical-align": "top"}
            cells = {"table-cell": wraps | fill if role == "head" else wraps, "text": letters}
            found.append(self._style(role, "table-cell", cells))
        for number, width in enumerate(WIDTHS):
            sized = {STYLE + "column-width": f"{width * CM_PER_WIDTH:.2f}cm"}
            found.append(self._style(f"column_{number}", "table-column", {"table-column": sized}))
        optimal = {"table-row": {STYLE + "use-optimal-row-height": "true"}}
        return "".join([*found, self._style("row", "table-row", optimal)]).encode()

    def table(
        self, rows: Sequence[Listed], page: str, looks_before: Mapping[At, str], values: Mapping[At, RawCell]
    ) -> bytes:
        """The table. ``page`` is the style of a sheet whose paper it takes, if there is one."""
        columns = [self._element(TABLE + "table-column", self._look(f"column_{at}")) for at in range(len(WIDTHS))]
        wide = [self._wide(MARKS_TITLE, "title"), self._wide(words(InMarked.HELP), "text")]
        head = self._row([self._text(words(part), "head") for part in HEADERS])
        body = [self._listed(row, looks_before, values) for row in rows]
        inside = [*columns, *wide, self._element(TABLE + "table-header-rows", {}, head), *body]
        style = {TABLE + "style-name": page} if page else {}
        return self._element(TABLE + "table", {TABLE + "name": MARKS_TITLE, **style}, "".join(inside)).encode()

    def _listed(self, row: Listed, looks_before: Mapping[At, str], values: Mapping[At, RawCell]) -> str:
        level = row.texts[0]
        cells = [self._text(level, "text" if level == Level.LOOK.name else "bold")]
        cells += [
            self._text(text, "text", row if column == CELL_COLUMN else None)
            for column, text in enumerate(row.texts[1:], start=2)
        ]
        if row.at is not None:
            cells.append(self._before(looks_before.get(row.at, ""), values.get(row.at)))
        return self._row(cells)

    def _before(self, style: str, value: RawCell | None) -> str:
        look = {TABLE + "style-name": style} if style else {}
        if value is None or value.kind is Kind.NO_VALUE:
            return self._element(TABLE + "table-cell", look)
        kind = {OFFICE + "value-type": "string"}
        if value.kind is Kind.NUMBER:
            kind = {OFFICE + "value-type": "float", OFFICE + "value": repr(value.value)}
        return self._cell(look | kind, escape(value.as_shown or str(value.value)))

    def _wide(self, text: str, role: str) -> str:
        over = {TABLE + "number-columns-spanned": str(len(WIDTHS)), TABLE + "number-rows-spanned": "1"}
        covered = {TABLE + "number-columns-repeated": str(len(WIDTHS) - 1)}
        return self._row([self._text(text, role, over=over), self._element(TABLE + "covered-table-cell", covered)])

    def _text(self, text: str, role: str, link: Listed | None = None, over: Mapping[str, str] | None = None) -> str:
        inside = escape(text)
        if link is not None and link.at is not None:
            title, cell = link.target
            anchor = self._name(TEXT + "a")
            target = quoteattr(f"#${_quoted(title)}.{cell}")
            inside = f'<{anchor} xmlns:xlink="{LINKS}" xlink:type="simple" xlink:href={target}>{inside}</{anchor}>'
        return self._cell({OFFICE + "value-type": "string", **self._look(role), **(over or {})}, inside)

    def _cell(self, attributes: Mapping[str, str], inside: str) -> str:
        return self._element(TABLE + "table-cell", attributes, self._element(TEXT + "p", {}, inside))

    def _row(self, cells: Sequence[str]) -> str:
        return self._element(TABLE + "table-row", self._look("row"), "".join(cells))

    def _look(self, role: str) -> dict[str, str]:
        return {TABLE + "style-name": f"{self._own}_{role}"}

    def _style(self, role: str, family: str, properties: Mapping[str, Mapping[str, str]]) -> str:
        told = [self._element(f"{STYLE}{what}-properties", values) for what, values in properties.items()]
        named = {STYLE + "name": f"{self._own}_{role}", STYLE + "family": family}
        return self._element(STYLE + "style", named, "".join(told))

    def _element(self, name: str, attributes: Mapping[str, str], inside: str | None = None) -> str:
        tag = self._name(name)
        told = "".join(f" {self._name(key)}={quoteattr(value)}" for key, value in attributes.items())
        return f"<{tag}{told}/>" if inside is None else f"<{tag}{told}>{inside}</{tag}>"


def _quoted(title: str) -> str:
    return title if title.isalnum() else "'" + title.replace("'", "''") + "'"
