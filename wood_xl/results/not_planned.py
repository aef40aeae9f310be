"""Who is not planned for what, in words, and the cell that would change it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from wood_xl.plan.who_may import LeftOut, NotPlanned
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import words

STRICTER = "an assumption; local rules may be stricter"
WORDS = {
    NotPlanned.STILL_TO_ASK: "the doctor's word is still to ask: ask your doctor first",
    NotPlanned.NO_WORD: "a medicine slows the heart and the doctor's word is not given: ask your doctor first",
    NotPlanned.WAITS: "a cell has to be mended first",
    NotPlanned.UNDER_AGE: f"under 18: no engine, motor, axe or maul ({STRICTER})",
    NotPlanned.NO_AGE: f"the age is not written: no engine, motor, axe or maul ({STRICTER})",
    NotPlanned.NOT_TRAINED: "not listed as trained",
    NotPlanned.VERY_HIGH: "very high strain: ask your doctor first, or give the task to another who tried it",
    NotPlanned.NO_ONE_IN_SIGHT: (
        "nobody works alone at a powered saw, and no adult is there to stand in sight and do nothing else"
    ),
    NotPlanned.NOBODY: "nobody here may be planned for it",
    NotPlanned.NO_FIGURE: "a figure is missing",
    NotPlanned.TOO_DEAR: "what it has to buy costs more than the cash limit",
}
ANYBODY_ELSE = "of one more adult"

Row = dict[str, Any]


def left_out_rows(left_out: Sequence[LeftOut]) -> list[Row]:
    """What is not planned as the document lists it; of what nobody may do with the reasons of all."""
    return [
        {
            "person": one.person,
            "method": one.method,
            "reason": one.reason.value,
            "why": ": ".join(filter(None, (WORDS[one.reason], _detail(one, left_out)))),
            "change": _cell_words(one),
        }
        for one in left_out
    ]


def _detail(one: LeftOut, left_out: Sequence[LeftOut]) -> str:
    if one.reason is not NotPlanned.NOBODY:
        return words(one.detail)
    return "; ".join(dict.fromkeys(WORDS[o.reason] for o in left_out if o.person and o.method == one.method))


def _cell_words(one: LeftOut) -> str:
    """The cell by its titles; an address stays as it is."""
    sheet_id, _, column_id = one.cell.partition(".")
    definition = season_definition()
    if sheet_id not in {sheet.id for sheet in definition.sheets}:
        return one.cell
    sheet = definition.sheet(sheet_id)
    words = f"{sheet.title}, {sheet.column(column_id).title}"
    if sheet.kind == "items":
        return words
    return f"{words} of {one.row}" if one.row else f"{words} {ANYBODY_ELSE}"
