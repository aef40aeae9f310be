"""All tables of the results of one season, as figures in SI units; nothing is rounded here."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from wood_xl.calc.effort import Compared, WorkerEffort, mean_heart_rate_of
from wood_xl.calc.figure import Figure, not_given
from wood_xl.calc.geometry import cords
from wood_xl.data.load import value
from wood_xl.records import Method, Season, Session
from wood_xl.study.body import exposure_rows, limit_rows, strain_rows, trace_rows, weather_rows
from wood_xl.study.break_even import break_even_rows, pairs, payback_rows
from wood_xl.study.common import Measure
from wood_xl.study.comparisons import comparison_rows
from wood_xl.study.cost import CostStudy
from wood_xl.study.drying import drying_rows
from wood_xl.study.emission_rows import emission_remarks, emission_tables
from wood_xl.study.emissions import method_emissions
from wood_xl.study.energy_return import energy_return_rows
from wood_xl.study.heat import heat_rows, heat_study, season_wood
from wood_xl.study.heat_need import heat_need_rows
from wood_xl.study.heat_use import heat_use_rows
from wood_xl.study.how_sure import how_sure_rows
from wood_xl.study.log_size import log_size_rows, log_sizes
from wood_xl.study.methods import (
    MethodTotals,
    hours_figure,
    method_totals,
    quantity_figure,
    share_figure,
)
from wood_xl.study.money import method_cost, money_remarks, part_rows, tool_rows, total_rows, view_rows
from wood_xl.study.next_season import routes_and_plan
from wood_xl.study.oddities import odd_remarks, pooled_delay_figure
from wood_xl.study.practice import practice_remarks, practice_rows, practices
from wood_xl.study.quantity import (
    LotFraction,
    lot_fractions,
    session_quantity,
    usual_solid_fraction,
)
from wood_xl.study.route_year import route_year_rows, strain_flags
from wood_xl.study.season_rates import SeasonRates
from wood_xl.study.sensitivity import sensitivity_rows
from wood_xl.study.sessions import (
    SessionFigures,
    burning_kind,
    effort_totals,
    is_electric,
    needs,
    session_efforts,
    session_state,
    session_time,
)

Row = dict[str, Any]
Remark = tuple[str, str, dict[str, str]]

INVENTED = "Invented example: nobody measured these figures."
PER: dict[str, Measure] = {
    "rates_per_cord": "cords",
    "rates_per_stacked_m3": "stacked_m3",
    "rates_per_solid_m3": "solid_m3",
    "rates_per_sawn_m2": "sawn_area_m2",
}


@dataclass(frozen=True)
class SeasonTables:
    """Results of a season.

    Attributes
    ----------
    tables : dict
        Id of each table of the results to its rows; a cell is a Figure, a text or a whole number.
    items : dict
        Items of the season.
    remarks : list
        (problem code, item that it is about or empty, facts) of what was found while computing; the item as
        ``sheet.item``, or without a sheet for one of the Season sheet.
    plan : dict
        Items of the plan for next season.
    """

    tables: dict[str, list[Row]]
    items: Row
    remarks: list[Remark]
    plan: Row


def season_tables(season: Season) -> SeasonTables:
    """Compute a season.

    Parameters
    ----------
    season : Season
        Records.

    Returns
    -------
    SeasonTables
        Figures in SI units, money in the season's currency.
    """
    methods = {method.name: method for method in season.methods}
    lots = _lots(season, methods)
    sessions = [_session(session, season, methods, lots) for session in season.sessions]
    totals = method_totals(season.methods, sessions)
    yearly, yearly_remarks = _yearly_volume(season, totals)
    study = CostStudy(season, totals, None if yearly.value is None else cords(yearly.value))
    costs = {t.method.name: method_cost(t, study) for t in totals}
    emitted = {t.method.name: method_emissions(t, study) for t in totals}
    compared = list(pairs(costs.values()))
    heat, heat_remarks = heat_study(season, totals)
    sizes, found_practices = log_sizes(totals), practices(totals, season)
    known = SeasonRates(study, costs, emitted)
    rates = {table: [known.row(t, per) for t in totals] for table, per in PER.items()}
    strain = strain_rows(sessions, {person.name: person for person in season.people})
    winter, drying = list(heat_need_rows(season, heat)), list(drying_rows(heat))
    following = routes_and_plan(study, rates["rates_per_cord"], known.draws, strain, winter, drying)
    tables = {
        **rates,
        "methods": [_totals_row(t) for t in totals],
        "comparisons": comparison_rows(totals, known, sizes),
        "log_sizes": log_size_rows(sizes),
        "how_sure": how_sure_rows(totals, season),
        "practice": practice_rows(found_practices),
        "money_per_cord": part_rows(costs.values()),
        "money_totals": total_rows(costs.values(), season),
        "money_views": view_rows(costs.values(), season),
        "tool_costs": [row for cost in costs.values() for row in tool_rows(cost)],
        "break_even": break_even_rows(compared, season),
        "payback": payback_rows(compared, season),
        "sensitivity": sensitivity_rows(costs.values(), season.currency),
        **emission_tables(list(emitted.values()), study, heat),
        "heat": list(heat_rows(heat)),
        "heat_use": list(heat_use_rows(season, heat)),
        "drying": drying,
        "heat_need": winter,
        "energy_return": list(energy_return_rows(emitted.values(), heat, season)),
        "efforts": [row for s in sessions for row in _effort_rows(s)],
        "people": _people_rows(sessions),
        "strain": strain,
        "traces": trace_rows(sessions, {person.name: person for person in season.people}),
        "exposures": exposure_rows(sessions, study.tools),
        "exposure_limits": limit_rows(totals, study.tools),
        "weather": weather_rows(sessions),
        "sessions": [_session_row(s, study) for s in sessions],
        "lots": [_lot_row(lot) for lot in lots.values()],
        "routes_year": list(
            route_year_rows(
                following.routes,
                following.tables["routes"],
                study.yearly_cords,
                emitted,
                heat.from_a_cord().figure,
                strain_flags(strain, totals),
            )
        ),
        **following.tables,
    }
    remarks = [
        *_trace_remarks(sessions),
        *yearly_remarks,
        *_lot_remarks(lots),
        *_fuel_remarks(totals, study),
        *money_remarks(costs.values()),
        *emission_remarks(emitted.values(), study),
        *heat_remarks,
        *practice_remarks(found_practices),
        *odd_remarks(totals, sessions, season),
        *following.remarks,
    ]
    return SeasonTables(tables, _items(season, yearly, sessions), remarks, following.items)


def _lots(season: Season, methods: Mapping[str, Method]) -> dict[str, LotFraction]:
    stick_length_m = season.stick_length_m
    if stick_length_m is None or "stack_form" in season.broken:
        return {}
    usable = [
        session
        for session in season.sessions
        if not session.leave_out and "quantity" not in session.broken and session.method in methods
    ]
    tasks = {name: method.task for name, method in methods.items()}
    return lot_fractions(usable, season, tasks, stick_length_m=stick_length_m)


def _session(
    session: Session, season: Season, methods: Mapping[str, Method], lots: Mapping[str, LotFraction]
) -> SessionFigures:
    method = methods.get(session.method)
    quantity = None
    if season.stick_length_m is not None and "quantity" not in session.broken:
        quantity = session_quantity(session, season, lots, stick_length_m=season.stick_length_m)
    state = session_state(session, method, quantity, season)
    figures = SessionFigures(session, state, method, session_time(session), quantity)
    if not figures.is_counted or method is None:
        return figures
    tools = {tool.name: tool for tool in season.tools}
    people = {person.name: person for person in season.people}
    efforts = session_efforts(session, method, tools, people)
    return SessionFigures(session, state, method, figures.time, quantity, efforts)


def _yearly_volume(season: Season, totals: list[MethodTotals]) -> tuple[Figure, list[Remark]]:
    if season.yearly_volume_m3 is not None:
        return Figure(season.yearly_volume_m3, "as written"), []
    if "yearly_volume" in season.broken:
        return not_given(needs(season.broken["yearly_volume"])), []
    made = season_wood(totals)
    if made is None:
        return not_given("no session counts"), []
    volume = made.stacked_m3
    words = "the season's own volume"
    facts = {"title": "Wood made in a usual year", "value": f"{volume:.2f} stacked m3", "source": f", {words}"}
    return Figure(volume, words), [("season-default-used", "yearly_volume", facts)]


def _totals_row(totals: MethodTotals) -> Row:
    return {
        "method": totals.method.name,
        "task": totals.method.task,
        "tools": ", ".join(totals.method.tools),
        "sessions_n": len(totals.counted),
        "not_counted_n": totals.not_counted_n,
        "cords": quantity_figure(totals, lambda q: q.cords, None),
        "stacked_volume": quantity_figure(totals, lambda q: q.stacked_m3, lambda q: q.stacked_basis),
        "solid_volume": quantity_figure(totals, lambda q: q.solid_m3, lambda q: q.solid_basis),
        "sawn_area": quantity_figure(totals, lambda q: q.sawn_area_m2, lambda q: q.sawn_basis),
        "clock_hours": hours_figure(totals, lambda t: t.clock_h),
        "worker_hours": hours_figure(totals, lambda t: t.worker_h),
        "delay_share": share_figure(totals, lambda t: t.delay_h),
        "service_share": share_figure(totals, lambda t: t.service_h),
    }


def _effort_rows(figures: SessionFigures) -> list[Row]:
    return [
        {
            "session": figures.session.name,
            "person": worker.person or "",
            "role": "helper" if worker.is_helper else "main",
            "minutes": Figure(worker.time_min),
            "mean_heart_rate": _or_why(worker.mean_heart_rate_bpm, "none written"),
            **_kcal(effort),
        }
        for worker, effort in figures.efforts
    ]


_BASES: dict[str, Compared] = {
    "kcal_vo2max": "heart rate and VO2max",
    "kcal_reserve": "reserve",
    "kcal_heart_rate": "heart rate",
    "kcal_index": "index",
    "kcal_monitor": "monitor",
    "kcal_table": "table",
}
_KCAL = ("kcal_gross", "kcal_net", "u_share", *_BASES, "spread")


def _kcal(effort: WorkerEffort | str) -> Row:
    if isinstance(effort, str):
        return {"basis": effort, **dict.fromkeys(_KCAL, not_given(effort))}
    return {
        "basis": effort.basis,
        "kcal_gross": Figure(effort.kcal_gross),
        "kcal_net": Figure(effort.kcal_net),
        "u_share": Figure(100 * effort.u_frac),
        **{column: effort.kcal_by[basis] for column, basis in _BASES.items()},
        "spread": Figure(100 * effort.spread_frac),
    }


def _or_why(value: float | None, why: str) -> Figure:
    return not_given(why) if value is None else Figure(value)


def _people_rows(sessions: list[SessionFigures]) -> list[Row]:
    parts: dict[str, list[tuple[str, float, WorkerEffort | str]]] = {}
    for s in sessions:
        for worker, effort in s.efforts:
            parts.setdefault(worker.person or "(not named)", []).append((s.session.name, worker.time_min, effort))
    rows = []
    for person, own in parts.items():
        known = [effort for _, _, effort in own if isinstance(effort, WorkerEffort)]
        waiting = [effort for _, _, effort in own if isinstance(effort, str)]
        rows.append(
            {
                "person": person,
                "sessions_n": len({name for name, _, _ in own}),
                "hours": Figure(math.fsum(minutes for _, minutes, _ in own) / 60),
                "kcal_net": not_given(waiting[0]) if waiting else Figure(math.fsum(e.kcal_net for e in known)),
                "kcal_gross": not_given(waiting[0]) if waiting else Figure(math.fsum(e.kcal_gross for e in known)),
            }
        )
    return rows


def _session_row(figures: SessionFigures, study: CostStudy) -> Row:
    session, time, quantity = figures.session, figures.time, figures.quantity
    no_time = not_given(needs(session.broken["time"]) if "time" in session.broken else "no time")
    no_wood = not_given(needs(session.broken["quantity"]) if "quantity" in session.broken else "not measured")
    efforts = effort_totals(figures) if figures.is_counted else "not counted"
    per_cord = no_wood if quantity is None else no_time
    if time is not None and quantity is not None:
        per_cord = Figure(time.worker_h / quantity.cords)
    return {
        "session": session.name,
        "date": session.date or "",
        "method": session.method,
        "state": figures.state,
        "workers_n": max(1, len(session.workers)),
        **{f"{key}_hours": no_time if time is None else Figure(getattr(time, f"{key}_h")) for key in _HOURS},
        "sawn_area": no_wood if quantity is None else Figure(quantity.sawn_area_m2, quantity.sawn_basis),
        "solid_volume": no_wood if quantity is None else Figure(quantity.solid_m3, quantity.solid_basis),
        "stacked_volume": no_wood if quantity is None else Figure(quantity.stacked_m3, quantity.stacked_basis),
        "cords": no_wood if quantity is None else Figure(quantity.cords),
        "measured": "" if quantity is None else quantity.measured,
        "worker_hours_per_cord": per_cord,
        "kcal_net": not_given(efforts) if isinstance(efforts, str) else Figure(efforts[1]),
        "fuel": _session_fuel(figures, study),
    }


_HOURS = ("clock", "worker", "delay", "service")


def _session_fuel(figures: SessionFigures, study: CostStudy) -> Figure:
    broken = figures.session.broken.get("emissions")
    if broken:
        return not_given(needs(broken))
    if figures.method is None or burning_kind(figures.method, study.tools) is None:
        return Figure(0.0, "no engine")
    return _or_why(figures.session.fuel_l, "not written")


def _lot_row(lot: LotFraction) -> Row:
    if lot.fraction is None:
        used = "no: it was not both cut and stacked"
    elif lot.is_used:
        used = "yes"
    else:
        used = "no: no ranked stack holds that share of wood"
    return {
        "lot": lot.lot,
        "solid_volume": Figure(lot.solid_m3) if lot.solid_m3 else not_given("no cuts"),
        "stacked_volume": Figure(lot.stacked_m3) if lot.stacked_m3 else not_given("no stacks"),
        "solid_fraction": _or_why(lot.fraction, "needs cuts and stacks"),
        "used": used,
    }


def _items(season: Season, yearly: Figure, sessions: list[SessionFigures]) -> Row:
    counted_n = sum(s.is_counted for s in sessions)
    fraction = usual_solid_fraction(season)
    rate = season.real_interest_rate_frac * 100
    length = season.stick_length_m
    return {
        "season_name": season.name,
        "place": season.place or "",
        "currency": season.currency,
        "price_year": "" if season.price_year is None else str(season.price_year),
        "stick_length": not_given("not written") if length is None else Figure(length * 100, "as written"),
        "stack_form": season.stack_form,
        "solid_fraction": Figure(fraction.value, fraction.basis),
        "yearly_volume": yearly,
        "real_interest_rate": Figure(rate),
        "practical_margin": Figure(100 * season.practical_margin_frac, reason=""),
        "delay_share": pooled_delay_figure(sessions),
        "sessions_counted": counted_n,
        "sessions_not_counted": len(sessions) - counted_n,
        "invented": INVENTED if "invented" in season.name.casefold() else "",
    }


def _trace_remarks(sessions: list[SessionFigures]) -> list[Remark]:
    """Traces that disagree with the mean written by hand."""
    remarks: list[Remark] = []
    for figures in sessions:
        for worker, _ in figures.efforts:
            if worker.trace is None:
                continue
            mean, written = mean_heart_rate_of(worker), worker.mean_heart_rate_bpm
            if mean is not None and written is not None and abs(mean - written) > value("heart_trace.mean_differs"):
                facts = {"session": figures.session.name, "found": f"{mean:.0f}", "expected": f"{written:.0f}"}
                remarks.append(("season-trace-mean-differs", "", facts))
    return remarks


def _lot_remarks(lots: Mapping[str, LotFraction]) -> list[Remark]:
    remarks = []
    for lot in lots.values():
        if lot.fraction is None or lot.standing == "usual":
            continue
        used = "It was used." if lot.is_used else "It was not used."
        facts = {"found": f'"{lot.lot}"', "value": f"{lot.fraction:.2f}", "used": used}
        remarks.append(("season-lot-fraction-unusual", "", facts))
    return remarks


def _fuel_remarks(totals: list[MethodTotals], study: CostStudy) -> list[Remark]:
    remarks: list[Remark] = []
    for t in totals:
        if not t.counted:
            continue
        facts = {"found": t.method.name}
        if burning_kind(t.method, study.tools) and all(s.session.fuel_l is None for s in t.counted):
            remarks.append(("season-fuel-not-recorded", "", {**facts, "what": "fuel"}))
        if is_electric(t.method, study.tools) and all(s.session.electricity_kwh is None for s in t.counted):
            remarks.append(("season-fuel-not-recorded", "", {**facts, "what": "electricity"}))
    return remarks
