"""The CSV tables with their descriptor, read by the standard's own library."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from frictionless import Package, validate

from wood_xl.demo import demo_names, demo_workbook
from wood_xl.pipeline import score_file
from wood_xl.results.data_package import DESCRIPTOR, data_package
from wood_xl.results.frames import csv_files
from wood_xl.schema.model import results_definition


@pytest.fixture(params=demo_names())
def folder(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    path = tmp_path / "season.xlsx"
    path.write_bytes(demo_workbook(request.param))
    results = score_file(path, None).results
    assert results is not None
    for name, text in {**csv_files(results), DESCRIPTOR: data_package(results)}.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def test_every_table_is_what_its_descriptor_says(folder: Path) -> None:
    report = validate(folder / DESCRIPTOR)
    assert report.flatten(["path", "type", "note"]) == []
    assert report.stats["tasks"] == sum(sheet.kind == "table" for sheet in results_definition().sheets)


def test_a_wrong_table_is_noticed(folder: Path) -> None:
    path = folder / "rates_per_cord.csv"
    path.write_text(path.read_text(encoding="utf-8").replace("buck,", "buck,many,", 1), encoding="utf-8")
    assert not validate(folder / DESCRIPTOR).valid


def test_units_stand_in_the_descriptor(folder: Path) -> None:
    package = Package(folder / DESCRIPTOR)
    fields = {field.name: field for field in package.get_resource("rates-per-cord").schema.fields}
    assert fields["worker_hours"].type == fields["worker_hours_low"].type == "number"
    assert fields["worker_hours"].custom["unit"] == "h/cord"
    assert fields["worker_hours_reason"].type == "string"
    assert json.loads((folder / DESCRIPTOR).read_text(encoding="utf-8"))["profile"] == "tabular-data-package"
