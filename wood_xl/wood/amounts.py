"""How much wood each session dealt with, from its cuts, stacks and lot, and the piles that cannot be right."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from types import MappingProxyType
from typing import Literal, NamedTuple

from wood_xl.data.load import value
from wood_xl.ids import Measured, Told
from wood_xl.reasons import Basis, Facts, Remark, RowCell, Said, said
from wood_xl.records import Season, Session, StackForm
from wood_xl.wood import geometry
from wood_xl.wood.geometry import cords

RANKED: tuple[StackForm, ...] = ("ranked split", "ranked round")
FROM_CUTS, FROM_STACKS = said(Basis.FROM_CUTS), said(Basis.FROM_STACKS)


@dataclass(frozen=True)
class SessionQuantity:
    """Wood of one session in the three measures, with how each was come by."""

    sawn_area_m2: float
    solid_m3: float
    stacked_m3: float
    measured: Measured
    sawn_basis: Said
    solid_basis: Said
    stacked_basis: Said
    # whether one measure follows from another by the usual solid fraction, not by that of the lot
    is_by_usual_fraction: bool
    # part of the stacked volume that was crossed or loose, or that of its lot, and is told as ranked wood
    turned_m3: Mapping[StackForm, float] = field(default_factory=dict)

    @cached_property
    def cords(self) -> float:
        """Stacked volume in cords."""
        return cords(self.stacked_m3)


class LotFraction(NamedTuple):
    """Solid fraction of one lot."""

    lot: str
    # solid_m3, stacked_m3: from its cuts, and from its stacks as ranked wood: the fullest record of any one task,
    # since the same wood is cut in one session and stacked in another. 0 if there is none
    solid_m3: float
    stacked_m3: float
    fraction: float | None  # solid over stacked; None if one of them is missing, or cannot be told
    standing: geometry.Standing | None  # whether the fraction can be right
    waits: str | None = None  # cell that its fraction waits for
    turned: Mapping[StackForm, float] = MappingProxyType({})  # shares of its stacks that were crossed or loose

    @property
    def is_used(self) -> bool:
        """Whether sessions of this lot are converted with it."""
        return self.fraction is not None and self.standing in ("usual", "unusual")


class SolidFraction(NamedTuple):
    """A solid fraction and where it is from."""

    value: float
    basis: Said


def reference_form(season: Season) -> StackForm:
    """The form that a cord of this season is stacked in: its usual form if that is ranked, else ranked split.

    Source: nist_hb130, section 2.4.1: a cord is ranked and well stowed.
    """
    return season.stack_form if season.stack_form in RANKED else "ranked split"


def usual_solid_fraction(season: Season) -> SolidFraction:
    """Solid fraction where no lot gives its own: as written, else by the form of the stack.

    Source: wood_and_heat_defaults, solid fractions by form.
    """
    if season.solid_fraction is not None:
        return SolidFraction(season.solid_fraction, said(Basis.FRACTION_WRITTEN))
    form = reference_form(season)
    return SolidFraction(geometry.solid_fraction_of(form), said(Basis.FRACTION_USUAL, form=form))


def name_key(lot: str) -> str:
    """A name of a lot, a stack or a tool as names are compared."""
    return " ".join(lot.casefold().split())


def cut_solid_m3(session: Session, *, stick_length_m: float) -> float | None:
    """Solid volume from a session's cuts [m3]; None without cuts.

    Source: wood_xl_definitions, one stick for each cut.
    """
    if not session.cuts:
        return None
    return geometry.sticks_solid_volume_m3(
        sawn_area_m2=geometry.sawn_area_m2(session.cuts), stick_length_m=stick_length_m
    )


def tape_stacked_m3(session: Session, season: Season, *, stick_length_m: float) -> float | None:
    """Volume of a session's stacks as ranked wood [m3]; None without stacks.

    Source: wood_and_heat_defaults, solid fractions by form.
    """
    by_form = _by_form(session, season, stick_length_m)
    return math.fsum(volume for volumes in by_form.values() for volume in volumes) if by_form else None


def _by_form(session: Session, season: Season, stick_length_m: float) -> dict[StackForm, list[float]]:
    """Volume of each stack of a session as ranked wood [m3], by the form that it has."""
    volumes: dict[StackForm, list[float]] = defaultdict(list)
    for stack in session.stacks:
        form = stack.form or season.stack_form
        bulk_m3 = geometry.stack_bulk_volume_m3(stack, stick_length_m=stick_length_m)
        ranked_m3 = geometry.ranked_equivalent_m3(bulk_m3=bulk_m3, form=form, reference_form=reference_form(season))
        volumes[form].append(ranked_m3)
    return volumes


def _turned_m3(by_form: Mapping[StackForm, list[float]]) -> dict[StackForm, float]:
    """Of ranked wood, what was crossed or loose."""
    return {form: math.fsum(volumes) for form, volumes in by_form.items() if form not in RANKED}


def lot_fractions(season: Season) -> dict[str, LotFraction]:
    """Solid fraction of every named lot, by the lot's key, from the sessions whose wood can be used.

    Returns in the order in which the lots first appear; a lot waits while the wood of one of its sessions does.

    Source: wood_and_heat_defaults, measured solid fraction.
    """
    stick_length_m, tasks = season.stick_length_m, {method.name: method.task for method in season.methods}
    if stick_length_m is None or "stack_form" in season.broken:
        return {}
    solid: dict[str, dict[str, list[float]]] = defaultdict(lambda: defaultdict(list))
    stacked: dict[str, dict[str, list[float]]] = defaultdict(lambda: defaultdict(list))
    by_form: dict[str, dict[StackForm, list[float]]] = defaultdict(lambda: defaultdict(list))
    names: dict[str, str] = {}
    waiting: dict[str, str] = {}
    for session in season.sessions:
        if session.lot is None or session.leave_out:
            continue
        key = name_key(session.lot)
        names.setdefault(key, session.lot)
        if "pile" in session.broken:
            waiting.setdefault(key, session.broken["pile"])
        if "quantity" in session.broken or session.method not in tasks:
            continue
        task = tasks[session.method]
        cut = cut_solid_m3(session, stick_length_m=stick_length_m)
        if cut is not None:
            solid[key][task].append(cut)
        for form, volumes in _by_form(session, season, stick_length_m).items():
            stacked[key][task] += volumes
            by_form[key][form] += volumes
    return {
        key: _lot(name, _fullest(solid[key]), _fullest(stacked[key]), waiting.get(key), by_form[key])
        for key, name in names.items()
    }


def _fullest(by_task: Mapping[str, list[float]]) -> float:
    return max((math.fsum(volumes) for volumes in by_task.values()), default=0.0)


def _lot(
    name: str, solid_m3: float, stacked_m3: float, waits: str | None, by_form: Mapping[StackForm, list[float]]
) -> LotFraction:
    if solid_m3 <= 0 or stacked_m3 <= 0 or waits:
        return LotFraction(name, solid_m3, stacked_m3, None, None, waits)
    fraction = geometry.measured_solid_fraction(solid_m3=solid_m3, ranked_equivalent_m3=stacked_m3)
    turned, whole = _turned_m3(by_form), math.fsum(map(math.fsum, by_form.values()))
    shares = {form: part / whole for form, part in turned.items()}
    return LotFraction(
        name, solid_m3, stacked_m3, fraction, geometry.solid_fraction_standing(fraction), turned=shares
    )


def session_quantity(
    session: Session, season: Season, lots: Mapping[str, LotFraction], *, stick_length_m: float
) -> SessionQuantity | None:
    """Wood of a session; None if it has neither cuts nor stacks.

    session: with its cuts and stacks.
    season: solid fraction and form where the lot gives none.
    lots: ``lot_fractions``.

    Returns what was measured stays as measured; the other measures follow from the solid fraction.

    Source: wood_and_heat_defaults, from solid to stacked and back.
    """
    solid = cut_solid_m3(session, stick_length_m=stick_length_m)
    stacked = tape_stacked_m3(session, season, stick_length_m=stick_length_m)
    turned = _turned_m3(_by_form(session, season, stick_length_m))
    lot = lots.get(name_key(session.lot)) if session.lot else None
    usual = usual_solid_fraction(season)
    is_usual = lot is None or not lot.is_used
    if lot is not None and lot.fraction is not None and lot.is_used:
        usual = SolidFraction(lot.fraction, said(Basis.FRACTION_OF_LOT, fraction=lot.fraction, lot=lot.lot))
    if solid is not None:
        area = geometry.sawn_area_m2(session.cuts)
        if stacked is not None:
            return SessionQuantity(
                area, solid, stacked, Measured.BOTH, FROM_CUTS, FROM_CUTS, FROM_STACKS, False, turned
            )
        derived = geometry.stacked_volume_m3(solid_m3=solid, solid_fraction=usual.value)
        of_lot = {} if lot is None or is_usual else {form: part * derived for form, part in lot.turned.items()}
        return SessionQuantity(
            area, solid, derived, Measured.CUTS, FROM_CUTS, FROM_CUTS, usual.basis, is_usual, of_lot
        )
    if stacked is None:
        return None
    solid = geometry.solid_volume_m3(stacked_m3=stacked, solid_fraction=usual.value)
    area = geometry.sawn_area_of_solid_m2(solid_m3=solid, stick_length_m=stick_length_m)
    bases = usual.basis, usual.basis, FROM_STACKS
    return SessionQuantity(area, solid, stacked, Measured.STACKS, *bases, is_usual, turned)


class Wait(NamedTuple):
    """What a pile waits for."""

    cell: str
    # whose wood waits with it: of none of its sessions, of those that were not measured both ways, or of all
    wood: Literal["none", "derived", "all"]


def with_waiting_piles(season: Season) -> tuple[Season, list[Remark]]:
    """The season in which every session waits whose wood hangs on a pile that does, and what is said of the piles.

    A pile waits while the wood of one of its sessions does, if it was both cut and stacked; sessions that were not
    measured both ways themselves wait with it. Of a pile with an impossible solid fraction all sessions wait.
    """
    season = _marked(season, _waiting(season))
    lots = lot_fractions(season)
    first = {name_key(s.lot): s for s in reversed(season.sessions) if s.lot is not None and not s.leave_out}
    impossible = {key: Wait(first[key].lot_row, "all") for key, lot in lots.items() if lot.standing == "impossible"}
    return _marked(season, impossible), _remarks(lots, first)


def _waiting(season: Season) -> dict[str, Wait]:
    """For each pile that waits, or may, the cell, and whether its solid fraction hangs on it."""
    anywhere = [s for s in season.sessions if "lot" in s.broken and not s.leave_out and (s.has_cuts or s.has_stacks)]
    waits: dict[str, Wait] = {}
    piles: dict[str, list[Session]] = defaultdict(list)
    for session in season.sessions:
        if session.lot is not None and not session.leave_out:
            piles[name_key(session.lot)].append(session)
    for key, sessions in piles.items():
        of_pile = [*sessions, *anywhere[:1]]
        cell = next((s.broken["quantity"] for s in of_pile if "quantity" in s.broken), None)
        if cell is not None:
            has_fraction = any(s.has_cuts for s in of_pile) and any(s.has_stacks for s in of_pile)
            waits[key] = Wait(cell, "derived" if has_fraction or anywhere else "none")
    return waits


def _marked(season: Season, waits: Mapping[str, Wait]) -> Season:
    """The season with its piles marked that wait, and with them the sessions whose wood hangs on them."""

    def one(session: Session) -> Session:
        wait = waits.get(name_key(session.lot)) if session.lot is not None else None
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
        if geometry.solid_fraction_standing(changed) == "usual"
    ]
    return fitting[0] if len(fitting) == 1 else said(Told.CHECK_PILE)
