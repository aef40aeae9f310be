"""All figures of a results document, and what holds for every one of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from wood_xl.schema.model import results_definition

Found = tuple[str, Mapping[str, Any]]


def figures_of(results: Mapping[str, Any]) -> Iterator[Found]:
    """Each figure with the place where it stands."""
    for sheet in results_definition().sheets:
        content = results.get(sheet.id, [])
        for index, row in enumerate(content if isinstance(content, list) else [content]):
            yield from ((f"{sheet.id} {index} {c.id}", row[c.id]) for c in sheet.columns if c.type == "figure")


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
