"""The sheets Answer and Compare of a study: what households say together about each two ways, and all ratios."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from typing import Any

from wood_xl.reading_words import OnAnswer, OnPages, OnStudy, Studied, TimesOf
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
from wood_xl.schema.words import capital, key_words, phrase, words
from wood_xl.verdicts import Agreement, Surety

ANSWER_WIDTHS = (150, 132, 130, 145, 136)
TOLD = (Studied.WORKER_HOURS, Studied.KCAL_NET, Studied.CASH, Studied.CO2E)
TIMES = dict(zip(TOLD, (TimesOf.HOURS, TimesOf.EFFORT, TimesOf.CASH, TimesOf.CO2E), strict=True))
NAMES = dict(zip(TOLD, (OnStudy.THE_HOURS, OnStudy.THE_EFFORT, OnStudy.THE_CASH, OnStudy.THE_CO2E), strict=True))
MOST_OUT, MOST_CURRENCIES, MOST_FLIPS = 4, 3, 2
AGREED = {
    Agreement.DIFFER.key: OnStudy.DIFFER,
    Agreement.ALIKE.key: OnStudy.ALIKE,
    Agreement.OPEN.key: OnStudy.OPEN,
    Agreement.ONE_SEASON.key: OnStudy.BY_ONE,
}
COMPARE_WIDTHS = (124, 128, 128, 48, 120, 143)
CHART_PX, LABEL_PX, ROW_PX = 338, 92, 15
MOST_PICTURES, MOST_APART = 4, 4
MOST_HOUSEHOLDS = 24  # beyond which a picture would not fit on a page
MOST_TIMES = 2.5  # of the axis, times the largest ratio: a range beyond it is cut


def study_answer(view: StudyView) -> Page:
    """The page; where it does not hold all, the ways that fewest households compared are told on Compare alone."""
    for told_n in range(len(view.pairs), -1, -1):
        page = _page(view, told_n)
        if len(page.pages()) == 1:
            break
    return page


def _page(view: StudyView, told_n: int) -> Page:
    page = Page(ANSWER_WIDTHS)
    word = OnStudy.ANSWER_TITLE if len(view.households) > 1 else OnStudy.ANSWER_ALONE
    page.title(phrase(word, name=view.title), _counts(view), view.invented)
    cautions = gravest_cautions(view.caution_ids)
    warned = (phrase(OnAnswer.CAUTION, title=row["title"], text=row["text"]) for row in cautions)
    page.cautions(OnAnswer.BEFORE_YOU_START, warned)
    boxes = [
        ((pair_name(pair) if not number else "", styles.BOX_LABEL), (text, styles.BOX_TEXT))
        for pair in view.pairs[:told_n]
        for number, text in enumerate(paragraphs(view, pair))
    ]
    if not boxes:
        for told in _why_no_ways(view):
            page.text(told, styles.REMARK)
    else:
        page.box(boxes, styles.HEADING, rule=styles.RULE)
    if 0 < told_n < len(view.pairs):
        page.text(said(OnStudy.MORE_ON_COMPARE, n=len(view.pairs) - told_n), styles.NOTE)
    for number, step in enumerate(_steps(view)):
        if not number:
            page.section(OnAnswer.NEXT)
        page.text(step, styles.REMARK)
    page.gap(3.0)
    page.text(view.say(OnStudy.ANSWER_NOTE), styles.NOTE)
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
    """What is said of two ways: work, money and air, how far households agree; of one household its hours alone."""
    by_measure = {one: [row for row in view.of_pair(pair) if row["measure"] == one.key] for one in Studied}
    by_measure[Studied.CASH] = best_known(by_measure[Studied.CASH], MOST_CURRENCIES)
    hours = by_measure[Studied.WORKER_HOURS]
    if view.most(pair) == 1:
        yield " ".join([*(_ratio(row, Studied.WORKER_HOURS, view) for row in hours), view.say(OnStudy.ALONE)])
        return
    for group in (TOLD[:2], TOLD[2:]):
        told = [_ratio(row, measure, view) for measure in group for row in by_measure[measure]]
        if group == TOLD[2:]:
            told += [_flip(row, view) for row in best_known(by_measure[Studied.FLIP], MOST_FLIPS)]
        if told:
            yield " ".join(told)
    stands = []
    for row in (row for row in hours if row["households_n"] > 1):
        more, ratio = ratio_of(row, "next_household")
        facts = {"agreed": AGREED[row["agreement"]], "more": kind_name(more), "ratio": ratio}
        stands.append(view.say(OnStudy.AGREE, n=row["households_n"], **facts))
    apart: dict[str, list[Word]] = {}
    for measure in TOLD:
        for row in by_measure[measure]:
            apart.setdefault(row["apart"], []).append(NAMES[measure])
    stands += [
        phrase(OnStudy.APART, who=some_of(who.split(", "), MOST_OUT), figures=tuple(dict.fromkeys(of)))
        for who, of in apart.items()
        if who
    ]
    stands += [_without(row) for row in hours if row["left_out"]]
    if stands:
        yield " ".join(stands)


def _flip(row: Row, view: StudyView) -> str:
    n = view.count(row["households_n"])
    return phrase(OnStudy.FLIP, flip=view.amount(row["value"], row), money=row["money"], n=n)


def _ratio(row: Row, measure: Word, view: StudyView) -> str:
    more, ratio = ratio_of(row)
    told = phrase(TIMES[measure], ratio=ratio)
    if row["money"]:
        told = phrase(OnStudy.IN_CURRENCY, told=told, money=row["money"], n=view.count(row["households_n"]))
    return phrase(OnStudy.TAKES, more=capital(kind_name(more)), told=told, surety=surety_text(row["surety"]))


def _without(row: Row) -> str:
    more, ratio = ratio_of(row, "without")
    same = row["surety"] == row["surety_without"]
    word = OnStudy.WITHOUT_SAME if same else OnStudy.WITHOUT_OTHER
    return phrase(
        word, who=row["left_out"], more=kind_name(more), ratio=ratio, surety=surety_text(row["surety_without"])
    )


def _steps(view: StudyView) -> Iterator[str]:
    """What does not count, and what would tell more."""
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
        if row["measure"] == Studied.WORKER_HOURS.key and row["surety"] not in (Surety.SETTLED.key, Surety.SAME.key)
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
    page = Page(COMPARE_WIDTHS)
    page.title(view.say(OnStudy.COMPARE_TITLE), view.say(OnStudy.COMPARE_SUBTITLE), view.invented)
    pictured = [pair for pair in view.pairs if 1 < view.most(pair) <= MOST_HOUSEHOLDS][:MOST_PICTURES]
    for pair in pictured:
        page.new_group()
        page.text(pair_name(pair), styles.PART_TITLE)
        rows = [row for one in TOLD for row in view.of_pair(pair) if row["measure"] == one.key]
        several = [row for row in rows if row["households_n"] > 1][:2]
        page.charts(*(_picture(view, pair, row, at * CHART_PX) for at, row in enumerate(several)))
    if pictured:
        page.text(view.say(OnStudy.PICTURE_NOTE), styles.NOTE)
    _ratios(page, view)
    _rates(page, view)
    return page


def _picture(view: StudyView, pair: Pair, row: Row, left_px: int) -> Placed:
    """A row for each household, one for all together, and how far one more may lie."""
    about = {key: row[key] for key in ("task", "kind", "other", "measure", "money")}
    own = view.rows("contributions", **about)
    more, together = ratio_of(row)
    seen = [view.scaled(one) for one in own]
    ratios = seen if more == row["kind"] else list(map(inverse, seen))
    following = ratio_of(row, "next_household")[1]
    shown = (*ratios, together, following)
    most = max(one.value for one in shown[:-1]) * MOST_TIMES
    figure = with_money(words(NAMES[Studied[row["measure"].upper()]]), row)
    title = phrase(OnStudy.PICTURE, figure=figure, more=kind_name(more))
    names = [capital(one["household"]) for one in own]
    rows = [*names, words(OnStudy.TOGETHER), view.say(OnStudy.ONE_MORE)]
    chart = forest(
        view, title, pair_name(pair), rows, shown, most, width_px=CHART_PX, label_px=LABEL_PX, row_px=ROW_PX
    )
    end = chart.end
    chart.line(
        words(OnStudy.ALIKE_LINE), [Point(1.0, 0.0), Point(1.0, float(len(rows)))], styles.SOFT, 1.0, dash="sysDash"
    )
    apart = row["apart"].split(", ")
    for is_apart, fill in ((False, styles.HAND), (True, "FFFFFF")):
        points = [
            point_of(ratio, chart.y(at), end, name)
            for at, (ratio, name, one) in enumerate(zip(ratios, names, own, strict=True))
            if (one["household"] in apart) == is_apart and ratio.value <= end
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
    """A picture with a row for each name, and all numbers in words; its axis ends at the largest, or at most."""
    end, step = axis_end(min(most, max(one.high or one.value for one in numbers) * ROOM))
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
        page.text(view.say(OnStudy.NO_PAIR), styles.REMARK)
        return
    page.section(OnStudy.RATIOS)
    heads = ["", OnStudy.TOGETHER, view.say(OnStudy.ONE_MORE)]
    heads += [OnStudy.HOW_MANY, OnStudy.AGREEMENT_HEAD, OnStudy.SURE_HEAD]
    rows: list[Cells] = []
    for pair in view.pairs:
        rows.append([Span(pair_name(pair), styles.BAND, page.columns)])
        shown = view.of_pair(pair) if view.most(pair) > 1 else view.of_pair(pair)[:1]
        cells = [(row["measure"], _ratio_row(view, row)) for row in shown]
        of_work = [one[1:] for measure, one in cells if measure == Studied.WORKER_HOURS.key]
        rows += [one for measure, one in cells if measure != Studied.CLOCK_HOURS.key or one[1:] not in of_work]
    page.table(heads, rows)
    page.text(OnStudy.RATIOS_NOTE, styles.NOTE)
    if any(view.most(pair) == 1 for pair in view.pairs):
        page.text(view.say(OnStudy.ALONE_NOTE), styles.NOTE)


def _ratio_row(view: StudyView, row: Row) -> Cells:
    is_flip = row["measure"] == Studied.FLIP.key
    together, following = (
        view.amount(row[part], row) if is_flip else ranged_text(ranged(row[part]))
        for part in ("value", "next_household")
    )
    sure = surety_text(row["surety"])
    if row["surety"] in ("settled", "likely", "leans"):
        sure = phrase(OnStudy.SURE, surety=sure, less=kind_name(row["less"]))
    if row["apart"]:
        told = phrase(OnStudy.FAR_OUT, who=some_of(row["apart"].split(", "), MOST_APART))
        sure = phrase(OnStudy.SURE_APART, sure=sure, told=told) if sure else told
    agreement = key_words("Agreement", row["agreement"])
    return [figure_name(row), together, following, str(row["households_n"]), agreement, sure]


def _rates(page: Page, view: StudyView) -> None:
    page.section(said(OnStudy.RATES, wood=view.wood))
    heads = ["", OnStudy.HOURS_HEAD, OnStudy.KCAL_HEAD, OnStudy.HOW_MANY]
    heads += [said(OnStudy.CO2E_HEAD, mass=view.mass), words(OnStudy.THE_CASH).capitalize()]
    rows: list[Cells] = []
    moneys = {row["money"] for row in view.rows("figures", measure=Studied.CASH.key)}
    for task, kind in ways_of(view.document["figures"]):
        found = {one: view.rows("figures", task=task, kind=kind, measure=one.key) for one in TOLD}
        hours, effort, co2e = (
            "".join(view.amount(row["value"], row) for row in found[one])
            for one in (Studied.WORKER_HOURS, Studied.KCAL_NET, Studied.CO2E)
        )
        counts = "".join(str(row["households_n"]) for row in found[Studied.WORKER_HOURS])
        cash = "; ".join(_cash(found[Studied.CASH], view, moneys))
        rows.append([way_name(task, kind), hours, effort, counts, co2e or "-", cash or "-"])
    page.table(heads, rows)
    page.text(view.say(OnStudy.RATES_NOTE), styles.NOTE)


def _cash(rows: Sequence[Row], view: StudyView, moneys: Collection[str]) -> Iterator[str]:
    """In each currency the amount that most households give, with its year where any way has prices of another."""
    for found in grouped(rows, lambda row: row["money"][:CODE_LETTERS]).values():
        (row,) = best_known(found, 1)
        told = view.amount(row["value"], row)
        years_n = sum(one.startswith(row["money"][:CODE_LETTERS]) for one in moneys)
        yield with_money(told, row) if years_n > 1 else told
