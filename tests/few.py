"""How much of a long list runs each time, and how. All of it runs where slow tests are not left out."""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

import pytest

is_whole = True  # conftest.py says what this run is

Test = Callable[..., None]
LONGEST_NAME = 150


def few(cases: Iterable[Any], *quick: Any) -> list[Any]:
    """Every case, those that are not named marked as slow; where none is named the first is quick."""
    given = list(cases)
    quick = quick or tuple(given[:1])
    assert all(case in given for case in quick), "a quick case is not among the cases"
    return [case if case in quick else pytest.param(*_values(case), marks=pytest.mark.slow) for case in given]


def examples(number: int) -> int:
    """How many examples a law is tried on."""
    return number if is_whole else max(number // 10, 3)


def together(
    names: str | Sequence[str], cases: Iterable[Any] | Callable[[], Iterable[Any]], *, ids: Any = None
) -> Callable[[Test], Test]:
    """What ``parametrize`` does, in one test that goes on past a fault: for many cases that take no time each.

    A fixture is made once for all of them, but each has a temporary folder of its own. Cases that a function gives
    are asked for when the test runs.
    """
    keys = [names] if isinstance(names, str) else list(names)

    def decorate(test: Test) -> Test:
        signature = inspect.signature(test)

        @functools.wraps(test)
        def all_of_them(**fixtures: Any) -> None:
            given = list(_named(cases if isinstance(cases, Iterable) else cases(), len(keys), ids))
            faults = []
            for number, (name, values) in enumerate(given):
                own = dict(fixtures)
                if "tmp_path" in own:
                    own["tmp_path"] = own["tmp_path"] / str(number)
                    own["tmp_path"].mkdir()
                try:
                    test(**own, **dict(zip(keys, values, strict=True)))
                except (Exception, pytest.fail.Exception) as fault:  # each is told, with its case
                    faults.append(f"{name}: {type(fault).__name__}: {fault}")
            assert given, "no case"
            assert not faults, f"{len(faults)} of {len(given)} cases:\n" + "\n".join(faults)

        fixtures = [one for name, one in signature.parameters.items() if name not in keys]
        all_of_them.__signature__ = signature.replace(parameters=fixtures)  # type: ignore[attr-defined]
        return all_of_them

    return decorate


def _named(cases: Iterable[Any], keys_n: int, ids: Any) -> Iterator[tuple[str, tuple[Any, ...]]]:
    """Name and values of each case that this run tries."""
    for case in cases:
        name, values = None, case if keys_n > 1 else (case,)
        if hasattr(case, "marks"):
            name, values = case.id, case.values
            if any(mark.name == "slow" for mark in case.marks) and not is_whole:
                continue
        if name is None and callable(ids):
            name = ids(values[0])
        yield str(name or ", ".join(map(repr, values)))[:LONGEST_NAME], tuple(values)


def _values(case: Any) -> tuple[Any, ...]:
    return case if isinstance(case, tuple) else (case,)
