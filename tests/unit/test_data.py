"""The published figures: complete, sourced, and refused when they do not hold together."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, get_args

import pytest
from few import together
from test_architecture import TOPICS

from wood_xl.data import load
from wood_xl.data.cautions import cautions
from wood_xl.data.trade import tasks
from wood_xl.errors import DefinitionFault
from wood_xl.records import StackForm
from wood_xl.schema.model import results_definition, season_definition

ROOT = Path(__file__).parents[2]
OWN_SOURCES = ("cost_reference", "how_sure_defaults", "wood_and_heat_defaults", "wood_xl_definitions")
CACHED: tuple[Callable[[], Any], ...] = (
    load.sources,
    load.constants,
    load.species,
    load.activities,
)


def test_exact_units_agree_with_each_other() -> None:
    assert load.value("cord.volume_m3") == pytest.approx(load.value("cord.volume") * load.value("unit.foot") ** 3)
    assert load.value("unit.us_gallon") == pytest.approx(231 * (load.value("unit.foot") * 100 / 12) ** 3 / 1000)


def test_defaults_that_the_schema_names_exist() -> None:
    for definition in (season_definition(), results_definition()):
        for sheet in definition.sheets:
            for column in sheet.columns:
                if column.default_from:
                    assert load.constant(column.default_from)
                assert set(column.sources) <= load.sources().keys(), column.ref


def test_every_status_and_range_is_kept() -> None:
    for constant in load.constants().values():
        assert constant.known in get_args(load.Known)
        assert constant.title
        assert constant.where
        assert constant.id == constant.id.lower()
        if constant.known == "assumption":
            assert constant.source in OWN_SOURCES
    assert (load.constant("cost.life_h.two_stroke").low, load.constant("cost.life_h.two_stroke").high) == (56, 1000)


def test_a_pair_of_limits_is_one_entry_and_two_constants() -> None:
    lowest, highest = load.constant("gross.time_lowest"), load.constant("gross.time_highest")
    assert load.limits_of("gross.time") == (lowest.value, highest.value) == (0.4, 2.5)
    assert (lowest.title, lowest.known) == (highest.title.replace("highest", "lowest"), "assumption")
    assert load.json_entries(GROSS)["gross.time"]["lowest"] == 0.4
    assert [load.is_outside(number, "gross.time") for number in (0.39, 0.4, 2.5, 2.51)] == [True, False, False, True]


def test_every_source_is_used() -> None:
    used = {constant.source for constant in load.constants().values()}
    used |= {row.source for row in load.species()} | {activity.source for activity in load.activities().values()}
    used |= {caution.source for caution in cautions()}
    used |= {word for constant in load.constants().values() for word in re.findall(r"\w+", constant.note)}
    tests = [ROOT / "tests" / "published", ROOT / "tests" / "derived"]
    topics = [ROOT / "wood_xl" / topic for topic in TOPICS]
    used |= {path.stem for folder in tests for path in folder.glob("*.json")}
    for path in (path for folder in (*topics, *tests) for path in folder.rglob("*.*")):
        if path.suffix not in (".py", ".json"):
            continue
        used |= set(re.findall(r"\b[a-z][a-z0-9_]+\b", path.read_text(encoding="utf-8")))
    assert sorted(load.sources().keys() - used) == []


def test_the_hash_of_the_figures_leaves_out_no_file_of_them() -> None:
    """``unsure.csv``, which says how sure what is typed is, was not in it."""
    there = {path.name for path in Path(load.__file__).parent.iterdir() if path.suffix in (".csv", ".json")}
    assert there - {*load.published_files()} == {"cautions.json"}  # their texts stand in the results themselves


def test_no_fact_stands_under_two_ids() -> None:
    titles = [one.title for one in load.constants().values()]
    assert sorted(titles) == sorted(set(titles))


def test_species_cover_both_continents() -> None:
    rows = {row.name: row for row in load.species()}
    assert len(rows) == 92
    assert {rows[kind].basic_specific_gravity for kind in ("hardwood", "softwood")} == {0.55, 0.40}
    assert sum(row.source == "fia_ref_species" for row in load.species()) == 69
    oak = rows["oak, white"]
    assert (oak.botanical, oak.basic_specific_gravity, oak.green_moisture_dry_pct, oak.bark_pct, oak.group) == (
        "Quercus alba",
        0.60,
        68,
        16,
        "hardwood",
    )
    assert rows["beech, European"].basic_specific_gravity == 0.585
    assert rows["beech, European"].bark_pct is None
    assert rows["Douglas-fir, coast"].group == "softwood"
    assert load.species_names() == [row.name for row in load.species()]
    assert load.species_names() == sorted(load.species_names(), key=str.lower)


def test_species_values_are_possible() -> None:
    for row in load.species():
        assert 0.25 < row.basic_specific_gravity < 0.85
        assert row.green_moisture_dry_pct is None or 30 <= row.green_moisture_dry_pct <= 130
        assert row.bark_pct is None or 5 < row.bark_pct < 30
        assert row.bark_specific_gravity is None or 0.25 < row.bark_specific_gravity < 0.75
        assert (row.bark_pct is None) == (row.bark_specific_gravity is None)


def test_activity_codes_keep_their_zero_and_high_values() -> None:
    assert load.activities()["08020"].met == 6.5
    # A number column too narrow stores this one as 9.9 in several public tables.
    assert load.activities()["11250"].met_2011 == 17.5
    assert load.activities()["11250"].met_2024 == 17.5
    assert all(re.fullmatch(r"\d{5}", code) for code in load.activities())
    assert all(1.0 <= activity.met <= 18 for activity in load.activities().values())


def test_edition_of_2011_where_2024_was_not_seen() -> None:
    older, newer = load.activities()["11266"], load.activities()["11264"]
    assert (older.met, older.source, older.known) == (8.0, "compendium_2011", "verified (secondary)")
    assert (newer.met, newer.source, newer.known) == (5.0, "compendium_2024", "verified (secondary)")


@together(
    ("task", "hand", "by_power"),
    [
        ("fell", "11266", "08058"),
        ("limb", "11266", "11264"),
        ("haul", "08010", "08010"),
        ("buck", "11266", "11264"),
        ("split", "08020", "11615"),
        ("stack", "08010", "08010"),
    ],
)
def test_activity_of_each_task(task: str, hand: str, by_power: str) -> None:
    assert tuple(tasks()[task].activity(powered=powered).code for powered in (False, True)) == (hand, by_power)


def test_every_form_has_its_figure() -> None:
    for form in get_args(StackForm):
        assert 0 < load.value(f"solid_fraction.{form.replace(' ', '_')}") < 1


def test_unknown_names_are_faults() -> None:
    with pytest.raises(DefinitionFault, match=r"'cord\.weight'"):
        load.constant("cord.weight")


def test_figures_cannot_be_changed() -> None:
    with pytest.raises(TypeError):
        load.constants()["cord.volume"] = load.constant("unit.foot")  # type: ignore[index]


@pytest.fixture
def altered(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str, Callable[[str], str]], None]]:
    """Give one data file another text, with nothing kept from before or afterwards."""
    text_of = load._text

    def alter(name: str, change: Callable[[str], str]) -> None:
        changed = change(text_of(name))
        assert changed != text_of(name)
        monkeypatch.setattr(load, "_text", lambda asked: changed if asked == name else text_of(asked))

    def forget() -> None:
        for cached in CACHED:
            cached.cache_clear()  # type: ignore[attr-defined]

    forget()
    yield alter
    forget()


WOOD, GROSS = "constants_measures_and_wood.json", "constants_gross_errors.json"


def with_constant(**changes: Any) -> Callable[[str], str]:
    def change(text: str) -> str:
        document = json.loads(text)
        document["cord.volume"].update(changes)
        return json.dumps(document)

    return change


@pytest.mark.parametrize(
    ("name", "change", "read", "words"),
    [
        (WOOD, with_constant(source="nobody"), load.constants, "source 'nobody'"),
        (WOOD, with_constant(sorce="nobody"), load.constants, r"constant cord\.volume: missing.*\['sorce'\]"),
        (WOOD, with_constant(known="sure"), load.constants, "status 'sure'"),
        (WOOD, with_constant(low=200), load.constants, "do not hold together: 200, 128"),
        (WOOD, with_constant(value=None), load.constants, "do not hold together"),
        (WOOD, with_constant(value=math.inf), load.constants, "do not hold together"),
        (GROSS, lambda text: text.replace("0.55", "5.5", 1), load.constants, r"gross\.diameter: lowest is not below"),
        (GROSS, lambda text: text.replace("2.5,", "NaN,", 1), load.constants, "lowest is not below"),
        (
            WOOD,
            lambda text: text.replace('"unit.foot"', '"unit.kcal"', 1),
            load.constants,
            r"more than once: \['unit\.kcal'\]",
        ),
        ("species.csv", lambda text: text.replace("fia_ref_species", "nobody", 1), load.species, "source 'nobody'"),
        ("species.csv", lambda text: text.replace("hardwood", "driftwood", 1), load.species, "group 'driftwood'"),
        ("species.csv", lambda text: text.replace(",usual,", ",never,", 1), load.species, "drying 'never'"),
        ("species.csv", lambda text: text.replace("bark_pct", "bark", 1), load.species, "columns are"),
        ("species.csv", lambda text: text + text.splitlines()[-1] + "\n", load.species, "more than once"),
        ("species.csv", lambda text: text + "one,two\n", load.species, "too many or too few"),
        (
            "activities.csv",
            lambda text: text.replace(",verified (secondary),", ",perhaps,", 1),
            load.activities,
            "status 'perhaps'",
        ),
    ],
)
def test_data_that_contradict_themselves_are_refused(
    altered: Callable[[str, Callable[[str], str]], None],
    name: str,
    change: Callable[[str], str],
    read: Callable[[], Any],
    words: str,
) -> None:
    altered(name, change)
    with pytest.raises(DefinitionFault, match=words):
        read()
