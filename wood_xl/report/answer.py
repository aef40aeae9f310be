"""The sheet Answer: what to do, how sure that is, and what would change it, on one page without a name."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

from wood_xl.io.looks import varied
from wood_xl.notes.names import plain
from wood_xl.reading_words import OnAnswer, OnPages
from wood_xl.report import styles
from wood_xl.report.band import band
from wood_xl.report.charts import ChartData
from wood_xl.report.figure_text import ranged, typed_money, typed_text
from wood_xl.report.layout import Cells, Page, Span
from wood_xl.report.only_way import only_ways
from wood_xl.report.view import ALL, Row, View, days_between, surety_text, task_name
from wood_xl.results.first_cautions import first_cautions
from wood_xl.schema.words import capital, phrase, words
from wood_xl.verdicts import Kind, Measure, Surety

WIDTHS = (138, 132, 130, 156, 137)
FIGURES = {Measure.TIME: "worker_hours", Measure.MONEY: "cash", Measure.EFFORT: "kcal_net", Measure.AIR: "co2e"}
NEARLY_ALL = 0.75  # of a method's wood by one person (assumption)
MOST_TASKS = 4
MOST_LINES = 3
MOST_CELLS = 3
LOOK = "LOOK"
SAW_GEAR = "saw_gear"  # the caution whose noise is told
MINUTES, TWO = 60, 2
NO_CONFLICT, FEWER_LINES, NO_EXCHANGE_NOTE, NO_ONLY_WAYS, NO_WHOLE_JOB, NO_LIMITS, NO_EXCHANGE = range(1, 8)
MOST_BRIEF = 8


def answer_page(view: View, data: ChartData) -> Page:
    """The page; where it does not hold all, what is least needed goes, in the order of ``NO_...`` below."""
    for brief in range(MOST_BRIEF):
        page = Page(WIDTHS)
        _fill(page, view, data if brief == 0 else ChartData(words(OnPages.CHART_DATA)), brief)
        if len(page.pages()) == 1:
            break
    return page


def _fill(page: Page, view: View, data: ChartData, brief: int) -> None:
    season = view.season
    page.title(phrase(OnAnswer.TITLE, season=season["season_name"]), _counts(view), season["invented"])
    page.frame(
        [
            (words(OnAnswer.BEFORE_YOU_START), styles.CAUTION_LABEL),
            *((t, styles.CAUTION_TEXT) for t in _cautions(view)),
        ],
        styles.CAUTION,
    )
    page.gap(3.0)
    verdicts = [
        (row["head"], row["sentence"])
        for row in view.document["verdicts"]
        if brief < NO_ONLY_WAYS or not view.open_tasks or row["kind"] != Kind.ONLY_WAY.key
    ]
    if verdicts:
        looks = (styles.BOX_LABEL, styles.BOX_TEXT)
        page.box(verdicts, looks, styles.HEADING, fill=styles.LEAST, rule=styles.RULE)
    for line in _who_did_what(view) if brief < NO_LIMITS else ():  # Compare tells them too
        page.text(line, styles.REMARK)
    if view.open_tasks:
        _winners(page, view, brief)
        if view.document["exchange"]:
            band(page, view, data)
            if brief < NO_EXCHANGE:  # Money has all of it but two columns
                _exchange(page, view, brief)
    elif any(method.sessions_n for method in view.methods):
        only_ways(page, view, data)
    elif not verdicts:
        page.section(words(OnAnswer.NOTHING))
        page.text(words(OnAnswer.NOTHING_COUNTS))
    if view.open_tasks:
        _next(page, view, brief)
    _legend(page, view)


def _counts(view: View) -> str:
    sessions = view.document["sessions"]
    if not sessions:
        return ""
    dates = [row["date"] for row in sessions if row["date"]]
    text = phrase(
        OnAnswer.COUNTS, sessions=len(sessions), days=len(set(dates)), dates=days_between(dates) if dates else ""
    )
    if view.volume:
        text += phrase(OnAnswer.YEAR, volume=view.volume, woods=view.woods)
    if view.value_of_hour is not None:
        text += phrase(OnAnswer.HOUR, hour=typed_money(view.value_of_hour, view.currency))
    return text


def _cautions(view: View) -> Iterator[str]:
    """The gravest cautions of what is suggested, and how soon a saw reaches the daily noise limit."""
    planned = {row["method"] for row in view.document["plan_sessions"]}
    suggested = view.suggested
    shown = first_cautions(view.document["inputs"], {*suggested, *planned}) if suggested else None
    loud = [
        row
        for row in view.document["exposure_limits"]
        if (row["method"] in suggested or not suggested) and row["noise_hours"]["value"] is not None
    ]
    rows = list(shown or view.document["first_cautions"])
    saw = next((at for at, row in enumerate(rows) if row["id"] == SAW_GEAR), 0)
    for at, row in enumerate(rows):
        yield phrase(OnAnswer.CAUTION, title=row["title"], text=row["text"])
        if loud and at == saw:
            loudest = min(loud, key=lambda one: one["noise_hours"]["value"])
            minutes = math.ceil(loudest["noise_hours"]["value"] * MINUTES)
            if minutes <= MINUTES:
                yield phrase(OnAnswer.NOISE, tool=loudest["tool"], minutes=minutes)


def _who_did_what(view: View) -> Iterator[str]:
    """Methods that nearly one person alone did, without the name."""
    people: dict[str, dict[str, float]] = {}
    noted = {plain(str(row["session"])): row for row in view.document["inputs"]["sessions"] if "session" in row}
    for row in view.document["sessions"]:
        if row["cords"]["value"] is None or view.is_left_out(row["session"]):
            continue
        person = plain(str(noted.get(plain(row["session"]), {}).get("person", "")))
        wood = people.setdefault(row["method"], {})
        wood[person] = wood.get(person, 0.0) + row["cords"]["value"]
    open_methods = [one.name for one in view.methods if one.task in view.open_tasks]
    everybody = {person for wood in people.values() for person in wood}
    if not everybody:
        return
    alone = [
        name
        for name in open_methods
        if len(everybody) > 1 and max(people.get(name, {"": 0.0}).values()) >= NEARLY_ALL * _sum(people.get(name))
    ]
    by_person: dict[str, list[str]] = {}
    for name in alone:
        wood = people[name]
        by_person.setdefault(max(wood, key=lambda one: wood[one]), []).append(name)
    if alone:
        first, *others = by_person.values()
        others_told = "".join(phrase(OnAnswer.ANOTHER, methods=tuple(one)) for one in others)
        yield phrase(OnAnswer.ONE_PERSON, methods=tuple(first), others=others_told)
    apart = [
        task_name(task).lower()
        for task in view.open_tasks
        if not set.intersection(*(set(people.get(one.name, {})) for one in view.methods if one.task == task))
    ]
    if apart:
        yield phrase(OnAnswer.APART, tasks=tuple(apart))


def _sum(wood: dict[str, float] | None) -> float:
    return sum((wood or {}).values())


def _winners(page: Page, view: View, brief: int) -> None:
    page.section(words(OnAnswer.WINNERS))
    heads = [
        phrase(OnAnswer.FOR_ONE, wood=view.wood),
        words(OnAnswer.TIME),
        words(OnAnswer.MONEY),
        words(OnAnswer.EFFORT),
        phrase(OnAnswer.AIR, mass=view.mass),
    ]
    winners = {(row["task"], row["measure"]): row for row in view.document["winners"]}
    rows: list[Cells] = []
    for task in view.open_tasks:
        won = [winners.get((task, measure.key)) for measure in Measure]
        rows.append([Span(task_name(task), styles.NAME), *(_winner(one) for one in won)])
    wholes = [winners.get((ALL, measure.key)) for measure in Measure]
    if len(view.tasks) > 1 and any(wholes) and brief < NO_WHOLE_JOB:
        cells = [_whole(view, row, measure) for row, measure in zip(wholes, Measure, strict=True)]
        rows.append([Span(words(OnAnswer.WHOLE_JOB), styles.NAME), *cells])
    suggested = view.combination(view.suggested_job)
    if suggested is not None:
        name_look, look = (varied(one, fill=styles.LEAST) for one in (styles.NAME, styles.CELL))
        sums = [Span(_sum_text(view, suggested, measure), look) for measure in Measure]
        rows.append([Span(words(OnAnswer.SUGGESTED), name_look), *sums])
    page.table(heads, rows)
    told = {row["task"]: row["conflict"] for row in view.document["verdicts"] if row["conflict"]}
    if brief >= NO_CONFLICT:
        return
    if len(set(told.values())) == 1:
        page.text(next(iter(told.values())), styles.NOTE)
    elif told:
        parts = (
            phrase(OnAnswer.CONFLICT_OF, task=task_name(task), conflict=conflict) for task, conflict in told.items()
        )
        page.text(" ".join(parts), styles.NOTE)


def _winner(row: Row | None) -> str:
    if row is None or not row["method"]:
        return surety_text(Surety.NOT_KNOWN.key)
    return phrase(OnAnswer.WINNER, method=row["method"], surety=surety_text(row["surety"]))


def _whole(view: View, row: Row | None, measure: Measure) -> str:
    """What the whole job takes by the winners of the tasks."""
    combination = None if row is None else view.combination(row["method"])
    if row is None or combination is None:
        return surety_text(Surety.NOT_KNOWN.key)
    return phrase(OnAnswer.WINNER, method=_sum_text(view, combination, measure), surety=surety_text(row["surety"]))


def _sum_text(view: View, row: Row, measure: Measure) -> str:
    return view.one_text(row[FIGURES[measure]])


def _exchange(page: Page, view: View, brief: int) -> None:
    hour = view.value_of_hour
    heads = [
        phrase(OnAnswer.FOR_ONE, wood=view.wood),
        words(OnAnswer.HOUR_SAVED),
        words(OnAnswer.KCAL_SAVED),
        words(OnAnswer.TONNE_AVOIDED),
        "" if hour is None else phrase(OnAnswer.WORTH_IT, hour=typed_money(hour, view.currency)),
    ]
    settled = {row["task"] for row in view.document["verdicts"] if row["surety"] == Surety.SETTLED.key}
    rows: list[Cells] = []
    for row in view.document["exchange"]:
        if len(view.tasks) > MOST_TASKS and brief and row["task"] in settled:
            continue
        name = capital(row["method"])
        if not _is_only_pair(view, row):
            name = phrase(OnAnswer.INSTEAD, method=name, other=row["instead_of"])
        tonne = row["co2e_tonne"] if hour is not None else row["co2e_tonne_hours"]
        told = view.text(tonne, at_least_zero=True)
        if hour is None and tonne["value"] is not None:
            told = phrase(OnAnswer.HOURS_A_TONNE, hours=told)
        cells = [view.text(row["hour"], at_least_zero=True), view.text(row["kcal_1000"], at_least_zero=True), told]
        rows.append([Span(name, styles.NAME), *cells, _worth(view, row)])
    if not rows:
        return
    at = OnAnswer.EXCHANGE_AT if view.volume else OnAnswer.EXCHANGE
    page.section(phrase(at, volume=view.volume, woods=view.woods))
    page.table(heads, rows)
    if brief < NO_EXCHANGE_NOTE:
        page.text(words(OnAnswer.EXCHANGE_NOTE), styles.NOTE)


def _worth(view: View, row: Row) -> str:
    """Whether the hour that is saved is worth its price to the person."""
    hour, flip = view.value_of_hour, row["flip"]
    if hour is None or flip["value"] is None:
        return ""
    pays = flip["high"] is not None and hour > flip["high"]
    too_dear = flip["low"] is not None and hour < flip["low"]
    if not pays and not too_dear:
        return words(OnAnswer.PAYS_OPEN)
    verdict = view.row("verdicts", task=row["task"])
    if verdict is not None and verdict["kind"] in (Kind.PAYS.key, Kind.TOO_DEAR.key) and _is_only_pair(view, row):
        sure = OnAnswer.YES_SURE if pays else OnAnswer.NO_SURE
        return phrase(sure, surety=surety_text(verdict["surety"]))
    return words(OnAnswer.PAYS_YES if pays else OnAnswer.PAYS_NO)


def _is_only_pair(view: View, row: Row) -> bool:
    return len([one for one in view.methods if one.task == row["task"]]) == TWO


def _next(page: Page, view: View, brief: int) -> None:
    lines = [*_planned(view), *_to_settle(view), *_bought(view), *_looks(view)][: MOST_LINES - (brief >= FEWER_LINES)]
    if not lines:
        return
    page.section(words(OnAnswer.NEXT))
    for number, text in enumerate(lines, start=1):
        page.text(phrase(OnAnswer.NUMBER, number=number, text=text))


def _planned(view: View) -> Iterator[str]:
    plan = view.document["plan"]
    dates = [row["date"] for row in view.document["plan_sessions"]]
    if dates and plan["worker_hours"]["value"] is not None and plan["volume_planned"]["value"]:
        yield phrase(
            OnAnswer.PLAN,
            volume=typed_text(round(plan["volume_planned"]["value"], 1)),
            woods=view.woods,
            hours=ranged(plan["worker_hours"]),
            dates=days_between(dates),
        )
        if plan["late"]:
            yield plan["late"]


def _to_settle(view: View) -> Iterator[str]:
    """For a verdict that is open, the volume from which the quicker way pays, or more days."""
    for verdict in view.document["verdicts"]:
        if verdict["kind"] not in (Kind.KEEP.key, Kind.EITHER_OWNED.key, Kind.TIME_OPEN.key):
            continue
        for row in view.rows("break_even", task=verdict["task"]):
            volume = row["volume_time"]
            if volume["value"] is not None and view.value_of_hour is not None:
                yield phrase(
                    OnAnswer.PAYS_ABOVE,
                    method=row["quicker"],
                    hour=typed_money(view.value_of_hour, view.currency),
                    volume=ranged(volume),
                    woods=view.woods,
                )
                break


def _bought(view: View) -> Iterator[str]:
    row = view.bought
    if row is not None and row["hours_saved"]["value"] is not None and row["cash"]["value"] is not None:
        price = typed_money(view.one(row["cash"])["value"], view.currency)
        hours = ranged(view.one(row["hours_saved"]))
        costs = view.text(row["per_hour"], at_least_zero=True)
        word = OnAnswer.BOUGHT if row["per_hour"]["value"] is None else OnAnswer.BOUGHT_FOR
        yield phrase(word, wood=view.wood, price=price, hours=hours, costs=costs)


def _looks(view: View) -> Iterator[str]:
    found = [row for row in view.document["problems"] if row["level"] == LOOK]
    if found:
        cells = tuple(dict.fromkeys(f"{row['sheet']}!{row['cell']}" for row in found if row["cell"]))[:MOST_CELLS]
        key = OnAnswer.ONE_LOOK if len(found) == 1 else OnAnswer.LOOKS
        yield phrase(key, n=len(found), cells=cells)


def _legend(page: Page, view: View) -> None:
    rates: Sequence[Any] = view.document["rates_per_cord"]
    examples = [row["worker_hours"] for row in rates if row["worker_hours"]["low"] is not None]
    if not examples:
        return
    unit = OnAnswer.A_STACKED_METER if view.is_metric else OnAnswer.A_CORD
    page.gap(3.0)
    page.text(phrase(OnAnswer.EXAMPLE, example=view.one_text(examples[0]), unit=words(unit)), styles.NOTE)
