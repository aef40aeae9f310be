"""Odd seasons on the reading sheets: nothing cut off, empty or without words, and Answer always one page."""

from __future__ import annotations

import copy
import re
import zipfile
from collections.abc import Callable
from functools import cache
from io import BytesIO
from typing import Any

import pytest
from builders import Data, reading_pages, results_of, small_season, trial_season
from few import few
from openpyxl import load_workbook
from openpyxl.utils import get_column_letter
from test_decision import hill, left_out, one_method
from test_promises import promises

from wood_xl.data.trade import tasks
from wood_xl.demo import demo_data
from wood_xl.io import measure
from wood_xl.page_texts import OnAnswer, OnPages
from wood_xl.reasons import sentences
from wood_xl.report.book import PAGES, results_bytes
from wood_xl.report.layout import CELL_PX, DIGIT_OF_WIDTH_PX, DIGIT_PX, Page, most_px
from wood_xl.results.share import shared
from wood_xl.schema.words import words

Document = dict[str, Any]
CABIN = "lake_cabin_metric"
LINE_OF_LETTERS = 1.15  # height of a line of Arial, for each point of size
ROWS_OF = ("cuts", "tally", "stacks", "helpers", "heart_trace")


def one_session() -> Data:
    data = hill()
    first = data["sessions"][0]
    data["methods"] = [row for row in data["methods"] if row["method"] == first["method"]]
    for sheet in ("sessions", *ROWS_OF):
        data[sheet] = [row for row in data.get(sheet, ()) if row["session"] == first["session"]]
    return data


def without_prices() -> Data:
    data = hill()
    for sheet in ("tools", "upkeep"):
        for row in data[sheet]:
            row.pop("price", None)
            row.pop("resale", None)
    data["upkeep"] = []
    data["season"] = {key: cell for key, cell in data["season"].items() if not key.endswith("_price")}
    return data


def without_heart_rate() -> Data:
    data = hill()
    for row in (*data["sessions"], *data["helpers"]):
        row.pop("mean_heart_rate", None)
    data["heart_trace"] = []
    return data


def every_task() -> Data:
    """Each task that there is, in two ways."""
    data = hill()
    stack = data["stacks"][0]
    done = {row["task"] for row in data["methods"]}
    for at, task in enumerate(one for one in tasks() if one not in done):
        for way, minutes, who in (("by hand", 45, "Mara"), ("by winch", 20, "Jon")):
            name = f"{task} {way}"
            data["methods"].append({"method": name, "task": task, "tool_1": "electric splitter"})
            for number in range(2):
                session = f"{task}{number}{who}"
                data["sessions"].append(
                    {"session": session, "date": f"2025-05-{10 + at + number}", "method": name, "person": who,
                     "elapsed_time": minutes + 3 * number}
                )  # fmt: skip
                data["stacks"].append({**stack, "session": session})
    return data


def long_names() -> Data:
    data = hill(season_name="The farm on the hill above the long valley, spring, with all hands and every tool there")
    added = {
        "method": " as grandfather did it, with pauses",
        "tool": " from the barn behind the old mill",
        "person": " Featherstonehaugh-Wetherby",
    }
    for rows in data.values():
        for row in rows if isinstance(rows, list) else ():
            for column, cell in row.items():
                kind = column.rstrip("_123456")
                if kind in added:
                    row[column] = cell + added[kind]
                if column == "may_use":
                    row[column] = "; ".join(one + added["tool"] for one in cell.split("; "))
    return data


def sixty_sessions() -> Data:
    data = hill()
    for sheet in ("sessions", "cuts", "tally", "stacks", "helpers"):
        data[sheet] += [
            {**row, "session": f"{row['session']}{again}"} for again in ("b", "c") for row in list(data[sheet])
        ]
    return data


def yen() -> Data:
    data = hill(currency="JPY", value_of_time=1800)
    for sheet in ("tools", "upkeep"):
        for row in data[sheet]:
            row |= {key: 100 * row[key] for key in ("price", "resale") if key in row}
    return data


def waiting() -> Data:
    data = hill()
    next(row for row in data["sessions"] if row["method"] == "chain saw bucking")["elapsed_time"] = 99999
    return data


def not_tried() -> Data:
    data = small_season()
    data["methods"].append({"method": "By another saw", "task": "buck", "tool_1": "Bow saw"})
    return data


SEASONS: dict[str, Callable[[], Data]] = {
    "one method": one_method,
    "one session": one_session,
    "no prices": without_prices,
    "no heart rate": without_heart_rate,
    "all left out": left_out,
    "three saws, metric": lambda: copy.deepcopy(demo_data(CABIN)),
    "every task in two ways": every_task,
    "long names": long_names,
    "60 sessions": sixty_sessions,
    "yen": yen,
    "small, metric": small_season,
    "trial, metric": trial_season,
    "a way not tried, metric": not_tried,
    "a session waits": waiting,
    "no value of an hour": lambda: hill(value_of_time=None),
}


@cache
def results(name: str) -> Document:
    data = SEASONS[name]()
    data["season"] = {key: cell for key, cell in data["season"].items() if cell is not None}
    return results_of(data, "metric" if "metric" in name else "us")


def texts(page: Page) -> list[str]:
    return [cell.text for lines in page.pages() for line in lines for _, cell in page.placed(line.cells)]


def answer(document: Document) -> Page:
    return reading_pages(document)[0][words(OnPages.ANSWER)]


@pytest.mark.parametrize("name", few(SEASONS, "one session"))
def test_answer_is_one_page_with_all_its_cautions_and_verdicts(name: str) -> None:
    document = results(name)
    page = answer(document)
    assert len(page.pages()) == 1
    told = texts(page)
    assert any("No figure here counts the risk of injury." in text for text in told)
    for row in document["verdicts"]:
        if row["kind"] != "only_way" or not document["exchange"]:
            assert row["head"] in told
            assert row["sentence"] in told


def test_a_task_without_a_choice_takes_no_caution_from_what_is_chosen_for_others() -> None:
    document = copy.deepcopy(results("every task in two ways"))
    choice = {"fell": "fell by hand", "limb": "limb by hand", "split": "maul splitting", "stack": ""}
    for row in document["verdicts"]:
        row |= {"choice": choice.get(row["task"], row["choice"]), "surety": "only_one"}
    told = [text for text in texts(answer(document)) if "Wear " in text]
    assert [text.partition(":")[0] for text in told][:3] == [
        "Powered saw",
        "Splitting ax or maul",
        "Winch, vehicle or conveyor",
    ]


def test_a_value_of_an_hour_beyond_the_scale_of_its_chart_is_told_at_the_edge() -> None:
    def told(hour: float) -> set[str]:
        _, data = reading_pages(results_of(hill(value_of_time=hour), "us"))
        return {series for _, series, _ in data.rows if series.startswith("same cost at ")}

    assert not any("beyond" in one for one in told(18))
    assert any(one.endswith(" an hour, beyond this scale") for one in told(1))


def test_which_way_each_measure_speaks_for_is_said_once_for_tasks_that_are_alike() -> None:
    document = copy.deepcopy(results("three saws, metric"))
    for row, said in zip(document["verdicts"], ("Power saves.", "Power saves.", "Axe saves."), strict=True):
        row["conflict"] = said
    assert "Bucking and hauling: Power saves. Splitting: Axe saves." in texts(answer(document))


def test_why_nobody_can_be_planned_for_an_only_way_is_never_cut() -> None:
    document = copy.deepcopy(results("every task in two ways"))
    stacking = next(row for row in document["verdicts"] if row["task"] == "stack")
    assert stacking["sentence"] not in texts(answer(document))  # there is no room for it
    stacking |= {"choice": "", "sentence": "A plan would have nobody for hand stacking: under 18."}
    assert stacking["sentence"] in texts(answer(document))


def test_ways_of_two_tasks_that_are_called_alike_keep_their_whole_names_side_by_side() -> None:
    data = every_task()
    for row in (*data["methods"], *data["sessions"]):
        row["method"] = (
            row["method"].replace("bow saw bucking", "hand bucking").replace("maul splitting", "hand splitting")
        )
    pages, _ = reading_pages(results_of(data, "us"))
    compare, money = (texts(pages[words(page)]) for page in (OnPages.COMPARE, OnPages.MONEY))
    assert any(text.startswith("Hand splitting: ") for text in compare)
    assert "chain saw, not hand bucking" in money
    assert "electric or hand splitting" in money


def test_who_did_what_tells_nothing_of_a_way_that_nobody_tried() -> None:
    told = texts(answer(results("a way not tried, metric")))
    assert not any("One person did most of" in text for text in told)  # of the chain saw Bo did a third
    assert not any("nobody used both ways" in text for text in told)


def test_charts_of_compare_are_lower_where_that_saves_a_page() -> None:
    document = copy.deepcopy(results("three saws, metric"))
    document["methods"] = [row for row in document["methods"] if row["task"] != "split"]
    heights, limits = [], document["limits"]
    for n in range(30):
        page = reading_pages({**document, "comparisons": document["comparisons"][:4], "limits": limits[:1] * n})[0]
        lines = page[words(OnPages.COMPARE)].pages()
        heights += [line.height for line in lines[0] if line.charts] if len(lines) == 1 else []
    assert len(set(heights)) == 2
    assert heights[-1] < heights[0]


def test_the_cabin_with_a_woodshed_takes_no_more_than_thirteen_pages() -> None:
    pages, _ = reading_pages(results("three saws, metric"))
    assert sum(len(page.pages()) for page in pages.values()) <= 13


def test_a_page_may_begin_between_two_charts_of_what_moves_a_value() -> None:
    document = results("every task in two ways")
    groups = [
        line.group
        for page in reading_pages(document)[0][words(OnPages.MONEY)].pages()
        for line in page
        if line.charts
    ]
    assert len(groups) == len(set(groups))


@pytest.mark.parametrize("name", few(SEASONS, "one session"))
def test_a_shared_copy_shows_the_same_answer(name: str) -> None:
    """But for the plan, which names people and may need gear of its own, and for who wore no monitor."""
    mine, theirs = (texts(answer(one)) for one in (results(name), shared(results(name))))
    mine = [words(OnAnswer.SURER_TIME) if one == words(OnAnswer.SURER_RATE) else one for one in mine]
    plan = sentences()["OnAnswer"]["plan"].partition(":")[0]
    no_days = sentences()["OnAnswer"]["no_days"].partition(":")[0]
    told = (plan, no_days, words(OnAnswer.NO_PLAN), words(OnAnswer.PLAN_NOT_SHARED))
    mine, theirs = ([one for one in page if not one[3:].startswith(told)] for page in (mine, theirs))
    worn = [sum(": Wear " in one for one in page) for page in (mine, theirs)]
    assert worn[0] == worn[1]
    chosen = {row["choice"] for row in results(name)["verdicts"]}
    if {row["method"] for row in results(name)["plan_sessions"]} - chosen:  # its gear leaves other room to the rest
        told_by_both = {row[key] for row in results(name)["verdicts"] for key in ("head", "sentence")}
        mine, theirs = ([one for one in page if one in told_by_both] for page in (mine, theirs))
    assert mine == theirs


@pytest.mark.parametrize("name", few(SEASONS, "one session"))
def test_nothing_is_cut_off_or_empty_on_any_reading_sheet(name: str) -> None:
    document = results(name)
    assert cut_off(results_bytes(document, paper="a4")) == []
    pages, _ = reading_pages(document)
    for page in pages.values():
        assert sum(page.widths) <= most_px(page.columns)
        for lines in page.pages():
            assert any(line.cells or line.charts for line in lines)
        rows = [line for lines in page.pages() for line in lines]
        heads = [at for at, line in enumerate(rows) if line.is_head]
        assert all(at + 1 < len(rows) and rows[at + 1].table == rows[at].table for at in heads)
    told = [(title, text) for title, page in pages.items() for text in texts(page)]
    assert promises(told) == []
    assert [text for _, text in told if re.search(r": [.,]|\(\)|[a-z] (lb|kg)$", text)] == []


@pytest.mark.parametrize("name", few(SEASONS, "one session"))
def test_charts_draw_from_their_own_sheet_and_reading_sheets_hold_words_alone(name: str) -> None:
    data = results_bytes(results(name), paper="letter")
    with zipfile.ZipFile(BytesIO(data)) as book:
        charts = [book.read(part).decode() for part in book.namelist() if part.startswith("xl/charts/chart")]
        drawings = [book.read(part).decode() for part in book.namelist() if part.startswith("xl/drawings/drawing")]
    cells = [cell for chart in charts for cell in re.findall(r"<(?:c:)?f>([^<]*)</", chart)]
    drawn_from = {cell.partition("!")[0] for cell in cells}
    assert drawn_from <= {f"'{words(OnPages.CHART_DATA)}'"}
    frames = [frame for drawing in drawings for frame in re.findall(r'<[^>]*name="Chart \d+"[^>]*>', drawing)]
    assert len(frames) == len(charts)
    assert all(re.search(r'descr="[^"]{30,}"', frame) for frame in frames)
    titles = [words(title) for title in PAGES]
    for sheet in load_workbook(BytesIO(data)):
        if sheet.title in titles:
            values = [cell.value for row in sheet.iter_rows() for cell in row if cell.value is not None]
            assert all(isinstance(one, str) for one in values)


@pytest.mark.slow
@pytest.mark.parametrize("name", few(name for name in SEASONS if "metric" in name))
def test_a_metric_season_speaks_of_stacked_cubic_meters_alone(name: str) -> None:
    document = results(name)
    cautions = " ".join(row["text"] + row["title"] for row in document["cautions"])
    pages, _ = reading_pages(document)
    told = [text for page in pages.values() for text in texts(page) if text.partition(": ")[2] not in cautions]
    assert [text for text in told if re.search(r"\bcords?\b", text, re.IGNORECASE)] == []
    assert any("stacked m³" in text for text in told)


def test_the_hours_that_move_the_value_of_an_hour_are_those_of_compare() -> None:
    document = results("trial, metric")
    moved = next(row["range"] for row in document["flip_moves"] if row["input"] == "hours of work, By bow saw")
    told = texts(reading_pages(document)[0][words(OnPages.COMPARE)])
    low, high = (float(end) for end in moved.partition(" h ")[0].split(" to "))
    assert f"({low:.2g} to {high:.2g})" in " ".join(told)


@pytest.mark.slow
def test_what_waits_for_a_mend_stands_first_of_what_is_next() -> None:
    for document in (results("a session waits"), shared(results("a session waits"))):
        lines = [text for text in texts(answer(document)) if re.match(r"\d\. ", text)]
        assert (
            lines[0]
            == "1. One note marked FIX holds figures back: Sessions!G4. Mend it and score again (sheet Checks)."
        )
    assert "Bucking: waits" in texts(answer(results("a session waits")))
    assert not any("marked FIX" in text for text in texts(answer(results("yen"))))


def cut_off(data: bytes) -> list[tuple[str, str, str]]:
    """Cells of the reading sheets whose text needs more lines than the row is high."""
    book = load_workbook(BytesIO(data))
    found = []
    for sheet in book.worksheets:
        if sheet.title not in {words(title) for title in PAGES}:
            continue
        wide = {area.coord.partition(":")[0]: area for area in sheet.merged_cells.ranges}
        for row in sheet.iter_rows():
            for cell in row:
                if cell.value is None:
                    continue
                area = wide.get(cell.coordinate)
                columns = range(cell.column, (area.max_col if area else cell.column) + 1)
                px = sum(
                    sheet.column_dimensions[get_column_letter(at)].width * DIGIT_OF_WIDTH_PX + CELL_PX
                    for at in columns
                )
                px -= CELL_PX + 9 * (cell.alignment.indent or 0)
                needed = lines_of(cell.value, px, cell.font.sz, bold=bool(cell.font.b))
                if needed * cell.font.sz * LINE_OF_LETTERS > sheet.row_dimensions[cell.row].height:
                    found.append((sheet.title, cell.coordinate, cell.value))
    return found


def lines_of(text: str, px: float, size: float, *, bold: bool) -> int:
    """Lines that a text takes, each as full as it can be; a word that is wider than a line goes on in the next."""
    lines = 0
    for paragraph in text.split("\n"):
        lines, used = lines + 1, 0.0
        for word in paragraph.split(" "):
            width = DIGIT_PX * measure.text_width(word, size, bold)
            space = DIGIT_PX * measure.text_width(" ", size, bold) if used else 0.0
            if used and used + space + width > px:
                lines, used, space = lines + 1, 0.0, 0.0
            lines += int(width // px)
            used += space + width % px
    return lines


def test_a_cell_that_is_cut_off_is_found() -> None:
    book = load_workbook(BytesIO(results_bytes(results("one session"), paper="a4")))
    sheet = book[words(OnPages.ANSWER)]
    sheet["A1"].value = "a much longer title " * 20
    data = BytesIO()
    book.save(data)
    assert [place for _, place, _ in cut_off(data.getvalue())] == ["A1"]
