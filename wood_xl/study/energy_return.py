"""Heat that each method brings to the house for the energy bought to do the work."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from wood_xl.calc.figure import Figure, not_given
from wood_xl.calc.heat import energy_return
from wood_xl.study.emissions import PARTS, MethodEmissions, Part
from wood_xl.study.heat import HeatStudy

RUNNING_PARTS: tuple[Part, ...] = ("fuel", "electricity")
NOTHING_BOUGHT = "no energy is bought"

Row = dict[str, Any]


def energy_return_rows(all_found: Iterable[MethodEmissions], heat: HeatStudy) -> Iterator[Row]:
    """Energy bought for a cord by each method, and the heat that the cord gives for it."""
    delivered = heat.delivered(heat.cord())
    for found in all_found:
        accounts = found.accounts
        running = found.of(RUNNING_PARTS, accounts.fuel_mj + accounts.electricity_mj)
        bought = found.of(PARTS, accounts.bought_mj)
        yield {
            "method": found.totals.method.name,
            "task": found.totals.method.task,
            "delivered_heat": delivered,
            "running": running,
            "bought": bought,
            "return_running": _ratio(delivered, running),
            "return_bought": _ratio(delivered, bought),
        }


def _ratio(delivered: Figure, energy_in: Figure) -> Figure:
    if delivered.value is None:
        return delivered
    if energy_in.value is None:
        return energy_in
    if energy_in.value == 0:
        return not_given(NOTHING_BOUGHT)
    return Figure(energy_return(heat_mj=delivered.value, energy_in_mj=energy_in.value))
