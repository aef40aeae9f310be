"""Results that can be given away: no person's name, no body data, no place, no note.

What is private is said in the two definitions (``x-private``); nothing is listed here by hand but the tables that are
about bodies as a whole.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Callable, Iterator
from typing import Any

from wood_xl.checks.problem import catalogue
from wood_xl.decision import ABOUT_THE_PLAN
from wood_xl.schema.model import Column, Sheet, results_definition, season_definition

BODY_TABLES = ("efforts", "people", "strain", "traces")
PLAN_TABLES = (
    "plan_mix",
    "plan_limits",
    "plan_volumes",
    "trials",
    "plan_sessions",
    "shopping",
)  # who does what, and how long
RANKED_TABLES = (
    "routes",
    "routes_year",
    "choice",
    "hour_prices",
)  # their order and words hang on effort too
SWINGS = "choice_swings"  # one row for each input that moves the choice: heart rates are among them
BODY_SHEETS = ("people", "heart_trace")
LEFT_OUT = "names, place, notes, body data and the plan"
STAYS = "Names that you gave to the season, its methods, tools, sessions and lots stay: see that none says too much."
NO_PLAN = "left out of shared results"

Row = dict[str, Any]


def shared(results: Row) -> Row:
    """A copy of the results without what is private.

    People become ``worker 1``, ``worker 2`` and so on, in the order in which they work, wherever their
    names occur as whole words. Figures per method stay as they are.

    Parameters
    ----------
    results : dict
        Results document.

    Returns
    -------
    dict
        It follows the same schema; its own provenance says what was left out.
    """
    private_words = _private_words(results)
    found: Row = copy.deepcopy({key: value for key, value in results.items() if key not in ("problems", "inputs")})
    found["inputs"] = _inputs(results["inputs"])
    name = _without_place(results["season"]["season_name"], results["season"]["place"])
    if "season_name" in found["inputs"]["season"]:
        found["inputs"]["season"]["season_name"] = name
    found["input_rows"] = {key: rows for key, rows in results["input_rows"].items() if key not in BODY_SHEETS}
    for table in (*BODY_TABLES, *PLAN_TABLES, SWINGS):
        found[table] = []
    found["plan"] = _no_plan(results["plan"])
    for row in found["routes_year"]:
        row["strain"] = ""
    found["decision"] = [row for row in found["decision"] if row["part"] not in ABOUT_THE_PLAN]
    found["waiting"] = [row for row in results["waiting"] if row["sheet"] not in _body_titles()]
    for table, row, column_id in _body_figures(found):
        found[table][row][column_id]["basis"] = ""
    for table, row, column_id in _body_texts(found):
        if results_definition().sheet(table).column(column_id).private:
            found[table][row][column_id] = ""
    private_items = {column.id: "" for column in results_definition().sheet("season").columns if column.private}
    found["season"] = {**results["season"], **private_items, "season_name": name}
    found["problems"] = [_problem(row, private_words) for row in results["problems"]]
    found["provenance"] = {**results["provenance"], "left_out": LEFT_OUT}
    renamed: Row = _each_text(found, _renamer(_names(results["inputs"])))
    renamed["exposures"].sort(key=lambda row: (row["day"], row["person"]))  # the old order would tell of the names
    return renamed


def with_body_figures_changed(results: Row) -> Row:
    """A copy in which every figure that rests on body data has another value, and every plain sentence other words.

    What is equal in both can be computed again from a copy without body data.
    """
    changed: Row = copy.deepcopy(results)
    for table, row, column_id in _body_texts(changed):
        changed[table][row][column_id] += "?"
    for table, row, column_id in _body_figures(changed):
        figure = changed[table][row][column_id]
        for part in ("value", "low", "high"):
            if figure[part] is not None:
                figure[part] = 2 * figure[part] + 1
        figure["reason"] = _other_words(figure["reason"])
    for table in RANKED_TABLES:
        changed[table] = [{key: _changed(value) for key, value in row.items()} for row in results[table]]
    changed["decision"] = [{**row, "text": f"{row['text']}?"} for row in results["decision"]]
    changed["answers"] = [{"answer": f"{row['answer']}?"} for row in results["answers"]]
    return changed


def _changed(value: Any) -> Any:
    if isinstance(value, str):
        return _other_words(value)
    parts = {part: None if value[part] is None else 2 * value[part] + 1 for part in ("value", "low", "high")}
    return {**value, **parts, "reason": _other_words(value["reason"])}


def _other_words(text: str) -> str:
    """Other words of the same kind: nothing stays nothing, so that every cell keeps its place."""
    return f"{text}?" if text else ""


def _no_plan(items: Row) -> Row:
    missing = dict.fromkeys(("value", "low", "high")) | {"basis": "", "reason": NO_PLAN}
    empty = {str: NO_PLAN, int: 0}
    return {
        key: {**value, **missing} if isinstance(value, dict) else empty[type(value)] for key, value in items.items()
    }


def _body_figures(results: Row) -> Iterator[tuple[str, int, str]]:
    """Table, row and column of each figure that needs something that a copy to be shared leaves out."""
    for sheet in results_definition().sheets:
        if sheet.kind != "table":
            continue
        figures = [column for column in sheet.columns if column.type == "figure"]
        for row, cells in enumerate(results.get(sheet.id, ())):
            of_bodies = _is_about_bodies(sheet, cells)
            yield from ((sheet.id, row, c.id) for c in figures if of_bodies or _rests_on_bodies(c))


def _body_texts(results: Row) -> Iterator[tuple[str, int, str]]:
    """Table, row and column of each text in a row that is about a figure that rests on bodies."""
    for sheet in results_definition().sheets:
        texts = [c.id for c in sheet.columns if c.type == "string" and not (c.names_figure or c.choices)]
        if sheet.kind == "table":
            found = [row for row, cells in enumerate(results.get(sheet.id, ())) if _is_about_bodies(sheet, cells)]
            yield from ((sheet.id, row, key) for row in found for key in texts)


def _is_about_bodies(sheet: Sheet, cells: Row) -> bool:
    """Whether a row names a figure that rests on bodies."""
    named = next((cells[column.id] for column in sheet.columns if column.names_figure), None)
    rates = results_definition().sheet("rates_per_cord").columns
    return any(column.title == named and _rests_on_bodies(column) for column in rates)


def _rests_on_bodies(column: Column) -> bool:
    definition = season_definition()
    return any(ref.split(".")[0] in BODY_SHEETS or definition.column(ref).private for ref in column.needs)


def _body_titles() -> set[str]:
    return {season_definition().sheet(sheet_id).title for sheet_id in BODY_SHEETS}


def _names(inputs: Row) -> list[str]:
    """Of all people, in the order in which they work: results computed from a shared copy have the same order."""
    rows = [*inputs["sessions"], *inputs["helpers"], *inputs["people"]]
    return list(dict.fromkeys(str(row["person"]) for row in rows if row.get("person")))


def _renamer(names: list[str]) -> Callable[[str], str]:
    aliases = {name.casefold(): f"worker {number}" for number, name in enumerate(names, start=1)}
    longest_first = sorted(names, key=len, reverse=True)
    if not names:
        return str
    pattern = re.compile(r"(?<!\w)(?:" + "|".join(map(re.escape, longest_first)) + r")(?!\w)", re.IGNORECASE)
    return lambda text: pattern.sub(lambda match: aliases[match[0].casefold()], text)


def _without_place(name: str, place: str) -> str:
    """Name of a season without the place, which people like to name it after."""
    if not place:
        return name
    return re.sub(rf"(?<!\w){re.escape(place)}(?!\w)", "the place", name, flags=re.IGNORECASE)


def _each_text(part: Any, change: Callable[[str], str]) -> Any:
    if isinstance(part, str):
        return change(part)
    if isinstance(part, list):
        return [_each_text(item, change) for item in part]
    if isinstance(part, dict):
        return {key: _each_text(item, change) for key, item in part.items()}
    return part


def _inputs(inputs: Row) -> Row:
    """The notes without private columns.

    Names of people stay, to be replaced: without them the exposure of two people on one day could not be told apart
    when the results are computed again.
    """
    kept: Row = dict(inputs)
    for sheet in season_definition().sheets:
        private = {column.id for column in sheet.columns if column.private and not _is_name(column)}
        if sheet.id in BODY_SHEETS:
            kept[sheet.id] = []
        elif sheet.kind == "items":
            kept[sheet.id] = {key: value for key, value in inputs[sheet.id].items() if key not in private}
        else:
            kept[sheet.id] = [
                {key: value for key, value in row.items() if key not in private} for row in inputs[sheet.id]
            ]
    kept["units"] = {
        sheet_id: {
            key: unit for key, unit in units.items() if not season_definition().sheet(sheet_id).column(key).private
        }
        for sheet_id, units in inputs["units"].items()
        if sheet_id not in BODY_SHEETS
    }
    return kept


def _is_name(column: Column) -> bool:
    return column.refers_to == "people.person" or column.required


def _private_words(results: Row) -> set[str]:
    """Titles of the sheets and columns whose problems tell something private."""
    definition = season_definition()
    columns = {column.title for sheet in definition.sheets for column in sheet.columns if column.private}
    return _body_titles() | columns | set(_names(results["inputs"]))


def _problem(row: Row, private_words: set[str]) -> Row:
    words = f"{row['sheet']} {row['column']} {row['text']}"
    if not any(word in words for word in private_words):
        return row
    return {**row, "text": catalogue()[row["code"]]["title"] + ".", "mend": ""}
