"""Each sentence of the table of verdicts comes from a season of its own, and stands as it is on Answer."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import cache
from typing import Any

import pytest
from builders import Data, only_methods, records, season_rates
from test_verdicts_by_task import CABIN, CHAIN, HILL, MAUL, SPLITTER, notes, sentence

from wood_xl.choice.advised import advices
from wood_xl.draws.figure import cells_of
from wood_xl.hours.comparisons import comparison_rows
from wood_xl.reasons import Said, said
from wood_xl.results.unit_of_wood import for_unit_of_wood
from wood_xl.schema.words import words
from wood_xl.season import season_tables
from wood_xl.verdicts import Advice, Advised, Kind, NotPlanned

Rows = list[dict[str, Any]]
ABSURD = 99999  # minutes that no session lasts
NUMBERS = re.compile(r"\d[\d,.]*\d|\d")


def of(methods: tuple[str, ...]) -> Data:
    """The hill farm with these methods alone."""
    return only_methods(notes(HILL, 18), *methods)


def trained_for(tools: str, data: Data) -> Data:
    for person in data["people"]:
        person["may_use"] = tools
    return data


def tool(data: Data, name: str, **cells: Any) -> Data:
    next(row for row in data["tools"] if row["tool"] == name).update(cells)
    return data


def absurd(n: int) -> Data:
    data = notes(HILL, 18)
    for row in [row for row in data["sessions"] if row["method"] == CHAIN][:n]:
        row["elapsed_time"] = ABSURD
    return data


def unpriced() -> Data:
    data = notes(HILL, 18)
    for row in data["tools"]:
        del row["price"], row["resale"]
    return data


def as_quick() -> Data:
    data = notes(HILL, 18)
    for row in data["sessions"]:
        row["elapsed_time"] *= 1.75 if row["method"] == SPLITTER else 1.0
    return data


def slow_stacking() -> Data:
    data = notes(HILL, 18)
    data["methods"].append({"method": "slow stacking", "task": "stack", "tool_1": "wheelbarrow"})
    for session in data["sessions"]:
        session.pop("stacking_time", None)
    for number, session in enumerate([s for s in data["sessions"] if s["method"] == "hand stacking"]):
        if number % 2:
            session.update(method="slow stacking", elapsed_time=9 * session["elapsed_time"])
    return data


def without_limit() -> Data:
    data = notes(HILL, 60)
    del data["next_season"]["cash_limit"]
    return data


ELECTRIC = "electric splitter"
# of each sentence: kind of the verdict, task, the season, and the words with # for each number
CASES: dict[Advice, tuple[Kind, str, Callable[[], Data], str]] = {
    Advice.ONLY_WAY: (
        Kind.ONLY_WAY,
        "buck",
        lambda: of((CHAIN,)),
        "The only way you timed: # hours of work on a cord (# to #).",
    ),
    Advice.ONLY_BARRED: (
        Kind.ONLY_WAY,
        "buck",
        lambda: trained_for(ELECTRIC, of((CHAIN,))),
        "The plan has nobody for chain saw bucking: not listed as trained.",
    ),
    Advice.PRICE_MISSING: (
        Kind.PRICE_MISSING,
        "buck",
        unpriced,
        "Only time can be compared. Settled. Bow saw bucking: no cash known (no price of bow saw).",
    ),
    Advice.ONE_WAITS: (
        Kind.WAITS,
        "buck",
        lambda: absurd(1),
        "One session waits for Sessions!G#. Mend it and score again.",
    ),
    Advice.WAIT: (
        Kind.WAITS,
        "buck",
        lambda: absurd(2),
        "# sessions wait for Sessions!G# and Sessions!G#. Mend that and score again.",
    ),
    Advice.VALUE_WAITS: (
        Kind.WAITS,
        "buck",
        lambda: notes(HILL, 18, price_of_carbon=-5),
        "What an hour, effort or CO#e is worth to you waits for Season!B#. Mend it and score again.",
    ),
    Advice.QUICK_BARRED: (
        Kind.NOBODY_MAY,
        "buck",
        lambda: trained_for(ELECTRIC, notes(HILL, 60)),
        "Quickest is chain saw bucking, but the plan has nobody for it: not listed as trained.",
    ),
    Advice.SAME: (
        Kind.SAME,
        "split",
        lambda: notes(HILL, 9, practical_margin=90),
        (
            "Maul splitting and electric splitting differ by less than the # % that you said would not matter. "
            "Use the one you like."
        ),
    ),
    Advice.TIME_OPEN: (
        Kind.TIME_OPEN,
        "split",
        as_quick,
        (
            "It is not settled that maul splitting saves time against electric splitting. "
            "The saving: # hours on a cord (-# to #)."
        ),
    ),
    Advice.DOMINATES: (
        Kind.DOMINATES,
        "split",
        lambda: tool(notes(HILL), "splitting maul", price=4000, life_years=5),
        (
            "Against maul splitting, a cord with electric splitting takes # hours less (# to #) "
            "and $# less (# to #). Settled."
        ),
    ),
    Advice.NOTHING_TO_WEIGH: (
        Kind.DOMINATES,
        "split",
        lambda: tool(notes(HILL), "splitting maul", price=4000, life_years=5),
        "There is nothing to weigh.",
    ),
    Advice.DOMINATES_BY_SUM: (
        Kind.DOMINATES,
        "stack",
        slow_stacking,
        "Against slow stacking, a cord with hand stacking takes # hours less (# to #). It costs no more in all. ",
    ),
    Advice.DEPENDS: (
        Kind.DEPENDS,
        "split",
        lambda: notes(HILL),
        "If an hour is worth more to you than $# (# to #), take electric splitting. If less, take maul splitting.",
    ),
    Advice.EITHER_OWNED: (
        Kind.EITHER_OWNED,
        "split",
        lambda: tool(notes(HILL, 18), ELECTRIC, held="own"),
        (
            "Against maul splitting, electric splitting saves # hours on a cord (# to #). "
            "Each saved hour costs $# (# to #). At $# an hour the trials cannot tell which is better. "
            "Use the one you like."
        ),
    ),
    Advice.KEEP: (
        Kind.KEEP,
        "split",
        lambda: notes(HILL, 18),
        (
            "Against maul splitting, electric splitting saves # hours on a cord (# to #). "
            "Each saved hour costs $# (# to #). At $# an hour electric splitting may pay. "
            "The trials cannot settle it yet."
        ),
    ),
    Advice.KEEP_SMALLER_OUTLAY: (
        Kind.KEEP,
        "split",
        lambda: tool(notes(HILL, 18), "splitting maul", held="to buy"),
        (
            "At $# an hour the trials cannot tell which is better. "
            "You own neither, and maul splitting costs less to buy."
        ),
    ),
    Advice.PAYS: (
        Kind.PAYS,
        "buck",
        lambda: notes(HILL, 18),
        (
            "Against bow saw bucking, chain saw bucking saves # hours of work on a cord (# to #). "
            "Each saved hour costs $# (# to #). You value an hour at $#, so it pays. Settled."
        ),
    ),
    Advice.TOO_DEAR: (
        Kind.TOO_DEAR,
        "buck",
        lambda: notes(HILL, 1),
        (
            "Against bow saw bucking, chain saw bucking would save # hours on a cord (# to #). "
            "Each saved hour costs $# (# to #), more than your $#. Settled."
        ),
    ),
    Advice.BESIDE: (
        Kind.PAYS,
        "buck",
        lambda: notes(CABIN, 150),
        "Petrol saw bucking rather than battery saw bucking: cannot tell yet.",
    ),
    Advice.MORE_THAN_CASH: (
        Kind.PAYS,
        "buck",
        lambda: notes(HILL, 18, price_of_carbon=50),
        "Effort and CO#e count in this as far as you gave them a value.",
    ),
    Advice.BUYING: (Kind.PAYS, "split", without_limit, "Buying what electric splitting needs takes $#."),
    Advice.BUYING_WITH_LIMIT: (
        Kind.PAYS,
        "split",
        lambda: notes(HILL, 60),
        "Buying what electric splitting needs takes $#; your cash limit is $#.",
    ),
}


@cache
def verdict_of(advice: Advice) -> dict[str, Any]:
    _, task, season, _ = CASES[advice]
    rows: Rows = [cells_of(row) for row in season_tables(records(season())).tables["verdicts"]]
    return next(row for row in rows if row["task"] == task)


def parts_of(row: dict[str, Any]) -> Iterator[Said]:
    """The sentences of a verdict."""
    yield from dict(row["sentence"].facts)["parts"]


def shape(text: str) -> str:
    """The sentence with # for each number."""
    return NUMBERS.sub("#", text.replace("\N{NO-BREAK SPACE}", " "))


@pytest.mark.parametrize("advice", CASES, ids=lambda one: one.key)
def test_a_season_of_its_own_gives_the_sentence_and_its_kind(advice: Advice) -> None:
    kind, _, _, expected = CASES[advice]
    row = verdict_of(advice)
    assert row["kind"] is kind
    told = [part for part in parts_of(row) if part.id is advice]
    assert told
    assert any(expected.strip() in shape(words(for_unit_of_wood(part, "us"))) for part in told)
    assert expected in shape(sentence(row))


def test_every_kind_and_every_sentence_has_its_season() -> None:
    """But for the one that needs a bar on a way that is not the quickest, below."""
    assert set(Advice) - set(CASES) == {Advice.OTHER_BARRED}
    assert {kind for kind, *_ in CASES.values()} == set(Kind)


def test_a_way_that_would_come_first_but_nobody_may_do_is_named() -> None:
    rates = season_rates(notes(HILL, 1))
    compared = comparison_rows(rates.study.totals, rates)
    barred = {MAUL: said(NotPlanned.VERY_HIGH_STRAIN)}
    found = next(row for row in advices(rates, compared, barred).verdicts if row.task == "split")
    assert (found.kind, found.choice) == (Kind.NOBODY_MAY, SPLITTER)
    first, *_ = dict(found.sentence.facts)["parts"]
    assert first.id is Advice.OTHER_BARRED
    assert words(first).startswith("At your values maul splitting would come first, but the plan has nobody for it: ")


@pytest.mark.parametrize(
    ("advice", "head", "told"),
    [
        (Advice.PAYS, Advised.METHOD, "Bucking: chain saw bucking"),
        (Advice.PRICE_MISSING, Advised.QUICKEST, "Bucking: quickest is chain saw bucking"),
        (Advice.ONE_WAITS, Advised.WAITS, "Bucking: waits"),
        (Advice.ONLY_BARRED, Advised.NOBODY, "Bucking: the plan has nobody for it"),
        (Advice.SAME, Advised.EITHER, "Splitting: either"),
        (Advice.TIME_OPEN, Advised.NOT_SETTLED, "Splitting: not settled"),
        (Advice.DEPENDS, Advised.DEPENDS, "Splitting: it depends on your hour"),
        (Advice.KEEP, Advised.KEEP, "Splitting: keep maul splitting for now"),
    ],
)
def test_each_head(advice: Advice, head: Advised, told: str) -> None:
    found = verdict_of(advice)["head"]
    assert (found.id, words(found)) == (head, told)
