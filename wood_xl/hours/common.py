"""Doubt that figures of several methods share, as terms with powers of shared factors.

Each factor has one identity: one tape measured all wood, one usual solid fraction turned sticks into stacks, one
person's heart rate stood for energy. Such doubt widens each figure and cancels between two methods that share it.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from wood_xl.body.effort import WorkerEffort
from wood_xl.data.load import constant, constants, value
from wood_xl.draws.ensemble import WORLDS, Design
from wood_xl.draws.figure import Figure, with_draws
from wood_xl.draws.inputs import range_spread
from wood_xl.draws.normal import Array
from wood_xl.draws.shared_factors import Term, common_draws
from wood_xl.hours.methods import MethodTotals
from wood_xl.hours.sessions import SessionFigures
from wood_xl.ids import Input, Measured, Phrase
from wood_xl.reasons import Key, Named, Said, said
from wood_xl.records import Season, StackForm, Worker
from wood_xl.wood.amounts import SessionQuantity, reference_form

Measure = Literal["cords", "stacked_m3", "solid_m3", "sawn_area_m2"]

NAMED = 2  # factors named for a figure; there may be a dozen, and most matter little
TAPE = said(Input.TAPE)
EQUATIONS = {
    "heart rate and VO2max": Input.EQUATION_WITH_VO2MAX,
    "reserve": Input.RESERVE,
    "heart rate": Input.EQUATION,
}
TAPE_POWERS: dict[Measure, float] = {"cords": 3.0, "stacked_m3": 3.0, "solid_m3": 3.0, "sawn_area_m2": 2.0}
STACKED: tuple[Measure, ...] = ("cords", "stacked_m3")


@dataclass(frozen=True)
class Common:
    """Terms of one figure, and the relative standard uncertainty of each shared factor in them."""

    terms: list[Term]
    spreads: dict[Key, float]

    def members(self, design: Design) -> Array:
        """The figure by all members of a design."""
        return common_draws(terms=self.terms, spreads=self.spreads, design=design)

    def figure(self, plain: Figure) -> Figure:
        """A figure in which only the shared factors are in doubt."""
        return with_draws(plain, self.members(WORLDS) if self.spreads else plain.value or 0.0).let_go()


def input_named(key: Key) -> Key:
    """Name of an input by its key: the key itself, or the title of a published constant.

    >>> input_named("co2.gasoline")
    'CO2 of burning motor gasoline'
    """
    return constants()[key].title if isinstance(key, str) else key


def effort_in_common(totals: MethodTotals, season: Season, *, is_net: bool) -> Common:
    """Energy for a cord; the heart rate or table behind each part is in doubt, and so is the wood."""
    efforts = [one for session in totals.counted for one in session.efforts]
    powers, spreads = volume_in_common(quantities_of([totals]), season, "cords", power=-1.0)
    energy = energy_in_common(efforts, is_net=is_net)
    terms = [Term(term.value / totals.cords, {**powers, **term.powers}) for term in energy.terms]
    return Common(terms, spreads | energy.spreads)


def energy_in_common(efforts: Iterable[tuple[Worker, WorkerEffort | Said]], *, is_net: bool) -> Common:
    """Energy of several workers' parts, each with the doubt of its own basis.

        sum over parts of gross kcal * factor of the heart rate or table * factor of the equation, less rest
        spread of a factor = sum of gross kcal * u / sum of gross kcal,   over the parts that depend on it

    A heart rate has the same error in every equation: all parts by one person's heart rate share a factor with the
    doubt of the basis. Disagreement between bases is a factor of one equation and person. Rest is in no doubt.

    Source: how_sure_defaults, shared factors; disagreement of bases.
    """
    parts: dict[tuple[Key, ...], list[float]] = defaultdict(list)
    doubts: dict[Key, list[tuple[float, float]]] = defaultdict(list)
    rest = []
    for worker, effort in efforts:
        if isinstance(effort, Said) or not effort.kcal_gross:
            continue
        own = _doubts(worker, effort)
        parts[tuple(own)].append(effort.kcal_gross)
        for key, u_frac in own.items():
            doubts[key].append((effort.kcal_gross, u_frac))
        rest.append(effort.kcal_gross - effort.kcal_net)
    terms = [Term(math.fsum(kcal), dict.fromkeys(keys, 1.0)) for keys, kcal in parts.items()]
    if is_net:
        terms.append(Term(-math.fsum(rest), {}))
    return Common(terms, {key: _mean_doubt(weighed) for key, weighed in doubts.items()})


def amount_of(quantity: SessionQuantity, per: Measure) -> float:
    """Wood of a session in one of its measures."""
    return float(getattr(quantity, per))


def amount_in(totals: MethodTotals, per: Measure) -> float:
    """Wood of a method in one of its measures."""
    return math.fsum(amount_of(quantity, per) for quantity in quantities_of([totals]))


def wood_of(sessions: Iterable[SessionFigures]) -> list[float]:
    """Cords of each session that has wood."""
    return [session.quantity.cords for session in sessions if session.quantity is not None]


def _doubts(worker: Worker, effort: WorkerEffort) -> dict[Key, float]:
    """Doubt of each factor from work to energy: heart rate and equation of a person, or the activity table."""
    if effort.method == "table":
        activity = Named(f"activity.{effort.activity.code}", effort.activity.label)
        return {said(Input.TABLE, activity=activity): effort.u_frac}
    who: Named | Phrase = Phrase.A_WORKER
    if worker.person is not None and worker.number is not None:
        who = Named(f"workers.{worker.number}", worker.person)
    return {
        said(Input.HEART_RATE, who=who): effort.u_basis_frac,
        said(EQUATIONS[effort.method], who=who): effort.u_disagreement_frac,
    }


def _mean_doubt(weighed: Sequence[tuple[float, float]]) -> float:
    return math.fsum(kcal * u_frac for kcal, u_frac in weighed) / math.fsum(kcal for kcal, _ in weighed)


def drawn_wood(
    quantities: Sequence[SessionQuantity],
    season: Season,
    per: Measure,
    *,
    power: float = 1.0,
    design: Design = WORLDS,
) -> Array:
    """Members of some wood over its value, to a power: -1 for what is counted for a unit of it."""
    powers, spreads = volume_in_common(quantities, season, per, power=power)
    return common_draws(terms=[Term(1.0, powers)], spreads=spreads, design=design)


def volume_in_common(
    quantities: Sequence[SessionQuantity], season: Season, per: Measure, *, power: float = 1.0
) -> tuple[dict[Key, float], dict[Key, float]]:
    """Powers of the shared factors in a power of an amount of wood, and their doubt."""
    powers: dict[Key, float] = {TAPE: TAPE_POWERS[per]}
    spreads: dict[Key, float] = {TAPE: value("tape.scale_u") / 100}
    of_fraction, usual = power_of_fraction(quantities, per), usual_fraction(season)
    if of_fraction and usual is not None:
        powers[usual[0]], spreads[usual[0]] = of_fraction, usual[1]
    for form, share in _turned_shares(quantities, per).items():
        key, published = said(Input.STACK_FORM, form=form), constant(f"solid_fraction.{form}")
        if published.low and published.high:
            powers[key], spreads[key] = share, range_spread(math.log(published.high / published.low))
    return {key: power * own for key, own in powers.items()}, spreads


def _turned_shares(quantities: Sequence[SessionQuantity], per: Measure) -> dict[StackForm, float]:
    """Share of some wood that depends on converting crossed or loose stacks to ranked wood, by form of stack.

    Solid wood by such a lot's own fraction does not: the conversion cancels.
    """
    turned: dict[StackForm, float] = {}
    for q in quantities:
        if per in STACKED or (q.measured is Measured.STACKS and q.is_by_usual_fraction):
            for form, volume_m3 in q.turned_m3.items():
                turned[form] = turned.get(form, 0.0) + volume_m3 / q.stacked_m3 * amount_of(q, per)
    whole = math.fsum(amount_of(q, per) for q in quantities)
    return {form: part / whole for form, part in turned.items()}


def quantities_of(all_totals: Iterable[MethodTotals]) -> list[SessionQuantity]:
    """Wood of all counted sessions of some methods."""
    return [s.quantity for totals in all_totals for s in totals.counted if s.quantity is not None]


def usual_fraction(season: Season) -> tuple[Key, float] | None:
    """Key of the usual solid fraction and its relative standard uncertainty; None if the season writes its own."""
    if season.solid_fraction is not None:
        return None
    form = reference_form(season)
    spread = value("solid_fraction.sd") / value(f"solid_fraction.{form.replace(' ', '_')}")
    return said(Input.SOLID_FRACTION, form=form), spread


def power_of_fraction(quantities: Sequence[SessionQuantity], per: Measure) -> float:
    """Power of the usual solid fraction in some wood: the share of it that was converted by that fraction."""
    turned = [q for q in quantities if q.is_by_usual_fraction and (q.measured is Measured.CUTS) == (per in STACKED)]
    share = math.fsum(amount_of(q, per) for q in turned) / math.fsum(amount_of(q, per) for q in quantities)
    return -share if per in STACKED else share
