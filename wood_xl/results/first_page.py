"""The first page: cautions, the question, the answer, how sure it is, next season, and what to do next."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from wood_xl.data.cautions import cautions, cautions_for
from wood_xl.data.trade import needed_tasks, tool_kinds
from wood_xl.data.trade import tasks as all_tasks
from wood_xl.ids import Part, Recorded
from wood_xl.notes.names import plain
from wood_xl.notes.problem import Level, Problem
from wood_xl.pages import Decision, OfCautions
from wood_xl.reasons import Reason, Said, is_said
from wood_xl.results.amounts import counted, in_doubt
from wood_xl.results.answers import looks
from wood_xl.schema.model import results_definition, season_definition
from wood_xl.schema.words import capital, joined, phrase, words
from wood_xl.verdicts import Best, Change, LeftOut, Question, Weighed

MOST_CAUTIONS = 3  # for tools; what is for every work stands below them
NO_FIGURE_ID = "no_figure"
TOOL_COLUMNS = ("tool_1", "tool_2", "tool_3")
STEPS_N = 3
FEW_SESSIONS = 3  # a method with fewer is worth another session before much else
MANY = 3  # sessions from which a middle is named and three digits can stand
ABOUT_THE_PLAN = (Part.NEXT_SEASON, Part.NEXT_STEPS)
WEIGHED = {
    Question.TIME: Weighed.TIME,
    Question.MONEY: Weighed.MONEY,
    Question.EFFORT: Weighed.EFFORT,
    Question.CARBON: Weighed.CARBON,
}
CONTRASTS = {Question.TIME: Decision.QUICKEST, Question.MONEY: Decision.CHEAPEST}

Row = dict[str, Any]
Tables = dict[str, list[Row]]


def proposed_methods(tables: Tables) -> set[str]:
    """Methods that the first page proposes: those told first, the quickest, the cheapest, and those of the plan."""
    best = {_best_alone(row["best"]) for row in tables["choice"] if row["question"] in CONTRASTS}
    contrasted = [row for row in tables["combinations"] if row["combination"] in best]
    methods = {method for row in (*tables["combinations"][:1], *contrasted) for method in row["methods"]}
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


def decision(tables: Tables, plan: Row, season: Row, problems: list[Problem]) -> list[Row]:
    """Rows of the first page, each a part of it and its sentences; empty if no session counts."""
    if not tables["combinations"]:
        return []
    parts = {
        Part.QUESTION: _question(tables),
        Part.ANSWER: " ".join([*_answer(tables, season["currency"]), *_without(tables), *looks(problems)]),
        Part.HOW_SURE: _how_sure(tables),
        Part.NEXT_SEASON: _next_season(tables, plan, season["currency"]),
        Part.NEXT_STEPS: _next_steps(tables, plan, season["currency"], problems),
    }
    return [{"part": part, "text": text} for part, text in parts.items()]


def _question(tables: Tables) -> str:
    tasks = _tasks(tables)
    is_whole = all(task in tasks for task in needed_tasks())
    start = words(Decision.TREE if any(all_tasks()[task].is_from_tree for task in tasks) else Decision.LOG)
    doing = tuple(all_tasks()[task].name for task in tasks)
    if len(tables["combinations"]) == 1:
        return phrase(Decision.WHAT_ALL_TAKES if is_whole else Decision.WHAT_PART_TAKES, start=start, doing=doing)
    which = Decision.WHICH_WAY_OF_ALL if is_whole else Decision.WHICH_WAY_OF_PART
    return phrase(which, start=start, doing=doing, weights=_weights(tables["choice"]))


def _tasks(tables: Tables) -> list[str]:
    """Tasks of which a session counts, in the order in which the wood goes through them."""
    methods = tables["combinations"][0]["methods"]
    rows = [row for row in tables["rates_per_cord"] if row["method"] in methods]
    return [row["task"] for row in sorted(rows, key=lambda row: methods.index(row["method"]))]


def _by(combination: Row) -> str:
    """The methods of a combination in words."""
    return results_definition().sheet("combinations").column("methods").joined_by.join(combination["methods"])


def _weighed(row: Row) -> str:
    """What a row of the choice weighs, within a sentence."""
    return words(WEIGHED[row["question"]])


def _weights(choice: list[Row]) -> str:
    rows = [row for row in choice if _value(row, "weight") is not None]
    if not all(is_said(row["weight"]["reason"], Reason.WEIGHT_WRITTEN) for row in rows):
        return phrase(Decision.NO_WEIGHTS, weighed=tuple(_weighed(row) for row in rows))
    weights = tuple(f"{_weighed(row)} {row['weight']['value']:g}" for row in rows if row["weight"]["value"])
    return phrase(Decision.ONE_WEIGHT if len(weights) == 1 else Decision.WEIGHTS, weights=weights)


def _compared_n(tables: Tables) -> int:
    """Combinations that are compared by the weights; they come first."""
    return sum(_value(row, "points") is not None for row in tables["combinations"])


def _answer(tables: Tables, currency: str) -> list[str]:
    first, compared_n = tables["combinations"][0], _compared_n(tables)
    takes = _per_cord(tables, first, currency)
    if len(tables["combinations"]) == 1:
        sentences = [phrase(Decision.ONLY_WAY, methods=_by(first), takes=takes)]
    elif compared_n == 0:
        sentences = [phrase(Decision.NONE_HAS_ALL)]
    elif compared_n == 1:
        sentences = [phrase(Decision.ONE_HAS_ALL, methods=_by(first), takes=takes)]
    else:
        sentences = [phrase(Decision.FIRST_WAY, methods=_by(first), takes=capital(takes))]
    if len(tables["combinations"]) > 1:
        sentences += _contrasts(tables, first if compared_n else None, currency)
        sentences += _not_compared(tables["choice"], is_told=compared_n > 0)
    return sentences


def _per_cord(tables: Tables, combination: Row, currency: str) -> str:
    """What a cord takes by a combination, and what of that is not known."""
    amounts = {
        Decision.HOURS: ("worker_hours", 1, words(Recorded.WORKER_HOURS)),
        Decision.EFFORT: ("kcal_net", 0, words(Decision.KCAL)),
        Decision.CASH: ("cash", 2, currency),
        Decision.CO2E: ("co2e", 1, phrase(Decision.OF_CO2E, unit=combination["co2e"]["unit"])),
    }
    figures = tuple(
        _amount(tables, combination, *how) for how in amounts.values() if _value(combination, how[0]) is not None
    )
    lacking: dict[Said, list[str]] = {}
    for name, (key, *_) in amounts.items():
        if _value(combination, key) is None:
            lacking.setdefault(combination[key]["reason"], []).append(words(name))
    unknown = tuple(f"{joined(names)} ({words(why)})" for why, names in lacking.items())
    takes = phrase(Decision.CORD_TAKES if figures else Decision.NOTHING_KNOWN, amounts=figures)
    return " ".join([takes, *([phrase(Decision.NOT_KNOWN, parts=unknown)] if unknown else [])])


def _amount(tables: Tables, combination: Row, key: str, decimals: int, unit: str) -> str:
    """A figure of a combination as those of its methods are told: if all are single tries, without a middle."""
    tries = [row["sessions_n"] for row in tables["rates_per_cord"] if row["method"] in combination["methods"]]
    return in_doubt(combination[key], unit=unit, decimals=decimals, sessions_n=max(tries, default=MANY))


def _contrasts(tables: Tables, shown: Row | None, currency: str) -> list[str]:
    """The quickest and the cheapest combination, where that is another one than was told."""
    combinations = {row["combination"]: row for row in tables["combinations"]}
    sentences = []
    for row in tables["choice"]:
        contrast, other = CONTRASTS.get(row["question"]), combinations.get(_best_alone(row["best"]))
        if contrast and other is not None and other is not shown:
            parts = (("worker_hours", 1, words(Recorded.WORKER_HOURS)), ("cash", 2, currency))
            takes = tuple(_amount(tables, other, *how) for how in parts if _value(other, how[0]) is not None)
            sentences.append(phrase(contrast, methods=_by(other), takes=takes))
    return sentences


def _best_alone(best: Said) -> str:
    """Letter of the combination that is the best by itself; nothing if several are, or no other is judged."""
    return (
        str(best["combinations"][0]["combination"])
        if best.id is Best.COMBINATIONS and len(best["combinations"]) == 1
        else ""
    )


def _is_whole(row: Row) -> bool:
    """Whether no combination is left out of a question."""
    return is_said(row["left_out"], LeftOut.NONE)


def _not_compared(choice: list[Row], *, is_told: bool) -> list[str]:
    """Which combinations could not be compared in what has a weight, and why.

    What no combination is compared in is not known of a combination that was told either, and was said there.
    """
    return [
        phrase(Decision.NOT_COMPARED, weighed=_weighed(row), left_out=row["left_out"])
        for row in choice
        if not _is_whole(row) and _value(row, "weight") and not (is_told and is_said(row["best"], Best.NOT_KNOWN))
    ]


def _without(tables: Tables) -> list[str]:
    """Tasks of firewood that are in no figure."""
    tried = _tasks(tables)
    absent = tuple(all_tasks()[task].name for task in needed_tasks() if task not in tried)
    return [phrase(Decision.WITHOUT, tasks=absent)] if absent else []


def _how_sure(tables: Tables) -> str:
    if len(tables["combinations"]) == 1:
        return phrase(Decision.NO_OTHER_WAY)
    overall = tables["choice"][-1]
    sure, not_told = _value(overall, "sure"), phrase(Decision.NOT_TOLD, why=overall["sure"]["reason"])
    if _compared_n(tables) in (0, 1):
        return not_told
    best = Decision.BEST if _is_whole(overall) else Decision.BEST_OF_COMPARED
    of_all = not_told if sure is None else phrase(best, surety=capital(words(overall["surety"])), percent=sure)
    moves = tuple(
        phrase(Decision.WEIGHT_OF, weighed=_weighed(row), change=row["change"])
        for row in tables["choice"]
        if row["change"] is not None and not is_said(row["change"], Change.BY_NO_WEIGHT)
    )
    return f"{of_all} {phrase(Decision.BEST_CHANGES if moves else Decision.BEST_STAYS, moves=moves)}"


def _next_season(tables: Tables, plan: Row, currency: str) -> str:
    if _value(plan, "volume_planned") is None:
        no_plan = phrase(Decision.NO_PLAN, why=plan["volume_planned"]["reason"])
        return " ".join([no_plan, *_not_planned(tables["plan_left_out"])])
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
    sentences = [
        f"{counted(plan['volume_planned'])}: {'; '.join(parts)}.",
        *([phrase(Decision.MISSING, volume=counted(plan["shortfall"]))] if _value(plan, "shortfall") else []),
        *_mixed(tables),
        *_not_planned(tables["plan_left_out"]),
    ]
    return " ".join(sentences)


def _not_planned(left_out: list[Row]) -> list[str]:
    """Methods that the plan is without, and where it says who may not do what."""
    methods = tuple(f"{row['method']} ({words(row['why'])})" for row in left_out if not row["person"])
    sentences = [phrase(Decision.NOT_PLANNED, methods=methods)] if methods else []
    if any(row["person"] for row in left_out):
        definition = results_definition().sheet("plan_left_out")
        sentences.append(phrase(Decision.WHO_IS_NOT, sheet=definition.result_sheet, table=definition.title))
    return sentences


def _mixed(tables: Tables) -> list[str]:
    """How the plan does what it does otherwise than by combination A; nothing if it is all by that."""
    first = tables["combinations"][0]
    other_ways = []
    for task in dict.fromkeys(row["task"] for row in tables["plan_mix"]):
        rows = [row for row in tables["plan_mix"] if row["task"] == task]
        whole = sum(row["volume"]["value"] for row in rows)
        if all(row["method"] in first["methods"] for row in rows):
            continue
        shares = [(100 * row["volume"]["value"] / whole, row["method"]) for row in rows]
        with_all = Decision.ALL_WITH if len(rows) == 1 else Decision.SHARE_WITH
        ways = [phrase(with_all, percent=percent, method=method) for percent, method in shares]
        other_ways.append(f"{task} {joined(ways)}")
    return [phrase(Decision.OTHER_WAYS, ways=tuple(other_ways))] if other_ways else []


def _next_steps(tables: Tables, plan: Row, currency: str, problems: list[Problem]) -> str:
    steps = [
        *_mends(problems),
        *_figures_to_write(tables["choice"]),
        *_trials(tables["trials"]),
        *([phrase(Decision.CHOOSE, ways=plan["ways"])] if plan["ways"] else []),
        *_first_day(tables["plan_sessions"], tables["trials"]),
        *_shopping(tables["shopping"], plan, currency),
        *_more_sessions(tables),
    ]
    if not tables["plan_mix"] and not tables["plan_left_out"]:
        steps.append(phrase(Decision.FILL_IN_PLAN))
    steps.append(phrase(Decision.WRITE_AGAIN, sheet=season_definition().sheet("sessions").title))
    return " ".join(f"{number}. {step}" for number, step in enumerate(steps[:STEPS_N], start=1))


def _mends(problems: list[Problem]) -> list[str]:
    fixes = sum(one.count for one in problems if one.level is Level.FIX)
    where = results_definition().sheet("problems").result_sheet
    return [phrase(Decision.MEND_ONE if fixes == 1 else Decision.MEND, n=fixes, sheet=where)] if fixes else []


def _figures_to_write(choice: list[Row]) -> list[str]:
    where = results_definition().sheet("problems").result_sheet
    return [] if _is_whole(choice[-1]) else [phrase(Decision.WRITE_MISSING, sheet=where)]


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
