"""The two workbooks of a trial: the person's own with its sessions listed and the plan, and one of paper forms."""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import replace
from typing import Any

from openpyxl import Workbook

from wood_xl.data.trade import tasks
from wood_xl.io.carry import carried_workbook, units_and_currency
from wood_xl.io.fill import type_into
from wood_xl.io.forms import Planned, write_bucking_form, write_splitting_form
from wood_xl.io.looks import dress
from wood_xl.io.page import Paper
from wood_xl.io.template import FIRST_ROW, column_number, print_down_to, unfold
from wood_xl.io.template_style import entry_look
from wood_xl.io.trial_sheet import cautions_of, day_words, write_trial_plan
from wood_xl.notes.raw import Cells, RawBook, RawSheet
from wood_xl.schema.layout import HEADER_ROW, TRIAL_PLAN_TITLE
from wood_xl.schema.model import System, season_definition
from wood_xl.schema.words import phrase
from wood_xl.template_texts import OnPaper
from wood_xl.trial_records import TrialPlan, TrialSession
from wood_xl.trial_texts import OnTrialForm

Rows = Mapping[str, Set[int]]


def trial_copy(book: RawBook, plan: TrialPlan, listed_before: Rows, *, currency: str, paper: Paper) -> Workbook:
    """Everything that is typed into a workbook, in the template of today, with the sessions to come and the plan.

    listed_before: rows by sheet that an older plan listed and nobody filled.
    """
    system, typed = units_and_currency(book)
    sheets = tuple(_without(sheet, listed_before.get(sheet.title, frozenset())) for sheet in book.sheets)
    workbook = carried_workbook(replace(book, sheets=sheets), system=system, currency=typed or currency, paper=paper)
    rows = dict[str, int]()
    for one in plan.sessions:
        row = {"session": one.name, "date": one.date, "method": one.method, "person": one.person, "lot": one.pile}
        _list(workbook, rows, "sessions", row, system)
        _list(workbook, rows, "tally" if tasks()[one.task].is_sawn else "stacks", {"session": one.name}, system)
        for helper in one.helpers:
            _list(workbook, rows, "helpers", {"session": one.name, "person": helper}, system)
    write_trial_plan(workbook.create_sheet(TRIAL_PLAN_TITLE, 1), plan, paper)
    return workbook


def _without(sheet: RawSheet, rows: Set[int]) -> RawSheet:
    """The sheet without some rows; those below move up."""
    if not rows:
        return sheet
    up = {row: sum(one < row for one in rows) for row, _ in sheet.cells}
    return replace(
        sheet, cells=Cells({(r - up[r], c): cell for (r, c), cell in sheet.cells.items() if r not in rows})
    )


def _list(workbook: Workbook, rows: dict[str, int], sheet_id: str, row: Mapping[str, str], system: System) -> None:
    """Type a row below the last one of its sheet that holds anything; ``rows`` has that of each sheet."""
    sheet = season_definition().sheet(sheet_id)
    page: Any = workbook[sheet.title]
    if sheet_id not in rows:
        filled = [cell.row for cells in page.iter_rows(min_row=FIRST_ROW) for cell in cells if cell.value is not None]
        rows[sheet_id] = max(filled, default=HEADER_ROW)
    rows[sheet_id] += 1
    for column_id, value in row.items():
        column, number = sheet.column(column_id), column_number(sheet, column_id, system)
        cell = page.cell(rows[sheet_id], number)
        dress(cell, entry_look(column))
        type_into(cell, column, value)
        unfold(page, [number])
    print_down_to(page, rows[sheet_id])


def trial_forms(plan: TrialPlan, *, system: System, currency: str, paper: Paper) -> Workbook:
    """A sheet of paper for each session, with what is known of it filled in."""
    workbook = Workbook()
    workbook.remove(workbook.worksheets[0])
    definition = season_definition()
    for one in plan.sessions:
        write = write_bucking_form if tasks()[one.task].is_sawn else write_splitting_form
        planned = _planned(plan, one)
        write(workbook.create_sheet(one.name), definition, system, currency, paper, planned)
    return workbook


def _planned(plan: TrialPlan, one: TrialSession) -> Planned:
    turns_n = max(other.turn for other in plan.sessions if other.day == one.day)
    filled = {
        "sessions.session": (one.name,),
        "sessions.date": (day_words(one.date),),
        "sessions.person": (one.person,),
        "sessions.lot": (one.pile,),
        "sessions.method": (one.method,),
        "helpers.person": one.helpers,
    }
    safety = [phrase(OnPaper.SAFETY, title=c.title, text=c.text) for c in cautions_of(plan, [one.method])]
    if one.in_sight:
        safety.append(phrase(OnTrialForm.IN_SIGHT, person=one.in_sight))
    safety.append(phrase(OnTrialForm.LONGEST, minutes=one.minutes))
    corner = phrase(OnTrialForm.CORNER, day=one.day, turn=one.turn, turns=turns_n)
    return Planned(filled, corner, safety)
