"""Ids of the texts in tables; ``schema/words.json`` has their words, which are filled in when results are written."""

from __future__ import annotations

from wood_xl.reasons import Word, texts

State = texts("State", __name__)  # whether a session counts, or why not
LotUse = texts("LotUse", __name__)  # whether a lot's own solid fraction was used
Role = texts("Role", __name__)  # a worker's part in a session
Seasoned = texts("Seasoned", __name__)  # when the wood of a plan will be dry enough
Told = texts("Told", __name__)  # parts of remarks made while a season is computed
EngineName = texts("EngineName", __name__)  # an engine with published pollutants
Used = texts("Used", __name__)  # published figures in use, with their edition
Body = texts("Body", __name__)  # body data that an equation needs
EffortBasis = texts("EffortBasis", __name__)  # how a worker's energy was computed, and why no better way was possible
JudgedBy = texts("JudgedBy", __name__)  # what strain was judged by
Modeled = texts("Modeled", __name__)  # how a modeled time was obtained
SetRight = texts("SetRight", __name__)  # corrections of a heart trace
Weather = texts("Weather", __name__)  # heat and cold beyond a published threshold
Exposed = texts("Exposed", __name__)  # what an exposure includes, and what it lacks
Kept = texts("Kept", __name__)  # whether results hold everything, or only what can be shared
Input = texts("Input", __name__)  # uncertain inputs and common factors that move a figure
InputInShort = texts("InputInShort", __name__)  # inputs that name somebody or something, without the name
Good = texts("Good", __name__)  # goods to buy
FactorChoice = texts("FactorChoice", __name__)  # what published figures are chosen for
InTotal = texts("InTotal", __name__)  # how an account enters the total
NeedBasis = texts("NeedBasis", __name__)  # how the need of last winter was scaled to the next


class Measured(Word):
    """How the wood of a session was measured."""


class Recorded(Word):
    """Quantities that a session records."""


class AccountName(Word):
    """Accounts of fuel, electricity and tools per cord."""


class MadeBy(Word):
    """Basis of the emissions from making a tool."""


class Amount(Word):
    """Amounts of wood that rows are for."""


class Way(Word):
    """Ways to estimate the need of the next winter."""


class Ready(Word):
    """Whether wood is dry enough to burn."""


class Strain(Word):
    """How hard a session was on the heart; not known counts as the worst."""


class Workload(Word):
    """Classes of workload."""


class RestStandard(Word):
    """The standard of a rest rule."""


class HeatBand(Word):
    """Precautions for heat."""


class ColdBand(Word):
    """Effects of cold."""


class VibrationBand(Word):
    """Bands of daily vibration."""


class NoiseBand(Word):
    """Bands of daily noise, and a level that calls for a caution."""


class Phrase(Word):
    """Short phrases in tables."""


class Gas(Word):
    """Gases that an engine emits."""
