"""The two workbooks of a trial: the copy of the notes with the plan and its sessions, and the paper forms."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import replace
from typing import Any

from openpyxl import Workbook

from wood_xl.data.cautions import Caution, cautions, cautions_for
from wood_xl.data.load import value
from wood_xl.data.trade import tasks
from wood_xl.io import looks, measure
from wood_xl.io.entry_rules import Kit
from wood_xl.io.fill import carried_workbook, type_rows, units_and_currency
from wood_xl.io.forms import Planned, write_bucking_form, write_splitting_form
from wood_xl.io.looks import Look, varied
from wood_xl.io.page import (
    GREEN_TAB,
    INDENT_WIDTH,
    Paper,
    caution_text,
    join,
    keep_whole,
    page_points,
    set_up_page,
    set_widths,
    text_cell,
)
from wood_xl.io.template import ROW_POINTS
from wood_xl.notes.names import called
from wood_xl.notes.raw import Cells, RawBook, RawSheet
from wood_xl.page_texts import InResults, Month, OnPaper
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
LEAST_SCALE = 0.8  # a longer list of days is not shrunk to one page, but goes on to the next
LINE = varied(looks.PLAIN, vertical="center")
HEAD = varied(looks.FRAME_HEADER, border="box", vertical="center")
CELL = varied(looks.PLAIN, border="box", vertical="center")
FIRST_CELL = varied(CELL, bold=True)
WALL, WALL_FIRST = varied(CELL, size=11.0), varied(CELL, size=11.0, bold=True)  # read from a step away
AT_WORK = ("heart", "alone", "bleeding")  # cautions for everybody


def write_trial_plan(page: Any, plan: TrialPlan, paper: Paper) -> None:
    """Write what the trial can tell, and who is left out and why."""
    writer = _Writer(page, words(OnTrialPlan.TITLE), plan)
    _write_chances(writer, plan)
    _write_left_out(writer, plan)
    set_up_page(page, paper, WIDTHS, down_to=writer.row - 1, upright=True)


def write_trial_days(page: Any, plan: TrialPlan, paper: Paper) -> None:
    """Write the cautions and who does what, to be hung on the wall.

    This is a sheet of its own so that no reason of health hangs there.
    """
    writer = _Writer(page, TRIAL_DAYS_TITLE, plan)
    writer.section(OnTrialPlan.BEFORE)
    for text in _before_work(plan):
        writer.text(f"\N{BULLET}  {text}")
    writer.gap()
    head = writer.row
    first_rows = _write_sessions(writer, plan)
    set_up_page(page, paper, WIDTHS, down_to=writer.row - 1, upright=True)
    page.print_title_rows = f"{head}:{head}"
    height = sum(page.row_dimensions[row].height for row in range(1, writer.row))
    if height * LEAST_SCALE <= min(page_points(page, paper, WIDTHS)):
        page.page_setup.fitToHeight = 1
    else:
        keep_whole(page, paper, WIDTHS, [1, *first_rows[1:]], page.row_dimensions[head].height)


class _Writer:
    """Writes a sheet from the top down, its title first; ``row`` is the next row."""

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

    def section(self, title: OnTrialPlan) -> None:
        self.gap()
        self.text(words(title), looks.TITLE)
        self.page.row_dimensions[self.row - 1].height = SECTION_POINTS

    def cells(self, texts: Sequence[str], spans: Sequence[int], look: Look, first_look: Look | None = None) -> None:
        """A row of texts, each across its span of columns, and high enough for all of them."""
        column, lines = 1, 1
        for text, span in zip(texts, spans, strict=True):
            own = first_look if first_look is not None and column == 1 else look
            for number in range(column, column + span):
                shown = text if number == column else ""
                text_cell(self.page, self.row, number, shown, own, indent=bool(own.border))
            join(self.page, self.row, column, span)
            width = sum(WIDTHS[column - 1 : column - 1 + span]) - (INDENT_WIDTH if own.border else 0.0)
            lines = max(lines, measure.line_count(text, width, own.size, own.bold))
            column += span
        height = measure.row_height(lines, look.size)
        self.page.row_dimensions[self.row].height = max(height, ROW_POINTS if look.border else 0.0)
        self.row += 1


def day_words(date: str) -> str:
    """A day as people write it on a wall: Sat Mar 6."""
    day = dt.date.fromisoformat(date)
    weekday, month = words([*Weekday][day.weekday()])[:3], words([*Month][day.month - 1])[:3]
    return phrase(OnTrialPlan.DATE, weekday=weekday, month=month, day=day.day)


def _counted(plural: OnTrialPlan, n: int) -> str:
    """A number of things; without the s for one of them."""
    text = phrase(plural, n=n)
    return text.removesuffix("s") if n == 1 else text


def _subtitle(plan: TrialPlan) -> str:
    dates = sorted({session.date for session in plan.sessions})
    people_n = len({name for session in plan.sessions for name in session.workers})
    span = phrase(OnTrialPlan.FROM_TO, first=day_words(dates[0]), last=day_words(dates[-1]), year=dates[-1][:4])
    text = phrase(
        OnTrialPlan.SUBTITLE,
        days=_counted(OnTrialPlan.DAYS_N, len(dates)),
        people=words(OnTrialPlan.ONE_N) if people_n == 1 else phrase(OnTrialPlan.PEOPLE_N, n=people_n),
        methods=_counted(OnTrialPlan.METHODS_N, len({session.method for session in plan.sessions})),
        span=span if len(dates) > 1 else f"{day_words(dates[0])}, {dates[0][:4]}",
    )
    return f"{plan.season}: {text}" if plan.season else text


def _write_chances(writer: _Writer, plan: TrialPlan) -> None:
    """Write how many pairs each task gets, and how likely they are to settle it."""
    writer.section(OnTrialPlan.TELLS)
    planned = [task for task in plan.tasks if task.days_n]
    for task in planned:
        writer.text(
            phrase(
                OnTrialPlan.PAIRS_DONE if task.done_n else OnTrialPlan.PAIRS,
                task=_name(task),
                people=task.people,
                methods=task.methods,
                days=_counted(OnTrialPlan.DAYS_N, task.days_n),
                pairs=_counted(OnTrialPlan.PAIR_N, task.pairs_n),
                done=_counted(OnTrialPlan.PAIR_N, task.done_n),
            )
        )
    chance_help = OnTrialPlan.CHANCE_OF_REST if all(map(_is_measured, planned)) else OnTrialPlan.CHANCE_HELP
    writer.text(f"{words(OnTrialPlan.PAIR_IS)} {words(chance_help)}")
    heads = [words(head) for head in (OnTrialPlan.TASK, OnTrialPlan.LONGER_BY, OnTrialPlan.CHANCE)]
    heads.append(phrase(OnTrialPlan.WOULD_TAKE, tenths=10 * value("model.further_chance")))
    writer.cells(heads, CHANCE_SPANS, HEAD)
    for task in planned:
        for index, chance in enumerate(task.chances):
            writer.cells(_chance_cells(plan, task, chance, is_first=index == 0), CHANCE_SPANS, CELL, FIRST_CELL)
    for text in _remarks(plan, planned):
        writer.text(text)


def _chance_cells(plan: TrialPlan, task: TrialOfTask, chance: Chance, *, is_first: bool) -> list[str]:
    """A row of the table of chances: by what is measured, or for a difference that is assumed."""
    if chance.difference_frac is None:
        likely = chance_words(chance.chance or 0.0) if chance.pairs_n != 0 else words(OnTrialPlan.SETTLED)
        title = f"{capital(_name(task))}: {_counted(OnTrialPlan.MORE_PAIR_N, task.pairs_n - task.done_n)}"
        return [title, words(OnTrialPlan.AS_MEASURED), likely, _would_take(chance, words(OnTrialPlan.MORE))]
    is_own = chance.difference_frac == plan.wanted.difference_frac
    by = phrase(OnTrialPlan.PERCENT_YOURS if is_own else OnTrialPlan.PERCENT, percent=100 * chance.difference_frac)
    title = f"{capital(_name(task))}: {_counted(OnTrialPlan.PAIR_N, task.pairs_n)}"
    likely = words(OnTrialPlan.TOO_FEW) if chance.chance is None else chance_words(chance.chance)
    return [title if is_first else "", by, likely, _would_take(chance)]


def _would_take(chance: Chance, more: str = "") -> str:
    """Pairs and days that make a verdict likely; ``more`` says that they come on top of those done."""
    if chance.pairs_n is None or chance.days_n is None:
        most = _counted(OnTrialPlan.PAIR_N if more else OnTrialPlan.DAYS_N, int(value("model.further_days")))
        return phrase(OnTrialPlan.OUT_OF_REACH, most=most, more=more)
    if not chance.pairs_n:
        return words(OnTrialPlan.NO_MORE)
    pairs, days = _counted(OnTrialPlan.PAIR_N, chance.pairs_n), _counted(OnTrialPlan.DAYS_N, chance.days_n)
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


def _remarks(plan: TrialPlan, planned: Sequence[TrialOfTask]) -> Iterator[str]:
    """What limits the trial of each task, and how more days are added."""
    least = int(value("trials.least_pairs"))
    for task in planned:
        name = _name(task)
        if task.pairs_n < least and not _is_measured(task):
            yield phrase(OnTrialPlan.FEW, task=name, n=least)
        if len(task.people) == 1:
            yield phrase(OnTrialPlan.ONE_PERSON, task=name, person=task.people[0])
        others = tuple(method for method in task.methods if method not in task.saws)
        if task.saws and others:
            yield phrase(OnTrialPlan.SAW_FIRST, task=name, saws=task.saws, others=others)
        for group in (task.saws, others):
            if len(group) > 1:
                swapped = OnTrialPlan.NOT_SWAPPED if set(group) & set(task.unbalanced) else OnTrialPlan.SWAPPED
                yield phrase(swapped, task=name, methods=group)
        if task.uneven:
            yield phrase(OnTrialPlan.UNEVEN, task=name, people=task.uneven)
    without_day = tuple(_name(task) for task in plan.tasks if not task.days_n)
    if without_day:
        yield phrase(OnTrialPlan.NO_DAY, tasks=without_day)
    for task_id in plan.nothing:
        yield phrase(OnTrialPlan.NOTHING, task=tasks()[task_id].name)
    yield words(OnTrialPlan.MORE_DAYS)


def _name(task: TrialOfTask) -> str:
    return tasks()[task.task].name


def _write_left_out(writer: _Writer, plan: TrialPlan) -> None:
    """Write who does not try which methods and why; people with the same reason share a row."""
    if not plan.not_tried:
        return
    writer.section(OnTrialPlan.LEFT_OUT)
    heads = [words(head) for head in (OnTrialPlan.PERSON, OnTrialPlan.OF_METHODS, OnTrialPlan.WHY)]
    writer.cells(heads, LEFT_OUT_SPANS, HEAD)
    order = [*dict.fromkeys(one.person for one in plan.not_tried if one.person), ""]
    of_persons = {method for one in plan.not_tried if one.person for method in one.methods}
    shown = [one for one in plan.not_tried if one.person or one.cell or not of_persons.issuperset(one.methods)]
    alike: dict[tuple[NotTried, bool, bool], list[str]] = {}
    for one in sorted(shown, key=lambda one: order.index(one.person)):
        is_own = bool(one.row) and one.row == one.person
        key = one._replace(person="", row="" if is_own else one.row), is_own, bool(one.person)
        alike.setdefault(key, []).append(one.person)
    for (one, is_own, is_somebody), persons in alike.items():
        who = ", ".join(persons) if is_somebody else words(OnTrialPlan.NOBODY)
        why = _why(one, persons if is_own else [one.row] if one.row else [])
        writer.cells([who, ", ".join(one.methods), why], LEFT_OUT_SPANS, CELL, FIRST_CELL)


def _why(one: NotTried, rows: Sequence[str]) -> str:
    """The reason, and the cell that gives it with the names of its rows."""
    if not one.cell:
        return f"{capital(words(one.why))}."
    definition = season_definition()
    sheet_id, cell = one.cell.partition(".")[0], one.cell
    if sheet_id in {sheet.id for sheet in definition.sheets}:
        cell = f"{definition.sheet(sheet_id).title}, {definition.column(one.cell).title}"
        cell_of = InResults.CELL_OF if rows else InResults.CELL_OF_ONE_MORE
        cell = phrase(cell_of, cell=cell, row=", ".join(rows))
    return phrase(OnTrialPlan.WHY_AND_CELL, why=one.why, cell=cell)


def cautions_of(plan: TrialPlan, methods: Sequence[str]) -> list[Caution]:
    """The main cautions for methods of the plan, in the order of the sheet Cautions."""
    task_of = {session.method: session.task for session in plan.sessions}
    ids = {c.id for name in methods for c in cautions_for(plan.kinds[name], task_of[name]) if c.is_first}
    return [caution for caution in cautions() if caution.id in ids]


def _before_work(plan: TrialPlan) -> Iterator[str]:
    methods = list(dict.fromkeys(session.method for session in plan.sessions))
    for_all = [caution for caution in cautions() if caution.id in AT_WORK]
    yield from map(caution_text, [*cautions_of(plan, methods), *for_all])
    if any(session.in_sight for session in plan.sessions):
        yield words(OnTrialPlan.STAYS_IN_SIGHT)
    for task in (task for task in plan.tasks if task.days_n):
        hours = task.longest_day_min / 60
        yield phrase(OnTrialPlan.LONGEST, task=_name(task), minutes=task.minutes, hours=f"{hours:.3g}")
    working = {name for session in plan.sessions for name in session.workers}
    keep_notes = tuple(name for name in plan.minors if name not in working)
    if keep_notes:
        yield phrase(OnTrialPlan.HELPS, people=keep_notes)
    for rule in (OnTrialPlan.REST, OnTrialPlan.PARTS, OnTrialPlan.MEASURE, OnTrialPlan.AS_WRITTEN):
        yield phrase(rule, seed=plan.wanted.seed)


def _write_sessions(writer: _Writer, plan: TrialPlan) -> list[int]:
    """Write the table of who does what; returns the row of each day's first session."""
    spans = (1,) * COLUMNS
    writer.cells([words(head) for head in HEADS], spans, HEAD)
    names, first_rows = _all_names(plan), list[int]()
    for before, session in zip([None, *plan.sessions], plan.sessions, strict=False):
        is_new_day = before is None or session.day != before.day
        if is_new_day:
            first_rows.append(writer.row)
        is_new_turn = before is None or (session.day, session.turn) != (before.day, before.turn)
        texts = [
            day_words(session.date) if is_new_day else "",
            str(session.turn) if is_new_turn else "",
            session.name,
            called(session.person, names),
            session.method,
            session.pile,
            called(session.in_sight, names),
            "; ".join(_to_mind(plan, session, before)),
        ]
        writer.cells(texts, spans, WALL, WALL_FIRST)
    return first_rows


def _all_names(plan: TrialPlan) -> set[str]:
    """Everybody who is named anywhere in a plan."""
    names = {name for one in plan.sessions for name in (one.person, one.in_sight, *one.helpers)}
    return names | {one.person for one in plan.not_tried} | set(plan.minors)


def _to_mind(plan: TrialPlan, session: TrialSession, before: TrialSession | None) -> Iterator[str]:
    """What to mind at a session; ``before`` is the one listed above it."""
    if before is None or session.day != before.day:
        of_day = [other for other in plan.sessions if other.day == session.day]
        pile = next((other.pile for other in of_day if not other.makes_up), session.pile)
        on_pile = [o for o in plan.sessions if (o.task, o.pile, o.makes_up) == (session.task, pile, False)]
        is_begun = any(other.day < session.day for other in on_pile)
        yield phrase(OnTrialPlan.GOES_ON if is_begun else OnTrialPlan.MARK_PARTS, pile=pile, n=len(on_pile))
    if session.helpers:
        yield phrase(OnTrialPlan.HELPED_BY, people=session.helpers)
    if session.rests:
        yield words(OnTrialPlan.REST_FIRST)
    saws = {name for task in plan.tasks for name in task.saws}
    if before is not None and session.day == before.day and before.method in saws and session.method not in saws:
        yield words(OnTrialPlan.SAW_AWAY)
    if session.makes_up:
        yield words(OnTrialPlan.MAKES_UP)


def trial_copy(
    book: RawBook, plan: TrialPlan, listed_before: Mapping[str, Set[int]], *, currency: str, paper: Paper
) -> Workbook:
    """The filled workbook in the template of today, with the plan and a row for each session to come.

    listed_before: rows by sheet that an older plan listed and nobody filled in; they are dropped.
    """
    system, own_currency = units_and_currency(book)
    sheets = tuple(_without(sheet, listed_before.get(sheet.title, frozenset())) for sheet in book.sheets)
    book = replace(book, sheets=sheets)
    workbook = carried_workbook(book, system=system, currency=own_currency or currency, paper=paper)
    rows: dict[str, list[dict[str, str]]] = {}
    for one in plan.sessions:
        row = {"session": one.name, "date": one.date, "method": one.method, "person": one.person, "lot": one.pile}
        row |= {"note": one.note} if one.note else {}
        rows.setdefault("sessions", []).append(row)
        measured_on = "tally" if tasks()[one.task].is_sawn else "stacks"
        rows.setdefault(measured_on, []).append({"session": one.name})
        helpers = [{"session": one.name, "person": helper} for helper in one.helpers]
        rows.setdefault("helpers", []).extend(helpers)
    for sheet_id, new in rows.items():
        sheet = season_definition().sheet(sheet_id)
        page = workbook[sheet.title]
        last = max(cell.row for cells in page.iter_rows(HEADER_ROW) for cell in cells if cell.value is not None)
        type_rows(page, sheet.columns_in(system), new, first_row=last + 1)
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


def trial_forms(plan: TrialPlan, *, system: System, currency: str, paper: Paper) -> Workbook:
    """A paper form for each session, with what is known of it filled in."""
    workbook = Workbook()
    workbook.remove(workbook.worksheets[0])
    kit = Kit(system, currency, paper)
    for session in plan.sessions:
        write = write_bucking_form if tasks()[session.task].is_sawn else write_splitting_form
        write(workbook.create_sheet(session.name), kit, _planned(plan, session))
    return workbook


def _planned(plan: TrialPlan, session: TrialSession) -> Planned:
    names = _all_names(plan)
    filled: dict[str | OnPaper, Sequence[str]] = {
        "sessions.session": (session.name,),
        "sessions.date": (day_words(session.date),),
        "sessions.person": (called(session.person, names),),
        "sessions.lot": (session.pile,),
        "sessions.method": (session.method,),
        "helpers.person": tuple(called(helper, names) for helper in session.helpers),
    }
    safety = [*map(caution_text, cautions_of(plan, [session.method]))]
    if session.in_sight:
        safety.append(phrase(OnTrialForm.IN_SIGHT, person=session.in_sight))
    safety.append(phrase(OnTrialForm.LONGEST, minutes=session.minutes))
    turns_n = max(other.turn for other in plan.sessions if other.day == session.day)
    corner = phrase(OnTrialForm.CORNER, day=session.day, turn=session.turn, turns=turns_n)
    return Planned(filled, corner, safety, capital(tasks()[session.task].name))
