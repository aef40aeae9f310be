"""Each session by itself: whether it counts, its time, its wood, its effort and its fuel."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from wood_xl.body.effort import WorkerEffort, worker_effort
from wood_xl.ids import State
from wood_xl.reasons import Reason, Said, said
from wood_xl.records import Method, Person, Season, Session, Tool, Worker
from wood_xl.wood.amounts import SessionQuantity

MIN_PER_H = 60.0


@dataclass(frozen=True, slots=True)
class SessionTime:
    """Hours of one session."""

    clock_h: float
    worker_h: float
    delay_free_worker_h: float
    machine_h: float
    delay_h: float
    service_h: float


@dataclass(frozen=True, slots=True)
class SessionFigures:
    """One session with its figures.

    time, quantity: None if not known.
    efforts: of each worker, or why there is none, whether or not the session counts: it was work all the same. Empty
        if its time or its method is not known.
    place: among all sessions of the notes.
    """

    session: Session
    state: Said
    method: Method | None
    time: SessionTime | None
    quantity: SessionQuantity | None
    efforts: tuple[tuple[Worker, WorkerEffort | Said], ...] = ()
    place: int = 0

    @property
    def is_counted(self) -> bool:
        """Whether it counts in the figures of its method."""
        return self.state.id is State.COUNTS


def needs(cell: str) -> Said:
    """Why a figure is not given while a cell waits for a mend."""
    return said(Reason.NEEDS, cell=cell)


def waiting(broken: Mapping[str, str], *topics: str) -> Said | None:
    """Why a figure is not given while a cell of one of its topics waits for a mend; None if none does."""
    return next((needs(broken[topic]) for topic in topics if topic in broken), None)


def session_state(session: Session, method: Method | None, quantity: SessionQuantity | None, season: Season) -> Said:
    """Whether a session counts, or why not."""
    if session.leave_out:
        return said(State.LEFT_OUT, why=session.leave_out)
    wait = waiting(session.broken, "time", "quantity")
    if wait is None and (method is None or session.elapsed_min is None):
        return said(State.NO_METHOD_OR_TIME)
    wait = wait or waiting(method.broken if method else {}, "quantity")
    wait = wait or waiting(season.broken, "stick_length", "stack_form", "solid_fraction")
    return wait or said(State.COUNTS if quantity is not None else State.NO_WOOD)


def session_time(session: Session) -> SessionTime | None:
    """Hours of a session; None if its times cannot be used.

        worker time = elapsed time of the main worker + time of each helper
        delay-free worker time = worker time * (elapsed - delay) / elapsed: a delay stops the whole crew
        machine time, by which a tool's life is counted = elapsed - delay - service

    Source: wood_xl_definitions, clock time and worker time are never mixed; cost_reference, productive hours.
    """
    elapsed, delay = session.elapsed_min, session.delay_min
    if elapsed is None or "time" in session.broken:
        return None
    helpers = [worker.time_min for worker in session.workers if worker.is_helper]
    everybody, free = math.fsum([elapsed, *helpers]), elapsed - delay
    machine = free - session.service_min
    minutes = (elapsed, everybody, everybody * (free / elapsed), machine, delay, session.service_min)
    return SessionTime(*(part / MIN_PER_H for part in minutes))


def session_efforts(
    session: Session, method: Method, tools: Mapping[str, Tool], people: Mapping[str, Person]
) -> tuple[tuple[Worker, WorkerEffort | Said], ...]:
    """Effort of each worker of a session, or why it is not given."""
    delay_frac = session.delay_min / session.elapsed_min if session.elapsed_min else 0.0
    powered = any(tools[tool].kind_row.is_powered for tool in method.tools if tool in tools)
    efforts: list[tuple[Worker, WorkerEffort | Said]] = []
    for worker in session.workers:
        person = people.get(worker.person) if worker.person else None
        waits = (waiting(record.broken, "effort") for record in (session, method, person) if record)
        effort: WorkerEffort | Said | None = next(filter(None, waits), None)
        if effort is None:
            effort = worker_effort(worker, person, task=method.task, powered=powered, delay_frac=delay_frac)
        efforts.append((worker, effort))
    return tuple(efforts)


def burning_kind(method: Method, tools: Mapping[str, Tool]) -> str | None:
    """Kind of the tool that burns a method's fuel; None if it has no engine."""
    kinds = [tools[tool].kind for tool in method.tools if tool in tools and tools[tool].kind_row.burns]
    return kinds[0] if kinds else None


def is_electric(method: Method, tools: Mapping[str, Tool]) -> bool:
    """Whether a method uses electricity."""
    return any(tools[tool].kind_row.is_electric for tool in method.tools if tool in tools)


def effort_totals(figures: SessionFigures) -> tuple[float, float] | Said:
    """Gross and net kcal of all workers of a session, or why they are not given."""
    efforts: list[WorkerEffort] = []
    for _, effort in figures.efforts:
        if isinstance(effort, Said):
            return effort
        efforts.append(effort)
    return math.fsum(effort.kcal_gross for effort in efforts), math.fsum(effort.kcal_net for effort in efforts)
