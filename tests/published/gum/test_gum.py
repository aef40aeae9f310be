"""Published examples of uncertainty, by the draws and fits that the seasons go through."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from wood_xl.draws.ensemble import WORLDS, ends
from wood_xl.draws.inputs import evenly
from wood_xl.draws.least_squares import least_squares

FILE = Path(__file__).parent / "examples.json"
CASES: dict[str, Any] = {case["id"]: case for case in json.loads(FILE.read_text(encoding="utf-8"))["cases"]}
ROOT_3 = math.sqrt(3)
DRAWS_ERROR = 0.02  # of a standard deviation by draws of several factors


def normal_draws(key: str) -> Any:
    """Without the nominal member."""
    return WORLDS.scores(key)[1:]


def even_draws(key: str, low: float, high: float) -> Any:
    """Without the nominal member."""
    return evenly(key, (low + high) / 2, low, high)[1:]


def require(case_id: str, found: dict[str, float], *, drawn: tuple[str, ...] = ()) -> None:
    """Each value agrees to half a unit of its last printed digit; some are cut off, some come from draws."""
    printed, cut_off = CASES[case_id]["printed"], CASES[case_id].get("cut_off", [])
    assert found.keys() == printed.keys()
    for name, value in found.items():
        text = printed[name].replace(",", "")
        digits = text.partition("e")
        unit = 10.0 ** (int(digits[2] or 0) - len(digits[0].partition(".")[2]))
        allowed = unit if name in cut_off else unit / 2
        allowed += DRAWS_ERROR * abs(float(text)) if name in drawn else 0.0
        assert value == pytest.approx(float(text), abs=allowed * (1 + 1e-9)), name


def mean_of(readings: list[float]) -> tuple[float, float]:
    """Mean of some readings and its standard error."""
    return least_squares(columns=([1.0] * len(readings),), values=readings).combined((1.0,))


def test_end_gauge() -> None:
    ls, theta, u_d = 50_000_623, math.hypot(0.2, 0.5 / math.sqrt(2)), math.sqrt(5.8**2 + 3.9**2 + 6.7**2)
    parts = [25.0, u_d, ls * 0.1 * 1e-6 / ROOT_3, ls * 1.15e-5 * 0.05 / ROOT_3]
    standard = ls + 25 * normal_draws("ls")
    alpha, d_alpha = 1.15e-5 + even_draws("alpha", -2e-6, 2e-6), even_draws("d_alpha", -1e-6, 1e-6)
    bent = d_alpha * (-0.1 + theta * normal_draws("theta")) + alpha * even_draws("d_theta", -0.05, 0.05)
    length = standard + 215 + u_d * normal_draws("d") - standard * bent
    first_order = math.sqrt(math.fsum(u * u for u in parts))
    found = {"l": float(length.mean()), "u_c": first_order, "u_c_second_order": float(length.std())}
    require("H.1", found, drawn=("u_c_second_order",))


def test_resistance_and_reactance() -> None:
    """The five readings belong together; taken as five results their correlation is taken along."""
    data = CASES["H.2"]["inputs"]
    readings = list(zip(data["V"], data["I_mA"], data["phi"], strict=True))
    results = {
        "R": [v / i * 1000 * math.cos(phi) for v, i, phi in readings],
        "X": [v / i * 1000 * math.sin(phi) for v, i, phi in readings],
        "Z": [v / i * 1000 for v, i, _ in readings],
    }
    found = {}
    for name, values in results.items():
        found[name], found[f"u_{name}"] = mean_of(values)
    require("H.2", found)


def test_thermometer_line() -> None:
    data = CASES["H.3"]["inputs"]
    fit = least_squares(columns=([1.0] * 11, [t - data["t0"] for t in data["t"]]), values=data["b"])
    errors = [fit.combined(one)[1] for one in ((1.0, 0.0), (0.0, 1.0))]
    b30, u_b30 = fit.combined((1.0, 10.0))
    require(
        "H.3",
        {
            **dict(zip(("y1", "y2"), fit.coefficients, strict=True)),
            **dict(zip(("s_y1", "s_y2"), errors, strict=True)),
            "r": fit.covariance[0][1] / errors[0] / errors[1],
            "b30": b30,
            "u_b30": u_b30,
        },
    )


def test_ratio_of_correlated_counts() -> None:
    """To first order the error of a ratio of means is that of what readings differ from it, over the lower mean."""
    data, rates = CASES["H.4"]["inputs"], {}
    for name in ("x", "s"):
        readings = zip(data[f"C{name}"], data["Cb"], data[f"t{name}"], strict=True)
        rates[name] = [(c - b) / data["T0_min"] * math.exp(data["lambda_per_min"] * t) for c, b, t in readings]
    means = {f"R{name}": mean_of(of)[0] for name, of in rates.items()}
    ratio = means["Rx"] / means["Rs"]
    _, error = mean_of([x - ratio * s for x, s in zip(rates["x"], rates["s"], strict=True)])
    require("H.4", {**means, "ratio_of_means": ratio, "u": error / means["Rs"]})


def test_mass_against_a_standard() -> None:
    m = 100_000 + 0.05 * normal_draws("mRc") + 1.234 + 0.02 * normal_draws("dmRc")
    weight = 1 / even_draws("rw", 7000, 9000) - 1 / even_draws("rr", 7950, 8050)
    result = m * (1 + (even_draws("ra", 1.1, 1.3) - 1.2) * weight) - 100_000
    low, high = ends(np.append(result.mean(), result), 0.95)
    found = {"mean": float(result.mean()), "u": float(result.std()), "low": low, "high": high}
    require("9.3", found, drawn=("mean", "u", "low", "high"))


def test_thermal_expansion() -> None:
    l0, t0, l1, t1 = (x + u * normal_draws(key) for key, (x, u) in CASES["E13"]["inputs"].items())
    result = (l1 - l0) / (l0 * (t1 - t0))
    require("E13", {"value": float(result.mean()), "u": float(result.std())}, drawn=("value", "u"))
