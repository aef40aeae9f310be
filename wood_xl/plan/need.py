"""How much wood a plan is for, where it is not written, and when that wood is dry enough to burn."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import replace

from wood_xl.data.load import value
from wood_xl.draws.figure import Row
from wood_xl.ids import Seasoned, Way
from wood_xl.reading_words import Month
from wood_xl.reasons import Said, said
from wood_xl.records import NextSeason
from wood_xl.remark import Facts, Remark, Stocked
from wood_xl.shed.stock import to_make
from wood_xl.wood.geometry import cords

DISAGREES = 2.0  # times as much, or half as much
MONTHS = 12


def volume_by_need(wanted: NextSeason, winter: Sequence[Row]) -> NextSeason:
    """The same with the volume that the winter needs, by the first way that tells it, where none is written.

    Dry wood that stands in the woodshed when new wood is dry need not be made.
    """
    if wanted.volume_wanted_m3 is not None:
        return wanted
    for row in winter:
        if row["cords"].value:
            basis = said(Stocked.LESS_STANDING, way=row["way"]) if wanted.standing_m3 else said(row["way"])
            return replace(wanted, volume_wanted_m3=_to_make_m3(wanted, row), volume_basis=basis)
    return wanted


def _to_make_m3(wanted: NextSeason, row: Row) -> float:
    return float(to_make((row["cords"].value or 0.0) * value("cord.volume_m3"), wanted.standing_m3))


def need_remarks(wanted: NextSeason, winter: Sequence[Row]) -> list[Remark]:
    """The first way by which the winter needs twice as much as is wanted, or half."""
    if wanted.volume_wanted_m3 is None:
        return []
    written = cords(wanted.volume_wanted_m3)
    for row in winter:
        if row["way"] is Way.WANTED or not row["cords"].value:
            continue
        times = cords(_to_make_m3(wanted, row)) / written
        if times >= DISAGREES or times <= 1 / DISAGREES:
            facts: Facts = {"found": said(row["way"]), "value": f"{times:.2g}"}
            return [("plan-need-disagrees", "next_season.volume_wanted", facts)]
    return []


def seasoned(last_session: str | Said, drying: Sequence[Row]) -> Said:
    """When the wood of a plan is dry enough: the month of the last session and the seasoning of each kind."""
    known = [(row["species"], int(row["seasoning"].value)) for row in drying if row["seasoning"].value is not None]
    if not known:
        return said(Seasoned.NOT_TOLD)
    spans = tuple(said(Seasoned.SPAN, species=species, months=months) for species, months in known)
    end = _month_of(last_session)
    if end is None:
        return said(Seasoned.AFTER, spans=spans)
    year, month = divmod(end + max(months for _, months in known), MONTHS)
    return said(Seasoned.ABOUT, year=year, month=month + 1, spans=spans)


def too_late(last_session: str | Said, drying: Sequence[Row]) -> Said | None:
    """Which winter the wood of a plan is dry for, where that is not the next after its last session."""
    months = [int(row["seasoning"].value) for row in drying if row["seasoning"].value is not None]
    end, begins = _month_of(last_session), int(value("plan.winter_begins")) - 1
    if not months or end is None:
        return None
    following = end + (begins - end) % MONTHS
    dry = end + max(months)
    if dry <= following:
        return None
    later = following + math.ceil((dry - following) / MONTHS) * MONTHS
    names = [*Month]
    return said(
        Seasoned.TOO_LATE,
        month=names[dry % MONTHS],
        year=dry // MONTHS,
        begins=names[begins],
        next=following // MONTHS,
        later=later // MONTHS,
    )


def _month_of(last_session: str | Said) -> int | None:
    """Months since the year 0 of a day; None if it is none."""
    try:
        end = dt.date.fromisoformat(last_session if isinstance(last_session, str) else "")
    except ValueError:
        return None
    return end.year * MONTHS + end.month - 1
