"""Numbers in the units of a column: which one they were most likely written in, and how to mend them if so."""

from __future__ import annotations

from collections.abc import Collection

from wood_xl.notes.problem import number_text
from wood_xl.pages import HowToMend
from wood_xl.reasons import Listing
from wood_xl.schema.model import Column, season_definition
from wood_xl.schema.words import phrase
from wood_xl.units import convert


def in_unit(value: float, column: Column, unit: str) -> float:
    """A number of the definition in another of the column's units, with a hair's room for rounding.

    >>> in_unit(2.54, season_definition().column("cuts.diameter"), "in")
    1.0
    """
    if not unit or unit == column.unit or column.unit_kept:
        return value
    return float(f"{convert(value, column.unit, unit):.12g}")


def other_unit(column: Column, unit: str, values: Collection[float]) -> str | None:
    """The first permitted unit, other than the one that is written, in which all of the values would be usual.

    >>> other_unit(season_definition().column("cuts.diameter"), "in", [203.2, 304.8])
    'mm'
    """
    if not column.plausible or not unit or column.unit_kept:
        return None
    lowest, highest = column.plausible
    for other in column.units:
        if other != unit and all(lowest <= convert(value, other, column.unit) <= highest for value in values):
            return other
    return None


def unit_advice(column: Column, unit: str, odd: Collection[float], whole: str | None) -> str:
    """How to mend numbers that would be usual in another unit; empty if they would not be.

    If all numbers of the column would be, its unit is what was not changed; else they are single slips.

    >>> unit_advice(season_definition().column("cuts.diameter"), "in", [203.2], None)
    'If 203.2 mm is meant, type 8.'
    """
    other = whole or other_unit(column, unit, odd)
    if other is None:
        return ""
    turned = [float(f"{convert(value, other, unit):.4g}") for value in odd]
    is_one = len(set(odd)) == 1
    to_do = phrase(HowToMend.TYPE, numbers=range_text(turned))
    if whole is not None:
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
