"""How sure mass and heat are: draws of what was not measured, alike wherever they enter, so that they cancel there.

What is written is taken as it stands: no source here says how far a moisture meter or a plate on a stove is off.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from wood_xl.data.load import constant, value
from wood_xl.draws.ensemble import Number, nominal
from wood_xl.draws.figure import Figure, not_given, with_draws
from wood_xl.draws.inputs import by_doubt, evenly
from wood_xl.draws.normal import Array
from wood_xl.hours.common import TAPE, TAPE_POWERS, power_of_fraction, quantities_of, usual_fraction
from wood_xl.hours.methods import MethodTotals
from wood_xl.ids import Input
from wood_xl.reasons import Reason, Said, said
from wood_xl.records import Season
from wood_xl.wood.moisture import WATER_KG_PER_M3

SURE: Array = np.ones(1)  # what is in no doubt, relative to its value
CANCELLED = 1e-9  # between draws that differ by rounding alone
AS_WRITTEN, NO_RANGE = said(Reason.NO_DOUBT_ADDED), said(Reason.NO_RANGE)


class Unsure(NamedTuple):
    """A figure with its draws, relative to its value."""

    figure: Figure
    relative: Array

    def shown(self, why: Said = AS_WRITTEN) -> Figure:
        """The figure with its ends, or why it has none."""
        return with_ends(self.figure, self.relative, why)


def not_known(why: Said) -> Unsure:
    """What cannot be given."""
    return Unsure(not_given(why), SURE)


def unsure(number: Number, basis: Said | None = None) -> Unsure:
    """A number with its draws."""
    plain = nominal(number)
    return Unsure(Figure(plain, basis), np.atleast_1d(number / plain) if plain else SURE)


def with_ends(figure: Figure, relative: Array, why: Said = AS_WRITTEN) -> Figure:
    """A figure with the limits of its draws."""
    if figure.value is None:
        return figure
    if float(np.ptp(relative)) < CANCELLED:
        return replace(figure, reason=why)
    return with_draws(replace(figure, reason=None), figure.value * relative, exact=why)


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
