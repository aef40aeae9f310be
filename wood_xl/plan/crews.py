"""Who does a method next season, and for how long in a day: people who tried it and may do it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from wood_xl.body.exposure import time_to_vibration_line_h
from wood_xl.body.strain import acceptable_work_min, longest_below_very_high_min
from wood_xl.data.load import value
from wood_xl.draws.figure import Row
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.sessions import SessionFigures
from wood_xl.ids import Strain
from wood_xl.plan.calendar import MIN_PER_H, Crew
from wood_xl.plan.who_may import LeftOut, Work, in_sight_of, is_adult, is_powered, why_not, work_of
from wood_xl.reasons import Remark, RowCell, Said, several
from wood_xl.records import Method, Person, Season, Tool
from wood_xl.verdicts import LimitedBy, NotPlanned

UNNAMED = "somebody"

DayLimit = tuple[float, LimitedBy]  # most minutes of a method in a day, and what sets them


class MethodCrew(NamedTuple):
    """A crew of one method."""

    method: str
    crew: Crew  # the first person handles the tool
    limited_by: LimitedBy
    rate_not_known: tuple[str, ...]  # people with a session whose share of the heart-rate reserve is not known
    under_age: tuple[str, ...]


class Household(NamedTuple):
    """People of the household and their tools, with what decides which work they may do."""

    people: Mapping[str, Person]  # by name, from the sheet People
    tools: Mapping[str, Tool]
    trained_by_sessions: Mapping[str, frozenset[str]]  # powered tools that each person handled in a counted session
    strain: Mapping[tuple[str, str], Row]  # rows of the strain table, by session and person
    people_n: int
    longest_min: float

    def work(self, method: Method) -> Work:
        """What a method asks of whoever does it."""
        return work_of(method, self.tools)

    def why_not(self, name: str, totals: MethodTotals) -> LeftOut | None:
        """Why somebody may not be planned for a method, judged by all their sessions with it; None if they may."""
        sessions = totals.every
        waits = (f.session.broken.get("plan", "") for f in sessions if name in _crew_of(f))
        person = self.people.get(name) or Person(name, broken={"plan": next(filter(None, waits), "")})
        by_sessions = person.may_use is None and name in self.people
        trained = self.trained_by_sessions.get(name, frozenset()) if by_sessions else person.may_use or ()
        seen = [row["strain"] for row in self._rows(sessions, name)]
        found = why_not(person, self.work(totals.method), trained=trained, strain=seen)
        unnamed = next((f.session.name for f in sessions if not all(w.person for w in f.session.workers)), "")
        if found and found.cell.startswith("people.") and name == UNNAMED and name not in self.people and unnamed:
            return replace(found, cell="sessions.person", row=unnamed)
        return found

    def shares(self, name: str, sessions: Sequence[SessionFigures]) -> list[float | None]:
        """Share of the heart-rate reserve in each session of a person; None where it is not known."""
        shares = [row["reserve_share"].value for row in self._rows(sessions, name)]
        return [None if share is None else share / 100 for share in shares] or [None]

    def is_hard(self, name: str, sessions: Sequence[SessionFigures]) -> bool:
        """Whether the work is hard for somebody: it is, unless every session is known to lie below the levels."""
        strain = {row["strain"] for row in self._rows(sessions, name)}
        return strain != {Strain.BELOW_LEVELS}

    def _rows(self, sessions: Sequence[SessionFigures], name: str) -> list[Row]:
        names = (name, "") if name == UNNAMED else (name,)
        keys = ((figures.session.name, own) for figures in sessions for own in names)
        return [self.strain[key] for key in keys if key in self.strain]


def household_of(season: Season, totals: Iterable[MethodTotals], strain: Sequence[Row]) -> Household:
    """The household of a season; number of people and longest session have defaults."""
    wanted, tools = season.next_season, {tool.name: tool for tool in season.tools}
    used: dict[str, set[str]] = {}
    for of_method in totals:
        powered = {name for name in of_method.method.tools if is_powered(tools.get(name))}
        for figures in of_method.counted:
            for name in _crew_of(figures)[:1]:
                used.setdefault(name, set()).update(powered)
    return Household(
        people={person.name: person for person in season.people},
        tools=tools,
        trained_by_sessions={name: frozenset(names) for name, names in used.items()},
        strain={(row["session"], row["person"]): row for row in strain},
        people_n=wanted.people_n or max(1, len(season.people)),
        longest_min=wanted.longest_session_min or value("plan.longest_session"),
    )


def method_crews(totals: MethodTotals, household: Household) -> tuple[list[MethodCrew], list[LeftOut]]:
    """Crews that tried a method, those with most hours first, and who is left out of it.

    People who may not do it are taken out of their crew. A crew needs the person who handles the tool, and as many
    people as the method takes. At a powered saw, or if every crew is too large, people work singly. Whoever stands
    in sight is not of the crew.
    """
    work = household.work(totals.method)
    reasons = {name: household.why_not(name, totals) for name in _names(totals, work)}
    left_out = [reason for reason in reasons.values() if reason is not None]
    least_n = 1 if work.is_powered_saw else totals.method.people_n
    in_sight = dict[str, tuple[str, ...]]()
    most_n = household.people_n
    if work.is_watched:
        most_n -= 1
        people = household.people.values()
        in_sight = {name: in_sight_of(name, people) for name, reason in reasons.items() if reason is None}
        alone = [name for name, others in in_sight.items() if len(others) < least_n or most_n < least_n]
        cell = "next_season.people_available" if most_n < least_n else "people.age"
        left_out += [LeftOut(name, work.method, NotPlanned.NO_ONE_IN_SIGHT, cell=cell) for name in alone]
    barred = {reason.person for reason in left_out}
    minutes: dict[tuple[str, ...], float] = {}
    for figures in totals.counted:
        first, *others = _crew_of(figures)
        if first not in barred:
            crew = (first, *(other for other in others if other not in barred and not work.is_powered_saw))
            minutes[crew] = minutes.get(crew, 0.0) + (figures.session.elapsed_min or 0.0)
    fitting = {crew: done for crew, done in minutes.items() if least_n <= len(crew) <= most_n}
    if work.is_watched:
        fitting = {crew: done for crew, done in fitting.items() if len(crew) <= len(in_sight[crew[0]])}
    if not fitting and minutes and least_n > 1:
        return [], [LeftOut("", work.method, NotPlanned.TOO_FEW, cell="methods.crew", row=work.method), *left_out]
    if not fitting:
        fitting = {crew[:1]: done for crew, done in minutes.items()}
    order = sorted(fitting, key=lambda crew: (-fitting[crew], crew))
    if not order and not left_out:
        return [], []
    nobody = [] if order else [LeftOut("", work.method, NotPlanned.NOBODY_MAY)]
    crews = [
        _method_crew(totals, crew, household, tuple(n for n in in_sight.get(crew[0], ()) if n not in crew))
        for crew in order
    ]
    return crews, [*nobody, *left_out]


def nobody_may(totals: Iterable[MethodTotals], household: Household) -> dict[str, Said]:
    """Methods with a counted session that nobody may do, with reasons that name no person."""
    barred = {}
    for t in totals:
        crews, reasons = method_crews(t, household)
        why = several([one.why_without_name for one in reasons if one.person or one.reason is NotPlanned.TOO_FEW])
        if t.counted and not crews and why is not None:
            barred[t.method.name] = why
    return barred


def young_remarks(totals: Iterable[MethodTotals], household: Household) -> Iterator[Remark]:
    """Remarks on sessions in which somebody under age did work that is for adults only."""
    for t in totals:
        work = household.work(t.method)
        for figures in t.every if work.tools and work.is_for_adults else ():
            person = household.people.get(next(iter(_crew_of(figures)), ""))
            if person is not None and person.age_years is not None and not is_adult(person):
                facts = {"name": person.name, "found": f"{person.age_years:g}", "method": t.method.name}
                yield "plan-under-age-at-work", RowCell("sessions.person", figures.session.name), facts


def _names(totals: MethodTotals, work: Work) -> dict[str, None]:
    """Everybody who did a method; at a powered saw, those who handled it."""
    crews = (_crew_of(figures)[: 1 if work.is_powered_saw else None] for figures in totals.every)
    return dict.fromkeys(name for crew in crews for name in crew)


def _crew_of(figures: SessionFigures) -> tuple[str, ...]:
    session = figures.session
    least = value("plan.helper_share") * (session.elapsed_min or 0.0)
    main = [worker.person or UNNAMED for worker in session.workers if not worker.is_helper]
    helpers = [w.person for w in session.workers if w.is_helper and w.person and w.time_min >= least]
    return tuple(dict.fromkeys([*main, *sorted(helpers)]))


def _method_crew(
    totals: MethodTotals, people: tuple[str, ...], household: Household, in_sight: tuple[str, ...]
) -> MethodCrew:
    session: DayLimit = (household.longest_min, LimitedBy.SESSION)
    longest, limited_by = min([session, *day_limits(totals, people, household)], key=lambda limit: limit[0])
    not_known = tuple(name for name in people if None in household.shares(name, totals.every))
    hard = frozenset(name for name in people if household.is_hard(name, totals.every))
    listed = (household.people[name] for name in people if name in household.people)
    under_age = tuple(person.name for person in listed if person.age_years is not None and not is_adult(person))
    return MethodCrew(totals.method.name, Crew(people, longest, in_sight, hard), limited_by, not_known, under_age)


def day_limits(totals: MethodTotals, people: Iterable[str], household: Household) -> list[DayLimit]:
    """Known limits on the minutes of a method in a day, beside the longest session."""
    shares = (share for name in people for share in household.shares(name, totals.every))
    known_shares = [share for share in shares if share is not None]
    modeled = [(_modeled_min(share), LimitedBy.STRAIN) for share in known_shares]
    very_high = [(longest_below_very_high_min(reserve_frac=share), LimitedBy.VERY_HIGH) for share in known_shares]
    return [*_vibration(totals, household.tools), *modeled, *very_high]


def _modeled_min(reserve_frac: float) -> float:
    """Modeled time of continuous work; infinite at shares below the range of the formula."""
    minutes = acceptable_work_min(reserve_frac=reserve_frac).minutes
    return math.inf if minutes is None else minutes


def _vibration(totals: MethodTotals, tools: Mapping[str, Tool]) -> list[DayLimit]:
    """Minutes of session until the action value, by the share of time that the tool ran; all of it if unknown."""
    rates = [
        tool.vibration_m_s2
        for name in totals.method.tools
        if (tool := tools.get(name)) is not None and tool.vibration_m_s2
    ]
    if not rates:
        return []
    recorded = [
        s.session for s in totals.every if s.time and s.session.running_min is not None and s.session.elapsed_min
    ]
    elapsed = math.fsum(session.elapsed_min or 0.0 for session in recorded)
    running = math.fsum(
        min(session.running_min or 0.0, (session.elapsed_min or 0.0) + session.stacking_min) for session in recorded
    )
    share = running / elapsed if running else 1.0
    hours = min(time_to_vibration_line_h(vibration_m_s2=rate, line="action_value") for rate in rates)
    return [(hours * MIN_PER_H / share, LimitedBy.VIBRATION)]
