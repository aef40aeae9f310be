"""The first page: cautions, the question, the answer, how sure it is, next season, and what to do next."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from wood_xl.data.cautions import GENERAL, NO_FIGURE, cautions, cautions_for
from wood_xl.data.trade import needed_tasks, tool_kinds
from wood_xl.data.trade import tasks as all_tasks
from wood_xl.ids import Part
from wood_xl.notes.names import plain
from wood_xl.notes.problem import Level, Problem
from wood_xl.reasons import Reason, Said, is_said
from wood_xl.results.amounts import counted, in_doubt
from wood_xl.results.answers import looks
from wood_xl.schema.model import results_definition, season_definition
from wood_xl.schema.words import capital, joined, words
from wood_xl.verdicts import Best, Change, LeftOut, Question, Weighed

MOST_CAUTIONS = 3  # for tools; what is for every work stands below them
NO_FIGURE_ID = "no_figure"
TOOL_COLUMNS = ("tool_1", "tool_2", "tool_3")
STEPS_N = 3
FEW_SESSIONS = 3  # a method with fewer is worth another session before much else
TRAINED_ADULTS = "engines, motors, axes and mauls are for trained adults"  # told where no plan says who may
MANY = 3  # sessions from which a middle is named and three digits can stand
ABOUT_THE_PLAN = (Part.NEXT_SEASON, Part.NEXT_STEPS)
PARTS = tuple(words(part) for part in Part)
WEIGHED = {
    Question.TIME: Weighed.TIME,
    Question.MONEY: Weighed.MONEY,
    Question.EFFORT: Weighed.EFFORT,
    Question.CARBON: Weighed.CARBON,
}
CONTRASTS = {Question.TIME: "Quickest", Question.MONEY: "Cheapest"}

Row = dict[str, Any]
Tables = dict[str, list[Row]]


def proposed_methods(tables: Tables) -> set[str]:
    """Methods that the first page proposes: those told first, the quickest, the cheapest, and those of the plan."""
    best = {_best_alone(row["best"]) for row in tables["choice"] if row["question"] in CONTRASTS}
    told = [row for row in tables["combinations"] if row["combination"] in best]
    methods = {method for row in (*tables["combinations"][:1], *told) for method in row["methods"]}
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
    return [*rows, {"id": NO_FIGURE_ID, "title": "Risk", "text": f"{NO_FIGURE} {GENERAL}: see the sheet {where}."}]


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
    start = "tree" if any(all_tasks()[task].is_from_tree for task in tasks) else "log"
    doing = joined([all_tasks()[task].name for task in tasks])
    if len(tables["combinations"]) == 1:
        return f"What does a cord take, from {start} to stack?" if is_whole else f"What does {doing} a cord take?"
    way = f"making a cord, from {start} to stack," if is_whole else f"{doing} a cord"
    return f"Which way of {way} suits you best? {_weights(tables['choice'])}"


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
        return f"No weights are written: {joined([_weighed(row) for row in rows])} count alike."
    weights = [f"{_weighed(row)} {row['weight']['value']:g}" for row in rows if row["weight"]["value"]]
    return f"The weight is {weights[0]} alone." if len(weights) == 1 else f"The weights are {joined(weights)}."


def _compared_n(tables: Tables) -> int:
    """Combinations that are compared by the weights; they come first."""
    return sum(_value(row, "points") is not None for row in tables["combinations"])


def _answer(tables: Tables, currency: str) -> list[str]:
    first, compared_n = tables["combinations"][0], _compared_n(tables)
    takes = _per_cord(tables, first, currency)
    if len(tables["combinations"]) == 1:
        told = [f"Only {_by(first)} has sessions that count. By it {takes}"]
    elif compared_n == 0:
        told = ["It cannot be told: no way has every figure that weighs."]
    elif compared_n == 1:
        told = [f"It cannot be told: only combination A, {_by(first)}, has every figure that weighs. By it {takes}"]
    else:
        told = [f"Combination A: {_by(first)}. {capital(takes)}"]
    if len(tables["combinations"]) > 1:
        told += _contrasts(tables, first if compared_n else None, currency)
        told += _not_compared(tables["choice"], is_told=compared_n > 0)
    return told


def _per_cord(tables: Tables, combination: Row, currency: str) -> str:
    """What a cord takes by a combination, and what of that is not known."""
    amounts = {
        "hours": ("worker_hours", 1, "worker hours"),
        "effort": ("kcal_net", 0, "kcal beyond rest"),
        "cash": ("cash", 2, currency),
        "CO2e": ("co2e", 1, f"{combination['co2e']['unit']} of CO2e"),
    }
    given = [
        _amount(tables, combination, *how) for how in amounts.values() if _value(combination, how[0]) is not None
    ]
    lacking: dict[Said, list[str]] = {}
    for name, (key, *_) in amounts.items():
        if _value(combination, key) is None:
            lacking.setdefault(combination[key]["reason"], []).append(name)
    unknown = [f"{joined(names)} ({words(why)})" for why, names in lacking.items()]
    not_known = f" Not known: {'; '.join(unknown)}." if unknown else ""
    return f"a cord takes {joined(given)}.{not_known}" if given else f"nothing of a cord is known.{not_known}"


def _amount(tables: Tables, combination: Row, key: str, decimals: int, unit: str) -> str:
    """A figure of a combination as those of its methods are told: if all are single tries, without a middle."""
    tries = [row["sessions_n"] for row in tables["rates_per_cord"] if row["method"] in combination["methods"]]
    return in_doubt(combination[key], unit=unit, decimals=decimals, sessions_n=max(tries, default=MANY))


def _contrasts(tables: Tables, told: Row | None, currency: str) -> list[str]:
    """The quickest and the cheapest combination, where that is another one than was told."""
    combinations = {row["combination"]: row for row in tables["combinations"]}
    sentences = []
    for row in tables["choice"]:
        word, other = CONTRASTS.get(row["question"]), combinations.get(_best_alone(row["best"]))
        if word and other is not None and other is not told:
            parts = (("worker_hours", 1, "worker hours"), ("cash", 2, currency))
            known = [_amount(tables, other, *how) for how in parts if _value(other, how[0]) is not None]
            sentences.append(f"{word}: {_by(other)}, {joined(known)}.")
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
        f"Not compared in {_weighed(row)}: {words(row['left_out'])}."
        for row in choice
        if not _is_whole(row) and _value(row, "weight") and not (is_told and is_said(row["best"], Best.NOT_KNOWN))
    ]


def _without(tables: Tables) -> list[str]:
    """Tasks of firewood that are in no figure."""
    tried = _tasks(tables)
    absent = [all_tasks()[task].name for task in needed_tasks() if task not in tried]
    return [f"Without {joined(absent)}: no session that counts tells of it."] if absent else []


def _how_sure(tables: Tables) -> str:
    if len(tables["combinations"]) == 1:
        return "There is no other combination to compare with."
    overall, sentences = tables["choice"][-1], []
    if _compared_n(tables) in (0, 1):
        return f"Not told: {words(overall['sure']['reason'])}."
    if _value(overall, "sure") is None:
        sentences.append(f"Not told: {words(overall['sure']['reason'])}.")
    else:
        share = f"{overall['sure']['value']:.3g} %"
        best = "the best" if _is_whole(overall) else "the best of those compared"
        sentences.append(f"{capital(words(overall['surety']))}: {best} in {share} of what the intervals allow.")
    moves = [
        f"weight of {_weighed(row)}: {words(row['change'])}"
        for row in tables["choice"]
        if row["change"] is not None and not is_said(row["change"], Change.BY_NO_WEIGHT)
    ]
    sentences.append(
        f"The best changes with the {'; '.join(moves)}." if moves else "No single weight changes the best."
    )
    return " ".join(sentences)


def _next_season(tables: Tables, plan: Row, currency: str) -> str:
    if _value(plan, "volume_planned") is None:
        why = words(plan["volume_planned"]["reason"])
        return " ".join([f"No plan: {why}.", *_not_planned(tables["plan_left_out"])])
    amounts = {
        "hours": ("worker_hours", 0, "worker hours"),
        "cash": ("cash", 0, currency),
        "CO2e": ("co2e", 1, f"{plan['co2e']['unit']} of CO2e"),
    }
    known = [
        in_doubt(plan[key], unit=unit, decimals=decimals, sessions_n=MANY)
        for key, decimals, unit in amounts.values()
        if _value(plan, key) is not None
    ]
    unknown = [name for name, (key, *_) in amounts.items() if _value(plan, key) is None]
    sessions = f"{plan['sessions_n']} {'session' if plan['sessions_n'] == 1 else 'sessions'}"
    parts = [
        joined(known),
        *([f"{joined(unknown)} not known"] if unknown else []),
        *([f"{sessions} from {plan['start']} to {plan['last_session']}"] if plan["sessions_n"] else []),
        words(plan["limits"]),
    ]
    sentences = [
        f"{counted(plan['volume_planned'])}: {'; '.join(parts)}.",
        *([f"Missing: {counted(plan['shortfall'])}."] if _value(plan, "shortfall") else []),
        *_mixed(tables),
        *_not_planned(tables["plan_left_out"]),
    ]
    return " ".join(sentences)


def _not_planned(left_out: list[Row]) -> list[str]:
    """Methods that the plan is without, and where it says who may not do what."""
    methods = [f"{row['method']} ({words(row['why'])})" for row in left_out if not row["person"]]
    sentences = [f"Not planned: {'; '.join(methods)}."] if methods else []
    if any(row["person"] for row in left_out):
        definition = results_definition().sheet("plan_left_out")
        where = f'the sheet {definition.result_sheet}, "{definition.title}"'
        sentences.append(f"Who is not planned for what stands on {where}.")
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
        shares = [f"{100 * row['volume']['value'] / whole:.0f} % with {row['method']}" for row in rows]
        other_ways.append(f"{task} {joined(shares)}" if len(rows) > 1 else f"{task} with {rows[0]['method']}")
    return [f"It is not all by combination A: {'; '.join(other_ways)}."] if other_ways else []


def _next_steps(tables: Tables, plan: Row, currency: str, problems: list[Problem]) -> str:
    steps = [
        *_mends(problems),
        *_figures_to_write(tables["choice"]),
        *_trials(tables["trials"]),
        *([f"Choose: {words(plan['ways'])}."] if plan["ways"] else []),
        *_first_day(tables["plan_sessions"], tables["trials"]),
        *_shopping(tables["shopping"], plan, currency),
        *_more_sessions(tables),
    ]
    if not tables["plan_mix"] and not tables["plan_left_out"]:
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


def _figures_to_write(choice: list[Row]) -> list[str]:
    where = results_definition().sheet("problems").result_sheet
    return [] if _is_whole(choice[-1]) else [f"Write what is missing to compare all combinations: sheet {where}."]


def _trials(trials: list[Row]) -> list[str]:
    if not trials:
        return []
    first = trials[0]
    beside = f" (in sight: {words(first['in_sight'])})" if first["in_sight"] else ""
    how = f"{first['first']} and then {first['then']} on one pile, by {words(first['who'])}{beside}"
    return [f"Try first: {words(first['day'])}, {how}."]


def _first_day(sessions: list[Row], trials: list[Row]) -> list[str]:
    if not sessions or (trials and trials[0]["day"] == sessions[0]["date"]):  # a trial day was told of just before
        return []
    first = sessions[0]
    own = [row for row in sessions if row["date"] == first["date"]]
    doing = joined([_session(row) for row in own])
    where = results_definition().sheet("plan_sessions").result_sheet
    return [f"Begin on {words(first['weekday'])} {first['date']}: {doing} (sheet {where})."]


def _session(row: Row) -> str:
    beside = f" (in sight: {words(row['in_sight'])})" if row["in_sight"] else ""
    return f"{words(row['who'])} {row['minutes']['value']:.0f} min of {row['method']}{beside}"


def _shopping(goods: list[Row], plan: Row, currency: str) -> list[str]:
    if not goods:
        return []
    cost = _value(plan, "to_buy")
    price = f" for {cost:,.0f} {currency}" if cost is not None else ""
    return [f"Have at hand what the shopping list names{price}."]


def _more_sessions(tables: Tables) -> list[str]:
    """Methods to try more often, none that the plan leaves out for everybody."""
    left_out = {row["method"] for row in tables["plan_left_out"] if not row["person"]}
    rates = [row for row in tables["rates_per_cord"] if row["method"] not in left_out]
    few = [row["method"] for row in rates if 0 < row["sessions_n"] < FEW_SESSIONS]
    return [f"Time more sessions of {joined(few)}; {TRAINED_ADULTS}."] if few else []


def _value(row: Row, key: str) -> float | None:
    value: float | None = row[key]["value"]
    return value
