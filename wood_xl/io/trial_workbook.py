"""The two workbooks of a trial: the person's own with its sessions listed and the plan, and one of paper forms."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import replace
from typing import Any

from openpyxl import Workbook
from openpyxl.utils import get_column_letter

from wood_xl.data.cautions import Caution, cautions, cautions_for
from wood_xl.data.load import value
from wood_xl.data.trade import tasks
from wood_xl.io import looks, measure
from wood_xl.io.entry_rules import Kit, entry_look, is_text
from wood_xl.io.fill import carried_workbook, make_room, type_into, units_and_currency
from wood_xl.io.forms import Planned, write_bucking_form, write_splitting_form
from wood_xl.io.looks import Look, dress, varied
from wood_xl.io.page import (
    GREEN_TAB,
    INDENT_WIDTH,
    Paper,
    join,
    keep_whole,
    page_points,
    set_up_page,
    set_widths,
    text_cell,
)
from wood_xl.io.template import FIRST_ROW, ROW_POINTS, print_down_to, unfold
from wood_xl.notes.names import called
from wood_xl.notes.raw import Cells, RawBook, RawSheet
from wood_xl.pages import InResults, Month, OnPaper
from wood_xl.reasons import Listing
from wood_xl.schema.layout import HEADER_ROW, TRIAL_DAYS_TITLE, TRIAL_PLAN_TITLE
from wood_xl.schema.model import System, season_definition
from wood_xl.schema.words import capital, phrase, words
from wood_xl.trial_records import Chance, NotTried, OnTrialForm, OnTrialPlan, TrialOfTask, TrialPlan, TrialSession
from wood_xl.verdicts import Weekday

WIDTHS = (14.5, 7.0, 10.0, 15.5, 20.0, 6.0, 12.5, 25.0)
COLUMNS = len(WIDTHS)
HEADS = (
    OnTrialPlan.DAY,
    OnTrialPlan.TURN,
    OnTrialPlan.SESSION,
    OnTrialPlan.PERSON,
    OnTrialPlan.METHOD,
    OnTrialPlan.PILE,
    OnTrialPlan.IN_SIGHT,
    OnTrialPlan.ON_THAT_DAY,
)
CHANCE_SPANS, LEFT_OUT_SPANS = (3, 1, 1, 3), (2, 3, 3)
SECTION_POINTS, GAP_POINTS = 22.0, 4.0
LEAST_SCALE = 0.8  # of a page for the wall, beside that which its width asks for
LINE = varied(looks.PLAIN, vertical="center")
HEAD = varied(looks.FRAME_HEADER, border="box", vertical="center")
CELL = varied(looks.PLAIN, border="box", vertical="center")
FIRST_CELL = varied(CELL, bold=True)
WALL, WALL_FIRST = varied(CELL, size=11.0), varied(CELL, size=11.0, bold=True)  # is read from a step away
AT_WORK = ("heart", "alone", "bleeding")


def write_trial_plan(page: Any, plan: TrialPlan, paper: Paper) -> None:
    """Fill the sheet with what the trial can tell, and with who is left out and why."""
    writer = _Writer(page, words(OnTrialPlan.TITLE), plan)
    _tells(writer, plan)
    _left_out(writer, plan)
    set_up_page(page, paper, WIDTHS, down_to=writer.row - 1, upright=True)


def write_trial_days(page: Any, plan: TrialPlan, paper: Paper) -> None:
    """Fill the sheet for the wall with the cautions and who does what, on one page if that can still be read.

    It is a sheet of its own because the plan says for what reason of health somebody is left out.
    """
    writer = _Writer(page, TRIAL_DAYS_TITLE, plan)
    _before(writer, plan)
    head, days = _does(writer, plan)
    last = writer.row - 1
    set_up_page(page, paper, WIDTHS, down_to=last, upright=True)
    height = sum(page.row_dimensions[row].height for row in range(1, last + 1))
    if height * LEAST_SCALE <= min(page_points(page, paper, WIDTHS)):
        page.page_setup.fitToHeight = 1
    else:
        keep_whole(page, paper, WIDTHS, [1, *days[1:]], page.row_dimensions[head].height)


class _Writer:
    """Writes a sheet downwards from its title on; ``row`` is the next row."""

    def __init__(self, page: Any, title: str, plan: TrialPlan) -> None:
        self.page, self.row = page, 1
        set_widths(page, WIDTHS)
        page.sheet_properties.tabColor = GREEN_TAB
        self.text(title, looks.SHEET_TITLE)
        self.text(_subtitle(plan), looks.EXAMPLE if plan.is_invented else looks.HELP)

    def text(self, text: str, look: Look = LINE) -> None:
        self.cells([text], (COLUMNS,), look)

    def gap(self) -> None:
        self.page.row_dimensions[self.row].height = GAP_POINTS
        self.row += 1

    def section(self, what: OnTrialPlan) -> None:
        self.gap()
        self.text(words(what), looks.TITLE)
        self.page.row_dimensions[self.row - 1].height = SECTION_POINTS

    def cells(self, texts: Sequence[str], spans: Sequence[int], look: Look, first: Look | None = None) -> None:
        """A row of texts, each over so many columns, high enough for all of them."""
        at, lines = 1, 1
        for text, span in zip(texts, spans, strict=True):
            own = first if first is not None and at == 1 else look
            for number in range(at, at + span):
                text_cell(self.page, self.row, number, text if number == at else "", own, indent=bool(own.border))
            join(self.page, self.row, at, span)
            width = sum(WIDTHS[at - 1 : at - 1 + span]) - (INDENT_WIDTH if own.border else 0.0)
            lines = max(lines, measure.line_count(text, width, own.size, own.bold))
            at += span
        height = measure.row_height(lines, look.size)
        self.page.row_dimensions[self.row].height = max(height, ROW_POINTS if look.border else 0.0)
        self.row += 1


def day_words(date: str) -> str:
    """A day as people write it on a wall: Sat Mar 6."""
    day = dt.date.fromisoformat(date)
    weekday, month = words([*Weekday][day.weekday()])[:3], words([*Month][day.month - 1])[:3]
    return phrase(OnTrialPlan.DATE, weekday=weekday, month=month, day=day.day)


def _number_of(one: OnTrialPlan, n: int) -> str:
    """So many of something; one of it without the s."""
    text = phrase(one, n=n)
    return text.removesuffix("s") if n == 1 else text


def _subtitle(plan: TrialPlan) -> str:
    dates = sorted({one.date for one in plan.sessions})
    people_n = len({name for one in plan.sessions for name in one.workers})
    span = phrase(OnTrialPlan.FROM_TO, first=day_words(dates[0]), last=day_words(dates[-1]), year=dates[-1][:4])
    return phrase(
        OnTrialPlan.SUBTITLE,
        season=plan.season,
        days=_number_of(OnTrialPlan.DAYS_N, len(dates)),
        people=words(OnTrialPlan.ONE_N) if people_n == 1 else phrase(OnTrialPlan.PEOPLE_N, n=people_n),
        methods=_number_of(OnTrialPlan.METHODS_N, len({one.method for one in plan.sessions})),
        span=span if len(dates) > 1 else f"{day_words(dates[0])}, {dates[0][:4]}",
    )


def _tells(writer: _Writer, plan: TrialPlan) -> None:
    writer.section(OnTrialPlan.TELLS)
    held = [task for task in plan.tasks if task.days_n]
    for task in held:
        told = OnTrialPlan.PAIRS_DONE if task.done_n else OnTrialPlan.PAIRS
        writer.text(
            phrase(
                told,
                task=_name(task),
                people=task.people,
                methods=task.methods,
                days=_number_of(OnTrialPlan.DAY_N, task.days_n),
                pairs=_number_of(OnTrialPlan.PAIR_N, task.pairs_n),
                done=_number_of(OnTrialPlan.PAIR_N, task.done_n),
            )
        )
    told = OnTrialPlan.CHANCE_OF_REST if all(map(_is_measured, held)) else OnTrialPlan.CHANCE_HELP
    writer.text(f"{words(OnTrialPlan.PAIR_IS)} {words(told)}")
    heads = [words(OnTrialPlan.TASK), words(OnTrialPlan.LONGER_BY), words(OnTrialPlan.CHANCE)]
    heads.append(phrase(OnTrialPlan.WOULD_TAKE, tenths=10 * value("model.further_chance")))
    writer.cells(heads, CHANCE_SPANS, HEAD)
    for task in held:
        for at, chance in enumerate(task.chances):
            writer.cells(_chance_cells(plan, task, chance, is_first=at == 0), CHANCE_SPANS, CELL, FIRST_CELL)
    for text in _remarks(plan, held):
        writer.text(text)


def _chance_cells(plan: TrialPlan, task: TrialOfTask, chance: Chance, *, is_first: bool) -> list[str]:
    if chance.difference_frac is None:
        told = chance_words(chance.chance or 0.0) if chance.pairs_n != 0 else words(OnTrialPlan.SETTLED)
        title = f"{capital(_name(task))}: {_number_of(OnTrialPlan.MORE_PAIR_N, task.pairs_n - task.done_n)}"
        return [title, words(OnTrialPlan.AS_MEASURED), told, _would_take(chance, words(OnTrialPlan.MORE))]
    is_own = chance.difference_frac == plan.wanted.difference_frac
    by = phrase(OnTrialPlan.PERCENT_YOURS if is_own else OnTrialPlan.PERCENT, percent=100 * chance.difference_frac)
    title = f"{capital(_name(task))}: {_number_of(OnTrialPlan.PAIR_N, task.pairs_n)}"
    told = words(OnTrialPlan.TOO_FEW) if chance.chance is None else chance_words(chance.chance)
    return [title if is_first else "", by, told, _would_take(chance)]


def _would_take(chance: Chance, more: str = "") -> str:
    """Pairs and days that make a verdict likely; ``more``: beside those that are done."""
    if chance.pairs_n is None or chance.days_n is None:
        most = _number_of(OnTrialPlan.PAIR_N if more else OnTrialPlan.DAY_N, int(value("model.further_days")))
        return phrase(OnTrialPlan.OUT_OF_REACH, most=most, more=more)
    if not chance.pairs_n:
        return words(OnTrialPlan.NO_MORE)
    pairs, days = _number_of(OnTrialPlan.PAIR_N, chance.pairs_n), _number_of(OnTrialPlan.DAY_N, chance.days_n)
    return phrase(OnTrialPlan.NEEDED, pairs=pairs, days=days, more=more)


def _is_measured(task: TrialOfTask) -> bool:
    return any(chance.difference_frac is None for chance in task.chances)


def chance_words(chance: float) -> str:
    """A chance in tenths.

    >>> chance_words(0.04), chance_words(0.37), chance_words(0.96)
    ('under 1 in 10', '4 in 10', 'over 9 in 10')
    """
    if chance < 0.1:
        return words(OnTrialPlan.UNDER)
    return words(OnTrialPlan.OVER) if chance > 0.9 else phrase(OnTrialPlan.TENTHS, n=round(10 * chance))


def _remarks(plan: TrialPlan, held: Sequence[TrialOfTask]) -> Iterator[str]:
    least = int(value("trials.least_pairs"))
    for task in held:
        if task.pairs_n < least and not _is_measured(task):
            yield phrase(OnTrialPlan.FEW, task=_name(task), n=least)
        if len(task.people) == 1:
            yield phrase(OnTrialPlan.ONE_PERSON, task=_name(task), person=task.people[0])
        others = tuple(name for name in task.methods if name not in task.saws)
        if task.saws and others:
            yield phrase(OnTrialPlan.SAW_FIRST, task=_name(task), saws=task.saws, others=others)
        for group in (task.saws, others):
            if len(group) > 1:
                told = OnTrialPlan.NOT_SWAPPED if set(group) & set(task.unbalanced) else OnTrialPlan.SWAPPED
                yield phrase(told, task=_name(task), methods=group)
        if task.uneven:
            yield phrase(OnTrialPlan.UNEVEN, task=_name(task), people=task.uneven)
    without = tuple(_name(task) for task in plan.tasks if not task.days_n)
    if without:
        yield phrase(OnTrialPlan.NO_DAY, tasks=without)
    for name in plan.nothing:
        yield phrase(OnTrialPlan.NOTHING, task=tasks()[name].name)
    yield words(OnTrialPlan.MORE_DAYS)


def _name(task: TrialOfTask) -> str:
    return tasks()[task.task].name


def _left_out(writer: _Writer, plan: TrialPlan) -> None:
    if not plan.not_tried:
        return
    writer.section(OnTrialPlan.LEFT_OUT)
    heads = [words(one) for one in (OnTrialPlan.PERSON, OnTrialPlan.OF_METHODS, OnTrialPlan.WHY)]
    writer.cells(heads, LEFT_OUT_SPANS, HEAD)
    order = [*dict.fromkeys(one.person for one in plan.not_tried if one.person), ""]
    alike: dict[tuple[NotTried, bool, bool], list[str]] = {}  # a class is left out of the same for one reason
    of_persons = {method for one in plan.not_tried if one.person for method in one.methods}
    told = [one for one in plan.not_tried if one.person or one.cell or not of_persons.issuperset(one.methods)]
    for one in sorted(told, key=lambda one: order.index(one.person)):
        is_own = bool(one.row) and one.row == one.person
        key = one._replace(person="", row="" if is_own else one.row), is_own, bool(one.person)
        alike.setdefault(key, []).append(one.person)
    for (one, is_own, is_somebody), persons in alike.items():
        who = phrase(Listing.COMMAS, parts=tuple(persons)) if is_somebody else words(OnTrialPlan.NOBODY)
        why = _why(one, persons if is_own else [one.row] if one.row else [])
        writer.cells([who, ", ".join(one.methods), why], LEFT_OUT_SPANS, CELL, FIRST_CELL)


def _why(one: NotTried, rows: Sequence[str]) -> str:
    """Why, with the cell; ``rows``: names of the rows in which it stands."""
    if not one.cell:
        return f"{capital(words(one.why))}."
    sheet_id = one.cell.partition(".")[0]
    definition = season_definition()
    cell = one.cell
    if sheet_id in {sheet.id for sheet in definition.sheets}:
        cell = f"{definition.sheet(sheet_id).title}, {definition.column(one.cell).title}"
        told = InResults.CELL_OF if rows else InResults.CELL_OF_ONE_MORE
        cell = phrase(told, cell=cell, row=phrase(Listing.COMMAS, parts=tuple(rows)))
    return phrase(OnTrialPlan.WHY_AND_CELL, why=one.why, cell=cell)


def cautions_of(plan: TrialPlan, methods: Sequence[str]) -> list[Caution]:
    """Cautions that stand first for methods of the plan, in the order in which they are printed."""
    task_of = {one.method: one.task for one in plan.sessions}
    found = {c.id for name in methods for c in cautions_for(plan.kinds[name], task_of[name]) if c.is_first}
    return [caution for caution in cautions() if caution.id in found]


def _before(writer: _Writer, plan: TrialPlan) -> None:
    writer.section(OnTrialPlan.BEFORE)
    for text in _before_work(plan):
        writer.text(f"\N{BULLET}  {text}")


def _before_work(plan: TrialPlan) -> Iterator[str]:
    methods = list(dict.fromkeys(one.method for one in plan.sessions))
    for_all = [caution for caution in cautions() if caution.id in AT_WORK]
    for caution in [*cautions_of(plan, methods), *for_all]:
        yield phrase(OnPaper.SAFETY, title=caution.title, text=caution.text)
    if any(one.in_sight for one in plan.sessions):
        yield words(OnTrialPlan.STAYS_IN_SIGHT)
    for task in (task for task in plan.tasks if task.days_n):
        hours = task.longest_day_min / 60
        yield phrase(OnTrialPlan.LONGEST, task=_name(task), minutes=task.minutes, hours=f"{hours:.3g}")
    working = {name for one in plan.sessions for name in one.workers}
    keep = tuple(name for name in plan.minors if name not in working)
    if keep:
        yield phrase(OnTrialPlan.HELPS, people=keep)
    for told in (OnTrialPlan.REST, OnTrialPlan.PARTS, OnTrialPlan.MEASURE, OnTrialPlan.AS_WRITTEN):
        yield phrase(told, seed=plan.wanted.seed)


def _does(writer: _Writer, plan: TrialPlan) -> tuple[int, list[int]]:
    """Write the table; returns the rows of its header and of the first session of each day."""
    writer.gap()
    head, days = writer.row, list[int]()
    writer.page.print_title_rows = f"{head}:{head}"
    spans = (1,) * COLUMNS
    writer.cells([words(one) for one in HEADS], spans, HEAD)
    before: TrialSession | None = None
    for one in plan.sessions:
        is_new = before is None or one.day != before.day
        days += [writer.row] * is_new
        texts = [
            day_words(one.date) if is_new else "",
            "" if before is not None and not is_new and one.turn == before.turn else str(one.turn),
            one.name,
            called(one.person, _everybody(plan)),
            one.method,
            one.pile,
            called(one.in_sight, _everybody(plan)),
            "; ".join(_to_mind(plan, one, before, is_new=is_new)),
        ]
        writer.cells(texts, spans, WALL, WALL_FIRST)
        before = one
    return head, days


def _everybody(plan: TrialPlan) -> set[str]:
    """All who are named anywhere in a plan."""
    there = {name for one in plan.sessions for name in (one.person, one.in_sight, *one.helpers)}
    return there | {one.person for one in plan.not_tried} | set(plan.minors)


def _to_mind(plan: TrialPlan, one: TrialSession, before: TrialSession | None, *, is_new: bool) -> Iterator[str]:
    of_day = [other for other in plan.sessions if other.day == one.day]
    if is_new:
        pile = next((other.pile for other in of_day if not other.makes_up), one.pile)
        on_pile = [o for o in plan.sessions if (o.task, o.pile, o.makes_up) == (one.task, pile, False)]
        begun = any(other.day < one.day for other in on_pile)
        yield phrase(OnTrialPlan.GOES_ON if begun else OnTrialPlan.MARK_PARTS, pile=pile, n=len(on_pile))
    if one.helpers:
        yield phrase(OnTrialPlan.HELPED_BY, people=one.helpers)
    if one.rests:
        yield words(OnTrialPlan.REST_FIRST)
    saws = {name for task in plan.tasks for name in task.saws}
    if before is not None and before.method in saws and one.method not in saws and not is_new:
        yield words(OnTrialPlan.SAW_AWAY)
    if one.makes_up:
        yield words(OnTrialPlan.MAKES_UP)


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
    write_trial_days(workbook.create_sheet(TRIAL_DAYS_TITLE, 2), plan, paper)
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
    for column_id, entry in row.items():
        column, number = sheet.column(column_id), sheet.number_of(column_id, system)
        cell = page.cell(rows[sheet_id], number)
        dress(cell, entry_look(column))
        type_into(cell, column, entry)
        unfold(page, [number])
        if is_text(column):
            make_room(page, cell.row, entry, page.column_dimensions[get_column_letter(number)].width)
    higher = (page.row_dimensions[rows[sheet_id]].height or ROW_POINTS) - ROW_POINTS
    print_down_to(page, rows[sheet_id], higher=higher)


def trial_forms(plan: TrialPlan, *, system: System, currency: str, paper: Paper) -> Workbook:
    """A sheet of paper for each session, with what is known of it filled in."""
    workbook = Workbook()
    workbook.remove(workbook.worksheets[0])
    kit = Kit(system, currency, paper)
    for one in plan.sessions:
        write = write_bucking_form if tasks()[one.task].is_sawn else write_splitting_form
        write(workbook.create_sheet(one.name), kit, _planned(plan, one))
    return workbook


def _planned(plan: TrialPlan, one: TrialSession) -> Planned:
    turns_n = max(other.turn for other in plan.sessions if other.day == one.day)
    filled: dict[str | OnPaper, Sequence[str]] = {
        "sessions.session": (one.name,),
        "sessions.date": (day_words(one.date),),
        "sessions.person": (called(one.person, _everybody(plan)),),
        "sessions.lot": (one.pile,),
        "sessions.method": (one.method,),
        "helpers.person": tuple(called(helper, _everybody(plan)) for helper in one.helpers),
    }
    safety = [phrase(OnPaper.SAFETY, title=c.title, text=c.text) for c in cautions_of(plan, [one.method])]
    if one.in_sight:
        safety.append(phrase(OnTrialForm.IN_SIGHT, person=one.in_sight))
    safety.append(phrase(OnTrialForm.LONGEST, minutes=one.minutes))
    corner = phrase(OnTrialForm.CORNER, day=one.day, turn=one.turn, turns=turns_n)
    return Planned(filled, corner, safety, capital(tasks()[one.task].name))
