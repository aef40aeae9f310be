"""How much a workbook may hold before it is refused unread.

All are choices of this project, set well above the largest season that the definitions permit and low enough that
no file can keep a small machine busy for long.
"""

from collections.abc import Mapping

from wood_xl.schema.layout import HEADER_SEARCH_ROWS

MEGABYTE = 1_000_000

MAX_FILE_BYTES = 50 * MEGABYTE  # a file that fills the memory before anything is known of it
# Zip bombs: a small file that unpacks to more than the memory, in one part or in many. Honest workbooks expand 5 to
# 15 times, one long run of equal bytes about 1,000 times.
MAX_EXPANDED_BYTES = 300 * MEGABYTE  # all parts together, unpacked
MAX_EXPANSION = 200  # times
EXPANSION_FREE_BYTES = 10 * MEGABYTE  # below this a part may expand as much as it likes
MAX_PARTS = 5_000  # an archive that is nothing but a list of parts

MAX_ROW = 1_048_576  # the file format's own limits; a cell beyond them makes a reader allot what lies between
MAX_COLUMN = 16_384

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


def kept_rows(title: str, row_limits: Mapping[str, int]) -> int:
    """How many filled rows of a sheet are kept; the header and what stands above it are counted too.

    Without any limits every row is kept, as far as the file's format goes.
    """
    limit = row_limits.get(title.strip().casefold())
    if limit is not None:
        return limit + HEADER_SEARCH_ROWS
    return STRANGER_ROWS if row_limits else MAX_ROW
