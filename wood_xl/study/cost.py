"""Cash of each method per cord: ownership shared by hours, upkeep, fuel, oil and electricity."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from wood_xl.calc.cost import annual_capital_cost, life_years
from wood_xl.calc.figure import Figure, not_given
from wood_xl.calc.running_cost import fuel_price_per_l, upkeep_per_cord
from wood_xl.data.load import value
from wood_xl.records import Season, Session, Task, Tool
from wood_xl.study.methods import NO_SESSION, MethodTotals
from wood_xl.study.sessions import burning_kind, is_electric, needs

OUT_OF_SEASON = ("currency", "real_interest_rate", "yearly_volume")
FUEL_ITEMS = ("gasoline_price", "diesel_price", "two_stroke_oil_price", "two_stroke_mix")


@dataclass(frozen=True, slots=True)
class ToolYear:
    """What owning one tool costs in a year made with one method."""

    tool: str
    method: str
    price: Figure
    resale: Figure
    hours_per_year: Figure
    life_years: Figure
    yearly_cost: Figure
    share_frac: float | None
    per_cord: Figure


@dataclass(frozen=True, slots=True)
class MethodCost:
    """Cash of one method per cord, by part."""

    ownership: Figure
    upkeep: Figure
    fuel: Figure
    bar_oil: Figure
    electricity: Figure
    cash: Figure
    own_time: Figure
    tool_years: tuple[ToolYear, ...] = field(default=())


@dataclass(frozen=True)
class CostStudy:
    """What all methods' costs share.

    Attributes
    ----------
    yearly_cords : float or None
        Cords a year that ownership is spread over.
    """

    season: Season
    totals: Sequence[MethodTotals]
    yearly_cords: float | None

    @property
    def tools(self) -> dict[str, Tool]:
        """Tools by name."""
        return {tool.name: tool for tool in self.season.tools}


def method_cost(totals: MethodTotals, study: CostStudy) -> MethodCost:
    """Cash of one method per cord of its season's yearly volume.

    A part that cannot be given takes the sum with it: half a cost would flatter its method.
    """
    broken = [study.season.broken[item] for item in OUT_OF_SEASON if item in study.season.broken]
    if "money" in totals.method.broken:
        broken.append(totals.method.broken["money"])
    if broken or not totals.counted:
        why = not_given(needs(broken[0]) if broken else NO_SESSION)
        return MethodCost(why, why, why, why, why, why, why)
    tool_years = tuple(_tool_year(study.tools[tool], totals, study) for tool in totals.method.tools)
    ownership = _sum([year.per_cord for year in tool_years], "no tool is named")
    upkeep = _upkeep(totals, tool_years, study)
    fuel = _fuel(totals, study)
    bar_oil = _bar_oil(totals, study.season)
    electricity = _electricity(totals, study)
    cash = _sum([ownership, upkeep, fuel, bar_oil, electricity], "")
    return MethodCost(
        ownership, upkeep, fuel, bar_oil, electricity, cash, _own_time(totals, study.season), tool_years
    )


def _sum(parts: Iterable[Figure], basis_of_none: str) -> Figure:
    values = []
    for part in parts:
        if part.value is None:
            return part
        values.append(part.value)
    return Figure(math.fsum(values), "" if values else basis_of_none)


def hours_in_year(tool: str, totals: MethodTotals, study: CostStudy) -> tuple[float, float]:
    """Working hours of a tool in a year made with one method: of that method, and of all tasks it serves.

    For each other task that the tool serves, the mean over the methods using it stands in, since only one of them
    will be chosen.
    """
    cords = study.yearly_cords or 0.0
    own = cords * (totals.machine_hours_per_cord or 0.0)
    by_task: dict[Task, list[float]] = {}
    for other in study.totals:
        if tool in other.method.tools and other.method.task != totals.method.task:
            hours = other.machine_hours_per_cord
            if hours is not None:
                by_task.setdefault(other.method.task, []).append(cords * hours)
    return own, math.fsum([own, *(math.fsum(hours) / len(hours) for hours in by_task.values())])


def _tool_year(tool: Tool, totals: MethodTotals, study: CostStudy) -> ToolYear:
    own_h, all_h = hours_in_year(tool.name, totals, study)
    share = own_h / all_h if all_h > 0 else 1.0
    hours = Figure(all_h)
    if "money" in tool.broken:
        why = not_given(needs(tool.broken["money"]))
        return ToolYear(tool.name, totals.method.name, why, why, hours, why, why, share, why)
    if tool.price is None:
        why = not_given(f"no price of {tool.name}")
        return ToolYear(tool.name, totals.method.name, why, why, hours, why, why, share, why)
    resale = _resale(tool, tool.price)
    life = _life(tool, all_h)
    yearly = _yearly(tool.price, resale, life, study.season)
    per_cord = yearly
    if yearly.value is not None and study.yearly_cords:
        per_cord = Figure(yearly.value * share / study.yearly_cords)
    return ToolYear(tool.name, totals.method.name, Figure(tool.price), resale, hours, life, yearly, share, per_cord)


def _resale(tool: Tool, price: float) -> Figure:
    if tool.resale is not None:
        return Figure(tool.resale, "as written")
    kind = "hand" if tool.kind == "hand" else "powered"
    share = value(f"cost.salvage_frac.{kind}")
    return Figure(price * share, f"default: {share:.0%} of the price of a {kind} tool")


def _life(tool: Tool, hours_per_year: float) -> Figure:
    life_h, age, words = tool.life_h, tool.life_years, "as written"
    if tool.kind != "hand" and life_h is None:
        default = {
            "gasoline two-stroke": "two_stroke",
            "gasoline four-stroke": "four_stroke",
            "diesel": "four_stroke",
        }
        if tool.kind in default:
            life_h, words = value(f"cost.life_h.{default[tool.kind]}"), "default life in hours of this kind of engine"
    if tool.kind != "hand" and age is None:
        age = value("cost.life_years.powered")
        words = "default life by age" if life_h is None else f"{words}; default life by age"
    years = life_years(life_h=life_h, hours_per_year=hours_per_year, age_limit_years=age)
    if years is None:
        return not_given(f"no life of {tool.name}")
    return Figure(years, words)


def _yearly(price: float, resale: Figure, life: Figure, season: Season) -> Figure:
    if price == 0 and not resale.value:
        return Figure(0.0, "free")
    if life.value is None:
        return life
    return Figure(
        annual_capital_cost(
            price=price, resale=resale.value or 0.0, rate_frac=season.real_interest_rate_frac, years=life.value
        )
    )


def _upkeep(totals: MethodTotals, tool_years: Sequence[ToolYear], study: CostStudy) -> Figure:
    shares = {year.tool: year.share_frac or 0.0 for year in tool_years}
    costs = []
    hours = totals.machine_hours_per_cord
    if hours is None or study.yearly_cords is None:
        return not_given("no yearly volume")
    for item in study.season.upkeep:
        if item.tool not in totals.method.tools:
            continue
        cost = upkeep_per_cord(
            price=item.price,
            every=item.every,
            per=item.per,
            hours_per_cord=hours,
            cords_per_year=study.yearly_cords,
        )
        costs.append(cost * shares[item.tool] if item.per == "years" else cost)
    for year in tool_years:
        if "money" in study.tools[year.tool].broken:
            return not_given(needs(study.tools[year.tool].broken["money"]))
    return Figure(math.fsum(costs), "" if costs else "no upkeep item is written")


def recorded(
    totals: MethodTotals, amount: Callable[[Session], float | None], topic: str = "money"
) -> tuple[float, float, int] | str:
    """Amount, cords and number of the sessions that recorded an amount; or the cell that waits for a mend."""
    amounts, cords = [], []
    for figures in totals.counted:
        if topic in figures.session.broken:
            return needs(figures.session.broken[topic])
        used = amount(figures.session)
        if used is not None and figures.quantity is not None:
            amounts.append(used)
            cords.append(figures.quantity.cords)
    return math.fsum(amounts), math.fsum(cords), len(amounts)


def sessions_words(sessions_n: int, all_n: int) -> str:
    """Which sessions recorded an amount."""
    return "" if sessions_n == all_n else f"from {sessions_n} of {all_n} sessions, which recorded it"


def _fuel(totals: MethodTotals, study: CostStudy) -> Figure:
    kind = burning_kind(totals.method, study.tools)
    if kind is None:
        return Figure(0.0, "no engine")
    found = recorded(totals, lambda s: s.fuel_l)
    if isinstance(found, str):
        return not_given(found)
    litres, cords, sessions_n = found
    if not sessions_n:
        return not_given("no session records its fuel")
    if litres == 0:
        return Figure(0.0, sessions_words(sessions_n, len(totals.counted)))
    season = study.season
    broken = [season.broken[item] for item in FUEL_ITEMS if item in season.broken]
    price = fuel_price_per_l(
        kind=kind,
        gasoline_price_per_l=season.gasoline_price_per_l,
        diesel_price_per_l=season.diesel_price_per_l,
        oil_price_per_l=season.two_stroke_oil_price_per_l,
        mix_ratio=season.two_stroke_mix_ratio,
    )
    if price is None:
        return not_given(needs(broken[0]) if broken else f"no price of the fuel of a {kind} tool")
    return Figure(litres * price / cords, sessions_words(sessions_n, len(totals.counted)))


def _bar_oil(totals: MethodTotals, season: Season) -> Figure:
    found = recorded(totals, lambda s: s.bar_oil_l)
    if isinstance(found, str):
        return not_given(found)
    return _priced(found, season.bar_oil_price_per_l, "bar_oil_price", "bar oil", totals, season)


def _electricity(totals: MethodTotals, study: CostStudy) -> Figure:
    if not is_electric(totals.method, study.tools):
        return Figure(0.0, "no electric tool")
    found = recorded(totals, lambda s: s.electricity_kwh)
    if isinstance(found, str):
        return not_given(found)
    if not found[2]:
        return not_given("no session records its electricity")
    price = study.season.electricity_price_per_kwh
    return _priced(found, price, "electricity_price", "electricity", totals, study.season)


def _priced(
    found: tuple[float, float, int], price: float | None, item: str, what: str, totals: MethodTotals, season: Season
) -> Figure:
    amount, cords, sessions_n = found
    if not sessions_n:
        return Figure(0.0, f"no {what} is written")
    if amount == 0:
        return Figure(0.0, sessions_words(sessions_n, len(totals.counted)))
    if price is None:
        return not_given(needs(season.broken[item]) if item in season.broken else f"no price of {what}")
    return Figure(amount * price / cords, sessions_words(sessions_n, len(totals.counted)))


def _own_time(totals: MethodTotals, season: Season) -> Figure:
    if "value_of_time" in season.broken:
        return not_given(needs(season.broken["value_of_time"]))
    if season.value_of_time_per_h is None:
        return not_given("no value of an hour is given")
    return Figure((totals.worker_hours_per_cord or 0.0) * season.value_of_time_per_h)
