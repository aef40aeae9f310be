"""What the text columns of tables say, as ids: the words for them are put in when writing (``schema/words.json``)."""

from __future__ import annotations

from wood_xl.reasons import Word, texts

State = texts("State", __name__)  # whether a session counts, or why not
LotUse = texts("LotUse", __name__)  # whether a lot's own solid fraction was used
Role = texts("Role", __name__)  # a worker's part in a session
Seasoned = texts("Seasoned", __name__)  # when the wood of a plan is dry enough
Told = texts("Told", __name__)  # parts of what is remarked while a season is computed
EngineName = texts("EngineName", __name__)  # an engine with published pollutants
Used = texts("Used", __name__)  # which published figures are used, with their edition
Body = texts("Body", __name__)  # data of a body that an equation needs
EffortBasis = texts("EffortBasis", __name__)  # how a worker's energy was come by, and why not by a better way
JudgedBy = texts("JudgedBy", __name__)  # what strain was judged by
Modeled = texts("Modeled", __name__)  # how a modeled time is known
SetRight = texts("SetRight", __name__)  # what was set right in a heart trace
Weather = texts("Weather", __name__)  # heat and cold beyond a published line
Exposed = texts("Exposed", __name__)  # what an exposure counts, and what is missing from it
Kept = texts("Kept", __name__)  # what results hold: everything, or what can be given away
Input = texts("Input", __name__)  # what moves a figure: inputs, and common factors in doubt
InputInShort = texts("InputInShort", __name__)  # those that name somebody or something, without the name
Good = texts("Good", __name__)  # what is bought
FactorChoice = texts("FactorChoice", __name__)  # what published figures are chosen for
InTotal = texts("InTotal", __name__)  # how an account counts in the total
NeedBasis = texts("NeedBasis", __name__)  # how last winter was taken to the next


class Measured(Word):
    """What the wood of a session was measured by."""


class Recorded(Word):
    """What a session records that a figure goes with."""


class AccountName(Word):
    """Names of what the fuel, electricity and tools of a cord come to."""


class MadeBy(Word):
    """By what the making of a tool is counted."""


class Amount(Word):
    """An amount of wood that rows are for."""


class Way(Word):
    """Ways by which the need of the next winter can be told."""


class Ready(Word):
    """Whether wood is dry enough to burn."""


class Strain(Word):
    """How hard a session was on the heart; what is not known is the worst of all."""


class Workload(Word):
    """How heavy work is called."""


class RestStandard(Word):
    """Whose standard a rule of rest goes by."""


class HeatBand(Word):
    """What heat calls for."""


class ColdBand(Word):
    """What cold can do."""


class VibrationBand(Word):
    """Where the vibration of a day lies."""


class NoiseBand(Word):
    """Where the noise of a day lies, and a level that calls for a caution."""


class Phrase(Word):
    """Single phrases of tables."""


class Gas(Word):
    """What an engine gives off."""
