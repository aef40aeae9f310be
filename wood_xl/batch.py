"""Scores many workbooks on all cores, or reads them on a cluster, in bounded memory.

Outcomes keep the order of the orders. A record beside the results keeps hashes and the outcome of each workbook, so
that the same command run again skips what is unchanged. The record is never trusted by itself: files are checked.
"""

from __future__ import annotations

import hashlib
import json
import math
import multiprocessing
import os
import signal
import sys
import threading
from collections import deque
from collections.abc import Callable, Generator, Iterable, Iterator, Sequence
from concurrent.futures import BrokenExecutor, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import asdict, replace
from functools import cache, partial
from importlib import import_module
from pathlib import Path
from typing import Any

import wood_xl
from wood_xl.errors import UnreadableWorkbook, WoodXlError
from wood_xl.io.limits import MAX_FILE_BYTES
from wood_xl.io.pack import is_as_written, write_atomically
from wood_xl.io.reader import read_workbook
from wood_xl.io.seal import seal_of, stored_seal
from wood_xl.notes.echo import NoResults, results_items, results_table
from wood_xl.results.figures import FIGURES
from wood_xl.schema.model import Column, System, results_definition
from wood_xl.scoring import NOTHING_WRITTEN, RATES, TO_MEND, WRITTEN, Order, Outcome, outcome_from_json, score_order
from wood_xl.units import convert

RECORD_NAME = ".wood_xl-scored.json"
WAITING_PER_CORE = 4  # submitted ahead, so that no core idles and memory stays small
SAVED_EVERY = 50
MOST_ON_WINDOWS = 61
LEAST_CORES = 8  # assumed of a cluster whose workers have not all joined yet
RETRIES = 3  # of one workbook after lost workers
SECONDS_TO_ANSWER = 10
OWN_SUFFIXES = (".py", ".json", ".csv")
KNOWN_CODES = (WRITTEN, TO_MEND)

Row = dict[str, Any]


class WorkerLost(WoodXlError):
    """A worker process was ended from outside."""


class Record:
    """Outcomes of earlier runs: a line of JSON for each workbook, parsed only when needed."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._lines = _read(path)
        self._unsaved_n = 0

    def line(self, order: Order) -> str:
        """The line of a workbook; empty for a new one."""
        return self._lines.get(_place(order.path), "")

    def keep(self, order: Order, line: str) -> None:
        """Remember a line. It is empty for a workbook that could not be scored, which is tried again next time."""
        if line != self.line(order):
            self._lines[_place(order.path)] = line
            self._unsaved_n += 1
        if self._unsaved_n >= SAVED_EVERY:
            self.save()

    def save(self) -> None:
        """Write the whole record."""
        if self._unsaved_n:
            text = "".join(f"{self._lines[path]}\n" for path in sorted(self._lines) if self._lines[path])
            write_atomically(self._path, text.encode("utf-8"), replace=True)
            self._unsaved_n = 0


def score_many(orders: Sequence[Order], record: Record, *, cores: int) -> Generator[tuple[Outcome, bool]]:
    """Outcome of each order, in order, and whether it is unchanged since an earlier run."""
    try:
        with parallel_map(cores) as each:
            made = each(scored_or_known, ((order, record.line(order)) for order in orders))
            for order, (outcome, line, is_known) in zip(orders, made, strict=True):
                record.keep(order, line)
                yield outcome, is_known
    finally:
        record.save()


@contextmanager
def parallel_map(cores: int) -> Iterator[Callable[[Callable[[Any], Any], Iterable[Any]], Iterable[Any]]]:
    """A function like ``map`` that uses several cores and keeps the order.

    Errors: WorkerLost if a worker is ended from outside, as by a system that runs out of memory.
    """
    if cores < 2:
        yield map
        return
    # A fresh interpreter in each process: no state or threads are inherited, on any system.
    spawn = multiprocessing.get_context("spawn")
    try:
        pool = ProcessPoolExecutor(cores, mp_context=spawn, initializer=_end_with_parent)
    except (OSError, ImportError, NotImplementedError):  # the system has no semaphores between processes
        yield map
        return
    try:
        yield partial(in_order, partial(_submitted, pool), WAITING_PER_CORE * cores)
    except BrokenExecutor as fault:
        raise WorkerLost("run-worker-lost") from fault
    finally:
        pool.shutdown(cancel_futures=True)


def _submitted(pool: ProcessPoolExecutor, work: Callable[[Any], Any], one: Any) -> Any:
    """Submit work; a process that starts for it ignores interrupts from its first moment.

    Only the main process handles an interrupt: a worker would print a traceback from wherever it is.
    """
    if not hasattr(signal, "pthread_sigmask"):
        return pool.submit(work, one)
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})  # a child inherits the mask
    try:
        return pool.submit(work, one)
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _end_with_parent() -> None:
    """Make a worker end if its parent is killed: it would wait for work forever."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()

    def wait() -> None:
        if parent is not None:
            parent.join()
            os._exit(1)

    threading.Thread(target=wait, daemon=True).start()


def in_order(
    submit: Callable[..., Any], ahead: int, work: Callable[[Any], Any], given: Iterable[Any]
) -> Iterator[Any]:
    """Like ``map``, with a limited number submitted ahead; no reference to a result is kept once it is used."""
    waiting: deque[Any] = deque()
    for one in given:
        waiting.append(submit(work, one))
        if len(waiting) > ahead:
            yield waiting.popleft().result()
    while waiting:
        yield waiting.popleft().result()


def scored_or_known(order_and_line: tuple[Order, str]) -> tuple[Outcome, str, bool]:
    """Outcome of an order, its line of the record, and whether both are unchanged."""
    order, line = order_and_line
    entry = _entry(line)
    unchanged = None if entry is None else _unchanged(order, entry)
    if unchanged is not None:
        return unchanged, line, True
    outcome = score_order(order if entry is None else _replacing_own(order, entry))
    return outcome, "" if outcome.code == NOTHING_WRITTEN else _line(order, outcome), False


def _line(order: Order, outcome: Outcome) -> str:
    entry = {
        "asked": _asked(order),
        "read": _sha256(order.path),
        "written": _sha256(order.target),
        # Without lines, which hold names and cells; with a path that is valid from any folder.
        "outcome": {**asdict(outcome.without_lines()), "path": _place(order.path)},
    }
    return json.dumps(entry, sort_keys=True)  # ASCII: no file name breaks the line


def _unchanged(order: Order, entry: Row) -> Outcome | None:
    """Outcome of the same order before, if workbook, results and program are still the same."""
    read = _sha256(order.path)
    if (entry["asked"], entry["read"], entry["written"]) != (_asked(order), read, _sha256(order.target)):
        return None
    try:
        outcome = outcome_from_json(entry["outcome"])
        is_known = outcome.path == _place(order.path) and outcome.code in KNOWN_CODES
        is_known = is_known and _are_results_of(read, order, outcome)
        return replace(outcome, path=str(order.path)) if is_known else None
    except (LookupError, TypeError, ValueError, AttributeError):  # written by another build
        return None


def _replacing_own(order: Order, entry: Row) -> Order:
    """The order, allowed to replace results of the same workbook that nobody changed since a run wrote them."""
    is_own = entry["asked"].get("target") == _place(order.target) and entry["written"] == _sha256(order.target)
    if not is_own or not is_as_written(order.target):
        return order
    return replace(order, places=order.places._replace(may_replace=True))


def _place(path: Path) -> str:
    """Absolute path without links, so that it does not depend on the current folder."""
    return os.path.realpath(path)


def _asked(order: Order) -> Row:
    """What besides the workbook determines the results, and when their file last changed.

    That time is set by this system, so a record sent with a folder cannot match.
    """
    written_ns = order.target.stat().st_ctime_ns if order.target.is_file() else 0
    return {
        "build": build(),
        "system": order.system,
        "is_shared": order.is_shared,
        "target": _place(order.target),
        "written_ns": written_ns,
    }


@cache
def build() -> str:
    """Hash of the program's own files: a version under development has many builds."""
    folder, digest = Path(wood_xl.__file__).parent, hashlib.sha256()
    for path in sorted(path for path in folder.rglob("*") if path.suffix in OWN_SUFFIXES):
        digest.update(path.relative_to(folder).as_posix().encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()


def _are_results_of(read: str, order: Order, outcome: Outcome) -> bool:
    """Whether the file at the target holds whole results of a workbook with that hash, with the recorded rates."""
    try:
        book = read_workbook(order.target)
        provenance = results_items(book, "provenance")
        figures = results_table(book, FIGURES)
    except (UnreadableWorkbook, NoResults, LookupError, ValueError):
        return False
    system: System = "us" if provenance["display_units"] == "us" else "metric"
    columns = results_definition().sheet(RATES).columns
    cells = [cell for row in outcome.rates for cell in zip(columns, row, strict=True)]
    kept = [(column, cell) for column, cell in cells if column.type == "figure"]
    there = [row["value"] for row in figures if str(row["id"]).startswith(f"{RATES}.")]
    is_whole = provenance["input_sha256"] == read and stored_seal(book) == seal_of(book)
    return is_whole and len(kept) == len(there) and all(map(partial(_is_rate, system), kept, there))


def _is_rate(system: System, kept: tuple[Column, str | float], there: str | float) -> bool:
    """Whether a recorded rate, or its absence, is what the results show."""
    column, number = kept
    if isinstance(there, str) or isinstance(number, str):
        return there == "" and isinstance(number, str)
    shown = convert(number, column.unit, column.unit_in(system)) if column.units else number
    return math.isclose(shown, there, rel_tol=1e-9, abs_tol=1e-12)


def _sha256(path: Path) -> str:
    """Hash of a file; empty if it cannot be read."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return ""


def _entry(line: str) -> Row | None:
    """A parsed line of the record; None if it is broken, or nested too deeply."""
    try:
        entry = json.loads(line)
    except (ValueError, RecursionError):
        return None
    is_whole = isinstance(entry, dict) and entry.keys() == {"asked", "read", "written", "outcome"}
    is_whole = is_whole and all(isinstance(entry[part], dict) and entry[part] for part in ("asked", "outcome"))
    return entry if is_whole else None


def _read(path: Path) -> dict[str, str]:
    """The lines of a record, by their workbooks."""
    try:
        if not path.is_file() or path.stat().st_size > MAX_FILE_BYTES:  # reading a pipe or a device would never end
            return {}
        lines = path.read_text(encoding="utf-8").splitlines()
    except (OSError, ValueError):
        return {}
    entries = ((line, _entry(line)) for line in lines)
    return {str(entry["outcome"].get("path")): line for line, entry in entries if entry is not None}


def core_count() -> int:
    """Number of processors for this process; Windows refuses to wait for more than 61 processes."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return min(cores, MOST_ON_WINDOWS) if sys.platform == "win32" else cores


class NoCluster(WoodXlError):
    """The cluster, or the library for it, is missing."""


@contextmanager
def cluster_map(address: str) -> Iterator[Callable[[Callable[[Path], Any], list[Path]], Iterable[Any]]]:
    """A function like ``map`` that uses a cluster and keeps the order.

    Every worker must see the files under the same paths and have the same version of this program. If a worker is
    lost, another repeats its part.

    Errors: NoCluster if nothing answers there, or the extra is not installed.
    """
    try:
        distributed = import_module("distributed")
    except ImportError as fault:
        raise NoCluster("pool-no-cluster-library") from fault
    try:
        # Check the address first: with an invalid one, a client takes 20 s to fail and prints the fault.
        import_module("distributed.comm").resolve_address(address)
        client = distributed.Client(address, timeout=SECONDS_TO_ANSWER, set_as_default=False)
    except (OSError, TimeoutError, ValueError) as fault:
        raise NoCluster("pool-no-cluster", found=address) from fault
    with client:
        ahead = WAITING_PER_CORE * max(LEAST_CORES, sum(client.ncores().values()))
        yield partial(in_order, partial(client.submit, pure=False, retries=RETRIES), ahead)
