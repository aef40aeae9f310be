"""The sheet Answer: what to do, how sure that is, and what would change it, on one page without a name."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from enum import IntEnum, auto
from itertools import islice
from typing import Any

from wood_xl.data.load import value
from wood_xl.io.looks import varied
from wood_xl.notes.names import plain
from wood_xl.reading_words import OnAnswer, OnPages
from wood_xl.reasons import said
from wood_xl.report import styles
from wood_xl.report.band import band
from wood_xl.report.figure_text import ranged, typed_money
from wood_xl.report.layout import Cells, Page, Span
from wood_xl.report.money import pays_above_text
from wood_xl.report.only_way import only_ways
from wood_xl.report.view import ALL, Row, View, day, days_between, noted_in, task_name
from wood_xl.report.woodshed import lacking
from wood_xl.results.figures import figure_column, grouped
from wood_xl.results.first_cautions import first_cautions
from wood_xl.schema.words import capital, key_words, number_text, phrase, words
from wood_xl.verdicts import Kind, Measure, Source, Surety

WIDTHS = (138, 132, 130, 156, 137)
FIGURES = {Measure.TIME: "worker_hours", Measure.MONEY: "cash", Measure.EFFORT: "kcal_net", Measure.AIR: "co2e"}
NEARLY_ALL = 0.75  # of a method's wood by one person (assumption)
MOST_TASKS = 4
MOST_LINES = 4
AS_LONG_AS_ANY = "x" * 90 + " " + "x" * 90  # line of a plan
MOST_CELLS = 3
FIX, LOOK = "FIX", "LOOK"
SAW_GEAR = "saw_gear"  # the caution whose noise is told
MINUTES, TWO = 60, 2
OPEN_KINDS = (Kind.KEEP.key, Kind.EITHER_OWNED.key, Kind.TIME_OPEN.key)
SETTLED_ENOUGH = (Surety.SETTLED.key, Surety.SAME.key, Surety.ONLY_ONE.key, Surety.NOT_KNOWN.key)


class Brief(IntEnum):
    """What goes where the page does not hold all, what is least needed first."""

    SETTLED_EXCHANGE = auto()
    EXCHANGE_NOTE = auto()
    FEWER_LINES = auto()
    CONFLICT = auto()
    ONLY_WAYS = auto()
    WHOLE_JOB = auto()
    EXCHANGE = auto()  # Money has all of it but two columns
    WHO_DID_WHAT = auto()  # Compare tells it too
    BAND = auto()
    WINNERS = auto()
    LARGER_VERDICTS = auto()
    SENTENCES = auto()


def answer_page(view: View) -> Page:
    """The page; where it does not hold all, what is least needed goes first, and comes back if room is left."""
    gone: frozenset[Brief] = frozenset()
    for one in Brief:
        if _fits(view, gone):
            break
        gone |= {one}
    for one in sorted(gone, reverse=True):
        if _fits(view, gone - {one}):
            gone -= {one}
    page = Page(WIDTHS)
    _fill(page, view, gone)
    return page


def _fits(view: View, gone: frozenset[Brief]) -> bool:
    page, drawn_n = Page(WIDTHS), len(view.chart_data.rows)
    _fill(page, view, gone, is_measured=True)
    del view.chart_data.rows[drawn_n:]
    return len(page.pages()) == 1


def _fill(page: Page, view: View, gone: frozenset[Brief], *, is_measured: bool = False) -> None:
    season = view.season
    page.title(said(OnAnswer.TITLE, season=season["season_name"]), _counts(view), season["invented"])
    page.cautions(OnAnswer.BEFORE_YOU_START, _cautions(view))
    look = styles.SMALLER_BOX_TEXT if Brief.LARGER_VERDICTS in gone else styles.BOX_TEXT
    verdicts = [
        ((row["head"], styles.BOX_LABEL), ("" if Brief.SENTENCES in gone else row["sentence"], look))
        for row in view.document["verdicts"]
        if Brief.ONLY_WAYS not in gone or not view.open_tasks or row["kind"] != Kind.ONLY_WAY.key
    ]
    if verdicts:
        page.box(verdicts, styles.HEADING, fill=styles.LEAST, rule=styles.RULE)
    if wood := lacking(view):
        page.text(wood, styles.REMARK)
    for line in () if Brief.WHO_DID_WHAT in gone else who_did_what(view):
        page.text(line, styles.REMARK)
    if view.open_tasks:
        if Brief.WINNERS not in gone:
            _winners(page, view, gone)
        if view.document["exchange"]:
            if Brief.BAND not in gone:
                band(page, view, is_measured=is_measured)
            if Brief.EXCHANGE not in gone:
                _exchange(page, view, gone)
    elif any(method.sessions_n for method in view.methods):
        only_ways(page, view)
    elif not verdicts:
        page.section(OnAnswer.NOTHING)
        page.text(OnAnswer.NOTHING_COUNTS)
    _next(page, view, gone, is_measured)
    _legend(page, view)


def _counts(view: View) -> str:
    sessions = view.noted_sessions
    if not sessions:
        return ""
    dates = [row["date"] for row in sessions if row["date"]]
    text = words(OnAnswer.ONE_SESSION) if len(sessions) == 1 else phrase(OnAnswer.SESSIONS, n=len(sessions))
    if dates:
        on = phrase(OnAnswer.ON_DAYS, n=len(set(dates)), dates=days_between(dates))
        text += on if len(set(dates)) > 1 else phrase(OnAnswer.ON_ONE_DAY, date=days_between(dates))
    text += words(OnAnswer.STOP)
    if view.volume:
        year = OnAnswer.YEAR if view.is_year_written else OnAnswer.YEAR_OF_SEASON
        text += phrase(year, volume=view.volume, woods=view.woods_of(view.volume))
    if view.value_of_hour is not None:
        text += phrase(OnAnswer.HOUR, hour=typed_money(view.value_of_hour, view.currency))
    return text


def _cautions(view: View) -> Iterator[str]:
    """The gravest cautions of what is suggested or asked for, and how soon a saw reaches the daily noise limit."""
    planned = {row["method"] for row in view.document["plan_sessions"]}
    suggested = view.suggested
    asked_for = {*_untimed(view), *(row[key] for row in _unsettled(view) for key in ("less", "more"))}
    proposed = {*suggested, *planned, *asked_for} if suggested else set()  # where no way is advised, all ways
    rows = first_cautions(view.document["inputs"], proposed)
    loud = [
        row
        for row in view.document["exposure_limits"]
        if (row["method"] in suggested or not suggested) and row["noise_hours"]["value"] is not None
    ]
    saw = next((at for at, row in enumerate(rows) if row["id"] == SAW_GEAR), 0)
    for at, row in enumerate(rows):
        yield phrase(OnAnswer.CAUTION, title=row["title"], text=row["text"])
        if loud and at == saw:
            loudest = min(loud, key=lambda one: one["noise_hours"]["value"])
            minutes = math.ceil(loudest["noise_hours"]["value"] * MINUTES)
            if minutes <= MINUTES:
                yield phrase(OnAnswer.NOISE, tool=loudest["tool"], minutes=minutes)


def who_did_what(view: View) -> Iterator[str]:
    """Methods that nearly one person alone did, without the name."""
    people: dict[str, dict[str, float]] = {}
    noted = view.noted("sessions", "session")
    for row in view.document["sessions"]:
        if row["cords"]["value"] is None or row["session"] in view.left_out:
            continue
        person = plain(str(noted.get(noted_in(row), {}).get("person", "")))
        wood = people.setdefault(row["method"], {})
        for one, share in _shares(view, row, person).items():
            wood[one] = wood.get(one, 0.0) + share * row["cords"]["value"]
    tried = [one for one in view.methods if one.name in people and one.task in view.open_tasks]
    everybody = {person for wood in people.values() for person in wood}
    if not everybody:
        return
    hands = {task: [set(people[one.name]) for one in tried if one.task == task] for task in view.open_tasks}
    # The model has no persons where one did a whole task: it widens nothing, and says nothing of others.
    by_one = [task for task, each in hands.items() if len(everybody) > 1 == len(set.union(set(), *each))]
    if by_one:
        yield phrase(OnAnswer.BY_ONE, tasks=tuple(task_name(task).lower() for task in by_one))
    alone = [
        one.name
        for one in tried
        if one.task not in by_one
        and len(everybody) > 1
        and max(people[one.name].values()) >= NEARLY_ALL * sum(people[one.name].values())
    ]
    if alone:
        first, *others = grouped(alone, lambda name: max(people[name], key=people[name].__getitem__)).values()
        others_told = "".join(phrase(OnAnswer.ANOTHER, methods=tuple(one)) for one in others)
        yield phrase(OnAnswer.ONE_PERSON, methods=tuple(first), others=others_told)
    apart = [task_name(task).lower() for task, each in hands.items() if each and not set.intersection(*each)]
    if apart:
        yield phrase(OnAnswer.APART, tasks=tuple(apart))
    yield from _other_logs(view)


def _other_logs(view: View) -> Iterator[str]:
    """Pairs whose difference is mostly in doubt by the size of the logs, as the check tells of them too."""
    for row in view.document["limits"]:
        if row["source"] != words(Source.LOGS) or (row["share"]["value"] or 0.0) < 100 * value("model.source_named"):
            continue
        sizes = row["logs_of_one"]["value"], row["logs_of_other"]["value"]
        if None not in sizes:
            facts = {"sizes": tuple(map(number_text, sizes)), "unit": row["logs_of_one"]["unit"]}
            yield phrase(OnAnswer.OTHER_LOGS, one=row["one"], other=row["other"], **facts)


def _shares(view: View, row: Row, person: str) -> dict[str, float]:
    """Parts of a session's work: its main person's by the clock, and what is left among those who helped."""
    helped = [plain(str(one["person"])) for one in view.helpers.get(noted_in(row), ()) if "person" in one]
    clock, worked = row["clock_hours"]["value"], row["worker_hours"]["value"]
    if not helped or not clock or not worked:
        return {person: 1.0}
    return {person: clock / worked} | dict.fromkeys(helped, (1 - clock / worked) / len(helped))


def _winners(page: Page, view: View, gone: frozenset[Brief]) -> None:
    page.section(OnAnswer.WINNERS)
    heads = [said(OnAnswer.FOR_ONE, wood=view.wood), OnAnswer.TIME, OnAnswer.MONEY, OnAnswer.EFFORT]
    winners = {(row["task"], row["measure"]): row for row in view.document["winners"]}
    rows: list[Cells] = []
    for task in (*view.open_tasks, ALL):
        won = {measure: winners.get((task, measure.key)) for measure in Measure}
        if task != ALL or (len(view.tasks) > 1 and any(won.values()) and Brief.WHOLE_JOB not in gone):
            name = OnAnswer.WHOLE_JOB if task == ALL else task_name(task)
            rows.append([name, *(_winner(view, row, measure) for measure, row in won.items())])
    suggested = view.combination(view.suggested_job)
    if suggested is not None:
        texts = [words(OnAnswer.SUGGESTED), *(view.one_text(suggested[FIGURES[measure]]) for measure in Measure)]
        looks = (styles.NAME, *[styles.CELL] * len(Measure))
        rows.append([Span(text, varied(look, fill=styles.LEAST)) for text, look in zip(texts, looks, strict=True)])
    page.table([*heads, said(OnAnswer.AIR, mass=view.mass)], rows)
    told = {row["task"]: row["conflict"] for row in view.document["verdicts"] if row["conflict"]}
    if Brief.CONFLICT in gone:
        return
    if len(set(told.values())) == 1:
        page.text(next(iter(told.values())), styles.NOTE)
    elif told:
        parts = (
            phrase(OnAnswer.CONFLICT_OF, task=task_name(task), conflict=conflict) for task, conflict in told.items()
        )
        page.text(" ".join(parts), styles.NOTE)


def _winner(view: View, row: Row | None, measure: Measure) -> str:
    """The way of a task that takes least, or how much the least of the whole job is; and how sure it is."""
    job = view.combination(row["method"]) if row is not None and row["task"] == ALL else None
    if row is None or not row["method"] or (row["task"] == ALL and job is None):
        return key_words("Surety", Surety.NOT_KNOWN.key)
    told = view.short(row["method"]) if job is None else view.one_text(job[FIGURES[measure]])
    return phrase(OnAnswer.WINNER, method=told, surety=key_words("Surety", row["surety"]))


def _exchange(page: Page, view: View, gone: frozenset[Brief]) -> None:
    hour = view.value_of_hour
    worth = "" if hour is None else said(OnAnswer.WORTH_IT, hour=typed_money(hour, view.currency))
    heads = [said(OnAnswer.FOR_ONE, wood=view.wood), OnAnswer.HOUR_SAVED, OnAnswer.KCAL_SAVED]
    settled = {row["task"] for row in view.document["verdicts"] if row["surety"] == Surety.SETTLED.key}
    is_cut = Brief.SETTLED_EXCHANGE in gone and len(view.tasks) > MOST_TASKS
    shown = [row for row in view.document["exchange"] if not (is_cut and row["task"] in settled)]
    rows: list[Cells] = []
    cleaner: dict[str, None] = {}
    for row in shown:
        name = capital(row["method"])
        if not _is_only_pair(view, row):
            name = phrase(OnAnswer.INSTEAD, method=name, other=row["instead_of"])
        tonne = row["co2e_tonne"] if hour is not None else row["co2e_tonne_hours"]
        told = view.text(tonne, at_least_zero=True)
        if hour is None and (tonne["value"] or 0.0) > 0.0:
            told = phrase(OnAnswer.HOURS_A_TONNE, hours=told)
        saved = (view.text(row[key], at_least_zero=True) for key in ("hour", "kcal_1000"))
        rows.append([name, *saved, told, _worth(view, row)])
        if (row["co2e_more"]["value"] or 0.0) < 0.0:
            cleaner[name] = None
    if not rows:
        return
    at = OnAnswer.EXCHANGE_AT if view.volume else OnAnswer.EXCHANGE
    page.section(said(at, volume=view.volume, woods=view.woods_of(view.volume)))
    page.table([*heads, OnAnswer.TONNE_AVOIDED, worth], rows)
    if Brief.EXCHANGE_NOTE not in gone:
        is_any_hour_bought = any((row["hour"]["value"] or 0.0) > 0.0 for row in shown)
        notes = [words(OnAnswer.EXCHANGE_NOTE)] if is_any_hour_bought else []
        if any((row["co2e_more"]["value"] or 0.0) >= 0.0 for row in shown):
            but = phrase(OnAnswer.BUT_NOT, methods=tuple(cleaner)) if cleaner else ""
            notes.append(phrase(OnAnswer.BY_SLOWER, but=but))
        page.text(" ".join(notes), styles.NOTE)


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
        return phrase(sure, surety=key_words("Surety", verdict["surety"]))
    return words(OnAnswer.PAYS_YES if pays else OnAnswer.PAYS_NO)


def _is_only_pair(view: View, row: Row) -> bool:
    return len([one for one in view.methods if one.task == row["task"]]) == TWO


def _next(page: Page, view: View, gone: frozenset[Brief], is_measured: bool) -> None:
    """What waits for a mend first; that alone where there is nothing to choose, since the page says how to get it."""
    untimed = tuple(_untimed(view))
    lines = [*_marked(view, FIX), *([phrase(OnAnswer.UNTIMED, methods=untimed)] if untimed else [])]
    if view.open_tasks:
        planned = [*_planned(view)]
        # A shared copy has no plan, and what else is on the page must not hang on how long its line is.
        lines += [AS_LONG_AS_ANY] if planned and is_measured else planned
        lines += [*_to_settle(view), *_bought(view), *_marked(view, LOOK)]
    lines = lines[: MOST_LINES - (Brief.FEWER_LINES in gone)]
    if not lines:
        return
    page.section(OnAnswer.NEXT)
    for number, text in enumerate(lines, start=1):
        page.text(said(OnAnswer.NUMBER, number=number, text=text))


def _planned(view: View) -> Iterator[str]:
    """The plan, in a line that a shared copy has in its place too, so that both show the same page."""
    plan = view.document["plan"]
    dates = sorted(row["date"] for row in view.document["plan_sessions"])
    if view.is_shared and view.document["inputs"].get("next_season"):
        yield words(OnAnswer.PLAN_NOT_SHARED)
    elif dates and plan["worker_hours"]["value"] is not None and plan["volume_planned"]["value"]:
        first, last = (day(one, year=False, is_short=True) for one in (dates[0], dates[-1]))
        wanted, volume = (plan[key]["value"] for key in ("volume_wanted", "volume_planned"))
        word = OnAnswer.PLAN_PART if plan["shortfall"]["value"] else OnAnswer.PLAN
        when = {"hours": ranged(plan["worker_hours"]), "dates": phrase(OnPages.FROM_TO, first=first, last=last)}
        told = phrase(word, wanted=wanted, volume=volume, woods=view.woods_of(f"{wanted:g}"), **when)
        yield " ".join(text for text in (told, plan["late"]) if text)
    elif view.document["inputs"].get("next_season"):
        is_short = plan["ways"] and not plan["volume_planned"]["value"]
        yield words(OnAnswer.NO_PLAN) if is_short else phrase(OnAnswer.NO_DAYS, why=plan["last_session"])


def _to_settle(view: View) -> Iterator[str]:
    """For a verdict that is open, the volume from which the quicker way pays, or more days with both."""
    for verdict in view.document["verdicts"]:
        told = _pays_above(view, verdict)
        if told:
            yield told
        else:
            for row in _unsettled(view):
                if row["task"] == verdict["task"]:
                    yield phrase(OnAnswer.SETTLE, one=row["less"], other=row["more"], further=row["further"])


def _pays_above(view: View, verdict: Row) -> str:
    """From which volume the quicker way pays that an open verdict speaks of; empty unless that volume has an end."""
    pair = view.row("verdict_pairs", task=verdict["task"])
    if pair is None or verdict["kind"] not in OPEN_KINDS:
        return ""
    volume = view.pays_above(pair)
    if volume is None or (volume["low"] is None and volume["high"] is None):
        return ""
    return phrase(OnAnswer.PAYS_ABOVE, told=pays_above_text(view, pair["method"], volume), sheet=OnPages.MONEY)


def _unsettled(view: View) -> Iterator[Row]:
    """For each verdict that is open the first pair whose hours are not told apart."""
    figure = figure_column(FIGURES[Measure.TIME]).title
    known = {words(one) for one in (Surety.SETTLED, Surety.SAME, Surety.NOT_KNOWN)}
    for verdict in view.document["verdicts"]:
        if verdict["surety"] not in SETTLED_ENOUGH:
            rows = view.rows("comparisons", task=verdict["task"], figure=figure)
            yield from islice((row for row in rows if row["surety"] not in known), 1)


def _bought(view: View) -> Iterator[str]:
    row = view.bought
    if row is not None and row["cash"]["value"] is not None:
        price = typed_money(view.one(row["cash"])["value"], view.currency)
        hours = ranged(view.one(row["hours_saved"]))
        costs = view.text(row["per_hour"], at_least_zero=True)
        word = OnAnswer.BOUGHT if row["per_hour"]["value"] is None else OnAnswer.BOUGHT_FOR
        yield phrase(word, wood=view.wood, price=price, hours=hours, costs=costs)


def _untimed(view: View) -> Iterator[str]:
    """Methods of the notes without a session: whatever is asked about them has no answer yet."""
    noted = view.noted_methods
    yield from (one.name for one in view.methods if noted and one not in noted)


def _marked(view: View, level: str) -> Iterator[str]:
    """Notes that hold figures back, or may move them, with the first of their cells."""
    found = [row for row in view.document["problems"] if row["level"] == level]
    if found:
        places = dict.fromkeys(f"{row['sheet']}!{row['cell']}" if row["cell"] else "" for row in found)
        cells = tuple(filter(None, places))[:MOST_CELLS]
        more = words(OnAnswer.MORE_CELLS) if len(places) > len(cells) else ""
        one, several = (OnAnswer.ONE_FIX, OnAnswer.FIXES) if level == FIX else (OnAnswer.ONE_LOOK, OnAnswer.LOOKS)
        told = phrase(OnAnswer.AT_CELLS, cells=cells, more=more) if cells else ""
        yield phrase(one if len(found) == 1 else several, n=len(found), at=told)


def _legend(page: Page, view: View) -> None:
    rates: Sequence[Any] = view.document["rates_per_cord"]
    examples = [row["worker_hours"] for row in rates if row["worker_hours"]["low"] is not None]
    if not examples:
        return
    unit = OnAnswer.A_STACKED_METER if view.is_metric else OnAnswer.A_CORD
    page.gap(3.0)
    settled = OnAnswer.EXAMPLE_SETTLED if view.open_tasks else ""
    page.text(said(OnAnswer.EXAMPLE, example=view.one_text(examples[0]), settled=settled, unit=unit), styles.NOTE)
