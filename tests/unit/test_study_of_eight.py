"""Eight invented households with a known truth, and all that can be odd about their workbooks."""

from __future__ import annotations

import copy
import csv
import datetime as dt
import json
import pickle
import re
import tracemalloc
from email import message_from_bytes
from email.policy import default
from itertools import combinations
from pathlib import Path
from typing import Any

import forging
import numpy as np
import pytest
from builders import records, study_pages
from click.testing import CliRunner
from households import RATIO, household

from wood_xl.batch import parallel_map
from wood_xl.cli import main
from wood_xl.io.fill import filled_workbook
from wood_xl.io.pack import packed
from wood_xl.mail import draft_of
from wood_xl.page_texts import Counting, SeasonsOf
from wood_xl.pipeline import score_file
from wood_xl.report.book import results_bytes
from wood_xl.report.study_book import study_bytes
from wood_xl.report.study_view import StudyView
from wood_xl.report.study_ways import paragraphs
from wood_xl.results import study as study_module
from wood_xl.results.csv_package import DESCRIPTOR
from wood_xl.results.parts import WORKER_HOURS, parts_of_season
from wood_xl.results.pooling import pooled_figures
from wood_xl.results.readings import guarded_reading
from wood_xl.results.share import shared
from wood_xl.results.study import StudyOutcome, study_of_files
from wood_xl.results.verify_study import verify_file
from wood_xl.season import season_tables

pytestmark = pytest.mark.slow

Row = dict[str, Any]
N = 8
CORRECTED, FAULTY, FOREIGN, SHARED = 1, 2, 3, 4
WHEN = dt.datetime(2026, 1, 2, tzinfo=dt.UTC)


def write(path: Path, data: Row) -> Path:
    book = filled_workbook(data, system="metric", currency=data["season"]["currency"], paper="a4")
    path.write_bytes(packed(book))
    return path


@pytest.fixture(scope="module")
def paths(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Eight households, and a corrected copy of one of them under another name, last."""
    folder, chance, found = tmp_path_factory.mktemp("eight"), np.random.default_rng(8), []
    for number in range(N):
        data = household(number, chance, currency="SEK" if number == FOREIGN else "NOK")
        if number == FAULTY:
            data["sessions"][1]["fuel_used"] = "a little"  # cash and CO2e of the chain saw wait for it
        path = write(folder / f"h{number}.xlsx", data)
        if number == CORRECTED:
            corrected = copy.deepcopy(data)
            corrected["sessions"][0]["elapsed_time"] += 7
        if number == SHARED:
            results = score_file(path, None).results
            assert results is not None
            path = folder / f"h{number}-shared.xlsx"
            path.write_bytes(results_bytes(shared(results), paper="a4"))
        found.append(path)
    return [*found, write(folder / "renamed.xlsx", corrected)]


@pytest.fixture(scope="module")
def study(paths: list[Path]) -> StudyOutcome:
    return study_of_files(paths, system=None, one_household=False)


@pytest.fixture(scope="module")
def document(study: StudyOutcome) -> Row:
    assert study.document is not None
    return study.document


@pytest.fixture(scope="module")
def pages(document: Row) -> dict[str, str]:
    found, _ = study_pages(document)
    assert sum(len(page.pages()) for page in found.values()) <= 8
    assert len(found["Answer"].pages()) == 1
    return {title: "\n".join(text for _, row in page.rows() for _, text in row) for title, page in found.items()}


def one(document: Row, table: str, measure: str, **about: str) -> Row:
    (found,) = (
        row
        for row in document[table]
        if row["measure"] == measure and all(row[key] == text for key, text in about.items())
    )
    return found


def test_the_study_finds_the_truth(document: Row, pages: dict[str, str]) -> None:
    hours = one(document, "pairs", "worker_hours")
    assert (hours["kind"], hours["other"], hours["households_n"]) == ("hand", "gasoline two-stroke", N)
    assert hours["value"]["low"] < RATIO < hours["value"]["high"]
    assert hours["value"]["high"] / hours["value"]["low"] < 1.5
    assert hours["next_household"]["low"] < hours["value"]["low"]
    assert (hours["surety"], hours["less"]) == ("settled", "gasoline two-stroke")
    assert "By hand takes 2." in pages["Answer"]
    assert "times the hours" in pages["Answer"]
    assert f"{N} households have both ways" in pages["Answer"]


def test_a_corrected_copy_counts_once_and_the_later_one_is_kept(
    study: StudyOutcome, document: Row, paths: list[Path], pages: dict[str, str]
) -> None:
    names = dict(study.names)
    assert len(names) == N
    assert paths[CORRECTED] not in names.values()
    assert names[f"household {N}"] == paths[-1]
    (fault,) = (fault for path, fault in study.faults if path == paths[CORRECTED])
    assert fault.code == "pool-same-season"
    told = (
        f"It is the same season as household {N}: 11 of 12 sessions agree. Household {N} was given later and counts."
    )
    assert [(row["who"], row["reason"]) for row in document["left_out"] if not row["measure"]] == [
        (f"workbook {CORRECTED + 1}", told)
    ]
    assert f"Workbook {CORRECTED + 1} does not count. {told}" in pages["Answer"]
    assert len(study_of_files(paths[1:2] + paths[-1:], system=None, one_household=False, both=True).names) == 2


def test_of_two_copies_of_one_day_the_one_saved_later_counts(paths: list[Path], tmp_path: Path) -> None:
    """A correction is most often made on the same day, and its name may come first."""
    hours, copies = ("18", "09"), [tmp_path / "May corrected.xlsx", tmp_path / "May.xlsx"]
    for path, copy_of, hour in zip(copies, (paths[-1], paths[CORRECTED]), hours, strict=True):
        core = forging.once(
            "docProps/core.xml", ">1980-01-01T00:00:00Z</dcterms:m", f">2026-03-01T{hour}:00:00Z</dcterms:m"
        )
        path.write_bytes(forging.changed(copy_of.read_bytes(), core))
    found = study_of_files(copies, system=None, one_household=False)
    assert found.names == [("household 1", copies[0])]
    assert "was saved later and counts" in found.faults[0][1].text


def texts_of(document: Row) -> dict[str, str]:
    """All that stands on each page."""
    return {
        title: "\n".join(text for _, row in page.rows() for _, text in row)
        for title, page in study_pages(document)[0].items()
    }


def test_where_every_workbook_counts_no_page_says_that_a_season_counts_once(document: Row) -> None:
    found = copy.deepcopy(document)
    found["provenance"]["counting"] = Counting.BOTH.key
    once, every = texts_of(document), texts_of(found)
    assert ["--both" in once["Answer"], "--both" in every["Answer"]] == [False, True]
    assert ["in two workbooks counts once" in texts["How we know"] for texts in (once, every)] == [True, False]


def test_a_study_that_repeats_no_notes_does_not_point_to_them(document: Row) -> None:
    told = [texts_of({**document, "notes": notes})["How we know"] for notes in (document["notes"], [])]
    assert ["from the notes repeated in it" in text for text in told] == [True, False]


def test_without_a_figure_no_page_points_to_compare(document: Row) -> None:
    found = texts_of({**document, **dict.fromkeys(("pairs", "figures", "contributions"), ())})
    assert "Compare" not in found
    assert "there is nothing to tell yet" in found["Answer"]
    assert "are on Compare" not in found["Answer"]
    alone = {**document["provenance"], "seasons_of": SeasonsOf.ONE_HOUSEHOLD.key}
    found = texts_of({**document, "provenance": alone, "pairs": [], "contributions": []})
    assert ["No season has a task" in found[title] for title in ("Answer", "Compare")] == [True, True]
    assert ["Rates are on Compare" in found[title] for title in ("Answer", "Compare")] == [True, False]


def test_of_a_great_many_names_a_page_tells_the_first(document: Row) -> None:
    """A thousand names ran out of their cell, and a row of a sheet cannot be higher than a page."""
    found, row = copy.deepcopy(document), document["methods"][0]
    found["methods"] = [{**row, "household": f"household {at}", "methods": f"saw {at % 30}"} for at in range(3000)]
    found["pairs"][0]["apart"] = ", ".join(f"household {at}" for at in range(1, 10))
    pages = texts_of(found)
    assert max(map(len, pages["Households"].split("\n"))) < 4000
    assert "saw 11 (11, 41," in pages["Households"]
    assert "18 more: see the appendix" in pages["Households"]
    four = "household 1, household 2, household 3, household 4 and 5 more"
    assert f"Far from the others in hours: {four}." in pages["Answer"]
    assert f"Far out: {four}" in pages["Compare"]


def test_eight_households_with_a_great_many_faults_are_read_on_eight_pages(document: Row) -> None:
    found, (out, *_) = with_pairs(document, 4), (row for row in document["left_out"] if row["measure"])
    ways = ("mains", "battery", "gasoline four-stroke", "diesel", "hand")
    found["left_out"] = [
        {**out, "who": f"household {number}", "kind": kind, "other": "", "reason": f"needs Sessions!G{at}"}
        for number in range(1, N + 1)
        for at, kind in enumerate(ways)
    ]
    (fault, *_) = (row for row in document["problems"] if row["level"] == "FIX")
    found["problems"] = [{**fault, "household": f"household {1 + at // 5}", "cell": f"G{at}"} for at in range(40)]
    pages, _ = study_pages(found)
    assert sum(len(page.pages()) for page in pages.values()) <= 8
    told = [text for _, row in pages["Households"].rows() for _, text in row]
    assert [text for text in told if "see the appendix" in text] == [
        "28 more: see the appendix.",
        "28 more: see the appendix.",
    ]


def test_a_season_among_a_great_many_takes_little_memory(paths: list[Path]) -> None:
    """What arrives from another process: figures, sessions to know the season by, what is wrong; no more."""
    arrived = [pickle.dumps(guarded_reading(False, False, path)) for path in paths[:3]]
    tracemalloc.start()
    try:
        held = [pickle.loads(one) for one in arrived]  # noqa: S301 - made above
        assert tracemalloc.get_traced_memory()[0] / len(held) < 15_000
    finally:
        tracemalloc.stop()


def test_a_fault_keeps_its_household_out_of_what_needs_it_alone(
    study: StudyOutcome, document: Row, paths: list[Path], pages: dict[str, str]
) -> None:
    (name,) = (name for name, path in study.names if path == paths[FAULTY])
    out = {(row["measure"], row["kind"]) for row in document["left_out"] if row["who"] == name}
    assert ("co2e", "gasoline two-stroke") in out
    assert not {measure for measure, _ in out} & {"worker_hours", "kcal_net"}
    assert one(document, "contributions", "worker_hours", household=name, other="gasoline two-stroke")
    assert one(document, "pairs", "co2e")["households_n"] == N - 1
    (row,) = (row for row in document["households"] if row["household"] == name)
    assert row["fix_n"] == 1
    assert f"Cells wait for a mend: {name.capitalize()}." in pages["Answer"]
    assert "Text where a number belongs" in pages["Households"]  # and not what was typed
    assert "a little" not in pages["Households"]


def test_another_currency_stands_apart_with_its_code(document: Row, pages: dict[str, str]) -> None:
    cash = {row["money"]: row["households_n"] for row in document["pairs"] if row["measure"] == "cash"}
    assert cash == {"NOK": N - 2, "SEK": 1}  # one waits for its fuel
    assert "Money stands apart for each currency" in pages["Answer"]
    nok, sek = f"in NOK, {N - 2} households: settled.", "in SEK, one household: settled."  # most households first
    assert 0 < pages["Answer"].index(nok) < pages["Answer"].index(sek)


def test_a_shared_copy_gives_all_but_effort(study: StudyOutcome, document: Row, paths: list[Path]) -> None:
    (name,) = (name for name, path in study.names if path == paths[SHARED])
    assert {row["state"] for row in document["households"] if row["household"] == name} == {"without_effort"}
    assert one(document, "pairs", "kcal_net")["households_n"] == N - 1
    assert one(document, "pairs", "clock_hours")["households_n"] == N


def test_two_cores_give_what_one_gives(document: Row, paths: list[Path]) -> None:
    with parallel_map(2) as each:
        assert study_of_files(paths, system=None, one_household=False, each=each).document == document


def test_invented_seasons_are_marked_and_nobody_is_named(document: Row, pages: dict[str, str]) -> None:
    assert document["provenance"]["invented"] == "Invented: nobody measured these figures."
    assert all("Invented: nobody measured" in text for text in pages.values())
    assert "Person of" not in str(document)


def test_verify_goes_from_the_notes_inside_and_names_a_changed_digit(document: Row, tmp_path: Path) -> None:
    path = tmp_path / "study.xlsx"
    path.write_bytes(study_bytes(document, paper="a4"))
    found = verify_file(path)
    assert (found.differences, found.seal_holds) == ((), True)
    assert found.taken_n == sum(row["measure"] == "kcal_net" for row in document["contributions"])
    forged = copy.deepcopy(document)
    forged["pairs"][0]["value"]["value"] *= 1.1
    path.write_bytes(study_bytes(forged, paper="a4"))
    assert {one.place.sheet for one in verify_file(path).differences} >= {"Figures", "Compare"}
    forged = copy.deepcopy(document)
    forged["notes"][0]["inputs"]["sessions"][0]["elapsed_time"] += 20
    path.write_bytes(study_bytes(forged, paper="a4"))
    assert verify_file(path).differences


def test_the_command_writes_all_and_a_draft(paths: list[Path], tmp_path: Path) -> None:
    out = [tmp_path / name for name in ("study.xlsx", "study.json", "tables", "study.eml")]
    given = [str(path) for path in (*paths[:3], paths[-1])]
    options = ["--out", str(out[0]), "--json", str(out[1]), "--csv", str(out[2])]
    done = CliRunner().invoke(main, ["pool", *given, *options])
    assert done.exit_code == 1, done.output
    assert "was given later" in done.output
    assert f"household 2: {paths[FAULTY]}, 1 to mend\n" in done.output
    assert {path.stem for path in out[2].glob("*.csv")} >= {"pairs", "figures", "households", "left_out", "problems"}
    from frictionless import validate

    report = validate(out[2] / DESCRIPTOR)
    assert report.flatten(["path", "type", "note"]) == []
    document = json.loads(out[1].read_text(encoding="utf-8"))
    with (out[2] / "pairs.csv").open(encoding="utf-8", newline="") as file:
        assert [row["measure"] for row in csv.DictReader(file)] == [row["measure"] for row in document["pairs"]]
    verified = CliRunner().invoke(main, ["verify", str(out[0])])
    assert "as they should be" in verified.output, verified.output
    mailed = CliRunner().invoke(main, ["mail", str(out[0]), "--to", "ada@example.org"])
    assert mailed.exit_code == 0, mailed.output
    text = out[3].read_text(encoding="utf-8")
    assert "What 3 households say together" in text
    assert "by hand takes" in text.replace("=\n", "")


VERB = re.compile(r"\b(takes|would|cost|have|has|is|stands?|count|wait|lists)\b")


def with_pairs(document: Row, pairs_n: int) -> Row:
    """The study as if it compared so many ways."""
    found, kinds = copy.deepcopy(document), ("gasoline two-stroke", "battery", "mains", "gasoline four-stroke")
    ways = [(task, *two) for task in ("buck", "split") for two in combinations(("hand", *kinds), 2)]
    names = [dict(zip(("task", "kind", "other"), way, strict=True)) for way in ways[:pairs_n]]
    found["pairs"] = [{**row, **name} for name in names for row in document["pairs"]]
    return found


@pytest.mark.parametrize("pairs_n", [0, 1, 3, 5, 7, 20])
@pytest.mark.parametrize("of_one", [False, True])
def test_every_sentence_of_answer_and_mail_is_whole(
    document: Row, pairs_n: int, of_one: bool, tmp_path: Path
) -> None:
    found, path = with_pairs(document, pairs_n), tmp_path / "study.xlsx"
    found["provenance"]["seasons_of"] = (SeasonsOf.ONE_HOUSEHOLD if of_one else SeasonsOf.HOUSEHOLDS).key
    view = StudyView(found)
    said = [text for pair in view.pairs for text in paragraphs(view, pair)]
    assert all(VERB.search(one) for text in said for one in text.rstrip(".").split(". "))
    path.write_bytes(study_bytes(found, paper="a4"))
    message = message_from_bytes(
        draft_of(path, to=["ada@example.org"], sender=None, when=WHEN).message, policy=default
    )
    body = message.get_body(("plain",))
    assert body is not None
    told = [" ".join(text.split()) for text in re.split(r"\r?\n\r?\n", body.get_content().strip())]
    compared = [text for text in told if text.startswith(("Bucking, ", "Splitting, "))]
    assert all(" takes " in text for text in compared)
    assert all(text[:1].isupper() and text.endswith((".", ".xlsx")) for text in told)
    assert len(" ".join(told).split()) <= 250
    assert "with its source" not in told[-1]  # those stand in the results of each season
    more = [text for text in told if text.startswith("And ")]
    assert (len(compared) > 0, bool(more)) == (pairs_n > 0, len(compared) < told_on_answer(found))
    assert ("More households" in " ".join(told)) <= (not of_one)


def told_on_answer(document: Row) -> int:
    """How many ways the first page of a study compares."""
    texts = [text for _, row in study_pages(document)[0]["Answer"].rows() for _, text in row]
    return sum(text.startswith(("Bucking, ", "Splitting, ")) for text in texts)


@pytest.mark.simulation
def test_ranges_of_whole_studies_cover_the_truth() -> None:
    assert share_covered(range(60)) >= 0.85


def test_ranges_of_a_few_studies_cover_the_truth() -> None:
    assert share_covered(range(3)) >= 2 / 3


def share_covered(runs: range) -> float:
    """Share of studies of eight households whose range of the ratio of hours holds the truth."""
    held = []
    for run in runs:
        chance, seen = np.random.default_rng([22, run]), []
        for number in range(N):
            given = parts_of_season(season_tables(records(household(number, chance))).rates)
            (ratio,) = (one for one in given.parts if one.other and one.measure == WORKER_HOURS)
            seen.append(ratio._replace(household=f"household {number}", year="2025"))
        (figure,) = pooled_figures(seen, one_household=False)
        value = figure.row()["value"]
        held.append(value["low"] < RATIO < value["high"])
    return sum(held) / len(held)


def test_a_study_without_the_notes_is_pooled_again_from_what_each_household_gives(
    paths: list[Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(study_module, "MOST_REPEATED", 1)
    document = study_of_files(paths[2:4], system=None, one_household=False).document
    assert document is not None
    assert document["notes"] == []
    assert {row["level"] for row in document["problems"]} == {"FIX", "LOOK"}  # no line for the record
    path = tmp_path / "study.xlsx"
    path.write_bytes(study_bytes(document, paper="a4"))
    found = verify_file(path)
    assert (found.differences, found.taken_n) == ((), len(document["contributions"]))
    forged = copy.deepcopy(document)
    forged["contributions"][0]["value"] *= 1.1
    path.write_bytes(study_bytes(forged, paper="a4"))
    assert "Figures" in {one.place.sheet for one in verify_file(path).differences}
