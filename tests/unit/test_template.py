"""The blank workbook: true to the definition, within the sizes that programs take, and never in the way."""

from __future__ import annotations

import io
import re
import time
from collections.abc import Iterator
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from few import together
from openpyxl import load_workbook
from openpyxl.utils import get_column_letter, range_boundaries
from openpyxl.workbook import Workbook
from openpyxl.worksheet.datavalidation import DataValidation

from wood_xl.data.cautions import cautions
from wood_xl.data.load import sources, species_names
from wood_xl.io import limits
from wood_xl.io.item_sheets import START_HEADER_ROW, item_places
from wood_xl.io.measure import POINTS_PER_WIDTH, line_count
from wood_xl.io.page import INDENT_WIDTH, PAGE_POINTS
from wood_xl.io.reader import read_workbook
from wood_xl.io.template import template_bytes
from wood_xl.notes.season import check_season
from wood_xl.schema.layout import (
    CAUTIONS_TITLE,
    CHOICES_TITLE,
    HEADER_ROW,
    HELP_HEADER,
    ITEM_HEADER,
    PAPER_TITLES,
    START_ID,
    UNIT_HEADER,
    VALUE_HEADER,
    VERSION_NAME,
)
from wood_xl.schema.model import Column, Sheet, System, season_definition
from wood_xl.units import convert

ROOT = Path(__file__).parents[2]
DEFINITION = season_definition()
FORMULA_TEXT = 255  # of a validation rule
PLACES = item_places()
START_TITLE = DEFINITION.sheet(START_ID).title
TABLES = [sheet for sheet in DEFINITION.sheets if sheet.kind == "table"]
ITEMS = [sheet for sheet in DEFINITION.sheets if sheet.kind == "items"]
COMMITTED = {
    "wood-xl-us-letter.xlsx": ("us", "USD", "letter"),
    "wood-xl-metric-a4.xlsx": ("metric", "EUR", "a4"),
}
Made = tuple[System, str, Workbook]


@cache
def bytes_of(name: str) -> bytes:
    return template_bytes(*COMMITTED[name])  # type: ignore[arg-type]


@cache
def workbook_of(name: str) -> Workbook:
    return load_workbook(io.BytesIO(bytes_of(name)))


@pytest.fixture(params=list(COMMITTED))
def made(request: pytest.FixtureRequest) -> Made:
    system, currency, _ = COMMITTED[request.param]
    return system, currency, workbook_of(request.param)  # type: ignore[return-value]


def rules_of(page: Any) -> dict[str, DataValidation]:
    """The rule of each range; no cell has two."""
    rules: dict[str, DataValidation] = {}
    for rule in page.data_validations.dataValidation:
        for part in str(rule.sqref).split():
            assert part not in rules
            rules[part] = rule
    return rules


def _number(workbook: Workbook, sheet: Sheet, column: Column) -> int:
    """Number of a column, whichever system the template is in."""
    is_us = workbook["Cuts"].cell(HEADER_ROW, 2).value.endswith("[in]")
    return sheet.number_of(column.id, "us" if is_us else "metric")


def rule_of(workbook: Workbook, sheet: Sheet, column: Column) -> DataValidation:
    title, row = (sheet.title, HEADER_ROW + 1) if sheet.kind == "table" else PLACES[column.ref]
    page = workbook[title]
    number = _number(workbook, sheet, column) if sheet.kind == "table" else 2
    found = [
        rule
        for part, rule in rules_of(page).items()
        for left, top, right, bottom in [range_boundaries(part)]
        if left <= number <= right and top <= row <= bottom
    ]
    assert len(found) == 1, column.ref
    return found[0]


def columns() -> Iterator[tuple[Sheet, Column]]:
    for sheet in DEFINITION.sheets:
        for column in sheet.asked:
            yield sheet, column


def listed(workbook: Workbook, formula: str) -> list[Any]:
    title, _, area = formula.rpartition("!")
    left, top, right, bottom = range_boundaries(area.replace("$", ""))
    page = workbook[title.strip("'")]
    return [page.cell(row, left).value for row in range(top, bottom + 1) if left == right]


def test_making_one_takes_no_time() -> None:
    start = time.perf_counter()
    template_bytes("us", "CAD", "letter")
    assert time.perf_counter() - start < 5  # about 0.6 s on an idle machine


def test_sheets_stand_in_order(made: Made) -> None:
    titles = [sheet.title for sheet in DEFINITION.sheets]
    assert made[2].sheetnames == [*titles, *PAPER_TITLES, CAUTIONS_TITLE, CHOICES_TITLE]
    assert titles[:6] == ["Start", "Methods", "Sessions", "Tally", "Cuts", "Stacks"]
    assert [page.title for page in made[2].worksheets if page.sheet_state != "visible"] == [CHOICES_TITLE]
    assert max(map(len, made[2].sheetnames)) <= limits.SHEET_TITLE


def test_five_sheets_are_green_and_those_for_paper_gray(made: Made) -> None:
    tabs = {page.title: page.sheet_properties.tabColor for page in made[2].worksheets}
    by_color: dict[str, list[str]] = {}
    for title, tab in tabs.items():
        by_color.setdefault(tab.rgb[-6:] if tab else "", []).append(title)
    assert by_color["5E8C4A"] == ["Start", "Methods", "Sessions", "Tally", "Stacks"]
    assert by_color["8C8C8C"] == ["Bucking form", "Splitting form", "Cautions"]


def test_folded_columns_are_in_groups_of_one_level(made: Made) -> None:
    for sheet in TABLES:
        page = made[2][sheet.title]
        columns = sheet.columns_in(made[0])
        dimensions = [page.column_dimensions[get_column_letter(n)] for n in range(1, len(columns) + 2)]
        folded = [column.folded for column in columns]
        assert [bool(dimension.outlineLevel) for dimension in dimensions] == [*folded, False]
        assert [dimension.hidden for dimension in dimensions] == [*folded, False]
        ends = [before and not now for before, now in zip([False, *folded], [*folded, False], strict=True)]
        assert [dimension.collapsed for dimension in dimensions] == ends
        line = [cell.value for cell in page[1] if str(cell.value).startswith("Folded: ")]
        assert line == ([f"Folded: {sheet.folded}. Click + above, or unhide."] if any(folded) else [])
    assert {sheet.title for sheet in TABLES if sheet.folded} == {
        "Methods",
        "Sessions",
        "Stacks",
        "Helpers",
        "People",
        "Tools",
    }


def test_folds_name_columns_that_there_are() -> None:
    coming = {"refills", "stacking_time", "tank", "battery"}
    for sheet_id, folds in DEFINITION.schema["x-folded"].items():
        assert set(folds["columns"]) - coming <= {column.id for column in DEFINITION.sheet(sheet_id).columns}


def test_unfolded_template_hides_nothing() -> None:
    workbook = load_workbook(io.BytesIO(template_bytes("us", "USD", "letter", unfolded=True)))
    for sheet in TABLES:
        page = workbook[sheet.title]
        assert not any(dimension.hidden or dimension.outlineLevel for dimension in page.column_dimensions.values())
        assert not any(str(cell.value).startswith("Folded") for cell in page[1])


def test_headers_are_those_of_the_definition(made: Made) -> None:
    system, currency, workbook = made
    for sheet in TABLES:
        page = workbook[sheet.title]
        # A test that looked at a cell far right has made it, and all before it.
        header = [cell.value for cell in page[HEADER_ROW] if cell.value is not None]
        assert header == [column.header(column.unit_in(system), currency) for column in sheet.columns_in(system)]
        assert page["A1"].value == sheet.title
        assert page["A2"].value == sheet.help
        assert page.max_row == HEADER_ROW, "no blank row is written"
        assert page.freeze_panes in (f"A{HEADER_ROW + 1}", f"B{HEADER_ROW + 1}")


def test_items_are_those_of_the_definition(made: Made) -> None:
    system, currency, workbook = made
    for sheet in ITEMS:
        header_row = START_HEADER_ROW if sheet.id == START_ID else HEADER_ROW
        header = [c.value for c in workbook[sheet.title][header_row]]
        assert header == [ITEM_HEADER, VALUE_HEADER, UNIT_HEADER, HELP_HEADER]
        for column in sheet.asked:
            title, row = PLACES[column.ref]
            assert title == (START_TITLE if column.on else sheet.title)
            item, value, unit, help_text = workbook[title][row]
            assert item.value == column.title
            assert value.value == (currency if column.ref == "season.currency" else None)
            assert (unit.value or "") == column.label(column.unit_in(system), currency)
            assert help_text.value.startswith(column.help)


def test_only_compulsory_headers_are_filled_and_bold(made: Made) -> None:
    workbook = made[2]
    for sheet, column in columns():
        if sheet.kind == "table":
            cell = workbook[sheet.title].cell(HEADER_ROW, _number(workbook, sheet, column))
        else:
            title, row = PLACES[column.ref]
            cell = workbook[title].cell(row, 1)
        is_bold = column.required or sheet.has_in_one_of(column)
        assert (cell.font.b, cell.fill.fill_type == "solid") == (is_bold, column.required), column.ref


def test_one_fill_and_one_font_beside_the_paper_forms(made: Made) -> None:
    pages = [page for page in made[2].worksheets if page.title not in PAPER_TITLES]
    cells = [cell for page in pages for row in page.iter_rows() for cell in row]
    assert len({cell.fill.fgColor.rgb for cell in cells if cell.fill.fill_type}) == 1
    assert {cell.font.name for cell in cells if cell.value is not None} == {"Arial"}


def test_version_is_named_and_shown(made: Made) -> None:
    workbook = made[2]
    title, cell = workbook.defined_names[VERSION_NAME].attr_text.split("!")
    assert title.strip("'") == START_TITLE
    assert workbook[START_TITLE][cell.replace("$", "")].value == DEFINITION.version


def test_a_blank_one_is_read_without_a_problem_in_its_own_texts(tmp_path: Path) -> None:
    path = tmp_path / "blank.xlsx"
    path.write_bytes(bytes_of("wood-xl-us-letter.xlsx"))
    codes = {one.code for one in check_season(read_workbook(path)).problems}
    assert codes == {"item-missing", "season-no-sessions"}


def test_no_formula_and_every_text_is_text(made: Made) -> None:
    for page in made[2].worksheets:
        for row in page.iter_rows():
            assert {cell.data_type for cell in row if cell.value is not None} <= {"s"}


def test_every_field_has_a_rule_with_words_of_permitted_length(made: Made) -> None:
    for sheet, column in columns():
        rule = rule_of(made[2], sheet, column)
        assert rule.showInputMessage
        assert rule.prompt.startswith(column.help)
        for text, most in (
            (rule.prompt, limits.PROMPT_TEXT),
            (rule.error or "", limits.REFUSAL_TEXT),
            (rule.promptTitle, limits.PROMPT_TITLE),
            (rule.errorTitle or "", limits.PROMPT_TITLE),
            (rule.formula1, FORMULA_TEXT),
            (rule.formula2 or "", FORMULA_TEXT),
        ):
            assert len(text) <= most, (column.ref, text)
        assert "!" not in f"{rule.prompt}{rule.error}"
        named = column.refers_to or column.suggests  # any order of filling, and names of one's own
        free = bool(named or column.joins or column.is_clock)  # several numbers, and a clock time without its colon
        assert bool(rule.showErrorMessage) == bool(rule.error) == (not free), column.ref


def test_comments_have_example_range_and_default(made: Made) -> None:
    _, currency, workbook = made
    for sheet in TABLES:
        for column in sheet.asked:
            text = workbook[sheet.title].cell(HEADER_ROW, _number(workbook, sheet, column)).comment.text
            assert text.startswith(column.help)
            assert ("Compulsory." in text) == column.required
            is_one_of = any(column.id in one for one in sheet.one_of)
            assert ("Needed: " in text) == is_one_of
            assert ("Possible: " in text) == column.is_number
            assert ("Usual: " in text) == (column.plausible is not None)
            assert ("If empty: " in text) == (column.default is not None or column.default_from is not None)
            if len(column.units) > 1:
                assert all(column.label(unit, currency) in text for unit in column.units)


def test_words_are_in_the_units_of_the_template() -> None:
    title, row = PLACES["season.stick_length"]
    books = {name: workbook_of(name) for name in COMMITTED}
    column = DEFINITION.column("season.stick_length")
    shown = {
        name: f"{book[title].cell(row, 4).value} {rule_of(book, DEFINITION.sheet('trial'), column).prompt}"
        for name, book in books.items()
    }
    for name, usual, example in (
        ("wood-xl-us-letter.xlsx", "6 to 40 in", 16),
        ("wood-xl-metric-a4.xlsx", "15 to 110 cm", 40),
    ):
        assert shown[name].count(f"Usual: {usual}") == 1, "beside the value only where it is typed"
        assert shown[name].count(f"Example: {example}") == 2


def test_an_item_shows_its_default_or_else_an_example(made: Made) -> None:
    for column in map(DEFINITION.column, PLACES):
        title, row = PLACES[column.ref]
        text = str(made[2][title].cell(row, 4).value)
        stands_in = column.default is not None or bool(column.default_from)
        assert text.startswith(column.help), column.ref
        assert (text.count("If empty: ") > column.help.count("If empty: ")) == stands_in, column.ref
        assert not (stands_in and "Example: " in text), column.ref


@together("ref", [column.ref for _, column in columns() if column.is_number and column.us])
def test_no_example_is_a_converted_metric_number(ref: str) -> None:
    """An example in American units is one that people there would write, or the same number as in metric."""
    column = DEFINITION.column(ref)
    if column.sheet not in ("season", "trial", "people", "wood", "next_season", "tally"):
        return
    if column.example is not None and not column.unit_kept and column.us != column.unit:
        assert column.us_example is not None


def takes(rule: DataValidation, value: float) -> bool:
    assert rule.operator == "between"
    return float(rule.formula1) <= value <= float(rule.formula2) and (rule.type != "whole" or value == int(value))


def number_columns() -> list[tuple[Sheet, Column]]:
    return [(sheet, column) for sheet, column in columns() if column.is_number]


def in_unit(value: float, column: Column, unit: str) -> float:
    return value if column.unit_kept or not unit else convert(value, column.unit, unit)


def test_ranges_are_the_definition_s(made: Made) -> None:
    system, _, workbook = made
    for sheet, column in number_columns():
        rule = rule_of(workbook, sheet, column)
        assert rule.type == ("whole" if column.type == "integer" else "decimal")
        units = [column.unit_in(system)] if sheet.kind == "table" else list(column.units or ("",))
        lowest = column.exclusive_minimum if column.minimum is None else column.minimum
        assert lowest is not None
        assert column.maximum is not None
        for unit in units:
            low, high = in_unit(lowest, column, unit), in_unit(column.maximum, column, unit)
            assert takes(rule, float(f"{high:.12g}")), (column.ref, unit)
            assert takes(rule, low + max(1.0, abs(low)) * 1e-5 if column.type != "integer" else lowest), column.ref
        highest = max(in_unit(column.maximum, column, unit) for unit in units)
        assert not takes(rule, highest * 1.001 + 1)
        if not column.is_time and column.minimum is None:
            assert not takes(rule, 0.0)


def test_clock_times_are_accepted(made: Made) -> None:
    times = [(sheet, column) for sheet, column in columns() if column.is_time]
    assert len(times) >= 6
    for sheet, column in times:
        assert takes(rule_of(made[2], sheet, column), 95 / 1440)  # 1:35 as a workbook stores it


def test_another_unit_in_the_header_or_beside_the_number_is_never_refused(made: Made) -> None:
    for sheet, column in number_columns():
        rule = rule_of(made[2], sheet, column)
        assert column.joins or rule.errorStyle == "warning"
        assert bool(rule.showErrorMessage) == (not column.joins)


def test_lists_hold_the_permitted_words(made: Made) -> None:
    workbook = made[2]
    for sheet, column in columns():
        rule = rule_of(workbook, sheet, column)
        if column.choices:
            assert (rule.type, rule.showErrorMessage) == ("list", True)
            assert listed(workbook, rule.formula1) == list(column.choices)
        elif column.suggests:
            assert (rule.type, bool(rule.showErrorMessage)) == ("list", False)
            assert listed(workbook, rule.formula1) == species_names()
        elif column.refers_to:
            target = DEFINITION.column(column.refers_to)
            title, _, area = rule.formula1.rpartition("!")
            left, top, right, bottom = range_boundaries(area.replace("$", ""))
            aimed = DEFINITION.sheet(target.sheet)
            assert (title.strip("'"), left, right) == (aimed.title, _number(workbook, aimed, target), left)
            assert (top, bottom) == (HEADER_ROW + 1, HEADER_ROW + aimed.capacity)
            assert (rule.type, bool(rule.showErrorMessage)) == ("list", False)


def test_unit_cells_offer_the_permitted_units(made: Made) -> None:
    _, currency, workbook = made
    for sheet in ITEMS:
        for column in sheet.asked:
            title, row = PLACES[column.ref]
            rule = rules_of(workbook[title]).get(f"C{row}")
            if len(column.units) < 2:
                assert rule is None
            else:
                assert rule is not None
                assert listed(workbook, rule.formula1) == [column.label(unit, currency) for unit in column.units]


def test_dates_and_texts(made: Made) -> None:
    workbook = made[2]
    zero = date(1899, 12, 30)
    for sheet, column in columns():
        if sheet.kind == "table":
            page = workbook[sheet.title]
            shown = page.column_dimensions[page.cell(1, _number(workbook, sheet, column)).column_letter].number_format
        else:
            title, row = PLACES[column.ref]
            shown = workbook[title].cell(row, 2).number_format
        if column.is_date:
            rule = rule_of(workbook, sheet, column)
            assert (rule.type, shown) == ("date", "yyyy-mm-dd")
            assert takes(rule, (date(2026, 10, 4) - zero).days)
            assert not takes(rule, (date(1926, 10, 4) - zero).days)
        else:
            assert shown == ("General" if column.is_number or column.is_clock else "@"), column.ref


def test_rules_reach_the_last_row_that_is_read(made: Made) -> None:
    for sheet in TABLES:
        for part in rules_of(made[2][sheet.title]):
            _, top, _, bottom = range_boundaries(part)
            assert top == HEADER_ROW + 1
            assert bottom == HEADER_ROW + sheet.row_limit <= limits.MAX_ROW


def test_print_set_up(made: Made) -> None:
    codes = {"us": "1", "metric": "9"}
    for page in made[2].worksheets:
        assert str(page.page_setup.paperSize) == codes[made[0]]
        assert page.oddFooter.left.text == "&A"
        assert page.oddFooter.right.text == "Page &P of &N"
        if page.title != CHOICES_TITLE:
            assert page.sheet_properties.pageSetUpPr.fitToPage
            assert page.page_setup.fitToWidth == 1
    for sheet in TABLES:
        page = made[2][sheet.title]
        assert page.print_title_rows == f"${HEADER_ROW}:${HEADER_ROW}"
        left, top, right, bottom = range_boundaries(page.print_area.rpartition("!")[2].replace("$", ""))
        if sheet.id in ("helpers", "wood", "heart_trace"):
            assert (left, top) == (right, bottom)
            assert page.cell(top, left).value is None
        else:
            assert (left, top, right) == (1, 1, len(sheet.columns_in(made[0])))
            assert bottom > HEADER_ROW + 15, "rows to write on by hand"
    left, top, right, bottom = range_boundaries(made[2][CHOICES_TITLE].print_area.rpartition("!")[2].replace("$", ""))
    assert (left, top) == (right, bottom)
    for title in (START_TITLE, "Season", "Next season", "Cautions", *PAPER_TITLES):
        one_page = int(title != "Cautions")  # these are read as printed, so they are as large as they can be
        assert (made[2][title].page_setup.orientation, made[2][title].page_setup.fitToHeight) == (
            "portrait",
            one_page,
        )


@pytest.mark.parametrize("title", [START_TITLE, "Season", "Next season", "Cautions"])
def test_what_is_read_on_paper_is_shrunk_by_a_twentieth_at_most(made: Made, title: str) -> None:
    page, paper = made[2][title], "letter" if made[0] == "us" else "a4"
    right = range_boundaries(page.print_area.rpartition("!")[2].replace("$", ""))[2]
    widths = [page.column_dimensions[get_column_letter(number)].width for number in range(1, right + 1)]
    room = PAGE_POINTS[paper][0] - 72 * (page.page_margins.left + page.page_margins.right)
    assert room / (sum(widths) * POINTS_PER_WIDTH[0]) > 0.95


def test_a_sheet_of_items_is_hardly_shrunk_and_has_no_page_break(made: Made) -> None:
    """Some programs take a break between rows for one between columns, and print empty pages."""
    for page in made[2].worksheets:
        assert [*page.row_breaks.brk, *page.col_breaks.brk] == [], page.title
    for title in (START_TITLE, "Season", "Next season"):
        page = made[2][title]
        bottom = range_boundaries(page.print_area.rpartition("!")[2].replace("$", ""))[3]
        assert 702 / sum(page.row_dimensions[row].height for row in range(1, bottom + 1)) > 0.92, title


def test_start_prints_the_gravest_cautions_but_not_what_explains_the_screen(made: Made) -> None:
    page = made[2][START_TITLE]
    bottom = range_boundaries(page.print_area.rpartition("!")[2].replace("$", ""))[3]
    printed = [str(page.cell(row, 1).value) for row in range(1, bottom + 1)]
    for caution in (caution for caution in cautions() if caution.on_start):
        assert any(caution.text in text for text in printed), caution.id
    assert "General cautions" in printed[-1]
    assert not any("Green tabs" in text for text in printed)


def test_lines_are_opaque_and_footers_name_no_font(made: Made) -> None:
    for page in made[2].worksheets:
        assert (page.oddFooter.left.font, page.oddFooter.right.font) == (None, None)
        sides = {
            side.color.rgb
            for row in page.iter_rows()
            for cell in row
            for side in (cell.border.left, cell.border.right, cell.border.top, cell.border.bottom)
            if side is not None and side.style
        }
        assert all(rgb.startswith("FF") for rgb in sides), page.title


def test_a_row_of_an_item_is_high_enough_for_each_of_its_choices(made: Made) -> None:
    for column in map(DEFINITION.column, PLACES):
        title, row = PLACES[column.ref]
        page = made[2][title]
        room = page.column_dimensions["B"].width - INDENT_WIDTH
        lines = max((line_count(choice, room) for choice in column.choices), default=1)
        assert page.row_dimensions[row].height >= lines * 12.5, column.ref


@pytest.mark.parametrize("title", ["Sessions", "People", "Helpers"])
def test_a_first_name_is_not_broken_in_its_cell(made: Made, title: str) -> None:
    page = made[2][title]
    (letter,) = [cell.column_letter for cell in page[HEADER_ROW] if cell.value == "Person"]
    room = page.column_dimensions[letter].width - INDENT_WIDTH
    assert [name for name in ("Christopher", "Bartholomew", "Alexandra") if line_count(name, room) > 1] == []


def test_indents_are_kept(made: Made) -> None:
    looks_of = {cell.value: cell.alignment for row in made[2]["Splitting form"].iter_rows() for cell in row}
    assert looks_of["Top"].indent == looks_of["Bottom"].indent == 1


def paper(made: Made, title: str) -> list[str]:
    return [cell.value for row in made[2][title].iter_rows() for cell in row if cell.value]


def test_bucking_form_has_a_box_for_each_class_of_the_tally(made: Made) -> None:
    texts = paper(made, "Bucking form")
    tally = made[2]["Tally"]
    headers = [cell.value for cell in tally[HEADER_ROW]][1:-1]
    assert headers == [f"{n} in" for n in range(3, 25)] if made[0] == "us" else [f"{n} cm" for n in range(6, 51, 2)]
    assert {header.split()[0] for header in headers} <= set(texts)
    assert {"more", "sum", "Bucking", "Start (clock)", "Stop (clock)"} <= set(texts)


@pytest.mark.parametrize("title", PAPER_TITLES)
def test_forms_name_columns_as_the_sheets_do_and_have_cautions_in_full(made: Made, title: str) -> None:
    texts = paper(made, title)
    system, currency, _ = made
    for ref in ("session", "date", "method", "person", "lot", "air_temperature", "fuel_used", "mean_heart_rate"):
        column = DEFINITION.column(f"sessions.{ref}")
        assert column.on_paper(column.unit_in(system), currency) in texts
    assert sum(text.startswith(DEFINITION.column("sessions.delay_time").title) for text in texts) == 1
    needed = {"Bucking form": ("saw_gear", "hand_saw_gear"), "Splitting form": ("axe_gear", "splitter_gear")}[title]
    for caution in (caution for caution in cautions() if caution.id in needed):
        (line,) = [text for text in texts if caution.text in text]
        cell = next(cell for row in made[2][title].iter_rows() for cell in row if cell.value == line)
        assert (cell.font.b, cell.font.sz) == (True, 12)


def test_any_currency_stands_in_headers_lists_and_help() -> None:
    workbook = load_workbook(io.BytesIO(template_bytes("metric", "NZD", "a4")))
    words = " ".join(str(c.value) for page in workbook.worksheets for row in page.iter_rows() for c in row if c.value)
    assert "Price [NZD]" in words
    assert "NZD per gal" in words
    assert "EUR" not in re.sub(r"USD, CAD or EUR", "", words)


def test_start_sheet_warns_and_names_its_sources(made: Made) -> None:
    words = [c.value for row in made[2][START_TITLE].iter_rows() for c in row if c.value]
    for caution in cautions():
        assert any(caution.text in word for word in words) == caution.on_start
    assert any("General cautions" in word for word in words)
    assert any("No figure" in word and "risk of injury" in word for word in words)
    assert sum(word[0].isdigit() and ". " in word[:4] for word in words) <= 12, "about ten steps"


def test_the_sheet_of_cautions_has_all_of_them_with_source_and_status(made: Made) -> None:
    page = made[2][CAUTIONS_TITLE]
    rows = [[cell.value for cell in row] for row in page.iter_rows(min_row=HEADER_ROW + 1)]
    assert [row[1] for row in rows] == [caution.text for caution in cautions()]
    for row, caution in zip(rows, cautions(), strict=True):
        if caution.source:
            assert sources()[caution.source].title in row[3]
            assert row[3].endswith(f"({caution.known})")
        else:
            assert row[3] == "Common practice, no source"
