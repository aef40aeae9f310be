"""Marks figures that leave out notes waiting for a mend, and names the cell.

A broken cell does not change what was measured elsewhere: such figures stand, or are not given. Figures from the
model of the sessions, or from comparing methods, may change once it is mended.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from wood_xl.draws.figure import Figure
from wood_xl.reasons import Basis, Said, said, several
from wood_xl.records import Season
from wood_xl.schema.model import results_definition, season_definition

MEASURED = {  # tables of measurements, by session, person, pile or method
    *("methods", "sessions", "lots", "people", "efforts", "traces", "strain", "shift_rest"),
    *("exposures", "log_sizes"),
}
OF_STOCK = {"stock", "stock_by_dryness", "stock_months", "stock_winters"}  # these tables name what they leave out
MEASURED_COLUMNS = ("equal_terms.measured", "limits.logs_of_one", "limits.logs_of_other")
HOURS = {"time", "quantity", "pile", "days", "hands"}
AIR = HOURS | {"money", "emissions", "exposure"}
AFFECTED_BY = {  # topics of waiting cells that affect the figures of a topic or table; others are affected by all
    "hours": HOURS,
    "surety": HOURS,
    "body": HOURS | {"effort"},
    "money": HOURS | {"money", "exposure"},
    "air": AIR,
    "food": AIR | {"effort"},
    "warmth": HOURS | {"heat"},
    "energy_return": AIR | {"heat"},
}
STOCK = "stock"  # affects only its own tables, which say so, and the plan
FIGURE_TOPICS = {"kcal_net": "body", "kcal_gross": "body", "cash": "money", "co2e": "air"}


def waiting_topics(season: Season) -> dict[str, str]:
    """Topics with a cell that waits for a mend, each with its first cell."""
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
    effort_cell = topics.pop("effort", None)  # last, so that shared copies, which lack it, name the same cell
    return topics if effort_cell is None else {**topics, "effort": effort_cell}


def marked_tables(tables: Mapping[str, Sequence[Any]], season: Season) -> Mapping[str, Sequence[Any]]:
    """The tables, with a note on each figure that a waiting cell may change."""
    topics = waiting_topics(season)
    if not topics:
        return tables
    return {
        table: rows if table in MEASURED or table in OF_STOCK else [_marked(table, row, topics) for row in rows]
        for table, rows in tables.items()
    }


def marked_items(items: Mapping[str, Any], season: Season) -> dict[str, Any]:
    """The items of a plan, with the same note; a plan depends on everything."""
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
        affecting = AFFECTED_BY.get(table, AFFECTED_BY.get(topic))
        waiting = next((cell for topic, cell in topics.items() if affecting is None or topic in affecting), None)
        if waiting is not None:
            changed[column.id] = _without(cell, waiting)
    return {**row, **changed} if changed else row


def _without(item: Any, waiting: str) -> Any:
    if not isinstance(item, Figure) or item.value is None:
        return item
    basis: list[Said] = [] if item.basis is None else [item.basis]
    return replace(item, basis=several([*basis, said(Basis.WITHOUT_WAITING, cell=waiting)]))
