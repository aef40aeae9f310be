"""Makes workbooks part by part, sound ones and bad ones, as bytes."""

from __future__ import annotations

import struct
import zipfile
import zlib
from collections.abc import Callable, Mapping
from io import BytesIO

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006"
HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
SHEET = "xl/worksheets/sheet1.xml"

Parts = dict[str, str | bytes]


def sheet_xml(rows: str, *, before: str = "", after: str = "", dimension: str = "A1:B2") -> str:
    """A sheet's part around its rows."""
    return (
        f'{HEAD}<worksheet xmlns="{MAIN}" xmlns:r="{RELATIONS}"><dimension ref="{dimension}"/>{before}'
        f"<sheetData>{rows}</sheetData>{after}</worksheet>"
    )


SOUND_ROWS = '<row r="1"><c r="A1" t="s"><v>0</v></c></row><row r="2"><c r="A2"><v>12.5</v></c></row>'


def sound_parts(rows: str = SOUND_ROWS, *, names: str = "", settings: str = "", formats: str = "") -> Parts:
    """The parts of a small sound workbook with one sheet, Sessions."""
    kinds = "application/vnd.openxmlformats-officedocument.spreadsheetml"
    overrides = {
        "/xl/workbook.xml": f"{kinds}.sheet.main+xml",
        f"/{SHEET}": f"{kinds}.worksheet+xml",
        "/xl/sharedStrings.xml": f"{kinds}.sharedStrings+xml",
        "/xl/styles.xml": f"{kinds}.styles+xml",
    }
    listed = "".join(f'<Override PartName="{part}" ContentType="{kind}"/>' for part, kind in overrides.items())
    return {
        "[Content_Types].xml": f'{HEAD}<Types xmlns="{PACKAGE}/content-types">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        f'<Default Extension="xml" ContentType="application/xml"/>{listed}</Types>',
        "_rels/.rels": relations({"rId1": ("officeDocument", "xl/workbook.xml")}),
        "xl/workbook.xml": f'{HEAD}<workbook xmlns="{MAIN}" xmlns:r="{RELATIONS}"><workbookPr {settings}/><sheets>'
        f'<sheet name="Sessions" sheetId="1" r:id="rId1"/></sheets><definedNames>{names}</definedNames></workbook>',
        "xl/_rels/workbook.xml.rels": relations(
            {
                "rId1": ("worksheet", "worksheets/sheet1.xml"),
                "rId2": ("sharedStrings", "sharedStrings.xml"),
                "rId3": ("styles", "styles.xml"),
            }
        ),
        SHEET: sheet_xml(rows),
        "xl/sharedStrings.xml": f'{HEAD}<sst xmlns="{MAIN}"><si><t>Session</t></si></sst>',
        "xl/styles.xml": f'{HEAD}<styleSheet xmlns="{MAIN}"><cellStyleXfs><xf numFmtId="14"/></cellStyleXfs>'
        f'<cellXfs><xf numFmtId="0"/>{formats}</cellXfs></styleSheet>',
    }


def relations(targets: Mapping[str, tuple[str, str]]) -> str:
    """A part of relations."""
    listed = "".join(
        f'<Relationship Id="{key}" Type="{RELATIONS}/{kind}" Target="{target}"/>'
        for key, (kind, target) in targets.items()
    )
    return f'{HEAD}<Relationships xmlns="{PACKAGE}/relationships">{listed}</Relationships>'


def packed(parts: Mapping[str, str | bytes], *, method: int = zipfile.ZIP_DEFLATED) -> bytes:
    """The parts as an archive."""
    stream = BytesIO()
    with zipfile.ZipFile(stream, "w", method) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return stream.getvalue()


def with_part(name: str, content: str | bytes) -> bytes:
    """A sound workbook with one part put in or replaced."""
    return packed(sound_parts() | {name: content})


def without_part(name: str) -> bytes:
    """A sound workbook with one part left out."""
    return packed({key: content for key, content in sound_parts().items() if key != name})


def with_sheet(rows: str, *, before: str = "", after: str = "") -> bytes:
    """A sound workbook with other rows."""
    return with_part(SHEET, sheet_xml(rows, before=before, after=after))


def with_double_part() -> bytes:
    """Two parts of one name, which readers resolve differently."""
    data = packed(sound_parts() | {"xl/worksheets/sheet2.xml": sheet_xml("")})
    return data.replace(b"xl/worksheets/sheet2.xml", SHEET.encode())


def with_changed_header(*, directory_offset: int, value: bytes) -> bytes:
    """A sound workbook whose entry for the sheet in the archive's directory is changed at one place."""
    data = bytearray(packed(sound_parts()))
    entry = data.rindex(SHEET.encode()) - 46
    assert data[entry : entry + 4] == b"PK\x01\x02"
    data[entry + directory_offset : entry + directory_offset + len(value)] = value
    return bytes(data)


def with_lying_size() -> bytes:
    """A sheet of 80 MB that the archive declares as 1,000 bytes."""
    parts = sound_parts() | {SHEET: sheet_xml("<!--" + "x" * 80_000_000 + "-->")}
    data = bytearray(packed(parts))
    entry = data.rindex(SHEET.encode()) - 46
    data[entry + 24 : entry + 28] = struct.pack("<I", 1000)
    return bytes(data)


def with_damaged_stream() -> bytes:
    """A sound workbook with a hole in the middle of a packed part."""
    rows = "".join(f'<row r="{i}"><c r="A{i}"><v>{i * 7919 % 1009}</v></c></row>' for i in range(1, 500))
    data = bytearray(with_sheet(rows))
    middle = data.index(SHEET.encode()) + 1000
    data[middle : middle + 40] = bytes(40)
    return bytes(data)


def stored_with_changed_byte() -> bytes:
    """A part that is stored unpacked, with one digit changed: only the checksum tells."""
    data = packed(sound_parts(), method=zipfile.ZIP_STORED)
    return data.replace(b"<v>12.5</v>", b"<v>72.5</v>", 1)


def long_text() -> bytes:
    """A small file that holds one text of 120 MB."""
    return with_part("xl/sharedStrings.xml", f'<sst xmlns="{MAIN}"><si><t>{"x" * 120_000_000}</t></si></sst>')


def bomb() -> bytes:
    """A small file that holds seven million texts."""
    return with_part("xl/sharedStrings.xml", f'<sst xmlns="{MAIN}">{"<si><t>x</t></si>" * 7_000_000}</sst>')


def bomb_beside() -> bytes:
    """A small file with 120 MB in a part that is not read."""
    return with_part("docProps/thumbnail.jpeg", bytes(120_000_000))


def one_part_for_many_sheets() -> bytes:
    """A thousand sheets that all point to one part of a megabyte with nothing in it."""
    sheets = "".join(f'<sheet name="S{i}" sheetId="{i}" r:id="rId1"/>' for i in range(1000))
    book = f'<workbook xmlns="{MAIN}" xmlns:r="{RELATIONS}"><sheets>{sheets}</sheets></workbook>'
    blank = f'<worksheet xmlns="{MAIN}">{(" " * 100_000 + "<x/>") * 10}</worksheet>'
    return packed(sound_parts() | {"xl/workbook.xml": book, SHEET: blank})


def many_small_bombs() -> bytes:
    """Parts that are each below every limit and together above."""
    piece = b"x" * 9_000_000
    return packed(sound_parts() | {f"xl/media/image{i}.png": piece for i in range(40)})


def entity_bomb() -> str:
    """Nested entities that would expand a thousandfold at each level."""
    lines = ['<!ENTITY a0 "ha">'] + [f'<!ENTITY a{i} "{f"&a{i - 1};" * 1000}">' for i in range(1, 6)]
    return f'<?xml version="1.0"?><!DOCTYPE sst [{"".join(lines)}]><sst xmlns="{MAIN}"><si><t>&a5;</t></si></sst>'


def small_entity() -> str:
    """One harmless-looking entity."""
    return f'<!DOCTYPE sst [<!ENTITY x "1">]><sst xmlns="{MAIN}"><si><t>&x;</t></si></sst>'


def blank_rows(count: int, *, cells: int) -> str:
    """Rows of blank cells with a colour."""
    rows = []
    for i in range(2, count + 2):
        blanks = "".join(f'<c r="{letter}{i}" s="1"/>' for letter in "ABCDEFGHIJ"[:cells])
        rows.append(f'<row r="{i}" s="1" customFormat="1">{blanks}</row>')
    return "".join(rows)


def comments(reference: str) -> str:
    """A part of comments with one comment."""
    return (
        f'<comments xmlns="{MAIN}"><authors><author>A</author></authors><commentList>'
        f'<comment ref="{reference}" authorId="0"><text><t>x</t></text></comment></commentList></comments>'
    )


def _merged(reference: str) -> bytes:
    return with_sheet(SOUND_ROWS, after=f'<mergeCells><mergeCell ref="{reference}"/></mergeCells>')


def _linked(reference: str) -> bytes:
    return with_sheet(SOUND_ROWS, after=f'<hyperlinks><hyperlink ref="{reference}" location="A1"/></hyperlinks>')


def _cell(address: str, row: int = 2) -> bytes:
    return with_sheet(f'<row r="{row}"><c r="{address}"><v>1</v></c></row>')


def _open_document(kind: str) -> bytes:
    return packed({"mimetype": f"application/vnd.oasis.opendocument.{kind}", "content.xml": "<x/>"})


def _flat_open_document(kind: str) -> bytes:
    name = f"application/vnd.oasis.opendocument.{kind}"
    return f'<?xml version="1.0"?><office:document xmlns:office="urn:x" office:mimetype="{name}"/>'.encode()


def _shared(content: str | bytes) -> Callable[[], bytes]:
    return lambda: with_part("xl/sharedStrings.xml", content)


UTF_16 = '<?xml version="1.0" encoding="UTF-16"?>'

# Name of the case -> code that is expected, and what makes the file's bytes.
CASES: dict[str, tuple[str, Callable[[], bytes]]] = {
    "nothing in it": ("file-empty", lambda: b""),
    "PDF": ("file-wrong-kind", lambda: b"%PDF-1.7\n1 0 obj"),
    "photograph": ("file-wrong-kind", lambda: b"\xff\xd8\xff\xe0" + bytes(100)),
    "screen picture": ("file-wrong-kind", lambda: b"\x89PNG\r\n\x1a\n" + bytes(100)),
    "CSV": ("file-wrong-kind", lambda: b"Session,Date\ns1,2025-10-04\n"),
    "CSV in UTF-16": ("file-wrong-kind", lambda: "Session;Date\n".encode("utf-16")),
    "web page": ("file-wrong-kind", lambda: b"\n<html><body><table><tr><td>1</td></tr></table></body></html>"),
    "plain XML spreadsheet": (
        "file-wrong-kind",
        lambda: b'<?xml version="1.0"?><Workbook xmlns="urn:schemas-microsoft-com:office:spreadsheet"/>',
    ),
    "flat open spreadsheet": ("file-wrong-kind", lambda: _flat_open_document("spreadsheet")),
    "flat open text": ("file-wrong-kind", lambda: _flat_open_document("text")),
    "noise": ("file-wrong-kind", lambda: bytes(range(256)) * 8),
    "zeros": ("file-wrong-kind", lambda: bytes(5000)),
    "other archive": ("file-wrong-kind", lambda: packed({"photo.jpg": b"\xff\xd8\xff"})),
    "empty archive": ("file-wrong-kind", lambda: packed({})),
    "text document": (
        "file-wrong-kind",
        lambda: packed({"[Content_Types].xml": "<x/>", "word/document.xml": "<x/>"}),
    ),
    "slides": ("file-wrong-kind", lambda: packed({"[Content_Types].xml": "<x/>", "ppt/presentation.xml": "<x/>"})),
    "binary workbook": ("file-wrong-kind", lambda: packed({"[Content_Types].xml": "<x/>", "xl/workbook.bin": "x"})),
    "open text": ("file-wrong-kind", lambda: _open_document("text")),
    "old workbook": ("file-old-format", lambda: OLE + bytes(500) + "Workbook".encode("utf-16-le") + bytes(500)),
    "older workbook": ("file-old-format", lambda: b"\x09\x08\x10\x00\x00\x06\x05\x00" + bytes(100)),
    "password": ("file-encrypted", lambda: OLE + bytes(500) + "EncryptedPackage".encode("utf-16-le") + bytes(500)),
    "locked archive": ("file-encrypted", lambda: with_changed_header(directory_offset=8, value=b"\x01")),
    "cut in half": ("file-cut-off", lambda: (data := packed(sound_parts()))[: len(data) // 2]),
    "bytes over the limit": ("file-too-large", lambda: b"PK\x03\x04" + bytes(50_000_000)),
    "one long text": ("file-expands-too-much", long_text),
    "bomb": ("file-expands-too-much", bomb),
    "bomb in a part that is not read": ("file-expands-too-much", bomb_beside),
    "many small bombs": ("file-expands-too-much", many_small_bombs),
    "size that lies": ("file-damaged", with_lying_size),
    "hole in a stream": ("file-damaged", with_damaged_stream),
    "one byte changed": ("file-damaged", stored_with_changed_byte),
    "strange packing": ("file-damaged", lambda: packed(sound_parts(), method=zipfile.ZIP_BZIP2)),
    "double part": ("file-damaged", with_double_part),
    "double part by case": ("file-damaged", lambda: packed(sound_parts() | {SHEET.upper(): "<x/>"})),
    "path upwards": ("file-damaged", lambda: packed(sound_parts() | {"../../evil.xml": "<x/>"})),
    "path upwards, backslash": ("file-damaged", lambda: packed(sound_parts() | {"xl\\..\\..\\evil.xml": "<x/>"})),
    "path from the root": ("file-damaged", lambda: packed(sound_parts() | {"/etc/evil.xml": "<x/>"})),
    "path with a drive": ("file-damaged", lambda: packed(sound_parts() | {"C:/evil.xml": "<x/>"})),
    "too many parts": ("file-damaged", lambda: packed(sound_parts() | {f"x/{i}": b"" for i in range(5001)})),
    "no relations": ("file-damaged", lambda: without_part("_rels/.rels")),
    "no workbook part": ("file-damaged", lambda: without_part("xl/workbook.xml")),
    "no sheet part": ("file-damaged", lambda: without_part(SHEET)),
    "no shared texts": ("file-damaged", lambda: without_part("xl/sharedStrings.xml")),
    "no styles part": ("file-damaged", lambda: without_part("xl/styles.xml")),
    "no relation to the sheet": ("file-damaged", lambda: without_part("xl/_rels/workbook.xml.rels")),
    "broken XML": ("file-damaged", lambda: with_part(SHEET, sheet_xml("<row><c></row>"))),
    "XML that breaks off": ("file-damaged", lambda: with_part(SHEET, sheet_xml(SOUND_ROWS)[:-30])),
    "control character": ("file-damaged", _shared(f'<sst xmlns="{MAIN}"><si><t>\x01</t></si></sst>')),
    "unknown encoding": ("file-damaged", _shared('<?xml version="1.0" encoding="no-such"?><sst/>')),
    "bytes not in the encoding": ("file-damaged", _shared(b'<?xml version="1.0" encoding="UTF-8"?><sst>\xff</sst>')),
    "one endless tag": ("file-damaged", lambda: with_sheet(f'<row r="1" x="{_noise(6_000_000)}"/>')),
    "one endless text": ("file-damaged", _shared(f'<sst xmlns="{MAIN}"><si><t>{"ab" * 600_000}</t></si></sst>')),
    "endless text in a cell": (
        "file-damaged",
        lambda: with_sheet(f'<row r="1"><c r="A1" t="inlineStr"><is><t>{"ab" * 600_000}</t></is></c></row>'),
    ),
    "text that is not there": ("file-damaged", lambda: with_sheet('<row r="1"><c r="A1" t="s"><v>7</v></c></row>')),
    "text number below 0": ("file-damaged", lambda: with_sheet('<row r="1"><c r="A1" t="s"><v>-1</v></c></row>')),
    "text number no number": ("file-damaged", lambda: with_sheet('<row r="1"><c r="A1" t="s"><v>x</v></c></row>')),
    "unknown kind of cell": ("file-damaged", lambda: with_sheet('<row r="1"><c r="A1" t="zz"><v>1</v></c></row>')),
    "column beyond the last": ("file-damaged", lambda: _cell("XFE2")),
    "row beyond the last": ("file-damaged", lambda: _cell("A1048577", 1_048_577)),
    "row 99,999,999": ("file-damaged", lambda: _cell("A99999999", 99_999_999)),
    "row with 400 digits": ("file-damaged", lambda: with_sheet(f'<row r="{"9" * 400}"><c><v>1</v></c></row>')),
    "row 0": ("file-damaged", lambda: _cell("A0", 0)),
    "cell in another row": ("file-damaged", lambda: _cell("A3")),
    "cell outside any row": ("file-damaged", lambda: with_sheet('<c r="A1"><v>1</v></c>')),
    "cell without a name": ("file-damaged", lambda: _cell("")),
    "cell twice": (
        "file-damaged",
        lambda: with_sheet('<row r="2"><c r="A2"><v>1</v></c><c r="A2"><v>2</v></c></row>'),
    ),
    "row twice": (
        "file-damaged",
        lambda: with_sheet('<row r="2"><c r="A2"><v>1</v></c></row><row r="2"><c r="A2"><v>2</v></c></row>'),
    ),
    "unnamed cells past the last column": (
        "file-damaged",
        lambda: with_sheet('<row r="1"><c r="XFD1"><v>1</v></c><c><v>2</v></c></row>'),
    ),
    "merged nonsense": ("file-damaged", lambda: _merged("A1:ZZZZ9")),
    "comment on nothing": ("file-damaged", lambda: with_part("xl/comments1.xml", comments("A0"))),
    "nested entities": ("file-entities", _shared(entity_bomb())),
    "one entity": ("file-entities", _shared(small_entity())),
    "one entity in UTF-16": ("file-entities", _shared((UTF_16 + small_entity()).encode("utf-16"))),
    "entity from outside": (
        "file-entities",
        _shared(f'<!DOCTYPE sst [<!ENTITY x SYSTEM "file:///etc/hostname">]><sst xmlns="{MAIN}">&x;</sst>'),
    ),
    "DTD without entities": ("file-entities", _shared(f'<!DOCTYPE sst><sst xmlns="{MAIN}"/>')),
    "entity in a part that is not read": (
        "file-entities",
        lambda: with_part("xl/theme/theme1.xml", small_entity()),
    ),
    "UTF-16 entity in a part that is not read": (
        "file-entities",
        lambda: with_part("docProps/app.xml", (UTF_16 + small_entity()).encode("utf-16")),
    ),
    "entity behind a long remark": (
        "file-entities",
        lambda: with_part("docProps/app.xml", f"<!--{'x' * 300_000}-->{small_entity()}"),
    ),
    "endless remark before an entity": (
        "file-damaged",
        lambda: with_part("docProps/app.xml", f"<!--{_noise(6_000_000)}-->{small_entity()}"),
    ),
    "entity in the list of relations": ("file-entities", lambda: with_part("_rels/.rels", small_entity())),
    "one part for very many sheets": ("file-expands-too-much", one_part_for_many_sheets),
    "no sheets": ("file-no-sheets", lambda: with_part("xl/workbook.xml", f'<workbook xmlns="{MAIN}"/>')),
    "everything merged": ("file-range-too-large", lambda: _merged("A1:XFD1048576")),
    "everything a link": ("file-range-too-large", lambda: _linked("A1:XFD1048576")),
    "a comment over everything": (
        "file-range-too-large",
        lambda: with_part("xl/comments1.xml", comments("A1:XFD1048576")),
    ),
}

# Odd but sound files: each has the text Session, and 12.5 below it.
SOUND: dict[str, Callable[[], bytes]] = {
    "plain": lambda: packed(sound_parts()),
    "stored": lambda: packed(sound_parts(), method=zipfile.ZIP_STORED),
    "dimension too small": lambda: with_part(SHEET, sheet_xml(SOUND_ROWS, dimension="A1")),
    "dimension of everything": lambda: with_part(SHEET, sheet_xml(SOUND_ROWS, dimension="A1:XFD1048576")),
    "dimension nonsense": lambda: with_part(SHEET, sheet_xml(SOUND_ROWS, dimension="-")),
    "rule over everything": lambda: with_sheet(
        SOUND_ROWS,
        after='<dataValidations><dataValidation sqref="A1:XFD1048576"><formula1>1</formula1></dataValidation>'
        "</dataValidations>",
    ),
    "endless columns": lambda: with_sheet(SOUND_ROWS, before='<cols><col min="1" max="999999999" width="9"/></cols>'),
    "name over everything": lambda: packed(
        sound_parts(names='<definedName name="all">Sessions!$A$1:$XFD$1048576</definedName>')
    ),
    "rows in disorder": lambda: with_sheet(
        '<row r="2"><c r="A2"><v>12.5</v></c></row><row r="1"><c r="A1" t="s"><v>0</v></c></row>'
    ),
    "cells without names": lambda: with_sheet("<row><c t='s'><v>0</v></c></row><row><c><v>12.5</v></c></row>"),
    "picture that is no picture": lambda: with_part("xl/media/image1.png", b"<not a picture"),
    "drawing that is not well-formed": lambda: with_part("xl/drawings/vmlDrawing1.vml", "<xml><br></xml>"),
    "picture drawn in XML": lambda: with_part("xl/media/image1.svg", '<!DOCTYPE svg PUBLIC "a" "b"><svg/>'),
    "part names in capitals": lambda: packed({name.upper(): content for name, content in sound_parts().items()}),
    "junk after the end": lambda: packed(sound_parts()) + b"\r\n",
    "200,000 rows with a colour": lambda: with_sheet(
        SOUND_ROWS + blank_rows(200_000, cells=0).partition("</row>")[2]
    ),
    "50,000 rows of blank cells": lambda: with_sheet(SOUND_ROWS + blank_rows(50_000, cells=8).partition("</row>")[2]),
}


def _noise(length: int) -> str:
    """Text that does not pack well, the same each time."""
    value, letters = 12345, []
    for _ in range(length // 8):
        value = zlib.crc32(struct.pack("<I", value))
        letters.append(f"{value:08x}")
    return "".join(letters)
