"""Docstrings of every formula: complete, true to the signature, sourced, and their examples run."""

from __future__ import annotations

import doctest
import importlib
import inspect
import pkgutil
import re
from types import FunctionType, ModuleType

import pytest

from wood_xl import calc
from wood_xl.data.load import constants, sources

# What a name ends in and the unit that its text must give in brackets.
SUFFIX_UNITS = {
    "_kcal_per_min": "kcal/min",
    "_ml_kg_min": "mL/kg/min",
    "_m": "m",
    "_m2": "m2",
    "_m3": "m3",
    "_cm": "cm",
    "_kg": "kg",
    "_l": "L",
    "_min": "min",
    "_h": "h",
    "_bpm": "beats/min",
    "_years": "years",
    "_frac": "-",
    "_kcal": "kcal",
    "_mj": "MJ",
    "_mj_per_kg": "MJ/kg",
    "_kg_per_m3": "kg/m3",
}


def modules() -> list[ModuleType]:
    return [importlib.import_module(f"wood_xl.calc.{found.name}") for found in pkgutil.iter_modules(calc.__path__)]


def formulas() -> list[FunctionType]:
    return [
        item
        for module in modules()
        for name, item in vars(module).items()
        if isinstance(item, FunctionType) and item.__module__ == module.__name__ and not name.startswith("_")
    ]


def sections(formula: FunctionType) -> dict[str, str]:
    """Sections of a docstring by title; the text before the first one under an empty title."""
    parts = re.split(r"^(\w+)\n-+\n", inspect.getdoc(formula) or "", flags=re.MULTILINE)
    return {"": parts[0], **dict(zip(parts[1::2], parts[2::2], strict=True))}


def described(formula: FunctionType) -> dict[str, str]:
    """Parameter names and what the docstring says of each."""
    parts = re.split(r"^(\w+) : .*\n", sections(formula)["Parameters"], flags=re.MULTILINE)
    return dict(zip(parts[1::2], parts[2::2], strict=True))


def unit_of(name: str) -> str | None:
    fits = [suffix for suffix in SUFFIX_UNITS if f"_{name}".endswith(suffix)]
    if not fits:
        return None
    suffix = max(fits, key=len)
    is_rate_of_something_else = "_per_" in name and "_per_" not in suffix
    return None if is_rate_of_something_else else SUFFIX_UNITS[suffix]


def test_there_are_formulas() -> None:
    names = {item.__name__ for item in formulas()}
    assert {"cords", "worker_effort", "capital_recovery_factor", "direct_co2"} <= names


@pytest.mark.parametrize("formula", formulas(), ids=lambda item: f"{item.__module__}.{item.__name__}")
def test_docstring_is_complete_and_true(formula: FunctionType) -> None:
    parts = sections(formula)
    signature = inspect.signature(formula)
    assert parts[""].split("\n")[0].endswith(".")
    assert {"Parameters", "References", "Examples"} <= parts.keys()
    assert ("Returns" in parts) == (signature.return_annotation != "None")
    assert list(described(formula)) == list(signature.parameters)
    raises = re.search(r"\braise\b|require_", inspect.getsource(formula).split('"""')[2])
    assert not raises or "Raises" in parts


@pytest.mark.parametrize("formula", formulas(), ids=lambda item: f"{item.__module__}.{item.__name__}")
def test_units_in_brackets_are_those_of_the_names(formula: FunctionType) -> None:
    for name, text in described(formula).items():
        brackets = re.findall(r"\[([^\]]+)\]", text)
        expected = unit_of(name)
        assert brackets == ([expected] if expected else []), name
    expected = unit_of(formula.__name__)
    if expected and "Returns" in sections(formula):
        assert f"[{expected}]" in sections(formula)["Returns"]


@pytest.mark.parametrize("formula", formulas(), ids=lambda item: f"{item.__module__}.{item.__name__}")
def test_references_exist(formula: FunctionType) -> None:
    text = sections(formula)["References"]
    entries = [entry.strip() for entry in re.split(r";\s|\.\n", text) if entry.strip()]
    assert entries
    assert {entry.split(",")[0] for entry in entries} <= sources().keys()
    assert set(re.findall(r"``([^`]+)``", text)) <= constants().keys()


@pytest.mark.parametrize("formula", formulas(), ids=lambda item: f"{item.__module__}.{item.__name__}")
def test_constants_in_the_code_are_cited(formula: FunctionType) -> None:
    code = inspect.getsource(formula).split('"""')[2]
    cited = sections(formula)["References"]
    for constant_id in re.findall(r'value\("([^"]+)"\)', code):
        assert constant_id in constants()
        assert f"``{constant_id}``" in cited


@pytest.mark.parametrize("module", modules(), ids=lambda item: item.__name__)
def test_examples_run(module: ModuleType) -> None:
    outcome = doctest.testmod(module)
    assert outcome.failed == 0
    assert outcome.attempted >= sum(item.__module__ == module.__name__ for item in formulas())
