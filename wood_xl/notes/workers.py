"""Everybody who worked, by number: the same number whatever they are called."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from wood_xl.notes.names import plain


def worker_numbers(data: Mapping[str, Any]) -> dict[str, int]:
    """Number of each person, from 1, in the order in which they work.

    Whoever has the session's own row comes before its helpers, and these in the order of their rows, so that other
    names get the same numbers. Then come people who are in no session, and last names that stand in the heart trace
    alone, such as a misspelled one.

    >>> worker_numbers({"sessions": [{"session": "S1", "person": "Bo"}, {"session": "S2", "person": "Ada "}],
    ...                 "helpers": [{"session": "S1", "person": "Cy"}], "people": [{"person": "ada"}]})
    {'bo': 1, 'cy': 2, 'ada': 3}
    """
    sessions = data.get("sessions", ())
    order = {plain(str(row["session"])): index for index, row in reversed([*enumerate(sessions)]) if "session" in row}
    rows = [(index, False, row) for index, row in enumerate(sessions)]
    rows += [
        (order.get(plain(str(row.get("session", ""))), len(sessions)), True, row) for row in data.get("helpers", ())
    ]
    rows += [(len(sessions) + 1, True, row) for row in data.get("people", ())]
    rows.sort(key=lambda one: one[:2])  # rows of one kind keep their order
    typed = [str(row.get("person", "")) for *_, row in rows]
    typed += dict.fromkeys(str(row.get("person", "")) for row in data.get("heart_trace", ()))  # half a million rows
    names = dict.fromkeys(name for one in typed if (name := plain(one)))
    return {name: number for number, name in enumerate(names, start=1)}
