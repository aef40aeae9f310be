"""How much a workbook may hold before it is refused unread.

All are choices of this project, set well above the largest season that the definitions permit and low enough that
no file can keep a small machine busy for long.
"""

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

PIECE_BYTES = 131_072  # parts are unpacked and parsed in pieces of this size
MAX_TOKEN_BYTES = 2 * MEGABYTE  # one tag or remark; the parser starts again on an unfinished one with every piece
