"""A figure that is a sum of parts, with the doubt of what its parts go with."""

from __future__ import annotations

import math
from dataclasses import replace

from wood_xl.draws.compare import steadied
from wood_xl.draws.figure import Figure, in_doubt
from wood_xl.draws.shared_factors import log_variance, widened
from wood_xl.hours.common import Common, wood_of
from wood_xl.hours.figure_parts import FigureParts, spread_of_sd
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.rates import MethodRate, with_ends
from wood_xl.reasons import Reason, Refused, Said, said
from wood_xl.records import Season

TAKES_NONE, AS_RECORDED = said(Reason.TAKES_NONE), said(Reason.AS_RECORDED)


def part_rate(totals: MethodTotals, figure: float, parts: FigureParts | Said, season: Season) -> MethodRate | Said:
    """A figure for a cord with the scatter of the sessions and all that is common; or why it has none."""
    if figure == 0:
        return TAKES_NONE
    if isinstance(parts, Said):
        return parts
    rate = parts.rate(totals, figure)
    if isinstance(rate, Said):
        return rate
    common = parts.in_common(totals, season)
    try:
        variance = log_variance(draws=common.draws)
    except Refused as refused:
        return refused.why
    estimate = widened(estimate=steadied(rate=rate), common_variance=variance)
    sessions = parts.sessions(totals)
    return MethodRate(totals, sessions, [], wood_of(sessions), rate, common, variance, estimate)


def part_figure(plain: Figure, totals: MethodTotals, parts: FigureParts | Said, season: Season) -> Figure:
    """The same as a figure; its value stands also where no interval can be given."""
    if plain.value is None or plain.reason:
        return plain
    return with_ends(plain, part_rate(totals, plain.value, parts, season))


def recorded_figure(plain: Figure, parts: FigureParts | Said) -> Figure:
    """A sum of what sessions recorded, as of a session or of a whole trial: only common factors are in doubt."""
    if plain.value is None or plain.reason:
        return plain
    if isinstance(parts, Said):
        return replace(plain, reason=TAKES_NONE if plain.value == 0 else parts)
    return common_figure(plain, Common(parts.factors, dict(parts.spreads)))


def common_figure(plain: Figure, common: Common) -> Figure:
    """A figure in which nothing is in doubt but what others share too."""
    if plain.value is None or plain.reason:
        return plain
    if plain.value == 0:
        return replace(plain, reason=TAKES_NONE)
    try:
        variance = log_variance(draws=common.draws)
    except Refused as refused:
        return replace(plain, reason=refused.why)
    if variance == 0:
        return replace(plain, reason=AS_RECORDED)
    known = in_doubt(plain.value, u_frac=spread_of_sd(math.sqrt(variance)))
    return replace(plain, low=known.low, high=known.high)
