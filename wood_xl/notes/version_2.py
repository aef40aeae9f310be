"""From notes of a template of version 1 to those of version 2: what is called otherwise, and what moved."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

from wood_xl.notes.document import SeasonDocument, SheetPlaces
from wood_xl.notes.notes import TypedNotes
from wood_xl.notes.problem import number_text, problem
from wood_xl.schema.model import season_definition

HELD = {"yes": "own", "no": "to buy"}  # what "Bought already" said up to version 1.1

Item = tuple[str, str]


@cache
def moved_items() -> dict[Item, Item]:
    """Items that stood on another sheet up to version 1, with where they stand now; pairs of sheet and id."""
    moved = {}
    for sheet in season_definition().sheets:
        for column in sheet.columns:
            if column.moved_to:
                to_sheet, _, to_id = column.moved_to.partition(".")
                moved[sheet.id, column.id] = (to_sheet, to_id)
    return moved


def version_2(data: dict[str, Any]) -> dict[str, Any]:
    """The data of a season document of any version in the form of version 2; those of version 2 stay as they are.

    >>> version_2({"units": {}, "next_season": {"longest_session": 60}})["trial"]
    {'longest_session': 60}
    """
    new = {**data, "units": dict(data["units"])}
    for (sheet_id, item), (to_sheet, to_item) in moved_items().items():
        if item in new.get(sheet_id, {}):
            _move(new, sheet_id, item, to_sheet, to_item)
            _move(new["units"], sheet_id, item, to_sheet, to_item)
    if "tools" in new:
        new["tools"] = [_held(tool) for tool in new["tools"]]
    return new


def _move(sheets: dict[str, Any], sheet_id: str, item: str, to_sheet: str, to_item: str) -> None:
    """Move an item between two sheets; one that is filled there already stays."""
    if item in sheets.get(sheet_id, {}):
        here = dict(sheets[sheet_id])
        value = here.pop(item)
        sheets |= {sheet_id: here, to_sheet: {to_item: value, **sheets.get(to_sheet, {})}}


def _held(tool: dict[str, Any]) -> dict[str, Any]:
    if "bought_already" not in tool:
        return tool
    said = tool["bought_already"]
    return {key: value for key, value in tool.items() if key != "bought_already"} | {"held": HELD.get(said, said)}


def as_version_2(typed: TypedNotes) -> TypedNotes:
    """Notes as they were typed, with everything where version 2 has it."""
    document = typed.document
    moved = {old: new for old, new in moved_items().items() if new[1] not in _rows(document, new[0])}
    unread = {moved.get(column, column): why for column, why in typed.unread.items()}
    moved = {old: new for old, new in moved_items().items() if old[1] in _rows(document, old[0])}
    if not moved:
        return replace(typed, unread=unread)
    problems, places, unreadable = [*typed.problems], dict(document.places), set(typed.unreadable)
    for old, new in moved.items():
        values = [document.items(sheet_id).get(item) for sheet_id, item in (old, new)]
        units = [document.unit(sheet_id, item) for sheet_id, item in (old, new)]
        if None not in values and (values[0], units[0]) != (values[1], units[1]):
            at = [document.place(sheet_id, None, item) for sheet_id, item in (old, new)]
            shown = [f"{number_text(value)} {unit}" for value, unit in zip(values, units, strict=True) if value]
            for here, there in ((0, 1), (1, 0)):
                facts = {"found": shown[here], "where": at[there].where, "other": shown[there]}
                problems.append(problem("item-two-sheets", at[here], **facts))
            unreadable.add((new[0], None, new[1]))
        if (old[0], None, old[1]) in unreadable:
            unreadable.add((new[0], None, new[1]))
        if values[1] is None and old[1] in document.places[old[0]].item_rows:
            places[new[0]] = _with_place(document.places.get(new[0]), new[1], document.places[old[0]], old[1])
    return TypedNotes(replace(document, data=version_2(document.data), places=places), problems, unreadable, unread)


def _rows(document: SeasonDocument, sheet_id: str) -> dict[str, int]:
    return document.places[sheet_id].item_rows if sheet_id in document.places else {}


def _with_place(to: SheetPlaces | None, to_item: str, source: SheetPlaces, item: str) -> SheetPlaces:
    """Places of a sheet with an item that stands on another one."""
    to = to or SheetPlaces(source.title)
    return replace(
        to,
        columns={**to.columns, to_item: source.columns[item]},
        item_rows={**to.item_rows, to_item: source.item_rows[item]},
        headers={**to.headers, to_item: source.headers[item]},
        titles={**to.titles, to_item: source.titles.get(item, source.title)},
    )
