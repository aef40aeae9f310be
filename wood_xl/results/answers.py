"""What the season says, in plain sentences, with the doubt that it deserves."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from wood_xl.data.trade import tasks
from wood_xl.ids import Recorded
from wood_xl.notes.problem import Level, Problem
from wood_xl.pages import Answer
from wood_xl.reasons import is_said
from wood_xl.results.amounts import counted, in_doubt
from wood_xl.results.doubt_words import rounded_texts
from wood_xl.schema.model import System, results_definition
from wood_xl.schema.words import capital, phrase, words
from wood_xl.verdicts import Surety, Verdict

FEW_SESSIONS = 3  # below this a figure is called rough
MANY = 3  # sessions from which two digits of an interval are worded
MOST_PLACES = 3  # of cells that are named in a sentence

Row = dict[str, Any]


@dataclass(frozen=True)
class Question:
    """One question of the reader, with the figure that answers it and how that is worded."""

    about: Answer
    figure: str
    decimals: int
    unit: str


def answers(tables: dict[str, list[Row]], season: Row, problems: list[Problem], *, system: System) -> list[str]:
    """Sentences for the first sheet."""
    rates = [row for row in tables["rates_per_cord"] if row["sessions_n"]]
    sentences = [] if rates else [phrase(Answer.NOTHING_COUNTED, sheet=_problem_sheet())]
    if rates:
        sentences += _by_question(rates, tables["comparisons"], season["currency"], system)
        sentences += _hours_saved(tables["break_even"], season["currency"])
        sentences += [f"{one.text} {one.mend}" for one in problems if one.code == "season-own-yearly-volume"]
        sentences.append(_doubt(rates))
    sentences += _warmth(tables, season["currency"])
    sentences += _not_counted(season, problems)
    return [*sentences, *looks(problems)] if rates else sentences


def _by_question(rates: list[Row], compared: list[Row], currency: str, system: System) -> list[str]:
    """One paragraph for each question: what is better for time, body, money and air."""
    mass = results_definition().column("rates_per_cord.co2e").unit_in(system)
    questions = (
        Question(Answer.TIME, "worker_hours", 1, words(Recorded.WORKER_HOURS)),
        Question(Answer.BODY, "kcal_net", 0, "kcal"),
        Question(Answer.MONEY, "cash", 2, currency),
        Question(Answer.AIR, "co2e", 1, mass),
    )
    paragraphs = []
    for question in questions:
        sentences = []
        for task in tasks().values():
            rows = [row for row in rates if row["task"] == task.id]
            if rows:
                sentences.append(phrase(Answer.OF_TASK, task=capital(task.name), methods=_methods(rows, question)))
                of_task = [row for row in compared if row["task"] == task.id]
                sentences += _verdicts([row for row in of_task if row["figure"] == question.figure])
        paragraphs.append(phrase(question.about, sentences=tuple(sentences)))
    return paragraphs


def _no_cost(cost: Row, currency: str) -> str:
    """What is said of an hour that costs nothing as it stands: its range may say otherwise."""
    if cost["high"] is None:
        return phrase(Answer.COST_OPEN)
    if cost["high"] <= 0:
        return phrase(Answer.COSTS_NOTHING)
    return phrase(Answer.COSTS_NOTHING_OR, high=cost["high"], currency=currency)


def _hours_saved(rows: list[Row], currency: str) -> list[str]:
    """What each hour costs that a quicker method saves, and from which volume it pays."""
    parts = []
    for row in rows:
        cost, volume = row["hour_saved_cost"], row["volume_cash"]
        if cost["value"] is None:
            continue
        price = {"cost": cost["value"], "currency": currency}
        if cost["value"] <= 0:
            costs = _no_cost(cost, currency)
        elif volume["value"] is None:
            costs = phrase(Answer.COSTS_WHATEVER_VOLUME, **price, why=volume["reason"])
        else:
            at = counted(volume, decimals=1)
            costs = phrase(Answer.COSTS_UP_TO_A_VOLUME, **price, volume=at, pays=volume["basis"])
        parts.append(phrase(Answer.HOUR_SAVED, costs=costs, quicker=row["quicker"], slower=row["slower"]))
    return [phrase(Answer.HOURS_SAVED, parts=tuple(parts))] if parts else []


def _warmth(tables: dict[str, list[Row]], currency: str) -> list[str]:
    """What the season's wood brings to the house, and what it stands in for."""
    if not tables["heat"]:
        return []
    cord, wood = tables["heat"][-1], tables["heat_use"][-1]  # the mix, or the only kind; all the season's wood
    mass, net, moist = cord["mass"], cord["net_heat"], cord["moisture_wet"]
    holds = phrase(
        Answer.CORD_HOLDS,
        heat=net["value"],
        heat_unit=net["unit"],
        mass=mass["value"],
        mass_unit=mass["unit"],
        moisture=moist["value"],
    )
    heat, amount = wood["delivered_heat"], wood["cords"]
    if heat["value"] is None:
        return [phrase(Answer.HEAT_NOT_KNOWN, holds=holds, why=heat["reason"])]
    facts = {"cords": amount["value"], "heat": heat["value"], "unit": heat["unit"]}
    return [phrase(Answer.HEAT_TO_HOUSE, holds=holds, **facts, instead=_instead(wood, currency))]


def _instead(wood: Row, currency: str) -> str:
    """The same warmth by the other heating; nothing if none is named."""
    amounts = [wood[key] for key in ("fuel_volume", "fuel_therms", "fuel_energy") if wood[key]["value"] is not None]
    if not amounts:
        return ""
    cost, co2 = wood["fuel_cost"], wood["fuel_co2"]
    parts = [] if cost["value"] is None else [f"{cost['value']:,.0f} {currency}"]
    parts += [] if co2["value"] is None else [phrase(Answer.OF_CO2, mass=co2["value"], unit=co2["unit"])]
    return phrase(
        Answer.INSTEAD,
        amount=amounts[0]["value"],
        unit=amounts[0]["unit"],
        heating=wood["instead_of"],
        costs=phrase(Answer.IN_BRACKETS, parts=tuple(parts)) if parts else "",
    )


def _methods(rows: list[Row], question: Question) -> str:
    figured = [row for row in rows if row[question.figure]["value"] is not None]
    figured.sort(key=lambda row: row[question.figure]["value"])
    parts = [phrase(Answer.WITH, amount=_amount(row, question), method=row["method"]) for row in figured]
    missing = [row for row in rows if row[question.figure]["value"] is None]
    parts += [
        phrase(Answer.NOT_KNOWN_WITH, method=row["method"], why=row[question.figure]["reason"]) for row in missing
    ]
    return ", ".join(parts)


def _amount(row: Row, question: Question) -> str:
    figure, sessions_n = row[question.figure], row["sessions_n"]
    return in_doubt(figure, unit=question.unit, decimals=question.decimals, sessions_n=sessions_n)


def _verdicts(rows: list[Row]) -> list[str]:
    """What may be said of each pair of methods, those that can be told first."""
    told = [row for row in rows if row["ratio"]["value"] is not None]
    told.sort(key=lambda row: is_said(row["verdict"], Verdict.OPEN))
    return [_verdict(row) for row in told]


def _verdict(row: Row) -> str:
    more, less = row["more"], row["less"]
    if is_said(row["verdict"], Verdict.OPEN):
        if row["surety"] is Surety.OPEN:
            return phrase(Answer.CANNOT_TELL, less=less, more=more)
        return phrase(Answer.NOT_SETTLED, less=capital(less), surety=row["surety"], more=more)
    if not is_said(row["verdict"], Verdict.TAKES_LESS):
        return phrase(Answer.ALIKE, less=capital(less), more=more, verdict=row["verdict"])
    ratio = row["ratio"]
    middle, low, high = rounded_texts(
        middle=ratio["value"], low=ratio["low"], high=ratio["high"], sessions_n=MANY, clear_of=1.0
    )
    return phrase(Answer.TAKES_TIMES, more=capital(more), middle=middle, less=less, low=low, high=high)


def _doubt(rates: list[Row]) -> str:
    rough = [row["method"] for row in rates if row["sessions_n"] < FEW_SESSIONS]
    few = [phrase(Answer.FEW_SESSIONS, least=FEW_SESSIONS, methods=tuple(rough))] if rough else []
    return " ".join([phrase(Answer.DOUBT), *few])


def _not_counted(season: Row, problems: list[Problem]) -> list[str]:
    left = season["sessions_not_counted"]
    sentences = [phrase(Answer.ONE_LEFT_OUT if left == 1 else Answer.LEFT_OUT, n=left)] if left else []
    fixes = sum(one.count for one in problems if one.level is Level.FIX)
    if fixes:
        waits = Answer.ONE_CELL_WAITS if fixes == 1 else Answer.CELLS_WAIT
        sentences.append(phrase(waits, n=fixes, sheet=_problem_sheet()))
    return sentences


def looks(problems: list[Problem]) -> list[str]:
    """A sentence about what is unusual and was used as it stands; none if nothing is.

    What keeps a figure back is told beside the figure, and what is about the plan beside the plan.
    """
    unusual = [p for p in problems if p.level is Level.LOOK and not p.withholds and not p.is_about_plan]
    if not unusual:
        return []
    places = list(dict.fromkeys(p.where for p in unusual if p.where))
    more = [phrase(Answer.OTHERS)] if len(places) > MOST_PLACES or not all(p.where for p in unusual) else []
    where = phrase(Answer.IN_BRACKETS, parts=(*places[:MOST_PLACES], *more)) if places else ""
    lines = Answer.ONE_LOOK if len(unusual) == 1 else Answer.LOOKS
    return [phrase(lines, n=len(unusual), sheet=_problem_sheet(), where=where)]


def _problem_sheet() -> str:
    return results_definition().sheet("problems").result_sheet
