"""Compares a workbook, as a person sees it, with the same one as this program writes it.

``io.may_change`` lists what another program may change; any other difference is reported with its sheet and cell.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import zip_longest
from typing import NamedTuple

from wood_xl.io import may_change
from wood_xl.io.package import Package
from wood_xl.io.seal import canonical
from wood_xl.io.seen_charts import OWN_WORDS, SOURCES, SeenChart, charts_of
from wood_xl.io.seen_parts import SeenParts
from wood_xl.io.seen_sheet import SeenCell, SeenFrame, SeenRow, SeenSheet
from wood_xl.io.sheet_part import cell_range
from wood_xl.notes.problem import Place
from wood_xl.page_texts import InResults, Unlike
from wood_xl.schema.words import phrase

Value = str | float
CellPlace = tuple[str, int, int]
Texts = tuple[Unlike, str, str]

OF_LOOK = {"number_format": Unlike.NUMBER_FORMAT, "ink": Unlike.COLOR, "fill": Unlike.COLOR}
PLACED = ("side", "turned", "shrinks", "indent", "wraps", "reading")
MOST_REPORTED = 1_000
MOST_ALIKE = 3  # charts with the same difference that are reported one by one
USUAL_HEIGHT, LEAST_ROW, LEAST_COLUMN = 15.0, 10.0, 5.0
NO_CELL = SeenCell("", "0")
EMU_PER_WIDTH, EMU_PER_ROW = 69_000.0, 190_500.0  # for one digit of a column's width, and for a row of usual height
NUMBERS = ("val", "xVal", "yVal")
SCATTER, NO_FILL = "scatterChart", "noFill"


class Difference(NamedTuple):
    """One difference; None stands for an empty cell. ``what`` is None where the value of a cell differs."""

    place: Place
    found: Value | None
    expected: Value | None
    what: Unlike | None = None


class _Book:
    """One of the two workbooks, with its styles, its texts, and the charts on each of its sheets."""

    def __init__(self, package: Package) -> None:
        self.parts = SeenParts(package)
        self.styles, self.texts = self.parts.styles, self.parts.shared_texts
        self.drawn = {title: charts_of(self.parts, part) for title, _, part in self.parts.sheets}

    def sheet(self, title: str) -> tuple[SeenSheet, Iterator[SeenRow]]:
        part = next(part for name, _, part in self.parts.sheets if name == title)
        sheet = SeenSheet(self.parts.package, title, self.texts)
        return sheet, sheet.stream(part)


class Comparison:
    """The differences between two workbooks; nothing is compared further where all parts have the same bytes."""

    def __init__(self, found: Package, written: Package, filled_n: int) -> None:
        self.differences: list[Difference] = []
        self.compared_n = filled_n
        found.reset_counts()
        if found.is_same(written):
            return
        self.compared_n = 0
        self._found, self._written = _Book(found), _Book(written)
        self._suspects: list[tuple[int, int, str]] = []  # empty cells of a sheet with another color
        self._unlike_looks: dict[tuple[str, str], list[Texts]] = {}
        self._compare()

    def _report(self, what: Unlike | None, place: Place, found: Value | None, expected: Value | None = "") -> None:
        if len(self.differences) < MOST_REPORTED:
            self.differences.append(Difference(place, found, expected, what))

    def _compare(self) -> None:
        found, written = self._found.parts, self._written.parts
        for strange in sorted(found.strange - written.strange):
            self._report(Unlike.STRANGE, Place(), strange)
        titles = [[title for title, *_ in parts.sheets] for parts in (found, written)]
        for here, there in zip_longest(*titles, fillvalue=""):
            if here != there:
                self._report(Unlike.SHEETS, Place(here or there), here, there)
        for title, state, _ in found.sheets:
            if state != "visible":
                self._report(Unlike.HIDDEN, Place(title), state, "visible")
        for name in sorted(found.names.keys() | written.names.keys()):
            here, there = found.names.get(name, ""), written.names.get(name, "")
            if here and here != there:
                self._report(Unlike.NAME, Place(), f"{name[0]} {here}", there)
        both = [title for title in titles[1] if title in titles[0]]
        frames = {title: self._compare_sheet(title) for title in both}
        self._compare_pictures(frames)
        for title in titles[1]:
            if title not in both:
                _, rows = self._written.sheet(title)
                n = sum(cell.value != "" for row in rows for cell in row.cells.values())
                self._report(Unlike.SHEETS, Place(title), "", f"{n:,}")

    def _compare_pictures(self, frames: Mapping[str, SeenFrame]) -> None:
        """Compare the charts of all sheets, and report many with the same difference once."""
        alike: dict[tuple[str, str], list[tuple[str, str]]] = {}
        for title, frame in frames.items():
            for picture, here, there in self._compare_charts(title, frame):
                alike.setdefault((here, there), []).append((title, picture))
        for (here, there), pictures in alike.items():
            if len(pictures) > MOST_ALIKE:  # done to all by a library that saved the workbook
                self._report(Unlike.PICTURE, Place(), phrase(InResults.PICTURES, n=len(pictures), found=here), there)
                continue
            for title, picture in pictures:
                self._report(Unlike.PICTURE, Place(title), f"{picture}: {here}", there)

    def _compare_sheet(self, title: str) -> SeenFrame:
        (found_sheet, found_rows), (written_sheet, written_rows) = (
            self._found.sheet(title),
            self._written.sheet(title),
        )
        self._suspects = []
        for rows in _paired(found_rows, written_rows):
            self._compare_row(title, *rows)
        found, written = found_sheet.frame, written_sheet.frame
        self._compare_frame(title, found, written)
        covered = [area for area in map(cell_range, written.merged) if area is not None]
        for at, column, fill in self._suspects:
            if not any(top <= at <= bottom and left <= column <= right for top, left, bottom, right in covered):
                self._report(Unlike.COLOR, Place(title, at, column), fill)
        return found

    def _compare_row(self, title: str, found: SeenRow | None, written: SeenRow | None) -> None:
        number = (found or written or SeenRow(0, None)).number
        if found is not None and found.height is not None and written is not None:
            usual = written.height or USUAL_HEIGHT
            if not _is_alike(found.height, usual, may_change.LEAST_HEIGHT_LESS):
                self._report(Unlike.HEIGHT, Place(title, number), f"{found.height:g}", f"{usual:g}")
        here = {} if found is None else found.cells
        there = {} if written is None else written.cells
        for column in sorted(here.keys() | there.keys()):
            cells, place = (here.get(column, NO_CELL), there.get(column, NO_CELL)), (title, number, column)
            for odd in cells[0].odd:
                self._report(Unlike.FORMULA if odd == "f" else Unlike.IN_CELL, Place(*place), odd)
            self._compare_cell(place, *cells)

    def _compare_cell(self, place: CellPlace, found: SeenCell, written: SeenCell) -> None:
        self.compared_n += written.value != ""
        if not _same(found.value, written.value):
            self._report(None, Place(*place), *(None if one == "" else one for one in (found.value, written.value)))
        if found.value == "":
            look = self._found.styles.look(found.style)
            if look.is_blank_seen and look.fill != self._written.styles.look(written.style).fill:
                self._suspects.append((place[1], place[2], look.fill))
            return
        for what, here, there in self._unlike(found.style, written.style):
            self._report(what, Place(*place), here, there)

    def _unlike(self, found: str, written: str) -> list[Texts]:
        """The differences between two styles, looked up once for all cells that have them."""
        both = found, written
        if both not in self._unlike_looks:
            look, as_written = self._found.styles.look(found), self._written.styles.look(written)
            self._unlike_looks[both] = [
                (OF_LOOK.get(name, Unlike.STANDS if name in PLACED else Unlike.LETTERS), str(here), str(there))
                for name, here, there in look.unlike(as_written)
            ]
        return self._unlike_looks[both]

    def _compare_frame(self, title: str, found: SeenFrame, written: SeenFrame) -> None:
        place = Place(title)
        for odd in sorted(found.odd - written.odd):
            self._report(Unlike.STRANGE, place, odd)
        for area in sorted(found.merged ^ written.merged):
            texts = (area, "") if area in found.merged else ("", area)
            self._report(Unlike.MERGED, place, *texts)
        for column, width in written.widths.items():
            here = found.widths.get(column, found.width)
            if not _is_alike(here, width, may_change.LEAST_WIDTH_LESS):
                self._report(Unlike.WIDTH, Place(title, None, column), f"{here:g}", f"{width:g}")
        for key in sorted(found.footers.keys() | written.footers.keys()):
            texts = found.footers.get(key, ""), written.footers.get(key, "")
            if texts[0] != texts[1]:
                self._report(Unlike.FOOTER, place, *texts)
        kept = (Unlike.FILTER, found.filters, written.filters), (Unlike.PANES, found.panes, written.panes)
        for what, own, others in kept:
            if own and own != others:
                self._report(what, place, "; ".join(own), "; ".join(others))
        if not LEAST_ROW <= found.height <= written.height + may_change.MOST_MORE or found.width < LEAST_COLUMN:
            self._report(Unlike.HEIGHT, place, f"{found.height:g}", f"{written.height:g}")
        if found.scale < may_change.LEAST_SHARE_OF_SIZE * written.scale:
            self._report(Unlike.WIDTH, place, f"{found.scale:g}%", f"{written.scale:g} %")
        fills = {self._found.styles.look(style).fill for style in found.styles}
        for fill in sorted(fills - {self._written.styles.look(style).fill for style in written.styles}):
            self._report(Unlike.COLOR, place, fill)

    def _compare_charts(self, title: str, found: SeenFrame) -> Iterator[tuple[str, str, str]]:
        """Report charts that are missing, new or moved; yields other differences: title, found and expected."""
        place = Place(title)
        (charts, strange), (as_written, usual) = self._found.drawn[title], self._written.drawn[title]
        unmatched = list(as_written)
        for odd in sorted(strange - usual):
            self._report(Unlike.DRAWN, place, odd)
        if charts and not found.drawings:
            self._report(Unlike.PICTURE, place, "", str(len(charts)))
        for chart in charts:
            same = next((other for other in unmatched if sources_of(other) == sources_of(chart)), None)
            same = same or next((other for other in unmatched if other.title == chart.title), None)
            if same is None:
                self._report(Unlike.PICTURE, place, chart.title or "?")
                continue
            unmatched.remove(same)
            for here, there in unlike_places(chart.anchor, same.anchor, found):
                self._report(Unlike.PICTURE_PLACE, place, f"{chart.title}: {here}", there)
            yield from ((same.title, here, there) for here, there in unlike_charts(chart, same))
        for chart in unmatched:
            self._report(Unlike.PICTURE, place, "", chart.title)


def _paired(found: Iterator[SeenRow], written: Iterator[SeenRow]) -> Iterator[tuple[SeenRow | None, SeenRow | None]]:
    here, there = next(found, None), next(written, None)
    while here is not None or there is not None:
        if there is None or (here is not None and here.number < there.number):
            yield here, None
            here = next(found, None)
        elif here is None or there.number < here.number:
            yield None, there
            there = next(written, None)
        else:
            yield here, there
            here, there = next(found, None), next(written, None)


def _same(there: Value, expected: Value) -> bool:
    return there == expected or (
        isinstance(there, str) is isinstance(expected, str) and canonical(there) == canonical(expected)
    )


def _is_alike(here: float, there: float, less: float) -> bool:
    is_enough = here >= may_change.LEAST_SHARE_OF_SIZE * there or here >= there - less
    return (is_enough and here > 0.0) and here <= max(
        may_change.MOST_SHARE_OF_SIZE * there, there + may_change.MOST_MORE
    )


def sources_of(chart: SeenChart) -> list[tuple[str, ...]]:
    """Ranges with the numbers of a chart."""
    return sorted(tuple(series.refs.get(kind, "") for kind in NUMBERS) for series in chart.series)


def unlike_places(found: dict[str, float], written: dict[str, float], frame: SeenFrame) -> Iterator[tuple[str, str]]:
    """Differences in place and size of a chart, each as found and expected."""
    for key, offset in (("from_col", "from_colOff"), ("from_row", "from_rowOff")):
        here, there = ((one.get(key, 0.0), one.get(offset, 0.0)) for one in (found, written))
        if abs(here[0] - there[0]) > may_change.MOST_CELLS_MOVED or abs(here[1]) > may_change.MOST_INTO_CELL:
            yield f"{key} {here[0]:g} {here[1]:g}", f"{there[0]:g} {there[1]:g}"
    width, height = found.get("cx", 0.0), found.get("cy", 0.0)
    if "to_col" in found:
        columns = range(int(found["from_col"]) + 1, int(found["to_col"]) + 1)
        width = EMU_PER_WIDTH * sum(frame.widths.get(one, frame.width) for one in columns[:100])
        width += found.get("to_colOff", 0.0) - found.get("from_colOff", 0.0)
        height = EMU_PER_ROW * (found["to_row"] - found["from_row"])
        height += found.get("to_rowOff", 0.0) - found.get("from_rowOff", 0.0)
    for key, size in (("cx", width), ("cy", height)):
        if abs(size - written[key]) > may_change.PICTURE_SIZE_SHARE * written[key]:
            yield f"{key} {size:.0f}", f"{written[key]:.0f}"


def unlike_charts(found: SeenChart, written: SeenChart) -> Iterator[tuple[str, str]]:
    """Differences between a chart and the same chart as it is written, each as found and expected."""
    yield from ((tag, "") for tag in sorted(found.odd - written.odd))
    if found.title != written.title:
        yield found.title, written.title
    yield from ((title, "") for title in sorted(found.titles - written.titles - {""}))
    for key in ("kind", *OWN_WORDS):
        if found.words.get(key, "") != written.words.get(key, ""):
            yield f"{key} {found.words.get(key, '')}", written.words.get(key, "")
    yield from ((color, "") for color in sorted(found.colors - written.colors - may_change.CHART_COLORS))
    yield from ((color, "") for color in sorted(found.inks - written.inks - may_change.CHART_COLORS))
    for name, share in sorted(found.layout):
        shares = [one for other, one in written.layout if other == name]
        if not any(abs(share - one) <= may_change.LAYOUT_SHARE for one in shares):
            yield f"{name} {share:g}", " ".join(map(str, shares))
    own = {form for one in written.formats for form in (one, one.replace('"', ""))}
    formats = {f"{one}{after}" for one in own for after in ("", "_)")} | may_change.CHART_FORMATS
    yield from ((one, "") for one in sorted(found.formats) if one.replace("\\", "") not in formats)
    yield from _unlike_axes(found.axes, written.axes)
    yield from _unlike_series(found, written)
    for source, points in found.stored.items():
        there = written.stored.get(source, {})
        yield from ((text, there.get(at, "")) for at, text in points.items() if there.get(at) != text)


def _unlike_axes(found: list[dict[str, str]], written: list[dict[str, str]]) -> Iterator[tuple[str, str]]:
    for axis in found:
        if not any(all(one.get(key) == text for key, text in axis.items()) for one in written):
            yield " ".join(axis.values()), " ".join(written[0].values()) if written else ""
    if len(found) != len(written):
        yield str(len(found)), str(len(written))


def _unlike_series(found: SeenChart, written: SeenChart) -> Iterator[tuple[str, str]]:
    sources = {kind: {one.refs[kind] for one in written.series if kind in one.refs} for kind in SOURCES}
    unmatched, is_scatter = list(written.series), written.words.get("kind") == SCATTER  # which has no areas to fill
    for series in found.series:
        same = next((one for one in unmatched if all(one.refs.get(k) == series.refs.get(k) for k in NUMBERS)), None)
        if same is None:
            yield "; ".join(series.refs.values()), ""
            continue
        unmatched.remove(same)
        if series.name != same.name:
            yield series.name, same.name
        is_of_points = not same.fill and (series.fill in written.colors or (is_scatter and series.fill != NO_FILL))
        if series.fill and series.fill != same.fill and not is_of_points:
            yield series.fill, same.fill
        yield from ((one, "") for one in sorted(series.shown - same.shown))
        for key, word in series.words.items():
            if word != same.words.get(key, word):
                yield f"{key} {word}", same.words[key]
        names = {same.refs.get(kind) for kind in may_change.NAMED_AFTER}
        for kind, ref in series.refs.items():
            if ref not in (names if kind == "tx" else sources[kind]):
                yield ref, same.refs.get(kind, "")
    yield from (("", series.name or "; ".join(series.refs.values())) for series in unmatched)
