"""From an OpenDocument spreadsheet (.ods) to raw cells, with the standard library alone.

The known libraries were tried on files of two spreadsheet programs: one ends with a fault on any duration of 24 hours
or more, the other on every file of one of the programs, and both give an error cell as an empty one.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from wood_xl.errors import UnreadableWorkbook
from wood_xl.io.file_kind import CONTENT_PART
from wood_xl.io.ods_content import ContentPart
from wood_xl.io.package import Package
from wood_xl.io.read_limits import kept_rows
from wood_xl.io.template_version import template_version
from wood_xl.raw import RawBook

MACROS = "The workbook holds macros; they were not run."
OUTSIDE = "The workbook asks for data from other files; nothing was fetched."
MACRO_FOLDERS = ("basic/", "scripts/")

_ONE_CELL = re.compile(r"\$?(?:'((?:[^']|'')+)'|([^'.\[\]]+))\.(\$?[A-Z]{1,3}\$?[0-9]{1,7})")


def read_open_document(package: Package, row_limits: Mapping[str, int]) -> RawBook:
    """The workbook in an OpenDocument package; see ``reader.read_workbook`` for what is returned and raised.

    Parameters
    ----------
    package : Package
        The file, looked through by the guard.
    row_limits : mapping of str to int
        For a sheet's title in ``casefold`` form, how many filled rows below the header are read.
    """
    content = ContentPart(package, lambda title: kept_rows(title, row_limits))
    package.parse(CONTENT_PART, content)
    if not content.is_spreadsheet:
        raise UnreadableWorkbook("file-wrong-kind", file=package.file, found="an OpenDocument file without a sheet")
    if not content.sheets:
        raise UnreadableWorkbook("file-no-sheets", file=package.file)
    for name in package.unread():
        package.look_through(name)
    notes = [MACROS] if any(name.startswith(MACRO_FOLDERS) for name in package.names()) else []
    if content.links_outside:
        notes.append(OUTSIDE)
    version = template_version(content.names, _ONE_CELL, content.sheets)
    return RawBook(tuple(content.sheets), package.sha256, version, tuple(notes))
