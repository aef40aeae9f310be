"""A workbook with macros is read like any other; the macros are neither run nor copied."""

from __future__ import annotations

import zipfile
from io import BytesIO
from pathlib import Path

import pytest

from wood_xl.demo import demo_data, demo_names, demo_workbook
from wood_xl.io.marked_copy import marked_copy
from wood_xl.io.reader import read_workbook
from wood_xl.notes.season import check_season
from wood_xl.pipeline import check_file

PLAIN = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
MACRO = "application/vnd.ms-excel.sheet.macroEnabled.main+xml"


def with_macros(data: bytes) -> bytes:
    source, target = zipfile.ZipFile(BytesIO(data)), BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as out:
        for name in source.namelist():
            part = source.read(name)
            out.writestr(name, part.replace(PLAIN.encode(), MACRO.encode()) if "Content_Types" in name else part)
        out.writestr("xl/vbaProject.bin", b"\xd0\xcf\x11\xe0 not run")
    return target.getvalue()


def test_macro_workbook_is_read_and_its_macros_are_noted(tmp_path: Path) -> None:
    path = tmp_path / "season.xlsm"
    path.write_bytes(with_macros(demo_workbook(demo_names()[0])))
    book = read_workbook(path)
    assert check_season(book).document.rows("cuts") == demo_data(demo_names()[0])["cuts"]
    assert any("macro" in note for note in book.notes)
    assert "file-remark" in [found.code for found in check_file(path).problems]


@pytest.mark.slow
def test_marked_copy_holds_no_macros(tmp_path: Path) -> None:
    path = tmp_path / "season.xlsm"
    path.write_bytes(with_macros(demo_workbook(demo_names()[0])))
    copy = zipfile.ZipFile(BytesIO(marked_copy(path, []).data))
    assert "xl/vbaProject.bin" not in copy.namelist()
    assert MACRO not in copy.read("[Content_Types].xml").decode()
