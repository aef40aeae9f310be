"""The first page: the question, the answer, how sure it is, next season, and what to do next."""

from __future__ import annotations

from typing import Any

from wood_xl.calc.doubt_words import rounded_texts
from wood_xl.checks.problem import Level, Problem
from wood_xl.schema.model import results_definition, season_definition

STEPS_N = 3
FEW_SESSIONS = 3  # a method with fewer is worth another session before much else
MANY = 3  # sessions from which two digits of an interval are worded
NEXT_SEASON, NEXT_STEPS = "Next season", "Next steps"
ABOUT_THE_PLAN = (NEXT_SEASON, NEXT_STEPS)
PARTS = ("Question", "Answer", "How sure", *ABOUT_THE_PLAN)
CONTRASTS = {"Time": "Quickest", "Money": "Cheapest"}

Row = dict[str, Any]


def decision(tables: dict[str, list[Row]], plan: Row, season: Row, problems: list[Problem]) -> list[Row]:
    """Rows of the first page, each a word and a sentence; empty if no session counts.

    Parameters
    ----------
    tables : dict
        Tables of the results, in display units.
    plan : dict
        Items of the plan.
    season : dict
        Items of the season.
    problems : list of Problem
        Everything that was found.
    """
    if not tables["routes"]:
        return []
    parts = {
        "Question": _question(tables["choice"]),
        "Answer": _answer(tables, season["currency"]),
        "How sure": _how_sure(tables["choice"]),
        NEXT_SEASON: _next_season(plan, season["currency"]),
        NEXT_STEPS: _next_steps(tables, plan, season["currency"], problems),
    }
    return [{"part": part, "text": text} for part, text in parts.items()]


def _question(choice: list[Row]) -> str:
    weights = [
        f"{row['question'].lower()} {row['weight']['value']:g}" for row in choice if _value(row, "weight") is not None
    ]
    weighed = f" The weights are {_joined(weights)}." if weights else ""
    return f"Which way of making a cord, from log to stack, suits you best?{weighed}"


def _answer(tables: dict[str, list[Row]], currency: str) -> str:
    best = tables["routes"][0]
    if _value(best, "points") is None:
        return f"It cannot be told: {best['points']['reason']}. {_per_cord(best, currency)}"
    return " ".join([f"Route A: {best['methods']}. {_per_cord(best, currency)}", *_contrasts(tables, currency)])


def _per_cord(route: Row, currency: str) -> str:
    return (
        f"A cord takes {_with_ends(route, 'worker_hours', 1, 'worker hours')}, "
        f"{_with_ends(route, 'kcal_net', 0, 'kcal beyond rest')}, {_with_ends(route, 'cash', 2, currency)} and "
        f"{_with_ends(route, 'co2e', 1, route['co2e']['unit'] + ' of CO2e')}."
    )


def _contrasts(tables: dict[str, list[Row]], currency: str) -> list[str]:
    """The quickest and the cheapest route, where that is another one."""
    routes = {f"{row['route']}: {row['methods']}": row for row in tables["routes"]}
    sentences = []
    for row in tables["choice"]:
        word, other = CONTRASTS.get(row["question"]), routes.get(row["best"])
        if word and other is not None and other is not tables["routes"][0]:
            cost = f"{_amount(other, 'worker_hours', 1, 'h')}, {_amount(other, 'cash', 2, currency)}"
            sentences.append(f"{word}: {other['methods']} ({cost}).")
    return sentences


def _how_sure(choice: list[Row]) -> str:
    overall = choice[-1]
    sentences = []
    if _value(overall, "sure") is None:
        sentences.append(f"Not told: {overall['sure']['reason']}.")
    else:
        share = f"{overall['sure']['value']:.3g} %"
        sentences.append(f"{overall['surety'].capitalize()}: the best in {share} of what the intervals allow.")
    moves = [
        f"weight of {row['question'].lower()}: {row['change']}"
        for row in choice
        if row["change"].startswith(("below", "above"))
    ]
    sentences.append(
        f"The best changes with the {'; '.join(moves)}." if moves else "No single weight changes the best."
    )
    return " ".join(sentences)


def _next_season(plan: Row, currency: str) -> str:
    if _value(plan, "volume_planned") is None:
        return f"No plan: {plan['volume_planned']['reason']}."
    amounts = (
        f"{_amount(plan, 'volume_planned', 2, plan['volume_planned']['unit'])} in "
        f"{_amount(plan, 'worker_hours', 0, 'worker hours')} for {_amount(plan, 'cash', 0, currency)} and "
        f"{_amount(plan, 'co2e', 1, plan['co2e']['unit'] + ' of CO2e')}"
    )
    days = (
        f", {plan['sessions_n']} sessions from {plan['start']} to {plan['last_session']}"
        if plan["sessions_n"]
        else ""
    )
    missing = _value(plan, "shortfall")
    short = f" {_amount(plan, 'shortfall', 2, plan['shortfall']['unit'])} are missing." if missing else ""
    return f"{amounts}{days}; {plan['limits']}.{short}"


def _next_steps(tables: dict[str, list[Row]], plan: Row, currency: str, problems: list[Problem]) -> str:
    steps = [
        *_mends(problems),
        *_trials(tables["trials"]),
        *([f"Choose: {plan['ways']}."] if plan["ways"] else []),
        *_first_day(tables["plan_sessions"]),
        *_shopping(tables["shopping"], plan, currency),
        *_more_sessions(tables["rates_per_cord"]),
    ]
    if not tables["plan_mix"]:
        steps.append("Fill in the sheet Next season for a plan.")
    where = season_definition().sheet("sessions").title
    steps.append(f"Write each session on the sheet {where} and score again: the answer gets surer.")
    return " ".join(f"{number}. {step}" for number, step in enumerate(steps[:STEPS_N], start=1))


def _mends(problems: list[Problem]) -> list[str]:
    fixes = sum(found.count for found in problems if found.level is Level.FIX)
    where = results_definition().sheet("problems").result_sheet
    if not fixes:
        return []
    return [f"Mend the {fixes} {'cell that waits' if fixes == 1 else 'cells that wait'}: sheet {where}."]


def _trials(trials: list[Row]) -> list[str]:
    if not trials:
        return []
    first = trials[0]
    return [f"Try first: {first['day']}, {first['first']} and then {first['then']} on one pile, by {first['who']}."]


def _first_day(sessions: list[Row]) -> list[str]:
    if not sessions:
        return []
    first = sessions[0]
    own = [row for row in sessions if row["date"] == first["date"]]
    words = _joined([f"{row['who']} {row['minutes']['value']:.0f} min of {row['method']}" for row in own])
    where = results_definition().sheet("plan_sessions").result_sheet
    return [f"Begin on {first['weekday']} {first['date']}: {words} (sheet {where})."]


def _shopping(goods: list[Row], plan: Row, currency: str) -> list[str]:
    if not goods:
        return []
    cost = _value(plan, "to_buy")
    price = f" for {cost:,.0f} {currency}" if cost is not None else ""
    return [f"Have at hand what the shopping list names{price}."]


def _more_sessions(rates: list[Row]) -> list[str]:
    few = [row["method"] for row in rates if 0 < row["sessions_n"] < FEW_SESSIONS]
    return [f"Time more sessions of {_joined(few)}."] if few else []


def _value(row: Row, key: str) -> float | None:
    value: float | None = row[key]["value"]
    return value


def _amount(row: Row, key: str, decimals: int, unit: str) -> str:
    value = _value(row, key)
    return f"{unit} not known" if value is None else f"{value:,.{decimals}f} {unit}"


def _with_ends(row: Row, key: str, decimals: int, unit: str) -> str:
    """An amount with the digits that its interval leaves, and the interval."""
    figure = row[key]
    if figure["value"] is None or figure["low"] is None:
        return _amount(row, key, decimals, unit)
    middle, low, high = rounded_texts(middle=figure["value"], low=figure["low"], high=figure["high"], sessions_n=MANY)
    return f"about {middle} {unit} ({low} to {high})"


def _joined(parts: list[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
