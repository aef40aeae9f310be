"""Stock of the woodshed against the need: first in, first out, month by month, and what has to be made in time."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
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

MOST_MONTHS, MOST_WINTERS = 240, 12  # that are looked ahead
LACKS = 1e-9  # of a month's need: rounding


class Stock(NamedTuple):
    """The stacks on the last day of the notes, ``now``; empty if there is none."""

    stacks: tuple[Standing, ...]
    now: str

    @property
    def known(self) -> list[Standing]:
        """Stacks of which the wood is known."""
        return [one for one in self.stacks if one.why is None]

    @property
    def withheld(self) -> list[Standing]:
        """Stacks of which nothing can be told."""
        return [one for one in self.stacks if one.why is not None]

    @property
    def winter(self) -> str:
        """First day of the next winter."""
        return dates.winter_after(self.now)

    def burned_last_winter_m3(self) -> float | Said:
        """What the last winter burned; why it is not told while a stack is withheld."""
        why = next((one.why for one in self.stacks if one.why is not None), None)
        if why is not None:
            return why
        first, end = dates.last_winter(self.now)
        return math.fsum(part for one in self.stacks for day, part in one.burned if first <= day < end)


def season_stock(season: Season, heat: HeatStudy) -> Stock:
    """The woodshed of a season; without a stack if it is empty."""
    stacks = tuple(standing_stacks(season, heat))
    days = [session.date for session in season.sessions if session.date and dates.can_be(session.date)]
    for one in stacks:
        if one.why is None:
            days += [one.stacked_on, *(day for day, _ in one.burned), *(r.day for r in one.stack.readings)]
    return Stock(stacks, max(days, default=""))


def with_last_winter(season: Season, stock: Stock) -> Season:
    """The season with the wood of last winter as the woodshed has it, where Next season does not say it."""
    following = season.next_season
    is_asked = following.winter.last_winter_volume_m3 is None and "last_winter_volume" not in following.broken
    if not stock.known or not is_asked:
        return season
    burned = stock.burned_last_winter_m3()
    if isinstance(burned, Said) or not burned:
        return season
    winter = replace(following.winter, last_winter_volume_m3=burned)
    return replace(season, next_season=replace(following, winter=winter))


def winter_need(winter: Sequence[Row]) -> Figure:
    """Cords that a winter needs, by the first way that tells it; as they are wanted if no other way does."""
    ordered = sorted(winter, key=lambda row: row["way"] is Way.WANTED)
    return next((row["cords"] for row in ordered if row["cords"].value), not_given(said(Reason.NO_NEED_OF_WINTER)))


class Month(NamedTuple):
    """A month of the stock, in stacked m3."""

    month: str
    # left_m3, is_dry: what stands of each stack at its beginning or now, and whether that is dry, in each member
    left_m3: tuple[Number, ...]
    is_dry: tuple[Flags, ...]
    need_m3: Number
    lacking_m3: Number  # what dry wood does not meet of its need

    @property
    def dry_m3(self) -> Number:
        """All that is dry."""
        return total(np.where(mask, part, 0.0) for part, mask in zip(self.left_m3, self.is_dry, strict=True))


def months_ahead(stock: Stock, need_m3: Number) -> Iterator[Month]:
    """The stock from now on: each month of a winter burns its part, the oldest dry wood first.

    Of a month of winter that is running it is the days after now.
    """
    left: list[Number] = [one.left_m3 for one in stock.known]
    month, day, part = stock.now[:7], dates.day_number(stock.now), dates.part_after(stock.now)
    if not part or not dates.is_in_winter(month):
        month, day, part = dates.month_after(month), dates.day_number(f"{dates.month_after(month)}-01"), 1.0
    for _ in range(MOST_MONTHS):
        is_dry = tuple(one.is_dry_on(day) for one in stock.known)
        standing = tuple(left)
        need: Number = part * need_m3 / value("winter.months") if dates.is_in_winter(month) else 0.0
        lacking: Number = need
        for at, mask in enumerate(is_dry):
            taken = np.minimum(np.where(mask, left[at], 0.0), lacking)
            left[at], lacking = left[at] - taken, lacking - taken
        yield Month(month, standing, is_dry, need, lacking)
        month, part = dates.month_after(month), 1.0
        day = dates.day_number(f"{month}-01")


class WinterAhead(NamedTuple):
    """A winter that comes, in stacked m3: its need, dry wood when it begins, and what that does not meet of it.

    Of a winter that is running it is the rest of it.
    met_until: last month whose need dry wood meets in full as things stand; empty if the first one lacks some.
    """

    first_day: str
    need_m3: Number
    dry_m3: Number
    lacking_m3: Number
    met_until: str


class Outlook(NamedTuple):
    """What the stock means for the winters ahead."""

    months: tuple[Month, ...]  # from now to the end of the next winter
    # from the one that is running, if one is, or the next one, to that of the new wood
    winters: tuple[WinterAhead, ...]
    new_winter: str | Said  # first day of the winter for which new wood is dry, or why that is not told
    made_on: str  # day on which new wood is stacked, as Next season says, or now
    # for each winter the kinds of wood that are dry for it if they are made then
    in_time: tuple[tuple[str, ...], ...]

    def at(self, day: str) -> Month:
        """The month that begins on a day."""
        return next(one for one in self.months if one.month == day[:7])


def outlook(stock: Stock, season: Season, heat: HeatStudy, need_m3: Number) -> Outlook:
    """The months and winters ahead of a stock with some wood that is known."""
    made_on = max(season.next_season.ready_by or season.next_season.start or stock.now, stock.now)
    kinds = _winters_of_kinds(stock, heat, min(made_on, dates.LAST_DAY))
    running = dates.winter_of(stock.now)
    is_running = dates.is_in_winter(stock.now[:7]) and running != dates.last_winter(stock.now)[0]
    firsts = [running, stock.winter] if is_running else [stock.winter]
    if not isinstance(kinds, Said):
        while firsts[-1] < max(kinds.values()):
            firsts.append(dates.winter_after(firsts[-1]))
    months: list[Month] = []
    for one in months_ahead(stock, need_m3):
        if one.month >= _end(firsts[-1]):
            break
        months.append(one)
    return Outlook(
        tuple(one for one in months if one.month < _end(stock.winter)),
        tuple(_winter(day, [one for one in months if day[:7] <= one.month < _end(day)]) for day in firsts),
        kinds if isinstance(kinds, Said) else firsts[-1],
        made_on,
        tuple(() if isinstance(kinds, Said) else tuple(k for k, w in kinds.items() if w <= day) for day in firsts),
    )


def _winter(first_day: str, months: Sequence[Month]) -> WinterAhead:
    met = takewhile(lambda one: nominal(one.lacking_m3) <= LACKS * nominal(one.need_m3), months)
    until = [one.month for one in met]
    need, lacking = total(one.need_m3 for one in months), total(one.lacking_m3 for one in months)
    return WinterAhead(first_day, need, months[0].dry_m3 if months else 0.0, lacking, until[-1] if until else "")


def _end(first_day: str) -> str:
    month = first_day[:7]
    while dates.is_in_winter(month):
        month = dates.month_after(month)
    return month


def _winters_of_kinds(stock: Stock, heat: HeatStudy, made_on: str) -> dict[str, str] | Said:
    """For each kind of the season's wood the first winter for which it is dry, stacked on a day."""
    if isinstance(heat.kinds, Said):
        return heat.kinds
    found = {}
    for kind in heat.kinds:
        if kind.tree is not None:
            dry_on = dates.dry_on_by_usual_time(made_on, months=seasoning_months(kind.tree.drying))
            winter = max(stock.winter, dates.winter_from(dates.month_of(dry_on)))
            if int(winter[:4]) - int(stock.winter[:4]) < MOST_WINTERS:
                found[kind.name] = winter
    return found or said(Reason.NOT_KNOWN)


def to_make(need_m3: Number, left_m3: Number) -> Number:
    """What has to be made for a winter beside the dry wood that stands then."""
    made: Array = np.maximum(0.0, need_m3 - left_m3)
    return made if np.ndim(made) else float(made)
