"""Checks of the season as a whole."""

from __future__ import annotations

from collections.abc import Iterator

from wood_xl.data.trade import factor_sets, tasks, tool_kinds
from wood_xl.notes.names import nearest
from wood_xl.notes.problem import Problem, number_text, problem, quoted
from wood_xl.notes.relations import TOOL_COLUMNS, Notes
from wood_xl.notes.tally import counts, is_waiting

OTHERS = ("rented", "borrowed")  # tools that belong to somebody else: they have no price to pay
WEIGHTS = ("weight_time", "weight_money", "weight_effort", "weight_carbon")


def season_problems(notes: Notes) -> list[Problem]:
    """What is odd about the season as a whole."""
    if len(notes.planned) == len(notes.document.rows("sessions")):
        return [problem("season-no-sessions", notes.document.place("sessions"))]
    return [
        *_without_output(notes),
        *_unused_methods(notes),
        *_methods_without_tool(notes),
        *_tools_without_method(notes),
        *_prices_and_lives(notes),
        *_ways_of_having(notes),
        *_emission_choices(notes),
        *_weights_retired(notes),
    ]


def _without_output(notes: Notes) -> Iterator[Problem]:
    if not notes.unread.isdisjoint((sheet_id, "session") for sheet_id in ("cuts", "tally", "stacks")):
        return  # the cuts or stacks of every session may be among what was not read
    measured = {
        notes.name(sheet_id, index, "session")
        for sheet_id in ("cuts", "tally", "stacks")
        for index, row in enumerate(notes.document.rows(sheet_id))
        if sheet_id != "tally" or counts(row) or is_waiting(notes, index)
    }
    sessions = notes.index_of["sessions"]
    misspelt = {nearest(name, sessions) for name in measured if name is not None and name not in sessions}
    for index in range(len(notes.document.rows("sessions"))):
        name = notes.name("sessions", index, "session")
        if name is None or name in measured | misspelt or notes.left_out(index):
            continue
        if index in notes.planned or not notes.document.rows("sessions")[index].keys() - {"session", "date", "note"}:
            continue  # nothing is there yet; or a text between the sessions, of which is told that it is none
        session = quoted(str(notes.value("sessions", index, "session")))
        place = notes.document.place("sessions", index, "session")
        yield problem("season-session-without-output", place, found=session)


def _unused_methods(notes: Notes) -> Iterator[Problem]:
    used = {notes.name("sessions", index, "method") for index in range(len(notes.document.rows("sessions")))}
    if not used <= notes.index_of["methods"].keys():
        return  # a method that waits for its mend may be any of them
    for index in range(len(notes.document.rows("methods"))):
        name = notes.name("methods", index, "method")
        if name is not None and name not in used:
            place = notes.document.place("methods", index, "method")
            yield problem("season-method-without-session", place, found=str(notes.value("methods", index, "method")))


def _methods_without_tool(notes: Notes) -> Iterator[Problem]:
    """Methods that were tried and name no tool, though nobody does that task with bare hands."""
    tried = {
        notes.name("sessions", index, "method")
        for index in range(len(notes.document.rows("sessions")))
        if not notes.left_out(index)
    }
    for index in range(len(notes.document.rows("methods"))):
        name, task = notes.name("methods", index, "method"), notes.value("methods", index, "task")
        is_bare = all(notes.is_empty("methods", index, column) for column in TOOL_COLUMNS)
        if name in tried and None not in (name, task) and tasks()[task].needs_tool and is_bare:
            place = notes.document.place("methods", index, TOOL_COLUMNS[0])
            yield problem("row-no-tool", place, found=quoted(str(notes.value("methods", index, "method"))))


def _tools_without_method(notes: Notes) -> Iterator[Problem]:
    """Tools that no method names; nothing is said while a name on the Methods sheet waits for a mend."""
    used: set[str | None] = set()
    for index in range(len(notes.document.rows("methods"))):
        for column in TOOL_COLUMNS:
            if not notes.is_empty("methods", index, column):
                used.add(notes.name("methods", index, column))
    if used <= notes.index_of["tools"].keys():
        for name, index in notes.index_of["tools"].items():
            if name not in used:
                place = notes.document.place("tools", index, "tool")
                yield problem(
                    "season-tool-without-method", place, found=quoted(str(notes.value("tools", index, "tool")))
                )


def _prices_and_lives(notes: Notes) -> Iterator[Problem]:
    used_tools = {tool for index in range(len(notes.document.rows("methods"))) for tool in notes.tools_of(index)}
    for index in sorted(used_tools):
        price, kind = notes.value("tools", index, "price"), notes.value("tools", index, "kind")
        if notes.value("tools", index, "held") in OTHERS:
            continue
        if notes.is_empty("tools", index, "price"):
            yield problem("row-no-price", notes.document.place("tools", index, "price"))
        elif price == 0:
            yield problem("row-price-zero", notes.document.place("tools", index, "price"))
        elif price and kind is not None and tool_kinds()[kind].life_years is None:
            lives = [
                column
                for column in ("life_hours", "life_years")
                if notes.value("tools", index, column) or notes.waits("tools", index, column)
            ]
            if not lives:
                yield problem("row-no-life", notes.document.place("tools", index, "life_years"))


def _ways_of_having(notes: Notes) -> Iterator[Problem]:
    """Prices, rents and shares that do not go with how one has a tool."""
    for index in range(len(notes.document.rows("tools"))):
        if notes.waits("tools", index, "held"):
            continue
        held = notes.value("tools", index, "held")
        price, rent, share = (notes.value("tools", index, column) for column in ("price", "rent", "share"))
        at_price, at_rent, at_share = (
            notes.document.place("tools", index, column) for column in ("price", "rent", "share")
        )
        if price and held in OTHERS:
            yield problem("row-price-not-counted", at_price, found=number_text(price), held=held)
        if rent is not None and held != "rented":
            yield problem("row-rent-not-rented", at_rent, found=number_text(rent))
        if held == "rented" and notes.is_empty("tools", index, "rent"):
            yield problem("row-no-rent", at_rent)
        if share is not None and held != "shared":
            yield problem("row-share-not-shared", at_share, found=number_text(share))
        if held == "shared" and notes.is_empty("tools", index, "share"):
            yield problem("row-no-share", at_share)


def _weights_retired(notes: Notes) -> Iterator[Problem]:
    """Weights of an older workbook, told once, at the first of them."""
    written = [item for item in WEIGHTS if item in notes.document.items("next_season")]
    if written:
        yield problem("plan-weights-retired", notes.document.place("next_season", None, written[0]))


def _emission_choices(notes: Notes) -> Iterator[Problem]:
    """Choices of emissions that do not go together."""
    items = notes.document.items("season")
    potentials, chosen = items.get("gwp_set"), factor_sets().get(items.get("emission_factor_set", ""))
    if chosen is not None and chosen.potentials is not None and potentials not in (None, chosen.potentials):
        place = notes.document.place("season", None, "gwp_set")
        yield problem("season-mixed-potentials", place, found=quoted(str(potentials)))
    ratio = items.get("food_fossil_ratio")
    if ratio is not None and items.get("food_counted", "off") == "off":
        place = notes.document.place("season", None, "food_fossil_ratio")
        yield problem("season-food-not-counted", place, found=number_text(ratio))
