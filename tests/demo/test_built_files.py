"""The committed workbooks are what the program writes today."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from few import few

from wood_xl.demo import demo_names, demo_workbook

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "demo"))

import build  # noqa: E402  # it stands beside the files that it writes

REMEDY = "run: python demo/build.py"


def test_committed_templates_are_fresh() -> None:
    for name, data in build.templates().items():
        assert is_same(ROOT / "templates" / name, data), f"{name}: {REMEDY}"
    assert {path.name for path in (ROOT / "templates").iterdir()} == set(build.templates())


@pytest.mark.parametrize("name", few(demo_names(), "hill_farm_us"))
def test_committed_season_and_results_are_fresh(name: str) -> None:
    filled = ROOT / "demo" / f"{name}.xlsx"
    assert is_same(filled, demo_workbook(name)), REMEDY
    assert is_same(filled.with_name(f"{name}-results.xlsx"), build.results_of(filled)), REMEDY


def is_same(path: Path, data: bytes) -> bool:
    """Whether the file holds these bytes, which no failure is to print."""
    return path.read_bytes() == data


def test_nothing_else_is_kept() -> None:
    workbooks = {path.name for path in (ROOT / "demo").glob("*.xlsx")}
    assert workbooks == {f"{name}{ending}.xlsx" for name in demo_names() for ending in ("", "-results")}
