"""Totals of each method over its counted sessions."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from wood_xl.body.effort import WorkerEffort
from wood_xl.hours.sessions import SessionFigures, SessionTime, needs
from wood_xl.reasons import Basis, Reason, Said, is_said, said
from wood_xl.records import Method
from wood_xl.wood.amounts import SessionQuantity

NO_SESSION = said(Reason.NO_SESSION)
EFFORT_BASES = {
    "heart rate and VO2max": Basis.EQUATION_WITH_VO2MAX,
    "reserve": Basis.RESERVE,
    "heart rate": Basis.EQUATION,
    "table": Basis.TABLE,
}


@dataclass(frozen=True, eq=False)
class MethodTotals:
    """Sessions of one method, and sums over those that count.

    counted: in document order; empty while one of the method's sessions waits for a mend, since no figure of the
        method can be given without it.
    not_counted: the others, which are in no rate but were work all the same.
    held_back: those that would count but for the one that waits; they stay in the model of the sessions.
    of_any: cells of sessions with an unknown method, which may be this one.
    """

    method: Method
    counted: tuple[SessionFigures, ...]
    not_counted: tuple[SessionFigures, ...]
    held_back: tuple[SessionFigures, ...] = ()
    of_any: tuple[str, ...] = ()

    @property
    def in_model(self) -> tuple[SessionFigures, ...]:
        """Sessions in the model, whether or not the method's own figures are given."""
        return self.counted or self.held_back

    @property
    def waiting(self) -> list[SessionFigures]:
        """Sessions that wait for a cell."""
        return [s for s in self.not_counted if s.state.id is Reason.NEEDS]

    @property
    def waiting_cells(self) -> list[str]:
        """Cells that sessions of the method wait for."""
        return [s.state["cell"] for s in self.waiting] + [*self.of_any]

    @property
    def why_none(self) -> Said:
        """Why no figure is given if no session counts."""
        return needs(self.waiting_cells[0]) if self.waiting_cells else NO_SESSION

    def time(self, part: Callable[[SessionTime], float]) -> float:
        """Sum over counted sessions of a part of their time."""
        return math.fsum(part(s.time) for s in self.counted if s.time is not None)

    def quantity(self, part: Callable[[SessionQuantity], float]) -> float:
        """Sum over counted sessions of a measure of their wood."""
        return math.fsum(part(s.quantity) for s in self.counted if s.quantity is not None)

    @property
    def every(self) -> tuple[SessionFigures, ...]:
        """All sessions, counted or not, as bodies did them all."""
        return self.counted + self.held_back + self.not_counted

    @property
    def cords(self) -> float:
        """Cords of all counted sessions."""
        return self.quantity(lambda q: q.cords)


def method_totals(methods: Iterable[Method], sessions: Sequence[SessionFigures]) -> list[MethodTotals]:
    """Totals of every method, in document order."""
    totals = []
    of_any = tuple(s.state["cell"] for s in sessions if not s.session.method and s.state.id is Reason.NEEDS)
    for method in methods:
        own = [s for s in sessions if s.method is not None and s.method.name == method.name]
        counted, others = (tuple(s for s in own if s.is_counted is counts) for counts in (True, False))
        of_method = MethodTotals(method, counted, others, of_any=of_any if own else ())
        totals.append(replace(of_method, counted=(), held_back=counted) if of_method.waiting_cells else of_method)
    return totals


def why_no_session(totals: Iterable[MethodTotals]) -> Said:
    """Why no figure of all sessions is given: the first cell that one waits for, or that none counts."""
    return next((t.why_none for t in totals if t.waiting_cells), NO_SESSION)


def by_task(totals: Iterable[MethodTotals]) -> list[list[MethodTotals]]:
    """Methods with a counted session, task by task, in document order."""
    of_task: dict[str, list[MethodTotals]] = {}
    for t in totals:
        if t.counted:
            of_task.setdefault(t.method.task, []).append(t)
    return list(of_task.values())


def effort_basis(sessions: Iterable[SessionFigures]) -> Said | None:
    """Bases of the effort of all workers in some sessions, with their counts."""
    return basis_of_parts(effort for session in sessions for _, effort in session.efforts)


def basis_of_parts(efforts: Iterable[WorkerEffort | Said]) -> Said | None:
    """Bases of several efforts, with their counts."""
    bases = how_often(said(EFFORT_BASES[effort.method]) for effort in efforts if not isinstance(effort, Said))
    return said(Basis.WITH_OWN_DOUBTS, parts=bases) if is_said(bases, Basis.SEVERAL) else bases


def how_often(bases: Iterable[Said]) -> Said | None:
    """Each distinct basis with its count; a single one stands alone, and None if there is none.

    >>> how_often([said(Basis.FROM_CUTS), said(Basis.FROM_CUTS)]) == said(Basis.FROM_CUTS)
    True
    """
    counts = Counter(bases)
    if len(counts) < 2:
        return next(iter(counts), None)
    return said(Basis.SEVERAL, parts=tuple(said(Basis.SO_OFTEN, what=basis, n=n) for basis, n in counts.items()))
