"""A computed number with what must be said beside it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields
from statistics import NormalDist
from typing import Any, ClassVar

from wood_xl.arguments import require_not_negative
from wood_xl.data.load import value as constant_value
from wood_xl.reasons import Reason, Said, said


@dataclass(frozen=True, slots=True)
class Figure:
    """One number of the results.

    value: the number; None if it cannot be given.
    basis: how it was come by; None where the column says it all.
    low, high: interval; None where none can be given.
    reason: why the value, or else the interval, is not given; None if both are, or if that holds for all figures of
        its kind, as of what was noted, counted or chosen: the definition of the results says it then.
    """

    value: float | None
    basis: Said | None = None
    low: float | None = None
    high: float | None = None
    reason: Said | None = None

    @property
    def why(self) -> Said:
        """Why it is not given."""
        return self.reason if isinstance(self.reason, Said) else said(Reason.NOT_KNOWN)

    def times(self, number: float) -> Figure:
        """The same for so many times as much, with its ends."""
        value, low, high = (None if one is None else one * number for one in (self.value, self.low, self.high))
        return Figure(value, self.basis, low, high, self.reason)


@dataclass(frozen=True, eq=False)
class TableRow:
    """A row of a table of the results: its fields are the columns that ``results.schema.json`` gives the table."""

    table: ClassVar[str]

    def figure_of(self, column: str) -> Figure:
        """The figure of a column that goes by its id."""
        found: Figure = getattr(self, column)
        return found


def cells_of(row: TableRow | Mapping[str, Any]) -> Mapping[str, Any]:
    """Cells of a row by column."""
    if isinstance(row, TableRow):
        return {part.name: getattr(row, part.name) for part in fields(row)}
    return row


def not_given(reason: Said | None) -> Figure:
    """A figure that cannot be given.

    reason: why.

    Returns without a value.

    Source: wood_xl_definitions, a figure that cannot be given carries its reason.

    >>> from wood_xl.reasons import Reason, said
    >>> not_given(said(Reason.NO_SESSION)).value is None
    True
    """
    return Figure(value=None, reason=reason)


def in_doubt(number: float, *, u_frac: float) -> Figure:
    """A figure whose relative uncertainty is known, by the log: its ends never reach 0.

        number * exp(-/+ z s),  s^2 = ln(1 + u^2)

    number: the number. Above 0.

    Returns with its interval.

    Errors: ValueError if the uncertainty is below 0.
    Source: how_sure_defaults, ``interval.level``, shared factors.

    >>> figure = in_doubt(500.0, u_frac=0.2)
    >>> round(figure.low), round(figure.high)
    (339, 737)
    """
    require_not_negative(u_frac=u_frac)
    upper = (1 + constant_value("interval.level") / 100) / 2
    factor = math.exp(NormalDist().inv_cdf(upper) * math.sqrt(math.log1p(u_frac**2)))
    return Figure(number, None, number / factor, number * factor)
