"""The words of ids: each has its own, they fill with the facts that the program gives, and none is left over."""

from __future__ import annotations

import ast
import inspect
import re
from collections.abc import Iterator
from pathlib import Path
from string import Formatter
from typing import Any

import pytest
from few import together
from test_architecture import TOPICS

import wood_xl
from wood_xl import ids, page_texts, reasons, trial_records, verdicts
from wood_xl.reasons import Basis, Listing, Reason, Word, said, sentences, several
from wood_xl.schema.model import season_definition
from wood_xl.schema.words import words
from wood_xl.verdicts import Advice, Departs, Raise

PACKAGE = Path(wood_xl.__file__).parent
ENUMS = {
    name: one
    for module in (reasons, ids, verdicts, page_texts, trial_records)
    for name, one in inspect.getmembers(module, inspect.isclass)
    if issubclass(one, Word) and one is not Word and one.__module__ == module.__name__
}


PAGE_FACTS = {"wood", "woods", "mass", "hour", "yearly", "unit", "units"}  # of a season or of a study


def slots(word: Word) -> set[str]:
    """Names of the facts that a sentence has room for."""
    return {name for _, name, _, _ in Formatter().parse(sentences()[type(word).__name__][word.key]) if name}


def calls() -> Iterator[tuple[str, Word, set[str]]]:
    """Every place where an id is said by its name, with the names of its facts."""
    for path in sorted(PACKAGE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and is_said_by(node.func):
                facts = {keyword.arg for keyword in node.keywords if keyword.arg}
                facts |= PAGE_FACTS if isinstance(node.func, ast.Attribute) else set()
                if len(facts) == len(node.keywords):
                    yield from ((f"{path.name}:{node.lineno}", word, facts) for word in named(node.args[0]))


def is_said_by(function: ast.expr) -> bool:
    match function:
        case ast.Name(id="said" | "phrase") | ast.Attribute(value=ast.Name(id="view"), attr="say"):
            return True
    return False


def named(node: ast.expr) -> list[Word]:
    """Ids that an expression may be."""
    if isinstance(node, ast.IfExp):
        return named(node.body) + named(node.orelse)
    if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id in ENUMS:
        return [ENUMS[node.value.id][node.attr]]
    return []


def test_every_id_has_words_and_no_words_are_left_over() -> None:
    assert len(ENUMS) > 30
    assert sentences() == {
        name: {word.key: sentences()[name][word.key] for word in enum} for name, enum in ENUMS.items()
    }
    assert all(text.strip() for enum in sentences().values() for text in enum.values())


def test_the_facts_that_are_given_are_those_that_fill_the_sentence() -> None:
    found = list(calls())
    assert len(found) > 250
    added = {Advice: {"wood"}, Departs: {"woods"}, Raise: {"woods"}}  # by results.document, to all of them
    wrong = [
        (place, word, facts, slots(word))
        for place, word, facts in found
        if not slots(word) <= facts | added.get(type(word), set())
    ]
    assert wrong == []


def test_every_id_is_used() -> None:
    source = "\n".join(path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.py"))
    used = set(re.findall(r"\b[A-Z]\w+\.[A-Z][A-Z0-9_]*\b", source))
    gone_through = set(re.findall(r" in (?:reversed\()?(\w+)", source))
    used |= {f"{name}.{word.name}" for name, enum in ENUMS.items() if name in gone_through for word in enum}
    assert [one for name, enum in ENUMS.items() for word in enum if (one := f"{name}.{word.name}") not in used] == []


def test_every_id_that_is_named_is_one() -> None:
    """Members come from ``words.json``, so that no type tells a wrong one."""
    wrong = [
        (path.name, ast.unparse(node))
        for path in sorted(PACKAGE.rglob("*.py"))
        for tree in [ast.parse(path.read_text(encoding="utf-8"))]
        for enums in [enums_of(tree)]
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id in enums
        if node.attr not in enums[node.value.id].__members__
    ]
    assert wrong == []


def enums_of(tree: ast.Module) -> dict[str, type[Word]]:
    """Enums of ids that a module imports."""
    taken = [node for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
    return {
        alias.name: ENUMS[alias.name]
        for node in taken
        for alias in node.names
        if alias.name in ENUMS and ENUMS[alias.name].__module__ == node.module
    }


@together(
    ("told", "expected"),
    [
        (None, ""),
        ("as typed", "as typed"),
        (Reason.NO_SESSION, "no session counts"),
        (said(Reason.NO_PRICE_OF, what="Saw {x}"), "needs the price of Saw {x}"),
        (said(Reason.OF_METHOD, method="axe", why=said(Reason.NEEDS, cell="Tools!B5")), "axe: needs Tools!B5"),
        (said(Basis.UPPER_BOUND_OF, tools=("a, b", "c")), "a, b, c: working time stands in"),
        (several([said(Basis.NO_ENGINE), said(Basis.BARE_HANDS), said(Basis.NO_ENGINE)]), "no engine; bare hands"),
    ],
)
def test_an_id_is_worded_with_its_facts_as_they_are(told: Any, expected: str) -> None:
    assert words(told).startswith(expected)
    assert words(told) == expected or told == said(Basis.UPPER_BOUND_OF, tools=("a, b", "c"))


@together(
    ("percent", "told"),
    [
        (0, "no case"),
        (0.02, "fewer than 1 of 100 cases"),
        (1, "1 of 100 cases"),
        (56.6, "57 of 100 cases"),
        (99, "99 of 100 cases"),
        (99.98, "more than 99 of 100 cases"),
        (100, "all cases"),
    ],
)
def test_a_share_of_the_draws_is_all_or_none_only_where_it_is_so(percent: float, told: str) -> None:
    assert words(said(Reason.MAY_NEVER_PAY, percent=percent)) == f"never pays in {told}"


def test_one_sentence_of_several_is_itself() -> None:
    assert several([]) is None
    assert several([said(Basis.NO_ENGINE)]) == said(Basis.NO_ENGINE)
    both = several([said(Basis.NO_ENGINE), said(Basis.BARE_HANDS)])
    assert both is not None
    assert both.id is Listing.SEMICOLONS


NO_WORDS = {"heart rate and VO2max", "heart rate", "by power"}


@together("part", TOPICS)
def test_no_sentence_is_made_where_figures_are_computed(part: str) -> None:
    """Texts of more than one word there are choices of a list, or name what is no word for anybody."""
    choices = {one for sheet in season_definition().sheets for column in sheet.columns for one in column.choices}
    found = {
        (path.name, text)
        for path in sorted((PACKAGE / part).glob("*.py"))
        for text in texts_in(ast.parse(path.read_text(encoding="utf-8")))
        if " " in text.strip() and text not in choices | NO_WORDS
    }
    assert found == set()


UNREADABLE = "the end of the message why a file cannot be read, made where it breaks off"
FILE_FORMAT = "tags and codes of the file format"
READERS = (
    "ods.py",
    "package.py",
    "package_parts.py",
    "reader.py",
    "seen_parts.py",
    "seen_styles.py",
    "sheet_part.py",
)
NO_SENTENCES = {
    **dict.fromkeys(("guard.py", *READERS), UNREADABLE),
    **dict.fromkeys(("cell_kinds.py", "mend_list.py", "ods_marks.py", "pack.py", "rows.py"), FILE_FORMAT),
    **dict.fromkeys(("looks.py", "styles.py"), "names of cell styles, by which programs list them"),
    "without_names.py": "names that people have in shared notes from then on",
}


def test_no_sentence_stands_where_results_and_templates_are_written() -> None:
    """What a reader sees stands in ``words.json`` alone."""
    assert {name for part in ("results", "io", "report") for name, _ in sentences_in(part)} == NO_SENTENCES.keys()


NO_MESSAGES = {
    "Invented example": "what the name of a season begins with that nobody measured",
    "whole column": "a choice of the list of cells that figures wait for",
}


def test_no_sentence_stands_where_notes_are_read_and_checked() -> None:
    """Messages stand in ``catalogue.json``, their words in ``words.json``, units and choices in the definition."""
    columns = [column for sheet in season_definition().sheets for column in sheet.columns]
    defined = {text for column in columns for text in (*column.units, *column.choices)}
    assert {text for _, text in sentences_in("notes")} - defined == NO_MESSAGES.keys()


def sentences_in(part: str) -> Iterator[tuple[str, str]]:
    """Texts of more than one word with small letters in a part of the package, with the names of their files."""
    for path in sorted((PACKAGE / part).glob("*.py")):
        for text in texts_in(ast.parse(path.read_text(encoding="utf-8"))):
            if " " in text.strip() and re.search("[a-z]{2}", text):
                yield path.name, text


def texts_in(tree: ast.AST) -> Iterator[str]:
    """Texts of a module that are neither docstrings, nor messages of faults, nor patterns."""
    match tree:
        case ast.Raise() | ast.Call(func=ast.Attribute(value=ast.Name(id="re"), attr="compile")):
            return
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            continue
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.value
        yield from texts_in(node)


@pytest.mark.parametrize("told", [Reason.NO_SESSION, said(Reason.NO_SESSION)])
def test_an_id_slips_into_no_text(told: Any) -> None:
    with pytest.raises(TypeError, match="no words before it is written"):
        f"{told}"
