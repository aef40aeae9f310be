"""What moves the flip of two ways most: the chain for both of them, with one input at a time at each of its ends."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from wood_xl.air.drawn import GRID, factor_doubt, grid_doubt
from wood_xl.choice.edge import SAME, Edge, Step, Way
from wood_xl.draws.ensemble import Number, OneByOne, nominal
from wood_xl.draws.figure import Figure, Row, drawn, not_given
from wood_xl.draws.inputs import by_doubt
from wood_xl.hours.common import effort_in_common, input_named
from wood_xl.hours.rates import OWN_INPUTS, is_own
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.ids import Input
from wood_xl.money.ranges import FOR_ONE_CORD, Ranged, method_ranges, tool_ranges
from wood_xl.reasons import Basis, Key, Reason, Said, said
from wood_xl.verdicts import Tried, TurnsTo

LEAST_SHARE = 0.05  # of the widest known swing; inputs that move the flip by less are left out
MOST_ROWS = 8  # for two ways


def flip_move_rows(step: Step, rates: SeasonRates) -> list[Row]:
    """A row for each input that moves the flip of two ways, the widest swing first.

    An input that both ways depend on moves both at once. Hours of work move to the ends of their interval.
    """
    if step.flip.value is None:
        return []
    moved = OneByOne.of(lambda design: _step_by(step, rates.by(design)))
    moved_rates = rates.by(moved)
    moved_step = _step_by(step, moved_rates)
    ranges = {one.name: one for one in _ranges(step, rates, moved_rates, moved)}
    rows = [_row(step, moved_step, moved, key, ranges.get(key)) for key in moved.moves]
    least = LEAST_SHARE * max(row["swing"].value or 0.0 for row in rows)
    kept = [row for row in rows if row["swing"].value is None or row["swing"].value > least]
    return sorted(kept, key=_order)[:MOST_ROWS]


def _order(row: Row) -> float:
    """Open swings first, then the widest. Machines agree on 9 digits of equal swings."""
    swing = row["swing"].value
    return -math.inf if swing is None else -float(f"{swing:.9g}")


def _step_by(step: Step, rates: SeasonRates) -> Step:
    """Two ways by all members of another design, even where some doubt is unknown."""
    keys = ("worker_hours", *step.values.weights)
    cheap, quick = (
        Way(way.totals, {(key, SAME): drawn(rates.number(way.totals, key)) for key in keys})
        for way in (step.cheap, step.quick)
    )
    return Step(cheap, quick, step.values)


def _row(step: Step, moved_step: Step, moved: OneByOne, key: Key, ranged: Ranged[Any] | None) -> Row:
    ends = moved.at_ends(moved_step.flip.number, key)
    low, high = (_at_end(step, flip) for flip in ends)
    is_open = math.inf in ends
    return Row(
        input=_named(key),
        task=step.quick.totals.method.task,
        method=step.quick.name,
        instead_of=step.cheap.name,
        range="" if ranged is None else ranged.as_said,
        range_from="" if ranged is None else ranged.source,
        flip=step.flip,
        at_low=low,
        at_high=high,
        swing=not_given(said(Reason.MAY_SAVE_NO_HOUR)) if is_open else Figure(abs(ends[1] - ends[0])),
        turns=_turns(moved_step, moved, key),
    )


def _at_end(step: Step, flip: float) -> Figure:
    """The flip with an input at one end; none where no hour is saved there."""
    if flip == math.inf:
        return not_given(said(Reason.SAVES_NO_HOUR_THERE))
    saves_both = flip < 0 and not step.values.is_more_than_cash
    return Figure(flip, said(Basis.SAVES_BOTH) if saves_both else None)


def _turns(moved_step: Step, moved: OneByOne, key: Key) -> Said:
    """Whether the other of the two costs less at an end, with hours at their value."""
    hour = moved_step.values.hour
    if hour is None:
        return said(TurnsTo.NO_VALUE)
    edge = Edge((moved_step.cheap, moved_step.quick), moved_step.values)
    lead: Number = edge.sum(moved_step.cheap, hour) - edge.sum(moved_step.quick, hour)
    is_quick = nominal(lead) > 0
    if all((end > 0) == is_quick for end in moved.at_ends(lead, key)):
        return said(TurnsTo.NO)
    return said(TurnsTo.YES, method=moved_step.cheap.name if is_quick else moved_step.quick.name)


def _named(key: Key) -> Key:
    """An input to be worded: one of a method's own sessions names the method."""
    if isinstance(key, Said) and is_own(key):
        return said(Tried.INPUT_OF, what=key, method=key["method"])
    return input_named(key)


def _ranges(step: Step, rates: SeasonRates, moved_rates: SeasonRates, moved: OneByOne) -> Iterator[Ranged[Any]]:
    season, sessions = rates.study.season, said(Tried.SESSIONS)
    times, of_kind = said(Tried.TIMES), said(Tried.OWN_DOUBT)
    for totals in (one for one in rates.study.totals if one.counted):
        numbers = rates.costs[totals.method.name].numbers
        if numbers.why is None:
            yield from method_ranges(numbers, season)
        for tool in numbers.tools:
            yield from tool_ranges(tool, season.currency)
        hours = rates.figure(totals, "worker_hours")
        if hours.value is not None and hours.low is not None and hours.high is not None:
            name = said(Input.WORKING_HOURS, method=totals.method.named)
            yield Ranged(name, FOR_ONE_CORD, hours.value, hours.low, hours.high, sessions)
        for what, own in OWN_INPUTS.items():
            name = said(own, method=totals.method.named)
            if name in moved.moves:
                ends = moved.at_ends(moved_rates.taken.by_sessions(totals, what).number, name)
                yield Ranged(name, said(Tried.TIMES_MEAN), 1.0, *ends, sessions)
    doubts = {key: doubt for key in moved.moves if (doubt := _published_doubt(key)) is not None}
    for totals in (step.cheap.totals, step.quick.totals):
        doubts |= effort_in_common(totals, season, is_net=True).spreads
    for key, doubt in doubts.items():
        if key in moved.moves:
            yield Ranged(key, times, 1.0, *moved.at_ends(by_doubt(key, doubt, moved), key), of_kind)


def _published_doubt(key: Key) -> float | None:
    """Relative standard uncertainty of a published factor; None if it has none or the key is no factor."""
    if isinstance(key, str):
        return factor_doubt(key)
    return grid_doubt() if key == GRID else None
