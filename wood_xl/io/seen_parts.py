"""Reads a workbook part by part as its relations lead: sheets in order with their state, names, unexpected parts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from wood_xl.io import limits
from wood_xl.io.may_change import NAME_PREFIX, NAMES_ADDED, NO_RANGE, PARTS, WORKBOOK_TAGS
from wood_xl.io.package import Attributes, Package
from wood_xl.io.package_parts import (
    MAIN,
    OFFICE,
    STRANGE,
    Relation,
    SharedTexts,
    Tree,
    is_on,
    relations_of,
    relations_part,
)
from wood_xl.io.seen_styles import SeenStyles

ALWAYS = frozenset({"[content_types].xml", "_rels/.rels"})
MACROS = b"macroEnabled"
SHEET_WORDS = frozenset({"name", "sheetId", "state", f"{OFFICE} id"})


class _Workbook(Tree):
    spaces = frozenset({MAIN})

    def __init__(self, package: Package) -> None:
        super().__init__()
        self._package = package
        self.sheets: list[tuple[str, str, str]] = []  # title, state, relation
        self.names: dict[tuple[str, str], str] = {}
        self.odd: set[str] = set()
        self._name = ("", "")

    def opened(self, tag: str, attributes: Attributes) -> None:
        is_top = len(self.path) == 1
        is_others = tag.startswith(STRANGE) and "extLst" not in self.path
        if (is_others or is_top) and tag not in WORKBOOK_TAGS | {"sheets", "definedNames"}:
            self.odd.add(tag)
        elif tag == "sheet" and self.path[1:] == ["sheets"]:
            if attributes.keys() - SHEET_WORDS:
                self.odd.add(tag)
            relation = attributes.get(f"{OFFICE} id", "")
            self.sheets.append((attributes.get("name", ""), attributes.get("state", "visible"), relation))
        elif tag == "definedName":
            self._name = (name_of(attributes.get("name", "")), attributes.get("localSheetId", ""))
        elif tag == "workbookView":
            is_hidden = attributes.get("visibility", "visible") != "visible"
            if is_hidden or not is_on(attributes, "showSheetTabs", "1"):
                self.odd.add(tag)
        elif is_on(attributes, "date1904") or attributes.get("showObjects", "all") != "all":  # of workbookPr
            self.odd.add(tag)

    def closed(self, tag: str, text: str) -> None:
        if tag != "definedName" or self._name[0] in NAMES_ADDED or text == NO_RANGE:
            return
        if self.names.setdefault(self._name, range_of(text)) != range_of(text):
            self.odd.add(tag)
        self._package.require_at_most(limits.MAX_NAMES, len(self.names), "it has {} names")


def name_of(name: str) -> str:
    """A defined name, without the prefix of names that the format defines itself."""
    return name.removeprefix(NAME_PREFIX).removeprefix("_").casefold()


def range_of(text: str) -> str:
    """A range of cells without ``$``, quotes and blanks around it."""
    return text.replace("$", "").replace("'", "").strip()


@dataclass
class SeenParts:
    """A workbook, read along its relations from the package on."""

    package: Package
    sheets: list[tuple[str, str, str]] = field(default_factory=list)  # title, state and part of each
    names: dict[tuple[str, str], str] = field(default_factory=dict)
    # parts and tags that results do not have, or that programs read in different ways
    strange: set[str] = field(default_factory=set)
    _chart_tags: int = 0
    _links: dict[str, dict[str, Relation]] = field(default_factory=dict)
    _main: str = ""

    def __post_init__(self) -> None:
        reached = set(ALWAYS)
        waiting = [""]
        while waiting:
            for link in self._links_of(waiting.pop(), reached):
                if link.part not in reached:
                    reached.add(link.part)
                    waiting.append(link.part)
        self.strange |= {name for name in self.package.names() if name not in reached}
        self._read_workbook()
        if MACROS in b"".join(self.package.pieces("[Content_Types].xml")):
            self.strange.add(MACROS.decode())
        self.styles, self.shared_texts = SeenStyles(self.package), SharedTexts(self.package)
        of_main: dict[str, SeenStyles | SharedTexts] = {"styles": self.styles, "sharedStrings": self.shared_texts}
        for kind, handler in of_main.items():
            for name in self.linked_of_kind(self._main, kind)[:1]:
                self.package.parse(name, handler)
            self.strange |= handler.odd

    def linked(self, part: str, relation: str) -> str:
        """The part that a relation of ``part`` leads to; empty if there is no such relation."""
        link = self._links.get(part, {}).get(relation)
        return "" if link is None else link.part

    def count_chart_tag(self) -> None:
        """Count a tag of a chart or drawing: each may add to what is kept."""
        self._chart_tags += 1
        self.package.require_at_most(limits.MAX_CHART_TAGS, self._chart_tags, "it holds {} tags of charts")

    def linked_of_kind(self, part: str, kind: str) -> list[str]:
        """The parts of one kind that relations of ``part`` lead to."""
        return [link.part for link in self._links.get(part, {}).values() if link.kind == kind]

    def _links_of(self, part: str, reached: set[str]) -> Iterator[Relation]:
        reached.add(relations_part(part))
        links: dict[str, Relation] = {}
        relations = relations_of(self.package, part)
        kinds = Counter(relation.kind for relation in relations)
        for relation in relations:
            link = relation._replace(part=relation.part.lower() if relation.is_plain else "")
            is_ambiguous = link.kind in ("officeDocument", "styles", "sharedStrings") and kinds[link.kind] > 1
            if link.kind not in PARTS or not link.part or link.id in links or is_ambiguous:
                self.strange.add(link.part or link.kind)
            links.setdefault(link.id, link)
            if self.package.has(link.part):
                yield link
        self._links[part] = links

    def _read_workbook(self) -> None:
        self._main = next((link.part for link in self._links[""].values() if link.kind == "officeDocument"), "")
        if not self.package.has(self._main):
            raise self.package.damaged("it does not say which of its parts is the workbook")
        workbook = _Workbook(self.package)
        self.package.parse(self._main, workbook)
        self.names, self.strange = workbook.names, self.strange | workbook.odd
        self.sheets = [
            (title, state, self.linked(self._main, relation)) for title, state, relation in workbook.sheets
        ]
        parts = [part for _, _, part in self.sheets]
        self.strange |= {part for part, n in Counter(parts).items() if n > 1}
        linked = {link.part for link in self._links[self._main].values() if link.kind == "worksheet"}
        self.strange |= linked ^ set(parts)
