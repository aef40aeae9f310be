"""Any fault of a run on one file becomes one line of the report; no traceback reaches the person."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from wood_xl.errors import DefinitionFault, WoodXlError

if TYPE_CHECKING:
    from wood_xl.notes.problem import Problem

Made = TypeVar("Made")
OURS = (
    DefinitionFault,
    ArithmeticError,
    AttributeError,
    LookupError,
    MemoryError,
    RuntimeError,
    TypeError,
    ValueError,
)


def guarded(path: Path, work: Callable[[], Made]) -> tuple[Made | None, Problem | None]:
    """What the work on one file gives, or the problem that ended it."""
    from wood_xl.notes.problem import problem

    try:
        return work(), None
    except WoodXlError as fault:
        return None, problem(fault.code, None, **fault.facts)
    except OSError as fault:
        found = fault.strerror or type(fault).__name__
        return None, problem("file-system", None, file=str(path), found=found)
    except OURS as fault:
        return None, problem("ours-not-expected", file=str(path), found=f"{type(fault).__name__}: {fault}")
