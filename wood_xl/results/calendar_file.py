"""The sessions of a plan as a calendar file (.ics), by RFC 5545 (Internet Calendaring and Scheduling, 2009)."""

from __future__ import annotations

import datetime as dt
import uuid
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from wood_xl.data.cautions import without_gear
from wood_xl.page_texts import InCalendar, OnAnswer
from wood_xl.schema.words import phrase, words

Row = Mapping[str, Any]

MOST_OCTETS = 75  # of a line without its break; longer ones are folded (section 3.1)
LINE_BREAK = "\r\n"
ESCAPED = {"\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n"}  # in texts (section 3.3.11)
NAMESPACE = uuid.UUID("6f1d3c52-8a0e-5b7c-9d24-3e5a7b90c1f8")  # of the ids of sessions
DATE = "%Y%m%d"


def calendar_text(results: Row) -> str:
    """The planned sessions as all-day events, one for each person, since the plan has no hours of the day.

    The same results give the same text. A session that a later plan still holds keeps its id, so that it replaces
    the earlier one in a calendar. The stamp that the standard requires is the last day of the notes.
    """
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//wood_xl//wood_xl//EN", "CALSCALE:GREGORIAN"]
    planned = results["plan"]["sessions"]
    stamp = max((row["date"] for row in results["sessions"] if row["date"]), default=planned[0]["date"])
    same_n: Counter[tuple[str, ...]] = Counter()
    for row in planned:
        key = (results["season"]["season_name"], row["date"], row["person"], row["method"])
        same_n[key] += 1
        lines += _event(row, "\0".join((*key, str(same_n[key]))), stamp)
    lines.append("END:VCALENDAR")
    return "".join(f"{part}{LINE_BREAK}" for line in lines for part in _folded(line))


def _event(row: Row, name: str, stamp: str) -> Iterator[str]:
    day = dt.date.fromisoformat(row["date"])
    yield "BEGIN:VEVENT"
    yield f"UID:{uuid.uuid5(NAMESPACE, name)}"
    yield f"DTSTAMP:{dt.date.fromisoformat(stamp):{DATE}}T000000Z"
    yield f"DTSTART;VALUE=DATE:{day:{DATE}}"
    yield f"DTEND;VALUE=DATE:{day + dt.timedelta(days=1):{DATE}}"
    summary = phrase(InCalendar.SUMMARY, person=row["person"], method=row["method"], minutes=row["minutes"])
    yield f"SUMMARY:{_escaped(summary)}"
    about = [phrase(OnAnswer.CAUTION, title=c.title, text=c.text) for c in without_gear([row["task"]])]
    about += [phrase(InCalendar.IN_SIGHT, person=row["in_sight"])] if row["in_sight"] else []
    about += [phrase(InCalendar.MIND, mind=row["mind"])] if row["mind"] else []
    about += [phrase(InCalendar.WEAR, gear=tuple(row["wear"])), words(InCalendar.TIRED)]
    yield f"DESCRIPTION:{_escaped(' '.join(about))}"
    yield "TRANSP:TRANSPARENT"
    yield "END:VEVENT"


def _escaped(text: str) -> str:
    """The text with its special characters escaped, and without the control characters that no text may hold."""
    kept = (letter for letter in text if letter == "\n" or (letter >= " " and letter != "\x7f"))
    return "".join(ESCAPED.get(letter, letter) for letter in kept)


def _folded(line: str) -> Iterator[str]:
    """A line in parts of at most 75 octets, each after the first with a leading space; no character is cut."""
    part, octets = "", 0
    for letter in line:
        size = len(letter.encode())
        if octets + size > MOST_OCTETS:
            yield part
            part, octets = " ", 1
        part, octets = part + letter, octets + size
    yield part
