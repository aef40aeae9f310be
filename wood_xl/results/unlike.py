"""Compares a workbook, part by part, with the same one as this program writes it; as a person sees it.

What another program may change is listed in ``io.may_change``; anything else is told with its sheet and cell.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum, auto
from itertools import takewhile, zip_longest

from wood_xl.io import measure
from wood_xl.io.may_change import (
    LEAST_COLUMN,
    LEAST_HEIGHT_LESS,
    LEAST_SHARE_OF_SIZE,
    LEAST_WIDTH_LESS,
    MOST_MORE,
    MOST_SHARE_OF_SIZE,
)
from wood_xl.io.package import Package
from wood_xl.io.package_parts import SharedTexts
from wood_xl.io.seal import canonical
from wood_xl.io.seen_charts import SeenChart, charts_of
from wood_xl.io.seen_parts import SeenParts
from wood_xl.io.seen_sheet import SeenCell, SeenFrame, SeenRow, SeenSheet
from wood_xl.io.seen_styles import SeenStyles
from wood_xl.io.sheet_part import cell_range
from wood_xl.notes.problem import Place
from wood_xl.pages import Unlike
from wood_xl.results.share import EFFORT_UNIT
from wood_xl.results.unlike_charts import (
    CellPlace,
    Value,
    cells_of,
    sources_of,
    unlike_charts,
    unlike_of_bodies,
    unlike_places,
)

Texts = tuple[Unlike, str, str]

OF_LOOK = {"number_format": Unlike.NUMBER_FORMAT, "ink": Unlike.COLOR, "fill": Unlike.COLOR}
PLACED = ("side", "turned", "shrinks", "indent", "wraps", "reading")
MOST_TOLD = 1_000
MOST_LINES = 3  # of a text that a row of its own height shows at least
_BETWEEN = re.compile(r"(?<=[.;:,)]) ")
_NUMBER = re.compile(r"[0-9](?:[0-9,.]*[0-9])?")
_WORD = re.compile(r"[^\W\d_]+")
USUAL_HEIGHT, LEAST_ROW = 15.0, 10.0
NO_CELL = SeenCell("", "0")


class Rests(Enum):
    """What of a cell rests on body data: all of it, all of a sentence, or those clauses that speak of effort."""

    CELL = auto()
    SENTENCE = auto()
    CLAUSES = auto()


@dataclass(frozen=True)
class Difference:
    """One thing that is not as it should be; None stands for an empty cell. ``what`` is None for a cell's value."""

    place: Place
    found: Value | None
    expected: Value | None
    what: Unlike | None = None


@dataclass
class _Book:
    """A workbook that is compared, with its looks and texts."""

    parts: SeenParts
    styles: SeenStyles
    texts: SharedTexts
    charts: dict[str, list[SeenChart]] = field(default_factory=dict)
    odd: dict[str, set[str]] = field(default_factory=dict)

    @classmethod
    def of(cls, package: Package) -> _Book:
        parts = SeenParts(package)
        parts.walk()
        book = cls(parts, parts.styles(), parts.shared_texts())
        for title, _, part in parts.sheets:
            book.charts[title], book.odd[title] = charts_of(parts, part)
        return book

    def sheet(self, title: str) -> tuple[SeenSheet, Iterator[SeenRow]]:
        part = next(part for name, _, part in self.parts.sheets if name == title)
        sheet = SeenSheet(self.parts.package, title, self.texts)
        return sheet, sheet.stream(part)


class Comparison:
    """Takes two workbooks and lists what differs.

    skipped: cells that rest on what the notes inside do not hold. Of a sentence every clause is compared that is not
        about bodies; other cells are not compared, but must be shown plainly.
    known_words: words that such a sentence may have.
    seal: place of the seal, which is compared with the cells of its own file.
    """

    def __init__(
        self,
        found: Package,
        written: Package,
        skipped: Mapping[CellPlace, Rests],
        known_words: frozenset[str],
        seal: CellPlace | None,
    ) -> None:
        self.differences: list[Difference] = []
        self.other_choices: list[Difference] = []
        self.compared_n = self.skipped_n = 0
        self._found, self._written = _Book.of(found), _Book.of(written)
        self._skipped = skipped
        self._unlike_looks: dict[tuple[str, str], list[Texts]] = {}
        self._plain_looks = set(self._written.styles.looks)
        self._seal = seal
        self._loose = {
            title for title, *_ in [*skipped, *([seal] if skipped and seal else [])]
        }  # their sizes hang on texts that are not computed again
        self._filled: dict[str, set[tuple[int, int]]] = {title: set() for title in self._loose}
        self._low: dict[str, list[SeenRow]] = {title: [] for title in self._loose}
        self._drawn: dict[CellPlace, Value] = dict.fromkeys(self._cells_drawn(), "")
        self._known_words = known_words
        self._compare()

    def _tell(self, what: Unlike, place: Place, found: str, expected: str = "") -> None:
        if len(self.differences) < MOST_TOLD:
            self.differences.append(Difference(place, found, expected, what))

    def _compare(self) -> None:
        found, written = self._found.parts, self._written.parts
        for strange in sorted(found.strange - written.strange):
            self._tell(Unlike.STRANGE, Place(), strange)
        titles = [[title for title, *_ in parts.sheets] for parts in (found, written)]
        for here, there in zip_longest(*titles, fillvalue=""):
            if here != there:
                self._tell(Unlike.SHEETS, Place(here or there), here, there)
        for title, state, _ in found.sheets:
            if state != "visible":
                self._tell(Unlike.HIDDEN, Place(title), state, "visible")
        for name in sorted(found.names.keys() | written.names.keys()):
            here, there = found.names.get(name, ""), written.names.get(name, "")
            if here and here != there:
                self._tell(Unlike.NAME, Place(), f"{name[0]} {here}", there)
        both = [title for title in titles[1] if title in titles[0]]
        frames = {title: self._compare_sheet(title) for title in both}
        for title, frame in frames.items():  # their numbers may stand on any sheet
            self._compare_charts(title, frame)
        for title in titles[1]:
            if title not in both:
                self._sheet_missing(title)

    def _sheet_missing(self, title: str) -> None:
        _, rows = self._written.sheet(title)
        n = sum(cell.value != "" for row in rows for cell in row.cells.values())
        self._tell(Unlike.SHEETS, Place(title), "", f"{n:,}")

    def _compare_sheet(self, title: str) -> SeenFrame:
        here, there = self._found.sheet(title), self._written.sheet(title)
        suspects: list[tuple[int, int, str]] = []
        for row, should in _paired(here[1], there[1]):
            self._compare_row(title, row, should, suspects)
        found, written = here[0].frame, there[0].frame
        self._compare_frame(title, found, written)
        covered = [area for area in map(cell_range, written.merged) if area is not None]
        for at, column, fill in suspects:
            if not any(top <= at <= bottom and left <= column <= right for top, left, bottom, right in covered):
                self._tell(Unlike.COLOR, Place(title, at, column), fill)
        return found

    def _compare_row(
        self, title: str, row: SeenRow | None, should: SeenRow | None, suspects: list[tuple[int, int, str]]
    ) -> None:
        number = (row or should or SeenRow(0, None)).number
        if row is not None and row.height is not None and should is not None:
            usual = should.height or USUAL_HEIGHT
            if not _is_alike(row.height, usual, LEAST_HEIGHT_LESS) and title in self._loose:
                self._low[title].append(row)
            elif not _is_alike(row.height, usual, LEAST_HEIGHT_LESS):
                self._tell(Unlike.HEIGHT, Place(title, number), f"{row.height:g}", f"{usual:g}")
        cells = {} if row is None else row.cells
        expected = {} if should is None else should.cells
        for column in sorted(cells.keys() | expected.keys()):
            cell, as_written = cells.get(column, NO_CELL), expected.get(column, NO_CELL)
            place = (title, number, column)
            if cell.value != "" and title in self._loose:
                self._filled[title].add((number, column))
            if place in self._drawn:
                self._drawn[place] = cell.value
            for odd in cell.odd:
                self._tell(Unlike.FORMULA if odd == "f" else Unlike.IN_CELL, Place(*place), odd)
            if place in self._skipped:
                self.skipped_n += 1
                if self._skipped[place] is not Rests.CELL:
                    self._compare_sentence(place, str(cell.value), str(as_written.value))
                look = self._found.styles.look(cell.style)
                if cell.value != "" and not any(not list(look.unlike(one)) for one in self._plain_looks):
                    self._tell(Unlike.COLOR, Place(*place), look.number_format)
                continue
            is_seal = bool(self._skipped) and place == self._seal
            self._compare_cell(
                place, cell, as_written._replace(value=cell.value) if is_seal else as_written, suspects
            )

    def _compare_cell(
        self, place: CellPlace, cell: SeenCell, as_written: SeenCell, suspects: list[tuple[int, int, str]]
    ) -> None:
        self.compared_n += as_written.value != ""
        if not _same(cell.value, as_written.value) and len(self.differences) < MOST_TOLD:
            values = [None if one == "" else one for one in (cell.value, as_written.value)]
            self.differences.append(Difference(Place(*place), values[0], values[1]))
        if cell.value == "":
            look = self._found.styles.look(cell.style)
            if look.is_blank_seen and look.fill != self._written.styles.look(as_written.style).fill:
                suspects.append((place[1], place[2], look.fill))
            return
        for what, found, expected in self._unlike(cell.style, as_written.style):
            self._tell(what, Place(*place), found, expected)

    def _compare_sentence(self, place: CellPlace, found: str, written: str) -> None:
        """A sentence that rests on bodies: what it says of all else."""
        here, there = _clauses(found), _clauses(written)
        plain = {_NUMBER.sub("#", clause): clause for clause in there}
        is_other_choice = _choice(here) != _choice(there)
        for clause in here:
            same = plain.get(_NUMBER.sub("#", clause))
            if clause in there or (same is not None and (is_other_choice or self._is_of_bodies(place, clause))):
                continue
            if same is not None or not self._known_words >= set(words_of(clause)):
                self.differences.append(Difference(Place(*place), clause, same))
        if is_other_choice:
            self.other_choices.append(Difference(Place(*place), found, written))

    def _is_of_bodies(self, place: CellPlace, clause: str) -> bool:
        """Whether a clause may have other numbers with other bodies."""
        return self._skipped[place] is Rests.SENTENCE or EFFORT_UNIT in clause

    def _unlike(self, style: str, as_written: str) -> list[Texts]:
        both = style, as_written
        if both not in self._unlike_looks:
            look, should = self._found.styles.look(style), self._written.styles.look(as_written)
            self._unlike_looks[both] = [
                (OF_LOOK.get(name, Unlike.STANDS if name in PLACED else Unlike.LETTERS), str(here), str(there))
                for name, here, there in look.unlike(should)
            ]
        return self._unlike_looks[both]

    def _compare_frame(self, title: str, found: SeenFrame, written: SeenFrame) -> None:
        place = Place(title)
        for odd in sorted(found.odd - written.odd):
            self._tell(Unlike.STRANGE, place, odd)
        if title in self._loose:
            self._compare_loosely(title, found)
        else:
            for area in sorted(found.merged ^ written.merged):
                texts = (area, "") if area in found.merged else ("", area)
                self._tell(Unlike.MERGED, place, *texts)
        for column, width in written.widths.items():
            here = found.widths.get(column, found.width)
            is_wide = here >= LEAST_COLUMN and title in self._loose
            if not (is_wide or _is_alike(here, width, LEAST_WIDTH_LESS)):
                self._tell(Unlike.WIDTH, Place(title, None, column), f"{here:g}", f"{width:g}")
        for key in sorted(found.footers.keys() | written.footers.keys()):
            texts = found.footers.get(key, ""), written.footers.get(key, "")
            if texts[0] != texts[1]:
                self._tell(Unlike.FOOTER, place, *texts)
        if found.filters and found.filters != written.filters:
            self._tell(Unlike.FILTER, place, *map("; ".join, (found.filters, written.filters)))
        if found.panes and found.panes != written.panes:
            self._tell(Unlike.PANES, place, *map("; ".join, (found.panes, written.panes)))
        if found.height < LEAST_ROW:
            self._tell(Unlike.HEIGHT, place, f"{found.height:g}", f"{written.height:g}")

    def _compare_loosely(self, title: str, found: SeenFrame) -> None:
        """Where widths and heights hang on texts that are not computed again: whether any text is covered or cut."""
        areas = [area for area in map(cell_range, found.merged) if area is not None]
        for top, left, bottom, right in areas:
            covered = {(at, column) for at in range(top, bottom + 1) for column in range(left, right + 1)}
            for at, column in sorted((covered - {(top, left)}) & self._filled[title]):
                self._tell(Unlike.MERGED, Place(title, at, column), "")
        wide = {(top, left): range(left, right + 1) for top, left, _, right in areas}
        for row in self._low[title]:
            need = max(
                (
                    self._need(str(cell.value), cell.style, found, wide.get((row.number, column), [column]))
                    for column, cell in row.cells.items()
                    if cell.value != ""
                ),
                default=USUAL_HEIGHT,
            )
            if not row.height or row.height < LEAST_SHARE_OF_SIZE * need - LEAST_HEIGHT_LESS:
                self._tell(Unlike.HEIGHT, Place(title, row.number), f"{row.height or 0.0:g}", f"{need:g}")

    def _need(self, text: str, style: str, frame: SeenFrame, columns: Collection[int]) -> float:
        """Height that a text needs in its cell."""
        look = self._found.styles.look(style)
        width = sum(frame.widths.get(column, frame.width) for column in columns) - measure.INDENT * int(look.indent)
        lines = measure.line_count(text, width, look.size, look.bold) if look.wraps else 1
        return measure.row_height(min(lines, MOST_LINES), look.size)

    def _cells_drawn(self) -> Iterator[CellPlace]:
        """Cells that rest on what is not here and that pictures of the file are drawn from."""
        if not self._skipped:
            return
        for charts in self._found.charts.values():
            for chart in charts:
                for series in chart.series:
                    for ref in series.refs.values():
                        yield from cells_of(ref)

    def _compare_charts(self, title: str, found: SeenFrame) -> None:
        place = Place(title)
        charts, left = self._found.charts[title], list(self._written.charts[title])
        for odd in sorted(self._found.odd[title] - self._written.odd[title]):
            self._tell(Unlike.DRAWN, place, odd)
        if charts and not found.drawings:
            self._tell(Unlike.PICTURE, place, "", str(len(charts)))
        for chart in charts:
            same = next((one for one in left if sources_of(one) == sources_of(chart)), None)
            same = same or next((one for one in left if one.title == chart.title), None)
            is_skipped = self._is_skipped(chart)
            if same is None:
                is_known = self._known_words >= set(words_of(chart.title)) and not chart.odd
                if not (is_skipped and is_known):
                    self._tell(Unlike.PICTURE, place, chart.title or "?")
                continue
            left.remove(same)
            for here, there in unlike_places(chart.anchor, same.anchor, found):
                self._tell(Unlike.PICTURE_PLACE, place, f"{chart.title}: {here}", there)
            differences = unlike_of_bodies(chart, same, self._drawn) if is_skipped else unlike_charts(chart, same)
            for here, there in differences:
                self._tell(Unlike.PICTURE, place, f"{same.title}: {here}", there)
        for chart in left:
            if not self._is_skipped(chart):
                self._tell(Unlike.PICTURE, place, "", chart.title)

    def _is_skipped(self, chart: SeenChart) -> bool:
        """Whether a picture is drawn from cells that are not computed again."""
        refs = (ref for series in chart.series for ref in series.refs.values())
        return bool(self._skipped) and any(cell in self._skipped for ref in refs for cell in cells_of(ref))


def words_of(text: str) -> list[str]:
    """Words of a text, in small letters."""
    return _WORD.findall(text.casefold())


def _clauses(text: str) -> list[str]:
    return [clause for clause in _BETWEEN.split(text) if clause]


def _choice(clauses: Sequence[str]) -> list[str]:
    """What a sentence says before its first number."""
    return list(takewhile(lambda clause: not _NUMBER.search(clause), clauses))


def _paired(found: Iterator[SeenRow], written: Iterator[SeenRow]) -> Iterator[tuple[SeenRow | None, SeenRow | None]]:
    """Rows of both sheets side by side."""
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
    """Whether a width or height shows as much as it should."""
    is_enough = here >= LEAST_SHARE_OF_SIZE * there or here >= there - less
    return (is_enough and here > 0.0) and here <= max(MOST_SHARE_OF_SIZE * there, there + MOST_MORE)
