"""The sheet Answer of a study: what the households say together about each two ways, on one page."""

from __future__ import annotations

from collections.abc import Iterator

from wood_xl.reading_words import OnAnswer, OnPages, OnStudy, Studied, TimesOf
from wood_xl.reasons import Word, said
from wood_xl.report import styles
from wood_xl.report.layout import Page
from wood_xl.report.study_view import (
    Pair,
    Row,
    StudyView,
    best_known,
    kind_name,
    pair_name,
    ratio_of,
    some_of,
    surety_text,
)
from wood_xl.results.first_cautions import gravest_cautions
from wood_xl.schema.words import capital, phrase, words
from wood_xl.verdicts import Agreement, Surety

WIDTHS = (150, 132, 130, 145, 136)
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


def study_answer(view: StudyView) -> Page:
    """The page; where it does not hold all, the ways that fewest households compared are told on Compare alone."""
    for told_n in range(len(view.pairs), -1, -1):
        page = _page(view, told_n)
        if len(page.pages()) == 1:
            break
    return page


def _page(view: StudyView, told_n: int) -> Page:
    page = Page(WIDTHS)
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
