"""Everything that deals with files and workbooks; no formulas of the trade."""

import os

# openpyxl reads this when it is first imported; by default it writes with lxml if that is installed. The cells are
# the same either way, but the bytes are not, and equal results must give equal files on every machine.
os.environ["OPENPYXL_LXML"] = "False"
