"""Which input moves the money of a method most.

Each is moved alone, over the range that a source, the sessions or an assumption of this tool gives it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import ClassVar

from wood_xl.data.load import constant
from wood_xl.draws.figure import Figure, TableRow
from wood_xl.hours.sessions import SessionFigures
from wood_xl.ids import Input
from wood_xl.money.inputs import Gathered, GatheredTool
from wood_xl.money.method import MethodInputs, ToolInputs, method_money
from wood_xl.money.per_method import MethodCost
from wood_xl.money.swings import Swing, Trial, swings
from wood_xl.reasons import Said, said
from wood_xl.records import Session
from wood_xl.verdicts import Tried

MoneyTrial = Trial[MethodInputs]
YOUR_SESSIONS = said(Tried.SESSIONS)
PRICE_RANGE = "cost.try.price"
INTEREST = said(Input.INTEREST)
SCALED = (
    (Input.YEARLY_VOLUME, "cords_per_year", "cost.try.yearly_volume"),
    (Input.FUEL_PRICE, "fuel_price_per_l", PRICE_RANGE),
    (Input.BAR_OIL_PRICE, "bar_oil_price_per_l", PRICE_RANGE),
    (Input.ELECTRICITY_PRICE, "electricity_price_per_kwh", PRICE_RANGE),
)
LEAST_SWING = 0.02  # of the result: what moves it less is left out


@dataclass(frozen=True, eq=False)
class SensitivityRow(TableRow):
    """What one input of a method moves its cost of a cord."""

    table: ClassVar[str] = "sensitivity"
    input: Said
    range: Said
    range_from: Said | str
    total: Tried
    at_low: Figure
    at_high: Figure
    swing: Figure


def sensitivity_rows(costs: Iterable[MethodCost], currency: str) -> list[SensitivityRow]:
    """Every input of every method that moves its cost of a cord, the widest swing first."""
    found: list[tuple[MethodCost, Swing[MethodInputs], bool]] = []
    for cost in costs:
        if cost.gathered is None or cost.money is None or cost.gathered.why_no_cash is not None:
            continue
        with_time = "own_time" not in cost.gathered.missing
        result = _cash_and_time if with_time else _cash
        base = result(cost.gathered.inputs)
        of_method = swings(cost.gathered.inputs, trials(cost.gathered, currency), result)
        found += [(cost, swing, with_time) for swing in of_method if swing.size > LEAST_SWING * base]
    return [_row(*one) for one in sorted(found, key=lambda one: one[1].order)]


def _cash(inputs: MethodInputs) -> float:
    return method_money(inputs).cash


def _cash_and_time(inputs: MethodInputs) -> float:
    return method_money(inputs).cash_and_time


def _row(cost: MethodCost, swing: Swing[MethodInputs], with_time: bool) -> SensitivityRow:
    trial = swing.trial
    numbers = {"base": trial.base, "low": trial.low, "high": trial.high}
    tried = said(Tried.RANGE_IN_UNIT, **numbers, unit=trial.unit) if trial.unit else said(Tried.RANGE, **numbers)
    return SensitivityRow(
        input=said(Tried.INPUT_OF, what=trial.name, method=cost.totals.method.name),
        range=tried,
        range_from=trial.source,
        total=Tried.CASH_AND_TIME if with_time else Tried.CASH,
        at_low=Figure(swing.at_low),
        at_high=Figure(swing.at_high),
        swing=Figure(swing.size),
    )


def trials(gathered: Gathered, currency: str) -> Iterator[MoneyTrial]:
    """Inputs of a method with the range to try for each."""
    for index, tool in enumerate(gathered.tools):
        yield from tool_trials(index, tool, currency)
    inputs = gathered.inputs

    def put_worth(old: MethodInputs, new: float) -> MethodInputs:
        return replace(old, value_of_time_per_h=new)

    yield interest_trial(inputs)
    for name, item, constant_id in SCALED:
        yield _times(said(name), constant_id, _scaled(item))
    yield _around(
        said(Input.VALUE_OF_HOUR), currency, inputs.value_of_time_per_h, "cost.try.value_of_time", put_worth
    )
    yield from _session_trials(gathered)


def interest_trial(inputs: MethodInputs) -> MoneyTrial:
    """Real interest rate over its published range."""

    def put(old: MethodInputs, percent: float) -> MethodInputs:
        return replace(old, rate_frac=percent / 100)

    ends, source = _ends_around(1.0, "cost.real_interest_rate")
    return _trial(INTEREST, "%", 100 * inputs.rate_frac, ends, source, put)


def _scaled(item: str) -> Callable[[MethodInputs, float], MethodInputs]:
    return lambda old, k: replace(old, **{item: k * getattr(old, item)})


def _trial(
    name: Said,
    unit: Said | str,
    base: float,
    ends: tuple[float, float],
    source: Said | str,
    put: Callable[[MethodInputs, float], MethodInputs],
) -> MoneyTrial:
    """A trial whose range holds the base, though what was written lies outside what is published."""
    return Trial(name, unit, base, min(*ends, base), max(*ends, base), source, put)


def _times(name: Said, constant_id: str, put: Callable[[MethodInputs, float], MethodInputs]) -> MoneyTrial:
    """A trial by a factor of what stands there."""
    return _around(name, said(Tried.TIMES_WRITTEN), 1.0, constant_id, put)


def _around(
    name: Said, unit: Said | str, base: float, constant_id: str, put: Callable[[MethodInputs, float], MethodInputs]
) -> MoneyTrial:
    """A trial from a share of what stands there to a multiple of it."""
    ends, source = _ends_around(base, constant_id)
    return _trial(name, unit, base, ends, source, put)


def _ends_around(base: float, constant_id: str) -> tuple[tuple[float, float], str]:
    known = constant(constant_id)
    return ((known.low or 0.0) * base, (known.high or 0.0) * base), known.known


def _in_tool(
    index: int, change: Callable[[ToolInputs, float], ToolInputs]
) -> Callable[[MethodInputs, float], MethodInputs]:
    def put(old: MethodInputs, new: float) -> MethodInputs:
        tools = list(old.tools)
        tools[index] = change(tools[index], new)
        return replace(old, tools=tuple(tools))

    return put


def tool_trials(index: int, tool: GatheredTool, currency: str) -> Iterator[MoneyTrial]:
    """Price, lives, repairs and upkeep of the tool at a place among those of its method."""
    name, inputs = tool.tool.named, tool.inputs
    if inputs.price:
        put_price = _in_tool(index, lambda t, new: replace(t, price=new))
        yield _around(said(Input.PRICE_OF_TOOL, tool=name), currency, inputs.price, PRICE_RANGE, put_price)
    yield from life_trials(index, tool)
    if tool.repair_default:
        ends, source = _ends_around(1.0, tool.repair_default)
        put_repairs = _in_tool(index, lambda t, new: replace(t, repair_frac=new))
        yield _trial(said(Input.REPAIRS, tool=name), "", inputs.repair_frac, ends, source, put_repairs)
    if inputs.upkeep:
        yield _times(said(Input.UPKEEP, tool=name), PRICE_RANGE, _in_tool(index, _with_dearer_upkeep))


def kept_trials(index: int, tool: GatheredTool, currency: str) -> Iterator[MoneyTrial]:
    """What a tool that was bought already would bring now, and how long it will serve: they move no long-run cash."""
    name, inputs = tool.tool.named, tool.inputs
    if inputs.is_owned and inputs.worth_today:
        put_worth = _in_tool(index, lambda t, new: replace(t, worth_today=new))
        yield _around(said(Input.WORTH_TODAY, tool=name), currency, inputs.worth_today, PRICE_RANGE, put_worth)
    if inputs.is_owned and inputs.years_left:
        put_years = _in_tool(index, lambda t, new: replace(t, years_left=new))
        yield _around(said(Input.YEARS_LEFT, tool=name), "years", inputs.years_left, "cost.try.life", put_years)


def _with_dearer_upkeep(tool: ToolInputs, k: float) -> ToolInputs:
    return replace(tool, upkeep=tuple(replace(item, price=k * item.price) for item in tool.upkeep))


def life_trials(index: int, tool: GatheredTool) -> Iterator[MoneyTrial]:
    """Life in hours over what sources say of its engine, by age over the default's range; else by a factor."""
    name, inputs, kind = tool.tool.named, tool.inputs, tool.tool.kind_row
    if inputs.life_h is not None:
        ends, source = _life_ends(inputs.life_h, kind.life_h)
        clock = Input.LIFE_RUNNING if kind.is_powered else Input.LIFE_AT_WORK
        put = _in_tool(index, lambda t, new: replace(t, life_h=new))
        yield _trial(said(clock, tool=name), "h", inputs.life_h, ends, source, put)
    if inputs.age_limit_years is not None:
        ends, source = _life_ends(inputs.age_limit_years, kind.life_years)
        put = _in_tool(index, lambda t, new: replace(t, age_limit_years=new))
        yield _trial(said(Input.LIFE_BY_AGE, tool=name), "years", inputs.age_limit_years, ends, source, put)


def _life_ends(base: float, constant_id: str | None) -> tuple[tuple[float, float], str]:
    """Range of a life and where it is from."""
    return _ends_around(1.0, constant_id) if constant_id else _ends_around(base, "cost.try.life")


def _session_trials(gathered: Gathered) -> Iterator[MoneyTrial]:
    """What the sessions themselves show: pace, share of the time that is work, fuel."""
    inputs, counted = gathered.inputs, gathered.totals.counted
    pace = _ends(counted, _working_h_per_cord)
    if pace and inputs.working_h_per_cord:
        yield _trial(said(Input.WORKING_HOURS), "h", inputs.working_h_per_cord, pace, YOUR_SESSIONS, with_pace)
    worked = _ends(counted, _working_share)
    if worked and worked[0] > 0 and inputs.working_h_per_cord:
        base = 100 * inputs.working_h_per_cord / inputs.clock_h_per_cord
        ends = (100 * worked[0], 100 * worked[1])
        yield _trial(said(Input.SHARE_OF_WORK), "%", base, ends, YOUR_SESSIONS, _with_share)
    fuel = _ends(counted, lambda s: _per_cord(s, lambda session: session.fuel_l))
    if fuel and inputs.fuel_l_per_cord:
        mean = inputs.fuel_l_per_cord
        ends = (fuel[0] / mean, fuel[1] / mean)
        yield _trial(
            said(Input.FUEL_OF_A_CORD), said(Tried.TIMES_MEAN), 1.0, ends, YOUR_SESSIONS, _scaled("fuel_l_per_cord")
        )


def _ends(
    counted: Iterable[SessionFigures], of: Callable[[SessionFigures], float | None]
) -> tuple[float, float] | None:
    values = [found for session in counted if (found := of(session)) is not None]
    return (min(values), max(values)) if len(values) > 1 else None


def _working_h_per_cord(figures: SessionFigures) -> float | None:
    if figures.time is None or figures.quantity is None:
        return None
    return figures.time.machine_h / figures.quantity.cords


def _working_share(figures: SessionFigures) -> float | None:
    return None if figures.time is None else figures.time.machine_h / figures.time.clock_h


def _per_cord(figures: SessionFigures, amount: Callable[[Session], float | None]) -> float | None:
    used = amount(figures.session)
    return None if used is None or figures.quantity is None else used / figures.quantity.cords


def with_pace(old: MethodInputs, working_h_per_cord: float) -> MethodInputs:
    """The hours of work of the method at another pace; pauses, service and what is burnt for a cord are held.

    Everybody works at that pace: the crew shares what is no work alike, as in ``delay_free_worker_min``.
    """
    k = working_h_per_cord / old.working_h_per_cord
    more_h = working_h_per_cord - old.working_h_per_cord
    crew_n = old.worker_h_per_cord / old.clock_h_per_cord
    return replace(
        old,
        tools=tuple(replace(tool, hours_per_cord=k * tool.hours_per_cord) for tool in old.tools),
        clock_h_per_cord=old.clock_h_per_cord + more_h,
        working_h_per_cord=working_h_per_cord,
        worker_h_per_cord=old.worker_h_per_cord + crew_n * more_h,
    )


def _with_share(old: MethodInputs, percent: float) -> MethodInputs:
    """The same work in more or less time at the workplace."""
    k = 100 * old.working_h_per_cord / old.clock_h_per_cord / percent
    return replace(old, clock_h_per_cord=k * old.clock_h_per_cord, worker_h_per_cord=k * old.worker_h_per_cord)
