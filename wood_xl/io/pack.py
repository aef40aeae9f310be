"""Workbook to bytes that are the same for the same content, and bytes to a file that is whole or not there."""

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
STAMP = (1980, 1, 1, 0, 0, 0)  # the earliest that a zip can hold
STAMP_TEXT = b"1980-01-01T00:00:00Z"
FILE_RIGHTS = 0o644 << 16
UNIX = 3
FIRST_PARTS = ("mimetype", "[Content_Types].xml", "_rels/.rels")
CORE_PART, WORKBOOK_PART = "docProps/core.xml", "xl/workbook.xml"
APPLICATION_PART = "docProps/app.xml"
SHEET_PART, STYLES_PART = "xl/worksheets/sheet{}.xml", "xl/styles.xml"
DRAWING_PART, CHART_PARTS = "xl/drawings/drawing{}.xml", "xl/charts/"
WRAPS, KEEPS_ONE_LINE = b'wrap="square"', b'wrap="none"'  # of a label; the library writes the first alone
PLAIN_FONT = f'<font><name val="{FONT}"/><family val="2"/><sz val="10"/></font>'.encode()
APPLICATION = (
    b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
    b'<Properties xmlns="http://schemas.openxmlformats.org/officeDocument/2006/extended-properties">'
    b"<Application>wood_xl</Application></Properties>"
)
# Builds of zlib compress the same content to different bytes. Stored parts are the same everywhere, and below this
# size nobody minds them; above it only the parts, not the file, are the same on every machine.
STORED_BELOW_BYTES = 4_000_000

_TIMES = re.compile(rb"(<dcterms:(?:created|modified)[^>]*>)[^<]*")
_FIRST_FONT = re.compile(rb"(<fonts\b[^>]*>\s*)<font>.*?</font>", re.DOTALL)
_SHEET_TITLE = re.compile(r'<sheet\b[^>]*\bname="([^"]*)"')
_NO_ROWS = re.compile(rb"<sheetData\s*/>|<sheetData>\s*</sheetData>")
_IN_QUOTES = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "\n": "&#10;"})
_FULL = (errno.ENOSPC, errno.EDQUOT)


def packed(
    workbook: Workbook,
    rows: Sequence[IO[bytes] | None] = (),
    *,
    is_own: bool = True,
    chart_texts: Sequence[Sequence[str]] = (),
) -> bytes:
    """The workbook as a file's bytes: no clock, no version of a library, parts in one order.

    chart_texts: for each sheet with charts, in their order, what each chart shows, for those who cannot see it.

    The workbook's creator is set on the way. ``rows`` are those of its sheets, in their order, where they are written
    apart. A workbook that is not our own keeps the font of its unstyled cells.
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
                for piece in _settled(archive, name, rows_of.get(name), is_own=is_own, chart_texts=texts):
                    shutil.copyfileobj(piece, target)  # in pieces: a part may be larger than all else in memory
    return out.getvalue()


def archived(parts: Mapping[str, bytes]) -> bytes:
    """Parts of a file as an archive; what an OpenDocument file is stands first and unpacked, as the format asks."""
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


def _settled(
    saved: zipfile.ZipFile, name: str, rows: IO[bytes] | None, *, is_own: bool, chart_texts: Sequence[str]
) -> Sequence[IO[bytes]]:
    """Content of a part; all that is changed in what the library saves is changed here.

    Two parts hold the clock and the version of the library. The styles' first font, which has no public name, is that
    of unstyled cells, and column widths count its digits: it has to be the one that is measured. A sheet that was
    saved without rows gets those that were written apart. Of a chart the library cannot say that a label shall
    stay on one line, nor what it shows to those who cannot see it.
    """
    if name in (CORE_PART, APPLICATION_PART):
        core = _TIMES.sub(rb"\g<1>" + STAMP_TEXT, saved.read(name))
        return [BytesIO(core if name == CORE_PART else APPLICATION)]
    if name == STYLES_PART and is_own:
        return [BytesIO(_FIRST_FONT.sub(rb"\g<1>" + PLAIN_FONT, saved.read(name), count=1))]
    if chart_texts or name.startswith(CHART_PARTS):
        return [BytesIO(_with_texts(saved.read(name).replace(WRAPS, KEEPS_ONE_LINE), chart_texts))]
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
    """Programs that look no further than the first bytes expect the content types there."""
    rank = FIRST_PARTS.index(name) if name in FIRST_PARTS else len(FIRST_PARTS)
    return rank, name


def require_apart(outputs: Iterable[Path], inputs: Iterable[Path]) -> None:
    """Refuse a run that would write over one of its inputs, or twice to one place, by whatever name or link.

    It is asked with all inputs and outputs of a run before anything is written.
    """
    read = {_identity(path) for path in inputs}
    written: set[Identity] = set()
    for path in outputs:
        identity = _identity(path)
        if identity in read:
            raise OutputNotWritable("output-is-input", file=shown(path))
        if identity in written:
            raise OutputNotWritable("output-twice", file=shown(path))
        written.add(identity)


def require_outputs(
    files: Sequence[Path],
    inputs: Sequence[Path],
    *,
    replace: bool,
    tables: Path | None = None,
    again: Path | None = None,
) -> None:
    """Refuse a run that must not or cannot write one of its files, before work is put into any.

    tables: a folder for some of them, which is made if it is not there.
    again: one of them that may be written over.
    """
    require_apart([*files, *([] if tables is None else [tables])], inputs)
    if tables is not None and os.path.lexists(tables) and not tables.is_dir():
        raise OutputNotWritable("output-is-file", file=shown(tables))
    for path in files:
        if path.parent != tables or tables.is_dir():
            require_writable(path, replace=replace or path == again)


def clashes(wanted: Sequence[Sequence[Path]], inputs: Iterable[Path]) -> list[OutputNotWritable | None]:
    """For each part of a run, by the files that it writes, why it must not: one is an input, or of another part."""
    read = {_identity(path) for path in inputs}
    places = [[(path, _identity(path)) for path in paths] for paths in wanted]
    times = Counter(identity for part in places for _, identity in part)
    found: list[OutputNotWritable | None] = []
    for part in places:
        hit = next(((path, one) for path, one in part if one in read or times[one] > 1), None)
        code = "" if hit is None else "output-is-input" if hit[1] in read else "output-wanted-twice"
        found.append(None if hit is None else OutputNotWritable(code, file=shown(hit[0])))
    return found


def _identity(path: Path) -> Identity:
    """What is the same for all names of a file; of one that is not there, its folder and its name in it."""
    try:
        state = path.stat()
    except (OSError, ValueError):
        state = None
    if state is None or not state.st_ino:  # some disks have no numbers for files
        folder = Path(os.path.realpath(path.parent))
        name = unicodedata.normalize("NFC", path.name)
        return (str(folder), name.casefold() if _ignores_case(folder) else name)
    return (state.st_dev, state.st_ino)


@cache
def _ignores_case(folder: Path) -> bool:
    other = folder.parent / folder.name.swapcase() if folder.name else Path(str(folder).swapcase())  # a drive's root
    try:
        return str(other) != str(folder) and other.samefile(folder)
    except OSError:
        return False


def require_writable(path: Path, *, replace: bool, inputs: Iterable[Path] = ()) -> None:
    """Refuse an output path that must not or cannot be written, before work is put into it.

    ``inputs`` are never written to, by whatever name or link.
    """
    if not path.parent.is_dir():
        raise OutputNotWritable("output-no-folder", file=shown(path), folder=shown(path.parent))
    if path.exists() and not path.is_file():  # what reads a device or a pipe would lose it to a file in its place
        found = "a folder" if path.is_dir() else "a device or a pipe"
        raise OutputNotWritable("output-is-folder", file=shown(path), found=found)
    require_apart([path], inputs)
    if not replace and os.path.lexists(path):
        raise OutputNotWritable("output-exists", file=shown(path))


def is_as_written(path: Path) -> bool:
    """Whether a file is a workbook as this program wrote it: any other that saves it puts its own name into it.

    A link, and a file that somebody has made read-only, are none.
    """
    return sheets_as_written(path) is not None


def sheets_as_written(path: Path) -> set[str] | None:
    """Titles of the sheets of a workbook as this program wrote it, see ``is_as_written``; None for any other file."""
    try:
        if path.is_symlink() or not path.stat().st_mode & stat.S_IWUSR:
            return None
        with zipfile.ZipFile(path) as package:
            is_as_long = package.getinfo(APPLICATION_PART).file_size == len(APPLICATION)
            if not is_as_long or package.read(APPLICATION_PART) != APPLICATION:
                return None
            return {unescape(title) for title in _SHEET_TITLE.findall(package.read(WORKBOOK_PART).decode())}
    except (OSError, ValueError, LookupError, zipfile.BadZipFile, NotImplementedError, RuntimeError):
        return None


def write_atomically(path: Path, data: bytes, *, replace: bool, inputs: Iterable[Path] = ()) -> None:
    """Write a file so that its path holds the old content or the new, never a part of it; a link is replaced.

    Raises OutputNotWritable and leaves nothing behind.
    """
    require_writable(path, replace=replace, inputs=inputs)
    try:
        temporary = _written_beside(path, data)
        try:
            _move(temporary, path, replace=replace)
        finally:
            with suppress(
                OSError
            ):  # another program looks into it, as those against viruses do: a later run sweeps it
                temporary.unlink(missing_ok=True)
    except FileExistsError as error:
        raise OutputNotWritable("output-exists", file=shown(path)) from error
    except OSError as error:
        code = "output-disk-full" if error.errno in _FULL else "output-not-writable"
        raise OutputNotWritable(code, file=shown(path), found=error.strerror or type(error).__name__) from error


def _written_beside(path: Path, data: bytes) -> Path:
    sweep(path.parent, f".{PREFIX}")
    for number in count():
        temporary = path.parent / f".{PREFIX}{os.getpid()}-{number}.part"
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
    try:
        path.hardlink_to(temporary)  # in one step: fails if a file came there since it was looked for
    except FileExistsError:
        raise
    except OSError:  # of a disk that knows no links
        if os.path.lexists(path):
            raise FileExistsError from None
        temporary.replace(path)  # nothing claims the name before: a run that was killed would leave it empty
