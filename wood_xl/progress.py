"""Shows the current step on a terminal, on one line that disappears after it; a pipe gets nothing."""

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

LONGEST = 78  # a wrapped line cannot be erased
_lines: list[str] = []  # of the open steps, the inner ones last


@contextmanager
def step(at: Word, **facts: object) -> Iterator[None]:
    """Show a step while it lasts, then the one around it again."""
    if not is_watched():
        yield
        return
    _lines.append(phrase(at, **{name: shown(str(fact)) for name, fact in facts.items()}))
    _show()
    try:
        yield
    finally:
        _lines.pop()
        _show()


def counted(each: Each) -> Each:
    """The same ``map``, which also shows how many files are done."""

    def counting(work: Callable[[Path], Any], given: list[Path]) -> Iterator[Any]:
        made = iter(each(work, given))
        for number in range(1, len(given) + 1):
            with step(RunStep.COUNTED, number=number, all=len(given)):
                result = next(made)
            yield result

    return counting


def is_watched() -> bool:
    """Whether this is the main process and runs on a terminal."""
    if sys.stderr is None or not sys.stderr.isatty():  # None in a program without a console
        return False
    from multiprocessing import parent_process

    return parent_process() is None


def _show() -> None:
    line, width = _lines[-1] if _lines else "", LONGEST
    with suppress(OSError, ValueError):
        width = min(width, max(os.get_terminal_size(sys.stderr.fileno()).columns - 1, 0) or LONGEST)
    line = line if len(line) <= width else f"{line[: width - 3]}..."
    sys.stderr.write(f"\r{' ' * width}\r{line}")
    sys.stderr.flush()
