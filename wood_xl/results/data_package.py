"""A descriptor for the CSV tables, by the open standard Data Package, so that any program knows types and units."""

from __future__ import annotations

import json
from typing import Any

from wood_xl.results.frames import field_parts
from wood_xl.schema.model import Column, Sheet, System, results_definition

DESCRIPTOR = "datapackage.json"
PROFILE = "tabular-data-package"
FIELD_TYPES = {"string": "string", "integer": "integer", "number": "number", "boolean": "boolean"}
TEXT_PARTS = ("unit", "reason", "basis")

Row = dict[str, Any]


def data_package(results: Row) -> str:
    """The descriptor of the files that ``tables.csv_files`` gives, as JSON text."""
    season, provenance = results["season"], results["provenance"]
    descriptor = {
        "profile": PROFILE,
        "name": "wood-xl-results",
        "title": season["season_name"] or "Results",
        "description": season["invented"] or results_definition().schema["description"],
        "version": provenance["results_version"],
        "resources": [
            _resource(sheet, provenance["display_units"], season["currency"])
            for sheet in results_definition().sheets
            if sheet.kind == "table"
        ],
    }
    return json.dumps(descriptor, ensure_ascii=False, indent=1) + "\n"


def _resource(sheet: Sheet, system: System, currency: str) -> Row:
    fields = [field for column in sheet.columns for field in _fields(column, system, currency)]
    return {
        "profile": "tabular-data-resource",
        "name": sheet.id.replace("_", "-"),
        "path": f"{sheet.id}.csv",
        "title": sheet.title,
        "description": sheet.help,
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "schema": {"fields": fields, "missingValues": [""]},
    }


def _fields(column: Column, system: System, currency: str) -> list[Row]:
    unit = column.label(column.unit_in(system), currency)
    fields = []
    for name, part in field_parts(column).items():
        is_text = part in TEXT_PARTS
        field = {
            "name": name,
            "type": "string" if is_text else "number" if part else FIELD_TYPES[column.type],
            "title": column.title if part in ("", "value") else f"{column.title}, {part}",
            "description": column.help,
        }
        fields.append(field if is_text or not unit else field | {"unit": unit})
    return fields
