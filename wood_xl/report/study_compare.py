"""The sheet Compare of a study: each household's own ratio of two ways as a picture, all ratios, and the rates."""

from __future__ import annotations

from wood_xl.data.trade import tasks
from wood_xl.io.charts import axis_end
from wood_xl.reasons import Ranged
from wood_xl.report import styles
from wood_xl.report.charts import ChartData, Point, Scatter, decimals_format
from wood_xl.report.figure_text import ranged, ranged_text
from wood_xl.report.layout import Page, Placed, Span
from wood_xl.report.study_answer import AGREED
from wood_xl.report.study_view import Pair, Row, StudyView, kind_name, pair_name, ratio_of, surety_text
from wood_xl.schema.words import capital, key_words, phrase, words
from wood_xl.study_words import OnStudy, Studied

WIDTHS = (115, 108, 112, 76, 126, 154)
DRAWN = (Studied.WORKER_HOURS, Studied.KCAL_NET, Studied.CASH, Studied.CO2E)
CHART_PX, LABEL_PX, ROW_PX = 338, 92, 15
MOST_PICTURES = 4
MOST_HOUSEHOLDS = 24  # beyond which a picture would not fit on a page
MOST_TIMES = 2.5  # of the axis, times the largest ratio: a range beyond it is cut
ROOM = 1.02


def study_compare(view: StudyView, data: ChartData) -> Page | None:
    """The page; None where nobody tried two ways."""
    if not view.document["figures"]:
        return None
    page = Page(WIDTHS)
    page.title(words(OnStudy.COMPARE_TITLE), words(OnStudy.COMPARE_SUBTITLE), view.invented)
    pictured = [pair for pair in view.pairs if 1 < view.most(pair) <= MOST_HOUSEHOLDS][:MOST_PICTURES]
    for pair in pictured:
        page.new_group()
        page.text(pair_name(pair), styles.PART_TITLE)
        rows = [row for one in DRAWN for row in view.of_pair(pair) if row["measure"] == one.key]
        several = [row for row in rows if row["households_n"] > 1][:2]
        page.charts(*(_picture(view, data, pair, row, at * CHART_PX) for at, row in enumerate(several)))
    if pictured:
        page.text(words(OnStudy.PICTURE_NOTE), styles.NOTE)
    _ratios(page, view)
    _rates(page, view)
    return page


def _picture(view: StudyView, data: ChartData, pair: Pair, row: Row, left_px: int) -> Placed:
    """A row for each household, one for all together, and how far one more may lie."""
    own = [
        one
        for one in view.rows("contributions", task=pair[0], kind=pair[1], other=pair[2], measure=row["measure"])
        if one["money"] == row["money"]
    ]
    more, together = ratio_of(row)
    is_turned = more != row["kind"]
    ratios = [_turned(view.scaled(one), is_turned) for one in own]
    following = ratio_of(row, "next_household")[1]
    most = max(one.value for one in (*ratios, together)) * MOST_TIMES
    end, step = axis_end(min(most, max(one.high or one.value for one in (*ratios, following)) * ROOM))
    what = key_words("Studied", row["measure"])
    what = phrase(OnStudy.IN_MONEY, told=what, money=row["money"]) if row["money"] else what
    title = phrase(OnStudy.PICTURE, figure=what, more=kind_name(more))
    names = [capital(one["household"]) for one in own]
    last = words(OnStudy.ONE_MORE_SEASON if view.is_one_household else OnStudy.ONE_MORE)
    rows = [*names, words(OnStudy.TOGETHER), last]
    told = tuple(
        phrase(OnStudy.ALT_PART, who=name, ratio=ranged_text(ratio))
        for name, ratio in zip(rows, (*ratios, together, following), strict=True)
    )
    chart = Scatter(
        data,
        title,
        phrase(OnStudy.PICTURE_ALT, title=title, pair=pair_name(pair), parts=told),
        rows=len(rows),
        end=end,
        step=step,
        width_px=CHART_PX,
        label_px=LABEL_PX,
        number_format=decimals_format(step),
        row_px=ROW_PX,
    )
    chart.names(rows)
    chart.line(
        words(OnStudy.ALIKE_LINE), [Point(1.0, 0.0), Point(1.0, float(len(rows)))], styles.SOFT, 1.0, dash="sysDash"
    )
    apart = row["apart"].split(", ")
    for is_apart, fill in ((False, styles.HAND), (True, "FFFFFF")):
        points = [
            _point(ratio, chart.y(at), end, name)
            for at, (ratio, name, one) in enumerate(zip(ratios, names, own, strict=True))
            if (one["household"] in apart) == is_apart and ratio.value <= end
        ]
        if points:
            word = OnStudy.STANDS_APART if is_apart else OnStudy.EACH
            chart.marks(words(word), points, "circle", fill, size=8, has_range=True)
    if together.value <= end:
        point = _point(together, chart.y(len(names)), end, rows[-2])
        chart.marks(rows[-2], [point], "diamond", styles.POWER, has_range=True)
    low, high = following.low or 0.0, min(end, following.high or end)
    y = chart.y(len(names) + 1)
    chart.line(rows[-1], [Point(low, y), Point(high, y)], styles.OPEN, 6.0)
    return chart.placed(left_px)


def _turned(number: Ranged, is_turned: bool) -> Ranged:
    if not is_turned:
        return number
    return Ranged(1 / number.value, 1 / (number.high or number.value), 1 / (number.low or number.value))


def _point(number: Ranged, y: float, end: float, name: str) -> Point:
    low, high = number.low or number.value, number.high or number.value
    return Point(number.value, y, number.value - low, min(high, end) - number.value, name)


def _ratios(page: Page, view: StudyView) -> None:
    if not view.pairs:
        page.text(words(OnStudy.NO_PAIR), styles.REMARK)
        return
    page.section(words(OnStudy.RATIOS))
    more = OnStudy.ONE_MORE_SEASON if view.is_one_household else OnStudy.ONE_MORE
    heads = ["", *map(words, (OnStudy.TOGETHER, more, OnStudy.HOW_MANY, OnStudy.AGREEMENT_HEAD, OnStudy.SURE_HEAD))]
    rows: list[list[Span | str]] = []
    for pair in view.pairs:
        rows.append([Span(pair_name(pair), styles.BAND, page.columns)])
        shown = view.of_pair(pair) if view.most(pair) > 1 else view.of_pair(pair)[:1]
        rows += [_ratio_row(view, row) for row in shown]
    page.table(heads, rows)
    page.text(words(OnStudy.RATIOS_NOTE), styles.NOTE)
    if any(view.most(pair) == 1 for pair in view.pairs):
        page.text(words(OnStudy.ALONE_NOTE), styles.NOTE)


def _ratio_row(view: StudyView, row: Row) -> list[Span | str]:
    name = key_words("Studied", row["measure"])
    name = phrase(OnStudy.IN_MONEY, told=name, money=row["money"]) if row["money"] else name
    is_flip = row["measure"] == Studied.FLIP.key
    together, following = (
        view.amount(row[part], row) if is_flip else ranged_text(ranged(row[part]))
        for part in ("value", "next_household")
    )
    sure = surety_text(row["surety"])
    if row["surety"] in ("settled", "likely", "leans"):
        sure = phrase(OnStudy.SURE, surety=sure, less=kind_name(row["less"]))
    if row["apart"]:
        told = phrase(OnStudy.FAR_OUT, who=row["apart"])
        sure = phrase(OnStudy.SURE_APART, sure=sure, told=told) if sure else told
    return [
        Span(name, styles.NAME),
        together,
        following,
        str(row["households_n"]),
        words(AGREED[row["agreement"]]),
        sure,
    ]


def _rates(page: Page, view: StudyView) -> None:
    page.section(phrase(OnStudy.RATES, wood=view.wood))
    heads = ["", *map(words, (OnStudy.HOURS_HEAD, OnStudy.CLOCK_HEAD))]
    heads += [words(OnStudy.HOW_MANY), words(OnStudy.KCAL_HEAD), phrase(OnStudy.CASH_AND_CO2E, mass=view.mass)]
    rows: list[list[Span | str]] = []
    order = list(tasks())
    ways = dict.fromkeys((row["task"], row["kind"]) for row in view.document["figures"])
    for task, kind in sorted(ways, key=lambda way: order.index(way[0])):
        found = {
            measure: view.rows("figures", task=task, kind=kind, measure=measure.key)
            for measure in (*DRAWN, Studied.CLOCK_HOURS)
        }
        texts = {
            measure: "; ".join(view.amount(row["value"], row) for row in of_measure)
            for measure, of_measure in found.items()
        }
        counts = [str(row["households_n"]) for row in found[Studied.WORKER_HOURS]]
        name = phrase(OnStudy.WAY, task=capital(tasks()[task].name), kind=kind_name(kind))
        last = phrase(OnStudy.TWO_AMOUNTS, cash=texts[Studied.CASH] or "-", co2e=texts[Studied.CO2E] or "-")
        rows.append(
            [
                Span(name, styles.NAME),
                texts[Studied.WORKER_HOURS],
                texts[Studied.CLOCK_HOURS],
                ", ".join(counts),
                texts[Studied.KCAL_NET],
                last,
            ]
        )
    page.table(heads, rows)
    page.text(words(OnStudy.RATES_NOTE), styles.NOTE)
