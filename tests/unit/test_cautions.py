"""Gear and cautions: for every kind of tool and every task, from one table, and above what proposes work."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any, get_args

import pytest
from builders import demo_results, demo_shared
from few import few, together

from wood_xl.data import load
from wood_xl.data.cautions import PARTS, cautions, cautions_for, gear_for
from wood_xl.data.trade import tasks, tool_kinds
from wood_xl.demo import demo_names
from wood_xl.results.first_cautions import first_cautions, proposed_methods
from wood_xl.schema.model import season_definition

Row = dict[str, Any]
NO_SOURCE = "common practice, no source"
KINDS, TASKS = tuple(tool_kinds()), tuple(tasks())
MUST_SPEAK_OF = {
    "minors": "under 18",
    "tension": "roll",
    "footing": "slope",
    "distance": "reach",
    "carrying": "sharpen",
    "refueling": "cool",
    "battery": "battery out",
    "cords": "wet",
    "hydraulics": "leak",
    "stacks": "stack",
    "carrying_gear": "never try to stop one that rolls",
    "splitter_gear": "the same person places the wood and works the control",
    "bleeding": "emergency help",
    "hot_weather": "heat",
    "cold_weather": "slurred speech",
    "ashes": "embers",
    "kickback": "nose of the bar",
    "alone": "never work alone",
    "felling": "trained fellers",
    "exhaust": "open air",
    "wedge": "mushroomed",
    "dust": "mask",
    "noise": "ear protectors",
    "vibration": "fingers",
    "lifting": "twist",
    "heart": "doctor",
    "fire": "burn bans",
    "chimney": "alarms",
    "moving_wood": "pests",
    "saw_training": "trained person",
}


def test_kinds_and_tasks_are_those_that_a_person_can_choose() -> None:
    assert season_definition().column("tools.kind").choices == KINDS
    assert season_definition().column("methods.task").choices == TASKS


@together("task", TASKS)
@together("kind", KINDS)
def test_every_kind_has_its_gear_and_cautions_at_every_task(kind: str, task: str) -> None:
    worn = [gear.part for gear in gear_for([kind], task)]
    assert worn == [part for part in PARTS if part in worn]
    needed = {"hands", "legs", "feet"}
    if task not in ("haul", "stack"):
        needed |= {"eyes"}
    if kind != "hand":
        needed |= {"eyes", "ears"}
    if task in ("fell", "limb") or (kind != "hand" and task == "buck"):
        needed |= {"head"}
    assert needed <= set(worn)
    rows = cautions_for([kind], task)
    assert any(row.wear for row in rows)
    assert any(row.gravity for row in rows)
    ids = {caution.id for caution in rows}
    assert {"heart", "alone", "bleeding", "minors", "footing", "distance", "hot_weather", "cold_weather"} <= ids
    assert ("felling" in ids) == (task == "fell")
    assert ("tension" in ids) == (task in ("fell", "limb", "buck"))
    assert ("kickback" in ids) == (kind != "hand" and task in ("fell", "limb", "buck"))
    assert ("exhaust" in ids) == ("refueling" in ids) == (kind.startswith("gasoline") or kind == "diesel")
    assert ("battery" in ids) == (kind == "battery")
    assert ("cords" in ids) == (kind == "mains")
    assert ("stacks" in ids) == (task in ("haul", "stack"))
    assert not ids & {"ashes", "chimney", "moving_wood"}, "they are about no task"


def test_gear_of_a_powered_saw_is_in_full_and_graver_than_that_of_tools_beside_it() -> None:
    words = dict.fromkeys(PARTS, "")
    words |= {gear.part: gear.text for gear in gear_for(["hand", "gasoline two-stroke"], "buck")}
    assert words == {
        "head": "helmet",
        "eyes": "face screen",
        "ears": "ear protectors",
        "hands": "gloves",
        "legs": "cut-resistant legwear from thigh to boot",
        "feet": "cut-resistant boots",
    }
    assert {gear.caution.source for gear in gear_for(["battery"], "limb")} == {"osha_logging"}
    assert {gear.caution.known for gear in gear_for(["hand"], "buck")} == {NO_SOURCE}


def test_a_tool_that_is_not_known_counts_as_every_kind() -> None:
    assert gear_for([None], "buck") == gear_for(KINDS, "buck") == gear_for([], "buck")
    assert gear_for(["hand", None], "split")[1].text == "ear protectors"
    assert gear_for([], "stack") == gear_for(["hand"], "stack"), "no tool: bare hands"


def test_every_compulsory_caution_is_there() -> None:
    texts = {caution.id: caution.text.lower() for caution in cautions()}
    assert [key for key, words in MUST_SPEAK_OF.items() if words not in texts[key]] == []


def test_every_caution_has_a_source_or_says_that_it_has_none() -> None:
    for caution in cautions():
        assert caution.source in load.sources() or (caution.source == "" and caution.known == NO_SOURCE)
        assert bool(caution.where) == bool(caution.source)
        assert "!" not in caution.text
        assert not re.search(r"fuell|grey|colour|mould|metre", caution.text), "American English"


def test_rows_hold_together() -> None:
    for caution in cautions():
        assert caution.known in get_args(load.Known)
        assert (caution.known == NO_SOURCE) == (caution.source == "")
        assert [part for part in PARTS if part in caution.wear] == list(caution.wear)
        assert (caution.gravity is None) == (caution.short == ""), "a place on the first page has a short form"
        assert {*caution.kinds} <= {*KINDS}
        assert {*caution.tasks} <= {*TASKS}


def notes(*methods: tuple[str, str, str | None]) -> Row:
    """Notes with methods of a name, a task and a kind of tool; None for a method without a tool."""
    return {
        "tools": [{"tool": f"tool of {name}", "kind": kind} for name, _, kind in methods if kind],
        "methods": [
            {"method": name, "task": task, **({"tool_1": f"Tool of {name}"} if kind else {})}
            for name, task, kind in methods
        ],
    }


TRIED = notes(
    ("by saw", "buck", "battery"),
    ("by bow", "buck", "hand"),
    ("by maul", "split", "hand"),
    ("by ram", "split", "mains"),
    ("stacking", "stack", None),
)


@together(
    ("methods", "ids"),
    [
        ({"by saw", "by ram", "by maul", "by bow", "stacking"}, ["saw_gear", "splitter_gear", "axe_gear"]),
        ({"by bow", "by maul", "stacking"}, ["axe_gear", "hand_saw_gear", "carrying_gear"]),
        ({"by ram"}, ["splitter_gear"]),
        ({"stacking"}, ["carrying_gear"]),
        (set(), ["saw_gear", "splitter_gear", "axe_gear"]),
    ],
)
def test_the_gravest_cautions_of_the_proposed_tools_and_the_heart_come_first(
    methods: set[str], ids: list[str]
) -> None:
    rows = first_cautions(TRIED, methods)
    assert [row["id"] for row in rows] == [*ids, "heart", "no_figure"]
    texts = {caution.id: caution.text for caution in cautions()}
    assert [row["text"] for row in rows[:-1]] == [texts[row["id"]] for row in rows[:-1]]
    assert rows[-1]["text"].startswith("No figure here counts the risk of injury.")


def test_a_felling_method_has_its_caution_first() -> None:
    rows = first_cautions(notes(("felling", "fell", "gasoline two-stroke")), {"felling"})
    assert [row["id"] for row in rows][:2] == ["felling", "saw_gear"]
    assert "trained fellers" in rows[0]["text"]


def test_a_caution_without_gear_takes_no_place_from_the_gear_of_three_tools() -> None:
    tried = notes(
        ("felling", "fell", "gasoline two-stroke"), ("by maul", "split", "hand"), ("by ram", "split", "mains")
    )
    ids = [row["id"] for row in first_cautions(tried, {"felling", "by maul", "by ram"})]
    assert ids == ["felling", "saw_gear", "splitter_gear", "axe_gear", "heart", "no_figure"]


@pytest.mark.parametrize("kind", [None, "petrol"])
def test_a_tool_without_a_kind_that_can_be_read_gets_the_gravest(kind: str | None) -> None:
    found = notes(("sawing", "buck", kind or "hand"))
    found["tools"] = [{"tool": "tool of sawing", "kind": kind}] if kind else []
    assert first_cautions(found, {"sawing"})[0]["id"] == "saw_gear"


def test_methods_of_verdicts_winners_and_plan_are_proposed() -> None:
    tables = {
        "verdicts": [{"choice": "a", "task": "buck"}, {"choice": "", "task": "split"}],
        "rates_per_cord": [
            {"method": "a", "task": "buck", "sessions_n": 1},
            {"method": "z", "task": "buck", "sessions_n": 2},
            {"method": "not told apart", "task": "split", "sessions_n": 2},
            {"method": "not timed", "task": "buck", "sessions_n": 0},
        ],
        "winners": [{"method": ("a", "c")}, {"method": ("b",)}, {"method": ()}],
        "plan_mix": [],
        "trials": [],
    }
    asked_for = {"not told apart", "not timed"}
    assert proposed_methods(tables) == {"a", "b", "c"} | asked_for
    tables["plan_mix"] = [{"method": "e"}]
    tables["trials"] = [{"first": "f", "then": "g"}]
    assert proposed_methods(tables) == {"a", "b", "c", "e", "f", "g"} | asked_for


@pytest.mark.parametrize("name", few(demo_names(), "hill_farm_us"))
def test_results_have_them_above_the_answer_and_a_shared_copy_has_them_too(name: str, tmp_path: Path) -> None:
    results = demo_results(name)
    for document in (results, demo_shared(name)):
        rows = document["first_cautions"]
        assert [row["id"] for row in rows] == ["saw_gear", "splitter_gear", "axe_gear", "heart", "no_figure"]
        keys = list(document)
        assert keys.index("first_cautions") < min(map(keys.index, ("verdicts", "combinations", "plan")))
        full = {row["id"]: row for row in document["cautions"]}
        assert [full[row["id"]]["text"] for row in rows[:-1]] == [row["text"] for row in rows[:-1]]
        assert len(full) == len(cautions())
        assert all(row["source"] == "none" or ": " in row["source"] for row in full.values())
