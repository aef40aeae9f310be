"""What puts many cases into one test goes through all of them and names each that fails."""

from __future__ import annotations

from pathlib import Path

import pytest
from few import few, together


def test_each_case_that_fails_is_named_and_none_is_passed_over() -> None:
    tried = []

    @together(("number", "word"), [(1, "a"), (2, "b"), (3, "c"), (4, "d")])
    def odd(number: int, word: str) -> None:
        tried.append(word)
        assert number % 2 == 1

    with pytest.raises(AssertionError) as fault:
        odd()
    assert tried == ["a", "b", "c", "d"]
    assert [line.partition(":")[0] for line in str(fault.value).splitlines() if line[0].isdigit()] == [
        "2 of 4 cases",
        "2, 'b'",
        "4, 'd'",
    ]


def test_a_list_without_a_case_is_a_fault() -> None:
    @together("number", [])
    def nothing(number: int) -> None:
        pass

    with pytest.raises(AssertionError, match="no case"):
        nothing()


@together("text", ["one", "two"])
def test_each_case_has_a_folder_of_its_own(text: str, tmp_path: Path) -> None:
    assert list(tmp_path.iterdir()) == []
    (tmp_path / "file").write_text(text, encoding="utf-8")


def test_cases_that_are_not_named_are_slow_and_a_name_that_is_no_case_is_a_fault() -> None:
    first, second = few(["a", "b"])
    assert (first, second.values, [mark.name for mark in second.marks]) == ("a", ("b",), ["slow"])
    with pytest.raises(AssertionError, match="not among the cases"):
        few(["a", "b"], "c")
