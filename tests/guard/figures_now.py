"""Every figure of the demo seasons and of the odd seasons, as rows that can be compared from one version to the next.

    PYTHONPATH=tests:tests/unit python tests/guard/figures_now.py

writes them to ``figures.csv`` beside this file. That is done only where a change of numbers is meant: see
``test_guard.py``.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from builders import checked, demo_results, small_season
from figures import figures_of
from test_odd_seasons import CHANGES

from wood_xl.demo import demo_names
from wood_xl.pipeline import computed_again

HERE = Path(__file__).parent
FIGURES = HERE / "figures.csv"


class GuardRow(NamedTuple):
    """One figure: the season, where it stands, and its number with both ends to 10 digits; empty if not given."""

    season: str
    table: str
    row: str
    column: str
    value: str
    low: str
    high: str

    @property
    def place(self) -> tuple[str, ...]:
        """What the figure goes by."""
        return self[:4]


def figure_rows(season: str, results: dict[str, Any]) -> Iterator[GuardRow]:
    """The figures of one results document."""
    for place, figure in figures_of(results):
        table, row, column = place.split(" ")
        ends = ("" if figure[key] is None else f"{figure[key]:.10g}" for key in ("value", "low", "high"))
        yield GuardRow(season, table, row, column, *ends)


def seasons() -> Iterator[tuple[str, dict[str, Any]]]:
    """Results documents of the demo seasons, as filled in, and of the odd seasons."""
    for name in demo_names():
        yield name, demo_results(name)
    told = {"display_units": "metric", "input_sha256": "0" * 64, "template_version": "1"}
    for name, (change, _) in CHANGES.items():
        data = small_season()
        change(data)
        results = computed_again(checked(data), told)
        assert results is not None
        yield name, results


@cache
def rows_now() -> list[GuardRow]:
    """The figures of all seasons as the program gives them now."""
    return [row for name, results in seasons() for row in figure_rows(name, results)]


def rows_kept() -> list[GuardRow]:
    """The figures as they were written down."""
    with FIGURES.open(encoding="utf-8", newline="") as text:
        return [GuardRow(*row) for row in csv.reader(text)][1:]


def main() -> None:
    """Write the figures of all seasons."""
    with FIGURES.open("w", encoding="utf-8", newline="") as text:
        writer = csv.writer(text, lineterminator="\n")
        writer.writerow(GuardRow._fields)
        writer.writerows(rows_now())


if __name__ == "__main__":
    main()
