"""The reading sheets of the results: from the results document to pages, and from pages to a workbook."""

import wood_xl.io  # noqa: F401 - sets how openpyxl writes; it must come before that import
