"""Spreadsheet programs that tests marked ``office`` drive."""

from __future__ import annotations

import shutil

import pytest


def program(name: str) -> str:
    """Path of a program; a test that needs one that is not installed fails, since nothing was tried."""
    return shutil.which(name) or pytest.fail(f"{name} is not installed")
