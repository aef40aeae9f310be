"""Packs a workbook into bytes that are the same for the same content, and writes files whole or not at all."""

from __future__ import annotations

import errno
import os
import re
import shutil
import stat
import unicodedata
import zipfile
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from functools import cache
from html import unescape
from io import BytesIO
from itertools import count
from pathlib import Path
from typing import IO

from openpyxl import Workbook

from wood_xl.errors import OutputNotWritable, shown
from wood_xl.io.looks import FONT
from wood_xl.io.temporary import PREFIX, sweep

Identity = tuple[int | str, int | str]

CREATOR = "wood_xl"
STAMP = (1980, 1, 1, 0, 0, 0)  # the earliest time a zip can hold
STAMP_TEXT = b"1980-01-01T00:00:00Z"
FILE_RIGHTS = 0o644 << 16
UNIX = 3
FIRST_PARTS = ("mimetype", "[Content_Types].xml", "_rels/.rels")
CORE_PART, WORKBOOK_PART = "docProps/core.xml", "xl/workbook.xml"
APPLICATION_PART = "docProps/app.xml"
SHEET_PART, STYLES_PART = "xl/worksheets/sheet{}.xml", "xl/styles.xml"
DRAWING_PART, CHART_PARTS = "xl/drawings/drawing{}.xml", "xl/charts/"
WRAPPED, ON_ONE_LINE = b'wrap="square"', b'wrap="none"'  # chart labels; the library can only write the first
PLAIN_FONT = f'<font><name val="{FONT}"/><family val="2"/><sz val="10"/></font>'.encode()
APPLICATION = (
    b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
    b'<Properties xmlns="http://schemas.openxmlformats.org/officeDocument/2006/extended-properties">'
    b"<Application>wood_xl</Application></Properties>"
)
# Builds of zlib compress the same content to different bytes. So parts of small workbooks are stored uncompressed; a
# larger file has the same parts, but not the same bytes, on every machine.
STORED_BELOW_BYTES = 4_000_000

_TIMES = re.compile(rb"(<dcterms:(?:created|modified)[^>]*>)[^<]*")
_FIRST_FONT = re.compile(rb"(<fonts\b[^>]*>\s*)<font>.*?</font>", re.DOTALL)
_SHEET_TITLE = re.compile(r'<sheet\b[^>]*\bname="([^"]*)"')
_NO_ROWS = re.compile(rb"<sheetData\s*/>|<sheetData>\s*</sheetData>")
_IN_QUOTES = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "\n": "&#10;"})
_DISK_FULL = (errno.ENOSPC, errno.EDQUOT)


def packed(
    workbook: Workbook,
    rows: Sequence[IO[bytes] | None] = (),
    *,
    is_own: bool = True,
    chart_texts: Sequence[Sequence[str]] = (),
) -> bytes:
    """The bytes of a workbook file, without the time or a library version in them, and with parts in a fixed order.

    rows: for each sheet, its rows as XML if they were written separately.
    is_own: False for a user's workbook, which keeps the font of its unstyled cells.
    chart_texts: for each sheet with charts, a description of each chart for people who cannot see it.
    """
    workbook.properties.creator = CREATOR
    saved, out = BytesIO(), BytesIO()
    workbook.save(saved)
    rows_of = {SHEET_PART.format(number): text for number, text in enumerate(rows, start=1) if text is not None}
    texts_of = {DRAWING_PART.format(number): texts for number, texts in enumerate(chart_texts, start=1)}
    with zipfile.ZipFile(saved) as archive, zipfile.ZipFile(out, "w") as repacked:
        sizes = {part.filename: part.file_size for part in archive.infolist()}
        for name, text in rows_of.items():
            sizes[name] += text.seek(0, os.SEEK_END)
        stored = sum(sizes.values()) < STORED_BELOW_BYTES
        for name in sorted(sizes, key=_part_order):
            entry = _entry(name, stored=stored)
            entry.file_size = sizes[name]
            with repacked.open(entry, "w") as target:
                texts = texts_of.get(name, ())
                for stream in _part_streams(archive, name, rows_of.get(name), is_own=is_own, chart_texts=texts):
                    shutil.copyfileobj(stream, target)  # not all at once: the rows may be larger than memory allows
    return out.getvalue()


def archived(parts: Mapping[str, bytes]) -> bytes:
    """The parts of a file as an archive; ``mimetype`` is first and uncompressed, as OpenDocument asks."""
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


def _part_streams(
    saved: zipfile.ZipFile, name: str, rows: IO[bytes] | None, *, is_own: bool, chart_texts: Sequence[str]
) -> Sequence[IO[bytes]]:
    """The content of a part, with all our changes to what the library saved.

    The time and the library's version are removed. The first font of the styles, which the library's interface cannot
    set, becomes ours: unstyled cells have it, and column widths count its digits. Rows that were written separately
    are put in. Chart labels stay on one line and charts get a description, neither of which the library can write.
    """
    if name in (CORE_PART, APPLICATION_PART):
        core = _TIMES.sub(rb"\g<1>" + STAMP_TEXT, saved.read(name))
        return [BytesIO(core if name == CORE_PART else APPLICATION)]
    if name == STYLES_PART and is_own:
        return [BytesIO(_FIRST_FONT.sub(rb"\g<1>" + PLAIN_FONT, saved.read(name), count=1))]
    if chart_texts or name.startswith(CHART_PARTS):
        return [BytesIO(_with_texts(saved.read(name).replace(WRAPPED, ON_ONE_LINE), chart_texts))]
    if rows is not None:
        before, after = _NO_ROWS.split(saved.read(name))
        rows.seek(0)
        return [BytesIO(before + b"<sheetData>"), rows, BytesIO(b"</sheetData>" + after)]
    return [saved.open(name)]


def _with_texts(drawing: bytes, texts: Sequence[str]) -> bytes:
    for number, text in enumerate(texts, start=1):
        name = f'name="Chart {number}"'.encode()
        drawing = drawing.replace(name, name + f' descr="{text.translate(_IN_QUOTES)}"'.encode())
    return drawing


def _part_order(name: str) -> tuple[int, str]:
    """Sort key: some programs look for the content types in the first bytes of the file."""
    rank = FIRST_PARTS.index(name) if name in FIRST_PARTS else len(FIRST_PARTS)
    return rank, name


def require_apart(outputs: Iterable[Path], inputs: Iterable[Path]) -> None:
    """Refuse a run that would overwrite one of its inputs, or write one file twice, by whatever name or link.

    Call it with all inputs and outputs of a run before anything is written.
    """
    for fault in clashes([[path] for path in outputs], inputs, twice="output-twice"):
        if fault is not None:
            raise fault


def require_outputs(
    files: Sequence[Path],
    inputs: Sequence[Path],
    *,
    replace: bool,
    tables: Path | None = None,
    again: Path | None = None,
) -> None:
    """Refuse a run that may not or cannot write one of its files, before any work is done.

    tables: a folder for some of the files, which is created if it does not exist.
    again: one of the files that may be overwritten.
    """
    require_apart([*files, *([] if tables is None else [tables])], inputs)
    if tables is not None and os.path.lexists(tables) and not tables.is_dir():
        raise OutputNotWritable("output-is-file", file=shown(tables))
    for path in files:
        if path.parent != tables or tables.is_dir():
            require_writable(path, replace=replace or path == again)


def clashes(
    wanted: Sequence[Sequence[Path]], inputs: Iterable[Path], twice: str = "output-wanted-twice"
) -> list[OutputNotWritable | None]:
    """For each part of a run, why it may not write its ``wanted`` files: one is an input, or another part's too.

    twice: the code for the latter.
    """
    inputs_read = {_identity(path) for path in inputs}
    writers_n = Counter(_identity(path) for paths in wanted for path in paths)

    def clash(paths: Sequence[Path]) -> OutputNotWritable | None:
        for path in paths:
            identity = _identity(path)
            if identity in inputs_read:
                return OutputNotWritable("output-is-input", file=shown(path))
            if writers_n[identity] > 1:
                return OutputNotWritable(twice, file=shown(path))
        return None

    return [clash(paths) for paths in wanted]


def _identity(path: Path) -> Identity:
    """The same for all names of one file; for a file that does not exist, its folder and its name there."""
    try:
        state = path.stat()
    except (OSError, ValueError):
        state = None
    if state is None or not state.st_ino:  # some file systems number no files
        folder = Path(os.path.realpath(path.parent))
        name = unicodedata.normalize("NFC", path.name)
        return (str(folder), name.casefold() if _ignores_case(folder) else name)
    return (state.st_dev, state.st_ino)


@cache
def _ignores_case(folder: Path) -> bool:
    other = folder.parent / folder.name.swapcase() if folder.name else Path(str(folder).swapcase())  # drive letter
    try:
        return str(other) != str(folder) and other.samefile(folder)
    except OSError:
        return False


def require_writable(path: Path, *, replace: bool, inputs: Iterable[Path] = ()) -> None:
    """Refuse an output path that may not or cannot be written, or is one of the inputs by whatever name or link."""
    if not path.parent.is_dir():
        raise OutputNotWritable("output-no-folder", file=shown(path), folder=shown(path.parent))
    if path.exists() and not path.is_file():  # a file would replace the device or pipe that others read from
        found = "a folder" if path.is_dir() else "a device or a pipe"
        raise OutputNotWritable("output-is-folder", file=shown(path), found=found)
    require_apart([path], inputs)
    if not replace and os.path.lexists(path):
        raise OutputNotWritable("output-exists", file=shown(path))


def is_as_written(path: Path) -> bool:
    """Whether a file is a workbook as this program wrote it: other programs put their own name in when they save.

    False for a link or a read-only file.
    """
    return sheets_as_written(path) is not None


def sheets_as_written(path: Path) -> set[str] | None:
    """Sheet titles of a workbook as this program wrote it, see ``is_as_written``; None for any other file."""
    try:
        if path.is_symlink() or not path.stat().st_mode & stat.S_IWUSR:
            return None
        with zipfile.ZipFile(path) as package:
            has_our_length = package.getinfo(APPLICATION_PART).file_size == len(APPLICATION)
            if not has_our_length or package.read(APPLICATION_PART) != APPLICATION:
                return None
            return {unescape(title) for title in _SHEET_TITLE.findall(package.read(WORKBOOK_PART).decode())}
    except (OSError, ValueError, LookupError, zipfile.BadZipFile, NotImplementedError, RuntimeError):
        return None


def write_atomically(path: Path, data: bytes, *, replace: bool, inputs: Iterable[Path] = ()) -> None:
    """Write a file so that its path always holds the old content or all of the new; a link is replaced.

    Raises OutputNotWritable, and then leaves nothing behind.
    """
    require_writable(path, replace=replace, inputs=inputs)
    try:
        temporary = _written_beside(path, data)
        try:
            _move(temporary, path, replace=replace)
        finally:
            with suppress(OSError):  # a virus scanner may have it open: a later run removes it
                temporary.unlink(missing_ok=True)
    except FileExistsError as error:
        raise OutputNotWritable("output-exists", file=shown(path)) from error
    except OSError as error:
        code = "output-disk-full" if error.errno in _DISK_FULL else "output-not-writable"
        raise OutputNotWritable(code, file=shown(path), found=error.strerror or type(error).__name__) from error


def _written_beside(path: Path, data: bytes) -> Path:
    sweep(path.parent, f".{PREFIX}")
    for number in count():
        temporary = path.parent / f".{PREFIX}{os.getpid()}-{number}.part"
        try:
            file = temporary.open("xb")  # with the permissions of any new file, unlike those of ``tempfile``
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
    try:
        path.hardlink_to(temporary)  # fails if somebody else created the file in the meantime
    except FileExistsError:
        raise
    except OSError:  # a file system without hard links
        if os.path.lexists(path):
            raise FileExistsError from None
        temporary.replace(path)  # without reserving the name first: a killed run would leave an empty file
