"""Workbooks that are one season are known by their sessions, whatever they are called."""

from __future__ import annotations

from dataclasses import replace

import pytest

from wood_xl.results.same_season import Candidate, Double, agreeing, doubles

SESSIONS = tuple((f"2025-03-{day:02}", 40.0 + day, 0.5 + 0.1 * day) for day in range(1, 9))


def book(
    name: str, sessions: tuple[tuple[str, float, float], ...] = SESSIONS, *, saved: str = "", has_bodies: bool = True
) -> Candidate:
    return Candidate(name, sessions, saved, has_bodies)


def test_wood_may_have_been_typed_in_other_units() -> None:
    other = tuple((day, minutes, wood * 1.009) for day, minutes, wood in SESSIONS)
    assert agreeing(SESSIONS, other) == 8
    assert agreeing(SESSIONS, tuple((day, minutes, wood * 1.02) for day, minutes, wood in SESSIONS)) == 0
    assert agreeing(SESSIONS, tuple((day, minutes + 0.1, wood) for day, minutes, wood in SESSIONS)) == 0


def test_equal_sessions_are_matched_one_to_one() -> None:
    assert agreeing((SESSIONS[0],) * 2, (SESSIONS[0],)) == 1
    assert agreeing((SESSIONS[0],) * 2, (SESSIONS[0],) * 3) == 2


@pytest.mark.parametrize(("corrected_n", "is_double"), [(0, True), (3, True), (4, False), (8, False)])
def test_sixty_percent_of_the_shorter_workbook_must_agree(corrected_n: int, is_double: bool) -> None:
    corrected = tuple((day, minutes + (at < corrected_n), wood) for at, (day, minutes, wood) in enumerate(SESSIONS))
    found = doubles([book("a"), book("b", corrected)])
    assert bool(found) == is_double
    longer = (*corrected, *((f"2025-05-{day:02}", 30.0, 0.2) for day in range(1, 20)))
    assert bool(doubles([book("a"), book("b", longer)])) == is_double


def test_three_agreeing_sessions_make_one_season_and_two_do_not() -> None:
    three, other = book("a", SESSIONS[:3]), SESSIONS[5]
    assert len(doubles([three, book("b", SESSIONS[:3])])) == 1
    assert len(doubles([three, book("b", (*SESSIONS[:3], other))])) == 1
    assert doubles([three, book("b", (*SESSIONS[:2], other))]) == []
    assert doubles([book("a", SESSIONS[:2]), book("b", SESSIONS[:2])]) == []
    assert len(doubles([book("a", SESSIONS[:2]), book("a", SESSIONS[:2])])) == 1  # the same notes


def test_the_workbook_saved_later_counts_or_else_the_one_given_later() -> None:
    first, second = book("a", saved="2026-02-01"), book("b", saved="2026-01-31")
    assert doubles([first, second]) == [Double(1, 0, 8, 8, has_same_notes=False, by_date=True)]
    for books in ([first, replace(second, saved="")], [first, replace(second, saved=first.saved)]):
        assert doubles(books) == [Double(0, 1, 8, 8, has_same_notes=False, by_date=False)]


def test_a_beginning_that_was_saved_later_than_the_whole_has_fewer_sessions() -> None:
    whole, beginning = book("a", saved="2026-01-31"), book("b", SESSIONS[:5], saved="2026-02-01")
    assert doubles([whole, beginning]) == [Double(0, 1, 5, 5, has_same_notes=False, by_date=True, more_n=3)]
    (late,) = doubles([replace(whole, saved="2026-03-01"), beginning])
    assert late.more_n == 0


def test_of_two_workbooks_with_the_same_notes_the_one_with_body_data_counts() -> None:
    books = [book("a"), book("b", has_bodies=False), book("b"), book("b", has_bodies=False)]
    assert [(one.place, one.kept) for one in doubles(books)] == [(0, 2), (1, 2), (3, 2)]
    assert [one.has_same_notes for one in doubles(books)] == [False, True, True]


def test_a_chain_of_corrections_is_one_season() -> None:
    books = [
        book(f"v{n}", tuple((d, m + (at < 2 * n), w) for at, (d, m, w) in enumerate(SESSIONS))) for n in range(3)
    ]
    assert agreeing(books[0].sessions, books[2].sessions) == 4
    assert [(one.place, one.kept) for one in doubles(books)] == [(0, 2), (1, 2)]
