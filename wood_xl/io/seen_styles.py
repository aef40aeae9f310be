"""Reads the visible part of a workbook's cell styles."""

from __future__ import annotations

from collections.abc import Container, Iterator
from dataclasses import dataclass, fields, replace
from typing import Any, TypeVar

from wood_xl.io import limits
from wood_xl.io.cell_kinds import BUILT_IN_FORMATS
from wood_xl.io.may_change import LETTER_SIZE_POINTS
from wood_xl.io.package import Attributes, Package, number_in, whole
from wood_xl.io.package_parts import MAIN, STRANGE, Tree, is_on

AUTO, WHITE, NO_COLOR = "000000", "FFFFFF", ""
USUAL_SIDES = frozenset({"", "left", "general"})  # of a text
NO_TINT = frozenset({"0", "0.0"})
_Item = TypeVar("_Item")
SYMBOLS = "2"  # the character set of symbol fonts, in which letters show as signs


@dataclass(frozen=True, slots=True)
class SeenLook:
    """How a cell is shown: number format, font, fill and alignment."""

    number_format: str = "General"
    font: str = ""
    size: float = 11.0
    bold: bool = False
    italic: bool = False
    underline: str = "none"
    strike: bool = False
    raised: str = "baseline"
    letters: str = ""  # a symbol font, or font effects that hide letters
    ink: str = AUTO
    fill: str = NO_COLOR
    side: str = ""
    turned: str = "0"
    shrinks: bool = False
    indent: str = "0"
    wraps: bool = False
    reading: str = "0"
    crossed: bool = False

    def unlike(self, other: SeenLook) -> Iterator[tuple[str, Any, Any]]:
        """The fields that differ, with both values."""
        for name in (field.name for field in fields(self)):
            here, there = getattr(self, name), getattr(other, name)
            if name == "size" and abs(here - there) <= LETTER_SIZE_POINTS:
                continue
            if here != there and not (name == "side" and {here, there} <= USUAL_SIDES):
                yield name, here, there

    @property
    def is_blank_seen(self) -> bool:
        """Whether an empty cell shows anything but a border."""
        return self.fill != NO_COLOR or self.crossed


class SeenStyles(Tree):
    """Looks of cells by style number; ``odd`` names what other programs may read as other styles."""

    spaces = frozenset({MAIN})

    def __init__(self, package: Package) -> None:
        super().__init__()
        self.looks: list[SeenLook] = []
        self.odd: set[str] = set()
        self._package = package
        self._sections: set[str] = set()
        self._formats: dict[str, str] = {}
        self._fonts: list[dict[str, Attributes]] = []
        self._fills: list[str] = []
        self._crossed: list[bool] = []

    def look(self, style: str) -> SeenLook:
        """The look of a style number; the first look if there is no such style."""
        return _at(self.looks, style, (self.looks or [SeenLook()])[0])

    def opened(self, tag: str, attributes: Attributes) -> None:
        """Read a font, fill, border or number format, or a style that combines them."""
        place = tuple(self.path[1:])
        if tag.startswith(STRANGE) and "extLst" not in place:
            self.odd.add(tag)
        if not place and self.path:
            self._note_repeat(tag, self._sections)
            self._sections.add(tag)
        elif place == ("numFmts",) and tag == "numFmt":
            self._note_repeat(attributes.get("numFmtId", ""), self._formats)
            self._formats[attributes.get("numFmtId", "")] = attributes.get("formatCode", "")
        elif place == ("fonts",):
            self._fonts.append({})
        elif place == ("fonts", "font") and self._fonts:
            self._note_repeat(tag, self._fonts[-1])
            self._fonts[-1][tag] = attributes
        elif place == ("fills",):
            self._fills.append(NO_COLOR)
        elif place[:2] == ("fills", "fill") and self._fills:
            self._read_fill(tag, attributes)
        elif place == ("borders",):
            self._crossed.append(is_on(attributes, "diagonalUp") or is_on(attributes, "diagonalDown"))
        elif place == ("cellXfs",):
            self.looks.append(self._look(attributes))
        elif place == ("cellXfs", "xf") and tag == "alignment" and self.looks:
            self.looks[-1] = replace(
                self.looks[-1],
                side=attributes.get("horizontal", ""),
                turned=attributes.get("textRotation", "0"),
                shrinks=is_on(attributes, "shrinkToFit"),
                indent=attributes.get("indent", "0"),
                wraps=is_on(attributes, "wrapText"),
                reading=attributes.get("readingOrder", "0"),
            )
        counts = [len(part) for part in (self.looks, self._fonts, self._fills, self._crossed, self._formats)]
        self._package.require_at_most(limits.MAX_STYLES, max(counts), "it has {} styles")

    def _note_repeat(self, tag: str, before: Container[str]) -> None:
        """Note a repeated tag as odd: some programs read the first, others the last."""
        if tag in before:
            self.odd.add(tag)

    def _read_fill(self, tag: str, attributes: Attributes) -> None:
        if self._fills[-1] != NO_COLOR and tag in ("patternFill", "gradientFill"):
            self.odd.add(tag)
        if tag == "patternFill":
            kind = attributes.get("patternType", "none")
            self._fills[-1] = NO_COLOR if kind == "none" else kind
        elif tag == "fgColor" and self._fills[-1] == "solid":
            color = color_of(attributes)
            self._fills[-1] = NO_COLOR if color == WHITE else color
        elif tag == "gradientFill":
            self._fills[-1] = tag

    def _look(self, attributes: Attributes) -> SeenLook:
        number = attributes.get("numFmtId", "0")
        built_in = BUILT_IN_FORMATS.get(whole(number), number)
        font = _at(self._fonts, attributes.get("fontId", "0"), {})

        def value(tag: str, usual: str) -> str:
            return font[tag].get("val", usual) if tag in font else ""

        def has(tag: str) -> bool:
            return tag in font and is_on(font[tag], "val", "1")

        odd = [tag for tag in ("scheme", "outline", "shadow", "condense", "extend") if tag in font]
        odd = [tag for tag in odd if value(tag, "1").lower() not in ("0", "false", "none")]
        return SeenLook(
            number_format=self._formats.get(number, built_in),
            font=value("name", ""),
            size=number_in(value("sz", "")) or 0.0,
            bold=has("b"),
            italic=has("i"),
            underline=value("u", "single") or "none",
            strike=has("strike"),
            raised=value("vertAlign", "") or "baseline",
            letters=" ".join([*odd, *(["charset"] if value("charset", "") == SYMBOLS else [])]),
            ink=color_of(font.get("color", {})),
            fill=_at(self._fills, attributes.get("fillId", "0"), NO_COLOR),
            crossed=_at(self._crossed, attributes.get("borderId", "0"), False),
        )


def color_of(attributes: Attributes) -> str:
    """A color as six hexadecimal digits; its attributes if it is of another kind, or of two kinds at once."""
    kinds = attributes.keys() & {"rgb", "theme", "indexed", "auto"}
    if not attributes or (len(kinds) == 1 and (is_on(attributes, "auto") or attributes.get("indexed") == "64")):
        return AUTO
    if kinds == {"rgb"}:
        tint = attributes.get("tint", "0")
        return attributes["rgb"][-6:].upper() + ("" if tint in NO_TINT else f" {tint}")
    return " ".join(f"{key}={attributes[key]}" for key in sorted(attributes))


def _at(items: list[_Item], number: str, default: _Item) -> _Item:
    index = whole(number)
    return items[index] if 0 <= index < len(items) else default
