"""Several seasons as one study: what each gives, what they say together, and whether they agree.

Methods match by task and kind of tools, whatever they are called at home.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from wood_xl.data.load import value
from wood_xl.data.trade import BY_HAND, unsure
from wood_xl.draws.ensemble import Worlds
from wood_xl.draws.figure import Figure, drawn, not_given
from wood_xl.draws.households import Household, Households, pooled
from wood_xl.draws.least_squares import least_squares
from wood_xl.draws.normal import Array, agreed, student_quantile
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.ids import Input, PooledMoney
from wood_xl.pages import InPool
from wood_xl.reasons import Key, Reason, Said, said
from wood_xl.records import Method, Season
from wood_xl.verdicts import Trend

FIGURES = ("worker_hours", "clock_hours", "kcal_net", "cash", "co2e")
MONEY = ("cash",)
LEAST_YEARS = 3  # a line through two years has no error
MEASURED_AT_HOME = (Input.TAPE, Input.MASS_OF_TOOL, Input.REPAIRS)

Row = dict[str, Any]
Money = tuple[str, int]


def is_of_household(key: Key) -> bool:
    """Whether an input is a household's own, as its tape and its prices; what is published is the same for all.

    So is an equation of effort: nobody knows how much of its doubt is the person's, and more seasons must not make
    it look surer than it is.
    """
    return isinstance(key, Said) and (key.id in MEASURED_AT_HOME or key.id.key in unsure())


# What a figure's doubt comes from: its sessions, the household's own inputs, and what all households share.
SOURCES = (
    Worlds(has_input=lambda _: False),
    Worlds(has_sessions=False, has_input=is_of_household),
    Worlds(has_sessions=False, has_input=lambda key: not is_of_household(key)),
)


@dataclass(frozen=True)
class Contribution:
    """One figure of one task and kind of tools of a season; several methods of the kind are brought together.

    value: per cord, with its ends.
    by_sessions, by_household, by_all: variances of its log, by the sessions, by the household's own inputs and by
        what all households share.
    """

    task: str
    kind: str
    figure: str
    methods_n: int
    sessions_n: int
    value: Figure
    by_sessions: float
    by_household: float
    by_all: float

    @property
    def log(self) -> float:
        """Log of its value."""
        return math.log(self.value.value or 0.0)

    def household(self, *, one_household: bool) -> Household:
        """As it is pooled: the years of one household share its tape, its tools and its people."""
        shared = self.by_all + (self.by_household if one_household else 0.0)
        own = self.by_sessions + (0.0 if one_household else self.by_household)
        return Household(self.log, own, math.sqrt(shared))


@dataclass(frozen=True)
class SeasonOfPool:
    """One season; ``name`` is its number in the pool, so that nobody's name goes on.

    price_year: year of its prices; that of most sessions if none is written.
    """

    name: str
    year: int | None
    currency: str
    price_year: int | None
    figures: tuple[Contribution, ...]

    @property
    def money(self) -> Money:
        """What its money is counted in."""
        return self.currency, self.price_year or 0


@dataclass(frozen=True)
class PooledFigure:
    """One figure of one task and kind of tools over all seasons that give it, money in one currency and year."""

    task: str
    kind: str
    figure: str
    money: Money | None
    parts: tuple[tuple[SeasonOfPool, Contribution], ...]
    one_household: bool

    @cached_property
    def found(self) -> Households:
        """All seasons together."""
        return pooled(self.households)

    @cached_property
    def households(self) -> list[Household]:
        """Each season as it is pooled."""
        return [part.household(one_household=self.one_household) for _, part in self.parts]

    @property
    def about(self) -> Row:
        """What the row is about."""
        return {"task": self.task, "kind": self.kind, "figure": self.figure, "unit": "", "money": self._money}

    @property
    def _money(self) -> Said | None:
        if self.money is None:
            return None
        currency, year = self.money
        return said(PooledMoney.OF_YEAR if year else PooledMoney.UNKNOWN_YEAR, currency=currency, year=year)


def figures_of_season(rates: SeasonRates, figures: Sequence[str]) -> tuple[Contribution, ...]:
    """What a season gives to a pool; a figure without an interval gives nothing, nor one that may be 0 or less."""
    season = rates.study.season
    alike: dict[tuple[str, str], list[MethodTotals]] = defaultdict(list)
    for totals in rates.study.totals:
        if totals.counted:
            alike[totals.method.task, _kind(totals.method, season)].append(totals)
    parts = [rates.by(source) for source in SOURCES]
    found = []
    for (task, kind), methods in alike.items():
        for figure in figures:
            given = {t.method.name: logs for t in methods if (logs := _logs(t, figure, rates, parts)) is not None}
            if given:
                sessions_n = sum(len(t.counted) for t in methods if t.method.name in given)
                value, variances = _together(list(given.values()))
                found.append(Contribution(task, kind, figure, len(given), sessions_n, value, *variances))
    return tuple(found)


def _kind(method: Method, season: Season) -> str:
    """Kinds of the powered tools of a method; by hand if it has none."""
    kinds = {tool.kind for tool in season.tools if tool.name in method.tools and tool.kind_row.is_powered}
    return " and ".join(sorted(kinds)) or BY_HAND


def _logs(totals: MethodTotals, figure_id: str, rates: SeasonRates, parts: Sequence[SeasonRates]) -> Array | None:
    """Logs of all members of a figure, and of those by each source of doubt; None if it has none."""
    figure = rates.figure(totals, figure_id)
    if figure.members is None:
        return None
    members = np.vstack(
        np.broadcast_arrays(figure.members, *(np.asarray(part.number(totals, figure_id)) for part in parts))
    )
    return np.log(members) if members.min() > 0 else None


def _together(methods: Sequence[Array]) -> tuple[Figure, list[float]]:
    """A figure of several methods of a kind, each by its certainty, and the variance of its log by each source.

    They are brought together draw by draw: what two of them share, as one tape, does not shrink with their number.
    """
    certain = [1 / _variance(logs[0]) for logs in methods]
    shared = [share / math.fsum(certain) * one for share, one in zip(certain, methods, strict=True)]
    logs = sum(shared, start=np.zeros_like(methods[0]))
    return drawn(np.exp(logs[0])).let_go(), [_variance(one) for one in logs[1:]]


def _variance(logs: Array) -> float:
    """Variance of the draws; the nominal member is none of them."""
    draws = logs[1:]
    middle = math.fsum(draws.tolist()) / draws.size
    return math.fsum(((draws - middle) ** 2).tolist()) / draws.size


def pooled_figures(seasons: Sequence[SeasonOfPool], *, one_household: bool) -> list[PooledFigure]:
    """Every figure that a season gives, by task and kind of tools; money of each currency and year by itself."""
    parts = defaultdict(list)
    for season in seasons:
        for one in season.figures:
            money = season.money if one.figure in MONEY else None
            parts[one.task, one.kind, FIGURES.index(one.figure), money].append((season, one))
    keys = sorted(parts, key=lambda key: (*key[:3], key[3] or ("", 0)))
    return [
        PooledFigure(task, kind, FIGURES[figure], money, tuple(parts[task, kind, figure, money]), one_household)
        for task, kind, figure, money in keys
    ]


def pooled_rows(figures: Iterable[PooledFigure]) -> Iterator[Row]:
    """One row for each figure over all seasons."""
    for one in figures:
        found, is_alone = one.found, len(one.parts) == 1
        yield {
            **one.about,
            "seasons_n": len(one.parts),
            "value": _figure(found),
            "next_season": _figure(found, of_next=True),
            "spread": not_given(said(Reason.ONE_SEASON)) if is_alone else Figure(100 * agreed(found.spread)),
            "agreement": found.agreement,
            "heaviest": Figure(100 * agreed(max(found.shares))),
        }


def contribution_rows(figures: Iterable[PooledFigure]) -> Iterator[Row]:
    """One row for each season of each figure."""
    for one in figures:
        for (season, part), share in zip(one.parts, one.found.shares, strict=True):
            yield {
                **one.about,
                "season": season.name,
                "methods": str(part.methods_n),
                "sessions_n": part.sessions_n,
                "value": part.value,
                "weight": Figure(100 * agreed(share)),
            }


def without_rows(figures: Iterable[PooledFigure]) -> Iterator[Row]:
    """One row for each season left out, where at least three give the figure."""
    for one in figures:
        if len(one.parts) < 3:
            continue
        for i, (season, _) in enumerate(one.parts):
            rest = pooled([*one.households[:i], *one.households[i + 1 :]])
            yield {
                **one.about,
                "season": season.name,
                "value": _figure(rest),
                "change": Figure(100 * math.expm1(agreed(rest.log_value - one.found.log_value))),
            }


def trend_rows(figures: Iterable[PooledFigure]) -> Iterator[Row]:
    """One row for each figure that three years or more give."""
    for one in figures:
        dated = [(season.year, part.log) for season, part in one.parts if season.year is not None]
        years = sorted({year for year, _ in dated})
        if len(years) < LEAST_YEARS:
            continue
        per_year = _trend([float(year - years[0]) for year, _ in dated], [log for _, log in dated])
        yield {
            **{key: text for key, text in one.about.items() if key != "unit"},
            "years": said(InPool.YEARS, first=years[0], last=years[-1]),
            "per_year": per_year,
            "words": _trend_words(per_year),
        }


def _trend(years: list[float], logs: list[float]) -> Figure:
    fit = least_squares(columns=[[1.0] * len(years), years], values=logs)
    slope, error = fit.combined([0.0, 1.0])
    half = student_quantile((1 + value("interval.level") / 100) / 2, len(years) - 2) * error
    low, middle, high = (100 * math.expm1(end) for end in (slope - half, slope, slope + half))
    return Figure(middle, None, low, high)


def _trend_words(per_year: Figure) -> Trend:
    if per_year.low is not None and per_year.low > 0:
        return Trend.MORE
    if per_year.high is not None and per_year.high < 0:
        return Trend.LESS
    return Trend.NO_CHANGE


def _figure(found: Households, *, of_next: bool = False) -> Figure:
    low, high = found.next_ends if of_next else found.ends
    return Figure(math.exp(found.log_value), None, math.exp(low), math.exp(high))
