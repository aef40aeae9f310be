"""Spreadsheet programs that some tests drive."""

from __future__ import annotations

import os
import shutil

import pytest


def program(name: str) -> str:
    """Path of a program; without it the test is left out, or fails where the program must be there."""
    found = shutil.which(name)
    if found is None:
        if os.environ.get("WOOD_XL_REQUIRE_OFFICE") == "1":
            pytest.fail(f"{name} is not installed, and WOOD_XL_REQUIRE_OFFICE=1 says that it must be")
        pytest.skip(f"{name} is not installed")
    return found
