"""The sheet Body: how hard the work was on heart, ears and hands."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from operator import itemgetter
from typing import Any

from wood_xl.data.load import constants, value
from wood_xl.ids import Strain, Workload
from wood_xl.io.looks import Look
from wood_xl.notes.names import plain
from wood_xl.page_texts import OnBody, OnPages, OnSessions
from wood_xl.reasons import Ranged, Reason, Word, said
from wood_xl.report import styles
from wood_xl.report.charts import LABEL_GAP_PX, Point, Scatter, Symbol, offset, room_for, text_px
from wood_xl.report.figure_text import figure_text, ranged, ranged_text, typed_text
from wood_xl.report.layout import Cells, CellText, Page, Placed, Span
from wood_xl.report.view import Method, Row, View
from wood_xl.results.figures import grouped
from wood_xl.schema.words import number_text, phrase, words
from wood_xl.units import convert

WIDTHS = (134, 86, 127, 145, 114, 92)
SPANS = {1: (5,), 2: (2, 3), 3: (2, 1, 2), 4: (2, 1, 1, 1), 5: (1,) * 5}  # columns of so many people, about as wide
SYMBOLS: tuple[Symbol, ...] = ("circle", "square", "triangle")
PERCENT, MINUTES = 100.0, 60.0
KEY_MARK_PX = 12.0
MOST_KEY_ROWS = 2
ROW_PX, HIGHEST_ROW_PX = 16, 36  # on a full page, and where there is room
WITHOUT_RATES, SPANS_WITHOUT_RATES = 4, (1, 1, 2, 2)  # the first columns of a table need no heart rate
MOST_MARKED = 6  # people whose marks a reader can tell apart
DAY_LIMIT = 100.0  # percent of a day's noise
END_STEP = 10.0
MOST_MARKS = 500  # in one chart; beyond that only each person's lowest and highest are drawn
WARNINGS = (
    OnBody.VERY_HIGH,
    OnBody.MAY_BE,
    OnBody.STRAIN_OPEN,
    OnBody.STRAIN_BY_MEDICINE,
    OnBody.STRAIN_LACKS,
)
NO_RATE, MEDICINE = words(Reason.NO_HEART_RATE), words(Reason.MEDICINE)


def body_page(view: View) -> Page:
    """The page."""
    page = Page(WIDTHS, view.facts)
    kg = value("effort.reference_mass_kg")
    mass = {"mass": kg, "unit": "kg"} if view.is_metric else {"mass": convert(kg, "kg", "lb"), "unit": "lb"}
    page.title(OnBody.TITLE, said(OnBody.SUBTITLE, **mass))
    _efforts(page, view)
    shares = _known(view.document["strain"])
    chart = _chart(view, shares) if shares and not view.is_shared else None
    if not view.is_shared:
        if chart:
            page.charts(chart.placed())
            if len(shares) > MOST_MARKS:
                page.text(phrase(OnBody.ENDS_DRAWN, n=len(shares)), styles.NOTE)
            if hollow := dict.fromkeys(row["session"] for row in shares if row["session"] in view.left_out):
                page.text(said(OnBody.HOLLOW, sessions=tuple(hollow)), styles.NOTE)
        page.text(" ".join(_warnings(view)), styles.STRONG)
        if view.document["people"]:
            _by_person(page, view)
        if shares:
            _modeled(page, view)
        elif view.document["strain"] and not _lacking(view.document["strain"]):  # else all wait for a mend
            page.text(OnBody.NO_RATE, styles.REMARK)
        if parts := tuple(_shifts(view)):
            known = constants()["rest.standard.male"].known
            page.text(phrase(OnBody.SHIFTS, parts=parts, known=known), styles.REMARK)
    _noise(page, view)
    if chart:
        page.redraw(lambda spare_px: _with_higher_rows(chart, spare_px))
    return page


def _rows_of(view: View, table: str, method: str, **person: str) -> list[Row]:
    """Rows of a table about the sessions of a method, of everybody or of one person."""
    sessions = {row["session"] for row in view.rows("sessions", method=method)}
    return [row for row in view.rows(table, **person) if row["session"] in sessions]


def _efforts(page: Page, view: View) -> None:
    rows: list[Cells] = []
    for method in view.noted_methods:
        rate = view.rate(method.name)
        efforts, strains = (_rows_of(view, table, method.name) for table in ("efforts", "strain"))
        kcal, hours = rate["kcal_net"]["value"], rate["worker_hours"]["value"]
        per_hour = number_text(kcal / hours) if kcal is not None and hours else ""
        effort = view.unit_text(rate["kcal_net"])
        if view.is_shared:
            rows.append([method.name, per_hour, effort])
            continue
        noted = sum(row["mean_heart_rate"]["value"] is not None for row in efforts)
        of_noted = said(OnBody.OF, k=noted, n=len(efforts)) if efforts else ""
        rows.append([method.name, per_hour, _classes(strains), effort, _share_text(strains), of_noted])
    if view.is_shared:
        page.table(["", OnBody.PER_HOUR, OnBody.PER_UNIT], rows, (1, 2, 3))
        page.text(OnBody.NOT_SHARED, styles.NOTE)
    else:
        heads = ["", OnBody.PER_HOUR, OnBody.CLASS_OF_WORK, OnBody.PER_UNIT, OnBody.SHARE, OnBody.NOTED]
        _table(page, view, heads, rows, (1,) * len(heads))


def _table(page: Page, view: View, heads: Sequence[CellText], rows: list[Cells], spans: Sequence[int]) -> None:
    """A table without its last columns where there is no heart rate to put into them: a line below says so once."""
    if _is_without_rates(view):
        heads, rows, spans = heads[:WITHOUT_RATES], [row[:WITHOUT_RATES] for row in rows], SPANS_WITHOUT_RATES
    page.table(heads, rows, spans)


def _classes(strains: Sequence[Row]) -> str:
    """Lightest and heaviest class of a method's work."""
    named = {name for row in strains for name in row["workload"].split(" to ")}  # a text may span two classes
    classes = [name for name in map(words, Workload) if name in named]
    return ", ".join(dict.fromkeys((*classes[:1], *classes[-1:]))) or words(Reason.NOT_ASSESSED)


def _share_text(rows: Sequence[Row]) -> str:
    known = sorted(row["reserve_share"]["value"] for row in _known(rows))
    if not known:
        return _not_known(rows)
    low, high = f"{known[0]:.0f}", f"{known[-1]:.0f}"
    return phrase(OnBody.SHARE_ONE if low == high else OnBody.SHARE_RANGE, low=low, high=high)


def _lacking(rows: Sequence[Row]) -> list[str]:
    """Reasons other than a missing heart rate why a share is not known: a monitor would not help there."""
    reasons = dict.fromkeys(row["reserve_share"]["reason"] for row in rows if row["reserve_share"]["value"] is None)
    return [reason for reason in reasons if reason != NO_RATE]


def _not_known(rows: Sequence[Row]) -> str:
    """Text for a share that is not known; it asks for a monitor only where one would help."""
    return words(OnPages.NOT_KNOWN if _lacking(rows) else OnBody.WEAR_MONITOR)


def _with_higher_rows(chart: Scatter, spare_px: float) -> Placed:
    rows_n = chart.rows + chart.rows_below
    chart.row_px = min(HIGHEST_ROW_PX, chart.row_px + int(spare_px) // rows_n)
    return chart.placed()


def _chart(view: View, rows: Sequence[Row]) -> Scatter:
    drawn_people = {row["person"] for row in rows}  # others need no symbol
    people, methods = people_with_marks([who for who in view.people if who in drawn_people]), view.noted_methods
    most = max(row["reserve_share"]["high"] or row["reserve_share"]["value"] for row in rows)
    end = END_STEP * (int(most // END_STEP) + 1)
    title = words(OnBody.CHART)
    of_methods = [_known(_rows_of(view, "strain", method.name)) for method in methods]
    shares = list(map(_share_text, of_methods))
    parts = tuple(
        phrase(OnBody.ALT_PART, method=method.name, shares=text) for method, text in zip(methods, shares, strict=True)
    )
    text = phrase(OnBody.CHART_ALT, title=title, parts=parts)
    chart = Scatter(view.chart_data, title, text, rows=len(methods) + 1, end=end, step=END_STEP, row_px=ROW_PX)
    chart.names([method.name for method in methods])
    marks: dict[tuple[str, Symbol, str], list[Point]] = {}
    for at, of_method in enumerate(of_methods):
        drawn = _lowest_and_highest(of_method) if len(rows) > MOST_MARKS else of_method
        for number, row in enumerate(drawn):
            point = Point.of(row["reserve_share"], chart.y(at) - offset(number, len(drawn)), row["session"])
            mark = mark_of(people, row["person"], is_left_out=row["session"] in view.left_out)
            marks.setdefault((row["person"], *mark), []).append(point)
    for (person, symbol, fill), points in marks.items():
        chart.marks(person, points, symbol, fill, size=8, has_range=True)
    key_of_people(chart, people, view, len(methods))
    return chart


def _lowest_and_highest(rows: Sequence[Row]) -> list[Row]:
    """The sessions with each person's lowest and highest share."""
    by_person = grouped(sorted(rows, key=lambda row: row["reserve_share"]["value"]), itemgetter("person"))
    return [row for own in by_person.values() for row in (*own[:1], *own[1:][-1:])]


def people_with_marks(people: Sequence[str]) -> Sequence[str]:
    """The people, each of whom gets a mark; nobody where there are too many to tell apart."""
    return people if len(people) <= MOST_MARKED else ()


def mark_of(people: Sequence[str], person: str, *, is_left_out: bool = False) -> tuple[Symbol, str]:
    """Symbol and fill of a person; white for a session that is left out."""
    number = people.index(person) if person in people else len(people)
    fill = styles.PERSON_FILLS[(number + number // len(SYMBOLS)) % len(SYMBOLS)]  # differs for each of nine people
    return SYMBOLS[number % len(SYMBOLS)], "FFFFFF" if is_left_out else fill


def key_of_people(
    chart: Scatter, people: Sequence[str], view: View, row: int, *further: tuple[str, Symbol, str]
) -> None:
    """Add the key to a row of a chart: whose mark is which.

    further: name, symbol and fill of other marks.
    """
    marks = [*((person, *mark_of(people, person)) for person in people), *further]
    if further and not people:
        marks.insert(0, (words(OnSessions.ALONE), *mark_of(people, "")))
    if not marks:
        return
    room = chart.px(chart.end) - KEY_MARK_PX
    most_px = room / -(-len(marks) // MOST_KEY_ROWS) - 3 * KEY_MARK_PX
    names = room_for([view.short_name(name) for name, *_ in marks], 0, int(most_px) + LABEL_GAP_PX)[1]
    left_px = KEY_MARK_PX
    for name, (whole, symbol, fill) in zip(names, marks, strict=True):
        px = text_px(name) + 3 * KEY_MARK_PX
        if left_px + px > room + 2 * KEY_MARK_PX:
            left_px = KEY_MARK_PX
            chart.rows_below += 1
        y = chart.y(row + chart.rows_below)
        chart.marks(whole, [Point(chart.at_px(left_px), y)], symbol, fill, size=8)
        chart.label(name, chart.at_px(left_px + KEY_MARK_PX / 2), y, "right", is_on_top=True)
        left_px += px


def _warnings(view: View) -> Iterator[str]:
    """Whose strain is or may be very high at what, and whose is not known and why, people with the same together."""
    tried = [
        (person, method.name, rows)
        for method in view.methods
        for person in view.people
        if (rows := _rows_of(view, "strain", method.name, person=person))
    ]
    tried_n = Counter(person for person, _, _ in tried)
    limits = _limits(view)
    warned = grouped(tried, lambda one: _warning(one[2], limits))
    for word in WARNINGS:
        alike: dict[tuple[Word, tuple[str, ...], tuple[str, ...]], list[str]] = {}
        for person, own in grouped(warned.get(word, ()), itemgetter(0)).items():
            methods, lacks = (
                tuple(method for _, method, _ in own),
                [why for *_, rows in own for why in _lacking(rows)],
            )
            why = tuple(dict.fromkeys(lacks)) if word is OnBody.STRAIN_LACKS else ()
            is_all = len(methods) == tried_n[person] > 1
            key = (OnBody.PERSON_AT_ALL, (), why) if is_all else (OnBody.PERSON_AT, methods, why)
            alike.setdefault(key, []).append(person)
        parts = []
        for (at, at_methods, why), persons in alike.items():
            part = phrase(at, people=tuple(map(view.short_name, persons)), methods=at_methods)
            parts.append(phrase(OnBody.PERSON_LACKS, at=part, whys=why) if why else part)
        if parts:
            yield phrase(word, parts=tuple(parts))
        if word is OnBody.MAY_BE and (OnBody.VERY_HIGH in warned or OnBody.MAY_BE in warned):
            of_highest = PERCENT * value("heart_trace.high_fraction_of_max")
            yield phrase(OnBody.VERY_HIGH_IS, **_levels(), of_highest=of_highest)


def _levels() -> dict[str, float]:
    """Shares of the reserve in percent above which strain is very high, and the hours from which the lower counts."""
    share, long_share = (value(key) for key in ("acceptable_work.reserve.highest", "strain.flag.very_high.reserve"))
    hours = value("strain.flag.very_high.longer_than_h")
    return {"share": PERCENT * share, "long_share": PERCENT * long_share, "hours": hours}


def may_be_very_high(view: View, person: str, method: str) -> bool:
    """Whether somebody's strain by a method is not very high as it stands, but reaches that within its range."""
    rows = _rows_of(view, "strain", method, person=person)
    return bool(rows) and _warning(rows, _limits(view)) is OnBody.MAY_BE


def _limits(view: View) -> dict[str, float]:
    """Share of the reserve in percent above which strain is very high, by session."""
    levels = _levels()
    return {
        row["session"]: levels["long_share" if (row["clock_hours"]["value"] or 0.0) > levels["hours"] else "share"]
        for row in view.document["sessions"]
    }


def _warning(rows: Sequence[Row], limits: Mapping[str, float]) -> Any:
    """What to say of a person's strain at a method; None for nothing.

    limits: share of the reserve in percent above which strain may be very high, by session.
    """
    ends = [(row["reserve_share"]["high"] or row["reserve_share"]["value"], row["session"]) for row in _known(rows)]
    if any(row["strain"] == words(Strain.VERY_HIGH) for row in rows):
        return OnBody.VERY_HIGH
    if ends:
        return OnBody.MAY_BE if any(end > limits[session] for end, session in ends) else None
    lacks = _lacking(rows)
    return OnBody.STRAIN_BY_MEDICINE if MEDICINE in lacks else OnBody.STRAIN_LACKS if lacks else OnBody.STRAIN_OPEN


def _known(rows: Sequence[Row]) -> list[Row]:
    return [row for row in rows if row["reserve_share"]["value"] is not None]


def _by_person(page: Page, view: View) -> None:
    page.section(OnBody.BY_PERSON)
    heads = ["", OnBody.SESSIONS, OnBody.HOURS, OnBody.EFFORT, OnBody.MONITOR]
    noted = view.noted("people", "person")
    rows: list[Cells] = []
    for row in view.document["people"]:
        efforts = view.rows("efforts", person=row["person"])
        rates_n = sum(effort["mean_heart_rate"]["value"] is not None for effort in efforts)
        device = noted.get(plain(row["person"]), {}).get("heart_rate_device", "")
        counts = {"k": rates_n, "n": len(efforts)}
        if not rates_n:
            lacks = _lacking(view.rows("strain", person=row["person"]))
            monitor = words(OnBody.NOT_NOTED if lacks else OnBody.WEAR_MONITOR)
        elif device:
            is_always = rates_n == len(efforts)
            monitor = phrase(OnBody.DEVICE_ALL if is_always else OnBody.DEVICE, device=device, **counts)
        else:
            monitor = phrase(OnBody.RATE_NOTED, **counts)
        hours, kcal = (view.text(row[key]) for key in ("hours", "kcal_net"))
        rows.append([view.short_name(row["person"]), f"{row['sessions_n']}", hours, kcal, monitor])
    _table(page, view, heads, rows, (1, 1, 1, 1, 2))


def _is_without_rates(view: View) -> bool:
    """Whether no strain is known for the sole reason that nobody noted a heart rate."""
    return not _known(view.document["strain"]) and not _lacking(view.document["strain"])


def _modeled(page: Page, view: View) -> None:
    page.section(OnBody.MODELED)
    most = len(WIDTHS) - 1
    at_once = -(-len(view.people) // -(-len(view.people) // most))  # tables of about the same size
    for first in range(0, len(view.people), at_once):
        people = view.people[first : first + at_once]
        spans = SPANS[len(people)]
        rows: list[Cells] = [
            [method.name, *(Span(*_modeled_cell(view, method, who), n) for who, n in zip(people, spans, strict=True))]
            for method in view.noted_methods
            if any(_rows_of(view, "strain", method.name, person=who) for who in people)
        ]
        page.table(["", *map(view.short_name, people)], rows, (1, *spans))
    known = constants()["acceptable_work.reserve.intercept"].known
    page.text(said(OnBody.MODELED_NOTE, known=known), styles.NOTE)


def _modeled_cell(view: View, method: Method, person: str) -> tuple[str, Look]:
    """Minutes by the person's own hardest session; very high strain counts as worst, then strain not known."""
    rows = _rows_of(view, "strain", method.name, person=person)
    if not rows:
        return words(OnBody.NOT_TRIED), styles.CELL
    if any(row["strain"] == words(Strain.VERY_HIGH) for row in rows):
        return words(OnBody.IS_VERY_HIGH), styles.WARNED
    known = [row["modeled_time"]["value"] for row in rows if row["modeled_time"]["value"] is not None]
    if not known:
        return _not_known(rows), styles.CELL
    return number_text(min(known)), styles.CELL


def _shifts(view: View) -> Iterator[str]:
    """For each person with days near a whole shift the longest day, and the longest rest that the rule asks for."""
    rows = [row for row in view.document["figures"] if row["id"].startswith("shift_rest.")]
    for person, own in grouped(rows, itemgetter("person")).items():
        hours = max(row["value"] for row in own if row["measure"] == "hours")
        rests = [row for row in own if row["measure"] != "hours" and row["value"] is not None]
        if rests:
            most = ranged(max(rests, key=itemgetter("value")))
            yield phrase(OnBody.SHIFT_OF, person=view.short_name(person), hours=hours, rest=most)


def _noise(page: Page, view: View) -> None:
    rows = view.document["exposure_limits"]
    if not rows:
        return
    page.section(OnBody.NOISE)
    heads = [OnBody.TOOL, OnBody.LEVEL, OnBody.MINUTES, OnBody.DAYS]
    heads.append(said(OnBody.VIBRATION, value=value("vibration.action_value")))
    tools = view.noted("tools", "tool")
    shown: dict[str, Cells] = {}
    louder: set[str] = set()  # days on which a louder tool ran: it is the one that reaches the limit
    for name, own in grouped(sorted(rows, key=_noise_hours), itemgetter("tool")).items():
        methods = {row["method"] for row in own}
        days = {session["date"] for session in view.document["sessions"] if session["method"] in methods}
        shown[name] = [name, *_exposure_cells(view, own[0], tools.get(plain(name), {}), days, louder)]
        louder |= days
    not_noted = words(Reason.NOT_ASSESSED)  # no hours are given either where a limit is never reached
    if all(row[key]["reason"] == not_noted for row in rows for key in ("noise_hours", "to_action_value")):
        page.text(said(OnBody.NOTHING_NOTED, tools=tuple(shown)), styles.REMARK)
        return
    page.table(heads, list(shown.values()), (1, 1, 1, 1, 2))
    limit, hours, step = value("noise.niosh.criterion"), value("noise.reference_time"), value("noise.niosh.exchange")
    note = phrase(OnBody.NOISE_NOTE, limit=limit, hours=hours, step=step)
    legal = [row for row in rows if row["noise_hours_us"]["value"] is not None]
    if legal and not view.is_metric:
        least = min(legal, key=lambda row: row["noise_hours_us"]["value"])
        minutes = f"{least['noise_hours_us']['value'] * MINUTES:,.0f}"
        note += phrase(OnBody.LEGAL, minutes=minutes, tool=least["tool"])
    page.text(note, styles.NOTE)


def _noise_hours(limit: Row) -> float:
    return limit["noise_hours"]["value"] or math.inf


def _exposure_cells(view: View, row: Row, tool: Row, days: set[str], louder: set[str]) -> Cells:
    level, vibration = tool.get("sound_level"), tool.get("vibration")
    hours = row["noise_hours"]["value"]
    minutes = figure_text(row["noise_hours"]) if hours is None else ranged_text(Ranged(hours * MINUTES))
    until = row["to_action_value"]
    until_text = figure_text(until)
    if until["value"] is not None and vibration is not None:
        until_text = phrase(OnBody.UNTIL, hours=until_text, level=typed_text(float(vibration)))
    doses = [(one["day"], one["noise_dose"]["value"]) for one in view.document["exposures"]]
    doses = [(day, dose) for day, dose in doses if day in days - louder and dose is not None]
    above = {day for day, dose in doses if dose >= DAY_LIMIT}
    days_text = "" if level is None or hours is None else phrase(OnBody.DAYS_OF, k=len(above), n=len(days))
    if days_text and (open_n := len(days - louder - {day for day, _ in doses})):
        days_text += phrase(OnBody.DAYS_OPEN, n=open_n)
    return [words(OnBody.NOT_NOTED) if level is None else typed_text(float(level)), minutes, days_text, until_text]
