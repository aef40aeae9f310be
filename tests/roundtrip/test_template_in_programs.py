"""The blank workbook opened, printed and saved by real spreadsheet programs."""

from __future__ import annotations

import subprocess
from pathlib import Path
from typing import Any

import pytest
from office import Job, run_in_office
from openpyxl import load_workbook
from openpyxl.utils import range_boundaries
from openpyxl.workbook import Workbook
from programs import program

from wood_xl.io.reader import read_workbook
from wood_xl.io.template import template_bytes
from wood_xl.notes.season import check_season
from wood_xl.schema.layout import (
    CAUTIONS_TITLE,
    CHOICES_TITLE,
    HEADER_ROW,
    PAPER_TITLES,
    VERSION_NAME,
)
from wood_xl.schema.model import season_definition

pytestmark = [pytest.mark.office, pytest.mark.slow]

DEFINITION = season_definition()
KINDS = {"us": ("us", "USD", "letter"), "metric": ("metric", "EUR", "a4")}
POINTS = {"us": (612, 792), "metric": (595, 842)}


@pytest.fixture(params=list(KINDS))
def kind(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture
def template(kind: str, tmp_path: Path) -> Path:
    path = tmp_path / "template.xlsx"
    path.write_bytes(template_bytes(*KINDS[kind]))  # type: ignore[arg-type]
    return path


def profile(tmp_path: Path) -> str:
    return f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}"


def printed(soffice: str, template: Path, tmp_path: Path) -> Path:
    """The workbook as a PDF. The program reports success when it fails, so that only the file tells."""
    folder = tmp_path / "printed"
    command = [
        soffice,
        profile(tmp_path),
        "--headless",
        "--convert-to",
        "pdf",
        "--outdir",
        str(folder),
        str(template),
    ]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    return folder / "template.pdf"


def saved_by_office(soffice: str, template: Path, tmp_path: Path, ending: str) -> Path:
    """Opened in view and saved, as a person does; an .ods is opened again and saved as .xlsx, to be looked at."""
    saved = tmp_path / f"saved.{ending}"
    jobs = [Job(template, [saved])]
    if ending == "ods":
        jobs.append(Job(saved, [tmp_path / "back.xlsx"]))
    run_in_office(soffice, jobs, tmp_path)
    return jobs[-1].saved[0]


def saved_by_second(template: Path, tmp_path: Path, ending: str) -> Path:
    """The same through the other program."""
    saved, back = tmp_path / f"second.{ending}", tmp_path / "second-back.xlsx"
    steps = [(template, saved)] if ending == "xlsx" else [(template, saved), (saved, back)]
    for source, target in steps:
        subprocess.run([program("ssconvert"), str(source), str(target)], check=True, capture_output=True, timeout=120)
    return steps[-1][1]


def rules(workbook: Workbook) -> dict[tuple[str, int, int], tuple[Any, ...]]:
    """Each rule by its sheet and first cell; programs shorten the range to the rows that are used."""
    found = {}
    for page in workbook.worksheets:
        for rule in page.data_validations.dataValidation:
            left, top, _, _ = range_boundaries(str(rule.sqref).split()[0])
            operator = None if rule.type == "list" else rule.operator or "between"
            given = (rule.formula1, rule.formula2) if operator == "between" else (rule.formula1,)
            ends = tuple(round(float(end), 9) if is_number(end) else end for end in given)
            shown = (bool(rule.showErrorMessage), rule.errorStyle or "stop", rule.prompt, rule.promptTitle)
            found[page.title, top, left] = (rule.type, operator, *ends, *shown, rule.error or None)
    return found


def is_number(text: str | None) -> bool:
    return text is not None and text.replace(".", "", 1).replace("-", "", 1).isdigit()


def without_quotes(rule: tuple[Any, ...]) -> tuple[Any, ...]:
    return tuple(part.replace("'", "") if isinstance(part, str) and "$" in part else part for part in rule)


def comments(workbook: Workbook) -> dict[tuple[str, str], str]:
    return {
        (page.title, cell.coordinate): cell.comment.text
        for page in workbook.worksheets
        for row in page.iter_rows(max_row=HEADER_ROW)
        for cell in row
        if cell.comment is not None
    }


def texts(workbook: Workbook) -> dict[str, dict[str, Any]]:
    return {
        page.title: {
            cell.coordinate: cell.value for row in page.iter_rows() for cell in row if cell.value is not None
        }
        for page in workbook.worksheets
    }


def column_formats(workbook: Workbook) -> dict[tuple[str, int], str]:
    """Number format that a new row would have."""
    return {
        (sheet.title, number): str(page.column_dimensions[page.cell(1, number).column_letter].number_format).replace(
            "\\-", "-"
        )
        for sheet in DEFINITION.sheets
        if sheet.kind == "table"
        for page in [workbook[sheet.title]]
        for number in range(1, len(sheet.columns) + 1)
        if page.column_dimensions[page.cell(1, number).column_letter].min == number
    }


@pytest.mark.parametrize("ending", ["xlsx", "ods"])
def test_office_keeps_what_the_template_needs(
    ending: str, kind: str, template: Path, soffice: str, tmp_path: Path
) -> None:
    ours, theirs = load_workbook(template), load_workbook(saved_by_office(soffice, template, tmp_path, ending))
    assert theirs.sheetnames == ours.sheetnames
    assert texts(theirs) == texts(ours)
    assert len(rules(ours)) > 130
    assert {place: without_quotes(rule) for place, rule in rules(theirs).items()} == {
        place: without_quotes(rule) for place, rule in rules(ours).items()
    }
    assert len(comments(ours)) == sum(
        len(sheet.columns_in(KINDS[kind][0]))  # type: ignore[arg-type]
        for sheet in DEFINITION.sheets
        if sheet.kind == "table"
    )
    assert comments(theirs) == comments(ours)
    panes = {page.title: page.freeze_panes for page in theirs.worksheets}
    assert panes == {page.title: page.freeze_panes for page in ours.worksheets}
    named = [book.defined_names[VERSION_NAME].attr_text.replace("'", "") for book in (ours, theirs)]
    assert named[0] == named[1]
    formats = column_formats(theirs)
    assert len(formats) > 20
    assert formats.items() <= column_formats(ours).items()
    assert theirs[CHOICES_TITLE].sheet_state == "hidden"
    for sheet in DEFINITION.sheets:
        if sheet.kind == "table":
            page = theirs[sheet.title]
            assert page.print_title_rows == f"${HEADER_ROW}:${HEADER_ROW}"
            assert folded_columns(page) == folded_columns(ours[sheet.title])


def folded_columns(page: Any) -> set[int]:
    """Numbers of the hidden columns, which files name one by one or as a run."""
    return {
        number
        for dimension in page.column_dimensions.values()
        if dimension.hidden
        for number in range(dimension.min, dimension.max + 1)
    }


@pytest.mark.parametrize("ending", ["xlsx", "ods"])
def test_saved_template_is_known_again(ending: str, kind: str, template: Path, soffice: str, tmp_path: Path) -> None:
    ours = read_workbook(template)
    saved_by_office(soffice, template, tmp_path, ending)
    theirs = read_workbook(tmp_path / f"saved.{ending}")
    assert theirs.template_version == ours.template_version == DEFINITION.version
    lines = [problem.line() for problem in check_season(ours).problems]
    assert [problem.line() for problem in check_season(theirs).problems] == lines
    assert {problem.code for problem in check_season(ours).problems} <= {"item-missing", "season-no-sessions"}


# What the second program loses, and nothing else: see the table in DEVELOPERS.md.
def lost_by_second(rule: tuple[Any, ...], sheet: str, ending: str) -> bool:
    only_tells = rule[-5] is False  # a rule that refuses nothing
    return only_tells or (ending == "ods" and sheet == "Heart trace")


@pytest.mark.filterwarnings("ignore:Workbook contains no default style")  # that program writes none
@pytest.mark.parametrize("ending", ["xlsx", "ods"])
def test_second_program_keeps_what_the_table_says(ending: str, kind: str, template: Path, tmp_path: Path) -> None:
    ours, theirs = load_workbook(template), load_workbook(saved_by_second(template, tmp_path, ending))
    assert theirs.sheetnames == ours.sheetnames
    assert texts(theirs) == texts(ours)
    assert comments(theirs) == comments(ours)
    assert VERSION_NAME in theirs.defined_names
    assert read_workbook(tmp_path / f"second.{ending}").template_version == DEFINITION.version
    kept = {place: rule[0] for place, rule in rules(theirs).items()}
    lost = {place for place, rule in rules(ours).items() if kept.get(place) != rule[0]}
    assert lost == {place for place, rule in rules(ours).items() if lost_by_second(rule, place[0], ending)}
    assert len(lost) < 40
    assert len(column_formats(theirs)) > 20
    assert column_formats(theirs).items() <= column_formats(ours).items()
    panes = {page.title: page.freeze_panes for page in theirs.worksheets}
    assert panes == {page.title: page.freeze_panes for page in ours.worksheets}


def page_texts(pdf: Path) -> list[str]:
    """The text of each page of a PDF."""
    command = [program("pdftotext"), "-layout", str(pdf), "-"]
    return subprocess.run(command, check=True, capture_output=True, text=True, timeout=60).stdout.split("\f")[:-1]


def test_second_program_prints_an_empty_page_only_for_a_sheet_that_is_not_printed(
    template: Path, tmp_path: Path
) -> None:
    pdf = tmp_path / "second.pdf"
    subprocess.run([program("ssconvert"), str(template), str(pdf)], check=True, capture_output=True, timeout=120)
    pages = [page.split() for page in page_texts(pdf)]
    footers = {title: [*title.split(), "Page"] for title in ("Helpers", "Wood", "Heart trace")}
    empty = [page for page in pages if len(page) < 10]
    assert [page[: page.index("Page") + 1] for page in empty] == [*footers.values()]
    assert len(pages) == 16 + len(empty)


def test_paper(kind: str, template: Path, soffice: str, tmp_path: Path) -> None:
    pdf = printed(soffice, template, tmp_path)
    assert pdf.is_file()
    pages = page_texts(pdf)
    sheet_of = [page.strip().splitlines()[-1].split("  ")[0].strip() for page in pages]  # the footer
    count = {title: sheet_of.count(title) for title in load_workbook(template).sheetnames}
    assert {title for title, n in count.items() if n == 0} == {"Helpers", "Wood", "Heart trace", CHOICES_TITLE}
    twice = {title for title, n in count.items() if n == 2}  # they are read as printed
    assert twice == {CAUTIONS_TITLE}
    assert len(pages) == sum(count.values()) == 16
    bucking = sheet_of.index(PAPER_TITLES[0])
    assert all(str(size) in pages[bucking].split() for size in ((3, 24) if kind == "us" else (6, 50)))
    sizes = subprocess.run(
        [program("pdfinfo"), "-f", "1", "-l", str(len(pages)), str(pdf)],
        check=True, capture_output=True, text=True, timeout=60,
    ).stdout  # fmt: skip
    line = next(line for line in sizes.splitlines() if line.split()[1:2] == [str(bucking + 1)])
    assert tuple(round(float(word)) for word in line.split() if word[0].isdigit())[1:3] == POINTS[kind]
    for page in pages:
        assert "###" not in page
