"""Columns of a tally, which the definition describes once for all sizes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any


@dataclass(frozen=True)
class Classes:
    """Columns that each count what is of one size, with the size as their header.

    column: what they have in common, a column of the model, which knows this class.
    units: units that a size may be in.
    templates: for each system its unit, the first and last size, and the step between them.
    """

    column: Any
    units: tuple[str, ...]
    templates: dict[str, tuple[str, int, int, int]]

    def of(self, size: str) -> Any:
        """The column of one size, such as ``3 in``."""
        return replace(self.column, id=size, title=size)

    def in_template(self, system: str) -> list[str]:
        """The sizes that a template has columns for."""
        unit, first, last, step = self.templates[system]
        return [f"{size} {unit}" for size in range(first, last + 1, step)]
