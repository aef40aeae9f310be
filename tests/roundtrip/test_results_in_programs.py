"""Results saved again by a spreadsheet program still hold: every cell, and the seal."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest
from programs import program

from wood_xl.demo import demo_names, demo_workbook
from wood_xl.io.results import results_bytes
from wood_xl.pipeline import score_file
from wood_xl.results.verify import verify_file

pytestmark = [pytest.mark.office, pytest.mark.slow]


def saved_by_office(path: Path, folder: Path) -> list[str]:
    profile = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
    return [program("soffice"), profile, "--headless", "--convert-to", "xlsx", "--outdir", str(folder), str(path)]


def saved_by_gnumeric(path: Path, folder: Path) -> list[str]:
    return [program("ssconvert"), "--export-type=Gnumeric_Excel:xlsx2", str(path), str(folder / path.name)]


@pytest.mark.parametrize("command", [saved_by_office, saved_by_gnumeric], ids=["soffice", "ssconvert"])
@pytest.mark.parametrize("name", demo_names())
def test_saved_results_hold(name: str, command, tmp_path: Path) -> None:
    path, folder = tmp_path / "season.xlsx", tmp_path / "saved"
    folder.mkdir()
    path.write_bytes(demo_workbook(name))
    results = score_file(path, None).results
    assert results is not None
    path.write_bytes(results_bytes(results, paper="a4"))
    subprocess.run(command(path, folder), check=True, capture_output=True, timeout=120)
    saved = folder / path.name
    assert saved.read_bytes() != path.read_bytes()
    assert verify_file(saved).problems() == []
