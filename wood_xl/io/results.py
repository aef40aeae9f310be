"""Results of a season, or of a pool of seasons, as a workbook of values: no formula, macro or link.

Nothing is hidden but the name by which a sheet has its filter.

Sheets, tables, titles and units come from ``schema/results.schema.json`` and ``schema/pool.schema.json``; this module
only says what stands where.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from openpyxl.utils import get_column_letter

from wood_xl.io import looks
from wood_xl.io.blocks import (
    Block,
    Cell,
    Head,
    SheetWriter,
    column_widths,
    heads_row,
    number_format,
)
from wood_xl.io.charts import Bars, Whiskers, bar_chart, height_cm
from wood_xl.io.inputs_echo import echo_blocks, sheets_without_entries
from wood_xl.io.page import Paper
from wood_xl.io.pictures import PICTURES, WHOLE, Dots, draw_dots, hours_and_cash
from wood_xl.io.result_blocks import (
    Units,
    has_ends,
    items_block,
    number_decimals,
    short_table_block,
    table_block,
    table_blocks,
)
from wood_xl.io.result_book import ResultBook, SheetRowLog, book_bytes, table_sheet
from wood_xl.pages import Beside, InPool
from wood_xl.schema.layout import INPUTS_TITLE, NO_ROWS, TRACE_TITLE
from wood_xl.schema.model import Definition, Sheet, pool_definition, results_definition
from wood_xl.schema.words import key_words, phrase, words

Document = Mapping[str, Any]

ANSWER, PROVENANCE = "Answer", "Provenance"
FIGURES = "Figures"  # for another program rather than for a reader
MAIN_TABLE, MAIN_FIGURE = "rates_per_cord", "worker_hours"
MAIN_COLUMNS = ("method", "task", "sessions_n", "clock_hours", MAIN_FIGURE, "kcal_net", "cash", "co2e")
LEAST_PICTURE_CM = 7.0
POOLED_TABLE = "pooled"
PICTURES_TITLE = "Pictures"
PICTURE_WIDTHS = [30.0, 6.0, 6.0, 13.0, 13.0, 13.0, 13.0]
ANSWER_WIDTH = 96.0  # at least, for the sentences: what an upright page holds in full size


def results_bytes(document: Document, *, paper: Paper) -> bytes:
    """The results document of a season, rounded and in the units it shall be shown in, as an .xlsx file's bytes."""
    return book_bytes(paper, lambda book: _write_sheets(book, document))


def log_rows(document: Document, log: SheetRowLog) -> None:
    """Tell every row that a results workbook of this document holds, but for its seal."""
    _write_sheets(ResultBook("a4", log, is_written=False), document)


def pool_bytes(document: Document, *, paper: Paper) -> bytes:
    """A pooled study, rounded and in the units it shall be shown in, as an .xlsx file's bytes."""
    return book_bytes(paper, lambda book: _write_pool(book, document))


def _write_sheets(book: ResultBook, document: Document) -> SheetWriter:
    """Write all sheets; returns the last one, still open."""
    _answer_sheet(book, document)
    by_title = _by_title(results_definition())
    for title, sheets in by_title.items():
        if title not in (ANSWER, PROVENANCE):
            _result_sheet(book, title, sheets, document)
    _input_sheets(book, document)
    return table_sheet(book, PROVENANCE, [_block(sheet, document) for sheet in by_title[PROVENANCE]])


def _write_pool(book: ResultBook, document: Document) -> SheetWriter:
    by_title = _by_title(pool_definition())
    provenance = by_title.pop(PROVENANCE)
    for title, sheets in by_title.items():
        _mark(table_sheet(book, title, [_pool_block(sheet, document) for sheet in sheets]), document)
    _pool_pictures(book, document)
    return _mark(table_sheet(book, PROVENANCE, [_pool_block(sheet, document) for sheet in provenance]), document)


def _pool_block(sheet: Sheet, document: Document) -> Block:
    block, invented = _block(sheet, document), document["provenance"]["invented"]
    return replace(block, title=_marked(block.title, document), help=f"{invented} {block.help}".strip())


def _marked(title: str, document: Document) -> str:
    """A title that says so where a season of the study is invented."""
    return phrase(InPool.MARKED_TITLE, title=title) if document["provenance"]["invented"] else title


def _mark(writer: SheetWriter, document: Document) -> SheetWriter:
    """The same at the foot of each printed page."""
    if document["provenance"]["invented"]:
        writer.sheet.oddFooter.left.text = words(InPool.MARKED_FOOTER)
    return writer


def _by_title(definition: Definition) -> dict[str, list[Sheet]]:
    by_title: dict[str, list[Sheet]] = {}
    for sheet in definition.sheets:
        by_title.setdefault(sheet.result_sheet, []).append(sheet)
    return by_title


def _units(document: Document) -> Units:
    """A pool has no currency of its own: each of its rows names one."""
    return Units(document["provenance"]["display_units"], document.get("season", {}).get("currency", ""))


def _block(sheet: Sheet, document: Document) -> Block:
    make = items_block if sheet.kind == "items" else table_block
    return make(sheet, document[sheet.id], _units(document))


def _result_sheet(book: ResultBook, title: str, sheets: Sequence[Sheet], document: Document) -> None:
    """The tables of one sheet of the results, each with its picture if it has one."""
    shown = [(sheet, block) for sheet in sheets for block in _blocks(sheet, document)]
    placed: dict[str, list[tuple[Block, int]]] = {}

    def draw(writer: SheetWriter, number: int, block: Block, first_row: int) -> None:
        sheet = shown[number][0]
        parts = placed.setdefault(sheet.id, [])
        parts.append((block, first_row))
        if sheet.id in PICTURES:
            PICTURES[sheet.id](writer, parts, sheet, document[sheet.id], document["season"]["currency"])

    writer = table_sheet(book, title, [block for _, block in shown], draw)
    if title == FIGURES:
        (_, block), *_ = shown
        header, last = heads_row(block), get_column_letter(len(block.heads))
        writer.sheet.auto_filter.ref = f"A{header}:{last}{header + len(block.rows)}"
        writer.sheet.sheet_properties.tabColor = looks.GREY_INK
        writer.sheet.print_area = f"{get_column_letter(len(block.heads) + 1)}1"  # an empty cell: no page is printed


def _blocks(sheet: Sheet, document: Document) -> list[Block]:
    """A table, in parts if it is very wide; whole where its picture shows all of it."""
    if sheet.kind == "items" or sheet.id in WHOLE:
        return [_block(sheet, document)]
    return table_blocks(sheet, document[sheet.id], _units(document))


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
    draw_dots(writer, pictures)
    _mark(writer, document)


def _about(row: Mapping[str, Any]) -> tuple[str, str, str, str]:
    return row["task"], row["kind"], row["figure"], row["money"]


def _input_sheets(book: ResultBook, document: Document) -> None:
    definition = results_definition().schema["properties"]["inputs"]
    blocks, trace = echo_blocks(document["inputs"], document["input_rows"])
    writer = book.writer(INPUTS_TITLE, column_widths(blocks), frozen=1)
    writer.line(definition["title"], looks.SHEET_TITLE)
    writer.line(phrase(Beside.INPUTS_HELP, description=definition["description"]), looks.HELP)
    empty = sheets_without_entries(document["inputs"])
    if empty:
        writer.line(phrase(Beside.EMPTY_SHEETS, titles=tuple(empty)), looks.HELP)
    for block in blocks:
        writer.gap()
        writer.block(block)
    if trace:
        table_sheet(book, TRACE_TITLE, trace)


def _in_plain_words(writer: SheetWriter, document: Document) -> None:
    writer.line(results_definition().sheet("answers").title, looks.TITLE)
    for row in document["answers"] or [{"answer": NO_ROWS}]:
        writer.line(row["answer"], looks.SENTENCE)


def _answer_sheet(book: ResultBook, document: Document) -> None:
    season, rows = document["season"], document[MAIN_TABLE]
    definition = results_definition().sheet(MAIN_TABLE)
    table = short_table_block(definition, rows, _units(document), columns=MAIN_COLUMNS, ends_of=MAIN_FIGURE)
    widths = column_widths([table])
    spare = max(0.0, ANSWER_WIDTH - sum(widths)) / len(widths)
    widths = [width + spare for width in widths]
    writer = book.writer(ANSWER, widths, frozen=1, upright=True)
    writer.line(season["season_name"], looks.SHEET_TITLE)
    if season["invented"]:
        writer.line(season["invented"], looks.EXAMPLE)
    writer.line(_counts(season), looks.HELP)
    writer.gap()
    writer.line(results_definition().sheet("first_cautions").title, looks.TITLE)
    for row in document["first_cautions"]:
        writer.line(phrase(Beside.TITLED, title=row["title"], text=row["text"]), looks.WARNING)
    writer.gap()
    for row in document["decision"]:
        writer.line(phrase(Beside.TITLED, title=row["part"], text=row["text"]), looks.SENTENCE)
    if not document["decision"]:  # then these few sentences are the answer
        _in_plain_words(writer, document)
    writer.gap()
    first = writer.block(table)
    if document["decision"]:  # the first page is full; pictures and plain words share the next
        writer.new_page()
    column = writer.middle_column()
    height = max(height_cm(len(rows)), LEAST_PICTURE_CM)
    corner = writer.space(height)
    _combination_picture(writer, document, corner.replace("A", get_column_letter(column)), column, height)
    if document["decision"]:
        writer.gap()
        _in_plain_words(writer, document)
    _main_chart(writer, table, first, rows, corner, width_cm=writer.width_cm(1, column - 1), height=height)


def _combination_picture(writer: SheetWriter, document: Document, corner: str, column: int, height: float) -> None:
    """Ways of the whole job as points beside the other picture, drawn from the cells of their own sheet."""
    sheet, rows = results_definition().sheet("combinations"), document["combinations"]
    if not rows:
        return
    block = _blocks(sheet, document)[0]
    chart: Any = hours_and_cash(block, heads_row(block) + 1, sheet, rows, document["season"]["currency"])
    if chart is not None:
        chart.width, chart.height = writer.width_cm(column), height
        writer.picture(chart, corner)
        named = ((key_words(sheet.column("best_for").words_of, row["best_for"]), row["methods"]) for row in rows)
        names = tuple(
            phrase(Beside.WAY, best_for=best_for, methods=methods) for best_for, methods in named if methods
        )
        writer.line(phrase(Beside.WAYS, names=names, sheet=sheet.result_sheet), looks.NOTE)


def _counts(season: Mapping[str, Any]) -> str:
    """What stands behind the figures, in one line."""
    dated = Beside.MONEY_OF_YEAR if season["price_year"] else Beside.MONEY
    money = dated if season["currency"] else Beside.NO_CURRENCY
    parts = [
        season["place"],
        phrase(Beside.COUNTED, n=season["sessions_counted"]),
        phrase(Beside.NOT_COUNTED, n=season["sessions_not_counted"]),
        phrase(money, currency=season["currency"], year=season["price_year"]),
    ]
    return "; ".join(part for part in parts if part) + "."


def _main_chart(
    writer: SheetWriter,
    table: Block,
    first_row: int,
    rows: Sequence[Mapping[str, Any]],
    corner: str,
    *,
    width_cm: float,
    height: float,
) -> None:
    """The main figure as bars, drawn from the cells of the table; a sentence if there is nothing to draw."""
    definition = results_definition().sheet(MAIN_TABLE)
    column = definition.column(MAIN_FIGURE)
    header = column.header(column.unit, "")
    if all(row[column.id]["value"] is None for row in rows):
        writer.line(phrase(Beside.NO_BARS, figure=column.title.lower()), looks.NOTE)
        return
    if any(row[column.id]["value"] is None for row in rows):
        writer.line(words(Beside.NO_BAR), looks.NOTE)
    bars = Bars(
        names=[row["method"] for row in rows],
        values=[row[column.id]["value"] for row in rows],
        high=[row[column.id]["high"] for row in rows],
        name_column=1,
        value_column=1 + [head.text for head in table.heads].index(header),
        first_row=first_row,
        number_format=number_format(number_decimals(column)),
        whiskers=_whiskers(writer, header, rows) if has_ends(column, rows) else None,
    )
    chart: Any = bar_chart(
        writer.sheet,
        bars,
        title=phrase(Beside.BY_METHOD, figure=column.title, table=definition.title.lower()),
        name_title=words(Beside.METHOD),
        value_title=header,
        width_cm=width_cm,
    )
    chart.width, chart.height = width_cm, height
    writer.picture(chart, corner)


def _whiskers(writer: SheetWriter, header: str, rows: Sequence[Mapping[str, Any]]) -> Whiskers:
    """Lengths of the chart's whiskers, written as a table since programs draw them from cells."""
    figures = [row[MAIN_FIGURE] for row in rows]
    down = [0.0 if f["low"] is None else _rounded(f["value"] - f["low"]) for f in figures]
    up = [0.0 if f["high"] is None else _rounded(f["high"] - f["value"]) for f in figures]
    decimals = number_decimals(results_definition().column(f"{MAIN_TABLE}.{MAIN_FIGURE}"))
    cells = [
        [Cell(row["method"]), Cell(""), Cell(""), Cell(less, decimals), Cell(more, decimals)]
        for row, less, more in zip(rows, down, up, strict=True)
    ]
    ends = (Head(words(end), is_number=True) for end in (Beside.DOWN_TO_LOW, Beside.UP_TO_HIGH))
    heads = (Head(words(Beside.METHOD)), Head(""), Head(""), *ends)
    writer.gap()
    first = writer.block(Block(words(Beside.LINES), phrase(Beside.LINES_HELP, figure=header), heads, cells))
    return Whiskers(down=down, up=up, down_column=4, up_column=5, first_row=first)


def _rounded(number: float) -> float:
    return float(f"{number:.10g}")
