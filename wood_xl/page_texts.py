"""Ids of the texts on reading sheets, in studies, messages, templates and paper forms.

``schema/words.json`` has their words.
"""

from __future__ import annotations

from wood_xl.reasons import Word, texts

Month = texts("Month", __name__)  # months, in order
InResults = texts("InResults", __name__)  # single texts in and about the results of a season
InCalendar = texts("InCalendar", __name__)  # texts of a calendar file, and why there is none
InPool = texts("InPool", __name__)  # texts of a study of several seasons
InMarked = texts("InMarked", __name__)  # texts of the first sheet of a marked copy, its help and its headers
InMail = texts("InMail", __name__)  # texts of a draft of a message
InFile = texts("InFile", __name__)  # remarks on a file that was read; placeholders for what no cell can hold
HowToMend = texts("HowToMend", __name__)  # advice that depends on what was typed
Beside = texts("Beside", __name__)  # texts beside tables and pictures
Entry = texts("Entry", __name__)  # texts beside a cell of the template to type into
OfCautions = texts("OfCautions", __name__)  # texts on the cautions as a whole
Did = texts("Did", __name__)  # who did what, with remarks
RunStep = texts("RunStep", __name__)  # steps of a run, shown on a terminal
InSummary = texts("InSummary", __name__)  # texts of a summary of many workbooks
InMessage = texts("InMessage", __name__)  # fillers for the messages of checks
InTemplate = texts("InTemplate", __name__)  # other texts of the template
OnPaper = texts("OnPaper", __name__)  # texts of the paper forms, except titles of columns
OtherSheet = texts("OtherSheet", __name__)  # purposes of sheets that a first trial does not need, by sheet id
Step = texts("Step", __name__)  # steps of filling in the template, in order
OfPackage = texts("OfPackage", __name__)  # tables that only a CSV package has
Explained = texts("Explained", __name__)  # texts of the command explain

OnPages = texts("OnPages", __name__)  # texts that several reading sheets share
OnAnswer = texts("OnAnswer", __name__)  # texts of the sheet Answer
OnCompare = texts("OnCompare", __name__)  # texts of the sheet Compare
OnMoney = texts("OnMoney", __name__)  # texts of the sheet Money
OnTornado = texts("OnTornado", __name__)  # texts beside the charts of what moves a flip
OnBody = texts("OnBody", __name__)  # texts of the sheet Body
OnSessions = texts("OnSessions", __name__)  # texts of the sheet Sessions
OnAir = texts("OnAir", __name__)  # texts of the sheet Air and warmth
OnShed = texts("OnShed", __name__)  # texts on the woodshed, on Air and warmth and on Answer
HowWeKnow = texts("HowWeKnow", __name__)  # texts of the sheet How we know
Working = texts("Working", __name__)  # steps of the working of a figure
Glossary = texts("Glossary", __name__)  # words that the sheet How we know explains, at most 15
OnPlan = texts("OnPlan", __name__)  # texts of the sheet Plan

Repeated = texts("Repeated", __name__)  # whether the notes of a household stand in a study
SeasonsOf = texts("SeasonsOf", __name__)  # whose seasons a study pools
Counting = texts("Counting", __name__)  # how often a season counts that is in several workbooks
Studied = texts("Studied", __name__)  # figures of a study; all but the last have their names in the results
Absent = texts("Absent", __name__)  # why a season has no figure for a study
OutOfStudy = texts("OutOfStudy", __name__)  # why a workbook does not count in a study
Pooled = texts("Pooled", __name__)  # how a season was pooled
PooledMoney = texts("PooledMoney", __name__)  # currency of pooled money
KindName = texts("KindName", __name__)  # names of kinds of tools in sentences
TimesOf = texts("TimesOf", __name__)  # ratios of something
OnStudy = texts("OnStudy", __name__)  # texts of the pages of a study
StudyMade = texts("StudyMade", __name__)  # how a study was made: a label and a text each


class Unlike(Word):
    """Differences of a results workbook from what this program writes."""
