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
