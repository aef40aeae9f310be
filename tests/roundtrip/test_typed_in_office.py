"""A season typed into the template in a real spreadsheet program gives the same results as one written by us."""

from __future__ import annotations

import datetime as dt
import re
import subprocess
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from office import Entry, Job, run_in_office
from openpyxl import Workbook, load_workbook
from programs import program

from wood_xl.demo import demo_data, demo_names, demo_workbook
from wood_xl.io.reader import read_workbook
from wood_xl.io.template import template_bytes
from wood_xl.pipeline import score_file
from wood_xl.report.book import results_bytes
from wood_xl.schema.model import season_definition

pytestmark = [pytest.mark.office, pytest.mark.slow]

DECIMAL_COMMA = {"en-US": False, "de-DE": True}


MOST_CELLS = 600  # that a season of some twenty sessions may take, a recorded heart trace apart
TRACE = season_definition().sheet("heart_trace").title


def as_typed(value: Any, *, comma: bool) -> str:
    if isinstance(value, dt.datetime):
        return value.date().isoformat()
    if isinstance(value, dt.time):
        return f"{value.hour}:{value.minute:02d}"
    if isinstance(value, float) and comma:
        return repr(value).replace(".", ",")
    return repr(value) if isinstance(value, float) else str(value)


def entries(blank: Workbook, filled: Workbook, *, comma: bool) -> list[Entry]:
    """What must be typed into the blank workbook to get the filled one."""
    return [
        (sheet.title, cell.row, cell.column, as_typed(cell.value, comma=comma))
        for sheet in season_definition().sheets
        for row in filled[sheet.title].iter_rows()
        for cell in row
        if cell.value is not None and cell.value != blank[sheet.title].cell(cell.row, cell.column).value
    ]


def typing(name: str, *, comma: bool = False) -> tuple[bytes, list[Entry]]:
    """The blank workbook that a demo is typed into, and what is typed."""
    data = demo_data(name)
    system = "us" if data["units"]["season"]["stick_length"] == "in" else "metric"
    paper = "letter" if system == "us" else "a4"
    blank = template_bytes(system=system, currency=data["season"]["currency"], paper=paper)
    filled = load_workbook(BytesIO(demo_workbook(name)))
    return blank, entries(load_workbook(BytesIO(blank)), filled, comma=comma)


@pytest.mark.parametrize("name", demo_names())
def test_a_season_takes_no_more_than_six_hundred_cells(name: str) -> None:
    _, typed = typing(name)
    by_hand = [text for title, _, _, text in typed if title != TRACE]
    assert 400 < len(by_hand) <= MOST_CELLS
    assert len({title for title, *_ in typed}) >= 12
    assert len(demo_data(name)["sessions"]) >= 20
    clocks = [text for title, _, _, text in typed if title == "Sessions" and re.fullmatch(r"\d+:\d\d", text)]
    assert len(clocks) == 2 * len(demo_data(name)["sessions"])


def results_of(path: Path) -> dict[str, Any]:
    results = score_file(path, None).results
    assert results is not None
    del results["provenance"]["input_sha256"]
    return results


@pytest.mark.parametrize("locale", list(DECIMAL_COMMA))
@pytest.mark.parametrize("name", demo_names())
def test_typed_season_scores_the_same(name: str, locale: str, soffice: str, tmp_path: Path) -> None:
    empty, typed = typing(name, comma=DECIMAL_COMMA[locale])
    blank, ours = tmp_path / "blank.xlsx", tmp_path / "ours.xlsx"
    blank.write_bytes(empty)
    ours.write_bytes(demo_workbook(name))
    saved = [tmp_path / "saved.xlsx", tmp_path / "saved.ods"]
    run_in_office(soffice, [Job(blank, saved, typed)], tmp_path, locale=locale)
    for path in saved:
        assert results_of(path) == results_of(ours)


@pytest.mark.parametrize("name", demo_names())
def test_filled_season_and_results_survive_being_saved(name: str, soffice: str, tmp_path: Path) -> None:
    """Opened and saved unchanged by both programs, in both formats."""
    season, results = tmp_path / "season.xlsx", tmp_path / "season-results.xlsx"
    season.write_bytes(demo_workbook(name))
    document = score_file(season, None).results
    assert document is not None
    results.write_bytes(results_bytes(document, paper="a4"))
    saved = {
        source: [
            tmp_path / f"{source.stem}-{by}.{ending}" for by in ("office", "second") for ending in ("xlsx", "ods")
        ]
        for source in (season, results)
    }
    run_in_office(soffice, [Job(source, paths[:2]) for source, paths in saved.items()], tmp_path)
    for source, paths in saved.items():
        for path in paths[2:]:
            subprocess.run(
                [program("ssconvert"), str(source), str(path)], check=True, capture_output=True, timeout=120
            )
    for path in saved[season]:
        assert results_of(path) == results_of(season), path.name
    for path in saved[results]:
        assert cells_of(path) == cells_of(results), path.name


def cells_of(path: Path) -> dict[tuple[str, int, int], object]:
    return {
        (sheet.title, *place): round(cell.value, 12) if isinstance(cell.value, float) else cell.value
        for sheet in read_workbook(path).sheets
        for place, cell in sheet.cells.items()
    }
