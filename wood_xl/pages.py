"""What stands in sentences on pages and in messages, as ids (``schema/words.json`` has their words)."""

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
    COSTS_NOTHING_OR = auto()
    COST_OPEN = auto()
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
    VALUES = auto()
    AN_HOUR = auto()
    EFFORT_SPARED = auto()
    CO2E_AVOIDED = auto()
    NO_HOUR = auto()
    OTHER_PERSONS = auto()
    OTHER_LOGS = auto()
    OTHER_DAYS = auto()
    WIDER = auto()
    AS_ADVISED = auto()
    CORD_TAKES = auto()
    OPEN_IN_ALL = auto()
    HOURS_OF_WORK = auto()
    KCAL_BEYOND_REST = auto()
    AMOUNT_OF_CASH = auto()
    AMOUNT_OF_CO2E = auto()
    NOT_KNOWN = auto()
    TIME = auto()
    MONEY = auto()
    HOURS = auto()
    EFFORT = auto()
    CASH = auto()
    CO2E = auto()
    OF_CO2E = auto()
    LEAST = auto()
    LEAST_IS_ADVISED = auto()
    LEAST_NOT_KNOWN = auto()
    OF_TASK = auto()
    WITHOUT = auto()
    EFFORT_COSTS = auto()
    CO2E_COSTS = auto()
    CO2E_TAKES = auto()
    PRICE_BY = auto()
    HOURS_BY = auto()
    INSTEAD_OF = auto()
    SAME_MONEY = auto()
    NO_PRICES = auto()
    BOUGHT = auto()
    BOUGHT_FOR_LESS = auto()
    SURETY_OF = auto()
    BRACKETS = auto()
    MARGIN = auto()
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
    FOOTER = auto()
    SEAL = auto()
    SEAL_HELP = auto()


class InPool(Word):
    """Texts of a pool of seasons."""

    SEASON = auto()
    MODEL = auto()
    INVENTED = auto()
    SUMMARY = auto()
    POOLED_STUDY = auto()
    YEARS = auto()
    ALL_SEASONS = auto()
    PICTURES_HELP = auto()
    MARKED_TITLE = auto()
    MARKED_FOOTER = auto()


class InSummary(Word):
    """Texts of a summary of many workbooks."""

    RATES_HELP = auto()
    WRITTEN = auto()
    WITH_GAPS = auto()
    NOTHING_WRITTEN = auto()


class InMail(Word):
    """Texts of a draft of a message."""

    SUBJECT = auto()
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
    FEET_OR_INCHES = auto()
    MEND_SHARES = auto()
    PER_CENT = auto()


class Beside(Word):
    """Texts beside tables and pictures."""

    NOT_GIVEN = auto()
    NO_ENDS = auto()
    PART = auto()
    ENDS_ELSEWHERE = auto()
    NO_ENDS_BECAUSE = auto()
    NO_ENDS_FOR = auto()
    FOR = auto()
    MORE_NOTES = auto()
    HOLDERS = auto()
    HOLDERS_AND_MORE = auto()
    NO_PARTS = auto()
    BAR_LACKS = auto()
    NO_BARS = auto()
    NO_BAR = auto()
    BY_METHOD = auto()
    METHOD = auto()
    SAME_COST_AT = auto()
    NO_POINTS = auto()
    POINT_LACKS = auto()
    BY_WAY = auto()
    TIMES_AS_MUCH = auto()
    AGAINST = auto()
    RATIO_AXIS = auto()
    LENGTHS = auto()
    LENGTHS_HELP = auto()
    OF = auto()
    TO_DOT = auto()
    DOT = auto()
    DOWN_TO_LOW = auto()
    UP_TO_HIGH = auto()
    LINES = auto()
    LINES_HELP = auto()
    INPUTS_HELP = auto()
    EMPTY_SHEETS = auto()
    WAY = auto()
    WAYS = auto()
    COUNTED = auto()
    NOT_COUNTED = auto()
    MONEY = auto()
    MONEY_OF_YEAR = auto()
    NO_CURRENCY = auto()
    TITLED = auto()


class Entry(Word):
    """What the template tells of one cell that is typed into."""

    OVER = auto()
    RANGE = auto()
    COMPULSORY = auto()
    OPTIONAL = auto()
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


class InTemplate(Word):
    """Texts of the template beside what is typed into it."""

    HEADING = auto()
    SUBTITLE = auto()
    VERSION = auto()
    HOW_TO_FILL = auto()
    WHAT_FILL_MEANS = auto()
    BOLD_FILLED = auto()
    COMPULSORY = auto()
    PLAIN = auto()
    OPTIONAL = auto()
    BEFORE_START = auto()
    ALL_CAUTIONS = auto()
    ABOUT = auto()
    CAUTION = auto()
    SOURCE_OR_NONE = auto()
    NO_SOURCE = auto()
    CHOICES_HELP = auto()
    AND_OTHERS = auto()
    TALLY_HELP = auto()
    START_TIME = auto()
    STOP_TIME = auto()
    TALLY_HELPERS = auto()
    TALLY_CUTS = auto()
    LARGER = auto()
    TALLY_STACKS = auto()
    UNUSUAL = auto()


class Step(Word):
    """Steps of filling the template in, in their order."""

    ON_PAPER = auto()
    SEASON = auto()
    METHODS = auto()
    SESSIONS = auto()
    WOOD = auto()
    OTHERS = auto()
    UNITS = auto()
    WHAT_BELONGS = auto()
    TIMES = auto()
    NAMES = auto()
    OWN_COLUMNS = auto()


class OfCautions(Word):
    """What is said of cautions as a whole."""

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
