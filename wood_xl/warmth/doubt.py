"""How sure mass and heat are: draws of what was not measured, alike wherever they enter, so that they cancel there.

What is written is taken as it stands: no source here says how far a moisture meter or a plate on a stove is off.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

import numpy as np

from wood_xl.data.load import constant, value
from wood_xl.draws.ensemble import Number
from wood_xl.draws.figure import Figure, drawn
from wood_xl.draws.inputs import by_doubt, evenly
from wood_xl.draws.normal import Array
from wood_xl.hours.common import TAPE, TAPE_POWERS, power_of_fraction, quantities_of, usual_fraction
from wood_xl.hours.methods import MethodTotals
from wood_xl.ids import Input
from wood_xl.reasons import Reason, Said, said
from wood_xl.records import Season
from wood_xl.wood.moisture import WATER_KG_PER_M3

SURE: Array = np.ones(1)  # what is in no doubt, relative to its value
AS_WRITTEN, NO_RANGE = said(Reason.NO_DOUBT_ADDED), said(Reason.NO_RANGE)


def shown(number: Number, basis: Said | None = None) -> Figure:
    """A figure with its ends; without any where all behind it is written."""
    return drawn(number, basis, exact=AS_WRITTEN)


def worked_out(formula: Callable[..., Number], *parts: Figure, basis: Said | None = None) -> Figure:
    """A figure by a formula of others, by all their members; the first that is not given says why."""
    missing = next((part for part in parts if part.value is None), None)
    return missing or shown(formula(*(part.number for part in parts)), basis)


def ranged(constant_id: str) -> Array:
    """Draws of a constant over the range that its source or an assumption gives it, relative to its value."""
    published = constant(constant_id)
    if published.low is None or published.high is None:
        return SURE
    return evenly(constant_id, published.value, published.low, published.high) / published.value


def fraction_draws(season: Season, made: Iterable[MethodTotals]) -> Array:
    """Solid over stacked wood of the season, relative: in doubt so far as the usual fraction stands in it."""
    wood = quantities_of(made)
    power = power_of_fraction(wood, "solid_m3") - power_of_fraction(wood, "stacked_m3") if wood else 1.0
    return _by_fraction(season, power)


def amount_draws(season: Season, made: Iterable[MethodTotals]) -> Array:
    """Cords of the season, relative: all measured with one tape, some taken from solid wood by the usual fraction."""
    tape = by_doubt(TAPE, value("tape.scale_u") / 100) ** TAPE_POWERS["cords"]
    return tape * _by_fraction(season, power_of_fraction(quantities_of(made), "cords"))


def _by_fraction(season: Season, power: float) -> Array:
    usual = usual_fraction(season)
    if not power or usual is None:
        return SURE
    key, spread = usual
    return by_doubt(key, spread) ** power


def density_draws(*, species: str, density_kg_per_m3: float) -> Array:
    """Density of a tree taken from the list, relative: trees of one kind differ."""
    spread = value("wood.density_sd") * WATER_KG_PER_M3 / density_kg_per_m3
    return by_doubt(said(Input.DENSITY, species=species), spread)
