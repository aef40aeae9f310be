"""Charts on the sheets of results, drawn from the cells of the tables above them.

A row or a figure that cannot be drawn is left out and told of; the room of a picture stays where figures are left out
of a copy, so that what stands below keeps its place.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import groupby
from operator import itemgetter
from typing import Any

from openpyxl.chart import ScatterChart

from wood_xl.io import looks
from wood_xl.io.blocks import Block, Cell, Head, SheetWriter, number_format
from wood_xl.io.charts import (
    PART_FILLS,
    Bars,
    Part,
    axis_end,
    bar_chart,
    dot_chart,
    height_cm,
    stacked_chart,
    stacked_height_cm,
    tornado_chart,
)
from wood_xl.io.result_blocks import number_decimals
from wood_xl.io.scatter import HEIGHT_CM, Points, scatter_chart
from wood_xl.pages import Beside
from wood_xl.schema.model import Column, Sheet
from wood_xl.schema.words import key_words, phrase, words

ACROSS, UPWARDS = "worker_hours", ("cash", "co2e")  # of the ways of the whole job as points
DOT_SHARE = 0.012  # length of a dot, as a share of the axis
DOT_DECIMALS = 2
DOT_HEADS = (Beside.TO_DOT, Beside.DOT, Beside.DOWN_TO_LOW, Beside.UP_TO_HIGH)
FIRST_DOT_COLUMN = 4

Row = Mapping[str, Any]
Placed = Sequence[tuple[Block, int]]  # the parts of a table so far, each with its first row of cells in the sheet
Picture = Callable[[SheetWriter, Placed, Sheet, Sequence[Row], str], None]


def _header(column: Column, rows: Sequence[Row], currency: str) -> str:
    unit = column.unit if column.is_money else rows[0][column.id]["unit"]
    return column.header(unit, currency)


def _is_in(block: Block, header: str) -> bool:
    return any(head.text == header for head in block.heads)


def _place(placed: Placed, header: str) -> tuple[int, int]:
    """Column and first row of the cells below a header."""
    block, first_row = next((block, first_row) for block, first_row in placed if _is_in(block, header))
    return 1 + [head.text for head in block.heads].index(header), first_row


def _values(rows: Sequence[Row], column: Column) -> list[float | None]:
    return [row[column.id]["value"] for row in rows]


def _bars(placed: Placed, name: str, rows: Sequence[Row], column: Column, header: str) -> Bars:
    """Bars of a column of figures, without whiskers, named by another column."""
    value_column, first_row = _place(placed, header)
    return Bars(
        names=[row[name] for row in rows],
        values=_values(rows, column),
        high=[None] * len(rows),
        name_column=1,
        value_column=value_column,
        first_row=first_row,
        number_format=number_format(number_decimals(column)),
    )


def bars_of_parts(
    writer: SheetWriter, placed: Placed, sheet: Sheet, rows: Sequence[Row], currency: str, *, total: str
) -> None:
    """Each method as a bar of its parts: the figures that stand before their sum in the table; below that sum."""
    whole = sheet.column(total)
    header = _header(whole, rows, currency) if rows else ""
    if rows and not _is_in(placed[-1][0], header):
        return
    figures = [column for column in sheet.columns if column.type == "figure"]
    parts = figures[: figures.index(whole)][: len(PART_FILLS)]
    if not any(row[column.id]["value"] for row in rows for column in parts):
        writer.line(phrase(Beside.NO_PARTS, what=whole.title), looks.NOTE)
        return
    chart = stacked_chart(
        writer.sheet,
        _bars(placed, "method", rows, whole, header),
        [Part(c.title, _values(rows, c), *_place(placed, _header(c, rows, currency))) for c in parts],
        title=sheet.title,
        name_title=words(Beside.METHOD),
        value_title=header,
        width_cm=writer.width_cm(),
    )
    writer.gap()
    writer.picture(chart, writer.space(stacked_height_cm(len(rows))))
    if any(row[total]["value"] is None for row in rows):
        writer.line(phrase(Beside.BAR_LACKS, what=whole.title), looks.NOTE)


def moves_of_the_flip(writer: SheetWriter, placed: Placed, sheet: Sheet, rows: Sequence[Row], currency: str) -> None:
    """For each two ways: how far each input moves the value of an hour at which both cost the same."""
    flip, ends = sheet.column("flip"), [sheet.column(key) for key in ("at_low", "at_high")]
    first = 0
    for (quick, cheap), group in groupby(rows, key=itemgetter("method", "instead_of")):
        shown = list(group)
        bars = _bars(placed, "input", shown, flip, _header(flip, shown, currency))
        parts = [Part(c.title, _values(shown, c), *_place(placed, _header(c, shown, currency))) for c in ends]
        chart = tornado_chart(
            writer.sheet,
            replace(bars, first_row=bars.first_row + first),
            [replace(part, first_row=part.first_row + first) for part in parts],
            stands=shown[0][flip.id]["value"],
            title=phrase(Beside.AGAINST, more=quick, less=cheap),
            name_title=sheet.columns[0].title,
            value_title=phrase(Beside.SAME_COST_AT, what=_header(flip, shown, currency)),
            width_cm=writer.width_cm(),
        )
        writer.gap()
        writer.picture(chart, writer.space(stacked_height_cm(len(shown))))
        first += len(shown)


def heat_by_kind(writer: SheetWriter, placed: Placed, sheet: Sheet, rows: Sequence[Row], currency: str) -> None:
    """Net heat of a cord of each kind of wood, and of their mix, below the part of the table that holds it."""
    column = sheet.column("net_heat")
    header = _header(column, rows, currency) if rows else ""
    if not rows or not _is_in(placed[-1][0], header):
        return
    chart = bar_chart(
        writer.sheet,
        _bars(placed, "species", rows, column, header),
        title=column.title,
        name_title=sheet.columns[0].title,
        value_title=header,
        width_cm=writer.width_cm(),
    )
    writer.gap()
    writer.picture(chart, writer.space(height_cm(len(rows))))


def combinations_as_points(
    writer: SheetWriter, placed: Placed, sheet: Sheet, rows: Sequence[Row], currency: str
) -> None:
    """Hours against cash and against CO2, a point for each way with both, below the part that holds them."""
    block, first_row = placed[-1]
    if not rows or not _is_in(block, _header(sheet.column(ACROSS), rows, currency)):
        return
    for upwards in UPWARDS:
        chart, drawn_n = _points_chart(block, first_row, sheet, rows, currency, upwards, writer.width_cm())
        writer.gap()
        if chart is None:
            writer.line(phrase(Beside.NO_POINTS, what=_points_title(sheet, upwards)), looks.NOTE)
            continue
        writer.picture(chart, writer.space(HEIGHT_CM))
        if drawn_n < len(rows):
            writer.line(words(Beside.POINT_LACKS), looks.NOTE)


def hours_and_cash(
    block: Block, first_row: int, sheet: Sheet, rows: Sequence[Row], currency: str
) -> ScatterChart | None:
    """The first of these pictures, for another sheet than that of the table; None if none has both figures."""
    return _points_chart(block, first_row, sheet, rows, currency, UPWARDS[0], 0.0)[0]


def _points_title(sheet: Sheet, upwards: str) -> str:
    return phrase(Beside.BY_WAY, x=sheet.column(ACROSS).title, y=sheet.column(upwards).title)


def _points_chart(
    block: Block, first_row: int, sheet: Sheet, rows: Sequence[Row], currency: str, upwards: str, width_cm: float
) -> tuple[ScatterChart | None, int]:
    """The picture, and how many points it has."""
    x, y = sheet.column(ACROSS), sheet.column(upwards)
    x_header, y_header = _header(x, rows, currency), _header(y, rows, currency)
    points = Points(
        names=[key_words(sheet.columns[0].words_of, row[sheet.columns[0].id]) for row in rows],
        x=_values(rows, x),
        y=_values(rows, y),
        name_column=1,
        x_column=_place([(block, first_row)], x_header)[0],
        y_column=_place([(block, first_row)], y_header)[0],
        first_row=first_row,
        x_format=number_format(number_decimals(x)),
        y_format=number_format(number_decimals(y)),
    )
    if not points.drawn:
        return None, 0
    chart = scatter_chart(
        sheet.result_sheet,
        points,
        title=_points_title(sheet, upwards),
        x_title=x_header,
        y_title=y_header,
        width_cm=width_cm,
    )
    return chart, len(points.drawn)


@dataclass(frozen=True)
class Dots:
    """A chart of dots with their intervals: a figure for each name, null where a dot cannot be given."""

    title: str
    names: Sequence[str]
    figures: Sequence[Row]
    axis: str

    @property
    def is_empty(self) -> bool:
        """Whether none of its dots can be given."""
        return all(figure["high"] is None for figure in self.figures)

    @property
    def lengths(self) -> list[list[float] | None]:
        """For each dot: from zero to the dot, the dot, and the interval down and up from where the dot begins."""
        dot = DOT_SHARE * axis_end(max((f["high"] for f in self.figures if f["high"] is not None), default=0.0))[0]
        rows: list[list[float] | None] = []
        for figure in self.figures:
            if figure["high"] is None:
                rows.append(None)
                continue
            wide = min(dot, 2 * figure["value"])  # the dot of a small figure would else reach far beyond it
            start = figure["value"] - wide / 2
            parts = (start, wide, max(0.0, start - figure["low"]), figure["high"] - start)
            rows.append([float(f"{length:.10g}") for length in parts])
        return rows


def ratios(writer: SheetWriter, _placed: Placed, _sheet: Sheet, rows: Sequence[Row], _currency: str) -> None:
    """A picture for each figure: every pair of methods."""
    of_figure: dict[str, list[Row]] = {}
    for row in rows:
        of_figure.setdefault(row["figure"], []).append(row)
    draw_dots(
        writer,
        [
            Dots(
                title=phrase(Beside.TIMES_AS_MUCH, figure=figure),
                names=[phrase(Beside.AGAINST, more=row["more"], less=row["less"]) for row in pairs],
                figures=[row["ratio"] for row in pairs],
                axis=words(Beside.RATIO_AXIS),
            )
            for figure, pairs in of_figure.items()
        ],
    )


def draw_dots(writer: SheetWriter, pictures: Sequence[Dots]) -> None:
    """Charts of dots below each other, and the table of lengths from whose cells programs draw them."""
    if not pictures:
        return
    writer.gap()
    corners = [writer.space(height_cm(len(dots.names))) for dots in pictures]
    first = writer.block(_lengths_block(pictures))
    for corner, dots in zip(corners, pictures, strict=True):
        if not dots.is_empty:
            chart = dot_chart(
                writer.sheet,
                dots.names,
                dots.lengths,
                [figure["high"] for figure in dots.figures],
                first_row=first,
                first_column=FIRST_DOT_COLUMN,
                title=dots.title,
                value_title=dots.axis,
                width_cm=writer.width_cm(),
            )
            writer.picture(chart, corner)
        first += len(dots.names)


def _lengths_block(pictures: Sequence[Dots]) -> Block:
    missing = [Cell(words(Beside.NOT_GIVEN), is_reason=True)] * len(DOT_HEADS)
    cells = [
        [Cell(name), Cell(""), Cell(""), *([Cell(n, DOT_DECIMALS) for n in lengths] if lengths else missing)]
        for dots in pictures
        for name, lengths in zip(dots.names, dots.lengths, strict=True)
    ]
    heads = (Head(words(Beside.OF)), Head(""), Head(""), *(Head(words(one), is_number=True) for one in DOT_HEADS))
    return Block(words(Beside.LENGTHS), words(Beside.LENGTHS_HELP), heads, cells)


PICTURES: dict[str, Picture] = {
    "comparisons": ratios,
    "combinations": combinations_as_points,
    "money_per_cord": partial(bars_of_parts, total="cash"),
    "flip_moves": moves_of_the_flip,
    "emissions_per_cord": partial(bars_of_parts, total="co2e"),
    "heat": heat_by_kind,
}
WHOLE = frozenset({"comparisons", "flip_moves"})  # never parted, since their pictures show all of them
