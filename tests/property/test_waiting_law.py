"""What waits for a mend moves nothing that is not told to be without it: tried at every cell of a small season."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from typing import Any

import pytest
from builders import Cells, Data, checked, clock_season, raw_book, trial_season
from few import together

from wood_xl.draws.figure import Figure
from wood_xl.ids import Exposed
from wood_xl.incomplete import MEASURED, MEASURED_COLUMNS
from wood_xl.notes.convert import season_records
from wood_xl.notes.problem import Level
from wood_xl.notes.raw import Kind, RawCell
from wood_xl.reasons import Basis, Listing, Said
from wood_xl.schema.layout import HEADER_ROW
from wood_xl.schema.model import season_definition
from wood_xl.season import season_tables

Place = tuple[str, str, int, str]
IDS = ("why", "choice", "kind", "surety", "basis", "state")  # texts that tell of a row, and do not name it


def figures(data: Data, at: tuple[str, int, int] | None = None) -> dict[Place, Figure]:
    """Every figure of a season by its table, row and column; with a cell that cannot be read, if one is given."""

    def edit(cells: Mapping[str, Cells]) -> None:
        if at is not None:
            cells[at[0]][at[1:]] = RawCell(Kind.ERROR, "#REF!")

    computed = season_tables(season_records(checked(data, edit=edit))[0])
    found = {("season", "", 0, key): item for key, item in computed.items.items() if isinstance(item, Figure)}
    found |= {("plan", "", 0, key): item for key, item in computed.plan.items() if isinstance(item, Figure)}
    for table, rows in computed.tables.items():
        seen: Counter[str] = Counter()
        for row in rows:
            texts = (cell for key, cell in row.items() if isinstance(cell, str) and key not in IDS)
            name = " | ".join(text for text in texts if text)
            seen[name] += 1
            found |= {(table, name, seen[name], k): cell for k, cell in row.items() if isinstance(cell, Figure)}
    return found


@cache
def before(season: Callable[[], Data] = trial_season) -> dict[Place, Figure]:
    return figures(season())


def every_cell(season: Callable[[], Data]) -> list[tuple[str, int, int]]:
    """Cells below the headers that hold something to be read."""
    ids = {sheet.title: sheet for sheet in season_definition().sheets}
    return [
        (ids[raw.title].id, row, column)
        for raw in raw_book(season()).sheets
        for row, column in sorted(raw.cells)
        if row > HEADER_ROW and (ids[raw.title].kind == "table" or column == 2)
    ]


def some_cells() -> Iterator[Any]:
    """Those of the trial, eleven of twelve marked slow."""
    for number, at in enumerate(every_cell(trial_season)):
        yield pytest.param(at, marks=pytest.mark.slow) if number % 12 else at


def cells_by_clock() -> Iterator[Any]:
    """Those of the season by the clock: some that are of a kind the other season has not, the rest marked slow."""
    seen = {kind(at) for at in every_cell(trial_season)}
    for at in every_cell(clock_season):
        is_quick = kind(at) not in seen and len(seen) % 16 == 0
        yield at if is_quick else pytest.param(at, marks=pytest.mark.slow)
        seen.add(kind(at))


def kind(at: tuple[str, int, int]) -> tuple[str, int]:
    """A column, or an item, by its sheet; the sizes of Tally are of one kind."""
    sheet, row, column = at
    if season_definition().sheet(sheet).kind == "items":
        return sheet, row
    return sheet, 0 if sheet == "tally" and column > 2 else column


def is_measured(place: Place) -> bool:
    return place[0] in {*MEASURED, "season"} or f"{place[0]}.{place[3]}" in MEASURED_COLUMNS


def is_without(basis: object) -> bool:
    """Whether a basis tells, alone or among others, that something waits."""
    if not isinstance(basis, Said):
        return False
    parts = basis["parts"] if basis.id is Listing.SEMICOLONS else (basis,)
    return any(part.id is Basis.WITHOUT_WAITING for part in parts)


def is_a_day_in_part(basis: object) -> bool:
    """Whether a basis names the session that a day's exposure is without: what is known of it is never left out."""
    if not isinstance(basis, Said):
        return False
    parts = basis["parts"] if basis.id is Listing.SEMICOLONS else (basis,)
    return any(part.id is Exposed.WITHOUT for part in parts)


def is_alike(one: Figure, other: Figure, *, is_rough: bool) -> bool:
    """Whether two figures are one; only their middles where hands are numbered anew, and so draw anew."""
    pairs = [(one.value, other.value)]
    pairs += [] if is_rough else [(one.low, other.low), (one.high, other.high)]
    return all(a == b or (a is not None and b is not None and math.isclose(a, b, rel_tol=1e-9)) for a, b in pairs)


def name_of(at: tuple[str, int, int]) -> str:
    return f"{at[0]}-{at[1]}-{at[2]}"


@together("at", list(some_cells()), ids=name_of)
def test_a_cell_that_cannot_be_read_moves_nothing_in_silence(at: tuple[str, int, int]) -> None:
    assert_nothing_moves(trial_season, at)


@pytest.mark.slow
@together("at", list(cells_by_clock()), ids=name_of)
def test_nor_does_one_of_a_season_by_the_clock(at: tuple[str, int, int]) -> None:
    assert_nothing_moves(clock_season, at)


def assert_nothing_moves(season: Callable[[], Data], at: tuple[str, int, int]) -> None:
    now, whole = figures(season(), at), before(season)
    both = {place: (one, now[place]) for place, one in whole.items() if place in now}
    given = {place: pair for place, pair in both.items() if pair[1].value is not None}
    definition = season_definition().sheet(at[0])
    of_whom = definition.kind == "table" and at[2] in [
        number for number, column in enumerate(definition.columns, start=1) if column.id == "person"
    ]
    moved = {place for place, (one, other) in given.items() if not is_alike(one, other, is_rough=of_whom)}
    partly = {place for place in moved if place[0] == "exposures" and is_a_day_in_part(now[place].basis)}
    assert [place for place in moved - partly if is_measured(place)] == []
    assert [place for place in moved - partly if not is_without(now[place].basis)] == []


def test_a_session_left_out_is_not_told_alone_while_its_method_waits() -> None:
    data = trial_season()
    data["sessions"].append(data["sessions"][0] | {"session": "Bow 3", "leave_out": "rain", "lot": "West"})
    data["cuts"].append({"session": "Bow 3", "diameter": 20, "cuts": 12})
    now = figures(data, ("cuts", HEADER_ROW + 1, 2))
    told = {place: one for place, one in now.items() if place[0] == "left_out"}
    assert {place[3] for place in told} == {"without_it", "with_it"}
    assert [one.value for one in told.values() if one.value is not None] == []


@pytest.mark.parametrize("season", [trial_season, clock_season])
def test_nothing_waits_in_a_season_that_is_whole(season: Callable[[], Data]) -> None:
    assert [one.code for one in checked(season()).problems if one.level <= Level.LOOK] == []
    assert len(before(season)) > 900
    assert [place for place, one in before(season).items() if is_without(one.basis)] == []


def test_a_session_that_waits_withholds_its_method_and_its_pile() -> None:
    now = figures(trial_season(), ("cuts", HEADER_ROW + 1, 2))
    cell = "Cuts!B4"
    for place in (
        ("lots", "North", 1, "solid_fraction"),
        ("methods", "By bow saw | buck", 1, "worker_hours"),
        ("rates_per_cord", "By bow saw | buck", 1, "worker_hours"),
        ("sessions", "Saw 1 | 2026-03-08 | By chain saw", 1, "cords"),
        ("people", "Ada", 1, "hours"),
    ):
        assert now[place].value is None
        assert now[place].why["cell"] == cell
    assert (
        now["sessions", "Bow 2 | 2026-03-09 | By bow saw", 1, "cords"]
        == before()["sessions", "Bow 2 | 2026-03-09 | By bow saw", 1, "cords"]
    )
