"""Results saved again by a spreadsheet program still hold: every cell, and the seal."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest
from programs import program

from wood_xl.demo import demo_names, demo_workbook
from wood_xl.pipeline import score_file
from wood_xl.report.book import results_bytes
from wood_xl.results.share import shared
from wood_xl.results.verify_study import verify_file
from wood_xl.scoring import PAPERS

pytestmark = [pytest.mark.office, pytest.mark.slow]


def saved_by_office(path: Path, folder: Path) -> list[str]:
    profile = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
    return [program("soffice"), profile, "--headless", "--convert-to", "xlsx", "--outdir", str(folder), str(path)]


def saved_by_gnumeric(path: Path, folder: Path) -> list[str]:
    return [program("ssconvert"), "--export-type=Gnumeric_Excel:xlsx2", str(path), str(folder / path.name)]


@pytest.mark.parametrize("command", [saved_by_office, saved_by_gnumeric], ids=["soffice", "ssconvert"])
@pytest.mark.parametrize("share", [False, True])
@pytest.mark.parametrize("name", demo_names())
def test_saved_results_hold(name: str, share: bool, command, tmp_path: Path) -> None:
    """Once and twice in a row, whole and shared: no part of them is told as changed."""
    path, folders = tmp_path / "season.xlsx", [tmp_path / "once", tmp_path / "twice"]
    path.write_bytes(demo_workbook(name))
    results = score_file(path, None).results
    assert results is not None
    paper = PAPERS[results["provenance"]["display_units"]]
    path.write_bytes(results_bytes(shared(results) if share else results, paper=paper))
    told = verify_file(path).problems()
    for folder in folders:
        folder.mkdir()
        subprocess.run(command(path, folder), check=True, capture_output=True, timeout=120)
        saved = folder / path.name
        assert saved.read_bytes() != path.read_bytes()
        assert verify_file(saved).problems() == told
        path = saved
