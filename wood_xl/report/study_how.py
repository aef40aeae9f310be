"""The sheet How we know of a study: how households were brought together, what the words mean, and all cautions."""

from __future__ import annotations

from wood_xl.data.cautions import cautions, cautions_for
from wood_xl.report import styles
from wood_xl.report.charts import ChartData
from wood_xl.report.layout import Page
from wood_xl.report.study_view import StudyView
from wood_xl.schema.words import phrase, words
from wood_xl.study_words import OnStudy, StudyMade
from wood_xl.trial_words import HowWeKnow

WIDTHS = (118, 115, 115, 115, 117, 113)


def study_how(view: StudyView, data: ChartData) -> Page:
    """The page."""
    del data  # no chart here
    page = Page(WIDTHS)
    page.title(words(HowWeKnow.TITLE), words(OnStudy.HOW_SUBTITLE), view.invented)
    of_one = {StudyMade.OF_HOUSEHOLDS: not view.is_one_household, StudyMade.OF_ONE: view.is_one_household}
    told = [phrase(one, n=len(view.households)) if of_one.get(one, True) else "" for one in StudyMade]
    for statement in filter(None, told):
        label, _, text = statement.partition(": ")
        page.statement(label, text)
    page.section(words(HowWeKnow.CAUTIONS))
    matched = dict.fromkeys((row["task"], row["kind"]) for row in view.document["methods"])
    wanted = {one.id for task, kinds in matched for one in cautions_for(kinds.split(" and "), task)}
    for caution in (one for one in cautions() if one.is_for_all or one.id in wanted):
        page.text(phrase(HowWeKnow.CAUTION, title=caution.title, text=caution.text), styles.ONE_CAUTION)
    return page
