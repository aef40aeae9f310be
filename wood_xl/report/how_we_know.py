"""The sheet How we know: how the trial was done and worked out, four numbers step by step, and all cautions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from openpyxl.utils import quote_sheetname

from wood_xl.data.trade import tasks
from wood_xl.notes.names import plain
from wood_xl.report import styles
from wood_xl.report.charts import ChartData
from wood_xl.report.figure_text import ranged, typed_text
from wood_xl.report.layout import Cells, Page, Span
from wood_xl.report.sessions import workers_by_session
from wood_xl.report.view import Row, View, day, days_between
from wood_xl.report.worked import HOURS, worked_numbers
from wood_xl.results.figures import figure_column
from wood_xl.schema.words import joined, phrase, words
from wood_xl.trial_words import Glossary, HowWeKnow

WIDTHS = (118, 115, 115, 115, 117, 113)
STEP_SPANS = (3, 2, 1)
NOTED = (
    ("cuts", "diameter", HowWeKnow.BY_CUTS),
    ("stacks", "height", HowWeKnow.BY_STACKS),
    ("sessions", "mean_heart_rate", HowWeKnow.BY_RATE),
    ("sessions", "fuel_used", HowWeKnow.BY_FUEL),
    ("sessions", "electricity_used", HowWeKnow.BY_METER),
)


def how_page(view: View, data: ChartData) -> Page:
    """The page."""
    del data  # no chart here
    page = Page(WIDTHS)
    page.title(words(HowWeKnow.TITLE), words(HowWeKnow.SUBTITLE))
    for label, text in _statement(view):
        page.statement(words(label), text)
    _who(page, view)
    page.section(words(HowWeKnow.GLOSSARY))
    other_unit = Glossary.CORD if view.is_metric else Glossary.STACKED
    told = [words(word) for word in Glossary]
    page.text(" ".join(text for text in told if text != words(other_unit)), styles.REMARK)
    _worked(page, view)
    page.section(words(HowWeKnow.CAUTIONS))
    for row in view.document["cautions"]:
        page.text(phrase(HowWeKnow.CAUTION, title=row["title"], text=row["text"]), styles.ONE_CAUTION)
    return page


def _statement(view: View) -> Iterator[tuple[HowWeKnow, str]]:
    if view.document["sessions"]:
        yield HowWeKnow.TRIAL, _trial(view)
        yield HowWeKnow.COUNTED, _counted(view)
    yield HowWeKnow.TERMS, words(HowWeKnow.TERMS_TEXT)
    yield HowWeKnow.MADE, words(HowWeKnow.MADE_TEXT)
    yield HowWeKnow.MEANS, words(HowWeKnow.MEANS_TEXT)
    percent = view.season["practical_margin"]["value"]
    margin = "" if percent is None else phrase(HowWeKnow.MARGIN, percent=percent)
    yield HowWeKnow.THE_WORDS, phrase(HowWeKnow.WORDS_TEXT, margin=margin)
    people_n = len(view.people)
    people = words(HowWeKnow.PERSON) if people_n == 1 else phrase(HowWeKnow.PERSONS, n=people_n)
    sessions = len(view.document["sessions"])
    yield HowWeKnow.LIMITS, phrase(HowWeKnow.LIMITS_TEXT, sessions=sessions, people=people)
    yield HowWeKnow.CHECK, words(HowWeKnow.CHECK_TEXT)


def _trial(view: View) -> str:
    notes = view.document["inputs"]
    dates = [row["date"] for row in view.document["sessions"] if row["date"]]
    species = tuple(
        phrase(HowWeKnow.SHARE_OF, percent=float(row["share"]), species=row["species"])
        if "share" in row
        else row["species"]
        for row in notes.get("wood", ())
        if "species" in row
    )
    stick = view.season["stick_length"]
    wood = ""
    if species:
        word = HowWeKnow.WOOD_TEXT if stick["value"] is None else HowWeKnow.WOOD_AND_STICKS
        length = "" if stick["value"] is None else f"{typed_text(stick['value'])} {stick['unit']}"
        wood = phrase(word, species=species, stick=length)
    noted = tuple(words(word) for sheet, key, word in NOTED if any(key in row for row in notes.get(sheet, ())))
    word = HowWeKnow.TRIAL_OF_ONE if len(view.people) == 1 else HowWeKnow.TRIAL_TEXT
    return phrase(
        word,
        people=len(view.people),
        doing=tuple(tasks()[task].name for task in view.tasks),
        days=len(set(dates)),
        dates=days_between(dates) if dates else "",
        wood=wood,
        noted=(words(HowWeKnow.BY_WATCH), *noted),
    )


def _counted(view: View) -> str:
    rows = view.document["sessions"]
    out = [row for row in rows if view.is_left_out(row["session"])]
    if not out:
        return phrase(HowWeKnow.ALL_COUNTED, all=len(rows))
    text = phrase(HowWeKnow.COUNTED_TEXT, counted=len(rows) - len(out), all=len(rows))
    alike: dict[str, list[Row]] = {}
    for row in out:
        with_effect = _with_effect(view, row)
        if with_effect:
            text += with_effect
        else:
            alike.setdefault(row["state"], []).append(row)
    return text + "".join(_alone(rows, why) for why, rows in alike.items())


def _with_effect(view: View, session: Row) -> str:
    """Why a session does not count, and the hours of its method with it; nothing where that is not known."""
    row = view.row("left_out", session=session["session"], figure=figure_column(HOURS).title)
    if row is None or row["with_it"]["value"] is None or row["without_it"]["value"] is None:
        return ""
    same = row["verdict"] == row["verdict_with_it"]
    change = words(HowWeKnow.STAYS) if same else phrase(HowWeKnow.CHANGES, verdict=row["verdict_with_it"])
    figures = {"with_it": ranged(view.one(row["with_it"])), "without": ranged(view.one(row["without_it"]))}
    change = change if view.open_tasks else ""
    return phrase(HowWeKnow.LEFT_OUT, **_about(session), **figures, why=row["why"], wood=view.wood, change=change)


def _alone(rows: list[Row], why: str) -> str:
    """Sessions that do not count for the same reason."""
    if len(rows) == 1:
        return phrase(HowWeKnow.LEFT_OUT_PLAIN, **_about(rows[0]), why=why)
    return phrase(HowWeKnow.SEVERAL_OUT, sessions=tuple(row["session"] for row in rows), why=why)


def _about(session: Row) -> dict[str, str]:
    date = day(session["date"], year=False) if session["date"] else ""
    return {"session": session["session"], "method": session["method"], "date": date}


def _who(page: Page, view: View) -> None:
    page.section(words(HowWeKnow.WHO))
    heads: Cells = ["", words(HowWeKnow.TOOLS), words(HowWeKnow.COUNTED_HEAD)]
    heads += [Span("" if view.is_shared else words(HowWeKnow.BY_WHOM), columns=2), words(HowWeKnow.MEASURED_BY)]
    workers = workers_by_session(view)
    rows: list[Cells] = []
    for method in view.methods:
        sessions = view.rows("sessions", method=method.name)
        counted = [row for row in sessions if not view.is_left_out(row["session"])]
        out = [row for row in sessions if view.is_left_out(row["session"])]
        who = _times(workers, counted)
        if out:
            who = (*who, phrase(HowWeKnow.LEFT_OUT_TIMES, times=_times(workers, out)))
        measured = dict.fromkeys(row["measured"] for row in sessions if row["measured"])
        rows.append(
            [
                Span(method.name, styles.NAME),
                ", ".join(method.tools) or words(HowWeKnow.NO_TOOLS),
                phrase(HowWeKnow.OF, k=len(counted), n=len(sessions)),
                Span("" if view.is_shared else ", ".join(who), columns=2),
                ", ".join(measured),
            ]
        )
    page.table(heads, rows)


def _times(workers: dict[str, list[str]], sessions: list[Row]) -> tuple[str, ...]:
    counts = Counter(joined(workers.get(plain(row["session"]), [""])) for row in sessions)
    return tuple(phrase(HowWeKnow.TIMES, who=who, n=n) for who, n in counts.items() if who)


def _worked(page: Page, view: View) -> None:
    found = worked_numbers(view)
    if not found:
        return
    page.section(words(HowWeKnow.WORKED))
    for number, one in enumerate(found, start=1):
        page.text(phrase(HowWeKnow.WORKED_TITLE, number=number, text=one.title), styles.PART_TITLE)
        rows = []
        for step in one.steps:
            sheet = words(step.sheet)
            link = f"{quote_sheetname(sheet)}!A1"
            text, value, place = STEP_SPANS
            cells = [Span(step.text, columns=text), Span(step.value, columns=value)]
            if not step.value:
                cells = [Span(step.text, columns=text + value)]
            rows.append([*cells, Span(sheet, styles.LINKED, place, link)])
        page.table([], rows)
