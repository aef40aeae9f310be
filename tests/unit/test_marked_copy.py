"""Marked copies have every mark in its place and lose nothing that was typed, in both formats."""

from __future__ import annotations

import datetime as dt
import re
import zipfile
from io import BytesIO
from pathlib import Path
from typing import Any

import build_bad
import build_ods
import pytest
from build_ods import content, number, ods, row, table, text
from builders import metric_workbook, small_season
from few import together
from openpyxl import Workbook, load_workbook
from openpyxl.comments import Comment

from wood_xl.errors import UnreadableWorkbook
from wood_xl.io import marked_copy as module
from wood_xl.io.fill import filled_workbook
from wood_xl.io.marked_copy import marked_copy
from wood_xl.io.ods_marks import FIX_FILL
from wood_xl.io.pack import packed
from wood_xl.io.reader import read_workbook
from wood_xl.notes.problem import Level, Place, Problem, in_report_order, problem
from wood_xl.pipeline import check_file
from wood_xl.schema.layout import HEADER_ROW, MARKS_TITLE

MIMETYPE_AT = 30  # after the header of the first part


def mark(sheet: str, row_number: int, column: int, words: str = "x") -> Problem:
    return problem("cell-not-a-date", Place(sheet, row_number, column, "Date"), found=words)


def saved(data: bytes, tmp_path: Path, name: str = "season.ods") -> Path:
    path = tmp_path / name
    path.write_bytes(data)
    return path


def content_of(data: bytes) -> str:
    return zipfile.ZipFile(BytesIO(data)).read("content.xml").decode()


def marked_ods(xml: str, problems: list[Problem], tmp_path: Path) -> str:
    """Content of the copy, once both files were read with the same cells."""
    path = saved(ods(xml), tmp_path)
    copied = marked_copy(path, problems)
    assert copied.suffix == ".ods"
    again = saved(copied.data, tmp_path, "again.ods")
    assert [one for one in read_workbook(again).sheets if one.title != MARKS_TITLE] == list(
        read_workbook(path).sheets
    )
    return without_list(content_of(copied.data))


def without_list(xml: str) -> str:
    """Content without the list of problems and its styles."""
    bare = re.sub(f'<table:table table:name="{MARKS_TITLE}".*?</table:table>', "", xml, flags=re.DOTALL)
    return re.sub(r'<style:style style:name="wood_xl_\d_(?!mark).*?</style:style>', "", bare)


MARKED = mark("Sessions", 1, 1, "{}")
COMMENT = (
    '<office:annotation svg:width="8.5cm" svg:height="3.7cm"><dc:creator>wood_xl</dc:creator><text:p>FIX: '
    f"{MARKED.text} {MARKED.mend}</text:p></office:annotation>"
)
FIX_LOOK = f'fo:background-color="{FIX_FILL}" fo:border="2.5pt solid #1f1f1f"'
BOLD = '<style:text-properties fo:font-weight="bold"/>'
FIX_STYLE = (
    '<style:style style:name="wood_xl_1_mark_1" style:family="table-cell">'
    f"<style:table-cell-properties {FIX_LOOK}/>{BOLD}</style:style>"
)


@together(
    ("rows", "place", "expected"),
    [
        (  # a cell of its own
            row(text("a") + number(1)),
            (1, 2),
            row(
                text("a")
                + '<table:table-cell office:value-type="float" office:value="1" table:style-name="wood_xl_1_mark_1">'
                f"{COMMENT.format('x')}<text:p>1</text:p></table:table-cell>"
            ),
        ),
        (  # one of several repeated cells
            row(number(7, 'table:number-columns-repeated="5"')),
            (1, 3),
            row(
                number(7, 'table:number-columns-repeated="2"')
                + '<table:table-cell office:value-type="float" office:value="7" table:style-name="wood_xl_1_mark_1">'
                f"{COMMENT.format('x')}<text:p>7</text:p></table:table-cell>"
                + number(7, 'table:number-columns-repeated="2"')
            ),
        ),
        (  # one of many repeated rows
            row("<table:table-cell/>", 'table:number-rows-repeated="1000"') + row(number(2)),
            (10, 1),
            row("<table:table-cell/>", 'table:number-rows-repeated="9"')
            + row(
                f'<table:table-cell table:style-name="wood_xl_1_mark_1">{COMMENT.format("x")}</table:table-cell>'
            ).replace("row >", "row>")
            + row("<table:table-cell/>", 'table:number-rows-repeated="990"')
            + row(number(2)),
        ),
        (  # after the last cell of the row
            row(number(1)),
            (1, 4),
            row(
                number(1)
                + '<table:table-cell table:number-columns-repeated="2"/>'
                + f'<table:table-cell table:style-name="wood_xl_1_mark_1">{COMMENT.format("x")}</table:table-cell>'
            ),
        ),
        (  # a row without a cell
            "<table:table-row/>",
            (1, 1),
            row(f'<table:table-cell table:style-name="wood_xl_1_mark_1">{COMMENT.format("x")}</table:table-cell>'),
        ),
    ],
)
def test_only_the_marked_cell_changes(rows: str, place: tuple[int, int], expected: str, tmp_path: Path) -> None:
    before = content(table(rows + row(text("last"))))
    after = marked_ods(before, [mark("Sessions", *place)], tmp_path)
    plain = content(table(expected + row(text("last"))), styles=FIX_STYLE)
    assert " ".join(after.split()).replace(" >", ">") == " ".join(plain.split()).replace(" >", ">")


@pytest.mark.parametrize(
    ("style", "fill"),
    [
        (
            "<style:table-cell-properties fo:padding='1mm'/>",
            f"<style:table-cell-properties fo:padding='1mm' {{}}/>{BOLD}",
        ),
        (
            '<style:table-cell-properties fo:border-left="none"/><style:text-properties fo:color="#111111"/>',
            '<style:table-cell-properties {}/><style:text-properties fo:color="#111111" fo:font-weight="bold"/>',
        ),
        ("<style:text-properties/>", f"<style:table-cell-properties {{}}/>{BOLD}"),
        ("", f"<style:table-cell-properties {{}}/>{BOLD}"),
    ],
)
def test_marked_style_is_otherwise_like_the_cells_own(style: str, fill: str, tmp_path: Path) -> None:
    own = '<style:style style:name="ce1" style:family="table-cell" style:data-style-name="N49">'
    xml = content(table(row(number(1, 'table:style-name="ce1"'))), styles=f"{own}{style}</style:style>")
    after = marked_ods(xml, [mark("Sessions", 1, 1)], tmp_path)
    marked = fill.format(FIX_LOOK)
    named = 'style:family="table-cell" style:data-style-name="N49" style:name="wood_xl_1_mark_1"'
    assert f"<style:style {named}>{marked}</style:style></office:automatic-styles>" in after
    assert f"{own}{style}</style:style>" in after


@pytest.mark.parametrize(
    ("column", "row_style", "base"),
    [
        ('table:default-cell-style-name="Named &amp; old"', "", "Named &amp; old"),
        ("", "fromrow", "fromrow"),
        ("", "", ""),
    ],
)
def test_style_of_column_or_row_is_the_default(column: str, row_style: str, base: str, tmp_path: Path) -> None:
    attribute = f'table:default-cell-style-name="{row_style}"' if row_style else ""
    rows = row(number(1) + number(2), attribute)
    xml = content(table(rows, before=f'<table:table-column {column} table:number-columns-repeated="4"/>'))
    after = marked_ods(xml, [mark("Sessions", 1, 1), mark("Sessions", 1, 2)], tmp_path)
    assert after.count("<style:style ") == 1
    assert (f'style:parent-style-name="{base}"' in after) == bool(base)


def test_comment_of_the_user_stays(tmp_path: Path) -> None:
    theirs = "<office:annotation><dc:creator>me</dc:creator><text:p>mine</text:p></office:annotation>"
    empty = "<office:annotation/>"
    cells = "".join(f"<table:table-cell>{one}<text:p>a</text:p></table:table-cell>" for one in (theirs, empty))
    after = marked_ods(content(table(row(cells))), [mark("Sessions", 1, 1), mark("Sessions", 1, 2)], tmp_path)
    assert after.count("<office:annotation") == 2
    assert "<dc:creator>me</dc:creator><text:p>FIX: " in after
    assert "</text:p><text:p>mine</text:p></office:annotation><text:p>a</text:p>" in after


def test_rows_of_tables_that_are_not_sheets_are_not_counted(tmp_path: Path) -> None:
    aside = f"<table:shapes><draw:frame>{table(row(number(3)))}</draw:frame></table:shapes>"
    drawn = f"<table:table-cell><draw:frame>{table(row(number(3)))}</draw:frame></table:table-cell>"
    xml = content(table(row(drawn) + row(number(2)), before=aside))
    after = marked_ods(xml, [mark("Sessions", 2, 1)], tmp_path)
    assert 'office:value="2" table:style-name="wood_xl_1_mark_1"' in " ".join(after.split())


def test_marks_on_missing_sheets_and_rows_change_nothing(tmp_path: Path) -> None:
    xml = content(table(row(number(1))))
    assert marked_ods(xml, [mark("Other", 1, 1), mark("Sessions", 9, 1)], tmp_path) == xml


@pytest.mark.parametrize(
    "xml",
    [
        content(table(build_ods.SOUND_ROWS)).replace('encoding="UTF-8"', 'encoding="UTF-16"').encode("utf-16"),
        content(table(build_ods.SOUND_ROWS)).replace(f' xmlns:fo="{build_ods.NAMESPACE}:xsl-fo-compatible:1.0"', ""),
    ],
)
def test_content_that_cannot_be_edited_is_refused(xml: str | bytes, tmp_path: Path) -> None:
    path = saved(ods(xml), tmp_path)
    assert read_workbook(path).sheets
    with pytest.raises(UnreadableWorkbook) as caught:
        marked_copy(path, [mark("Sessions", 1, 1)])
    assert caught.value.code == "file-not-copied"


@pytest.mark.parametrize("suffix", [".xlsx", ".ods"])
def test_workbook_that_is_too_large_is_refused(suffix: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    data = (
        build_bad.packed(build_bad.sound_parts()) if suffix == ".xlsx" else build_ods.with_rows(build_ods.SOUND_ROWS)
    )
    path = saved(data, tmp_path, f"season{suffix}")
    assert marked_copy(path, []).suffix == suffix
    monkeypatch.setitem(module.MAX_COPIED_TAGS, suffix, 5)
    with pytest.raises(UnreadableWorkbook) as caught:
        marked_copy(path, [])
    assert caught.value.code == "file-too-large-to-copy"


def test_macros_and_signatures_are_not_copied(tmp_path: Path) -> None:
    parts = build_ods.parts_of(content(table(build_ods.SOUND_ROWS))) | {
        "Basic/Standard/Module1.xml": "<x/>",
        "META-INF/documentsignatures.xml": "<x/>",
        "META-INF/manifest.xml": build_ods.MANIFEST.format(
            more='<manifest:file-entry manifest:full-path="Basic/Standard/Module1.xml" manifest:media-type=""/>'
        ),
    }
    copied = zipfile.ZipFile(BytesIO(marked_copy(saved(build_bad.packed(parts), tmp_path), []).data))
    assert sorted(copied.namelist()) == ["META-INF/manifest.xml", "content.xml", "mimetype", "styles.xml"]
    assert b"Basic" not in copied.read("META-INF/manifest.xml")


def test_mimetype_is_first_and_uncompressed(tmp_path: Path) -> None:
    data = marked_copy(saved(build_ods.with_rows(build_ods.SOUND_ROWS), tmp_path), []).data
    assert data[MIMETYPE_AT:].startswith(b"mimetype" + build_ods.MIMETYPE.encode())


def season_with_faults() -> Workbook:
    data: dict[str, Any] = small_season()
    workbook = filled_workbook(data, system="metric", currency="NOK", paper="a4")
    workbook["Cuts"]["B4"] = "about 20"
    workbook["Sessions"]["C5"] = None
    return workbook


@pytest.mark.parametrize("suffix", [".xlsx", ".ods"])
def test_every_fault_of_a_season_is_marked(suffix: str, tmp_path: Path) -> None:
    workbook = season_with_faults()
    data = packed(workbook) if suffix == ".xlsx" else build_ods.from_workbook(workbook)
    path = saved(data, tmp_path, f"season{suffix}")
    checked = check_file(path)
    copied = marked_copy(path, checked.problems)
    assert copied.suffix == suffix
    again = check_file(saved(copied.data, tmp_path, f"again{suffix}"))
    assert [found.line() for found in again.problems] == [found.line() for found in checked.problems]
    places = {found.where for found in checked.problems if found.level.name == "FIX"}
    assert places == {"Cuts!B4", "Sessions!C5"}
    if suffix == ".xlsx":
        marked = load_workbook(BytesIO(copied.data))
        for place in places:
            title, cell = place.split("!")
            assert (marked[title][cell].fill.fgColor.rgb, marked[title][cell].font.b) == ("00" + FIX_FILL[1:], True)
            assert marked[title][cell].comment.text.startswith("FIX: ")
    else:
        assert content_of(copied.data).count("<text:p>FIX: ") == len(places)


@pytest.mark.parametrize(
    "rows",
    [
        pytest.param((0, 1, 2), marks=pytest.mark.slow),
        pytest.param((0, 2), marks=pytest.mark.slow),
        (0, 1, 3, 5),
    ],
)
def test_a_renamed_method_is_marked_wherever_its_former_name_stands(rows: tuple[int, ...], tmp_path: Path) -> None:
    data: dict[str, Any] = small_season()
    data["sessions"] += [{**data["sessions"][0], "session": f"More {n}"} for n in range(4)]
    for index in rows:
        data["sessions"][index]["method"] = "Bow sow by hand"
    workbook = filled_workbook(data, system="metric", currency="NOK", paper="a4")
    path = saved(packed(workbook), tmp_path, "season.xlsx")
    marked = load_workbook(BytesIO(marked_copy(path, check_file(path).problems).data))["Sessions"]
    found = [cell.row for row in marked.iter_rows() for cell in row if cell.value == "Bow sow by hand"]
    cells = [
        cell.row for row in marked.iter_rows() for cell in row if cell.comment and "Bow sow" in cell.comment.text
    ]
    assert len(found) == len(rows)
    assert cells == found


def test_comment_in_an_xlsx_stays_too(tmp_path: Path) -> None:
    workbook = Workbook()
    workbook.active.title = "Sessions"
    workbook.active["A1"] = "text"
    workbook.active["A1"].comment = Comment("mine", "me")
    path = tmp_path / "season.xlsx"
    workbook.save(path)
    comment = load_workbook(BytesIO(marked_copy(path, [mark("Sessions", 1, 1)]).data))["Sessions"]["A1"].comment
    assert comment.text.startswith("FIX: ")
    assert comment.text.endswith("\n\nmine")


def test_mark_on_merged_cells_goes_to_the_first(tmp_path: Path) -> None:
    workbook = Workbook()
    workbook.active.title = "Sessions"
    workbook.active["A1"] = "text"
    workbook.active.merge_cells("A1:B2")
    path = tmp_path / "season.xlsx"
    workbook.save(path)
    copied = load_workbook(BytesIO(marked_copy(path, [mark("Sessions", 2, 2)]).data))
    assert copied["Sessions"]["A1"].comment is not None


def test_value_under_merged_cells_stays(tmp_path: Path) -> None:
    """Some programs store it. Without it there would be no list that says to unmerge the cells."""
    rows = (
        '<row r="1"><c r="A1"><v>1</v></c><c r="B1"><v>2</v></c></row>'
        '<row r="2"><c r="B2" t="inlineStr"><is><t>=I4</t></is></c></row>'
    )
    merged = '<mergeCells><mergeCell ref="A1:B2"/></mergeCells>'
    path = saved(build_bad.with_sheet(rows, after=merged), tmp_path, "season.xlsx")
    copied = saved(marked_copy(path, [mark("Sessions", 1, 1)]).data, tmp_path, "copy.xlsx")
    sheets = [book.sheets for book in map(read_workbook, (path, copied))]
    assert (sheets[1][1].cells, sheets[1][1].merged) == (sheets[0][0].cells, sheets[0][0].merged)
    assert len(sheets[0][0].cells) == 3


def test_an_error_is_marked_beside_a_text_of_the_same_letters(tmp_path: Path) -> None:
    """The list of problems has a text with the same letters as the error."""
    formula = 'table:formula="of:=1/0" office:value-type="string" office:string-value="" calcext:value-type="error"'
    cell = f"<table:table-cell {formula}><text:p>#DIV/0!</text:p></table:table-cell>"
    path = saved(ods(content(table(row(cell)))), tmp_path)
    (found,) = [problem("cell-error-value", Place("Sessions", 1, 1, "Date"), found="#DIV/0!")]
    assert "FIX: " in content_of(marked_copy(path, [found]).data)


def test_formula_stays_a_formula(tmp_path: Path) -> None:
    rows = '<row r="1"><c r="A1"><f>B1*2</f><v>4</v></c><c r="B1"><v>2</v></c></row>'
    path = saved(build_bad.with_sheet(rows), tmp_path, "season.xlsx")
    assert load_workbook(BytesIO(marked_copy(path, []).data))["Sessions"]["A1"].value == "=B1*2"


def test_style_numbers_with_gaps_stay_valid(tmp_path: Path) -> None:
    """The copy refers to no style beyond its list of styles."""
    parts = build_bad.sound_parts('<row r="1"><c r="A1" s="1"><v>1</v></c><c r="B1" s="1"><v>2</v></c></row>')
    one = '<xf numFmtId="0" fontId="0" fillId="0" borderId="0"/>'
    parts["xl/styles.xml"] = (
        f'<styleSheet xmlns="{build_bad.MAIN}"><fonts><font><sz val="10"/></font></fonts>'
        "<fills><fill><patternFill/></fill></fills>"
        f"<borders><border/></borders><cellStyleXfs>{one * 18}</cellStyleXfs><cellXfs>{one}"
        '<xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="17"/></cellXfs><cellStyles>'
        '<cellStyle name="Normal" xfId="0" builtinId="0"/><cellStyle name="Own" xfId="17"/></cellStyles></styleSheet>'
    )
    copied = marked_copy(saved(build_bad.packed(parts), tmp_path, "season.xlsx"), [mark("Sessions", 1, 1)])
    styles = zipfile.ZipFile(BytesIO(copied.data)).read("xl/styles.xml").decode()
    named = int(re.search(r'<cellStyleXfs count="(\d+)"', styles)[1])
    used = {int(number) for number in re.findall(r'xfId="(\d+)"', styles)}
    assert named >= 2
    assert used <= set(range(named))


def saved_season(suffix: str, tmp_path: Path) -> Path:
    workbook = season_with_faults()
    workbook["Sessions"]["J4"] = 500  # unusually long pauses
    data = packed(workbook) if suffix == ".xlsx" else build_ods.from_workbook(workbook)
    return saved(data, tmp_path, f"season{suffix}")


@pytest.mark.parametrize("suffix", [".xlsx", ".ods"])
def test_first_sheet_lists_the_problems(suffix: str, tmp_path: Path) -> None:
    path = saved_season(suffix, tmp_path)
    problems = [one for one in check_file(path).problems if one.level < Level.NOTE]
    copied = marked_copy(path, problems)
    first = read_workbook(saved(copied.data, tmp_path, f"again{suffix}")).sheets[0]
    assert first.title == MARKS_TITLE
    rows = [
        tuple(str(first.cells[row, column].value) for column in (1, 2, 3, 5, 6) if (row, column) in first.cells)
        for row in range(HEADER_ROW + 1, HEADER_ROW + 1 + len(problems))
    ]
    told = [
        tuple(filter(None, (one.level.name, one.place.sheet, one.place.cell, one.text, one.mend))) for one in problems
    ]
    assert rows == told
    assert ("FIX", "Cuts", "B4") in [row[:3] for row in rows]
    if suffix == ".ods":
        assert 'xlink:href="#$Cuts.B4">B4</text:a>' in content_of(copied.data)
        return
    page = load_workbook(BytesIO(copied.data)).worksheets[0]
    links = [page.cell(row, 3).hyperlink.location for row in range(HEADER_ROW + 1, HEADER_ROW + 1 + len(rows))]
    assert "'Cuts'!B4" in links


def test_fix_and_look_differ_without_color(tmp_path: Path) -> None:
    workbook = Workbook()
    workbook.active.title = "Sessions"
    path = saved(packed(workbook), tmp_path, "season.xlsx")
    look = problem("season-date-out-of-order", Place("Sessions", 2, 1), found="2026-01-01")
    page = load_workbook(BytesIO(marked_copy(path, [mark("Sessions", 1, 1), look]).data))["Sessions"]
    sides = [page[cell].border.left for cell in ("A1", "A2")]
    assert [side.style for side in sides] == ["thick", "mediumDashed"]
    assert [side.color.rgb for side in sides] == ["FF1F1F1F", "FF404040"], "some programs draw no other lines"
    assert [bool(page[cell].font.b) for cell in ("A1", "A2")] == [True, False]
    xml = marked_ods(content(table(row(number(1)) + row(number(2)))), [mark("Sessions", 1, 1), look], tmp_path)
    assert re.findall(r'fo:border="([^"]*)"', xml) == ["2.5pt solid #1f1f1f", "1.5pt dashed #404040"]
    assert xml.count('fo:font-weight="bold"') == 1


def test_empty_cell_keeps_the_format_of_its_column(tmp_path: Path) -> None:
    workbook = Workbook()
    workbook.active.title = "Sessions"
    workbook.active["A1"], workbook.active["A1"].number_format = 0.375, "h:mm"
    workbook.active.column_dimensions["B"].number_format = "h:mm"
    path = saved(packed(workbook), tmp_path, "season.xlsx")
    page = load_workbook(BytesIO(marked_copy(path, [mark("Sessions", 1, 1), mark("Sessions", 1, 2)]).data))[
        "Sessions"
    ]
    assert [page[cell].number_format for cell in ("A1", "B1")] == ["h:mm", "h:mm"]
    assert page["A1"].value == dt.time(9)


def test_each_cell_of_one_problem_is_listed_and_loses_its_mark_when_fixed(tmp_path: Path) -> None:
    """The list once named only the first of them, and the others kept their mark."""
    data = small_season()
    data["cuts"] = [{"session": "A", "diameter": -3 if n % 2 else 20} for n in range(40)]
    path = tmp_path / "season.xlsx"
    path.write_bytes(metric_workbook(data))
    found = in_report_order(check_file(path).problems, ["Cuts"])
    assert [one.count for one in found if one.place.sheet == "Cuts"] == [20]
    once = load_workbook(BytesIO(marked_copy(path, found).data))
    named = [cell.value for cell in once[MARKS_TITLE]["C"][HEADER_ROW:]]
    assert named[:20] == [f"B{row}" for row in range(5, 44, 2)]
    once["Cuts"]["B7"] = 20
    mended = saved(packed(once), tmp_path, "mended.xlsx")
    again = in_report_order(check_file(mended).problems, ["Cuts"])
    twice = load_workbook(BytesIO(marked_copy(mended, again).data))["Cuts"]
    assert [twice[cell].font.b for cell in ("B5", "B7", "B9")] == [True, False, True]


@pytest.mark.parametrize("texts_n", [1, 2, 300])
def test_a_problem_counts_all_its_cells(texts_n: int) -> None:
    """Once, of cells that lie apart, only the first 101 were counted and marked."""
    at = [Place("Cuts", row, 2, "Diameter [cm]") for row in range(4, 604, 2)]
    found = [Problem("cell-no-value", Level.FIX, one, f"Found {n % texts_n}.", "") for n, one in enumerate(at)]
    told = in_report_order(found, ["Cuts"])
    assert sum(one.count for one in told) == 300
    assert "300 cells)" in told[0].line() or sum(len([*one.rows]) for one in told) == 300


@pytest.mark.slow
def test_marks_are_not_stacked(tmp_path: Path) -> None:
    """After one cell is fixed and the copy is marked again, its mark is gone and the other is there once."""
    path = saved_season(".xlsx", tmp_path)
    looks_of = ("fill", "border", "font", "number_format")
    plain = load_workbook(path)["Cuts"]["B4"]
    once = load_workbook(BytesIO(marked_copy(path, check_file(path).problems).data))
    once["Cuts"]["B4"] = 20
    mended = saved(packed(once), tmp_path, "mended.xlsx")
    twice = load_workbook(BytesIO(marked_copy(mended, check_file(mended).problems).data))
    assert twice.sheetnames == once.sheetnames
    assert twice.sheetnames.count(MARKS_TITLE) == 1
    cell = twice["Cuts"]["B4"]
    assert cell.comment is None
    assert [repr(getattr(cell, part)) for part in looks_of] == [repr(getattr(plain, part)) for part in looks_of]
    assert twice["Sessions"]["C5"].comment.text == once["Sessions"]["C5"].comment.text
    third = saved(packed(twice), tmp_path, "third.xlsx")
    unmarked = load_workbook(BytesIO(marked_copy(third, []).data))
    assert unmarked.sheetnames == load_workbook(path).sheetnames
    assert repr(unmarked["Sessions"]["C5"].border) == repr(load_workbook(path)["Sessions"]["C5"].border)


def test_marks_of_an_open_document_are_not_stacked(tmp_path: Path) -> None:
    theirs = "<office:annotation><text:p>mine</text:p></office:annotation>"
    rows = row(
        number(1, 'table:style-name="ce1"') + f"<table:table-cell>{theirs}<text:p>a</text:p></table:table-cell>"
    )
    xml = content(table(rows), styles='<style:style style:name="ce1" style:family="table-cell"/>')
    marks = [mark("Sessions", 1, 1), mark("Sessions", 1, 2)]
    once = marked_copy(saved(ods(xml), tmp_path), marks).data
    path = saved(once, tmp_path, "once.ods")
    twice = content_of(marked_copy(path, marks).data)
    assert twice.count(f'table:name="{MARKS_TITLE}"') == 1
    assert twice.count("<text:p>FIX: ") == content_of(once).count("<text:p>FIX: ") == 2
    gone = content_of(marked_copy(path, []).data)
    assert MARKS_TITLE not in gone
    assert "FIX: " not in gone
    assert gone.count("<office:annotation") == 1
    assert " ".join(rows.split()).replace(" >", ">") in " ".join(gone.split()).replace(" >", ">")


def test_same_bytes_each_time(tmp_path: Path) -> None:
    path = saved(build_ods.from_workbook(season_with_faults()), tmp_path)
    problems = check_file(path).problems
    assert marked_copy(path, problems) == marked_copy(path, problems)
