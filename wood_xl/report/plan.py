"""The sheet Plan: who does what in which week, what is not planned and why, and what to buy."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence

from wood_xl.data.trade import tasks
from wood_xl.io.looks import varied
from wood_xl.report import styles
from wood_xl.report.charts import ChartData
from wood_xl.report.figure_text import figure_text, ranged, typed_text
from wood_xl.report.layout import Cells, Page, Span, most_px
from wood_xl.report.view import Row, View, day
from wood_xl.schema.digits import number_text
from wood_xl.schema.words import capital, phrase, words
from wood_xl.trial_words import OnPlan
from wood_xl.verdicts import Mind, Weekday

WEEK_PX, DONE_PX = 58, 84
MOST_COLUMNS = 4  # of people; more share one
WEEK_DAYS = 7
ABOUT = ("departures", "quickest", "ways")  # how the plan stands to the verdicts, and what would bring all the wood
NARROW = 3  # columns of a page with one person
SHORT_DAY = 3
BOX = "\N{BALLOT BOX}"
TICK = varied(styles.CELL, horizontal="center")


def plan_page(view: View, data: ChartData) -> Page | None:
    """The page; None in a copy to be shared, and where nothing is planned."""
    del data  # no chart here
    plan = view.document["plan"]
    if view.is_shared or not plan["volume_planned"]["value"]:
        return None
    people = _people(view)
    columns = len(people) if 0 < len(people) <= MOST_COLUMNS else 1
    people_px = most_px(columns + 2) - WEEK_PX - DONE_PX
    widths = [WEEK_PX, *([people_px // columns] * columns), DONE_PX]
    page = Page(widths)
    _title(page, view)
    if plan["sessions"]:
        _weeks(page, view, people if len(people) <= MOST_COLUMNS else [])
        page.text(" ".join(_notes(view)), styles.REMARK)
    else:
        page.text(phrase(OnPlan.NOT_DATED, why=plan["last_session"]), styles.TEXT)
    _wear(page, view)
    _not_planned(page, view)
    _cash(page, view)
    return page


def _people(view: View) -> list[str]:
    named = dict.fromkeys(row["person"] for row in view.document["plan"]["sessions"])
    return [one for one in view.people if one in named] + [one for one in named if one not in view.people]


def _title(page: Page, view: View) -> None:
    plan = view.document["plan"]
    known = {"volume": typed_text(round(plan["volume_planned"]["value"], 2)), "woods": view.woods}
    by_date = _is_date(plan["ready_by"])
    title = (
        phrase(OnPlan.TITLE, **known, date=day(plan["ready_by"]))
        if by_date
        else phrase(OnPlan.TITLE_NO_DATE, **known)
    )
    hours = view.document["inputs"].get("next_season", {}).get("hours_per_week")
    per_week = ""
    if hours is not None and plan["sessions"]:
        weekday = weekday_name(_start(view))
        per_week = phrase(OnPlan.PER_WEEK, hours=typed_text(float(hours)), weekday=weekday)
    subtitle = phrase(OnPlan.SUBTITLE, per_week=per_week, hours=ranged(plan["worker_hours"]))
    lines = [subtitle, phrase(OnPlan.LIMITS, limits=plan["limits"])]
    if plan["shortfall"]["value"]:
        lines.append(phrase(OnPlan.SHORT, short=number_text(plan["shortfall"]["value"]), woods=view.woods))
    page.title(title, " ".join(lines))
    told = (str(plan.get(key, "")) for key in ABOUT)
    page.text(" ".join(capital(text) for text in told if text), styles.REMARK)


def _is_date(text: str) -> bool:
    try:
        dt.date.fromisoformat(text)
    except ValueError:
        return False
    return True


def _start(view: View) -> dt.date:
    """First day of the first week: the start of the plan, which its weekly limit is counted from."""
    plan = view.document["plan"]
    first = min(row["date"] for row in plan["sessions"])
    return dt.date.fromisoformat(plan["start"] if _is_date(plan["start"]) else first)


def weekday_name(date: dt.date) -> str:
    """Name of the day of the week."""
    return [words(one) for one in Weekday][date.weekday()]


def _weeks(page: Page, view: View, people: Sequence[str]) -> None:
    heads = [words(OnPlan.WEEK)]
    unknown = _rates_not_known(view)
    always = {person for person in people if person in unknown and unknown[person] == _dates_of(view, person)}
    if people:
        heads += [phrase(OnPlan.RATE_OPEN, person=one) if one in always else one for one in people]
    else:
        heads.append(words(OnPlan.WHO))
    heads.append(phrase(OnPlan.BY_THEN, woods=view.woods))
    start = _start(view)
    weeks: dict[int, list[Row]] = {}
    for row in view.document["plan"]["sessions"]:
        weeks.setdefault((dt.date.fromisoformat(row["date"]) - start).days // WEEK_DAYS, []).append(row)
    rows = []
    done: dict[str, str] = {}
    for week in sorted(weeks):
        first = start + dt.timedelta(days=WEEK_DAYS * week)
        last = first + dt.timedelta(days=WEEK_DAYS - 1)
        cells: Cells = [Span(day(first.isoformat(), year=False, is_short=True), styles.NAME)]
        for person in people or [""]:
            lines = [
                _work(
                    row,
                    unknown.get(row["person"], set()) - _all_dates(always, row),
                    is_named=not people,
                    is_in_turns=_is_in_turns(view, row, weeks[week]),
                )
                for row in weeks[week]
                if not people or row["person"] == person
            ]
            cells.append("\n".join(lines))
        _count(view, first, last, done)
        cells.append("\n".join(done.values()))
        rows.append(cells)
    page.table(heads, rows)


def _is_in_turns(view: View, row: Row, week: Sequence[Row]) -> bool:
    """Whether another works at the same engine or motor on the same day."""
    others = (one for one in week if one["person"] != row["person"])
    shares = any((one["date"], one["method"]) == (row["date"], row["method"]) for one in others)
    return shares and view.method(row["method"]).is_powered


def _all_dates(always: set[str], row: Row) -> set[str]:
    """The day of a session, where the head of the column says already that its heart rate is not known."""
    return {row["date"]} if row["person"] in always else set()


def _dates_of(view: View, person: str) -> set[str]:
    return {row["date"] for row in view.document["plan"]["sessions"] if row["person"] == person}


def _rates_not_known(view: View) -> dict[str, set[str]]:
    """For each person the days of planned sessions whose heart rate is not known."""
    found: dict[str, set[str]] = {}
    told = words(Mind.RATE_NOT_KNOWN)
    for row in view.document["plan_sessions"]:
        if told in row["mind"].split("; "):
            found.setdefault(row["who"], set()).add(row["date"])
    return found


def _work(row: Row, unknown: set[str], *, is_named: bool, is_in_turns: bool) -> str:
    date = dt.date.fromisoformat(row["date"])
    known: Mapping[str, object] = {
        "weekday": weekday_name(date)[:SHORT_DAY],
        "day": date.day,
        "method": row["method"],
        "minutes": row["minutes"],
    }
    told = phrase(OnPlan.PERSON_WORK, person=row["person"], **known) if is_named else phrase(OnPlan.WORK, **known)
    if is_in_turns:
        told = phrase(OnPlan.IN_TURNS, work=told)
    if row["in_sight"]:
        told = phrase(OnPlan.IN_SIGHT, work=told, person=row["in_sight"])
    return phrase(OnPlan.RATE_OPEN_AT, work=told) if row["date"] in unknown else told


def _count(view: View, first: dt.date, last: dt.date, done: dict[str, str]) -> None:
    """What is done of each task by the end of a week; a task stands while it is worked at."""
    before = list(done)
    worked = set()
    for row in view.document["plan_sessions"]:
        if first.isoformat() <= row["date"] <= last.isoformat() and row["task_volume"]["value"] is not None:
            volume = number_text(row["task_volume"]["value"])
            done[row["task"]] = phrase(OnPlan.DONE, task=row["task"], volume=volume)
            worked.add(row["task"])
    for task in before:
        if task not in worked:
            del done[task]


def _notes(view: View) -> Iterator[str]:
    """What to mind at the saw and at the axe or maul, where they are planned."""
    planned = {row["method"] for row in view.document["plan"]["sessions"]}
    methods = [method for method in view.methods if method.name in planned]
    if any(row["in_sight"] for row in view.document["plan"]["sessions"]):
        yield words(OnPlan.SAW_NOTE)
    if any(tasks()[one.task].is_swung and not one.is_powered for one in methods):
        yield words(OnPlan.SWING_NOTE)
    yield words(OnPlan.TIRED)


def _wear(page: Page, view: View) -> None:
    """Gear by method, in full, and how much wood is planned by it."""
    page.section(phrase(OnPlan.WEAR, woods=view.woods))
    rows: list[Cells] = [
        [
            Span(row["method"], styles.NAME, 2 if page.columns > NARROW else 1),
            Span(row["wear"], columns=page.columns - (3 if page.columns > NARROW else 2)),
            figure_text(row["volume"]),
        ]
        for row in view.document["plan_mix"]
    ]
    page.table([], rows)


def _not_planned(page: Page, view: View) -> None:
    found: dict[tuple[str, str], list[str]] = {}
    for row in view.document["plan_left_out"]:
        found.setdefault((row["person"], row["why"]), []).append(row["method"])
    if not found:
        return
    page.section(words(OnPlan.NOT_PLANNED))
    rows = [
        [
            Span(person or words(OnPlan.EVERYBODY), styles.NAME),
            Span(phrase(OnPlan.NOT_PLANNED_WHY, methods=tuple(methods), why=why), columns=page.columns - 1),
        ]
        for (person, why), methods in found.items()
    ]
    page.table([], rows)


def _cash(page: Page, view: View) -> None:
    plan = view.document["plan"]
    rows = view.document["shopping"]
    if plan["cash"]["value"] is None and not rows:
        return
    page.section(words(OnPlan.CASH))
    page.text(phrase(OnPlan.CASH_TEXT, cash=view.text(plan["cash"]), to_buy=view.middle(plan["to_buy"])))
    if rows:
        item = page.columns - 2
        heads = [Span(""), Span(words(OnPlan.ITEM), columns=item), Span(words(OnPlan.PRICE))]
        table: list[Cells] = []
        for row in rows:
            about = {"item": row["item"], "purpose": row["purpose"], "how_much": _how_much(view, row)}
            name = Span(phrase(OnPlan.ITEM_FOR, **about), columns=item)
            table.append([Span(BOX, TICK), name, Span(view.middle(row["cost"]))])
        page.table(heads, table)
    if plan["seasoned"]:
        page.text(phrase(OnPlan.SEASONED, seasoned=plan["seasoned"]), styles.NOTE)


def _how_much(view: View, row: Row) -> str:
    if row["liquid"]["value"] is not None:
        return phrase(OnPlan.LIQUID, liquid=view.text(row["liquid"]), unit=row["liquid"]["unit"])
    if row["pieces"]["value"] is not None:
        return f"{row['pieces']['value']:,.0f}"
    return str(row["words"])
