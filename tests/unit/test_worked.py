"""Every figure worked out: each line can be redone, the last is the figure, each link leads to its cell."""

from __future__ import annotations

import re
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from builders import demo_results, demo_shared, reading_pages, results_of, small_season
from click.testing import CliRunner
from few import few
from forging import sealed_anew
from openpyxl import load_workbook

from wood_xl.cli import main
from wood_xl.demo import demo_names
from wood_xl.notes.problem import problem
from wood_xl.page_texts import Glossary, OnPages, Working
from wood_xl.report.book import results_bytes
from wood_xl.report.study_book import study_bytes
from wood_xl.report.view import Places
from wood_xl.results.explain import explanation
from wood_xl.results.made_of import Results, expressions, ref_of
from wood_xl.results.study import study_of_files
from wood_xl.results.worked import CASH, HOURS, KCAL, SAVED, digits, working
from wood_xl.schema.model import results_definition
from wood_xl.schema.words import MINUS, words

Document = dict[str, Any]
ARITHMETIC = re.compile(r"[-+x^/|()., 0-9]+")
MOST_WORDS = 15
OF_OTHER_SEASONS = {
    *("payback.cash_simple", "payback.time_simple", "drying.water", "efforts.kcal_vo2max"),
    *("season.solid_fraction", "plan.volume_wanted"),
}


@pytest.fixture(scope="module", params=few(demo_names(), "hill_farm_us"))
def name(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="module")
def document(name: str) -> Document:
    return demo_results(name)


def number(text: str) -> str:
    """The first number of a value, as it is printed."""
    text = re.sub(rf"{MINUS}(\D*)(?=\d)", r"\1-", text)  # a minus before a currency
    found = re.search(r"-?\d[\d,]*(\.\d+)?(e[-+]\d+)?", text)
    assert found, text
    return found[0]


def plain(text: str) -> str:
    return text.rstrip("0").rstrip(".") if "." in text else text


def redone(text: str) -> str | None:
    """What a line of arithmetic comes to; None if the line has none."""
    _, is_there, arithmetic = text.rpartition(" = ")
    if not is_there:
        _, _, arithmetic = text.rpartition(": ")
    if not ARITHMETIC.fullmatch(arithmetic) or not re.search(r" [-+x/] ", arithmetic):
        return None
    python = re.sub(r"\|(.*)\|", r"abs(\1)", arithmetic.replace(",", "").replace(" x ", " * ").replace("^", "**"))
    return digits(float(eval(python)))  # noqa: S307 - digits and signs alone


def test_each_working_ends_with_its_figure_and_each_line_can_be_repeated(document: Document) -> None:
    lines, results = 0, Results(document)
    for figure in document["figures"]:
        steps = working(results, figure["id"])
        last = steps[-1].value
        if figure["value"] is None:
            assert last == words(Working.NOT_GIVEN)
        else:
            assert number(last).rstrip("0").rstrip(".") == digits(figure["value"]).rstrip("0").rstrip("."), figure[
                "id"
            ]
        for step in steps:
            again = redone(step.text)
            if again is not None:
                told = number(step.value)
                assert float(again.replace(",", "")) == pytest.approx(float(told.replace(",", "")), rel=1e-9), step
                lines += 1
    assert lines > len(document["figures"])


def test_each_expression_gives_a_figure_of_a_demo_and_names_known_columns(document: Document) -> None:
    results = Results(document)
    known = {ref_of(row) for row in document["figures"] if results.made(row)}
    mute = {
        "payback.cash_simple",
        "payback.time_simple",
        "drying.water",
        "efforts.kcal_vo2max",
        "efforts.kcal_monitor",
    }
    mute |= {"season.solid_fraction", "plan.volume_wanted"}
    mute |= {"sessions.clock_hours", "efforts.minutes"}  # of Elapsed; here the clock was noted
    assert expressions().keys() - known <= mute
    for ref in expressions():
        assert results_definition().column(ref).type == "figure"


def test_effort_by_the_reserve_is_worked_out_by_the_share_the_mass_in_kg_and_the_uptake_at_an_age() -> None:
    document = demo_results("hill_farm_us")
    results = Results(document)
    for person, uptake in (("Mara", "VO2max"), ("Jon", "Age - 25")):
        figure = next(
            row
            for row in document["figures"]
            if row["person"] == person and ref_of(row) == "efforts.kcal_reserve" and row["value"]
        )
        last = working(results, figure["id"])[-1].text
        assert uptake in last
        assert "Body mass [kg]" in last
        assert redone(last) is not None


def test_an_effort_that_no_line_works_out_is_not_among_the_numbers_to_redo() -> None:
    data = small_season()  # B has no mass
    del data["people"][0]["mass"]
    assert [one["figure"].partition(" ")[0] for one in results_of(data)["worked"]] == [HOURS, CASH, SAVED]


def test_wood_is_written_among_the_worked_numbers_as_on_other_pages() -> None:
    pages, _ = reading_pages(results_of(small_season()))
    told = [text for _, cells in pages[words(OnPages.HOW_WE_KNOW)].rows() for _, text in cells]
    assert any(re.fullmatch(r"[\d.]+ stacked m³", text) for text in told)
    assert not any("stacked m3" in text for text in told)


@pytest.mark.slow
def test_links_point_to_the_cells_with_the_values_shown(document: Document) -> None:
    book, places = load_workbook(BytesIO(results_bytes(document, paper="a4"))), Places(document)
    values = {row["id"]: row["value"] for row in document["figures"]}
    factors = {row["id"]: row["value"] for row in document["factors"]}
    results, kinds = Results(document), set()
    for figure in document["figures"][::20]:
        for step in working(results, figure["id"]):
            sheet, cell = places.cell(step.link)
            kind, _, rest = step.link.partition("/")
            kinds.add(kind)
            if kind == "inputs":
                sheet_id, index, column_id = rest.split("/")
                content = document["inputs"][sheet_id]
                told = (content if isinstance(content, dict) else content[int(index)])[column_id]
            else:
                told = (values if kind == "figures" else factors)[rest]
            assert book[sheet][cell].value == told, step
    assert kinds == {"figures", "inputs", "factors"}


def test_four_numbers_stand_on_the_sheet_and_three_in_a_copy_to_be_shared(name: str, document: Document) -> None:
    def names(results: Document) -> list[str]:
        return [one["figure"].partition(" ")[0] for one in results["worked"]]

    assert names(document) == [HOURS, KCAL, CASH, SAVED]
    hours = [step["text"] for step in document["worked"][0]["steps"]]
    for factor in ("by_logs", "by_hands", "by_days"):
        assert results_definition().column(f"equal_terms.{factor}").title in hours[-1]
    copied = demo_shared(name)
    assert names(copied) == [HOURS, CASH, SAVED]
    assert not [row for row in copied["figures"] if ref_of(row) == KCAL]


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    results = demo_results(demo_names()[0])
    target = tmp_path_factory.mktemp("written") / "season-results.xlsx"
    target.write_bytes(results_bytes(results, paper="letter"))
    return target


def explained(*arguments: str) -> tuple[int, str]:
    done = CliRunner().invoke(main, ["explain", *arguments])
    return done.exit_code, done.output


def test_explain_shows_the_steps_of_a_figure_and_suggests_similar_ids(written: Path) -> None:
    code, text = explained("rates_per_cord.worker_hours", "methods.2", "--of", str(written))
    assert code == 0
    assert "As measured x Logs x Hands x Days" in text
    assert "Inputs!" in text
    assert "Figures!" in text
    code, text = explained("rates_per_cord.worker_hours methods.99", "--of", str(written))
    assert code == 2
    assert "Near it: rates_per_cord.worker_hours methods." in text.replace("\n", " ")
    code, text = explained("--of", str(written))
    assert code == 2
    assert "Give the id of a figure too." in text


@pytest.mark.slow
def test_explain_of_a_forged_file_is_one_line(written: Path, tmp_path: Path) -> None:
    book = load_workbook(written)
    ids = {book["Figures"].cell(row, 1).value: row for row in range(1, book["Figures"].max_row)}
    book["Figures"].cell(ids["rates_per_cord.worker_hours methods.2"], 10).value = 0.5
    forged = tmp_path / "forged-results.xlsx"
    book.save(forged)
    for again in (False, True):
        if again:
            forged.write_bytes(sealed_anew(forged.read_bytes()))
        code, text = explained("rates_per_cord.worker_hours methods.2", "--of", str(forged))
        assert (code, len(text.strip().splitlines())) == (3, 1)
        assert text == f"STOP  {problem('explain-not-whole', file=forged.name).line()}\n"


def test_explain_of_a_study_sends_to_its_seasons(written: Path, tmp_path: Path) -> None:
    found = study_of_files([written], system=None, one_household=False).document
    assert found is not None
    study = tmp_path / "study.xlsx"
    study.write_bytes(study_bytes(found, paper="a4"))
    code, text = explained("rates_per_cord.worker_hours methods.2", "--of", str(study))
    assert (code, text) == (3, f"STOP  {problem('explain-of-study', file=study.name).line()}\n")


def glossary() -> Iterator[tuple[str, str]]:
    return ((text.partition(":")[0], text) for text in map(words, Glossary))


def test_explain_knows_the_glossary_of_how_we_know() -> None:
    assert len(list(Glossary)) <= MOST_WORDS
    for name, text in glossary():
        assert text in (explanation(name) or "")
        assert text in (explanation(name.lower()) or "")
