"""The picture of what an hour is worth where two ways cost the same: a band for each pair of neighbors."""

from __future__ import annotations

import math
from operator import itemgetter

from wood_xl.io import measure
from wood_xl.reading_words import OnAnswer
from wood_xl.report import styles
from wood_xl.report.charts import ChartData, Point, Scatter
from wood_xl.report.figure_text import typed_money
from wood_xl.report.layout import DIGIT_PX, Page
from wood_xl.report.view import Row, View, task_name
from wood_xl.schema.words import phrase, words

MOST_HOURS_VALUES = 4  # times the person's own value of an hour that the axis holds
HIGHEST_SHARE = 1.2
TEN = 10.0
WIDER = 2.5758 / 1.96  # from the ends of 95 % to 1 chance in 200 at either side, in logarithms
BAND_POINTS = 13.0
LABEL_SIZE, LABEL_MARGIN_PX = 9.0, 8.0


def band(page: Page, view: View, data: ChartData) -> None:
    """What an hour is worth where both ways cost the same, a row for each pair of neighbors."""
    pairs = [row for row in view.document["exchange"] if (row["flip"]["value"] or 0.0) > 0]
    if not pairs:
        return
    at = OnAnswer.BAND if view.volume else OnAnswer.BAND_NO_VOLUME
    title = phrase(at, volume=view.volume, woods=view.woods)
    page.section(title)
    hour = view.value_of_hour
    highest = HIGHEST_SHARE * max(row["flip"]["high"] or row["flip"]["value"] for row in pairs)
    end = _next_step(max(highest, HIGHEST_SHARE * (hour or 0.0)))
    if hour:
        end = min(end, max(_next_step(MOST_HOURS_VALUES * hour), TEN))
    texts = [phrase(OnAnswer.BAND_ALT_PART, task=_pair_name(view, row), flip=view.text(row["flip"])) for row in pairs]
    chart = Scatter(
        data,
        "",
        phrase(OnAnswer.BAND_ALT, parts=tuple(texts)),
        rows=2 * len(pairs),
        end=end,
        step=end / 6 if end % 6 == 0 else end / 5,
        label_px=90,
        number_format=f'"{view.sign}"#,##0',
        row_px=15,
    )
    told = "" if hour is None else phrase(OnAnswer.YOU, hour=typed_money(hour, view.currency))
    you = None if hour is None or hour > end else (hour, told)
    for number, row in enumerate(pairs):
        _band_row(chart, view, row, 2 * number + 1, you, is_first=not number)
    if you is not None:
        top, x = float(chart.rows), you[0]
        chart.line(told, [Point(x, 0.0), Point(x, top)], styles.INK, 1.75, dash="sysDash")
        chart.label(told, x, top - 0.5, "right", bold=True, is_on_top=True)
    page.charts(chart.placed())
    by_role = all(not view.method(r["instead_of"]).is_powered and view.method(r["method"]).is_powered for r in pairs)
    left, right = (
        (OnAnswer.HAND_CHEAPER, OnAnswer.POWER_CHEAPER)
        if by_role
        else (OnAnswer.SLOWER_CHEAPER, OnAnswer.QUICKER_CHEAPER)
    )
    key = OnAnswer.BAND_KEY if you is not None else OnAnswer.BAND_KEY_NO_YOU
    page.key(
        [
            (words(left), styles.HAND, 1),
            (words(OnAnswer.OPEN), styles.OPEN, 1),
            (words(right), styles.POWER, 1),
            (words(key), "", 2),
        ]
    )


def _band_row(
    chart: Scatter, view: View, row: Row, at: int, you: tuple[float, str] | None, *, is_first: bool
) -> None:
    end, you_at = chart.end, None if you is None else you[0]
    flip, y = row["flip"], chart.y(at)
    name = task_name(row["task"])
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
        same = phrase(OnAnswer.SAME_COST, flip=view.middle(flip))
        first_x = _beside(chart, same, value, you if is_first else None)
        chart.label(same, first_x, y + 1.0, "right", bold=True, is_on_top=True)
    inner = you_at if you_at is not None and last < you_at < end else last  # clear of the line of one's own value
    first, room = max(((left, right - left) for left, right in ((last, inner), (inner, end))), key=itemgetter(1))
    for word in (OnAnswer.CHEAPER, OnAnswer.SHORTLY_CHEAPER):
        told = phrase(word, method=row["method"])
        if chart.px(room) > _label_px(told):
            middle = first + room / 2
            chart.label(told, middle, y, "middle", bold=True, ink="FFFFFF", is_on_top=True)
            break


def _beside(chart: Scatter, text: str, value: float, you: tuple[float, str] | None) -> float:
    """Where a label begins above its mark, clear of the label of the person's own value on the same row."""
    width, middle = _label_px(text), chart.px(value)
    first = max(0.0, middle - width / 2)
    if you is not None:
        left = chart.px(you[0])
        right = left + _label_px(you[1])
        if first + width > left and first < right:
            first = left - width if middle < left and left > width else right
    return chart.at_px(first)


def _label_px(text: str) -> float:
    return measure.text_width(text, LABEL_SIZE, bold=True) * DIGIT_PX + LABEL_MARGIN_PX


def _next_step(number: float) -> float:
    """The next ten above a number, in tens of its own size where it is large."""
    size = TEN ** max(1, math.floor(math.log10(number)) if number > 0 else 1)
    return math.ceil(number / size) * size


def _pair_name(view: View, row: Row) -> str:
    several = len(view.rows("exchange", task=row["task"])) > 1
    return row["method"] if several else task_name(row["task"])
