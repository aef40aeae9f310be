"""Results saved again by a spreadsheet program still hold: every cell, and the seal."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest
from programs import program

from wood_xl.demo import demo_names, demo_workbook
from wood_xl.io.page import PAPERS
from wood_xl.page_texts import Unlike
from wood_xl.pipeline import score_file
from wood_xl.report.book import results_bytes
from wood_xl.results.share import shared
from wood_xl.results.verify_study import verify_file

pytestmark = [pytest.mark.office, pytest.mark.slow]


def saved_by_office(path: Path, folder: Path) -> list[str]:
    profile = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
    return [program("soffice"), profile, "--headless", "--convert-to", "xlsx", "--outdir", str(folder), str(path)]


def saved_by_gnumeric(path: Path, folder: Path) -> list[str]:
    return [program("ssconvert"), "--export-type=Gnumeric_Excel:xlsx2", str(path), str(folder / path.name)]


PROGRAMS = {"o": saved_by_office, "g": saved_by_gnumeric}
# In turn they leave bars without a fill and name points after whiskers, make a column of usual width too narrow to
# read, and write the font of a footer into its text: a person sees that, and it is told.
SEEN_IN_TURN = {Unlike.PICTURE, Unlike.WIDTH, Unlike.FOOTER}


@pytest.mark.parametrize("chain", ["oooo", "gggg", "og", "gogo"])
@pytest.mark.parametrize("share", [False, True])
@pytest.mark.parametrize("name", demo_names())
def test_saved_results_hold(name: str, share: bool, chain: str, tmp_path: Path) -> None:
    """Again and again, by one program and by both in turn, whole and shared: over 50 saves without a false alarm."""
    path = tmp_path / "season.xlsx"
    path.write_bytes(demo_workbook(name))
    results = score_file(path, None).results
    assert results is not None
    paper = PAPERS[results["provenance"]["display_units"]]
    path.write_bytes(results_bytes(shared(results) if share else results, paper=paper))
    told = verify_file(path).problems()
    for turn, program_of in enumerate(chain):
        folder = tmp_path / str(turn)
        folder.mkdir()
        subprocess.run(PROGRAMS[program_of](path, folder), check=True, capture_output=True, timeout=120)
        saved = folder / path.name
        assert saved.read_bytes() != path.read_bytes()
        found = verify_file(saved)
        if len(set(chain[: turn + 1])) == 1:
            assert found.problems() == told
        assert {one.what for one in found.differences} <= SEEN_IN_TURN
        assert found.seal_holds
        path = saved
