"""Whatever is written can be read by weak eyes and in gray print: letters against what is behind them."""

from __future__ import annotations

import io

import pytest
from builders import demo_results
from few import few
from openpyxl import load_workbook
from openpyxl.styles import Font, PatternFill

from wood_xl.demo import demo_names
from wood_xl.io.template import template_bytes
from wood_xl.report.book import results_bytes

LEAST = 4.5  # for letters of usual size
BLACK, WHITE = "000000", "FFFFFF"


def light(color: str) -> float:
    """Relative luminance of a color."""
    parts = (int(color[at : at + 2], 16) / 255 for at in (0, 2, 4))
    red, green, blue = (one / 12.92 if one <= 0.03928 else ((one + 0.055) / 1.055) ** 2.4 for one in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """How many times as light the lighter one is."""
    darker, lighter = sorted((light(one), light(other)))
    return (lighter + 0.05) / (darker + 0.05)


def pale(data: bytes) -> dict[str, float]:
    """Texts of a workbook that stand out too little from their fill, or from the paper."""
    found = {}
    for page in load_workbook(io.BytesIO(data)).worksheets:
        for cell in (cell for row in page.iter_rows() for cell in row if isinstance(cell.value, str)):
            font: Font = cell.font
            fill: PatternFill = cell.fill
            ink = font.color.rgb[-6:] if font.color and isinstance(font.color.rgb, str) else BLACK
            behind = fill.fgColor.rgb[-6:] if fill.fill_type == "solid" else WHITE
            if contrast(ink, behind) < LEAST:
                found[f"{page.title}: {cell.value}"] = round(contrast(ink, behind), 2)
    return found


def test_text_in_the_template_has_enough_contrast() -> None:
    assert pale(template_bytes(system="us", currency="USD", paper="letter")) == {}


@pytest.mark.parametrize("name", few(demo_names(), "lake_cabin_metric"))
def test_text_in_results_has_enough_contrast(name: str) -> None:
    assert pale(results_bytes(demo_results(name), paper="letter")) == {}
