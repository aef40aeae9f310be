"""Tells on a terminal which step a run is at, on one line that goes when the step is over; a pipe gets nothing."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from wood_xl.errors import shown
from wood_xl.page_texts import RunStep
from wood_xl.reasons import Word
from wood_xl.schema.words import phrase

Each = Callable[[Callable[[Path], Any], list[Path]], Iterable[Any]]

LONGEST = 78  # a line that a terminal wraps cannot be taken back
_lines: list[str] = []  # of the steps that are open, the inner ones last


@contextmanager
def step(at: Word, **facts: object) -> Iterator[None]:
    """Tell that a step goes on, until it is over; then the one around it is told again."""
    if not is_watched():
        yield
        return
    told = phrase(at, **{name: shown(str(fact)) for name, fact in facts.items()})
    _lines.append(told)
    _show()
    try:
        yield
    finally:
        _lines.pop()
        _show()


def counted(each: Each) -> Each:
    """The same way to work on many files, which also tells how many are done."""

    def told(work: Callable[[Path], Any], given: list[Path]) -> Iterator[Any]:
        made = iter(each(work, given))
        for number in range(1, len(given) + 1):
            with step(RunStep.COUNTED, number=number, all=len(given)):
                found = next(made)
            yield found

    return told


def is_watched() -> bool:
    """Whether somebody looks on: of several processes only the first tells."""
    if sys.stderr is None or not sys.stderr.isatty():  # there is none where nothing could be seen
        return False
    from multiprocessing import parent_process

    return parent_process() is None


def _show() -> None:
    line, width = _lines[-1] if _lines else "", LONGEST
    with suppress(OSError, ValueError):
        width = min(width, max(os.get_terminal_size(sys.stderr.fileno()).columns - 1, 0) or LONGEST)
    told = line if len(line) <= width else f"{line[: width - 3]}..."
    sys.stderr.write(f"\r{' ' * width}\r{told}")
    sys.stderr.flush()
