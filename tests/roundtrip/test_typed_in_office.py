"""A season typed into the template in a real spreadsheet program gives the same results as one written by us."""

from __future__ import annotations

import datetime as dt
import json
import shutil
import subprocess
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook

from wood_xl.demo import demo_data, demo_names, demo_workbook
from wood_xl.io.template import template_bytes
from wood_xl.pipeline import score_file
from wood_xl.schema.model import season_definition

pytestmark = [pytest.mark.office, pytest.mark.slow]

SYSTEM_PYTHON = "/usr/bin/python3"
SCRIPT = Path(__file__).with_name("type_into_office.py")


def as_typed(value: Any) -> str:
    if isinstance(value, dt.datetime):
        return value.date().isoformat()
    return repr(value) if isinstance(value, float) else str(value)


def entries(blank: Workbook, filled: Workbook) -> list[tuple[str, int, int, str]]:
    """What must be typed into the blank workbook to get the filled one."""
    return [
        (sheet.title, cell.row, cell.column, as_typed(cell.value))
        for sheet in season_definition().sheets
        for row in filled[sheet.title].iter_rows()
        for cell in row
        if cell.value is not None and cell.value != blank[sheet.title].cell(cell.row, cell.column).value
    ]


@pytest.mark.parametrize("name", demo_names())
def test_typed_season_scores_the_same(name: str, soffice: str, tmp_path: Path) -> None:
    data = demo_data(name)
    system = "us" if data["units"]["season"]["stick_length"] == "in" else "metric"
    paper = "letter" if system == "us" else "a4"
    blank, ours, saved = tmp_path / "blank.xlsx", tmp_path / "ours.xlsx", tmp_path / "saved.xlsx"
    blank.write_bytes(template_bytes(system=system, currency=data["season"]["currency"], paper=paper))
    ours.write_bytes(demo_workbook(name))
    typed = entries(load_workbook(blank), load_workbook(BytesIO(ours.read_bytes())))
    assert len(typed) > 1000
    listed = tmp_path / "entries.json"
    listed.write_text(json.dumps(typed), encoding="utf-8")
    pipe = f"wood_xl_{name}"
    office = subprocess.Popen(
        [soffice, "--headless", "--norestore", "--nologo", f"--accept=pipe,name={pipe};urp;",
         f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}"],
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    try:
        python = SYSTEM_PYTHON if Path(SYSTEM_PYTHON).exists() else str(shutil.which("python3"))
        done = subprocess.run(
            [python, str(SCRIPT), pipe, str(blank), str(listed), str(saved)],
            check=False, capture_output=True, text=True, timeout=240,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        office.wait(timeout=60)
    finally:
        office.kill()
        office.wait()
    theirs, own = score_file(saved, None), score_file(ours, None)
    assert theirs.results is not None
    assert own.results is not None
    for results in (theirs.results, own.results):
        del results["provenance"]["input_sha256"]
    assert theirs.results == own.results
