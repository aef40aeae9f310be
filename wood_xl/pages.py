"""What stands in sentences on the pages that are written, as ids (``schema/words.json`` has their words)."""

from __future__ import annotations

from enum import auto

from wood_xl.reasons import Word


class Answer(Word):
    """What the season says in plain sentences."""

    NOTHING_COUNTED = auto()
    TIME = auto()
    BODY = auto()
    MONEY = auto()
    AIR = auto()
    OF_TASK = auto()
    WITH = auto()
    NOT_KNOWN_WITH = auto()
    BETWEEN = auto()
    ABOUT = auto()
    CANNOT_TELL = auto()
    NOT_SETTLED = auto()
    ALIKE = auto()
    TAKES_TIMES = auto()
    HOURS_SAVED = auto()
    HOUR_SAVED = auto()
    COSTS_NOTHING = auto()
    COSTS_WHATEVER_VOLUME = auto()
    COSTS_UP_TO_A_VOLUME = auto()
    DOUBT = auto()
    FEW_SESSIONS = auto()
    CORD_HOLDS = auto()
    HEAT_NOT_KNOWN = auto()
    HEAT_TO_HOUSE = auto()
    INSTEAD = auto()
    OF_CO2 = auto()
    IN_BRACKETS = auto()
    ONE_LEFT_OUT = auto()
    LEFT_OUT = auto()
    ONE_CELL_WAITS = auto()
    CELLS_WAIT = auto()
    ONE_LOOK = auto()
    LOOKS = auto()
    OTHERS = auto()


class Decision(Word):
    """What the first page says."""

    RISK = auto()
    RISK_NOT_COUNTED = auto()
    TREE = auto()
    LOG = auto()
    WHAT_ALL_TAKES = auto()
    WHAT_PART_TAKES = auto()
    WHICH_WAY_OF_ALL = auto()
    WHICH_WAY_OF_PART = auto()
    NO_WEIGHTS = auto()
    ONE_WEIGHT = auto()
    WEIGHTS = auto()
    ONLY_WAY = auto()
    NONE_HAS_ALL = auto()
    ONE_HAS_ALL = auto()
    FIRST_WAY = auto()
    HOURS = auto()
    EFFORT = auto()
    CASH = auto()
    CO2E = auto()
    KCAL = auto()
    OF_CO2E = auto()
    CORD_TAKES = auto()
    NOTHING_KNOWN = auto()
    NOT_KNOWN = auto()
    QUICKEST = auto()
    CHEAPEST = auto()
    NOT_COMPARED = auto()
    WITHOUT = auto()
    NO_OTHER_WAY = auto()
    NOT_TOLD = auto()
    BEST = auto()
    BEST_OF_COMPARED = auto()
    WEIGHT_OF = auto()
    BEST_CHANGES = auto()
    BEST_STAYS = auto()
    NO_PLAN = auto()
    ONE_SESSION = auto()
    SESSIONS = auto()
    NAMES_NOT_KNOWN = auto()
    MISSING = auto()
    NOT_PLANNED = auto()
    WHO_IS_NOT = auto()
    ALL_WITH = auto()
    SHARE_WITH = auto()
    OTHER_WAYS = auto()
    MEND_ONE = auto()
    MEND = auto()
    WRITE_MISSING = auto()
    TRY_FIRST = auto()
    CHOOSE = auto()
    BEGIN = auto()
    SESSION = auto()
    IN_SIGHT = auto()
    HAVE_AT_HAND = auto()
    HAVE_AT_HAND_FOR = auto()
    TIME_MORE = auto()
    FILL_IN_PLAN = auto()
    WRITE_AGAIN = auto()


class InResults(Word):
    """Single texts of the results of a season, and of what is told of them."""

    FUEL = auto()
    NITROGEN_OXIDES = auto()
    CODE = auto()
    TECHNOLOGY = auto()
    NO_SOURCE = auto()
    NO_VERSION = auto()
    CELL_OF = auto()
    CELL_OF_ONE_MORE = auto()
    NAMES_STAY = auto()
    OTHER_HERE = auto()
    NOTHING = auto()


class InPool(Word):
    """Texts of a pool of seasons."""

    SEASON = auto()
    RANDOM_EFFECTS = auto()
    INVENTED = auto()
    SUMMARY = auto()
    POOLED_STUDY = auto()
    YEARS = auto()
