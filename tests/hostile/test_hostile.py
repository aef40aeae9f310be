"""Every file, however broken, gives raw cells or one named fault, and stays unchanged."""

from __future__ import annotations

import random
import stat
import time
import tracemalloc
from pathlib import Path

import build_bad
import pytest
from few import examples, few, together
from hypothesis import given, settings
from hypothesis import strategies as st

from wood_xl.errors import UnreadableWorkbook
from wood_xl.io import limits
from wood_xl.io.reader import read_workbook
from wood_xl.notes.problem import Level, problem
from wood_xl.notes.raw import Kind, RawBook

SECONDS = 5.0  # of processor time for one bad file
BANNED = ("invalid", "illegal", "error in", "please", "!")


def fault(path: Path) -> UnreadableWorkbook:
    with pytest.raises(UnreadableWorkbook) as caught:
        read_workbook(path)
    return caught.value


def line_of(found: UnreadableWorkbook) -> str:
    worded = problem(found.code, **found.facts)
    assert worded.level is Level.STOP
    return worded.line()


def read_or_named(path: Path) -> bool:
    """Whether the file is read, or refused with a message."""
    try:
        return isinstance(read_workbook(path), RawBook)
    except UnreadableWorkbook as found:
        return bool(line_of(found))


@pytest.mark.parametrize("name", few(build_bad.CASES, *list(build_bad.CASES)[::9]))
def test_bad_file_is_named_and_left_unchanged(name: str, tmp_path: Path) -> None:
    code, build = build_bad.CASES[name]
    path = tmp_path / "season.xlsx"
    data = build()
    path.write_bytes(data)
    path.chmod(stat.S_IRUSR)
    start = time.process_time()
    found = fault(path)
    assert time.process_time() - start < SECONDS
    assert found.code == code
    line = line_of(found)
    assert line.startswith("season.xlsx")
    assert len(line) <= 300
    assert "\n" not in line
    assert not any(word in line.lower() for word in BANNED)
    assert path.read_bytes() == data


@together("name", build_bad.SOUND)
def test_odd_but_sound_file_is_read(name: str, tmp_path: Path) -> None:
    path = tmp_path / "season.xlsx"
    data = build_bad.SOUND[name]()
    path.write_bytes(data)
    start = time.process_time()
    (sheet,) = read_workbook(path).sheets
    assert time.process_time() - start < SECONDS
    assert {place: cell.value for place, cell in sheet.cells.items()} == {(1, 1): "Session", (2, 1): 12.5}
    assert path.read_bytes() == data


@together(
    ("name", "words"),
    [
        ("PDF", "a PDF document"),
        ("photograph", "an image"),
        ("CSV", "a plain text file (CSV or the like)"),
        ("CSV in UTF-16", "a plain text file (CSV or the like)"),
        ("web page", "a web page (HTML)"),
        ("plain XML spreadsheet", "a spreadsheet written as plain XML"),
        ("other archive", "a zip archive without a workbook in it"),
        ("text document", "a text document (.docx)"),
        ("slides", "a slide show (.pptx)"),
        ("binary workbook", "a binary workbook (.xlsb)"),
        ("open text", "an OpenDocument text (.odt)"),
        ("flat open spreadsheet", "a flat OpenDocument spreadsheet (.fods)"),
        ("flat open text", "an OpenDocument text in plain XML"),
    ],
)
def test_wrong_kind_of_file_is_named(name: str, words: str, tmp_path: Path) -> None:
    path = tmp_path / "season.xlsx"
    path.write_bytes(build_bad.CASES[name][1]())
    assert words in line_of(fault(path))


def test_missing_file(tmp_path: Path) -> None:
    assert fault(tmp_path / "none.xlsx").code == "file-missing"
    (tmp_path / "a file").write_bytes(b"x")
    assert fault(tmp_path / "a file" / "season.xlsx").code == "file-missing"
    assert fault(tmp_path / "nul\0.xlsx").code == "file-missing"


def test_folder(tmp_path: Path) -> None:
    assert fault(tmp_path).code == "file-folder"


def test_name_too_long_for_the_system(tmp_path: Path) -> None:
    assert fault(tmp_path / ("x" * 5000 + ".xlsx")).code == "file-system"


def test_device_is_not_read() -> None:
    assert fault(Path("/dev/zero")).code == "file-wrong-kind"


def test_unreadable_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "season.xlsx"
    path.write_bytes(build_bad.SOUND["plain"]())

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)  # permissions do not stop root
    assert fault(path).code == "file-no-permission"


def test_name_with_line_break_stays_on_one_line(tmp_path: Path) -> None:
    assert "\n" not in line_of(fault(tmp_path / "two\nlines.xlsx"))


def test_text_that_is_too_long_names_its_cell(tmp_path: Path) -> None:
    path = tmp_path / "season.xlsx"
    text = "x" * (limits.MAX_TEXT_LENGTH + limits.PIECE_BYTES)
    path.write_bytes(build_bad.with_sheet(f'<row r="3"><c r="B3" t="inlineStr"><is><t>{text}</t></is></c></row>'))
    assert 'damaged: the text in row 3, column 2 of sheet "Sessions" is longer' in line_of(fault(path))


def test_bomb_takes_little_memory(tmp_path: Path) -> None:
    path = tmp_path / "season.xlsx"
    for build in (build_bad.bomb, build_bad.bomb_beside, build_bad.long_text, build_bad.with_lying_size):
        path.write_bytes(build())
        tracemalloc.start()
        fault(path)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        assert peak < 30_000_000


@pytest.mark.parametrize(
    ("limit", "rows"),
    [
        ("MAX_FILLED_CELLS", "".join(f'<row r="{i}"><c r="A{i}"><v>1</v></c></row>' for i in range(1, 102))),
        ("MAX_BLANK_CELLS", build_bad.blank_rows(51, cells=2)),
        ("MAX_ROW_RECORDS", build_bad.blank_rows(101, cells=0)),
    ],
)
def test_too_many_cells(limit: str, rows: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "season.xlsx"
    path.write_bytes(build_bad.with_sheet(rows))
    monkeypatch.setattr(limits, limit, 102)
    assert isinstance(read_workbook(path), RawBook)
    monkeypatch.setattr(limits, limit, 100)
    found = fault(path)
    assert found.code == "file-too-many-cells"
    assert '"Sessions"' in line_of(found)


def test_many_small_ranges_count_together(tmp_path: Path) -> None:
    merged = "".join(f'<mergeCell ref="A{i}:CV{i + 999}"/>' for i in range(1, 2002, 1000))
    path = tmp_path / "season.xlsx"
    path.write_bytes(build_bad.with_sheet("", after=f"<mergeCells>{merged}</mergeCells>"))
    assert fault(path).code == "file-range-too-large"


@pytest.mark.slow
def test_a_million_rows_with_a_color(tmp_path: Path) -> None:
    path = tmp_path / "season.xlsx"
    path.write_bytes(build_bad.with_sheet(build_bad.blank_rows(1_000_000, cells=0)))
    assert read_workbook(path).sheets[0].cells == {}


@pytest.mark.slow
def test_two_million_blank_cells(tmp_path: Path) -> None:
    path = tmp_path / "season.xlsx"
    path.write_bytes(build_bad.with_sheet(build_bad.blank_rows(250_000, cells=9)))
    assert fault(path).code == "file-too-many-cells"


def test_too_many_texts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "season.xlsx"
    path.write_bytes(
        build_bad.with_part("xl/sharedStrings.xml", f'<sst xmlns="{build_bad.MAIN}">{"<si/>" * 101}</sst>')
    )
    assert isinstance(read_workbook(path), RawBook)
    monkeypatch.setattr(limits, "MAX_SHARED_TEXTS", 100)
    assert fault(path).code == "file-damaged"


LINK = '<Relationship Id="a{}" Type="x/y" Target="z"/>'
SHEET = '<sheet name="Sessions" sheetId="{}" r:id="rId1"/>'
WITHOUT_END = {
    "MAX_RELATIONS": ("xl/_rels/workbook.xml.rels", "</Relationships>", LINK),
    "MAX_SHEETS": ("xl/workbook.xml", "</sheets>", SHEET),
}


@pytest.mark.parametrize("limit", WITHOUT_END)
def test_endless_lists(limit: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    part, end, entry = WITHOUT_END[limit]
    parts = build_bad.sound_parts()
    parts[part] = parts[part].replace(end, "".join(entry.format(number) for number in range(2, 60)) + end)
    path = tmp_path / "season.xlsx"
    path.write_bytes(build_bad.packed(parts))
    assert isinstance(read_workbook(path), RawBook)
    monkeypatch.setattr(limits, limit, 50)
    assert fault(path).code == "file-damaged"


def test_endless_hidden_columns(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "season.xlsx"
    path.write_bytes(build_bad.with_sheet("", before='<cols><col min="1" max="16384" hidden="1"/></cols>'))
    assert isinstance(read_workbook(path), RawBook)
    monkeypatch.setattr(limits, "MAX_HIDDEN_COLUMNS", 16_000)
    assert fault(path).code == "file-damaged"


def filled_workbook() -> bytes:
    rows = "".join(
        f'<row r="{i}"><c r="A{i}" t="s"><v>0</v></c><c r="B{i}"><v>{i / 7}</v></c>'
        f'<c r="C{i}" t="inlineStr"><is><t>note {i}</t></is></c><c r="D{i}"><f>B{i}*2</f><v>{i}</v></c></row>'
        for i in range(1, 40)
    )
    return build_bad.with_sheet(rows, after='<mergeCells><mergeCell ref="F1:G2"/></mergeCells>')


@together("share", [i / 60 for i in range(60)])
def test_cut_off_anywhere(share: float, tmp_path: Path) -> None:
    data = filled_workbook()
    path = tmp_path / "season.xlsx"
    path.write_bytes(data[: int(len(data) * share)])
    assert fault(path).code == ("file-cut-off" if share else "file-empty")


@together("missing", range(1, 30))
def test_cut_off_near_the_end(missing: int, tmp_path: Path) -> None:
    path = tmp_path / "season.xlsx"
    path.write_bytes(filled_workbook()[:-missing])
    assert fault(path).code == "file-cut-off"


@together("packing", ["stored", "deflated"])
@together("seed", range(8))
def test_flipped_bytes(seed: int, packing: str, tmp_path: Path) -> None:
    chosen = random.Random(seed)  # noqa: S311 - to choose bytes, not secrets
    path = tmp_path / "season.xlsx"
    sound = filled_workbook()
    if packing == "stored":
        sound = build_bad.packed(build_bad.sound_parts(), method=0)
    for _ in range(100):
        data = bytearray(sound)
        for _ in range(chosen.randint(1, 6)):
            data[chosen.randrange(len(data))] = chosen.randrange(256)
        path.write_bytes(data)
        assert read_or_named(path)


TAGS = ["row", "c", "v", "f", "is", "t", "si", "r=", "t=", "s=", "ref=", "min=", "numFmtId=", "r:id=", "Target="]


@together("seed", range(8))
def test_changed_xml(seed: int, tmp_path: Path) -> None:
    """Changes inside the parts, packed again so that all checksums fit."""
    chosen = random.Random(seed)  # noqa: S311
    path = tmp_path / "season.xlsx"
    parts = build_bad.sound_parts(formats='<xf numFmtId="14"/><xf numFmtId="46"/>')
    parts[build_bad.SHEET] = build_bad.sheet_xml(
        '<row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" s="1"><v>45934</v></c><c r="C1" s="2"><v>1.5</v></c></row>',
        before='<cols><col min="1" max="2" hidden="1"/></cols>',
        after='<mergeCells><mergeCell ref="F1:G2"/></mergeCells>',
    )
    names = sorted(parts)
    for _ in range(100):
        name = chosen.choice(names)
        text = str(parts[name])
        place = chosen.randrange(len(text))
        put = chosen.choice([*TAGS, "", "-1", "9" * 30, "1e999", "\u0665", "&", "<", '"', "A1:XFD1048576", "nan"])
        length = chosen.randint(0, 12)
        path.write_bytes(build_bad.packed(parts | {name: text[:place] + put + text[place + length :]}))
        assert read_or_named(path)


@settings(deadline=None, max_examples=examples(300))
@given(
    data=st.binary(max_size=200), start=st.sampled_from([b"", b"PK\x03\x04", build_bad.OLE, b"<?xml ", b"PK\x05\x06"])
)
def test_any_bytes(data: bytes, start: bytes, tmp_path_factory: pytest.TempPathFactory) -> None:
    path = tmp_path_factory.getbasetemp() / "any.xlsx"
    path.write_bytes(start + data)
    assert line_of(fault(path))


@together("number", ["1e999", "-1e999", "nan", "NaN", "inf", "1_000", "abc", "9" * 400, "1,5", "\u0665"])
def test_invalid_number_becomes_an_error_cell(number: str, tmp_path: Path) -> None:
    path = tmp_path / "season.xlsx"
    path.write_bytes(build_bad.with_sheet(f'<row r="1"><c r="A1"><v>{number}</v></c></row>'))
    cell = read_workbook(path).sheets[0].cells[1, 1]
    assert cell.kind is Kind.ERROR
    assert cell.value == number[:40]
