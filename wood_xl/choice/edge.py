"""Exchange values between the ways of one task: which is least at each value of an hour, and what the next costs."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

from wood_xl.air.method import method_emissions
from wood_xl.draws.ensemble import Number
from wood_xl.draws.figure import Figure, Row, is_of_unknown_doubt, less, not_given, sum_of
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.money.break_even import price_of_hour, price_of_saved
from wood_xl.reasons import Reason, said
from wood_xl.records import Season

FIGURES = ("clock_hours", "worker_hours", "kcal_net", "cash", "cash_and_time", "co2e")


@dataclass(frozen=True, slots=True)
class Values:
    """Exchange values in the season's currency; None is not weighed."""

    hour: float | None = None
    kcal_1000: float | None = None  # of 1,000 kcal spared; below 0 if the exercise is wanted
    co2e_tonne: float | None = None
    waits: str = ""  # cell of a value that waits for a mend; empty if none does

    @property
    def is_more_than_cash(self) -> bool:
        """Whether effort or CO2e is weighed beside cash."""
        return self.kcal_1000 is not None or self.co2e_tonne is not None

    @property
    def weights(self) -> dict[str, float]:
        """Worth of one unit of each figure weighed beside hours: of cash 1, of a kcal, of a kg of CO2e."""
        weights = {"cash": 1.0}
        if self.kcal_1000 is not None:
            weights["kcal_net"] = self.kcal_1000 / 1000
        if self.co2e_tonne is not None:
            weights["co2e"] = self.co2e_tonne / 1000
        return weights


def stated_values(season: Season) -> Values:
    """Values that a season states."""
    items = ("value_of_time", "value_of_effort", "price_of_carbon")
    return Values(
        hour=season.value_of_time_per_h,
        kcal_1000=season.value_of_effort_per_1000_kcal,
        co2e_tonne=season.carbon_price_per_t,
        waits=next((season.broken[item] for item in items if item in season.broken), ""),
    )


HALF, SAME, TWICE = 0.5, 1.0, 2.0  # of the season's yearly volume
CASH_AT = {HALF: "half_volume", SAME: "cash", TWICE: "double_volume"}
KG_PER_TONNE, KCAL = 1000.0, 1000.0


def lower_edge(*, hours: Sequence[float], rest: Sequence[float]) -> list[int]:
    """Ways that are least at some value of an hour from 0 on, the cheapest first and the quickest last.

        sum = rest + v hours;  next way = least (rest' - rest) / (hours - hours') among those with fewer hours

    hours: of each way.
    rest: cash of each way, with whatever else is weighed.

    Returns places of the ways: each is least between its flips with the one before and the one after.

    Source: wood_xl_definitions, lower edge.

    >>> lower_edge(hours=[6.0, 3.0, 4.8, 2.0], rest=[5.0, 20.0, 14.0, 90.0])
    [0, 1, 3]
    """
    places = range(len(hours))
    at = min(places, key=lambda i: (rest[i], hours[i], i))
    edge = [at]
    while quicker := [i for i in places if hours[i] < hours[at]]:
        now = at
        at = min(quicker, key=lambda i: ((rest[i] - rest[now]) / (hours[now] - hours[i]), hours[i], i))
        edge.append(at)
    return edge


@dataclass(frozen=True, eq=False)
class Way:
    """One method of a task, with its figures by id and multiple of the yearly volume."""

    totals: MethodTotals
    figures: Mapping[tuple[str, float], Figure]

    @property
    def name(self) -> str:
        """Name of the method."""
        return self.totals.method.name

    def figure(self, figure_id: str, volume: float = SAME) -> Figure:
        """A figure for a cord; one that does not change with the volume is kept only at the season's."""
        return self.figures.get((figure_id, volume)) or self.figures[figure_id, SAME]

    @property
    def hours(self) -> Figure:
        """Worker hours for a cord."""
        return self.figure("worker_hours")

    def rest(self, values: Values, volume: float = SAME) -> Figure:
        """Cash for a cord, with whatever else is weighed."""
        weights = values.weights
        return sum_of({key: self.figure(key, volume) for key in weights}, weights)

    def lacks(self, values: Values) -> tuple[str, Figure] | None:
        """The first weighed figure that is not given; None if all are."""
        figures = ((key, self.figure(key)) for key in ("worker_hours", *values.weights))
        return next(((key, figure) for key, figure in figures if figure.value is None), None)


def ways_of(methods: Sequence[MethodTotals], rates: SeasonRates, values: Values) -> list[Way]:
    """Methods of a task with their figures; CO2e at other volumes is computed only if it is weighed."""
    at: dict[float, SeasonRates] = {}
    if values.co2e_tonne is not None:
        at = {times: _at_volume(methods, rates, times) for times in (HALF, TWICE)}
    return [
        Way(
            t,
            {
                **{(key, SAME): rates.figure(t, key) for key in ("worker_hours", "kcal_net", "co2e")},
                **{("cash", times): rates.figure(t, key) for times, key in CASH_AT.items()},
                **{("co2e", times): other.figure(t, "co2e") for times, other in at.items()},
            },
        )
        for t in methods
    ]


def _at_volume(methods: Sequence[MethodTotals], rates: SeasonRates, times: float) -> SeasonRates:
    study = rates.study.at(times)
    return SeasonRates(study, rates.costs, {t.method.name: method_emissions(t, study) for t in methods}, rates.design)


@dataclass(frozen=True, eq=False)
class Step:
    """From a cheaper way to a quicker one."""

    cheap: Way
    quick: Way
    values: Values

    @cached_property
    def hours_saved(self) -> Figure:
        """Worker hours that the quicker saves on a cord."""
        return less(self.cheap.hours, self.quick.hours)

    @cached_property
    def cash_more(self) -> Figure:
        """Extra cash that the quicker costs for a cord."""
        return less(self.quick.figure("cash"), self.cheap.figure("cash"))

    @cached_property
    def flips(self) -> dict[float, Figure]:
        """Value of an hour at which both have equal sums, by multiple of the yearly volume."""
        rests = {
            times: less(self.quick.rest(self.values, times), self.cheap.rest(self.values, times)) for times in CASH_AT
        }
        why = {"none": Reason.SAVES_NO_HOUR, "maybe": Reason.MAY_SAVE_NO_HOUR}
        return {times: price_of_saved(more, self.hours_saved, **why) for times, more in rests.items()}

    @property
    def flip(self) -> Figure:
        """Value of an hour at which both have equal sums, at the season's volume."""
        return self.flips[SAME]

    def holds(self, hour: float) -> bool:
        """Whether the range of the flip contains a value of an hour."""
        flip = self.flip
        if flip.members is None:
            return is_of_unknown_doubt(flip) or flip.value == hour
        low = -math.inf if flip.low is None else flip.low
        return low <= hour <= (math.inf if flip.high is None else flip.high)


@dataclass(frozen=True, eq=False)
class Edge:
    """Ways of one task that all have every weighed figure, in the order of the notes."""

    ways: Sequence[Way]
    values: Values
    _rests: dict[str, Figure] = field(default_factory=dict)

    def rest(self, way: Way) -> Figure:
        """Cash for a cord, with whatever else is weighed."""
        if way.name not in self._rests:
            self._rests[way.name] = way.rest(self.values)
        return self._rests[way.name]

    def sum(self, way: Way, hour: float) -> Number:
        """What a cord takes by a way, hours at their value, by all members."""
        return self.rest(way).number + hour * way.hours.number

    def plain_sum(self, way: Way, hour: float) -> float:
        """Nominal value of that sum."""
        return (self.rest(way).value or 0.0) + hour * (way.hours.value or 0.0)

    @cached_property
    def least(self) -> list[Way]:
        """Ways that are least at some value of an hour, the cheapest first."""
        hours = [way.hours.value or 0.0 for way in self.ways]
        rest = [self.rest(way).value or 0.0 for way in self.ways]
        return [self.ways[at] for at in lower_edge(hours=hours, rest=rest)]

    @cached_property
    def steps(self) -> list[Step]:
        """Pairs of neighbors on the edge, the lowest flip first."""
        return [Step(cheap, quick, self.values) for cheap, quick in pairwise(self.least)]

    @property
    def reported(self) -> list[Step]:
        """Pairs to report: where one way is least at any value of an hour, it and the next one."""
        if len(self.ways) < 2:
            return []
        if self.steps:
            return self.steps
        (best,) = self.least
        return [Step(self.next_to(best, self.values.hour or 0.0), best, self.values)]

    @property
    def quickest(self) -> Way:
        """The way with the fewest hours."""
        return min(self.ways, key=lambda way: way.hours.value or 0.0)

    def least_at(self, hour: float) -> Way:
        """The way that is least at a value of an hour."""
        return min(self.ways, key=lambda way: self.plain_sum(way, hour))

    def next_to(self, way: Way, hour: float) -> Way:
        """The least of all other ways at a value of an hour."""
        others = [one for one in self.ways if one is not way]
        return min(others, key=lambda one: self.plain_sum(one, hour))

    @cached_property
    def is_of_unknown_doubt(self) -> bool:
        """Whether the doubt of a weighed figure is unknown."""
        return any(is_of_unknown_doubt(one) for way in self.ways for one in (way.hours, self.rest(way)))


def exchange_row(step: Step) -> Row:
    """Row of two neighbors."""
    cheap, quick, hour = step.cheap, step.quick, step.values.hour
    kcal_saved = less(cheap.figure("kcal_net"), quick.figure("kcal_net"))
    co2e_more = less(quick.figure("co2e"), cheap.figure("co2e"))
    clean, dirty = (quick, cheap) if (co2e_more.value or 0.0) < 0 else (cheap, quick)
    hours_more, cash_more = less(clean.hours, dirty.hours), less(clean.figure("cash"), dirty.figure("cash"))
    tonnes_avoided = less(dirty.figure("co2e"), clean.figure("co2e")).times(1 / KG_PER_TONNE)
    avoids = {"none": Reason.AVOIDS_NONE, "maybe": Reason.MAY_AVOID_NONE}
    co2e_tonne = not_given(said(Reason.NO_VALUE_OF_HOUR))
    if hour is not None:  # the cleaner way takes more hours, at their value, less the cash that it saves
        more = sum_of({"hours": hours_more, "cash": cash_more}, {"hours": hour, "cash": 1.0})
        co2e_tonne = price_of_saved(more, tonnes_avoided, **avoids)
    spares = {"none": Reason.SAVES_NO_EFFORT, "maybe": Reason.MAY_SAVE_NO_EFFORT}
    return Row(
        task=quick.totals.method.task,
        method=quick.name,
        instead_of=cheap.name,
        hours_saved=step.hours_saved,
        cash_more=step.cash_more,
        kcal_saved=kcal_saved,
        co2e_more=co2e_more,
        hour=price_of_hour(step.cash_more, step.hours_saved),
        kcal_1000=price_of_saved(step.cash_more, kcal_saved.times(1 / KCAL), **spares),
        co2e_tonne=co2e_tonne,
        co2e_tonne_hours=price_of_saved(hours_more, tonnes_avoided, **avoids),
        flip=step.flip,
        flip_half=step.flips[HALF],
        flip_twice=step.flips[TWICE],
    )
