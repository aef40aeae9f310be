"""The sheets Answer and Compare of a study: what the households together say of each two ways, and all ratios."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from typing import Any

from wood_xl.page_texts import OnAnswer, OnPages, OnStudy, TimesOf
from wood_xl.reasons import Ranged, Word, said
from wood_xl.report import styles
from wood_xl.report.charts import ROOM, Point, Scatter, axis_end
from wood_xl.report.figure_text import inverse, ranged, ranged_text
from wood_xl.report.layout import Cells, Page, Placed, Span
from wood_xl.report.study_view import (
    CODE_LETTERS,
    Pair,
    Row,
    StudyView,
    best_known,
    figure_name,
    kind_name,
    pair_name,
    ratio_of,
    some_of,
    surety_text,
    way_name,
    ways_of,
    with_money,
)
from wood_xl.results.figures import grouped
from wood_xl.results.first_cautions import gravest_cautions
from wood_xl.results.parts import CASH, CLOCK_HOURS, CO2E, FLIP, KCAL_NET, MEASURES, WORKER_HOURS
from wood_xl.schema.words import capital, key_words, phrase, words
from wood_xl.verdicts import Agreement, Surety

ANSWER_WIDTHS = (150, 132, 130, 145, 136)
SHOWN = (WORKER_HOURS, KCAL_NET, CASH, CO2E)
TIMES = dict(zip(SHOWN, (TimesOf.HOURS, TimesOf.EFFORT, TimesOf.CASH, TimesOf.CO2E), strict=True))
NAMES = dict(zip(SHOWN, (OnStudy.THE_HOURS, OnStudy.THE_EFFORT, OnStudy.THE_CASH, OnStudy.THE_CO2E), strict=True))
MOST_OUT, MOST_CURRENCIES, MOST_FLIPS = 4, 3, 2
AGREED = {
    Agreement.DIFFER.key: OnStudy.DIFFER,
    Agreement.ALIKE.key: OnStudy.ALIKE,
    Agreement.OPEN.key: OnStudy.OPEN,
    Agreement.ONE_SEASON.key: OnStudy.BY_ONE,
}
COMPARE_WIDTHS = (128, 135, 132, 46, 122, 135)
CHART_PX, LABEL_PX, ROW_PX = 338, 92, 15
MOST_CHARTS, MOST_APART = 4, 4
MOST_HOUSEHOLDS = 24  # in a chart that fits on a page
MOST_TIMES = 2.5  # largest end of an axis, times the largest ratio; ranges beyond it are cut


def study_answer(view: StudyView) -> Page:
    """The page; where it cannot hold all, the ways that fewest households compared are on Compare alone."""
    for pairs_n in range(len(view.pairs), -1, -1):
        page = _page(view, pairs_n)
        if len(page.pages()) == 1:
            break
    return page


def _page(view: StudyView, pairs_n: int) -> Page:
    page = Page(ANSWER_WIDTHS, view.facts)
    word = OnStudy.ANSWER_TITLE if len(view.households) > 1 else OnStudy.ANSWER_ALONE
    page.title(phrase(word, name=view.title), _counts(view), view.invented)
    cautions = gravest_cautions(view.caution_ids)
    texts = (phrase(OnAnswer.CAUTION, title=row["title"], text=row["text"]) for row in cautions)
    page.cautions(OnAnswer.BEFORE_YOU_START, texts)
    boxes = [
        ((pair_name(pair) if not number else "", styles.BOX_LABEL), (text, styles.BOX_TEXT))
        for pair in view.pairs[:pairs_n]
        for number, text in enumerate(paragraphs(view, pair))
    ]
    if not boxes:
        for text in _why_no_ways(view):
            page.text(text, styles.REMARK)
    else:
        page.box(boxes, styles.HEADING, rule=styles.RULE)
    if 0 < pairs_n < len(view.pairs):
        page.text(said(OnStudy.MORE_ON_COMPARE, n=len(view.pairs) - pairs_n), styles.NOTE)
    for number, step in enumerate(_steps(view)):
        if not number:
            page.section(OnAnswer.NEXT)
        page.text(step, styles.REMARK)
    page.gap(3.0)
    page.text(OnStudy.ANSWER_NOTE, styles.NOTE)
    return page


def _why_no_ways(view: StudyView) -> Iterator[str]:
    if view.pairs:
        yield words(OnStudy.ALL_ON_COMPARE)
    elif view.document["figures"]:
        yield view.say(OnStudy.NO_PAIR)
        yield words(OnStudy.RATES_ON_COMPARE)
    else:
        yield words(OnStudy.NO_FIGURE)


def _counts(view: StudyView) -> str:
    years = sorted({row["year"] for row in view.households if row["year"]})
    sessions = sum(row["sessions_n"] for row in view.households)
    if not years:
        return phrase(OnStudy.COUNTS, sessions=sessions)
    span = years[0] if len(years) == 1 else phrase(OnPages.FROM_TO, first=years[0], last=years[-1])
    return phrase(OnStudy.COUNTS_OF, sessions=sessions, years=span)


def paragraphs(view: StudyView, pair: Pair) -> Iterator[str]:
    """Two ways compared: work, then money and air, then how far households agree; of one household hours alone."""
    by_measure = {measure: [row for row in view.of_pair(pair) if row["measure"] == measure] for measure in MEASURES}
    by_measure[CASH] = best_known(by_measure[CASH], MOST_CURRENCIES)
    hours = by_measure[WORKER_HOURS]
    if view.households_n(pair) == 1:
        yield " ".join([*(_ratio(row, view) for row in hours), view.say(OnStudy.ALONE)])
        return
    for group in (SHOWN[:2], SHOWN[2:]):
        sentences = [_ratio(row, view) for measure in group for row in by_measure[measure]]
        if group == SHOWN[2:]:
            sentences += [_flip(row, view) for row in best_known(by_measure[FLIP], MOST_FLIPS)]
        if sentences:
            yield " ".join(sentences)
    agreement = []
    for row in (row for row in hours if row["households_n"] > 1):
        more, ratio = ratio_of(row, "next_household")
        facts = {"agreed": AGREED[row["agreement"]], "more": kind_name(more), "ratio": ratio}
        agreement.append(view.say(OnStudy.AGREE, n=row["households_n"], **facts))
    apart: dict[str, list[Word]] = {}
    for measure in SHOWN:
        for row in by_measure[measure]:
            apart.setdefault(row["apart"], []).append(NAMES[measure])
    agreement += [
        phrase(OnStudy.APART, who=some_of(who.split(", "), MOST_OUT), figures=tuple(dict.fromkeys(names)))
        for who, names in apart.items()
        if who
    ]
    agreement += [_without(row) for row in hours if row["left_out"]]
    if agreement:
        yield " ".join(agreement)


def _flip(row: Row, view: StudyView) -> str:
    n = view.count(row["households_n"])
    return phrase(OnStudy.FLIP, flip=view.amount(row["value"], row), money=row["money"], n=n)


def _ratio(row: Row, view: StudyView) -> str:
    more, ratio = ratio_of(row)
    times = phrase(TIMES[row["measure"]], ratio=ratio)
    if row["money"]:
        times = phrase(OnStudy.IN_CURRENCY, told=times, money=row["money"], n=view.count(row["households_n"]))
    return phrase(OnStudy.TAKES, more=capital(kind_name(more)), told=times, surety=surety_text(row["surety"]))


def _without(row: Row) -> str:
    """The comparison without the household that moves it most."""
    more, ratio = ratio_of(row, "without")
    word = OnStudy.WITHOUT_SAME if row["surety"] == row["surety_without"] else OnStudy.WITHOUT_OTHER
    surety = surety_text(row["surety_without"])
    return phrase(word, who=row["left_out"], more=kind_name(more), ratio=ratio, surety=surety)


def _steps(view: StudyView) -> Iterator[str]:
    """What does not count, and what would make the study surer."""
    whole = [row for row in view.document["left_out"] if not row["measure"]]
    for row in whole[:MOST_OUT]:
        yield phrase(OnStudy.OUT, who=capital(row["who"]), why=row["reason"])
    if len(whole) > MOST_OUT:
        yield phrase(OnStudy.MORE_OUT, n=len(whole) - MOST_OUT)
    waiting = [row["household"] for row in view.households if row["fix_n"]]
    if waiting:
        yield phrase(OnStudy.WAIT, who=capital(some_of(waiting, MOST_OUT)))
    unsure = [
        pair_name(pair)
        for pair in view.pairs
        for row in view.of_pair(pair)
        if row["measure"] == WORKER_HOURS and row["surety"] not in (Surety.SETTLED.key, Surety.SAME.key)
    ]
    if unsure:
        yield view.say(OnStudy.WOULD_TELL, pairs=tuple(unsure[:3]))
    if view.is_both:
        yield words(OnStudy.EVERY_WORKBOOK)
    if len({row["currency"] for row in view.households}) > 1:
        yield words(OnStudy.CURRENCIES)


def study_compare(view: StudyView) -> Page | None:
    """The page; None where nobody tried two ways."""
    if not view.document["figures"]:
        return None
    page = Page(COMPARE_WIDTHS, view.facts)
    page.title(OnStudy.COMPARE_TITLE, OnStudy.COMPARE_SUBTITLE, view.invented)
    drawn = [pair for pair in view.pairs if 1 < view.households_n(pair) <= MOST_HOUSEHOLDS][:MOST_CHARTS]
    for pair in drawn:
        page.new_group()
        page.text(pair_name(pair), styles.PART_TITLE)
        rows = [row for measure in SHOWN for row in view.of_pair(pair) if row["measure"] == measure]
        of_several = [row for row in rows if row["households_n"] > 1][:2]
        page.charts(*(_chart(view, pair, row, at * CHART_PX) for at, row in enumerate(of_several)))
    if drawn:
        page.text(OnStudy.PICTURE_NOTE, styles.NOTE)
    _ratios(page, view)
    _rates(page, view)
    return page


def _chart(view: StudyView, pair: Pair, row: Row, left_px: int) -> Placed:
    """A row for each household, one for all together, and one for the range of a further household."""
    about = {key: row[key] for key in ("task", "kind", "other", "measure", "money")}
    contributions = view.rows("contributions", **about)
    more, together = ratio_of(row)
    ratios = list(map(view.scaled, contributions))
    if more != row["kind"]:
        ratios = list(map(inverse, ratios))
    following = ratio_of(row, "next_household")[1]
    most = max(ratio.value for ratio in (*ratios, together)) * MOST_TIMES
    figure = with_money(words(NAMES[row["measure"]]), row)
    title = phrase(OnStudy.PICTURE, figure=figure, more=kind_name(more))
    names = [capital(contribution["household"]) for contribution in contributions]
    rows, numbers = [*names, words(OnStudy.TOGETHER), view.say(OnStudy.ONE_MORE)], (*ratios, together, following)
    sizes = {"width_px": CHART_PX, "label_px": LABEL_PX, "row_px": ROW_PX}
    chart = forest(view, title, pair_name(pair), rows, numbers, most, **sizes)
    end = chart.end
    chart.line(
        words(OnStudy.ALIKE_LINE), [Point(1.0, 0.0), Point(1.0, float(len(rows)))], styles.SOFT, 1.0, dash="sysDash"
    )
    apart = row["apart"].split(", ")
    for is_apart, fill in ((False, styles.HAND), (True, "FFFFFF")):
        points = [
            point_of(ratio, chart.y(at), end, name)
            for at, (ratio, name, contribution) in enumerate(zip(ratios, names, contributions, strict=True))
            if (contribution["household"] in apart) == is_apart and ratio.value <= end
        ]
        if points:
            word = OnStudy.STANDS_APART if is_apart else OnStudy.EACH
            chart.marks(words(word), points, "circle", fill, size=8, has_range=True)
    if together.value <= end:
        point = point_of(together, chart.y(len(names)), end, rows[-2])
        chart.marks(rows[-2], [point], "diamond", styles.POWER, has_range=True)
    low, high = following.low or 0.0, min(end, following.high or end)
    y = chart.y(len(names) + 1)
    chart.line(rows[-1], [Point(low, y), Point(high, y)], styles.OPEN, 6.0)
    return chart.placed(left_px)


def forest(
    view: StudyView,
    title: str,
    about: str,
    names: Sequence[str],
    numbers: Sequence[Ranged],
    most: float = math.inf,
    **sizes: Any,
) -> Scatter:
    """A chart with a row for each name; its axis ends beyond the largest number, or at ``most``."""
    end, step = axis_end(min(most, max(number.high or number.value for number in numbers) * ROOM))
    parts = tuple(
        phrase(OnStudy.ALT_PART, who=name, ratio=ranged_text(number))
        for name, number in zip(names, numbers, strict=True)
    )
    text = phrase(OnStudy.PICTURE_ALT, title=title, pair=about, parts=parts)
    chart = Scatter(view.chart_data, title, text, len(names), end, step, **sizes)
    chart.names(names)
    return chart


def point_of(number: Ranged, y: float, end: float, name: str) -> Point:
    """The mark of a number with its range, which is cut at the end of the axis."""
    low, high = number.low or number.value, number.high or number.value
    return Point(number.value, y, number.value - low, min(high, end) - number.value, name)


def _ratios(page: Page, view: StudyView) -> None:
    if not view.pairs:
        page.text(OnStudy.NO_PAIR, styles.REMARK)
        return
    page.section(OnStudy.RATIOS)
    heads = ["", OnStudy.TOGETHER, OnStudy.ONE_MORE, OnStudy.HOW_MANY, OnStudy.AGREEMENT_HEAD, OnStudy.SURE_HEAD]
    rows: list[Cells] = []
    for pair in view.pairs:
        rows.append([Span(pair_name(pair), styles.BAND, page.columns)])
        shown = view.of_pair(pair) if view.households_n(pair) > 1 else view.of_pair(pair)[:1]
        ratio_rows = [(row["measure"], _ratio_row(view, row)) for row in shown]
        of_work = [cells[1:] for measure, cells in ratio_rows if measure == WORKER_HOURS]
        rows += [
            cells
            for measure, cells in ratio_rows
            if measure != CLOCK_HOURS or cells[1:] not in of_work  # the same as those of work
        ]
    page.table(heads, rows)
    page.text(OnStudy.RATIOS_NOTE, styles.NOTE)
    if any(view.households_n(pair) == 1 for pair in view.pairs):
        page.text(OnStudy.ALONE_NOTE, styles.NOTE)


def _ratio_row(view: StudyView, row: Row) -> Cells:
    is_flip = row["measure"] == FLIP
    together, following = (
        view.amount(row[part], row) if is_flip else ranged_text(ranged(row[part]))
        for part in ("value", "next_household")
    )
    surety = surety_text(row["surety"])
    if row["surety"] in (Surety.SETTLED.key, Surety.LIKELY.key, Surety.LEANS.key):
        surety = phrase(OnStudy.SURE, surety=surety, less=kind_name(row["less"]))
    if row["apart"]:
        apart = phrase(OnStudy.FAR_OUT, who=some_of(row["apart"].split(", "), MOST_APART))
        surety = phrase(OnStudy.SURE_APART, sure=surety, told=apart) if surety else apart
    agreement = key_words("Agreement", row["agreement"])
    return [figure_name(row), together, following, str(row["households_n"]), agreement, surety]


def _rates(page: Page, view: StudyView) -> None:
    page.section(OnStudy.RATES)
    heads = ["", OnStudy.HOURS_HEAD, OnStudy.KCAL_HEAD, OnStudy.HOW_MANY]
    heads += [OnStudy.CO2E_HEAD, words(OnStudy.THE_CASH).capitalize()]
    rows: list[Cells] = []
    moneys = {row["money"] for row in view.rows("figures", measure=CASH)}
    for task, kind in ways_of(view.document["figures"]):
        by_measure = {one: view.rows("figures", task=task, kind=kind, measure=one) for one in SHOWN}
        hours, effort, co2e = (
            "".join(view.amount(row["value"], row) for row in by_measure[measure])
            for measure in (WORKER_HOURS, KCAL_NET, CO2E)
        )
        counts = "".join(str(row["households_n"]) for row in by_measure[WORKER_HOURS])
        cash = "; ".join(_cash(by_measure[CASH], view, moneys))
        rows.append([way_name(task, kind), hours, effort, counts, co2e or "-", cash or "-"])
    page.table(heads, rows)
    page.text(OnStudy.RATES_NOTE, styles.NOTE)


def _cash(rows: Sequence[Row], view: StudyView, moneys: Collection[str]) -> Iterator[str]:
    """In each currency the amount that most households give, with its year where prices are of several years."""
    for currency, amounts in grouped(rows, lambda row: row["money"][:CODE_LETTERS]).items():
        (row,) = best_known(amounts, 1)
        text = view.amount(row["value"], row)
        years_n = sum(money.startswith(currency) for money in moneys)
        yield with_money(text, row) if years_n > 1 else text
