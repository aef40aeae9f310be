"""Unpacks and parses the parts of a workbook archive piece by piece, within limits; refuses entity declarations.

The sizes that the archive declares are not trusted: everything is counted while it is unpacked.
"""

from __future__ import annotations

import math
import posixpath
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import zip_longest
from typing import NoReturn
from xml.parsers import expat

from wood_xl.errors import UnreadableWorkbook
from wood_xl.io import limits

Attributes = dict[str, str]

DECLARED = tuple("<!ENTITY".encode(code) for code in ("ascii", "utf-16-le", "utf-16-be"))
MOST_DECLARED = max(map(len, DECLARED))

# A damaged archive raises a dozen unrelated exceptions (of zipfile, zlib and struct, EOFError, NotImplementedError,
# RuntimeError, UnicodeDecodeError ...). No list has proved complete, so the few places that unpack catch them all.
ANY_FAULT = Exception


def megabytes(size: int) -> str:
    """A size as text."""
    return f"{size / limits.MEGABYTE:,.1f} MB"


def expands_too_much(unpacked: int, packed: int) -> bool:
    """Whether a part expands more than those of honest workbooks do; both sizes in bytes."""
    return unpacked > limits.EXPANSION_FREE_BYTES and unpacked > limits.MAX_EXPANSION * packed


def refuse_expansion(name: str) -> NoReturn:
    """Refuse a file that would fill the memory."""
    expected = megabytes(limits.MAX_EXPANDED_BYTES)
    raise UnreadableWorkbook("file-expands-too-much", file=name, expected=expected)


@dataclass
class Package:
    """The parts of one workbook file, unpacked on demand; ``expanded`` bytes and ``tags`` are counted on the way."""

    file: str
    sha256: str
    _archive: zipfile.ZipFile
    _members: dict[str, zipfile.ZipInfo]
    expanded: int = 0
    tags: int = 0
    _parsed: set[str] = field(default_factory=set)

    def names(self) -> tuple[str, ...]:
        """Names of all parts in lower case, in the archive's order."""
        return tuple(self._members)

    def unread(self) -> tuple[str, ...]:
        """Names of the parts that have not been parsed yet."""
        return tuple(name for name in self._members if name not in self._parsed)

    def has(self, part: str) -> bool:
        """Whether there is a part of that name, in upper or lower case, as the format has it."""
        return part.lower() in self._members

    def damaged(self, found: str) -> UnreadableWorkbook:
        """The exception to raise for a damaged file."""
        return UnreadableWorkbook("file-damaged", file=self.file, found=found)

    def require_at_most(self, most: int, count: int, found: str) -> None:
        """Refuse a file with more than ``most`` of something, which ``found`` words with ``{}`` for the limit."""
        if count > most:
            raise self.damaged(found.format(f"more than {most:,}"))

    def pieces(self, part: str) -> Iterator[bytes]:
        """A part's bytes, piece by piece, so that a zip bomb is noticed before it fills the memory."""
        member = self._members.get(part.lower())
        if member is None:
            raise self.damaged(f"its part {part} is missing")
        unpacked = 0
        try:
            with self._archive.open(member) as stream:
                while piece := stream.read(limits.PIECE_BYTES):
                    unpacked += len(piece)
                    self.expanded += len(piece)
                    self.tags += piece.count(b"<")
                    self._require_limits(unpacked, member.compress_size)
                    yield piece
        except UnreadableWorkbook:
            raise
        except ANY_FAULT:
            raise self.damaged(f"its part {member.filename} cannot be unpacked") from None

    def declared_bytes(self) -> int:
        """Unpacked size of all parts, as the archive declares it; reading a part stops at its declared size."""
        return sum(member.file_size for member in self._members.values())

    def unpacked(self) -> dict[str, bytes]:
        """All parts, by their names as written in the file."""
        return {member.filename: b"".join(self.pieces(name)) for name, member in self._members.items()}

    def is_same(self, other: Package) -> bool:
        """Whether both have the same parts, byte by byte, however they are compressed."""
        if self._members.keys() != other._members.keys():
            return False
        pairs = (zip_longest(self.pieces(name), other.pieces(name)) for name in self._members)
        is_same = all(mine == theirs for pair in pairs for mine, theirs in pair)
        self.reset_counts()
        other.reset_counts()
        return is_same

    def reset_counts(self) -> None:
        """Start counting anew, before the package is read again."""
        self.tags = self.expanded = 0

    def parse(self, part: str, handler: PartHandler) -> None:
        """Parse one XML part."""
        for _ in self.parse_steps(part, handler):
            pass

    def parse_steps(self, part: str, handler: PartHandler) -> Iterator[None]:
        """Parse one XML part piece by piece, so that the caller can collect what was read after each."""
        self._parsed.add(part.lower())
        parser = self._parser(part)
        # A part that is read may have no document type at all: that refuses it before any entity is declared.
        parser.StartDoctypeDeclHandler = self._refuser(part)
        parser.StartElementHandler = handler.start
        parser.EndElementHandler = handler.end
        parser.CharacterDataHandler = handler.text
        fed = 0
        for piece in self.pieces(part):
            self._feed(parser, piece, part, final=False)
            fed += len(piece)
            self._require_progress(parser, fed, part)
            yield
        self._feed(parser, b"", part, final=True)
        yield

    def inspect(self, part: str) -> None:
        """Unpack a part that is not read, to find damage and entity declarations in it.

        Entities can only be declared before the first tag, so parsing stops there. A part that cannot be parsed is
        searched for declarations, since another program may be less strict. A document type without entities is
        allowed, as XML pictures have one.
        """
        parser = self._parser(part)
        tags: list[str] = []
        parser.StartElementHandler = lambda name, _attributes: tags.append(name)
        fed = 0
        parsing, is_xml, before = True, True, b""
        for piece in self.pieces(part):
            if parsing:
                fed += len(piece)
                try:
                    parser.Parse(piece, False)
                    self._require_progress(parser, fed, part)
                    parsing = not tags
                except (expat.ExpatError, ValueError, LookupError):
                    parsing = is_xml = False
            if not is_xml and any(word in before + piece for word in DECLARED):
                self._refuser(part)()
            before = piece[-MOST_DECLARED:]

    def _require_progress(self, parser: expat.XMLParserType, fed: int, part: str) -> None:
        """The parser scans an unfinished tag again with every piece, so a long one would take forever."""
        if fed - max(parser.CurrentByteIndex, 0) > limits.MAX_TOKEN_BYTES:
            raise self.damaged(f"its part {part} holds one tag of more than {megabytes(limits.MAX_TOKEN_BYTES)}")

    def _require_limits(self, unpacked: int, packed: int) -> None:
        if expands_too_much(unpacked, packed) or self.expanded > limits.MAX_EXPANDED_BYTES:
            refuse_expansion(self.file)
        self.require_at_most(limits.MAX_TAGS, self.tags, "it holds {} tags")

    def _parser(self, part: str) -> expat.XMLParserType:
        parser = expat.ParserCreate(None, " ")
        parser.buffer_text = True
        parser.EntityDeclHandler = self._refuser(part)
        return parser

    def _refuser(self, part: str) -> Callable[..., NoReturn]:
        def refuse(*_: object) -> NoReturn:
            raise UnreadableWorkbook("file-entities", file=self.file, part=part)

        return refuse

    def _feed(self, parser: expat.XMLParserType, piece: bytes, part: str, *, final: bool) -> None:
        try:
            parser.Parse(piece, final)
        except expat.ExpatError as error:
            raise self.damaged(f"its part {part} breaks off or is not well-formed at line {error.lineno}") from None
        except (ValueError, LookupError):  # an encoding that does not exist, or bytes that are not in it
            raise self.damaged(f"its part {part} is in an unknown encoding") from None


class PartHandler:
    """Receives the tags and text of one part; names come as ``namespace local``."""

    def start(self, name: str, attributes: Attributes) -> None:
        """Read an opening tag."""

    def end(self, name: str) -> None:
        """Read a closing tag."""

    def text(self, data: str) -> None:
        """Read text between tags."""


def whole(text: str) -> int:
    """A whole number of at most nine digits; -1 for anything else."""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else -1


def number_in(text: str) -> float | None:
    """A finite number; None for anything else."""
    try:
        number = float(text) if text.isascii() and "_" not in text else math.nan
    except ValueError:
        return None
    return number if math.isfinite(number) else None


def local_name(name: str) -> str:
    """Name without its namespace."""
    return name.rpartition(" ")[2]


def resolved(base_part: str, target: str) -> str:
    """Name of the part that a relation of ``base_part`` points to."""
    if target.startswith("/"):
        return posixpath.normpath(target).lstrip("/")
    return posixpath.normpath(posixpath.join(posixpath.dirname(base_part), target))
