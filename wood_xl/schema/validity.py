"""Validates results by their own schema with jsonschema, each distinct value once.

Tables have many similar rows, and a row schema has no condition across columns. So each distinct set of columns and
each distinct cell of a column is validated once; figures that differ only in numbers count as the same, and so do
cells of one type if the schema asks only for a type. A table with a fault is validated row by row to find its place.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator
from functools import cache
from typing import Any

from jsonschema import Draft202012Validator, validators
from jsonschema.exceptions import ValidationError

from wood_xl.errors import DefinitionFault
from wood_xl.schema.model import results_definition

FIGURE = {"$ref": "#/$defs/figure"}  # its schema only has types
ROW_KEYWORDS = {"type", "additionalProperties", "required", "properties"}

Row = dict[str, Any]


def require_valid(results: Row) -> None:
    """Require results to follow their own schema.

    Errors: DefinitionFault with the place of the first fault.
    """
    error = next(iter(_validator().iter_errors(results)), None)
    if error is not None:
        where = "/".join(map(str, error.absolute_path))
        raise DefinitionFault(f"results: {where}: {error.message[:200]}")


@cache
def _validator() -> Any:
    kind: Any = validators.extend(Draft202012Validator, {"items": _items})  # type: ignore[no-untyped-call]
    return kind(results_definition().schema)


def _items(validator: Any, items: Any, instance: Any, schema: Any) -> Iterator[ValidationError]:
    """The keyword ``items``, with equal cells validated once and a fast path for the integers of heart traces."""
    if validator.is_type(instance, "array"):
        if items == {"type": "integer"} and all(type(number) is int for number in instance):
            return
        is_table = _validating(items).keys() == ROW_KEYWORDS and all(type(row) is dict for row in instance)
        if is_table and not any(_errors_of_distinct(validator, items, instance)):
            return
    yield from Draft202012Validator.VALIDATORS["items"](validator, items, instance, schema)


def _errors_of_distinct(validator: Any, row_schema: Row, rows: list[Row]) -> Iterator[ValidationError]:
    columns = row_schema["properties"]
    shape = {**row_schema, "properties": dict.fromkeys(columns, True)}
    for names in dict.fromkeys(map(tuple, rows)):
        yield from validator.descend(dict.fromkeys(names), shape)
    for name, column in columns.items():
        for cell in _distinct([row[name] for row in rows if name in row], _validating(column)):
            yield from validator.descend(cell, column)


def _validating(schema: Row) -> Row:
    """The keywords of a schema that validate."""
    return {
        key: value
        for key, value in schema.items()
        if key not in ("title", "description") and not key.startswith("x-")
    }


def _distinct(cells: list[Any], keywords: Row) -> Iterable[Any]:
    """Cells of a column, without those that are valid if another one is."""
    kinds = {type(cell): cell for cell in cells}
    is_of_type = keywords.keys() == {"type"}
    if is_of_type and not ("integer" in keywords["type"] and float in kinds):  # 1.0 is an integer, 1.5 is none
        return kinds.values()
    if keywords == FIGURE and kinds.keys() == {dict}:
        return {(*cell, *map(type, cell.values())): cell for cell in cells}.values()
    # True and 1 are told apart by their types
    return {(type(cell), cell) if isinstance(cell, Hashable) else id(cell): cell for cell in cells}.values()
