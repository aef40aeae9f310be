"""Schema files of this package as plain JSON."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

from wood_xl.data.trade import CHOICES


def schema_document(name: str) -> dict[str, Any]:
    """A schema file of this package as plain JSON, with the choices that stand in the tables of the trade."""
    text = files("wood_xl.schema").joinpath(name).read_text(encoding="utf-8")
    document: dict[str, Any] = json.loads(text, object_hook=_with_choices)
    return document


def _with_choices(part: dict[str, Any]) -> dict[str, Any]:
    table = part.get("x-enum-from")
    return {**part, "enum": list(CHOICES[table]())} if isinstance(table, str) else part
