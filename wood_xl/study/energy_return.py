"""Heat that each method brings to the house for the energy bought to do the work."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from wood_xl.calc.compare import LogEstimate, steadied
from wood_xl.calc.emission_accounts import EmissionAccounts
from wood_xl.calc.energy_return import energy_return
from wood_xl.calc.figure import Figure, not_given
from wood_xl.calc.rates import rate_of_sessions
from wood_xl.calc.shared_factors import log_variance, widened
from wood_xl.calc.strata import Draws
from wood_xl.records import Season
from wood_xl.study.common import time_in_common
from wood_xl.study.emissions import PARTS, MethodEmissions, Part, session_accounts
from wood_xl.study.heat import HeatStudy
from wood_xl.study.heat_doubt import SURE
from wood_xl.study.rates import NOTHING_SPENT

RUNNING_PARTS: tuple[Part, ...] = ("fuel", "electricity")
NOTHING_BOUGHT = "no energy is bought"
NO_RANGE_OF_TOOLS = "no range is published for the energy that makes a tool"

Row = dict[str, Any]


def energy_return_rows(all_found: Iterable[MethodEmissions], heat: HeatStudy, season: Season) -> Iterator[Row]:
    """Energy bought for a cord by each method, and the heat that the cord gives for it."""
    delivered = heat.from_a_cord()
    for found in all_found:
        running = found.of(RUNNING_PARTS, _running_mj(found.accounts))
        bought = found.of(PARTS, found.accounts.bought_mj)
        doubt = _running_doubt(found, season) if running.value else None
        yield {
            "method": found.totals.method.name,
            "task": found.totals.method.task,
            "delivered_heat": delivered.shown(),
            "running": _with_scatter(running, doubt, 1.0, SURE),
            "bought": _without_range(bought),
            "return_running": _with_scatter(
                heat_for_energy(delivered.figure, running), doubt, -1.0, delivered.relative
            ),
            "return_bought": _without_range(heat_for_energy(delivered.figure, bought)),
        }


def _running_mj(accounts: EmissionAccounts) -> float:
    return accounts.fuel_mj + accounts.electricity_mj


@dataclass(frozen=True)
class RunningDoubt:
    """Energy for a cord as the sessions scatter, and what it shares with the heat of the cord, relative."""

    sessions: LogEstimate
    common: Draws


def _running_doubt(found: MethodEmissions, season: Season) -> RunningDoubt | None:
    """From the sessions that recorded their energy; None if one of them took nothing."""
    amounts, quantities = [], []
    for index, figures in enumerate(found.totals.counted):
        accounts, missing = session_accounts(found, index, season)
        if figures.quantity is not None and not missing.keys() & set(RUNNING_PARTS):
            amounts.append(_running_mj(accounts))
            quantities.append(figures.quantity.cords)
    if not amounts or min(amounts) <= 0:
        return None
    rate = rate_of_sessions(amounts=amounts, quantities=quantities)
    return RunningDoubt(steadied(rate=rate), time_in_common(found.totals, season, 1.0, "cords").draws)


def _with_scatter(figure: Figure, doubt: RunningDoubt | None, power: float, other: Draws) -> Figure:
    """A figure that goes with a power of the energy and with something that may share its doubt."""
    if figure.value is None:
        return figure
    if doubt is None:
        return replace(figure, reason="" if figure.value == 0 else NOTHING_SPENT)
    own = LogEstimate(math.log(figure.value), doubt.sessions.variance, doubt.sessions.df)
    variance = log_variance(draws=other * doubt.common**power)
    low, high = widened(estimate=own, common_variance=variance).interval()
    return replace(figure, low=low, high=high, reason="")


def _without_range(figure: Figure) -> Figure:
    if figure.value is None:
        return figure
    return replace(figure, reason=NO_RANGE_OF_TOOLS if figure.value else "")


def heat_for_energy(delivered: Figure, energy_in: Figure) -> Figure:
    """How many times the energy that goes in comes out as heat, without an interval."""
    if delivered.value is None:
        return delivered
    if energy_in.value is None:
        return energy_in
    if energy_in.value == 0:
        return not_given(NOTHING_BOUGHT)
    return Figure(energy_return(heat_mj=delivered.value, energy_in_mj=energy_in.value))
