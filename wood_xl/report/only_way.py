"""The sheet Answer where each task has one way: what it takes, each of its sessions, and how to get a choice."""

from __future__ import annotations

from wood_xl.data.trade import tasks
from wood_xl.notes.names import plain
from wood_xl.notes.relations import NOT_LEFT_OUT
from wood_xl.page_texts import OnAnswer, OnPages
from wood_xl.reasons import Reason, said
from wood_xl.report import styles
from wood_xl.report.charts import ROOM, Point, Scatter, axis_end
from wood_xl.report.layout import PX_PER_POINT, Cells, Page
from wood_xl.report.view import JOINED, Method, View, day, noted_session
from wood_xl.schema.words import number_text, phrase, words

MOST_SESSIONS = 12  # so many leave room for the rest of the page
ROW_PX = 18


def only_ways(page: Page, view: View) -> None:
    """Add these sections to the page."""
    timed = [method for method in view.methods if method.sessions_n]
    _figures_table(page, view, timed)
    if len(timed) == 1:
        _sessions(page, view, timed[0])
    if _is_second_waiting(view, timed[0]):
        return
    page.section(OnAnswer.TO_CHOOSE)
    lines = [phrase(OnAnswer.SECOND_WAY, task=tasks()[timed[0].task].name)]
    is_priced = all(view.rate(method.name)["cash"]["value"] is not None for method in timed)
    if view.value_of_hour is None:
        lines.append(words(OnAnswer.ONLY_HOUR if is_priced else OnAnswer.PRICES))
    elif not is_priced:
        lines.append(words(OnAnswer.ONLY_PRICES))
    for number, text in enumerate(lines, start=1):
        page.text(phrase(OnAnswer.NUMBER, number=number, text=text))


def _is_second_waiting(view: View, first: Method) -> bool:
    """Whether a session of a second way waits for a mend; a session that was left out on purpose does not."""
    others = {method.name for method in view.noted_methods if method.task == first.task} - {first.name}
    noted = view.noted("sessions", "session")
    notes = (noted.get(noted_session(row), {}) for row in view.document["sessions"] if row["method"] in others)
    return any(plain(str(row.get("leave_out", "no"))) in NOT_LEFT_OUT for row in notes)


def _figures_table(page: Page, view: View, timed: list[Method]) -> None:
    only = OnAnswer.ONLY_TAKES if len(timed) > 1 else OnAnswer.ONLY_TAKES_OF
    page.section(view.say(only, method=timed[0].name))
    job = view.combination(JOINED.join(method.name for method in timed))
    rates = view.rate(timed[0].name) if len(timed) == 1 else job
    years = zip(view.document["combinations"], view.document["combinations_year"], strict=True)
    year = next((year for row, year in years if row is job), None)
    is_priced = rates is not None and rates["cash"]["value"] is not None
    surer_cash = OnAnswer.SURER_WEAR if is_priced else OnAnswer.SURER_CASH
    is_weighed = rates is not None and rates["co2e"]["value"] is not None  # else a life is missing, not a mass
    surer_air = OnAnswer.SURER_AIR if is_weighed else OnAnswer.SURER_CASH
    surer_rate = OnAnswer.SURER_RATE if _lacks_rate(view, timed) else OnAnswer.SURER_TIME
    n = sum(method.sessions_n for method in timed)
    by_watch = said(OnAnswer.KNOWN_TIME_OF_ONE if n == 1 else OnAnswer.KNOWN_TIME, n=n)
    rows = (
        (OnAnswer.ROW_TIME, "worker_hours", by_watch, OnAnswer.SURER_TIME),
        (OnAnswer.ROW_EFFORT, "kcal_net", OnAnswer.KNOWN_RATE, surer_rate),
        (OnAnswer.ROW_MONEY, "cash", OnAnswer.KNOWN_CASH, surer_cash),
        (OnAnswer.ROW_AIR, "co2e", OnAnswer.KNOWN_AIR, surer_air),
    )
    heads = ["", OnAnswer.FOR_A, OnAnswer.YOUR_YEAR, OnAnswer.HOW_KNOWN, OnAnswer.SURER_IF]
    table: list[Cells] = []
    for name, key, known_by, surer in rows:
        value = None if rates is None else rates[key]["value"]
        unit_text = words(OnPages.NOT_KNOWN) if rates is None else view.unit_text(rates[key])
        year_text = view.text(year[key]) if year is not None and value is not None else ""
        # A figure of 0 rests on no noted price or mass.
        table.append([name, unit_text, year_text, known_by if value else "", "" if value == 0 else surer])
    page.table(heads, table)


def _lacks_rate(view: View, timed: list[Method]) -> bool:
    """Whether somebody wore no heart-rate monitor in a session of these methods."""
    sessions = {row["session"] for method in timed for row in view.rows("sessions", method=method.name)}
    none = words(Reason.NO_HEART_RATE)
    return any(row["session"] in sessions and row["reserve_share"]["reason"] == none for row in view.rows("strain"))


def _sessions(page: Page, view: View, method: Method) -> None:
    rows = [
        row
        for row in view.rows("sessions", method=method.name)
        if row["worker_hours_per_cord"]["value"] is not None and row["session"] not in view.left_out
    ][:MOST_SESSIONS]
    rate = view.per_unit(view.rate(method.name)["worker_hours"])
    if not rows or rate["low"] is None or rate["high"] is None:
        return
    page.section(OnAnswer.EVERY_SESSION)
    hours = [view.per_unit(row["worker_hours_per_cord"])["value"] for row in rows]
    end, step = axis_end(max(*hours, rate["high"]) * ROOM)
    title = view.say(OnAnswer.CHART)
    parts = tuple(
        phrase(OnAnswer.ALT_SESSION, session=row["session"], hours=number_text(number))
        for row, number in zip(rows, hours, strict=True)
    )
    text = phrase(OnAnswer.CHART_ALT, title=title, parts=parts)
    chart = Scatter(view.chart_data, title, text, rows=len(rows), end=end, step=step, row_px=ROW_PX)
    names = []
    for at, (row, number) in enumerate(zip(rows, hours, strict=True)):
        date = day(row["date"], year=False, is_short=True) if row["date"] else ""
        names.append(phrase(OnAnswer.SESSION_AT, session=row["session"], date=date))
        band = [Point(rate["low"], chart.y(at)), Point(rate["high"], chart.y(at))]
        chart.line(method.name, band, styles.OPEN, ROW_PX / PX_PER_POINT)
        chart.marks(row["session"], [Point(number, chart.y(at))], *method.mark)
    chart.names(names)
    page.charts(chart.placed())
