"""Reads what a person sees of the charts of a sheet: their place, their texts, and the cells that they plot."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from wood_xl.io.may_change import CHART_SIZES, CHART_TAGS, DRAWING_TAGS
from wood_xl.io.package import Attributes, number_in, whole
from wood_xl.io.package_parts import CHART, DRAWN, OFFICE, PLACED, STRANGE, Tree, is_on
from wood_xl.io.seal import canonical
from wood_xl.io.seen_parts import SeenParts, range_of

KINDS = frozenset({"barChart", "scatterChart"})
AXES = frozenset({"catAx", "valAx"})
OWN_WORDS = ("barDir", "grouping", "overlap")  # settings of a chart that change its meaning
OWN_OF_AXIS = ("orientation", "delete", "min", "max", "crossesAt")
NO_LABELS = ("tickLblPos", "none")
OWN_OF_SERIES = ("symbol", "errDir", "errBarType", "errValType")
LETTERS = frozenset({"txPr", "rich"})
SHOWN = ("showVal", "showCatName", "showSerName", "showPercent", "showLegendKey", "showBubbleSize")
SOURCES = ("cat", "val", "xVal", "yVal", "plus", "minus")
ENDS_OF_PLACE = ("col", "row", "colOff", "rowOff")


@dataclass
class SeenSeries:
    """One data series: its name, the cells of its numbers, and its fill."""

    name: str = ""
    refs: dict[str, str] = field(default_factory=dict)
    fill: str = ""
    words: dict[str, str] = field(default_factory=dict)
    shown: set[str] = field(default_factory=set)


@dataclass
class SeenChart:
    """One chart."""

    anchor: dict[str, float] = field(default_factory=dict)
    title: str = ""
    titles: set[str] = field(default_factory=set)
    words: dict[str, str] = field(default_factory=dict)
    series: list[SeenSeries] = field(default_factory=list)
    axes: list[dict[str, str]] = field(default_factory=list)
    stored: dict[str, dict[int, str]] = field(default_factory=dict)
    formats: set[str] = field(default_factory=set)
    colors: set[str] = field(default_factory=set)
    inks: set[str] = field(default_factory=set)  # colors of letters
    layout: set[tuple[str, float]] = field(default_factory=set)  # positions inside the chart, as shares of its size
    odd: set[str] = field(default_factory=set)


class _ChartTree(Tree):
    spaces = frozenset({CHART, DRAWN})

    def __init__(self, parts: SeenParts) -> None:
        super().__init__()
        self.chart = SeenChart()
        self._parts = parts
        self._title = ""
        self._point = 0
        self._source = ""

    def opened(self, tag: str, attributes: Attributes) -> None:
        self._parts.count_chart_tag()
        if "extLst" in self.path:
            tag = tag.removeprefix(STRANGE)  # programs keep private data there, which nobody sees
        if tag not in CHART_TAGS:
            self.chart.odd.add(tag)
        if tag == "ser":
            self.chart.series.append(SeenSeries())
        elif tag == "title":
            self._title = ""
        elif tag == "pt":
            self._point = max(0, whole(attributes.get("idx", "")))
        elif "ser" in self.path and self.chart.series:
            self._in_series(self.chart.series[-1], tag, attributes)
        else:
            self._in_chart(tag, attributes)
        if tag == "srgbClr" and self.path[-3:-1] != ["ser", "spPr"]:  # the fill of a series is kept with the series
            is_ink = not LETTERS.isdisjoint(self.path)
            (self.chart.inks if is_ink else self.chart.colors).add(attributes.get("val", "").upper())
        elif tag == "numFmt":
            self.chart.formats.add(attributes.get("formatCode", ""))
        size = attributes.get("sz", "")
        if size and not (size.isdecimal() and CHART_SIZES[0] <= int(size[:6]) <= CHART_SIZES[1]):
            self.chart.odd.add("sz")

    def _in_chart(self, tag: str, attributes: Attributes) -> None:
        chart, value = self.chart, attributes.get("val", "")
        if tag in KINDS:
            chart.words["kind"] = f"{chart.words.get('kind', '')} {tag}".strip()
        elif tag in AXES:
            chart.axes.append({"kind": tag})
        elif tag in OWN_WORDS:
            chart.words[tag] = value
        elif chart.axes and AXES & set(self.path) and (tag in OWN_OF_AXIS or (tag, value) == NO_LABELS):
            chart.axes[-1][tag] = value
        elif tag == "overlay" and is_on(attributes, "val", "1"):
            chart.odd.add(tag)
        elif self.path[-1:] == ["manualLayout"] and tag in "xywh":
            share = number_in(value)
            chart.layout.add((f"{' '.join(self.path[-4:-2])} {tag}", math.inf if share is None else share))

    def _in_series(self, series: SeenSeries, tag: str, attributes: Attributes) -> None:
        value = attributes.get("val", "")
        if tag == "srgbClr" and self.path[-3:-1] == ["ser", "spPr"]:
            series.fill = value.upper()
        elif tag == "noFill" and self.path[-2:] in (["ser", "spPr"], ["marker", "spPr"]):
            series.fill = tag
        elif tag in SHOWN and is_on(attributes, "val", "1"):
            series.shown.add(tag)
        elif tag in OWN_OF_SERIES:
            series.words[tag] = value

    def closed(self, tag: str, text: str) -> None:
        chart, path = self.chart, self.path
        if tag == "t":
            if "title" in path:
                self._title += text
            elif text.strip():
                chart.titles.add(text)
        elif tag == "title":
            if path[-1] == "chart":
                chart.title = self._title
            else:
                chart.titles.add(self._title)
        elif tag == "f":
            self._read_source(text)
        elif tag == "v":
            self._read_value(text)
        elif tag == "formatCode":
            chart.formats.add(text)
        elif tag != "separator" and text.strip():
            chart.odd.add(tag)

    def _read_source(self, text: str) -> None:
        if not self.chart.series:
            self.chart.odd.add("f")
            return
        series = self.chart.series[-1]
        self._source = range_of(text)
        kind = next((kind for kind in (*SOURCES, "tx") if kind in self.path), "")
        if kind == "tx" and text.startswith('"'):
            series.name, self._source = text.strip('"'), ""
        elif kind:
            series.refs[kind] = self._source
        else:
            self.chart.odd.add("f")

    def _read_value(self, text: str) -> None:
        is_name = self.path[-1] == "tx" or ("tx" in self.path and not self._source)
        if is_name and self.chart.series:
            self.chart.series[-1].name = text
            return
        stored = self.chart.stored.setdefault(self._source, {})
        number = number_in(text)
        value = text if number is None else canonical(number)
        if stored.setdefault(self._point, value) != value:  # two series plot the same cells with different values
            self.chart.odd.add(text)


class _DrawingTree(Tree):
    spaces = frozenset({PLACED, DRAWN, CHART})

    def __init__(self, parts: SeenParts) -> None:
        super().__init__()
        self.placed: list[tuple[dict[str, float], str]] = []
        self.odd: set[str] = set()
        self._parts = parts
        self._anchor: dict[str, float] = {}

    def opened(self, tag: str, attributes: Attributes) -> None:
        self._parts.count_chart_tag()
        if "extLst" in self.path:
            tag = tag.removeprefix(STRANGE)
        if tag not in DRAWING_TAGS:
            self.odd.add(tag)
        if tag.endswith("Anchor"):
            self._anchor = {}
        elif tag == "ext" and len(self.path) == 2:
            self._anchor |= {key: _number(attributes.get(key, "")) for key in ("cx", "cy")}
        elif tag == "chart":
            self.placed += [(self._anchor, value) for key, value in attributes.items() if key == f"{OFFICE} id"]
        if any(is_on(attributes, key) for key in ("hidden", "macro", "rot", "flipH", "flipV")):
            self.odd.add(tag)
        if not is_on(attributes, "fPrintsWithSheet", "1"):
            self.odd.add(tag)
        self.odd |= {attributes[key] for key in ("descr", "title") if attributes.get(key)}

    def closed(self, tag: str, text: str) -> None:
        if tag in ENDS_OF_PLACE and self.path[-1] in ("from", "to"):
            self._anchor[f"{self.path[-1]}_{tag}"] = _number(text)


def _number(text: str) -> float:
    return float(text) if text.removeprefix("-").isdecimal() and text.isascii() and len(text) < 16 else 0.0


def charts_of(parts: SeenParts, sheet_part: str) -> tuple[list[SeenChart], set[str]]:
    """The charts of a sheet, and anything else that its drawings hold."""
    charts: list[SeenChart] = []
    odd: set[str] = set()
    for part in parts.linked_of_kind(sheet_part, "drawing"):
        drawing = _DrawingTree(parts)
        parts.package.parse(part, drawing)
        odd |= drawing.odd
        for anchor, link in drawing.placed:
            tree = _ChartTree(parts)
            parts.package.parse(parts.linked(part, link), tree)
            tree.chart.anchor = anchor
            charts.append(tree.chart)
    return charts, odd
