"""What a cord takes of each amount that sessions record, by all members: for all that is worked out from it."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from wood_xl.draws.ensemble import WORLDS, Design, Number, OneByOne, ends
from wood_xl.draws.normal import Array
from wood_xl.draws.shared_factors import Term, common_draws
from wood_xl.hours.common import wood_in_common
from wood_xl.hours.equal_terms import EqualSeason, recording
from wood_xl.hours.methods import MethodTotals
from wood_xl.ids import Input, Recorded
from wood_xl.reasons import Key, Reason, Said, said
from wood_xl.records import Season

OWN_INPUTS = {
    Recorded.FUEL: Input.FUEL_OF_A_CORD,
    Recorded.BAR_OIL: Input.BAR_OIL_OF_A_CORD,
    Recorded.ELECTRICITY: Input.ELECTRICITY_OF_A_CORD,
    Recorded.KCAL: Input.EFFORT_OF_A_CORD,
}


@dataclass(frozen=True, eq=False)
class Taken:
    """A number by all members, or as it stands with the reason why nothing is known of its doubt."""

    number: Number
    why: Said | None = None


@dataclass(frozen=True)
class TakenAmounts:
    """What a cord takes by each method on equal terms, relative to its value, each drawn once."""

    season: Season
    equal: EqualSeason
    design: Design = WORLDS
    _found: dict[tuple[str, Recorded], Taken] = field(default_factory=dict)

    def relative(self, totals: MethodTotals, what: Recorded) -> Taken:
        """An amount for a cord over its value: by the sessions and by the wood that they share."""
        key = totals.method.name, what
        if key not in self._found:
            own = self.by_sessions(totals, what)
            self._found[key] = own if own.why else Taken(self.wood(totals) * own.number)
        return self._found[key]

    def wood(self, totals: MethodTotals) -> Array:
        """A cord as it was measured over a cord as it is: the tape and the usual solid fraction."""
        powers, spreads = wood_in_common(totals, self.season)
        return common_draws(terms=[Term(1.0, powers)], spreads=spreads, design=self.design)

    def by_sessions(self, totals: MethodTotals, what: Recorded) -> Taken:
        """What the sessions leave open of an amount, about 1.

        Moved alone, it goes to the ends that are told of the amount; all hours of a method are moved together.
        """
        if not recording(totals, what):
            return Taken(1.0, said(Reason.TOOK_NO, what=what))
        odd = self.equal.odd_session(totals, what)
        if odd is not None:
            return Taken(1.0, said(Reason.SESSIONS_UNLIKE, session=odd))
        if not self.design.has_sessions:
            return Taken(1.0)
        members = self.equal.members(totals, what)
        if not isinstance(self.design, OneByOne) or np.ndim(members) == 0:
            return Taken(members)
        scores = self.design.scores(said(OWN_INPUTS.get(what, Input.WORKING_HOURS), method=totals.method.named))
        low, high = ends(np.asarray(members) * TakenAmounts(self.season, self.equal).wood(totals))
        return Taken(np.where(scores < 0, min(low, 1.0), np.where(scores > 0, max(high, 1.0), 1.0)))


def is_own(key: Key) -> bool:
    """Whether a key is of what the sessions of a method alone leave open."""
    return isinstance(key, Said) and key.id in (Input.WORKING_HOURS, *OWN_INPUTS.values())
