"""Turns any error of the work on one file into one line of the report; no traceback reaches the person."""

from __future__ import annotations

import errno
import signal
import tempfile
import threading
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from wood_xl.errors import DefinitionFault, UnreadableWorkbook, WoodXlError, shown
from wood_xl.io.temporary import all_temporary

if TYPE_CHECKING:
    from wood_xl.notes.problem import Problem

Made = TypeVar("Made")
PACKAGE = Path(__file__).parent
FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
OURS = (
    DefinitionFault,
    ArithmeticError,
    AttributeError,
    LookupError,
    RuntimeError,
    TypeError,
    ValueError,
    Warning,  # if warnings are raised as errors
)


# Processor time for one file. A small file takes a few seconds at most, a heart trace of half a million rows a
# minute; this leaves enough for a machine ten times as slow.
MOST_SECONDS = 120.0
SECONDS_A_FURTHER_MB = 60.0
BYTES_IN_MB = 1_000_000
AGAIN_SECONDS = 5.0  # repeats the signal, in case a library swallows the first


class _TooMuchWork(Exception):
    """Raised at any point of the work when its limit is reached."""


def guarded(path: Path, work: Callable[[], Made], *, is_limited: bool = False) -> tuple[Made | None, Problem | None]:
    """The result of the work on one file, or the problem that ended it.

    is_limited: end the work if it takes more processor time than any sound file of that size.
    """
    from wood_xl.notes.problem import problem

    try:
        with _limited_work(path) if is_limited else nullcontext():
            return work(), None
    except WoodXlError as fault:
        return None, problem(fault.code, None, **fault.facts)
    except BrokenPipeError:  # the reader of the output, such as head, has stopped: no fault of the file
        raise
    except (OSError, MemoryError, ImportError) as fault:
        return None, _of_the_machine(path, fault)
    except OURS as fault:
        found = f"{type(fault).__name__}: {fault}; {_place_of(fault)}"
        return None, problem("ours-not-expected", file=shown(path), found=found)


def _place_of(fault: BaseException) -> str:
    """File and line of this package at which an error was raised or passed, for a report of the fault."""
    frames = traceback.extract_tb(fault.__traceback__)
    own = [one for one in frames if Path(one.filename).is_relative_to(PACKAGE) and one.filename != __file__]
    last = (own or frames)[-1]
    return f"{Path(last.filename).name}, line {last.lineno}"


def _of_the_machine(path: Path, fault: OSError | MemoryError | ImportError) -> Problem:
    """The problem for an error of the machine, not of the file or this program."""
    from wood_xl.notes.problem import problem

    if isinstance(fault, MemoryError):
        return problem("memory-full", None, file=shown(path))
    if isinstance(fault, ImportError):
        return problem("library-not-loaded", None, found=shown(str(fault)))
    named = shown(fault.filename) if isinstance(fault.filename, str) else ""
    is_temporary = not named or named.startswith(shown(tempfile.gettempdir()))
    if fault.errno in FULL and is_temporary:  # outputs have their own message
        return problem("temporary-full", None, folder=shown(all_temporary()))
    if isinstance(fault, FileExistsError) and named:  # outputs have their own message
        return problem("output-is-file", None, file=named)
    found = fault.strerror or type(fault).__name__
    return problem("file-system", None, file=named or shown(path), found=found)


@contextmanager
def _limited_work(path: Path) -> Iterator[None]:
    """End work that takes too long as a fault of the file, for whatever no other limit caught.

    Only the main thread can have a timer, and not on every system.
    """
    has_timer = hasattr(signal, "setitimer") and threading.current_thread() is threading.main_thread()
    if not has_timer or signal.getitimer(signal.ITIMER_PROF)[0]:  # already inside limited work
        yield
        return
    size = path.stat().st_size if path.is_file() else 0
    seconds = MOST_SECONDS + SECONDS_A_FURTHER_MB * max(0.0, size / BYTES_IN_MB - 1)

    def end(*_: object) -> None:
        raise _TooMuchWork

    before = signal.signal(signal.SIGPROF, end)
    signal.setitimer(signal.ITIMER_PROF, seconds, AGAIN_SECONDS)
    try:
        yield
    except _TooMuchWork:
        facts = {"file": shown(path.name), "expected": f"{seconds:.0f}"}
        raise UnreadableWorkbook("file-too-much-work", **facts) from None
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)
