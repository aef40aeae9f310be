"""What the template tells about one column or item, in the units of that template."""

from __future__ import annotations

import math
from dataclasses import dataclass

from wood_xl.data.load import constant
from wood_xl.errors import DefinitionFault
from wood_xl.notes.other_unit import in_unit
from wood_xl.notes.problem import number_text
from wood_xl.pages import Entry
from wood_xl.schema.model import Column, season_definition
from wood_xl.schema.words import phrase, words

CONVERTED_DIGITS = 2  # an example or a usual value from another unit is given as a person would write it
BOUND_DIGITS = 3


@dataclass(frozen=True)
class Bounds:
    """What a number can be, in one unit."""

    low: float
    high: float
    low_excluded: bool

    @property
    def words(self) -> str:
        """The limits in words, for example ``over 0, up to 78.7``."""
        low, high = (number_text(_rounded(end, BOUND_DIGITS)) for end in (self.low, self.high))
        return phrase(Entry.OVER if self.low_excluded else Entry.RANGE, low=low, high=high)


def bounds(column: Column, unit: str) -> Bounds:
    """Limits of a number's column in one of its units."""
    lowest = column.exclusive_minimum if column.minimum is None else column.minimum
    if lowest is None or column.maximum is None:
        raise DefinitionFault(f"{column.ref}: a number needs a lowest and a highest value")
    low, high = in_unit(lowest, column, unit), in_unit(column.maximum, column, unit)
    return Bounds(low=low, high=high, low_excluded=column.minimum is None)


def must_text(column: Column) -> str:
    """Whether it must be filled in, or it or another."""
    sheet = season_definition().sheet(column.sheet)
    if sheet.has_in_one_of(column):
        titles = (tuple(sheet.column(name).title for name in one) for one in sheet.one_of)
        sets = tuple(phrase(Entry.BOTH, titles=both) for both in titles)
        return phrase(Entry.ONE_OF, sets=sets)
    return words(Entry.COMPULSORY if column.required else Entry.OPTIONAL)


def range_text(column: Column, unit: str, currency: str) -> str:
    """What is possible; empty for text."""
    if not column.is_number:
        return ""
    return phrase(Entry.POSSIBLE, range=bounds(column, unit).words, unit=_after(column.label(unit, currency)))


def usual_text(column: Column, unit: str, currency: str) -> str:
    """What is usual; empty where the definition does not say."""
    if column.plausible is None:
        return ""
    if unit == column.us and unit not in (column.metric, column.unit):
        ends = (in_unit(end, column, unit) for end in column.plausible)
        low, high = (number_text(round_(end)) for end, round_ in zip(ends, (_up, _down), strict=True))
    else:
        low, high = (_as_written(end, column, unit) for end in column.plausible)
    return phrase(Entry.USUAL, low=low, high=high, unit=_after(column.label(unit, currency)))


def _up(end: float) -> float:
    """The next number above that a person would name: of one digit, or with a 5 behind it.

    >>> _up(5.9), _up(1.57), _up(-22.0), _up(0.0)
    (6.0, 2.0, -20.0, 0.0)
    """
    if not end:
        return end
    step = 10.0 ** math.floor(math.log10(abs(end))) / 2
    return round(math.ceil(round(end / step, 6)) * step, 6)


def _down(end: float) -> float:
    return -_up(-end)


def example_text(column: Column, unit: str) -> str:
    """An example of what to type; empty where the definition has none for this unit."""
    if column.example is None or (column.unit_kept and unit != column.metric):
        return ""
    if column.us_example is not None and unit == column.us:
        example = number_text(column.us_example)
    else:
        example = column.example if isinstance(column.example, str) else _as_written(column.example, column, unit)
    return phrase(Entry.EXAMPLE, example=example)


def default_text(column: Column) -> str:
    """What is taken if it is left empty; empty where nothing is."""
    if column.default_from:
        stands_in = constant(column.default_from)
        if stands_in.unit != column.unit:
            raise DefinitionFault(f"{column.ref}: its default {column.default_from} is in {stands_in.unit!r}")
        return phrase(Entry.IF_EMPTY, default=f"{number_text(stands_in.value)}{_after(column.unit)}")
    if column.default is None:
        return ""
    shown = column.default if isinstance(column.default, str) else number_text(column.default)
    return phrase(Entry.IF_EMPTY, default=shown)


def units_text(column: Column, currency: str) -> str:
    """The units that the header may name instead; empty where there is no other."""
    if len(column.units) < 2:
        return ""
    return phrase(Entry.UNITS, units=tuple(column.label(unit, currency) for unit in column.units))


def within(limit: int, *parts: str) -> str:
    """The parts that fit one after the other into so many characters; never a part of one."""
    text = ""
    for part in parts:
        longer = f"{text} {part}" if text and part else text or part
        if len(longer) <= limit:
            text = longer
    return text


def _as_written(value: float, column: Column, unit: str) -> str:
    converted = in_unit(value, column, unit)
    return number_text(value if converted == value else _rounded(converted, CONVERTED_DIGITS))


def _rounded(value: float, digits: int) -> float:
    return float(f"{value:.{digits}g}")


def _after(label: str) -> str:
    return f" {label}" if label else ""
