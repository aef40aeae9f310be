"""The model prints every digit of its worked cases."""

from __future__ import annotations

import math

import numpy as np
import pytest
from few import together
from worked_cases import CASES, MARGIN, as_printed, fit_of, observed_of, require_printed

from wood_xl.data.load import value
from wood_xl.draws import season
from wood_xl.draws.doubt import difference, doubt, factors
from wood_xl.draws.verdicts import further, log_values, next_day, rates, ratios
from wood_xl.verdicts import Apart, Source

EVERY = [name for name in CASES if name != "15"]


def having(key: str) -> list[str]:
    return [name for name in EVERY if CASES[name].get(key)]


def test_digits_are_compared() -> None:
    assert as_printed(3.674696, "3.67470")
    assert not as_printed(3.674690, "3.67470")
    assert as_printed(7.741186e-8, "7.74119e-8")
    assert not as_printed(7.74118e-8, "7.74119e-8")
    with pytest.raises(AssertionError):
        require_printed([1.0, 2.0], ["1.0", "2.1"])


@together("name", having("rates"))
def test_rates(name: str) -> None:
    found = rates(fit_of(name))
    for method, printed in enumerate(CASES[name]["rates"]):
        assert found[method].ends
        require_printed([found[method].value, *found[method].ends], printed)


@pytest.mark.parametrize("name", having("next_day"))
def test_next_day(name: str) -> None:
    fit = fit_of(name)
    for method, printed in enumerate(CASES[name]["next_day"]):
        ends = next_day(fit, method)
        assert ends
        require_printed(list(ends), printed)


@together("name", having("ratios"))
def test_ratios(name: str) -> None:
    found = ratios(fit_of(name), MARGIN)
    for first, second, *printed in CASES[name]["ratios"]:
        ratio = found[int(first), int(second)]
        assert ratio.ends
        assert ratio.order
        require_printed([ratio.value, *ratio.ends, ratio.order.more, ratio.order.within], printed)
        assert ratio.order.less == pytest.approx(1 - ratio.order.more, abs=1e-12)
        assert ratio.order.less_by_margin < ratio.order.less


@together("name", having("verdicts"))
def test_verdicts(name: str) -> None:
    found = [one.order.surety.key for one in ratios(fit_of(name), MARGIN).values() if one.order]
    assert found == CASES[name]["verdicts"]


@pytest.mark.parametrize("name", having("doubt"))
def test_doubt_by_source(name: str) -> None:
    found = doubt(fit_of(name), 0, 1)
    printed = CASES[name]["doubt"]
    require_printed([found[Source[source.upper()]] for source in printed], list(printed.values()))


@pytest.mark.parametrize("name", having("further"))
def test_further_days(name: str) -> None:
    require_printed(list(further(fit_of(name), 0, 1, MARGIN).chances[:3]), CASES[name]["further"])


def test_least_days_that_give_a_verdict() -> None:
    assert further(fit_of("3"), 0, 1, MARGIN).days == 1
    assert further(fit_of("14"), 0, 1, MARGIN).days is None


@pytest.mark.parametrize("name", having("difference"))
def test_why_the_two_figures_differ(name: str) -> None:
    printed = CASES[name]["difference"]
    fit, method = fit_of(name), printed["method"]
    found = difference(fit, method, log_values(fit)[method])
    assert as_printed(found.total, printed["total"])
    assert math.fsum(found.parts.values()) == pytest.approx(found.total, abs=1e-12)
    assert "hands" not in printed or as_printed(found.parts[Apart.HANDS], printed["hands"])


def test_logs_of_the_hand_saw() -> None:
    """The worked digits take the plain mean of the log diameters; the part itself that of the mean square."""
    fit = fit_of("8")
    x = np.array([row.log_diameter for row in fit.design.observed.rows if row.method == 0])
    common = fit.design.observed.common.log_diameter
    assert common is not None
    slope = fit.expected(fit.design.slopes[0])
    assert as_printed(slope * (x.mean() - common), ".0893")
    found = difference(fit, 0, log_values(fit)[0])
    square = math.log(np.mean(np.exp(2 * x))) / 2
    assert found.parts[Apart.LOGS] == pytest.approx(slope * (square - common))
    assert found.named is Apart.LOGS
    assert factors(fit, 0).logs == pytest.approx(math.exp(-found.parts[Apart.LOGS]))


def test_common_diameter_is_weighted_by_wood() -> None:
    log_diameter = observed_of("8b").common.log_diameter
    assert log_diameter is not None
    assert as_printed(100 * math.exp(log_diameter), CASES["8b"]["common_diameter_cm"])


def test_four_methods_with_every_combination(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(season, "value", lambda key: 4.0 if key == "model.enumerated" else value(key))
    fit = fit_of("15")
    for rate, printed in zip(rates(fit).values(), CASES["15"]["rates"], strict=True):
        assert rate.ends
        require_printed([rate.value, *rate.ends], printed)
    found = ratios(fit, MARGIN)
    for first, second, *printed in CASES["15"]["ratios"]:
        ratio = found[int(first), int(second)]
        assert ratio.ends
        assert ratio.order
        require_printed([ratio.value, *ratio.ends, ratio.order.more, ratio.order.within], printed)


def test_four_methods_with_chosen_settings() -> None:
    fit = fit_of("15")
    values = log_values(fit)
    for i, (rate, printed) in enumerate(zip(rates(fit).values(), CASES["15"]["rates"], strict=True)):
        nominal, low, high = map(float, printed)
        assert rate.ends
        assert rate.value == pytest.approx(nominal, rel=0.003)
        assert values[i] == pytest.approx(math.log(rate.value), abs=1e-12)
        require_near_ends(rate.ends, (low, high))
    for first, second, *printed in CASES["15"]["ratios"]:
        ratio = ratios(fit, MARGIN)[int(first), int(second)]
        nominal, low, high, more, within = map(float, printed)
        assert ratio.ends
        assert ratio.order
        assert ratio.value == pytest.approx(nominal, rel=0.003)
        require_near_ends(ratio.ends, (low, high))
        assert ratio.order.more == pytest.approx(more, abs=0.002)
        assert ratio.order.within == pytest.approx(within, abs=0.002)


def require_near_ends(found: tuple[float, float], printed: tuple[float, float]) -> None:
    half_width = math.log(printed[1] / printed[0]) / 2
    for one, other in zip(found, printed, strict=True):
        assert abs(math.log(one / other)) <= 0.02 * half_width
