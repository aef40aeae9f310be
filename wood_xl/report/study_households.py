"""The sheets Households, Over the years and How we know of a study."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from operator import itemgetter

from wood_xl.data.cautions import cautions
from wood_xl.data.trade import BY_HAND
from wood_xl.page_texts import HowWeKnow, OnStudy, StudyMade
from wood_xl.reasons import said
from wood_xl.report import styles
from wood_xl.report.figure_text import figure_text
from wood_xl.report.layout import Cells, Page, Placed
from wood_xl.report.study_view import Row, StudyView, figure_name, kind_name, way_name, ways_of
from wood_xl.report.study_ways import forest, point_of
from wood_xl.report.view import role_mark, task_name
from wood_xl.results.figures import grouped
from wood_xl.results.parts import CASH, CO2E, WORKER_HOURS
from wood_xl.results.study import YEARS
from wood_xl.schema.model import study_definition
from wood_xl.schema.words import capital, key_words, phrase, words
from wood_xl.verdicts import Trend

WIDTHS, YEARS_WIDTHS = (112, 58, 78, 74, 70, 76, 223), (190, 120, 92, 142, 147)
HOW_WIDTHS = (118, 115, 115, 115, 117, 113)
MOST_LISTED, MOST_LEFT_OUT, MOST_NAMES = 40, 12, 12
MOST_FAULTS = 12
MOST_CHARTS = 3
FIX = "FIX"
HOURS = {
    Trend.LESS.key: OnStudy.HOURS_FALL,
    Trend.MORE.key: OnStudy.HOURS_RISE,
    Trend.NO_CHANGE.key: OnStudy.HOURS_STAY,
}


def study_households(view: StudyView) -> Page:
    """The sheet Households: each workbook with its state, how methods were matched, and what is left out."""
    page = Page(WIDTHS, view.facts)
    page.title(OnStudy.ABOUT, OnStudy.HOUSEHOLDS_SUBTITLE, view.invented)
    heads = ["", OnStudy.YEAR, OnStudy.CURRENCY, OnStudy.COUNTED, OnStudy.TO_MEND, OnStudy.TO_LOOK_AT]
    rows: list[Cells] = []
    for row in view.households[:MOST_LISTED]:
        state = [key_words("Pooled", row["state"]), *([words(OnStudy.INVENTED)] if row["invented"] else [])]
        counted, every = row["sessions_n"], row["sessions_n"] + row["not_counted_n"]
        cells = [row["year"], row["currency"], phrase(OnStudy.OF, k=counted, n=every)]
        cells += [str(row["fix_n"] or ""), str(row["look_n"] or ""), "; ".join(state)]
        rows.append([capital(row["household"]), *cells])
    page.table([*heads, OnStudy.STATE], rows)
    _more(page, len(view.households) - MOST_LISTED)
    _matched(page, view)
    _left_out(page, view)
    _faults(page, view)
    return page


def _matched(page: Page, view: StudyView) -> None:
    page.section(OnStudy.MATCHED)
    page.text(OnStudy.MATCHED_NOTE, styles.NOTE)
    rows = []
    for task, kind in ways_of(view.document["methods"]):
        methods = view.rows("methods", task=task, kind=kind)
        by_name = grouped(methods, itemgetter("methods"))
        names = [phrase(OnStudy.CALLED, name=name, who=_numbers(of)) for name, of in by_name.items()]
        more = [phrase(OnStudy.MORE_IN_APPENDIX, n=len(names) - MOST_NAMES)] if len(names) > MOST_NAMES else []
        rows.append([way_name(task, kind), f"{len(methods):,}", "; ".join([*names[:MOST_NAMES], *more])])
    page.table(["", OnStudy.HOW_MANY, OnStudy.CALLED_HEAD], rows, (2, 1, 4))


def _numbers(rows: Sequence[Row]) -> str:
    """Numbers of households; of too many for their cell the first, and how many more there are."""
    numbers = [row["household"].rpartition(" ")[2] for row in rows]
    text, more_n = ", ".join(numbers[:MOST_LISTED]), len(numbers) - MOST_LISTED
    return text if more_n <= 0 else phrase(OnStudy.AND_MORE, told=text, n=more_n)


def _left_out(page: Page, view: StudyView) -> None:
    """Each workbook that is left out, and the figures that a household does not give, grouped by reason."""
    page.section(OnStudy.LEFT_OUT)
    measures: dict[tuple[str, str, str], list[str]] = {}
    for row in view.document["left_out"]:
        names = measures.setdefault((row["who"], _way(row), row["reason"]), [])
        names += [key_words("Studied", row["measure"])] if row["measure"] else []
    ways: dict[tuple[str, str, str], list[str]] = {}
    for (who, way, why), names in measures.items():
        ways.setdefault((who, ", ".join(names), why), []).append(way)
    if not ways:
        page.text(OnStudy.NOTHING_OUT, styles.REMARK)
        return
    rows = [[capital(who), "; ".join(of), names, why] for (who, names, why), of in [*ways.items()][:MOST_LEFT_OUT]]
    page.table(["", OnStudy.WAY_HEAD, OnStudy.FIGURES_HEAD, OnStudy.WHY_HEAD], rows, (1, 3, 2, 1))
    _more(page, len(ways) - MOST_LEFT_OUT)


def _way(row: Row) -> str:
    if not row["task"]:
        return words(OnStudy.ALL_OF_IT)
    if not row["other"]:
        return way_name(row["task"], row["kind"])
    kinds = phrase(OnStudy.AGAINST, one=kind_name(row["kind"]), other=kind_name(row["other"]))
    return phrase(OnStudy.WAY, task=task_name(row["task"]), kind=kinds)


def _more(page: Page, n: int) -> None:
    if n > 0:
        page.text(phrase(OnStudy.MORE_IN_APPENDIX, n=n), styles.NOTE)


def _faults(page: Page, view: StudyView) -> None:
    faults = [row for row in view.document["problems"] if row["level"] == FIX]
    if not faults:
        return
    page.section(OnStudy.FAULTS)
    rows = [
        [capital(row["household"]), f"{row['sheet']} {row['cell']}", f"{row['text']} {row['mend']}".strip()]
        for row in faults[:MOST_FAULTS]
    ]
    page.table(["", OnStudy.CELL, OnStudy.FOUND], rows, (1, 2, 4))
    _more(page, len(faults) - MOST_FAULTS)


def study_years(view: StudyView) -> Page | None:
    """The sheet Over the years of one household; None for several households."""
    if not view.is_one_household:
        return None
    page = Page(YEARS_WIDTHS, view.facts)
    page.title(OnStudy.YEARS_TITLE, OnStudy.YEARS_SUBTITLE, view.invented)
    if view.document["trends"]:
        _trends(page, view)
    else:
        page.text(OnStudy.NO_YEARS, styles.REMARK)
    for table in YEARS:
        _of_years(page, view, table)
    return page


def _of_years(page: Page, view: StudyView, table: str) -> None:
    """Add a table of wood or of tools, if it has rows."""
    sheet, rows = study_definition().sheet(table), view.document[table]
    if not rows:
        return
    page.new_group()
    page.section(sheet.title)
    name, figures = sheet.columns[0], [column for column in sheet.columns if column.type == "figure"]
    cells = [[capital(str(row[name.id])), *(figure_text(row[column.id]) for column in figures)] for row in rows]
    heads = [said(OnStudy.WITH_UNIT, title=c.title, unit=rows[0][c.id]["unit"]) for c in figures]
    page.table([name.title, *heads], cells)


def _trends(page: Page, view: StudyView) -> None:
    rows = view.document["trends"]
    for text in _trend_texts(view):
        page.text(text, styles.TEXT)
    ways = dict.fromkeys((row["task"], row["kind"]) for row in rows if row["measure"] == WORKER_HOURS)
    for task, kind in list(ways)[:MOST_CHARTS]:
        page.new_group()
        page.charts(_years_chart(view, task, kind))
    page.section(OnStudy.YEARS_TABLE)
    heads = ["", OnStudy.FIGURES_HEAD, OnStudy.YEARS_HEAD, OnStudy.PER_YEAR, OnStudy.IN_WORDS]
    cells: list[Cells] = []
    for row in rows:
        span = said(OnStudy.FROM_TO, first=row["first_year"], last=row["last_year"])
        name, trend = way_name(row["task"], row["kind"]), key_words("Trend", row["trend"])
        cells.append([name, figure_name(row), span, figure_text(row["per_year"]), trend])
    page.table(heads, cells)
    page.text(OnStudy.YEARS_NOTE, styles.NOTE)


def _trend_texts(view: StudyView) -> Iterator[str]:
    """For each way the trend of its hours, and whether its cash or CO2e rises though they do not."""
    rows = view.document["trends"]
    trend = {(row["task"], row["kind"], row["measure"]): row["trend"] for row in rows}
    for row in rows:
        if row["measure"] != WORKER_HOURS:
            continue
        cell = row["per_year"]
        if row["trend"] == Trend.LESS.key:
            cell = {**cell, "value": -cell["value"], "low": -cell["high"], "high": -cell["low"]}
        yield phrase(HOURS[row["trend"]], way=way_name(row["task"], row["kind"]), percent=figure_text(cell))
        wears = [m for m in (CASH, CO2E) if trend.get((row["task"], row["kind"], m)) == Trend.MORE.key]
        if wears and row["trend"] != Trend.MORE.key:
            yield phrase(OnStudy.WEARS, figures=tuple(key_words("Studied", m) for m in wears))


def _years_chart(view: StudyView, task: str, kind: str) -> Placed:
    rows = view.rows("contributions", task=task, kind=kind, other="", measure=WORKER_HOURS)
    year_of = {row["household"]: row["year"] for row in view.households}
    rows = sorted(rows, key=lambda row: (year_of[row["household"]], row["household"]))
    numbers = list(map(view.scaled, rows))
    way, names = way_name(task, kind), [year_of[row["household"]] for row in rows]
    title = view.say(OnStudy.YEARS_PICTURE, way=way)
    chart = forest(view, title, way, names, numbers, label_px=60)
    points = [
        point_of(number, chart.y(at), chart.end, name)
        for at, (number, name) in enumerate(zip(numbers, names, strict=True))
    ]
    chart.marks(way, points, *role_mark(is_powered=kind != BY_HAND), has_range=True)
    return chart.placed()


def study_how(view: StudyView) -> Page:
    """The sheet How we know."""
    page = Page(HOW_WIDTHS, view.facts)
    page.title(HowWeKnow.TITLE, OnStudy.HOW_SUBTITLE, view.invented)
    not_so = (
        StudyMade.OF_HOUSEHOLDS if view.is_one_household else StudyMade.OF_ONE,
        StudyMade.COUNTS_ONCE if view.is_both else StudyMade.COUNTS_ALL,
        StudyMade.CHECK_POOLING if view.document["notes"] else StudyMade.CHECK,
    )
    for word in StudyMade:
        if word not in not_so:
            label, _, text = view.say(word, n=len(view.households)).partition(": ")
            page.statement(label, text)
    page.section(HowWeKnow.CAUTIONS)
    for caution in cautions():
        if caution.is_for_all or caution.id in view.caution_ids:
            page.text(said(HowWeKnow.CAUTION, title=caution.title, text=caution.text), styles.ONE_CAUTION)
    return page
