"""Amount of wood of each session, from its cuts, stacks and lot, and lots that cannot be right."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from types import MappingProxyType
from typing import Literal, NamedTuple

from wood_xl.ids import Measured, Told
from wood_xl.reasons import Basis, Facts, Remark, RowCell, Said, said
from wood_xl.records import OtherUnit, Season, Session, StackForm
from wood_xl.wood import geometry
from wood_xl.wood.geometry import cords

RANKED: tuple[StackForm, ...] = ("ranked split", "ranked round")
FROM_CUTS, FROM_STACKS = said(Basis.FROM_CUTS), said(Basis.FROM_STACKS)


@dataclass(frozen=True)
class SessionQuantity:
    """Wood of one session in three measures, with the basis of each."""

    sawn_area_m2: float
    solid_m3: float
    stacked_m3: float
    measured: Measured
    sawn_basis: Said
    solid_basis: Said
    stacked_basis: Said
    is_by_usual_fraction: bool  # whether one measure was derived by the usual solid fraction, not by the lot's own
    # ranked volume of what was stacked crossed or loose, in this session or in its lot
    turned_m3: Mapping[StackForm, float] = field(default_factory=dict)

    @cached_property
    def cords(self) -> float:
        """Stacked volume in cords."""
        return cords(self.stacked_m3)


class LotFraction(NamedTuple):
    """Solid fraction of one lot."""

    lot: str
    # solid_m3, stacked_m3: from its cuts, and from its stacks as ranked wood. Each is that of the task with the most,
    # since the same wood is handled in several tasks; 0 if there is none.
    solid_m3: float
    stacked_m3: float
    fraction: float | None  # solid over stacked; None if one is missing or a cell is broken
    standing: geometry.Standing | None  # whether the fraction can be right
    waits: str | None = None  # the broken cell
    turned: Mapping[StackForm, float] = MappingProxyType({})  # shares of its stacks that were crossed or loose

    @property
    def is_used(self) -> bool:
        """Whether sessions of this lot are converted with it."""
        return self.fraction is not None and self.standing in ("usual", "unusual")


class SolidFraction(NamedTuple):
    """A solid fraction and its basis."""

    value: float
    basis: Said


def reference_form(season: Season) -> StackForm:
    """The form in which a cord of this season is stacked: its usual form if that is ranked, else ranked split.

    Source: nist_hb130, section 2.4.1: a cord is ranked and well stowed.
    """
    return season.stack_form if season.stack_form in RANKED else "ranked split"


def usual_solid_fraction(season: Season) -> SolidFraction:
    """Solid fraction if a lot has none of its own: as written, else by the form of the stack.

    Source: wood_and_heat_defaults, solid fractions by form.
    """
    if season.solid_fraction is not None:
        return SolidFraction(season.solid_fraction, said(Basis.FRACTION_WRITTEN))
    form = reference_form(season)
    return SolidFraction(geometry.solid_fraction_of(form), said(Basis.FRACTION_USUAL, form=form))


def name_key(lot: str) -> str:
    """Key by which names of lots, stacks and tools are compared."""
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
    """Volume of each stack of a session as ranked wood [m3], by the stack's own form."""
    volumes: dict[StackForm, list[float]] = defaultdict(list)
    for stack in session.stacks:
        form = stack.form or season.stack_form
        bulk_m3 = geometry.stack_bulk_volume_m3(stack, stick_length_m=stick_length_m)
        ranked_m3 = geometry.ranked_equivalent_m3(bulk_m3=bulk_m3, form=form, reference_form=reference_form(season))
        volumes[form].append(ranked_m3)
    return volumes


def _turned_m3(by_form: Mapping[StackForm, list[float]]) -> dict[StackForm, float]:
    """Volume of what was crossed or loose."""
    return {form: math.fsum(volumes) for form, volumes in by_form.items() if form not in RANKED}


def lot_fractions(season: Season) -> dict[str, LotFraction]:
    """Solid fraction of every named lot, by the lot's key, from the sessions whose wood can be used.

    A lot waits while the wood of one of its sessions has a broken cell.

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

    What was measured stays as measured; the other measures follow by the solid fraction of the lot, else the usual.

    Source: wood_and_heat_defaults, from solid to stacked and back.
    """
    solid = cut_solid_m3(session, stick_length_m=stick_length_m)
    stacked = tape_stacked_m3(session, season, stick_length_m=stick_length_m)
    turned = _turned_m3(_by_form(session, season, stick_length_m))
    fraction, is_usual = usual_solid_fraction(season), True
    lot = lots.get(name_key(session.lot)) if session.lot else None
    if lot is not None and lot.fraction is not None and lot.is_used:
        basis = said(Basis.FRACTION_OF_LOT, fraction=lot.fraction, lot=lot.lot)
        fraction, is_usual = SolidFraction(lot.fraction, basis), False
    if solid is not None:
        area = geometry.sawn_area_m2(session.cuts)
        if stacked is not None:
            return SessionQuantity(
                area, solid, stacked, Measured.BOTH, FROM_CUTS, FROM_CUTS, FROM_STACKS, False, turned
            )
        derived = geometry.stacked_volume_m3(solid_m3=solid, solid_fraction=fraction.value)
        of_lot = {} if lot is None or is_usual else {form: part * derived for form, part in lot.turned.items()}
        return SessionQuantity(
            area, solid, derived, Measured.CUTS, FROM_CUTS, FROM_CUTS, fraction.basis, is_usual, of_lot
        )
    if stacked is None:
        return None
    solid = geometry.solid_volume_m3(stacked_m3=stacked, solid_fraction=fraction.value)
    area = geometry.sawn_area_of_solid_m2(solid_m3=solid, stick_length_m=stick_length_m)
    bases = fraction.basis, fraction.basis, FROM_STACKS
    return SessionQuantity(area, solid, stacked, Measured.STACKS, *bases, is_usual, turned)


class Wait(NamedTuple):
    """The broken cell that a lot waits for."""

    cell: str
    # sessions of the lot whose wood waits too: none, those not measured both ways, or all
    wood: Literal["none", "derived", "all"]


def with_waiting_piles(season: Season) -> tuple[Season, list[Remark]]:
    """The season with broken cells passed on to the sessions that depend on them by their lot, and remarks on lots.

    A lot that was both cut and stacked waits while the wood of one of its sessions has a broken cell, and so do its
    sessions that were not measured both ways. If its solid fraction is impossible, all its sessions wait.
    """
    season = _marked(season, _waiting(season))
    lots = lot_fractions(season)
    first = {name_key(s.lot): s for s in reversed(season.sessions) if s.lot is not None and not s.leave_out}
    impossible = {key: Wait(first[key].lot_row, "all") for key, lot in lots.items() if lot.standing == "impossible"}
    return _marked(season, impossible), _remarks(lots, first, season.other_units)


def _waiting(season: Season) -> dict[str, Wait]:
    """The wait of each lot with a broken cell; a session whose own lot cannot be read may belong to any of them."""
    included = [session for session in season.sessions if not session.leave_out]
    of_any_lot = [s for s in included if "lot" in s.broken and (s.has_cuts or s.has_stacks)]
    waits: dict[str, Wait] = {}
    lots: dict[str, list[Session]] = defaultdict(list)
    for session in included:
        if session.lot is not None:
            lots[name_key(session.lot)].append(session)
    for key, of_lot in lots.items():
        sessions = [*of_lot, *of_any_lot[:1]]
        cell = next((s.broken["quantity"] for s in sessions if "quantity" in s.broken), None)
        if cell is not None:
            has_fraction = any(s.has_cuts for s in sessions) and any(s.has_stacks for s in sessions)
            waits[key] = Wait(cell, "derived" if has_fraction or of_any_lot else "none")
    return waits


def _marked(season: Season, waits: Mapping[str, Wait]) -> Season:
    """The season with the broken cells of its lots added to their sessions."""

    def marked(session: Session) -> Session:
        wait = waits.get(name_key(session.lot)) if session.lot is not None else None
        if wait is None:
            return session
        wood_waits = wait.wood == "all" or (wait.wood == "derived" and not (session.cuts and session.stacks))
        topics = ("pile", "quantity") if wood_waits else ("pile",)
        return replace(session, broken=dict.fromkeys(topics, wait.cell) | session.broken)

    return replace(season, sessions=tuple(map(marked, season.sessions))) if waits else season


def _remarks(
    lots: Mapping[str, LotFraction], first: Mapping[str, Session], units: Sequence[OtherUnit]
) -> list[Remark]:
    """Remarks on lots whose solid fraction is not usual, each at the lot's first session."""
    remarks: list[Remark] = []
    for key, lot in lots.items():
        if lot.fraction is None or lot.standing == "usual":
            continue
        code = "season-lot-fraction-impossible"
        advice = _advice(lot.fraction, units)
        facts: Facts = {"found": f'"{lot.lot}"', "value": f"{lot.fraction:.2f}", "advice": advice}
        if lot.standing != "impossible":
            code = "season-lot-fraction-unusual"
            facts = {**facts, "used": said(Told.WAS_USED if lot.is_used else Told.WAS_NOT_USED)}
        remarks.append((code, RowCell("sessions.lot", first[key].name), facts))
    return remarks


def _advice(fraction: float, units: Sequence[OtherUnit]) -> Said:
    """The unit mistake that explains the fraction, if exactly one does; else what to check."""
    mistakes = [
        said(Told.STACKS_IN_OTHER_UNIT, value=f"{changed:.2f}", other=unit.other, unit=unit.typed)
        for unit in units
        for changed in (fraction / unit.ratio, fraction / unit.ratio**2)  # one of the two lengths, or both
        if geometry.solid_fraction_standing(changed) == "usual"
    ]
    return mistakes[0] if len(mistakes) == 1 else said(Told.CHECK_PILE)
