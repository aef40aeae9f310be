"""How often intervals cover and verdicts err, against the table of the model, within three Monte-Carlo errors.

The table came with the model (how_sure_defaults), from a program of its own. Where a cell says what was ``measured``
here, this holds instead, and ``why`` tells of it.
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest
from simulation import outcomes

TABLE: list[dict[str, Any]] = json.loads((Path(__file__).parent / "simulated_table.json").read_text())
RUNS_N = 300  # of each cell, here as in the table


@pytest.mark.slow
@pytest.mark.simulation
@pytest.mark.parametrize("cell", TABLE, ids=lambda cell: cell["what"])
def test_cell(cell: dict[str, Any]) -> None:
    found = list(outcomes(cell, max(8, round(RUNS_N * cell["share_of_runs"]))))
    for name, expected in (cell["expect"] | cell.get("measured", {})).items():
        if name == "ratio_of_ends":
            logs = [run["log_width"] for run in found if "log_width" in run]
            assert math.exp(sum(logs) / len(logs)) == pytest.approx(expected, rel=0.25)
            continue
        seen = [run[name] for run in found if name in run]
        low, high = expected
        assert fewest(low, len(seen)) <= sum(seen) <= most(high, len(seen)), f"{sum(seen)} of {len(seen)}"


def fewest(share: float, runs_n: int) -> float:
    """Least hits of so many runs that three errors allow, when the table saw this share of its own runs."""
    from scipy import stats

    return float(_hits(share, runs_n).ppf(stats.norm.cdf(-3)))


def most(share: float, runs_n: int) -> float:
    """Most hits, likewise."""
    from scipy import stats

    return float(_hits(share, runs_n).ppf(stats.norm.cdf(3)))


def _hits(share: float, runs_n: int) -> Any:
    """With few runs the error is not normal: hits given the table's hits, with a uniform prior of the true share."""
    from scipy import stats

    seen = round(share * RUNS_N)
    return stats.betabinom(runs_n, seen + 1, RUNS_N - seen + 1)


def test_errors_are_those_of_both_simulations() -> None:
    share, runs_n = 0.5, 10_000
    error = 3 * math.sqrt(share * (1 - share) * (1 / runs_n + 1 / RUNS_N))
    assert fewest(share, runs_n) / runs_n == pytest.approx(share - error, abs=0.002)
    assert most(share, runs_n) / runs_n == pytest.approx(share + error, abs=0.002)
    assert most(0.0, 40) <= 3
