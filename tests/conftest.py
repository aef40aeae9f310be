"""What all tests share."""

from __future__ import annotations

import os
import shutil
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))  # helpers beside the tests are imported by their bare name


@pytest.fixture
def soffice() -> str:
    """The office program; a test that needs it is left out without it, and fails where it must be there."""
    found = shutil.which("soffice")
    if found is None:
        if os.environ.get("WOOD_XL_REQUIRE_OFFICE") == "1":
            pytest.fail("soffice is not installed, and WOOD_XL_REQUIRE_OFFICE=1 says that it must be")
        pytest.skip("soffice is not installed")
    return found
