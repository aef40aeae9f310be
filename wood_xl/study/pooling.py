"""Several seasons as one study: what each gives, what they say together, and whether they agree.

Methods match by task and kind of tools, whatever they are called at home.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from wood_xl.calc.figure import Figure, not_given
from wood_xl.calc.least_squares import least_squares
from wood_xl.calc.pooling import LEAST_FOR_WORDS, Pooled, agreement_words, pooled, without_each
from wood_xl.calc.rates import log_interval
from wood_xl.calc.student import t_quantile
from wood_xl.data.load import value

FIGURES = ("worker_hours", "clock_hours", "kcal_net", "cash", "co2e")
MONEY = ("cash",)
NEEDS_THREE = "needs three seasons"
LEAST_YEARS = 3  # a line through two years has no error

Row = dict[str, Any]


@dataclass(frozen=True)
class MethodOfSeason:
    """One method of one season.

    Attributes
    ----------
    kind : str
        Kinds of its tools, joined.
    figures : dict
        Id of a figure per cord to its Figure.
    """

    task: str
    kind: str
    sessions_n: int
    figures: dict[str, Figure]


@dataclass(frozen=True)
class SeasonOfPool:
    """One season; ``name`` is its number in the pool, so that nobody's name goes on."""

    name: str
    year: int | None
    currency: str
    methods: tuple[MethodOfSeason, ...]


@dataclass(frozen=True)
class Contribution:
    """What one season gives to one figure: its log with its squared error."""

    season: SeasonOfPool
    methods_n: int
    sessions_n: int
    log: float
    variance: float


@dataclass(frozen=True)
class PooledFigure:
    """One figure of one task and kind of tools over all seasons that give it."""

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
    def words(self) -> Row:
        """What the row is about."""
        return {"task": self.task, "kind": self.kind, "figure": self.figure, "unit": ""}


def pooled_figures(seasons: Sequence[SeasonOfPool], currency: str) -> list[PooledFigure]:
    """Every figure that a season gives, by task and kind of tools; money in one currency only."""
    keys = sorted({(m.task, m.kind) for season in seasons for m in season.methods})
    found = []
    for task, kind in keys:
        for figure in FIGURES:
            usable = [season for season in seasons if figure not in MONEY or season.currency == currency]
            parts = [part for season in usable if (part := _contribution(season, task, kind, figure)) is not None]
            if parts:
                found.append(PooledFigure(task, kind, figure, tuple(parts)))
    return found


def _contribution(season: SeasonOfPool, task: str, kind: str, figure: str) -> Contribution | None:
    """A season's figure; several methods of a kind are brought together by their errors alone."""
    methods = [m for m in season.methods if (m.task, m.kind) == (task, kind) and _variance(m, figure) is not None]
    if not methods:
        return None
    weights = [1 / (_variance(m, figure) or math.inf) for m in methods]
    logs = [math.log(m.figures[figure].value or 1.0) for m in methods]
    total = math.fsum(weights)
    mean = math.fsum(w * y for w, y in zip(weights, logs, strict=True)) / total
    return Contribution(season, len(methods), sum(m.sessions_n for m in methods), mean, 1 / total)


def _variance(method: MethodOfSeason, figure: str) -> float | None:
    """Squared error of the log, by the width of the interval and the degrees of freedom behind it."""
    found = method.figures.get(figure)
    if found is None or not found.value or found.low is None or found.high is None or not 0 < found.low < found.high:
        return None
    df = value("spread.prior_df") + method.sessions_n - 1
    t = t_quantile(probability_frac=(1 + value("interval.level") / 100) / 2, df=df)
    return (math.log(found.high / found.low) / (2 * t)) ** 2


def pooled_rows(figures: Iterable[PooledFigure]) -> Iterator[Row]:
    """One row for each figure over all seasons."""
    for one in figures:
        found = pooled(logs=one.logs, variances=one.variances)
        n = found.n
        yield {
            **one.words,
            "seasons_n": n,
            "value": _figure(found),
            "next_season": _around(found, found.next_season, NEEDS_THREE),
            "beyond_chance": Figure(100 * found.i2_frac) if n >= LEAST_FOR_WORDS else not_given(NEEDS_THREE),
            "agreement": agreement_words(seasons_n=n, i2_frac=found.i2_frac),
            "heaviest": Figure(100 * max(found.weights_frac), reason=""),
        }


def contribution_rows(figures: Iterable[PooledFigure]) -> Iterator[Row]:
    """One row for each season of each figure."""
    for one in figures:
        weights = pooled(logs=one.logs, variances=one.variances).weights_frac
        for part, weight in zip(one.parts, weights, strict=True):
            yield {
                **one.words,
                "season": part.season.name,
                "methods": str(part.methods_n),
                "sessions_n": part.sessions_n,
                "value": _own(part),
                "weight": Figure(100 * weight, reason=""),
            }


def _own(part: Contribution) -> Figure:
    df = value("spread.prior_df") + part.sessions_n - 1
    low, high = log_interval(middle=math.exp(part.log), se_log=math.sqrt(part.variance), df=df)
    return Figure(math.exp(part.log), "", low, high, "")


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
                **one.words,
                "season": part.season.name,
                "value": _figure(rest),
                "change": Figure(change, reason=""),
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
            **{key: text for key, text in one.words.items() if key != "unit"},
            "years": f"{years[0]} to {years[-1]}",
            "per_year": per_year,
            "words": _trend_words(per_year),
        }


def _trend(years: list[float], logs: list[float]) -> Figure:
    fit = least_squares(columns=[[1.0] * len(years), years], values=logs)
    slope, error = fit.combined([0.0, 1.0])
    half = t_quantile(probability_frac=(1 + value("interval.level") / 100) / 2, df=len(years) - 2) * error
    low, middle, high = (100 * math.expm1(end) for end in (slope - half, slope, slope + half))
    return Figure(middle, "", low, high, "")


def _trend_words(per_year: Figure) -> str:
    if per_year.low is not None and per_year.low > 0:
        return "more from year to year"
    if per_year.high is not None and per_year.high < 0:
        return "less from year to year"
    return "no change is shown"


def _figure(found: Pooled) -> Figure:
    return _around(found, found.interval, "one season alone")


def _around(found: Pooled, ends: tuple[float, float] | None, why_none: str) -> Figure:
    middle = math.exp(found.log_mean)
    return Figure(middle, reason=why_none) if ends is None else Figure(middle, "", *ends, "")
