"""What moves the choice between the first two most: each input alone, from end to end of its interval."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from statistics import NormalDist
from typing import ClassVar, Literal

from wood_xl.choice.combinations import CombinationStudy, letter
from wood_xl.choice.points import weighted_points
from wood_xl.choice.surety import CombinationSurety
from wood_xl.data.load import value
from wood_xl.draws.compare import steadied
from wood_xl.draws.figure import Figure, TableRow
from wood_xl.draws.shared_factors import with_factor_at
from wood_xl.hours.common import input_named
from wood_xl.hours.rates import MethodRate
from wood_xl.plan.trials import rival
from wood_xl.reasons import Key, Said, said
from wood_xl.verdicts import Turns

LEAST_SHARE = 0.05  # of the widest swing; what moves the lead by less is left out

Rates = Callable[[str, str], MethodRate | Said]  # of a method and a figure: what makes it unsure, or why not
End = Literal["low", "high"]


@dataclass(frozen=True)
class Part:
    """What one figure of a method that only one of the two combinations has adds to the lead.

    points: above 0 if it is the second combination that has the method.
    rate: of the figure.
    """

    points: float
    rate: MethodRate | Said

    @property
    def inputs(self) -> list[Key]:
        """Keys of all that moves it."""
        if isinstance(self.rate, Said):
            return []
        return [self.rate.sessions_key, *self.rate.common.spreads]

    def at(self, key: Key, end: End) -> float:
        """The same with one input at an end of its interval."""
        if isinstance(self.rate, Said) or key not in self.inputs:
            return self.points
        if key == self.rate.sessions_key:
            moved = steadied(rate=self.rate.rate).interval()[end == "high"] / self.rate.rate.value
        else:
            terms = self.rate.common.terms
            scores = _last_score() * (1 if end == "high" else -1)
            at_end = with_factor_at(terms=terms, spreads=self.rate.common.spreads, key=key, scores=scores)
            moved = at_end / math.fsum(term.value for term in terms)
        return self.points * moved


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


def swing_rows(study: CombinationStudy, surety: CombinationSurety, rates: Rates) -> list[SwingRow]:
    """One row for each input that moves the lead of the first combination, the widest swing first.

    The lead is the points of the second combination less those of the first; below zero the second is better. A price
    or a factor moves wherever it comes in, and the sessions of a method move all its figures.
    """
    if len(surety.best) < 2 or not surety.drawn:
        return []
    second = rival(surety)
    parts = list(_parts(study, second, rates))
    lead = math.fsum(part.points for part in parts)
    rows = []
    for key in dict.fromkeys(key for part in parts for key in part.inputs):
        low, high = (math.fsum(part.at(key, end) for part in parts) for end in ("low", "high"))
        rows.append(_row(input_named(key), lead, low, high, second))
    rows.sort(key=_swing, reverse=True)
    return [row for row in rows if _swing(row) > LEAST_SHARE * _swing(rows[0])]


def _swing(row: SwingRow) -> float:
    return row.swing.value or 0.0


def _parts(study: CombinationStudy, second: int, rates: Rates) -> Iterator[Part]:
    one, two = study.combinations[0].methods, study.combinations[second].methods
    for at, criterion in enumerate(study.criteria):
        of_one = [float(at == other) for other in range(len(study.criteria))]
        points = weighted_points(rows=[of_one], weights=study.weights, means=study.means)[0]
        for name in dict.fromkeys([*one, *two]):
            figure = study.methods[name].per_cord[criterion.figure]
            if (name in one) != (name in two) and not isinstance(figure, Said):
                sign = 1 if name in two else -1
                yield Part(sign * points * figure, rates(name, criterion.figure))


def _last_score() -> float:
    """Standard deviations from the middle of a normal distribution to the end of an interval."""
    return NormalDist().inv_cdf((1 + value("interval.level") / 100) / 2)


def _row(named: Key, lead: float, low: float, high: float, second: int) -> SwingRow:
    return SwingRow(
        input=named,
        lead=Figure(lead),
        lead_at_low=Figure(low),
        lead_at_high=Figure(high),
        swing=Figure(abs(high - low)),
        turns=said(Turns.YES, combination=letter(second)) if min(low, high) < 0 else said(Turns.NO),
    )
