"""What the columns of the template take: typed where decimals have a point or a comma, and saved by both programs."""

from __future__ import annotations

import os
import subprocess
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from office import Entry, Job, run_in_office
from openpyxl import load_workbook
from programs import program

from wood_xl.io.pack import packed
from wood_xl.io.reader import read_workbook
from wood_xl.io.template import template_bytes
from wood_xl.notes.problem import Level
from wood_xl.notes.season import CheckedSeason, check_season
from wood_xl.schema.layout import HEADER_ROW
from wood_xl.schema.model import season_definition

pytestmark = [pytest.mark.office, pytest.mark.slow]

DECIMAL = {"en-US": ".", "de-DE": ","}
PAPERS = {"us": ("us", "USD", "letter"), "metric": ("metric", "EUR", "a4")}
Rows = dict[str, list[dict[str, Any]]]


def typed_rows(system: str, decimal: str) -> Rows:
    """Rows by sheet and column: numbers with the decimal sign of the place, texts as they are."""

    def number(text: str) -> str:
        return text.replace(".", decimal)

    feet = {"height": "4'2\"", "length": "8'3\"", "top_length": '7½"' if system == "us" else "200"}
    stack = feet if system == "us" else {"height": "120; 124; 122", "length": number("250.5"), "top_length": "248"}
    size = "8 in" if system == "us" else "20 cm"
    return {
        "methods": [
            {"method": "bow saw", "task": "buck", "tool_1": "bow saw"},
            {"method": "chain saw", "task": "buck", "tool_1": "chain saw"},
            {"method": "maul", "task": "split", "tool_1": "maul"},
        ],
        "tools": [
            {"tool": "bow saw", "kind": "hand", "price": number("35.5")},
            {"tool": "chain saw", "kind": "gasoline two-stroke", "price": "400", "tank": number("16.5")},
            {"tool": "maul", "kind": "hand", "price": "60"},
        ],
        "people": [{"person": "Ada", "age": "40", "may_use": "chain saw"}],
        "sessions": [
            {"session": "S1", "date": "2026-03-01", "method": "bow saw", "person": "Ada", "start": "9:05",
             "stop": "10:40", "delay_time": "5+8+3", "lot": "A"},
            {"session": "S2", "date": "2026-03-02", "method": "chain saw", "person": "Ada", "start": "13:05",
             "stop": "14:00", "delay_time": number("2.5"), "refills": number("1.5"), "bar_oil_used": "8+6.5",
             "service_time": "6+4"},
            {"session": "S3", "date": "2026-03-03", "method": "maul", "person": "Ada", "elapsed_time": "45 min",
             "stacking_time": "12+9"},
            {"session": "S4", "date": "2026-03-04", "method": "bow saw", "start": "905", "stop": "1000"},
        ],
        "tally": [{"session": "S1", size: "12", "total": "12"}],
        "cuts": [{"session": "S2", "diameter": number("10.5"), "cuts": "3"},
                 {"session": "S4", "diameter": "16½", "cuts": "3"}],
        "stacks": [{"session": "S3", **stack}],
        "heart_trace": [{"heart_rate": str(110 + at), "clock": f"2026-03-01 9:05:{at:02}", "session": "S1",
                         "person": "Ada"} for at in (0, 5, 10)],
    }  # fmt: skip


def entries(rows: Rows, data: bytes, currency: str) -> list[Entry]:
    """Each text with its cell in a blank template."""
    workbook = load_workbook(BytesIO(data))
    found: list[Entry] = []
    for sheet_id, of_sheet in rows.items():
        sheet = season_definition().sheet(sheet_id)
        heads = {str(cell.value).partition(" [")[0]: cell.column for cell in workbook[sheet.title][HEADER_ROW]}
        titles = {column.id: column.title for column in sheet.columns}
        for row, values in enumerate(of_sheet, start=HEADER_ROW + 1):
            found += [(sheet.title, row, heads[titles.get(key, key)], text) for key, text in values.items()]
    items = {"Season name": "Autumn", "Currency": currency, "Stick length": "16"}
    start = season_definition().sheet("trial").title
    for cells in workbook[start].iter_rows():
        for cell in cells:
            if cell.value in items:
                found.append((start, cell.row, cell.column + 1, items[cell.value]))
    return found


def as_written(data: bytes, typed: list[Entry], path: Path) -> CheckedSeason:
    """What is read where every cell holds its text, and numbers with a point are numbers."""
    workbook = load_workbook(BytesIO(data))
    for title, row, column, text in typed:
        cell = workbook[title].cell(row, column)
        try:
            cell.value = float(text)
        except ValueError:
            cell.value = text
            cell.data_type = "s"
    path.write_bytes(packed(workbook))
    return check_season(read_workbook(path))


@pytest.mark.parametrize("locale", list(DECIMAL))
@pytest.mark.parametrize("system", list(PAPERS))
def test_typed_cells_come_back_equal(system: str, locale: str, soffice: str, tmp_path: Path) -> None:
    blank = tmp_path / "blank.xlsx"
    blank.write_bytes(template_bytes(*PAPERS[system]))  # type: ignore[arg-type]
    data = blank.read_bytes()
    wanted = as_written(data, entries(typed_rows(system, "."), data, PAPERS[system][1]), tmp_path / "ours.xlsx")
    typed = entries(typed_rows(system, DECIMAL[locale]), data, PAPERS[system][1])
    saved = [tmp_path / "saved.xlsx", tmp_path / "saved.ods"]
    run_in_office(soffice, [Job(blank, saved, typed)], tmp_path, locale=locale)
    again = [tmp_path / f"again-{source.suffix[1:]}.{ending}" for source in saved for ending in ("xlsx", "ods")]
    place = second_program_in(locale, tmp_path)
    for path, source in zip(again, (saved[0], saved[0], saved[1], saved[1]), strict=True):
        subprocess.run(
            [program("ssconvert"), str(source), str(path)], check=True, capture_output=True, timeout=120, env=place
        )
    for path in (*saved, *again):
        found = check_season(read_workbook(path))
        assert [one.line() for one in found.problems if one.level <= Level.FIX] == [], path.name
        assert rounded(found.document.data) == rounded(wanted.document.data), path.name


def second_program_in(locale: str, folder: Path) -> dict[str, str]:
    """Environment of a machine of that place, whose locale is made here if the system has none."""
    name = locale.replace("-", "_")
    made = folder / "locales" / f"{name}.UTF-8"
    made.parent.mkdir()
    subprocess.run([program("localedef"), "-i", name, "-f", "UTF-8", str(made)], check=True, capture_output=True)
    return {**os.environ, "LC_ALL": made.name, "LOCPATH": str(made.parent)}


def rounded(value: Any) -> Any:
    """Numbers to ten digits: a clock's fraction of a day comes back with a last bit of its own."""
    if isinstance(value, dict):
        return {key: rounded(one) for key, one in value.items()}
    if isinstance(value, list):
        return [rounded(one) for one in value]
    return float(f"{value:.10g}") if isinstance(value, float) else value
