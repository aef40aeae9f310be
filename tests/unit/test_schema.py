"""The two definitions: no misspelt keyword, no dangling reference, no unit that cannot be converted."""

from __future__ import annotations

import copy
import itertools
import re
from importlib.resources import files
from typing import Any

import pytest
from few import together
from jsonschema import Draft202012Validator

import wood_xl
from wood_xl.data.load import constants, sources
from wood_xl.schema.model import Column, results_definition, schema_document, season_definition
from wood_xl.units import convert, measures, scale_and_offset

DOCUMENTS = ("season.schema.json", "results.schema.json", "study.schema.json", "summary.schema.json")
COLUMNS = [column for sheet in season_definition().sheets for column in sheet.columns]
RESULTS = [column for sheet in results_definition().sheets for column in sheet.columns]


def ref(column: Column) -> str:
    return column.ref


@pytest.fixture
def keywords() -> Draft202012Validator:
    return Draft202012Validator(schema_document("keywords.schema.json"))


@pytest.mark.parametrize("name", DOCUMENTS)
def test_definition_is_json_schema_with_known_keywords(name: str, keywords: Draft202012Validator) -> None:
    document = schema_document(name)
    Draft202012Validator.check_schema(document)
    faults = [(error.json_path, error.message[:200]) for error in keywords.iter_errors(document)]
    assert [" ".join(fault) for fault in faults] == []


@together("misspelt", ["maximun", "x-plausable", "x-unit ", "Title", "exclusiveMininum"])
def test_misspelt_keyword_is_caught(misspelt: str, keywords: Draft202012Validator) -> None:
    document: dict[str, Any] = copy.deepcopy(schema_document("season.schema.json"))
    document["properties"]["cuts"]["items"]["properties"]["diameter"][misspelt] = 1
    assert list(keywords.iter_errors(document))


@together("column", COLUMNS, ids=ref)
def test_column_is_whole(column: Column) -> None:
    assert column.help.endswith(".")
    if column.default_from:
        assert column.default_from in constants()
    if column.is_number and not column.unit_kept:
        for unit in column.units:
            if unit != column.unit:
                assert convert(convert(2.0, unit, column.unit), column.unit, unit) == pytest.approx(2.0)
    if column.plausible:
        lowest = column.exclusive_minimum if column.minimum is None else column.minimum
        assert lowest is not None
        assert column.maximum is not None
        assert lowest <= column.plausible[0] < column.plausible[1] <= column.maximum
    for system in ("us", "metric"):
        assert column.unit_in(system) in (*column.units, "")  # type: ignore[arg-type]


@together("column", RESULTS, ids=ref)
def test_result_names_what_is_there(column: Column) -> None:
    for needed in column.needs:
        season_definition().column(needed)
    assert [source for source in column.sources if source not in sources()] == []
    for unit in column.units:
        convert(1.0, column.unit, unit)


@together(
    ("value", "source", "target", "expected"),
    [
        (2.0, "kg/kWh", "lb/MWh", 4409.245243697551),
        (1.0, "cord", "stacked m3", 3.624556363776),
        (1.0, "gal", "L", 3.785411784),
        (1.0, "fl oz", "mL", 29.5735295625),
        (1.0, "MJ", "kWh", 1 / 3.6),
        (9.0, "degF day", "K day", 5.0),
        (212.0, "degF", "degC", 100.0),
        (1.0, "kcal", "kJ", 4.184),
        (1.0, "hp", "W", 745.6998715822702),
        (1.0, "per gal", "per L", 1 / 3.785411784),
    ],
)
def test_exact_conversions(value: float, source: str, target: str, expected: float) -> None:
    """Exact definitions: inch, pound, gallon of 231 in3, thermochemical calorie, horsepower of 550 ft lbf/s."""
    assert convert(value, source, target) == pytest.approx(expected, rel=1e-12)


def test_different_things_are_not_converted() -> None:
    with pytest.raises(ValueError, match="no conversion"):
        scale_and_offset("kg", "m")
    with pytest.raises(ValueError, match="no conversion"):
        convert(1.0, "%", "money")
    with pytest.raises(KeyError):
        convert(1.0, "furlong", "m")


def test_every_unit_of_the_definitions_is_known() -> None:
    used = {unit for column in (*COLUMNS, *RESULTS) for unit in column.units if unit}
    assert sorted(used - measures().keys()) == []


def test_a_library_of_units_converts_alike() -> None:
    """Every pair, and no other."""
    import pint

    others = {  # in the words of the library, whose own definitions they are
        "in": "inch",
        "L": "liter",
        "gal": "US_liquid_gallon",
        "qt": "US_liquid_quart",
        "fl oz": "US_fluid_ounce",
        "stacked m3": "m**3",
        "cord": "128 * foot**3",
        "million Btu": "1e6 * Btu_it",
        "therm": "1e5 * Btu_it",
        "degF": "delta_degF",
        "degF day": "delta_degF * day",
        "Btu/h/degF": "Btu_it / hour / delta_degF",
        "W/K": "watt / kelvin",
        "K day": "kelvin * day",
    }

    def in_the_library(unit: str) -> str:
        of = unit.removeprefix("per ")
        words = others.get(of) or re.sub("([a-z])([23])", r"\1**\2", of)
        return f"({words})" if of == unit else f"(1 / ({words}))"

    registry = pint.UnitRegistry()
    alone = {one for one, measure in measures().items() if one == measure}
    for source, target in itertools.product(measures().keys() - alone - {"degC"}, repeat=2):
        ratio = registry.parse_expression(f"({in_the_library(source)}) / ({in_the_library(target)})")
        if ratio.dimensionless:
            assert convert(20.5, source, target) == pytest.approx(20.5 * ratio.to("").magnitude, rel=1e-9)
        else:
            with pytest.raises(ValueError, match="no conversion"):
                convert(20.5, source, target)
    assert convert(20.5, "degC", "degF") == pytest.approx(registry.Quantity(20.5, "degC").to("degF").magnitude)
    assert convert(20.5, "degF", "degC") == pytest.approx(registry.Quantity(20.5, "degF").to("degC").magnitude)


@together("name", (*DOCUMENTS, "words.json"))
def test_titles_helps_and_sentences_are_american(name: str) -> None:
    text = (files(wood_xl) / "schema" / name).read_text(encoding="utf-8")
    british = re.compile(r"(?i)\b(?:un)?burnt\b|labour|per cent|\blitres?\b|metres?\b|colour|licence|\bgrey\b")
    assert british.findall(text) == []


def test_a_pile_has_one_name_wherever_it_is_read() -> None:
    titles = {column.title for column in (*COLUMNS, *RESULTS) if column.ref.endswith(".lot")}
    assert titles == {"Pile"}
