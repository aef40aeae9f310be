"""Tables of each person's days: the rest rule for shifts, vibration and noise."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import NamedTuple

from wood_xl.body import exposure, strain
from wood_xl.body.effort import WorkerEffort
from wood_xl.data.load import value
from wood_xl.draws.figure import Figure, Row, not_given
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.sessions import MIN_PER_H, SessionFigures, needs
from wood_xl.hours.tables import energy_figure
from wood_xl.ids import Exposed, NoiseBand, Phrase, RestStandard
from wood_xl.reasons import Reason, Said, Word, said, several
from wood_xl.records import Method, Person, Session, Tool, Worker

HOURS_PER_DAY = 24.0

Tools = Mapping[str, Tool]
People = Mapping[str, Person]
Day = str | Said  # a date, or the session that has none
Levels = list[tuple[float, float]]  # vibration or noise of each tool, and its hours


class _Stint(NamedTuple):
    """One person's part in a session."""

    figures: SessionFigures
    worker: Worker
    effort: WorkerEffort | Said


def shift_rest_rows(sessions: Iterable[SessionFigures], people: People) -> list[Row]:
    """The rest rule for shifts: one row for each person and day whose sessions together come near a shift."""
    rows = []
    for (day, name), stints in _days(sessions):
        hours = math.fsum(stint.worker.time_min for stint in stints) / MIN_PER_H
        if hours >= value("rest.shift_from"):
            rest = _shift_rest(stints, hours, people.get(name, Person(name="")))
            person = name or Phrase.NOT_NAMED
            rows.append(Row(day=day, person=person, hours=Figure(hours), rest_in_hour=rest))
    return rows


def _shift_rest(stints: list[_Stint], hours: float, person: Person) -> Figure:
    energy = energy_figure([(stint.worker, stint.effort) for stint in stints], "kcal_gross")
    if energy.value is None:
        return energy
    standard, whose = _standard(person)
    middle, low, high = (
        strain.rest_in_total_min(
            total_min=MIN_PER_H, work_kcal_per_min=kcal / hours / MIN_PER_H, standard_kcal_per_min=standard
        )
        for kcal in (energy.value, energy.low or energy.value, energy.high or energy.value)
    )
    if high == 0:
        return not_given(said(Reason.ENERGY_BELOW_STANDARD))
    return Figure(middle, said(whose), low, high)


def _days(sessions: Iterable[SessionFigures]) -> list[tuple[tuple[Day, str], list[_Stint]]]:
    """Stints by day and person; a session without a date is a day of its own, at the end."""
    days: dict[tuple[Day, str], list[_Stint]] = {}
    for figures in sessions:
        for worker, effort in figures.efforts:
            days.setdefault((_day(figures), worker.person or ""), []).append(_Stint(figures, worker, effort))
    return sorted(days.items(), key=lambda item: _order(*item[0]))


def _order(day: Day, person: str) -> tuple[bool, str, str]:
    return (True, day["name"], person) if isinstance(day, Said) else (False, day, person)


def _day(figures: SessionFigures) -> Day:
    return figures.session.date or said(Exposed.SESSION, name=figures.session.name)


def _standard(person: Person) -> tuple[float, RestStandard]:
    if person.vo2max_ml_kg_min is not None and person.mass_kg is not None:
        own = strain.rest_standard_by_vo2max_kcal_per_min(
            vo2max_ml_kg_min=person.vo2max_ml_kg_min, mass_kg=person.mass_kg
        )
        if own > value("rest.resting"):
            return own, RestStandard.OWN
    whose = {"male": RestStandard.MEN, "female": RestStandard.WOMEN, None: RestStandard.LOWER}
    return strain.rest_standard_kcal_per_min(sex=person.equation_sex), whose[person.equation_sex]


def exposure_rows(sessions: Sequence[SessionFigures], tools: Tools) -> list[Row]:
    """Vibration of the hands and noise at the ear, for each person and day, of sessions counted and not counted."""
    unknown: dict[Day, list[Said]] = {}
    for figures in sessions:
        if figures.time is None or figures.method is None:
            unknown.setdefault(_day(figures), []).append(said(Exposed.SESSION, name=figures.session.name))
    return [
        _exposure_row(day, person, stints, unknown.get(day, []), tools) for (day, person), stints in _days(sessions)
    ]


class _Exposure(NamedTuple):
    """A person's exposure on a day, to vibration or to noise."""

    levels: Levels
    basis: Said | None
    is_complete: bool
    wait: Said | None  # why all figures are withheld

    def figure(self, formula: Callable[[Levels], float]) -> Figure:
        if self.wait is not None:
            return not_given(self.wait)
        return Figure(formula(self.levels), self.basis) if self.levels else not_given(said(Reason.NOT_ASSESSED))

    def band(self, band_of: Callable[[Levels], Word]) -> Word | Said:
        """The band of the day, marked if something is missing from it."""
        if self.wait is not None:
            return self.wait
        if not self.levels:
            return Reason.NOT_ASSESSED
        band = band_of(self.levels)
        return band if self.is_complete else said(Exposed.SO_FAR_AS_KNOWN, band=band)


def _exposure(
    stints: list[_Stint], unknown: list[Said], tools: Tools, level_of: Callable[[Tool], float | None]
) -> _Exposure:
    levels: Levels = []
    bounds: list[Said] = []
    missing: list[str | Said] = []
    uncounted: list[Said] = []
    records: list[Session | Tool] = [stint.figures.session for stint in stints]
    for figures, worker, _ in stints:
        hours, is_bound = _running_hours(figures.session, worker)
        of_method = _tools_of(figures.method, tools)
        records += of_method
        levels_of_tools = [level for tool in of_method if (level := level_of(tool)) is not None]
        levels += [(level, hours) for level in levels_of_tools]
        if levels_of_tools and is_bound:
            bounds.append(said(Exposed.NO_RUNNING_TIME))
        if len(levels_of_tools) > 1:
            bounds.append(said(Exposed.WHOLE_TIME))
        if levels_of_tools and not figures.is_counted:
            uncounted.append(said(Exposed.SESSION, name=figures.session.name))
        missing += [tool.name for tool in of_method if tool.kind_row.is_powered and level_of(tool) is None]
    missing += unknown
    wait = next((needs(record.broken["exposure"]) for record in records if "exposure" in record.broken), None)
    basis = []
    if bounds:
        basis.append(said(Exposed.UPPER_BOUND, why=tuple(dict.fromkeys(bounds))))
    if missing:
        basis.append(said(Exposed.WITHOUT, missing=tuple(dict.fromkeys(missing))))
    if uncounted:
        basis.append(said(Exposed.NOT_IN_RATES, sessions=tuple(dict.fromkeys(uncounted))))
    return _Exposure(levels, several(basis), not missing, wait)


def _exposure_row(day: Day, person: str, stints: list[_Stint], unknown: list[Said], tools: Tools) -> Row:
    held = [stint for stint in stints if not stint.worker.is_helper]
    hands = _exposure(held, unknown, tools, lambda tool: tool.vibration_m_s2)
    ears = _exposure(stints, unknown, tools, lambda tool: tool.sound_level_dba)

    def a8_m_s2(parts: Levels) -> float:
        return exposure.daily_vibration_a8_m_s2(vibration_m_s2_and_hours=parts)

    def dose_frac(parts: Levels, rule: exposure.NoiseRule = "niosh") -> float:
        return exposure.noise_dose_frac(level_dba_and_hours=parts, rule=rule)

    return Row(
        day=day,
        person=person or Phrase.NOT_NAMED,
        vibration=hands.figure(a8_m_s2),
        points=hands.figure(lambda parts: exposure.vibration_points(vibration_m_s2_and_hours=parts)),
        vibration_words=hands.band(lambda parts: exposure.vibration_band(daily_vibration_m_s2=a8_m_s2(parts))),
        noise_level=_noise_level(ears),
        noise_dose=ears.figure(dose_frac).times(100),
        noise_dose_us=ears.figure(lambda parts: dose_frac(parts, "osha")).times(100),
        noise_words=ears.band(lambda parts: exposure.noise_band(dose_3db_frac=dose_frac(parts))),
    )


def _noise_level(ears: _Exposure) -> Figure:
    if ears.wait is None and ears.levels and not any(hours for _, hours in ears.levels):
        return not_given(said(Reason.NO_RUNNING_TIME))
    return ears.figure(lambda parts: exposure.daily_noise_level_dba(level_dba_and_hours=parts))


def _running_hours(session: Session, worker: Worker) -> tuple[float, bool]:
    """Hours that the tools ran for a worker, and whether that is only an upper bound."""
    if session.running_min is not None:
        return min(session.running_min, worker.whole_min) / MIN_PER_H, False
    # An engine may run on while somebody stacks.
    worked_min = (session.elapsed_min or 0.0) + session.stacking_min - session.delay_min - session.service_min
    return min(worked_min, worker.whole_min) / MIN_PER_H, True


def _tools_of(method: Method | None, tools: Tools) -> list[Tool]:
    return [] if method is None else [tools[name] for name in method.tools if name in tools]


def limit_rows(totals: Iterable[MethodTotals], tools: Tools) -> list[Row]:
    """Hours per day until vibration or noise reaches a limit, for each tool of each method."""
    return [
        _limit_row(t.method.name, tool)
        for t in totals
        for tool in _tools_of(t.method, tools)
        if tool.kind_row.is_powered or tool.vibration_m_s2 is not None or tool.sound_level_dba is not None
    ]


def _limit_row(method: str, tool: Tool) -> Row:
    vibration, level = tool.vibration_m_s2, tool.sound_level_dba
    to_action, to_limit = (
        exposure.time_to_vibration_line_h(vibration_m_s2=vibration, line=line) if vibration else None
        for line in exposure.VIBRATION_LINES
    )
    allowed_h, allowed_us_h = (
        None if level is None else exposure.time_allowed_h(level_dba=level, rule=rule)
        for rule in exposure.COUNTED_FROM
    )
    return Row(
        method=method,
        tool=tool.name,
        to_action_value=_hours_a_day(to_action),
        to_limit_value=_hours_a_day(to_limit),
        noise_hours=_hours_a_day(allowed_h),
        noise_hours_us=_hours_a_day(allowed_us_h),
        words=NoiseBand.CEILING if level is not None and exposure.is_over_noise_ceiling(level_dba=level) else None,
    )


def _hours_a_day(hours: float | None) -> Figure:
    if hours is None:
        return not_given(said(Reason.NOT_ASSESSED))
    return Figure(hours) if hours <= HOURS_PER_DAY else not_given(said(Reason.NOT_REACHED, hours=HOURS_PER_DAY))
