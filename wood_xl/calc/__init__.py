"""Formulas: pure functions on plain SI numbers; no file, no workbook, no clock."""
