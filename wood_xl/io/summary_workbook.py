"""Writes the summary of many workbooks: a row for each workbook, and a row for each of their methods."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from wood_xl.errors import UnreadableWorkbook
from wood_xl.io.blocks import SheetWriter
from wood_xl.io.page import Paper
from wood_xl.io.reader import read_workbook
from wood_xl.io.result_blocks import Units, table_block
from wood_xl.io.result_book import ResultBook, book_bytes, table_sheet
from wood_xl.page_texts import InSummary
from wood_xl.reasons import Word
from wood_xl.schema.model import Column, Sheet, results_definition, summary_definition
from wood_xl.schema.words import words
from wood_xl.scoring import NOTHING_WRITTEN, RATES, WRITTEN, Outcome

RATES_TITLE = "Methods"
STATES = {WRITTEN: InSummary.WRITTEN, NOTHING_WRITTEN: InSummary.NOTHING_WRITTEN}
NO_UNITS = Units("metric", "")  # each workbook has its own

Row = dict[str, Any]


def summary_bytes(
    outcomes: Sequence[Outcome], others: Sequence[tuple[Path, bool]] = (), stale: Sequence[Path] = (), *, paper: Paper
) -> bytes:
    """The bytes of an .xlsx file with the summary, in the order of the outcomes.

    others: files and folders that were not read, and whether each is a folder.
    stale: results whose workbook is gone or could not be scored this time.
    """
    files = summary_definition().sheet("files")
    rates = _rates_sheet(files.column("file"), files.column("currency"))

    def write(book: ResultBook) -> SheetWriter:
        unread = [(path, InSummary.FOLDER if is_folder else InSummary.OTHER_KIND) for path, is_folder in others]
        unread += [(path, InSummary.STALE) for path in stale]
        rows = [*map(_file_row, outcomes), *(_unread_row(path, state) for path, state in unread)]
        table_sheet(book, files.result_sheet, [table_block(files, rows, NO_UNITS)])
        rows = [_rate_row(outcome, row, rates) for outcome in outcomes for row in outcome.rates]
        return table_sheet(book, rates.result_sheet, [table_block(rates, rows, NO_UNITS)])

    return book_bytes(paper, write, is_sealed=False)


def is_summary(path: Path) -> bool:
    """Whether a file has the sheets of a summary."""
    titles = [summary_definition().sheet("files").result_sheet, RATES_TITLE]
    try:
        return [sheet.title for sheet in read_workbook(path).sheets] == titles
    except UnreadableWorkbook:
        return False


def _rates_sheet(file: Column, currency: Column) -> Sheet:
    definition = results_definition().sheet(RATES)
    columns = (replace(column, keeps_ends=False) for column in definition.columns)
    return replace(
        definition,
        title=RATES_TITLE,
        help=words(InSummary.RATES_HELP),
        result_sheet=RATES_TITLE,
        columns=(file, currency, *columns),
    )


def _file_row(outcome: Outcome) -> Row:
    season = outcome.season
    return {
        "file": Path(outcome.path).name,
        "state": words(STATES.get(outcome.code, InSummary.WITH_GAPS)),
        "season": season.get("season_name", ""),
        "currency": season.get("currency", ""),
        "sessions_n": season.get("sessions_counted", 0),
        "left_out_n": season.get("sessions_not_counted", 0),
        "fix_n": outcome.fix_n,
        "look_n": outcome.look_n,
        "first": outcome.first,
    }


def _unread_row(path: Path, state: Word) -> Row:
    columns = summary_definition().sheet("files").columns
    empty = {column.id: "" if column.type == "string" else None for column in columns}
    return {**empty, "file": path.name, "state": words(state)}


def _rate_row(outcome: Outcome, row: Sequence[str | float], rates: Sheet) -> Row:
    cells: Row = {"file": Path(outcome.path).name, "currency": outcome.season["currency"]}
    for column, value in zip(rates.columns[len(cells) :], row, strict=True):
        number, reason = (None, value) if isinstance(value, str) else (value, "")
        figure = {"value": number, "low": None, "high": None, "unit": column.unit, "basis": "", "reason": reason}
        cells[column.id] = figure if column.type == "figure" else value
    return cells
