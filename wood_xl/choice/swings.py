"""What moves the choice between the first two most: the same chain, one input at a time at its two ends."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from wood_xl.choice.combinations import CombinationStudy, letter
from wood_xl.choice.surety import CombinationSurety, points_by
from wood_xl.draws.ensemble import Number, OneByOne, nominal, total
from wood_xl.draws.figure import Figure, TableRow
from wood_xl.draws.inputs import is_choice
from wood_xl.hours.common import input_named
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.hours.taken import is_own
from wood_xl.plan.trials import rival
from wood_xl.reasons import Key, Said, said
from wood_xl.verdicts import Tried, Turns

LEAST_SHARE = 0.05  # of the widest swing; what moves the lead by less is left out


@dataclass(frozen=True, eq=False)
class SwingRow(TableRow):
    """What one input does to the lead of the first combination, from end to end of its interval."""

    table: ClassVar[str] = "choice_swings"
    input: Key
    lead: Figure
    lead_at_low: Figure
    lead_at_high: Figure
    swing: Figure
    turns: Said


def swing_rows(study: CombinationStudy, surety: CombinationSurety, rates: SeasonRates) -> list[SwingRow]:
    """One row for each input that moves the lead of the first combination, the widest swing first.

    The lead is the points of the second combination less those of the first; below zero the second is better. A price
    or a factor moves wherever it comes in.
    """
    if len(surety.best) < 2 or not surety.is_drawn:
        return []
    second = rival(surety)
    asking = OneByOne()
    _lead(study, second, rates.by(asking))
    moved = OneByOne(key for key in asking.asked if not is_choice(key))
    lead = _lead(study, second, rates.by(moved))
    rows = []
    for key in moved.moves:
        low, high = moved.at_ends(lead, key)
        rows.append(_row(_named(key), nominal(lead), low, high, second))
    rows.sort(key=_swing, reverse=True)
    return [row for row in rows if _swing(row) > LEAST_SHARE * _swing(rows[0])]


def _lead(study: CombinationStudy, second: int, rates: SeasonRates) -> Number:
    """Points of the second combination less those of the first."""
    totals = {t.method.name: t for t in rates.study.totals}

    def points(at: int) -> Number:
        return points_by(
            study,
            [
                total(rates.number(totals[name], criterion.figure) for name in study.combinations[at].methods)
                for criterion in study.criteria
            ],
        )

    return points(second) - points(0)


def _named(key: Key) -> Key:
    """An input in words: what is of a method's own sessions names the method."""
    if isinstance(key, Said) and is_own(key):
        return said(Tried.INPUT_OF, what=key, method=key["method"])
    return input_named(key)


def _swing(row: SwingRow) -> float:
    return row.swing.value or 0.0


def _row(named: Key, lead: float, low: float, high: float, second: int) -> SwingRow:
    return SwingRow(
        input=named,
        lead=Figure(lead),
        lead_at_low=Figure(low),
        lead_at_high=Figure(high),
        swing=Figure(abs(high - low)),
        turns=said(Turns.YES, combination=letter(second)) if min(low, high) < 0 else said(Turns.NO),
    )
