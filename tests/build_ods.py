"""Makes OpenDocument spreadsheets part by part, sound ones and bad ones, as bytes."""

from __future__ import annotations

import datetime as dt
import re
from xml.sax.saxutils import escape

from build_bad import Parts, packed
from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

NAMESPACE = "urn:oasis:names:tc:opendocument:xmlns"
MIMETYPE = "application/vnd.oasis.opendocument.spreadsheet"
SPACES = (
    f'xmlns:office="{NAMESPACE}:office:1.0" xmlns:table="{NAMESPACE}:table:1.0" xmlns:text="{NAMESPACE}:text:1.0" '
    f'xmlns:style="{NAMESPACE}:style:1.0" xmlns:draw="{NAMESPACE}:drawing:1.0" '
    f'xmlns:fo="{NAMESPACE}:xsl-fo-compatible:1.0" xmlns:svg="{NAMESPACE}:svg-compatible:1.0" '
    f'xmlns:of="{NAMESPACE}:of:1.2" '
    'xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xlink="http://www.w3.org/1999/xlink" '
    'xmlns:calcext="urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0"'
)
MANIFEST = (
    f'<manifest:manifest xmlns:manifest="{NAMESPACE}:manifest:1.0">'
    f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{MIMETYPE}"/>'
    '<manifest:file-entry manifest:full-path="content.xml" manifest:media-type="text/xml"/>{more}</manifest:manifest>'
)

_BLANK = re.compile("^ | (?= )| $")  # a blank that XML would drop


def text(words: str, attributes: str = "") -> str:
    """A cell with a text."""
    return f'<table:table-cell office:value-type="string" {attributes}><text:p>{words}</text:p></table:table-cell>'


def number(value: float | str, attributes: str = "") -> str:
    """A cell with a plain number."""
    return (
        f'<table:table-cell office:value-type="float" office:value="{value}" {attributes}>'
        f"<text:p>{value}</text:p></table:table-cell>"
    )


def row(cells: str, attributes: str = "") -> str:
    """A row of cells."""
    return f"<table:table-row {attributes}>{cells}</table:table-row>"


SOUND_ROWS = row(text("Session")) + row(number(12.5))


def table(rows: str, *, title: str = "Sessions", attributes: str = "", before: str = "") -> str:
    """A sheet of rows."""
    return f'<table:table table:name="{title}" {attributes}>{before}{rows}</table:table>'


def content(tables: str, *, styles: str = "", after: str = "") -> str:
    """The part that holds the sheets."""
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<office:document-content {SPACES} office:version="1.3">'
        f"<office:automatic-styles>{styles}</office:automatic-styles>"
        f"<office:body><office:spreadsheet>{tables}{after}</office:spreadsheet></office:body></office:document-content>"
    )


def parts_of(xml: str | bytes) -> Parts:
    """The parts of a small file around its content."""
    return {
        "mimetype": MIMETYPE,
        "content.xml": xml,
        "META-INF/manifest.xml": MANIFEST.format(more=""),
        "styles.xml": f"<office:document-styles {SPACES}/>",
    }


def ods(xml: str | bytes) -> bytes:
    """A file with this content."""
    return packed(parts_of(xml))


def with_rows(rows: str, *, before: str = "") -> bytes:
    """A file with one sheet, Sessions."""
    return ods(content(table(rows, before=before)))


def from_workbook(workbook: Workbook) -> bytes:
    """A workbook of the library's with its texts, numbers, dates and names, as a spreadsheet program saves it."""
    tables = "".join(table(_rows(page), title=escape(page.title)) for page in workbook.worksheets)
    names = "".join(
        f'<table:named-range table:name="{name}" table:cell-range-address="{_address(defined.attr_text)}"/>'
        for name, defined in workbook.defined_names.items()
    )
    return ods(content(tables, after=f"<table:named-expressions>{names}</table:named-expressions>"))


def _rows(page: Worksheet) -> str:
    return "".join(row("".join(_cell(cell.value) for cell in cells)) for cells in page.iter_rows())


def _cell(value: object) -> str:
    if value is None:
        return "<table:table-cell/>"
    if isinstance(value, dt.date):
        day = value.isoformat()[:10]
        return (
            f'<table:table-cell office:value-type="date" office:date-value="{day}"><text:p>{day}</text:p>'
            "</table:table-cell>"
        )
    if isinstance(value, str):
        lines = [_BLANK.sub("<text:s/>", line).replace("\t", "<text:tab/>") for line in escape(value).split("\n")]
        return text("</text:p><text:p>".join(lines))
    if isinstance(value, bool):
        truth = str(value).lower()
        return f'<table:table-cell office:value-type="boolean" office:boolean-value="{truth}"/>'
    return number(repr(value))


def _address(meaning: str) -> str:
    sheet, _, cell = meaning.rpartition("!")
    return f"${sheet}.{cell}"
