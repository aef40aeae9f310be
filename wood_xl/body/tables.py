"""What the work asks of each body: strain of the heart, heart traces, vibration and noise."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from statistics import NormalDist
from typing import Any, NamedTuple

from wood_xl.body import exposure, noise
from wood_xl.body.effort import WorkerEffort, mean_heart_rate_of
from wood_xl.body.effort_equations import max_heart_rate_bpm
from wood_xl.body.effort_uncertainty import u_of_device_bpm
from wood_xl.body.heart_cleaning import CleanTrace
from wood_xl.body.heart_trace import fifty_percent_level_bpm, high_heart_rate_bpm, trace_summary
from wood_xl.body.oxygen import reserve_uptake_ml_kg_min
from wood_xl.body.rest_allowance import (
    rest_in_total_min,
    rest_standard_by_vo2max_kcal_per_min,
    rest_standard_kcal_per_min,
)
from wood_xl.body.strain import (
    ModeledTime,
    acceptable_work_by_uptake_min,
    acceptable_work_min,
    heart_rate_reserve_frac,
    judged_strain,
    ratio_to_fifty_percent_level,
    ratio_to_rest,
    u_of_reserve_frac,
)
from wood_xl.body.workload import Class, workload_class
from wood_xl.data.load import value
from wood_xl.draws.figure import Figure, not_given
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.sessions import SessionFigures
from wood_xl.hours.tables import energy_figure
from wood_xl.reasons import Said
from wood_xl.records import Method, Person, Session, Sex, Tool, Worker

MIN_PER_H = 60.0
S_PER_MIN = 60.0
HOUR_MIN = 60.0
HOURS_PER_DAY = 24.0
NO_RATE, NO_REST, LIMITED = "no heart rate", "no resting rate", "a medicine limits the heart rate"
NO_HIGHEST = "no age and no highest rate"
BY_AGE = "highest rate predicted from age"
NOT_ASSESSED = "not assessed"

Row = dict[str, Any]
Tools = Mapping[str, Tool]
People = Mapping[str, Person]
Stint = tuple[SessionFigures, Worker, WorkerEffort | Said]  # a person's part in a session, and its effort


def strain_rows(sessions: Iterable[SessionFigures], people: People) -> list[Row]:
    """One row for each worker of each session with a time and a method, counted or not."""
    return [
        _strain_row(figures, worker, effort, people.get(worker.person or "", Person(name="")))
        for figures in sessions
        for worker, effort in figures.efforts
    ]


class _Rates(NamedTuple):
    """Heart rates that rise from rest to work to the highest."""

    heart_rate_bpm: float
    resting_bpm: float
    max_bpm: float


def _strain_row(figures: SessionFigures, worker: Worker, effort: WorkerEffort | Said, person: Person) -> Row:
    rates = _rates(worker, person)
    classes = [] if isinstance(effort, Said) else _classes(effort.kcal_gross / worker.time_min, person.equation_sex)
    judged = judged_strain(
        reserve_frac=None if isinstance(rates, str) else heart_rate_reserve_frac(**rates._asdict()),
        session_min=worker.time_min,
        highest_of_max_frac=_highest_of_max(worker, person),
        workload=classes,
        unknown=rates if isinstance(rates, str) else "",
    )
    return {
        "session": figures.session.name,
        "person": worker.person or "",
        **_reserve(rates, person),
        "workload": " to ".join(dict.fromkeys(classes)) or NOT_ASSESSED,
        "strain": judged.word,
        "strain_basis": f"{judged.basis}; {BY_AGE}" if _is_by_age(worker, person) else judged.basis,
    }


def _rates(worker: Worker, person: Person) -> _Rates | str:
    """Heart rates of a worker in a session, or why they say nothing."""
    rate, rest, highest = mean_heart_rate_of(worker), person.resting_bpm, _highest_bpm(person)
    if person.heart_rate_limited:
        return LIMITED
    if rate is None:
        return NO_RATE
    if rest is None:
        return NO_REST
    if highest is None:
        return NO_HIGHEST
    if not rest < rate < highest:
        return f"the heart rate is {'at or above the highest' if rate >= highest else 'not above rest'}"
    return _Rates(rate, rest, highest)


def _reserve(rates: _Rates | str, person: Person) -> Row:
    if isinstance(rates, str):
        return dict.fromkeys(_RESERVE, not_given(rates))
    share = heart_rate_reserve_frac(**rates._asdict())
    u_device_bpm = u_of_device_bpm(person.heart_rate_device)
    u_share = u_of_reserve_frac(
        **rates._asdict(),
        u_heart_rate_bpm=u_device_bpm,
        u_resting_bpm=value("effort.u_heart_rate.resting"),
        u_max_bpm=value("max_heart_rate.u") if person.max_bpm is None else u_device_bpm,
    )
    ends = _share_ends(share, u_share)
    return {
        "reserve_share": Figure(100 * share, "", 100 * ends[0], 100 * ends[1]),
        "reserve_u": Figure(100 * u_share),
        "ratio_to_rest": Figure(ratio_to_rest(heart_rate_bpm=rates.heart_rate_bpm, resting_bpm=rates.resting_bpm)),
        "fifty_percent_level": Figure(ratio_to_fifty_percent_level(**rates._asdict())),
        "modeled_time": _time_between(lambda one: acceptable_work_min(reserve_frac=one), share, ends),
        "modeled_time_uptake": _by_uptake(share, ends, person.vo2max_ml_kg_min),
    }


def _share_ends(share: float, u_share: float) -> tuple[float, float]:
    """Interval of a share of the reserve, kept from 0 to 1."""
    half = NormalDist().inv_cdf((1 + value("interval.level") / 100) / 2) * u_share
    return max(0.0, share - half), min(1.0, share + half)


_RESERVE = (
    "reserve_share",
    "reserve_u",
    "ratio_to_rest",
    "fifty_percent_level",
    "modeled_time",
    "modeled_time_uptake",
)


def _by_uptake(share: float, ends: tuple[float, float], vo2max_ml_kg_min: float | None) -> Figure:
    if vo2max_ml_kg_min is None:
        return not_given("no VO2max")
    vo2max = vo2max_ml_kg_min

    def modeled(one: float) -> ModeledTime:
        uptake_ml_kg_min = reserve_uptake_ml_kg_min(reserve_frac=one, vo2max_ml_kg_min=vo2max)
        return acceptable_work_by_uptake_min(uptake_frac=uptake_ml_kg_min / vo2max)

    return _time_between(modeled, share, ends)


def _time_between(modeled: Callable[[float], ModeledTime], share: float, ends: tuple[float, float]) -> Figure:
    """Minutes at a share of the reserve, less at its upper end and more at its lower."""
    middle, more, less = modeled(share), modeled(ends[0]), modeled(ends[1])
    if middle.minutes is None:
        return not_given(middle.words)
    why = f"at the lower end of the share: {more.words}" if more.minutes is None else ""
    return Figure(middle.minutes, middle.words, less.minutes, more.minutes, why)


def _highest_bpm(person: Person) -> float | None:
    if person.max_bpm is not None:
        return person.max_bpm
    return None if person.age_years is None else max_heart_rate_bpm(person.age_years)


def _highest_of_max(worker: Worker, person: Person) -> float | None:
    """The higher of the mean and the rate that was held in a trace, over the highest rate."""
    highest_bpm = _highest_bpm(person)
    if highest_bpm is None or person.heart_rate_limited:
        return None
    # no single reading: it may be a fault of the monitor
    held = None if worker.trace is None else worker.trace.cleaned.highest_held_bpm
    rates = [rate for rate in (mean_heart_rate_of(worker), held) if rate is not None]
    return max(rates) / highest_bpm if rates else None


def _is_by_age(worker: Worker, person: Person) -> bool:
    """Whether a row was judged by a highest rate that is predicted from age."""
    return person.max_bpm is None and _highest_of_max(worker, person) is not None


def _figure(number: float | None, why: str) -> Figure:
    return not_given(why) if number is None else Figure(number)


def shift_rest_rows(sessions: Iterable[SessionFigures], people: People) -> list[Row]:
    """The rest rule for shifts: one row for each person and day that nears a shift, all sessions of the day together.

    Source: wood_xl_definitions, where a day nears a shift (constant ``rest.shift_from``).
    """
    rows = []
    for (day, name), stints in sorted(_days(sessions).items()):
        hours = math.fsum(worker.time_min for _, worker, _ in stints) / MIN_PER_H
        if hours >= value("rest.shift_from"):
            rest = _shift_rest(stints, hours, people.get(name, Person(name="")))
            rows.append({"day": day, "person": name, "hours": Figure(hours), "rest_in_hour": rest})
    return rows


def _shift_rest(stints: list[Stint], hours: float, person: Person) -> Figure:
    energy = energy_figure([(worker, effort) for _, worker, effort in stints], "kcal_gross")
    if energy.value is None:
        return energy
    standard, words = _standard(person)
    middle, low, high = (
        rest_in_total_min(
            total_min=HOUR_MIN, work_kcal_per_min=kcal / hours / MIN_PER_H, standard_kcal_per_min=standard
        )
        for kcal in (energy.value, energy.low or energy.value, energy.high or energy.value)
    )
    if high == 0:
        return not_given("the energy of the day is below the standard of the rule")
    return Figure(middle, words, low, high)


def _days(sessions: Iterable[SessionFigures]) -> dict[tuple[str, str], list[Stint]]:
    """Parts in sessions by day and person; a session without a date is a day of its own."""
    days: dict[tuple[str, str], list[Stint]] = {}
    for figures in sessions:
        for worker, effort in figures.efforts:
            days.setdefault((_day(figures), worker.person or "(not named)"), []).append((figures, worker, effort))
    return days


def _day(figures: SessionFigures) -> str:
    return figures.session.date or f"session {figures.session.name}"


def _classes(kcal_per_min: float, sex: Sex | None) -> list[Class]:
    """Class of work: of both sexes where it is not stated which holds."""
    sexes: tuple[Sex, ...] = ("male", "female") if sex is None else (sex,)
    return [workload_class(kcal_per_min=kcal_per_min, sex=one) for one in sexes]


def _standard(person: Person) -> tuple[float, str]:
    if person.vo2max_ml_kg_min is not None and person.mass_kg is not None:
        own = rest_standard_by_vo2max_kcal_per_min(vo2max_ml_kg_min=person.vo2max_ml_kg_min, mass_kg=person.mass_kg)
        if own > value("rest.resting"):
            return own, "standard: a third of VO2max"
    words = f"standard for {'women' if person.equation_sex == 'female' else 'men'}"
    if person.equation_sex is None:
        words = "sex not stated: the lower standard"
    return rest_standard_kcal_per_min(sex=person.equation_sex), words


def trace_rows(sessions: Iterable[SessionFigures], people: People) -> list[Row]:
    """One row for each heart trace of a session with a time and a method, counted or not."""
    return [
        _trace_row(
            figures.session.name, worker, worker.trace.cleaned, people.get(worker.person or "", Person(name=""))
        )
        for figures in sessions
        for worker, _ in figures.efforts
        if worker.trace is not None
    ]


def _trace_row(session: str, worker: Worker, trace: CleanTrace, person: Person) -> Row:
    highest, rest = _highest_bpm(person), person.resting_bpm
    why = LIMITED if person.heart_rate_limited else NO_HIGHEST if highest is None else ""
    why_half = why or (NO_REST if rest is None else "")
    high_bpm = None if highest is None else high_heart_rate_bpm(max_bpm=highest)
    half_bpm = None
    if highest is not None and rest is not None:
        half_bpm = fifty_percent_level_bpm(resting_bpm=rest, max_bpm=highest)
    found = trace_summary(trace, thresholds_bpm=[half_bpm or 0.0, high_bpm or 0.0], max_bpm=highest)
    half, high = found.times_above
    return {
        "session": session,
        "person": worker.person or "",
        "readings_n": found.readings_n,
        "cadence": _figure(trace.cadence_s, "too few readings"),
        "covered": Figure(found.used_s / S_PER_MIN),
        "gaps": Figure(found.gap_s / S_PER_MIN),
        "set_right": _set_right(trace),
        "mean": _figure(found.mean_bpm, "no time between readings"),
        "written_mean": _figure(worker.mean_heart_rate_bpm, "none written"),
        "highest": _figure(found.highest_bpm, "no reading"),
        "above_half": not_given(why_half) if why_half else Figure(half.above_s / S_PER_MIN),
        "above_high": not_given(why) if why else Figure(high.above_s / S_PER_MIN),
        "high_spell": not_given(why) if why else Figure((found.longest_high_spell_s or 0.0) / S_PER_MIN),
    }


def _set_right(trace: CleanTrace) -> str:
    parts = (
        (trace.dropped_zero_n, "without a beat"),
        (trace.dropped_odd_n, "no heart rate"),
        (trace.dropped_duplicate_n, "of the same time"),
        (trace.out_of_order_n, "out of order"),
        (trace.recordings_n if trace.recordings_n > 1 else 0, "recordings put one after the other"),
    )
    return ", ".join(f"{n} {words}" for n, words in parts if n) or "nothing"


def exposure_rows(sessions: Sequence[SessionFigures], tools: Tools) -> list[Row]:
    """One row for each person and day: vibration of the hands and noise at the ear, of all sessions, counted or not.

    Source: wood_xl_definitions, what a body was exposed to is never left out.
    """
    unknown: dict[str, list[str]] = {}
    for figures in sessions:
        if figures.time is None or figures.method is None:
            unknown.setdefault(_day(figures), []).append(f"session {figures.session.name}")
    return [
        _exposure_row(day, person, stints, unknown.get(day, []), tools)
        for (day, person), stints in sorted(_days(sessions).items())
    ]


class _Exposure(NamedTuple):
    """What is known of a person's exposure on a day: levels with hours, and what must be said of them."""

    levels: list[tuple[float, float]]
    words: str
    is_whole: bool

    def band(self, words: str) -> str:
        """Where the day lies, in words that do not hide what is missing from it."""
        return words if self.is_whole else f"{words}, so far as known"


def _exposure(
    stints: list[Stint], unknown: list[str], tools: Tools, level_of: Callable[[Tool], float | None]
) -> _Exposure:
    levels: list[tuple[float, float]] = []
    bounds, missing, besides = [], [], []
    for figures, worker, _ in stints:
        hours, is_bound = _running_hours(figures.session, worker)
        of_method = _tools_of(figures.method, tools)
        known = [level for tool in of_method if (level := level_of(tool)) is not None]
        levels += [(level, hours) for level in known]
        if known and is_bound:
            bounds.append("no running time is written")
        if len(known) > 1:
            bounds.append("the whole time counts for each tool of a method")
        if known and not figures.is_counted:
            besides.append(f"session {figures.session.name}")
        missing += [tool.name for tool in of_method if tool.kind_row.is_powered and level_of(tool) is None]
    missing += unknown
    said = (("upper bound: ", bounds, ""), ("without ", missing, ""), ("with ", besides, ", not counted in rates"))
    words = [f"{before}{', '.join(dict.fromkeys(found))}{after}" for before, found, after in said if found]
    return _Exposure(levels, "; ".join(words), not missing)


def _exposure_row(day: str, person: str, stints: list[Stint], unknown: list[str], tools: Tools) -> Row:
    held = [stint for stint in stints if not stint[1].is_helper]
    hands = _exposure(held, unknown, tools, lambda tool: tool.vibration_m_s2)
    ears = _exposure(stints, unknown, tools, lambda tool: tool.sound_level_dba)
    row: Row = {"day": day, "person": person, "noise_level": _noise_level(ears.levels, ears.words)}
    if hands.levels:
        a8 = exposure.daily_vibration_a8_m_s2(vibration_m_s2_and_hours=hands.levels)
        points = exposure.vibration_points(vibration_m_s2_and_hours=hands.levels)
        row |= {"vibration": Figure(a8, hands.words), "points": Figure(points, hands.words)}
        row["vibration_words"] = hands.band(exposure.vibration_band(daily_vibration_m_s2=a8))
    else:
        row |= dict.fromkeys(("vibration", "points"), not_given(NOT_ASSESSED)) | {"vibration_words": NOT_ASSESSED}
    if ears.levels:
        dose = noise.noise_dose_3db_frac(level_dba_and_hours=ears.levels)
        us_dose = noise.noise_dose_5db_frac(level_dba_and_hours=ears.levels, counting="limit")
        row |= {"noise_dose": Figure(100 * dose, ears.words), "noise_dose_us": Figure(100 * us_dose, ears.words)}
        row["noise_words"] = ears.band(noise.noise_band(dose_3db_frac=dose))
    else:
        row |= dict.fromkeys(("noise_dose", "noise_dose_us"), not_given(NOT_ASSESSED)) | {"noise_words": NOT_ASSESSED}
    return row


def _noise_level(levels: list[tuple[float, float]], words: str) -> Figure:
    if not levels:
        return not_given(NOT_ASSESSED)
    if not any(hours for _, hours in levels):
        return not_given("no running time")
    return Figure(noise.daily_noise_level_dba(level_dba_and_hours=levels), words)


def _running_hours(session: Session, worker: Worker) -> tuple[float, bool]:
    """Hours that the tools ran for a worker, and whether that is more than they can have run."""
    if session.running_min is not None:
        return min(session.running_min, worker.time_min) / MIN_PER_H, False
    worked = (session.elapsed_min or 0.0) - session.delay_min - session.service_min
    return min(worked, worker.time_min) / MIN_PER_H, True


def _tools_of(method: Method | None, tools: Tools) -> list[Tool]:
    return [] if method is None else [tools[name] for name in method.tools if name in tools]


def limit_rows(totals: Iterable[MethodTotals], tools: Tools) -> list[Row]:
    """Hours in a day until vibration or noise reaches a limit with each tool of each method."""
    rows = []
    for t in totals:
        for tool in _tools_of(t.method, tools):
            if not tool.kind_row.is_powered and tool.vibration_m_s2 is None and tool.sound_level_dba is None:
                continue
            rows.append(_limit_row(t.method.name, tool))
    return rows


def _limit_row(method: str, tool: Tool) -> Row:
    vibration, level = tool.vibration_m_s2, tool.sound_level_dba
    ceiling = level is not None and noise.is_over_noise_ceiling(level_dba=level)
    to_action = exposure.time_to_vibration_action_value_h(vibration_m_s2=vibration) if vibration else None
    to_limit = exposure.time_to_vibration_limit_value_h(vibration_m_s2=vibration) if vibration else None
    return {
        "method": method,
        "tool": tool.name,
        "to_action_value": _hours_a_day(to_action),
        "to_limit_value": _hours_a_day(to_limit),
        "noise_hours": _hours_a_day(None if level is None else noise.time_allowed_3db_h(level_dba=level)),
        "noise_hours_us": _hours_a_day(None if level is None else noise.time_allowed_5db_h(level_dba=level)),
        "words": "loud enough for a caution in any time" if ceiling else "",
    }


def _hours_a_day(hours: float | None) -> Figure:
    if hours is None:
        return not_given(NOT_ASSESSED)
    return Figure(hours) if hours <= HOURS_PER_DAY else not_given(f"not reached in {HOURS_PER_DAY:.0f} h")
