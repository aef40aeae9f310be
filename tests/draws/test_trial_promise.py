"""Chances promised by a trial against outcomes: forms typed back and scored, and many simulated trials."""

from __future__ import annotations

import math
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from openpyxl import load_workbook
from trial_promise import HOURS, MARGIN, log_rates, share_settled

from wood_xl.draws.rows import Session, TaskSessions, observed
from wood_xl.draws.season import fit_season
from wood_xl.draws.verdicts import before_any, ratios
from wood_xl.io.fill import filled_workbook
from wood_xl.io.pack import packed
from wood_xl.notes.document import empty_data
from wood_xl.pipeline import score_file
from wood_xl.schema.words import words
from wood_xl.trial_files import Trial, TrialOptions, trial_file
from wood_xl.verdicts import Surety

INCH_M = 0.0254
STICK_IN, HEIGHT_IN = 16, 48
BASE_H_PER_M3 = 3.0
METHODS = ("maul splitting", "electric splitting")
PEOPLE = ("Mara", "Jon")
RUNS = 400


def planned(folder: Path, days_n: int) -> Trial:
    data = empty_data()
    data["season"] = {"season_name": "Trial", "currency": "USD", "stick_length": STICK_IN}
    data["units"] = {"season": {"stick_length": "in"}}
    data["trial"] = {"first_day": "2027-03-06", "days": days_n}
    data["tools"] = [{"tool": "maul", "kind": "hand"}, {"tool": "splitter", "kind": "mains"}]
    tools = zip(METHODS, ("maul", "splitter"), strict=True)
    data["methods"] = [{"method": name, "task": "split", "tool_1": tool} for name, tool in tools]
    data["people"] = [{"person": name, "age": 40, "may_use": "splitter"} for name in PEOPLE]
    path = folder / "season.xlsx"
    path.write_bytes(packed(filled_workbook(data, system="us", currency="USD", paper="letter")))
    return trial_file(path, TrialOptions(1), None)


def typed_back(trial: Trial, logs: np.ndarray, lengths_in: np.ndarray, path: Path) -> tuple[Session, ...]:
    """Type minutes and stacks of every form into the copy; the same sessions as the model takes them."""
    assert trial.plan is not None
    book = load_workbook(BytesIO(trial.copy))
    column = next(cell.column for cell in book["Sessions"][3] if str(cell.value).startswith("Elapsed"))
    row_of = {row[0].value: row[0].row for row in book["Sessions"].iter_rows(min_row=4)}
    stack_of = {row[0].value: row[0].row for row in book["Stacks"].iter_rows(min_row=4)}
    dates = sorted({one.date for one in trial.plan.sessions})
    sessions = []
    for place, one in enumerate(trial.plan.sessions):
        at = METHODS.index(one.method), dates.index(one.date), PEOPLE.index(one.person)
        wood_m3 = HEIGHT_IN * lengths_in[at] * STICK_IN * INCH_M**3
        hours = BASE_H_PER_M3 * wood_m3 * math.exp(logs[at])
        book["Sessions"].cell(row_of[one.name], column).value = hours * 60
        book["Stacks"].cell(stack_of[one.name], 2).value = HEIGHT_IN
        book["Stacks"].cell(stack_of[one.name], 3).value = float(lengths_in[at])
        sessions.append(Session(place, at[0], wood_m3, {HOURS: hours}, at[1], {at[2]: 1.0}))
    book.save(path)
    return tuple(sessions)


@pytest.mark.slow
def test_forms_typed_back_are_scored_as_the_model_has_them(tmp_path: Path) -> None:
    trial, chance = planned(tmp_path, 3), np.random.default_rng(11)
    for difference in (0.0, 0.5, 2.0):
        logs = log_rates(chance, difference, days_n=3, persons_n=2, methods_n=2)
        lengths_in = chance.uniform(50, 110, size=logs.shape)
        path = tmp_path / "filled.xlsx"
        sessions = typed_back(trial, logs, lengths_in, path)
        (fit,) = fit_season([observed(TaskSessions(0, False, sessions), HOURS)])
        expected = ratios(fit, MARGIN)[0, 1]
        assert expected.order is not None
        results = score_file(path, None).results
        assert results is not None
        (row,) = [row for row in results["comparisons"] if row["figure"] == "Worker hours"]
        assert row["surety"] == words(expected.order.surety)
        assert expected.ends is not None
        ends = expected.ends if row["more"] == METHODS[0] else tuple(1 / end for end in expected.ends[::-1])
        assert (row["ratio"]["low"], row["ratio"]["high"]) == pytest.approx(ends, rel=1e-3)


PROMISES = [  # difference, days, persons, methods
    (0.5, 2, 2, 2),
    (1.0, 2, 2, 2),
    (1.0, 4, 1, 2),
    (0.25, 4, 2, 2),
    (0.5, 8, 1, 2),
    (1.0, 3, 1, 2),
    (1.0, 2, 3, 3),
]
OF_MODEL = 0.05  # Student's t approximates the unknown spread


def holds(promise: tuple[float, int, int, int], runs: int) -> None:
    difference, days_n, persons_n, methods_n = promise
    promised = before_any(methods_n, difference, days_n * persons_n)[-1]
    share = share_settled(7, runs, difference, days_n, persons_n, methods_n)
    assert abs(share - promised) < OF_MODEL + 3 * math.sqrt(promised * (1 - promised) / runs)


def test_a_small_share_of_the_promises() -> None:
    holds(PROMISES[1], 100)


@pytest.mark.simulation
@pytest.mark.parametrize("promise", PROMISES)
def test_promises_hold(promise: tuple[float, int, int, int]) -> None:
    holds(promise, RUNS)


@pytest.mark.simulation
def test_verdicts_of_forms_typed_back_come_as_often_as_promised(tmp_path: Path) -> None:
    trial, chance, runs = planned(tmp_path, 3), np.random.default_rng(12), RUNS // 10
    assert trial.plan is not None
    (task,) = trial.plan.tasks
    (promised,) = [one.chance for one in task.chances if one.difference_frac == 1.0]
    assert promised is not None
    settled = 0
    for _ in range(runs):
        logs = log_rates(chance, 1.0, days_n=3, persons_n=2, methods_n=2)
        typed_back(trial, logs, chance.uniform(50, 110, size=logs.shape), tmp_path / "filled.xlsx")
        results = score_file(tmp_path / "filled.xlsx", None).results
        assert results is not None
        rows = [row for row in results["comparisons"] if row["figure"] == "Worker hours"]
        settled += any(row["surety"] == words(Surety.SETTLED) for row in rows)
    assert abs(settled / runs - promised) < OF_MODEL + 3 * math.sqrt(promised * (1 - promised) / runs)
