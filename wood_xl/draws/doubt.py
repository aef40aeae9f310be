"""Sources of doubt, factors from measured to equal terms, and trends and outliers in the residuals of the model."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wood_xl.data.load import value
from wood_xl.draws.normal import Array, Mixture, agreed
from wood_xl.draws.rows import Row
from wood_xl.draws.season import Fit, without_row
from wood_xl.draws.verdicts import Rate
from wood_xl.verdicts import Apart, Source


@dataclass(frozen=True, slots=True)
class Factors:
    """Factors from the measured amount to that on equal terms."""

    logs: float
    hands: float
    days: float


@dataclass(frozen=True, slots=True)
class EqualTerms:
    """A method on equal terms: measured amount times factors, or the model's value if that lies outside its ends."""

    measured: float
    factors: Factors
    value: float
    is_by_model: bool


@dataclass(frozen=True, slots=True)
class Difference:
    """Log of the measured amount over that on equal terms, in parts; ``named`` explains it, if one part does."""

    total: float
    parts: dict[Apart, float]
    named: Apart | None


@dataclass(frozen=True, slots=True)
class Trend:
    """Factor on a method's rate each time the number of its rows doubles, with ends.

    by_chance_frac: two-sided probability of such a trend by chance.
    """

    per_doubling: float
    ends: tuple[float, float]
    by_chance_frac: float


@dataclass(frozen=True, slots=True)
class Predicted:
    """A row over its prediction from all others, and how often one would be as far off by chance."""

    row: Row
    times: float
    by_chance_frac: float


def doubt(fit: Fit, first: int, second: int | None = None) -> dict[Source, float]:
    """Share of each source in the variance of a method, or of the difference of two.

        c = C A'    q = V^-1 X c
        A C A' = c' prior c + sum over days of share s^2 (sum q)^2 + sum over rows of q^2 r s^2

    Source: how_sure_defaults, model of the sessions, doubt by source.
    """
    design = fit.design
    target = design.targets[design.methods.index(first)]
    if second is not None:
        target = target - design.targets[design.methods.index(second)]
    c = fit.covariance @ target
    q, row_variance = _row_weights(fit, c)
    by_column = fit.weight @ (c**2 * fit.precision)
    logs, persons = by_column[design.log_columns].sum(), by_column[design.person_columns].sum()
    days = fit.weight @ (fit.day_share * fit.s**2 * ((q @ design.days.T) ** 2).sum(axis=1))
    # Timed cuts are rows of their own, in units of their standard error.
    cuts = ((c @ design.evidence[:, :-1].T) ** 2).sum(axis=1)
    amounts = {
        Source.PERSONS: persons,
        Source.LOGS: logs,
        Source.PRIOR: by_column.sum() - logs - persons,
        Source.DAYS: days,
        Source.SESSIONS: fit.weight @ ((q**2 * row_variance).sum(axis=1) + cuts),
    }
    total = fit.weight @ (c @ target)
    return {source: float(amount / total) for source, amount in amounts.items()}


def _row_weights(fit: Fit, c: Array) -> tuple[Array, Array]:
    """V^-1 X c and the own variance of each row: points by rows."""
    own = _own_variance(fit)
    return _whitened(fit, c @ fit.design.x.T), own * fit.s[:, None] ** 2


def _own_variance(fit: Fit) -> Array:
    return (1 - fit.day_share)[:, None] * fit.k[:, fit.design.method_of] ** 2 * fit.design.factor


def _by_day(fit: Fit, rows: Array) -> Array:
    """Effect of each day implied by values of the rows, share / (1 + share A) x weighted sum: points by days."""
    days, share, own = fit.design.days, fit.day_share[:, None], _own_variance(fit)
    return share / (1 + share * ((1 / own) @ days.T)) * ((rows / own) @ days.T)


def _whitened(fit: Fit, rows: Array) -> Array:
    """V^-1 times values of the rows: each less its day's effect, over its own variance."""
    return (rows - _by_day(fit, rows) @ fit.design.days) / _own_variance(fit) / fit.s[:, None] ** 2


def _residuals(fit: Fit) -> Array:
    return fit.design.y - fit.beta @ fit.design.x.T


def factors(fit: Fit, method: int) -> Factors:
    """Factors of logs, hands and days; exactly 1 where there is nothing to equalize.

        logs = exp(-slope x (mean log size - common one))
        hands = exp(-sum of person effects x (own shares - average ones))    days = exp(-mean day effect)

    Source: how_sure_defaults, model of the sessions, two figures.
    """
    logs, hands = _logs_and_hands(fit, method)
    of_method = fit.design.method_of == fit.design.methods.index(method)
    days = 0.0
    if fit.design.shared_days:
        wood = np.array([row.wood_m3 for row in fit.design.observed.rows])[of_method]
        effects = (fit.weight @ _by_day(fit, _residuals(fit))) @ fit.design.days
        days = float(effects[of_method] @ wood / wood.sum())
    return Factors(agreed(math.exp(-logs)), agreed(math.exp(-hands)), agreed(math.exp(-days)))


def _logs_and_hands(fit: Fit, method: int) -> tuple[float, float]:
    """Shift of a method's log rate by its own logs and by its own hands, against equal terms."""
    design, common = fit.design, fit.design.observed.common
    own = [row for row in design.observed.rows if row.method == method]
    wood_m3 = math.fsum(row.wood_m3 for row in own)
    logs = hands = 0.0
    if common.log_diameter is not None:
        slope = fit.expected(design.slopes[design.methods.index(method)])
        logs = slope * (_mean_log_diameter(own) - common.log_diameter)
    if common.persons:
        effects = (fit.weight @ fit.beta)[design.person_columns]
        shares = [math.fsum(row.wood_m3 * row.shares[p] for row in own) / wood_m3 for p in range(len(common.persons))]
        hands = math.fsum((h - h_0) * v for h, h_0, v in zip(shares, common.hands, effects, strict=True))
    return logs, hands


def _mean_log_diameter(rows: Sequence[Row]) -> float:
    squares = math.fsum(row.wood_m3 * math.exp(2 * (row.log_diameter or 0.0)) for row in rows)
    return math.log(squares / math.fsum(row.wood_m3 for row in rows)) / 2


def equal_terms(fit: Fit, method: int, rate: Rate) -> EqualTerms:
    """Nominal value on equal terms: the measured one times its factors unless that lies outside the model's ends."""
    measured, own = fit.design.observed.measured[method], factors(fit, method)
    nominal = measured * own.logs * own.hands * own.days
    inside = rate.ends is None or rate.ends[0] <= nominal <= rate.ends[1]
    return EqualTerms(measured, own, nominal if inside else measured * agreed(rate.value / measured), not inside)


def difference(fit: Fit, method: int, log_value: float) -> Difference:
    """Why the measured amount differs from that on equal terms.

    ln(measured) - ln(value) = logs + hands + rest
    """
    total = math.log(fit.design.observed.measured[method]) - log_value
    logs, hands = _logs_and_hands(fit, method)
    parts = {Apart.LOGS: logs, Apart.HANDS: hands, Apart.REST: total - logs - hands}
    largest = max(parts, key=lambda part: abs(parts[part]))
    explains = parts[largest] * total > 0 and abs(parts[largest]) >= value("model.part_named") * abs(total)
    return Difference(total, parts, largest if explains else None)


def trend(fit: Fit, order: Sequence[int]) -> Trend:
    """Trend in the residuals of a method's rows, after level, logs, persons and days.

        residual = slope x log2(number of the row) + rest
        slope = o' M y / o' M o    its variance = 1 / o' M o    M = V^-1 - V^-1 X C X' V^-1    o = log2(number)

    ``M`` makes unsure what may look like a trend: the slope of the logs if they became smaller, and the persons if
    one took over from another.

    order: places of one method's rows, the earliest first; at least three.

    Source: how_sure_defaults, learning.
    """
    number_log = np.zeros(fit.design.y.size)
    number_log[list(order)] = np.log2(np.arange(1, len(order) + 1))
    whitened = _whitened(fit, number_log)
    columns = whitened @ fit.design.x
    precision = whitened @ number_log - np.einsum("pi,pij,pj->p", columns, fit.covariance, columns)
    slope = _whitened(fit, _residuals(fit)) @ number_log / precision
    # A grid point that explains the rows better with a trend gains weight.
    logs = np.log(fit.weight) + slope**2 * precision / 2 - np.log(precision) / 2
    weight = np.exp(logs - logs.max())
    weight /= weight.sum()
    mixture = Mixture(slope[None, :], precision[None, :] ** -0.5, weight)
    low, high = (math.exp(end[0]) for end in mixture.ends())
    by_chance = 2 * min(mixture.share_below(0.0)[0], mixture.share_above(0.0)[0], 0.5)
    return Trend(math.exp(weight @ slope), (low, high), float(by_chance))


def far_rows(fits: Sequence[Fit]) -> list[Predicted]:
    """Rows that the others do not predict: at most one of each method, the one with the largest residual.

    Any row could have been the farthest, so the level is divided by the number of rows of the methods judged.

    fits: one amount in all tasks of the season.

    Source: how_sure_defaults, outliers.
    """
    judged, rows_n = [], 0
    for fit in fits:
        residuals = np.abs(fit.weight @ _residuals(fit))
        for method in range(len(fit.design.methods)):
            own = np.flatnonzero(fit.design.method_of == method)
            if own.size >= value("outlier.sessions"):
                rows_n += own.size
                judged.append(predicted(fit, int(own[residuals[own].argmax()])))
    return [one for one in judged if one.by_chance_frac * rows_n < value("outlier.level")]


def predicted(fit: Fit, place: int) -> Predicted:
    """A row against its prediction from all other rows of the season.

    The row itself is left out: a wild one would widen the spread that it is judged by.

        mean = x' b + g (t - w' b)    variance = s^2 (g + (1 - share) k^2 c) + (x - g w)' C (x - g w)
        g = share / (1 + share A): weight of the other rows of its day

    fit: one amount of a task, solved with the other tasks of the season.
    place: of the row; its method must have others.

    Source: how_sure_defaults, outliers.
    """
    full = fit.design
    row, x = full.observed.rows[place], full.x[place]
    others = without_row(fit, place)
    rows, rho = others.design.observed.rows, others.day_share
    same_day = np.array([float(row.day is not None and one.day == row.day) for one in rows])
    by_variance = same_day / _own_variance(others)
    g = rho / (1 + rho * by_variance.sum(axis=1))
    own_x = x - g[:, None] * (by_variance @ others.design.x)
    middle = others.design.mean_y + (own_x * others.beta).sum(axis=1) + g * (by_variance @ others.design.y)
    own = (1 - rho) * others.k[:, full.method_of[place]] ** 2 * full.factor[place]
    variance = others.s**2 * (g + own) + np.einsum("pi,pij,pj->p", own_x, others.covariance, own_x)
    mixture = Mixture(middle[None, :], np.sqrt(variance)[None, :], others.weight)
    by_chance = 2 * min(mixture.share_below(row.log_rate)[0], mixture.share_above(row.log_rate)[0], 0.5)
    return Predicted(row, math.exp(row.log_rate - others.weight @ middle), float(by_chance))
