"""What is remarked while a season is computed, and which cell of the notes it is about."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from wood_xl.reasons import Said


@dataclass(frozen=True, slots=True)
class RowCell:
    """A cell of a table: its column as ``sheet.column``, and the name that its row goes by.

    Where several rows have that name it is the first.
    """

    column: str
    name: str


Facts = Mapping[str, str | float | Said]
Remark = tuple[str, str | RowCell, Facts]
