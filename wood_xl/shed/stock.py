"""Stock of the woodshed against the need, month by month, and the winters that new wood is for."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import takewhile
from typing import NamedTuple

import numpy as np

from wood_xl.data.load import value
from wood_xl.draws.ensemble import Number, nominal, total
from wood_xl.draws.figure import Figure, Row, not_given
from wood_xl.draws.normal import Array
from wood_xl.ids import Way
from wood_xl.reasons import Reason, Said, said
from wood_xl.records import Season
from wood_xl.shed import dates
from wood_xl.shed.stacks import Flags, Standing, standing_stacks
from wood_xl.warmth.cord import HeatStudy
from wood_xl.wood.moisture import seasoning_months

MOST_MONTHS, MOST_WINTERS = 240, 12  # to look ahead
ROUNDING = 1e-9  # of a month's need


class Stock(NamedTuple):
    """The stacks on the last day of the notes, ``now``; empty if there is none."""

    stacks: tuple[Standing, ...]
    now: str

    @property
    def known(self) -> list[Standing]:
        """Stacks whose volume is known."""
        return [stack for stack in self.stacks if stack.why is None]

    @property
    def withheld(self) -> list[Standing]:
        """Stacks whose volume is not known."""
        return [stack for stack in self.stacks if stack.why is not None]

    @property
    def winter(self) -> str:
        """First day of the next winter."""
        return dates.winter_after(self.now)

    @property
    def last_winter(self) -> tuple[str, str]:
        """First days of the last winter that is over or nearly over, and of the heating year after it."""
        end = dt.date.fromisoformat(self.winter)
        if not value("winter.told_month") <= int(self.now[5:7]) < value("winter.first_month"):
            end = end.replace(year=end.year - 1)
        return end.replace(year=end.year - 1).isoformat(), end.isoformat()

    def burned_last_winter_m3(self) -> float | Said:
        """Wood burned last winter, or why it is not known: not while a stack is withheld."""
        if why := next((stack.why for stack in self.withheld), None):
            return why
        first, end = self.last_winter
        return math.fsum(part for stack in self.stacks for day, part in stack.burned if first <= day < end)


def season_stock(season: Season, heat: HeatStudy) -> Stock:
    """The woodshed of a season."""
    stacks = tuple(standing_stacks(season, heat))
    days = [session.date for session in season.sessions if session.date and dates.can_be(session.date)]
    for standing in stacks:
        if standing.why is None:
            days += [standing.stacked_on, *(day for day, _ in standing.burned)]
            days += [reading.day for reading in standing.stack.readings]
    return Stock(stacks, max(days, default=""))


def with_last_winter(season: Season, stock: Stock) -> Season:
    """The season with the wood that the woodshed burned last winter, if Next season does not give it."""
    following = season.next_season
    if following.winter.last_winter_volume_m3 is not None or "last_winter_volume" in following.broken:
        return season
    if not stock.known:
        return season
    burned = stock.burned_last_winter_m3()
    if isinstance(burned, Said) or not burned:
        return season
    winter = replace(following.winter, last_winter_volume_m3=burned)
    return replace(season, next_season=replace(following, winter=winter))


def winter_need(winter: Sequence[Row]) -> Figure:
    """Cords that a winter needs, by the first way that gives a number; the amount wanted comes last."""
    ordered = sorted(winter, key=lambda row: row["way"] is Way.WANTED)
    return next((row["cords"] for row in ordered if row["cords"].value), not_given(said(Reason.NO_NEED_OF_WINTER)))


class Month(NamedTuple):
    """A month of the stock, in stacked m3."""

    month: str
    # left_m3, is_dry: volume of each stack at the beginning of the month, or now, and whether it is dry
    left_m3: tuple[Number, ...]
    is_dry: tuple[Flags, ...]
    need_m3: Number
    lacking_m3: Number  # need that dry wood does not meet

    @property
    def dry_m3(self) -> Number:
        """Volume of all dry wood."""
        return total(np.where(mask, part, 0.0) for part, mask in zip(self.left_m3, self.is_dry, strict=True))


def months_ahead(stock: Stock, need_m3: Number) -> Iterator[Month]:
    """The stock from now on: each winter month burns its part of the need, the oldest dry wood first.

    If the notes end in a winter month, that month is what remains of it after their last day.
    """
    left: list[Number] = [stack.left_m3 for stack in stock.known]
    month, day = stock.now[:7], dates.day_number(stock.now)
    first, following = _first_day(month), _first_day(_month_after(month))
    part = (following - 1 - day) / (following - first)
    if not part or not _is_in_winter(month):
        month, day, part = _month_after(month), following, 1.0
    for _ in range(MOST_MONTHS):
        is_dry = tuple(stack.is_dry_on(day) for stack in stock.known)
        standing = tuple(left)
        need: Number = part * need_m3 / value("winter.months") if _is_in_winter(month) else 0.0
        lacking: Number = need
        for at, mask in enumerate(is_dry):
            burned = np.minimum(np.where(mask, left[at], 0.0), lacking)
            left[at], lacking = left[at] - burned, lacking - burned
        yield Month(month, standing, is_dry, need, lacking)
        month, part = _month_after(month), 1.0
        day = _first_day(month)


def _month_after(month: str, n: int = 1) -> str:
    return str(np.datetime64(month, "M") + n)


def _first_day(month: str) -> int:
    return dates.day_number(f"{month}-01")


def _is_in_winter(month: str) -> bool:
    """Whether wood is burned in a month."""
    return (int(month[5:7]) - value("winter.first_month")) % 12 < value("winter.months")


class WinterAhead(NamedTuple):
    """A winter ahead, or what remains of the present one, in stacked m3."""

    first_day: str
    need_m3: Number
    dry_m3: Number  # dry wood at its beginning
    lacking_m3: Number  # need that dry wood does not meet
    met_until: str  # last month whose need is met in full by the nominal member; empty if the first one is not
    in_time: tuple[str, ...]  # kinds of new wood that are dry for it


class Outlook(NamedTuple):
    """The stock over the months and winters ahead."""

    months: tuple[Month, ...]  # from now to the end of the next winter
    winters: tuple[WinterAhead, ...]  # from the present or next one to that of the new wood
    new_winter: str | Said  # first day of the first winter for which all new wood is dry, or why it is not known
    made_on: str  # day on which new wood is stacked: that of Next season, or now

    def at(self, day: str) -> Month:
        """The month that begins on a day."""
        return next(month for month in self.months if month.month == day[:7])


def outlook(stock: Stock, season: Season, heat: HeatStudy, need_m3: Number) -> Outlook:
    """The months and winters ahead of a stock with at least one known stack."""
    made_on = max(season.next_season.ready_by or season.next_season.start or stock.now, stock.now)
    kinds = _winters_of_kinds(stock, heat, min(made_on, dates.LAST_DAY))
    running = dates.winter_of(stock.now)
    is_running = _is_in_winter(stock.now[:7]) and running != stock.last_winter[0]
    firsts = [running, stock.winter] if is_running else [stock.winter]
    if not isinstance(kinds, Said):
        while firsts[-1] < max(kinds.values()):
            firsts.append(dates.winter_after(firsts[-1]))
    last_end = _end(firsts[-1])
    months = list(takewhile(lambda month: month.month < last_end, months_ahead(stock, need_m3)))
    first_winters = {} if isinstance(kinds, Said) else kinds
    return Outlook(
        months=tuple(month for month in months if month.month < _end(stock.winter)),
        winters=tuple(_winter(day, months, first_winters) for day in firsts),
        new_winter=kinds if isinstance(kinds, Said) else firsts[-1],
        made_on=made_on,
    )


def _winter(first_day: str, ahead: Sequence[Month], first_winters: Mapping[str, str]) -> WinterAhead:
    months = [month for month in ahead if first_day[:7] <= month.month < _end(first_day)]
    met = [m.month for m in takewhile(lambda m: nominal(m.lacking_m3) <= ROUNDING * nominal(m.need_m3), months)]
    return WinterAhead(
        first_day=first_day,
        need_m3=total(month.need_m3 for month in months),
        dry_m3=months[0].dry_m3 if months else 0.0,
        lacking_m3=total(month.lacking_m3 for month in months),
        met_until=met[-1] if met else "",
        in_time=tuple(kind for kind, winter in first_winters.items() if winter <= first_day),
    )


def _end(first_day: str) -> str:
    """First month after a winter."""
    return _month_after(first_day[:7], int(value("winter.months")))


def _winters_of_kinds(stock: Stock, heat: HeatStudy, made_on: str) -> dict[str, str] | Said:
    """The first winter for which each kind of the season's wood is dry if stacked on a day."""
    if isinstance(heat.kinds, Said):
        return heat.kinds
    winters = {}
    for kind in heat.kinds:
        if kind.tree is not None:
            dry_on = dates.dry_on_by_usual_time(made_on, months=seasoning_months(kind.tree.drying))
            winter = max(stock.winter, dates.winter_from(dates.month_of(dry_on)))
            if int(winter[:4]) - int(stock.winter[:4]) < MOST_WINTERS:
                winters[kind.name] = winter
    return winters or said(Reason.NOT_KNOWN)


def to_make(need_m3: Number, left_m3: Number) -> Number:
    """Wood to make for a winter, beyond the dry wood left for it."""
    made: Array = np.maximum(0.0, need_m3 - left_m3)
    return made if np.ndim(made) else float(made)
