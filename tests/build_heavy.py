"""Makes workbooks that would keep a machine busy or fill its memory if nothing were counted, in both file formats.

Each comes small; what is outrageous is how much it asks for. The codes are those that refuse the file; ``read``
stands where it is read and checked like any other.
"""

from __future__ import annotations

import zipfile
from collections.abc import Callable, Iterator
from io import BytesIO

import build_ods
from build_bad import MAIN, RELATIONS, SHEET, packed, relations, sheet_xml, sound_parts, with_part, with_sheet
from build_ods import content, number, ods, parts_of, row, table, text, with_rows
from openpyxl.utils import get_column_letter

from wood_xl.schema.layout import HEADER_ROW
from wood_xl.schema.model import Sheet, season_definition

READ = "read"
BLANK = "<table:table-cell/>"


def _headers(sheet: Sheet) -> list[str]:
    return [column.header(column.metric, "EUR") for column in sheet.columns]


def _inline(address: str, words: str) -> str:
    return f'<c r="{address}" t="inlineStr"><is><t>{words}</t></is></c>'


def _season(sheet_id: str, rows: Iterator[str] | list[str], *, further: int = 0) -> bytes:
    """A workbook with the sheets that must be there, one of them with its header row and these rows below."""
    definition = season_definition()
    parts = sound_parts()
    sheets, targets = "", {}
    for number_, sheet in enumerate(definition.sheets, start=1):
        cells = "".join(
            _inline(f"{get_column_letter(i)}{HEADER_ROW}", title)
            for i, title in enumerate([*_headers(sheet), *["more"] * further], start=1)
        )
        head = f'<row r="{HEADER_ROW}">{cells}</row>'
        if sheet.kind == "items":
            head = f'<row r="{HEADER_ROW}">{_inline("A3", "Item")}{_inline("B3", "Value")}</row>'
        parts[f"xl/worksheets/s{number_}.xml"] = sheet_xml(head + "".join(rows if sheet.id == sheet_id else []))
        targets[f"rId{number_}"] = ("worksheet", f"worksheets/s{number_}.xml")
        sheets += f'<sheet name="{sheet.title}" sheetId="{number_}" r:id="rId{number_}"/>'
    targets |= {"rId90": ("sharedStrings", "sharedStrings.xml"), "rId91": ("styles", "styles.xml")}
    parts["xl/workbook.xml"] = f'<workbook xmlns="{MAIN}" xmlns:r="{RELATIONS}"><sheets>{sheets}</sheets></workbook>'
    parts["xl/_rels/workbook.xml.rels"] = relations(targets)
    del parts[SHEET]
    return packed(parts)


def _rows(count: int, cells: Callable[[int], str], *, first: int = HEADER_ROW + 1) -> Iterator[str]:
    for i in range(first, first + count):
        yield f'<row r="{i}">{cells(i)}</row>'


def _wide(row_number: int, columns: int, cell: Callable[[str], str]) -> str:
    cells = "".join(cell(f"{get_column_letter(i)}{row_number}") for i in range(1, columns + 1))
    return f'<row r="{row_number}">{cells}</row>'


def _many_sheets(count: int) -> bytes:
    sheets = "".join(f'<sheet name="S{i}" sheetId="{i}" r:id="rId1"/>' for i in range(count))
    book = f'<workbook xmlns="{MAIN}" xmlns:r="{RELATIONS}"><sheets>{sheets}</sheets></workbook>'
    return with_part("xl/workbook.xml", book)


def _many_names(count: int) -> bytes:
    return packed(sound_parts(names="".join(f'<definedName name="n{i}">1</definedName>' for i in range(count))))


def _texts(pieces: Iterator[str]) -> bytes:
    listed = "".join(f"<si><t>{piece}</t></si>" for piece in pieces)
    return with_part("xl/sharedStrings.xml", f'<sst xmlns="{MAIN}">{listed}</sst>')


def _filler(i: int, length: int) -> str:
    """A text that is not like another, and not so regular that the archive alone gives it away."""
    return (f"{i * 2654435761 % 4294967296:08x}" * (length // 8 + 1))[:length]


def _loose(build: Callable[[], bytes]) -> Callable[[], bytes]:
    """The same file with its parts stored unpacked, so that no ratio of sizes gives it away."""

    def built() -> bytes:
        with zipfile.ZipFile(BytesIO(build())) as archive:
            return packed({name: archive.read(name) for name in archive.namelist()}, method=zipfile.ZIP_STORED)

    return built


HEAVY_XLSX: dict[str, tuple[str, Callable[[], bytes]]] = {
    "a hundred thousand sheets": ("file-damaged", lambda: _many_sheets(100_000)),
    "fifty thousand names": ("file-damaged", lambda: _many_names(50_000)),
    "four hundred thousand styles": (
        "file-damaged",
        lambda: packed(sound_parts(formats='<xf numFmtId="0"/>' * 400_000)),
    ),
    "eleven million tags that mean nothing": ("file-damaged", lambda: with_sheet("<x/>" * 11_000_000)),
    "tags one in another": (READ, lambda: with_sheet("<x>" * 200_000 + "</x>" * 200_000)),
    "one tag with very many attributes": (
        READ,
        lambda: with_sheet("<row " + " ".join(f'a{i}="1"' for i in range(100_000)) + "/>"),
    ),
    "texts of a letter beyond the usual": (
        "file-damaged",
        lambda: _texts(_filler(i, 90_000) + "\U0001f332" for i in range(300)),
    ),
    "a million different texts": (READ, lambda: _texts(f"text {i}" for i in range(1_000_000))),
    "long texts in the cells": (
        "file-damaged",
        lambda: with_sheet("".join(_rows(300, lambda i: _inline(f"A{i}", _filler(i, 90_000))))),
    ),
    "long formulas without a value": (
        READ,
        lambda: with_sheet("".join(_rows(200, lambda i: f'<c r="A{i}"><f>{_filler(i, 90_000)}</f></c>'))),
    ),
    "long shared formulas": (
        READ,
        lambda: with_sheet(
            "".join(_rows(200, lambda i: f'<c r="A{i}"><f t="shared" si="{i}">{_filler(i, 90_000)}</f></c>'))
        ),
    ),
    "long errors": (
        READ,
        lambda: with_sheet("".join(_rows(200, lambda i: f'<c r="A{i}" t="e"><v>{_filler(i, 90_000)}</v></c>'))),
    ),
    "numbers of very many digits": (
        READ,
        lambda: with_sheet("".join(_rows(200, lambda i: f'<c r="A{i}"><v>{"9" * 90_000}.{i}</v></c>'))),
    ),
    "a million numbers on a sheet of another kind": (
        READ,
        lambda: with_sheet("".join(_rows(150_000, lambda i: f'<c r="A{i}"><v>{i}.5</v></c>' + _four(i)))),
    ),
    "every column of the sheet filled": (
        READ,
        lambda: with_sheet("".join(_wide(r, 16_384, lambda a: f'<c r="{a}"><v>1</v></c>') for r in range(1, 12))),
    ),
    "every column with a header of its own": (
        READ,
        lambda: _season("cuts", [_wide(2, 16_384, lambda a: _inline(a, "column " + a))]),
    ),
    "very many columns without a header": (
        READ,
        lambda: _season("cuts", [_wide(r, 16_384, lambda a: f'<c r="{a}"><v>1</v></c>') for r in range(4, 14)]),
    ),
    "headers of blanks": (
        READ,
        lambda: _season("cuts", [_wide(2, 200, lambda a: _inline(a, " " * 5_000 + "x"))]),
    ),
    "headers of brackets": (
        READ,
        lambda: _season("cuts", [_wide(2, 200, lambda a: _inline(a, "x [(" * 5_000))]),
    ),
    "long texts where numbers belong": (
        READ,
        lambda: _season("cuts", _rows(300, lambda i: _inline(f"B{i}", "1 " * 20_000 + str(i)))),
    ),
    "long digits where numbers belong": (
        READ,
        lambda: _season("cuts", _rows(300, lambda i: _inline(f"B{i}", "1" * 40_000 + f" x{i}"))),
    ),
    "long dates and times": (
        READ,
        lambda: _season(
            "sessions", _rows(300, lambda i: _inline(f"A{i}", f"s{i}") + _inline(f"B{i}", "2026-" * 9_000 + str(i)))
        ),
    ),
    "a fault in every one of very many rows": (
        READ,
        lambda: _season("cuts", _rows(20_000, lambda i: _inline(f"A{i}", f"s{i}") + _inline(f"B{i}", f"about {i}"))),
    ),
    "very many sessions of nobody": (
        READ,
        lambda: _season(
            "cuts", _rows(20_000, lambda i: _inline(f"A{i}", f"session {i}") + f'<c r="B{i}"><v>{i % 50 + 5}</v></c>')
        ),
    ),
    "rows far beyond the sheet's limit": (
        READ,
        lambda: _season("people", _rows(60_000, lambda i: _inline(f"A{i}", f"p{i}"))),
    ),
    "very many merged cells": (
        READ,
        lambda: with_sheet(
            "",
            after="<mergeCells>"
            + "".join(f'<mergeCell ref="A{i}:B{i}"/>' for i in range(1, 24_000))
            + "</mergeCells>",
        ),
    ),
    "very many columns that are hidden": (
        "file-damaged",
        lambda: with_sheet("", before="<cols>" + '<col min="1" max="16384" hidden="1"/>' * 20_000 + "</cols>"),
    ),
}


def _four(i: int) -> str:
    return "".join(
        f'<c r="{letter}{i}"><v>{i}.{letter_number}</v></c>' for letter_number, letter in enumerate("BCDEFGHI")
    )


def _ods(rows: str, *, before: str = "") -> Callable[[], bytes]:
    return lambda: with_rows(rows, before=before)


def _repeated(what: str, count: int) -> str:
    return f'table:number-{what}-repeated="{count}"'


HEAVY_ODS: dict[str, tuple[str, Callable[[], bytes]]] = {
    "a filled row a million times": (
        READ,
        _ods(row(number(1), _repeated("rows", 1_048_576))),
    ),
    "a filled row more often than there are rows": (
        "file-damaged",
        _ods(row(number(1), _repeated("rows", 1_048_577))),
    ),
    "a filled row a billion times": ("file-too-many-cells", _ods(row(number(1), _repeated("rows", 999_999_999)))),
    "a filled cell over the whole sheet": (
        "file-too-many-cells",
        _ods(row(number(1, _repeated("columns", 16_384)), _repeated("rows", 1_048_576))),
    ),
    "a filled cell in every column": (
        READ,
        _ods(row(number(1, _repeated("columns", 16_384)), _repeated("rows", 10))),
    ),
    "a filled cell in more columns than there are": (
        "file-damaged",
        _ods(row(number(1, _repeated("columns", 16_385)))),
    ),
    "blank cells over far more than the sheet": (
        READ,
        _ods(row(f"<table:table-cell {_repeated('columns', 999_999_999)}/>", _repeated("rows", 999_999_999)) * 1000),
    ),
    "merged cells over the whole sheet": (
        "file-range-too-large",
        _ods(row(number(1, 'table:number-columns-spanned="16384" table:number-rows-spanned="1048576"'))),
    ),
    "merged cells, a million times": (
        "file-range-too-large",
        _ods(row(number(1, 'table:number-columns-spanned="2"'), _repeated("rows", 1_000_000))),
    ),
    "hidden columns without end": (
        READ,
        _ods(
            "", before=f'<table:table-column table:visibility="collapse" {_repeated("columns", 999_999_999)}/>' * 5000
        ),
    ),
    "a billion blanks in a text": ("file-damaged", _ods(row(text('<text:s text:c="999999999"/>')))),
    "blanks in a text, again and again": ("file-damaged", _ods(row(text('<text:s text:c="90000"/>' * 300)))),
    "long texts of blanks": (
        "file-damaged",
        lambda: with_rows("".join(row(text(f'<text:s text:c="90000"/>{i}')) for i in range(300))),
    ),
    "very many paragraphs": ("file-damaged", _ods(row(text("</text:p><text:p>" * 200_000)))),
    "spans one in another": (READ, _ods(row(text("<text:span>" * 100_000 + "x" + "</text:span>" * 100_000)))),
    "groups one in another": (
        READ,
        _ods("<table:table-row-group>" * 100_000 + row(number(1)) + "</table:table-row-group>" * 100_000),
    ),
    "a hundred thousand sheets": ("file-damaged", lambda: ods(content("<table:table/>" * 100_000))),
    "two hundred thousand names": (
        "file-damaged",
        lambda: ods(
            content(
                table(""),
                after="".join(
                    f'<table:named-range table:name="n{i}" table:cell-range-address="$A.$A$1"/>'
                    for i in range(200_000)
                ),
            )
        ),
    ),
    "very many styles": (
        READ,
        lambda: ods(
            content(
                table(build_ods.SOUND_ROWS),
                styles="".join(
                    f'<style:style style:name="t{i}" style:family="table"><style:table-properties '
                    'table:display="false"/></style:style>'
                    for i in range(100_000)
                ),
            )
        ),
    ),
    "two million blank cells": ("file-too-many-cells", lambda: with_rows(row(BLANK * 1000) * 2_050)),
    "a million rows with a colour": (READ, lambda: with_rows("<table:table-row/>" * 1_000_000)),
    "eleven million tags that mean nothing": ("file-damaged", lambda: with_rows("<x/>" * 11_000_000)),
    "very many remarks": (
        READ,
        lambda: with_rows(
            row(
                "<table:table-cell><office:annotation><text:p>x</text:p></office:annotation></table:table-cell>"
                * 1000
            )
            * 100
        ),
    ),
    "numbers of very many digits": (
        READ,
        lambda: with_rows("".join(row(number("9" * 90_000 + f".{i}")) for i in range(100))),
    ),
    "long formulas without a value": (
        READ,
        lambda: with_rows(
            "".join(row(f'<table:table-cell table:formula="of:={_filler(i, 90_000)}"/>') for i in range(200))
        ),
    ),
    "long dates, times and errors": (
        READ,
        lambda: with_rows(
            "".join(
                row(
                    f'<table:table-cell office:value-type="date" office:date-value="{_filler(i, 90_000)}"/>'
                    f'<table:table-cell office:value-type="time" office:time-value="PT{_filler(i, 90_000)}"/>'
                    f'<table:table-cell office:value-type="time" office:time-value="PT{"1" * 90_000}S"/>'
                )
                for i in range(60)
            )
        ),
    ),
}

# Those that go by how far they expand.
BOMBS_ODS: dict[str, tuple[str, Callable[[], bytes]]] = {
    "bomb in a part that is not read": (
        "file-expands-too-much",
        lambda: packed(parts_of(content(table(""))) | {"styles.xml": "x" * 120_000_000}),
    ),
    "bomb of blanks": ("file-expands-too-much", lambda: with_rows(" " * 120_000_000)),
    "bomb of blank cells": ("file-expands-too-much", lambda: with_rows(row(BLANK * 1000) * 3000)),
}

CASES: dict[str, tuple[str, Callable[[], bytes]]] = {
    **{f"{name}.xlsx": (code, _loose(build)) for name, (code, build) in HEAVY_XLSX.items()},
    **{f"{name}.ods": (code, _loose(build)) for name, (code, build) in HEAVY_ODS.items()},
    **{f"{name}.ods": case for name, case in BOMBS_ODS.items()},
}
