"""Which input moves the money of a method most: the same chain, one input at a time at its two ends."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, ClassVar

from wood_xl.draws.ensemble import Number, OneByOne, nominal
from wood_xl.draws.figure import Figure, TableRow
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.hours.taken import OWN_INPUTS, TakenAmounts
from wood_xl.ids import Input, Recorded
from wood_xl.money.inputs import Gathered
from wood_xl.money.per_method import MethodCost
from wood_xl.money.ranges import Ranged, method_ranges, tool_ranges
from wood_xl.reasons import Key, Said, said
from wood_xl.verdicts import Tried

YOUR_SESSIONS = said(Tried.SESSIONS)
LEAST_SWING = 0.02  # of the result: what moves it less is left out


@dataclass(frozen=True, eq=False)
class SensitivityRow(TableRow):
    """What one input of a method moves its cost of a cord."""

    table: ClassVar[str] = "sensitivity"
    input: Said
    range: Said
    range_from: Said | str
    total: Tried
    at_low: Figure
    at_high: Figure
    swing: Figure


@dataclass(frozen=True, slots=True)
class Tryout:
    """One input with the range that was tried."""

    name: Key
    unit: Said | str
    base: float
    low: float
    high: float
    source: Said | str


def sensitivity_rows(rates: SeasonRates) -> list[SensitivityRow]:
    """Every input of every method that moves its cost of a cord, the widest swing first."""
    rows = [row for cost in rates.costs.values() for row in _rows(rates, cost)]
    return sorted(rows, key=lambda row: -_to_nine_digits(row.swing.value or 0.0))


def _to_nine_digits(number: float) -> float:
    """So that machines agree on what is equal."""
    return float(f"{number:.9g}")


def _rows(rates: SeasonRates, cost: MethodCost) -> Iterator[SensitivityRow]:
    gathered, name = cost.gathered, cost.totals.method.name
    if gathered is None or gathered.why_no_cash is not None:
        return
    with_time = "own_time" not in gathered.missing
    moved, result = _one_by_one(rates, name, "cash_and_time" if with_time else "cash")
    for tried in _tryouts(rates, gathered, moved):
        low, high = moved.at_ends(result, tried.name)
        if abs(high - low) > LEAST_SWING * nominal(result):
            numbers = {"base": tried.base, "low": tried.low, "high": tried.high}
            in_unit = said(Tried.RANGE_IN_UNIT, **numbers, unit=tried.unit)
            yield SensitivityRow(
                input=said(Tried.INPUT_OF, what=tried.name, method=name),
                range=in_unit if tried.unit else said(Tried.RANGE, **numbers),
                range_from=tried.source,
                total=Tried.CASH_AND_TIME if with_time else Tried.CASH,
                at_low=Figure(low),
                at_high=Figure(high),
                swing=Figure(abs(high - low)),
            )


def _one_by_one(rates: SeasonRates, method: str, figure_id: str) -> tuple[OneByOne, Number]:
    """A figure of a method by the members of a design that moves each of its inputs."""
    totals = rates.costs[method].totals
    asking = OneByOne()
    rates.by(asking).number(totals, figure_id)
    moved = OneByOne(asking.asked)
    return moved, rates.by(moved).number(totals, figure_id)


def _tryout(ranged: Ranged[Any]) -> Tryout:
    return Tryout(ranged.name, ranged.unit, ranged.base, ranged.low, ranged.high, ranged.source)


def _tryouts(rates: SeasonRates, gathered: Gathered, moved: OneByOne) -> Iterator[Tryout]:
    """The inputs that the money of a method asked for, with their ranges."""
    season, totals = rates.study.season, gathered.totals
    of_tools = [ranged for tool in gathered.tools for ranged in tool_ranges(tool, season.currency)]
    for tried in (*map(_tryout, of_tools), *map(_tryout, method_ranges(gathered, season))):
        if tried.name in moved.moves:
            yield tried
    taken = TakenAmounts(season, rates.study.equal, moved)
    for what, own_input in {Recorded.AT_WORK: Input.WORKING_HOURS, **OWN_INPUTS}.items():
        name = said(own_input, method=totals.method.named)
        if name not in moved.moves:
            continue
        low, high = moved.at_ends(taken.relative(totals, what).number, name)
        base: float = 1.0
        unit: Said | str = said(Tried.TIMES_MEAN)
        if what is Recorded.AT_WORK:
            base, unit = nominal(gathered.inputs.working_h_per_cord), "h"
        yield Tryout(name, unit, base, low * base, high * base, YOUR_SESSIONS)
