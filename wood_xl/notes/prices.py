"""What tools cost and how one has them, and prices that are far from what such things cost.

In a currency of which nothing is known a liter of gasoline is the measure, at the price on the sheet Season.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import chain
from typing import NamedTuple

from wood_xl.data.load import constants, is_outside, limits_of, value
from wood_xl.data.trade import ToolKind, tool_kinds
from wood_xl.notes.problem import Place, Problem, number_text, problem
from wood_xl.notes.relations import Notes, NotesRow, tools_of
from wood_xl.pages import HowToMend
from wood_xl.reasons import Listing, Slip
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import phrase
from wood_xl.units import convert

OTHERS = ("rented", "borrowed")  # tools that belong to somebody else: they have no price to pay
OF_WAYS = (  # what only one way of having a tool asks for; what is odd with another way, and without it
    ("rent", "rented", "row-rent-not-rented", "row-no-rent"),
    ("share", "shared", "row-share-not-shared", "row-no-share"),
)


def having_problems(notes: Notes) -> Iterator[Problem]:
    """Tools without what their cost is told from, and what does not go with the way that one has them."""
    yield from _prices_and_lives(notes)
    yield from _ways_of_having(notes)


def _prices_and_lives(notes: Notes) -> Iterator[Problem]:
    used_tools = {tool.index for row in notes.rows("methods") for tool in tools_of(row)}
    for row in notes.rows("tools"):
        if row.index not in used_tools or row["held"] in OTHERS:
            continue
        price, kind = row["price"], row["kind"]
        has_life = any(row[column] or row.waits(column) for column in ("life_hours", "life_years"))
        if row.is_empty("price"):
            yield row.problem("row-no-price", "price")
        elif price == 0:
            yield row.problem("row-price-zero", "price")
        elif price and kind is not None and tool_kinds()[kind].life_years is None and not has_life:
            yield row.problem("row-no-life", "life_years")


def _ways_of_having(notes: Notes) -> Iterator[Problem]:
    for row in notes.rows("tools"):
        if row.waits("held"):
            continue
        held, price = row["held"], row["price"]
        if price and held in OTHERS:
            yield row.problem("row-price-not-counted", "price", found=number_text(price), held=held)
        for column_id, way, is_odd, is_missing in OF_WAYS:
            if row[column_id] is not None and held != way:
                yield row.problem(is_odd, column_id, found=number_text(row[column_id]))
            if held == way and row.is_empty(column_id):
                yield row.problem(is_missing, column_id)


GASOLINE, ELECTRICITY = "gasoline_price", "electricity_price"
BESIDE_LITER = {  # items, and what is usual of them in liters of gasoline
    "diesel_price": "gross.gasoline_price",
    "two_stroke_oil_price": "gross.two_stroke_oil_price",
    "bar_oil_price": "gross.bar_oil_price",
    "bought_cord_price": "gross.bought_cord_price",
    "value_of_time": "gross.value_of_time",
}
MOST_NAMED = 5  # of many odd prices
RENTED, WEEK = "rented", "week"
WOOD = {"cords": "cord", "stacked m3": "stacked m3"}  # units of upkeep by wood


class Price(NamedTuple):
    """One price, what is usual of it, and what a message tells of both."""

    place: Place
    price: float
    usual: tuple[float, float]
    facts: dict[str, str]

    def problem(self) -> Problem:
        """That it is odd, and in cents perhaps not."""
        (low, high), advice = self.usual, phrase(HowToMend.CHECK)
        if low <= self.price / 100 <= high:
            advice = phrase(HowToMend.ELSE_CHECK, advice=phrase(Slip.CENTS, number=number_text(self.price / 100)))
        return problem("item-price-unusual", self.place, **{"advice": advice} | self.facts)


class Money(NamedTuple):
    """The money of the sheet, and what a liter of gasoline is taken to cost in it; 0 if nobody knows."""

    notes: Notes
    code: str
    liter: float
    is_known: bool  # whether that is known of the currency, not by the season's own price

    def usual(self, limits: str, per: float = 1.0) -> tuple[float, float]:
        """What is usual, as it is told; ``per``: what the limits are to be multiplied by besides."""
        low, high = (float(f"{end * self.liter * per:.2g}") for end in limits_of(limits))
        return low, high

    def price(self, row: NotesRow, column_id: str, usual: tuple[float, float], name: str, word: Slip) -> Price:
        """A price in a row, held against what is usual."""
        facts = {
            "title": phrase(word, name=name),
            "found": self.told(row[column_id]),
            "expected": self.in_words(usual),
        }
        return Price(row.place(column_id), row[column_id], usual, facts)

    def in_words(self, usual: tuple[float, float]) -> str:
        """What is usual, as a sentence."""
        low, high = map(number_text, usual)
        span = phrase(Slip.SPAN, low=low, high=high) if usual[0] else phrase(Slip.AT_MOST, high=high)
        return phrase(Slip.USUAL_PRICE if self.is_known else Slip.USUAL_BY_GASOLINE, span=span)

    def told(self, price: float, unit: str = "money") -> str:
        """An amount as a message tells it."""
        return f"{number_text(price)} {season_definition().column('tools.price').label(unit, self.code)}"


def price_problems(notes: Notes) -> Iterator[Problem]:
    """Prices that are hardly meant as they stand, one line for each cell."""
    told: dict[str, Problem] = {}
    for one in chain(_in_money(notes), _hand_tools(notes), _beside_new(notes)):
        told.setdefault(one.where, one)
    yield from told.values()


def _in_money(notes: Notes) -> Iterator[Problem]:
    """Prices beside what is usual in money, or in liters of gasoline; if most are odd, it is that which is wrong."""
    if notes.waits("season", None, "currency"):
        return
    code = notes.document.items("season").get("currency", "")
    liter_id = f"gross.liter.{code.lower()}"
    is_known = liter_id in constants()
    liter = value(liter_id) if is_known else notes.item("season", GASOLINE, "per L") or 0.0
    money = Money(notes, code, liter, is_known)
    prices = [*(_prices(money) if money.liter else ()), *_electricity(money)]
    odd: dict[str, Price] = {}
    for one in prices:
        if not one.usual[0] <= one.price <= one.usual[1]:
            odd.setdefault(one.place.where, one)
    checked_n = len({one.place for one in prices})
    if len(odd) <= max(checked_n * value("gross.most_prices"), value("gross.several_prices")):
        yield from (one.problem() for one in odd.values())
        return
    beside, item = (Slip.IN_MONEY, "currency") if money.is_known else (Slip.BESIDE_LITER, GASOLINE)
    cells = phrase(Listing.COMMAS, parts=(*odd,)[:MOST_NAMED])
    facts = {"count": str(len(odd)), "all": str(checked_n), "beside": phrase(beside, code=code), "cells": cells}
    yield problem("item-most-prices-unusual", notes.document.place("season", None, item)._replace(header=""), **facts)


def _prices(money: Money) -> Iterator[Price]:
    if money.is_known:
        yield from _item(money, GASOLINE, "gross.gasoline_price")
    for item, limits in BESIDE_LITER.items():
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


def _item(money: Money, item: str, limits: str, beside: tuple[str, float] = ("", 1.0)) -> Iterator[Price]:
    """An item; ``beside``: what it is held against and how much that is, where that is not money alone."""
    notes, column = money.notes, season_definition().column(f"season.{item}")
    price, unit = notes.item("season", item), notes.document.unit("season", item) or column.unit
    if not price or notes.waits("season", None, item):
        return
    expected, per = beside
    usual = money.usual(limits, per * convert(1.0, column.unit, unit))
    place = notes.document.place("season", None, item)._replace(header="")
    found = f"{number_text(float(price))} {column.label(unit, money.code)}"
    facts = {"title": column.title, "found": found, "expected": expected or money.in_words(usual)}
    yield Price(place, price, usual, facts)


def _electricity(money: Money) -> Iterator[Price]:
    """Beside gasoline for the same heat, if that has a price that can be; else by what is usual."""
    per_l = money.notes.item("season", GASOLINE, "per L")
    if money.notes.waits("season", None, GASOLINE):
        return
    if per_l and not (money.is_known and is_outside(per_l, "gross.gasoline_price")):  # else that is told already
        per_kwh = per_l / value("gross.gasoline_heat")
        beside = phrase(Slip.BESIDE_GASOLINE, price=number_text(per_kwh, 2))
        yield from _item(money, ELECTRICITY, "gross.electricity", (beside, per_kwh / money.liter))
    elif money.is_known:
        yield from _item(money, ELECTRICITY, "gross.kwh_price")


def _priced(notes: Notes) -> list[tuple[NotesRow, ToolKind]]:
    """Tools with a price, each with its kind; one of somebody else's tool is told already."""
    return [(row, tool_kinds()[row["kind"]]) for row in notes.rows("tools") if row["kind"] and row["price"]]


def _name(row: NotesRow, *columns: str) -> str:
    """What a row is called; its place where that waits for a mend."""
    return next((row.quoted(column) for column in columns if row[column] is not None), row.place("price").where)


def _by_mass(money: Money, row: NotesRow, kind: ToolKind) -> Price:
    """A price for the mass, in the unit of that: if it is odd, one of the two is most likely wrong."""
    unit = row.unit("mass")
    usual = money.usual(f"gross.price_by_mass_{kind.size}", convert(1.0, unit, "kg"))
    facts = {
        "title": phrase(Slip.PRICE_OF, name=_name(row, "tool")),
        "found": phrase(Slip.PRICE_FOR, price=money.told(row["price"]), amount=row.shown("mass")),
        "expected": phrase(Slip.FOR_ONE, usual=money.in_words(usual), unit=unit),
        "advice": phrase(Slip.PRICE_OR_MASS),
    }
    return Price(row.place("price"), row["price"] / row["mass"], usual, facts)


def _upkeep(money: Money, row: NotesRow) -> Price:
    """What upkeep costs for a unit of use."""
    price, every, per = (row[column] for column in ("price", "every", "per"))
    limits, unit = ("gross.upkeep_by_wood", WOOD[per]) if per in WOOD else (f"gross.upkeep_by_{per}", "")
    usual = money.usual(limits, convert(1.0, unit, "stacked m3") if unit else 1.0)
    facts = {
        "title": phrase(Slip.PRICE_OF, name=_name(row, "item", "tool")),
        "found": phrase(Slip.PRICE_EVERY, price=money.told(price), amount=f"{number_text(every)} {per}"),
        "expected": phrase(Slip.FOR_ONE, usual=money.in_words(usual), unit=per.removesuffix("s")),
        "advice": phrase(Slip.PRICE_OR_EVERY),
    }
    return Price(row.place("price"), price / every, usual, facts)


def _hand_tools(notes: Notes) -> Iterator[Problem]:
    """A hand tool that costs much more than any engine or motor, whatever the currency."""
    priced = _priced(notes)
    dearest = max((float(row["price"]) for row, kind in priced if kind.is_powered), default=math.inf)
    for row, kind in priced:
        if not kind.is_powered and row["price"] > value("cost.odd_hand_tool") * dearest:
            times = f"{row['price'] / dearest:.2g}"
            yield row.problem("season-price-odd", "price", found=_name(row, "tool"), value=times)


def _beside_new(notes: Notes) -> Iterator[Problem]:
    """Upkeep that costs several times as much as the tool, whatever the currency."""
    for row in notes.rows("upkeep"):
        tool = row.referred("tool", "tools")
        price, new = row["price"], tool["price"] if tool is not None else None
        if tool is not None and price and new and price > value("gross.upkeep_beside_tool") * new:
            facts = {"tool": tool.quoted("tool"), "expected": number_text(new), "cell": tool.place("price").where}
            yield row.problem("row-upkeep-over-tool", "price", found=number_text(price), **facts)
