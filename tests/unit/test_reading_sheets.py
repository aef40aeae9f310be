"""The reading sheets of the results: how many pages, what they say, and that nothing is cut off or made up."""

from __future__ import annotations

import json
import re
import zipfile
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from builders import demo_results, only_methods, reading_pages, scored, small_season
from few import few, together
from openpyxl import load_workbook
from test_odd_seasons import CHANGES
from test_promises import promises

from wood_xl.demo import demo_data, demo_names
from wood_xl.io import measure
from wood_xl.io.fill import filled_workbook
from wood_xl.io.pack import packed
from wood_xl.page_texts import Glossary, OnAnswer, OnPages
from wood_xl.pipeline import score_file
from wood_xl.reasons import Ranged, sentences
from wood_xl.report import styles
from wood_xl.report.body import HIGHEST_ROW_PX
from wood_xl.report.book import PAGES, results_bytes
from wood_xl.report.charts import CHART_PX
from wood_xl.report.figure_text import figure_text, ranged_text
from wood_xl.report.layout import CELL_PX, DIGIT_PX, LINE_POINTS, PAD, PAGE_POINTS, Line, Page, Span, most_px
from wood_xl.report.money import LABEL_SHARE
from wood_xl.report.view import View
from wood_xl.results.share import shared
from wood_xl.schema.words import money_text, number_text, words
from wood_xl.units import convert
from wood_xl.verdicts import Further, Surety

Document = dict[str, Any]

MOST_PAGES, LEAST_SIZE, LEAST_CHART_SIZE = 12, 9.0, 900


@pytest.fixture(params=few(demo_names(), "hill_farm_us"))
def document(request: pytest.FixtureRequest) -> Document:
    return demo_results(request.param)


def cells(page: Page) -> Iterator[tuple[int, Span]]:
    for lines in page.pages():
        for line in lines:
            yield from page.placed(line.cells)


def texts(document: Document) -> str:
    pages, _ = reading_pages(document)
    return "\n".join(cell.text for page in pages.values() for _, cell in cells(page))


def lines_of(document: Document) -> list[list[str]]:
    page = reading_pages(document)[0][words(OnPages.ANSWER)]
    return [[cell.text for cell in line.cells] for lines in page.pages() for line in lines]


def test_there_are_eight_sheets_on_at_most_twelve_pages_and_answer_on_one(document: Document) -> None:
    pages, _ = reading_pages(document)
    assert list(pages) == [words(title) for title in PAGES]
    assert len(pages) == 8
    assert len(pages[words(OnPages.ANSWER)].pages()) == 1
    most = MOST_PAGES + bool(document["stock"])  # a woodshed has one
    assert sum(len(page.pages()) for page in pages.values()) <= most


def test_no_sheet_ends_with_a_page_of_a_few_lines(document: Document) -> None:
    for title, page in reading_pages(document)[0].items():
        *_, last = page.pages()
        assert len(page.pages()) == 1 or sum(line.height for line in last) > PAGE_POINTS / 4, title


def test_equal_ways_are_not_listed_as_open() -> None:
    document = demo_results("lake_cabin_metric")
    same = [row["figure"] for row in document["comparisons"] if row["surety"] == words(Surety.SAME)]
    assert same == ["Worker hours"]  # of the petrol and the battery saw
    assert f"To settle it: {words(Further.NONE)}" not in texts(document)


def test_no_page_is_higher_than_both_papers_hold_and_none_wider(document: Document) -> None:
    for page in reading_pages(document)[0].values():
        assert all(sum(line.height for line in lines) <= PAGE_POINTS for lines in page.pages())
        assert sum(page.widths) <= most_px(page.columns)


def test_no_word_is_wider_than_its_cell_and_no_letter_too_small(document: Document) -> None:
    for page in reading_pages(document)[0].values():
        for first, cell in cells(page):
            widest = max(
                (measure.text_width(one, cell.look.size, cell.look.bold) for one in cell.text.split()), default=0.0
            )
            assert widest <= page.room(first, cell), cell.text
            assert cell.look.size >= LEAST_SIZE


@pytest.mark.parametrize("name", demo_names())
def test_few_rows_are_a_line_too_high(name: str) -> None:
    """A text that all but fills its cell gets another line, as programs differ; columns are wide enough for most."""
    too_high = [
        [cell.text for cell in line.cells]
        for page in reading_pages(demo_results(name))[0].values()
        for lines in page.pages()
        for line in lines
        if line.table and line.height > least_height(page, line) + 1
    ]
    assert len(too_high) <= 1, too_high


def least_height(page: Page, line: Line) -> float:
    """Height of a row whose texts fill their cells to the edge."""
    heights = []
    for first, cell in page.placed(line.cells):
        px = sum(page.widths[first : first + cell.columns]) - CELL_PX - 9 * cell.look.indent
        lines = measure.lines_within(cell.text, px / DIGIT_PX, cell.look.size, bold=cell.look.bold)
        heights.append(lines * cell.look.size * LINE_POINTS + PAD)
    return max(heights)


def test_the_chart_of_heart_rates_takes_the_room_that_its_page_has(document: Document) -> None:
    pages = reading_pages(document)[0][words(OnPages.BODY)].pages()
    (chart,) = [chart for line in pages[0] for chart in line.charts]
    rows_n = chart.chart.y_axis.scaling.max
    assert len(pages) == 1
    assert PAGE_POINTS - sum(line.height for line in pages[0]) < rows_n or chart.height_px > HIGHEST_ROW_PX * rows_n


RANGE = re.compile(r"(?<![A-Za-z])(-?[\d.,]*\d)(?:\xa0%)? \((-?[\d.,]*\d)[ \xa0]to[ \xa0](-?[\d.,]*\d)\)")


def test_every_figure_with_a_range_is_one_of_the_document(document: Document) -> None:
    """As rounded by the rule, for the unit of wood that the pages speak of; a ratio also turned around."""
    shares = [1.0, 1 / convert(1.0, "cord", "stacked m3")] if View(document).is_metric else [1.0]
    known: set[tuple[str, ...]] = set()
    for row in document["figures"]:
        ends = row["low"], row["value"], row["high"]
        if None in ends:
            continue
        ways = [[one * share for one in ends] for share in shares]
        if row["measure"] == "ratio":
            ways.append([1 / one for one in reversed(ends)])
        for low, value, high in ways:
            for least, middle in ((low, value), (max(0.0, low), max(0.0, value))):
                number = Ranged(middle, least, high)
                for is_money in (False, True):
                    found = RANGE.search(ranged_text(number, is_money=is_money))
                    if found:
                        known.add(found.groups())
    told = [found.groups() for found in RANGE.finditer(texts(document))]
    assert len(told) > 100
    assert [one for one in told if one not in known] == []


def test_one_figure_has_one_range_wherever_it_stands(document: Document) -> None:
    hours = View(document).unit_text(document["rates_per_cord"][0]["worker_hours"])
    pages, _ = reading_pages(document)
    for title in (OnPages.COMPARE, OnPages.ANSWER):
        assert any(hours in cell.text for _, cell in cells(pages[words(title)]))


@pytest.mark.slow
def test_answer_names_nobody_and_a_shared_copy_names_nobody_anywhere(document: Document) -> None:
    people = [row["person"] for row in document["inputs"]["people"]]
    assert people
    answer = reading_pages(document)[0][words(OnPages.ANSWER)]
    whole = "\n".join(cell.text for _, cell in cells(answer))
    given = texts(shared(document))
    place = document["season"]["place"]
    notes = [row["note"] for row in document["inputs"]["sessions"] if "note" in row]
    for name in people:
        assert not re.search(rf"\b{name}\b", whole)
    for private in (*people, place, *notes):
        assert not re.search(rf"\b{re.escape(private)}\b", given)
    assert words(OnPages.PLAN) not in reading_pages(shared(document))[0]


def test_cautions_stand_above_the_verdict(document: Document) -> None:
    answer = reading_pages(document)[0][words(OnPages.ANSWER)]
    lines = [cell.text for _, cell in cells(answer)]
    risk = next(at for at, text in enumerate(lines) if "No figure here counts the risk of injury." in text)
    verdict = lines.index(next(row["head"] for row in document["verdicts"] if row["kind"] != "only_way"))
    assert risk < verdict
    assert any("face screen" in text for text in lines[:risk])


def test_every_chart_says_what_it_shows_and_its_labels_stay_on_one_line(document: Document) -> None:
    with zipfile.ZipFile(BytesIO(results_bytes(document, paper="letter"))) as book:
        drawings = [book.read(name).decode() for name in book.namelist() if name.startswith("xl/drawings/drawing")]
        charts = [book.read(name).decode() for name in book.namelist() if name.startswith("xl/charts/chart")]
    frames = [frame for drawing in drawings for frame in re.findall(r'<[^>]*name="Chart \d+"[^>]*>', drawing)]
    assert len(frames) == len(charts)
    assert len(charts) >= 9
    assert all(re.search(r'descr="[^"]{30,}"', frame) for frame in frames)
    assert not any('wrap="square"' in chart for chart in charts)
    assert any('wrap="none"' in chart for chart in charts)
    sizes = [int(size) for chart in charts for size in re.findall(r'sz="(\d+)"', chart)]
    assert min(sizes) >= LEAST_CHART_SIZE


@pytest.mark.slow
def test_a_workbook_holds_values_alone_and_draws_from_its_own_rows(document: Document) -> None:
    data = results_bytes(document, paper="a4")
    book = load_workbook(BytesIO(data))
    for sheet in book:
        assert sheet.sheet_state == "visible"
        for row in sheet.iter_rows():
            for cell in row:
                assert cell.data_type != "f"
                assert (
                    cell.hyperlink is None or cell.hyperlink.target is None or cell.hyperlink.target.startswith("#")
                )
    for sheet in book.worksheets[: len(PAGES)]:
        set_up = sheet.page_setup
        assert (set_up.paperSize, set_up.scale, set_up.orientation) == (9, 100, "portrait")
    assert all(sheet.oddFooter.left.text.startswith("Appendix") for sheet in book.worksheets[len(PAGES) :])
    assert results_bytes(document, paper="a4") == data


def test_how_we_know_ends_with_all_cautions_and_a_short_glossary(document: Document) -> None:
    whole = texts(document)
    assert all(row["text"] in whole for row in document["cautions"])
    assert len(Glossary) <= 15


def test_no_fill_color_has_two_roles() -> None:
    fills = [styles.HAND, styles.POWER, styles.OPEN, styles.HEAD_FILL, styles.LEAST, *styles.PART_FILLS]
    lightness = [
        sum(int(fill[at : at + 2], 16) * share for at, share in ((0, 0.3), (2, 0.59), (4, 0.11))) for fill in fills
    ]
    assert len(set(fills)) == len(fills)
    hand, power, open_ = lightness[:3]
    assert hand - power > 60
    assert open_ - hand > 30


@pytest.mark.slow
@pytest.mark.parametrize("name", few(CHANGES, "everything by the clock"))
def test_an_odd_season_has_its_pages_too(name: str, tmp_path: Path) -> None:
    data = small_season()
    CHANGES[name][0](data)
    results = scored(data, tmp_path)
    for document in (results, shared(results)):
        pages, _ = reading_pages(document)
        assert len(pages[words(OnPages.ANSWER)].pages()) == 1
        assert results_bytes(document, paper="a4").startswith(b"PK")


def test_a_season_of_one_way_says_how_to_get_a_choice(tmp_path: Path) -> None:
    data = demo_data(demo_names()[0])
    data = only_methods(data, data["methods"][0]["method"])
    path = tmp_path / "season.xlsx"
    path.write_bytes(packed(filled_workbook(data, system="us", currency="USD", paper="letter")))
    results = score_file(path, None).results
    assert results is not None
    pages, _ = reading_pages(results)
    assert words(OnPages.COMPARE) not in pages
    answer = "\n".join(cell.text for _, cell in cells(pages[words(OnPages.ANSWER)]))
    assert "Time a second way of" in answer
    assert "settled\n" not in answer
    money = "\n".join(cell.text for _, cell in cells(pages[words(OnPages.MONEY)]))
    assert "when a tool pays" not in money


@together(
    ("cell", "currency", "told"),
    [
        ({"value": 6.368, "low": 5.305, "high": 7.645, "unit": "h"}, "", "6.4 (5.3 to 7.6)"),
        ({"value": 6.46, "low": 5.84, "high": 7.11, "unit": "h"}, "", "6.46 (5.84 to 7.11)"),
        ({"value": 1.0, "low": 0.8, "high": 1.3, "unit": "h"}, "", "1.0 (0.80 to 1.3)"),
        ({"value": 5.4, "low": 4.14, "high": 7.0, "unit": "money"}, "USD", "$5.40 (4.10 to 7.00)"),
        ({"value": 16.2, "low": 5.5, "high": None, "unit": "money"}, "USD", "$16 (5.50 or more)"),
        ({"value": 65.9, "low": 47.5, "high": 108.0, "unit": "money"}, "SEK", "SEK\xa066 (48 to 110)"),
        ({"value": 0.0, "low": None, "high": None, "unit": "money"}, "USD", "none"),
        ({"value": None, "low": None, "high": None, "unit": "h"}, "", "not known"),
        ({"value": 1234.0, "low": 1180.0, "high": 1290.0, "unit": "kcal"}, "", "1,230 (1,180 to 1,290)"),
    ],
)
def test_a_figure_is_one_cell(cell: Document, currency: str, told: str) -> None:
    assert figure_text({**cell, "reason": "", "basis": ""}, currency) == told


def test_a_price_below_zero_is_shown_as_nothing() -> None:
    price = {"value": 4365.0, "low": -1750.0, "high": 8510.0, "unit": "money", "reason": ""}
    assert figure_text(price, "USD", at_least_zero=True) == "$4,400 (0 to 8,500)"
    cheap = {**price, "value": -300.0, "high": -10.0}
    assert figure_text(cheap, "USD", at_least_zero=True) == words(OnPages.NOTHING)


def test_a_long_table_repeats_its_header_and_a_section_stays_whole() -> None:
    page = Page((300, 300), {})
    page.title("Title", "")
    page.table(["Name", "Value"], [[f"row {number}", "x"] for number in range(90)])
    page.section("Last")
    page.text("whole")
    first, second, *_ = page.pages()
    assert second[0].is_head
    assert second[0].cells == next(line for line in first if line.is_head).cells
    last = page.pages()[-1]
    assert [cell.text for line in last[-2:] for cell in line.cells] == ["Last", "whole"]
    assert json.dumps([line.height for line in first])


def test_a_table_of_bands_breaks_before_a_band_and_repeats_its_header() -> None:
    page = Page((300, 300), {})
    bands = [[Span(f"band {number}", styles.BAND, 2)] for number in range(20)]
    page.table(["Name", "Value"], [row for band in bands for row in (band, *[["row", "x"]] * 4)])
    first, second, *_ = page.pages()
    assert len(first) == 1 + 5 * 9  # three more rows would fit
    assert second[0].is_head
    assert second[1].cells[0].text == "band 9"


def test_a_range_wider_than_its_column_breaks_between_words() -> None:
    page = Page((84, 84), {})
    page.table([], [["Name", "¥1,800 (1,200 to 3,100)"], ["Name", "¥510 (380 to 640)"]])
    assert [line.cells[1].text for line in page.pages()[0]] == [
        "¥1,800 (1,200 to 3,100)",
        "¥510 (380\N{NO-BREAK SPACE}to\N{NO-BREAK SPACE}640)",
    ]


def test_numbers_of_the_pages_round_to_nearest() -> None:
    assert (number_text(3.96), money_text(9.97)) == ("4.0", "10")


def test_what_the_range_of_a_flip_leaves_open_is_told_in_no_word_of_chances() -> None:
    """By its draws the splitter pays in 82 of 100 at this hour, and "cannot tell yet" is said of fewer than 80."""
    rows = [line for line in lines_of(demo_results("hill_farm_us")) if line[:1] == ["Electric splitting"]]
    (row,) = rows
    assert row[-1] == words(OnAnswer.PAYS_OPEN)
    assert row[-1] not in sentences()["Surety"].values()


def test_what_moves_a_flip_is_drawn_from_where_it_stands(document: Document) -> None:
    pair = document["exchange"][0]

    def moved(name: str, low: float, high: float) -> Document:
        amounts = {"flip": 5.0, "at_low": low, "at_high": high, "swing": abs(high - low)}
        cells = {key: {"value": one, "low": None, "high": None, "unit": "money"} for key, one in amounts.items()}
        about = {key: pair[key] for key in ("task", "method", "instead_of")}
        return {"input": name, "range": "1 to 2", **about, **cells}

    moves = [moved("life", 3.0, 9.0), moved("price", 6.0, 4.0)]
    _, data = reading_pages({**document, "flip_moves": moves})
    bars = {name: [point.x for _, series, point in data.rows if series == name] for name in ("life", "price")}
    assert bars == {"life": [3.0, 5.0, 5.0, 9.0], "price": [4.0, 5.0, 5.0, 6.0]}


def number(text: str) -> float:
    return float(re.sub(r"[^\d.]", "", text))


@pytest.mark.slow
def test_a_long_season_with_long_names_keeps_answer_on_one_page(tmp_path: Path) -> None:
    data = demo_data(demo_names()[0])
    long = {row["method"]: f"{row['method']} as grandfather did it, with pauses" for row in data["methods"]}
    sessions = [{**row, "method": long[row["method"]]} for row in data["sessions"]]
    copies = [{**row, "session": f"{row['session']}b"} for row in sessions]
    for row in data["methods"]:
        row["method"] = long[row["method"]]
    data["sessions"] = [*sessions, *copies]
    for sheet in ("cuts", "tally", "stacks", "helpers"):
        data[sheet] += [{**row, "session": f"{row['session']}b"} for row in data[sheet]]
    path = tmp_path / "season.xlsx"
    path.write_bytes(packed(filled_workbook(data, system="us", currency="JPY", paper="letter")))
    results = score_file(path, None).results
    assert results is not None
    pages, rows = reading_pages(results)
    assert len(pages[words(OnPages.ANSWER)].pages()) == 1
    assert len(pages[words(OnPages.SESSIONS)].pages()) == 1
    book = load_workbook(BytesIO(results_bytes(results, paper="letter")))
    assert book.sheetnames.index(words(OnPages.SESSION_LIST)) >= len(pages)
    assert {f"{row['session']}" for row in sessions} <= {
        cell.value for (cell,) in book[words(OnPages.SESSION_LIST)]["A1:A80"]
    }
    shown = {point.label for _, _, point in rows.rows if point.label.endswith("…")}
    assert shown
    assert all(measure.text_width(name, 9) * DIGIT_PX < CHART_PX * LABEL_SHARE for name in shown)


@pytest.mark.slow
def test_no_page_promises_anything(document: Document) -> None:
    for given in (document, shared(document)):
        pages, _ = reading_pages(given)
        told = ((title, cell.text) for title, page in pages.items() for _, cell in cells(page))
        assert promises(told) == []
