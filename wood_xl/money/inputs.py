"""What the season says of a method's money, as the plain numbers that ``calc.method_money`` takes.

What cannot be told is left at 0 in them, and the part of the money that needs it is named in ``missing`` with the
reason, so that half a cost is never shown as a whole one.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from wood_xl.data.load import value
from wood_xl.data.trade import tool_kinds
from wood_xl.draws.figure import Figure, not_given
from wood_xl.hours.equal_terms import AMOUNTS
from wood_xl.hours.methods import MethodTotals, why_no_session
from wood_xl.hours.sessions import burning_kind, is_electric, needs
from wood_xl.ids import Good, Recorded
from wood_xl.money.cost_study import CostStudy, from_sessions, recorded
from wood_xl.money.method import MethodInputs, RentInputs, ToolInputs, UpkeepInputs
from wood_xl.money.spending import fuel_price_per_l
from wood_xl.reasons import Basis, Reason, Said, said, several
from wood_xl.records import Season, Tool

Part = Literal["ownership", "upkeep", "fuel", "bar_oil", "electricity", "own_time"]
CASH_PARTS: tuple[Part, ...] = ("ownership", "upkeep", "fuel", "bar_oil", "electricity")
RENTED_DAYS = {"day": 1, "week": 7}
OUT_OF_SEASON = ("currency", "real_interest_rate", "yearly_volume")


@dataclass(frozen=True, slots=True)
class GatheredTool:
    """One tool of a method: its numbers, and what must be said beside them.

    why: why owning it cannot be given; None if it can.
    hours_why: why its hours cannot be told; None if they can.
    price, resale: as shown.
    hours_basis, life_basis: whose hours, and where the life is from.
    is_upper_bound: whether the hours at work stand in for running hours.
    life_default, repair_default: ids of the constants that stepped in; empty if none.
    """

    tool: Tool
    inputs: ToolInputs
    why: Figure | None
    hours_why: Said | None
    price: Figure
    resale: Figure
    hours_basis: Said | None
    life_basis: Said
    is_upper_bound: bool
    life_default: str = ""
    repair_default: str = ""


@dataclass(frozen=True, slots=True)
class Gathered:
    """Plain numbers of a method, with what is missing and what must be said.

    inputs: with 0 for what is missing.
    missing: part of the money to the reason that it cannot be given.
    bases: part of the money to how it was come by, where that must be said.
    """

    totals: MethodTotals
    inputs: MethodInputs
    tools: tuple[GatheredTool, ...]
    missing: dict[Part, Figure]
    bases: dict[Part, Said | None]

    @property
    def why_no_cash(self) -> Figure | None:
        """Why the sum of the cash cannot be given; None if it can."""
        return next((self.missing[part] for part in CASH_PARTS if part in self.missing), None)


def gather(totals: MethodTotals, study: CostStudy) -> Gathered | Figure:
    """Plain numbers of a method, or why none of its money can be given."""
    season = study.season
    broken = [season.broken[item] for item in OUT_OF_SEASON if item in season.broken]
    if "money" in totals.method.broken:
        broken.append(totals.method.broken["money"])
    if broken:
        return not_given(needs(broken[0]))
    if not totals.counted:
        return not_given(totals.why_none)
    if not study.yearly_cords:
        return not_given(why_no_session(study.totals))
    tools = tuple(gathered_tool(study.tools[name], totals, study) for name in totals.method.tools)
    missing: dict[Part, Figure] = {}
    bases: dict[Part, Said | None] = {}
    _say_of_tools(tools, missing, bases)
    fuel_l, fuel_price = _bought("fuel", _fuel(totals, study), missing, bases)
    oil_l, oil_price = _bought("bar_oil", _bar_oil(totals, study), missing, bases)
    kwh, kwh_price = _bought("electricity", _electricity(totals, study), missing, bases)
    if totals.method.lacks_tool:
        missing = dict.fromkeys(CASH_PARTS, not_given(said(Reason.NO_TOOL)))
    if "value_of_time" in season.broken:
        missing["own_time"] = not_given(needs(season.broken["value_of_time"]))
    elif season.value_of_time_per_h is None:
        missing["own_time"] = not_given(said(Reason.NO_VALUE_OF_HOUR))
    inputs = MethodInputs(
        tools=tuple(tool.inputs for tool in tools),
        cords_per_year=study.yearly_cords,
        rate_frac=season.real_interest_rate_frac,
        clock_h_per_cord=_hours(Recorded.CLOCK_HOURS, totals, study),
        working_h_per_cord=_hours(Recorded.AT_WORK, totals, study),
        worker_h_per_cord=_hours(Recorded.WORKER_HOURS, totals, study),
        fuel_l_per_cord=fuel_l,
        fuel_price_per_l=fuel_price,
        bar_oil_l_per_cord=oil_l,
        bar_oil_price_per_l=oil_price,
        electricity_kwh_per_cord=kwh,
        electricity_price_per_kwh=kwh_price,
        value_of_time_per_h=0.0 if "own_time" in missing else season.value_of_time_per_h or 0.0,
    )
    return Gathered(totals, inputs, tools, missing, bases)


def tool_hours_per_cord(tool: Tool, totals: MethodTotals, study: CostStudy) -> tuple[float, Said | None, bool] | Said:
    """Hours of a tool per cord on its own clock, their basis, and whether they are a bound; or what they wait for.

    A hand tool counts the hours that it is at work (delays and service out). An engine or motor counts those that it
    runs; without a running time the hours at work stand in.
    """
    if not totals.counted:
        return totals.why_none
    at_work = _hours(Recorded.AT_WORK, totals, study)
    if not tool.kind_row.is_powered:
        return at_work, None, False
    sums = recorded(totals, Recorded.RUNNING_HOURS, study, "exposure")
    if isinstance(sums, Said):
        return sums
    hours, sessions_n = sums
    if not sessions_n:
        return at_work, said(Basis.UPPER_BOUND), True
    return hours, from_sessions(sessions_n, len(totals.counted)), False


def _hours(what: Recorded, totals: MethodTotals, study: CostStudy) -> float:
    """Hours for a cord of a method that was tried; every session has them."""
    found = recorded(totals, what, study, "time")
    return 0.0 if isinstance(found, Said) else found[0]


def rented_units_per_cord(tool: Tool, totals: MethodTotals, study: CostStudy) -> float | Said:
    """Hours, days or weeks of rent that a cord takes, before those that are begun count whole; or why not known.

    Days and weeks are those on which a session of the method has a date, by its hours by the clock.
    """
    if tool.rent_per == "hour":
        found = tool_hours_per_cord(tool, totals, study)
        return found if isinstance(found, Said) else found[0]
    if not totals.counted:
        return totals.why_none
    dated = [figures for figures in totals.counted if figures.session.date]
    hours = math.fsum(AMOUNTS[Recorded.CLOCK_HOURS](figures) or 0.0 for figures in dated)
    if not hours:
        return said(Reason.NO_DATE_OF_RENT, tool=tool.name, method=totals.method.name)
    spells_n = spells([figures.session.date or "" for figures in dated], RENTED_DAYS[tool.rent_per])
    return spells_n / hours * _hours(Recorded.CLOCK_HOURS, totals, study)


def spells(dates: Iterable[str], days_n: int) -> int:
    """How many stretches of so many days it takes to hold all dates, the next begun when it is needed.

    >>> spells(["2026-03-02", "2026-03-08", "2026-03-09", "2026-03-02"], 7)
    2
    """
    begun: list[dt.date] = []
    for day in sorted(map(dt.date.fromisoformat, dates)):
        if not begun or (day - begun[-1]).days >= days_n:
            begun.append(day)
    return len(begun)


def gathered_tool(tool: Tool, totals: MethodTotals, study: CostStudy) -> GatheredTool:
    """Plain numbers of one tool in a method: its hours, its life and what having it costs."""
    hours_or_why = tool_hours_per_cord(tool, totals, study)
    others = _other_hours(tool, totals, study)
    hours_why = next((why for why in (hours_or_why, others) if isinstance(why, Said)), None)
    whys = [] if hours_why is None else [not_given(hours_why)]
    hours, hours_basis, is_upper_bound = (0.0, None, False) if isinstance(hours_or_why, Said) else hours_or_why
    if "money" in tool.broken:
        whys.insert(0, not_given(needs(tool.broken["money"])))
    elif tool.price is None and not tool.is_others:
        whys.append(not_given(said(Reason.NO_PRICE_OF, what=tool.name)))
    rent = _rent(tool, totals, study)
    if isinstance(rent, Said):
        whys.append(not_given(rent))
    life_h, age_limit, life_basis, life_default = _life(tool)
    if life_h is None and age_limit is None and tool.price and not tool.is_others:
        whys.append(not_given(said(Reason.NO_LIFE_OF, tool=tool.name)))
    price = 0.0 if whys or tool.is_others or tool.price is None else tool.price
    resale = _resale(tool)
    repair_default = _repair_default(tool, study.season)
    inputs = ToolInputs(
        name=tool.name,
        price=price,
        resale_frac=(resale.value or 0.0) / price if price else 0.0,
        hours_per_cord=hours,
        other_hours_per_cord=0.0 if isinstance(others, Said) else others,
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
    shown = why if why is not None and (tool.price is None or "money" in tool.broken) else _price(tool)
    return GatheredTool(
        tool=tool,
        inputs=inputs,
        why=why,
        hours_why=hours_why,
        price=shown,
        resale=resale,
        hours_basis=hours_basis,
        life_basis=life_basis,
        is_upper_bound=is_upper_bound,
        life_default=life_default,
        repair_default=repair_default,
    )


def still_to_buy(tool: Tool) -> Said:
    """Why a tool counts as still to buy."""
    if tool.held == "shared":
        return said(Basis.SHARE_TO_PAY, share=tool.part_frac)
    return said(Basis.NOT_SAID_WHETHER_BOUGHT if tool.held is None else Basis.NOT_BOUGHT_YET)


def serving_others(tool: Tool, totals: MethodTotals, study: CostStudy) -> dict[str, list[MethodTotals]]:
    """Methods of other tasks that a tool serves, by task.

    For each task the mean over its methods stands in, since only one of them will be chosen.
    """
    by_task: dict[str, list[MethodTotals]] = {}
    for other in study.totals:
        tells = other.counted or other.waiting_cells
        if tool.name in other.method.tools and other.method.task != totals.method.task and tells:
            by_task.setdefault(other.method.task, []).append(other)
    return by_task


def _other_hours(tool: Tool, totals: MethodTotals, study: CostStudy) -> float | Said:
    """Hours per cord of the other tasks that a tool serves."""

    def hours(other: MethodTotals) -> float | Said:
        found = tool_hours_per_cord(tool, other, study)
        return found if isinstance(found, Said) else found[0]

    return _of_other_tasks(serving_others(tool, totals, study), hours)


def _of_other_tasks(
    by_task: dict[str, list[MethodTotals]], amount: Callable[[MethodTotals], float | Said]
) -> float | Said:
    means: list[float] = []
    for methods in by_task.values():
        amounts: list[float] = []
        for found in map(amount, methods):
            if isinstance(found, Said):
                return found
            amounts.append(found)
        means.append(math.fsum(amounts) / len(amounts))
    return math.fsum(means)


def _rent(tool: Tool, totals: MethodTotals, study: CostStudy) -> RentInputs | Said | None:
    """Rent of a rented tool, or why it cannot be told; None for any other."""
    if tool.held != "rented" or "money" in tool.broken:
        return None
    if tool.rent is None:
        return said(Reason.NO_RENT_OF, tool=tool.name)
    units = rented_units_per_cord(tool, totals, study)
    others = _of_other_tasks(
        serving_others(tool, totals, study), lambda other: rented_units_per_cord(tool, other, study)
    )
    if isinstance(units, Said):
        return units
    return others if isinstance(others, Said) else RentInputs(tool.rent, units, others)


def _price(tool: Tool) -> Figure:
    return not_given(said(Reason.NOT_YOURS)) if tool.price is None else Figure(tool.price, said(Basis.AS_WRITTEN))


def _resale(tool: Tool) -> Figure:
    if "money" in tool.broken:
        return not_given(needs(tool.broken["money"]))
    if tool.is_others:
        return not_given(said(Reason.NOT_YOURS))
    if tool.resale is not None:
        return Figure(tool.resale, said(Basis.AS_WRITTEN))
    if tool.price is None:
        return not_given(said(Reason.NO_PRICE_OF, what=tool.name))
    share, drive = value(tool.kind_row.resale), "powered" if tool.kind_row.is_powered else tool.kind_row.drive
    return Figure(tool.price * share, said(Basis.RESALE_BY_DEFAULT, share=share, kind=drive))


def _life(tool: Tool) -> tuple[float | None, float | None, Said, str]:
    """Life on the tool's clock, life by age, where they are from, and the constant that the first is from."""
    life_h, age, default, kind = tool.life_h, tool.life_years, "", tool.kind_row
    defaults = []
    if kind.life_h is not None and life_h is None:
        default = kind.life_h
        life_h = value(default)
        defaults.append(said(Basis.LIFE_OF_ENGINE))
    if kind.life_years is not None and age is None:
        age = value(kind.life_years)
        defaults.append(said(Basis.LIFE_BY_AGE))
    return life_h, age, several(defaults) or said(Basis.AS_WRITTEN), default


def _repair_default(tool: Tool, season: Season) -> str:
    """Constant for the repairs of a powered tool for which no upkeep is written; empty if they need none."""
    is_written = any(item.tool == tool.name for item in season.upkeep)
    return "" if is_written or "money" in tool.broken else tool.kind_row.repairs or ""


def way_of_having(tool: Tool) -> Said | None:
    """How a tool is counted that is not one's own, in a few words; None for any other."""
    if tool.held == "rented":
        return said(Basis.RENT_OF, tool=tool.name, per=tool.rent_per)
    if tool.held == "borrowed":
        return said(Basis.BORROWED, tool=tool.name)
    return said(Basis.SHARE_OF, tool=tool.name, share=tool.part_frac) if tool.held == "shared" else None


def _say_of_tools(tools: Sequence[GatheredTool], missing: dict[Part, Figure], bases: dict[Part, Said | None]) -> None:
    bounds, repairs, is_empty = [], [], True
    having = [way for tool in tools if (way := way_of_having(tool.tool)) is not None]
    for tool in tools:
        if tool.why is not None:
            missing.setdefault("ownership", tool.why)
            if tool.repair_default or tool.hours_why is not None or "money" in tool.tool.broken:
                missing.setdefault("upkeep", tool.why)
        if tool.is_upper_bound:
            bounds.append(tool.tool.name)
        if tool.repair_default:
            repairs.append(said(Basis.REPAIRS, tool=tool.tool.name, share=tool.inputs.repair_frac))
        is_empty = is_empty and not tool.inputs.upkeep and not tool.repair_default
    if not tools:
        bases["ownership"] = said(Basis.BARE_HANDS)
    elif bounds or having:
        bases["ownership"] = several(
            [*having, *([said(Basis.UPPER_BOUND_OF, tools=tuple(bounds))] if bounds else [])]
        )
    bases["upkeep"] = several(repairs) or (said(Basis.NO_UPKEEP) if is_empty else None)


Bought = tuple[float, float, Said | None] | Figure  # amount per cord, price, basis; or why not


def _bought(
    part: Part, amount_or_why: Bought, missing: dict[Part, Figure], bases: dict[Part, Said | None]
) -> tuple[float, float]:
    if isinstance(amount_or_why, Figure):
        missing[part] = amount_or_why
        return 0.0, 0.0
    amount, price, bases[part] = amount_or_why
    return amount, price


def _fuel(totals: MethodTotals, study: CostStudy) -> Bought:
    kind = burning_kind(totals.method, study.tools)
    if kind is None:
        return 0.0, 0.0, said(Basis.NO_ENGINE)
    season = study.season
    row, prices = tool_kinds()[kind], season.fuel_prices_per_l
    items = [*(fuel.needed("price_item") for fuel in row.bought), *(["two_stroke_mix"] if row.oil else [])]
    broken = [season.broken[item] for item in items if item in season.broken]
    lacking = tuple(fuel.name for fuel in row.bought if prices.get(fuel.id) is None)
    price = fuel_price_per_l(kind=kind, prices_per_l=prices, mix_ratio=season.two_stroke_mix_ratio)
    no_price = needs(broken[0]) if broken else said(Reason.NO_PRICE_OF, what=lacking)
    used = recorded(totals, Recorded.FUEL, study)
    return _priced(used, totals, None if broken else price, no_price, not_given(said(Reason.NO_FUEL_RECORDED)))


def _bar_oil(totals: MethodTotals, study: CostStudy) -> Bought:
    no_price = _no_price(study.season, "bar_oil_price", Good.BAR_OIL)
    unused = (0.0, 0.0, said(Basis.NO_BAR_OIL))
    used = recorded(totals, Recorded.BAR_OIL, study)
    return _priced(used, totals, study.season.bar_oil_price_per_l, no_price, unused)


def _electricity(totals: MethodTotals, study: CostStudy) -> Bought:
    if not is_electric(totals.method, study.tools):
        return 0.0, 0.0, said(Basis.NO_ELECTRIC_TOOL)
    no_price = _no_price(study.season, "electricity_price", Good.ELECTRICITY)
    unwritten = not_given(said(Reason.NO_ELECTRICITY_RECORDED))
    used = recorded(totals, Recorded.ELECTRICITY, study)
    return _priced(used, totals, study.season.electricity_price_per_kwh, no_price, unwritten)


def _no_price(season: Season, item: str, what: Good) -> Said:
    return needs(season.broken[item]) if item in season.broken else said(Reason.NO_PRICE_OF, what=what)


def _priced(
    sums: tuple[float, int] | Said, totals: MethodTotals, price: float | None, no_price: Said, if_unwritten: Bought
) -> Bought:
    """Amount per cord of the sessions that recorded it, with its price; a price is needed only if some was used."""
    if isinstance(sums, Said):
        return not_given(sums)
    used, sessions_n = sums
    if not sessions_n:
        return if_unwritten
    basis = from_sessions(sessions_n, len(totals.counted))
    if used == 0:
        return 0.0, 0.0, basis
    if price is None:
        return not_given(no_price)
    return used, price, basis
