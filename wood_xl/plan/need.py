"""How much wood to plan for if no volume is written, and when that wood is dry enough to burn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from wood_xl.data.load import spoken_tree, value
from wood_xl.draws.figure import Row
from wood_xl.ids import Seasoned, Way
from wood_xl.page_texts import Month
from wood_xl.reasons import Facts, Remark, Said, Stocked, said
from wood_xl.records import NextSeason
from wood_xl.shed.dates import can_be, dry_on_by_usual_time, month_of, winter_from
from wood_xl.shed.stock import to_make
from wood_xl.wood.geometry import cords


def volume_by_need(wanted: NextSeason, winter: Sequence[Row]) -> NextSeason:
    """The wishes with the volume that the winter needs, by the first way that gives one, unless one is written.

    Dry wood still in the woodshed by the time new wood is dry need not be made.
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
    """Remark on the first way by which the winter needs at least twice, or at most half, the wanted wood."""
    if wanted.volume_wanted_m3 is None:
        return []
    written = cords(wanted.volume_wanted_m3)
    for row in winter:
        if row["way"] is Way.WANTED or not row["cords"].value:
            continue
        times = cords(_to_make_m3(wanted, row)) / written
        if not 1 / value("plan.volume_disagrees") < times < value("plan.volume_disagrees"):
            facts: Facts = {"found": said(row["way"]), "value": f"{times:.2g}"}
            return [("plan-need-disagrees", "next_season.volume_wanted", facts)]
    return []


def seasoned(last_session: str | Said, drying: Sequence[Row]) -> Said:
    """When the wood of a plan is dry enough, by the last session and the seasoning of each kind; for which winter."""
    seasoning = _seasoning(drying).items()
    if not seasoning:
        return said(Seasoned.NOT_TOLD)
    spans = tuple(said(Seasoned.SPAN, species=spoken_tree(tree), months=int(months)) for tree, months in seasoning)
    dry = _dry_in(last_session, drying)
    if not dry:
        return said(Seasoned.AFTER, spans=spans)
    if late := too_late(last_session, drying):
        return said(Seasoned.ABOUT_LATE, **dict(late.facts), spans=spans)
    return said(Seasoned.ABOUT, month=[*Month][int(dry[5:7]) - 1], year=dry[:4], spans=spans)


def too_late(last_session: str | Said, drying: Sequence[Row]) -> Said | None:
    """Which winter the wood of a plan is dry for, if not the next one after its last session."""
    dry = _dry_in(last_session, drying)
    if not dry:
        return None
    following, later = winter_from(str(last_session)[:7]), winter_from(dry)
    if later == following:
        return None
    month, begins = ([*Month][int(day[5:7]) - 1] for day in (dry, later))
    return said(Seasoned.TOO_LATE, month=month, year=dry[:4], begins=begins, later=later[:4])


def _seasoning(drying: Sequence[Row]) -> dict[str, float]:
    """Known seasoning of each kind, in months."""
    return {row["species"]: row["seasoning"].value for row in drying if row["seasoning"].value is not None}


def _dry_in(last_session: str | Said, drying: Sequence[Row]) -> str:
    """Month in which all kinds stacked on the day of the last session are dry; empty if not known."""
    months = _seasoning(drying).values()
    if isinstance(last_session, Said) or not can_be(last_session) or not months:
        return ""
    return month_of(dry_on_by_usual_time(last_session, months=max(months)))
