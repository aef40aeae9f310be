"""A season that is half filled in says what is there, and the two sessions that would make it fairer next."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from builders import Data, records, season_workbook, small_season
from few import together

from wood_xl.pipeline import check_file, score_file
from wood_xl.reasons import Said, Trial
from wood_xl.schema.words import phrase, words
from wood_xl.season import season_tables

Change = Callable[[Data], None]


def told(change: Change) -> list[tuple[str, dict[str, str]]]:
    data = small_season()
    data["people"].append({"person": "Bo", "age": 30})
    for person in data["people"]:
        person["may_use"] = "Chain saw"
    data["sessions"][2]["person"] = "Ada"
    data["stacks"].clear()
    data["cuts"].append({"session": "C", "diameter": 20, "cuts": 10})
    change(data)
    found = season_tables(records(data)).half_filled()
    return [
        (code, {key: words(fact) if isinstance(fact, Said) else str(fact) for key, fact in facts.items()})
        for code, _, facts in found
    ]


def untried(data: Data) -> None:
    """Nobody used the chain saw yet."""
    del data["sessions"][1]
    data["helpers"].clear()
    data["cuts"] = [row for row in data["cuts"] if row["session"] != "B"]


def by_bo(data: Data) -> None:
    data["sessions"][1]["person"] = "Bo"
    data["helpers"].clear()


def test_sessions_done_so_far_come_first() -> None:
    code, facts = told(lambda _: None)[0]
    assert code == "season-so-far"
    assert facts["found"] == "By bow saw 2, By chain saw 1"


def test_a_method_that_nobody_tried_is_the_next_session() -> None:
    assert told(untried)[1:] == [
        ("season-trial-untried", {"found": "By chain saw", "by": "by Ada", "pile": "on the pile of session C"})
    ]


def test_whoever_has_not_tried_a_method_is_named_for_it() -> None:
    assert told(by_bo)[1:] == [
        ("season-trial-person", {"found": "By bow saw", "person": "Bo", "pile": "on logs like those of session B"}),
        ("season-trial-person", {"found": "By chain saw", "person": "Ada", "pile": "on the pile of session C"}),
    ]


@together(
    "change",
    [
        lambda data: data["people"][0].update(age=17),
        lambda data: data["people"][0].pop("age"),
        lambda data: data["people"][0].update(may_use="Bow saw"),
        lambda data: data["people"][0].update(doctor_word="still to ask"),
        lambda data: data["people"][1].update(age=17),  # nobody else to stand in sight
    ],
)
def test_nobody_is_named_for_what_they_may_not_be_planned_for(change: Change) -> None:
    def changed(data: Data) -> None:
        untried(data)
        change(data)

    ((_, facts),) = told(changed)[1:]
    assert facts["by"] == words(Trial.BY_WHO_MAY)


def test_a_second_day_helps_a_method_that_was_tried_once() -> None:
    codes = [code for code, _ in told(lambda _: None)]
    assert codes == ["season-so-far", "season-trial-day"]


def test_no_remark_once_all_methods_were_tried_twice() -> None:
    def twice(data: Data) -> None:
        data["sessions"].append(data["sessions"][1] | {"session": "D", "date": "2026-03-04"})
        data["cuts"].append({"session": "D", "diameter": 30, "cuts": 20})

    assert told(twice) == []


def test_check_has_next_steps_and_results_do_not(tmp_path: Path) -> None:
    path = tmp_path / "season.xlsx"
    season_workbook().save(path)
    assert "season-so-far" in [one.code for one in check_file(path).problems]
    assert "season-so-far" not in [one.code for one in score_file(path, None).problems]


def test_sessions_that_wait_for_their_method_are_counted_once() -> None:
    def change(data: Data) -> None:
        data["sessions"] += [{**data["sessions"][1], "session": one, "method": "Quux"} for one in "DEF"]
        data["cuts"] += [{"session": one, "diameter": 20, "cuts": 10} for one in "DEF"]
        del data["sessions"][-1]["method"]

    _, facts = told(change)[0]
    assert facts["advice"] == phrase(Trial.WAITING, n=3)


def test_a_session_that_waits_with_its_stacking_is_counted_once() -> None:
    def change(data: Data) -> None:
        data["methods"] += [{"method": "By maul", "task": "split"}, {"method": "Pile up", "task": "stack"}]
        late = {"session": "D", "method": "By maul", "stacking_time": 9, "delay_time": 500}
        data["sessions"].append(data["sessions"][0] | late)
        data["stacks"].append({"session": "D", "height": 1.2, "length": 2})
        data["units"]["sessions"]["stacking_time"] = "min"

    _, facts = told(change)[0]
    assert facts["advice"] == phrase(Trial.WAITING, n=1)
