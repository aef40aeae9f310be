"""A computed number with its interval, basis and reason."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from wood_xl.data.load import value
from wood_xl.draws.ensemble import Number, ends, nominal
from wood_xl.draws.inputs import by_doubt
from wood_xl.draws.normal import Array
from wood_xl.reasons import Reason, Said, said

Holds = bool | np.bool_ | npt.NDArray[np.bool_]  # by all members, or one if none differs
CANCELLED = 1e-6  # of the value: printed ends would show no width
TAKES_NONE, AS_RECORDED = said(Reason.TAKES_NONE), said(Reason.AS_RECORDED)
EXACT = (TAKES_NONE, AS_RECORDED)  # reasons of figures that are in no doubt


@dataclass(frozen=True, slots=True)
class Figure:
    """One number of the results.

    value: the number; None if not given.
    basis: how it was obtained; None if the column says so.
    low, high: interval; None if not given.
    reason: why the value, or else the interval, is not given; None if both are, or if the results schema gives the
        reason for the whole column, as for what was noted, counted or chosen.
    members: all members that the ends are read from; None if nothing in it is drawn.
    """

    value: float | None
    basis: Said | None = None
    low: float | None = None
    high: float | None = None
    reason: Said | None = None
    members: Array | None = field(default=None, repr=False, compare=False)

    @property
    def number(self) -> Number:
        """All members of a given figure, or its value if nothing is drawn."""
        if self.members is not None:
            return self.members
        if self.value is None:
            raise ValueError(f"not given: {self.why.id.key}")
        return self.value

    @property
    def why(self) -> Said:
        """Reason that it is not given."""
        return self.reason if isinstance(self.reason, Said) else said(Reason.NOT_KNOWN)

    def times(self, number: float) -> Figure:
        """The figure times a number, with its ends, which change places below 0."""
        ends = (self.high, self.low) if number < 0 else (self.low, self.high)
        value, low, high = (None if one is None else one * number for one in (self.value, *ends))
        members = None if self.members is None else self.members * number
        return Figure(value, self.basis, low, high, self.reason, members)

    def let_go(self) -> Figure:
        """The figure without its members, to save memory in very many rows."""
        return replace(self, members=None)


def drawn(number: Number, basis: Said | None = None, *, exact: Said | None = None) -> Figure:
    """A figure with the ends of its members.

    exact: why it has no ends if all members are equal.

    Members may be infinite, and so may an end: the caller then says why there is none.
    """
    middle = nominal(number)
    if np.ndim(number) == 0 or not float(np.ptp(number)) > CANCELLED * abs(middle):
        return Figure(middle, basis, reason=exact or (AS_RECORDED if middle else TAKES_NONE))
    members = np.asarray(number, dtype=np.float64)
    low, high = ends(members)
    if low == middle == high:  # as of wood that only the driest or wettest draws have
        same = said(Reason.SAME_IN_DRAWS, percent=value("interval.level"))
        return Figure(middle, basis, reason=same, members=members)
    # If every input leans to one side, as lives at the top of their range, the value would fall outside the ends.
    return Figure(middle, basis, min(low, middle), max(high, middle), members=members)


def is_of_unknown_doubt(figure: Figure) -> bool:
    """Whether a figure is given with a doubt of unknown size."""
    return bool(figure.value) and figure.members is None and figure.reason not in (None, *EXACT)


def with_draws(plain: Figure, number: Number) -> Figure:
    """A figure with the ends of its members added, unless it has a reason to have none."""
    if plain.value is None or plain.reason:
        return plain
    return replace(drawn(number, plain.basis), value=plain.value)


def sum_of(
    figures: Mapping[str, Figure],
    weights: Mapping[str, float],
    why: Callable[[str, Figure], Said] = lambda _, figure: figure.why,
    *,
    exact: Collection[Said] = EXACT,
) -> Figure:
    """Sum of figures, each times its weight, by all their members, so that shared doubt adds up or cancels.

    why: reason for the sum if a figure is not given or its doubt is unknown; by default that figure's own.
    """
    total: Number = 0.0
    unsure = None
    for name, weight in weights.items():
        figure = figures[name]
        if figure.value is None:
            return not_given(why(name, figure))
        total = total + weight * figure.number
        if figure.value and figure.members is None and figure.reason not in exact:
            unsure = unsure or why(name, figure)
    figure = drawn(total)
    return figure if unsure is None else Figure(figure.value, reason=unsure)


def with_more(figure: Figure, more: Number) -> Figure:
    """A figure plus an amount, by all members."""
    return sum_of({"own": figure, "more": drawn(more)}, {"own": 1.0, "more": 1.0})


def less(one: Figure, other: Figure) -> Figure:
    """One figure less another."""
    return sum_of({"one": one, "other": other}, {"one": 1.0, "other": -1.0})


def of_method(method: str, figure: Figure) -> Said:
    """Reason that a figure of a method is not given."""
    return said(Reason.OF_METHOD, method=method, why=figure.why)


def as_things_stand(what: Said, holds: Holds | None) -> Said:
    """A statement with the share of draws in which it holds; without one if it holds in all.

    holds: whether it holds in each member; None if the doubt is unknown.
    """
    if holds is None:
        return said(Reason.AS_THINGS_STAND, what=what)
    percent = percent_of_draws(holds)
    return what if percent == 100 else said(Reason.AS_THINGS_STAND_IN, what=what, percent=percent)


def percent_of_draws(holds: Holds) -> float:
    """Share of the draws in which something holds, in percent."""
    members = np.atleast_1d(holds)
    return 100 * float(np.mean(members[1:] if members.size > 1 else members))


class Row(dict[str, Any]):
    """A row of a results table, by the ids of its columns in ``results.schema.json``."""


def not_given(reason: Said | None) -> Figure:
    """A figure that is not given, with its reason."""
    return Figure(value=None, reason=reason)


def in_doubt(number: float, *, u_frac: float) -> Figure:
    """A figure of known relative uncertainty; its ends never reach 0.

    Source: how_sure_defaults, shared factors.

    >>> figure = in_doubt(500.0, u_frac=0.2)
    >>> round(figure.low), round(figure.high)
    (339, 737)
    """
    return drawn(number * by_doubt("alone", u_frac)).let_go()
