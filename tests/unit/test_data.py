"""The published figures: complete, sourced, and refused when they do not hold together."""

from __future__ import annotations

import json
import math
import re
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
GROSS = "constants_gross_errors.json"


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


def without_repeats(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    assert len(dict(pairs)) == len(pairs), pairs
    return dict(pairs)


def test_no_file_has_an_id_twice() -> None:
    """JSON keeps the last of equal keys in silence, and a table would lose a row."""
    for name in ("cautions.json", *load.published_files()):
        if name.endswith(".json"):
            json.loads(load._text(name), object_pairs_hook=without_repeats)
        else:
            first = [next(iter(row.values())) for row in load.table_rows(name)]
            assert len(set(first)) == len(first), name
    entries = [load.json_entries(name) for name in load.constant_files()]
    pairs = sum(entry.keys() >= {*load.ENDS} for file in entries for entry in file.values())
    assert len(load.constants()) == sum(map(len, entries)) + pairs


def test_tables_have_the_columns_that_are_described() -> None:
    for name, table in load.json_entries("tables.json").items():
        for row in load.table_rows(name):
            assert list(row) == list(table["columns"]), name
            assert None not in row.values(), row


def test_constants_have_all_their_fields_and_ranges_hold_together() -> None:
    fields = {*load.Constant._fields[1:]} - {"doubt"}
    for name in load.constant_files():
        for key, entry in load.json_entries(name).items():
            is_pair = entry.keys() >= {*load.ENDS}
            expected = fields - {"value", "low", "high"} | {*load.ENDS} if is_pair else fields
            assert entry.keys() - {"doubt"} == expected, key
            ends = [entry[end] for end in (load.ENDS if is_pair else ("low", "value", "high"))]
            numbers = [number for number in ends if number is not None]
            assert numbers == sorted(numbers), key
            assert all(map(math.isfinite, numbers)), key
            assert not is_pair or numbers[0] < numbers[1], key


def test_every_figure_names_its_source_and_a_status_that_exists() -> None:
    sourced = (*load.constants().values(), *load.species(), *load.activities().values())
    assert {one.source for one in sourced} <= load.sources().keys()
    engines = load.small_engines().values()
    editions = {known for one in load.activities().values() for known in (one.known_2011, one.known_2024)} - {None}
    assert {one.known for one in (*sourced, *engines)} | editions <= {*get_args(load.Known)}
    assert {one.used for one in engines} == {"by power", "default", "no"}
    for column, permitted in (("group", load.Group), ("drying", load.Drying)):
        assert {getattr(tree, column) for tree in load.species()} == {*get_args(permitted)}
