"""Work mapped over the machines of a running cluster; the library for it is an extra that few need."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from functools import partial
from importlib import import_module
from pathlib import Path
from typing import Any

from wood_xl.errors import WoodXlError
from wood_xl.many import WAITING_PER_CORE, in_order

LEAST_CORES = 8  # counted on where fewer have come so far
RETRIES = 3  # of one workbook, if the worker that has it is lost
SECONDS_TO_ANSWER = 10


class NoCluster(WoodXlError):
    """The cluster, or the library for it, is not there."""


@contextmanager
def on_cluster(address: str) -> Iterator[Callable[[Callable[[Path], Any], list[Path]], Iterable[Any]]]:
    """A function like ``map`` that works on a cluster, in the order of what it is given.

    Every worker must see the files under the same paths and have the same version of this program. A worker that is
    lost loses nothing: its part is done again by another.

    Errors: NoCluster if nothing answers there, or the extra is not installed.
    """
    try:
        distributed = import_module("distributed")
    except ImportError as fault:
        raise NoCluster("pool-no-cluster-library") from fault
    try:
        # An address that is none: a client made with it takes 20 s to fail, and prints what it failed by.
        import_module("distributed.comm").resolve_address(address)
        client = distributed.Client(address, timeout=SECONDS_TO_ANSWER, set_as_default=False)
    except (OSError, TimeoutError, ValueError) as fault:
        raise NoCluster("pool-no-cluster", found=address) from fault
    with client:
        ahead = WAITING_PER_CORE * max(LEAST_CORES, sum(client.ncores().values()))
        yield partial(in_order, partial(client.submit, pure=False, retries=RETRIES), ahead)
