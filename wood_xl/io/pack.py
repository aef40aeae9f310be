"""Workbook to bytes that are the same for the same content, and bytes to a file that is whole or not there."""

from __future__ import annotations

import errno
import os
import re
import shutil
import zipfile
from collections.abc import Iterable, Mapping
from io import BytesIO
from itertools import count
from pathlib import Path
from typing import IO

from openpyxl import Workbook
from openpyxl.writer.excel import ExcelWriter

from wood_xl.errors import OutputNotWritable

CREATOR = "wood_xl"
STAMP = (1980, 1, 1, 0, 0, 0)  # the earliest that a zip can hold
STAMP_TEXT = b"1980-01-01T00:00:00Z"
FILE_RIGHTS = 0o644 << 16
UNIX = 3
FIRST_PARTS = ("mimetype", "[Content_Types].xml", "_rels/.rels")
CORE_PART = "docProps/core.xml"
APPLICATION_PART = "docProps/app.xml"
APPLICATION = (
    b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
    b'<Properties xmlns="http://schemas.openxmlformats.org/officeDocument/2006/extended-properties">'
    b"<Application>wood_xl</Application></Properties>"
)
# Builds of zlib compress the same content to different bytes. Stored parts are the same everywhere, and below this
# size nobody minds them; above it only the parts, not the file, are the same on every machine.
STORED_BELOW_BYTES = 2_000_000
FASTEST = 1  # for the copy in memory that the library saves to

_TIMES = re.compile(rb"(<dcterms:(?:created|modified)[^>]*>)[^<]*")
_FULL = (errno.ENOSPC, errno.EDQUOT)


def packed(workbook: Workbook) -> bytes:
    """The workbook as a file's bytes: no clock, no version of a library, parts in one order.

    The workbook's creator is set on the way. A write-only workbook can be packed once.
    """
    workbook.properties.creator = CREATOR
    saved = BytesIO()
    with zipfile.ZipFile(saved, "w", zipfile.ZIP_DEFLATED, compresslevel=FASTEST) as archive:
        ExcelWriter(workbook, archive).save()
    with zipfile.ZipFile(saved) as archive:
        return _repacked(archive)


def _repacked(saved: zipfile.ZipFile) -> bytes:
    """The saved parts again, each copied piece by piece: one of them may be larger than all else in memory."""
    stored = sum(part.file_size for part in saved.infolist()) < STORED_BELOW_BYTES
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name in sorted(saved.namelist(), key=_part_order):
            entry = _entry(name, stored=stored)
            entry.file_size = saved.getinfo(name).file_size
            with _settled(saved, name) as source, archive.open(entry, "w") as target:
                shutil.copyfileobj(source, target)
    return out.getvalue()


def archived(parts: Mapping[str, bytes]) -> bytes:
    """Parts of an OpenDocument file as an archive; what it is stands first and unpacked, as the format asks."""
    stored = sum(map(len, parts.values())) < STORED_BELOW_BYTES
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name in sorted(parts, key=_part_order):
            archive.writestr(_entry(name, stored=stored or name == FIRST_PARTS[0]), parts[name])
    return out.getvalue()


def _entry(name: str, *, stored: bool) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, STAMP)
    entry.create_system = UNIX
    entry.external_attr = FILE_RIGHTS
    entry.compress_type = zipfile.ZIP_STORED if stored else zipfile.ZIP_DEFLATED
    return entry


def _settled(saved: zipfile.ZipFile, name: str) -> IO[bytes]:
    """Content of a part, without the clock and the version of a library that two of them hold."""
    if name == CORE_PART:
        return BytesIO(_TIMES.sub(rb"\g<1>" + STAMP_TEXT, saved.read(name)))
    if name == APPLICATION_PART:
        return BytesIO(APPLICATION)
    return saved.open(name)


def _part_order(name: str) -> tuple[int, str]:
    """Programs that look no further than the first bytes expect the content types there."""
    rank = FIRST_PARTS.index(name) if name in FIRST_PARTS else len(FIRST_PARTS)
    return rank, name


def require_writable(path: Path, *, replace: bool, inputs: Iterable[Path] = ()) -> None:
    """Refuse an output path that must not or cannot be written, before work is put into it.

    Parameters
    ----------
    path : Path
        Where a file is to be written.
    replace : bool
        Whether a file that is there may be replaced.
    inputs : iterable of Path
        Files that are never written to, by whatever name or link.

    Raises
    ------
    OutputNotWritable
        With the code ``output-no-folder``, ``output-is-folder``, ``output-is-input`` or ``output-exists``.
    """
    if not path.parent.is_dir():
        raise OutputNotWritable("output-no-folder", file=str(path), folder=str(path.parent))
    if path.is_dir():
        raise OutputNotWritable("output-is-folder", file=str(path))
    if any(_is_same(path, source) for source in inputs):
        raise OutputNotWritable("output-is-input", file=str(path))
    if not replace and os.path.lexists(path):
        raise OutputNotWritable("output-exists", file=str(path))


def write_atomically(path: Path, data: bytes, *, replace: bool, inputs: Iterable[Path] = ()) -> None:
    """Write a file so that its path holds the old content or the new, never a part of it.

    Parameters
    ----------
    path : Path
        Where to write. A link is replaced, not followed.
    data : bytes
        The whole content.
    replace : bool
        Whether a file that is there may be replaced.
    inputs : iterable of Path
        Files that are never written to, by whatever name or link.

    Raises
    ------
    OutputNotWritable
        As ``require_writable``, and with the codes ``output-not-writable`` and ``output-disk-full``. Nothing is left
        behind.
    """
    require_writable(path, replace=replace, inputs=inputs)
    try:
        temporary = _written_beside(path, data)
        try:
            _move(temporary, path, replace=replace)
        finally:
            temporary.unlink(missing_ok=True)
    except FileExistsError as error:
        raise OutputNotWritable("output-exists", file=str(path)) from error
    except OSError as error:
        code = "output-disk-full" if error.errno in _FULL else "output-not-writable"
        raise OutputNotWritable(code, file=str(path), found=error.strerror or type(error).__name__) from error


def _written_beside(path: Path, data: bytes) -> Path:
    """A new file in the same folder, with the data on the disk."""
    for number in count():
        temporary = path.parent / f".wood_xl-{os.getpid()}-{number}.part"
        try:
            file = temporary.open("xb")  # its rights are those of any new file, unlike a tempfile's
        except FileExistsError:
            continue
        try:
            with file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
        except BaseException:
            temporary.unlink(missing_ok=True)
            raise
        return temporary
    raise AssertionError  # count() does not end


def _move(temporary: Path, path: Path, *, replace: bool) -> None:
    if replace:
        temporary.replace(path)
        return
    with path.open("xb"):  # claims the name: fails if a file came there since it was looked for
        pass
    try:
        temporary.replace(path)
    except BaseException:
        path.unlink(missing_ok=True)
        raise


def _is_same(path: Path, source: Path) -> bool:
    try:
        return path.samefile(source)
    except OSError:  # one of them is not there
        return False
