"""What stands in sentences on pages and in messages, as ids (``schema/words.json`` has their words)."""

from __future__ import annotations

from enum import auto

from wood_xl.reasons import Word


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
    CANNOT_TELL = auto()
    FOOTER = auto()
    SEAL = auto()
    SEAL_HELP = auto()


class RunStep(Word):
    """What a run is at, told on a terminal."""

    READING = auto()
    CHECKING = auto()
    COMPUTING = auto()
    WRITING = auto()
    COMPARING = auto()
    COUNTED = auto()
    POOLING = auto()


class InCalendar(Word):
    """Texts of a calendar file, and of why there is none."""

    SUMMARY = auto()
    IN_SIGHT = auto()
    WEAR = auto()
    TIRED = auto()
    NONE = auto()


class Unlike(Word):
    """What of a results workbook is not as this program writes it."""

    FORMULA = auto()
    IN_CELL = auto()
    NUMBER_FORMAT = auto()
    COLOR = auto()
    STANDS = auto()
    LETTERS = auto()
    HEIGHT = auto()
    WIDTH = auto()
    MERGED = auto()
    FOOTER = auto()
    FILTER = auto()
    PANES = auto()
    SHEETS = auto()
    HIDDEN = auto()
    NAME = auto()
    PICTURE = auto()
    PICTURE_PLACE = auto()
    DRAWN = auto()
    STRANGE = auto()


class InPool(Word):
    """Texts of a study of several seasons."""

    HOUSEHOLD = auto()
    SEASON = auto()
    WORKBOOK = auto()
    MODEL = auto()
    INVENTED = auto()
    ALL_INVENTED = auto()
    SUMMARY = auto()
    STUDY = auto()
    AGREE = auto()
    SAVED_LATER = auto()
    GIVEN_LATER = auto()


class InSummary(Word):
    """Texts of a summary of many workbooks."""

    RATES_HELP = auto()
    WRITTEN = auto()
    WITH_GAPS = auto()
    NOTHING_WRITTEN = auto()
    FOLDER = auto()
    OTHER_KIND = auto()
    STALE = auto()


class InMarked(Word):
    """Texts of the first sheet of a marked copy: its help and the headers of its columns."""

    HELP = auto()
    LEVEL = auto()
    SHEET = auto()
    CELL = auto()
    COLUMN = auto()
    FOUND = auto()
    MEND = auto()
    BEFORE = auto()


class OfPackage(Word):
    """What the tables of a CSV package are that no table of the document is."""

    PLAN = auto()
    PLAN_HELP = auto()
    INPUTS = auto()
    INPUTS_HELP = auto()


class InMail(Word):
    """Texts of a draft of a message."""

    SUBJECT = auto()
    IN_SHORT = auto()
    MORE = auto()
    CLOSING = auto()


class InFile(Word):
    """What is noted of a workbook that was read, and stands in place of what no cell can hold."""

    MACROS = auto()
    OUTSIDE = auto()
    LINKS = auto()
    CONNECTIONS = auto()
    EMBEDDED = auto()
    NO_CELLS = auto()
    LINE_BREAK = auto()
    TAB = auto()
    SPACE = auto()
    FIXED_SPACE = auto()
    ZERO_WIDTH_SPACE = auto()
    CHARACTER = auto()
    CUT = auto()


class InMessage(Word):
    """What fills the slots of a message of what is wrong or odd in the notes."""

    NUMBER = auto()
    OF_UNIT = auto()
    PRICE_PER = auto()
    MORE_THAN = auto()
    AT_LEAST = auto()
    AT_MOST = auto()
    VALUES_FROM = auto()
    TIMES = auto()
    USED = auto()
    AS_IS = auto()
    AS_ARE = auto()
    AS_IS_MODELED_TIME = auto()
    CELLS = auto()
    COLUMNS = auto()
    ROWS = auto()
    NO_HEADER = auto()
    COLUMN = auto()
    ITEM = auto()
    MORE_BELOW = auto()
    MAY_MEAN = auto()
    NEARLY = auto()
    ELSEWHERE = auto()
    IN_ROWS = auto()
    NEAREST = auto()
    MAY_BE_IT = auto()
    ITS_COLUMNS = auto()
    ITS_NAME = auto()
    TOOLS = auto()
    NO_TOOL = auto()
    FUEL = auto()
    BAR_OIL = auto()
    ELECTRICITY = auto()
    ENGINE_OF = auto()
    STRONGEST_ENGINE = auto()
    WOULD_FIT = auto()
    READ_AS_RECORDINGS = auto()
    IN_ORDER = auto()
    IN_ORDER_TWICE_ONCE = auto()
    READING = auto()
    READINGS = auto()
    STACKED_WHILE_SPLITTING = auto()
    STACKING_OF = auto()


class HowToMend(Word):
    """How to mend it, where that hangs on what was typed."""

    CHECK = auto()
    ELSE_CHECK = auto()
    ELSE_MEND = auto()
    IF_IT_IS_MEANT = auto()
    IF_THEY_ARE_MEANT = auto()
    TYPE = auto()
    WRITE_UNIT = auto()
    WRITE_HEADER = auto()
    EITHER = auto()
    AS_HEADER = auto()
    HEADER_WITH_YOUR_UNIT = auto()
    UNIT_OF_ITEM = auto()
    PLAIN_NUMBER = auto()
    PLAIN_NUMBER_OR_NONE = auto()
    WHOLE_NUMBER = auto()
    EMPTY_IF_NOT_KNOWN = auto()
    WITHOUT_GAP = auto()
    MIDDLE_OF_RANGE = auto()
    DOUBT_IN_NOTE = auto()
    IF_CLOCK_MEANS = auto()
    WITHOUT_UNIT = auto()
    TURNED_INTO = auto()
    IN_UNIT_HERE = auto()
    AS_DECIMAL = auto()
    WITHOUT_MARKS = auto()
    JOIN = auto()
    WITH_POINTS = auto()
    CLOCK_WITH_COLON = auto()
    IF_AFTERNOON = auto()
    IF_START_IN_AFTERNOON = auto()
    MEND_ONE_OF_TWO = auto()
    MEND_SHARES = auto()
    PER_CENT = auto()


class Beside(Word):
    """Texts beside tables and pictures."""

    NOT_GIVEN = auto()
    NO_ENDS = auto()
    NO_ENDS_BECAUSE = auto()
    NO_ENDS_FOR = auto()
    FOR = auto()
    MORE_NOTES = auto()
    HOLDERS = auto()
    HOLDERS_AND_MORE = auto()
    INPUTS_HELP = auto()
    EMPTY_SHEETS = auto()


class Entry(Word):
    """What the template tells of one cell that is typed into."""

    OVER = auto()
    RANGE = auto()
    COMPULSORY = auto()
    OPTIONAL = auto()
    ONE_OF = auto()
    BOTH = auto()
    POSSIBLE = auto()
    USUAL = auto()
    EXAMPLE = auto()
    IF_EMPTY = auto()
    UNITS = auto()
    OTHER_UNIT = auto()
    CHOOSE_UNIT = auto()
    CHOOSE_WORD = auto()
    AT_MOST = auto()
    WHOLE_NUMBER = auto()
    NUMBER = auto()


class OfCautions(Word):
    """What is said of cautions as a whole."""

    RISK = auto()
    NOT_COUNTED = auto()
    NO_FIGURE = auto()
    GENERAL = auto()
    CLOSING = auto()
    WEAR = auto()


class Explained(Word):
    """What the command explain says of a name."""

    COLUMNS = auto()
    RESULTS = auto()
    PROBLEMS = auto()
    CONSTANTS = auto()
    ACTIVITIES = auto()
    SOURCES = auto()
    WORDS = auto()
    FIGURE = auto()
    STEP = auto()
    IN_RESULTS = auto()
    PROBLEM = auto()
    WITHHOLDS = auto()
    ACTIVITY = auto()
    COLUMN = auto()
    UNITS = auto()
    CHOICES = auto()
    POSSIBLE = auto()
    POSSIBLE_ABOVE = auto()
    USUAL = auto()
    DEFAULT = auto()
    DEFAULT_BELOW = auto()
    COMPULSORY_IN_ROW = auto()
    FEEDS = auto()
    FORMULA = auto()
    UNIT = auto()
    NEEDS = auto()
    SOURCE = auto()
    VALUE = auto()
    RANGE = auto()
    KNOWN = auto()


class Did(Word):
    """Who did what, and what is said of it."""

    PERSON = auto()
    PERSONS = auto()
    LESS = auto()
    BOTH = auto()
    VERDICTS = auto()
