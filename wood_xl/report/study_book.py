"""A study as a workbook: its reading sheets, then an appendix of tables and of the notes behind it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from wood_xl.io.blocks import SheetWriter
from wood_xl.io.looks import EXAMPLE, HELP, SHEET_TITLE
from wood_xl.io.page import Paper
from wood_xl.io.result_book import ResultBook, book_bytes
from wood_xl.page_texts import OnPages, OnStudy
from wood_xl.reasons import Word
from wood_xl.report.book import Maker, end_appendix, footer_of, notes_sheet, pages_by_title, write_pages, write_tables
from wood_xl.report.study_households import study_households, study_how, study_years
from wood_xl.report.study_view import StudyView
from wood_xl.report.study_ways import study_answer, study_compare
from wood_xl.results.study import YEARS
from wood_xl.schema.words import phrase, words

Document = Mapping[str, Any]

PAGES: dict[Word, Maker] = {
    OnPages.ANSWER: study_answer,
    OnPages.COMPARE: study_compare,
    OnStudy.HOUSEHOLDS_TITLE: study_households,
    OnStudy.YEARS_TITLE: study_years,
    OnPages.HOW_WE_KNOW: study_how,
}
FIGURES = ("pairs", "figures")
BY_HOUSEHOLD = ("households", "methods", "contributions")
CHECKS = ("left_out", "problems", "waiting")
ORIGIN = ("provenance",)


def study_bytes(document: Document, *, paper: Paper) -> bytes:
    """Bytes of the .xlsx file of a study."""
    return book_bytes(paper, lambda book: _write(book, document))


def _write(book: ResultBook, document: Document) -> SheetWriter:
    view = StudyView(document)
    footer = footer_of(view.title, view.invented)
    write_pages(book, pages_by_title(PAGES, view), footer)
    before = len(book.workbook.worksheets)
    figures = [*FIGURES, *(["trends", *YEARS] if view.is_one_household else [])]
    for tables in (figures, BY_HOUSEHOLD, CHECKS):
        write_tables(book, view, *tables)
    notes = [_notes_sheet(book, notes, view.invented) for notes in document["notes"]]
    lists = {view.definition.sheet(tables[0]).result_sheet for tables in (FIGURES, BY_HOUSEHOLD)}
    return end_appendix(book, view, ORIGIN, footer, before, {*lists, *notes})


def notes_title(household: str) -> str:
    """Title of the sheet with the notes of a household."""
    return phrase(OnStudy.NOTES_TITLE, household=household)


def _notes_sheet(book: ResultBook, notes: Document, invented: str) -> str:
    title = notes_title(notes["household"])
    lines = [(title, SHEET_TITLE), (words(OnStudy.NOTES_HELP), HELP), *([(invented, EXAMPLE)] if invented else [])]
    notes_sheet(book, title, lines, notes)
    return title
