"""Pictures of what moves the value of an hour at which two ways cost the same: one input moved at a time."""

from __future__ import annotations

from collections.abc import Sequence

from wood_xl.io.charts import axis_end
from wood_xl.reading_words import OnTornado
from wood_xl.report import styles
from wood_xl.report.charts import CHART_PX, ChartData, Point, Scatter, decimals_format
from wood_xl.report.figure_text import typed_money
from wood_xl.report.layout import Page, Placed
from wood_xl.report.view import Row, View, task_name
from wood_xl.schema.words import phrase, words

MOVES = "flip_moves"
MOST_BARS = 8
LABEL_PX, LABEL_SHARE, ROW_PX, BAR_POINTS = 351, 0.52, 12, 7.5
STANDS_POINTS, YOURS_POINTS = 1.0, 1.75
ROOM = 1.02
MOST_HOURS_VALUES = 4  # times the person's own value that the axis holds
KEY_SPANS = (1, 1, 5)


def tornados(page: Page, view: View, data: ChartData) -> None:
    """A picture for each two ways whose flip is known, on one scale, the widest bar first."""
    pairs: dict[tuple[str, str], list[Row]] = {}
    for row in view.document.get(MOVES, ()):
        if (
            row["flip"]["value"] is not None
            and row["at_low"]["value"] is not None
            and row["at_high"]["value"] is not None
        ):
            pairs.setdefault((row["method"], row["instead_of"]), []).append(row)
    if not pairs:
        return
    hour = view.value_of_hour
    ends = [row[key]["value"] for rows in pairs.values() for row in rows[:MOST_BARS] for key in ("at_low", "at_high")]
    most = max(*ends, hour or 0.0) * ROOM
    if hour:
        most = min(most, max(MOST_HOURS_VALUES * hour, *(rows[0]["flip"]["value"] for rows in pairs.values())))
    end, step = axis_end(most)
    page.section(words(OnTornado.TITLE))
    for number, rows in enumerate(pairs.values(), start=1):
        page.charts(_chart(view, data, rows[:MOST_BARS], end, step, is_last=number == len(pairs)))
    told = OnTornado.KEY if hour is None else OnTornado.KEY_YOU
    your = "" if hour is None else typed_money(hour, view.currency)
    lower, higher, line = KEY_SPANS
    page.key(
        [
            (words(OnTornado.LOWER), styles.HAND, lower),
            (words(OnTornado.HIGHER), styles.POWER, higher),
            (phrase(told, hour=your), "", line),
        ]
    )


def _chart(view: View, data: ChartData, rows: Sequence[Row], end: float, step: float, *, is_last: bool) -> Placed:
    first = rows[0]
    about = {"method": view.short(first["method"]), "other": view.short(first["instead_of"])}
    title = phrase(OnTornado.CHART, task=task_name(first["task"]), **about)
    parts = tuple(
        phrase(
            OnTornado.ALT_PART, input=row["input"], low=view.middle(row["at_low"]), high=view.middle(row["at_high"])
        )
        for row in rows
    )
    chart = Scatter(
        data,
        title,
        phrase(OnTornado.ALT, title=title, parts=parts),
        rows=len(rows),
        end=end,
        step=step,
        width_px=CHART_PX,
        label_px=LABEL_PX,
        number_format=decimals_format(step),
        axis_title=phrase(OnTornado.AXIS, currency=view.currency) if is_last else "",
        most_label_share=LABEL_SHARE,
        row_px=ROW_PX,
    )
    chart.names([phrase(OnTornado.LABEL, input=row["input"], range=row["range"]) for row in rows])
    top = float(len(rows))
    stands = first["flip"]["value"]
    if stands <= end:
        chart.line(words(OnTornado.KEY), [Point(stands, 0.0), Point(stands, top)], styles.INK, STANDS_POINTS)
    if view.value_of_hour is not None and view.value_of_hour <= end:
        x = view.value_of_hour
        your = typed_money(x, view.currency)
        chart.line(your, [Point(x, 0.0), Point(x, top)], styles.INK, YOURS_POINTS, dash="sysDash")
    for at, row in enumerate(rows):
        ends = sorted(min(end, max(0.0, row[key]["value"])) for key in ("at_low", "at_high"))
        middle, y = min(stands, end), chart.y(at)
        for start, stop, color in ((ends[0], middle, styles.HAND), (middle, ends[1], styles.POWER)):
            if stop > start:
                chart.line(row["input"], [Point(start, y), Point(stop, y)], color, BAR_POINTS)
    return chart.placed()
