"""How sure cash and CO2e are: what sessions scatter, and what all of them share."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from builders import Data, small_season, tables

from wood_xl import season as season_module
from wood_xl.air.method import choices
from wood_xl.air.method_accounts import emission_accounts
from wood_xl.data.load import value
from wood_xl.draws.figure import Figure
from wood_xl.draws.moderated import rate_of_parts, rate_of_sessions
from wood_xl.draws.shared_factors import log_variance
from wood_xl.draws.strata import normal_draws
from wood_xl.hours.rates import MethodRate
from wood_xl.hours.season_rates import SeasonRates
from wood_xl.ids import Input
from wood_xl.money.method import MethodInputs, method_money
from wood_xl.reasons import Basis, Named, Reason, said, several
from wood_xl.schema.words import words

HAND, SAW = "By bow saw", "By chain saw"
INTERVALS = ("cash", "own_time", "cash_and_time", "co2e", "co2e_running")


def season(sessions_n: int = 3, *, fuel_n: int | None = None, second: bool = False, **items: Any) -> Data:
    """Sessions of a bow saw and of a chain saw; a second chain saw on request."""
    data = small_season() | {"helpers": [], "stacks": []}
    methods = [HAND, SAW]
    if second:
        data["tools"].append({"tool": "Big saw", "kind": "gasoline two-stroke", "price": 6000})
        data["upkeep"].append({"tool": "Big saw", "item": "Chain", "price": 300, "every": 30, "per": "hours"})
        data["methods"].append({"method": "By big saw", "task": "buck", "tool_1": "Big saw"})
        methods.append("By big saw")
    data["sessions"], data["cuts"] = [], []
    for method in methods:
        for i in range(sessions_n):
            name = f"{method} {i}"
            row = {
                "session": name,
                "method": method,
                "elapsed_time": 60 + 3 * (-1) ** i,
                "date": f"2026-03-{i + 1:02}",
            }
            if method != HAND and (fuel_n is None or i < fuel_n):
                row["fuel_used"] = 0.5 + 0.02 * (-1) ** i
            data["sessions"].append(row)
            data["cuts"].append({"session": name, "diameter": 20, "cuts": 10})
    data["season"] |= {"value_of_time": 100, **items}
    data["units"]["season"]["value_of_time"] = "per h"
    return data


def per_cord(data: Data, method: str) -> dict[str, Any]:
    return next(row for row in tables(data).tables["rates_per_cord"] if row["method"] == method)


def width(figure: Figure) -> float:
    assert figure.low is not None
    assert figure.high is not None
    return math.log(figure.high / figure.low)


def test_every_figure_of_money_and_air_has_an_interval_around_its_value() -> None:
    row = per_cord(season(), SAW)
    for key in INTERVALS:
        figure = row[key]
        assert None not in (figure.value, figure.low, figure.high), key
        assert figure.low < figure.value < figure.high, key
        assert words(figure.reason) == "", key


def test_what_is_not_used_has_no_interval_and_says_so() -> None:
    none = several([said(Basis.NO_ENGINE), said(Basis.NO_ELECTRIC_TOOL)])
    assert per_cord(season(), HAND)["co2e_running"] == Figure(0.0, none, reason=said(Reason.TAKES_NONE))


def test_own_time_is_as_sure_as_the_hours() -> None:
    row = per_cord(season(), SAW)
    assert width(row["own_time"]) == pytest.approx(width(row["worker_hours"]))


@pytest.mark.parametrize("key", ["cash", "co2e", "co2e_running"])
def test_fewer_sessions_make_wider_intervals(key: str) -> None:
    assert width(per_cord(season(2), SAW)[key]) > width(per_cord(season(6), SAW)[key])


def test_fuel_counts_the_sessions_that_recorded_it() -> None:
    few, all_of_them = (per_cord(season(6, fuel_n=n), SAW) for n in (2, 6))
    assert width(few["co2e_running"]) > 1.3 * width(all_of_them["co2e_running"])
    assert width(few["worker_hours"]) == width(all_of_them["worker_hours"])


def test_a_cord_that_the_usual_solid_fraction_turns_is_less_sure() -> None:
    data = season()
    usual = per_cord(data, SAW)["co2e_running"]
    data["season"]["solid_fraction"] = 0.64
    assert width(usual) > 1.02 * width(per_cord(data, SAW)["co2e_running"])


@pytest.fixture
def rates_of(monkeypatch: pytest.MonkeyPatch) -> Any:
    """The rates of a season as its tables use them."""

    def of(data: Data) -> SeasonRates:
        made: list[SeasonRates] = []

        def catching(*args: Any) -> SeasonRates:
            made.append(SeasonRates(*args))
            return made[-1]

        monkeypatch.setattr(season_module, "SeasonRates", catching)
        tables(data)
        return made[0]

    return of


def rate_of(rates: SeasonRates, method: str, key: str) -> MethodRate:
    totals = next(t for t in rates.study.totals if t.method.name == method)
    found = rates.rate(totals, key)
    assert isinstance(found, MethodRate), found
    return found


def test_parts_add_up_to_the_figure(rates_of: Any) -> None:
    rates = rates_of(season(electricity_price=1.5))
    for key in INTERVALS:
        found = rate_of(rates, SAW, key)
        assert math.fsum(term.value for term in found.common.terms) == pytest.approx(found.rate.value, rel=1e-12)


def test_common_factors_cancel_between_methods_that_share_them(rates_of: Any) -> None:
    rates = rates_of(season(second=True))
    for key, share in (("co2e_running", 0.01), ("cash", 0.9)):
        one, other = (rate_of(rates, method, key) for method in (SAW, "By big saw"))
        apart = one.common_variance + other.common_variance
        together = log_variance(draws=one.common.draws / other.common.draws)
        assert together < share * apart, key
    fuel = [rate_of(rates, method, "co2e_running").common.draws for method in (SAW, "By big saw")]
    assert fuel[0] / fuel[1] == pytest.approx(fuel[0][0] / fuel[1][0])


def test_another_factor_leaves_the_draws_of_the_others_as_they_are(rates_of: Any) -> None:
    one, other = (rate_of(rates_of(season(second=second)), SAW, "cash") for second in (False, True))
    assert one.common.draws == pytest.approx(other.common.draws, rel=1e-12)
    assert said(Input.PRICE_OF_FUEL, fuel=Named("gasoline", "gasoline")) in one.common.spreads


def moved(inputs: MethodInputs, factor: dict[str, float]) -> MethodInputs:
    """The chain with every common factor of the money moved, by hand."""
    tool = inputs.tools[0]
    name = tool.name
    at = {key: factor.get(key, 1.0) for key in (f"price of {name}", f"prices of upkeep of {name}")}
    life_h = factor.get(f"life in running hours of {name}", 1.0)
    age = factor.get(f"life by age of {name}", 1.0)
    tool = replace(
        tool,
        price=tool.price * at[f"price of {name}"],
        life_h=(tool.life_h or 0.0) * life_h,
        age_limit_years=(tool.age_limit_years or 0.0) * age,
        upkeep=tuple(replace(u, price=u.price * at[f"prices of upkeep of {name}"]) for u in tool.upkeep),
    )
    gasoline, oil = factor["price of gasoline"], factor["price of two-stroke oil"]
    return replace(
        inputs,
        tools=(tool,),
        rate_frac=(1 + inputs.rate_frac) * factor.get("real interest rate", 1.0) - 1,
        fuel_price_per_l=(50 * 20 * gasoline + 100 * oil) / 51,
    )


@pytest.mark.parametrize("yearly_volume", [10, 1000])
def test_slopes_agree_with_the_whole_chain_computed_again(rates_of: Any, yearly_volume: float) -> None:
    """Ownership by its mean slope; where life goes by age and where it goes by hours."""
    rates = rates_of(season(yearly_volume=yearly_volume, real_interest_rate=3))
    cash, inputs = rate_of(rates, SAW, "cash"), rates.costs[SAW].gathered.inputs
    keys = [key for key in cash.common.spreads if key.id not in (Input.TAPE, Input.SOLID_FRACTION)]
    logs = {key: math.sqrt(math.log1p(cash.common.spreads[key] ** 2)) * normal_draws(key=key) for key in keys}
    again = [
        method_money(moved(inputs, {words(key): math.exp(logs[key][i]) for key in keys})).cash
        for i in range(logs[keys[0]].size)
    ]
    exact = log_variance(draws=np.array(again)) ** 0.5
    assert cash.common_variance**0.5 == pytest.approx(exact, rel=0.15)
    assert exact > 0.05


def test_factors_of_emissions_agree_with_the_whole_chain_computed_again(rates_of: Any) -> None:
    rates = rates_of(season())
    found, running = rates.emitted[SAW], rate_of(rates, SAW, "co2e_running")
    keys = [
        key
        for key in running.common.spreads
        if isinstance(key, str) and key.startswith(("co2.", "ch4.", "n2o.", "upstream."))
    ]
    assert {"co2.gasoline", "ch4.epa_hub.two_stroke", "n2o.epa_hub.two_stroke", "upstream.gasoline"} <= set(keys)
    logs = {key: math.sqrt(math.log1p(running.common.spreads[key] ** 2)) * normal_draws(key=key) for key in keys}

    def kg(i: int) -> float:
        def factor(asked: str) -> float:
            return value(asked) * (math.exp(logs[asked][i]) if asked in logs else 1.0)

        return emission_accounts(found.amounts, choices(rates.study.season), factor=factor).running_kg

    exact = log_variance(draws=np.array([kg(i) for i in range(4096)])) ** 0.5
    without_wood = replace(
        running.common, terms=[replace(t, powers=only(t.powers, keys)) for t in running.common.terms]
    )
    assert log_variance(draws=without_wood.draws) ** 0.5 == pytest.approx(exact, rel=0.05)


def only(powers: Any, keys: list[str]) -> dict[str, float]:
    return {key: power for key, power in powers.items() if key in keys}


def test_errors_of_what_a_session_takes_are_added_as_they_are() -> None:
    hours = rate_of_sessions(amounts=[60.0, 70.0, 65.0], quantities=[1.0, 1.1, 1.0])
    fuel = rate_of_sessions(amounts=[2.0, 2.5], quantities=[1.0, 1.1])
    both = rate_of_parts(figure=10.0, parts=[(0.25, hours), (0.5, fuel)])
    assert both.se_log == pytest.approx(0.25 * hours.se_log + 0.5 * fuel.se_log)
    assert (both.n, both.df, both.value) == (2, fuel.df, 10.0)
    # residuals -2.903, 0.806 and 2.097 from 62.903 for each of 1.033; -1/7 and 1/7 from 15/7 for each of 1.05
    by_hand = 0.25 * math.sqrt(13.4774 / 6) / 1.03333 / 62.9032 + 0.5 * (1 / 7) / 1.05 / (15 / 7)
    assert both.linear_se_frac == pytest.approx(by_hand, rel=1e-4)
    assert rate_of_parts(figure=10.0, parts=[(1.0, hours)]).interval == pytest.approx(
        tuple(10.0 / hours.value * end for end in hours.interval)
    )


def compared(data: Data, figure: str) -> dict[str, Any]:
    return next(row for row in tables(data).tables["comparisons"] if row["figure"] == figure)


@pytest.mark.parametrize("figure", ["cash", "co2e"])
def test_methods_are_compared_by_cash_and_air(figure: str) -> None:
    row, found = compared(season(), figure), [per_cord(season(), method)[figure].value for method in (SAW, HAND)]
    assert (row["more"], row["less"], row["ground"], row["counts"]) == (SAW, HAND, "all sessions", "yes")
    assert row["ratio"].value == pytest.approx(found[0] / found[1])
    assert row["ratio"].low < row["ratio"].value < row["ratio"].high
    assert row["verdict"] == f"{HAND} takes less"
    assert row["takes_less"].value > 95
    assert row["data_only"].low > row["ratio"].low


def test_a_ratio_of_cash_is_surer_than_prices_that_both_pay_would_make_it(rates_of: Any) -> None:
    data = season(second=True)
    row = next(
        row
        for row in tables(data).tables["comparisons"]
        if row["figure"] == "cash" and HAND not in (row["more"], row["less"])
    )
    rates = rates_of(data)
    one, other = (rate_of(rates, method, "cash") for method in (SAW, "By big saw"))
    naive = math.hypot(*(math.log(r.estimate.interval()[1] / r.rate.value) for r in (one, other)))
    assert math.log(row["ratio"].high / row["ratio"].value) < 0.95 * naive


def free(data: Data) -> Data:
    """The bow saw for nothing, so that its cash is 0."""
    data["tools"][0]["price"] = 0
    return data


def test_a_method_that_takes_none_has_no_ratio_and_a_clear_verdict() -> None:
    row = compared(free(season()), "cash")
    assert (row["more"], row["less"], row["surety"]) == (SAW, HAND, "clearly")
    assert words(row["ratio"].reason) == f"{HAND} takes none: the difference is all that the other takes"
    assert (row["verdict"], row["further"]) == (f"{HAND} takes less", "none for the choice")
    assert (row["takes_less"].value, row["beyond_margin"].value) == pytest.approx((99.9, 99.9))


def test_two_methods_that_take_none_are_alike() -> None:
    data = free(season())
    data["methods"][1]["tool_1"] = "Bow saw"
    for row in data["sessions"]:
        row.pop("fuel_used", None)
    row = compared(data, "cash")
    assert (words(row["ratio"].reason), row["verdict"]) == ("both take none", "practically the same")
    assert row["takes_less"].value is None


def test_what_is_not_known_of_one_is_not_compared() -> None:
    data = season()
    del data["tools"][1]["price"]
    row = compared(data, "cash")
    assert (words(row["ratio"].reason), row["verdict"]) == ("no price of Chain saw", "cannot tell yet")


def test_the_choice_among_combinations_counts_the_doubt_of_cash_and_air() -> None:
    choice = {row["question"]: row for row in tables(season(second=True)).tables["choice"]}
    assert (choice["Money"]["best"], choice["Carbon"]["best"]) == (f"A: {HAND}", f"A: {HAND}")
    assert choice["Money"]["sure"].value > 99
    assert choice["Carbon"]["sure"].value > 99


def test_a_combination_of_one_method_has_the_interval_of_the_method() -> None:
    found = tables(season()).tables
    combination = next(row for row in found["combinations"] if row["methods"] == SAW)
    method = next(row for row in found["rates_per_cord"] if row["method"] == SAW)
    for key in ("cash", "co2e", "worker_hours"):
        ends = [(row[key].low, row[key].value, row[key].high) for row in (combination, method)]
        assert ends[0] == pytest.approx(ends[1], rel=1e-6), key
