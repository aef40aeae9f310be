"""Who can do a method next season, and how long in a day: those who tried it, within strain and vibration."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from wood_xl.calc.calendar import Crew
from wood_xl.calc.exposure import time_to_vibration_action_value_h
from wood_xl.calc.strain import acceptable_work_min
from wood_xl.data.load import value
from wood_xl.records import Tool
from wood_xl.study.methods import MethodTotals
from wood_xl.study.sessions import SessionFigures

MIN_PER_H = 60.0
UNNAMED = "somebody"
BY_SESSION, BY_VIBRATION = "longest session", "vibration, to the action value"
BY_STRAIN, BY_OTHERS = "strain of the heart", "strain not known: the shortest time of the others"

Row = dict[str, Any]
StrainRows = Mapping[tuple[str, str], Row]


@dataclass(frozen=True)
class MethodCrew:
    """A crew of one method.

    Attributes
    ----------
    crew : Crew
        The first of them is the one who handles the tool.
    limited_by : str
        What sets the longest time of a day.
    pause_min_per_h : float or None
        Pauses by the rest rule for each hour of work, of who needs most; None if nobody's are known.
    is_strain_known : bool
        Whether the strain of all of them is known.
    """

    method: str
    crew: Crew
    limited_by: str
    pause_min_per_h: float | None
    is_strain_known: bool


def method_crews(
    totals: MethodTotals, strain: Sequence[Row], tools: Mapping[str, Tool], *, longest_min: float, people_n: int
) -> list[MethodCrew]:
    """Crews that tried a method, those with most hours first; single people if every crew is too large.

    Parameters
    ----------
    totals : MethodTotals
        Of the method. Crews come from the sessions that count, strain and running time from all.
    strain : sequence of dict
        Rows of the strain table.
    tools : mapping
        By name.
    longest_min : float
        Longest session of one person.
    people_n : int
        How many can work at the same time.
    """
    minutes: dict[tuple[str, ...], float] = {}
    for figures in totals.counted:
        people = _crew_of(figures)
        minutes[people] = minutes.get(people, 0.0) + (figures.session.elapsed_min or 0.0)
    fitting = {people: done for people, done in minutes.items() if len(people) <= people_n}
    if not fitting:
        fitting = {people[:1]: done for people, done in minutes.items()}
    order = sorted(fitting, key=lambda people: (-fitting[people], people))
    by_person = {(row["session"], row["person"]): row for row in strain}
    persons = dict.fromkeys(person for people in minutes for person in people)
    hearts = {person: _acceptable_min(totals.every, person, by_person) for person in persons}
    return [_method_crew(totals, people, by_person, hearts, _limits(totals, tools, longest_min)) for people in order]


def _crew_of(figures: SessionFigures) -> tuple[str, ...]:
    session = figures.session
    least = value("plan.helper_share") * (session.elapsed_min or 0.0)
    main = [worker.person or UNNAMED for worker in session.workers if not worker.is_helper]
    helpers = [w.person for w in session.workers if w.is_helper and w.person and w.time_min >= least]
    return tuple(dict.fromkeys([*main, *sorted(helpers)]))


def _limits(totals: MethodTotals, tools: Mapping[str, Tool], longest_min: float) -> list[tuple[float, str]]:
    vibration = _vibration_min(totals, tools)
    return [(longest_min, BY_SESSION), *([] if vibration is None else [(vibration, BY_VIBRATION)])]


def _method_crew(
    totals: MethodTotals,
    people: tuple[str, ...],
    strain: StrainRows,
    hearts: Mapping[str, float | None],
    limits: list[tuple[float, str]],
) -> MethodCrew:
    known = [minutes for minutes in hearts.values() if minutes is not None]
    own = [hearts[person] for person in people]
    limits = [*limits, *((minutes, BY_STRAIN) for minutes in own if minutes is not None)]
    if None in own and known:
        limits.append((min(known), BY_OTHERS))
    longest, words = min(limits, key=lambda limit: limit[0])
    pauses = [pause for person in people for pause in _figures(totals.every, person, strain, "rest_per_work_hour")]
    return MethodCrew(totals.method.name, Crew(people, longest), words, max(pauses, default=None), None not in own)


def _vibration_min(totals: MethodTotals, tools: Mapping[str, Tool]) -> float | None:
    """Minutes of session until the action value, by the share of the time that the tool ran; all of it if unknown."""
    rates = [
        tool.vibration_m_s2
        for name in totals.method.tools
        if (tool := tools.get(name)) is not None and tool.vibration_m_s2
    ]
    if not rates:
        return None
    recorded = [
        s.session for s in totals.every if s.time and s.session.running_min is not None and s.session.elapsed_min
    ]
    elapsed = math.fsum(session.elapsed_min or 0.0 for session in recorded)
    running = math.fsum(min(session.running_min or 0.0, session.elapsed_min or 0.0) for session in recorded)
    share = running / elapsed if running else 1.0
    hours = min(time_to_vibration_action_value_h(vibration_m_s2=rate) for rate in rates)
    return hours * MIN_PER_H / share


def _acceptable_min(sessions: Sequence[SessionFigures], person: str, strain: StrainRows) -> float | None:
    """The shortest acceptable time of continuous work among a person's sessions; None if their strain is not known.

    Beyond the range of the formula its upper end stands in; below it no time is too long.
    """
    highest = value("acceptable_work.reserve.highest")
    times = [
        acceptable_work_min(reserve_frac=min(share / 100, highest)).minutes
        for share in _figures(sessions, person, strain, "reserve_share")
    ]
    return min((math.inf if minutes is None else minutes for minutes in times), default=None)


def _figures(sessions: Iterable[SessionFigures], person: str, strain: StrainRows, key: str) -> Iterable[float]:
    for figures in sessions:
        row = strain.get((figures.session.name, person))
        if row is not None and row[key].value is not None:
            yield row[key].value
