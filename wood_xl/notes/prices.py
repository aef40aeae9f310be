"""What tools cost and how one has them, and prices that are far from what such things cost.

In a currency of which nothing is known a liter of gasoline is the measure, at the price on the sheet Season.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import chain
from typing import NamedTuple

from wood_xl.data.load import value
from wood_xl.data.trade import ToolKind, tool_kinds
from wood_xl.notes.problem import Place, Problem, number_text, problem
from wood_xl.notes.relations import Notes, NotesRow, tools_of
from wood_xl.pages import HowToMend
from wood_xl.reasons import Slip
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


PRICED_ALIKE = ("USD", "EUR", "GBP", "CAD", "AUD")  # currencies in which a liter of gasoline costs one or two units
GASOLINE, ELECTRICITY = "gasoline_price", "electricity_price"
BESIDE_LITER = {  # items, and what is usual of them in liters of gasoline
    "diesel_price": "gross.gasoline_price",
    "two_stroke_oil_price": "gross.two_stroke_oil_price",
    "bar_oil_price": "gross.bar_oil_price",
    "bought_cord_price": "gross.bought_cord_price",
    "value_of_time": "gross.value_of_time",
}
RENTED, DAY, WEEK = "rented", "day", "week"
WOOD = {"cords": "cord", "stacked m3": "stacked m3"}  # units of upkeep by wood


def is_outside(ratio: float, limits: str) -> bool:
    """Whether a number lies beyond the limits of a gross error."""
    return not value(f"{limits}_lowest") <= ratio <= value(f"{limits}_highest")


class Money(NamedTuple):
    """The money of the sheet, and what a liter of gasoline is taken to cost in it; 0 if nobody knows."""

    notes: Notes
    code: str
    liter: float

    @property
    def is_known(self) -> bool:
        """Whether what things cost in it is known."""
        return self.code in PRICED_ALIKE

    def ends(self, limits: str, per: float = 1.0) -> tuple[float, float]:
        """What is usual, as it is told; ``per``: what the limits are to be multiplied by besides."""
        low, high = (float(f"{value(f'{limits}_{end}') * self.liter * per:.2g}") for end in ("lowest", "highest"))
        return low, high

    def usual(self, ends: tuple[float, float]) -> str:
        """The same in words."""
        how = Slip.USUAL_PRICE if self.is_known else Slip.USUAL_BY_GASOLINE
        return phrase(how, low=number_text(ends[0]), high=number_text(ends[1]))

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
    """Prices beside what is usual in money, or in liters of gasoline."""
    code = notes.document.items("season").get("currency", "")
    if notes.waits("season", None, "currency"):
        return
    money = Money(notes, code, 1.0 if code in PRICED_ALIKE else notes.item("season", GASOLINE, "per L") or 0.0)
    if money.is_known:
        yield from _item(money, GASOLINE, "gross.gasoline_price")
    yield from _electricity(money)
    if money.liter:
        for item, limits in BESIDE_LITER.items():
            yield from _item(money, item, limits)
        yield from _tools(money)
        yield from _rents(money)
        yield from _upkeep(money)


def _odd(place: Place, price: float, ends: tuple[float, float], **facts: str) -> Iterator[Problem]:
    """A price outside of what is usual, and in cents perhaps not."""
    if ends[0] <= price <= ends[1]:
        return
    advice = phrase(HowToMend.CHECK)
    if ends[0] <= price / 100 <= ends[1]:
        advice = phrase(HowToMend.ELSE_CHECK, advice=phrase(Slip.CENTS, number=number_text(price / 100)))
    yield problem("item-price-unusual", place, **{"advice": advice} | facts)


def _item(money: Money, item: str, limits: str, beside: tuple[str, float] = ("", 1.0)) -> Iterator[Problem]:
    """An item; ``beside``: what it is held against and how much that is, where that is not money alone."""
    notes, column = money.notes, season_definition().column(f"season.{item}")
    price, unit = notes.item("season", item), notes.document.unit("season", item) or column.unit
    if not price or notes.waits("season", None, item):
        return
    expected, per = beside
    ends = money.ends(limits, per * convert(1.0, column.unit, unit))
    place = notes.document.place("season", None, item)._replace(header="")
    found = f"{number_text(float(price))} {column.label(unit, money.code)}"
    yield from _odd(place, price, ends, title=column.title, found=found, expected=expected or money.usual(ends))


def _electricity(money: Money) -> Iterator[Problem]:
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


def _tools(money: Money) -> Iterator[Problem]:
    """Prices of tools that are odd for their kind, or for their mass."""
    for row, kind in _priced(money.notes):
        ends = money.ends(f"gross.price_{kind.size}")
        facts = {"title": phrase(Slip.PRICE_OF, name=row.quoted("tool")), "found": money.told(row["price"])}
        yield from _odd(row.place("price"), row["price"], ends, expected=money.usual(ends), **facts)
        if row["mass"]:
            yield from _by_mass(money, row, kind)


def _priced(notes: Notes) -> list[tuple[NotesRow, ToolKind]]:
    """Tools with a price that counts, each with its kind."""
    rows = (row for row in notes.rows("tools") if row["kind"] is not None and row["price"])
    return [(row, tool_kinds()[row["kind"]]) for row in rows if row["held"] not in OTHERS]


def _hand_tools(notes: Notes) -> Iterator[Problem]:
    """A hand tool that costs much more than any engine or motor, whatever the currency."""
    priced = _priced(notes)
    dearest = max((float(row["price"]) for row, kind in priced if kind.is_powered), default=math.inf)
    for row, kind in priced:
        if not kind.is_powered and row["price"] > value("cost.odd_hand_tool") * dearest:
            times = f"{row['price'] / dearest:.2g}"
            yield row.problem("season-price-odd", "price", found=row.quoted("tool"), value=times)


def _by_mass(money: Money, row: NotesRow, kind: ToolKind) -> Iterator[Problem]:
    """A price that is odd for the mass, in the unit in which that is written: one of the two is most likely wrong."""
    unit = row.unit("mass")
    ends = money.ends(f"gross.price_by_mass_{kind.size}", convert(1.0, unit, "kg"))
    found = phrase(Slip.PRICE_FOR, price=money.told(row["price"]), amount=row.shown("mass"))
    facts = {"title": phrase(Slip.PRICE_OF, name=row.quoted("tool")), "advice": phrase(Slip.PRICE_OR_MASS)}
    expected = phrase(Slip.FOR_ONE, usual=money.usual(ends), unit=unit)
    yield from _odd(row.place("price"), row["price"] / row["mass"], ends, found=found, expected=expected, **facts)


def _rents(money: Money) -> Iterator[Problem]:
    for row in money.notes.rows("tools"):
        if row["rent"] and row["held"] == RENTED and not row.waits("rent_per"):
            per = row["rent_per"] or DAY
            ends = money.ends("gross.rent", value("gross.days_of_a_week") if per == WEEK else 1.0)
            facts = {"title": phrase(Slip.RENT_OF, name=row.quoted("tool")), "found": money.told(row["rent"])}
            yield from _odd(row.place("rent"), row["rent"], ends, expected=money.usual(ends), **facts)


def _upkeep(money: Money) -> Iterator[Problem]:
    """What upkeep costs for a unit of use."""
    for row in money.notes.rows("upkeep"):
        price, every, per = (row[column] for column in ("price", "every", "per"))
        if price and every and per:
            is_wood = per in WOOD
            limits = "gross.upkeep_by_wood" if is_wood else f"gross.upkeep_by_{per}"
            ends = money.ends(limits, convert(1.0, WOOD[per], "stacked m3") if is_wood else 1.0)
            found = phrase(Slip.PRICE_EVERY, price=money.told(price), amount=f"{number_text(every)} {per}")
            facts = {"title": phrase(Slip.PRICE_OF, name=row.quoted("item")), "advice": phrase(Slip.PRICE_OR_EVERY)}
            expected = phrase(Slip.FOR_ONE, usual=money.usual(ends), unit=per.removesuffix("s"))
            yield from _odd(row.place("price"), price / every, ends, found=found, expected=expected, **facts)


def _beside_new(notes: Notes) -> Iterator[Problem]:
    """Upkeep that costs several times as much as the tool, whatever the currency."""
    for row in notes.rows("upkeep"):
        tool = row.referred("tool", "tools")
        new = tool["price"] if tool is not None and tool["held"] not in OTHERS else None
        if tool is not None and new and row["price"] and row["price"] > value("gross.upkeep_beside_tool") * new:
            facts = {"tool": tool.quoted("tool"), "expected": number_text(new), "cell": tool.place("price").where}
            yield row.problem("row-upkeep-over-tool", "price", found=number_text(row["price"]), **facts)
