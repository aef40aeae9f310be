"""What is remarked of a season, and which cell of the notes it is about; ids of what fills such remarks and rows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from wood_xl.reasons import Said, texts


@dataclass(frozen=True, slots=True)
class RowCell:
    """A cell of a table: its column as ``sheet.column``, and the name that its row goes by.

    Where several rows have that name it is the first.
    """

    column: str
    name: str


Facts = Mapping[str, str | float | Said]
Remark = tuple[str, str | RowCell, Facts]


Slip = texts("Slip", __name__)  # what fills a message of a gross error, where one thing was taken for another
Stocked = texts("Stocked", __name__)  # what is said of wood in the woodshed
Trial = texts("Trial", __name__)  # what is said of a season that is half filled in
