"""Plans a trial for a workbook: reads, checks, plans, and makes a copy that lists it and its paper forms."""

from __future__ import annotations

from collections.abc import Iterator, Sequence, Set
from functools import partial
from pathlib import Path
from typing import NamedTuple

from wood_xl.data.load import value
from wood_xl.data.trade import tasks
from wood_xl.hours.methods import MethodTotals, method_totals
from wood_xl.io.fill import units_and_currency
from wood_xl.io.pack import packed
from wood_xl.io.page import PAPERS, Paper
from wood_xl.io.trial_workbook import trial_copy, trial_forms
from wood_xl.notes.convert import season_records
from wood_xl.notes.document import rows_of_planned
from wood_xl.notes.names import nearest, plain
from wood_xl.notes.problem import Level, Problem, problem
from wood_xl.notes.relations import WEEKDAYS, Notes, NotesRow, why_left_out
from wood_xl.notes.season import CheckedSeason, check_season
from wood_xl.pipeline import computed_tables, read_filled
from wood_xl.plan.crews import household_of
from wood_xl.reasons import Word
from wood_xl.records import Season
from wood_xl.results.figures import grouped
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import joined, words
from wood_xl.trial.plan import trial_plan
from wood_xl.trial_records import ToFill, TrialPlan, TrialWanted
from wood_xl.verdicts import NotPlanned

MAY_BE_REPLACED = {"session", "date", "method", "person", "lot", "note"}  # a planned row with more columns stays
IGNORED = ("season-no-sessions", "item-missing")  # a trial comes before any session and most items


class TrialOptions(NamedTuple):
    """Options of the command; the workbook has what they leave out."""

    seed: int
    days_n: int | None = None
    first_day: str | None = None
    difference_frac: float | None = None


class Trial(NamedTuple):
    """A trial and its files; without a plan, the last problem says why."""

    problems: tuple[Problem, ...]
    plan: TrialPlan | None = None
    copy: bytes = b""
    forms: bytes = b""


def trial_file(path: Path, options: TrialOptions, paper: Paper | None) -> Trial:
    """Plan a trial for a workbook and make both of its files.

    Errors: UnreadableWorkbook if the file cannot be read as a workbook.
    """
    book = read_filled(path)
    checked = check_season(book)
    problems = tuple(one for one in checked.problems if _matters(one))
    if any(one.level is Level.STOP for one in problems):
        return Trial(problems)
    missing = to_fill(checked, options)
    if missing:
        return Trial((*problems, problem("trial-fill-first", found="; ".join(map(words, missing)))))
    season, _ = season_records(checked)
    wanted = trial_wanted(checked, season, options)
    tables, _ = computed_tables(checked)
    if tables is None:
        totals: Sequence[MethodTotals] = method_totals(season.methods, [])
        household = household_of(season, totals, [])
    else:
        totals, household = tables.rates.study.totals, tables.household
    plan = trial_plan(season, totals, household, wanted)
    if not plan.sessions:
        code = "trial-no-day" if plan.tasks else "trial-nobody"
        whys: dict[str, dict[str, None]] = {}  # by person, or by methods that nobody can try
        for one in plan.not_tried:
            whys.setdefault(one.person or joined(one.methods), {})[words(one.why)] = None
        waits = words(NotPlanned.CELL_WAITS)
        whys = {who: {waits: None} if waits in texts else texts for who, texts in whys.items()}  # the rest may change
        alike = grouped(whys.items(), lambda one: tuple(one[1])).items()
        reasons = "; ".join(f"{joined([who for who, _ in of])}: {', '.join(texts)}" for texts, of in alike)
        return Trial((*problems, problem(code, found=reasons or words(None))))
    plan, stay = _with_notes(plan, checked.notes)
    problems += (*_past(plan, checked, book.saved_day), *_held_again(checked.notes))
    system, typed = units_and_currency(book)
    currency = typed or ("USD" if system == "us" else "EUR")
    on = paper or PAPERS[system]
    copy = trial_copy(book, plan, listed_before(checked, stay), currency=currency, paper=on)
    forms = trial_forms(plan, system=system, currency=currency, paper=on)
    return Trial(problems, plan, packed(copy), packed(forms))


def _matters(one: Problem) -> bool:
    """Whether a problem bears on the plan of a trial, or has to be mended anyway."""
    if one.code in IGNORED:
        return False
    if one.level in (Level.STOP, Level.FIX):
        return True
    sheet_id, _, column_id = one.place.about.partition(".")
    columns = {column.ref: column for sheet in season_definition().sheets for column in sheet.columns}
    column = columns.get(one.place.about)
    return (
        one.level is Level.LOOK and bool(column_id and column and "plan" in column.feeds) and sheet_id != "sessions"
    )


def to_fill(checked: CheckedSeason, options: TrialOptions) -> list[Word]:
    """What to fill in before a trial can be planned."""
    notes, items = checked.notes, checked.document.items("trial")
    methods_n = dict.fromkeys(tasks(), 0)
    for row, *_ in notes.by_name("methods").values():
        task = row["task"]
        methods_n |= {task: methods_n[task] + 1} if task in methods_n else {}
    missing = {
        ToFill.METHODS: max(methods_n.values()) < 2,
        ToFill.PEOPLE: not notes.by_name("people"),
        ToFill.FIRST_DAY: options.first_day is None and not _item(checked, items, "first_day"),
        ToFill.DAYS: options.days_n is None and not _item(checked, items, "days"),
        ToFill.WORK_DAYS: ("trial", None, "work_days") in checked.broken,
    }
    return [what for what, is_missing in missing.items() if is_missing]


def trial_wanted(checked: CheckedSeason, season: Season, options: TrialOptions) -> TrialWanted:
    """The request for a trial, from notes that lack nothing for it."""
    document, items = checked.document, checked.document.items("trial")
    again_n = len(_replaceable_rows(checked.notes))
    rows = document.rows("sessions") if again_n < len(document.rows("sessions")) else []
    longest_min = season.next_season.longest_session_min or value("plan.longest_session")
    return TrialWanted(
        first_day=options.first_day or str(items["first_day"]),
        days_n=options.days_n or int(items["days"]),
        weekdays=frozenset(season.next_season.weekdays or range(len(WEEKDAYS))),
        difference_frac=season.practical_margin_frac if options.difference_frac is None else options.difference_frac,
        longest_min=longest_min,
        seed=options.seed,
        taken=tuple(str(row["session"]) for row in rows if "session" in row),
        likely={
            str(row["session"]): person
            for row in checked.notes.rows("sessions")
            if (person := _likely(row, "person", "people"))
        },
        lost_days=tuple(
            row["date"]
            for row in map(partial(checked.notes.row, "sessions"), checked.notes.planned)
            if row["date"] is not None and why_left_out(row)
        ),
    )


def _likely(session: NotesRow, column_id: str, sheet_id: str) -> str | None:
    """The name that a cell which waits for a mend is nearly; None if it is like none."""
    if not session.waits(column_id) or column_id not in session.typed:
        return None
    known = [row.text(column_id) for row, *_ in session.notes.by_name(sheet_id).values()]
    return nearest(str(session.typed[column_id]), known)


def _with_notes(plan: TrialPlan, notes: Notes) -> tuple[TrialPlan, Set[int]]:
    """The plan with what was noted at sessions to come, and the rows of those that are in it no more.

    A note goes to the next session of its method and person, with its date if that is another.
    """
    sessions, stay = [*plan.sessions], set[int]()
    for row in (notes.row("sessions", index) for index in _replaceable_rows(notes)):
        same = (
            at
            for at, one in enumerate(sessions)
            if not one.note and (plain(one.method), plain(one.person)) == (row.name("method"), row.name("person"))
        )
        at = next(same, None) if "note" in row.typed else -1
        if at is None:
            stay.add(row.index)
        elif at >= 0:
            date, note = row["date"], row.text("note")
            is_moved = date is not None and date != sessions[at].date
            sessions[at] = sessions[at]._replace(note=f"{date}: {note}" if is_moved else note)
    return plan._replace(sessions=tuple(sessions)), stay


def _past(plan: TrialPlan, checked: CheckedSeason, saved_day: str | None) -> Iterator[Problem]:
    """A plan that begins before the workbook was saved."""
    first = plan.sessions[0].date
    if saved_day is not None and first < saved_day:
        yield problem("trial-day-past", checked.document.place("trial", None, "first_day"), found=first)


def _held_again(notes: Notes) -> Iterator[Problem]:
    """Sessions that were held, but by whom or how cannot be told before a cell is mended."""
    held = [row for row in notes.rows("sessions") if row.index not in notes.planned and not why_left_out(row)]
    for column_id, sheet_id in (("method", "methods"), ("person", "people")):
        rows = [row for row in held if row.waits(column_id) and not _likely(row, column_id, sheet_id)]
        if rows:
            yield rows[0].problem("trial-held-again", column_id, len(rows), count=str(len(rows)))


def _item(checked: CheckedSeason, items: dict[str, object], item: str) -> str:
    return "" if ("trial", None, item) in checked.broken else str(items.get(item, ""))


def listed_before(checked: CheckedSeason, stay: Set[int]) -> dict[str, set[int]]:
    """Rows by sheet that only list sessions to come, which a new plan replaces, but for sessions that stay."""
    document, again = checked.document, [one for one in _replaceable_rows(checked.notes) if one not in stay]
    names = {plain(str(document.rows("sessions")[index]["session"])) for index in again}
    if not again:
        return {}
    rows = {document.places["sessions"].title: {document.places["sessions"].rows[index] for index in again}}
    for sheet_id, index in rows_of_planned(document, checked.broken):
        if plain(str(document.rows(sheet_id)[index].get("session", ""))) in names:
            places = document.places[sheet_id]
            rows.setdefault(places.title, set()).add(places.rows[index])
    return rows


def _replaceable_rows(notes: Notes) -> list[int]:
    sessions = notes.document.rows("sessions")
    return sorted(index for index in notes.planned if sessions[index].keys() <= MAY_BE_REPLACED)
