"""What the season says, in plain sentences, with the doubt that it deserves."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from wood_xl.data.trade import tasks
from wood_xl.notes.problem import Level, Problem
from wood_xl.reasons import is_said
from wood_xl.results.amounts import counted, in_doubt
from wood_xl.results.doubt_words import rounded_texts
from wood_xl.schema.model import System, results_definition
from wood_xl.schema.words import capital, joined, words
from wood_xl.verdicts import Counts, Surety, Verdict

FEW_SESSIONS = 3  # below this a figure is called rough
MANY = 3  # sessions from which two digits of an interval are worded
MOST_PLACES = 3  # of cells that are named in a sentence

Row = dict[str, Any]


@dataclass(frozen=True)
class Question:
    """One question of the reader, with the figure that answers it and how that is worded."""

    words: str
    figure: str
    decimals: int
    unit: str


def answers(tables: dict[str, list[Row]], season: Row, problems: list[Problem], *, system: System) -> list[str]:
    """Sentences for the first sheet."""
    rates = [row for row in tables["rates_per_cord"] if row["sessions_n"]]
    sentences = []
    if rates:
        sentences += _by_question(rates, tables["comparisons"], season["currency"], system)
        sentences += _hours_saved(tables["break_even"], season["currency"])
        sentences += [f"{found.text} {found.mend}" for found in problems if found.code == "season-own-yearly-volume"]
        sentences.append(_doubt(rates))
    sentences += _warmth(tables, season["currency"])
    sentences += _not_counted(season, problems)
    if rates:
        sentences += looks(problems)
    else:
        sentences.append(f"No session could be counted, so there is nothing to say yet: see {_problem_sheet()}.")
    return sentences


def _by_question(rates: list[Row], compared: list[Row], currency: str, system: System) -> list[str]:
    """One paragraph for each question: what is better for time, body, money and air."""
    mass = results_definition().column("rates_per_cord.co2e").unit_in(system)
    questions = (
        Question("Time", "worker_hours", 1, "worker hours"),
        Question("Body, effort beyond rest", "kcal_net", 0, "kcal"),
        Question("Money, without a value of time", "cash", 2, currency),
        Question("Air, CO2e of fuel, electricity and tools, without burning the wood", "co2e", 1, mass),
    )
    paragraphs = []
    for question in questions:
        sentences = []
        for task in tasks().values():
            rows = [row for row in rates if row["task"] == task.id]
            if rows:
                sentences.append(f"{capital(task.name)} a cord: {_methods(rows, question)}.")
                of_task = [row for row in compared if row["task"] == task.id]
                sentences += _verdicts([row for row in of_task if row["figure"] == question.figure])
        paragraphs.append(f"{question.words}. {' '.join(sentences)}")
    return paragraphs


def _hours_saved(rows: list[Row], currency: str) -> list[str]:
    """What each hour costs that a quicker method saves, and from which volume it pays."""
    parts = []
    for row in rows:
        cost, volume = row["hour_saved_cost"], row["volume_cash"]
        if cost["value"] is None:
            continue
        if cost["value"] <= 0:
            told = "nothing"
        elif volume["value"] is None:
            told = f"{cost['value']:,.2f} {currency} (in cash it {words(volume['reason'])})"
        else:
            at = f"{counted(volume, decimals=1)} a year: it {words(volume['basis'])}"
            told = f"{cost['value']:,.2f} {currency} (in cash both cost the same at {at})"
        parts.append(f"{told} with {row['quicker']} instead of {row['slower']}")
    if not parts:
        return []
    doubt = (
        "Lives, resale and yearly volume behind it are estimates: the sheet Sensitivity shows how far each moves it."
    )
    return [f"What an hour saved costs, at this yearly volume: {'; '.join(parts)}. {doubt}"]


def _warmth(tables: dict[str, list[Row]], currency: str) -> list[str]:
    """What the season's wood brings to the house, and what it stands in for."""
    if not tables["heat"]:
        return []
    cord, wood = tables["heat"][-1], tables["heat_use"][-1]  # the mix, or the only kind; all the season's wood
    mass, net, moist = cord["mass"], cord["net_heat"], cord["moisture_wet"]
    told = (
        f"Warmth. A cord of this wood holds {net['value']:.1f} {net['unit']} of net heat"
        f" ({mass['value']:,.0f} {mass['unit']} with {moist['value']:.0f} % of water)"
    )
    given, amount = wood["delivered_heat"], wood["cords"]
    if given["value"] is None:
        return [f"{told}; heat to the house is not known ({words(given['reason'])})."]
    told += f". The season's {amount['value']:.2f} cords give the house {given['value']:.1f} {given['unit']}"
    return [f"{told}{_instead(wood, currency)}."]


def _instead(wood: Row, currency: str) -> str:
    """The same warmth by the other heating; nothing if none is named."""
    amounts = [wood[key] for key in ("fuel_volume", "fuel_therms", "fuel_energy") if wood[key]["value"] is not None]
    if not amounts:
        return ""
    cost, co2 = wood["fuel_cost"], wood["fuel_co2"]
    parts = [] if cost["value"] is None else [f"{cost['value']:,.0f} {currency}"]
    parts += [] if co2["value"] is None else [f"{co2['value']:,.0f} {co2['unit']} of CO2"]
    told = f" ({joined(parts)})" if parts else ""
    return f", as {amounts[0]['value']:,.0f} {amounts[0]['unit']} by {wood['instead_of']} would{told}"


def _methods(rows: list[Row], question: Question) -> str:
    known = [row for row in rows if row[question.figure]["value"] is not None]
    known.sort(key=lambda row: row[question.figure]["value"])
    parts = [f"{_amount(row, question)} with {row['method']}" for row in known]
    missing = [row for row in rows if row[question.figure]["value"] is None]
    parts += [f"not known with {row['method']} ({words(row[question.figure]['reason'])})" for row in missing]
    return ", ".join(parts)


def _amount(row: Row, question: Question) -> str:
    figure, sessions_n = row[question.figure], row["sessions_n"]
    return in_doubt(figure, unit=question.unit, decimals=question.decimals, sessions_n=sessions_n)


def _verdicts(rows: list[Row]) -> list[str]:
    """What may be said of each pair of methods, those that can be told first."""
    told = [row for row in rows if row["counts"] is Counts.YES and row["ratio"]["value"] is not None]
    told.sort(key=lambda row: is_said(row["verdict"], Verdict.OPEN))
    return [_verdict(row) for row in told]


def _verdict(row: Row) -> str:
    more, less = row["more"], row["less"]
    if is_said(row["verdict"], Verdict.OPEN):
        if row["surety"] is Surety.CANNOT_TELL:
            return f"One cannot tell yet whether {less} or {more} takes less."
        return f"{capital(less)} {words(row['surety'])} takes less than {more}, but that is not settled yet."
    if not is_said(row["verdict"], Verdict.TAKES_LESS):
        return f"{capital(less)} and {more} take {words(row['verdict'])}."
    ratio = row["ratio"]
    middle, low, high = rounded_texts(
        middle=ratio["value"], low=ratio["low"], high=ratio["high"], sessions_n=MANY, clear_of=1.0
    )
    return f"{capital(more)} takes about {middle} times as much as {less} ({low} to {high})."


def _doubt(rates: list[Row]) -> str:
    rough = [row["method"] for row in rates if row["sessions_n"] < FEW_SESSIONS]
    few = f" Fewer than {FEW_SESSIONS} sessions stand behind {joined(rough)}: take those as rough." if rough else ""
    return (
        "In brackets stands between what the true figure lies, 19 times in 20. An assumed day-to-day spread is in "
        "it, so that few sessions make wide brackets; for money and air also a usual doubt of prices, lives and "
        f"factors.{few}"
    )


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


def looks(problems: list[Problem]) -> list[str]:
    """A sentence about what is unusual and was used as it stands; none if nothing is.

    What keeps a figure back is told beside the figure, and what is about the plan beside the plan.
    """
    found = [p for p in problems if p.level is Level.LOOK and not p.withholds and not p.is_about_plan]
    if not found:
        return []
    places = list(dict.fromkeys(p.where for p in found if p.where))
    more = ["others"] if len(places) > MOST_PLACES or not all(p.where for p in found) else []
    where = f" ({joined([*places[:MOST_PLACES], *more])})" if places else ""
    lines = "line" if len(found) == 1 else "lines"
    return [f"{len(found)} {lines} marked LOOK on the sheet {_problem_sheet()} may move these figures{where}."]


def _problem_sheet() -> str:
    return results_definition().sheet("problems").result_sheet
