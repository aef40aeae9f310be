"""The season's notes on a method's money, as the numbers that ``method_money`` takes.

What is not known is left at 0, and ``missing`` gives the reason for each part of the money that needs it: half a cost
is never shown as a whole one.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from wood_xl.data.load import value
from wood_xl.data.trade import tool_kinds
from wood_xl.draws.ensemble import Number, nominal, total
from wood_xl.draws.figure import Figure, not_given
from wood_xl.hours.methods import MethodTotals, why_no_session
from wood_xl.hours.rates import Taken, TakenAmounts
from wood_xl.hours.sessions import burning_kind, is_electric, needs, waiting
from wood_xl.ids import Good, Recorded
from wood_xl.money.cost_study import CostStudy, dated_hours, shared_spells, spells_begun
from wood_xl.money.method import MethodInputs, RentInputs, ToolInputs, UpkeepInputs
from wood_xl.money.spending import fuel_price_per_l
from wood_xl.reasons import Basis, Reason, Said, said, several
from wood_xl.records import Season, Tool

Part = Literal["ownership", "upkeep", "fuel", "bar_oil", "electricity", "own_time"]
CASH_PARTS: tuple[Part, ...] = ("ownership", "upkeep", "fuel", "bar_oil", "electricity")
RENTED_DAYS = {"day": 1, "week": 7}
NOTHING = MethodInputs((), 1.0, 0.0, 0.0, 0.0, 0.0)
OUT_OF_SEASON = ("currency", "real_interest_rate", "yearly_volume")


@dataclass(frozen=True, slots=True)
class ToolNumbers:
    """One tool of a method: its numbers with their bases and reasons.

    why: why its cost of owning is not given; None if it is.
    hours_why: why its hours are not known; None if they are.
    hours_unsure, rent_unsure: why their doubt is not known; None if it is.
    hours_basis, life_basis: which sessions gave the hours, and where the life is from.
    is_upper_bound: whether hours at work stand in for running hours.
    repair_default: id of the constant that stands in for unwritten upkeep; empty if none does.
    """

    tool: Tool
    inputs: ToolInputs
    why: Figure | None
    hours_why: Said | None
    hours_unsure: Said | None
    rent_unsure: Said | None
    price: Figure
    resale: Figure
    hours_basis: Said | None
    life_basis: Said
    is_upper_bound: bool
    repair_default: str = ""

    @property
    def unsure(self) -> Said | None:
        """Why the doubt of its cost is not known: its rent's, or its hours' where the cost depends on them."""
        tool = self.inputs
        has_other_tasks = nominal(tool.other_hours_per_cord) > 0
        is_by_hours = tool.life_h is not None or has_other_tasks or any(item.per == "hours" for item in tool.upkeep)
        return self.rent_unsure or (self.hours_unsure if is_by_hours else None)


@dataclass(frozen=True, slots=True)
class MethodNumbers:
    """Numbers of a method, nominal or by all members; ``missing``, ``bases`` and ``unsure`` go by part of the money.

    missing: why the part is not given.
    bases: how the part was obtained, where that must be said.
    unsure: why the doubt of an amount in it is not known.
    why: why no part at all is given; None if one is.
    """

    totals: MethodTotals
    inputs: MethodInputs
    tools: tuple[ToolNumbers, ...]
    missing: dict[Part, Figure]
    bases: dict[Part, Said | None]
    unsure: dict[Part, Said]
    why: Figure | None = None

    @property
    def why_no_cash(self) -> Figure | None:
        """Why the sum of the cash is not given; None if it is."""
        return next((self.missing[part] for part in CASH_PARTS if part in self.missing), None)


def method_numbers(totals: MethodTotals, study: CostStudy, taken: TakenAmounts | None = None) -> MethodNumbers:
    """Numbers of a method: nominal, or by all members with ``taken``."""
    season = study.season
    wait = waiting(season.broken, *OUT_OF_SEASON) or waiting(totals.method.broken, "money")
    wait = wait or (None if totals.counted else totals.why_none)
    if wait is not None or not study.yearly_cords:
        why = not_given(wait or why_no_session(study.totals))
        return MethodNumbers(totals, NOTHING, (), dict.fromkeys((*CASH_PARTS, "own_time"), why), {}, {}, why)
    tools = tuple(tool_numbers(study.tools[name], totals, study, taken) for name in totals.method.tools)
    missing, bases = _missing_of_tools(tools), _bases_of_tools(tools)
    whys = [tool.unsure for tool in tools if tool.unsure is not None]
    unsure: dict[Part, Said] = dict.fromkeys(("ownership", "upkeep"), whys[-1]) if whys else {}

    def number(what: Recorded, amount: float | None = None, part: Part | None = None) -> Number:
        members = _members(_hours(what, totals, study) if amount is None else amount, totals, what, taken)
        if part is not None and members.why is not None:
            unsure[part] = members.why
        return members.number

    amounts: dict[Part, Number] = {}
    prices: dict[Part, float] = {}
    for part, (what, bought) in BOUGHT.items():
        amount_or_why = bought(totals, study)
        if isinstance(amount_or_why, Figure):
            missing[part], amounts[part], prices[part] = amount_or_why, 0.0, 0.0
        else:
            amount, prices[part], bases[part] = amount_or_why
            amounts[part] = number(what, amount, part)
    if totals.method.lacks_tool:
        missing = dict.fromkeys(CASH_PARTS, not_given(said(Reason.NO_TOOL)))
    wait = waiting(season.broken, "value_of_time")
    if wait is not None or season.value_of_time_per_h is None:
        missing["own_time"] = not_given(wait or said(Reason.NO_VALUE_OF_HOUR))
    inputs = MethodInputs(
        tools=tuple(tool.inputs for tool in tools),
        cords_per_year=study.yearly_cords,
        rate_frac=season.real_interest_rate_frac,
        clock_h_per_cord=number(Recorded.CLOCK_HOURS),
        working_h_per_cord=number(Recorded.AT_WORK),
        worker_h_per_cord=number(Recorded.WORKER_HOURS, part="own_time"),
        fuel_l_per_cord=amounts["fuel"],
        fuel_price_per_l=prices["fuel"],
        bar_oil_l_per_cord=amounts["bar_oil"],
        bar_oil_price_per_l=prices["bar_oil"],
        electricity_kwh_per_cord=amounts["electricity"],
        electricity_price_per_kwh=prices["electricity"],
        value_of_time_per_h=0.0 if "own_time" in missing else season.value_of_time_per_h or 0.0,
    )
    return MethodNumbers(totals, inputs, tools, missing, bases, unsure)


@dataclass(frozen=True, eq=False)
class ToolHours(Taken):
    """Hours of a tool for a cord on its own clock, their basis, and whether they are an upper bound."""

    basis: Said | None = None
    is_upper_bound: bool = False


def tool_hours(
    tool: Tool, totals: MethodTotals, study: CostStudy, taken: TakenAmounts | None = None
) -> ToolHours | Said:
    """Hours of a tool, or why they are not known.

    A hand tool counts hours at work, without delays and service. An engine or motor counts running hours; without any
    written, hours at work stand in.
    """
    if not totals.counted:
        return totals.why_none
    at_work = _members(_hours(Recorded.AT_WORK, totals, study), totals, Recorded.AT_WORK, taken)
    if not tool.kind_row.is_powered:
        return ToolHours(at_work.number, at_work.why)
    hours = study.equal.recorded(totals, Recorded.RUNNING_HOURS, "exposure")
    if hours is None:
        return ToolHours(at_work.number, at_work.why, said(Basis.UPPER_BOUND), is_upper_bound=True)
    if hours.value is None:
        return hours.why
    running = _members(hours.value, totals, Recorded.RUNNING_HOURS, taken)
    return ToolHours(running.number, running.why, hours.basis)


def _members(amount: float, totals: MethodTotals, what: Recorded, taken: TakenAmounts | None) -> Taken:
    """An amount by all members; 0 stays 0, and without ``taken`` the number stays as it is."""
    if taken is None or not amount:
        return Taken(amount)
    relative = taken.relative(totals, what)
    return Taken(amount * relative.number, relative.why)


def _hours(what: Recorded, totals: MethodTotals, study: CostStudy) -> float:
    """Hours for a cord of a method that was tried; every session has them."""
    hours = study.equal.recorded(totals, what, "time")
    return 0.0 if hours is None or hours.value is None else hours.value


def _rented_units(tool: Tool, totals: MethodTotals, study: CostStudy, taken: TakenAmounts | None) -> Taken | Said:
    """Hours, days or weeks of rent for a cord, before those begun count whole; or why they are not known.

    Hours are clock hours. Days and weeks follow from the dates of the sessions with the tool.
    """
    if not totals.counted:
        return totals.why_none
    units = _hours(Recorded.CLOCK_HOURS, totals, study)
    if tool.rent_per == "hour":
        return _members(units, totals, Recorded.CLOCK_HOURS, taken)
    own = dated_hours(totals)
    if not any(hours for _, hours in own):
        return said(Reason.NO_DATE_OF_RENT, tool=tool.name, method=totals.method.name)
    users = [t for t in study.totals if tool.name in t.method.tools and t.method.name != totals.method.name]
    others = [dated for t in users for dated in dated_hours(t)]
    spells_n = shared_spells(own, others, RENTED_DAYS[tool.rent_per])
    an_hour = spells_n / math.fsum(hours for _, hours in own)
    return _members(an_hour * units, totals, Recorded.CLOCK_HOURS, taken)


def spells(dates: Iterable[str], days_n: int) -> int:
    """How many spells of so many days hold all dates."""
    return len(set(spells_begun(dates, days_n).values()))


def tool_numbers(
    tool: Tool, totals: MethodTotals, study: CostStudy, taken: TakenAmounts | None = None
) -> ToolNumbers:
    """Numbers of one tool in a method: its hours, its life and the cost of having it."""
    hours_or_why = tool_hours(tool, totals, study, taken)
    others = _of_other_tasks(tool, totals, study, lambda other: tool_hours(tool, other, study, taken))
    hours_why = next((why for why in (hours_or_why, others) if isinstance(why, Said)), None)
    whys = [] if hours_why is None else [not_given(hours_why)]
    hours = ToolHours(0.0) if isinstance(hours_or_why, Said) else hours_or_why
    other_hours = Taken(0.0) if isinstance(others, Said) else others
    if "money" in tool.broken:
        whys.insert(0, not_given(needs(tool.broken["money"])))
    elif tool.price is None and not tool.is_others:
        whys.append(not_given(said(Reason.NO_PRICE_OF, what=tool.name)))
    rent, rent_unsure = _rent(tool, totals, study, taken)
    if isinstance(rent, Said):
        whys.append(not_given(rent))
    life_h, age_limit, life_basis = _life(tool)
    if life_h is None and age_limit is None and tool.price and not tool.is_others:
        whys.append(not_given(said(Reason.NO_LIFE_OF, tool=tool.name)))
    price = 0.0 if whys or tool.is_others or tool.price is None else tool.price
    resale = _resale(tool)
    repair_default = _repair_default(tool, study.season)
    inputs = ToolInputs(
        name=tool.name,
        price=price,
        resale_frac=(resale.value or 0.0) / price if price else 0.0,
        hours_per_cord=hours.number,
        other_hours_per_cord=other_hours.number,
        life_h=life_h,
        age_limit_years=age_limit,
        repair_frac=value(repair_default) if repair_default else 0.0,
        upkeep=tuple(
            UpkeepInputs(item.price, item.every, item.per) for item in study.season.upkeep if item.tool == tool.name
        ),
        is_owned=not tool.is_to_pay,
        worth_today=tool.worth_today if tool.is_owned else None,
        years_left=tool.years_left if tool.is_owned else None,
        part_frac=tool.part_frac,
        rent=None if isinstance(rent, Said) else rent,
    )
    why = whys[0] if whys else None
    shown = not_given(said(Reason.NOT_YOURS)) if tool.price is None else Figure(tool.price, said(Basis.AS_WRITTEN))
    if why is not None and (tool.price is None or "money" in tool.broken):
        shown = why
    return ToolNumbers(
        tool=tool,
        inputs=inputs,
        why=why,
        hours_why=hours_why,
        hours_unsure=(hours.why or other_hours.why) if nominal(hours.number) else None,
        rent_unsure=rent_unsure,
        price=shown,
        resale=resale,
        hours_basis=hours.basis,
        life_basis=life_basis,
        is_upper_bound=hours.is_upper_bound,
        repair_default=repair_default,
    )


def still_to_buy(tool: Tool) -> Said:
    """Why a tool counts as still to buy."""
    if tool.held == "shared":
        return said(Basis.SHARE_TO_PAY, share=tool.part_frac)
    return said(Basis.NOT_SAID_WHETHER_BOUGHT if tool.held is None else Basis.NOT_BOUGHT_YET)


def _of_other_tasks(
    tool: Tool, totals: MethodTotals, study: CostStudy, amount: Callable[[MethodTotals], Taken | Said]
) -> Taken | Said:
    """An amount for the other tasks of a tool: for each, the mean of its methods, since only one will be chosen."""
    by_task: dict[str, list[MethodTotals]] = {}
    for other in study.totals:
        was_tried = other.counted or other.waiting_cells
        if tool.name in other.method.tools and other.method.task != totals.method.task and was_tried:
            by_task.setdefault(other.method.task, []).append(other)
    means: list[Number] = []
    why = None
    for methods in by_task.values():
        amounts: list[Number] = []
        for of_method in map(amount, methods):
            if isinstance(of_method, Said):
                return of_method
            why = why or of_method.why
            amounts.append(of_method.number)
        means.append(total(amounts) / len(amounts))
    return Taken(total(means), why)


def _rent(
    tool: Tool, totals: MethodTotals, study: CostStudy, taken: TakenAmounts | None
) -> tuple[RentInputs | Said | None, Said | None]:
    """Rent of a rented tool or why it is not known, None for any other tool; and why its doubt is not known."""
    if tool.held != "rented" or "money" in tool.broken:
        return None, None
    if tool.rent is None:
        return said(Reason.NO_RENT_OF, tool=tool.name), None
    units = _rented_units(tool, totals, study, taken)
    others = _of_other_tasks(tool, totals, study, lambda other: _rented_units(tool, other, study, taken))
    if isinstance(units, Said):
        return units, None
    if isinstance(others, Said):
        return others, None
    return RentInputs(tool.rent, units.number, others.number), units.why or others.why


def _resale(tool: Tool) -> Figure:
    why = waiting(tool.broken, "money")
    if why is not None or tool.is_others:
        return not_given(why or said(Reason.NOT_YOURS))
    if tool.resale is not None:
        return Figure(tool.resale, said(Basis.AS_WRITTEN))
    if tool.price is None:
        return not_given(said(Reason.NO_PRICE_OF, what=tool.name))
    share, drive = value(tool.kind_row.resale), "powered" if tool.kind_row.is_powered else tool.kind_row.drive
    return Figure(tool.price * share, said(Basis.RESALE_BY_DEFAULT, share=share, kind=drive))


def _life(tool: Tool) -> tuple[float | None, float | None, Said]:
    """Life on the tool's clock, life by age, and their sources."""
    life_h, age, kind = tool.life_h, tool.life_years, tool.kind_row
    defaults = []
    if kind.life_h is not None and life_h is None:
        life_h = value(kind.life_h)
        defaults.append(said(Basis.LIFE_OF_ENGINE))
    if kind.life_years is not None and age is None:
        age = value(kind.life_years)
        defaults.append(said(Basis.LIFE_BY_AGE))
    return life_h, age, several(defaults) or said(Basis.AS_WRITTEN)


def _repair_default(tool: Tool, season: Season) -> str:
    is_written = any(item.tool == tool.name for item in season.upkeep)
    return "" if is_written or "money" in tool.broken else tool.kind_row.repairs or ""


def way_of_having(tool: Tool) -> Said | None:
    """How a tool counts that is not one's own; None for any other."""
    if tool.held == "rented":
        return said(Basis.RENT_OF, tool=tool.name, per=tool.rent_per)
    if tool.held == "borrowed":
        return said(Basis.BORROWED, tool=tool.name)
    return said(Basis.SHARE_OF, tool=tool.name, share=tool.part_frac) if tool.held == "shared" else None


def _missing_of_tools(tools: Sequence[ToolNumbers]) -> dict[Part, Figure]:
    """Why ownership and upkeep of the tools are not given, by the first tool that lacks something."""
    missing: dict[Part, Figure] = {}
    for tool in tools:
        if tool.why is not None:
            missing.setdefault("ownership", tool.why)
            if tool.repair_default or tool.hours_why is not None or "money" in tool.tool.broken:
                missing.setdefault("upkeep", tool.why)
    return missing


def _bases_of_tools(tools: Sequence[ToolNumbers]) -> dict[Part, Said | None]:
    """Bases of ownership and upkeep of the tools."""
    having = [way for tool in tools if (way := way_of_having(tool.tool)) is not None]
    bounds = tuple(tool.tool.name for tool in tools if tool.is_upper_bound)
    if bounds:
        having.append(said(Basis.UPPER_BOUND_OF, tools=bounds))
    by_default = [tool for tool in tools if tool.repair_default]
    repairs = [said(Basis.REPAIRS, tool=tool.tool.name, share=tool.inputs.repair_frac) for tool in by_default]
    is_kept = any(tool.inputs.upkeep for tool in tools)
    return {
        "ownership": several(having) if tools else said(Basis.BARE_HANDS),
        "upkeep": several(repairs) or (None if is_kept else said(Basis.NO_UPKEEP)),
    }


Bought = tuple[float, float, Said | None] | Figure  # amount for a cord, price, basis; or why not given


def _fuel(totals: MethodTotals, study: CostStudy) -> Bought:
    kind = burning_kind(totals.method, study.tools)
    if kind is None:
        return 0.0, 0.0, said(Basis.NO_ENGINE)
    season = study.season
    row, prices = tool_kinds()[kind], season.fuel_prices_per_l
    items = [*(fuel.needed("price_item") for fuel in row.bought), *(["two_stroke_mix"] if row.oil else [])]
    wait = waiting(season.broken, *items)
    lacking = tuple(fuel.name for fuel in row.bought if prices.get(fuel.id) is None)
    price = fuel_price_per_l(kind=kind, prices_per_l=prices, mix_ratio=season.two_stroke_mix_ratio)
    no_price = wait or said(Reason.NO_PRICE_OF, what=lacking)
    used = study.equal.recorded(totals, Recorded.FUEL) or not_given(said(Reason.NO_FUEL_RECORDED))
    return _priced(used, None if wait else price, no_price)


def _bar_oil(totals: MethodTotals, study: CostStudy) -> Bought:
    no_price = waiting(study.season.broken, "bar_oil_price") or said(Reason.NO_PRICE_OF, what=Good.BAR_OIL)
    used = study.equal.recorded(totals, Recorded.BAR_OIL) or Figure(0.0, said(Basis.NO_BAR_OIL))
    return _priced(used, study.season.bar_oil_price_per_l, no_price)


def _electricity(totals: MethodTotals, study: CostStudy) -> Bought:
    if not is_electric(totals.method, study.tools):
        return 0.0, 0.0, said(Basis.NO_ELECTRIC_TOOL)
    no_price = waiting(study.season.broken, "electricity_price") or said(Reason.NO_PRICE_OF, what=Good.ELECTRICITY)
    used = study.equal.recorded(totals, Recorded.ELECTRICITY) or not_given(said(Reason.NO_ELECTRICITY_RECORDED))
    return _priced(used, study.season.electricity_price_per_kwh, no_price)


def _priced(used: Figure, price: float | None, no_price: Said) -> Bought:
    """Amount for a cord with its price, which is needed only if some was used."""
    if used.value is None:
        return used
    if not used.value:
        return 0.0, 0.0, used.basis
    return not_given(no_price) if price is None else (used.value, price, used.basis)


BOUGHT: Mapping[Part, tuple[Recorded, Callable[[MethodTotals, CostStudy], Bought]]] = {
    "fuel": (Recorded.FUEL, _fuel),
    "bar_oil": (Recorded.BAR_OIL, _bar_oil),
    "electricity": (Recorded.ELECTRICITY, _electricity),
}
