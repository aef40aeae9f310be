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
    assert list(keywords.iter_errors(document)) == []


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
    assert set(column.sources) <= set(sources())
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
    assert used <= measures().keys()


# Each unit in the words of a library of units, whose own definitions they are.
IN_THE_LIBRARY = {
    "mm": "mm",
    "cm": "cm",
    "m": "m",
    "in": "inch",
    "ft": "foot",
    "m2": "m**2",
    "ft2": "foot**2",
    "m3": "m**3",
    "stacked m3": "m**3",
    "ft3": "foot**3",
    "cord": "128 * foot**3",
    "L": "liter",
    "mL": "milliliter",
    "gal": "US_liquid_gallon",
    "qt": "US_liquid_quart",
    "fl oz": "US_fluid_ounce",
    "g": "gram",
    "kg": "kilogram",
    "lb": "pound",
    "s": "second",
    "min": "minute",
    "h": "hour",
    "kJ": "kilojoule",
    "MJ": "megajoule",
    "GJ": "gigajoule",
    "Wh": "watt * hour",
    "kWh": "kilowatt * hour",
    "kcal": "kilocalorie",
    "million Btu": "1e6 * Btu_it",
    "therm": "1e5 * Btu_it",
    "W": "watt",
    "kW": "kilowatt",
    "hp": "horsepower",
    "kg/m3": "kg / m**3",
    "lb/ft3": "pound / foot**3",
    "kg/kWh": "kg / (kW * hour)",
    "g/kWh": "g / (kW * hour)",
    "lb/MWh": "pound / (MW * hour)",
    "km/h": "km / hour",
    "m/s": "m / s",
    "mph": "mile / hour",
    "m/s2": "m / s**2",
    "degC": "degC",
    "degF": "delta_degF",
    "K day": "kelvin * day",
    "degF day": "delta_degF * day",
    "W/K": "watt / kelvin",
    "Btu/h/degF": "Btu_it / hour / delta_degF",
    "per h": "1 / hour",
    "per cord": "1 / (128 * foot**3)",
    "per stacked m3": "1 / m**3",
    "per L": "1 / liter",
    "per gal": "1 / US_liquid_gallon",
    "per qt": "1 / US_liquid_quart",
    "per kWh": "1 / (kW * hour)",
    "per therm": "1 / (1e5 * Btu_it)",
}


def test_a_library_of_units_converts_alike() -> None:
    """Every pair, and no other."""
    import pint

    registry = pint.UnitRegistry()
    assert IN_THE_LIBRARY.keys() | {one for one, measure in measures().items() if one == measure} == measures().keys()
    for source, target in itertools.product(IN_THE_LIBRARY, repeat=2):
        if "degC" in (source, target):
            continue  # below
        ratio = registry.parse_expression(f"({IN_THE_LIBRARY[source]}) / ({IN_THE_LIBRARY[target]})")
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
