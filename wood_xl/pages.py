"""What stands in sentences on pages and in messages, in the template and on its paper forms, as ids.

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


class Unlike(Word):
    """What of a results workbook is not as this program writes it."""
