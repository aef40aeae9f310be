"""What another spreadsheet program may change in a workbook when it saves it again, and what it may leave out.

Gathered from what such programs do to results, and from what the format leaves open. Whatever stands in none of these
tables must be as it was written.
"""

from __future__ import annotations

# Kinds of parts, by the last word of the relation that leads to them, that say nothing a reader of the cells sees, or
# whose meaning is compared elsewhere.
PARTS = frozenset(
    {
        "officeDocument",
        "worksheet",
        "styles",
        "sharedStrings",
        "drawing",
        "chart",
        "theme",  # no color and no letter refers to it: those that do are named
        "calcChain",
        "core-properties",
        "extended-properties",
        "custom-properties",
        "printerSettings",
        "chartStyle",  # what a program offers for a new look of a chart
        "chartColorStyle",
    }
)
# Of the workbook, but for its sheets and names.
WORKBOOK_TAGS = frozenset(
    {
        "fileVersion",
        "workbookPr",
        "workbookProtection",  # protects, and hides nothing
        "bookViews",
        "calcPr",
        "webPublishing",
        "fileRecoveryPr",
        "?AlternateContent",  # where the file once lay
        "?Choice",
        "?absPath",
        "?revisionPtr",
        "extLst",  # no part that it could point to is let through
    }
)
# Names that programs add, or write in their own way; ``#REF!`` is a print area that was never set.
NAMES_ADDED = frozenset({"sheet_title"})
NO_RANGE = "#REF!"
NAME_PREFIX = "_xlnm."
# Of a sheet, but for its cells, columns, merged cells, headers, footers and drawings.
SHEET_TAGS = frozenset(
    {
        "sheetPr",
        "dimension",
        "sheetProtection",  # without a lock
        "sheetCalcPr",
        "printOptions",
        "pageMargins",
        "pageSetup",
        "rowBreaks",
        "colBreaks",
        "phoneticPr",
        "ignoredErrors",
    }
)
# Of a view, what a program may set to its own liking; all else must be as the format has it when nothing is said.
VIEW_SETTINGS = frozenset(
    {
    "tabSelected", "workbookViewId", "showGridLines", "showRowColHeaders", "showOutlineSymbols", "showRuler",
    "showWhiteSpace", "defaultGridColor", "colorId", "zoomScale", "zoomScaleNormal", "zoomScaleSheetLayoutView",
    "zoomScalePageLayoutView", "windowProtection", "view", "uid",
    }
)  # fmt: skip
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
CHART_TAGS = frozenset(
    {
    "chartSpace", "date1904", "lang", "roundedCorners", "style", "chart", "title", "tx", "rich", "bodyPr",
    "lstStyle", "p", "pPr", "defRPr", "r", "rPr", "t", "endParaRPr", "solidFill", "srgbClr", "noFill", "ln",
    "prstDash", "round", "miter", "bevel", "latin", "ea", "cs", "sym", "effectLst", "overlay", "spPr", "txPr",
    "autoTitleDeleted", "plotArea", "layout", "barChart", "barDir", "grouping", "varyColors", "ser", "idx", "order",
    "strRef", "f", "strCache", "ptCount", "pt", "v", "invertIfNegative", "dLbls", "dLblPos", "numFmt", "separator",
    "showLegendKey", "showVal", "showCatName", "showSerName", "showPercent", "showBubbleSize", "showLeaderLines",
    "errBars", "errDir", "errBarType", "errValType", "noEndCap", "plus", "minus", "numRef", "numCache",
    "formatCode", "cat", "val", "gapWidth", "overlap", "axId", "scatterChart", "scatterStyle", "marker", "symbol",
    "size", "xVal", "yVal", "smooth", "catAx", "valAx", "scaling", "orientation", "max", "min", "delete", "axPos",
    "majorGridlines", "majorTickMark", "minorTickMark", "tickLblPos", "crossAx", "crosses", "crossesAt",
    "crossBetween", "auto", "lblAlgn", "lblOffset", "noMultiLvlLbl", "majorUnit", "minorUnit", "legend",
    "legendPos", "plotVisOnly", "dispBlanksAs", "showDLblsOverMax", "printSettings", "headerFooter", "pageMargins",
    "pageSetup", "extLst", "ext", "gostyle", "uniqueId",
    }
)  # fmt: skip
NAMED_AFTER = ("tx", "plus", "minus")  # a program takes the cells of a whisker for the name of a row of bars
CHART_COLORS = frozenset({"000000"})  # of letters and lines whose color a program writes out
CHART_FORMATS = frozenset({"General", ""})
CHART_SIZES = (700, 1600)  # of letters, in hundredths of a point
DRAWING_TAGS = frozenset(
    {
    "wsDr", "oneCellAnchor", "twoCellAnchor", "from", "to", "col", "colOff", "row", "rowOff", "ext", "graphicFrame",
    "nvGraphicFramePr", "cNvPr", "cNvGraphicFramePr", "graphicFrameLocks", "xfrm", "off", "graphic", "graphicData",
    "chart", "clientData", "extLst", "creationId",
    }
)  # fmt: skip
