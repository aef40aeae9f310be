"""What moves the choice between the first two routes most: each input alone, from end to end of its interval."""

from __future__ import annotations

import math
from typing import Any

from wood_xl.calc.choice import weighted_points
from wood_xl.calc.figure import Figure, exact
from wood_xl.study.route_surety import WORK, RouteSurety
from wood_xl.study.routes import RouteStudy, letter
from wood_xl.study.trials import rival

WORDS = {"work": "hours and effort", "cash": "cash", "co2e": "CO2e"}

Row = dict[str, Any]
Ends = dict[tuple[str, str], float]


def swing_rows(study: RouteStudy, surety: RouteSurety) -> list[Row]:
    """One row for each input with an interval that only one of the two routes has, the widest swing first.

    The lead is the points of the second route less those of the first; below zero the second is better.
    """
    if len(surety.best) < 2 or not surety.drawn:
        return []
    second = rival(surety)
    one, two = study.routes[0].methods, study.routes[second].methods
    rows = []
    for method in dict.fromkeys([*one, *two]):
        if (method in one) == (method in two):
            continue
        for source in dict.fromkeys(_source(criterion.figure) for criterion in study.criteria):
            keys = [c.figure for c in study.criteria if _source(c.figure) == source]
            figures = [surety.figures[method][key] for key in keys]
            if any(figure.low is None or figure.high is None for figure in figures):
                continue
            leads = [
                _lead(study, surety, second, {(method, k): _end(f, end) for k, f in zip(keys, figures, strict=True)})
                for end in ("low", "high")
            ]
            rows.append(_row(f"{WORDS[source]} of {method}", leads, second))
    return sorted(rows, key=lambda row: -float(row["swing"].value))


def _source(key: str) -> str:
    return "work" if key in WORK else key


def _end(figure: Figure, end: str) -> float:
    return float(getattr(figure, end))


def _lead(study: RouteStudy, surety: RouteSurety, second: int, moved: Ends) -> float:
    keys = [criterion.figure for criterion in study.criteria]

    def figure(name: str, key: str) -> float:
        return moved.get((name, key), surety.figures[name][key].value or 0.0)

    rows = [[math.fsum(figure(name, key) for name in study.routes[at].methods) for key in keys] for at in (0, second)]
    first, other = weighted_points(rows=rows, weights=study.weights, means=study.means)
    return other - first


def _row(what: str, leads: list[float], second: int) -> Row:
    low, high = leads
    turns = min(leads) < 0
    return {
        "input": what,
        "lead_at_low": exact(low),
        "lead_at_high": exact(high),
        "swing": exact(abs(high - low)),
        "turns": f"yes: then route {letter(second)} is better" if turns else "no",
    }
