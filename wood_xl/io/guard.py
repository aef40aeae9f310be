"""Checks a file before it is parsed: its kind by its bytes, never by its name, its size, and its list of parts.

Workbooks arrive by mail and are not trusted. ``package`` enforces the limits that apply while a part is unpacked.
"""

from __future__ import annotations

import codecs
import hashlib
import re
import zipfile
from collections.abc import Collection
from io import BytesIO
from pathlib import Path

from wood_xl.errors import UnreadableWorkbook, shown
from wood_xl.io import limits
from wood_xl.io.package import ANY_FAULT, Package, expands_too_much, megabytes, refuse_expansion
from wood_xl.schema.layout import OPEN_STARTS

MANIFEST_PART = "META-INF/manifest.xml"
ENCRYPTION = b"encryption-data"
ZIP_START = b"PK\x03\x04"
OLE_START = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"  # container of the old office formats and of encrypted workbooks
SAMPLE_BYTES = 16_384
OLD_SHEET_STARTS = (b"\x09\x00\x04\x00", b"\x09\x02\x06\x00", b"\x09\x04\x06\x00", b"\x09\x08\x10\x00")

# What a file is that is no zip archive, by how it begins; the first that matches counts.
_XML = rb"(?i)\s*<(?:\?xml|workbook)"
KINDS = (
    (rb"%PDF-", "a PDF document"),
    (rb"\x89PNG\r\n\x1a\n|\xff\xd8\xff|GIF8|II\*\x00|MM\x00\*", "an image"),
    (rb"BM.{4}\x00{4}|.{4}ftyp|RIFF.{4}WEBP", "an image or a film"),
    (rb"\{\\rtf", "a text document (.rtf)"),
    (rb"\x1f\x8b|7z\xbc\xaf\x27\x1c|Rar!\x1a\x07|BZh|\xfd7zXZ\x00", "a compressed archive"),
    (rb"PK\x05\x06", "an empty zip archive"),
    (rb"(?=.*[\x00-\x08\x0e-\x1f])", "a file of unknown kind"),
    (_XML + rb".*vnd\.oasis\.opendocument\.spreadsheet", "a flat OpenDocument spreadsheet (.fods)"),
    (_XML + rb".*opendocument", "an OpenDocument text in plain XML"),
    (_XML + rb".*office:spreadsheet", "a spreadsheet written as plain XML"),
    (_XML + rb".*<html", "a web page (HTML)"),
    (_XML, "an XML text"),
    (rb"(?i)\s*<(?:!doctype html|html|head|body|table|meta|div|style)", "a web page (HTML)"),
    (rb"", "a plain text file (CSV or the like)"),
)

CONTENT_PART = "content.xml"  # of an OpenDocument file
MIMETYPE_PART = "mimetype"
OPEN_SPREADSHEETS = (
    "application/vnd.oasis.opendocument.spreadsheet",
    "application/vnd.oasis.opendocument.spreadsheet-template",
)
OTHER_OPEN_DOCUMENTS = {
    "application/vnd.oasis.opendocument.text": "an OpenDocument text (.odt)",
    "application/vnd.oasis.opendocument.presentation": "an OpenDocument slide show (.odp)",
    "application/vnd.oasis.opendocument.graphics": "an OpenDocument drawing (.odg)",
}

MAIN_PARTS = (
    ("word/document.xml", "a text document (.docx)"),
    ("ppt/presentation.xml", "a slide show (.pptx)"),
    ("xl/workbook.bin", "a binary workbook (.xlsb)"),
)


def shown_name(path: Path) -> str:
    """The file's name, printable on one line."""
    return shown(path.name) or shown(path)


def file_bytes(path: Path) -> bytes:
    """The whole file, opened for reading only."""
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
        reason = error.strerror or "it could not be read"
        raise UnreadableWorkbook("file-system", file=name, found=reason) from None
    if not data:
        raise UnreadableWorkbook("file-empty", file=name)
    if len(data) > limits.MAX_FILE_BYTES:
        expected = megabytes(limits.MAX_FILE_BYTES)
        raise UnreadableWorkbook("file-too-large", file=name, found=megabytes(size), expected=expected)
    return data


def open_package(path: Path) -> Package:
    """Open a file as a workbook archive that can be unpacked safely."""
    return package_of(file_bytes(path), shown_name(path))


def package_of(data: bytes, name: str) -> Package:
    """The workbook archive in a file's bytes; raises UnreadableWorkbook for anything else."""
    if data.startswith((OLE_START, *OLD_SHEET_STARTS)):
        is_encrypted = data.startswith(OLE_START) and "EncryptedPackage".encode("utf-16-le") in data
        raise UnreadableWorkbook("file-encrypted" if is_encrypted else "file-old-format", file=name)
    if not data.startswith(ZIP_START):
        if ZIP_START.startswith(data):
            raise UnreadableWorkbook("file-cut-off", file=name)
        if name.startswith(OPEN_STARTS):
            raise UnreadableWorkbook("file-open-mark", file=name)
        raise UnreadableWorkbook("file-wrong-kind", file=name, found=_kind_without_zip(data))
    archive = _archive(data, name)
    members = _members(archive, name)
    package = Package(name, hashlib.sha256(data).hexdigest(), archive, members)
    mimetype = b""
    if package.has(MIMETYPE_PART):
        mimetype = next(package.pieces(MIMETYPE_PART), b"")[:200]
    kind = _kind_of_zip(members.keys(), mimetype.decode("ascii", errors="replace"))
    if kind:
        raise UnreadableWorkbook("file-wrong-kind", file=name, found=kind)
    if is_open_document(members.keys()) and package.has(MANIFEST_PART) and _is_locked(package):
        raise UnreadableWorkbook("file-encrypted", file=name)
    return package


def _is_locked(package: Package) -> bool:
    """Whether the manifest of an OpenDocument file lists encrypted parts.

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
        fault = _fault_of_member(info, members)
        if fault:
            raise UnreadableWorkbook("file-damaged", file=name, found=fault)
        if info.flag_bits & 0x1:
            raise UnreadableWorkbook("file-encrypted", file=name)
        if not info.is_dir():
            members[info.filename.lower()] = info
    # The declared sizes are checked here, before any work is done. A part that is larger than declared is cut off at
    # that size when it is unpacked, and then fails its checksum.
    if sum(info.file_size for info in infos) > limits.MAX_EXPANDED_BYTES:
        refuse_expansion(name)
    for info in infos:
        if expands_too_much(info.file_size, info.compress_size):
            refuse_expansion(name)
    return members


def _fault_of_member(info: zipfile.ZipInfo, members: dict[str, zipfile.ZipInfo]) -> str:
    name = shown(info.filename[:60])
    pieces = info.filename.replace("\\", "/").split("/")
    if ".." in pieces or pieces[0] == "" or ":" in pieces[0] or "\x00" in info.orig_filename:
        return f'a part is named "{name}", which points outside the file'
    if info.filename.lower() in members:
        return f'it has two parts named "{name}"'
    if info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        return f'its part "{name}" is compressed in a way that workbooks do not use'
    return ""


def _kind_without_zip(data: bytes) -> str:
    """What a file most likely is if it is no zip archive, with an article, for a message."""
    if not data.strip(b"\x00"):
        return "a file of zero bytes only"
    sample = data[:SAMPLE_BYTES].removeprefix(codecs.BOM_UTF8)
    if sample.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        sample = sample.decode("utf-16", errors="replace").encode()
    return next(name for start, name in KINDS if re.match(start, sample, re.DOTALL))


def _kind_of_zip(part_names: Collection[str], mimetype: str) -> str | None:
    """What a zip archive is, for a message; None if it is a workbook that can be read."""
    if mimetype.strip() in OPEN_SPREADSHEETS:
        return None
    if mimetype:
        return OTHER_OPEN_DOCUMENTS.get(mimetype.strip(), "a zip archive")
    for part, name in MAIN_PARTS:
        if part in part_names:
            return name
    if "[content_types].xml" in part_names or "xl/workbook.xml" in part_names:
        return None
    if is_open_document(part_names):
        return None
    return "a zip archive without a workbook in it"


def is_open_document(part_names: Collection[str]) -> bool:
    """Whether a workbook archive is an OpenDocument file rather than one of the .xlsx family."""
    return MIMETYPE_PART in part_names or (CONTENT_PART in part_names and "[content_types].xml" not in part_names)
