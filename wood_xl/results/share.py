"""Results that can be given away: no person's name, no body data, no place, no note.

What is private is said in the two definitions (``x-private``, ``x-private-with``, ``x-by-effort``); nothing is
listed here by hand.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Collection, Iterator, Mapping
from typing import Any

from wood_xl.errors import DefinitionFault
from wood_xl.ids import Kept, Part
from wood_xl.notes.document import SeasonDocument, SheetPlaces
from wood_xl.notes.problem import catalogue, problem_from_json
from wood_xl.notes.waiting import checked_again, waiting_sheet
from wood_xl.pipeline import computed_again
from wood_xl.reasons import Basis, Reason, said
from wood_xl.results.figures import ENDS, Place, figure_column, figure_places, rows_in, with_cell
from wood_xl.results.first_page import ABOUT_THE_PLAN, first_cautions
from wood_xl.results.without_names import PEOPLE, renamer, without_names, without_place
from wood_xl.schema.model import Column, results_definition, season_definition
from wood_xl.schema.words import words

Row = dict[str, Any]
EFFORT_UNIT = "kcal"
OtherNumber = Callable[[str, float], float | None]  # of a part of a figure and its number


def is_shared(provenance: Mapping[str, Any]) -> bool:
    """Whether results say of themselves that they have lost what is private."""
    return bool(provenance["left_out"] == words(Kept.SHARED))


def shared(results: Row) -> Row:
    """A copy of the results without what is private.

    The results are computed again from notes in which people are ``worker 1``, ``worker 2`` and so on, and then
    lose what is about bodies. Figures stay as they are.
    """
    nameless = _nameless(results)
    copied: Row = copy.deepcopy({key: value for key, value in nameless.items() if key not in ("problems", "inputs")})
    copied["inputs"] = _inputs(nameless["inputs"])
    copied["input_rows"] = {key: rows for key, rows in results["input_rows"].items() if not _is_private(key)}
    for sheet in results_definition().sheets:
        is_private = sheet.private or sheet.private_with in copied["inputs"]["season"]
        if is_private and sheet.kind == "table":
            copied[sheet.id] = []
    copied["plan"] = _no_plan(nameless["plan"])
    # What is proposed hangs on bodies: the cautions of a copy are for every method that counts.
    counted = {row["method"] for row in copied["rates_per_cord"] if row["sessions_n"]}
    copied["first_cautions"] = first_cautions(nameless["inputs"], counted)
    copied["decision"] = copied["decision"][: -len(ABOUT_THE_PLAN)]
    copied["waiting"] = [row for row in results["waiting"] if not _is_private(waiting_sheet(row).id)]
    of_bodies = _rows_about_bodies(nameless)
    for table, row, column_id in _body_figures(copied, of_bodies):
        copied[table][row][column_id]["basis"] = ""
    forgotten = _forget_what_waits(copied, results["waiting"])
    for table, row, column_id in _private_texts(copied, of_bodies):
        copied[table][row][column_id] = ""
    copied["figures"] = _figures(nameless, copied, forgotten)
    private_items = {column.id: "" for column in results_definition().sheet("season").columns if column.private}
    copied["season"] = {**nameless["season"], **private_items}
    copied["problems"] = _problems(results)
    copied["provenance"] = {**results["provenance"], "left_out": words(Kept.SHARED)}
    return copied


def _forget_what_waits(copied: Row, waiting: list[Row]) -> set[Place]:
    """Take from each figure that it is told without a cell with body data: a copy has no such cell to wait for."""
    forgotten = set()
    cells = {row["cell"] for row in waiting if _is_about_bodies(row)}
    told = [words(said(Basis.WITHOUT_WAITING, cell=cell)) for cell in cells]
    for table, row, column_id in figure_places(copied):
        figure = rows_in(copied, table)[row][column_id]
        for text in told:
            alone, _, _ = figure["basis"].partition(text)
            if alone != figure["basis"]:
                figure["basis"] = alone.rstrip("; ")
                forgotten.add((table, row, column_id))
    return forgotten


def _is_about_bodies(row: Row) -> bool:
    sheet = waiting_sheet(row)
    return sheet.private or any(column.private for column in sheet.columns if column.title == row["column"])


def _figures(nameless: Row, copied: Row, forgotten: Collection[Place]) -> list[Row]:
    """The figures of the tables that stay, each with what stays of it."""
    kept = []
    waits = Basis.WITHOUT_WAITING.key
    for (table, index, column_id), figure in zip(figure_places(nameless), nameless["figures"], strict=True):
        rows = rows_in(copied, table)
        if rows:
            told = {"reason": Reason.NOT_SHARED.key if table == "plan" else figure["reason"]}
            if (table, index, column_id) in forgotten:
                told["basis"] = ";".join(one for one in figure["basis"].split(";") if one != waits)
            kept.append({**with_cell(figure, rows[index][column_id]), **told})
    return kept


def _nameless(results: Row) -> Row:
    """The results computed again from notes without names; these very results if their notes have none."""
    data = without_names(without_place(results["inputs"]))
    if data == results["inputs"]:
        return results
    places = {
        sheet.id: SheetPlaces(sheet.title, rows=tuple(results["input_rows"].get(sheet.id, ())))
        for sheet in season_definition().sheets
    }
    problems = [problem_from_json(row) for row in results["problems"]]
    notes = checked_again(SeasonDocument(data, places), problems, results["waiting"])
    again = computed_again(notes, results["provenance"])
    if again is None:
        raise DefinitionFault("results whose own notes cannot be computed")
    return again


def shared_sha256(notes: Row) -> str:
    """Hash of what a copy to be shared would hold of notes: the same for the notes and for each copy of them."""
    return SeasonDocument(_inputs(without_names(without_place(notes))), {}).sha256()


def _doubled(_: str, number: float) -> float:
    return 2 * number + 1


def _nearly_alike(part: str, number: float) -> float:
    """Large numbers with narrow ends: no length that is drawn from them, as from zero to a dot, is cut off at 0."""
    return {"low": 0.9, "value": 1.0, "high": 1.1}[part] * (1e12 + number)


def _without_ends(part: str, number: float) -> float | None:
    """A line that names the columns with ends hangs on whether there are any."""
    return number if part == "value" else None


OTHER_NUMBERS: tuple[OtherNumber, ...] = (_doubled, _nearly_alike, _without_ends)


def with_body_figures_changed(results: Row, other: OtherNumber) -> Row:
    """A copy in which every figure that rests on body data has another value, and sentences about it other words.

    What is equal in the results and in a copy by each of ``OTHER_NUMBERS`` can be computed again without body data.
    """
    changed: Row = copy.deepcopy(results)
    of_bodies = _rows_about_bodies(results)
    for table, row, column_id in _body_texts(of_bodies):
        changed[table][row][column_id] += "?"
    for table, row, column_id in _body_figures(changed, of_bodies):
        figure = changed[table][row][column_id]
        figure |= _other_figure(figure, other)
    for table in (sheet.id for sheet in results_definition().sheets if sheet.by_effort):
        changed[table] = [{key: _changed(value, other) for key, value in row.items()} for row in results[table]]
    question = words(Part.QUESTION)
    changed["decision"] = [row if row["part"] == question else _other_row(row, "text") for row in results["decision"]]
    changed["answers"] = [
        _other_row(row, "answer") if EFFORT_UNIT in row["answer"] else row for row in results["answers"]
    ]
    places = zip(figure_places(results), results["figures"], strict=True)
    changed["figures"] = [_changed_figure(figure, place, results, changed) for place, figure in places]
    return changed


def _other_row(row: Row, key: str) -> Row:
    return {**row, key: _other_words(row[key])}


def _changed_figure(figure: Row, place: Place, results: Row, changed: Row) -> Row:
    table, index, column_id = place
    before, after = (rows_in(part, table)[index][column_id] for part in (results, changed))
    if before == after:
        return figure
    # Without bodies the same row may be of other methods, and say another thing or nothing beside its number.
    said = {key: f"{figure[key]}?" for key in ("id", "method", "reason", "basis")}
    told = with_cell(figure, after)
    # An end that is open without bodies, as of a price whose divisor may be 0, need not be open with them.
    ends = {} if told["value"] is None else {end: 0.0 for end in ENDS if told[end] is None}
    return {**told, **said, **ends}


def _changed(value: Any, other: OtherNumber) -> Any:
    return f"{value}?" if isinstance(value, str) else {**value, **_other_figure(value, other)}


def _other_figure(figure: Row, other: OtherNumber) -> Row:
    parts = {part: figure[part] for part in ("value", "low", "high")}
    parts = {part: None if number is None else other(part, number) for part, number in parts.items()}
    return {**parts, "reason": _other_words(figure["reason"])}


def _other_words(text: str) -> str:
    """Other words of the same kind: nothing stays nothing, so that every cell keeps its place."""
    return f"{text}?" if text else ""


def _no_plan(items: Row) -> Row:
    why = words(Reason.NOT_SHARED)
    missing = dict.fromkeys(("value", "low", "high")) | {"basis": "", "reason": why}
    empty: dict[type, Any] = {str: why, int: 0, list: []}
    return {
        key: {**value, **missing} if isinstance(value, dict) else empty[type(value)] for key, value in items.items()
    }


def _rows_about_bodies(results: Row) -> set[tuple[str, int]]:
    """Table and row of each row that is about a figure that rests on bodies."""
    places = zip(figure_places(results), results["figures"], strict=True)
    named = ((table, row, figure["figure"]) for (table, row, _), figure in places if figure["figure"])
    return {(table, row) for table, row, column_id in named if _rests_on_bodies(figure_column(column_id))}


def _body_figures(results: Row, of_bodies: set[tuple[str, int]]) -> Iterator[tuple[str, int, str]]:
    """Table, row and column of each figure that needs something that a copy to be shared leaves out."""
    for sheet in results_definition().sheets:
        if sheet.kind != "table":
            continue
        figures = [column for column in sheet.columns if column.type == "figure"]
        for row, _ in enumerate(results.get(sheet.id, ())):
            is_of_bodies = (sheet.id, row) in of_bodies
            yield from ((sheet.id, row, c.id) for c in figures if is_of_bodies or _rests_on_bodies(c))


def _body_texts(of_bodies: set[tuple[str, int]]) -> Iterator[tuple[str, int, str]]:
    """Table, row and column of each text in a row that is about a figure that rests on bodies."""
    for table, row in of_bodies:
        texts = [c for c in results_definition().sheet(table).columns if c.type == "string"]
        yield from ((table, row, c.id) for c in texts if not (c.names_figure or c.ids))


def _private_texts(results: Row, of_bodies: set[tuple[str, int]]) -> Iterator[tuple[str, int, str]]:
    """Table, row and column of each private text; where the rows name figures, of those about bodies alone.

    People stay, by number, as in the notes.
    """
    for sheet in results_definition().sheets:
        private = [column for column in sheet.columns if column.private and column.names != PEOPLE]
        if sheet.kind == "table" and private:
            names_figures = any(column.names_figure for column in sheet.columns)
            rows = range(len(results.get(sheet.id, ())))
            places = [row for row in rows if not names_figures or (sheet.id, row) in of_bodies]
            yield from ((sheet.id, row, column.id) for row in places for column in private)


def _rests_on_bodies(column: Column) -> bool:
    return any(map(_is_private, column.needs))


def _is_private(ref: str) -> bool:
    """Whether a sheet or column of the notes is left out."""
    return season_definition().is_private(ref)


def _inputs(inputs: Row) -> Row:
    """The notes without private columns.

    People stay, by number: without them the exposure of two people on one day could not be told apart when the
    results are computed again.
    """
    kept: Row = dict(inputs)
    for sheet in season_definition().sheets:
        private = {column.id for column in sheet.columns if column.private and not _is_name(column)}
        if sheet.private:
            kept[sheet.id] = []
        elif sheet.kind == "items":
            kept[sheet.id] = {key: value for key, value in inputs[sheet.id].items() if key not in private}
        else:
            kept[sheet.id] = [
                {key: value for key, value in row.items() if key not in private} for row in inputs[sheet.id]
            ]
    kept["units"] = {
        sheet_id: {key: unit for key, unit in units.items() if not _is_private(f"{sheet_id}.{key}")}
        for sheet_id, units in inputs["units"].items()
        if not _is_private(sheet_id)
    }
    return kept


def _is_name(column: Column) -> bool:
    return column.refers_to == PEOPLE or column.required


def _problems(results: Row) -> list[Row]:
    """The problems; one of something private, of the plan or of a remark keeps its title alone.

    So does one in which a person is named: texts that people typed stand in it.
    """
    renamed = renamer(results["inputs"])

    def is_private(row: Row) -> bool:
        names_somebody = any(renamed(row[part]) != row[part] for part in ("text", "mend"))
        is_of_private = bool(row["about"]) and _is_private(row["about"])
        return is_of_private or names_somebody or "about" in catalogue()[row["code"]]

    return [
        {**row, "text": catalogue()[row["code"]]["title"] + ".", "mend": ""} if is_private(row) else row
        for row in results["problems"]
    ]
