"""OpenDocument spreadsheets give the same raw cells as workbooks of the .xlsx family."""

from __future__ import annotations

import re
from pathlib import Path

import build_bad
import build_ods
import pytest
from build_ods import content, number, ods, row, table, text, with_rows
from few import together
from hypothesis import given
from hypothesis import strategies as st

from wood_xl.errors import UnreadableWorkbook
from wood_xl.io.reader import read_workbook
from wood_xl.notes.raw import Kind, RawBook, RawCell, RawSheet
from wood_xl.page_texts import InFile
from wood_xl.schema.layout import HEADER_SEARCH_ROWS, VERSION_NAME
from wood_xl.schema.words import words


def read_bytes(data: bytes, tmp_path: Path) -> RawBook:
    path = tmp_path / "season.ods"
    path.write_bytes(data)
    return read_workbook(path)


def read_rows(rows: str, tmp_path: Path, *, before: str = "") -> RawSheet:
    return read_bytes(with_rows(rows, before=before), tmp_path).sheets[0]


def values(sheet: RawSheet) -> dict[tuple[int, int], object]:
    return {place: cell.value for place, cell in sheet.cells.items()}


def cell_xml(attributes: str, shown: str | None = None) -> str:
    inside = "" if shown is None else f"<text:p>{shown}</text:p>"
    return f"<table:table-cell {attributes}>{inside}</table:table-cell>"


def value(kind: str, attributes: str) -> str:
    return f'office:value-type="{kind}" {attributes}'


def a_text(words: str) -> RawCell:
    return RawCell(Kind.TEXT, words)


def a_number(amount: float, *, percent: bool = False) -> RawCell:
    return RawCell(Kind.NUMBER, amount, percent=percent)


def a_time(minutes: float, shown: str) -> RawCell:
    return RawCell(Kind.DURATION, minutes, as_shown=shown)


def a_date(moment: str, shown: str) -> RawCell:
    return RawCell(Kind.DATE, moment, as_shown=shown)


def an_error(words: str) -> RawCell:
    return RawCell(Kind.ERROR, words)


def fault(data: bytes, tmp_path: Path) -> UnreadableWorkbook:
    with pytest.raises(UnreadableWorkbook) as caught:
        read_bytes(data, tmp_path)
    return caught.value


@together(
    ("attributes", "shown", "expected"),
    [
        (value("float", 'office:value="12.5"'), "12,5", a_number(12.5)),
        (value("float", 'office:value="1e999"'), "1e999", an_error("1e999")),
        (value("float", 'office:value="NaN"'), "", an_error("NaN")),
        (value("float", ""), "7", a_number(7.0)),  # the shown text stands in for a missing value
        (
            value("currency", 'office:currency="EUR" office:value="3.5"'),
            "3,50 €",
            RawCell(Kind.NUMBER, 3.5, as_shown="EUR"),
        ),
        (value("percentage", 'office:value="0.85"'), "85%", a_number(0.85, percent=True)),
        (value("float", 'office:value="0.85"'), "85.00%", a_number(0.85, percent=True)),
        (value("float", 'office:value="0.005"'), "0,5 %", a_number(0.005, percent=True)),
        (value("float", 'office:value="85"'), "85%", a_number(85.0)),  # the sign is only text there
        (value("float", 'office:value="85"'), "much %", a_number(85.0)),
        (value("date", 'office:date-value="2025-10-04"'), "04.10.25", a_date("2025-10-04", "2025-10-04")),
        (
            value("date", 'office:date-value="2025-10-04T08:30:00"'),
            "",
            a_date("2025-10-04T08:30:00", "2025-10-04 08:30"),
        ),
        (
            value("date", 'office:date-value="2025-10-04T08:29:59.999999999"'),
            "",
            a_date("2025-10-04T08:30:00", "2025-10-04 08:30"),
        ),
        (value("date", 'office:date-value="1899-12-30T07:12:00"'), "", a_time(432.0, "7:12")),
        (value("date", 'office:date-value="1899-12-30"'), "", a_time(0.0, "0:00")),
        (value("date", 'office:date-value=""'), "", an_error("#####")),
        (value("date", 'office:date-value="9999-12-31T23:59:59.9999"'), "", an_error("9999-12-31T23:59:59.9999")),
        (value("date", ""), "4 Oct", an_error("4 Oct")),
        (value("time", 'office:time-value="PT08H30M00S"'), "08:30", a_time(510.0, "8:30")),
        (value("time", 'office:time-value="PT025H10M00S"'), "01:10", a_time(1510.0, "25:10")),
        (value("time", 'office:time-value="P1DT1H10M"'), "", a_time(1510.0, "25:10")),
        (value("time", 'office:time-value="-PT12H00M00S"'), "-12:00", a_time(-720.0, "-12:00")),
        (value("time", 'office:time-value="PT01H11M00.4S"'), "", a_time(71.006666667, "1:11")),
        (value("time", 'office:time-value="PT"'), "x", an_error("PT")),
        (value("time", 'office:time-value="P1Y"'), "", an_error("P1Y")),
        (value("time", 'office:time-value="PT9999999999H"'), "", an_error("PT9999999999H")),
        (value("time", 'office:time-value="PT999999999H"'), "", an_error("#####")),
        (value("boolean", 'office:boolean-value="true"'), "WAHR", RawCell(Kind.BOOLEAN, True)),
        (value("boolean", 'office:boolean-value="false"'), "FALSCH", RawCell(Kind.BOOLEAN, False)),
        (value("string", ""), "12,5", a_text("12,5")),
        (value("string", 'office:string-value="as it is"'), "as shown", a_text("as it is")),
        (value("string", ""), "#1", a_text("#1")),
        (value("string", ""), "=1+1", a_text("=1+1")),
        (value("string", ""), "", None),
        (value("string", ""), None, None),
        ("", None, None),
        ('table:style-name="ce1"', None, None),
        ("", "no kind is given", a_text("no kind is given")),
    ],
)
def test_kinds_of_cells(attributes: str, shown: str | None, expected: RawCell | None, tmp_path: Path) -> None:
    assert read_rows(row(cell_xml(attributes, shown)), tmp_path).cells.get((1, 1)) == expected


ERROR = 'office:value-type="string" office:string-value="" calcext:value-type="error"'


@together(
    ("attributes", "shown", "expected"),
    [
        ('table:formula="of:=SUM(1;2)" office:value-type="float" office:value="3"', "3", a_number(3.0)),
        ('table:formula="of:=&quot;a&quot;" office:value-type="string"', "a", a_text("a")),
        (f'table:formula="of:=1/0" {ERROR}', "#DIV/0!", an_error("#DIV/0!")),
        (f'table:formula="of:=1/0" {ERROR}', None, an_error("#####")),
        ('table:formula="of:=1/0" office:value-type="string" office:string-value="#N/A"', "#N/A", an_error("#N/A")),
        ('table:formula="=1/0" office:value-type="float" office:value="0"', "Err:502", an_error("Err:502")),
        ('table:formula="of:=B1" office:value-type="string"', "#1 saw", a_text("#1 saw")),
        ('table:formula="of:=IF(FALSE();1;&quot;&quot;)"', "", None),  # the result is an empty text
        ('table:formula="of:=IF(1;&quot;&quot;)" office:value-type="string" office:string-value=""', "", None),
        ('table:formula="of:=[.B1]*2"', None, RawCell(Kind.NO_VALUE, "=[.B1]*2")),
        ('table:formula="=B1*2"', None, RawCell(Kind.NO_VALUE, "=B1*2")),
        (
            'table:formula="of:=TRUE()" office:value-type="float" office:value="1"',
            "TRUE",
            RawCell(Kind.BOOLEAN, True),
        ),
    ],
)
def test_formulas(attributes: str, shown: str | None, expected: RawCell | None, tmp_path: Path) -> None:
    assert read_rows(row(cell_xml(attributes, shown)), tmp_path).cells.get((1, 1)) == expected


@together(
    ("inside", "expected"),
    [
        ("<text:p>one</text:p><text:p>two</text:p>", "one\ntwo"),
        ("<text:p>one</text:p><text:p/><text:p>three</text:p>", "one\n\nthree"),
        ('<text:p><text:s/>lead <text:s/>two <text:s text:c="2"/>three </text:p>', " lead  two   three "),
        ("<text:p>tab<text:tab/>and<text:line-break/>line</text:p>", "tab\tand\nline"),
        ("<text:p>\n   laid \t out\n in lines</text:p>", "laid out in lines"),
        ('<text:p>a<text:span text:style-name="T1"> b<text:s/> </text:span>c</text:p>', "a b  c"),
        ('<text:p><text:a xlink:href="https://example.org/">a link</text:a> here</text:p>', "a link here"),
        ("<text:p><![CDATA[<b>]]> &amp; &#x1F332;</text:p>", "<b> & \U0001f332"),
        (
            "<office:annotation><dc:creator>me</dc:creator><text:p>x</text:p></office:annotation> <text:p>c</text:p>",
            "c",
        ),
        ("<text:p>c</text:p><draw:frame><draw:text-box><text:p>drawn</text:p></draw:text-box></draw:frame>", "c"),
        (
            "<text:p><text:ruby>a<text:ruby-text>read so</text:ruby-text></text:ruby>b</text:p>",
            "ab",
        ),
        ("<text:p>c<text:note><text:note-body><text:p>below</text:p></text:note-body></text:note>d</text:p>", "cd"),
    ],
)
def test_texts(inside: str, expected: str, tmp_path: Path) -> None:
    rows = row(f'<table:table-cell office:value-type="string">{inside}</table:table-cell>{number(1)}')
    assert values(read_rows(rows, tmp_path)) == {(1, 1): expected, (1, 2): 1.0}


def test_comment_in_an_empty_cell_is_no_value(tmp_path: Path) -> None:
    remark = "<table:table-cell><office:annotation><text:p>x</text:p></office:annotation></table:table-cell>"
    assert values(read_rows(row(remark + number(1)), tmp_path)) == {(1, 2): 1.0}


def test_filled_cells_are_repeated_and_blank_ones_skipped(tmp_path: Path) -> None:
    rows = (
        row("<table:table-cell table:number-columns-repeated='16384'/>", "table:number-rows-repeated='3'")
        + row(
            "<table:table-cell table:number-columns-repeated='2'/>"
            + number(7, "table:number-columns-repeated='3'")
            + "<table:table-cell table:number-columns-repeated='999999999'/>",
            "table:number-rows-repeated='2'",
        )
        + row("<table:table-cell/>", "table:number-rows-repeated='1048500'")
        + row("<table:table-cell/>", "table:number-rows-repeated='999999999'")
    )
    assert values(read_rows(rows, tmp_path)) == {(r, c): 7.0 for r in (4, 5) for c in (3, 4, 5)}


@together("typed", ["0", "-1", "two", "1.5", "", "9999999999"])
def test_a_count_below_1_is_named_with_its_sheet(typed: str, tmp_path: Path) -> None:
    rows = row(number(7, f"table:number-columns-repeated='{typed}'"))
    found = fault(with_rows(rows), tmp_path)
    assert (found.code, found.facts["found"]) == (
        "file-damaged",
        f'sheet "Sessions" has "{typed}" where a number from 1 up belongs',
    )


def test_rows_and_columns_in_groups(tmp_path: Path) -> None:
    hidden, filtered = "table:visibility='collapse'", "table:visibility='filter'"
    before = (
        "<table:table-column-group><table:table-header-columns><table:table-column/></table:table-header-columns>"
        f"<table:table-column {hidden} table:number-columns-repeated='2'/></table:table-column-group>"
        f"<table:table-columns><table:table-column {filtered}/></table:table-columns>"
        "<table:table-column table:number-columns-repeated='16380'/>"
    )
    rows = (
        f"<table:table-header-rows>{row(text('Session'))}</table:table-header-rows>"
        f"<table:table-row-group>{row(number(1), hidden)}"
        f"<table:table-rows>{row(number(2), filtered)}</table:table-rows></table:table-row-group>"
        + row("<table:table-cell/>", hidden)
        + row(number(3), "table:visibility='visible'")
    )
    sheet = read_rows(rows, tmp_path, before=before)
    assert values(sheet) == {(1, 1): "Session", (2, 1): 1.0, (3, 1): 2.0, (5, 1): 3.0}
    assert sheet.hidden_rows == {2, 3}
    assert sheet.hidden_columns == {2, 3, 4}


def test_merged_cells_and_what_they_cover(tmp_path: Path) -> None:
    spanned = 'table:number-columns-spanned="2" table:number-rows-spanned="3"'
    single = 'table:number-columns-spanned="1" table:number-rows-spanned="1"'
    covered = '<table:covered-table-cell office:value-type="float" office:value="9"><text:p>9</text:p>'
    rows = row(number(1, single) + text("m", spanned) + covered + "</table:covered-table-cell>" + number(2))
    sheet = read_rows(rows, tmp_path)
    assert sheet.merged == ((1, 2, 3, 3),)
    assert values(sheet) == {(1, 1): 1.0, (1, 2): "m", (1, 3): 9.0, (1, 4): 2.0}


def test_hidden_sheet(tmp_path: Path) -> None:
    styles = (
        '<style:style style:name="ta1" style:family="table"><style:table-properties table:display="true"/>'
        '</style:style><style:style style:name="ta2" style:family="table"><style:table-properties '
        'table:display="false"/></style:style><style:style style:name="ta1" style:family="table-cell">'
        '<style:table-properties table:display="false"/></style:style>'
    )
    tables = table(build_ods.SOUND_ROWS, attributes='table:style-name="ta1"') + table(
        build_ods.SOUND_ROWS, title="Other &amp; more", attributes='table:style-name="ta2"'
    )
    sheets = read_bytes(ods(content(tables, styles=styles)), tmp_path).sheets
    assert [(sheet.title, sheet.hidden) for sheet in sheets] == [("Sessions", False), ("Other & more", True)]


@pytest.mark.parametrize(
    "aside",
    [
        f"<table:tracked-changes>{table(build_ods.SOUND_ROWS, title='was')}</table:tracked-changes>",
        f"<table:dde-links>{table(build_ods.SOUND_ROWS, title='theirs')}</table:dde-links>",
    ],
)
def test_tables_that_are_not_sheets(aside: str, tmp_path: Path) -> None:
    book = read_bytes(ods(content(aside + table(build_ods.SOUND_ROWS), after=aside)), tmp_path)
    assert [sheet.title for sheet in book.sheets] == ["Sessions"]


def test_shapes_are_not_cells(tmp_path: Path) -> None:
    shapes = f"<table:shapes><draw:frame>{table(row(number(3)))}</draw:frame></table:shapes>"
    assert values(read_rows(build_ods.SOUND_ROWS, tmp_path, before=shapes)) == {(1, 1): "Session", (2, 1): 12.5}


@together(
    ("name", "version"),
    [
        ('table:named-range table:cell-range-address="$Sessions.$B$1"', "1.0"),
        ("table:named-range table:cell-range-address=\"$'Sessions'.$B$1\"", "1.0"),
        ('table:named-range table:cell-range-address="sessions.B1"', "1.0"),
        ('table:named-range table:cell-range-address="$Sessions.$C$1"', "2"),
        ('table:named-range table:cell-range-address="$Sessions.$D$9"', None),
        ('table:named-range table:cell-range-address="$Other.$B$1"', None),
        ('table:named-expression table:expression="of:=&quot;1.2&quot;"', "1.2"),
        ('table:named-expression table:expression="1.2"', "1.2"),
        ('table:named-expression table:expression=""', None),
    ],
)
def test_template_version(name: str, version: str | None, tmp_path: Path) -> None:
    names = f'<table:named-expressions><{name} table:name="{VERSION_NAME}"/></table:named-expressions>'
    tables = table(row("<table:table-cell/>" + text("1.0") + number(2)))
    assert read_bytes(ods(content(tables, after=names)), tmp_path).template_version == version


def test_row_limit_counts_filled_rows(tmp_path: Path) -> None:
    path = tmp_path / "season.ods"
    blank = row("<table:table-cell/>")
    rows = "".join(row(number(i)) + blank for i in range(1, 11)) + row(number(11), 'table:number-rows-repeated="20"')
    path.write_bytes(with_rows(rows))
    (sheet,) = read_workbook(path, row_limits={"sessions": 5}).sheets
    kept = 5 + HEADER_SEARCH_ROWS
    assert [cell.value for cell in sheet.cells.values()] == [float(min(i, 11)) for i in range(1, kept + 1)]
    assert sheet.rows_beyond_limit == 30 - kept


@pytest.mark.parametrize("part", ["Basic/Standard/Module1.xml", "Scripts/python/run.py"])
def test_macros_are_noted(part: str, tmp_path: Path) -> None:
    parts = build_ods.parts_of(content(table(build_ods.SOUND_ROWS))) | {part: "<x/>"}
    assert read_bytes(build_bad.packed(parts), tmp_path).notes == (words(InFile.MACROS),)


@pytest.mark.parametrize(
    "inside", ['<table:table-source xlink:href="other.ods"/>', '<table:cell-range-source xlink:href="other.ods"/>']
)
def test_external_data_is_noted(inside: str, tmp_path: Path) -> None:
    tables = table(build_ods.SOUND_ROWS, before=inside)
    assert read_bytes(ods(content(tables)), tmp_path).notes == (words(InFile.OUTSIDE),)


@pytest.mark.parametrize("left_out", ["mimetype", "META-INF/manifest.xml", "styles.xml"])
def test_optional_parts_may_be_missing(left_out: str, tmp_path: Path) -> None:
    parts = build_ods.parts_of(content(table(build_ods.SOUND_ROWS)))
    del parts[left_out]
    assert values(read_bytes(build_bad.packed(parts), tmp_path).sheets[0]) == {(1, 1): "Session", (2, 1): 12.5}


def test_old_manifest_with_a_document_type(tmp_path: Path) -> None:
    parts = build_ods.parts_of(content(table(build_ods.SOUND_ROWS)))
    listed = str(parts["META-INF/manifest.xml"])
    parts["META-INF/manifest.xml"] = f'<!DOCTYPE manifest:manifest PUBLIC "a" "Manifest.dtd">{listed}'
    assert read_bytes(build_bad.packed(parts), tmp_path).sheets


def test_template_file_is_read(tmp_path: Path) -> None:
    parts = build_ods.parts_of(content(table(build_ods.SOUND_ROWS))) | {
        "mimetype": f"{build_ods.MIMETYPE}-template\n"
    }
    assert read_bytes(build_bad.packed(parts), tmp_path).sheets


@pytest.mark.parametrize("before", [0, 131_060, 131_072])
def test_encrypted_file_is_named(before: int, tmp_path: Path) -> None:
    parts = build_ods.parts_of(content(table(build_ods.SOUND_ROWS)))
    locked = "<manifest:file-entry><manifest:encryption-data/></manifest:file-entry>"
    filler = "".join(f"<manifest:file-entry manifest:full-path='{i}'/>" for i in range(before // 40))
    parts["META-INF/manifest.xml"] = build_ods.MANIFEST.format(more=filler[:before] + locked)
    assert fault(build_bad.packed(parts), tmp_path).code == "file-encrypted"


def test_archive_without_a_spreadsheet_is_refused(tmp_path: Path) -> None:
    other = content(table(build_ods.SOUND_ROWS)).replace("office:spreadsheet", "office:text")
    found = fault(build_bad.packed({"content.xml": other}), tmp_path)
    assert (found.code, found.facts["found"]) == ("file-wrong-kind", "an OpenDocument file without a sheet")
    assert fault(ods(content("")), tmp_path).code == "file-no-sheets"


@pytest.mark.parametrize("prefix", ["t", "table1", "_a.b-c"])
def test_other_prefixes(prefix: str, tmp_path: Path) -> None:
    xml = re.sub(r"(?<=[</ ])table:", f"{prefix}:", content(table(build_ods.SOUND_ROWS)))
    xml = xml.replace("xmlns:table=", f"xmlns:{prefix}=")
    assert "table:table" not in xml
    assert values(read_bytes(ods(xml), tmp_path).sheets[0]) == {(1, 1): "Session", (2, 1): 12.5}


def test_equal_texts_share_one_cell(tmp_path: Path) -> None:
    cells = read_rows(row(text("birch") + text("birch") + text("oak")), tmp_path).cells
    assert cells[1, 1] is cells[1, 2]
    assert cells[1, 3].value == "oak"


@given(
    words=st.lists(
        st.text(st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"], exclude_characters="\ufffe\uffff")),
        max_size=6,
    )
)
def test_any_text_is_read_back(words: list[str], tmp_path_factory: pytest.TempPathFactory) -> None:
    def escaped(line: str) -> str:
        plain = line.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
        return plain.replace(" ", "<text:s/>")

    rows = row("".join(text(escaped(line)) for line in words) + number(1))
    path = tmp_path_factory.getbasetemp() / "any.ods"
    path.write_bytes(with_rows(rows))
    found = values(read_workbook(path).sheets[0])
    assert found == {(1, i): line for i, line in enumerate(words, start=1) if line} | {(1, len(words) + 1): 1.0}
