"""Wood that is bought split and dumped at the door, beside the whole job done by oneself."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from wood_xl.data.trade import tasks
from wood_xl.draws.figure import (
    Figure,
    TableRow,
    as_things_stand,
    drawn,
    is_of_unknown_doubt,
    not_given,
    sum_of,
)
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.hours.sessions import needs
from wood_xl.ids import Input
from wood_xl.money.break_even import price_of_hour
from wood_xl.money.ranges import price_members
from wood_xl.reasons import Basis, Reason, Said, Word, said
from wood_xl.verdicts import HourWorth

PRICE_ITEM = "bought_cord_price"


@dataclass(frozen=True, eq=False)
class BoughtWoodRow(TableRow):
    """A bought cord against one way of doing the whole job; what is left to do is left in both."""

    table: ClassVar[str] = "bought_wood"
    best_for: Word
    methods: tuple[str, ...]
    cash: Figure
    hours_left: Figure
    hours_saved: Figure
    cash_more: Figure
    per_hour: Figure
    kcal_net: Figure
    co2e: Figure
    words: Said | None


def bought_wood_rows(rates: SeasonRates, jobs: Mapping[Word, tuple[str, ...] | Said]) -> list[BoughtWoodRow]:
    """One row for each way of doing the whole job; none if bought wood has no price.

    jobs: what a way is best for: its methods, one for each task, or why it has none.
    """
    season = rates.study.season
    price = season.bought_cord_price_per_cord
    if PRICE_ITEM in season.broken:
        bought = not_given(needs(season.broken[PRICE_ITEM]))
    elif price is None:
        return []
    else:
        bought = drawn(price_members(said(Input.PRICE_OF_BOUGHT_CORD), price, rates.design))
    return [_row(rates, best_for, job, bought) for best_for, job in jobs.items()]


def _row(rates: SeasonRates, best_for: Word, job: tuple[str, ...] | Said, bought: Figure) -> BoughtWoodRow:
    hours_left, hours_saved, own_cash = _left_and_saved(rates, job)
    cash_more = sum_of({"bought": bought, "own": own_cash}, {"bought": 1.0, "own": -1.0}, lambda _, one: one.why)
    per_hour = price_of_hour(cash_more, hours_saved)
    not_known = not_given(said(Reason.NOT_KNOWN_OF_BOUGHT))
    return BoughtWoodRow(
        best_for=best_for,
        methods=() if isinstance(job, Said) else job,
        cash=bought,
        hours_left=hours_left,
        hours_saved=hours_saved,
        cash_more=cash_more,
        per_hour=per_hour,
        kcal_net=not_known,
        co2e=not_known,
        words=_worth(per_hour, rates.study.season.value_of_time_per_h),
    )


def _left_and_saved(rates: SeasonRates, job: tuple[str, ...] | Said) -> tuple[Figure, Figure, Figure]:
    """Hours still to do with bought wood, and hours and cash that it saves."""
    if isinstance(job, Said):
        return not_given(job), not_given(job), not_given(job)
    left = {totals.method.name for totals in rates.study.totals if tasks()[totals.method.task].is_left_when_bought}
    to_do, saved = [name for name in job if name in left], [name for name in job if name not in left]
    hours_left = _sum_of(rates, to_do, "worker_hours") if to_do else Figure(0.0, said(Basis.NOTHING_LEFT_TIMED))
    return hours_left, _sum_of(rates, saved, "worker_hours"), _sum_of(rates, saved, "cash")


def _sum_of(rates: SeasonRates, methods: Sequence[str], figure_id: str) -> Figure:
    totals = {one.method.name: one for one in rates.study.totals}
    figures = {name: rates.figure(totals[name], figure_id) for name in methods}
    return sum_of(figures, dict.fromkeys(methods, 1.0), _of_method)


def _of_method(name: str, figure: Figure) -> Said:
    return said(Reason.OF_METHOD, method=name, why=figure.why)


def _worth(per_hour: Figure, value_of_time: float | None) -> Said | None:
    """Whether buying pays, and in how many of the draws."""
    if per_hour.value is None:
        return None
    if value_of_time is None:
        return said(HourWorth.IF_WORTH_MORE)
    pays = per_hour.value < value_of_time
    agrees = (np.asarray(per_hour.number) < value_of_time) == pays
    what = said(HourWorth.PAYS if pays else HourWorth.DOES_NOT_PAY)
    return as_things_stand(what, None if is_of_unknown_doubt(per_hour) else agrees)
