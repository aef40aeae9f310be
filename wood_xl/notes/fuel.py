"""How much fuel, bar oil and electricity sessions took, measured or by tanks and charges, and checks of both."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from functools import partial
from operator import ge, itemgetter
from typing import NamedTuple

from wood_xl.air.gases import KW_PER_HP, engine_fuel_l_per_h
from wood_xl.data.load import constant, small_engines_of, sources, value
from wood_xl.data.trade import ToolKind, tasks, tool_kinds
from wood_xl.notes.limits import fitting_units, range_text
from wood_xl.notes.names import plain
from wood_xl.notes.problem import Problem, amount_text, number_text, problem, quoted
from wood_xl.notes.relations import TOOL_COLUMNS, Notes, NotesRow, tools_of, why_left_out
from wood_xl.notes.session_time import session_minutes
from wood_xl.page_texts import InMessage
from wood_xl.reasons import Listing
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import capital, phrase, words
from wood_xl.units import convert

FUEL, ELECTRICITY, REFILLS = "fuel_used", "electricity_used", "refills"
SIZED_BY = {"tank": FUEL, "battery": ELECTRICITY}  # columns of a tool with the size of one tank or charge
SIZE_OF = {used: size for size, used in SIZED_BY.items()}
EFFICIENCY = "battery.charging_efficiency"
PER_CENT = 100.0


def amount_used(session: NotesRow, column_id: str, unit: str) -> float | None:
    """Fuel, bar oil or electricity of a session: as measured, else tanks or charges times their size."""
    return _by_refills(session, column_id, unit) if session.is_empty(column_id) else session.number(column_id, unit)


def _by_refills(session: NotesRow, column_id: str, unit: str) -> float | None:
    """Amount of the tanks or charges; None without them, or unless exactly one tool has their size.

    electricity = charges x size of the battery / charging efficiency
    """
    refills, sizes = session[REFILLS], _sizes(session)
    if refills is None or len(sizes) != 1 or sizes[0][0] != column_id:
        return None
    size = sizes[0][1].number(SIZE_OF[column_id], unit)
    if size is None:
        return None
    return float(refills * size / (value(EFFICIENCY) if column_id == ELECTRICITY else 1.0))


def _sizes(session: NotesRow) -> list[tuple[str, NotesRow]]:
    """Columns of a session that may be counted in tanks or charges, each with a tool that has their size."""
    return [
        (column_id, tool)
        for tool in _tools(session)
        if (kind := tool_kinds().get(tool["kind"] or ""))
        for column_id, has_one in ((FUEL, kind.burns), (ELECTRICITY, kind.has_battery))
        if has_one and tool[SIZE_OF[column_id]] is not None
    ]


def _tools(session: NotesRow) -> list[NotesRow]:
    method = session.referred("method", "methods")
    return [] if method is None else tools_of(method)


def _tools_wait(session: NotesRow) -> bool:
    """Whether the tools of a session, their kinds or their sizes wait for a mend."""
    method = session.referred("method", "methods")
    if method is None or None in _kinds(method):
        return True
    return any(tool.waits(size) for tool in _tools(session) for size in SIZE_OF.values())


def _refill_problems(notes: Notes) -> Iterator[Problem]:
    """Tanks or charges that cannot be counted, contradict what was measured, or rest on a default."""
    charged: list[NotesRow] = []
    for row in notes.rows("sessions"):
        if row[REFILLS] is None:
            continue
        sizes = _sizes(row)
        if len(sizes) == 1:
            column_id = sizes[0][0]
            yield from _against_amount(row, column_id)
            if column_id == ELECTRICITY and row[REFILLS] and row.is_empty(column_id):
                charged.append(row)
        elif row[REFILLS] and not _tools_wait(row):
            facts = {"found": number_text(row[REFILLS]), "sizes": str(len(sizes))}
            yield row.problem("row-refills-not-counted", REFILLS, method=quoted(str(row["method"] or "")), **facts)
    if charged:
        published = constant(EFFICIENCY)
        ends = range_text((published.low or 0.0, published.high or 0.0))
        source = f" ({sources()[published.source].title}, {published.known})"
        facts = {"value": number_text(published.value), "source": source, "expected": ends}
        yield charged[0].problem("row-charges-by-default", REFILLS, len(charged), **facts)


def _against_amount(row: NotesRow, column_id: str) -> Iterator[Problem]:
    unit = row.unit(column_id) or season_definition().column(f"sessions.{column_id}").unit
    measured, refilled = row.number(column_id, unit), _by_refills(row, column_id, unit)
    if measured is None or refilled is None:
        return
    if abs(measured - refilled) > value("session.refills_agree") / PER_CENT * measured:
        facts = {"found": amount_text(refilled, unit, 3), "expected": row.shown(column_id)}
        yield row.problem("row-refills-against-amount", REFILLS, cell=row.place(column_id).cell, **facts)


BAR_OIL = "bar_oil_used"
WORDS = {FUEL: InMessage.FUEL, BAR_OIL: InMessage.BAR_OIL, ELECTRICITY: InMessage.ELECTRICITY}
MIN_PER_H = 60.0


class Use(NamedTuple):
    """One method with its sessions that are not left out."""

    method: NotesRow
    kinds: list[str | None]  # of its tools; None for one that is not known
    sessions: list[NotesRow]

    @property
    def name(self) -> str:
        """The method as typed."""
        return self.method.text("method")

    @property
    def engines(self) -> list[ToolKind]:
        """Kinds of its tools that have an engine."""
        return [kind for kind in tool_kinds().values() if kind.burns and kind.id in self.kinds]

    def takes(self, column_id: str) -> bool:
        """Whether its tools take this; bar oil also where some is written."""
        if column_id == BAR_OIL:
            task = self.method["task"]
            is_sawn = task is not None and tasks()[task].is_sawn
            has_chain = bool(self.engines) and all(kind.has_chain for kind in self.engines)
            return any(self.amounts(BAR_OIL)) or (is_sawn and has_chain)
        if column_id == FUEL:
            return bool(self.engines)
        return any(kind is not None and tool_kinds()[kind].is_electric for kind in self.kinds)

    def amounts(self, column_id: str) -> list[float]:
        """Amounts of the sessions that have one, in the unit of the definition."""
        unit = season_definition().column(f"sessions.{column_id}").unit
        amounts = (amount_used(row, column_id, unit) for row in self.sessions)
        return [amount for amount in amounts if amount is not None]


def fuel_problems(notes: Notes) -> list[Problem]:
    """Everything about fuel, bar oil and electricity that does not fit together."""
    all_uses = uses(notes)
    problems: list[Problem] = []
    for use in all_uses:
        problems += [*_two_fuels(use), *_without_tool(use), *_not_written(use), *_over_engine(use)]
    return [*problems, *_without_price(notes, all_uses), *_refill_problems(notes)]


def uses(notes: Notes) -> list[Use]:
    """Every method of the notes with its sessions."""
    sessions: dict[int, list[NotesRow]] = defaultdict(list)
    for row in notes.rows("sessions"):
        method = row.referred("method", "methods")
        if method is not None and row.index not in notes.planned and not why_left_out(row):
            sessions[method.index].append(row)
    return [Use(method, _kinds(method), sessions[method.index]) for method in notes.rows("methods")]


def _kinds(method: NotesRow) -> list[str | None]:
    """Kind of each tool that a method names; None for one that is not known."""
    named = (method.typed[column] for column in TOOL_COLUMNS if column in method.typed)
    tools = [method.notes.named("tools", plain(str(name))) for name in named]
    waiting = [column for column in TOOL_COLUMNS if column not in method.typed and method.waits(column)]
    return [*(None if tool is None else tool["kind"] for tool in tools), *(None for _ in waiting)]


def _two_fuels(use: Use) -> Iterator[Problem]:
    if len(use.engines) > 1:
        yield use.method.problem("table-two-fuels", "tool_2", method=use.name)


def _without_tool(use: Use) -> Iterator[Problem]:
    for column_id, code in ((FUEL, "table-fuel-without-engine"), (ELECTRICITY, "table-electricity-without-motor")):
        for row in () if None in use.kinds or use.takes(column_id) else use.sessions:
            if row[column_id]:
                yield row.problem(code, column_id, found=row.shown(column_id), method=use.name)


def _not_written(use: Use) -> Iterator[Problem]:
    for column_id, what in WORDS.items():
        instead = () if column_id == BAR_OIL else (REFILLS,)
        empty = [row for row in use.sessions if all(map(row.is_empty, (column_id, *instead)))]
        if not empty or not use.takes(column_id):
            continue
        code, facts = "table-fuel-not-recorded", {"found": quoted(use.name), "what": words(what)}
        if len(empty) < len(use.sessions):
            code, facts["what"] = "table-fuel-partly-recorded", capital(facts["what"])
            facts |= {"count": str(len(empty)), "all": str(len(use.sessions))}
        elif column_id == BAR_OIL:
            published = constant("fuel.bar_oil_per_fuel")
            ends = tuple(f"{100 * (end or 0.0):.0f}" for end in (published.low, published.high))
            code, facts["expected"] = "table-bar-oil-not-recorded", f"{phrase(Listing.UP_TO, parts=ends)}%"
        yield empty[0].problem(code, column_id, len(empty), **facts)


def _without_price(notes: Notes, uses: list[Use]) -> Iterator[Problem]:
    needed: dict[str, list[str]] = defaultdict(list)
    for use in uses:
        for item in _prices(use):
            if item not in notes.document.items("season") and not notes.waits("season", None, item):
                needed[item].append(quoted(use.name))
    for item, methods in needed.items():
        place = notes.document.place("season", None, item)._replace(header="")
        title = season_definition().column(f"season.{item}").title
        yield problem("item-no-price", place, title=title, methods=", ".join(dict.fromkeys(methods)))


def _prices(use: Use) -> Iterator[str]:
    """Items that price what the method's sessions took, or must have taken where nothing is written.

    Bar oil that is not written is not counted, so its price is not missed.
    """
    for column_id in WORDS:
        amounts = use.amounts(column_id)
        is_used = any(amounts) if amounts or column_id == BAR_OIL else bool(use.sessions)
        if not use.takes(column_id) or not is_used:
            continue
        if column_id == FUEL:
            yield from (fuel.needed("price_item") for kind in use.engines for fuel in kind.bought)
        else:
            yield "bar_oil_price" if column_id == BAR_OIL else "electricity_price"


def _over_engine(use: Use) -> Iterator[Problem]:
    """Sessions that burned more than the thirstiest engine of that kind and power does at full throttle all the time.

    Where no power is written, the strongest engine of the kind stands in.
    """
    if len(use.engines) != 1:
        return
    (kind,) = use.engines
    rows = small_engines_of(kind.small_engine)
    if not rows:
        return
    thirst, strongest_hp = max(row.fuel_lb_per_hp_h for row in rows), max(row.power_to_hp for row in rows)
    column = season_definition().column(f"sessions.{FUEL}")
    power_kw, engine = _power(use, kind.id)
    l_per_h = engine_fuel_l_per_h(
        power_kw=power_kw or strongest_hp * KW_PER_HP, load_frac=1.0, fuel_lb_per_hp_h=thirst
    )
    usual_l = column.plausible[1] if column.plausible else math.inf
    for row in use.sessions:
        minutes, used_l = session_minutes(row), amount_used(row, FUEL, "L")
        if minutes is None or used_l is None or used_l > usual_l:
            continue  # an amount beyond the usual range has its own line
        most_l = l_per_h * minutes / MIN_PER_H
        if used_l <= most_l:
            continue
        unit, typed = row.unit(FUEL) or column.unit, row[FUEL]
        fitting = [] if typed is None else fitting_units(column, unit, [float(typed)], partial(ge, most_l))
        yield row.problem(
            "table-fuel-over-engine",
            REFILLS if typed is None else FUEL,
            found=amount_text(convert(used_l, column.unit, unit), unit, 6),
            time=amount_text(minutes, "min"),
            engine=engine or phrase(InMessage.STRONGEST_ENGINE, kind=kind.id, hp=number_text(strongest_hp)),
            expected=amount_text(convert(most_l, column.unit, unit), unit, 2),
            hint=phrase(InMessage.WOULD_FIT, unit=fitting[0]) if fitting else "",
        )


def _power(use: Use, kind: str) -> tuple[float | None, str]:
    """Highest rated power of a method's engines [kW], and words for that engine; None if no power is written."""
    tools = (tool for tool in tools_of(use.method) if tool["kind"] == kind)
    powers = [(power, tool) for tool in tools if (power := tool.number("rated_power", "kW"))]
    if not powers:
        return None, ""
    power_kw, strongest = max(powers, key=itemgetter(0))
    return power_kw, phrase(InMessage.ENGINE_OF, power=strongest.shown("rated_power"))
