"""What a file is, told from its bytes and never from its name."""

from __future__ import annotations

from collections.abc import Collection

ZIP_START = b"PK\x03\x04"
ZIP_END = b"PK\x05\x06"
OLE_START = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"  # container of the old office formats and of encrypted workbooks
TEXT_SAMPLE_BYTES = 16_384
OLD_SHEET_STARTS = (b"\x09\x00\x04\x00", b"\x09\x02\x06\x00", b"\x09\x04\x06\x00", b"\x09\x08\x10\x00")

KNOWN_STARTS: tuple[tuple[bytes, str], ...] = (
    (b"%PDF-", "a PDF document"),
    (b"\x89PNG\r\n\x1a\n", "an image"),
    (b"\xff\xd8\xff", "an image"),
    (b"GIF8", "an image"),
    (b"II*\x00", "an image"),
    (b"MM\x00*", "an image"),
    (b"{\\rtf", "a text document (.rtf)"),
    (b"\x1f\x8b", "a compressed archive"),
    (b"7z\xbc\xaf\x27\x1c", "a compressed archive"),
    (b"Rar!\x1a\x07", "a compressed archive"),
    (b"BZh", "a compressed archive"),
    (b"\xfd7zXZ\x00", "a compressed archive"),
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


def encrypted_or_old(data: bytes) -> str | None:
    """Code of the two faults that the old office container stands for; None if the file is not one.

    Parameters
    ----------
    data : bytes
        The whole file.
    """
    if data.startswith(OLE_START):
        encrypted = "EncryptedPackage".encode("utf-16-le") in data
        return "file-encrypted" if encrypted else "file-old-format"
    return "file-old-format" if data.startswith(OLD_SHEET_STARTS) else None


def kind_without_zip(data: bytes) -> str:
    """What a file that is no zip archive most likely is, with its article, for a message."""
    for start, name in KNOWN_STARTS:
        if data.startswith(start):
            return name
    if data[4:8] == b"ftyp" or (data.startswith(b"RIFF") and data[8:12] == b"WEBP") or _is_bitmap(data):
        return "an image or a film"
    if data.startswith(ZIP_END):
        return "an empty zip archive"
    if not data.strip(b"\x00"):
        return "a file of zero bytes only"
    text = _as_text(data)
    return "a file of unknown kind" if text is None else _kind_of_text(text)


def kind_of_zip(part_names: Collection[str], mimetype: str) -> str | None:
    """What a zip archive is if it is no workbook that is read; None if it is one.

    Parameters
    ----------
    part_names : collection of str
        Names of the members, in lower case.
    mimetype : str
        Content of the member ``mimetype``, empty if there is none.
    """
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
    """Whether a workbook archive is an OpenDocument file and not one of the .xlsx family.

    Parameters
    ----------
    part_names : collection of str
        Names of the members, in lower case. A member ``mimetype`` is of OpenDocument files alone; it may be missing.
    """
    return MIMETYPE_PART in part_names or (CONTENT_PART in part_names and "[content_types].xml" not in part_names)


def _is_bitmap(data: bytes) -> bool:
    return data.startswith(b"BM") and int.from_bytes(data[2:6], "little") == len(data)


def _as_text(data: bytes) -> str | None:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data[:TEXT_SAMPLE_BYTES].decode("utf-16", errors="replace")
    sample = data[:TEXT_SAMPLE_BYTES]
    control = sum(byte < 9 or 13 < byte < 32 for byte in sample)
    return None if control else sample.decode("utf-8", errors="replace")


def _kind_of_text(text: str) -> str:
    start = text.lstrip("\ufeff \t\r\n").lower()
    if start.startswith(("<?xml", "<workbook")):
        if "opendocument" in start:
            is_sheet = OPEN_SPREADSHEETS[0] in start
            return "a flat OpenDocument spreadsheet (.fods)" if is_sheet else "an OpenDocument text in plain XML"
        if "office:spreadsheet" in start:
            return "a spreadsheet written as plain XML"
        return "a web page (HTML)" if "<html" in start else "an XML text"
    if start.startswith(("<!doctype html", "<html", "<head", "<body", "<table", "<meta", "<div", "<style")):
        return "a web page (HTML)"
    return "a plain text file (CSV or the like)"
