"""The results of a season as a workbook: the reading sheets, then an appendix of tables, with gray tabs.

Values and charts alone: no formula, macro or outside link.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from openpyxl.utils import get_column_letter

from wood_xl.io.blocks import Block, Cell, Head, SheetWriter, column_widths, heads_row
from wood_xl.io.inputs_echo import echo_blocks, sheets_without_entries
from wood_xl.io.looks import GREY_INK, HELP, SHEET_TITLE, Look
from wood_xl.io.page import Paper
from wood_xl.io.result_blocks import Units, items_block, table_block
from wood_xl.io.result_book import ResultBook, book_bytes, table_sheet
from wood_xl.page_texts import Beside, OnPages
from wood_xl.reasons import Word
from wood_xl.report.air import air_page
from wood_xl.report.answer import answer_page
from wood_xl.report.body import body_page
from wood_xl.report.charts import ChartData
from wood_xl.report.compare import compare_page
from wood_xl.report.how_we_know import how_page
from wood_xl.report.layout import Page, write_page
from wood_xl.report.money import money_page
from wood_xl.report.plan import plan_page
from wood_xl.report.sessions import session_list_page, sessions_page
from wood_xl.report.view import DocumentView, View
from wood_xl.results.figures import unlisted_text
from wood_xl.schema.layout import INPUTS_TITLE, TRACE_TITLE
from wood_xl.schema.model import results_definition
from wood_xl.schema.words import phrase, words

Document = Mapping[str, Any]
Pages = dict[str, Page]
Maker = Callable[[Any], Page | None]

PAGES: dict[Word, Maker] = {
    OnPages.ANSWER: answer_page,
    OnPages.COMPARE: compare_page,
    OnPages.MONEY: money_page,
    OnPages.BODY: body_page,
    OnPages.AIR: air_page,
    OnPages.PLAN: plan_page,
    OnPages.SESSIONS: sessions_page,
    OnPages.HOW_WE_KNOW: how_page,
}
APPENDIX_PAGES: dict[Word, Maker] = {OnPages.SESSION_LIST: session_list_page}
FIGURES, FACTORS = "figures", "factors"
CHECKS, OF_BODIES = ("problems", "waiting"), "of_bodies"
ORIGIN = ("provenance", "season", "emission_choices")
NUMBERS = 4  # columns of chart data: x, y and the range to either side


def pages_by_title(makers: Mapping[Word, Maker], view: Any) -> Pages:
    """The pages of a view by sheet title, without those that have nothing to show."""
    pages = {words(title): make(view) for title, make in makers.items()}
    return {title: page for title, page in pages.items() if page is not None}


def results_bytes(document: Document, *, paper: Paper) -> bytes:
    """Bytes of the .xlsx file of a season's results."""
    return book_bytes(paper, lambda book: write_season(book, document))


def write_season(book: ResultBook, document: Document) -> SheetWriter:
    """Write all sheets; returns the last one, still open."""
    view = View(document)
    name, invented = view.season["season_name"], view.season["invented"]
    is_in_name = name.startswith(invented.partition(":")[0])
    footer = footer_of(name, "" if is_in_name else invented)
    write_pages(book, pages_by_title(PAGES, view), footer)
    before = len(book.workbook.worksheets)
    write_pages(book, pages_by_title(APPENDIX_PAGES, view), footer)
    _figures_sheet(book, view)
    _input_sheets(book, document)
    write_tables(book, view, FACTORS)
    write_tables(book, view, *CHECKS, *([OF_BODIES] if document[OF_BODIES] else []))
    lists = {INPUTS_TITLE, TRACE_TITLE, *(view.definition.sheet(one).result_sheet for one in (FIGURES, FACTORS))}
    return end_appendix(book, view, ORIGIN, name, before, lists)


def _figures_sheet(book: ResultBook, view: View) -> None:
    block = block_of(view, FIGURES)
    block = replace(block, help=" ".join(filter(None, (block.help, unlisted_text(view.document)))))
    writer = table_sheet(book, view.definition.sheet(FIGURES).result_sheet, [block])
    header, last = heads_row(block), get_column_letter(len(block.heads))
    writer.sheet.auto_filter.ref = f"A{header}:{last}{header + len(block.rows)}"


def _input_sheets(book: ResultBook, document: Document) -> None:
    """Write the notes that the results rest on, and a heart trace on a sheet of its own."""
    definition = results_definition().schema["properties"]["inputs"]
    lines = [(definition["title"], SHEET_TITLE)]
    lines.append((phrase(Beside.INPUTS_HELP, description=definition["description"]), HELP))
    if empty := sheets_without_entries(document["inputs"]):
        lines.append((phrase(Beside.EMPTY_SHEETS, titles=tuple(empty)), HELP))
    if trace := notes_sheet(book, INPUTS_TITLE, lines, document):
        table_sheet(book, TRACE_TITLE, trace)


def notes_sheet(book: ResultBook, title: str, lines: Sequence[tuple[str, Look]], notes: Document) -> list[Block]:
    """Write a sheet of notes below these lines; returns the tables that are too long for it."""
    blocks, trace = echo_blocks(notes["inputs"], notes["input_rows"])
    writer = book.writer(title, column_widths(blocks), frozen=1)
    for text, look in lines:
        writer.line(text, look)
    for block in blocks:
        writer.gap()
        writer.block(block)
    return trace


def write_pages(book: ResultBook, pages: Pages, footer: str) -> None:
    """Write reading pages with this text at the left of their footers."""
    for title, page in pages.items():
        for row, cells in page.rows():
            book.log(title, row, cells)
        both = footer.replace("&", "&&"), phrase(OnPages.FOOTER, sheet=title)
        if chart_texts := write_page(book.page_sheet(title), page, book.paper, both):
            book.chart_texts.append(chart_texts)


def end_appendix(
    book: ResultBook, view: DocumentView, origin: Sequence[str], name: str, first: int, lists: set[str]
) -> SheetWriter:
    """Write the last sheets, and mark all sheets of the appendix by gray tabs and footers.

    first: number of its first sheet.
    lists: titles of its long lists, meant for programs and not printed.
    """
    table_sheet(book, words(OnPages.CHART_DATA), [_chart_block(view.chart_data)])
    last = write_tables(book, view, *origin)
    sheets: list[Any] = book.workbook.worksheets[first:]
    for sheet in sheets:
        sheet.sheet_properties.tabColor = GREY_INK
        sheet.oddFooter.left.text = phrase(OnPages.APPENDIX, season=name).replace("&", "&&")
        sheet.oddFooter.right.text = phrase(OnPages.FOOTER, sheet=sheet.title)
        if sheet.title in {words(OnPages.CHART_DATA), *lists}:
            sheet.print_area = f"{get_column_letter(100)}1"  # an empty cell, so that nothing prints
    return last


def write_tables(book: ResultBook, view: DocumentView, *tables: str) -> SheetWriter:
    """Write tables of a document to one sheet, whose title is that of the first table's sheet."""
    title = view.definition.sheet(tables[0]).result_sheet
    return table_sheet(book, title, [block_of(view, table) for table in tables])


def block_of(view: DocumentView, table: str) -> Block:
    """A table of a document as a block of cells."""
    sheet, units = view.definition.sheet(table), Units(view.system, view.currency)
    block = (items_block if sheet.kind == "items" else table_block)(sheet, view.document[table], units)
    return replace(block, help=f"{view.mark} {block.help}".strip()) if view.mark else block


def footer_of(name: str, invented: str) -> str:
    """Text at the left of the footer of each reading page."""
    return phrase(OnPages.FOOTER_INVENTED if invented else OnPages.FOOTER_LEFT, season=name, invented=invented)


def _chart_block(data: ChartData) -> Block:
    """The chart data, with its first row where the charts expect it."""
    texts = (OnPages.CHART_HEAD, OnPages.SERIES_HEAD, OnPages.NAME_HEAD)
    numbers = (OnPages.X_HEAD, OnPages.Y_HEAD, OnPages.DOWN_HEAD, OnPages.UP_HEAD)
    heads = (*(Head(words(word)) for word in texts), *(Head(words(word), is_number=True) for word in numbers))
    values = ((chart, series, point.label, *point[:NUMBERS]) for chart, series, point in data.rows)
    rows = [[Cell("" if value is None else value) for value in row] for row in values]
    return Block(words(OnPages.CHART_DATA), words(OnPages.CHART_DATA_HELP), heads, rows)
