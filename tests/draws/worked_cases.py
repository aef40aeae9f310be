"""Worked cases of the model: sessions of one task, and the printed results with all their digits."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any
from unittest import mock

from wood_xl.data import load
from wood_xl.draws.rows import Observed, Session, TaskSessions, observed
from wood_xl.draws.season import Fit, fit_season
from wood_xl.ids import Recorded

CASES: dict[str, dict[str, Any]] = json.loads((Path(__file__).parent / "worked_cases.json").read_text())
MARGIN = 0.1


def task_of(name: str, number: int = 0, amount: Recorded = Recorded.WORKER_HOURS) -> TaskSessions:
    """Sessions of a case; by default with one unit of wood, a day of their own and no names."""
    case = CASES[name]
    return TaskSessions(
        number,
        True,
        tuple(
            Session(
                i,
                case["method"][i],
                case["wood"][i] if "wood" in case else 1.0,
                {amount: taken},
                case["day"][i] if "day" in case else None,
                {case["person"][i]: 1.0} if "person" in case else None,
                case["diameter_m"][i] if "diameter_m" in case else None,
            )
            for i, taken in enumerate(case["amount"])
        ),
    )


def observed_of(name: str, number: int = 0) -> Observed:
    return observed(task_of(name, number), Recorded.WORKER_HOURS)


def nothing_dropped() -> Any:
    """Keep every grid point, as the worked cases do; the program drops those of negligible weight."""
    known = dict(load.constants())
    known["model.weight.dropped"] = known["model.weight.dropped"]._replace(value=0.0)
    return mock.patch.object(load, "constants", return_value=known)


def fit_of(name: str) -> Fit:
    others = CASES[name].get("season", [])
    with nothing_dropped():
        return fit_season([observed_of(one, number) for number, one in enumerate([name, *others])])[0]


def as_printed(found: float, printed: str) -> bool:
    """Whether a number agrees with all its printed digits."""
    if printed == "-":
        return True
    mantissa, _, power = printed.partition("e")
    places = len(mantissa.partition(".")[2]) - int(power or 0)
    return abs(found - float(printed)) <= 0.5000001 * 10.0**-places


def require_printed(found: list[float], printed: list[str]) -> None:
    """Check the digits of each number."""
    assert len(found) == len(printed)
    assert all(map(as_printed, found, printed)), f"{found} for {printed}"
