"""What a session waits for beyond its own cells: rows, names and dates that may be its, and cannot be read."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from wood_xl.notes.names import nearest, plain
from wood_xl.notes.planned import Cell
from wood_xl.notes.relations import Notes
from wood_xl.records import Broken
from wood_xl.schema.model import season_definition

OF_CELLS = {"date": "days", "person": "hands", "lot": "lot"}  # cells of a session, and what waits with them
OF_ROWS = ("helpers", "cuts", "tally", "stacks", "heart_trace")


class SessionWaits:
    """For each session the topics that wait for cells which may be its."""

    def __init__(self, notes: Notes, cell_problems: Mapping[Cell, str]) -> None:
        self._notes, self._cells = notes, cell_problems
        self._by_session: dict[int, Broken] = defaultdict(dict)
        self._of_all: Broken = {}
        self._met: set[tuple[str, ...]] = set()
        for sheet_id, index, column_id in cell_problems:
            if index is None:
                continue
            where = cell_problems[sheet_id, index, column_id]
            if sheet_id == "sessions" and column_id in OF_CELLS:
                self._by_session[index].setdefault(OF_CELLS[column_id], where)
            elif sheet_id == "helpers" and column_id == "person":
                self._add(notes.name("helpers", index, "session"), {"hands": where})
            elif sheet_id in OF_ROWS and column_id == "session":
                self._add_row(sheet_id, index, where)

    def of(self, index: int) -> Broken:
        """Topics of one session that wait, each with the cell to mend."""
        return self._of_all | self._by_session.get(index, {})

    def likely_method(self, index: int) -> str:
        """The method of a session whose own is not known: one of nearly its name, else one that is not there.

        Empty where no name can be read, so that it may be any of them.
        """
        typed = self._notes.document.rows("sessions")[index].get("method")
        if typed is None:
            return ""
        names = [str(row["method"]) for row in self._notes.document.rows("methods") if "method" in row]
        return nearest(str(typed), names) or str(typed)

    def people_not_known(self) -> dict[str, Broken]:
        """Who worked under a name that two people have, or perhaps under one that cannot be read, and what waits."""
        rows = self._notes.document.rows("people")
        feeds = season_definition().column("people.person").feeds
        cells = {
            index: where
            for (sheet, index, column), where in self._cells.items()
            if (sheet, column) == ("people", "person") and index is not None
        }
        names = {index: rows[index].get("person") for index in cells}
        waiting = {plain(str(names[index])): where for index, where in cells.items() if names[index] is not None}
        unnamed = next((where for index, where in cells.items() if names[index] is None), None)
        at_work = (row for sheet_id in ("sessions", "helpers") for row in self._notes.document.rows(sheet_id))
        found = {}
        for name in dict.fromkeys(str(row["person"]) for row in at_work if "person" in row):
            is_known = plain(name) in self._notes.index_of["people"]
            where = waiting.get(plain(name)) or (None if is_known else unnamed)
            if where is not None:
                found[name] = dict.fromkeys(feeds, where)
        return found

    def _add(self, session: str | None, broken: Broken) -> None:
        index = self._notes.index_of["sessions"].get(session or "")
        held = self._of_all if index is None else self._by_session[index]
        for topic, where in broken.items():
            held.setdefault(topic, where)

    def _fed_by(self, sheet_id: str, index: int, where: str) -> Broken:
        """What a whole row feeds."""
        row = self._notes.document.rows(sheet_id)[index]
        columns = (column for column in season_definition().sheet(sheet_id).columns if column.id in row)
        topics = [topic for column in columns for topic in column.feeds]
        own = season_definition().column(f"{sheet_id}.session").feeds
        return dict.fromkeys([*own, *topics, *(["hands"] if sheet_id == "helpers" else [])], where)

    def _add_row(self, sheet_id: str, index: int, where: str) -> None:
        """A row whose session cannot be told: of a session of nearly its name, else of that of the rows around it.

        A name that can be read and is like no other is of a session that is not on the sheet.
        """
        rows, sessions = self._notes.document.rows(sheet_id), self._notes.index_of["sessions"]
        typed = rows[index].get("session")
        if typed is not None:
            alike = sheet_id, str(typed), *rows[index]
            if alike in self._met:  # a heart trace may hold one wrong name half a million times
                return
            self._met.add(alike)
            near = nearest(str(typed), sessions)
            if near is not None:
                self._add(near, self._fed_by(sheet_id, index, where))
            return
        around = {self._notes.name(sheet_id, at, "session") for at in (index - 1, index + 1) if 0 <= at < len(rows)}
        is_within = len(around) == 1 and 0 < index < len(rows) - 1
        self._add(next(iter(around)) if is_within else None, self._fed_by(sheet_id, index, where))
