"""What is remarked of a season, and which cell of the notes it is about; ids of what fills such remarks and rows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import auto

from wood_xl.reasons import Said, Word


@dataclass(frozen=True, slots=True)
class RowCell:
    """A cell of a table: its column as ``sheet.column``, and the name that its row goes by.

    Where several rows have that name it is the first.
    """

    column: str
    name: str


Facts = Mapping[str, str | float | Said]
Remark = tuple[str, str | RowCell, Facts]


class Slip(Word):
    """What fills the slots of a message of a gross error: a unit, a date or a pile that was taken for another."""

    OTHERS_OF_PILE = auto()
    OTHER_SESSIONS = auto()
    RUNNING = auto()
    WORKING = auto()
    OTHERS_BURNED = auto()
    ENGINES_BURN = auto()
    BESIDE_GASOLINE = auto()
    USUAL_PRICE = auto()
    CENTS = auto()
    TURN_ALL = auto()
    NO_REASON = auto()


class Stocked(Word):
    """What is said of wood in the woodshed."""

    NOW = auto()
    NEXT_WINTER = auto()
    BY_READING = auto()
    BY_USUAL_TIME = auto()
    BY_USUAL_PACE = auto()
    BY_OWN_PACE = auto()
    READ_ON = auto()
    WITHOUT = auto()
    LESS_STANDING = auto()


class Trial(Word):
    """What is said of a season that is half filled in."""

    SESSIONS_OF = auto()
    LIST = auto()
    WAITING = auto()
    NOTHING_WAITS = auto()
    BY = auto()
    BY_WHO_MAY = auto()
    ON_PILE = auto()
    ON_LOGS = auto()
    ANY_PILE = auto()
