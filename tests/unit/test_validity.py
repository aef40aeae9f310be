"""Results are judged by their schema in a short way; the plain way is the authority."""

from __future__ import annotations

import copy
from functools import cache
from typing import Any

import pytest
from builders import checked, small_season
from few import examples
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from wood_xl.errors import DefinitionFault
from wood_xl.pipeline import computed_again
from wood_xl.schema.model import results_definition
from wood_xl.schema.validity import require_valid


@cache
def sample_results() -> dict[str, Any]:
    told = {"display_units": "us", "input_sha256": "0" * 64, "template_version": "2.0"}
    results = computed_again(checked(small_season()), told)
    assert results is not None
    return results


TABLES = [
    sheet.id for sheet in results_definition().sheets if sheet.kind == "table" and sample_results().get(sheet.id)
]
FIGURE = {"value": 1.5, "low": None, "high": None, "unit": "h", "basis": "", "reason": ""}
WRONG_FIGURES = [
    FIGURE | {"value": "1.5"},
    FIGURE | {"low": True},
    FIGURE | {"unit": None},
    FIGURE | {"more": 1},
    {key: value for key, value in FIGURE.items() if key != "reason"},
    FIGURE | {"basis": ["by hand"]},
]
CELLS = [None, True, 0, 1, 1.0, 1.5, "", "yes", [], [1], {}, FIGURE, *WRONG_FIGURES]


@cache
def plain_validator() -> Draft202012Validator:
    return Draft202012Validator(results_definition().schema)


def plain_fault(results: dict[str, Any]) -> str:
    error = next(iter(plain_validator().iter_errors(results)), None)
    return "" if error is None else f"results: {'/'.join(map(str, error.absolute_path))}: {error.message[:200]}"


def short_fault(results: dict[str, Any]) -> str:
    try:
        require_valid(results)
    except DefinitionFault as fault:
        return str(fault)
    return ""


@pytest.mark.slow
@settings(deadline=None, max_examples=examples(150))
@given(data=st.data())
def test_both_ways_find_the_same_fault(data: st.DataObject) -> None:
    results = copy.deepcopy(sample_results())
    for _ in range(data.draw(st.integers(0, 2))):
        table = results[data.draw(st.sampled_from(TABLES))]
        row = data.draw(st.integers(0, len(table) - 1))
        column = data.draw(st.sampled_from([*table[row], "no such column"]))
        what = data.draw(st.sampled_from(["cell", "cell", "cell", "no cell", "row"]))
        if what == "cell":
            table[row][column] = copy.deepcopy(data.draw(st.sampled_from(CELLS)))
        elif what == "no cell":
            table[row].pop(column, None)
        else:
            table[row] = data.draw(st.sampled_from([{}, None, [], "row"]))
            break
    assert short_fault(results) == plain_fault(results)


@settings(deadline=None, max_examples=examples(30))
@given(table=st.sampled_from(TABLES), other=st.sampled_from([None, "rows", 1, {}, {"a": {}}, [], [None]]))
def test_a_sheet_that_is_no_table_is_found_by_both(table: str, other: Any) -> None:
    results = {**sample_results(), table: other}
    assert short_fault(results) == plain_fault(results)


def test_a_figure_asks_for_nothing_but_types() -> None:
    figure = results_definition().schema["$defs"]["figure"]
    assert figure.keys() == {"type", "additionalProperties", "required", "properties"}
    assert all(part.keys() == {"type"} and "integer" not in part["type"] for part in figure["properties"].values())
