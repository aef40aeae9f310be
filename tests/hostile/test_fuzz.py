"""Whatever is changed in a sound season, the outcome is a result or a list of problems, never a fault of the program.

The recipe is fixed: the same seeds make the same mutants.
"""

from __future__ import annotations

import os
import random
import zipfile
from collections.abc import Mapping
from io import BytesIO
from pathlib import Path

import build_bad
import build_ods
import pytest
from builders import raw_book, season_workbook, small_season
from few import examples
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from wood_xl.errors import WoodXlError
from wood_xl.notes.convert import season_records
from wood_xl.notes.problem import problem
from wood_xl.notes.raw import Kind, RawCell
from wood_xl.notes.season import check_season
from wood_xl.pipeline import score_file
from wood_xl.report.book import results_bytes
from wood_xl.results.document import json_file
from wood_xl.results.verify_study import verify_file
from wood_xl.schema.model import season_definition
from wood_xl.season import season_tables

SEEDS = range(8)
# Of each format and each of two ways: 8 x 140 x 2 x 2 = 4,480. With 625 it is 20,000.
MUTANTS_PER_SEED = int(os.environ.get("WOOD_XL_MUTANTS", "140"))
RESULTS_SHARE = 20  # to verify takes that much longer than to read
PUT_INTO_XML = (
    "", "-1", "0", "9" * 30, "1e999", "nan", "TRUE", "#REF!", "\u0665", "&", "<", '"', "]]>", "<!--", "&lt;", "\x00",
    "A1:XFD1048576", "in", "[cm]", "2026-13-45", "PT99H", "\u202e", "\ud7ff", "s", "inlineStr", "date", "time",
    "<c r='A1'>", "<table:table-cell/>", 'table:number-rows-repeated="7"', 'table:number-columns-repeated="999"',
    'office:value="5"', "_x0000_", "=1+1",
)  # fmt: skip


def sound_files() -> dict[str, bytes]:
    stream = BytesIO()
    season_workbook().save(stream)
    return {".xlsx": stream.getvalue(), ".ods": build_ods.from_workbook(season_workbook())}


def parts_of(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def with_other_bytes(data: bytes, chosen: random.Random) -> bytes:
    """The file with a few changed bytes, or with a piece missing or doubled."""
    changed = bytearray(data)
    for _ in range(chosen.randint(1, 6)):
        changed[chosen.randrange(len(changed))] = chosen.randrange(256)
    if chosen.random() < 0.2:
        place, length = chosen.randrange(len(changed)), chosen.randint(1, 200)
        piece = changed[place : place + length]
        changed[place : place + length] = piece * 2 if chosen.random() < 0.5 else b""
    return bytes(changed)


def with_other_xml(parts: Mapping[str, bytes], chosen: random.Random) -> bytes:
    """The file with one or two changes inside a part, packed again so that all checksums fit."""
    heaviest = [name for name in parts if "sheet" in name or "content" in name or "styles" in name]
    name = chosen.choice(heaviest if chosen.random() < 0.8 else sorted(parts))
    text = parts[name].decode()
    for _ in range(chosen.randint(1, 3)):
        place = chosen.randrange(len(text))
        if chosen.random() < 0.5:  # a value, not a tag
            place = max(text.find(">", place), text.find('"', place), 0) + 1
        put = chosen.choice(PUT_INTO_XML)
        text = text[:place] + put + text[place + chosen.randint(0, 12) :]
    return build_bad.packed(parts | {name: text.encode("utf-8", "surrogatepass")}, method=zipfile.ZIP_STORED)


def outcome(path: Path) -> str:
    """What the user gets: results, problems, or the fault of the file."""
    try:
        scored = score_file(path, None)
    except WoodXlError as fault:
        return problem(fault.code, **fault.facts).line()
    lines = [found.line() for found in scored.problems]
    return json_file(scored.results).decode() if scored.results is not None else "\n".join(lines)


def mutants(suffix: str, seed: int, count: int) -> list[bytes]:
    sound = sound_files()[suffix]
    parts = parts_of(sound)
    loose = build_bad.packed(parts, method=zipfile.ZIP_STORED)
    chosen = random.Random(f"{suffix} {seed}")  # noqa: S311 - to choose bytes, not secrets
    made: list[bytes] = []
    for _ in range(count):
        made.append(with_other_bytes(chosen.choice((sound, loose)), chosen))
        made.append(with_other_xml(parts, chosen))
    return made


@pytest.mark.slow
@pytest.mark.parametrize("suffix", [".xlsx", ".ods"])
@pytest.mark.parametrize("seed", SEEDS)
def test_mutants(seed: int, suffix: str, tmp_path: Path) -> None:
    path = tmp_path / f"season{suffix}"
    told = set()
    for data in mutants(suffix, seed, MUTANTS_PER_SEED):
        path.write_bytes(data)
        told.add(outcome(path))
    assert all(told)
    assert len(told) > MUTANTS_PER_SEED / 4, "the changes are seen"


@pytest.fixture(scope="module")
def sound_results(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    path = tmp_path_factory.mktemp("sound") / "season.xlsx"
    path.write_bytes(sound_files()[".xlsx"])
    results = score_file(path, None).results
    assert results is not None
    return results_bytes(results, paper="a4")


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS)
def test_mutants_of_results(seed: int, sound_results: bytes, tmp_path: Path) -> None:
    """Verification names every change that somebody could see."""
    parts = parts_of(sound_results)
    chosen = random.Random(f"results {seed}")  # noqa: S311
    path = tmp_path / "season-results.xlsx"
    told = set()
    for _ in range(MUTANTS_PER_SEED // RESULTS_SHARE):
        for data in (with_other_bytes(sound_results, chosen), with_other_xml(parts, chosen)):
            path.write_bytes(data)
            try:
                found = verify_file(path)
                told.add((len(found.differences), found.seal_holds))
            except WoodXlError as fault:
                told.add(problem(fault.code, **fault.facts).line())
    assert len(told) > 1


COLUMNS = [(sheet.id, column.id) for sheet in season_definition().sheets for column in sheet.columns]
WORDS = st.text(max_size=40) | st.sampled_from(["12,5", "1:35", "12 in", "12-14", "1/2", "about 12", "5'4\"", "n/a"])
NUMBERS = st.floats(allow_nan=False, allow_infinity=False) | st.integers(-10, 100).map(float)
CELLS = st.one_of(
    WORDS.map(lambda words: RawCell(Kind.TEXT, words)),
    NUMBERS.map(lambda number: RawCell(Kind.NUMBER, number)),
    NUMBERS.map(lambda number: RawCell(Kind.NUMBER, number, percent=True)),
    st.booleans().map(lambda truth: RawCell(Kind.BOOLEAN, truth)),
    st.datetimes().map(lambda moment: RawCell(Kind.DATE, moment.isoformat(), as_shown=moment.isoformat(" "))),
    st.floats(-1e7, 1e7).map(lambda minutes: RawCell(Kind.DURATION, minutes, as_shown="1:00")),
    st.sampled_from(["#DIV/0!", "#N/A"]).map(lambda words: RawCell(Kind.ERROR, words)),
    WORDS.map(lambda words: RawCell(Kind.NO_VALUE, f"={words}")),
)
PLACES = st.tuples(st.sampled_from(sorted({sheet for sheet, _ in COLUMNS})), st.integers(1, 12), st.integers(1, 12))


@pytest.mark.slow
@settings(max_examples=examples(300), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(typed=st.lists(st.tuples(PLACES, CELLS), min_size=1, max_size=8))
def test_any_cells_anywhere(typed: list[tuple[tuple[str, int, int], RawCell]]) -> None:
    def edit(sheets: Mapping[str, dict[tuple[int, int], RawCell]]) -> None:
        for (sheet_id, row, column), cell in typed:
            sheets[sheet_id][row, column] = cell

    checked = check_season(raw_book(small_season(), edit=edit))
    assert all(found.line() for found in checked.problems)
    if checked.can_be_computed:
        computed = season_tables(season_records(checked)[0])
        assert dict(computed.tables)["methods"] is not None
        assert all(problem_code for problem_code, *_ in computed.remarks)
