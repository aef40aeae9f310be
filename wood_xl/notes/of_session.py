"""Sessions beyond their own cells: stacking within them, and rows that may be theirs and wait for a mend."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from wood_xl.data.trade import tasks
from wood_xl.notes.document import OF_SESSIONS, Cell
from wood_xl.notes.names import names_in, nearest, plain
from wood_xl.notes.problem import Problem, amount_text, quoted
from wood_xl.notes.relations import Notes, NotesRow
from wood_xl.page_texts import InMessage
from wood_xl.records import Broken, Method, Session, Worker
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import phrase, words

OF_CELLS = {"date": "days", "person": "hands", "lot": "lot"}  # columns of a session, and the topic that waits


class SessionWaits:
    """Topics of each session that wait for a mend, of its own cells or of rows that may belong to it."""

    def __init__(self, notes: Notes, cell_problems: Mapping[Cell, str]) -> None:
        self._notes, self._cells = notes, cell_problems
        self._by_session: dict[int, Broken] = defaultdict(dict)
        self._of_all: Broken = {}
        self._met: set[tuple[str, ...]] = set()
        for (sheet_id, index, column_id), where in cell_problems.items():
            if index is None:
                continue
            row = notes.row(sheet_id, index)
            waits = {OF_CELLS[column_id]: where} if column_id in OF_CELLS else {}
            if column_id == "person" and len(names_in(str(row.typed.get("person")), notes.by_name("people"))) > 1:
                waits["time"] = where  # the hours of several people in one cell are nobody's
            if sheet_id == "sessions" and waits:
                self._by_session[index] |= waits | self._by_session[index]
            elif sheet_id == "helpers" and column_id == "person":
                self._add(row.name("session"), waits)
            elif sheet_id in OF_SESSIONS and column_id == "session":
                self._add_row(row, where)

    def of(self, index: int) -> Broken:
        """Waiting topics of a session, each with the cell to mend."""
        return self._of_all | self._by_session.get(index, {})

    def likely_method(self, session: NotesRow) -> str:
        """Most likely method of a session whose own is unknown: one of a like name, else the name as typed.

        Empty where no name can be read: it may be any method.
        """
        typed = session.typed.get("method")
        if typed is None:
            return ""
        names = [str(row["method"]) for row in self._notes.document.rows("methods") if "method" in row]
        return nearest(str(typed), names) or str(typed)

    def people_not_known(self) -> dict[str, Broken]:
        """Workers whose row on People is broken or perhaps cannot be read, each with the topics that wait."""
        rows = self._notes.document.rows("people")
        feeds = season_definition().column("people.person").feeds
        waiting: dict[str | None, str] = {}
        for (sheet_id, index, column_id), where in self._cells.items():
            if (sheet_id, column_id) == ("people", "person") and index is not None:
                name = rows[index].get("person")
                if name is not None:
                    waiting[plain(str(name))] = where
                else:
                    waiting.setdefault(None, where)
        at_work = (row for sheet_id in ("sessions", "helpers") for row in self._notes.document.rows(sheet_id))
        found = {}
        for name in dict.fromkeys(str(row["person"]) for row in at_work if "person" in row):
            is_known = plain(name) in self._notes.by_name("people")
            cell = waiting.get(plain(name)) or (None if is_known else waiting.get(None))
            if cell is not None:
                found[name] = dict.fromkeys(feeds, cell)
        return found

    def _add(self, session: str | None, broken: Broken) -> None:
        row = self._notes.named("sessions", session)
        held = self._of_all if row is None else self._by_session[row.index]
        for topic, where in broken.items():
            held.setdefault(topic, where)

    def _fed_by(self, row: NotesRow, where: str) -> Broken:
        columns = (column for column in season_definition().sheet(row.sheet_id).columns if column.id in row.typed)
        topics = [topic for column in columns for topic in column.feeds]
        of_session = season_definition().column(f"{row.sheet_id}.session").feeds
        return dict.fromkeys([*of_session, *topics, *(["hands"] if row.sheet_id == "helpers" else [])], where)

    def _add_row(self, row: NotesRow, where: str) -> None:
        """Add a row of an unknown session: to one of a like name, or without a name to that of the rows around it.

        A name like no other is that of a session that is not on the sheet.
        """
        typed = row.typed.get("session")
        if typed is not None:
            alike = row.sheet_id, str(typed), *row.typed
            if alike in self._met:  # a heart trace may have one wrong name half a million times
                return
            self._met.add(alike)
            near = self._notes.near_session(plain(str(typed)))
            if near is not None:
                self._add(near, self._fed_by(row, where))
            return
        last = len(self._notes.document.rows(row.sheet_id)) - 1
        beside = [at for at in (row.index - 1, row.index + 1) if 0 <= at <= last]
        around = {self._notes.row(row.sheet_id, at).name("session") for at in beside}
        is_within = len(around) == 1 and len(beside) == 2
        self._add(next(iter(around)) if is_within else None, self._fed_by(row, where))


COLUMN = "stacking_time"


def stacking_apart(
    sessions: Sequence[tuple[NotesRow, Session]], methods: tuple[Method, ...]
) -> tuple[tuple[Session, ...], tuple[Method, ...], list[Problem]]:
    """Sessions with stacking within them split in two, methods with one for that stacking, and a note of it.

    The stacking gets its minutes and its share of each worker's. It counts under the only method that stacks, else
    under one of its own. Where the session waits for a mend, that method waits too.
    """
    task_of = {method.name: method.task for method in methods}
    any_task = next((row.stacked_as for row in tasks().values() if row.stacked_as), "")  # of an unknown method
    minutes: dict[int, float] = {}  # minutes of stacking by row; 0 where the session waits
    first_task = ""
    for row, session in sessions:
        task = _stacked_as(task_of[session.method]) if session.method in task_of else any_task
        stacking = row.number(COLUMN, "min") or 0.0
        if not task or not (stacking or row.waits(COLUMN)):
            continue
        if session.method in task_of and session.elapsed_min is not None and 0 < stacking < session.elapsed_min:
            minutes[row.index] = stacking
        elif session.method and session.broken:
            minutes[row.index] = 0.0
        else:
            continue
        first_task = first_task or task
    if not minutes:
        return tuple(session for _, session in sessions), methods, []
    stack = _stacking_method(methods, first_task)
    parted = tuple(part for row, session in sessions for part in _parts(session, minutes.get(row.index), stack.name))
    methods = methods if stack in methods else (*methods, stack)
    apart = [row for row, _ in sessions if minutes.get(row.index)]
    if not apart:
        return parted, methods, []
    facts = {"found": amount_text(minutes[apart[0].index], "min"), "method": quoted(stack.name)}
    return parted, methods, [apart[0].problem("row-stacking-apart", COLUMN, len(apart), **facts)]


def _stacked_as(task: str | None) -> str:
    row = tasks().get(task or "")
    return "" if row is None else row.stacked_as or ""


def _stacking_method(methods: Sequence[Method], task: str) -> Method:
    stacking = [method for method in methods if method.task == task]
    if len(stacking) == 1:
        return stacking[0]
    name = words(InMessage.STACKED_WHILE_SPLITTING)
    number = max((method.number for method in methods), default=0) + 1
    return next((method for method in stacking if method.name == name), Method(name, task, number=number))


def _parts(session: Session, stacking_min: float | None, method: str) -> list[Session]:
    """The splitting and the stacking of a session; pauses, service, fuel and running time stay with the splitting.

    stacking_min: None for a session without stacking, 0 for one that waits for a mend.
    """
    if stacking_min is None:
        return [session]
    elapsed_min = session.elapsed_min or 0.0
    share = stacking_min / elapsed_min if elapsed_min else 0.0
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
    if not stacking_min:
        return [session, stacking]
    workers = tuple(_part_of(worker, 1 - share) for worker in session.workers)
    rest_min = elapsed_min - stacking_min
    return [replace(session, elapsed_min=rest_min, stacking_min=stacking_min, workers=workers), stacking]


def _part_of(worker: Worker, share: float) -> Worker:
    kcal = worker.monitor_kcal
    return replace(
        worker,
        time_min=share * worker.time_min,
        apart_min=(1 - share) * worker.time_min,
        monitor_kcal=None if kcal is None else share * kcal,
    )


def stacking_problems(notes: Notes) -> Iterator[Problem]:
    """Stacking that is written for a session that splits nothing."""
    for row in notes.rows("sessions"):
        method = row.referred("method", "methods")
        task = None if method is None else method["task"]
        if row[COLUMN] and task is not None and not _stacked_as(task):
            yield row.problem("row-stacking-not-split", COLUMN, found=row.shown(COLUMN), task=task)
