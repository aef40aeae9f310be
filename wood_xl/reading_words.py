"""Texts of the reading sheets and of studies, as ids (``schema/words.json`` has their words)."""

from __future__ import annotations

from wood_xl.reasons import texts

OnPages = texts("OnPages", __name__)  # texts that several reading sheets share
OnAnswer = texts("OnAnswer", __name__)  # what the sheet Answer says
OnCompare = texts("OnCompare", __name__)  # what the sheet Compare says
OnMoney = texts("OnMoney", __name__)  # what the sheet Money says
OnTornado = texts("OnTornado", __name__)  # what stands beside the pictures of what moves a flip
OnBody = texts("OnBody", __name__)  # what the sheet Body says
OnSessions = texts("OnSessions", __name__)  # what the sheet Sessions says
OnAir = texts("OnAir", __name__)  # what the sheet Air and warmth says
OnShed = texts("OnShed", __name__)  # what is said of the woodshed, on Air and warmth and on Answer
HowWeKnow = texts("HowWeKnow", __name__)  # what the sheet How we know says
Working = texts("Working", __name__)  # steps of the working of a figure
Glossary = texts("Glossary", __name__)  # words that the sheet How we know explains, at most 15
OnPlan = texts("OnPlan", __name__)  # what the sheet Plan says

Repeated = texts("Repeated", __name__)  # whether the notes of a household stand in a study
SeasonsOf = texts("SeasonsOf", __name__)  # whose seasons a study brings together
Counting = texts("Counting", __name__)  # how often one season counts that stands in several workbooks of a study
Studied = texts("Studied", __name__)  # figures of a study; all but the last go by their names in the results
Absent = texts("Absent", __name__)  # why a season does not give a figure to a study
OutOfStudy = texts("OutOfStudy", __name__)  # why a workbook does not count in a study
Pooled = texts("Pooled", __name__)  # how a season was pooled
PooledMoney = texts("PooledMoney", __name__)  # what pooled money is counted in
KindName = texts("KindName", __name__)  # kinds of tools that sentences call by another name
TimesOf = texts("TimesOf", __name__)  # how many times as much of something
OnStudy = texts("OnStudy", __name__)  # texts of the pages of a study
StudyMade = texts("StudyMade", __name__)  # how a study is made: each a label and a text
