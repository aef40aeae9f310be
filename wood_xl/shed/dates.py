"""Dates of the woodshed: winters, and when a stack is dry by the usual time or by its own readings.

Days are numbers where all members of a drying time are added to one.
"""

from __future__ import annotations

import datetime as dt
import math

import numpy as np

from wood_xl.arguments import require_not_negative
from wood_xl.data.load import value
from wood_xl.draws.ensemble import Number, nominal

DAYS_PER_MONTH = 365.25 / 12
FIRST_DAY, LAST_DAY = "1900-01-01", "2200-12-31"  # a date outside must be a typing mistake


def day_number(day: str) -> int:
    """Number of a day as yyyy-mm-dd.

    Source: wood_xl_definitions, days are counted from the first of the calendar.

    >>> day_number("2026-10-02") - day_number("2026-10-01")
    1
    """
    return dt.date.fromisoformat(day).toordinal()


def can_be(day: str) -> bool:
    """Whether a day as yyyy-mm-dd is plausible: within a few lifetimes of now.

    Source: wood_xl_definitions, days that can be told.

    >>> can_be("2026-10-01"), can_be("9999-12-31"), can_be("0026-10-01")
    (True, False, False)
    """
    return FIRST_DAY <= day <= LAST_DAY


def months_after(day: str, months: float) -> str:
    """The day a number of months after another.

        day + 365.25 / 12 * months

    Source: wood_xl_definitions, a month is the twelfth part of a mean year.

    >>> months_after("2025-04-20", 12.0)
    '2026-04-20'
    """
    require_not_negative(months=months)
    return dt.date.fromordinal(round(day_number(day) + months * DAYS_PER_MONTH)).isoformat()


def dry_on_by_usual_time(stacked_on: str, *, months: Number) -> Number:
    """Number of the day on which split wood is dry by the usual time of its kind, which must include a summer.

        max(stacked on + months, first day after a May to September that it stood through)

    The month in which it was stacked counts in full.

    Source: wood_and_heat_defaults, seasoning time, planner rule (constants ``seasoning.first_month``,
    ``winter.first_month``).

    >>> dt.date.fromordinal(int(dry_on_by_usual_time("2026-01-10", months=6.0))).isoformat()
    '2026-10-01'
    """
    require_not_negative(months=months)
    stacked = dt.date.fromisoformat(stacked_on)
    year = stacked.year + (stacked.month > value("seasoning.first_month"))
    after_summer = dt.date(year, int(value("winter.first_month")), 1).toordinal()
    dry_on: Number = np.maximum(stacked.toordinal() + months * DAYS_PER_MONTH, after_summer)
    return dry_on if np.ndim(dry_on) else float(dry_on)


def time_constants_n(*, from_dry_frac: float, to_dry_frac: float, driest_dry_frac: float) -> float:
    """Time that drying from one moisture to another takes, in time constants.

        n = ln((u1 - E) / (u2 - E))

    from_dry_frac, to_dry_frac: moistures on the dry basis, the first the larger, both above the driest.
    driest_dry_frac: moisture at which the wood settles in the end, on the dry basis.

    In one time constant the water that can still leave falls to 1/e. That wood dries faster the more water it has to
    lose is an assumption; no source here gives a curve.

    Source: wood_and_heat_defaults, lower limit of drying.

    A year for wood that loses its water with a time constant of 180 days:

    >>> round(180 * time_constants_n(from_dry_frac=0.818, to_dry_frac=0.25, driest_dry_frac=0.164))
    365
    """
    if not from_dry_frac > to_dry_frac > driest_dry_frac:
        raise ValueError(f"{from_dry_frac}, {to_dry_frac} and {driest_dry_frac} do not fall")
    return math.log((from_dry_frac - driest_dry_frac) / (to_dry_frac - driest_dry_frac))


def winter_after(day: str) -> str:
    """First day of the first winter that begins after a day.

    Source: wood_and_heat_defaults, May to September (constant ``winter.first_month``).

    >>> winter_after("2026-09-30"), winter_after("2026-10-01")
    ('2026-10-01', '2027-10-01')
    """
    date = dt.date.fromisoformat(day)
    first = dt.date(date.year, int(value("winter.first_month")), 1)
    return first.isoformat() if date < first else first.replace(year=first.year + 1).isoformat()


def winter_from(month: str) -> str:
    """First day of the first winter for wood that gets dry in a month as yyyy-mm, its first month included.

    Source: wood_and_heat_defaults, May to September (constant ``winter.first_month``).

    >>> winter_from("2026-10"), winter_from("2026-11")
    ('2026-10-01', '2027-10-01')
    """
    first = f"{month}-01"
    return first if int(month[5:7]) == value("winter.first_month") else winter_after(first)


def winter_of(day: str) -> str:
    """First day of the winter that a day of burning belongs to; a winter counts to the September after it.

    Source: wood_and_heat_defaults, May to September (constant ``winter.first_month``).

    >>> winter_of("2026-10-01"), winter_of("2027-04-30")
    ('2026-10-01', '2026-10-01')
    """
    after = dt.date.fromisoformat(winter_after(day))
    return after.replace(year=after.year - 1).isoformat()


def month_of(day: Number) -> str:
    """Month as yyyy-mm of a day's number, by its nominal member.

    Source: wood_xl_definitions, the calendar.

    >>> month_of(float(day_number("2026-10-01")))
    '2026-10'
    """
    return dt.date.fromordinal(math.floor(nominal(day))).isoformat()[:7]
