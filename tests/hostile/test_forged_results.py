"""Every visible change to a results workbook is named, even if its seal fits."""

from __future__ import annotations

import random
import re
import time
from collections.abc import Iterable, Iterator
from functools import cache
from io import BytesIO
from itertools import islice
from pathlib import Path
from typing import Any

import forging
import pytest
from builders import scored, small_season
from few import few, together
from openpyxl import load_workbook

from wood_xl.errors import UnreadableWorkbook
from wood_xl.io.guard import package_of
from wood_xl.io.page import PAPERS
from wood_xl.io.reader import book_of
from wood_xl.notes.echo import NoResults
from wood_xl.notes.problem import Problem
from wood_xl.report.book import results_bytes
from wood_xl.results.share import shared
from wood_xl.results.verify import compared, notes_in_results, results_again, seal_and_version

DIFFERS = {"verify-part-differs", "verify-cell-differs"}


def season_results(folder: Path, *, share: bool = False) -> bytes:
    results = scored(small_season(), folder)
    return results_bytes(shared(results) if share else results, paper="a4")


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    return season_results(tmp_path_factory.mktemp("season"))


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    return season_results(tmp_path_factory.mktemp("shared"), share=True)


@cache
def again(data: bytes) -> tuple[Any, ...]:
    """Verification of the untouched results; no attack here changes the notes in them."""
    book = book_of(package_of(data, "results.xlsx"), {})
    results, *taken = results_again(book, notes_in_results(book))
    return results_bytes(results, paper=PAPERS[results["provenance"]["display_units"]]), *taken


def problems(data: bytes, untouched: bytes) -> list[Problem]:
    package = package_of(data, "results.xlsx")
    book = book_of(package, {})
    return compared(package, seal_and_version(book), book.filled_n, *again(untouched)).problems()


def test_identical_parts_count_as_compared(results: bytes) -> None:
    """Parts that are skipped because their bytes are equal count the same number of cells."""
    spaced = forging.changed(results, forging.once(forging.BOOK, "</workbook>", " </workbook>"))
    counts = []
    for data in (results, spaced):
        package = package_of(data, "results.xlsx")
        book = book_of(package, {})
        found = compared(package, seal_and_version(book), book.filled_n, *again(results))
        assert found.problems() == []
        counts.append(found.compared_n)
    assert counts[0] == counts[1]


@pytest.mark.parametrize("name", few(forging.ATTACKS, *list(forging.ATTACKS)[::18]))
def test_attack_is_named(name: str, results: bytes) -> None:
    forged = forging.sealed_anew(forging.changed(results, forging.ATTACKS[name]))
    assert is_caught(forged, results)


def is_caught(forged: bytes, untouched: bytes) -> bool:
    try:
        found = problems(forged, untouched)
    except (NoResults, UnreadableWorkbook):  # no results any more: one line says so
        return True
    return not {one.code for one in found}.isdisjoint(DIFFERS)


def test_untouched_results_hold(results: bytes, copy: bytes) -> None:
    assert problems(results, results) == []
    assert problems(forging.packed_parts(forging.parts_of(results)), results) == []
    assert {one.code for one in problems(copy, copy)} <= {"verify-not-compared", "verify-other-choice"}


def test_changes_to_all_charts_are_one_line_beside_the_forged_cell(results: bytes) -> None:
    book, saved = load_workbook(BytesIO(results)), BytesIO()
    book["Compare"]["A4"].value = "By silent saw"
    book.save(saved)
    found = [one for one in problems(saved.getvalue(), results) if one.code in DIFFERS]
    pictures = [one for one in found if one.text.startswith("A picture")]
    assert len(pictures) == 1
    assert re.search(r"Found \"\d+ pictures: ", pictures[0].text)
    assert [one.place.row for one in found if one.place.sheet == "Compare"] == [4]


FLOODS = {
    "names of sheets": (
        "xl/workbook.xml",
        "</definedNames>",
        lambda: "".join(f'<definedName name="x" localSheetId="{n}">A</definedName>' for n in range(20_001)),
    ),
    "series of a chart": ("xl/charts/chart1.xml", "</plotArea>", lambda: "<ser/>" * 200_001),
    "anchors": ("xl/drawings/drawing1.xml", "</wsDr>", lambda: "<oneCellAnchor/>" * 200_001),
}


@pytest.mark.parametrize("name", few(FLOODS, "names of sheets"))
def test_what_is_kept_to_compare_has_limits(name: str, results: bytes) -> None:
    """A file of 3 MB took 400 MiB: only what sheets hold had limits."""
    part, before, flood = FLOODS[name]
    forged = forging.changed(results, forging.once(part, before, flood() + before))
    with pytest.raises(UnreadableWorkbook) as caught:
        problems(forged, results)
    assert caught.value.code == "file-damaged"
    assert "more than" in caught.value.facts["found"]


def test_columns_that_overlap_are_read_once(results: bytes) -> None:
    """Each of them was compared with all widths before it, which took 60 microseconds."""
    flood = '<col min="1" max="1000" width="9"/>' * 200_000 + "</cols>"
    forged = forging.changed(results, forging.in_sheet("</cols>", flood))
    again(results)
    began = time.process_time()
    assert any(one.code in DIFFERS for one in problems(forged, results))
    assert time.process_time() - began < 5.0


TEXTS = {
    "advice": ("Bucking: By bow saw", "Bucking: By chain saw"),
    "advice of no known word": (r"(>Bucking: )[^<]*", r"\1flobberwands"),
    "why": ("not listed as trained", "trained"),
    "price": (r"(NOK[^<(]*\()[0-9.]+", r"\g<1>1.1"),
    "caution": ("Hold the log fast", "Hold the log"),
}


@pytest.mark.slow
@together("name", TEXTS)
def test_texts_on_the_reading_sheets_of_a_shared_copy_are_recomputed(name: str, copy: bytes) -> None:
    def attack(parts: forging.Parts) -> None:
        texts = forging.sheet_named(parts, "Answer")
        parts[texts] = re.sub(*TEXTS[name], parts[texts], count=1)

    forged = forging.changed(copy, attack)
    assert is_caught(forging.sealed_anew(forged), copy)


def test_a_text_taken_from_a_copy_has_words_that_results_have(copy: bytes) -> None:
    """Here the texts come from the forged copy itself."""

    def attack(parts: forging.Parts) -> None:
        for part in (forging.sheet_named(parts, title) for title in ("Answer", "Checks")):
            parts[part] = re.sub(r"(>Bucking: )[^<]*", r"\1flobberwands", parts[part])

    forged = forging.sealed_anew(forging.changed(copy, attack))
    assert is_caught(forged, forged)


EDITS, QUICK, APART = 500, 6, 11
SHEETS = r"xl/worksheets/sheet[0-9]+\.xml"
BOOK, STYLES, CHARTS, DRAWINGS = r"xl/workbook\.xml", r"xl/styles\.xml", r"xl/charts/.*", r"xl/drawings/drawing.*"
TEXT = r"(<is><t[^>]*>)([^<]+)(</t></is>)"
RULE = '<cfRule type="expression" dxfId="0" priority="1"/>'
COVER = f'<conditionalFormatting sqref="A1:Z999">{RULE}</conditionalFormatting>'
PROMPT = '<dataValidations><dataValidation sqref="A1:Z9" prompt="Half the hours"/></dataValidations>'
# Kind of part, original bytes, and the bytes of a forger.
KINDS = (
    (SHEETS, r"<v>([0-9.]+)</v>", r"<v>1\g<1></v>"),
    (SHEETS, r"<v>(-?[0-9.]+)</v>", r"<f>0</f><v>\1</v>"),
    (SHEETS, r"<v>(-?[0-9.]+)</v>", ""),
    (SHEETS, r'( t="n")?><v>(-?[0-9.]+)</v>', r' t="inlineStr"><is><t>\2</t></is>'),
    (SHEETS, TEXT, r"\1x\2\3"),
    (SHEETS, TEXT, r"\1Seal\3"),
    (SHEETS, TEXT, r"\1\2\3<v>7</v>"),
    (SHEETS, TEXT, r"<is><r><rPr><color rgb='FFFFFFFF'/></rPr><t>\2</t></r></is>"),
    (SHEETS, r' s="[1-9][0-9]*" t="inlineStr"><is>', r' t="inlineStr"><is>'),
    (SHEETS, r'(<row r="[0-9]+") (?=[^>]*>(?:<c [^>]*>)<is>)', r'\1 hidden="true" '),
    (SHEETS, r'(<row r="[0-9]+" ht=")[0-9.]+"(?=[^>]*>(?:<c [^>]*>)<is>)', r'\1 1"'),
    (SHEETS, r'<col (?=width="[0-9.]+")', '<col hidden="1" '),
    (SHEETS, r'<col width="[0-9.]+"', '<col width="0.3"'),
    (SHEETS, r'<mergeCell ref="A([0-9]+):', r'<mergeCell ref="B\1:'),
    (SHEETS, r"(</mergeCells>)", r'<mergeCell ref="X1:Z9"/>\1'),
    (SHEETS, r"<oddFooter>", "<oddFooter>&amp;CHalf"),
    (SHEETS, r"<oddHeader ?/>", "<oddHeader>&amp;CHalf</oddHeader>"),
    (SHEETS, r"(?=<pageMargins)", COVER),
    (SHEETS, r"(?=<pageMargins)", PROMPT),
    (SHEETS, r"(?=<sheetView )", "<sheetView workbookViewId='0'/>"),
    (SHEETS, r"(</worksheet>)", r'<legacyDrawing xmlns:r="x" r:id="rId9"/>\1'),
    (SHEETS, r"(</sheetData>)", rf'\1<x:sheetData xmlns:x="{forging.STRICT}"/>'),
    (BOOK, r'(<sheet [^>]*state=)"visible"', r'\1"veryHidden"'),
    (BOOK, r'<sheet name="', '<sheet name="My '),
    (BOOK, r"(<sheet [^>]*/>)(<sheet [^>]*/>)", r"\2\1"),
    (BOOK, r"(<definedName [^>]*Print_Area[^>]*>)[^<]*", r"\1Plan!$A$1:$A$2"),
    (BOOK, r"(?=<definedName )", '<definedName name="hours">7</definedName>'),
    (STYLES, r'(<font>(?:(?!</font>).)*?<color rgb="00)(?!FFFFFF)[0-9A-F]{6}"', r'\1FFFFFF"'),
    (STYLES, r'formatCode="#,##0[^"]*"', 'formatCode="&quot;7&quot;"'),
    (CHARTS, r"<v>([0-9.]+)</v>", r"<v>1\g<1></v>"),
    (CHARTS, r"(<f>[^<]*\$)([0-9]+)</f>", r"\g<1>9\2</f>"),
    (CHARTS, r"<a:t>(?=[^<])", "<a:t>Not "),
    (CHARTS, r'<m(ax|in) val="[^"]*"', r'<m\1 val="77.5"'),
    (CHARTS, r'<orientation val="minMax"', '<orientation val="maxMin"'),
    (DRAWINGS, r"<row>", "<row>9"),
    (DRAWINGS, r' descr="', ' descr="Not '),
    (DRAWINGS, r"(</wsDr>)", rf"{forging.SHAPE}\1"),
    (DRAWINGS, r'<cNvPr (?=id="[0-9]+")', '<cNvPr hidden="1" '),
)


def edits(data: bytes) -> Iterator[tuple[str, str, bytes]]:
    """Visible changes all over the workbook, with their kind and part; the same in every run."""
    chosen = random.Random(23)  # noqa: S311 - to choose places, not secrets
    parts = forging.parts_of(data)
    for number in range(EDITS):
        kind, old, new = KINDS[number % len(KINDS)]
        names = [name for name, text in parts.items() if re.fullmatch(kind, name) and re.search(old, text)]
        name = chosen.choice(names)
        place = chosen.choice(list(re.finditer(old, parts[name])))
        text = parts[name]
        edited = text[: place.start()] + place.expand(new) + text[place.end() :]
        yield new, f"{name}:{place.start()}", forging.packed_parts({**parts, name: edited})


def missed(tried: Iterable[tuple[str, str, bytes]], untouched: bytes) -> list[tuple[str, str]]:
    """Edits that are not named; only the seal covers what cannot be computed again."""
    titles = re.findall(r'<sheet name="([^"]*)"', forging.parts_of(untouched)[forging.BOOK])
    by_seal = {f"xl/worksheets/sheet{titles.index(title) + 1}.xml" for title in ("Checks", "Origin")}
    found = []
    for kind, place, edited in tried:
        try:
            codes = {one.code for one in problems(edited, untouched)}
        except (NoResults, UnreadableWorkbook):
            continue
        enough = DIFFERS | ({"verify-seal-broken"} if place.partition(":")[0] in by_seal else set())
        if codes.isdisjoint(enough):
            found.append((kind, place))
    return found


@pytest.mark.slow
def test_every_visible_edit_is_named(results: bytes) -> None:
    tried = list(edits(results))
    assert len(tried) == EDITS
    assert missed(tried, results) == []


def test_some_edits_of_many_kinds_are_named(results: bytes) -> None:
    assert missed(islice(edits(results), 0, QUICK * APART, APART), results) == []
