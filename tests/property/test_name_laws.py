"""What things are called, and how a sentence is worded, moves no number, no choice and no verdict."""

from __future__ import annotations

import copy
import json
import sys
from collections.abc import Callable, Iterator, Mapping
from io import BytesIO
from pathlib import Path
from string import Formatter
from typing import Any

import pytest
from builders import checked, log_rows, records, season_cells, small_season
from few import few
from openpyxl import load_workbook
from test_odd_seasons import CHANGES

import wood_xl
from wood_xl.data.trade import tasks
from wood_xl.demo import demo_names
from wood_xl.io.page import Paper
from wood_xl.io.template import template_bytes
from wood_xl.notes import problem as problem_module
from wood_xl.notes.problem import catalogue
from wood_xl.pipeline import computed_again
from wood_xl.reasons import sentences
from wood_xl.report.book import PAGES
from wood_xl.results import share as share_module
from wood_xl.results.share import shared
from wood_xl.schema import model as model_module
from wood_xl.schema import words as words_module
from wood_xl.schema.layout import INPUTS_TITLE, TRACE_TITLE
from wood_xl.schema.model import System, results_definition, season_definition

Data = dict[str, Any]
Cells = dict[tuple[str, int | str, int], Any]
PACKAGE = Path(wood_xl.__file__).parent
DEMO = PACKAGE / "data" / "demo"
TOLD = {"display_units": "metric", "input_sha256": "0" * 64, "template_version": "1"}
NAMED = ("methods.method", "people.person", "tools.tool", "sessions.lot")
# Words that this program uses itself, and what would be taken for several names if names were cut apart.
OF_THE_PROGRAM = {
    "methods.method": (
        "axe",
        "A + B",
        "and",
        "Hand",
        "none",
        "takes less",
        "below 2.0 combination B is best",
        "B: axe",
    ),
    "people.person": ("A + B", "Hours", "May", "worker"),  # in the order of the alphabet, as the people of the demos
    "tools.tool": (
        "gasoline",
        "and",
        "bar oil",
        "axe",
        "May",
        "the fuel",
        "all alike",
        "no",
        "not bought yet",
        "Hand",
    ),
    "sessions.lot": ("yes", "North and", "A, B", "worker"),
}
ABOUT_NOTES = ("provenance", "inputs", "input_rows", "problems", "waiting")


def seasons() -> Iterator[tuple[str, Data]]:
    for name in demo_names():
        yield name, json.loads((DEMO / f"{name}.json").read_text(encoding="utf-8"))
    yield "small", small_season()
    for name, (change, _) in CHANGES.items():
        data = small_season()
        change(data)
        yield name, data


SEASONS = dict(seasons())


def kind_of(sheet_id: str, column_id: str) -> str:
    """What a column names."""
    column = season_definition().column(f"{sheet_id}.{column_id}")
    return column.refers_to or column.ref


def names_in(data: Data, kind: str) -> list[str]:
    """Names of a kind, those of people by the alphabet and others as they come."""
    found = dict.fromkeys(
        str(cell)
        for sheet_id, rows in data.items()
        if isinstance(rows, list)
        for row in rows
        for column_id, cell in row.items()
        if kind_of(sheet_id, column_id) == kind
    )
    return sorted(found) if kind == "people.person" else list(found)


def renamed(data: Data, names: Mapping[str, Mapping[str, str]]) -> Data:
    """The same notes with other names."""
    changed = copy.deepcopy(data)
    for sheet_id, rows in changed.items():
        for row in rows if isinstance(rows, list) else ():
            for column_id, cell in row.items():
                of_kind = names.get(kind_of(sheet_id, column_id), {})
                row[column_id] = of_kind.get(cell, cell) if isinstance(cell, str) else cell
            if "may_use" in row:  # several tools in one cell
                tools = names.get("tools.tool", {})
                row["may_use"] = "; ".join(tools.get(tool, tool) for tool in row["may_use"].split("; "))
    return changed


def computed(data: Data) -> Data:
    return {key: part for key, part in results_of(data).items() if key not in ABOUT_NOTES}


def results_of(data: Data) -> Data:
    results = computed_again(checked(data), TOLD)
    assert results is not None
    return results


def shape(part: Any) -> Any:
    """Numbers as they are, and of each text whether there is one."""
    if isinstance(part, dict):
        return {key: shape(value) for key, value in part.items()}
    if isinstance(part, list):
        return [shape(value) for value in part]
    return bool(part) if isinstance(part, str) else part


@pytest.mark.parametrize("season", few(list(SEASONS), "small"))
def test_other_names_move_no_number_and_lose_no_sentence(season: str) -> None:
    data = SEASONS[season]
    names = {kind: dict(zip(names_in(data, kind), OF_THE_PROGRAM[kind], strict=False)) for kind in NAMED}
    assert all(len(names[kind]) == len(names_in(data, kind)) for kind in NAMED)
    assert all(names.values()) or season in CHANGES
    assert shape(computed(renamed(data, names))) == shape(computed(data))


@pytest.mark.slow
@pytest.mark.parametrize("season", few(list(SEASONS), "small"))
def test_people_who_sort_the_other_way_round_move_no_number(season: str) -> None:
    data = SEASONS[season]
    people = names_in(data, "people.person")
    other = {name: f"{letter}a" for name, letter in zip(people, "ZYXW", strict=False)}
    assert len(other) == len(people)
    found, before = (shape(computed(notes)) for notes in (renamed(data, {"people.person": other}), data))
    for part in (found, before):
        for table in ("exposures", "figures"):
            part[table].sort(key=str)  # people of one day stand by the alphabet
    assert found == before


def test_a_name_that_begins_as_those_of_the_demos_moves_no_figure() -> None:
    data = SEASONS["small"]
    named = {**data, "season": {**data["season"], "season_name": "Invented example, said Ada"}}
    marked, before = computed(named), computed(data)
    assert (bool(marked["season"].pop("invented")), before["season"].pop("invented")) == (True, "")
    assert marked["season"].pop("season_name") != before["season"].pop("season_name")
    assert marked == before


@pytest.mark.slow
@pytest.mark.parametrize("season", few(list(SEASONS), "small"))
def test_other_names_leave_the_ids_of_figures(season: str) -> None:
    data = SEASONS[season]
    names = {kind: {name: chr(97 + n) * 5 + kind[0] for n, name in enumerate(names_in(data, kind))} for kind in NAMED}
    now, before = (computed(one)["figures"] for one in (renamed(data, names), data))
    kept = ("id", "topic", "task", "measure", "unit", "value", "low", "high", "reason", "basis")
    assert [[figure[key] for key in kept] for figure in now] == [[figure[key] for key in kept] for figure in before]
    methods, others = ({figure["method"] for figure in figures} - {""} for figures in (before, now))
    assert methods
    assert methods.isdisjoint(others)


@pytest.mark.slow
def test_other_names_stand_where_the_old_ones_stood() -> None:
    data = SEASONS["hill_farm_us"]
    tokens = {
        kind: {name: _token(name, f"{kind[0]}{n}") for n, name in enumerate(names_in(data, kind))} for kind in NAMED
    }
    found = json.dumps(computed(renamed(data, tokens)), ensure_ascii=False)
    for of_kind in tokens.values():
        for token, name in ((_short(token), _short(name)) for name, token in of_kind.items()):
            found = found.replace(token, name).replace(token[0].upper() + token[1:], name[0].upper() + name[1:])
    assert json.loads(found) == computed(data)


def _token(name: str, key: str) -> str:
    """A name that is no word, with the first letter as large as it was and the same task at its end, if any."""
    return f"{'Q' if name[0].isupper() else 'q'}x{key}zx{name.removeprefix(_short(name))}"


def _short(name: str) -> str:
    """Without the name of a task, which heads leave out."""
    return next((name.removesuffix(f" {task.name}") for task in tasks().values() if name.endswith(task.name)), name)


@pytest.fixture
def other_sentences(monkeypatch: pytest.MonkeyPatch) -> Callable[[], None]:
    """Exchanges every sentence for another."""
    other = {enum: {key: _turned(text) for key, text in texts.items()} for enum, texts in sentences().items()}
    problems = {
        code: {key: _turned(text) if key in ("title", "template", "mend") else text for key, text in entry.items()}
        for code, entry in catalogue().items()
    }

    def exchanged() -> None:
        monkeypatch.setattr(words_module, "sentences", lambda: other)
        for module in (problem_module, share_module):
            monkeypatch.setattr(module, "catalogue", lambda: problems)

    return exchanged


@pytest.mark.parametrize("season", few(list(SEASONS), "small"))
def test_other_sentences_move_no_number_and_change_no_verdict(
    season: str, other_sentences: Callable[[], None]
) -> None:
    data = copy.deepcopy(SEASONS[season])
    for session in data["sessions"]:
        session.pop("stacking_time", None)  # its part is named in words of ours
    before, tables, given = results_of(data), season_cells(records(data)), shared(results_of(data))
    other_sentences()
    after = results_of(data)
    assert shape(after) == shape(before)
    assert shape(shared(after)) == shape(given)
    assert season_cells(records(data)) == tables
    assert after["plan"] != before["plan"]
    assert sentences_told(after).isdisjoint(sentences_told(before))
    if season not in CHANGES:
        assert after["comparisons"][0]["verdict"] != before["comparisons"][0]["verdict"]


def sentences_told(results: Data) -> set[str]:
    return {row[key] for row in results["verdicts"] for key in ("head", "sentence")}


@pytest.mark.parametrize("season", few([*demo_names(), "small"], "small"))
def test_other_sentences_stand_in_the_cells_of_the_old_ones(season: str, other_sentences: Callable[[], None]) -> None:
    data = SEASONS[season]
    before = cells_of_results(data)
    other_sentences()
    after = cells_of_results(data)
    assert shape(of_appendix(after)) == shape(of_appendix(before))  # rows of the pages move with their heights
    assert kept_sentences(before, after) - defined_texts(data) == set()
    pages = {title for title, *_ in before} - {title for title, *_ in of_appendix(before)}
    assert pages == {title[::-1] for title, *_ in after} - {title[::-1] for title, *_ in of_appendix(after)}
    assert len(pages) >= len(PAGES) - 1  # the small season has no plan


@pytest.mark.parametrize(("system", "currency", "paper"), few([("us", "USD", "letter"), ("metric", "EUR", "a4")]))
def test_other_sentences_stand_in_the_template(
    system: System, currency: str, paper: Paper, other_sentences: Callable[[], None]
) -> None:
    def written() -> Cells:
        return cells_of_template(template_bytes(system=system, currency=currency, paper=paper))

    before = written()
    other_sentences()
    after = written()
    assert shape(of_tables(after)) == shape(of_tables(before))
    assert kept_sentences(before, after) - defined_texts({}) == set()


def of_tables(cells: Cells) -> Cells:
    """Without the paper forms, whose cautions leave room for one line of remarks or two."""
    return {place: cell for place, cell in cells.items() if not place[0].endswith(" form")}


def cells_of_results(data: Data) -> Cells:
    cells: Cells = {}
    log_rows(
        results_of(data), lambda title, row, values: cells.update({(title, row, at): cell for at, cell in values})
    )
    return cells


def of_appendix(cells: Cells) -> Cells:
    """Cells of the sheets whose titles the definition has."""
    titles = {INPUTS_TITLE, TRACE_TITLE, *(sheet.result_sheet for sheet in results_definition().sheets)}
    return {place: cell for place, cell in cells.items() if place[0] in titles}


def cells_of_template(template: bytes) -> Cells:
    """Its cells, and what shows beside them."""
    cells: Cells = {}
    for sheet in load_workbook(BytesIO(template)):
        cells |= {(sheet.title, cell.row, cell.column): cell.value or "" for row in sheet.iter_rows() for cell in row}
        for at, rule in enumerate(sheet.data_validations.dataValidation):
            cells |= {(sheet.title, key, at): getattr(rule, key) or "" for key in ("prompt", "error")}
    return cells


def kept_sentences(before: Cells, after: Cells) -> set[str]:
    """Whole sentences that stand in both."""
    told = ({text for text in cells.values() if isinstance(text, str)} for cells in (before, after))
    return {text for text in set.intersection(*told) if text.endswith(".")}


def defined_texts(data: Data) -> set[str]:
    """Texts of the notes, the definitions and the tables of data: none of them is made of an id."""
    files = (path for folder in ("schema", "data") for path in (PACKAGE / folder).glob("*.json"))
    documents = [json.loads(path.read_text(encoding="utf-8")) for path in files if path.name != "words.json"]
    return set(texts_of([data, *documents]))


def texts_of(part: Any) -> Iterator[str]:
    if isinstance(part, str):
        yield part
    elif isinstance(part, dict | list):
        for one in part.values() if isinstance(part, dict) else part:
            yield from texts_of(one)


@pytest.mark.parametrize("season", few(list(SEASONS), "small"))
def test_other_titles_of_sheets_and_columns_move_no_number(season: str, other_titles: Callable[[], None]) -> None:
    data = SEASONS[season]
    before, given = results_of(data), shared(results_of(data))
    other_titles()
    after = results_of(data)
    assert shape(after) == shape(before)
    assert shape(shared(after)) == shape(given)
    told, named = ({row["figure"] for row in results["how_sure"]} for results in (after, before))
    assert told == {title[::-1] for title in named}


@pytest.fixture
def other_titles(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[], None]]:
    """Turns round every title in the definitions, of which nothing stays remembered."""
    document = model_module.schema_document

    def exchanged() -> None:
        monkeypatch.setattr(model_module, "schema_document", lambda name: _with_titles_turned(document(name)))
        _forget()

    yield exchanged
    monkeypatch.undo()
    _forget()


def _with_titles_turned(part: Any) -> Any:
    if isinstance(part, list):
        return [_with_titles_turned(one) for one in part]
    if not isinstance(part, dict):
        return part
    turned = {key: _with_titles_turned(value) for key, value in part.items()}
    return turned | {"title": part["title"][::-1]} if isinstance(part.get("title"), str) else turned


def _forget() -> None:
    for name, module in list(sys.modules.items()):
        if name.partition(".")[0] in ("wood_xl", "builders"):
            for one in vars(module).values():
                if hasattr(one, "cache_clear"):
                    one.cache_clear()


def _turned(text: str) -> str:
    """Another sentence with the same slots: they stand first, and what is said is turned round."""
    parts = list(Formatter().parse(text))
    slots = [f"{{{name}:{spec}}}" if spec else f"{{{name}}}" for _, name, spec, _ in parts if name]
    return " ".join([*slots, "".join(literal for literal, *_ in parts)[::-1] or "?"])
