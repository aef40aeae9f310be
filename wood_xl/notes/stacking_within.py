"""Stacking that was done within splitting sessions becomes sessions of its own, of the same stacks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from wood_xl.data.trade import tasks
from wood_xl.notes.problem import Problem, number_text, problem, quoted
from wood_xl.notes.relations import Notes
from wood_xl.pages import InMessage
from wood_xl.records import Method, Session, Worker
from wood_xl.schema.words import phrase, words

COLUMN = "stacking_time"


@dataclass(frozen=True)
class StackingParts:
    """Sessions with the stacking apart, the methods with its own, and a note of where it went."""

    sessions: tuple[Session, ...]
    methods: tuple[Method, ...]
    notes: tuple[Problem, ...] = ()


def stacking_apart(
    sessions: Sequence[tuple[int, Session]], methods: tuple[Method, ...], notes: Notes
) -> StackingParts:
    """Part each splitting session with stacking within: the minutes and people's shares of them go to the stacking.

    It goes under the only method that stacks, else under one of its own. Where the session waits for a mend, so does
    the method that its stacking would count under.
    """
    task_of = {method.name: method.task for method in methods}
    minutes: dict[int, float] = {}
    waiting: set[int] = set()
    tasks_of: list[str] = []
    for index, session in sessions:
        task = _stacked_as(task_of[session.method]) if session.method in task_of else _any_stacked_as()
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
        return StackingParts(tuple(session for _, session in sessions), methods)
    stack = _method(methods, tasks_of[0])
    parted: list[Session] = []
    for index, session in sessions:
        if index in waiting:
            parted += [session, _parts(session, 0.0, stack.name)[1]]
        else:
            parted += _parts(session, minutes[index], stack.name) if index in minutes else [session]
    methods = methods if stack in methods else (*methods, stack)
    if not minutes:
        return StackingParts(tuple(parted), methods)
    first = next(iter(minutes))
    facts = {"found": f"{number_text(minutes[first])} min", "method": quoted(stack.name)}
    told = problem("row-stacking-apart", notes.document.place("sessions", first, COLUMN), **facts)
    return StackingParts(tuple(parted), methods, (replace(told, count=len(minutes)),))


def _stacked_as(task: str | None) -> str:
    """Task of the stacking within sessions of a task; empty if there is none."""
    row = tasks().get(task or "")
    return "" if row is None else row.stacked_as or ""


def _any_stacked_as() -> str:
    """Task of the stacking within sessions of a task that nobody can tell."""
    return next((row.stacked_as for row in tasks().values() if row.stacked_as), "")


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
    for index in range(len(notes.document.rows("sessions"))):
        stacking = notes.value("sessions", index, COLUMN)
        method = notes.index_of["methods"].get(notes.name("sessions", index, "method") or "")
        task = None if method is None else notes.value("methods", method, "task")
        if stacking and task is not None and not _stacked_as(task):
            place = notes.document.place("sessions", index, COLUMN)
            facts = {"found": notes.typed("sessions", index, COLUMN), "task": task}
            yield problem("row-stacking-not-split", place, **facts)
