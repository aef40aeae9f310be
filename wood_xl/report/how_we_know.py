"""The sheet How we know: how the trial was done and computed, four numbers step by step, and all cautions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from operator import itemgetter

from openpyxl.utils import quote_sheetname

from wood_xl.data.load import spoken_tree
from wood_xl.data.trade import tasks
from wood_xl.page_texts import Glossary, HowWeKnow
from wood_xl.reasons import Word, said
from wood_xl.report import styles
from wood_xl.report.answer import who_did_what
from wood_xl.report.figure_text import ranged, typed_text
from wood_xl.report.layout import Cells, Page, Span
from wood_xl.report.money import has_cash
from wood_xl.report.view import Row, View, dates_text, day, noted_session
from wood_xl.results import worked
from wood_xl.results.figures import figure_column, grouped
from wood_xl.results.made_of import BETWEEN
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import joined, phrase, words

HOURS = "worker_hours"
WIDTHS = (122, 133, 77, 184, 88, 94)
STEP_SPANS = (4, 1, 1)
NOTED = (
    ("cuts", "diameter", HowWeKnow.BY_CUTS),
    ("tally", "classes", HowWeKnow.BY_CUTS),
    ("stacks", "height", HowWeKnow.BY_STACKS),
    ("sessions", "mean_heart_rate", HowWeKnow.BY_RATE),
    ("sessions", "fuel_used", HowWeKnow.BY_FUEL),
    ("sessions", "electricity_used", HowWeKnow.BY_METER),
)


def how_page(view: View) -> Page:
    """The page."""
    page = Page(WIDTHS, view.facts)
    page.title(HowWeKnow.TITLE, HowWeKnow.SUBTITLE)
    for label, text in _statements(view):
        page.statement(label, text, styles.REMARK if label is HowWeKnow.GLOSSARY else styles.TEXT)
    _who(page, view)
    _worked(page, view)
    page.section(HowWeKnow.CAUTIONS)
    for row in view.document["cautions"]:
        page.text(said(HowWeKnow.CAUTION, title=row["title"], text=row["text"]), styles.ONE_CAUTION)
    return page


def _statements(view: View) -> Iterator[tuple[Word, str]]:
    """Label and text of each paragraph."""
    if view.document["sessions"] and view.tasks:
        yield HowWeKnow.TRIAL, _trial(view)
        yield HowWeKnow.COUNTED, _counted(view)
    yield HowWeKnow.TERMS, words(HowWeKnow.TERMS_TEXT)
    yield HowWeKnow.MADE, words(HowWeKnow.MADE_TEXT)
    yield HowWeKnow.MEANS, words(HowWeKnow.MEANS_TEXT)
    percent = view.season["practical_margin"]["value"]
    margin = "" if percent is None else phrase(HowWeKnow.MARGIN, percent=percent)
    yield HowWeKnow.THE_WORDS, phrase(HowWeKnow.WORDS_TEXT, margin=margin)
    explained_above = (Glossary.BAND, Glossary.SETTLED, Glossary.EQUAL, Glossary.METHOD)
    other_unit = Glossary.CORD if view.is_metric else Glossary.STACKED
    entries = (word for word in Glossary if word not in (*explained_above, other_unit))
    yield HowWeKnow.GLOSSARY, " ".join(map(words, entries))
    people_n = len(view.people)
    people = words(HowWeKnow.PERSON) if people_n == 1 else phrase(HowWeKnow.PERSONS, n=people_n)
    n = len(view.noted_sessions)
    sessions = words(HowWeKnow.SESSION) if n == 1 else phrase(HowWeKnow.SESSIONS, n=n)
    estimates = words(HowWeKnow.ESTIMATES) if has_cash(view) else ""
    limits = phrase(HowWeKnow.LIMITS_TEXT, sessions=sessions, people=people, estimates=estimates)
    yield HowWeKnow.LIMITS, " ".join((limits, *who_did_what(view)))
    yield HowWeKnow.CHECK, words(HowWeKnow.CHECK_TEXT)


def _trial(view: View) -> str:
    notes = view.document["inputs"]
    dates = [row["date"] for row in view.document["sessions"] if row["date"]]
    species = tuple(
        phrase(HowWeKnow.SHARE_OF, percent=float(row["share"]), species=spoken_tree(row["species"]))
        if "share" in row
        else spoken_tree(row["species"])
        for row in notes.get("wood", ())
        if "species" in row
    )
    stick = view.season["stick_length"]
    wood = ""
    if species:
        word = HowWeKnow.WOOD_TEXT if stick["value"] is None else HowWeKnow.WOOD_AND_STICKS
        length = "" if stick["value"] is None else f"{typed_text(stick['value'])} {stick['unit']}"
        wood = phrase(word, species=species, stick=length)
    others = (words(word) for sheet, key, word in NOTED if any(key in row for row in notes.get(sheet, ())))
    noted = tuple(dict.fromkeys((words(HowWeKnow.BY_WATCH), *others)))
    on = phrase(HowWeKnow.ON_A_DAY, date=dates_text(dates)) if dates else ""
    if len(set(dates)) > 1:
        on = phrase(HowWeKnow.ON_DAYS, days=len(set(dates)), dates=dates_text(dates))
    is_of_one = len(view.people) == 1
    is_planned = "first_day" in notes.get("trial", {})  # a plan said who does what, and when
    word = HowWeKnow.TRIAL_OF_ONE if is_of_one else HowWeKnow.TRIAL_TEXT
    names = dict.fromkeys(tasks()[method.task].name for method in view.noted_methods)
    doing = tuple(names) or (words(HowWeKnow.MAKING),)
    text = phrase(word, people=len(view.people), doing=doing, on=on, wood=wood, noted=noted)
    return text if is_of_one or is_planned else text + words(HowWeKnow.PICKED)


def _counted(view: View) -> str:
    noted = view.noted_sessions
    out = [row for row in view.document["sessions"] if row["session"] in view.left_out]
    if not out:
        return words(HowWeKnow.ONE_COUNTED if len(noted) == 1 else HowWeKnow.ALL_COUNTED)
    counted = [row for row in noted if row not in out]
    text = phrase(HowWeKnow.COUNTED_TEXT, counted=len(counted), all=len(noted))
    effects = [_with_effect(view, row) for row in out]
    without = (row for row, effect in zip(out, effects, strict=True) if not effect)
    text += "".join(effects)
    text += "".join(_without_effect(rows, why) for why, rows in grouped(without, itemgetter("state")).items())
    computed = {row["session"] for row in view.document["left_out"]}
    others = (row for row in out if row["session"] not in computed)
    is_more = any(row["worker_hours_per_cord"]["value"] is not None for row in others)
    return text + (phrase(HowWeKnow.FIRST_OUT, n=len(computed)) if is_more else "")


def _with_effect(view: View, session: Row) -> str:
    """Why a session does not count, and the hours of its method with it; empty where these are not known."""
    row = view.row("left_out", session=session["session"], figure=figure_column(HOURS).title)
    if row is None or row["with_it"]["value"] is None or row["without_it"]["value"] is None:
        return ""
    change = ""
    if view.open_tasks:
        is_same = row["verdict"] == row["verdict_with_it"]
        change = words(HowWeKnow.STAYS) if is_same else phrase(HowWeKnow.CHANGES, verdict=row["verdict_with_it"])
    figures = {"with_it": ranged(view.per_unit(row["with_it"])), "without": ranged(view.per_unit(row["without_it"]))}
    return view.say(HowWeKnow.LEFT_OUT, **_about(session), **figures, why=row["why"], change=change)


def _without_effect(rows: list[Row], why: str) -> str:
    if len(rows) == 1:
        return phrase(HowWeKnow.LEFT_OUT_PLAIN, **_about(rows[0]), why=why)
    return phrase(HowWeKnow.SEVERAL_OUT, sessions=tuple(row["session"] for row in rows), why=why)


def _about(session: Row) -> dict[str, str]:
    date = day(session["date"], year=False) if session["date"] else ""
    return {"session": session["session"], "method": session["method"], "date": date}


def _who(page: Page, view: View) -> None:
    page.section(HowWeKnow.WHO)
    who_head = "" if view.is_shared else HowWeKnow.BY_WHOM
    heads = ["", HowWeKnow.TOOLS, HowWeKnow.COUNTED_HEAD, who_head, HowWeKnow.MEASURED_BY]
    rows: list[Cells] = []
    for method in view.methods:
        sessions = view.rows("sessions", method=method.name)
        counted = [row for row in sessions if row["session"] not in view.left_out]
        out = [row for row in sessions if row["session"] in view.left_out]
        who = _times(view, counted)
        if out:
            who = (*who, phrase(HowWeKnow.LEFT_OUT_TIMES, times=_times(view, out)))
        tools = ", ".join(method.tools) or HowWeKnow.NO_TOOLS
        of_all = said(HowWeKnow.OF, k=len(counted), n=len(sessions))
        by_whom = "" if view.is_shared else ", ".join(who)
        measured = dict.fromkeys(row["measured"] for row in sessions if row["measured"])
        rows.append([method.name, tools, of_all, by_whom, ", ".join(measured)])
    page.table(heads, rows, (1, 1, 1, 2, 1))


def _times(view: View, sessions: list[Row]) -> tuple[str, ...]:
    """How many of these sessions each crew did."""
    crews = (view.workers.get(noted_session(row), [""]) for row in sessions)
    counts = Counter(joined([view.short_name(who) for who in crew]) for crew in crews)
    return tuple(phrase(HowWeKnow.TIMES, who=who, n=n) for who, n in counts.items() if who)


def _worked(page: Page, view: View) -> None:
    numbers = view.document["worked"]
    if not numbers:
        return
    page.section(HowWeKnow.WORKED)
    figures = {row["id"]: row for row in view.document["figures"]}
    for number, one in enumerate(numbers, start=1):
        if number > 1:
            page.new_group()
        text = _title_of(view, figures[one["figure"]])
        page.text(said(HowWeKnow.WORKED_TITLE, number=number, text=text), styles.PART_TITLE)
        for at, step in enumerate(one["steps"]):
            if at:
                page.new_group()  # a page may end after any line but the heading
            page.table([], [_line(view, step)])


def _title_of(view: View, figure: Row) -> str:
    """What a number means, in a few words."""
    name, method = figure["id"].partition(" ")[0], figure["method"]
    cell = view.in_table(figure)
    if name == worked.KCAL:
        return phrase(HowWeKnow.EFFORT, session=figure["session"], figure=view.text(cell))
    if name == worked.SAVED:
        return phrase(HowWeKnow.SAVED, figure=view.text(cell), method=method.split(BETWEEN)[0])
    word = HowWeKnow.CASH if name == worked.CASH else HowWeKnow.TAKES
    return view.say(word, method=method, figure=view.unit_text(cell))


def _line(view: View, step: Row) -> Cells:
    sheet, cell = view.places.cell(step["link"])
    text, value, place = STEP_SPANS
    link = Span(f"{sheet}!{cell}", styles.LINKED, place, f"{quote_sheetname(sheet)}!{cell}")
    unit = season_definition().column("season.yearly_volume").unit_in(view.system)
    amount = step["value"].replace(unit, view.wood)  # as the other pages write it
    return [Span(step["text"], columns=text), Span(amount, styles.APART, value), link]
