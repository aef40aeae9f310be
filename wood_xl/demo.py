"""The invented seasons that come with the program."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

from wood_xl.io.fill import filled_workbook
from wood_xl.io.pack import packed
from wood_xl.io.page import PAPERS
from wood_xl.schema.model import System


def demo_names() -> list[str]:
    """Names of the seasons, in order."""
    folder = files("wood_xl.data").joinpath("demo")
    return sorted(entry.name.removesuffix(".json") for entry in folder.iterdir() if entry.name.endswith(".json"))


def demo_data(name: str) -> dict[str, Any]:
    """Notes of one season, as a season document."""
    text = files("wood_xl.data").joinpath("demo", f"{name}.json").read_text(encoding="utf-8")
    data: dict[str, Any] = json.loads(text)
    return data


def demo_workbook(name: str) -> bytes:
    """A template with one season filled in."""
    data = demo_data(name)
    system: System = "us" if data["units"]["season"]["stick_length"] in ("in", "ft") else "metric"
    return packed(filled_workbook(data, system=system, currency=data["season"]["currency"], paper=PAPERS[system]))
