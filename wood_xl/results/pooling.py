"""The figures of a study: each pooled over the households, who stands apart, the effect of leaving one out, trends.

All is computed from the rounded numbers that the study shows, so that anybody can repeat it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from wood_xl.data.load import value
from wood_xl.draws.ensemble import last_score
from wood_xl.draws.households import Household, Households, pooled
from wood_xl.draws.least_squares import least_squares
from wood_xl.draws.normal import agreed, student_quantile
from wood_xl.page_texts import PooledMoney
from wood_xl.reasons import Reason
from wood_xl.results.document import END_DIGITS, rounded
from wood_xl.results.figures import figure_column, grouped
from wood_xl.results.parts import CASH, FLIP, MEASURES, Part
from wood_xl.schema.model import System
from wood_xl.schema.words import phrase, words
from wood_xl.units import convert
from wood_xl.verdicts import Trend

OF_MONEY = (CASH, FLIP)
LEAST_YEARS = 3  # a line through two years has no error
LEAST_TO_LEAVE_ONE = 3
VARIANCES = ("by_sessions", "by_household", "by_all")
PERCENT = "%"

Row = dict[str, Any]


def shown_in(part: Part, system: System) -> Part:
    """A figure of a season in its display unit, rounded."""
    column = None if part.other else figure_column(part.measure)
    times = convert(1.0, column.unit, column.unit_in(system)) if column else 1.0
    shown: Row = {key: rounded(getattr(part, key)) for key in VARIANCES}
    shown |= {end: rounded(getattr(part, end) * times, END_DIGITS) for end in ("low", "high")}
    return part._replace(value=rounded(part.value * times), **shown)


def in_study(part: Part, row: Row, system: System) -> Part:
    """A figure of a season with its household, year, display unit and money.

    row: that of the household in the study's table of households.
    """
    currency, price_year = row["currency"], row["price_year"]
    unit = money = ""
    if part.measure == FLIP:
        unit = f"{currency}/h"
    elif not part.other:
        column = figure_column(part.measure)
        unit = column.label(column.unit_in(system), currency)
    if part.measure in OF_MONEY:
        word = PooledMoney.OF_YEAR if price_year else PooledMoney.UNKNOWN_YEAR
        money = currency if part.measure == CASH and part.other else phrase(word, currency=currency, year=price_year)
    return part._replace(household=row["household"], year=row["year"], unit=unit, money=money)


@dataclass(frozen=True)
class PooledFigure:
    """One figure over all households that give it, with money in one currency and year."""

    parts: Sequence[Part]
    one_household: bool

    @property
    def about(self) -> Row:
        """What the figure is about, with its unit and currency."""
        return {key: getattr(self.parts[0], key) for key in ("task", "kind", "other", "measure", "unit", "money")}

    @cached_property
    def households(self) -> list[Household]:
        """The figure of each household as it is pooled; the years of one share its tape, its tools and its people."""
        return [
            Household(math.log(part.value), part.by_sessions, math.sqrt(part.by_all + part.by_household))
            if self.one_household
            else Household(math.log(part.value), part.by_sessions + part.by_household, math.sqrt(part.by_all))
            for part in self.parts
        ]

    @cached_property
    def together(self) -> Households:
        """All households pooled."""
        return pooled(self.households)

    @cached_property
    def without(self) -> list[Households]:
        """The households pooled without each in turn; empty for fewer than three. Keeps no shares."""
        if len(self.parts) < LEAST_TO_LEAVE_ONE:
            return []
        every = self.households
        return [replace(pooled([*every[:at], *every[at + 1 :]], every[at]), shares=()) for at in range(len(every))]

    @property
    def apart(self) -> list[str]:
        """Households that are unlikely by all others; the limit allows for the number of households tried."""
        limit = value("study.stands_out") / len(self.parts)
        return [part.household for part, rest in zip(self.parts, self.without, strict=False) if rest.beyond < limit]

    @property
    def heaviest(self) -> int | None:
        """Number of the household without which the figure would change most."""
        moves = [abs(agreed(rest.log_value - self.together.log_value)) for rest in self.without]
        return moves.index(max(moves)) if moves else None

    def row(self) -> Row:
        """Its row in the study."""
        together, at, about = self.together, self.heaviest, self.about
        rest = None if at is None else self.without[at]
        unit, spread = about["unit"], rounded(100 * agreed(together.spread), END_DIGITS)
        return {
            **about,
            "households_n": len(self.parts),
            "value": _figure(together, unit),
            "next_household": _figure(together, unit, of_next=True),
            "spread": cell(spread, PERCENT) if len(self.parts) > 1 else cell(None, PERCENT, why=Reason.ONE_SEASON),
            "agreement": together.agreement.key,
            "surety": self._surety(together),
            "less": about["other"] if together.log_value > 0 else about["kind"],
            "apart": ", ".join(self.apart),
            "left_out": "" if at is None else self.parts[at].household,
            "without": cell(None, unit, why=Reason.FEW_SEASONS) if rest is None else _figure(rest, unit),
            "surety_without": self._surety(rest),
        }

    def _surety(self, households: Households | None) -> str:
        """How sure it is on which side of 1 a ratio lies; empty for an amount of money for an hour."""
        is_ratio = self.parts[0].measure != FLIP
        return households.surety.key if households is not None and is_ratio else ""

    def contributions(self) -> Iterator[Row]:
        """A row for each household."""
        rests: list[Households | None] = [*self.without] or [None] * len(self.parts)
        for part, share, rest in zip(self.parts, self.together.shares, rests, strict=True):
            yield {
                **part._asdict(),
                "weight": rounded(100 * agreed(share), END_DIGITS),
                "without": None if rest is None else rounded(math.exp(agreed(rest.log_value)), END_DIGITS),
                "beyond": None if rest is None else rounded(agreed(rest.beyond), END_DIGITS),
            }


def pooled_figures(parts: Iterable[Part], *, one_household: bool) -> list[PooledFigure]:
    """All figures pooled: comparisons, then rates, with money of each currency and year apart."""
    by_figure = grouped(parts, lambda one: (not one.other, *one[:3], MEASURES.index(one.measure), one.money))
    return [PooledFigure(by_figure[key], one_household) for key in sorted(by_figure)]


def trend_rows(figures: Iterable[PooledFigure]) -> Iterator[Row]:
    """A row for each rate that three years or more give."""
    for figure in figures:
        dated = [
            (int(part.year), season)
            for part, season in zip(figure.parts, figure.households, strict=True)
            if part.year
        ]
        years = sorted({year for year, _ in dated})
        if figure.about["other"] or len(years) < LEAST_YEARS:
            continue
        low, middle, high = _trend([float(year - years[0]) for year, _ in dated], [season for _, season in dated])
        yield {
            **{key: text for key, text in figure.about.items() if key not in ("unit", "other")},
            "first_year": str(years[0]),
            "last_year": str(years[-1]),
            "per_year": cell(rounded(middle), PERCENT, rounded(low, END_DIGITS), rounded(high, END_DIGITS)),
            "trend": (Trend.MORE if low > 0 else Trend.LESS if high < 0 else Trend.NO_CHANGE).key,
        }


def _trend(years: Sequence[float], seasons: Sequence[Household]) -> tuple[float, float, float]:
    """Low end, middle and high end of the change per year, in percent.

    A few seasons may lie on a line by chance, so the range is at least as wide as the seasons' own doubt makes it.
    """
    fit = least_squares(columns=[[1.0] * len(years), years], values=[season.log_value for season in seasons])
    slope, by_scatter = fit.combined([0.0, 1.0])
    from_middle = [year - math.fsum(years) / len(years) for year in years]
    square = math.fsum(away**2 for away in from_middle)
    doubts = ((away / square) ** 2 * season.log_variance for away, season in zip(from_middle, seasons, strict=True))
    by_seasons = math.sqrt(math.fsum(doubts))
    quantile = student_quantile((1 + value("interval.level") / 100) / 2, len(years) - 2)
    half = max(quantile * by_scatter, last_score() * by_seasons)
    low, middle, high = (100 * math.expm1(end) for end in (slope - half, slope, slope + half))
    return low, middle, high


def cell(
    number: float | None, unit: str, low: float | None = None, high: float | None = None, why: Reason | None = None
) -> Row:
    """A figure of the document."""
    return {"value": number, "low": low, "high": high, "unit": unit, "basis": "", "reason": words(why)}


def _figure(households: Households, unit: str, *, of_next: bool = False) -> Row:
    low, high = (math.exp(end) for end in (households.next_ends if of_next else households.ends))
    middle = rounded(math.exp(households.log_value), END_DIGITS * 2)
    return cell(middle, unit, rounded(low, END_DIGITS), rounded(high, END_DIGITS))
