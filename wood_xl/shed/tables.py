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
from wood_xl.shed.dates import day_number, month_of
from wood_xl.shed.stacks import Standing
from wood_xl.shed.stock import Month, Outlook, Stock, outlook, winter_need
from wood_xl.warmth.cord import HeatStudy
from wood_xl.warmth.doubt import figure_of
from wood_xl.wood.geometry import cords

TABLES_OF_ALL = ("stock_by_dryness", "stock_months", "stock_winters")  # of all stacks together
FIGURES_OF_STACK = ("made", "burned", "standing", "dry_now", "dry_next_winter", "heat")


class Woodshed(NamedTuple):
    """Tables and remarks of the woodshed."""

    tables: dict[str, Sequence[Row]]
    remarks: list[Remark]
    standing_m3: float  # dry wood for the winter that new wood is for


def woodshed_tables(stock: Stock, season: Season, heat: HeatStudy, winter: Sequence[Row]) -> Woodshed:
    """Tables and remarks of the woodshed; empty tables if nothing stands in it."""
    stacks = [_stack_row(standing, stock) for standing in stock.stacks]
    tables: dict[str, Sequence[Row]] = {"stock": stacks, **dict.fromkeys(TABLES_OF_ALL, ())}
    remarks: list[Remark] = [
        ("stack-burned-over", RowCell("woodshed.burned", standing.stack.name), {"found": standing.stack.name})
        for standing in stock.withheld
        if standing.why == said(Reason.BURNED_MORE_THAN_HELD)
    ]
    if not stock.known:
        return Woodshed(tables, remarks, 0.0)
    need = winter_need(winter)
    need_m3: Number = 0.0 if need.value is None else need.number * value("cord.volume_m3")
    ahead = outlook(stock, season, heat, need_m3)
    tables |= {
        "stock_by_dryness": _by_dryness(stock, ahead),
        "stock_months": [_month_row(month, need) for month in ahead.months],
        "stock_winters": list(_winter_rows(stock, ahead, need)),
    }
    winter_m3 = 0.0
    if need.value is not None and not isinstance(ahead.new_winter, Said):
        winter_m3 = nominal(need_m3) - nominal(ahead.winters[-1].lacking_m3)
    return Woodshed(tables, remarks, winter_m3)


def _stack_row(standing: Standing, stock: Stock) -> Row:
    stack, why = standing.stack, standing.why
    moisture = not_given(why or said(Reason.NOT_MEASURED))
    if stack.readings and why is None:
        reading = stack.readings[-1]
        moisture = Figure(100 * reading.moisture_wet_frac, said(Stocked.READ_ON, day=reading.day))
    species = stack.kind or ("" if isinstance(standing.kind, Said) else standing.kind.name)
    row = Row(stack=stack.name, species=species, stacked_on=standing.stacked_on, moisture=moisture)
    if why is not None:
        return Row(row, dry_from="", **dict.fromkeys(FIGURES_OF_STACK, not_given(why)))
    mj = _heat_mj(standing, standing.left_m3)
    return Row(
        row,
        made=Figure(standing.made_m3),
        burned=Figure(standing.burned_m3),
        standing=Figure(standing.left_m3),
        dry_from="" if isinstance(standing.dry_on, Said) else month_of(standing.dry_on),
        dry_now=_percent_dry(standing, stock.now),
        dry_next_winter=_percent_dry(standing, stock.winter),
        heat=not_given(mj) if isinstance(mj, Said) else figure_of(mj),
    )


def _percent_dry(standing: Standing, day: str) -> Figure:
    """Percent of the draws in which a stack is dry on a day."""
    if isinstance(standing.dry_on, Said):
        return not_given(standing.dry_on)
    return Figure(percent_of_draws(standing.is_dry_on(day_number(day))), standing.basis)


def _heat_mj(standing: Standing, volume_m3: Number) -> Number | Said:
    """Net heat of a volume of a stack once it is dry enough to burn."""
    if isinstance(standing.kind, Said):
        return standing.kind
    moisture = value("seasoning.target") / 100
    if standing.stack.readings:
        moisture = min(moisture, standing.stack.readings[-1].moisture_wet_frac)
    return cords(1.0) * volume_m3 * standing.kind.cord(moisture).net_mj


def _by_dryness(stock: Stock, ahead: Outlook) -> list[Row]:
    rows = []
    left_now: tuple[Number, ...] = tuple(stack.left_m3 for stack in stock.known)
    for at, day, left in (
        (Stocked.NOW, stock.now, left_now),
        (Stocked.NEXT_WINTER, stock.winter, ahead.at(stock.winter).left_m3),
    ):
        masks = [stack.is_dry_on(day_number(day)) for stack in stock.known]
        dry = [np.where(mask, part, 0.0) for mask, part in zip(masks, left, strict=True)]
        rows.append(
            Row(
                at=at,
                day=day,
                dry=_sum(dry, stock),
                not_dry=_sum([part - dry_part for part, dry_part in zip(left, dry, strict=True)], stock),
                dry_heat=_sum_of_heat(stock, dry),
                all_heat=_sum_of_heat(stock, left),
            )
        )
    return rows


def _without(stock: Stock) -> Said | None:
    names = tuple(standing.stack.name for standing in stock.withheld)
    return said(Stocked.WITHOUT, stacks=names) if names else None


def _sum(parts: Sequence[Number], stock: Stock) -> Figure:
    return figure_of(total(parts), _without(stock))


def _sum_of_heat(stock: Stock, volumes: Sequence[Number]) -> Figure:
    parts = []
    for stack, volume in zip(stock.known, volumes, strict=True):
        mj = _heat_mj(stack, volume) if np.any(volume) else 0.0
        if isinstance(mj, Said):
            return not_given(mj)
        parts.append(mj)
    return figure_of(total(parts), _without(stock))


def _month_row(month: Month, need: Figure) -> Row:
    dry = month.dry_m3
    row = Row(month=month.month, dry=figure_of(dry), not_dry=figure_of(total(month.left_m3) - dry))
    if need.value is None:
        return Row(row, need=not_given(need.why), lacking=not_given(need.why))
    return Row(row, need=figure_of(month.need_m3), lacking=figure_of(month.lacking_m3))


def _winter_rows(stock: Stock, ahead: Outlook, need: Figure) -> Iterator[Row]:
    """The last winter, then each winter ahead."""
    burned, without = stock.burned_last_winter_m3(), _without(stock)
    yield Row(
        winter=stock.last_winter[0],
        burned=not_given(burned) if isinstance(burned, Said) else Figure(burned),
        **dict.fromkeys(("need", "dry", "covered", "lacking"), not_given(said(Reason.WINTER_OVER))),
        met_until="",
        in_time=(),
        made_on="",
    )
    for winter in ahead.winters:
        coverage = dict.fromkeys(("need", "covered", "lacking"), not_given(need.why))
        if need.value is not None:
            percent = 100 * (1 - winter.lacking_m3 / winter.need_m3)
            numbers = {"need": winter.need_m3, "covered": percent, "lacking": winter.lacking_m3}
            coverage = {key: figure_of(number, without) for key, number in numbers.items()}
        yield Row(
            winter=winter.first_day,
            burned=not_given(said(Reason.WINTER_TO_COME)),
            dry=figure_of(winter.dry_m3, without),
            **coverage,
            met_until=winter.met_until if need.value else "",
            in_time=winter.in_time,
            made_on=ahead.made_on,
        )
