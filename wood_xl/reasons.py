"""What can be said beside a figure, or in place of one, as ids and facts: the words for them are put in when writing.

An id is a member of one of the enums below; ``schema/words.json`` has its sentence. Nothing here is ever shown as it
stands, and no text is searched to find out what something is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum, auto
from typing import Any


class Word(Enum):
    """An id with a sentence of its own; ``key`` is what it goes by in files."""

    @property
    def key(self) -> str:
        """Its name in small letters."""
        return self.name.lower()

    def __format__(self, spec: str) -> str:
        raise TypeError(f"{self!r} has no words before it is written")


@dataclass(frozen=True, slots=True)
class Said:
    """An id with the facts that fill its sentence.

    id: which sentence.
    facts: each slot of the sentence with a name as it was typed, a number, another id or ``Said``, or a tuple of
        them.
    """

    id: Word
    facts: tuple[tuple[str, Any], ...] = ()
    _hash: int = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_hash", hash((self.id, self.facts)))  # once: it is the key of many look-ups

    def __hash__(self) -> int:
        return self._hash

    def __getitem__(self, slot: str) -> Any:
        return dict(self.facts)[slot]

    @property
    def key(self) -> str:
        """What it goes by: its id and the places of what it names, so that another name is no other key."""
        return " ".join([self.id.key, *(_place(fact) for _, fact in self.facts)])

    def __format__(self, spec: str) -> str:
        raise TypeError(f"{self!r} has no words before it is written")


@dataclass(frozen=True, slots=True)
class Ranged:
    """A number with the ends of its range, where it has them; one end alone is missing where there is no limit."""

    value: float
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Named:
    """A name as it was typed, told apart by its place in the notes: with another name it is the same."""

    place: str
    name: str = field(compare=False)


Key = Said | str  # what draws go by: an id with places, or the id of a constant


class Refused(ValueError):
    """A formula that gives no number of these inputs, with the reason that stands in place of it."""

    def __init__(self, why: Said) -> None:
        super().__init__(why.id.key)
        self.why = why


def _place(fact: Any) -> str:
    return fact.place if isinstance(fact, Named) else fact.key if isinstance(fact, Word) else str(fact)


def said(word: Word, **facts: Any) -> Said:
    """A sentence with its facts.

    >>> said(Reason.NEEDS, cell="Tools!B5")["cell"]
    'Tools!B5'
    """
    return Said(word, tuple(facts.items()))


def given(figure: float | Said) -> float:
    """A number that is known to be given.

    Errors: ValueError if a reason stands in its place.
    """
    if isinstance(figure, Said):
        raise ValueError(f"not given: {figure.id.key}")
    return figure


def is_said(told: object, *words: Word) -> bool:
    """Whether one of these is what is said, whatever its facts."""
    return isinstance(told, Said) and told.id in words


def several(parts: Sequence[Said]) -> Said | None:
    """All of some sentences, each once: None if there is none, the sentence itself if there is but one."""
    distinct = tuple(dict.fromkeys(parts))
    return said(Listing.SEMICOLONS, parts=distinct) if len(distinct) > 1 else next(iter(distinct), None)


class Reason(Word):
    """Why a figure, or its ends, are not given."""

    NEEDS = auto()
    NOT_KNOWN = auto()
    OF_METHOD = auto()
    OF_ITEM = auto()
    NO_SESSION = auto()
    NOT_SHARED = auto()
    NOT_COUNTED = auto()
    NO_TIME = auto()
    NOT_MEASURED = auto()
    NOT_WRITTEN = auto()
    NONE_WRITTEN = auto()
    NO_CUTS = auto()
    NO_STACKS = auto()
    NEEDS_CUTS = auto()
    NEEDS_CUTS_AND_STACKS = auto()
    TAKES_NONE = auto()
    AS_RECORDED = auto()
    TOOK_NO = auto()
    NONE_RECORDED = auto()
    TOO_UNSURE = auto()
    SESSIONS_UNLIKE = auto()
    NOT_BY_SESSIONS = auto()
    ONLY_METHOD = auto()
    BOTH_TAKE_NONE = auto()
    OTHER_TAKES_NONE = auto()
    TOO_FEW_SESSIONS = auto()
    NO_TREND = auto()
    NEEDS_TIMED_CUTS = auto()
    ONE_SEASON = auto()
    FEW_SEASONS = auto()
    NOT_FITTED = auto()
    CUTS_TOO_FEW = auto()
    CUTS_ALIKE = auto()
    SESSIONS_TOO_FEW = auto()
    LOGS_ALIKE = auto()
    TIME_BELOW_ZERO = auto()
    NOT_TOLD_APART = auto()
    COLUMN_FOLLOWS = auto()
    NO_HEART_RATE = auto()
    HEART_RATE_TOO_LOW = auto()
    MEDICINE = auto()
    NO_VO2MAX = auto()
    VO2MAX_NOT_ABOVE_REST = auto()
    NO_RESTING_RATE = auto()
    RATE_NOT_BETWEEN = auto()
    NO_BODY_DATA = auto()
    MONITOR_BELOW_REST = auto()
    ONE_BASIS = auto()
    NO_PRICE = auto()
    NO_PRICE_OF = auto()
    NO_LIFE_OF = auto()
    NO_RENT_OF = auto()
    NO_DATE_OF_RENT = auto()
    NOT_YOURS = auto()
    NOT_KNOWN_OF_BOUGHT = auto()
    NO_TOOL = auto()
    NO_VALUE_OF_HOUR = auto()
    NO_FUEL_RECORDED = auto()
    NO_ELECTRICITY_RECORDED = auto()
    NO_HOURS = auto()
    NO_CASH = auto()
    NO_EFFORT = auto()
    NO_CO2E = auto()
    LACKS = auto()
    LACKS_FOR_LIMIT = auto()
    LIMIT_IS_ZERO = auto()
    NOT_NEEDED = auto()
    NOT_ENOUGH_ALONE = auto()
    NO_LIMIT_ALLOWS = auto()
    CASH_NOT_CHECKED = auto()
    CO2E_NOT_CHECKED = auto()
    NOTHING_WANTED = auto()
    NO_VOLUME_WANTED = auto()
    NO_METHOD_OF = auto()
    BY_THE_PIECE = auto()
    BY_VOLUME = auto()
    FROM_THE_PLUG = auto()
    AT_PRICE_WRITTEN = auto()
    IF_BORROWED = auto()
    NO_WORKING_TIME = auto()
    NONE_NEEDED = auto()
    AS_THINGS_STAND = auto()
    AS_THINGS_STAND_IN = auto()
    NOTHING_TO_BUY = auto()
    UNMOVED = auto()
    SAVES_NO_HOUR = auto()
    SAVES_NO_HOUR_THERE = auto()
    MAY_SAVE_NO_HOUR = auto()
    SAVES_NO_EFFORT = auto()
    MAY_SAVE_NO_EFFORT = auto()
    AVOIDS_NONE = auto()
    MAY_AVOID_NONE = auto()
    NO_FLIP = auto()
    NOT_ADVISED = auto()
    SAME_AT_ANY_VOLUME = auto()
    PAYS_AT_ANY_VOLUME = auto()
    NEVER_PAYS = auto()
    MAY_NEVER_PAY = auto()
    MAY_PAY_ON_OTHER_SIDE = auto()
    MAY_PAY_AT_ANY_VOLUME = auto()
    MAY_PAY_NEVER_OR_AT_ANY_VOLUME = auto()
    NEVER = auto()
    NOT_WITHIN_LIFE = auto()
    MAY_NOT_BE_PAID_BACK = auto()
    NO_YEARLY_VOLUME = auto()
    EMITS_NOTHING = auto()
    NO_FUEL_WRITTEN = auto()
    NO_ELECTRICITY_WRITTEN = auto()
    USD_ONLY = auto()
    NO_FACTORS_OF_ENGINE = auto()
    NO_RANGE_OF_NOX = auto()
    NO_ENERGY_BOUGHT = auto()
    NO_KIND_OF_WOOD = auto()
    NO_DATE_OF_STACK = auto()
    BURNED_MORE_THAN_HELD = auto()
    NO_PACE = auto()
    NO_NEED_OF_WINTER = auto()
    WINTER_OVER = auto()
    WINTER_TO_COME = auto()
    STOCK_IS_ENOUGH = auto()
    NO_HEAT = auto()
    NO_STOVE = auto()
    NO_FIGURE_OF_STOVE = auto()
    BOILER = auto()
    EFFICIENCY_OVER_WHOLE = auto()
    NO_DOUBT_ADDED = auto()
    NO_RANGE = auto()
    EXACT = auto()
    AS_MEASURED = auto()
    VOLUME_AS_WRITTEN = auto()
    OWN_VOLUME = auto()
    NOT_PUBLISHED = auto()
    NOT_ON_THE_LIST = auto()
    NO_OTHER_HEATING = auto()
    NOT_A_LIQUID = auto()
    FOR_GAS_ONLY = auto()
    PRICED_BY_KWH = auto()
    NO_PRICE_OF_THAT_FUEL = auto()
    NOT_BY_THIS_WAY = auto()
    NO_DEGREE_DAYS_OF_LAST_WINTER = auto()
    NO_DEGREE_DAYS_OF_USUAL_WINTER = auto()
    NO_HIGHEST_RATE = auto()
    RATE_AT_HIGHEST = auto()
    RATE_NOT_ABOVE_REST = auto()
    ENERGY_BELOW_STANDARD = auto()
    TOO_FEW_READINGS = auto()
    NO_TIME_BETWEEN_READINGS = auto()
    NO_READING = auto()
    NO_RUNNING_TIME = auto()
    NOT_ASSESSED = auto()
    NOT_REACHED = auto()


class Basis(Word):
    """How a figure was come by."""

    AS_WRITTEN = auto()
    BY_MODEL = auto()
    NONE_WRITTEN = auto()
    SEVERAL = auto()
    SO_OFTEN = auto()
    FROM_SESSIONS = auto()
    EQUATION = auto()
    EQUATION_WITH_VO2MAX = auto()
    RESERVE = auto()
    TABLE = auto()
    WITH_OWN_DOUBTS = auto()
    FROM_CUTS = auto()
    FROM_STACKS = auto()
    FRACTION_WRITTEN = auto()
    FRACTION_USUAL = auto()
    FRACTION_OF_LOT = auto()
    FRACTION_OF_SESSIONS = auto()
    OWN_VOLUME = auto()
    RATIO = auto()
    EFFORT_COUNTED = auto()
    UPPER_BOUND = auto()
    UPPER_BOUND_OF = auto()
    BARE_HANDS = auto()
    RENT_OF = auto()
    RENTED = auto()
    BORROWED = auto()
    SHARE_OF = auto()
    SHARE_TO_PAY = auto()
    NOTHING_LEFT_TIMED = auto()
    NO_ENGINE = auto()
    NO_ELECTRIC_TOOL = auto()
    NO_BAR_OIL = auto()
    NO_UPKEEP = auto()
    REPAIRS = auto()
    RESALE_BY_DEFAULT = auto()
    LIFE_OF_ENGINE = auto()
    LIFE_BY_AGE = auto()
    NOT_SAID_WHETHER_BOUGHT = auto()
    NOT_BOUGHT_YET = auto()
    ALL_OF_IT = auto()
    STILL_TO_BUY = auto()
    NO_TOOL_BOUGHT = auto()
    NO_WORTH_TODAY = auto()
    FREE = auto()
    OVER_YEARS = auto()
    SAVES_BOTH = auto()
    PAYS_ABOVE = auto()
    PAYS_BELOW = auto()
    PAYS_ABOVE_UNTIL = auto()
    PAYS_BELOW_AND_AGAIN = auto()
    US_GRID = auto()
    USUAL_MASS = auto()
    USUAL_MASS_OF = auto()
    PACKS_ASSUMED = auto()
    PACKS_ASSUMED_BY_PRICE = auto()
    PACKS_ASSUMED_OF = auto()
    DOLLARS_OF = auto()
    DOLLARS_OF_UNKNOWN_YEAR = auto()
    CAPPED_BY_OIL = auto()
    POTENTIALS = auto()
    CARBON_SHARE = auto()
    STOVE = auto()
    STOVE_WRITTEN = auto()
    STOVE_USUAL = auto()
    DENSITY_WRITTEN = auto()
    DENSITY_WITH_BARK = auto()
    DENSITY_WITH_USUAL_BARK = auto()
    USUAL_MOISTURE = auto()
    BY_VOLUME = auto()
    BY_MASS = auto()
    PART_OF_LOSS = auto()
    WHOLE_LOSS = auto()
    HEATING_WRITTEN = auto()
    HEATING_USUAL = auto()
    FUEL_PRICE = auto()
    ELECTRICITY_AT = auto()
    AT_CHIMNEY = auto()
    WHAT_TEXTS_SAY = auto()
    AIR_OF = auto()
    WITHOUT_WAITING = auto()


class Listing(Word):
    """Several things said one after the other."""

    SEMICOLONS = auto()
    COMMAS = auto()
    UP_TO = auto()
    WITH = auto()
    OR = auto()
    SENTENCES = auto()


class Ends(Word):
    """How the range of a number is written behind it."""

    BOTH = auto()
    OR_MORE = auto()
    OR_LESS = auto()


class OfDraws(Word):
    """A share of the draws."""

    NONE = auto()
    FEWEST = auto()
    SOME = auto()
    MOST = auto()
    ALL = auto()
