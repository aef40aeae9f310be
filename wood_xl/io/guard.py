"""The file before it is parsed: named for what it is, weighed, and its list of parts looked through.

Workbooks arrive by mail and are not trusted; see also ``package`` for what is counted while a part is unpacked.
"""

from __future__ import annotations

import hashlib
import zipfile
from io import BytesIO
from pathlib import Path

from wood_xl.errors import UnreadableWorkbook
from wood_xl.io import read_limits as limits
from wood_xl.io.file_kind import (
    MIMETYPE_PART,
    ZIP_START,
    encrypted_or_old,
    is_open_document,
    kind_of_zip,
    kind_without_zip,
)
from wood_xl.io.package import ANY_FAULT, Package, expands_too_much, megabytes, refuse_expansion

MANIFEST_PART = "META-INF/manifest.xml"
ENCRYPTION = b"encryption-data"


def shown_name(path: Path) -> str:
    """The file's name as it can be printed on one line."""
    return "".join(c if c.isprintable() else "?" for c in path.name) or str(path)


def file_bytes(path: Path) -> bytes:
    """The whole file, opened for reading only.

    Raises
    ------
    UnreadableWorkbook
        ``file-missing``, ``file-folder``, ``file-no-permission``, ``file-empty``, ``file-too-large``,
        ``file-wrong-kind`` (a device or pipe), ``file-system`` (the disk cannot give it).
    """
    name = shown_name(path)
    try:
        if path.is_dir():
            raise UnreadableWorkbook("file-folder", file=name)
        if path.exists() and not path.is_file():
            raise UnreadableWorkbook("file-wrong-kind", file=name, found="a device or a pipe")
        size = path.stat().st_size
        with path.open("rb") as stream:
            data = stream.read(min(size, limits.MAX_FILE_BYTES) + 1)
    except PermissionError:
        raise UnreadableWorkbook("file-no-permission", file=name) from None
    except (FileNotFoundError, NotADirectoryError, ValueError):  # ValueError: a name that no file can have
        raise UnreadableWorkbook("file-missing", file=name) from None
    except OSError as error:
        found = error.strerror or "it could not be read"
        raise UnreadableWorkbook("file-system", file=name, found=found) from None
    if not data:
        raise UnreadableWorkbook("file-empty", file=name)
    if len(data) > limits.MAX_FILE_BYTES:
        expected = megabytes(limits.MAX_FILE_BYTES)
        raise UnreadableWorkbook("file-too-large", file=name, found=megabytes(size), expected=expected)
    return data


def open_package(path: Path) -> Package:
    """Read a file and make sure that it is a workbook archive that can be unpacked safely.

    Parameters
    ----------
    path : Path
        The file; it is only read.

    Raises
    ------
    UnreadableWorkbook
        Any ``file-`` code that can be told without parsing: see ``file_bytes``, and ``file-old-format``,
        ``file-encrypted``, ``file-wrong-kind``, ``file-cut-off``, ``file-expands-too-much``, ``file-damaged``.
    """
    return package_of(file_bytes(path), shown_name(path))


def package_of(data: bytes, name: str) -> Package:
    """The workbook archive in a file's bytes; raises as ``open_package``.

    Parameters
    ----------
    data : bytes
        The whole file.
    name : str
        The file's name for messages.
    """
    code = encrypted_or_old(data)
    if code:
        raise UnreadableWorkbook(code, file=name)
    if not data.startswith(ZIP_START):
        if ZIP_START.startswith(data):
            raise UnreadableWorkbook("file-cut-off", file=name)
        raise UnreadableWorkbook("file-wrong-kind", file=name, found=kind_without_zip(data))
    archive = _archive(data, name)
    members = _members(archive, name)
    package = Package(name, hashlib.sha256(data).hexdigest(), archive, members)
    mimetype = b""
    if package.has(MIMETYPE_PART):
        mimetype = next(package.pieces(MIMETYPE_PART), b"")[:200]
    found = kind_of_zip(members.keys(), mimetype.decode("ascii", errors="replace"))
    if found:
        raise UnreadableWorkbook("file-wrong-kind", file=name, found=found)
    if is_open_document(members.keys()) and package.has(MANIFEST_PART) and _is_locked(package):
        raise UnreadableWorkbook("file-encrypted", file=name)
    return package


def _is_locked(package: Package) -> bool:
    """Whether the list of an OpenDocument file's parts says that some are encrypted.

    It is searched, not parsed: old programs gave it a document type.
    """
    before = b""
    for piece in package.pieces(MANIFEST_PART):
        if ENCRYPTION in before + piece:
            return True
        before = piece[-len(ENCRYPTION) :]
    return False


def _archive(data: bytes, name: str) -> zipfile.ZipFile:
    stream = BytesIO(data)
    if not zipfile.is_zipfile(stream):
        raise UnreadableWorkbook("file-cut-off", file=name)
    try:
        return zipfile.ZipFile(stream)
    except ANY_FAULT:
        raise UnreadableWorkbook("file-damaged", file=name, found="the list of its parts cannot be read") from None


def _members(archive: zipfile.ZipFile, name: str) -> dict[str, zipfile.ZipInfo]:
    members: dict[str, zipfile.ZipInfo] = {}
    infos = archive.infolist()
    if len(infos) > limits.MAX_PARTS:
        raise UnreadableWorkbook("file-damaged", file=name, found=f"it has {len(infos):,} parts")
    for info in infos:
        found = _fault_of_member(info, members)
        if found:
            raise UnreadableWorkbook("file-damaged", file=name, found=found)
        if info.flag_bits & 0x1:
            raise UnreadableWorkbook("file-encrypted", file=name)
        if not info.is_dir():
            members[info.filename.lower()] = info
    # What the list declares is checked here, before any work is done; a part that is larger than declared is cut off
    # at the declared size when it is unpacked, and its checksum then tells.
    if sum(info.file_size for info in infos) > limits.MAX_EXPANDED_BYTES:
        refuse_expansion(name)
    for info in infos:
        if expands_too_much(info.file_size, info.compress_size):
            refuse_expansion(name)
    return members


def _fault_of_member(info: zipfile.ZipInfo, members: dict[str, zipfile.ZipInfo]) -> str:
    shown = "".join(c if c.isprintable() else "?" for c in info.filename[:60])
    pieces = info.filename.replace("\\", "/").split("/")
    if ".." in pieces or pieces[0] == "" or ":" in pieces[0] or "\x00" in info.orig_filename:
        return f'a part is named "{shown}", which leads out of the file'
    if info.filename.lower() in members:
        return f'it has two parts named "{shown}"'
    if info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        return f'its part "{shown}" is packed in a way that no workbook is'
    return ""
