"""The sheet Plan: who does what in which week, what is not planned and why, and what to buy."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Iterator, Sequence
from operator import itemgetter

from wood_xl.data.cautions import without_gear
from wood_xl.ids import Phrase
from wood_xl.io import measure
from wood_xl.reading_words import OnAnswer, OnPlan
from wood_xl.reasons import said
from wood_xl.report import styles
from wood_xl.report.figure_text import figure_text, ranged, typed_text
from wood_xl.report.layout import Cells, Page, Span, most_px
from wood_xl.report.view import Row, View, day
from wood_xl.results.figures import grouped
from wood_xl.schema.words import NO_BREAK, capital, number_text, phrase, words
from wood_xl.verdicts import Mind, NotPlanned, Weekday

WEEK_PX, DONE_PX = 58, 92
ONE_PAGE_WEEKS = 16  # that one printed page holds
SHORT_LINES, RUN_IN, FEWER_NOTES = 1, 2, 3  # what changes, in this order, where it does not
MOST_BRIEF = 4
MOST_GOODS = 20  # of one purpose that a list names; nobody carries more of them to a store
MOST_COLUMNS = 4  # of people; more share one
LEAST_PARTS = 4  # of the room between the first and the last column, for the tables below
WEEK_DAYS = 7
ABOUT = ("departures", "quickest", "ways")  # how the plan stands to the verdicts, and what would bring all the wood
SHORT_DAY = 3
RUN_ON = f"{NO_BREAK}{NO_BREAK} "  # between what shares a line; programs keep it as it is
MOST_WHOLE = 60  # letters of what no line breaks
RENTED = "rented"
LIST_OVER_LIMIT = "plan-outlay-over-limit"
MIND_JOINT = "; "  # between what to mind in a session
TRIAL_TURNS = (Mind.TRIAL_FIRST, Mind.TRIAL_THEN)
WEAR_FACTS = ("method", "volume", "wear")


def plan_page(view: View) -> Page | None:
    """The page; None in a copy to be shared, and where nothing is wanted.

    Up to 16 weeks are one printed page: where they do not fit, their lines are short and lists run in. What is too
    much even so is written out on as many pages as it takes.
    """
    plan = view.document["plan"]
    if view.is_shared or not (plan["volume_planned"]["value"] or plan["ways"]):
        return None
    people = _people(view)
    columns = max(LEAST_PARTS, 2 * len(people)) if len(people) <= MOST_COLUMNS else LEAST_PARTS
    part_px = (most_px(columns + 2) - WEEK_PX - DONE_PX) // columns
    pages = []
    for brief in range(MOST_BRIEF if len(_by_week(view)) <= ONE_PAGE_WEEKS else 1):
        page = Page([WEEK_PX, *([part_px] * columns), DONE_PX])
        _fill(page, view, people if len(people) <= MOST_COLUMNS else [], brief)
        if len(page.pages()) == 1:
            return page
        pages.append(page)
    return pages[0]


def _fill(page: Page, view: View, people: Sequence[str], brief: int) -> None:
    plan = view.document["plan"]
    _title(page, view, brief)
    for told in _cautions(view):
        page.text(told, styles.REMARK)
    if plan["sessions"]:
        is_starred = _weeks(page, view, people, is_brief=brief >= SHORT_LINES)
        page.text(" ".join(_notes(view, brief, is_starred=is_starred)), styles.REMARK)
    elif plan["volume_planned"]["value"]:
        page.text(said(OnPlan.NOT_DATED, why=plan["last_session"]))
    _wear(page, view, brief)
    _not_planned(page, view)
    _cash(page, view, brief)


def _people(view: View) -> list[str]:
    named = dict.fromkeys(row["person"] for row in view.document["plan"]["sessions"])
    return [one for one in view.people if one in named] + [one for one in named if one not in view.people]


def _title(page: Page, view: View, brief: int) -> None:
    plan = view.document["plan"]
    volume = plan["volume_planned"]["value"]
    if not volume:
        wanted = plan["volume_wanted"]["value"]
        why = phrase(OnPlan.LIMITS, limits=plan["limits"])
        page.title(said(OnPlan.TITLE_NOTHING, volume=wanted, woods=view.woods), f"{why} {_told(view, 'ways')}")
        return
    known = {"volume": volume, "woods": view.woods_of(f"{volume:g}")}
    title = said(OnPlan.TITLE_NO_DATE, **known)
    if _is_date(plan["ready_by"]) and plan["start"] <= plan["ready_by"]:
        title = said(OnPlan.TITLE, **known, date=day(plan["ready_by"]))
    hours = view.document["inputs"].get("next_season", {}).get("hours_per_week")
    per_week = ""
    if hours is not None and plan["sessions"]:
        weekday = weekday_name(_start(view))
        per_week = phrase(OnPlan.PER_WEEK, hours=typed_text(float(hours)), weekday=weekday)
    tick = words(OnPlan.TICK) if plan["sessions"] else ""
    lines = [phrase(OnPlan.SUBTITLE, per_week=per_week, hours=ranged(plan["worker_hours"]), tick=tick)]
    if brief < FEWER_NOTES or plan["shortfall"]["value"]:
        lines.append(phrase(OnPlan.LIMITS, limits=plan["limits"]))
    if plan["shortfall"]["value"]:
        lines.append(phrase(OnPlan.SHORT, short=number_text(plan["shortfall"]["value"]), woods=view.woods))
    page.title(title, " ".join(lines))
    page.text(_told(view, *ABOUT), styles.REMARK)


def _told(view: View, *keys: str) -> str:
    told = (str(view.document["plan"].get(key, "")) for key in keys)
    return " ".join(capital(text) for text in told if text)


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


def _by_week(view: View) -> dict[int, list[Row]]:
    sessions = view.document["plan"]["sessions"]
    return grouped(sessions, lambda row: (dt.date.fromisoformat(row["date"]) - _start(view)).days // WEEK_DAYS)


def _weeks(page: Page, view: View, people: Sequence[str], *, is_brief: bool) -> bool:
    """The table; whether a star in it says that a heart rate is not known."""
    unknown = _rates_not_known(view)
    of_person = grouped(view.document["plan"]["sessions"], itemgetter("person"))
    dates = {person: {row["date"] for row in rows} for person, rows in of_person.items()}
    always = {person for person in people if person in unknown and unknown[person] == dates[person]}
    open_rate = OnPlan.RATE_OPEN_BRIEF if is_brief else OnPlan.RATE_OPEN
    called = {one: view.called(one) for one in people}
    who = [said(open_rate, person=name) if one in always else name for one, name in called.items()] or [OnPlan.WHO]
    start, weeks = _start(view), _by_week(view)
    rows: list[Cells] = []
    done: dict[str, str] = {}
    for week in sorted(weeks):
        first = start + dt.timedelta(days=WEEK_DAYS * week)
        last = first + dt.timedelta(days=WEEK_DAYS - 1)
        cells: Cells = [day(first.isoformat(), year=False, is_short=True)]
        for person in people or [""]:
            lines = []
            for row in weeks[week]:
                if people and row["person"] != person:
                    continue
                # The head of the column may say already that no heart rate is known.
                is_starred = row["person"] not in always and row["date"] in unknown.get(row["person"], ())
                told = _work(view, row, weeks[week], is_named=not people, is_brief=is_brief)
                lines.append(phrase(OnPlan.RATE_OPEN_AT, work=told) if is_starred else told)
            cells.append("\n".join(lines) if len(people) > 1 else _packed(page, 1, page.columns - 2, lines))
        _count(view, first, last, done)
        cells.append("\n".join(done.values()))
        rows.append(cells)
    by_then = said(OnPlan.BY_THEN, woods=view.woods)
    page.table([OnPlan.WEEK, *who, by_then], rows, (1, *[(page.columns - 2) // len(who)] * len(who), 1))
    return bool(is_brief and always) or bool(unknown.keys() - always)


def _packed(page: Page, first: int, columns: int, parts: Iterable[str]) -> str:
    """Parts in as few lines as hold them, none broken, in a cell over these columns."""
    room, look = page.room(first, Span("", columns=columns)), styles.CELL
    lines: list[str] = []
    for part in parts:
        longer = f"{lines[-1]}{RUN_ON}{part}" if lines else part
        if lines and measure.lines_within(longer, room, look.size) > 1:
            lines.append(part)
        else:
            lines[-1:] = [longer]
    return "\n".join(lines)


def _whole(text: str) -> str:
    """A short text that no line breaks."""
    return text.replace(" ", NO_BREAK) if len(text) <= MOST_WHOLE else text


def _rates_not_known(view: View) -> dict[str, set[str]]:
    """For each person the days of planned sessions whose heart rate is not known."""
    told = words(Mind.RATE_NOT_KNOWN)
    found = (row for row in view.document["plan_sessions"] if told in row["mind"].split(MIND_JOINT))
    return {who: {row["date"] for row in rows} for who, rows in grouped(found, itemgetter("who")).items()}


def _work(view: View, row: Row, week: Sequence[Row], *, is_named: bool, is_brief: bool) -> str:
    """A session of a week; that two take turns is said where they work at one engine or motor on the same day."""
    date = dt.date.fromisoformat(row["date"])
    method = view.short(row["method"]) if is_brief else row["method"]
    known = {"weekday": weekday_name(date)[:SHORT_DAY], "day": date.day, "method": method, "minutes": row["minutes"]}
    if is_named:
        told = phrase(
            OnPlan.PERSON_WORK_BRIEF if is_brief else OnPlan.PERSON_WORK, person=view.called(row["person"]), **known
        )
    else:
        told = phrase(OnPlan.WORK_BRIEF if is_brief else OnPlan.WORK, **known)
    others = ((one["date"], one["method"]) for one in week if one["person"] != row["person"])
    if not is_brief and (row["date"], row["method"]) in others and view.method(row["method"]).is_powered:
        told = phrase(OnPlan.IN_TURNS, work=told)
    if row["in_sight"]:
        told = phrase(
            OnPlan.IN_SIGHT_BRIEF if is_brief else OnPlan.IN_SIGHT, work=told, person=view.called(row["in_sight"])
        )
    turn = next((one for one in map(words, TRIAL_TURNS) if one in row["mind"].split(MIND_JOINT)), None)
    return told if turn is None else phrase(OnPlan.TRIAL_AT, work=told, mind=turn)


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


def _cautions(view: View) -> Iterator[str]:
    """Grave cautions of what is planned that the gear below says nothing of, as of felling."""
    planned = {row["method"] for row in view.document["plan_mix"]}
    for caution in without_gear([method.task for method in view.methods if method.name in planned]):
        yield phrase(OnAnswer.CAUTION, title=caution.title, text=caution.text)


def _notes(view: View, brief: int, *, is_starred: bool) -> Iterator[str]:
    """What to mind at the saw and at the axe or maul, where they are planned."""
    sessions = view.document["plan"]["sessions"]
    minded = {one for row in sessions for one in row["mind"].split(MIND_JOINT)}
    if brief >= SHORT_LINES:
        yield words(OnPlan.BRIEF_NOTE)
    if any(row["in_sight"] for row in sessions):
        yield words(OnPlan.SAW_NOTE)
    notes = {
        Mind.OUT_OF_THE_SWING: OnPlan.SWING_NOTE,
        Mind.ADULT_NEAR: OnPlan.YOUNG_NOTE,
        Mind.WITHIN_CALL: OnPlan.ALONE_NOTE,
    }
    yield from (words(note) for mind, note in notes.items() if words(mind) in minded)
    if any(words(turn) in minded for turn in TRIAL_TURNS):
        for task, why in dict.fromkeys((row["task"], row["why"]) for row in view.document["trials"]):
            yield phrase(OnPlan.TRIAL_NOTE, task=task, why=why)
    if brief < FEWER_NOTES:
        star = words(OnPlan.STAR) if is_starred else ""
        is_unknown = any(_rates_not_known(view).values())
        yield phrase(OnPlan.REST_AND_RATE_NOTE, star=star) if is_unknown else words(OnPlan.REST_NOTE)
    elif is_starred:
        yield words(OnPlan.RATE_NOTE)
    if used := _rented(view, {row["method"] for row in sessions}):
        days = (len(_days_of(view, tool)) for tool in used)
        told = (phrase(OnPlan.RENTED_DAYS, tool=tool, n=n) for tool, n in zip(used, days, strict=True))
        yield phrase(OnPlan.RENTED_NOTE, tools=tuple(told))
    yield words(OnPlan.TIRED)


def _wear(page: Page, view: View, brief: int) -> None:
    """Gear by method, in full, and how much wood is planned by it."""
    mix = view.document["plan_mix"]
    if not mix:
        return
    head = phrase(OnPlan.WEAR, woods=view.woods)
    if brief < FEWER_NOTES:
        page.section(head)
    if brief >= RUN_IN:
        of_methods = ({**row, "volume": figure_text(row["volume"])} for row in mix)
        told = (phrase(OnPlan.WEAR_OF, **{key: row[key] for key in WEAR_FACTS}) for row in of_methods)
        page.text(" ".join(told if brief < FEWER_NOTES else (f"{head}:", *told)), styles.REMARK)
        return
    rows = [[row["method"], row["wear"], figure_text(row["volume"])] for row in mix]
    page.table([], rows, (2, page.columns - 3, 1))


def _not_planned(page: Page, view: View) -> None:
    both = zip(view.document["plan_left_out"], view.document["plan"]["left_out"], strict=True)
    # Rows of persons say why nobody may do it; what else keeps a method out stands in its own row alone.
    rows_told = [row for row, one in both if one["reason"] != NotPlanned.NOBODY_MAY.key]
    found = grouped(rows_told, itemgetter("person", "why", "change"))
    if not found:
        return
    page.section(OnPlan.NOT_PLANNED)
    rows: list[Cells] = []
    for (person, why, change), of in found.items():
        methods = tuple(row["method"] for row in of)
        told = phrase(OnPlan.NOT_PLANNED_WHY, methods=methods, why=why) if any(methods) else why
        told = phrase(OnPlan.CHANGED_BY, told=told, change=change) if change else told
        rows.append([view.called(person) or OnPlan.EVERYBODY, told])
    page.table([], rows, (2, page.columns - 2))


def _cash(page: Page, view: View, brief: int) -> None:
    plan = view.document["plan"]
    rows = view.document["shopping"]
    if not plan["volume_planned"]["value"] or (plan["cash"]["value"] is None and not rows):
        return
    page.section(OnPlan.CASH)
    page.text(" ".join(_sums(view, brief)))
    by_purpose = grouped(rows, itemgetter("purpose"))
    listed = [(purpose, tuple(_goods(view, of))) for purpose, of in by_purpose.items()]
    if brief >= RUN_IN:
        joined = ((purpose, RUN_ON.join(map(_whole, goods))) for purpose, goods in listed)
        run_in = (phrase(OnPlan.GOODS_OF, purpose=purpose, goods=goods) for purpose, goods in joined)
        page.text(RUN_ON.join(run_in), styles.REMARK)
    else:
        page.table(
            [],
            [[purpose, _packed(page, 2, page.columns - 2, goods)] for purpose, goods in listed],
            (2, page.columns - 2),
        )
    if plan["seasoned"] and (brief < FEWER_NOTES or not plan["late"]):
        page.text(said(OnPlan.SEASONED, seasoned=plan["seasoned"]), styles.NOTE)
    page.text(plan["late"], styles.NOTE)


def _sums(view: View, brief: int) -> Iterator[str]:
    """The plan's cash and the sum of the list, or why one is not known; and how they differ."""
    plan = view.document["plan"]
    cash, to_buy = plan["cash"], plan["to_buy"]
    is_cash, is_sum = cash["value"] is not None, to_buy["value"] is not None
    if cash["value"] == to_buy["value"] == 0:
        yield words(OnPlan.NO_CASH_LISTED if view.document["shopping"] else OnPlan.NO_CASH)
        return
    yield phrase(OnPlan.CASH_TEXT if is_cash else OnPlan.CASH_NOT_KNOWN, cash=view.text(cash))
    yield phrase(OnPlan.TO_BUY if is_sum else OnPlan.TO_BUY_NOT_KNOWN, to_buy=view.middle(to_buy))
    if not is_cash or not is_sum:
        return
    if any(row["code"] == LIST_OVER_LIMIT for row in view.document["problems"]):
        yield words(OnPlan.LIST_OVER_LIMIT)
    elif brief < RUN_IN:
        yield words(OnPlan.CASH_NOTE)
    if rented := _rented(view, {row["method"] for row in view.document["plan_mix"]}):
        how = OnPlan.RENT_BY_DAYS if plan["sessions"] else OnPlan.RENT_BY_WOOD
        yield phrase(OnPlan.RENT_APART, tools=rented, how=words(how))


def _rented(view: View, planned: Collection[str]) -> tuple[str, ...]:
    """What is rented for the methods of a plan."""
    tools = (tool for one in view.methods if one.name in planned for tool in one.tools)
    return tuple(dict.fromkeys(tool for tool in tools if view.way_of_having(tool) == RENTED))


def _days_of(view: View, tool: str) -> set[str]:
    """Days on which a plan has a tool in use."""
    methods = {one.name for one in view.methods if tool in one.tools}
    return {row["date"] for row in view.document["plan"]["sessions"] if row["method"] in methods}


def _goods(view: View, rows: Sequence[Row]) -> Iterator[str]:
    """What to buy for one purpose; of a drawer full of receipts the first ones, and what the others come to."""
    for row in rows[:MOST_GOODS]:
        about = {"item": row["item"], "how_much": _how_much(view, row), "price": view.middle(row["cost"])}
        yield phrase(OnPlan.GOOD if row["cost"]["value"] != 0 else OnPlan.GOOD_FREE, **about)
    if rest := rows[MOST_GOODS:]:
        costs = [row["cost"]["value"] for row in rest if row["cost"]["value"] is not None]
        yield phrase(OnPlan.MORE_GOODS, n=len(rest), price=view.middle({**rest[0]["cost"], "value": sum(costs)}))


def _how_much(view: View, row: Row) -> str:
    if row["purpose"] == words(Phrase.TOOL):
        return str(row["words"])
    if row["liquid"]["value"] is not None:
        return phrase(OnPlan.LIQUID, liquid=view.text(row["liquid"]), unit=row["liquid"]["unit"])
    if row["pieces"]["value"] is not None:
        return f"{row['pieces']['value']:,.0f}"
    return str(row["words"])
