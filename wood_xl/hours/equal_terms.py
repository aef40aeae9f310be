"""Methods on equal logs, days and hands: the sessions of a season in one model.

on equal terms = as measured x logs x hands x days
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from wood_xl.data.trade import tasks
from wood_xl.draws import doubt
from wood_xl.draws.doubt import EqualTerms
from wood_xl.draws.ensemble import Number, kept
from wood_xl.draws.figure import Figure, not_given
from wood_xl.draws.rows import Session as ModelSession
from wood_xl.draws.rows import TaskSessions, TimedCuts, observed
from wood_xl.draws.season import Fit, fit_season
from wood_xl.draws.verdicts import Rate, joint_draws, rates
from wood_xl.hours.common import wood_of
from wood_xl.hours.log_sizes import diameter_m, timed_cuts
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.sessions import MIN_PER_H, SessionFigures, effort_totals, needs
from wood_xl.ids import Recorded
from wood_xl.reasons import Basis, Said, said
from wood_xl.records import Session


def _kcal_net(session: SessionFigures) -> float | None:
    both = effort_totals(session)
    return None if isinstance(both, Said) else both[1]


AMOUNTS: Mapping[Recorded, Callable[[SessionFigures], float | None]] = {
    Recorded.WORKER_HOURS: lambda s: None if s.time is None else s.time.worker_h,
    Recorded.CLOCK_HOURS: lambda s: None if s.time is None else s.time.clock_h,
    Recorded.AT_WORK: lambda s: None if s.time is None else s.time.machine_h,
    Recorded.RUNNING_HOURS: lambda s: None if s.session.running_min is None else s.session.running_min / MIN_PER_H,
    Recorded.KCAL: _kcal_net,
    Recorded.FUEL: lambda s: s.session.fuel_l,
    Recorded.BAR_OIL: lambda s: s.session.bar_oil_l,
    Recorded.ELECTRICITY: lambda s: s.session.electricity_kwh,
}
BY_THE_CLOCK = (Recorded.AT_WORK, Recorded.RUNNING_HOURS)  # modeled as worker hours: times the number of workers
SUPPLY = ("money", "emissions")
TOPICS = {  # a broken cell of a topic withholds these amounts of its session
    Recorded.RUNNING_HOURS: ("exposure",),
    Recorded.FUEL: SUPPLY,
    Recorded.BAR_OIL: SUPPLY,
    Recorded.ELECTRICITY: SUPPLY,
}


def _solved(what: Recorded) -> Recorded:
    """Amount whose model stands for another: clock hours go with worker hours, since crew size is a choice."""
    return Recorded.WORKER_HOURS if what is Recorded.CLOCK_HOURS else what


def recording(totals: MethodTotals, what: Recorded) -> list[SessionFigures]:
    """Counted sessions that recorded an amount."""
    return [s for s in totals.counted if s.quantity is not None and AMOUNTS[what](s) is not None]


@dataclass(frozen=True, eq=False)
class EqualSeason:
    """All counted sessions of a season, with the model of each method and amount."""

    totals: Sequence[MethodTotals]

    def fit(self, task: str, what: Recorded) -> Fit | None:
        """Model of one amount of a task; None if no session has it."""
        return self._fits(_solved(what)).get(task)

    @kept
    def _fits(self, what: Recorded) -> dict[str, Fit]:
        by_task = {name: observed(sessions, what) for name, sessions in self.tasks.items()}
        with_rows = {name: one for name, one in by_task.items() if one.rows}
        return dict(zip(with_rows, fit_season(list(with_rows.values())), strict=True))

    @kept
    def rates(self, task: str, what: Recorded) -> dict[int, Rate]:
        """Rates of the methods of a task by the model, for a stacked cubic meter."""
        fit = self.fit(task, what)
        return {} if fit is None else rates(fit)

    @kept
    def terms(self, totals: MethodTotals, what: Recorded) -> EqualTerms | None:
        """A method as measured and on equal terms, for a stacked cubic meter; None if it has no row."""
        task, number = totals.method.task, self.number(totals)
        fit, rate = self.fit(task, what), self.rates(task, _solved(what)).get(number)
        return None if fit is None or rate is None else doubt.equal_terms(fit, number, rate)

    def factor(self, totals: MethodTotals, what: Recorded) -> float:
        """Factor from an amount as measured to that on equal terms; 1 if the model has no row of it."""
        terms = self.terms(totals, what)
        return 1.0 if terms is None else terms.value / terms.measured

    def members(self, totals: MethodTotals, what: Recorded) -> Number:
        """Members of an amount on equal terms over its value; 1 if the model has no row of it."""
        return self._members(totals.method.task, _solved(what)).get(self.number(totals), 1.0)

    @kept
    def recorded(self, totals: MethodTotals, what: Recorded, topic: str = "money") -> Figure | None:
        """Amount for a cord by the sessions that recorded it; None if none did.

        Not given if a cell of the topic waits for a mend.
        """
        broken = [s.session.broken[topic] for s in totals.counted if topic in s.session.broken]
        if broken:
            return not_given(needs(broken[0]))
        sessions, all_n = recording(totals, what), len(totals.counted)
        if not sessions:
            return None
        amount = math.fsum(AMOUNTS[what](s) or 0.0 for s in sessions) / math.fsum(wood_of(sessions))
        basis = None if len(sessions) == all_n else said(Basis.FROM_SESSIONS, n=len(sessions), all_n=all_n)
        return Figure(amount * self.factor(totals, what), basis)

    def number(self, totals: MethodTotals) -> int:
        """Number of a method by its first use."""
        return self._numbers.get(totals.method.name, -1)

    def odd_session(self, totals: MethodTotals, what: Recorded) -> str | None:
        """Session to look at if those of a task differ more than they should; else None."""
        fit = self.fit(totals.method.task, what)
        return None if fit is None or fit.odd_row is None else self.ordered[fit.odd_row.place].session.name

    @kept
    def _members(self, task: str, what: Recorded) -> dict[int, Number]:
        fit = self.fit(task, what)
        if fit is None:
            return {}
        terms = {self.number(t): self.terms(t, what) for t in self.totals if t.in_model and t.method.task == task}
        nominal = {number: one.value for number, one in terms.items() if one is not None}
        drawn = joint_draws(fit, self.fit(task, Recorded.WORKER_HOURS), nominal)
        return {number: members / nominal[number] for number, members in drawn.items() if number in nominal}

    @cached_property
    def ordered(self) -> list[SessionFigures]:
        """All modeled sessions in the order of the notes."""
        return sorted((s for t in self.totals for s in t.in_model), key=lambda s: s.place)

    @cached_property
    def tasks(self) -> dict[str, TaskSessions]:
        """Sessions of each task, in the order of its first use."""
        of_task: dict[str, list[tuple[int, SessionFigures]]] = {}
        for place, session in enumerate(self.ordered):
            if session.method is not None:
                of_task.setdefault(session.method.task, []).append((place, session))
        return {
            task: TaskSessions(
                number,
                tasks()[task].is_sawn,
                tuple(self._session(place, session) for place, session in sessions),
                tuple(self._cuts(task)) if tasks()[task].is_sawn else (),
            )
            for number, (task, sessions) in enumerate(of_task.items())
        }

    @cached_property
    def _numbers(self) -> dict[str, int]:
        used = dict.fromkeys(s.method.name for s in self.ordered if s.method is not None)
        return {name: number for number, name in enumerate(used)}

    def _session(self, place: int, figures: SessionFigures) -> ModelSession:
        session, quantity = figures.session, figures.quantity
        amounts = {
            what: of(figures)
            for what, of in AMOUNTS.items()
            if not any(topic in session.broken for topic in TOPICS.get(what, ()))
        }
        hands = 1.0 if figures.time is None else figures.time.worker_h / figures.time.clock_h
        return ModelSession(
            place=place,
            method=self._numbers[session.method],
            wood_m3=0.0 if quantity is None else quantity.stacked_m3,
            amounts={
                what: amount * hands if what in BY_THE_CLOCK else amount
                for what, amount in amounts.items()
                if amount is not None
            },
            day=date.fromisoformat(session.date).toordinal() if session.date else None,
            hands=_hands_h(session),
            diameter_m=diameter_m(session.cuts) if session.cuts else None,
        )

    def _cuts(self, task: str) -> list[TimedCuts]:
        cuts = []
        for totals in (t for t in self.totals if t.in_model and t.method.task == task):
            timed = timed_cuts(totals.in_model)
            if timed:
                areas_m2, times_s = zip(*timed, strict=True)
                cuts.append(TimedCuts(self.number(totals), areas_m2, times_s))
        return cuts


def _hands_h(session: Session) -> dict[int, float] | None:
    hours: dict[int, float] = {}
    for worker in session.workers:
        if worker.number is None:
            return None
        hours[worker.number] = hours.get(worker.number, 0.0) + worker.time_min / MIN_PER_H
    return hours or None
