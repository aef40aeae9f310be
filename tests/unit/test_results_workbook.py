"""The results workbook holds every number and text of the document, as values, and nothing else."""

from __future__ import annotations

import copy
import math
import re
import subprocess
import zipfile
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook
from openpyxl.chart import BarChart, ScatterChart
from openpyxl.utils import get_column_letter
from openpyxl.workbook.workbook import Workbook
from openpyxl.worksheet.worksheet import Worksheet
from sample_results import BUCK_CHAIN, BUCK_SAW, sample_results

from wood_xl.io import looks
from wood_xl.io.blocks import ROWS_WITH_NOTES
from wood_xl.io.results import results_bytes
from wood_xl.pages import Beside
from wood_xl.schema.layout import NO_ROWS
from wood_xl.schema.model import Column, Sheet, System, results_definition, season_definition
from wood_xl.schema.words import key_words, phrase, words

HOSTILE = [
    "=1+1",
    "+5",
    "-5",
    "@SUM(A1)",
    "\t=1",
    "'quoted",
    "#DIV/0!",
    "TRUE",
    "007",
    "1e5",
    "=",
    "a & <b>",
    " edge ",
]
SHEETS = [
    "Answer",
    "Methods",
    "Comparisons",
    "How sure",
    "Verdicts",
    "Combinations",
    "Money",
    "Break-even",
    "Sensitivity",
    "Emissions",
    "Heat",
    "Body",
    "Strain",
    "Exposure",
    "Cautions",
    "Sessions",
    "Next season",
    "Work list",
    "Factors",
    "Problems",
    "Figures",
    "Inputs",
    "Provenance",
]
TABLES = [s.id for s in results_definition().sheets if s.kind == "table" and s.result_sheet != "Answer"]


def opened(document: dict[str, Any], paper: Any = "letter") -> Workbook:
    return load_workbook(BytesIO(results_bytes(document, paper=paper)))


def with_trace(document: dict[str, Any], rows_n: int) -> dict[str, Any]:
    document["inputs"]["heart_trace"] = [
        {"session": f"B-0{1 + i % 7}", "person": "Ada", "elapsed": i + 0.1, "heart_rate": 90.0 + i % 60}
        for i in range(rows_n)
    ]
    document["inputs"]["units"]["heart_trace"] = {"elapsed": "s", "heart_rate": "beats/min"}
    document["input_rows"]["heart_trace"] = list(range(4, 4 + rows_n))
    return document


def without_rows(document: dict[str, Any]) -> dict[str, Any]:
    for sheet_id in TABLES:
        document[sheet_id] = []
    document["inputs"] = {"version": "1.0", "units": {}, "season": {"season_name": "Bare", "currency": "USD"}}
    document["input_rows"] = {}
    return document


def cell_dicts(sheet: Worksheet, title: str, rows_n: int, header_offset: int) -> list[dict[str, Any]]:
    """Rows under a title, as header to value; those of its further parts are put together."""
    rows: list[dict[str, Any]] = [{} for _ in range(rows_n)]
    parts = (title, *(phrase(Beside.PART, title=title, number=number) for number in range(2, 6)))
    for top in (row for row in range(1, sheet.max_row + 1) if sheet.cell(row, 1).value in parts):
        heads = [cell.value for cell in sheet[top + header_offset]]
        for i, row in enumerate(rows):
            row |= dict(zip(heads, [cell.value for cell in sheet[top + header_offset + 1 + i]], strict=True))
    assert rows_n == 0 or rows[0]
    return rows


def check_cell(column: Column, value: Any, row: dict[str, Any], system: Any) -> None:
    header = column.header(column.unit_in(system), "USD")
    found = row[header]
    if column.type != "figure":
        value = key_words(column.words_of, value) if column.words_of else value
        assert found == (value if value != "" else None), header
        return
    if value["value"] is None:
        assert found == value["reason"], header
        return
    assert found == pytest.approx(value["value"], rel=1e-12), header
    for end in ("low", "high"):
        end_header = header.replace(column.title, f"{column.title}, {end}", 1)
        if value[end] is not None:
            assert row[end_header] == pytest.approx(value[end], rel=1e-12)
        elif end_header in row:
            assert row[end_header] == (value["reason"] or words(Beside.NO_ENDS))


@pytest.fixture(scope="module")
def us() -> Workbook:
    return opened(sample_results("us"))


@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize("intervals", [False, True])
def test_every_table_holds_every_number_text_and_reason(system: Any, intervals: bool) -> None:
    document = sample_results(system, intervals=intervals)
    book = opened(document)
    for sheet_id in TABLES:
        definition: Sheet = results_definition().sheet(sheet_id)
        rows = cell_dicts(book[definition.result_sheet], definition.title, len(document[sheet_id]), 2)
        for expected, row in zip(document[sheet_id], rows, strict=True):
            for column in definition.columns:
                check_cell(column, expected[column.id], row, system)


def test_items_hold_every_value_with_its_unit(us: Workbook) -> None:
    document = sample_results("us")
    for sheet_id in ("provenance", "season"):
        definition = results_definition().sheet(sheet_id)
        rows = cell_dicts(us["Provenance"], definition.title, len(definition.columns), 2)
        for column, row in zip(definition.columns, rows, strict=True):
            value = document[sheet_id][column.id]
            assert row["Item"] == column.title
            assert row["Value"] == (pytest.approx(value["value"]) if column.type == "figure" else value)
            assert (row["Unit"] or "") == column.label(column.unit_in("us"), "USD")


def test_every_cell_is_a_finite_number_or_a_text() -> None:
    book = opened(with_trace(sample_results("us", intervals=True), 50))
    seen = 0
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                assert cell.data_type in ("n", "s"), cell.coordinate
                if isinstance(cell.value, float):
                    assert math.isfinite(cell.value)
                    seen += 1
    assert seen > 200


def test_the_file_has_no_formula_macro_link_or_hidden_part() -> None:
    data = results_bytes(with_trace(sample_results("metric"), 50), paper="a4")
    with zipfile.ZipFile(BytesIO(data)) as archive:
        names = archive.namelist()
        sheets = [archive.read(name).decode() for name in names if name.startswith("xl/worksheets/sheet")]
        book = archive.read("xl/workbook.xml").decode()
    assert not [name for name in names if "vba" in name or "external" in name.lower() or "comment" in name]
    assert len(sheets) == len(SHEETS) + 1
    for sheet in sheets:
        assert "<f>" not in sheet
        assert "<f " not in sheet
        assert 'hidden="1"' not in sheet
        assert "hyperlink" not in sheet
    shown = re.sub(r'<definedName name="_xlnm._FilterDatabase"[^>]*>', "", book)  # the library's, of a filter
    assert "hidden" not in shown
    assert set(re.findall(r'definedName[^>]* name="([^"]*)"', shown)) <= {"_xlnm.Print_Area", "_xlnm.Print_Titles"}


def test_sheets_stand_in_order_and_the_trace_only_if_there_is_one(us: Workbook) -> None:
    assert us.sheetnames == SHEETS
    traced = opened(with_trace(sample_results("us"), 3))
    assert traced.sheetnames == [*SHEETS[:-1], "Inputs trace", "Provenance"]


def test_answer_shows_the_findings_the_short_table_and_the_kind_of_data(us: Workbook) -> None:
    document = sample_results("us")
    sheet = us["Answer"]
    lines = [sheet.cell(row, 1).value for row in range(1, sheet.max_row + 1)]
    assert lines[:2] == [document["season"]["season_name"], document["season"]["invented"]]
    assert [line for line in lines if line in {row["answer"] for row in document["answers"]}] == [
        row["answer"] for row in document["answers"]
    ]
    for expected, row in zip(document["rates_per_cord"], cell_dicts(sheet, "Per cord", 4, 2), strict=True):
        assert (row["Method"], row["Task"], row["Sessions"]) == (
            expected["method"], expected["task"], expected["sessions_n"],
        )  # fmt: skip
        assert row["Worker hours [h/cord]"] == pytest.approx(expected["worker_hours"]["value"])


def test_a_season_that_is_not_invented_has_no_such_line() -> None:
    document = sample_results("us")
    document["season"]["invented"] = ""
    sheet = opened(document)["Answer"]
    assert {cell.fill.fgColor.rgb for row in sheet.iter_rows() for cell in row if cell.fill.fill_type} == {"00DCE6EE"}


def test_the_same_document_gives_the_same_bytes() -> None:
    document = with_trace(sample_results("us", intervals=True), 20)
    assert results_bytes(document, paper="a4") == results_bytes(copy.deepcopy(document), paper="a4")
    assert results_bytes(document, paper="a4") != results_bytes(document, paper="letter")


def test_any_text_stays_a_text() -> None:
    document = sample_results("us")
    rows = document["inputs"]["sessions"]
    for row, text in zip(rows, HOSTILE, strict=False):
        row["note"] = text
    for row, text in zip(document["problems"], HOSTILE, strict=False):
        row["text"] = text
    document["season"]["season_name"] = HOSTILE[0]
    document["rates_per_cord"][0]["method"] = HOSTILE[1]
    book = opened(document)
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.value in HOSTILE]
    places = {text: {cell.parent.title for cell in cells if cell.value == text} for text in HOSTILE}
    assert all("Inputs" in found for found in places.values()), places
    assert sum("Problems" in found for found in places.values()) == len(document["problems"])
    assert "Answer" in places[HOSTILE[0]] & places[HOSTILE[1]]
    assert {cell.data_type for cell in cells} == {"s"}
    for cell in cells:
        assert bool(cell.quotePrefix) == (cell.value[0] in "=+-@\t'"), cell.value


def test_control_characters_and_line_ends_are_stored_as_can_be() -> None:
    document = sample_results("us")
    document["inputs"]["sessions"][0]["note"] = "bell\x07 and\r\nline\udcff" + "x" * 40_000
    sheet = opened(document)["Inputs"]
    notes = [cell.value for row in sheet.iter_rows() for cell in row if str(cell.value).startswith("bell")]
    assert len(notes) == 1
    assert notes[0].startswith("bell[character 7] and\nline[character 56575]xxx")
    assert len(notes[0]) <= 32_767


def read_back(book: Workbook) -> tuple[dict[str, Any], dict[str, list[int]]]:
    """The season document by the layout that ``inputs_echo`` describes, with nothing else known."""
    data: dict[str, Any] = {"version": season_definition().version, "units": {}}
    rows_of: dict[str, list[int]] = {}
    by_title = {sheet.title: sheet for sheet in season_definition().sheets}
    for name in ("Inputs", "Inputs trace"):
        lines = list(book[name].iter_rows(values_only=True)) if name in book.sheetnames else []
        for index, line in enumerate(lines):
            if line[0] in by_title:
                _read_block(by_title[line[0]], _block(lines[index + 1 :]), data, rows_of)
            elif line[0] == "Units of what was left empty":
                for _, title, column_title, unit, *_rest in _block(lines[index + 1 :])[1:]:
                    sheet = by_title[title]
                    column = next(c for c in sheet.columns if c.title == column_title)
                    data["units"].setdefault(sheet.id, {})[column.id] = _unit(column, unit)
    return data, rows_of


def _block(lines: list[tuple[Any, ...]]) -> list[tuple[Any, ...]]:
    end = next((i for i, line in enumerate(lines) if not any(value is not None for value in line)), len(lines))
    return lines[:end]


def _read_block(sheet: Sheet, lines: list[tuple[Any, ...]], data: dict[str, Any], rows_of: dict[str, Any]) -> None:
    units = data["units"].setdefault(sheet.id, {})
    if sheet.kind == "items":
        by_title = {column.title: column for column in sheet.columns}
        data[sheet.id] = {by_title[line[1]].id: line[2] for line in lines[1:]}
        units.update({by_title[line[1]].id: _unit(by_title[line[1]], line[3]) for line in lines[1:] if line[3]})
        return
    columns = []
    for header in lines[0][1:]:
        if header is None:
            break
        title, _, unit = header.removesuffix("]").partition(" [")
        columns.append(next(column for column in sheet.columns if column.title == title))
        if unit:
            units[columns[-1].id] = _unit(columns[-1], unit)
    rows_of[sheet.id] = [line[0] for line in lines[1:]]
    data[sheet.id] = [
        {c.id: value for c, value in zip(columns, line[1:], strict=False) if value is not None} for line in lines[1:]
    ]


def _unit(column: Column, label: str) -> str:
    unit = label.removeprefix("USD").strip() if column.is_money else label
    return unit or "money"


def test_the_notes_can_be_read_back_whole() -> None:
    document = with_trace(sample_results("us"), 200)
    inputs = document["inputs"]
    inputs["sessions"][1]["elapsed_time"] = 0.1 + 0.2  # every digit counts for the hash of the notes
    inputs["units"]["season"]["diesel_price"] = "per qt"  # a unit of an item that was left empty
    data, rows = read_back(opened(document))
    assert {key: units for key, units in data["units"].items() if units} == inputs["units"]
    for sheet in season_definition().sheets:
        assert (data.get(sheet.id) or None) == (inputs.get(sheet.id) or None), sheet.id
        if inputs.get(sheet.id) and sheet.kind == "table":
            assert rows[sheet.id] == document["input_rows"][sheet.id]


def test_row_numbers_that_do_not_fit_the_rows_are_refused() -> None:
    document = sample_results("us")
    document["input_rows"]["cuts"].pop()
    with pytest.raises(ValueError, match="56 rows of notes with 55 row numbers"):
        results_bytes(document, paper="letter")


def test_the_chart_draws_the_cells_that_hold_the_figure() -> None:
    document = sample_results("us", intervals=True)
    book = opened(document)
    sheet = book["Answer"]
    (series,) = bars_of(sheet).series
    values = [row[0].value for row in book["Answer"][_area(series.val.numRef.f)]]
    assert values == pytest.approx([row["worker_hours"]["value"] for row in document["rates_per_cord"]])
    names = [row[0].value for row in sheet[_area(series.cat.strRef.f)]]
    assert names == [row["method"] for row in document["rates_per_cord"]]
    figures = [row["worker_hours"] for row in document["rates_per_cord"]]
    up = [row[0].value for row in sheet[_area(series.errBars.plus.numRef.f)]]
    assert up == pytest.approx([0.0 if f["high"] is None else f["high"] - f["value"] for f in figures])
    down = [row[0].value for row in sheet[_area(series.errBars.minus.numRef.f)]]
    assert down == pytest.approx([0.0 if f["low"] is None else f["value"] - f["low"] for f in figures])


def bars_of(sheet: Any) -> BarChart:
    (chart,) = (chart for chart in sheet._charts if isinstance(chart, BarChart))
    return chart


def test_the_first_page_has_cautions_question_answer_and_table_and_the_next_the_pictures() -> None:
    document = sample_results("us", intervals=True)
    sheet = opened(document)["Answer"]
    lines = [sheet.cell(row, 1).value for row in range(1, sheet.max_row + 1)]
    page_ends = [found.id for found in sheet.row_breaks.brk]
    first_page = lines[: page_ends[0]]
    page = [f"{row['part']}. {row['text']}" for row in document["decision"]]
    assert [line for line in first_page if line in page] == page
    assert {row["method"] for row in document["rates_per_cord"]} <= set(first_page)
    above = first_page[: first_page.index(f"Question. {document['decision'][0]['text']}")]
    assert [f"{row['title']}. {row['text']}" for row in document["first_cautions"]] == above[-4:-1]
    assert above[-5] == "Before you start"
    assert [chart.anchor._from.row for chart in sheet._charts] == [page_ends[0], page_ends[0]]
    assert "In plain words" in lines[page_ends[0] :]
    points = sum(sheet.row_dimensions[row].height for row in range(1, page_ends[0] + 1))
    assert points < 792 - 72 * 1.5  # letter, less its margins


def test_the_picture_of_the_combinations_is_drawn_from_their_own_sheet() -> None:
    document = sample_results("us")
    book = opened(document)
    (chart,) = (chart for chart in book["Answer"]._charts if isinstance(chart, ScatterChart))
    for series, combination in zip(chart.series, document["combinations"], strict=False):
        for reference, value in ((series.tx.strRef.f, key_words("BestFor", combination["best_for"])),
                                 (series.xVal.numRef.f, combination["worker_hours"]),
                                 (series.yVal.numRef.f, combination["cash"])):  # fmt: skip
            assert reference.startswith("'Combinations'!")
            cell = book["Combinations"][reference.removeprefix("'Combinations'!").replace("$", "")].value
            assert cell == (value if isinstance(value, str) else pytest.approx(value["value"]))


def test_the_combinations_stand_in_parts_with_their_pictures_below_the_first() -> None:
    document = sample_results("us")
    sheet = opened(document)["Combinations"]
    title = "The whole job, per cord, part 2"
    second = next(row[0].row for row in sheet.iter_rows(max_col=1) if row[0].value == title)
    charts = [chart for chart in sheet._charts if isinstance(chart, ScatterChart)]
    for chart, upwards in zip(charts, ("cash", "co2e"), strict=True):
        assert chart.anchor._from.row < second
        drawn = [combination for combination in document["combinations"] if combination[upwards]["value"] is not None]
        for series, combination in zip(chart.series, drawn, strict=True):
            for reference, key in ((series.xVal.numRef.f, "worker_hours"), (series.yVal.numRef.f, upwards)):
                cell = sheet[reference.removeprefix("'Combinations'!").replace("$", "")]
                assert cell.row < second
                assert cell.value == pytest.approx(combination[key]["value"])


def _area(reference: str) -> str:
    assert reference.startswith("'Answer'!")
    return reference.removeprefix("'Answer'!").replace("$", "")


@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize(
    ("title", "first_column", "whole"), [("Money", 4, "Cash"), ("Emissions", 3, "CO2e of the work")]
)
def test_parts_are_drawn_from_the_cells_of_their_table(
    title: str, first_column: int, whole: str, system: System
) -> None:
    sheet = opened(sample_results(system))[title]
    (chart,) = sheet._charts
    first_row = next(row for row in range(1, 20) if sheet.cell(row, 1).value == BUCK_SAW)
    heads = [cell.value for cell in sheet[first_row - 1]]
    columns = [chart.series[i].val.numRef.f for i in range(5)]
    letters = [get_column_letter(first_column + i) for i in range(5)]
    assert columns == [f"'{title}'!${letter}${first_row}:${letter}${first_row + 3}" for letter in letters]
    assert [heads[first_column - 1 + i].startswith(s.tx.v) for i, s in enumerate(chart.series)] == [True] * 5
    greens = [int(series.graphicalProperties.solidFill.srgbClr[2:4], 16) for series in chart.series]
    assert min(b - a for a, b in pairwise(greens)) >= 0x20  # each lighter than the last, in grey print too
    texts = [row[0].value for row in sheet.iter_rows() if isinstance(row[0].value, str)]
    assert f"Where {whole} is not given, the bar lacks the part that is not known." in texts


def test_parts_are_drawn_from_the_cells_of_a_table_that_is_parted() -> None:
    document = sample_results()
    for row in document["money_per_cord"]:
        for cell in row.values():
            if isinstance(cell, dict) and cell["value"]:
                cell.update(low=0.8 * cell["value"], high=1.2 * cell["value"], reason="")
    document["money_per_cord"][0]["electricity"].update(value=1.0, low=0.8, high=1.2)
    sheet = opened(document)["Money"]
    (chart,) = sheet._charts
    for series in chart.series:
        name, column, first, last = re.fullmatch(
            r"'(\w+)'!\$([A-Z]+)\$(\d+):\$[A-Z]+\$(\d+)", series.val.numRef.f
        ).groups()
        assert name == "Money"
        assert sheet[f"{column}{int(first) - 1}"].value.startswith(series.tx.v)
        methods = [sheet[f"A{row}"].value for row in range(int(first), int(last) + 1)]
        assert methods == [row["method"] for row in document["money_per_cord"]]
    below = [cell.value for cell in sheet["A"][int(first) : chart.anchor._from.row]]
    assert "Cash, own time and hours" not in below  # the picture stands before the next table


def test_no_cash_at_all_gets_a_sentence_and_no_chart() -> None:
    document = sample_results()
    for row in document["money_per_cord"]:
        for cell in row.values():
            if isinstance(cell, dict):
                cell.update(value=None, reason="no price")
    sheet = opened(document)["Money"]
    assert sheet._charts == []
    texts = [row[0].value for row in sheet.iter_rows() if isinstance(row[0].value, str)]
    assert any(text.startswith("No picture") for text in texts)


def test_each_two_ways_have_a_picture_of_what_moves_their_flip_from_where_it_stands() -> None:
    document = sample_results()
    (row, other) = document["flip_moves"]
    document["flip_moves"] = [{**row, "input": f"input {i}"} for i in range(5)] + [other]
    sheet = opened(document)["Sensitivity"]
    first, second = sheet._charts
    assert [point.v for point in first.series[0].cat.strRef.strCache.pt] == [f"input {i}" for i in range(5)]
    for chart, shown in ((first, row), (second, other)):
        assert chart.x_axis.crossesAt == shown["flip"]["value"]
        assert chart.title.tx.rich.p[0].r[0].t == f"{shown['method']} against {shown['instead_of']}"
        for series, key in zip(chart.series, ("at_low", "at_high"), strict=True):
            names, numbers = (
                ref.f.split("!")[1].split(":")[0].replace("$", "") for ref in (series.cat.strRef, series.val.numRef)
            )
            assert sheet[numbers].value == (shown[key]["value"] or shown[key]["reason"])
            assert sheet[names].value == chart.series[0].cat.strRef.strCache.pt[0].v
    assert len(second.series[1].val.numRef.numCache.pt) == 0  # an open end has no bar
    document["flip_moves"] = []
    assert opened(document)["Sensitivity"]._charts == []


def test_a_figure_that_no_method_has_gets_a_sentence_and_no_chart() -> None:
    document = sample_results("us")
    for row in document["rates_per_cord"]:
        row["worker_hours"].update(value=None, reason="no time was written")
    sheet = opened(document)["Answer"]
    assert not [chart for chart in sheet._charts if isinstance(chart, BarChart)]
    lines = [row[0].value for row in sheet.iter_rows()]
    assert "No picture of worker hours: no method has the figure yet." in lines


def test_a_figure_that_one_method_lacks_leaves_a_gap_in_the_chart() -> None:
    document = sample_results("us")
    document["rates_per_cord"][1]["worker_hours"].update(value=None, reason="no time was written")
    sheet = opened(document)["Answer"]
    assert [point.idx for point in bars_of(sheet).series[0].val.numRef.numCache.pt] == [0, 2, 3]
    assert "A method without a bar has no figure; the table says why." in [row[0].value for row in sheet.iter_rows()]


def test_low_and_high_columns_stand_where_some_row_has_them_or_the_definition_keeps_them() -> None:
    plain, with_ends = (opened(sample_results("us", intervals=i))["Methods"] for i in (False, True))
    heads = [cell.value for cell in with_ends[3]]
    assert "Worker hours, low [h/cord]" in heads
    assert "Clock hours, low [h/cord]" not in heads
    kept = ["Effort, net of rest, low [kcal/cord]", "Effort, gross, low [kcal/cord]"]
    assert [cell.value for cell in plain[3] if "low" in str(cell.value)] == kept
    document = sample_results("us")
    document["rates_per_cord"][0]["clock_hours"]["reason"] = "a session took none of it"
    lines = [[row[0].value for row in sheet.iter_rows()] for sheet in (plain, opened(document)["Methods"])]
    told = [[line for line in of_sheet if str(line).startswith("No low and high ends")] for of_sheet in lines]
    assert told == [[], ["No low and high ends for Clock hours: a session took none of it."]]


def test_items_without_ends_by_nature_have_empty_cells_there() -> None:
    document = sample_results("us")
    document["plan"]["volume_wanted"].update(reason="")
    document["plan"]["worker_hours"].update(low=10.0, high=20.0, reason="")
    document["plan"]["cash"].update(value=70.0, low=None, high=None, reason="no price of a tool")
    lines = {row[0].value: [cell.value for cell in row] for row in opened(document)["Next season"].iter_rows()}
    heads = lines["Item"]
    low, high = heads.index("low"), heads.index("high")
    found = {
        title: (lines[title][low], lines[title][high]) for title in ("Wood wanted", "Start", "Worker hours", "Cash")
    }
    assert found["Wood wanted"] == found["Start"] == (None, None)
    assert found["Worker hours"] == (10.0, 20.0)
    assert found["Cash"] == ("no price of a tool", "no price of a tool")


def test_numbers_have_the_decimals_of_their_definition(us: Workbook) -> None:
    row = us["Methods"][4]
    heads = [cell.value for cell in us["Methods"][3]]
    formats = dict(zip(heads, [cell.number_format for cell in row], strict=True))
    assert formats["Worker hours [h/cord]"] == "#,##0.00_)"
    assert formats["Effort, gross [kcal/cord]"] == "#,##0_)"
    assert us["Factors"]["C4"].number_format == "General_)"


def test_every_sheet_is_set_up_for_screen_and_paper() -> None:
    for paper, code in (("letter", 1), ("a4", 9)):
        book = opened(with_trace(sample_results("us"), 5), paper)
        for sheet in book:
            assert int(sheet.page_setup.paperSize) == code
            assert sheet.sheet_properties.pageSetUpPr.fitToPage
            assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 0)
            assert sheet.freeze_panes
            assert "&A" in sheet.oddFooter.left.text
            assert "&P" in sheet.oddFooter.right.text
            widths = [sheet.column_dimensions[get_column_letter(i + 1)].width for i in range(sheet.max_column)]
            assert min(widths) >= 7
            heights = [sheet.row_dimensions[row].height for row in range(1, sheet.max_row + 1)]
            assert min(heights) > 10
        assert book["Factors"].freeze_panes == "A4"
        assert book["Factors"].print_title_rows == "$3:$3"


@pytest.mark.parametrize(("title", "header"), [("Body", "Headline basis"), ("Exposure", "Points")])
def test_header_of_a_long_last_table_is_printed_on_its_further_pages(title: str, header: str) -> None:
    sheet = opened(sample_results("us"))[title]
    row = int(sheet.print_title_rows.split(":")[1].strip("$"))
    assert header in [cell.value for cell in sheet[row]]
    assert row > 3  # below another table


def test_a_table_after_many_pages_begins_on_a_new_one() -> None:
    document = sample_results("us")
    cuts = document["inputs"]["cuts"]
    document["inputs"]["cuts"] = [cuts[i % len(cuts)] for i in range(600)]
    document["input_rows"]["cuts"] = list(range(4, 604))
    sheet = opened(document)["Inputs"]
    stacks = next(row for row in range(1, sheet.max_row) if sheet.cell(row, 1).value == "Stacks")
    assert stacks - 1 in {found.id for found in sheet.row_breaks.brk}
    assert len(sheet.row_breaks.brk) < 8


def test_short_tables_and_the_last_rows_with_their_notes_stay_on_one_page() -> None:
    document = sample_results("us", intervals=True)
    rows = document["rates_per_cord"]
    document["rates_per_cord"] = [rows[i % len(rows)] for i in range(45)]  # more than a page holds
    sheet = opened(document)["Methods"]
    breaks = {found.id for found in sheet.row_breaks.brk}
    sizes = [sheet.cell(row, 1).font.size for row in range(1, sheet.max_row + 1)]
    titles = [row for row, size in enumerate(sizes, start=1) if size == looks.TITLE.size]
    for top, after in zip(titles, [*titles[1:], sheet.max_row + 1], strict=True):
        inside = breaks & set(range(top, after - 1))
        notes = [row for row in range(top + 2, after) if sizes[row - 1] == looks.NOTE.size]
        assert inside <= {notes[0] - ROWS_WITH_NOTES - 1} if notes else not inside, sheet.cell(top, 1).value
    assert breaks


def test_no_header_is_printed_above_a_picture_alone() -> None:
    assert opened(sample_results("us"))["Sensitivity"].print_title_rows is None
    assert opened(sample_results("us"))["Factors"].print_title_rows == "$3:$3"


def test_no_rows_are_printed_under_the_header_of_another_table() -> None:
    document = sample_results("us", intervals=True)
    rows = document["how_sure"]
    document["how_sure"] = [rows[i % len(rows)] for i in range(60)]  # each of its parts needs more than a page
    sheet = opened(document)["How sure"]
    assert phrase(Beside.PART, title="How sure each figure is", number=2) in [
        row[0].value for row in sheet.iter_rows()
    ]
    assert sheet.print_title_rows is None


def test_a_table_that_a_page_holds_repeats_no_header_above_what_comes_after_it() -> None:
    document = sample_results("us", intervals=True)
    rows = document["comparisons"]
    for count, repeated in ((24, None), (90, "$3:$3")):
        document["comparisons"] = [rows[i % len(rows)] for i in range(count)]
        assert opened(document)["Comparisons"].print_title_rows == repeated


def test_no_page_break_parts_a_title_from_its_rows() -> None:
    document = with_trace(sample_results("metric", intervals=True), 5)
    for sheet in opened(document, "a4"):
        pictures = {chart.anchor._from.row for chart in sheet._charts}
        for found in sheet.row_breaks.brk:
            first = sheet.cell(found.id + 1, 1)
            with_notes = sheet.cell(found.id + 1 + ROWS_WITH_NOTES, 1).font.size == looks.NOTE.size
            assert first.font.size == 12.0 or found.id in pictures or with_notes, (sheet.title, first.coordinate)


def test_fonts_are_one_and_fills_are_two() -> None:
    book = opened(sample_results("us"))
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert {cell.font.name for cell in cells} == {"Arial"}
    assert {cell.fill.fgColor.rgb for cell in cells if cell.fill.fill_type} == {"00DCE6EE", "00F2D98C"}
    styles = zipfile.ZipFile(BytesIO(results_bytes(sample_results("us"), paper="a4"))).read("xl/styles.xml")
    assert b"Calibri" not in styles


def test_empty_tables_say_so() -> None:
    document = without_rows(sample_results("metric"))
    document["answers"] = []
    book = opened(document)
    assert book.sheetnames == SHEETS
    for name in SHEETS[:-2]:
        assert any(str(row[0].value).startswith(NO_ROWS) for row in book[name].iter_rows()), name
    comparisons = [row[0].value for row in book["Comparisons"].iter_rows()]
    assert "none: no two methods of one task have a session that counts" in comparisons
    titles = [sheet.title for sheet in season_definition().sheets if sheet.id != "season"]
    assert book["Inputs"]["A3"].value == f"Sheets that held nothing: {', '.join(titles)}."


def test_the_short_table_says_where_other_ends_stand() -> None:
    lines = [row[0].value for row in opened(sample_results("us", intervals=True))["Answer"].iter_rows()]
    (told,) = [str(line) for line in lines if str(line).startswith("Low and high ends of ")]
    assert told.endswith(": see the sheet Methods.")
    shown = {title for title in ("Effort, net of rest", "Cash", "CO2e of the work") if title in told}
    given = sample_results("us", intervals=True)["rates_per_cord"]
    columns = {"Effort, net of rest": "kcal_net", "Cash": "cash", "CO2e of the work": "co2e"}
    kept = {
        c.id for c in results_definition().sheet("rates_per_cord").columns if c.keeps_ends
    }  # in their place always
    ended = {c for c in columns.values() if any(row[c]["low"] is not None for row in given)}
    assert shown == {title for title, column in columns.items() if column in kept | ended}
    assert not [line for line in lines if str(line).startswith("No low and high ends") and "Cash" in line]


def test_notes_under_a_table_name_the_rows_they_hold_for(us: Workbook) -> None:
    lines = [row[0].value for row in us["Methods"].iter_rows()]
    assert (
        "6. CO2e of the work, CO2e of fuel and electricity: Fuel and oil of the sessions that recorded it "
        f"({BUCK_CHAIN})."
    ) in lines


def converted(data: bytes, program: str, folder: Path) -> Workbook:
    source = folder / "results.xlsx"
    source.write_bytes(data)
    out = folder / "out"
    subprocess.run(
        [program, f"-env:UserInstallation={(folder / 'profile').as_uri()}", "--headless", "--convert-to", "xlsx",
         "--outdir", str(out), str(source)],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    return load_workbook(out / "results.xlsx")


@pytest.mark.office
@pytest.mark.slow
def test_a_spreadsheet_program_keeps_every_cell(soffice: str, tmp_path: Path) -> None:
    document = with_trace(sample_results("us", intervals=True), 20)
    for row, text in zip(document["inputs"]["sessions"], HOSTILE, strict=False):
        row["note"] = text
    data = results_bytes(document, paper="letter")
    book, kept = load_workbook(BytesIO(data)), converted(data, soffice, tmp_path)
    assert kept.sheetnames == book.sheetnames
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                found = kept[sheet.title][cell.coordinate]
                if isinstance(cell.value, int | float):
                    assert found.value == pytest.approx(cell.value, rel=1e-14), (sheet.title, cell.coordinate)
                elif cell.value is not None:
                    assert (found.value, found.data_type) == (cell.value, "s"), (sheet.title, cell.coordinate)
    assert len(kept["Answer"]._charts) == 2
