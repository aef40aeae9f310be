"""What an hour saved costs, in words, with the doubt that goes with it."""

from __future__ import annotations

from typing import Any

from sample_results import results_with_ids

from wood_xl.results.answers import answers


def sentence(**changes: dict[str, Any]) -> str:
    document = results_with_ids()
    for key, cell in changes.items():
        document["break_even"][0][key].update(cell)
    found = answers(document, document["season"], [], system="us")
    return next((text for text in found if text.startswith("What an hour saved costs")), "")


def test_a_method_that_never_pays_in_cash() -> None:
    assert "1.96 USD (in cash it never pays) with Bucking, chain saw instead of Bucking, bow saw" in sentence()
    assert "Splitting" not in sentence()
    assert "are estimates" in sentence()


def test_a_method_that_pays_above_a_volume() -> None:
    text = sentence(volume_cash={"value": 12.86, "unit": "cord", "basis": "pays above it"})
    assert "1.96 USD (in cash both cost the same at 12.9 cords a year: it pays above it)" in text


def test_a_method_that_is_better_by_both() -> None:
    assert ": nothing with Bucking, chain saw" in sentence(hour_saved_cost={"value": -0.4, "high": -0.1})
    assert ": nothing, or as much as 5 USD, with Bucking, chain saw" in sentence(
        hour_saved_cost={"value": -0.4, "high": 5.2}
    )
    assert ": one cannot tell yet with Bucking" in sentence(hour_saved_cost={"value": -0.4, "high": None})


def test_without_a_pair_nothing_is_said() -> None:
    assert sentence(hour_saved_cost={"value": None}) == ""
