"""Which part may import what."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import wood_xl

PACKAGE = Path(wood_xl.__file__).parent
MODULES = sorted(PACKAGE.rglob("*.py"))

PURE = ("wood_xl.io", "wood_xl.checks", "wood_xl.schema", "wood_xl.units", "openpyxl", "pandas", "pint")
FORBIDDEN = {
    "calc": (*PURE, "datetime"),
    "study": PURE,
    "checks": ("wood_xl.io", "wood_xl.study", "openpyxl", "pandas", "pint"),
    "io": ("wood_xl.calc", "wood_xl.study", "wood_xl.convert", "pandas", "pint"),
    "schema": ("wood_xl.io", "wood_xl.calc", "wood_xl.checks", "openpyxl", "pandas", "pint"),
}
ONLY_HERE = {"pandas": {"tables.py"}, "pint": {"units.py"}, "click": {"cli.py"}}
NEVER = ("random", "scipy.stats", "socket", "urllib", "requests", "subprocess", "time")


def imports(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module)
    return found


def hits(path: Path, names: tuple[str, ...]) -> list[str]:
    return [one for one in imports(path) if any(one == name or one.startswith(f"{name}.") for name in names)]


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_imports(path: Path) -> None:
    part = path.relative_to(PACKAGE).parts[0]
    assert hits(path, FORBIDDEN.get(part, ())) == []
    assert hits(path, NEVER) == []
    for library, places in ONLY_HERE.items():
        if path.name not in places:
            assert hits(path, (library,)) == []


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_files_stay_small(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 450
