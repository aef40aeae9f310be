"""No figure moves unnoticed: ``figures.csv`` holds them as they were, and only a cut that is named here shortens it.

A change that is meant to move figures writes the file anew (``figures_now.py``) and says in its message which and
why; the difference can be read line by line.
"""

from __future__ import annotations

import math

from figures_now import GuardRow, rows_kept, rows_now

# Tables and columns that are no longer given, with the reason.
ALL = "*"  # every column of a table
OTHER_MEASURE = "One more product of the figures per cord and the wood of a method."
ONE_MODEL = "The model of the sessions took its place."
FLIP_MOVES = "What moves a flip took its place."
NO_POINTS = "Each task is decided by itself, in what an hour, effort and CO2e are worth."
CUTS: dict[tuple[str, str], str] = {
    ("rates_per_stacked_m3", ALL): OTHER_MEASURE,
    ("rates_per_solid_m3", ALL): OTHER_MEASURE,
    ("rates_per_sawn_m2", ALL): OTHER_MEASURE,
    ("how_sure", "data_only"): ONE_MODEL,
    ("how_sure", "next_session"): ONE_MODEL,
    ("how_sure", "standard_error"): ONE_MODEL,
    ("how_sure", "sessions_effective"): ONE_MODEL,
    ("comparisons", "data_only"): ONE_MODEL,
    ("log_sizes", "to_common"): ONE_MODEL,
    ("sensitivity", ALL): FLIP_MOVES,
    ("combinations", "points"): NO_POINTS,
    ("combinations", "best_share"): NO_POINTS,
    ("choice", ALL): NO_POINTS,
    ("hour_prices", ALL): NO_POINTS,
    ("choice_swings", ALL): NO_POINTS,
}
NEAR = 1e-9  # one unit in the tenth digit
ENDS_NEAR = 1.1e-4  # one unit in the fifth: no draw tells more


def test_no_figure_moved() -> None:
    now = {row.place: row for row in rows_now()}
    kept = [row for row in rows_kept() if not is_cut(row)]
    assert len(kept) > 5_000
    missing = [row.place for row in kept if row.place not in now]
    assert not missing, f"{len(missing)} figures are gone, among them {missing[:5]}"
    moved = [(row, now[row.place]) for row in kept if not is_alike(row, now[row.place])]
    assert not moved, f"{len(moved)} figures moved, among them {moved[:5]}"


def test_a_cut_is_gone() -> None:
    now = rows_now()
    assert [row.place for row in now if is_cut(row)] == []


def is_cut(row: GuardRow) -> bool:
    return (row.table, ALL) in CUTS or (row.table, row.column) in CUTS


def is_alike(one: GuardRow, other: GuardRow) -> bool:
    ends = ((one.low, other.low), (one.high, other.high))
    return _is_near(one.value, other.value, NEAR) and all(_is_near(*both, ENDS_NEAR) for both in ends)


def _is_near(one: str, other: str, near: float) -> bool:
    return one == other or (bool(one) and bool(other) and math.isclose(float(one), float(other), rel_tol=near))
