"""Strain on the heart and how long work can be kept up. One person at a time."""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from wood_xl.calc.arguments import require_fraction, require_not_negative, require_positive
from wood_xl.data.load import value

Strain = Literal["not known", "not flagged", "high", "very high"]

MIN_PER_H = 60.0
SHIFT_H, HALF_SHIFT_H = 8.0, 4.0


class AcceptableWork(NamedTuple):
    """How long work can be kept up; minutes are None outside the range of the formula, the words then say which."""

    minutes: float | None
    words: str


def heart_rate_reserve_frac(*, heart_rate_bpm: float, resting_bpm: float, max_bpm: float) -> float:
    """Share of the heart-rate reserve that work takes up.

        p = (rate - rest) / (highest - rest)

    Parameters
    ----------
    heart_rate_bpm : float
        Mean heart rate at work. [beats/min] Between the resting and the highest rate.
    resting_bpm : float
        Heart rate sitting quietly, before work. [beats/min] Above 0.
    max_bpm : float
        Highest heart rate. [beats/min] Above the rate at work.

    Returns
    -------
    float
        Share of the reserve, between 0 and 1. [-]

    Raises
    ------
    ValueError
        If the rates do not rise from rest to work to the highest.

    Notes
    -----
    Take the rate as measured: the part that heat or static work adds is a load on the heart too. A mean over several
    people has no reserve. Not for a person whose heart rate a medicine limits. With a highest rate by age that is
    10 beats/min off, a share near one half is about 0.04 off.

    References
    ----------
    heart_rate_reserve, equation.

    Examples
    --------
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

    Parameters
    ----------
    heart_rate_bpm : float
        Mean heart rate at work. [beats/min] Between the resting and the highest rate.
    resting_bpm : float
        Heart rate sitting quietly, before work. [beats/min] Above 0.
    max_bpm : float
        Highest heart rate. [beats/min] Above the rate at work.
    u_heart_rate_bpm : float
        Standard uncertainty of the heart rate at work. [beats/min] 0 or more.
    u_resting_bpm : float
        Standard uncertainty of the resting rate. [beats/min] 0 or more.
    u_max_bpm : float
        Standard uncertainty of the highest rate. [beats/min] 0 or more.

    Returns
    -------
    float
        Standard uncertainty of the share. [-]

    Raises
    ------
    ValueError
        If a number is out of its range.

    References
    ----------
    heart_rate_reserve, equation, by its slopes; wood_xl_definitions, variances add.

    Examples
    --------
    >>> man = {"heart_rate_bpm": 120, "resting_bpm": 65, "max_bpm": 176.5}
    >>> round(u_of_reserve_frac(**man, u_heart_rate_bpm=3, u_resting_bpm=3, u_max_bpm=10), 4)
    0.0535
    """
    require_not_negative(u_heart_rate_bpm=u_heart_rate_bpm, u_resting_bpm=u_resting_bpm, u_max_bpm=u_max_bpm)
    share = heart_rate_reserve_frac(heart_rate_bpm=heart_rate_bpm, resting_bpm=resting_bpm, max_bpm=max_bpm)
    u_bpm = math.hypot(u_heart_rate_bpm, (1 - share) * u_resting_bpm, share * u_max_bpm)
    return u_bpm / (max_bpm - resting_bpm)


def ratio_to_rest(*, heart_rate_bpm: float, resting_bpm: float) -> float:
    """Heart rate at work over the resting rate.

        ratio = rate / rest

    Parameters
    ----------
    heart_rate_bpm : float
        Mean heart rate at work. [beats/min] Above the resting rate.
    resting_bpm : float
        Heart rate sitting quietly, before work. [beats/min] Above 0.

    Returns
    -------
    float
        Ratio, above 1.

    Raises
    ------
    ValueError
        If a rate is out of its range.

    Notes
    -----
    No published limit was found. Hand pruning had a mean of 1.45 and was called moderate.

    References
    ----------
    kirk_sullman_2001, index used with the share of reserve and the 50 % level; pruners_strain, mean.

    Examples
    --------
    >>> round(ratio_to_rest(heart_rate_bpm=120, resting_bpm=65), 4)
    1.8462
    """
    require_positive(resting_bpm=resting_bpm, heart_rate_above_rest_bpm=heart_rate_bpm - resting_bpm)
    return heart_rate_bpm / resting_bpm


def fifty_percent_level_bpm(*, resting_bpm: float, max_bpm: float) -> float:
    """Heart rate half-way between rest and the highest.

        level = rest + (highest - rest) / 2

    Parameters
    ----------
    resting_bpm : float
        Heart rate sitting quietly, before work. [beats/min] Above 0.
    max_bpm : float
        Highest heart rate. [beats/min] Above the resting rate.

    Returns
    -------
    float
        The 50 % level. [beats/min]

    Raises
    ------
    ValueError
        If a rate is out of its range.

    Notes
    -----
    Known from memory; it agrees with printed means of pruners. Meant for short heavy work, not for a whole day.

    References
    ----------
    kirk_sullman_2001, 50 % level.

    Examples
    --------
    >>> fifty_percent_level_bpm(resting_bpm=65, max_bpm=176.5)
    120.75
    """
    require_positive(resting_bpm=resting_bpm, heart_rate_reserve_bpm=max_bpm - resting_bpm)
    return resting_bpm + (max_bpm - resting_bpm) / 2


def ratio_to_fifty_percent_level(*, heart_rate_bpm: float, resting_bpm: float, max_bpm: float) -> float:
    """Heart rate at work over the 50 % level.

        ratio = rate / (rest + (highest - rest) / 2)

    Parameters
    ----------
    heart_rate_bpm : float
        Mean heart rate at work. [beats/min] Between the resting and the highest rate.
    resting_bpm : float
        Heart rate sitting quietly, before work. [beats/min] Above 0.
    max_bpm : float
        Highest heart rate. [beats/min] Above the rate at work.

    Returns
    -------
    float
        Ratio; above 1 is more than half of the reserve.

    Raises
    ------
    ValueError
        If the rates do not rise from rest to work to the highest.

    References
    ----------
    kirk_sullman_2001, 50 % level.

    Examples
    --------
    >>> round(ratio_to_fifty_percent_level(heart_rate_bpm=120, resting_bpm=65, max_bpm=176.5), 4)
    0.9938
    """
    require_positive(
        resting_bpm=resting_bpm,
        heart_rate_above_rest_bpm=heart_rate_bpm - resting_bpm,
        max_above_heart_rate_bpm=max_bpm - heart_rate_bpm,
    )
    return heart_rate_bpm / fifty_percent_level_bpm(resting_bpm=resting_bpm, max_bpm=max_bpm)


def acceptable_work_min(*, reserve_frac: float) -> AcceptableWork:
    """Longest acceptable time of continuous work, by the share of the heart-rate reserve.

        hours = 26.12 * exp(-4.81 * share)

    Parameters
    ----------
    reserve_frac : float
        Share of the heart-rate reserve, 0 to 1. [-]

    Returns
    -------
    AcceptableWork
        Time [min] and words; no time for shares outside 0.15 to 0.60.

    Raises
    ------
    ValueError
        If the share is not from 0 to 1.

    Notes
    -----
    For continuous work: found with 12 young adults on a cycle (R2 above 0.80), coefficients from memory. It gives
    8 h at a share of 0.245, while 0.40 is a common guideline for the mean of 8 h with normal pauses: the two are not
    alike.

    References
    ----------
    wu_wang_2002, model in the share of reserve (constants ``acceptable_work.reserve.intercept``,
    ``acceptable_work.reserve.slope``).
    wood_xl_definitions, range (constants ``acceptable_work.reserve.lowest``, ``acceptable_work.reserve.highest``).

    Examples
    --------
    >>> round(acceptable_work_min(reserve_frac=0.245).minutes / 60, 2)
    8.04
    >>> acceptable_work_min(reserve_frac=0.7)
    AcceptableWork(minutes=None, words='continuous work, less than 1.5 h')
    """
    require_fraction(reserve_frac=reserve_frac)

    def hours(share: float) -> float:
        return value("acceptable_work.reserve.intercept") * math.exp(value("acceptable_work.reserve.slope") * share)

    lowest, highest = value("acceptable_work.reserve.lowest"), value("acceptable_work.reserve.highest")
    if reserve_frac < lowest:
        return _longer_than(hours(lowest))
    if reserve_frac > highest:
        return _shorter_than(hours(highest))
    return AcceptableWork(hours(reserve_frac) * MIN_PER_H, "continuous work")


def acceptable_work_by_uptake_min(*, uptake_frac: float) -> AcceptableWork:
    """Longest acceptable time of continuous work, by the share of the highest oxygen uptake.

        hours = 8 * (4 / 8) ** ((share - share for 8 h) / (share for 4 h - share for 8 h))

    Parameters
    ----------
    uptake_frac : float
        Oxygen uptake over the highest oxygen uptake, 0 to 1. [-]

    Returns
    -------
    AcceptableWork
        Time [min] and words; no time for shares outside 0.285 to 0.50.

    Raises
    ------
    ValueError
        If the share is not from 0 to 1.

    Notes
    -----
    For continuous work: the exponential through the limits for 8 h (34 %) and 4 h (43.5 %), from memory. It meets the
    limits for 10 h (31 %) and 12 h (28.5 %) within 0.1 h; above 43.5 % it is carried on. The limits were found with
    12 young adults on a cycle.

    References
    ----------
    wu_wang_2002, limits in the share of uptake (constants ``acceptable_work.uptake.8_h``,
    ``acceptable_work.uptake.4_h``, ``acceptable_work.uptake.12_h``).
    wood_xl_definitions, range (constant ``acceptable_work.uptake.highest``).

    Examples
    --------
    >>> round(acceptable_work_by_uptake_min(uptake_frac=0.435).minutes, 6)
    240.0
    >>> acceptable_work_by_uptake_min(uptake_frac=0.2).words
    'continuous work, more than 11.5 h'
    """
    require_fraction(uptake_frac=uptake_frac)

    def hours(share: float) -> float:
        at_8_h, at_4_h = value("acceptable_work.uptake.8_h"), value("acceptable_work.uptake.4_h")
        return SHIFT_H * math.pow(HALF_SHIFT_H / SHIFT_H, (share - at_8_h) / (at_4_h - at_8_h))

    lowest, highest = value("acceptable_work.uptake.12_h"), value("acceptable_work.uptake.highest")
    if uptake_frac < lowest:
        return _longer_than(hours(lowest))
    if uptake_frac > highest:
        return _shorter_than(hours(highest))
    return AcceptableWork(hours(uptake_frac) * MIN_PER_H, "continuous work")


def _longer_than(hours: float) -> AcceptableWork:
    return AcceptableWork(None, f"continuous work, more than {math.floor(hours * 2) / 2:g} h")


def _shorter_than(hours: float) -> AcceptableWork:
    return AcceptableWork(None, f"continuous work, less than {math.ceil(hours * 2) / 2:g} h")


def strain_word(*, reserve_frac: float | None, session_min: float, highest_of_max_frac: float | None) -> Strain:
    """Whether a session is flagged, in a word.

        very high:    share of reserve above 0.50 for more than 2 h, or any part above 0.85 of the highest heart rate
        high:         share of reserve above 0.40 for more than 4 h
        not flagged:  neither
        not known:    neither, but the share of reserve is missing

    Parameters
    ----------
    reserve_frac : float or None
        Share of the heart-rate reserve, mean of the session, 0 to 1; None without a resting rate. [-]
    session_min : float
        Time of the person in the session. [min] 0 or more.
    highest_of_max_frac : float or None
        Heart rate of the hardest part over the highest heart rate; None if no part was measured. [-] Above 0.

    Returns
    -------
    Strain
        One word, or two. No word of it says that the work does no harm.

    Raises
    ------
    ValueError
        If a number is out of its range.

    Notes
    -----
    The thresholds are a convention of this tool, built on the guidelines of forest ergonomics, from memory: 40 % of
    the reserve as the mean of 8 h with normal pauses, the 50 % level for short heavy work. One person at a time: a
    crew has a worst and a median, no mean.

    References
    ----------
    wood_xl_definitions, flags (constants ``strain.flag.high.reserve``, ``strain.flag.high.longer_than_h``,
    ``strain.flag.very_high.reserve``, ``strain.flag.very_high.longer_than_h``, ``heart_trace.high_fraction_of_max``).

    Examples
    --------
    >>> strain_word(reserve_frac=0.45, session_min=300, highest_of_max_frac=0.80)
    'high'
    >>> strain_word(reserve_frac=0.45, session_min=60, highest_of_max_frac=0.90)
    'very high'
    """
    require_not_negative(session_min=session_min)
    hours = session_min / MIN_PER_H
    if highest_of_max_frac is not None:
        require_positive(highest_of_max_frac=highest_of_max_frac)
        if highest_of_max_frac > value("heart_trace.high_fraction_of_max"):
            return "very high"
    if reserve_frac is None:
        return "not known"
    require_fraction(reserve_frac=reserve_frac)
    if reserve_frac > value("strain.flag.very_high.reserve") and hours > value("strain.flag.very_high.longer_than_h"):
        return "very high"
    if reserve_frac > value("strain.flag.high.reserve") and hours > value("strain.flag.high.longer_than_h"):
        return "high"
    return "not flagged"
