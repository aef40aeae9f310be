"""The reader reads each kind of cell, whichever program saved the file."""

from __future__ import annotations

import datetime as dt
import hashlib
import subprocess
import warnings
from pathlib import Path

import build_bad
import build_ods
import openpyxl
import pytest
from few import examples, together
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl.utils.datetime import to_excel
from openpyxl.workbook.defined_name import DefinedName
from programs import program

from wood_xl.errors import UnreadableWorkbook
from wood_xl.io.cell_kinds import FormatKind, NumberFormat, number_cell, number_format
from wood_xl.io.limits import storable_text
from wood_xl.io.package_parts import plain_text
from wood_xl.io.reader import read_workbook
from wood_xl.io.sheet_part import cell_range
from wood_xl.notes.problem import column_number
from wood_xl.notes.raw import Kind, RawBook, RawCell, RawSheet
from wood_xl.page_texts import InFile
from wood_xl.schema.layout import HEADER_SEARCH_ROWS, VERSION_NAME
from wood_xl.schema.words import phrase, words


def read_bytes(data: bytes, tmp_path: Path) -> RawBook:
    path = tmp_path / "season.xlsx"
    path.write_bytes(data)
    return read_workbook(path)


def read_rows(rows: str, tmp_path: Path, **parts: str) -> dict[tuple[int, int], RawCell]:
    """Cells of a sheet made of these rows; ``parts`` as ``build_bad.sound_parts``."""
    return read_bytes(build_bad.packed(build_bad.sound_parts(rows, **parts)), tmp_path).sheets[0].cells


def one_cell(xml: str, tmp_path: Path, **parts: str) -> RawCell | None:
    return read_rows(f'<row r="1">{xml}</row>', tmp_path, **parts).get((1, 1))


def number(value: float) -> RawCell:
    return RawCell(Kind.NUMBER, value)


def text(value: str) -> RawCell:
    return RawCell(Kind.TEXT, value)


@together(
    ("xml", "expected"),
    [
        ('<c r="A1"><v>12.5</v></c>', number(12.5)),
        ('<c r="A1" t="n"><v>-1E-3</v></c>', number(-0.001)),
        ('<c r="A1" t="s"><v>0</v></c>', text("Session")),
        ('<c r="A1" t="b"><v>1</v></c>', RawCell(Kind.BOOLEAN, True)),
        ('<c r="A1" t="b"><v>0</v></c>', RawCell(Kind.BOOLEAN, False)),
        ('<c r="A1" t="e"><v>#DIV/0!</v></c>', RawCell(Kind.ERROR, "#DIV/0!")),
        ('<c r="A1" t="inlineStr"><is><t>a</t></is></c>', text("a")),
        ('<c r="A1" t="inlineStr"><is><r><t>a</t></r><r><t xml:space="preserve"> b</t></r></is></c>', text("a b")),
        ('<c r="A1" t="inlineStr"><is><t>a</t><rPh sb="0" eb="1"><t>read so</t></rPh></is></c>', text("a")),
        ('<c r="A1" t="inlineStr"><is><t> </t></is></c>', text(" ")),
        ('<c r="A1" t="inlineStr"><is><t>one&#10;two &amp; three</t></is></c>', text("one\ntwo & three")),
        ('<c r="A1" t="inlineStr"><is><t><![CDATA[<b>]]></t></is></c>', text("<b>")),
        ('<c r="A1" t="inlineStr"><is><t>=1+1</t></is></c>', text("=1+1")),
        ('<c r="A1" t="inlineStr"><is><t/></is></c>', None),
        ('<c r="A1" t="str"><v>typed</v></c>', text("typed")),
        ('<c r="A1" t="d"><v>2025-10-04</v></c>', RawCell(Kind.DATE, "2025-10-04", as_shown="2025-10-04")),
        ('<c r="A1" t="d"><v>2025-10-04T00:00:00Z</v></c>', RawCell(Kind.DATE, "2025-10-04", as_shown="2025-10-04")),
        ('<c r="A1" t="d"><v>08:30:00</v></c>', RawCell(Kind.DURATION, 510.0, as_shown="8:30")),
        ('<c r="A1" t="d"><v>4 Oct</v></c>', RawCell(Kind.ERROR, "4 Oct")),
        ('<c r="A1" s="7"><v>5</v></c>', number(5.0)),  # no such style
        ('<c r="A1"/>', None),
        ('<c r="A1" s="1"><v/></c>', None),
        ('<c r="A1" t="s"><v/></c>', None),
    ],
)
def test_kinds_of_cells(xml: str, expected: RawCell | None, tmp_path: Path) -> None:
    assert one_cell(xml, tmp_path) == expected


@together(
    ("xml", "expected"),
    [
        ('<c r="A1"><f>SUM(B1:B9)</f><v>15</v></c>', number(15.0)),
        ('<c r="A1"><f>SUM(B1:B9)</f></c>', RawCell(Kind.NO_VALUE, "=SUM(B1:B9)")),
        ('<c r="A1"><f>SUM(B1:B9)</f><v/></c>', RawCell(Kind.NO_VALUE, "=SUM(B1:B9)")),
        ('<c r="A1" t="str"><f>IF(FALSE,1,"")</f><v></v></c>', None),  # the result is an empty text
        ('<c r="A1" t="str"><f>IF(FALSE,1,"")</f></c>', None),
        ('<c r="A1" t="s"><f>IF(FALSE,1,"")</f><v/></c>', None),
        ('<c r="A1" t="str"><f>"a"&amp;"b"</f><v>ab</v></c>', text("ab")),
        ('<c r="A1" t="b"><f>TRUE()</f><v>1</v></c>', RawCell(Kind.BOOLEAN, True)),
        ('<c r="A1" t="b"><f>TRUE()</f></c>', RawCell(Kind.NO_VALUE, "=TRUE()")),
        ('<c r="A1" t="e"><f>1/0</f><v>#DIV/0!</v></c>', RawCell(Kind.ERROR, "#DIV/0!")),
        ('<c r="A1"><f t="array" ref="A1:A2">B1:B2</f></c>', RawCell(Kind.NO_VALUE, "=B1:B2")),
        ('<c r="A1"><f t="dataTable" ref="A1:B2"/></c>', RawCell(Kind.NO_VALUE, "=")),
    ],
)
def test_formulas(xml: str, expected: RawCell | None, tmp_path: Path) -> None:
    assert one_cell(xml, tmp_path) == expected


def test_shared_formula_is_named_by_its_first_cell(tmp_path: Path) -> None:
    cells = read_rows(
        '<row r="1"><c r="A1"><f t="shared" ref="A1:A2" si="0">B1*2</f></c></row>'
        '<row r="2"><c r="A2"><f t="shared" si="0"/></c></row>',
        tmp_path,
    )
    assert cells[2, 1] == RawCell(Kind.NO_VALUE, "=B1*2")


def test_formula_does_not_stick_to_the_next_cell(tmp_path: Path) -> None:
    cells = read_rows('<row r="1"><c r="A1"><f>1</f></c><c r="B1" s="0"/><c r="C1"><v>1</v></c></row>', tmp_path)
    assert cells == {(1, 1): RawCell(Kind.NO_VALUE, "=1"), (1, 3): number(1.0)}


def test_shared_texts_join_runs_without_phonetic_guides(tmp_path: Path) -> None:
    table = (
        f'<sst xmlns="{build_bad.MAIN}"><si><r><t>chain</t></r><r><t> saw</t></r>'
        '<rPh sb="0" eb="1"><t>x</t></rPh></si>'
        "<si><t/></si><si><t>_x005F_x000D_</t></si></sst>"
    )
    rows = '<row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" t="s"><v>1</v></c><c r="C1" t="s"><v>2</v></c></row>'
    parts = build_bad.sound_parts(rows) | {"xl/sharedStrings.xml": table}
    cells = read_bytes(build_bad.packed(parts), tmp_path).sheets[0].cells
    assert cells == {(1, 1): text("chain saw"), (1, 3): text("_x000D_")}


@together(
    ("stored", "seen"),
    [
        ("one_x000D_\ntwo", "one\ntwo"),
        ("a_x0009_b", "a\tb"),
        ("a\r\nb\rc", "a\nb\nc"),
        ("_x005F_x000D_", "_x000D_"),
        ("_x005F_", "_x005F_"),  # no escape follows
        ("_x0041_", "_x0041_"),
        ("_x0007_", "_x0007_"),
        ("max_x_y", "max_x_y"),
    ],
)
def test_escapes_in_texts(stored: str, seen: str) -> None:
    assert plain_text(stored) == seen


# Expected by hand: 0.85 day of 1440 minutes; 45934 is 2025-10-04 (days since 1899-12-30); 45934.5 is its noon.
@together(
    ("format_id", "number_text", "expected"),
    [
        (9, "0.03", RawCell(Kind.NUMBER, 0.03, percent=True)),
        (10, "0.5", RawCell(Kind.NUMBER, 0.5, percent=True)),
        (2, "0.5", number(0.5)),
        (14, "45934", RawCell(Kind.DATE, "2025-10-04", as_shown="2025-10-04")),
        (22, "45934.5", RawCell(Kind.DATE, "2025-10-04T12:00:00", as_shown="2025-10-04 12:00")),
        (22, "45934", RawCell(Kind.DATE, "2025-10-04", as_shown="2025-10-04")),
        (14, "1", RawCell(Kind.DATE, "1900-01-01", as_shown="1900-01-01")),
        (14, "59", RawCell(Kind.DATE, "1900-02-28", as_shown="1900-02-28")),
        (14, "60", RawCell(Kind.ERROR, "1900-02-29")),
        (14, "61", RawCell(Kind.DATE, "1900-03-01", as_shown="1900-03-01")),
        (14, "2958465", RawCell(Kind.DATE, "9999-12-31", as_shown="9999-12-31")),
        (14, "2958466", RawCell(Kind.ERROR, "#####")),
        (14, "2958465.9999999999", RawCell(Kind.ERROR, "#####")),
        (14, "-1", RawCell(Kind.ERROR, "#####")),
        (14, "1e300", RawCell(Kind.ERROR, "#####")),
        (14, "0.25", RawCell(Kind.DURATION, 360.0, as_shown="6:00")),
        (20, "0.354166666666667", RawCell(Kind.DURATION, 510.0, as_shown="8:30")),
        (20, "0.0493055555555556", RawCell(Kind.DURATION, 71.0, as_shown="1:11")),
        (20, "1.04861111111111", RawCell(Kind.DURATION, 1510.0, as_shown="1:10")),
        (46, "1.04861111111111", RawCell(Kind.DURATION, 1510.0, as_shown="25:10")),
        (46, "71", RawCell(Kind.DURATION, 102240.0, as_shown="1704:00")),
        (21, "0.0625115740740741", RawCell(Kind.DURATION, 90.016666667, as_shown="1:30:01")),
        (46, "-0.5", RawCell(Kind.DURATION, -720.0, as_shown="-12:00")),
        (46, "1e300", RawCell(Kind.ERROR, "#####")),
    ],
)
def test_numbers_by_their_format(format_id: int, number_text: str, expected: RawCell, tmp_path: Path) -> None:
    found = one_cell(f'<c r="A1" s="1"><v>{number_text}</v></c>', tmp_path, formats=f'<xf numFmtId="{format_id}"/>')
    assert found == expected


def test_days_counted_from_1904(tmp_path: Path) -> None:
    rows = (
        '<row r="1"><c r="A1" s="1"><v>44472</v></c><c r="B1" s="1"><v>0</v></c><c r="C1" s="1"><v>0.25</v></c>'
        '<c r="D1" s="1"><v>60</v></c><c r="E1" s="1"><v>2957004</v></c></row>'
    )
    cells = read_rows(rows, tmp_path, settings='date1904="1"', formats='<xf numFmtId="14"/>')
    values = [cells[1, column].value for column in range(1, 6)]
    assert values == ["2025-10-04", "1904-01-01", "1904-01-01T06:00:00", "1904-03-01", "#####"]


@together(
    ("code", "kind"),
    [
        ("General", FormatKind.PLAIN),
        ("0.00", FormatKind.PLAIN),
        ("#,##0.00\\ [$kr-41D]", FormatKind.PLAIN),
        ('0.0" days"', FormatKind.PLAIN),
        ('"h:mm"0', FormatKind.PLAIN),
        ("0 \\m", FormatKind.PLAIN),
        ("#,##0 USD", FormatKind.PLAIN),
        ("0.00E+00", FormatKind.PLAIN),
        ("# ?/?", FormatKind.PLAIN),
        ("[Red]0;[Green]-0", FormatKind.PLAIN),
        ("@", FormatKind.PLAIN),
        ("0%", FormatKind.PERCENT),
        ('0.0 "%"', FormatKind.PLAIN),
        ("[Red]0.0%;-0.0%", FormatKind.PERCENT),
        ("yyyy-mm-dd", FormatKind.DATE),
        ("[$-409]d/mmm/yy;@", FormatKind.DATE),
        ("mmmm", FormatKind.DATE),
        ("d/m/yyyy h:mm", FormatKind.DATE),
        ("h:mm", FormatKind.CLOCK),
        ("h:mm AM/PM", FormatKind.CLOCK),
        ("mm:ss.0", FormatKind.CLOCK),
        ("ss.000", FormatKind.CLOCK),
        ("[h]:mm", FormatKind.ELAPSED),
        ("[HH]:MM:SS", FormatKind.ELAPSED),
        ("[mm]:ss.00", FormatKind.ELAPSED),
    ],
)
def test_kind_of_number_formats(code: str, kind: FormatKind) -> None:
    assert number_format(0, code).kind is kind


@together(
    ("code", "currency"),
    [
        ("General", ""),
        ("#,##0.00", ""),
        ("[$-409]d/mmm/yy;@", ""),
        ("[$\u20ac-407] #,##0.00", "\u20ac"),
        ("#,##0.00 [$USD]", "USD"),
        ('"$"#,##0.00_);("$"#,##0.00)', "$"),
        ("\u00a3#,##0", "\u00a3"),
        ('0 "cm"', ""),
    ],
)
def test_currency_of_number_formats(code: str, currency: str) -> None:
    assert number_format(0, code).currency == currency
    assert number_cell("30", number_format(0, code)).as_shown in (currency, "1900-01-30")


@given(
    st.datetimes(
        dt.datetime(1900, 3, 1),  # noqa: DTZ001 - workbooks know no zone
        dt.datetime(9999, 12, 30),  # noqa: DTZ001
    )
)
def test_any_date_is_read_back(moment: dt.datetime) -> None:
    moment = moment.replace(microsecond=0)
    found = number_cell(repr(to_excel(moment)), NumberFormat(FormatKind.DATE))
    assert found.kind is Kind.DATE
    assert dt.datetime.fromisoformat(str(found.value)) == moment


@given(st.integers(0, 100 * 1440))
def test_any_number_of_minutes_is_read_back(minutes: int) -> None:
    """Programs store fifteen digits."""
    found = number_cell(f"{minutes / 1440:.15g}", NumberFormat(FormatKind.ELAPSED))
    assert found == RawCell(Kind.DURATION, float(minutes), as_shown=f"{minutes // 60}:{minutes % 60:02d}")


def test_hidden_and_merged(tmp_path: Path) -> None:
    rows = (
        '<row r="1" hidden="1"><c r="A1"><v>1</v></c></row><row r="2" ht="0"><c r="A2"><v>1</v></c></row>'
        '<row r="3" hidden="1"/><row r="4"><c r="A4"><v>1</v></c></row>'
    )
    columns = (
        '<cols><col min="2" max="3" hidden="true"/><col min="5" max="5" width="0"/><col min="9" max="99"/></cols>'
    )
    merged = '<mergeCells count="2"><mergeCell ref="A4:B6"/><mergeCell ref="$D$1"/></mergeCells>'
    (sheet,) = read_bytes(build_bad.with_sheet(rows, before=columns, after=merged), tmp_path).sheets
    assert sheet.hidden_rows == {1, 2}  # only rows that hold something
    assert sheet.hidden_columns == {2, 3, 5}
    assert sheet.merged == ((4, 1, 6, 2),)
    assert not sheet.hidden


@pytest.mark.parametrize("state", ["hidden", "veryHidden"])
def test_hidden_sheet(state: str, tmp_path: Path) -> None:
    parts = build_bad.sound_parts()
    parts["xl/workbook.xml"] = str(parts["xl/workbook.xml"]).replace("<sheet ", f'<sheet state="{state}" ')
    assert read_bytes(build_bad.packed(parts), tmp_path).sheets[0].hidden


def test_sheets_without_cells_are_noted(tmp_path: Path) -> None:
    parts = build_bad.sound_parts()
    parts["xl/workbook.xml"] = str(parts["xl/workbook.xml"]).replace(
        "</sheets>", '<sheet name="Picture" sheetId="2" r:id="rId9"/></sheets>'
    )
    targets = {"rId1": ("worksheet", "worksheets/sheet1.xml"), "rId2": ("sharedStrings", "/xl/sharedStrings.xml")}
    parts["xl/_rels/workbook.xml.rels"] = build_bad.relations(
        targets | {"rId9": ("chartsheet", "chartsheets/sheet1.xml")}
    )
    parts["xl/chartsheets/sheet1.xml"] = "<x/>"
    book = read_bytes(build_bad.packed(parts), tmp_path)
    assert [sheet.title for sheet in book.sheets] == ["Sessions"]
    assert book.notes == (phrase(InFile.NO_CELLS, title="Picture"),)


@pytest.mark.parametrize(
    ("part", "note"),
    [
        ("xl/vbaProject.bin", InFile.MACROS),
        ("xl/externalLinks/externalLink1.xml", InFile.LINKS),
        ("xl/connections.xml", InFile.CONNECTIONS),
        ("xl/embeddings/oleObject1.bin", InFile.EMBEDDED),
    ],
)
def test_ignored_parts_are_noted(part: str, note: InFile, tmp_path: Path) -> None:
    assert read_bytes(build_bad.with_part(part, "<x/>"), tmp_path).notes == (words(note),)


@together(
    ("meaning", "version"),
    [
        ("Sessions!$B$1", "1.0"),
        ("'Sessions'!$B$1", "1.0"),
        ("sessions!B1", "1.0"),
        ("Sessions!$C$1", "2"),
        ("Sessions!$D$9", None),
        ("Other!$B$1", None),
        ('"1.2"', "1.2"),
        ("1.2", "1.2"),
        ("", None),
    ],
)
def test_template_version(meaning: str, version: str | None, tmp_path: Path) -> None:
    rows = '<row r="1"><c r="B1" t="inlineStr"><is><t>1.0</t></is></c><c r="C1"><v>2</v></c></row>'
    names = f'<definedName name="{VERSION_NAME}">{meaning}</definedName>'
    assert (
        read_bytes(build_bad.packed(build_bad.sound_parts(rows, names=names)), tmp_path).template_version == version
    )


def test_version_of_the_workbook_takes_precedence_over_a_sheets_own(tmp_path: Path) -> None:
    own = f'<definedName name="{VERSION_NAME}" localSheetId="0">"2"</definedName>'
    whole = f'<definedName name="{VERSION_NAME}">"1"</definedName>'
    for names in (own + whole, whole + own):
        assert read_bytes(build_bad.packed(build_bad.sound_parts(names=names)), tmp_path).template_version == "1"
    assert read_bytes(build_bad.packed(build_bad.sound_parts(names=own)), tmp_path).template_version == "2"
    assert read_bytes(build_bad.packed(build_bad.sound_parts()), tmp_path).template_version is None


def test_row_limit_counts_filled_rows(tmp_path: Path) -> None:
    path = tmp_path / "season.xlsx"
    rows = "".join(
        f'<row r="{2 * i}"><c r="A{2 * i}"><v>{i}</v></c></row><row r="{2 * i + 1}"><c r="A{2 * i + 1}" s="0"/></row>'
        for i in range(1, 31)
    )
    path.write_bytes(build_bad.with_sheet(rows))
    (sheet,) = read_workbook(path, row_limits={"sessions": 5}).sheets
    kept = 5 + HEADER_SEARCH_ROWS
    assert [cell.value for cell in sheet.cells.values()] == [float(i) for i in range(1, kept + 1)]
    assert sheet.rows_beyond_limit == 30 - kept
    (whole,) = read_workbook(path, row_limits={"another": 5}).sheets
    assert (len(whole.cells), whole.rows_beyond_limit) == (30, 0)


def test_sha256_is_of_the_file(tmp_path: Path) -> None:
    data = build_bad.packed(build_bad.sound_parts())
    assert read_bytes(data, tmp_path).sha256 == hashlib.sha256(data).hexdigest()


@pytest.mark.parametrize("prefix", ["x:", ""])
def test_other_namespaces_and_encodings(prefix: str, tmp_path: Path) -> None:
    """The strict variant of the format, tags with a prefix, and parts in UTF-16."""
    namespace = "http://purl.oclc.org/ooxml/spreadsheetml/main"
    declared = f'xmlns:{prefix[:-1]}="{namespace}"' if prefix else f'xmlns="{namespace}"'
    xml = (
        f'<?xml version="1.0" encoding="UTF-16"?><{prefix}worksheet {declared}><{prefix}sheetData><{prefix}row r="1">'
        f'<{prefix}c r="A1" t="inlineStr"><{prefix}is><{prefix}t>bj\u00f8rk</{prefix}t></{prefix}is></{prefix}c>'
        f"</{prefix}row></{prefix}sheetData></{prefix}worksheet>"
    )
    book = read_bytes(build_bad.with_part(build_bad.SHEET, xml.encode("utf-16")), tmp_path)
    assert book.sheets[0].cells == {(1, 1): text("bj\u00f8rk")}


def test_cells_of_other_namespaces_are_ignored(tmp_path: Path) -> None:
    other = '<extLst><ext><x14:c xmlns:x14="urn:other" r="A9"><x14:v>1</x14:v></x14:c></ext></extLst>'
    (sheet,) = read_bytes(build_bad.with_sheet(build_bad.SOUND_ROWS, after=other), tmp_path).sheets
    assert set(sheet.cells) == {(1, 1), (2, 1)}


@together(
    ("letters", "column"),
    [("A", 1), ("Z", 26), ("AA", 27), ("XFD", 16384), ("XFE", 16385), ("", 0), ("a", 0), ("A1", 0)],
)
def test_column_number(letters: str, column: int) -> None:
    assert column_number(letters) == column


@together(
    ("reference", "area"),
    [
        ("A1", (1, 1, 1, 1)),
        ("$B$2:C9", (2, 2, 9, 3)),
        ("C9:B2", (2, 2, 9, 3)),
        ("A0", None),
        ("A1048577", None),
        ("XFE1", None),
        ("A:A", None),
        ("", None),
    ],
)
def test_cell_range(reference: str, area: tuple[int, int, int, int] | None) -> None:
    assert cell_range(reference) == area


UNTOUCHED = st.text(st.characters(codec="utf-8"), min_size=1, max_size=60).map(storable_text)


@settings(deadline=None, max_examples=examples(60))
@given(texts=st.lists(UNTOUCHED, min_size=1, max_size=20))
def test_any_text_is_read_back(texts: list[str], tmp_path_factory: pytest.TempPathFactory) -> None:
    path = tmp_path_factory.getbasetemp() / "texts.xlsx"
    book = openpyxl.Workbook()
    for row, written in enumerate(texts, start=1):
        cell = book.active.cell(row, 1)
        cell.value = written
        cell.data_type = "s"
    book.save(path)
    cells = read_workbook(path).sheets[0].cells
    assert [cells[row, 1].value for row in range(1, len(texts) + 1)] == [plain_text(written) for written in texts]


# --- files that spreadsheet programs saved -------------------------------------------------------------------------


def filled_book(path: Path) -> None:
    """A workbook as openpyxl writes it, with every kind of cell."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Sessions"
    rows: list[tuple[object, str]] = [
        ("Bj\u00f8rk & Ask", "General"),
        ("line one\nline two", "General"),
        (" spaces  kept ", "@"),
        (12.5, "General"),
        (5, "General"),
        (0.85, "0.00%"),
        (True, "General"),
        (dt.date(2025, 10, 4), "yyyy-mm-dd"),
        (dt.datetime(2025, 10, 4, 8, 30), "yyyy-mm-dd hh:mm"),  # noqa: DTZ001
        (dt.time(8, 30), "h:mm"),
        (dt.timedelta(hours=25, minutes=10), "[h]:mm"),
        ("=A4*2", "General"),
        ("=1/0", "General"),
        ('=IF(FALSE,1,"")', "General"),
        ('="a"&"b"', "General"),
        ("=A11*2", "[h]:mm"),
    ]
    for row, (value, code) in enumerate(rows, start=1):
        cell = sheet.cell(row, 1, value)
        cell.number_format = code
    sheet["C1"] = "hidden column"
    sheet.column_dimensions["C"].hidden = True
    sheet.row_dimensions[5].hidden = True
    sheet["E1"] = "merged"
    sheet.merge_cells("E1:F2")
    hidden = book.create_sheet("Aside")
    hidden["A1"] = "1.0"
    hidden.sheet_state = "hidden"
    book.defined_names[VERSION_NAME] = DefinedName(VERSION_NAME, attr_text="Aside!$A$1")
    book.save(path)


COMPUTED = {
    1: text("Bj\u00f8rk & Ask"),
    2: text("line one\nline two"),
    3: text(" spaces  kept "),
    4: number(12.5),
    5: number(5.0),
    6: RawCell(Kind.NUMBER, 0.85, percent=True),
    7: RawCell(Kind.BOOLEAN, True),
    8: RawCell(Kind.DATE, "2025-10-04", as_shown="2025-10-04"),
    9: RawCell(Kind.DATE, "2025-10-04T08:30:00", as_shown="2025-10-04 08:30"),
    10: RawCell(Kind.DURATION, 510.0, as_shown="8:30"),
    11: RawCell(Kind.DURATION, 1510.0, as_shown="25:10"),
    12: number(25.0),
    13: RawCell(Kind.ERROR, "#DIV/0!"),
    15: text("ab"),
    16: RawCell(Kind.DURATION, 3020.0, as_shown="50:20"),
}


def first_column(sheet: RawSheet) -> dict[int, RawCell]:
    return {row: cell for (row, column), cell in sheet.cells.items() if column == 1}


def test_file_from_openpyxl_has_formulas_without_values(tmp_path: Path) -> None:
    path = tmp_path / "season.xlsx"
    filled_book(path)
    book = read_workbook(path)
    formulas = {12: "=A4*2", 13: "=1/0", 14: '=IF(FALSE,1,"")', 15: '="a"&"b"', 16: "=A11*2"}
    typed = {row: cell for row, cell in COMPUTED.items() if row < 12}
    assert first_column(book.sheets[0]) == typed | {r: RawCell(Kind.NO_VALUE, f) for r, f in formulas.items()}
    assert book.template_version == "1.0"


def require_same(path: Path) -> None:
    """The reader's view of ``filled_book`` after another program saved it."""
    book = read_workbook(path)
    assert first_column(book.sheets[0]) == COMPUTED
    assert book.sheets[0].hidden_rows == {5}
    assert 3 in book.sheets[0].hidden_columns
    assert book.sheets[0].merged == ((1, 5, 2, 6),)
    assert book.template_version == "1.0"
    assert book.notes == ()
    if path.suffix == ".xlsx":
        require_as_library_reads(path, book)


def require_as_library_reads(path: Path, book: RawBook) -> None:
    """Every filled cell is one that openpyxl reads too, with the same text or number."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        other = openpyxl.load_workbook(path, data_only=True)
    for sheet in book.sheets:
        theirs = {
            (cell.row, cell.column): cell.value
            for row in other[sheet.title].iter_rows()
            for cell in row
            if cell.value not in (None, "")
        }
        assert theirs.keys() == sheet.cells.keys()
        for place, cell in sheet.cells.items():
            if cell.kind in (Kind.TEXT, Kind.NUMBER, Kind.BOOLEAN, Kind.ERROR):
                assert cell.value == theirs[place]


@pytest.mark.office
@pytest.mark.parametrize("ending", ["xlsx", "ods"])
def test_file_saved_by_an_office_program(ending: str, soffice: str, tmp_path: Path) -> None:
    (tmp_path / "in").mkdir()
    filled_book(tmp_path / "in" / "season.xlsx")
    profile = f"-env:UserInstallation=file://{tmp_path}/profile"
    command = [soffice, profile, "--headless", "--convert-to", ending, "--outdir", str(tmp_path)]
    subprocess.run([*command, str(tmp_path / "in" / "season.xlsx")], check=True, capture_output=True, timeout=120)
    require_same(tmp_path / f"season.{ending}")
    assert read_workbook(tmp_path / f"season.{ending}").sheets[1].hidden


@pytest.mark.office
@pytest.mark.parametrize("ending", ["xlsx", "ods"])
def test_file_saved_by_a_second_program(ending: str, tmp_path: Path) -> None:
    (tmp_path / "in").mkdir()
    filled_book(tmp_path / "in" / "season.xlsx")
    saved = tmp_path / f"season.{ending}"
    command = [program("ssconvert"), "--recalc", str(tmp_path / "in" / "season.xlsx"), str(saved)]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    require_same(saved)


@pytest.mark.office
def test_flat_open_document_is_named(soffice: str, tmp_path: Path) -> None:
    filled_book(tmp_path / "season.xlsx")
    profile = f"-env:UserInstallation=file://{tmp_path}/profile"
    command = [soffice, profile, "--headless", "--convert-to", "fods", "--outdir", str(tmp_path)]
    subprocess.run([*command, str(tmp_path / "season.xlsx")], check=True, capture_output=True, timeout=120)
    with pytest.raises(UnreadableWorkbook) as caught:
        read_workbook(tmp_path / "season.fods")
    assert caught.value.code == "file-wrong-kind"
    assert caught.value.facts["found"] == "a flat OpenDocument spreadsheet (.fods)"


@pytest.mark.parametrize("suffix", [".xlsx", ".ods"])
def test_time_of_saving_is_read(suffix: str, tmp_path: Path) -> None:
    path = tmp_path / f"season{suffix}"
    if suffix == ".ods":
        parts = build_ods.parts_of(build_ods.content(build_ods.table(build_ods.SOUND_ROWS)))
        moment = "2026-05-06T07:08:09"
        text = f"<meta><dc:date>{moment}.123</dc:date></meta>"
        path.write_bytes(build_bad.packed({**parts, "meta.xml": text.encode()}))
    else:
        workbook = openpyxl.Workbook()
        workbook.save(path)
        moment = workbook.properties.modified.isoformat(timespec="seconds")
    book = read_workbook(path)
    assert (book.saved, book.saved_day) == (moment, moment[:10])


@together(
    ("number_format", "shown"),
    [("0", "12"), ("#,##0", "12"), ("0.0", ""), ("0.00", ""), ("General", ""), ("@", ""), ("0;[Red]-0", "12")],
)
def test_rounded_number_keeps_what_the_cell_shows(number_format: str, shown: str, tmp_path: Path) -> None:
    workbook = openpyxl.Workbook()
    cell = workbook.active.cell(1, 1, 12.4)
    cell.number_format = number_format
    workbook.save(tmp_path / "season.xlsx")
    assert read_workbook(tmp_path / "season.xlsx").sheets[0].cells[1, 1].rounded == shown


@together(("seen", "rounded"), [("12", "12"), ("12,4", ""), ("12.40", ""), ("1,000", ""), ("13", "")])
def test_rounded_number_in_an_open_document(seen: str, rounded: str, tmp_path: Path) -> None:
    shown = (
        f'<table:table-cell office:value-type="float" office:value="12.4"><text:p>{seen}</text:p></table:table-cell>'
    )
    path = tmp_path / "season.ods"
    path.write_bytes(build_ods.with_rows(build_ods.row(shown)))
    assert [cell.rounded for cell in read_workbook(path).sheets[0].cells.values()] == [rounded]
