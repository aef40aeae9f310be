"""What the text columns of tables say, as ids: the words for them are put in when writing (``schema/words.json``)."""

from __future__ import annotations

from enum import auto

from wood_xl.reasons import Word


class State(Word):
    """Whether a session counts, or why not."""

    COUNTS = auto()
    LEFT_OUT = auto()
    NO_METHOD_OR_TIME = auto()
    NO_WOOD = auto()


class Measured(Word):
    """What the wood of a session was measured by."""

    CUTS = auto()
    STACKS = auto()
    BOTH = auto()


class LotUse(Word):
    """Whether a lot's own solid fraction was used."""

    USED = auto()
    NOT_BOTH = auto()
    REFUSED = auto()
    WAITS = auto()


class Role(Word):
    """A worker's part in a session."""

    MAIN = auto()
    HELPER = auto()


class Seasoned(Word):
    """When the wood of a plan is dry enough."""

    NOT_TOLD = auto()
    SPAN = auto()
    AFTER = auto()
    ABOUT = auto()
    TOO_LATE = auto()


class Told(Word):
    """Parts of what is remarked while a season is computed."""

    YEARLY_VOLUME = auto()
    OWN_VOLUME = auto()
    WAS_USED = auto()
    WAS_NOT_USED = auto()
    METERS_AS_FEET = auto()
    FEET_AS_METERS = auto()
    CHECK_PILE = auto()
    UPKEEP_OF = auto()
    REPAIRS = auto()
    BY_KIND = auto()
    HELD_OF = auto()
    TO_BUY = auto()
    EMISSIONS_OF_ELECTRICITY = auto()
    KG_PER_KWH = auto()
    US_GRID = auto()
    MOISTURE_OF = auto()
    PERCENT = auto()
    DRY_FIREWOOD = auto()
    US_RATINGS = auto()
    EUROPEAN_RATINGS = auto()


class Good(Word):
    """What is bought."""

    BAR_OIL = auto()
    ELECTRICITY = auto()


class Recorded(Word):
    """What a session records that a figure goes with."""

    WORKER_HOURS = auto()
    CLOCK_HOURS = auto()
    AT_WORK = auto()
    RUNNING_HOURS = auto()
    KCAL = auto()
    FUEL = auto()
    BAR_OIL = auto()
    ELECTRICITY = auto()


class AccountName(Word):
    """Names of what the fuel, electricity and tools of a cord come to."""

    BURNING = auto()
    ENGINE_GASES = auto()
    MAKING_FUEL = auto()
    ELECTRICITY = auto()
    MAKING_TOOLS = auto()
    RUNNING = auto()
    WORK = auto()
    ETHANOL = auto()
    METHANE = auto()
    NITROUS_OXIDE = auto()
    FUEL_ENERGY = auto()
    ELECTRIC_ENERGY = auto()
    TOOL_ENERGY = auto()
    RUNNING_ENERGY = auto()
    BOUGHT_ENERGY = auto()


class InTotal(Word):
    """How an account counts in the total."""

    PART = auto()
    TOTAL = auto()
    MEMO = auto()


class MadeBy(Word):
    """By what the making of a tool is counted."""

    PRICE = auto()
    MASS = auto()
    USUAL_MASS = auto()


class EngineName(Word):
    """An engine with published pollutants."""

    BY_POWER = auto()
    POWER_NOT_WRITTEN = auto()


class Amount(Word):
    """An amount of wood that rows are for."""

    ONE_CORD = auto()
    SEASON = auto()
    USUAL_YEAR = auto()
    MIX = auto()


class FactorChoice(Word):
    """What published figures are chosen for."""

    FUEL = auto()
    ENGINE_GASES = auto()
    POTENTIALS = auto()
    MAKING_FUEL = auto()
    ELECTRICITY = auto()
    TOOLS_BY_MASS = auto()
    TOOLS_BY_PRICE = auto()
    FUEL_ENERGY = auto()
    AIR_POLLUTANTS = auto()


class Used(Word):
    """Which published figures are used, with their edition."""

    FUEL = auto()
    ENGINE_GASES = auto()
    POTENTIALS = auto()
    UPSTREAM = auto()
    UPSTREAM_OF = auto()
    US_GRID = auto()
    GRID = auto()
    TOOLS_BY_MASS = auto()
    TOOLS_BY_PRICE = auto()
    GROSS_HEAT = auto()
    NEW_ENGINES = auto()
    NOT_KNOWN = auto()
    AS_WRITTEN = auto()
    BY_SOURCE = auto()


class Way(Word):
    """Ways by which the need of the next winter can be told."""

    WANTED = auto()
    LAST_WOOD = auto()
    LAST_FUEL = auto()
    LAST_BOTH = auto()
    HEAT_LOSS = auto()


class NeedBasis(Word):
    """How last winter was taken to the next."""

    AS_WRITTEN = auto()
    BY_DEGREE_DAYS = auto()
    AS_LAST_WINTER = auto()


class Ready(Word):
    """Whether wood is dry enough to burn."""

    YES = auto()
    NOT_YET = auto()
    NOT_MEASURED = auto()


class Body(Word):
    """Data of a body that an equation needs."""

    MASS = auto()
    AGE = auto()


class EffortBasis(Word):
    """How a worker's energy was come by, and why not by a better way."""

    EQUATION = auto()
    EQUATION_WITH_VO2MAX = auto()
    RESERVE = auto()
    VO2MAX_BY_AGE = auto()
    ASSUMES_TRAINED = auto()
    NO_RESTING_RATE = auto()
    RATE_NOT_BETWEEN = auto()
    TABLE = auto()
    NOTE_OF_TABLE = auto()
    OVER_TRACE = auto()
    MEAN_OF_BOTH = auto()
    LOW_RATE = auto()
    HIGH_RATE = auto()
    AGE_OUTSIDE = auto()
    MASS_OUTSIDE = auto()
    REST_BY_BODY = auto()
    REST_BY_MASS = auto()
    FINGER_COUNT = auto()
    REFERENCE_MASS = auto()
    RATE_TOO_LOW = auto()
    NO_HEART_RATE = auto()
    MEDICINE = auto()
    NO_BODY_DATA = auto()


class Strain(Word):
    """How hard a session was on the heart; what is not known is the worst of all."""

    NOT_KNOWN = auto()
    VERY_HIGH = auto()
    HIGH = auto()
    BELOW_LEVELS = auto()


class JudgedBy(Word):
    """What strain was judged by."""

    RATE_HELD = auto()
    SHARE_ABOVE = auto()
    SHARE_ABOVE_FOR_LONG = auto()
    SHARE_UP_TO = auto()
    HEAVY_WORK = auto()
    RATE_BY_AGE = auto()


class Modeled(Word):
    """How a modeled time is known."""

    BY_FORMULA = auto()
    EXTRAPOLATED = auto()
    BELOW_RANGE = auto()
    AT_LOWER_END = auto()


class Workload(Word):
    """How heavy work is called."""

    BELOW_LIGHT = auto()
    LIGHT = auto()
    MODERATE = auto()
    HEAVY = auto()
    VERY_HEAVY = auto()
    UNDULY_HEAVY = auto()


class RestStandard(Word):
    """Whose standard a rule of rest goes by."""

    OWN = auto()
    WOMEN = auto()
    MEN = auto()
    LOWER = auto()


class SetRight(Word):
    """What was set right in a heart trace."""

    NOTHING = auto()
    WITHOUT_BEAT = auto()
    NO_RATE = auto()
    SAME_TIME = auto()
    OUT_OF_ORDER = auto()
    RECORDINGS = auto()


class HeatBand(Word):
    """What heat calls for."""

    CAUTION = auto()
    EXTREME_CAUTION = auto()
    DANGER = auto()
    EXTREME_DANGER = auto()


class ColdBand(Word):
    """What cold can do."""

    LONG_OUTSIDE = auto()
    SKIN_10_TO_30_MIN = auto()
    SKIN_5_TO_10_MIN = auto()
    SKIN_2_TO_5_MIN = auto()
    SKIN_UNDER_2_MIN = auto()


class Weather(Word):
    """Heat and cold beyond a published line."""

    HEAT = auto()
    COLD = auto()
    BEYOND_HEAT_INDEX = auto()


class VibrationBand(Word):
    """Where the vibration of a day lies."""

    BELOW_ACTION = auto()
    ACTION = auto()
    OVER_LIMIT = auto()


class NoiseBand(Word):
    """Where the noise of a day lies, and a level that calls for a caution."""

    BELOW_DOSE = auto()
    DOSE = auto()
    CEILING = auto()


class Exposed(Word):
    """What an exposure counts, and what is missing from it."""

    SO_FAR_AS_KNOWN = auto()
    UPPER_BOUND = auto()
    NO_RUNNING_TIME = auto()
    WHOLE_TIME = auto()
    WITHOUT = auto()
    NOT_IN_RATES = auto()
    SESSION = auto()


class Phrase(Word):
    """Single phrases of tables."""

    NOT_NAMED = auto()
    A_WORKER = auto()
    STOVE = auto()
    INVENTED = auto()
    STRAIN_SEEN = auto()
    VERY_HIGH_WHERE_KNOWN = auto()
    FOR_TRIALS = auto()
    FOR_MIX = auto()
    TOOL = auto()
    WEARS = auto()
    KWH = auto()


class Kept(Word):
    """What results hold: everything, or what can be given away."""

    ALL = auto()
    SHARED = auto()


class Input(Word):
    """What moves a figure: inputs, and common factors in doubt."""

    TAPE = auto()
    SOLID_FRACTION = auto()
    HEART_RATE = auto()
    EQUATION = auto()
    EQUATION_WITH_VO2MAX = auto()
    RESERVE = auto()
    TABLE = auto()
    GRID = auto()
    GAS_OF_ENGINE = auto()
    DENSITY = auto()
    PRICE_OF_FUEL = auto()
    PRICE_OF_BAR_OIL = auto()
    PRICE_OF_ELECTRICITY = auto()
    PRICE_OF_TOOL = auto()
    RENT_OF_TOOL = auto()
    PRICE_OF_BOUGHT_CORD = auto()
    MASS_OF_TOOL = auto()
    LIFE_AT_WORK = auto()
    LIFE_RUNNING = auto()
    LIFE_BY_AGE = auto()
    REPAIRS = auto()
    UPKEEP = auto()
    WORTH_TODAY = auto()
    YEARS_LEFT = auto()
    INTEREST = auto()
    YEARLY_VOLUME = auto()
    VALUE_OF_HOUR = auto()
    WORKING_HOURS = auto()
    FUEL_OF_A_CORD = auto()
    BAR_OIL_OF_A_CORD = auto()
    ELECTRICITY_OF_A_CORD = auto()
    EFFORT_OF_A_CORD = auto()


class Gas(Word):
    """What an engine gives off."""

    HYDROCARBONS = auto()
    CARBON_MONOXIDE = auto()
    PARTICLES = auto()
