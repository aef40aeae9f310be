"""What a study says in its tables and on its pages, as ids (``schema/words.json`` has their words)."""

from __future__ import annotations

from enum import auto

from wood_xl.reasons import Word


class Repeated(Word):
    """Whether the notes of a household stand in a study."""

    YES = auto()
    TOO_MANY = auto()


class SeasonsOf(Word):
    """Whose seasons a study brings together."""

    HOUSEHOLDS = auto()
    ONE_HOUSEHOLD = auto()


class Counting(Word):
    """How often one season counts that stands in several workbooks of a study."""

    ONCE = auto()
    BOTH = auto()


class Studied(Word):
    """Figures of a study; all but the last go by their names in the results."""

    WORKER_HOURS = auto()
    CLOCK_HOURS = auto()
    KCAL_NET = auto()
    CASH = auto()
    CO2E = auto()
    FLIP = auto()


class Absent(Word):
    """Why a season does not give a figure to a study."""

    NO_BODIES = auto()
    NO_RANGE = auto()
    NONE_USED = auto()
    NOT_ABOVE_ZERO = auto()
    NOT_QUICKER = auto()
    CHEAPER_TOO = auto()
    MAY_SAVE_NOTHING = auto()


class OutOfStudy(Word):
    """Why a workbook does not count in a study."""

    SAME_NOTES = auto()
    SAVED_LATER = auto()
    GIVEN_LATER = auto()
    NOT_USED = auto()


class Pooled(Word):
    """How a season was pooled."""

    YES = auto()
    WITHOUT_EFFORT = auto()
    UNVERIFIED = auto()
    NOTHING = auto()


class PooledMoney(Word):
    """What pooled money is counted in."""

    OF_YEAR = auto()
    UNKNOWN_YEAR = auto()


class KindName(Word):
    """Kinds of tools that sentences call by another name."""

    HAND = auto()
    MAINS = auto()


class TimesOf(Word):
    """How many times as much of something."""

    HOURS = auto()
    EFFORT = auto()
    CASH = auto()
    CO2E = auto()


class OnStudy(Word):
    """Texts of the pages."""

    NAME_OF_ONE = auto()
    UNIT = auto()
    UNITS = auto()
    UNIT_OF_ONE = auto()
    UNITS_OF_ONE = auto()
    ANSWER_TITLE = auto()
    ANSWER_ALONE = auto()
    COUNTS = auto()
    PAIR = auto()
    WAY = auto()
    AGAINST = auto()
    TAKES = auto()
    IN_MONEY = auto()
    FLIP = auto()
    ONE = auto()
    HOUSEHOLDS = auto()
    ALONE = auto()
    AGREE = auto()
    DIFFER = auto()
    ALIKE = auto()
    BY_ONE = auto()
    OPEN = auto()
    APART = auto()
    THE_HOURS = auto()
    THE_EFFORT = auto()
    THE_CASH = auto()
    THE_CO2E = auto()
    WITHOUT_SAME = auto()
    WITHOUT_OTHER = auto()
    SAME = auto()
    NO_PAIR = auto()
    ALL_ON_COMPARE = auto()
    MORE_ON_COMPARE = auto()
    OUT = auto()
    MORE_OUT = auto()
    WAIT = auto()
    WOULD_TELL = auto()
    CURRENCIES = auto()
    ANSWER_NOTE = auto()
    COMPARE_TITLE = auto()
    COMPARE_SUBTITLE = auto()
    PICTURE = auto()
    PICTURE_ALT = auto()
    ALT_PART = auto()
    PICTURE_NOTE = auto()
    TOGETHER = auto()
    ONE_MORE = auto()
    EACH = auto()
    STANDS_APART = auto()
    ALIKE_LINE = auto()
    RATIOS = auto()
    HOW_MANY = auto()
    AGREEMENT_HEAD = auto()
    SURE_HEAD = auto()
    RATIOS_NOTE = auto()
    SURE = auto()
    SURE_APART = auto()
    FAR_OUT = auto()
    RATES = auto()
    HOURS_HEAD = auto()
    KCAL_HEAD = auto()
    CO2E_HEAD = auto()
    ALONE_NOTE = auto()
    RATES_NOTE = auto()
    HOUSEHOLDS_TITLE = auto()
    ABOUT = auto()
    HOUSEHOLDS_SUBTITLE = auto()
    YEAR = auto()
    CURRENCY = auto()
    COUNTED = auto()
    TO_MEND = auto()
    TO_LOOK_AT = auto()
    STATE = auto()
    INVENTED = auto()
    OF = auto()
    MORE_IN_APPENDIX = auto()
    MATCHED = auto()
    MATCHED_NOTE = auto()
    CALLED = auto()
    CALLED_HEAD = auto()
    LEFT_OUT = auto()
    NOTHING_OUT = auto()
    ALL_OF_IT = auto()
    WAY_HEAD = auto()
    FIGURES_HEAD = auto()
    WHY_HEAD = auto()
    FAULTS = auto()
    CELL = auto()
    FOUND = auto()
    YEARS_TITLE = auto()
    YEARS_SUBTITLE = auto()
    NO_YEARS = auto()
    YEARS_TABLE = auto()
    YEARS_HEAD = auto()
    PER_YEAR = auto()
    IN_WORDS = auto()
    FROM_TO = auto()
    WITH_UNIT = auto()
    YEARS_NOTE = auto()
    YEARS_PICTURE = auto()
    HOURS_FALL = auto()
    HOURS_RISE = auto()
    HOURS_STAY = auto()
    WEARS = auto()
    NOTES_TITLE = auto()
    NOTES_HELP = auto()
    HOW_SUBTITLE = auto()


class StudyMade(Word):
    """How a study is made: each a label and a text."""

    MATCHED = auto()
    OF_HOUSEHOLDS = auto()
    OF_ONE = auto()
    POOLED = auto()
    COMMON = auto()
    SPREAD = auto()
    RANGE = auto()
    ONE_MORE = auto()
    SURETY = auto()
    APART = auto()
    MONEY = auto()
    COUNTS_ONCE = auto()
    WAITS = auto()
    LIMITS = auto()
    CHECK = auto()
