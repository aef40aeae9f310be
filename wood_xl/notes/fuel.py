"""Fuel, bar oil and electricity of sessions: how much, as measured or by full tanks and charges; and their checks."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from operator import itemgetter
from typing import NamedTuple

from wood_xl.air.gases import KW_PER_HP, engine_fuel_l_per_h
from wood_xl.data.load import constant, sources, strongest_hp, thirstiest_lb_per_hp_h, value
from wood_xl.data.trade import ToolKind, tasks, tool_kinds
from wood_xl.notes.names import list_text
from wood_xl.notes.problem import Problem, number_text, problem, quoted
from wood_xl.notes.relations import Notes, NotesRow
from wood_xl.notes.session_time import session_minutes
from wood_xl.pages import InMessage
from wood_xl.reasons import Listing
from wood_xl.schema.model import Column, season_definition
from wood_xl.schema.words import capital, phrase, words
from wood_xl.units import convert

FUEL, ELECTRICITY, REFILLS = "fuel_used", "electricity_used", "refills"
SIZE_OF = {FUEL: "tools.tank", ELECTRICITY: "tools.battery"}
EFFICIENCY = "battery.charging_efficiency"
PER_CENT = 100.0


def _size_of(column_id: str) -> str:
    return season_definition().column(SIZE_OF[column_id]).id


def amount_used(notes: Notes, index: int, column_id: str, unit: str) -> float | None:
    """What a session took of fuel, bar oil or electricity; None if it cannot be told.

    What was measured counts; where nothing was, tanks or charges times their size.
    """
    if notes.is_empty("sessions", index, column_id):
        return by_refills(notes, index, column_id, unit)
    return notes.number("sessions", index, column_id, unit)


def by_refills(notes: Notes, index: int, column_id: str, unit: str) -> float | None:
    """What tanks or charges come to; None without them, or where not one tool alone has a size.

    electricity = charges x size of the battery / charging efficiency
    """
    refills = notes.value("sessions", index, REFILLS)
    sizes = _sizes(notes, index)
    if refills is None or len(sizes) != 1 or sizes[0][0] != column_id:
        return None
    size = notes.number("tools", sizes[0][1], _size_of(column_id), unit)
    if size is None:
        return None
    return float(refills * size / (value(EFFICIENCY) if column_id == ELECTRICITY else 1.0))


def _sizes(notes: Notes, index: int) -> list[tuple[str, int]]:
    return [
        (column_id, tool)
        for tool in _tools(notes, index)
        for column_id in SIZE_OF
        if notes.value("tools", tool, _size_of(column_id)) is not None and _takes(notes, tool, column_id)
    ]


def _tools(notes: Notes, index: int) -> list[int]:
    method = notes.index_of["methods"].get(notes.name("sessions", index, "method") or "")
    return [] if method is None else [*dict.fromkeys(notes.tools_of(method))]


def _takes(notes: Notes, tool: int, column_id: str) -> bool:
    kind: ToolKind | None = tool_kinds().get(notes.value("tools", tool, "kind") or "")
    return kind is not None and (kind.burns if column_id == FUEL else kind.has_battery)


def _size_waits(notes: Notes, index: int) -> bool:
    return any(notes.waits("tools", tool, _size_of(one)) for tool in _tools(notes, index) for one in SIZE_OF)


def refill_problems(notes: Notes) -> Iterator[Problem]:
    """Tanks or charges that cannot be counted, that go against what was measured, or that a default stands behind."""
    charged: list[NotesRow] = []
    for row in notes.rows("sessions"):
        if row[REFILLS] is None:
            continue
        sizes = _sizes(notes, row.index)
        if len(sizes) == 1:
            column_id = sizes[0][0]
            yield from _against_amount(row, column_id)
            if column_id == ELECTRICITY and row[REFILLS] and row.is_empty(column_id):
                charged.append(row)
        elif row[REFILLS] and not _size_waits(notes, row.index):
            facts = {"found": number_text(row[REFILLS]), "sizes": str(len(sizes))}
            yield row.problem("row-refills-not-counted", REFILLS, method=quoted(str(row["method"] or "")), **facts)
    if charged:
        published = constant(EFFICIENCY)
        ends = phrase(Listing.UP_TO, parts=(number_text(published.low or 0.0), number_text(published.high or 0.0)))
        source = f" ({sources()[published.source].title}, {published.known})"
        facts = {"value": number_text(published.value), "source": source, "expected": ends}
        yield charged[0].problem("row-charges-by-default", REFILLS, len(charged), **facts)


def _against_amount(row: NotesRow, column_id: str) -> Iterator[Problem]:
    unit = row.notes.document.unit("sessions", column_id) or season_definition().column(f"sessions.{column_id}").unit
    measured, refilled = row.number(column_id, unit), by_refills(row.notes, row.index, column_id, unit)
    if measured is None or refilled is None:
        return
    if abs(measured - refilled) > value("session.refills_agree") / PER_CENT * measured:
        facts = {"found": f"{number_text(refilled, 3)} {unit}", "expected": row.typed(column_id)}
        yield row.problem("row-refills-against-amount", REFILLS, cell=row.place(column_id).cell, **facts)


BAR_OIL = "bar_oil_used"
WORDS = {FUEL: InMessage.FUEL, BAR_OIL: InMessage.BAR_OIL, ELECTRICITY: InMessage.ELECTRICITY}
MIN_PER_H = 60.0


class Use(NamedTuple):
    """One method with its sessions that are not left out."""

    notes: Notes
    method: int
    kinds: tuple[str | None, ...]  # kind of each tool; None where it is not known
    sessions: tuple[int, ...]  # their rows

    @property
    def name(self) -> str:
        """The method as typed."""
        return str(self.notes.value("methods", self.method, "method"))

    @property
    def engines(self) -> list[ToolKind]:
        """Kinds of its tools that have an engine, each once."""
        return [kind for kind in tool_kinds().values() if kind.burns and kind.id in self.kinds]

    def takes(self, column_id: str) -> bool:
        """Whether the method takes this: by its tools, bar oil by what is written too."""
        if column_id == BAR_OIL:
            task = self.notes.value("methods", self.method, "task")
            is_sawn = task is not None and tasks()[task].is_sawn
            has_chain = bool(self.engines) and all(kind.has_chain for kind in self.engines)
            return any(self.amounts(BAR_OIL)) or (is_sawn and has_chain)
        if column_id == FUEL:
            return bool(self.engines)
        return any(kind is not None and tool_kinds()[kind].is_electric for kind in self.kinds)

    def amounts(self, column_id: str) -> list[float]:
        """What its sessions took, of those that tell, in the unit of the definition."""
        unit = season_definition().column(f"sessions.{column_id}").unit
        amounts = (amount_used(self.notes, index, column_id, unit) for index in self.sessions)
        return [amount for amount in amounts if amount is not None]

    def empty(self, column_id: str) -> list[int]:
        """Its sessions whose cell is empty, and that tell of no tanks or charges instead."""
        instead = () if column_id == BAR_OIL else (REFILLS,)
        return [
            index
            for index in self.sessions
            if all(self.notes.is_empty("sessions", index, one) for one in (column_id, *instead))
        ]


def fuel_problems(notes: Notes) -> list[Problem]:
    """Everything about fuel, bar oil and electricity that does not go together."""
    found = uses(notes)
    problems: list[Problem] = []
    for use in found:
        problems += [*_two_fuels(use), *_without_tool(use), *_not_written(use), *_over_engine(use)]
    return [*problems, *_without_price(notes, found), *refill_problems(notes)]


def uses(notes: Notes) -> list[Use]:
    """Every method of the notes with its sessions."""
    sessions: dict[int, list[int]] = defaultdict(list)
    for row in notes.rows("sessions"):
        method = notes.named("methods", row.name("method"))
        if method is not None and row.index not in notes.planned and not notes.left_out(row.index):
            sessions[method.index].append(row.index)
    methods = range(len(notes.document.rows("methods")))
    return [Use(notes, method, tuple(notes.kinds_of(method)), tuple(sessions[method])) for method in methods]


def _two_fuels(use: Use) -> Iterator[Problem]:
    if len(use.engines) > 1:
        yield problem("table-two-fuels", use.notes.document.place("methods", use.method, "tool_2"), method=use.name)


def _without_tool(use: Use) -> Iterator[Problem]:
    for column_id, code in ((FUEL, "table-fuel-without-engine"), (ELECTRICITY, "table-electricity-without-motor")):
        if None in use.kinds or use.takes(column_id):
            continue
        for row in (NotesRow(use.notes, "sessions", index) for index in use.sessions):
            if row[column_id]:
                yield row.problem(code, column_id, found=row.typed(column_id), method=use.name)


def _not_written(use: Use) -> Iterator[Problem]:
    for column_id, what in WORDS.items():
        empty = use.empty(column_id)
        if not empty or not use.takes(column_id):
            continue
        facts = {"found": quoted(use.name), "what": words(what)}
        row = NotesRow(use.notes, "sessions", empty[0])
        if len(empty) == len(use.sessions) and column_id == BAR_OIL:
            published = constant("fuel.bar_oil_per_fuel")
            ends = tuple(f"{100 * (end or 0.0):.0f}" for end in (published.low, published.high))
            share = f"{phrase(Listing.UP_TO, parts=ends)} %"
            facts = {"found": quoted(use.name), "expected": share}
            yield row.problem("table-bar-oil-not-recorded", column_id, len(empty), **facts)
        elif len(empty) == len(use.sessions):
            yield row.problem("table-fuel-not-recorded", column_id, len(empty), **facts)
        else:
            facts |= {"what": capital(facts["what"]), "count": str(len(empty)), "all": str(len(use.sessions))}
            yield row.problem("table-fuel-partly-recorded", column_id, len(empty), **facts)


def _without_price(notes: Notes, uses: list[Use]) -> Iterator[Problem]:
    needed: dict[str, list[str]] = defaultdict(list)
    for use in uses:
        for item in _prices(use):
            if notes.is_empty("season", None, item):
                needed[item].append(quoted(use.name))
    for item, methods in needed.items():
        place = notes.document.place("season", None, item)._replace(header="")
        title = season_definition().column(f"season.{item}").title
        yield problem("item-no-price", place, title=title, methods=list_text(dict.fromkeys(methods)))


def _prices(use: Use) -> Iterator[str]:
    """Items that price what the method's sessions took, or must have taken where none tells.

    Where no bar oil is written none is counted, and no price of it is missed.
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
    """Sessions that burn more than the thirstiest engine of that kind and power at full throttle all the time.

    Where no power is written, the strongest engine of the kind stands in.
    """
    if len(use.engines) != 1:
        return
    (kind,) = use.engines
    thirst, strongest = thirstiest_lb_per_hp_h(kind.small_engine), strongest_hp(kind.small_engine)
    if thirst is None or strongest is None:
        return
    notes, column = use.notes, season_definition().column(f"sessions.{FUEL}")
    power_kw, engine = _power(use, kind.id)
    l_per_h = engine_fuel_l_per_h(power_kw=power_kw or strongest * KW_PER_HP, load_frac=1.0, fuel_lb_per_hp_h=thirst)
    usual_l = column.plausible[1] if column.plausible else None
    for index in use.sessions:
        minutes, used_l = session_minutes(notes, index), amount_used(notes, index, FUEL, "L")
        if minutes is None or used_l is None or (usual_l is not None and used_l > usual_l):
            continue  # what is beyond the usual range is told already
        most_l = l_per_h * minutes / MIN_PER_H
        if used_l <= most_l:
            continue
        unit = notes.document.unit("sessions", FUEL) or column.unit
        row = NotesRow(notes, "sessions", index)
        typed = row[FUEL]
        yield row.problem(
            "table-fuel-over-engine",
            REFILLS if typed is None else FUEL,
            found=f"{number_text(convert(used_l, column.unit, unit), 6)} {unit}",
            time=f"{number_text(minutes)} min",
            engine=engine or phrase(InMessage.STRONGEST_ENGINE, kind=kind.id, hp=number_text(strongest)),
            expected=f"{number_text(convert(most_l, column.unit, unit), 2)} {unit}",
            hint="" if typed is None else _fitting_unit(typed, most_l, column),
        )


def _power(use: Use, kind: str) -> tuple[float | None, str]:
    """Rated power of the strongest engine of a method [kW], and that engine in words; None if none is written."""
    tools = (NotesRow(use.notes, "tools", tool) for tool in use.notes.tools_of(use.method))
    powers = [(power, tool) for tool in tools if tool["kind"] == kind and (power := tool.number("rated_power", "kW"))]
    if not powers:
        return None, ""
    power_kw, strongest = max(powers, key=itemgetter(0))
    return power_kw, phrase(InMessage.ENGINE_OF, power=strongest.typed("rated_power"))


def _fitting_unit(value: float, most_l: float, column: Column) -> str:
    fitting = (unit for unit in column.units if convert(float(value), unit, column.unit) <= most_l)
    unit = next(fitting, None)
    return phrase(InMessage.WOULD_FIT, unit=unit) if unit else ""
