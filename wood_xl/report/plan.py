"""The sheet Plan: who does what in which week, what is not planned and why, and what to buy."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Iterator, Sequence
from operator import itemgetter

from wood_xl.data.cautions import without_gear
from wood_xl.data.trade import tool_kinds
from wood_xl.ids import Phrase
from wood_xl.io import measure
from wood_xl.notes.names import plain
from wood_xl.page_texts import OnAnswer, OnPlan
from wood_xl.reasons import said
from wood_xl.report import styles
from wood_xl.report.body import may_be_very_high
from wood_xl.report.figure_text import figure_text, ranged, typed_text
from wood_xl.report.layout import Cells, Page, Span, most_px
from wood_xl.report.view import Row, View, day
from wood_xl.results.figures import grouped
from wood_xl.schema.words import NO_BREAK, capital, number_text, phrase, words
from wood_xl.verdicts import Mind, NotPlanned, Weekday

WEEK_PX, DONE_PX = 57, 82
ONE_PAGE_WEEKS = 16  # that one printed page holds
SHORT_LINES, RUN_IN, FEWER_NOTES = 1, 2, 3  # levels of shortening, each with those before it
LEVELS = 4
MOST_GOODS = 20  # of one purpose in the shopping list; nobody carries more of them to a store
MOST_COLUMNS = 4  # one for each person; more people share one
LEAST_PARTS = 4  # grid columns between the first and the last, which the tables below need
WEEK_DAYS = 7
ABOUT = ("departures", "quickest", "ways")  # how the plan differs from the verdicts, and how to get all the wood
SHORT_DAY = 3
RUN_ON = f"{NO_BREAK}{NO_BREAK} "  # separates what shares a line; programs keep these blanks
MOST_WHOLE = 60  # letters of a text that is kept on one line
RENTED = "rented"
LIST_OVER_LIMIT = "plan-outlay-over-limit"
MIND_JOINT = "; "  # between what to mind in a session
TRIAL_TURNS = (Mind.TRIAL_FIRST, Mind.TRIAL_THEN)


def plan_page(view: View) -> Page | None:
    """The page; None in a shared copy, and where no wood is wanted.

    A plan of up to 16 weeks is shortened step by step until it fits on one printed page. One that never fits, or is
    longer, is written in full, or with short words for its work if that saves a page.
    """
    plan = view.document["plan"]
    if view.is_shared or not (plan["volume_planned"]["value"] or plan["ways"]):
        return None
    people = _people(view)
    columns = max(LEAST_PARTS, 2 * len(people)) if len(people) <= MOST_COLUMNS else LEAST_PARTS
    part_px = (most_px(columns + 2) - WEEK_PX - DONE_PX) // columns
    pages = []
    for level in range(LEVELS if len(_by_week(view)) <= ONE_PAGE_WEEKS else SHORT_LINES + 1):
        page = Page([WEEK_PX, *([part_px] * columns), DONE_PX], view.facts)
        _fill(page, view, people if len(people) <= MOST_COLUMNS else [], level)
        if len(page.pages()) == 1:
            return page
        pages.append(page)
    return min(pages[: SHORT_LINES + 1], key=lambda page: len(page.pages()))


def _fill(page: Page, view: View, people: Sequence[str], level: int) -> None:
    plan = view.document["plan"]
    _title(page, view, level)
    for caution in _cautions(view):
        page.text(caution, styles.REMARK)
    if plan["sessions"]:
        is_starred = _weeks(page, view, people, is_brief=level >= SHORT_LINES)
        page.text(" ".join(_notes(view, level, is_starred=is_starred)), styles.REMARK)
    elif plan["volume_planned"]["value"]:
        page.text(said(OnPlan.NOT_DATED, why=plan["last_session"]))
    _wear(page, view, level)
    _not_planned(page, view)
    _cash(page, view, level)


def _people(view: View) -> list[str]:
    """Everybody in the plan: those who worked in the season first."""
    planned = dict.fromkeys(row["person"] for row in view.document["plan"]["sessions"])
    return [who for who in view.people if who in planned] + [who for who in planned if who not in view.people]


def _title(page: Page, view: View, level: int) -> None:
    plan = view.document["plan"]
    volume = plan["volume_planned"]["value"]
    if not volume:
        wanted = plan["volume_wanted"]["value"]
        limits = phrase(OnPlan.LIMITS, limits=plan["limits"])
        page.title(view.say(OnPlan.TITLE_NOTHING, volume=wanted), f"{limits} {_sentences(view, 'ways')}")
        return
    amount = {"volume": volume, "woods": view.woods_of(f"{volume:g}")}
    title = said(OnPlan.TITLE_NO_DATE, **amount)
    if _is_date(plan["ready_by"]) and plan["start"] <= plan["ready_by"]:
        title = said(OnPlan.TITLE, **amount, date=day(plan["ready_by"]))
    hours = view.document["inputs"].get("next_season", {}).get("hours_per_week")
    per_week = ""
    if hours is not None and plan["sessions"]:
        weekday = weekday_name(_start(view))
        per_week = phrase(OnPlan.PER_WEEK, hours=typed_text(float(hours)), weekday=weekday)
    tick = words(OnPlan.TICK) if plan["sessions"] else ""
    lines = [phrase(OnPlan.SUBTITLE, per_week=per_week, hours=ranged(plan["worker_hours"]), tick=tick)]
    if level < FEWER_NOTES or plan["shortfall"]["value"]:
        lines.append(phrase(OnPlan.LIMITS, limits=plan["limits"]))
    if plan["shortfall"]["value"]:
        lines.append(view.say(OnPlan.SHORT, short=number_text(plan["shortfall"]["value"])))
    page.title(title, " ".join(lines))
    page.text(_sentences(view, *ABOUT), styles.REMARK)


def _sentences(view: View, *keys: str) -> str:
    """Items of the plan, each as a sentence."""
    texts = (str(view.document["plan"].get(key, "")) for key in keys)
    return " ".join(capital(text) for text in texts if text)


def _is_date(text: str) -> bool:
    try:
        dt.date.fromisoformat(text)
    except ValueError:
        return False
    return True


def _start(view: View) -> dt.date:
    """First day of the first week: the start of the plan, from which its weekly limit is counted."""
    plan = view.document["plan"]
    first = min(row["date"] for row in plan["sessions"])
    return dt.date.fromisoformat(plan["start"] if _is_date(plan["start"]) else first)


def weekday_name(date: dt.date) -> str:
    """Name of the day of the week."""
    return [words(name) for name in Weekday][date.weekday()]


def _by_week(view: View) -> dict[int, list[Row]]:
    sessions = view.document["plan"]["sessions"]
    return grouped(sessions, lambda row: (dt.date.fromisoformat(row["date"]) - _start(view)).days // WEEK_DAYS)


def _weeks(page: Page, view: View, people: Sequence[str], *, is_brief: bool) -> bool:
    """Add the table of weeks; returns whether a star in it marks a heart rate that is not known."""
    unknown = _rates_not_known(view)
    of_person = grouped(view.document["plan"]["sessions"], itemgetter("person"))
    dates = {person: {row["date"] for row in rows} for person, rows in of_person.items()}
    always = {person for person in people if person in unknown and unknown[person] == dates[person]}
    open_rate = OnPlan.RATE_OPEN_BRIEF if is_brief else OnPlan.RATE_OPEN
    names = {person: view.short_name(person) for person in people}
    who = [said(open_rate, person=name) if one in always else name for one, name in names.items()] or [OnPlan.WHO]
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
                # No star where the head of the column already says that no heart rate is known.
                is_starred = row["person"] not in always and row["date"] in unknown.get(row["person"], ())
                work = _work(view, row, weeks[week], is_named=not people, is_brief=is_brief)
                lines.append(phrase(OnPlan.RATE_OPEN_AT, work=work) if is_starred else work)
            cells.append("\n".join(lines) if len(people) > 1 else _packed(page, 1, page.columns - 2, lines))
        done = _done_by(view, first, last, done)
        cells.append("\n".join(done.values()))
        rows.append(cells)
    page.table([OnPlan.WEEK, *who, OnPlan.BY_THEN], rows, (1, *[(page.columns - 2) // len(who)] * len(who), 1))
    return bool(is_brief and always) or bool(unknown.keys() - always)


def _packed(page: Page, first: int, columns: int, parts: Iterable[str]) -> str:
    """The parts in as few lines as possible, none broken, in a cell over these columns."""
    room, look = page.room(first, Span("", columns=columns)), styles.CELL
    lines: list[str] = []
    for part in parts:
        longer = f"{lines[-1]}{RUN_ON}{part}" if lines else part
        if lines and measure.lines_within(longer, room, look.size) > 1:
            lines.append(part)
        else:
            lines[-1:] = [longer]
    return "\n".join(lines)


def _unbroken(text: str) -> str:
    """The text with blanks at which no line breaks, if it is short."""
    return text.replace(" ", NO_BREAK) if len(text) <= MOST_WHOLE else text


def _rates_not_known(view: View) -> dict[str, set[str]]:
    """For each person the days of planned sessions with a heart rate that is not known."""
    mark = words(Mind.RATE_NOT_KNOWN)
    sessions = (row for row in view.document["plan_sessions"] if mark in row["mind"].split(MIND_JOINT))
    return {who: {row["date"] for row in rows} for who, rows in grouped(sessions, itemgetter("who")).items()}


def _work(view: View, row: Row, week: Sequence[Row], *, is_named: bool, is_brief: bool) -> str:
    """A session of a week; two people who work with one engine or motor on the same day take turns at it."""
    date = dt.date.fromisoformat(row["date"])
    method = view.short_of_all(row["method"]) if is_brief else row["method"]
    facts = {"weekday": weekday_name(date)[:SHORT_DAY], "day": date.day, "method": method, "minutes": row["minutes"]}
    if is_named:
        word = OnPlan.PERSON_WORK_BRIEF if is_brief else OnPlan.PERSON_WORK
        work = phrase(word, person=view.short_name(row["person"]), **facts)
    else:
        work = phrase(OnPlan.WORK_BRIEF if is_brief else OnPlan.WORK, **facts)
    others = (one["method"] for one in week if one["person"] != row["person"] and one["date"] == row["date"])
    if not is_brief and any(_share_an_engine(view, row["method"], other) for other in others):
        work = phrase(OnPlan.IN_TURNS, work=work)
    if row["in_sight"]:
        word = OnPlan.IN_SIGHT_BRIEF if is_brief else OnPlan.IN_SIGHT
        work = phrase(word, work=work, person=view.short_name(row["in_sight"]))
    turn = next((mind for mind in map(words, TRIAL_TURNS) if mind in row["mind"].split(MIND_JOINT)), None)
    return work if turn is None else phrase(OnPlan.TRIAL_AT, work=work, mind=turn)


def _share_an_engine(view: View, method: str, other: str) -> bool:
    """Whether two methods, or one that two people do, need the same tool with an engine or a motor."""
    if method == other:
        return view.method(method).is_powered
    noted = view.noted("tools", "tool")
    shared = {plain(tool) for tool in view.method(method).tools} & {plain(tool) for tool in view.method(other).tools}
    kinds = (tool_kinds().get(noted.get(tool, {}).get("kind", "")) for tool in shared)
    return any(kind is None or kind.is_powered for kind in kinds)


def _done_by(view: View, first: dt.date, last: dt.date, before: Iterable[str]) -> dict[str, str]:
    """How much is done at the end of a week of each task worked at in it; tasks of the week before come first."""
    done = dict.fromkeys(before, "")
    for row in view.document["plan_sessions"]:
        if first.isoformat() <= row["date"] <= last.isoformat() and row["task_volume"]["value"] is not None:
            volume = number_text(row["task_volume"]["value"])
            done[row["task"]] = phrase(OnPlan.DONE, task=row["task"], volume=volume)
    return {task: text for task, text in done.items() if text}


def _cautions(view: View) -> Iterator[str]:
    """Grave cautions of planned work, such as felling, that the list of gear does not cover."""
    planned = {row["method"] for row in view.document["plan_mix"]}
    for caution in without_gear([method.task for method in view.methods if method.name in planned]):
        yield phrase(OnAnswer.CAUTION, title=caution.title, text=caution.text)


def _notes(view: View, level: int, *, is_starred: bool) -> Iterator[str]:
    """What to mind, of saw, axe or maul where they are planned, and of trial days, rest and rented tools."""
    sessions = view.document["plan"]["sessions"]
    minded = {mind for row in sessions for mind in row["mind"].split(MIND_JOINT)}
    if level >= SHORT_LINES:
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
    if level < FEWER_NOTES:
        star = words(OnPlan.STAR) if is_starred else ""
        is_unknown = any(_rates_not_known(view).values())
        yield phrase(OnPlan.REST_AND_RATE_NOTE, star=star) if is_unknown else words(OnPlan.REST_NOTE)
    elif is_starred:
        yield words(OnPlan.RATE_NOTE)
    by_person = grouped(sessions, itemgetter("person"))
    may_be = {
        person: [name for name in dict.fromkeys(row["method"] for row in own) if may_be_very_high(view, person, name)]
        for person, own in by_person.items()
    }
    parts = tuple(
        phrase(OnPlan.MAY_BE_AT, person=view.short_name(person), methods=tuple(names))
        for person, names in may_be.items()
        if names
    )
    if parts:
        yield phrase(OnPlan.MAY_BE_NOTE, parts=parts)
    if rented := _rented(view, {row["method"] for row in sessions}):
        tools = (phrase(OnPlan.RENTED_DAYS, tool=tool, n=len(_days_in_use(view, tool))) for tool in rented)
        yield phrase(OnPlan.RENTED_NOTE, tools=tuple(tools))
    yield words(OnPlan.TIRED)


def _wear(page: Page, view: View, level: int) -> None:
    """The gear of each method in full, and how much wood is planned with it."""
    mix = view.document["plan_mix"]
    if not mix:
        return
    head = view.say(OnPlan.WEAR)
    if level < FEWER_NOTES:
        page.section(head)
    if level >= RUN_IN:
        parts = [
            phrase(OnPlan.WEAR_OF, method=row["method"], volume=figure_text(row["volume"]), wear=row["wear"])
            for row in mix
        ]
        page.text(" ".join(parts if level < FEWER_NOTES else (f"{head}:", *parts)), styles.REMARK)
        return
    rows = [[row["method"], row["wear"], Span(figure_text(row["volume"]), styles.APART)] for row in mix]
    page.table([], rows, (2, page.columns - 3, 1))


def _not_planned(page: Page, view: View) -> None:
    with_ids = zip(view.document["plan_left_out"], view.document["plan"]["left_out"], strict=True)
    # Where nobody may do a method, the rows of the persons say why.
    left_out = [row for row, ids in with_ids if ids["reason"] != NotPlanned.NOBODY_MAY.key]
    if not left_out:
        return
    page.section(OnPlan.NOT_PLANNED)
    rows: list[Cells] = []
    for (person, why, change), alike in grouped(left_out, itemgetter("person", "why", "change")).items():
        methods = tuple(row["method"] for row in alike)
        reason = phrase(OnPlan.NOT_PLANNED_WHY, methods=methods, why=why) if any(methods) else why
        reason = phrase(OnPlan.CHANGED_BY, told=reason, change=change) if change else reason
        rows.append([view.short_name(person) or OnPlan.EVERYBODY, reason])
    page.table([], rows, (2, page.columns - 2))


def _cash(page: Page, view: View, level: int) -> None:
    plan = view.document["plan"]
    rows = view.document["shopping"]
    if not plan["volume_planned"]["value"] or (plan["cash"]["value"] is None and not rows):
        return
    page.section(OnPlan.CASH)
    page.text(" ".join(_sums(view, level)))
    by_purpose = grouped(rows, itemgetter("purpose"))
    goods_for = {purpose: list(_goods(view, of)) for purpose, of in by_purpose.items()}
    if level >= RUN_IN:
        run_in = (
            phrase(OnPlan.GOODS_OF, purpose=_unbroken(purpose), goods=RUN_ON.join(map(_unbroken, goods)))
            for purpose, goods in goods_for.items()
        )
        page.text(RUN_ON.join(run_in), styles.REMARK)
    else:
        room = page.columns - 2
        page.table([], [[purpose, _packed(page, 2, room, goods)] for purpose, goods in goods_for.items()], (2, room))
    if plan["late"] and level >= FEWER_NOTES:
        page.text(plan["late"], styles.NOTE)
    elif plan["seasoned"]:
        page.text(said(OnPlan.SEASONED, seasoned=plan["seasoned"]), styles.NOTE)


def _sums(view: View, level: int) -> Iterator[str]:
    """The plan's cash and the sum of the shopping list, or why one is not known; and how the two differ."""
    plan = view.document["plan"]
    cash, to_buy = plan["cash"], plan["to_buy"]
    is_cash, is_sum = cash["value"] is not None, to_buy["value"] is not None
    if cash["value"] == to_buy["value"] == 0:
        yield words(OnPlan.NO_CASH_LISTED if view.document["shopping"] else OnPlan.NO_CASH)
        return
    yield phrase(OnPlan.CASH_TEXT if is_cash else OnPlan.CASH_NOT_KNOWN, cash=view.text(cash))
    yield phrase(OnPlan.TO_BUY if is_sum else OnPlan.TO_BUY_NOT_KNOWN, to_buy=view.value_text(to_buy))
    if not is_cash or not is_sum:
        return
    if any(row["code"] == LIST_OVER_LIMIT for row in view.document["problems"]):
        yield words(OnPlan.LIST_OVER_LIMIT)
    elif level < RUN_IN:
        yield words(OnPlan.CASH_NOTE)
    if rented := _rented(view, {row["method"] for row in view.document["plan_mix"]}):
        how = OnPlan.RENT_BY_DAYS if plan["sessions"] else OnPlan.RENT_BY_WOOD
        yield phrase(OnPlan.RENT_APART, tools=rented, how=words(how))


def _rented(view: View, planned: Collection[str]) -> tuple[str, ...]:
    """Tools that are rented for the planned methods."""
    tools = (tool for method in view.methods if method.name in planned for tool in method.tools)
    return tuple(dict.fromkeys(tool for tool in tools if view.how_held(tool) == RENTED))


def _days_in_use(view: View, tool: str) -> set[str]:
    """Days on which a tool is in use by the plan."""
    methods = {method.name for method in view.methods if tool in method.tools}
    return {row["date"] for row in view.document["plan"]["sessions"] if row["method"] in methods}


def _goods(view: View, rows: Sequence[Row]) -> Iterator[str]:
    """What to buy for one purpose; of a long list the first items, and the sum of the others."""
    for row in rows[:MOST_GOODS]:
        how_much, price = _how_much(view, row), view.value_text(row["cost"])
        if how_much and row["cost"]["value"] != 0:
            yield phrase(OnPlan.GOOD, item=row["item"], how_much=how_much, price=price)
        else:  # where the amount is not known, the price says why
            yield phrase(OnPlan.GOOD_FREE, item=row["item"], how_much=how_much or price)
    if rest := rows[MOST_GOODS:]:
        costs = [row["cost"]["value"] for row in rest if row["cost"]["value"] is not None]
        yield phrase(OnPlan.MORE_GOODS, n=len(rest), price=view.value_text({**rest[0]["cost"], "value": sum(costs)}))


def _how_much(view: View, row: Row) -> str:
    if row["purpose"] == words(Phrase.TOOL):
        return str(row["words"])
    if row["liquid"]["value"] is not None:
        return phrase(OnPlan.LIQUID, liquid=view.text(row["liquid"]), unit=row["liquid"]["unit"])
    if row["pieces"]["value"] is not None:
        return f"{row['pieces']['value']:,.0f}"
    return str(row["words"])
