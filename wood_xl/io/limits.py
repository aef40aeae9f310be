"""Sizes that the workbook format or its programs set, text made fit to be stored, and how much is read of a file.

Those of programs are published nowhere in one place; all are those of the .xlsx format as the common programs enforce
them. A text beyond a size is never cut in silence. How much a workbook may hold before it is refused unread is a
choice of this project, set well above the largest season that the definitions permit and low enough that no file can
keep a small machine busy for long.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from textwrap import shorten

from wood_xl.pages import InFile
from wood_xl.schema.layout import HEADER_SEARCH_ROWS
from wood_xl.schema.words import phrase

MAX_ROW = 1_048_576  # a cell beyond these makes a reader allot what lies between
MAX_COLUMN = 16_384
CELL_TEXT = 32_767  # UTF-16 units, as the programs count
SHEET_TITLE = 31
PROMPT_TITLE = 32  # also of the title over a refusal
PROMPT_TEXT = 255
REFUSAL_TEXT = 225  # some programs take 255, some cut at 225

# How much a workbook may hold before it is refused.
MEGABYTE = 1_000_000

MAX_FILE_BYTES = 50 * MEGABYTE  # a file that fills the memory before anything is known of it
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
MAX_TAGS = 15_000_000  # opening and closing, of the whole file; the longest heart trace has 9 million

# A marked copy holds every cell in memory, at several times the cost of reading it.
MAX_COPIED_TAGS = {".xlsx": 500_000, ".ods": 4_000_000}
MAX_COPIED_BYTES = {".xlsx": 15 * MEGABYTE, ".ods": 60 * MEGABYTE}

KEPT_VALUES = 50_000  # equal values share one cell object up to this many; a file of different ones gains nothing

PIECE_BYTES = 131_072  # parts are unpacked and parsed in pieces of this size
MAX_TOKEN_BYTES = 2 * MEGABYTE  # one endless tag or remark: the parser begins it anew with every piece

# What XML 1.0 cannot carry. Lone surrogates and U+FFFE are saved without complaint and spoil the whole file.
_NOT_STORABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_LINE_END = re.compile("\r\n?")
# Programs read ``_x000D_`` as a control character. The same text typed by a person is kept by writing its first
# underscore as an escape of its own.
_LIKE_ESCAPE = re.compile("_(?=x[0-9A-Fa-f]{4}_)")


def storable_text(text: str) -> str:
    r"""Text as a cell can hold it, with nothing lost unseen.

    A character that XML cannot carry becomes ``[character 11]``, line ends become line feeds, and a text longer than
    a cell is cut and ends with how much was cut.

    >>> storable_text("knotty\x0bnorth side")
    'knotty[character 11]north side'
    """
    if text.isprintable() and "_x" not in text and len(text) * 2 <= CELL_TEXT:
        return text  # as most are: the rest looks for what cannot be printed
    shown = _NOT_STORABLE.sub(lambda match: phrase(InFile.CHARACTER, number=ord(match[0])), _LINE_END.sub("\n", text))
    shown = _LIKE_ESCAPE.sub("_x005F_", shown)
    if len(shown) * 2 <= CELL_TEXT or cell_length(shown) <= CELL_TEXT:
        return shown
    return _cut(shown)


def cell_length(text: str) -> int:
    """Length of a text as the programs count it: in UTF-16 units."""
    return len(text) + sum(1 for letter in text if letter > "\uffff")


def _cut(text: str) -> str:
    room = CELL_TEXT - len(phrase(InFile.CUT, n=len(text)))
    kept = text[:room]
    while cell_length(kept) > room:
        kept = kept[: len(kept) - (cell_length(kept) - room + 1) // 2]
    return kept + phrase(InFile.CUT, n=len(text) - len(kept))


def short_title(text: str) -> str:
    """A title that a message beside a cell can have: the whole words that fit, with dots if some do not.

    >>> short_title("Margin that would not change your choice")
    'Margin that would not change...'
    """
    return shorten(text, PROMPT_TITLE, placeholder="...", break_on_hyphens=False)


def kept_rows(title: str, row_limits: Mapping[str, int]) -> int:
    """How many filled rows of a sheet are kept; the header and what stands above it are counted too.

    Without any limits every row is kept, as far as the file's format goes.
    """
    limit = row_limits.get(title.strip().casefold())
    if limit is not None:
        return limit + HEADER_SEARCH_ROWS
    return STRANGER_ROWS if row_limits else MAX_ROW
