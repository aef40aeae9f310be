"""Every figure of the results as one tidy row, with an id that depends on no name and no wording."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from functools import cache
from typing import Any, TypeVar

from wood_xl.notes.document import worker_numbers
from wood_xl.notes.names import plain
from wood_xl.page_texts import Beside
from wood_xl.reasons import Listing, Named, Reason, Said, Word
from wood_xl.schema.model import Column, Sheet, results_definition, season_definition
from wood_xl.schema.words import phrase

FIGURES = "figures"
BY_COLUMN = "by_column"  # reason of a figure without ends, where the definition has one for the whole column
RATES = "rates_per_cord"  # the table whose figures other rows may name
MONEY = "money"  # unit of an amount, replaced by the currency if it is known
PEOPLE = "people.person"
PREFIXES = {
    "methods.method": "methods",
    "tools.tool": "tools",
    PEOPLE: "workers",
    "sessions.session": "sessions",
    "sessions.lot": "lots",
    "wood.species": "species",
}
NAMES = {"method": "methods.method", "task": "methods.task", "person": PEOPLE, "session": "sessions.session"}
ENDS = ("low", "high")
PERSON = "person"
# Most rows of a table by person and session or day whose figures are listed; a class of 20 on 15 days has half as
# many. Nobody reads more in the list of figures. Its sums by person stay, and the document has every row.
MOST_BY_PERSON = 600

Item = TypeVar("Item")
Key = TypeVar("Key", bound=Hashable)
Row = dict[str, Any]
Place = tuple[str, int, str]


def placed_figures(document: Mapping[str, Any]) -> Iterator[tuple[Place, Row]]:
    """Each figure of a document with its table, row and column, by its id."""
    rows: dict[str, dict[str, int]] = {}
    for figure in document[FIGURES]:
        ref, _, where = str(figure["id"]).partition(" ")
        table, _, column = ref.partition(".")
        of_table = rows.setdefault(table, {})
        yield (table, of_table.setdefault(where, len(of_table)), column), figure


def named_figure(sheet: Sheet, row: Mapping[str, Any]) -> Column | None:
    """The column of the figure that a row is about, if rows of its table name one."""
    named = next((row[column.id] for column in sheet.columns if column.names_figure), None)
    return None if named is None else figure_column(named)


def figure_column(column_id: str) -> Column:
    """The column of a figure that rows may name."""
    return results_definition().sheet(RATES).column(column_id)


def grouped(items: Iterable[Item], key: Callable[[Item], Key]) -> dict[Key, list[Item]]:
    """Items by their key, in the order of the first item of each."""
    groups: dict[Key, list[Item]] = {}
    for item in items:
        groups.setdefault(key(item), []).append(item)
    return groups


def rows_in(tables: Mapping[str, Any], table: str) -> Sequence[Row]:
    """Rows of a table; a list of items is one row."""
    content = tables[table]
    return content if isinstance(content, list) else [content]


def figure_rows(tables: Mapping[str, Any], notes: Mapping[str, Any]) -> list[Row]:
    """A row for each figure of the tables and lists of items, whose ids do not have their words yet."""
    places = _Places(notes)
    currency, figures = rows_in(tables, "season")[0]["currency"], []
    for sheet, columns in _sheets():
        if _is_unlisted(sheet, tables):
            continue
        used: Counter[str] = Counter()
        for row in rows_in(tables, sheet.id):
            where = places.of_row(sheet, row)
            used[where] += 1
            if used[where] > 1:  # rows with the same names
                where = f"{where} #{used[where]}"
            names, named = places.names(sheet, row), named_figure(sheet, row)
            figures += [
                {
                    "id": f"{column.ref} {where}".rstrip(),
                    "topic": column.topic or sheet.topic,
                    **names,
                    "measure": column.id,
                    "figure": named.id if named else "",
                    "unit": row[column.id]["unit"].replace(MONEY, currency or MONEY, 1),
                    **_numbers(row[column.id]),
                    "reason": _reason(column, row[column.id]),
                    "basis": _id(row[column.id]["basis"]),
                }
                for column in columns
            ]
    return figures


def unlisted_text(document: Mapping[str, Any]) -> str:
    """A sentence on the tables that are too long for the list of figures; empty if none is."""
    titles = tuple(sheet.title for sheet, _ in _sheets() if _is_unlisted(sheet, document))
    return phrase(Beside.NOT_LISTED, most=MOST_BY_PERSON, titles=titles) if titles else ""


def _is_unlisted(sheet: Sheet, tables: Mapping[str, Any]) -> bool:
    return PERSON in sheet.key[1:] and not sheet.figures_only and len(rows_in(tables, sheet.id)) > MOST_BY_PERSON


def notes_with_parts(notes: Mapping[str, Any], tables: Mapping[str, Any]) -> dict[str, Any]:
    """The notes with a row for each method and session that was split off from others while computing."""
    extended = dict(notes)
    for sheet_id, table, keys in (
        ("methods", "rates_per_cord", ("method", "task")),
        ("sessions", "sessions", ("session", "method")),
    ):
        noted = {plain(str(row.get(keys[0], ""))) for row in notes.get(sheet_id, ())}
        split_off = [{key: row[key] for key in keys} for row in tables[table] if plain(row[keys[0]]) not in noted]
        extended[sheet_id] = [*notes.get(sheet_id, ()), *split_off]
    return extended


def with_cell(figure: Row, cell: Row) -> Row:
    """The row of a figure with the numbers of a table's cell; without a basis if the cell has none."""
    return {**figure, **_numbers(cell), "basis": figure["basis"] if cell["basis"] else ""}


def _numbers(cell: Row) -> Row:
    return {key: cell[key] for key in ("value", *ENDS)}


@cache
def _sheets() -> tuple[tuple[Sheet, tuple[Column, ...]], ...]:
    sheets = ((sheet, tuple(c for c in sheet.columns if c.type == "figure")) for sheet in results_definition().sheets)
    return tuple((sheet, columns) for sheet, columns in sheets if columns)


def _reason(column: Column, cell: Row) -> str:
    is_bare = cell["value"] is not None and all(cell[end] is None for end in ENDS)
    if is_bare and column.no_ends and isinstance(cell["reason"], str):
        return BY_COLUMN
    return _id(cell["reason"])


def _id(word: Said | Word | None) -> str:
    if not word:
        return ""
    if isinstance(word, Word):
        return word.key
    if word.id in (Reason.AS_THINGS_STAND, Reason.AS_THINGS_STAND_IN):
        return f"{_id(word['what'])};{word.id.key}"
    if word.id is Listing.SEMICOLONS:
        return ";".join(dict.fromkeys(_id(part) for part in word["parts"]))
    return word.id.key


class _Places:
    """The place of each name of the notes (``tools.2``), by the first row that has it."""

    def __init__(self, notes: Mapping[str, Any]) -> None:
        self._places: dict[str, dict[str, str]] = {}
        for ref, prefix in PREFIXES.items():
            sheet_id, _, column_id = ref.partition(".")
            typed = (plain(str(row[column_id])) for row in notes.get(sheet_id, ()) if column_id in row)
            numbers = {name: number for number, name in enumerate(dict.fromkeys(typed), start=1)}
            if ref == PEOPLE:
                numbers = worker_numbers(notes)
            self._places[ref] = {name: f"{prefix}.{number}" for name, number in numbers.items()}
        self._of_prefix = {prefix: self._places[ref] for ref, prefix in PREFIXES.items()}
        slots = (column for sheet in results_definition().sheets for column in sheet.columns if column.names)
        # People who share a planned session are named in a sentence only, not in a column.
        self._kinds = {"people": PEOPLE, **{column.id: column.names for column in slots}}
        self._task_of = _column_by_name(notes, "methods", "method", "task")
        self._method_of = _column_by_name(notes, "sessions", "session", "method")

    def of_row(self, sheet: Sheet, row: Row) -> str:
        """Places and ids that identify a row within its table."""
        columns = [sheet.column(column_id) for column_id in sheet.key]
        kinds = ((column, column.ref if column.names_figure else column.names) for column in columns)
        return " ".join(filter(None, (self._place(kind, row[column.id]) for column, kind in kinds)))

    def names(self, sheet: Sheet, row: Row) -> Row:
        """The names that a row holds, as typed, several separated by semicolons.

        The method of a session and the task of a method are added where the row has no column for them.
        """
        names_by_kind: dict[str, list[str]] = {kind: [] for kind in NAMES.values()}
        for column in sheet.columns:
            cell = row[column.id] if column.names in names_by_kind else ()
            for name in (cell,) if isinstance(cell, str) else cell if isinstance(cell, tuple) else ():
                if self._place(column.names, name):
                    names_by_kind[column.names].append(name)
        methods, tasks = names_by_kind[NAMES["method"]], names_by_kind[NAMES["task"]]
        methods += [] if methods else _of_each(names_by_kind[NAMES["session"]], self._method_of)
        tasks += [] if tasks else _of_each(methods, self._task_of)
        return {key: "; ".join(names_by_kind[kind]) for key, kind in NAMES.items()}

    def _place(self, kind: str, filling: Any) -> str:
        if isinstance(filling, Said):
            parts = (self._place(self._kinds.get(slot, ""), fact) for slot, fact in filling.facts)
            return " ".join(filter(None, (filling.id.key, *parts)))
        if isinstance(filling, tuple):
            return "+".join(filter(None, (self._place(kind, part) for part in filling)))
        if isinstance(filling, Word | Named):
            return filling.key if isinstance(filling, Word) else self._of_named(filling)
        if not isinstance(filling, str) or not kind:
            return ""
        if kind in self._places:
            return self._places[kind].get(plain(filling), "")
        return filling if _is_id(kind, filling) else ""

    def _of_named(self, named: Named) -> str:
        """Place of a name that is numbered by its first use."""
        return self._of_prefix.get(named.place.partition(".")[0], {}).get(plain(named.name), named.place)


def _column_by_name(notes: Mapping[str, Any], sheet_id: str, name: str, column: str) -> dict[str, str]:
    rows = (row for row in notes.get(sheet_id, ()) if name in row)
    return {plain(str(row[name])): row.get(column) or "" for row in rows}


def _of_each(names: Sequence[str], places: Mapping[str, str]) -> list[str]:
    return list(dict.fromkeys(filter(None, (places.get(plain(name)) for name in names))))


def _is_id(kind: str, text: str) -> bool:
    """Whether a text of a column is an id: a day, a choice from a list, or the column of a figure."""
    sheet_id, _, _ = kind.partition(".")
    definition = season_definition() if any(s.id == sheet_id for s in season_definition().sheets) else None
    column = (definition or results_definition()).column(kind)
    return column.is_date or column.names_figure or text in column.choices
