"""Any fault of a run on one file becomes one line of the report; no traceback reaches the person."""

from __future__ import annotations

import errno
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from wood_xl.errors import DefinitionFault, WoodXlError, shown

if TYPE_CHECKING:
    from wood_xl.notes.problem import Problem

Made = TypeVar("Made")
FULL = (errno.ENOSPC, errno.EDQUOT)
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
    except BrokenPipeError:  # whoever reads the lines has read enough, as head does: no fault of the file
        raise
    except OSError as fault:
        if fault.errno in FULL:  # outputs have their own word for it
            return None, problem("temporary-full", None, folder=shown(tempfile.gettempdir()))
        found = fault.strerror or type(fault).__name__
        return None, problem("file-system", None, file=shown(path), found=found)
    except OURS as fault:
        return None, problem("ours-not-expected", file=shown(path), found=f"{type(fault).__name__}: {fault}")
