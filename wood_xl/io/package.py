"""One workbook archive: its parts, unpacked only in counted pieces and parsed with entity declarations refused.

Nothing that the archive says about its sizes is believed; everything is counted while it is unpacked.
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

# Unpacking a damaged archive raises a dozen unrelated classes (zipfile, zlib, struct, EOFError, NotImplementedError,
# RuntimeError, UnicodeDecodeError ...); no list of them has proved complete, so these few places catch them all.
ANY_FAULT = Exception


def megabytes(size: int) -> str:
    """A size in words."""
    return f"{size / limits.MEGABYTE:,.1f} MB"


def expands_too_much(unpacked: int, packed: int) -> bool:
    """Whether a part grows more than the parts of an honest workbook do; both in bytes."""
    return unpacked > limits.EXPANSION_FREE_BYTES and unpacked > limits.MAX_EXPANSION * packed


def refuse_expansion(name: str) -> NoReturn:
    """End the run for a file that would fill the memory."""
    expected = megabytes(limits.MAX_EXPANDED_BYTES)
    raise UnreadableWorkbook("file-expands-too-much", file=name, expected=expected)


@dataclass
class Package:
    """The parts of one workbook file, unpacked on demand; their bytes and tags are counted as they come."""

    file: str
    sha256: str
    _archive: zipfile.ZipFile
    _members: dict[str, zipfile.ZipInfo]
    expanded: int = 0
    tags: int = 0
    _parsed: set[str] = field(default_factory=set)

    def names(self) -> tuple[str, ...]:
        """Names of all parts, in lower case, in the archive's order."""
        return tuple(self._members)

    def unread(self) -> tuple[str, ...]:
        """Names of the parts that have not been parsed yet."""
        return tuple(name for name in self._members if name not in self._parsed)

    def has(self, part: str) -> bool:
        """Whether there is a part of that name; upper and lower case are the same, as the format has it."""
        return part.lower() in self._members

    def damaged(self, found: str) -> UnreadableWorkbook:
        """The fault ``file-damaged`` of this file, to be raised."""
        return UnreadableWorkbook("file-damaged", file=self.file, found=found)

    def pieces(self, part: str) -> Iterator[bytes]:
        """The part's bytes, unpacked piece by piece so that a bomb is noticed before it fills the memory."""
        member = self._members.get(part.lower())
        if member is None:
            raise self.damaged(f"its part {part} is not there")
        unpacked = 0
        try:
            with self._archive.open(member) as stream:
                while piece := stream.read(limits.PIECE_BYTES):
                    unpacked += len(piece)
                    self.expanded += len(piece)
                    self.tags += piece.count(b"<")
                    self._weigh(unpacked, member.compress_size)
                    yield piece
        except UnreadableWorkbook:
            raise
        except ANY_FAULT:
            raise self.damaged(f"its part {member.filename} cannot be unpacked") from None

    def declared_bytes(self) -> int:
        """Size of all parts together, unpacked, as the archive declares it; no part gives more than it declares."""
        return sum(member.file_size for member in self._members.values())

    def unpacked(self) -> dict[str, bytes]:
        """All parts by their names as they are written in the file."""
        return {member.filename: b"".join(self.pieces(name)) for name, member in self._members.items()}

    def is_same(self, other: Package) -> bool:
        """Whether both have the same parts to the last byte, however they are packed."""
        if self._members.keys() != other._members.keys():
            return False
        pairs = (zip_longest(self.pieces(name), other.pieces(name)) for name in self._members)
        same = all(mine == theirs for pair in pairs for mine, theirs in pair)
        self.read_anew()
        other.read_anew()
        return same

    def read_anew(self) -> None:
        """Hold the next reading by itself to what a file may have."""
        self.tags = self.expanded = 0

    def parse(self, part: str, handler: PartHandler) -> None:
        """Parse one XML part from start to end."""
        for _ in self.steps(part, handler):
            pass

    def steps(self, part: str, handler: PartHandler) -> Iterator[None]:
        """Parse one XML part piece by piece, so that what was found can be taken away in between."""
        self._parsed.add(part.lower())
        parser = self._parser(part)
        # No part of a workbook may have a document type at all; it is refused before an entity is declared.
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

    def look_through(self, part: str) -> None:
        """Unpack a part that is not read, so that damage and declared entities in it are still found.

        Entities can be declared before the first tag only, so parsing stops there. What cannot be parsed is searched
        for the words that declare them: another program may be less strict. A document type that declares none
        passes, as pictures drawn in XML have it.
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
        """An unfinished tag is gone over again with every piece, so a long one would take for ever."""
        if fed - max(parser.CurrentByteIndex, 0) > limits.MAX_TOKEN_BYTES:
            raise self.damaged(f"its part {part} holds one tag of more than {megabytes(limits.MAX_TOKEN_BYTES)}")

    def _weigh(self, unpacked: int, packed: int) -> None:
        if expands_too_much(unpacked, packed) or self.expanded > limits.MAX_EXPANDED_BYTES:
            refuse_expansion(self.file)
        if self.tags > limits.MAX_TAGS:
            raise self.damaged(f"it holds more than {limits.MAX_TAGS:,} tags")

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
    """What a parser of one part does with tags and text; names come as ``namespace local``."""

    def start(self, name: str, attributes: Attributes) -> None:
        """Take an opening tag."""

    def end(self, name: str) -> None:
        """Take a closing tag."""

    def text(self, data: str) -> None:
        """Take text between tags."""


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
