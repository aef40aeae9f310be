"""The sentences of the first sheet: no more certain than the figures."""

from __future__ import annotations

from typing import Any

import pytest
from sample_results import BUCK_CHAIN, BUCK_SAW, SPLIT_ENGINE, SPLIT_HAND, results_with_ids

from wood_xl.reasons import said
from wood_xl.results.answers import answers
from wood_xl.verdicts import Surety, Verdict


def document(*, intervals: bool = True) -> dict[str, Any]:
    return results_with_ids("us", intervals=intervals)


def sentences(results: dict[str, Any]) -> str:
    return "\n".join(answers(results, results["season"], [], system="us"))


def test_a_difference_beyond_doubt_is_told_as_a_ratio_with_its_ends() -> None:
    text = sentences(document())
    assert f"{BUCK_SAW} takes about 4.0 times as much as {BUCK_CHAIN} (2.8 to 5.6)." in text


def test_an_open_comparison_is_told_as_open() -> None:
    results = document()
    text = sentences(results)
    assert f"{SPLIT_ENGINE} takes less than {SPLIT_HAND}: leans this way, not settled." in text
    row = next(r for r in results["comparisons"] if r["more"] == SPLIT_HAND)
    row["surety"] = Surety.OPEN
    assert f"One cannot tell yet whether {SPLIT_ENGINE} or {SPLIT_HAND} takes less." in sentences(results)


def test_alike_is_said_only_if_it_is_shown() -> None:
    results = document()
    assert "the same for you" not in sentences(results)
    next(r for r in results["comparisons"] if r["more"] == SPLIT_HAND)["verdict"] = said(Verdict.ALIKE)
    assert f"{SPLIT_ENGINE} and {SPLIT_HAND}: the same for you." in sentences(results)


def test_rows_beside_the_verdict_and_pairs_without_a_figure_are_not_told() -> None:
    text = sentences(document())
    assert "3.7 times" not in text
    assert text.count("times as much") == 2


@pytest.mark.parametrize(
    ("sessions_n", "words"), [(1, "between 6.0 and 11 worker hours"), (3, "about 7.6 worker hours (6.0 to 11)")]
)
def test_a_single_try_is_told_by_its_ends(sessions_n: int, words: str) -> None:
    results = document()
    row = next(r for r in results["rates_per_cord"] if r["method"] == BUCK_SAW)
    row["sessions_n"] = sessions_n
    assert f"{words} with {BUCK_SAW}" in sentences(results)


def test_few_sessions_are_named() -> None:
    results = document()
    assert "Fewer than" not in sentences(results)
    results["rates_per_cord"][0]["sessions_n"] = 2
    assert f"Fewer than 3 sessions stand behind {BUCK_SAW}: take those as rough." in sentences(results)


def test_a_figure_without_an_interval_is_told_as_before() -> None:
    assert f"6.31 worker hours with {SPLIT_HAND}".replace("6.31", "6.3") in sentences(document(intervals=False))
