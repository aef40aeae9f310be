"""The chart of the value of an hour at which two ways cost the same: a band for each pair of neighbors."""

from __future__ import annotations

from operator import itemgetter

from wood_xl.page_texts import OnAnswer
from wood_xl.report import styles
from wood_xl.report.charts import Point, Scatter, axis_end, text_px
from wood_xl.report.layout import Page
from wood_xl.report.view import Row, View, task_name
from wood_xl.schema.words import phrase, words

MOST_HOURS_VALUES = 4  # times the person's own value of an hour that the axis holds
HIGHEST_SHARE = 1.2
TEN = 10.0
WIDER = 2.5758 / 1.96  # from ends of 95 % to ends with 1 chance in 200 beyond either, in logarithms
BAND_POINTS = 11.5
LABEL_MARGIN_PX = 8.0


def band(page: Page, view: View, *, is_trial: bool) -> None:
    """Add the chart to the page, with a row for each pair of neighbors; a trial leaves its room empty."""
    pairs = [row for row in view.document["exchange"] if (row["flip"]["value"] or 0.0) > 0]
    if not pairs:
        return
    page.section(OnAnswer.BAND if view.volume else OnAnswer.BAND_NO_VOLUME)
    hour = view.value_of_hour
    highest = HIGHEST_SHARE * max(*(row["flip"]["high"] or row["flip"]["value"] for row in pairs), hour or 0.0)
    end, step = axis_end(max(TEN, min(highest, MOST_HOURS_VALUES * (hour or highest))))
    texts = (
        phrase(OnAnswer.BAND_ALT_PART, task=_pair_name(view, row, row["method"]), flip=view.text(row["flip"]))
        for row in pairs
    )
    text = phrase(OnAnswer.BAND_ALT, parts=tuple(texts))
    rows_n = 2 * len(pairs) + (hour is not None and hour <= end)  # the last for the person's own value
    money = f'"{view.sign}"#,##0'
    chart = Scatter(view.chart_data, "", text, rows_n, end, step, label_px=90, number_format=money, row_px=15)
    your_hour = None if hour is None or hour > end else hour
    for number, row in enumerate(() if is_trial else pairs):
        _band_row(chart, view, row, chart.rows - 2 * (len(pairs) - number) + 1, your_hour)
    if your_hour is not None and not is_trial:
        top, your_text = float(chart.rows), view.say(OnAnswer.YOU)
        chart.line(your_text, [Point(your_hour, 0.0), Point(your_hour, top)], styles.INK, 1.75, dash="sysDash")
        chart.label(your_text, your_hour, top - 0.5, "right", bold=True, is_on_top=True)
    page.charts(chart.placed())
    by_role = all(not view.method(r["instead_of"]).is_powered and view.method(r["method"]).is_powered for r in pairs)
    left, right = (
        (OnAnswer.HAND_CHEAPER, OnAnswer.POWER_CHEAPER)
        if by_role
        else (OnAnswer.SLOWER_CHEAPER, OnAnswer.QUICKER_CHEAPER)
    )
    key = OnAnswer.BAND_KEY if your_hour is not None else OnAnswer.BAND_KEY_NO_YOU
    page.key((left, styles.HAND, 1), (OnAnswer.OPEN, styles.OPEN, 1), (right, styles.POWER, 1), (key, "", 2))


def _band_row(chart: Scatter, view: View, row: Row, at: int, your_hour: float | None) -> None:
    end, flip, y = chart.end, row["flip"], chart.y(at)
    name = _pair_name(view, row, view.short(row["method"]))
    value, low, high = flip["value"], flip["low"], flip["high"]
    if low is not None and low > 0:
        low = value * (low / value) ** WIDER
    if high is not None:
        high = min(end, value * (high / value) ** WIDER)
    first, last = max(0.0, low or 0.0), end if high is None else high
    for start, stop, color in (
        (0.0, min(first, end), styles.HAND),
        (min(first, end), last, styles.OPEN),
        (last, end, styles.POWER),
    ):
        if stop > start:
            chart.line(name, [Point(start, y), Point(stop, y)], color, BAND_POINTS)
    chart.label(name, 0.0, y, "left", size=1000, bold=True)
    if value <= end:
        chart.marks(words(OnAnswer.SAME), [Point(value, y)], "diamond", "FFFFFF")
        same = phrase(OnAnswer.SAME_COST, flip=view.value_text(flip))
        x, side = _label_place(chart, same, value, your_hour)
        chart.label(same, x, y + 1.0, side, bold=True, is_on_top=True)
    else:
        beyond = phrase(OnAnswer.SAME_COST_BEYOND, flip=view.value_text(flip))
        chart.label(beyond, end, y + 1.0, "left", bold=True, is_on_top=True)
    inner = your_hour if your_hour is not None and last < your_hour < end else last  # clear of the line there
    first, room = max(((left, right - left) for left, right in ((last, inner), (inner, end))), key=itemgetter(1))
    for word in (OnAnswer.CHEAPER, OnAnswer.SHORTLY_CHEAPER):
        text = phrase(word, method=row["method"])
        if chart.px(room) > text_px(text, bold=True) + LABEL_MARGIN_PX:
            middle = first + room / 2
            chart.label(text, middle, y, "middle", bold=True, ink="FFFFFF", is_on_top=True)
            break


def _label_place(chart: Scatter, text: str, value: float, your_hour: float | None) -> tuple[float, str]:
    """Where the label above a mark begins, and to which side it runs: clear of the line of the person's own value."""
    width, middle = text_px(text, bold=True) + LABEL_MARGIN_PX, chart.px(value)
    first = max(0.0, middle - width / 2)
    if your_hour is not None and first < chart.px(your_hour) < first + width:
        return your_hour, "left" if value < your_hour else "right"
    return chart.at_px(first), "right"


def _pair_name(view: View, row: Row, method: str) -> str:
    """Name of the task, or of the method where its task has several pairs."""
    return method if len(view.rows("exchange", task=row["task"])) > 1 else task_name(row["task"])
