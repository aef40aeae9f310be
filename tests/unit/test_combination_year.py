"""Ways of the whole job over a year: the same as per cord times the cords, and the heat for the energy bought."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from builders import Data, demo_results, demo_shared, small_season, tables

from wood_xl.demo import demo_names
from wood_xl.ids import Strain
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import words

Rows = list[dict[str, Any]]


def season() -> Data:
    data = small_season()
    data["methods"].append({"method": "By axe", "task": "split", "tool_1": "Bow saw"})
    data["sessions"].append({"session": "D", "date": "2026-03-04", "method": "By axe", "elapsed_time": 60})
    data["stacks"].append({"session": "D", "height": 1.0, "length": 1.0})
    data["wood"] = [{"species": "ash, white", "moisture": 20, "moisture_basis": "wet"}]
    data["units"]["wood"] = {"moisture": "%"}
    data["season"]["appliance"] = season_definition().column("season.appliance").choices[0]
    return data


def found(data: Data) -> dict[str, Rows]:
    return tables(data).tables


def test_energy_bought_is_the_sum_over_the_methods_and_heat_is_told_for_it() -> None:
    data = season()
    data["tools"][1]["mass"] = 5
    data["units"]["tools"]["mass"] = "kg"
    both = found(data)
    bought = {row["method"]: row["bought"].value for row in both["bought_energy"]}
    cords = 10 / 3.624556363776
    by_saw = next(row for row in both["combinations_year"] if "By chain saw" in row["strain"])
    assert by_saw["bought"].value == pytest.approx(cords * (bought["By chain saw"] + bought["By axe"]))
    heat = both["energy_return"][0]["delivered_heat"].value
    assert by_saw["energy_return"].value == pytest.approx(heat / (bought["By chain saw"] + bought["By axe"]))


def test_strain_is_the_gravest_flag_of_each_method() -> None:
    data = season()
    data["sessions"][0]["mean_heart_rate"] = 160
    data["sessions"][0]["elapsed_time"] = 200
    both = found(data)
    flag = next(row["strain"] for row in both["strain"] if row["session"] == "A")
    assert flag == "very high"
    told = {row["strain"] for row in both["combinations_year"] if row["methods"]}
    assert {text.split("; ")[0] for text in told} == {
        "By bow saw: not known, and very high where it is known",
        "By chain saw: not known",
    }
    assert {row["strain"] for row in both["strain"]} <= {words(one) for one in Strain}


def test_shared_results_do_not_tell_of_strain(tmp_path: Path) -> None:
    results = demo_results(demo_names()[0])
    assert all(row["strain"] for row in results["combinations_year"])
    assert {row["strain"] for row in demo_shared(demo_names()[0])["combinations_year"]} == {""}
