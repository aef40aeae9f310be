"""The sheets Households and Over the years of a study: who is who, what does not count, and what the years show."""

from __future__ import annotations

from collections.abc import Iterator

from wood_xl.data.trade import tasks
from wood_xl.io.charts import axis_end
from wood_xl.report import styles
from wood_xl.report.charts import ChartData, Point, Scatter, decimals_format
from wood_xl.report.figure_text import figure_text
from wood_xl.report.layout import Page, Placed, Span
from wood_xl.report.study_view import Row, StudyView, kind_name, mark_of
from wood_xl.results.household_years import YEARS
from wood_xl.schema.model import study_definition
from wood_xl.schema.words import capital, key_words, phrase, words
from wood_xl.study_words import OnStudy, Studied
from wood_xl.verdicts import Trend

WIDTHS = (112, 58, 78, 74, 70, 76, 223)
YEARS_WIDTHS = (170, 130, 100, 140, 151)
MOST_LISTED = 40
MOST_FAULTS = 12
MOST_PICTURED = 3
FIX = "FIX"
ROOM = 1.02


def study_households(view: StudyView, data: ChartData) -> Page:
    """The sheet of who is who."""
    del data  # no chart here
    page = Page(WIDTHS)
    title = OnStudy.SEASONS_TITLE if view.is_one_household else OnStudy.HOUSEHOLDS_TITLE
    page.title(words(title), words(OnStudy.HOUSEHOLDS_SUBTITLE), view.invented)
    heads = ["", *map(words, (OnStudy.YEAR, OnStudy.CURRENCY, OnStudy.COUNTED, OnStudy.TO_MEND, OnStudy.TO_LOOK_AT))]
    rows: list[list[Span | str]] = []
    for row in view.households[:MOST_LISTED]:
        state = [key_words("Pooled", row["state"]), *([words(OnStudy.INVENTED)] if row["invented"] else [])]
        counted, every = row["sessions_n"], row["sessions_n"] + row["not_counted_n"]
        cells = [row["year"], row["currency"], phrase(OnStudy.OF, k=counted, n=every)]
        cells += [str(row["fix_n"] or ""), str(row["look_n"] or ""), "; ".join(state)]
        rows.append([Span(capital(row["household"]), styles.NAME), *cells])
    page.table([*heads, words(OnStudy.STATE)], rows)
    if len(view.households) > MOST_LISTED:
        page.text(phrase(OnStudy.MORE_IN_APPENDIX, n=len(view.households) - MOST_LISTED), styles.NOTE)
    _matched(page, view)
    _left_out(page, view)
    _faults(page, view)
    return page


def _matched(page: Page, view: StudyView) -> None:
    page.section(words(OnStudy.MATCHED))
    page.text(words(OnStudy.MATCHED_NOTE), styles.NOTE)
    order = list(tasks())
    ways = sorted(
        dict.fromkeys((row["task"], row["kind"]) for row in view.document["methods"]), key=lambda w: order.index(w[0])
    )
    rows: list[list[Span | str]] = []
    for task, kind in ways:
        found = view.rows("methods", task=task, kind=kind)
        called: dict[str, list[str]] = {}
        for row in found:
            called.setdefault(row["methods"], []).append(row["household"].rpartition(" ")[2])
        told = "; ".join(phrase(OnStudy.CALLED, name=name, who=", ".join(who)) for name, who in called.items())
        name = phrase(OnStudy.WAY, task=capital(tasks()[task].name), kind=kind_name(kind))
        rows.append([Span(name, styles.NAME, 2), str(len(found)), Span(told, columns=4)])
    heads: list[Span | str] = [
        Span("", columns=2),
        words(OnStudy.HOW_MANY),
        Span(words(OnStudy.CALLED_HEAD), columns=4),
    ]
    page.table(heads, rows)


def _left_out(page: Page, view: StudyView) -> None:
    """Each workbook, and each figure that a household does not give, those with one reason together."""
    page.section(words(OnStudy.LEFT_OUT))
    found: dict[tuple[str, str, str], list[str]] = {}
    for row in view.document["left_out"]:
        way = (
            "" if not row["task"] else phrase(OnStudy.WAY, task=capital(tasks()[row["task"]].name), kind=_kinds(row))
        )
        told = found.setdefault((row["who"], way, row["reason"]), [])
        if row["measure"]:
            told.append(key_words("Studied", row["measure"]))
    if not found:
        page.text(words(OnStudy.NOTHING_OUT), styles.REMARK)
        return
    rows: list[list[Span | str]] = [
        [
            Span(capital(who), styles.NAME),
            Span(way or words(OnStudy.ALL_OF_IT), columns=2),
            Span(", ".join(told), columns=2),
            Span(why, columns=2),
        ]
        for (who, way, why), told in list(found.items())[:MOST_LISTED]
    ]
    heads = [Span(words(one), columns=2) for one in (OnStudy.WAY_HEAD, OnStudy.FIGURES_HEAD, OnStudy.WHY_HEAD)]
    page.table(["", *heads], rows)
    if len(found) > MOST_LISTED:
        page.text(phrase(OnStudy.MORE_IN_APPENDIX, n=len(found) - MOST_LISTED), styles.NOTE)


def _kinds(row: Row) -> str:
    if not row["other"]:
        return kind_name(row["kind"])
    return phrase(OnStudy.AGAINST, one=kind_name(row["kind"]), other=kind_name(row["other"]))


def _faults(page: Page, view: StudyView) -> None:
    faults = [row for row in view.document["problems"] if row["level"] == FIX]
    if not faults:
        return
    page.section(words(OnStudy.FAULTS))
    rows: list[list[Span | str]] = [
        [
            Span(capital(row["household"]), styles.NAME),
            Span(" ".join((row["sheet"], row["cell"])), columns=2),
            Span(f"{row['text']} {row['mend']}".strip(), columns=4),
        ]
        for row in faults[:MOST_FAULTS]
    ]
    page.table(["", Span(words(OnStudy.CELL), columns=2), Span(words(OnStudy.FOUND), columns=4)], rows)
    if len(faults) > MOST_FAULTS:
        page.text(phrase(OnStudy.MORE_IN_APPENDIX, n=len(faults) - MOST_FAULTS), styles.NOTE)


def study_years(view: StudyView, data: ChartData) -> Page | None:
    """The sheet of what the years of one household show; None for several households."""
    if not view.is_one_household:
        return None
    page = Page(YEARS_WIDTHS)
    page.title(words(OnStudy.YEARS_TITLE), words(OnStudy.YEARS_SUBTITLE), view.invented)
    if view.document["trends"]:
        _trends(page, view, data)
    else:
        page.text(words(OnStudy.NO_YEARS), styles.REMARK)
    for table in YEARS:
        _of_years(page, view, table)
    return page


def _of_years(page: Page, view: StudyView, table: str) -> None:
    """A table of wood or of tools; none where nothing is known."""
    sheet, rows = study_definition().sheet(table), view.document[table]
    if not rows:
        return
    page.new_group()
    page.section(sheet.title)
    name, others = sheet.columns[0], [one for one in sheet.columns if one.type == "figure"]
    cells: list[list[Span | str]] = [
        [
            Span(capital(str(row[name.id])), styles.NAME),
            *(figure_text(row[one.id]) for one in others),
        ]
        for row in rows
    ]
    units = (rows[0][one.id]["unit"] for one in others)
    heads = [phrase(OnStudy.WITH_UNIT, title=one.title, unit=unit) for one, unit in zip(others, units, strict=True)]
    page.table([name.title, *heads], cells)


def _trends(page: Page, view: StudyView, data: ChartData) -> None:
    """What the figures of each way show from year to year."""
    rows = view.document["trends"]
    for told in _told_trends(view):
        page.text(told, styles.TEXT)
    ways = dict.fromkeys((row["task"], row["kind"]) for row in rows if row["measure"] == Studied.WORKER_HOURS.key)
    for task, kind in list(ways)[:MOST_PICTURED]:
        page.new_group()
        page.charts(_years_picture(view, data, task, kind))
    page.section(words(OnStudy.YEARS_TABLE))
    heads = ["", *map(words, (OnStudy.FIGURES_HEAD, OnStudy.YEARS_HEAD, OnStudy.PER_YEAR, OnStudy.IN_WORDS))]
    cells: list[list[Span | str]] = []
    for row in rows:
        what = key_words("Studied", row["measure"])
        what = phrase(OnStudy.IN_MONEY, told=what, money=row["money"]) if row["money"] else what
        name = phrase(OnStudy.WAY, task=capital(tasks()[row["task"]].name), kind=kind_name(row["kind"]))
        span = phrase(OnStudy.FROM_TO, first=row["first_year"], last=row["last_year"])
        cells.append(
            [Span(name, styles.NAME), what, span, figure_text(row["per_year"]), key_words("Trend", row["trend"])]
        )
    page.table(heads, cells)
    page.text(words(OnStudy.YEARS_NOTE), styles.NOTE)


def _told_trends(view: StudyView) -> Iterator[str]:
    """For each way what its hours show, and what its cash or CO2e shows beside them."""
    rows = view.document["trends"]
    trend = {(row["task"], row["kind"], row["measure"]): row["trend"] for row in rows}
    for row in (one for one in rows if one["measure"] == Studied.WORKER_HOURS.key):
        way = phrase(OnStudy.WAY, task=capital(tasks()[row["task"]].name), kind=kind_name(row["kind"]))
        cell = row["per_year"]
        if row["trend"] == Trend.LESS.key:
            cell = {**cell, "value": -cell["value"], "low": -cell["high"], "high": -cell["low"]}
        percent = figure_text(cell)
        word = {
            Trend.LESS.key: OnStudy.HOURS_FALL,
            Trend.MORE.key: OnStudy.HOURS_RISE,
            Trend.NO_CHANGE.key: OnStudy.HOURS_STAY,
        }[row["trend"]]
        yield phrase(word, way=way, percent=percent)
        wears = [
            m for m in (Studied.CASH, Studied.CO2E) if trend.get((row["task"], row["kind"], m.key)) == Trend.MORE.key
        ]
        if wears and row["trend"] != Trend.MORE.key:
            yield phrase(OnStudy.WEARS, figures=tuple(words(one) for one in wears))


def _years_picture(view: StudyView, data: ChartData, task: str, kind: str) -> Placed:
    found = view.rows("contributions", task=task, kind=kind, other="", measure=Studied.WORKER_HOURS.key)
    year_of = {row["household"]: row["year"] for row in view.households}
    found.sort(key=lambda row: (year_of[row["household"]], row["household"]))
    numbers = [view.scaled(row) for row in found]
    end, step = axis_end(max(one.high or one.value for one in numbers) * ROOM)
    way = phrase(OnStudy.WAY, task=capital(tasks()[task].name), kind=kind_name(kind))
    title = phrase(OnStudy.YEARS_PICTURE, way=way, wood=view.wood)
    names = [year_of[row["household"]] for row in found]
    parts = tuple(
        phrase(OnStudy.ALT_PART, who=name, ratio=f"{one.value:.2g}") for name, one in zip(names, numbers, strict=True)
    )
    chart = Scatter(
        data,
        title,
        phrase(OnStudy.PICTURE_ALT, title=title, pair=way, parts=parts),
        rows=len(names),
        end=end,
        step=step,
        label_px=60,
        number_format=decimals_format(step),
    )
    chart.names(names)
    symbol, fill = mark_of(kind)
    points = [
        Point(one.value, chart.y(at), one.value - (one.low or one.value), (one.high or one.value) - one.value, name)
        for at, (one, name) in enumerate(zip(numbers, names, strict=True))
    ]
    chart.marks(way, points, symbol, fill, has_range=True)
    return chart.placed()
