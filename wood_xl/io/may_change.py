"""What another spreadsheet program may change in a workbook when it saves it again, and what it may leave out.

Gathered from what such programs do to results, and from what the format leaves open. Whatever stands in none of these
tables, and in none of ``may_change.json``, must be as it was written.
"""

from __future__ import annotations

import json
from importlib.resources import files

_LISTS = json.loads(files("wood_xl.io").joinpath("may_change.json").read_text(encoding="utf-8"))
# Kinds of parts, by the last word of the relation that leads to them, that say nothing a reader of the cells sees, or
# whose meaning is compared elsewhere.
PARTS = frozenset(_LISTS["PARTS"])
# Of the workbook, but for its sheets and names.
WORKBOOK_TAGS = frozenset(_LISTS["WORKBOOK_TAGS"])
# Names that programs add, or write in their own way; ``#REF!`` is a print area that was never set.
NAMES_ADDED = frozenset({"sheet_title"})
NO_RANGE = "#REF!"
NAME_PREFIX = "_xlnm."
# Of a sheet, but for its cells, columns, merged cells, headers, footers and drawings.
SHEET_TAGS = frozenset(_LISTS["SHEET_TAGS"])
# Of a view, what a program may set to its own liking; all else must be as the format has it when nothing is said.
VIEW_SETTINGS = frozenset(_LISTS["VIEW_SETTINGS"])
VIEW_DEFAULTS = {"showFormulas": "0", "showZeros": "1", "rightToLeft": "0"}
# Of a font in a footer: what is left of it after a program that cannot read it.
FOOTER_REMAINS = 'Arial,Regular"'
# Widths and heights are told in other units; what is narrower or lower than this hides something.
LEAST_SHARE_OF_SIZE, LEAST_WIDTH_LESS, LEAST_HEIGHT_LESS = 0.9, 1.0, 2.0
MOST_SHARE_OF_SIZE, MOST_MORE = 1.5, 10.0
# Letters of a cell may become so much smaller or larger.
LETTER_SIZE_POINTS = 0.5
# A picture may move by a cell's edge, and its far corner with the width that a program gives a digit.
MOST_CELLS_MOVED = 1
PICTURE_SIZE_SHARE, LAYOUT_SHARE = 0.3, 0.02
MOST_INTO_CELL = 2_000_000  # of the cell before, if that holds a picture too
# A picture may lose its stored values, the numbers at its bars, its whiskers, titles and ends of axes. What it has
# of them must be what was written. Its number formats may become those of the cells.
CHART_TAGS = frozenset(_LISTS["CHART_TAGS"])
NAMED_AFTER = ("tx", "plus", "minus")  # a program takes the cells of a whisker for the name of a row of bars
CHART_COLORS = frozenset({"000000"})  # of letters and lines whose color a program writes out
CHART_FORMATS = frozenset({"General", ""})
CHART_SIZES = (700, 1600)  # of letters, in hundredths of a point
DRAWING_TAGS = frozenset(_LISTS["DRAWING_TAGS"])
