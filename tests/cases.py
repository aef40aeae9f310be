"""Cases of formulas as data: read, computed, and held against what is printed or was worked out.

One file for each source; one case for each value or set of values. Numbers stand as text, with their unit, so that
their digits are known. The tolerance is half a unit of the last digit, plus what rounding of the inputs named in
``rounded`` can cause; ``within`` is another one, where a note says why. ``exact`` asks for agreement to the last
digits of a float. ``between`` holds two printed ends. ``disagrees`` gives the reason why a printed value does not
hold; such a case must fail.
"""

from __future__ import annotations

import importlib
import json
import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

from wood_xl import records

MORE_KEYS = {"known", "rounded", "exact", "within", "between", "times", "divide_by", "disagrees", "note"}
INCH, GALLON, CALORIE = Fraction("0.0254"), Fraction("3.785411784"), Fraction("4.184")
POUND, BTU_MJ = Fraction("0.45359237"), Fraction("0.00105505585262")
# Factor from each unit in the case files to the unit that the formulas use; all exact.
UNITS = {
    "": Fraction(1),
    **dict.fromkeys(("m", "m2", "m3", "L", "kg", "kcal", "kcal/min", "beats/min"), Fraction(1)),
    "in": INCH,
    "in2": INCH**2,
    "in3": INCH**3,
    "ft": 12 * INCH,
    "ft2": (12 * INCH) ** 2,
    "ft3": (12 * INCH) ** 3,
    "mL": Fraction(1, 1000),
    "gal": GALLON,
    "fl oz": GALLON / 128,
    "kJ": 1 / CALORIE,
    "kJ/min": 1 / CALORIE,
    "W": 60 / (1000 * CALORIE),
    "kcal/day": Fraction(1, 1440),
    "%": Fraction(1, 100),
    "hp": Fraction("0.7456998715822702"),
    **dict.fromkeys(("MJ", "MJ/kg", "kg/m3", "W/K", "K day"), Fraction(1)),
    "GJ": Fraction(1000),
    "kWh": Fraction(36, 10),
    "Btu": BTU_MJ,
    "MMBtu": 10**6 * BTU_MJ,
    "therm": 10**5 * BTU_MJ,
    "lb": POUND,
    "lb/ft3": POUND / (12 * INCH) ** 3,
    "Btu/lb": Fraction("0.002326"),
    "kWh/t": Fraction(36, 10000),
    "kWh/kg": Fraction(36, 10),
    "Btu/h/degF": 10**6 * BTU_MJ / 3600 * Fraction(9, 5),
    "degF day": Fraction(5, 9),
}
DURATION = re.compile(r"(?:(\d+) h)?(?: ?(\d+) min)?(?: ?(\d+) s)?")
HOURS = (Fraction(1), Fraction(1, 60), Fraction(1, 3600))
QUANTITY = re.compile(r"([+-]?\d{0,3}(?:,\d{3})+(?:\.\d+)?|[+-]?\d*\.?\d+)(?: (\S.*))?")


@dataclass(frozen=True)
class Printed:
    """A printed number: its value and half a unit of its last digit, in the formulas' unit."""

    value: float
    half_unit: float


def printed(text: str) -> Printed | None:
    """The number that a text prints, or None if it is not a number; times are in hours."""
    if re.fullmatch(r"\d+/\d+", text):
        return Printed(float(Fraction(text)), 1e-6)
    parts = DURATION.fullmatch(text)
    if text and parts is not None:
        told = [(int(part), hours) for part, hours in zip(parts.groups(), HOURS, strict=True) if part is not None]
        return Printed(float(sum(part * hours for part, hours in told)), float(told[-1][1] / 2))
    found = QUANTITY.fullmatch(text)
    if found is None:
        return None
    number, factor = Decimal(found[1].replace(",", "")), UNITS[found[2] or ""]
    exponent = number.as_tuple().exponent
    assert isinstance(exponent, int)
    half_unit = Fraction(1, 2) * Fraction(10) ** exponent * factor
    return Printed(float(Fraction(number) * factor), float(half_unit))


def read(text: str) -> Printed:
    number = printed(text)
    assert number is not None, f"{text!r} is not a number"
    return number


def argument(entry: Any) -> Any:
    """An input of a case as the formula takes it."""
    if isinstance(entry, list):
        return [argument(item) for item in entry]
    if isinstance(entry, dict):
        fields = {key: argument(item) for key, item in entry.items() if key != "record"}
        if "record" not in entry:
            return fields
        module, _, name = entry["record"].rpartition(".")
        home = importlib.import_module(f"wood_xl.{module}") if module else records
        return getattr(home, name)(**fields)
    if isinstance(entry, str):
        number = printed(entry)
        return entry if number is None else number.value
    return entry


def function(case: dict[str, Any]) -> Any:
    module, _, name = case["function"].rpartition(".")
    return getattr(importlib.import_module(f"wood_xl.{module}"), name)


def result(case: dict[str, Any], part: str, changed: dict[str, float] | None = None) -> float:
    """One part of what the formula gives: the result itself, a field of it (``kg.diesel``), or an item of a tuple."""
    arguments = {name: argument(entry) for name, entry in case["inputs"].items()} | (changed or {})
    outcome = function(case)(**arguments)
    if part.isdigit():
        outcome = outcome[int(part)]
    elif part != "value":
        name, _, key = part.partition(".")
        outcome = getattr(outcome, name)[key] if key else getattr(outcome, name)
    return float(outcome) * float(case.get("times", "1")) / float(case.get("divide_by", "1"))


def tolerance(case: dict[str, Any], part: str, number: Printed) -> float:
    """Half a unit of the last printed digit, plus what the rounding of inputs can cause."""
    if case.get("exact"):
        return 1e-12 * abs(number.value)
    if "within" in case:
        allowed = read(case["within"]).value
        return allowed * abs(number.value) if case["within"].endswith("%") else allowed
    middle = result(case, part)
    spread = 0.0
    for name in case.get("rounded", ()):
        given = read(case["inputs"][name])
        ends = (given.value - given.half_unit, given.value + given.half_unit)
        spread += max(abs(result(case, part, {name: end}) - middle) for end in ends)
    return number.half_unit * (1 + 1e-9) + spread  # a value right between two digits rounds to either


def files(folder: Path) -> list[dict[str, Any]]:
    """Every file of cases in a folder; each is named after its source."""
    found = [json.loads(path.read_text(encoding="utf-8")) for path in sorted(folder.glob("*.json"))]
    documents = [document for document in found if "cases" in document]
    assert {document["source"] for document in documents} <= {path.stem for path in folder.glob("*.json")}
    return documents


def cases(folder: Path) -> list[dict[str, Any]]:
    """Every case in a folder."""
    return [case for document in files(folder) for case in document["cases"]]


def require_agreement(case: dict[str, Any], values: dict[str, str]) -> None:
    """Each part of what the formula gives is the value that is printed or was worked out."""
    for part, text in values.items():
        number = read(text)
        allowed, off = tolerance(case, part, number), abs(result(case, part) - number.value)
        if "disagrees" in case:  # a slip of the print, with its reason: it must stay that small, and stay one
            assert allowed < off <= 2 * allowed, part
        else:
            assert off <= allowed, part
    for part, (lowest, highest) in case.get("between", {}).items():
        assert read(lowest).value <= result(case, part) <= read(highest).value, part


def require_names(folder: Path, keys: set[str]) -> None:
    """Each case has these keys, a name of its own that begins with its source, and a value."""
    names = []
    for document in files(folder):
        for case in document["cases"]:
            assert case.keys() - MORE_KEYS == keys, case["id"]
            assert case["id"].startswith(f"{document['source']}:")
            values = next(case[key] for key in ("printed", "expected") if key in case)
            assert values or case["between"]
            assert all(isinstance(text, str) for text in values.values())
            names.append(case["id"])
    assert len(set(names)) == len(names) > 50
