"""The sheet Compare: what each way takes for one unit of wood, and whether the comparison is fair."""

from __future__ import annotations

from itertools import combinations
from operator import itemgetter

from wood_xl.io.looks import varied
from wood_xl.page_texts import OnCompare, OnPages
from wood_xl.reasons import Ranged, Reason, said
from wood_xl.report import styles
from wood_xl.report.charts import ROOM, Point, Scatter, Symbol, axis_end
from wood_xl.report.figure_text import inverse, ranged, ranged_text
from wood_xl.report.layout import Cells, Page, Placed, Span
from wood_xl.report.view import Method, Row, View, task_name
from wood_xl.results.figures import figure_column
from wood_xl.schema.words import phrase, words
from wood_xl.verdicts import Measure, Surety

WIDTHS = (86, 42, 37, 72, 64, 53, 78, 53, 88, 38, 112)
MAIN_SPANS = (2, 2, 2, 2, 2, 1)
EQUAL_SPANS = (1, 2, 2, 2, 2, 2)
FIGURES = ("worker_hours", "clock_hours", "kcal_net", "cash", "co2e")
COMPARED = {  # of a figure: its name, the title of its chart, and what it measures
    "worker_hours": (OnCompare.HOURS, OnCompare.CHART_HOURS, Measure.TIME),
    "kcal_net": (OnCompare.NAME_EFFORT, OnCompare.CHART_EFFORT, Measure.EFFORT),
    "cash": (OnCompare.CASH, OnCompare.CHART_CASH, Measure.MONEY),
    "co2e": (OnCompare.NAME_CO2E, OnCompare.CHART_CO2E, Measure.AIR),
}
SOURCES = {
    "persons": OnCompare.FROM_HANDS,
    "logs": OnCompare.FROM_LOGS,
    "prior": OnCompare.FROM_PRIOR,
    "days": OnCompare.FROM_DAYS,
    "sessions": OnCompare.FROM_SESSIONS,
}
FACTORS = {"by_logs": OnCompare.LOGS, "by_hands": OnCompare.HANDS, "by_days": OnCompare.DAYS}
CHART_PX, CHART_GAP_PX, LABEL_PX = 330, 16, 112
ROWS_PX = (14, 12)  # heights of a chart's row: the lower one where it saves a page
MOST_PAIRS = 100  # listed one by one; of more only those with a way that a verdict chooses


def compare_page(view: View) -> Page | None:
    """The page; None where no task has two methods."""
    if not view.open_tasks:
        return None
    rows_n = len(view.chart_data.rows)
    page = _page(view, ROWS_PX[0])
    if len(page.pages()) > 1:
        del view.chart_data.rows[rows_n:]  # the same points come again
        lower = _page(view, ROWS_PX[1])
        page = min(page, lower, key=lambda one: len(one.pages()))
    return page


def _page(view: View, row_px: int) -> Page:
    page = Page(WIDTHS, view.facts)
    page.title(OnCompare.TITLE, OnCompare.SUBTITLE)
    _main(page, view)
    drawn = [key for key in COMPARED if any(view.rate(method.name)[key]["value"] for method in view.noted_methods)]
    for side_by_side in filter(None, (drawn[:2], drawn[2:])):
        lefts = (0, CHART_PX + CHART_GAP_PX)
        page.charts(*(_chart(view, figure, left, row_px) for figure, left in zip(side_by_side, lefts, strict=False)))
    page.key((OnPages.BY_HAND, styles.HAND, 4), (OnPages.BY_POWER, styles.POWER, 4), (OnPages.RANGE_LINE, "", 3))
    _equal_terms(page, view)
    _limits(page, view)
    _not_settled(page, view)
    return page


def _main(page: Page, view: View) -> None:
    settled = {
        (row["method"], row["measure"]) for row in view.document["winners"] if row["surety"] == Surety.SETTLED.key
    }
    rows: list[Cells] = []
    for method in view.noted_methods:
        rate = view.rate(method.name)
        key = OnCompare.METHOD_OF_ONE if method.sessions_n == 1 else OnCompare.METHOD
        cells: Cells = [said(key, method=method.name, n=method.sessions_n)]
        for figure, columns in zip(FIGURES, MAIN_SPANS[1:], strict=True):
            is_least = figure in COMPARED and (method.name, COMPARED[figure][2].key) in settled
            look = varied(styles.CELL, fill=styles.LEAST) if is_least else styles.CELL
            cells.append(Span(view.unit_text(rate[figure]), look, columns))
        rows.append(cells)
    heads = (OnCompare.HOURS, OnCompare.CLOCK, OnCompare.EFFORT, OnCompare.CASH, OnCompare.CO2E)
    page.table(["", *heads], rows, MAIN_SPANS)
    page.text(OnCompare.NOTE, styles.NOTE)


def _chart(view: View, figure: str, left_px: int, row_px: int) -> Placed:
    title = view.say(COMPARED[figure][1], currency=view.currency)
    methods = view.noted_methods
    cells = [view.per_unit(view.rate(method.name)[figure]) for method in methods]
    most = max((cell["high"] or cell["value"] or 0.0 for cell in cells), default=0.0)
    end, step = axis_end(most * ROOM)
    parts = tuple(
        phrase(OnCompare.ALT_PART, method=method.name, figure=view.text(cell))
        for method, cell in zip(methods, cells, strict=True)
    )
    text = view.say(OnCompare.CHART_ALT, title=title, parts=parts)
    chart = Scatter(
        view.chart_data, title, text, len(cells), end, step, width_px=CHART_PX, label_px=LABEL_PX, row_px=row_px
    )
    chart.names([method.name for method in methods])
    marks: dict[tuple[Symbol, str], list[Point]] = {}
    for at, (method, cell) in enumerate(zip(methods, cells, strict=True)):
        if not cell["value"]:
            chart.label(view.text(cell), end * 0.01, chart.y(at), "right", ink=styles.SOFT)
            continue
        marks.setdefault(method.mark, []).append(Point.of(cell, chart.y(at), method.name))
    for (symbol, fill), points in marks.items():
        word = OnPages.BY_HAND if fill == styles.HAND else OnPages.BY_POWER
        chart.marks(words(word), points, symbol, fill, size=8, has_range=True)
    return chart.placed(left_px)


def _equal_terms(page: Page, view: View) -> None:
    page.section(OnCompare.EQUAL)
    heads = ["", OnCompare.MEASURED_HEAD, OnCompare.EQUAL_HEAD, OnCompare.FACTORS_HEAD]
    heads += [OnCompare.DOUBT_HEAD, OnCompare.SURE_HEAD]
    rows: list[Cells] = []
    pairs = _pairs(view)
    listed = [pair for pair in pairs if _is_listed(view, len(pairs), *(method.name for method in pair))]
    for one, other in listed:
        title = phrase(
            OnCompare.PAIR, task=task_name(one.task), one=view.short(one.name), other=view.short(other.name)
        )
        rows.append([Span(title, styles.BAND, page.columns)])
        names = {one.name, other.name}
        of_pair = [row for row in view.rows("comparisons", task=one.task) if {row["more"], row["less"]} == names]
        known = [row for row in of_pair if row["surety"] != words(Surety.NOT_KNOWN)]  # the table above says why not
        rows += [_ratio_row(view, row, one, other) for row in known or of_pair]
    page.table(heads, rows, EQUAL_SPANS)
    page.text(OnCompare.EQUAL_NOTE, styles.NOTE)
    if len(listed) < len(pairs):
        page.text(phrase(OnCompare.PAIRS_TOLD, n=len(pairs), told=len(listed)), styles.NOTE)


def _is_listed(view: View, pairs_n: int, *names: str) -> bool:
    """Whether the page has room for a pair of methods: for any of a few, of many for those that a verdict chooses."""
    return pairs_n <= MOST_PAIRS or any(row["choice"] in names for row in view.document["verdicts"])


def _pairs(view: View) -> list[tuple[Method, Method]]:
    return [
        pair
        for task in view.open_tasks
        for pair in combinations([method for method in view.methods if method.task == task], 2)
    ]


def _ratio_row(view: View, row: Row, one: Method, other: Method) -> Cells:
    """Name of the figure, ratio as measured and on equal terms, the factors between them, and how sure it is."""
    ratio_text = view.text(row["ratio"])
    if row["ratio"]["value"] is not None:
        ratio = ranged(row["ratio"])
        ratio_text = ranged_text(ratio if row["more"] == one.name else inverse(ratio))
    measured, factors = _measured(view, row, one, other)
    surety = row["surety"]
    if surety in (words(Surety.SETTLED), words(Surety.LIKELY), words(Surety.LEANS)):
        surety = phrase(OnCompare.SURE, surety=surety, method=view.short(row["less"]))
    return [Span(_name(row)), measured, ratio_text, factors, _doubt(view, row), surety]


def _figure(row: Row) -> str:
    """Id of the figure that a row compares."""
    return next(key for key in COMPARED if figure_column(key).title == row["figure"])


def _name(row: Row) -> str:
    return words(COMPARED[_figure(row)][0])


def _measured(view: View, row: Row, one: Method, other: Method) -> tuple[str, str]:
    """The ratio as measured, and the factors that turn it into that on equal terms."""
    first, second = (view.row("equal_terms", method=method.name, figure=row["figure"]) for method in (one, other))
    if first is None or second is None or not first["measured"]["value"] or not second["measured"]["value"]:
        return "", words(OnCompare.BY_COST)
    measured = first["measured"]["value"] / second["measured"]["value"]
    factors = []
    for key, word in FACTORS.items():
        if first[key]["value"] and second[key]["value"]:
            factor = first[key]["value"] / second[key]["value"]
            if f"{factor:.2f}" != "1.00":
                factors.append(phrase(word, factor=factor))
    return ranged_text(Ranged(measured)), ", ".join(factors) or words(OnCompare.NO_FACTORS)


def _doubt(view: View, row: Row) -> str:
    """The largest source of doubt: a part of the model, or else an input."""
    shares = {key: row[key]["value"] for key in SOURCES if row[key]["value"] is not None}
    if shares:
        return words(SOURCES[max(shares, key=lambda key: shares[key])])
    inputs: list[tuple[float, str]] = []
    for method in (row["more"], row["less"]):
        sure = view.row("how_sure", method=method, figure=row["figure"])
        widest = view.row("widest_doubts", method=method, figure=_figure(row))
        if sure is not None and widest is not None:
            inputs.append((sure["common_doubt"]["value"] or 0.0, widest["input"]))
    return max(inputs, key=itemgetter(0), default=(0.0, ""))[1]


def _limits(page: Page, view: View) -> None:
    rows = view.document["limits"]
    if rows:
        page.section(OnCompare.LIMITS)
    for row in rows:
        names = {key: view.short_of_all(row[key]) for key in ("one", "other")}
        counts = {"first": row["persons_of_one"], "second": row["persons_of_other"]}
        for person in view.people:
            counts = {key: text.replace(person, view.short_name(person)) for key, text in counts.items()}
        limit = phrase(
            OnCompare.LIMIT_OF_NOBODY if view.is_shared else OnCompare.LIMIT, **names, **counts, mend=row["mend"]
        )
        page.text(limit, styles.REMARK)


def _not_settled(page: Page, view: View) -> None:
    pairs_n, closed = len(_pairs(view)), (words(Surety.SETTLED), words(Surety.SAME))
    rows = [
        row
        for row in view.document["comparisons"]
        if row["surety"] not in closed and row["ratio"]["value"] is not None
        if _is_listed(view, pairs_n, row["more"], row["less"])
    ]
    if rows:
        page.section(OnCompare.OPEN)
    for row in rows:
        facts = {key: row[key] for key in ("more", "less", "surety", "further")}
        facts |= {"figure": _name(row), "task": task_name(row["task"]).lower(), "ratio": ranged(row["ratio"])}
        is_by_cost = row["further"] == words(Reason.NOT_BY_SESSIONS)
        page.text(said(OnCompare.IS_OPEN_BY_COST if is_by_cost else OnCompare.IS_OPEN, **facts), styles.REMARK)
