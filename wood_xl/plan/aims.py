"""What the verdict on each task asks of a plan: a method, and the extra cost of every other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from wood_xl.choice.edge import Edge, Step, Way
from wood_xl.choice.verdicts import TaskChoice, Verdict
from wood_xl.draws.figure import Figure, not_given, sum_of
from wood_xl.draws.shared_factors import least_shares
from wood_xl.reasons import Reason, said
from wood_xl.verdicts import Kind, Surety

STEP = 1e-4  # least extra cost of another method, as a share of the cost by the verdict's method
OPEN_KINDS = (Kind.TIME_OPEN, Kind.KEEP, Kind.EITHER_OWNED)


@dataclass(frozen=True, eq=False)
class Aim:
    """The ways of one task and the verdict on them, as a plan uses them."""

    choice: TaskChoice
    verdict: Verdict

    @property
    def task(self) -> str:
        """Its id."""
        return self.choice.task

    @property
    def cells(self) -> tuple[str, ...]:
        """Cells to mend before anything can be advised."""
        waits = self.verdict.kind is Kind.WAITS
        return tuple(dict.fromkeys(self.choice.waiting)) or (self.choice.values.waits,) if waits else ()

    @property
    def hour(self) -> float:
        """Value of an hour; 0 if it is not stated."""
        return self.choice.values.hour or 0.0

    @cached_property
    def free(self) -> list[Way]:
        """Ways with known hours that somebody may do."""
        ways = [] if self.cells else self.choice.ways
        return [way for way in ways if way.name not in self.choice.barred and way.hours.value is not None]

    @cached_property
    def edge(self) -> Edge | None:
        """These ways by their sums; None if any way lacks a figure that is weighed."""
        return Edge(self.free, self.choice.values) if self.free and self.choice.edge is not None else None

    @cached_property
    def _order(self) -> list[Way]:
        """Ways by preference: that of the verdict, then the cheapest; of equals, the owned, then the quicker."""

        def place(way: Way) -> tuple[bool, float, bool, float]:
            is_other = self.verdict.choice is not None and way.name != self.verdict.choice.name
            return is_other, self._sum(way), bool(self.choice.to_buy(way)), way.hours.value or 0.0

        return sorted(self.free, key=place)

    def _sum(self, way: Way) -> float:
        """What a cord costs in all, as things stand; by hours alone if a price is missing."""
        if self.edge is None:
            return self.hour * (way.hours.value or 0.0)
        return self.edge.plain_sum(way, self.hour)

    @property
    def method(self) -> str:
        """The method of the verdict, or the cheapest if the verdict is open; empty if nobody may do any."""
        return self._order[0].name if self._order else ""

    @property
    def size(self) -> float:
        """What a cord costs in all by that method."""
        return abs(self._sum(self._order[0])) if self._order else 0.0

    @cached_property
    def costs(self) -> dict[str, float]:
        """Extra cost of a cord by each method; at least a little more for each later one in order."""
        least = STEP * (self.size or 1.0)
        return {
            way.name: max(self._sum(way) - self._sum(self._order[0]), rank * least)
            for rank, way in enumerate(self._order)
        }

    def more(self, made: Mapping[str, float]) -> Figure:
        """Extra cost of cords by other methods, compared with that method."""
        if self.edge is None:
            return not_given(said(Reason.NO_CASH))
        cords = {**made, self.method: -sum(made.values())}
        figures, weights = dict[str, Figure](), dict[str, float]()
        for way in self.free:
            for figure, worth in ((self.edge.rest(way), 1.0), (way.hours, self.hour)):
                if way.name in cords and worth:
                    key = f"{len(figures)}"
                    figures[key], weights[key] = figure, worth * cords[way.name]
        return sum_of(figures, weights)

    @property
    def rivals(self) -> tuple[str, str] | None:
        """The two methods that the verdict decides between, its own first; None if there is only one."""
        if len(self.free) < 2:
            return None
        two = self._order[:2] if self.edge is None else self._two_of(self.edge)
        first, second = sorted((way.name for way in two), key=lambda name: name != self.method)
        return first, second

    def _two_of(self, edge: Edge) -> Sequence[Way]:
        """Neighbors on the edge where hours decide; else the verdict's way and the likeliest other to be cheapest."""
        hour, steps = self.choice.values.hour, edge.steps
        if not self.is_open_by_hours and hour is not None:
            shares = least_shares([edge.sum(way, hour) for way in edge.ways])
            others = [(share, way) for share, way in zip(shares, edge.ways, strict=True) if way is not self._order[0]]
            return self._order[0], max(others, key=lambda other: other[0])[1]
        if not steps:
            (best,) = edge.least
            return best, min((way for way in edge.ways if way is not best), key=lambda way: way.hours.value or 0.0)
        if hour is None:
            step = next(filter(_may_save_nothing, steps), steps[0])
        else:
            first = edge.least_at(hour)
            step = next((one for one in steps if one.quick is first), steps[0])
        return step.cheap, step.quick

    @property
    def is_open_by_hours(self) -> bool:
        """Whether the only open question is which method is quicker."""
        return self.edge is None or self.verdict.kind is Kind.TIME_OPEN

    @property
    def is_open(self) -> bool:
        """Whether more trials could change what is advised."""
        if len(self.free) < 2 or self.verdict.kind in (Kind.WAITS, Kind.SAME):
            return False
        if self.verdict.surety in (Surety.OPEN, Surety.LEANS) or self.verdict.kind in OPEN_KINDS:
            return True
        steps = [] if self.edge is None else self.edge.steps
        return self.choice.values.hour is None and any(map(_may_save_nothing, steps))


def _may_save_nothing(step: Step) -> bool:
    return step.flip.members is not None and step.flip.high is None
