"""Faults that stop a run, as opposed to problems in what was filled in.

A problem (``checks.problem.Problem``) is one line in a report and the run goes on. The exceptions here end a run
for one file; each carries the catalogue code and the facts that word its one line.
"""

from __future__ import annotations

from pathlib import PurePath


def shown(name: PurePath | str) -> str:
    r"""A file's name as it can be printed on one line: signs that steer a terminal are spelt out.

    >>> shown("two\nlines.xlsx")
    'two\\nlines.xlsx'
    """
    return "".join(sign if sign.isprintable() else ascii(sign)[1:-1] for sign in str(name))


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
    """The project's own schema or data contradict themselves: a fault of ours, never of the person's file."""
