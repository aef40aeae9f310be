"""How much a workbook may hold before it is refused unread.

All are choices of this project, set well above the largest season that the definitions permit and low enough that
no file can keep a small machine busy for long.
"""

from collections.abc import Mapping

from wood_xl.schema.layout import HEADER_SEARCH_ROWS

MEGABYTE = 1_000_000

MAX_FILE_BYTES = 50 * MEGABYTE
MAX_EXPANDED_BYTES = 300 * MEGABYTE  # all parts together, unpacked
MAX_EXPANSION = 200  # times; honest workbooks expand 5 to 15 times, one long run of equal bytes about 1,000 times
EXPANSION_FREE_BYTES = 10 * MEGABYTE  # below this a part may expand as much as it likes
MAX_PARTS = 5_000

MAX_ROW = 1_048_576  # the file format's own limits
MAX_COLUMN = 16_384

MAX_FILLED_CELLS = 5_000_000  # of the whole workbook
MAX_BLANK_CELLS = 2_000_000  # cells that hold nothing but a colour, a border or a format
MAX_ROW_RECORDS = 2_000_000
MAX_SHARED_TEXTS = 2_000_000
MAX_RANGE_CELLS = 100_000  # merged cells, links and comments together: other readers make one object for each cell
MAX_TEXT_LENGTH = 1_000_000  # of one cell; the file format allows 32,767
MAX_TEXT_KEPT = 20_000_000  # characters of all different texts together
MAX_SHEETS = 1_000
MAX_NAMES = 100_000  # defined names
MAX_TAGS = 20_000_000  # opening and closing, of the whole file; the longest heart trace has 9 million

# A marked copy holds every cell in memory, at several times the cost of reading it.
MAX_COPIED_TAGS = {".xlsx": 800_000, ".ods": 4_000_000}
MAX_COPIED_BYTES = 100 * MEGABYTE

KEPT_VALUES = 50_000  # equal values share one cell object up to this many; most columns repeat a few values

PIECE_BYTES = 131_072  # parts are unpacked and parsed in pieces of this size
MAX_TOKEN_BYTES = 2 * MEGABYTE  # one tag or remark; the parser starts again on an unfinished one with every piece


def kept_rows(title: str, row_limits: Mapping[str, int]) -> int:
    """How many filled rows of a sheet are kept; the header and what stands above it are counted too."""
    limit = row_limits.get(title.strip().casefold())
    return MAX_ROW if limit is None else limit + HEADER_SEARCH_ROWS
