"""The season document: the notes as plain JSON in the units typed, and the cell of each value.

``data`` follows ``schema/season.schema.json``: for each table sheet a list of row objects, for each item sheet one
object, and under ``units`` the unit of every column or item that has one. Some sessions are only planned: they have a
method and perhaps a person, and nothing measured.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from operator import itemgetter
from typing import Any

from wood_xl.data.load import constant, sources
from wood_xl.notes.names import plain
from wood_xl.notes.problem import Place
from wood_xl.schema.model import Column, System, season_definition

MOST_OFFERED = 2  # names
WHOLE_BELOW = 1e15  # larger numbers have no decimal part anyway
ROWS_HASHED = 10_000  # at a time: the text of a whole heart trace would fill as much memory as everything else
US_LENGTHS = ("in", "ft")
LENGTHS = (("season", "stick_length"), ("cuts", "diameter"), ("stacks", "height"))


@dataclass(frozen=True)
class SheetPlaces:
    """Where one sheet's values stand in the workbook."""

    title: str  # the sheet's title in the file
    cells: dict[str, Place] = field(default_factory=dict)  # of each item, or of each column without its row
    rows: tuple[int, ...] = ()  # row number of each row object, in document order; empty for an item sheet

    @property
    def titles(self) -> list[str]:
        """Titles of the sheets that hold its values: items may be on another sheet."""
        return [*(cell.sheet for cell in self.cells.values()), self.title]


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
        """Unit system of the notes: that of their first length."""
        units = (self.unit(sheet_id, column_id) for sheet_id, column_id in LENGTHS)
        return "us" if next(filter(None, units), "") in US_LENGTHS else "metric"

    def place(self, sheet_id: str, index: int | None = None, column_id: str | None = None) -> Place:
        """Place of a table's cell or row, of an item, or of the sheet."""
        about = f"{sheet_id}.{column_id}" if column_id else sheet_id
        where = self.places.get(sheet_id)
        if where is None:
            return Place(sheet=season_definition().sheet(sheet_id).title, about=about)
        place = where.cells.get(column_id or "", Place(where.title, about=about))
        return place if index is None else place._replace(row=where.rows[index])

    def sha256(self) -> str:
        """Hash of the document's canonical JSON: the same notes have the same hash in any file."""
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
    """Version of the template that notes count as written in, by the last word of their file's statement.

    >>> notes_version("1.1"), notes_version("not stated in the file; read as 1.1"), notes_version("0.9")
    ('1.1', '1.1', '1.0')
    """
    versions: list[str] = season_definition().schema["properties"]["version"]["enum"]
    word = template.rsplit(maxsplit=1)[-1]
    return word if word in versions else versions[0]


def empty_data() -> dict[str, Any]:
    """A season document's data with every sheet empty."""
    definition = season_definition()
    data: dict[str, Any] = {"version": definition.version, "units": {}}
    return data | {sheet.id: [] if sheet.kind == "table" else {} for sheet in definition.sheets}


def kept_number(value: float) -> float:
    """A number as the document keeps it: a whole one without a decimal part."""
    return int(value) if value == int(value) and abs(value) < WHOLE_BELOW else value


def default_of(column: Column) -> tuple[str | float, str]:
    """Default of a column and, in brackets, its source."""
    if column.default_from is not None:
        published = constant(column.default_from)
        return published.value, f" ({sources()[published.source].title}, {published.where}; {published.known})"
    if column.default is None:
        raise KeyError(f"{column.ref} has no default")
    return column.default, ""


def worker_numbers(data: Mapping[str, Any]) -> dict[str, int]:
    """Number of each person, from 1, in the order in which they work, whatever their names.

    The person of a session's own row comes before its helpers in the order of their rows. Then come people without a
    session, and last names that only the heart trace has, such as a misspelled one.

    >>> worker_numbers({"sessions": [{"session": "S1", "person": "Bo"}, {"session": "S2", "person": "Ada "}],
    ...                 "helpers": [{"session": "S1", "person": "Cy"}], "people": [{"person": "ada"}]})
    {'bo': 1, 'cy': 2, 'ada': 3}
    """
    sessions = data.get("sessions", ())
    order = {plain(str(row["session"])): index for index, row in reversed([*enumerate(sessions)]) if "session" in row}
    rows = [*enumerate(sessions)]
    rows += [(order.get(plain(str(row.get("session", ""))), len(sessions)), row) for row in data.get("helpers", ())]
    rows += [(len(sessions) + 1, row) for row in data.get("people", ())]
    rows.sort(key=itemgetter(0))  # rows of one session keep their order
    typed = [str(row.get("person", "")) for _, row in rows]
    typed += dict.fromkeys(str(row.get("person", "")) for row in data.get("heart_trace", ()))  # half a million rows
    names = dict.fromkeys(filter(None, map(plain, typed)))
    return {name: number for number, name in enumerate(names, start=1)}


def renamed_to(document: SeasonDocument, sheet_id: str) -> tuple[str, ...]:
    """Names of a sheet that no other uses, where others use several times just one that it does not have.

    Nothing where many are without use: any of them may be meant.
    """
    definition, key = season_definition(), season_definition().sheet(sheet_id).columns[0].id
    columns = [one for sheet in definition.sheets for one in sheet.columns if one.refers_to == f"{sheet_id}.{key}"]
    used = [plain(str(row[one.id])) for one in columns for row in document.rows(one.sheet) if one.id in row]
    names = {plain(str(row[key])): str(row[key]) for row in document.rows(sheet_id) if key in row}
    unknown = [name for name in used if name not in names]
    unused = tuple(names[name] for name in names if name not in used)
    return unused if len(unknown) > len({*unknown}) == 1 and len(unused) <= MOST_OFFERED else ()


Cell = tuple[str, int | None, str]

PLANS = {"session", "date", "method", "person", "lot", "note", "leave_out"}  # columns known before the work
LABELS = {"session", "person"}  # columns that a row of another sheet may have before the work
OF_WOOD = ("cuts", "tally", "stacks")
OF_SESSIONS = ("helpers", *OF_WOOD, "heart_trace")  # sheets whose rows name a session


def planned_sessions(document: SeasonDocument, unreadable: Collection[Cell]) -> frozenset[int]:
    """Indexes of sessions with a method, no time and nothing measured on any sheet.

    A filled cell that gave no value counts as measured.
    """
    filled = {(sheet_id, index) for sheet_id, index, column_id in unreadable if column_id not in PLANS | LABELS}
    planned = {
        index: plain(str(row["session"]))
        for index, row in enumerate(document.rows("sessions"))
        if {"session", "method"} <= row.keys() <= PLANS and ("sessions", index) not in filled
    }
    if not planned:
        return frozenset()
    measured = {
        plain(str(row["session"]))
        for sheet_id in OF_SESSIONS
        for index, row in enumerate(document.rows(sheet_id))
        if "session" in row and (_measured(row) or (sheet_id, index) in filled)
    }
    return frozenset(index for index, name in planned.items() if name not in measured)


def rows_of_planned(document: SeasonDocument, unreadable: Collection[Cell]) -> frozenset[tuple[str, int]]:
    """Rows of other sheets that wait to be filled: they name a planned session, or one that was taken off."""
    sessions = document.rows("sessions")
    names = {plain(str(sessions[index]["session"])) for index in planned_sessions(document, unreadable)}
    others = {plain(str(row["session"])) for row in sessions if "session" in row} - names
    filled = {(sheet_id, index) for sheet_id, index, column_id in unreadable if column_id != "session"}
    return frozenset(
        (sheet_id, index)
        for sheet_id in OF_SESSIONS
        for index, row in enumerate(document.rows(sheet_id))
        if (name := plain(str(row.get("session", "")))) in names
        or (is_label_alone(sheet_id, row) and name not in others and (sheet_id, index) not in filled)
    )


def is_label_alone(sheet_id: str, row: Mapping[str, Any]) -> bool:
    """Whether a row of wood names a session and holds nothing of it, as those that a plan lists."""
    return sheet_id in OF_WOOD and "session" in row and not _measured(row)


def _measured(row: Mapping[str, Any]) -> set[str]:
    """Columns that hold more than a name; the classes of a tally only if there is a cut in one."""
    without_cuts = not any(size["cuts"] for size in row.get("classes", ()))
    return {key for key in row.keys() - LABELS if not (key == "classes" and without_cuts)}
