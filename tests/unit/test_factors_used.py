"""The sheet Factors used: what a season read of the published figures, and nothing that tells of a body."""

from __future__ import annotations

from typing import Any

import pytest
from builders import checked, small_season

from wood_xl.data.load import Species, constants, reading, species_named, value
from wood_xl.pipeline import computed_again
from wood_xl.results.document import read_of_bodies
from wood_xl.results.explain import explanation
from wood_xl.results.share import shared

MEASURED = ("basic_specific_gravity", "green_moisture_dry_pct", "bark_pct", "bark_specific_gravity")
TOLD = {"display_units": "us", "input_sha256": "0" * 64, "template_version": "2.0"}


def results_of(data: dict[str, Any]) -> dict[str, Any]:
    found = computed_again(checked(data), TOLD)
    assert found is not None
    return found


def ids(results: dict[str, Any]) -> set[str]:
    return {row["id"] for row in results["factors"]}


def test_what_is_read_is_heard_by_all_who_listen() -> None:
    with reading() as outer:
        value("unit.kcal")
        with reading() as inner:
            value("unit.foot")
        value("unit.us_gallon")
    value("interval.level")
    assert inner == {"unit.foot"}
    assert outer == {"unit.kcal", "unit.foot", "unit.us_gallon"}


def test_an_outer_listener_that_has_heard_nothing_yet_goes_on_listening() -> None:
    with reading() as outer:
        with reading() as inner:
            pass
        value("unit.us_gallon")
    assert (inner, outer) == (set(), {"unit.us_gallon"})


def test_a_season_lists_what_it_read_whatever_was_computed_before() -> None:
    first, without_engine = results_of(small_season()), small_season()
    without_engine["tools"][1].update(kind="hand")
    by_hand = results_of(without_engine)
    again = results_of(small_season())
    assert first["factors"] == again["factors"]
    assert len(first["factors"]) < len(constants()) - 100
    engine = {one for one in ids(first) if one.startswith(("small_engine.", "two_stroke.", "cost.life_h."))}
    assert engine
    assert not {one for one in ids(by_hand) if one.startswith("small_engine.")}
    assert {"model.draws", "interval.level"} <= ids(first) & ids(by_hand)


def test_what_makes_the_ends_stands_beside_each_factor() -> None:
    """So that anybody can draw it: its range, or the factor, listed too, that tells how far its kind may be off."""
    rows = {row["id"]: row for row in results_of(small_season())["factors"]}
    for name, row in rows.items():
        if name in constants():
            one = constants()[name]
            assert (row["low"], row["high"], row["doubt"]) == (one.low, one.high, one.doubt or ""), name
        assert not row["doubt"] or row["doubt"] in rows, name
    assert any(row["low"] is not None for row in rows.values())
    assert rows["solid_fraction.ranked_split"]["doubt"] == "solid_fraction.sd"


def test_a_factor_that_is_not_listed_moves_no_figure(monkeypatch: Any) -> None:
    results = results_of(small_season())
    unread = {key for key in constants() if key not in ids(results)}
    changed = {key: one._replace(value=1.5 * one.value) if key in unread else one for key, one in constants().items()}
    monkeypatch.setattr("wood_xl.data.load.constants", lambda: changed)
    assert results_of(small_season())["figures"] == results["figures"]


def test_a_figure_of_a_tree_moves_the_results_where_it_is_listed_and_nowhere_else(monkeypatch: Any) -> None:
    data = small_season()
    maple = {"species": "maple, sugar", "share": 60, "moisture": 25, "moisture_basis": "dry"}
    data["wood"] = [maple, {"species": "beech, European", "share": 40}]
    results = results_of(data)
    listed = {one for one in ids(results) if one.startswith("species.")}
    assert {one.split(".")[1] for one in listed} == {"maple_sugar", "beech_european"}

    def moved(where_listed: bool) -> list[Any]:
        def tree_of(name: str) -> Species:
            tree = species_named(name)
            assert tree is not None
            known = {key: getattr(tree, key) for key in MEASURED if getattr(tree, key) is not None}
            chosen = {key for key in known if (tree.figure_id(key) in listed) is where_listed}
            return tree._replace(**{key: 0.9 * number for key, number in known.items() if key in chosen})

        monkeypatch.setattr("wood_xl.warmth.cord.species_named", tree_of)
        found: list[Any] = results_of(data)["figures"]
        return found

    assert moved(where_listed=False) == results["figures"]
    assert moved(where_listed=True) != results["figures"]


def test_each_factor_that_is_listed_can_be_explained() -> None:
    for row in results_of(small_season())["factors"]:
        text = explanation(row["id"])
        assert text is not None, row["id"]
        assert text.startswith(f"{row['id']}: ")


@pytest.mark.slow
def test_a_shared_copy_lists_the_same_of_bodies_whoever_worked() -> None:
    """Which equation was read tells of a sex, a heart rate, an age that was not written."""
    results, data = results_of(small_season()), small_season()
    data["people"] = [{"person": "Ada"}]
    others = results_of(data)
    bodies = read_of_bodies(())
    assert ids(results) & bodies != ids(others) & bodies
    copies = ids(shared(results)), ids(shared(others))
    assert copies[0] & bodies == copies[1] & bodies == bodies
    assert ids(results) <= copies[0]
