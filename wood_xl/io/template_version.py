"""Which template a workbook was made from: the defined name that says so, in either file format."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from wood_xl.io.sheet_part import cell_range
from wood_xl.raw import Kind, RawSheet
from wood_xl.schema.layout import VERSION_NAME


def template_version(names: Mapping[str, str], one_cell: re.Pattern[str], sheets: Sequence[RawSheet]) -> str | None:
    """The template's version, None if the workbook does not say.

    Parameters
    ----------
    names : mapping of str to str
        Defined names in ``casefold`` form and what they stand for.
    one_cell : re.Pattern
        How the file format writes one cell: quoted title, plain title, cell.
    sheets : sequence of RawSheet
        The sheets as read.
    """
    meaning = names.get(VERSION_NAME.casefold())
    if not meaning:
        return None
    found = one_cell.fullmatch(meaning)
    if not found:
        return meaning.removeprefix("of:").removeprefix("=").strip('"') or None
    title = (found[1] or "").replace("''", "'") or found[2]
    area = cell_range(found[3])
    cell = None
    for sheet in sheets:
        if area and sheet.title.casefold() == title.casefold():
            cell = sheet.cells.get(area[:2])
    if cell is None or cell.kind not in (Kind.TEXT, Kind.NUMBER):
        return None
    return f"{cell.value:g}" if isinstance(cell.value, float) else str(cell.value).strip() or None
