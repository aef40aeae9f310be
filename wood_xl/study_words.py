"""What a study says in its tables and on its pages, as ids (``schema/words.json`` has their words)."""

from __future__ import annotations

from wood_xl.reasons import texts

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
OnStudy = texts("OnStudy", __name__)  # texts of the pages
StudyMade = texts("StudyMade", __name__)  # how a study is made: each a label and a text
