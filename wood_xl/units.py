"""Conversion between the units that the definitions permit.

A label (``fl oz``, ``per gal``, ``degF``) is what the person sees; each label has one expression in the words of
the unit library. Only labels from the definitions get here: text from a cell is compared with them, never parsed.
This module alone imports pint, and only when a conversion is first asked for.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pint import UnitRegistry

# Label -> expression in the words of data/units.txt. None: no conversion exists or is needed.
EXPRESSIONS: dict[str, str | None] = {
    "mm": "millimeter",
    "cm": "centimeter",
    "m": "meter",
    "in": "inch",
    "ft": "foot",
    "m2": "meter ** 2",
    "ft2": "foot ** 2",
    "m3": "meter ** 3",
    "ft3": "foot ** 3",
    "stacked m3": "meter ** 3",
    "cord": "cord",
    "mL": "milliliter",
    "L": "liter",
    "fl oz": "fluid_ounce",
    "qt": "quart",
    "gal": "gallon",
    "g": "gram",
    "kg": "kilogram",
    "lb": "pound",
    "s": "second",
    "min": "minute",
    "h": "hour",
    "kcal": "kilocalorie_th",
    "kJ": "kilojoule",
    "MJ": "1e6 * joule",
    "GJ": "1e9 * joule",
    "million Btu": "1e6 * btu_it",
    "Wh": "watt * hour",
    "kWh": "kilowatt * hour",
    "therm": "therm",
    "W": "watt",
    "kW": "kilowatt",
    "hp": "horsepower",
    "kg/m3": "kilogram / meter ** 3",
    "lb/ft3": "pound / foot ** 3",
    "kg/kWh": "kilogram / (kilowatt * hour)",
    "g/kWh": "gram / (kilowatt * hour)",
    "lb/MWh": "pound / (1e3 * kilowatt * hour)",
    "km/h": "kilometer / hour",
    "m/s": "meter / second",
    "mph": "mile / hour",
    "m/s2": "meter / second ** 2",
    "degC": "degree_Celsius",
    "degF": "degree_Fahrenheit",
    "K day": "kelvin * day",
    "degF day": "5 / 9 * kelvin * day",
    "W/K": "watt / kelvin",
    "Btu/h/degF": "btu_it / hour / (5 / 9 * kelvin)",
    "per h": "1 / hour",
    "per cord": "1 / cord",
    "per stacked m3": "1 / meter ** 3",
    "per L": "1 / liter",
    "per gal": "1 / gallon",
    "per qt": "1 / quart",
    "per kWh": "1 / (kilowatt * hour)",
    "per therm": "1 / therm",
    "%": None,
    "years": None,
    "days": None,
    "months": None,
    "beats/min": None,
    "mL/kg/min": None,
    "dB(A)": None,
    "money": None,
}


@cache
def _registry() -> UnitRegistry[Any]:
    import pint

    definitions = files("wood_xl.data").joinpath("units.txt").read_text(encoding="utf-8")
    return pint.UnitRegistry(definitions.splitlines(), cache_folder=None)


@cache
def scale_and_offset(source: str, target: str) -> tuple[float, float]:
    """Scale and offset such that ``target value = scale * source value + offset``.

    Errors: KeyError if a label is not known; ValueError if the two do not measure the same thing.
    """
    if source == target and source in EXPRESSIONS:
        return 1.0, 0.0
    source_words, target_words = EXPRESSIONS[source], EXPRESSIONS[target]
    if source_words is None or target_words is None:
        raise ValueError(f"no conversion between {source!r} and {target!r}")
    import pint

    registry = _registry()
    try:
        if "degree" in source_words:
            zero = registry.Quantity(0.0, source_words).to(target_words).magnitude
            one = registry.Quantity(1.0, source_words).to(target_words).magnitude
            return float(one - zero), float(zero)
        ratio = registry(source_words) / registry(target_words)  # an expression may hold a number of its own
        return float(ratio.to("dimensionless").magnitude), 0.0
    except pint.DimensionalityError as error:
        raise ValueError(f"no conversion between {source!r} and {target!r}") from error


def convert(value: float, source: str, target: str) -> float:
    """The value in another unit.

    Errors: KeyError, ValueError as ``scale_and_offset``.
    """
    if source == target:
        return value
    scale, offset = scale_and_offset(source, target)
    return value * scale + offset
