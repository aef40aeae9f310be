"""Reads the parts of an .xlsx workbook other than sheets: sheet list, names, relations, shared texts, number formats.

``Tree`` reads any part tag by tag.
"""

from __future__ import annotations

import posixpath
import re
from typing import NamedTuple

from wood_xl.io import limits
from wood_xl.io.cell_kinds import TRUE_WORDS, NumberFormat, number_format
from wood_xl.io.package import Attributes, Package, PartHandler, local_name, resolved, whole

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
RELATIONS = "http://schemas.openxmlformats.org/package/2006/relationships"
CHART = "http://schemas.openxmlformats.org/drawingml/2006/chart"
DRAWN = "http://schemas.openxmlformats.org/drawingml/2006/main"
PLACED = "http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing"
STRANGE = "?"  # prefix of a tag from another namespace, which programs read in different ways

NO_WORDS = frozenset({"", "0", "false", "f", "off"})  # lenient programs read anything else as a yes
_ESCAPE = re.compile(r"_x(000[9AaDd]|005[Ff](?=_?x[0-9A-Fa-f]{4}_))_")


class Relation(NamedTuple):
    """One relation of a part: its full type, and the part it points to; empty if that is outside the file."""

    id: str
    type: str
    part: str
    is_plain: bool  # whether every program reads it the same way

    @property
    def kind(self) -> str:
        """The last word of the type."""
        return self.type.rpartition("/")[2]


class SheetEntry(NamedTuple):
    """One sheet as the workbook lists it."""

    title: str
    relation: str
    hidden: bool


class Tree(PartHandler):
    """Calls ``opened`` and ``closed`` for each tag; ``path`` holds the tags around it.

    spaces: the namespaces whose tags have no prefix, if not all.
    """

    spaces: frozenset[str] = frozenset()

    def __init__(self) -> None:
        self.path: list[str] = []
        self._text = ""

    def start(self, name: str, attributes: Attributes) -> None:
        """Read an opening tag."""
        space, _, tag = name.rpartition(" ")
        if self.spaces and space not in self.spaces:
            tag = STRANGE + tag
        self._text = ""
        self.opened(tag, attributes)
        self.path.append(tag)

    def text(self, data: str) -> None:
        """Collect text."""
        if len(self._text) <= limits.MAX_TEXT_LENGTH:
            self._text += data

    def end(self, _name: str) -> None:
        """Read a closing tag."""
        tag = self.path.pop()
        self.closed(tag, self._text)
        self._text = ""

    def opened(self, tag: str, attributes: Attributes) -> None:
        """Handle an opening tag."""

    def closed(self, tag: str, text: str) -> None:
        """Handle a closing tag and the text in it."""


class WorkbookPart(Tree):
    """Reads the workbook part: sheets in order, epoch of dates, defined names."""

    def __init__(self, package: Package) -> None:
        super().__init__()
        self.sheets: list[SheetEntry] = []
        self.from_1904 = False
        self.names: dict[str, str] = {}
        self._package = package
        self._name: str | None = None

    def opened(self, tag: str, attributes: Attributes) -> None:
        """Read a sheet, the date setting or the start of a defined name."""
        if tag == "sheet":
            relation = next((value for key, value in attributes.items() if local_name(key) == "id"), "")
            hidden = attributes.get("state", "visible") != "visible"
            self.sheets.append(SheetEntry(attributes.get("name", ""), relation, hidden))
            self._package.require_at_most(limits.MAX_SHEETS, len(self.sheets), "it has {} sheets")
        elif tag == "workbookPr":
            self.from_1904 = attributes.get("date1904", "0").lower() in TRUE_WORDS
        elif tag == "definedName":
            # A name for the whole workbook takes precedence over one for a single sheet.
            name = attributes.get("name", "").casefold()
            self._name = None if "localSheetId" in attributes and name in self.names else name

    def closed(self, tag: str, text: str) -> None:
        """Keep a defined name."""
        if tag == "definedName" and self._name is not None:
            self.names[self._name] = text.strip()
            self._package.require_at_most(limits.MAX_NAMES, len(self.names), "it has {} names")


class _Relations(Tree):
    spaces = frozenset({RELATIONS})

    def __init__(self, package: Package, base_part: str) -> None:
        super().__init__()
        self.found: list[Relation] = []
        self._package, self._base_part = package, base_part

    def opened(self, tag: str, attributes: Attributes) -> None:
        if not self.path:  # the root
            return
        mode, local = attributes.get("TargetMode", "Internal"), tag.removeprefix(STRANGE)
        if local == "Relationship":
            part = "" if mode.lower() == "external" else resolved(self._base_part, attributes.get("Target", ""))
            is_plain = tag == local and mode == "Internal"
            self.found.append(Relation(attributes.get("Id", ""), attributes.get("Type", ""), part, is_plain))
        else:
            self.found.append(Relation("", local, "", is_plain=False))
        self._package.require_at_most(limits.MAX_RELATIONS, len(self.found), "one of its parts has {} relations")


def relations_part(part: str) -> str:
    """Name of the part that lists the relations of ``part``; an empty name stands for the package."""
    folder, name = posixpath.split(part)
    return posixpath.join(folder, "_rels", f"{name}.rels")


def relations_of(package: Package, part: str) -> list[Relation]:
    """Relations of a part; those of the package if ``part`` is empty."""
    handler = _Relations(package, part)
    if package.has(relations_part(part)):
        package.parse(relations_part(part), handler)
    return handler.found


def is_on(attributes: Attributes, key: str, usual: str = "0") -> bool:
    """Whether a setting is on, as the most lenient programs read it."""
    return attributes.get(key, usual).strip().lower() not in NO_WORDS


def plain_text(text: str) -> str:
    r"""A text as the user sees it.

    Line ends become ``\n``. Of the format's escapes (``_x000D_``) only tab, line ends and an escaped underscore are
    decoded. Others stay, since libraries store such texts unescaped and a note needs no control characters.
    """
    if "_x" in text:
        text = _ESCAPE.sub(lambda match: chr(int(match.group(1), 16)), text)
    return text.replace("\r\n", "\n").replace("\r", "\n") if "\r" in text else text


class SharedTexts(Tree):
    """The texts that cells refer to by number; runs of different fonts are joined, phonetic guides left out."""

    def __init__(self, package: Package) -> None:
        super().__init__()
        self.texts: list[str] = []
        self.odd: set[str] = set()  # tags of another namespace, which other programs may count as texts
        self.mixed: set[int] = set()  # numbers of texts with fonts of their own, or phonetic guides
        self._package = package
        self._item = ""
        self._length = 0

    def start(self, name: str, attributes: Attributes) -> None:
        """Read an opening tag; the first gives the namespace."""
        self.spaces = self.spaces or frozenset({name.rpartition(" ")[0]})
        super().start(name, attributes)

    def opened(self, tag: str, _attributes: Attributes) -> None:
        """Read the start of a text."""
        if tag.startswith(STRANGE):
            self.odd.add(tag.removeprefix(STRANGE))
        elif tag == "si":
            self._item = ""
        elif tag in ("rPh", "rPr") and "si" in self.path:
            self.mixed.add(len(self.texts))

    def closed(self, tag: str, text: str) -> None:
        """Keep a text."""
        if tag == "t" and "rPh" not in self.path:
            self._item += text
            if len(self._item) > limits.MAX_TEXT_LENGTH:
                raise self._package.damaged("one of its texts is longer than a cell can hold")
        elif tag == "si":
            self.texts.append(self._item)
            self._length += len(self._item)
            self._package.require_at_most(limits.MAX_TEXT_KEPT, self._length, "it holds {} characters of text")
            self._package.require_at_most(limits.MAX_SHARED_TEXTS, len(self.texts), "it has {} different texts")


class _Styles(Tree):
    def __init__(self, package: Package) -> None:
        super().__init__()
        self.package = package
        self.codes: dict[int, str] = {}
        self.format_ids: list[int] = []

    def opened(self, tag: str, attributes: Attributes) -> None:
        number = max(0, whole(attributes.get("numFmtId", "0")))
        if tag == "xf" and "cellXfs" in self.path:
            self.format_ids.append(number)
            self.package.require_at_most(limits.MAX_STYLES, len(self.format_ids), "it has {} styles")
        elif tag == "numFmt" and "cellXfs" not in self.path:
            self.codes.setdefault(number, attributes.get("formatCode", "")[: limits.MAX_FORMAT_LENGTH])


def number_formats(package: Package, part: str) -> list[NumberFormat]:
    """Number formats by the cells' style numbers."""
    styles = _Styles(package)
    package.parse(part, styles)
    return [number_format(number, styles.codes.get(number)) for number in styles.format_ids]
