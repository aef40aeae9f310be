"""Each route over a usual year: what it takes, the energy bought for the heat it brings, and the strain seen."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from wood_xl.calc.figure import Figure, not_given
from wood_xl.study.emissions import PARTS, MethodEmissions
from wood_xl.study.energy_return import NO_RANGE_OF_TOOLS, heat_for_energy
from wood_xl.study.methods import MethodTotals
from wood_xl.study.routes import FIGURES, RouteStudy

NO_VOLUME, NOT_KNOWN = "no yearly volume", "not known"
GRAVEST_FIRST = ("very high", "high", "not flagged", NOT_KNOWN)

Row = dict[str, Any]


def route_year_rows(
    study: RouteStudy | None,
    routes: Sequence[Row],
    yearly_cords: float | None,
    emitted: Mapping[str, MethodEmissions],
    delivered: Figure,
    flags: Mapping[str, str],
) -> Iterator[Row]:
    """One row for each route.

    Parameters
    ----------
    study : RouteStudy or None
        Routes; None if there are none.
    routes : sequence of dict
        Their rows per cord, in the same order.
    yearly_cords : float or None
        Wood made in a usual year.
    emitted : mapping
        Accounts of each method.
    delivered : Figure
        Heat that a cord gives to the house. [MJ]
    flags : mapping of str to str
        Strain of each method in words.
    """
    for route, row in zip(study.routes if study is not None else (), routes, strict=True):
        bought = _sum(_bought(emitted[method]) for method in route.methods)
        yield {
            "route": row["route"],
            **{key: _times(row[key], yearly_cords) for key in FIGURES},
            "bought": _times(bought, yearly_cords),
            "energy_return": heat_for_energy(delivered, bought),
            "strain": "; ".join(f"{method}: {flags[method]}" for method in route.methods),
        }


def strain_flags(strain: Iterable[Row], totals: Iterable[MethodTotals]) -> dict[str, str]:
    """The gravest word of strain in the sessions of each method."""
    words: dict[str, set[str]] = {}
    for row in strain:
        words.setdefault(row["session"], set()).add(row["strain"])
    return {
        t.method.name: min(
            (word for figures in t.counted for word in words.get(figures.session.name, ())),
            key=GRAVEST_FIRST.index,
            default=NOT_KNOWN,
        )
        for t in totals
    }


def _bought(found: MethodEmissions) -> Figure:
    return found.of(PARTS, found.accounts.bought_mj)


def _sum(parts: Iterable[Figure]) -> Figure:
    values = []
    for part in parts:
        if part.value is None:
            return part
        values.append(part.value)
    return Figure(math.fsum(values), reason=NO_RANGE_OF_TOOLS)


def _times(figure: Figure, cords: float | None) -> Figure:
    """A figure per cord over the year, with its interval."""
    if figure.value is None:
        return figure
    if cords is None:
        return not_given(NO_VOLUME)
    low, high = (None if end is None else end * cords for end in (figure.low, figure.high))
    return Figure(figure.value * cords, figure.basis, low, high, figure.reason)
