"""The mix of methods for a wanted volume that costs least under limits: linear programs.

A cord needs every task once, so the cords made by the methods of each task add up to the wanted cords. Since every
limit and every cost is a sum over tasks, this is the same as mixing combinations, with far fewer unknowns.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from typing import Generic, NamedTuple, TypeVar

from wood_xl.arguments import require_not_negative, require_positive

TINY = 1e-9  # a share of the wanted cords, or of a limit, that is as good as none

LimitT = TypeVar("LimitT")  # what limits go by


class Option(NamedTuple, Generic[LimitT]):
    """One way to do one task, by certain people: what each cord costs, and takes of each limit.

    ``least`` is the fewest cords of it, which trials make whatever is the best.
    """

    name: str
    task: str
    cost: float
    takes: Mapping[LimitT, float]
    least: float = 0.0


class Mix(NamedTuple, Generic[LimitT]):
    """Cords by each option, in the order of the options; limits of which more would make it cheaper."""

    cords: tuple[float, ...]
    cost: float
    binding: tuple[LimitT, ...]


class MostCords(NamedTuple, Generic[LimitT]):
    """The most cords that the limits allow, and the limits that end it: raising one of them allows more."""

    cords: float
    binding: tuple[LimitT, ...]


def least_cost_mix(
    *, options: Sequence[Option[LimitT]], limits: Mapping[LimitT, float], cords: float
) -> Mix[LimitT] | None:
    """Cords by each option so that every task is done for all cords at the least cost within all limits.

        least sum(cost * cords of option)
        with  sum over the options of a task = wanted cords,  sum(takes * cords of option) <= limit,
              cords of option >= least of option

    Returns none if the limits cannot be kept.

    Source: wood_xl_definitions, mix of methods.

    Hand work costs 1 a cord and takes 8 h, the machine costs 3 and takes 2 h; 20 h make 5 cords:

    >>> hand, machine = Option("hand", "split", 1, {"h": 8}), Option("machine", "split", 3, {"h": 2})
    >>> [round(n, 9) for n in least_cost_mix(options=[hand, machine], limits={"h": 20}, cords=5).cords]
    [1.666666667, 3.333333333]
    """
    _require_ranges(limits, cords)
    names = list(limits)
    equal, wanted = _each_task(options, 1.0)
    outcome = _solved(
        [option.cost for option in options],
        _takes(options, names),
        _for_a_cord(limits, cords),
        equal,
        wanted,
        _least_for_a_cord(options, cords),
    )
    if outcome is None:
        return None
    made = tuple(0.0 if share < TINY else float(share) * cords for share in outcome.x)
    cost = math.fsum(n * option.cost for n, option in zip(made, options, strict=True))
    return Mix(made, cost, _binding(names, outcome))


def most_cords(
    *, options: Sequence[Option[LimitT]], limits: Mapping[LimitT, float], cords: float
) -> MostCords[LimitT]:
    """The most cords that the limits allow, up to the wanted.

        most  cords  with  sum over the options of a task = cords,  sum(takes * cords of option) <= limit,
                           cords of option >= least of option

    Returns with no binding limit if all wanted cords can be made; of none, with all limits, if the least of the
    options is too much.

    Source: wood_xl_definitions, most cords.

    >>> hand = Option("hand", "split", 1, {"h": 8, "cash": 2})
    >>> most_cords(options=[hand], limits={"h": 20, "cash": 100}, cords=5)
    MostCords(cords=2.5, binding=('h',))
    """
    _require_ranges(limits, cords)
    names = list(limits)
    equal, wanted = _each_task(options, 0.0)
    equal = [[*row, -1.0] for row in equal]
    outcome = _solved(
        [0.0] * len(options) + [-1.0],
        [[*row, 0.0] for row in _takes(options, names)],
        _for_a_cord(limits, cords),
        equal,
        wanted,
        [*_least_for_a_cord(options, cords), (0.0, 1.0)],
    )
    if outcome is None:  # without a least, nothing made keeps every limit, and this would be the solver's refusal
        return MostCords(0.0, tuple(names))
    share = min(max(float(outcome.x[-1]), 0.0), 1.0)
    if share >= 1 - TINY:
        return MostCords(cords, ())
    return MostCords(share * cords, _binding(names, outcome))


def _binding(names: Sequence[LimitT], outcome: _Solved) -> tuple[LimitT, ...]:
    return tuple(itertools.compress(names, outcome.is_binding))


def _require_ranges(limits: Mapping[LimitT, float], cords: float) -> None:
    require_positive(cords=cords)
    for limit in limits.values():
        require_not_negative(limit=limit)


def _least_for_a_cord(options: Sequence[Option[LimitT]], cords: float) -> list[tuple[float, float]]:
    """Bounds of each option's cords, as shares of the wanted."""
    return [(option.least / cords, math.inf) for option in options]


def _for_a_cord(limits: Mapping[LimitT, float], cords: float) -> list[float]:
    """The most of each thing for each wanted cord: the solver looks for shares of them, whose size it can tell.

    In cords, so few that they are below its tolerance would seem made when none are.
    """
    return [limit / cords for limit in limits.values()]


def _takes(options: Sequence[Option[LimitT]], names: Sequence[LimitT]) -> list[list[float]]:
    return [[option.takes.get(name, 0.0) for option in options] for name in names]


def _each_task(options: Sequence[Option[LimitT]], cords: float) -> tuple[list[list[float]], list[float]]:
    tasks = list(dict.fromkeys(option.task for option in options))
    return [[float(option.task == task) for option in options] for task in tasks], [cords] * len(tasks)


class _Solved(NamedTuple):
    """Amounts of the unknowns, and for each limit whether a higher one would lower the cost."""

    x: list[float]
    is_binding: list[bool]


def _solved(
    cost: Sequence[float],
    takes: Sequence[Sequence[float]],
    limits: Sequence[float],
    equal: Sequence[Sequence[float]],
    wanted: Sequence[float],
    bounds: Sequence[tuple[float, float]],
) -> _Solved | None:
    import highspy  # noqa: PLC0415 - for a season with a plan only

    class Solver(highspy.Highs):
        """Silent before its callbacks are turned on, which would print a line."""

        def enableCallbacks(self) -> None:  # noqa: N802 - its name
            self.silent()
            super().enableCallbacks()  # type: ignore[no-untyped-call]

    solver = Solver()  # type: ignore[no-untyped-call]
    solver.setOptionValue("threads", 1)
    solver.addVars(len(cost), [low for low, _ in bounds], [high for _, high in bounds])
    solver.changeColsCost(len(cost), list(range(len(cost))), list(cost))
    rows = [*((row, -math.inf, most) for row, most in zip(takes, limits, strict=True))]
    rows += [(row, amount, amount) for row, amount in zip(equal, wanted, strict=True)]
    for row, least, most in rows:
        solver.addRow(least, most, len(row), list(range(len(row))), list(row))
    solver.run()
    if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None
    solution = solver.getSolution()
    return _Solved(list(solution.col_value), [dual < 0 for dual in list(solution.row_dual)[: len(limits)]])
