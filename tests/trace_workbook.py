"""A filled workbook with a heart trace as long as a monitor that writes every second makes it.

Its rows are written as text into the part of the sheet: as cells they would take more memory than what is tested.
"""

from __future__ import annotations

import zipfile
from collections.abc import Iterable, Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

from builders import small_season
from openpyxl.utils import get_column_letter

from wood_xl.io.fill import filled_workbook
from wood_xl.io.template import FIRST_ROW
from wood_xl.schema.model import season_definition

ROWS_IN_SESSION = 10_000
END_OF_ROWS = b"</sheetData>"
COLUMNS = ("session", "person", "elapsed", "heart_rate")

Reading = tuple[str, str, int, int]


def readings(rows_n: int) -> Iterator[Reading]:
    """Rows of sessions T0, T1 ... by one person, a reading each second, with work and pauses in turn."""
    for number in range(rows_n):
        session, second = divmod(number, ROWS_IN_SESSION)
        pulse = 95 + session % 7 + (second * 7 % 60) // 2 + (40 if second // 300 % 3 else 0)
        yield f"T{session}", "Ada", second, pulse


def write_trace_workbook(path: Path, rows_n: int) -> None:
    """Write the small season with one session more for each 10,000 rows of its trace."""
    data = small_season()
    for session in range(-(-rows_n // ROWS_IN_SESSION)):
        name = f"T{session}"
        data["sessions"].append(
            {"session": name, "date": "2026-03-04", "method": "By bow saw", "person": "Ada", "elapsed_time": 180}
        )
        data["cuts"].append({"session": name, "diameter": 22, "cuts": 12})
    data["units"]["heart_trace"] = {"elapsed": "s", "heart_rate": "beats/min"}
    filled = BytesIO()
    filled_workbook(data, system="metric", currency="NOK", paper="a4").save(filled)
    with zipfile.ZipFile(filled) as source, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as target:
        for name in source.namelist():
            content = source.read(name)
            if name == _trace_part():
                _write_part(target, name, content, readings(rows_n))
            else:
                target.writestr(name, content)


def _trace_part() -> str:
    titles = [sheet.id for sheet in season_definition().sheets]
    return f"xl/worksheets/sheet{titles.index('heart_trace') + 1}.xml"


def _write_part(target: zipfile.ZipFile, name: str, content: bytes, rows: Iterable[Reading]) -> None:
    before, end, after = content.partition(END_OF_ROWS)
    with target.open(name, "w", force_zip64=True) as part:
        part.write(before)
        for number, row in enumerate(rows, start=FIRST_ROW):
            part.write(_row_text(number, row))
        part.write(end + after)


def _row_text(number: int, row: Reading) -> bytes:
    cells = "".join(
        _cell_text(f"{get_column_letter(column)}{number}", value)
        for column, value in sorted(zip(_columns(), row, strict=True))
    )
    return f'<row r="{number}">{cells}</row>'.encode()


def _columns() -> list[int]:
    sheet = season_definition().sheet("heart_trace")
    return [sheet.number_of(column, "metric") for column in COLUMNS]


def _cell_text(address: str, value: Any) -> str:
    if isinstance(value, str):
        return f'<c r="{address}" t="inlineStr"><is><t>{value}</t></is></c>'
    return f'<c r="{address}"><v>{value}</v></c>'
