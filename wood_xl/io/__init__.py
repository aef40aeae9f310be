"""Everything that knows what a file or a workbook is; no formula of the trade."""

import os

# openpyxl looks at this once, when it is first imported. With lxml installed it writes other bytes than without, so
# the same results would give two different files on two machines; and only the standard parser is guarded here.
os.environ["OPENPYXL_LXML"] = "False"
