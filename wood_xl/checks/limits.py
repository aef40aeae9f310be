"""Checks of single values: JSON Schema says what cannot be, the usual range what is odd."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace
from functools import cache
from typing import Any

from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError

from wood_xl.checks.names import list_text
from wood_xl.checks.notes import Gathered
from wood_xl.checks.problem import MOST_LINES, Place, Problem, ProblemLines, number_text, problem, quoted
from wood_xl.document import SeasonDocument
from wood_xl.errors import DefinitionFault
from wood_xl.schema.model import Column, Definition, Sheet, season_definition
from wood_xl.units import convert

MOST_SINGLE = 4  # more unusual values in one column than this are told as one problem
BOUNDS = ("minimum", "exclusiveMinimum", "maximum")

Cell = tuple[str, int | None, str]
Value = tuple[type, Any]


def schema_problems(gathered: Gathered, definition: Definition) -> tuple[list[Problem], set[Cell]]:
    """What the JSON Schema does not permit, and the cells that it stands in.

    Rows are many and much alike, so each distinct value of a column and each distinct set of filled columns is
    validated once; a row schema sets no condition across columns, so that nothing is lost by it.
    """
    document = gathered.document
    problems = ProblemLines(MOST_LINES)
    broken: set[Cell] = set()
    for sheet in definition.sheets:
        for column in sheet.columns:
            unit = document.unit(sheet.id, column.id)
            validator = _column_validator(sheet.id, column.id, unit)
            keywords = {
                value: str(error.validator)
                for value in _distinct_values(document, sheet, column.id)
                if (error := next(iter(validator.iter_errors(value[1])), None)) is not None
            }
            for value, cell in _cells_with(document, sheet, column.id, keywords.keys()):
                broken.add(cell)
                place = _place(document, cell)
                problems.add(_value_problem(keywords[value], value[1], column, unit, place))
        for cell, found in _missing(gathered, sheet):
            broken.add(cell)
            problems.add(found)
    return problems.told(), broken


def _values(document: SeasonDocument, sheet: Sheet, column_id: str) -> Iterator[tuple[int | None, Value]]:
    """Every filled value of a column or item with the index of its row; True and 1 are told apart by their types."""
    if sheet.kind == "items":
        rows: Iterable[tuple[int | None, dict[str, Any]]] = [(None, document.items(sheet.id))]
    else:
        rows = enumerate(document.rows(sheet.id))
    for index, row in rows:
        if column_id in row:
            yield index, (type(row[column_id]), row[column_id])


def _distinct_values(document: SeasonDocument, sheet: Sheet, column_id: str) -> dict[Value, None]:
    return dict.fromkeys(value for _, value in _values(document, sheet, column_id))


def _cells_with(
    document: SeasonDocument, sheet: Sheet, column_id: str, wanted: Collection[Value]
) -> Iterator[tuple[Value, Cell]]:
    """Cells of a column that hold one of the values; few do, so that the others are not kept."""
    if wanted:
        for index, value in _values(document, sheet, column_id):
            if value in wanted:
                yield value, (sheet.id, index, column_id)


def _place(document: SeasonDocument, cell: Cell) -> Place:
    return document.place(cell[0], cell[1], cell[2])


@cache
def _column_validator(sheet_id: str, column_id: str, unit: str) -> Draft202012Validator:
    """Validator of one column's values in the unit that they were typed in."""
    definition = season_definition()
    column = definition.sheet(sheet_id).column(column_id)
    part = definition.schema["properties"][sheet_id]
    row = part["items"] if part["x-kind"] == "table" else part
    schema = {key: value for key, value in row["properties"][column_id].items() if not key.startswith("x-")}
    for bound in BOUNDS:
        if bound in schema:
            schema[bound] = _in_typed_unit(schema[bound], column, unit)
    return Draft202012Validator(schema)


@cache
def _shape_validator(sheet_id: str) -> Draft202012Validator:
    """Validator of which columns of a row are filled."""
    part = season_definition().schema["properties"][sheet_id]
    row = part["items"] if part["x-kind"] == "table" else part
    properties = dict.fromkeys(row["properties"], True)
    return Draft202012Validator({**row, "properties": properties})


def _in_typed_unit(bound: float, column: Column, unit: str) -> float:
    """A bound in another unit, with a hair's room for the rounding of the conversion."""
    if not unit or unit == column.unit or column.unit_kept:
        return bound
    return float(f"{convert(bound, column.unit, unit):.12g}")


def _value_problem(keyword: str, value: Any, column: Column, unit: str, place: Place) -> Problem:
    if keyword in BOUNDS:
        found = _with_unit(value, unit)
        advice = column.mend or "Check the number and its unit."
        expected = _range_text(column, unit) + _other_unit(column, unit, [value])
        return problem("cell-out-of-range", place, found=found, expected=expected, advice=advice)
    if keyword == "maxLength":
        return problem("cell-too-long", place, found=str(len(value)), expected=str(column.max_length))
    if keyword == "enum":
        expected = list_text(column.choices)
        return problem("cell-not-in-list", place, found=quoted(str(value)), expected=expected, near="")
    raise DefinitionFault(f"{column.ref}: no wording for the keyword {keyword}")


def _with_unit(value: float, unit: str) -> str:
    return number_text(value) + (f" {unit}" if unit and unit != "money" else "")


def _shown_bound(bound: float, column: Column, unit: str) -> float:
    """A bound in the typed unit, short enough to read where it had to be converted."""
    typed = _in_typed_unit(bound, column, unit)
    return typed if typed == bound else float(f"{typed:.3g}")


def _range_text(column: Column, unit: str) -> str:
    lowest = column.exclusive_minimum if column.minimum is None else column.minimum
    least = None if lowest is None else _with_unit(_shown_bound(lowest, column, unit), unit)
    most = None if column.maximum is None else _with_unit(_shown_bound(column.maximum, column, unit), unit)
    start = f"more than {least}" if column.exclusive_minimum is not None else f"at least {least}"
    return " and ".join(part for part in (start if least else "", f"at most {most}" if most else "") if part)


def _missing(gathered: Gathered, sheet: Sheet) -> Iterator[tuple[Cell, Problem]]:
    document = gathered.document
    if sheet.kind == "items":
        yield from _missing_items(gathered, sheet)
        return
    by_shape: dict[frozenset[str], list[int]] = defaultdict(list)
    for index, row in enumerate(document.rows(sheet.id)):
        by_shape[frozenset(row)].append(index)
    for shape, indexes in by_shape.items():
        filled = dict.fromkeys(shape)
        missing = [
            column_id
            for error in _shape_validator(sheet.id).iter_errors(filled)
            for column_id in _required_but_absent(error, shape)
        ]
        for column_id in missing:
            if (sheet.id, column_id) in gathered.unread or column_id not in document.places[sheet.id].columns:
                continue
            for index in indexes:
                if (sheet.id, index, column_id) not in gathered.unreadable:
                    place = document.place(sheet.id, index, column_id)
                    yield (sheet.id, index, column_id), problem("row-missing-value", place, row=str(place.row))


def _missing_items(gathered: Gathered, sheet: Sheet) -> Iterator[tuple[Cell, Problem]]:
    document = gathered.document
    if sheet.id not in document.places:
        return  # that the sheet is not there is told of the sheet
    items = document.items(sheet.id)
    for error in _shape_validator(sheet.id).iter_errors(items):
        for column_id in _required_but_absent(error, frozenset(items)):
            if (sheet.id, column_id) in gathered.unread or (sheet.id, None, column_id) in gathered.unreadable:
                continue
            column = sheet.column(column_id)
            hint = f" {column.mend}" if column.mend else ""
            place = replace(document.place(sheet.id, None, column_id), header="")
            missing = problem("item-missing", place, title=column.title, mend_hint=hint)
            yield (sheet.id, None, column_id), missing


def _required_but_absent(error: ValidationError, filled: frozenset[str]) -> list[str]:
    """Jsonschema reports each missing name on its own, in words; the name is the one its message starts with."""
    if error.validator != "required":
        raise DefinitionFault(f"no wording for the keyword {error.validator}")
    required: Any = error.validator_value
    return [name for name in required if name not in filled and error.message.startswith(repr(name))]


def unusual_problems(document: SeasonDocument, definition: Definition, broken: set[Cell]) -> Iterator[Problem]:
    """Values that can be but seldom are, each with the unit in which it would be usual."""
    for sheet in definition.sheets:
        for column in sheet.columns:
            if column.plausible is None:
                continue
            unit = document.unit(sheet.id, column.id)
            lowest, highest = (_in_typed_unit(end, column, unit) for end in column.plausible)
            unusual = {v for v in _distinct_values(document, sheet, column.id) if not lowest <= v[1] <= highest}
            odd = [
                (value, cell)
                for (_, value), cell in _cells_with(document, sheet, column.id, unusual)
                if cell not in broken
            ]
            yield from _unusual(document, column, unit, odd)


def _unusual(document: SeasonDocument, column: Column, unit: str, odd: list[tuple[float, Cell]]) -> Iterator[Problem]:
    ends = [_shown_bound(end, column, unit) for end in column.plausible or ()]
    usual = f"{number_text(ends[0])} to {_with_unit(ends[1], unit)}" if ends else ""
    if len(odd) <= MOST_SINGLE:
        for value, cell in odd:
            hint = _other_unit(column, unit, [value])
            yield problem(
                "cell-unusual", _place(document, cell), found=_with_unit(value, unit), expected=usual + hint
            )
        return
    values = [value for value, _ in odd]
    first = min((cell for _, cell in odd), key=lambda cell: cell[1] or 0)
    found = f"{len(odd)} values from {number_text(min(values))} to {_with_unit(max(values), unit)}"
    hint = _other_unit(column, unit, values)
    together = problem("cell-unusual", _place(document, first), found=found, expected=usual + hint)
    yield replace(together, count=len(odd))


def _other_unit(column: Column, unit: str, values: list[float]) -> str:
    if not column.plausible or not unit or column.unit_kept:
        return ""
    lowest, highest = column.plausible
    for other in column.units:
        if other != unit and all(lowest <= convert(value, other, column.unit) <= highest for value in values):
            return f" (in {other} it would be usual)"
    return ""
