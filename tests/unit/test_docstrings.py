"""Docstrings of every formula: short and sourced; and the examples of all modules run."""

from __future__ import annotations

import doctest
import importlib
import inspect
import re
from types import FunctionType, ModuleType

from few import together
from test_architecture import MODULES, is_formula_file

from wood_xl.data.load import constants, sources

MOST_LINES = 30  # where a rule has many parts


def modules() -> list[ModuleType]:
    return [importlib.import_module(name) for name in MODULES if is_formula_file(name)]


def formulas() -> list[FunctionType]:
    return [
        item
        for module in modules()
        for name, item in vars(module).items()
        if isinstance(item, FunctionType) and item.__module__ == module.__name__ and not name.startswith("_")
    ]


def docstring(formula: object) -> str:
    return inspect.getdoc(formula) or ""


def source_text(formula: object) -> str:
    """What the docstring says of the source, on one line."""
    found = re.search(r"^Source: (.*?)(?:\n\n|\Z)", docstring(formula), flags=re.MULTILINE | re.DOTALL)
    return " ".join(found[1].split()) if found else ""


def test_there_are_formulas() -> None:
    names = {item.__name__ for item in formulas()}
    assert {"cords", "worker_effort", "capital_recovery_factor", "direct_co2"} <= names


@together("formula", formulas, ids=lambda item: f"{item.__module__}.{item.__name__}")
def test_docstring_is_short_and_has_a_true_source(formula: FunctionType) -> None:
    text, source = docstring(formula), source_text(formula)
    assert text.split("\n")[0].endswith(".")
    assert len(text.split("\n")) <= MOST_LINES
    entries = [entry.strip() for entry in re.split(r";\s|\.\s", source) if entry.strip(" .")]
    assert entries
    assert [entry for entry in entries if entry.split(",")[0] not in sources()] == []
    assert [named for named in re.findall(r"``([^`]+)``", source) if named not in constants()] == []


@together("formula", formulas, ids=lambda item: f"{item.__module__}.{item.__name__}")
def test_constants_in_the_code_exist(formula: FunctionType) -> None:
    """Each has its own source, status and place in the data, so no docstring repeats them."""
    assert set(re.findall(r'value\("([^"]+)"\)', inspect.getsource(formula))) <= constants().keys()


@together("name", [name for name in MODULES if not name.endswith("__main__")])
def test_examples_run(name: str) -> None:
    """Each formula has one; whatever else has one is held to it too, and its source is known."""
    module = importlib.import_module(name)
    own = [item for item in vars(module).values() if getattr(item, "__module__", "") == name]
    assert {source_text(item).split(",")[0] for item in own} - {""} <= sources().keys()
    outcome = doctest.testmod(module)
    assert outcome.failed == 0
    assert outcome.attempted >= sum(item.__module__ == name for item in formulas())
