"""Hash of the season document, and the last check of the results."""

from __future__ import annotations

import hashlib
import json
from importlib.resources import files
from pathlib import Path

import pytest
from builders import results_of, small_season
from few import together

from wood_xl.data.load import published_files
from wood_xl.errors import DefinitionFault
from wood_xl.notes import document
from wood_xl.notes.document import SeasonDocument
from wood_xl.results import document as results_document
from wood_xl.results.document import factor_edition
from wood_xl.schema.model import season_definition
from wood_xl.schema.validity import require_valid


@pytest.mark.parametrize("at_a_time", [1, 2, 3, 1000])
def test_hash_is_that_of_the_whole_text(at_a_time: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(document, "ROWS_HASHED", at_a_time)
    data = small_season() | {"heart_trace": [{"session": "Å", "elapsed": i, "heart_rate": 90.5} for i in range(7)]}
    text = json.dumps(data, sort_keys=True, separators=(",", ":"))
    assert SeasonDocument(data, {}).sha256() == hashlib.sha256(text.encode()).hexdigest()


@pytest.mark.parametrize("row", [4.5, "4", True, None])
def test_row_numbers_that_are_none_are_refused(row: object) -> None:
    results = results_of(small_season(), "us")
    require_valid(results)
    results["input_rows"]["sessions"] = [4, row]
    with pytest.raises(DefinitionFault, match="results: input_rows/sessions/1"):
        require_valid(results)


@together(
    ("units", "system"),
    [
        ({"season": {"stick_length": "in"}, "cuts": {"diameter": "cm"}}, "us"),
        ({"season": {}, "cuts": {"diameter": "in"}, "stacks": {"height": "m"}}, "us"),
        ({"season": {}, "stacks": {"height": "ft"}}, "us"),
        ({"season": {"stick_length": "cm"}, "cuts": {"diameter": "in"}}, "metric"),
        ({}, "metric"),
    ],
)
def test_results_are_shown_in_the_units_of_the_first_length_that_can_be_read(
    units: dict[str, dict[str, str]], system: str
) -> None:
    assert SeasonDocument({"units": units}, {}).system == system


def test_money_without_a_currency_is_called_money() -> None:
    price = season_definition().sheet("tools").column("price")
    assert (price.label("money", ""), price.label("money", "NOK")) == ("money", "NOK")


def test_ends_have_five_digits_and_areas_the_unit_shown() -> None:
    us, metric = results_of(small_season(), "us"), results_of(small_season())
    area = metric["sessions"][1]["sawn_area"]["value"]
    assert area == pytest.approx(20 * 0.0706858347)  # 20 cuts of 30 cm
    assert us["sessions"][1]["sawn_area"]["value"] == pytest.approx(area / 0.3048**2)
    ends = [row["low"] for row in metric["figures"] if row["low"] and row["low"] != row["value"]]
    assert all(end == float(f"{end:.5g}") for end in ends)
    assert any(end != float(f"{end:.4g}") for end in ends)


def test_figures_are_the_same_edition_however_a_system_ends_its_lines(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As a checkout on Windows has them: results would not be what is computed again elsewhere."""
    for name in published_files():
        data = files("wood_xl.data").joinpath(name).read_bytes()
        (tmp_path / name).write_bytes(data.replace(b"\n", b"\r\n"))
    edition = factor_edition()
    monkeypatch.setattr(results_document, "files", lambda _: tmp_path)
    assert factor_edition.__wrapped__() == edition
