"""Tables of the strain on each worker's heart, and of heart traces."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import NamedTuple

from wood_xl.body import strain
from wood_xl.body.effort import WorkerEffort, mean_heart_rate_of
from wood_xl.body.effort_equations import max_heart_rate_bpm, reserve_uptake_ml_kg_min, u_of_device_bpm
from wood_xl.body.heart_cleaning import CleanTrace
from wood_xl.body.heart_trace import S_PER_MIN, fifty_percent_level_bpm, high_heart_rate_bpm, trace_summary
from wood_xl.data.load import value
from wood_xl.draws.ensemble import last_score
from wood_xl.draws.figure import Figure, Row, not_given
from wood_xl.hours.sessions import SessionFigures, needs
from wood_xl.hours.tables import or_why
from wood_xl.ids import JudgedBy, Modeled, SetRight, Strain, Workload
from wood_xl.reasons import Listing, Reason, Said, said, several
from wood_xl.records import Person, Sex, Worker

People = Mapping[str, Person]


def strain_rows(sessions: Iterable[SessionFigures], people: People) -> list[Row]:
    """Strain of each worker of each session with a time and a method, counted or not."""
    return [
        _strain_row(figures, worker, effort, people.get(worker.person or "", Person(name="")))
        for figures in sessions
        for worker, effort in figures.efforts
    ]


class _Rates(NamedTuple):
    """Heart rates of which the one at work lies between the other two."""

    heart_rate_bpm: float
    resting_bpm: float
    max_bpm: float


def _strain_row(figures: SessionFigures, worker: Worker, effort: WorkerEffort | Said, person: Person) -> Row:
    rates = _rates(worker, person)
    classes = [] if isinstance(effort, Said) else _classes(effort, worker, person.equation_sex)
    highest_of_max_frac = _highest_of_max(worker, person)
    judged = strain.judged_strain(
        reserve_frac=rates if isinstance(rates, Reason) else strain.heart_rate_reserve_frac(**rates._asdict()),
        session_min=worker.whole_min,
        highest_of_max_frac=highest_of_max_frac,
        workload=classes,
    )
    workload = said(Reason.NOT_ASSESSED)
    # No class that sounds light stands beside strain that is very high or not known.
    is_heavy = not set(strain.HEAVY).isdisjoint(classes)
    if classes and (is_heavy or judged.strain not in (Strain.NOT_KNOWN, Strain.VERY_HIGH)):
        workload = said(Listing.UP_TO, parts=tuple(dict.fromkeys((classes[0], classes[-1]))))
    basis = [judged.basis]
    is_judged = rates is not Reason.MEDICINE or judged.strain is Strain.VERY_HIGH
    if is_judged and person.max_bpm is None and highest_of_max_frac is not None:
        basis.append(said(JudgedBy.RATE_BY_AGE))
    return Row(
        session=figures.session.name,
        person=worker.person or "",
        **_reserve(needs(person.broken["effort"]) if "effort" in person.broken else rates, person),
        workload=workload,
        strain=judged.strain,
        strain_basis=several(basis),
    )


def _rates(worker: Worker, person: Person) -> _Rates | Reason:
    """Heart rates of a worker in a session, or why there is no share of the reserve."""
    rate, rest, highest = mean_heart_rate_of(worker), person.resting_bpm, _highest_bpm(person)
    if person.heart_rate_limited:
        return Reason.MEDICINE
    if rate is None:
        return Reason.NO_HEART_RATE
    if rest is None:
        return Reason.NO_RESTING_RATE
    if highest is None:
        return Reason.NO_HIGHEST_RATE
    if not rest < rate < highest:
        return Reason.RATE_AT_HIGHEST if rate >= highest else Reason.RATE_NOT_ABOVE_REST
    return _Rates(rate, rest, highest)


def _reserve(rates: _Rates | Reason | Said, person: Person) -> dict[str, Figure]:
    if isinstance(rates, Reason | Said):
        return dict.fromkeys(_RESERVE, not_given(said(rates) if isinstance(rates, Reason) else rates))
    share = strain.heart_rate_reserve_frac(**rates._asdict())
    u_device_bpm = u_of_device_bpm(person.heart_rate_device)
    u_share = strain.u_of_reserve_frac(
        **rates._asdict(),
        u_heart_rate_bpm=u_device_bpm,
        u_resting_bpm=value("effort.u_heart_rate.resting"),
        u_max_bpm=value("max_heart_rate.u") if person.max_bpm is None else u_device_bpm,
    )
    half_width = last_score() * u_share
    ends = max(0.0, share - half_width), min(1.0, share + half_width)
    return {
        "reserve_share": Figure(100 * share, None, 100 * ends[0], 100 * ends[1]),
        "reserve_u": Figure(100 * u_share),
        "ratio_to_rest": Figure(rates.heart_rate_bpm / rates.resting_bpm),
        "fifty_percent_level": Figure(strain.ratio_to_fifty_percent_level(**rates._asdict())),
        "modeled_time": _time_between(lambda frac: strain.acceptable_work_min(reserve_frac=frac), share, ends),
        "modeled_time_uptake": _by_uptake(share, ends, person.vo2max_ml_kg_min),
    }


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
        return not_given(said(Reason.NO_VO2MAX))
    vo2max = vo2max_ml_kg_min

    def modeled(reserve_frac: float) -> strain.ModeledTime:
        uptake_ml_kg_min = reserve_uptake_ml_kg_min(reserve_frac=reserve_frac, vo2max_ml_kg_min=vo2max)
        return strain.acceptable_work_by_uptake_min(uptake_frac=uptake_ml_kg_min / vo2max)

    return _time_between(modeled, share, ends)


def _time_between(modeled: Callable[[float], strain.ModeledTime], share: float, ends: tuple[float, float]) -> Figure:
    """Minutes at a share of the reserve; the upper end of the share gives the shortest time."""
    middle, longest, shortest = modeled(share), modeled(ends[0]), modeled(ends[1])
    if middle.minutes is None:
        return not_given(middle.basis)
    why = said(Modeled.AT_LOWER_END, why=longest.basis) if longest.minutes is None else None
    return Figure(middle.minutes, middle.basis, shortest.minutes, longest.minutes, why)


def _highest_bpm(person: Person) -> float | None:
    if person.max_bpm is not None:
        return person.max_bpm
    return None if person.age_years is None else max_heart_rate_bpm(person.age_years)


def _highest_of_max(worker: Worker, person: Person) -> float | None:
    """The higher of the mean and the highest rate held in a trace, over the person's highest rate."""
    highest_bpm = _highest_bpm(person)
    if highest_bpm is None:
        return None
    # A medicine makes a rate too low, never too high, so a rate near the highest counts even then. A single reading
    # does not count: it may be a fault of the monitor.
    held = None if worker.trace is None else worker.trace.cleaned.highest_held_bpm
    rates = [rate for rate in (mean_heart_rate_of(worker), held) if rate is not None]
    return max(rates) / highest_bpm if rates else None


def _classes(effort: WorkerEffort, worker: Worker, sex: Sex | None) -> list[Workload]:
    """Classes of work, lightest first, by the headline and by the highest basis; of both sexes if none is stated.

    The highest basis is there so that a headline that reads low takes no warning away.
    """
    sexes: tuple[Sex, ...] = ("male", "female") if sex is None else (sex,)
    per_min = [kcal / worker.time_min for kcal in (effort.kcal_gross, effort.kcal_highest)]
    reached = {strain.workload_class(kcal_per_min=kcal, sex=either) for kcal in per_min for either in sexes}
    return sorted(reached, key=list(Workload).index)


def trace_rows(sessions: Iterable[SessionFigures], people: People) -> list[Row]:
    """One row for each heart trace of a session with a time and a method, counted or not."""
    rows = []
    for figures in sessions:
        for worker, _ in figures.efforts:
            if worker.trace is None:
                continue
            person = people.get(worker.person or "", Person(name=""))
            row = _trace_row(figures.session.name, worker, worker.trace.cleaned, person)
            if "effort" in figures.session.broken:  # a cell of the trace cannot be read
                why = not_given(needs(figures.session.broken["effort"]))
                row = Row({key: why if isinstance(entry, Figure) else entry for key, entry in row.items()})
            rows.append(row)
    return rows


def _trace_row(session: str, worker: Worker, trace: CleanTrace, person: Person) -> Row:
    highest, rest = _highest_bpm(person), person.resting_bpm
    why = said(Reason.NO_HIGHEST_RATE) if highest is None else None
    if person.heart_rate_limited:
        why = said(Reason.MEDICINE)
    if "effort" in person.broken:
        why = needs(person.broken["effort"])
    why_half = why or (said(Reason.NO_RESTING_RATE) if rest is None else None)
    high_bpm = None if highest is None else high_heart_rate_bpm(max_bpm=highest)
    half_bpm = None
    if highest is not None and rest is not None:
        half_bpm = fifty_percent_level_bpm(resting_bpm=rest, max_bpm=highest)
    summary = trace_summary(trace, thresholds_bpm=[half_bpm or 0.0, high_bpm or 0.0], max_bpm=highest)
    half_s, high_s = summary.times_above_s
    return Row(
        session=session,
        person=worker.person or "",
        readings_n=trace.readings_n,
        cadence=or_why(trace.cadence_s, Reason.TOO_FEW_READINGS),
        covered=Figure(trace.used_s / S_PER_MIN),
        gaps=Figure(trace.gap_s / S_PER_MIN),
        set_right=_corrections(trace),
        mean=or_why(summary.mean_bpm, Reason.NO_TIME_BETWEEN_READINGS),
        written_mean=or_why(worker.mean_heart_rate_bpm, Reason.NONE_WRITTEN),
        highest=or_why(trace.highest_bpm, Reason.NO_READING),
        above_half=_minutes(half_s, why_half),
        above_high=_minutes(high_s, why),
        high_spell=_minutes(summary.longest_high_spell_s or 0.0, why),
    )


def _minutes(seconds: float, why_not: Said | None) -> Figure:
    return Figure(seconds / S_PER_MIN) if why_not is None else not_given(why_not)


def _corrections(trace: CleanTrace) -> Said:
    counts = (
        (trace.dropped_zero_n, SetRight.WITHOUT_BEAT),
        (trace.dropped_odd_n, SetRight.NO_RATE),
        (trace.dropped_duplicate_n, SetRight.SAME_TIME),
        (trace.out_of_order_n, SetRight.OUT_OF_ORDER),
        (trace.recordings_n if trace.recordings_n > 1 else 0, SetRight.RECORDINGS),
    )
    corrections = tuple(said(correction, n=n) for n, correction in counts if n)
    return said(Listing.COMMAS, parts=corrections) if corrections else said(SetRight.NOTHING)
