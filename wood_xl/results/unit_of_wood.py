"""Sentences about one cord, for the unit of wood that the pages speak of: stacked cubic meters in metric seasons."""

from __future__ import annotations

from typing import Any

from wood_xl.reading_words import OnPages
from wood_xl.reasons import Ranged, Said, said
from wood_xl.schema.model import System, season_definition
from wood_xl.units import convert
from wood_xl.verdicts import Advice, Departs, Raise

OF_ONE = ("hours", "cash")  # of one unit of wood, in advice
AMOUNTS = ("cords", "all", "wanted")  # of wood, in what is said of a plan


def units_in_a_cord(system: System) -> float:
    """How many units of wood of the pages are one cord."""
    volume = season_definition().column("season.yearly_volume")
    return 1.0 if system == "us" else convert(1.0, volume.unit_in("us"), volume.unit_in("metric"))


def for_unit_of_wood(what: Any, system: System) -> Any:
    """What is said, with its amounts for the unit of wood of the pages."""
    if isinstance(what, tuple):
        return tuple(for_unit_of_wood(part, system) for part in what)
    if not isinstance(what, Said):
        return what
    facts = {slot: for_unit_of_wood(fact, system) for slot, fact in what.facts}
    units, is_metric = units_in_a_cord(system), system == "metric"
    if isinstance(what.id, Advice):
        facts |= {slot: _scaled(facts[slot], 1 / units) for slot in OF_ONE if slot in facts}
        facts["wood"] = OnPages.STACKED_METER if is_metric else OnPages.CORD
    elif isinstance(what.id, Departs | Raise):
        facts |= {slot: _scaled(facts[slot], units) for slot in AMOUNTS if slot in facts}
        is_one = f"{facts.get('all', facts.get('cords', 0.0)):.3g}" == "1"  # as the sentence tells it
        facts["woods"] = OnPages.STACKED_METERS if is_metric else OnPages.CORD if is_one else OnPages.CORDS
    return said(what.id, **facts)


def _scaled(number: float | Ranged, times: float) -> float | Ranged:
    if not isinstance(number, Ranged):
        return number * times
    low, high = (None if end is None else end * times for end in (number.low, number.high))
    return Ranged(number.value * times, low, high)
