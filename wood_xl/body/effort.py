"""What a worker spent in a session, by every basis that the notes allow, and which one is the headline."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Literal, NamedTuple

from wood_xl.arguments import require_fraction, require_not_negative
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
STANDING = "07040"  # activity of the time when nobody works


@dataclass(frozen=True, slots=True)
class WorkerEffort:
    """What one worker spent in one session."""

    minutes: float
    # kcal_gross, kcal_net: headline, with and without energy at rest
    kcal_gross: float
    kcal_net: float
    kcal_highest: float  # gross, the highest of the headline and what other bases make of the same heart rate
    method: Headline
    basis: Said  # how it was come by, with why a better one was not used
    u_basis_frac: float  # relative standard uncertainty of the headline's gross energy by its own basis
    u_disagreement_frac: float  # the same by how far other bases lie from it
    kcal_by: Mapping[Method, Figure]  # gross energy by every basis, or why there is none
    activity: Activity

    @property
    def u_frac(self) -> float:
        """Relative standard uncertainty of the headline's gross energy: relative variances add."""
        return math.hypot(self.u_basis_frac, self.u_disagreement_frac)

    @property
    def spread_frac(self) -> float | None:
        """Highest less lowest basis, over the headline; None if there is but one, or nothing was spent."""
        kcal = [figure.value for figure in self.kcal_by.values() if figure.value is not None]
        if len(kcal) < 2 or not self.kcal_gross:
            return None
        return (max(kcal) - min(kcal)) / self.kcal_gross


def worker_effort(
    worker: Worker, person: Person | None, *, task: str, powered: bool, delay_frac: float
) -> WorkerEffort:
    """Effort of one worker in one session by every basis, and which one is the headline.

    The first that can be given is the headline: the heart-rate equation with VO2max; the heart-rate reserve, with
    VO2max by age where it is not written; the equation without VO2max, which assumes a trained person; the activity
    table. With a trace the equations run over it. A medicine that limits the heart rate rules out all but the last.
    A monitor's own figure stands beside them as a note.

        u^2 = (u of the basis)^2 + (u of disagreement)^2

    The headline is held against the others, save the monitor, and save the equation without VO2max where the same
    with it is given. Age or mass beyond the equation's trials change neither the order nor the rule: it is said.

    worker: time, mean heart rate and monitor's figure, both over the whole time, rest included.
    person: body data; None if the worker is not named.

    Returns always with a headline, since the activity table needs no measurement.

    Source: wood_xl_definitions, order of the bases, uncertainties and devices; how_sure_defaults, disagreement of
    bases; ilo_physical_load, Table 1 (constant ``effort.reference_mass_kg``).

    >>> man = Person(name="A", age_years=45, equation_sex="male", mass_kg=80, height_cm=178)
    >>> effort = worker_effort(
    ...     Worker(person="A", time_min=60, mean_heart_rate_bpm=120), man, task="split", powered=False, delay_frac=0.1
    ... )
    >>> effort.method, round(effort.kcal_gross, 1), [part.id.name for part in effort.basis["parts"]]
    ('heart rate', 653.8, ['EQUATION', 'ASSUMES_TRAINED', 'NO_RESTING_RATE', 'REST_BY_BODY'])
    """
    require_fraction(delay_frac=delay_frac)
    require_not_negative(time_min=worker.time_min)
    body = person or Person(name="")
    table, activity = _by_table(worker, body, task, powered, delay_frac)
    bases: dict[Headline, _Basis | _Without] = {
        "heart rate and VO2max": _by_equation(worker, body, with_vo2max=True),
        "reserve": _by_reserve(worker, body),
        "heart rate": _by_equation(worker, body, with_vo2max=False),
        "table": table,
    }
    given = {name: basis for name, basis in bases.items() if isinstance(basis, _Basis)}
    method, chosen = next(iter(given.items()))
    if method == "heart rate and VO2max":
        given.pop("heart rate", None)  # leaves VO2max out: no second opinion on the same equation with it
    kcal = {name: basis.gross_kcal for name, basis in given.items()}
    u_disagreement_frac = 0.0
    if chosen.gross_kcal:
        u_disagreement_frac = equations.u_of_disagreement_frac(
            headline_kcal=chosen.gross_kcal, others_kcal=kcal.values()
        )
    before = list(bases.values())[: list(bases).index(method)]
    passed_over = [basis.told for basis in before if isinstance(basis, _Without) and basis.told is not None]
    return WorkerEffort(
        minutes=worker.time_min,
        kcal_gross=chosen.gross_kcal,
        kcal_net=chosen.net_kcal,
        kcal_highest=max(one for name, one in kcal.items() if name == method or name != "table"),
        method=method,
        basis=several([*chosen.told, *passed_over]) or chosen.told[0],
        u_basis_frac=chosen.u_frac,
        u_disagreement_frac=u_disagreement_frac,
        kcal_by={**{name: _gross(basis) for name, basis in bases.items()}, "monitor": _by_monitor(worker, body)},
        activity=activity,
    )


class _Basis(NamedTuple):
    """One way to the energy."""

    gross_kcal: float
    net_kcal: float
    u_frac: float
    told: tuple[Said, ...]


class _Without(NamedTuple):
    """Why one way to the energy cannot be gone: in short, and as the headline says it (None: not worth a word)."""

    reason: Said
    told: Said | None = None


def _gross(basis: _Basis | _Without) -> Figure:
    return not_given(basis.reason) if isinstance(basis, _Without) else in_doubt(basis.gross_kcal, u_frac=basis.u_frac)


def _by_table(worker: Worker, body: Person, task: str, powered: bool, delay_frac: float) -> tuple[_Basis, Activity]:
    activity = tasks()[task].activity(powered=powered)
    mass_kg = value("effort.reference_mass_kg") if body.mass_kg is None else body.mass_kg
    energy = equations.activity_kcal(
        met=activity.met,
        mass_kg=mass_kg,
        active_min=worker.time_min * (1 - delay_frac),
        delay_min=worker.time_min * delay_frac,
        standing_met=as_read(activities()[STANDING]).met,
    )
    told = [said(EffortBasis.TABLE, code=activity.code, label=activity.label)]
    if activity.note:
        told.append(said(EffortBasis.NOTE_OF_TABLE, note=activity.note))
    if body.mass_kg is None:
        told.append(said(EffortBasis.REFERENCE_MASS, mass_kg=mass_kg))
    return _Basis(*energy, value("effort.u.table"), tuple(told)), activity


def mean_heart_rate_of(worker: Worker) -> float | None:
    """Mean heart rate of a worker: of the trace if it covers most of the time or nothing is written, else as written.

    worker: with or without a trace.

    Returns mean heart rate [beats/min]; None if there is none.

    Source: wood_xl_definitions, a trace comes before a mean written by hand (constant ``heart_trace.least_share``).

    >>> mean_heart_rate_of(Worker(person="A", time_min=60, mean_heart_rate_bpm=120))
    120
    """
    trace = _trace_that_counts(worker)
    mean = None if trace is None else trace_summary(trace).mean_bpm
    return worker.mean_heart_rate_bpm if mean is None else mean


def _trace_that_counts(worker: Worker) -> CleanTrace | None:
    if worker.trace is None:
        return None
    trace = worker.trace.cleaned
    least_s = value("heart_trace.least_share") * worker.time_min * S_PER_MIN
    return trace if worker.mean_heart_rate_bpm is None or trace.used_s >= least_s else None


def _over_a_trace(worker: Worker) -> list[Said]:
    trace = _trace_that_counts(worker)
    if trace is None:
        return []
    return [said(EffortBasis.OVER_TRACE, trace_min=trace.used_s / S_PER_MIN, time_min=worker.time_min)]


def _over_trace(worker: Worker, equation: Callable[..., float | None]) -> float | None:
    """Energy per minute by an equation: over a trace if the equation holds for most of it, else at the mean."""
    trace = _trace_that_counts(worker)
    if trace is not None:
        energy = trace_kcal(trace, lambda rate: equation(heart_rate_bpm=rate))
        if energy.used_s >= value("heart_trace.least_share") * trace.used_s > 0:
            return energy.kcal / energy.used_s * S_PER_MIN
    return equation(heart_rate_bpm=mean_heart_rate_of(worker))


def _by_equation(worker: Worker, body: Person, *, with_vo2max: bool) -> _Basis | _Without:
    known = _rate_mass_and_age(worker, body)
    if isinstance(known, _Without):
        return known
    rate, mass_kg, age = known
    if with_vo2max and body.vo2max_ml_kg_min is None:
        return _Without(said(Reason.NO_VO2MAX))  # few know it: not worth a word
    sex = body.equation_sex
    rest = _rest(body, mass_kg)
    max_bpm = _highest_bpm(body, age)
    equation = partial(
        equations.heart_rate_kcal_per_min,
        resting_bpm=body.resting_bpm,
        max_bpm=max_bpm,
        mass_kg=mass_kg,
        age_years=age,
        resting_kcal_per_min=rest.kcal_per_min,
        vo2max_ml_kg_min=body.vo2max_ml_kg_min if with_vo2max else None,
    )
    per_min = _over_trace(worker, partial(equation, sex=sex))
    ends = [_over_trace(worker, partial(equation, sex=one)) for one in _SEXES]
    above = equation(heart_rate_bpm=rate + 1, sex=sex)
    here = equation(heart_rate_bpm=rate, sex=sex)
    if per_min is None or above is None or here is None or ends[0] is None or ends[1] is None:
        lowest_percent = value("keytel.lowest_fraction_of_max") * 100
        too_low = said(EffortBasis.RATE_TOO_LOW, lowest_percent=lowest_percent)
        return _Without(said(Reason.HEART_RATE_TOO_LOW), too_low)
    u_of_sex = 0.0
    if sex is None:
        u_of_sex = (
            equations.u_of_unknown_sex_kcal_per_min(male_kcal_per_min=ends[0], female_kcal_per_min=ends[1]) / per_min
        )
    model = "keytel_vo2max" if with_vo2max else "keytel"
    return _Basis(
        per_min * worker.time_min,
        (per_min - rest.kcal_per_min) * worker.time_min,
        math.hypot(_u_frac(body, here, above - here, model), u_of_sex),
        (
            said(EffortBasis.EQUATION_WITH_VO2MAX if with_vo2max else EffortBasis.EQUATION),
            *([] if with_vo2max else [said(EffortBasis.ASSUMES_TRAINED)]),
            *([] if with_vo2max or body.resting_bpm is not None else [said(EffortBasis.NO_RESTING_RATE)]),
            *_over_a_trace(worker),
            *_beyond_the_equation(rate / max_bpm, mass_kg, age, sex),
            rest.basis,
            *_by_device(body),
        ),
    )


def _by_reserve(worker: Worker, body: Person) -> _Basis | _Without:
    known = _rate_mass_and_age(worker, body)
    if isinstance(known, _Without):
        return known
    rate, mass_kg, age = known
    rest_bpm, own = body.resting_bpm, body.vo2max_ml_kg_min
    by_age = equations.vo2max_by_age(age_years=age, sex=body.equation_sex) if own is None else None
    uptake = by_age if own is None else equations.UptakeByAge(own, 0.0)
    if rest_bpm is None or uptake is None:  # the equation without VO2max tells of the first
        return _Without(said(Reason.NO_RESTING_RATE if rest_bpm is None else Reason.NO_VO2MAX))
    max_bpm = _highest_bpm(body, age)
    if not rest_bpm < rate < max_bpm:
        return _Without(said(Reason.RATE_NOT_BETWEEN), said(EffortBasis.RATE_NOT_BETWEEN))
    vo2max = uptake.vo2max_ml_kg_min
    if vo2max <= value("oxygen.resting_uptake"):
        return _Without(said(Reason.VO2MAX_NOT_ABOVE_REST))
    rest = _rest(body, mass_kg)
    reserve = partial(equations.reserve_kcal_per_min, resting_bpm=rest_bpm, max_bpm=max_bpm, mass_kg=mass_kg)
    # Straight in the heart rate, so that the mean of a trace gives what its readings would.
    here = reserve(heart_rate_bpm=rate, vo2max_ml_kg_min=vo2max)
    half_way_bpm = (rest_bpm + rate) / 2
    slope = (here - reserve(heart_rate_bpm=half_way_bpm, vo2max_ml_kg_min=vo2max)) / (rate - half_way_bpm)
    u_of_vo2max = reserve(heart_rate_bpm=rate, vo2max_ml_kg_min=vo2max + uptake.u_ml_kg_min) / here - 1
    per_min = max(here, rest.kcal_per_min)
    return _Basis(
        per_min * worker.time_min,
        (per_min - rest.kcal_per_min) * worker.time_min,
        math.hypot(_u_frac(body, here, slope, "reserve"), u_of_vo2max),
        (
            said(EffortBasis.RESERVE),
            *([said(EffortBasis.VO2MAX_BY_AGE, vo2max=vo2max)] if by_age else []),
            *_over_a_trace(worker),
            *([said(EffortBasis.MEAN_OF_BOTH)] if by_age and body.equation_sex is None else []),
            rest.basis,
            *_by_device(body),
        ),
    )


_SEXES: tuple[Sex, Sex] = ("male", "female")


def _rest(body: Person, mass_kg: float) -> equations.Resting:
    return equations.resting_kcal_per_min(
        mass_kg=mass_kg, height_cm=body.height_cm, age_years=body.age_years, sex=body.equation_sex
    )


def _highest_bpm(body: Person, age_years: float) -> float:
    return equations.max_heart_rate_bpm(age_years) if body.max_bpm is None else body.max_bpm


def _u_frac(body: Person, kcal_per_min: float, slope_kcal_per_beat: float, model: str) -> float:
    u_kcal_per_min = equations.u_of_heart_rate_energy_kcal_per_min(
        kcal_per_min=kcal_per_min,
        slope_kcal_per_beat=slope_kcal_per_beat,
        u_heart_rate_bpm=equations.u_of_device_bpm(body.heart_rate_device),
        u_model_frac=value(f"effort.u.{model}"),
    )
    return u_kcal_per_min / kcal_per_min


def _by_device(body: Person) -> tuple[Said, ...]:
    return (said(EffortBasis.FINGER_COUNT),) if body.heart_rate_device == "finger count" else ()


def _rate_mass_and_age(worker: Worker, body: Person) -> tuple[float, float, float] | _Without:
    """What every way by the heart rate needs, or why there is none."""
    rate, mass_kg, age = mean_heart_rate_of(worker), body.mass_kg, body.age_years
    if rate is None:
        return _Without(said(Reason.NO_HEART_RATE), said(EffortBasis.NO_HEART_RATE))
    if body.heart_rate_limited:
        return _Without(said(Reason.MEDICINE), said(EffortBasis.MEDICINE))
    if mass_kg is None or age is None:
        absent = tuple(name for name, given in ((Body.MASS, mass_kg), (Body.AGE, age)) if given is None)
        return _Without(said(Reason.NO_BODY_DATA, what=absent), said(EffortBasis.NO_BODY_DATA, what=absent))
    return rate, mass_kg, age


def _beyond_the_equation(share_of_max: float, mass_kg: float, age_years: float, sex: Sex | None) -> list[Said]:
    told = []
    if sex is None:
        told.append(said(EffortBasis.MEAN_OF_BOTH))
    if share_of_max < value("keytel.lowest_fraction_of_max"):
        told.append(said(EffortBasis.LOW_RATE))
    if share_of_max > value("keytel.highest_fraction_of_max"):
        told.append(said(EffortBasis.HIGH_RATE))
    for name, number, outside in (
        ("age", age_years, EffortBasis.AGE_OUTSIDE),
        ("mass", mass_kg, EffortBasis.MASS_OUTSIDE),
    ):
        lowest, highest = value(f"keytel.lowest_{name}"), value(f"keytel.highest_{name}")
        if not lowest <= number <= highest:
            told.append(said(outside, lowest=lowest, highest=highest))
    return told


def _by_monitor(worker: Worker, body: Person) -> Figure:
    """A monitor's own figure: how it comes by it is not known, so that it is a note."""
    gross = worker.monitor_kcal
    if gross is None:
        return not_given(said(Reason.NONE_WRITTEN))
    if body.heart_rate_limited:
        return not_given(said(Reason.MEDICINE))
    mass_kg = value("effort.reference_mass_kg") if body.mass_kg is None else body.mass_kg
    if gross < _rest(body, mass_kg).kcal_per_min * worker.time_min:
        return not_given(said(Reason.MONITOR_BELOW_REST))
    return in_doubt(gross, u_frac=value("effort.u.monitor"))
