"""Arrays for unsure inputs: member 0 is the nominal value, then evenly spread draws in an order set by a key.

Nothing is random: the same key has the same draws everywhere, and one more key changes no other. A design gives every
unsure input its scores, and the same chain of formulas runs over any design.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache, wraps
from statistics import NormalDist
from typing import Concatenate, ParamSpec, TypeVar

import numpy as np
import numpy.typing as npt

from wood_xl.data.load import value
from wood_xl.draws.normal import Array
from wood_xl.reasons import Key

Number = float | Array  # by all members, or one number if nothing is unsure
Numbers = npt.NDArray[np.intp]
SEED = "0"
SelfT = TypeVar("SelfT")
Asked = ParamSpec("Asked")
ResultT = TypeVar("ResultT")


def kept(method: Callable[Concatenate[SelfT, Asked], ResultT]) -> Callable[Concatenate[SelfT, Asked], ResultT]:
    """A method that works out each result once for each object, frozen or not, which keeps it by the arguments."""

    @wraps(method)
    def ask(self: SelfT, /, *args: Asked.args, **kwargs: Asked.kwargs) -> ResultT:
        results: dict[object, ResultT] = vars(self).setdefault(f"kept {method.__name__}", {})
        key = (*args, *kwargs.items())
        if key not in results:
            results[key] = method(self, *args, **kwargs)
        return results[key]

    return ask


def order(key: str) -> Numbers:
    """Stratum of each draw: its rank among the words of one digest of the key.

        place of word i when the unsigned 64-bit big-endian words of SHAKE-256("0|key") are sorted

    Source: how_sure_defaults, model of the sessions, joint draws.

    >>> print(order("tools.3.price")[:4])
    [2073 1398 1930 1682]
    """
    return _order(key, draws_n())


def draws_n() -> int:
    """Number of draws."""
    return int(value("model.draws"))


# A cache that outlives a season takes constants as arguments, so that each season still reads them.
@cache
def _order(key: str, draws_n: int) -> Numbers:
    digest = hashlib.shake_256(f"{SEED}|{key}".encode()).digest(8 * draws_n)
    places = np.empty(draws_n, dtype=np.intp)
    places[np.argsort(np.frombuffer(digest, dtype=">u8"), kind="stable")] = np.arange(draws_n)
    places.flags.writeable = False  # all callers share it
    return places


def middles() -> Array:
    """Normal scores at the middle of each stratum, from low to high."""
    return _middles(draws_n())


@cache
def _middles(draws_n: int) -> Array:
    scores = np.array([NormalDist().inv_cdf((i + 0.5) / draws_n) for i in range(draws_n)])
    scores.flags.writeable = False  # all callers share it
    return scores


def scores(key: str) -> Array:
    """Draws of a standard normal distribution for a key."""
    return middles()[order(key)]


def key_text(key: Key) -> str:
    """Text of a key."""
    return key if isinstance(key, str) else key.key


@cache
def _world_scores(key: str, draws_n: int) -> Array:
    members = np.append(0.0, _middles(draws_n)[_order(key, draws_n)])
    members.flags.writeable = False
    return members


def shares(key: Key) -> Array:
    """Share of the distribution below each member: 0.5 for the nominal one, then the middle of each stratum."""
    strata = order(key_text(key))
    return np.append(0.5, (strata + 0.5) / strata.size)


@dataclass(frozen=True)
class Worlds:
    """All inputs at once: the nominal member, then one world for each draw.

    has_sessions: whether doubt from the sessions is drawn; if not, only what they have in common is.
    has_input: whether an input is drawn; None draws all.
    """

    moves_choices = False  # such as the yearly volume, which are in no doubt
    has_sessions: bool = True
    has_input: Callable[[Key], bool] | None = None

    @property
    def shape(self) -> tuple[int]:
        """Of what has members."""
        return (1 + draws_n(),)

    def scores(self, key: Key) -> Array:
        """Members of a standard normal distribution."""
        is_drawn = self.has_input is None or self.has_input(key)
        return _world_scores(key_text(key), draws_n()) if is_drawn else np.zeros(self.shape)


class OneByOne:
    """One input at a time at its two ends, all others at their nominal values.

    asked: every key asked for so far.
    """

    has_sessions, moves_choices = True, True

    def __init__(self, keys: Iterable[Key] = ()) -> None:
        self.asked: dict[Key, None] = {}
        self.moves = tuple(dict.fromkeys(keys))
        self._places = {key_text(key): 2 * at + 1 for at, key in enumerate(self.moves)}

    @classmethod
    def of(cls, chain: Callable[[OneByOne], object]) -> OneByOne:
        """Design that moves every input a chain of formulas asks for; a first run without keys finds them."""
        asking = cls()
        chain(asking)
        return cls(asking.asked)

    @property
    def shape(self) -> tuple[int]:
        """Of what has members."""
        return (1 + 2 * len(self._places),)

    def scores(self, key: Key) -> Array:
        """Members of a standard normal distribution: at its ends where the key moves, else 0."""
        self.asked[key] = None
        members = np.zeros(self.shape)
        place = self._places.get(key_text(key))
        if place is not None:
            members[place : place + 2] = -last_score(), last_score()
        return members

    def at_ends(self, members: Number, key: Key) -> tuple[float, float]:
        """A number with one input at its low and at its high end."""
        if np.ndim(members) == 0:
            return float(members), float(members)
        place = self._places[key_text(key)]
        low, high = np.asarray(members)[place : place + 2]
        return float(low), float(high)


Design = Worlds | OneByOne
WORLDS, COMMON_ALONE = Worlds(), Worlds(has_sessions=False)


def level() -> float:
    """Share of the draws between the ends of an interval."""
    return value("interval.level") / 100


def last_score() -> float:
    """Standard deviations from the middle of a normal distribution to the end of an interval."""
    return _last_score(level())


@cache
def _last_score(level: float) -> float:
    return NormalDist().inv_cdf((1 + level) / 2)


def total(parts: Iterable[Number]) -> Number:
    """Sum of numbers or arrays from left to right: the grouping of ``np.sum`` depends on the machine."""
    result: Number = 0.0
    for part in parts:
        result = result + part
    return result


def plain(number: Number) -> Number:
    """The same number, as a float if it has no members."""
    return number if np.ndim(number) else float(number)


def nominal(number: Number) -> float:
    """Member 0."""
    return float(number) if np.ndim(number) == 0 else float(np.asarray(number)[0])


def ends(members: Array, share: float | None = None) -> tuple[float, float]:
    """Limits that contain a share of the draws, with as many draws below as above.

        p = (1 -+ share) / 2    h = p n - 1/2    y[floor h] + (h - floor h) (y[floor h + 1] - y[floor h])

    Source: jcgm_101, probabilistically symmetric coverage interval; how_sure_defaults, model of the sessions.

    >>> print(ends(np.array([9.0, 4.0, 1.0, 3.0, 2.0]), 0.5))
    (1.5, 3.5)
    """
    share = level() if share is None else share
    low, high = _at(members[1:], (1 - share) / 2, (1 + share) / 2)
    return low, high


def _at(draws: Array, *shares: float) -> list[float]:
    """Values at shares. A full sort is faster here than a partial one for four places."""
    ordered = np.sort(draws)
    return [_between(ordered, min(max(share * draws.size - 0.5, 0.0), draws.size - 1.0)) for share in shares]


def _between(ordered: Array, place: float) -> float:
    low = math.floor(place)
    high = min(low + 1, ordered.size - 1)
    # Equal neighbors need no interpolation, which would fail between infinities.
    if place == low or ordered[low] == ordered[high]:
        return float(ordered[low])
    return float(ordered[low] + (place - low) * (ordered[high] - ordered[low]))
