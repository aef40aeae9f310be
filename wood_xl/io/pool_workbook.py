"""A pooled study of several seasons as a workbook of values: no formula, macro or link.

Tables, titles and units come from ``schema/pool.schema.json``; this module only says what stands where.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from wood_xl.io import looks
from wood_xl.io.blocks import Block, Cell, Head, SheetWriter
from wood_xl.io.charts import axis_end, dot_chart, height_cm
from wood_xl.io.page import Paper
from wood_xl.io.result_blocks import Units, items_block, table_block
from wood_xl.io.result_book import ResultBook, book_bytes, table_sheet
from wood_xl.pages import Beside, InPool
from wood_xl.schema.model import Sheet, pool_definition
from wood_xl.schema.words import phrase, words

Document = Mapping[str, Any]
Row = Mapping[str, Any]

PROVENANCE = "Provenance"
POOLED_TABLE = "pooled"
PICTURES_TITLE = "Pictures"
PICTURE_WIDTHS = [30.0, 6.0, 6.0, 13.0, 13.0, 13.0, 13.0]
DOT_SHARE = 0.012  # length of a dot, as a share of the axis
DOT_DECIMALS = 2
DOT_HEADS = (Beside.TO_DOT, Beside.DOT, Beside.DOWN_TO_LOW, Beside.UP_TO_HIGH)
FIRST_DOT_COLUMN = 4


def pool_bytes(document: Document, *, paper: Paper) -> bytes:
    """A pooled study, rounded and in the units it shall be shown in, as an .xlsx file's bytes."""
    return book_bytes(paper, lambda book: _write_pool(book, document))


def _write_pool(book: ResultBook, document: Document) -> SheetWriter:
    by_title: dict[str, list[Sheet]] = {}
    for sheet in pool_definition().sheets:
        by_title.setdefault(sheet.result_sheet, []).append(sheet)
    provenance = by_title.pop(PROVENANCE)
    for title, sheets in by_title.items():
        _mark(table_sheet(book, title, [_pool_block(sheet, document) for sheet in sheets]), document)
    _pool_pictures(book, document)
    return _mark(table_sheet(book, PROVENANCE, [_pool_block(sheet, document) for sheet in provenance]), document)


def _pool_block(sheet: Sheet, document: Document) -> Block:
    make = items_block if sheet.kind == "items" else table_block
    # A pool has no currency of its own: each of its rows names one.
    block = make(sheet, document[sheet.id], Units(document["provenance"]["display_units"], ""))
    invented = document["provenance"]["invented"]
    return replace(block, title=_marked(block.title, document), help=f"{invented} {block.help}".strip())


def _marked(title: str, document: Document) -> str:
    """A title that says so where a season of the study is invented."""
    return phrase(InPool.MARKED_TITLE, title=title) if document["provenance"]["invented"] else title


def _mark(writer: SheetWriter, document: Document) -> SheetWriter:
    """The same at the foot of each printed page."""
    if document["provenance"]["invented"]:
        writer.sheet.oddFooter.left.text = words(InPool.MARKED_FOOTER)
    return writer


def _pool_pictures(book: ResultBook, document: Document) -> None:
    """A picture of each figure of several seasons: a dot for each season, and one for all."""
    pictures = []
    for whole in document[POOLED_TABLE]:
        if whole["seasons_n"] < 2:
            continue
        task, kind, figure, money = about = _about(whole)
        parts = [row for row in document["contributions"] if _about(row) == about]
        pictures.append(
            Dots(
                title=_marked(f"{figure}: {task}, {kind}" + (f" ({money})" if money else ""), document),
                names=[*(row["season"] for row in parts), words(InPool.ALL_SEASONS)],
                figures=[*(row["value"] for row in parts), whole["value"]],
                axis=f"{figure} [{whole['unit']}]",
            )
        )
    if not pictures:
        return
    writer = book.writer(PICTURES_TITLE, PICTURE_WIDTHS, frozen=1)
    writer.line(_marked(PICTURES_TITLE, document), looks.SHEET_TITLE)
    if document["provenance"]["invented"]:
        writer.line(document["provenance"]["invented"], looks.EXAMPLE)
    writer.line(words(InPool.PICTURES_HELP), looks.HELP)
    _draw_dots(writer, pictures)
    _mark(writer, document)


def _about(row: Mapping[str, Any]) -> tuple[str, str, str, str]:
    return row["task"], row["kind"], row["figure"], row["money"]


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


def _draw_dots(writer: SheetWriter, pictures: Sequence[Dots]) -> None:
    """Charts of dots below each other, and the table of lengths from whose cells programs draw them."""
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
