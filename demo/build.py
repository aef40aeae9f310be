"""Writes the invented seasons, their filled workbooks and results, and the blank templates.

    python demo/build.py

Everything that it writes is committed; the tests hold each file against a fresh generation.
"""

from __future__ import annotations

from pathlib import Path

import invent

from wood_xl.demo import demo_names, demo_workbook
from wood_xl.io.template import template_bytes
from wood_xl.pipeline import score_file
from wood_xl.report.book import results_bytes

HERE = Path(__file__).parent
TEMPLATES = HERE.parent / "templates"


def templates() -> dict[str, bytes]:
    """Blank workbooks by file name."""
    return {
        "wood-xl-us-letter.xlsx": template_bytes(system="us", currency="USD", paper="letter"),
        "wood-xl-metric-a4.xlsx": template_bytes(system="metric", currency="EUR", paper="a4"),
    }


def results_of(filled: Path) -> bytes:
    """Results workbook of a filled one.

    Raises
    ------
    ValueError
        If the season cannot be computed.
    """
    results = score_file(filled, None).results
    if results is None:
        raise ValueError(f"{filled.name} cannot be computed")
    return results_bytes(results, paper="letter" if results["provenance"]["display_units"] == "us" else "a4")


def main() -> None:
    """Write all of them."""
    invent.main()
    for name, data in templates().items():
        (TEMPLATES / name).write_bytes(data)
    for name in demo_names():
        filled = HERE / f"{name}.xlsx"
        filled.write_bytes(demo_workbook(name))
        (HERE / f"{name}-results.xlsx").write_bytes(results_of(filled))


if __name__ == "__main__":
    main()
