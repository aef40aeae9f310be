"""Clock time, worker time, delay-free time and machine time."""

from __future__ import annotations

from typing import Any

import pytest

from wood_xl.draws.figure import Figure, not_given
from wood_xl.hours import time_study
from wood_xl.schema.words import words


def test_one_worker_has_the_clock_time() -> None:
    assert time_study.worker_min(elapsed_min=45.0, helpers_min=[]) == 45.0


def test_crew_shares_the_delay() -> None:
    # 45 + 30 = 75 worker minutes, a third of the clock is delay
    crew = time_study.worker_min(elapsed_min=45.0, helpers_min=[30.0])
    free = time_study.delay_free_worker_min(all_workers_min=crew, elapsed_min=45.0, delay_min=15.0)
    assert free == pytest.approx(50.0)


def test_whole_session_may_be_delay() -> None:
    assert time_study.delay_free_min(elapsed_min=45.0, delay_min=45.0) == 0.0
    assert time_study.machine_min(elapsed_min=45.0, delay_min=45.0, service_min=0.0) == 0.0


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: time_study.delay_free_min(elapsed_min=10.0, delay_min=11.0), "more than elapsed_min 10.0"),
        (
            lambda: time_study.machine_min(elapsed_min=10.0, delay_min=4.0, service_min=7.0),
            "more than the 6.0 without delay",
        ),
    ],
)
def test_time_that_cannot_be_is_named(call: Any, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        call()


def test_figure_that_cannot_be_given_keeps_its_reason() -> None:
    assert not_given("no fuel recorded") == Figure(value=None, low=None, high=None, reason="no fuel recorded")
    assert words(Figure(1.5).reason) == ""


def test_a_tool_works_neither_in_pauses_nor_while_it_is_served() -> None:
    assert time_study.machine_min(elapsed_min=90.0, delay_min=10.0, service_min=15.0) == 65.0
