"""The sheet How we know of a study: how households were brought together, what the words mean, and all cautions."""

from __future__ import annotations

from wood_xl.data.cautions import cautions, cautions_for
from wood_xl.reading_words import HowWeKnow
from wood_xl.reasons import said
from wood_xl.report import styles
from wood_xl.report.charts import ChartData
from wood_xl.report.layout import Page
from wood_xl.report.study_view import StudyView, ways_of
from wood_xl.study_words import OnStudy, StudyMade

WIDTHS = (118, 115, 115, 115, 117, 113)


def study_how(view: StudyView, data: ChartData) -> Page:
    """The page."""
    del data  # no chart here
    page = Page(WIDTHS)
    page.title(HowWeKnow.TITLE, view.say(OnStudy.HOW_SUBTITLE), view.invented)
    unsaid = (
        StudyMade.OF_HOUSEHOLDS if view.is_one_household else StudyMade.OF_ONE,
        StudyMade.COUNTS_ONCE if view.is_both else StudyMade.COUNTS_ALL,
        StudyMade.CHECK_POOLING if view.document["notes"] else StudyMade.CHECK,
    )
    for one in StudyMade:
        if one not in unsaid:
            label, _, text = view.say(one, n=len(view.households)).partition(": ")
            page.statement(label, text)
    page.section(HowWeKnow.CAUTIONS)
    ways = ways_of(view.document["methods"])
    wanted = {one.id for task, kinds in ways for one in cautions_for(kinds.split(" and "), task)}
    for caution in (one for one in cautions() if one.is_for_all or one.id in wanted):
        page.text(said(HowWeKnow.CAUTION, title=caution.title, text=caution.text), styles.ONE_CAUTION)
    return page
