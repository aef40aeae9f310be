"""The first page: cautions, the question, the answer, how sure it is, next season, and what to do next."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from wood_xl.choice.values import Values
from wood_xl.choice.winners import WHOLE_JOB
from wood_xl.data.cautions import cautions, cautions_for
from wood_xl.data.trade import needed_tasks, tool_kinds
from wood_xl.data.trade import tasks as all_tasks
from wood_xl.hours.limits import is_mixed_up
from wood_xl.ids import Part, Recorded
from wood_xl.notes.names import plain
from wood_xl.notes.problem import Level, Problem
from wood_xl.pages import Decision, OfCautions
from wood_xl.reasons import Ranged, Reason, Said, Word, said
from wood_xl.results.amounts import counted, in_doubt
from wood_xl.results.answers import looks
from wood_xl.schema.model import results_definition, season_definition
from wood_xl.schema.words import capital, joined, phrase, words
from wood_xl.verdicts import BestFor, Kind, Measure, Source, Surety

MOST_CAUTIONS = 3  # for tools; what is for every work stands below them
NO_FIGURE_ID = "no_figure"
TOOL_COLUMNS = ("tool_1", "tool_2", "tool_3")
STEPS_N = 3
FEW_SESSIONS = 3  # a method with fewer is worth another session before much else
MANY = 3  # sessions from which a middle is named and three digits can stand
PAIR = 2
MOST_PAIRS = 2  # of methods that are told of where the comparison is limited
ABOUT_THE_PLAN = (Part.NEXT_SEASON, Part.NEXT_STEPS)  # the last rows of the page
AMOUNTS = {
    "worker_hours": (Decision.HOURS_OF_WORK, Decision.HOURS),
    "kcal_net": (Decision.KCAL_BEYOND_REST, Decision.EFFORT),
    "cash": (Decision.AMOUNT_OF_CASH, Decision.CASH),
    "co2e": (Decision.AMOUNT_OF_CO2E, Decision.CO2E),
}
MIXED_UP = {
    Source.PERSONS: Decision.OTHER_PERSONS,
    Source.LOGS: Decision.OTHER_LOGS,
    Source.DAYS: Decision.OTHER_DAYS,
}
LEAST = {
    Measure.TIME: Decision.TIME,
    Measure.MONEY: Decision.MONEY,
    Measure.EFFORT: Decision.EFFORT,
    Measure.AIR: Decision.CO2E,
}

Row = dict[str, Any]
Tables = dict[str, list[Row]]


def proposed_methods(tables: Tables) -> set[str]:
    """Methods that the first page proposes: those advised, those with the least of something, and of the plan."""
    methods = {row["choice"] for row in tables["verdicts"] if row["choice"]}
    methods |= {method for row in tables["winners"] for method in row["method"]}
    methods |= {row["method"] for row in tables["plan_mix"]}
    return methods | {row[part] for row in tables["trials"] for part in ("first", "then")}


def first_cautions(notes: Row, proposed: Collection[str]) -> list[Row]:
    """What stands above everything that proposes work: the gravest cautions, and that no figure counts injury."""
    kinds = {plain(str(row.get("tool", ""))): row.get("kind") for row in notes["tools"]}
    caution_ids: set[str] = set()
    for row in notes["methods"]:
        if row.get("task") in all_tasks() and (not proposed or row.get("method") in proposed):
            named = [kinds.get(plain(str(row[column]))) for column in TOOL_COLUMNS if column in row]
            kind_ids = [kind if kind in tool_kinds() else None for kind in named]
            caution_ids |= {caution.id for caution in cautions_for(kind_ids, row["task"])}
    ranked = sorted((c for c in cautions() if c.gravity is not None), key=lambda c: c.gravity or 0)
    of_tools = [c for c in ranked if c.id in caution_ids and not c.is_for_all]
    chosen = [*of_tools[:MOST_CAUTIONS], *(c for c in ranked if c.is_for_all)]
    rows = [{"id": c.id, "title": c.title, "text": c.text} for c in chosen]
    where = results_definition().sheet("cautions").result_sheet
    no_figure, general = OfCautions.NO_FIGURE, OfCautions.GENERAL
    text = phrase(Decision.RISK_NOT_COUNTED, no_figure=no_figure, general=general, sheet=where)
    return [*rows, {"id": NO_FIGURE_ID, "title": words(Decision.RISK), "text": text}]


def decision(tables: Tables, plan: Row, season: Row, problems: list[Problem], values: Values) -> list[Row]:
    """Rows of the first page, each a part of it and its sentences; empty if no session counts or waits.

    Which parts there are hangs on no body data: a copy without them has the same.
    """
    if not tables["verdicts"]:
        return []
    currency, is_choice = season["currency"], any(len(rows) > 1 for rows in _tried(tables).values())
    parts: list[tuple[Said | Word, list[str]]] = [
        (Part.QUESTION, _question(tables, values, currency)),
        (Part.FAIRNESS, _fairness(tables["limits"])),
        *((row["head"], [words(row["sentence"])]) for row in tables["verdicts"]),
        (Part.WHOLE_JOB, _whole_job(tables, currency)),
        (Part.PRICE, _prices(tables, currency) if is_choice or tables["bought_wood"] else []),
        (Part.HOW_SURE, _how_sure(tables["verdicts"], season, problems)),
        (Part.NEXT_SEASON, _next_season(tables, plan, currency)),
        (Part.NEXT_STEPS, _next_steps(tables, plan, currency, problems)),
    ]
    return [{"part": part, "text": " ".join(sentences)} for part, sentences in parts if sentences]


def _tried(tables: Tables) -> dict[str, list[Row]]:
    """Rates of the methods with a session that counts, by task, in the order in which the wood goes through them."""
    rates = [row for row in tables["rates_per_cord"] if row["sessions_n"]]
    found = {task: [row for row in rates if row["task"] == task] for task in _told(tables)}
    return {task: rows for task, rows in found.items() if rows}


def _told(tables: Tables) -> list[str]:
    """Tasks of which a session counts or waits."""
    return [row["task"] for row in tables["verdicts"]]


def _question(tables: Tables, values: Values, currency: str) -> list[str]:
    told, tried = _told(tables), _tried(tables)
    is_whole = all(task in told for task in needed_tasks())
    start = words(Decision.TREE if any(all_tasks()[task].is_from_tree for task in told) else Decision.LOG)
    doing = tuple(all_tasks()[task].name for task in told)
    if all(len(rows) == 1 for rows in tried.values()):
        return [phrase(Decision.WHAT_ALL_TAKES if is_whole else Decision.WHAT_PART_TAKES, start=start, doing=doing)]
    which = Decision.WHICH_WAY_OF_ALL if is_whole else Decision.WHICH_WAY_OF_PART
    stated = {
        Decision.AN_HOUR: values.hour,
        Decision.EFFORT_SPARED: values.kcal_1000,
        Decision.CO2E_AVOIDED: values.co2e_tonne,
    }
    worth = tuple(phrase(of, worth=one, currency=currency) for of, one in stated.items() if one is not None)
    return [
        phrase(which, start=start, doing=doing),
        *([phrase(Decision.VALUES, values=worth)] if worth else []),
        *([words(Decision.NO_HOUR)] if values.hour is None and not values.waits else []),
    ]


def _fairness(limits: list[Row]) -> list[str]:
    """What limits the comparisons: it is told before what comes of them."""
    mixed_up = [row for row in limits if is_mixed_up(row["source"], _value(row, "share") or 0.0)]
    pairs = [phrase(MIXED_UP[row["source"]], one=row["one"], other=row["other"]) for row in mixed_up[:MOST_PAIRS]]
    sheet = results_definition().sheet("limits").result_sheet
    return [*pairs, phrase(Decision.WIDER, sheet=sheet)] if pairs else []


def _whole_job(tables: Tables, currency: str) -> list[str]:
    """What a cord takes in all, what takes the least, and which way wins on what."""
    if not tables["combinations"]:
        return []
    return [*_takes(tables["combinations"][0], currency), *_least(tables), *_conflicts(tables), *_without(tables)]


def _takes(job: Row, currency: str) -> list[str]:
    """What a cord takes by a way of the whole job, and what of that is not known."""
    if not job["methods"]:
        return [phrase(Decision.OPEN_IN_ALL, why=job["worker_hours"]["reason"])]
    known = tuple(
        phrase(amount, amount=_ranged(job[key]), currency=currency, unit=job[key]["unit"])
        for key, (amount, _) in AMOUNTS.items()
        if _value(job, key) is not None
    )
    lacking: dict[Said, list[str]] = {}
    for key, (_, name) in AMOUNTS.items():
        if _value(job, key) is None:
            lacking.setdefault(job[key]["reason"], []).append(words(name))
    unknown = tuple(f"{joined(names)} ({words(why)})" for why, names in lacking.items())
    takes = Decision.AS_ADVISED if job["best_for"] is BestFor.SUGGESTED else Decision.CORD_TAKES
    return [
        *([phrase(takes, amounts=known)] if known else []),
        *([phrase(Decision.NOT_KNOWN, parts=unknown)] if unknown else []),
    ]


def _ranged(figure: Row) -> Ranged:
    return Ranged(figure["value"], figure["low"], figure["high"])


def _least(tables: Tables) -> list[str]:
    """The way of the whole job with the least of each measure, and how sure that is; of tasks with several ways."""
    several = {row["method"] for rows in _tried(tables).values() if len(rows) > 1 for row in rows}
    advised = tables["combinations"][0]["methods"]
    found: dict[tuple[tuple[str, ...], Surety], list[Word]] = {}
    for row in tables["winners"]:
        if row["task"] == WHOLE_JOB and several:
            found.setdefault((row["method"], row["surety"]), []).append(LEAST[row["measure"]])
    sentences = []
    for (methods, surety), measures in found.items():
        ways = tuple(method for method in methods if method in several)
        least = Decision.LEAST_IS_ADVISED if methods == advised else Decision.LEAST
        sentences.append(
            phrase(least if ways else Decision.LEAST_NOT_KNOWN, least=tuple(measures), ways=ways, surety=surety)
        )
    return sentences


def _conflicts(tables: Tables) -> list[str]:
    """Which way wins on what: once if it is the same for all tasks."""
    told = {row["task"]: row["conflict"] for row in tables["verdicts"] if row["conflict"] is not None}
    choices_n = sum(len(rows) > 1 for rows in _tried(tables).values())
    if len(set(told.values())) == 1 and len(told) == choices_n:
        return [capital(words(next(iter(told.values()))))]
    return [phrase(Decision.OF_TASK, task=all_tasks()[task].name, told=words(one)) for task, one in told.items()]


def _without(tables: Tables) -> list[str]:
    """Tasks of firewood that are in no figure."""
    tried = _tried(tables)
    absent = tuple(all_tasks()[task].name for task in needed_tasks() if task not in tried)
    return [phrase(Decision.WITHOUT, tasks=absent)] if absent else []


def _prices(tables: Tables, currency: str) -> list[str]:
    """What effort spared, CO2e avoided and a bought cord cost; what an hour costs stands in the verdicts."""
    tried = _tried(tables)
    effort, co2e, in_hours = [], [], []
    for row in tables["exchange"]:
        both = (row["method"], row["instead_of"])
        clean = both if (_value(row, "co2e_more") or 0.0) < 0 else both[::-1]
        is_told_apart = len(tried[row["task"]]) == PAIR  # else it must be said which two of them
        effort.append((row["kcal_1000"], _way(*both, is_told_apart)))
        if _value(row, "co2e_tonne") is not None:
            co2e.append((row["co2e_tonne"], _way(*clean, is_told_apart)))
        else:
            in_hours.append((row["co2e_tonne_hours"], _way(*clean, is_told_apart)))
    of_effort = _price_of(Decision.EFFORT_COSTS, effort, currency)
    sentences = [
        *of_effort,
        *_price_of(Decision.CO2E_COSTS, co2e, currency),
        *_price_of(Decision.CO2E_TAKES, in_hours, currency),
        *([words(Decision.SAME_MONEY)] if of_effort else []),
    ]
    return [*sentences, *_bought(tables["bought_wood"], currency)] or [words(Decision.NO_PRICES)]


def _way(method: str, instead_of: str, is_told_apart: bool) -> str:
    return method if is_told_apart else phrase(Decision.INSTEAD_OF, method=method, other=instead_of)


def _price_of(costs: Decision, prices: list[tuple[Row, str]], currency: str) -> list[str]:
    """What something costs with each way that costs more for it; nothing if none does."""
    amount = Decision.HOURS_BY if costs is Decision.CO2E_TAKES else Decision.PRICE_BY
    parts = tuple(
        phrase(amount, price=_price(figure), currency=currency, way=way)
        for figure, way in prices
        if (figure["value"] or 0.0) > 0
    )
    return [phrase(costs, parts=parts)] if parts else []


def _price(figure: Row) -> Ranged:
    """A price with its range, of which no end is below 0."""
    return Ranged(figure["value"], None if figure["low"] is None else max(figure["low"], 0.0), figure["high"])


def _bought(rows: list[Row], currency: str) -> list[str]:
    """A bought cord against the way that is advised, else against the first that can be told."""
    known = [row for row in rows if _value(row, "per_hour") is not None]
    for row in known[:1]:
        price = _ranged(row["per_hour"])
        facts = {"cash": _ranged(row["cash"]), "hours": _ranged(row["hours_saved"]), "currency": currency}
        bought = Decision.BOUGHT if price.value > 0 else Decision.BOUGHT_FOR_LESS
        return [phrase(bought, price=price, best_for=row["best_for"], **facts)]
    return []


def _how_sure(verdicts: list[Row], season: Row, problems: list[Problem]) -> list[str]:
    """How sure each verdict is in its words, what the margin is, and what may move the figures."""
    of_surety: dict[Surety, list[str]] = {}
    for row in verdicts:
        if row["surety"] not in (Surety.NOT_KNOWN, Surety.ONLY_ONE):
            of_surety.setdefault(row["surety"], []).append(all_tasks()[row["task"]].name)
    margin = _value(season, "practical_margin")
    return [
        *(phrase(Decision.SURETY_OF, tasks=capital(joined(tasks)), surety=one) for one, tasks in of_surety.items()),
        words(Decision.BRACKETS),
        *([phrase(Decision.MARGIN, margin=margin)] if margin and of_surety else []),
        *looks(problems),
    ]


def _next_season(tables: Tables, plan: Row, currency: str) -> list[str]:
    if _value(plan, "volume_planned") is None:
        no_plan = phrase(Decision.NO_PLAN, why=plan["volume_planned"]["reason"])
        return [no_plan, *_not_planned(tables["plan_left_out"])]
    amounts = {
        Decision.HOURS: ("worker_hours", 0, words(Recorded.WORKER_HOURS)),
        Decision.CASH: ("cash", 0, currency),
        Decision.CO2E: ("co2e", 1, phrase(Decision.OF_CO2E, unit=plan["co2e"]["unit"])),
    }
    takes = [
        in_doubt(plan[key], unit=unit, decimals=decimals, sessions_n=MANY)
        for key, decimals, unit in amounts.values()
        if _value(plan, key) is not None
    ]
    unknown = tuple(words(name) for name, (key, *_) in amounts.items() if _value(plan, key) is None)
    sessions_n, first, last = (plan[key] for key in ("sessions_n", "start", "last_session"))
    sessions = Decision.ONE_SESSION if sessions_n == 1 else Decision.SESSIONS
    parts = [
        joined(takes),
        *([phrase(Decision.NAMES_NOT_KNOWN, names=unknown)] if unknown else []),
        *([phrase(sessions, n=sessions_n, first=first, last=last)] if sessions_n else []),
        words(plan["limits"]),
    ]
    return [
        f"{counted(plan['volume_planned'])}: {'; '.join(parts)}.",
        *([phrase(Decision.MISSING, volume=counted(plan["shortfall"]))] if _value(plan, "shortfall") else []),
        *_mixed(tables),
        *_not_planned(tables["plan_left_out"]),
    ]


def _not_planned(left_out: list[Row]) -> list[str]:
    """Methods that the plan is without, and where it says who may not do what."""
    methods = tuple(f"{row['method']} ({words(row['why'])})" for row in left_out if not row["person"])
    sentences = [phrase(Decision.NOT_PLANNED, methods=methods)] if methods else []
    if any(row["person"] for row in left_out):
        definition = results_definition().sheet("plan_left_out")
        sentences.append(phrase(Decision.WHO_IS_NOT, sheet=definition.result_sheet, table=definition.title))
    return sentences


def _mixed(tables: Tables) -> list[str]:
    """How the plan does a task otherwise than it is advised; nothing if it does all as advised."""
    advised = {all_tasks()[row["task"]].name: row["choice"] for row in tables["verdicts"] if row["choice"]}
    other_ways = []
    for task in dict.fromkeys(row["task"] for row in tables["plan_mix"]):
        rows = [row for row in tables["plan_mix"] if row["task"] == task]
        whole = sum(row["volume"]["value"] for row in rows)
        if task not in advised or all(row["method"] == advised[task] for row in rows):
            continue
        shares = [(100 * row["volume"]["value"] / whole, row["method"]) for row in rows]
        with_all = Decision.ALL_WITH if len(rows) == 1 else Decision.SHARE_WITH
        ways = [phrase(with_all, percent=percent, method=method) for percent, method in shares]
        other_ways.append(f"{task} {joined(ways)}")
    return [phrase(Decision.OTHER_WAYS, ways=tuple(other_ways))] if other_ways else []


def _next_steps(tables: Tables, plan: Row, currency: str, problems: list[Problem]) -> list[str]:
    steps = [
        *_mends(problems),
        *_figures_to_write(tables["verdicts"]),
        *_trials(tables["trials"]),
        *([phrase(Decision.CHOOSE, ways=plan["ways"])] if plan["ways"] else []),
        *_first_day(tables["plan_sessions"], tables["trials"]),
        *_shopping(tables["shopping"], plan, currency),
        *_more_sessions(tables),
    ]
    if plan["volume_planned"]["reason"] in (said(Reason.NOTHING_WANTED), said(Reason.NO_VOLUME_WANTED)):
        steps.append(phrase(Decision.FILL_IN_PLAN))
    steps.append(phrase(Decision.WRITE_AGAIN, sheet=season_definition().sheet("sessions").title))
    return [f"{number}. {step}" for number, step in enumerate(steps[:STEPS_N], start=1)]


def _mends(problems: list[Problem]) -> list[str]:
    fixes = sum(one.count for one in problems if one.level is Level.FIX)
    where = results_definition().sheet("problems").result_sheet
    return [phrase(Decision.MEND_ONE if fixes == 1 else Decision.MEND, n=fixes, sheet=where)] if fixes else []


def _figures_to_write(verdicts: list[Row]) -> list[str]:
    where = results_definition().sheet("problems").result_sheet
    is_lacking = any(row["kind"] is Kind.PRICE_MISSING for row in verdicts)
    return [phrase(Decision.WRITE_MISSING, sheet=where)] if is_lacking else []


def _trials(trials: list[Row]) -> list[str]:
    if not trials:
        return []
    first = trials[0]
    facts = {key: first[key] for key in ("day", "first", "then", "who")}
    return [phrase(Decision.TRY_FIRST, **facts, in_sight=_in_sight(first))]


def _first_day(sessions: list[Row], trials: list[Row]) -> list[str]:
    if not sessions or (trials and trials[0]["day"] == sessions[0]["date"]):  # a trial day was told of just before
        return []
    first = sessions[0]
    doing = tuple(_session(row) for row in sessions if row["date"] == first["date"])
    where = results_definition().sheet("plan_sessions").result_sheet
    facts = {key: first[key] for key in ("weekday", "date")}
    return [phrase(Decision.BEGIN, **facts, sessions=doing, sheet=where)]


def _session(row: Row) -> str:
    facts = {key: row[key] for key in ("who", "method")}
    return phrase(Decision.SESSION, **facts, minutes=row["minutes"]["value"], in_sight=_in_sight(row))


def _in_sight(row: Row) -> str:
    return phrase(Decision.IN_SIGHT, person=row["in_sight"]) if row["in_sight"] else ""


def _shopping(goods: list[Row], plan: Row, currency: str) -> list[str]:
    if not goods:
        return []
    cost = _value(plan, "to_buy")
    have = Decision.HAVE_AT_HAND if cost is None else Decision.HAVE_AT_HAND_FOR
    return [phrase(have, cost=cost, currency=currency)]


def _more_sessions(tables: Tables) -> list[str]:
    """Methods to try more often, none that the plan leaves out for everybody."""
    left_out = {row["method"] for row in tables["plan_left_out"] if not row["person"]}
    rates = [row for row in tables["rates_per_cord"] if row["method"] not in left_out]
    few = tuple(row["method"] for row in rates if 0 < row["sessions_n"] < FEW_SESSIONS)
    return [phrase(Decision.TIME_MORE, methods=few)] if few else []


def _value(row: Row, key: str) -> float | None:
    value: float | None = row[key]["value"]
    return value
