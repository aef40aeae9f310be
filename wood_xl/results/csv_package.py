"""Results as tidy CSV tables with a descriptor, by the open standard Data Package, for any other program.

``figures`` has one row for each figure. The other tables have one row for each session, planned session, note or
problem. Numbers are in the units of the results, which the descriptor names.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from io import BytesIO
from itertools import islice
from typing import Any, NamedTuple

import pandas as pd

from wood_xl.notes.tally import flat
from wood_xl.page_texts import OfPackage
from wood_xl.results.figures import unlisted_text
from wood_xl.schema.model import Sheet, System, results_definition, season_definition, study_definition
from wood_xl.schema.words import words

DESCRIPTOR = "datapackage.json"
PROFILE = "tabular-data-package"
FIELD_TYPES = {"figure": "number", "string": "string", "integer": "integer", "number": "number", "boolean": "boolean"}
AS_TABLES = ("figures", "sessions", "problems", "season")  # tables taken as the document has them
JOINED_BY = "; "
ROWS_AT_A_TIME = 20_000
FIGURE_PARTS = {"": "value", "_low": "low", "_high": "high", "_unit": "unit", "_reason": "reason", "_basis": "basis"}
TEXTS = ("unit", "reason", "basis")  # parts of a figure

Row = dict[str, Any]

PLAN_KEY, INPUT_KEY = ("date", "person", "method"), ("sheet", "row", "column")
PLAN_FIELDS: list[Row] = [
    *({"name": name, "type": "string"} for name in ("date", "person", "task", "method")),
    {"name": "minutes", "type": "number", "unit": "min"},
    *({"name": name, "type": "string"} for name in ("in_sight", "mind", "wear")),
]
INPUT_FIELDS: list[Row] = [
    {"name": name, "type": "integer" if name == "row" else "string"}
    for name in ("sheet", "row", "column", "value", "unit")
]

# Programs take the wide forms, as typed in East Asian text, for the narrow ones.
_FORMULA_START = re.compile(r"(^|[;\t\r\n])([^\S\t\r\n]*)(?=[=+\-@\uff1d\uff0b\uff0d\uff20])")


class Table(NamedTuple):
    """One CSV table: name, fields for the descriptor, rows, and the fields that identify a row."""

    name: str
    title: str
    help: str
    fields: Sequence[Row]
    rows: Callable[[Row], Iterator[Sequence[Any]]]
    key: Sequence[str] = ()

    def data(self, document: Row) -> bytes:
        """The table as a CSV file, written in batches: a heart trace has half a million rows."""
        names, rows, file = [field["name"] for field in self.fields], self.rows(document), BytesIO()
        pd.DataFrame(columns=names).to_csv(file, index=False, lineterminator="\n")
        while batch := list(islice(rows, ROWS_AT_A_TIME)):
            frame = pd.DataFrame(batch, columns=names, dtype=object).map(inert_text)
            frame.to_csv(file, index=False, header=False, lineterminator="\n")
        return file.getvalue()


def file_names(*, of_study: bool = False) -> list[str]:
    """All files of a package."""
    tables = _tables_of_study("us") if of_study else _tables("us", "")
    return [*(f"{table.name}.csv" for table in tables), DESCRIPTOR]


def csv_package(results: Row) -> dict[str, bytes]:
    """The files of the package by name: the tables and their descriptor."""
    season, provenance, schema = results["season"], results["provenance"], results_definition().schema
    title = season["season_name"] or schema["title"]
    description = " ".join(filter(None, (season["invented"] or schema["description"], unlisted_text(results))))
    about = {"name": "wood-xl-results", "title": title, "description": description, "version": results["version"]}
    return _files(results, about, _tables(provenance["display_units"], season["currency"]))


def study_package(study: Row) -> dict[str, bytes]:
    """The files of a study's package by name; rows of money each name their currency."""
    provenance, schema = study["provenance"], study_definition().schema
    title, description = schema["title"], provenance["invented"] or schema["description"]
    about = {"name": "wood-xl-study", "title": title, "description": description, "version": study["version"]}
    return _files(study, about, _tables_of_study(provenance["display_units"]))


def _files(document: Row, about: Row, tables: Sequence[Table]) -> dict[str, bytes]:
    descriptor = {"profile": PROFILE, **about, "resources": list(map(_resource, tables))}
    csv_files = {f"{table.name}.csv": table.data(document) for table in tables}
    return {**csv_files, DESCRIPTOR: f"{json.dumps(descriptor, ensure_ascii=False, indent=1)}\n".encode()}


def _tables_of_study(system: System) -> list[Table]:
    tables = (sheet for sheet in study_definition().sheets if sheet.kind == "table")
    return [_table(sheet, system, "", FIGURE_PARTS) for sheet in tables]


def _table(
    sheet: Sheet, system: System, currency: str, figure_parts: Mapping[str, str], key: Sequence[str] = ()
) -> Table:
    """A table of a document.

    figure_parts: the parts of a figure that have a field, by what their names add to that of the column.
    """
    parts = [
        (column, ending, part)
        for column in sheet.columns
        for ending, part in (figure_parts if column.type == "figure" else {"": ""}).items()
    ]

    def rows(document: Row) -> Iterator[list[Any]]:
        content = document[sheet.id]
        for row in content if isinstance(content, list) else [content]:
            yield [row[column.id][part] if part else row[column.id] for column, _, part in parts]

    fields = []
    for column, ending, part in parts:
        kind = "string" if part in TEXTS else FIELD_TYPES[column.type]
        field = {"name": column.id + ending, "type": kind, "title": column.title, "description": column.help}
        unit = column.label(column.unit_in(system), currency)
        fields.append(field | {"unit": unit} if unit else field)
    return Table(sheet.id, sheet.title, sheet.help, fields, rows, key)


def inert_text(value: Any) -> Any:
    """A text that no spreadsheet program takes for a formula when it opens the CSV file; other values unchanged.

    CSV cannot mark a cell as text. So an apostrophe precedes whatever might start a formula, also after semicolons,
    tabs and line ends, at which a program with other settings splits cells.

    >>> inert_text("=1+1")
    "'=1+1"
    """
    return _FORMULA_START.sub(r"\1'\2", value) if isinstance(value, str) else value


def _tables(system: System, currency: str) -> list[Table]:
    return [
        # Of a figure only the value: the table of figures has the rest.
        *(
            _table(sheet, system, currency, {"": "value"}, sheet.key)
            for sheet in map(results_definition().sheet, AS_TABLES)
        ),
        Table("plan", words(OfPackage.PLAN), words(OfPackage.PLAN_HELP), PLAN_FIELDS, _plan_rows, PLAN_KEY),
        Table("inputs", words(OfPackage.INPUTS), words(OfPackage.INPUTS_HELP), INPUT_FIELDS, _input_rows, INPUT_KEY),
    ]


def _plan_rows(results: Row) -> Iterator[list[Any]]:
    for row in results["plan"]["sessions"]:
        yield [*(row[field["name"]] for field in PLAN_FIELDS[:-1]), JOINED_BY.join(row["wear"])]


def _input_rows(results: Row) -> Iterator[tuple[Any, ...]]:
    notes, currency = results["inputs"], results["season"]["currency"]
    for sheet in season_definition().sheets:
        content = notes.get(sheet.id) or []
        typed = notes["units"].get(sheet.id, {})
        units = {key: sheet.column(key).label(unit, currency) for key, unit in typed.items()}
        rows = content if isinstance(content, list) else [content]
        numbers = results["input_rows"].get(sheet.id) or range(1, len(rows) + 1)
        for number, row in zip(numbers, rows, strict=True):
            yield from ((sheet.id, number, key, value, units.get(key, "")) for key, value in flat(row).items())


def _resource(table: Table) -> Row:
    schema = {"fields": list(table.fields), "missingValues": [""]}
    return {
        "profile": "tabular-data-resource",
        "name": table.name,
        "path": f"{table.name}.csv",
        "title": table.title,
        "description": table.help,
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "schema": schema | {"primaryKey": list(table.key)} if table.key else schema,
    }
