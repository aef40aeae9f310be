"""Ids of sentences on methods, tasks, seasons and plans; ``schema/words.json`` has their words."""

from __future__ import annotations

from wood_xl.reasons import Word, texts

Trend = texts("Trend", __name__)  # what a line through the years shows
Verdict = texts("Verdict", __name__)  # verdicts on a pair of methods
Further = texts("Further", __name__)  # further days with both methods that would settle it
Mend = texts("Mend", __name__)  # what would reduce the largest source of uncertainty
FittedTo = texts("FittedTo", __name__)  # what the time of a cut was fitted to
Conflict = texts("Conflict", __name__)  # which way wins in which respect
HourWorth = texts("HourWorth", __name__)  # whether saving an hour pays
TurnsTo = texts("TurnsTo", __name__)  # whether an input at an end of its range makes the other way cheaper
WhyNot = texts("WhyNot", __name__)  # details of a reason not to plan something
Limit = texts("Limit", __name__)  # limits of a plan
LimitsKept = texts("LimitsKept", __name__)  # whether a plan keeps its limits
NoCalendar = texts("NoCalendar", __name__)  # why a plan has no dated sessions
HowMuch = texts("HowMuch", __name__)  # amount of wood of a mix
MixOf = texts("MixOf", __name__)  # parts of a mix
Weekday = texts("Weekday", __name__)  # days of the week
Who = texts("Who", __name__)  # people of a plan
Mind = texts("Mind", __name__)  # what to mind at a session of a plan
TrialDay = texts("TrialDay", __name__)  # a trial day, and what it shows
TrialsFirst = texts("TrialsFirst", __name__)  # whether a choice is open, and whether the plan begins with trials
Tried = texts("Tried", __name__)  # which change of an input was tried, and on what
Advice = texts("Advice", __name__)  # sentences of a verdict
Departs = texts("Departs", __name__)  # where a plan departs from the verdicts, why, and at what cost
Raise = texts("Raise", __name__)  # ways out, to make all the wanted wood possible
Advised = texts("Advised", __name__)  # headline of a verdict
AtThatHour = texts("AtThatHour", __name__)  # which way is ahead if the range of a flip includes the value of an hour


class Practised(Word):
    """Whether a method got quicker with practice."""


class Agreement(Word):
    """How well pooled seasons agree."""


class Surety(Word):
    """How sure a probability is, in words."""


class Quality(Word):
    """Quality of a figure by its number of sessions."""


class Source(Word):
    """Source of the uncertainty of a figure."""


class Apart(Word):
    """Why a figure as measured differs from that on equal terms."""


class Pays(Word):
    """Whether a quicker method pays, compared with a slower one."""


class Kind(Word):
    """Kinds of verdict on a task; the first that holds is used."""


class Measure(Word):
    """Measures in which a way can be the least."""


class BestFor(Word):
    """What a way to do the whole job is best for."""


class NotPlanned(Word):
    """Why a person or a method is not planned."""


class LimitedBy(Word):
    """What limits the time in a day."""
