"""No figure moves unnoticed: ``figures.csv`` holds them as they were.

A change that is meant to move figures writes the file anew (``figures_now.py``) and says in its message which and
why; the difference can be read line by line.
"""

from __future__ import annotations

import math

from figures_now import GuardRow, rows_kept, rows_now

NEAR = 1e-9  # one unit in the tenth digit
ENDS_NEAR = 1.1e-4  # one unit in the fifth: no draw tells more
REMEDY = "is that meant? run: PYTHONPATH=tests:tests/unit python tests/guard/figures_now.py"


def test_no_figure_moved() -> None:
    now, kept = ({row.place: row for row in rows} for rows in (rows_now(), rows_kept()))
    assert len(kept) > 5_000
    for told, places in (
        ("gone", kept.keys() - now.keys()),
        ("new", now.keys() - kept.keys()),
        ("moved", [place for place in kept.keys() & now.keys() if not is_alike(kept[place], now[place])]),
    ):
        assert not places, f"{len(places)} figures are {told}, among them {sorted(places)[:5]}; {REMEDY}"


def is_alike(one: GuardRow, other: GuardRow) -> bool:
    ends = ((one.low, other.low), (one.high, other.high))
    return _is_near(one.value, other.value, NEAR) and all(_is_near(*both, ENDS_NEAR) for both in ends)


def _is_near(one: str, other: str, near: float) -> bool:
    return one == other or (bool(one) and bool(other) and math.isclose(float(one), float(other), rel_tol=near))
