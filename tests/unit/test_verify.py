"""Results are computed again from the notes in them: honest files pass, changed ones do not."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from builders import Data, metric_workbook, small_season, text_cell, trial_season
from click.testing import CliRunner
from few import few
from openpyxl import load_workbook
from test_odd_seasons import CHANGES

from wood_xl.cli import main
from wood_xl.demo import demo_names, demo_workbook
from wood_xl.errors import UnreadableWorkbook
from wood_xl.io.page import PAPERS
from wood_xl.io.reader import read_workbook
from wood_xl.io.seal import SEAL_BELOW_TITLE, canonical, seal_of, seal_place, stored_seal
from wood_xl.notes import problem
from wood_xl.notes.echo import WHOLE_COLUMN, results_table
from wood_xl.notes.raw import Cells, Kind, RawBook, RawCell
from wood_xl.page_texts import InResults
from wood_xl.pipeline import score_file
from wood_xl.report.book import results_bytes
from wood_xl.results.share import shared
from wood_xl.results.unlike import Difference
from wood_xl.results.verify import Verification, require_this_layout, seal_and_version
from wood_xl.results.verify_study import verify_file
from wood_xl.schema.layout import SEAL_TITLE
from wood_xl.schema.words import words

EDITS = 200

Place = tuple[int, int]


def filled(data: Data, folder: Path) -> Path:
    path = folder / "season.xlsx"
    path.write_bytes(metric_workbook(data))
    return path


@cache
def _small_results() -> bytes:
    with TemporaryDirectory() as folder:
        return results_of(filled(small_season(), Path(folder))).read_bytes()


def small_results(folder: Path) -> Path:
    """Results of the small season, made once."""
    path = folder / "season-results.xlsx"
    path.write_bytes(_small_results())
    return path


def results_of(path: Path, *, share: bool = False) -> Path:
    results = score_file(path, None).results
    assert results is not None
    target = path.with_name("season-results.xlsx")
    paper = PAPERS[results["provenance"]["display_units"]]
    target.write_bytes(results_bytes(shared(results) if share else results, paper=paper))
    return target


def changed(book: RawBook, title: str, place: Place, cell: RawCell) -> RawBook:
    return replace(
        book,
        sheets=tuple(
            replace(sheet, cells=Cells({**sheet.cells, place: cell})) if sheet.title == title else sheet
            for sheet in book.sheets
        ),
    )


def sealed_anew(book: RawBook) -> RawBook:
    """The workbook with a changed cell and a new seal."""
    place = seal_place(book)
    assert place is not None
    return changed(book, place[0], place[1:], text_cell(seal_of(book)))


def other_value(cell: RawCell) -> RawCell:
    """The cell with one digit or letter changed."""
    if cell.kind is Kind.NUMBER:
        digits = repr(cell.value)
        at = next(i for i, letter in enumerate(digits) if letter.isdigit())
        return cell._replace(value=float(f"{digits[:at]}{(int(digits[at]) + 1) % 10}{digits[at + 1 :]}"))
    return cell._replace(value=f"{cell.value}x")


def edits(book: RawBook, wanted: Callable[[str, Place], bool]) -> list[tuple[str, Place, RawCell]]:
    """200 single-cell edits all over the workbook, picked by a hash: the same in every run."""
    places = [(sheet.title, place, cell) for sheet in book.sheets for place, cell in sorted(sheet.cells.items())]
    picked = sorted(
        (entry for entry in places if wanted(*entry[:2])),
        key=lambda entry: hashlib.sha256(f"{entry[0]}|{entry[1]}".encode()).digest(),
    )[:EDITS]
    assert len(picked) == EDITS
    return [(title, place, other_value(cell)) for title, place, cell in picked]


@pytest.mark.slow
@pytest.mark.parametrize("share", [False, True])
@pytest.mark.parametrize("name", demo_names())
def test_demo_results_hold(name: str, share: bool, tmp_path: Path) -> None:
    path = tmp_path / "season.xlsx"
    path.write_bytes(demo_workbook(name))
    found = verify_file(results_of(path, share=share))
    assert found.problems() == [] or share
    assert found.differences == ()
    assert found.seal_holds
    assert found.compared_n > 10_000
    assert (found.taken_n > 0) is share


@pytest.mark.slow
@pytest.mark.parametrize("name", CHANGES)
def test_results_of_odd_seasons_hold(name: str, tmp_path: Path) -> None:
    data = small_season()
    CHANGES[name][0](data)
    assert verify_file(results_of(filled(data, tmp_path))).problems() == []


@pytest.mark.slow
@pytest.mark.parametrize("alone", few([False, True]))
@pytest.mark.parametrize("share", few([False, True], True))
def test_results_without_a_body_figure_hold(share: bool, alone: bool, tmp_path: Path) -> None:
    """A copy without body data has effort figures that its notes cannot give; everything else must match."""
    data = small_season()
    data["season"]["food_counted"] = "net of rest"
    data["people"][0]["mass"] = 5000
    if alone:  # then no effort figure has ends
        data["helpers"].clear()
        for session in data["sessions"]:
            session["person"] = "Ada"
    found = verify_file(results_of(filled(data, tmp_path), share=share))
    assert found.differences == ()
    assert found.seal_holds


def test_results_of_notes_with_open_problems_hold(tmp_path: Path) -> None:
    path = filled(small_season(), tmp_path)
    book = load_workbook(path)
    for title, column, text in (
        ("Cuts", "Diameter", "thick"),
        ("Season", "Value", "dear"),
        ("Tools", "Price", "30 kr"),
    ):
        sheet = book[title]
        row, number = next(
            (cell.row, cell.column)
            for line in sheet.iter_rows()
            for cell in line
            if str(cell.value).startswith(column)
        )
        sheet.cell(row + (9 if title == "Season" else 1), number, text)
    header = next(
        cell for line in book["Stacks"].iter_rows() for cell in line if str(cell.value).startswith("Height")
    )
    header.value = "Height [yards]"
    book.save(path)
    results = score_file(path, None).results
    assert results is not None
    waiting = results["waiting"]
    assert {row["sheet"] for row in waiting} == {"Cuts", "Season", "Tools", "Stacks"}
    assert [row["column"] for row in waiting if row["extent"] == WHOLE_COLUMN] == ["Height"]
    assert verify_file(results_of(path)).problems() == []


@pytest.mark.slow
def test_the_seal_catches_every_single_edit(tmp_path: Path) -> None:
    book = read_workbook(small_results(tmp_path))
    assert stored_seal(book) == seal_of(book)
    title, last, _ = seal_place(book) or ("", 0, 0)
    tried = edits(book, lambda sheet, place: sheet != title or place[0] < last - SEAL_BELOW_TITLE)
    whole = [changed(book, *edit) for edit in tried]
    assert [tried[i][:2] for i, one in enumerate(whole) if stored_seal(one) == seal_of(one)] == []


def test_the_word_seal_elsewhere_on_a_sheet_is_no_seal(tmp_path: Path) -> None:
    book = read_workbook(small_results(tmp_path))
    more = changed(book, "Figures", (9000, 1), text_cell(SEAL_TITLE))
    assert seal_of(more) != seal_of(changed(more, "Figures", (9003, 2), text_cell("note")))
    assert stored_seal(changed(book, book.sheets[-1].title, (9999, 1), text_cell("below"))) == ""


def edited(path: Path, title: str, edit: Callable[[Any], None]) -> list[Difference]:
    book = load_workbook(path)
    edit(book[title])
    book.save(path)
    return [one for one in verify_file(path).differences if one.place.sheet == title]


def test_a_changed_figure_is_named_with_what_comes_out(tmp_path: Path) -> None:
    path = small_results(tmp_path)
    before: list[tuple[int, int, Any]] = []

    def edit(sheet: Any) -> None:
        cell = next(cell for row in sheet.iter_rows() for cell in row if isinstance(cell.value, float))
        before.append((cell.row, cell.column, cell.value))
        cell.value = 1.25

    (difference,) = edited(path, "Figures", edit)
    row, column, value = before[0]
    assert (difference.place.row, difference.place.column) == (row, column)
    assert (difference.found, difference.expected) == (1.25, value)


@pytest.mark.slow
def test_an_added_cell_is_named(tmp_path: Path) -> None:
    path = small_results(tmp_path)
    found = edited(path, "Figures", lambda sheet: sheet.cell(9000, 2, "note"))
    assert ("note", None) in [(one.found, one.expected) for one in found]


@pytest.mark.slow
def test_shared_copy_has_the_whole_job_and_a_bought_cord_and_holds(tmp_path: Path) -> None:
    data = trial_season()
    data["season"]["bought_cord_price"] = 700
    data["units"]["season"]["bought_cord_price"] = "per stacked m3"
    path = results_of(filled(data, tmp_path), share=True)
    tables = {str(row["id"]).partition(".")[0] for row in results_table(read_workbook(path), "figures")}
    assert tables >= {"combinations", "combinations_year", "bought_wood"}
    assert verify_file(path).differences == ()


def test_results_of_another_version_are_recognized(tmp_path: Path) -> None:
    path = small_results(tmp_path)
    book = read_workbook(path)
    sheet = next(sheet for sheet in book.sheets if sheet.title == "Origin")
    rows = {str(cell.value): row for (row, column), cell in sheet.cells.items() if column == 1}
    tool = sealed_anew(changed(book, "Origin", (rows["Computed by"], 2), text_cell("wood_xl 0.0.1")))
    told = [seal_and_version(one)[1] for one in (book, tool)]
    assert "wood_xl 0.0.1 in the file" in told[1]
    lines = [[one.code for one in Verification((), 1, 0, (), True, other).problems()] for other in told]
    assert lines == [[], ["verify-other-version"]]
    layout = changed(book, "Origin", (rows["Results definition"], 2), text_cell("0.9"))
    with pytest.raises(UnreadableWorkbook) as fault:
        require_this_layout(layout)
    assert fault.value.code == "verify-other-layout"


def test_results_of_a_former_version_get_one_clear_line(tmp_path: Path) -> None:
    """Its sheet of origin had another name, and some of its sheets no longer exist."""
    path = small_results(tmp_path)
    book = load_workbook(path)
    book["Origin"].title = "Provenance"
    cell = next(row[1] for row in book["Provenance"].iter_rows() if row[0].value == "Results definition")
    cell.value = "0.1"
    del book["Checks"], book["Compare"]
    book.save(path)
    for command in (["verify"], ["pool", "--out", str(tmp_path / "study.xlsx")], ["mail", "--to", "cy@example.com"]):
        done = CliRunner().invoke(main, [*command, str(path)])
        assert done.exit_code == 3
        assert "layout 0.1" in done.output
        assert len([line for line in done.output.splitlines() if line.startswith("STOP")]) == 1


def test_command_reports_the_outcome(tmp_path: Path) -> None:
    notes = filled(small_season(), tmp_path)
    path = small_results(tmp_path)
    good = CliRunner().invoke(main, ["verify", str(path)])
    assert (good.exit_code, good.output.splitlines()[1:]) == (0, [words(InResults.CANNOT_TELL)])
    assert "as they should be" in good.output
    wrong = CliRunner().invoke(main, ["verify", str(notes), str(path)])
    assert wrong.exit_code == 3
    none = problem.problem("verify-no-results", file=notes.name, found='there is no sheet "Origin"')
    assert wrong.output.count("STOP") == 1
    assert none.line() in wrong.output
    assert "as they should be" in wrong.output


@pytest.mark.slow
def test_command_names_a_changed_cell(tmp_path: Path) -> None:
    path = small_results(tmp_path)
    book = load_workbook(path)
    cell = next(cell for row in book["Figures"].iter_rows() for cell in row if isinstance(cell.value, float))
    cell.value = 77.5
    book.save(path)
    result = CliRunner().invoke(main, ["verify", str(path)])
    assert result.exit_code == 1
    assert f"Figures!{cell.coordinate}: The file says 77.5" in result.output
    assert "seal does not fit" in result.output


def test_long_texts_are_quoted_from_where_they_differ() -> None:
    found = "Against bow saw bucking, chain saw bucking saves 9.5 hours of work on a cord"
    one = Difference(problem.Place("Answer", "B12"), found, found.replace("9.5", "4.5"))
    (line,) = Verification((one,), 1, 0, (), True, "").problems()
    assert "9.5" in line.text
    assert "4.5" in line.text


def test_the_seal_counts_every_digit_that_programs_keep() -> None:
    assert canonical(1.23456789012345) != canonical(1.23456789012344)
    assert canonical(1.23456789012345) == canonical(1.234567890123451)
