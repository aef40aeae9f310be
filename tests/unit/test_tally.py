"""Cuts counted by size classes: how their headers are read, what area they have, and what stands beside them."""

from __future__ import annotations

import math
from typing import Any

import pytest
from few import few, together
from openpyxl import Workbook

from wood_xl.io.fill import filled_workbook
from wood_xl.io.inputs_echo import echo_blocks
from wood_xl.io.reader import read_workbook
from wood_xl.notes.convert import season_records
from wood_xl.notes.season import CheckedSeason, check_season
from wood_xl.notes.tally import borders_m, size_of
from wood_xl.pipeline import score_file
from wood_xl.report.book import results_bytes
from wood_xl.results.verify_study import verify_file
from wood_xl.schema.layout import HEADER_ROW
from wood_xl.schema.model import season_definition
from wood_xl.wood.geometry import sawn_area_m2

TALLY = season_definition().sheet("tally")
FIRST = HEADER_ROW + 1
INCH = 0.0254


def notes(**sheets: Any) -> dict[str, Any]:
    """A small season with one bucking session."""
    data: dict[str, Any] = {
        "units": {"season": {"stick_length": "in"}, "sessions": {"elapsed_time": "min"}, "cuts": {"diameter": "in"}},
        "season": {"season_name": "Autumn", "currency": "USD", "stick_length": 16},
        "methods": [{"method": "bow saw", "task": "buck", "tool_1": "bow saw"}],
        "tools": [{"tool": "bow saw", "kind": "hand", "price": 30}],
        "sessions": [{"session": "S1", "method": "bow saw", "elapsed_time": 60}],
    }
    return data | sheets


def workbook(data: dict[str, Any]) -> Workbook:
    return filled_workbook(data, system="us", currency="USD", paper="letter")


def checked(book: Workbook, folder: Any) -> CheckedSeason:
    path = folder / "season.xlsx"
    book.save(path)
    return check_season(read_workbook(path))


def found(season: CheckedSeason) -> list[tuple[str, str]]:
    return [
        (one.code, one.where) for one in season.problems if one.code.startswith(("tally", "header", "cell", "row-m"))
    ]


def area_m2(season: CheckedSeason) -> float:
    return sawn_area_m2(season_records(season)[0].sessions[0].cuts)


@together(
    ("header", "size"),
    [
        ("3 in", "3 in"),
        ('7\u00bd"', "7.5 in"),
        ("10 1/2 in", "10.5 in"),
        ("26in", "26 in"),
        ("12 inches", "12 in"),
        ("8 [cm]", "8 cm"),
        ("8 (cm)", "8 cm"),
        ("60 mm", "60 mm"),
        ("3", None),
        ("3 ft", None),
        ("0 in", None),
        ("Session", None),
        ("2 saws in use", None),
        ("3-4 in", None),
    ],
)
def test_header_names_a_size(header: str, size: str | None) -> None:
    assert TALLY.classes is not None
    assert size_of(header, TALLY.classes) == size


def test_borders_lie_half_way_and_half_a_step_away_at_the_ends() -> None:
    borders = borders_m(["26 in", "10 in", "11 in"])
    inches = {size: (low / INCH, high / INCH) for size, (low, high) in borders.items()}
    assert list(inches) == ["10 in", "11 in", "26 in"]
    assert [end for ends in inches.values() for end in ends] == pytest.approx([9.5, 10.5, 10.5, 18.5, 18.5, 26.5])
    assert borders_m(["20 cm"])["20 cm"] == pytest.approx((0.19, 0.21))


def tallied(*counts: tuple[str, int], **more: Any) -> dict[str, Any]:
    return {"session": "S1", "classes": [{"class": size, "cuts": n} for size, n in counts], **more}


def test_tally_counts_as_cuts(tmp_path: Any) -> None:
    book = workbook(notes(tally=[tallied(("10 in", 4), ("12 in", 2), total=6)]))
    season = checked(book, tmp_path)
    assert found(season) == []
    row = season.document.rows("tally")[0]
    assert [one for one in row["classes"] if one["cuts"]] == [
        {"class": "10 in", "cuts": 4},
        {"class": "12 in", "cuts": 2},
    ]
    assert row["total"] == 6
    expected = math.pi / 4 * (4 * (100 + 1 / 12) + 2 * (144 + 1 / 12)) * INCH**2
    assert area_m2(season) == pytest.approx(expected, rel=1e-12)


def test_own_sizes_in_any_order_and_unit(tmp_path: Any) -> None:
    book = workbook(notes())
    page = book["Tally"]
    for column, header in enumerate(("30 cm", "26 in", "20 cm"), start=2):
        page.cell(HEADER_ROW, column).value = header
    for column in range(5, 24):
        page.cell(HEADER_ROW, column).value = None
    page["A4"], page["B4"], page["D4"] = "S1", 3, 5
    season = checked(book, tmp_path)
    assert found(season) == []
    assert season.document.rows("tally") == [tallied(("20 cm", 5), ("30 cm", 3), ("26 in", 0))]
    cuts = season_records(season)[0].sessions[0].cuts
    assert [cut.class_width_m for cut in cuts] == pytest.approx([0.06, (0.6604 - 0.2) / 2])


@pytest.mark.parametrize(
    ("cell", "value", "code"),
    few(
        [
            ("C4", "three", "cell-not-a-number"),
            ("C4", 2.5, "cell-not-whole"),
            ("C4", -2, "cell-out-of-range"),
            ("X4", 7, "tally-total"),
            ("A4", None, "row-missing-value"),
        ]
    ),
)
def test_an_impossible_cell_is_named_and_the_wood_withheld(tmp_path: Any, cell: str, value: Any, code: str) -> None:
    book = workbook(notes(tally=[tallied(("10 in", 4))]))
    book["Tally"][cell] = value
    season = checked(book, tmp_path)
    assert found(season) == [(code, f"Tally!{cell}")]
    session = season_records(season)[0].sessions[0]
    if cell != "A4":
        assert session.broken["quantity"] == f"Tally!{cell}"


def test_size_without_unit_withholds_the_wood_and_says_what_to_write(tmp_path: Any) -> None:
    book = workbook(notes(tally=[tallied(("10 in", 4))]))
    book["Tally"]["C3"] = 4
    season = checked(book, tmp_path)
    assert found(season) == [("tally-class-without-unit", "Tally!C3")]
    assert '"4 in"' in next(one.mend for one in season.problems if one.code == "tally-class-without-unit")
    assert season_records(season)[0].sessions[0].broken["quantity"] == "Tally!C3"


@pytest.mark.parametrize("header", ["7-9 in", "eight", None, "=8"])
def test_counts_below_what_is_no_size_withhold_the_wood(tmp_path: Any, header: str | None) -> None:
    book = workbook(notes(tally=[tallied(("3 in", 4), ("10 in", 1))]))
    book["Tally"]["C3"], book["Tally"]["C4"] = header, 22
    if header == "=8":
        book["Tally"]["C3"].data_type = "s"
    season = checked(book, tmp_path)
    assert found(season) == [("tally-class-without-unit", "Tally!C3")]
    assert '"8 in"' in season.problems[0].mend
    assert season_records(season)[0].sessions[0].broken["quantity"] == "Tally!C3"


def test_a_size_in_a_metric_tally_is_not_offered_in_inches(tmp_path: Any) -> None:
    data = notes(tally=[tallied(("20 cm", 4))])
    book = filled_workbook(data, system="metric", currency="EUR", paper="a4")
    book["Tally"]["D3"] = 24
    (told,) = [one for one in checked(book, tmp_path).problems if one.code == "tally-class-without-unit"]
    assert '"24 cm"' in told.mend


def test_one_size_twice_is_not_read(tmp_path: Any) -> None:
    book = workbook(notes(tally=[tallied(("3 in", 4), ("4 in", 1))]))
    book["Tally"]["C3"] = "3 in"
    season = checked(book, tmp_path)
    assert found(season) == [("header-double-column", "Tally!C3")]
    assert season_records(season)[0].sessions[0].broken["quantity"] == "Tally!C3"


def test_second_row_of_a_session(tmp_path: Any) -> None:
    season = checked(workbook(notes(tally=[tallied(("10 in", 4)), tallied(("12 in", 1))])), tmp_path)
    assert found(season) == [("tally-second-row", "Tally!A5")]
    assert len(season.document.rows("tally")) == 2
    assert season_records(season)[0].sessions[0].broken["quantity"] == "Tally!A5"


CUTS = [{"session": "S1", "diameter": 10.2, "cuts": 2}, {"session": "S1", "diameter": 11.5}]


def test_the_same_cuts_on_both_sheets_count_once_by_the_finer(tmp_path: Any) -> None:
    season = checked(workbook(notes(tally=[tallied(("10 in", 2), ("12 in", 1))], cuts=CUTS)), tmp_path)
    assert found(season) == [("tally-same-on-cuts", "Tally!A4")]
    assert area_m2(season) == pytest.approx(math.pi / 4 * (2 * 10.2**2 + 11.5**2) * INCH**2, rel=1e-12)


def test_cuts_of_empty_classes_count_beside_the_tally(tmp_path: Any) -> None:
    cuts = [{"session": "S1", "diameter": 27}]
    season = checked(workbook(notes(tally=[tallied(("10 in", 2))], cuts=cuts)), tmp_path)
    assert found(season) == [("tally-more-on-cuts", "Tally!A4")]
    assert area_m2(season) == pytest.approx(math.pi / 4 * (2 * (100 + 1 / 12) + 27**2) * INCH**2, rel=1e-12)


def test_cuts_that_do_not_agree_are_a_fault_that_names_their_rows(tmp_path: Any) -> None:
    season = checked(workbook(notes(tally=[tallied(("10 in", 3), ("12 in", 1))], cuts=CUTS)), tmp_path)
    assert found(season) == [("tally-and-cuts", "Tally!A4")]
    fault = next(one for one in season.problems if one.code == "tally-and-cuts")
    assert "Cuts" in fault.text
    assert "4 to 5" in fault.text
    assert season_records(season)[0].sessions[0].broken["quantity"] == "Tally!A4"


def test_a_session_with_an_empty_tally_row_is_reported(tmp_path: Any) -> None:
    season = checked(workbook(notes(tally=[tallied()])), tmp_path)
    assert "season-session-without-output" in [one.code for one in season.problems]


def test_echo_has_a_column_for_each_size(tmp_path: Any) -> None:
    season = checked(workbook(notes(tally=[tallied(("10 in", 4), ("12 in", 2), total=6)])), tmp_path)
    blocks, _ = echo_blocks(season.document.data, {key: p.rows for key, p in season.document.places.items()})
    block = next(block for block in blocks if block.title == "Tally")
    assert [head.text for head in block.heads][:4] == ["Row", "Session", "3 in", "4 in"]
    assert block.heads[-1].text == "Total on paper"
    assert [cell.value for cell in block.rows[0]][1:3] == ["S1", 0]


def test_results_with_a_tally_are_computed_again(tmp_path: Any) -> None:
    path = tmp_path / "season.xlsx"
    workbook(notes(tally=[tallied(("10 in", 4), ("12 in", 2))])).save(path)
    results = score_file(path, None).results
    assert results is not None
    out = tmp_path / "results.xlsx"
    out.write_bytes(results_bytes(results, paper="letter"))
    assert not verify_file(out).differences
