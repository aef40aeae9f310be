"""Workbooks are the same with and without lxml, which openpyxl uses to write if it is installed."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import lxml.etree  # of the test extra
import pytest
from openpyxl import load_workbook

from wood_xl.demo import demo_workbook

WITHOUT = "import sys; sys.modules['lxml'] = None"
INSTALLED = f"import lxml.etree; assert lxml.etree.LXML_VERSION == {lxml.etree.LXML_VERSION}"
IN_USE = "import openpyxl; assert openpyxl.LXML"  # by another program in the same process, before wood_xl is imported
WRITE = """
{first}
import sys
from pathlib import Path
from wood_xl.notes.problem import Place, problem
from wood_xl.demo import demo_workbook
from wood_xl.io.marked_copy import marked_copy
from wood_xl.report.book import results_bytes
from wood_xl.io.template import template_bytes
from wood_xl.pipeline import score_file

notes, out = Path(sys.argv[1]), Path(sys.argv[2])
(out / "notes.xlsx").write_bytes(demo_workbook("lake_cabin_metric"))
(out / "blank.xlsx").write_bytes(template_bytes("us", "USD", "letter"))
(out / "results.xlsx").write_bytes(results_bytes(score_file(notes, None).results, paper="a4"))
marks = [problem("cell-not-a-date", Place("Sessions", 5, 2, "Date"), found="=1+1")]
(out / "marked.xlsx").write_bytes(marked_copy(notes, marks).data)
"""
FILES = ("notes.xlsx", "blank.xlsx", "results.xlsx", "marked.xlsx")


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, bytes]]:
    found = {}
    notes = tmp_path_factory.mktemp("read") / "notes.xlsx"
    notes.write_bytes(demo_workbook("lake_cabin_metric"))
    environment = {name: value for name, value in os.environ.items() if name != "OPENPYXL_LXML"}
    for first in (WITHOUT, INSTALLED, IN_USE):
        out: Path = tmp_path_factory.mktemp("written")
        command = [sys.executable, "-c", WRITE.format(first=first), str(notes), str(out)]
        subprocess.run(command, env=environment, check=True, capture_output=True, text=True)
        found[first] = {name: (out / name).read_bytes() for name in FILES}
    return found


def cells(data: bytes) -> Iterator[Any]:
    for sheet in load_workbook(BytesIO(data)):
        yield sheet.title, sheet.freeze_panes, sheet.print_title_rows, len(sheet._charts)
        yield [(key, column.width) for key, column in sheet.column_dimensions.items()]
        for row in sheet.iter_rows():
            for cell in row:
                comment = cell.comment.text if cell.comment else ""
                yield cell.coordinate, cell.value, cell.data_type, cell.style, cell.number_format, comment


@pytest.mark.slow
@pytest.mark.parametrize("name", FILES)
def test_same_bytes_whether_it_is_installed_or_not(written: dict[str, dict[str, bytes]], name: str) -> None:
    assert written[INSTALLED][name] == written[WITHOUT][name]


@pytest.mark.slow
@pytest.mark.parametrize("name", FILES)
def test_same_cells_where_another_program_already_writes_through_it(
    written: dict[str, dict[str, bytes]], name: str
) -> None:
    assert list(cells(written[IN_USE][name])) == list(cells(written[WITHOUT][name]))
