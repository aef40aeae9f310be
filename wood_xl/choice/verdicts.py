"""What is advised for each task, and why: the first kind of verdict that holds, in the order of ``Kind``.

No verdict rests on a withheld figure or names a way that nobody here may be planned for.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from wood_xl.choice.edge import Edge, Step, Values, Way, ways_of
from wood_xl.choice.winners import Judged, is_alike, surety_of_least, winners_of
from wood_xl.data.load import value
from wood_xl.data.trade import tasks
from wood_xl.draws.ensemble import Number, level, nominal
from wood_xl.draws.figure import Figure, Row
from wood_xl.draws.shared_factors import least_shares
from wood_xl.draws.verdicts import surety
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.hours.sessions import MIN_PER_H
from wood_xl.money.cost import spared_by_longer_days
from wood_xl.reasons import Ranged, Reason, Said, Word, said
from wood_xl.records import Tool
from wood_xl.verdicts import Advice, Advised, AtThatHour, Kind, Surety

NOT_TOLD_APART = {Surety.OPEN: Advised.NOT_SETTLED, Surety.SAME: Advised.EITHER}
LACKS = {
    "worker_hours": Reason.NO_HOURS,
    "cash": Reason.NO_CASH,
    "kcal_net": Reason.NO_EFFORT,
    "co2e": Reason.NO_CO2E,
}


@dataclass(frozen=True, eq=False)
class Verdict:
    """What is advised for a task; ``choice`` is None if no way is named."""

    kind: Kind
    head: Said
    parts: tuple[Said, ...]
    surety: Surety
    choice: Way | None = None


@dataclass(frozen=True, eq=False)
class TaskChoice:
    """The ways of one task, and how they compare."""

    task: str
    tried: Sequence[MethodTotals]  # methods with a session that counts
    waiting: Sequence[str]  # cells that sessions of the task wait for, one for each session
    rates: SeasonRates
    values: Values
    compared: Mapping[tuple[str, frozenset[str]], Row]  # rows of Comparisons by figure and names
    barred: Mapping[str, Said]  # methods that nobody here may be planned for, with the reason

    @cached_property
    def ways(self) -> list[Way]:
        """All methods that were tried."""
        return ways_of(self.tried, self.rates, self.values)

    @cached_property
    def priced_edge(self) -> Edge:
        """The ways that have every weighed figure, whoever may do them."""
        return Edge([way for way in self.ways if way.lacks(self.values) is None], self.values)

    @property
    def edge(self) -> Edge | None:
        """All ways, whoever may do them; None if one of them lacks a weighed figure."""
        edge = self.priced_edge
        return edge if edge.ways and len(edge.ways) == len(self.ways) else None

    @property
    def steps(self) -> list[Step]:
        """Exchanges to report: a way without a price removes none between two others."""
        return [] if self.waiting or self.values.waits else self.priced_edge.reported

    @property
    def name(self) -> str:
        """Name of the task."""
        return tasks()[self.task].name

    @property
    def currency(self) -> str:
        """Currency of the season."""
        return self.rates.study.season.currency

    def head(self, advised: Word, way: Way | None = None) -> Said:
        """Head of a verdict."""
        task, methods = tasks()[self.task], self.rates.study.season.methods
        names = [method.name for method in methods if method.task == task.id]
        return said(advised, task=task.name, method=None if way is None else task.short(way.name, names))

    def verdict(self) -> Verdict:
        """The first kind that holds."""
        if len(self.ways) == 1 and not self.waiting and self.ways[0].hours.value is not None:
            return self._only_way(self.ways[0])
        lacking = next(((way, *lack) for way in self.ways if (lack := way.lacks(self.values))), None)
        if len(self.ways) > 1 and lacking is not None:
            return self._price_missing(*lacking)
        if self.waiting or self.values.waits or self.edge is None:
            return self._waits()
        return self._barred(self.edge) or self._decided(self.edge)

    def _only_way(self, way: Way) -> Verdict:
        others = (t for t in self.rates.study.totals if t.method.task == self.task and t.method.name != way.name)
        advice = Advice.ONLY_WAY_THAT_COUNTS if any(t.every for t in others) else Advice.ONLY_WAY
        part, why = said(advice, hours=ranged(way.hours)), self.barred.get(way.name)
        if why is None:
            return Verdict(Kind.ONLY_WAY, self.head(Advised.METHOD, way), (part,), Surety.ONLY_ONE, way)
        parts = (part, said(Advice.ONLY_BARRED, method=way.name, why=why))
        return Verdict(Kind.ONLY_WAY, self.head(Advised.NOBODY), parts, Surety.ONLY_ONE)

    def _price_missing(self, lacking: Way, key: str, figure: Figure) -> Verdict:
        timed = [way for way in self.ways if way.hours.value is not None]
        free = [way for way in timed if way.name not in self.barred]
        if not timed:
            return self._waits()
        quick = min(timed, key=_hours)
        sure = Surety.NOT_KNOWN
        if len(timed) == len(self.ways):
            sure = winners_of(self.ways, "worker_hours", self.compared, self.margin).surety
        choice = min(free, key=_hours, default=None)
        parts = []
        # If nobody may do the quickest way, how sure it is quickest tells nothing of the way chosen instead.
        if choice is None or choice is quick:
            parts.append(said(Advice.BY_TIME_ALONE, surety=sure))
        if quick.name in self.barred:
            parts.append(said(Advice.QUICK_BARRED, method=quick.name, why=self.barred[quick.name]))
        parts.append(said(Advice.LACKING, method=lacking.name, lack=said(LACKS[key]), why=figure.why))
        if choice is not quick:
            sure = Surety.NOT_KNOWN
        if sure in NOT_TOLD_APART:
            return Verdict(Kind.PRICE_MISSING, self.head(NOT_TOLD_APART[sure]), tuple(parts), sure)
        named = Advised.QUICKEST if choice is quick else Advised.METHOD
        head = self.head(Advised.NOBODY if choice is None else named, choice)
        return Verdict(Kind.PRICE_MISSING, head, tuple(parts), sure, choice)

    def _waits(self) -> Verdict:
        cells, n = tuple(dict.fromkeys(self.waiting)), len(self.waiting)
        if not cells:
            part = said(Advice.VALUE_WAITS, cell=self.values.waits)
        elif n == 1:
            part = said(Advice.ONE_WAITS, cells=cells)
        else:
            part = said(Advice.WAIT, n=n, cells=cells)
        return Verdict(Kind.WAITS, self.head(Advised.WAITS), (part,), Surety.NOT_KNOWN)

    def _barred(self, edge: Edge) -> Verdict | None:
        """A verdict among the ways that somebody may be planned for; None if that is all of them."""
        barred = [way for way in edge.ways if way.name in self.barred]
        free = [way for way in edge.ways if way.name not in self.barred]
        if not barred:
            return None
        hour = self.values.hour
        first = edge.least if hour is None else [edge.least_at(hour)]
        would_come_first = [way for way in first if way in barred]
        way, advice = barred[0], Advice.ONLY_BARRED
        if edge.quickest in barred:
            way, advice = edge.quickest, Advice.QUICK_BARRED
        elif would_come_first:
            way, advice = would_come_first[0], Advice.OTHER_BARRED
        elif len(free) > 1:
            return self._decided(Edge(free, self.values))
        part = said(advice, method=way.name, why=self.barred[way.name])
        if not free:
            return Verdict(Kind.NOBODY_MAY, self.head(Advised.NOBODY), (part,), Surety.NOT_KNOWN)
        if len(free) == 1:
            return Verdict(Kind.NOBODY_MAY, self.head(Advised.METHOD, free[0]), (part,), Surety.ONLY_ONE, free[0])
        inner = self._decided(Edge(free, self.values))
        return replace(inner, kind=Kind.NOBODY_MAY, parts=(part, *inner.parts))

    def _decided(self, edge: Edge) -> Verdict:
        """A verdict among ways that somebody may be planned for and that have every weighed figure."""
        verdict = self._same(edge) or self._by_sum(edge)
        if verdict.kind is Kind.TIME_OPEN and len(verdict.parts) == 1:
            return verdict
        parts = list(verdict.parts)
        others = tuple(
            way.name for way in edge.ways if way is not verdict.choice and nominal(self._rent_spared(way)) > 0
        )
        if others:
            parts.append(said(Advice.SHORT_DAYS, methods=others))
        if self.values.is_more_than_cash:
            parts.append(said(Advice.MORE_THAN_CASH))
        return replace(verdict, parts=tuple(parts))

    def _rent_spared(self, way: Way) -> Number:
        """How much less the rent of a cord would be on days as long as the longest session of a plan."""
        longest_min = self.rates.study.season.next_season.longest_session_min or value("plan.longest_session")
        return spared_by_longer_days(self.rates.money(way.name), self.rates.study, longest_min / MIN_PER_H)

    def _same(self, edge: Edge) -> Verdict | None:
        """The verdict that the two ways in question lie within the margin; None if they may not."""
        hour = self.values.hour
        if self.margin is None or edge.is_of_unknown_doubt:
            return None
        if hour is not None:
            one = edge.least_at(hour)
            other = edge.next_to(one, hour)
            is_same = is_alike(edge.sum(one, hour), edge.sum(other, hour), self.margin)
        else:
            one = edge.least[0]
            other = edge.least[-1] if len(edge.least) > 1 else edge.next_to(one, 0.0)
            row = self._compared(one, other)
            is_same = row is not None and row["surety"] is Surety.SAME
            is_same = is_same and is_alike(edge.rest(one).number, edge.rest(other).number, self.margin)
        if not is_same:
            return None
        part = said(Advice.SAME, one=one.name, other=other.name, margin=100 * self.margin)
        return Verdict(Kind.SAME, self.head(Advised.EITHER), (part,), Surety.SAME)

    def _by_sum(self, edge: Edge) -> Verdict:
        """A verdict by cash, what else is weighed, and hours at their value."""
        hour = self.values.hour
        first = edge.least_at(hour) if hour is not None else edge.least[0]
        if len(edge.least) == 1:
            (best,) = edge.least
            step = Step(min((way for way in edge.ways if way is not best), key=_hours), best, edge.values)
            return self._time_open(edge, step) if self._is_time_open(step) else self._dominates(edge)
        if hour is None:
            if all(self._is_time_open(step) for step in edge.steps):
                return self._time_open(edge, edge.steps[0])
            return self._depends(edge)
        below, above = _steps_around(edge.steps, first)
        main = self._main(edge.steps, first, hour)
        if self._is_time_open((below or above)[0]):
            return self._time_open(edge, main)
        if main.holds(hour):
            return self._kept(edge, main, hour)
        parts = [
            said(advice, surety=self._against(edge, first, rival, hour), **self._facts(step, hour))
            for advice, steps in ((Advice.PAYS, below), (Advice.TOO_DEAR, above))
            for step in steps
            for rival in (step.cheap if advice is Advice.PAYS else step.quick,)
        ]
        named = {way.name for step in (*below, *above) for way in (step.cheap, step.quick)}
        parts += self._beside(edge, first, [way for way in edge.ways if way.name not in named], hour)
        kind = Kind.PAYS if below else Kind.TOO_DEAR
        return Verdict(kind, self.head(Advised.METHOD, first), tuple(parts), self._surety(edge, first, hour), first)

    def _main(self, steps: Sequence[Step], first: Way, hour: float) -> Step:
        """The two neighbors that matter most: if possible, two whose flip may lie on either side of the hour."""
        below, above = _steps_around(steps, first)
        main = (below or above)[0]
        unsure = [] if self._is_time_open(main) else [step for step in (*below, *above) if step.holds(hour)]
        return min(unsure, key=lambda step: abs((step.flip.value or 0.0) - hour), default=main)

    def _against(self, edge: Edge, way: Way, other: Way, hour: float) -> Surety:
        """How sure it is that a way has a smaller sum than another."""
        if edge.is_of_unknown_doubt:
            return Surety.NOT_KNOWN
        sums = edge.sum(way, hour), edge.sum(other, hour) - self._rent_spared(other)
        within = self.margin is not None and is_alike(*sums, self.margin)
        return surety(least_shares(sums)[0], float(within), len(edge.ways))

    def _beside(self, edge: Edge, way: Way, others: Sequence[Way], hour: float) -> list[Said]:
        """Sentences about ways that are least at no value of an hour, yet not settled against the advised one."""
        sureties = [(other, self._against(edge, way, other, hour)) for other in others]
        return [
            said(Advice.BESIDE, one=way.name, other=other.name, surety=sure)
            for other, sure in sureties
            if sure is not Surety.SETTLED
        ]

    def _time_open(self, edge: Edge, step: Step) -> Verdict:
        facts = {"quick": step.quick.name, "cheap": step.cheap.name, "hours": ranged(step.hours_saved)}
        head, parts = self.head(Advised.NOT_SETTLED), [said(Advice.TIME_OPEN, **facts)]
        row = self._compared(step.cheap, step.quick)
        sure = Surety.NOT_KNOWN if row is None or row["takes_less"].value is None else Surety.OPEN
        if self.values.hour is not None:
            parts += self._all_the_same(edge, step, self.values.hour)
        return Verdict(Kind.TIME_OPEN, head, tuple(parts), sure)

    def _all_the_same(self, edge: Edge, step: Step, hour: float) -> Iterator[Said]:
        """Which way has the smaller sum, if that is likely although it is open which is quicker."""
        ways = (step.cheap, step.quick)
        one, other = ways if edge.least_at(hour) is step.cheap else ways[::-1]
        sure = self._against(edge, one, other, hour)
        if sure in (Surety.SETTLED, Surety.LIKELY):
            facts = {"one": one.name, "other": other.name, "hour": hour, "currency": self.currency}
            yield said(Advice.ALL_THE_SAME, surety=sure, **facts)

    def _dominates(self, edge: Edge) -> Verdict:
        (best,) = edge.least
        hour = self.values.hour
        step = Step(edge.next_to(best, hour or 0.0), best, self.values)
        both, sure = self._surety(edge, best, None), self._surety(edge, best, hour)
        facts = {"quick": best.name, "other": step.cheap.name, "surety": both, "hours": ranged(step.hours_saved)}
        parts = [said(Advice.DOMINATES_BY_SUM, **facts)]
        if (step.cash_more.value or 0.0) < 0:
            less = ranged(step.cash_more.times(-1))
            parts = [said(Advice.DOMINATES, cash=less, currency=self.currency, **facts)]
        if both is Surety.SETTLED:
            parts.append(said(Advice.NOTHING_TO_WEIGH))
        elif sure is not both:
            parts.append(said(Advice.LESS_AT_THAT_HOUR, hour=hour, surety=sure, currency=self.currency))
        return Verdict(Kind.DOMINATES, self.head(Advised.METHOD, best), tuple(parts), sure, best)

    def _depends(self, edge: Edge) -> Verdict:
        parts = tuple(
            said(
                Advice.DEPENDS,
                quick=step.quick.name,
                cheap=step.cheap.name,
                flip=ranged(step.flip),
                currency=self.currency,
            )
            for step in edge.steps
        )
        return Verdict(Kind.DEPENDS, self.head(Advised.DEPENDS), parts, Surety.NOT_KNOWN)

    def _kept(self, edge: Edge, step: Step, hour: float) -> Verdict:
        """The verdict where the range of a flip holds what an hour is worth: keep what is owned."""
        both = (step.cheap, step.quick)
        owned = [way for way in both if not self.to_buy(way)]
        facts, best = self._facts(step, hour), edge.least_at(hour)
        sure = self._surety(edge, best, hour)
        is_open = sure in (Surety.OPEN, Surety.NOT_KNOWN)
        at_hour = said(AtThatHour.OPEN) if is_open else said(AtThatHour.AHEAD, method=best.name, surety=sure)
        if len(owned) == 2:
            part, head = said(Advice.EITHER_OWNED, told=at_hour, **facts), self.head(Advised.EITHER)
            return Verdict(Kind.EITHER_OWNED, head, (part,), sure)
        choice = owned[0] if owned else min(both, key=self.outlay)
        (other,) = (way for way in both if way is not choice)
        if owned:
            part = said(Advice.KEEP, other=other.name, **facts)
        else:
            part = said(Advice.KEEP_SMALLER_OUTLAY, method=choice.name, told=at_hour, **facts)
        head = self.head(Advised.KEEP if owned else Advised.METHOD, choice)
        return Verdict(Kind.KEEP, head, (part,), self._surety(edge, choice, hour), choice)

    def _facts(self, step: Step, hour: float) -> dict[str, object]:
        return {
            "quick": step.quick.name,
            "cheap": step.cheap.name,
            "hours": ranged(step.hours_saved),
            "flip": ranged(step.flip),
            "hour": hour,
            "currency": self.currency,
        }

    def _surety(self, edge: Edge, way: Way, hour: float | None) -> Surety:
        """How sure it is that a way is the least of all, however long the days are on which the others rent."""
        rent_spared = [0.0 if one is way else self._rent_spared(one) for one in edge.ways]
        return surety_of_least(edge, way, hour, rent_spared)

    @property
    def margin(self) -> float | None:
        """Smallest difference that matters; None if its cell waits for a mend."""
        margin = self.rates.study.margin_frac
        return None if isinstance(margin, Said) else margin

    def _compared(self, one: Way, other: Way) -> Row | None:
        return self.compared.get(("worker_hours", frozenset((one.name, other.name))))

    def _is_time_open(self, step: Step) -> bool:
        """Whether the quicker may not be the quicker, by the model's own probability."""
        row = self._compared(step.cheap, step.quick)
        if row is None or row["takes_less"].value is None:
            return True
        chance: float = row["takes_less"].value / 100
        return (chance if row["less"] == step.quick.name else 1 - chance) < (1 + level()) / 2

    def to_buy(self, way: Way) -> list[Tool]:
        """Tools of a way that are still to buy, also those whose notes do not say how one has them."""
        tools = self.rates.study.tools
        return [tools[name] for name in way.totals.method.tools if name in tools and tools[name].is_to_pay]

    def outlay(self, way: Way) -> float:
        """What the tools still to buy cost."""
        return math.fsum(tool.outlay or 0.0 for tool in self.to_buy(way))

    def buying(self, way: Way) -> list[Said]:
        """Sentence on what a way still has to buy; none if a price is missing."""
        tools, limit = self.to_buy(way), self.rates.study.season.next_season.cash_limit
        if not tools or any(tool.outlay is None or "money" in tool.broken for tool in tools):
            return []
        facts = {"method": way.name, "outlay": self.outlay(way), "currency": self.currency}
        if limit is None:
            return [said(Advice.BUYING, **facts)]
        return [said(Advice.BUYING_WITH_LIMIT, limit=limit, **facts)]

    @property
    def main_step(self) -> Step | None:
        """The two ways that matter most, whoever may do them; None where no flip is known."""
        hour = self.values.hour
        if not self.steps:
            return None
        return self.steps[0] if hour is None else self._main(self.steps, self.priced_edge.least_at(hour), hour)

    @cached_property
    def judged(self) -> dict[str, Judged]:
        """Which way is least in each figure; not known while a session of the task waits for a mend."""
        if not self.ways:
            return {}
        judged = {key: winners_of(self.ways, key, self.compared, self.margin) for key in LACKS}
        if not self.waiting:
            return judged
        return {key: Judged(one.way, Surety.NOT_KNOWN, one.ways_n) for key, one in judged.items()}


def _steps_around(steps: Sequence[Step], way: Way) -> tuple[list[Step], list[Step]]:
    """The steps to a way and from it on."""
    return [step for step in steps if step.quick is way], [step for step in steps if step.cheap is way]


def ranged(figure: Figure) -> Ranged:
    """A figure that is given, for a sentence."""
    return Ranged(figure.value or 0.0, figure.low, figure.high)


def _hours(way: Way) -> float:
    return way.hours.value or 0.0
