"""Reads results back: their notes, what waited for a mend, and their tables.

The inverse of ``io.inputs_echo``; titles and words of both come from the same definitions. Anything that a results
workbook does not hold, and anything missing in it, raises ``NoResults``.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from itertools import chain, count, groupby, takewhile
from typing import Any, NamedTuple, cast

from wood_xl.notes.document import Cell, SeasonDocument, SheetPlaces, empty_data, kept_number, notes_version
from wood_xl.notes.notes import version_2
from wood_xl.notes.problem import Place, Problem
from wood_xl.notes.raw import Kind, RawBook
from wood_xl.notes.season import CheckedSeason
from wood_xl.notes.tally import size_of
from wood_xl.notes.typed import split_header, unit_of
from wood_xl.page_texts import OnAnswer, OnPages
from wood_xl.schema import layout
from wood_xl.schema.model import Column, Definition, Sheet, results_definition, season_definition
from wood_xl.schema.words import words

END = ". "  # of a sentence
Value = str | float


class Cells:
    """A sheet's values, read in place: a copy would hold a heart trace twice."""

    def __init__(self, book: RawBook, title: str) -> None:
        sheet = next((sheet for sheet in book.sheets if sheet.title == title), None)
        if sheet is None:
            raise NoResults(f'there is no sheet "{title}"')
        self._cells = sheet.cells
        kinds = {Kind.NUMBER: float, Kind.TEXT: str}  # results hold nothing else
        for cell in chain.from_iterable(column.values() for column in self._cells.columns.values()):
            if not isinstance(cell.value, kinds.get(cell.kind, ())):
                raise NoResults(f'the sheet "{title}" holds something else than numbers and texts')

    def get(self, row: int, column: int) -> Value:
        """Value of a cell; an empty text for an empty cell."""
        cell = self._cells.get((row, column))
        return "" if cell is None else cast(Value, cell.value)

    def holds(self, row: int, column: int) -> bool:
        """Whether a cell is filled, even with an empty text."""
        return (row, column) in self._cells

    def text(self, row: int, column: int) -> str:
        """Value of a cell as a text."""
        return str(self.get(row, column))

    def named(self, titles: Collection[str]) -> list[int]:
        """Rows that begin with one of some texts, in order."""
        return sorted(row for row, cell in self._cells.columns.get(1, {}).items() if cell.value in titles)

    def below(self, title: str, of: str) -> int:
        """The row below the first one that begins with a text."""
        for row in self.named((title,)):
            return row + 1
        raise NoResults(f'the sheet "{of}" has no "{title}"')

    def rows_from(self, row: int) -> Iterator[int]:
        """Rows from one down to the first empty one."""
        while any(row in column for column in self._cells.columns.values()):
            yield row
            row += 1

    def values(self, number: int, rows: range, is_last_use: bool) -> Iterator[tuple[int, Value]]:
        """Filled cells of a column, counted from the first of the rows; a last use frees the column."""
        columns = self._cells.columns
        column = columns.pop(number, {}) if is_last_use else columns.get(number, {})
        return ((at, cast(Value, column[row].value)) for at, row in enumerate(rows) if row in column)


class NoResults(Exception):
    """A workbook does not hold what results of this version hold; the text says where."""


def results_table(book: RawBook, table_id: str, of: Definition | None = None) -> list[dict[str, Value]]:
    """Rows of a table without figures, of results or of another document."""
    definition = (of or results_definition()).sheet(table_id)
    cells, first = _block(book, definition)
    rows = []
    for row in cells.rows_from(first):
        values = {column.id: cells.get(row, n) for n, column in enumerate(definition.columns, start=1)}
        if [*values.values()] == [layout.NO_ROWS, *[""] * (len(values) - 1)]:
            break
        rows.append(values)
    return rows


class AnswerTexts(NamedTuple):
    """Cautions, verdicts with their reasons, and next steps."""

    cautions: list[str]
    verdicts: list[tuple[str, str]]
    steps: list[str]


def answer_texts(book: RawBook) -> AnswerTexts:
    """Texts of the first sheet of results."""
    title, next_steps = words(OnPages.ANSWER), words(OnAnswer.NEXT)
    cells = Cells(book, title)
    cautions = list(cells.rows_from(cells.below(words(OnAnswer.BEFORE_YOU_START), title)))
    verdicts = takewhile(lambda row: cells.holds(row, 2), cells.rows_from(cautions[-1] + 2) if cautions else ())
    steps = cells.rows_from(cells.below(next_steps, title)) if cells.named((next_steps,)) else ()
    return AnswerTexts(
        [cells.text(row, 1) for row in cautions],
        [(cells.text(row, 1), cells.text(row, 2)) for row in verdicts],
        [cells.text(row, 1) for row in steps],
    )


def answer_texts_of_study(book: RawBook) -> tuple[str, AnswerTexts]:
    """Title and texts of the first sheet of a study; each verdict is its first sentence, on hours."""
    texts = answer_texts(book)
    firsts = [(head, text.split(END)[0].removesuffix(".")) for head, text in texts.verdicts if head]
    verdicts = [(f"{head}: {text[:1].lower()}{text[1:]}", "") for head, text in firsts]
    return Cells(book, words(OnPages.ANSWER)).text(1, 1), texts._replace(verdicts=verdicts)


def results_version(book: RawBook) -> str:
    """Version of the layout that results state, also in former versions."""
    definition = results_definition().sheet("provenance")
    title = layout.FORMER_ORIGIN if has_sheet(book, layout.FORMER_ORIGIN) else definition.result_sheet
    cells, name = Cells(book, title), definition.column("results_version").title
    version = next((cells.text(row, 2) for row in cells.named((name,))), "")
    if not version:
        raise NoResults(f'the sheet "{title}" has no {name}')
    return version


def results_items(book: RawBook, items_id: str, of: Definition | None = None) -> dict[str, Value]:
    """Values of a list of items of the results, or of another document."""
    definition = (of or results_definition()).sheet(items_id)
    cells, first = _block(book, definition)
    values = {cells.text(row, 1): cells.get(row, 2) for row in cells.rows_from(first)}
    missing = [column.title for column in definition.columns if column.title not in values]
    if missing:
        raise NoResults(f'the sheet "{definition.result_sheet}" has no {missing[0]}')
    return {column.id: values[column.title] for column in definition.columns}


def echoed_notes(book: RawBook) -> SeasonDocument:
    """The season document in a results workbook, with the rows that it was read from.

    The cells of a heart trace are removed from the workbook as they are read, to save memory.
    """
    trace = [layout.TRACE_TITLE] if has_sheet(book, layout.TRACE_TITLE) else []
    return notes_on(book, [layout.INPUTS_TITLE, *trace], str(results_items(book, "provenance")["template_version"]))


def notes_on(book: RawBook, titles: Sequence[str], template_version: str) -> SeasonDocument:
    """The season document on some sheets of a workbook."""
    definition = season_definition()
    document = SeasonDocument(empty_data(), {})
    sheets = {sheet.title: sheet for sheet in definition.sheets}
    for title in titles:
        cells = Cells(book, title)
        for row in cells.named({*sheets, layout.EMPTY_UNITS_TITLE}):
            sheet = sheets.get(cells.text(row, 1))
            head = [cells.text(row + 1, column) for column in (1, 2, 3)]
            if sheet is None:
                _read_empty_units(document, sheets, cells, row + 1)
            elif head[0] == layout.ROW_HEADER and sheet.kind == "table":
                _read_table(document, sheet, cells, row + 1, title == layout.TRACE_TITLE)
            elif head == ["", layout.ITEM_HEADER, layout.VALUE_HEADER]:
                _read_items(document, sheet, cells, row + 1)
    document.data["version"] = notes_version(template_version)
    units = document.data["units"]
    document.data["units"] = {sheet_id: units[sheet_id] for sheet_id in units if units[sheet_id]}
    return replace(document, data=version_2(document.data))


def _read_table(document: SeasonDocument, sheet: Sheet, cells: Cells, header_row: int, is_last_use: bool) -> None:
    columns, units = {}, document.data["units"].setdefault(sheet.id, {})
    by_title = {column.title: column for column in sheet.columns}
    sizes: dict[str, int] = {}
    for number in takewhile(partial(cells.holds, header_row), count(2)):
        title, typed = split_header(cells.text(header_row, number))
        if sheet.classes is not None and title not in by_title and (size := size_of(title, sheet.classes)):
            sizes[size] = number
        elif title in by_title:
            columns[number] = by_title[title]
            _add_unit(units, sheet, title, typed)
        else:
            raise NoResults(f'"{sheet.title}" has no column "{title}"')
    below = range(header_row + 1, header_row + 1 + sum(1 for _ in cells.rows_from(header_row + 1)))
    numbers = tuple(int(value) for _, value in cells.values(1, below, is_last_use))
    if len(numbers) < len(below):
        raise NoResults(f'"{sheet.title}" has a row without its number')
    rows: list[dict[str, Any]] = [{} for _ in below]
    for n, column in columns.items():
        for at, value in cells.values(n, below, is_last_use):
            rows[at][column.id] = _value(value, column.is_number)
    for size, n in sizes.items():
        for at, value in cells.values(n, below, is_last_use):
            rows[at].setdefault("classes", []).append({"class": size, "cuts": _value(value, True)})
    document.data[sheet.id] = rows
    number_of = {column.id: number for number, column in columns.items()} | sizes
    places = {key: Place(sheet.title, None, n, "", f"{sheet.id}.{key}") for key, n in number_of.items()}
    document.places[sheet.id] = SheetPlaces(sheet.title, places, numbers)


def _read_items(document: SeasonDocument, sheet: Sheet, cells: Cells, header_row: int) -> None:
    units = document.data["units"].setdefault(sheet.id, {})
    by_title = {column.title: column for column in sheet.columns}
    for row in cells.rows_from(header_row + 1):
        title, value = cells.text(row, 2), cells.get(row, 3)
        if title not in by_title or not cells.holds(row, 3):
            raise NoResults(f'"{sheet.title}" has no item "{title}" with a value')
        document.data[sheet.id][by_title[title].id] = _value(value, by_title[title].is_number)
        _add_unit(units, sheet, title, cells.text(row, 4))
    document.places[sheet.id] = SheetPlaces(sheet.title)


def _read_empty_units(document: SeasonDocument, sheets: Mapping[str, Sheet], cells: Cells, header_row: int) -> None:
    for row in cells.rows_from(header_row + 1):
        sheet_title, title, typed = (cells.text(row, column) for column in (2, 3, 4))
        if sheet_title not in sheets:
            raise NoResults(f'there is no sheet "{sheet_title}"')
        _add_unit(document.data["units"].setdefault(sheets[sheet_title].id, {}), sheets[sheet_title], title, typed)


def _add_unit(units: dict[str, str], sheet: Sheet, title: str, typed: str | None) -> None:
    column = next((column for column in sheet.columns if column.title == title), None)
    unit = _unit_as_shown(column, typed or "") if column is not None else None
    if column is None or unit is None:
        raise NoResults(f'"{sheet.title}" has no "{title}" in "{typed}"')
    if unit:
        units[column.id] = unit


def _unit_as_shown(column: Column, typed: str) -> str | None:
    """Permitted unit that a text shows; money without a currency has a label of its own."""
    without = next((unit for unit in column.units if column.is_money and column.label(unit, "") == typed), None)
    return without or unit_of(column, typed)[0]


def _value(value: Value, is_number: bool) -> Any:
    if not is_number or isinstance(value, str):
        return value
    return kept_number(value)


def _block(book: RawBook, definition: Sheet) -> tuple[Cells, int]:
    """Cells of the sheet of a block, and the first row below the block's headers."""
    cells = Cells(book, definition.result_sheet)
    return cells, cells.below(definition.title, definition.result_sheet) + 1 + bool(definition.help)


def has_sheet(book: RawBook, title: str) -> bool:
    """Whether a workbook has a sheet of that title."""
    return any(sheet.title == title for sheet in book.sheets)


CELL, WHOLE_COLUMN = "cell", "whole column"
DOWN_TO = " to "

Row = dict[str, str]


def waiting_rows(checked: CheckedSeason) -> list[Row]:
    """Every cell, item and column of a checked season that must not be used, with the cell to mend, sorted."""
    sheets, document = season_definition().sheets, checked.document
    order = {sheet.id: number for number, sheet in enumerate(sheets)}

    def key(cell: Cell) -> tuple[int, str, int]:
        return order[cell[0]], cell[2], -1 if cell[1] is None else cell[1]

    def run(cell: Cell) -> tuple[str, str, str]:
        return cell[0], cell[2], checked.cell_problems[cell]

    rows = []
    for (sheet_id, column_id, where), cells in groupby(sorted(checked.broken, key=key), key=run):
        numbers = [document.places[sheet_id].rows[index] for _, index, _ in cells if index is not None]
        ends = dict.fromkeys((*numbers[:1], *numbers[-1:]))
        rows.append(_row(sheet_id, DOWN_TO.join(map(str, ends)), column_id, CELL, where))
    for (sheet_id, column_id), where in sorted(checked.unread.items(), key=lambda c: (order[c[0][0]], c[0][1])):
        rows.append(_row(sheet_id, "", column_id, WHOLE_COLUMN, where))
    return rows


def _row(sheet_id: str, number: str, column_id: str, extent: str, where: str) -> Row:
    sheet = season_definition().sheet(sheet_id)
    title = sheet.column(column_id).title
    return {"sheet": sheet.title, "row": number, "column": title, "extent": extent, "cell": where}


def waiting_sheet(row: Mapping[str, Any]) -> Sheet:
    """The sheet of the template that a row of the list names."""
    return {sheet.title: sheet for sheet in season_definition().sheets}[row["sheet"]]


def checked_again(
    document: SeasonDocument, problems: list[Problem], waiting: Iterable[Mapping[str, Any]]
) -> CheckedSeason:
    """The checked season of the notes and the list of what waited that results hold."""
    spans = [(waiting_sheet(row), *str(row["row"]).partition(DOWN_TO)[::2], row) for row in waiting]
    ends = {(sheet.id, end) for sheet, first, last, _ in spans for end in (first, last) if end}
    index_of = {  # of these rows alone: a heart trace has very many
        (sheet_id, str(row)): index
        for sheet_id in {sheet_id for sheet_id, _ in ends}.intersection(document.places)
        for index, row in enumerate(document.places[sheet_id].rows)
        if (sheet_id, str(row)) in ends
    }
    cells: dict[Cell, str] = {}
    unread: dict[tuple[str, str], str] = {}
    for sheet, first, last, row in spans:
        ids = {column.title: column.id for column in sheet.columns}
        column_id = ids[row["column"]] if sheet.classes is None else ids.get(row["column"], row["column"])
        if row["extent"] == WHOLE_COLUMN:
            unread[sheet.id, column_id] = row["cell"]
        else:
            down = range(index_of[sheet.id, first], index_of[sheet.id, last or first] + 1) if first else (None,)
            cells |= dict.fromkeys(((sheet.id, index, column_id) for index in down), row["cell"])
    return CheckedSeason(document, problems, unread, cells)
