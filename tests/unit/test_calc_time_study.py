"""Clock time, worker time, delay-free time and machine time."""

from __future__ import annotations

import pytest

from wood_xl.draws.figure import Figure, not_given
from wood_xl.hours.sessions import SessionTime, session_time
from wood_xl.records import Session, Worker
from wood_xl.schema.words import words


def timed(elapsed_min: float, *helpers_min: float, delay_min: float = 0.0, service_min: float = 0.0) -> SessionTime:
    workers = (Worker("A", elapsed_min), *(Worker("B", time_min, is_helper=True) for time_min in helpers_min))
    session = Session(
        "1", "m", elapsed_min=elapsed_min, delay_min=delay_min, service_min=service_min, workers=workers
    )
    time = session_time(session)
    assert time is not None
    return time


def test_one_worker_has_the_clock_time() -> None:
    assert timed(45.0).worker_h == timed(45.0).clock_h == 0.75


def test_crew_shares_the_delay() -> None:
    # 45 + 30 = 75 worker minutes, a third of the clock is delay
    assert timed(45.0, 30.0, delay_min=15.0).delay_free_worker_h == pytest.approx(50.0 / 60)


def test_whole_session_may_be_delay() -> None:
    time = timed(45.0, delay_min=45.0)
    assert (time.delay_free_worker_h, time.machine_h) == (0.0, 0.0)


def test_figure_that_cannot_be_given_keeps_its_reason() -> None:
    assert not_given("no fuel recorded") == Figure(value=None, low=None, high=None, reason="no fuel recorded")
    assert words(Figure(1.5).reason) == ""


def test_a_tool_works_neither_in_pauses_nor_while_it_is_served() -> None:
    assert timed(90.0, delay_min=10.0, service_min=15.0).machine_h == 65.0 / 60
