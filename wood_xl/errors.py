"""Exceptions that end the work on one file.

Each carries a code of ``notes/catalogue.json`` and the facts for its line. A fault in the notes is a
``notes.problem.Problem`` instead: one line of the report, and the work goes on.
"""

from __future__ import annotations

from pathlib import PurePath


def shown(name: PurePath | str) -> str:
    r"""A file name on one printable line: control characters are escaped.

    >>> shown("two\nlines.xlsx")
    'two\\nlines.xlsx'
    """
    return "".join(char if char.isprintable() else ascii(char)[1:-1] for char in str(name))


class WoodXlError(Exception):
    """Base of the package's own exceptions."""

    def __init__(self, code: str, **facts: str) -> None:
        super().__init__(code)
        self.code = code
        self.facts = facts


class UnreadableWorkbook(WoodXlError):
    """The file cannot be read as a filled workbook."""


class OutputNotWritable(WoodXlError):
    """A file cannot be written where it was asked for."""


class DefinitionFault(Exception):
    """The project's own schema or data contradict themselves; never a fault of the person's file."""
