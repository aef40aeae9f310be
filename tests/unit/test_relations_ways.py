"""Each way of a task is compared with each other one: there may not be any number of them."""

from __future__ import annotations

from builders import at, checked, small_season

from wood_xl.notes.relations import MOST_WAYS


def test_ways_beyond_the_most_wait_for_a_mend_and_no_other_does() -> None:
    data = small_season()
    first, session = data["methods"][0], data["sessions"][0]
    there = sum(row["task"] == first["task"] for row in data["methods"])
    for n in range(there, MOST_WAYS + 2):
        data["methods"].append({**first, "method": f"way {n}"})
        data["sessions"].append({**session, "session": f"s{n}", "method": f"way {n}"})
    found = checked(data)
    told = [one for one in found.problems if one.code == "row-too-many-ways"]
    rows = [index for index, row in enumerate(data["methods"]) if row["task"] == first["task"]][MOST_WAYS:]
    assert len(rows) == 2
    assert sum(one.count for one in told) == 2
    assert {cell for cell in found.broken if cell[0] == "methods"} == {("methods", row, "task") for row in rows}
    assert told[0].where.startswith(at("methods.task", rows[0] + 4).rstrip("0123456789"))
