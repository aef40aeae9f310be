"""The CSV tables with their descriptor, read by the standard's own library."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import pytest
from builders import demo_results, demo_shared
from few import few

from wood_xl.demo import demo_names
from wood_xl.results.csv_package import DESCRIPTOR, csv_package, file_names

TABLES = ["figures", "inputs", "plan", "problems", "season", "sessions"]


@pytest.fixture(params=few(demo_names(), "hill_farm_us"))
def results(request: pytest.FixtureRequest) -> dict[str, Any]:
    return demo_results(request.param)


def written(results: dict[str, Any], folder: Path) -> Path:
    package = csv_package(results)
    assert list(package) == file_names()
    for name, data in package.items():
        (folder / name).write_bytes(data)
    return folder


def rows(folder: Path, table: str) -> list[dict[str, str]]:
    with (folder / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("is_shared", [False, True])
@pytest.mark.parametrize("name", few(demo_names(), "hill_farm_us"))
def test_every_table_is_what_its_descriptor_says(name: str, is_shared: bool, tmp_path: Path) -> None:
    folder = written((demo_shared if is_shared else demo_results)(name), tmp_path)
    from frictionless import Package, validate

    report = validate(folder / DESCRIPTOR)
    assert report.flatten(["path", "type", "note"]) == []
    assert sorted(resource.name for resource in Package(folder / DESCRIPTOR).resources) == TABLES
    assert bool(rows(folder, "plan")) is not is_shared


def test_the_plan_says_who_stands_in_sight_and_what_to_mind(tmp_path: Path) -> None:
    plan = rows(written(demo_results("hill_farm_us"), tmp_path), "plan")
    sawn = [row for row in plan if row["method"] == "chain saw bucking"]
    assert {(row["person"], row["in_sight"]) for row in sawn} == {("Jon", "Mara"), ("Mara", "Jon")}
    young = [row["mind"].split("; ") for row in plan if row["person"] == "Eli"]  # he is 16, and stacks alone
    assert young
    assert all({"somebody within call", "an adult near"} <= set(mind) for mind in young)
    assert {row["method"] for row in plan if "swing" in row["mind"]} == {"maul splitting"}
    together = [row["mind"] for row in plan if (row["date"], row["person"]) == ("2026-03-28", "Jon")]
    assert together == ["ear protectors; nobody in line with the swing"]


def test_a_wrong_table_is_noticed(results: dict[str, Any], tmp_path: Path) -> None:
    folder = written(results, tmp_path)
    path = folder / "sessions.csv"
    first, second, *others = path.read_text(encoding="utf-8").splitlines()
    path.write_text("\n".join((first, second, second, *others)), encoding="utf-8")
    from frictionless import validate

    assert not validate(folder / DESCRIPTOR).valid


def test_units_and_keys_stand_in_the_descriptor_and_money_by_its_code(
    results: dict[str, Any], tmp_path: Path
) -> None:
    folder = written(results, tmp_path)
    from frictionless import Package

    package = Package(folder / DESCRIPTOR)
    sessions = package.get_resource("sessions").schema
    fields = {field.name: field for field in sessions.fields}
    assert (fields["worker_hours"].type, fields["worker_hours"].custom["unit"]) == ("number", "h")
    assert sessions.primary_key == ["session"]
    assert package.get_resource("figures").schema.primary_key == ["id"]
    currency = results["season"]["currency"]
    cash = next(row for row in rows(folder, "figures") if row["measure"] == "cash")
    assert cash["unit"].startswith(currency)
    prices = [row for row in rows(folder, "inputs") if (row["sheet"], row["column"]) == ("tools", "price")]
    assert prices
    assert {row["unit"] for row in prices} == {currency}
    assert json.loads((folder / DESCRIPTOR).read_text(encoding="utf-8"))["profile"] == "tabular-data-package"


def test_each_figure_and_note_has_its_row(results: dict[str, Any], tmp_path: Path) -> None:
    folder = written(results, tmp_path)
    assert [row["id"] for row in rows(folder, "figures")] == [row["id"] for row in results["figures"]]
    noted = [row for row in rows(folder, "inputs") if row["sheet"] == "sessions"]
    assert {row["row"] for row in noted} == {str(number) for number in results["input_rows"]["sessions"]}
    assert len(noted) == sum(len(row) for row in results["inputs"]["sessions"])
