"""What all tests share."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

import wood_xl.io  # noqa: F401 - before a test imports openpyxl, which asks once whether to write through lxml

sys.path.insert(0, str(Path(__file__).parent))  # helpers beside the tests are imported by their bare name
sys.path.insert(0, str(Path(__file__).parent / "unit"))

from programs import program  # it stands beside this file


@pytest.fixture
def soffice() -> str:
    """The office program."""
    return program("soffice")
