"""Ids of the texts on reading sheets, in studies, messages, templates and paper forms.

``schema/words.json`` has their words.
"""

from __future__ import annotations

from wood_xl.reasons import Word, texts

Month = texts("Month", __name__)  # months, in their order
InResults = texts("InResults", __name__)  # single texts of the results of a season, and of what is told of them
InCalendar = texts("InCalendar", __name__)  # texts of a calendar file, and of why there is none
InPool = texts("InPool", __name__)  # texts of a study of several seasons
InMarked = texts("InMarked", __name__)  # texts of the first sheet of a marked copy, its help and its headers
InMail = texts("InMail", __name__)  # texts of a draft of a message
InFile = texts("InFile", __name__)  # what is noted of a workbook that was read; what stands for what no cell can hold
HowToMend = texts("HowToMend", __name__)  # how to mend it, where that hangs on what was typed
Beside = texts("Beside", __name__)  # texts beside tables and pictures
Entry = texts("Entry", __name__)  # what the template tells of one cell that is typed into
OfCautions = texts("OfCautions", __name__)  # what is said of cautions as a whole
Did = texts("Did", __name__)  # who did what, and what is said of it
RunStep = texts("RunStep", __name__)  # what a run is at, told on a terminal
InSummary = texts("InSummary", __name__)  # texts of a summary of many workbooks
InMessage = texts("InMessage", __name__)  # what fills the slots of a message of what is wrong or odd in the notes
InTemplate = texts("InTemplate", __name__)  # texts of the template beside what is typed into it
OnPaper = texts("OnPaper", __name__)  # texts of the paper forms beside the titles of columns
OtherSheet = texts("OtherSheet", __name__)  # what the sheets are for that a first trial does not need, by their ids
Step = texts("Step", __name__)  # steps of filling the template in, in their order
OfPackage = texts("OfPackage", __name__)  # what the tables of a CSV package are that no table of the document is
Explained = texts("Explained", __name__)  # what the command explain says of a name

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


class Unlike(Word):
    """What of a results workbook is not as this program writes it."""
