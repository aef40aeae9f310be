"""What one season contributes to a study: rates by task and kind of tools, and how the ways of a task compare.

Methods are matched by task and kind of tools, not by name.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import combinations
from typing import NamedTuple

import numpy as np

from wood_xl.data.trade import BY_HAND, unsure
from wood_xl.draws.ensemble import Worlds, ends, last_score
from wood_xl.draws.normal import Array
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.ids import Input
from wood_xl.page_texts import Absent, Studied
from wood_xl.reasons import Key, Said, said
from wood_xl.records import Method, Season
from wood_xl.schema.words import words

WORKER_HOURS, CLOCK_HOURS, KCAL_NET, CASH, CO2E, FLIP = MEASURES = tuple(measure.key for measure in Studied)
RATES = MEASURES[:-1]  # by their names in results
MEASURED_AT_HOME = (Input.TAPE, Input.MASS_OF_TOOL, Input.REPAIRS)
FOOD_OFF = "off"
KINDS_JOINT = " and "  # between the kinds of tools of a way

Way = tuple[str, str]  # task and kind of tools
Logs = Mapping[tuple[str, str, str], Array]  # of members, by way and measure


def is_of_household(key: Key) -> bool:
    """Whether an input is a household's own, such as its tape and its prices, and not common to all households.

    Published figures are common, and so are equations of effort: nobody knows how much of their doubt is the
    person's, and more seasons must not make them look surer than they are.
    """
    return isinstance(key, Said) and (key.id in MEASURED_AT_HOME or key.id.key in unsure())


# Sources of a figure's doubt: its sessions, the household's own inputs, and what all households share.
SOURCES = (
    Worlds(has_input=lambda _: False),
    Worlds(has_sessions=False, has_input=is_of_household),
    Worlds(has_sessions=False, has_input=lambda key: not is_of_household(key)),
)


class Part(NamedTuple):
    """One figure of a season: a rate for a cord, or with ``other`` the ratio of a kind of tools to another.

    Fields are columns of the study's table of contributions; the last four are those of a season in a study.
    """

    task: str
    kind: str
    other: str
    measure: str
    sessions_n: int
    value: float
    low: float
    high: float
    # by_sessions, by_household, by_all: variances of its log from the sessions, from the household's own inputs and
    # from what all households share
    by_sessions: float
    by_household: float
    by_all: float
    household: str = ""
    year: str = ""
    unit: str = ""
    money: str = ""


class NotGiven(NamedTuple):
    """A figure that a season lacks though it has the methods for it, and why; without a task all of a workbook."""

    task: str
    kind: str
    other: str
    measure: str
    reason: str
    who: str = ""


class Matched(NamedTuple):
    """Methods of a season that count as one way."""

    task: str
    kind: str
    methods: tuple[str, ...]
    sessions_n: int


class SeasonParts(NamedTuple):
    """Everything that a season contributes."""

    matched: tuple[Matched, ...]
    parts: tuple[Part, ...]
    not_given: tuple[NotGiven, ...]


def parts_of_season(rates: SeasonRates, *, has_bodies: bool = True) -> SeasonParts:
    """Everything that a season contributes, without figures that have no interval or may be 0 or less."""
    season = rates.study.season
    by_way: dict[tuple[str, str], list[MethodTotals]] = defaultdict(list)
    for totals in rates.study.totals:
        if totals.counted or totals.waiting_cells:
            by_way[totals.method.task, kind_of(totals.method, season)].append(totals)
    by_source = [rates.by(source) for source in SOURCES]
    bodies = {KCAL_NET} | ({CO2E} if season.food_counted != FOOD_OFF else set())
    matched: list[Matched] = []
    figures: list[Part | NotGiven] = []
    logs: dict[tuple[str, str, str], Array] = {}
    for (task, kind), methods in sorted(by_way.items()):
        sessions_n = sum(len(t.counted) for t in methods)
        matched.append(Matched(task, kind, tuple(t.method.name for t in methods), sessions_n))
        for measure in RATES:
            if measure in bodies and not has_bodies:
                figures.append(NotGiven(task, kind, "", measure, words(Absent.NO_BODIES)))
                continue
            logs_or_why = [_logs(t, measure, rates, by_source) for t in methods]
            given = [logs_of for logs_of in logs_or_why if not isinstance(logs_of, Said)]
            reasons = [words(why) for why in logs_or_why if isinstance(why, Said)]
            figures += [NotGiven(task, kind, "", measure, why) for why in reasons[:1]]
            if given:
                logs[task, kind, measure] = _together(given)
                figures.append(_part((task, kind), "", measure, sessions_n, logs[task, kind, measure]))
    by_hand_first = sorted(matched, key=lambda way: (way.task, way.kind != BY_HAND, way.kind))
    for one, other in combinations(by_hand_first, 2):
        if one.task == other.task:
            figures += _between(one, other, logs)
    parts = tuple(figure for figure in figures if isinstance(figure, Part))
    return SeasonParts(tuple(matched), parts, tuple(figure for figure in figures if isinstance(figure, NotGiven)))


def _between(one: Matched, other: Matched, logs: Logs) -> Iterator[Part | NotGiven]:
    """The ratios of the first way to the other, and the value of an hour at which both cost the same."""
    sessions_n = one.sessions_n + other.sessions_n
    for measure in RATES:
        both = [logs.get((*way[:2], measure)) for way in (one, other)]
        if both[0] is not None and both[1] is not None:
            yield _part(one[:2], other.kind, measure, sessions_n, both[0] - both[1])
    yield from _flip(one[:2], other[:2], sessions_n, logs)


def kind_of(method: Method, season: Season) -> str:
    """The kinds of a method's powered tools; by hand if it has none."""
    kinds = {tool.kind for tool in season.tools if tool.name in method.tools and tool.kind_row.is_powered}
    return KINDS_JOINT.join(sorted(kinds)) or BY_HAND


def _logs(totals: MethodTotals, measure: str, rates: SeasonRates, parts: Sequence[SeasonRates]) -> Array | Said:
    """Logs of a figure's members with all doubt and with each source of it alone; or why there are none."""
    figure = rates.figure(totals, measure)
    if figure.value is None:
        return figure.why
    if figure.members is None:
        return said(Absent.NO_RANGE) if figure.value else said(Absent.NONE_USED)
    members = np.vstack(
        np.broadcast_arrays(figure.members, *(np.asarray(part.number(totals, measure)) for part in parts))
    )
    return np.log(members) if members.min() > 0 else said(Absent.NOT_ABOVE_ZERO)


def _together(methods: Sequence[Array]) -> Array:
    """The mean of several methods of one kind, weighted by 1 / variance.

    It is taken draw by draw, so that the doubt of what they share, such as a tape, does not shrink with their number.
    """
    weights = [1 / _variance(logs[0]) for logs in methods]
    weighted = [weight / math.fsum(weights) * logs for weight, logs in zip(weights, methods, strict=True)]
    return sum(weighted, start=np.zeros_like(methods[0]))


def _part(way: Way, other: str, measure: str, sessions_n: int, logs: Array) -> Part:
    variances = map(_variance, logs[1:])
    return _of_members((*way, other, measure), sessions_n, math.exp(logs[0, 0]), np.exp(logs[0]), variances)


def _of_members(
    about: tuple[str, str, str, str], sessions_n: int, middle: float, members: Array, variances: Iterable[float]
) -> Part:
    (low, high), (by_sessions, by_household, by_all) = ends(members), variances
    numbers = (middle, min(low, middle), max(high, middle), by_sessions, by_household, by_all)
    return Part(*about, sessions_n, *numbers)


def _flip(one: Way, other: Way, sessions_n: int, logs: Logs) -> Iterator[Part | NotGiven]:
    """The value of an hour at which both ways cost the same, if the second takes fewer hours and more cash.

    A few draws may save nothing, so the variance follows from the ends, and is split by that of each source.
    """
    keys = [(*way, measure) for measure in (WORKER_HOURS, CASH) for way in (one, other)]
    if not all(key in logs for key in keys):
        return
    slow_h, quick_h, slow_cash, quick_cash = (np.exp(logs[key]) for key in keys)
    saved, more = slow_h - quick_h, quick_cash - slow_cash
    about = (*one, other[1], FLIP)
    if saved[0, 0] <= 0 or more[0, 0] <= 0:
        yield NotGiven(*about, words(Absent.NOT_QUICKER if saved[0, 0] <= 0 else Absent.CHEAPER_TOO))
        return
    flips = np.where(saved > 0, more / np.where(saved > 0, saved, 1.0), np.inf)
    all_ends = [ends(members) for members in flips]
    if not all(0 < low <= high < math.inf for low, high in all_ends):
        yield NotGiven(*about, words(Absent.MAY_SAVE_NOTHING))
        return
    whole, *by_source = ((math.log(high / low) / 2 / last_score()) ** 2 for low, high in all_ends)
    total = math.fsum(by_source)
    variances = (whole * square / total if total else 0.0 for square in by_source)
    yield _of_members(about, sessions_n, float(flips[0, 0]), flips[0], variances)


def _variance(logs: Array) -> float:
    draws = logs[1:]
    middle = math.fsum(draws.tolist()) / draws.size
    return math.fsum(((draws - middle) ** 2).tolist()) / draws.size
