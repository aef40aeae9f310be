"""Scores many workbooks on all cores, in bounded memory, and remembers what is done.

Outcomes come in the order of the orders, whichever core finished first. A record beside the results says of each
workbook what it was, what came of it, and which results it has: the same command run again skips what is unchanged.
The record is taken for nothing more than a reminder: the files are what they are found to be.
"""

from __future__ import annotations

import hashlib
import json
import multiprocessing
import os
from collections.abc import Callable, Generator, Iterable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import asdict, replace
from functools import cache
from pathlib import Path
from typing import Any

import wood_xl
from wood_xl.errors import UnreadableWorkbook
from wood_xl.io.pack import write_atomically
from wood_xl.io.reader import read_workbook
from wood_xl.io.seal import seal_of, stored_seal
from wood_xl.notes.echo import NoResults, results_items
from wood_xl.scoring import NOTHING_WRITTEN, TO_MEND, WRITTEN, Order, Outcome, outcome_from_json, score_order

RECORD_NAME = ".wood_xl-scored.json"
WAITING_PER_CORE = 4  # orders handed out ahead, so that no core waits and few outcomes are held
SAVED_EVERY = 50
OWN_SUFFIXES = (".py", ".json", ".csv")
KNOWN_CODES = (WRITTEN, TO_MEND)

Row = dict[str, Any]


class Record:
    """What earlier runs made of each workbook."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._entries: dict[str, Row] = _read(path)
        self._unsaved_n = 0

    @property
    def is_new(self) -> bool:
        """Whether no run left a record here."""
        return not self._entries

    def unchanged(self, order: Order) -> Outcome | None:
        """What came of the same order before, if workbook, results and program are still the same."""
        entry = self._entries.get(str(order.path))
        if entry is None or entry["asked"] != _asked(order):
            return None
        read = _sha256(order.path)
        if entry["read"] != read or entry["written"] != _sha256(order.target) or not _are_results_of(read, order):
            return None
        try:
            outcome = outcome_from_json(entry["outcome"])
        except (LookupError, TypeError, AttributeError):  # written by a build that keeps other things
            return None
        return outcome if outcome.path == str(order.path) and outcome.code in KNOWN_CODES else None

    def with_leave(self, order: Order) -> Order:
        """The order, which may write over results of the same workbook that nobody changed since a run wrote them."""
        entry = self._entries.get(str(order.path))
        is_own = entry is not None and entry["asked"].get("target") == str(order.target)
        if entry is None or not is_own or entry["written"] != _sha256(order.target):
            return order
        return replace(order, may_replace=True)

    def add(self, order: Order, outcome: Outcome) -> None:
        """Remember an outcome; a file that could not be scored is tried again next time."""
        if outcome.code == NOTHING_WRITTEN:
            self._entries.pop(str(order.path), None)
            return
        self._entries[str(order.path)] = {
            "asked": _asked(order),
            "read": _sha256(order.path),
            "written": _sha256(order.target),
            "outcome": asdict(replace(outcome, report=(), errors=())),  # names and cells stand in what is told
        }
        self._unsaved_n += 1
        if self._unsaved_n >= SAVED_EVERY:
            self.save()

    def save(self) -> None:
        """Write the record as a whole."""
        if self._unsaved_n:
            text = json.dumps(self._entries, ensure_ascii=False, sort_keys=True, indent=0)
            write_atomically(self._path, text.encode("utf-8"), replace=True)
            self._unsaved_n = 0


def score_many(orders: Sequence[Order], record: Record, *, cores: int) -> Generator[tuple[Outcome, bool]]:
    """Outcome of each order, in their order, and whether it was known from an earlier run."""
    try:
        if cores < 2:
            for order in orders:
                known = record.unchanged(order)
                yield _kept(order, known or score_order(record.with_leave(order)), record), known is not None
        else:
            yield from _side_by_side(orders, record, cores)
    finally:
        record.save()


@contextmanager
def side_by_side(cores: int) -> Iterator[Callable[[Callable[[Path], Any], list[Path]], Iterable[Any]]]:
    """A function like ``map`` that works on so many cores, in the order of what it is given."""
    if cores < 2:
        yield map
        return
    pool = ProcessPoolExecutor(cores, mp_context=multiprocessing.get_context("spawn"))
    try:
        yield pool.map
    finally:
        pool.shutdown(cancel_futures=True)


def _side_by_side(orders: Sequence[Order], record: Record, cores: int) -> Iterator[tuple[Outcome, bool]]:
    # A fresh interpreter in each process: nothing of this one's state or threads goes with it, on any system.
    pool = ProcessPoolExecutor(cores, mp_context=multiprocessing.get_context("spawn"))
    waiting: list[tuple[Order, Outcome | Future[Outcome]]] = []
    try:
        for order in orders:
            waiting.append((order, record.unchanged(order) or pool.submit(score_order, record.with_leave(order))))
            if len(waiting) > WAITING_PER_CORE * cores:
                yield _next(waiting, record)
        while waiting:
            yield _next(waiting, record)
    finally:
        pool.shutdown(cancel_futures=True)


def _next(waiting: list[tuple[Order, Outcome | Future[Outcome]]], record: Record) -> tuple[Outcome, bool]:
    order, made = waiting.pop(0)
    if isinstance(made, Outcome):
        return made, True
    return _kept(order, made.result(), record), False


def _kept(order: Order, outcome: Outcome, record: Record) -> Outcome:
    record.add(order, outcome)
    return outcome


def _asked(order: Order) -> Row:
    """What besides the workbook decides on the results."""
    return {"build": build(), "system": order.system, "is_shared": order.is_shared, "target": str(order.target)}


@cache
def build() -> str:
    """Hash of the program's own files: a version that is being worked on has many builds."""
    folder, digest = Path(wood_xl.__file__).parent, hashlib.sha256()
    for path in sorted(path for path in folder.rglob("*") if path.suffix in OWN_SUFFIXES):
        digest.update(path.relative_to(folder).as_posix().encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()


def _are_results_of(read: str, order: Order) -> bool:
    """Whether the file that is there holds results of a workbook with that hash, whole as they were written."""
    try:
        book = read_workbook(order.target)
        provenance = results_items(book, "provenance")
    except (UnreadableWorkbook, NoResults, LookupError, ValueError):
        return False
    return provenance["input_sha256"] == read and stored_seal(book) == seal_of(book)


def _sha256(path: Path) -> str:
    """Hash of a file; empty if it cannot be read."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return ""


def _read(path: Path) -> dict[str, Row]:
    try:
        entries = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):  # broken, or nested without end
        return {}
    wanted = {"asked", "read", "written", "outcome"}
    if not isinstance(entries, dict):
        return {}
    return {key: entry for key, entry in entries.items() if isinstance(entry, dict) and entry.keys() == wanted}


def cores() -> int:
    """How many processors this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
