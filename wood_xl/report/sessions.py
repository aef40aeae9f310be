"""The sheet Sessions: every trial as a mark and as a row, counted or not."""

from __future__ import annotations

from collections.abc import Sequence
from operator import itemgetter

from wood_xl.io.looks import varied
from wood_xl.notes.names import plain
from wood_xl.page_texts import OnPages, OnSessions
from wood_xl.report import styles
from wood_xl.report.body import key_of_people, mark_of, people_with_marks
from wood_xl.report.charts import ROOM, Point, Scatter, Symbol, axis_end, offset
from wood_xl.report.layout import Page, Placed, Span
from wood_xl.report.view import View, day, noted_session
from wood_xl.results.figures import grouped
from wood_xl.schema.words import joined, number_text, phrase, words

WIDTHS = (54, 48, 117, 93, 31, 57, 66, 119, 128)
WITHOUT_NOTES = (60, 53, 144, 150, 34, 58, 75, 130, 9)
CREW: tuple[Symbol, str] = ("diamond", styles.PERSON_FILLS[3])
OUT: tuple[Symbol, str] = ("square", "FFFFFF")
MINUTES = 60.0
MOST_LISTED = 30


def sessions_page(view: View) -> Page:
    """The page."""
    page = Page(_widths(view), view.facts)
    page.title(OnSessions.TITLE, OnSessions.SUBTITLE)
    rows = view.document["sessions"]
    if not rows:
        page.text(OnSessions.NOTHING, styles.REMARK)
        return page
    if any(row["worker_hours_per_cord"]["value"] is not None for row in rows):
        page.charts(_chart(view))
    if len(rows) > MOST_LISTED:
        page.text(phrase(OnSessions.LISTED, n=len(rows), sheet=OnPages.SESSION_LIST), styles.NOTE)
    else:
        _list(page, view)
    return page


def session_list_page(view: View) -> Page | None:
    """The list of sessions of a long season, for the appendix; None where the sheet Sessions holds the list."""
    if len(view.document["sessions"]) <= MOST_LISTED:
        return None
    page = Page(_widths(view), view.facts)
    page.title(words(OnPages.SESSION_LIST), "")
    _list(page, view)
    return page


def _widths(view: View) -> Sequence[int]:
    """Widths of the columns; without notes the column of names has their room."""
    has_notes = view.left_out or any("note" in row for row in view.document["inputs"]["sessions"])
    return WIDTHS if has_notes else WITHOUT_NOTES


def _chart(view: View) -> Placed:
    rows = [row for row in view.document["sessions"] if row["worker_hours_per_cord"]["value"] is not None]
    hours = {row["session"]: view.per_unit(row["worker_hours_per_cord"])["value"] for row in rows}
    end, step = axis_end(max(hours.values()) * ROOM)
    title = view.say(OnSessions.CHART)
    names = [method.name for method in view.noted_methods]
    of_methods = grouped(rows, itemgetter("method"))
    names += [name for name in of_methods if name not in names]
    texts = {name: tuple(number_text(hours[row["session"]]) for row in of) for name, of in of_methods.items()}
    parts = tuple(phrase(OnSessions.ALT_PART, method=name, hours=texts[name]) for name in names if name in texts)
    text = phrase(OnSessions.CHART_ALT, title=title, parts=parts)
    chart = Scatter(view.chart_data, title, text, rows=len(names) + 1, end=end, step=step)
    chart.names(names)
    people = people_with_marks(view.people)
    marks: dict[tuple[str, Symbol, str], list[Point]] = {}
    for at, name in enumerate(names):
        for number, row in enumerate(of_methods.get(name, ())):
            workers = view.workers.get(noted_session(row), [])
            first = workers[0] if workers else ""
            series = first if first in people else words(OnSessions.ALONE)
            mark = (words(OnSessions.CREW), *CREW) if len(workers) > 1 else (series, *mark_of(people, first))
            if row["session"] in view.left_out:
                mark = (words(OnSessions.LEFT_OUT), *OUT)
            y = chart.y(at) - offset(number, len(of_methods[name]))
            marks.setdefault(mark, []).append(Point(hours[row["session"]], y, label=row["session"]))
    for (series, symbol, fill), points in marks.items():
        chart.marks(series, points, symbol, fill)
    further = []
    if any(row["workers_n"] > 1 for row in rows):
        further.append((words(OnSessions.CREW), *CREW))
    if any(row["session"] in view.left_out for row in rows):
        further.append((words(OnSessions.LEFT_OUT), *OUT))
    key_of_people(chart, people, view, len(names), *further)
    return chart.placed()


def _list(page: Page, view: View) -> None:
    heads = [OnSessions.NUMBER, OnSessions.DAY, OnSessions.METHOD, OnSessions.WHO, OnSessions.MINUTES]
    heads += [OnSessions.WOOD, OnSessions.HOURS, OnSessions.EFFORT]
    heads.append("" if view.is_shared or page.widths == WITHOUT_NOTES else OnSessions.NOTE)
    notes = view.noted("sessions", "session")
    rows = []
    for row in view.document["sessions"]:
        note = str(notes.get(plain(row["session"]), {}).get("note", ""))
        is_out, out = row["session"] in view.left_out, OnSessions.WITH_NOTE if note else OnSessions.NOT_COUNTED
        look = varied(styles.CELL, fill=styles.OUT_FILL) if is_out else styles.CELL
        clock, wood = (row[key]["value"] for key in ("clock_hours", "stacked_volume" if view.is_metric else "cords"))
        hours = view.per_unit(row["worker_hours_per_cord"])["value"]
        texts = [
            row["session"],
            day(row["date"], year=False, is_short=True) if row["date"] else "",
            row["method"],
            joined([view.short_name(who) for who in view.workers.get(noted_session(row), [""])]),
            "" if clock is None else f"{clock * MINUTES:,.0f}",
            *("" if number is None else number_text(number) for number in (wood, hours)),
            "" if row["kcal_net"]["value"] is None else view.text(row["kcal_net"]),
            phrase(out, state=row["state"], note=note) if is_out else note,
        ]
        rows.append([Span(text, look) for text in texts])
    page.table(heads, rows)
    page.text(OnSessions.MINUTES_NOTE, styles.NOTE)
