"""No text that a person reads promises that work is free of danger, or gives leave to do it."""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from builders import log_rows, metric_workbook, small_season
from click.testing import CliRunner
from few import few, together
from test_odd_seasons import CHANGES

from wood_xl.cli import main
from wood_xl.demo import demo_names, demo_workbook
from wood_xl.io.template import template_workbook
from wood_xl.notes.problem import catalogue
from wood_xl.pipeline import score_file
from wood_xl.results.share import shared

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "wood_xl"
PROMISES = (
    # safety
    r"safe(?:r|ly|ty|st)?",
    r"(?:no|without|free (?:of|from)|little|low|zero) (?:any )?(?:risks?|dangers?|harm|hazards?)",
    r"risk-?free",
    r"not (?:dangerous|harmful|hazardous|risky|flagged|alarming|too (?:hard|heavy|long|loud))",
    r"unflagged",
    r"harmless",
    r"nothing to (?:fear|worry about)",
    r"(?:no need to|do not|don't|never) worry",
    r"rest assured",
    r"(?:well|fully) protected",
    r"(?:is|are|be|looks?|seems?) (?:all )?(?:fine|okay|ok|right for you|harmless|acceptable|healthy|unproblematic)",
    r"fit (?:for|to) work",
    r"(?:no|without|little) cause for",
    r"reassur\w+",
    r"(?:comfortabl[ey]|tolerab(?:le|ly)|bearabl[ey]|manageable|healthy|gentle|gently)",
    r"well (?:within|below|under)",
    r"(?:low|little|normal|usual|mild) strain",
    r"(?:easy|kind) on (?:the|your) (?:heart|back|body|hands)",
    # permission
    r"(?<!not )allowed",
    r"(?:hours?|minutes?|times?|days?|tools?|levels?|loads?) (?:that )?(?:\w+ \w+ )?(?<!not )allows?",
    r"allows? (?:more|less|you|for more|hours|minutes|time|work)",
    r"permi(?:t|ts|tted|ssible)",
    r"acceptable (?:hours?|times?|minutes?|days?)",
    r"(?:you|they|he|she|everybody|anybody|people) (?:may|can) (?:still )?(?:go on|work|saw|split|carry on|keep)",
    r"may work",
    r"(?:keep going|carry on|go on working)",
    r"all day",
    r"(?:the whole|a whole|a full) day without",
    r"as long as you (?:like|want|wish|please)",
    r"go gently",
    r"take it easy",
    r"(?:short|light|easy|low) enough",
    r"(?:no|without) (?:more |further )?(?:pauses?|rests?|breaks?) (?:is |are )?(?:needed|necessary|required|due)",
    r"needs? no (?:pauses?|rest|breaks?)",
    r"without (?:more|any|a|further) (?:rest|pause|break)",
    r"(?:enough|sufficient) (?:rest|pauses?|breaks?)",
)
PROMISE = re.compile(rf"\b(?:{'|'.join(PROMISES)})\b", re.IGNORECASE)
NOT_OURS = {"source", "inputs", "input_rows", "sources", "note", "where"}  # words of publications and of people
INTERNAL = ("keywords.schema.json", "sources.json", "typed_words.json")


def promises(texts: Iterator[tuple[str, str]]) -> list[str]:
    """Where a promise stands, with some of its text."""
    found = []
    for place, text in texts:
        for hit in PROMISE.finditer(text):
            around = " ".join(text[max(0, hit.start() - 40) : hit.end() + 40].split())
            found.append(f"{place}: [{hit.group()}] {around}")
    return list(dict.fromkeys(found))


def strings(value: Any, place: str) -> Iterator[tuple[str, str]]:
    """Every text in a document, but words of publications and of people."""
    if isinstance(value, str):
        yield place, value
    elif isinstance(value, dict):
        for key, inner in value.items():
            if key not in NOT_OURS:
                yield from strings(inner, f"{place}.{key}")
    elif isinstance(value, list):
        for inner in value:
            yield from strings(inner, place)


def results_texts(results: dict[str, Any], place: str) -> Iterator[tuple[str, str]]:
    """Every text of a document, and every cell of its workbook but those of the notes and of publications."""
    yield from strings(results, place)
    published = {row["source"] for table in ("factors", "cautions") for row in results[table]}
    cells: list[tuple[str, str]] = []

    def keep(title: str, row: int, values: Any) -> None:
        if not title.startswith("Inputs"):
            cells.extend(
                (f"{place} {title}!{row}", v) for _, v in values if isinstance(v, str) and v not in published
            )

    log_rows(results, keep)
    yield from cells


def scored(path: Path, workbook: bytes) -> dict[str, Any]:
    path.write_bytes(workbook)
    results = score_file(path, None).results
    assert results is not None
    return results


@together(
    "text",
    [
        "This session is safe.", "2 hours allowed a day", "Hours a day that each tool allows", "not flagged",
        "strain not known: go gently", "The spell is short enough.", "Energy that can be spent all day",
        "You may work on.", "No pauses needed.", "Permitted time", "Work without danger.", "It is harmless.",
        "No limit here makes work free of danger.", "Acceptable hours", "no risk", "needs no rest",
        "No cause for alarm", "a healthy load", "a manageable pace", "well within the limit", "low strain",
        "easy on the back",
    ],
)  # fmt: skip
def test_a_promise_is_found(text: str) -> None:
    assert promises(iter([("here", text)]))


@together(
    "text",
    [
        "No figure here counts the risk of injury.", "Stop before you are tired.", "Eye protection",
        "the notes allow", "Short turns at the saw", "Never work alone.", "It may move these figures.",
        "Nothing need be done.", "A day without rain", "cannot tell yet", "by every basis that the notes allow",
        "not allowed",
    ],
)  # fmt: skip
def test_other_words_are_not_taken_for_one(text: str) -> None:
    assert promises(iter([("here", text)])) == []


@pytest.mark.slow
@pytest.mark.parametrize("name", few(demo_names(), "hill_farm_us"))
def test_results_promise_nothing(name: str, tmp_path: Path) -> None:
    results = scored(tmp_path / "season.xlsx", demo_workbook(name))
    assert promises(results_texts(results, "results")) == []
    assert promises(results_texts(shared(results), "shared")) == []


@pytest.mark.parametrize("name", few(CHANGES, "everything by the clock"))
def test_results_of_an_odd_season_promise_nothing(name: str, tmp_path: Path) -> None:
    data = small_season()
    CHANGES[name][0](data)
    filled = metric_workbook(data)
    assert promises(strings(scored(tmp_path / "season.xlsx", filled), "results")) == []


def test_the_template_promises_nothing() -> None:
    texts: list[tuple[str, str]] = []
    for page in template_workbook("us", "USD", "letter").worksheets:
        for row in page.iter_rows():
            for cell in row:
                place = f"{page.title}!{cell.coordinate}"
                texts += [(place, cell.value)] if isinstance(cell.value, str) else []
                texts += [(place, cell.comment.text)] if cell.comment else []
        for rule in page.data_validations.dataValidation:
            texts += [(f"{page.title} rule", text) for text in (rule.prompt, rule.error) if text]
    published = {entry["title"] for entry in json.loads((PACKAGE / "data/sources.json").read_text("utf-8")).values()}
    ours = [(place, text) for place, text in texts if not any(title in text for title in published)]
    assert len(ours) > 500
    assert promises(iter(ours)) == []


def test_messages_promise_nothing() -> None:
    assert promises(strings(catalogue(), "catalogue")) == []


def test_the_pages_to_read_and_the_help_of_commands_promise_nothing() -> None:
    helps = [("help", CliRunner().invoke(main, [name, "--help"]).output) for name in (*main.commands, "")]
    pages = [(name, (ROOT / name).read_text(encoding="utf-8")) for name in ("README.md", "wood_xl/FIGURES.md")]
    assert promises(iter([*((name, " ".join(text.split())) for name, text in pages), *helps])) == []


@together(
    "path",
    [path for path in sorted(PACKAGE.rglob("*.json")) if path.name not in INTERNAL and path.parent.name != "demo"],
    ids=lambda path: path.name,
)
def test_definitions_and_data_promise_nothing(path: Path) -> None:
    assert promises(strings(json.loads(path.read_text(encoding="utf-8")), path.name)) == []


@cache
def literals(path: Path) -> list[tuple[str, str]]:
    """Texts in code, whether a season of these tests brings them out or not; docstrings are for programmers."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    documented = (ast.Module, ast.ClassDef, ast.FunctionDef)
    docs = {
        id(node.body[0].value) for node in ast.walk(tree) if isinstance(node, documented) and ast.get_docstring(node)
    }  # type: ignore[attr-defined]
    return [
        (f"{path.relative_to(PACKAGE)}:{node.lineno}", node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs
    ]


@pytest.mark.slow
def test_texts_in_the_code_promise_nothing() -> None:
    found = [literal for path in sorted(PACKAGE.rglob("*.py")) for literal in literals(path)]
    assert len(found) > 1000
    assert promises(iter(found)) == []
