"""What stands in the template and on its paper forms beside what the definition says (``schema/words.json``)."""

from __future__ import annotations

from enum import auto

from wood_xl.reasons import Word


class InTemplate(Word):
    """Texts of the template beside what is typed into it."""

    HEADING = auto()
    VERSION = auto()
    THIS_SEASON = auto()
    A_TRIAL = auto()
    TRIAL_HELP = auto()
    HOW_TO_FILL = auto()
    WHAT_FILL_MEANS = auto()
    BOLD_FILLED = auto()
    COMPULSORY = auto()
    BOLD = auto()
    ONE_OF = auto()
    PLAIN = auto()
    OPTIONAL = auto()
    TABS = auto()
    FOLDED = auto()
    OTHER_SHEETS = auto()
    BEFORE_START = auto()
    ALL_CAUTIONS = auto()
    ABOUT = auto()
    CAUTION = auto()
    SOURCE_OR_NONE = auto()
    NO_SOURCE = auto()
    CHOICES_HELP = auto()
    AND_OTHERS = auto()
    LEFT_OVER = auto()


class OnPaper(Word):
    """Texts of the paper forms beside the titles of columns."""

    BUCKING = auto()
    SPLITTING = auto()
    ONE_PAGE = auto()
    EACH = auto()
    METER_BEFORE = auto()
    METER_AFTER = auto()
    TALLY_IN = auto()
    TALLY_CM = auto()
    MORE = auto()
    SUM = auto()
    STACK_FACES = auto()
    TOP = auto()
    BOTTOM = auto()
    DEPTH = auto()
    RING = auto()
    UNUSUAL = auto()
    UNUSUAL_CUTS = auto()
    SAFETY = auto()


class OtherSheet(Word):
    """What the sheets are for that a first trial does not need, by their ids."""

    CUTS = auto()
    HELPERS = auto()
    PEOPLE = auto()
    TOOLS = auto()
    UPKEEP = auto()
    SEASON = auto()
    WOOD = auto()
    WOODSHED = auto()
    HEART_TRACE = auto()
    NEXT_SEASON = auto()


class Step(Word):
    """Steps of filling the template in, in their order."""

    CAUTIONS = auto()
    ON_PAPER = auto()
    SESSIONS = auto()
    WOOD = auto()
    OTHERS = auto()
    RUN = auto()
    LATER = auto()
    UNITS = auto()
    NAMES = auto()
    OWN_COLUMNS = auto()
