"""Writes the example that guards a version of the template: one row of every sheet, with every column filled.

Run it once, when the version in ``season.schema.json`` has gone up and before anything else changes. An example that
is there is never written again: it stands for the workbooks that people have on their disks.
"""

from __future__ import annotations

import json
import zipfile
from io import BytesIO
from pathlib import Path
from typing import Any

from wood_xl.io.fill import filled_workbook
from wood_xl.io.pack import packed
from wood_xl.io.reader import read_workbook
from wood_xl.notes.season import check_season
from wood_xl.schema.model import Column, season_definition

FOLDER = Path(__file__).parent


def example_of(column: Column) -> Any:
    """The definition's example; of a column that refers to another, that one's, so that the rows belong together."""
    source = season_definition().column(column.refers_to) if column.refers_to else column
    if source.example is not None:
        return source.example
    if source.choices:
        return source.choices[0]
    return source.default


def example_data() -> dict[str, Any]:
    """A season document with one row in every table and every item filled."""
    data: dict[str, Any] = {"units": {}}
    for sheet in season_definition().sheets:
        values = {column.id: example_of(column) for column in sheet.asked}
        values = {key: value for key, value in values.items() if value is not None}
        data[sheet.id] = values if sheet.kind == "items" else [values]
    # What does not follow from one row of every sheet: all the wood is of that kind, somebody else helps, and there
    # is a tool for each kind of fuel.
    data["wood"][0]["share"] = 100
    data["tally"] = [{"session": "S1", "classes": [{"class": "24 cm", "cuts": 42}], "total": 42}]
    data["cuts"][0]["diameter"], data["cuts"][0]["second_diameter"] = 60, 58  # of no class of the tally
    data["people"].append({"person": "Bo"})
    data["helpers"][0]["person"] = "Bo"
    data["tools"][0]["kind"] = "gasoline two-stroke"
    data["tools"].append({"tool": "electric splitter", "kind": "mains"})
    data["methods"][0]["tool_2"] = "electric splitter"
    return data


def deflated(data: bytes) -> bytes:
    """The same workbook as small as a spreadsheet program saves it."""
    out = BytesIO()
    with zipfile.ZipFile(BytesIO(data)) as source, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as target:
        for name in source.namelist():
            target.writestr(zipfile.ZipInfo(name), source.read(name), zipfile.ZIP_DEFLATED)
    return out.getvalue()


def main() -> None:
    version = season_definition().version
    path = FOLDER / f"{version}.xlsx"
    workbook = filled_workbook(example_data(), system="metric", currency="EUR", paper="a4")
    with path.open("xb") as file:
        file.write(deflated(packed(workbook)))
    document = check_season(read_workbook(path)).document.data
    text = json.dumps(document, ensure_ascii=False, indent=1, sort_keys=True)
    path.with_suffix(".json").write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
