"""The season document: what was filled in, as plain JSON in the units it was typed in, and where each value stood.

``data`` follows ``schema/season.schema.json``: for each table sheet a list of row objects, for each item sheet one
object, and under ``units`` the unit of every column or item that has one.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from wood_xl.data.load import constant, sources
from wood_xl.notes.problem import Place
from wood_xl.schema.model import Column, Definition, System, season_definition

WHOLE_BELOW = 1e15  # larger numbers have no decimal part anyway
ROWS_HASHED = 10_000  # at a time; the text of a whole heart trace would be as large as all else in memory
US_LENGTHS = ("in", "ft")
LENGTHS = (("season", "stick_length"), ("cuts", "diameter"), ("stacks", "height"))


@dataclass(frozen=True)
class SheetPlaces:
    """Where one sheet's values stand in the workbook.

    title: the sheet's title as it is in the file.
    columns: column id to column number; for an item sheet every item has the number of the Value column.
    rows: row number of each row object, in document order; empty for an item sheet.
    item_rows: item id to row number; empty for a table.
    headers: column or item id to the header or item text with its unit, as the person sees it.
    titles: item id to the title of the sheet that it stands on, where that is another one.
    """

    title: str
    columns: dict[str, int] = field(default_factory=dict)
    rows: tuple[int, ...] = ()
    item_rows: dict[str, int] = field(default_factory=dict)
    headers: dict[str, str] = field(default_factory=dict)
    titles: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class SeasonDocument:
    """Season as typed, with its cell map."""

    data: dict[str, Any]
    places: dict[str, SheetPlaces]

    def rows(self, sheet_id: str) -> list[dict[str, Any]]:
        """Row objects of a table sheet; empty if the sheet holds none."""
        rows: list[dict[str, Any]] = self.data.get(sheet_id, [])
        return rows

    def items(self, sheet_id: str) -> dict[str, Any]:
        """Values of an item sheet; empty if the sheet holds none."""
        items: dict[str, Any] = self.data.get(sheet_id, {})
        return items

    def unit(self, sheet_id: str, column_id: str) -> str:
        """Unit that the column or item was typed in; empty if it has none."""
        unit: str = self.data["units"].get(sheet_id, {}).get(column_id, "")
        return unit

    @property
    def system(self) -> System:
        """Units that the notes are kept in: those of the first length that they have."""
        units = (self.unit(sheet_id, column_id) for sheet_id, column_id in LENGTHS)
        return "us" if next(filter(None, units), "") in US_LENGTHS else "metric"

    def place(self, sheet_id: str, index: int | None = None, column_id: str | None = None) -> Place:
        """Where a value stands: a table's cell or row, an item's cell, or the sheet."""
        about = f"{sheet_id}.{column_id}" if column_id else sheet_id
        where = self.places.get(sheet_id)
        if where is None:
            return Place(sheet=season_definition().sheet(sheet_id).title, about=about)
        row = where.rows[index] if index is not None else where.item_rows.get(column_id or "")
        column = where.columns.get(column_id) if column_id else None
        header = where.headers.get(column_id, "") if column_id else ""
        title = where.titles.get(column_id or "", where.title)
        return Place(title, row, column, header, about)

    def sha256(self) -> str:
        """Hash of the document's canonical JSON: the same notes have the same hash in whatever file they stand."""
        digest = hashlib.sha256()
        for piece in _canonical_json(self.data):
            digest.update(piece.encode("ascii"))
        return digest.hexdigest()


def _canonical_json(data: dict[str, Any]) -> Iterator[str]:
    """The document as one line of JSON with sorted keys, sheet by sheet and a number of rows at a time."""
    before = "{"
    for key, content in sorted(data.items()):
        yield f"{before}{_json(key)}:"
        before = ","
        if not isinstance(content, list) or not content:
            yield _json(content)
            continue
        for start in range(0, len(content), ROWS_HASHED):
            yield "," if start else "["
            yield _json(content[start : start + ROWS_HASHED])[1:-1]
        yield "]"
    yield "}"


def _json(part: Any) -> str:
    return json.dumps(part, ensure_ascii=True, sort_keys=True, separators=(",", ":"), allow_nan=False)


def notes_version(template: str) -> str:
    """Version of the template that notes count as written in, by the last word of what their file says of it.

    >>> notes_version("1.1"), notes_version("not stated in the file; read as 1.1"), notes_version("0.9")
    ('1.1', '1.1', '1.0')
    """
    versions: list[str] = season_definition().schema["properties"]["version"]["enum"]
    word = template.rsplit(maxsplit=1)[-1]
    return word if word in versions else versions[0]


def empty_data(definition: Definition) -> dict[str, Any]:
    """A season document's data with every sheet empty."""
    data: dict[str, Any] = {"version": definition.version, "units": {}}
    for sheet in definition.sheets:
        data[sheet.id] = [] if sheet.kind == "table" else {}
    return data


def kept_number(value: float) -> float:
    """A number as the document keeps it: a whole one without a decimal part."""
    return int(value) if value == int(value) and abs(value) < WHOLE_BELOW else value


def default_of(column: Column) -> tuple[str | float, str]:
    """Default of a column and, in brackets, where it is from."""
    if column.default_from is not None:
        published = constant(column.default_from)
        return published.value, f" ({sources()[published.source].title}, {published.where}; {published.known})"
    if column.default is None:
        raise KeyError(f"{column.ref} has no default")
    return column.default, ""
