"""What is said of methods, tasks, seasons and plans, as ids; words are put in when writing."""

from __future__ import annotations

from wood_xl.reasons import Word, texts

Trend = texts("Trend", __name__)  # what a line through the years shows
Verdict = texts("Verdict", __name__)  # what may be said of a pair of methods
Further = texts("Further", __name__)  # more days with both methods that would tell
Mend = texts("Mend", __name__)  # what would mend the largest source of doubt
FittedTo = texts("FittedTo", __name__)  # what the time of a cut was fitted to
Conflict = texts("Conflict", __name__)  # which way wins on what
HourWorth = texts("HourWorth", __name__)  # whether an hour saved pays
TurnsTo = texts("TurnsTo", __name__)  # whether an input at an end of its range makes the other of two ways cost less
WhyNot = texts("WhyNot", __name__)  # what a reason not to be planned is about
Limit = texts("Limit", __name__)  # what a plan has only so much of
LimitsKept = texts("LimitsKept", __name__)  # how a plan stands to its limits
NoCalendar = texts("NoCalendar", __name__)  # why a plan has no dated sessions
HowMuch = texts("HowMuch", __name__)  # wood that a mix is told for
MixOf = texts("MixOf", __name__)  # what a mix is made of
Weekday = texts("Weekday", __name__)  # days of the week
Who = texts("Who", __name__)  # people of a plan
Mind = texts("Mind", __name__)  # what to mind at a session of a plan
TrialDay = texts("TrialDay", __name__)  # a trial day, and what it brings
TrialsFirst = texts("TrialsFirst", __name__)  # whether a choice is open, and the plan begins with trials
Tried = texts("Tried", __name__)  # what was tried of an input, and on what
Advice = texts("Advice", __name__)  # what a verdict says
Departs = texts("Departs", __name__)  # where a plan departs from the verdicts, why, and what that costs
Raise = texts("Raise", __name__)  # ways to bring the wanted wood within reach
Advised = texts("Advised", __name__)  # what stands at the head of a verdict
AtThatHour = texts("AtThatHour", __name__)  # which way is ahead where the range of a flip holds the hour


class Practised(Word):
    """Whether a method took less time as the sessions went on."""


class Agreement(Word):
    """How far pooled seasons agree."""


class Surety(Word):
    """How sure a probability makes one."""


class Quality(Word):
    """What a figure is worth by the number of its sessions."""


class Source(Word):
    """Where the doubt of a figure comes from."""


class Apart(Word):
    """Why a figure as measured differs from that on equal terms."""


class Pays(Word):
    """What is said of the money between a quicker and a slower method."""


class Kind(Word):
    """Kinds of verdict on a task, in the order in which the first that holds is taken."""


class Measure(Word):
    """What a way can be the least in."""


class BestFor(Word):
    """What a way of the whole job is best for."""


class NotPlanned(Word):
    """Why a person, or a method, is not planned."""


class LimitedBy(Word):
    """What sets the longest time of a day."""
