"""Checks of fuel, bar oil and electricity: whether a tool takes them, how much, and whether they have a price."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace

from wood_xl.air.pollutant_masses import KW_PER_HP, engine_fuel_l_per_h
from wood_xl.data.load import constant
from wood_xl.data.small_engines import strongest_hp, thirstiest_lb_per_hp_h
from wood_xl.data.trade import ToolKind, tasks, tool_kinds
from wood_xl.notes.names import list_text
from wood_xl.notes.problem import Problem, number_text, problem, quoted
from wood_xl.notes.refills import ELECTRICITY, FUEL, REFILLS, amount_used, refill_problems
from wood_xl.notes.relations import Notes
from wood_xl.notes.session_time import session_minutes
from wood_xl.pages import InMessage
from wood_xl.reasons import Listing
from wood_xl.schema.model import Column, Definition, season_definition
from wood_xl.schema.words import capital, phrase, words
from wood_xl.units import convert

BAR_OIL = "bar_oil_used"
WORDS = {FUEL: InMessage.FUEL, BAR_OIL: InMessage.BAR_OIL, ELECTRICITY: InMessage.ELECTRICITY}
MIN_PER_H = 60.0


@dataclass(frozen=True)
class Use:
    """One method with its sessions that are not left out.

    kinds: kind of each tool; None where it is not known.
    sessions: their rows.
    """

    notes: Notes
    method: int
    kinds: tuple[str | None, ...]
    sessions: tuple[int, ...]

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


def fuel_problems(notes: Notes, definition: Definition) -> list[Problem]:
    """Everything about fuel, bar oil and electricity that does not go together."""
    found = uses(notes)
    problems: list[Problem] = []
    for use in found:
        problems += [*_two_fuels(use), *_without_tool(use), *_not_written(use), *_over_engine(use, definition)]
    return [*problems, *_without_price(notes, found, definition), *refill_problems(notes)]


def uses(notes: Notes) -> list[Use]:
    """Every method of the notes with its sessions."""
    sessions: dict[int, list[int]] = defaultdict(list)
    for index in range(len(notes.document.rows("sessions"))):
        method = notes.index_of["methods"].get(notes.name("sessions", index, "method") or "")
        if method is not None and index not in notes.planned and not notes.left_out(index):
            sessions[method].append(index)
    return [
        Use(notes, method, tuple(notes.kinds_of(method)), tuple(sessions[method]))
        for method in range(len(notes.document.rows("methods")))
    ]


def _two_fuels(use: Use) -> Iterator[Problem]:
    if len(use.engines) > 1:
        yield problem("table-two-fuels", use.notes.document.place("methods", use.method, "tool_2"), method=use.name)


def _without_tool(use: Use) -> Iterator[Problem]:
    for column_id, code in ((FUEL, "table-fuel-without-engine"), (ELECTRICITY, "table-electricity-without-motor")):
        if None in use.kinds or use.takes(column_id):
            continue
        for index in use.sessions:
            if use.notes.value("sessions", index, column_id):
                amount = use.notes.typed("sessions", index, column_id)
                place = use.notes.document.place("sessions", index, column_id)
                yield problem(code, place, found=amount, method=use.name)


def _not_written(use: Use) -> Iterator[Problem]:
    """Amounts that are written for no session of a method, or only for some."""
    for column_id, what in WORDS.items():
        empty = use.empty(column_id)
        if not empty or not use.takes(column_id):
            continue
        facts = {"found": quoted(use.name), "what": words(what)}
        place = use.notes.document.place("sessions", empty[0], column_id)
        if len(empty) == len(use.sessions) and column_id == BAR_OIL:
            published = constant("fuel.bar_oil_per_fuel")
            ends = tuple(f"{100 * (end or 0.0):.0f}" for end in (published.low, published.high))
            share = f"{phrase(Listing.UP_TO, parts=ends)} %"
            gap = problem("table-bar-oil-not-recorded", place, found=quoted(use.name), expected=share)
        elif len(empty) == len(use.sessions):
            gap = problem("table-fuel-not-recorded", place, **facts)
        else:
            facts |= {"what": capital(facts["what"]), "count": str(len(empty)), "all": str(len(use.sessions))}
            gap = problem("table-fuel-partly-recorded", place, **facts)
        yield replace(gap, count=len(empty))


def _without_price(notes: Notes, uses: list[Use], definition: Definition) -> Iterator[Problem]:
    """Items of the Season sheet that are empty though something that was used needs their price."""
    needed: dict[str, list[str]] = defaultdict(list)
    for use in uses:
        for item in _prices(use):
            if notes.is_empty("season", None, item):
                needed[item].append(quoted(use.name))
    for item, methods in needed.items():
        place = replace(notes.document.place("season", None, item), header="")
        title = definition.column(f"season.{item}").title
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


def _over_engine(use: Use, definition: Definition) -> Iterator[Problem]:
    """Sessions that burn more than the thirstiest engine of that kind and power at full throttle all the time.

    Where no power is written, the strongest engine of the kind stands in.
    """
    if len(use.engines) != 1:
        return
    (kind,) = use.engines
    thirst, strongest = thirstiest_lb_per_hp_h(kind.small_engine), strongest_hp(kind.small_engine)
    if thirst is None or strongest is None:
        return
    notes, column = use.notes, definition.column(f"sessions.{FUEL}")
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
        typed = notes.value("sessions", index, FUEL)
        yield problem(
            "table-fuel-over-engine",
            notes.document.place("sessions", index, REFILLS if typed is None else FUEL),
            found=f"{number_text(float(f'{convert(used_l, column.unit, unit):.6g}'))} {unit}",
            time=f"{number_text(minutes)} min",
            engine=engine or phrase(InMessage.STRONGEST_ENGINE, kind=kind.id, hp=number_text(strongest)),
            expected=f"{number_text(float(f'{convert(most_l, column.unit, unit):.2g}'))} {unit}",
            hint="" if typed is None else _fitting_unit(typed, most_l, column),
        )


def _power(use: Use, kind: str) -> tuple[float | None, str]:
    """Rated power of the strongest engine of a method [kW], and that engine in words; None if none is written."""
    notes = use.notes
    powers = {
        tool: power
        for tool in notes.tools_of(use.method)
        if notes.value("tools", tool, "kind") == kind
        and (power := notes.number("tools", tool, "rated_power", "kW")) is not None
    }
    if not powers:
        return None, ""
    tool = max(powers, key=lambda index: powers[index])
    return powers[tool], phrase(InMessage.ENGINE_OF, power=notes.typed("tools", tool, "rated_power"))


def _fitting_unit(value: float, most_l: float, column: Column) -> str:
    fitting = (unit for unit in column.units if convert(float(value), unit, column.unit) <= most_l)
    unit = next(fitting, None)
    return phrase(InMessage.WOULD_FIT, unit=unit) if unit else ""
