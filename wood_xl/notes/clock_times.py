"""Times of day as people type them and as programs keep them."""

from __future__ import annotations

import re

MINUTES_PER_DAY = 1440.0
MIN_PER_H, S_PER_MIN, S_PER_DAY = 60, 60, 86_400
NOON_H = 12
LEAST_WHOLE = 100  # a smaller whole number may be an hour as well as minutes after midnight
MOST_WHOLE = 2359

_TIME = re.compile(r"([0-9]{1,2})(?::([0-9]{2})(?::([0-9]{2}))?)?\s*(?:([ap])\.?\s?m\.?)?", re.IGNORECASE)
_OTHER_MARK = re.compile(r"([0-9]{1,2})\s*[.,h\-\s]\s*([0-9]{2})\s*(?:h|([ap])\.?m\.?)?", re.IGNORECASE)


def clock_text(minutes: float) -> str:
    """Minutes since midnight as a time of day.

    >>> clock_text(545), clock_text(825.5)
    ('9:05', '13:45:30')
    """
    whole, seconds = divmod(min(round(minutes * S_PER_MIN), S_PER_DAY - 1), S_PER_MIN)
    text = f"{whole // MIN_PER_H}:{whole % MIN_PER_H:02d}"
    return f"{text}:{seconds:02d}" if seconds else text


def minutes_of_clock(text: str) -> float:
    """Minutes since midnight of a time of day as the document keeps it.

    >>> minutes_of_clock("9:05"), minutes_of_clock("13:45:30")
    (545.0, 825.5)
    """
    hours, minutes, seconds = (*map(int, text.split(":")), 0)[:3]
    return float(MIN_PER_H * hours + minutes + seconds / S_PER_MIN)


def clock_of_text(text: str) -> str | None:
    """The time of day that a text says; None if it says none, or says it in a way that can be misread.

    >>> clock_of_text("09:05"), clock_of_text("1:15 p.m."), clock_of_text("9 AM"), clock_of_text("9.05")
    ('9:05', '13:15', '9:00', None)
    """
    match = _TIME.fullmatch(text.strip())
    if match is None or not (match[2] or match[4]):
        return None
    return _clock(int(match[1]), int(match[2] or 0), int(match[3] or 0), (match[4] or "").lower())


def clock_of_number(number: float) -> str | None:
    """The time of day of a whole number of hours and minutes; None if it is none.

    >>> clock_of_number(905), clock_of_number(1315), clock_of_number(975), clock_of_number(9)
    ('9:05', '13:15', None, None)
    """
    if number != int(number) or not LEAST_WHOLE <= number <= MOST_WHOLE:
        return "0:00" if number == 0 else None
    return _clock(int(number) // 100, int(number) % 100, 0, "")


def meant_clock(text: str) -> str | None:
    """The time of day that a text may mean that has another mark than a colon, or hours alone; None if none is.

    >>> meant_clock("9.05"), meant_clock("9h05"), meant_clock("9"), meant_clock("9.5")
    ('9:05', '9:05', '9:00', None)
    """
    if text.isdecimal() and text.isascii() and len(text) <= len("23"):
        return _clock(int(text), 0, 0, "")
    match = _OTHER_MARK.fullmatch(text.strip())
    return _clock(int(match[1]), int(match[2]), 0, (match[3] or "").lower()) if match else None


def _clock(hours: int, minutes: int, seconds: int, half: str) -> str | None:
    if minutes >= MIN_PER_H or seconds >= S_PER_MIN:
        return None
    if half and (hours > NOON_H or hours == 0):
        return None
    if half:
        hours = hours % NOON_H + (NOON_H if half == "p" else 0)
    total = MIN_PER_H * hours + minutes + seconds / S_PER_MIN
    return clock_text(total) if total < MINUTES_PER_DAY else None
