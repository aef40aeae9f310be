"""Lists what another spreadsheet program may change or leave out when it saves a results workbook again.

The lists, here and in ``may_change.json``, come from what such programs do to results and from what the file format
leaves open. Anything not listed must be as it was written.
"""

from __future__ import annotations

import json
from importlib.resources import files

_LISTS = json.loads(files("wood_xl.io").joinpath("may_change.json").read_text(encoding="utf-8"))
# Kinds of parts, by the last word of their relation's type: nobody sees them, or they are compared elsewhere.
PARTS = frozenset(_LISTS["PARTS"])
# Tags of the workbook part besides sheets and names.
WORKBOOK_TAGS = frozenset(_LISTS["WORKBOOK_TAGS"])
# Names that programs add or write differently; ``#REF!`` is a print area that was never set.
NAMES_ADDED = frozenset({"sheet_title"})
NO_RANGE = "#REF!"
NAME_PREFIX = "_xlnm."
# Tags of a sheet besides cells, columns, merged cells, headers, footers and drawings.
SHEET_TAGS = frozenset(_LISTS["SHEET_TAGS"])
# Settings of a view that a program may choose; all others must be as the format has them by default.
VIEW_SETTINGS = frozenset(_LISTS["VIEW_SETTINGS"])
VIEW_DEFAULTS = {"showFormulas": "0", "showZeros": "1", "rightToLeft": "0"}
# What a program that cannot read the font of a footer leaves of it.
FOOTER_REMAINS = 'Arial,Regular"'
# Programs convert widths and heights to their own units. Anything narrower or lower than this hides something.
LEAST_SHARE_OF_SIZE, LEAST_WIDTH_LESS, LEAST_HEIGHT_LESS = 0.9, 1.0, 2.0
MOST_SHARE_OF_SIZE, MOST_MORE = 1.5, 10.0
# How much the letters of a cell may shrink or grow.
LETTER_SIZE_POINTS = 0.5
# A chart may move to an adjacent cell, and its size changes with the width that a program gives a digit.
MOST_CELLS_MOVED = 1
PICTURE_SIZE_SHARE, LAYOUT_SHARE = 0.3, 0.02
MOST_INTO_CELL = 2_000_000  # EMU into the cell where the chart starts
# A chart may lose its stored values, bar labels, error bars, titles and axis limits; what remains of them must be as
# it was written. Its number formats may become those of the cells.
CHART_TAGS = frozenset(_LISTS["CHART_TAGS"])
NAMED_AFTER = ("tx", "plus", "minus")  # one program names a series after the cells of its error bars
CHART_COLORS = frozenset({"000000"})  # the default color of letters and lines, which some programs write out
CHART_FORMATS = frozenset({"General", ""})
CHART_SIZES = (700, 1600)  # of letters, in hundredths of a point
DRAWING_TAGS = frozenset(_LISTS["DRAWING_TAGS"])
