"""Tables of the woodshed: each stack, the stock by dryness, the months ahead, and the winters."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from wood_xl.data.load import value
from wood_xl.draws.ensemble import Number, nominal, total
from wood_xl.draws.figure import Figure, Row, not_given, percent_of_draws
from wood_xl.reasons import Reason, Remark, RowCell, Said, Stocked, said
from wood_xl.records import Season
from wood_xl.shed.dates import day_number, last_winter, month_of
from wood_xl.shed.stacks import Standing
from wood_xl.shed.stock import Month, Outlook, Stock, outlook, winter_need
from wood_xl.warmth.cord import HeatStudy
from wood_xl.warmth.doubt import figure_of
from wood_xl.wood.geometry import cords

WHOLE = 100.0  # per cent
OF_THE_WHOLE = ("stock_by_dryness", "stock_months", "stock_winters")  # tables of all stacks together
OF_A_STACK = ("made", "burned", "standing", "dry_now", "dry_next_winter", "heat")


class Woodshed(NamedTuple):
    """The tables, what was found on the way, and what stands dry for the winter of new wood [stacked m3]."""

    tables: dict[str, Sequence[Row]]
    remarks: list[Remark]
    standing_m3: float


def woodshed_tables(stock: Stock, season: Season, heat: HeatStudy, winter: Sequence[Row]) -> Woodshed:
    """Everything about the woodshed; empty tables if nothing stands in it."""
    stacks = [_stack_row(one, stock) for one in stock.stacks]
    tables: dict[str, Sequence[Row]] = {"stock": stacks, **dict.fromkeys(OF_THE_WHOLE, ())}
    remarks: list[Remark] = [
        ("stack-burned-over", RowCell("woodshed.burned", one.stack.name), {"found": one.stack.name})
        for one in stock.withheld
        if one.why == said(Reason.BURNED_MORE_THAN_HELD)
    ]
    if not stock.known:
        return Woodshed(tables, remarks, 0.0)
    need = winter_need(winter)
    need_m3: Number = 0.0 if need.value is None else need.number * value("cord.volume_m3")
    ahead = outlook(stock, season, heat, need_m3)
    tables |= {
        "stock_by_dryness": _by_dryness(stock, ahead),
        "stock_months": [_month_row(one, need) for one in ahead.months],
        "stock_winters": list(_winter_rows(stock, ahead, need)),
    }
    is_told = need.value is not None and not isinstance(ahead.new_winter, Said)
    left = nominal(need_m3) - nominal(ahead.winters[-1].lacking_m3) if is_told else 0.0
    return Woodshed(tables, remarks, left)


def _stack_row(one: Standing, stock: Stock) -> Row:
    species = one.stack.kind or ("" if isinstance(one.kind, Said) else one.kind.name)
    reading = one.stack.readings[-1] if one.stack.readings and one.why is None else None
    moisture = not_given(one.why or said(Reason.NOT_MEASURED))
    if reading is not None:
        moisture = Figure(WHOLE * reading.moisture_wet_frac, said(Stocked.READ_ON, day=reading.day))
    row = Row(stack=one.stack.name, species=species, stacked_on=one.stacked_on, moisture=moisture)
    if one.why is not None:
        return Row(row, dry_from="", **dict.fromkeys(OF_A_STACK, not_given(one.why)))
    mj = _heat_mj(one, one.left_m3)
    return Row(
        row,
        made=Figure(one.made_m3),
        burned=Figure(one.burned_m3),
        standing=Figure(one.left_m3),
        dry_from="" if isinstance(one.dry_on, Said) else month_of(one.dry_on),
        dry_now=_share_dry(one, stock.now),
        dry_next_winter=_share_dry(one, stock.winter),
        heat=not_given(mj) if isinstance(mj, Said) else figure_of(mj),
    )


def _share_dry(one: Standing, day: str) -> Figure:
    if isinstance(one.dry_on, Said):
        return not_given(one.dry_on)
    return Figure(percent_of_draws(one.is_dry_on(day_number(day))), one.basis)


def _heat_mj(one: Standing, volume_m3: Number) -> Number | Said:
    if isinstance(one.kind, Said):
        return one.kind
    moisture = value("seasoning.target") / WHOLE
    if one.stack.readings:
        moisture = min(moisture, one.stack.readings[-1].moisture_wet_frac)
    return cords(1.0) * volume_m3 * one.kind.cord(moisture).net_mj


def _by_dryness(stock: Stock, ahead: Outlook) -> list[Row]:
    rows = []
    for at, day in ((Stocked.NOW, stock.now), (Stocked.NEXT_WINTER, stock.winter)):
        if at is Stocked.NOW:
            left: list[Number] = [one.left_m3 for one in stock.known]
        else:
            left = list(ahead.at(day).left_m3)
        masks = [one.is_dry_on(day_number(day)) for one in stock.known]
        dry = [np.where(mask, part, 0.0) for mask, part in zip(masks, left, strict=True)]
        rows.append(
            Row(
                at=at,
                day=day,
                dry=_sum(dry, stock),
                not_dry=_sum([part - one for part, one in zip(left, dry, strict=True)], stock),
                dry_heat=_sum_of_heat(stock, dry),
                all_heat=_sum_of_heat(stock, left),
            )
        )
    return rows


def _without(stock: Stock) -> Said | None:
    names = tuple(one.stack.name for one in stock.withheld)
    return said(Stocked.WITHOUT, stacks=names) if names else None


def _sum(parts: Sequence[Number], stock: Stock) -> Figure:
    return figure_of(total(parts), _without(stock))


def _sum_of_heat(stock: Stock, volumes: Sequence[Number]) -> Figure:
    parts = []
    for one, volume in zip(stock.known, volumes, strict=True):
        number = _heat_mj(one, volume) if np.any(volume) else 0.0
        if isinstance(number, Said):
            return not_given(number)
        parts.append(number)
    return figure_of(total(parts), _without(stock))


def _month_row(one: Month, need: Figure) -> Row:
    dry = one.dry_m3
    numbers = {"dry": dry, "not_dry": total(one.left_m3) - dry, "need": one.need_m3, "lacking": one.lacking_m3}
    row = Row(month=one.month, **{key: figure_of(number) for key, number in numbers.items()})
    return Row(row, **dict.fromkeys(("need", "lacking"), not_given(need.why))) if need.value is None else row


def _winter_rows(stock: Stock, ahead: Outlook, need: Figure) -> Iterator[Row]:
    burned, without = stock.burned_last_winter_m3(), _without(stock)
    over, to_come = not_given(said(Reason.WINTER_OVER)), not_given(said(Reason.WINTER_TO_COME))
    last = not_given(burned) if isinstance(burned, Said) else Figure(burned)
    is_over = dict.fromkeys(("need", "dry", "covered", "lacking"), over)
    yield Row(winter=last_winter(stock.now)[0], burned=last, **is_over, met_until="", in_time=(), made_on="")
    for one, kinds in zip(ahead.winters, ahead.in_time, strict=True):
        asked = dict.fromkeys(("need", "covered", "lacking"), not_given(need.why))
        if need.value is not None:
            covered = WHOLE * (1 - one.lacking_m3 / one.need_m3)
            numbers = {"need": one.need_m3, "covered": covered, "lacking": one.lacking_m3}
            asked = {key: figure_of(number, without) for key, number in numbers.items()}
        dry, until = figure_of(one.dry_m3, without), one.met_until if need.value else ""
        new = {"in_time": kinds, "made_on": ahead.made_on}
        yield Row(winter=one.first_day, burned=to_come, dry=dry, **asked, met_until=until, **new)
