"""All figures of a results document, and what holds for every one of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from wood_xl.results.figures import placed_figures

Found = tuple[str, Mapping[str, Any]]


def figures_of(results: Mapping[str, Any]) -> Iterator[Found]:
    """Each figure with table, row and column where it stands."""
    for place, figure in placed_figures(results):
        yield " ".join(map(str, place)), figure


def rows_of(results: Mapping[str, Any], table: str) -> list[dict[str, Any]]:
    """Rows of a table whose figures stand among all figures alone, each with what tells it from the others."""
    rows: dict[str, dict[str, Any]] = {}
    for figure in results["figures"]:
        ref, _, where = figure["id"].partition(" ")
        if ref.startswith(f"{table}."):
            named = {"method": figure["method"], "what": where.rpartition(" ")[2]}
            rows.setdefault(where, named)[figure["measure"]] = figure
    return list(rows.values())


def without_word(results: Mapping[str, Any]) -> list[str]:
    """Places of figures that have neither an interval, nor a reason why not, or an interval beside themselves."""
    return [place for place, figure in figures_of(results) if not _is_told(figure)]


def _is_told(figure: Mapping[str, Any]) -> bool:
    number, low, high = figure["value"], figure["low"], figure["high"]
    if number is None:
        return low is None and high is None and bool(figure["reason"])
    lies_between = (
        (low is None or low <= number) and (high is None or number <= high) and (low is None or low != high)
    )
    return lies_between and bool(figure["reason"]) == (low is None or high is None)
