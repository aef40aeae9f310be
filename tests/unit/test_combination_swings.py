"""What moves the choice between two combinations most: single inputs, each wherever it comes in."""

from __future__ import annotations

import math
from pathlib import Path
from statistics import NormalDist
from types import SimpleNamespace
from typing import Any

import pytest
from builders import plain, rate_rows, season_cells

from wood_xl.choice.combinations import CombinationStudy, combination_study
from wood_xl.choice.surety import CombinationSurety, combination_surety
from wood_xl.choice.swings import swing_rows
from wood_xl.draws.compare import steadied
from wood_xl.draws.figure import Figure
from wood_xl.draws.moderated import rate_of_parts, rate_of_sessions
from wood_xl.draws.shared_factors import Term, log_variance, widened
from wood_xl.hours.common import Common
from wood_xl.hours.rates import MethodRate, with_ends
from wood_xl.ids import Input
from wood_xl.io.reader import read_workbook
from wood_xl.notes.convert import season_records
from wood_xl.notes.season import check_season
from wood_xl.reasons import Key, Named, Reason, Said, is_said, said
from wood_xl.schema.words import words
from wood_xl.verdicts import Turns

ROOT = Path(__file__).parents[2]
FIGURES = ("clock_hours", "worker_hours", "kcal_net", "cash", "cash_and_time", "co2e")
GASOLINE, TAPE = said(Input.PRICE_OF_FUEL, fuel=Named("gasoline", "gasoline")), said(Input.TAPE)
PETROL_LIFE, BATTERY_LIFE = (
    said(Input.LIFE_BY_AGE, tool=Named(f"tools.{n}", name)) for n, name in enumerate(("petrol saw", "battery saw"))
)
SPREADS = {GASOLINE: 0.2, TAPE: 0.01, PETROL_LIFE: 0.3, BATTERY_LIFE: 0.3}
MONEY, TIME = {"money": 10.0}, {"time": 10.0}
Z95 = 1.959964
NUMBERED = {name: Named(f"methods.{n}", name) for n, name in enumerate(("petrol", "battery", "maul"))}

Parts = dict[str, list[tuple[float, dict[Key, float]]]]


PAIR: dict[str, Parts] = {
    "petrol": {"cash": [(4.0, {GASOLINE: 1.0}), (6.0, {PETROL_LIFE: -1.0})]},
    "battery": {"cash": [(7.0, {GASOLINE: 1.0}), (4.0, {BATTERY_LIFE: -1.0})]},
}


def rate(method: str, parts: list[tuple[float, dict[Key, float]]], power: float) -> MethodRate:
    """A figure of some parts, which goes with the recorded hours of three sessions to a power."""
    whole = math.fsum(value for value, _ in parts)
    hours = rate_of_sessions(amounts=[2.0, 2.2, 1.9], quantities=[1.0, 1.0, 1.0])
    found = rate_of_parts(figure=whole, parts=[(power, hours)])
    terms = [Term(value, powers) for value, powers in parts]
    common = Common(terms, {key: SPREADS[key] for term in terms for key in term.powers})
    variance = log_variance(draws=common.draws)
    totals: Any = SimpleNamespace(method=SimpleNamespace(name=method, named=NUMBERED[method]), counted=())
    estimate = widened(estimate=steadied(rate=found), common_variance=variance)
    return MethodRate(totals, [], [], [], found, common, variance, estimate)


def studied(weights: dict[str, float], **methods: Parts) -> tuple[CombinationStudy, CombinationSurety, Any]:
    """Methods of one task with their figures; what is not said is 1 and in no doubt."""
    known = {
        (name, key): rate(name, parts, power=float(key == "worker_hours"))
        for name, figures in methods.items()
        for key, parts in figures.items()
    }
    rows = []
    for name in methods:
        row: dict[str, Any] = {"method": name, "task": "buck"}
        for key in FIGURES:
            found = known.get((name, key))
            row[key] = Figure(1.0) if found is None else with_ends(Figure(found.rate.value), found)
        rows.append(row)
    totals: list[Any] = [
        SimpleNamespace(
            method=SimpleNamespace(name=name, task="buck"),
            counted=[SimpleNamespace(session=SimpleNamespace(date="2026-03-01"))],
        )
        for name in methods
    ]
    made = rate_rows(rows)
    study = combination_study(made, totals, weights)
    assert study is not None
    surety = combination_surety(study, made, lambda method, key: known[method, key].draws)
    return study, surety, lambda method, key: known.get((method, key), said(Reason.NOT_KNOWN))


def swings(weights: dict[str, float], **methods: Parts) -> dict[Key, dict[str, Any]]:
    return {row["input"]: row for row in plain(swing_rows(*studied(weights, **methods)))}


def at_end(spread: float, sign: int) -> float:
    """A factor at an end of its 95 % interval."""
    return math.exp(sign * Z95 * math.sqrt(math.log1p(spread**2)))


def test_a_price_that_both_take_cancels_as_far_as_they_share_it() -> None:
    found = swings(
        MONEY,
        petrol={"cash": [(4.0, {GASOLINE: 1.0}), (6.0, {PETROL_LIFE: -1.0})]},
        battery={"cash": [(7.0, {GASOLINE: 1.0}), (4.0, {BATTERY_LIFE: -1.0})]},
    )
    row = found[GASOLINE]
    assert row["lead"].value == pytest.approx(100 * (11.0 - 10.0) / 10.5)
    for sign, key in ((-1, "lead_at_low"), (1, "lead_at_high")):
        price = at_end(0.2, sign)
        assert row[key].value == pytest.approx(100 * ((7 * price + 4) - (4 * price + 6)) / 10.5)
    assert row["swing"].value == pytest.approx(row["lead_at_high"].value - row["lead_at_low"].value)


def test_what_both_take_alike_is_not_there() -> None:
    found = swings(
        MONEY,
        petrol={"cash": [(4.0, {GASOLINE: 1.0}), (6.0, {PETROL_LIFE: -1.0})]},
        battery={"cash": [(4.0, {GASOLINE: 1.0}), (7.0, {BATTERY_LIFE: -1.0})]},
    )
    assert list(found) == [BATTERY_LIFE, PETROL_LIFE]
    # A longer life makes the second cheaper, and the first cheaper.
    assert found[BATTERY_LIFE]["lead_at_high"].value < found[BATTERY_LIFE]["lead"].value
    assert found[PETROL_LIFE]["lead_at_high"].value > found[PETROL_LIFE]["lead"].value


def test_a_method_that_both_combinations_have_moves_nothing() -> None:
    study, surety, known = studied(MONEY, **PAIR)
    alike = {"method": "maul", "task": "split", **dict.fromkeys(FIGURES, Figure(5.0, "", 3.0, 8.0))}
    known_rows = [{"method": name, "task": "buck", **row} for name, row in surety.draws.figures.items()]
    rows = rate_rows([*known_rows, alike])
    totals: list[Any] = [
        SimpleNamespace(
            method=SimpleNamespace(name=row.method, task=row.task),
            counted=[SimpleNamespace(session=SimpleNamespace(date="2026-03-01"))],
        )
        for row in rows
    ]
    both = combination_study(rows, totals, MONEY)
    assert both is not None
    maul = rate("maul", [(5.0, {GASOLINE: 1.0})], 0.0)

    def found(method: str, key: str) -> MethodRate | Said:
        return maul if method == "maul" else known(method, key)

    with_maul = combination_surety(both, rows, lambda method, key: found(method, key).draws)  # type: ignore[union-attr]
    shown, alone = plain(swing_rows(both, with_maul, found)), plain(swing_rows(study, surety, known))
    assert [row["input"] for row in shown] == [row["input"] for row in alone]
    # points are shares of the mean cash of the combinations, which have the maul now
    scale = math.fsum(combination.per_cord["cash"] for combination in study.combinations) / math.fsum(
        combination.per_cord["cash"] for combination in both.combinations
    )
    for row, other in zip(shown, alone, strict=True):
        assert row["swing"].value == pytest.approx(scale * other["swing"].value)


def test_sessions_of_a_method_move_all_its_figures_together() -> None:
    weights = {"time": 5.0, "effort": 5.0}
    both: dict[str, Parts] = {
        "petrol": {"worker_hours": [(2.0, {TAPE: -3.0})], "kcal_net": [(700.0, {TAPE: -3.0})]},
        "battery": {"worker_hours": [(2.5, {TAPE: -3.0})], "kcal_net": [(900.0, {TAPE: -3.0})]},
    }
    study, surety, known = studied(weights, **both)
    rows = {row["input"]: row for row in plain(swing_rows(study, surety, known))}
    hours = known("petrol", "worker_hours").rate
    factor = steadied(rate=hours).interval()[1] / hours.value
    # Of the effort only the tape is in doubt here; the hours go with the sessions.
    lead = 50 * ((2.5 - 2.0 * factor) / 2.25 + (900 - 700) / 800)
    assert rows[said(Input.SESSIONS, method=NUMBERED["petrol"])]["lead_at_high"].value == pytest.approx(lead)
    tape = at_end(0.01, 1) ** -3
    assert rows[TAPE]["lead_at_high"].value == pytest.approx(tape * rows[TAPE]["lead"].value)
    assert is_said(rows[TAPE]["turns"], Turns.NO)  # what is in common to all wood changes no order


def test_rows_are_sorted_and_what_hardly_moves_is_left_out() -> None:
    one: Parts = {"cash": [(10.0, {PETROL_LIFE: -1.0, TAPE: 0.01}), (4.0, {GASOLINE: 1.0})]}
    other: Parts = {"cash": [(12.0, {BATTERY_LIFE: -1.0})]}
    found = list(swings(MONEY, petrol=one, battery=other).values())
    assert [row["swing"].value for row in found] == sorted((row["swing"].value for row in found), reverse=True)
    assert TAPE not in {row["input"] for row in found}
    assert min(row["swing"].value for row in found) > 0.05 * found[0]["swing"].value


def test_an_input_that_turns_the_choice_says_to_what() -> None:
    found = swings(MONEY, **PAIR)
    for row in found.values():
        is_below = min(row["lead_at_low"].value, row["lead_at_high"].value) < 0
        assert words(row["turns"]) == ("yes: then combination B is better" if is_below else "no")
    # 7 and 4 times a fifth off the price of gasoline leave the first ahead; a saw that lasts half as long does not
    assert {key for key, row in found.items() if is_said(row["turns"], Turns.YES)} == {
        PETROL_LIFE,
        BATTERY_LIFE,
    }


def test_without_doubt_or_without_another_combination_there_is_nothing_to_move() -> None:
    assert swing_rows(*studied(TIME, petrol={}, battery={})) == []
    assert swing_rows(*studied(TIME, petrol={"worker_hours": [(2.0, {TAPE: -3.0})]})) == []


@pytest.mark.parametrize("life", [0.02, 0.05, 0.1, 0.2, 0.3])
def test_swings_and_the_probability_of_the_best_tell_the_same(life: float, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(SPREADS, PETROL_LIFE, life)
    monkeypatch.setitem(SPREADS, BATTERY_LIFE, life)
    study, surety, known = studied(MONEY, **PAIR)
    rows = plain(swing_rows(study, surety, known))
    assert surety.best[0] == pytest.approx(probability(rows), abs=0.03)
    if life == 0.02:  # no swing comes near to the lead
        assert all(is_said(row["turns"], Turns.NO) for row in rows if row["input"] != GASOLINE)


def probability(rows: list[dict[str, Any]]) -> float:
    """That the first stays ahead, if each input moves the lead evenly and by itself."""
    sd = math.sqrt(math.fsum((row["swing"].value / 2 / Z95) ** 2 for row in rows))
    return NormalDist().cdf(rows[0]["lead"].value / sd)


@pytest.mark.parametrize("name", ["hill_farm_us", "lake_cabin_metric"])
def test_in_a_demo_season_too(name: str) -> None:
    found = season_cells(season_records(check_season(read_workbook(ROOT / "demo" / f"{name}.xlsx")))[0])
    combinations, rows = found["combinations"], found["choice_swings"]
    first, second = (combinations[at]["best_share"].value for at in (0, 1))
    assert probability(rows) == pytest.approx(first / (first + second), abs=0.05)
    assert {row["lead"].value for row in rows} == {rows[0]["lead"].value}
    assert rows[0]["lead"].value == pytest.approx(combinations[1]["points"].value - combinations[0]["points"].value)
    for row in rows:
        assert min(row["lead_at_low"].value, row["lead_at_high"].value) < row["lead"].value
        assert max(row["lead_at_low"].value, row["lead_at_high"].value) > row["lead"].value
