"""Figures that are given without what waits for a mend: each says so, with the cell.

As measured nothing moves because a cell cannot be read: such figures stand, or are not given. All that goes through
the model of the sessions, or weighs methods against each other, may move.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from wood_xl.draws.figure import Figure
from wood_xl.reasons import Basis, Said, said, several
from wood_xl.records import Season
from wood_xl.schema.model import results_definition, season_definition

MEASURED = {  # tables of what was noted, by session, person, pile or method
    *("methods", "sessions", "lots", "people", "efforts", "traces", "strain", "shift_rest"),
    *("exposures", "log_sizes"),
}
OF_STOCK = {"stock", "stock_by_dryness", "stock_months", "stock_winters"}  # these name what they are without
MEASURED_COLUMNS = ("equal_terms.measured", "limits.logs_of_one", "limits.logs_of_other")
HOURS = {"time", "quantity", "pile", "days", "hands"}
AIR = HOURS | {"money", "emissions", "exposure"}
MOVING = {  # what a cell that waits feeds, and thereby moves in figures of each topic, or of a table
    "hours": HOURS,
    "surety": HOURS,
    "body": HOURS | {"effort"},
    "money": HOURS | {"money", "exposure"},
    "air": AIR,
    "food": AIR | {"effort"},
    "warmth": HOURS | {"heat"},
    "energy_return": AIR | {"heat"},
}
STOCK = "stock"  # moves its own tables, which say so themselves, and the plan
FIGURE_TOPICS = {"kcal_net": "body", "kcal_gross": "body", "cash": "money", "co2e": "air"}


def waiting_topics(season: Season) -> dict[str, str]:
    """What waits for a mend anywhere in the notes, by the topic that it feeds, with the first cell of each."""
    topics: dict[str, str] = {}
    for records in (season.sessions, season.methods, season.tools, season.people):
        for record in records:
            for topic, cell in record.broken.items():
                if topic != STOCK:
                    topics.setdefault(topic, cell)
    items = {column.id: column for column in season_definition().sheet("season").columns}
    for item, cell in season.broken.items():
        for topic in items[item].feeds if item in items else ("heat",):
            topics.setdefault(topic, cell)
    for cell in season.next_season.broken.values():
        topics.setdefault("plan", cell)
    of_bodies = topics.pop("effort", None)  # last: copies to share, which are without it, name the same cell
    return topics if of_bodies is None else {**topics, "effort": of_bodies}


def marked_tables(tables: Mapping[str, Sequence[Any]], season: Season) -> Mapping[str, Sequence[Any]]:
    """The tables with a basis on each figure that the wait moves, or may move."""
    topics = waiting_topics(season)
    if not topics:
        return tables
    return {
        table: rows if table in MEASURED or table in OF_STOCK else [_marked(table, row, topics) for row in rows]
        for table, rows in tables.items()
    }


def marked_items(items: Mapping[str, Any], season: Season) -> dict[str, Any]:
    """The same for the items of a plan, which weighs everything."""
    of_stock = (cell for stack in season.woodshed for cell in stack.broken.values())
    cell = next(iter(waiting_topics(season).values()), next(of_stock, None))
    return {key: item if cell is None else _without(item, cell) for key, item in items.items()}


def _marked(table: str, row: Mapping[str, Any], topics: Mapping[str, str]) -> Mapping[str, Any]:
    sheet = results_definition().sheet(table)
    changed = {}
    for column in sheet.columns:
        cell = row.get(column.id)
        if not isinstance(cell, Figure) or cell.value is None or column.ref in MEASURED_COLUMNS:
            continue
        topic = FIGURE_TOPICS.get(str(row.get("figure"))) or column.topic or sheet.topic
        moving = MOVING.get(table, MOVING.get(topic))
        waiting = next((cell for topic, cell in topics.items() if moving is None or topic in moving), None)
        if waiting is not None:
            changed[column.id] = _without(cell, waiting)
    return {**row, **changed} if changed else row


def _without(cell: Any, waiting: str) -> Any:
    if not isinstance(cell, Figure) or cell.value is None:
        return cell
    told: list[Said] = [] if cell.basis is None else [cell.basis]
    return replace(cell, basis=several([*told, said(Basis.WITHOUT_WAITING, cell=waiting)]))
