"""What the season says, in plain sentences, with the doubt that it deserves."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from wood_xl.checks.problem import Level, Problem
from wood_xl.data.cautions import CLOSING, cautions
from wood_xl.schema.model import results_definition

TASK_WORDS = {
    "fell": "Felling",
    "limb": "Limbing",
    "haul": "Hauling",
    "buck": "Bucking",
    "split": "Splitting",
    "stack": "Stacking",
}
GRAVEST = ("heart",)  # cautions that stand beside every result; the template's first sheet has them all
FEW_SESSIONS = 5  # below this a figure is called rough

Row = dict[str, Any]


def answers(tables: dict[str, list[Row]], season: Row, problems: list[Problem]) -> list[str]:
    """Sentences for the first sheet.

    Parameters
    ----------
    tables : dict
        Tables of the results, in display units.
    season : dict
        Items of the season.
    problems : list of Problem
        Everything that was found.
    """
    rates = [row for row in tables["rates_per_cord"] if row["sessions_n"]]
    sentences = []
    if rates:
        sentences += _by_question(rates, season["currency"])
        sentences += _hours_saved(tables["break_even"], season["currency"])
        sentences.append(_doubt(rates))
    sentences += _not_counted(season, problems)
    if not rates:
        sentences.append(f"No session could be counted, so there is nothing to say yet: see {_problem_sheet()}.")
    return [*sentences, *_take_care()]


def _take_care() -> list[str]:
    words = " ".join(caution.text for caution in cautions() if caution.id in GRAVEST)
    return [f"Take care. {words} {CLOSING}"]


def _by_question(rates: list[Row], currency: str) -> list[str]:
    """One paragraph for each question: what is better for time, body, money and air."""
    mass = rates[0]["co2"]["unit"].split("/")[0]
    questions: tuple[tuple[str, str, Callable[[float], str], str], ...] = (
        ("Time", "worker_hours", lambda v: f"{v:.1f}", "worker hours"),
        ("Body, effort beyond rest", "kcal_net", lambda v: f"{v:,.0f}", "kcal"),
        ("Money, without a value of time", "cash", lambda v: f"{v:,.2f}", currency),
        ("Air, fossil CO2 from fuel", "co2", lambda v: f"{v:.1f}", mass),
    )
    paragraphs = []
    for words, column_id, text, unit in questions:
        tasks = []
        for task, task_words in TASK_WORDS.items():
            rows = [row for row in rates if row["task"] == task]
            if rows:
                tasks.append(f"{task_words} a cord: {_methods(rows, column_id, text, unit)}.")
        paragraphs.append(f"{words}. {' '.join(tasks)}")
    return paragraphs


def _hours_saved(rows: list[Row], currency: str) -> list[str]:
    """What each hour costs that a quicker method saves, and from which volume it pays."""
    parts = []
    for row in rows:
        cost, volume = row["hour_saved_cost"], row["volume_cash"]
        if cost["value"] is None:
            continue
        if cost["value"] <= 0:
            words = "nothing"
        elif volume["value"] is None:
            words = f"{cost['value']:,.2f} {currency} (in cash it {volume['reason']})"
        else:
            unit = "cords" if volume["unit"] == "cord" else volume["unit"]
            at = f"{volume['value']:,.1f} {unit} a year: it {volume['basis']}"
            words = f"{cost['value']:,.2f} {currency} (in cash both cost the same at {at})"
        parts.append(f"{words} with {row['quicker']} instead of {row['slower']}")
    if not parts:
        return []
    doubt = (
        "Lives, resale and yearly volume behind it are estimates: the sheet Sensitivity shows how far each moves it."
    )
    return [f"What an hour saved costs, at this yearly volume: {'; '.join(parts)}. {doubt}"]


def _methods(rows: list[Row], column_id: str, text: Callable[[float], str], unit: str) -> str:
    known = [row for row in rows if row[column_id]["value"] is not None]
    known.sort(key=lambda row: (row[column_id]["value"], row["method"]))
    parts = [f"{text(row[column_id]['value'])} {unit} with {row['method']}" for row in known]
    missing = [row for row in rows if row[column_id]["value"] is None]
    parts += [f"not known with {row['method']} ({row[column_id]['reason']})" for row in missing]
    return ", ".join(parts)


def _joined(parts: list[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


def _doubt(rates: list[Row]) -> str:
    rough = [row["method"] for row in rates if row["sessions_n"] < FEW_SESSIONS]
    few = f" Fewer than {FEW_SESSIONS} sessions stand behind {_joined(rough)}: take those as rough." if rough else ""
    return f"No interval is computed yet: small differences between methods show nothing.{few}"


def _not_counted(season: Row, problems: list[Problem]) -> list[str]:
    sentences = []
    left = season["sessions_not_counted"]
    if left:
        verb = "session is" if left == 1 else "sessions are"
        sentences.append(f"{left} {verb} shown but not counted; the sheet Sessions says why.")
    fixes = sum(found.count for found in problems if found.level is Level.FIX)
    if fixes:
        cells = "cell waits" if fixes == 1 else "cells wait"
        where = f"The sheet {_problem_sheet()} lists them."
        sentences.append(f"{fixes} {cells} for a mend; figures that need them are not given. {where}")
    return sentences


def _problem_sheet() -> str:
    return results_definition().sheet("problems").result_sheet
