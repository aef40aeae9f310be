"""The reading sheets as an office program prints them: pages and the size of letters, on both papers."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path
from typing import Literal

import pytest
from builders import reading_pages
from few import few
from programs import program

from wood_xl.demo import demo_names, demo_workbook
from wood_xl.pipeline import score_file
from wood_xl.report.book import results_bytes

MOST_READING, MOST_PAGES = 12, 45
LEAST_DOTS = 14  # 9 points, at 1.5 dots to a point; 8 points would be 12, as the foot of a page has
FOOT_DOTS = 90  # at the bottom of a page, where its foot stands


@pytest.mark.office
@pytest.mark.parametrize("paper", few(["letter", "a4"], "letter"))
@pytest.mark.parametrize("name", few(demo_names(), "hill_farm_us"))
def test_a_season_prints_on_few_pages_in_letters_that_can_be_read(
    name: str, paper: Literal["letter", "a4"], soffice: str, tmp_path: Path
) -> None:
    notes = tmp_path / "season.xlsx"
    notes.write_bytes(demo_workbook(name))
    document = score_file(notes, None).results
    assert document is not None
    results = tmp_path / "results.xlsx"
    results.write_bytes(results_bytes(document, paper=paper))
    profile = f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}"
    command = [soffice, profile, "--headless", "--convert-to", "pdf", "--outdir", str(tmp_path), str(results)]
    subprocess.run(command, check=True, capture_output=True, timeout=300)
    found = subprocess.run(
        [program("pdftotext"), "-layout", str(tmp_path / "results.pdf"), "-"], check=True, capture_output=True
    )
    feet = re.findall(r"(\S[^\n]*?), page (\d+) of (\d+)", found.stdout.decode())
    sheets = [re.split(r"\s{3,}", foot[0])[-1] for foot in feet]
    pages, _ = reading_pages(document)
    told = [(title, len(page.pages())) for title, page in pages.items()]
    assert [(title, sheets.count(title)) for title, _ in told] == told
    assert sheets[0] == "Answer"
    assert sum(count for _, count in told) <= MOST_READING + bool(document["stock"])  # a woodshed has one
    assert int(feet[0][2]) == len(sheets) <= MOST_PAGES
    last = f"{sum(count for _, count in told)}"  # the appendix prints smaller
    sizes = subprocess.run(
        [program("pdftohtml"), "-xml", "-i", "-stdout", "-l", last, str(tmp_path / "results.pdf")],
        check=True,
        capture_output=True,
    )
    assert sheets.count("Answer") == 1
    assert _smallest(sizes.stdout.decode()) >= LEAST_DOTS


def _smallest(xml: str) -> int:
    """Smallest size of letters above the feet of the pages, in dots."""
    fonts = {number: int(size) for number, size in re.findall(r'<fontspec id="(\d+)" size="(\d+)"', xml)}
    sizes = []
    for page in re.findall(r"<page .*?</page>", xml, re.DOTALL):
        height = int(re.search(r'height="(\d+)"', page)[1])  # type: ignore[index]
        for top, font in re.findall(r'<text top="(\d+)"[^>]*font="(\d+)"', page):
            if int(top) < height - FOOT_DOTS:
                sizes.append(fonts[font])
    return min(sizes)
