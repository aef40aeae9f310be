"""A household over its years: hours and remaining life of each tool, wood made and burned, and heat of a cord."""

from __future__ import annotations

import math
import statistics
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from wood_xl.draws.figure import Figure, Row, not_given
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.sessions import MIN_PER_H, needs
from wood_xl.reasons import Reason, Said, said
from wood_xl.records import Season, Session, Tool
from wood_xl.shed.dates import winter_of
from wood_xl.shed.stock import Stock
from wood_xl.warmth.cord import season_wood
from wood_xl.wood.amounts import name_key


@dataclass(frozen=True)
class HouseholdYear:
    """A household's year by one season's notes."""

    year: int | None
    made: Figure  # wood made in the season [m3]
    burned: Mapping[str, Figure]  # by first day of the winter [m3]; other years may have the rest of a winter
    standing: Figure  # wood left on the last day of the notes [m3]
    heat: Figure  # delivered by a cord [MJ]
    tools: Mapping[str, tuple[Tool, Figure]]  # by key of the name, with the tool's hours in the season


def household_year(
    season: Season, totals: Sequence[MethodTotals], tables: Mapping[str, Sequence[Any]], stock: Stock
) -> HouseholdYear:
    """A household's year by the records and tables of its season."""
    wood, years = season_wood(totals), [int(session.date[:4]) for session in season.sessions if session.date]
    heat, withheld = tables["heat"], next((not_given(stack.why) for stack in stock.withheld), None)
    left = Figure(math.fsum(stack.left_m3 for stack in stock.known))
    return HouseholdYear(
        year=statistics.mode(sorted(years)) if years else season.price_year,
        made=not_given(wood) if isinstance(wood, Said) else Figure(wood.stacked_m3),
        burned={winter: withheld or figure for winter, figure in _burned(stock).items()},
        standing=withheld or (left if stock.stacks else not_given(said(Reason.NOT_WRITTEN))),
        heat=heat[-1]["delivered_heat"] if heat else not_given(said(Reason.NO_KIND_OF_WOOD)),
        tools={name_key(tool.name): (tool, hours_of_season(tool, season)) for tool in season.tools},
    )


def _burned(stock: Stock) -> dict[str, Figure]:
    by_winter: dict[str, list[float]] = {}
    for stack in stock.known:
        for day, part in stack.burned:
            by_winter.setdefault(winter_of(day), []).append(part)
    return {winter: Figure(math.fsum(by_winter[winter])) for winter in sorted(by_winter)}


def burned_by_winter(years: Sequence[HouseholdYear]) -> dict[str, Figure]:
    """Wood burned in each winter, by its first day, from all years; each fire is in the notes of one of them."""
    winters = sorted({winter for year in years for winter in year.burned})
    return {winter: _sum([year.burned[winter] for year in years if winter in year.burned]) for winter in winters}


def hours_of_season(tool: Tool, season: Season) -> Figure:
    """Hours that a tool was used in a season, including sessions that are left out, since they wore it too.

    For an engine or motor the running time, or the time at work if none is written; for a hand tool the time at work.
    A shared tool has one's own hours over one's part in it, as in its cost.
    """
    if tool.held == "shared" and "stock" in tool.broken:
        return not_given(needs(tool.broken["stock"]))
    methods = {method.name for method in season.methods if tool.name in method.tools}
    hours = []
    for session in season.sessions:
        if session.method not in methods:
            continue
        topic = "exposure" if tool.kind_row.is_powered and "exposure" in session.broken else "time"
        if topic in session.broken:
            return not_given(needs(session.broken[topic]))
        if session.elapsed_min is None:
            return not_given(said(Reason.NO_TIME))
        hours.append(_hours(tool, session, session.elapsed_min))
    return Figure(math.fsum(hours) / tool.part_frac)


def _hours(tool: Tool, session: Session, elapsed_min: float) -> float:
    if tool.kind_row.is_powered and session.running_min is not None:
        return session.running_min / MIN_PER_H
    return max(0.0, elapsed_min - session.delay_min - session.service_min) / MIN_PER_H


def hours_after(tool: Tool, season: Season) -> Figure:
    """Hours of a tool after a season: those before it, 0 if none are written, plus those of the season."""
    if "stock" in tool.broken:
        return not_given(needs(tool.broken["stock"]))
    return _sum([Figure(tool.hours_so_far or 0.0), hours_of_season(tool, season)])


def tool_lives(years: Sequence[HouseholdYear]) -> list[Row]:
    """Hours and remaining life of every tool, from a household's years in order.

    Hours so far that a later year gives replace the sum of the years before it.
    """
    names = dict.fromkeys(name for year in years for name in year.tools)
    return [_life([year.tools[name] for year in years if name in year.tools]) for name in names]


def _life(uses: Sequence[tuple[Tool, Figure]]) -> Row:
    last = uses[-1][0]
    hours = Figure(0.0)
    for tool, of_season in uses:
        before = hours if tool.hours_so_far is None else Figure(tool.hours_so_far)
        hours = not_given(needs(tool.broken["stock"])) if "stock" in tool.broken else _sum([before, of_season])
    used = _sum([of_season for _, of_season in uses])
    a_year = used if used.value is None else Figure(used.value / len(uses))
    left = left_years = not_given(said(Reason.NOT_WRITTEN))
    if last.life_h is not None:
        left = hours if hours.value is None else Figure(max(0.0, last.life_h - hours.value))
        left_years = left if left.value is None else a_year
        if left.value is not None and a_year.value is not None:
            left_years = Figure(left.value / a_year.value) if a_year.value else not_given(said(Reason.TAKES_NONE))
    if last.life_years is not None and (left_years.value or 0.0) > last.life_years:
        left_years = not_given(said(Reason.AGES_FIRST, years=last.life_years))
    return Row(tool=last.name, years_n=len(uses), hours=hours, a_year=a_year, left_h=left, left_years=left_years)


def _sum(parts: Sequence[Figure]) -> Figure:
    """Sum of figures; not given, for the same reason, if one of them is not."""
    missing = next((part for part in parts if part.value is None), None)
    return missing or Figure(math.fsum(part.value or 0.0 for part in parts))
