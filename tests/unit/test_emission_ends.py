"""Low and high ends of emissions and energy, against the doubts they come from, each by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest
from builders import Data, row, sessions_half, tables
from test_emission_study import season_of_six_cords

from wood_xl.data.load import value
from wood_xl.draws.figure import Figure
from wood_xl.ids import Recorded
from wood_xl.schema.words import words

Z = 1.959964
# An end read from 4096 draws of several inputs strays: sqrt(0.025 * 0.975 / 4096) of the draws, 2 % of its distance.
DRAWS_ERROR = 0.04
FUEL = (2.0, 2.3, 1.9)  # gallons; each session makes 6 cords, measured as stacks
OIL_SHARE_OF_CO2 = 10.69 / (50 * 8.78 + 10.69)
TAPE = 3 * 0.005

Rows = list[dict[str, Any]]


def three_sessions(**items: Any) -> Data:
    """The case with three sessions of each method, on days of their own."""
    data = season_of_six_cords(solid_fraction=0.64, grid_intensity=0.4, gwp_set="AR5", **items)
    data["sessions"] = [
        {**session, "session": f"{session['session']}{i}", "elapsed_time": 600 + 20 * i}
        | ({"fuel_used": FUEL[i]} if "fuel_used" in session else {})
        | ({"electricity_used": 10 + i} if "electricity_used" in session else {})
        for session in data["sessions"]
        for i in range(3)
    ]
    for name, mass in (("Chain saw", 5.5), ("Splitter", 200)):
        next(tool for tool in data["tools"] if tool["tool"] == name)["mass"] = mass
    stack = {key: number for key, number in data["stacks"][0].items() if key != "session"}
    data["stacks"] = [{"session": s["session"], **stack} for s in data["sessions"] for _ in range(6)]
    return data


def half(found: Figure) -> float:
    """Half the width of an interval by its log."""
    assert found.low is not None
    assert found.high is not None
    assert found.value is not None
    assert found.low < found.value < found.high
    return math.log(found.high / found.low) / 2


def scatter(method: str = "Saw") -> float:
    """Half the width that the scatter of its sessions alone leaves of a method's fuel."""
    return sessions_half(three_sessions(), method, Recorded.FUEL)


def of_co2() -> float:
    """Standard deviation of the log of a mix's CO2: gasoline and oil each have a doubt of their own."""
    return math.log(1.02) * math.hypot(1 - OIL_SHARE_OF_CO2, OIL_SHARE_OF_CO2)


def test_fuel_of_a_cord_has_the_scatter_of_the_sessions_and_the_tape() -> None:
    found = row(three_sessions(), "carriers", method="Saw")
    for key in ("gasoline", "two_stroke_oil"):
        assert half(found[key]) == pytest.approx(math.hypot(scatter(), Z * TAPE), rel=DRAWS_ERROR)
    assert words(found["diesel"].reason) == "it takes none"


def test_co2_of_a_cord_has_the_doubt_of_its_factor_besides() -> None:
    found = row(three_sessions(), "emissions_per_cord", method="Saw")["direct_co2"]
    assert half(found) == pytest.approx(math.hypot(scatter(), Z * TAPE, Z * of_co2()), rel=DRAWS_ERROR)


def test_co2_of_what_was_recorded_has_the_doubt_of_its_factor_alone() -> None:
    data = three_sessions()
    trial = row(data, "emissions", method="Saw", account="CO2 of burning fuel")["trial"]
    for figure in (trial, row(data, "session_emissions", session="A0")["direct_co2"]):
        assert half(figure) == pytest.approx(Z * of_co2(), rel=2e-3)


def test_a_trial_that_not_all_sessions_recorded_is_as_unsure_as_a_cord() -> None:
    data = three_sessions()
    del data["sessions"][0]["fuel_used"]
    found = row(data, "emissions", method="Saw", account="CO2 of burning fuel")
    assert half(found["trial"]) == pytest.approx(half(found["per_cord"]))
    assert half(found["trial"]) > 5 * Z * of_co2()


def test_a_year_is_as_unsure_as_a_cord() -> None:
    for found in tables(three_sessions()).tables["emissions"]:
        cord, year = found["per_cord"], found["year"]
        assert (year.low, year.value, year.high) == pytest.approx((6 * cord.low, 6 * cord.value, 6 * cord.high))


def test_methane_has_its_own_doubt() -> None:
    found = row(three_sessions(), "carriers", method="Split")
    for key, doubt in (("ch4", 1.5), ("n2o", 2.0)):
        assert half(found[key]) == pytest.approx(
            math.hypot(scatter("Split"), Z * TAPE, Z * math.log(doubt)), rel=DRAWS_ERROR
        )


def test_electricity_has_the_doubt_of_the_grid_beside_its_own() -> None:
    """A lift that cost nothing and so stands for no carbon: electricity alone."""
    data = three_sessions()
    found = row(data, "emissions_per_cord", method="Charge")["electricity"]
    kwh = row(data, "carriers", method="Charge")["electricity"]
    assert half(found) == pytest.approx(math.hypot(half(kwh), Z * math.log(1.05)), rel=DRAWS_ERROR)


def ends(figure: Figure) -> tuple[float | None, ...]:
    return figure.low, figure.value, figure.high


def test_a_sum_is_surer_than_its_parts_together() -> None:
    found = row(three_sessions(), "emissions_per_cord", method="Split")
    parts = [found[key] for key in ("direct_co2", "engine_gases", "upstream", "tools")]
    assert found["co2e"].low > math.fsum(part.low for part in parts)
    assert found["co2e"].high < math.fsum(part.high for part in parts)


def tool(data: Data, name: str) -> dict[str, Any]:
    return row(data, "worn_tools", tool=name)


def test_what_a_cord_wears_off_a_tool_is_as_unsure_as_the_tool_and_its_life() -> None:
    data = three_sessions()
    data["tools"][1]["life_years"] = 10  # within its range, which ends at 15
    found = tool(data, "Splitter")
    assert words(found["mass"].reason).startswith("as written")
    assert half(found["by_mass"]) == pytest.approx(Z * math.log(1.3), rel=1e-3)
    assert half(found["cords"]) > 0.3
    assert half(found["per_cord"]) > 0.3
    # a life may be half of what is written or half as long again: each side by itself
    per_cord, life = found["per_cord"], found["cords"]
    for far, near in (
        (math.log(per_cord.high / per_cord.value), math.log(life.value / life.low)),
        (math.log(per_cord.value / per_cord.low), math.log(life.high / life.value)),
    ):
        assert far == pytest.approx(math.hypot(half(found["by_mass"]), near), rel=2 * DRAWS_ERROR)
    assert found["per_cord"].value == pytest.approx(found["by_mass"].value / found["cords"].value)


def test_a_usual_mass_is_in_doubt_and_its_carbon_with_it() -> None:
    data = three_sessions(currency="NOK")
    del data["tools"][1]["mass"]
    found, usual = tool(data, "Splitter"), math.log(500 / 50) / 2
    assert half(found["mass"]) == pytest.approx(usual, rel=1e-3)
    assert half(found["by_mass"]) == pytest.approx(math.hypot(usual, Z * math.log(1.3)), rel=DRAWS_ERROR)
    assert words(found["by_price"].reason) == "for prices in USD only"


def test_carbon_by_price_has_the_doubt_of_industry_and_price() -> None:
    known = three_sessions()
    price = math.log(1.3 / 0.7) / 2
    assert half(tool(known, "Chain saw")["by_price"]) == pytest.approx(
        math.hypot(price, Z * math.log(value("doubt.embodied_price"))), rel=DRAWS_ERROR
    )


def test_energy_of_a_steel_tool_is_as_unsure_as_its_carbon() -> None:
    data = three_sessions()
    energy, carbon = row(data, "bought_energy", method="Split"), row(data, "emissions_per_cord", method="Split")
    assert half(energy["tools"]) == pytest.approx(half(carbon["tools"]), rel=DRAWS_ERROR)


def test_particles_never_exceed_the_oil_and_nitrogen_oxides_have_no_ends() -> None:
    data = three_sessions()
    found = row(data, "air_pollutants", method="Saw")
    for key in ("thc", "co"):
        assert half(found[key]) == pytest.approx(math.hypot(scatter(), Z * TAPE, Z * math.log(1.5)), rel=DRAWS_ERROR)
    oil = row(data, "carriers", method="Saw")["two_stroke_oil"]
    assert words(found["pm"].basis) == "bounded by the oil in the mix"
    assert 0.9 * 870 * oil.high < found["pm"].high <= 870 * oil.high  # in draws of few particles they bind less
    doubt = math.hypot(scatter(), Z * TAPE, Z * math.log(2.0))
    assert math.log(found["pm"].value / found["pm"].low) == pytest.approx(doubt, rel=DRAWS_ERROR)
    assert words(found["nox"].reason) == "no range is published for nitrogen oxides of small engines"
    four_stroke = row(data, "air_pollutants", method="Split")["pm"]
    assert half(four_stroke) == pytest.approx(doubt, rel=DRAWS_ERROR)


def wooded(**items: Any) -> Data:
    data = three_sessions(appliance="certified stove", **items)
    data["wood"] = [{"species": "White oak", "moisture": 20, "moisture_basis": "wet"}]
    data["units"]["wood"] = {"moisture": "%"}
    return data


def test_smoke_of_a_cord_has_the_doubt_of_its_wood_and_of_its_kind() -> None:
    data = wooded()
    dry = half(row(data, "heat", species="White oak")["dry_mass"])
    cord = row(data, "wood_burning", what="One cord")
    assert half(cord["smoke"]) == pytest.approx(math.hypot(dry, Z * math.log(1.6)), rel=DRAWS_ERROR)
    assert half(cord["n2o"]) == pytest.approx(math.hypot(dry, Z * math.log(2.0)), rel=DRAWS_ERROR)
    assert cord["biogenic"].high / cord["biogenic"].value < cord["biogenic"].value / cord["biogenic"].low
    assert (words(cord["cords"].reason), words(row(data, "wood_burning", what="A usual year")["cords"].reason)) == (
        "exact", "as written",
    )  # fmt: skip


def test_methane_of_a_stove_lies_within_a_factor_of_three() -> None:
    found = row(wooded(), "wood_burning", what="One cord")["ch4"]
    assert 2.5 < found.value / found.low < 3.0
    assert 2.5 < found.high / found.value < 3.2
    both = row(wooded(), "wood_burning", what="One cord")["co2e"]
    assert half(both) < half(found)


def test_usual_solid_fraction_cancels_in_the_burning_of_wood_that_was_measured_as_cuts() -> None:
    """More wood in a stack makes a heavier cord, and fewer cords of the same cuts."""
    found = []
    for data in (wooded(), wooded()):
        data["stacks"] = []
        data["cuts"] = [{"session": s["session"], "diameter": 20, "cuts": 10} for s in data["sessions"]]
        if not found:
            del data["season"]["solid_fraction"]
        rows = {one["what"]: one["biogenic"] for one in tables(data).tables["wood_burning"]}
        found.append((half(rows["One cord"]), half(rows["The season's wood"])))
    (usual_cord, usual_season), (written_cord, written_season) = found
    assert usual_cord > 1.1 * written_cord
    assert usual_season == pytest.approx(written_season, rel=1e-6)


def fed(**items: Any) -> dict[str, Any]:
    data = three_sessions(food_counted="net of rest", **items)
    data["people"] = [{"person": "Ada", "mass": 70}]
    data["units"]["people"] = {"mass": "kg"}
    for session in data["sessions"]:
        session["person"] = "Ada"
    return row(data, "food", method="Saw")


def test_food_goes_with_the_effort_and_its_carbon_with_what_food_emits_besides() -> None:
    found = fed(food_fossil_ratio=5)
    for key in ("chosen", "production", "chain"):
        assert half(found[key]) == pytest.approx(half(found["effort"]))
    assert half(found["co2e"]) == pytest.approx(
        math.hypot(half(found["effort"]), math.log(4.0 / 1.4) / 2), rel=DRAWS_ERROR
    )


def test_heat_for_energy_is_that_of_the_method_in_a_combination_of_it_alone() -> None:
    data = wooded()
    data["methods"] = data["methods"][:1]
    data["sessions"] = [session for session in data["sessions"] if session["method"] == "Saw"]
    data["stacks"] = [stack for stack in data["stacks"] if stack["session"].startswith("A")]
    own, combination = row(data, "energy_return", method="Saw"), tables(data).tables["combinations_year"][0]
    assert ends(combination["energy_return"]) == ends(own["return_bought"])
    assert ends(combination["bought"]) == pytest.approx([6 * (end or 0.0) for end in ends(own["bought"])], rel=1e-6)
    heat = half(row(data, "heat", species="White oak")["delivered_heat"])
    assert half(own["return_bought"]) == pytest.approx(math.hypot(half(own["bought"]), heat), rel=DRAWS_ERROR)


def test_heat_for_energy_of_several_tasks_is_surer_than_the_least_sure_of_them() -> None:
    data = wooded()
    combination = tables(data).tables["combinations_year"][0]
    own = {r["method"]: r for r in tables(data).tables["energy_return"]}
    assert combination["energy_return"].low < combination["energy_return"].value < combination["energy_return"].high
    assert half(combination["energy_return"]) < max(half(own[name]["return_bought"]) for name in ("Saw", "Split"))
    total = math.fsum(own[name]["bought"].value for name in ("Saw", "Split", "Charge"))
    assert combination["bought"].value == pytest.approx(6 * total)
