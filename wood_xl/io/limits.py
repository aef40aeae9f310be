"""Limits of the workbook format and its programs, limits on what is read from a file, and text that fits a cell.

The format limits are those of .xlsx as the common programs enforce them; nobody publishes them in one place. A text
that is too long is never cut silently. The limits on reading are this project's choice: well above the largest season
that the definitions permit, and low enough that no file keeps a small machine busy for long.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from textwrap import shorten

from wood_xl.page_texts import InFile
from wood_xl.schema.layout import HEADER_SEARCH_ROWS
from wood_xl.schema.words import phrase

MAX_ROW = 1_048_576  # for a cell beyond these a reader may allocate all cells before it
MAX_COLUMN = 16_384
CELL_TEXT = 32_767  # UTF-16 units, as the programs count
SHEET_TITLE = 31
PROMPT_TITLE = 32  # also of the title over a refusal
PROMPT_TEXT = 255
REFUSAL_TEXT = 225  # some programs take 255, some cut at 225

# How much a workbook may hold before it is refused.
MEGABYTE = 1_000_000

MAX_FILE_BYTES = 50 * MEGABYTE  # a file that fills the memory before it is checked
# Zip bombs: a small file that unpacks to more than the memory, in one part or in many. Honest workbooks expand 5 to
# 15 times, one long run of equal bytes about 1,000 times.
MAX_EXPANDED_BYTES = 300 * MEGABYTE  # all parts together, unpacked
MAX_EXPANSION = 200  # times
EXPANSION_FREE_BYTES = 10 * MEGABYTE  # below this a part may expand as much as it likes
MAX_PARTS = 5_000  # an archive that is nothing but a list of parts

# Parts of well under a megabyte, zipped, that hold millions of cells: one object for each fills the memory.
MAX_FILLED_CELLS = 3_000_000  # of the whole workbook; the longest heart trace has 2 million
MAX_BLANK_CELLS = 2_000_000  # cells that hold nothing but a colour, a border or a format
MAX_ROW_RECORDS = 2_000_000
MAX_SHARED_TEXTS = 1_000_000
MAX_RANGE_CELLS = 50_000  # merged cells, links and comments together: other readers make one object for each cell
MAX_TEXT_LENGTH = 100_000  # of one cell, put together from many runs; the .xlsx format allows 32,767
MAX_TEXT_KEPT = 20_000_000  # characters of all different texts together
MAX_SHEETS = 1_000
MAX_NAMES = 20_000  # defined names
MAX_RELATIONS = 20_000  # of one part
MAX_HIDDEN_COLUMNS = 1_000_000  # of all sheets together
MAX_FORMAT_LENGTH = 1_000  # of a number format; programs take 255
MAX_STYLES = 100_000  # of cells
STRANGER_ROWS = 5_000  # of a sheet that no definition knows

# Tags without end that are neither kept nor cells: they cost time alone.
MAX_OTHER_TAGS = 3_000_000  # that are neither row nor cell nor value
MAX_CHART_TAGS = 200_000  # of all charts and drawings, which verify keeps in memory; those of results have 12,000
MAX_TAGS = 15_000_000  # opening and closing, of the whole file; the longest heart trace has 9 million

# A marked copy keeps every cell in memory, at several times the cost of reading it.
MAX_COPIED_TAGS = {".xlsx": 500_000, ".ods": 4_000_000}
MAX_COPIED_BYTES = {".xlsx": 15 * MEGABYTE, ".ods": 60 * MEGABYTE}

KEPT_VALUES = 50_000  # values whose cell object is shared; more would gain nothing where all values differ

PIECE_BYTES = 131_072  # parts are unpacked and parsed in pieces of this size
MAX_TOKEN_BYTES = 2 * MEGABYTE  # one endless tag or comment, which the parser scans again with every piece

# What XML 1.0 cannot hold. openpyxl writes lone surrogates and U+FFFE without complaint, and the file is unreadable.
_NOT_STORABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_LINE_END = re.compile("\r\n?")
# Programs read ``_x000D_`` as a control character. If a user typed it, its first underscore is escaped to keep it.
_LIKE_ESCAPE = re.compile("_(?=x[0-9A-Fa-f]{4}_)")


def storable_text(text: str) -> str:
    r"""Text that a cell can hold, with nothing lost silently.

    A character that XML cannot hold becomes ``[character 11]``, line ends become line feeds, and a text that is too
    long for a cell is cut, with a note of how much was cut.

    >>> storable_text("knotty\x0bnorth side")
    'knotty[character 11]north side'
    """
    if text.isprintable() and "_x" not in text and len(text) * 2 <= CELL_TEXT:
        return text  # quick exit for most texts
    shown = _NOT_STORABLE.sub(lambda match: phrase(InFile.CHARACTER, number=ord(match[0])), _LINE_END.sub("\n", text))
    shown = _LIKE_ESCAPE.sub("_x005F_", shown)
    if len(shown) * 2 <= CELL_TEXT or cell_length(shown) <= CELL_TEXT:
        return shown
    return _cut(shown)


def cell_length(text: str) -> int:
    """Length of a text in UTF-16 units, as spreadsheet programs count it."""
    return len(text.encode("utf-16-le", "surrogatepass")) // 2


def _cut(text: str) -> str:
    room = CELL_TEXT - len(phrase(InFile.CUT, n=len(text)))
    kept = text.encode("utf-16-le")[: 2 * room].decode("utf-16-le", "ignore")
    return kept + phrase(InFile.CUT, n=len(text) - len(kept))


def short_title(text: str) -> str:
    """A title for a message beside a cell: as many whole words as fit, then dots if some do not.

    >>> short_title("Margin that would not change your choice")
    'Margin that would not change...'
    """
    return shorten(text, PROMPT_TITLE, placeholder="...", break_on_hyphens=False)


def row_limit(title: str, row_limits: Mapping[str, int]) -> int:
    """How many filled rows of a sheet are read, including the header and the rows above it.

    Without any ``row_limits`` all rows are read.
    """
    limit = row_limits.get(title.strip().casefold())
    if limit is not None:
        return limit + HEADER_SEARCH_ROWS
    return STRANGER_ROWS if row_limits else MAX_ROW
