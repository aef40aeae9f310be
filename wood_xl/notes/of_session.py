"""What sessions hold beyond their own cells: stacking within, and rows that may be theirs and cannot be read."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from wood_xl.data.trade import tasks
from wood_xl.notes.document import OF_SESSIONS, Cell
from wood_xl.notes.names import names_in, nearest, plain
from wood_xl.notes.problem import Problem, number_text, quoted
from wood_xl.notes.relations import Notes, NotesRow
from wood_xl.pages import InMessage
from wood_xl.records import Broken, Method, Session, Worker
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import phrase, words

OF_CELLS = {"date": "days", "person": "hands", "lot": "lot"}  # cells of a session, and what waits with them


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
            waits = {OF_CELLS[column_id]: where} if column_id in OF_CELLS else {}
            if column_id == "person" and self._are_several(sheet_id, index):
                waits["time"] = where  # nobody knows whose hours they are
            if sheet_id == "sessions" and waits:
                self._by_session[index] |= waits | self._by_session[index]
            elif sheet_id == "helpers" and column_id == "person":
                self._add(notes.name("helpers", index, "session"), waits)
            elif sheet_id in OF_SESSIONS and column_id == "session":
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

    def _are_several(self, sheet_id: str, index: int) -> bool:
        """Whether several people stand in the cell of one."""
        typed = self._notes.document.rows(sheet_id)[index].get("person")
        return len(names_in(str(typed), self._notes.index_of["people"])) > 1

    def _add(self, session: str | None, broken: Broken) -> None:
        index = self._notes.index_of["sessions"].get(session or "")
        held = self._of_all if index is None else self._by_session[index]
        for topic, where in broken.items():
            held.setdefault(topic, where)

    def _fed_by(self, sheet_id: str, index: int, where: str) -> Broken:
        row = self._notes.document.rows(sheet_id)[index]
        columns = (column for column in season_definition().sheet(sheet_id).columns if column.id in row)
        topics = [topic for column in columns for topic in column.feeds]
        own = season_definition().column(f"{sheet_id}.session").feeds
        return dict.fromkeys([*own, *topics, *(["hands"] if sheet_id == "helpers" else [])], where)

    def _add_row(self, sheet_id: str, index: int, where: str) -> None:
        """A row whose session cannot be told: of a session of nearly its name, else of that of the rows around it.

        A name that can be read and is like no other is of a session that is not on the sheet.
        """
        rows = self._notes.document.rows(sheet_id)
        typed = rows[index].get("session")
        if typed is not None:
            alike = sheet_id, str(typed), *rows[index]
            if alike in self._met:  # a heart trace may hold one wrong name half a million times
                return
            self._met.add(alike)
            near = self._notes.near_session(plain(str(typed)))
            if near is not None:
                self._add(near, self._fed_by(sheet_id, index, where))
            return
        around = {self._notes.name(sheet_id, at, "session") for at in (index - 1, index + 1) if 0 <= at < len(rows)}
        is_within = len(around) == 1 and 0 < index < len(rows) - 1
        self._add(next(iter(around)) if is_within else None, self._fed_by(sheet_id, index, where))


COLUMN = "stacking_time"


def stacking_apart(
    sessions: Sequence[tuple[int, Session]], methods: tuple[Method, ...], notes: Notes
) -> tuple[tuple[Session, ...], tuple[Method, ...], list[Problem]]:
    """Sessions with the stacking within them apart, the methods with its own, and a note of where it went.

    The minutes and people's shares of them go to the stacking. It goes under the only method that stacks, else under
    one of its own. Where the session waits for a mend, so does the method that its stacking would count under.
    """
    task_of = {method.name: method.task for method in methods}
    minutes: dict[int, float] = {}
    waiting: set[int] = set()
    tasks_of: list[str] = []
    any_task = next((row.stacked_as for row in tasks().values() if row.stacked_as), "")  # where nobody can tell it
    for index, session in sessions:
        task = _stacked_as(task_of[session.method]) if session.method in task_of else any_task
        stacking = notes.number("sessions", index, COLUMN, "min") or 0.0
        if not task or not (stacking or notes.waits("sessions", index, COLUMN)):
            continue
        if session.method in task_of and session.elapsed_min is not None and 0 < stacking < session.elapsed_min:
            minutes[index] = stacking
        elif session.method and session.broken:
            waiting.add(index)
        else:
            continue
        tasks_of.append(task)
    if not tasks_of:
        return tuple(session for _, session in sessions), methods, []
    stack = _method(methods, tasks_of[0])
    parted: list[Session] = []
    for index, session in sessions:
        if index in waiting:
            parted += [session, _parts(session, 0.0, stack.name)[1]]
        else:
            parted += _parts(session, minutes[index], stack.name) if index in minutes else [session]
    methods = methods if stack in methods else (*methods, stack)
    if not minutes:
        return tuple(parted), methods, []
    first = next(iter(minutes))
    facts = {"found": f"{number_text(minutes[first])} min", "method": quoted(stack.name)}
    told = NotesRow(notes, "sessions", first).problem("row-stacking-apart", COLUMN, len(minutes), **facts)
    return tuple(parted), methods, [told]


def _stacked_as(task: str | None) -> str:
    row = tasks().get(task or "")
    return "" if row is None else row.stacked_as or ""


def _method(methods: Sequence[Method], task: str) -> Method:
    stacking = [method for method in methods if method.task == task]
    if len(stacking) == 1:
        return stacking[0]
    name = words(InMessage.STACKED_WHILE_SPLITTING)
    number = max((method.number for method in methods), default=0) + 1
    return next((method for method in stacking if method.name == name), Method(name, task, number=number))


def _parts(session: Session, stacking_min: float, method: str) -> list[Session]:
    """The splitting and the stacking of a session: pauses, service, fuel and running stay with the splitting."""
    elapsed_min = session.elapsed_min or 0.0
    share = stacking_min / elapsed_min if elapsed_min else 0.0
    splitting = replace(
        session,
        elapsed_min=elapsed_min - stacking_min,
        workers=tuple(_part_of(worker, 1 - share) for worker in session.workers),
    )
    stacking = replace(
        session,
        name=phrase(InMessage.STACKING_OF, session=session.name),
        part_of=session.name,
        method=method,
        elapsed_min=stacking_min,
        delay_min=0.0,
        service_min=0.0,
        workers=tuple(_part_of(worker, share) for worker in session.workers),
        fuel_l=None,
        bar_oil_l=None,
        electricity_kwh=None,
        running_min=None,
    )
    return [splitting, stacking]


def _part_of(worker: Worker, share: float) -> Worker:
    kcal = worker.monitor_kcal
    return replace(worker, time_min=share * worker.time_min, monitor_kcal=None if kcal is None else share * kcal)


def stacking_problems(notes: Notes) -> Iterator[Problem]:
    """Stacking that is written for a session of another task."""
    for row in notes.rows("sessions"):
        method = notes.named("methods", row.name("method"))
        task = None if method is None else method["task"]
        if row[COLUMN] and task is not None and not _stacked_as(task):
            yield row.problem("row-stacking-not-split", COLUMN, found=row.typed(COLUMN), task=task)
