"""Least squares against certified values; each data file names its origin and where it was read.

Data are taken as the decimals that they are: what is tested is the fit, and not the binary form of the numbers.
"""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from few import together

from wood_xl.draws.least_squares import least_squares

FOLDER = Path(__file__).parent
NINE_DIGITS = 5e-10


def data_set(name: str) -> dict[str, Any]:
    return json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))


def exact(numbers: list[float]) -> list[Any]:
    return [Fraction(repr(number)) for number in numbers]


def near(certified: float) -> Any:
    return pytest.approx(certified, rel=NINE_DIGITS, abs=0)


def test_straight_line() -> None:
    data = data_set("norris")
    certified, y = data["certified"], exact(data["y"])
    fit = least_squares(columns=([1] * len(y), exact(data["x"])), values=y)
    flat = least_squares(columns=([1] * len(y),), values=y)
    assert fit.coefficients == (near(certified["B0"]), near(certified["B1"]))
    assert fit.combined((1.0, 0.0))[1] == near(certified["se_B0"])
    assert fit.combined((0.0, 1.0))[1] == near(certified["se_B1"])
    assert fit.residual_sd == near(certified["residual_sd"])
    assert 1 - fit.residual_ss / flat.residual_ss == near(certified["r_squared"])


@pytest.mark.parametrize("name", ["noint1", "noint2"])
def test_line_through_the_origin(name: str) -> None:
    data = data_set(name)
    certified, y = data["certified"], exact(data["y"])
    fit = least_squares(columns=(exact(data["x"]),), values=y)
    assert fit.coefficients == (near(certified["B1"]),)
    assert fit.combined((1.0,))[1] == near(certified["se_B1"])
    assert fit.residual_sd == near(certified["residual_sd"])
    assert 1 - fit.residual_ss / float(sum(one * one for one in y)) == near(certified["r_squared_uncentred"])


@together("name", ["numacc1", "numacc2", "michelso", "mavro", "lottery"])
def test_mean_and_standard_deviation(name: str) -> None:
    data = data_set(name)
    y = exact(data.get("y") or [1.2, *[1.1, 1.3] * 500])
    assert len(y) == data["n"]
    fit = least_squares(columns=([1] * len(y),), values=y)
    assert fit.coefficients == (near(data["certified"]["mean"]),)
    assert fit.residual_sd == near(data["certified"]["sample_sd"])


@pytest.mark.parametrize("name", ["sirstv", "smls01", "atmwtag"])
def test_one_way_analysis_of_variance(name: str) -> None:
    data = data_set(name)
    certified, groups = data["certified"], data["groups"]
    y = [one for values in groups.values() for one in exact(values)]
    assert len(y) == data["n"]
    members = [[int(other == name) for other, values in groups.items() for _ in values] for name in groups]
    flat, by_group = least_squares(columns=([1] * len(y),), values=y), least_squares(columns=members, values=y)
    assert by_group.residual_ss == near(certified["ss_within"])
    assert flat.residual_ss - by_group.residual_ss == near(certified["ss_between"])
    assert (flat.df - by_group.df, by_group.df) == (certified["df_between"], certified["df_within"])
    assert by_group.residual_sd == near(certified["residual_sd"])


def test_binary_data_with_seven_constant_digits_keep_eight() -> None:
    groups = data_set("atmwtag")["groups"]
    y = [one for values in groups.values() for one in values]
    members = [[int(other == name) for other, values in groups.items() for _ in values] for name in groups]
    within = least_squares(columns=members, values=y).residual_ss
    assert within == pytest.approx(data_set("atmwtag")["certified"]["ss_within"], rel=1e-8)
    assert within == least_squares(columns=[one[::-1] for one in members], values=y[::-1]).residual_ss
