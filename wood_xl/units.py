"""Converts between the units that the definitions permit.

It takes only labels of the definitions: text from a cell is compared with them, never parsed.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from typing import Any

from wood_xl.schema.model import System, schema_document, season_definition

NO_MEASURE = ("x-comment", "zero", "alone")


@cache
def _units() -> dict[str, Any]:
    return schema_document("units.json")


@cache
def measures() -> Mapping[str, str]:
    """What each unit measures; a unit without conversions measures itself."""
    units = _units()
    by_label = {label: measure for measure in units.keys() - set(NO_MEASURE) for label in units[measure]}
    return {**by_label, **{label: label for label in units["alone"]}}


@cache
def scale_and_offset(source: str, target: str) -> tuple[float, float]:
    """Scale and offset such that ``target value = scale * source value + offset``, rounded once from exact fractions.

    Errors: KeyError if a label is unknown; ValueError if the units measure different things.
    """
    measure = measures()[source]
    if measure != measures()[target]:
        raise ValueError(f"no conversion between {source!r} and {target!r}")
    if source == target:
        return 1.0, 0.0
    units = _units()
    of_source, of_target = (_fraction(units[measure][label]) for label in (source, target))
    zeros = [_fraction(units["zero"].get(label, "0")) for label in (source, target)]
    return float(of_source / of_target), float((zeros[0] - zeros[1]) / of_target)


def _fraction(text: str) -> Fraction:
    above, *below = map(Fraction, text.split(" / "))
    return above / below[0] if below else above


def convert(value: float, source: str, target: str) -> float:
    """The value in another unit.

    Errors: KeyError, ValueError as ``scale_and_offset``.
    """
    if source == target:
        return value
    scale, offset = scale_and_offset(source, target)
    return value * scale + offset


def units_in_a_cord(system: System) -> float:
    """One cord in the unit of volume of a system: 1 cord, or stacked cubic meters."""
    volume = season_definition().column("season.yearly_volume")
    return 1.0 if system == "us" else convert(1.0, volume.unit_in("us"), volume.unit_in("metric"))
