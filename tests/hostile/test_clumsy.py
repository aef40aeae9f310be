"""Slips of typing and pasting each give their own problem at their own cell, in both file formats."""

from __future__ import annotations

import datetime as dt
from io import BytesIO
from pathlib import Path
from typing import Any

import build_ods
from builders import at, season_workbook, small_season
from few import few, together
from openpyxl import Workbook

from wood_xl.io.reader import read_workbook
from wood_xl.notes.problem import Problem
from wood_xl.notes.season import check_season
from wood_xl.pipeline import check_file


def saved(workbook: Workbook, suffix: str, folder: Path) -> Path:
    path = folder / f"season{suffix}"
    if suffix == ".xlsx":
        stream = BytesIO()
        workbook.save(stream)
        path.write_bytes(stream.getvalue())
    else:
        path.write_bytes(build_ods.from_workbook(workbook))
    return path


def found_at(place: str, value: Any, suffix: str, folder: Path) -> list[Problem]:
    """The problems at a cell with a given value."""
    workbook = season_workbook()
    sheet, address = place.split("!")
    cell = workbook[sheet][address]
    cell.value = value
    if isinstance(value, str):
        cell.data_type = "s"
    return [found for found in check_file(saved(workbook, suffix, folder)).problems if found.where == place]


DIAMETER, DATE, MINUTES, TOOL, SEASON = (
    "Cuts!B4",
    "Sessions!B4",
    at("sessions.elapsed_time", 4),
    "Methods!C4",
    "Season!B4",
)
PAUSES, START = at("sessions.delay_time", 4), at("sessions.start", 4)

CLUMSY: list[tuple[str, Any, str]] = [
    (DIAMETER, "2,5", "cell-decimal-comma"),
    (DIAMETER, "12", "cell-number-read"),
    (DIAMETER, " 12 ", "cell-number-read"),
    (DIAMETER, "12 in", "cell-not-a-number"),
    (DIAMETER, "12-14", "cell-not-a-number"),
    (DIAMETER, "about 12", "cell-not-a-number"),
    (DIAMETER, "9**9**9", "cell-not-a-number"),
    (DIAMETER, "=1/0", "cell-not-a-number"),
    (DIAMETER, "nan", "cell-not-a-number"),
    (DIAMETER, "1e400", "cell-not-a-number"),
    (PAUSES, "1e400+1", "cell-not-a-number"),
    (PAUSES, "1e308+1e308", "cell-not-a-number"),
    (DIAMETER, "\u0661\u0662", "cell-number-read"),
    (DIAMETER, "1" * 30_000, "cell-not-a-number"),
    (DIAMETER, True, "cell-true-false"),
    (DIAMETER, dt.date(2026, 1, 2), "cell-date-for-number"),
    (DIAMETER, 0, "cell-out-of-range"),
    (DIAMETER, -0.0, "cell-out-of-range"),
    (DIAMETER, -5, "cell-out-of-range"),
    (DIAMETER, 1e308, "cell-out-of-range"),
    (DIAMETER, None, "row-missing-value"),
    (DATE, "4/10/2025", "cell-two-days"),
    (DATE, "04.10.2025", "cell-two-days"),
    (DATE, "4 Oct 2025", "cell-day-read"),
    (DATE, "2025-13-45", "cell-not-a-date"),
    (DATE, 45934, "cell-day-number"),
    (DATE, 12, "cell-not-a-date-value"),
    (DIAMETER, "12 cm", "cell-number-read"),
    (DIAMETER, "12\u00bd", "cell-number-read"),
    (DIAMETER, "1,250", "cell-two-readings"),
    (PAUSES, "5+8+3", "cell-sum-read"),
    (PAUSES, "5; 8", "cell-sum-read"),
    (PAUSES, "5/8/3", "cell-not-a-number"),
    (PAUSES, dt.date(2026, 3, 4), "cell-date-for-list"),
    (START, "9.05", "cell-not-a-clock"),
    (START, "morning", "cell-not-a-clock"),
    (START, 9, "cell-not-a-clock"),
    (MINUTES, "1:35", "cell-not-a-number"),
    (MINUTES, "1h35", "cell-number-read"),
    (MINUTES, 71 / 1440, "cell-fraction-of-day"),
    (TOOL, "Bow sow", "table-unknown-reference"),
    (SEASON, "x" * 300, "cell-too-long"),
]


@together("suffix", few([".xlsx", ".ods"]))
@together(("place", "value", "code"), few(CLUMSY, *CLUMSY[::4]))
def test_each_slip_has_its_own_problem(place: str, value: Any, code: str, suffix: str, tmp_path: Path) -> None:
    problems = found_at(place, value, suffix, tmp_path)
    assert [found.code for found in problems] == [code]
    assert problems[0].mend


KEPT = [
    "\u202eright to left",
    "\U0001f332 and \u200d",
    "  blanks at both ends  ",
    "+5 -",
    "@home",
    "_x0041_",
    "#N/A no",
]


@together("suffix", [".xlsx", ".ods"])
@together("words", few(KEPT))
def test_odd_notes_are_kept_as_they_are(words: str, suffix: str, tmp_path: Path) -> None:
    workbook = season_workbook()
    sheet, _, note = at("sessions.note", 4).partition("!")
    workbook[sheet][note].value = words
    workbook[sheet][note].data_type = "s"
    path = saved(workbook, suffix, tmp_path)
    assert check_season(read_workbook(path)).document.rows("sessions")[0]["note"] == words
    assert check_file(path).problems == check_file(saved(season_workbook(), suffix, tmp_path)).problems


@together("suffix", [".xlsx", ".ods"])
@together(
    ("change", "code"),
    [
        (lambda book: book.remove(book["Sessions"]), "header-missing-sheet"),
        (lambda book: setattr(book["Sessions"], "title", "Sesions"), "header-missing-sheet"),
        (lambda book: setattr(book["Cuts"], "title", "Sawn in March"), "header-near-sheet"),
        (lambda book: book["Sessions"].delete_rows(1, 3), "header-missing-row"),
        (lambda book: setattr(book["Cuts"]["D3"], "value", book["Cuts"]["B3"].value), "header-double-column"),
        (lambda book: setattr(book["Cuts"]["B3"], "value", "Diametre [cm]"), "header-near-column"),
        (lambda book: setattr(book["Cuts"]["D3"], "value", "Number"), "header-renamed"),
        (lambda book: setattr(book["Sessions"]["Z6"], "value", "went well"), "header-no-title"),
        (lambda book: setattr(book["Cuts"]["B3"], "value", "Diameter [ell]"), "header-unknown-unit"),
        (lambda book: setattr(book["Tools"]["A5"], "value", "Bow saw"), "table-duplicate-key"),
    ],
)
def test_sheets_and_headers(change: Any, code: str, suffix: str, tmp_path: Path) -> None:
    workbook = season_workbook()
    change(workbook)
    assert code in [found.code for found in check_file(saved(workbook, suffix, tmp_path)).problems]


@together("suffix", [".xlsx", ".ods"])
@together("header", ["diameter  [CM]", "Diameter\n[cm]", "Diameter\u00a0[cm]", " DIAMETER (cm) :"])
def test_headers_spelled_in_another_way(header: str, suffix: str, tmp_path: Path) -> None:
    workbook = season_workbook()
    workbook["Cuts"]["B3"].value = header
    cuts = check_season(read_workbook(saved(workbook, suffix, tmp_path))).document.rows("cuts")
    assert [row["diameter"] for row in cuts] == [row["diameter"] for row in small_season()["cuts"]]
