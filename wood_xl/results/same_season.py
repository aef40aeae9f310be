"""Finds workbooks of the same season: notes under another name, a corrected copy, a shared copy.

Two workbooks are of one season if most sessions of the shorter one agree in day, minutes and wood.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

LEAST_AGREEING, LEAST_SHARE = 3, 0.6
WITHIN = 0.01  # relative difference of a session's wood, which may have been typed in other units

Session = tuple[str, float, float]


@dataclass(frozen=True)
class Candidate:
    """What is compared of a workbook: its notes, day, minutes and wood of its sessions, and when it was saved."""

    notes_sha256: str = ""
    sessions: tuple[Session, ...] = ()
    saved: str = ""
    has_bodies: bool = True


@dataclass(frozen=True)
class Double:
    """A workbook that does not count."""

    # place, kept: numbers, among all workbooks, of this one and of the one that counts instead
    place: int
    kept: int
    # agreeing_n, sessions_n: sessions that agree, and all sessions, of the shorter of the two
    agreeing_n: int
    sessions_n: int
    has_same_notes: bool
    by_date: bool  # whether the other one counts because it was saved later, and not because it was given later
    more_n: int = 0  # sessions that it has more than the one that counts


def doubles(books: Sequence[Candidate]) -> list[Double]:
    """Every workbook that does not count, with the one of the same season that does."""
    doubled = []
    for group in _groups(books):
        kept, by_date = _kept(books, group)
        for place in group:
            if place != kept:
                one, other = books[place], books[kept]
                shorter = min(len(one.sessions), len(other.sessions))
                more_n = len(one.sessions) - shorter
                same = one.notes_sha256 == other.notes_sha256
                agreeing_n = agreeing(one.sessions, other.sessions)
                doubled.append(Double(place, kept, agreeing_n, shorter, same, by_date, more_n))
    return sorted(doubled, key=lambda double: double.place)


def agreeing(one: Sequence[Session], other: Sequence[Session]) -> int:
    """How many sessions agree, each with another one of the other workbook."""
    unmatched = defaultdict(list)
    for day, minutes, wood in other:
        unmatched[day, minutes].append(wood)
    agree_n = 0
    for day, minutes, wood in one:
        alike = (known for known in unmatched[day, minutes] if abs(known - wood) <= WITHIN * max(known, wood))
        match = next(alike, None)
        if match is not None:
            unmatched[day, minutes].remove(match)
            agree_n += 1
    return agree_n


def _groups(books: Sequence[Candidate]) -> list[list[int]]:
    """Numbers of the workbooks of each season that has several, found among those that share day and minutes."""
    group_of = [[place] for place in range(len(books))]

    def join(one: int, other: int) -> None:
        if group_of[one] is not group_of[other]:
            joined = sorted((*group_of[one], *group_of[other]))
            for place in joined:
                group_of[place] = joined

    hashes: dict[str, int] = {}
    holders: dict[tuple[str, float], list[int]] = defaultdict(list)
    for place, book in enumerate(books):
        join(place, hashes.setdefault(book.notes_sha256, place))
        shared = Counter(other for key in {one[:2] for one in book.sessions} for other in holders[key])
        for other in shared:
            shorter = min(len(book.sessions), len(books[other].sessions))
            if agreeing(book.sessions, books[other].sessions) >= max(LEAST_AGREEING, LEAST_SHARE * shorter):
                join(place, other)
        for key in {one[:2] for one in book.sessions}:
            holders[key].append(place)
    return [group for place, group in enumerate(group_of) if place == group[0] and len(group) > 1]


def _kept(books: Sequence[Candidate], group: Sequence[int]) -> tuple[int, bool]:
    """The one that counts: of workbooks with the notes saved or given last, the first one with body data, if any."""
    saved = [books[place].saved for place in group]
    by_date = all(saved) and len(set(saved)) > 1
    last = max(group, key=lambda place: (books[place].saved, place)) if by_date else group[-1]
    same = [place for place in group if books[place].notes_sha256 == books[last].notes_sha256]
    return next((place for place in same if books[place].has_bodies), same[0]), by_date
