"""The sheet Money: what one unit of wood costs, when a tool pays, what it takes to buy one, and what moves that."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wood_xl.io.looks import varied
from wood_xl.page_texts import OnMoney, OnTornado
from wood_xl.reasons import Word, said
from wood_xl.report import styles
from wood_xl.report.band import MOST_HOURS_VALUES
from wood_xl.report.charts import ROOM, Point, Scatter, axis_end, decimals_format, stacked_bars
from wood_xl.report.figure_text import figure_text, ranged, typed_money, typed_text
from wood_xl.report.layout import Cells, CellText, Page, Placed, Span
from wood_xl.report.view import Row, View, task_name
from wood_xl.results.figures import grouped
from wood_xl.schema.words import number_text, phrase, words

WIDTHS = (126, 84, 86, 86, 86, 88, 147)
PARTS = ("ownership", "upkeep", "fuel", "bar_oil", "electricity")
DRAWN = (
    (OnMoney.KEY_OWNING, styles.PART_FILLS[0], ("ownership",), 1),
    (OnMoney.KEY_UPKEEP, styles.PART_FILLS[1], ("upkeep",), 2),
    (OnMoney.KEY_FUEL, styles.PART_FILLS[2], ("fuel", "bar_oil"), 2),
    (OnMoney.KEY_ELECTRICITY, styles.PART_FILLS[3], ("electricity",), 2),
)
VOLUMES = (("flip_half", "half_volume", 0.5), ("flip", "cash", 1.0), ("flip_twice", "double_volume", 2.0))
WIDE = 2
MOVES = "flip_moves"
MOST_BARS = 6
LABEL_PX, LABEL_SHARE, ROW_PX, BAR_POINTS = 351, 0.52, 15, 8.5
STANDS_POINTS, YOURS_POINTS = 1.0, 1.75


def money_page(view: View) -> Page | None:
    """The page; None where no method has a price."""
    if not has_cash(view):
        return None
    page = Page(WIDTHS, view.facts)
    page.title(OnMoney.TITLE if view.document["exchange"] else OnMoney.TITLE_ONE_WAY, _subtitle(view))
    _by_part(page, view)
    if view.document["exchange"]:
        _saved_hour(page, view)
        if view.volume:
            _other_volumes(page, view)
    _two_ways(page, view)
    _bought(page, view)
    tornados(page, view)
    _tools(page, view)
    _buying(page, view)
    return page


def has_cash(view: View) -> bool:
    """Whether some method has a price, so that there is a sheet Money."""
    return any(row["cash"]["value"] for row in view.document["money_per_cord"])


def _subtitle(view: View) -> str:
    season = view.season
    interest = season["real_interest_rate"]["value"]
    facts = {
        "currency": view.currency or words(OnMoney.NO_CURRENCY),
        "year": phrase(OnMoney.OF_YEAR, year=season["price_year"]) if season["price_year"] else "",
    }
    if not view.volume:
        return phrase(OnMoney.SUBTITLE_NO_VOLUME, **facts)
    interest_text = "" if interest is None else phrase(OnMoney.INTEREST, percent=interest)
    return view.say(OnMoney.SUBTITLE, **facts, interest=interest_text)


def _by_part(page: Page, view: View) -> None:
    heads = [OnMoney.HEAD, OnMoney.OWNING, OnMoney.UPKEEP, OnMoney.FUEL]
    heads += [OnMoney.OIL, OnMoney.ELECTRICITY, OnMoney.CASH]
    rows = view.method_rows("money_per_cord")
    parts_table(page, view, heads, rows, PARTS, "cash")
    title = view.say(OnMoney.CHART, currency=view.currency or words(OnMoney.NO_CURRENCY))
    parts_chart(page, view, title, (OnMoney.CHART_ALT, OnMoney.ALT_PART), rows, "cash", DRAWN)


def parts_table(
    page: Page, view: View, heads: Sequence[CellText], rows: Sequence[Row], parts: Sequence[str], whole: str
) -> None:
    """A row for each method with the parts of a figure and the whole in bold; a shared reason stands once."""
    bold = varied(styles.CELL, bold=True)
    table: list[Cells] = []
    for row in rows:
        texts = [view.unit_text(row[key]) for key in (*parts, whole)]
        is_one_reason = len(set(texts)) == 1 and row[whole]["value"] is None
        cells = [Span(texts[-1], columns=len(texts))] if is_one_reason else [*texts[:-1], Span(texts[-1], bold)]
        table.append([row["method"], *cells])
    page.table(heads, table)


def parts_chart(
    page: Page,
    view: View,
    title: str,
    alt_words: tuple[Word, Word],
    rows: Sequence[Row],
    whole: str,
    parts: Sequence[tuple[Word, str, Sequence[str], int]],
) -> None:
    """A bar for each method whose figure is known, made of its parts, and the key of the parts.

    alt_words: the chart in words, and each of its bars.
    rows: their column ``whole`` is the sum.
    parts: name, fill and columns of each part, and how many columns of the page its key takes.
    """
    drawn = [row for row in rows if row[whole]["value"] is not None]
    names = [row["method"] for row in drawn]
    chart_words, bar_words = alt_words
    texts = tuple(phrase(bar_words, method=row["method"], figure=view.unit_text(row[whole])) for row in drawn)
    text = phrase(chart_words, title=title, parts=texts)
    bars = [
        (words(word), fill, [sum(view.per_unit(row[key])["value"] or 0.0 for key in keys) for row in drawn])
        for word, fill, keys, _ in parts
    ]
    number_format = decimals_format(axis_end(max(view.per_unit(row[whole])["value"] for row in drawn))[1])
    page.charts(stacked_bars(view.chart_data, title, text, names, bars, number_format=number_format))
    page.key(
        *((word, fill, columns) for (word, fill, _, columns), bar in zip(parts, bars, strict=True) if any(bar[2]))
    )


def _saved_hour(page: Page, view: View) -> None:
    page.section(OnMoney.SAVED_AT if view.volume else OnMoney.SAVED)
    heads = [OnMoney.INSTEAD, OnMoney.HOURS_SAVED, OnMoney.CASH_MORE]
    verdicts = {frozenset((row["quicker"], row["slower"])): row["verdict"] for row in view.document["break_even"]}
    rows: list[Cells] = [
        [
            said(
                OnMoney.INSTEAD_OF,
                method=view.short_of_all(row["method"]),
                other=view.short_of_all(row["instead_of"]),
            ),
            view.unit_text(row["hours_saved"]),
            view.unit_text(row["cash_more"]),
            view.text(row["hour"], at_least_zero=True),
            verdicts.get(frozenset((row["method"], row["instead_of"])), ""),
        ]
        for row in view.document["exchange"]
    ]
    page.table([*heads, OnMoney.PER_HOUR, OnMoney.WHAT_THEN], rows, (WIDE, 1, 1, 1, WIDE))
    volumes = ((row["method"], view.pays_above(row)) for row in view.document["exchange"])
    parts = tuple(pays_above_text(view, name, volume) for name, volume in volumes if volume)
    if parts:
        page.text(phrase(OnMoney.PAYING, parts=parts), styles.NOTE)


def pays_above_text(view: View, method: str, volume: Row) -> str:
    """From which yearly volume a quicker way pays at the person's value of an hour."""
    return view.say(OnMoney.PAYS_ABOVE, method=method, volume=ranged(volume))


def _other_volumes(page: Page, view: View) -> None:
    page.section(OnMoney.OTHER_VOLUMES)
    volume = view.season["yearly_volume"]["value"]
    text = typed_text if view.is_year_written else number_text
    volumes = (text(share * volume) for _, _, share in VOLUMES)
    at = [said(OnMoney.AT, volume=shown, woods=view.woods_of(shown)) for shown in volumes]
    spans = (WIDE, WIDE, WIDE, 1)
    rows: list[Cells] = [
        [
            said(OnMoney.EITHER, method=view.short_of_all(row["method"]), other=view.short_of_all(row["instead_of"])),
            *(view.text(row[flip], at_least_zero=True) for flip, _, _ in VOLUMES),
        ]
        for row in view.document["exchange"]
    ]
    page.table([OnMoney.WORTH, *at], rows, spans)
    if view.weighs_effort_or_co2e:
        page.text(OnMoney.VALUES_COUNTED, styles.NOTE)
    page.new_group()
    rows = [
        [row["method"], *(view.unit_text(row[cash]) for _, cash, _ in VOLUMES)]
        for row in view.method_rows("money_views")
        if row["cash"]["value"] != 0
    ]
    page.table([OnMoney.CASH_FOR, *at], rows, spans)


def _two_ways(page: Page, view: View) -> None:
    page.section(OnMoney.TWO_WAYS)
    with_time = OnMoney.WITH_TIME if view.hour_text else ""
    rows: list[Cells] = [
        [
            row["method"],
            view.unit_text(row["cash"]),
            view.unit_text(row["avoidable"]),
            ", ".join(filter(None, dict.fromkeys(map(view.how_held, view.method(row["method"]).tools)))),
            view.unit_text(view.rate(row["method"])["cash_and_time"]) if view.hour_text else "",
        ]
        for row in view.method_rows("money_views")
    ]
    heads = [OnMoney.CASH_FOR, OnMoney.LONG_RUN, OnMoney.AVOIDABLE, OnMoney.TOOLS, with_time]
    page.table(heads, rows, (1, WIDE, WIDE, 1, 1))
    tools = view.noted("tools", "tool").values()
    rented = tuple(row["tool"] for row in tools if row.get("held") == "rented" and row.get("rent_per") != "hour")
    rent = f" {phrase(OnMoney.RENTED, tools=rented)}" if rented else ""
    page.text(words(OnMoney.TWO_WAYS_NOTE) + rent, styles.NOTE)


def _bought(page: Page, view: View) -> None:
    bought = view.bought_cord
    if bought is None or bought["cash"]["value"] is None:
        return
    page.section(OnMoney.BOUGHT)
    methods = bought["methods"]
    is_suggested = methods == view.suggested_job
    against = OnMoney.AGAINST if is_suggested else said(OnMoney.AGAINST_THESE, methods=methods)
    own = view.combination(methods)
    rows: list[Cells] = []
    if own is not None:
        cash, hours = (view.unit_text(own[key]) for key in ("cash", "worker_hours"))
        effort = "\n".join(
            _with_unit(view, own[key], unit) for key, unit in (("kcal_net", "kcal"), ("co2e", view.mass))
        )
        rows.append([OnMoney.OWN_WAY if is_suggested else OnMoney.CHEAPEST_WAY, cash, hours, effort, ""])
    saves = OnMoney.BOUGHT_SAVES_NO if bought["per_hour"]["value"] is None else OnMoney.BOUGHT_SAVES
    price = view.text(bought["per_hour"], at_least_zero=True)
    saved = said(saves, hours=ranged(view.per_unit(bought["hours_saved"])), price=price)
    cash = typed_money(view.per_unit(bought["cash"])["value"], view.currency)
    left, effort_left = view.unit_text(bought["hours_left"]), figure_text(bought["kcal_net"])
    rows.append([OnMoney.BOUGHT_WAY, cash, left, effort_left, saved])
    heads = ["", OnMoney.BOUGHT_CASH, OnMoney.HOURS_LEFT, OnMoney.EFFORT_CO2E, against]
    page.table(heads, rows, (1, 1, 1, WIDE, WIDE))


def _with_unit(view: View, cell: Row, unit: str) -> str:
    """A figure for one unit of wood with its own unit; the text alone where there is no number."""
    text = view.unit_text(cell)
    return phrase(OnMoney.IN_UNIT, figure=text, unit=unit) if cell["value"] else text


def _tools(page: Page, view: View) -> None:
    rows = {row["tool"]: row for row in view.document["tool_costs"]}  # each tool once
    if not rows:
        return
    page.section(OnMoney.THE_TOOLS)
    heads = [OnMoney.TOOL, OnMoney.PRICE, OnMoney.LIFE, OnMoney.YEAR_LONG, OnMoney.HELD, OnMoney.YEAR_AVOIDABLE]
    table: list[Cells] = []
    for row in rows.values():
        typed = [
            typed_money(row[key]["value"], view.currency) if row[key]["value"] is not None else view.text(row[key])
            for key in ("price", "resale")
        ]
        both = said(OnMoney.PRICE_AND_RESALE, price=typed[0], resale=typed[1])
        price = typed[0] if typed[0] == typed[1] and row["price"]["value"] is None else both
        life, cost, avoidable = (view.text(row[key]) for key in ("life_years", "yearly_cost", "avoidable"))
        table.append([row["tool"], price, life, cost, view.how_held(row["tool"]), avoidable])
    page.table(heads, table, (1, 1, 1, WIDE, 1, 1))


def _buying(page: Page, view: View) -> None:
    """A paragraph for each method with a tool still to buy."""
    for row in view.document["payback"]:
        if not row["outlay"]["value"] or row["outlay"]["value"] <= 0 or row["hours_saved_per_year"]["value"] is None:
            continue
        page.text(said(OnMoney.BUYING, method=row["quicker"], told=" ".join(_paid_back(view, row))), styles.REMARK)


def _paid_back(view: View, row: Row) -> Iterator[str]:
    hours = ranged(row["hours_saved_per_year"])
    yield phrase(OnMoney.TAKES, outlay=view.text(row["outlay"]), other=row["slower"], hours=hours)
    cash = row["cash_simple"]
    told = figure_text(cash) if cash["value"] is None else phrase(OnMoney.YEARS, years=ranged(cash))
    yield phrase(OnMoney.CASH_BACK, told=told)
    if view.value_of_hour is not None:
        yield _paid_back_with_time(row, typed_money(view.value_of_hour, view.currency))
    if view.weighs_effort_or_co2e:
        yield words(OnMoney.EFFORT_NOT_PAID_BACK)


def _paid_back_with_time(row: Row, hour: str) -> str:
    simple, later = row["time_simple"], row["time_discounted"]
    if simple["value"] is None:
        return phrase(OnMoney.TIME_TOLD, hour=hour, told=figure_text(simple))
    if later["value"] is None:
        return phrase(OnMoney.TIME_BACK_PLAIN, hour=hour, years=ranged(simple), told=figure_text(later))
    return phrase(OnMoney.TIME_BACK, hour=hour, years=ranged(simple), later=ranged(later))


def tornados(page: Page, view: View) -> None:
    """A chart for each two ways whose flip is known, each to its own scale, with the widest bar first."""
    moves: Sequence[Row] = view.document.get(MOVES, ())
    known = (row for row in moves if all(row[key]["value"] is not None for key in ("flip", "at_low", "at_high")))
    pairs = grouped(known, lambda row: (row["method"], row["instead_of"]))
    if not pairs:
        return
    hour = view.value_of_hour
    page.section(OnTornado.TITLE)
    is_cut = False
    for number, rows in enumerate((rows[:MOST_BARS] for rows in pairs.values()), start=1):
        ends = [row[key]["value"] for row in rows for key in ("at_low", "at_high")]
        most = max(*ends, hour or 0.0) * ROOM
        if hour:
            most = min(most, max(MOST_HOURS_VALUES * hour, 2 * rows[0]["flip"]["value"]))
        end, step = axis_end(most)
        is_cut = is_cut or max(ends) > end
        if number > 1:
            page.new_group()  # a page may begin before each chart but the first, which stays with the heading
        page.charts(_chart(view, rows, end, step, is_last=number == len(pairs)))
    key = view.say(OnTornado.KEY_YOU) if view.hour_text else words(OnTornado.KEY)
    if is_cut:
        key = phrase(OnTornado.RUNS_ON, key=key)
    page.key((OnTornado.LOWER, styles.HAND, 1), (OnTornado.HIGHER, styles.POWER, 1), (key, "", 5))


def _chart(view: View, rows: Sequence[Row], end: float, step: float, *, is_last: bool) -> Placed:
    first = rows[0]
    about = {"method": view.short(first["method"]), "other": view.short(first["instead_of"])}
    title = phrase(OnTornado.CHART, task=task_name(first["task"]), **about)
    parts = tuple(
        phrase(
            OnTornado.ALT_PART,
            input=row["input"],
            low=view.value_text(row["at_low"]),
            high=view.value_text(row["at_high"]),
        )
        for row in rows
    )
    text = phrase(OnTornado.ALT, title=title, parts=parts)
    axis = phrase(OnTornado.AXIS, currency=view.currency) if is_last else ""
    chart = Scatter(
        view.chart_data, title, text, len(rows), end, step, axis_title=axis, label_px=LABEL_PX, row_px=ROW_PX
    )
    names = [phrase(OnTornado.LABEL, input=row["input"], range=row["range"]) for row in rows]
    chart.names(names, most_share=LABEL_SHARE)
    top = float(len(rows))
    stands = first["flip"]["value"]
    if stands <= end:
        chart.line(words(OnTornado.KEY), [Point(stands, 0.0), Point(stands, top)], styles.INK, STANDS_POINTS)
    if view.value_of_hour is not None and view.value_of_hour <= end:
        x = view.value_of_hour
        chart.line(view.hour_text, [Point(x, 0.0), Point(x, top)], styles.INK, YOURS_POINTS, dash="sysDash")
    for at, row in enumerate(rows):
        low, high = sorted(min(end, max(0.0, row[key]["value"])) for key in ("at_low", "at_high"))
        middle, y = min(stands, end), chart.y(at)
        for start, stop, color in ((low, middle, styles.HAND), (middle, high, styles.POWER)):
            if stop > start:
                chart.line(row["input"], [Point(start, y), Point(stop, y)], color, BAR_POINTS)
    return chart.placed()
