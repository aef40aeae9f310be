"""Every formula against values worked out once from the formula or the inputs that a source gives.

No print has the values themselves: ``expected`` of a case was computed with all digits, apart from the program. Whose
source is this project has its own conventions in it.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from cases import cases, files, require_agreement, require_names
from few import together

from wood_xl.data.load import sources

FOLDER = Path(__file__).parent


@together("case", [pytest.param(case, id=case["id"]) for case in cases(FOLDER)])
def test_formula_gives_what_was_worked_out(case: dict[str, Any]) -> None:
    require_agreement(case, case["expected"])


def test_case_files_hold_together() -> None:
    require_names(FOLDER, {"id", "function", "inputs", "expected"})
    for document in files(FOLDER):
        assert document.keys() == {"source", "cases"}
        assert document["source"] in sources()
