"""Strain on one person's heart, modeled time of continuous work, workload classes, and the rest rule for shifts."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from wood_xl.arguments import require_positive
from wood_xl.body.heart_trace import fifty_percent_level_bpm
from wood_xl.data.load import constant, value
from wood_xl.ids import JudgedBy, Modeled, Phrase, Strain, Workload
from wood_xl.reasons import Reason, Said, said
from wood_xl.records import Sex

WORST_FIRST = tuple(Strain)

MIN_PER_H, ML_PER_L = 60.0, 1000.0
SHIFT_H, HALF_SHIFT_H = 8.0, 4.0
# Heaviest first; each class begins at its constant.
HEAVY = (Workload.UNDULY_HEAVY, Workload.VERY_HEAVY, Workload.HEAVY)
CLASSES = (*HEAVY, Workload.MODERATE, Workload.LIGHT)


class ModeledTime(NamedTuple):
    """Time until the limit of continuous work; None below the range of the formula."""

    minutes: float | None
    basis: Said


class JudgedStrain(NamedTuple):
    """Strain of one person in one session, and the level that decided it."""

    strain: Strain
    basis: Said


def heart_rate_reserve_frac(*, heart_rate_bpm: float, resting_bpm: float, max_bpm: float) -> float:
    """Share of the heart-rate reserve used by work.

        p = (rate - rest) / (highest - rest)

    For one person, never for a mean over several people, and not where a medicine limits the heart rate.

    Source: heart_rate_reserve, equation.

    >>> round(heart_rate_reserve_frac(heart_rate_bpm=120, resting_bpm=65, max_bpm=176.5), 5)
    0.49327
    """
    require_positive(
        resting_bpm=resting_bpm,
        heart_rate_above_rest_bpm=heart_rate_bpm - resting_bpm,
        max_above_heart_rate_bpm=max_bpm - heart_rate_bpm,
    )
    return (heart_rate_bpm - resting_bpm) / (max_bpm - resting_bpm)


def u_of_reserve_frac(
    *,
    heart_rate_bpm: float,
    resting_bpm: float,
    max_bpm: float,
    u_heart_rate_bpm: float,
    u_resting_bpm: float,
    u_max_bpm: float,
) -> float:
    """Standard uncertainty of the share of the heart-rate reserve.

        u = sqrt(u_rate^2 + ((1 - p) * u_rest)^2 + (p * u_highest)^2) / (highest - rest)

    Source: heart_rate_reserve, slopes of the equation; wood_xl_definitions, variances add.

    >>> man = {"heart_rate_bpm": 120, "resting_bpm": 65, "max_bpm": 176.5}
    >>> round(u_of_reserve_frac(**man, u_heart_rate_bpm=3, u_resting_bpm=3, u_max_bpm=10), 4)
    0.0535
    """
    share = heart_rate_reserve_frac(heart_rate_bpm=heart_rate_bpm, resting_bpm=resting_bpm, max_bpm=max_bpm)
    u_bpm = math.hypot(u_heart_rate_bpm, (1 - share) * u_resting_bpm, share * u_max_bpm)
    return u_bpm / (max_bpm - resting_bpm)


def ratio_to_fifty_percent_level(*, heart_rate_bpm: float, resting_bpm: float, max_bpm: float) -> float:
    """Heart rate at work over the 50 % level.

        ratio = rate / (rest + (highest - rest) / 2)

    Source: kirk_sullman_2001, 50 % level.

    >>> round(ratio_to_fifty_percent_level(heart_rate_bpm=120, resting_bpm=65, max_bpm=176.5), 4)
    0.9938
    """
    return heart_rate_bpm / fifty_percent_level_bpm(resting_bpm=resting_bpm, max_bpm=max_bpm)


def acceptable_work_min(*, reserve_frac: float) -> ModeledTime:
    """Modeled time until the limit of continuous work, by the share of the heart-rate reserve.

        hours = 26.12 * exp(-4.81 * share)

    Fitted to 12 young adults on a cycle (R2 above 0.80), coefficients from memory. The common guideline of 0.40 is
    for the mean of 8 h with normal pauses, which is another thing.

    Source: wu_wang_2002, model in the share of reserve.

    >>> round(acceptable_work_min(reserve_frac=0.245).minutes / 60, 2)
    8.04
    """
    intercept, slope = value("acceptable_work.reserve.intercept"), value("acceptable_work.reserve.slope")
    return _modeled(
        intercept * math.exp(slope * reserve_frac),
        reserve_frac,
        between=(value("acceptable_work.reserve.lowest"), value("acceptable_work.reserve.highest")),
        known=constant("acceptable_work.reserve.slope").known,
    )


def acceptable_work_by_uptake_min(*, uptake_frac: float) -> ModeledTime:
    """Modeled time until the limit of continuous work, by the share of the highest oxygen uptake.

        hours = 8 * (4 / 8) ** ((share - share for 8 h) / (share for 4 h - share for 8 h))

    The exponential through the limits for 8 h (34 %) and 4 h (43.5 %), from memory. It meets the limits for 10 h
    (31 %) and 12 h (28.5 %) within 0.1 h.

    Source: wu_wang_2002, limits in the share of uptake.

    >>> round(acceptable_work_by_uptake_min(uptake_frac=0.435).minutes, 6)
    240.0
    """
    at_8_h, at_4_h = value("acceptable_work.uptake.8_h"), value("acceptable_work.uptake.4_h")
    return _modeled(
        SHIFT_H * math.pow(HALF_SHIFT_H / SHIFT_H, (uptake_frac - at_8_h) / (at_4_h - at_8_h)),
        uptake_frac,
        between=(value("acceptable_work.uptake.12_h"), value("acceptable_work.uptake.highest")),
        known=constant("acceptable_work.uptake.8_h").known,
    )


def _modeled(hours: float, share: float, *, between: tuple[float, float], known: str) -> ModeledTime:
    """Time by a formula that holds between two shares; extrapolated above them, where times are short, not below."""
    lowest, highest = between
    if share < lowest:
        return ModeledTime(None, said(Modeled.BELOW_RANGE, percent=100 * lowest))
    basis = said(Modeled.BY_FORMULA, known=known)
    if share > highest:
        basis = said(Modeled.EXTRAPOLATED, known=known, percent=100 * highest)
    return ModeledTime(hours * MIN_PER_H, basis)


def workload_class(*, kcal_per_min: float, sex: Sex) -> Workload:
    """Heaviest class of work that an energy reaches.

    The printed table leaves gaps of 0.1 kcal/min; here each class ends where the next begins.

    Source: workload_classes, table.

    >>> workload_class(kcal_per_min=8.6, sex="male"), workload_class(kcal_per_min=8.6, sex="female")
    (<Workload.HEAVY: 4>, <Workload.VERY_HEAVY: 5>)
    """
    for workload in CLASSES:
        if kcal_per_min >= value(f"workload.{sex}.{workload.key}"):
            return workload
    return Workload.BELOW_LIGHT


def judged_strain(
    *,
    reserve_frac: float | Reason,
    session_min: float,
    highest_of_max_frac: float | None,
    workload: Iterable[Workload] = (),
) -> JudgedStrain:
    """How hard a session was on the heart, whatever its length.

        very high:  heart rate at or above 0.85 of the highest, or share of reserve above 0.60,
                    or share of reserve above 0.50 for more than 2 h
        not known:  not very high, but the share of reserve is missing
        high:       share of reserve above 0.40, or work called heavy or worse
        below the levels compared here:  none of these

    reserve_frac: mean share of the heart-rate reserve, or why it is not known.
    highest_of_max_frac: mean heart rate, or that of the hardest part, over the highest heart rate; None if neither is
        known. It exceeds 1 where the highest rate was set too low.

    No level rules out harm. They are a convention of this tool, built on guidelines of forest ergonomics from memory.

    Source: wood_xl_definitions, levels of strain.

    >>> judged_strain(reserve_frac=0.45, session_min=10, highest_of_max_frac=0.80).strain
    <Strain.HIGH: 3>
    """
    if highest_of_max_frac is not None and highest_of_max_frac >= value("heart_trace.high_fraction_of_max"):
        return JudgedStrain(Strain.VERY_HIGH, said(JudgedBy.RATE_HELD, percent=100 * highest_of_max_frac))
    if isinstance(reserve_frac, Reason):
        return JudgedStrain(Strain.NOT_KNOWN, said(reserve_frac))
    high, half = value("strain.flag.high.reserve"), value("strain.flag.very_high.reserve")
    highest, longer_h = value("acceptable_work.reserve.highest"), value("strain.flag.very_high.longer_than_h")
    levels = [(Strain.VERY_HIGH, highest, said(JudgedBy.SHARE_ABOVE, percent=100 * highest))]
    if session_min > longer_h * MIN_PER_H:
        for_long = said(JudgedBy.SHARE_ABOVE_FOR_LONG, percent=100 * half, hours=longer_h)
        levels.append((Strain.VERY_HIGH, half, for_long))
    levels.append((Strain.HIGH, high, said(JudgedBy.SHARE_ABOVE, percent=100 * high)))
    for strain, level, basis in levels:
        if reserve_frac > level:
            return JudgedStrain(strain, basis)
    if not set(HEAVY).isdisjoint(workload):
        return JudgedStrain(Strain.HIGH, said(JudgedBy.HEAVY_WORK))
    return JudgedStrain(Strain.BELOW_LEVELS, said(JudgedBy.SHARE_UP_TO, percent=100 * high))


def longest_below_very_high_min(*, reserve_frac: float) -> float:
    """Longest session whose share of the reserve does not make it very high; 0 if any does, infinite if none does.

    Source: wood_xl_definitions, levels of strain.

    >>> [longest_below_very_high_min(reserve_frac=share) for share in (0.50, 0.51, 0.61)]
    [inf, 120.0, 0.0]
    """
    line_min = value("strain.flag.very_high.longer_than_h") * MIN_PER_H
    for longest_min, session_min in ((math.inf, line_min + 1), (line_min, line_min)):
        judged = judged_strain(reserve_frac=reserve_frac, session_min=session_min, highest_of_max_frac=None)
        if judged.strain is not Strain.VERY_HIGH:
            return longest_min
    return 0.0


def worst_strain(strains: Iterable[Strain]) -> Strain | Phrase:
    """Worst strain of several sessions; not known counts as the worst, and so does having no session.

    Source: wood_xl_definitions, what is not known is never dropped.

    >>> worst_strain([Strain.HIGH, Strain.NOT_KNOWN])
    <Strain.NOT_KNOWN: 1>
    """
    distinct = set(strains)
    if {Strain.NOT_KNOWN, Strain.VERY_HIGH} <= distinct:
        return Phrase.VERY_HIGH_WHERE_KNOWN
    return min(distinct, key=WORST_FIRST.index, default=Strain.NOT_KNOWN)


def rest_standard_kcal_per_min(*, sex: Sex | None) -> float:
    """Gross energy above which the rule for shifts asks for more rest.

    sex: whose standard; None gives the lower of the two, which asks for more rest.

    From memory. A person's own standard by highest oxygen uptake is better.

    Source: murrell_1965, standard; wood_xl_definitions, the lower one where the sex is not stated.

    >>> rest_standard_kcal_per_min(sex="male")
    5.0
    """
    male, female = value("rest.standard.male"), value("rest.standard.female")
    return {"male": male, "female": female, None: min(male, female)}[sex]


def rest_standard_by_vo2max_kcal_per_min(*, vo2max_ml_kg_min: float, mass_kg: float) -> float:
    """Gross energy above which the rule for shifts asks one person for more rest, by highest oxygen uptake.

        standard = VO2max * mass * energy of oxygen / 3

    Source: freivalds_class_27, a third of capacity for 8 h.

    >>> round(rest_standard_by_vo2max_kcal_per_min(vo2max_ml_kg_min=35, mass_kg=80), 4)
    4.5547
    """
    capacity_kcal_per_min = vo2max_ml_kg_min * mass_kg / ML_PER_L * value("oxygen.kcal_per_l")
    return capacity_kcal_per_min * value("rest.share_of_capacity")


def rest_in_total_min(
    *,
    total_min: float,
    work_kcal_per_min: float,
    standard_kcal_per_min: float,
    resting_kcal_per_min: float | None = None,
) -> float:
    """Rest within a total time that brings the mean energy of work and rest down to the standard.

        rest = total * (work - standard) / (work - resting)   if work is above the standard, else 0

    resting_kcal_per_min: energy in the pauses; None takes 1.5.

    A rule for shifts, from memory; it does not apply to a short session and is never added to hours of work.

    Source: murrell_1965, rest in a total time; freivalds_class_27, general form.

    >>> round(rest_in_total_min(total_min=60, work_kcal_per_min=8, standard_kcal_per_min=5), 2)
    27.69
    """
    resting = value("rest.resting") if resting_kcal_per_min is None else resting_kcal_per_min
    if work_kcal_per_min <= standard_kcal_per_min:
        return 0.0
    return total_min * (work_kcal_per_min - standard_kcal_per_min) / (work_kcal_per_min - resting)
