"""Everything that knows what a file or a workbook is; no formula of the trade."""
