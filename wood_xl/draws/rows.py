"""Sessions of one task merged into rows: the work of one method and one crew on one day counts once."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from wood_xl.data.load import value
from wood_xl.draws.least_squares import least_squares
from wood_xl.ids import Recorded
from wood_xl.records import MOST_PERSONS

EFFORT = (Recorded.WORKER_HOURS, Recorded.CLOCK_HOURS, Recorded.AT_WORK, Recorded.KCAL)


@dataclass(frozen=True, slots=True)
class Session:
    """One session; persons and methods are numbered by first use.

    place: row of its sheet, which tells undated sessions apart and orders those of a day.
    hands: worker hours of each person.
    amounts: the known ones.
    """

    place: int
    method: int
    wood_m3: float
    amounts: Mapping[Recorded, float]
    day: int | None = None
    hands: Mapping[int, float] | None = None
    diameter_m: float | None = None


@dataclass(frozen=True, slots=True)
class TimedCuts:
    """Timed single cuts of one method."""

    method: int
    areas_m2: tuple[float, ...]
    times_s: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class TaskSessions:
    """All sessions of one task, numbered by first use; ``sawn`` tells crosscutting from other work."""

    number: int
    sawn: bool
    sessions: tuple[Session, ...]
    cuts: tuple[TimedCuts, ...] = ()


@dataclass(frozen=True, slots=True)
class Common:
    """What all amounts of a task share, whatever their rows.

    persons: empty unless every session names its hands, and they are two to MOST_PERSONS.
    hands: share of each person in the task's wood, all methods together.
    log_diameter: log of the common diameter; None unless every session has one.
    """

    persons: tuple[int, ...]
    hands: tuple[float, ...]
    log_diameter: float | None


@dataclass(frozen=True, slots=True)
class Row:
    """Work of one method and one crew on one day; ``day`` is None for an undated session."""

    method: int
    day: int | None
    crew: tuple[int, ...]
    place: int
    wood_m3: float
    amount: float
    shares: tuple[float, ...]
    log_diameter: float | None

    @property
    def log_rate(self) -> float:
        """Log of the amount for a unit of wood."""
        return math.log(self.amount / self.wood_m3)

    @property
    def key(self) -> tuple[int, int | None, tuple[int, ...], int]:
        """Identity of the work across amounts; only undated sessions need the place."""
        return self.method, self.day, self.crew, self.place if self.day is None else 0


@dataclass(frozen=True, slots=True)
class CutSlope:
    """Slope of a method's log rate on log diameter at the common log, by its timed cuts."""

    method: int
    slope: float
    se: float


@dataclass(frozen=True, slots=True)
class Observed:
    """One amount of one task, ready for the model.

    measured: sum of the amount over sum of wood, by method.
    zero: methods with an amount of 0 in every session; they have no rows.
    """

    task: int
    amount: Recorded
    sawn: bool
    rows: tuple[Row, ...]
    common: Common
    measured: Mapping[int, float]
    zero: tuple[int, ...]
    slopes: tuple[CutSlope, ...]


def observed(task: TaskSessions, amount: Recorded) -> Observed:
    """Rows of one amount, with what they share with the task's other amounts."""
    common = _common(task.sessions)
    by_method = defaultdict(list)
    for session in task.sessions:
        if amount in session.amounts:
            by_method[session.method].append(session)
    zero = tuple(sorted(m for m, own in by_method.items() if all(one.amounts[amount] == 0 for one in own)))
    rows = [
        row
        for method, own in by_method.items()
        if method not in zero
        for row in _merged(_filled_up(own, amount), amount, common)
    ]
    return Observed(
        task.number,
        amount,
        task.sawn,
        tuple(sorted(rows, key=_content)),
        common,
        {method: _measured(own, amount) for method, own in by_method.items() if any(one.wood_m3 > 0 for one in own)},
        zero,
        tuple(_cut_slopes(task.cuts, common)) if amount in EFFORT else (),
    )


def _measured(own: Sequence[Session], amount: Recorded) -> float:
    return math.fsum(one.amounts[amount] for one in own) / math.fsum(one.wood_m3 for one in own)


def _content(row: Row) -> tuple[object, ...]:
    """Sort key by content, so that the order of the sheet changes no last digit."""
    day = (1, 0) if row.day is None else (0, row.day)
    return row.method, day, row.crew, row.log_diameter or 0.0, row.shares, row.wood_m3, row.amount


def _common(sessions: Iterable[Session]) -> Common:
    with_wood = [session for session in sessions if session.wood_m3 > 0]
    persons: tuple[int, ...] = ()
    if with_wood and all(_crew(session) for session in with_wood):
        persons = tuple(sorted({person for session in with_wood for person in _crew(session)}))
    if not 2 <= len(persons) <= MOST_PERSONS:
        persons = ()
    log_diameter = None
    if with_wood and all(session.diameter_m is not None for session in with_wood):
        log_diameter = _log_diameter(with_wood)
    rows = _merged(with_wood, None, Common(persons, (), log_diameter))
    wood_m3 = math.fsum(row.wood_m3 for row in rows)
    hands = tuple(math.fsum(row.wood_m3 * row.shares[i] for row in rows) / wood_m3 for i in range(len(persons)))
    return Common(persons, hands, log_diameter)


def _crew(session: Session) -> tuple[int, ...]:
    return tuple(sorted(person for person, hours in (session.hands or {}).items() if hours > 0))


def _log_diameter(sessions: Iterable[Session]) -> float:
    """Log of the quadratic mean diameter, weighted by wood."""
    pairs = [(one.wood_m3, one.diameter_m) for one in sessions if one.diameter_m is not None]
    return math.log(math.fsum(q * d * d for q, d in pairs) / math.fsum(q for q, _ in pairs)) / 2


def _filled_up(own: Iterable[Session], amount: Recorded) -> list[Session]:
    """Sessions with an amount above 0, each with the wood since the last one: a tank is not filled every time."""
    with_wood = [one for one in own if one.wood_m3 > 0]
    in_order = sorted(with_wood, key=lambda one: (one.day is None, one.day or 0, one.place))
    filled: list[list[Session]] = []
    waiting: list[Session] = []
    for session in in_order:
        waiting.append(session)
        if session.amounts[amount] > 0:
            filled.append(waiting)
            waiting = []
    if filled:
        filled[-1][:0] = waiting  # wood after the last filling; the session with the amount stays last
    return [_with_wood_of(together) for together in filled]


def _with_wood_of(together: Sequence[Session]) -> Session:
    *others, session = together
    if not others:
        return session
    has_diameters = all(one.diameter_m is not None for one in together)
    diameter_m = math.exp(_log_diameter(together)) if has_diameters else None
    return replace(session, wood_m3=math.fsum(one.wood_m3 for one in together), diameter_m=diameter_m)


def _merged(sessions: Iterable[Session], amount: Recorded | None, common: Common) -> list[Row]:
    """Rows of sessions with wood; their amounts are 0 if no amount is asked for."""
    groups = defaultdict(list)
    for session in sessions:
        if session.wood_m3 > 0:
            own_day = session.place if session.day is None else None
            groups[session.method, session.day, _crew(session), own_day].append(session)
    return [
        Row(
            method,
            day,
            crew,
            min(one.place for one in group),
            math.fsum(one.wood_m3 for one in group),
            math.fsum(one.amounts[amount] for one in group) if amount else 0.0,
            _shares(group, common.persons),
            None if common.log_diameter is None else _log_diameter(group),
        )
        for (method, day, crew, _), group in groups.items()
    ]


def _shares(group: Sequence[Session], persons: Sequence[int]) -> tuple[float, ...]:
    hours = [math.fsum((one.hands or {}).get(person, 0.0) for one in group) for person in persons]
    return tuple(own / math.fsum(hours) for own in hours)


def _cut_slopes(cuts: Iterable[TimedCuts], common: Common) -> list[CutSlope]:
    if common.log_diameter is None:
        return []
    area_m2 = math.pi * math.exp(2 * common.log_diameter) / 4
    slopes = [cut_slope(one, area_m2) for one in sorted(cuts, key=lambda one: one.method)]
    return [slope for slope in slopes if slope is not None]


def cut_slope(cuts: TimedCuts, area_m2: float) -> CutSlope | None:
    """Slope of the log rate on log diameter by timed cuts; None if they are too few or too alike.

        time of a cut = p + q A        slope = -2 p / (p + q A*), its error by the delta method

    Source: how_sure_defaults, model of the sessions, timed cuts.

    >>> cuts = TimedCuts(0, (0.01, 0.02, 0.03, 0.04, 0.05, 0.06), (30.0, 40.0, 50.0, 60.0, 70.0, 80.0))
    >>> print(f"{cut_slope(cuts, 0.04).slope:.4f}")
    -0.6667
    """
    areas = cuts.areas_m2
    if len(areas) < value("log_size.cuts") or max(areas) < value("log_size.diameter_range") ** 2 * min(areas):
        return None
    fit = least_squares(columns=([1.0] * len(areas), areas), values=cuts.times_s)
    p, q = fit.coefficients
    time = p + q * area_m2
    if time <= 0:
        return None
    _, se = fit.combined((-2 * q * area_m2 / time**2, 2 * p * area_m2 / time**2))
    return CutSlope(cuts.method, -2 * p / time, max(se, value("model.cut_slope_se")))
