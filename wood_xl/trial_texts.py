"""Texts of a first trial as ids (``schema/words.json`` has their words)."""

from __future__ import annotations

from enum import auto

from wood_xl.reasons import Word


class LeftOutOfTrial(Word):
    """Why somebody does not try a method, beside the rules of who may."""

    ONE_ALONE = auto()
    TOO_FEW = auto()


class ToFill(Word):
    """What a trial needs to be filled in first."""

    METHODS = auto()
    PEOPLE = auto()
    FIRST_DAY = auto()
    DAYS = auto()


class OnTrialPlan(Word):
    """What the sheet with the plan of a trial says."""

    TITLE = auto()
    SUBTITLE = auto()
    DAYS_N = auto()
    PEOPLE_N = auto()
    ONE_N = auto()
    METHODS_N = auto()
    DATE = auto()
    FROM_TO = auto()
    TELLS = auto()
    PAIRS = auto()
    PAIRS_DONE = auto()
    PAIR_N = auto()
    DAY_N = auto()
    PAIR_IS = auto()
    CHANCE_HELP = auto()
    TASK = auto()
    LONGER_BY = auto()
    CHANCE = auto()
    WOULD_TAKE = auto()
    PERCENT = auto()
    PERCENT_YOURS = auto()
    UNDER = auto()
    TENTHS = auto()
    OVER = auto()
    TOO_FEW = auto()
    NEEDED = auto()
    OUT_OF_REACH = auto()
    AS_MEASURED = auto()
    MORE_PAIR_N = auto()
    MORE = auto()
    CHANCE_OF_REST = auto()
    FEW = auto()
    ONE_PERSON = auto()
    SWAPPED = auto()
    NOT_SWAPPED = auto()
    SAW_FIRST = auto()
    UNEVEN = auto()
    NO_DAY = auto()
    NOTHING = auto()
    MORE_DAYS = auto()
    LEFT_OUT = auto()
    PERSON = auto()
    OF_METHODS = auto()
    WHY = auto()
    NOBODY = auto()
    WHY_AND_CELL = auto()
    BEFORE = auto()
    STAYS_IN_SIGHT = auto()
    LONGEST = auto()
    REST = auto()
    PARTS = auto()
    MEASURE = auto()
    HELPS = auto()
    AS_WRITTEN = auto()
    DOES = auto()
    DAY = auto()
    TURN = auto()
    SESSION = auto()
    METHOD = auto()
    PILE = auto()
    IN_SIGHT = auto()
    ON_THAT_DAY = auto()
    MARK_PARTS = auto()
    GOES_ON = auto()
    REST_FIRST = auto()
    SAW_AWAY = auto()
    MAKES_UP = auto()
    HELPED_BY = auto()


class OnTrialForm(Word):
    """What a paper form of a trial says beside an empty one."""

    CORNER = auto()
    LONGEST = auto()
    IN_SIGHT = auto()
