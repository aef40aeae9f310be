"""Least-cost mix of methods for a wanted volume under limits, by linear programming.

A cord needs every task once, so the cords of the methods of each task add up to the wanted cords. Every limit and
cost is a sum over tasks, so this equals mixing combinations, with far fewer unknowns.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Generic, NamedTuple, TypeVar

from wood_xl.arguments import require_not_negative, require_positive

TINY = 1e-9  # share of the wanted cords, of a limit or of a piece that counts as none

LimitT = TypeVar("LimitT")  # key of a limit


class Option(NamedTuple, Generic[LimitT]):
    """One way to do one task, by certain people."""

    name: str
    task: str
    cost: float  # per cord, or per piece if ``is_whole``
    takes: Mapping[LimitT, float]  # of each limit, per cord or piece; below 0 adds room
    least: float = 0.0  # fewest cords, which trials make in any case
    is_whole: bool = False  # does no task and comes in whole pieces, as days of rent do


class Mix(NamedTuple, Generic[LimitT]):
    """Cords or pieces of each option, in order, and the limits of which more would lower the cost."""

    cords: tuple[float, ...]
    cost: float
    binding: tuple[LimitT, ...]


class MostCords(NamedTuple, Generic[LimitT]):
    """The most cords within the limits, and the limits of which more would allow more."""

    cords: float
    binding: tuple[LimitT, ...]


def least_cost_mix(
    *, options: Sequence[Option[LimitT]], limits: Mapping[LimitT, float], cords: float
) -> Mix[LimitT] | None:
    """Cords by each option that do every task for all cords at least cost within all limits.

        least sum(cost * cords of option)
        with  sum over the options of a task = wanted cords,  sum(takes * cords of option) <= limit,
              cords of option >= least of option

    Source: wood_xl_definitions, mix of methods.

    Hand work costs 1 a cord and takes 8 h, the machine costs 3 and takes 2 h; 20 h make 5 cords:

    >>> hand, machine = Option("hand", "split", 1, {"h": 8}), Option("machine", "split", 3, {"h": 2})
    >>> [round(n, 9) for n in least_cost_mix(options=[hand, machine], limits={"h": 20}, cords=5).cords]
    [1.666666667, 3.333333333]
    """
    solution = _solved(options, limits, cords, is_most=False)
    if solution is None:
        return None
    shares, binding = solution
    sizes = [1.0 if option.is_whole else cords for option in options]
    made = tuple(0.0 if share < TINY else share * size for share, size in zip(shares, sizes, strict=True))
    cost = math.fsum(n * option.cost for n, option in zip(made, options, strict=True))
    return Mix(made, cost, binding)


def most_cords(
    *, options: Sequence[Option[LimitT]], limits: Mapping[LimitT, float], cords: float
) -> MostCords[LimitT]:
    """The most cords within the limits, up to the wanted cords.

        most  cords  with  sum over the options of a task = cords,  sum(takes * cords of option) <= limit,
                           cords of option >= least of option

    No limit binds if all wanted cords can be made. All bind, at 0 cords, if the least of the options is too much.

    Source: wood_xl_definitions, most cords.

    >>> hand = Option("hand", "split", 1, {"h": 8, "cash": 2})
    >>> most_cords(options=[hand], limits={"h": 20, "cash": 100}, cords=5)
    MostCords(cords=2.5, binding=('h',))
    """
    solution = _solved(options, limits, cords, is_most=True)
    if solution is None:  # the least of the options exceeds the limits; without them 0 cords always fit
        return MostCords(0.0, tuple(limits))
    shares, binding = solution
    share = min(max(shares[-1], 0.0), 1.0)
    return MostCords(cords, ()) if share >= 1 - TINY else MostCords(share * cords, binding)


def _solved(
    options: Sequence[Option[LimitT]], limits: Mapping[LimitT, float], cords: float, *, is_most: bool
) -> tuple[list[float], tuple[LimitT, ...]] | None:
    """Share of the wanted cords by each option (pieces, if it is whole) at least cost, and the binding limits.

    With ``is_most``, the share of the wanted cords that can be made is one more unknown, which is maximized. The
    unknowns are shares, because a few cords below the tolerance of the solver would seem made when none are.
    """
    import highspy  # noqa: PLC0415 - for a season with a plan only

    require_positive(cords=cords)
    for limit in limits.values():
        require_not_negative(limit=limit)

    class Solver(highspy.Highs):
        """A solver silenced before its callbacks start, which would print a line."""

        def enableCallbacks(self) -> None:  # noqa: N802 - its name
            self.silent()
            super().enableCallbacks()  # type: ignore[no-untyped-call]

    units = [cords if option.is_whole else 1.0 for option in options]
    takes = [
        [option.takes.get(name, 0.0) / unit for option, unit in zip(options, units, strict=True)] for name in limits
    ]
    tasks = dict.fromkeys(option.task for option in options if not option.is_whole)
    does = [[float(option.task == task) for option in options] for task in tasks]
    cost = [option.cost / unit for option, unit in zip(options, units, strict=True)]
    least, most, made = [option.least / cords for option in options], [math.inf] * len(options), 1.0
    if is_most:
        cost, least, most, made = [0.0] * len(options) + [-1.0], [*least, 0.0], [*most, 1.0], 0.0
        takes, does = [[*row, 0.0] for row in takes], [[*row, -1.0] for row in does]
    solver, places = Solver(), list(range(len(cost)))  # type: ignore[no-untyped-call]
    solver.setOptionValue("threads", 1)
    solver.addVars(len(cost), least, most)
    solver.changeColsCost(len(cost), places, cost)
    for limit, row in zip(limits.values(), takes, strict=True):
        solver.addRow(-math.inf, limit / cords, len(row), places, row)
    for row in does:
        solver.addRow(made, made, len(row), places, row)

    def is_solved() -> bool:
        solver.run()
        return bool(solver.getModelStatus() == highspy.HighsModelStatus.kOptimal)

    if whole := [at for at, option in enumerate(options) if option.is_whole]:
        solver.setOptionValue("mip_rel_gap", 0.0)
        for at in whole:
            solver.changeColIntegrality(at, highspy.HighsVarType.kInteger)
        if not is_solved():
            return None
        pieces = [float(round(solver.getSolution().col_value[at])) for at in whole]
        for at, n in zip(whole, pieces, strict=True):
            solver.changeColIntegrality(at, highspy.HighsVarType.kContinuous)
            solver.changeColBounds(at, n, n)
    if not is_solved():
        return None
    solution = solver.getSolution()
    duals = list(solution.row_dual)[: len(limits)]
    binding = tuple(name for name, dual in zip(limits, duals, strict=True) if dual < 0)
    return [float(share) for share in solution.col_value], binding


def pieces_to_have(*, worn: float) -> int:
    """Whole pieces to have at hand for an expected wear.

    Source: wood_xl_definitions, shopping list.

    >>> pieces_to_have(worn=0.3), pieces_to_have(worn=2.0), pieces_to_have(worn=0.0)
    (1, 2, 0)
    """
    require_not_negative(worn=worn)
    return math.ceil(worn - TINY)
