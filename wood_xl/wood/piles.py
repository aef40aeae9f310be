"""Piles whose cuts and stacks cannot both be right, or wait for a mend: what stands and falls with their wood."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from wood_xl.data.load import value
from wood_xl.ids import Told
from wood_xl.reasons import Said, said
from wood_xl.records import Season, Session
from wood_xl.remark import Facts, Remark, RowCell
from wood_xl.wood.amounts import LotFraction, lot_fractions, lot_key
from wood_xl.wood.volumes import solid_fraction_standing


@dataclass(frozen=True, slots=True)
class Wait:
    """What a pile waits for.

    wood: whose wood waits with it: of none of its sessions, of those that were not measured both ways, or of all.
    """

    cell: str
    wood: Literal["none", "derived", "all"]


def with_waiting_piles(season: Season) -> tuple[Season, list[Remark]]:
    """The season in which every session waits whose wood hangs on a pile that does, and what is said of the piles.

    A pile waits while the wood of one of its sessions does, if it was both cut and stacked; sessions that were not
    measured both ways themselves wait with it. Of a pile with an impossible solid fraction all sessions wait.
    """
    season = _marked(season, _waiting(season))
    lots = lot_fractions(season)
    first = {lot_key(s.lot): s for s in reversed(season.sessions) if s.lot is not None and not s.leave_out}
    impossible = {key: Wait(first[key].lot_row, "all") for key, lot in lots.items() if lot.standing == "impossible"}
    return _marked(season, impossible), _remarks(lots, first)


def _piles(season: Season) -> dict[str, list[Session]]:
    piles: dict[str, list[Session]] = {}
    for session in season.sessions:
        if session.lot is not None and not session.leave_out:
            piles.setdefault(lot_key(session.lot), []).append(session)
    return piles


def _waiting(season: Season) -> dict[str, Wait]:
    """For each pile that waits, or may, the cell, and whether its solid fraction hangs on it."""
    anywhere = [s for s in season.sessions if "lot" in s.broken and not s.leave_out and (s.has_cuts or s.has_stacks)]
    waits: dict[str, Wait] = {}
    for key, sessions in _piles(season).items():
        of_pile = [*sessions, *anywhere[:1]]
        cell = next((s.broken["quantity"] for s in of_pile if "quantity" in s.broken), None)
        if cell is not None:
            has_fraction = any(s.has_cuts for s in of_pile) and any(s.has_stacks for s in of_pile)
            waits[key] = Wait(cell, "derived" if has_fraction or anywhere else "none")
    return waits


def _marked(season: Season, waits: Mapping[str, Wait]) -> Season:
    """The season with its piles marked that wait, and with them the sessions whose wood hangs on them."""

    def one(session: Session) -> Session:
        wait = waits.get(lot_key(session.lot)) if session.lot is not None else None
        if wait is None:
            return session
        hangs = wait.wood == "all" or (wait.wood == "derived" and not (session.cuts and session.stacks))
        topics = ("pile", "quantity") if hangs else ("pile",)
        return replace(session, broken=dict.fromkeys(topics, wait.cell) | session.broken)

    return replace(season, sessions=tuple(map(one, season.sessions))) if waits else season


def _remarks(lots: Mapping[str, LotFraction], first: Mapping[str, Session]) -> list[Remark]:
    """Piles whose solid fraction is not usual, each told for its first session."""
    remarks: list[Remark] = []
    for key, lot in lots.items():
        if lot.fraction is None or lot.standing == "usual":
            continue
        is_impossible = lot.standing == "impossible"
        facts: Facts = {"found": f'"{lot.lot}"', "value": f"{lot.fraction:.2f}", "advice": _advice(lot.fraction)}
        if not is_impossible:
            facts = {**facts, "used": said(Told.WAS_USED if lot.is_used else Told.WAS_NOT_USED)}
        code = "season-lot-fraction-impossible" if is_impossible else "season-lot-fraction-unusual"
        remarks.append((code, RowCell("sessions.lot", first[key].name), facts))
    return remarks


def _advice(fraction: float) -> Said:
    """The unit that its stacks were most likely measured in, if one makes the fraction usual; else what to check."""
    feet_per_meter = 1 / value("unit.foot")
    fitting: Sequence[Said] = [
        said(told, value=f"{changed:.2f}", factor=f"{factor:.3g}")
        for factor in (feet_per_meter, feet_per_meter**2)
        for told, changed in ((Told.METERS_AS_FEET, fraction / factor), (Told.FEET_AS_METERS, fraction * factor))
        if solid_fraction_standing(changed) == "usual"
    ]
    return fitting[0] if len(fitting) == 1 else said(Told.CHECK_PILE)
