"""Checks of how tools are owned and paid for, and of prices far from what such things cost.

Usual prices are in liters of gasoline: at a fixed price in a few currencies, in others at the season's own price.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import chain
from typing import NamedTuple

from wood_xl.data.load import constants, is_outside, limits_of, value
from wood_xl.data.trade import ToolKind, tool_kinds
from wood_xl.notes.limits import else_check
from wood_xl.notes.problem import Place, Problem, number_text, problem
from wood_xl.notes.relations import Notes, NotesRow, tools_of
from wood_xl.reasons import Listing, Slip
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import phrase
from wood_xl.units import convert

NOT_BOUGHT = ("rented", "borrowed")  # tools that belong to somebody else have no price to pay
ONLY_IF_HELD = (  # column, the way of having a tool that needs it; codes: filled under another way, and missing
    ("rent", "rented", "row-rent-not-rented", "row-no-rent"),
    ("share", "shared", "row-share-not-shared", "row-no-share"),
)


def having_problems(notes: Notes) -> Iterator[Problem]:
    """Tools that lack what their cost needs, and cells that contradict How you have it."""
    yield from _without_price_or_life(notes)
    yield from _against_held(notes)


def _without_price_or_life(notes: Notes) -> Iterator[Problem]:
    used_tools = {tool.index for row in notes.rows("methods") for tool in tools_of(row)}
    for row in notes.rows("tools"):
        if row.index not in used_tools or row["held"] in NOT_BOUGHT:
            continue
        price, kind = row["price"], row["kind"]
        has_life = any(row[column] or row.waits(column) for column in ("life_hours", "life_years"))
        if row.is_empty("price"):
            yield row.problem("row-no-price", "price")
        elif price == 0:
            yield row.problem("row-price-zero", "price")
        elif price and kind is not None and tool_kinds()[kind].life_years is None and not has_life:
            yield row.problem("row-no-life", "life_years")


def _against_held(notes: Notes) -> Iterator[Problem]:
    for row in notes.rows("tools"):
        if row.waits("held"):
            continue
        held, price = row["held"], row["price"]
        if price and held in NOT_BOUGHT:
            yield row.problem("row-price-not-counted", "price", found=number_text(price), held=held)
        for column_id, way, odd_code, missing_code in ONLY_IF_HELD:
            if row[column_id] is not None and held != way:
                yield row.problem(odd_code, column_id, found=number_text(row[column_id]))
            if held == way and row.is_empty(column_id):
                yield row.problem(missing_code, column_id)


GASOLINE, ELECTRICITY = "gasoline_price", "electricity_price"
USUAL_IN_LITERS = {  # limits of each item, in liters of gasoline
    "diesel_price": "gross.gasoline_price",
    "two_stroke_oil_price": "gross.two_stroke_oil_price",
    "bar_oil_price": "gross.bar_oil_price",
    "bought_cord_price": "gross.bought_cord_price",
    "value_of_time": "gross.value_of_time",
}
MOST_NAMED = 5  # cells that one message about many prices names
RENTED, WEEK = "rented", "week"
WOOD = {"cords": "cord", "stacked m3": "stacked m3"}  # units of upkeep by wood


class Price(NamedTuple):
    """One price with its usual range, and the facts of a message about it."""

    place: Place
    price: float
    usual: tuple[float, float]
    facts: dict[str, str]

    def problem(self) -> Problem:
        """Says that it is odd, and offers cents where those would be usual."""
        (low, high), cents = self.usual, self.price / 100
        advice = else_check(phrase(Slip.CENTS, number=number_text(cents)) if low <= cents <= high else "")
        return problem("item-price-unusual", self.place, **{"advice": advice} | self.facts)


class Money(NamedTuple):
    """The season's currency and the price of a liter of gasoline in it."""

    notes: Notes
    code: str
    liter: float  # 0 if nobody knows it
    is_known: bool  # whether the liter is that of the currency, not of the season

    def usual(self, limits: str, per: float = 1.0) -> tuple[float, float]:
        """Usual range of a price, rounded as messages show it; ``per`` multiplies both limits."""
        low, high = (float(f"{end * self.liter * per:.2g}") for end in limits_of(limits))
        return low, high

    def price(self, row: NotesRow, column_id: str, usual: tuple[float, float], name: str, word: Slip) -> Price:
        """A price in a row with its usual range."""
        facts = {
            "title": phrase(word, name=name),
            "found": self.amount(row[column_id]),
            "expected": self.in_words(usual),
        }
        return Price(row.place(column_id), row[column_id], usual, facts)

    def in_words(self, usual: tuple[float, float]) -> str:
        """A usual range as a sentence."""
        low, high = map(number_text, usual)
        span = phrase(Slip.SPAN, low=low, high=high) if usual[0] else phrase(Slip.AT_MOST, high=high)
        return phrase(Slip.USUAL_PRICE if self.is_known else Slip.USUAL_BY_GASOLINE, span=span)

    def amount(self, price: float) -> str:
        """An amount with its currency."""
        return f"{number_text(price)} {season_definition().column('tools.price').label('money', self.code)}"


def price_problems(notes: Notes) -> Iterator[Problem]:
    """Prices that are most likely wrong, one line for each cell."""
    by_cell: dict[str, Problem] = {}
    for fault in chain(_in_money(notes), _hand_tools(notes), _upkeep_over_tool(notes)):
        by_cell.setdefault(fault.where, fault)
    yield from by_cell.values()


def _in_money(notes: Notes) -> Iterator[Problem]:
    """Prices outside their usual range; if most are, the currency or the price of gasoline is most likely wrong."""
    if notes.waits("season", None, "currency"):
        return
    code = notes.document.items("season").get("currency", "")
    liter_id = f"gross.liter.{code.lower()}"
    is_known = liter_id in constants()
    liter = value(liter_id) if is_known else notes.item("season", GASOLINE, "per L") or 0.0
    money = Money(notes, code, liter, is_known)
    prices = [*(_prices(money) if money.liter else ()), *_electricity(money)]
    odd: dict[str, Price] = {}
    for price in prices:
        if not price.usual[0] <= price.price <= price.usual[1]:
            odd.setdefault(price.place.where, price)
    checked_n = len({price.place for price in prices})
    if len(odd) <= max(checked_n * value("gross.most_prices"), value("gross.several_prices")):
        yield from (price.problem() for price in odd.values())
        return
    beside, item = (Slip.IN_MONEY, "currency") if money.is_known else (Slip.BESIDE_LITER, GASOLINE)
    cells = phrase(Listing.COMMAS, parts=(*odd,)[:MOST_NAMED])
    facts = {"count": str(len(odd)), "all": str(checked_n), "beside": phrase(beside, code=code), "cells": cells}
    yield problem("item-most-prices-unusual", notes.document.place("season", None, item)._replace(header=""), **facts)


def _prices(money: Money) -> Iterator[Price]:
    if money.is_known:
        yield from _item(money, GASOLINE, "gross.gasoline_price")
    for item, limits in USUAL_IN_LITERS.items():
        yield from _item(money, item, limits)
    for row, kind in _priced(money.notes):
        usual = money.usual(f"gross.price_{kind.size}")
        yield money.price(row, "price", usual, _name(row, "tool"), Slip.PRICE_OF)
        if row["mass"]:
            yield _by_mass(money, row, kind)
    for row in money.notes.rows("tools"):
        if row["rent"] and row["held"] == RENTED and not row.waits("rent_per"):
            usual = money.usual("gross.rent", value("gross.days_of_a_week") if row["rent_per"] == WEEK else 1.0)
            yield money.price(row, "rent", usual, _name(row, "tool"), Slip.RENT_OF)
    for row in money.notes.rows("upkeep"):
        if row["price"] and row["every"] and row["per"]:
            yield _upkeep(money, row)


def _item(money: Money, item: str, limits: str, per: float = 1.0, expected: str = "") -> Iterator[Price]:
    """The price of an item; ``expected`` words its usual range where that is not one of money."""
    notes, column = money.notes, season_definition().column(f"season.{item}")
    price, unit = notes.item("season", item), notes.document.unit("season", item) or column.unit
    if not price or notes.waits("season", None, item):
        return
    usual = money.usual(limits, per * convert(1.0, column.unit, unit))
    place = notes.document.place("season", None, item)._replace(header="")
    found = f"{number_text(float(price))} {column.label(unit, money.code)}"
    facts = {"title": column.title, "found": found, "expected": expected or money.in_words(usual)}
    yield Price(place, price, usual, facts)


def _electricity(money: Money) -> Iterator[Price]:
    """Electricity against gasoline of the same heat, where that has a possible price; else against usual prices."""
    per_l = money.notes.item("season", GASOLINE, "per L")
    if money.notes.waits("season", None, GASOLINE):
        return
    if per_l and not (money.is_known and is_outside(per_l, "gross.gasoline_price")):  # that has its own line
        per_kwh = per_l / value("gross.gasoline_heat")
        expected = phrase(Slip.BESIDE_GASOLINE, price=number_text(per_kwh, 2))
        yield from _item(money, ELECTRICITY, "gross.electricity", per_kwh / money.liter, expected)
    elif money.is_known:
        yield from _item(money, ELECTRICITY, "gross.kwh_price")


def _priced(notes: Notes) -> list[tuple[NotesRow, ToolKind]]:
    """Tools with a kind and a price."""
    return [(row, tool_kinds()[row["kind"]]) for row in notes.rows("tools") if row["kind"] and row["price"]]


def _name(row: NotesRow, *columns: str) -> str:
    """Name of a row in a message; its place where the name waits for a mend."""
    return next((row.quoted(column) for column in columns if row[column] is not None), row.place("price").where)


def _by_mass(money: Money, row: NotesRow, kind: ToolKind) -> Price:
    """Price by mass, in the unit of the mass: if it is odd, either of the two may be wrong."""
    unit = row.unit("mass")
    usual = money.usual(f"gross.price_by_mass_{kind.size}", convert(1.0, unit, "kg"))
    facts = {
        "title": phrase(Slip.PRICE_OF, name=_name(row, "tool")),
        "found": phrase(Slip.PRICE_FOR, price=money.amount(row["price"]), amount=row.shown("mass")),
        "expected": phrase(Slip.FOR_ONE, usual=money.in_words(usual), unit=unit),
        "advice": phrase(Slip.PRICE_OR_MASS),
    }
    return Price(row.place("price"), row["price"] / row["mass"], usual, facts)


def _upkeep(money: Money, row: NotesRow) -> Price:
    """Cost of upkeep for a unit of use."""
    price, every, per = (row[column] for column in ("price", "every", "per"))
    limits, unit = ("gross.upkeep_by_wood", WOOD[per]) if per in WOOD else (f"gross.upkeep_by_{per}", "")
    usual = money.usual(limits, convert(1.0, unit, "stacked m3") if unit else 1.0)
    facts = {
        "title": phrase(Slip.PRICE_OF, name=_name(row, "item", "tool")),
        "found": phrase(Slip.PRICE_EVERY, price=money.amount(price), amount=f"{number_text(every)} {per}"),
        "expected": phrase(Slip.FOR_ONE, usual=money.in_words(usual), unit=per.removesuffix("s")),
        "advice": phrase(Slip.PRICE_OR_EVERY),
    }
    return Price(row.place("price"), price / every, usual, facts)


def _hand_tools(notes: Notes) -> Iterator[Problem]:
    """Hand tools that cost much more than any powered tool, whatever the currency."""
    priced = _priced(notes)
    dearest = max((float(row["price"]) for row, kind in priced if kind.is_powered), default=math.inf)
    for row, kind in priced:
        if not kind.is_powered and row["price"] > value("cost.odd_hand_tool") * dearest:
            times = f"{row['price'] / dearest:.2g}"
            yield row.problem("season-price-odd", "price", found=_name(row, "tool"), value=times)


def _upkeep_over_tool(notes: Notes) -> Iterator[Problem]:
    """Upkeep that costs several times as much as its tool, whatever the currency."""
    for row in notes.rows("upkeep"):
        tool = row.referred("tool", "tools")
        price, new = row["price"], tool["price"] if tool is not None else None
        if tool is not None and price and new and price > value("gross.upkeep_beside_tool") * new:
            facts = {"tool": tool.quoted("tool"), "expected": number_text(new), "cell": tool.place("price").where}
            yield row.problem("row-upkeep-over-tool", "price", found=number_text(price), **facts)
