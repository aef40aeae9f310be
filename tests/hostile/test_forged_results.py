"""Whatever a person would see differently in a results workbook is named, though its seal fits."""

from __future__ import annotations

import random
import re
from functools import cache
from pathlib import Path

import forging
import pytest
from builders import small_season

from wood_xl.errors import UnreadableWorkbook
from wood_xl.io.fill import filled_workbook
from wood_xl.io.guard import package_of
from wood_xl.io.pack import packed
from wood_xl.io.reader import book_of
from wood_xl.notes.echo import NoResults
from wood_xl.notes.problem import Level, Problem
from wood_xl.pipeline import score_file
from wood_xl.report.book import results_bytes
from wood_xl.results.share import shared
from wood_xl.results.verify import WrittenAgain, verified, written_again


def season_results(folder: Path, *, share: bool = False) -> bytes:
    path = folder / "season.xlsx"
    path.write_bytes(packed(filled_workbook(small_season(), system="metric", currency="NOK", paper="a4")))
    results = score_file(path, None).results
    assert results is not None
    return results_bytes(shared(results) if share else results, paper="a4")


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    return season_results(tmp_path_factory.mktemp("season"))


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    return season_results(tmp_path_factory.mktemp("shared"), share=True)


@cache
def again(data: bytes) -> WrittenAgain:
    """What comes of the untouched results: no attack here changes the notes in them."""
    return written_again(book_of(package_of(data, "results.xlsx"), {}))


def problems(data: bytes, untouched: bytes) -> list[Problem]:
    package = package_of(data, "results.xlsx")
    return verified(package, book_of(package, {}), again(untouched)).problems()


@pytest.mark.parametrize("name", forging.ATTACKS)
def test_attack_is_named(name: str, results: bytes) -> None:
    forged = forging.sealed_anew(forging.changed(results, forging.ATTACKS[name]))
    assert is_caught(forged, results)


def is_caught(forged: bytes, untouched: bytes) -> bool:
    try:
        found = problems(forged, untouched)
    except (NoResults, UnreadableWorkbook):  # no results any more: one line says so
        return True
    return not {one.code for one in found}.isdisjoint({"verify-part-differs", "verify-cell-differs"})


def test_untouched_results_are_as_they_should_be(results: bytes, copy: bytes) -> None:
    assert problems(results, results) == []
    assert problems(forging.packed_parts(forging.parts_of(results)), results) == []
    assert {one.code for one in problems(copy, copy)} <= {"verify-not-compared", "verify-other-choice"}


TEXTS = {
    "advice": ("Bucking: By bow saw", "Bucking: By chain saw"),
    "advice of no known word": (r"(>Bucking: )[^<]*", r"\1flobberwands"),
    "why": ("not listed as trained", "trained"),
    "price": (r"(NOK[^<(]*\()[0-9.]+", r"\g<1>1.1"),
    "caution": ("Hold the log fast", "Hold the log"),
}


@pytest.mark.parametrize("name", TEXTS)
def test_texts_of_the_reading_sheets_of_a_shared_copy_are_written_again(name: str, copy: bytes) -> None:
    def attack(parts: forging.Parts) -> None:
        texts = forging.sheet_named(parts, "Answer")
        parts[texts] = re.sub(*TEXTS[name], parts[texts], count=1)

    forged = forging.changed(copy, attack)
    assert is_caught(forging.sealed_anew(forged), copy)


def test_a_text_that_is_taken_from_a_copy_has_words_that_results_have(copy: bytes) -> None:
    """Here the forged copy itself is what the texts are taken from."""

    def attack(parts: forging.Parts) -> None:
        for part in (forging.sheet_named(parts, title) for title in ("Answer", "Checks")):
            parts[part] = re.sub(r"(>Bucking: )[^<]*", r"\1flobberwands", parts[part])

    forged = forging.sealed_anew(forging.changed(copy, attack))
    assert is_caught(forged, forged)


EDITS = 60


def edits(data: bytes, seed: int) -> list[bytes]:
    """Changes all over the workbook that a person would see, the same in every run."""
    chosen = random.Random(seed)  # noqa: S311 - to choose cells, not secrets
    parts = forging.parts_of(data)
    titles = re.findall(r'<sheet name="([^"]*)"', parts[forging.BOOK])
    made = []
    for number in range(EDITS):
        title = titles[number % len(titles)]
        part = forging.sheet_named(parts, title)
        kind = chosen.choice(KINDS)
        places = list(re.finditer(kind[0], parts[part]))
        if not places:
            continue
        place = chosen.choice(places)
        text = parts[part]
        changed = text[: place.start()] + place.expand(kind[1]) + text[place.end() :]
        made.append(forging.packed_parts({**parts, part: changed}))
    return made


KINDS = (
    (r"<v>([0-9.]+)</v>", r"<v>1\g<1></v>"),
    (r"<v>(-?[0-9.]+)</v>", r"<f>0</f><v>\1</v>"),
    (r"(<t[^>]*>)([^<]+)</t>", r"\1x\2</t>"),
    (r"(<t[^>]*>)([^<]+)</t></is>", r"\1\2</t></is><v>7</v>"),
    (r'(<row r="[0-9]+") (?=[^>]*>(?:<c [^>]*>)<is>)', r'\1 hidden="1" '),
    (r'<col (?=width="[0-9.]+")', '<col hidden="1" '),
    (r'<mergeCell ref="A([0-9]+):', r'<mergeCell ref="B\1:'),
    (r"<oddFooter>", "<oddFooter>&amp;CHalf"),
)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(9))
def test_every_edit_that_a_person_sees_is_named(seed: int, results: bytes) -> None:
    tried = edits(results, seed)
    assert len(tried) > 40
    missed = [number for number, one in enumerate(tried) if not is_told(one, results)]
    assert missed == []


def is_told(edited: bytes, untouched: bytes) -> bool:
    """Also by the seal, which covers what cannot be computed again."""
    try:
        return any(one.level is Level.FIX for one in problems(edited, untouched))
    except (NoResults, UnreadableWorkbook):
        return True


def test_some_edits_of_each_kind_are_named(results: bytes) -> None:
    assert [number for number, one in enumerate(edits(results, 77)[:12]) if not is_told(one, results)] == []
