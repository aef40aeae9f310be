"""Wood that is bought split and dumped at the door, beside the whole job done by oneself."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

from wood_xl.data.trade import tasks
from wood_xl.draws.figure import Figure, TableRow, drawn, not_given, sum_of
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.hours.sessions import needs
from wood_xl.ids import Input
from wood_xl.money.break_even import price_of_saved
from wood_xl.money.ranges import price_members
from wood_xl.reasons import Basis, Reason, Said, said
from wood_xl.verdicts import HourWorth

PRICE_ITEM = "bought_cord_price"


@dataclass(frozen=True, eq=False)
class BoughtWoodRow(TableRow):
    """A bought cord against one way of doing the whole job; what is left to do is left in both."""

    table: ClassVar[str] = "bought_wood"
    methods: tuple[str, ...]
    cash: Figure
    hours_left: Figure
    hours_saved: Figure
    cash_more: Figure
    per_hour: Figure
    kcal_net: Figure
    co2e: Figure
    words: HourWorth | None


def bought_wood_rows(rates: SeasonRates, jobs: Iterable[tuple[str, ...]]) -> list[BoughtWoodRow]:
    """One row for each way of doing the whole job, the cheapest first; none if bought wood has no price.

    jobs: the methods of each way, one for each task.
    """
    season = rates.study.season
    price = season.bought_cord_price_per_cord
    if PRICE_ITEM in season.broken:
        bought = not_given(needs(season.broken[PRICE_ITEM]))
    elif price is None:
        return []
    else:
        bought = drawn(price_members(said(Input.PRICE_OF_BOUGHT_CORD), price, rates.design))
    left = {totals.method.name for totals in rates.study.totals if tasks()[totals.method.task].is_left_when_bought}
    own_cash = [(job, _sum_of(rates, [name for name in job if name not in left], "cash")) for job in jobs]
    own_cash.sort(key=lambda one: math.inf if one[1].value is None else one[1].value)
    return [_row(rates, job, left, bought, own) for job, own in own_cash]


def _row(rates: SeasonRates, job: tuple[str, ...], left: set[str], bought: Figure, own_cash: Figure) -> BoughtWoodRow:
    to_do = [name for name in job if name in left]
    hours_left = _sum_of(rates, to_do, "worker_hours") if to_do else Figure(0.0, said(Basis.NOTHING_LEFT_TIMED))
    hours_saved = _sum_of(rates, [name for name in job if name not in left], "worker_hours")
    cash_more = sum_of({"bought": bought, "own": own_cash}, {"bought": 1.0, "own": -1.0}, lambda _, one: one.why)
    per_hour = _per_hour(cash_more, hours_saved)
    not_known = not_given(said(Reason.NOT_KNOWN_OF_BOUGHT))
    return BoughtWoodRow(
        methods=job,
        cash=bought,
        hours_left=hours_left,
        hours_saved=hours_saved,
        cash_more=cash_more,
        per_hour=per_hour,
        kcal_net=not_known,
        co2e=not_known,
        words=_worth(per_hour.value, rates.study.season.value_of_time_per_h),
    )


def _sum_of(rates: SeasonRates, methods: Sequence[str], figure_id: str) -> Figure:
    totals = {one.method.name: one for one in rates.study.totals}
    figures = {name: rates.figure(totals[name], figure_id) for name in methods}
    return sum_of(figures, dict.fromkeys(methods, 1.0), _of_method)


def _of_method(name: str, figure: Figure) -> Said:
    return said(Reason.OF_METHOD, method=name, why=figure.why)


def _per_hour(cash_more: Figure, hours_saved: Figure) -> Figure:
    """What an hour costs that is saved by buying."""
    price = price_of_saved(cash_more, hours_saved, none=Reason.SAVES_NO_HOUR, maybe=Reason.MAY_SAVE_NO_HOUR)
    return replace(price, basis=said(Basis.SAVES_BOTH)) if (price.value or 0.0) < 0 else price


def _worth(per_hour: float | None, value_of_time: float | None) -> HourWorth | None:
    if per_hour is None:
        return None
    if value_of_time is None:
        return HourWorth.IF_WORTH_MORE
    return HourWorth.PAYS if per_hour < value_of_time else HourWorth.DOES_NOT_PAY
