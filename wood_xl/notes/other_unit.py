"""Numbers in the units of a column: which one they were most likely written in, and how to mend them if so."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable
from functools import cached_property

from wood_xl.data.load import value
from wood_xl.notes.problem import number_text
from wood_xl.pages import HowToMend
from wood_xl.reasons import Listing
from wood_xl.schema.model import Column, season_definition
from wood_xl.schema.words import phrase
from wood_xl.units import convert

Of = str | int | None  # what a value is of: a session by its name, else a row by its index, else an item


def in_unit(value: float, column: Column, unit: str) -> float:
    """A number of the definition in another of the column's units, with a hair's room for rounding.

    >>> in_unit(2.54, season_definition().column("cuts.diameter"), "in")
    1.0
    """
    if not unit or unit == column.unit or column.unit_kept:
        return value
    return float(f"{convert(value, column.unit, unit):.12g}")


def fitting_units(column: Column, unit: str, values: Collection[float], fits: Callable[[float], bool]) -> list[str]:
    """Permitted units, other than the one that is written, in which all of the values fit.

    fits: whether a value in the column's own unit does.

    >>> fitting_units(season_definition().column("cuts.diameter"), "in", [203.2, 304.8], lambda cm: 4 <= cm <= 90)
    ['mm']
    """
    if not unit or column.unit_kept:
        return []
    return [
        other
        for other in column.units
        if other != unit and all(fits(convert(one, other, column.unit)) for one in values)
    ]


class Beside:
    """The numbers of one column as they stand beside each other, to tell a unit that was taken for another.

    A unit is offered only where every value of a session, or of a row that is of none, leaves the usual range in the
    unit of the header, and exactly one other unit puts them with what else stands in the column.
    """

    def __init__(self, column: Column, unit: str, numbers: Iterable[tuple[Of, float]]) -> None:
        self._column, self._unit = column, unit
        self._of: dict[Of, list[float]] = defaultdict(list)
        for of, number in numbers:
            self._of[of].append(number)
        self._units: dict[Of, str | None] = {}

    @cached_property
    def whole(self) -> str | None:
        """The unit of the whole column, where it is another one: a header that was not changed."""
        return self._other(list({one for own in self._of.values() for one in own}))

    def unit_of(self, of: Of) -> str | None:
        """The unit that the values of a session, a row or an item were most likely written in."""
        if of not in self._units:
            self._units[of] = self._other(self._of[of])
        return self._units[of]

    def _other(self, values: Collection[float]) -> str | None:
        if not values or not self._column.plausible or any(map(self._is_usual, values)):
            return None
        fitting = fitting_units(self._column, self._unit, values, self._fits)
        return fitting[0] if len(fitting) == 1 else None

    def _is_usual(self, number: float) -> bool:
        lowest, highest = self._column.plausible or (number, number)
        return in_unit(lowest, self._column, self._unit) <= number <= in_unit(highest, self._column, self._unit)

    def _fits(self, number: float) -> bool:
        lowest, highest = self._reach
        return lowest <= number <= highest

    @cached_property
    def _reach(self) -> tuple[float, float]:
        """Usual values that lie with those of the column that are usual, in the column's own unit."""
        lowest, highest = self._column.plausible or (0.0, 0.0)
        usual = [one for own in self._of.values() for one in own if self._is_usual(one)]
        if not usual:
            return lowest, highest
        ends = (convert(end, self._unit, self._column.unit) for end in (min(usual), max(usual)))
        least, most = (
            end * value(f"gross.diameter_{which}") for end, which in zip(ends, ("lowest", "highest"), strict=True)
        )
        return max(lowest, least), min(highest, most)


def unit_advice(column: Column, unit: str, odd: Collection[float], other: str | None, *, is_whole: bool) -> str:
    """How to mend numbers that were most likely written in another unit; empty if there is none.

    is_whole: whether all numbers of the column were, so that its unit is what was not changed.

    >>> unit_advice(season_definition().column("cuts.diameter"), "in", [203.2], "mm", is_whole=False)
    'If 203.2 mm is meant, type 8 (the unit here is in).'
    """
    if other is None:
        return ""
    turned = [float(f"{convert(one, other, unit):.4g}") for one in odd]
    is_one = len(set(odd)) == 1
    to_do = phrase(HowToMend.TYPE, numbers=range_text(turned), unit=unit)
    if is_whole:
        is_item = season_definition().sheet(column.sheet).kind == "items"
        write = HowToMend.WRITE_UNIT if is_item else HowToMend.WRITE_HEADER
        header = phrase(write, title=column.title, unit=other)
        to_do = phrase(HowToMend.EITHER, one=to_do, other=header) if is_one else header
    meant = HowToMend.IF_IT_IS_MEANT if is_one else HowToMend.IF_THEY_ARE_MEANT
    return phrase(meant, numbers=range_text(odd), unit=other, to_do=to_do)


def range_text(values: Collection[float]) -> str:
    """One number, or the least and the most of several."""
    ends = dict.fromkeys((min(values), max(values)))
    return phrase(Listing.UP_TO, parts=tuple(map(number_text, ends)))
