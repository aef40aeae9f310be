"""No text that somebody typed is ever executed by a program that opens what this program writes."""

from __future__ import annotations

import csv
import re
import subprocess
import zipfile
from collections.abc import Iterator
from io import StringIO
from pathlib import Path
from typing import Any

import build_ods
import pytest
from builders import metric_workbook, small_season
from click.testing import CliRunner
from few import few, together
from openpyxl import load_workbook
from programs import program

from wood_xl.cli import main
from wood_xl.io.fill import filled_workbook
from wood_xl.io.pack import packed
from wood_xl.results.csv_package import inert_text

STARTS = ("=", "+", "-", "@", "\t=", "\r=", "\n=", " =", "\uff1d", "oak;=", "'=")
WORDS = "1+1"
FORMULA_IN_XLSX = re.compile(rb"<(?:\w+:)?f[ >/]")
FORMULA_IN_ODS = re.compile(rb"\sformula\s*=|:formula\s*=")


def season_of(start: str) -> dict[str, Any]:
    """A season whose every free text begins like a formula."""
    data = small_season()
    for sheet_id, rows in data.items():
        for row in rows if isinstance(rows, list) else []:
            for key in ("person", "tool", "tool_1", "item", "method", "session", "lot", "note"):
                if key in row:
                    row[key] = f"{start}{WORDS}{row[key]}"
        assert isinstance(rows, dict | list) or sheet_id == "version"
    data["sessions"][0]["note"] = f"{start}{WORDS}"
    data["season"] |= {"season_name": f"{start}{WORDS}", "place": f"{start}{WORDS}"}
    return data


@pytest.fixture(scope="module", params=few(STARTS, "\t="))
def written(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with everything that is written for a season of such texts, one cell with a fault among them."""
    folder = tmp_path_factory.mktemp("written")
    workbook = filled_workbook(season_of(request.param), system="metric", currency="NOK", paper="a4")
    workbook["Cuts"]["B4"] = f"{request.param}{WORDS}"
    workbook["Cuts"]["B4"].data_type = "s"
    (folder / "typed.xlsx").write_bytes(packed(workbook))
    (folder / "open.ods").write_bytes(build_ods.from_workbook(workbook))
    for name in ("typed.xlsx", "open.ods"):
        run("check", folder / name, "--marked-copy")
        run("score", folder / name, "--csv", folder / f"{name}-tables")
    assert len(list(folder.iterdir())) == 8
    return folder


def run(*arguments: object) -> None:
    result = CliRunner().invoke(main, [str(argument) for argument in arguments])
    assert result.exit_code in (0, 1), result.output


def parts(path: Path) -> Iterator[tuple[str, bytes]]:
    with zipfile.ZipFile(path) as archive:
        for name in archive.namelist():
            yield name, archive.read(name)


def test_nothing_written_holds_a_formula(written: Path) -> None:
    for path in written.glob("*.xlsx"):
        for name, content in parts(path):
            if name.startswith("xl/worksheets/"):
                assert not FORMULA_IN_XLSX.search(content), (path.name, name)
        for page in load_workbook(path).worksheets:
            assert all(cell.data_type != "f" for row in page.iter_rows() for cell in row)
    for path in written.glob("*.ods"):
        assert not FORMULA_IN_ODS.search(dict(parts(path))["content.xml"])
    inputs = load_workbook(written / "typed-results.xlsx")["Inputs"]
    assert any(WORDS in str(cell.value) for row in inputs.iter_rows() for cell in row), "the texts are there"


@together("separator", [",", ";", "\t"])
def test_no_cell_of_a_csv_starts_like_a_formula(separator: str, written: Path) -> None:
    seen = 0
    for path in written.glob("*-tables/*.csv"):
        text = path.read_text(encoding="utf-8")
        for row in csv.reader(StringIO(text), delimiter=separator):
            for cell in row:
                seen += WORDS in cell
                assert is_harmless(cell), (path.name, cell)
    assert seen


def is_harmless(cell: str) -> bool:
    start = cell.strip()[:1]
    return start not in ("=", "@", "+", "-", "\uff1d") or is_number(cell)


def is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


@together(
    ("text", "written"),
    [
        ("=1", "'=1"), ("+1", "'+1"), ("-", "'-"), ("@a", "'@a"), ("\t=1", "\t'=1"), ("\r=1", "\r'=1"),
        (" =1", "' =1"), ("a\n=1", "a\n'=1"), ("a;  +1", "a;'  +1"), ("a\t@b", "a\t'@b"), ("\uff1d1", "'\uff1d1"),
        ("oak - dry", "oak - dry"), ("a=b", "a=b"), ("'=1", "'=1"), ("", ""), (-1.5, -1.5), (None, None),
    ],
)  # fmt: skip
def test_inert_text(text: object, written: object) -> None:
    assert inert_text(text) == written


@pytest.mark.office
@pytest.mark.slow
@pytest.mark.parametrize(("start", "separator"), [("=", 44), ("oak;=", 59)])
def test_spreadsheet_programs_find_no_formula(start: str, separator: int, soffice: str, tmp_path: Path) -> None:
    """Everything opened and saved by two programs: a cell with a formula would be written as one."""
    data = season_of(start)
    (tmp_path / "typed.xlsx").write_bytes(metric_workbook(data))
    run("score", tmp_path / "typed.xlsx", "--csv", tmp_path / "tables")
    files = [*tmp_path.glob("*.xlsx"), *tmp_path.glob("tables/*.csv")]
    assert len(files) > 6
    folder = tmp_path / "saved"
    command = [soffice, f"-env:UserInstallation=file://{tmp_path}/profile", "--headless",
               f"--infilter=CSV:{separator},34,76,1,,0,false,true,false,false,false,-1,true",
               "--convert-to", "ods", "--outdir", str(folder)]  # fmt: skip
    subprocess.run([*command, *map(str, files)], check=True, capture_output=True, timeout=240)
    for file in files:
        second = folder / f"second-{file.stem}.ods"
        subprocess.run([program("ssconvert"), str(file), str(second)], check=True, capture_output=True, timeout=60)
        for saved in (folder / f"{file.stem}.ods", second):
            assert not FORMULA_IN_ODS.search(dict(parts(saved))["content.xml"]), saved.name
