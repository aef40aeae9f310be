"""Tables of wood, time and effort by session, worker, lot and method."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from wood_xl.body.effort import Method as EffortMethod
from wood_xl.body.effort import WorkerEffort
from wood_xl.body.weather import harsh_weather
from wood_xl.draws.figure import Figure, Row, not_given, with_draws
from wood_xl.hours.common import (
    Measure,
    amount_in,
    amount_of,
    drawn_wood,
    energy_in_common,
    quantities_of,
)
from wood_xl.hours.methods import MethodTotals, how_often
from wood_xl.hours.sessions import SessionFigures, burning_kind, effort_totals, needs
from wood_xl.ids import LotUse, Phrase, Role
from wood_xl.money.cost_study import CostStudy
from wood_xl.reasons import Basis, Reason, Said, said
from wood_xl.records import Season, Session, Worker
from wood_xl.wood.amounts import LotFraction, SessionQuantity

Worked = tuple[Worker, WorkerEffort | Said]

VOLUMES: dict[str, Measure] = {
    "sawn_area": "sawn_area_m2",
    "solid_volume": "solid_m3",
    "stacked_volume": "stacked_m3",
    "cords": "cords",
}
BASES: dict[str, EffortMethod] = {
    "kcal_vo2max": "heart rate and VO2max",
    "kcal_reserve": "reserve",
    "kcal_heart_rate": "heart rate",
    "kcal_monitor": "monitor",
    "kcal_table": "table",
}
ENERGIES = ("kcal_gross", "kcal_net")


def totals_row(totals: MethodTotals, season: Season) -> Row:
    """Row of sums over the counted sessions of a method."""
    wood = quantities_of([totals])
    none = None if totals.counted else not_given(totals.why_none)
    bases = {
        "stacked_volume": how_often(q.stacked_basis for q in wood),
        "solid_volume": how_often(q.solid_basis for q in wood),
        "sawn_area": how_often(q.sawn_basis for q in wood),
    }
    volumes = {
        key: none or volume_figure(Figure(amount_in(totals, per), bases.get(key)), wood, season, per)
        for key, per in VOLUMES.items()
    }
    clock_h = totals.time(lambda t: t.clock_h)
    return Row(
        method=totals.method.name,
        task=totals.method.task,
        tools=totals.method.tools,
        sessions_n=len(totals.counted),
        not_counted_n=len(totals.not_counted),
        **volumes,
        clock_hours=none or Figure(clock_h),
        worker_hours=none or Figure(totals.time(lambda t: t.worker_h)),
        delay_share=none or Figure(100 * totals.time(lambda t: t.delay_h) / clock_h),
        service_share=none or Figure(100 * totals.time(lambda t: t.service_h) / clock_h),
    )


def session_row(figures: SessionFigures, season: Season, study: CostStudy) -> Row:
    """Row of wood, time and effort of a session."""
    session, time, quantity = figures.session, figures.time, figures.quantity
    no_time = not_given(needs(session.broken["time"]) if "time" in session.broken else said(Reason.NO_TIME))
    waits_for = session.broken.get("quantity")
    no_wood = not_given(needs(waits_for) if waits_for else said(Reason.NOT_MEASURED))
    if figures.state.id is Reason.NEEDS and waits_for is None:
        no_wood = not_given(figures.state)
    per_cord = no_wood if quantity is None else no_time
    if time is not None and quantity is not None:
        per_cord = _amount_for_wood(time.worker_h / quantity.cords, quantity, season)
    bases = {} if quantity is None else {"sawn_area": quantity.sawn_basis, "solid_volume": quantity.solid_basis}
    if quantity is not None:
        bases["stacked_volume"] = quantity.stacked_basis
    return Row(
        session=session.name,
        part_of=session.part_of,
        date=session.date or "",
        method=session.method,
        state=figures.state,
        workers_n=max(1, len(session.workers)),
        **{f"{key}_hours": no_time if time is None else Figure(getattr(time, f"{key}_h")) for key in _HOURS},
        **{
            key: no_wood
            if quantity is None
            else volume_figure(Figure(amount_of(quantity, per), bases.get(key)), [quantity], season, per)
            for key, per in VOLUMES.items()
        },
        measured=None if quantity is None else quantity.measured,
        worker_hours_per_cord=per_cord,
        kcal_net=_session_kcal(figures),
        fuel=_session_fuel(figures, study),
        weather=_weather(session),
    )


def _weather(session: Session) -> Said | None:
    if session.air_temperature_c is None:
        return None
    return harsh_weather(
        temperature_c=session.air_temperature_c,
        humidity_frac=session.humidity_frac,
        wind_km_per_h=session.wind_km_per_h,
    )


def volume_figure(plain: Figure, wood: Sequence[SessionQuantity], season: Season, per: Measure) -> Figure:
    """A sum of measured wood, with doubt of the tape and of the usual solid fraction where it was used."""
    if plain.value is None:
        return plain
    return with_draws(plain, plain.value * drawn_wood(wood, season, per)).let_go()


def effort_rows(sessions: Iterable[SessionFigures]) -> list[Row]:
    """Rows of effort of each worker of each counted session, by every basis."""
    return [
        Row(
            session=figures.session.name,
            person=worker.person or "",
            role=Role.HELPER if worker.is_helper else Role.MAIN,
            minutes=Figure(worker.time_min),
            mean_heart_rate=or_why(worker.mean_heart_rate_bpm, Reason.NONE_WRITTEN),
            basis=effort if isinstance(effort, Said) else effort.basis,
            **_kcal(worker, effort),
        )
        for figures in sessions
        if figures.is_counted
        for worker, effort in figures.efforts
    ]


def people_rows(sessions: Iterable[SessionFigures]) -> list[Row]:
    """Rows of hours and effort of each person over the season."""
    parts: dict[str | None, list[Worked]] = {}
    names: dict[str | None, set[str]] = {}
    waiting: dict[str | None, Said] = {}
    of_all: Said | None = None
    for s in sessions:
        hands = s.session.broken.get("hands")
        of_all = of_all or (needs(hands) if hands and not s.session.leave_out else None)
        if s.state.id is Reason.NEEDS:
            waiting |= dict.fromkeys(s.session.crew, s.state)
        if not s.is_counted:
            continue
        for worker, effort in s.efforts:
            parts.setdefault(worker.person, []).append((worker, effort))
            names.setdefault(worker.person, set()).add(s.session.name)
    return [
        _person_row(person, own, len(names[person]), of_all or waiting.get(person)) for person, own in parts.items()
    ]


def _person_row(person: str | None, own: Sequence[Worked], sessions_n: int, waits: Said | None) -> Row:
    missing = None if waits is None else not_given(waits)
    return Row(
        person=person or Phrase.NOT_NAMED,
        sessions_n=sessions_n,
        hours=missing or Figure(math.fsum(worker.time_min for worker, _ in own) / 60),
        **{key: missing or energy_figure(own, key) for key in ENERGIES},
    )


def energy_figure(worked: Sequence[Worked], key: str) -> Figure:
    """Energy of several workers' parts; the heart rate or table behind each is in doubt."""
    waiting = [effort for _, effort in worked if isinstance(effort, Said)]
    if waiting:
        return not_given(waiting[0])
    total = math.fsum(getattr(effort, key) for _, effort in worked)
    return energy_in_common(worked, is_net=key == "kcal_net").figure(Figure(total))


def lot_row(lot: LotFraction) -> Row:
    """Row of the solid fraction of a lot, and whether it was used."""
    if lot.waits is not None:
        columns = ("solid_volume", "stacked_volume", "solid_fraction")
        return Row(lot=lot.lot, **dict.fromkeys(columns, not_given(needs(lot.waits))), used=LotUse.WAITS)
    used = LotUse.USED if lot.is_used else LotUse.REFUSED
    return Row(
        lot=lot.lot,
        solid_volume=or_why(lot.solid_m3 or None, Reason.NO_CUTS),
        stacked_volume=or_why(lot.stacked_m3 or None, Reason.NO_STACKS),
        solid_fraction=or_why(lot.fraction, Reason.NEEDS_CUTS_AND_STACKS),
        used=LotUse.NOT_BOTH if lot.fraction is None else used,
    )


def or_why(number: float | None, why: Reason) -> Figure:
    """A number, or why there is none."""
    return not_given(said(why)) if number is None else Figure(number)


_HOURS = ("clock", "worker", "delay", "service")
_KCAL = (*ENERGIES, "u_share", *BASES, "spread")


def _amount_for_wood(number: float, quantity: SessionQuantity, season: Season) -> Figure:
    """A noted amount for a cord of one session's wood; only the wood is in doubt."""
    return with_draws(Figure(number), number * drawn_wood([quantity], season, "cords", power=-1.0)).let_go()


def _session_kcal(figures: SessionFigures) -> Figure:
    efforts = effort_totals(figures) if figures.is_counted else said(Reason.NOT_COUNTED)
    return not_given(efforts) if isinstance(efforts, Said) else energy_figure(figures.efforts, "kcal_net")


def _session_fuel(figures: SessionFigures, study: CostStudy) -> Figure:
    method = figures.method
    broken = figures.session.broken.get("emissions") or (method and method.broken.get("emissions"))
    if broken:
        return not_given(needs(broken))
    if method is None:
        return not_given(figures.state if figures.state.id is Reason.NEEDS else said(Reason.NOT_KNOWN))
    if burning_kind(method, study.tools) is None:
        return Figure(0.0, said(Basis.NO_ENGINE))
    return or_why(figures.session.fuel_l, Reason.NOT_WRITTEN)


def _kcal(worker: Worker, effort: WorkerEffort | Said) -> dict[str, Figure]:
    if isinstance(effort, Said):
        return dict.fromkeys(_KCAL, not_given(effort))
    spread = effort.spread_frac
    return {
        **{key: energy_figure([(worker, effort)], key) for key in ENERGIES},
        "u_share": Figure(100 * effort.u_frac),
        **{column: effort.kcal_by[basis] for column, basis in BASES.items()},
        "spread": or_why(None if spread is None else 100 * spread, Reason.ONE_BASIS),
    }
