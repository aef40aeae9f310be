"""The sheet Answer: what to do, how sure that is, and what would change it, on one page that names nobody."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from enum import IntEnum, auto
from itertools import islice
from operator import itemgetter
from typing import Any

from wood_xl.data.load import value
from wood_xl.ids import Phrase
from wood_xl.io.looks import varied
from wood_xl.notes.names import plain
from wood_xl.page_texts import OnAnswer, OnPages
from wood_xl.reasons import said
from wood_xl.report import styles
from wood_xl.report.band import band
from wood_xl.report.figure_text import ranged, typed_money
from wood_xl.report.layout import Cells, Page, Span
from wood_xl.report.money import pays_above_text
from wood_xl.report.only_way import only_ways
from wood_xl.report.view import ALL, Row, View, dates_text, day, noted_session, task_name
from wood_xl.report.woodshed import lacking
from wood_xl.results.figures import figure_column, grouped
from wood_xl.results.first_cautions import first_cautions
from wood_xl.schema.words import capital, key_words, number_text, phrase, words
from wood_xl.verdicts import Kind, Measure, Source, Surety

WIDTHS = (138, 131, 125, 165, 134)
FIGURES = {Measure.TIME: "worker_hours", Measure.MONEY: "cash", Measure.EFFORT: "kcal_net", Measure.AIR: "co2e"}
MOST_TASKS = 4
MOST_LINES = 4
LONGEST_PLAN_LINE = "x" * 90 + " " + "x" * 90
MOST_CELLS = 3
FIX, LOOK = "FIX", "LOOK"
SAW_GEAR = "saw_gear"  # the caution that the noise limit is written below
MINUTES, TWO = 60, 2
OPEN_KINDS = (Kind.KEEP.key, Kind.EITHER_OWNED.key, Kind.TIME_OPEN.key)
SETTLED_ENOUGH = (Surety.SETTLED.key, Surety.SAME.key, Surety.ONLY_ONE.key, Surety.NOT_KNOWN.key)


class Cut(IntEnum):
    """Cuts that make the answer fit on its page, the least needed part first."""

    SETTLED_EXCHANGE = auto()
    EXCHANGE_NOTE = auto()
    FEWER_LINES = auto()
    CONFLICT = auto()
    ONLY_WAYS = auto()
    WHOLE_JOB = auto()
    EXCHANGE = auto()  # all but two of its columns are on Money
    WHO_DID_WHAT = auto()  # is on Compare too
    BAND = auto()
    WINNERS = auto()
    LARGER_VERDICTS = auto()
    SENTENCES = auto()


def answer_page(view: View) -> Page:
    """The page, with the least needed parts cut until it fits; a cut that turns out needless is undone."""
    cuts: frozenset[Cut] = frozenset()
    for cut in Cut:
        if _fits(view, cuts):
            break
        cuts |= {cut}
    for cut in sorted(cuts, reverse=True):
        if _fits(view, cuts - {cut}):
            cuts -= {cut}
    page = Page(WIDTHS, view.facts)
    _fill(page, view, cuts)
    return page


def _fits(view: View, cuts: frozenset[Cut]) -> bool:
    page, chart_rows_n = Page(WIDTHS, view.facts), len(view.chart_data.rows)
    _fill(page, view, cuts, is_trial=True)
    del view.chart_data.rows[chart_rows_n:]
    return len(page.pages()) == 1


def _fill(page: Page, view: View, cuts: frozenset[Cut], *, is_trial: bool = False) -> None:
    """Fill the page; in a trial only its height matters."""
    season = view.season
    page.title(said(OnAnswer.TITLE, season=season["season_name"]), _counts(view), season["invented"])
    page.cautions(OnAnswer.BEFORE_YOU_START, _cautions(view))
    look = styles.SMALLER_BOX_TEXT if Cut.LARGER_VERDICTS in cuts else styles.BOX_TEXT
    verdicts = [
        ((row["head"], styles.BOX_LABEL), ("" if Cut.SENTENCES in cuts else row["sentence"], look))
        for row in view.document["verdicts"]
        if Cut.ONLY_WAYS not in cuts or not view.open_tasks or row["kind"] != Kind.ONLY_WAY.key or not row["choice"]
    ]
    if verdicts:
        page.box(verdicts, styles.HEADING, fill=styles.LEAST, rule=styles.RULE)
    if wood := lacking(view):
        page.text(wood, styles.REMARK)
    for line in () if Cut.WHO_DID_WHAT in cuts else who_did_what(view):
        page.text(line, styles.REMARK)
    if view.open_tasks:
        if Cut.WINNERS not in cuts:
            _winners(page, view, cuts)
        if view.document["exchange"]:
            if Cut.BAND not in cuts:
                band(page, view, is_trial=is_trial)
            if Cut.EXCHANGE not in cuts:
                _exchange(page, view, cuts)
    elif any(method.sessions_n for method in view.methods):
        only_ways(page, view)
    elif not verdicts:
        page.section(OnAnswer.NOTHING)
        page.text(OnAnswer.NOTHING_COUNTS)
    _next_steps(page, view, cuts, is_trial=is_trial)
    _legend(page, view)


def _counts(view: View) -> str:
    sessions = view.noted_sessions
    if not sessions:
        return ""
    dates = [row["date"] for row in sessions if row["date"]]
    text = words(OnAnswer.ONE_SESSION) if len(sessions) == 1 else phrase(OnAnswer.SESSIONS, n=len(sessions))
    if dates:
        on = phrase(OnAnswer.ON_DAYS, n=len(set(dates)), dates=dates_text(dates))
        text += on if len(set(dates)) > 1 else phrase(OnAnswer.ON_ONE_DAY, date=dates_text(dates))
    text += words(OnAnswer.STOP)
    if view.volume:
        text += view.say(OnAnswer.YEAR if view.is_year_written else OnAnswer.YEAR_OF_SEASON)
    if view.hour_text:
        text += view.say(OnAnswer.HOUR)
    worths = view.document["inputs"]["season"]
    for word, item in ((OnAnswer.EFFORT_WORTH, "value_of_effort"), (OnAnswer.TONNE_WORTH, "price_of_carbon")):
        if item in worths:
            text += phrase(word, worth=typed_money(float(worths[item]), view.currency))
    return text


def _cautions(view: View) -> Iterator[str]:
    """The gravest cautions for each way that the page proposes, and how soon a saw reaches the daily noise limit."""
    planned = {row["method"] for row in view.document["plan_sessions"]}
    chosen = {row["choice"]: row["task"] for row in view.document["verdicts"] if row["choice"]}
    # A task without a choice proposes all of its ways, and hides no caution for what is chosen for others.
    suggested = {one.name for one in view.methods if one.name in chosen or one.task not in chosen.values()}
    asked_for = {*_untimed(view), *(row[key] for row in _unsettled(view) for key in ("less", "more"))}
    proposed = {*suggested, *planned, *asked_for}
    cautions = first_cautions(view.document["inputs"], proposed)
    noisy = [
        row
        for row in view.document["exposure_limits"]
        if row["method"] in proposed and row["noise_hours"]["value"] is not None
    ]
    saw_at = next((at for at, row in enumerate(cautions) if row["id"] == SAW_GEAR), 0)
    for at, row in enumerate(cautions):
        yield phrase(OnAnswer.CAUTION, title=row["title"], text=row["text"])
        if noisy and at == saw_at:
            loudest = min(noisy, key=lambda limit: limit["noise_hours"]["value"])
            minutes = math.ceil(loudest["noise_hours"]["value"] * MINUTES)
            if minutes <= MINUTES:
                told = OnAnswer.NOISE if minutes > 1 else OnAnswer.NOISE_AT_ONCE
                yield phrase(told, tool=loudest["tool"], minutes=minutes)


def who_did_what(view: View) -> Iterator[str]:
    """Which methods one person did nearly alone, which tasks share no hands, and whose logs differ; no names."""
    cords_by_person: dict[str, dict[str, float]] = {}  # of each method
    for row in view.document["sessions"]:
        if row["cords"]["value"] is None or row["session"] in view.left_out:
            continue
        cords = cords_by_person.setdefault(row["method"], {})
        for person, share in _shares(view, row).items():
            cords[person] = cords.get(person, 0.0) + share * row["cords"]["value"]
    everybody = {person for cords in cords_by_person.values() for person in cords}
    if not everybody:
        return
    tried = [method for method in view.methods if method.name in cords_by_person and method.task in view.open_tasks]
    crews = {
        task: [set(cords_by_person[method.name]) for method in tried if method.task == task]
        for task in view.open_tasks
    }
    # The model has no persons where one did a whole task: it widens nothing, and says nothing of others.
    by_one = [task for task, of_methods in crews.items() if len(everybody) > 1 == len(set.union(set(), *of_methods))]
    if by_one:
        yield phrase(OnAnswer.BY_ONE, tasks=tuple(task_name(task).lower() for task in by_one))
    main_persons: dict[str, list[str]] = {}  # methods that each of them did nearly alone
    for method in tried if len(everybody) > 1 else ():
        cords = cords_by_person[method.name]
        main_person = max(cords, key=cords.__getitem__)
        if method.task not in by_one and cords[main_person] >= value("compare.nearly_all") * sum(cords.values()):
            main_persons.setdefault(main_person, []).append(method.name)
    if main_persons:
        first, *others = main_persons.values()
        others_text = "".join(phrase(OnAnswer.ANOTHER, methods=tuple(methods)) for methods in others)
        yield phrase(OnAnswer.ONE_PERSON, methods=tuple(first), others=others_text)
    apart = [
        task_name(task).lower()
        for task, of_methods in crews.items()
        if of_methods and not set.intersection(*of_methods)
    ]
    if apart:
        yield phrase(OnAnswer.APART, tasks=tuple(apart))
    yield from _other_logs(view)


def _other_logs(view: View) -> Iterator[str]:
    """Pairs whose difference is unsure mostly because of the size of the logs; ``check`` names the same pairs."""
    for row in view.document["limits"]:
        if row["source"] != words(Source.LOGS) or (row["share"]["value"] or 0.0) < 100 * value("model.source_named"):
            continue
        sizes = row["logs_of_one"]["value"], row["logs_of_other"]["value"]
        if None not in sizes:
            facts = {"sizes": tuple(map(number_text, sizes)), "unit": row["logs_of_one"]["unit"]}
            yield phrase(OnAnswer.OTHER_LOGS, one=row["one"], other=row["other"], **facts)


def _shares(view: View, row: Row) -> dict[str, float]:
    """Each person's share of a session: the main person's by the clock, and the rest split among the helpers."""
    main_person, *helpers = map(plain, view.workers.get(noted_session(row)) or [words(Phrase.NOT_NAMED)])
    clock, worked = row["clock_hours"]["value"], row["worker_hours"]["value"]
    if not helpers or not clock or not worked:
        return {main_person: 1.0}
    return {main_person: clock / worked} | dict.fromkeys(helpers, (1 - clock / worked) / len(helpers))


def _winners(page: Page, view: View, cuts: frozenset[Cut]) -> None:
    page.section(OnAnswer.WINNERS)
    heads = [OnAnswer.FOR_ONE, OnAnswer.TIME, OnAnswer.MONEY, OnAnswer.EFFORT]
    winners = {(row["task"], row["measure"]): row for row in view.document["winners"]}
    rows: list[Cells] = []
    for task in (*view.open_tasks, ALL):
        won = {measure: winners.get((task, measure.key)) for measure in Measure}
        if task != ALL or (len(view.tasks) > 1 and any(won.values()) and Cut.WHOLE_JOB not in cuts):
            name = OnAnswer.WHOLE_JOB if task == ALL else task_name(task)
            rows.append([name, *(_winner(view, row, measure) for measure, row in won.items())])
    suggested = view.combination(view.suggested_job)
    if suggested is not None:
        texts = [words(OnAnswer.SUGGESTED), *(view.unit_text(suggested[FIGURES[measure]]) for measure in Measure)]
        looks = (styles.NAME, *[styles.CELL] * len(Measure))
        rows.append([Span(text, varied(look, fill=styles.LEAST)) for text, look in zip(texts, looks, strict=True)])
    page.table([*heads, OnAnswer.AIR], rows)
    if Cut.CONFLICT not in cuts:
        _conflicts(page, view)


def _conflicts(page: Page, view: View) -> None:
    """Which measures speak for which way, said once for all tasks of which it is true."""
    conflicts = grouped((row for row in view.document["verdicts"] if row["conflict"]), itemgetter("conflict"))
    parts = []
    for text, (first, *others) in conflicts.items():
        names = (task_name(first["task"]), *(task_name(row["task"]).lower() for row in others))
        parts.append(text if len(conflicts) == 1 else phrase(OnAnswer.CONFLICT_OF, tasks=names, conflict=text))
    page.text(" ".join(parts), styles.NOTE)


def _winner(view: View, row: Row | None, measure: Measure) -> str:
    """The way of a task that takes least, or what the whole job takes at least; and how sure that is."""
    job = view.combination(row["method"]) if row is not None and row["task"] == ALL else None
    if row is None or not row["method"] or (row["task"] == ALL and job is None):
        return key_words("Surety", Surety.NOT_KNOWN.key)
    least = view.short(row["method"]) if job is None else view.unit_text(job[FIGURES[measure]])
    return phrase(OnAnswer.WINNER, method=least, surety=key_words("Surety", row["surety"]))


def _exchange(page: Page, view: View, cuts: frozenset[Cut]) -> None:
    hour = view.value_of_hour
    worth = OnAnswer.WORTH_IT if view.hour_text else ""
    heads = [OnAnswer.FOR_ONE, OnAnswer.HOUR_SAVED, OnAnswer.KCAL_SAVED]
    settled = {row["task"] for row in view.document["verdicts"] if row["surety"] == Surety.SETTLED.key}
    is_cut = Cut.SETTLED_EXCHANGE in cuts and len(view.tasks) > MOST_TASKS
    shown = [row for row in view.document["exchange"] if not (is_cut and row["task"] in settled)]
    rows: list[Cells] = []
    cleaner: dict[str, None] = {}
    for row in shown:
        name = capital(row["method"])
        if not _is_only_pair(view, row):
            name = phrase(OnAnswer.INSTEAD, method=name, other=row["instead_of"])
        tonne = row["co2e_tonne"] if hour is not None else row["co2e_tonne_hours"]
        tonne_text = view.text(tonne, at_least_zero=True)
        if hour is None and (tonne["value"] or 0.0) > 0.0:
            tonne_text = phrase(OnAnswer.HOURS_A_TONNE, hours=tonne_text)
        saved = (view.text(row[key], at_least_zero=True) for key in ("hour", "kcal_1000"))
        rows.append([name, *saved, tonne_text, _worth(view, row)])
        if (row["co2e_more"]["value"] or 0.0) < 0.0:
            cleaner[name] = None
    if not rows:
        return
    page.section(OnAnswer.EXCHANGE_AT if view.volume else OnAnswer.EXCHANGE)
    page.table([*heads, OnAnswer.TONNE_AVOIDED, worth], rows)
    if Cut.EXCHANGE_NOTE not in cuts:
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
    return [method.task for method in view.methods].count(row["task"]) == TWO


def _next_steps(page: Page, view: View, cuts: frozenset[Cut], *, is_trial: bool) -> None:
    """Cells to mend come first. Without a choice only the plan follows, since the page says how to get a choice."""
    untimed = tuple(_untimed(view))
    lines = [*_problems(view, FIX), *([phrase(OnAnswer.UNTIMED, methods=untimed)] if untimed else [])]
    planned = [*_planned(view)]
    # A shared copy has no plan: the rest of the page must not depend on how long the line of the plan is.
    lines += [LONGEST_PLAN_LINE] if planned and is_trial else planned
    if view.open_tasks:
        lines += [*_to_settle(view), *_bought(view), *_problems(view, LOOK)]
    lines = lines[: MOST_LINES - (Cut.FEWER_LINES in cuts)]
    if not lines:
        return
    page.section(OnAnswer.NEXT)
    for number, text in enumerate(lines, start=1):
        page.text(said(OnAnswer.NUMBER, number=number, text=text))


def _planned(view: View) -> Iterator[str]:
    """The plan in one line; a shared copy has a line in its place, so that both show the same page."""
    plan = view.document["plan"]
    dates = sorted(row["date"] for row in view.document["plan_sessions"])
    if view.is_shared and view.document["inputs"].get("next_season"):
        yield words(OnAnswer.PLAN_NOT_SHARED)
    elif dates and plan["worker_hours"]["value"] is not None and plan["volume_planned"]["value"]:
        first, last = (day(one, year=False, is_short=True) for one in (dates[0], dates[-1]))
        wanted, volume = (plan[key]["value"] for key in ("volume_wanted", "volume_planned"))
        word = OnAnswer.PLAN_PART if plan["shortfall"]["value"] else OnAnswer.PLAN
        when = {"hours": ranged(plan["worker_hours"]), "dates": phrase(OnPages.FROM_TO, first=first, last=last)}
        line = phrase(word, wanted=wanted, volume=volume, woods=view.woods_of(f"{wanted:g}"), **when)
        yield " ".join(text for text in (line, plan["late"]) if text)
    elif view.document["inputs"].get("next_season"):
        is_short = plan["ways"] and not plan["volume_planned"]["value"]
        yield words(OnAnswer.NO_PLAN) if is_short else phrase(OnAnswer.NO_DAYS, why=plan["last_session"])


def _to_settle(view: View) -> Iterator[str]:
    """For each open verdict the volume from which the quicker way pays, or else more days with both ways."""
    unsettled = {row["task"]: row for row in _unsettled(view)}
    for verdict in view.document["verdicts"]:
        if volume := _pays_above(view, verdict):
            yield volume
        elif row := unsettled.get(verdict["task"]):
            yield phrase(OnAnswer.SETTLE, one=row["less"], other=row["more"], further=row["further"])


def _pays_above(view: View, verdict: Row) -> str:
    """The volume from which the quicker way of an open verdict pays; empty where the volume has no range."""
    pair = view.row("verdict_pairs", task=verdict["task"])
    if pair is None or verdict["kind"] not in OPEN_KINDS:
        return ""
    volume = view.pays_above(pair)
    if volume is None or (volume["low"] is None and volume["high"] is None):
        return ""
    return phrase(OnAnswer.PAYS_ABOVE, text=pays_above_text(view, pair["method"], volume), sheet=OnPages.MONEY)


def _unsettled(view: View) -> Iterator[Row]:
    """For each open verdict the first pair whose hours the trials cannot tell apart."""
    figure = figure_column(FIGURES[Measure.TIME]).title
    closed = {words(surety) for surety in (Surety.SETTLED, Surety.SAME, Surety.NOT_KNOWN)}
    for verdict in view.document["verdicts"]:
        if verdict["surety"] not in SETTLED_ENOUGH:
            rows = view.rows("comparisons", task=verdict["task"], figure=figure)
            yield from islice((row for row in rows if row["surety"] not in closed), 1)


def _bought(view: View) -> Iterator[str]:
    row = view.bought_cord
    if row is not None and row["cash"]["value"] is not None:
        price = typed_money(view.per_unit(row["cash"])["value"], view.currency)
        hours = ranged(view.per_unit(row["hours_saved"]))
        costs = view.text(row["per_hour"], at_least_zero=True)
        word = OnAnswer.BOUGHT if row["per_hour"]["value"] is None else OnAnswer.BOUGHT_FOR
        yield view.say(word, price=price, hours=hours, costs=costs)


def _untimed(view: View) -> Iterator[str]:
    """Methods without a session: nothing can be said of them yet."""
    timed = view.noted_methods
    yield from (method.name for method in view.methods if timed and method not in timed)


def _problems(view: View, level: str) -> Iterator[str]:
    """How many problems of a level there are, and the first cells of them."""
    problems = [row for row in view.document["problems"] if row["level"] == level]
    if problems:
        places = dict.fromkeys(f"{row['sheet']}!{row['cell']}" if row["cell"] else "" for row in problems)
        cells = tuple(filter(None, places))[:MOST_CELLS]
        more = words(OnAnswer.MORE_CELLS) if len(places) > len(cells) else ""
        one, several = (OnAnswer.ONE_FIX, OnAnswer.FIXES) if level == FIX else (OnAnswer.ONE_LOOK, OnAnswer.LOOKS)
        at_cells = phrase(OnAnswer.AT_CELLS, cells=cells, more=more) if cells else ""
        yield phrase(one if len(problems) == 1 else several, n=len(problems), at=at_cells)


def _legend(page: Page, view: View) -> None:
    rates: Sequence[Any] = view.document["rates_per_cord"]
    examples = [row["worker_hours"] for row in rates if row["worker_hours"]["low"] is not None]
    if not examples:
        return
    unit = OnAnswer.A_STACKED_METER if view.is_metric else OnAnswer.A_CORD
    page.gap(3.0)
    settled = OnAnswer.EXAMPLE_SETTLED if view.open_tasks else ""
    page.text(said(OnAnswer.EXAMPLE, example=view.unit_text(examples[0]), settled=settled, unit=unit), styles.NOTE)
