"""What moves the choice between two combinations most: single inputs, each wherever it comes in."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from pathlib import Path
from statistics import NormalDist
from types import SimpleNamespace
from typing import Any

import pytest
from builders import plain, rate_rows, season_cells

from wood_xl.choice.combinations import CombinationStudy, combination_study
from wood_xl.choice.surety import CombinationSurety, combination_surety
from wood_xl.choice.swings import swing_rows
from wood_xl.draws.ensemble import WORLDS, Design, Number
from wood_xl.draws.figure import drawn
from wood_xl.draws.inputs import by_doubt
from wood_xl.ids import Input
from wood_xl.io.reader import read_workbook
from wood_xl.notes.convert import season_records
from wood_xl.notes.season import check_season
from wood_xl.reasons import Key, Named, is_said, said
from wood_xl.schema.words import words
from wood_xl.verdicts import Tried, Turns

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

HOURS_U = 0.1  # by the sessions

Parts = dict[str, list[tuple[float, dict[Key, float]]]]


PAIR: dict[str, Parts] = {
    "petrol": {"cash": [(4.0, {GASOLINE: 1.0}), (6.0, {PETROL_LIFE: -1.0})]},
    "battery": {"cash": [(7.0, {GASOLINE: 1.0}), (4.0, {BATTERY_LIFE: -1.0})]},
}


@dataclass(frozen=True)
class Known:
    """Figures of methods by all members: parts that go with what is common, and the hours with their sessions."""

    methods: dict[str, Parts]
    tasks: dict[str, str] = field(default_factory=dict)
    design: Design = WORLDS

    def by(self, design: Design) -> Known:
        return replace(self, design=design)

    @property
    def study(self) -> Any:
        return SimpleNamespace(totals=[self.totals(name) for name in self.methods])

    def totals(self, name: str) -> Any:
        return SimpleNamespace(
            method=SimpleNamespace(name=name, task=self.tasks.get(name, "buck")),
            counted=[SimpleNamespace(session=SimpleNamespace(date="2026-03-01"))],
        )

    def number(self, totals: Any, figure_id: str) -> Number:
        name = totals.method.name
        parts = self.methods[name].get(figure_id)
        if parts is None:
            return 1.0
        whole: Number = 0.0
        for value, powers in parts:
            part: Number = value
            for key, power in powers.items():
                part = part * by_doubt(key, SPREADS[key], self.design) ** power
            whole = whole + part
        if figure_id != "worker_hours":
            return whole
        own = said(Input.WORKING_HOURS, method=NUMBERED[name])
        return whole * by_doubt(own, HOURS_U, self.design)


def studied_as(weights: dict[str, float], known: Known) -> tuple[CombinationStudy, CombinationSurety, Any]:
    every = known.study.totals
    rows = rate_rows(
        {
            "method": totals.method.name,
            "task": totals.method.task,
            **{key: drawn(known.number(totals, key)) for key in FIGURES},
        }
        for totals in every
    )
    study = combination_study(rows, every, weights)
    assert study is not None
    return study, combination_surety(study, rows), known


def studied(weights: dict[str, float], **methods: Parts) -> tuple[CombinationStudy, CombinationSurety, Any]:
    """Methods of one task with their figures; what is not said is 1 and in no doubt."""
    return studied_as(weights, Known(methods))


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
    maul: Parts = {"cash": [(5.0, {GASOLINE: 1.0})]}
    study, surety, known = studied(MONEY, **PAIR)
    both, with_maul, found = studied_as(MONEY, Known({**PAIR, "maul": maul}, {"maul": "split"}))
    assert [set(combination.methods) for combination in both.combinations] == [
        {"petrol", "maul"},
        {"battery", "maul"},
    ]
    shown, alone = plain(swing_rows(both, with_maul, found)), plain(swing_rows(study, surety, known))
    assert [row["input"] for row in shown] == [row["input"] for row in alone]
    # points are shares of the mean cash of the combinations, which have the maul now
    scale = 10.5 / 15.5
    for row, other in zip(shown, alone, strict=True):
        assert row["swing"].value == pytest.approx(scale * other["swing"].value)


def test_sessions_of_a_method_move_its_hours_and_what_is_common_moves_all_its_figures() -> None:
    weights = {"time": 5.0, "effort": 5.0}
    both: dict[str, Parts] = {
        "petrol": {"worker_hours": [(2.0, {TAPE: -3.0})], "kcal_net": [(700.0, {TAPE: -3.0})]},
        "battery": {"worker_hours": [(2.5, {TAPE: -3.0})], "kcal_net": [(900.0, {TAPE: -3.0})]},
    }
    rows = swings(weights, **both)
    factor = math.exp(Z95 * math.sqrt(math.log1p(HOURS_U**2)))
    # Of the effort only the tape is in doubt here; the hours go with the sessions.
    lead = 50 * ((2.5 - 2.0 * factor) / 2.25 + (900 - 700) / 800)
    own = said(Input.WORKING_HOURS, method=NUMBERED["petrol"])
    of_petrol = rows[said(Tried.INPUT_OF, what=own, method=NUMBERED["petrol"])]
    assert of_petrol["lead_at_high"].value == pytest.approx(lead)
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
    # The first stays ahead unless gasoline falls below 2/3 of its price: 2 % of its draws, 5 % if it moved evenly.
    assert surety.best[0] == pytest.approx(probability(rows), abs=0.04)
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
    # One at a time, the days that two methods share do not cancel.
    assert probability(rows) == pytest.approx(first / (first + second), abs=0.1)
    assert {row["lead"].value for row in rows} == {rows[0]["lead"].value}
    assert rows[0]["lead"].value == pytest.approx(combinations[1]["points"].value - combinations[0]["points"].value)
    for row in rows:
        assert min(row["lead_at_low"].value, row["lead_at_high"].value) < row["lead"].value
        assert max(row["lead_at_low"].value, row["lead_at_high"].value) > row["lead"].value
