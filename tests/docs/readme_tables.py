"""Writes the generated parts of the README from the definition:

python tests/docs/readme_tables.py
"""

from __future__ import annotations

import re
from pathlib import Path

from wood_xl.schema.model import Sheet, season_definition

README = Path(__file__).parents[2] / "README.md"


def sheets_table() -> str:
    """One row for each sheet of the workbook: what it is for and its columns, compulsory ones in bold."""
    lines = ["| sheet | what it is for | columns |", "| --- | --- | --- |"]
    lines += [f"| {sheet.title} | {sheet.help} | {columns(sheet)} |" for sheet in season_definition().sheets]
    return "\n".join(lines)


def columns(sheet: Sheet) -> str:
    """Those of today's template, on the sheet that shows them."""
    shown = season_definition().items_on(sheet.id) if sheet.kind == "items" else sheet.listed
    return ", ".join(f"**{column.title}**" if column.required else column.title for column in shown)


def with_tables(text: str) -> str:
    """The README with its generated parts made afresh."""
    part = f"<!-- generated: sheets -->\n{sheets_table()}\n<!-- end -->"
    return re.sub(r"<!-- generated: sheets -->.*?<!-- end -->", lambda _: part, text, flags=re.DOTALL)


if __name__ == "__main__":
    README.write_text(with_tables(README.read_text(encoding="utf-8")), encoding="utf-8")
