"""Results that can be given away: no person's name, no body data, no place, no note.

The two definitions mark what is private (``x-private``, ``x-private-with``, ``x-by-effort``), and the catalogue of
problems what a problem quotes; nothing is listed here by hand.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any

from wood_xl.errors import DefinitionFault
from wood_xl.ids import Kept
from wood_xl.notes.convert import INVENTED_NAME
from wood_xl.notes.document import SeasonDocument, SheetPlaces
from wood_xl.notes.echo import checked_again, waiting_sheet
from wood_xl.notes.problem import catalogue, problem_from_json
from wood_xl.pipeline import computed_again
from wood_xl.reasons import Reason
from wood_xl.results.document import factor_rows, read_of_bodies
from wood_xl.results.figures import Place, figure_column, placed_figures, rows_in, with_cell
from wood_xl.results.first_cautions import first_cautions
from wood_xl.results.of_bodies import (
    TEXTS,
    body_figures,
    is_private,
    needs_bodies,
    rows_about_bodies,
    table_cells,
    texts_of_bodies,
)
from wood_xl.results.without_names import LEAVE_OUT, PEOPLE, placeless, renamer, without_names, without_place
from wood_xl.results.worked import worked_numbers
from wood_xl.schema.model import results_definition, season_definition
from wood_xl.schema.words import words

Row = dict[str, Any]

# What a problem may quote, by the catalogue: titles that somebody typed, people's names, or words that were not read.
TITLES, PEOPLE_NAMES = "titles", "people"


def shared(results: Row) -> Row:
    """A copy of the results without what is private.

    The results are computed again from notes in which people are ``Person 1``, ``Person 2`` and so on. Then notes and
    texts about bodies are removed; the figures stay.
    """
    data = without_names(without_place(results["inputs"]))
    nameless = results if data == results["inputs"] else _again(data, results, results["problems"])
    copied: Row = copy.deepcopy({key: value for key, value in nameless.items() if key not in ("problems", "inputs")})
    copied["inputs"] = _inputs(nameless["inputs"])
    copied["input_rows"] = {key: rows for key, rows in results["input_rows"].items() if not is_private(key)}
    gone = {
        sheet.id
        for sheet in results_definition().sheets
        if sheet.kind == "table" and (sheet.private or sheet.private_with in copied["inputs"]["season"])
    }
    copied |= {table: [] for table in gone if table in copied}
    # Proposals depend on body data, so the cautions of a copy are for every method that counts.
    counted = {row["method"] for row in copied["rates_per_cord"] if row["sessions_n"]}
    copied["first_cautions"] = first_cautions(nameless["inputs"], counted)
    copied["waiting"] = [row for row in results["waiting"] if not is_private(waiting_sheet(row).id)]
    copied["problems"] = _problems(results)
    if copied["waiting"] != results["waiting"]:
        _replace_bases(copied)
    copied["plan"] = _no_plan(nameless["plan"])
    about = rows_about_bodies(nameless)
    of_bodies = set(body_figures(copied, about))
    for table, row, column_id in of_bodies:
        if table in copied:
            copied[table][row][column_id]["basis"] = ""
    for table, row, column_id in _private_texts(copied, about):
        copied[table][row][column_id] = ""
    copied["figures"] = _figures(copied, gone, of_bodies)
    copied[TEXTS] = texts_of_bodies(copied)
    copied["widest_doubts"] = [
        row for row in copied["widest_doubts"] if not needs_bodies(figure_column(row["figure"]))
    ]
    copied["season"] |= {column.id: "" for column in results_definition().sheet("season").columns if column.private}
    copied["provenance"] = {**results["provenance"], "left_out": words(Kept.SHARED)}
    copied["factors"] = factor_rows(read_of_bodies({row["id"] for row in nameless["factors"]}))
    copied["worked"] = worked_numbers(copied)
    return copied


def _figures(copied: Row, gone: set[str], of_bodies: set[Place]) -> list[Row]:
    kept = []
    for place, figure in placed_figures(copied):
        table, index, column_id = place
        if table in gone:
            continue
        if table not in copied:
            kept.append({**figure, "basis": "" if place in of_bodies else figure["basis"]})
            continue
        reason = Reason.NOT_SHARED.key if table == "plan" else figure["reason"]
        kept.append({**with_cell(figure, rows_in(copied, table)[index][column_id]), "reason": reason})
    return kept


def _replace_bases(copied: Row) -> None:
    """Replace each figure's basis by that which the copied notes give, so that none names a private cell."""
    again = _again(copied["inputs"], copied, copied["problems"])
    figures_again = dict(placed_figures(again))
    for place, figure in placed_figures(copied):
        if place not in figures_again:  # without bodies some tables have fewer rows
            continue
        table, index, column_id = place
        figure["basis"] = figures_again[place]["basis"]
        rows = rows_in(copied, table) if table in copied else []
        if rows:
            rows[index][column_id]["basis"] = rows_in(again, table)[index][column_id]["basis"]


def _again(data: Row, results: Row, problems: list[Row]) -> Row:
    """Results computed again from notes, with the rows and waiting cells of other results."""
    places = {
        sheet.id: SheetPlaces(sheet.title, rows=tuple(results["input_rows"].get(sheet.id, ())))
        for sheet in season_definition().sheets
    }
    notes = checked_again(
        SeasonDocument(data, places), [problem_from_json(row) for row in problems], results["waiting"]
    )
    again = computed_again(notes, results["provenance"])
    if again is None:
        raise DefinitionFault("results whose own notes cannot be computed")
    return again


def shared_sha256(notes: Row) -> str:
    """Hash of the notes as a shared copy would hold them: the same for the notes and for each copy."""
    return SeasonDocument(_inputs(without_names(without_place(notes))), {}).sha256()


def notes_to_share(document: SeasonDocument, problems: list[Row], waiting: list[Row]) -> Row:
    """The notes as a study holds them: inputs, their rows, problems and cells that wait.

    People like to name a season after themselves, so its name is removed except for the mark that it is invented.
    """
    rows = {sheet_id: list(places.rows) for sheet_id, places in document.places.items() if places.rows}
    inputs = _inputs(without_names(without_place(document.data)))
    name = str(inputs["season"].get("season_name", ""))
    unnamed = {key: value for key, value in inputs["season"].items() if key != "season_name"}
    mark = {"season_name": INVENTED_NAME} if name.startswith(INVENTED_NAME) else {}
    return {
        "inputs": {**inputs, "season": mark | unnamed},
        "input_rows": {key: numbers for key, numbers in rows.items() if not is_private(key)},
        "problems": _problems({"inputs": document.data, "problems": problems}),
        "waiting": [row for row in waiting if not is_private(waiting_sheet(row).id)],
    }


def _no_plan(items: Row) -> Row:
    why = words(Reason.NOT_SHARED)
    missing = dict.fromkeys(("value", "low", "high")) | {"basis": "", "reason": why}
    empty: dict[type, Any] = {str: why, int: 0, list: []}
    return {
        key: {**value, **missing} if isinstance(value, dict) else empty[type(value)] for key, value in items.items()
    }


def _private_texts(results: Row, of_bodies: set[tuple[str, int]]) -> Iterator[tuple[str, int, str]]:
    """Table, row and column of each private text; where rows name figures, only of rows about bodies.

    People stay by number, as in the notes.
    """
    for sheet, column, row in table_cells(results):
        if column.private and column.names != PEOPLE:
            names_figures = any(one.names_figure for one in sheet.columns)
            if not names_figures or (sheet.id, row) in of_bodies:
                yield sheet.id, row, column.id


def _inputs(inputs: Row) -> Row:
    """The notes without private columns.

    People stay by number: without them, the exposures of two people on one day would be mixed up when the results
    are computed again.
    """
    kept: Row = dict(inputs)
    for sheet in season_definition().sheets:
        private = {c.id for c in sheet.columns if c.private and not (c.required or c.refers_to == PEOPLE)}
        if sheet.private:
            kept[sheet.id] = []
        elif sheet.kind == "items":
            kept[sheet.id] = {key: value for key, value in inputs[sheet.id].items() if key not in private}
        else:
            kept[sheet.id] = [
                {key: value for key, value in row.items() if key not in private} for row in inputs[sheet.id]
            ]
    kept["units"] = {
        sheet_id: {key: unit for key, unit in units.items() if not is_private(f"{sheet_id}.{key}")}
        for sheet_id, units in inputs["units"].items()
        if not is_private(sheet_id)
    }
    return kept


def _problems(results: Row) -> list[Row]:
    """The problems; one about something private, the plan or a remark keeps its title alone.

    So does one that names a person, or that quotes words which could not be read.
    """
    changes = renamer(results["inputs"]), placeless(results["inputs"])
    titles = {title for sheet in season_definition().sheets for title in sheet.titles}  # people made up all others

    def is_about_private(row: Row) -> bool:
        names_somebody = any(change(row[part]) != row[part] for change in changes for part in ("text", "mend"))
        is_of_private = row["about"] == LEAVE_OUT or (bool(row["about"]) and is_private(row["about"]))
        return is_of_private or names_somebody or "about" in catalogue()[row["code"]]

    def shortened(row: Row) -> Row:
        quotes = catalogue()[row["code"]].get("quotes")
        if quotes or is_about_private(row):
            row = {**row, "text": catalogue()[row["code"]]["title"] + ".", "mend": ""}
        if quotes == TITLES:
            row = {**row, "column": ""}
        return row if row["sheet"] in titles else {**row, "sheet": ""}

    rows = (row for row in results["problems"] if catalogue()[row["code"]].get("quotes") != PEOPLE_NAMES)
    return list(map(shortened, rows))
