"""Clock time, worker time and working time of the tool."""

from __future__ import annotations

import math
from collections.abc import Iterable


def worker_min(*, elapsed_min: float, helpers_min: Iterable[float]) -> float:
    """Time of all workers together.

        worker time = elapsed time of the main worker + time of each helper

    Source: wood_xl_definitions, clock time and worker time are never mixed.

    >>> worker_min(elapsed_min=90.0, helpers_min=[60.0, 30.0])
    180.0
    """
    return math.fsum([elapsed_min, *helpers_min])


def delay_free_min(*, elapsed_min: float, delay_min: float) -> float:
    """Clock time without delays.

        delay-free time = elapsed - delay

    Source: wood_xl_definitions, delay-free time.

    >>> delay_free_min(elapsed_min=90.0, delay_min=15.0)
    75.0
    """
    if delay_min > elapsed_min:
        raise ValueError(f"delay_min is {delay_min}, more than elapsed_min {elapsed_min}")
    return elapsed_min - delay_min


def delay_free_worker_min(*, all_workers_min: float, elapsed_min: float, delay_min: float) -> float:
    """Time of all workers together without delays, which all of the crew share.

        delay-free worker time = worker time * (1 - delay / elapsed)

    Source: wood_xl_definitions, delay-free time.

    >>> delay_free_worker_min(all_workers_min=180.0, elapsed_min=90.0, delay_min=15.0)
    150.0
    """
    return all_workers_min * (delay_free_min(elapsed_min=elapsed_min, delay_min=delay_min) / elapsed_min)


def machine_min(*, elapsed_min: float, delay_min: float, service_min: float) -> float:
    """Time that the tool worked, by which its life in hours is counted.

        machine time = elapsed - delay - service

    Source: cost_reference, productive hours: time actually working, delays out.

    >>> machine_min(elapsed_min=90.0, delay_min=15.0, service_min=10.0)
    65.0
    """
    free_min = delay_free_min(elapsed_min=elapsed_min, delay_min=delay_min)
    if service_min > free_min:
        raise ValueError(f"service_min is {service_min}, more than the {free_min} without delay")
    return free_min - service_min
