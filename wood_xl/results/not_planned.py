"""What is not planned, with the cell that would change it by its titles."""

from __future__ import annotations

from collections.abc import Sequence

from wood_xl.pages import InResults
from wood_xl.plan.tables import LeftOutRow
from wood_xl.plan.who_may import LeftOut
from wood_xl.reasons import Said, said, several
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import phrase
from wood_xl.verdicts import NotPlanned, WhyNot


def left_out_rows(left_out: Sequence[LeftOut]) -> list[LeftOutRow]:
    """One row for each; of what nobody may do with the reasons of all."""
    return [
        LeftOutRow(person=one.person, method=one.method, why=_why(one, left_out), change=_cell_words(one))
        for one in left_out
    ]


def _why(one: LeftOut, left_out: Sequence[LeftOut]) -> Said:
    detail = one.detail
    if one.reason is NotPlanned.NOBODY_MAY:
        detail = several([said(o.reason) for o in left_out if o.person and o.method == one.method])
    return said(one.reason) if detail is None else said(WhyNot.DETAILED, reason=one.reason, detail=detail)


def _cell_words(one: LeftOut) -> str:
    """The cell by its titles; an address stays as it is."""
    sheet_id, _, column_id = one.cell.partition(".")
    definition = season_definition()
    if sheet_id not in {sheet.id for sheet in definition.sheets}:
        return one.cell
    sheet = definition.sheet(sheet_id)
    cell = f"{sheet.title}, {sheet.column(column_id).title}"
    if sheet.kind == "items":
        return cell
    return phrase(InResults.CELL_OF if one.row else InResults.CELL_OF_ONE_MORE, cell=cell, row=one.row)
