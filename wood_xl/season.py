"""Computes all tables of one season, as unrounded figures in SI units."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from wood_xl.air.method import method_emissions
from wood_xl.air.tables import emission_remarks, emission_tables, energy_return_rows
from wood_xl.body.effort import mean_heart_rate_of
from wood_xl.body.tables import strain_rows, trace_rows
from wood_xl.choice.advised import (
    IN_CASH_AND_HOURS,
    advices,
    strain_flags,
    whole_job_rows,
    whole_job_year_rows,
    whole_jobs,
)
from wood_xl.choice.edge import Step
from wood_xl.choice.flip_moves import flip_move_rows
from wood_xl.data.load import limits_of, reading, value
from wood_xl.draws.figure import Figure, not_given, with_draws
from wood_xl.draws.inputs import by_doubt
from wood_xl.hours.common import usual_fraction
from wood_xl.hours.comparisons import comparison_rows
from wood_xl.hours.equal_terms import EqualSeason
from wood_xl.hours.limits import comparison_limits, confounded_remarks, equal_terms_rows, left_out_rows
from wood_xl.hours.methods import MethodTotals, method_totals
from wood_xl.hours.oddities import odd_remarks, pooled_delay_figure
from wood_xl.hours.practice import practice_remarks, practice_rows
from wood_xl.hours.season_rates import MEASURES, SeasonRates
from wood_xl.hours.sessions import SessionFigures, needs, session_efforts, session_state, session_time
from wood_xl.hours.tables import effort_rows, lot_row, people_rows, session_row, totals_row
from wood_xl.ids import Phrase, Told
from wood_xl.incomplete import marked_items, marked_tables
from wood_xl.money.cost import method_cost
from wood_xl.money.cost_study import CostStudy
from wood_xl.money.tables import bought_wood_rows, money_remarks, part_rows, tool_rows, total_rows, view_rows
from wood_xl.page_texts import RunStep
from wood_xl.plan.crews import Household, household_of, nobody_may, young_remarks
from wood_xl.plan.half_filled import half_filled_remarks
from wood_xl.plan.next_season import next_season
from wood_xl.progress import step
from wood_xl.reasons import Basis, Facts, Reason, Remark, RowCell, Said, said
from wood_xl.records import Method, Season, Session
from wood_xl.shed.stock import Stock, season_stock, with_last_winter
from wood_xl.shed.tables import woodshed_tables
from wood_xl.warmth.cord import SeasonWood, heat_rows, heat_study, season_wood
from wood_xl.warmth.drying import drying_rows
from wood_xl.warmth.use import heat_need_rows
from wood_xl.wood import amounts
from wood_xl.wood.amounts import LotFraction
from wood_xl.wood.geometry import cords


@dataclass(frozen=True)
class SeasonTables:
    """Results of a season; the tables are made on demand."""

    make: Callable[[], Mapping[str, Sequence[Any]]]
    items: dict[str, Any]
    remarks: list[Remark]  # found while computing
    plan: dict[str, Any]  # items of the plan for next season
    rates: SeasonRates  # figures of all methods
    household: Household
    stock: Stock  # wood in the woodshed
    main_steps: Sequence[Step]  # for each task with a flip, the two ways that it lies between
    read_before: frozenset[str] = frozenset()  # ids of published figures read before the tables were made

    @property
    def tables(self) -> Mapping[str, Sequence[Any]]:
        """Rows by the id of their table; a cell is a Figure, a text or a whole number."""
        return self._made[0]

    @property
    def read(self) -> frozenset[str]:
        """Ids of the published figures that the results rest on."""
        return self.read_before | self._made[1]

    @cached_property
    def _made(self) -> tuple[Mapping[str, Sequence[Any]], frozenset[str]]:
        """The tables and the published figures read for them; checks, trials and studies do without."""
        with step(RunStep.COMPUTING), reading() as read:
            tables = self.make()
        return tables, frozenset(read)

    def half_filled(self) -> list[Remark]:
        """Remarks on a half-filled season: what it has so far, and what would make it fairer."""
        study = self.rates.study
        return half_filled_remarks(study.season, study.totals, self.household)


def season_tables(season: Season) -> SeasonTables:
    """Compute a season."""
    season, pile_remarks = amounts.with_waiting_piles(season)
    methods = {method.name: method for method in season.methods}
    lots = amounts.lot_fractions(season)
    sessions = [_session(place, one, season, methods, lots) for place, one in enumerate(season.sessions)]
    totals = method_totals(season.methods, sessions)
    heat, heat_remarks = heat_study(season, totals)
    stock = season_stock(season, heat)
    season = with_last_winter(season, stock)
    winter, drying = list(heat_need_rows(season, heat)), list(drying_rows(heat))
    shed = woodshed_tables(stock, season, heat, winter)
    season = replace(season, next_season=replace(season.next_season, standing_m3=shed.standing_m3))
    yearly, yearly_remarks = _yearly_volume(season, totals)

    study = CostStudy(season, EqualSeason(totals), None if yearly.value is None else cords(yearly.value))
    costs = {t.method.name: method_cost(t, study) for t in totals}
    emitted = {t.method.name: method_emissions(t, study) for t in totals}
    rates = SeasonRates(study, costs, emitted)
    practice = practice_rows(totals, study.equal)
    limits = list(comparison_limits(totals, rates))
    people = {person.name: person for person in season.people}
    strain = strain_rows(sessions, people)
    judged = comparison_rows(totals, rates)
    household = household_of(season, totals, strain)
    advised = advices(rates, judged, nobody_may(totals, household))
    following = next_season(rates, advised.choices, household, winter, drying)

    def make() -> Mapping[str, Sequence[Any]]:
        # Imported only where tables are made: checks and trials do without.
        from wood_xl.body.day_tables import exposure_rows, limit_rows, shift_rest_rows
        from wood_xl.hours.how_sure import how_sure_rows
        from wood_xl.hours.log_sizes import log_size_rows
        from wood_xl.money.between import break_even_row, pairs, payback_row

        rate_rows, compared = [rates.row(t) for t in totals], list(pairs(rates))
        jobs = whole_jobs(advised, rate_rows, totals)
        whole = whole_job_rows(jobs, rate_rows)
        tables: dict[str, Sequence[Any]] = {
            "rates_per_cord": rate_rows,
            **{table: [rates.per_measure(t, per) for t in totals] for per, table in MEASURES.items()},
            "methods": [totals_row(t, season) for t in totals],
            "verdicts": advised.verdicts,
            "winners": advised.winners,
            "exchange": advised.exchange,
            "comparisons": judged,
            "log_sizes": log_size_rows(totals),
            "how_sure": how_sure_rows(totals, rates),
            "equal_terms": list(equal_terms_rows(totals, rates)),
            "limits": limits,
            "practice": practice,
            "money_per_cord": part_rows(rates),
            "money_totals": total_rows(rates),
            "money_views": view_rows(rates),
            "tool_costs": tool_rows(rates),
            "bought_wood": bought_wood_rows(rates, {best: jobs[best] for best in IN_CASH_AND_HOURS if best in jobs}),
            "break_even": [break_even_row(pair) for pair in compared],
            "payback": [payback_row(pair) for pair in compared],
            "flip_moves": [row for step in advised.steps for row in flip_move_rows(step, rates)],
            **emission_tables(rates, heat),
            "heat": list(heat_rows(heat)),
            "drying": drying,
            "heat_need": winter,
            **shed.tables,
            "energy_return": list(energy_return_rows(rates, heat)),
            "efforts": effort_rows(sessions),
            "people": people_rows(sessions),
            "strain": strain,
            "shift_rest": shift_rest_rows(sessions, people),
            "traces": trace_rows(sessions, people),
            "exposures": exposure_rows(sessions, study.tools),
            "exposure_limits": limit_rows(totals, study.tools),
            "sessions": [session_row(s, season, study) for s in sessions],
            "left_out": list(left_out_rows(rates, judged)),
            "lots": [lot_row(lot) for lot in lots.values()],
            "combinations": whole,
            "combinations_year": list(
                whole_job_year_rows(whole, rates, heat.from_a_cord, strain_flags(strain, totals))
            ),
            **following.tables,
        }
        return marked_tables(tables, season)

    remarks: list[Remark] = [
        *_trace_remarks(sessions),
        *yearly_remarks,
        *pile_remarks,
        *money_remarks(costs.values()),
        *emission_remarks(emitted.values(), study),
        *heat_remarks,
        *shed.remarks,
        *practice_remarks(practice),
        *confounded_remarks(limits),
        *odd_remarks(totals, sessions, study.equal, study.tools),
        *young_remarks(totals, household),
        *following.remarks,
    ]
    items, plan = _items(season, yearly, totals, sessions), marked_items(following.items, season)
    main_steps = [step for choice, _ in advised.choices if (step := choice.main_step) is not None]
    return SeasonTables(make, items, remarks, plan, rates, household, stock, main_steps)


def _session(
    place: int, session: Session, season: Season, methods: Mapping[str, Method], lots: Mapping[str, LotFraction]
) -> SessionFigures:
    method = methods.get(session.method)
    quantity = None
    if season.stick_length_m is not None and "quantity" not in session.broken:
        quantity = amounts.session_quantity(session, season, lots, stick_length_m=season.stick_length_m)
    if "stack_form" in season.broken:
        quantity = None  # the usual form, which its stacks may have, is not known
    elif quantity is not None and quantity.is_by_usual_fraction and "solid_fraction" in season.broken:
        quantity = None
    state = session_state(session, method, quantity, season)
    figures = SessionFigures(session, state, method, session_time(session), quantity, place=place)
    if figures.time is None or method is None:
        return figures
    tools = {tool.name: tool for tool in season.tools}
    people = {person.name: person for person in season.people}
    return replace(figures, efforts=session_efforts(session, method, tools, people))


def _yearly_volume(season: Season, totals: list[MethodTotals]) -> tuple[Figure, list[Remark]]:
    made, yearly_m3 = season_wood(totals), season.yearly_volume_m3
    if yearly_m3 is not None:
        return Figure(yearly_m3, said(Basis.AS_WRITTEN)), _made_over_yearly(made, yearly_m3)
    if "yearly_volume" in season.broken:
        return not_given(needs(season.broken["yearly_volume"])), []
    if isinstance(made, Said):
        return not_given(made), []
    volume, how = made.stacked_m3, said(Basis.OWN_VOLUME)
    if any(tool.price for tool in season.tools):
        return Figure(volume, how), [("season-own-yearly-volume", "yearly_volume", {"value": volume})]
    facts: Facts = {"title": said(Told.YEARLY_VOLUME), "value": volume, "source": said(Told.OWN_VOLUME)}
    return Figure(volume, how), [("season-default-used", "yearly_volume", facts)]


def _made_over_yearly(made: SeasonWood | Said, yearly_m3: float) -> list[Remark]:
    """Far more wood than in a usual year; far less is a trial, or a winter that another year fed."""
    if isinstance(made, Said) or made.stacked_m3 <= limits_of("gross.yearly_volume")[1] * yearly_m3:
        return []
    facts: Facts = {"found": made.stacked_m3, "value": f"{made.stacked_m3 / yearly_m3:.2g}"}
    return [("season-made-over-yearly", "yearly_volume", facts)]


def _items(
    season: Season, yearly: Figure, totals: list[MethodTotals], sessions: list[SessionFigures]
) -> dict[str, Any]:
    counted_n = sum(s.is_counted for s in sessions)
    fraction = amounts.usual_solid_fraction(season)
    rate = season.real_interest_rate_frac * 100
    length = season.stick_length_m
    items = {
        "season_name": season.name,
        "place": season.place or "",
        "currency": season.currency,
        "price_year": "" if season.price_year is None else str(season.price_year),
        "stick_length": not_given(said(Reason.NOT_WRITTEN))
        if length is None
        else Figure(length * 100, said(Basis.AS_WRITTEN)),
        "stack_form": season.stack_form,
        "solid_fraction": _in_doubt(Figure(fraction.value, fraction.basis), season),
        "yearly_volume": yearly,
        "real_interest_rate": Figure(rate),
        "practical_margin": Figure(100 * season.practical_margin_frac),
        "delay_share": pooled_delay_figure(totals, sessions),
        "sessions_counted": counted_n,
        "sessions_not_counted": len(sessions) - counted_n,
        "invented": Phrase.INVENTED if season.is_invented else "",
    }
    waiting = {
        item: not_given(needs(cell)) for item, cell in season.broken.items() if isinstance(items.get(item), Figure)
    }
    return items | waiting


def _in_doubt(fraction: Figure, season: Season) -> Figure:
    usual = usual_fraction(season)
    if usual is None or fraction.value is None:
        return fraction
    return with_draws(fraction, fraction.value * by_doubt(*usual)).let_go()


def _trace_remarks(sessions: list[SessionFigures]) -> list[Remark]:
    """Remarks on traces that disagree with the mean written by hand."""
    remarks: list[Remark] = []
    for figures in sessions:
        for worker, _ in figures.efforts:
            if worker.trace is None:
                continue
            mean, written = mean_heart_rate_of(worker), worker.mean_heart_rate_bpm
            if mean is not None and written is not None and abs(mean - written) > value("heart_trace.mean_differs"):
                facts = {"session": figures.session.name, "found": f"{mean:.0f}", "expected": f"{written:.0f}"}
                written_at = RowCell("sessions.mean_heart_rate", figures.session.name)
                remarks.append(("season-trace-mean-differs", "" if worker.is_helper else written_at, facts))
    return remarks
