"""Where a plan departs from the verdicts, why, and at what cost; and what the quickest methods would take."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from wood_xl.choice.verdicts import ranged
from wood_xl.draws.figure import with_more
from wood_xl.plan.aims import Aim
from wood_xl.plan.inputs import FIGURE_OF, PlanInputs
from wood_xl.plan.plan import DAYS, DUST, Plan
from wood_xl.reasons import Listing, Said, given, is_said, said
from wood_xl.verdicts import Departs, Kind, NotPlanned

LEFT_TO_THE_HOUR = (Kind.DEPENDS, Kind.NOBODY_MAY)


def departures(inputs: PlanInputs, plan: Plan, absent: Sequence[str]) -> Said | None:
    """Sentences on each task that is not planned, or not wholly by the method of its verdict."""
    if not plan.by_method:
        return None
    parts = [part for aim in inputs.aims.values() for part in _departure(inputs, plan, aim)]
    parts += [said(Departs.WAITS, task=aim.choice.name, cells=aim.cells) for aim in inputs.waiting]
    parts = parts or [said(Departs.NOWHERE)]
    parts += [said(Departs.NOT_TIMED, tasks=tuple(absent))] if absent else []
    return said(Listing.SENTENCES, parts=tuple(parts))


def _departure(inputs: PlanInputs, plan: Plan, aim: Aim) -> Iterator[Said]:
    made = {name: n for name, n in plan.by_method.items() if inputs.task_of(name) == aim.task}
    others = {name: n for name, n in made.items() if name != aim.method and n > DUST * plan.cords}
    if not others:
        if aim.verdict.choice is None and made and len(aim.free) > 1 and aim.choice.values.hour is not None:
            yield said(Departs.OPEN, task=aim.choice.name, method=aim.method)
        return
    facts = {"task": aim.choice.name, "method": aim.method, "others": tuple(others), "all": sum(made.values())}
    if aim.method in made:
        yield said(Departs.PART, cords=sum(others.values()), **facts)
    else:
        yield said(Departs.WHOLE, **facts)
    if others.keys() <= inputs.only_tried(plan.by_method):
        yield said(Departs.TRIAL_DAYS)
    else:
        yield _why(inputs, plan, aim, others)
        tried = sum(inputs.tried.get(name, 0.0) for name in others)
        if tried:
            yield said(Departs.TRIAL_DAYS_TAKE, cords=tried)
    more = with_more(aim.more(others), inputs.rent_more(plan.by_method, plan.visits, others))
    if more.value is None:
        yield said(Departs.COST_NOT_KNOWN)
    elif more.value > 0:
        is_cash = not aim.hour and not aim.choice.values.is_more_than_cash
        how = Departs.COSTS_CASH if is_cash else Departs.COSTS
        yield said(how, more=ranged(more), currency=aim.choice.currency)
    else:
        yield said(Departs.COSTS_NO_MORE)


def _why(inputs: PlanInputs, plan: Plan, aim: Aim, others: Mapping[str, float]) -> Said:
    if aim.method not in {crew.method for crew in inputs.eligible}:
        why = inputs.without_figure.get(aim.method) or said(NotPlanned.OVER_CASH_LIMIT)
        return said(Departs.LEFT_OUT, method=aim.method, why=why)
    workers = {person for crew in inputs.crews if crew.method == aim.method for person in crew.crew.people}
    tight = [one for one in plan.tight if not is_said(one, *DAYS) or one["person"] in workers]
    causes = [one for one in tight if any(_takes(inputs, aim.method, one) > _takes(inputs, n, one) for n in others)]
    return said(Departs.LIMITS, limits=tuple(causes or tight or plan.tight))


def _takes(inputs: PlanInputs, method: str, limit: Said) -> float:
    return given(inputs.rate(method, FIGURE_OF.get(limit, "worker_hours")))


def by_the_quickest(inputs: PlanInputs) -> Said | None:
    """What the quickest method would take, where no value of an hour decides against the cheapest."""
    parts: list[Said] = []
    for aim in inputs.aims.values():
        is_left_open = aim.verdict.kind in LEFT_TO_THE_HOUR and aim.verdict.choice is None
        if aim.choice.values.hour is not None or not is_left_open or aim.edge is None:
            continue
        quick, cords = aim.edge.quickest, inputs.cords
        less = inputs.sum_figure({aim.method: cords, quick.name: -cords}, "worker_hours")
        more = inputs.sum_figure({quick.name: cords, aim.method: -cords}, "cash")
        if quick.name == aim.method or less.value is None or more.value is None:
            continue
        facts = {"task": aim.choice.name, "quick": quick.name, "cheap": aim.method, "currency": aim.choice.currency}
        how = Departs.QUICKEST if more.value > 0 else Departs.QUICKEST_COSTS_NO_MORE
        parts.append(said(how, cords=cords, hours=ranged(less), cash=ranged(more), **facts))
        parts += aim.choice.buying(quick)
    return said(Listing.SENTENCES, parts=tuple(parts)) if parts else None
