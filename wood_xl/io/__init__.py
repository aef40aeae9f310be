"""Everything that knows what a file or a workbook is; no formula of the trade."""

import os

# openpyxl asks this once, when it is first imported, and writes through lxml wherever it finds it. The cells are the
# same either way; the bytes are not, and the same results shall give one file on every machine.
os.environ["OPENPYXL_LXML"] = "False"
