"""Several seasons as one study: what each gives, what they say together, and whether they agree.

Methods match by task and kind of tools, whatever they are called at home.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from wood_xl.data.load import value
from wood_xl.data.trade import BY_HAND
from wood_xl.draws.figure import Figure, not_given
from wood_xl.draws.least_squares import least_squares
from wood_xl.draws.pooling import LEAST_FOR_WORDS, Pooled, agreement, pooled, without_each
from wood_xl.draws.shared_factors import own_half_width, whole_half_width
from wood_xl.draws.student import t_quantile
from wood_xl.hours.how_sure import HowSureRow
from wood_xl.ids import PooledMoney
from wood_xl.pages import InPool
from wood_xl.reasons import Reason, Said, said
from wood_xl.records import Method, Season
from wood_xl.verdicts import Trend

FIGURES = ("worker_hours", "clock_hours", "kcal_net", "cash", "co2e")
MONEY = ("cash",)
NEEDS_THREE = said(Reason.NEEDS_THREE)
LEAST_YEARS = 3  # a line through two years has no error

Row = dict[str, Any]
Money = tuple[str, int]


@dataclass(frozen=True)
class KnownRate:
    """A figure of one method of a season, with the two parts of its doubt apart.

    value: per cord, above 0.
    own_variance, common_variance: squared errors of its log: by the scatter of the sessions, and by what all of them
        share.
    own_half: half the width of the log's interval by the sessions alone.
    """

    value: float
    own_variance: float
    common_variance: float
    own_half: float

    @property
    def variance(self) -> float:
        """Squared error of the log."""
        return self.own_variance + self.common_variance


@dataclass(frozen=True)
class MethodOfSeason:
    """One method of one season.

    kind: kinds of its tools, joined.
    rates: id of a figure per cord to what is known of it.
    """

    task: str
    kind: str
    sessions_n: int
    rates: dict[str, KnownRate]


@dataclass(frozen=True)
class SeasonOfPool:
    """One season; ``name`` is its number in the pool, so that nobody's name goes on.

    price_year: year of its prices; that of most sessions if none is written.
    """

    name: str
    year: int | None
    currency: str
    price_year: int | None
    methods: tuple[MethodOfSeason, ...]

    @property
    def money(self) -> Money:
        """What its money is counted in."""
        return self.currency, self.price_year or 0


@dataclass(frozen=True)
class Contribution:
    """What one season gives to one figure: its log, its squared error, and half the width of its interval."""

    season: SeasonOfPool
    methods_n: int
    sessions_n: int
    log: float
    variance: float
    half: float


@dataclass(frozen=True)
class PooledFigure:
    """One figure of one task and kind of tools over all seasons that give it, money in one currency and year."""

    task: str
    kind: str
    figure: str
    parts: tuple[Contribution, ...]

    @property
    def logs(self) -> list[float]:
        """Logs of the seasons."""
        return [part.log for part in self.parts]

    @property
    def variances(self) -> list[float]:
        """Their squared errors."""
        return [part.variance for part in self.parts]

    @property
    def about(self) -> Row:
        """What the row is about."""
        return {"task": self.task, "kind": self.kind, "figure": self.figure, "unit": "", "money": self._money}

    @property
    def _money(self) -> Said | None:
        if self.figure not in MONEY:
            return None
        currency, year = self.parts[0].season.money
        return said(PooledMoney.OF_YEAR if year else PooledMoney.UNKNOWN_YEAR, currency=currency, year=year)


def methods_of_season(
    tables: Mapping[str, Sequence[Any]], season: Season, figures: Iterable[str]
) -> tuple[MethodOfSeason, ...]:
    """Methods with a counted session, and what is known of their figures."""
    kinds = {method.name: _kind(method, season) for method in season.methods}
    wanted = set(figures)
    rates: dict[str, dict[str, KnownRate]] = defaultdict(dict)
    for row in tables["how_sure"]:
        rate = _known_rate(row) if row.figure in wanted else None
        if rate is not None:
            rates[row.method][row.figure] = rate
    return tuple(
        MethodOfSeason(row.task, kinds[row.method], row.sessions_n, rates[row.method])
        for row in tables["rates_per_cord"]
        if row.sessions_n
    )


def _kind(method: Method, season: Season) -> str:
    """Kinds of the powered tools of a method; by hand if it has none."""
    kinds = {tool.kind for tool in season.tools if tool.name in method.tools and tool.kind_row.is_powered}
    return " and ".join(sorted(kinds)) or BY_HAND


def _known_rate(row: HowSureRow) -> KnownRate | None:
    """The parts of a figure's doubt, by its row of how sure it is; None if it has no interval.

    What is common is told there; what the sessions add follows from the width of the interval and their number.
    """
    figure, doubt = row.rate, row.common_doubt.value
    if not figure.value or doubt is None or figure.low is None or figure.high is None:
        return None
    if not 0 < figure.low < figure.high:
        return None
    common = (doubt / 100) ** 2
    own_half = own_half_width(half_width_log=math.log(figure.high / figure.low) / 2, common_variance=common)
    df = value("spread.prior_df") + row.sessions_n - 1
    own_variance = (own_half / t_quantile(probability_frac=(1 + value("interval.level") / 100) / 2, df=df)) ** 2
    return KnownRate(figure.value, own_variance, common, own_half)


def pooled_figures(seasons: Sequence[SeasonOfPool]) -> list[PooledFigure]:
    """Every figure that a season gives, by task and kind of tools; money of each currency and year by itself."""
    keys = sorted({(m.task, m.kind) for season in seasons for m in season.methods})
    all_money = sorted({season.money for season in seasons})
    figures = []
    for task, kind in keys:
        for figure in FIGURES:
            for money in all_money if figure in MONEY else [None]:
                usable = [season for season in seasons if money in (None, season.money)]
                parts = [part for season in usable if (part := _contribution(season, task, kind, figure)) is not None]
                if parts:
                    figures.append(PooledFigure(task, kind, figure, tuple(parts)))
    return figures


def _contribution(season: SeasonOfPool, task: str, kind: str, figure: str) -> Contribution | None:
    """A season's figure; several methods of a kind are brought together by their errors.

    What is common to a method's sessions is taken as common to its methods too, so that it does not shrink with their
    number: one tape measured all, one price was paid.
    """
    methods = [m for m in season.methods if (m.task, m.kind) == (task, kind) and figure in m.rates]
    if not methods:
        return None
    rates = [m.rates[figure] for m in methods]
    total = math.fsum(1 / rate.variance for rate in rates)
    shares = [1 / rate.variance / total for rate in rates]
    mean = math.fsum(share * math.log(rate.value) for share, rate in zip(shares, rates, strict=True))
    own_variance = math.fsum(share**2 * rate.own_variance for share, rate in zip(shares, rates, strict=True))
    own_half = math.hypot(*(share * rate.own_half for share, rate in zip(shares, rates, strict=True)))
    common = (
        math.fsum(share * math.sqrt(rate.common_variance) for share, rate in zip(shares, rates, strict=True)) ** 2
    )
    half = whole_half_width(own_half_width_log=own_half, common_variance=common)
    return Contribution(season, len(methods), sum(m.sessions_n for m in methods), mean, own_variance + common, half)


def pooled_rows(figures: Iterable[PooledFigure]) -> Iterator[Row]:
    """One row for each figure over all seasons."""
    for one in figures:
        of_all = pooled(logs=one.logs, variances=one.variances)
        n = of_all.n
        yield {
            **one.about,
            "seasons_n": n,
            "value": _figure(of_all),
            "next_season": _around(of_all, of_all.next_season, NEEDS_THREE),
            "beyond_chance": Figure(100 * of_all.i2_frac) if n >= LEAST_FOR_WORDS else not_given(NEEDS_THREE),
            "agreement": agreement(seasons_n=n, i2_frac=of_all.i2_frac),
            "heaviest": Figure(100 * max(of_all.weights_frac)),
        }


def contribution_rows(figures: Iterable[PooledFigure]) -> Iterator[Row]:
    """One row for each season of each figure."""
    for one in figures:
        weights = pooled(logs=one.logs, variances=one.variances).weights_frac
        for part, weight in zip(one.parts, weights, strict=True):
            yield {
                **one.about,
                "season": part.season.name,
                "methods": str(part.methods_n),
                "sessions_n": part.sessions_n,
                "value": _of_season(part),
                "weight": Figure(100 * weight),
            }


def _of_season(part: Contribution) -> Figure:
    return Figure(math.exp(part.log), None, math.exp(part.log - part.half), math.exp(part.log + part.half))


def without_rows(figures: Iterable[PooledFigure]) -> Iterator[Row]:
    """One row for each season left out, where at least three give the figure."""
    for one in figures:
        if len(one.parts) < 3:
            continue
        whole = pooled(logs=one.logs, variances=one.variances)
        others = without_each(logs=one.logs, variances=one.variances)
        for part, rest in zip(one.parts, others, strict=True):
            change = 100 * math.expm1(rest.log_mean - whole.log_mean)
            yield {
                **one.about,
                "season": part.season.name,
                "value": _figure(rest),
                "change": Figure(change),
            }


def trend_rows(figures: Iterable[PooledFigure]) -> Iterator[Row]:
    """One row for each figure that three years or more give."""
    for one in figures:
        dated = [(part.season.year, part.log) for part in one.parts if part.season.year is not None]
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
    half = t_quantile(probability_frac=(1 + value("interval.level") / 100) / 2, df=len(years) - 2) * error
    low, middle, high = (100 * math.expm1(end) for end in (slope - half, slope, slope + half))
    return Figure(middle, None, low, high)


def _trend_words(per_year: Figure) -> Trend:
    if per_year.low is not None and per_year.low > 0:
        return Trend.MORE
    if per_year.high is not None and per_year.high < 0:
        return Trend.LESS
    return Trend.NO_CHANGE


def _figure(of_all: Pooled) -> Figure:
    return _around(of_all, of_all.interval, said(Reason.ONE_SEASON))


def _around(of_all: Pooled, ends: tuple[float, float] | None, why_none: Said) -> Figure:
    middle = math.exp(of_all.log_mean)
    return Figure(middle, reason=why_none) if ends is None else Figure(middle, None, *ends)
