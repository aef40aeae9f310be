"""A computed number with what must be said beside it."""

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

Holds = bool | np.bool_ | npt.NDArray[np.bool_]  # of all members: one where no member differs
CANCELLED = 1e-6  # of the value: what is told of ends would show no width
TAKES_NONE, AS_RECORDED = said(Reason.TAKES_NONE), said(Reason.AS_RECORDED)
EXACT = (TAKES_NONE, AS_RECORDED)  # why a figure is in no doubt


@dataclass(frozen=True, slots=True)
class Figure:
    """One number of the results.

    value: the number; None if it cannot be given.
    basis: how it was come by; None where the column says it all.
    low, high: interval; None where none can be given.
    reason: why the value, or else the interval, is not given; None if both are, or if that holds for all figures of
        its kind, as of what was noted, counted or chosen: the definition of the results says it then.
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
        """All members of a figure that is given, or its value where nothing is drawn."""
        if self.members is not None:
            return self.members
        if self.value is None:
            raise ValueError(f"not given: {self.why.id.key}")
        return self.value

    @property
    def why(self) -> Said:
        """Why it is not given."""
        return self.reason if isinstance(self.reason, Said) else said(Reason.NOT_KNOWN)

    def times(self, number: float) -> Figure:
        """The same for so many times as much, with its ends; below 0 times they change places."""
        ends = (self.high, self.low) if number < 0 else (self.low, self.high)
        value, low, high = (None if one is None else one * number for one in (self.value, *ends))
        members = None if self.members is None else self.members * number
        return Figure(value, self.basis, low, high, self.reason, members)

    def let_go(self) -> Figure:
        """The same without its members, for one of very many rows."""
        return replace(self, members=None)


def drawn(number: Number, basis: Said | None = None, *, exact: Said | None = None) -> Figure:
    """A figure with the ends of its members.

    exact: why it has no ends where no member differs from another.

    A figure that some members lack is infinite there, and so may an end be: whoever tells it says why there is none.
    """
    middle = nominal(number)
    if np.ndim(number) == 0 or not float(np.ptp(number)) > CANCELLED * abs(middle):
        return Figure(middle, basis, reason=exact or (AS_RECORDED if middle else TAKES_NONE))
    members = np.asarray(number, dtype=np.float64)
    low, high = ends(members)
    if low == middle == high:  # wood that only the driest or wettest draws have
        same = said(Reason.SAME_IN_DRAWS, percent=value("interval.level"))
        return Figure(middle, basis, reason=same, members=members)
    # What leans to one side in every input, as lives at the top of their range, would leave its own value outside.
    return Figure(middle, basis, min(low, middle), max(high, middle), members=members)


def is_of_unknown_doubt(figure: Figure) -> bool:
    """Whether a figure is given, is in doubt, and nothing is known of how much."""
    return bool(figure.value) and figure.members is None and figure.reason not in (None, *EXACT)


def with_draws(plain: Figure, number: Number) -> Figure:
    """A figure that was told already, with the ends of its members; a reason that it has none stays."""
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
    """Sum of figures, each times its weight, by all their members: what two of them share cancels where it should.

    why: of one that is not given, or of which nothing is known of its doubt; its own if it need not be named.
    """
    sum_so_far: Number = 0.0
    unsure = None
    for name, weight in weights.items():
        figure = figures[name]
        if figure.value is None:
            return not_given(why(name, figure))
        sum_so_far = sum_so_far + weight * figure.number
        if figure.value and figure.members is None and figure.reason not in exact:
            unsure = unsure or why(name, figure)
    found = drawn(sum_so_far)
    return found if unsure is None else Figure(found.value, reason=unsure)


def with_more(figure: Figure, more: Number) -> Figure:
    """A figure with an amount added in all its members."""
    return sum_of({"own": figure, "more": drawn(more)}, {"own": 1.0, "more": 1.0})


def less(one: Figure, other: Figure) -> Figure:
    """One figure without another."""
    return sum_of({"one": one, "other": other}, {"one": 1.0, "other": -1.0})


def of_method(method: str, figure: Figure) -> Said:
    """Why a figure of a method is not given."""
    return said(Reason.OF_METHOD, method=method, why=figure.why)


def as_things_stand(what: Said, holds: Holds | None) -> Said:
    """What is so as things stand, and in how many of the draws; flat only where it is so in all of them.

    holds: whether it is so in each member; None where nothing is known of the doubt.
    """
    if holds is None:
        return said(Reason.AS_THINGS_STAND, what=what)
    percent = percent_of_draws(holds)
    return what if percent == 100 else said(Reason.AS_THINGS_STAND_IN, what=what, percent=percent)


def percent_of_draws(holds: Holds) -> float:
    """Share of the draws in which something is so; where no member differs, all or none."""
    members = np.atleast_1d(holds)
    return 100 * float(np.mean(members[1:] if members.size > 1 else members))


class Row(dict[str, Any]):
    """A row of a table of the results, by the ids of the columns that ``results.schema.json`` gives the table."""


def not_given(reason: Said | None) -> Figure:
    """A figure that cannot be given.

    Source: wood_xl_definitions, a figure that cannot be given carries its reason.

    >>> from wood_xl.reasons import Reason, said
    >>> not_given(said(Reason.NO_SESSION)).value is None
    True
    """
    return Figure(value=None, reason=reason)


def in_doubt(number: float, *, u_frac: float) -> Figure:
    """A figure whose relative uncertainty is known: its ends never reach 0.

    Source: how_sure_defaults, ``interval.level``, shared factors.

    >>> figure = in_doubt(500.0, u_frac=0.2)
    >>> round(figure.low), round(figure.high)
    (339, 737)
    """
    return drawn(number * by_doubt("alone", u_frac)).let_go()
