"""Energy that a worker spent in a session, by every basis that the notes allow, and which one is the headline."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Literal, NamedTuple, get_args

from wood_xl.body import effort_equations as equations
from wood_xl.body.heart_cleaning import CleanTrace
from wood_xl.body.heart_trace import S_PER_MIN, trace_kcal, trace_summary
from wood_xl.data.load import Activity, activities, as_read, value
from wood_xl.data.trade import tasks
from wood_xl.draws.figure import Figure, in_doubt, not_given
from wood_xl.ids import Body, EffortBasis
from wood_xl.reasons import Reason, Said, said, several
from wood_xl.records import Person, Sex, Worker

Headline = Literal["heart rate and VO2max", "reserve", "heart rate", "table"]
Method = Headline | Literal["monitor"]
STANDING = "07040"  # activity code for delays


@dataclass(frozen=True, slots=True)
class WorkerEffort:
    """Energy that one worker spent in one session."""

    # kcal_gross, kcal_net: headline, with and without energy at rest
    kcal_gross: float
    kcal_net: float
    kcal_highest: float  # gross, the highest of the headline and of the other bases by the same heart rate
    method: Headline
    basis: Said  # how the headline was found, and why no better basis was used
    u_basis_frac: float  # relative standard uncertainty of the headline's gross energy, from its own basis
    u_disagreement_frac: float  # the same, from how far the other bases lie from it
    kcal_by: Mapping[Method, Figure]  # gross energy by every basis, or why there is none
    activity: Activity

    @property
    def u_frac(self) -> float:
        """Relative standard uncertainty of the headline's gross energy; relative variances add."""
        return math.hypot(self.u_basis_frac, self.u_disagreement_frac)

    @property
    def spread_frac(self) -> float | None:
        """Highest minus lowest basis, over the headline; None if there is only one, or no energy was spent."""
        kcal = [figure.value for figure in self.kcal_by.values() if figure.value is not None]
        if len(kcal) < 2 or not self.kcal_gross:
            return None
        return (max(kcal) - min(kcal)) / self.kcal_gross


def worker_effort(
    worker: Worker, person: Person | None, *, task: str, powered: bool, delay_frac: float
) -> WorkerEffort:
    """Energy of one worker in one session by every basis, and which one is the headline.

    The headline is the first of these that is available: the heart-rate equation with VO2max; the heart-rate
    reserve, with VO2max by age where none is written; the equation without VO2max, which assumes a trained person;
    the activity table. With a trace, the equations run over it. A medicine that limits the heart rate rules out all
    but the table. A monitor's own figure is only a note beside them.

        u^2 = (u of the basis)^2 + (u of disagreement)^2

    Disagreement compares the headline with the other bases except the monitor, and except the equation without
    VO2max where the one with it is available. There is always a headline, since the table needs no measurement.

    Source: wood_xl_definitions, order of the bases, uncertainties and devices; how_sure_defaults, disagreement of
    bases.

    >>> man = Person(name="A", age_years=45, equation_sex="male", mass_kg=80, height_cm=178)
    >>> effort = worker_effort(
    ...     Worker(person="A", time_min=60, mean_heart_rate_bpm=120), man, task="split", powered=False, delay_frac=0.1
    ... )
    >>> effort.method, round(effort.kcal_gross, 1), [part.id.name for part in effort.basis["parts"]]
    ('heart rate', 653.8, ['EQUATION', 'ASSUMES_TRAINED', 'NO_RESTING_RATE', 'REST_BY_BODY'])
    """
    body = person or Person(name="")
    table, activity = _by_table(worker, body, task, powered, delay_frac)
    bases: dict[Headline, _Energy | _NoEnergy] = {
        "heart rate and VO2max": _by_equation(worker, body, with_vo2max=True),
        "reserve": _by_reserve(worker, body),
        "heart rate": _by_equation(worker, body, with_vo2max=False),
        "table": table,
    }
    available = {name: basis for name, basis in bases.items() if isinstance(basis, _Energy)}
    method, headline = next(iter(available.items()))
    if method == "heart rate and VO2max":
        available.pop("heart rate", None)  # the same equation without VO2max is no second opinion
    kcal = {name: basis.gross_kcal for name, basis in available.items()}
    u_disagreement_frac = 0.0
    if headline.gross_kcal:
        u_disagreement_frac = equations.u_of_disagreement_frac(
            headline_kcal=headline.gross_kcal, others_kcal=kcal.values()
        )
    better = list(bases.values())[: list(bases).index(method)]
    passed_over = [basis.note for basis in better if isinstance(basis, _NoEnergy) and basis.note is not None]
    return WorkerEffort(
        kcal_gross=headline.gross_kcal,
        kcal_net=headline.net_kcal,
        kcal_highest=max((energy for name, energy in kcal.items() if name != "table"), default=headline.gross_kcal),
        method=method,
        basis=several([*headline.notes, *passed_over]) or headline.notes[0],
        u_basis_frac=headline.u_frac,
        u_disagreement_frac=u_disagreement_frac,
        kcal_by={**{name: _gross(basis) for name, basis in bases.items()}, "monitor": _by_monitor(worker, body)},
        activity=activity,
    )


class _Energy(NamedTuple):
    """Energy by one basis."""

    gross_kcal: float
    net_kcal: float
    u_frac: float
    notes: tuple[Said, ...]


class _NoEnergy(NamedTuple):
    """Why one basis gives no energy."""

    reason: Said
    note: Said | None = None  # the reason as the headline's basis words it; None if it is not worth mentioning


class _HeartWork(NamedTuple):
    """What every basis by heart rate needs."""

    rate_bpm: float
    max_bpm: float
    mass_kg: float
    age_years: float
    rest: equations.Resting


def _gross(basis: _Energy | _NoEnergy) -> Figure:
    return (
        not_given(basis.reason) if isinstance(basis, _NoEnergy) else in_doubt(basis.gross_kcal, u_frac=basis.u_frac)
    )


def _by_table(worker: Worker, body: Person, task: str, powered: bool, delay_frac: float) -> tuple[_Energy, Activity]:
    activity = tasks()[task].activity(powered=powered)
    mass_kg = value("effort.reference_mass_kg") if body.mass_kg is None else body.mass_kg
    energy = equations.activity_kcal(
        met=activity.met,
        mass_kg=mass_kg,
        active_min=worker.time_min * (1 - delay_frac),
        delay_min=worker.time_min * delay_frac,
        standing_met=as_read(activities()[STANDING]).met,
    )
    notes = [said(EffortBasis.TABLE, code=activity.code, label=activity.label)]
    if activity.note:
        notes.append(said(EffortBasis.NOTE_OF_TABLE, note=activity.note))
    if body.mass_kg is None:
        notes.append(said(EffortBasis.REFERENCE_MASS, mass_kg=mass_kg))
    return _Energy(*energy, value("effort.u.table"), tuple(notes)), activity


def mean_heart_rate_of(worker: Worker) -> float | None:
    """Mean heart rate of a worker: from a trace that covers most of the time or stands alone, else as written.

    Returns beats/min; None if there is neither.

    Source: wood_xl_definitions, a trace comes before a mean written by hand.

    >>> mean_heart_rate_of(Worker(person="A", time_min=60, mean_heart_rate_bpm=120))
    120
    """
    trace = _usable_trace(worker)
    mean = None if trace is None else trace_summary(trace).mean_bpm
    return worker.mean_heart_rate_bpm if mean is None else mean


def _usable_trace(worker: Worker) -> CleanTrace | None:
    if worker.trace is None:
        return None
    trace = worker.trace.cleaned
    least_s = value("heart_trace.least_share") * worker.time_min * S_PER_MIN
    return trace if worker.mean_heart_rate_bpm is None or trace.used_s >= least_s else None


def _trace_notes(worker: Worker) -> list[Said]:
    trace = _usable_trace(worker)
    if trace is None:
        return []
    return [said(EffortBasis.OVER_TRACE, trace_min=trace.used_s / S_PER_MIN, time_min=worker.time_min)]


def _kcal_per_min(worker: Worker, equation: Callable[..., float | None]) -> float | None:
    """Energy by an equation: over the trace if the equation holds for most of it, else at the mean heart rate."""
    trace = _usable_trace(worker)
    if trace is not None:
        energy = trace_kcal(trace, lambda rate: equation(heart_rate_bpm=rate))
        if energy.used_s >= value("heart_trace.least_share") * trace.used_s > 0:
            return energy.kcal / energy.used_s * S_PER_MIN
    return equation(heart_rate_bpm=mean_heart_rate_of(worker))


def _heart_work(worker: Worker, body: Person) -> _HeartWork | _NoEnergy:
    rate, mass_kg, age = mean_heart_rate_of(worker), body.mass_kg, body.age_years
    if rate is None:
        return _NoEnergy(said(Reason.NO_HEART_RATE), said(EffortBasis.NO_HEART_RATE))
    if body.heart_rate_limited:
        return _NoEnergy(said(Reason.MEDICINE), said(EffortBasis.MEDICINE))
    if mass_kg is None or age is None:
        absent = tuple(name for name, number in ((Body.MASS, mass_kg), (Body.AGE, age)) if number is None)
        return _NoEnergy(said(Reason.NO_BODY_DATA, what=absent), said(EffortBasis.NO_BODY_DATA, what=absent))
    max_bpm = equations.max_heart_rate_bpm(age) if body.max_bpm is None else body.max_bpm
    return _HeartWork(rate, max_bpm, mass_kg, age, _rest(body, mass_kg))


def _by_equation(worker: Worker, body: Person, *, with_vo2max: bool) -> _Energy | _NoEnergy:
    work = _heart_work(worker, body)
    if isinstance(work, _NoEnergy):
        return work
    if with_vo2max and body.vo2max_ml_kg_min is None:
        return _NoEnergy(said(Reason.NO_VO2MAX))  # few people know it, so no note
    sex = body.equation_sex
    equation = partial(
        equations.heart_rate_kcal_per_min,
        resting_bpm=body.resting_bpm,
        max_bpm=work.max_bpm,
        mass_kg=work.mass_kg,
        age_years=work.age_years,
        resting_kcal_per_min=work.rest.kcal_per_min,
        vo2max_ml_kg_min=body.vo2max_ml_kg_min if with_vo2max else None,
    )
    per_min = _kcal_per_min(worker, partial(equation, sex=sex))
    female, male = (_kcal_per_min(worker, partial(equation, sex=either)) for either in get_args(Sex))
    at_rate, one_beat_more = (equation(heart_rate_bpm=bpm, sex=sex) for bpm in (work.rate_bpm, work.rate_bpm + 1))
    if per_min is None or male is None or female is None or at_rate is None or one_beat_more is None:
        too_low = said(EffortBasis.RATE_TOO_LOW, lowest_percent=value("keytel.lowest_fraction_of_max") * 100)
        return _NoEnergy(said(Reason.HEART_RATE_TOO_LOW), too_low)
    # Where the sex is not stated, half the difference of the two equations counts as a rectangle.
    u_of_sex_frac = abs(male - female) / 2 / math.sqrt(3) / per_min if sex is None else 0.0
    notes = [said(EffortBasis.EQUATION_WITH_VO2MAX)]
    if not with_vo2max:
        notes = [said(EffortBasis.EQUATION), said(EffortBasis.ASSUMES_TRAINED)]
        if body.resting_bpm is None:
            notes.append(said(EffortBasis.NO_RESTING_RATE))
    notes += [*_trace_notes(worker), *_notes_outside_trials(work, sex), work.rest.basis, *_device_notes(body)]
    model = "keytel_vo2max" if with_vo2max else "keytel"
    return _Energy(
        per_min * worker.time_min,
        (per_min - work.rest.kcal_per_min) * worker.time_min,
        math.hypot(_u_frac(body, at_rate, one_beat_more - at_rate, model), u_of_sex_frac),
        tuple(notes),
    )


def _by_reserve(worker: Worker, body: Person) -> _Energy | _NoEnergy:
    work = _heart_work(worker, body)
    if isinstance(work, _NoEnergy):
        return work
    own = body.vo2max_ml_kg_min
    by_age = equations.vo2max_by_age(age_years=work.age_years, sex=body.equation_sex) if own is None else None
    uptake = by_age if own is None else equations.UptakeByAge(own, 0.0)
    if body.resting_bpm is None:  # the equation without VO2max has a note on it
        return _NoEnergy(said(Reason.NO_RESTING_RATE))
    if uptake is None:
        return _NoEnergy(said(Reason.NO_VO2MAX))
    if not body.resting_bpm < work.rate_bpm < work.max_bpm:
        return _NoEnergy(said(Reason.RATE_NOT_BETWEEN), said(EffortBasis.RATE_NOT_BETWEEN))
    vo2max = uptake.vo2max_ml_kg_min
    if vo2max <= value("oxygen.resting_uptake"):
        return _NoEnergy(said(Reason.VO2MAX_NOT_ABOVE_REST))
    reserve = partial(
        equations.reserve_kcal_per_min, resting_bpm=body.resting_bpm, max_bpm=work.max_bpm, mass_kg=work.mass_kg
    )
    # Linear in the heart rate, so the mean of a trace gives the same as its readings.
    at_rate = reserve(heart_rate_bpm=work.rate_bpm, vo2max_ml_kg_min=vo2max)
    half_way_bpm = (body.resting_bpm + work.rate_bpm) / 2
    half_way = reserve(heart_rate_bpm=half_way_bpm, vo2max_ml_kg_min=vo2max)
    slope = (at_rate - half_way) / (work.rate_bpm - half_way_bpm)
    u_of_vo2max_frac = (
        reserve(heart_rate_bpm=work.rate_bpm, vo2max_ml_kg_min=vo2max + uptake.u_ml_kg_min) / at_rate - 1
    )
    notes = [said(EffortBasis.RESERVE)]
    if by_age:
        notes.append(said(EffortBasis.VO2MAX_BY_AGE, vo2max=vo2max))
    notes += _trace_notes(worker)
    if by_age and body.equation_sex is None:
        notes.append(said(EffortBasis.MEAN_OF_BOTH))
    per_min = max(at_rate, work.rest.kcal_per_min)
    return _Energy(
        per_min * worker.time_min,
        (per_min - work.rest.kcal_per_min) * worker.time_min,
        math.hypot(_u_frac(body, at_rate, slope, "reserve"), u_of_vo2max_frac),
        (*notes, work.rest.basis, *_device_notes(body)),
    )


def _rest(body: Person, mass_kg: float) -> equations.Resting:
    return equations.resting_kcal_per_min(
        mass_kg=mass_kg, height_cm=body.height_cm, age_years=body.age_years, sex=body.equation_sex
    )


def _u_frac(body: Person, kcal_per_min: float, slope_kcal_per_beat: float, model: str) -> float:
    """Relative standard uncertainty of an energy from heart rate, by the model and the device.

    The model's part is the same in all sessions of a person and does not shrink with their number.
    """
    u_of_rate = slope_kcal_per_beat * equations.u_of_device_bpm(body.heart_rate_device)
    return math.hypot(value(f"effort.u.{model}") * kcal_per_min, u_of_rate) / kcal_per_min


def _device_notes(body: Person) -> list[Said]:
    return [said(EffortBasis.FINGER_COUNT)] if body.heart_rate_device == "finger count" else []


def _notes_outside_trials(work: _HeartWork, sex: Sex | None) -> list[Said]:
    """How the person or the heart rate differs from the trials behind the equation."""
    notes = [] if sex is not None else [said(EffortBasis.MEAN_OF_BOTH)]
    if work.rate_bpm / work.max_bpm < value("keytel.lowest_fraction_of_max"):
        notes.append(said(EffortBasis.LOW_RATE))
    if work.rate_bpm / work.max_bpm > value("keytel.highest_fraction_of_max"):
        notes.append(said(EffortBasis.HIGH_RATE))
    for name, number, outside in (
        ("age", work.age_years, EffortBasis.AGE_OUTSIDE),
        ("mass", work.mass_kg, EffortBasis.MASS_OUTSIDE),
    ):
        lowest, highest = value(f"keytel.lowest_{name}"), value(f"keytel.highest_{name}")
        if not lowest <= number <= highest:
            notes.append(said(outside, lowest=lowest, highest=highest))
    return notes


def _by_monitor(worker: Worker, body: Person) -> Figure:
    """A monitor's own figure; only a note, since its method is not known."""
    gross = worker.monitor_kcal
    if gross is None:
        return not_given(said(Reason.NONE_WRITTEN))
    if body.heart_rate_limited:
        return not_given(said(Reason.MEDICINE))
    mass_kg = value("effort.reference_mass_kg") if body.mass_kg is None else body.mass_kg
    if gross < _rest(body, mass_kg).kcal_per_min * worker.time_min:
        return not_given(said(Reason.MONITOR_BELOW_REST))
    return in_doubt(gross, u_frac=value("effort.u.monitor"))
