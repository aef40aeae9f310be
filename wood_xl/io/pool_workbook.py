"""A pooled study as a workbook of values: its tables, a picture of the seasons around each figure, and its seal."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from wood_xl.io import looks
from wood_xl.io.blocks import Block, SheetWriter
from wood_xl.io.dot_charts import Dots, draw_dots
from wood_xl.io.pack import packed
from wood_xl.io.page import Paper
from wood_xl.io.result_blocks import items_block, table_block
from wood_xl.io.result_book import ResultBook, table_sheet, write_seal
from wood_xl.io.seal import Seal
from wood_xl.schema.model import Sheet, System, pool_definition

PROVENANCE = "Provenance"
PICTURE_TABLE = "pooled"
ALL_SEASONS = "all seasons"
PICTURES_TITLE = "Pictures"
PICTURES_HELP = "Each season and all together, with their 95 % intervals. One season alone has no picture."
MARKED_TITLE = "{title} (with invented figures)"
MARKED_FOOTER = "&A, with invented figures"
PICTURE_WIDTHS = [30.0, 6.0, 6.0, 13.0, 13.0, 13.0, 13.0]

Document = Mapping[str, Any]
Row = Mapping[str, Any]


def pool_bytes(document: Document, *, paper: Paper) -> bytes:
    """A pooled study as the bytes of an .xlsx file; the same document gives the same bytes.

    Parameters
    ----------
    document : dict
        As ``schema/pool.schema.json`` describes it.
    paper : {'letter', 'a4'}
        What it is printed on.
    """
    seal = Seal()
    book = ResultBook(paper, seal.row)
    try:
        by_title = _by_title()
        provenance = by_title.pop(PROVENANCE)
        for title, sheets in by_title.items():
            _mark(table_sheet(book, title, [_block(sheet, document) for sheet in sheets]), document)
        _picture_sheet(book, document)
        writer = table_sheet(book, PROVENANCE, [_block(sheet, document) for sheet in provenance])
        _mark(writer, document)
        write_seal(writer, seal)
    except BaseException:
        book.close()
        raise
    return packed(book.workbook)


def _by_title() -> dict[str, list[Sheet]]:
    by_title: dict[str, list[Sheet]] = {}
    for sheet in pool_definition().sheets:
        by_title.setdefault(sheet.result_sheet, []).append(sheet)
    return by_title


def _block(sheet: Sheet, document: Document) -> Block:
    system: System = document["provenance"]["display_units"]
    make = items_block if sheet.kind == "items" else table_block
    block = make(sheet, document[sheet.id], system=system, currency="")
    invented = document["provenance"]["invented"]
    return replace(block, title=_title(block.title, document), help=f"{invented} {block.help}".strip())


def _title(title: str, document: Document) -> str:
    """A title that says so where a season of the study is invented."""
    return MARKED_TITLE.format(title=title) if document["provenance"]["invented"] else title


def _mark(writer: SheetWriter, document: Document) -> None:
    """The same at the foot of each printed page."""
    if document["provenance"]["invented"]:
        writer.sheet.oddFooter.left.text = MARKED_FOOTER


def _picture_sheet(book: ResultBook, document: Document) -> None:
    pictures = _pictures(document)
    if not pictures:
        return
    writer = book.writer(PICTURES_TITLE, PICTURE_WIDTHS, frozen=1)
    writer.line(_title(PICTURES_TITLE, document), looks.SHEET_TITLE)
    if document["provenance"]["invented"]:
        writer.line(document["provenance"]["invented"], looks.EXAMPLE)
    writer.line(PICTURES_HELP, looks.HELP)
    draw_dots(writer, pictures)
    _mark(writer, document)


def _pictures(document: Document) -> list[Dots]:
    """For each figure of several seasons: a dot for each season, and one for all."""
    pictures = []
    for whole in document[PICTURE_TABLE]:
        if whole["seasons_n"] < 2:
            continue
        parts = [row for row in document["contributions"] if _about(row) == _about(whole)]
        task, kind, figure, money = _about(whole)
        pictures.append(
            Dots(
                title=_title(f"{figure}: {task}, {kind}" + (f" ({money})" if money else ""), document),
                names=[*(row["season"] for row in parts), ALL_SEASONS],
                figures=[*(row["value"] for row in parts), whole["value"]],
                axis=f"{figure} [{whole['unit']}]",
            )
        )
    return pictures


def _about(row: Row) -> tuple[str, str, str, str]:
    return row["task"], row["kind"], row["figure"], row["money"]
