"""Two methods of a task: what a saved hour costs, at which volume the quicker one pays, and when it is paid back."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from itertools import combinations

import numpy as np
import numpy.typing as npt

from wood_xl.data.load import value
from wood_xl.draws.ensemble import WORLDS, Number, ends, level, nominal, total
from wood_xl.draws.figure import Figure, Holds, Row, as_things_stand, drawn, not_given, percent_of_draws
from wood_xl.draws.normal import Array
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.money.break_even import break_even_volumes, first_volumes, payback_years, price_of_hour
from wood_xl.money.cost import MethodCost
from wood_xl.money.inputs import CASH_PARTS, Part, still_to_buy
from wood_xl.money.method import MethodInputs
from wood_xl.reasons import Basis, Reason, Said, Word, said, several
from wood_xl.records import Method
from wood_xl.verdicts import Pays

NOTHING_TO_BUY, UNMOVED = said(Reason.NOTHING_TO_BUY), said(Reason.UNMOVED)
PAYS: dict[Word, Pays] = {  # verdict by the side of the break-even volume that pays
    Basis.PAYS_ABOVE: Pays.ABOVE,
    Basis.PAYS_BELOW: Pays.BELOW,
    Basis.PAYS_ABOVE_UNTIL: Pays.ABOVE_UNTIL,
    Basis.PAYS_BELOW_AND_AGAIN: Pays.BELOW_AND_AGAIN,
}
NEVER = 1e9  # years, above any life
OF_PAYBACK = (  # columns that need the cash of both
    *("outlay", "cash_saved_per_year", "cash_simple", "cash_discounted", "time_simple", "time_discounted"),
)
LEAST_CORDS, MOST_CORDS = 0.01, 1000.0  # from an armful to more than the season's item of yearly volume takes


@dataclass(frozen=True, eq=False)
class Side:
    """Money of a method, nominal and by all members."""

    plain: MethodCost
    drawn: MethodCost
    _cash: dict[float, Array] = field(default_factory=dict)

    @property
    def method(self) -> Method:
        """The method itself."""
        return self.plain.totals.method

    def cash_at(self, cords_per_year: Number) -> Array:
        """Cash for a cord by all members at a yearly volume; searches come back to the same single volumes."""
        if not isinstance(cords_per_year, float):
            return self._cash_at(cords_per_year)
        if cords_per_year not in self._cash:
            self._cash[cords_per_year] = self._cash_at(cords_per_year)
        return self._cash[cords_per_year]

    def _cash_at(self, cords_per_year: Number) -> Array:
        return np.broadcast_to(np.asarray(self.drawn.at_cords(cords_per_year).cash, dtype=np.float64), WORLDS.shape)


@dataclass(frozen=True, eq=False)
class Pair:
    """Two methods of one task; ``quick`` takes fewer worker hours for a cord."""

    quick: Side
    slow: Side

    @property
    def cords(self) -> float:
        """Cords a year."""
        return nominal(self.quick.plain.inputs.cords_per_year)

    @property
    def worth(self) -> float:
        """Stated value of an hour."""
        return nominal(self.quick.plain.inputs.value_of_time_per_h)

    @property
    def hours_saved(self) -> Number:
        """Worker hours that the quicker method saves on a cord."""
        return self.slow.drawn.inputs.worker_h_per_cord - self.quick.drawn.inputs.worker_h_per_cord

    @property
    def extra_cash(self) -> Number:
        """Extra cash that the quicker method costs for a cord."""
        return self.quick.drawn.money.cash - self.slow.drawn.money.cash

    def extra_cash_at(self, cords_per_year: Number) -> Array:
        """Extra cash at another yearly volume."""
        return self.quick.cash_at(cords_per_year) - self.slow.cash_at(cords_per_year)

    def plain_extra_cash_at(self, cords_per_year: Array) -> Array:
        """Nominal extra cash at each of some yearly volumes."""
        more = self.quick.plain.at_cords(cords_per_year).cash - self.slow.plain.at_cords(cords_per_year).cash
        return np.broadcast_to(more, cords_per_year.shape)

    @property
    def why_no_cash(self) -> Figure | None:
        """Why the two cannot be compared in cash."""
        return self.quick.plain.numbers.why_no_cash or self.slow.plain.numbers.why_no_cash

    @property
    def why_no_time(self) -> Figure | None:
        """Why the two cannot be compared in cash and time."""
        return self.why_no_cash or self.quick.plain.numbers.missing.get("own_time")

    def why_unsure(self, parts: Sequence[Part]) -> Said | None:
        """Why the doubt of some parts of either method is unknown; None if it is known."""
        return self.quick.drawn.why_unsure(parts) or self.slow.drawn.why_unsure(parts)

    def figure(self, number: Number, parts: Sequence[Part] = CASH_PARTS, *, exact: Said | None = UNMOVED) -> Figure:
        """A number of both methods, with ends unless the doubt of one of its parts is unknown."""
        why = self.why_unsure(parts)
        return drawn(number, exact=exact) if why is None else Figure(nominal(number), reason=why)

    def as_things_stand(self, what: Said, holds: Holds, parts: Sequence[Part] = CASH_PARTS) -> Said:
        """A statement about both, with the share of draws in which it holds."""
        return as_things_stand(what, None if self.why_unsure(parts) else holds)


HOURS: tuple[Part, ...] = ("own_time",)
CASH_AND_HOURS = (*CASH_PARTS, *HOURS)


def pairs(rates: SeasonRates) -> Iterator[Pair]:
    """All pairs of tried methods of one task."""
    sides = [Side(cost, rates.money(name)) for name, cost in rates.costs.items() if cost.numbers.why is None]
    for two in combinations(sides, 2):
        if two[0].method.task == two[1].method.task:
            quick, slow = sorted(two, key=lambda side: nominal(side.plain.inputs.worker_h_per_cord))
            yield Pair(quick, slow)


def break_even_row(pair: Pair) -> Row:
    """What a saved hour costs, and from which volume the quicker method pays."""
    hours_saved = pair.figure(pair.hours_saved, HOURS, exact=None)
    row = partial(Row, **_names(pair), hours_saved=hours_saved)
    why = pair.why_no_cash
    if why is not None:
        return row(extra_cash=why, hour_saved_cost=why, volume_cash=why, volume_time=why, verdict=Pays.NOT_KNOWN)
    extra_cash, volume = pair.figure(pair.extra_cash), _volume(pair, 0.0)
    return row(
        extra_cash=extra_cash,
        hour_saved_cost=price_of_hour(extra_cash, hours_saved),
        volume_cash=volume,
        volume_time=pair.why_no_time or _volume(pair, pair.hours_saved * pair.worth, CASH_AND_HOURS),
        verdict=_verdict(pair, volume),
    )


def _names(pair: Pair) -> dict[str, str]:
    return {"quicker": pair.quick.method.name, "slower": pair.slow.method.name, "task": pair.quick.method.task}


def _volume(pair: Pair, worth: Number, parts: Sequence[Part] = CASH_PARTS) -> Figure:
    """Yearly volume [stacked m3] at which both methods cost the same, with the side on which the quicker pays."""
    plain_worth = nominal(worth)

    def at(cords_per_year: Array) -> Array:
        return pair.plain_extra_cash_at(cords_per_year) - plain_worth

    volumes = break_even_volumes(at, least=LEAST_CORDS, most=MOST_CORDS)
    at_least = float(at(np.array([LEAST_CORDS]))[0])
    if not volumes:
        return not_given(_at_no_volume(pair, worth, at_least, parts))
    pays_above = at_least > 0
    side = said(Basis.PAYS_ABOVE if pays_above else Basis.PAYS_BELOW)
    if len(volumes) > 1:
        turns = Basis.PAYS_ABOVE_UNTIL if pays_above else Basis.PAYS_BELOW_AND_AGAIN
        side = said(turns, times=volumes[1] / volumes[0])
    unsure = pair.figure(pair.extra_cash, parts).reason
    plain = Figure(volumes[0] * value("cord.volume_m3"), side, reason=unsure)
    if unsure not in (None, UNMOVED):
        return plain
    members = _first_volumes(pair, worth)
    begins_dearer = pair.extra_cash_at(LEAST_CORDS) - worth > 0
    turned = np.isfinite(members) & (members > 0) & (begins_dearer != pays_above)
    return _with_ends(plain, members, turned, pays_above)


def _first_volumes(pair: Pair, worth: Number) -> Array:
    return first_volumes(lambda cords: pair.extra_cash_at(cords) - worth, least=LEAST_CORDS, most=MOST_CORDS)


def _at_no_volume(pair: Pair, worth: Number, at_least: float, parts: Sequence[Part]) -> Said:
    """Why there is no break-even volume, and in what share of the draws."""
    if at_least == 0:
        is_same = pair.extra_cash_at(LEAST_CORDS) - worth == 0
        return pair.as_things_stand(said(Reason.SAME_AT_ANY_VOLUME), is_same, parts)
    why, volume = (Reason.NEVER_PAYS, math.inf) if at_least > 0 else (Reason.PAYS_AT_ANY_VOLUME, 0.0)
    return pair.as_things_stand(said(why), _first_volumes(pair, worth) == volume, parts)


def _with_ends(plain: Figure, volumes: Array, turned: npt.NDArray[np.bool_], pays_above: bool) -> Figure:
    """Ends of a volume, and in what share of the draws there is none."""
    never, always, other = map(percent_of_draws, (volumes == math.inf, volumes == 0.0, turned))
    if other > 100 * (1 - level()) / 2:
        return replace(plain, reason=said(Reason.MAY_PAY_ON_OTHER_SIDE, other=other, never=never, always=always))
    members = volumes
    if not pays_above:  # it pays below the volume, which is infinite where it always pays and 0 where it never does
        members = np.where(volumes == math.inf, 0.0, np.where(volumes == 0.0, math.inf, volumes))
    low, high = ends(members)
    has_never, has_always = (high == math.inf, low == 0.0) if pays_above else (low == 0.0, high == math.inf)
    why = None
    if has_never and has_always:
        why = said(Reason.MAY_PAY_NEVER_OR_AT_ANY_VOLUME, never=never, always=always)
    elif has_never:
        why = said(Reason.MAY_NEVER_PAY, percent=never)
    elif has_always:
        why = said(Reason.MAY_PAY_AT_ANY_VOLUME, percent=always)
    cord_m3 = value("cord.volume_m3")
    return replace(
        plain,
        # An end may be infinite or 0: nearly all draws then have no such volume.
        low=low * cord_m3 if 0 < low < math.inf else None,
        high=high * cord_m3 if 0 < high < math.inf else None,
        reason=why,
        members=np.append(plain.value or 0.0, members[1:] * cord_m3),
    )


def _verdict(pair: Pair, volume: Figure) -> Said:
    """Whether the quicker is better by both, else the side of the volume on which it pays; payback ranks nothing."""
    hours, cash = pair.hours_saved, pair.extra_cash
    if nominal(hours) <= 0:
        return pair.as_things_stand(said(Pays.NO_HOUR_SAVED), np.asarray(hours) <= 0, HOURS)
    if nominal(cash) <= 0:
        is_better = (np.asarray(hours) > 0) & (np.asarray(cash) <= 0)
        return pair.as_things_stand(said(Pays.BETTER_BY_BOTH), is_better, CASH_AND_HOURS)
    if volume.value is None or not isinstance(volume.basis, Said):
        by_hours, in_draws = said(Pays.BY_HOURS_ALONE), dict(volume.why.facts)
        return said(volume.why.id, **{**in_draws, "what": by_hours}) if "what" in in_draws else by_hours
    return said(PAYS[volume.basis.id], **dict(volume.basis.facts))


def payback_row(pair: Pair) -> Row:
    """When the tools still to buy have paid for themselves."""
    quick, slow = pair.quick.drawn, pair.slow.drawn
    hours_saved = pair.figure(pair.hours_saved * pair.cords, HOURS, exact=None)
    row = partial(Row, **_names(pair), hours_saved_per_year=hours_saved)
    why = pair.why_no_cash
    if why is not None:
        return row(**dict.fromkeys(OF_PAYBACK, why))
    no_value = pair.why_no_time
    outlay = _to_buy(quick.inputs, slow.inputs) - _to_buy(slow.inputs, quick.inputs)
    saved = pair.cords * (slow.money.running - quick.money.running)
    of_hours = pair.cords * pair.hours_saved * pair.worth
    life = _life_of_bought(pair)

    def payback(rate_frac: Number, saved_per_year: Number, parts: Sequence[Part] = CASH_PARTS) -> Figure:
        if nominal(outlay) <= 0:
            return not_given(as_things_stand(NOTHING_TO_BUY, np.asarray(outlay) <= 0))
        years = payback_years(outlay=np.maximum(0.0, outlay), saved_per_year=saved_per_year, rate_frac=rate_frac)
        return _payback(pair, np.minimum(years, NEVER), life, parts)

    rate = quick.inputs.rate_frac
    return row(
        outlay=replace(drawn(outlay, exact=NOTHING_TO_BUY), basis=_why_to_buy(pair)),
        cash_saved_per_year=pair.figure(saved),
        cash_simple=payback(0.0, saved),
        cash_discounted=payback(rate, saved),
        time_simple=no_value or payback(0.0, saved + of_hours, CASH_AND_HOURS),
        time_discounted=no_value or payback(rate, saved + of_hours, CASH_AND_HOURS),
    )


def _bought(inputs: MethodInputs, other: MethodInputs) -> list[int]:
    """Places of the tools to pay for that a method has and the other has not."""
    shared = {tool.name for tool in other.tools}
    return [i for i, tool in enumerate(inputs.tools) if tool.name not in shared and not tool.is_owned]


def _to_buy(inputs: MethodInputs, other: MethodInputs) -> Number:
    return total(inputs.tools[i].own_price for i in _bought(inputs, other))


def _why_to_buy(pair: Pair) -> Said | None:
    """Why tools are in the outlay that are not noted as still to buy."""
    both = pair.quick.plain.numbers, pair.slow.plain.numbers
    names: dict[Said, list[str]] = {}
    for numbers, other in (both, both[::-1]):
        for tool in (numbers.tools[i].tool for i in _bought(numbers.inputs, other.inputs)):
            if tool.held != "to buy":
                names.setdefault(still_to_buy(tool), []).append(tool.name)
    return several([said(Basis.STILL_TO_BUY, why=why, tools=tuple(tools)) for why, tools in names.items()])


def _life_of_bought(pair: Pair) -> float:
    """Longest life among the tools to buy: what is not paid back by then never is."""
    quick = pair.quick.drawn
    lives = [quick.money.tools[i].life_years for i in _bought(quick.inputs, pair.slow.drawn.inputs)]
    return max((nominal(life) for life in lives if life is not None), default=0.0)


def _payback(pair: Pair, years: Number, life_years: float, parts: Sequence[Part]) -> Figure:
    is_late = np.asarray(years) > life_years
    if nominal(years) > life_years:
        why = said(Reason.NEVER) if nominal(years) == NEVER else said(Reason.NOT_WITHIN_LIFE, years=life_years)
        return not_given(pair.as_things_stand(why, is_late, parts))
    figure = pair.figure(years, parts)
    if figure.high is None or figure.high <= life_years:
        return figure
    return replace(figure, high=None, reason=said(Reason.MAY_NOT_BE_PAID_BACK, percent=percent_of_draws(is_late)))
