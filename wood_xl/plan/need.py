"""How much wood a plan is for, where it is not written, and when that wood is dry enough to burn."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace

from wood_xl.data.load import value
from wood_xl.ids import Seasoned, Way
from wood_xl.reasons import Said, said
from wood_xl.records import NextSeason
from wood_xl.remark import Facts
from wood_xl.warmth.drying import DryingRow
from wood_xl.warmth.winter import HeatNeedRow
from wood_xl.wood.geometry import cords

DISAGREES = 2.0  # times as much, or half as much
MONTHS = 12

Remark = tuple[str, str, Facts]


def volume_by_need(wanted: NextSeason, winter: Sequence[HeatNeedRow]) -> NextSeason:
    """The same with the volume that the winter needs, by the first way that tells it, where none is written."""
    if wanted.volume_wanted_m3 is not None:
        return wanted
    for row in winter:
        if row.cords.value:
            return replace(
                wanted, volume_wanted_m3=row.cords.value * value("cord.volume_m3"), volume_basis=said(row.way)
            )
    return wanted


def need_remarks(wanted: NextSeason, winter: Sequence[HeatNeedRow]) -> list[Remark]:
    """The first way by which the winter needs twice as much as is wanted, or half."""
    if wanted.volume_wanted_m3 is None:
        return []
    written = cords(wanted.volume_wanted_m3)
    for row in winter:
        if row.way is Way.WANTED or not row.cords.value:
            continue
        times = row.cords.value / written
        if times >= DISAGREES or times <= 1 / DISAGREES:
            facts: Facts = {"found": said(row.way), "value": f"{times:.2g}"}
            return [("plan-need-disagrees", "next_season.volume_wanted", facts)]
    return []


def seasoned(last_session: str | Said, drying: Sequence[DryingRow]) -> Said:
    """When the wood of a plan is dry enough: the month of the last session and the seasoning of each kind."""
    known = [(row.species, int(row.seasoning.value)) for row in drying if row.seasoning.value is not None]
    if not known:
        return said(Seasoned.NOT_TOLD)
    spans = tuple(said(Seasoned.SPAN, species=species, months=months) for species, months in known)
    try:
        end = dt.date.fromisoformat(last_session if isinstance(last_session, str) else "")
    except ValueError:
        return said(Seasoned.AFTER, spans=spans)
    latest = end.year * MONTHS + end.month - 1 + max(months for _, months in known)
    return said(Seasoned.ABOUT, year=latest // MONTHS, month=latest % MONTHS + 1, spans=spans)
