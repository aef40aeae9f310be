"""The woodshed: its section of Air and warmth, and the line on Answer where dry wood does not last."""

from __future__ import annotations

from collections.abc import Iterator

from wood_xl.data.load import spoken_tree, value
from wood_xl.page_texts import OnShed
from wood_xl.reasons import Word, said
from wood_xl.report import styles
from wood_xl.report.charts import decimals_format, stacked_bars
from wood_xl.report.figure_text import figure_text, ranged
from wood_xl.report.layout import Cells, Page
from wood_xl.report.view import Row, View, day, month
from wood_xl.schema.words import NO_BREAK, phrase, words

FEW = 1e-3  # less wood counts as none
WINTERS = "stock_winters"
KINDS_JOINT = "; "  # between the kinds of wood of a winter
PARTS = (
    (OnShed.BURNED, styles.PART_FILLS[1], 2),
    (OnShed.LACKING, styles.PART_FILLS[0], 2),
    (OnShed.DRY, styles.PART_FILLS[2], 1),
    (OnShed.NOT_DRY, styles.PART_FILLS[3], 2),
)


def woodshed_section(page: Page, view: View) -> None:
    """Add table, sentences and chart of the woodshed; nothing where no stack was noted."""
    if not view.document["stock"]:
        return
    page.section(OnShed.TITLE)
    _stacks(page, view)
    page.gap(3.0)
    lines = [*_without(view), *_by_dryness(view), *_winters(view)]
    if lines:
        page.text(" ".join(lines))
    _chart(page, view)
    page.text(phrase(OnShed.NOTE, percent=value("seasoning.target")), styles.NOTE)


def lacking(view: View) -> str:
    """What will not be dry and how long dry wood lasts; empty where dry wood meets the need of both winters."""
    stocks = view.document["stock_by_dryness"]
    if not stocks:
        return ""
    running, following = _ahead(view)
    ahead = [(stocks[0], running, OnShed.REST_COVERED), (stocks[-1], following, OnShed.COVERED)]
    short = [
        (stock, winter, word)
        for stock, winter, word in ahead
        if winter is not None and (winter["lacking"]["value"] is None or winter["lacking"]["value"] > FEW)
    ]
    not_dry = (_not_dry(view, stock) for stock, _, _ in short if stock["not_dry"]["value"] > FEW)
    met = (_covered(view, winter, word) for _, winter, word in short if winter["covered"]["value"] is not None)
    return " ".join(filter(None, (next(filter(None, not_dry), ""), next(met, ""))))


def _not_dry(view: View, stock: Row) -> str:
    standing = [row for row in view.document["stock"] if row["standing"]["value"]]
    wet = [row for row in standing if not "" < row["dry_from"] <= stock["day"]]
    if not wet:
        return ""
    stacks = tuple(dict.fromkeys(spoken_tree(row["species"]) or row["stack"] for row in wet))
    amounts = {"dry": ranged(stock["dry"]), "wet": ranged(stock["not_dry"]), "woods": view.woods}
    return phrase(OnShed.NOT_DRY_ON, stacks=stacks, day=day(stock["day"]), **amounts)


def _covered(view: View, winter: Row, word: Word) -> str:
    """How much of the need of a winter dry wood meets, and how long it lasts if that is not all."""
    text = view.say(word, percent=ranged(winter["covered"]), need=ranged(winter["need"]))
    if winter["lacking"]["value"] > FEW and winter["met_until"]:
        text += " " + phrase(OnShed.LASTS, month=_month(winter["met_until"]))
    return text


def _ahead(view: View) -> tuple[Row | None, Row]:
    """Rows of the current winter, or None outside winter, and of the next one."""
    rows, first = view.document[WINTERS], view.document["stock_by_dryness"][-1]["day"]
    return (rows[1], rows[2]) if rows[1]["winter"] < first else (None, rows[1])


def _month(text: str) -> str:
    return phrase(OnShed.MONTH, month=month(int(text[5:7])), year=text[:4])


def _stacks(page: Page, view: View) -> None:
    rows = view.document["stock"]
    woods = view.woods.replace(" ", NO_BREAK)  # broken, the line above it would run into the next header
    heads = [OnShed.STACK_HEAD, OnShed.KIND_HEAD, OnShed.STACKED_HEAD, said(OnShed.STANDS_HEAD, woods=woods)]
    heads += [OnShed.WATER_HEAD, OnShed.DRY_HEAD, said(OnShed.HEAT_HEAD, unit=rows[0]["heat"]["unit"])]
    table: list[Cells] = []
    for row in rows:
        stacked_on = day(row["stacked_on"], is_short=True) if row["stacked_on"] else ""
        dry_from = _month(row["dry_from"]) if row["dry_from"] else row["dry_now"]["reason"]
        cells = [figure_text(row["standing"]), figure_text(row["moisture"]), dry_from, figure_text(row["heat"])]
        table.append([row["stack"], spoken_tree(row["species"]), stacked_on, *cells])
    page.table(heads, table)


def _by_dryness(view: View) -> Iterator[str]:
    """How much is dry now, and when the next winter begins: what dries later is not burned in it."""
    for row, is_now in zip(view.document["stock_by_dryness"], (True, False), strict=False):
        dry, wet = row["dry"], row["not_dry"]
        if wet["value"] is None or dry["value"] is None:
            continue
        word = OnShed.DRY_NOW if is_now else OnShed.DRY_THEN
        if _is_none(wet) and not (is_now and _is_none(dry)):
            all_dry = OnShed.ALL_DRY_NOW if is_now else OnShed.ALL_DRY_THEN
            word = OnShed.NONE_THEN if _is_none(dry) else all_dry
        yield view.say(word, dry=ranged(dry), wet=ranged(wet), day=day(row["day"]))


def _without(view: View) -> Iterator[str]:
    """Stacks whose size is not known: no sum includes them."""
    stacks = tuple(row["stack"] for row in view.document["stock"] if row["standing"]["value"] is None)
    if stacks and view.document["stock_by_dryness"]:
        yield phrase(OnShed.WITHOUT, stacks=stacks)


def _is_none(cell: Row) -> bool:
    return bool(max(cell["value"], cell["high"] or 0.0) <= FEW)


def _winters(view: View) -> Iterator[str]:
    rows = view.document[WINTERS]
    if not rows:
        return
    last, of_new_wood = rows[0], rows[-1]
    running, following = _ahead(view)
    if last["burned"]["value"]:
        yield view.say(OnShed.LAST_WINTER, burned=ranged(last["burned"]))
    if following["covered"]["value"] is None:
        return
    for winter, word in ((running, OnShed.REST_COVERED), (following, OnShed.COVERED)):
        if winter is not None:
            yield _covered(view, winter, word)
    if following["lacking"]["value"] > FEW:
        word = OnShed.IN_TIME if following["in_time"] else OnShed.NONE_IN_TIME
        yield phrase(word, day=day(following["made_on"]), kinds=_spoken(following["in_time"]))
    if of_new_wood["in_time"]:
        word = OnShed.TO_MAKE if of_new_wood["lacking"]["value"] > FEW else OnShed.NONE_TO_MAKE
        facts = {"amount": ranged(of_new_wood["lacking"]), "month": _month(of_new_wood["winter"])}
        yield view.say(word, **facts, kinds=_spoken(of_new_wood["in_time"]))


def _spoken(kinds: str) -> str:
    return KINDS_JOINT.join(map(spoken_tree, kinds.split(KINDS_JOINT)))


def _chart(page: Page, view: View) -> None:
    rows = [row for row in view.document["stock_months"] if row["need"]["value"]]
    if not rows:
        return
    names, numbers = [], []
    for row in rows:
        dry, wet, need, lacking = (row[key]["value"] for key in ("dry", "not_dry", "need", "lacking"))
        names.append(phrase(OnShed.MONTH, month=month(int(row["month"][5:7]), is_short=True), year=row["month"][:4]))
        numbers.append((need - lacking, lacking, max(0.0, dry - need + lacking), wet))
    title = view.say(OnShed.CHART)
    alt_parts = tuple(
        phrase(OnShed.CHART_PART, month=name, dry=f"{burned + left:.2g}", lacking=f"{lacking:.2g}")
        for name, (burned, lacking, left, _) in zip(names, numbers, strict=True)
    )
    parts = [(words(word), fill, [of_month[at] for of_month in numbers]) for at, (word, fill, _) in enumerate(PARTS)]
    text = phrase(OnShed.CHART_ALT, title=title, parts=alt_parts)
    number_format = decimals_format(1.0 if max(map(sum, numbers)) > len(PARTS) else 0.1)
    page.charts(stacked_bars(view.chart_data, title, text, names, parts, number_format=number_format))
    page.key(*PARTS)
