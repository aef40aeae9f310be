"""What a half-filled season has so far, and the next two sessions that would make its comparisons fairer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import islice

from wood_xl.data.trade import tasks
from wood_xl.hours.methods import MethodTotals
from wood_xl.plan.crews import Household
from wood_xl.plan.who_may import in_sight_of
from wood_xl.reasons import Facts, Remark, RowCell, Said, Trial, said
from wood_xl.records import Season

LEAST_SESSIONS = 2  # of each method; with fewer a comparison counts as half filled
MOST_SUGGESTIONS = 2


def half_filled_remarks(season: Season, totals: Sequence[MethodTotals], household: Household) -> list[Remark]:
    """What is there, what is missing and what comes next; nothing once every method was tried twice."""
    compared = [group for group in _by_task(totals) if len(group) > 1]
    if all(len(t.counted) >= LEAST_SESSIONS for group in compared for t in group):
        return []
    there = tuple(said(Trial.SESSIONS_OF, method=t.method.name, n=len(t.counted)) for t in totals)
    waiting_n = len(_waiting(season, totals))
    missing = said(Trial.WAITING, n=waiting_n) if waiting_n else said(Trial.NOTHING_WAITS)
    so_far: Remark = ("season-so-far", "", {"found": said(Trial.LIST, parts=there), "advice": missing})
    suggestions = (one for group in compared for one in _fairer(group, household))
    return [so_far, *islice(sorted(suggestions, key=_order), MOST_SUGGESTIONS)]


def _waiting(season: Season, totals: Sequence[MethodTotals]) -> set[str]:
    """Sessions of the notes that wait for a cell or for their method; stacking within one belongs to it."""
    waiting = [s.session for t in totals for s in t.waiting]
    methods = {method.name for method in season.methods}
    waiting += [one for one in season.sessions if one.leave_out is None and one.method not in methods]
    return {one.part_of or one.name for one in waiting}


def _by_task(totals: Sequence[MethodTotals]) -> list[list[MethodTotals]]:
    names = dict.fromkeys(t.method.task for t in totals)
    return [[t for t in totals if t.method.task == task] for task in names if task in tasks()]


def _order(remark: Remark) -> int:
    return ("season-trial-untried", "season-trial-person", "season-trial-day").index(remark[0])


def _fairer(group: Sequence[MethodTotals], household: Household) -> Iterator[Remark]:
    """Sessions that would make a comparison fairer, suggested only for people who may do them."""
    persons = {t.method.name: _persons(t) for t in group}
    for t in group:
        name = t.method.name
        others = [other for other in group if other is not t and (other.counted or other.held_back)]
        may = [one for other in others for one in persons[other.method.name] if _may(one, t, household)]
        place = RowCell("methods.method", name)
        facts: Facts = {"found": name, "pile": _pile(others)}
        if t.waiting_cells:
            continue  # what to mend there comes first
        if not t.counted:
            first = next(iter(may), None)
            by = said(Trial.BY, person=first) if first else said(Trial.BY_WHO_MAY)
            yield "season-trial-untried", place, {**facts, "by": by}
            continue
        absent = next((one for one in may if one not in persons[name]), None)
        if absent is not None:
            yield "season-trial-person", place, {**facts, "person": absent}
        if len({s.session.date for s in t.counted}) < LEAST_SESSIONS:
            yield "season-trial-day", place, facts


def _persons(totals: MethodTotals) -> list[str]:
    """Who handled the tool in a session that counts, or will once a cell is mended."""
    names = (s.session.crew[0] for s in totals.in_model if s.session.crew)
    return list(dict.fromkeys(name for name in names if name))


def _may(person: str, totals: MethodTotals, household: Household) -> bool:
    is_watched = household.work(totals.method).is_watched
    in_sight = not is_watched or bool(in_sight_of(person, household.people.values()))
    return in_sight and household.why_not(person, totals) is None


def _pile(others: Sequence[MethodTotals]) -> Said:
    """The best wood for a session: that of the latest session of another method."""
    sessions = sorted((s for t in others for s in t.in_model), key=lambda s: (s.session.date or "", s.place))
    if not sessions:
        return said(Trial.ANY_PILE)
    session = sessions[-1].session
    return said(Trial.ON_PILE if session.lot else Trial.ON_LOGS, session=session.name)
