"""One part of a workbook as a tree of tags, each with the tags that it stands in."""

from __future__ import annotations

from wood_xl.io.package import Attributes, PartHandler
from wood_xl.io.read_limits import MAX_TEXT_LENGTH

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
RELATIONS = "http://schemas.openxmlformats.org/package/2006/relationships"
CHART = "http://schemas.openxmlformats.org/drawingml/2006/chart"
DRAWN = "http://schemas.openxmlformats.org/drawingml/2006/main"
PLACED = "http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing"
STRANGE = "?"  # before a tag of another vocabulary: programs differ in what they make of it


class Tree(PartHandler):
    """Tells of each tag as it opens and closes; ``path`` has those that it stands in."""

    spaces: frozenset[str] = frozenset()

    def __init__(self) -> None:
        self.path: list[str] = []
        self._text = ""

    def start(self, name: str, attributes: Attributes) -> None:
        """Take an opening tag."""
        space, _, tag = name.rpartition(" ")
        if space not in self.spaces:
            tag = STRANGE + tag
        self._text = ""
        self.opened(tag, attributes)
        self.path.append(tag)

    def text(self, data: str) -> None:
        """Collect a text."""
        if len(self._text) <= MAX_TEXT_LENGTH:
            self._text += data

    def end(self, _name: str) -> None:
        """Take a closing tag."""
        tag = self.path.pop()
        self.closed(tag, self._text)
        self._text = ""

    def opened(self, tag: str, attributes: Attributes) -> None:
        """What to do with a tag that opens."""

    def closed(self, tag: str, text: str) -> None:
        """What to do with a tag that closes, and the text in it."""
