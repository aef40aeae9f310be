"""What is said of methods, tasks, seasons and plans, as ids; words are put in when writing."""

from __future__ import annotations

from enum import auto

from wood_xl.reasons import Word


class Practised(Word):
    """Whether a method took less time as the sessions went on."""

    TOO_FEW = auto()
    NO_TREND = auto()
    QUICKER = auto()
    SLOWER = auto()


class Agreement(Word):
    """How far pooled seasons agree."""

    ONE_SEASON = auto()
    DIFFER = auto()
    ALIKE = auto()
    OPEN = auto()


class Trend(Word):
    """What a line through the years shows."""

    MORE = auto()
    LESS = auto()
    NO_CHANGE = auto()


class Surety(Word):
    """How sure a probability makes one."""

    SETTLED = auto()
    LIKELY = auto()
    LEANS = auto()
    OPEN = auto()
    SAME = auto()
    ONLY_ONE = auto()
    NOT_KNOWN = auto()


class Quality(Word):
    """What a figure is worth by the number of its sessions."""

    SINGLE_TRY = auto()
    HINT = auto()
    FAIR = auto()
    GOOD = auto()
    SOLID = auto()
    NOT_BY_SESSIONS = auto()


class Verdict(Word):
    """What may be said of a pair of methods."""

    TAKES_LESS = auto()
    ALIKE = auto()
    OPEN = auto()


class Further(Word):
    """More days with both methods that would tell."""

    NONE = auto()
    ONE_DAY = auto()
    DAYS = auto()
    OUT_OF_REACH = auto()


class Source(Word):
    """Where the doubt of a figure comes from."""

    PERSONS = auto()
    LOGS = auto()
    PRIOR = auto()
    DAYS = auto()
    SESSIONS = auto()


class Mend(Word):
    """What would mend the largest source of doubt."""

    PERSONS = auto()
    LOGS = auto()
    PRIOR = auto()
    DAYS = auto()
    SESSIONS = auto()


class Apart(Word):
    """Why a figure as measured differs from that on equal terms."""

    LOGS = auto()
    HANDS = auto()
    REST = auto()
    ALIKE = auto()
    NOT_TOLD = auto()


class FittedTo(Word):
    """What the time of a cut was fitted to."""

    CUTS = auto()
    SESSIONS = auto()
    NOTHING = auto()


class Pays(Word):
    """What is said of the money between a quicker and a slower method."""

    NOT_KNOWN = auto()
    NO_HOUR_SAVED = auto()
    BETTER_BY_BOTH = auto()
    BY_HOURS_ALONE = auto()
    ABOVE = auto()
    BELOW = auto()
    ABOVE_UNTIL = auto()
    BELOW_AND_AGAIN = auto()


class Kind(Word):
    """Kinds of verdict on a task, in the order in which the first that holds is taken."""

    ONLY_WAY = auto()
    PRICE_MISSING = auto()
    WAITS = auto()
    NOBODY_MAY = auto()
    SAME = auto()
    TIME_OPEN = auto()
    DOMINATES = auto()
    DEPENDS = auto()
    EITHER_OWNED = auto()
    KEEP = auto()
    PAYS = auto()
    TOO_DEAR = auto()


class Advised(Word):
    """What stands at the head of a verdict."""

    METHOD = auto()
    QUICKEST = auto()
    WAITS = auto()
    NOBODY = auto()
    EITHER = auto()
    NOT_SETTLED = auto()
    DEPENDS = auto()
    KEEP = auto()


class Advice(Word):
    """What a verdict says."""

    ONLY_WAY = auto()
    PRICE_MISSING = auto()
    ONE_WAITS = auto()
    WAIT = auto()
    VALUE_WAITS = auto()
    QUICK_BARRED = auto()
    ONLY_BARRED = auto()
    OTHER_BARRED = auto()
    SAME = auto()
    TIME_OPEN = auto()
    DOMINATES = auto()
    DOMINATES_BY_SUM = auto()
    NOTHING_TO_WEIGH = auto()
    DEPENDS = auto()
    EITHER_OWNED = auto()
    KEEP = auto()
    KEEP_SMALLER_OUTLAY = auto()
    PAYS = auto()
    TOO_DEAR = auto()
    BESIDE = auto()
    MORE_THAN_CASH = auto()
    BUYING = auto()
    BUYING_WITH_LIMIT = auto()


class Measure(Word):
    """What a way can be the least in."""

    TIME = auto()
    MONEY = auto()
    EFFORT = auto()
    AIR = auto()


class Conflict(Word):
    """Which way wins on what."""

    POWER_AND_HAND = auto()
    ALL = auto()
    SPLIT = auto()
    WINS = auto()


class BestFor(Word):
    """What a way of the whole job is best for."""

    ONLY = auto()
    SUGGESTED = auto()
    TIME = auto()
    MONEY = auto()
    EFFORT = auto()
    AIR = auto()


class HourWorth(Word):
    """Whether an hour saved pays."""

    IF_WORTH_MORE = auto()
    PAYS = auto()
    DOES_NOT_PAY = auto()


class TurnsTo(Word):
    """Whether an input at an end of its range makes the other of two ways cost less."""

    YES = auto()
    NO = auto()
    NO_VALUE = auto()


class NotPlanned(Word):
    """Why a person, or a method, is not planned."""

    DOCTOR_STILL_TO_ASK = auto()
    MEDICINE_WITHOUT_WORD = auto()
    CELL_WAITS = auto()
    UNDER_AGE = auto()
    NO_AGE = auto()
    NOT_TRAINED = auto()
    VERY_HIGH_STRAIN = auto()
    NO_ONE_IN_SIGHT = auto()
    NOBODY_MAY = auto()
    NO_FIGURE = auto()
    OVER_CASH_LIMIT = auto()
    LEAVES_IT = auto()
    NOT_TRIED = auto()
    NO_NEED = auto()
    TOO_FEW = auto()


class WhyNot(Word):
    """What a reason not to be planned is about."""

    DETAILED = auto()
    TOOLS = auto()
    NO_TOOL = auto()


class Limit(Word):
    """What a plan has only so much of."""

    HOURS = auto()
    CASH = auto()
    CARBON = auto()
    PEOPLE = auto()
    DAYS_OF = auto()
    HARD_DAYS_OF = auto()


class LimitsKept(Word):
    """How a plan stands to its limits."""

    TOO_TIGHT = auto()
    NO_DAY = auto()
    KEPT = auto()
    KEPT_BUT = auto()
    NONE_WRITTEN = auto()
    HELD_BACK = auto()
    WITHIN = auto()
    WITHIN_CHECKED = auto()


class Departs(Word):
    """Where a plan departs from the verdicts, why, and what that costs."""

    NOWHERE = auto()
    WAITS = auto()
    PART = auto()
    WHOLE = auto()
    LIMITS = auto()
    LEFT_OUT = auto()
    TRIAL_DAYS = auto()
    TRIAL_DAYS_TAKE = auto()
    COSTS = auto()
    COSTS_CASH = auto()
    COSTS_NO_MORE = auto()
    COST_NOT_KNOWN = auto()
    QUICKEST = auto()
    QUICKEST_COSTS_NO_MORE = auto()


class Raise(Word):
    """Ways to bring the wanted wood within reach."""

    ONE_OF = auto()
    NONE_ALONE = auto()
    FEWER = auto()
    HOURS = auto()
    READY_BY = auto()
    WORK_DAYS = auto()
    PEOPLE = auto()
    CASH = auto()
    CARBON = auto()


class NoCalendar(Word):
    """Why a plan has no dated sessions."""

    NO_DATES = auto()
    NO_HOURS = auto()
    ZERO_HOURS = auto()
    NO_TIME = auto()


class HowMuch(Word):
    """Wood that a mix is told for."""

    HALF = auto()
    ALL = auto()
    TWICE = auto()


class MixOf(Word):
    """What a mix is made of."""

    PART = auto()
    PARTS = auto()
    NOTHING = auto()


class Weekday(Word):
    """Days of the week."""

    MONDAY = auto()
    TUESDAY = auto()
    WEDNESDAY = auto()
    THURSDAY = auto()
    FRIDAY = auto()
    SATURDAY = auto()
    SUNDAY = auto()


class Who(Word):
    """People of a plan."""

    TOGETHER = auto()
    CREW = auto()
    IN_TURNS = auto()
    SO_LONG = auto()
    SO_LONG_WITHOUT_RATE = auto()
    IN_SIGHT = auto()
    IN_SIGHT_AT = auto()


class LimitedBy(Word):
    """What sets the longest time of a day."""

    SESSION = auto()
    VIBRATION = auto()
    STRAIN = auto()


class Mind(Word):
    """What to mind at a session of a plan."""

    TRIAL_FIRST = auto()
    TRIAL_THEN = auto()
    EAR_PROTECTORS = auto()
    WITHIN_CALL = auto()
    RATE_NOT_KNOWN = auto()
    RATE_OF_NOT_KNOWN = auto()


class TrialDay(Word):
    """A trial day, and what it brings."""

    NUMBER = auto()
    ENOUGH = auto()
    NARROWS = auto()
    LEANS = auto()


class TrialsFirst(Word):
    """Whether a choice is open, and the plan begins with trials."""

    NOTHING_TO_CHOOSE = auto()
    NO_INTERVAL = auto()
    SETTLED = auto()
    OPEN = auto()
    BEGINS = auto()
    BEGINS_AT_A_COST = auto()
    NO_WOOD = auto()
    TOO_SHORT = auto()
    LOSES = auto()
    LEFT_OUT = auto()
    TWO_SAWS = auto()
    OUT_OF_REACH = auto()


class Tried(Word):
    """What was tried of an input, and on what."""

    RANGE = auto()
    RANGE_IN_UNIT = auto()
    INPUT_OF = auto()
    SESSIONS = auto()
    TIMES_WRITTEN = auto()
    TIMES_MEAN = auto()
    TIMES = auto()
    OWN_DOUBT = auto()
    DOUBT = auto()
    DOUBTS = auto()
    DOUBTS_AND_MORE = auto()
