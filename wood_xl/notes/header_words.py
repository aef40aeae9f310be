"""Header texts: the title and the unit in them, and how to write one that is read."""

from __future__ import annotations

import re

from wood_xl.notes.names import plain
from wood_xl.notes.typed_units import typed_unit
from wood_xl.pages import HowToMend
from wood_xl.schema.model import Column
from wood_xl.schema.words import phrase

LONGEST_HEADER = 300  # no title comes near; a longer text is somebody's note
_UNIT_AT_END = re.compile(r"(?:\[([^\[\]]*)\]|\(([^()]*)\))$")
_CURRENCY_FIRST = re.compile(r"^([a-z]{3})(?: (.*))?$")
_UNIT_SIGNS = str.maketrans({"²": "2", "³": "3", "°": "deg", "µ": "u", "\u2033": "in", "\u2032": "ft"})


def split_header(text: str) -> tuple[str, str | None]:
    """Title and unit of a header.

    >>> split_header("Diameter [in]")
    ('Diameter', 'in')
    """
    if len(text) > LONGEST_HEADER:
        return text, None
    header = " ".join(text.split())
    if header.endswith(("*", ":")):
        header = header[:-1].rstrip()
    match = _UNIT_AT_END.search(header)
    if match is None:
        return header, None
    return header[: match.start()].rstrip(), match[1] if match[2] is None else match[2]


def unit_of(column: Column, typed: str | None) -> tuple[str | None, str]:
    """The permitted unit that a typed one stands for, and the currency code before it."""
    unit_text = plain((typed or "").translate(_UNIT_SIGNS))
    if not column.units:
        return "", ""
    if not unit_text:
        return (column.units[0] if len(column.units) == 1 else None), ""
    by_text = {plain(unit): unit for unit in column.units}
    if unit_text in by_text and not (column.is_money and unit_text == "money"):
        return by_text[unit_text], ""
    if column.is_money and (match := _CURRENCY_FIRST.match(unit_text)):
        rest = match[2] or "money"
        if rest in by_text:
            return by_text[rest], match[1].upper()
    return typed_unit(unit_text, column.units), ""


def header_to_write(column: Column, typed: str | None) -> str:
    """The header that a column should have, in quotes, with the unit that is written now.

    >>> from wood_xl.schema.model import season_definition
    >>> header_to_write(season_definition().column("cuts.diameter"), "cm")
    '"Diameter [cm]"'
    """
    unit, _ = unit_of(column, typed)
    if unit is None:
        return phrase(HowToMend.HEADER_WITH_YOUR_UNIT, title=column.title, unit=column.units[0])
    return f'"{column.title} [{typed}]"' if unit and typed else f'"{column.title}"'
