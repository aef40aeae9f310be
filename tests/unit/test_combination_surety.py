"""Intervals of combinations and plans, how likely a combination is the best, and trials where that is open."""

from __future__ import annotations

import itertools
import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from builders import plain, rate_rows

from wood_xl.choice.combinations import CombinationStudy, combination_study
from wood_xl.choice.surety import CombinationSurety, combination_surety
from wood_xl.choice.tables import choice_rows, combination_rows, hour_price_rows
from wood_xl.draws.figure import AS_RECORDED, TAKES_NONE, Figure, drawn, not_given
from wood_xl.draws.inputs import by_range
from wood_xl.draws.rows import Session, TaskSessions, observed
from wood_xl.draws.season import fit_season
from wood_xl.draws.shared_factors import least_shares
from wood_xl.ids import Recorded
from wood_xl.plan.calendar import Crew, TrialDays
from wood_xl.plan.trials import PlanWithTrials, is_open, trial_pairs, trial_rows, trials_first
from wood_xl.reasons import Reason, said
from wood_xl.schema.words import words
from wood_xl.verdicts import Question, TrialsFirst

NO_TRIALS: Any = SimpleNamespace(told=None)
UNSURE = said(Reason.NO_INTERVAL)
HOURS = {"bow": ("buck", 6.0), "chain": ("buck", 2.0), "maul": ("split", 3.3), "machine": ("split", 3.0)}


def rates(spread: float, **cash: float) -> list[dict[str, Any]]:
    """Hours and effort of each method by its own draws, with an interval of a factor on either side."""
    rows = []
    for name, (task, hours) in HOURS.items():
        factor = by_range(name, 1.0, 1 / spread, spread)
        work, effort = drawn(hours * factor), drawn(400 * hours * factor)
        rows.append(
            {
                "method": name,
                "task": task,
                "clock_hours": work,
                "worker_hours": work,
                "kcal_net": effort,
                "cash": Figure(cash.get(name, 10.0), reason=UNSURE),
                "cash_and_time": not_given(said(Reason.NO_VALUE_OF_HOUR)),
                "co2e": Figure(0.0, reason=TAKES_NONE),
            }
        )
    return rows


def totals(sessions_n: int) -> list[Any]:
    def session(hours: float) -> Any:
        return SimpleNamespace(
            session=SimpleNamespace(date="2026-03-01"),
            time=SimpleNamespace(worker_h=hours),
            quantity=SimpleNamespace(cords=1.0),
        )

    return [
        SimpleNamespace(
            method=SimpleNamespace(name=name, task=task),
            counted=[session(hours * (1 + 0.1 * (n % 2))) for n in range(sessions_n)],
        )
        for name, (task, hours) in HOURS.items()
    ]


def tried() -> Any:
    """The methods of splitting, three sessions of each on days of their own."""
    names = [name for name, (task, _) in HOURS.items() if task == "split"]
    sessions = [
        Session(3 * at + n, at, 1.0, {Recorded.WORKER_HOURS: HOURS[name][1] * (1 + 0.02 * n)})
        for at, name in enumerate(names)
        for n in range(3)
    ]
    fit = fit_season([observed(TaskSessions(0, False, tuple(sessions)), Recorded.WORKER_HOURS)])[0]
    equal = SimpleNamespace(fit=lambda *_: fit, number=lambda t: names.index(t.method.name))
    season = SimpleNamespace(practical_margin_frac=0.1)
    return SimpleNamespace(study=SimpleNamespace(totals=totals(3), equal=equal, season=season))


def studied(spread: float, weights: dict[str, float], **cash: float) -> tuple[CombinationStudy, CombinationSurety]:
    rows = rates(spread, **cash)
    made = rate_rows(rows)
    study = combination_study(made, totals(3), weights)
    assert study is not None
    return study, combination_surety(study, made)


TIME = {"time": 10.0}


def test_shares_of_the_best_add_up() -> None:
    draws = [by_range(str(n), 5.0, 4.0, 6.0) for n in range(3)]
    shares = least_shares([*draws, np.full(draws[0].size, 99.0)])
    assert math.fsum(shares) == pytest.approx(1)
    assert shares[3] == 0
    # each share of 4096 draws has an error of sqrt(2 / 9 / 4096) = 0.007
    assert all(share == pytest.approx(1 / 3, abs=0.02) for share in shares[:3])


def test_a_combination_is_surer_than_the_sum_of_the_ends_of_its_methods() -> None:
    study, surety = studied(1.5, TIME)
    for row in plain(combination_rows(study, surety)):
        names = row["methods"]
        figure = row["worker_hours"]
        middle = math.fsum(HOURS[name][1] for name in names)
        assert figure.value == pytest.approx(middle)
        assert middle / 1.5 < figure.low < middle < figure.high < middle * 1.5
        assert (row["cash"].low, words(row["cash"].reason)) == (None, f"{names[0]}: no interval is known")
        assert words(row["cash_and_time"].reason) == f"{names[0]}: no value of an hour is given"


def test_what_combinations_share_cancels() -> None:
    # Bucking takes 6 h or 2 h, splitting hardly differs: which saw is settled, which splitter is not.
    study, surety = studied(1.3, TIME)
    by_saw = {"bow": 0.0, "chain": 0.0}
    for combination, share in zip(study.combinations, surety.best, strict=True):
        by_saw[combination.methods[0]] += share
    assert by_saw["chain"] > 0.999
    first, second = surety.best[:2]
    assert study.combinations[0].methods == ("chain", "machine")
    # ln(3.3/3) over the root of two squares of ln(1.3)/1.96: z = 0.503, so 69 %
    assert first == pytest.approx(0.69, abs=0.02)
    assert first + second == pytest.approx(1, abs=1e-3)


def test_effort_goes_with_the_hours_of_the_same_method() -> None:
    study, surety = studied(1.3, {"time": 5.0, "effort": 5.0})
    assert surety.best == pytest.approx(studied(1.3, TIME)[1].best)
    assert study.combinations[0].methods == ("chain", "machine")


def test_a_figure_without_intervals_says_so_and_is_taken_as_it_stands() -> None:
    study, surety = studied(1.3, {"money": 10.0}, bow=1.0, maul=1.0)
    assert surety.drawn == ("worker_hours", "kcal_net")
    assert surety.best[0] == 1
    money = next(row for row in plain(choice_rows(study, surety)) if row["question"] is Question.MONEY)
    assert (words(money["sure"].reason), money["surety"]) == ("no interval is known", None)
    weighted = plain(choice_rows(study, surety))[-1]
    assert (words(weighted["sure"].reason), weighted["surety"]) == ("no interval is known", None)


def test_a_plan_has_the_interval_of_its_mix() -> None:
    _, surety = studied(1.3, TIME)
    figure = surety.sum_figure({"chain": 3.0, "bow": 2.0, "maul": 5.0}, "worker_hours")
    assert figure.value == pytest.approx(3 * 2 + 2 * 6 + 5 * 3.3)
    assert figure.value is not None
    assert figure.low is not None
    assert figure.high is not None
    assert figure.value / 1.3 < figure.low < figure.value < figure.high < figure.value * 1.3
    assert surety.sum_figure({"chain": 1.0}, "cash_and_time").value is None


def test_an_open_choice_asks_for_days_with_both_in_turns() -> None:
    study, surety = studied(1.3, TIME)
    assert is_open(surety)
    pairs = trial_pairs(study, surety, tried())
    assert [(pair.task, pair.first, pair.second) for pair in pairs] == [("split", "machine", "maul")]
    assert 2 <= pairs[0].days_n <= 4
    assert pairs[0].is_enough
    crews = (Crew(("Mara",), 120.0), Crew(("Mara", "Jon"), 120.0))
    days = TrialDays(("machine", "maul"), crews, 60.0, pairs[0].days_n)
    begun = PlanWithTrials(
        SimpleNamespace(trials=(days,)), SimpleNamespace(visits=None), tuple(pairs), said(TrialsFirst.BEGINS)
    )
    rows = trial_rows(begun)
    assert [words(row.day) for row in rows] == [f"day {n + 1}" for n in range(pairs[0].days_n)]
    for before, after in itertools.pairwise(rows):
        assert (before.first, before.then) == (after.then, after.first)
    assert [words(row.who) for row in rows][:2] == ["Mara, then Mara and Jon", "Mara and Jon, then Mara"]
    assert {words(row.why) for row in rows} == {"its days are likely to settle it (8 in 10), if days stay alike"}
    told = words(trials_first(study, surety, begun))
    assert told.startswith(f"open: combination A is the best with {100 * surety.best[0]:.1f} %")
    assert told.endswith("comes next; the plan begins with trial days: score again then")


def test_a_settled_choice_asks_for_none() -> None:
    study, surety = studied(1.02, TIME)
    assert not is_open(surety)
    assert trial_pairs(study, surety, {}) == []
    assert (
        words(trials_first(study, surety, NO_TRIALS))
        == "settled enough: combination A is the best with a probability of 99.9 %"
    )


def test_without_any_interval_nothing_is_claimed() -> None:
    rows = [
        {key: Figure(v.value, reason=UNSURE) if isinstance(v, Figure) and v.value else v for key, v in row.items()}
        for row in rates(1.3)
    ]
    made = rate_rows(rows)
    study = combination_study(made, totals(3), TIME)
    assert study is not None
    surety = combination_surety(study, made)
    assert (
        words(trials_first(study, surety, NO_TRIALS))
        == "how sure the choice is cannot be told: no figure has an interval"
    )
    assert {row["sure"].value for row in plain(choice_rows(study, surety))} == {None}


def hour_prices(study: CombinationStudy, surety: CombinationSurety) -> list[dict[str, Any]]:
    return plain(hour_price_rows(study, surety, None))


def test_an_hour_saved_has_the_ends_of_the_hours_where_the_cash_is_known() -> None:
    rows = rates(1.3, bow=5.0, chain=25.0, machine=10.0, maul=10.0)
    for row in rows:
        if row["method"] == "chain":
            row["worker_hours"] = Figure(2.0, reason=AS_RECORDED)
        row["cash"] = Figure(row["cash"].value, reason=AS_RECORDED)
    made = rate_rows(rows)
    study = combination_study(made, totals(3), {"time": 5.0, "money": 5.0})
    assert study is not None
    price = hour_prices(study, combination_surety(study, made))[0]
    assert (price["slow"], words(price["fast"])) == (
        "A",
        "C: chain + machine",
    )
    saved = [price["hours_saved"].low, price["hours_saved"].value, price["hours_saved"].high]
    assert saved == pytest.approx([6.0 / 1.3 - 2.0, 4.0, 6.0 * 1.3 - 2.0], rel=1e-6)
    assert (price["cash_more"].value, price["cash_more"].reason) == (20.0, AS_RECORDED)
    dear = [price["per_hour"].low, price["per_hour"].value, price["per_hour"].high]
    assert dear == pytest.approx([20.0 / saved[2], 5.0, 20.0 / saved[0]], rel=1e-6)


def test_what_may_save_no_hour_has_a_price_without_an_upper_end() -> None:
    for reason, told in ((AS_RECORDED, "may save no hour"), (UNSURE, "maul: no interval is known")):
        rows = rates(1.3, machine=30.0)
        for row in rows:
            row["cash"] = Figure(row["cash"].value, reason=reason)
        made = rate_rows(rows)
        study = combination_study(made, totals(3), {"time": 5.0, "money": 5.0})
        assert study is not None
        prices = hour_prices(study, combination_surety(study, made))
        price = next(row for row in prices if "machine" in row["fast"]["methods"])
        assert price["hours_saved"].low < 0 < price["hours_saved"].value < price["hours_saved"].high
        assert (price["per_hour"].high, words(price["per_hour"].reason)) == (None, told)
        assert price["per_hour"].value == pytest.approx(20.0 / 0.3)


def test_without_any_interval_an_hour_saved_says_so() -> None:
    rows = [
        {key: Figure(v.value, reason=UNSURE) if isinstance(v, Figure) and v.value else v for key, v in row.items()}
        for row in rates(1.3, machine=30.0)
    ]
    made = rate_rows(rows)
    study = combination_study(made, totals(3), TIME)
    assert study is not None
    for price in hour_prices(study, combination_surety(study, made)):
        assert price["hours_saved"].reason == price["per_hour"].reason
        assert words(price["per_hour"].reason).endswith(": no interval is known")
        assert (price["hours_saved"].low, price["per_hour"].low) == (None, None)
