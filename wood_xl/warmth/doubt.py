"""Doubt of mass and heat: draws of what was not measured, the same wherever they enter, so that they can cancel.

Written values are taken as exact: no source here says how far off a moisture meter or a stove's rating is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

import numpy as np

from wood_xl.data.load import constant, value
from wood_xl.draws.ensemble import Number
from wood_xl.draws.figure import Figure, drawn
from wood_xl.draws.inputs import by_doubt, evenly
from wood_xl.draws.normal import Array
from wood_xl.draws.shared_factors import Term, common_draws
from wood_xl.hours.common import Measure, drawn_wood, quantities_of, usual_fraction, volume_in_common
from wood_xl.hours.methods import MethodTotals
from wood_xl.ids import Input
from wood_xl.reasons import Reason, Said, said
from wood_xl.records import Season
from wood_xl.wood.moisture import WATER_KG_PER_M3

BOTH: tuple[Measure, ...] = ("solid_m3", "stacked_m3")
SURE: Array = np.ones(1)  # relative draws of a value that is in no doubt
AS_WRITTEN, NO_RANGE = said(Reason.NO_DOUBT_ADDED), said(Reason.NO_RANGE)


def figure_of(number: Number, basis: Said | None = None) -> Figure:
    """A figure with its ends, or without if everything behind it is written."""
    return drawn(number, basis, exact=AS_WRITTEN)


def combined(formula: Callable[..., Number], *parts: Figure, basis: Said | None = None) -> Figure:
    """A figure by a formula of others, by all their members; the first part that is not given says why."""
    missing = next((part for part in parts if part.value is None), None)
    return missing or figure_of(formula(*(part.number for part in parts)), basis)


def range_draws(constant_id: str) -> Array:
    """Draws of a constant over its range, relative to its value."""
    published = constant(constant_id)
    if published.low is None or published.high is None:
        return SURE
    return evenly(constant_id, published.value, published.low, published.high) / published.value


def fraction_draws(season: Season, made: Iterable[MethodTotals]) -> Array:
    """Solid over stacked wood of the season, relative; in doubt as far as one was derived from the other."""
    wood = quantities_of(made)
    if not wood:
        usual = usual_fraction(season)
        return SURE if usual is None else by_doubt(*usual)
    (solid, spreads), (stacked, others) = (volume_in_common(wood, season, per) for per in BOTH)
    powers = {key: solid.get(key, 0.0) - stacked.get(key, 0.0) for key in solid | stacked}
    return common_draws(terms=[Term(1.0, powers)], spreads=spreads | others)


def amount_draws(season: Season, made: Iterable[MethodTotals]) -> Array:
    """Cords of the season, relative: one tape for all; some wood measured solid or in stacks of another form."""
    return drawn_wood(quantities_of(made), season, "cords")


def density_draws(*, species: str, density_kg_per_m3: float) -> Array:
    """Density of a listed species, relative, since trees of one species differ."""
    spread = value("wood.density_sd") * WATER_KG_PER_M3 / density_kg_per_m3
    return by_doubt(said(Input.DENSITY, species=species), spread)
