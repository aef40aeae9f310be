"""Every formula against printed values, each with its page or table.

``printed`` of a case holds what is printed there. ``known`` says how the print is known, for a file or for one case.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import pytest
from cases import cases, files, printed, read, require_agreement, require_names, result, tolerance
from few import together

from wood_xl.data.cautions import cautions
from wood_xl.data.load import Known, SourceKind, activities, constants, small_engines, sources, species

FOLDER = Path(__file__).parent
READ_OR_RECALLED = ("verified", "verified (secondary)", "memory")
NEVER_VERIFIED = ("page", "this project")


@together("case", [pytest.param(case, id=case["id"]) for case in cases(FOLDER)])
def test_formula_agrees_with_print(case: dict[str, Any]) -> None:
    require_agreement(case, case["printed"])


def test_case_files_hold_together() -> None:
    require_names(FOLDER, {"id", "where", "function", "inputs", "printed"})
    assert all(document.keys() == {"source", "known", "cases"} for document in files(FOLDER))


def every_print() -> Iterator[tuple[str, str, dict[str, Any]]]:
    """Source, status and case of everything in this folder; a data set of NIST is one case."""
    for path in sorted(FOLDER.rglob("*.json")):
        document = json.loads(path.read_text(encoding="utf-8"))
        for case in document.get("cases", [document]):
            yield case.get("source", document.get("source", "")), case.get("known", document.get("known")), case


def test_every_print_has_its_place_its_status_and_a_source_that_is_a_publication() -> None:
    found = list(every_print())
    assert len(found) > 250
    for source, known, case in found:
        assert case["where"].strip(), case
        assert known in READ_OR_RECALLED, case
        assert sources()[source].kind in set(get_args(SourceKind)) - {"this project"}, case
        if known == "verified":
            assert sources()[source].kind not in NEVER_VERIFIED, case


def test_only_a_publication_or_an_official_copy_is_verified() -> None:
    told: list[tuple[str, Known]] = [(one.source, one.known) for one in constants().values()]
    told += [(one.source, one.known) for one in species()]
    told += [(one.source, one.known) for one in activities().values()]
    told += [(one.source, one.known) for one in cautions() if one.source]
    told += [("epa_nonroad_2008", one.known) for one in small_engines().values()]
    assert len(told) > 400
    for source, known in told:
        kind = sources()[source].kind
        if kind in NEVER_VERIFIED:
            assert known != "verified", source
        if kind == "this project":
            assert known != "verified (secondary)", source


def test_no_source_is_software_or_stands_on_a_code_host() -> None:
    no_source = re.compile(
        r"\b(github|gitlab|bitbucket|pypi|rdrr|cran|npm|repository|commit [0-9a-f]|software|package)\b"
    )
    for source in sources().values():
        assert source.kind in get_args(SourceKind)
        words = f"{source.authors} {source.title} {source.edition} {source.address}".lower()
        assert no_source.search(words) is None, source


def test_tolerance_counts_printed_digits() -> None:
    assert read("0.3333").half_unit == pytest.approx(0.00005)
    assert read("206,250").value == 206250
    assert read("8 %").value == pytest.approx(0.08)
    assert read("1.00 in").half_unit == pytest.approx(0.005 * 0.0254)
    assert read("7 min 30 s").value == pytest.approx(0.125)
    assert read("25 h 24 min").half_unit == pytest.approx(1 / 120)
    assert printed("gasoline two-stroke") is None


def test_formula_that_is_off_by_a_digit_is_told() -> None:
    case = {
        "function": "wood.geometry.cords",
        "inputs": {"stacked_m3": "128 ft3"},
        "printed": {"value": "1.001"},
    }
    number = read("1.001")
    assert abs(result(case, "value") - number.value) > tolerance(case, "value", number)
