"""Stacks of the woodshed: the volume of each, and the day on which it is dry."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import takewhile
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from wood_xl.data.load import GREEN, species_named, value
from wood_xl.draws.ensemble import Number
from wood_xl.hours.sessions import needs
from wood_xl.reasons import Reason, Said, Stocked, said
from wood_xl.records import Season, Session, ShedStack, Stack, WoodKind
from wood_xl.shed import dates
from wood_xl.warmth.cord import HeatStudy, KindHeat, kind_heat
from wood_xl.warmth.doubt import range_draws
from wood_xl.warmth.drying import driest_dry_frac
from wood_xl.wood.amounts import name_key, tape_stacked_m3
from wood_xl.wood.moisture import dry_from_wet_frac, seasoning_months

ROUNDING = 1e-6  # of a volume or moisture that was typed in another unit
Flags = npt.NDArray[np.bool_]
NO_KIND = said(Reason.NO_KIND_OF_STACK)
MOST_DAYS = 36525.0  # a century: dates stay within the calendar


class Standing(NamedTuple):
    """A stack with what it held, what was burned of it and what is left, in stacked m3."""

    stack: ShedStack
    why: Said | None = None  # why its volume is not known; None if it is
    stacked_on: str = ""
    kind: KindHeat | Said = NO_KIND  # or why heat and drying are not known
    made_m3: float = 0.0
    burned: tuple[tuple[str, float], ...] = ()  # day and volume of each fire
    dry_on: Number | Said = NO_KIND  # number of the day, by all members, or why it is not known
    basis: Said | None = None  # of the day

    @property
    def burned_m3(self) -> float:
        """Volume burned so far."""
        return math.fsum(part for _, part in self.burned)

    @property
    def left_m3(self) -> float:
        """Volume still standing."""
        return max(0.0, self.made_m3 - self.burned_m3)

    def is_dry_on(self, day: int) -> Flags:
        """Whether it is dry on a day, in each member; in none if the day is not known."""
        if isinstance(self.dry_on, Said):
            return np.zeros(1, dtype=np.bool_)
        return np.atleast_1d(np.asarray(self.dry_on <= day, dtype=np.bool_))


def standing_stacks(season: Season, heat: HeatStudy) -> list[Standing]:
    """Every stack of the woodshed, also those that only the sheet Stacks names, oldest first."""
    made = _made_this_season(season)
    written = {name_key(stack.name): stack for stack in season.woodshed}
    broken = dict.fromkeys(session.broken["stock"] for session in season.sessions if "stock" in session.broken)
    named = {
        **{cell: ShedStack(cell, broken={"stock": cell}) for cell in broken},
        **{key: ShedStack(made[key].name) for key in made if key not in written},
        **written,
    }
    stacks = [_standing(stack, made.get(key), season, heat) for key, stack in named.items()]
    return sorted(stacks, key=lambda standing: standing.stacked_on)  # those of one day stay in the order of the notes


class _Made(NamedTuple):
    """A named stack as the sessions of this season made it."""

    name: str
    volume_m3: float | Said
    last_day: str


def _made_this_season(season: Season) -> dict[str, _Made]:
    """Named stacks of this season by the key of their name."""
    sessions_of: dict[str, list[Session]] = {}  # each with the stacks of that name alone
    names: dict[str, str] = {}
    for session in season.sessions:
        stacks_of: dict[str, list[Stack]] = {}
        for stack in session.stacks:
            if stack.name:
                names.setdefault(name_key(stack.name), stack.name)
                stacks_of.setdefault(name_key(stack.name), []).append(stack)
        for key, stacks in stacks_of.items():
            sessions_of.setdefault(key, []).append(replace(session, stacks=tuple(stacks)))
    tasks = {method.name: method.task for method in season.methods}
    return {
        key: _Made(names[key], _stacked_m3(sessions, season, tasks), max(s.date or "" for s in sessions))
        for key, sessions in sessions_of.items()
    }


def _stacked_m3(sessions: list[Session], season: Season, tasks: Mapping[str, str]) -> float | Said:
    """Volume of a stack: that of the task with the most, since several tasks may have measured the same wood."""
    for session in sessions:
        for topic in ("quantity", "stock"):
            if topic in session.broken:
                return needs(session.broken[topic])
    if season.stick_length_m is None:
        cell = season.broken.get("stick_length")
        return needs(cell) if cell else said(Reason.NOT_WRITTEN)
    by_task: dict[str, float] = {}
    for session in sessions:
        volume = tape_stacked_m3(session, season, stick_length_m=season.stick_length_m) or 0.0
        task = tasks.get(session.method, "")
        by_task[task] = by_task.get(task, 0.0) + volume
    return max(by_task.values())


def _standing(stack: ShedStack, made: _Made | None, season: Season, heat: HeatStudy) -> Standing:
    if stack.broken:
        return Standing(stack, needs(next(iter(stack.broken.values()))))
    stacked_on = stack.stacked_on or (made.last_day if made else "")
    volume: float | Said | None = stack.volume_m3
    if volume is None:
        volume = made.volume_m3 if made else said(Reason.NOT_WRITTEN)
    if isinstance(volume, Said):
        return Standing(stack, volume)
    if not stacked_on or not dates.can_be(stacked_on):
        return Standing(stack, said(Reason.NO_DATE_OF_STACK))
    burned = tuple(_fires(stack, volume))
    if math.fsum(part for _, part in burned) > volume * (1 + ROUNDING):
        return Standing(stack, said(Reason.BURNED_MORE_THAN_HELD))
    kind = _kind_of(stack, season, heat)
    dry_on, basis = _dry_on(stack, stacked_on, kind)
    return Standing(stack, None, stacked_on, kind, volume, burned, dry_on, basis)


def _fires(stack: ShedStack, volume: float) -> Iterator[tuple[str, float]]:
    """Day and volume of each fire; one without a volume burned all that was left."""
    left = volume
    for fire in stack.burned:
        part = max(0.0, left) if fire.volume_m3 is None else fire.volume_m3
        left -= part
        yield fire.day, part


def _kind_of(stack: ShedStack, season: Season, heat: HeatStudy) -> KindHeat | Said:
    """Wood of a stack: the kind it names, else the only kind of the season."""
    kinds = () if isinstance(heat.kinds, Said) else heat.kinds
    if stack.kind is None:
        if isinstance(heat.kinds, Said) and season.wood:
            return heat.kinds
        return kinds[0] if len(kinds) == 1 else NO_KIND
    same = [kind for kind in kinds if name_key(kind.name) == name_key(stack.kind)]
    if same:
        return same[0]
    if species_named(stack.kind) is None:
        return heat.kinds if isinstance(heat.kinds, Said) else said(Reason.NOT_ON_THE_LIST)
    return kind_heat(WoodKind(stack.kind), 1.0, heat.solid_fraction)


def _dry_on(stack: ShedStack, stacked_on: str, kind: KindHeat | Said) -> tuple[Number | Said, Said | None]:
    """Day on which a stack is dry: by its last reading, by its rate of drying from there on, or by the usual time."""
    target = value("seasoning.target") / 100 * (1 + ROUNDING)
    if stack.readings and stack.readings[-1].moisture_wet_frac <= target:
        *_, dry = takewhile(lambda reading: reading.moisture_wet_frac <= target, reversed(stack.readings))
        return float(dates.day_number(dry.day)), said(Stocked.BY_READING, day=dry.day)
    usual = None
    if not isinstance(kind, Said) and kind.tree is not None:
        usual = f"seasoning.{kind.tree.drying}", seasoning_months(kind.tree.drying)
    if stack.readings:
        return _from_reading(stack, stacked_on, kind, usual)
    if usual is None:
        return (kind if isinstance(kind, Said) else said(Reason.NOT_ON_THE_LIST)), None
    constant_id, months = usual
    dry_on = dates.dry_on_by_usual_time(stacked_on, months=months * range_draws(constant_id))
    return dry_on, said(Stocked.BY_USUAL_TIME, months=months)


def _from_reading(
    stack: ShedStack, stacked_on: str, kind: KindHeat | Said, usual: tuple[str, float] | None
) -> tuple[Number | Said, Said | None]:
    """Day on which a stack is dry, from its last reading on, at its own rate of drying or else the usual one.

    The doubt of the usual time applies to either rate.
    """
    last = stack.readings[-1]
    driest, target = driest_dry_frac(), _dry_frac(value("seasoning.target") / 100)
    now = _dry_frac(last.moisture_wet_frac)
    green = None if isinstance(kind, Said) or kind.tree is None else kind.tree.as_read(GREEN).green_moisture_dry_pct
    start = _drying_start(stack, stacked_on, None if green is None else green / 100)
    relative = np.ones(1) if usual is None else range_draws(usual[0])

    def time_constants_n(from_dry_frac: float, to_dry_frac: float) -> float:
        return dates.time_constants_n(from_dry_frac=from_dry_frac, to_dry_frac=to_dry_frac, driest_dry_frac=driest)

    if start is not None:
        day, moisture = start
        time_constant_days = (dates.day_number(last.day) - day) / time_constants_n(moisture, now)
        basis = Stocked.BY_OWN_PACE
    elif usual is not None and green is not None and green / 100 > target:
        time_constant_days = usual[1] * dates.DAYS_PER_MONTH / time_constants_n(green / 100, target)
        basis = Stocked.BY_USUAL_PACE
    else:
        return said(Reason.NO_PACE, days=value("seasoning.readings_apart")), None
    days = time_constant_days * relative * time_constants_n(now, target)
    dry_on = dates.day_number(last.day) + np.minimum(days, MOST_DAYS)
    return dry_on, said(basis, percent=100 * last.moisture_wet_frac, day=last.day)


def _drying_start(stack: ShedStack, stacked_on: str, green_frac: float | None) -> tuple[int, float] | None:
    """Day and moisture from which a stack has dried to its last reading: the first reading, else green wood.

    A reading shortly before the last one says nothing, since a meter errs by more than wood dries in that time.
    """
    first, last = stack.readings[0], stack.readings[-1]
    last_day, now = dates.day_number(last.day), _dry_frac(last.moisture_wet_frac)
    starts = [(dates.day_number(first.day), _dry_frac(first.moisture_wet_frac), value("seasoning.readings_apart"))]
    if green_frac is not None:
        starts.append((dates.day_number(stacked_on), green_frac, 1.0))
    return next(((day, frac) for day, frac, apart in starts if last_day - day >= apart and frac > now), None)


def _dry_frac(wet_frac: float) -> float:
    return float(dry_from_wet_frac(moisture_wet_frac=wet_frac))
