"""The cautions that precede everything that proposes work."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from wood_xl.data.cautions import cautions, cautions_for
from wood_xl.data.trade import tasks as all_tasks
from wood_xl.data.trade import tool_kinds
from wood_xl.notes.names import plain
from wood_xl.notes.relations import TOOL_COLUMNS
from wood_xl.page_texts import OfCautions, OnPages
from wood_xl.schema.words import phrase, words

MOST_CAUTIONS = 3  # for tools; those for all work follow
NO_FIGURE_ID = "no_figure"

Row = dict[str, Any]
Tables = dict[str, list[Row]]


def proposed_methods(tables: Tables) -> set[str]:
    """Methods that results propose (advised, best at something or planned), or that are open or not timed."""
    methods = {row["choice"] for row in tables["verdicts"] if row["choice"]}
    open_tasks = {row["task"] for row in tables["verdicts"] if not row["choice"]}
    rates = tables["rates_per_cord"]
    methods |= {row["method"] for row in rates if row["task"] in open_tasks or not row["sessions_n"]}
    methods |= {method for row in tables["winners"] for method in row["method"]}
    methods |= {row["method"] for row in tables["plan_mix"]}
    return methods | {row[part] for row in tables["trials"] for part in ("first", "then")}


def first_cautions(notes: Row, proposed: Collection[str]) -> list[Row]:
    """Cautions for the proposed methods, or for all methods if none is proposed."""
    kinds = {plain(str(row.get("tool", ""))): row.get("kind") for row in notes["tools"]}
    caution_ids: set[str] = set()
    for row in notes["methods"]:
        if row.get("task") in all_tasks() and (not proposed or row.get("method") in proposed):
            named = [kinds.get(plain(str(row[column]))) for column in TOOL_COLUMNS if column in row]
            kind_ids = [kind if kind in tool_kinds() else None for kind in named]
            caution_ids |= {caution.id for caution in cautions_for(kind_ids, row["task"])}
    return gravest_cautions(caution_ids)


def gravest_cautions(caution_ids: Collection[str]) -> list[Row]:
    """The gravest of some cautions, those for all work, and that no figure counts the risk of injury."""
    ranked = sorted((c for c in cautions() if c.gravity is not None), key=lambda c: c.gravity or 0)
    of_tools = [c for c in ranked if c.id in caution_ids and c.is_first]
    most = MOST_CAUTIONS + sum(not c.wear for c in of_tools)  # one without gear, as of felling, hides no gear
    chosen = [*of_tools[:most], *(c for c in ranked if c.is_for_all)]
    rows = [{"id": c.id, "title": c.title, "text": c.text} for c in chosen]
    no_figure, general = OfCautions.NO_FIGURE, OfCautions.GENERAL
    text = phrase(OfCautions.NOT_COUNTED, no_figure=no_figure, general=general, sheet=OnPages.HOW_WE_KNOW)
    return [*rows, {"id": NO_FIGURE_ID, "title": words(OfCautions.RISK), "text": text}]
