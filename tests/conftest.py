"""What all tests share."""

from __future__ import annotations

import gc
import sys
from collections.abc import Generator
from pathlib import Path

import pytest
from hypothesis import Phase, settings

import wood_xl.io  # noqa: F401 - before a test imports openpyxl, which asks once whether to write through lxml

sys.path.insert(0, str(Path(__file__).parent))  # helpers beside the tests are imported by their bare name
sys.path.insert(0, str(Path(__file__).parent / "unit"))

import few  # it stands beside this file
from programs import program


@pytest.hookimpl(tryfirst=True)  # before a profile that is asked for
def pytest_configure(config: pytest.Config) -> None:
    few.is_whole = "not slow" not in config.getoption("markexpr")
    # A change passes or fails by what it does and not by luck; to look for more: --hypothesis-profile=explore
    settings.register_profile("same", derandomize=True, max_examples=few.examples(100))
    settings.register_profile("explore", print_blob=True)
    # Whether it fails, not the smallest example of it: for deliberate faults
    settings.register_profile("first", settings.get_profile("same"), phases=(Phase.explicit, Phase.generate))
    settings.load_profile("same")


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """What is imported and collected stays to the end: the collection of garbage never has to go through it."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()
        gc.enable()


@pytest.fixture
def soffice() -> str:
    """The office program."""
    return program("soffice")
